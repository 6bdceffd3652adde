// What an export holds, before it is written in one form or another: named places, ways and areas, in folders, with
// heights where they have one. Positions [longitude, latitude, height m MSL]; times s since 1970.
import type { LonLat } from '../../base/units.ts';

export type Position = LonLat | readonly [lon: number, lat: number, height_m: number];

export type FeatureShape =
  | { readonly kind: 'point'; readonly at: Position; readonly time_s?: number }
  /** `times_s`: one a position. */
  | { readonly kind: 'line'; readonly line: readonly Position[]; readonly times_s?: readonly number[] }
  /** The outer ring first, then holes; each may be closed or left open. Heights: of the corners, all or none. */
  | { readonly kind: 'area'; readonly rings: readonly (readonly Position[])[] };

export interface Feature {
  readonly name: string;
  readonly folder: string;
  readonly note: string;
  /** A way to be followed, rather than the trace of something. */
  readonly route?: boolean;
  readonly shape: FeatureShape;
  /** Numbers that are not finite are written as null. */
  readonly facts: Readonly<Record<string, string | number | boolean | null>>;
}

export interface FeatureSet {
  readonly name: string;
  readonly note: string;
  readonly time_s: number;
  readonly features: readonly Feature[];
}

/** Every position of a shape. */
export const positionsOf = (shape: FeatureShape): readonly Position[] =>
  shape.kind === 'point' ? [shape.at] : shape.kind === 'line' ? shape.line : shape.rings.flat();

export const isPlace = ([lon, lat, height_m]: Position): boolean =>
  Math.abs(lon) <= 180 && Math.abs(lat) <= 90 && (height_m === undefined || Number.isFinite(height_m));

/**
 * Features that can be written, and the names of those that cannot: without a position on earth, a line of one point, a
 * ring of two.
 */
export function writable(features: readonly Feature[]): {
  readonly kept: readonly Feature[];
  readonly left: readonly string[];
} {
  const ok = ({ shape }: Feature): boolean => {
    if (!positionsOf(shape).every(isPlace)) return false;
    if (shape.kind === 'line') return shape.line.length >= 2;
    return (
      shape.kind === 'point' || (shape.rings.length > 0 && shape.rings.every((ring) => openRing(ring).length >= 3))
    );
  };
  return { kept: features.filter(ok), left: features.filter((feature) => !ok(feature)).map((feature) => feature.name) };
}

const same = (a: Position, b: Position): boolean => a[0] === b[0] && a[1] === b[1];

export function openRing(ring: readonly Position[]): readonly Position[] {
  const first = ring[0];
  const last = ring.at(-1);
  return ring.length > 1 && first !== undefined && last !== undefined && same(first, last) ? ring.slice(0, -1) : ring;
}

export function closedRing(ring: readonly Position[]): readonly Position[] {
  const open = openRing(ring);
  const first = open[0];
  return first === undefined ? open : [...open, first];
}
