// A link that brings the fixes of one body: its lines become fixes of the log, one a second at most. What could not be
// logged waits and is logged later; what is no fix is counted, and the newest reason is said.
import { isoOf } from '../../core/base/plainNumbers.ts';
import { FixStream, type StreamFix, type StreamNews } from '../../core/formats/tracks/stream.ts';
import type { FeedState, NewFix } from '../contract.ts';
import { Trouble } from '../files/trouble.ts';
import { Link, linkAddress } from './links.ts';

/** A receiver may give ten a second; the log keeps one. */
const APART_S = 0.9;
/** A fix of another hour has a wrong clock, the receiver's or this computer's. */
const FAR_S = 3600;
/** Sentences of one moment come within this. */
const MOMENT_ms = 300;
/** What waits for a log that cannot be written: an hour of one body. */
const MOST_WAITING = 3600;
const RETRY_ms = 1000;
const MINUTE_S = 60;

export interface FixFeedHears {
  readonly now_ms: () => number;
  readonly poll_ms: number;
  readonly heard: () => void;
  readonly change: (change: Partial<FeedState>) => void;
  readonly log: (fix: NewFix, at: string) => Promise<void>;
}

export class FixFeed {
  readonly #body: string;
  readonly #address: Exclude<ReturnType<typeof linkAddress>, string>;
  /** Of several senders on one link, the one that counts; null: there must be one only. */
  readonly #sender: string | null;
  readonly #hears: FixFeedHears;
  readonly #stream = new FixStream();
  readonly #queue: { readonly fix: NewFix; readonly at: string }[] = [];
  readonly #came_s: number[] = [];
  #link: Link | null = null;
  #flushing: NodeJS.Timeout | undefined;
  #retrying: NodeJS.Timeout | undefined;
  #isLogging = false;
  #only: string | null = null;
  #last_s = -Infinity;
  #taken = 0;
  #repeats = 0;
  #errors = 0;

  constructor({ address, body }: { readonly address: string; readonly body: string }, hears: FixFeedHears) {
    const [place = '', sender] = address.trim().split('#');
    const read = linkAddress(place);
    if (typeof read === 'string') throw new Trouble(`is no feed: ${read}`);
    this.#address = read;
    this.#sender = sender === undefined || sender === '' ? null : sender;
    this.#body = body;
    this.#hears = hears;
  }

  start(): void {
    this.#link = new Link(
      this.#address,
      {
        line: (line) => this.#line(line),
        state: (link, why) => {
          const said = link === 'connected' ? 'Connected.' : why === '' ? 'Connecting…' : `The far end ${why}.`;
          this.#hears.change({ link, said, amiss: why !== '' });
        },
      },
      { poll_ms: this.#hears.poll_ms },
    );
  }

  stop(): void {
    this.#link?.stop();
    clearTimeout(this.#flushing);
    clearTimeout(this.#retrying);
  }

  #line(line: string): void {
    const now_s = this.#hears.now_ms() / 1000;
    this.#hears.heard();
    this.#news(this.#stream.take(line, now_s));
    clearTimeout(this.#flushing);
    this.#flushing = setTimeout(() => this.#news(this.#stream.flush(this.#hears.now_ms() / 1000)), MOMENT_ms);
    this.#flushing.unref();
  }

  #news({ fixes, bad, problem }: StreamNews): void {
    if (bad > 0) this.#wrong(bad, problem ?? 'a line that cannot be read');
    for (const fix of fixes) this.#fix(fix);
    void this.#pump();
  }

  #wrong(count: number, why: string): void {
    this.#errors += count;
    this.#hears.change({ errors: this.#errors, said: `Left out: ${why}.`, amiss: true });
  }

  #fix({ sender, time_s, position, height_m }: StreamFix): void {
    if (this.#sender !== null && sender !== this.#sender) return;
    this.#only ??= sender;
    if (sender !== this.#only)
      return this.#wrong(1, `${sender} sends here as well as ${this.#only}; say which after the address: #${sender}`);
    const now_s = this.#hears.now_ms() / 1000;
    if (!(Math.abs(time_s - now_s) <= FAR_S))
      return this.#wrong(1, `a fix of ${isoOf(Math.floor(time_s))}: the receiver’s clock or this computer’s is wrong`);
    this.#came_s.push(now_s);
    while ((this.#came_s[0] ?? now_s) < now_s - MINUTE_S) this.#came_s.shift();
    const lastFix = { at: isoOf(Math.floor(time_s)), position, height_m };
    this.#hears.change({ perMinute: this.#came_s.length, lastFix, said: 'Fixes come.', amiss: false });
    if (time_s < this.#last_s + APART_S) {
      this.#repeats += 1;
      return;
    }
    this.#last_s = time_s;
    const observedAt = isoOf(time_s);
    const height = height_m === null ? {} : { height_m: Math.round(height_m * 10) / 10 };
    const fix: NewFix = { kind: 'fix', body: this.#body, position, ...height, observedAt };
    this.#queue.push({ fix, at: isoOf(Math.floor(now_s)) });
    if (this.#queue.length > MOST_WAITING) {
      this.#queue.shift();
      this.#wrong(1, 'the log takes nothing, and the oldest fix that waited was given up');
    }
  }

  async #pump(): Promise<void> {
    if (this.#isLogging) return;
    this.#isLogging = true;
    try {
      for (let next = this.#queue[0]; next !== undefined; next = this.#queue[0]) {
        await this.#hears.log(next.fix, next.at);
        this.#queue.shift();
        this.#taken += 1;
        this.#hears.change({ taken: this.#taken, repeats: this.#repeats });
      }
    } catch (error) {
      const why = error instanceof Error ? error.message : String(error);
      this.#hears.change({ said: `Not logged yet, ${this.#queue.length} wait: ${why}`, amiss: true });
      this.#retrying = setTimeout(() => void this.#pump(), RETRY_ms);
      this.#retrying.unref();
    } finally {
      this.#isLogging = false;
    }
  }
}
