// What can be called at a moment, each thing in the trade's plain words: what it stands on, how old that is, to whom it
// goes, in which phase; or why it is not called. What comes first and what corrects an earlier call: `calls.ts`.
import type { Advice } from '../advice/advise.ts';
import { sayWhere, SPOKEN, spokenNorth } from '../brief/radio.ts';
import { windOf } from '../brief/wind.ts';
import { zoneMiddle } from '../descent/scenario.ts';
import type { Declination } from '../earth/declination.ts';
import { inverse, isInside, nearestOnLine } from '../earth/geodesic.ts';
import type { Expected } from '../mission/expected.ts';
import type { Situation } from '../mission/situation.ts';
import type { LandingZone, Mission } from '../plan/schema.ts';
import type { CrewOrder } from '../recovery/orders.ts';
import { whereOf } from '../recovery/where.ts';
import { RAD_PER_DEG, windVector, type LonLat } from '../base/units.ts';
import type { Units } from '../words/numbers.ts';
import {
  sayAge,
  sayDistance,
  sayHeading,
  sayHeight,
  sayName,
  sayTime,
  sayVariableWind,
  sayWind,
  sayDirection,
} from '../words/spoken.ts';
import { roughDuration } from '../words/times.ts';
import { isCalm } from '../words/winds.ts';
import type { CallValues } from './callChanges.ts';
import { spotAt, type TrackSpot } from './spot.ts';

export type CallPhase = 'before exit' | 'in fall' | 'under canopy' | 'down';

type OrderToCall = Pick<CrewOrder, 'goal' | 'status' | 'standby' | 'ends'> & {
  readonly crew: Pick<CrewOrder['crew'], 'name' | 'kind' | 'heard'>;
  readonly approach: Pick<NonNullable<CrewOrder['approach']>, 'final_deg'> | null;
};

/** What the crews are told, and when that was worked out. */
export interface CrewsToCall {
  readonly at_s: number;
  readonly orders: readonly OrderToCall[];
  /** What helicopters keep beyond the region of the landings, m. */
  readonly margin_m: number;
}

/** Everything that calls are made from. What is still being worked out is a sentence that says so. */
export interface CallMoment {
  readonly situation: Situation;
  readonly expected: Expected;
  /** s since 1970. The situation may be folded at up to a minute before it. */
  readonly at_s: number;
  /** The zone that is steered for; null: the plan has none. */
  readonly zone: LandingZone | null;
  readonly advice: Pick<Advice, 'word' | 'because'> | string;
  readonly crews: CrewsToCall | string;
  readonly declination: Declination;
  readonly units: Units;
}

/** What can be said. */
export interface Offer {
  readonly kind: 'offer';
  readonly key: string;
  /** "jumper", "all crews" or a crew's name. */
  readonly to: string;
  /** Said always, in this order. */
  readonly phrases: readonly string[];
  /** Said where the breath is long enough, the most important first. */
  readonly more: readonly string[];
  /** Said in place of both where a correction with them is more than a breath; null: then it is not called. */
  readonly shorter: Pick<Offer, 'phrases' | 'more'> | null;
  readonly values: CallValues;
  /** How old what it stands on is, s; null: it does not age. */
  readonly age_s: number | null;
  readonly limit_s: number | null;
}

export interface NotCalled {
  readonly kind: 'not called';
  readonly key: string;
  readonly to: string;
  readonly why: string;
}

/**
 * The surface wind of a report: 10 minutes, the time over which a reported wind is averaged (ICAO Annex 3, appendix 3,
 * 4.1.3.1, mark M). What the crews are told is worked out each minute: after 5 it is of another moment; ours. A crew
 * that drives is somewhere else after 10; ours.
 */
export const CALL_LIMIT_S = { wind: 600, crews: 300, crewFix: 600 } as const;

export const TO_JUMPER = 'jumper';
export const TO_ALL = 'all crews';

export const offered = (
  one: Pick<Offer, 'key' | 'to' | 'phrases' | 'values'> &
    Partial<Pick<Offer, 'more' | 'shorter' | 'age_s' | 'limit_s'>>,
): Offer => ({ kind: 'offer', more: [], shorter: null, age_s: null, limit_s: null, ...one });

export const notCalled = (key: string, to: string, why: string): NotCalled => ({
  kind: 'not called',
  key,
  to,
  why: `${why}: not called`,
});

export interface CallFlight {
  readonly phase: CallPhase;
  /** Null on the ground, on the carrier, and where the expected descent is over. */
  readonly spot: TrackSpot | null;
  /** Of the fix that the descent goes on from; null: none has come since the exit. */
  readonly fixAge_s: number | null;
}

export function flightOf({ situation, expected, at_s }: CallMoment): CallFlight {
  const { marks } = situation.state;
  if (marks.has('touchdown') || expected.from === 'touchdown') return { phase: 'down', spot: null, fixAge_s: null };
  if (expected.from === 'plan') return { phase: 'before exit', spot: null, fixAge_s: null };
  const { scenario, prediction } = expected.outlook;
  const into_s = at_s - scenario.exit.time_s;
  const opened = marks.has('opening') || (prediction.opening !== null && into_s >= prediction.opening.time_s);
  return {
    phase: opened ? 'under canopy' : 'in fall',
    spot: spotAt(expected.outlook, into_s),
    fixAge_s: expected.from === 'fix' ? Math.max(0, into_s) : null,
  };
}

/** "two four zero degrees magnetic". */
export function spokenBearing(true_deg: number, declination: Declination): string {
  const [deg, north] = spokenNorth(true_deg, declination);
  return `${sayDirection(deg)} degrees ${north}`;
}

export function spokenHeading(true_deg: number, declination: Declination): string {
  const [deg, north] = spokenNorth(true_deg, declination);
  return sayHeading(deg, north);
}

export const landingIn = ({ outlook }: Expected): { readonly position: LonLat; readonly at_s: number } | null => {
  const { landing } = outlook.prediction;
  return landing === null ? null : { position: landing.position, at_s: outlook.scenario.exit.time_s + landing.time_s };
};

/** The word, as the brief says it, and the planned exit. */
export function exitCall({ expected, at_s, advice }: CallMoment): Offer | NotCalled {
  const key = 'exit';
  if (typeof advice === 'string') return notCalled(key, TO_JUMPER, advice);
  const { word, because } = advice;
  if (word !== 'GO' && word !== 'HOLD' && word !== 'NO-GO')
    return notCalled(key, TO_JUMPER, 'the advice is of a jumper who has left, and no exit is in the log');
  const exit_s = expected.planned.scenario.exit.time_s;
  const values = { word, exit_s };
  if (word !== 'GO') {
    const [first] = because;
    const why = first === undefined ? [] : [`because of ${sayName(first.limit.label)}`];
    return offered({ key, to: TO_JUMPER, phrases: [`advice is ${SPOKEN[word]}`], more: why, values });
  }
  const late_s = at_s - exit_s;
  if (late_s > 0)
    return notCalled(key, TO_JUMPER, `the planned exit is over by ${roughDuration(late_s)} and none is in the log`);
  const phrases = [`advice is ${SPOKEN[word]}`, `planned exit at ${sayTime(exit_s)}`];
  return offered({ key, to: TO_JUMPER, phrases, values });
}

export interface SurfaceWind {
  readonly from_deg: number;
  readonly speed_mps: number;
  readonly gust_mps: number | undefined;
  readonly variable: boolean;
  readonly id: string;
  readonly age_s: number;
}

/** The newest surface wind that counts, or why none is called. */
export function surfaceWindToCall({ situation, at_s }: CallMoment): SurfaceWind | string {
  const { winds } = situation;
  const asked = winds.questions.find((one) => one.surface);
  if (asked !== undefined) return `the surface wind is in question (${asked.ids.join(', ')})`;
  const newest = winds.newestSurface;
  const age_s = newest === null ? Infinity : Math.max(0, at_s - newest.report.observed_s);
  if (newest === null || !(age_s <= CALL_LIMIT_S.wind))
    return `no surface wind newer than ${roughDuration(CALL_LIMIT_S.wind)}`;
  const { id, event } = newest.report;
  const { from_deg, speed_mps, gust_mps, variable } = event;
  return { from_deg, speed_mps, gust_mps, variable: variable === true, id, age_s };
}

const windValues = ({ from_deg, speed_mps, gust_mps, variable, id }: SurfaceWind): CallValues => ({
  ...(variable ? {} : { from_deg }),
  speed_mps,
  ...(gust_mps === undefined ? {} : { gust_mps }),
  report: id,
});

function windWordsOf({ declination }: CallMoment, wind: SurfaceWind): string {
  if (wind.variable) return `surface ${sayVariableWind(wind.speed_mps, wind.gust_mps)}`;
  const [deg, north] = spokenNorth(wind.from_deg, declination);
  return `surface ${sayWind(deg, wind.speed_mps, north, wind.gust_mps)}`;
}

/** The wind as it was reported, with its age and the landmark that it blows toward. */
export function windCall(moment: CallMoment): Offer | NotCalled {
  const wind = surfaceWindToCall(moment);
  if (typeof wind === 'string') return notCalled('wind', TO_JUMPER, wind);
  const { situation, expected } = moment;
  const place = landingIn(expected)?.position ?? situation.mission.site.position;
  const { toward } = windOf(windVector(wind.from_deg, wind.speed_mps), place, situation.mission);
  const side = wind.variable || isCalm(wind.speed_mps) ? [] : [`toward ${sayName(toward)}`];
  return offered({
    key: 'wind',
    to: TO_JUMPER,
    phrases: [windWordsOf(moment, wind)],
    more: [sayAge(wind.age_s), ...side],
    values: windValues(wind),
    age_s: wind.age_s,
    limit_s: CALL_LIMIT_S.wind,
  });
}

/** Into the reported wind; with none that has a side, as it was briefed. */
export function landingDirectionCall(moment: CallMoment): Offer | NotCalled {
  const key = 'landing direction';
  const wind = surfaceWindToCall(moment);
  if (typeof wind === 'string') return notCalled(key, TO_JUMPER, wind);
  const sideless = wind.variable || isCalm(wind.speed_mps);
  const phrases = sideless
    ? ['landing direction as briefed', windWordsOf(moment, wind)]
    : ['landing direction into the wind', spokenHeading(wind.from_deg, moment.declination)];
  const { values, age_s, limit_s } = { values: windValues(wind), age_s: wind.age_s, limit_s: CALL_LIMIT_S.wind };
  return offered({ key, to: TO_JUMPER, phrases, more: [sayAge(wind.age_s)], values, age_s, limit_s });
}

/** When and where the jumper comes down, to those who go there. */
export function landingCall({ situation, expected }: CallMoment): Offer | NotCalled {
  const landing = landingIn(expected);
  if (landing === null) {
    const values = { where: 'no landing' };
    return offered({ key: 'landing', to: TO_ALL, phrases: ['no landing is predicted', 'stand by'], values });
  }
  const where = whereOf(landing.position, situation.mission.landingZones ?? []);
  const time = `at ${sayTime(landing.at_s)}`;
  const phrases = [`landing expected ${time}`, sayWhere(where)];
  const shorter = { phrases: [`landing ${sayWhere(where)}`], more: [time] };
  const [lon_deg, lat_deg] = landing.position;
  const place = where.kind === 'no zones' ? where.kind : `${where.kind} ${where.zone}`;
  const values = { touchdown_s: landing.at_s, where: place, lon_deg, lat_deg };
  return offered({ key: 'landing', to: TO_ALL, phrases, shorter, values });
}

export function keepClearCall({ at_s, crews }: CallMoment): Offer | NotCalled {
  const key = 'keep clear';
  const old = crewsTooOld(crews, at_s);
  if (typeof crews === 'string' || old !== null) return notCalled(key, TO_ALL, old ?? '');
  const { margin_m } = crews;
  const flies = crews.orders.some(({ crew }) => crew.kind === 'helicopter');
  return offered({
    key,
    to: TO_ALL,
    phrases: [
      'stay outside the marked ground until touchdown is called',
      ...(flies ? [`helicopters ${sayDistance(10 * Math.ceil(margin_m / 10 - HAIR))}`] : []),
    ],
    values: flies ? { margin_m } : {},
    age_s: Math.max(0, at_s - crews.at_s),
    limit_s: CALL_LIMIT_S.crews,
  });
}

/** What lies on a multiple of ten stays there. */
const HAIR = 1e-9;

/** Why what the crews are told cannot be called; null: it can. */
export function crewsTooOld(crews: CrewsToCall | string, at_s: number): string | null {
  if (typeof crews === 'string') return crews;
  return at_s - crews.at_s <= CALL_LIMIT_S.crews
    ? null
    : `nothing newer than ${roughDuration(CALL_LIMIT_S.crews)} for the crews`;
}

interface HazardSeen {
  readonly name: string;
  readonly inside: boolean;
  readonly position: LonLat;
  readonly distance_m: number;
}

/** Farther from the landing nobody is warned of a hazard: about a minute of flight under a square canopy. Ours. */
const HAZARD_NEAR_M = 600;

function nearestHazard(mission: Mission, place: LonLat): HazardSeen | null {
  let nearest: HazardSeen | null = null;
  for (const hazard of mission.hazards ?? []) {
    const ring: unknown = 'polygon' in hazard ? hazard.polygon : null;
    const line: unknown = isLine(ring) ? [...ring, ...ring.slice(0, 1)] : 'line' in hazard ? hazard.line : null;
    if (!isLine(line)) continue;
    const inside = isLine(ring) && isInside(place, ring);
    const edge = nearestOnLine(place, line);
    const seen = { name: hazard.name, inside, position: edge.position, distance_m: inside ? 0 : edge.distance_m };
    if (nearest === null || seen.distance_m < nearest.distance_m) nearest = seen;
  }
  return nearest;
}

const isLine = (places: unknown): places is readonly LonLat[] => Array.isArray(places) && places.length > 1;

export function hazardCall({ situation, expected, declination }: CallMoment): Offer | null {
  const landing = landingIn(expected);
  if (landing === null) return null;
  const seen = nearestHazard(situation.mission, landing.position);
  if (seen === null || seen.distance_m > HAZARD_NEAR_M) return null;
  const { name, inside, distance_m } = seen;
  const bearing = spokenBearing(inverse(landing.position, seen.position).bearing_deg, declination);
  const phrases = inside
    ? [`landing is expected on hazard ${sayName(name)}`]
    : [`hazard ${sayName(name)} bears ${bearing}`, `distance ${sayDistance(distance_m)}`];
  const more = inside ? [] : ['from the landing'];
  return offered({ key: 'hazard', to: TO_JUMPER, phrases, more, values: { hazard: name, distance_m } });
}

/** The jumper is on the ground: when and, where the log has the place, in which zone. */
export function downCall({ situation, expected }: CallMoment): Offer | NotCalled {
  const down = situation.state.marks.get('touchdown');
  const time_s = down?.time_s ?? landingIn(expected)?.at_s ?? null;
  if (time_s === null) return notCalled('down', TO_ALL, 'the log has no time of the touchdown');
  const landing = expected.from === 'touchdown' ? landingIn(expected) : null;
  const where = landing === null ? null : whereOf(landing.position, situation.mission.landingZones ?? []);
  const place = where === null ? 'place not known' : sayWhere(where);
  const values = { touchdown_s: time_s };
  return offered({ key: 'down', to: TO_ALL, phrases: [`jumper is down since ${sayTime(time_s)}`, place], values });
}

/** An altimeter is set to the zone's ground: where the ground below is another by more than this, it is said. Ours. */
const GROUND_DOUBT_M = 30;

/** Height of the ground below a spot, m MSL, and whether it can be taken for that of the zone. */
export function groundBelow(
  { situation, zone }: CallMoment,
  { place }: TrackSpot,
): { ground_m: number; doubt: boolean } {
  const { ground } = situation.world;
  const at = ([lon, lat]: LonLat): number => ground.heightAt(lat * RAD_PER_DEG, lon * RAD_PER_DEG);
  const ground_m = at(place);
  const aimed_m = zone === null ? situation.mission.site.elevation_m : at(zoneMiddle(zone));
  return { ground_m, doubt: Math.abs(ground_m - aimed_m) > GROUND_DOUBT_M };
}

export const groundWords = (ground_m: number, { length }: Units): string =>
  `ground at ${sayHeight(ground_m, length)} above sea level`;
