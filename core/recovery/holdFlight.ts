// The procedure that a helicopter is briefed to fly, as times from any standby: ready at EXIT, away when the canopy is
// open, round what is kept clear to the hold, in when the canopy is gathered. The same legs as `approach.ts` makes for
// one standby, worked out so that thousands can be compared. Metres on the scene's plane, seconds.
import { keptIn } from '../base/kept.ts';
import type { Point } from '../earth/plane.ts';
import { RATE_MPS } from './corridor.ts';
import { flownAlike, type Crew } from './crews.ts';
import { Detour, hullOf, type DetourArea, type DetourTree } from './detour.ts';
import { finalFor, type Final } from './final.ts';
import { marginOf } from './margin.ts';
import type { Scene, Targets } from './scene.ts';
import { WALK_MPS } from './ways.ts';

/** A way passes a town no nearer than this. Ours. */
const TOWN_ASIDE_M = 150;
/** A case whose landings lie nearer than this to the expected one is flown from the briefed hold. Ours. */
const SAME_HOLD_M = 3000;
/** How closely the ground on the way to a hold is looked at where places are compared, and how often at most. Ours. */
const RELIEF_STEP_M = 250;
const RELIEF_STEPS_MAX = 100;

/** What a flight keeps out of. */
const flightAreas = (scene: Scene, crew: Crew, keepsClear: boolean): DetourArea[] => [
  ...(keepsClear ? scene.clear.outlines(marginOf(scene, crew)) : []),
  ...scene.ground.towns.map((town) => hullOf(town, TOWN_ASIDE_M)),
];

const detours = new WeakMap<Scene, Map<boolean, Detour>>();

/** The ways round it, worked out once for a scene: all helicopters keep as far off. */
export function detourOf(scene: Scene, crew: Crew, keepsClear: boolean): Detour {
  const ofScene = keptIn(detours, scene, () => new Map<boolean, Detour>());
  return keptIn(ofScene, keepsClear, () => new Detour(flightAreas(scene, crew, keepsClear)));
}

/** Speed over the ground along a way in one wind, m/s; 0 where the track cannot be held. */
function goodSpeed_mps(airspeed_mps: number, [u, v]: readonly [number, number], dx: number, dy: number): number {
  const d = Math.sqrt(dx * dx + dy * dy);
  const along = (u * dx + v * dy) / d;
  const spare = airspeed_mps ** 2 - (u * u + v * v - along * along);
  return spare > 0 ? along + Math.sqrt(spare) : 0;
}

/** A straight flight in one wind, s; Infinity where the track cannot be held. */
export function straight_s(crew: Pick<Crew, 'speed_mps'>, wind: readonly [number, number], a: Point, b: Point): number {
  const [dx, dy] = [b[0] - a[0], b[1] - a[1]];
  if (dx === 0 && dy === 0) return 0;
  const good = goodSpeed_mps(crew.speed_mps, wind, dx, dy);
  return good > 0 ? Math.sqrt(dx * dx + dy * dy) / good : Infinity;
}

const flights = new WeakMap<Targets, Map<string, HoldFlight | null>>();

/** The flights of all crews that fly alike to the holds of the cases, and in from there. */
export class HoldFlight {
  readonly #scene: Scene;
  readonly #crew: Crew;
  readonly #final: Final;
  readonly #wind: readonly [number, number];
  readonly #detour: Detour;
  readonly #tree: DetourTree;
  /** The hold, or just outside it where the corners of what is kept clear reach about it. */
  readonly #end: Point | null;
  /** The hold of each case; null: the briefed one. */
  readonly #moved: readonly (Point | null)[];

  /** Null for a crew without an open final: it is refused, and its times are those of a straight flight. */
  static of(scene: Scene, crew: Crew, targets: Targets): HoldFlight | null {
    const ofTargets = keptIn(flights, targets, () => new Map<string, HoldFlight | null>());
    return keptIn(ofTargets, flownAlike(crew, scene.surface), () => {
      const found = finalFor(scene, crew);
      return found.kind === 'none' ? null : new HoldFlight(scene, crew, targets, found.final);
    });
  }

  private constructor(scene: Scene, crew: Crew, targets: Targets, final: Final) {
    this.#scene = scene;
    this.#crew = crew;
    this.#final = final;
    this.#wind = scene.windOf(crew);
    this.#detour = detourOf(scene, crew, true);
    this.#end = this.#detour.out(final.hold);
    this.#tree = this.#detour.to(this.#end ?? final.hold, (a, b) => straight_s(crew, this.#wind, a, b));
    this.#moved = targets.groups.map(({ statistics }): Point | null => {
      const [x, y] = scene.frame.toLocal(statistics.mean);
      return Math.hypot(x, y) < SAME_HOLD_M ? null : [final.hold[0] + x, final.hold[1] + y];
    });
  }

  /** The hold from which a case's landings are flown. */
  holdOf(group: number): Point {
    return this.#moved[group] ?? this.#final.hold;
  }

  /** From leaving a standby to the hold of each case; straight from deep within what is kept clear. */
  toHolds(from: Point): number[] {
    const climbs_s = this.#climbs_s(from);
    const straight = (a: Point, b: Point): number => straight_s(this.#crew, this.#wind, a, b);
    const { hold } = this.#final;
    const [begin, end] = [this.#detour.out(from), this.#end];
    const briefed_s =
      climbs_s +
      (begin === null || end === null
        ? straight(from, hold)
        : straight(from, begin) + this.#tree.cost(begin) + straight(end, hold));
    return this.#moved.map((other) => (other === null ? briefed_s : climbs_s + straight(from, other)));
  }

  /** Up over the standby to a height that clears the ground on the line to the hold, and down to the hold's. */
  #climbs_s([x, y]: Point): number {
    const { groundAt } = this.#scene;
    const [hx, hy] = this.#final.hold;
    const ground_m = groundAt(x, y);
    const hold_m = this.#final.way[0]?.up_m ?? ground_m;
    const count = Math.min(Math.ceil(Math.hypot(hx - x, hy - y) / RELIEF_STEP_M), RELIEF_STEPS_MAX);
    let level_m = hold_m;
    for (let k = 0; k < count; k++) {
      const f = k / count;
      level_m = Math.max(level_m, groundAt(x + f * (hx - x), y + f * (hy - y)) + this.#crew.cruise_agl_m);
    }
    return (2 * level_m - ground_m - hold_m) / RATE_MPS;
  }

  /**
   * What the briefed final takes more than a straight flight from the hold to where `down` has it set down for the
   * expected landing, and `after_s` from there: its gates, its descent, its own set-down.
   */
  settling_s(down: Point, after_s: number): number {
    const { setDown, way, hold } = this.#final;
    const walk_s = setDown.kind === 'ground' ? setDown.walk_m / WALK_MPS : after_s;
    return (way.at(-1)?.time_s ?? 0) + walk_s - straight_s(this.#crew, this.#wind, hold, down) - after_s;
  }
}
