// Whether a value that was called has changed so much since that its call must be corrected. Each tolerance says where
// it is from. What runs by itself (height, speed, time in fall, the way to the zone) is said again and corrects
// nothing.
import { CALM_MPS } from '../words/winds.ts';
import { MPS_PER_KT, wrap180, type LonLat } from '../base/units.ts';
import { inverse } from '../earth/geodesic.ts';

/** What a call stood on, as the log keeps it. */
export type CallValues = Readonly<Record<string, number | string>>;

/**
 * Half of what calls for a special report at an aerodrome (ICAO Annex 3, appendix 3, 2.3, mark M: 60°, and 10 kt in
 * speed or gust). Half of it is ours: who lands by it has one try.
 */
export const WIND_TURN_DEG = 30;
export const WIND_CHANGE_MPS = 5 * MPS_PER_KT;
/** Below 3 kt a direction is reported as variable (the same place, 4.1.5.2): there its turning corrects nothing. */
export const TURNS_FROM_MPS = 3 * MPS_PER_KT;
/** A time is said to the minute: a minute off it is another time. */
const TIME_S = 60;
/** A landing that moved so far is looked for somewhere else: about as far as one sees a person on a field. Ours. */
const LANDING_M = 300;
/** A bearing and a distance that lead past the person on the ground. Ours. */
const BEARING_DEG = 10;
const DISTANCE_SHARE = 0.1;
/** The final of a helicopter is flown by a card of ten degrees; two of them are another way in. Ours. */
const FINAL_DEG = 20;
/** Distances over the ground are said to 10 m: what is kept clear must not have been said smaller. */
const KEEP_M = 10;
/** A hazard said at another place, seen from the landing. Ours. */
const HAZARD_M = 100;

const numberOf = (values: CallValues, name: string): number | null => {
  const value = values[name];
  return typeof value === 'number' && Number.isFinite(value) ? value : null;
};

/** Both numbers, or null where either is missing: then nothing is known of a change. */
function pair(said: CallValues, now: CallValues, name: string): readonly [number, number] | null {
  const [a, b] = [numberOf(said, name), numberOf(now, name)];
  return a === null || b === null ? null : [a, b];
}

const differs = (said: CallValues, now: CallValues, name: string): boolean =>
  said[name] !== undefined && said[name] !== now[name];

/** A hair less, so that what is exactly a tolerance off is off whatever its last binary digit. */
const HAIR = 1e-9;

function isOff(said: CallValues, now: CallValues, name: string, by: number): boolean {
  const both = pair(said, now, name);
  return both !== null && Math.abs(both[0] - both[1]) >= by - HAIR;
}

function isTurned(said: CallValues, now: CallValues, name: string, by_deg: number): boolean {
  const both = pair(said, now, name);
  return both !== null && Math.abs(wrap180(both[0] - both[1])) >= by_deg - HAIR;
}

function isMoved(said: CallValues, now: CallValues): boolean {
  const [lon, lat] = [pair(said, now, 'lon_deg'), pair(said, now, 'lat_deg')];
  if (lon === null || lat === null) return false;
  const [a, b]: readonly [LonLat, LonLat] = [
    [lon[0], lat[0]],
    [lon[1], lat[1]],
  ];
  return !(Math.max(Math.abs(lat[0]), Math.abs(lat[1])) <= 90) || !(inverse(a, b).distance_m < LANDING_M);
}

/**
 * A wind by what a person does with it: another strength, another gust (a gust that was not said counts as the speed
 * itself), another side where either wind is strong enough to have one, or a side where none was said.
 */
function windChanged(said: CallValues, now: CallValues): boolean {
  const speeds = pair(said, now, 'speed_mps');
  if (speeds === null) return false;
  const [a, b] = speeds;
  const gust = (values: CallValues, speed: number): number => numberOf(values, 'gust_mps') ?? speed;
  if (Math.abs(a - b) >= WIND_CHANGE_MPS - HAIR) return true;
  if (Math.abs(gust(said, a) - gust(now, b)) >= WIND_CHANGE_MPS - HAIR) return true;
  if (Math.max(a, b) < TURNS_FROM_MPS) return false;
  const side = (values: CallValues, speed: number): number | null =>
    speed < CALM_MPS ? null : numberOf(values, 'from_deg');
  const [before, after] = [side(said, a), side(now, b)];
  if (before === null || after === null) return before !== after;
  return Math.abs(wrap180(before - after)) >= WIND_TURN_DEG - HAIR;
}

function wayChanged(said: CallValues, now: CallValues): boolean {
  const both = pair(said, now, 'distance_m');
  const far = both !== null && Math.abs(both[0] - both[1]) >= Math.max(DISTANCE_SHARE * both[0], LANDING_M) - HAIR;
  return differs(said, now, 'status') || isTurned(said, now, 'bearing_deg', BEARING_DEG) || far;
}

type Change = (said: CallValues, now: CallValues) => boolean;

/** By the call's key, for a crew's calls by its first word. */
const CHANGES: Readonly<Record<string, Change>> = {
  exit: (said, now) => differs(said, now, 'word') || isOff(said, now, 'exit_s', TIME_S),
  wind: windChanged,
  'landing direction': windChanged,
  landing: (said, now) => differs(said, now, 'where') || isOff(said, now, 'touchdown_s', TIME_S) || isMoved(said, now),
  'keep clear': (said, now) => isOff(said, now, 'margin_m', KEEP_M),
  hazard: (said, now) => differs(said, now, 'hazard') || isOff(said, now, 'distance_m', HAZARD_M),
  way: wayChanged,
  approach: (said, now) => isTurned(said, now, 'final_deg', FINAL_DEG),
};

/** Nonsense in what was said (no number where one is due) is no change: then the call is offered as any other. */
export function hasChanged(key: string, said: CallValues, now: CallValues): boolean {
  const change = CHANGES[key] ?? CHANGES[/^(?:way|approach) /.exec(key)?.[0].trim() ?? ''];
  return change?.(said, now) ?? false;
}
