// Any wind file: which kind it is taken for, archives, encodings, and every way of being no wind file. Files are made
// here.
import { gzipSync, strToU8, zipSync } from 'fflate';
import { describe, expect, it } from 'vitest';
import { decodeText, Findings, isMissing, linesOf, numberOf } from '../../core/formats/text/text.ts';
import { fullYear, isoUtc, nearestDayTime, parseTime } from '../../core/formats/text/times.ts';
import { readWindFile, textKind } from '../../core/formats/winds/winds.ts';
import type { WindFileOptions } from '../../core/formats/winds/winds.ts';

const CSV = 'height_m,from_deg,speed_mps\n100,90,4\n200,100,6\n';
const REFERENCE_S = Date.UTC(2026, 3, 15) / 1000;

const read = (bytes: Uint8Array | string, options: WindFileOptions = {}): ReturnType<typeof readWindFile> =>
  readWindFile({ name: 'folder/some.txt', bytes: typeof bytes === 'string' ? strToU8(bytes) : bytes }, options);
const heights = async (bytes: Uint8Array | string): Promise<(number | null)[]> =>
  (await read(bytes)).value.decoded.flatMap((source) => source.levels.map((level) => level.height_m));
const refusal = async (bytes: Uint8Array | string): Promise<string> => {
  const { value, problems } = await read(bytes);
  expect(value).toEqual({ decoded: [], grids: [] });
  expect(problems).toHaveLength(1);
  return problems[0]?.text ?? '';
};
const utf16 = (text: string, bigEndian: boolean, mark: boolean): Uint8Array => {
  const codes = Array.from(mark ? `\uFEFF${text}` : text, (character) => character.charCodeAt(0));
  return Uint8Array.from(codes.flatMap((code) => (bigEndian ? [code >> 8, code & 255] : [code & 255, code >> 8])));
};

describe('which kind a text is, by its content', () => {
  it.each([
    ['table', CSV],
    ['table', '# FT is not a header of heights\n' + CSV],
    ['FB', 'VALID 151800Z\nFT  3000    6000\nABR 2506 2711+06\n'],
    ['listing', '   PRES   HGHT   TEMP   DRCT   SKNT\n 1000.0    125   10.0    280     14\n'],
    ['table', 'PRES,TEMP,DWPT,DRCT,SPED,HGHT\n985.0,20.0,13.0,150.0,3.09,270.0\n'],
    ['IGRA', '#USM00072501 1994 09 03 00 2314    3 ncdc6301 ncdc6301  408656  -728647\n'],
    ['mesonet JSON', '\n {"profiles": []}'],
    ['TEMP', 'USUS44 KWBC 060000\r\r\n72694 TTAA 56001 72694 99009 22868 29006='],
    ['PILOT', 'PPBB 59121 96565 90/12 00000 28005 29504='],
    ['METAR', 'KFBG 211255Z 26007KT 230V290='],
    ['METAR', 'SPECI COR EGLL 211320Z VRB02KT'],
    ['dropsonde', 'time,pressure_hPa,wind_from_deg,wind_speed_ms,vertical_speed_ms,gps_altitude_m\n'],
  ])('%s', (kind, text) => {
    expect(textKind(text)).toBe(kind);
  });

  it('a file of several kinds of report is read by both readers', async () => {
    const temp = 'TTAA 56001 72694 99009 22868 29006 00137 20667 28507 92801 13662 25507=\n';
    const pilot = 'PPBB 59121 96565 90/12 00000 28005 29504=\n';
    const { decoded } = (await read(temp + pilot, { reference_s: REFERENCE_S })).value;
    expect(decoded.map((source) => source.source).join()).toMatch(/72694.*96565/);
  });

  it('names a table without a name of its own by its file', async () => {
    expect((await read(CSV)).value.decoded[0]?.source).toBe('wind table some.txt');
    expect((await read(`# source: tower\n${CSV}`)).value.decoded[0]?.source).toBe('tower');
  });

  it('passes the station on', async () => {
    const { decoded } = (
      await read('VALID 151800Z\nFT  3000    6000\nABR 2506 2711+06\nBIL 2214 2422-01', { station: 'BIL' })
    ).value;
    expect(decoded.map((source) => source.source)).toEqual(['FB winds aloft BIL']);
  });
});

describe('encodings and archives', () => {
  it.each([
    ['UTF-8 with a mark', strToU8(`\uFEFF${CSV}`)],
    ['UTF-16, little end first, with a mark', utf16(CSV, false, true)],
    ['UTF-16, big end first, with a mark', utf16(CSV, true, true)],
    ['UTF-16, little end first, without a mark', utf16(CSV, false, false)],
    ['UTF-16, big end first, without a mark', utf16(CSV, true, false)],
    ['CR LF', strToU8(CSV.replaceAll('\n', '\r\n'))],
    ['CR alone', strToU8(CSV.replaceAll('\n', '\r'))],
    ['CR CR LF', strToU8(CSV.replaceAll('\n', '\r\r\n'))],
    ['zip', zipSync({ 'a.txt': strToU8(CSV) })],
    ['zip, stored', zipSync({ 'a.txt': strToU8(CSV) }, { level: 0 })],
    [
      'zip with a folder and a shadow file',
      zipSync({ 'd/': new Uint8Array(), 'd/a.txt': strToU8(CSV), '__MACOSX/._a.txt': new Uint8Array([0, 5]) }),
    ],
    ['gzip', gzipSync(strToU8(CSV))],
  ])('%s', async (_, bytes) => {
    expect(await heights(bytes)).toEqual([100, 200]);
  });

  it('reads every file of a zip, and says which one a problem is in', async () => {
    const { value, problems } = await read(zipSync({ 'a.txt': strToU8(CSV), 'b.bin': new Uint8Array([0, 1, 2, 3]) }));
    expect(value.decoded).toHaveLength(1);
    expect(problems.map((problem) => problem.text).join()).toContain('"b.bin": binary data');
  });

  it('unpacks a file of a zip when it is read: what is damaged behind the last that is read is not seen', async () => {
    const zip = zipSync({ 'a.txt': strToU8(CSV), 'b.txt': strToU8(CSV.repeat(9)) });
    // The compressed bytes of the second begin behind its head of 30 bytes and its name (PKWARE APPNOTE 4.3.7).
    const second = Buffer.from(zip).indexOf('PK\u0003\u0004', 10) + 30 + 'b.txt'.length;
    const { value, problems } = await read(zip.fill(0xff, second, second + 8));
    expect(value.decoded).toHaveLength(1);
    expect(problems.map(({ text }) => text).join()).toMatch(
      /"b\.txt": the zip cannot be unpacked \(.*\); it is cut off/,
    );
    // Texts of 5 MB may be read: two of these, and the others behind them are counted and stay as they are.
    const many = Object.fromEntries(Array.from({ length: 30 }, (_, k) => [`t${k}`, new Uint8Array(2_000_000)]));
    const bomb = zipSync(many);
    const last = Buffer.from(bomb).lastIndexOf('PK\u0003\u0004') + 30 + 't29'.length;
    const said = (await read(bomb.fill(0xff, last, last + 8))).problems.map(({ text }) => text);
    expect(said.at(-1)).toMatch(/^28 of 30 files of the zip not read/);
    expect(said.join()).not.toContain('cannot be unpacked');
  });

  it('counts files of one name in a zip as often as they are there', async () => {
    const one = zipSync({ 'a.txt': strToU8(CSV) });
    const directory = one.length - 22 - 46 - 'a.txt'.length;
    const entry = one.subarray(directory, one.length - 22);
    const end = one.slice(one.length - 22);
    const view = new DataView(end.buffer);
    // End of central directory: entries on this disk and in all, and its size (PKWARE APPNOTE 4.3.16).
    view.setUint16(8, 300, true);
    view.setUint16(10, 300, true);
    view.setUint32(12, 300 * entry.length, true);
    const bytes = Buffer.concat([one.subarray(0, directory), ...Array.from({ length: 300 }, () => entry), end]);
    expect((await read(new Uint8Array(bytes))).problems[0]?.text).toBe('the zip holds 300 files; at most 200 are read');
  });
});

describe('what is not a wind file is one clear sentence', () => {
  const zip = zipSync({ 'a.txt': strToU8(CSV.repeat(50)) });
  const liar = zipSync({ 'a.txt': strToU8(CSV) });
  // The size that a zip's directory promises: 22 bytes of end record, 46 of entry, the size at offset 24 of the entry.
  const directory = liar.length - 22 - 46 - 'a.txt'.length;
  liar.set([0xff, 0xff, 0xff, 0x7f], directory + 24);
  const gzip = gzipSync(strToU8(CSV));
  const fatGzip = gzip.slice();
  fatGzip.set([0, 0, 0, 0x7f], gzip.length - 4);

  it.each([
    ['empty', new Uint8Array(), 'empty'],
    ['blanks', strToU8(' \n\t\n '), 'nothing but blanks'],
    ['binary', Uint8Array.from({ length: 500 }, (_, i) => (i * 37) % 256), 'binary data'],
    ['a picture', strToU8('\u0089PNG\r\n\u001a\n\0\0\0\rIHDR', true), 'binary data'],
    ['50 MB of text', new Uint8Array(50_000_000).fill(65), '50.0 MB of text'],
    ['a zip cut off', zip.subarray(0, zip.length - 30), 'cannot be unpacked'],
    ['an empty zip', zipSync({}), 'holds no file'],
    ['a zip in a zip', zipSync({ 'a.zip': zip }), 'an archive inside'],
    ['a zip that unpacks to gigabytes', liar, 'unpacks to 2147.5\u202fMB'],
    ['a gzip cut off', gzip.subarray(0, gzip.length - 12), 'cut off'],
    ['a gzip of three bytes', gzip.subarray(0, 3), 'cannot be unpacked'],
    ['a gzip that unpacks to gigabytes', fatGzip, 'unpacks to 2130.7\u202fMB'],
    ['a novel', strToU8('It was a quiet morning\nand no wind blew.'), 'the first line is "It was a quiet morning"'],
    [
      'an archive that has nothing',
      strToU8('Unable to retrieve the data for BOI at 2010-12-09 01:00:00.'),
      'an answer without a sounding',
    ],
    [
      'a page of an error',
      strToU8("<html><body>Sorry, we can't find that</body></html>"),
      'an answer without a sounding',
    ],
    ['numbers without a header', strToU8('100,90,4\n200,100,5'), 'the first line is "100,90,4"'],
  ])('%s', async (_, bytes, text) => {
    expect(await refusal(bytes)).toContain(text);
  });

  it('a header that breaks off is said with what it misses', async () => {
    const { value, problems } = await read('height_m,fro');
    expect(value.decoded).toEqual([]);
    expect(problems[0]).toMatchObject({
      line: 1,
      text: expect.stringContaining('do not say a direction (from_deg) and a speed') as string,
    });
  });

  it('refuses 50 MB by their number and their first bytes, without reading them', async () => {
    const unread = new Proxy(new Uint8Array(0), {
      get(_, key) {
        if (key === 'length' || key === 'byteLength') return 50_000_000;
        if (key === 'subarray')
          return (from: number, to: number) => {
            if (!(to - from <= 4096)) throw new Error(`read ${from} to ${to}`);
            return new Uint8Array(to - from).fill(65);
          };
        if (typeof key === 'string' && /^\d{1,3}$/.test(key)) return 65;
        throw new Error(`asked for ${String(key)}`);
      },
    });
    const { value, problems } = await read(unread);
    expect(value.decoded).toEqual([]);
    expect(problems[0]?.text).toContain('50');
  });
});

describe('text', () => {
  it('lines are counted as an editor counts them', () => {
    expect(linesOf('a\nb\r\nc\r\r\nd\re')).toEqual(['a', 'b', 'c', 'd', 'e']);
    expect(linesOf('\uFEFFa\n\nb')).toEqual(['a', '', 'b']);
  });

  it('keeps control characters of bulletins, and refuses others', () => {
    expect(decodeText(strToU8('\u0001\r\r\n123\r\r\nSAUS70 KWBC\u0003\n')).problems).toEqual([]);
    expect(decodeText(strToU8('\u0005\u0006\u0007\u0008 text')).value).toBe('');
  });

  it.each([
    '',
    '-',
    '--',
    '/////',
    '-9999',
    '-9999.0',
    '-9999.00',
    '-8888',
    '99999.00',
    '-99.99',
    '999.00',
    '999.9',
    'null',
    'N/A',
    'M',
    '***',
  ])('missing is written "%s"', (text) => {
    const bare = ['99999.00', '999.00', '999.9'].includes(text);
    expect(isMissing(text)).toBe(!bare);
  });

  it.each(['0', '-99', '999', '-12.5', '9', 'NaN', '-98.9'])('"%s" is not missing', (text) =>
    expect(isMissing(text)).toBe(false),
  );

  it.each([
    ['1.5', 1.5],
    ['+3', 3],
    ['-.5', -0.5],
    ['5.', 5],
    ['1e3', 1000],
    ['0x10', NaN],
    ['', NaN],
    ['1,5', NaN],
    ['Infinity', NaN],
    ['1 2', NaN],
    ['--1', NaN],
  ])('the number of "%s"', (text, value) => expect(numberOf(text)).toBe(value));

  it('findings stand in the order of lines, those of the whole file after them', () => {
    const findings = new Findings();
    findings.add('c', { line: 0 }, 'whole');
    findings.add('b', { line: 7 }, 'seven');
    findings.add('a', { line: 2, label: 'KBOI' }, 'two');
    expect(findings.all()).toEqual([
      { line: 2, text: 'KBOI: two' },
      { line: 7, text: 'seven' },
      { line: 0, text: 'whole' },
    ]);
  });
});

describe('times', () => {
  it.each([
    ['2023-05-22 11:04:00', '2023-05-22T11:04:00Z'],
    ['2020-01-17T14:32:48.75Z', '2020-01-17T14:32:48.750Z'],
    ['2026-03-14T16:30+10:30', '2026-03-14T06:00:00Z'],
    ['2026-03-14T16:30:00-0930', '2026-03-15T02:00:00Z'],
    ['2026-03-14', '2026-03-14T00:00:00Z'],
    ['2024-02-29T00:00Z', '2024-02-29T00:00:00Z'],
    ['2026-02-29T00:00Z', null],
    ['2026-13-01T00:00Z', null],
    ['2026-03-14T25:00Z', null],
    ['14.03.2026', null],
  ])('%s', (text, time) => expect(parseTime(text)).toBe(time));

  it('years of two digits turn at 50', () => {
    expect([fullYear(80), fullYear(50), fullYear(49), fullYear(14)]).toEqual([1980, 1950, 2049, 2014]);
  });

  it('days that do not exist have no time', () => {
    expect(isoUtc(2026, 4, 31)).toBeNull();
    expect(isoUtc(2026, 4, 30, 24)).toBe('2026-05-01T00:00:00Z');
    expect(nearestDayTime(32, 0, 0, REFERENCE_S)).toBeNull();
    expect(nearestDayTime(15, 0, 0, Infinity)).toBeNull();
    expect(nearestDayTime(31, 0, 0, Date.UTC(2026, 3, 15) / 1000)).toBe('2026-03-31T00:00:00Z');
  });
});
