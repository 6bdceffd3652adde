// FB winds and temperatures aloft: groups of direction, speed and temperature under columns of height in feet, one line
// a station. Source: FAA AC 00-45 (forecast winds and temperatures aloft) and AC 00-45 §9: below 18 000 ft true
// altitude, from there pressure altitude.
//
// Light and variable (9900: no direction, under 5 kt) becomes direction null with speed 0: over all directions its mean
// vector is zero, which is at most 2.6 m/s off, whereas leaving the level out would fill it with the stronger winds
// above and below. A pressure altitude becomes the geometric height at which the standard atmosphere has that pressure,
// and the pressure is given.
import { roundTo } from '../../base/plainNumbers.ts';
import { standardAir, geometricHeight } from '../../air/air.ts';
import type { Problem, Read } from '../../base/problem.ts';
import { KELVIN_AT_0_C, M_PER_FT, MPS_PER_KT } from '../../base/units.ts';
import type { DecodedLevel, DecodedWinds } from '../../air/levels.ts';
import { AERODROME, FRAME, HEADING, PART, beginsReport, bulletinWords } from './bulletin.ts';
import { shown } from '../text/shown.ts';
import { answer, decodedWinds, Findings, linesOf, refused } from '../text/text.ts';
import { nearestDayTime } from '../text/times.ts';

/**
 * From this column up heights are pressure altitudes; between 12 000 and 18 000 ft the rule is the transition
 * altitude's.
 */
const PRESSURE_ALTITUDE_FROM_FT = 18_000;
/**
 * Above this the sign of the temperature is left out and is minus; a bulletin says so itself and may say another
 * height.
 */
const SIGN_LEFT_OUT_ABOVE_FT = 24_000;

export interface FbOptions {
  /** Only this station: three letters as in the bulletin, or four with the country's letter before them. */
  readonly station?: string;
  /** Seconds since 1970 near the time of the bulletin, to find the month and year that it leaves out. */
  readonly reference_s?: number;
}

export interface FbGroup {
  /** Null: light and variable. */
  readonly from_deg: number | null;
  readonly speed_kt: number;
  readonly temperature_C: number | null;
  /** What a person should know about the group, where there is something. */
  readonly notice: string | null;
}

const GROUP = /^(\d\d)(\d\d)(?:([+-])?(\d\d))?$/;

/**
 * One group.
 *
 * Legal      2526 (250°, 26 kt), 2435+07, 731960 above 24 000 ft (230°, 119 kt, −60 °C), 7799 (270°, 199 kt or more),
 *            9900, 9900+03
 * Not legal  4512 (no such tens of degrees: 01 to 36, with 50 added from 100 kt), 9912, 0015, 253, 2512+7, 2512/03
 */
export function decodeGroup(
  group: string,
  altitude_ft: number,
  signLeftOutAbove_ft = SIGN_LEFT_OUT_ABOVE_FT,
): FbGroup | { wrong: string } {
  const found = GROUP.exec(group);
  if (found === null)
    return { wrong: 'expected direction and speed in four digits, then a temperature, such as 2435+07 or 731960' };
  const [, tens = '', units = '', sign, digits] = found;
  const direction = Number(tens);
  const unsigned = digits !== undefined && sign === undefined && !(altitude_ft > signLeftOutAbove_ft);
  const magnitude = digits === undefined || unsigned ? null : Number(digits);
  const temperature_C = magnitude === null ? null : sign === '+' ? magnitude : -magnitude || 0;
  const why = unsigned
    ? `temperature ${digits} without a sign at or below ${signLeftOutAbove_ft} ft is left out`
    : null;
  if (tens === '99' && units === '00') return { from_deg: null, speed_kt: 0, temperature_C, notice: why };
  if (direction >= 1 && direction <= 36)
    return { from_deg: 10 * direction, speed_kt: Number(units), temperature_C, notice: why };
  if (direction >= 51 && direction <= 86) {
    const most = units === '99' ? 'speed is 199 kt or more; 199 kt is used' : null;
    return { from_deg: 10 * (direction - 50), speed_kt: 100 + Number(units), temperature_C, notice: most ?? why };
  }
  return { wrong: `direction ${tens}; expected 01 to 36, 51 to 86 (100 kt and over), or 9900` };
}

/** One height column: its groups stand between `start` and `end` (exclusive) of a line. */
interface HeightColumn {
  readonly altitude_ft: number;
  readonly start: number;
  readonly end: number;
}

interface Bulletin {
  columns: readonly HeightColumn[];
  line: number;
  valid: { readonly day: number; readonly hour: number; readonly minute: number } | null;
  signLeftOutAbove_ft: number;
  readonly rows: { readonly station: string; readonly text: string; readonly line: number }[];
}

export const FB_HEADER = /^\s*FT((?:\s+\d{3,5})+)\s*$/;
const VALID = /(?:^|\s)VALID\s+(\d\d)(\d\d)(\d\d)Z/;
const NEGATIVE_ABOVE = /TEMPS?\s+NEG\s+ABV\s+(\d{4,5})/;
const STATION_ROW = /^\s*([A-Z0-9]{3,4})(\s+[0-9+\-/ \t]+)$/;

function columnsOf(header: string): HeightColumn[] {
  const columns: HeightColumn[] = [];
  let start = header.indexOf('FT') + 2;
  for (const found of header.matchAll(/\d+/g)) {
    const end = found.index + found[0].length;
    columns.push({ altitude_ft: Number(found[0]), start, end });
    start = end;
  }
  return columns;
}

const openBulletin = (): Bulletin => ({
  columns: [],
  line: 0,
  valid: null,
  signLeftOutAbove_ft: SIGN_LEFT_OUT_ABOVE_FT,
  rows: [],
});

/**
 * The groups of a row with their columns. Blank columns are heights without a forecast (within 1500 ft of the ground).
 * Where the columns' places are lost (blanks collapsed), the groups are taken from the highest column down, because
 * what is blank is blank from below; `moved` says so. Null where there are more groups than columns.
 */
function place(
  text: string,
  columns: readonly HeightColumn[],
): { groups: { group: string; altitude_ft: number }[]; moved: boolean } | null {
  const words = [...text.matchAll(/\S+/g)];
  const stationless = words.slice(1);
  if (stationless.length > columns.length) return null;
  const placed = stationless.map((word) => {
    const column = columns.find(({ start, end }) => word.index >= start && word.index + word[0].length <= end);
    return { group: word[0], altitude_ft: column?.altitude_ft ?? NaN };
  });
  const own = new Set(placed.map(({ altitude_ft }) => altitude_ft));
  if (own.size === placed.length && !own.has(NaN)) return { groups: placed, moved: false };
  const top = columns.slice(columns.length - stationless.length);
  const groups = stationless.map((word, i) => ({ group: word[0], altitude_ft: top[i]?.altitude_ft ?? NaN }));
  return { groups, moved: groups.length < columns.length };
}

function levelOf(group: FbGroup, altitude_ft: number): DecodedLevel {
  const anywhere = group.from_deg === null ? { sector_deg: [0, 360] as const } : {};
  const wind = { from_deg: group.from_deg, speed_mps: group.speed_kt * MPS_PER_KT, ...anywhere };
  const temperature_K = group.temperature_C === null ? null : group.temperature_C + KELVIN_AT_0_C;
  const written_m = roundTo(altitude_ft * M_PER_FT, 4);
  if (altitude_ft < PRESSURE_ALTITUDE_FROM_FT)
    return { height_m: written_m, pressure_Pa: null, ...wind, temperature_K };
  const height_m = geometricHeight(written_m);
  return {
    height_m,
    geopotential_m: written_m,
    pressure_Pa: standardAir(height_m).pressure_Pa,
    ...wind,
    temperature_K,
  };
}

function readRow(row: Bulletin['rows'][number], bulletin: Bulletin, validTime: string | null): DecodedWinds {
  const findings = new Findings();
  const where = { line: row.line };
  const levels: DecodedLevel[] = [];
  const variable: number[] = [];
  const placed = place(row.text, bulletin.columns);
  if (placed === null) {
    const text =
      `${row.station}: more groups than the ${bulletin.columns.length} heights of line ${bulletin.line}; the ` +
      'row is left out';
    findings.add('rows with too many groups', where, text);
  } else if (placed.moved) {
    findings.add(
      'rows out of their columns',
      where,
      `${row.station}: groups are not under their heights; taken from the highest column down`,
    );
  }
  for (const { group, altitude_ft } of placed?.groups ?? []) {
    if (/^\/+$/.test(group)) continue;
    const decoded = decodeGroup(group, altitude_ft, bulletin.signLeftOutAbove_ft);
    const name = `${row.station} ${altitude_ft} ft, group ${shown(group)}`;
    if ('wrong' in decoded) {
      findings.add('groups that cannot be', where, `${name}: ${decoded.wrong}`);
      continue;
    }
    if (decoded.notice !== null) findings.add('groups with a notice', where, `${name}: ${decoded.notice}`);
    if (decoded.from_deg === null) variable.push(altitude_ft);
    levels.push(levelOf(decoded, altitude_ft));
  }
  if (variable.length > 0) {
    const text =
      `${row.station}: light and variable (under 5 kt, no direction) at ${variable.join(', ')} ft; counted as ` +
      'no wind';
    findings.add('light and variable winds', where, text);
  }
  return decodedWinds(
    { source: `FB winds aloft ${row.station}`, validTime, position: null, levels },
    findings,
    'no group in the row',
  );
}

/** What concerns every station of a bulletin: its time, and what its upper heights are. */
function aboutBulletin(bulletin: Bulletin, options: FbOptions): { validTime: string | null; notices: Problem[] } {
  const notices: Problem[] = [];
  const { valid, line } = bulletin;
  let validTime: string | null = null;
  const expected = 'expected a line such as VALID 151800Z';
  if (valid === null) notices.push({ line, text: `the bulletin does not say for when it is valid; ${expected}` });
  else if (options.reference_s === undefined) {
    notices.push({
      line,
      text:
        `valid on day ${valid.day} of a month that the bulletin does not name: no valid time without a date to ` +
        'go by',
    });
  } else {
    validTime = nearestDayTime(valid.day, valid.hour, valid.minute, options.reference_s);
    if (validTime === null)
      notices.push({ line, text: `valid day ${valid.day}, ${valid.hour}:${valid.minute}Z is not a time; ${expected}` });
  }
  const upper = bulletin.columns.filter(({ altitude_ft }) => altitude_ft >= PRESSURE_ALTITUDE_FROM_FT);
  if (upper.length > 0) {
    const text =
      `heights from ${upper[0]?.altitude_ft ?? 0} ft are pressure altitudes, given as heights in the standard ` +
      'atmosphere';
    notices.push({ line, text: `${text}: in warm or cold air the true height is some hundred metres higher or lower` });
  }
  return { validTime, notices };
}

/** Whether another bulletin or a coded report begins or ends in a row: the table above it is then closed. */
export const closesTable = (row: string): boolean =>
  bulletinWords(row).some((word, i, words) => {
    const ends = word === FRAME || word === 'NNNN' || AERODROME.test(word) || PART.test(word) || HEADING.test(word);
    return ends || beginsReport(words[i - 1] ?? '', word);
  });

/** Takes one line into the bulletin that is open, or opens the next. */
function takeLine(row: string, line: number, bulletins: Bulletin[], findings: Findings): void {
  let bulletin = bulletins.at(-1);
  const valid = VALID.exec(row);
  if (bulletin === undefined || (bulletin.columns.length > 0 && (valid !== null || /DATA BASED ON/.test(row)))) {
    bulletin = openBulletin();
    bulletins.push(bulletin);
  }
  if (valid !== null) bulletin.valid = { day: Number(valid[1]), hour: Number(valid[2]), minute: Number(valid[3]) };
  const negative = NEGATIVE_ABOVE.exec(row);
  if (negative !== null) bulletin.signLeftOutAbove_ft = Number(negative[1]);
  if (valid !== null || negative !== null) return;
  if (FB_HEADER.test(row)) {
    if (bulletin.columns.length > 0) {
      // The same bulletin may go on with another set of heights; its time still holds.
      bulletin = { ...openBulletin(), valid: bulletin.valid, signLeftOutAbove_ft: bulletin.signLeftOutAbove_ft };
      bulletins.push(bulletin);
    }
    bulletin.columns = columnsOf(row);
    bulletin.line = line;
    return;
  }
  if (bulletin.columns.length === 0) return;
  if (closesTable(row)) {
    bulletins.push(openBulletin());
    return;
  }
  const station = STATION_ROW.exec(row);
  if (station !== null) bulletin.rows.push({ station: station[1] ?? '', text: row, line });
  else if (/^\s*[A-Z0-9]{3,4}\s+.*\d{4}/.test(row)) {
    findings.add(
      'rows that are not stations',
      { line },
      `${shown(row.trim())}; expected a station and groups such as 2435+07`,
    );
  }
}

const isStation = (wanted: string, station: string): boolean =>
  wanted === station || (wanted.length === 4 && wanted.slice(1) === station);

/**
 * Reads FB bulletins, one or more per file: every station is a source of its own; with `station`, only that one.
 * The bulletin gives no positions: `position` is null.
 */
export function readFb(text: string, options: FbOptions = {}): Read<DecodedWinds[]> {
  const bulletins: Bulletin[] = [];
  const findings = new Findings();
  // Tabs stand where a copy has lost the columns; as one blank they cannot be mistaken for places.
  for (const [i, row] of linesOf(text.replace(/\t/g, ' ')).entries()) takeLine(row, i + 1, bulletins, findings);
  const withColumns = bulletins.filter((bulletin) => bulletin.columns.length > 0);
  if (withColumns.length === 0)
    return refused(0, 'no line of heights; expected one such as "FT  3000    6000    9000   12000"');
  const stations = withColumns.flatMap((bulletin) => bulletin.rows.map((row) => row.station));
  if (stations.length === 0) return refused(withColumns[0]?.line ?? 0, 'no station follows the line of heights');
  const wanted = options.station?.trim().toUpperCase() ?? '';
  if (wanted !== '' && !stations.some((station) => isStation(wanted, station))) {
    return refused(0, `station ${shown(wanted)} is not in the bulletin; it has ${stations.join(' ')}`);
  }
  const sources = withColumns.flatMap((bulletin) => {
    const { validTime, notices } = aboutBulletin(bulletin, options);
    const rows = bulletin.rows.filter((row) => wanted === '' || isStation(wanted, row.station));
    return rows.map((row) => {
      const source = readRow(row, bulletin, validTime);
      return { ...source, problems: [...notices, ...source.problems] };
    });
  });
  return answer(sources, findings.all());
}
