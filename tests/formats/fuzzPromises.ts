// What every reader promises of any input: an answer in sentences with lines, and nothing in its value that cannot be.
// Each check answers what is wrong, or null.
import type { TerrainGrid } from '../../core/earth/terrain.ts';
import type { PlaceFeature } from '../../core/formats/areas/features.ts';
import type { Track } from '../../core/formats/tracks/track.ts';
import type { Problem } from '../../core/base/problem.ts';
import type { LonLat } from '../../core/base/units.ts';
import type { DecodedWinds } from '../../core/air/levels.ts';

const within = (value: number | null | undefined, min: number, max: number): boolean =>
  value === null || value === undefined || (value >= min && value <= max);
const onEarth = ([lon, lat]: LonLat): boolean => within(lon, -180, 180) && within(lat, -90, 90);

export function brokenProblems(problems: readonly Problem[]): string | null {
  for (const problem of problems) {
    if (!Number.isInteger(problem.line) || problem.line < 0 || problem.text.trim() === '')
      return `a problem without line or words: ${JSON.stringify(problem)}`;
    if (problem.text.length > 600) return `a problem of ${problem.text.length} characters`;
  }
  return null;
}

export function brokenWinds(decoded: readonly DecodedWinds[]): string | null {
  for (const source of decoded) {
    if (source.validTime !== null && Number.isNaN(Date.parse(source.validTime)))
      return `a valid time ${source.validTime}`;
    if (source.position !== null && !onEarth(source.position)) return 'a position off the Earth';
    for (const level of source.levels) {
      const sound =
        within(level.height_m, -1100, 120_000) &&
        within(level.from_deg, 0, 360) &&
        within(level.speed_mps, 0, 213) &&
        within(level.temperature_K, 100, 360) &&
        within(level.pressure_Pa, 0, 120_000);
      if (!sound) return `a level that cannot be: ${JSON.stringify(level)}`;
      if (level.from_deg !== null && level.speed_mps === null) return 'a direction without a speed';
    }
  }
  return null;
}

/** 1900 to 2200, the years that a fix may have. */
const YEARS_S = [Date.UTC(1900, 0) / 1000, Date.UTC(2200, 0) / 1000] as const;

export function brokenTracks(tracks: readonly Track[]): string | null {
  for (const { fixes } of tracks) {
    for (const fix of fixes) {
      if (!onEarth(fix.position)) return `a fix off the Earth: ${JSON.stringify(fix)}`;
      if (!within(fix.time_s, YEARS_S[0], YEARS_S[1])) return `a fix of no year: ${fix.time_s}`;
      if (fix.height_m !== null && !Number.isFinite(fix.height_m)) return `a height ${fix.height_m}`;
      if (fix.valid && !within(fix.height_m, -1000, 120_000)) return `a trusted height ${fix.height_m}`;
    }
  }
  return null;
}

export function brokenAreas(features: readonly PlaceFeature[]): string | null {
  for (const { name, shape } of features) {
    if (name.trim() === '') return 'a feature without a name';
    for (const ring of shape.kind === 'area' ? shape.rings : []) {
      const [first, last] = [ring[0], ring.at(-1)];
      if (ring.length < 4) return `a ring of ${ring.length} points`;
      if (first?.[0] !== last?.[0] || first?.[1] !== last?.[1]) return 'a ring left open';
      for (const [lon, lat] of ring)
        if (!Number.isFinite(lon) || !within(lat, -90, 90)) return `a corner at ${lon}, ${lat}`;
    }
  }
  return null;
}

export function brokenTerrain(grid: TerrainGrid | null): string | null {
  if (grid === null) return null;
  const { west_deg, north_deg, stepLon_deg, stepLat_deg, columns, rows, heights_m } = grid;
  if (!(stepLon_deg > 0 && stepLat_deg > 0)) return `steps of ${stepLon_deg} and ${stepLat_deg}`;
  const south_deg = north_deg - (rows - 1) * stepLat_deg;
  if (!(north_deg <= 90.01 && south_deg >= -90.01 && within(west_deg, -540, 540)))
    return `a grid from ${west_deg}, ${north_deg}`;
  if (heights_m.length !== columns * rows) return `${heights_m.length} heights for ${columns} by ${rows}`;
  for (const h of heights_m) if (h === h && !within(h, -1000, 10_000)) return `ground at ${h} m`;
  return null;
}

/** The path to a number that is not finite, if there is one: missing is null or left out, never NaN. */
export function notFinite(value: unknown, path = 'value'): string | null {
  if (typeof value === 'number') return Number.isFinite(value) ? null : `${path} is ${value}`;
  if (typeof value !== 'object' || value === null) return null;
  for (const [key, part] of Object.entries(value)) {
    const found = notFinite(part, `${path}.${key}`);
    if (found !== null) return found;
  }
  return null;
}
