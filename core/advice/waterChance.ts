// The chance that a flight ends in water, over its cases: as planned by the drawn landings, each other case by the same
// scatter about its own landing.
import { keptIn } from '../base/kept.ts';
import { nth } from '../base/nth.ts';
import type { LonLat } from '../base/units.ts';
import type { Members } from '../descent/ensemble.ts';
import { shareOf, type Share } from '../descent/statistics.ts';
import { ringRegion, type Region } from '../earth/region.ts';
import type { Endurance } from '../mission/endurance.ts';
import type { Hazard, Mission } from '../plan/schema.ts';
import { islandAreas, waterAreas } from '../plan/water.ts';

/** Of drawn landings so many stand for the scatter about the landing of another case: a share is known to 4 % then. */
const DRAWN_MAX = 200;

export interface WaterChance {
  readonly p: number;
  readonly error: number;
  /** The cases that may end in water, the most likely first, each with its own chance. */
  readonly cases: readonly { readonly name: string; readonly p: number }[];
}

/** Landings that were drawn about a predicted one, and by how much all are moved since, degrees. */
export interface DrawnAbout {
  readonly members: Members;
  readonly landing: LonLat | null;
  readonly moved?: readonly [east_deg: number, north_deg: number] | undefined;
}

/** Null without any area of water, or where nothing lands. */
export function waterChance(
  { hazards }: Pick<Mission, 'hazards'>,
  { members, landing, moved }: DrawnAbout,
  cases: readonly Endurance[],
): WaterChance | null {
  const water = waterAreas(hazards);
  const landed = members.lon_deg.some((lon) => lon === lon);
  if (water.length === 0 || landing === null || !landed) return null;
  const wet = keptIn(WET, hazards ?? [], () => wetOf(water, islandAreas(hazards)));
  const [east_deg, north_deg] = moved ?? [0, 0];
  const drawn = wet(members, east_deg, north_deg, moved === undefined ? members.lon_deg.length : DRAWN_MAX);
  const alone = { p: drawn.p, error: drawn.error, cases: [{ name: 'As planned', p: drawn.p }] };
  const all = cases.reduce((sum, { weight }) => sum + weight, 0);
  if (!(all > 0)) return alone;
  const shares = cases.map(({ name, weight, planned, landing: other }) => ({
    name,
    weight: weight / all,
    p: planned
      ? drawn.p
      : other === null
        ? 0
        : wet(members, east_deg + other[0] - landing[0], north_deg + other[1] - landing[1], DRAWN_MAX).p,
  }));
  return {
    p: shares.reduce((sum, { weight, p }) => sum + weight * p, 0),
    error: drawn.error,
    cases: shares.filter(({ p }) => p > 0).toSorted((a, b) => b.weight * b.p - a.weight * a.p),
  };
}

/** What would change the word asks about the same water two hundred times. */
const WET = new WeakMap<readonly Hazard[], Wet>();

type Area = ReturnType<typeof waterAreas>[number];

type Wet = (members: Members, east_deg: number, north_deg: number, most: number) => Share;

/** The share of the first so many landings that lie in water once all are moved. */
function wetOf(water: readonly Area[], islands: readonly Area[]): Wet {
  const ring = ({ polygon }: Area): Region => ringRegion(polygon);
  const [areas, dry] = [water.map(ring), islands.map(ring)];
  return (members, east_deg, north_deg, most) => {
    let [count, held] = [0, 0];
    const [lon, lat] = [new Float64Array(1), new Float64Array(1)];
    for (let i = 0; i < members.lon_deg.length && count < most; i++) {
      if (nth(members.lon_deg, i) !== nth(members.lon_deg, i)) continue;
      lon[0] = nth(members.lon_deg, i) + east_deg;
      lat[0] = nth(members.lat_deg, i) + north_deg;
      count += 1;
      const holds = (area: Region): boolean => area.holds(lon, lat, 0);
      if (areas.some(holds) && !dry.some(holds)) held += 1;
    }
    return shareOf(held, count);
  };
}
