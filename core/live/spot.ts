// Where a body is on its expected descent at a time since that began, and how it moves over the ground there.
import { inverse } from '../earth/geodesic.ts';
import type { Outlook } from '../descent/outlook.ts';
import { RAD_PER_DEG, type LonLat } from '../base/units.ts';

export interface TrackSpot {
  readonly place: LonLat;
  readonly height_m: number;
}

type Point = readonly [t_s: number, lon: number, lat: number, height_m: number];

/** Under canopy a track begins with its first step: what it goes on from is put before it. */
function wholeTrack({ scenario, prediction }: Outlook): readonly Point[] {
  const { lon_deg, lat_deg, height_m } = scenario.exit;
  return [[0, lon_deg, lat_deg, height_m], ...prediction.track];
}

/** Straight between the points of the track; null before its beginning and after its end. */
export function spotAt(outlook: Outlook, into_s: number): TrackSpot | null {
  const track = wholeTrack(outlook);
  const after = track.findIndex(([t_s]) => t_s >= into_s);
  const b = track[after];
  const a = track[after - 1] ?? b;
  if (a === undefined || b === undefined || !(into_s >= a[0])) return null;
  const f = b[0] > a[0] ? (into_s - a[0]) / (b[0] - a[0]) : 0;
  const turn = b[1] - a[1];
  const mix = (k: 2 | 3): number => a[k] + f * (b[k] - a[k]);
  return { place: [a[1] + f * (turn - 360 * Math.round(turn / 360)), mix(2)], height_m: mix(3) };
}

type Velocity = readonly [east: number, north: number, up: number];

interface Stretch {
  readonly middle_s: number;
  readonly mps: Velocity;
}

function stretchOf(a: Point, b: Point): Stretch {
  const { distance_m, bearing_deg } = inverse([a[1], a[2]], [b[1], b[2]]);
  const taken_s = b[0] - a[0];
  const along = distance_m / taken_s;
  const angle = bearing_deg * RAD_PER_DEG;
  return {
    middle_s: (a[0] + b[0]) / 2,
    mps: [along * Math.sin(angle), along * Math.cos(angle), (b[3] - a[3]) / taken_s],
  };
}

/**
 * Motion over the ground, m/s: on a line through the velocities of the two nearest stretches, which hold in their
 * middles. A stretch alone would be half a second off, 10 m/s where a fall is braked with 2 g. Null with fewer than
 * two.
 */
export function velocityAt(outlook: Outlook, into_s: number): Velocity | null {
  const track = wholeTrack(outlook);
  // Stages meet in two points of one moment: between them nothing is flown.
  const near = track.filter(
    ([t_s], i) => t_s - (track[i - 1]?.[0] ?? -Infinity) > 0 && Math.abs(t_s - into_s) < NEAR_S,
  );
  const stretches = near
    .flatMap((b, i): Stretch[] => {
      const a = near[i - 1];
      return a === undefined ? [] : [stretchOf(a, b)];
    })
    .toSorted((a, b) => Math.abs(a.middle_s - into_s) - Math.abs(b.middle_s - into_s));
  const [first, second] = stretches;
  if (first === undefined || second === undefined) return null;
  const f = (into_s - first.middle_s) / (second.middle_s - first.middle_s);
  const at = (k: 0 | 1 | 2): number => first.mps[k] + f * (second.mps[k] - first.mps[k]);
  return [at(0), at(1), at(2)];
}

/** Points lie a second apart. */
const NEAR_S = 4;
