// IGRA v2 records, one or more soundings a file: the sounding data and the derived parameters, both in fixed columns.
// Source: NOAA NCEI, igra2-data-format.txt (v2.2) and igra2-derived-format.txt; column numbers below count from 1 as
// there. Heights are geopotential metres; pressure Pa; temperature and wind in tenths; -9999 or -99999 missing, -8888
// removed by quality control.
import { isoOf } from '../../base/plainNumbers.ts';
import type { Read } from '../../base/problem.ts';
import type { LonLat } from '../../base/units.ts';
import type { DecodedWinds } from '../../air/levels.ts';
import { readCell, M, PA } from './columns.ts';
import type { Cells, CellQuantity, Unit } from './columns.ts';
import { checkHeights, hasContent, isBlank, levelOf, positionOf } from './rows.ts';
import type { PlacedLevel } from './rows.ts';
import { shown } from '../text/shown.ts';
import { answer, decodedWinds, Findings, linesOf, refused } from '../text/text.ts';
import type { TextPlace } from '../text/text.ts';
import { utcSeconds } from '../text/times.ts';

const LOWEST_M = -1000;
const HIGHEST_M = 100_000;
const DAY_S = 86_400;

export const IGRA_HEADER = /^#[A-Z]{2}[A-Z0-9]{9} \d{4} \d\d \d\d \d\d /;

interface Sounding {
  readonly id: string;
  readonly line: number;
  readonly validTime: string | null;
  readonly releasedAt: string | null;
  readonly position: LonLat | null;
  readonly declared: number;
  readonly findings: Findings;
  readonly rows: PlacedLevel[];
  read: number;
}

/** Columns `from` to `to` of a line, counted from 1, without blanks at the ends. */
const columns = (line: string, from: number, to: number): string => line.slice(from - 1, to).trim();

const MISSING_INTEGER = /^-(?:9{4,5}|8888)$/;

const isMissingField = (text: string): boolean => text === '' || MISSING_INTEGER.test(text);

/** An integer field; null where it is blank, missing or removed. A field that is not an integer is said. */
function integer(
  line: string,
  [from, to]: readonly [from: number, to: number],
  what: string,
  place: TextPlace,
  findings: Findings,
): number | null {
  const text = columns(line, from, to);
  if (isMissingField(text)) return null;
  if (/^-?\d+$/.test(text)) return Number(text);
  findings.add(
    'fields that are not numbers',
    place,
    `${what} ${shown(text)} in columns ${from} to ${to}; expected an integer`,
  );
  return null;
}

/**
 * The nominal time of the record, and the time of release where the header has one (to the hour where its minute is
 * missing, 99). A release stands on the day that brings it nearest to the nominal hour: 23:03 for a record of 00 is the
 * evening before. Where the nominal hour is missing (99), the release is taken for it.
 */
function timesOf(
  line: string,
  place: TextPlace,
  findings: Findings,
): { validTime: string | null; releasedAt: string | null } {
  const [year = NaN, month = NaN, day = NaN, nominal = NaN] = [14, 19, 22, 25].map((at, i) =>
    Number(columns(line, at, at + (i === 0 ? 3 : 1))),
  );
  const [hour = NaN, minute = NaN] = [28, 30].map((at) => Number(columns(line, at, at + 1)));
  const at_s = utcSeconds([year, month, day], nominal === 99 ? hour : nominal);
  if (at_s === null) {
    const found = `date ${shown(columns(line, 14, 26))}, release ${shown(columns(line, 28, 31))}`;
    findings.add('times', place, `${found}; no such time in UTC`);
    return { validTime: null, releasedAt: null };
  }
  const release_s = utcSeconds([year, month, day], hour, minute === 99 ? 0 : minute);
  if (release_s === null) return { validTime: isoOf(at_s), releasedAt: null };
  if (nominal === 99) return { validTime: isoOf(release_s), releasedAt: isoOf(release_s) };
  const days = Math.round((at_s - release_s) / DAY_S);
  return { validTime: isoOf(at_s), releasedAt: isoOf(release_s + days * DAY_S) };
}

function openSounding(header: string, line: number): Sounding {
  const findings = new Findings();
  const place = { line };
  const declared = integer(header, [33, 36], 'number of levels', place, findings) ?? 0;
  // The header of derived parameters goes on with indices where the data header has the position; it is longer.
  const derived = header.trimEnd().length > 72;
  const lat = derived ? null : integer(header, [56, 62], 'latitude', place, findings);
  const lon = derived ? null : integer(header, [64, 71], 'longitude', place, findings);
  return {
    id: columns(header, 2, 12),
    line,
    ...timesOf(header, place, findings),
    position: lat === null || lon === null ? null : positionOf(lon / 1e4, lat / 1e4, place, findings),
    declared,
    findings,
    rows: [],
    read: 0,
  };
}

const TENTHS_C: Unit = { name: '°C in tenths', kind: 'temperature', factor: 0.1, offset: 273.15 };
const TENTHS_K: Unit = { name: 'K in tenths', kind: 'temperature', factor: 0.1, offset: 0 };
const TENTHS_MPS: Unit = { name: 'm/s in tenths', kind: 'speed', factor: 0.1, offset: 0 };
const DEGREES: Unit = { name: '°', kind: 'angle', factor: 1, offset: 0 };

type Field = readonly [quantity: CellQuantity, from: number, to: number, unit: Unit];

const DATA_FIELDS: readonly Field[] = [
  ['pressure', 10, 15, PA],
  ['geopotential', 17, 21, M],
  ['temperature', 23, 27, TENTHS_C],
  ['from', 41, 45, DEGREES],
  ['speed', 47, 51, TENTHS_MPS],
];
const DERIVED_FIELDS: readonly Field[] = [
  ['pressure', 1, 7, PA],
  ['geopotential', 9, 15, M],
  ['temperature', 25, 31, TENTHS_K],
  ['u', 113, 119, TENTHS_MPS],
  ['v', 129, 135, TENTHS_MPS],
];

function readFields(fields: readonly Field[], line: string, place: TextPlace, findings: Findings): Cells {
  const row: Cells = {};
  for (const [quantity, from, to, unit] of fields) {
    const text = columns(line, from, to);
    const value = readCell({ quantity, unit }, text, place, findings, isMissingField);
    if (value !== null) row[quantity] = value;
    else if (!isMissingField(text)) row.refused = true;
  }
  return row;
}

function addRow(text: string, line: number, sounding: Sounding): void {
  const place = { line };
  const { findings } = sounding;
  // A data row is 51 columns wide, a row of derived parameters 151.
  const derived = text.length > 100;
  sounding.read += 1;
  if (!derived && !/^[123][012]/.test(text)) {
    findings.add(
      'rows of an unknown kind',
      place,
      `level type ${shown(text.slice(0, 2))}; expected 1 to 3, then 0 to 2`,
    );
    return;
  }
  if (text.length < (derived ? 135 : 51)) {
    findings.add(
      'rows cut off',
      place,
      `${text.length} columns; expected ${derived ? 151 : 51}: what is missing stays unknown`,
    );
  }
  const row = readFields(derived ? DERIVED_FIELDS : DATA_FIELDS, text, place, findings);
  if (derived) {
    const calculated = integer(text, [17, 23], 'calculated height', place, findings);
    if (calculated !== null && !(calculated >= LOWEST_M && calculated <= HIGHEST_M))
      findings.add(
        'heights',
        place,
        `calculated height ${calculated} m; expected ${LOWEST_M} to ${HIGHEST_M} m: left out`,
      );
    else if (row.geopotential === undefined && calculated !== null) row.geopotential = calculated;
  } else {
    const depression = integer(text, [35, 39], 'dew-point depression', place, findings);
    if (depression !== null && depression >= 0 && row.temperature !== undefined)
      row.dewPoint = row.temperature - depression / 10;
  }
  const level = levelOf(row, place, findings);
  // A level whose wind was measured but removed, or that has only humidity, is still a level of the record.
  if (hasContent(level)) sounding.rows.push({ level, place });
  else if (isBlank(row)) findings.add('rows without any value', place, 'the row holds nothing that can be used');
}

function finish(sounding: Sounding): DecodedWinds {
  const { id, line, findings, rows, declared, read } = sounding;
  if (declared !== read) {
    findings.add(
      'counts of levels',
      { line },
      `the header promises ${declared} levels, ${read} follow; the file may be cut off`,
    );
  }
  checkHeights(rows, findings);
  return decodedWinds(
    {
      source: `IGRA ${id}`,
      validTime: sounding.validTime,
      position: sounding.position,
      ...(sounding.releasedAt === null ? {} : { releasedAt: sounding.releasedAt }),
      levels: rows.map((row) => row.level),
    },
    findings,
    'the record has no level',
  );
}

/**
 * Reads IGRA v2 records; with `station`, only those whose identifier holds it ("USM00070026", "70026").
 *
 * Legal      "21     0 100980B   12     0B 1000     0    20    51", "30  9500  -9999 27412 -9999 -9999 -9999    82
 *            41"
 * Not legal  rows before the first header; a level type other than 1 to 3; a number of rows that the header does not
 *            promise
 */
export function readIgra(text: string, options: { readonly station?: string } = {}): Read<DecodedWinds[]> {
  const soundings: Sounding[] = [];
  const general = new Findings();
  for (const [i, row] of linesOf(text).entries()) {
    const line = i + 1;
    if (row.trim() === '') continue;
    const current = soundings.at(-1);
    if (row.startsWith('#')) {
      if (IGRA_HEADER.test(row)) soundings.push(openSounding(row, line));
      else general.add('headers', { line }, `header ${shown(row)}; expected #, station, year, month, day, hour`);
    } else if (current === undefined)
      general.add('rows before a header', { line }, 'a row before the first header; expected # and a station first');
    else addRow(row, line, current);
  }
  if (soundings.length === 0)
    return refused(0, 'no IGRA header; expected a line such as "#USM00072501 1994 09 03 00 2314  166 …"');
  const wanted = options.station?.trim().toUpperCase();
  const chosen =
    wanted === undefined || wanted === '' ? soundings : soundings.filter((sounding) => sounding.id.includes(wanted));
  if (chosen.length === 0) {
    const ids = [...new Set(soundings.map((sounding) => sounding.id))].slice(0, 20).join(', ');
    return refused(0, `station ${shown(wanted ?? '')} is not in the file; it has ${ids}`);
  }
  return answer(chosen.map(finish), general.all());
}
