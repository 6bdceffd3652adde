// METAR and SPECI: surface wind, temperature and pressure of aerodromes. Wind true and FROM, m/s; K; Pa.
// Source: WMO-No. 306 vol. I.1, FM 15 and 16; US FMH-1; reference/wind-reports.md §2. Inch of mercury: NIST SP 811
// §B.8. An own reader: metar-taf-parser 9.1.3 reads 270112KT as 11 kt, KMH as knots and P99KT not at all
// (`tests/formats/metar.test.ts` keeps the cases).
import { celsius as celsiusWords } from '../../words/winds.ts';
import type { Read } from '../../base/problem.ts';
import { KELVIN_AT_0_C, MPS_PER_KMH, MPS_PER_KT, PA_PER_HPA } from '../../base/units.ts';
import type { DecodedLevel, DecodedWinds } from '../../air/levels.ts';
import { AERODROME, FRAME, HEADING, PART, TIME, beginsReport, bulletinWords } from './bulletin.ts';
import { shown } from '../text/shown.ts';
import { Findings, answer, linesOf } from '../text/text.ts';
import { nearestDayTime } from '../text/times.ts';

const PA_PER_INHG = 3386.389;
const MPS_PER: Readonly<Record<string, number>> = { KT: MPS_PER_KT, MPS: 1, KMH: MPS_PER_KMH, KPH: MPS_PER_KMH };
/** Anemometers of aerodromes stand 10 m above the ground (ICAO Annex 3, appendix 3; common practice). */
const ANEMOMETER_AGL_M = 10;
const MOST_MPS = 150;
/** A report with all its remarks has under 80 groups; past this it is followed by other text without an end. */
const MOST_GROUPS = 120;

interface Report {
  readonly station: string;
  readonly time: string;
  readonly kind: string;
  readonly line: number;
  readonly groups: string[];
  /** "COR" stood before the station. */
  readonly corrects: boolean;
}

/**
 * Every report in a text, forecasts (kind TAF) too: a station's four letters and a time. It ends at "=", at the next
 * report, at a part of an upper-air message, at SOH or ETX, at an empty line, at NNNN; lines that go on are joined.
 */
function findReports(text: string): Report[] {
  const reports: Report[] = [];
  let open: Report | null = null;
  let kind = 'METAR';
  let before = '';
  let earlier = '';
  linesOf(text).forEach((row, index) => {
    if (row.trim() === '') open = null;
    for (const word of bulletinWords(row)) {
      if (word === '=' || word === FRAME || word === 'NNNN') open = null;
      else if (AERODROME.test(word) || HEADING.test(word) || PART.test(word)) {
        open = null;
        // Headings of forecasts begin with F.
        kind = AERODROME.test(word) ? word : HEADING.test(word) && word.startsWith('F') ? 'TAF' : 'METAR';
      } else if (beginsReport(before, word)) {
        if (open?.groups.at(-1) === before) open.groups.pop();
        open = { station: before, time: word, kind, line: index + 1, groups: [], corrects: earlier === 'COR' };
        reports.push(open);
        if (kind === 'SPECI') kind = 'METAR';
      } else if (open !== null && open.groups.length < MOST_GROUPS) open.groups.push(word);
      earlier = before;
      before = word;
    }
  });
  return reports;
}

interface Wind {
  readonly from_deg: number | null;
  readonly speed_mps: number | null;
  readonly gust_mps: number | null;
  readonly sector_deg: readonly [number, number] | null;
  readonly notes: readonly string[];
}

const NO_WIND: Wind = { from_deg: null, speed_mps: null, gust_mps: null, sector_deg: null, notes: [] };
const WIND = /^(?:(\d{3}|VRB|\/{3})(P?\d{2,3}|\/{2,3})|(P\d{2,3}))(?:G(P?\d{2,3}|\/{2,3}))?(KT|MPS|KMH|KPH)$/;
const SECTOR = /^(\d{3})V(\d{3})$/;

/** "P99": more than can be coded, so one more than the figures; the answer is the least it can be. */
function speedOf(figures: string | undefined, unit: number): number | null {
  if (figures === undefined || figures.startsWith('/')) return null;
  return figures.startsWith('P') ? (Number(figures.slice(1)) + 1) * unit : Number(figures) * unit;
}

/**
 * One wind group.
 *
 * legal    "00000KT" calm, "27025G40KT", "270112KT", "24008MPS", "VRB04KT" (no direction, sector 0 to 360), "240P99KT"
 *          and "P99KT" (100 kt
 *          or more), "/////KT" and "///05KT" missing
 * illegal  "40012KT" (400°), "00012KT" (a speed from no direction: the speed stays), "270400KT" (above 150 m/s)
 */
function windOf(group: string): Wind | null {
  const found = WIND.exec(group);
  if (found === null) return null;
  const [, ddd, steady, alone, fm, unitName] = found;
  const ff = steady ?? alone;
  const unit = MPS_PER[unitName ?? ''] ?? NaN;
  const speed_mps = speedOf(ff, unit);
  const gust_mps = speedOf(fm, unit);
  const notes: string[] = [];
  if (!((speed_mps ?? 0) < MOST_MPS && (gust_mps ?? 0) < MOST_MPS))
    return { ...NO_WIND, notes: [`wind "${group}"; expected below ${MOST_MPS} m/s`] };
  if (ff?.startsWith('P') === true || fm?.startsWith('P') === true) notes.push(`wind "${group}": this speed or more`);
  if (speed_mps === null && ddd !== undefined) notes.push(`wind "${group}": not measured`);
  const known = { speed_mps, gust_mps };
  if (ddd === 'VRB') return { ...known, from_deg: null, sector_deg: [0, 360], notes };
  const from = ddd === undefined || ddd.startsWith('/') ? null : Number(ddd);
  if (from !== null && !(from <= 360)) notes.push(`wind "${group}": direction ${from}; expected 0 to 360`);
  if (from === 0 && speed_mps !== null && speed_mps > 0)
    notes.push(`wind "${group}": a speed from direction 000; expected 001 to 360`);
  const good = from !== null && from <= 360 && (from > 0 || speed_mps === 0);
  return { ...known, from_deg: good && speed_mps !== null ? from : null, sector_deg: null, notes };
}

const celsius = (figures: string): number => (figures.startsWith('M') ? -Number(figures.slice(1)) : Number(figures));

interface Air {
  temperature_K: number | null;
  dewPoint_K: number | null;
  pressure_Pa: number | null;
  qnh_Pa: number | null;
}

/**
 * Temperature and pressures from the body and the remarks: "13/03", "M02/", "Q1001", "A2992"; "T02160208" to the tenth,
 * "QFE740/0987".
 */
function airOf(groups: readonly string[]): Air {
  const air: Air = { temperature_K: null, dewPoint_K: null, pressure_Pa: null, qnh_Pa: null };
  const remarks = groups.indexOf('RMK');
  groups.forEach((group, i) => {
    const inBody = remarks < 0 || i < remarks;
    const temperature = /^(M?\d\d)\/(M?\d\d|\/\/|XX)?$/.exec(group);
    const pressure = /^([QA])(\d{4})$/.exec(group);
    const tenths = /^T([01])(\d{3})(?:([01])(\d{3}))?$/.exec(group);
    const qfe = /^QFE(\d{3})\/(\d{4})$/.exec(group);
    if (inBody && temperature !== null && air.temperature_K === null) {
      air.temperature_K = KELVIN_AT_0_C + celsius(temperature[1] ?? '');
      if (/^M?\d\d$/.test(temperature[2] ?? '')) air.dewPoint_K = KELVIN_AT_0_C + celsius(temperature[2] ?? '');
    } else if (inBody && pressure !== null && air.qnh_Pa === null) {
      const figures = Number(pressure[2]);
      const qnh_Pa = pressure[1] === 'Q' ? figures * PA_PER_HPA : (figures / 100) * PA_PER_INHG;
      if (qnh_Pa > 85_000 && qnh_Pa < 110_000) air.qnh_Pa = qnh_Pa;
    } else if (!inBody && tenths !== null) {
      const signed = (sign: string | undefined, figures: string | undefined): number =>
        KELVIN_AT_0_C + ((sign === '1' ? -1 : 1) * Number(figures)) / 10;
      air.temperature_K = signed(tenths[1], tenths[2]);
      if (tenths[4] !== undefined) air.dewPoint_K = signed(tenths[3], tenths[4]);
    } else if (!inBody && qfe !== null) {
      const qfe_Pa = Number(qfe[2]) * PA_PER_HPA;
      if (qfe_Pa > 50_000 && qfe_Pa < 110_000) air.pressure_Pa = qfe_Pa;
    }
  });
  return air;
}

/**
 * Words that end the report of what is and begin remarks, trends and forecasts: winds after them are not this hour's.
 */
const AFTER = new Set(['RMK', 'NOSIG', 'BECMG', 'TEMPO', 'INTER', 'PROB30', 'PROB40']);

function decode(report: Report, reference_s: number | undefined): DecodedWinds {
  const findings = new Findings();
  const place = { line: report.line };
  const say = (kind: string, text: string): void =>
    findings.add(kind, place, `${report.station} ${report.time}: ${text}`);
  const end = report.groups.findIndex((group) => AFTER.has(group));
  const body = end < 0 ? report.groups : report.groups.slice(0, end);
  const at = body.findIndex((group) => WIND.test(group));
  const wind = windOf(body[at] ?? '') ?? NO_WIND;
  const swing = SECTOR.exec(body[at + 1] ?? '');
  const swings = at >= 0 && swing !== null && Number(swing[1]) <= 360 && Number(swing[2]) <= 360;
  const sector: readonly [number, number] | null = swings ? [Number(swing[1]), Number(swing[2])] : wind.sector_deg;
  for (const note of wind.notes) say('wind groups', note);
  const [, day, hour, minute] = TIME.exec(report.time) ?? [];
  const validTime =
    reference_s === undefined ? null : nearestDayTime(Number(day), Number(hour), Number(minute), reference_s);
  const air = airOf(report.groups);
  // The surface air of the earth lies between −90 and +57 °C.
  if (air.temperature_K !== null && !(air.temperature_K > 180 && air.temperature_K < 335)) {
    say('impossible temperatures', `${celsiusWords(air.temperature_K)} is not a temperature of surface air; left out`);
    air.temperature_K = null;
    air.dewPoint_K = null;
  }
  const missing = report.groups.includes('NIL');
  if (missing) say('NIL reports', 'NIL: the station sent no report');
  else if (at < 0)
    say(
      'reports without wind',
      `no wind group; expected dddffKT, MPS or KMH${body[0] === undefined ? '' : ` near ${shown(body[0])}`}`,
    );
  const level: DecodedLevel = {
    height_m: null,
    pressure_Pa: air.pressure_Pa,
    from_deg: wind.from_deg,
    speed_mps: wind.speed_mps,
    temperature_K: air.temperature_K,
    dewPoint_K: air.dewPoint_K,
    agl_m: ANEMOMETER_AGL_M,
    ...(wind.gust_mps === null ? {} : { gust_mps: wind.gust_mps }),
    ...(sector === null ? {} : { sector_deg: sector }),
    ...(air.qnh_Pa === null ? {} : { qnh_Pa: air.qnh_Pa }),
  };
  const name = `${report.kind} ${report.station} ${report.time}${isCorrection(report) ? ' COR' : ''}`;
  return { source: name, validTime, position: null, levels: missing ? [] : [level], problems: findings.all() };
}

/** COR, or CCA to CCZ as Canada writes it, before the wind. */
const isCorrection = (report: Report): boolean =>
  report.corrects || report.groups.slice(0, 2).some((group) => /^(COR|CC[A-Z])$/.test(group));

/**
 * Reports that count: word-for-word repeats once, and a report that its station corrected not at all. Both are said.
 */
function counted(reports: readonly Report[], findings: Findings): Report[] {
  const seen = new Map<string, Report>();
  const corrected = new Map<string, Report>();
  for (const report of reports) if (isCorrection(report)) corrected.set(`${report.station} ${report.time}`, report);
  return reports.filter((report) => {
    const id = `${report.station} ${report.time}`;
    const key = `${id} ${report.groups.join(' ')}`;
    const first = seen.get(key);
    if (first !== undefined) {
      findings.add('repeated reports', { line: report.line }, `${id}: the same as line ${first.line}, counted once`);
      return false;
    }
    seen.set(key, report);
    const correction = corrected.get(id);
    if (correction === undefined || correction === report || isCorrection(report)) return true;
    findings.add(
      'corrected reports',
      { line: report.line },
      `${id}: corrected by the COR on line ${correction.line}; this one does not count`,
    );
    return false;
  });
}

/**
 * Every METAR and SPECI in a text, one surface level each: height above sea unknown (the station's elevation is not in
 * the message), 10 m above ground. Trends, remarks' winds and TAF are not read as winds. NIL reports are problems, not
 * values.
 *
 * reference_s  Unix seconds near the report: it has a day but no month. Without it `validTime` is null
 * legal        bulletins with SOH, ETX and CR CR LF; a report with no "METAR" before it; "COR", "AUTO"; a report over
 *              two lines
 * not legal    a line without station and time: passed over like any other text
 */
export function readMetar(text: string, options: { readonly reference_s?: number | undefined }): Read<DecodedWinds[]> {
  const { value, problems, reports } = aerodromeWinds(text, options);
  const none = 'no METAR here; expected a station of four letters and a time ("EDDW 011250Z")';
  return { value, problems: reports > 0 ? problems : [...problems, { line: 0, text: none }] };
}

/** The same, with how many reports and how many forecasts (TAF) were found; none of either is not a problem. */
export function aerodromeWinds(
  text: string,
  options: { readonly reference_s?: number | undefined },
): Read<DecodedWinds[]> & { readonly reports: number; readonly forecasts: number } {
  const findings = new Findings();
  const all = findReports(text);
  const reports = all.filter(({ kind }) => kind !== 'TAF');
  const sources = counted(reports, findings).map((report) => decode(report, options.reference_s));
  const timeless = sources.filter((source) => source.validTime === null).length;
  if (timeless > 0) {
    const text = `${timeless} reports give a day, hour and minute but no month; without a reference their times are unknown`;
    findings.add('times without a month', { line: 0 }, text);
  }
  return { ...answer(sources, findings.all()), reports: reports.length, forecasts: all.length - reports.length };
}
