// Reads a plan. What is wrong in it is named by its key, with what was found and what would be right; what can safely
// be left out (an element of a list, an optional key) is left out and said, and the rest is used. Only what no descent
// can do without refuses it.
import { z } from 'zod';
import { isDeeper } from '../base/depth.ts';
import { plainData, plainText } from '../base/plainText.ts';
import type { Problem, Read } from '../base/problem.ts';
import type { LonLat } from '../base/units.ts';
import { outlineFaults } from '../earth/outline.ts';
import { angle } from '../words/numbers.ts';
import { mission as missionSchema, type Jumper, type Mission, type MissionWindLevel } from './schema.ts';

/** A plan longer than this is not a plan: the demo missions have 12 kB. */
const TEXT_LENGTH_MAX = 20_000_000;
const PRUNES_MAX = 2000;
/** A corner of a zone's outline lies five deep. */
const DEPTH_MAX = 64;

export interface ReadMission {
  readonly mission: Mission;
  /** The document as it was read, unknown keys and all: what is edited and written back. */
  readonly raw: unknown;
}

/**
 * Legal: any plan after FORMAT.md, with unknown keys (kept, reported once each).
 * Not:   text that is not JSON (NaN, a torn file), another format or a newer version, a plan without site, exit or
 *        jumper; a latitude of 95, a direction of 999, a negative speed (left out with their level, zone or hazard).
 */
export function readMission(text: string): Read<ReadMission | null> {
  if (text.length > TEXT_LENGTH_MAX) {
    return refuse(
      0,
      `the file holds ${Math.round(text.length / 1e6)} MB of text; a mission has some kB, 20 MB at most`,
    );
  }
  const json = parseJson(text);
  if ('line' in json) return refuse(json.line, json.text);
  const raw = json.value;
  if (typeof raw !== 'object' || raw === null || Array.isArray(raw))
    return refuse(1, 'the file holds no object; expected { "format": "plumbline/mission", … }');
  if (isDeeper(raw, DEPTH_MAX))
    return refuse(0, `lists or objects lie more than ${DEPTH_MAX} deep; a plan has no such keys`);
  const head = raw as Record<string, unknown>;
  if (head['format'] !== 'plumbline/mission') {
    return refuse(0, `format: found ${show(head['format'])}; expected "plumbline/mission"`);
  }
  if (head['version'] !== 1) {
    const newer = typeof head['version'] === 'number' && head['version'] > 1;
    return refuse(
      0,
      `version: found ${show(head['version'])}; this program reads version ` +
        `1${newer ? ', a newer one is needed for this file' : ''}`,
    );
  }
  const pruned = prune(raw);
  if (pruned.mission === null) return { value: null, problems: pruned.problems };
  // Texts of the plan go to terminals, pages and the radio: invisible characters are taken out.
  const mission = plainData(pruned.mission);
  const doubted = doubts(mission);
  const problems = [...pruned.problems, ...unknownKeys(missionSchema, raw, ''), ...doubted];
  if (mission !== pruned.mission)
    problems.push({
      line: 0,
      text: 'the file holds control characters or marks of writing direction in its texts; each is shown as \ufffd',
    });
  const { leftOut: _, doubtful: __, ...read } = marked(tidy(mission));
  const doubtful = doubted.flatMap(({ holds }) => holds ?? []);
  const whole = {
    ...read,
    ...(pruned.leftOut.length === 0 ? {} : { leftOut: pruned.leftOut }),
    ...(doubtful.length === 0 ? {} : { doubtful }),
  };
  return { value: { mission: whole, raw }, problems };
}

/**
 * Reads an edited plan quickly: only top-level groups that changed are checked, the rest is reused. Null where a check
 * finds a problem: then `readMission` reads the whole plan.
 *
 * last  a reading without problems; its `raw` and the new one share what the edit left alone
 */
export function readEdited(last: ReadMission, raw: Readonly<Record<string, unknown>>): ReadMission | null {
  const before = last.raw as Readonly<Record<string, unknown>>;
  const shape: Readonly<Record<string, z.ZodType | undefined>> = missionSchema.shape;
  const changed: Record<string, unknown> = {};
  for (const key of new Set([...Object.keys(before), ...Object.keys(raw)])) {
    const value = raw[key];
    if (value === before[key] && key in raw === key in before) continue;
    const schema = Object.hasOwn(shape, key) ? shape[key] : undefined;
    const answer = schema?.safeParse(value === undefined ? undefined : copyJson(value));
    if (schema === undefined || answer?.success !== true || unknownKeys(schema, value, key).length > 0) return null;
    if (plainData(answer.data) !== answer.data) return null;
    changed[key] = answer.data;
  }
  // The name carries the mark: it is made from the whole plan.
  if ('rehearsal' in changed) return null;
  const mission = marked({ ...last.mission, ...changed });
  for (const key of Object.keys(changed)) if (!(key in raw)) Reflect.deleteProperty(mission, key);
  if (doubts(mission).length > 0) return null;
  return { mission: 'winds' in changed ? tidy(mission) : mission, raw };
}

const MARK = 'REHEARSAL: ';

/** The mission of a rehearsal has the mark before its name, whatever the name is: on pages, in files, on the radio. */
const marked = (mission: Mission): Mission =>
  mission.rehearsal !== true || mission.name.startsWith(MARK)
    ? mission
    : { ...mission, name: `${MARK}${mission.name}` };

/** A mission's name without the mark of a rehearsal. */
export const nameUnmarked = ({ name: called, rehearsal }: Mission): string =>
  rehearsal === true && called.startsWith(MARK) ? called.slice(MARK.length) : called;

const refuse = (line: number, text: string): Read<null> => ({ value: null, problems: [{ line, text }] });

function parseJson(text: string): { value: unknown } | Problem {
  if (text.trim() === '') return { line: 0, text: 'the file is empty; expected { "format": "plumbline/mission", … }' };
  try {
    return { value: JSON.parse(text.replace(/^\uFEFF/, '')) };
  } catch (error) {
    const said = error instanceof Error ? error.message : '';
    if (/[\0\uFFFD]/.test(text.slice(0, 1000)))
      return { line: 0, text: 'the file is binary, not text; expected a mission in JSON' };
    const place = /position (\d+)/.exec(said)?.[1];
    if (
      /end of JSON|Unterminated|property name or '}'|',' or/.test(said) &&
      (place === undefined || Number(place) >= text.trimEnd().length)
    ) {
      return {
        line: text.split('\n').length,
        text: 'the file ends in the middle: it is cut off; expected the closing brackets',
      };
    }
    const at = place === undefined ? text.search(/\b(?:-?NaN|-?Infinity|undefined|None)\b|\/\/|'/) : Number(place);
    const line = at < 0 ? 0 : text.slice(0, at).split('\n').length;
    const near =
      at < 0
        ? ''
        : ` near "${text
            .slice(Math.max(0, at - 12), at + 12)
            .replaceAll(/\s+/g, ' ')
            .trim()}"`;
    return {
      line,
      text: `not JSON${near}; expected numbers, strings in double quotes, and no NaN, comment or trailing comma`,
    };
  }
}

type Path = readonly PropertyKey[];

/** For lists that lost elements: where in the file each remaining one stood. */
type Origins = Map<unknown, number[]>;

/**
 * Checks the plan and leaves out the smallest part around each fault, with a problem, until it is valid or cannot be.
 */
function prune(raw: unknown): { mission: Mission | null; problems: Problem[]; leftOut: string[] } {
  const leftOut: string[] = [];
  const work: unknown = copyJson(raw);
  const problems: Problem[] = [];
  const origins: Origins = new Map();
  for (let n = 0; n < PRUNES_MAX; n++) {
    const answer = missionSchema.safeParse(work);
    if (answer.success) return { mission: answer.data, problems, leftOut };
    const issue = answer.error.issues[0];
    if (issue === undefined) break;
    const { path, text } = sentence(issue, work, origins);
    const left = leaveOut(work, path, origins);
    problems.push({
      line: 0,
      text: left === null ? `${text}; without it there is no descent` : `${text}; ${left} is left out`,
    });
    if (left === null) return { mission: null, problems, leftOut };
    leftOut.push(left);
  }
  problems.push({ line: 0, text: `more than ${PRUNES_MAX} faults; the file is not used` });
  return { mission: null, problems, leftOut };
}

const copyJson = (value: unknown): unknown => JSON.parse(JSON.stringify(value));

const valueAt = (root: unknown, path: Path): unknown =>
  path.reduce<unknown>(
    (at, key) => (typeof at === 'object' && at !== null ? (at as Record<PropertyKey, unknown>)[key] : undefined),
    root,
  );

/** Keys that a plan cannot do without, and whose parts cannot be left out one by one. */
const NEEDED = new Set(['format', 'version', 'name', 'site', 'exit', 'jumper']);
/** Parts of a needed key that may be left out alone. */
const OPTIONAL_INSIDE = new Set([
  'roughness_m',
  'timeZone',
  'terrain',
  'groundCover',
  'velocity_mps',
  'reserve',
  'experience',
  'oxygen_s',
  'steering',
  'fillExponent',
  'setting',
]);

/** Leaves out the smallest optional part around a path; answers its name, or null. */
function leaveOut(root: unknown, path: Path, origins: Origins): string | null {
  const top = String(path[0]);
  for (let length = path.length; length >= 1; length--) {
    const key = path[length - 1];
    const parent = valueAt(root, path.slice(0, length - 1));
    if (key === undefined || typeof parent !== 'object' || parent === null) continue;
    if (Array.isArray(parent)) {
      const point = parent.every((x) => typeof x === 'number');
      const corners = [
        'polygon',
        'line',
        'position',
        'ascentRate_mps',
        'machFactor',
        'std_mps',
        'correlationLength_m',
        'stages',
      ].includes(String(path[length - 2]));
      const inner = NEEDED.has(top);
      if (point || corners || inner || typeof key !== 'number') continue;
      const left = name(path.slice(0, length), root, origins);
      const stood = origins.get(parent) ?? parent.map((_, i) => i);
      stood.splice(key, 1);
      origins.set(parent, stood);
      parent.splice(key, 1);
      return left;
    }
    const record = parent as Record<PropertyKey, unknown>;
    const optional = NEEDED.has(top)
      ? length > 1 && OPTIONAL_INSIDE.has(String(key))
      : length === 1 || isOptional(path.slice(0, length));
    if (!optional || !(key in record)) continue;
    Reflect.deleteProperty(record, key);
    return name(path.slice(0, length), root, origins);
  }
  return null;
}

/** Whether the schema can do without the key at a path: tried with the schema itself, through lists. */
function isOptional(path: Path): boolean {
  let schema: unknown = missionSchema;
  for (const key of path) {
    const inner = unwrap(schema);
    if (inner instanceof z.ZodArray) schema = inner.element;
    else if (inner instanceof z.ZodObject) schema = (inner.shape as Record<string, unknown>)[String(key)];
    else return false;
  }
  return schema instanceof z.ZodOptional;
}

function unwrap(schema: unknown): unknown {
  let at = schema;
  while (at instanceof z.ZodOptional || at instanceof z.ZodReadonly) at = at.unwrap();
  return at;
}

/** A path as a person reads it, with the places that list elements have in the file. */
function name(path: Path, root: unknown, origins: Origins): string {
  return path
    .map((key, i) => {
      if (typeof key !== 'number') return i === 0 ? String(key) : `.${String(key)}`;
      return `[${origins.get(valueAt(root, path.slice(0, i)))?.[key] ?? key}]`;
    })
    .join('');
}

function show(value: unknown): string {
  if (value === undefined) return 'nothing';
  const text = plainText(JSON.stringify(value));
  return text.length > 60 ? `${text.slice(0, 57)}…` : text;
}

type Issue = z.core.$ZodIssue;

/** One fault in words: key, what was found, what would be right. */
function sentence(issue: Issue, root: unknown, origins: Origins): { path: Path; text: string } {
  if (issue.code === 'invalid_union') {
    // The branch that came furthest is the one that was meant.
    const branches = issue.errors.filter((branch) => branch.length > 0);
    const best = branches.toSorted((x, y) => x.length - y.length || depth(y) - depth(x))[0]?.[0];
    if (best !== undefined && branches.length > 0) {
      return sentence({ ...best, path: [...issue.path, ...best.path] }, root, origins);
    }
  }
  const found = show(valueAt(root, issue.path));
  return {
    path: issue.path,
    text: `${name(issue.path, root, origins) || 'the file'}: found ${found}; ${wanted(issue)}`,
  };
}

const depth = (branch: readonly Issue[]): number => Math.max(...branch.map((issue) => issue.path.length));

function wanted(issue: Issue): string {
  if (issue.code === 'invalid_type') return `expected ${KINDS[issue.expected] ?? `a ${issue.expected}`}`;
  if (issue.code === 'too_small') {
    return (
      `expected ${issue.inclusive === false ? 'more than' : 'at least'} ` +
      `${String(issue.minimum)}${issue.origin === 'array' ? ' entries' : ''}`
    );
  }
  if (issue.code === 'too_big')
    return `expected at most ${String(issue.maximum)}${issue.origin === 'array' ? ' entries' : ''}`;
  if (issue.code === 'invalid_value')
    return `expected ${issue.values.map((value) => JSON.stringify(value)).join(' or ')}`;
  return `expected ${issue.message.replace(/^.*expected /is, '')}`;
}

const KINDS: Readonly<Record<string, string>> = {
  object: 'a group in { }',
  record: 'a group in { }',
  array: 'a list in [ ]',
  tuple: 'a list of numbers',
};

/** Keys that the schema does not know, each reported once however often it occurs. */
function unknownKeys(schema: unknown, value: unknown, path: string, seen = new Set<string>()): Problem[] {
  const inner = unwrap(schema);
  if (inner instanceof z.ZodArray && Array.isArray(value))
    return value.flatMap((item) => unknownKeys(inner.element, item, `${path}[]`, seen));
  if (inner instanceof z.ZodUnion) {
    const option = inner.options.find((one) => (one as z.ZodType).safeParse(value).success);
    return option === undefined ? [] : unknownKeys(option, value, path, seen);
  }
  if (!(inner instanceof z.ZodObject) || typeof value !== 'object' || value === null) return [];
  const shape = inner.shape as Record<string, unknown>;
  return Object.entries(value).flatMap(([key, part]) => {
    const full = path === '' ? key : `${path}.${key}`;
    if (key in shape) return unknownKeys(shape[key], part, full, seen);
    if (seen.has(full)) return [];
    seen.add(full);
    return [{ line: 0, text: `${full}: this key is not known here; it is kept in the file and not used` }];
  });
}

/** A Mercator map has no poles. */
const MAP_ENDS_DEG = 85;

function namesTwice(list: readonly { readonly name: string }[]): ReadonlySet<string> {
  const names = list.map((item) => item.name);
  return new Set(names.filter((one, i) => names.indexOf(one) !== i));
}

/** `holds`: nobody goes on it, in the words of the verdict. */
interface Doubt extends Problem {
  readonly holds?: string;
}

/** What the schema allows but a person should check. */
function doubts(mission: Mission): Doubt[] {
  const said: Doubt[] = [];
  const say = (text: string, holds?: string): void =>
    void said.push({ line: 0, text, ...(holds === undefined ? {} : { holds }) });
  if (mission.exit.altitude_m <= mission.site.elevation_m) {
    say(
      `exit.altitude_m: found ${mission.exit.altitude_m}; expected more than the site's elevation of ` +
        `${mission.site.elevation_m} m MSL`,
    );
  }
  const canopy = mission.jumper.canopy;
  if (canopy?.setting !== undefined && !canopy.settings.some((one) => one.name === canopy.setting)) {
    say(
      `jumper.canopy.setting: found ${show(canopy.setting)}; expected one of ` +
        `${canopy.settings.map((one) => show(one.name)).join(', ')}; the first is flown`,
      `the canopy has no setting “${canopy.setting}”`,
    );
  }
  heightDoubts(mission.jumper, say);
  mission.jumper.stages.forEach((stage, i) => {
    if (stage.until === undefined && (i < mission.jumper.stages.length - 1 || canopy !== undefined)) {
      say(`jumper.stages[${i}].until: found nothing; expected what ends the stage; it lasts to the ground as it is`);
    }
  });
  for (const [key, list] of [
    ['landingZones', mission.landingZones],
    ['hazards', mission.hazards],
    ['teams', mission.teams],
    ['lists', mission.lists],
  ] as const) {
    for (const twice of namesTwice(list ?? []))
      say(
        `${key}: the name ${show(twice)} occurs twice; expected one name a thing`,
        key === 'landingZones' ? `two landing zones are called ${twice}` : undefined,
      );
  }
  for (const { name: called, items } of mission.lists ?? [])
    for (const twice of namesTwice(items))
      say(
        `lists ${show(called)}: the item ${show(twice)} occurs twice; expected one name an item; both are kept, and ` +
          'what is said of one counts for both',
      );
  for (const [key, list] of [
    ['landingZones', mission.landingZones],
    ['hazards', mission.hazards],
  ] as const) {
    for (const { name: called, polygon } of (list ?? []).filter((one) => 'polygon' in one))
      for (const fault of outlineFaults(polygon as readonly LonLat[])) {
        const what = fault.charAt(0).toLowerCase() + fault.slice(1);
        say(`${key} "${called}": ${what} It is used as it stands; check it`, `${called}: ${what.replace(/\.$/, '')}`);
      }
  }
  siteDoubts(mission, say);
  forecastDoubts(mission, say);
  return said;
}

function siteDoubts({ site }: Mission, say: (text: string) => void): void {
  const [, lat_deg] = site.position;
  if (Math.abs(lat_deg) > MAP_ENDS_DEG)
    say(
      `site.position: found latitude ${lat_deg}; the map ends at ${angle(MAP_ENDS_DEG)}: the numbers hold, the ` +
        'picture does not',
    );
}

/** Heights of a forecast that are out of order or repeat. */
function forecastDoubts({ winds }: Mission, say: (text: string, holds: string) => void): void {
  for (const column of winds?.forecast ?? []) {
    const heights = column.levels.map((level) => level.height_m);
    const falls = heights.filter((h, i) => i > 0 && h < (heights[i - 1] ?? h)).length;
    const same = heights.filter((h, i) => heights.indexOf(h) !== i).length;
    const named = `winds.forecast "${column.source}": `;
    if (falls > 0)
      say(
        `${named}${falls} heights are out of order; they are put in order`,
        `heights of “${column.source}” are out of order`,
      );
    if (same > 0)
      say(`${named}${same} heights repeat; of equal heights the first counts`, `heights of “${column.source}” repeat`);
  }
}

/** Heights of one descent that cannot follow one another. */
function heightDoubts({ stages, canopy, reserve }: Jumper, say: (text: string, holds: string) => void): void {
  const steering = canopy?.steering;
  if (steering?.policy === 'pattern') {
    const { downwind_agl_m, base_agl_m, final_agl_m } = steering;
    const legs = [downwind_agl_m, base_agl_m, final_agl_m].flatMap((one) => one ?? []);
    if (legs.some((agl_m, i) => i > 0 && agl_m >= (legs[i - 1] ?? agl_m)))
      say(
        `jumper.canopy.steering: found legs that begin at ${legs.join(', ')} m AGL; expected each lower than the last`,
        'the legs of the pattern do not go down',
      );
  }
  const until = stages.at(-1)?.until;
  const opens_m = until !== undefined && 'agl_m' in until ? until.agl_m : null;
  if (reserve !== undefined && opens_m !== null && reserve.opensAt_agl_m >= opens_m)
    say(
      `jumper.reserve.opensAt_agl_m: found ${reserve.opensAt_agl_m}; expected less than the ${opens_m} m AGL at ` +
        'which the canopy opens',
      'the reserve opens above the canopy',
    );
}

/** Levels in rising order, of equal heights the first. */
function tidy(mission: Mission): Mission {
  const forecast = mission.winds?.forecast;
  if (forecast === undefined) return mission;
  return {
    ...mission,
    winds: { ...mission.winds, forecast: forecast.map((column) => ({ ...column, levels: rising(column.levels) })) },
  };
}

function rising(levels: readonly MissionWindLevel[]): MissionWindLevel[] {
  const sorted = levels.toSorted((a, b) => a.height_m - b.height_m);
  return sorted.filter((level, i) => i === 0 || level.height_m > (sorted[i - 1]?.height_m ?? -Infinity));
}
