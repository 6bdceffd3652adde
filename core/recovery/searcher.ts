// Who searches: a helicopter with fuel and light to look, else a vehicle, or a boat where it can keep to the water.
// What each sees and how fast it looks. Metres, s.
import type { Ellipse } from '../descent/statistics.ts';
import type { LocalFrame } from '../earth/geodesic.ts';
import { CIVIL_TWILIGHT_DEG, sunPosition } from '../earth/sun.ts';
import type { Situation } from '../mission/situation.ts';
import type { LonLat } from '../base/units.ts';
import { flightTime_s, fuelLeft, gustNow_mps, rotorWind_mps, windOver, type Crew } from './crews.ts';
import type { Water } from './water.ts';

/**
 * Both sides together, for a canopy on open ground, where the mission says nothing. Invented: published tables need
 * more than that.
 */
export const SWEEP_M = { helicopter: 400, vehicle: 100, boat: 185 } as const;
/**
 * The same for somebody in the water: a tenth of a nautical mile, from a helicopter at 500 ft. source: IAMSAR vol. II,
 * sweep widths, person in water; mark M.
 */
const AFLOAT_SWEEP_M = 185;
/** A boat searches no faster: who lies low in the water is passed unseen. Ours. */
const BOAT_SEARCH_MPS = 8;
/** A helicopter that looks for something, m/s: 60 kt. Common practice. */
export const SEARCH_MPS = 30;
/** Fuel or light for less than this is no search, s. Ours. */
const LEAST_THERE_S = 300;

export interface Searcher {
  readonly crew: Crew;
  readonly sweepWidth_m: number;
  readonly speed_mps: number;
  /** From the word to go to the datum. */
  readonly arrives_s: number;
  /** What its fuel leaves there; null where it is not given or does not count. */
  readonly onScene_s: number | null;
}

/** The landings that are searched first, before anything drifts. */
export interface SearchPlace {
  readonly datum: LonLat;
  readonly touchdown_s: number;
  readonly frame: LocalFrame;
  readonly water: Water;
}

/**
 * The helicopter that is there first with fuel to look, and may fly then; else the vehicle that is, or on water the
 * boat whose lines keep to it. Null where no crew can.
 */
export function searcherOf(
  situation: Situation,
  crews: readonly Crew[],
  place: SearchPlace,
  ellipse: Ellipse,
): Searcher | null {
  const { datum, touchdown_s, water } = place;
  const isAfloat = water.at([0, 0]) !== null;
  const options = crews.map((crew) => asSearcher(situation, crew, place, isAfloat));
  const starts_s = touchdown_s === touchdown_s ? touchdown_s : situation.at_s;
  const wind_mps = rotorWind_mps(windOver(situation, datum, 10, starts_s), gustNow_mps(situation));
  const isDark = ({ arrives_s }: Searcher): boolean =>
    sunPosition(datum, starts_s + arrives_s + LEAST_THERE_S).elevation_deg < CIVIL_TWILIGHT_DEG;
  const able = options.filter(
    (one) =>
      one.crew.kind === 'helicopter' &&
      (one.onScene_s === null || one.onScene_s > LEAST_THERE_S) &&
      one.arrives_s < Infinity &&
      wind_mps <= one.crew.wind_mps_max &&
      (one.crew.night || !isDark(one)),
  );
  const others = options.filter((one) =>
    isAfloat ? one.crew.kind === 'boat' && keepsToWater(water, ellipse, one) : one.crew.kind === 'vehicle',
  );
  const from = able.length > 0 ? able : others;
  return from.toSorted((a, b) => a.arrives_s - b.arrives_s)[0] ?? null;
}

function asSearcher(
  situation: Situation,
  crew: Crew,
  { datum, touchdown_s }: SearchPlace,
  isAfloat: boolean,
): Searcher {
  const flies = crew.kind === 'helicopter';
  const wind = flies
    ? windOver(situation, datum, crew.cruise_agl_m, touchdown_s === touchdown_s ? touchdown_s : situation.at_s)
    : ([0, 0] as const);
  const from = crew.heard?.position ?? crew.standby;
  const speed = flies ? crew : { speed_mps: Math.max(crew.offRoad_mps, 1) };
  const out = flightTime_s(speed, from, datum, wind);
  const fuel = flies
    ? fuelLeft(crew, flightTime_s(crew, crew.base, from, wind) + out + flightTime_s(crew, datum, crew.base, wind))
    : null;
  const own_mps = flies
    ? Math.min(SEARCH_MPS, crew.speed_mps)
    : Math.min(Math.max(crew.offRoad_mps, 1), crew.kind === 'boat' ? BOAT_SEARCH_MPS : Infinity);
  return {
    crew,
    sweepWidth_m: crew.team.sweepWidth_m ?? (isAfloat ? AFLOAT_SWEEP_M : SWEEP_M[crew.kind]),
    speed_mps: crew.team.search_mps ?? own_mps,
    arrives_s: crew.ready_s + out,
    onScene_s: fuel === null || fuel.kind === 'not given' ? null : fuel.kind === 'enough' ? fuel.onScene_s : 0,
  };
}

/** Whether all about the datum that a boat would search is water: its lines turn by the wind, so a circle is asked. */
function keepsToWater(water: Water, { semiMajor_m }: Ellipse, { sweepWidth_m }: Searcher): boolean {
  const shore = water.shoreOf([0, 0]);
  // The farthest corner of an expanding square.
  return shore !== null && shore.distance_m > Math.SQRT2 * (Math.max(semiMajor_m, sweepWidth_m) + sweepWidth_m);
}
