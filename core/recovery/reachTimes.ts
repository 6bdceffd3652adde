// How long after the touchdown each crew is at every drawn landing, from where it stands, by the procedure that is
// briefed. Seconds; Infinity where it cannot get there.
import type { Crew } from './crews.ts';
import { GATHER_S, SET_DOWN_M_MAX } from './final.ts';
import { HoldFlight, straight_s } from './holdFlight.ts';
import { marginOf } from './margin.ts';
import { UNREACHED_S } from './placementCost.ts';
import type { Point } from '../earth/plane.ts';
import { windFrom } from '../base/units.ts';
import { PEOPLE_M } from './landable.ts';
import type { Scene, Targets } from './scene.ts';
import { waysOf, weightedQuantiles } from './scene.ts';
import { WALK_MPS, type Attached, type DriveSpeeds, type WayMap } from './ways.ts';
import { keptIn } from '../base/kept.ts';
import { nth, numberAt } from '../base/nth.ts';
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
const setDowns = new WeakMap<Scene, Map<Targets, Map<string, readonly (Point | null)[]>>>();
const attachments = new WeakMap<Targets, Map<WayMap, Attached>>();

/** A crew's times to one set of landings, worked out once for a scene. */
export function reachOf(scene: Scene, crew: Crew, targets: Targets): ReachTimes {
  const ofScene = keptIn(reaches, scene, () => new Map<Crew, Map<Targets, ReachTimes>>());
  const ofCrew = keptIn(ofScene, crew, () => new Map<Targets, ReachTimes>());
  return keptIn(ofCrew, targets, () => new ReachTimes(scene, crew, targets));
}

/**
 * Where a helicopter sets down for each landing, the same for all that climb no steeper ground and keep as far off: 15
 * helicopters and 10 500 landings took 5.7 s.
 */
function setDownsOf(
  scene: Scene,
  targets: Targets,
  kind: readonly [slope_deg_max: number, from_m: number],
  placeNear: (x: number, y: number) => Point | null,
): readonly (Point | null)[] {
  const ofScene = keptIn(setDowns, scene, () => new Map<Targets, Map<string, readonly (Point | null)[]>>());
  const ofTargets = keptIn(ofScene, targets, () => new Map<string, readonly (Point | null)[]>());
  return keptIn(ofTargets, kind.join(), () => Array.from(targets.x, (x, k) => placeNear(x, nth(targets.y, k))));
}

/** The landings tied to the ways about them: the same for every vehicle, and for every boat. */
function attachedTo(ways: WayMap, targets: Targets): Attached {
  const places = (): Point[] => Array.from(targets.x, (x, k) => [x, nth(targets.y, k)] as const);
  const ofTargets = keptIn(attachments, targets, () => new Map<WayMap, Attached>());
  return keptIn(ofTargets, ways, () => ways.attach(places(), true));
}

/** Where a helicopter sets down or hovers for a landing, and what is still to be done from there. */
interface SetDownFound {
  readonly down: Point;
  readonly after_s: number;
}

/**
 * A crew's times to one set of landings, from anywhere. What does not depend on the crew's place is worked out once.
 *
 * Of the procedure that is briefed: ready at EXIT; a vehicle goes at TOUCHDOWN; a helicopter leaves when the canopy is
 * open, flies round what is kept clear to its hold, waits there until the canopy is gathered, and flies its final.
 */
export class ReachTimes {
  readonly crew: Crew;
  readonly targets: Targets;
  readonly #scene: Scene;
  readonly #ways: WayMap;
  readonly #speeds: DriveSpeeds;
  readonly #attached: Attached | null;
  /**
   * For a helicopter: where it sets down for each landing, and what the rest of the way on foot, or the hoist, takes.
   */
  readonly #downX: Float64Array;
  readonly #downY: Float64Array;
  readonly #after_s: Float64Array;
  readonly #wind: readonly [number, number];
  /** Null for a vehicle, for the gondola and for a helicopter without an open final: a straight way. */
  readonly #flight: HoldFlight | null;
  readonly #settling_s: number;
  /** From the hold of its case to each landing, the final's own time with it. */
  readonly #in_s: Float64Array;
  /** Before this no landing's crew leaves, and before that none enters: s since 1970. */
  readonly #leaves_s: Float64Array;
  readonly #enters_s: Float64Array;
  #home_s = new Float64Array(0);
  /** From when a time is counted: the touchdown, and after it the moment. */
  readonly #from_s: Float64Array;

  constructor(scene: Scene, crew: Crew, targets: Targets) {
    this.#scene = scene;
    this.crew = crew;
    this.targets = targets;
    const flies = crew.kind === 'helicopter';
    this.#speeds = { road_mps: crew.speed_mps, offRoad_mps: crew.offRoad_mps };
    this.#ways = waysOf(scene, crew);
    this.#attached = flies ? null : attachedTo(this.#ways, targets);
    this.#wind = flies ? scene.windOf(crew) : [0, 0];
    this.#downX = flies ? targets.x.slice() : new Float64Array(0);
    this.#downY = flies ? targets.y.slice() : new Float64Array(0);
    this.#after_s = new Float64Array(flies ? targets.count : 0);
    const down = scene.stage === 'down';
    this.#from_s = targets.touchdown_s.map((t) => (down ? Math.max(t, scene.at_s) : t));
    this.#flight = flies && targets !== scene.gondola ? HoldFlight.of(scene, crew, targets) : null;
    this.#leaves_s = targets.touchdown_s.map((t, k) => this.#leaves(t, numberAt(targets.group, k)));
    // One that gathers the canopy itself waits for nobody, and once the jumper is down nobody waits by the clock.
    const gathers_s = scene.gatherer === null || down ? 0 : GATHER_S;
    this.#enters_s = targets.touchdown_s.map((t) => t + gathers_s);
    this.#settling_s = flies ? this.#setDowns() : 0;
    this.#in_s = flies ? targets.x.map((_, k) => this.#in(k)) : new Float64Array(0);
  }

  /** When a crew may leave for a landing of a case at the earliest. */
  #leaves(touchdown_s: number, group: number): number {
    const { stage, exit_s, at_s } = this.#scene;
    const one = this.targets.groups[group];
    const ready_s = (stage === 'before the exit' ? (one?.exit_s ?? exit_s) : exit_s) + this.crew.ready_s;
    const called_s = this.#flight === null || stage === 'down' ? touchdown_s : (one?.opened_s ?? touchdown_s);
    return Math.max(ready_s, called_s, stage === 'before the exit' ? -Infinity : at_s);
  }

  /**
   * The helicopter sets down as near to the jumper as its final does, downwind first; where no ground serves it walks
   * farther, or lets down by hoist; in water by hoist alone. Answers what the briefed final takes more than the
   * straight way to that place.
   */
  #setDowns(): number {
    const { ground, surface } = this.#scene;
    const { crew, targets } = this;
    const downwind = windFrom(surface[0], surface[1]).from_deg + 180;
    const from_m = this.#flight !== null && this.#scene.gatherer === null ? marginOf(this.#scene, crew) : PEOPLE_M;
    const placeNear = (x: number, y: number): Point | null =>
      ground.setDownNear([x, y], crew.slope_deg_max, downwind, [from_m, SET_DOWN_M_MAX]);
    const ofKind = setDownsOf(this.#scene, targets, [crew.slope_deg_max, from_m], placeNear);
    const find = (at: Point, found: Point | null, isAfloat: boolean): SetDownFound => {
      const [x, y] = at;
      const place = isAfloat ? null : found;
      const walk = place === null ? Infinity : Math.hypot(place[0] - x, place[1] - y) / WALK_MPS;
      return place !== null && !(crew.hoist && walk > HOIST_S)
        ? { down: place, after_s: walk }
        : { down: at, after_s: crew.hoist ? HOIST_S : Infinity };
    };
    for (let k = 0; k < targets.count; k++) {
      const at: Point = [nth(targets.x, k), nth(targets.y, k)];
      const { down, after_s } = find(at, ofKind[k] ?? null, targets.afloat[k] === true);
      [this.#downX[k], this.#downY[k]] = down;
      this.#after_s[k] = after_s;
    }
    const { landing } = this.#scene.outlook.prediction;
    if (this.#flight === null || landing === null) return 0;
    const [x, y] = this.#scene.frame.toLocal(landing.position);
    const expected = find([x, y], placeNear(x, y), this.#scene.water.at([x, y]) !== null);
    return expected.after_s < Infinity ? this.#flight.settling_s(expected.down, expected.after_s) : 0;
  }

  #in(k: number): number {
    const hold = this.#flight?.holdOf(numberAt(this.targets.group, k));
    if (hold === undefined) return 0;
    return straight_s(this.crew, this.#wind, hold, [nth(this.#downX, k), nth(this.#downY, k)]) + this.#settling_s;
  }

  /** Times from a place on the plane; `out` has one number per landing. */
  from(x: number, y: number, out: Float64Array = new Float64Array(this.targets.count)): Float64Array {
    if (this.#attached === null) {
      const toHolds = this.#flight?.toHolds([x, y]) ?? null;
      for (let k = 0; k < out.length; k++) out[k] = this.#flown(x, y, k, toHolds);
    } else {
      const ways = this.#ways;
      ways.times([x, y], ways.field(x, y, this.#speeds), this.#attached, this.#speeds, out);
      for (let k = 0; k < out.length; k++) out[k] = this.#gone(x, y, k, nth(out, k)) + this.#begins(k);
    }
    return out;
  }

  /**
   * Times from many places to a few of the landings, at `place * landings + landing`. For a vehicle from each landing
   * outward, since a way takes as long there as back; the start off the road is by lattice alone, within some per cent.
   *
   * starts  the places tied to the ways about them, the same for every vehicle
   */
  toStandIns(places: readonly Point[], starts: Attached, landings: readonly number[]): Float64Array {
    const n = landings.length;
    const out = new Float64Array(places.length * n);
    const ways = this.#ways;
    if (this.#attached === null) {
      places.forEach(([x, y], p) => {
        const toHolds = this.#flight?.toHolds([x, y]) ?? null;
        landings.forEach((landing, k) => (out[p * n + k] = this.#flown(x, y, landing, toHolds)));
      });
      return out;
    }
    const row = new Float64Array(places.length);
    landings.forEach((landing, k) => {
      const at: Point = [nth(this.targets.x, landing), nth(this.targets.y, landing)];
      ways.times(at, ways.fieldKept(at, this.#speeds, true), starts, this.#speeds, row);
      places.forEach(([x, y], p) => {
        out[p * n + k] = this.#gone(x, y, landing, nth(row, p)) + this.#begins(landing);
      });
    });
    return out;
  }

  #begins(k: number): number {
    return nth(this.#leaves_s, k) - nth(this.#from_s, k);
  }

  /**
   * What a way of so long becomes where the person drifts meanwhile: as if it led straight there, so within some per
   * cent round a headland. A boat that is no faster than the drift does not come up with it.
   */
  #gone(x: number, y: number, k: number, way_s: number): number {
    const { drift } = this.#scene;
    if (drift === null || this.crew.kind !== 'boat' || !(way_s < Infinity)) return way_s;
    const [u, v] = drift.velocity;
    const [dx, dy] = [nth(this.targets.x, k) - x, nth(this.targets.y, k) - y];
    const straight_m = Math.hypot(dx, dy);
    const scale = straight_m > 0 ? (way_s * this.crew.speed_mps) / straight_m : 0;
    const lead_s = nth(this.#leaves_s, k) - nth(this.targets.touchdown_s, k);
    const [px, py] = [dx * scale + u * lead_s, dy * scale + v * lead_s];
    const spare = this.crew.speed_mps ** 2 - (u * u + v * v);
    if (!(spare > 0)) return Infinity;
    const along = px * u + py * v;
    return (along + Math.sqrt(along * along + spare * (px * px + py * py))) / spare;
  }

  #flown(x: number, y: number, k: number, toHolds: readonly number[] | null): number {
    const leaves = nth(this.#leaves_s, k);
    const after = nth(this.#after_s, k) - nth(this.#from_s, k);
    if (toHolds === null)
      return leaves + straight_s(this.crew, this.#wind, [x, y], [nth(this.#downX, k), nth(this.#downY, k)]) + after;
    const atHold = leaves + (toHolds[numberAt(this.targets.group, k)] ?? Infinity);
    return Math.max(atHold, nth(this.#enters_s, k)) + nth(this.#in_s, k) + after;
  }

  /** From a landing's set-down to the base, by the hospital where the plan names one. */
  #home(k: number): number {
    if (this.#home_s.length === 0) {
      const { frame, mission } = this.#scene;
      const base = frame.toLocal(this.crew.base);
      const hospital = mission.hospital === undefined ? null : frame.toLocal(mission.hospital.position);
      const onward_s = hospital === null ? 0 : straight_s(this.crew, this.#wind, hospital, base);
      this.#home_s = this.#downX.map(
        (x, i) => straight_s(this.crew, this.#wind, [x, nth(this.#downY, i)], hospital ?? base) + onward_s,
      );
    }
    return nth(this.#home_s, k);
  }

  /**
   * With its engine running, from the word to make ready until it is home again: the longest but five in a hundred of
   * those that it reaches. It leaves so late that it is at the hold at touchdown; the hospital lies on its way home.
   */
  engine_s(x: number, y: number): number {
    const { crew, targets } = this;
    const toHolds = this.#flight?.toHolds([x, y]) ?? null;
    const times = targets.x.map((_, k) => {
      const down: Point = [nth(this.#downX, k), nth(this.#downY, k)];
      const home_s = this.#home(k);
      if (!(nth(this.#after_s, k) < Infinity)) return Infinity;
      if (toHolds === null) return straight_s(crew, this.#wind, [x, y], down) + home_s;
      const out_s = toHolds[numberAt(targets.group, k)] ?? Infinity;
      const atHold = Math.max(nth(this.#leaves_s, k) + out_s, nth(targets.touchdown_s, k));
      return out_s + Math.max(0, nth(this.#enters_s, k) - atHold) + nth(this.#in_s, k) + home_s;
    });
    return crew.ready_s + farthestOf(times, targets);
  }
}

/**
 * The time within which 95 % of the landings that can be reached are reached, to 7 s: by bins, because it is asked
 * often.
 */
export function farthestOf(times: Float64Array, targets: Targets): number {
  const bins = new Float64Array(2048);
  let all = 0;
  for (let k = 0; k < times.length; k++) {
    const t = nth(times, k);
    if (!(t < UNREACHED_S)) continue;
    const bin = Math.max(0, Math.floor((t * bins.length) / UNREACHED_S));
    bins[bin] = nth(bins, bin) + nth(targets.weight, k);
    all += nth(targets.weight, k);
  }
  let held = 0;
  for (let bin = 0; bin < bins.length; bin++) {
    held += nth(bins, bin);
    if (held >= 0.95 * all && held > 0) return ((bin + 1) * UNREACHED_S) / bins.length;
  }
  return 0;
}

/** What a crew promises from a place: times after touchdown over the drawn landings by their weights. */
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
  const [p50_s = NaN, p95_s = NaN] = weightedQuantiles(times, weight, [0.5, 0.95]);
  return {
    mean_s: sum / reached,
    p50_s,
    p95_s,
    unreached: 1 - reached / used,
  };
}

/** How the time to one landing is made up. */
export function howReached(crew: Crew, units: Units): string {
  const ready = `ready ${duration(crew.ready_s)} after the exit`;
  const walk = speed(WALK_MPS, { ...units, speed: 'm/s' }, 1);
  if (crew.kind === 'helicopter') {
    const hoist = crew.hoist
      ? `, or ${duration(HOIST_S)} to let somebody down by hoist where that is quicker or no ground serves`
      : '';
    return (
      `For each landing: ${ready}, away when the canopy is open, round what is kept clear to the hold at ` +
      `${speed(crew.speed_mps, units)} through the air in the wind ${number(crew.cruise_agl_m)}${THIN}m above the ` +
      `ground of the expected landing; in by its final ${duration(GATHER_S)} after touchdown, when the canopy is ` +
      `gathered, or at once where one of its crew gathers it; and from where it sets down the rest on foot at ` +
      `${walk}${hoist}. Without a canopy it leaves at touchdown; to the gondola it flies straight.`
    );
  }
  if (crew.kind === 'boat')
    return (
      `For each landing in the water: ${ready}, away at touchdown; then the quickest way on the water at ` +
      `${speed(crew.speed_mps, units)}. Draught, tide, waves and bridges are not counted. To one on land it has no way.`
    );
  return (
    `For each landing: ${ready}, away at touchdown; then the quickest way, on roads at ` +
    `${speed(crew.speed_mps, units)} or what a road allows, off them at ${speed(crew.offRoad_mps, units)}, around ` +
    `what stops it; and on foot at ${walk} where only a person gets on.`
  );
}
