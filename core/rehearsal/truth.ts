// The descent that a rehearsal hides: one draw from the plan's own errors, as a member of an ensemble is drawn, with
// what the scenario adds, flown by the program's own integrator. Who sits there never sees it: what is sent of it is
// made in `simulator.ts`.
import { nth } from '../base/nth.ts';
import { Random } from '../base/random.ts';
import { RAD_PER_DEG, windFrom, type LonLat } from '../base/units.ts';
import { Draws } from '../descent/flight.ts';
import type { Outlook } from '../descent/outlook.ts';
import { predict } from '../descent/predict.ts';
import { epoch_s, thermalsOf, worldSamplerOf, type Scenario } from '../descent/scenario.ts';
import { drawInputs, drawVerticalAir, timesSpread } from '../descent/spread.ts';
import { drawWind, meanOffset, type WindError } from '../descent/windError.ts';
import { spotAt } from '../live/spot.ts';
import { expectedOf } from '../mission/expected.ts';
import { situationAt, type Situation } from '../mission/situation.ts';
import type { Loaded } from '../mission/load.ts';
import { WindSampler, type WindOffset } from '../winds/field.ts';
import { LOG_LAYER_M, toTenMetres } from '../winds/nearGround.ts';
import type { RehearsalScenario, RehearsedMoment, TurnedLayer } from './scenario.ts';

/** A wind as a person measures it. */
export interface WindMet {
  readonly from_deg: number;
  readonly speed_mps: number;
}

export interface HiddenTruth {
  /** When the rehearsal begins, s since 1970. */
  readonly begins_s: number;
  readonly plannedExit_s: number;
  readonly exit_s: number;
  /** Null where nothing opens. */
  readonly opening_s: number | null;
  readonly touchdown_s: number;
  readonly landing: LonLat;
  /** Height above ground at which the plan opens; null: it opens nothing. */
  readonly opens_agl_m: number | null;
  /** Before the exit on its way to it, after the touchdown where it came down. */
  readonly jumperAt: (time_s: number) => { readonly position: LonLat; readonly height_m: number };
  readonly windAt: (place: LonLat, agl_m: number, time_s: number) => WindMet;
}

/** What of an opened mission is rehearsed: its log as far as it stood when the rehearsal begins. */
export type RehearsedMission = Pick<Loaded, 'mission' | 'log' | 'world'>;

/** Streams of one seed: what is drawn of one thing leaves the others as they are. */
export const STREAMS = { truth: 0x7e4e, fixes: 0x7e4f, reports: 0x7e50 } as const;

/** The mission as it stood when the rehearsal begins. */
export function situationBefore({ mission, log, world }: RehearsedMission, { begins_s }: RehearsalScenario): Situation {
  return situationAt(mission, log, world, epoch_s(mission.exit.time) - begins_s);
}

/** Draws the descent; a sentence where the mission cannot be rehearsed. */
export function hiddenTruth(situation: Situation, rehearsed: RehearsalScenario, seed: number): HiddenTruth | string {
  const { mission, world, at_s } = situation;
  const expected = expectedOf(situation);
  if (expected.from !== 'plan')
    return `the log has the ${expected.from} already; expected a plan whose jumper has not left`;
  const { scenario, error, prediction } = expected.planned;
  const random = new Random(seed, STREAMS.truth);
  const spread = timesSpread(expected.spread, rehearsed.errors);
  const draws = new Draws();
  drawInputs(spread, random, draws);
  const drawn = drawnWind(error, rehearsed.errors, random);
  drawVerticalAir(spread, random, draws, thermalsOf(scenario));
  const opens_agl_m = prediction.opening === null ? null : aboveGround(scenario, prediction.opening);
  draws.handOpening_m += (rehearsed.opensAt - 1) * (opens_agl_m ?? 0);
  draws.seed = seed;
  const offset = withLayers(scenario, drawn, rehearsed.winds);
  const flown = predict(scenario, offset, { draw: (own) => void Object.assign(own, draws), known: meanOffset(error) });
  const { landing, opening } = flown;
  const [first] = flown.track;
  if (landing === null || first === undefined) return 'the descent that was drawn does not reach the ground';
  const exit_s = scenario.exit.time_s + draws.exitTime_s;
  const left = { ...scenario.exit, time_s: exit_s, lon_deg: first[1], lat_deg: first[2], height_m: first[3] };
  const touchdown_s = exit_s + landing.time_s;
  const air = spotsOf({ scenario: { ...scenario, exit: left }, prediction: flown, error, offset });
  const down = { position: landing.position, height_m: landing.elevation_m };
  return {
    begins_s: at_s,
    plannedExit_s: epoch_s(mission.exit.time),
    exit_s,
    opening_s: opening === null ? null : exit_s + opening.time_s,
    touchdown_s,
    landing: landing.position,
    opens_agl_m,
    jumperAt: (time_s) => (time_s >= touchdown_s ? down : (air(time_s - exit_s) ?? down)),
    windAt: windsIn({ ...scenario, world }, offset),
  };
}

const groundBelow = ({ world }: Pick<Scenario, 'world'>, [lon, lat]: readonly [number, number]): number =>
  world.ground.heightAt(lat * RAD_PER_DEG, lon * RAD_PER_DEG);

const aboveGround = (
  scenario: Scenario,
  { position, height_m }: { readonly position: LonLat; readonly height_m: number },
): number => height_m - groundBelow(scenario, position);

function drawnWind(error: WindError, times: number, random: Random): WindOffset {
  const { heights_m } = error;
  const n = heights_m.length;
  const offset = { heights_m, u_mps: new Float64Array(n), v_mps: new Float64Array(n) };
  const scaled = { ...error, factor: error.factor.map((one) => times * one) };
  drawWind(scaled, random, new Float64Array(2 * n), offset);
  return offset;
}

/** Over so much height a layer's wind passes into that beside it, m. */
const PASSING_M = 300;

/** How much of a layer's change holds at a height above ground, 0 to 1. */
function shareOf({ from_agl_m, to_agl_m }: TurnedLayer, agl_m: number): number {
  const inside_m = Math.min(agl_m - from_agl_m, to_agl_m - agl_m);
  return Math.min(Math.max(inside_m / PASSING_M, 0), 1);
}

/** The drawn wind with the layers of the scenario, as they are over the exit: each turns and multiplies all of it. */
function withLayers(scenario: Scenario, drawn: WindOffset, layers: readonly TurnedLayer[]): WindOffset {
  if (layers.length === 0) return drawn;
  const { world, exit } = scenario;
  const ground_m = world.ground.site_m;
  const edges = layers.flatMap(({ from_agl_m, to_agl_m }) => [
    from_agl_m,
    from_agl_m + PASSING_M,
    to_agl_m - PASSING_M,
    to_agl_m,
  ]);
  const all = [...drawn.heights_m, ...world.wind.heights_m, ...edges.map((agl_m) => ground_m + agl_m)];
  const heights_m = Float64Array.from(new Set(all)).sort();
  const sampler = new WindSampler(world.wind);
  const [u_mps, v_mps] = [new Float64Array(heights_m.length), new Float64Array(heights_m.length)];
  const at = (offset: WindOffset | null, height_m: number): readonly [number, number] => {
    sampler.start(exit.time_s, offset);
    sampler.sample(exit.lat_deg * RAD_PER_DEG, exit.lon_deg * RAD_PER_DEG, height_m, 0);
    return [nth(sampler.out, 0), nth(sampler.out, 1)];
  };
  heights_m.forEach((height_m, k) => {
    const forecast = at(null, height_m);
    let [u, v] = at(drawn, height_m);
    for (const layer of layers) {
      const share = shareOf(layer, height_m - ground_m);
      // A wind's bearing turns clockwise, the plane's angles the other way.
      const turn = -layer.turned_deg * RAD_PER_DEG;
      const [cos, sin] = [layer.times * Math.cos(turn), layer.times * Math.sin(turn)];
      [u, v] = [u + share * (cos * u - sin * v - u), v + share * (sin * u + cos * v - v)];
    }
    u_mps[k] = u - forecast[0];
    v_mps[k] = v - forecast[1];
  });
  return { heights_m, u_mps, v_mps };
}

/** Where the jumper is at a time since the exit: before it on the carrier, which goes on as it did at the exit. */
function spotsOf(flown: Outlook): (into_s: number) => { readonly position: LonLat; readonly height_m: number } | null {
  const [first, next] = [spotAt(flown, 0), spotAt(flown, 1)];
  return (into_s) => {
    if (into_s >= 0 || first === null || next === null) {
      const spot = spotAt(flown, Math.max(into_s, 0));
      return spot === null ? null : { position: spot.place, height_m: spot.height_m };
    }
    const [lon, lat] = first.place;
    const position: LonLat = [lon + into_s * (next.place[0] - lon), lat + into_s * (next.place[1] - lat)];
    return { position, height_m: first.height_m };
  };
}

/** The true wind as somebody measures it there: in the lowest metres by the profile that reports are read by. */
function windsIn(scenario: Scenario, offset: WindOffset): HiddenTruth['windAt'] {
  const around = worldSamplerOf(scenario.world);
  return (place, agl_m, time_s) => {
    around.start(time_s, offset);
    const height_m = groundBelow(scenario, place) + Math.max(agl_m, LOG_LAYER_M);
    around.wind(place[1] * RAD_PER_DEG, place[0] * RAD_PER_DEG, height_m, 0);
    const lower = toTenMetres(agl_m, around.roughness_m);
    return windFrom(nth(around.sampler.out, 0) / lower, nth(around.sampler.out, 1) / lower);
  };
}

/** When a moment of the scenario is, s since 1970; null where what it counts from does not happen. */
export function momentIn(truth: HiddenTruth, { from, after_s }: RehearsedMoment): number | null {
  const { plannedExit_s, exit_s, opening_s, touchdown_s } = truth;
  const base_s = { 'planned exit': plannedExit_s, exit: exit_s, opening: opening_s, touchdown: touchdown_s }[from];
  return base_s === null ? null : base_s + after_s;
}
