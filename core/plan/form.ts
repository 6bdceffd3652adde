// The plan's schema as a form: which fields there are, in which unit, between which bounds, and how a person calls
// them. It is read off `schema.ts` (as JSON Schema, draft 2020-12), so that a new key of the plan has a field at once.
import { z } from 'zod';
import { assert, never } from '../base/problem.ts';
import { mission } from './schema.ts';

interface Named {
  /** The key in the plan. */
  readonly key: string;
  /** What a person reads: "Height above ground". */
  readonly label: string;
  readonly required: boolean;
}

/** One field of the form. `group`, `list` and `choice of forms` hold further fields. */
export type FormField = Named &
  (
    | {
        readonly kind: 'number';
        readonly unit: string;
        readonly min: number;
        readonly max: number;
        readonly above: boolean;
        readonly whole: boolean;
      }
    | { readonly kind: 'text' }
    | { readonly kind: 'flag' }
    | { readonly kind: 'time' }
    | { readonly kind: 'position' }
    | { readonly kind: 'fixed'; readonly value: string }
    | { readonly kind: 'word'; readonly words: readonly string[] }
    /** A line or an outline: at least so many places. */
    | { readonly kind: 'places'; readonly atLeast: number }
    /** Pairs of numbers whose first ones rise: a table of a function. */
    | { readonly kind: 'knots'; readonly unit: string }
    | { readonly kind: 'numbers'; readonly count: number }
    | { readonly kind: 'texts' }
    | { readonly kind: 'group'; readonly fields: readonly FormField[] }
    | { readonly kind: 'list'; readonly item: FormField; readonly atLeast: number }
    /** One of several forms, each a group; the first whose fixed or required keys fit is the one that stands there. */
    | {
        readonly kind: 'forms';
        readonly forms: readonly (Named & { readonly kind: 'group'; readonly fields: readonly FormField[] })[];
      }
    /** Names of a person's own, each with a value: limits, weights. */
    | { readonly kind: 'table' }
  );

/** A piece of JSON Schema as zod writes it. */
interface Piece {
  readonly type?: string;
  readonly properties?: Readonly<Record<string, Piece>>;
  readonly required?: readonly string[];
  readonly items?: Piece | false;
  readonly prefixItems?: readonly Piece[];
  readonly anyOf?: readonly Piece[];
  readonly oneOf?: readonly Piece[];
  readonly enum?: readonly string[];
  readonly const?: string | number;
  readonly format?: string;
  readonly minimum?: number;
  readonly maximum?: number;
  readonly exclusiveMinimum?: number;
  readonly minItems?: number;
}

/** Units by the ending of a key, the longest first; a key without one has no unit. */
const UNITS: readonly (readonly [ending: string, unit: string])[] = [
  ['_agl_m', 'm AGL'],
  ['_mps', 'm/s'],
  ['_m2', 'm²'],
  ['_deg', '°'],
  ['_deg_max', '°'],
  ['_oktas', 'oktas'],
  ['_years', 'years'],
  ['_rel', 'of itself'],
  ['_kg', 'kg'],
  ['_Pa', 'Pa'],
  ['_s', 's'],
  ['_m', 'm'],
  ['_K', 'K'],
];

/** Names where the key alone, taken apart, does not read as a person would say it. */
const LABELS: Readonly<Record<string, string>> = {
  agl_m: 'height above ground',
  msl_m: 'height above sea level',
  after_s: 'time since the stage before',
  machBelow: 'Mach number falling below',
  altitude_m: 'height above sea level',
  height_m: 'height',
  elevation_m: 'ground above sea level',
  roughness_m: 'roughness length',
  groundCover: 'ground cover',
  float_m: 'float height above sea level',
  float_s: 'longest float',
  run_s: 'length of the run',
  heading_deg: 'heading, true',
  landing_deg: 'heading of the final leg, true',
  from_deg: 'wind from, true',
  speed_mps: 'speed',
  opensAt_agl_m: 'opens at',
  ready_s: 'ready after',
  endurance_s: 'endurance',
  reserve_s: 'fuel kept back',
  slope_deg_max: 'steepest slope',
  cruise_agl_m: 'cruises at',
  offRoad_mps: 'speed off the road',
  rotor_m: 'rotor diameter',
  dragArea_m2: 'drag area',
  machFactor: 'factor by Mach number',
  teams: 'crews',
  files: 'wind files',
  fill_s: 'filling time',
  fillDistance_m: 'fills over, in place of a time',
  fillDistance_rel: 'filling distance',
  carrierPath_rel: 'way of the balloon before the exit',
  ascentRate_rel: 'rise of the balloon',
  handOpening_m: 'opening by hand',
  bodyGlide_rel: 'body glide, per axis',
  spin_rel: 'drag by spin',
  turnLoss_rel: 'airspeed lost to turns',
  verticalAir_mps: 'rising and sinking air',
  fillExponent: 'exponent of filling',
  referenceMass_kg: 'reference mass',
  placement: 'placing the crews',
  zoneWeights: 'weights of the zone fit',
  worstTenth: 'weight of the worst tenth',
  rotorWash_m: 'kept from a canopy',
  cover_oktas: 'cover',
  base_agl_m: 'base',
  every_s: 'turns every',
  delay_s: 'later by',
  sweepWidth_m: 'seen to both sides',
  search_mps: 'search speed',
  validTime: 'valid at',
  runTime: 'model run',
  velocity_mps: 'velocity east, north, up',
};

const UNIT_ENDING = new RegExp(`(${UNITS.map(([ending]) => ending).join('|')})$`);

/** The unit that a key's name carries; empty where it carries none. */
export function unitOf(key: string): string {
  return [...UNITS].sort((a, b) => b[0].length - a[0].length).find(([ending]) => key.endsWith(ending))?.[1] ?? '';
}

/** "Ascent rate" of `ascentRate_mps`; the names of limits and weights read the same way. */
export function labelOf(key: string): string {
  const words =
    LABELS[key] ??
    key
      .replace(UNIT_ENDING, '')
      .replaceAll('_', ' ')
      .replace(/([a-z])([A-Z])/g, (_, a: string, b: string) => `${a} ${b.toLowerCase()}`);
  return `${words.charAt(0).toUpperCase()}${words.slice(1)}`;
}

function isPosition(piece: Piece | false | undefined): boolean {
  return piece !== false && piece?.prefixItems?.length === 2 && piece.prefixItems[0]?.maximum === 180;
}

function fieldOf(key: string, piece: Piece, required: boolean): FormField {
  const named = { key, label: labelOf(key), required };
  const forms = piece.anyOf ?? piece.oneOf;
  if (forms !== undefined) return { ...named, ...formsOf(key, forms) };
  switch (piece.type) {
    case 'number':
    case 'integer':
      return { ...named, kind: 'number', unit: unitOf(key), ...boundsOf(piece) };
    case 'boolean':
      return { ...named, kind: 'flag' };
    case 'string':
      if (piece.const !== undefined) return { ...named, kind: 'fixed', value: String(piece.const) };
      if (piece.enum !== undefined) return { ...named, kind: 'word', words: piece.enum };
      return { ...named, kind: piece.format === 'date-time' ? 'time' : 'text' };
    case 'array':
      return { ...named, ...listOf(key, piece) };
    case undefined:
    default:
      return piece.properties === undefined
        ? { ...named, kind: 'table' }
        : { ...named, kind: 'group', fields: fieldsOf(piece) };
  }
}

/** What stands in a field, without the field's own name. */
type Content = FormField extends infer F ? (F extends FormField ? Omit<F, keyof Named> : never) : never;

function boundsOf(piece: Piece): { min: number; max: number; above: boolean; whole: boolean } {
  return {
    min: piece.minimum ?? piece.exclusiveMinimum ?? -Infinity,
    max: piece.maximum ?? Infinity,
    above: piece.exclusiveMinimum !== undefined,
    whole: piece.type === 'integer',
  };
}

function listOf(key: string, piece: Piece): Content {
  if (isPosition(piece)) return { kind: 'position' };
  if (piece.prefixItems !== undefined) return { kind: 'numbers', count: piece.prefixItems.length };
  const { items } = piece;
  assert(items !== undefined && items !== false, `${key}: a list says what it holds`);
  const atLeast = piece.minItems ?? 0;
  if (isPosition(items)) return { kind: 'places', atLeast };
  if (items.prefixItems !== undefined) return { kind: 'knots', unit: unitOf(key) };
  if (items.type === 'string') return { kind: 'texts' };
  return { kind: 'list', item: fieldOf(singular(key), items, true), atLeast };
}

const singular = (key: string): string => key.replace(/ies$/, 'y').replace(/s$/, '');

function formsOf(key: string, pieces: readonly Piece[]): Content {
  // A number, or the number with whose it is: limits hold both, and the number is what a person types.
  if (pieces.some((piece) => piece.properties === undefined)) return { kind: 'table' };
  const forms = pieces.map((piece) => {
    const fields = fieldsOf(piece);
    return { key, label: formName(fields), required: false, kind: 'group' as const, fields };
  });
  return { kind: 'forms', forms };
}

/** A form is told from its siblings by its fixed word, else by the shape or the one number that only it has. */
function formName(fields: readonly FormField[]): string {
  const fixed = fields.find((field) => field.kind === 'fixed');
  if (fixed?.kind === 'fixed') return fixed.value;
  const shape = fields.find((field) => field.kind === 'places' || field.kind === 'position') ?? fields[0];
  return shape === undefined ? '' : shape.label;
}

const fieldsOf = (piece: Piece): FormField[] =>
  Object.entries(piece.properties ?? {}).map(([key, inner]) =>
    fieldOf(key, inner, piece.required?.includes(key) ?? false),
  );

/** Keys that a person does not edit: what makes the file a mission, and a mission a rehearsal. */
const FIXED = new Set(['format', 'version', 'rehearsal']);

/** The whole plan as a form, in the order of the schema. */
export function missionForm(): readonly FormField[] {
  return fieldsOf(z.toJSONSchema(mission, { io: 'input', unrepresentable: 'any' }) as Piece).filter(
    (field) => !FIXED.has(field.key),
  );
}

/** Which of several forms the value is: all fixed words and required keys fit. The first where none fits. */
export function formThatFits(
  forms: Extract<FormField, { readonly kind: 'forms' }>['forms'],
  value: Readonly<Record<string, unknown>>,
): number {
  const fits = forms.findIndex(({ fields }) =>
    fields.every((field) =>
      field.kind === 'fixed' ? value[field.key] === field.value : !field.required || value[field.key] !== undefined,
    ),
  );
  return Math.max(0, fits);
}

/** What new values are made from: the mission's place and time. */
export interface FormContext {
  readonly position: readonly [number, number];
  readonly time: string;
}

type FormValue = null | boolean | number | string | readonly FormValue[] | { readonly [key: string]: FormValue };

/** A valid value for a field that is added, to be typed over. `name`: what a new thing is called. */
export function firstValue(field: FormField, context: FormContext, name = 'unnamed'): FormValue {
  switch (field.kind) {
    case 'number':
      return firstNumber(field);
    case 'text':
      return field.key === 'kind' ? 'trees' : name;
    case 'flag':
      return true;
    case 'time':
      return context.time;
    case 'position':
      return [...context.position];
    case 'fixed':
      return field.value;
    case 'word':
      return field.words[0] ?? '';
    case 'places':
      return ringAround(context.position, field.atLeast);
    case 'knots':
      return [[0, 1]];
    case 'numbers':
      return Array.from({ length: field.count }, () => 0);
    case 'texts':
      return [];
    case 'list':
      return Array.from({ length: field.atLeast }, () => firstValue(field.item, context, name));
    case 'group':
      return firstGroup(field.fields, context, name);
    case 'forms':
      return firstGroup(field.forms[0]?.fields ?? [], context, name);
    case 'table':
      return {};
    default:
      return never(field);
  }
}

const firstGroup = (fields: readonly FormField[], context: FormContext, name: string): FormValue =>
  Object.fromEntries(
    fields.filter((field) => field.required).map((field) => [field.key, firstValue(field, context, name)]),
  );

/** Usual sizes by unit, so that a new number has the right order of magnitude. */
const USUAL: Readonly<Record<string, number>> = { kg: 90, 'm/s': 10, s: 60, 'm²': 0.5, 'm AGL': 300, m: 100, '°': 0 };

function firstNumber({ unit, min, max, above }: Extract<FormField, { readonly kind: 'number' }>): number {
  const usual = USUAL[unit] ?? 1;
  const fits = (above ? usual > min : usual >= min) && usual <= max;
  return fits ? usual : above ? min + 1 : min;
}

/** Corners some hundred metres about a place: two for a line, else a square. */
function ringAround([lon, lat]: readonly [number, number], atLeast: number): [number, number][] {
  const d = 0.001;
  const square: [number, number][] = [
    [lon - d, lat - d],
    [lon + d, lat - d],
    [lon + d, lat + d],
    [lon - d, lat + d],
  ];
  return atLeast < 3 ? square.slice(0, 2) : square;
}
