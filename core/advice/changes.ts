// One input of a situation changed by so much, all else as it is: what the edges of the word are looked for along, and
// what they are checked against. The reports and what they add to the forecast stay.
import { isoOf } from '../base/plainNumbers.ts';
import { never } from '../base/problem.ts';
import { windVector } from '../base/units.ts';
import { carrierAt, type CarrierPath } from '../descent/carrier.ts';
import type { Situation } from '../mission/situation.ts';
import type { Jumper, Mission, Stage } from '../plan/schema.ts';
import { shifted, whatIf, type WindLayer } from './whatIf.ts';

/** `by`: above 0 is more, later, higher; 0 is now. */
export type InputChange =
  /** Speed near the ground in the wind's own direction, m/s. */
  | { readonly input: 'surface wind'; readonly by: number }
  /** A wind from one direction added to a layer, m/s. */
  | { readonly input: 'wind aloft'; readonly by: number; readonly layer: WindLayer; readonly from_deg: number }
  /** The exit so much later on the carrier's line, s. */
  | { readonly input: 'exit time'; readonly by: number; readonly line: CarrierPath }
  /** Height of the opening, m. */
  | { readonly input: 'opening height'; readonly by: number }
  /** The moment itself, without any new report, s. */
  | { readonly input: 'moment'; readonly by: number };

export function changed(situation: Situation, change: InputChange): Situation {
  const { mission } = situation;
  switch (change.input) {
    case 'surface wind':
      return whatIf(situation, { surface_mps: change.by });
    case 'wind aloft': {
      const [u, v] = windVector(change.from_deg, change.by);
      return { ...situation, world: shifted(situation.world, change.layer, u, v) };
    }
    case 'exit time':
      return { ...situation, mission: exitLater(mission, change.line, change.by) };
    case 'opening height':
      return { ...situation, mission: { ...mission, jumper: opensHigher(mission.jumper, change.by) } };
    case 'moment': {
      const { newestSurface: newest } = situation.winds;
      const newestSurface = newest === null ? null : { ...newest, age_s: newest.age_s + change.by };
      return { ...situation, at_s: situation.at_s + change.by, winds: { ...situation.winds, newestSurface } };
    }
    default:
      return never(change);
  }
}

function exitLater(mission: Mission, line: CarrierPath, by_s: number): Mission {
  const { exit, carrier } = mission;
  const time_s = Date.parse(exit.time) / 1000 + by_s;
  const there = carrierAt(line, time_s);
  const moved = there === null ? {} : { position: there.position, altitude_m: there.height_m };
  return {
    ...mission,
    exit: { ...exit, ...moved, time: isoOf(time_s) },
    // The run stays where it is.
    ...(carrier?.kind === 'aircraft' ? { carrier: { ...carrier, through: carrier.through ?? exit.position } } : {}),
  };
}

/** The stage at whose end the canopy opens, where that is at a height; null: no height can be changed. */
export function openingStage({ canopy, stages }: Jumper): Stage | null {
  const last = stages.at(-1);
  const until = last?.until;
  return canopy === undefined || last === undefined || until === undefined || !('agl_m' in until || 'msl_m' in until)
    ? null
    : last;
}

function opensHigher(jumper: Jumper, by_m: number): Jumper {
  const last = openingStage(jumper);
  const until = last?.until;
  if (last === null || until === undefined) return jumper;
  const height =
    'agl_m' in until ? { agl_m: until.agl_m + by_m } : 'msl_m' in until ? { msl_m: until.msl_m + by_m } : until;
  return { ...jumper, stages: [...jumper.stages.slice(0, -1), { ...last, until: height }] };
}
