// What else comes down: the gondola under its own stages and parachute, and the torn envelope, both from where the
// balloon is when the gondola is released; and how near they come to the jumper in the air and on the ground. Times s
// since 1970, metres.
import { isoOf } from '../base/plainNumbers.ts';
import type { CarrierPath, CarrierPoint } from '../descent/carrier.ts';
import { withCarrier } from '../descent/carrierError.ts';
import { Ensemble, type Members } from '../descent/ensemble.ts';
import { outlookOf, type Outlook } from '../descent/outlook.ts';
import { scenarioOf, type Scenario } from '../descent/scenario.ts';
import { NOBODY_IN_IT, spreadOf } from '../descent/spread.ts';
import { landingsIn, statisticsOf, type LandingStatistics } from '../descent/statistics.ts';
import { membersBeside, type FlownCase } from '../mission/caseOutlooks.ts';
import { carrierOf, releasePoint } from '../mission/cases.ts';
import { clock, roughDuration } from '../words/times.ts';
import { distance } from '../words/lengths.ts';
import { chanceWords } from '../words/numbers.ts';
import type { Body } from '../plan/schema.ts';
import type { Situation } from '../mission/situation.ts';
import { toEnd, type Steps } from '../base/steps.ts';
import { foot, meetingOf, nearest, type Passing, type BodyPath } from './meeting.ts';
import { inverse, localFrame, type LocalFrame } from '../earth/geodesic.ts';
import type { LonLat } from '../base/units.ts';
import { nth } from '../base/nth.ts';

type OtherName = 'gondola' | 'envelope';

export type OtherBody =
  | {
      readonly kind: 'falls';
      readonly name: OtherName;
      readonly release: CarrierPoint;
      readonly outlook: Outlook;
      readonly members: Members;
      /** The same with the balloon on its expected way; `members` where nothing of it is unknown. */
      readonly onItsWay: Members;
      readonly statistics: LandingStatistics | null;
    }
  | { readonly kind: 'none'; readonly name: OtherName; readonly why: string };

export type FallingOther = Extract<OtherBody, { kind: 'falls' }>;

interface OtherOptions {
  /** Drawn descents of the jumper; each other body has `membersBeside`. */
  readonly members: number;
  readonly seed: number;
}

/** Streams of the bodies' draws lie apart, so that gondola and envelope are drawn independently of the jumper. */
const SEED_OF: Readonly<Record<OtherName, number>> = { gondola: 0x6f3a, envelope: 0x51c7 };

/** A body's scenario from the balloon at its release, or why it cannot be had. */
function otherScenario(
  situation: Situation,
  name: OtherName,
  path: CarrierPath | null = carrierOf(situation),
):
  | { readonly kind: 'falls'; readonly scenario: Scenario; readonly release: CarrierPoint }
  | { readonly kind: 'none'; readonly why: string } {
  const { mission, world } = situation;
  const body: Body | undefined = name === 'gondola' ? mission.gondola : mission.envelope;
  if (body === undefined) return { kind: 'none', why: `the plan has no ${name}` };
  const release = releasePoint(situation, path);
  if (release === null) return { kind: 'none', why: 'the plan names no carrier to be released from' };
  const { position, height_m, time_s, velocity_mps } = release;
  const exit = {
    position,
    altitude_m: height_m,
    time: isoOf(time_s),
    velocity_mps,
  };
  return { kind: 'falls', scenario: scenarioOf(mission, world, body, exit), release };
}

export const otherBody = (
  situation: Situation,
  name: OtherName,
  options: OtherOptions,
  path?: CarrierPath | null,
): OtherBody => toEnd(otherInSteps(situation, name, options, path));

/** Gondola and envelope, one after the other. */
export function* othersInSteps(
  situation: Situation,
  options: OtherOptions,
  path?: CarrierPath | null,
): Steps<OtherBody[]> {
  return [
    yield* otherInSteps(situation, 'gondola', options, path),
    yield* otherInSteps(situation, 'envelope', options, path),
  ];
}

function* otherInSteps(
  situation: Situation,
  name: OtherName,
  options: OtherOptions,
  path?: CarrierPath | null,
): Steps<OtherBody> {
  const way = path ?? carrierOf(situation);
  const found = otherScenario(situation, name, way);
  if (found.kind === 'none') return { ...found, name };
  const { mission, world, state } = situation;
  const { scenario, release } = found;
  const outlook = outlookOf(scenario);
  const own = { ...spreadOf(mission.uncertainty), ...NOBODY_IN_IT };
  const spread = state.marks.has('release') ? own : withCarrier(own, way, world, release.time_s);
  const setup = { scenario, error: outlook.error, spread, seed: options.seed ^ SEED_OF[name] };
  const count = membersBeside(options.members);
  const members = yield* new Ensemble(setup).inSteps(count);
  const onItsWay = spread === own ? members : yield* new Ensemble({ ...setup, spread: own }).inSteps(count);
  const statistics = statisticsOf(members, mission.landingZones ?? [], mission.hazards ?? []);
  return { kind: 'falls', name, release, outlook, members, onItsWay, statistics };
}

/**
 * Nearer than this in the air is warned of. Ours, none published was found; drawn tracks scatter by more, so it is no
 * safe distance.
 */
export const AIR_SEPARATION_M = 500;
/** Landings nearer than this are warned of: one crew's work would then lie under the other body. Ours. */
export const GROUND_SEPARATION_M = 300;

export interface Separation {
  /** While both are in the air; null where they never are together. */
  readonly together: { readonly from_s: number; readonly to_s: number } | null;
  readonly closest: Passing | null;
  readonly closestHorizontal: Passing | null;
  /** The same while the jumper is under an open canopy. */
  readonly closestUnderCanopy: Passing | null;
  /** From the jumper's landing to the other body's. */
  readonly landings: { readonly distance_m: number; readonly bearing_deg: number } | null;
  /** Nearest that the other body's landing comes to the ground track of the jumper's canopy. */
  readonly toCanopyPath_m: number | null;
  /** Share of pairs of drawn landings nearer than `GROUND_SEPARATION_M`; NaN where one side has none. */
  readonly landingsNear: number;
  /** Every 10 s while both are in the air. */
  readonly series: readonly Passing[];
  readonly warnings: readonly string[];
}

function trackOf(outlook: Outlook, frame: LocalFrame): BodyPath {
  const { track } = outlook.prediction;
  const start_s = outlook.scenario.exit.time_s;
  const places = track.map(([, lon, lat]) => frame.toLocal([lon, lat]));
  return {
    t: Float64Array.from(track, (point) => start_s + point[0]),
    east: Float64Array.from(places, (place) => place[0]),
    north: Float64Array.from(places, (place) => place[1]),
    up: Float64Array.from(track, (point) => point[3]),
  };
}

/** What comes down, as it is set beside another: its predicted track, and landings that were drawn. */
interface Falls {
  readonly outlook: Outlook;
  readonly members: Members;
}

/**
 * How near each other body comes to the jumper. Before the exit all leave from one balloon: how far that is off its way
 * parts none of them, so all are drawn with it on its expected one. Once the jumper has left, each is as it was drawn.
 * `jumper`: the case as planned; `left`: whether the jumper has left
 */
export function* separationsInSteps(
  situation: Situation,
  jumper: FlownCase,
  others: readonly FallingOther[],
  { left, seed }: { readonly left: boolean; readonly seed: number },
): Steps<{ readonly name: OtherName; readonly separation: Separation }[]> {
  const parted = left || others.every(({ members, onItsWay }) => members === onItsWay);
  const beside = parted ? jumper : { ...jumper, members: yield* onItsWayInSteps(situation, jumper, seed) };
  return others.map((other) => ({
    name: other.name,
    separation: separationOf(beside, parted ? other : { ...other, members: other.onItsWay }),
  }));
}

/** The jumper's landings with the balloon on its expected way. */
function* onItsWayInSteps(situation: Situation, jumper: FlownCase, seed: number): Steps<Members> {
  const { outlook, members } = jumper;
  const { mission } = situation;
  const spread = spreadOf(mission.uncertainty, mission.jumper);
  const setup = { scenario: outlook.scenario, error: outlook.error, spread, seed };
  return yield* new Ensemble(setup).inSteps(members.lon_deg.length);
}

/**
 * How near another body comes to the jumper.
 *
 * Error   exact for the two tracks, which run straight between points one second apart. What is not known of both is in
 *         `landingsNear`
 *         alone, whose pairs are drawn independently: in truth one wind moves both alike, so where the predictions are
 *         near the share
 *         is too small, and where they are far too large
 * Limits  `AIR_SEPARATION_M` and `GROUND_SEPARATION_M`
 */
export function separationOf(jumper: Falls, other: Falls & { readonly name: OtherName }): Separation {
  const mine = jumper.outlook.prediction;
  const theirs = other.outlook.prediction;
  const origin: LonLat = mine.landing?.position ?? [
    jumper.outlook.scenario.exit.lon_deg,
    jumper.outlook.scenario.exit.lat_deg,
  ];
  const frame = localFrame(origin);
  const a = trackOf(jumper.outlook, frame);
  const b = trackOf(other.outlook, frame);
  const from_s = Math.max(a.t[0] ?? Infinity, b.t[0] ?? Infinity);
  const to_s = Math.min(a.t.at(-1) ?? -Infinity, b.t.at(-1) ?? -Infinity);
  const opened_s = mine.opening === null ? Infinity : jumper.outlook.scenario.exit.time_s + mine.opening.time_s;
  const met = to_s > from_s ? meetingOf(a, b, from_s, to_s, opened_s) : null;
  const landings =
    mine.landing === null || theirs.landing === null ? null : inverse(mine.landing.position, theirs.landing.position);
  const facts = {
    together: met === null ? null : { from_s, to_s },
    closest: met?.closest ?? null,
    closestHorizontal: met?.horizontal ?? null,
    closestUnderCanopy: met?.underCanopy ?? null,
    landings: landings === null ? null : { distance_m: landings.distance_m, bearing_deg: landings.bearing_deg },
    toCanopyPath_m: theirs.landing === null ? null : toPath(a, opened_s, frame.toLocal(theirs.landing.position)),
    landingsNear: pairsNear(landingsIn(frame, jumper.members), landingsIn(frame, other.members), GROUND_SEPARATION_M),
    series: met?.series ?? [],
  };
  return { ...facts, warnings: warningsOf(facts, other.name) };
}

/** From a place on the ground to the canopy's ground track; to its whole track where no canopy opens. */
function toPath(track: BodyPath, opened_s: number, place: readonly [number, number]): number | null {
  let least = Infinity;
  const opens = opened_s < Infinity;
  for (let i = 0; i + 1 < track.t.length; i++) {
    if (opens && nth(track.t, i + 1) < opened_s) continue;
    const p = [nth(track.east, i) - place[0], nth(track.north, i) - place[1], 0] as const;
    const q = [nth(track.east, i + 1) - place[0], nth(track.north, i + 1) - place[1], 0] as const;
    least = Math.min(least, nearest(0, 1, p, q, foot(p, q, 2)).horizontal_m);
  }
  return least < Infinity ? least : null;
}

/**
 * Share of all pairs of places nearer than a distance: counted through cells of that size, so linear in the places
 * where they scatter.
 */
export function pairsNear(a: Float64Array, b: Float64Array, distance_m: number): number {
  if (a.length === 0 || b.length === 0) return NaN;
  const cells = new Map<string, number[]>();
  for (let i = 0; i < b.length; i += 2) {
    const key = `${Math.floor(nth(b, i) / distance_m)},${Math.floor(nth(b, i + 1) / distance_m)}`;
    const list = cells.get(key);
    if (list === undefined) cells.set(key, [i]);
    else list.push(i);
  }
  let near = 0;
  for (let i = 0; i < a.length; i += 2) {
    const [x, y] = [nth(a, i), nth(a, i + 1)];
    const [cx, cy] = [Math.floor(x / distance_m), Math.floor(y / distance_m)];
    for (let dx = -1; dx <= 1; dx++)
      for (let dy = -1; dy <= 1; dy++)
        for (const j of cells.get(`${cx + dx},${cy + dy}`) ?? [])
          if (Math.hypot(nth(b, j) - x, nth(b, j + 1) - y) < distance_m) near += 1;
  }
  return near / ((a.length / 2) * (b.length / 2));
}

function warningsOf(facts: Omit<Separation, 'warnings'>, name: OtherName): string[] {
  const said: string[] = [];
  const { closest, closestUnderCanopy, landings, landingsNear, toCanopyPath_m } = facts;
  const beside = (one: Passing): string => {
    const side = one.above_m >= 0 ? 'above' : 'below';
    const how = `${distance(one.horizontal_m)} across, ${distance(one.above_m)} ${side}`;
    return `${distance(one.distance_m)} at ${clock(one.time_s)} (${how})`;
  };
  if (closestUnderCanopy !== null && closestUnderCanopy.distance_m < AIR_SEPARATION_M)
    said.push(`The ${name} comes within ${beside(closestUnderCanopy)} of the open canopy; hold the release.`);
  else if (closest !== null && closest.distance_m < AIR_SEPARATION_M)
    said.push(`The ${name} comes within ${beside(closest)} of the jumper; hold the release.`);
  if (landings !== null && landings.distance_m < GROUND_SEPARATION_M)
    said.push(`The ${name} is predicted to land ${distance(landings.distance_m)} from the jumper.`);
  else if (landingsNear > 0.01)
    said.push(
      `The ${name} lands within ${distance(GROUND_SEPARATION_M)} of the jumper in ` +
        `${chanceWords(landingsNear)} of the drawn pairs.`,
    );
  if (toCanopyPath_m !== null && toCanopyPath_m < GROUND_SEPARATION_M)
    said.push(`The ${name} is predicted to land ${distance(toCanopyPath_m)} from the canopy's way over the ground.`);
  const { together } = facts;
  if (together !== null && said.length > 0)
    said.push(`Both are in the air for ${roughDuration(together.to_s - together.from_s)}.`);
  return said;
}
