// The feeds that bring winds by themselves: watched folders and station files. Each new wind becomes an event of the
// log and is said; what could not be read is said too, and the feed goes on.
import { effect } from '@preact/signals';
import { nextReportId } from '../../../core/log/fold.ts';
import type { TrackFix } from '../../../core/winds/tracked.ts';
import type { DeskEvents, FeedState, Outcome } from '../../../main/contract.ts';
import { appendAll, say } from './actions.ts';
import { readFeed } from './feedReading.ts';
import type { Store } from '../derived/store.ts';
import { feedsKept, keepFeeds, sameFeed, type KeptFeed } from '../stored/feedsKept.ts';

export async function watchPath(store: Store, path: string): Promise<void> {
  if (path.trim() === '') return say(store, 'Type the path of a folder or a station file to watch.', true);
  await watching(store, path, (mission) => store.desk.call('feed/watch', path.trim(), mission));
}

/** The host's own dialog; where it has none, the path is typed. */
export async function choosePath(store: Store, kind: 'folder' | 'file'): Promise<void> {
  await watching(store, null, (mission) => store.desk.call('feed/choose', kind, mission));
}

/** Follows a body by a link: `tcp://HOST:PORT`, `udp://HOST:PORT`, a growing file or a device. */
export async function followBody(store: Store, body: string, address: string): Promise<void> {
  if (address.trim() === '') return say(store, 'Type where the fixes come from, such as tcp://127.0.0.1:2947.', true);
  const wanted = { body, address: address.trim(), ahead_ms: store.ownClock_ms.peek() };
  await watching(store, address, (mission) => store.desk.call('feed/follow', wanted, mission));
}

async function watching(
  store: Store,
  path: string | null,
  ask: (missionPath: string) => Promise<Outcome<{ readonly watching: string }>>,
): Promise<void> {
  const mission = store.file.peek()?.path;
  if (mission === undefined) return say(store, 'Open a mission first; a feed belongs to one.', true);
  try {
    const known = new Set(store.reports.feeds.peek().map((feed) => feed.path));
    const outcome = await ask(mission);
    if (!outcome.ok) return say(store, path === null ? outcome.why : `${path} is not watched: ${outcome.why}`, true);
    const real = outcome.value.watching;
    await listFeeds(store);
    if (known.has(real)) return say(store, `${real} was watched already.`);
    say(store, `Watching ${real}: what is new in it from now on becomes a report.`);
  } catch (error) {
    say(store, `Not watched: ${error instanceof Error ? error.message : String(error)}`, true);
  }
}

export async function stopFeed(store: Store, path: string): Promise<void> {
  const feed = store.reports.feeds.peek().find((one) => one.path === path);
  const outcome = await store.desk.call('feed/stop', path);
  if (outcome.ok && feed !== undefined) forgetFeed(store, feed);
  await listFeeds(store);
  say(store, outcome.ok ? `${path} is watched no longer.` : outcome.why, !outcome.ok);
}

/** Switches a feed on that was on before the desk was started again: as a new one, with all that is asked of one. */
export const switchOn = (store: Store, { path, body }: KeptFeed): Promise<void> =>
  body === null ? watchPath(store, path) : followBody(store, body, path);

export function forgetFeed(store: Store, feed: KeptFeed): void {
  store.reports.feedsKept.value = keepFeeds(store.kept, [], [feed]);
}

/** The feeds of the mission that are off: the desk that had them was started again. */
export function feedsOff({ file, reports }: Pick<Store, 'file' | 'reports'>): readonly KeptFeed[] {
  const path = file.value?.path;
  const on = reports.feeds.value;
  return reports.feedsKept.value.filter(
    (one) => one.missionPath === path && !on.some((other) => other.path === one.path),
  );
}

/** What the desk says of its feeds; those of the mission are kept for the day on which it is started again. */
function heardOf(store: Store, feeds: readonly FeedState[]): void {
  const { reports, kept, file } = store;
  reports.feeds.value = feeds;
  const known = feedsKept(kept);
  // A rehearsal's feeds end with it: there is nothing to switch on another day.
  if (store.mission.peek()?.rehearsal === true) return void (reports.feedsKept.value = known);
  const fresh = feeds.filter(
    (feed) => feed.missionPath === file.peek()?.path && !known.some((one) => sameFeed(one, feed)),
  );
  const words = fresh.map(({ path, missionPath, body }): KeptFeed => ({ path, missionPath, body }));
  reports.feedsKept.value = words.length === 0 ? known : keepFeeds(kept, words, []);
}

const WINDOW_KEY = 'plumbline.window';
let name: string | null = null;

/** This window's name for the desk: what it took before a reload is brought to it again. */
function windowName(): string {
  if (name !== null) return name;
  const made = Array.from(crypto.getRandomValues(new Uint8Array(12)), (byte) => byte.toString(16)).join('');
  try {
    name = window.sessionStorage.getItem(WINDOW_KEY) ?? made;
    window.sessionStorage.setItem(WINDOW_KEY, name);
  } catch {
    // A page that is denied its storage gets what it took once the desk gives up waiting.
    name = made;
  }
  return name;
}

/** Asks the desk for its feeds; what it brought and nobody took comes again. */
export async function listFeeds(store: Store): Promise<void> {
  heardOf(store, await store.desk.call('feed/list', windowName()));
}

/** Listens to what the desk hears. Files are taken one after the other, in the order they came. Returns its own end. */
export function listenToFeeds(store: Store): () => void {
  const tracks = new Map<string, ReadonlyMap<string, readonly TrackFix[]>>();
  const begun = new Set<number>();
  let last: Promise<void> = Promise.resolve();
  const ends = [
    store.desk.on('feed/states', ({ feeds }) => heardOf(store, feeds)),
    store.desk.on('feed/file', (event) => {
      if (begun.has(event.id) || event.missionPath !== store.file.peek()?.path) return;
      begun.add(event.id);
      last = last
        .then(() => take(store, event, tracks))
        .catch((error: unknown) => {
          say(store, `${event.path}: ${error instanceof Error ? error.message : String(error)}`, true);
        })
        .finally(() => void begun.delete(event.id));
    }),
    store.desk.on('feed/trouble', ({ path, why }) => say(store, `${nameOf(path)}: ${why}`, true)),
    // At the start, after every lost connection, and where another mission was opened.
    effect(() => {
      const [state, path] = [store.deskState.value, store.file.value?.path];
      if (state === 'connected' && path !== undefined) void listFeeds(store).catch(() => undefined);
    }),
  ];
  return () => {
    for (const end of ends) end();
  };
}

const nameOf = (path: string): string => path.split(/[/\\]/).at(-1) ?? path;

async function take(
  store: Store,
  event: DeskEvents['feed/file'],
  tracks: Map<string, ReadonlyMap<string, readonly TrackFix[]>>,
): Promise<void> {
  const { id, path, bytes, head } = event;
  const situation = store.situation.peek();
  if (situation === null) return;
  const mine = await store.desk.call('feed/take', id, windowName());
  if (!mine.ok) return;
  const growing = event.feed === path;
  const name = nameOf(path);
  const now_ms = store.now_ms.peek();
  const read = await readFeed(
    { name, bytes, head, growing },
    {
      now_s: Math.floor(now_ms / 1000),
      site: situation.mission.site.position,
      errors: situation.winds.errors,
      reports: situation.state.reports,
      fixes: (growing ? tracks.get(path) : undefined) ?? new Map(),
    },
  );
  const first = Number(nextReportId(situation.state.reports, 'f').slice(1));
  const events = read.reports.map((report, i) => ({ ...report, id: `f${first + i}` }));
  const entered = await appendAll(store, events);
  const said = saidOf(name, entered, read.repeats, read.problems, events);
  const amiss = entered === 0 && read.repeats === 0;
  // What could not be logged is not taken: the desk brings it again.
  if (entered < events.length) return;
  const what = { entered, repeats: read.repeats, said, amiss };
  const taken = await store.desk.call('feed/taken', id, what);
  if (taken.ok && growing) tracks.set(path, read.fixes);
  // What moved is said by itself; a feed that brought nothing must be heard as well.
  if (entered !== 1) say(store, said, amiss);
}

function saidOf(
  name: string,
  entered: number,
  repeats: number,
  problems: readonly string[],
  events: readonly { readonly id: string; readonly by?: string | undefined }[],
): string {
  const [only] = events;
  const last = events.at(-1);
  const range = events.length > 1 ? `${only?.id ?? ''} to ${last?.id ?? ''}` : (only?.id ?? '');
  const parts = [
    entered === 0
      ? `${name}: no new wind`
      : entered === 1
        ? `${name}: one wind of ${only?.by ?? 'a station'} entered as ${range}`
        : `${name}: ${entered} winds entered, ${range}`,
  ];
  if (repeats > 0) parts.push(`${repeats} ${repeats === 1 ? 'was' : 'were'} in the log already`);
  if (problems[0] !== undefined)
    parts.push(problems.length > 1 ? `${problems[0]}, and ${problems.length - 1} more` : problems[0]);
  return `${parts.join('; ')}.`;
}
