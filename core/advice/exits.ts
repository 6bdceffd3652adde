// Where and when to exit. One sample of drift landings (each member's own wind, canopy and exit error) answers for
// every exit, zone and alternate: another exit moves the sample by what it moves the predicted drift landing, and a
// canopy that homes takes each member from its drift landing toward the target as far as its own glide allows (MODEL.md
// §6: with one setting the reachable set is a disc).
import { nth } from '../base/nth.ts';
import type { Members } from '../descent/ensemble.ts';
import { Flight, LANDED, type ExitState } from '../descent/flight.ts';
import { STEER_DRIFT, STEER_PATTERN, STEER_TARGET, type CompiledBody } from '../descent/body.ts';
import { worldSamplerOf, zoneMiddle, type Scenario } from '../descent/scenario.ts';
import { hazardRegions, shareOf, type Share } from '../descent/statistics.ts';
import type { WindError } from '../descent/windError.ts';
import { meanOffset } from '../descent/windError.ts';
import { localFrame, type LocalFrame } from '../earth/geodesic.ts';
import { ringRegion, type Region, type Regions } from '../earth/region.ts';
import type { Hazard, LandingZone } from '../plan/schema.ts';
import { Random } from '../base/random.ts';
import { toEnd, type Steps } from '../base/steps.ts';
import { DEG_PER_RAD, wrap180, type LonLat } from '../base/units.ts';
import { quantity } from '../words/numbers.ts';

/** Landings about a frame, m east and north, with each member's reach. */
export interface DriftSample {
  readonly frame: LocalFrame;
  readonly east_m: Float64Array;
  readonly north_m: Float64Array;
  /** 0 for a canopy that does not home. */
  readonly reach_m: Float64Array;
  /** How far off its target each pilot aims, m; nothing for a canopy that does not home. */
  readonly aimEast_m: Float64Array;
  readonly aimNorth_m: Float64Array;
  /** The landing that is predicted for the exit of the sample, by the same policy. */
  readonly predicted: readonly [east_m: number, north_m: number];
}

/**
 * What an exit promises: the share of landings in each zone when it is steered for, in any hazard when the plan's zone
 * is.
 */
export interface ExitPromise {
  readonly inZone: Readonly<Record<string, Share>>;
  readonly inHazard: Share;
  /** Members that a homing canopy brings to the middle of the plan's zone; equal to the zone's share for others. */
  readonly reaches: Share;
  /** Mean over the members of how far the target lies inside their reach, m; negative: out of it. */
  readonly margin_m: number;
}

const homes = (body: CompiledBody): boolean =>
  body.canopy !== null && (body.canopy.policy === STEER_TARGET || body.canopy.policy === STEER_PATTERN);

/** The scenario with a homing canopy left to drift; any other as it is. */
export function driftScenario(scenario: Scenario): Scenario {
  const { body } = scenario;
  if (body.canopy === null || !homes(body)) return scenario;
  return { ...scenario, body: { ...body, canopy: { ...body.canopy, policy: STEER_DRIFT } } };
}

/** Height above ground that homing leaves for the pattern, m. */
const patternHeight_m = (body: CompiledBody): number =>
  body.canopy?.policy === STEER_PATTERN ? body.canopy.legs_agl_m[0] : 0;

/** `drifting`: members of `driftScenario(scenario)`. */
export function driftSample(scenario: Scenario, error: WindError, drifting: Members, accuracy_m: number): DriftSample {
  const frame = localFrame([scenario.exit.lon_deg, scenario.exit.lat_deg]);
  const canopy = scenario.body.canopy;
  const glide = canopy === null ? 0 : canopy.airspeed_mps / canopy.sink_mps;
  const kept = patternHeight_m(scenario.body) * glide;
  const rows: [number, number, number][] = [];
  for (let i = 0; i < drifting.count; i++) {
    const lon = nth(drifting.lon_deg, i);
    if (lon !== lon) continue;
    const [east, north] = frame.toLocal([lon, nth(drifting.lat_deg, i)]);
    rows.push([east, north, homes(scenario.body) ? Math.max(0, nth(drifting.reach_m, i) - kept) : 0]);
  }
  const predicted = landingOf(driftScenario(scenario), error);
  const random = new Random(rows.length, 0);
  const axis_m = homes(scenario.body) ? accuracy_m * Math.SQRT1_2 : 0;
  const aims = (): Float64Array => Float64Array.from(rows, () => axis_m * random.normalCut3());
  return {
    frame,
    east_m: Float64Array.from(rows, (row) => row[0]),
    north_m: Float64Array.from(rows, (row) => row[1]),
    reach_m: Float64Array.from(rows, (row) => row[2]),
    aimEast_m: aims(),
    aimNorth_m: aims(),
    predicted: predicted === null ? [NaN, NaN] : frame.toLocal(predicted),
  };
}

/** Where one flight of a scenario lands in the analysed wind; null where it does not. */
export function landingOf(
  scenario: Scenario,
  error: WindError,
  exit: ExitState = scenario.exit,
  flight?: Flight,
): LonLat | null {
  const one = flight ?? new Flight(worldSamplerOf(scenario.world), scenario.body);
  one.fly(exit, meanOffset(error));
  return one.outcome === LANDED ? [one.landingLon_rad * DEG_PER_RAD, one.landingLat_rad * DEG_PER_RAD] : null;
}

/**
 * A question asked of a sample: zones and hazards compiled once, then any shift of the exit in microseconds a member.
 */
export class ExitJudge {
  readonly sample: DriftSample;
  readonly #zones: readonly {
    readonly name: string;
    readonly region: Region;
    readonly target: readonly [number, number];
  }[];
  readonly #hazards: Regions;
  readonly #target: number;
  readonly #lon0: number;
  readonly #lat0: number;
  readonly #metresToLon: number;
  readonly #metresToLat: number;
  /** The place that is asked about. */
  readonly #lon = new Float64Array(1);
  readonly #lat = new Float64Array(1);

  /** `target`: the zone that the plan steers for or hopes for; left out: the first; a name that none has: no zone. */
  constructor(sample: DriftSample, zones: readonly LandingZone[], hazards: readonly Hazard[], target?: string) {
    this.sample = sample;
    this.#zones = zones.map((zone) => ({
      name: zone.name,
      region: ringRegion(zone.polygon),
      target: sample.frame.toLocal(zoneMiddle(zone)),
    }));
    this.#hazards = hazardRegions(hazards);
    this.#target = target === undefined ? 0 : zones.findIndex((zone) => zone.name === target);
    // The sample spans some km about its mean: there degrees are metres by a constant, to a metre in ten kilometres.
    const [lon0, lat0] = sample.frame.toLonLat(sample.predicted[0], sample.predicted[1]);
    const [lonE] = sample.frame.toLonLat(sample.predicted[0] + 1000, sample.predicted[1]);
    const [, latN] = sample.frame.toLonLat(sample.predicted[0], sample.predicted[1] + 1000);
    this.#metresToLon = wrap180(lonE - lon0) / 1000;
    this.#metresToLat = (latN - lat0) / 1000;
    this.#lon0 = lon0;
    this.#lat0 = lat0;
  }

  /** The name of the zone that is steered for; null where the mission names none. */
  get target(): string | null {
    return this.#zones[this.#target]?.name ?? null;
  }

  /** How many members land in the plan's zone (or reach its middle), and the mean margin: what the search climbs. */
  score(east_m: number, north_m: number): { readonly share: number; readonly margin_m: number } {
    const zone = this.#zones[this.#target];
    if (zone === undefined) return { share: 0, margin_m: 0 };
    const counted = this.#count(zone, east_m, north_m, false);
    return { share: counted.inside / this.sample.east_m.length, margin_m: counted.margin_m };
  }

  /** `alternates`: whether the other zones are asked too, each as if it were steered for. */
  promise(east_m: number, north_m: number, alternates = true): ExitPromise {
    const n = this.sample.east_m.length;
    const inZone: Record<string, Share> = {};
    let plan = { inside: 0, reached: 0, hazard: 0, margin_m: NaN };
    this.#zones.forEach((zone, i) => {
      if (!alternates && i !== this.#target) return;
      const counted = this.#count(zone, east_m, north_m, i === this.#target);
      inZone[zone.name] = shareOf(counted.inside, n);
      if (i === this.#target) plan = counted;
    });
    if (this.target === null) plan = this.#count(null, east_m, north_m, true);
    return { inZone, inHazard: shareOf(plan.hazard, n), reaches: shareOf(plan.reached, n), margin_m: plan.margin_m };
  }

  #count(
    zone: { readonly region: Region; readonly target: readonly [number, number] } | null,
    shiftE: number,
    shiftN: number,
    hazards: boolean,
  ): { inside: number; reached: number; hazard: number; margin_m: number } {
    const { east_m, north_m, reach_m, aimEast_m, aimNorth_m, predicted } = this.sample;
    const n = east_m.length;
    let inside = 0;
    let reached = 0;
    let hazard = 0;
    let margin = 0;
    const lon = this.#lon;
    const lat = this.#lat;
    for (let i = 0; i < n; i++) {
      let e = nth(east_m, i) + shiftE;
      let m = nth(north_m, i) + shiftN;
      const reach = nth(reach_m, i);
      if (zone !== null) {
        const toE = zone.target[0] - e;
        const toN = zone.target[1] - m;
        const d = Math.sqrt(toE * toE + toN * toN);
        margin += reach - d;
        if (d <= reach) reached += 1;
        if (reach > 0) {
          const share = d <= reach ? 1 : reach / d;
          e += share * toE + nth(aimEast_m, i);
          m += share * toN + nth(aimNorth_m, i);
        }
      }
      lon[0] = this.#lon0 + (e - predicted[0]) * this.#metresToLon;
      lat[0] = this.#lat0 + (m - predicted[1]) * this.#metresToLat;
      if (zone !== null && zone.region.holds(lon, lat, 0)) inside += 1;
      if (hazards && this.#hazards.some(lon, lat, 0)) hazard += 1;
    }
    return { inside, reached, hazard, margin_m: margin / n };
  }

  /**
   * The exit that promises most for the plan's zone, as a shift of the sample's exit, m east and north: compass search
   * from the shift that brings the mean onto the zone's middle, steps 800 m down to 12.5 m. Equal shares are decided by
   * the margin.
   */
  best(): { readonly east_m: number; readonly north_m: number; readonly share: number } {
    const zone = this.#zones[this.#target];
    if (zone === undefined) return { east_m: 0, north_m: 0, share: 0 };
    const mean = (values: Float64Array): number => values.reduce((sum, x) => sum + x, 0) / Math.max(values.length, 1);
    let east = zone.target[0] - mean(this.sample.east_m);
    let north = zone.target[1] - mean(this.sample.north_m);
    const value = (e: number, m: number): number => {
      const { share, margin_m } = this.score(e, m);
      return share + 1e-7 * margin_m;
    };
    let here = value(east, north);
    for (let step = SEARCH_STEP_M; step >= SEARCH_STEP_M_MIN; step /= 2) {
      for (let turn = 0; turn < 40; turn++) {
        let better = false;
        for (const [dE, dN] of COMPASS) {
          const there = value(east + dE * step, north + dN * step);
          if (there <= here) continue;
          here = there;
          east += dE * step;
          north += dN * step;
          better = true;
          break;
        }
        if (!better) break;
      }
    }
    return { east_m: east, north_m: north, share: this.score(east, north).share };
  }
}

/** The first and the last step of the search for the best exit. */
const SEARCH_STEP_M = 800;
const SEARCH_STEP_M_MIN = 12.5;
const COMPASS = [
  [1, 0],
  [-1, 0],
  [0, 1],
  [0, -1],
  [1, 1],
  [-1, 1],
  [1, -1],
  [-1, -1],
] as const;

/** A possible exit on the carrier's line. */
export interface ExitOption extends ExitPromise {
  readonly exit: ExitState;
  /** Predicted landing by the plan's way of steering, drift for a canopy that homes. */
  readonly driftLanding: LonLat;
  /** Descents flown from there that the chances are counted from; 0: the sample's, moved there by the estimate. */
  readonly flown: number;
}

/** Promises of exits other than the sample's: each is flown once to see where its drift landing lies. */
export const judgeExits = (
  judge: ExitJudge,
  scenario: Scenario,
  error: WindError,
  exits: readonly ExitState[],
): ExitOption[] => toEnd(exitsInSteps(judge, scenario, error, exits, true));

/** `alternates`: whether the other zones are asked too, each as if it were steered for. */
export function* exitsInSteps(
  judge: ExitJudge,
  scenario: Scenario,
  error: WindError,
  exits: readonly ExitState[],
  alternates: boolean,
): Steps<ExitOption[]> {
  const drift = driftScenario(scenario);
  const flight = new Flight(worldSamplerOf(drift.world), drift.body);
  const options: ExitOption[] = [];
  for (const exit of exits) {
    yield;
    const landing = landingOf(drift, error, exit, flight);
    if (landing === null) continue;
    const [east, north] = judge.sample.frame.toLocal(landing);
    const promise = judge.promise(east - judge.sample.predicted[0], north - judge.sample.predicted[1], alternates);
    options.push({ ...promise, exit, driftLanding: landing, flown: 0 });
  }
  return options;
}

/** How `best` searches. `homing`: whether each canopy is steered for the zone. */
export function howSearched(zone: string, homing: boolean): string {
  const [first, last] = [quantity(SEARCH_STEP_M, 'm'), quantity(SEARCH_STEP_M_MIN, 'm', 1)];
  const equals = homing ? 'the canopy reaches farther past it' : 'the landings lie nearer to it';
  return (
    `Searched from the place that brings the mean of the drawn landings onto the middle of ${zone}: in eight ` +
    `directions, by steps of ${first} halved down to ${last}, as long as the chance of ${zone} grows, or of equal ` +
    `ones ${equals} in the mean. Height and time are the plan’s; hazards do not count.`
  );
}
