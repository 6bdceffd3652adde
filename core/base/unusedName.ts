/** The name, or where it is taken the first of "name (2)", "name (3)" that is not; it is taken from then on. */
export function unusedName(wanted: string, taken: Set<string>): string {
  let name = wanted;
  for (let n = 2; taken.has(name); n++) name = `${wanted} (${n})`;
  taken.add(name);
  return name;
}
