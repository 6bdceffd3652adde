// Soundings as JSON of the mesonet: { profiles: [{ station, valid, profile: [{ pres, hght, tmpc, dwpc, drct, sknt }] }]
// }. Pressure hPa, heights geopotential m, °C, degrees, KNOTS; null or a bare NaN (which is not JSON) is missing.
import type { Problem, Read } from '../../base/problem.ts';
import type { DecodedWinds } from '../../air/levels.ts';
import { CELSIUS, DEG, HPA, KT, M, readCell } from './columns.ts';
import type { Cells, CellQuantity, Unit } from './columns.ts';
import { checkHeights, hasContent, isBlank, levelOf } from './rows.ts';
import type { PlacedLevel } from './rows.ts';
import { shown } from '../text/shown.ts';
import { answer, decodedWinds, Findings, refused } from '../text/text.ts';
import { parseTime } from '../text/times.ts';

const FIELDS: readonly (readonly [key: string, quantity: CellQuantity, unit: Unit])[] = [
  ['pres', 'pressure', HPA],
  ['hght', 'geopotential', M],
  ['tmpc', 'temperature', CELSIUS],
  ['dwpc', 'dewPoint', CELSIUS],
  ['drct', 'from', DEG],
  ['sknt', 'speed', KT],
];

const isRecord = (value: unknown): value is Readonly<Record<string, unknown>> =>
  typeof value === 'object' && value !== null && !Array.isArray(value);

const own = (record: Readonly<Record<string, unknown>>, key: string): unknown =>
  Object.hasOwn(record, key) ? record[key] : undefined;

const BARE = ['NaN', '-Infinity', 'Infinity'];

/**
 * What JSON.parse refuses but a station's answer may hold: each bare NaN or Infinity (outside of strings) becomes null.
 * `closed`: where the text breaks off, the text cut back to its last whole record, and the brackets closed; null where
 * it does not. One pass by hand, because a pattern over a string of megabytes can exhaust the pattern matcher's stack.
 */
export function mendJson(text: string): { readonly text: string; readonly closed: string | null } {
  const open: string[] = [];
  let mended = '';
  let from = 0;
  let whole: { readonly before: string; readonly from: number; readonly to: number; readonly closing: string } | null =
    null;
  let quoted = false;
  for (let i = 0; i < text.length; i++) {
    const character = text[i] ?? '';
    if (quoted) {
      if (character === '\\') i += 1;
      else if (character === '"') quoted = false;
      continue;
    }
    if (character === '"') quoted = true;
    else if (character === '{' || character === '[') open.push(character === '{' ? '}' : ']');
    else if (character === '}' || character === ']') {
      open.pop();
      // An answer is four brackets deep; where something deeper breaks off, the last whole record above it counts.
      if (open.length <= 4) whole = { before: mended, from, to: i + 1, closing: open.toReversed().join('') };
    } else {
      const word =
        character === 'N' || character === 'I' || character === '-'
          ? BARE.find((bare) => text.startsWith(bare, i))
          : undefined;
      if (word === undefined) continue;
      mended += `${text.slice(from, i)}null`;
      from = i + word.length;
      i = from - 1;
    }
  }
  const breaksOff = (open.length > 0 || quoted) && whole !== null;
  const closed = breaksOff && whole !== null ? whole.before + text.slice(whole.from, whole.to) + whole.closing : null;
  return { text: mended + text.slice(from), closed };
}

/** Parsed JSON, or the error's words. */
function parse(text: string): { value: unknown } | { error: string } {
  try {
    const value: unknown = JSON.parse(text);
    return { value };
  } catch (error) {
    return { error: error instanceof Error ? shown(error.message) : 'no JSON' };
  }
}

function readProfile(
  profile: Readonly<Record<string, unknown>>,
  index: number,
): { station: string; decoded: DecodedWinds } {
  const findings = new Findings();
  const name = own(profile, 'station');
  const station = typeof name === 'string' && name !== '' ? shown(name).slice(1, -1) : `profile ${index + 1}`;
  const valid = own(profile, 'valid');
  const validTime = typeof valid === 'string' ? parseTime(valid) : null;
  if (validTime === null) {
    const found = typeof valid === 'string' ? shown(valid) : 'missing';
    findings.add('times', { line: 0 }, `${station}: valid time ${found}; expected UTC such as 1999-05-04T00:00:00Z`);
  }
  const list = own(profile, 'profile');
  const rows: PlacedLevel[] = [];
  if (!Array.isArray(list))
    findings.add('lists of levels', { line: 0 }, `${station}: no "profile"; expected a list of levels`);
  else {
    list.forEach((item: unknown, i) => {
      const place = { line: 0, label: `${station}, level ${i + 1}` };
      if (!isRecord(item)) {
        findings.add(
          'levels that are not records',
          place,
          `${shown(JSON.stringify(item))}; expected { pres, hght, drct, sknt, … }`,
        );
        return;
      }
      const row: Cells = {};
      for (const [key, quantity, unit] of FIELDS) {
        const found = own(item, key);
        if (found === null || found === undefined) continue;
        const text = typeof found === 'number' ? String(found) : JSON.stringify(found);
        const value = readCell({ quantity, unit }, text.replace(/^"|"$/g, ''), place, findings);
        if (value !== null) row[quantity] = value;
        else row.refused = true;
      }
      const level = levelOf(row, place, findings);
      if (hasContent(level)) rows.push({ level, place });
      else if (isBlank(row)) findings.add('levels without any value', place, 'nothing in it can be used');
    });
  }
  checkHeights(rows, findings);
  const what = { source: `sounding ${station}`, validTime, position: null, levels: rows.map((row) => row.level) };
  return {
    station,
    decoded: decodedWinds(
      what,
      findings,
      `no level${validTime === null ? '' : ` at ${validTime}`}: the archive has no sounding here`,
    ),
  };
}

/**
 * Reads the mesonet's answer, all stations of it; with `station`, only that one.
 *
 * Legal      null for missing, a bare NaN, several profiles, an answer that breaks off (the whole levels of it are
 *            used)
 * Not legal  an empty profile (there was no sounding), other JSON, text where a number belongs
 */
export function readMesonet(text: string, options: { readonly station?: string } = {}): Read<DecodedWinds[]> {
  const others: Problem[] = [];
  const plain = text.replace(/^\uFEFF/, '');
  let parsed = parse(plain);
  if ('error' in parsed) {
    const mended = mendJson(plain);
    const whole = parse(mended.text);
    const cut = 'error' in whole && mended.closed !== null ? parse(mended.closed) : whole;
    if ('value' in cut && 'error' in whole)
      others.push({ line: 0, text: 'the JSON breaks off; the levels before that are used' });
    if ('value' in cut) parsed = cut;
  }
  if ('error' in parsed) return refused(0, `no JSON that can be read: ${parsed.error}`);
  const list = isRecord(parsed.value) ? own(parsed.value, 'profiles') : undefined;
  if (!Array.isArray(list))
    return refused(
      0,
      'JSON without "profiles"; expected { "profiles": [{ "station", "valid", "profile": [levels] }] }',
    );
  const profiles = list.filter(isRecord).map(readProfile);
  if (profiles.length < list.length)
    others.push({ line: 0, text: `${list.length - profiles.length} of the profiles are not records` });
  if (profiles.length === 0) return refused(0, 'the list of profiles is empty: the archive has no sounding here');
  const wanted = options.station?.trim().toUpperCase();
  const chosen =
    wanted === undefined || wanted === ''
      ? profiles
      : profiles.filter(({ station }) => station.toUpperCase().endsWith(wanted));
  if (chosen.length === 0) {
    return refused(
      0,
      `station ${shown(wanted ?? '')} is not in the answer; it has ${profiles
        .map(({ station }) => station)
        .slice(0, 40)
        .join(', ')}`,
    );
  }
  return answer(
    chosen.map(({ decoded }) => decoded),
    others,
  );
}
