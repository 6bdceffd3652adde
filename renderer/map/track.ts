// A descent's track prepared for drawing: world coordinates, the runs that share a stroke, and the places at round
// heights that carry a tick. Heights m MSL; times seconds since exit.
import { M_PER_FT } from '../../core/base/units.ts';
import type { Units } from '../../core/words/numbers.ts';
import { offOneSide, type Edges } from './lines.ts';
import { worldLine, type Screen } from './projection.ts';
import type { MapPhase, MapTrack } from './scene.ts';

/** Segments [first, last) of a track that are drawn alike. */
export interface TrackRun {
  readonly first: number;
  readonly last: number;
  readonly phase: MapPhase;
  readonly extrapolated: boolean;
}

export interface PreparedTrack {
  /** x, y, x, y, … */
  readonly world: Float64Array;
  readonly t_s: Float64Array;
  readonly height_m: Float64Array;
  readonly runs: readonly TrackRun[];
}

export function prepareTrack(track: MapTrack, near_deg: number): PreparedTrack {
  const { points } = track;
  const t_s = Float64Array.from(points, (point) => point[0]);
  const height_m = Float64Array.from(points, (point) => point[3]);
  const world = worldLine(
    points.map((point) => [point[1], point[2]]),
    near_deg,
  );
  const runs: TrackRun[] = [];
  for (let i = 0; i + 1 < points.length; i++) {
    const phase = phaseAt(track, ((t_s[i] ?? 0) + (t_s[i + 1] ?? 0)) / 2);
    const middle = ((height_m[i] ?? 0) + (height_m[i + 1] ?? 0)) / 2;
    const extrapolated = track.extrapolated.some((range) => middle >= range.bottom_m && middle <= range.top_m);
    const run = runs.at(-1);
    if (run !== undefined && run.phase === phase && run.extrapolated === extrapolated)
      runs[runs.length - 1] = { ...run, last: i + 1 };
    else runs.push({ first: i, last: i + 1, phase, extrapolated });
  }
  return { world, t_s, height_m, runs };
}

export function phaseAt(track: MapTrack, t_s: number): MapPhase {
  return track.parts.find((part) => t_s >= part.start_s && t_s <= part.end_s)?.phase ?? 'freefall';
}

/**
 * Prepared tracks by the scene's own objects: a track is prepared once, however often the map is panned over it, and
 * its ticks once for a view, however many frames a landing slides through it.
 */
export class TrackCache {
  readonly #near_deg: number;
  readonly #known = new WeakMap<MapTrack, PreparedTrack>();
  #last: { readonly of: string; readonly track: PreparedTrack; readonly ticks: readonly Tick[] } | null = null;

  constructor(near_deg: number) {
    this.#near_deg = near_deg;
  }

  of(track: MapTrack): PreparedTrack {
    const known = this.#known.get(track);
    if (known !== undefined) return known;
    const made = prepareTrack(track, this.#near_deg);
    this.#known.set(track, made);
    return made;
  }

  /** `heightTicks`, of the last view kept. */
  ticks(track: PreparedTrack, screen: Screen, units: Units, ground_m: number): readonly Tick[] {
    const { width, height, scale, left, top } = screen;
    const of = [width, height, scale, left, top, units.length, units.height, ground_m].join(' ');
    if (this.#last === null || this.#last.track !== track || this.#last.of !== of) {
      this.#last = { of, track, ticks: heightTicks(track, screen, units, ground_m) };
    }
    return this.#last.ticks;
  }
}

/** A point of a track between two of its samples, in px, with its height and time. */
interface TrackSpot {
  readonly x: number;
  readonly y: number;
  /** Direction of travel, radians, x right, y down. */
  readonly angle: number;
  readonly height_m: number;
  readonly t_s: number;
}

/** The point `fraction` along segment `i`. */
export function spotAlong(track: PreparedTrack, screen: Screen, i: number, fraction: number): TrackSpot {
  const { world, height_m, t_s } = track;
  const east = (world[2 * i + 2] ?? NaN) - (world[2 * i] ?? NaN);
  const south = (world[2 * i + 3] ?? NaN) - (world[2 * i + 1] ?? NaN);
  return {
    x: mixed(world, 2 * i, 2, fraction) * screen.scale - screen.left,
    y: mixed(world, 2 * i + 1, 2, fraction) * screen.scale - screen.top,
    angle: Math.atan2(south, east),
    height_m: mixed(height_m, i, 1, fraction),
    t_s: mixed(t_s, i, 1, fraction),
  };
}

/** Between a value and the one `stride` behind it. */
function mixed(values: Float64Array, at: number, stride: number, fraction: number): number {
  const a = values[at] ?? NaN;
  return a + fraction * ((values[at + stride] ?? NaN) - a);
}

/** Where a track passes a height: the first time on the way down; null where it does not. */
export function spotAtHeight(track: PreparedTrack, screen: Screen, height_m: number): TrackSpot | null {
  for (let i = 0; i + 1 < track.height_m.length; i++) {
    const a = track.height_m[i] ?? NaN;
    const b = track.height_m[i + 1] ?? NaN;
    if (!((a >= height_m && b <= height_m) || (a <= height_m && b >= height_m))) continue;
    return spotAlong(track, screen, i, a === b ? 0 : (height_m - a) / (b - a));
  }
  return null;
}

export interface Tick extends TrackSpot {
  /** 0 the coarsest round heights, 2 the finest. */
  readonly rank: 0 | 1 | 2;
}

const STEPS: Readonly<Record<'m' | 'ft', readonly (readonly [step: number, rank: 0 | 1 | 2])[]>> = {
  m: [
    [10_000, 0],
    [5000, 0],
    [1000, 1],
    [500, 1],
    [200, 2],
    [100, 2],
  ],
  ft: [
    [20_000, 0],
    [10_000, 0],
    [5000, 1],
    [1000, 1],
    [500, 2],
  ],
};

/** px between ticks: nearer than this they are not told apart. */
const TICK_GAP_PX = 17;
/** px beside the screen where a tick still shows. */
const TICK_MARGIN_PX = 20;

/**
 * Ticks at round heights in the unit and from the reference that the person reads, coarse ones first; a finer one only
 * where it stands clear of those already there. Ticks outside the screen are left out.
 *
 * ground_m   what AGL counts from, m MSL
 */
export function heightTicks(track: PreparedTrack, screen: Screen, units: Units, ground_m: number): Tick[] {
  const unit_m = units.length === 'ft' ? M_PER_FT : 1;
  const zero_m = units.height === 'AGL' ? ground_m : 0;
  const ticks: Tick[] = [];
  const clear = (spot: TrackSpot): boolean =>
    ticks.every((tick) => (tick.x - spot.x) ** 2 + (tick.y - spot.y) ** 2 >= TICK_GAP_PX * TICK_GAP_PX);
  for (const [step, rank] of STEPS[units.length]) {
    crossings(track, screen, step * unit_m, zero_m, (spot) => {
      if (clear(spot)) ticks.push({ ...spot, rank });
    });
  }
  return ticks;
}

function crossings(
  track: PreparedTrack,
  screen: Screen,
  step_m: number,
  zero_m: number,
  visit: (spot: TrackSpot) => void,
): void {
  const { height_m } = track;
  const box = {
    left: -TICK_MARGIN_PX,
    top: -TICK_MARGIN_PX,
    right: screen.width + TICK_MARGIN_PX,
    bottom: screen.height + TICK_MARGIN_PX,
  };
  for (let i = 0; i + 1 < height_m.length; i++) {
    const a = (height_m[i] ?? NaN) - zero_m;
    const b = (height_m[i + 1] ?? NaN) - zero_m;
    const low = Math.ceil(Math.min(a, b) / step_m);
    const high = Math.floor(Math.max(a, b) / step_m);
    // Each crossing belongs to the segment that it ends or passes, not also to the next one's start; the ground's own
    // height has none. A track is many times as long as what is seen of it.
    if (low > high || high - low > 1000 || !maySee(track, screen, i, box)) continue;
    for (let k = high; k >= low; k--) {
      if (k * step_m === a || k === 0) continue;
      const spot = spotAlong(track, screen, i, (k * step_m - a) / (b - a));
      if (spot.x > box.left && spot.x < box.right && spot.y > box.top && spot.y < box.bottom) visit(spot);
    }
  }
}

/** Whether something of segment `i` may lie in a box of the screen. */
function maySee({ world }: PreparedTrack, { scale, left, top }: Screen, i: number, box: Edges): boolean {
  const x = (k: number): number => (world[2 * k] ?? NaN) * scale - left;
  const y = (k: number): number => (world[2 * k + 1] ?? NaN) * scale - top;
  return !offOneSide(x(i), y(i), x(i + 1), y(i + 1), box);
}
