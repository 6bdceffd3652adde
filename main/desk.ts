// The desk behind the window: what each call of the contract does to files, log and feeds. It knows no host: dialogs
// and printing are given to it, so that the same handlers serve Electron and the browser, and a test serves itself.
import { mkdir, readdir, readFile, realpath, stat } from 'node:fs/promises';
import { basename, join } from 'node:path';
import type { LogEvent, NewEvent } from '../core/log/events.ts';
import type { DemoMission, DeskEvents, EventName, Handlers, OpenedMission, Outcome, Saved } from './contract.ts';
import { hostClock } from './clock.ts';
import { Feeds } from './feeds/feeds.ts';
import { feedHandlers } from './feeds/handlers.ts';
import { rehearsalPart } from './rehearsal/handlers.ts';
import { makeFolder, sweepOrphans, writeAtomic, writeNew } from './files/atomic.ts';
import { readAttachments } from './files/attachments.ts';
import { eventsSince, keepLog } from './files/kept.ts';
import { logPathOf, readLog } from './files/log.ts';
import { digestOf, fileNameOf, Missions, readPlan, type OpenMission } from './files/missions.ts';
import { canonical, done, notOpened, onPath, refused, typedPath } from './files/paths.ts';
import { savePlan } from './files/save.ts';
import { sentenceOf } from './files/trouble.ts';

/** What a host with windows of its own can ask a person. Each answers a path, or null where the person backed out. */
export interface Dialogs {
  readonly mission: () => Promise<string | null>;
  readonly feed: (kind: 'folder' | 'file') => Promise<string | null>;
  readonly exportTo: (suggested: string) => Promise<string | null>;
}

export interface DeskOptions {
  readonly host: 'electron' | 'browser';
  readonly version: string;
  /** Holds the demo missions; nothing below it is ever written. */
  readonly demoFolder: string;
  /** Where copies of demos go. */
  readonly copyFolder: string;
  /** The mission named at the start; it may be opened. */
  readonly mission: string | null;
  /** True where a person types paths (browser host): any mission may then be opened, any folder watched. */
  readonly typedPaths: boolean;
  readonly dialogs: Dialogs | null;
  /** Prints a page; null where nothing here can. */
  readonly printPdf: ((html: string) => Promise<Outcome<Uint8Array>>) | null;
  readonly now: () => Date;
  /** How often feeds are looked at; left out: once a second. */
  readonly poll_ms?: number;
}

export interface DeskService {
  readonly handlers: Handlers;
  /** Hears every event; returns its own unsubscribe. */
  readonly listen: (listener: <E extends EventName>(name: E, event: DeskEvents[E]) => void) => () => void;
  /** A mission that the person named at another start: it may be opened, and every window hears of it. */
  readonly offer: (path: string) => void;
  readonly close: () => Promise<void>;
}

/** How often the logs are looked at for what other programs wrote. */
const FOLLOW_ms = 1_000;
/** How deep below the demo folder missions are looked for. */
const DEMO_DEPTH = 3;

/** Names that belong to the mission itself: an export or a dropped file may not take their place. */
function isReserved(name: string): boolean {
  return /\.(mission\.json|log\.jsonl)$/i.test(name) || name.startsWith('.');
}

export function createDesk(options: DeskOptions): DeskService {
  const listeners = new Set<TellAll>();
  const tell: TellAll = (name, event) => {
    for (const listener of listeners) listener(name, event);
  };
  const feeds = new Feeds(tell, {
    poll_ms: options.poll_ms,
    now: options.now,
    async log(missionPath, fix, at) {
      const logged = await parts.append(missionPath, fix, at);
      if (!logged.ok) throw new Error(logged.why);
    },
  });
  const missions = missionsOf(options, feeds, tell);
  const following = setInterval(() => void missions.follow(), options.poll_ms ?? FOLLOW_ms);
  following.unref();
  const named = new Set(options.mission === null ? [] : [options.mission]);
  const parts: Parts = { options, missions, tell, named, append: appender(missions, tell) };
  const rehearsals = rehearsalPart(missions, {
    feeds,
    copyFolder: options.copyFolder,
    tell: (state) => tell('rehearsal/state', { state }),
    open: opener(missions),
    append: parts.append,
  });
  listeners.add((name, event) => {
    if (name === 'log/appended') rehearsals.logged(event as DeskEvents['log/appended']);
  });
  return {
    handlers: {
      ...missionHandlers(parts),
      ...hostHandlers(options),
      ...writingHandlers(parts),
      ...exportHandlers(parts),
      ...feedHandlers(feeds, missions, options),
      ...rehearsals.handlers,
    },
    listen(listener) {
      const own: typeof listener = (name, event) => listener(name, event);
      listeners.add(own);
      return () => void listeners.delete(own);
    },
    offer(path) {
      named.add(path);
      tell('mission/offered', { path });
    },
    async close() {
      clearInterval(following);
      listeners.clear();
      await rehearsals.close();
      await feeds.close();
    },
  };
}

type TellAll = <E extends EventName>(name: E, event: DeskEvents[E]) => void;

/** The missions of this desk: a copy, and what other programs do to a log, is told to every window. */
const missionsOf = ({ demoFolder, copyFolder }: DeskOptions, feeds: Feeds, tell: TellAll): Missions =>
  new Missions(
    demoFolder,
    copyFolder,
    (from, to) => {
      feeds.moved(from, to);
      tell('mission/copied', { from, to });
    },
    (missionPath, { events, trouble, unread }) => {
      for (const event of events) tell('log/appended', { missionPath, event });
      if (trouble !== null) tell('log/trouble', { missionPath, why: trouble, lost: true });
      if (unread.length > 0) tell('log/trouble', { missionPath, why: unreadWords(unread), lost: false });
    },
  );

/** The first few of them; how many more there are is said. */
function unreadWords(unread: readonly string[]): string {
  const first = unread.slice(0, 3).join('; ');
  const more = unread.length > 3 ? `; and ${unread.length - 3} more` : '';
  return `Another program logged what cannot be read here: ${first}${more}. It does not count.`;
}

interface Parts {
  readonly options: DeskOptions;
  readonly missions: Missions;
  readonly append: Append;
  readonly tell: TellAll;
  /** Missions that a person named when starting the program. */
  readonly named: ReadonlySet<string>;
}

type MissionHandlers = Pick<Handlers, 'mission/demos' | 'mission/open' | 'mission/choose' | 'mission/create'>;

/** Reads a mission that the person chose and admits it. */
const opener =
  (missions: Missions) =>
  (given: string): Promise<Outcome<OpenedMission>> =>
    onPath(given, async () => {
      const path = await canonical(given);
      const plan = await readPlan(path);
      if (typeof plan === 'string') return refused(`${given} ${plan}.`);
      if (!/\.json$/i.test(path)) return refused(`${given} is not a mission; expected a file named *.mission.json.`);
      const { attachments, problems } = await readAttachments(path, plan.text);
      const digest = digestOf(plan.bytes);
      const mission = missions.admit(path, digest);
      if (!(await missions.isDemo(path))) await sweepOrphans(mission.folder);
      // Before the log is read, so that nothing falls between what the window reads and what it is told.
      await mission.log.follow().catch(() => undefined);
      const log = await readLog(logPathOf(path)).catch((error: unknown) => ({
        why: `The log ${logPathOf(path)} ${sentenceOf(error)}.`,
      }));
      const logText = typeof log === 'string' ? log : '';
      return done({
        path,
        planText: plan.text,
        logText,
        attachments,
        digest,
        problems: typeof log === 'string' ? problems : [log.why, ...problems],
      });
    });

function missionHandlers({ options, missions, named }: Parts): MissionHandlers {
  const open = opener(missions);
  const mayOpen = async (given: string): Promise<boolean> => {
    if (options.typedPaths) return true;
    const path = await canonical(given).catch(() => null);
    if (path === null) return false;
    const chosen = await Promise.all([...named].map((one) => canonical(one).catch(() => null)));
    return missions.isOpen(path) || chosen.includes(path) || missions.isDemo(path);
  };
  return {
    'mission/demos': () => demosIn(options.demoFolder),
    'mission/open': async (path) =>
      (await mayOpen(path))
        ? open(path)
        : refused(`${path} was not opened in this session; choose it in the dialog for opening a mission.`),
    async 'mission/choose'() {
      if (options.dialogs === null) return refused('There is no dialog here; type the path of the mission instead.');
      const path = await options.dialogs.mission();
      return path === null ? refused('No mission was chosen.') : open(path);
    },
    'mission/create': (name, planText) =>
      onPath(options.copyFolder, async () => {
        const bare = fileNameOf(name);
        const folder = await makeFolder(join(options.copyFolder, bare));
        const path = join(folder, `${bare}.mission.json`);
        await writeAtomic(path, planText);
        return open(path);
      }),
  };
}

const hostHandlers = (options: DeskOptions): Pick<Handlers, 'host/about' | 'host/clock'> => ({
  'host/about': async () => ({
    host: options.host,
    version: options.version,
    pdf: options.printPdf !== null,
    dialogs: options.dialogs !== null,
    mission: options.mission,
  }),
  'host/clock': () => hostClock(options.now()),
});

/** Every demo below the folder, by path. One that cannot be read is left out: the demos are the program's own. */
export async function demosIn(folder: string): Promise<DemoMission[]> {
  const found: DemoMission[] = [];
  const walk = async (at: string, depth: number): Promise<void> => {
    const entries = await readdir(at, { withFileTypes: true }).catch(() => []);
    for (const entry of entries.toSorted((a, b) => (a.name < b.name ? -1 : 1))) {
      const path = join(at, entry.name);
      if (entry.isDirectory() && depth > 0) await walk(path, depth - 1);
      else if (entry.isFile() && entry.name.endsWith('.mission.json')) found.push(await demoOf(path));
    }
  };
  await walk(await realpath(folder).catch(() => folder), DEMO_DEPTH);
  return found;
}

async function demoOf(path: string): Promise<DemoMission> {
  const bare = basename(path, '.mission.json');
  try {
    const plan: unknown = JSON.parse(await readFile(path, 'utf8'));
    const text = (key: 'name' | 'notes'): string | null => {
      const value =
        typeof plan === 'object' && plan !== null && key in plan
          ? (plan as { readonly [k: string]: unknown })[key]
          : null;
      return typeof value === 'string' ? value : null;
    };
    return { path, title: text('name') ?? bare, text: text('notes') ?? '' };
  } catch (error) {
    return { path, title: bare, text: `This demo cannot be read: ${sentenceOf(error)}.` };
  }
}

/** Runs a write on the mission's own file, or on a demo's copy. */
const writing = <T>(
  missions: Missions,
  given: string,
  write: (mission: OpenMission) => Promise<Outcome<T>>,
): Promise<Outcome<T>> =>
  onPath(given, async () => {
    const mission = await missions.writable(await canonical(given));
    return mission === null ? notOpened(given) : write(mission);
  });

type Append = (path: string, event: NewEvent, at: string) => Promise<Outcome<LogEvent>>;

/** Logs an event, whether a window or a feed brings it, and tells every window. */
const appender =
  (missions: Missions, tell: Parts['tell']): Append =>
  (path, event, at) =>
    writing(missions, path, async (mission) => {
      const appended = await mission.log.append(event, at);
      tell('log/appended', { missionPath: mission.path, event: appended });
      return done(appended);
    });

type WritingHandlers = Pick<Handlers, 'mission/save' | 'mission/attach' | 'log/append' | 'log/since' | 'log/keep'>;

function writingHandlers({ options, missions, append }: Parts): WritingHandlers {
  const save = async (given: string, planText: string, basedOn: string | undefined): Promise<Outcome<Saved>> => {
    const path = await canonical(given);
    // A plan that was made in the window, saved for the first time under a path that the person typed.
    if (missions.get(path) === null && options.typedPaths && /\.mission\.json$/i.test(path) && !(await exists(path)))
      missions.admit(path, null);
    const demo = await missions.isDemo(path);
    return writing(missions, given, (mission) =>
      mission.inTurn(async () => {
        const saved = await savePlan(mission, planText, basedOn ?? mission.digest, options.now());
        const copied = demo ? `The demo stays as it is; this is a copy in ${mission.folder}.` : null;
        const notes = [copied, saved.note ?? null].filter((note) => note !== null);
        return done({ ...saved, ...(notes.length === 0 ? {} : { note: notes.join(' ') }) });
      }),
    );
  };
  return {
    'mission/save': (path, planText, basedOn) => onPath(path, () => save(path, planText, basedOn)),
    'mission/attach': (path, name, bytes) =>
      writing(missions, path, (mission) =>
        mission.inTurn(async () => {
          if (isReserved(name))
            return refused(
              `A file named ${name} cannot be put beside the mission: that is a name of the mission's own files.`,
            );
          const there = await readFile(join(mission.folder, name)).catch(() => null);
          if (there !== null && digestOf(there) === digestOf(bytes)) return done({ name });
          return done({ name: basename(await writeNew(join(mission.folder, name), bytes)) });
        }),
      ),
    'log/append': (path, event, at) => append(path, event, at ?? options.now().toISOString()),
    'log/since': (given, seq) =>
      onPath(given, async () => {
        const mission = await missions.latest(await canonical(given));
        return mission === null ? notOpened(given) : done(await eventsSince(mission.path, seq));
      }),
    'log/keep': (given, events) =>
      onPath(given, async () => {
        const mission = await missions.latest(await canonical(given).catch(() => typedPath(given)));
        if (mission === null) return notOpened(given);
        const kept = { elsewhere: options.copyFolder, now: options.now() };
        return done({ path: await keepLog(mission.path, events, kept) });
      }),
  };
}

function exportHandlers({ options, missions }: Parts): Pick<Handlers, 'export/write' | 'export/pdf'> {
  /**
   * Where an export goes: the dialog's path, or a new name in the mission's folder (for an untouched demo: the copies'
   * folder).
   */
  const exportTo = (
    given: string,
    name: string,
    content: () => Promise<Outcome<Uint8Array>>,
  ): Promise<Outcome<{ readonly path: string }>> =>
    onPath(given, async () => {
      const path = await canonical(given);
      const mission = missions.get(path);
      if (mission === null) return notOpened(given);
      if (isReserved(name))
        return refused(`An export cannot be named ${name}: that is a name of the mission's own files.`);
      const folder = (await missions.isDemo(path)) ? options.copyFolder : mission.folder;
      const chosen = options.dialogs === null ? null : await options.dialogs.exportTo(join(folder, name));
      if (options.dialogs !== null && chosen === null) return refused('No place was chosen; nothing was written.');
      const made = await content();
      if (!made.ok) return made;
      // The dialog has asked before it replaces a file; without one nothing is replaced.
      return onPath(chosen ?? folder, async () => {
        if (chosen === null) await mkdir(folder, { recursive: true });
        if (chosen === null) return done({ path: await writeNew(join(folder, name), made.value) });
        await writeAtomic(chosen, made.value);
        return done({ path: chosen });
      });
    });
  return {
    'export/write': (path, name, bytes) => exportTo(path, name, async () => done(bytes)),
    'export/pdf': async (path, name, html) => {
      const print = options.printPdf;
      if (print === null)
        return refused(
          'A PDF needs Electron or an installed Chromium, and neither was found. Export as HTML and print ' +
            'that instead.',
        );
      return exportTo(path, name, () => print(html));
    },
  };
}

async function exists(path: string): Promise<boolean> {
  return stat(path).then(
    () => true,
    () => false,
  );
}
