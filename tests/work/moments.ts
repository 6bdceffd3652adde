// A mission at a moment, as a worker is told of it.
import type { World } from '../../core/descent/scenario.ts';
import type { LogEvent } from '../../core/log/events.ts';
import type { Mission } from '../../core/plan/schema.ts';
import type { MomentOf } from '../../core/work/moment.ts';

export interface Told {
  readonly mission: Mission;
  readonly log: readonly LogEvent[];
  readonly world: World;
  readonly at_s: number;
  readonly roads?: unknown;
  readonly seed?: number;
}

export const momentOf = ({ mission, log, world, at_s, roads = null, seed = 1 }: Told): MomentOf => ({
  stamp: { moment: 1, seq: log.at(-1)?.seq ?? -1, plan: 1, at_s },
  mission,
  log,
  world,
  roads,
  seed,
});
