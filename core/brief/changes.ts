// What changed between a crew's version and the current one, and which version each crew holds. In the log a crew's
// acknowledgement is an event of kind `check` with the item "brief v17" (by the crew), or a `call` by the crew whose
// text names "brief v17" or "brief version 17". The newest of a crew counts, whatever its number.
import { isReadBack, type LogEvent } from '../log/events.ts';
import { timeOf } from '../log/fate.ts';
import { never } from '../base/problem.ts';
import { itemsOf, type Brief, type BriefItem, type RadioLine } from './model.ts';
import { breaths } from '../words/spoken.ts';
import { sayVersion } from './radio.ts';

export type Change =
  | { readonly kind: 'changed'; readonly key: string; readonly now: BriefItem; readonly was: BriefItem }
  | { readonly kind: 'new'; readonly key: string; readonly now: BriefItem }
  | { readonly kind: 'gone'; readonly key: string; readonly was: BriefItem };

/**
 * Line by line, in the order of the newer brief, lines that are gone last. Two lines are the same where their texts
 * are.
 */
export function changesBetween(
  held: Pick<Brief, 'sections' | 'crews'>,
  now: Pick<Brief, 'sections' | 'crews'>,
): Change[] {
  const before = itemsOf(held);
  const after = itemsOf(now);
  const changes: Change[] = [];
  for (const [key, item] of after) {
    const was = before.get(key);
    if (was === undefined) changes.push({ kind: 'new', key, now: item });
    else if (was.text !== item.text || was.label !== item.label) changes.push({ kind: 'changed', key, now: item, was });
  }
  for (const [key, was] of before) if (!after.has(key)) changes.push({ kind: 'gone', key, was });
  return changes;
}

/** Changes by key, as the pages mark them. `since`: what the reader holds, in words. */
export interface Marks {
  readonly since: string;
  readonly changes: ReadonlyMap<string, Change>;
}

export const marksOf = (since: string, changes: readonly Change[]): Marks => ({
  since,
  changes: new Map(changes.map((change) => [change.key, change])),
});

export interface Acknowledged {
  readonly crew: string;
  readonly version: number;
  /** Of the crew's page, as it was read back; null where the log has none. */
  readonly identity: string | null;
  readonly at_s: number;
  readonly seq: number;
}

const ITEM = /^\s*brief\s+v(?:ersion)?\s*(\d+)(?:\s+([A-Z2-9]{4}))?\s*$/i;
const SAID = /\bbrief\s+v(?:ersion)?\s*(\d+)(?:\s+([A-Z2-9]{4}))?\b/i;

/** What each crew acknowledged last, by crew name, at a moment. Names are compared without regard to case. */
export function acknowledged(
  log: readonly LogEvent[],
  at_s: number,
  crews: readonly string[],
): Map<string, Acknowledged> {
  const found = new Map<string, Acknowledged>();
  for (const event of log) {
    const time_s = timeOf(event.at);
    if (!(time_s <= at_s) || (event.kind !== 'check' && event.kind !== 'call') || event.by === undefined) continue;
    const by = event.by.trim().toLowerCase();
    const crew = crews.find((name) => name.toLowerCase() === by);
    // An item of the lead's own lists acknowledges no brief, whatever its name.
    if (event.kind === 'check' && (event.list !== undefined || !isReadBack(event))) continue;
    const match = event.kind === 'check' ? ITEM.exec(event.item) : SAID.exec(event.text);
    if (crew === undefined || match === null) continue;
    const before = found.get(crew);
    if (before === undefined || event.seq >= before.seq)
      found.set(crew, {
        crew,
        version: Number(match[1]),
        identity: match[2]?.toUpperCase() ?? null,
        at_s: time_s,
        seq: event.seq,
      });
  }
  return found;
}

/** The item that a crew's acknowledgement of a version carries in the log. */
export const acknowledgementItem = (version: number, identity: string): string => `brief v${version} ${identity}`;

export type Holds =
  | { readonly kind: 'current' }
  | { readonly kind: 'behind'; readonly version: number }
  | { readonly kind: 'none' }
  /** This version's number, but the crew's page has changed since, or was never compared. */
  | { readonly kind: 'other content'; readonly version: number }
  /** A version that this log does not have yet: another log, or a slip of the tongue. */
  | { readonly kind: 'unknown version'; readonly version: number };

/**
 * `identity`: of the crew's page as it is now. A page that is the same needs no new reading back, whatever its number.
 */
export function holdsOf(found: Acknowledged | undefined, current: number, identity: string): Holds {
  if (found === undefined) return { kind: 'none' };
  if (found.identity === identity && found.version <= current) return { kind: 'current' };
  if (found.version === current) return { kind: 'other content', version: current };
  return found.version < current
    ? { kind: 'behind', version: found.version }
    : { kind: 'unknown version', version: found.version };
}

/** "Kite holds version 5; this is version 7." */
export function holdsWords(crew: string, holds: Holds, current: number): string {
  switch (holds.kind) {
    case 'current':
      return `${crew} has acknowledged its page as it is.`;
    case 'behind':
      return `${crew} holds version ${holds.version}; this is version ${current}.`;
    case 'other content':
      return `${crew} acknowledged version ${holds.version}, but its page has changed since: it must read back again.`;
    case 'none':
      return `${crew} has acknowledged no version.`;
    case 'unknown version':
      return `${crew} acknowledged version ${holds.version}, which this log does not have; this is version ${current}.`;
    default:
      return never(holds);
  }
}

/**
 * What is read aloud to those who hold an older version: only the lines that changed, as corrections to be read back.
 */
export function radioCorrections(now: Brief, held: Pick<Brief, 'head' | 'radio'>): RadioLine[] {
  const before = new Set(held.radio.map((line) => line.text));
  const keys = new Set(
    now.radio
      .filter((line) => line.key !== 'version' && !line.readBack && !before.has(line.text))
      .map((line) => line.key),
  );
  const { number } = now.head.version;
  const open = breaths([
    'All crews, this is lead.',
    `CORRECTION, ${sayVersion(number)} replaces version ${spokenNumber(held.head.version.number)}.`,
  ]);
  const seen = new Set<string>();
  const corrected = now.radio
    .filter((line) => keys.has(line.key) && !line.readBack)
    .flatMap(({ key, text }): RadioLine[] => {
      const phrases = seen.has(key) ? [text] : ['CORRECTION.', text];
      seen.add(key);
      return breaths(phrases).map((breath) => ({ key, text: breath, readBack: false }));
    });
  return [
    ...open.map((text): RadioLine => ({ key: 'version', text, readBack: false })),
    ...(corrected.length === 0
      ? [{ key: 'version', text: 'Nothing that is read aloud has changed.', readBack: false }]
      : corrected),
    { key: 'version', text: `READ BACK ${sayVersion(number)}.`, readBack: true },
  ];
}

const spokenNumber = (version: number): string => sayVersion(version).replace('brief version ', '');
