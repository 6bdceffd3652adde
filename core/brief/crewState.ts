// What a crew is doing and what it is to do now, from the log: where it was last heard against the places that it
// knows, and the newest call or mark that one of its tasks waits for.
import { inverse } from '../earth/geodesic.ts';
import type { LogEvent } from '../log/events.ts';
import { timeOf } from '../log/fate.ts';
import type { BriefItem } from './model.ts';
import type { CrewSource } from './source.ts';

/**
 * A crew this near to a place is there: a vehicle's own size, a receiver's error and somebody pointing at a map. Ours.
 */
const THERE_M = 150;

export type CrewState = 'not heard' | 'at standby' | 'at the landing' | 'at its base' | 'on the way';

export function crewState({ crew, standby, goal }: Pick<CrewSource, 'crew' | 'standby' | 'goal'>): CrewState {
  const { heard } = crew;
  if (heard === null) return 'not heard';
  const near = (place: readonly [number, number]): boolean => inverse(heard.position, place).distance_m < THERE_M;
  if (near(standby)) return 'at standby';
  if (near(goal.position)) return 'at the landing';
  return near(crew.base) ? 'at its base' : 'on the way';
}

/** Marks of the log by the call that says the same; other marks are calls under their own name. */
const CALL_OF_MARK: Readonly<Record<string, string>> = { opening: 'CANOPY OPEN', 'canopy open': 'CANOPY OPEN' };

/** The task of the newest call that is in the log, else the first: what comes before any call. */
export function taskNow(tasks: readonly BriefItem[], log: readonly LogEvent[], at_s: number): BriefItem | null {
  let found = tasks[0] ?? null;
  let newest_s = -Infinity;
  for (const event of log) {
    if (event.kind !== 'mark' && event.kind !== 'call') continue;
    // A call with a key says values; the calls that tasks wait for have none.
    if (event.kind === 'call' && event.key !== undefined) continue;
    const time_s = timeOf(event.kind === 'mark' ? (event.observedAt ?? event.at) : event.at);
    if (!(time_s <= at_s) || !(time_s >= newest_s)) continue;
    const task =
      event.kind === 'mark' ? taskOfMark(tasks, event.mark) : tasks.find((one) => said(event.text, one.label));
    if (task === undefined) continue;
    found = task;
    newest_s = time_s;
  }
  return found;
}

function taskOfMark(tasks: readonly BriefItem[], mark: string): BriefItem | undefined {
  const call = CALL_OF_MARK[mark] ?? mark.toUpperCase();
  return tasks.find((one) => one.label === call);
}

/** A call begins with its word or has it in capitals: "TOUCHDOWN, 200 metres north". */
const said = (text: string, call: string): boolean => text.toUpperCase().startsWith(call) || text.includes(call);
