// The search behind the placement. First a lattice with a few landings standing for all, on which the crews are placed
// one after the other until nothing changes; from its best places a compass search with every landing. Metres on the
// scene's plane, seconds.
import { toEnd, type Steps } from '../base/steps.ts';
import { ExpectedByBins, earliest, expectedTimeOf, ownMean, UNREACHED_S } from './placementCost.ts';
import type { Point } from '../earth/plane.ts';
import { farthestOf, type ReachTimes } from './reachTimes.ts';
import { waysOf, type Scene, type Targets } from './scene.ts';
import type { Attached, WayMap } from './ways.ts';
import { keptIn } from '../base/kept.ts';
import type { Crew } from './crews.ts';
import { marginOf } from './margin.ts';
import { mayBePlaced, refusesCrew, SPARE_M } from './standby.ts';
import { nth, numberAt } from '../base/nth.ts';

/** A crew that moves, with what it is placed for. */
export interface Mover {
  readonly crew: Crew;
  readonly reach: ReachTimes;
  /** Where the plan has it, for a start. */
  readonly start: Point;
}

/** Crews that share one goal: the first of them to arrive counts. */
export interface GoalCrews {
  readonly targets: Targets;
  readonly movers: readonly Mover[];
  /** Times of the crews that stay. */
  readonly fixed: readonly Float64Array[];
  /** The goal's weights: of the worst tenth (0 for the gondola), and of the mean of the crews' own times. */
  readonly worstTenth: number;
  readonly second: number;
}

export interface Found {
  readonly point: Point;
  readonly times: Float64Array;
  /**
   * Null where a place was found; else whether no place is allowed at all, or none from which fuel and light allow it
   * to come.
   */
  readonly none: 'no place' | 'times' | null;
  /** It stays where it is, for no other place gains enough. */
  readonly stays?: true;
}

/** How many landings stand for a group that weighs a fifth or more, and for a lighter one. */
const FOR_HEAVY = 8;
const FOR_LIGHT = 3;
/** Cells of the first search's lattice. */
const COARSE_CELLS_MAX = 1400;
/** Places from the first search that the second compares before it begins. */
const STARTS = 6;
const STEP_M_MIN = 45;
/** Two starts are apart by this part of their distance from the expected landing; the first step is half of it. */
const APART_SHARE = 0.3;
const ROUNDS = 3;
/** Directions about the keep-clear region in which places are looked at first; places on roads, and how far out. */
const EDGE_PLACES = 60;
const ROAD_PLACES_MAX = 150;
const ROADS_M = 12_000;

/** Answers a place for each mover, in their order, and how many places were tried with every landing. */
export const searchPlaces = (scene: Scene, team: GoalCrews): PlacesFound => toEnd(placesInSteps(scene, team));

interface PlacesFound {
  readonly found: readonly Found[];
  readonly tried: number;
}

export function* placesInSteps(scene: Scene, team: GoalCrews): Steps<PlacesFound> {
  const first = new Coarse(scene, team);
  yield* first.time();
  yield;
  const order = first.solve();
  yield;
  const fine = new Fine(scene, team);
  yield;
  const found = yield* fine.solve(order);
  return { found, tried: fine.tried };
}

/**
 * Indices of a few landings that stand for a group, with their weights: the middle ones of equal slices along its long
 * axis.
 */
function standIns(targets: Targets): { readonly index: number; readonly weight: number }[] {
  return targets.groups.flatMap(({ weight, statistics }, group) => {
    const { bearing_deg } = statistics.ellipses['90'];
    const [sin, cos] = [Math.sin((bearing_deg * Math.PI) / 180), Math.cos((bearing_deg * Math.PI) / 180)];
    const rows = Array.from(targets.group.keys()).filter((k) => targets.group[k] === group);
    const along = (k: number): number => nth(targets.x, k) * sin + nth(targets.y, k) * cos;
    rows.sort((a, b) => along(a) - along(b));
    const count = Math.min(weight >= 0.2 ? FOR_HEAVY : FOR_LIGHT, rows.length);
    const across = (k: number): number => nth(targets.x, k) * cos - nth(targets.y, k) * sin;
    return Array.from({ length: count }, (_, j) => {
      const slice = rows.slice(Math.floor((j * rows.length) / count), Math.floor(((j + 1) * rows.length) / count));
      // Alternating sides, so that the stand-ins spread across the group as well.
      slice.sort((a, b) => across(a) - across(b));
      const index = numberAt(slice, Math.floor(slice.length * (j % 2 === 0 ? 0.3 : 0.7)));
      return { index, weight: weight / count };
    });
  });
}

const NO_TIMES = new Float64Array(0);

class Coarse {
  readonly #scene: Scene;
  readonly #team: GoalCrews;
  readonly #points: Point[] = [];
  readonly #weight: Float64Array;
  /** Times by mover: at `cell * stand-ins + stand-in`. */
  readonly #times: Float64Array[] = [];
  readonly #indices: readonly number[];
  readonly #fixed: Float64Array;
  readonly #allowed: Map<number, boolean>[];
  readonly #clear: Float64Array;
  readonly #scratch: Float64Array;
  readonly #used: Uint8Array;
  /** Weight of one crew's own time. */
  readonly #second: number;

  constructor(scene: Scene, team: GoalCrews) {
    this.#scene = scene;
    this.#team = team;
    const { columns, rows, west, south, step_m } = scene.lattice;
    const stride = Math.max(1, Math.ceil(Math.sqrt((columns * rows) / COARSE_CELLS_MAX)));
    for (let j = 0; j < rows; j += stride)
      for (let i = 0; i < columns; i += stride) this.#points.push([west + i * step_m, south + j * step_m]);
    this.#points.push(...edgeOf(scene, team), ...roadsNear(scene.ways));
    if (scene.boatWays !== scene.ways) this.#points.push(...roadsNear(scene.boatWays));
    this.#clear = new Float64Array(this.#points.length).fill(NaN);
    this.#second = secondOf(team);
    this.#allowed = team.movers.map(() => new Map());
    const stand = standIns(team.targets);
    this.#weight = Float64Array.from(stand, (one) => one.weight);
    this.#scratch = new Float64Array(stand.length);
    this.#used = new Uint8Array(stand.length);
    this.#indices = stand.map((one) => one.index);
    const known = earliest(team.fixed, team.targets.count);
    this.#fixed = Float64Array.from(this.#indices, (k) => nth(known, k));
  }

  /** Every mover's times from every place, before anything is solved. */
  *time(): Steps<void> {
    const starts = new Map<WayMap, Attached>();
    for (const { crew, reach } of this.#team.movers) {
      yield;
      const ways = waysOf(this.#scene, crew);
      const tied = keptIn(starts, ways, () => ways.attach(this.#points, false));
      this.#times.push(reach.toStandIns(this.#points, tied, this.#indices));
    }
  }

  #point(cell: number): Point {
    return this.#points[cell] ?? [NaN, NaN];
  }

  #timesOf(mover: number): Float64Array {
    return this.#times[mover] ?? NO_TIMES;
  }

  #mayStand(mover: number, cell: number): boolean {
    const kept = this.#allowed[mover]?.get(cell);
    if (kept !== undefined) return kept;
    const [x, y] = this.#point(cell);
    if (!(this.#clear[cell] === this.#clear[cell])) this.#clear[cell] = this.#scene.clear.distance_m(x, y);
    const crew = this.#team.movers[mover]?.crew;
    const may = crew !== undefined && mayBePlaced(this.#scene, crew, [x, y], this.#clear[cell]);
    this.#allowed[mover]?.set(cell, may);
    return may;
  }

  /** Cost of a mover at a cell, the others' earliest times being given. */
  #cost(mover: number, cell: number, others: Float64Array): number {
    const n = this.#weight.length;
    const times = this.#timesOf(mover);
    const at = cell * n;
    const { worstTenth } = this.#team;
    let mean = 0;
    for (let k = 0; k < n; k++) {
      const own = Math.min(nth(times, at + k), UNREACHED_S);
      const t = Math.min(own, nth(others, k));
      this.#scratch[k] = t;
      mean += nth(this.#weight, k) * (t + this.#second * own);
    }
    return worstTenth === 0 ? mean : mean + worstTenth * tail(this.#scratch, this.#weight, this.#used);
  }

  /** Cells of a mover that cost least and where it may stand, the best first, no two beside each other. */
  #ranked(mover: number, others: Float64Array, count: number): number[] {
    const costs = Float64Array.from(this.#points, (_, cell) => this.#cost(mover, cell, others));
    const order = Array.from(costs.keys()).sort((a, b) => nth(costs, a) - nth(costs, b));
    const best: number[] = [];
    for (const cell of order) {
      const [x, y] = this.#point(cell);
      const beside = best.some((other) => {
        const [ox, oy] = this.#point(other);
        return Math.hypot(x - ox, y - oy) < APART_SHARE * Math.hypot(x, y);
      });
      if (beside || !this.#mayStand(mover, cell)) continue;
      best.push(cell);
      if (best.length === count) break;
    }
    return best;
  }

  /** Starting places of each mover, the best first; none where it may stand nowhere. */
  solve(): Point[][] {
    const { movers } = this.#team;
    let best: { cost: number; cells: number[] } | null = null;
    for (let first = 0; first < Math.max(movers.length, 1); first++) {
      const cells = movers.map(() => -1);
      for (let round = 0; round < ROUNDS; round++) {
        let moved = false;
        for (let turn = 0; turn < movers.length; turn++) {
          const mover = (first + turn) % movers.length;
          const cell = this.#ranked(mover, this.#others(cells, mover), 1)[0] ?? -1;
          if (cell === cells[mover]) continue;
          cells[mover] = cell;
          moved = true;
        }
        if (!moved) break;
      }
      const cost = this.#joint(cells);
      if (best === null || cost < best.cost) best = { cost, cells };
    }
    const cells = best?.cells ?? [];
    return movers.map((_, mover) =>
      this.#ranked(mover, this.#others(cells, mover), STARTS).map((cell) => this.#point(cell)),
    );
  }

  /** Cost of all movers at their cells together; Infinity where none has one. */
  #joint(cells: readonly number[]): number {
    const last = cells.findIndex((cell) => cell >= 0);
    if (last < 0) return Infinity;
    const n = this.#weight.length;
    let own = 0;
    cells.forEach((cell, mover) => {
      if (mover === last || cell < 0) return;
      const times = this.#timesOf(mover);
      for (let k = 0; k < n; k++) own += nth(this.#weight, k) * Math.min(nth(times, cell * n + k), UNREACHED_S);
    });
    return this.#cost(last, numberAt(cells, last), this.#others(cells, last)) + this.#second * own;
  }

  #others(cells: readonly number[], but: number): Float64Array {
    const out = this.#fixed.slice();
    const n = out.length;
    cells.forEach((cell, mover) => {
      if (mover === but || cell < 0) return;
      const times = this.#timesOf(mover);
      for (let k = 0; k < n; k++) out[k] = Math.min(nth(out, k), nth(times, cell * n + k));
    });
    return out;
  }
}

/**
 * Places about the keep-clear region: outward from the first group's middle, where each crew may first stand, and a
 * little farther.
 */
function edgeOf(scene: Scene, team: GoalCrews): Point[] {
  const mean = team.targets.groups[0]?.statistics.mean;
  if (mean === undefined) return [];
  const [x0, y0] = scene.frame.toLocal(mean);
  const margins = new Set(team.movers.map((mover) => marginOf(scene, mover.crew) + SPARE_M));
  const points: Point[] = [];
  for (const margin of margins)
    for (let k = 0; k < EDGE_PLACES; k++) {
      const [e, n] = [Math.sin((2 * Math.PI * k) / EDGE_PLACES), Math.cos((2 * Math.PI * k) / EDGE_PLACES)];
      let r = 50;
      // No step passes the edge: the region is farther away than the step is long.
      for (let tries = 0; tries < 60; tries++) {
        const short = margin - scene.clear.distance_m(x0 + r * e, y0 + r * n);
        if (short <= 0) break;
        r += Math.max(short, 0.04 * r);
      }
      for (const farther of [1, 1.12, 1.35, 1.8]) points.push([x0 + r * farther * e, y0 + r * farther * n]);
    }
  return points;
}

/** Places on roads, at crossings and along the shore near the expected landing, thinned. */
function roadsNear({ graph }: WayMap): Point[] {
  const { x, y, cells } = graph;
  const found: Point[] = [];
  for (let n = cells; n < x.length; n++) {
    const point: Point = [nth(x, n), nth(y, n)];
    if (Math.hypot(point[0], point[1]) < ROADS_M) found.push(point);
  }
  const every = Math.ceil(found.length / ROAD_PLACES_MAX);
  return found.filter((_, k) => k % every === 0);
}

/** Weight of one crew's own time: the goal's, shared by its crews. */
const secondOf = (team: GoalCrews): number => team.second / Math.max(team.movers.length + team.fixed.length, 1);

/** Mean of the worst tenth of a few dozen times: the largest are taken out one by one. `used` is overwritten. */
function tail(times: Float64Array, weight: Float64Array, used: Uint8Array): number {
  const n = times.length;
  used.fill(0);
  let held = 0;
  let sum = 0;
  while (held < 0.1 - 1e-12) {
    let at = -1;
    for (let k = 0; k < n; k++) if (used[k] === 0 && (at < 0 || nth(times, k) > nth(times, at))) at = k;
    if (at < 0) break;
    used[at] = 1;
    const part = Math.min(nth(weight, at), 0.1 - held);
    sum += part * nth(times, at);
    held += part;
  }
  return held > 0 ? sum / held : 0;
}

class Fine {
  readonly #scene: Scene;
  readonly #team: GoalCrews;
  readonly #bins: ExpectedByBins;
  tried = 0;

  constructor(scene: Scene, team: GoalCrews) {
    this.#scene = scene;
    this.#team = team;
    this.#bins = new ExpectedByBins(team.targets);
  }

  *solve(starts: readonly (readonly Point[])[]): Steps<Found[]> {
    const { movers, fixed, targets } = this.#team;
    const found = movers.map((mover, i): Found => {
      const point = starts[i]?.[0];
      if (point !== undefined) return { point, times: mover.reach.from(point[0], point[1]), none: null };
      return { point: mover.start, times: timesByPlan(this.#scene, mover), none: 'no place' };
    });
    for (let round = 0; round < ROUNDS; round++) {
      let moved = false;
      for (const [i, mover] of movers.entries()) {
        const before = found[i];
        if (before === undefined || before.none !== null) continue;
        const others = earliest([...fixed, ...found.filter((_, k) => k !== i).map((one) => one.times)], targets.count);
        const begin = round === 0 ? [...(starts[i] ?? [])] : [before.point];
        const better = yield* this.#improve(mover, begin, others, round === 0 ? APART_SHARE / 2 : APART_SHARE / 4);
        if (better === null) found[i] = { point: mover.start, times: timesByPlan(this.#scene, mover), none: 'times' };
        if (better !== null && Math.hypot(better.point[0] - before.point[0], better.point[1] - before.point[1]) > 1)
          moved = true;
        if (better !== null) found[i] = better;
      }
      if (!moved || movers.length < 2) break;
    }
    return found;
  }

  /** Cost and times of a mover at a place; null where it may not stand there. */
  #at(
    mover: Mover,
    [x, y]: Point,
    others: Float64Array,
  ): { readonly cost: number; readonly times: Float64Array } | null {
    if (!mayBePlaced(this.#scene, mover.crew, [x, y])) return null;
    this.tried += 1;
    const times = mover.reach.from(x, y);
    if (!allowsTimes(this.#scene, mover, [x, y], times)) return null;
    const { mean_s, worst_s } = this.#bins.of(times, others);
    const own = secondOf(this.#team) * ownMean(times, this.#team.targets.weight);
    return { cost: mean_s + this.#team.worstTenth * worst_s + own, times };
  }

  /** `share`: the first step, as a part of the distance from the expected landing. */
  *#improve(mover: Mover, starts: readonly Point[], others: Float64Array, share: number): Steps<Found | null> {
    let best: { cost: number; times: Float64Array; point: Point } | null = null;
    for (const point of starts) {
      const here = this.#at(mover, point, others);
      if (here !== null && (best === null || here.cost < best.cost)) best = { ...here, point };
    }
    if (best === null) return null;
    let turn = 0;
    const longest = Math.max(share * Math.hypot(best.point[0], best.point[1]), STEP_M_MIN);
    for (let step = longest; step >= STEP_M_MIN; step /= 2) {
      for (let n = 0; n < 12; n++) {
        yield;
        const better = this.#around(mover, best, others, step, turn);
        // Each ring stands turned against the last, so that an edge of the allowed ground is followed whichever way it
        // runs.
        turn += 22.5;
        if (better === null) break;
        best = better;
      }
    }
    return { point: best.point, times: best.times, none: null };
  }

  #around(
    mover: Mover,
    from: { readonly cost: number; readonly point: Point },
    others: Float64Array,
    step: number,
    turn: number,
  ): { cost: number; times: Float64Array; point: Point } | null {
    for (let k = 0; k < 8; k++) {
      const angle = ((turn + 45 * k) * Math.PI) / 180;
      const point: Point = [from.point[0] + step * Math.sin(angle), from.point[1] + step * Math.cos(angle)];
      const here = this.#at(mover, point, others);
      if (here !== null && here.cost < from.cost - 1e-9) return { ...here, point };
    }
    return null;
  }
}

/**
 * Times of a crew from where the plan has it: endless where fuel or light do not allow it to come, so that it is not
 * counted on.
 */
export function timesByPlan(scene: Scene, mover: Mover): Float64Array {
  const times = mover.reach.from(mover.start[0], mover.start[1]);
  return allowsTimes(scene, mover, mover.start, times) ? times : times.fill(Infinity);
}

/** Whether fuel and light allow a crew's place with its times. */
export function allowsTimes(
  scene: Scene,
  { reach }: Pick<Mover, 'reach'>,
  [x, y]: Point,
  times: Float64Array,
): boolean {
  return refusesCrew(scene, reach, scene.frame.toLonLat(x, y), farthestOf(times, reach.targets)) === null;
}

/** The goal's number for all its crews: what the search made small, exactly. */
export function teamCost(
  team: GoalCrews,
  found: readonly Float64Array[],
): { readonly cost: number; readonly mean_s: number; readonly worst_s: number } {
  const { weight, count } = team.targets;
  const all = [...team.fixed, ...found];
  const { mean_s, worst_s } = expectedTimeOf(earliest(all, count), weight);
  const own = all.reduce((sum, times) => sum + ownMean(times, weight), 0);
  return { cost: mean_s + team.worstTenth * worst_s + secondOf(team) * own, mean_s, worst_s };
}
