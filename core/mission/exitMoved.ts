// A plan whose exit is at another time: the carrier's flight and what is timed by the clock keep their distance from
// it, and the exit is taken where the carrier is by then. Times s since 1970.
import { isoOf, tidyPlace } from '../base/plainNumbers.ts';
import { carrierAt, carrierPath } from '../descent/carrier.ts';
import { outlookOf } from '../descent/outlook.ts';
import { epoch_s, scenarioOf, type World } from '../descent/scenario.ts';
import type { LogEvent } from '../log/events.ts';
import type { MissionState } from '../log/fold.ts';
import type { Mission } from '../plan/schema.ts';
import type { WindOffset } from '../winds/field.ts';
import { situationAt, type Situation } from './situation.ts';

/** The same plan with its times moved: the exit's, the carrier's, and that of a release by the clock. */
export function exitAtTime(mission: Mission, time_s: number): Mission {
  const shift_s = time_s - epoch_s(mission.exit.time);
  if (shift_s === 0) return mission;
  const later = (time: string): string => isoOf(epoch_s(time) + shift_s);
  const { carrier, gondola, exit } = mission;
  const release = gondola?.release;
  return {
    ...mission,
    exit: { ...exit, time: isoOf(time_s) },
    ...(carrier?.kind === 'balloon'
      ? { carrier: { ...carrier, launch: { ...carrier.launch, time: later(carrier.launch.time) } } }
      : {}),
    // The run stays where it is.
    ...(carrier?.kind === 'aircraft'
      ? { carrier: { ...carrier, time: later(carrier.time), through: carrier.through ?? exit.position } }
      : {}),
    ...(gondola !== undefined && release !== undefined && 'time' in release
      ? { gondola: { ...gondola, release: { time: later(release.time) } } }
      : {}),
  };
}

/** A plan with its exit on its carrier's line; as it is without a carrier. `offset`: what reports add to the wind. */
export function exitOnLine(
  mission: Mission,
  world: World,
  offset: WindOffset | null,
  state: Pick<MissionState, 'fixes' | 'marks'> | null,
): Mission {
  const path = carrierPath(mission, world, offset, state);
  const there = path === null ? null : carrierAt(path, epoch_s(mission.exit.time));
  if (there === null) return mission;
  const { position, height_m } = there;
  return { ...mission, exit: { ...mission.exit, position: tidyPlace(position), altitude_m: Math.round(height_m) } };
}

/**
 * The situation of a plan with its exit moved to another time, and taken on the carrier's line. At the plan's own time
 * the plan is left as it is.
 *
 * world  the forecast's, for that time of the exit
 * at_s   the moment
 */
export function situationMoved(
  mission: Mission,
  log: readonly LogEvent[],
  world: World,
  { exit_s, at_s }: { readonly exit_s: number; readonly at_s: number },
): Situation {
  const shifted = exitAtTime(mission, exit_s);
  const first = situationAt(shifted, log, world, at_s);
  if (shifted === mission) return first;
  const offset = first.world.analysis === null ? null : outlookOf(scenarioOf(shifted, first.world)).offset;
  const moved = exitOnLine(shifted, first.world, offset, first.state);
  // Where the exit is changes no report and no wind; how high it is does.
  return moved.exit.altitude_m === shifted.exit.altitude_m
    ? { ...first, mission: moved }
    : situationAt(moved, log, world, at_s);
}
