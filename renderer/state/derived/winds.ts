// What the wind column shows, made from the mission: the columns there are, the levels of the one that is looked at,
// the wind in force over the site at the exit's time, and the heights of the descent. Heights m MSL.
import { isoOf } from '../../../core/base/plainNumbers.ts';
import type { Air } from '../../../core/air/air.ts';
import type { Prediction } from '../../../core/descent/prediction.ts';
import type { World } from '../../../core/descent/scenario.ts';
import type { Mission } from '../../../core/plan/schema.ts';
import type { WindSource } from '../../../core/mission/windSource.ts';
import { RAD_PER_DEG } from '../../../core/base/units.ts';
import { incrementAt } from '../../../core/winds/analysis.ts';
import { WindSampler } from '../../../core/winds/field.ts';
import { LOG_LAYER_M } from '../../../core/winds/nearGround.ts';
import { usableLevels, type WindLevel } from '../../../core/air/levels.ts';
import type { ChartLevel, HeightMark, Origin, ProfilePoint } from '../../winds/model.ts';
import type { TakenOver } from '../stored/edits.ts';
import { levelsPath } from '../stored/edits.ts';
import { at, isObject, type Json, type Path } from '../stored/json.ts';
import type { Units } from '../../../core/words/numbers.ts';
import { clock } from '../../../core/words/times.ts';

/** One column of levels: a forecast of the plan, or a profile of a file. */
export interface ColumnChoice {
  readonly key: string;
  readonly source: string;
  readonly valid_ms: number | null;
  readonly file: string | null;
  /** Index among the plan's forecasts; null for a file's. */
  readonly forecast: number | null;
  readonly levels: readonly LevelRow[];
  /** One point of a gridded forecast, the nearest to the site. */
  readonly isGrid: boolean;
}

/** A level as it is shown and where in the plan it is edited; `path` is null for a file's level. */
export interface LevelRow extends ChartLevel {
  readonly path: Path | null;
  readonly pressure_Pa: number | null;
  readonly dewPoint_K: number | null;
}

const numberAt = (value: Json | undefined): number | null =>
  typeof value === 'number' && Number.isFinite(value) ? value : null;

/**
 * Every column that the mission names, in the plan's order, then the files'. Read from the plan as it is, so that paths
 * fit.
 */
export function columnsOf(plan: Json, mission: Mission, sources: readonly WindSource[]): ColumnChoice[] {
  const columns: ColumnChoice[] = [];
  const forecasts = at(plan, ['winds', 'forecast']);
  const list: readonly Json[] = Array.isArray(forecasts) ? (forecasts as readonly Json[]) : [];
  list.forEach((forecast, i) => {
    const source = at(forecast, ['source']);
    const valid = at(forecast, ['validTime']);
    const valid_ms = typeof valid === 'string' ? Date.parse(valid) : NaN;
    const name = typeof source === 'string' ? source : `forecast ${i + 1}`;
    columns.push({
      key: `plan/${i}`,
      source: name,
      valid_ms: Number.isFinite(valid_ms) ? valid_ms : null,
      file: null,
      forecast: i,
      levels: planLevels(plan, i, name),
      isGrid: false,
    });
  });
  for (const source of sources) columns.push(...fileColumns(source, mission));
  return columns;
}

function planLevels(plan: Json, forecast: number, name: string): LevelRow[] {
  const held = at(plan, levelsPath(forecast));
  const list: readonly Json[] = Array.isArray(held) ? (held as readonly Json[]) : [];
  const rows = list.flatMap((level, i): LevelRow[] => {
    if (!isObject(level)) return [];
    const height_m = numberAt(level['height_m']);
    const from_deg = numberAt(level['from_deg']);
    const speed_mps = numberAt(level['speed_mps']);
    if (height_m === null || from_deg === null || speed_mps === null) return [];
    const own = level['source'];
    const source = typeof own === 'string' ? own : name;
    return [
      {
        key: `plan/${forecast}/${i}`,
        height_m,
        from_deg,
        speed_mps,
        temperature_K: numberAt(level['temperature_K']),
        origin: own === 'by hand' ? 'hand' : 'forecast',
        source,
        struck: level['struck'] === true,
        path: [...levelsPath(forecast), i],
        pressure_Pa: numberAt(level['pressure_Pa']),
        dewPoint_K: numberAt(level['dewPoint_K']),
      },
    ];
  });
  return rows.sort((a, b) => a.height_m - b.height_m);
}

const rowsOf = (levels: readonly WindLevel[], key: string, source: string, origin: Origin): LevelRow[] =>
  levels.map((level, i) => ({
    key: `${key}/${i}`,
    height_m: level.height_m,
    from_deg: level.from_deg,
    speed_mps: level.speed_mps,
    temperature_K: level.temperature_K ?? null,
    origin,
    source,
    struck: false,
    path: null,
    pressure_Pa: level.pressure_Pa ?? null,
    dewPoint_K: level.dewPoint_K ?? null,
  }));

function fileColumns(source: WindSource, mission: Mission): ColumnChoice[] {
  const profiles = source.decoded.map((decoded, i): ColumnChoice => {
    const key = `file/${source.file}/${i}`;
    const valid_ms = decoded.validTime === null ? null : Date.parse(decoded.validTime);
    const levels = rowsOf(usableLevels(decoded.levels), key, source.file, 'file');
    return { key, source: decoded.source, valid_ms, file: source.file, forecast: null, levels, isGrid: false };
  });
  const grids = source.grids.flatMap((grid, g) =>
    grid.times_s.map((time_s, t): ColumnChoice => {
      const key = `file/${source.file}/grid${g}/${t}`;
      const column = nearestColumn(grid, t, mission);
      return {
        key,
        source: grid.source,
        valid_ms: time_s * 1000,
        file: source.file,
        forecast: null,
        levels: rowsOf(column, key, source.file, 'file'),
        isGrid: true,
      };
    }),
  );
  // A reader that gives a grid gives its profile at the site as well: one of the two is enough to look at.
  return grids.length > 0 ? grids : profiles;
}

/** The grid's column nearest to the site. */
function nearestColumn(grid: WindSource['grids'][number], t: number, mission: Mission): readonly WindLevel[] {
  const [lon, lat] = mission.site.position;
  const nearest = (axis: readonly number[], x: number): number =>
    axis.reduce((best, value, i) => (Math.abs(value - x) < Math.abs((axis[best] ?? Infinity) - x) ? i : best), 0);
  const west = grid.lons_deg[0] ?? 0;
  const i = nearest(grid.lons_deg, west + ((((lon - west) % 360) + 360) % 360));
  const j = nearest(grid.lats_deg, lat);
  return grid.columns[(t * grid.lats_deg.length + j) * grid.lons_deg.length + i] ?? [];
}

/** The column whose valid time is nearest to the exit; one without a time counts as valid then. */
export function nearestInTime(columns: readonly ColumnChoice[], exit_ms: number): ColumnChoice | null {
  const off = (column: ColumnChoice): number => (column.valid_ms === null ? 0 : Math.abs(column.valid_ms - exit_ms));
  return columns.reduce<ColumnChoice | null>((best, one) => (best === null || off(one) < off(best) ? one : best), null);
}

/** `units`: with the day that is shown, so that a time on another day carries its date. */
export function columnWords(column: ColumnChoice, units: Units): string {
  const name = column.file === null ? column.source : column.file.replace(/^.*\//, '');
  return `${column.valid_ms === null ? 'no time' : clock(column.valid_ms / 1000, units).replace(/:00Z$/, 'Z')} ${name}`;
}

/** Whether a column is part of the wind in force: of two for one time, and of a file's many stations, only one is. */
export function isInForce(column: ColumnChoice, world: World): boolean {
  if (column.isGrid) return true;
  const name = column.file === null ? column.source : `${column.source} (${column.file})`;
  return world.wind.columns.some(
    (one) => one.source === name && (column.valid_ms === null || one.time_s * 1000 === column.valid_ms),
  );
}

/** A file's columns as the plan would hold them: those given, in their order. */
export function takenOver(columns: readonly ColumnChoice[], file: string, exitTime: string): TakenOver[] {
  return columns.map((column) => ({
    source: `${column.source} (${file})`,
    validTime: column.valid_ms === null ? exitTime : isoOf(column.valid_ms / 1000),
    position: null,
    levels: column.levels.map((level) => ({
      height_m: level.height_m,
      from_deg: level.from_deg,
      speed_mps: level.speed_mps,
      ...(level.temperature_K === null ? {} : { temperature_K: level.temperature_K }),
      ...(level.pressure_Pa === null ? {} : { pressure_Pa: level.pressure_Pa }),
      ...(level.dewPoint_K === null ? {} : { dewPoint_K: level.dewPoint_K }),
    })),
  }));
}

export interface ProfileOptions {
  /** When the wind is wanted, s since 1970; left out: at the exit. */
  readonly time_s?: number;
  /** The forecast alone, as if no report had come. */
  readonly forecastAlone?: boolean;
}

/**
 * The wind in force over the site, at the exit's time where no other is asked for, from the ground to `top_m`: forecast
 * and reports together, at every level's height and node of the analysis, and between them often enough to draw. Within
 * 10 m of the ground the logarithmic profile is not drawn: it is less than a pixel.
 */
export function profileOf(
  mission: Pick<Mission, 'site' | 'exit'>,
  world: World,
  top_m: number,
  options: ProfileOptions = {},
): ProfilePoint[] {
  const sampler = new WindSampler(world.wind);
  const [lon, lat] = mission.site.position;
  const ground = mission.site.elevation_m;
  const { time_s = Date.parse(mission.exit.time) / 1000 } = options;
  const analysis = options.forecastAlone === true ? null : world.analysis;
  sampler.start(time_s, analysis === null ? null : incrementAt(analysis, mission.site.position, time_s));
  const heights = new Set<number>([ground, top_m]);
  for (const z of world.wind.heights_m) if (z > ground && z < top_m) heights.add(z);
  for (const z of analysis?.increment.heights_m ?? []) if (z > ground && z < top_m) heights.add(z);
  for (let i = 1; i < 120; i++) heights.add(ground + ((top_m - ground) * i) / 120);
  const levelled = levelledOf(mission, world);
  const inside = (z: number): boolean => z >= levelled.bottom_m - LOG_LAYER_M && z <= levelled.top_m + 1;
  return [...heights]
    .sort((a, b) => a - b)
    .map((height_m) => {
      sampler.sample(lat * RAD_PER_DEG, lon * RAD_PER_DEG, height_m, 0);
      return {
        height_m,
        u_mps: sampler.out[0] ?? NaN,
        v_mps: sampler.out[1] ?? NaN,
        temperature_K: world.air.exact(height_m).temperature_K,
        extrapolated: !inside(height_m),
      };
    });
}

/** Whether the temperatures come from a sounding or are the standard's. */
export const isMeasured = (air: Air, height_m: number): boolean =>
  air.measured !== null && height_m >= air.measured.bottom_m && height_m <= air.measured.top_m;

/** Exit, the ends of the stages, opening, touchdown. A stage that ends where the canopy opens is the opening. */
export function heightMarks(mission: Mission, prediction: Prediction | null): HeightMark[] {
  const marks: HeightMark[] = [{ name: 'exit', height_m: mission.exit.altitude_m }];
  if (prediction === null) return marks;
  const { stages, opening, landing } = prediction;
  for (const stage of stages.slice(1)) {
    if (opening !== null && stage.startHeight_m <= opening.height_m + 1) break;
    marks.push({ name: stage.name, height_m: stage.startHeight_m });
  }
  if (opening !== null) marks.push({ name: 'opening', height_m: opening.height_m });
  if (landing !== null) marks.push({ name: 'touchdown', height_m: landing.elevation_m });
  return marks;
}

/** Heights between which the winds in force at the exit have levels of their own. */
function levelledOf(
  mission: Pick<Mission, 'exit'>,
  world: World,
): { readonly bottom_m: number; readonly top_m: number } {
  const exit_s = Date.parse(mission.exit.time) / 1000;
  return world.wind.levelled(exit_s, exit_s);
}

/** Height ranges of the descent in which the wind is extrapolated. */
export function extrapolatedRanges(
  mission: Pick<Mission, 'site' | 'exit'>,
  world: World,
): { readonly bottom_m: number; readonly top_m: number }[] {
  const ground = mission.site.elevation_m;
  const ranges: { bottom_m: number; top_m: number }[] = [];
  const levelled = levelledOf(mission, world);
  if (mission.exit.altitude_m > levelled.top_m + 1)
    ranges.push({ bottom_m: levelled.top_m, top_m: mission.exit.altitude_m + 1 });
  if (levelled.bottom_m > ground + LOG_LAYER_M) ranges.push({ bottom_m: ground - 1000, top_m: levelled.bottom_m });
  return ranges;
}
