// Records of a CSV file by the grammar of RFC 4180, as maps from column name to text.
export function readCsv(text: string): ReadonlyMap<string, string>[] {
  const records: string[][] = [[]];
  for (const [, quoted, bare, end] of text.matchAll(/(?:"((?:[^"]|"")*)"|([^",\r\n]*))(,|\r\n)/g)) {
    records.at(-1)?.push(quoted === undefined ? (bare ?? '') : quoted.replaceAll('""', '"'));
    if (end === '\r\n') records.push([]);
  }
  const [head = [], ...rows] = records.slice(0, -1);
  return rows.map((row) => new Map(head.map((name, k) => [name, row[k] ?? ''])));
}
