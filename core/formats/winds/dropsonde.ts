// Raw samples of a dropsonde, several a second from release to splash: time, pressure, temperature, GPS wind and GPS
// altitude. Altitudes are geometric, above mean sea level, and end some metres above or below the sea. One level a
// sample.
//
// Two things in such a record are not winds: the first seconds, in which the sonde still flies with its aircraft, and
// single samples of a bad fix. Both keep their height, temperature and pressure and lose their wind, and are said.
import { direction } from '../../words/winds.ts';
import { quantity } from '../../words/numbers.ts';
import type { Read } from '../../base/problem.ts';
import { windVector } from '../../base/units.ts';
import type { LonLat } from '../../base/units.ts';
import type { DecodedLevel, DecodedWinds } from '../../air/levels.ts';
import { columnOf, readCells } from './columns.ts';
import type { Column } from './columns.ts';
import { hasContent, isBlank, levelOf, positionOf } from './rows.ts';
import { shown } from '../text/shown.ts';
import { answer, decodedWinds, Findings, linesOf, numberOf, refused } from '../text/text.ts';
import type { TextPlace } from '../text/text.ts';
import { parseTime } from '../text/times.ts';

/**
 * Time after release until a sonde on its parachute moves with the air: after it the record of the falls here is
 * steady.
 */
const SETTLING_S = 20;
/**
 * A sample further than this from the median of the samples about it, in each component, is a bad fix: the turbulence
 * is below 2 m/s.
 */
const WIND_SPIKE_MPS = 4;
/**
 * The same for altitude: four fixes half a second apart at 20 m/s down are 40 m, and the median stands in their middle.
 */
const ALTITUDE_SPIKE_M = 60;
/** Samples on either side that the median is of. */
const ABOUT = 4;

interface Sample {
  readonly place: TextPlace;
  readonly time: string | null;
  readonly position: LonLat | null;
  level: DecodedLevel;
}

/** A header that names a GPS altitude, a wind and a vertical speed belongs to a falling sonde. */
export const isDropsondeHeader = (header: string): boolean =>
  /\bgps_altitude/i.test(header) && /\bvertical_speed/i.test(header) && /wind_from/i.test(header);

interface Drop {
  readonly samples: Sample[];
  /** Index of the first sample after the settling. */
  readonly settled: number;
}

const isWind = (column: Column): boolean => column.quantity === 'from' || column.quantity === 'speed';

/** Reads the rows; in the first seconds after the first time that is one, without their wind. */
function readSamples(lines: readonly string[], headerAt: number, columns: readonly Column[], findings: Findings): Drop {
  const samples: Sample[] = [];
  const timeColumn = columns.find((column) => column.quantity === 'time');
  const speedColumn = columns.find((column) => column.quantity === 'speed');
  const air = columns.filter((column) => !isWind(column));
  let release: { readonly ms: number; readonly line: number } | null = null;
  let settled = -1;
  let left = 0;
  let fastest = 0;
  for (let i = headerAt + 1; i < lines.length; i++) {
    const row = lines[i] ?? '';
    if (row.trim() === '' || row.startsWith('#')) continue;
    const place = { line: i + 1 };
    const cells = row.split(',');
    const written = timeColumn === undefined ? '' : (cells[timeColumn.index] ?? '').trim();
    const time = parseTime(written);
    if (time === null)
      findings.add('times', place, `time ${shown(written)}; expected UTC such as 2020-01-17T14:32:48.75Z`);
    else {
      release ??= { ms: Date.parse(time), line: place.line };
      if (settled < 0 && Date.parse(time) - release.ms >= SETTLING_S * 1000) settled = samples.length;
    }
    const speed = settled < 0 && speedColumn !== undefined ? numberOf((cells[speedColumn.index] ?? '').trim()) : NaN;
    if (!Number.isNaN(speed)) {
      left += 1;
      fastest = Math.max(fastest, speed);
    }
    const read = readCells(settled < 0 ? air : columns, cells, place, findings);
    const level = levelOf(read, place, findings);
    const { longitude, latitude } = read;
    const position =
      longitude === undefined || latitude === undefined ? null : positionOf(longitude, latitude, place, findings);
    if (hasContent(level)) samples.push({ place, time, position, level });
    else if (isBlank(read) && Number.isNaN(speed))
      findings.add('rows without any value', place, 'the row holds nothing that can be used');
  }
  if (left > 0) {
    const text =
      `the wind of ${left} samples in the first ${SETTLING_S} s is left out: it is the aircraft's motion (up ` +
      `to ${quantity(fastest, 'm/s')})`;
    findings.add('settling', { line: release?.line ?? 0 }, `${text}, not the air's`);
  }
  return { samples, settled: settled < 0 ? samples.length : settled };
}

const median = (values: number[]): number => {
  values.sort((a, b) => a - b);
  return values[values.length >> 1] ?? 0;
};

/**
 * Indices of values that leave the median of the values about them (and themselves) by more than `most`. Below nine
 * values: none.
 */
function spikes(values: readonly number[], most: number): Set<number> {
  const width = 2 * ABOUT + 1;
  const found = new Set<number>();
  if (values.length < width) return found;
  values.forEach((value, i) => {
    const first = Math.min(Math.max(0, i - ABOUT), values.length - width);
    if (!(Math.abs(value - median(values.slice(first, first + width))) <= most)) found.add(i);
  });
  return found;
}

/** Takes the wind out of samples that leave their neighbours; the neighbours are those of the record as it was read. */
function dropWindSpikes(samples: readonly Sample[], findings: Findings): void {
  const winds = samples.filter((sample) => sample.level.speed_mps !== null);
  const uv = winds.map(({ level }) => windVector(level.from_deg ?? 0, level.speed_mps ?? 0));
  const bad = [0, 1].map((c) =>
    spikes(
      uv.map((wind) => wind[c] ?? 0),
      WIND_SPIKE_MPS,
    ),
  );
  winds.forEach((sample, i) => {
    if (!bad.some((set) => set.has(i))) return;
    const wind = `${direction(sample.level.from_deg ?? 0)} ${quantity(sample.level.speed_mps ?? 0, 'm/s', 1)}`;
    const text = `wind ${wind} leaves the samples about it by more than ${WIND_SPIKE_MPS} m/s: a bad fix, left out`;
    findings.add('winds of a bad fix', sample.place, text);
    sample.level = { ...sample.level, from_deg: null, speed_mps: null };
  });
}

function dropAltitudeSpikes(samples: readonly Sample[], findings: Findings): void {
  const fixes = samples.filter((sample) => sample.level.height_m !== null);
  const bad = spikes(
    fixes.map((sample) => sample.level.height_m ?? 0),
    ALTITUDE_SPIKE_M,
  );
  for (const i of bad) {
    const sample = fixes[i];
    if (sample === undefined) continue;
    const text =
      `altitude ${sample.level.height_m ?? 0} m leaves the fixes about it by more than ${ALTITUDE_SPIKE_M} m: ` +
      'a bad fix, left out';
    findings.add('altitudes of a bad fix', sample.place, text);
    sample.level = { ...sample.level, height_m: null };
  }
}

/**
 * Reads one drop.
 *
 * Legal      blank cells (pressure and position come on alternate rows, wind on all), a record that begins halfway down
 * Not legal  a header without wind_from_deg, wind_speed and gps_altitude_m; an invalid time; a speed without a
 *            direction
 */
export function readDropsonde(text: string): Read<DecodedWinds[]> {
  const lines = linesOf(text);
  const headerAt = lines.findIndex(isDropsondeHeader);
  if (headerAt < 0)
    return refused(
      0,
      'no header of a dropsonde; expected time,…,wind_from_deg,wind_speed_ms,vertical_speed_ms,…,gps_altitude_m',
    );
  const findings = new Findings();
  const columns: Column[] = [];
  (lines[headerAt] ?? '').split(',').forEach((name, index) => {
    const named = columnOf(name, index);
    if (named.kind === 'column') columns.push(named.column);
    else if (named.kind === 'wrong') findings.add('columns', { line: headerAt + 1 }, named.text);
  });
  const { samples, settled } = readSamples(lines, headerAt, columns, findings);
  dropAltitudeSpikes(samples.slice(settled), findings);
  dropWindSpikes(samples, findings);
  const low = samples.filter((sample) => sample.level.speed_mps !== null && sample.level.height_m === null).length;
  if (low > 0)
    findings.add(
      'winds without a height',
      { line: 0 },
      `${low} winds come without an altitude of their own and have height null`,
    );
  const decoded = decodedWinds(
    {
      source: 'dropsonde',
      validTime: samples.find((sample) => sample.time !== null)?.time ?? null,
      // The first fixes may be far away; the place of the drop is the first one after the sonde has settled.
      position: samples.slice(settled).find((sample) => sample.position !== null)?.position ?? null,
      levels: samples.map((sample) => sample.level),
    },
    findings,
    'no sample follows the header',
  );
  return answer([decoded]);
}
