// The mission at the moment that is looked at: reports judged, winds analysed, the descent in the analysed wind.
// Recomputed in parts: an edit that leaves the log alone does not fold it again, and a minute that passes moves nothing
// unless a report's fate changed.
import { computed, type ReadonlySignal } from '@preact/signals';
import { expectedOf, type Expected } from '../../../core/mission/expected.ts';
import type { Outlook } from '../../../core/descent/outlook.ts';
import type { World } from '../../../core/descent/scenario.ts';
import type { LogEvent } from '../../../core/log/events.ts';
import { missionAt, type MissionState } from '../../../core/log/fold.ts';
import type { Mission } from '../../../core/plan/schema.ts';
import { situationOf, type Situation } from '../../../core/mission/situation.ts';
import type { WindsAnalysis } from '../../../core/winds/analysis.ts';
import { newestOf } from '../stored/clock.ts';
import { at, type Json } from '../stored/json.ts';

/** Ages are shown in minutes: the live moment goes on by the minute, and with each event of the log. */
const MINUTE_MS = 60_000;

export interface SituationSignals {
  /** The live moment, s since 1970: now by the minute, or the newest event's time where that is later. */
  readonly live_s: ReadonlySignal<number>;
  /** The moment that everything is shown for: the live one, or the past one that is looked at. */
  readonly shown_s: ReadonlySignal<number>;
  /** A moment before now is looked at: what is shown was known then. */
  readonly past: ReadonlySignal<boolean>;
  readonly situation: ReadonlySignal<Situation | null>;
  /** Forecast and analysis; the same object while neither changed. */
  readonly world: ReadonlySignal<World | null>;
  /** The descent that is expected: from the last fix, the exit that was, or the plan's. */
  readonly expected: ReadonlySignal<Expected | null>;
  /** When the jumper leaves by the plan, or left by the log, ms since 1970; NaN without a mission. */
  readonly exit_ms: ReadonlySignal<number>;
  readonly outlook: ReadonlySignal<Outlook | null>;
}

export interface SituationInputs {
  readonly plan: ReadonlySignal<Json | null>;
  readonly mission: ReadonlySignal<Mission | null>;
  readonly forecastWorld: ReadonlySignal<World | null>;
  readonly log: ReadonlySignal<readonly LogEvent[]>;
  readonly now_ms: ReadonlySignal<number>;
  readonly moment_ms: ReadonlySignal<number | null>;
}

/**
 * The parts of a plan that decide what becomes of a report: places, teams, how long and how far a wind is remembered.
 */
const FOLDED = ['site', 'teams', 'landingZones', 'landmarks', 'hazards', 'uncertainty'] as const;

export function situationSignals(of: SituationInputs): SituationSignals {
  const newest = computed(() => newestOf(of.log.value));
  const minute = computed(() => Math.floor(of.now_ms.value / MINUTE_MS) * MINUTE_MS);
  const live_s = computed(() => Math.max(minute.value, newest.value ?? -Infinity) / 1000);
  const shown_s = computed(() => {
    const moment = of.moment_ms.value;
    return moment === null ? live_s.value : Math.min(Math.floor(moment / 1000), live_s.value);
  });
  // Within a minute of now nothing else is shown than now.
  const past = computed(() => of.moment_ms.value !== null && of.moment_ms.value < of.now_ms.value - MINUTE_MS);
  const state = foldedState(of, shown_s);
  const windsOf = rememberingWinds();
  const steady = steadyWorld();
  const situation = computed((): Situation | null => {
    const mission = of.mission.value;
    const folded = state.value;
    const base = of.forecastWorld.value;
    if (mission === null || folded === null || base === null) return null;
    return windsOf(mission, folded, base);
  });
  const world = computed(() => {
    const now = situation.value;
    const base = of.forecastWorld.value;
    return now === null || base === null ? null : steady(base, now.world);
  });
  const expected = computed(() => {
    const now = situation.value;
    const held = world.value;
    return now === null || held === null ? null : expectedOf({ ...now, world: held });
  });
  const outlook = computed(() => expected.value?.outlook ?? null);
  const exit_ms = computed(() => {
    const left_s = expected.value?.planned.scenario.exit.time_s;
    return left_s === undefined ? Date.parse(of.mission.value?.exit.time ?? '') : Math.round(1000 * left_s);
  });
  return { live_s, shown_s, past, situation, world, expected, exit_ms, outlook };
}

function foldedState(of: SituationInputs, shown_s: ReadonlySignal<number>): ReadonlySignal<MissionState | null> {
  const parts = FOLDED.map((name) =>
    computed(() => (of.plan.value === null ? null : (at(of.plan.value, [name]) ?? null))),
  );
  const readable = computed(() => of.mission.value !== null);
  return computed(() => {
    for (const part of parts) void part.value;
    if (!readable.value) return null;
    const mission = of.mission.peek();
    return mission === null ? null : missionAt(mission, of.log.value, shown_s.value);
  });
}

/**
 * The winds of a folded state; remembered while only what they do not hang on was edited (where the exit is, not when
 * or how high).
 */
function rememberingWinds(): (mission: Mission, state: MissionState, base: World) => Situation {
  let last: {
    readonly key: string;
    readonly state: MissionState;
    readonly base: World;
    readonly situation: Situation;
  } | null = null;
  return (mission, state, base) => {
    const key = `${mission.exit.time} ${mission.exit.altitude_m}`;
    if (last !== null && last.key === key && last.state === state && last.base === base)
      return { ...last.situation, mission };
    const situation = situationOf(mission, state, base);
    last = { key, state, base, situation };
    return situation;
  };
}

/**
 * A world that stays the same object while forecast and analysis say the same: a minute that passed is no reason to fly
 * again.
 */
function steadyWorld(): (base: World, next: World) => World {
  let last: { readonly base: World; readonly world: World } | null = null;
  return (base, next) => {
    if (last !== null && last.base === base && sameAnalysis(last.world.analysis, next.analysis)) return last.world;
    last = { base, world: next };
    return next;
  };
}

const sameNumbers = (a: Float64Array, b: Float64Array): boolean =>
  a.length === b.length && a.every((x, i) => x === b[i]);

/** Whether two analyses are the same to the bit: the same observations at the same moment are. */
function sameAnalysis(a: WindsAnalysis | null, b: WindsAnalysis | null): boolean {
  if (a === null || b === null) return a === b;
  return (
    a.valid_s === b.valid_s &&
    a.observations.length === b.observations.length &&
    sameNumbers(a.increment.heights_m, b.increment.heights_m) &&
    sameNumbers(a.increment.u_mps, b.increment.u_mps) &&
    sameNumbers(a.increment.v_mps, b.increment.v_mps) &&
    sameNumbers(a.std_mps, b.std_mps)
  );
}
