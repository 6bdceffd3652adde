// The rest of a descent from the last that was known of it: from a fix, falling or under canopy, in each case that the
// fix still allows. Heights m MSL, times s since 1970.
import { isoOf } from '../base/plainNumbers.ts';
import { flownSetting } from '../descent/body.ts';
import { leftAt_s } from '../descent/carrier.ts';
import { Ensemble, type Members } from '../descent/ensemble.ts';
import { outlookOf, type Outlook } from '../descent/outlook.ts';
import { scenarioOf, type FlownPlan, type Scenario, type World } from '../descent/scenario.ts';
import { spreadOf } from '../descent/spread.ts';
import { inverse } from '../earth/geodesic.ts';
import type { FixState, MissionState } from '../log/fold.ts';
import type { FlightCase } from './cases.ts';
import type { Jumper } from '../plan/schema.ts';
import { exitTime_s, type Situation } from './situation.ts';
import { RHO0 } from '../air/air.ts';
import { RAD_PER_DEG } from '../base/units.ts';

/** A fix by satellite receiver or eye: one standard deviation, m per axis, and its moment. Common practice. */
export const FIX_SPREAD = { exitPosition_m: 50, exitTime_s: 1 } as const;
/** Two fixes are compared for a velocity when they lie so far apart in time, s. */
const PAIR_S = [1, 60] as const;
/** Sinking faster than this many times the canopy's rate is falling. */
const FALLING_TIMES = 2.5;
/**
 * So is sinking at this share of what the plan falls at that height: soon after an exit in thin air a fall is no faster
 * than a canopy's rate there.
 */
const FALLING_SHARE = 0.6;

/** What of a situation decides which descent is expected. */
export interface FlownSituation {
  readonly mission: FlownPlan;
  readonly world: World;
  readonly state: Pick<MissionState, 'marks' | 'fixes'>;
}

export type Phase = 'falling' | 'under canopy';

export interface LastKnown {
  readonly fix: FixState & { readonly height_m: number };
  readonly phase: Phase;
  /** How the phase is known, in words. */
  readonly because: string;
  /**
   * Motion over the ground at the fix, m/s east, north, up; null: the wind's, and the body's own fall from rest is not
   * taken.
   */
  readonly velocity_mps: readonly [number, number, number] | null;
}

/**
 * The last fix of the jumper with a height since the exit, and what it was doing; null without one. Fixes from
 * before (`leftAt_s`) are the carrier's way. `planned`: the descent as it was expected.
 */
export function lastKnown(situation: FlownSituation, planned: Outlook): LastKnown | null {
  const left_s = leftAt_s(situation.mission, situation.state);
  const fixes = (situation.state.fixes.get('jumper') ?? []).filter(
    (one): one is LastKnown['fix'] => one.height_m !== null && one.time_s >= left_s,
  );
  const fix = fixes.at(-1);
  if (fix === undefined) return null;
  const before = fixes.findLast((one) => fix.time_s - one.time_s >= PAIR_S[0] && fix.time_s - one.time_s <= PAIR_S[1]);
  const pair = before === undefined ? null : velocityBetween(before, fix);
  const opened = situation.state.marks.get('opening');
  const canopy = situation.mission.jumper.canopy;
  if (canopy !== undefined && opened !== undefined && opened.time_s <= fix.time_s)
    return { fix, phase: 'under canopy', because: 'the opening is in the log', velocity_mps: pair };
  if (pair !== null && canopy !== undefined) {
    const rho = situation.world.air.density(fix.height_m);
    const rate = flownSetting(canopy).sink_mps * Math.sqrt(RHO0 / rho);
    const falls = -pair[2] > FALLING_TIMES * rate || -pair[2] > FALLING_SHARE * plannedFall(planned, fix.height_m);
    const phase = falls ? 'falling' : 'under canopy';
    return {
      fix,
      phase,
      because: `it sank ${Math.round(-pair[2])} m/s between the last two fixes`,
      velocity_mps: pair,
    };
  }
  const opening_m = planned.prediction.opening?.height_m ?? -Infinity;
  const velocity = velocityAt(planned, fix.height_m);
  return fix.height_m < opening_m
    ? { fix, phase: 'under canopy', because: 'the fix lies below the planned opening', velocity_mps: pair }
    : { fix, phase: 'falling', because: 'the fix lies above the planned opening', velocity_mps: pair ?? velocity };
}

function velocityBetween(
  a: FixState & { height_m: number | null },
  b: LastKnown['fix'],
): readonly [number, number, number] {
  const dt = b.time_s - a.time_s;
  const { distance_m, bearing_deg } = inverse(a.position, b.position);
  const angle = bearing_deg * RAD_PER_DEG;
  return [
    (distance_m * Math.sin(angle)) / dt,
    (distance_m * Math.cos(angle)) / dt,
    (b.height_m - (a.height_m ?? b.height_m)) / dt,
  ];
}

/** How fast the planned descent sinks at a height while it falls; endless below its opening. */
function plannedFall(planned: Outlook, height_m: number): number {
  const opening_m = planned.prediction.opening?.height_m ?? -Infinity;
  const velocity = height_m > opening_m ? velocityAt(planned, height_m) : null;
  return velocity === null ? Infinity : -velocity[2];
}

/** The planned descent's velocity where it passes a height. */
function velocityAt({ prediction }: Outlook, height_m: number): readonly [number, number, number] | null {
  const { track } = prediction;
  for (let i = 0; i + 1 < track.length; i++) {
    const a = track[i];
    const b = track[i + 1];
    if (a === undefined || b === undefined || !(a[3] >= height_m && b[3] < height_m) || !(b[0] > a[0])) continue;
    return velocityBetween(
      { seq: 0, time_s: a[0], position: [a[1], a[2]], height_m: a[3] },
      { seq: 0, time_s: b[0], position: [b[1], b[2]], height_m: b[3] },
    );
  }
  return null;
}

/** Cases that an exit as planned leaves open at a fix: those that must have happened above it are not among them. */
export function casesStillOpen(cases: readonly FlightCase[], known: LastKnown, planned: Outlook): FlightCase[] {
  const { height_m } = known.fix;
  return cases.filter((one) => {
    if (one.leaves.kind !== 'as planned' || one.weight === 0 || one.kind === 'opens at exit') return false;
    // Under an open canopy nobody conscious is nobody who steers, which is a case of its own.
    if (known.phase === 'under canopy')
      return one.plan.jumper.canopy !== undefined && one.kind !== 'drogue fails' && one.kind !== 'nobody conscious';
    if (one.kind === 'drogue fails') return height_m > drogueBegins_m(one, planned);
    const last = one.plan.jumper.stages.at(-1)?.until;
    const opensHigh = one.kind === 'opens high' || one.kind === 'nobody conscious';
    return !opensHigh || (last !== undefined && 'msl_m' in last && height_m > last.msl_m);
  });
}

/** Where the planned descent comes to its drogue; above everything where it has none. */
function drogueBegins_m(one: FlightCase, planned: Outlook): number {
  const kept = new Set(one.plan.jumper.stages.map((stage) => stage.name));
  return (
    planned.prediction.stages.find(
      (stage) => !kept.has(stage.name) && stage.name !== 'opening' && stage.name !== 'canopy',
    )?.startHeight_m ?? Infinity
  );
}

/** A plan's descent from the fix on. */
export function restOf(situation: FlownSituation, plan: FlownPlan, known: LastKnown): Scenario {
  const { fix, phase, velocity_mps } = known;
  const elapsed = fix.time_s - exitTime_s(situation.mission, situation.state);
  const jumper = phase === 'under canopy' ? openNow(plan.jumper) : later(plan.jumper, elapsed);
  const exit = {
    position: fix.position,
    altitude_m: fix.height_m,
    time: isoOf(fix.time_s),
    ...(velocity_mps === null ? {} : { velocity_mps }),
  };
  const scenario = scenarioOf(plan, situation.world, jumper, exit);
  // Without a velocity the body takes the wind's; the aircraft's own is no longer its.
  return velocity_mps === null ? { ...scenario, exit: { ...scenario.exit, velocity_mps: null } } : scenario;
}

/** Times since the exit brought to times since the fix. */
function later(jumper: Jumper, elapsed_s: number): Jumper {
  const stages = jumper.stages.map((stage) => {
    const until = stage.until;
    return until !== undefined && 'after_s' in until
      ? { ...stage, until: { after_s: Math.max(0, until.after_s - elapsed_s) } }
      : stage;
  });
  return { ...jumper, stages };
}

function openNow(jumper: Jumper): Jumper {
  const { canopy } = jumper;
  const stages = jumper.stages.slice(0, 1).map((stage) => ({ ...stage, until: { after_s: 0 } }));
  if (canopy === undefined) return { ...jumper, stages };
  const { fillDistance_m: _filled, ...open } = canopy;
  return { ...jumper, stages, canopy: { ...open, fill_s: 0 } };
}

interface RestOfDescent {
  readonly case: FlightCase;
  readonly outlook: Outlook;
  readonly members: Members;
}

/** Every open case flown from the fix; the fix's own error in place of the exit's. */
export function flyRest(
  situation: Situation,
  cases: readonly FlightCase[],
  known: LastKnown,
  planned: Outlook,
  options: { readonly members: number; readonly seed: number },
): RestOfDescent[] {
  return casesStillOpen(cases, known, planned).map((one) => {
    const scenario = restOf(situation, one.plan, known);
    const outlook = outlookOf(scenario);
    const spread = { ...spreadOf(one.plan.uncertainty, one.plan.jumper), ...one.spread, ...FIX_SPREAD };
    return {
      case: one,
      outlook,
      members: new Ensemble({ scenario, error: outlook.error, spread, seed: options.seed }).run(0, options.members),
    };
  });
}
