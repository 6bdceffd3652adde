// A body followed from fix to fix against its plan: the filter, the phase, and what the alerts look at.
import { RHO0 } from '../air/air.ts';
import { RAD_PER_DEG, type LonLat } from '../base/units.ts';
import { flownSetting } from '../descent/body.ts';
import type { Prediction } from '../descent/prediction.ts';
import type { World } from '../descent/scenario.ts';
import type { Jumper } from '../plan/schema.ts';
import { BodyFilter, FIX_M, lineThrough, type LiveFix, type Taken } from './filter.ts';
import { bodyPlan, PhaseTracker, type BodyPlan, type LivePhase, type PhaseNow } from './phases.ts';

/** How fast a body sinks, and how fast the plan does between the same heights, m/s. */
export interface SinkSeen {
  readonly is_mps: number;
  /** One standard deviation of it, by how many fixes over what time told it. */
  readonly error_mps: number;
  readonly plan_mps: number;
  /** How fast the plan falls there with nothing open; null at and below its opening. */
  readonly fall_mps: number | null;
}

/** The jumper in the air by its fixes. Times s since 1970, heights above the ground there, m. */
export interface JumperSeen {
  readonly phase: PhaseNow | null;
  readonly fix: { readonly time_s: number; readonly agl_m: number } | null;
  /** Usual time between fixes, s; endless where so few came that nobody knows when the next one is due. */
  readonly usual_s: number;
  /** Null where the fixes do not tell, or the plan has nothing to compare with. */
  readonly sink: SinkSeen | null;
  /** Height above ground at which the plan opens; null: it opens nothing. */
  readonly opens_agl_m: number | null;
  /** Since when every fix lies below a height above ground; null: the last one does not. */
  readonly below_s: (agl_m: number) => number | null;
  /** How near the gondola is, m, where both were fixed within some seconds; null: not known. */
  readonly gondola_m: number | null;
}

/** The rate of sink is told from so many seconds of fixes, and at least so many of them. */
const SINK_S = 10;
const SINK_FIXES = 6;
/** Two bodies' fixes are of one moment, s. */
const SAME_MOMENT_S = 5;
/** From so many fixes on their rhythm is known; it is the middle one of the last few steps. */
const RHYTHM_FIXES = 5;
const RHYTHM_STEPS = 15;

export class FollowedBody {
  readonly filter = new BodyFilter();
  readonly tracker: PhaseTracker;
  readonly #ground: (place: LonLat) => number;

  constructor(plan: BodyPlan, ground: (place: LonLat) => number) {
    this.#ground = ground;
    this.tracker = new PhaseTracker(plan, (one) => ground(this.filter.placeOf(one)));
  }

  /** Whether the fix can be the body's. */
  add(fix: LiveFix): boolean {
    const taken = this.filter.add(fix);
    this.tracker.update(this.filter.taken);
    return taken;
  }

  agl_m(one: Taken): number {
    return one.height_m - this.#ground(this.filter.placeOf(one));
  }
}

const groundOf =
  (world: World) =>
  ([lon, lat]: LonLat): number =>
    world.ground.heightAt(lat * RAD_PER_DEG, lon * RAD_PER_DEG);

/** The jumper's plan, for its phases and for what it is compared with. */
export class JumperPlan {
  readonly body: BodyPlan;
  readonly opens_agl_m: number | null;
  readonly ground: (place: LonLat) => number;
  readonly #prediction: Prediction;

  constructor(prediction: Prediction, canopy: Jumper['canopy'], world: World) {
    const sink_mps = canopy === undefined ? null : flownSetting(canopy).sink_mps;
    this.#prediction = prediction;
    this.ground = groundOf(world);
    this.body = bodyPlan(
      prediction,
      sink_mps === null ? null : (height_m) => sink_mps * Math.sqrt(RHO0 / world.air.density(height_m)),
    );
    const { opening } = prediction;
    this.opens_agl_m =
      opening === null ? null : opening.height_m - this.ground([opening.position[0], opening.position[1]]);
  }

  /** A body that nothing is known of yet. */
  follow(): FollowedBody {
    return new FollowedBody(this.body, this.ground);
  }

  seen(jumper: FollowedBody, gondola: readonly LiveFix[]): JumperSeen {
    const { taken } = jumper.filter;
    const last = taken.at(-1);
    const phase = jumper.tracker.now;
    return {
      phase,
      fix: last === undefined ? null : { time_s: last.time_s, agl_m: jumper.agl_m(last) },
      usual_s: usualStep_s(taken),
      sink: last === undefined || phase === null ? null : this.#sinkOf(taken, last, phase),
      opens_agl_m: this.opens_agl_m,
      below_s: (agl_m) => belowSince(jumper, agl_m),
      gondola_m: last === undefined ? null : apart_m(jumper, last, gondola),
    };
  }

  #sinkOf(taken: readonly Taken[], last: Taken, { phase, since_s }: PhaseNow): SinkSeen | null {
    const recent = taken.filter((one) => one.time_s >= Math.max(last.time_s - SINK_S, since_s));
    const [first] = recent;
    if (first === undefined || recent.length < SINK_FIXES || last.time_s - first.time_s < SINK_S / 2) return null;
    const line = lineThrough(
      recent.map((one) => [one.time_s, one.height_m] as const),
      last.time_s,
    );
    if (line === null) return null;
    const is_mps = -line.slope;
    const from_m = line.value + line.slope * (first.time_s - last.time_s);
    const fall_mps = this.#plannedFall(from_m, line.value);
    const plan_mps =
      phase === 'canopy'
        ? (this.body.canopySink_mps?.((from_m + line.value) / 2) ?? null)
        : falls(phase)
          ? fall_mps
          : null;
    // Of a slope through n points over a time T: σ √(12/n)/T.
    const error_mps = (FIX_M * Math.sqrt(12 / recent.length)) / (last.time_s - first.time_s);
    return plan_mps === null ? null : { is_mps, error_mps, plan_mps, fall_mps };
  }

  /** How fast the plan falls between two heights, the higher first; null where it does not fall through both. */
  #plannedFall(from_m: number, to_m: number): number | null {
    const opens_m = this.#prediction.opening?.height_m ?? -Infinity;
    if (!(from_m > to_m && to_m > opens_m)) return null;
    const [from_s, to_s] = [this.#timeAt(from_m), this.#timeAt(to_m)];
    return from_s === null || to_s === null || !(to_s > from_s) ? null : (from_m - to_m) / (to_s - from_s);
  }

  #timeAt(height_m: number): number | null {
    const { track } = this.#prediction;
    const after = track.findIndex((point) => point[3] < height_m);
    const [a, b] = [track[after - 1], track[after]];
    return a === undefined || b === undefined ? null : a[0] + ((b[0] - a[0]) * (a[3] - height_m)) / (a[3] - b[3]);
  }
}

const falls = (phase: LivePhase): boolean => phase === 'freefall' || phase === 'drogue';

function usualStep_s(taken: readonly Taken[]): number {
  if (taken.length < RHYTHM_FIXES) return Infinity;
  const recent = taken.slice(-RHYTHM_STEPS - 1);
  const steps = recent.slice(1).map((one, i) => one.time_s - (recent[i]?.time_s ?? NaN));
  return steps.toSorted((a, b) => a - b)[Math.floor(steps.length / 2)] ?? Infinity;
}

function belowSince(body: FollowedBody, agl_m: number): number | null {
  const { taken } = body.filter;
  let since_s: number | null = null;
  for (let i = taken.length - 1; i >= 0; i--) {
    const one = taken[i];
    if (one === undefined || !(body.agl_m(one) < agl_m)) break;
    since_s = one.time_s;
  }
  return since_s;
}

function apart_m(jumper: FollowedBody, last: Taken, gondola: readonly LiveFix[]): number | null {
  const near = gondola.findLast((one) => Math.abs(one.time_s - last.time_s) <= SAME_MOMENT_S);
  if (near === undefined) return null;
  const [east_m, north_m] = jumper.filter.toPlane(near.position);
  return Math.hypot(east_m - last.east_m, north_m - last.north_m, near.height_m - last.height_m);
}
