// What a GeoTIFF's keys say of its coordinates, which npm geotiff leaves to its user. Source: OGC GeoTIFF 1.1
// (19-008r4) §7 for the keys, EPSG for the codes.
import { M_PER_FT } from '../../base/units.ts';
import { utmCrs } from './raster.ts';
import type { Crs } from './raster.ts';

/** The keys whose value is a number, by their own number in the standard. */
export type GeoKeys = ReadonlyMap<number, number>;

const KEY = {
  modelType: 1024,
  rasterType: 1025,
  geodeticCrs: 2048,
  angularUnits: 2054,
  projectedCrs: 3072,
  projection: 3074,
  method: 3075,
  linearUnits: 3076,
  linearUnitSize: 3077,
  originLon: 3080,
  originLat: 3081,
  falseEasting: 3082,
  falseNorthing: 3083,
  falseOriginLon: 3084,
  centreLon: 3088,
  centreLat: 3089,
  scaleAtOrigin: 3092,
  scaleAtCentre: 3093,
  verticalUnits: 4099,
} as const;

/** Whether a cell's coordinates are those of its middle (raster type 2) and not of its corner. */
export const cellIsPoint = (keys: GeoKeys | null): boolean => keys?.get(KEY.rasterType) === 2;

export interface CrsAnswer {
  readonly crs: Crs;
  /** Metres in one unit of the file's coordinates; 1 for degrees. */
  readonly unit_m: number;
  readonly notes: readonly string[];
}

const USER_DEFINED = 32767;

/**
 * Datums that lie within some metres of WGS 84: WGS 84 itself, ETRS89, NAD83 and its realisations, GDA, NZGD2000,
 * SIRGAS, RGF93, Hartebeesthoek94, JGD.
 */
const NEAR_WGS84 = new Set([
  4326, 4979, 4258, 4269, 4617, 4759, 6318, 6783, 4283, 7844, 4167, 4674, 4171, 4148, 4612, 6668, 4490, 4019, 4030,
  4322, 9057, 9755, 4937, 4939,
]);

const EARLIER_DATUMS = new Map([
  [4267, 'NAD27'],
  [4230, 'ED50'],
  [4277, 'OSGB36'],
  [4314, 'DHDN'],
  [4222, 'Cape'],
  [4202, 'AGD66'],
  [4203, 'AGD84'],
]);

const get = (keys: GeoKeys | null, key: number): number | null => keys?.get(key) ?? null;

/** UTM by EPSG code: WGS 84 north and south, NAD83, ETRS89, GDA94, GDA2020, SIRGAS 2000, NAD83(CSRS), in this order. */
function utmByCode(code: number): Crs | null {
  const range = (first: number, last: number, zone: number, south: boolean): Crs | null =>
    code >= first && code <= last ? utmCrs(zone + code - first, south) : null;
  return (
    range(32601, 32660, 1, false) ??
    range(32701, 32760, 1, true) ??
    range(26901, 26923, 1, false) ??
    range(25828, 25838, 28, false) ??
    range(28348, 28358, 48, true) ??
    range(7846, 7859, 46, true) ??
    range(31965, 31976, 11, false) ??
    range(31977, 31985, 17, true) ??
    range(2955, 2957, 11, false) ??
    range(2958, 2962, 17, false)
  );
}

/** The coordinate system, or a sentence why it cannot be read. */
export function crsOf(keys: GeoKeys | null): CrsAnswer | string {
  if (keys === null || keys.size === 0) return { crs: { kind: 'unknown' }, unit_m: 1, notes: [] };
  const model = get(keys, KEY.modelType);
  const projected = get(keys, KEY.projectedCrs);
  const geographic = get(keys, KEY.geodeticCrs);
  if (model === 3) return 'geocentric coordinates; expected longitude and latitude, or UTM';
  if (model === 1 || (model !== 2 && projected !== null)) return projectedCrs(keys, projected, geographic);
  if (model === 2 || geographic !== null) {
    const angular = get(keys, KEY.angularUnits);
    if (angular !== null && angular !== 9102 && angular !== 9122 && angular !== USER_DEFINED) {
      return `angles in unit ${angular}; expected degrees (9102)`;
    }
    return { crs: { kind: 'geographic' }, unit_m: 1, notes: datumNotes(geographic) };
  }
  return { crs: { kind: 'unknown' }, unit_m: 1, notes: [] };
}

function datumNotes(code: number | null): string[] {
  if (code === null || code === USER_DEFINED || code === 0)
    return ['coordinate system without a name; its longitude and latitude are read as WGS 84'];
  if (NEAR_WGS84.has(code)) return [];
  const name = EARLIER_DATUMS.get(code);
  return [`datum ${name ?? `EPSG:${code}`}, read as WGS 84: positions may be off by up to some 200 m`];
}

function linearUnit(keys: GeoKeys): number | string {
  const code = get(keys, KEY.linearUnits);
  if (code === null || code === 9001) return 1;
  if (code === 9002) return M_PER_FT;
  if (code === 9003) return 1200 / 3937;
  const size = get(keys, KEY.linearUnitSize);
  if (code === USER_DEFINED && size !== null && size > 0) return size;
  return `coordinates in unit ${code}; expected metres (9001) or feet (9002, 9003)`;
}

function projectedCrs(keys: GeoKeys, code: number | null, geographic: number | null): CrsAnswer | string {
  const unit_m = linearUnit(keys);
  if (typeof unit_m === 'string') return unit_m;
  if (code !== null && code !== USER_DEFINED) {
    const utm = utmByCode(code);
    if (utm !== null) return { crs: utm, unit_m, notes: [] };
    if (code === 3857 || code === 900913) return { crs: { kind: 'web Mercator' }, unit_m, notes: [] };
    return (
      `projection EPSG:${code}; expected longitude and latitude or UTM (gdalwarp -t_srs EPSG:4326 turns it ` +
      'into that)'
    );
  }
  const method = get(keys, KEY.method);
  const utm = utmByProjection(get(keys, KEY.projection));
  const notes = geographic === null ? [] : datumNotes(geographic);
  if (utm !== null) return { crs: utm, unit_m, notes };
  if (method !== 1)
    return (
      `projection method ${method ?? 'not named'}; expected longitude and latitude, UTM or another transverse ` +
      'Mercator (1)'
    );
  const lon0_deg = get(keys, KEY.originLon) ?? get(keys, KEY.centreLon) ?? get(keys, KEY.falseOriginLon);
  if (lon0_deg === null) return 'transverse Mercator without its central meridian; expected key 3080';
  return {
    crs: {
      kind: 'transverse Mercator',
      lon0_deg,
      lat0_deg: get(keys, KEY.originLat) ?? get(keys, KEY.centreLat) ?? 0,
      scale: get(keys, KEY.scaleAtOrigin) ?? get(keys, KEY.scaleAtCentre) ?? 1,
      falseEasting_m: (get(keys, KEY.falseEasting) ?? 0) * unit_m,
      falseNorthing_m: (get(keys, KEY.falseNorthing) ?? 0) * unit_m,
    },
    unit_m,
    notes,
  };
}

/** Projection codes 16001 to 16060 and 16101 to 16160: UTM zones without a datum. */
function utmByProjection(code: number | null): Crs | null {
  if (code === null) return null;
  if (code >= 16001 && code <= 16060) return utmCrs(code - 16000, false);
  if (code >= 16101 && code <= 16160) return utmCrs(code - 16100, true);
  return null;
}

/** Metres in one unit of height; a sentence where the unit is not a length. */
export function verticalUnit(keys: GeoKeys | null, named: string | null): number | string {
  const text = named?.trim().toLowerCase() ?? '';
  const byName = new Map([
    ['', null],
    ['m', 1],
    ['metre', 1],
    ['meter', 1],
    ['metres', 1],
    ['meters', 1],
    ['ft', M_PER_FT],
    ['foot', M_PER_FT],
    ['feet', M_PER_FT],
    ['us survey foot', 1200 / 3937],
    ['ftus', 1200 / 3937],
    ['us-ft', 1200 / 3937],
    ['cm', 0.01],
    ['centimetre', 0.01],
    ['centimeter', 0.01],
    ['dm', 0.1],
    ['mm', 0.001],
  ]).get(text);
  if (byName === undefined) return `heights in "${named}"; expected metres or feet`;
  if (byName !== null) return byName;
  const code = get(keys, KEY.verticalUnits);
  if (code === null || code === 9001) return 1;
  if (code === 9002) return M_PER_FT;
  if (code === 9003) return 1200 / 3937;
  if (code === 1033) return 0.01;
  return `heights in unit ${code}; expected metres (9001) or feet (9002, 9003)`;
}
