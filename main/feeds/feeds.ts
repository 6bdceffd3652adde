// All that brings something by itself, and belongs to the desk: folders and files that are watched for winds, links
// that bring fixes. A window may come and go. What was brought waits until a window has said that it was taken; a
// window that takes something and is gone leaves it to the next.
import { stat } from 'node:fs/promises';
import { isoOf } from '../../core/base/plainNumbers.ts';
import type { DeskEvents, FeedState, FeedTaken, NewFix } from '../contract.ts';
import { Trouble } from '../files/trouble.ts';
import { MAX_ATTACHED_BYTES } from '../limits.ts';
import { FixFeed } from './fixes.ts';
import { folderScan, growingScan, Watch, type Brought } from './scans.ts';

/** Files and lines that wait longer than this are the exception: station files grow once a minute. */
const POLL_ms = 1_000;
/** So long one window may be at what it took before another may take it. */
const LEASE_ms = 60_000;

type Told = 'feed/file' | 'feed/trouble' | 'feed/states';
export type Tell = <E extends Told>(name: E, event: DeskEvents[E]) => void;

/** What was brought and not taken. */
interface Waiting {
  readonly id: number;
  readonly feed: string;
  readonly brought: Brought;
  by: string | null;
  until_ms: number;
}

interface Entry {
  state: FeedState;
  readonly stop: () => Promise<void>;
}

export interface FeedsOptions {
  readonly poll_ms?: number | undefined;
  readonly now?: () => Date;
  /** Logs a fix; throws where it could not be logged. */
  readonly log?: (missionPath: string, fix: NewFix, at: string) => Promise<void>;
}

export class Feeds {
  readonly #feeds = new Map<string, Entry>();
  readonly #waiting = new Map<number, Waiting>();
  readonly #tell: Tell;
  readonly #poll_ms: number;
  readonly #now: () => Date;
  readonly #log: NonNullable<FeedsOptions['log']>;
  readonly #timer: NodeJS.Timeout;
  #nextId = 1;
  #isChanged = false;

  constructor(
    tell: Tell,
    { poll_ms = POLL_ms, now = () => new Date(), log = async () => undefined }: FeedsOptions = {},
  ) {
    this.#tell = tell;
    this.#poll_ms = poll_ms;
    this.#now = now;
    this.#log = log;
    this.#timer = setInterval(() => this.#look(), poll_ms);
    this.#timer.unref();
  }

  /** Tells what changed, a few times a second at most, and what a window took and left. */
  #look(): void {
    for (const one of this.#waiting.values()) if (one.by !== null && performance.now() > one.until_ms) this.#offer(one);
    if (this.#isChanged) this.#tell('feed/states', { feeds: this.states() });
    this.#isChanged = false;
  }

  states(): readonly FeedState[] {
    return [...this.#feeds.values()].map(({ state }) => ({
      ...state,
      waiting: [...this.#waiting.values()].filter(({ feed }) => feed === state.path).length,
    }));
  }

  #moment(): string {
    return isoOf(this.#now().getTime() / 1000);
  }

  #change(path: string, change: Partial<FeedState>): void {
    const entry = this.#feeds.get(path);
    if (entry === undefined) return;
    entry.state = { ...entry.state, ...change };
    this.#isChanged = true;
  }

  #begin(path: string, missionPath: string, body: string | null): FeedState {
    return {
      path,
      missionPath,
      body,
      link: body === null ? 'watching' : 'connecting',
      since: this.#moment(),
      heard: null,
      lastFix: null,
      perMinute: 0,
      taken: 0,
      repeats: 0,
      errors: 0,
      waiting: 0,
      said: 'Nothing new yet.',
      amiss: false,
    };
  }

  /**
   * Starts to watch a folder or file that exists, for a mission; a second watch of the same path changes nothing.
   * Throws what the system says.
   */
  async watch(path: string, missionPath: string): Promise<void> {
    const kind = await stat(path);
    if (!kind.isDirectory() && !kind.isFile()) throw new Trouble('is neither a folder nor a file');
    if (this.#feeds.has(path)) return;
    const hears = {
      bring: (brought: Brought) => this.#bring(path, brought),
      trouble: (file: string, why: string) => this.#trouble(path, file, why),
      hasRoom: () => this.#hasRoom(),
    };
    const scan = kind.isDirectory() ? folderScan(path, hears) : growingScan(path, hears);
    // The first look learns what is there already; it is done before the answer, so that what comes after the answer is
    // new.
    await scan();
    if (this.#feeds.has(path)) return;
    const watch = new Watch(path, scan, this.#poll_ms, (why) =>
      this.#trouble(path, path, `What is watched ${why}. It is looked at again and again.`),
    );
    this.#feeds.set(path, { state: this.#begin(path, missionPath, null), stop: () => watch.stop() });
    this.#isChanged = true;
  }

  /**
   * Follows a body by the lines of a link. Throws a sentence where it is not an address.
   *
   * now_ms  the mission's clock; left out: the computer's, ahead by what is wanted
   */
  follow(
    wanted: { readonly address: string; readonly body: string; readonly ahead_ms: number },
    missionPath: string,
    now_ms: () => number = () => this.#now().getTime() + wanted.ahead_ms,
  ): string {
    const path = wanted.address.trim();
    if (this.#feeds.has(path)) return path;
    const state = this.#begin(path, missionPath, wanted.body);
    const feed = new FixFeed(wanted, {
      now_ms,
      poll_ms: this.#poll_ms,
      heard: () => this.#change(path, { heard: this.#moment() }),
      change: (change) => this.#change(path, change),
      log: (fix, at) => this.#log(this.#feeds.get(path)?.state.missionPath ?? missionPath, fix, at),
    });
    this.#feeds.set(path, { state, stop: async () => feed.stop() });
    feed.start();
    this.#isChanged = true;
    return path;
  }

  #hasRoom(): boolean {
    let bytes = 0;
    for (const { brought } of this.#waiting.values()) bytes += brought.bytes.length;
    return bytes < MAX_ATTACHED_BYTES;
  }

  #trouble(feed: string, path: string, why: string): void {
    this.#change(feed, { said: why, amiss: true });
    this.#tell('feed/trouble', { path, why });
  }

  #bring(feed: string, brought: Brought): void {
    const one: Waiting = { id: this.#nextId, feed, brought, by: null, until_ms: 0 };
    this.#nextId += 1;
    this.#waiting.set(one.id, one);
    this.#change(feed, { heard: this.#moment() });
    this.#offer(one);
  }

  #offer(one: Waiting): void {
    const missionPath = this.#feeds.get(one.feed)?.state.missionPath;
    one.by = null;
    if (missionPath !== undefined) this.#tell('feed/file', { id: one.id, feed: one.feed, missionPath, ...one.brought });
  }

  /** A window is there, for the first time or again: what it had taken and whatever nobody took is offered. */
  greet(by: string): readonly FeedState[] {
    for (const one of this.#waiting.values()) if (one.by === null || one.by === by) this.#offer(one);
    return this.states();
  }

  /** Whether this window may take it: no other is at it. */
  take(id: number, by: string): boolean {
    const one = this.#waiting.get(id);
    if (one === undefined || (one.by !== null && one.by !== by)) return false;
    one.by = by;
    one.until_ms = performance.now() + LEASE_ms;
    return true;
  }

  /** It is in the log, or holds nothing for it. */
  taken(id: number, { entered, repeats, said, amiss }: FeedTaken): void {
    const one = this.#waiting.get(id);
    if (!this.#waiting.delete(id) || one === undefined) return;
    const state = this.#feeds.get(one.feed)?.state;
    if (state === undefined) return;
    this.#change(one.feed, { taken: state.taken + entered, repeats: state.repeats + repeats, said, amiss });
  }

  /** A mission goes on elsewhere: so does what it is fed. */
  moved(from: string, to: string): void {
    for (const [path, { state }] of this.#feeds)
      if (state.missionPath === from) this.#change(path, { missionPath: to });
  }

  /** False where the path was not watched. */
  async stop(path: string): Promise<boolean> {
    const entry = this.#feeds.get(path);
    this.#feeds.delete(path);
    for (const [id, { feed }] of this.#waiting) if (feed === path) this.#waiting.delete(id);
    await entry?.stop();
    this.#isChanged = true;
    return entry !== undefined;
  }

  async close(): Promise<void> {
    clearInterval(this.#timer);
    const entries = [...this.#feeds.values()];
    this.#feeds.clear();
    this.#waiting.clear();
    await Promise.all(entries.map(({ stop }) => stop()));
  }
}
