// Which feeds a mission had, kept by the browser: once the desk was started again each of them is shown as off. Only
// words are kept here; a feed is switched on by a person, through the same call and the same checks as a new one.
import type { Kept } from './view.ts';

const KEY = 'plumbline/feeds/1';
/** The newest ones, of all missions. */
const MOST = 50;

export interface KeptFeed {
  /** What was watched, or the address of a link. */
  readonly path: string;
  readonly missionPath: string;
  /** Whose fixes it brought; null: winds. */
  readonly body: string | null;
}

const isKeptFeed = (one: unknown): one is KeptFeed =>
  typeof one === 'object' &&
  one !== null &&
  'path' in one &&
  typeof one.path === 'string' &&
  'missionPath' in one &&
  typeof one.missionPath === 'string' &&
  'body' in one &&
  (one.body === null || typeof one.body === 'string');

export function feedsKept(kept: Kept | null): readonly KeptFeed[] {
  try {
    const value: unknown = JSON.parse(kept?.getItem(KEY) ?? '[]');
    return Array.isArray(value) ? value.filter(isKeptFeed) : [];
  } catch {
    return [];
  }
}

export const sameFeed = (a: KeptFeed, b: KeptFeed): boolean => a.path === b.path && a.missionPath === b.missionPath;

/** Takes feeds out and puts others in, beside what another window keeps there. Answers what is kept now. */
export function keepFeeds(
  kept: Kept | null,
  more: readonly KeptFeed[],
  less: readonly KeptFeed[],
): readonly KeptFeed[] {
  const rest = feedsKept(kept).filter((one) => ![...more, ...less].some((other) => sameFeed(one, other)));
  const now = [...rest, ...more].slice(-MOST);
  try {
    kept?.setItem(KEY, JSON.stringify(now));
  } catch {
    // A browser that keeps nothing shows no feeds after a restart.
  }
  return now;
}
