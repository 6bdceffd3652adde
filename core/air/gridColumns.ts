// From decoded fields (one quantity, one level, one time, one grid) to columns of wind: at the place that was asked
// for, and on a longitude-latitude lattice around it for the field in space and time. What cannot be used is counted in
// the problems.
import { isoOf } from '../base/plainNumbers.ts';
import { geometricHeight, pressureAltitude } from './air.ts';
import { never, type Problem } from '../base/problem.ts';
import { windFrom, type LonLat } from '../base/units.ts';
import type { WindGrid } from './grid.ts';
import { latticeAround, type Lattice } from './lattice.ts';
import {
  isWindTime,
  TEMPERATURE_K,
  usableLevels,
  WIND_MAX_MPS,
  type DecodedLevel,
  type DecodedWinds,
} from './levels.ts';
import { stencilOf, type Mesh, type Stencil } from './mesh.ts';
import { type FieldLevel, type GridField, type Quantity } from './gridFields.ts';
import { among, inWords, placeText, Tally } from './gridProblems.ts';

export interface GridColumns {
  readonly decoded: readonly DecodedWinds[];
  readonly grids: readonly WindGrid[];
}

export interface GridOptions {
  /** The place wanted; without it the middle of the grid. */
  readonly near?: LonLat;
  /** Its ground, m MSL: where the source does not say its own, its winds above ground stand on this. */
  readonly ground_m?: number;
}

/**
 * Decoded columns and lattices of every source among the fields. Problems of a source stand with its columns; of no
 * column, apart.
 */
export function gridColumns(
  fields: readonly GridField[],
  options: GridOptions,
): { value: GridColumns; problems: Problem[] } {
  const decoded: DecodedWinds[] = [];
  const grids: WindGrid[] = [];
  const problems: Problem[] = [];
  const dated = fields.filter(({ valid_s }) => valid_s === null || isWindTime(valid_s));
  if (dated.length < fields.length)
    problems.push({
      line: 0,
      text:
        `${among(fields.length - dated.length, fields.length)} fields left out: their time is not a time of a ` +
        'forecast (the year lies outside 1900 to 2100)',
    });
  const grounds = groundsOf(dated);
  for (const source of bySource(dated)) {
    // The height of the ground alone is not a forecast: it serves the others on its grid.
    if (source.fields.every(isGround) && dated.length > source.fields.length) continue;
    const made = sourceColumns(source, grounds.get(source.mesh.key) ?? null, options);
    decoded.push(...made.decoded);
    if (made.grid !== null) grids.push(made.grid);
    problems.push(...made.problems.map((text) => ({ line: 0, text: `${source.name}: ${text}` })));
  }
  return { value: { decoded, grids }, problems };
}

const isGround = ({ level, quantity }: GridField): boolean =>
  level.kind === 'ground' && (quantity === 'height_m' || quantity === 'height_gpm');

/**
 * The height of the ground by grid: given once, often for the first time only, it holds for every time, run and member.
 */
function groundsOf(fields: readonly GridField[]): Map<string, GridField> {
  const grounds = new Map<string, GridField>();
  for (const field of fields) if (isGround(field) && !grounds.has(field.mesh.key)) grounds.set(field.mesh.key, field);
  return grounds;
}

interface Source {
  readonly name: string;
  readonly mesh: Mesh;
  readonly fields: readonly GridField[];
}

function bySource(fields: readonly GridField[]): Source[] {
  const groups = new Map<string, GridField[]>();
  for (const field of fields) {
    const key = `${field.source}|${field.mesh.key}`;
    const group = groups.get(key);
    if (group === undefined) groups.set(key, [field]);
    else group.push(field);
  }
  const sources: Source[] = [];
  for (const group of groups.values()) {
    const [first] = group;
    if (first !== undefined) sources.push({ name: first.source, mesh: first.mesh, fields: group });
  }
  return sources;
}

/** The levels of one valid time, each with its fields. */
interface Moment {
  readonly valid_s: number | null;
  readonly run_s: number | null;
  readonly levels: readonly LevelFields[];
}

interface LevelFields {
  readonly level: FieldLevel;
  readonly fields: Map<Quantity, GridField>;
}

/** What a level has at the places: one number per place, NaN where missing. */
interface LevelValues {
  readonly level: FieldLevel;
  readonly height_m: Float64Array;
  readonly u_mps: Float64Array;
  readonly v_mps: Float64Array;
  readonly temperature_K: Float64Array;
  /** The file gives this level a wind and a height, so that what is missing of them is missing point by point. */
  readonly complete: boolean;
}

interface SourceColumns {
  readonly decoded: readonly DecodedWinds[];
  readonly grid: WindGrid | null;
  readonly problems: readonly string[];
}

function sourceColumns(source: Source, ground: GridField | null, options: GridOptions): SourceColumns {
  const { mesh, fields, name } = source;
  const problems: string[] = [];
  if (!fields.some(({ quantity }) => quantity === 'u_mps') || !fields.some(({ quantity }) => quantity === 'v_mps')) {
    return { decoded: [], grid: null, problems: [`no wind: ${inWords(fields)}; expected u and v on the same levels`] };
  }
  const place = options.near ?? mesh.place((mesh.ni - 1) / 2, (mesh.nj - 1) / 2);
  if (stencilOf(mesh, place) === null) {
    return {
      decoded: [],
      grid: null,
      problems: [`${placeText(place)} lies outside its ${mesh.kind} grid, ${extentText(mesh)}`],
    };
  }
  const lattice = latticeAround(mesh, place, options.near !== undefined);
  if (options.near === undefined) {
    problems.push(
      `no place was asked for: the column is that of the grid's middle, ${placeText(place)}; give a place to ` +
        'have its own',
    );
  }
  if (lattice.note !== null) problems.push(lattice.note);
  const places = [place, ...lattice.places];
  const sampler = samplerOf(mesh, places);
  const decoded: DecodedWinds[] = [];
  const columns: TimedColumns[] = [];
  const moments = momentsOf(
    fields.filter(({ level }) => level.kind !== 'ground'),
    problems,
  );
  for (const moment of moments) {
    const tally = new Tally();
    const levels = levelValues(moment, { ground, ground_m: options.ground_m ?? null }, sampler, tally);
    const [first, ...rest] = places.map((_, p) => columnAt(levels, p));
    columns.push({ valid_s: moment.valid_s, run_s: moment.run_s, levels: rest });
    countMissing(levels, tally);
    decoded.push({
      source: moment.run_s === null ? name : `${name}, run ${isoOf(moment.run_s)}`,
      validTime: moment.valid_s === null ? null : isoOf(moment.valid_s),
      position: place,
      levels: first ?? [],
      problems: [...problems, ...tally.texts()].map((text) => ({ line: 0, text })),
    });
  }
  const notes: string[] = [];
  const grid = gridOf(name, lattice, columns, notes);
  return { decoded, grid, problems: notes };
}

function extentText(mesh: Mesh): string {
  const corner = (i: number, j: number): string => placeText(mesh.place(i, j));
  return `whose corners are ${corner(0, 0)} and ${corner(mesh.ni - 1, mesh.nj - 1)}`;
}

/**
 * Times in order, each with its levels; where a quantity is given twice, that of the later run counts, else the first.
 */
function momentsOf(fields: readonly GridField[], problems: string[]): Moment[] {
  const times = new Map<number | null, GridField[]>();
  for (const field of fields) {
    const list = times.get(field.valid_s);
    if (list === undefined) times.set(field.valid_s, [field]);
    else list.push(field);
  }
  let twice = 0;
  const moments: Moment[] = [];
  for (const [valid_s, list] of times) {
    const run_s = list.reduce<number | null>(
      (latest, { run_s }) => (run_s !== null && run_s > (latest ?? -Infinity) ? run_s : latest),
      null,
    );
    const levels = new Map<string, LevelFields>();
    for (const field of list) {
      const key = `${field.level.kind}|${field.level.value}`;
      const level = levels.get(key) ?? { level: field.level, fields: new Map<Quantity, GridField>() };
      levels.set(key, level);
      const before = level.fields.get(field.quantity);
      if (before !== undefined) twice += 1;
      if (before === undefined || (field.run_s ?? -Infinity) > (before.run_s ?? -Infinity))
        level.fields.set(field.quantity, field);
    }
    moments.push({ valid_s, run_s, levels: [...levels.values()] });
  }
  if (twice > 0)
    problems.push(`${twice} fields given twice for the same level and time; of each the one of the later run was used`);
  return moments.sort((a, b) => (a.valid_s ?? 0) - (b.valid_s ?? 0));
}

interface Sampler {
  /** The values of a field at every place; NaN where missing, a sentence where the field cannot be decoded. */
  scalar(field: GridField): Float64Array | string;
  /** u and v at every place, turned to true east and north. */
  wind(u: GridField, v: GridField): readonly [Float64Array, Float64Array] | string;
}

function samplerOf(mesh: Mesh, places: readonly LonLat[]): Sampler {
  const stencils = places.map((place) => stencilOf(mesh, place));
  const wanted = new Map<number, number>();
  for (const stencil of stencils) for (const at of stencil?.at ?? []) if (!wanted.has(at)) wanted.set(at, wanted.size);
  const positions = Int32Array.from(wanted.keys());
  const scalarOf = (values: Float64Array, stencil: Stencil | null): number =>
    stencil === null ? NaN : weighted(values, stencil, wanted);
  return {
    scalar: (field) => {
      const values = field.valuesAt(positions);
      return typeof values === 'string' ? values : Float64Array.from(stencils, (stencil) => scalarOf(values, stencil));
    },
    wind: (uField, vField) => {
      const u = uField.valuesAt(positions);
      const v = vField.valuesAt(positions);
      if (typeof u === 'string') return u;
      if (typeof v === 'string') return v;
      if (uField.alongGrid) turnToTrue(u, v, stencils, wanted);
      return [Float64Array.from(stencils, (s) => scalarOf(u, s)), Float64Array.from(stencils, (s) => scalarOf(v, s))];
    },
  };
}

/** Bilinear. A corner that has no part is not asked: a missing neighbour must not take a node away. */
function weighted(values: Float64Array, stencil: Stencil, wanted: ReadonlyMap<number, number>): number {
  let sum = 0;
  for (let k = 0; k < 4; k++) {
    const weight = stencil.weight[k as 0 | 1 | 2 | 3];
    if (weight > 0) sum += weight * (values[wanted.get(stencil.at[k as 0 | 1 | 2 | 3]) ?? -1] ?? NaN);
  }
  return sum;
}

/** Each point's wind turned by its own angle, once. In place. */
function turnToTrue(
  u: Float64Array,
  v: Float64Array,
  stencils: readonly (Stencil | null)[],
  wanted: ReadonlyMap<number, number>,
): void {
  const done = new Uint8Array(u.length);
  for (const stencil of stencils) {
    if (stencil === null) continue;
    stencil.at.forEach((position, k) => {
      const at = wanted.get(position) ?? -1;
      if (done[at] !== 0) return;
      done[at] = 1;
      const turn = stencil.turn_rad[k as 0 | 1 | 2 | 3];
      const [gu, gv] = [u[at] ?? NaN, v[at] ?? NaN];
      u[at] = gu * Math.cos(turn) + gv * Math.sin(turn);
      v[at] = gv * Math.cos(turn) - gu * Math.sin(turn);
    });
  }
}

/** Every level of a moment at every place, with its height; levels without any use are counted. */
function levelValues(
  moment: Moment,
  { ground, ground_m }: { readonly ground: GridField | null; readonly ground_m: number | null },
  sampler: Sampler,
  tally: Tally,
): LevelValues[] {
  const needed = ground !== null && moment.levels.some(({ level }) => level.kind === 'above ground');
  const orography = needed
    ? heightsOf({ level: ground.level, fields: new Map([[ground.quantity, ground]]) }, sampler, tally)
    : null;
  const out: LevelValues[] = [];
  for (const entry of moment.levels) {
    const { level, fields } = entry;
    const u = fields.get('u_mps');
    const v = fields.get('v_mps');
    if (u !== undefined && v === undefined) tally.add('u without v', level);
    if (v !== undefined && u === undefined) tally.add('v without u', level);
    const wind = u !== undefined && v !== undefined ? sampler.wind(u, v) : null;
    const own = heightsOf(entry, sampler, tally);
    const temperature = fields.get('temperature_K');
    const heat = temperature === undefined ? null : sampler.scalar(temperature);
    if (typeof wind === 'string') tally.add(wind, level);
    else if (wind !== null && takeOut(wind, -WIND_MAX_MPS, WIND_MAX_MPS)) tally.add('impossible winds', level);
    if (heat !== null && typeof heat !== 'string' && takeOut([heat], TEMPERATURE_K.min, TEMPERATURE_K.max))
      tally.add('impossible temperatures', level);
    if (typeof heat === 'string') tally.add(heat, level);
    const n =
      (own ?? orography ?? (Array.isArray(wind) ? wind[0] : null) ?? (typeof heat === 'string' ? null : heat))
        ?.length ?? 0;
    const height_m = own ?? impliedHeights(level, orography ?? ground_m, n);
    if (height_m === null && u !== undefined) tally.add('wind without height', level);
    if (height_m !== null && own === null && orography === null && level.kind === 'above ground' && u !== undefined)
      tally.add('site ground', level);
    if (own === null && height_m !== null && level.kind === 'pressure') tally.add('standard height', level);
    if (n === 0) continue;
    const none = new Float64Array(n).fill(NaN);
    out.push({
      level,
      height_m: height_m ?? none,
      u_mps: wind === null || typeof wind === 'string' ? none : wind[0],
      v_mps: wind === null || typeof wind === 'string' ? none : wind[1],
      temperature_K: heat === null || typeof heat === 'string' ? none : heat,
      complete: wind !== null && typeof wind !== 'string' && height_m !== null,
    });
  }
  return out;
}

/** Makes values outside the bounds missing, of all lists at the same place; whether there were any. */
function takeOut(lists: readonly Float64Array[], min: number, max: number): boolean {
  let found = false;
  lists[0]?.forEach((_, p) => {
    if (!lists.some((list) => (list[p] ?? 0) < min || (list[p] ?? 0) > max)) return;
    found = true;
    for (const list of lists) list[p] = NaN;
  });
  return found;
}

/** No level of air that this program uses lies lower or higher. */
const LOWEST_M = -1000;
const HIGHEST_M = 120_000;

/**
 * Geometric heights that the file gives for a level; geopotential metres are turned to metres here, and nowhere else.
 */
function heightsOf({ level, fields }: LevelFields, sampler: Sampler, tally: Tally): Float64Array | null {
  const field = fields.get('height_m') ?? fields.get('height_gpm');
  if (field === undefined) return null;
  const values = sampler.scalar(field);
  if (typeof values === 'string') {
    tally.add(values, level);
    return null;
  }
  const heights = field.quantity === 'height_m' ? values : values.map(geometricHeight);
  if (!heights.some((h) => h < LOWEST_M || h > HIGHEST_M)) return heights;
  tally.add(`heights outside ${LOWEST_M} to ${HIGHEST_M} m: left out`, level);
  return heights.map((h) => (h >= LOWEST_M && h <= HIGHEST_M ? h : NaN));
}

/** Heights that the level itself says: above the sea, above a ground (one, or each place's), or by the standard air. */
function impliedHeights(level: FieldLevel, ground: Float64Array | number | null, n: number): Float64Array | null {
  switch (level.kind) {
    case 'above sea':
      return new Float64Array(n).fill(level.value);
    case 'above ground':
      if (typeof ground === 'number') return new Float64Array(n).fill(ground + level.value);
      return ground === null ? null : ground.map((each) => each + level.value);
    case 'pressure':
      return new Float64Array(n).fill(pressureAltitude(level.value));
    case 'ground':
    case 'model':
      return null;
    default:
      return never(level.kind);
  }
}

/** One place's column, rising; levels without height last, in the order of falling pressure. */
function columnAt(levels: readonly LevelValues[], p: number): DecodedLevel[] {
  const column: DecodedLevel[] = [];
  for (const { level, height_m, u_mps, v_mps, temperature_K } of levels) {
    const [height, u, v, heat] = [height_m[p] ?? NaN, u_mps[p] ?? NaN, v_mps[p] ?? NaN, temperature_K[p] ?? NaN];
    const wind = Number.isFinite(u) && Number.isFinite(v) ? windFrom(u, v) : null;
    if (!Number.isFinite(height) && wind === null && !Number.isFinite(heat)) continue;
    column.push({
      height_m: orNull(height),
      pressure_Pa: level.kind === 'pressure' ? level.value : null,
      from_deg: wind === null ? null : wind.from_deg,
      speed_mps: wind === null ? null : wind.speed_mps,
      temperature_K: orNull(heat),
      ...(level.kind === 'above ground' && !Number.isFinite(height) ? { agl_m: level.value } : {}),
    });
  }
  return column.sort(
    (a, b) => (a.height_m ?? Infinity) - (b.height_m ?? Infinity) || (b.pressure_Pa ?? 0) - (a.pressure_Pa ?? 0),
  );
}

const orNull = (x: number): number | null => (Number.isFinite(x) ? x : null);

/** At the place itself (index 0) and around it: levels whose wind is under a bitmap or marked missing. */
function countMissing(levels: readonly LevelValues[], tally: Tally): void {
  for (const { level, u_mps, v_mps, height_m, complete } of levels) {
    // A level that has no wind or no height at all was counted as such.
    if (!complete) continue;
    if (![u_mps[0], v_mps[0], height_m[0]].every(Number.isFinite)) tally.add('missing here', level);
    let around = 0;
    for (let p = 1; p < u_mps.length; p++) {
      if (![u_mps[p], v_mps[p], height_m[p]].every(Number.isFinite)) around += 1;
    }
    tally.missingAround += around;
  }
}

/** The columns of one moment, in the lattice's order. */
interface TimedColumns {
  readonly valid_s: number | null;
  readonly run_s: number | null;
  readonly levels: readonly (readonly DecodedLevel[])[];
}

/**
 * The lattice with all times at which every node has a wind; smaller where nodes have none, none at all where no time
 * is known.
 */
function gridOf(source: string, lattice: Lattice, columns: readonly TimedColumns[], notes: string[]): WindGrid | null {
  const timed = columns.flatMap(({ valid_s, run_s, levels }) =>
    valid_s === null ? [] : [{ valid_s, run_s, columns: levels.map(usableLevels) }],
  );
  if (timed.length < columns.length) notes.push('no valid time: the column is shown, but makes no field in time');
  const used = timed.filter(({ columns }) => columns.some((levels) => levels.length > 0));
  const [first] = used;
  if (first === undefined) return null;
  if (used.length < timed.length)
    notes.push(`${timed.length - used.length} of ${timed.length} times have no wind with a height around the place`);
  const whole = lattice.places.map((_, p) => used.every(({ columns }) => (columns[p]?.length ?? 0) > 0));
  const part = lattice.within(whole);
  if (part === null) {
    notes.push('points around the place have no wind at some time; no field was made of them');
    return null;
  }
  const lost = lattice.places.length - part.at.length;
  if (lost > 0)
    notes.push(
      `the field around the place is smaller by ${among(lost, lattice.places.length)} points that have no wind`,
    );
  return {
    source,
    times_s: used.map(({ valid_s }) => valid_s),
    runs_s: used.map(({ run_s }) => run_s),
    lats_deg: part.lats,
    lons_deg: part.lons,
    columns: used.flatMap(({ columns }) => part.at.map((p) => columns[p] ?? [])),
  };
}
