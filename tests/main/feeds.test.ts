// Files that arrive while a person works: in pieces, replaced, rotated, gone and back. Only whole ones and whole lines
// are sent.
import { appendFileSync, mkdirSync, renameSync, rmSync, truncateSync, unlinkSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import type { DeskEvents } from '../../main/contract.ts';
import { Feeds } from '../../main/feeds/feeds.ts';
import { testFolder, type TestFolder } from './folder.ts';
import { PATIENT } from '../patience.ts';

type FileEvent = DeskEvents['feed/file'];

const MISSION = '/m/x.mission.json';

let folder: TestFolder;
let feeds: Feeds;
let files: FileEvent[];
let troubles: DeskEvents['feed/trouble'][];
beforeEach(() => {
  folder = testFolder();
  files = [];
  troubles = [];
  feeds = new Feeds(
    (name, event) => {
      if (name === 'feed/file') files.push(event as FileEvent);
      else if (name === 'feed/trouble') troubles.push(event as DeskEvents['feed/trouble']);
    },
    { poll_ms: 20 },
  );
});
afterEach(async () => {
  await feeds.close();
  folder.remove();
});

const text = (event: FileEvent | undefined): string => Buffer.from(event?.bytes ?? []).toString();
const head = (event: FileEvent | undefined): string => Buffer.from(event?.head ?? []).toString();
/** Waits until so many files came; no fixed pause. */
const came = (count: number): Promise<FileEvent[]> =>
  vi.waitFor(() => {
    expect(files.length).toBeGreaterThanOrEqual(count);
    return files;
  }, PATIENT);

describe('a growing file', () => {
  it('sends whole new lines only, with the lines that name its columns', async () => {
    const path = folder.write('own/station.csv', 'time,from_deg,speed_mps\n05:50,090,3\n05:5');
    await feeds.watch(path, MISSION);
    appendFileSync(path, '5,090,4\n06:0');
    await came(1);
    expect([text(files[0]), head(files[0])]).toEqual(['05:55,090,4\n', 'time,from_deg,speed_mps\n05:50,090,3\n']);
    appendFileSync(path, '0,100,5\n06:05,110,6\n');
    await came(2);
    expect(files.map(text).join('')).toBe('05:55,090,4\n06:00,100,5\n06:05,110,6\n');
    expect(troubles).toEqual([]);
  });

  it('that was started over is read from its start, which is its own head', async () => {
    const path = folder.write('own/station.csv', 'time,from_deg,speed_mps\n05:50,090,3\n');
    await feeds.watch(path, MISSION);
    truncateSync(path);
    appendFileSync(path, 'time,speed\n');
    await came(1);
    expect([text(files[0]), files[0]?.head]).toEqual(['time,speed\n', undefined]);
    writeFileSync(join(folder.root, 'own', 'next.csv'), 'time,gust\n07:00,9\n07:05,9\n');
    renameSync(join(folder.root, 'own', 'next.csv'), path);
    await came(2);
    expect(text(files[1])).toBe('time,gust\n07:00,9\n07:05,9\n');
  });

  it('that goes away is said once, and goes on when it is back', async () => {
    const path = folder.write('own/station.csv', 'head\n');
    await feeds.watch(path, MISSION);
    unlinkSync(path);
    await vi.waitFor(() => expect(troubles.length).toBe(1), PATIENT);
    expect(troubles[0]).toEqual({ path, why: 'What is watched does not exist. It is looked at again and again.' });
    writeFileSync(path, 'head\nnew\n');
    await came(1);
    expect(text(files[0])).toMatch(/new\n$/);
    expect(troubles.length).toBe(1);
  });
});

describe('a watched folder', () => {
  const inbox = (): string => join(folder.root, 'inbox');
  beforeEach(() => mkdirSync(inbox()));

  it('sends a file that is written in pieces once, whole', async () => {
    await feeds.watch(inbox(), MISSION);
    const path = join(inbox(), 'sounding.txt');
    for (let i = 0; i < 20; i += 1) {
      appendFileSync(path, `line ${i}\n`);
      await new Promise((resolve) => void setTimeout(resolve, 10));
    }
    await came(1);
    expect(text(files[0])).toBe(Array.from({ length: 20 }, (_, i) => `line ${i}\n`).join(''));
    writeFileSync(join(inbox(), 'second.txt'), 'x');
    await came(2);
    expect(files.map((event) => event.path)).toEqual([path, join(inbox(), 'second.txt')]);
  });

  it('leaves alone what is hidden, half downloaded, empty or a folder', async () => {
    await feeds.watch(inbox(), MISSION);
    for (const name of ['.hidden', 'x.part', 'x.tmp', 'x.crdownload', 'x~']) writeFileSync(join(inbox(), name), 'no');
    writeFileSync(join(inbox(), 'empty.txt'), '');
    mkdirSync(join(inbox(), 'sub'));
    writeFileSync(join(inbox(), 'last.txt'), 'yes');
    await came(1);
    renameSync(join(inbox(), 'x.part'), join(inbox(), 'x.txt'));
    await came(2);
    expect(files.map((event) => event.path)).toEqual([join(inbox(), 'last.txt'), join(inbox(), 'x.txt')]);
  });

  it('that vanishes is said once; back again, what is new in it comes', async () => {
    await feeds.watch(inbox(), MISSION);
    rmSync(inbox(), { recursive: true });
    await vi.waitFor(() => expect(troubles.length).toBe(1), PATIENT);
    mkdirSync(inbox());
    writeFileSync(join(inbox(), 'new.txt'), 'new');
    await came(1);
    expect([text(files[0]), troubles.length]).toEqual(['new', 1]);
  });

  it('stops when it is told, and says what it cannot watch', async () => {
    await feeds.watch(inbox(), MISSION);
    expect([await feeds.stop(inbox()), await feeds.stop(inbox())]).toEqual([true, false]);
    writeFileSync(join(inbox(), 'late.txt'), 'late');
    await feeds.watch(inbox(), MISSION);
    writeFileSync(join(inbox(), 'later.txt'), 'later');
    await came(1);
    expect(files.map(text)).toEqual(['later']);
    await expect(feeds.watch(join(folder.root, 'none'), MISSION)).rejects.toMatchObject({ code: 'ENOENT' });
    await expect(feeds.watch('/dev/null', MISSION)).rejects.toThrow('is neither a folder nor a file');
  });
});
