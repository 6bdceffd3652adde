// A file in a thread of its own, as the command line reads it: the same answer as in this thread, and a sentence where
// the thread ends, fails or does not come back.
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { answerApart, terrainFrom, windsFrom, type AskApart } from '../../core/mission/apart.ts';
import { readNetcdf } from '../../core/formats/grids/netcdf.ts';
import { readerApart } from '../../main/cli/readApart.ts';
import { builtProgram } from '../build.ts';
import { classicBytes, forecast, hdf5Bytes, PLAIN } from '../formats/netcdfMade.ts';

const near = { near: [6.5, 42.5] as const };
let folder = '';
let apart: AskApart;
beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), 'plumbline-apart-'));
  apart = readerApart(pathToFileURL(join(await builtProgram(['main']), 'main', 'readWorker.js')));
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

/** A thread of another program. */
function threadOf(code: string): AskApart {
  const path = join(folder, `${Math.abs(code.length * 7919)}.mjs`);
  writeFileSync(path, code);
  return readerApart(pathToFileURL(path), 64);
}

/** The smallest GeoTIFF there is: 2 by 2 cells of a byte, a degree wide, no name of coordinates. */
function tinyTiff(): Uint8Array {
  const entries: [tag: number, type: number, values: number[]][] = [
    [256, 3, [2]],
    [257, 3, [2]],
    [258, 3, [8]],
    [259, 3, [1]],
    [273, 4, [8]],
    [277, 3, [1]],
    [278, 3, [2]],
    [279, 4, [4]],
    [33550, 12, [0.5, 0.5, 0]],
    [33922, 12, [0, 0, 0, 6, 43, 0]],
  ];
  const view = new DataView(new ArrayBuffer(400));
  view.setUint32(0, 0x002a4949, true);
  view.setUint32(4, 12, true);
  [10, 20, 30, 40].forEach((height, k) => view.setUint8(8 + k, height));
  view.setUint16(12, entries.length, true);
  let free = 200;
  entries.forEach(([tag, type, values], k) => {
    const at = 14 + 12 * k;
    view.setUint16(at, tag, true);
    view.setUint16(at + 2, type, true);
    view.setUint32(at + 4, values.length, true);
    if (type === 12) {
      view.setUint32(at + 8, free, true);
      for (const value of values) {
        view.setFloat64(free, value, true);
        free += 8;
      }
    } else view.setUint32(at + 8, values[0] ?? 0, true);
  });
  return new Uint8Array(view.buffer);
}

describe('a file apart', () => {
  it('is read as in this thread: netCDF-4, and terrain, which is a grid again', async () => {
    const file = { name: 'a.nc', bytes: await hdf5Bytes(forecast({ ...PLAIN, packed: true })) };
    const here = await windsFrom(file, near, null);
    expect(here.value.grids.length).toBe(1);
    expect(await windsFrom(file, near, apart)).toEqual(here);
    const tiff = { name: 'a.tif', bytes: tinyTiff() };
    const ground = await terrainFrom(tiff, near.near, apart);
    expect(ground).toEqual(await terrainFrom(tiff, near.near, null));
    expect(ground.value?.heightAt(6.5, 42.5)).toBe(25);
  });

  it('takes bytes that nobody wants afterwards without a copy, and leaves others where they are', async () => {
    const bytes = classicBytes(forecast(PLAIN), 2);
    const kept = { name: 'a.nc', bytes: Uint8Array.from(bytes) };
    const spare = { name: 'a.nc', bytes: Uint8Array.from(bytes), spare: true };
    // A part of something else is copied all the same: the rest would go with it.
    const part = { name: 'a.nc', bytes: Uint8Array.from([...bytes, 0]).subarray(0, -1), spare: true };
    const here = await windsFrom(kept, near, null);
    expect(here.value.grids.length).toBe(1);
    for (const file of [kept, spare, part]) expect(await windsFrom(file, near, apart)).toEqual(here);
    expect([kept, spare, part].map((file) => file.bytes.length)).toEqual([bytes.length, 0, bytes.length]);
  });

  it('is asked for where the file is binary or large, and not for a small text', async () => {
    const asked: string[] = [];
    const here: AskApart = async (ask) => {
      asked.push(ask.file.name);
      return answerApart(ask);
    };
    const text = new TextEncoder().encode('height_m,from_deg,speed_kt\n100,90,7\n');
    await windsFrom({ name: 'table', bytes: text }, near, here);
    await windsFrom({ name: 'classic', bytes: classicBytes(forecast(PLAIN), 2) }, near, here);
    await windsFrom({ name: 'long', bytes: new Uint8Array(200_000).fill(32) }, near, here);
    await terrainFrom({ name: 'terrain', bytes: tinyTiff() }, near.near, here);
    expect(asked).toEqual(['classic', 'long', 'terrain']);
  });

  it.each([
    ['that does not come back', 'setInterval(() => {}, 1000);', 0.4, 'late'],
    ['that goes round without end', 'for (;;);', 0.4, 'late'],
    ['that ends', 'process.exit(0)', 20, { failed: 'its thread ended' }],
    ['that fails', "throw new Error('out of bounds')", 20, { failed: 'out of bounds' }],
    [
      'that fills the memory',
      'const all = []; for (;;) all.push({ a: all.length }, [all.length]);',
      60,
      { failed: 'Worker terminated due to reaching memory limit: JS heap out of memory' },
    ],
  ] as const)('a thread %s is told', async (_, code, limit_s, told) => {
    const file = { name: 'a', bytes: new Uint8Array(8) };
    expect(await threadOf(code)({ kind: 'winds', file, options: near }, limit_s)).toEqual(told);
  });

  it('a thread that a busy machine starts late has its whole time from where its reader is loaded', async () => {
    const code =
      "import { parentPort } from 'node:worker_threads';" +
      "setTimeout(() => { parentPort.postMessage('begun'); parentPort.postMessage({ kind: 'none' }); }, 3000);";
    const file = { name: 'a', bytes: new Uint8Array(8) };
    expect(await threadOf(code)({ kind: 'winds', file, options: near }, 2)).toEqual({ kind: 'none' });
  });

  it('no answer is a sentence, and no failure stops whoever asked', async () => {
    const file = { name: 'a', bytes: new Uint8Array(8) };
    const sentences: string[] = [];
    for (const answer of [
      (): Promise<'late'> => Promise.resolve('late'),
      (): Promise<{ failed: string }> => Promise.resolve({ failed: 'its thread ended' }),
      (): Promise<never> => Promise.reject(new Error('no threads')),
    ]) {
      const winds = await windsFrom(file, near, answer);
      const terrain = await terrainFrom(file, near.near, answer);
      expect([winds.value, terrain.value]).toEqual([{ decoded: [], grids: [] }, null]);
      expect(winds.problems).toEqual(terrain.problems);
      sentences.push(...winds.problems.map((problem) => problem.text));
    }
    expect(sentences).toEqual([
      'a file that took longer than 10 s and was given up; it is damaged, or holds far more than a mission needs',
      'a file that could not be read (its thread ended); it is damaged',
      'a file that could not be read (no threads); it is damaged',
    ]);
  });

  it('a heap of texts that does not end is said with its byte, and never given to the library', async () => {
    const bytes = await hdf5Bytes(forecast(PLAIN));
    const heap = Buffer.from(bytes).indexOf('GCOL');
    expect(heap).toBeGreaterThan(0);
    // The length of the first object: far beyond the heap. HDF5 2.0.0 does not come back from this.
    bytes[heap + 16 + 8 + 5] = 7;
    const { problems } = await readNetcdf(bytes, near);
    expect(problems[0]?.text).toMatch(
      new RegExp(`^byte ${heap + 16}: an object of 769658139\\d+ bytes in the heap of texts`),
    );
    // Free space without a length: the other way round without end.
    bytes.set([0, 0], heap + 16);
    bytes.fill(0, heap + 16 + 8, heap + 16 + 16);
    expect((await readNetcdf(bytes, near)).problems[0]?.text).toContain('an object of 0 bytes in the heap of texts');
  });
});
