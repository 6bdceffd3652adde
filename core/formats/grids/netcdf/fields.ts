// Gridded netCDF variables to fields: one quantity, one level, one time, one member each, on a longitude-latitude grid.
import { wrap180 } from '../../../base/units.ts';
import type { FieldLevel, GridField } from '../../../air/gridFields.ts';
import { latLonMesh, type Mesh } from '../../../air/mesh.ts';
import { allOf, MOST_NUMBERS, numberIn, textIn, unpack, type NcFile, type NcVariable } from './file.ts';
import { axisOf, levelsOf, meaningOf, type Axis, type NcMeaning } from './quantities.ts';
import { timeUnit } from './time.ts';

export interface NcFields {
  readonly fields: readonly GridField[];
  readonly problems: readonly string[];
}

/**
 * All fields of wind, height and temperature in a file. Variables of these that cannot be used are problems; others are
 * counted.
 */
export function fieldsOf(file: NcFile): NcFields {
  const fields: GridField[] = [];
  const problems = new Set<string>();
  const source = `${file.kind}${sourceText(file)}`;
  const run_s = scalarTime(file.variables, /^(forecast_reference_time|reftime|reference_time)$/);
  const meshes = new Map<string, Mesh | string>();
  let others = 0;
  for (const variable of file.variables) {
    const meaning = meaningOf(variable);
    if (meaning === null || variable.shape.length < 2) {
      others += meaning === null && variable.shape.length >= 2 ? 1 : 0;
      continue;
    }
    if (typeof meaning === 'string') {
      problems.add(meaning);
      continue;
    }
    const made = variableFields(file, variable, meaning, { source, run_s, meshes });
    if (typeof made === 'string') problems.add(`"${variable.name}" is not used: ${made}`);
    else fields.push(...made);
  }
  if (others > 0 && fields.length > 0)
    problems.add(`${others} variable${others === 1 ? '' : 's'} of other quantities not used`);
  return { fields, problems: [...problems] };
}

function sourceText(file: NcFile): string {
  const title = textIn(file.attributes, 'title') || textIn(file.attributes, 'source');
  return title === '' ? '' : ` ${title.replaceAll(/\s+/g, ' ').slice(0, 60)}`;
}

interface Context {
  readonly source: string;
  readonly run_s: number | null;
  readonly meshes: Map<string, Mesh | string>;
}

/** Where a variable's indices of one dimension come to stand in a slab. */
interface Place {
  readonly time: number;
  readonly level: number;
  readonly lat: number;
  readonly lon: number;
  readonly others: readonly number[];
}

function variableFields(
  file: NcFile,
  variable: NcVariable,
  meaning: NcMeaning,
  context: Context,
): GridField[] | string {
  const axes = variable.dims.map((name, d) => axisOf(name, variable.shape[d] ?? 0, file.variables));
  const place = placeOf(axes);
  if (typeof place === 'string') return place;
  const mesh = meshOf(axes, place, context.meshes);
  if (typeof mesh === 'string') return mesh;
  const why = notOfATime(variable, place, axes);
  if (why !== null) return why;
  const levels = levelsFor(file, variable, meaning, axes[place.level]);
  if (typeof levels === 'string') return levels;
  const times = timesFor(file, axes[place.time]);
  if (typeof times === 'string') return times;
  const members = place.others.reduce((product, d) => product * (axes[d]?.length ?? 1), 1);
  if (members * levels.length * times.length > 100_000)
    return `${members * levels.length * times.length} fields; expected up to 100000`;
  const read = reader(variable, meaning, place, mesh);
  const fields: GridField[] = [];
  for (let member = 0; member < members; member++) {
    for (const [t, valid_s] of times.entries()) {
      for (const [k, level] of levels.entries()) {
        fields.push({
          quantity: meaning.quantity,
          level,
          valid_s,
          run_s: context.run_s,
          source: members === 1 ? context.source : `${context.source} member ${member}`,
          mesh,
          alongGrid: false,
          valuesAt: (at) => read(member, t, k, at),
        });
      }
    }
  }
  return fields;
}

/** What the dimension of an ensemble's members is called; CF's standard name is "realization". */
const MEMBERS = /^(number|numbers|members?|ens|ens_?\d*|ensembles?|ensemble_member|realizations?|realisations?)$/i;

/** Why a variable holds no winds of a time: a mean over months or hours, or a dimension that could be anything. */
function notOfATime(variable: NcVariable, { others }: Place, axes: readonly Axis[]): string | null {
  const methods = /\btime\d*:\s*(mean|maximum|minimum|median|sum|variance|standard_deviation)\b/i;
  const [, method] = methods.exec(textIn(variable.attributes, 'cell_methods')) ?? [];
  if (method !== undefined) return `it is a ${method} over time (cell_methods), not the wind at a time`;
  const isMembers = (d: number): boolean => {
    const named = axes[d]?.variable ?? null;
    return (
      MEMBERS.test(variable.dims[d] ?? '') ||
      (named !== null && textIn(named.attributes, 'standard_name') === 'realization')
    );
  };
  const strange = others.find((d) => (axes[d]?.length ?? 1) > 1 && !isMembers(d));
  if (strange === undefined) return null;
  return (
    `its dimension "${variable.dims[strange]}" of ${axes[strange]?.length} is neither time, level, place nor members ` +
    'of an ensemble; winds by month or of another statistic are not the wind at a time'
  );
}

function placeOf(axes: readonly Axis[]): Place | string {
  const find = (kind: Axis['kind']): number => axes.findIndex((axis) => axis.kind === kind);
  const place = { time: find('time'), level: find('level'), lat: find('lat'), lon: find('lon') };
  const others = axes.flatMap((_, d) =>
    d === place.time || d === place.level || d === place.lat || d === place.lon ? [] : [d],
  );
  if (place.lat === -1 || place.lon === -1) {
    return (
      'it does not lie along a latitude and a longitude of one dimension each (grids on a map with 2-D ' +
      'positions are not read)'
    );
  }
  return { ...place, others };
}

/** Axes to a mesh: either way of latitude and longitude, either order of the two, longitudes over 180° or 360°. */
function meshOf(axes: readonly Axis[], place: Place, known: Map<string, Mesh | string>): Mesh | string {
  const key = `${axes[place.lat]?.variable?.name}|${axes[place.lon]?.variable?.name}|${place.lat < place.lon}`;
  const found = known.get(key) ?? makeMesh(axes, place);
  known.set(key, found);
  return found;
}

function makeMesh(axes: readonly Axis[], place: Place): Mesh | string {
  const lats = coordinate(axes[place.lat]);
  const lons = coordinate(axes[place.lon]);
  if (typeof lats === 'string') return lats;
  if (typeof lons === 'string') return lons;
  if (!(lats.length >= 2 && lons.length >= 2))
    return `a grid of ${lons.length} by ${lats.length} points; expected at least 2 by 2`;
  const jPositive = (lats[1] ?? 0) > (lats[0] ?? 0);
  if (!jPositive) lats.reverse();
  // A row that runs west has steps of the other sign; a jump of a whole turn within a row is not a step.
  const iNegative = wrap180((lons[1] ?? 0) - (lons[0] ?? 0)) < 0;
  if (iNegative) lons.reverse();
  for (let k = 1; k < lons.length; k++) lons[k] = (lons[k - 1] ?? 0) + wrap180((lons[k] ?? 0) - (lons[k - 1] ?? 0));
  const rises = (axis: readonly number[]): boolean => axis.every((x, k) => k === 0 || x > (axis[k - 1] ?? Infinity));
  if (!rises(lats) || !lats.every((lat) => Math.abs(lat) <= 90.001))
    return 'latitudes that neither rise nor fall from -90 to 90';
  if (!rises(lons) || (lons.at(-1) ?? 0) - (lons[0] ?? 0) > 360.001)
    return 'longitudes that do not run in one direction once round the globe';
  const first = wrap180(lons[0] ?? 0);
  const shift = first - (lons[0] ?? 0);
  const scan = { iNegative, jPositive, alongJ: place.lon < place.lat, alternating: false };
  return latLonMesh(
    'longitude-latitude',
    lons.map((lon) => lon + shift),
    lats.map((lat) => Math.min(Math.max(lat, -90), 90)),
    scan,
  );
}

function coordinate(axis: Axis | undefined): number[] | string {
  if (axis === undefined || axis.variable === null) return 'a grid without the positions of its points';
  const values = allOf(axis.variable);
  if (typeof values === 'string') return values;
  return values.every(Number.isFinite) ? [...values] : `positions "${axis.variable.name}" with missing numbers`;
}

/** The levels of a variable: its axis, or what its name or a single coordinate ("height" of 10 m) says. */
function levelsFor(
  file: NcFile,
  variable: NcVariable,
  meaning: NcMeaning,
  axis: Axis | undefined,
): readonly FieldLevel[] | string {
  if (axis !== undefined) return levelsOf(axis);
  if (meaning.level !== null) return [meaning.level];
  for (const name of textIn(variable.attributes, 'coordinates').split(/\s+/)) {
    const single = file.variables.find((candidate) => candidate.name === name && candidate.shape.every((n) => n === 1));
    const levels = single === undefined ? 'none' : levelsOf({ kind: 'level', variable: single, length: 1 });
    if (typeof levels !== 'string') return levels;
  }
  return 'nothing says at which level it is';
}

/** Valid times, or one of null where the file has none. */
function timesFor(file: NcFile, axis: Axis | undefined): readonly (number | null)[] | string {
  if (axis === undefined) return [scalarTime(file.variables, /^(time|valid_time)$/)];
  if (axis.variable === null) return Array.from({ length: axis.length }, () => null);
  const unit = timeUnit(textIn(axis.variable.attributes, 'units'), textIn(axis.variable.attributes, 'calendar'));
  if (typeof unit === 'string') return unit;
  const values = allOf(axis.variable);
  if (typeof values === 'string') return values;
  return Array.from(values, (x) => validTime(unit.origin_s + x * unit.step_s));
}

/** Whole seconds, as far as a date goes: hours in single precision are a little off. */
const validTime = (seconds: number): number | null => (Math.abs(seconds) < 8.64e12 ? Math.round(seconds) : null);

function scalarTime(variables: readonly NcVariable[], name: RegExp): number | null {
  const variable = variables.find((candidate) => name.test(candidate.name) && candidate.shape.every((n) => n === 1));
  if (variable === undefined) return null;
  const unit = timeUnit(textIn(variable.attributes, 'units'), textIn(variable.attributes, 'calendar'));
  const values = allOf(variable);
  if (typeof unit === 'string' || typeof values === 'string') return null;
  return validTime(unit.origin_s + (values[0] ?? NaN) * unit.step_s);
}

/** The smallest box of rows and columns that holds some positions of the file's order. */
interface Box {
  readonly lat0: number;
  readonly lon0: number;
  readonly lats: number;
  readonly lons: number;
}

/**
 * Reads one field at some positions. The box around them is read from all levels, times and members at once and kept,
 * where that fits: the parts of a compressed file often reach over several levels, and would be unpacked again for
 * each.
 */
function reader(variable: NcVariable, meaning: NcMeaning, place: Place, mesh: Mesh) {
  const { shape } = variable;
  let kept: { readonly at: Int32Array; readonly box: Box; readonly values: Float64Array | string } | null = null;
  const rank = shape.length;
  const slab = (box: Box, fixed: ReadonlyMap<number, number>): Float64Array | string => {
    const start = shape.map((_, d) => fixed.get(d) ?? (d === place.lat ? box.lat0 : d === place.lon ? box.lon0 : 0));
    const count = shape.map((n, d) => (fixed.has(d) ? 1 : d === place.lat ? box.lats : d === place.lon ? box.lons : n));
    const raw = variable.slab(start, count);
    if (typeof raw === 'string') return raw;
    const values = unpack(variable, raw);
    for (let k = 0; k < values.length; k++) values[k] = (values[k] ?? NaN) * meaning.factor + meaning.offset;
    return values;
  };
  return (member: number, t: number, k: number, at: Int32Array): Float64Array | string => {
    const index = new Map<number, number>();
    if (place.time !== -1) index.set(place.time, t);
    if (place.level !== -1) index.set(place.level, k);
    let rest = member;
    for (const d of [...place.others].reverse()) {
      index.set(d, rest % (shape[d] ?? 1));
      rest = Math.floor(rest / (shape[d] ?? 1));
    }
    const box = boxOf(at, mesh);
    const fixedSize = [...index.keys()].reduce((product, d) => product * (shape[d] ?? 1), 1);
    const whole = box.lats * box.lons * fixedSize <= MOST_NUMBERS / 4;
    if (whole && kept?.at !== at) kept = { at, box, values: slab(box, new Map()) };
    const values = whole && kept !== null ? kept.values : slab(box, index);
    if (typeof values === 'string') return values;
    const count = shape.map((n, d) => (d === place.lat ? box.lats : d === place.lon ? box.lons : whole ? n : 1));
    const strides = count.map((_, d) => count.slice(d + 1).reduce((product, n) => product * n, 1));
    let base = 0;
    for (let d = 0; d < rank; d++) base += whole ? (index.get(d) ?? 0) * (strides[d] ?? 0) : 0;
    return Float64Array.from(at, (position) => {
      const [lat, lon] = rowAndColumn(position, mesh);
      return (
        values[base + (lat - box.lat0) * (strides[place.lat] ?? 0) + (lon - box.lon0) * (strides[place.lon] ?? 0)] ??
        NaN
      );
    });
  };
}

/** Indices along the file's own latitude and longitude of a position in the order that the mesh's scan describes. */
function rowAndColumn(position: number, mesh: Mesh): readonly [lat: number, lon: number] {
  const { ni, nj, scan } = mesh;
  return scan.alongJ ? [position % nj, Math.floor(position / nj)] : [Math.floor(position / ni), position % ni];
}

function boxOf(at: Int32Array, mesh: Mesh): Box {
  let [lat0, lat1, lon0, lon1] = [Infinity, -1, Infinity, -1];
  for (const position of at) {
    const [lat, lon] = rowAndColumn(position, mesh);
    lat0 = Math.min(lat0, lat);
    lat1 = Math.max(lat1, lat);
    lon0 = Math.min(lon0, lon);
    lon1 = Math.max(lon1, lon);
  }
  return { lat0, lon0, lats: lat1 - lat0 + 1, lons: lon1 - lon0 + 1 };
}

/** Exported for soundings: the one number that a file says once for all, as a variable or an attribute. */
export function singleNumber(file: NcFile, name: RegExp): number | null {
  const variable = file.variables.find(
    (candidate) => name.test(candidate.name) && candidate.shape.every((n) => n === 1),
  );
  if (variable !== undefined) {
    const values = allOf(variable);
    const x = typeof values === 'string' ? NaN : (values[0] ?? NaN);
    if (Number.isFinite(x)) return x;
  }
  for (const attribute of file.attributes.keys()) if (name.test(attribute)) return numberIn(file.attributes, attribute);
  return null;
}
