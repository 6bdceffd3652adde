// The wind and air of a mission: the forecasts written in the plan and those in its files, put together into one field.
// Rules: a gridded forecast that reaches the site goes before single columns; of two columns for the same time the
// later named counts; levels that a person struck do not count. Every choice is said.
import { Air, type AirLevel } from '../air/air.ts';
import { isoOf } from '../base/plainNumbers.ts';
import type { LonLat } from '../base/units.ts';
import { epoch_s } from '../descent/scenario.ts';
import { checkedLevels } from '../formats/winds/checked.ts';
import { WindField, type WindColumn } from '../winds/field.ts';
import { DEFAULT_ROUGHNESS_M, isBelowGround } from '../winds/nearGround.ts';
import { height } from '../words/lengths.ts';
import type { WindGrid } from '../air/grid.ts';
import type { WindSource } from './windSource.ts';
import { atTheDoor, doorSentence, givenTime, isNearInTime, isStation, validTimesOf, type DoorPlan } from './door.ts';
import { usableLevels, type DecodedWinds, type WindLevel } from '../air/levels.ts';
import type { Mission } from '../plan/schema.ts';

interface MissionWinds {
  readonly wind: WindField;
  readonly air: Air;
  readonly problems: readonly string[];
}

/** What of a plan says which winds and air are in force. */
export type WindsPlan = DoorPlan;

export function windsOf(mission: WindsPlan, files: readonly WindSource[]): MissionWinds {
  return new WindsByExit(mission, files).at(epoch_s(mission.exit.time));
}

interface FieldMade {
  readonly wind: WindField;
  readonly columns: readonly WindColumn[];
  readonly problems: readonly string[];
}

/**
 * The winds of a plan for any time of its exit, all else as it is: which files come in at the door, when a profile
 * without a date is valid, and whose air counts depend on it. A field is made once for all exits that have the same.
 */
export class WindsByExit {
  readonly #plan: WindsPlan;
  readonly #files: readonly WindSource[];
  /** Of each file the valid times. */
  readonly #valid_s: readonly (readonly number[])[];
  readonly #undated: boolean;
  readonly #made = new Map<string, FieldMade>();

  constructor(plan: WindsPlan, files: readonly WindSource[]) {
    this.#plan = plan;
    this.#files = files;
    this.#valid_s = files.map(validTimesOf);
    this.#undated = files.some(({ file, decoded }) =>
      decoded.some(({ validTime }) => validTime === null && givenTime(plan, file) === null),
    );
  }

  /** All valid times that the plan and its files name, in no order. */
  get validTimes_s(): readonly number[] {
    return [...(this.#plan.winds?.forecast ?? []).map((column) => epoch_s(column.validTime)), ...this.#valid_s.flat()];
  }

  at(exit_s: number): MissionWinds {
    const days = this.#valid_s.map((times_s) => (isNearInTime(times_s, this.#plan, exit_s) ? 'near' : 'far'));
    const key = [...days, this.#undated ? exit_s : ''].join(' ');
    const known = this.#made.get(key);
    const made = known ?? fieldOf({ ...this.#plan, exit: { ...this.#plan.exit, time: isoOf(exit_s) } }, this.#files);
    if (known === undefined) this.#made.set(key, made);
    return { wind: made.wind, air: airOf(made.columns, exit_s), problems: made.problems };
  }
}

function fieldOf(mission: WindsPlan, files: readonly WindSource[]): FieldMade {
  const problems: string[] = [];
  const sources = files.filter((source) => {
    const door = atTheDoor(mission, source);
    if (!door.comesIn) problems.push(doorSentence(door));
    return door.comesIn;
  });
  const profilesOf = (some: readonly WindSource[]): WindColumn[] =>
    columnsOf(mission, some, epoch_s(mission.exit.time), problems);
  const site = { ground_m: mission.site.elevation_m, roughness_m: mission.site.roughness_m ?? DEFAULT_ROUGHNESS_M };
  const thin = sources.filter(({ grids }) => grids.length > 0 && grids.every(isThin));
  const profiles = profilesOf(sources.filter((source) => !thin.includes(source)));
  const grid = gridOf(mission, sources, problems);
  if (grid !== null && isThin(grid) && profiles.length > 0)
    problems.push(
      `The gridded forecast "${grid.source}" holds winds of one height only and is not used beside a profile.`,
    );
  else if (grid !== null) {
    if (profiles.length > 0)
      problems.push(`The gridded forecast "${grid.source}" is used; ${profiles.length} single columns are not.`);
    const nearest = nearestColumns(grid, mission.site.position);
    return { wind: WindField.ofGrid(grid, site), columns: nearest, problems };
  }
  const columns = profiles.length > 0 ? profiles : profilesOf(thin);
  if (columns.length === 0) return { wind: WindField.calm(), columns, problems };
  return { wind: WindField.ofColumns(columns, site), columns, problems };
}

/** Levels that lie within this height are winds of one height, such as 10 m and 80 m above ground. */
const THIN_M = 200;

/** A forecast of one height, such as the wind 10 m above ground that centres give in a file of its own. */
const isThin = ({ columns }: Pick<WindGrid, 'columns'>): boolean =>
  columns.every((levels) => (levels.at(-1)?.height_m ?? 0) - (levels[0]?.height_m ?? 0) <= THIN_M);

/** Levels of one place and time in two grids, rising; of the same height the second's counts. */
function joinedLevels(one: readonly WindLevel[], other: readonly WindLevel[]): readonly WindLevel[] {
  const heights = new Set(other.map(({ height_m }) => height_m));
  return [...one.filter(({ height_m }) => !heights.has(height_m)), ...other].sort((a, b) => a.height_m - b.height_m);
}

function columnsOf(
  mission: WindsPlan,
  sources: readonly WindSource[],
  exit_s: number,
  problems: string[],
): WindColumn[] {
  const found: WindColumn[] = [];
  for (const column of mission.winds?.forecast ?? []) {
    const { source, validTime, kind, runTime, position } = column;
    const standing = fitting(
      column.levels.filter((level) => level.struck !== true),
      source,
      problems,
    );
    const levels = aboveGround(standing, mission, source, problems);
    if (levels.length === 0) {
      if (standing.length === 0) problems.push(`The forecast "${source}" has no level that counts.`);
      continue;
    }
    const run_s = runTime === undefined ? undefined : Date.parse(runTime) / 1000;
    found.push({ source, time_s: Date.parse(validTime) / 1000, levels, kind, run_s, position });
  }
  for (const source of sources) {
    for (const decoded of onePerTime(source, mission, problems)) {
      const usable = usableLevels(decoded.levels);
      const levels = aboveGround(usable, mission, decoded.source, problems);
      if (usable.length > 0 && levels.length === 0) continue;
      if (levels.length === 0) {
        problems.push(`${source.file}: "${decoded.source}" has no level with both a height and a wind.`);
        continue;
      }
      const validTime = decoded.validTime ?? givenTime(mission, source.file);
      if (validTime === null)
        problems.push(`${source.file}: "${decoded.source}" says no valid time; it is taken as valid at the exit.`);
      found.push({
        source: `${decoded.source} (${source.file})`,
        time_s: validTime === null ? exit_s : Date.parse(validTime) / 1000,
        levels,
        kind: decoded.kind,
        position: decoded.position ?? undefined,
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

/** A plan's levels are held against physics as a file's are. */
function fitting(levels: readonly WindLevel[], source: string, said: string[]): readonly WindLevel[] {
  const { value, problems } = checkedLevels(
    levels.map((level) => ({
      ...level,
      pressure_Pa: level.pressure_Pa ?? null,
      temperature_K: level.temperature_K ?? null,
      dewPoint_K: level.dewPoint_K ?? null,
    })),
  );
  said.push(...problems.map(({ text }) => `winds.forecast "${source}": ${text}`));
  return problems.length === 0 ? levels : usableLevels(value);
}

/** The levels that lie in air; those in the ground are not winds, and how many there were is said. */
function aboveGround<L extends WindLevel>(
  levels: readonly L[],
  { site }: Pick<Mission, 'site'>,
  source: string,
  problems: string[],
): readonly L[] {
  const above = levels.filter((level) => !isBelowGround(level.height_m, site.elevation_m));
  const below = levels.length - above.length;
  if (below > 0) {
    const what = below === 1 ? 'A level' : `${below} levels`;
    const ground = height(site.elevation_m);
    problems.push(
      `${what} of "${source}" lie${below === 1 ? 's' : ''} below the site's ground (${ground}) and ` +
        `${below === 1 ? 'is' : 'are'} no wind.`,
    );
  }
  return above;
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
    const named = list.find((one) => isStation(one, mission.winds?.station));
    const nearest = list
      .filter((one) => one.position !== null)
      .toSorted((a, b) => away(a, mission.site.position) - away(b, mission.site.position))[0];
    const chosen = named ?? nearest ?? list[0];
    if (chosen === undefined) return [];
    if (named === undefined) {
      problems.push(
        `${source.file} holds ${list.length} stations: "${chosen.source}" is used, ` +
          `${nearest === undefined ? 'the first' : 'the nearest'}; winds.station can name another.`,
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

/**
 * All valid times on the first grid that covers the site; grids of other axes are counted. Of two for a time the later
 * named counts, but one of one height joins the other.
 */
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
  const first = inside.find(({ grid }) => !isThin(grid)) ?? inside[0];
  if (first === undefined) return null;
  const same = inside.filter(
    ({ grid }) =>
      `${grid.lats_deg.join()}|${grid.lons_deg.join()}` ===
      `${first.grid.lats_deg.join()}|${first.grid.lons_deg.join()}`,
  );
  if (same.length < inside.length)
    problems.push(
      `${inside.length - same.length} gridded forecasts have other grid points than "${first.grid.source}" ` +
        'and are not used.',
    );
  const slices = slicesOf(
    same.map(({ grid }) => grid),
    mission.site.elevation_m,
  );
  const whole = [...slices].filter(([, { columns }]) => columns.every((column) => column.length > 0));
  if (whole.length < slices.size)
    problems.push(
      `${slices.size - whole.length} valid times of "${first.grid.source}" have points without wind and are not used.`,
    );
  // Between two times with winds of all heights one of a single height would be the wind at all of them.
  const used = whole.filter(([, slice]) => isThin(first.grid) || !isThin(slice)).sort(([a], [b]) => a - b);
  const single = whole.length - used.length;
  if (single > 0)
    problems.push(
      `${single === 1 ? 'A valid time has' : `${single} valid times have`} winds of one height only, and no others ` +
        'are given for it: not used.',
    );
  if (used.length === 0) return null;
  return {
    ...first.grid,
    times_s: used.map(([time_s]) => time_s),
    runs_s: used.map(([, { run_s }]) => run_s),
    columns: used.flatMap(([, { columns }]) => columns),
  };
}

interface Slice {
  readonly columns: WindGrid['columns'];
  readonly run_s: number | null;
}

/** Grids of the same points by valid time, without what lies in the ground. */
function slicesOf(grids: readonly WindGrid[], ground_m: number): Map<number, Slice> {
  const slices = new Map<number, Slice>();
  for (const grid of grids) {
    const perTime = grid.lats_deg.length * grid.lons_deg.length;
    grid.times_s.forEach((time_s, i) => {
      const columns = grid.columns
        .slice(i * perTime, (i + 1) * perTime)
        .map((levels) => levels.filter((level) => !isBelowGround(level.height_m, ground_m)));
      const slice = { columns, run_s: grid.runs_s?.[i] ?? null };
      const before = slices.get(time_s);
      const joins = before !== undefined && (isThin(before) || isThin(slice));
      slices.set(time_s, joins ? joinedSlice(before, slice) : slice);
    });
  }
  return slices;
}

/** Both heights of two grids; the run is that of the one with more of them. */
const joinedSlice = (one: Slice, other: Slice): Slice => ({
  columns: other.columns.map((levels, p) => joinedLevels(one.columns[p] ?? [], levels)),
  run_s: isThin(other) && !isThin(one) ? one.run_s : other.run_s,
});

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
