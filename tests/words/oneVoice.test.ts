// One voice: what a person reads is formatted in `core/words/`, and nothing there has a second name. Read from the
// sources themselves, without their comments.
import { readdirSync, readFileSync } from 'node:fs';
import { join, sep } from 'node:path';
import { parseSync } from 'vite';
import { describe, expect, it } from 'vitest';
import { projectRoot } from '../openData.ts';

const FORMATS: readonly (readonly [what: string, pattern: RegExp])[] = [
  ['the size of a spread', /distance\([^()]*semi(?:Major|Minor)_m/],
  ['toFixed', /\.toFixed\(/],
  ['toLocaleString', /\.toLocale\w*String\(/],
  ['padStart with zeros', /\.padStart\([^()]*(?:\([^()]*\)[^()]*)*'0'\)/],
  ['toISOString', /\.toISOString\(/],
  ['a thin space', /\\u202f|\\u2009|[\u202f\u2009]/],
  ['a degree sign behind a number', /\}°/],
  ['thousands by hand', /\\B\(\?=\(\\d\{3\}\)/],
];

const SVG = 'numbers of an SVG path';
const DIGITS = 'digits that a person typed, said back';
/** Who may all the same, and why. */
const MAY: Readonly<Record<string, string>> = {
  'core/base/plainNumbers.ts': 'numbers and times of files',
  'core/base/plainText.ts': 'escapes of a JSON text',
  'core/brief/paper/svg.ts': SVG,
  'core/brief/paper/frame.ts': 'degrees and minutes along the edge of a map',
  'core/brief/version.ts': 'hexadecimal digits of a fingerprint',
  'core/earth/utm.ts': 'digits of a grid reference',
  'core/formats/out/receiver.ts': 'numbers of a receiver’s sentences',
  'core/formats/out/xmlText.ts': 'numbers of a file',
  'core/formats/messages/report/correction.ts': 'a line that is read again',
  'core/formats/messages/called.ts': 'spaces that are read',
  'core/formats/messages/report/directions.ts': DIGITS,
  'core/formats/messages/report/meanings.ts': DIGITS,
  'core/formats/messages/report/reading.ts': DIGITS,
  'core/formats/tracks/nmea.ts': 'hexadecimal digits of a checksum',
  'core/air/gridProblems.ts': 'lies below the words',
  'core/air/lattice.ts': 'lies below the words',
  'main/cli/phoneScript.ts': 'a clock that runs in the page of a telephone, without the program',
  'main/cli/arguments.ts': 'a date that is checked against itself',
  'main/desk.ts': 'times of files',
  'main/files/lock.ts': 'times of files',
  'main/files/save.ts': 'times of files',
  'renderer/panels/CaseSign.tsx': SVG,
  'renderer/panels/Others.tsx': SVG,
  'renderer/reports/ReportMark.tsx': SVG,
  'renderer/winds/Chart.tsx': SVG,
  'renderer/winds/Hours.tsx': 'a share of a width in CSS',
  'renderer/winds/Reported.tsx': SVG,
};

const sources = ['core', 'renderer', 'main'].flatMap((folder) =>
  readdirSync(join(projectRoot, folder), { recursive: true, withFileTypes: true })
    .filter((entry) => entry.isFile() && /\.tsx?$/.test(entry.name))
    .map((entry) => {
      const path = join(entry.parentPath, entry.name);
      const text = readFileSync(path, 'utf8');
      const code = parseSync(path, text).comments.reduce(
        (rest, { start, end }) => rest.slice(0, start) + ' '.repeat(end - start) + rest.slice(end),
        text,
      );
      return {
        path: path
          .slice(projectRoot.length + 1)
          .split(sep)
          .join('/'),
        code,
      };
    }),
);
const found = (code: string): string[] => FORMATS.filter(([, pattern]) => pattern.test(code)).map(([what]) => what);

describe('a number that a person reads', () => {
  it('is formatted in core/words and nowhere else', () => {
    expect(sources.length).toBeGreaterThan(400);
    const wrong = sources
      .filter(({ path }) => !path.startsWith('core/words/') && !(path in MAY))
      .flatMap(({ path, code }) => found(code).map((what) => `${path}: ${what}`));
    expect(wrong).toEqual([]);
  });

  it('has exceptions that exist and are needed', () => {
    const needless = Object.keys(MAY).filter(
      (path) => found(sources.find((source) => source.path === path)?.code ?? '').length === 0,
    );
    expect(needless).toEqual([]);
  });

  it.each([
    '`${x.toFixed(1)}`',
    'x.toLocaleString()',
    "String(x).padStart(3, '0')",
    'new Date(0).toISOString().slice(11, 19)',
    '`${x}\\u202fm`',
    '`${x}°`',
    'distance(ellipse.semiMajor_m, units)',
  ])('is found where it is not: %s', (code) => expect(found(code)).not.toEqual([]));
});

describe('one idea', () => {
  const OTHER_NAMES =
    /^(threeDigits|degrees3|thin|calm_?mps|clockZ|clock(Utc|Local|Words)|(age|minutes|duration|length|height|speed|percent)Words|hectares|megabytes)$/i;
  const namesIn = (code: string, pattern: RegExp): string[] =>
    [...code.matchAll(pattern)].map((match) => match[1] ?? '');
  // A meaning of the reports' grammar has the name of what was said.
  const EXPORTED = /^export (?:const|function) (\w+)\b(?!: Meaning)/gm;

  it('has one name in core, and no other one of its old names anywhere', () => {
    const words = sources.filter(({ path }) => path.startsWith('core/words/'));
    const ours = words.flatMap(({ code }) => namesIn(code, EXPORTED));
    expect(ours.length).toBeGreaterThan(50);
    expect(new Set(ours).size).toBe(ours.length);
    const elsewhere = sources.filter(({ path }) => !path.startsWith('core/words/'));
    const taken = elsewhere
      .filter(({ path }) => path.startsWith('core/'))
      .flatMap(({ path, code }) => namesIn(code, EXPORTED).map((name) => `${path}: ${name}`))
      .filter((one) => ours.some((name) => one.endsWith(`: ${name}`)));
    const again = elsewhere.flatMap(({ path, code }) =>
      namesIn(code, /^(?:export )?(?:const|function) (\w+)/gm)
        .filter((name) => OTHER_NAMES.test(name))
        .map((name) => `${path}: ${name}`),
    );
    expect([...taken, ...again]).toEqual([]);
  });
});
