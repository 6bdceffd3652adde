// What a body is doing, told from its fixes: on the way up, floating, falling, opening, under canopy, down; with the
// moment at which it began and how sure that is.
//
// Method  at each fix the heights of the last half minute are fitted twice, with the change and without: a fall from
//         the exit as the plan's body falls, a bend at the opening, a stop at the ground. The change is taken where it
//         explains the heights better by more than noise does (a likelihood ratio), and its moment is that of the
//         best fit, so that a gap between fixes or a late decision does not move it.
import type { Prediction } from '../descent/prediction.ts';
import { FIX_M, lineThrough, type Taken } from './filter.ts';

export const livePhases = ['ascent', 'float', 'freefall', 'drogue', 'opening', 'canopy', 'down'] as const;
export type LivePhase = (typeof livePhases)[number];

export interface PhaseNow {
  readonly phase: LivePhase;
  /** When it began, s since 1970. */
  readonly since_s: number;
  /** 0 to 1: how sure the phase is, not its moment. */
  readonly confidence: number;
}

/** What is known of a body before it is seen, from its plan. */
export interface BodyPlan {
  /** Height lost so many seconds after the exit, m. */
  readonly drop_m: (after_s: number) => number;
  /** The same where nothing opens: its last speed goes on. */
  readonly fall_m: (after_s: number) => number;
  /** Sink under the open canopy at a height, m/s; null: it has none. */
  readonly canopySink_mps: ((height_m: number) => number) | null;
  readonly fill_s: number;
  /** From the beginning of the opening to the bend that it makes in the heights, s. */
  readonly bend_s: number;
  /** When the drogue is out, s after the exit; null: it has none. */
  readonly drogue_s: number | null;
}

/** The plan's body as its prediction falls. `canopySink_mps`: null where no canopy opens. */
export function bodyPlan(prediction: Prediction, canopySink_mps: BodyPlan['canopySink_mps']): BodyPlan {
  const { track, stages, opening } = prediction;
  const start_m = track[0]?.[3] ?? 0;
  const last = track.at(-1) ?? [0, 0, 0, start_m];
  const heightAt = (t: number): number => {
    // A point each second, and one more where a stage ends.
    let i = Math.min(Math.max(Math.floor(t), 0) + stages.length + 1, track.length - 1);
    while (i > 0 && (track[i]?.[0] ?? 0) > t) i -= 1;
    const a = track[i] ?? last;
    const b = track[i + 1] ?? a;
    return b[0] > a[0] ? a[3] + ((b[3] - a[3]) * (t - a[0])) / (b[0] - a[0]) : a[3];
  };
  const filling = stages.find((stage) => stage.name === 'opening');
  const drogue = stages.find((stage) => /drogue/i.test(stage.name));
  const drop_m = (t: number): number => (t <= 0 ? 0 : start_m - heightAt(t));
  const opens_s = opening?.time_s ?? last[0];
  const last_mps = drop_m(opens_s) - drop_m(opens_s - 1);
  return {
    drop_m,
    fall_m: (t) => drop_m(Math.min(t, opens_s)) + Math.max(t - opens_s, 0) * last_mps,
    canopySink_mps: opening === null ? null : canopySink_mps,
    fill_s: filling === undefined ? 0 : filling.end_s - filling.start_s,
    bend_s: opening === null ? 0 : bendOf(heightAt, opening.time_s),
    drogue_s: drogue?.start_s ?? null,
  };
}

/** Where the lines before and after an opening meet, s after it begins. */
function bendOf(heightAt: (t: number) => number, opens_s: number): number {
  const sample = (from: number, to: number) =>
    lineThrough(
      Array.from({ length: to - from + 1 }, (_, i) => [from + i, heightAt(opens_s + from + i)] as const),
      0,
    );
  const before = sample(-6, 0);
  const after = sample(8, 16);
  return before === null || after === null ? 0 : (before.value - after.value) / (after.slope - before.slope);
}

/** A change is taken when it is so much more likely than none: squares in units of the fixes' variance. */
const CLEAR = { exit: 30, opening: 30, down: 14 } as const;
const WINDOW_S = { exit: 40, opening: 24, down: 45 } as const;
/** A fall is seen in so much height at least, m. */
const LEAST_DROP_M = 25;
/** Sinking at less than this many times the canopy's rate is flying under it. */
const CANOPY_TIMES = 2.5;
/** The ground is known to some metres, and a fix's height to the receiver's. */
const GROUND_M = 35;
const GROUND_STD_M = 8;
/** Of a stop: the least that the heights say of it, and the most that the way over the ground may add. */
const LEAST_DOWN = 4;
const MOST_WAY = 10;
/** So far back the way over the ground is straight, s. */
const WAY_S = 25;
/** Fixes farther apart than this leave a gap, s; so many behind one tell a rate of sink. */
const LONG_GAP_S = 3;
const AFTER_GAP = 5;
const STEP_S = 0.25;
const FLOATING_MPS = 1;

export class PhaseTracker {
  readonly #plan: BodyPlan;
  readonly #groundAt: (one: Taken) => number;
  #now: PhaseNow | null = null;
  /** When it left, refined while the first seconds of the fall come in. */
  #exit_s: number | null = null;

  constructor(plan: BodyPlan, groundAt: (one: Taken) => number) {
    this.#plan = plan;
    this.#groundAt = groundAt;
  }

  get now(): PhaseNow | null {
    return this.#now;
  }
  get exit_s(): number | null {
    return this.#exit_s;
  }

  /** What a person set: it wins. */
  set(phase: LivePhase, since_s: number): void {
    this.#now = { phase, since_s, confidence: 1 };
    if (phase === 'freefall') this.#exit_s = since_s;
  }

  /** The newest fix is the last of `taken`. */
  update(taken: readonly Taken[]): PhaseNow | null {
    const last = taken.at(-1);
    // The first fix behind a gap can be anywhere; those that follow tell.
    if (last === undefined || taken.length - gapEnd(taken) < 3) return this.#now;
    switch (this.#now?.phase) {
      case undefined:
      case 'ascent':
      case 'float':
        this.#beforeExit(taken, last);
        break;
      case 'freefall':
      case 'drogue':
        this.#falling(taken, last);
        break;
      case 'opening':
      case 'canopy':
        this.#underCanopy(taken, last);
        break;
      case 'down':
        break;
    }
    return this.#now;
  }

  #enter(phase: LivePhase, since_s: number, confidence: number): void {
    if (this.#now?.phase !== phase || this.#now.since_s !== since_s) this.#now = { phase, since_s, confidence };
  }

  #beforeExit(taken: readonly Taken[], last: Taken): void {
    const window = since(taken, last.time_s - WINDOW_S.exit, 12);
    const line = lineThrough(heightsOf(window), last.time_s);
    if (line === null || window.length < 4) return;
    const left = exitIn(window, this.#plan);
    if (left !== null) {
      this.#exit_s = left.time_s;
      return this.#enter('freefall', left.time_s, sure(left.gain));
    }
    // Nobody saw it leave: the first fixes fall already.
    if (this.#now === null && window.length >= 6 && window[0]?.time_s === taken[0]?.time_s) {
      const lost_m = (window[0]?.height_m ?? 0) - last.height_m;
      if (line.slope < -5 && lost_m > 6 * FIX_M) {
        const sink = this.#plan.canopySink_mps?.(last.height_m) ?? 0;
        const isCanopy = -line.slope < CANOPY_TIMES * sink;
        this.#exit_s = window[0]?.time_s ?? last.time_s;
        return this.#enter(isCanopy ? 'canopy' : 'freefall', this.#exit_s, 0.7);
      }
      if (lost_m > 3 * FIX_M) return;
    }
    const climb = lineThrough(heightsOf(since(taken, last.time_s - 60)), last.time_s)?.slope ?? 0;
    const phase = climb > FLOATING_MPS ? 'ascent' : 'float';
    const known = this.#now?.phase === phase;
    this.#enter(phase, known ? (this.#now?.since_s ?? last.time_s) : last.time_s, 0.9);
  }

  #falling(taken: readonly Taken[], last: Taken): void {
    const now = this.#now;
    if (now === null) return;
    const exit_s = this.#exit_s ?? now.since_s;
    if (now.phase === 'freefall' && last.time_s - exit_s < 15) {
      // The first seconds tell better when it began.
      const again = exitIn(since(taken, exit_s - WINDOW_S.exit / 2, 12), this.#plan);
      if (again !== null) {
        this.#exit_s = again.time_s;
        this.#enter('freefall', again.time_s, sure(again.gain));
      }
    }
    const opened =
      last.time_s - exit_s < 4 ? null : openingIn(since(taken, last.time_s - WINDOW_S.opening, 20), this.#plan, exit_s);
    if (opened !== null) {
      const since_s = Math.max(opened.time_s - this.#plan.bend_s, exit_s);
      return this.#enter('opening', since_s, sure(opened.gain));
    }
    const stopped = stopIn(since(taken, last.time_s - WINDOW_S.down), this.#groundAt);
    if (stopped !== null) return this.#enter('down', stopped.time_s, sure(stopped.gain));
    const { drogue_s } = this.#plan;
    if (now.phase === 'freefall' && drogue_s !== null && last.time_s >= exit_s + drogue_s)
      this.#enter('drogue', exit_s + drogue_s, 0.7);
  }

  #underCanopy(taken: readonly Taken[], last: Taken): void {
    const now = this.#now;
    if (now === null) return;
    if (now.phase === 'opening') {
      if (last.time_s - now.since_s < this.#plan.fill_s + 10) {
        const again = openingIn(
          since(taken, now.since_s - WINDOW_S.opening / 2, 20),
          this.#plan,
          this.#exit_s ?? -Infinity,
        );
        if (again !== null) this.#enter('opening', again.time_s - this.#plan.bend_s, sure(again.gain));
      }
      const open_s = (this.#now?.since_s ?? now.since_s) + this.#plan.fill_s;
      if (last.time_s >= open_s) this.#enter('canopy', open_s, now.confidence);
      return;
    }
    const stopped = stopIn(since(taken, Math.max(last.time_s - WINDOW_S.down, now.since_s)), this.#groundAt);
    if (stopped !== null) this.#enter('down', stopped.time_s, sure(stopped.gain));
  }
}

interface Change {
  readonly time_s: number;
  /** How much less the squares are with the change than without, in units of the fixes' variance. */
  readonly gain: number;
}

/** The fixes from a time on, and `least` of them where there are so many: those before a gap belong to it. */
const since = (taken: readonly Taken[], from_s: number, least = 0): readonly Taken[] => {
  let i = taken.length;
  while (i > 0 && (taken.length - i < least || (taken[i - 1]?.time_s ?? -Infinity) >= from_s)) i -= 1;
  return taken.slice(i);
};

const heightsOf = (window: readonly Taken[]): (readonly [number, number])[] =>
  window.map((one) => [one.time_s, one.height_m]);

/** A likelihood ratio as a chance, never quite sure. */
const sure = (gain: number): number => Math.min(0.99, 1 - Math.exp(-gain / 12));

/** The best moment of a change between two times; `squaresAt`: the squares that are left with it there, or null. */
function bestChange(
  from_s: number,
  to_s: number,
  without: number,
  squaresAt: (time_s: number) => number | null,
): Change | null {
  let best: Change | null = null;
  for (let t = from_s; t <= to_s; t += STEP_S) {
    const squares = squaresAt(t);
    if (squares === null) continue;
    const gain = (without - squares) / FIX_M ** 2;
    if (best === null || gain > best.gain) best = { time_s: t, gain };
  }
  return best;
}

/**
 * Heights on a line up to a moment, and from there the plan's fall besides; null where that explains them no better.
 */
function exitIn(window: readonly Taken[], { drop_m }: BodyPlan): Change | null {
  const [first] = window;
  const last = window.at(-1);
  if (first === undefined || last === undefined || window.length < 5) return null;
  const heights = heightsOf(window);
  const without = lineThrough(heights, last.time_s)?.squares ?? 0;
  const best = bestChange(first.time_s + 1, last.time_s, without, (t) => {
    const rest = heights.map(([time, height]) => [time, height + drop_m(time - t)] as const);
    return lineThrough(rest, last.time_s)?.squares ?? null;
  });
  if (best === null || best.gain < CLEAR.exit || drop_m(last.time_s - best.time_s) < LEAST_DROP_M) return null;
  return best;
}

/** Where the fixes behind the last gap begin; 0 without one. What a gap is follows from how often fixes come. */
function gapEnd(window: readonly Taken[]): number {
  const step_s = (i: number): number => (window[i]?.time_s ?? 0) - (window[i - 1]?.time_s ?? 0);
  const from = Math.max(window.length - 15, 1);
  const steps = window.slice(from).map((_, k) => step_s(from + k));
  const usual_s = steps.toSorted((x, y) => x - y)[Math.floor(steps.length / 2)] ?? 1;
  for (let i = window.length - 1; i > 0; i--) if (step_s(i) > Math.max(LONG_GAP_S, 2.5 * usual_s)) return i;
  return 0;
}

/**
 * Whether fixes by themselves sink slowly, as well as they can tell: behind a gap a fall that has slowed down meets the
 * bend of a faster one by accident.
 */
function isSlow(points: readonly (readonly [number, number])[], slow_mps: number): boolean {
  const line = lineThrough(points, 0);
  if (line === null) return true;
  const [first = 0, last = 0] = [points[0]?.[0], points.at(-1)?.[0]];
  // Of a slope through n points over a time T: σ √(12/n)/T.
  const std = (FIX_M * Math.sqrt(12 / points.length)) / Math.max(last - first, 1);
  return -line.slope < slow_mps + 2 * std;
}

/** A fall as the plan's, fast or slow by a little, that bends into a slow sink. */
function openingIn(window: readonly Taken[], plan: BodyPlan, exit_s: number): Change | null {
  const [first] = window;
  const last = window.at(-1);
  if (first === undefined || last === undefined || plan.canopySink_mps === null || window.length < 7) return null;
  const heights = heightsOf(window);
  // Against the plan's own fall a fall is a straight line, also where it slows down in thicker air.
  const against = heights.map(([time, height]) => [time, height + plan.fall_m(time - exit_s)] as const);
  const without = lineThrough(against, last.time_s)?.squares ?? 0;
  const slow = CANOPY_TIMES * plan.canopySink_mps(last.height_m);
  // A bend in a gap is known from the fixes behind it, and one or two of them are not a line.
  const gap = gapEnd(window);
  const isKnown = gap === 0 || window.length - gap >= AFTER_GAP;
  const until_s = isKnown ? last.time_s - 2 : (window[gap - 1]?.time_s ?? first.time_s) - 2;
  const best = bestChange(first.time_s + 2, until_s, without, (t) => {
    const fit = hinge(against, t);
    if (fit === null) return null;
    const rate = plan.fall_m(t - exit_s + 0.5) - plan.fall_m(t - exit_s - 0.5) - fit.before;
    const bends = rate > 12 && fit.after - fit.before > 0.4 * rate;
    return bends &&
      isSlow(
        heights.filter(([time]) => time > t),
        slow,
      )
      ? fit.squares
      : null;
  });
  return best === null || best.gain < CLEAR.opening ? null : best;
}

/** A line that ends at the ground and stays there; that the way over the ground ends too, helps to see it. */
function stopIn(window: readonly Taken[], groundAt: (one: Taken) => number): Change | null {
  const [first] = window;
  const last = window.at(-1);
  if (first === undefined || last === undefined || window.length < 8) return null;
  const ground_m = groundAt(last);
  if (Math.abs(last.height_m - ground_m) > GROUND_M + 2 * FIX_M) return null;
  const heights = heightsOf(window);
  const without = lineThrough(heights, last.time_s)?.squares ?? 0;
  const way = wayStopped(window.filter((one) => one.time_s >= last.time_s - WAY_S));
  const best = bestChange(first.time_s + 3, last.time_s - 2, without, (t) => {
    const fit = stopAt(heights, t);
    if (fit === null || !(fit.slope < -1) || !(Math.abs(fit.value - ground_m) < GROUND_M)) return null;
    const off = ((fit.value - ground_m) * FIX_M) / GROUND_STD_M;
    const down = without - fit.squares - off * off;
    // The way over the ground alone is not a touchdown: a canopy can stand in the wind.
    return down < LEAST_DOWN * FIX_M ** 2 ? null : fit.squares + off * off - way(t);
  });
  if (best !== null && best.gain >= CLEAR.down) return best;
  // All of the window lies on the ground already: it came down in a gap.
  const flat = lineThrough(heights, last.time_s);
  const still = flat !== null && Math.abs(flat.slope) < 0.3 && last.time_s - first.time_s > 30;
  return still && Math.abs(flat.value - ground_m) < GROUND_M ? { time_s: first.time_s, gain: CLEAR.down } : null;
}

/** A line up to a moment, and its value there from then on. */
const stopAt = (points: readonly (readonly [number, number])[], t: number) =>
  lineThrough(
    points.map(([time, value]) => [Math.min(time, t), value] as const),
    t,
  );

/** How much better a stop at a moment explains the way over the ground, m², up to a bound. */
function wayStopped(window: readonly Taken[]): (t: number) => number {
  const end_s = window.at(-1)?.time_s ?? 0;
  const axes = (['east_m', 'north_m'] as const).map((axis) => window.map((one) => [one.time_s, one[axis]] as const));
  const without = axes.map((points) => lineThrough(points, end_s)?.squares ?? 0);
  return (t) => {
    const gain = axes.reduce((sum, points, i) => sum + (without[i] ?? 0) - (stopAt(points, t)?.squares ?? Infinity), 0);
    return Number.isFinite(gain) ? Math.min(Math.max(gain, 0), MOST_WAY * FIX_M ** 2) : 0;
  };
}

/** Two lines that meet at t, by least squares: their slopes and the squares that are left. */
function hinge(
  points: readonly (readonly [number, number])[],
  t: number,
): { readonly before: number; readonly after: number; readonly squares: number } | null {
  // Normal equations of h = a + b min(x, 0) + c max(x, 0), x = time − t.
  let [n, l, r, ll, rr, h, lh, rh] = [0, 0, 0, 0, 0, 0, 0, 0];
  const middle = points[0]?.[1] ?? 0;
  for (const [time, height] of points) {
    const [x, y] = [time - t, height - middle];
    const [left, right] = [Math.min(x, 0), Math.max(x, 0)];
    n += 1;
    l += left;
    r += right;
    ll += left * left;
    rr += right * right;
    h += y;
    lh += left * y;
    rh += right * y;
  }
  // min and max are never both other than 0, so that two unknowns follow from the third.
  const determinant = n - (l * l) / ll - (r * r) / rr;
  if (!(ll > 0 && rr > 0 && determinant > 0)) return null;
  const a = (h - (l * lh) / ll - (r * rh) / rr) / determinant;
  const [before, after] = [(lh - a * l) / ll, (rh - a * r) / rr];
  let squares = 0;
  for (const [time, height] of points) {
    const x = time - t;
    squares += (height - middle - a - before * Math.min(x, 0) - after * Math.max(x, 0)) ** 2;
  }
  return { before, after, squares };
}
