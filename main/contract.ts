// The border between the window and the desk behind it: one typed map of calls, one of events, and a guard for every argument.
// Both hosts (Electron over IPC, the loopback browser host over a WebSocket) and both sides derive from it. Plain data only.
import { z } from 'zod';
import { logEvent, type LogEvent, type NewEvent } from '../core/mission/events.ts';

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
}

export interface DemoMission {
  readonly path: string;
  readonly title: string;
  readonly text: string;
}

export type Outcome<T> = { readonly ok: true; readonly value: T } | { readonly ok: false; readonly why: string };

/** What the window may ask of the desk. Expected failures are answers (`ok: false` with a sentence), never exceptions. */
export interface DeskCalls {
  'mission/demos': () => Promise<readonly DemoMission[]>;
  'mission/open': (path: string) => Promise<Outcome<OpenedMission>>;
  /** A dialog where the host has one; `ok: false` where it has none or the person backed out. */
  'mission/choose': () => Promise<Outcome<OpenedMission>>;
  /** Written whole or not at all. Demo missions are not overwritten: they are saved as a copy, and the answer says where. */
  'mission/save': (path: string, planText: string) => Promise<Outcome<{ readonly path: string; readonly savedAt: string }>>;
  /** Puts a wind file that was dropped on the window beside the mission, so that the plan can name it. */
  'mission/attach': (missionPath: string, name: string, bytes: Uint8Array) => Promise<Outcome<{ readonly name: string }>>;
  /** Appends one event a line; the desk gives the number and the time. The answer comes when the line is on the disk. */
  'log/append': (missionPath: string, event: NewEvent) => Promise<Outcome<LogEvent>>;
  /** Writes an export (brief, GPX, KML…) where the person chooses, or into the mission's folder. */
  'export/write': (missionPath: string, name: string, bytes: Uint8Array) => Promise<Outcome<{ readonly path: string }>>;
  'export/pdf': (missionPath: string, name: string, html: string) => Promise<Outcome<{ readonly path: string }>>;
  /** Starts to watch a folder or a growing file for wind reports; each new one comes as a `feed/file` event. */
  'feed/watch': (path: string) => Promise<Outcome<{ readonly watching: string }>>;
  'feed/stop': (path: string) => Promise<Outcome<{ readonly stopped: string }>>;
  'host/about': () => Promise<{ readonly host: 'electron' | 'browser'; readonly version: string; readonly pdf: boolean }>;
}

/** What the desk tells the window unasked. */
export interface DeskEvents {
  'log/appended': { readonly missionPath: string; readonly event: LogEvent };
  'feed/file': { readonly path: string; readonly bytes: Uint8Array };
  'feed/trouble': { readonly path: string; readonly why: string };
}

export type CallName = keyof DeskCalls;
export type EventName = keyof DeskEvents;
export type Handlers = { readonly [C in CallName]: DeskCalls[C] };

const path = z.string().min(1).max(4096);
const fileName = z
  .string()
  .min(1)
  .max(255)
  .regex(/^[^/\\\0]+$/, 'expected a bare file name')
  .refine((name) => name !== '.' && name !== '..', 'expected a bare file name');
const bytes = z.instanceof(Uint8Array);

// An event before the desk has numbered it: the log's own schema with stand-ins for the two keys that the desk adds.
const newEvent = z.unknown().refine((event): event is NewEvent => {
  if (typeof event !== 'object' || event === null || 'seq' in event || 'at' in event) return false;
  return logEvent.safeParse({ ...event, seq: 0, at: '1970-01-01T00:00:00Z' }).success;
}, 'expected a log event without seq and at');

/** One schema per call, of its arguments. A call without one does not compile. */
export const guards: { readonly [C in CallName]: z.ZodType<Parameters<DeskCalls[C]>> } = {
  'mission/demos': z.tuple([]),
  'mission/open': z.tuple([path]),
  'mission/choose': z.tuple([]),
  'mission/save': z.tuple([path, z.string().max(64_000_000)]),
  'mission/attach': z.tuple([path, fileName, bytes]),
  'log/append': z.tuple([path, newEvent]),
  'export/write': z.tuple([path, fileName, bytes]),
  'export/pdf': z.tuple([path, fileName, z.string().max(64_000_000)]),
  'feed/watch': z.tuple([path]),
  'feed/stop': z.tuple([path]),
  'host/about': z.tuple([]),
};

/** What the window gets as `window.desk`: one function a call, and a subscription that returns its own unsubscribe. */
export interface Desk {
  call<C extends CallName>(name: C, ...args: Parameters<DeskCalls[C]>): ReturnType<DeskCalls[C]>;
  on<E extends EventName>(name: E, listener: (event: DeskEvents[E]) => void): () => void;
}
