// What became of a rehearsal: the log that was kept, set beside the descent that was hidden. Plain data; what a word
// of it counts as stands beside its key. Times s since 1970.
import { RAD_PER_DEG, wrap180, type LonLat } from '../base/units.ts';
import { crewsThere, type CrewThere } from '../debrief/said.ts';
import { inverse } from '../earth/geodesic.ts';
import type { Alert } from '../live/alerts.ts';
import { TURNS_FROM_MPS } from '../live/callChanges.ts';
import type { Correction, LogEvent, WindReport } from '../log/events.ts';
import { timeOf } from '../log/fate.ts';
import { missionAt, spanOfLog, type MissionState, type ReportState } from '../log/fold.ts';
import { isOpen, listsAt } from '../log/lists.ts';
import { situationOf } from '../mission/situation.ts';
import { isAlertTrue, type DescentBehind } from './alertTruth.ts';
import { landingsCalled } from './lead.ts';
import type { WindSaid } from './simulator.ts';
import type { HiddenTruth, RehearsedMission } from './truth.ts';

/** A wind that went into the log otherwise than it was measured. */
export interface WrongWind {
  readonly id: string;
  readonly by: string | null;
  readonly at_s: number;
  /** `way`: on the other side; `strength`: so much too strong or too weak. */
  readonly wrong: 'way' | 'strength';
  /** How long before the touchdown it counted in the analysis, s. */
  readonly counted_s: number;
  /** How many calls stood on it. */
  readonly called: number;
  /** When another report took its place, or it was withdrawn; null: never. */
  readonly putRight_s: number | null;
}

/** A wind that was entered as it was measured, and counted: how long it took to the call that stands on it. */
export interface WindCalled {
  readonly id: string;
  readonly at_s: number;
  /** Null: none did before the touchdown. */
  readonly after_s: number | null;
}

export interface AlertRaised {
  readonly kind: string;
  readonly of: string;
  readonly at_s: number;
  readonly isTrue: boolean;
  /** After it was raised; null: nobody answered it. */
  readonly answered_s: number | null;
}

export interface LandingSaid {
  readonly at_s: number;
  /** Before the touchdown. */
  readonly before_s: number;
  readonly miss_m: number;
}

export interface Score {
  readonly exit_s: number;
  readonly opening_s: number | null;
  readonly touchdown_s: number;
  readonly landing: LonLat;
  /** The landing that was called last before the exit, and last of all; null: none was. */
  readonly saidBeforeExit: LandingSaid | null;
  readonly saidLast: LandingSaid | null;
  readonly winds: {
    /** How many went in since the rehearsal began. */
    readonly entered: number;
    readonly wrong: readonly WrongWind[];
    /** Wrong-way winds that counted or were called. */
    readonly passedOn: number;
    readonly called: readonly WindCalled[];
  };
  readonly crews: readonly CrewThere[];
  /** Items of the lead's lists at the exit. */
  readonly lists: { readonly items: number; readonly done: number; readonly gatesOpen: number };
  readonly alerts: readonly AlertRaised[];
  readonly falseAlerts: number;
}

/** An alert, and when it was raised. */
export type Raised = readonly [alert: Alert, at_s: number];

/** What of the hidden side the score looks at. */
export interface Behind {
  readonly truth: HiddenTruth;
  readonly said: readonly WindSaid[];
  readonly fixes: DescentBehind['fixes'];
}

export function scoreOf(
  of: Pick<RehearsedMission, 'mission' | 'world'>,
  { truth, said, fixes }: Behind,
  log: readonly LogEvent[],
  raised: readonly Raised[],
): Score {
  const { mission, world } = of;
  const { exit_s, opening_s, touchdown_s, landing, opens_agl_m, jumperAt } = truth;
  const landings = landingsCalled(log);
  const lastBy = (by_s: number): LandingSaid | null => {
    const last = landings.findLast(({ at_s }) => at_s <= by_s);
    if (last === undefined) return null;
    const { at_s, place } = last;
    return { at_s, before_s: touchdown_s - at_s, miss_m: inverse(place, landing).distance_m };
  };
  const end = missionAt(mission, log, spanOfLog(log)?.last_s ?? touchdown_s);
  const winds = windsIn(of, { truth, said }, log, end);
  const behind: DescentBehind = {
    mission,
    landing,
    opening_s,
    opens_agl_m,
    placeAt: (time_s) => jumperAt(time_s).position,
    aglAt: (time_s) => {
      const { position, height_m } = jumperAt(time_s);
      return height_m - world.ground.heightAt(position[1] * RAD_PER_DEG, position[0] * RAD_PER_DEG);
    },
    fixes,
    saidWrongly: (at_s) => winds.wrong.some((one) => one.at_s <= at_s),
  };
  const alerts = raised.map(([alert, at_s]) => alertIn(alert, at_s, behind, log));
  const items = listsAt(mission, missionAt(mission, log, exit_s)).flatMap((list) => list.items);
  return {
    exit_s,
    opening_s,
    touchdown_s,
    landing,
    saidBeforeExit: lastBy(exit_s),
    saidLast: lastBy(touchdown_s),
    winds,
    crews: crewsThere(mission, end, { time_s: touchdown_s, place: landing }),
    lists: {
      items: items.length,
      done: items.filter(({ state }) => state.kind === 'read back' || state.kind === 'skipped').length,
      gatesOpen: items.filter(({ gates, state }) => gates && isOpen(state)).length,
    },
    alerts,
    falseAlerts: alerts.filter(({ isTrue }) => !isTrue).length,
  };
}

function alertIn(alert: Alert, at_s: number, behind: DescentBehind, log: readonly LogEvent[]): AlertRaised {
  const { kind, of } = alert;
  const answer = log.find(
    (event) =>
      event.kind === 'silence' && event.alert === kind && (event.about ?? '') === of && timeOf(event.at) >= at_s - 1,
  );
  const answered_s = answer === undefined ? null : Math.max(0, timeOf(answer.at) - at_s);
  return { kind, of, at_s, isTrue: isAlertTrue(alert, at_s, behind), answered_s };
}

/** Said within so long of being entered, a wind is the one that was said, s. */
const SAME_S = 90;
/** On the other side, and so many times too strong or too weak: more than what a person rounds. Ours. */
const WRONG = { way_deg: 120, times: 1.4, least_mps: 0.75 } as const;

/** The wind that was said and stands in a report; null: none was. */
function saidAs({ event, observed_s }: ReportState, said: readonly WindSaid[]): WindSaid | null {
  const near = said
    .filter(({ by, at_s }) => by === (event.by ?? null) && Math.abs(at_s - observed_s) <= SAME_S)
    .toSorted((a, b) => Math.abs(a.at_s - observed_s) - Math.abs(b.at_s - observed_s));
  return near[0] ?? null;
}

function wrongIn({ from_deg, speed_mps }: WindReport | Correction, { measured }: WindSaid): WrongWind['wrong'] | null {
  const turned_deg = Math.abs(wrap180(from_deg - measured.from_deg));
  const [weaker, stronger] = [Math.min(speed_mps, measured.speed_mps), Math.max(speed_mps, measured.speed_mps)];
  if (weaker >= TURNS_FROM_MPS && turned_deg >= WRONG.way_deg) return 'way';
  return stronger > WRONG.times * weaker && stronger - weaker >= WRONG.least_mps ? 'strength' : null;
}

const WIND_EVENTS: ReadonlySet<LogEvent['kind']> = new Set(['wind-report', 'correction', 'withdrawal', 'confirmation']);

/** What counted from each moment on at which something about the winds came in. */
function countedIn(
  { mission, world }: Pick<RehearsedMission, 'mission' | 'world'>,
  { begins_s, touchdown_s }: HiddenTruth,
  log: readonly LogEvent[],
) {
  const about = log.filter(({ kind, at }) => WIND_EVENTS.has(kind) && timeOf(at) >= begins_s - 1);
  const times = [...new Set(about.map(({ at }) => timeOf(at)))].filter((at_s) => at_s < touchdown_s);
  return times.map((at_s, i) => {
    const { used, newestSurface } = situationOf(mission, missionAt(mission, log, at_s), world).winds;
    return { used, newest: newestSurface?.report.id ?? null, lasts_s: (times[i + 1] ?? touchdown_s) - at_s };
  });
}

function windsIn(
  of: Pick<RehearsedMission, 'mission' | 'world'>,
  { truth, said }: Pick<Behind, 'truth' | 'said'>,
  log: readonly LogEvent[],
  end: MissionState,
): Score['winds'] {
  const { begins_s, touchdown_s } = truth;
  const entered = end.reports.filter(({ at_s }) => at_s >= begins_s - 1 && at_s < touchdown_s);
  const stretches = countedIn(of, truth, log);
  const callsOf = (id: string): number[] =>
    end.calls.flatMap(({ at, values }) => (values?.['report'] === id && timeOf(at) < touchdown_s ? [timeOf(at)] : []));
  const wrong: WrongWind[] = [];
  const called: WindCalled[] = [];
  for (const report of entered) {
    const { id, event, at_s, outcome } = report;
    const as = saidAs(report, said);
    const fault = as === null ? null : wrongIn(event, as);
    const calls = callsOf(id);
    if (fault === null) {
      if (stretches.some(({ newest }) => newest === id))
        called.push({ id, at_s, after_s: calls[0] === undefined ? null : calls[0] - at_s });
      continue;
    }
    const counted_s = stretches.reduce((sum, { used, lasts_s }) => sum + (used.has(id) ? lasts_s : 0), 0);
    const putRight_s = outcome.kind === 'struck' || outcome.kind === 'withdrawn' ? outcome.at_s : null;
    wrong.push({ id, by: event.by ?? null, at_s, wrong: fault, counted_s, called: calls.length, putRight_s });
  }
  const passedOn = wrong.filter((one) => one.wrong === 'way' && (one.counted_s > 0 || one.called > 0)).length;
  return { entered: entered.length, wrong, passedOn, called };
}
