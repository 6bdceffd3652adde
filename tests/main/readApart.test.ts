// A netCDF-4 file in a thread of its own, as the command line reads it: the same answer as in this thread, and a
// sentence where the thread ends, fails or does not come back.
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { ReadApart } from '../../core/formats/grids/apart.ts';
import { readNetcdf } from '../../core/formats/grids/netcdf.ts';
import { readWindFile } from '../../core/formats/winds/winds.ts';
import { readerApart } from '../../main/cli/readApart.ts';
import { builtProgram } from '../build.ts';
import { classicBytes, forecast, hdf5Bytes, PLAIN } from '../formats/netcdfMade.ts';

const near = { near: [6.5, 42.5] as const };
let folder = '';
let read: ReadApart;
beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), 'plumbline-apart-'));
  read = readerApart(pathToFileURL(join(await builtProgram(['main']), 'main', 'readWorker.js')));
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

/** A thread of another program. */
function threadOf(code: string, limit_s?: number): ReadApart {
  const path = join(folder, `${Math.abs(code.length * 7919)}.mjs`);
  writeFileSync(path, code);
  return readerApart(pathToFileURL(path), limit_s);
}

describe('a netCDF-4 file apart', () => {
  it('is read as in this thread', async () => {
    const bytes = await hdf5Bytes(forecast({ ...PLAIN, packed: true }));
    const here = await readNetcdf(bytes, near);
    expect(here.value.grids.length).toBe(1);
    expect(await read(bytes, near)).toEqual(here);
  });

  it('is asked for by the reader of any wind file, and only for HDF5', async () => {
    const asked: number[] = [];
    const apart: ReadApart = async (bytes, options) => {
      asked.push(bytes.length);
      return readNetcdf(bytes, options);
    };
    const hdf5 = await hdf5Bytes(forecast(PLAIN));
    const classic = classicBytes(forecast(PLAIN), 2);
    for (const bytes of [hdf5, classic]) {
      const { value } = await readWindFile({ name: 'a.nc', bytes }, { ...near, apart });
      expect(value.grids.length).toBe(1);
    }
    expect(asked).toEqual([hdf5.length]);
  });

  it.each([
    ['that does not come back', 'setInterval(() => {}, 1000);', 0.4, /took longer than \d+ s and was given up/],
    ['that goes round without end', 'for (;;);', 0.4, /took longer than \d+ s and was given up/],
    ['that ends', 'process.exit(0)', undefined, /could not be read \(its thread ended\); it is damaged/],
    [
      'that fails',
      "throw new Error('memory access out of bounds')",
      undefined,
      /could not be read \(memory access out of bounds\)/,
    ],
  ])('a thread %s is one sentence', async (_, code, limit_s, sentence) => {
    const { value, problems } = await threadOf(code, limit_s)(new Uint8Array(8), near);
    expect(value).toEqual({ decoded: [], grids: [] });
    expect(problems.map((problem) => problem.text).join('|')).toMatch(sentence);
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
