// The log beside a mission, `*.log.jsonl`: one event per line, only ever appended to (FORMAT.md "The log").
// Reading is patient: a line that cannot be used is named with its reason, and every other line counts.
import { plainData, plainText } from '../base/plainText.ts';
import type { Problem, Read } from '../base/problem.ts';
import { isDeeper } from '../base/depth.ts';
import { Chain } from './chain.ts';
import { logEvent, type LogEvent } from './events.ts';
import type { LogGap } from './gaps.ts';

/** A log's events, and what could not be read behind the last of them: whole lines that carry a later number. */
export interface ReadLog extends Read<LogEvent[]> {
  readonly unread: LogGap | null;
}

function seqIn(line: string): number | null {
  const said = /"seq"\s*:\s*(\d{1,15})(?!\d)/.exec(line)?.[1];
  return said === undefined ? null : Number(said);
}

/**
 * The number that a line took, whether or not it can be read; null where it has none, or was torn before its brace:
 * nobody was told of it, and the number was given again.
 */
export const numberOf = (line: string): number | null => (line.trimEnd().endsWith('}') ? seqIn(line) : null);

/** The longest event that the window writes has 2 kB; a call or a note can be long. */
export const EVENT_LENGTH_MAX = 64_000;
/** A position lies three deep. */
export const EVENT_DEPTH_MAX = 16;
const KINDS: ReadonlySet<string> = new Set(logEvent.options.map((option) => option.shape.kind.value));
/** More problems than this are counted, not listed: a binary file would fill the screen. */
const MOST_PROBLEMS = 200;

/**
 * The events of a log in order of `seq`, each once.
 *
 * Legal:   any of the kinds in `core/log/events.ts`, unknown keys (kept), empty lines, CRLF, a byte order mark
 * Not:     a line that is not a JSON object (torn by a crash: the last one, or one in the middle that was written
 *          over), a kind that this version does not know, a missing or misread key, a time that is not ISO 8601 UTC, a
 *          `seq` used before with other content (the first counts). A gap in `seq`, a clock that went back, and a hash
 *          that does not fit (`chain.ts`) are said; the events count.
 */
export function readLog(text: string): ReadLog {
  const problems: Problem[] = [];
  const events: { event: LogEvent; line: number }[] = [];
  const seen = new Map<number, string>();
  const unread = new Set<number>();
  /** The largest number that such a line took. */
  let lastUnread = -1;
  const lines = text.split('\n');
  const chain = new Chain();
  lines.forEach((raw, i) => {
    const line = i + 1;
    const content = (i === 0 ? raw.replace(/^\uFEFF/, '') : raw).trim();
    if (content === '') return;
    const broken = chain.broken(content);
    const answer = readLine(content, line === lines.length && !text.endsWith('\n'));
    if (typeof answer === 'string') {
      problems.push({ line, text: answer });
      const seq = seqIn(content);
      if (seq !== null) unread.add(seq);
      lastUnread = Math.max(lastUnread, numberOf(content) ?? -1);
      return;
    }
    if (broken !== null) problems.push({ line, text: `${broken}; it counts, so check what it says` });
    const before = seen.get(answer.seq);
    if (before === undefined) {
      seen.set(answer.seq, content);
      events.push({ event: answer, line });
    } else if (before !== content) {
      problems.push({
        line,
        text: `seq ${answer.seq} occurred before with other content; the first one counts, this line does not`,
      });
    } else problems.push({ line, text: `seq ${answer.seq} stands here a second time, word for word; it counts once` });
  });
  events.sort((a, b) => a.event.seq - b.event.seq || a.line - b.line);
  problems.push(...orderProblems(events, unread));
  const last = events.at(-1)?.event.seq;
  const first = last === undefined ? Math.min(...unread) : last + 1;
  return {
    value: events.map((one) => one.event),
    problems: bounded(problems),
    unread: lastUnread >= first ? { first, last: lastUnread } : null,
  };
}

function readLine(content: string, torn: boolean): LogEvent | string {
  if (content.length > EVENT_LENGTH_MAX)
    return `the line has ${content.length} characters; an event has ${EVENT_LENGTH_MAX} at most`;
  let parsed: unknown;
  try {
    parsed = JSON.parse(content);
  } catch {
    return torn
      ? 'the last line is torn (no JSON, no line end): it was being written when the program stopped; expected ' +
          'a whole event'
      : `no JSON: ${excerpt(content)}; expected one event, such as ` +
          '{"seq":12,"at":"2026-03-14T06:00:00Z","kind":"note","text":"…"}';
  }
  if (typeof parsed !== 'object' || parsed === null || Array.isArray(parsed))
    return `found ${excerpt(content)}; expected one event in braces`;
  if (isDeeper(parsed, EVENT_DEPTH_MAX))
    return `lists or objects lie more than ${EVENT_DEPTH_MAX} deep; an event has no such keys`;
  const kind = 'kind' in parsed ? parsed.kind : undefined;
  if (typeof kind !== 'string') return 'no "kind"; expected one of ' + [...KINDS].join(', ');
  if (!KINDS.has(kind))
    return `kind "${kind.slice(0, 40)}" is not known to this version; the line is kept and does not count`;
  const result = logEvent.safeParse(parsed);
  if (result.success) {
    if (Date.parse(result.data.at) === Date.parse(result.data.at)) return withoutChain(plainData(result.data));
    return `at: "${result.data.at}" is not a day of the calendar; expected an ISO 8601 time in UTC`;
  }
  const issue = result.error.issues[0];
  const where = issue === undefined || issue.path.length === 0 ? '' : `${issue.path.join('.')}: `;
  return `${kind}, ${where}${issue?.message ?? 'not as expected'}${found(parsed, issue?.path)}`;
}

/** The event without the hash that ties its line to the others. */
function withoutChain(event: LogEvent): LogEvent {
  if (!('chain' in event) && !('v' in event)) return event;
  const { chain: _chain, v: _v, ...rest } = event;
  return rest;
}

/** What stood where something else was expected: `; found "yesterday"`. */
function found(parsed: object, path: readonly PropertyKey[] | undefined): string {
  if (path === undefined || path.length === 0) return '';
  let value: unknown = parsed;
  for (const key of path) {
    if (typeof value !== 'object' || value === null || !Object.hasOwn(value, key)) return '; it is missing';
    value = Object.entries(value).find(([name]) => name === String(key))?.[1];
  }
  // Only short values are shown: a nested one could overflow the stack.
  const shown =
    typeof value === 'string'
      ? `"${excerpt(value)}"`
      : typeof value === 'number'
        ? String(value)
        : 'a list, an object or a word';
  return `; found ${shown}`;
}

const excerpt = (content: string): string => {
  const plain = plainText(content);
  return plain.length > 60 ? `${plain.slice(0, 57)}…` : plain;
};

/** Gaps in `seq`, and a clock that went back: named at the line after the gap. */
function orderProblems(events: readonly { event: LogEvent; line: number }[], unread: ReadonlySet<number>): Problem[] {
  const problems: Problem[] = [];
  let before: { seq: number; time: number } | null = null;
  for (const { event, line } of events) {
    const time = Date.parse(event.at);
    if (before !== null) {
      const missing = event.seq - before.seq - 1;
      if (missing > 0) {
        const range =
          missing === 1 ? `seq ${event.seq - 1} is missing` : `seq ${before.seq + 1} to ${event.seq - 1} are missing`;
        let named = 0;
        for (const seq of unread) if (seq > before.seq && seq < event.seq) named += 1;
        problems.push({
          line,
          text: named === missing ? `${range}: not readable, see above` : `${range}; what is here counts`,
        });
      }
      // Events that were asked for at once differ by milliseconds.
      const back = Math.round((before.time - time) / 1000);
      if (back >= 1) {
        problems.push({
          line,
          text: `the clock went back ${back} s between seq ${before.seq} and ${event.seq}; both count, in order of seq`,
        });
      }
    }
    before = { seq: event.seq, time };
  }
  return problems;
}

function bounded(problems: readonly Problem[]): Problem[] {
  if (problems.length <= MOST_PROBLEMS) return [...problems];
  const rest = problems.length - MOST_PROBLEMS;
  return [...problems.slice(0, MOST_PROBLEMS), { line: 0, text: `and ${rest} more problems of this kind` }];
}

/** The event of one line that another program wrote, or why it is not one. */
export const lineRead = (line: string): LogEvent | string => readLine(line.trim(), false);

/** The event of one line that another program wrote; null if it is not one. */
export function eventOfLine(line: string): LogEvent | null {
  const answer = lineRead(line);
  return typeof answer === 'string' ? null : answer;
}
