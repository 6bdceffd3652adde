// A Web Worker for one netCDF-4 file (`core/formats/grids/apart.ts`).
import type { ApartAsk } from '../core/formats/grids/apart.ts';
import { readNetcdf } from '../core/formats/grids/netcdf.ts';

self.addEventListener('message', ({ data }: MessageEvent<ApartAsk>) => {
  void readNetcdf(data.bytes, data.options).then((read) => self.postMessage(read));
});
