// What stands on the time bar: the span it shows, the log's events behind, the plan's ahead. Times in milliseconds
// since 1970.
import { never } from '../../core/base/problem.ts';
import type { Expected } from '../../core/mission/expected.ts';
import type { MissionState } from '../../core/log/fold.ts';
import type { LogEvent } from '../../core/log/events.ts';
import { checkWords } from '../../core/log/lists.ts';
import { silenceWords } from '../../core/log/silences.ts';
import type { Mission } from '../../core/plan/schema.ts';

export interface TimeMark {
  readonly at_ms: number;
  readonly name: string;
  /** `logged`: it happened and is in the log. `planned`: the plan and the prediction say so. */
  readonly kind: 'logged' | 'planned';
}

export interface Span {
  readonly from_ms: number;
  readonly to_ms: number;
}

/** Launch, exit, opening and touchdown by plan and prediction; what the log has already is not planned any more. */
export function plannedMarks(mission: Mission, expected: Expected | null): TimeMark[] {
  const planned = (name: string, at_ms: number): TimeMark => ({ name, at_ms, kind: 'planned' });
  const found = expected !== null && expected.from !== 'plan' ? [] : [planned('exit', Date.parse(mission.exit.time))];
  if (mission.carrier?.kind === 'balloon') found.unshift(planned('launch', Date.parse(mission.carrier.launch.time)));
  if (expected !== null) {
    const { scenario, prediction } = expected.outlook;
    const at = (after_s: number): number => 1000 * (scenario.exit.time_s + after_s);
    if (prediction.opening !== null && prediction.opening.time_s > 0)
      found.push(planned('opening', at(prediction.opening.time_s)));
    if (prediction.landing !== null) found.push(planned('touchdown', at(prediction.landing.time_s)));
  }
  return found.filter((moment) => Number.isFinite(moment.at_ms));
}

const loggedName = (event: LogEvent): string => {
  switch (event.kind) {
    case 'wind-report':
      return `wind from ${event.by ?? event.source}`;
    case 'correction':
      return `correction of ${event.corrects}`;
    case 'withdrawal':
      return `withdrawal of ${event.of}`;
    case 'confirmation':
      return `confirmation of ${event.of}`;
    case 'annulment':
      return `annulment of event ${event.of}`;
    case 'fix':
      return `fix of ${event.body}`;
    case 'mark':
      return event.mark;
    case 'advice':
    case 'decision':
    case 'call':
    case 'note':
      return `${event.kind}: ${event.text}`;
    case 'check':
      return checkWords(event);
    case 'silence':
      return silenceWords(event);
    default:
      return never(event);
  }
};

export function loggedMarks(log: readonly LogEvent[]): TimeMark[] {
  return log.map((event) => ({ at_ms: Date.parse(event.at), name: loggedName(event), kind: 'logged' as const }));
}

/** From the first moment to the last with a margin; now too, when it lies within six hours of them. */
export function spanOf(moments: readonly TimeMark[], now_ms: number): Span {
  const times = moments.map((moment) => moment.at_ms);
  if (times.length === 0) return { from_ms: now_ms - 3_600_000, to_ms: now_ms + 3_600_000 };
  // Not spread into arguments: a log of some hundred thousand events would overflow the stack.
  const first = times.reduce((a, b) => Math.min(a, b));
  const last = times.reduce((a, b) => Math.max(a, b));
  const near = now_ms > first - 6 * 3_600_000 && now_ms < last + 6 * 3_600_000;
  const from = near ? Math.min(first, now_ms) : first;
  const to = near ? Math.max(last, now_ms) : last;
  const margin = Math.max(300_000, (to - from) * 0.03);
  return { from_ms: from - margin, to_ms: to + margin };
}

export type Phase = 'planning' | 'ascent' | 'freefall' | 'under canopy' | 'landed';

/**
 * Where the descent stands at a moment: by the log's marks where it has them, else by the times of what is expected.
 */
export function phaseAt(
  mission: Mission,
  expected: Expected | null,
  marks: MissionState['marks'],
  at_ms: number,
): Phase {
  if (marks.has('touchdown')) return 'landed';
  if (marks.has('opening')) return 'under canopy';
  const left_s = expected?.planned.scenario.exit.time_s ?? Date.parse(mission.exit.time) / 1000;
  if (at_ms / 1000 < left_s) {
    if (mission.carrier?.kind !== 'balloon') return 'planning';
    return at_ms < Date.parse(mission.carrier.launch.time) ? 'planning' : 'ascent';
  }
  if (expected === null) return 'freefall';
  const { opening, landing } = expected.outlook.prediction;
  const into_s = at_ms / 1000 - expected.outlook.scenario.exit.time_s;
  if (landing !== null && into_s >= landing.time_s) return 'landed';
  if (opening !== null && into_s >= opening.time_s) return 'under canopy';
  return 'freefall';
}
