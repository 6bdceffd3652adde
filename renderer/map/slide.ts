// The landing slides from old to new in 200 ms and the map keeps where it came from: motion only shows what moved.
// While a handle is held there is no slide: the landing follows the hand, and its trail starts where the hand began.
import { inverse } from '../../core/earth/geodesic.ts';
import { wrap180, type LonLat } from '../../core/base/units.ts';
import type { LandingMotion } from './paintTrack.ts';

const SLIDE_MS = 200;
/** A landing that moved less has not moved: predictions are given to ten metres. */
const STILL_M = 1;

export class Slide {
  /** Whether the map has framed a landing; kept here as it is asked at the same moments. */
  framed = false;
  #from: LonLat | null = null;
  #to: LonLat | null = null;
  #start_ms: number | null = null;
  #pending = false;
  #held = false;
  readonly #still: (from: LonLat, to: LonLat) => boolean;

  /**
   * `still`: whether a move is not worth a slide, or the person asked for reduced motion; then the landing is where it
   * is at once.
   */
  constructor(still: (from: LonLat, to: LonLat) => boolean) {
    this.#still = still;
  }

  get sliding(): boolean {
    return this.#pending || this.#start_ms !== null;
  }

  follow(before: LonLat | null, after: LonLat | null, held: boolean): void {
    const starts = held && !this.#held;
    this.#held = held;
    if (after === null || before === null) {
      this.#from = null;
      this.#to = after;
      this.#start_ms = null;
      this.#pending = false;
      return;
    }
    if (starts) this.#from = before;
    const still = before[0] === after[0] && before[1] === after[1];
    this.#to = after;
    if (still || inverse(before, after).distance_m < STILL_M) return;
    if (held) return;
    this.#from = before;
    this.#pending = !this.#still(before, after);
    this.#start_ms = null;
  }

  /** Where the landing is drawn at a frame's time; null without one. */
  at(now_ms: number): LandingMotion | null {
    if (this.#to === null) return null;
    if (this.#pending) {
      this.#pending = false;
      this.#start_ms = now_ms;
    }
    if (this.#start_ms === null || this.#from === null) return { at: this.#to, from: this.#from };
    const f = Math.min(Math.max((now_ms - this.#start_ms) / SLIDE_MS, 0), 1);
    if (f >= 1) this.#start_ms = null;
    // Slow at both ends, so that the eye can take hold and let go.
    const eased = f * f * (3 - 2 * f);
    return { at: between(this.#from, this.#to, eased), from: this.#from };
  }
}

/** A point on the straight line of the map, the short way across 180°. */
function between(a: LonLat, b: LonLat, f: number): LonLat {
  return [a[0] + f * wrap180(b[0] - a[0]), a[1] + f * (b[1] - a[1])];
}
