// The alerts that stood during a rehearsal which a person flew: raised again from the log that was kept, by the code
// of `plumbline follow`.
import type { Steps } from '../base/steps.ts';
import type { LogEvent } from '../log/events.ts';
import { missionAt } from '../log/fold.ts';
import { Live, type LiveOptions } from '../live/follow.ts';
import { situationOf, type Situation } from '../mission/situation.ts';
import type { Raised } from './score.ts';
import type { RehearsedMission } from './truth.ts';

/** Looked at so often, s: sooner than a person would answer. */
const LOOK_S = 5;

/**
 * begins   the mission as it stood when the rehearsal began
 * until_s  s since 1970
 * Cost     a look costs a fold and an analysis of the log, and a tenth of a millisecond for each drawn descent
 */
export function* raisedInSteps(
  { mission, world }: Pick<RehearsedMission, 'mission' | 'world'>,
  begins: Situation,
  log: readonly LogEvent[],
  until_s: number,
  options: LiveOptions,
): Steps<Raised[]> {
  const live = new Live(begins, options);
  const raised: Raised[] = [];
  const fed = new Map<string, number>();
  for (let at_s = begins.at_s + LOOK_S; at_s < until_s; at_s += LOOK_S) {
    const state = missionAt(mission, log, at_s);
    for (const body of ['jumper', 'gondola']) {
      const from_s = fed.get(body) ?? begins.at_s;
      for (const { time_s, position, height_m } of state.fixes.get(body) ?? [])
        if (time_s > from_s && height_m !== null) live.fix(body, { time_s, position, height_m });
      fed.set(body, state.fixes.get(body)?.at(-1)?.time_s ?? from_s);
    }
    live.renew(situationOf(mission, state, world));
    for (const alert of live.step(at_s).alerts) raised.push([alert, at_s]);
    yield;
  }
  return raised;
}
