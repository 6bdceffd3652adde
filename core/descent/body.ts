// A falling body as the integrator takes it: stages with drag area, Mach curve and trigger in arrays of numbers, the
// canopy as one polar with a way of steering. Compiled once from the plan (`mission/schema.ts`); SI, radians.
import { G0, RHO0 } from '../air/air.ts';
import { assert } from '../base/problem.ts';
import { RAD_PER_DEG, type LonLat } from '../base/units.ts';
import type { Body, Canopy, CanopySetting, Stage } from '../plan/schema.ts';

export const TRIGGER_NONE = 0;
export const TRIGGER_AGL = 1;
export const TRIGGER_MSL = 2;
export const TRIGGER_TIME = 3;
export const TRIGGER_MACH = 4;

export interface CompiledStage {
  readonly name: string;
  /** Whether a drogue holds the body: it then neither glides nor spins. */
  readonly isHeld?: boolean;
  readonly dragArea_m2: number;
  /** Mach numbers and factors, alternating; empty where the factor is 1 throughout. */
  readonly machCurve: Float64Array;
  readonly trigger: number;
  /** m, s or Mach number, as the trigger says. */
  readonly triggerAt: number;
}

export const STEER_DRIFT = 0;
export const STEER_HOLD = 1;
export const STEER_INTO_WIND = 2;
export const STEER_TARGET = 3;
export const STEER_RANDOM = 4;
export const STEER_PATTERN = 5;

/**
 * Heights above ground at which the legs of a flown pattern begin by default: common practice (300/200/100 m, about
 * 1000/600/300 ft).
 */
export const PATTERN_DEFAULT_AGL_M = { downwind: 300, base: 200, final: 100 } as const;

export interface CompiledCanopy {
  readonly setting: string;
  readonly referenceMass_kg: number;
  /** True airspeed and sink at sea-level density and the reference mass, m/s. */
  readonly airspeed_mps: number;
  readonly sink_mps: number;
  readonly fill_s: number;
  /** The air path over which it fills; 0: it fills over the time. */
  readonly fillDistance_m: number;
  readonly fillExponent: number;
  /** Sc of MODEL.md §5: the drag area whose terminal speed at the reference mass and sea-level density is the sink. */
  readonly dragArea_m2: number;
  readonly policy: number;
  /** Whether it should home and has nothing to home on: then it drifts. */
  readonly aimless?: boolean;
  readonly heading_rad: number;
  readonly every_s: number;
  /** Steering's goal; NaN where the policy has none. */
  readonly targetLat_rad: number;
  readonly targetLon_rad: number;
  /** Pattern: heights above ground at which the legs begin, headings of the legs. */
  readonly legs_agl_m: readonly [downwind: number, base: number, final: number];
  readonly legs_rad: readonly [downwind: number, base: number, final: number];
}

export interface CompiledBody {
  readonly mass_kg: number;
  readonly stages: readonly CompiledStage[];
  readonly canopy: CompiledCanopy | null;
}

/** What steering needs to know of the mission: the goal, and the surface wind there for the pattern's final leg. */
export interface SteeringGoal {
  readonly target: LonLat | null;
  /** Direction the surface wind at the goal blows from, degrees true; null in a calm. */
  readonly surfaceFrom_deg: number | null;
}

/** A stage says that it is a drogue's, or its name does. */
export const isDrogue = (stage: Stage): boolean => stage.drogue ?? /drogue/i.test(stage.name);

export function compileStage(stage: Stage): CompiledStage {
  const until = stage.until;
  const [trigger, triggerAt] =
    until === undefined
      ? [TRIGGER_NONE, 0]
      : 'agl_m' in until
        ? [TRIGGER_AGL, until.agl_m]
        : 'msl_m' in until
          ? [TRIGGER_MSL, until.msl_m]
          : 'after_s' in until
            ? [TRIGGER_TIME, until.after_s]
            : [TRIGGER_MACH, until.machBelow];
  const curve = stage.machFactor ?? [];
  const plain = curve.every(([, factor]) => factor === 1);
  return {
    name: stage.name,
    isHeld: isDrogue(stage),
    dragArea_m2: stage.dragArea_m2,
    machCurve: Float64Array.from(plain ? [] : curve.flat()),
    trigger,
    triggerAt,
  };
}

/** The setting that is flown first: the named one, else the first. */
export function flownSetting(canopy: Canopy): CanopySetting {
  const setting = canopy.settings.find((one) => one.name === canopy.setting) ?? canopy.settings[0];
  assert(setting !== undefined, 'a canopy has a setting');
  return setting;
}

export function compileCanopy(canopy: Canopy, goal: SteeringGoal): CompiledCanopy {
  const setting = flownSetting(canopy);
  const steering = canopy.steering ?? { policy: 'drift' as const };
  const policies = {
    drift: STEER_DRIFT,
    hold: STEER_HOLD,
    'into wind': STEER_INTO_WIND,
    'to target': STEER_TARGET,
    random: STEER_RANDOM,
    pattern: STEER_PATTERN,
  };
  const wanted = policies[steering.policy];
  const noGoal = (wanted === STEER_TARGET || wanted === STEER_PATTERN) && goal.target === null;
  const landing_deg = steering.policy === 'pattern' ? (steering.landing_deg ?? goal.surfaceFrom_deg ?? 0) : 0;
  const side = steering.policy === 'pattern' && steering.turn === 'right' ? -1 : 1;
  const final = landing_deg * RAD_PER_DEG;
  return {
    setting: setting.name,
    referenceMass_kg: canopy.referenceMass_kg,
    airspeed_mps: setting.airspeed_mps,
    sink_mps: setting.sink_mps,
    fill_s: canopy.fill_s ?? 0,
    fillDistance_m: canopy.fillDistance_m ?? 0,
    fillExponent: canopy.fillExponent ?? 2,
    dragArea_m2: (2 * canopy.referenceMass_kg * G0) / (RHO0 * setting.sink_mps * setting.sink_mps),
    policy: noGoal ? STEER_DRIFT : wanted,
    aimless: noGoal,
    heading_rad: steering.policy === 'hold' ? steering.heading_deg * RAD_PER_DEG : 0,
    every_s: steering.policy === 'random' ? steering.every_s : Infinity,
    targetLon_rad: goal.target === null ? NaN : goal.target[0] * RAD_PER_DEG,
    targetLat_rad: goal.target === null ? NaN : goal.target[1] * RAD_PER_DEG,
    legs_agl_m:
      steering.policy === 'pattern'
        ? [
            steering.downwind_agl_m ?? PATTERN_DEFAULT_AGL_M.downwind,
            steering.base_agl_m ?? PATTERN_DEFAULT_AGL_M.base,
            steering.final_agl_m ?? PATTERN_DEFAULT_AGL_M.final,
          ]
        : [0, 0, 0],
    legs_rad: [final + Math.PI, final + (side * Math.PI) / 2, final],
  };
}

export function compileBody(body: Body, goal: SteeringGoal): CompiledBody {
  return {
    mass_kg: body.mass_kg,
    stages: body.stages.map(compileStage),
    canopy: body.canopy === undefined ? null : compileCanopy(body.canopy, goal),
  };
}
