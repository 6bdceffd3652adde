// The standard wind barb as geometry. Station at the origin, x right, y down (SVG); the shaft points to where the wind
// comes FROM, north up. Half feather 5 kt, feather 10 kt, pennant 50 kt, the speed rounded to the nearest 5 kt; below
// 2.5 kt the shaft stands alone, and a calm is a circle without shaft. Source: WMO-No. 485, Manual on the GDPFS,
// appendix on graphical representation: feathers to the left looking downwind in the northern hemisphere, to the right
// in the southern (toward the lower pressure).
import { MPS_PER_KT, RAD_PER_DEG } from '../../core/base/units.ts';
import { isCalm } from '../../core/words/winds.ts';

export type Point = readonly [x: number, y: number];
export type Hemisphere = 'north' | 'south';

export interface Barb {
  /** The speed drawn, a multiple of 5 kt. */
  readonly speed_kt: number;
  readonly calm: boolean;
  readonly shaft: readonly [Point, Point];
  /** From the shaft outward; full ones first, as they follow each other from the tip inward. */
  readonly full: readonly (readonly [Point, Point])[];
  readonly half: readonly (readonly [Point, Point])[];
  /** Triangles, two corners on the shaft. */
  readonly pennants: readonly (readonly [Point, Point, Point])[];
}

/** What a barb counts: 85 kt is 1 pennant, 3 feathers, 1 half. */
export function feathers(speed_mps: number): { speed_kt: number; pennants: number; full: number; half: number } {
  const speed_kt = Math.round(speed_mps / MPS_PER_KT / 5) * 5;
  const pennants = Math.floor(speed_kt / 50);
  const full = Math.floor((speed_kt - pennants * 50) / 10);
  return { speed_kt, pennants, full, half: speed_kt % 10 === 5 ? 1 : 0 };
}

/**
 * The barb of one wind.
 *
 * from_deg   where it blows from, true
 * length     of the shaft, px; grows where the feathers need more room
 */
export function barb(from_deg: number, speed_mps: number, hemisphere: Hemisphere, length = 26): Barb {
  const count = feathers(speed_mps);
  const gap = length * 0.15;
  const reach = length * 0.42;
  const needed = count.pennants * gap * 1.2 + (count.full + count.half) * gap + gap;
  const shaft = Math.max(length, needed);
  const side = hemisphere === 'north' ? 1 : -1;
  const sin = Math.sin(from_deg * RAD_PER_DEG);
  const cos = Math.cos(from_deg * RAD_PER_DEG);
  // Along: px from the station toward the tip. Across: px to the feathers' side, which is clockwise of the tip in the
  // north.
  const place = (along: number, across: number): Point => [
    along * sin + across * side * cos,
    -along * cos + across * side * sin,
  ];
  const slant = gap * 0.8;
  const pennants: [Point, Point, Point][] = [];
  const full: [Point, Point][] = [];
  const half: [Point, Point][] = [];
  let along = shaft;
  for (let i = 0; i < count.pennants; i++) {
    pennants.push([place(along, 0), place(along, reach), place(along - gap, 0)]);
    along -= gap * 1.2;
  }
  if (count.pennants > 0) along -= gap * 0.3;
  for (let i = 0; i < count.full; i++) {
    full.push([place(along, 0), place(along + slant, reach)]);
    along -= gap;
  }
  // A half feather alone stands in from the tip, so that it is not taken for a full one.
  if (count.half > 0 && count.full === 0 && count.pennants === 0) along -= gap;
  if (count.half > 0) half.push([place(along, 0), place(along + slant / 2, reach / 2)]);
  return {
    speed_kt: count.speed_kt,
    calm: isCalm(speed_mps),
    shaft: [place(0, 0), place(shaft, 0)],
    full,
    half,
    pennants,
  };
}
