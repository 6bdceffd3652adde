// What must be right before any word may stand: the desk in reach, the log taking what is entered, and a clock that can
// be believed. Each answers a sentence while it is wrong.
import { computed, type ReadonlySignal } from '@preact/signals';
import { CLOCK_TOLERANCE_S, factsOf } from '../../../core/log/fate.ts';
import { answers, type LogEvent } from '../../../core/log/events.ts';
import { annulledIn } from '../../../core/log/fold.ts';
import { gapsIn, gapWords, type LogGap } from '../../../core/log/gaps.ts';
import { capital, type Units } from '../../../core/words/numbers.ts';
import { clock, date, roughDuration } from '../../../core/words/times.ts';
import type { DeskState } from '../../desk.ts';
import type { LogTrouble } from '../stored/decision.ts';

/** What is dated farther ahead of the clock is not of now: two clocks that are set by hand differ by less, s. */
export const FAR_AHEAD_S = 5 * CLOCK_TOLERANCE_S;

/** What a person checks after a leap of the clock, by this name in the log. */
export const CLOCK_CHECK = 'clock';

function deskAmiss(state: DeskState): string | null {
  if (state === 'refused') return 'The desk was restarted and does not know this window: nothing reported comes here.';
  return state === 'lost' ? 'The desk is out of reach: nothing reported comes here, and nothing can be logged.' : null;
}

/** The event that is dated farthest; null of a log without events. What was annulled does not count. */
function farthest(log: readonly LogEvent[]): LogEvent | null {
  const annulled = annulledIn(log);
  let found: LogEvent | null = null;
  for (const event of log)
    if (!annulled.has(event.seq) && (found === null || factsOf(event).at_s > factsOf(found).at_s)) found = event;
  return found;
}

/** The newest leap of the computer's clock that nobody has answered; null: none. */
function openLeap(log: readonly LogEvent[]): LogEvent | null {
  for (const event of log.toReversed()) {
    if (answers(event, CLOCK_CHECK)) return null;
    if (event.kind === 'note' && event.leap_s !== undefined) return event;
  }
  return null;
}

/** "back 1 h": how a clock leapt. */
export const leapWords = (leap_s: number): string =>
  `${leap_s < 0 ? 'back' : 'ahead'} ${roughDuration(Math.abs(leap_s))}`;

/** Why no time of this log can be trusted now. */
function clockAmiss(
  far: LogEvent | null,
  leap: LogEvent | null,
  { now_s, units }: { readonly now_s: number; readonly units: Units },
): string | null {
  // First: after a leap back every event is far ahead, and the clock is to be doubted, not the events.
  if (leap !== null && leap.kind === 'note' && leap.leap_s !== undefined) {
    const when = clock(factsOf(leap).at_s, units);
    return `The computer’s clock went ${leapWords(leap.leap_s)} at ${when}: check the time, then say that it is right.`;
  }
  if (far === null) return null;
  const { at_s } = factsOf(far);
  const ahead_s = at_s - now_s;
  if (ahead_s <= FAR_AHEAD_S) return null;
  return (
    `Event ${far.seq} is dated ${date(at_s)} ${clock(at_s, units)}, ${roughDuration(ahead_s)} ahead of this ` +
    `computer’s clock. Set the clock right, or take the event out: “annul ${far.seq} wrong clock”.`
  );
}

export interface AmissGiven {
  readonly log: ReadonlySignal<readonly LogEvent[]>;
  /** What of the log's end could not be read. */
  readonly unread: ReadonlySignal<LogGap | null>;
  readonly now_ms: ReadonlySignal<number>;
  readonly deskState: ReadonlySignal<DeskState>;
  readonly unlogged: ReadonlySignal<string | null>;
  readonly logTroubles: ReadonlySignal<readonly LogTrouble[]>;
  readonly units: ReadonlySignal<Units>;
}

export interface Amiss {
  /** A leap of the computer's clock that nobody has answered. */
  readonly leap: ReadonlySignal<LogEvent | null>;
  /** The newest thing that another program did to the log, or what the log lacks, and nobody has seen. */
  readonly logTrouble: ReadonlySignal<string | null>;
  /** Why no word may stand; null: nothing is wrong. */
  readonly amiss: ReadonlySignal<string | null>;
}

/** The strip says what happened; what to do stands in the notice. */
const firstSentence = (text: string): string => /^.*?[.](?= |$)/s.exec(text)?.[0] ?? text;

/** Where a gap stands in the file, and what else can be done. */
const TO_MEND = 'Problems says where. Mend the file and open it again, or go on with what is there.';

export function amissFrom({ log, unread, now_ms, deskState, unlogged, logTroubles, units }: AmissGiven): Amiss {
  const far = computed(() => farthest(log.value));
  const leap = computed(() => openLeap(log.value));
  const gaps = computed(() => [...gapsIn(log.value, Infinity), ...(unread.value === null ? [] : [unread.value])]);
  const logTrouble = computed(() => {
    const trouble = logTroubles.value.findLast(({ seen }) => !seen)?.text;
    return trouble ?? (gaps.value.length === 0 ? null : `${capital(gapWords(gaps.value))}. ${TO_MEND}`);
  });
  const amiss = computed(() => {
    const clockSays = clockAmiss(far.value, leap.value, { now_s: now_ms.value / 1000, units: units.value });
    const logSays = logTrouble.value === null ? null : firstSentence(logTrouble.value);
    return deskAmiss(deskState.value) ?? unlogged.value ?? logSays ?? clockSays;
  });
  return { leap, logTrouble, amiss };
}
