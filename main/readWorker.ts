// A thread for one netCDF-4 file (`core/formats/grids/apart.ts`).
import { parentPort } from 'node:worker_threads';
import type { ApartAsk } from '../core/formats/grids/apart.ts';
import { readNetcdf } from '../core/formats/grids/netcdf.ts';

parentPort?.once('message', ({ bytes, options }: ApartAsk) => {
  void readNetcdf(bytes, options).then((read) => parentPort?.postMessage(read));
});
