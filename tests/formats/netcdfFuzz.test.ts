// Broken netCDF, classic and HDF5: whatever the bytes, an answer and no throw. HDF5 in threads of their own, as the
// program reads it.
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { fc, SEED } from '../property.ts';
import { describe, expect, it } from 'vitest';
import { readNetcdf } from '../../core/formats/grids/netcdf.ts';
import { windsFrom } from '../../core/mission/apart.ts';
import { readerApart } from '../../main/cli/readApart.ts';
import { builtProgram } from '../build.ts';
import { openData } from '../openData.ts';
import { classicBytes, forecast, hdf5Bytes, PLAIN } from './netcdfMade.ts';

const apart = readerApart(pathToFileURL(join(await builtProgram(['main']), 'main', 'readWorker.js')));
/** A thread takes a third of a second: only the C library needs one. */
const read = (bytes: Uint8Array) =>
  windsFrom({ name: 'a.nc', bytes }, { near: [6.5, 42.5] }, bytes[0] === 0x43 ? null : apart);
const runs = Number(process.env['PLUMBLINE_FUZZ_RUNS'] ?? 250);
const file = forecast({ ...PLAIN, packed: true });
const record = forecast({ ...PLAIN, packed: true, record: true });
/** The open files too, where they are: the smallest of each kind. */
const OPEN = ['netcdf/gfs-20101026-12z-crop-classic.nc', 'soundings/arm-darwin-20060122-2326z-35km.nc', 'netcdf/gfs-20101026-12z-conus-netcdf4-deflate.nc']; // prettier-ignore
const seeds: readonly Uint8Array[] = [
  ...([1, 2, 5] as const).flatMap((version) => [classicBytes(file, version), classicBytes(record, version)]),
  await hdf5Bytes(file),
  await hdf5Bytes(forecast(PLAIN)),
  ...OPEN.flatMap((path) => {
    const full = openData(path);
    return full === null ? [] : [new Uint8Array(readFileSync(full))];
  }),
];

const wounded = fc
  .tuple(
    fc.nat(seeds.length - 1),
    fc.array(fc.tuple(fc.boolean(), fc.double({ min: 0, max: 1, noNaN: true }), fc.nat(255), fc.nat(4)), {
      minLength: 1,
      maxLength: 6,
    }),
    fc.double({ min: 0, max: 1, noNaN: true }),
    fc.nat(6),
  )
  .map(([which, wounds, cut, how]) => {
    const bytes = Uint8Array.from(seeds[which] ?? new Uint8Array(0));
    for (const [head, at, byte, kind] of wounds) {
      // Behind the signature, so that what is broken is the file and not its being one.
      const k = 8 + Math.floor(at * ((head ? Math.min(3000, bytes.length) : bytes.length) - 8));
      if (kind === 0) bytes[k] = byte;
      else if (kind === 1) bytes[k] = (bytes[k] ?? 0) ^ (1 << (byte & 7));
      else bytes.fill(kind === 2 ? 0xff : kind === 3 ? 0 : byte, k, k + (byte & 7) + 1);
    }
    return how === 0 ? bytes.subarray(0, Math.floor(cut * bytes.length)) : bytes;
  });

describe('broken netCDF', () => {
  it(
    `${runs} wounded files are answered`,
    async () => {
      let count = 0;
      let decoded = 0;
      await fc.assert(
        fc.asyncProperty(wounded, async (bytes) => {
          count += 1;
          const { value, problems } = await read(bytes);
          expect(value.decoded.length + problems.length).toBeGreaterThan(0);
          decoded += value.decoded.length > 0 ? 1 : 0;
          for (const { levels } of value.decoded) {
            for (const { height_m, speed_mps } of levels) {
              expect(height_m === null || Number.isFinite(height_m)).toBe(true);
              expect(speed_mps === null || speed_mps >= 0).toBe(true);
            }
          }
        }),
        { numRuns: runs },
      );
      console.log(
        `broken netCDF: ${count} files of ${seeds.length} kinds, ${decoded} of them still gave columns; seed ${SEED}`,
      );
      expect(count).toBeGreaterThanOrEqual(runs);
    },
    Math.max(180_000, runs * 400),
  );

  it('after all that a whole file is read', async () => {
    const { value, problems } = await read(await hdf5Bytes(forecast(PLAIN)));
    expect(problems).toEqual([]);
    expect(value.decoded.length).toBe(2);
  });

  it('any bytes are answered', async () => {
    const marks = [[], [0x43, 0x44, 0x46, 1], [0x43, 0x44, 0x46, 5], [0x89, 0x48, 0x44, 0x46, 0x0d, 0x0a, 0x1a, 0x0a]];
    await fc.assert(
      fc.asyncProperty(fc.uint8Array({ maxLength: 400 }), fc.nat(marks.length - 1), async (bytes, which) => {
        const { value, problems } = await readNetcdf(Uint8Array.from([...(marks[which] ?? []), ...bytes]), {});
        expect(value.decoded).toEqual([]);
        expect(problems.length).toBeGreaterThan(0);
      }),
      { numRuns: 400 },
    );
  });
});
