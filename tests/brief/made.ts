// The briefs of both demo missions, made once a test file: small samples, since what is checked is that a number in a
// line is the number of its source, whatever that is.
import type { Brief } from '../../core/brief/model.ts';
import { briefOf } from '../../core/brief/brief.ts';
import { briefSource, type BriefSource } from '../../core/brief/source.ts';
import type { LogEvent } from '../../core/log/events.ts';
import type { Mission } from '../../core/plan/schema.ts';
import { defaultMoment_s, situationAt } from '../../core/mission/situation.ts';
import { assemble, type Loaded } from '../../core/mission/load.ts';
import { demo, DEMOS } from '../demo.ts';

export const SMALL = { seed: 1, members: 200, caseMembers: 100, edges: 2 } as const;

export interface Made {
  readonly name: string;
  readonly source: BriefSource;
  readonly brief: Brief;
  readonly loaded: Loaded;
}

const made = new Map<string, Made>();

export async function madeBrief(name: (typeof DEMOS)[number]): Promise<Made> {
  const before = made.get(name);
  if (before !== undefined) return before;
  const { situation, loaded } = await demo(name);
  const { source } = briefSource(situation, loaded.log, loaded.roads, SMALL);
  const one = { name, source, brief: briefOf(source), loaded };
  made.set(name, one);
  return one;
}

/** The brief of a demo with its plan or its log changed, at a moment or at the newest event. */
export function changedBrief(
  loaded: Loaded,
  plan: Mission,
  log: readonly LogEvent[],
  at_s?: number,
): { source: BriefSource; brief: Brief } {
  const { world } = assemble(plan, loaded);
  const situation = situationAt(plan, log, world, at_s ?? defaultMoment_s(plan, log));
  const { source } = briefSource(situation, log, loaded.roads, SMALL);
  return { source, brief: briefOf(source) };
}

export { DEMOS };
