// How long each crew takes from where it stands to every drawn landing, counted from the word to go. Seconds; Infinity
// where it cannot get there.
import type { Crew } from './crews.ts';
import { SET_DOWN_M_MAX } from './final.ts';
import type { Point } from '../earth/plane.ts';
import { windFrom } from '../base/units.ts';
import { PEOPLE_M } from './landable.ts';
import type { Scene, Targets } from './scene.ts';
import { weightedQuantile } from './scene.ts';
import { WALK_MPS, type Attached, type DriveSpeeds } from './ways.ts';
import { nth } from '../base/nth.ts';
import { number, THIN, type Units } from '../words/numbers.ts';
import { duration } from '../words/times.ts';
import { speed } from '../words/winds.ts';

/** To be let down beside someone from a hover. Common practice. */
const HOIST_S = 180;

/**
 * Of each scene, what was worked out for it: the same crews are asked about for placement, board and routes, and while
 * one is dragged.
 */
const reaches = new WeakMap<Scene, Map<Crew, Map<Targets, ReachTimes>>>();
const attachments = new WeakMap<Targets, Attached>();

/** A crew's times to one set of landings, worked out once for a scene. */
export function reachOf(scene: Scene, crew: Crew, targets: Targets): ReachTimes {
  const ofScene = reaches.get(scene) ?? new Map<Crew, Map<Targets, ReachTimes>>();
  reaches.set(scene, ofScene);
  const ofCrew = ofScene.get(crew) ?? new Map<Targets, ReachTimes>();
  ofScene.set(crew, ofCrew);
  const found = ofCrew.get(targets) ?? new ReachTimes(scene, crew, targets);
  ofCrew.set(targets, found);
  return found;
}

/** The landings tied to the ways about them: the same for every vehicle. */
function attachedTo(scene: Scene, targets: Targets): Attached {
  const found =
    attachments.get(targets) ??
    scene.ways.attach(
      Array.from(targets.x, (x, k) => [x, nth(targets.y, k)] as const),
      true,
    );
  attachments.set(targets, found);
  return found;
}

/**
 * A crew's times to one set of landings, from anywhere. What does not depend on the crew's place is worked out once.
 */
export class ReachTimes {
  readonly crew: Crew;
  readonly targets: Targets;
  readonly #scene: Scene;
  readonly #speeds: DriveSpeeds;
  readonly #attached: Attached | null;
  /**
   * For a helicopter: where it sets down for each landing, and what the rest of the way on foot, or the hoist, takes.
   */
  readonly #downX: Float64Array;
  readonly #downY: Float64Array;
  readonly #after_s: Float64Array;
  readonly #wind: readonly [number, number];

  constructor(scene: Scene, crew: Crew, targets: Targets) {
    this.#scene = scene;
    this.crew = crew;
    this.targets = targets;
    const flies = crew.kind === 'helicopter';
    this.#speeds = { road_mps: crew.speed_mps, offRoad_mps: crew.offRoad_mps };
    this.#attached = flies ? null : attachedTo(scene, targets);
    this.#wind = flies ? scene.windOf(crew) : [0, 0];
    this.#downX = flies ? targets.x.slice() : new Float64Array(0);
    this.#downY = flies ? targets.y.slice() : new Float64Array(0);
    this.#after_s = new Float64Array(flies ? targets.count : 0);
    if (flies) this.#setDowns();
  }

  /**
   * The helicopter sets down 200 ft from the jumper, downwind first; where no ground serves it walks farther, or lets
   * down by hoist.
   */
  #setDowns(): void {
    const { ground, surface } = this.#scene;
    const { crew, targets } = this;
    const downwind = windFrom(surface[0], surface[1]).from_deg + 180;
    for (let k = 0; k < targets.count; k++) {
      const [x, y] = [nth(targets.x, k), nth(targets.y, k)];
      const place = ground.setDownNear([x, y], crew.slope_deg_max, downwind, [PEOPLE_M, SET_DOWN_M_MAX]);
      const walk = place === null ? Infinity : Math.hypot(place[0] - x, place[1] - y) / WALK_MPS;
      if (place !== null && !(crew.hoist && walk > HOIST_S)) {
        this.#downX[k] = place[0];
        this.#downY[k] = place[1];
        this.#after_s[k] = walk;
      } else this.#after_s[k] = crew.hoist ? HOIST_S : Infinity;
    }
  }

  /** Times from a place on the plane; `out` has one number per landing. */
  from(x: number, y: number, out: Float64Array = new Float64Array(this.targets.count)): Float64Array {
    if (this.#attached === null) this.#fly(x, y, out);
    else {
      const { ways } = this.#scene;
      ways.times([x, y], ways.field(x, y, this.#speeds), this.#attached, this.#speeds, out);
      for (let k = 0; k < out.length; k++) out[k] = nth(out, k) + this.crew.ready_s;
    }
    return out;
  }

  /**
   * Times from many places to a few of the landings, at `place * landings + landing`. For a vehicle from each landing
   * outward, since a way takes as long there as back; the start off the road is by lattice alone, within some per cent.
   */
  toStandIns(places: readonly Point[], landings: readonly number[]): Float64Array {
    const n = landings.length;
    const out = new Float64Array(places.length * n);
    const { ways } = this.#scene;
    const starts = this.#attached === null ? null : ways.attach(places, false);
    const row = new Float64Array(places.length);
    landings.forEach((landing, k) => {
      if (starts !== null) {
        const [x, y] = [nth(this.targets.x, landing), nth(this.targets.y, landing)];
        ways.times([x, y], ways.field(x, y, this.#speeds, true), starts, this.#speeds, row);
        for (let p = 0; p < row.length; p++) out[p * n + k] = nth(row, p) + this.crew.ready_s;
        return;
      }
      places.forEach(([x, y], p) => (out[p * n + k] = this.#flight(x, y, landing)));
    });
    return out;
  }

  #fly(x: number, y: number, out: Float64Array): void {
    for (let k = 0; k < out.length; k++) out[k] = this.#flight(x, y, k);
  }

  /** The wind triangle of `madeGood`: what the wind across the track leaves of the airspeed, and the wind along it. */
  #flight(x: number, y: number, k: number): number {
    const [u, v] = this.#wind;
    const dx = nth(this.#downX, k) - x;
    const dy = nth(this.#downY, k) - y;
    const d = Math.sqrt(dx * dx + dy * dy);
    const before = this.crew.ready_s + nth(this.#after_s, k);
    if (d === 0) return before;
    const along = (u * dx + v * dy) / d;
    const spare = this.crew.speed_mps ** 2 - (u * u + v * v - along * along);
    const good = spare > 0 ? along + Math.sqrt(spare) : 0;
    return good > 0 ? before + d / good : Infinity;
  }
}

/** What a crew promises from a place: times over the drawn landings by their weights. */
export interface ReachSummary {
  readonly mean_s: number;
  readonly p50_s: number;
  readonly p95_s: number;
  /** Share of landings that it does not reach; they count in no mean and as endless in the quantiles. */
  readonly unreached: number;
}

export function summaryOf(times: Float64Array, targets: Targets, group: number | null = null): ReachSummary {
  const keep = (k: number): boolean => group === null || targets.group[k] === group;
  const weight = targets.weight.map((w, k) => (keep(k) ? w : 0));
  let [sum, reached, all] = [0, 0, 0];
  times.forEach((t, k) => {
    const w = nth(weight, k);
    all += w;
    if (!(t < Infinity)) return;
    sum += w * t;
    reached += w;
  });
  const used = all > 0 ? all : NaN;
  return {
    mean_s: sum / reached,
    p50_s: weightedQuantile(times, weight, 0.5),
    p95_s: weightedQuantile(times, weight, 0.95),
    unreached: 1 - reached / used,
  };
}

/** How the time to one landing is made up. */
export function howReached(crew: Crew, units: Units): string {
  const ready = `${duration(crew.ready_s)} to make ready`;
  const walk = speed(WALK_MPS, { ...units, speed: 'm/s' }, 1);
  if (crew.kind === 'helicopter') {
    const hoist = crew.hoist
      ? `, or ${duration(HOIST_S)} to let somebody down by hoist where that is quicker or no ground serves`
      : '';
    return (
      `For each landing: ${ready}; the straight line at ${speed(crew.speed_mps, units)} through the air, in ` +
      `the wind ${number(crew.cruise_agl_m)}${THIN}m above the ground of the expected landing; and from where ` +
      `it sets down the rest on foot at ${walk}${hoist}.`
    );
  }
  return (
    `For each landing: ${ready}; then the quickest way, on roads at ${speed(crew.speed_mps, units)} or what a ` +
    `road allows, off them at ${speed(crew.offRoad_mps, units)}, around what stops it; and on foot at ${walk} ` +
    'where only a person gets on.'
  );
}
