// The border between the window and the desk behind it: one typed map of calls, one of events, and how both travel as
// messages. Both hosts (Electron over IPC, the loopback browser host over a WebSocket) and both sides derive from it.
// Plain data only; nothing is imported at run time, so the preload and the window carry it whole. The guards stand in
// `main/guards.ts`.
import type { LonLat } from '../core/base/units.ts';
import type { LogEvent, NewEvent } from '../core/log/events.ts';
import type { InstructorAct } from '../core/rehearsal/acts.ts';
import type { Score } from '../core/rehearsal/score.ts';
import type { ScoredRun } from '../core/rehearsal/scoreText.ts';

/** One wind, terrain or road file, and one export: a forecast of 100 MB and a little more. */
export const MAX_FILE_BYTES = 128_000_000;

/** A file beside the mission that the plan names (winds, terrain, roads), or that a person dropped. */
export interface Attachment {
  readonly name: string;
  readonly bytes: Uint8Array;
}

/** A mission as it lies on the disk, unparsed: parsing is the core's work, in the window. */
export interface OpenedMission {
  readonly path: string;
  readonly planText: string;
  readonly logText: string;
  readonly attachments: readonly Attachment[];
  /** Files that the plan names and that could not be read, a sentence each. */
  readonly problems: readonly string[];
  /** Of the plan as it was read: a save says what it is based on. */
  readonly digest: string;
}

export interface DemoMission {
  readonly path: string;
  readonly title: string;
  readonly text: string;
}

/**
 * Where a save went. `note` says what a person would want to know: that a demo became a copy, that another program's
 * version was kept.
 */
export interface Saved {
  readonly path: string;
  readonly savedAt: string;
  /** Of the plan as it was written: what the next save is based on. */
  readonly digest: string;
  readonly note?: string;
}

export interface About {
  readonly host: 'electron' | 'browser';
  readonly version: string;
  /** Whether `export/pdf` can work here. */
  readonly pdf: boolean;
  /** Whether `mission/choose` and `feed/choose` have a dialog to show; where not, a person types a path. */
  readonly dialogs: boolean;
  /** The mission named at the start of the program; null: none, and the window opens the first demo. */
  readonly mission: string | null;
}

/** A body and the link that follows it. */
export interface FollowWanted {
  /**
   * `tcp://HOST:PORT`, `udp://HOST:PORT`, a growing file or a device; `#NAME` behind it: of several senders that one.
   */
  readonly address: string;
  /** As the log names it: jumper, gondola, envelope, a crew. */
  readonly body: string;
  /** How far the mission's own clock is ahead of the computer's, ms. */
  readonly ahead_ms: number;
}

/** A feed as the desk has it; times are the desk's, ISO 8601 UTC. */
export interface FeedState {
  /** The real path of what is watched, or the address of a link. */
  readonly path: string;
  readonly missionPath: string;
  /** Whose fixes it brings; null: winds. */
  readonly body: string | null;
  readonly link: 'watching' | 'connecting' | 'connected' | 'waiting' | 'ended';
  readonly since: string;
  /** When it last brought anything; null: not yet. */
  readonly heard: string | null;
  readonly lastFix: { readonly at: string; readonly position: LonLat; readonly height_m: number | null } | null;
  /** Fixes of the last minute. */
  readonly perMinute: number;
  /** Events entered into the log. */
  readonly taken: number;
  readonly repeats: number;
  /** Lines that could not be used. */
  readonly errors: number;
  /** Brought, and not yet taken by a window. */
  readonly waiting: number;
  /** What it last brought, or what is wrong with it. */
  readonly said: string;
  readonly amiss: boolean;
}

/** What a window made of what was brought. */
export interface FeedTaken {
  readonly entered: number;
  readonly repeats: number;
  readonly said: string;
  readonly amiss: boolean;
}

export type NewFix = Extract<NewEvent, { kind: 'fix' }>;

/** What is known of the computer's own clock. */
export interface HostClock {
  /** How far local time is ahead of UTC, minutes. */
  readonly offset_min: number;
  /** When the network last set it; null: nothing says so. */
  readonly setAt: string | null;
}

/** A scenario that can be rehearsed, and what it trains. */
export interface RehearsalOffered {
  readonly name: string;
  readonly trains: string;
}

export interface RehearsalWanted {
  /** One of those that are offered, or `any`: by the seed, and nobody is told which. */
  readonly scenario: string;
  readonly seed: number;
  /** Seconds of the rehearsal in one on the wall. */
  readonly speed: number;
  /** The plan as it stands in the window, saved or not. */
  readonly planText: string;
}

/** What can be done to a rehearsal that is there. Crews are told by `order`. */
export type RehearsalDeed =
  | { readonly kind: 'go on' }
  | { readonly kind: 'pause' }
  | { readonly kind: 'speed'; readonly speed: number }
  | { readonly kind: 'stop' }
  | { readonly kind: 'order'; readonly order: 'say again' | 'go'; readonly crew: string }
  | { readonly kind: 'act'; readonly act: InstructorAct };

/** What somebody said on the radio; times s since 1970, by the rehearsal's clock. */
export interface RehearsalHeard {
  readonly at_s: number;
  /** Null: somebody at the site. */
  readonly by: string | null;
  readonly text: string;
}

/** The rehearsal that this desk has; it has one at most. */
export interface RehearsalState {
  /** Of its copy. */
  readonly missionPath: string;
  readonly stage: 'ready' | 'running' | 'paused' | 'scoring' | 'over';
  readonly speed: number;
  /** Its clock when this was said, s since 1970. */
  readonly at_s: number;
  /** As it was asked for: `any` stays `any` until the score. */
  readonly scenario: string;
  readonly seed: number;
  readonly heard: readonly RehearsalHeard[];
  readonly crews: readonly string[];
  /** What only the instructor should look at. */
  readonly instructor: {
    readonly scenario: string;
    readonly notes: string;
    readonly bodies: readonly string[];
    /** Of which no fixes come, by an act. */
    readonly silent: readonly string[];
    readonly acts: ScoredRun['acts'];
  };
  readonly score: { readonly run: ScoredRun; readonly score: Score } | null;
  /** Why there is no score. */
  readonly trouble: string | null;
}

export type Outcome<T> = { readonly ok: true; readonly value: T } | { readonly ok: false; readonly why: string };

/**
 * What the window may ask of the desk. Expected failures are answers (`ok: false` with a sentence), never exceptions.
 */
export interface DeskCalls {
  'mission/demos': () => Promise<readonly DemoMission[]>;
  'mission/open': (path: string) => Promise<Outcome<OpenedMission>>;
  /** A dialog where the host has one; `ok: false` where it has none or the person backed out. */
  'mission/choose': () => Promise<Outcome<OpenedMission>>;
  /** A new mission in a folder of its own among the person's missions, opened; a name that is taken gets a number. */
  'mission/create': (name: string, planText: string) => Promise<Outcome<OpenedMission>>;
  /**
   * Written whole or not at all. Demo missions are not overwritten: they are saved as a copy, and the answer says
   * where. `basedOn` is the digest of the plan that this window last read or wrote: where the file is another by now,
   * that one is kept beside it, and the note says what differs.
   */
  'mission/save': (path: string, planText: string, basedOn?: string) => Promise<Outcome<Saved>>;
  /** Puts a wind file that was dropped on the window beside the mission, so that the plan can name it. */
  'mission/attach': (
    missionPath: string,
    name: string,
    bytes: Uint8Array,
  ) => Promise<Outcome<{ readonly name: string }>>;
  /**
   * Appends one event per line; the desk gives the number and the time. The answer comes when the line is on the disk.
   * `at` is given only by a mission that runs on a clock of its own (a demo, an exercise), so that its replay keeps its
   * order.
   */
  'log/append': (missionPath: string, event: NewEvent, at?: string) => Promise<Outcome<LogEvent>>;
  /** The events behind a number, for a window that heard nothing for a while. */
  'log/since': (missionPath: string, seq: number) => Promise<Outcome<readonly LogEvent[]>>;
  /**
   * Puts what a window has of a log into a file of its own, beside the mission or, where that folder is gone, where
   * copies of demos go: another program took events away.
   */
  'log/keep': (missionPath: string, events: readonly LogEvent[]) => Promise<Outcome<{ readonly path: string }>>;
  /** Writes an export (brief, GPX, KML…) where the person chooses, or into the mission's folder. */
  'export/write': (missionPath: string, name: string, bytes: Uint8Array) => Promise<Outcome<{ readonly path: string }>>;
  'export/pdf': (missionPath: string, name: string, html: string) => Promise<Outcome<{ readonly path: string }>>;
  /** Starts to watch a folder or a growing file for wind reports; each new one comes as a `feed/file` event. */
  'feed/watch': (path: string, missionPath: string) => Promise<Outcome<{ readonly watching: string }>>;
  /** The same with a dialog, where the host has one. */
  'feed/choose': (kind: 'folder' | 'file', missionPath: string) => Promise<Outcome<{ readonly watching: string }>>;
  /** Follows a body by a link; its fixes go into the log of the mission, also while no window is there. */
  'feed/follow': (wanted: FollowWanted, missionPath: string) => Promise<Outcome<{ readonly watching: string }>>;
  /** All that this desk watches and follows. What was brought and nobody took is told once more. `window`: who asks. */
  'feed/list': (window: string) => Promise<readonly FeedState[]>;
  /** This window is at what was brought: nobody else may take it for a while. */
  'feed/take': (id: number, window: string) => Promise<Outcome<{ readonly id: number }>>;
  /** It is in the log, or there was nothing in it for the log. Before this it is brought again. */
  'feed/taken': (id: number, what: FeedTaken) => Promise<Outcome<{ readonly id: number }>>;
  'feed/stop': (path: string) => Promise<Outcome<{ readonly stopped: string }>>;
  'rehearsal/offered': () => Promise<readonly RehearsalOffered[]>;
  /**
   * A copy of a mission to rehearse in, with the log as it stood then, opened; its feeds are on, and its clock stands
   * until it goes on. The mission and its log are left alone.
   */
  'rehearsal/start': (wanted: RehearsalWanted, missionPath: string) => Promise<Outcome<OpenedMission>>;
  'rehearsal/state': () => Promise<RehearsalState | null>;
  'rehearsal/do': (deed: RehearsalDeed) => Promise<Outcome<RehearsalState>>;
  'host/about': () => Promise<About>;
  'host/clock': () => Promise<HostClock>;
}

/** What the desk tells the window unasked. */
export interface DeskEvents {
  /** Goes to every window of this desk, the one that appended included; `seq` tells a window what it already has. */
  'log/appended': { readonly missionPath: string; readonly event: LogEvent };
  /**
   * What another program did to the log that no word may pass over: it was cut, replaced or deleted (`lost`), or holds
   * events that cannot be read here.
   */
  'log/trouble': { readonly missionPath: string; readonly why: string; readonly lost: boolean };
  /** A demo was written to and now lives elsewhere as a copy: later calls may name either path. */
  'mission/copied': { readonly from: string; readonly to: string };
  /**
   * A new file in a watched folder, or the whole new lines of a growing file; `head` is then the file's first lines
   * (names of columns).
   */
  'feed/file': {
    readonly id: number;
    /** The path that is watched: the file itself, or its folder. */
    readonly feed: string;
    readonly missionPath: string;
    readonly path: string;
    readonly bytes: Uint8Array;
    readonly head?: Uint8Array;
  };
  /** What is known of all feeds, where it changed: once a second at most. */
  'feed/states': { readonly feeds: readonly FeedState[] };
  'feed/trouble': { readonly path: string; readonly why: string };
  /** The rehearsal went on: something was said, done or found. */
  'rehearsal/state': { readonly state: RehearsalState };
  /** The program was started again with a mission while this window is open: it may be opened now. */
  'mission/offered': { readonly path: string };
  /** What the host has to say of itself: that the page stopped and was loaded again. */
  'host/said': { readonly text: string };
}

export type CallName = keyof DeskCalls;
export type EventName = keyof DeskEvents;
export type Handlers = { readonly [C in CallName]: DeskCalls[C] };

/**
 * How a failure that nobody expected reaches the caller: as `ok: false` where the call answers with an Outcome, else as
 * a rejection.
 */
type AnswerOf<C extends CallName> = Awaited<ReturnType<DeskCalls[C]>> extends Outcome<unknown> ? 'outcome' : 'plain';

/** Every call there is, complete by type: a name that is not here never leaves the window and is never answered. */
export const callNames: { readonly [C in CallName]: AnswerOf<C> } = {
  'mission/demos': 'plain',
  'mission/open': 'outcome',
  'mission/choose': 'outcome',
  'mission/create': 'outcome',
  'mission/save': 'outcome',
  'mission/attach': 'outcome',
  'log/append': 'outcome',
  'log/since': 'outcome',
  'log/keep': 'outcome',
  'export/write': 'outcome',
  'export/pdf': 'outcome',
  'feed/watch': 'outcome',
  'feed/choose': 'outcome',
  'feed/follow': 'outcome',
  'feed/list': 'plain',
  'feed/take': 'outcome',
  'feed/taken': 'outcome',
  'feed/stop': 'outcome',
  'rehearsal/offered': 'plain',
  'rehearsal/start': 'outcome',
  'rehearsal/state': 'plain',
  'rehearsal/do': 'outcome',
  'host/about': 'plain',
  'host/clock': 'plain',
};

export const eventNames: { readonly [E in EventName]: true } = {
  'log/appended': true,
  'log/trouble': true,
  'mission/copied': true,
  'feed/file': true,
  'feed/states': true,
  'feed/trouble': true,
  'rehearsal/state': true,
  'mission/offered': true,
  'host/said': true,
};

export const isCallName = (name: unknown): name is CallName =>
  typeof name === 'string' && Object.hasOwn(callNames, name);
export const isEventName = (name: unknown): name is EventName =>
  typeof name === 'string' && Object.hasOwn(eventNames, name);

/** What the window gets as `window.desk`: a call by name, and a subscription that returns its own unsubscribe. */
export interface Desk {
  call<C extends CallName>(name: C, ...args: Parameters<DeskCalls[C]>): ReturnType<DeskCalls[C]>;
  on<E extends EventName>(name: E, listener: (event: DeskEvents[E]) => void): () => void;
}

/** What a window sends over the WebSocket: the token first, then calls. */
export type FrameToDesk =
  | { readonly kind: 'token'; readonly token: string }
  | { readonly kind: 'call'; readonly id: number; readonly name: string; readonly args: readonly unknown[] };

/**
 * What the desk sends back. `failed` is for what no handler expected: a call that does not exist, arguments that a
 * guard refused.
 */
export type FrameToWindow =
  /** With the token where the window came with a ticket, which opened it once. */
  | { readonly kind: 'welcome'; readonly token?: string }
  | { readonly kind: 'answer'; readonly id: number; readonly value: unknown }
  | { readonly kind: 'failed'; readonly id: number; readonly why: string }
  | { readonly kind: 'event'; readonly name: string; readonly value: unknown };

/** The WebSocket's close code for a wrong or missing token: trying again with the same one is of no use. */
export const TOKEN_REFUSED = 4401;

const isRecord = (value: unknown): value is { readonly [key: string]: unknown } =>
  typeof value === 'object' && value !== null;
const soleKey = (value: object): string | null => {
  const keys = Object.keys(value);
  return keys.length === 1 ? (keys[0] ?? null) : null;
};

/** Bytes that a message holds behind its text, by how many they are. */
const BYTES = '$bytes';
const PLAIN = '$plain';
/** Before the text of a message with bytes: the text's length, big-endian. */
const HEAD_BYTES = 4;

/**
 * Plain data as one message: JSON text, or where there are bytes in it the length of the text, the text and the bytes
 * in the order in which it names them. Bytes stand in the text as `{ "$bytes": length }`; an object that happens to
 * look like that (or like the wrapping itself) is wrapped as `{ "$plain": … }`, so that `unpack(pack(x))` is x for any
 * plain x.
 */
export function pack(value: unknown): string | Uint8Array<ArrayBuffer> {
  const parts: Uint8Array[] = [];
  let length = 0;
  const wrap = (inner: unknown): unknown => {
    if (inner instanceof Uint8Array) {
      parts.push(inner);
      length += inner.length;
      return { [BYTES]: inner.length };
    }
    if (Array.isArray(inner)) return inner.map(wrap);
    if (!isRecord(inner)) return inner;
    const wrapped = Object.fromEntries(Object.entries(inner).map(([key, item]) => [key, wrap(item)]));
    const sole = soleKey(inner);
    return sole === BYTES || sole === PLAIN ? { [PLAIN]: wrapped } : wrapped;
  };
  const text = JSON.stringify(wrap(value));
  if (parts.length === 0) return text;
  const head = new TextEncoder().encode(text);
  const message = new Uint8Array(HEAD_BYTES + head.length + length);
  new DataView(message.buffer).setUint32(0, head.length);
  message.set(head, HEAD_BYTES);
  let at = HEAD_BYTES + head.length;
  for (const part of parts) {
    message.set(part, at);
    at += part.length;
  }
  return message;
}

/**
 * The inverse of `pack`; bytes are copies. Throws a SyntaxError where the message is not one, or its text is not
 * allowed, which is asked before it is parsed.
 */
export function unpack(message: string | Uint8Array, isAllowed: (text: string) => boolean = () => true): unknown {
  const { text, bytes } = typeof message === 'string' ? { text: message, bytes: new Uint8Array() } : split(message);
  if (!isAllowed(text)) throw new SyntaxError('a text that is not allowed');
  let at = 0;
  const take = (length: unknown): Uint8Array => {
    const fits = typeof length === 'number' && Number.isInteger(length) && length >= 0 && at + length <= bytes.length;
    if (!fits) throw new SyntaxError(`${BYTES} without its bytes`);
    at += length;
    // A copy: whoever passes it on must not pass on the whole message.
    return bytes.slice(at - length, at);
  };
  const unwrapItems = (record: { readonly [key: string]: unknown }) =>
    Object.fromEntries(Object.entries(record).map(([key, item]) => [key, unwrap(item)]));
  const unwrap = (inner: unknown): unknown => {
    if (Array.isArray(inner)) return inner.map(unwrap);
    if (!isRecord(inner)) return inner;
    const sole = soleKey(inner);
    if (sole === PLAIN && isRecord(inner[PLAIN])) return unwrapItems(inner[PLAIN]);
    return sole === BYTES ? take(inner[BYTES]) : unwrapItems(inner);
  };
  const value = unwrap(JSON.parse(text));
  if (at !== bytes.length) throw new SyntaxError('bytes that the text does not name');
  return value;
}

function split(message: Uint8Array): { readonly text: string; readonly bytes: Uint8Array } {
  const { buffer, byteOffset, length } = message;
  if (length < HEAD_BYTES) throw new SyntaxError('a message without its length');
  const end = HEAD_BYTES + new DataView(buffer, byteOffset, length).getUint32(0);
  if (end > length) throw new SyntaxError('a message that is cut short');
  return { text: new TextDecoder().decode(message.subarray(HEAD_BYTES, end)), bytes: message.subarray(end) };
}
