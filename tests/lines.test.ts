// Lines have at most 120 characters, in comments and strings as well: prettier holds code alone. In tests a case's name
// is one sentence on one line, so there comments alone are held.
import { readdirSync, readFileSync } from 'node:fs';
import { join, relative } from 'node:path';
import { describe, expect, it } from 'vitest';
import { projectRoot } from './openData.ts';

const MOST = 120;

/**
 * How many longer lines a file still has: regular expressions, text of another language whose lines are its own, and
 * sentences that would fit but for the name before them. The numbers only ever get smaller.
 */
const STILL_LONG: Readonly<Record<string, number>> = {
  'core/advice/zoneFit.ts': 1,
  'core/air/gridProblems.ts': 1,
  'core/brief/crewPage.ts': 1,
  'core/brief/html.ts': 4,
  'core/brief/paper/key.ts': 1,
  'core/brief/phone.ts': 5,
  'core/brief/sheetStyle.ts': 1,
  'core/earth/positionIn.ts': 1,
  'core/formats/grids/grib2.ts': 1,
  'core/formats/grids/netcdf/quantities.ts': 1,
  'core/formats/grids/netcdf/time.ts': 1,
  'core/formats/messages/called.ts': 2,
  'core/formats/messages/report/correction.ts': 1,
  'core/formats/messages/report/vocabulary.ts': 1,
  'core/formats/messages/report/weatherLine.ts': 1,
  'core/formats/out/gpxOut.ts': 1,
  'core/formats/out/kmlOut.ts': 2,
  'core/formats/tracks/fixes.ts': 1,
  'core/formats/winds/checked.ts': 1,
  'core/formats/winds/metar.ts': 1,
  'core/mission/caseKinds.ts': 1,
  'core/recovery/smoke.ts': 1,
  'core/winds/observe.ts': 1,
  'core/winds/reversal.ts': 2,
  'core/winds/suspect.ts': 1,
  'core/words/spoken.ts': 2,
  'main/cli/brief.ts': 1,
  'main/cli/commands.ts': 2,
  'main/cli/phoneScript.ts': 2,
  'main/cli/recoveryText.ts': 1,
  'main/cli/winds.ts': 1,
  'renderer/map/handle.ts': 3,
  'renderer/state/derived/moves.ts': 1,
  'renderer/state/explaining/crewsWhy.ts': 1,
  'renderer/state/explaining/decideWhy.ts': 1,
  'renderer/state/explaining/exitsWhy.ts': 1,
  'renderer/state/explaining/searchWhy.ts': 1,
  'renderer/strip/WhatIf.tsx': 2,
  'renderer/timebar/TimeBar.tsx': 1,
  'renderer/winds/LevelEditor.tsx': 1,
};

function filesBelow(folder: string): string[] {
  return readdirSync(join(projectRoot, folder), { recursive: true, withFileTypes: true })
    .filter((entry) => entry.isFile() && /\.(ts|tsx|mjs|css)$/.test(entry.name))
    .map((entry) => relative(projectRoot, join(entry.parentPath, entry.name)).replaceAll('\\', '/'));
}

const longIn = (file: string): string[] =>
  readFileSync(join(projectRoot, file), 'utf8')
    .split('\n')
    .flatMap((line, i) => (line.length > MOST ? [`${file}:${i + 1} ${line.trim()}`] : []));

const isComment = (found: string): boolean => /^\S+ (\/\/|\*|\/\*)/.test(found);

describe('a line', () => {
  it('of the product has at most 120 characters', () => {
    const files = ['core', 'renderer', 'main'].flatMap(filesBelow);
    expect(files.length).toBeGreaterThan(400);
    const more = files.map((file) => ({ file, long: longIn(file) }));
    expect(more.filter(({ file, long }) => long.length > (STILL_LONG[file] ?? 0)).flatMap(({ long }) => long)).toEqual(
      [],
    );
  });

  it('of a comment in a test has, too', () => {
    expect(filesBelow('tests').flatMap(longIn).filter(isComment)).toEqual([]);
  });
});
