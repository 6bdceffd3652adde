// A thread for one netCDF-4 file (`core/formats/apart.ts`).
import { parentPort } from 'node:worker_threads';
import type { ApartAsk } from '../core/formats/apart.ts';
import { readNetcdf } from '../core/formats/netcdf.ts';

parentPort?.once('message', ({ bytes, options }: ApartAsk) => {
  void readNetcdf(bytes, options).then((read) => parentPort?.postMessage(read));
});
