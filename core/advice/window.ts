// The exit window: where along the carrier's line an exit keeps the limits, when it opens, is best and closes. Times s
// since 1970.
import { worldSamplerOf, type Scenario } from '../descent/scenario.ts';
import { aircraftRun, runHeading_deg, type Aircraft, type CarrierPath, type CarrierPoint } from '../descent/carrier.ts';
import { Flight, type ExitState } from '../descent/flight.ts';
import type { WindError } from '../descent/windError.ts';
import { meanOffset } from '../descent/windError.ts';
import type { Steps } from '../base/steps.ts';
import type { LonLat } from '../base/units.ts';
import { driftScenario, exitsInSteps, landingOf, type ExitJudge, type ExitOption, type ExitPromise } from './exits.ts';

export interface ExitWindow {
  readonly opens_s: number;
  readonly closes_s: number;
  /** One standard error of both: where the carrier is then, and how long after the call the jumper leaves. */
  readonly error_s: number;
}

/** The exits at both ends of the window. */
export interface WindowEnds {
  readonly opens: ExitOption;
  readonly closes: ExitOption;
}

export interface ExitLine {
  /** In order of time. */
  readonly options: readonly ExitOption[];
  /** The most promising on the line; null where the line is empty. */
  readonly best: ExitOption | null;
  /** The stretch about the best on which the limits hold, its ends flown; null where they hold nowhere. */
  readonly window: ExitWindow | null;
  readonly ends: WindowEnds | null;
}

export interface WindowLimits {
  readonly zoneProbability: number;
  readonly hazardProbability: number;
  /** Of the times of the window, one standard error. */
  readonly error_s: number;
}

const EXITS_MAX = 121;

/** Exits from the carrier's line, thinned to at most 121. */
export function exitsOn(path: CarrierPath): ExitState[] {
  const level = path.points.slice(path.levelFrom);
  const every = Math.max(1, Math.ceil(level.length / EXITS_MAX));
  return level.filter((_, i) => i % every === 0).map(exitAt);
}

/** The exit from a point of the carrier's flight. */
export const exitAt = ({ position, height_m, time_s, velocity_mps }: CarrierPoint): ExitState => ({
  lon_deg: position[0],
  lat_deg: position[1],
  height_m,
  time_s,
  velocity_mps,
});

/** Chance of a zone at an exit; NaN where there is no zone, or it was not asked about. */
export const chanceOf = (zone: string | null, option: Pick<ExitPromise, 'inZone'>): number =>
  zone === null ? NaN : (option.inZone[zone]?.p ?? NaN);

/** What the estimate finds on the line. */
export interface LineSearch {
  readonly options: readonly ExitOption[];
  /** Which of them promises most; −1 where the line is empty. */
  readonly at: number;
}

export function* searchLine(
  judge: ExitJudge,
  scenario: Scenario,
  error: WindError,
  exits: readonly ExitState[],
): Steps<LineSearch> {
  const options = yield* exitsInSteps(judge, scenario, error, exits, false);
  const value = (option: ExitOption): number =>
    chanceOf(judge.target, option) - option.inHazard.p + 1e-7 * option.margin_m;
  let at = -1;
  options.forEach((option, i) => {
    const before = options[at];
    if (before === undefined || value(option) > value(before)) at = i;
  });
  return { options, at };
}

/** How much better than its limits an exit is, as a share of the landings: above 0 where both hold. */
export const roomOf = (
  chance: number,
  hazard: number,
  limits: Pick<WindowLimits, 'zoneProbability' | 'hazardProbability'>,
): number => Math.min(chance - limits.zoneProbability, limits.hazardProbability - hazard);

/**
 * Where, from the best exit on, the room comes down to `least`: s since 1970. The end of the line where it never does.
 *
 * step    1 later, −1 earlier
 * rooms   of each option, by the estimate
 */
export function edgeOf({ options, at }: LineSearch, step: 1 | -1, rooms: readonly number[], least: number): number {
  let i = at;
  for (;;) {
    const [inner, outer] = [options[i], options[i + step]];
    if (inner === undefined) return NaN;
    if (outer === undefined) return inner.exit.time_s;
    const [a, b] = [rooms[i] ?? NaN, rooms[i + step] ?? NaN];
    if (!(b >= least)) {
      const share = a > b ? Math.min(Math.max((a - least) / (a - b), 0), 1) : 0;
      return inner.exit.time_s + (outer.exit.time_s - inner.exit.time_s) * share;
    }
    i += step;
  }
}

/** The room at a moment between the options, or another of their numbers: straight between them. */
export function roomAt(options: readonly ExitOption[], rooms: readonly number[], time_s: number): number {
  const next = options.findIndex((one) => one.exit.time_s >= time_s);
  if (next <= 0) return rooms[next === 0 ? 0 : rooms.length - 1] ?? NaN;
  const [from, to] = [options[next - 1]?.exit.time_s ?? NaN, options[next]?.exit.time_s ?? NaN];
  const [a, b] = [rooms[next - 1] ?? NaN, rooms[next] ?? NaN];
  return a + ((b - a) * (time_s - from)) / (to - from);
}

/** A run heading through the plan's place, and what the best exit on it promises. */
export interface RunHeading {
  readonly heading_deg: number;
  readonly intoWind: boolean;
  readonly share: number;
  readonly margin_m: number;
  /** How long the run stays within 5 % of its best, s: what a late or early exit costs. */
  readonly goodFor_s: number;
}

/** Comparing headings, every fourth second of a run is asked. */
export const HEADING_EVERY_S = 4;
/** Between two of the headings that are compared. */
export const HEADING_STEP_DEG = 15;
/** A moment of a run whose share is less than the best one's by at most this is as good. */
export const AS_GOOD = 0.05;

/**
 * Headings every 15° and into the wind, the most promising first. Among equals the one that stays good for longer comes
 * first.
 */
export function compareHeadings(
  judge: ExitJudge,
  scenario: Scenario,
  error: WindError,
  carrier: Aircraft,
  through: LonLat,
): RunHeading[] {
  const offset = meanOffset(error);
  const { world } = scenario;
  const into = runHeading_deg({ ...carrier, heading_deg: undefined }, world, through, offset);
  const drift = driftScenario(scenario);
  const flight = new Flight(worldSamplerOf(world), drift.body);
  const rows: RunHeading[] = [];
  for (const heading_deg of [into, ...Array.from({ length: 360 / HEADING_STEP_DEG }, (_, i) => HEADING_STEP_DEG * i)]) {
    const run = aircraftRun(carrier, world, through, heading_deg, offset);
    const middle = run.points[Math.floor(run.points.length / 2)];
    if (middle === undefined) continue;
    const { position, height_m, time_s, velocity_mps } = middle;
    const landing = landingOf(
      drift,
      error,
      { lon_deg: position[0], lat_deg: position[1], height_m, time_s, velocity_mps },
      flight,
    );
    if (landing === null) continue;
    const [east, north] = judge.sample.frame.toLocal(landing);
    const asked = run.points.filter((_, i) => i % HEADING_EVERY_S === 0);
    const scores = asked.map((point) => {
      const dt = point.time_s - time_s;
      return judge.score(
        east - judge.sample.predicted[0] + velocity_mps[0] * dt,
        north - judge.sample.predicted[1] + velocity_mps[1] * dt,
      );
    });
    const best = scores.reduce(
      (a, b) => (b.share > a.share || (b.share === a.share && b.margin_m > a.margin_m) ? b : a),
      {
        share: -1,
        margin_m: -Infinity,
      },
    );
    const goodFor_s = HEADING_EVERY_S * scores.filter((one) => one.share >= best.share - AS_GOOD).length;
    rows.push({ heading_deg, intoWind: heading_deg === into, share: best.share, margin_m: best.margin_m, goodFor_s });
  }
  return rows.sort((a, b) => b.share - a.share || b.goodFor_s - a.goodFor_s || b.margin_m - a.margin_m);
}
