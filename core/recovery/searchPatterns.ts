// Search patterns as lines on a plane (metres east and north of the datum), what they find and how long they take.
// ref: recovery.md §1; sources: IAMSAR study texts and a boat-crew deck, mark F (coordinates C); creeping line as
// there.
import { RAD_PER_DEG, wrap360 } from '../base/units.ts';
import type { Point } from '../earth/plane.ts';

export interface Pattern {
  readonly name: 'expanding square' | 'sector' | 'parallel track' | 'creeping line';
  /** From the first place to the last; the datum itself first where the pattern begins there. */
  readonly points: readonly Point[];
  readonly legs: readonly { readonly heading_deg: number; readonly length_m: number }[];
  readonly length_m: number;
  /** Between neighbouring legs as they run; the wanted spacing where legs do not run beside each other. */
  readonly spacing_m: number;
}

const DATUM: Point = [0, 0];

function patternOf(
  name: Pattern['name'],
  points: readonly Point[],
  headings: readonly number[],
  spacing_m: number,
): Pattern {
  const legs = headings.map((heading, i) => {
    const [a, b] = [points[i] ?? DATUM, points[i + 1] ?? DATUM];
    return { heading_deg: wrap360(heading), length_m: Math.hypot(b[0] - a[0], b[1] - a[1]) };
  });
  return { name, points, legs, length_m: legs.reduce((sum, leg) => sum + leg.length_m, 0), spacing_m };
}

/**
 * Sines and cosines of right and third turns come out whole where the heading is: the tables of the reference are met
 * to rounding.
 */
const step = ([e, n]: Point, heading_deg: number, length: number): Point => [
  e + length * Math.sin(heading_deg * RAD_PER_DEG),
  n + length * Math.cos(heading_deg * RAD_PER_DEG),
];

/**
 * From the datum, all turns 90° the same way, legs S, S, 2S, 2S, 3S, 3S …: `pairs` of them, S · pairs · (pairs + 1)
 * long.
 */
export function expandingSquare(
  spacing_m: number,
  pairs: number,
  first_deg: number,
  turn: 'right' | 'left' = 'right',
): Pattern {
  const points: Point[] = [[0, 0]];
  const headings: number[] = [];
  for (let leg = 0; leg < 2 * pairs; leg++) {
    const heading = first_deg + (turn === 'right' ? 90 : -90) * leg;
    headings.push(heading);
    points.push(step(points.at(-1) ?? DATUM, heading, (Math.floor(leg / 2) + 1) * spacing_m));
  }
  return patternOf('expanding square', points, headings, spacing_m);
}

/**
 * Three sectors through the datum, all turns 120° to the right, nine legs of the radius; a second pass is turned by
 * 30°.
 */
export function sectorSearch(radius_m: number, first_deg: number): Pattern {
  const turns = [0, 120, 240, 240, 0, 120, 120, 240, 0];
  const points: Point[] = [[0, 0]];
  const headings = turns.map((turn) => first_deg + turn);
  for (const heading of headings) points.push(step(points.at(-1) ?? DATUM, heading, radius_m));
  return patternOf('sector', points, headings, radius_m);
}

/**
 * Legs parallel to one side of a rectangle, S apart, the first half of S inside its edge; the last lies at least as
 * near to the other.
 *
 * long_m, short_m  sides of the rectangle; its middle is the datum
 * along_deg        bearing of the long side
 * legsAlong        the side that the legs run along: 'long' for parallel track, 'short' for creeping line
 */
export function ladder(
  long_m: number,
  short_m: number,
  along_deg: number,
  spacing_m: number,
  legsAlong: 'long' | 'short',
): Pattern {
  const length = legsAlong === 'long' ? long_m : short_m;
  const width = legsAlong === 'long' ? short_m : long_m;
  const leg_deg = legsAlong === 'long' ? along_deg : along_deg + 90;
  const across_deg = leg_deg + 90;
  const legs = Math.max(1, Math.ceil(width / spacing_m - 1e-9));
  // Where the width is not a whole number of spacings the legs move together: no strip is left out, none lies outside.
  const apart = legs === 1 ? 0 : Math.min(spacing_m, (width - spacing_m) / (legs - 1));
  const edge = (apart * (legs - 1)) / 2;
  const run = Math.max(0, length - spacing_m) / 2;
  const points: Point[] = [];
  const headings: number[] = [];
  for (let k = 0; k < legs; k++) {
    const across = k * apart - edge;
    const middle = step([0, 0], across_deg, across);
    const ahead = k % 2 === 0;
    points.push(step(middle, leg_deg, ahead ? -run : run), step(middle, leg_deg, ahead ? run : -run));
    if (k > 0) headings.push(across_deg);
    headings.push(ahead ? leg_deg : leg_deg + 180);
  }
  const name = legsAlong === 'long' ? 'parallel track' : 'creeping line';
  return patternOf(name, points, headings, legs === 1 ? spacing_m : apart);
}

/** Coverage: sweep width over track spacing. */
export const coverage = (sweepWidth_m: number, spacing_m: number): number => sweepWidth_m / spacing_m;

/** Probability of detection of a search that overlaps and misses at random: 1 − exp(−coverage). */
export const detection = (cover: number): number => 1 - Math.exp(-cover);
