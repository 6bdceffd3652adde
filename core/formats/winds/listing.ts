// The upper-air listing: a table for people with PRES, HGHT, TEMP … DRCT, SKNT (or SPED, WSPD) over fixed columns or
// between commas, alone, in a web page (the station stands in the heading or in the list below), or between %RAW% and
// %END%. Heights in it are geopotential metres. Blank cells are levels without that quantity; most have no wind at the
// very top.
import type { Read } from '../../base/problem.ts';
import type { LonLat } from '../../base/units.ts';
import type { DecodedWinds } from '../../air/levels.ts';
import { columnOf, KT, MPS, readCells } from './columns.ts';
import type { Column, Unit } from './columns.ts';
import { checkHeights, hasContent, isBlank, levelOf, positionOf } from './rows.ts';
import type { PlacedLevel } from './rows.ts';
import { shown } from '../text/shown.ts';
import { answer, decodedWinds, Findings, linesOf, numberOf, refused } from '../text/text.ts';
import { fullYear, isoUtc, monthOf } from '../text/times.ts';

/** A column with the place in the line where its cells end (exclusive) and where those of the column before it end. */
interface Field {
  readonly column: Column | null;
  readonly start: number;
  readonly end: number;
}

interface Station {
  name: string[];
  validTime: string | null;
  latitude: number | null;
  longitude: number | null;
}

interface Sounding {
  readonly station: Station;
  readonly findings: Findings;
  readonly rows: PlacedLevel[];
  fields: readonly Field[];
  line: number;
}

const newStation = (): Station => ({ name: [], validTime: null, latitude: null, longitude: null });

/** A header line of such a table names pressure, height and a direction, in capitals. */
export const isListingHeader = (line: string): boolean =>
  /\b(?:PRES|PRESS|LEVEL)\b.*\bHGHT\b/.test(line) && /\b(?:DRCT|WDIR)\b/.test(line) && !line.includes(',');

function fieldsOf(header: string): Field[] {
  const fields: Field[] = [];
  let start = 0;
  for (const match of header.matchAll(/\S+/g)) {
    const end = match.index + match[0].length;
    const named = columnOf(match[0], fields.length);
    fields.push({ column: named.kind === 'column' ? named.column : null, start, end });
    start = end;
  }
  return fields;
}

const SPEED_UNITS = new Map<string, Unit>([
  ['knot', KT],
  ['knots', KT],
  ['kt', KT],
  ['kts', KT],
  ['m/s', MPS],
  ['mps', MPS],
]);

/**
 * The line of units under the names: it settles whether speeds are knots or m/s. Null where the line is no such line.
 */
function withUnits(fields: readonly Field[], line: string): Field[] | null {
  const words = [...line.matchAll(/\S+/g)];
  if (words.length < 3 || words.some((word) => !Number.isNaN(numberOf(word[0])) || /^-{3,}$/.test(word[0])))
    return null;
  return fields.map((field) => {
    const word =
      words.find((candidate) => candidate.index >= field.start - 1 && candidate.index < field.end)?.[0] ?? '';
    const unit = SPEED_UNITS.get(word.toLowerCase());
    if (field.column?.quantity !== 'speed' || unit === undefined) return field;
    return { ...field, column: { ...field.column, unit } };
  });
}

/**
 * Cuts a row by commas, by blanks where every column is filled, else by the columns' places.
 * Null where a number runs across the border of two columns: nothing then says which numbers are which.
 */
function cellsOf(line: string, fields: readonly Field[]): string[] | null {
  if (line.includes(',')) return line.split(',').map((cell) => cell.trim());
  const words = line.trim().split(/\s+/);
  if (words.length === fields.length) return words;
  const torn = fields.slice(0, -1).some(({ end }) => /\S/.test(line.charAt(end - 1)) && /\S/.test(line.charAt(end)));
  if (torn) return null;
  return fields.map((field, i) => line.slice(field.start, i === fields.length - 1 ? undefined : field.end).trim());
}

const HEADING = /^\s*(\d{5})\s+(.*?)\s*Observations at (\d\d)Z (\d\d) ([A-Z][a-z]{2}) (\d{4})/;
const STATION_HEADING = /Observations for Station (\S+) at (\d\d)(\d\d)? UTC (\d\d) ([A-Z][a-z]{2})[a-z]* (\d{4})/;
const SHORT_HEADING = /^\s*([A-Z0-9]{3,5})\s+(\d\d)(\d\d)(\d\d)\/(\d\d)(\d\d)(?:\s+(-?\d+\.\d+),\s*(-?\d+\.\d+))?\s*$/;

/** Takes station and time from a line that opens a sounding; false for any other line. */
function readHeading(line: string, station: Station): boolean {
  const heading = HEADING.exec(line);
  if (heading !== null) {
    const [, number = '', name = '', hour, day, month = '', year] = heading;
    station.name = [number, ...name.split(/\s+/).filter((part) => part !== '')];
    station.validTime = isoUtc(Number(year), monthOf(month), Number(day), Number(hour));
    return true;
  }
  const other = STATION_HEADING.exec(line);
  if (other !== null) {
    const [, number = '', hour, minute, day, month = '', year] = other;
    station.name = [number];
    station.validTime = isoUtc(Number(year), monthOf(month), Number(day), Number(hour), Number(minute ?? 0));
    return true;
  }
  const short = SHORT_HEADING.exec(line);
  if (short === null) return false;
  const [, name = '', year, month, day, hour, minute, lat, lon] = short;
  station.name = [name];
  station.validTime = isoUtc(fullYear(Number(year)), Number(month), Number(day), Number(hour), Number(minute));
  if (lat !== undefined) station.latitude = Number(lat);
  if (lon !== undefined) station.longitude = Number(lon);
  return true;
}

const DETAIL = /(?:Station )?([Ll]atitude|[Ll]ongitude|identifier|number|Observation time):\s*(\S+)/g;

/** Takes from a line of the list around a table what it says of station, place and time. */
function readDetails(line: string, station: Station): void {
  for (const [, key = '', value = ''] of line.matchAll(DETAIL)) readDetail(key.toLowerCase(), value, station);
}

function readDetail(key: string, value: string, station: Station): void {
  if (key === 'latitude') station.latitude = numberOf(value);
  else if (key === 'longitude') station.longitude = numberOf(value);
  else if (key === 'observation time') {
    const found = /^(\d\d)(\d\d)(\d\d)\/(\d\d)(\d\d)$/.exec(value);
    if (found === null || station.validTime !== null) return;
    const [, year, month, day, hour, minute] = found;
    station.validTime = isoUtc(fullYear(Number(year)), Number(month), Number(day), Number(hour), Number(minute));
  } else if (!station.name.includes(value)) station.name.push(value);
}

/** Lines that close a table: the list of indices below it, the end mark, the end of preformatted text. */
const closes = (line: string): boolean =>
  /^\s*%END%/.test(line) || /[A-Za-z].*:\s/.test(`${line} `) || /^\s*Station information/.test(line);

function finish(sounding: Sounding): DecodedWinds {
  const { station, findings, rows, line } = sounding;
  checkHeights(rows, findings);
  let position: LonLat | null = null;
  if (station.latitude !== null && station.longitude !== null) {
    position = positionOf(station.longitude, station.latitude, { line }, findings);
  }
  return decodedWinds(
    {
      source: ['upper-air listing', ...station.name].join(' '),
      validTime: station.validTime,
      position,
      levels: rows.map((row) => row.level),
    },
    findings,
    'the table has no level',
  );
}

function addRow(text: string, line: number, sounding: Sounding): void {
  const place = { line };
  if (!/(?:^|[\s,])[+-]?[.\d]/.test(text)) {
    sounding.findings.add(
      'lines that are not levels',
      place,
      `${shown(text.trim())} inside the table; expected a row of numbers`,
    );
    return;
  }
  const cells = cellsOf(text, sounding.fields);
  if (cells === null) {
    sounding.findings.add(
      'rows out of their columns',
      place,
      'a number runs across two columns; expected the columns of the header line',
    );
    return;
  }
  const columns = sounding.fields.flatMap((field) => (field.column === null ? [] : [field.column]));
  const read = readCells(columns, cells, place, sounding.findings);
  const level = levelOf(read, place, sounding.findings);
  if (hasContent(level)) sounding.rows.push({ level, place });
  else if (isBlank(read))
    sounding.findings.add('rows without any value', place, 'the row holds nothing that can be used');
}

/** A line of a web page as a person sees it; tags are taken out, so that columns stay where they are. */
function withoutMarkup(line: string): string {
  if (!line.includes('<') && !line.includes('&')) return line;
  const text = line.replace(/<[^<>]*>/g, '');
  return text.replace(
    /&(nbsp|amp|lt|gt);/g,
    (_, name: string) => ({ nbsp: ' ', amp: '&', lt: '<', gt: '>' })[name] ?? '',
  );
}

const RULE = /^\s*(?:-{3,}|%RAW%|%TITLE%)\s*$/;

/**
 * Reads one or more upper-air listings.
 *
 * Legal      " 1000.0    185" (a height without a wind), rows cut off after the last filled column, "-9999.00" for
 *            missing
 * Not legal  a table without a header line of names (PRES HGHT … DRCT SKNT); words among the rows; a direction of 999
 */
export function readListing(text: string): Read<DecodedWinds[]> {
  const soundings: Sounding[] = [];
  /** The station of the table to come; null while the last line about a station belongs to the table before. */
  let coming: Station | null = null;
  let open: Sounding | null = null;
  for (const [i, raw] of linesOf(text).entries()) {
    const line = i + 1;
    const row = withoutMarkup(raw);
    if (row.trim() === '' || RULE.test(row)) continue;
    if (isListingHeader(row)) {
      open = { station: coming ?? newStation(), findings: new Findings(), rows: [], fields: fieldsOf(row), line };
      coming = null;
      soundings.push(open);
      continue;
    }
    const heading = newStation();
    if (/[A-Za-z]/.test(row) && readHeading(row, heading)) {
      coming = heading;
      open = null;
      continue;
    }
    if (open !== null && !closes(row)) {
      const fields: Field[] | null = open.rows.length === 0 ? withUnits(open.fields, row) : null;
      if (fields === null) addRow(row, line, open);
      else open.fields = fields;
      continue;
    }
    open = null;
    const last = soundings.at(-1);
    if (coming === null && last === undefined) coming = newStation();
    readDetails(row, coming ?? last?.station ?? newStation());
  }
  if (soundings.length === 0)
    return refused(0, 'no table of levels; expected a header line of names such as PRES HGHT TEMP DWPT DRCT SKNT');
  return answer(soundings.map(finish));
}
