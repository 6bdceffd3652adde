// What the window shows is a function of plan, files, log and moment: however they came to be what they are, a store
// that is made from them shows the same. The sequences are drawn at random, the seed stands in a failure.
import { fc } from '../property.ts';
import { beforeAll, beforeEach, describe, expect, it, vi } from 'vitest';
import type { LogEvent } from '../../core/log/events.ts';
import type { Loaded } from '../../core/mission/load.ts';
import { edit, endEdit, redo, undo } from '../../renderer/state/acting/actions.ts';
import { createScene } from '../../renderer/state/derived/scene.ts';
import type { Store } from '../../renderer/state/derived/store.ts';
import { columnsOf } from '../../renderer/state/derived/winds.ts';
import { at, drop, isObject, put, type Json, type Path } from '../../renderer/state/stored/json.ts';
import { loadDemo } from '../demo.ts';
import { inputsIn, inputsOf, storeOf } from './store.ts';

beforeEach(() => {
  vi.stubGlobal('window', { setTimeout: () => 0, clearTimeout: () => {} });
  vi.stubGlobal('requestAnimationFrame', () => 0);
});

/** Heights at which two error functions are compared, m MSL. */
const HEIGHTS_M = [0, 900, 3000, 12_000, 31_000];

const told = new WeakMap<object, unknown>();

/** A value as plain data: the functions of a wind error are asked at some heights, other functions are left out. */
function plain(value: unknown): unknown {
  if (typeof value === 'function') return 'a function';
  if (typeof value !== 'object' || value === null || ArrayBuffer.isView(value)) return value;
  const known = told.get(value);
  if (known !== undefined) return known;
  const found = plainObject(value);
  told.set(value, found);
  return found;
}

function plainObject(value: object): unknown {
  if (Array.isArray(value)) return value.map((one) => plain(one));
  if (value instanceof Map) return [...value].map(([key, one]) => [key, plain(one)]);
  if (value instanceof Set) return [...value];
  const entries = Object.entries(value).map(([key, one]: [string, unknown]) => [
    key,
    key === 'std_mps' || key === 'zeta' ? atHeights(one) : plain(one),
  ]);
  return Object.fromEntries(entries);
}

const atHeights = (of: unknown): unknown =>
  typeof of === 'function' ? HEIGHTS_M.map((height_m) => Number(Reflect.apply(of, null, [height_m]))) : of;

/** Everything that follows from plan, files, log and moment. What moved the landing is a record of this sitting. */
function shown(store: Store): unknown {
  const scene = createScene(store).value;
  const plan = store.plan.value;
  const mission = store.mission.value;
  const { beside } = store;
  return plain({
    mission,
    problems: store.problems.value,
    forecast: store.forecastWorld.value,
    live_s: store.live_s.value,
    shown_s: store.shown_s.value,
    past: store.past.value,
    exit_ms: store.exit_ms.value,
    situation: store.situation.value,
    world: store.world.value,
    expected: store.expected.value,
    prediction: store.prediction.value,
    where: store.where.value,
    reports: store.reportTable.value,
    alertView: store.alertView.value,
    scene: scene === null ? null : { ...scene, trail: [] },
    columns: plan === null || mission === null ? null : columnsOf(plan, mission, beside.value?.windSources ?? []),
  });
}

const expectAsIfNew = (store: Store): void => expect(shown(store)).toEqual(shown(storeOf(inputsIn(store))));

let loaded: Readonly<Record<'salt-plain' | 'town-meadow', Loaded>>;
beforeAll(async () => {
  loaded = { 'salt-plain': await loadDemo('salt-plain'), 'town-meadow': await loadDemo('town-meadow') };
});
const nowOf = ({ log, mission }: Loaded): number =>
  log.reduce((last, event) => Math.max(last, Date.parse(event.at)), Date.parse(mission.exit.time) - 3_600_000);

describe('an edited wind error', () => {
  it('is the error of the window’s world also where no report counts', () => {
    const store = storeOf({ ...inputsOf(loaded['salt-plain'], nowOf(loaded['salt-plain'])), log: [] });
    expect(store.world.value?.analysis).toBeNull();
    const exit_s = Date.parse(loaded['salt-plain'].mission.exit.time) / 1000;
    const before = store.world.value?.errors.std_mps(1000, exit_s);
    edit(store, 'wind error', (plan) => put(plan, ['uncertainty', 'wind', 'std_mps'], [[0, 25.7]]));
    expect(before).toBeLessThan(5);
    // Its growth between two hours of the forecast is small beside that.
    expect(store.world.value?.errors.std_mps(1000, exit_s)).toBeCloseTo(25.7, 1);
    expectAsIfNew(store);
  });
});

/** Every place in a plan where a value stands. */
function leavesOf(value: Json, path: Path = []): Path[] {
  if (Array.isArray(value)) return [path, ...value.flatMap((one: Json, i) => leavesOf(one, [...path, i]))];
  if (isObject(value)) return Object.entries(value).flatMap(([key, one]) => leavesOf(one, [...path, key]));
  return [path];
}

type Step =
  | { readonly kind: 'edit'; readonly where: number; readonly by: number; readonly merge: boolean }
  | { readonly kind: 'drop'; readonly where: number }
  | { readonly kind: 'undo' | 'redo' | 'tick' | 'now' | 'file' }
  | { readonly kind: 'moment'; readonly share: number }
  | { readonly kind: 'log'; readonly event: number; readonly change: number };

const step: fc.Arbitrary<Step> = fc.oneof(
  {
    weight: 6,
    arbitrary: fc.record({
      kind: fc.constant('edit' as const),
      where: fc.noBias(fc.nat()),
      by: fc.constantFrom(0.5, 0.9, 1.01, 1.5, 3),
      merge: fc.boolean(),
    }),
  },
  { weight: 1, arbitrary: fc.record({ kind: fc.constant('drop' as const), where: fc.noBias(fc.nat()) }) },
  { weight: 3, arbitrary: fc.record({ kind: fc.constantFrom('undo' as const, 'redo', 'tick', 'now', 'file') }) },
  {
    weight: 1,
    arbitrary: fc.record({ kind: fc.constant('moment' as const), share: fc.double({ min: 0, max: 1.1, noNaN: true }) }),
  },
  {
    weight: 4,
    arbitrary: fc.record({ kind: fc.constant('log' as const), event: fc.nat(), change: fc.nat({ max: 5 }) }),
  },
);

/** A value near the one that stands there, of its kind. */
function nearby(value: Json | undefined, by: number): Json | undefined {
  if (typeof value === 'number') return value === 0 ? by : Number((value * by).toPrecision(8));
  if (typeof value === 'boolean') return !value;
  if (typeof value !== 'string') return Array.isArray(value) ? [...(value as readonly Json[])].slice(0, -1) : undefined;
  const time_ms = Date.parse(value);
  return /^\d{4}-/.test(value) && Number.isFinite(time_ms)
    ? new Date(time_ms + by * 600_000).toISOString()
    : `${value}s`;
}

function take(store: Store, { log }: Loaded, one: Step): void {
  const plan = store.plan.value;
  if (plan === null) throw new Error('a mission is open');
  // Every group of the plan as often as another, though its winds have more numbers than all others together; the wind
  // error more often, because nothing but the spread shows it.
  const groups = [...(isObject(plan) ? Object.keys(plan) : []), ...Array.from({ length: 12 }, () => 'uncertainty')];
  const group = 'where' in one ? (groups[one.where % groups.length] ?? '') : '';
  const leaves = leavesOf(at(plan, [group]) ?? null, [group]);
  const newest_ms = store.live_s.value * 1000;
  switch (one.kind) {
    case 'edit': {
      const path = leaves[Math.floor(one.where / groups.length) % leaves.length] ?? [];
      const next = nearby(at(plan, path), one.by);
      if (next !== undefined) edit(store, path.join('.'), (held) => put(held, path, next), one.merge ? 'drag' : null);
      return one.merge ? undefined : endEdit(store);
    }
    case 'drop': {
      const path = leaves[Math.floor(one.where / groups.length) % leaves.length] ?? [];
      edit(store, 'left out', (held) => drop(held, path.slice(0, 1 + (one.where % path.length))));
      return;
    }
    case 'undo':
      return undo(store);
    case 'redo':
      return redo(store);
    case 'tick':
      store.now_ms.value += 61_000;
      return;
    case 'now':
      store.moment_ms.value = null;
      return;
    case 'moment': {
      const first_ms = Date.parse(log[0]?.at ?? '');
      store.moment_ms.value = first_ms + one.share * (newest_ms - first_ms);
      return;
    }
    case 'file': {
      const held = store.beside.value;
      if (held === null) return;
      const [gone, ...rest] = held.windSources;
      store.beside.value = { ...held, windSources: gone === undefined ? held.windSources : [...rest, { ...gone }] };
      return;
    }
    case 'log': {
      const from = log[one.event % log.length];
      if (from === undefined) return;
      const seq = (store.log.value.at(-1)?.seq ?? 0) + 1;
      store.log.value = [
        ...store.log.value,
        again(from, seq, new Date(newest_ms + 1000 * one.change).toISOString(), one.change),
      ];
    }
  }
}

/** An event of the log once more, later; of a report another one, a correction, a withdrawal or a confirmation. */
function again(event: LogEvent, seq: number, at: string, change: number): LogEvent {
  if (event.kind !== 'wind-report') return { ...event, seq, at };
  const turned = { ...event, seq, at, observedAt: at, id: `x${seq}`, from_deg: (event.from_deg + 40 * change) % 360 };
  if (change === 1) return { ...turned, kind: 'correction', corrects: event.id };
  if (change === 2) return { kind: 'withdrawal', seq, at, of: event.id };
  if (change === 3) return { kind: 'confirmation', seq, at, of: event.id };
  return turned;
}

/** The demos leave the wind error to the program; here it is the plan's own. */
const WITH_ERRORS = {
  wind: {
    std_mps: [
      [0, 1.5],
      [10_000, 3],
    ],
    correlationLength_m: [
      [0, 500],
      [10_000, 1500],
    ],
    correlationTime_s: 21_600,
    correlationDistance_m: 50_000,
  },
  exitPosition_m: 150,
  exitTime_s: 5,
};

describe('what the window shows', () => {
  it.each(['salt-plain', 'town-meadow'] as const)(
    'of %s is what a store made from the same shows',
    (name) => {
      fc.assert(
        fc.property(fc.array(step, { minLength: 1, maxLength: 8 }), fc.boolean(), (steps, bare) => {
          const given = inputsOf(loaded[name], nowOf(loaded[name]));
          const inputs = { ...given, plan: put(given.plan, ['uncertainty'], WITH_ERRORS) };
          const store = storeOf(bare ? { ...inputs, log: [] } : inputs);
          for (const one of steps) {
            take(store, loaded[name], one);
            // Looked at between the steps, as the window does: what is remembered is remembered from here.
            shown(store);
          }
          expectAsIfNew(store);
        }),
        { numRuns: Number(process.env['PLUMBLINE_RUNS'] ?? 20) },
      );
    },
    600_000,
  );
});
