// One observer of a world is wrong, in one of the ways that people are: is that observer held back, are the others left
// alone, and do the ellipses still hold meanwhile? The worlds are those of otherTruths.ts, as the program assumes them.
import { declination_deg } from '../../core/earth/declination.ts';
import { M_PER_FT, MPS_PER_KT } from '../../core/base/units.ts';
import { Random } from '../../core/base/random.ts';
import type { LogEvent, WindReport } from '../../core/log/events.ts';
import { NOW_S } from './experimentWorld.ts';
import { GROUND_M, PLACE, TRUTHS, worlds, type ExitOf } from './otherTruths.ts';
import { hitOf, seen, Tally } from './truthExperiment.ts';

export interface Wrong {
  readonly name: string;
  /** What a wrong report says; null where it would say the same. */
  readonly says: (event: WindReport) => Partial<WindReport> | null;
  /** Which of an observer's reports: one, half of them, those from one on, all. */
  readonly share: 'none' | 'one' | 'some' | 'rest' | 'all';
}

const turned = declination_deg(PLACE, GROUND_M, NOW_S);
const EAST_DEG = turned.kind === 'known' ? turned.deg : NaN;

const reversed = ({ from_deg }: WindReport) => ({ from_deg: (from_deg + 180) % 360 });
export const WRONG: readonly Wrong[] = [
  { name: 'nobody', says: () => null, share: 'none' },
  { name: 'one report reversed', says: reversed, share: 'one' },
  { name: 'half of the reports reversed', says: reversed, share: 'some' },
  { name: 'reversed from one report on', says: reversed, share: 'rest' },
  { name: 'all reports reversed', says: reversed, share: 'all' },
  {
    name: `magnetic given as true (${EAST_DEG.toFixed(0)}°)`,
    says: ({ from_deg }) => ({ from_deg: (from_deg - EAST_DEG + 360) % 360 }),
    share: 'all',
  },
  {
    name: 'feet given as metres',
    says: ({ height_m }) => (height_m === undefined ? null : { height_m: height_m / M_PER_FT }),
    share: 'all',
  },
  { name: 'knots given as m/s', says: ({ speed_mps }) => ({ speed_mps: speed_mps / MPS_PER_KT }), share: 'all' },
];

/** A wind weaker than this and its reverse are hardly apart. */
const STRONG_MPS = 3;

export interface ObserverRow {
  readonly name: string;
  readonly exit: ExitOf;
  readonly trials: number;
  /** Observers with wrong reports above 3 m/s, and of these those all of whose such reports are held. */
  readonly observers: number;
  readonly heldObservers: number;
  /** Wrong reports above 3 m/s and those of them that are held; good ones and those that are held. */
  readonly wrong: number;
  readonly heldWrong: number;
  readonly good: number;
  readonly heldGood: number;
  /** Of the observers held: those about whom one question is asked. */
  readonly askedOnce: number;
  readonly in90: number;
}

/** Who may be wrong throughout: each has three reports or more. */
const OBSERVERS: { readonly [E in ExitOf]: readonly string[] } = {
  low: ['Mast', 'Balloon'],
  high: ['Mast', 'Balloon', 'Sonde', 'Team 1', 'Carrier'],
};

export function observerRow(wrong: Wrong, exit: ExitOf, trials: number, seed: number): ObserverRow {
  const tally = new Tally();
  const row = { observers: 0, heldObservers: 0, wrong: 0, heldWrong: 0, good: 0, heldGood: 0, askedOnce: 0 };
  const [truth] = TRUTHS;
  if (truth === undefined) throw new Error('no truth');
  const random = new Random(seed, 77);
  for (const world of worlds(truth, exit, trials, seed)) {
    const { log, ids } = spoilt(wrong, exit, world.log, random);
    const { winds, scenario } = seen(world, log);
    tally.add(hitOf(world, scenario));
    const held = new Set(winds.held.map(({ report }) => report.id));
    const strong = log.filter(({ id, speed_mps }) => ids.has(id) && speed_mps > STRONG_MPS);
    const heldStrong = strong.filter(({ id }) => held.has(id)).length;
    row.wrong += strong.length;
    row.heldWrong += heldStrong;
    row.good += log.length - ids.size;
    row.heldGood += log.filter(({ id }) => !ids.has(id) && held.has(id)).length;
    if (strong.length === 0) continue;
    row.observers += 1;
    if (heldStrong === strong.length) row.heldObservers += 1;
    if (winds.questions.filter((one) => one.ids.some((id) => ids.has(id))).length === 1) row.askedOnce += 1;
  }
  return { name: wrong.name, exit, trials, ...row, in90: tally.within(0.9) };
}

/** The log with one observer's reports as a wrong observer gives them, and which those are. */
function spoilt(wrong: Wrong, exit: ExitOf, log: readonly WindReport[], random: Random) {
  const names = OBSERVERS[exit].filter((by) => log.some((one) => one.by === by && wrong.says(one) !== null));
  const by = names[Math.floor(random.uniform() * names.length)];
  const ascent = lastAscent(log.filter((one) => one.by === by));
  const order = ascent.map((one) => ({ one, at: random.uniform() })).toSorted((a, b) => a.at - b.at);
  const from = Math.floor(ascent.length * (1 / 3 + random.uniform() / 3));
  const chosen = {
    none: [],
    one: order.slice(0, 1).map(({ one }) => one),
    some: order.slice(0, Math.ceil(ascent.length / 2)).map(({ one }) => one),
    rest: ascent.slice(from),
    all: ascent,
  }[wrong.share];
  const ids = new Set(chosen.map(({ id }) => id));
  const spoiltLog = log.map((one): WindReport => (ids.has(one.id) ? { ...one, ...wrong.says(one) } : one));
  return { log: spoiltLog satisfies readonly LogEvent[], ids };
}

/** In order of time; of the balloons of a day the last one: each is an observer of its own. */
function lastAscent(own: readonly WindReport[]): readonly WindReport[] {
  const inOrder = own.toSorted((a, b) => Date.parse(a.observedAt) - Date.parse(b.observedAt));
  if (own[0]?.source !== 'pilot-balloon') return inOrder;
  const begins = inOrder.findLastIndex(
    (one, i) => i > 0 && Date.parse(one.observedAt) - Date.parse(inOrder[i - 1]?.observedAt ?? '') > 1_800_000,
  );
  return inOrder.slice(Math.max(begins, 0));
}

const of = (part: number, all: number): string =>
  (all === 0 ? '–' : `${((100 * part) / all).toFixed(1)} %`).padStart(8);

export function* observersTable(trials: number, seed: number): Generator<string> {
  yield `${trials} trials each, seed ${seed}; of observers above ${STRONG_MPS} m/s: all wrong reports held, and asked about once`;
  yield `${'wrong'.padEnd(34)}from     observers    once  reports  good held   in 90`;
  for (const exit of ['low', 'high'] as const)
    for (const wrong of WRONG) {
      const row = observerRow(wrong, exit, trials, seed);
      yield (
        `${wrong.name.padEnd(34)}${exit === 'high' ? '39.0 km' : ' 3.8 km'} ${of(row.heldObservers, row.observers)} ` +
        `${of(row.askedOnce, row.observers)} ${of(row.heldWrong, row.wrong)} ${of(row.heldGood, row.good)}  ` +
        of(row.in90, 1)
      );
    }
}
