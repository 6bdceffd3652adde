// Winds from a tracked balloon or a body on its parachute: what carries it between two heights is the wind there. Each
// layer's wind is the slope of the position against time, robust against jumps, with its standard error. Heights m MSL,
// times s, m/s. Source: slope and its error by least squares; jumps found by the median of slopes (Theil 1950, Sen
// 1968) and the median deviation.
import { isoOf, roundTo } from '../base/plainNumbers.ts';
import { localFrame } from '../earth/geodesic.ts';
import type { NewEvent } from '../log/events.ts';
import { windFrom, type LonLat } from '../base/units.ts';
import { WGS84_A } from '../earth/gravity.ts';
import { trimmed } from '../words/numbers.ts';

export interface TrackFix {
  readonly time_s: number;
  readonly position: LonLat;
  readonly height_m: number;
}

export interface TrackedWind {
  /** Middle of the fixes in height, time and place. */
  readonly height_m: number;
  readonly time_s: number;
  readonly position: LonLat;
  /** From the lowest to the highest fix. */
  readonly thickness_m: number;
  readonly u_mps: number;
  readonly v_mps: number;
  /** Standard error of one component: of the slope, and of what one body misses of the wind about it. */
  readonly std_mps: number;
  readonly fixes: number;
}

export interface TrackedWinds {
  readonly winds: readonly TrackedWind[];
  /** What was left out and why, a sentence each. */
  readonly remarks: readonly string[];
}

export interface TrackOptions {
  /** A layer ends when the body is this far from where the layer began. */
  readonly layer_m?: number;
  /** Standard error of one fix, horizontally, per axis. */
  readonly fixStd_m?: number;
}

/**
 * Half a correlation length near the ground: thinner layers have noisier winds that the analysis would average again.
 */
const LAYER_M = 250;
/** Satellite fixes without correction: some 5 m each axis, common practice. */
const FIX_STD_M = 5;
/** A floating body makes a layer every ten minutes, the averaging time of a mean wind. */
const LONGEST_LAYER_S = 600;
/** A pause this long ends a layer: nobody knows what the wind was in it. */
const LONGEST_PAUSE_S = 300;
/** Shorter layers say little: 5 m of error at each end of 10 s are 0.7 m/s. */
const SHORTEST_LAYER_S = 10;
/**
 * A body that falls at V lags behind a changing wind by the height V²/g: 10 m at 10 m/s, 90 m at 30 m/s. Faster ones
 * are no wind vane. Rises this fast do not occur.
 */
const FASTEST_VERTICAL_MPS = 30;
const FASTEST_MPS = 150;
/**
 * What a swinging body in gusts misses of the mean wind of its layer: common practice, as for a sounding near the
 * ground.
 */
const BODY_STD_MPS = 0.5;

/**
 * The winds of a track's layers, in order of time.
 *
 * fixes   any order; ascending, descending and floating parts alike; at least two in a layer count
 * Error   of each wind stands with it. `tests/winds/tracked.test.ts` compares with the wind that GPS dropsondes
 *         measured themselves
 * Jumps   a fix that no wind explains is left out and counted: faster than 150 m/s from both neighbours, or five median
 *         deviations
 *         off its layer's line (at least 20 m)
 */
export function windsFromTrack(fixes: readonly TrackFix[], options: TrackOptions = {}): TrackedWinds {
  const { layer_m = LAYER_M, fixStd_m = FIX_STD_M } = options;
  const sorted = fixes
    .filter((fix) => fix.time_s === fix.time_s && fix.height_m === fix.height_m)
    .toSorted((a, b) => a.time_s - b.time_s)
    .filter((fix, i, all) => i === 0 || fix.time_s > (all[i - 1]?.time_s ?? -Infinity));
  const { kept, jumps } = withoutJumps(sorted);
  const winds: TrackedWind[] = [];
  let off = 0;
  let fast = 0;
  let short = 0;
  for (const layer of layersOf(kept, layer_m)) {
    const answer = layerWind(layer, fixStd_m);
    off += answer.off;
    if (answer.kind === 'wind') winds.push(answer.wind);
    else if (answer.kind === 'fast') fast += 1;
    else short += 1;
  }
  const remarks: string[] = [];
  if (jumps + off > 0) remarks.push(`${jumps + off} fixes jump and were left out.`);
  if (fast > 0)
    remarks.push(
      `${fast} layers were passed faster than ${FASTEST_VERTICAL_MPS} m/s up or down: such a body is not ` +
        'carried by the wind.',
    );
  if (short > 0)
    remarks.push(`${short} layers hold less than two fixes or ${SHORTEST_LAYER_S} s: too short for a wind.`);
  if (winds.length === 0 && remarks.length === 0) remarks.push('Two fixes at least are needed, some seconds apart.');
  return { winds, remarks };
}

/** Metres between two fixes, along the ground and up. */
function apart(a: TrackFix, b: TrackFix): { along_m: number; up_m: number } {
  const [e, n] = localFrame(a.position).toLocal(b.position);
  return { along_m: Math.hypot(e, n), up_m: b.height_m - a.height_m };
}

const possible = (a: TrackFix, b: TrackFix): boolean => {
  const dt = b.time_s - a.time_s;
  const { along_m, up_m } = apart(a, b);
  // A body that falls freely from great height is faster than any limit for winds; it is a real fix all the same.
  return along_m <= FASTEST_MPS * dt + 50 && Math.abs(up_m) <= 500 * dt + 100;
};

/** Leaves out a fix that cannot be reached from the one before while the next one can. */
function withoutJumps(fixes: readonly TrackFix[]): { kept: TrackFix[]; jumps: number } {
  const kept: TrackFix[] = [];
  let jumps = 0;
  fixes.forEach((fix, i) => {
    const last = kept.at(-1);
    const next = fixes[i + 1];
    if (last === undefined || possible(last, fix)) {
      // The first fix of all may itself be the jump: then the second and third agree without it.
      const third = fixes[i + 2];
      const firstIsWrong =
        last === undefined &&
        next !== undefined &&
        third !== undefined &&
        !possible(fix, next) &&
        possible(next, third);
      if (firstIsWrong) jumps += 1;
      else kept.push(fix);
    } else if (next !== undefined && !possible(last, next) && possible(fix, next)) {
      // Both this and the next lie elsewhere: the track goes on there.
      kept.push(fix);
    } else jumps += 1;
  });
  return { kept, jumps };
}

/** Cuts a track into layers; neighbouring layers share their border fix. */
function layersOf(fixes: readonly TrackFix[], layer_m: number): TrackFix[][] {
  const layers: TrackFix[][] = [];
  let layer: TrackFix[] = [];
  for (const fix of fixes) {
    const first = layer[0];
    const last = layer.at(-1);
    if (first !== undefined && last !== undefined && fix.time_s - last.time_s > LONGEST_PAUSE_S && layer.length > 1) {
      layers.push(layer);
      layer = [];
    }
    layer.push(fix);
    const begin = layer[0] ?? fix;
    const lasted_s = fix.time_s - begin.time_s;
    const full = Math.abs(fix.height_m - begin.height_m) >= layer_m && lasted_s >= SHORTEST_LAYER_S;
    if (layer.length > 1 && (full || lasted_s >= LONGEST_LAYER_S)) {
      layers.push(layer);
      layer = [fix];
    }
  }
  if (layer.length > 1) layers.push(layer);
  return layers;
}

type LayerAnswer =
  | { readonly kind: 'wind'; readonly off: number; readonly wind: TrackedWind }
  | { readonly kind: 'fast' | 'short'; readonly off: number };

const mean = (list: readonly number[]): number => list.reduce((sum, x) => sum + x, 0) / list.length;

function median(list: readonly number[]): number {
  const sorted = list.toSorted((a, b) => a - b);
  const middle = (sorted.length - 1) / 2;
  return ((sorted[Math.floor(middle)] ?? NaN) + (sorted[Math.ceil(middle)] ?? NaN)) / 2;
}

/** More points than this would make the pairs of Theil and Sen slow; every so manieth is enough for a robust slope. */
const MOST_FOR_PAIRS = 60;

/** The median of the slopes between all pairs, and the median intercept. */
function robustLine(t: readonly number[], x: readonly number[]): { slope: number; at0: number } {
  const step = Math.ceil(t.length / MOST_FOR_PAIRS);
  const slopes: number[] = [];
  for (let i = 0; i < t.length; i += step) {
    for (let j = i + step; j < t.length; j += step)
      slopes.push(((x[j] ?? NaN) - (x[i] ?? NaN)) / ((t[j] ?? NaN) - (t[i] ?? NaN)));
  }
  const slope = median(slopes);
  return { slope, at0: median(x.map((one, i) => one - slope * (t[i] ?? NaN))) };
}

function layerWind(layer: readonly TrackFix[], fixStd_m: number): LayerAnswer {
  const origin = layer[0];
  if (origin === undefined || layer.length < 2) return { kind: 'short', off: 0 };
  const frame = localFrame(origin.position);
  const rows = layer.map((fix) => {
    const [e, n] = frame.toLocal(fix.position);
    // Positions are on the ground's ellipsoid: at height the same degrees are longer by 1 + h/a.
    const longer = 1 + fix.height_m / WGS84_A;
    return { fix, t: fix.time_s - origin.time_s, e: e * longer, n: n * longer };
  });
  const lineE = robustLine(
    rows.map((row) => row.t),
    rows.map((row) => row.e),
  );
  const lineN = robustLine(
    rows.map((row) => row.t),
    rows.map((row) => row.n),
  );
  const miss = rows.map((row) =>
    Math.hypot(row.e - lineE.at0 - lineE.slope * row.t, row.n - lineN.at0 - lineN.slope * row.t),
  );
  const limit_m = Math.max(5 * 1.4826 * median(miss), 4 * fixStd_m, 20);
  const good = rows.length < 4 ? rows : rows.filter((_, i) => (miss[i] ?? NaN) <= limit_m);
  const off = rows.length - good.length;
  const first = good[0];
  const last = good.at(-1);
  if (first === undefined || last === undefined || !(last.t - first.t >= SHORTEST_LAYER_S))
    return { kind: 'short', off };
  if (Math.abs(last.fix.height_m - first.fix.height_m) > FASTEST_VERTICAL_MPS * (last.t - first.t))
    return { kind: 'fast', off };
  const t0 = mean(good.map((row) => row.t));
  let tt = 0;
  let te = 0;
  let tn = 0;
  for (const row of good) {
    tt += (row.t - t0) ** 2;
    te += (row.t - t0) * row.e;
    tn += (row.t - t0) * row.n;
  }
  const u_mps = te / tt;
  const v_mps = tn / tt;
  const heights = good.map((row) => row.fix.height_m);
  const wind: TrackedWind = {
    height_m: mean(heights),
    time_s: origin.time_s + t0,
    position: frame.toLonLat(mean(good.map((row) => row.e)), mean(good.map((row) => row.n))),
    thickness_m: Math.max(...heights) - Math.min(...heights),
    u_mps,
    v_mps,
    std_mps: Math.hypot(fixStd_m / Math.sqrt(tt), BODY_STD_MPS),
    fixes: good.length,
  };
  return { kind: 'wind', off, wind };
}

/** The winds as reports for the log: each with its own error, numbered from `firstId` on ("t1", "t2" from "t"). */
export function trackReports(
  winds: readonly TrackedWind[],
  of: { readonly by: string; readonly idPrefix: string; readonly first: number },
): Extract<NewEvent, { kind: 'wind-report' }>[] {
  return winds.map((wind, i) => {
    const { from_deg, speed_mps } = windFrom(wind.u_mps, wind.v_mps);
    return {
      kind: 'wind-report',
      id: `${of.idPrefix}${of.first + i}`,
      source: 'pilot-balloon',
      by: of.by,
      observedAt: isoOf(Math.round(wind.time_s)),
      position: wind.position,
      height_m: roundTo(wind.height_m, 1),
      from_deg: roundTo(from_deg, 1),
      speed_mps: roundTo(speed_mps, 2),
      std_mps: roundTo(wind.std_mps, 2),
      text: `from ${wind.fixes} fixes of ${of.by} over ${trimmed(wind.thickness_m, 0)} m of height`,
    };
  });
}
