// What is on the disk after a crash: a save is whole or was not there, an event that was acknowledged is in the log,
// its number is the next one, and a torn line stays as it is. The crash is real: a process of its own, killed while it
// writes.
import { spawn, spawnSync } from 'node:child_process';
import {
  appendFileSync,
  chmodSync,
  existsSync,
  mkdirSync,
  readdirSync,
  readFileSync,
  rmSync,
  statSync,
  symlinkSync,
  truncateSync,
  utimesSync,
  writeFileSync,
} from 'node:fs';
import { open, type FileHandle } from 'node:fs/promises';
import { hostname } from 'node:os';
import { join } from 'node:path';
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it, vi } from 'vitest';
import { build } from 'vite';
import { makeFolder, sweepOrphans, writeAtomic, writeNew } from '../../main/files/atomic.ts';
import { namedFiles, staysInside } from '../../main/files/attachments.ts';
import { readLog as readEvents } from '../../core/log/read.ts';
import { LogWriter, logPathOf, readLog, type Foreign } from '../../main/files/log.ts';
import { whileLocked } from '../../main/files/lock.ts';
import { Missions } from '../../main/files/missions.ts';
import { projectRoot } from '../openData.ts';
import { NOTE, testFolder, type TestFolder } from './folder.ts';

const AT = '2026-03-14T06:00:00.000Z';
let folder: TestFolder;
beforeEach(() => {
  folder = testFolder();
});
afterEach(() => folder.remove());

const lines = (path: string): string[] => readFileSync(path, 'utf8').split('\n').slice(0, -1);
const seqs = (path: string): number[] => lines(path).map((line) => (JSON.parse(line) as { readonly seq: number }).seq);

describe('the log', () => {
  it('lies beside the plan', () => {
    expect(['/a/x.mission.json', '/a/x.json', '/a.b/x.Mission.JSON'].map(logPathOf)).toEqual([
      '/a/x.log.jsonl',
      '/a/x.log.jsonl',
      '/a.b/x.log.jsonl',
    ]);
  });

  it('gives each of many appends at once the next number, one line each', async () => {
    const log = new LogWriter(folder.log);
    const events = await Promise.all(
      Array.from({ length: 200 }, (_, i) => log.append({ kind: 'note', text: `line ${i}\nwith a break ✓` }, AT)),
    );
    expect(events.map((event) => event.seq)).toEqual(Array.from({ length: 200 }, (_, i) => i + 1));
    const { value, problems } = readEvents(readFileSync(folder.log, 'utf8'));
    expect([value, problems]).toEqual([events, []]);
  });

  it.each([
    ['torn in the middle', '{"seq":1,"kind":"note","text":"a"}\n{"seq":2,"at":"2026-03-14T06:0', 1],
    ['whole, but without its line end', '{"seq":1,"kind":"note"}\n{"seq":2,"kind":"note"}', 2],
    ['not JSON at all', 'hello', 0],
    ['bytes that are not text', '\xff\xfe\0', 0],
  ])('keeps a last line that is %s, and starts on a new one', async (_what, before, last) => {
    writeFileSync(folder.log, before, 'latin1');
    const size = statSync(folder.log).size;
    const log = new LogWriter(folder.log);
    expect((await log.append(NOTE, AT)).seq).toBe(last + 1);
    expect((await log.append(NOTE, AT)).seq).toBe(last + 2);
    const after = readFileSync(folder.log);
    expect(after.subarray(0, size).toString('latin1')).toBe(before);
    expect(after.subarray(size, size + 1).toString()).toBe('\n');
    expect(readEvents(after.subarray(size).toString()).value).toEqual([
      { seq: last + 1, at: AT, ...NOTE },
      { seq: last + 2, at: AT, ...NOTE },
    ]);
    expect(readEvents(after.toString('utf8')).problems.filter(({ text }) => text.includes('fit'))).toEqual([]);
  });

  it('goes on from what another program appended meanwhile', async () => {
    const log = new LogWriter(folder.log);
    await log.append(NOTE, AT);
    appendFileSync(folder.log, '{"seq":2,"at":"2026-03-14T06:00:01Z","kind":"note","text":"by hand"}\n{"seq":3');
    expect((await log.append(NOTE, AT)).seq).toBe(3);
    expect(lines(folder.log).length).toBe(4);
  });

  it('says what is wrong and goes on with the next event', async () => {
    const log = new LogWriter(folder.log);
    await log.append(NOTE, AT);
    await expect(log.append({ kind: 'note', text: 'x'.repeat(1_000_001) }, AT)).rejects.toThrow(
      'did not take an event of 1.0\u202fMB',
    );
    expect((await log.append(NOTE, AT)).seq).toBe(2);
    mkdirSync(join(folder.root, 'a.log.jsonl'));
    await expect(new LogWriter(join(folder.root, 'a.log.jsonl')).append(NOTE, AT)).rejects.toMatchObject({
      code: 'EISDIR',
    });
    await expect(new LogWriter(join(folder.root, 'none', 'a.log.jsonl')).append(NOTE, AT)).rejects.toMatchObject({
      code: 'ENOENT',
    });
    expect(await readLog(join(folder.root, 'none.log.jsonl'))).toBe('');
  });
});

describe('a log that another program writes to', () => {
  const LINE = '{"seq":2,"at":"2026-03-14T06:00:01Z","kind":"note","text":"by hand"}\n';
  /** A writer with one event on the disk, and what it heard of others. */
  async function begun(): Promise<{ log: LogWriter; heard: Foreign[] }> {
    const heard: Foreign[] = [];
    const log = new LogWriter(folder.log, { onForeign: (foreign) => void heard.push(foreign) });
    await log.append(NOTE, AT);
    return { log, heard };
  }
  const troubles = (heard: readonly Foreign[]): string => heard.map(({ trouble }) => trouble ?? '').join('|');

  it('is followed: whole lines are told once, a half one when it is whole', async () => {
    const { log, heard } = await begun();
    await log.follow();
    expect(heard).toEqual([]);
    appendFileSync(folder.log, LINE + LINE.slice(0, 20));
    await log.follow();
    await log.follow();
    expect(heard).toEqual([
      { events: [expect.objectContaining({ seq: 2, text: 'by hand' })], trouble: null, unread: [] },
    ]);
    expect((await log.append(NOTE, AT)).seq).toBe(3);
    await log.follow();
    expect(heard.length).toBe(1);
  });

  it('tells at the next append what came meanwhile, and numbers behind it', async () => {
    const { log, heard } = await begun();
    appendFileSync(folder.log, LINE);
    expect((await log.append(NOTE, AT)).seq).toBe(3);
    expect(heard.map(({ events }) => events.map(({ seq }) => seq))).toEqual([[2]]);
  });

  it.each([
    ['cut', (path: string) => truncateSync(path, 30), /^The log was cut by another program: it holds 30 bytes now\./],
    ['emptied', (path: string) => truncateSync(path), /^The log was deleted or emptied by another program\./],
    ['deleted', (path: string) => rmSync(path), /^The log was deleted or emptied by another program\./],
    [
      'replaced by a longer one',
      (path: string) => {
        rmSync(path);
        writeFileSync(path, LINE.repeat(9));
      },
      /^The log was changed or replaced by another program\./,
    ],
    [
      'changed in place',
      (path: string) => {
        const text = readFileSync(path, 'utf8').replace('canopies', 'canopieS');
        writeFileSync(path, text);
      },
      /^The log was changed or replaced by another program\./,
    ],
  ])('that was %s is said at the next append, and no number is given twice', async (_what, change, sentence) => {
    const { log, heard } = await begun();
    await log.append(NOTE, AT);
    await log.append(NOTE, AT);
    change(folder.log);
    expect((await log.append(NOTE, AT)).seq).toBe(4);
    expect(troubles(heard)).toMatch(sentence);
    expect(troubles(heard)).toContain('up to event 3.');
    expect((await log.append(NOTE, AT)).seq).toBe(5);
    expect(heard.length).toBe(1);
  });

  it('tells of events that cannot be read, but not of a line that was torn: nobody was told of that', async () => {
    const { log, heard } = await begun();
    await log.follow();
    appendFileSync(folder.log, `{"seq":2,"at":"${AT}","kind":"wobble"}\n{"seq":3,"at":"20\n`);
    await log.follow();
    expect(heard).toEqual([{ events: [], trouble: null, unread: [expect.stringMatching(/^event 2: kind "wobble"/)] }]);
    expect((await log.append(NOTE, AT)).seq).toBe(3);
    expect(heard.length).toBe(1);
  });

  it('gives no number again that a damaged line has, and tells of it', async () => {
    const { log, heard } = await begun();
    await log.append(NOTE, AT);
    const whole = readFileSync(folder.log, 'utf8');
    writeFileSync(folder.log, whole.replace(/"kind"(?=[^\n]*\n$)/, '"kind'));
    // A program that opens the mission now, and one that saw it come.
    const later = new LogWriter(folder.log);
    expect((await later.append(NOTE, AT)).seq).toBe(3);
    await log.follow();
    expect(troubles(heard)).toMatch(/changed or replaced/);
    expect((await log.append(NOTE, AT)).seq).toBe(4);
  });

  it('that was put back as it was is the same log', async () => {
    const { log, heard } = await begun();
    const bytes = readFileSync(folder.log);
    rmSync(folder.log);
    writeFileSync(folder.log, bytes);
    expect((await log.append(NOTE, AT)).seq).toBe(2);
    expect(heard).toEqual([]);
  });

  it('that became a link out of the folder is refused, and nothing is written there', async () => {
    const { log } = await begun();
    const elsewhere = folder.write('elsewhere.txt', 'mine\n');
    rmSync(folder.log);
    symlinkSync(elsewhere, folder.log);
    await expect(log.append(NOTE, AT)).rejects.toThrow('has become a link that leads out of the folder of the mission');
    expect(readFileSync(elsewhere, 'utf8')).toBe('mine\n');
  });
});

describe('the lock of a mission', () => {
  const lock = (): string => join(folder.root, 'own', '.test.lock');

  it('lets one write at a time, and leaves nothing behind', async () => {
    let writing = 0;
    let most = 0;
    const write = async (): Promise<void> => {
      most = Math.max(most, (writing += 1));
      await new Promise((resolve) => setImmediate(resolve));
      writing -= 1;
    };
    await Promise.all(Array.from({ length: 20 }, () => whileLocked(lock(), write)));
    expect([most, existsSync(lock())]).toEqual([1, false]);
    await expect(whileLocked(lock(), () => Promise.reject(new Error('a write failed')))).rejects.toThrow('failed');
    expect(existsSync(lock())).toBe(false);
  });

  it('is taken over from a process that is gone, and from one that is far too old', async () => {
    const gone = spawnSync(process.execPath, ['-e', '']).pid;
    const owner = { host: hostname(), pid: gone, since: AT };
    writeFileSync(lock(), JSON.stringify(owner));
    expect(await whileLocked(lock(), async () => 'written')).toBe('written');
    writeFileSync(lock(), JSON.stringify({ ...owner, host: 'another computer' }));
    const long = new Date(Date.now() - 60_000);
    utimesSync(lock(), long, long);
    expect(await whileLocked(lock(), async () => 'written')).toBe('written');
    expect(readdirSync(join(folder.root, 'own')).filter((name) => name.includes('lock'))).toEqual([]);
  });
});

describe('a lock that is being made', () => {
  const lock = (): string => join(folder.root, 'own', '.test.lock');
  const inOwn = (): string[] => readdirSync(join(folder.root, 'own')).filter((name) => name.includes('lock'));

  afterEach(() => void vi.restoreAllMocks());

  /** What every opened file is made of. */
  async function openFiles(): Promise<FileHandle> {
    const handle = await open(folder.mission, 'r');
    await handle.close();
    return Object.getPrototypeOf(handle) as FileHandle;
  }

  it('is there with its owner or not at all: one that a crash left without would keep everybody out for long', async () => {
    const files = await openFiles();
    const write = Reflect.get(files, 'writeFile') as (...given: unknown[]) => Promise<void>;
    const there: boolean[] = [];
    vi.spyOn(files, 'writeFile').mockImplementation(async function (this: FileHandle, ...given: unknown[]) {
      there.push(existsSync(lock()));
      await write.apply(this, given);
      there.push(existsSync(lock()));
    });
    expect(await whileLocked(lock(), async () => readFileSync(lock(), 'utf8'))).toContain(`"pid":${process.pid}`);
    expect(there).toEqual([false, false]);
    expect(inOwn()).toEqual([]);
  });

  it('leaves nothing behind on a full disk', async () => {
    const full = Object.assign(new Error('ENOSPC'), { code: 'ENOSPC' });
    const spy = vi.spyOn(await openFiles(), 'writeFile').mockRejectedValue(full);
    await expect(whileLocked(lock(), async () => 'written')).rejects.toThrow('ENOSPC');
    expect(spy).toHaveBeenCalled();
    expect(inOwn()).toEqual([]);
  });
});

describe('temporary files that a crash left', () => {
  it('are swept once they are old; nothing else is touched', async () => {
    const old = folder.write('own/.test.mission.json.0123456789ab.tmp', 'half');
    const fresh = folder.write('own/.test.mission.json.ba9876543210.tmp', 'being written');
    const other = folder.write('own/.keep.tmp', 'of another program');
    for (const path of [old, other]) utimesSync(path, new Date(0), new Date(0));
    await sweepOrphans(join(folder.root, 'own'));
    expect([old, fresh, other].map((path) => existsSync(path))).toEqual([false, true, true]);
  });
});

describe('a save', () => {
  it('keeps the permissions, follows a link, and leaves nothing beside it', async () => {
    chmodSync(folder.mission, 0o600);
    await writeAtomic(folder.mission, 'new');
    expect([readFileSync(folder.mission, 'utf8'), statSync(folder.mission).mode & 0o777]).toEqual(['new', 0o600]);
    expect(readdirSync(join(folder.root, 'own')).toSorted()).toEqual([
      'roads.geojson',
      'terrain.tif',
      'test.mission.json',
      'winds',
    ]);
  });

  it('that fails leaves the old file and nothing beside it', async () => {
    const target = join(folder.root, 'own', 'winds');
    await expect(writeAtomic(target, 'x')).rejects.toMatchObject({
      code: expect.stringMatching(/^E(ISDIR|EXIST|NOTEMPTY|PERM)$/) as string,
    });
    expect(readdirSync(join(folder.root, 'own')).filter((name) => name.endsWith('.tmp'))).toEqual([]);
    expect(existsSync(join(target, '0000Z.txt'))).toBe(true);
    await expect(writeAtomic(join(folder.root, 'none', 'x'), 'x')).rejects.toMatchObject({ code: 'ENOENT' });
  });

  it('of something new is whole as soon as it is there', async () => {
    const path = join(folder.root, 'large.pdf');
    const data = new Uint8Array(20_000_000).fill(37);
    const written = writeNew(path, data);
    while (!existsSync(path)) await new Promise((resolve) => setImmediate(resolve));
    expect(statSync(path).size).toBe(data.length);
    expect(await written).toBe(path);
    expect(readdirSync(folder.root).filter((name) => name.endsWith('.tmp'))).toEqual([]);
  });

  it('of something new never takes the place of something old', async () => {
    const path = join(folder.root, 'x.y.gpx');
    const made = await Promise.all(Array.from({ length: 5 }, (_, i) => writeNew(path, Buffer.from(String(i)))));
    expect(made.toSorted()).toEqual(
      ['x.y-2.gpx', 'x.y-3.gpx', 'x.y-4.gpx', 'x.y-5.gpx', 'x.y.gpx'].map((name) => join(folder.root, name)),
    );
    expect(new Set(made.map((name) => readFileSync(name, 'utf8'))).size).toBe(5);
    expect(
      await Promise.all([makeFolder(join(folder.root, 'a', 'b')), makeFolder(join(folder.root, 'a', 'b'))]),
    ).toEqual(expect.arrayContaining([join(folder.root, 'a', 'b'), join(folder.root, 'a', 'b-2')]) as string[]);
  });
});

describe('the files that a plan names', () => {
  it('are found in any plan, and none in what is not one', () => {
    expect(
      namedFiles('{"site":{"terrain":"t.tif"},"roads":"r.json","winds":{"files":["a","b","a","",7,null]}}'),
    ).toEqual(['t.tif', 'r.json', 'a', 'b']);
    for (const text of [
      '',
      'null',
      '7',
      '[]',
      '{}',
      '{"winds":[]}',
      '{"winds":{"files":{}}}',
      '{"site":7,"roads":{}}',
      '{"a"',
    ])
      expect(namedFiles(text)).toEqual([]);
  });

  it('stay inside: what may be named, and what may not', () => {
    for (const name of ['a', 'a.txt', 'winds/0000Z.txt', 'a/b/c', '..a', 'a..', '.a', './a', 'ä ö/…'])
      expect([name, staysInside(name)]).toEqual([name, true]);
    for (const name of [
      '',
      '/',
      '/a',
      '..',
      '../a',
      'a/..',
      'a/../b',
      'a//b',
      'a/',
      '\\a',
      'a\\b',
      'C:a',
      'c:/a',
      'a\0b',
      'x'.repeat(1025),
    ])
      expect([name, staysInside(name)]).toEqual([name, false]);
  });

  it('a demo is a demo by where it really lies', async () => {
    symlinkSync(folder.demos, join(folder.root, 'link'));
    const missions = new Missions(join(folder.root, 'link'), folder.copies, () => undefined);
    expect([
      await missions.isDemo(folder.demo),
      await missions.isDemo(folder.mission),
      await missions.isDemo(folder.demos),
    ]).toEqual([true, false, false]);
    expect(await new Missions(join(folder.root, 'none'), folder.copies, () => undefined).isDemo(folder.demo)).toBe(
      false,
    );
  });
});

describe('a crash', () => {
  let writers: string;
  let workshop: TestFolder;
  beforeAll(async () => {
    workshop = testFolder();
    writers = join(workshop.root, 'writers');
    await build({
      configFile: false,
      root: projectRoot,
      logLevel: 'silent',
      ssr: { noExternal: true },
      build: {
        ssr: true,
        outDir: writers,
        emptyOutDir: true,
        rolldownOptions: {
          input: { atomic: join(projectRoot, 'main/files/atomic.ts'), log: join(projectRoot, 'main/files/log.ts') },
          output: { entryFileNames: '[name].mjs' },
        },
      },
    });
  });
  afterAll(() => workshop.remove());

  /**
   * Runs a script until it has said so many lines, kills it while it goes on, and answers every whole line that it
   * said.
   */
  function killedAfter(script: string, count: number): Promise<string[]> {
    return new Promise((resolve, reject) => {
      const child = spawn(process.execPath, ['--input-type=module', '-e', script], {
        stdio: ['ignore', 'pipe', 'inherit'],
      });
      let said = '';
      child.stdout.on('data', (data: Buffer) => {
        said += data.toString();
        if (said.split('\n').length > count) child.kill('SIGKILL');
      });
      child.on('error', reject);
      child.on('close', () => resolve(said.split('\n').slice(0, -1)));
    });
  }

  it('loses no event that was acknowledged, and the log goes on without a gap', async () => {
    let acknowledged = 0;
    for (const after of [1, 7, 30]) {
      const said = await killedAfter(
        `import { LogWriter } from ${JSON.stringify(join(writers, 'log.mjs'))};
         import { writeSync } from 'node:fs';
         const log = new LogWriter(${JSON.stringify(folder.log)});
         for (;;) { const event = await log.append({ kind: 'note', text: 'x'.repeat(20000) }, ${JSON.stringify(AT)}); writeSync(1, event.seq + '\\n'); }`,
        after,
      );
      const there = new Set(seqs(folder.log));
      for (const seq of said.map(Number)) expect(there.has(seq)).toBe(true);
      acknowledged += said.length;
    }
    expect(acknowledged).toBeGreaterThanOrEqual(38);
    const written = seqs(folder.log);
    expect(written).toEqual(written.map((_, i) => i + 1));
  });

  it('of neither of two processes on one log loses an event, and no number is given twice', async () => {
    const script = `import { LogWriter } from ${JSON.stringify(join(writers, 'log.mjs'))};
      import { writeSync } from 'node:fs';
      const log = new LogWriter(${JSON.stringify(folder.log)});
      for (let i = 0; i < 100; i += 1) { const event = await log.append({ kind: 'note', text: String(process.pid) }, ${JSON.stringify(AT)}); writeSync(1, event.seq + '\\n'); }`;
    const said = await Promise.all([killedAfter(script, Infinity), killedAfter(script, Infinity)]);
    const { value, problems } = readEvents(readFileSync(folder.log, 'utf8'));
    expect(problems).toEqual([]);
    expect(
      said
        .flat()
        .map(Number)
        .toSorted((a, b) => a - b),
    ).toEqual(Array.from({ length: 200 }, (_, i) => i + 1));
    expect(value.map(({ seq }) => seq)).toEqual(Array.from({ length: 200 }, (_, i) => i + 1));
    expect(new Set(value.map((event) => (event.kind === 'note' ? event.text : ''))).size).toBe(2);
  });

  it('leaves the old plan or the new one, never a part of either', async () => {
    const plans = ['a', 'b'].map((letter) => JSON.stringify({ text: letter.repeat(3_000_000) }));
    for (const after of [1, 2, 5, 9]) {
      await writeAtomic(folder.mission, plans[0] ?? '');
      await killedAfter(
        `import { writeAtomic } from ${JSON.stringify(join(writers, 'atomic.mjs'))};
         import { writeSync } from 'node:fs';
         const plans = ['a', 'b'].map((letter) => JSON.stringify({ text: letter.repeat(3000000) }));
         for (let i = 1; ; i += 1) { await writeAtomic(${JSON.stringify(folder.mission)}, plans[i % 2]); writeSync(1, i + '\\n'); }`,
        after,
      );
      expect(plans.includes(readFileSync(folder.mission, 'utf8'))).toBe(true);
    }
  });
});
