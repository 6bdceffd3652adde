// How times and memory grow with a mission, its log and its files: each size in a process of its own (`growth.mjs`), so
// that the peak of memory is that size's. Milliseconds of this thread's work, megabytes at the peak.
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { adviseOn } from '../../core/advice/advise.ts';
import { briefOf } from '../../core/brief/brief.ts';
import { BRIEF_OPTIONS, briefSource } from '../../core/brief/source.ts';
import { briefText } from '../../core/brief/text.ts';
import { logLine, linkOf } from '../../core/log/chain.ts';
import type { LogEvent } from '../../core/log/events.ts';
import { missionAt } from '../../core/log/fold.ts';
import { readLog } from '../../core/log/read.ts';
import { readWindFile } from '../../core/formats/winds/winds.ts';
import { readTerrain } from '../../core/formats/terrain/terrain.ts';
import { assemble } from '../../core/mission/load.ts';
import { defaultMoment_s, situationAt } from '../../core/mission/situation.ts';
import { readMission } from '../../core/plan/read.ts';
import type { Mission } from '../../core/plan/schema.ts';
import { loadDemo } from '../demo.ts';
import { writeForecast, type Packing } from './growthGrib.ts';
import { deflatedTerrain } from './growthTerrain.ts';
import { joined } from '../../renderer/state/stored/arrivals.ts';
import { inputsOf, storeOf } from '../renderer/store.ts';
import { worked_ms } from './cpuTime.ts';

export interface Grown {
  readonly work_ms: number;
  /** A further event in the window's state, what is derived from it included, where that is measured. */
  readonly further_ms?: number;
}

type Place = [number, number];

/** The demo's own things again and again, each a little to the side, with a number behind its name. */
function again<T extends { readonly name: string }>(
  list: readonly T[],
  count: number,
  moved: (one: T, k: number) => T,
): T[] {
  return Array.from({ length: count }, (_, k) => {
    const one = list[k % list.length];
    if (one === undefined) throw new Error('the demo has none of these');
    return k < list.length ? one : { ...moved(one, k), name: `${one.name} ${k}` };
  });
}

const shift = ([lon, lat]: readonly [number, number], k: number): Place => [
  lon + 0.004 * ((k * 7) % 41) - 0.08,
  lat + 0.003 * ((k * 11) % 37) - 0.055,
];

const MEADOW = join(process.cwd(), 'data', 'town-meadow', 'town-meadow.mission.json');

/** `size` crews, half as many cases, 12.5 times as many hazards, five times as many zones where they are asked for. */
function grownMission(size: number, withZones: boolean): Mission {
  const read = readMission(readFileSync(MEADOW, 'utf8'));
  if (read.value === null) throw new Error('the demo is a mission');
  const { mission } = read.value;
  const cases = Array.from({ length: size >> 1 }, (_, k) => ({
    name: `late ${k}`,
    changes: { exit: { altitude_m: mission.exit.altitude_m - 10 * (k + 1) } },
  }));
  const grown = {
    ...mission,
    teams: again(mission.teams ?? [], size, (one, k) => ({ ...one, position: shift(one.position, k) })),
    hazards: again(mission.hazards ?? [], Math.round(12.5 * size), (one, k) =>
      'polygon' in one
        ? { ...one, polygon: (one.polygon as readonly Place[]).map((place) => shift(place, k)) }
        : { ...one, line: one.line.map((place) => shift(place, k)) },
    ),
    cases,
    ...(withZones
      ? {
          landingZones: again(mission.landingZones ?? [], 5 * size, (one, k) => ({
            ...one,
            polygon: one.polygon.map((place) => shift(place, k)),
          })),
        }
      : {}),
  };
  const whole = readMission(JSON.stringify(grown));
  if (whole.value === null) throw new Error(whole.problems.map(({ text }) => text).join('; '));
  return whole.value.mission;
}

async function situationOf(mission: Mission) {
  const { log, windSources, terrain, roads } = await loadDemo('town-meadow');
  const { world } = assemble(mission, { windSources, terrain });
  return { situation: situationAt(mission, log, world, defaultMoment_s(mission, log)), log, roads };
}

async function timed(run: () => void | Promise<void>): Promise<Grown> {
  const began = worked_ms();
  await run();
  return { work_ms: worked_ms() - began };
}

async function brief(size: number): Promise<Grown> {
  const { situation, log, roads } = await situationOf(grownMission(size, false));
  return timed(() => void briefText(briefOf(briefSource(situation, log, roads, BRIEF_OPTIONS).source)));
}

async function advise(size: number): Promise<Grown> {
  const { situation } = await situationOf(grownMission(size, true));
  return timed(() => void adviseOn(situation, { members: 2000 }));
}

/** So many further events warm the window's state up, and as many are timed. */
const FURTHER = 50;

/** Fixes of a jumper every fifth of a second, and a note now and then, as the program writes them. */
function longLogText(count: number): { text: string; next: LogEvent } {
  const event = (seq: number): LogEvent => ({
    seq,
    at: new Date(Date.UTC(2027, 4, 29, 12) + 200 * seq).toISOString(),
    ...(seq % 50 === 0
      ? { kind: 'note' as const, text: `note ${seq}` }
      : {
          kind: 'fix' as const,
          body: 'jumper',
          position: [14.92 + 1e-6 * seq, 49.41] as Place,
          height_m: 4000 - seq / 100,
        }),
  });
  let link = '';
  const lines = Array.from({ length: count }, (_, i) => {
    const line = logLine(event(i + 1), link);
    link = linkOf(line);
    return line;
  });
  return { text: `${lines.join('\n')}\n`, next: event(count + 1) };
}

async function log(size: number): Promise<Grown> {
  const loaded = await loadDemo('town-meadow');
  const { text, next } = longLogText(size);
  const at_s = Date.parse(next.at) / 1000;
  let events: readonly LogEvent[] = [];
  const opened = await timed(() => {
    events = readLog(text).value;
    missionAt(loaded.mission, events, at_s);
  });
  if (events.length !== size) throw new Error(`${events.length} of ${size} events were read`);
  // A window that has been open for a while: the code is warm, and one event comes after another.
  const store = storeOf({ ...inputsOf(loaded, 1000 * at_s), log: events });
  const further = (k: number): void => {
    store.log.value = joined(store.log.peek(), [{ ...next, seq: next.seq + k }]);
    void [store.situation.value, store.reportTable.value, store.problems.value, store.verdict.value];
  };
  for (let k = 0; k < FURTHER; k++) further(k);
  const later = await timed(() => {
    for (let k = FURTHER; k < 2 * FURTHER; k++) further(k);
  });
  return { ...opened, further_ms: later.work_ms / FURTHER };
}

async function terrain(side: number): Promise<Grown> {
  const bytes = deflatedTerrain(side);
  let cells = 0;
  const grown = await timed(async () => {
    const read = await readTerrain('grown.tif', bytes, [10.5, 49.5]);
    if (read.value === null) throw new Error(read.problems.map(({ text }) => text).join('; '));
    cells = read.value.columns * read.value.rows;
  });
  if (!(cells > 0)) throw new Error('no terrain was read');
  return grown;
}

/** A forecast of `megabytes`, at a place near its end: of what is packed in one run all that lies before it is read. */
async function grib(megabytes: number, packing: Packing): Promise<Grown> {
  const folder = mkdtempSync(join(tmpdir(), 'plumbline-grib-'));
  try {
    const path = join(folder, 'grown.grib2');
    await writeForecast(path, 1e6 * megabytes, packing);
    let levels = 0;
    const grown = await timed(async () => {
      const read = await readWindFile({ name: 'grown.grib2', bytes: readFileSync(path) }, { near: [10.1, -45.1] });
      levels = read.value.decoded.reduce((sum, one) => sum + one.levels.length, 0);
    });
    if (!(levels > 0)) throw new Error('no winds were read');
    return grown;
  } finally {
    rmSync(folder, { recursive: true });
  }
}

const GRIB_SIZES = [12.5, 25, 50, 100] as const;
const gribRow = (packing: Packing) => ({
  sizes: GRIB_SIZES,
  of: `MB of GRIB2, ${packing} packing`,
  wanted_ms: 3000,
  run: (megabytes: number): Promise<Grown> => grib(megabytes, packing),
});

/** Each with its sizes, doubled, and what is wanted at the largest. */
export const GROWTH = {
  brief: { sizes: [5, 10, 20, 40], of: 'crews', wanted_ms: 5000, run: brief },
  advise: { sizes: [5, 10, 20, 40], of: 'crews, with five times as many zones', wanted_ms: 8000, run: advise },
  log: { sizes: [6250, 12_500, 25_000, 50_000], of: 'events', wanted_ms: 2000, run: log },
  terrain: { sizes: [1250, 2500, 5000, 10_000], of: 'cells a side', wanted_ms: 3000, run: terrain },
  grib: gribRow('complex'),
  gribSimple: gribRow('simple'),
  gribJpeg2000: gribRow('JPEG 2000'),
} as const;
