// Events that a log lacks: numbers have no gaps, so a number that is not there was lost or cannot be read here.
import { answers, type LogEvent } from './events.ts';
import { factsOf } from './fate.ts';

/** By this item a `check` says that a person saw what the log lacks, and goes on with what is there. */
export const LOG_CHECK = 'log';

/** From the first to the last number that is not there. */
export interface LogGap {
  readonly first: number;
  readonly last: number;
}

/**
 * The gaps before what was known at a moment, without those that a later `check` of `log` answers.
 * `log`: in order of `seq`
 */
export function gapsIn(log: readonly LogEvent[], at_s: number): LogGap[] {
  let gaps: LogGap[] = [];
  let before: number | null = null;
  for (const event of log) {
    const gap: LogGap | null =
      before !== null && event.seq > before + 1 ? { first: before + 1, last: event.seq - 1 } : null;
    before = event.seq;
    const isAnswer = answers(event, LOG_CHECK);
    // An event that came later says nothing of what was missing then. Few are asked for their time: of 50 000 that
    // costs more than all the rest.
    if ((gap === null && !isAnswer) || !(factsOf(event).at_s <= at_s)) continue;
    gaps = isAnswer ? [] : gap === null ? gaps : [...gaps, gap];
  }
  return gaps;
}

/** "event 6", "events 9 to 12". */
export const gapName = ({ first, last }: LogGap): string =>
  first === last ? `event ${first}` : `events ${first} to ${last}`;

/** What could not be read at a log's end; null once an event stands behind it, for then it is one of the gaps. */
export const endUnread = (unread: LogGap | null, log: readonly LogEvent[]): LogGap | null =>
  unread !== null && (log.at(-1)?.seq ?? -1) < unread.first ? unread : null;

/** "event 6, events 9 to 12 of the log are missing or cannot be read here"; `gaps`: at least one. */
export function gapWords(gaps: readonly LogGap[]): string {
  const named = gaps.map(gapName);
  const one = gaps.length === 1 && gaps[0]?.first === gaps[0]?.last;
  return `${named.join(', ')} of the log ${one ? 'is' : 'are'} missing or cannot be read here`;
}
