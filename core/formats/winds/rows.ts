// One row of a wind table to one decoded level, and the checks that need more than one cell or row.
// Heights: a height computed from pressure (radiosonde tables, archives, models) is geopotential and is turned into
// geometric height by the standard's relation; a height by GPS, or in a file of our own, is geometric already.
import { geometricHeight } from '../../air/air.ts';
import { windFrom, wrap180 } from '../../base/units.ts';
import type { LonLat } from '../../base/units.ts';
import type { DecodedLevel } from '../../air/levels.ts';
import type { Cells } from './columns.ts';
import type { Findings, TextPlace } from '../text/text.ts';

export interface PlacedLevel {
  readonly level: DecodedLevel;
  readonly place: TextPlace;
}

/** The wind of a row: both numbers, or none. A speed of 0 needs no direction. */
function windOf(
  row: Cells,
  place: TextPlace,
  findings: Findings,
): { from_deg: number | null; speed_mps: number | null } {
  const { from, speed, u, v } = row;
  if (speed !== undefined && (from !== undefined || speed === 0)) return { from_deg: from ?? null, speed_mps: speed };
  if (u !== undefined && v !== undefined) return windFrom(u, v);
  if (row.refused === true) return { from_deg: null, speed_mps: null };
  if (speed !== undefined)
    findings.add(
      'speeds without a direction',
      place,
      'a speed without a direction; the level counts as one without wind',
    );
  else if (from !== undefined) {
    findings.add(
      'directions without a speed',
      place,
      'a direction without a speed; the level counts as one without wind',
    );
  } else if (u !== undefined || v !== undefined) {
    findings.add(
      'single wind components',
      place,
      'one wind component without the other; the level counts as one without wind',
    );
  }
  return { from_deg: null, speed_mps: null };
}

/**
 * A decoded level from the cells of a row.
 *
 * ground_m  elevation that heights above ground stand on; null where it is not known: such heights then stay unknown
 * Error     geopotential is turned by one Earth radius for all latitudes (USSA 1976 eq. 19); true gravity moves a level
 *           at 30 km by
 *           at most 80 m more, which in a shear of 5 m/s a km is 0.4 m/s: below what a sonde's wind is good for
 */
export function levelOf(
  row: Cells,
  place: TextPlace,
  findings: Findings,
  ground_m: number | null = null,
): DecodedLevel {
  const { height, geopotential, agl } = row;
  let height_m: number | null = null;
  const unplaced = height === undefined && geopotential === undefined && agl !== undefined && ground_m === null;
  if (height !== undefined) height_m = height;
  else if (geopotential !== undefined) height_m = geometricHeight(geopotential);
  else if (agl !== undefined && ground_m !== null) height_m = agl + ground_m;
  return {
    height_m,
    ...(geopotential === undefined ? {} : { geopotential_m: geopotential }),
    pressure_Pa: row.pressure ?? null,
    ...windOf(row, place, findings),
    temperature_K: row.temperature ?? null,
    ...(row.dewPoint === undefined ? {} : { dewPoint_K: row.dewPoint }),
    ...(unplaced ? { agl_m: agl } : {}),
    ...(row.gust === undefined ? {} : { gust_mps: row.gust }),
  };
}

/** True where a row held no number about the air, right or wrong. */
export const isBlank = (row: Cells): boolean =>
  Object.keys(row).every((key) => key === 'latitude' || key === 'longitude');

/** True where a row held anything at all about a level. */
export const hasContent = (level: DecodedLevel): boolean =>
  level.height_m !== null ||
  level.pressure_Pa !== null ||
  level.speed_mps !== null ||
  level.temperature_K !== null ||
  level.dewPoint_K !== undefined;

const tenths = (value: number): number => Math.round(value * 10) / 10;

/**
 * Says where heights repeat or go against the order of the table (which may rise, or fall with a falling sonde).
 * The levels stay as they are: the wind profile sorts them, and of equal heights takes the first.
 */
export function checkHeights(rows: readonly PlacedLevel[], findings: Findings): void {
  const placed = rows.flatMap(({ level, place }) =>
    level.height_m === null
      ? []
      : [{ height_m: level.height_m, printed_m: level.geopotential_m ?? level.height_m, place }],
  );
  let rises = 0;
  placed.forEach((row, i) => {
    const before = placed[i - 1];
    if (before !== undefined && row.height_m !== before.height_m) rises += row.height_m > before.height_m ? 1 : -1;
  });
  const sign = rises >= 0 ? 1 : -1;
  const seen = new Map<number, TextPlace>();
  placed.forEach((row, i) => {
    const before = placed[i - 1];
    const first = seen.get(row.height_m);
    const height = `height ${tenths(row.printed_m)} m`;
    if (first !== undefined) {
      const where = first.label ?? `line ${first.line}`;
      findings.add(
        'repeated heights',
        row.place,
        `${height} repeats that of ${where}; of equal heights the first wind counts`,
      );
    } else if (before !== undefined && sign * (row.height_m - before.height_m) < 0) {
      const against = `${sign > 0 ? 'below' : 'above'} the ${tenths(before.printed_m)} m of the row before`;
      findings.add('heights out of order', row.place, `${height} is ${against}; the levels are sorted before use`);
    }
    if (first === undefined) seen.set(row.height_m, row.place);
  });
}

/** [longitude, latitude] with the longitude brought into −180…180; null, with a finding, where it is not a place. */
export function positionOf(lon: number, lat: number, place: TextPlace, findings: Findings): LonLat | null {
  if (!(lat >= -90 && lat <= 90)) {
    findings.add('positions out of range', place, `latitude ${lat}; expected -90 to 90`);
    return null;
  }
  if (!(lon >= -180 && lon <= 360)) {
    findings.add('positions out of range', place, `longitude ${lon}; expected -180 to 180`);
    return null;
  }
  return [lon > 180 ? wrap180(lon) : lon, lat];
}
