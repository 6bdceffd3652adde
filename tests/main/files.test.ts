// What is on the disk after a crash: a save is whole or was not there, an event that was acknowledged is in the log,
// its number is the next one, and a torn line stays as it is. The crash is real: a process of its own, killed while it
// writes.
import { spawn } from 'node:child_process';
import {
  appendFileSync,
  chmodSync,
  existsSync,
  mkdirSync,
  readdirSync,
  readFileSync,
  statSync,
  symlinkSync,
  writeFileSync,
} from 'node:fs';
import { join } from 'node:path';
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it } from 'vitest';
import { build } from 'vite';
import { makeFolder, writeAtomic, writeNew } from '../../main/files/atomic.ts';
import { namedFiles, staysInside } from '../../main/files/attachments.ts';
import { LogWriter, logPathOf, readLog } from '../../main/files/log.ts';
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
    expect(lines(folder.log).map((line) => JSON.parse(line) as unknown)).toEqual(events);
  });

  it.each([
    ['torn in the middle', '{"seq":1,"kind":"note","text":"a"}\n{"seq":2,"at":"2026-03-14T06:0', 1],
    ['whole, but without its line end', '{"seq":1,"kind":"note"}\n{"seq":2,"kind":"note"}', 2],
    ['not JSON at all', 'hello', 0],
    ['bytes that are no text', '\xff\xfe\0', 0],
  ])('keeps a last line that is %s, and starts on a new one', async (_what, before, last) => {
    writeFileSync(folder.log, before, 'latin1');
    const size = statSync(folder.log).size;
    const log = new LogWriter(folder.log);
    expect((await log.append(NOTE, AT)).seq).toBe(last + 1);
    expect((await log.append(NOTE, AT)).seq).toBe(last + 2);
    const after = readFileSync(folder.log);
    expect(after.subarray(0, size).toString('latin1')).toBe(before);
    expect(after.subarray(size).toString()).toBe(
      `\n${JSON.stringify({ seq: last + 1, at: AT, ...NOTE })}\n${JSON.stringify({ seq: last + 2, at: AT, ...NOTE })}\n`,
    );
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
      'did not take an event of 1.0 MB',
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
