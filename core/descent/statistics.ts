// What a sample of landings says: mean, covariance, ellipses, quantiles, the share in each zone and hazard with its own
// sampling error. Metres in the tangent frame of the mean; bearings degrees true.
import { keptIn } from '../base/kept.ts';
import { nth } from '../base/nth.ts';
import { localFrame, type LocalFrame } from '../earth/geodesic.ts';
import { corridorRegion, Regions, ringRegion, type Region } from '../earth/region.ts';
import type { Hazard, LandingZone } from '../plan/schema.ts';
import { scratch } from '../base/scratch.ts';
import { DEG_PER_RAD, type LonLat } from '../base/units.ts';
import type { Members } from './ensemble.ts';

export interface Ellipse {
  readonly semiMajor_m: number;
  readonly semiMinor_m: number;
  /** Of the major axis, [0, 180). */
  readonly bearing_deg: number;
}

/** A share of the sample and the standard error with which the sample knows it. */
export interface Share {
  readonly p: number;
  readonly error: number;
}

export interface Quantiles {
  readonly p05: number;
  readonly p50: number;
  readonly p95: number;
}

export interface LandingStatistics {
  readonly members: number;
  /** Members that did not reach the ground; they are in no other number. */
  readonly lost: number;
  readonly mean: LonLat;
  /** [[ee, en], [en, nn]] */
  readonly covariance_m2: readonly [readonly [number, number], readonly [number, number]];
  /** Of the normal distribution with this mean and covariance, by the share that they hold. */
  readonly ellipses: { readonly '50': Ellipse; readonly '90': Ellipse };
  readonly inZone: Readonly<Record<string, Share>>;
  readonly inAnyZone: Share;
  readonly inHazard: Readonly<Record<string, Share>>;
  readonly inAnyHazard: Share;
  readonly time_s: Quantiles;
  readonly groundSpeed_mps: Quantiles;
  readonly sink_mps: Quantiles;
  /** Null where no canopy opens. */
  readonly shock_g: Quantiles | null;
}

/**
 * A landing this near to a line (a wire, a fence, a road) counts as on it: half a canopy's span and what a wire swings;
 * plus the line's own height. Common practice.
 */
export const LINE_HALF_WIDTH_M = 30;

const hazardRegion = (hazard: Hazard): Region =>
  'polygon' in hazard
    ? ringRegion(hazard.polygon as readonly LonLat[])
    : corridorRegion(hazard.line, LINE_HALF_WIDTH_M + (hazard.height_m ?? 0));

const compiled = new WeakMap<readonly Hazard[], Regions>();

/**
 * Where each hazard is met, compiled once for a list of them: a look for the word's edges asks some hundred times, 4 ms
 * each with 500 hazards.
 */
export function hazardRegions(hazards: readonly Hazard[]): Regions {
  return keptIn(compiled, hazards, () => new Regions(hazards.map(hazardRegion)));
}

/**
 * The ellipse that holds a share of a normal distribution: semi-axes √(−2 ln(1 − share)) standard deviations (χ² of two
 * degrees of freedom).
 */
export function ellipseOf(ee: number, en: number, nn: number, share: number): Ellipse {
  const k = Math.sqrt(-2 * Math.log(1 - share));
  const middle = (ee + nn) / 2;
  const spread = Math.hypot((ee - nn) / 2, en);
  const bearing = (Math.atan2(2 * en, nn - ee) / 2) * DEG_PER_RAD;
  return {
    semiMajor_m: k * Math.sqrt(Math.max(middle + spread, 0)),
    semiMinor_m: k * Math.sqrt(Math.max(middle - spread, 0)),
    bearing_deg: bearing < 0 ? bearing + 180 : bearing,
  };
}

export function shareOf(count: number, n: number): Share {
  if (n === 0) return { p: NaN, error: NaN };
  const p = count / n;
  // Agresti and Coull's n + 4, so that a share of 0 or 1 from a finite sample keeps an error.
  const q = (count + 2) / (n + 4);
  return { p, error: Math.sqrt((q * (1 - q)) / (n + 4)) };
}

const toSort = scratch();

/** Quantiles of the finite values of a column (linear between order statistics); NaN without any. */
export function quantilesOf(column: Float64Array): Quantiles {
  const finite = toSort(column.length);
  let n = 0;
  for (let i = 0; i < column.length; i++) {
    const x = nth(column, i);
    if (x === x) finite[n++] = x;
  }
  const sorted = finite.subarray(0, n).sort();
  const at = (share: number): number => {
    const x = share * (n - 1);
    const i = Math.floor(x);
    const a = sorted[i] ?? NaN;
    return a + (x - i) * ((sorted[i + 1] ?? a) - a);
  };
  return { p05: at(0.05), p50: at(0.5), p95: at(0.95) };
}

/**
 * East and north of each landed member about an origin, two numbers each; lost members are left out. `out`: memory to
 * write them to.
 */
export function landingsIn(
  frame: LocalFrame,
  members: Members,
  out: Float64Array = new Float64Array(2 * members.count),
): Float64Array {
  let n = 0;
  for (let i = 0; i < members.count; i++) {
    const lon = nth(members.lon_deg, i);
    if (lon !== lon) continue;
    frame.toLocalInto(members.lon_deg, members.lat_deg, i, out, n);
    n += 2;
  }
  return out.subarray(0, n);
}

/** Null where no member reached the ground. */
export function statisticsOf(
  members: Members,
  zones: readonly LandingZone[],
  hazards: readonly Hazard[],
): LandingStatistics | null {
  const first = members.lon_deg.findIndex((lon) => lon === lon);
  if (first < 0) return null;
  const start: LonLat = [nth(members.lon_deg, first), nth(members.lat_deg, first)];
  const rough = momentsIn(localFrame(start), members);
  const mean = localFrame(start).toLonLat(rough.east, rough.north);
  const { n, ee, en, nn } = momentsIn(localFrame(mean), members);
  const inZones = holding(members, new Regions(zones.map((zone) => ringRegion(zone.polygon))), zones.length);
  const inHazards = holding(members, hazardRegions(hazards), hazards.length);
  const named = (names: readonly { name: string }[], counts: Int32Array): Record<string, Share> =>
    Object.fromEntries(names.map(({ name }, i) => [name, shareOf(counts[i] ?? 0, n)]));
  const opened = members.shock_g.some((x) => x === x);
  return {
    members: members.count,
    lost: members.count - n,
    mean,
    covariance_m2: [
      [ee, en],
      [en, nn],
    ],
    ellipses: { '50': ellipseOf(ee, en, nn, 0.5), '90': ellipseOf(ee, en, nn, 0.9) },
    inZone: named(zones, inZones.counts),
    inAnyZone: shareOf(inZones.any, n),
    inHazard: named(hazards, inHazards.counts),
    inAnyHazard: shareOf(inHazards.any, n),
    time_s: quantilesOf(members.time_s),
    groundSpeed_mps: quantilesOf(members.groundSpeed_mps),
    sink_mps: quantilesOf(members.sink_mps),
    shock_g: opened ? quantilesOf(members.shock_g) : null,
  };
}

/** Mean and covariance of the landings about a frame's origin, which is one of them or lies among them. */
function momentsIn(frame: LocalFrame, { count, lon_deg, lat_deg }: Members) {
  const place = new Float64Array(2);
  let n = 0;
  let east = 0;
  let north = 0;
  let ee = 0;
  let en = 0;
  let nn = 0;
  for (let i = 0; i < count; i++) {
    const lon = nth(lon_deg, i);
    if (lon !== lon) continue;
    frame.toLocalInto(lon_deg, lat_deg, i, place, 0);
    const e = nth(place, 0);
    const m = nth(place, 1);
    // Welford's update, Technometrics 4 (1962) 419: no difference of large sums, and no list of all places.
    n += 1;
    const fromMean = e - east;
    const above = m - north;
    east += fromMean / n;
    north += above / n;
    ee += fromMean * (e - east);
    en += fromMean * (m - north);
    nn += above * (m - north);
  }
  const by = Math.max(n - 1, 1);
  return { n, east, north, ee: ee / by, en: en / by, nn: nn / by };
}

/** Of the members, how many landed in each region, and how many in any. */
function holding(
  { count, lon_deg, lat_deg }: Members,
  regions: Regions,
  size: number,
): { readonly counts: Int32Array; readonly any: number } {
  const counts = new Int32Array(size);
  let any = 0;
  for (let i = 0; i < count; i++) {
    const lon = nth(lon_deg, i);
    if (lon === lon && regions.count(lon_deg, lat_deg, i, counts)) any += 1;
  }
  return { counts, any };
}
