// Every reader of files and of typed lines, and what it promises of any input. Used by `fuzz.test.ts` (a short run in
// `npm test`) and by a run at night: PLUMBLINE_FUZZ=1000000 npx vitest run tests/formats/fuzz.test.ts, with
// PLUMBLINE_FUZZ_SEED=n for other inputs than yesterday's. A new reader joins by one entry in `READERS`; that is the
// only list of broken inputs.
import { existsSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { gzipSync, strToU8, zipSync } from 'fflate';
import { readAprs } from '../../core/formats/tracks/aprs.ts';
import { readFeatures } from '../../core/formats/areas/features.ts';
import { readCsv } from '../../core/formats/winds/csv.ts';
import { readDropsonde } from '../../core/formats/winds/dropsonde.ts';
import { readFb } from '../../core/formats/winds/fb.ts';
import { readGpsd } from '../../core/formats/tracks/gpsd.ts';
import { readGpx } from '../../core/formats/tracks/gpx.ts';
import { grib2Fields, readGrib2 } from '../../core/formats/grids/grib2.ts';
import { readHgt } from '../../core/formats/terrain/hgt.ts';
import { readIgc } from '../../core/formats/tracks/igc.ts';
import { readIgra } from '../../core/formats/winds/igra.ts';
import { readKmlTracks } from '../../core/formats/tracks/kml.ts';
import { readListing } from '../../core/formats/winds/listing.ts';
import { readLog } from '../../core/log/read.ts';
import { readMesonet } from '../../core/formats/winds/mesonet.ts';
import { readMetar } from '../../core/formats/winds/metar.ts';
import { readNetcdf } from '../../core/formats/grids/netcdf.ts';
import { readNmea } from '../../core/formats/tracks/nmea.ts';
import { readPilot } from '../../core/formats/winds/pilot.ts';
import { toTerrainGrid } from '../../core/formats/terrain/raster.ts';
import { readReport } from '../../core/formats/messages/report.ts';
import type { ReportContext, ReportReading } from '../../core/formats/messages/report.ts';
import { readTemp } from '../../core/formats/winds/temp.ts';
import { readTerrain } from '../../core/formats/terrain/terrain.ts';
import { decodeText } from '../../core/formats/text/text.ts';
import { readTrack } from '../../core/formats/tracks/track.ts';
import { readWindFile } from '../../core/formats/winds/winds.ts';
import { logEvent } from '../../core/log/events.ts';
import { readMission } from '../../core/plan/read.ts';
import { mission as missionSchema } from '../../core/plan/schema.ts';
import type { Read } from '../../core/base/problem.ts';
import type { DecodedWinds } from '../../core/air/levels.ts';
import { windsFrom } from '../../core/mission/apart.ts';
import { readerApart } from '../../main/cli/readApart.ts';
import { builtProgram } from '../build.ts';
import { openData, projectRoot } from '../openData.ts';
import type { FuzzInputs } from './fuzzInputs.ts';
import { brokenAreas, brokenProblems, brokenTerrain, brokenTracks, brokenWinds, notFinite } from './fuzzPromises.ts';
import * as seed from './fuzzSeeds.ts';
import { answers, bytesOf, sampleBytes } from './gribAnswers.ts';
import { deflatedTerrain } from '../bench/growthTerrain.ts';
import { classicBytes, forecast, hdf5Bytes, PLAIN } from './netcdfMade.ts';

const REFERENCE_S = Date.UTC(2026, 3, 15) / 1000;
const DATED = { reference_s: REFERENCE_S };

/** What is to be known of one answer. */
interface Checked {
  /** What of the reader's promise is broken; null where all of it is kept. */
  readonly broken: string | null;
  /** Whether the input was understood, in part at least. */
  readonly understood: boolean;
}

export interface FuzzReader extends FuzzInputs {
  readonly name: string;
  /** Inputs for each one of a reader of short texts: less than 1 where reading takes milliseconds. */
  readonly share: number;
  /** A binary format gets a tenth of all inputs, in `npm test` at most so many, by what one takes; null: a text. */
  readonly quick: number | null;
  /** The first so many seeds are ours, and understood; of the open data the first lines may hold nothing yet. */
  readonly ownSeeds: number;
  readonly check: (bytes: Uint8Array) => Checked | Promise<Checked>;
}

interface Entry<T> extends FuzzInputs {
  readonly share?: number;
  readonly quick?: number;
  /**
   * Files of the open data that are seeds too where they are there: the first 3000 characters of texts, binary files
   * whole.
   */
  readonly open?: readonly string[];
  readonly read: (bytes: Uint8Array) => Read<T> | Promise<Read<T>>;
  readonly broken: (value: T) => string | null;
  readonly understood: (value: T) => boolean;
  /** An empty text is a legal input that gives nothing and deserves no word. */
  readonly blankIsLegal?: boolean;
}

const TEXT_SEED_LENGTH = 3000;

function openSeeds(paths: readonly string[], binary: boolean): (string | Uint8Array)[] {
  return paths.flatMap((path) => {
    const full = openData(path);
    if (full === null) return [];
    const bytes = readFileSync(full);
    return [binary ? new Uint8Array(bytes) : bytes.toString('latin1').slice(0, TEXT_SEED_LENGTH)];
  });
}

function reader<T>(name: string, entry: Entry<T>): FuzzReader {
  const { open = [], seeds, read, broken, understood, share = 1, quick = null } = entry;
  const binary = seeds.some((one) => typeof one !== 'string');
  const check = async (bytes: Uint8Array): Promise<Checked> => {
    const { value, problems } = await read(bytes);
    const known = understood(value);
    const blank = entry.blankIsLegal === true && text(bytes).trim() === '';
    const silent = !known && problems.length === 0 && !blank ? 'nothing decoded and nothing said' : null;
    return { broken: silent ?? brokenProblems(problems) ?? broken(value), understood: known };
  };
  return { ...entry, name, share, quick, ownSeeds: seeds.length, seeds: [...seeds, ...openSeeds(open, binary)], check };
}

const text = (bytes: Uint8Array): string => decodeText(bytes).value;
const some = (list: readonly unknown[]): boolean => list.length > 0;

const winds = (
  name: string,
  seeds: readonly string[],
  read: (input: string) => Read<DecodedWinds[]>,
  open: readonly string[] = [],
): FuzzReader =>
  reader(name, { seeds, open, read: (bytes) => read(text(bytes)), broken: brokenWinds, understood: some });

const inFolder = (folder: string, ...names: readonly string[]): string[] => names.map((name) => `${folder}/${name}`);
const TEMP_FILES = inFolder(
  'winds-text',
  'temp-83779-20230223-12z.txt',
  'temp-72235-20060922-12z.txt',
  'tempdrop-20170920-0250z.txt',
);
const METAR_FILES = inFolder('winds-text', 'metar-20190701-12z.txt', 'metar-bulletins-20200106-00z.wmo');
const PILOTS = [
  seed.PILOT,
  'PPBB 65120 96565 90/12 00000 28005 29504 8234/ 33504 34005 21212 00850 28010 11700 29012 =',
  'PPCC 65120 72694 55370 28010 28011 28012 77250 29060 41010 =',
];

const WIND_TEXTS: readonly FuzzReader[] = [
  winds('table', [seed.CSV, seed.SEMICOLONS, seed.GEMPAK], readCsv),
  winds('listing', [seed.LISTING, seed.TITLED], readListing),
  winds('IGRA', [seed.IGRA, seed.DERIVED], readIgra),
  winds('FB', [seed.FB], (input) => readFb(input, DATED)),
  winds('mesonet', [seed.MESONET], readMesonet),
  winds('dropsonde', [seed.SONDE], readDropsonde),
  winds('TEMP', [seed.TEMP], (input) => readTemp(input, DATED), TEMP_FILES),
  winds('PILOT', PILOTS, (input) => readPilot(input, DATED)),
  winds('METAR', [seed.METAR], (input) => readMetar(input, DATED), METAR_FILES),
  reader('any wind file', {
    seeds: [
      seed.CSV,
      seed.LISTING,
      seed.TITLED,
      seed.IGRA,
      seed.FB,
      seed.MESONET,
      seed.SONDE,
      seed.TEMP,
      seed.PILOT,
      seed.METAR,
      seed.STREAM,
    ],
    marks: ['GRIB\0\0\0\u0002', 'CDF\u0001\0\0\0\0', 'PK\u0003\u0004', '\u001f\u008b\u0008'],
    read: async (bytes) => {
      const { value, problems } = await readWindFile({ name: 'fuzz', bytes }, { ...DATED, near: [10, 50] });
      return { value: value.decoded, problems };
    },
    broken: brokenWinds,
    understood: some,
  }),
  reader('packed wind file', {
    share: 0.3,
    seeds: [zipSync({ 'a.txt': strToU8(seed.CSV), 'b.txt': strToU8(seed.STREAM) }), gzipSync(strToU8(seed.TEMP))],
    read: async (bytes) => {
      const { value, problems } = await readWindFile({ name: 'fuzz', bytes }, DATED);
      return { value: value.decoded, problems };
    },
    broken: brokenWinds,
    understood: some,
  }),
];

/** One small message of each packing and grid, and the first messages of a real forecast. */
const GRIB_SEEDS: readonly Uint8Array[] = [
  ...answers.packings.filter(({ name }) => /-(8|13)$|^gdal|^bitmap|ieee/.test(name)).map(bytesOf),
  ...answers.geometry.map(bytesOf),
  sampleBytes('gfs.grb').subarray(0, 60_000),
  sampleBytes('eta.grb').subarray(0, 40_000),
];

const NETCDF = forecast({ ...PLAIN, packed: true });
const NETCDF_RECORDS = forecast({ ...PLAIN, packed: true, record: true });

const netcdf = (bytes: Uint8Array): Promise<Read<readonly DecodedWinds[]>> =>
  readNetcdf(bytes, { near: [6.5, 42.5] }).then(({ value, problems }) => ({ value: value.decoded, problems }));

const apart = builtProgram(['main']).then((dist) => readerApart(pathToFileURL(join(dist, 'main', 'readWorker.js'))));

const GRIDDED: readonly FuzzReader[] = [
  reader('GRIB2', {
    quick: 200,
    seeds: GRIB_SEEDS,
    marks: ['GRIB\0\0\0\u0002', 'GRIB'],
    read: async (bytes) => {
      const { value, problems } = await readGrib2(bytes, { near: [-104, 40] });
      // Every field is unpacked too, not only the winds.
      const fields = (await grib2Fields(bytes)).value.map((field) => field.values());
      return { value: { decoded: value.decoded, fields }, problems };
    },
    broken: ({ decoded, fields }) =>
      brokenWinds(decoded) ??
      (fields.some((values) => values === '' || values.length === 0) ? 'a field without a value or a word' : null),
    understood: ({ decoded, fields }) => some(decoded) || some(fields),
  }),
  reader('netCDF classic', {
    quick: 400,
    seeds: ([1, 2, 5] as const).flatMap((version) => [
      classicBytes(NETCDF, version),
      classicBytes(NETCDF_RECORDS, version),
    ]),
    open: ['netcdf/gfs-20101026-12z-crop-classic.nc', 'soundings/arm-darwin-20060122-2326z-35km.nc'],
    marks: ['CDF\u0001', 'CDF\u0002', 'CDF\u0005'],
    read: netcdf,
    // A wounded binary file may hold any wind: that it is answered is promised here, what stands in it by
    // `netcdfFuzz.test.ts`.
    broken: () => null,
    understood: some,
  }),
  // Each in a thread of its own, as the program reads them: a damaged one may spoil the library for the rest.
  reader('netCDF-4', {
    quick: 30,
    seeds: [await hdf5Bytes(NETCDF), await hdf5Bytes(forecast(PLAIN))],
    marks: ['\u0089HDF\r\n\u001a\n'],
    read: async (bytes) => {
      const { value, problems } = await windsFrom({ name: 'fuzz.nc', bytes }, { near: [6.5, 42.5] }, await apart);
      return { value: value.decoded, problems };
    },
    broken: () => null,
    understood: some,
  }),
];

const TRACKS_OPEN = {
  nmea: inFolder(
    'tracks',
    'drop-halo-20240831-130430-1s.nmea',
    'gpsd-bt451.nmea',
    'gpsd-tr737Aplus.nmea',
    'gpsd-quectel-eg25-g.nmea',
  ),
  aprs: inFolder('tracks', 'balloon-lamont-20190101.aprs'),
  gpx: inFolder('tracks', 'walk-korita.gpx', 'bom.gpx', 'empty-ele.gpx', 'track-with-empty-segment.gpx'),
  igc: inFolder(
    'tracks',
    'glider-20161108-crosses-midnight.igc',
    'paraglider-20231008-5400m.igc',
    'paraglider-20241007-short.igc',
  ),
  kml: inFolder('tracks', 'gxtrack.kml'),
} as const;

const track = (
  name: string,
  seeds: readonly string[],
  read: (input: string, bytes: Uint8Array) => ReturnType<typeof readTrack>,
  open: readonly string[] = [],
): FuzzReader =>
  reader(name, { seeds, open, read: (bytes) => read(text(bytes), bytes), broken: brokenTracks, understood: some });

const TRACKS: readonly FuzzReader[] = [
  track('NMEA', [seed.NMEA], (input) => readNmea(input, DATED), TRACKS_OPEN.nmea),
  track('APRS', [seed.APRS], (input) => readAprs(input, DATED), TRACKS_OPEN.aprs),
  track('gpsd', [seed.GPSD], readGpsd),
  track('GPX', [seed.GPX], readGpx, TRACKS_OPEN.gpx),
  track('IGC', [seed.IGC], (input) => readIgc(input, DATED), TRACKS_OPEN.igc),
  track('KML tracks', [seed.KML], readKmlTracks, TRACKS_OPEN.kml),
  track(
    'any track',
    [seed.NMEA, seed.APRS, seed.GPSD, seed.GPX, seed.IGC, seed.KML],
    (_, bytes) => readTrack('fuzz', bytes, DATED),
    Object.values(TRACKS_OPEN).flat(),
  ),
];

/** The north-west corner of a demo's ground as an SRTM tile would hold it: a slope, with voids. */
function hgtTile(): Uint8Array {
  const view = new DataView(new ArrayBuffer(1201 * 1201 * 2));
  for (let k = 0; k < 1201 * 1201; k++) view.setInt16(2 * k, k % 977 === 0 ? -32768 : 200 + (k % 1201), false);
  return new Uint8Array(view.buffer);
}

const demoFile = (path: string): Uint8Array => new Uint8Array(readFileSync(join(projectRoot, 'data', path)));
const demoText = (path: string): string => readFileSync(join(projectRoot, 'data', path), 'utf8');
const GEOTIFFS = inFolder(
  'terrain',
  'indiana-float32-geographic.tif',
  'mt-washington-float32-tiles-lzw-pred3.tif',
  'mt-washington-int16-bigendian-none.tif',
  'mt-washington-int16-bigtiff-tiled.tif',
  'mt-washington-int16-strips-deflate-pred2.tif',
  'mt-washington-utm19n-100m-nodata.tif',
).filter((path) => existsSync(join(projectRoot, '../shared/open-data', path)));

const TERRAIN = { broken: brokenTerrain, understood: (grid: unknown): boolean => grid !== null };

const GROUND: readonly FuzzReader[] = [
  reader('GeoTIFF', {
    ...TERRAIN,
    quick: 400,
    seeds: [demoFile('town-meadow/terrain.tif'), deflatedTerrain(40)],
    open: GEOTIFFS,
    marks: ['II*\0', 'MM\0*', 'II+\0', 'MM\0+'],
    read: (bytes) => readTerrain('fuzz.tif', bytes, [11, 48]),
  }),
  reader('hgt', {
    ...TERRAIN,
    quick: 30,
    seeds: [hgtTile()],
    read: (bytes) => {
      const tile = readHgt('N44W072.hgt', bytes);
      if (tile.value === null) return { value: null, problems: tile.problems };
      const grid = toTerrainGrid(tile.value, null);
      return { value: grid.value, problems: [...tile.problems, ...grid.problems] };
    },
  }),
  reader('Arc ASCII', {
    ...TERRAIN,
    seeds: [seed.ASC, seed.ASC_METRES],
    read: (bytes) => readTerrain('fuzz.asc', bytes, [9.1, 46.05]),
  }),
  reader('zipped terrain', {
    ...TERRAIN,
    share: 0.3,
    seeds: [zipSync({ 'a.asc': strToU8(seed.ASC), 'b.asc': strToU8(seed.ASC) })],
    marks: ['PK\u0003\u0004'],
    read: (bytes) => readTerrain('fuzz.zip', bytes, null),
  }),
  reader('areas', {
    seeds: [seed.AREAS, seed.KML, seed.GPX],
    open: inFolder(
      'areas',
      'county-51003-one-hole.geojson',
      'county-51003-one-hole.kml',
      'polygon.kml',
      'county-33007-ring.gpx',
    ),
    read: (bytes) => readFeatures('fuzz', text(bytes)),
    broken: brokenAreas,
    understood: some,
  }),
];

const CONTEXT: ReportContext = {
  now_s: Date.UTC(2026, 2, 14, 13, 45) / 1000,
  site: { position: [141.5, -31.9], elevation_m: 120 },
  places: [
    { name: 'Home', kind: 'site', points: [[141.5, -31.9]] },
    { name: 'Low Ridge', kind: 'landmark', points: [[141.5, -31.8]] },
  ],
  teams: [{ name: 'Team 2', position: [141.55, -31.95] }],
  declination_deg: 8,
  nextId: 'w1',
};
const WORDS = (
  '090 7 270/10 kt m/s from to toward at the east north-east ridge team 2 calm vrb gusting 15 ft msl agl fl 390 5 min ago 13:45z zero niner ' +
  'hundred thousand decimal ° - / @ ; 0 1 9 99999 magnetic true blowing smoke metar 09007kt ///// 160v250 141345z between and'
).split(' ');

/** What is wrong with the reading of a line, and with those after each key of its first questions. */
function brokenReading(line: string, reading: ReportReading, depth = 0): string | null {
  if (reading.kind === 'refused') return reading.why.length > 5 ? null : `refused without a reason: ${reading.why}`;
  if (reading.kind === 'read') {
    const { event } = reading;
    const whole = logEvent.safeParse({ ...event, seq: 1, at: event.observedAt });
    if (!whole.success) return `an event that no log can hold: ${JSON.stringify(event)}`;
    const possible = event.from_deg >= 0 && event.from_deg <= 360 && event.speed_mps >= 0 && event.speed_mps <= 150;
    return possible ? notFinite(event) : `a wind that cannot be: ${JSON.stringify(event)}`;
  }
  const [question] = reading.questions;
  if (question === undefined || question.keys.length === 0) return 'asked without a question';
  if (depth > 0) return null;
  for (const key of question.keys) {
    const broken = brokenReading(line, readReport(line, CONTEXT, key.resolves), depth + 1);
    if (broken !== null) return `${key.key}: ${broken}`;
  }
  return null;
}

const TYPED: readonly FuzzReader[] = [
  reader('typed report', {
    seeds: seed.REPORT_LINES,
    words: WORDS,
    read: (bytes) => {
      const line = text(bytes);
      const reading = readReport(line, CONTEXT);
      return { value: { line, reading }, problems: reading.kind === 'refused' ? [{ line: 0, text: reading.why }] : [] };
    },
    broken: ({ line, reading }) => brokenReading(line, reading),
    understood: ({ reading }) => reading.kind !== 'refused',
  }),
  reader('log', {
    seeds: [demoText('salt-plain/salt-plain.log.jsonl'), demoText('town-meadow/town-meadow.log.jsonl')],
    read: (bytes) => readLog(text(bytes)),
    broken: (events) => {
      const wrong = events.find(
        (event, i) => !logEvent.safeParse(event).success || event.seq <= (events[i - 1]?.seq ?? -1),
      );
      return wrong === undefined ? null : `an invalid event, or one out of order: ${JSON.stringify(wrong)}`;
    },
    understood: some,
    blankIsLegal: true,
  }),
  reader('mission', {
    share: 0.3,
    seeds: [demoText('salt-plain/salt-plain.mission.json'), demoText('town-meadow/town-meadow.mission.json')],
    read: (bytes) => readMission(text(bytes)),
    broken: (value) => {
      if (value === null) return null;
      const again = missionSchema.safeParse(value.mission);
      return again.success ? notFinite(value.mission) : `an invalid mission: ${again.error.issues[0]?.message ?? ''}`;
    },
    understood: (value) => value !== null,
  }),
];

export const READERS: readonly FuzzReader[] = [...WIND_TEXTS, ...GRIDDED, ...TRACKS, ...GROUND, ...TYPED];

/** Inputs of the run in `npm test`. */
export const QUICK_INPUTS = 10_000;
/** Of all inputs, for each binary format. */
export const BINARY_SHARE = 0.1;
const isBinary = ({ quick }: FuzzReader): boolean => quick !== null;
const shares = READERS.reduce((sum, one) => sum + (isBinary(one) ? 0 : one.share), 0);
const forTexts = 1 - BINARY_SHARE * READERS.filter(isBinary).length;

/**
 * How many of all inputs go to one reader: a tenth to each binary format, the rest to the others by their shares, and
 * never fewer than ten. Binary files take up to a tenth of a second each: `npm test` reads fewer of them.
 */
export function runsOf(one: FuzzReader, inputs: number): number {
  const runs = Math.max(10, Math.ceil(inputs * (one.quick === null ? (forTexts * one.share) / shares : BINARY_SHARE)));
  return inputs > QUICK_INPUTS ? runs : Math.min(runs, one.quick ?? runs);
}
