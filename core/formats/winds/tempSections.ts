// The sections of one TEMP part (FM 35 to 38) as levels, heights still as printed: standard surfaces, tropopause,
// maximum wind, significant levels. Source: WMO-No. 306 vol. I.1, FM 35; reference/wind-reports.md §3.
import { PA_PER_HPA } from '../../base/units.ts';
import { shown } from '../text/shown.ts';
import type { Findings } from '../text/text.ts';
import { codedTemperature, codedWind } from './wmo.ts';
import type { Group, Identified } from './wmo.ts';

export type DraftKind = 'surface' | 'standard' | 'significant' | 'tropopause' | 'maximum wind' | 'fixed height';

/** A level before its height is known. `hhh`: the three figures of a standard level's height as printed. */
export interface Draft {
  readonly kind: DraftKind;
  readonly line: number;
  readonly pressure_Pa: number | null;
  readonly hhh: number | null;
  geopotential_m: number | null;
  temperature_K: number | null;
  dewPoint_K: number | null;
  from_deg: number | null;
  speed_mps: number | null;
}

export function draft(kind: DraftKind, line: number, pressure_Pa: number | null, given: Partial<Draft> = {}): Draft {
  const empty = {
    hhh: null,
    geopotential_m: null,
    temperature_K: null,
    dewPoint_K: null,
    from_deg: null,
    speed_mps: null,
  };
  return { ...empty, ...given, kind, line, pressure_Pa };
}

/** Indicator figures and pressure, hPa, of the standard surfaces of parts A and C, upward. */
const SURFACES: Readonly<Record<'A' | 'C', readonly (readonly [indicator: string, hPa: number])[]>> = {
  A: [
    ['00', 1000],
    ['92', 925],
    ['85', 850],
    ['70', 700],
    ['50', 500],
    ['40', 400],
    ['30', 300],
    ['25', 250],
    ['20', 200],
    ['15', 150],
    ['10', 100],
  ],
  C: [
    ['70', 70],
    ['50', 50],
    ['30', 30],
    ['20', 20],
    ['10', 10],
    ['07', 7],
    ['05', 5],
    ['03', 3],
    ['02', 2],
    ['01', 1],
  ],
};

/**
 * Indicators of the sections that follow the levels. They count only where an indicator may stand: "31313" is also
 * −31.3 °C.
 */
export const isMarker = (word: string): boolean => /^(21212|31313|41414|5([1-9])5\2(?:5)|6([1-9])6\3(?:6))$/.test(word);

export class Cursor {
  at = 0;
  readonly groups: readonly Group[];

  constructor(groups: readonly Group[]) {
    this.groups = groups;
  }

  word(ahead = 0): string | undefined {
    return this.groups[this.at + ahead]?.text;
  }

  line(): number {
    return this.groups[this.at]?.line ?? this.groups.at(-1)?.line ?? 0;
  }
}

interface Context {
  readonly id: Identified;
  readonly cursor: Cursor;
  readonly findings: Findings;
  readonly out: Draft[];
}

const name = (id: Identified): string => `${id.part.form}${id.part.letter}${id.part.letter} ${id.station}`;

function cutOff({ id, cursor, findings }: Context, what: string): void {
  findings.add(
    'levels cut off',
    { line: cursor.line() },
    `${name(id)}: the message ends inside ${what}; the rest is missing`,
  );
}

function takeTemperature(context: Context, level: Draft, what: string): boolean {
  const { cursor, findings, id } = context;
  const word = cursor.word();
  if (word === undefined) {
    cutOff(context, what);
    return false;
  }
  const { temperature_K, dewPoint_K, wrong } = codedTemperature(word);
  if (wrong !== undefined)
    findings.add('temperature groups', { line: cursor.line() }, `${name(id)}, ${what}: ${wrong}`);
  level.temperature_K = temperature_K;
  level.dewPoint_K = dewPoint_K;
  cursor.at++;
  return true;
}

function takeWind(context: Context, level: Draft, what: string): void {
  const { cursor, findings, id } = context;
  const { from_deg, speed_mps, wrong } = codedWind(cursor.word() ?? '', id.knots);
  if (wrong !== undefined) findings.add('wind groups', { line: cursor.line() }, `${name(id)}, ${what}: ${wrong}`);
  level.from_deg = from_deg;
  level.speed_mps = speed_mps;
  cursor.at++;
}

/** Could this group be a wind at all: a direction up to 36, or missing; never the head of a section. */
function windLike(word: string | undefined): word is string {
  return word !== undefined && !isMarker(word) && (/^\/{5}$/.test(word) || Number(word.slice(0, 2)) <= 36);
}

/** Can a new level or section start here? */
function heads(word: string | undefined, surfaces: readonly (readonly [string, number])[], next: number): boolean {
  if (word === undefined || isMarker(word) || /^(88|77|66)/.test(word)) return true;
  return surfaces.some(([indicator], i) => i >= next && word.startsWith(indicator));
}

/**
 * Whether the wind group of a standard surface is there. The figure Id says up to which surface winds are given (1 to
 * 9: hundreds of hPa, in part C tens; 0: 1000 hPa; "/": none), but 1 stands for 150 or 100 hPa and 2 for 250 or 200,
 * and stations mistake it: the groups that follow have the last word.
 */
function windFollows(
  { id, cursor }: Context,
  hPa: number,
  surfaces: readonly (readonly [string, number])[],
  next: number,
): boolean {
  if (!windLike(cursor.word())) return false;
  const unit = id.part.letter === 'A' ? 100 : 10;
  const figure = id.indicator === '/' ? Infinity : id.indicator === '0' && unit === 100 ? 10 : Number(id.indicator);
  const surely = figure * unit + (figure <= 2 && unit === 100 ? unit / 2 : 0);
  const fits = heads(cursor.word(1), surfaces, next);
  const fitsWithout =
    heads(cursor.word(), surfaces, next) &&
    (heads(cursor.word(2), surfaces, next + 1) || heads(cursor.word(3), surfaces, next + 1));
  return hPa >= surely ? fits || !fitsWithout : fits && !fitsWithout;
}

/**
 * Skips what is not understood up to the next two groups that look like levels; false without any.
 */
function resume(
  { id, cursor, findings }: Context,
  surfaces: readonly (readonly [string, number])[],
  next: number,
): boolean {
  const from = cursor.at;
  const line = cursor.line();
  const skipped = (): string =>
    cursor.groups
      .slice(from, cursor.at)
      .map((g) => g.text)
      .join(' ');
  for (cursor.at++; cursor.at < cursor.groups.length; cursor.at++) {
    const word = cursor.word() ?? '';
    const follows = heads(cursor.word(3), surfaces, next + 1) || heads(cursor.word(2), surfaces, next + 1);
    if (isMarker(word) || (word.length === 5 && heads(word, surfaces, next) && follows)) {
      findings.add(
        'stretches not understood',
        { line },
        `${name(id)}: ${shown(skipped())} is not a level; skipped up to ${shown(word)}`,
      );
      return true;
    }
  }
  findings.add(
    'stretches not understood',
    { line },
    `${name(id)}: ${shown(skipped())} is not a level; the rest of the part is left out`,
  );
  return false;
}

/**
 * 88PPP: tropopause; 77PPP, 66PPP: maximum wind (66: at the top of the ascent), with 4vvvv for the shear. 999: none.
 */
function special(context: Context): void {
  const { cursor, id, out, findings } = context;
  const word = cursor.word() ?? '';
  const line = cursor.line();
  const tropopause = word.startsWith('88');
  const what = tropopause ? 'tropopause' : 'maximum wind';
  cursor.at++;
  if (word.endsWith('999')) return;
  const ppp = /^\d{5}$/.test(word) ? Number(word.slice(2)) : NaN;
  const hPa = id.part.letter === 'A' ? ppp : ppp / 10;
  const level = draft(what, line, hPa * PA_PER_HPA);
  if (tropopause && !takeTemperature(context, level, what)) return;
  if (windLike(cursor.word())) takeWind(context, level, what);
  else if (cursor.word() === undefined && !tropopause) cutOff(context, what);
  if (!tropopause && /^4\d{4}$/.test(cursor.word() ?? '') && !isMarker(cursor.word() ?? '')) cursor.at++;
  if (hPa > 0 && (id.part.letter === 'C' || hPa >= 100)) out.push(level);
  else
    findings.add(
      'level groups',
      { line },
      `${name(id)}: ${what} ${shown(word)}; expected a pressure after the first two figures`,
    );
}

function surfaceLevel(context: Context): void {
  const { cursor, id, out, findings } = context;
  const ppp = (cursor.word() ?? '').slice(2);
  const line = cursor.line();
  cursor.at++;
  if (!/^(\d{3}|\/{3})$/.test(ppp))
    findings.add('level groups', { line }, `${name(id)}: surface pressure ${shown(ppp)}; expected three figures`);
  const hPa = /^\d{3}$/.test(ppp) ? (Number(ppp) < 100 ? 1000 + Number(ppp) : Number(ppp)) : null;
  const level = draft('surface', line, hPa === null ? null : hPa * PA_PER_HPA);
  if (!takeTemperature(context, level, 'the surface level')) return;
  if (windLike(cursor.word())) takeWind(context, level, 'the surface level');
  out.push(level);
}

/**
 * Parts A and C: the surface (99), the standard surfaces, tropopauses and maximum winds. The cursor stops at the first
 * later section.
 */
export function standardSections(id: Identified, cursor: Cursor, findings: Findings): Draft[] {
  const context: Context = { id, cursor, findings, out: [] };
  const surfaces = SURFACES[id.part.letter === 'A' ? 'A' : 'C'];
  if (id.part.letter === 'A' && cursor.word()?.startsWith('99') === true) surfaceLevel(context);
  let next = 0;
  while (cursor.at < cursor.groups.length) {
    const word = cursor.word() ?? '';
    if (isMarker(word)) break;
    if (/^(88|77|66)/.test(word)) {
      special(context);
      continue;
    }
    const n = surfaces.findIndex(([indicator], i) => i >= next && word.startsWith(indicator));
    const surface = surfaces[n];
    if (surface === undefined || !/^\d\d(\d{3}|\/{3})$/.test(word)) {
      if (!resume(context, surfaces, next)) break;
      continue;
    }
    next = n + 1;
    const what = `${surface[1]} hPa`;
    const hhh = word.endsWith('///') ? null : Number(word.slice(2));
    const level = draft('standard', cursor.line(), surface[1] * PA_PER_HPA, { hhh });
    context.out.push(level);
    cursor.at++;
    if (!takeTemperature(context, level, what)) break;
    if (windFollows(context, surface[1], surfaces, next)) takeWind(context, level, what);
  }
  return context.out;
}

/** Pressure of a significant level: hPa in part B (1000 dropped), tenths of a hPa in part D. */
function significantPressure_Pa(ppp: number, letter: string): number {
  if (letter === 'D') return (ppp / 10) * PA_PER_HPA;
  return (ppp < 100 ? 1000 + ppp : ppp) * PA_PER_HPA;
}

/**
 * Parts B and D: nnPPP TTTDD for temperature, and after 21212 nnPPP ddfff for wind; nn is 00 at the surface, then 11,
 * 22 … 99, 11 … A group pair with "///" for the pressure bounds a layer without data and is passed over.
 */
export function significantSections(id: Identified, cursor: Cursor, findings: Findings): Draft[] {
  const context: Context = { id, cursor, findings, out: [] };
  let wind = false;
  while (cursor.at < cursor.groups.length) {
    const word = cursor.word() ?? '';
    const line = cursor.line();
    if (word === '21212') {
      wind = true;
      cursor.at++;
      continue;
    }
    if (isMarker(word)) break;
    const found = /^(\d)\1(\d{3}|\/{3})$/.exec(word);
    if (found === null) {
      const from = cursor.at;
      while (cursor.at < cursor.groups.length && !significantAgain(cursor, from)) cursor.at++;
      const skipped = cursor.groups
        .slice(from, cursor.at)
        .map((g) => g.text)
        .join(' ');
      findings.add(
        'stretches not understood',
        { line },
        `${name(id)}: ${shown(skipped)} is not a significant level (nnPPP); left out`,
      );
      continue;
    }
    cursor.at++;
    const ppp = found[2] ?? '';
    const pressure_Pa = ppp === '///' ? null : significantPressure_Pa(Number(ppp), id.part.letter);
    const level = draft(word.startsWith('00') ? 'surface' : 'significant', line, pressure_Pa);
    const what = `level ${word}`;
    if (wind) {
      if (cursor.word() === undefined) {
        cutOff(context, what);
        break;
      }
      takeWind(context, level, what);
    } else if (!takeTemperature(context, level, what)) break;
    if (pressure_Pa !== null && pressure_Pa > 0) context.out.push(level);
  }
  return context.out;
}

/** After a group that is not a level: a marker, or a group nnPPP with another two groups later. */
function significantAgain(cursor: Cursor, from: number): boolean {
  const word = cursor.word() ?? '';
  if (cursor.at === from) return false;
  const level = /^(\d)\1\d{3}$/;
  const then = cursor.word(2);
  return isMarker(word) || (level.test(word) && (then === undefined || level.test(then) || isMarker(then)));
}

/** The hour and minute of release: 31313, then the kind of sonde, then 8GGgg. */
export function releaseTime(cursor: Cursor): { hour: number; minute: number } | null {
  for (let i = cursor.at; i < cursor.groups.length; i++) {
    if (cursor.groups[i]?.text !== '31313') continue;
    const found = /^8([01]\d|2[0-3])([0-5]\d)$/.exec(cursor.groups[i + 2]?.text ?? '');
    if (found !== null) return { hour: Number(found[1]), minute: Number(found[2]) };
  }
  return null;
}
