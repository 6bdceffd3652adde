// Names that files give each other: one name for one idea in core, and none that nothing but a test takes. The two
// lists hold what was there when the rule came; they only ever get shorter.
import { describe, expect, it } from 'vitest';
import { sourcesBelow, type Source } from './sources.ts';

const core = sourcesBelow('core');
const all = [...core, ...sourcesBelow('main'), ...sourcesBelow('renderer')];

/** Exported twice in core, each once more than the one that should keep the name. */
const STILL_TWICE: ReadonlySet<string> = new Set([
  'Answers',
  'Column',
  'Fix',
  'Meaning',
  'NewReport',
  'Place',
  'PlacedEllipse',
  'Quantity',
  'Question',
  'QuestionAbout',
  'QuestionKey',
  'ReportContext',
  'ReportReading',
  'Said',
  'Track',
  'WGS84_F',
  'carrierOf',
  'inverse',
  'landmarkToward',
  'levelOf',
  'numberOf',
  'textOf',
  'timeOf',
]);

/** Taken by tests alone: most are second ways to a number that a test compares. */
const STILL_UNUSED: ReadonlySet<string> = new Set([
  'QuestionAbout',
  'QuestionKey',
  'Steering',
  'configuration',
  'crewBoard',
  'errorCorrelation',
  'fitZones',
  'formatDeclination',
  'grib2Fields',
  'normalGravity',
  'otherBody',
  'placeCrews',
  'readFuseWire',
  'readMetar',
  'readPilot',
  'readTemp',
  'searchPlaces',
  'standalone',
]);

/** Exported names, each with the files that export it. */
function exporters(sources: readonly Source[]): Map<string, string[]> {
  const found = new Map<string, string[]>();
  for (const { path, exported } of sources)
    for (const name of exported) if (name !== '*') found.set(name, [...(found.get(name) ?? []), path]);
  return found;
}

describe('an exported name', () => {
  it('stands in one file of core only', () => {
    const twice = [...exporters(core)].filter(([, files]) => files.length > 1).map(([name]) => name);
    expect(twice.filter((name) => !STILL_TWICE.has(name))).toEqual([]);
  });

  it('is used, by another file or in its own; a test alone does not count', () => {
    const used = new Set(all.flatMap(({ uses }) => uses.map(({ file, name }) => `${file} ${name}`)));
    const unused = all.flatMap(({ path, code, exported }) =>
      exported
        .filter((name) => name !== '*' && !used.has(`${path} ${name}`) && !used.has(`${path} *`))
        .filter((name) => code.split(new RegExp(`\\b${name.replaceAll('$', '\\$')}\\b`)).length < 3),
    );
    expect(unused.filter((name) => !STILL_UNUSED.has(name))).toEqual([]);
    expect(all.length).toBeGreaterThan(300);
  });
});
