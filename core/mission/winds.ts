// The wind and air of a mission: the forecasts written in the plan and those in its files, put together into one field.
// Rules: a gridded forecast that reaches the site goes before single columns; of two columns for the same time the
// later named counts; levels that a person struck do not count. Every choice is said.
import { Air, type AirLevel } from '../air/air.ts';
import type { Problem } from '../base/problem.ts';
import type { LonLat } from '../base/units.ts';
import { WindField, type WindColumn } from '../winds/field.ts';
import type { WindGrid } from '../air/grid.ts';
import { usableLevels, type DecodedWinds, type WindLevel } from '../air/levels.ts';
import type { Mission } from '../plan/schema.ts';

/** What a wind file of the mission held. */
export interface WindSource {
  readonly file: string;
  readonly decoded: readonly DecodedWinds[];
  readonly grids: readonly WindGrid[];
  readonly problems: readonly Problem[];
}

interface MissionWinds {
  readonly wind: WindField;
  readonly air: Air;
  readonly problems: readonly string[];
}

/** What of a plan says which winds and air are in force. */
export type WindsPlan = Pick<Mission, 'site' | 'winds'> & { readonly exit: Pick<Mission['exit'], 'time'> };

export function windsOf(mission: WindsPlan, sources: readonly WindSource[]): MissionWinds {
  const problems: string[] = [];
  const exit_s = Date.parse(mission.exit.time) / 1000;
  const columns = columnsOf(mission, sources, exit_s, problems);
  const grid = gridOf(mission, sources, problems);
  const air = airOf(grid === null ? columns : nearestColumns(grid, mission.site.position), exit_s);
  if (grid !== null) {
    if (columns.length > 0)
      problems.push(`The gridded forecast "${grid.source}" is used; ${columns.length} single columns are not.`);
    return { wind: WindField.ofGrid(grid), air, problems };
  }
  if (columns.length === 0) return { wind: WindField.calm(), air: new Air(), problems };
  return { wind: WindField.ofColumns(columns), air, problems };
}

function columnsOf(
  mission: WindsPlan,
  sources: readonly WindSource[],
  exit_s: number,
  problems: string[],
): WindColumn[] {
  const found: WindColumn[] = [];
  for (const column of mission.winds?.forecast ?? []) {
    const levels = column.levels.filter((level) => level.struck !== true);
    if (levels.length > 0) found.push({ source: column.source, time_s: Date.parse(column.validTime) / 1000, levels });
    else problems.push(`The forecast "${column.source}" has no level that counts.`);
  }
  for (const source of sources) {
    for (const decoded of onePerTime(source, mission, problems)) {
      const levels = usableLevels(decoded.levels);
      if (levels.length === 0) {
        problems.push(`${source.file}: "${decoded.source}" has no level with both a height and a wind.`);
        continue;
      }
      if (decoded.validTime === null)
        problems.push(`${source.file}: "${decoded.source}" says no valid time; it is taken as valid at the exit.`);
      found.push({
        source: `${decoded.source} (${source.file})`,
        time_s: decoded.validTime === null ? exit_s : Date.parse(decoded.validTime) / 1000,
        levels,
      });
    }
  }
  const byTime = new Map<number, WindColumn>();
  for (const column of found) {
    const before = byTime.get(column.time_s);
    if (before !== undefined)
      problems.push(`"${before.source}" and "${column.source}" are valid at the same time: the second is used.`);
    byTime.set(column.time_s, column);
  }
  return [...byTime.values()].sort((a, b) => a.time_s - b.time_s);
}

/**
 * Of a file with several stations for a time: the one that the plan names, else the nearest of known place, else the
 * first.
 */
function onePerTime(source: WindSource, mission: WindsPlan, problems: string[]): DecodedWinds[] {
  const byTime = new Map<string, DecodedWinds[]>();
  for (const one of source.decoded) {
    const key = one.validTime ?? '';
    byTime.set(key, [...(byTime.get(key) ?? []), one]);
  }
  return [...byTime.values()].flatMap((list) => {
    if (list.length === 1) return list;
    const station = mission.winds?.station;
    const named =
      station === undefined
        ? undefined
        : list.find((one) =>
            one.source
              .toUpperCase()
              .split(/[^A-Z0-9]+/)
              .includes(station.toUpperCase()),
          );
    const nearest = list
      .filter((one) => one.position !== null)
      .toSorted((a, b) => away(a, mission.site.position) - away(b, mission.site.position))[0];
    const chosen = named ?? nearest ?? list[0];
    if (chosen === undefined) return [];
    if (named === undefined) {
      problems.push(
        `${source.file} holds ${list.length} stations: "${chosen.source}" is used, ${nearest === undefined ? 'the first' : 'the nearest'}; winds.station can name another.`,
      );
    }
    return [chosen];
  });
}

/** A crude distance, only to rank stations. */
function away(one: DecodedWinds, site: LonLat): number {
  if (one.position === null) return Infinity;
  const dLon = (((one.position[0] - site[0] + 540) % 360) - 180) * Math.cos((site[1] * Math.PI) / 180);
  return Math.hypot(dLon, one.position[1] - site[1]);
}

/** All valid times on the first grid that covers the site; grids of other axes are counted. */
function gridOf(mission: WindsPlan, sources: readonly WindSource[], problems: string[]): WindGrid | null {
  const [lon, lat] = mission.site.position;
  const all = sources.flatMap((source) => source.grids.map((grid) => ({ file: source.file, grid })));
  const covers = ({ grid }: { grid: WindGrid }): boolean => {
    const west = grid.lons_deg[0] ?? 0;
    const x = west + ((((lon - west) % 360) + 360) % 360);
    return x <= (grid.lons_deg.at(-1) ?? 0) && lat >= (grid.lats_deg[0] ?? 0) && lat <= (grid.lats_deg.at(-1) ?? 0);
  };
  const inside = all.filter(covers);
  for (const { file, grid } of all)
    if (!covers({ grid })) problems.push(`${file}: the grid "${grid.source}" does not reach the site; it is not used.`);
  const first = inside[0];
  if (first === undefined) return null;
  const same = inside.filter(
    ({ grid }) =>
      `${grid.lats_deg.join()}|${grid.lons_deg.join()}` ===
      `${first.grid.lats_deg.join()}|${first.grid.lons_deg.join()}`,
  );
  if (same.length < inside.length)
    problems.push(
      `${inside.length - same.length} gridded forecasts have other grid points than "${first.grid.source}" and are not used.`,
    );
  const perTime = first.grid.lats_deg.length * first.grid.lons_deg.length;
  const slices = new Map<number, WindGrid['columns']>();
  for (const { grid } of same)
    grid.times_s.forEach((time, i) => slices.set(time, grid.columns.slice(i * perTime, (i + 1) * perTime)));
  const times = [...slices.keys()]
    .filter((time) => (slices.get(time) ?? []).every((column) => column.length > 0))
    .sort((a, b) => a - b);
  if (times.length < slices.size)
    problems.push(
      `${slices.size - times.length} valid times of "${first.grid.source}" have points without wind and are not used.`,
    );
  if (times.length === 0) return null;
  return { ...first.grid, times_s: times, columns: times.flatMap((time) => slices.get(time) ?? []) };
}

/** The grid's columns nearest to a place, one a time. */
function nearestColumns(grid: WindGrid, place: LonLat): WindColumn[] {
  const nearest = (axis: readonly number[], x: number): number =>
    axis.reduce((best, value, i) => (Math.abs(value - x) < Math.abs((axis[best] ?? 0) - x) ? i : best), 0);
  const west = grid.lons_deg[0] ?? 0;
  const i = nearest(grid.lons_deg, west + ((((place[0] - west) % 360) + 360) % 360));
  const j = nearest(grid.lats_deg, place[1]);
  return grid.times_s.map((time_s, t) => ({
    source: grid.source,
    time_s,
    levels: grid.columns[(t * grid.lats_deg.length + j) * grid.lons_deg.length + i] ?? [],
  }));
}

/**
 * The air of the column nearest in time to the exit that has temperature and pressure at two levels or more; else the
 * standard.
 */
function airOf(columns: readonly WindColumn[], exit_s: number): Air {
  const known = columns
    .map((column) => ({ time_s: column.time_s, levels: column.levels.filter(isAir) }))
    .filter((column) => column.levels.length >= 2)
    .sort((a, b) => Math.abs(a.time_s - exit_s) - Math.abs(b.time_s - exit_s));
  return new Air(known[0]?.levels ?? []);
}

const isAir = (level: WindLevel): level is WindLevel & AirLevel =>
  level.temperature_K !== undefined && level.pressure_Pa !== undefined;
