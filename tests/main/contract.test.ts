// The contract, once, against both hosts: every call with its answer and its refusals, every event, as the window sees
// them.
import { appendFileSync, existsSync, mkdirSync, readFileSync, rmSync, symlinkSync, writeFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { readLog } from '../../core/log/read.ts';
import { callNames, type DeskEvents, type EventName } from '../../main/contract.ts';
import { digestOf } from '../../main/files/missions.ts';
import { NOTE, PLAN } from './folder.ts';
import { browserSide, electronSide, FIXED_NOW, type PreloadElectron, type Side } from './sides.ts';
import { PATIENT } from '../patience.ts';

const preload = vi.hoisted((): PreloadElectron => {
  const unplanned = (): never => {
    throw new Error('unplanned use of electron in the preload');
  };
  return { expose: unplanned, invoke: unplanned, on: unplanned, removeListener: unplanned };
});
vi.mock('electron', () => ({
  contextBridge: { exposeInMainWorld: (key: string, value: unknown) => preload.expose(key, value) },
  ipcRenderer: {
    invoke: (channel: string, args: unknown) => preload.invoke(channel, args),
    on: (channel: string, listener: (event: unknown, value: unknown) => void) => preload.on(channel, listener),
    removeListener: (channel: string, listener: (event: unknown, value: unknown) => void) =>
      preload.removeListener(channel, listener),
  },
}));

const planText = `${JSON.stringify(PLAN, null, 2)}\n`;

/** The value of an outcome that must be good. */
function value<T>(outcome: { readonly ok: true; readonly value: T } | { readonly ok: false; readonly why: string }): T {
  if (!outcome.ok) throw new Error(outcome.why);
  return outcome.value;
}

const refusal = (outcome: { readonly ok: boolean; readonly why?: string }): string => {
  expect(outcome.ok).toBe(false);
  expect(outcome.why).not.toMatch(/\n|\bat .*:\d+|E[A-Z]{4,}/);
  return outcome.why ?? '';
};

describe.each([
  { host: 'browser' as const, start: (): Promise<Side> => browserSide() },
  { host: 'electron' as const, start: (): Promise<Side> => electronSide(preload) },
])('the desk through the $host host', ({ host, start }) => {
  let side: Side;
  beforeEach(async () => {
    side = await start();
  });
  afterEach(async () => {
    await side.close();
    expect(side.faults).toEqual([]);
  });

  /** Collects an event's values; `next` waits for as many as are wanted. */
  function collect<E extends EventName>(
    name: E,
  ): {
    readonly got: DeskEvents[E][];
    readonly next: (count: number) => Promise<DeskEvents[E][]>;
    readonly stop: () => void;
  } {
    const got: DeskEvents[E][] = [];
    const stop = side.desk.on(name, (event) => void got.push(event));
    const next = (count: number): Promise<DeskEvents[E][]> =>
      vi.waitFor(
        () => (got.length >= count ? got : Promise.reject(new Error(`${got.length} of ${count} ${name}`))),
        PATIENT,
      );
    return { got, next, stop };
  }
  const open = async (path = side.folder.mission) => value(await side.desk.call('mission/open', path));

  it('says what it is', async () => {
    expect(await side.desk.call('host/about')).toEqual({
      host,
      version: '9.9.9',
      pdf: true,
      dialogs: host === 'electron',
      mission: side.folder.mission,
    });
    expect(side.desk.state()).toBe('connected');
  });

  it('lists the demos with title and notes, and opens one', async () => {
    const demos = await side.desk.call('mission/demos');
    expect(demos).toEqual([{ path: side.folder.demo, title: 'Test plain', text: 'Two lines\nof notes' }]);
    expect((await open(side.folder.demo)).planText).toBe(planText);
  });

  it('opens a mission with its log and the files that the plan names, byte for byte', async () => {
    writeFileSync(side.folder.log, '{"seq":1}\n');
    const opened = await open();
    expect(opened.path).toBe(side.folder.mission);
    expect(opened.planText).toBe(planText);
    expect(opened.logText).toBe('{"seq":1}\n');
    expect(opened.attachments.map(({ name, bytes }) => [name, Buffer.from(bytes).toString('latin1')])).toEqual([
      ['terrain.tif', 'II*\0\xff'],
      ['roads.geojson', '{"type":"FeatureCollection","features":[]}'],
      ['winds/0000Z.txt', '850 1500 10.0 090 12\n'],
    ]);
    expect(opened.attachments.every(({ bytes }) => bytes instanceof Uint8Array)).toBe(true);
    expect(opened.problems).toEqual(['The file "winds/missing.txt" that the plan names does not exist.']);
  });

  it('opens a mission with a forecast of a hundred megabytes, and takes one of that size', async () => {
    const large = new Uint8Array(100_000_000);
    large.set([7, 8, 9], large.length - 3);
    writeFileSync(join(dirname(side.folder.mission), 'winds', 'missing.txt'), large);
    const opened = await open();
    const read = opened.attachments.find(({ name }) => name === 'winds/missing.txt');
    expect(Buffer.from(read?.bytes ?? []).equals(large)).toBe(true);
    expect(opened.attachments.map(({ bytes }) => bytes.buffer.byteLength - bytes.length)).toEqual([0, 0, 0, 0]);
    expect(value(await side.desk.call('mission/attach', side.folder.mission, 'large.grib2', large))).toEqual({
      name: 'large.grib2',
    });
    expect(readFileSync(join(dirname(side.folder.mission), 'large.grib2')).equals(large)).toBe(true);
  });

  it('makes a new mission in a folder of its own, opened; a second one of the same name gets a number', async () => {
    const made = value(await side.desk.call('mission/create', 'Hay meadow: Ü/..', planText));
    expect(made.path).toBe(join(side.folder.copies, 'hay-meadow-ü', 'hay-meadow-ü.mission.json'));
    expect(readFileSync(made.path, 'utf8')).toBe(planText);
    const other = value(await side.desk.call('mission/create', 'hay meadow ü', planText));
    expect(other.path).toBe(join(side.folder.copies, 'hay-meadow-ü-2', 'hay-meadow-ü.mission.json'));
    expect(value(await side.desk.call('mission/create', '///', planText)).path).toContain('mission.mission.json');
    // It can be written to at once: it belongs to this session.
    expect(value(await side.desk.call('mission/save', made.path, '{}')).path).toBe(made.path);
  });

  it('takes no file from outside the folder of the mission', async () => {
    side.folder.write('secret.txt', 'not for the window');
    symlinkSync(join(side.folder.root, 'secret.txt'), join(side.folder.root, 'own', 'link.txt'));
    symlinkSync(side.folder.root, join(side.folder.root, 'own', 'up'));
    mkdirSync(join(side.folder.root, 'own', 'folder.txt'));
    const names = [
      '../secret.txt',
      'winds/../../secret.txt',
      join(side.folder.root, 'secret.txt'),
      '..\\secret.txt',
      'C:/secret.txt',
      'link.txt',
      'up/secret.txt',
      'folder.txt',
      'a\0b',
    ];
    writeFileSync(side.folder.mission, JSON.stringify({ ...PLAN, winds: { files: names }, site: {}, roads: 7 }));
    const opened = await open();
    expect(opened.attachments).toEqual([]);
    expect(opened.problems.length).toBe(names.length);
    expect(opened.problems.filter((problem) => problem.includes('is not taken')).length).toBe(names.length);
  });

  it('opens a plan that cannot be read as it is: saying why is the work of the reader', async () => {
    for (const text of ['', '{"format": "plumbl', '\0\u0001\u0002', 'null', '[]', '{"winds":{"files":7}}']) {
      writeFileSync(side.folder.mission, text);
      expect(await open()).toEqual({
        path: side.folder.mission,
        planText: text,
        logText: '',
        attachments: [],
        problems: [],
        digest: digestOf(text),
      });
    }
  });

  it('says in a sentence why it cannot open', async () => {
    const nowhere = join(side.folder.root, 'own', 'none.mission.json');
    side.choose(nowhere);
    const missing =
      host === 'electron' ? await side.desk.call('mission/choose') : await side.desk.call('mission/open', nowhere);
    expect(refusal(missing)).toBe(`${nowhere} does not exist.`);
    const large = side.folder.write('demos/large.mission.json', Buffer.alloc(32_000_001, ' '));
    expect(refusal(await side.desk.call('mission/open', large))).toBe(
      `${large} holds 32.0\u202fMB; expected at most 32.0\u202fMB for a mission.`,
    );
    const other = side.folder.write('demos/other.txt', '{}');
    expect(refusal(await side.desk.call('mission/open', other))).toMatch(
      /is not a mission; expected a file named \*\.mission\.json\.$/,
    );
    mkdirSync(join(side.folder.demos, 'x.mission.json'));
    expect(refusal(await side.desk.call('mission/open', join(side.folder.demos, 'x.mission.json')))).toMatch(
      /is a folder/,
    );
  });

  it('saves whole, byte for byte, and reads it back', async () => {
    await open();
    const changed = planText.replace('Test plain', 'Tést plain ✓');
    const saved = value(await side.desk.call('mission/save', side.folder.mission, changed));
    expect(saved).toEqual({
      path: side.folder.mission,
      savedAt: FIXED_NOW.toISOString(),
      digest: digestOf(changed),
    });
    expect(readFileSync(side.folder.mission, 'utf8')).toBe(changed);
    expect((await open()).planText).toBe(changed);
  });

  it('keeps what another program wrote meanwhile', async () => {
    await open();
    writeFileSync(side.folder.mission, '{"by":"another program"}');
    const saved = value(await side.desk.call('mission/save', side.folder.mission, planText));
    expect(saved.note).toMatch(
      /^Another window or program had changed the file; its version is kept as test\.kept-2026-03-14T060000Z\.json\. It differs from what is saved now in by, format, /,
    );
    expect(readFileSync(join(side.folder.root, 'own', 'test.kept-2026-03-14T060000Z.json'), 'utf8')).toBe(
      '{"by":"another program"}',
    );
    expect(readFileSync(side.folder.mission, 'utf8')).toBe(planText);
    expect(value(await side.desk.call('mission/save', side.folder.mission, `${planText}\n`)).note).toBeUndefined();
  });

  it('keeps what another window of this desk saved, and says in what it differs', async () => {
    const { digest } = await open();
    const theirs = planText.replace('Two lines', 'Three lines');
    value(await side.desk.call('mission/save', side.folder.mission, theirs, digest));
    const mine = planText.replace('"Test plain"', '"My plain"');
    const saved = value(await side.desk.call('mission/save', side.folder.mission, mine, digest));
    expect(saved.note).toBe(
      'Another window or program had changed the file; its version is kept as test.kept-2026-03-14T060000Z.json. It differs from what is saved now in name, notes.',
    );
    expect(readFileSync(join(side.folder.root, 'own', 'test.kept-2026-03-14T060000Z.json'), 'utf8')).toBe(theirs);
    expect(
      value(await side.desk.call('mission/save', side.folder.mission, planText, saved.digest)).note,
    ).toBeUndefined();
  });

  it('tells what another program wrote into the log, and what it took away', async () => {
    const appended = collect('log/appended');
    const troubles = collect('log/trouble');
    await open();
    value(await side.desk.call('log/append', side.folder.mission, NOTE));
    appendFileSync(side.folder.log, '{"seq":2,"at":"2026-03-14T06:00:01Z","kind":"note","text":"by another"}\n');
    expect((await appended.next(2))[1]).toEqual({
      missionPath: side.folder.mission,
      event: { seq: 2, at: '2026-03-14T06:00:01Z', kind: 'note', text: 'by another' },
    });
    rmSync(side.folder.log);
    expect((await troubles.next(1))[0]?.why).toMatch(/^The log was deleted or emptied by another program\./);
    expect(value(await side.desk.call('log/append', side.folder.mission, NOTE)).seq).toBe(3);
    appended.stop();
    troubles.stop();
  });

  it('gives a window the events that it has not heard of, and keeps what it has where the log or its folder is gone', async () => {
    await open();
    const events = [];
    for (const text of ['one', 'two', 'three'])
      events.push(value(await side.desk.call('log/append', side.folder.mission, { kind: 'note', text })));
    expect(value(await side.desk.call('log/since', side.folder.mission, 1))).toEqual(events.slice(1));
    expect(value(await side.desk.call('log/since', side.folder.mission, 3))).toEqual([]);
    expect(refusal(await side.desk.call('log/since', side.folder.demo, 0))).toMatch(/was not opened in this session/);
    rmSync(side.folder.log);
    const beside = value(await side.desk.call('log/keep', side.folder.mission, events)).path;
    expect(beside).toBe(join(side.folder.root, 'own', 'test.kept-2026-03-14T060000Z.log.jsonl'));
    expect(readLog(readFileSync(beside, 'utf8'))).toEqual({ value: events, problems: [], unread: null });
    rmSync(join(side.folder.root, 'own'), { recursive: true });
    const elsewhere = value(await side.desk.call('log/keep', side.folder.mission, events)).path;
    expect(elsewhere).toBe(join(side.folder.copies, 'test.kept-2026-03-14T060000Z.log.jsonl'));
    expect(readLog(readFileSync(elsewhere, 'utf8'))).toEqual({ value: events, problems: [], unread: null });
  });

  it('says what it knows of the computer’s clock', async () => {
    const { offset_min, setAt } = await side.desk.call('host/clock');
    // ECMA-262: getTimezoneOffset is UTC minus local time.
    expect(offset_min).toBe(0 - FIXED_NOW.getTimezoneOffset());
    expect(setAt === null || Date.parse(setAt) <= FIXED_NOW.getTime()).toBe(true);
  });

  it('takes no event and no plan that is nested deeper than any is', async () => {
    await open();
    const nested = (levels: number) => JSON.parse(`${'['.repeat(levels)}${']'.repeat(levels)}`) as unknown;
    const event = (levels: number) => ({ ...NOTE, unknown: nested(levels) }) as typeof NOTE;
    expect(refusal(await side.desk.call('log/append', side.folder.mission, event(30)))).toMatch(
      /^The call log\/append was refused: argument 2: expected a log event .* 16 levels at most\.$/,
    );
    const plan = `{"x":${JSON.stringify(nested(3000))}}`;
    expect(refusal(await side.desk.call('mission/save', side.folder.mission, plan))).toMatch(
      /argument 2: expected lists and groups at most 64 deep\.$/,
    );
    expect(value(await side.desk.call('mission/save', side.folder.mission, '{"x":"[[[["}')).path).toBe(
      side.folder.mission,
    );
    // The browser host ends the connection of whoever sends such a message, for it could end the stack of its reader.
    expect(refusal(await side.desk.call('log/append', side.folder.mission, event(3000)))).toMatch(
      /expected a log event|The connection to the desk broke/,
    );
    expect(existsSync(side.folder.log)).toBe(false);
  });

  it('writes nothing of a mission that was not opened', async () => {
    const calls = [
      side.desk.call('mission/save', side.folder.mission, '{}'),
      side.desk.call('mission/attach', side.folder.mission, 'x.txt', new Uint8Array(1)),
      side.desk.call('log/append', side.folder.mission, NOTE),
      side.desk.call('export/write', side.folder.mission, 'x.gpx', new Uint8Array(1)),
      side.desk.call('export/pdf', side.folder.mission, 'x.pdf', '<p>'),
    ];
    for (const outcome of await Promise.all(calls))
      expect(refusal(outcome)).toBe(`${side.folder.mission} was not opened in this session; open it first.`);
    expect(readFileSync(side.folder.mission, 'utf8')).toBe(planText);
    expect(existsSync(side.folder.log)).toBe(false);
  });

  it('copies a demo at its first change, with all its files, and leaves it alone', async () => {
    const copied = collect('mission/copied');
    side.folder.write(
      'demos/plain/plain.log.jsonl',
      '{"seq":1,"at":"2026-01-01T00:00:00Z","kind":"note","text":"first"}\n',
    );
    await open(side.folder.demo);
    const event = value(await side.desk.call('log/append', side.folder.demo, NOTE));
    const copy = join(side.folder.copies, 'plain', 'plain.mission.json');
    expect(event.seq).toBe(2);
    expect(await copied.next(1)).toEqual([{ from: side.folder.demo, to: copy }]);
    const saved = value(await side.desk.call('mission/save', side.folder.demo, '{"changed":true}'));
    expect(saved).toMatchObject({
      path: copy,
      note: `The demo stays as it is; this is a copy in ${join(side.folder.copies, 'plain')}.`,
    });
    expect(value(await side.desk.call('mission/attach', side.folder.demo, 'new.txt', Buffer.from('x')))).toEqual({
      name: 'new.txt',
    });
    expect(readFileSync(copy, 'utf8')).toBe('{"changed":true}');
    expect(readFileSync(join(side.folder.copies, 'plain', 'plain.log.jsonl'), 'utf8').split('\n').length).toBe(3);
    for (const name of ['terrain.tif', 'roads.geojson', 'winds/0000Z.txt', 'new.txt'])
      expect(existsSync(join(side.folder.copies, 'plain', name))).toBe(true);
    expect(readFileSync(side.folder.demo, 'utf8')).toBe(planText);
    expect(existsSync(join(side.folder.demos, 'plain', 'new.txt'))).toBe(false);

    // Opened again, the demo starts over, and its next change does not touch the first copy.
    await open(side.folder.demo);
    expect(value(await side.desk.call('mission/save', side.folder.demo, planText)).path).toBe(
      join(side.folder.copies, 'plain-2', 'plain.mission.json'),
    );
    expect(readFileSync(copy, 'utf8')).toBe('{"changed":true}');
    expect(copied.got.length).toBe(2);
    copied.stop();
  });

  it('numbers and times events, tells every window, and refuses what is not one', async () => {
    const appended = collect('log/appended');
    await open();
    const first = value(await side.desk.call('log/append', side.folder.mission, NOTE));
    expect(first).toEqual({ seq: 1, at: FIXED_NOW.toISOString(), ...NOTE });
    const exercise = value(
      await side.desk.call('log/append', side.folder.mission, { ...NOTE, later: [1] }, '2027-04-14T05:00:00Z'),
    );
    expect(exercise).toEqual({ seq: 2, at: '2027-04-14T05:00:00Z', ...NOTE, later: [1] });
    expect(await appended.next(2)).toEqual(
      [first, exercise].map((event) => ({ missionPath: side.folder.mission, event })),
    );
    expect(readLog(readFileSync(side.folder.log, 'utf8'))).toEqual({
      value: [first, exercise],
      problems: [],
      unread: null,
    });
    appended.stop();
    const wrong: unknown[] = [
      { ...NOTE, seq: 9 },
      { ...NOTE, at: 'now' },
      { kind: 'nothing' },
      'text',
      null,
      { kind: 'fix', body: 'jumper', position: [0, 95] },
    ];
    for (const event of wrong) {
      const outcome = await side.desk.call('log/append', side.folder.mission, event as typeof NOTE);
      expect(refusal(outcome)).toMatch(/^The call log\/append was refused: argument 2/);
    }
    expect(readFileSync(side.folder.log, 'utf8').split('\n').length).toBe(3);
    expect(appended.got.length).toBe(2);
  });

  it('puts a dropped file beside the mission without replacing another', async () => {
    await open();
    const attach = async (name: string, text: string) =>
      side.desk.call('mission/attach', side.folder.mission, name, new TextEncoder().encode(text));
    expect(value(await attach('fb.txt', 'one'))).toEqual({ name: 'fb.txt' });
    expect(value(await attach('fb.txt', 'one'))).toEqual({ name: 'fb.txt' });
    expect(value(await attach('fb.txt', 'two'))).toEqual({ name: 'fb-2.txt' });
    expect(readFileSync(join(side.folder.root, 'own', 'fb.txt'), 'utf8')).toBe('one');
    expect(readFileSync(join(side.folder.root, 'own', 'fb-2.txt'), 'utf8')).toBe('two');
    for (const name of ['test.mission.json', 'x.LOG.jsonl', '.hidden'])
      expect(refusal(await attach(name, 'x'))).toMatch(/is a name of the mission's own files\.$/);
    for (const name of ['../x.txt', 'a/b', 'a\\b', '', '..', 'a\0', 'x'.repeat(256)])
      expect(refusal(await attach(name, 'x'))).toMatch(/^The call mission\/attach was refused: argument 2/);
  });

  it('exports beside the mission, or where the person says', async () => {
    await open();
    const chosen = join(side.folder.root, 'elsewhere.gpx');
    side.choose(chosen);
    const written = value(
      await side.desk.call('export/write', side.folder.mission, 'brief.gpx', new TextEncoder().encode('<gpx/>')),
    );
    expect(written.path).toBe(host === 'electron' ? chosen : join(side.folder.root, 'own', 'brief.gpx'));
    expect(readFileSync(written.path, 'utf8')).toBe('<gpx/>');
    if (host === 'electron') {
      expect(refusal(await side.desk.call('export/write', side.folder.mission, 'brief.gpx', new Uint8Array()))).toBe(
        'No place was chosen; nothing was written.',
      );
    } else {
      expect(
        value(await side.desk.call('export/write', side.folder.mission, 'brief.gpx', new Uint8Array(1))).path,
      ).toBe(join(side.folder.root, 'own', 'brief-2.gpx'));
    }
    expect(
      refusal(await side.desk.call('export/write', side.folder.mission, 'test.log.jsonl', new Uint8Array())),
    ).toMatch(/mission's own files/);
    side.choose(join(side.folder.root, 'brief.pdf'));
    const pdf = value(await side.desk.call('export/pdf', side.folder.mission, 'brief.pdf', '<p>brief</p>'));
    expect(readFileSync(pdf.path, 'latin1')).toMatch(/^%PDF/);
  });

  it('watches a folder: what is new, once it rests; not what was there', async () => {
    await open();
    const watched = join(side.folder.root, 'own', 'inbox');
    side.folder.write('own/inbox/old.txt', 'old');
    const files = collect('feed/file');
    expect(value(await side.desk.call('feed/watch', watched, side.folder.mission))).toEqual({ watching: watched });
    expect(value(await side.desk.call('feed/watch', watched, side.folder.mission))).toEqual({ watching: watched });
    side.folder.write('own/inbox/new.txt', '09007KT');
    side.folder.write('own/inbox/.passing.txt.tmp', 'half');
    expect((await files.next(1)).map(({ path, bytes, head }) => [path, Buffer.from(bytes).toString(), head])).toEqual([
      [join(watched, 'new.txt'), '09007KT', undefined],
    ]);
    side.folder.write('own/inbox/old.txt', 'old, changed');
    expect((await files.next(2)).map(({ bytes }) => Buffer.from(bytes).toString())).toEqual([
      '09007KT',
      'old, changed',
    ]);
    expect(value(await side.desk.call('feed/stop', watched))).toEqual({ stopped: watched });
    expect(refusal(await side.desk.call('feed/stop', watched))).toBe(`${watched} is not watched.`);
    files.stop();
  });

  it('brings again what a window took and did not log: after a reload, and never to two windows at once', async () => {
    await open();
    const watched = join(side.folder.root, 'own', 'inbox');
    side.folder.write('own/inbox/old.txt', 'old');
    const files = collect('feed/file');
    value(await side.desk.call('feed/watch', watched, side.folder.mission));
    side.folder.write('own/inbox/new.txt', '09007KT');
    const [brought] = await files.next(1);
    const id = brought?.id ?? NaN;
    expect(brought).toMatchObject({ feed: watched, missionPath: side.folder.mission });
    value(await side.desk.call('feed/take', id, 'first'));
    expect(refusal(await side.desk.call('feed/take', id, 'second'))).toMatch(/^Another window is at it/);
    // Another window's start changes nothing of it; the first one's reload brings it again.
    expect((await side.desk.call('feed/list', 'second'))[0]).toMatchObject({ path: watched, waiting: 1, taken: 0 });
    expect(files.got).toHaveLength(1);
    await side.desk.call('feed/list', 'first');
    expect((await files.next(2))[1]?.id).toBe(id);
    value(await side.desk.call('feed/take', id, 'second'));
    const what = { entered: 1, repeats: 0, said: 'new.txt: one wind entered.', amiss: false };
    value(await side.desk.call('feed/taken', id, what));
    expect((await side.desk.call('feed/list', 'first'))[0]).toMatchObject({ waiting: 0, taken: 1, said: what.said });
    expect(files.got).toHaveLength(2);
    files.stop();
  });

  it('says why it does not watch', async () => {
    await open();
    const nowhere = join(side.folder.root, 'own', 'nowhere');
    expect(refusal(await side.desk.call('feed/watch', nowhere, side.folder.mission))).toBe(
      `${nowhere} does not exist.`,
    );
    const chosen = await side.desk.call('feed/choose', 'folder', side.folder.mission);
    expect(refusal(chosen)).toBe(
      host === 'electron'
        ? 'Nothing was chosen to watch.'
        : 'There is no dialog here; type the path of the folder or file instead.',
    );
    const outside = await side.desk.call('feed/watch', side.folder.demos, side.folder.mission);
    if (host === 'browser') expect(outside.ok).toBe(true);
    else {
      expect(refusal(outside)).toMatch(/lies outside the folder of the mission; choose it in the dialog/);
      side.choose(side.folder.demos);
      expect(value(await side.desk.call('feed/choose', 'folder', side.folder.mission))).toEqual({
        watching: side.folder.demos,
      });
    }
  });

  it('opens only what a person chose', async () => {
    const other = side.folder.write('own/other.mission.json', '{}');
    const outcome = await side.desk.call('mission/open', other);
    const choice = await side.desk.call('mission/choose');
    if (host === 'browser') {
      expect(outcome.ok).toBe(true);
      expect(refusal(choice)).toBe('There is no dialog here; type the path of the mission instead.');
    } else {
      expect(refusal(outcome)).toMatch(/was not opened in this session; choose it in the dialog/);
      expect(refusal(choice)).toBe('No mission was chosen.');
      side.choose(other);
      expect(value(await side.desk.call('mission/choose')).path).toBe(other);
      expect((await side.desk.call('mission/open', other)).ok).toBe(true);
    }
  });

  it('refuses wrong arguments of every call with a sentence, and a call that does not exist', async () => {
    const ask = side.desk.call.bind(side.desk) as (name: string, ...args: unknown[]) => Promise<unknown>;
    let tried = 0;
    for (const name of Object.keys(callNames)) {
      for (const args of [[7], [null], ['a', 'b', 'c', 'd'], [{ path: 'x' }]]) {
        const answer = await ask(name, ...args).catch((error: unknown) => ({ ok: false, why: String(error) }));
        expect(answer).toMatchObject({
          ok: false,
          why: expect.stringContaining(`The call ${name} was refused: `) as string,
        });
        tried += 1;
      }
    }
    expect(tried).toBe(Object.keys(callNames).length * 4);
    for (const name of ['mission/nothing', 'toString', '__proto__', 'constructor'])
      await expect(ask(name)).rejects.toThrow('There is no such call.');
  });

  it('stops telling who has unsubscribed', async () => {
    await open();
    const gone = collect('log/appended');
    const there = collect('log/appended');
    gone.stop();
    await side.desk.call('log/append', side.folder.mission, NOTE);
    await there.next(1);
    expect(gone.got).toEqual([]);
    there.stop();
  });
});
