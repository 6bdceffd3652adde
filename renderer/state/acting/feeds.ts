// The feeds that bring winds by themselves: watched folders and station files. Each new wind becomes an event of the
// log and is said; what could not be read is said too, and the feed goes on.
import type { TrackFix } from '../../../core/winds/tracked.ts';
import type { DeskEvents, Outcome } from '../../../main/contract.ts';
import { appendAll, say } from './actions.ts';
import { readFeed } from './feedReading.ts';
import { nextReportId } from '../derived/reports.ts';
import type { Feed } from '../stored/reportsView.ts';
import type { Store } from '../derived/store.ts';

export async function watchPath(store: Store, path: string): Promise<void> {
  if (path.trim() === '') return say(store, 'Type the path of a folder or a station file to watch.', true);
  await watching(store, path, store.desk.call('feed/watch', path.trim()));
}

/** The host's own dialog; where it has none, the path is typed. */
export async function choosePath(store: Store, kind: 'folder' | 'file'): Promise<void> {
  await watching(store, null, store.desk.call('feed/choose', kind));
}

async function watching(
  store: Store,
  path: string | null,
  answer: Promise<Outcome<{ readonly watching: string }>>,
): Promise<void> {
  try {
    const outcome = await answer;
    if (!outcome.ok) return say(store, path === null ? outcome.why : `${path} is not watched: ${outcome.why}`, true);
    const real = outcome.value.watching;
    const feeds = store.reports.feeds.peek();
    if (feeds.some((feed) => feed.path === real)) return say(store, `${real} was watched already.`);
    const feed: Feed = {
      path: real,
      since_ms: store.now_ms.peek(),
      heard_ms: null,
      taken: 0,
      repeats: 0,
      said: 'Nothing new yet.',
      amiss: false,
    };
    store.reports.feeds.value = [...feeds, feed];
    say(store, `Watching ${real}: what is new in it from now on becomes a report.`);
  } catch (error) {
    say(store, `Not watched: ${error instanceof Error ? error.message : String(error)}`, true);
  }
}

export async function stopFeed(store: Store, path: string): Promise<void> {
  const outcome = await store.desk.call('feed/stop', path);
  // A restarted desk watches nothing: the feed is gone either way.
  store.reports.feeds.value = store.reports.feeds.peek().filter((feed) => feed.path !== path);
  say(store, outcome.ok ? `${path} is watched no longer.` : outcome.why, !outcome.ok);
}

/** The feed that a file belongs to: itself, or the folder it lies in. */
function feedOf(feeds: readonly Feed[], path: string): Feed | undefined {
  return (
    feeds.find((feed) => feed.path === path) ??
    feeds.find((feed) => path.startsWith(feed.path.replace(/[/\\]?$/, '/')) || path.startsWith(`${feed.path}\\`))
  );
}

/** Changes what is known of one feed, if it is still watched. */
function note(store: Store, path: string, change: (feed: Feed) => Feed): void {
  store.reports.feeds.value = store.reports.feeds.peek().map((feed) => (feed.path === path ? change(feed) : feed));
}

/** Listens to what the desk hears. Files are taken one after the other, in the order they came. Returns its own end. */
export function listenToFeeds(store: Store): () => void {
  const tracks = new Map<string, ReadonlyMap<string, readonly TrackFix[]>>();
  let last: Promise<void> = Promise.resolve();
  const offFile = store.desk.on('feed/file', (event) => {
    last = last
      .then(() => take(store, event, tracks))
      .catch((error: unknown) => {
        say(store, `${event.path}: ${error instanceof Error ? error.message : String(error)}`, true);
      });
  });
  const offTrouble = store.desk.on('feed/trouble', ({ path, why }) => {
    const feed = feedOf(store.reports.feeds.peek(), path);
    if (feed === undefined) return;
    note(store, feed.path, (one) => ({ ...one, said: why, amiss: true }));
    say(store, `${nameOf(path)}: ${why}`, true);
  });
  return () => {
    offFile();
    offTrouble();
  };
}

const nameOf = (path: string): string => path.split(/[/\\]/).at(-1) ?? path;

async function take(
  store: Store,
  event: DeskEvents['feed/file'],
  tracks: Map<string, ReadonlyMap<string, readonly TrackFix[]>>,
): Promise<void> {
  const { path, bytes, head } = event;
  const feed = feedOf(store.reports.feeds.peek(), path);
  const situation = store.situation.peek();
  // Another window's feed, or no mission to enter it into.
  if (feed === undefined || situation === null) return;
  const growing = feed.path === path;
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
  if (growing) tracks.set(path, read.fixes);
  const first = Number(nextReportId(situation.state.reports, 'f').slice(1));
  const events = read.reports.map((report, i) => ({ ...report, id: `f${first + i}` }));
  const entered = await appendAll(store, events);
  const said = saidOf(name, entered, read.repeats, read.problems, events);
  const amiss = entered === 0 && read.repeats === 0;
  note(store, feed.path, (one) => ({
    ...one,
    heard_ms: now_ms,
    taken: one.taken + entered,
    repeats: one.repeats + read.repeats,
    said,
    amiss,
  }));
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
