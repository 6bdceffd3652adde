// What follows from plan, files, log and moment, each step from what it reads and nothing else. An edit of the exit
// does not fold the log again, a minute that passes moves no landing: not because a list says so, but because what
// those steps read is the same.
import { computed, type ReadonlySignal } from '@preact/signals';
import type { Outlook } from '../../../core/descent/outlook.ts';
import type { Prediction } from '../../../core/descent/prediction.ts';
import type { World } from '../../../core/descent/scenario.ts';
import type { LogEvent } from '../../../core/log/events.ts';
import { Folding } from '../../../core/log/fold.ts';
import { endUnread, type LogGap } from '../../../core/log/gaps.ts';
import { expectedOf, type Expected } from '../../../core/mission/expected.ts';
import { analysisIn, windsAt, type Situation } from '../../../core/mission/situation.ts';
import type { Mission } from '../../../core/plan/schema.ts';
import { planReader, worldFrom, type Beside, type MissionProblem, type PlanReading } from '../../model.ts';
import { newestOf } from '../stored/clock.ts';
import { FAR_AHEAD_S } from './amiss.ts';
import type { Json } from '../stored/json.ts';
import { shoreFrom, type Shore } from '../../../core/recovery/water.ts';
import { whereOf, type Where } from '../../../core/recovery/where.ts';
import { partsOf, steady } from './parts.ts';
import { NO_REPORTS, reportTableOf, type ReportTable } from './reports.ts';

/** Ages are shown in minutes: the live moment goes on by the minute, and with each event of the log. */
const MINUTE_MS = 60_000;

export interface Given {
  readonly plan: ReadonlySignal<Json | null>;
  readonly beside: ReadonlySignal<Beside | null>;
  readonly log: ReadonlySignal<readonly LogEvent[]>;
  readonly now_ms: ReadonlySignal<number>;
  /** The moment looked at; null: now. */
  readonly moment_ms: ReadonlySignal<number | null>;
}

export interface Derived extends Moments, Expectation {
  /** A plan's mission; of the plan that was asked about last it is remembered, so that an edit reads its plan once. */
  readonly reading: (plan: Json) => PlanReading;
  readonly mission: ReadonlySignal<Mission | null>;
  /** The mission part by part, for what is computed from it (`parts.ts`). */
  readonly parts: ReadonlySignal<Mission | null>;
  readonly problems: ReadonlySignal<readonly MissionProblem[]>;
  /** What of the log's end could not be read when it was opened, and nothing stands behind it yet. */
  readonly unread: ReadonlySignal<LogGap | null>;
  /** The winds and air of the plan and its files alone, without reports. */
  readonly forecastWorld: ReadonlySignal<World | null>;
  /** The reports at the moment that is shown, each with what became of it. */
  readonly reportTable: ReadonlySignal<ReportTable>;
}

export function derivedFrom(given: Given): Derived {
  const { plan, beside } = given;
  const readingOf = planReader();
  const reading = computed(() => (plan.value === null ? null : readingOf(plan.value)));
  const mission = steady(() => reading.value?.mission ?? null);
  const parts = partsOf(mission);
  const exitTime = computed(() => parts.value?.exit.time ?? null);
  const unread = steady(() => endUnread(beside.value?.unread ?? null, given.log.value));
  const assembled = computed(() => {
    const of = parts.value;
    const time = exitTime.value;
    if (of === null || time === null || beside.value === null) return null;
    const { site, winds, uncertainty } = of;
    return worldFrom({ site, exit: { time }, winds, uncertainty }, beside.value, unread.value);
  });
  const forecastWorld = computed(() => assembled.value?.world ?? null);
  const moments = momentsOf(given);
  const expectation = expectationOf({ mission, parts, forecastWorld, exitTime }, given.log, moments.shown_s);
  const { situation } = expectation;
  const reportTable = computed(() => (situation.value === null ? NO_REPORTS : reportTableOf(situation.value)));
  const problems = computed(() => [
    ...(reading.value?.problems ?? []),
    ...(beside.value?.problems ?? []),
    ...(assembled.value?.problems ?? []),
    ...(situation.value?.state.remarks ?? []).map(({ seq, text }) => ({ file: `log, event ${seq}`, line: 0, text })),
  ]);
  return {
    reading: readingOf,
    mission,
    parts,
    problems,
    unread,
    forecastWorld,
    ...moments,
    ...expectation,
    reportTable,
  };
}

interface Moments {
  /** The live moment, s since 1970: now by the minute, or the newest event's time where that is later. */
  readonly live_s: ReadonlySignal<number>;
  /** The moment that everything is shown for: the live one, or the past one that is looked at. */
  readonly shown_s: ReadonlySignal<number>;
  /** A moment before now is looked at: what is shown was known then. */
  readonly past: ReadonlySignal<boolean>;
}

function momentsOf({ log, now_ms, moment_ms }: Given): Moments {
  const minute = computed(() => Math.floor(now_ms.value / MINUTE_MS) * MINUTE_MS);
  // What is dated far ahead is asked about and moves no moment.
  const newest = computed(() => newestOf(log.value, minute.value + MINUTE_MS + FAR_AHEAD_S * 1000));
  const live_s = computed(() => Math.max(minute.value, newest.value ?? -Infinity) / 1000);
  const shown_s = computed(() => {
    const moment = moment_ms.value;
    return moment === null ? live_s.value : Math.min(Math.floor(moment / 1000), live_s.value);
  });
  // Within a minute of now nothing else is shown than now.
  const past = computed(() => moment_ms.value !== null && moment_ms.value < now_ms.value - MINUTE_MS);
  return { live_s, shown_s, past };
}

interface Expectation {
  readonly situation: ReadonlySignal<Situation | null>;
  /** Forecast and analysis. */
  readonly world: ReadonlySignal<World | null>;
  /** The descent that is expected: from the last fix, the exit that was, or the plan's. */
  readonly expected: ReadonlySignal<Expected | null>;
  readonly outlook: ReadonlySignal<Outlook | null>;
  readonly prediction: ReadonlySignal<Prediction | null>;
  /** When the jumper leaves by the plan, or left by the log, ms since 1970; NaN without a mission. */
  readonly exit_ms: ReadonlySignal<number>;
  readonly where: ReadonlySignal<Where | null>;
  /** How it lies to the shore; null on land. */
  readonly shore: ReadonlySignal<Shore | null>;
}

interface Planned {
  readonly mission: ReadonlySignal<Mission | null>;
  readonly parts: ReadonlySignal<Mission | null>;
  readonly forecastWorld: ReadonlySignal<World | null>;
  readonly exitTime: ReadonlySignal<string | null>;
}

function expectationOf(
  { mission, parts, forecastWorld, exitTime }: Planned,
  log: ReadonlySignal<readonly LogEvent[]>,
  shown_s: ReadonlySignal<number>,
): Expectation {
  const folding = new Folding();
  const state = computed(() => (parts.value === null ? null : folding.at(parts.value, log.value, shown_s.value)));
  const exitHeight = computed(() => parts.value?.exit.altitude_m ?? NaN);
  const winds = computed(() => {
    const forecast = forecastWorld.value;
    const time = exitTime.value;
    if (parts.value === null || state.value === null || forecast === null || time === null) return null;
    const { site } = parts.value;
    return windsAt({ site, exit: { time, altitude_m: exitHeight.value } }, state.value, forecast);
  });
  const analysis = steady(() => (winds.value === null ? null : analysisIn(winds.value)));
  const world = computed(() =>
    forecastWorld.value === null ? null : { ...forecastWorld.value, analysis: analysis.value },
  );
  const situation = computed((): Situation | null => {
    const of = { mission: mission.value, state: state.value, winds: winds.value, world: world.value };
    if (of.mission === null || of.state === null || of.winds === null || of.world === null) return null;
    return { mission: of.mission, at_s: of.state.at_s, state: of.state, winds: of.winds, world: of.world };
  });
  const flown = steady(() => {
    if (state.value === null) return null;
    const { marks, fixes } = state.value;
    return { marks, fixes };
  });
  const expected = computed(() =>
    parts.value === null || flown.value === null || world.value === null
      ? null
      : expectedOf({ mission: parts.value, state: flown.value, world: world.value }),
  );
  const outlook = computed(() => expected.value?.outlook ?? null);
  const prediction = computed(() => outlook.value?.prediction ?? null);
  const exit_ms = computed(() => {
    const left_s = expected.value?.planned.scenario.exit.time_s;
    return left_s === undefined ? Date.parse(exitTime.value ?? '') : Math.round(1000 * left_s);
  });
  const where = computed(() => {
    const landing = prediction.value?.landing ?? null;
    return landing === null ? null : whereOf(landing.position, parts.value?.landingZones ?? []);
  });
  const shore = computed(() => {
    const landing = prediction.value?.landing ?? null;
    return landing === null ? null : shoreFrom(parts.value?.hazards, landing.position);
  });
  return { situation, world, expected, outlook, prediction, exit_ms, where, shore };
}
