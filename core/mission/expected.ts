// The descent that is expected at a moment: its end where the log has the touchdown and its place; else from the
// jumper's last fix since the exit, else from the exit that the log has, else from the plan's. Whatever
// depends on the predicted landing (spread, limits, crews, brief) uses this one.
import { height } from '../words/lengths.ts';
import { isoOf } from '../base/plainNumbers.ts';
import { carrierPath } from '../descent/carrier.ts';
import { withCarrier } from '../descent/carrierError.ts';
import { outlookOf, type Outlook } from '../descent/outlook.ts';
import { scenarioOf, type Scenario } from '../descent/scenario.ts';
import { spreadOf, type Spread } from '../descent/spread.ts';
import type { MissionState } from '../log/fold.ts';
import { clock } from '../words/times.ts';
import type { Exit, Mission } from '../plan/schema.ts';
import { RAD_PER_DEG } from '../base/units.ts';
import { FIX_SPREAD, lastKnown, restOf, type FlownSituation } from './lostDescent.ts';
import { touchdownIn, type Touchdown } from './touchdown.ts';

export interface Expected {
  readonly from: 'plan' | 'exit' | 'fix' | 'touchdown';
  /** Where it begins, as a sentence; null: at the planned exit. */
  readonly basis: string | null;
  readonly outlook: Outlook;
  readonly spread: Spread;
  /**
   * The same with the carrier where its line has it at the exit: before the exit the times of a window are for that.
   */
  readonly onLine: Spread;
  /** The whole descent from its exit: what a fix is compared with. The same as `outlook` without a fix. */
  readonly planned: Outlook;
}

/** How long after the exit the descent that is expected begins, s: times of its prediction are counted from there. */
export const sinceExit_s = ({ outlook, planned }: Expected): number =>
  outlook.scenario.exit.time_s - planned.scenario.exit.time_s;

/** The exit that was, where the log has it; what it does not say is the plan's. */
export function exitOf({ exit }: Pick<Mission, 'exit'>, { marks }: Pick<MissionState, 'marks'>): Exit {
  const left = marks.get('exit');
  if (left === undefined) return exit;
  const time = isoOf(left.time_s);
  return { ...exit, time, position: left.position ?? exit.position, altitude_m: left.height_m ?? exit.altitude_m };
}

/**
 * Stages that were over at the fix are not part of what is left: the descent from there goes through them in no time.
 */
function withoutPassed(outlook: Outlook): Outlook {
  const { prediction } = outlook;
  return {
    ...outlook,
    prediction: { ...prediction, stages: prediction.stages.filter(({ start_s, end_s }) => end_s > start_s) },
  };
}

/**
 * What is left of a descent that is over: its last metre, so that spread and crews have the place as they have any
 * other landing.
 */
function lastMetre(situation: FlownSituation, { time_s, place }: Touchdown): Scenario {
  const { mission, world } = situation;
  const height_m = world.ground.heightAt(place[1] * RAD_PER_DEG, place[0] * RAD_PER_DEG) + 1;
  const phase = mission.jumper.canopy === undefined ? 'falling' : 'under canopy';
  const fix = { seq: -1, time_s, position: place, height_m };
  return restOf(situation, mission, { fix, phase, because: 'the touchdown is in the log', velocity_mps: [0, 0, 0] });
}

export function expectedOf(situation: FlownSituation): Expected {
  const { mission, world, state } = situation;
  const spread = spreadOf(mission.uncertainty, mission.jumper);
  const planned = outlookOf(scenarioOf(mission, world, mission.jumper, exitOf(mission, state)));
  const down = touchdownIn(state);
  const atFix = { ...spread, ...FIX_SPREAD };
  const fixed = { spread: atFix, onLine: atFix };
  if (down !== null) {
    const outlook = outlookOf(lastMetre(situation, down));
    return {
      from: 'touchdown',
      basis: `Touchdown is in the log, ${clock(down.time_s)}.`,
      // Of the descent nothing is left to be shown but its end.
      outlook: { ...outlook, prediction: { ...outlook.prediction, stages: [], opening: null, track: [] } },
      ...fixed,
      planned,
    };
  }
  const known = lastKnown(situation, planned);
  if (known !== null) {
    const outlook = withoutPassed(outlookOf(restOf(situation, mission, known)));
    const basis =
      `From the fix of ${clock(known.fix.time_s)} at ${height(known.fix.height_m)}, ${known.phase}: ` +
      `${known.because}.`;
    return { from: 'fix', basis, outlook, ...fixed, planned };
  }
  const left = state.marks.get('exit');
  if (left === undefined) {
    const path = carrierPath(mission, world, planned.offset, state);
    const before = withCarrier(spread, path, world, planned.scenario.exit.time_s);
    return { from: 'plan', basis: null, outlook: planned, spread: before, onLine: spread, planned };
  }
  return {
    from: 'exit',
    basis: `From the exit in the log, ${clock(left.time_s)}.`,
    outlook: planned,
    spread,
    onLine: spread,
    planned,
  };
}
