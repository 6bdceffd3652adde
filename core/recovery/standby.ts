// Whether a crew may wait at a place, and why not: out of the keep-clear region, on ground that serves, not where its
// dust or wash drifts onto the touchdown, within its fuel, in time before dark. Every refusal is a reason in words.
import { never } from '../base/problem.ts';
import { isCalm } from '../words/winds.ts';
import { inverse } from '../earth/geodesic.ts';
import { roughDuration } from '../words/times.ts';
import { distance } from '../words/lengths.ts';
import { RAD_PER_DEG, toward_deg, wrap180, type LonLat } from '../base/units.ts';
import { flightTime_s, fuelLeft, type Crew, type Fuel } from './crews.ts';
import { finalFor } from './final.ts';
import { marginOf } from './margin.ts';
import type { Point } from '../earth/plane.ts';
import type { ReachTimes } from './reachTimes.ts';
import { waysOf, type Scene } from './scene.ts';

/** Ground that lifts in a rotor's wash; the other covers hold. Common practice. */
const LOOSE: ReadonlySet<string> = new Set(['sand', 'gravel', 'snow', 'dust', 'dry grass', 'crop', 'ash']);
/** How far dust drifts so that it matters at the touchdown, and how far wash does on ground that holds. Ours. */
const DUST_M = 1500;
const WASH_M = 500;
/** Half the angle of the sector upwind of the touchdown that is kept free. Ours. */
const UPWIND_DEG = 30;

export type Refusal = {
  readonly by: 'keep clear' | 'ground' | 'upwind' | 'no way' | 'fuel' | 'dark';
  readonly why: string;
};

/** What does not depend on the times of the crew: cheap enough for a search. */
export function refusesPlace(
  scene: Scene,
  crew: Crew,
  x: number,
  y: number,
  clear_m: number = scene.clear.distance_m(x, y),
): Refusal | null {
  const margin = marginOf(scene, crew);
  if (clear_m < margin) {
    const name = scene.clear.nearest(x, y)?.name ?? 'a landing';
    return {
      by: 'keep clear',
      why:
        clear_m === 0
          ? `it lies in the 99 % region of “${name}”`
          : `it lies ${distance(clear_m)} from the 99 % region of “${name}”, nearer than ${distance(margin)}`,
    };
  }
  const ground = refusesGround(scene, crew, [x, y]);
  if (ground !== null) return { by: 'ground', why: ground };
  return crew.kind === 'helicopter' ? refusesUpwind(scene, x, y) : refusesDrive(scene, crew, [x, y]);
}

function refusesGround({ ground, water }: Scene, crew: Crew, [x, y]: Point): string | null {
  switch (crew.kind) {
    case 'helicopter':
      return ground.refusesLanding(x, y, crew.slope_deg_max);
    case 'vehicle':
      return ground.refusesStanding(x, y);
    case 'boat':
      if (water.empty) return 'the plan names no area of water, and the crew is a boat';
      return water.at([x, y]) === null ? 'it lies on land, and the crew is a boat' : null;
    default:
      return never(crew.kind);
  }
}

/** A new place lies so much farther out than it must, so that the next wind does not move it again. Ours. */
export const SPARE_M = 100;

/** Whether a crew may be sent to a place: as it may stay at one, with something to spare. */
export const mayBePlaced = (
  scene: Scene,
  crew: Crew,
  [x, y]: Point,
  clear_m: number = scene.clear.distance_m(x, y),
): boolean => refusesPlace(scene, crew, x, y, clear_m - SPARE_M) === null;

/**
 * Whether a vehicle or a boat gets from its base to a place: nobody is placed on the far bank of a river without a
 * bridge.
 */
function refusesDrive(scene: Scene, crew: Crew, place: Point): Refusal | null {
  const base = scene.frame.toLocal(crew.base);
  const speeds = { road_mps: crew.speed_mps, offRoad_mps: crew.offRoad_mps };
  const ways = waysOf(scene, crew);
  if (ways.reaches(base, place, speeds, false)) return null;
  if (crew.kind === 'boat') return { by: 'no way', why: 'no water leads there from where it is launched' };
  const stop = ways.inTheWay(base[0], base[1], place[0], place[1]);
  return {
    by: 'no way',
    why: stop === null ? 'no way leads there from its base' : `${stop} lies between, and no crossing leads over it`,
  };
}

function refusesUpwind(scene: Scene, x: number, y: number): Refusal | null {
  const [u, v] = scene.surface;
  if (isCalm(Math.hypot(u, v))) return null;
  const loose = LOOSE.has(scene.mission.site.groundCover ?? '');
  const reach = loose ? DUST_M : WASH_M;
  const d = Math.hypot(x, y);
  // The frame's origin is the expected landing.
  if (!(d < reach) || Math.abs(wrap180(toward_deg(-x, -y) - toward_deg(u, v))) > UPWIND_DEG) return null;
  return {
    by: 'upwind',
    why: `it lies ${distance(d)} upwind of the touchdown: its ${loose ? 'dust' : 'wash'} would drift there`,
  };
}

/** Whether fuel and light allow it. `farthest_s`: within which after touchdown it is at 95 % that it reaches. */
export function refusesTimes(scene: Scene, reach: ReachTimes, place: LonLat, farthest_s: number): Refusal | null {
  const { crew } = reach;
  if (crew.kind === 'helicopter') {
    const fuel = fuelFor(scene, reach, place);
    if (fuel.kind === 'short')
      return {
        by: 'fuel',
        why:
          `with its reserve it needs ${roughDuration(fuel.needed_s)} of fuel, ${roughDuration(fuel.by_s)} more ` +
          'than it has',
      };
  }
  if (!crew.night && scene.dusk_s !== null) {
    const late = scene.touchdown_s_p95 + farthest_s - scene.dusk_s;
    if (late > 0 && farthest_s < Infinity)
      return { by: 'dark', why: `it would arrive ${roughDuration(late)} after the end of civil twilight` };
  }
  return null;
}

/** Why a crew does not go at all, wherever it waits: then nothing counts on it. A place alone is changed instead. */
export function refusesCrew(scene: Scene, reach: ReachTimes, place: LonLat, farthest_s: number): Refusal | null {
  const late = refusesTimes(scene, reach, place, farthest_s);
  if (late !== null) return late;
  const { crew } = reach;
  if (crew.kind !== 'helicopter' || crew.serves === 'gondola') return null;
  const found = finalFor(scene, crew);
  return found.kind === 'none' ? { by: 'no way', why: found.why } : null;
}

/** How long before the exit a crew is at its standby: time for one radio brief and one correction. Ours. */
export const STANDBY_BEFORE_S = 600;

/**
 * Fuel from base to standby, a wait with the rotor turning, the start-up, by the hold to the far landings, to the
 * hospital where the plan names one, and home.
 */
export function fuelFor(scene: Scene, reach: ReachTimes, place: LonLat): Fuel {
  const { crew } = reach;
  if (crew.kind !== 'helicopter' || crew.endurance_s === null) return { kind: 'not given' };
  const waits_s = crew.waits === 'running' ? waitOf(scene) : 0;
  const [x, y] = scene.frame.toLocal(place);
  return fuelLeft(crew, flightTime_s(crew, crew.base, place, scene.windOf(crew)) + waits_s + reach.engine_s(x, y));
}

/** From when it is to be at its standby until the last drawn touchdown but five in a hundred. */
const waitOf = (scene: Scene): number => Math.max(0, scene.touchdown_s_p95 - scene.exit_s) + STANDBY_BEFORE_S;

/** Where a place lies as seen from the touchdown with respect to the wind: "upwind", "downwind", "crosswind". */
export function windSide(scene: Scene, place: LonLat): 'upwind' | 'downwind' | 'crosswind' | 'calm' {
  const [u, v] = scene.surface;
  if (isCalm(Math.hypot(u, v))) return 'calm';
  const { bearing_deg } = inverse(scene.landing, place);
  const off = Math.cos((bearing_deg - toward_deg(u, v)) * RAD_PER_DEG);
  return off > 0.7 ? 'downwind' : off < -0.7 ? 'upwind' : 'crosswind';
}
