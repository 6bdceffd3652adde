// What the WMO character codes TEMP (FM 35 to 38) and PILOT (FM 32 to 34) share: parts and groups, identification,
// time, wind. Source: WMO-No. 306 Manual on Codes vol. I.1; US FMH-3 appendix E; reference/wind-reports.md §3.
// Directions true and FROM; m/s, K, Pa.
import { formatDegrees } from '../../words/positions.ts';
import { quantity } from '../../words/numbers.ts';
import type { LonLat } from '../../base/units.ts';
import { KELVIN_AT_0_C, MPS_PER_KT, M_PER_FT } from '../../base/units.ts';
import { AERODROME, FRAME, HEADING, PART, beginsReport, bulletinWords } from './bulletin.ts';
import { shown } from '../text/shown.ts';
import { linesOf } from '../text/text.ts';
import type { Findings } from '../text/text.ts';

export interface Group {
  readonly text: string;
  readonly line: number;
}

/**
 * One part of a message: `form` TT, UU, XX, II (temperature) or PP, QQ, EE (wind only), at a land, sea, falling or
 * moving station.
 */
export interface Part {
  readonly form: string;
  readonly letter: 'A' | 'B' | 'C' | 'D';
  readonly line: number;
  readonly groups: readonly Group[];
  /** The part was ended by "=", by the next part, report or bulletin, not by the end of the file. */
  readonly closed: boolean;
}

/**
 * The longest real part here has 120 groups; past this a part is followed by other text without any end, and that is
 * not read.
 */
const MOST_GROUPS = 2000;

/**
 * All parts anywhere in a text: between other bulletins, wrapped at any place, with any control characters and line
 * ends. A part ends at "=", at the next part's letters, at a bulletin heading ("USUS44"), at an aerodrome's report
 * (METAR, SPECI, TAF, "EDDW 011250Z"), at NNNN, ETX or the end of the file.
 */
export function findParts(text: string): Part[] {
  const parts: Part[] = [];
  let open: { form: string; letter: Part['letter']; line: number; groups: Group[] } | null = null;
  const end = (closed: boolean): void => {
    if (open !== null) parts.push({ ...open, closed });
    open = null;
  };
  linesOf(text).forEach((row, index) => {
    const line = index + 1;
    for (const word of bulletinWords(row)) {
      const begins = PART.exec(word);
      const last: Group | undefined = open?.groups.at(-1);
      if (word === '=' || word === FRAME || word === 'NNNN' || HEADING.test(word) || AERODROME.test(word)) end(true);
      else if (last !== undefined && beginsReport(last.text, word)) {
        open?.groups.pop();
        if (open?.groups.at(-1)?.text === 'COR') open.groups.pop();
        end(true);
      } else if (begins !== null) {
        end(true);
        open = { form: word.slice(0, 2), letter: letterOf(word), line, groups: [] };
      } else if (open !== null && open.groups.length < MOST_GROUPS) open.groups.push({ text: word, line });
    }
  });
  end(false);
  return parts;
}

function letterOf(word: string): Part['letter'] {
  const c = word.charAt(2);
  return c === 'A' || c === 'B' || c === 'C' ? c : 'D';
}

/** What stands at the head of a part. */
export interface Identified {
  readonly part: Part;
  /** Station and time: parts with the same key are one ascent. */
  readonly key: string;
  readonly station: string;
  /** WMO block number of a land station. */
  readonly block: number | null;
  readonly day: number;
  readonly hour: number;
  readonly knots: boolean;
  /** The fifth figure of the time group: up to where standard levels have a wind, or the kind of instrument. */
  readonly indicator: string;
  readonly position: LonLat | null;
  readonly elevation_m: number | null;
  readonly body: readonly Group[];
}

/** Reads the head of a part; null, with a problem, where it cannot be known whose or when the part is. */
export function identify(part: Part, findings: Findings): Identified | null {
  const name = `${part.form}${part.letter}${part.letter}`;
  const refuse = (line: number, text: string): null => {
    findings.add('parts that cannot be placed', { line }, `${name}: ${text}`);
    return null;
  };
  const words = part.groups.map((g) => g.text);
  if (words.length === 0) return refuse(part.line, 'nothing follows; expected day, hour and station');
  if (words.slice(0, 4).includes('NIL'))
    return refuse(part.line, `${words.join(' ').slice(0, 30)}: the station sent no report`);
  const moving = part.form !== 'TT' && part.form !== 'PP';
  const called =
    moving && part.form !== 'XX' && !(/^\d{4}[\d/]$/.test(words[0] ?? '') && /^99\d{3}$/.test(words[1] ?? ''));
  const at = called ? 1 : 0;
  const time = /^(\d\d)(\d\d)([\d/])$/.exec(words[at] ?? '');
  const yy = Number(time?.[1]);
  const day = yy > 50 ? yy - 50 : yy;
  const hour = Number(time?.[2]);
  if (!(day >= 1 && day <= 31 && hour >= 0 && hour <= 23)) {
    return refuse(
      part.groups[at]?.line ?? part.line,
      `time group ${shown(words[at] ?? '')}; expected day (plus 50 for knots), hour, figure`,
    );
  }
  const common = { part, day, hour, knots: yy > 50, indicator: time?.[3] ?? '/' };
  if (!moving) {
    const station = words[at + 1] ?? '';
    if (!/^\d{5}$/.test(station))
      return refuse(part.groups[at + 1]?.line ?? part.line, `station ${shown(station)}; expected five figures`);
    const key = `${station} ${day} ${hour}`;
    return {
      ...common,
      key,
      station,
      block: Number(station.slice(0, 2)),
      position: null,
      elevation_m: null,
      body: part.groups.slice(at + 2),
    };
  }
  const position = shipPosition(words[at + 1] ?? '', words[at + 2] ?? '');
  if (position === null) {
    return refuse(
      part.groups[at + 1]?.line ?? part.line,
      `position ${shown(words.slice(at + 1, at + 3).join(' '))}; expected 99LLL QLLLL`,
    );
  }
  const mobile = part.form === 'II' || part.form === 'EE';
  const station = called ? (words[0] ?? '') : placeName(position);
  const key = `${called ? station : `${words[at + 1] ?? ''} ${words[at + 2] ?? ''}`} ${day} ${hour}`;
  return {
    ...common,
    key,
    station,
    block: null,
    position,
    elevation_m: mobile ? mobileElevation(words[at + 4] ?? '') : null,
    body: part.groups.slice(at + (mobile ? 5 : 4)),
  };
}

/**
 * 99LaLaLa QcLoLoLoLo in tenths of a degree; quadrant 1 north-east, 3 south-east, 5 south-west, 7 north-west (code
 * table 3333).
 */
function shipPosition(latitude: string, longitude: string): LonLat | null {
  if (!/^99\d{3}$/.test(latitude) || !/^[1357]\d{4}$/.test(longitude)) return null;
  const q = longitude.charAt(0);
  const lat = Number(latitude.slice(2)) / 10;
  const lon = Number(longitude.slice(1)) / 10;
  if (!(lat <= 90 && lon <= 180)) return null;
  return [q === '5' || q === '7' ? -lon : lon, q === '3' || q === '5' ? -lat : lat];
}

const placeName = ([lon, lat]: LonLat): string => formatDegrees([lon, lat], 1);

/** h0h0h0h0im: metres where the last figure is 1 to 4, feet where it is 5 to 8 (code table 1845). */
function mobileElevation(group: string): number | null {
  const found = /^(\d{4})([1-8])$/.exec(group);
  if (found === null) return null;
  return Number(found[1]) * (Number(found[2]) <= 4 ? 1 : M_PER_FT);
}

export interface CodedWind {
  readonly from_deg: number | null;
  readonly speed_mps: number | null;
  readonly wrong?: string;
}

const NO_WIND: CodedWind = { from_deg: null, speed_mps: null };
/** Past any wind ever measured on a balloon; the same bound as the plain-text reader's. */
const MOST_MPS = 150;

/**
 * ddfff: tens of degrees FROM, speed; 500 added to the speed carries the 5 of the direction; 100 and more simply runs
 * on.
 *
 * legal    "27508" 275/8, "11112" 110/112, "11612" 115/112, "00000" calm, "/////" missing
 * illegal  "37010" (370°), "36505" (365°), "2750" (four figures), "00012" (a speed from no direction: the speed stays)
 */
export function codedWind(group: string, knots: boolean): CodedWind {
  if (/^\/{5}$/.test(group)) return NO_WIND;
  if (!/^\d{5}$/.test(group)) return { ...NO_WIND, wrong: `wind ${shown(group)}; expected five figures or "/////"` };
  const fff = Number(group.slice(2));
  const from_deg = Number(group.slice(0, 2)) * 10 + (fff >= 500 ? 5 : 0);
  const speed = fff % 500;
  const speed_mps = knots ? speed * MPS_PER_KT : speed;
  if (!(from_deg <= 360)) return { ...NO_WIND, wrong: `wind "${group}": direction ${from_deg}; expected 0 to 360` };
  if (!(speed_mps < MOST_MPS)) {
    return { ...NO_WIND, wrong: `wind "${group}": ${speed} ${knots ? 'kt' : 'm/s'}; expected below ${MOST_MPS} m/s` };
  }
  if (from_deg === 0 && speed > 0)
    return { from_deg: null, speed_mps, wrong: `wind "${group}": a speed from direction 00; expected 01 to 36` };
  return { from_deg, speed_mps };
}

export interface CodedTemperature {
  readonly temperature_K: number | null;
  readonly dewPoint_K: number | null;
  readonly wrong?: string;
}

const HOTTEST_C = 60;

const NO_TEMPERATURE: CodedTemperature = { temperature_K: null, dewPoint_K: null };

/**
 * TTTDD: tenths of a degree Celsius, below zero where the tenths figure is odd; then the dew-point depression, tenths
 * up to 50, 56 to 99 whole degrees plus 50.
 *
 * legal    "01471" +1.4 °C and 21 °C, "12971" −12.9 °C, "565//" no dew point, "/////" missing
 * illegal  "12953" (51 to 55 mean nothing: the temperature stays), "1297" (four figures), "99009" (99.0 °C)
 */
export function codedTemperature(group: string): CodedTemperature {
  if (/^\/{5}$/.test(group)) return NO_TEMPERATURE;
  if (!/^\d{3}(\d\d|\/\/)$/.test(group))
    return { ...NO_TEMPERATURE, wrong: `temperature ${shown(group)}; expected five figures, "TTT//" or "/////"` };
  const tenths = Number(group.slice(0, 3));
  const celsius = (tenths % 2 === 1 ? -tenths : tenths) / 10;
  // Free air is nowhere hotter (the record at the ground is below 57 °C): groups that slipped by one read so.
  if (celsius > HOTTEST_C)
    return {
      ...NO_TEMPERATURE,
      wrong: `temperature "${group}": ${quantity(celsius, '°C', 1)}; expected at most ${quantity(HOTTEST_C, '°C')}`,
    };
  const temperature_K = KELVIN_AT_0_C + celsius;
  if (group.endsWith('//')) return { temperature_K, dewPoint_K: null };
  const dd = Number(group.slice(3));
  if (dd > 50 && dd < 56)
    return {
      temperature_K,
      dewPoint_K: null,
      wrong: `temperature "${group}": depression ${dd}; 51 to 55 are not used`,
    };
  return { temperature_K, dewPoint_K: temperature_K - (dd <= 50 ? dd / 10 : dd - 50) };
}
