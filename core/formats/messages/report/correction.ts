// A correction in one line: only what is to be changed is said, the rest is as the report has it. Read by the same
// rules as a report, with the same questions; the answer holds the whole new report, as the log wants it.
import { plain } from '../../../words/numbers.ts';
import { direction } from '../../../words/winds.ts';
import { roundTo, zeroed } from '../../../base/plainNumbers.ts';
import type { Correction, NewEvent, WindReport } from '../../../log/events.ts';
import { MPS_PER_KT, M_PER_FT, wrap360 } from '../../../base/units.ts';
import { partsIn, refusalOf } from '../report.ts';
import { saysCalm, type Parts } from './parts.ts';
import { readParts } from './reading.ts';
import type { Answers, Question, ReportContext } from './types.ts';

export type NewCorrection = Extract<NewEvent, { kind: 'correction' }>;

export type CorrectionReading =
  | {
      readonly kind: 'read';
      readonly event: NewCorrection;
      readonly words: string;
      readonly from_deg: number | null;
      readonly toward_deg: number | null;
    }
  | { readonly kind: 'ask'; readonly questions: readonly Question[]; readonly words: string }
  | { readonly kind: 'refused'; readonly why: string };

/** What a correction would change, as `winds/suspect.ts` suggests it. */
export interface Changed {
  readonly from_deg?: number | undefined;
  readonly speed_mps?: number | undefined;
  readonly gust_mps?: number | undefined;
  readonly height_m?: number | undefined;
  readonly agl_m?: number | undefined;
}

/** The report that a correction is of. */
export type Corrected = WindReport | Correction;

/** What a line left open, so that the answer takes it from the report as it stands. */
interface Unsaid {
  readonly wind: boolean;
  readonly height: boolean;
  readonly time: boolean;
  readonly who: boolean;
}

/** A direction that was given the wrong way round, as people say it. */
const TURNED =
  /^(?:(?:it|that|direction|wind)\s+)?(?:is\s+|was\s+|should\s+be\s+)?(?:the\s+)?(?:other\s+way(?:\s+(?:a?round|about))?|wrong\s+way(?:\s+(?:a?round|about))?|reversed?|opposite|reciprocal|turned\s+round|180\s+(?:degrees\s+)?out)[.!]?$/i;

/** Whether a line says that a direction was the wrong way round: "the other way round", "reversed". */
export const saysTurned = (text: string): boolean => TURNED.test(text.trim());

/**
 * Reads what follows "correct w5".
 *
 * Legal    "the other way round"  "from 125"  "6 kt"  "125/6 kt"  "at 1500 ft agl"  "calm"  "crew Team 2"  "10 min
 *          ago": the rest stays as it was
 * Asked    whatever a report is asked: "125" of a crew's wind (true or magnetic), "6" (knots or m/s)
 * Not      "" and what a report may not hold
 */
export function readCorrection(
  text: string,
  of: Corrected,
  context: ReportContext,
  answers: Answers = {},
): CorrectionReading {
  if (text.trim() === '')
    return { kind: 'refused', why: 'nothing to correct yet; say what is right, such as: from 125, 6 kt, at 300 m agl' };
  if (saysTurned(text)) {
    if (of.variable === true || of.speed_mps < 0.05)
      return { kind: 'refused', why: 'it has no direction that could be turned round' };
    const from = zeroed(roundTo(wrap360(of.from_deg + 180), 1), 3);
    return readCorrection(`from ${from}° true`, of, context, answers);
  }
  // The one who reported may be no team of this mission, and is meant all the same.
  const { by } = of;
  const known = by === undefined || context.teams.some((team) => team.name === by);
  const position = of.position ?? context.site.position;
  const own: ReportContext = known ? context : { ...context, teams: [...context.teams, { name: by, position }] };
  const parts = partsIn(text, own);
  if (typeof parts === 'string') return { kind: 'refused', why: parts };
  const unsaid = fill(parts, of, own);
  const why = refusalOf(parts);
  if (why !== null) return { kind: 'refused', why };
  const reading = readParts(text, own, answers, parts);
  if (reading.kind !== 'read') return reading;
  const { kind: _, ...fields } = reading.event;
  const event: NewCorrection = { kind: 'correction', corrects: of.id, ...fields, ...kept(of, unsaid) };
  // What the reader supplies where a line is silent is not said here.
  if (unsaid.height && of.agl_m === undefined) delete event.agl_m;
  if (unsaid.height && of.height_m === undefined) delete event.height_m;
  return { ...reading, event };
}

/** Puts what the line does not say into its parts, as the report has it. */
function fill(parts: Parts, of: Corrected, context: ReportContext): Unsaid {
  const still = parts.calm || parts.lightVariable;
  const saysWhere = parts.directions.length > 0 || parts.variable || still;
  const speed = parts.speeds.length > 0 || still;
  if (!saysWhere && of.variable === true) parts.variable = true;
  else if (!saysWhere) {
    const digits = direction(of.from_deg).slice(0, 3);
    parts.directions.push({ kind: 'degrees', value: of.from_deg, digits, sense: 'from', north: 'true', spoken: false });
  }
  if (!speed) parts.speeds.push({ low: of.speed_mps, high: of.speed_mps, unit: 'm/s', orMore: false });
  if (!speed && of.gust_mps !== undefined && parts.gusts.length === 0)
    parts.gusts.push({ low: of.gust_mps, high: of.gust_mps, unit: 'm/s', orMore: false });
  const height = parts.heights.length > 0;
  if (!height && of.agl_m !== undefined)
    parts.heights.push({ kind: 'height', value: of.agl_m, digits: '', unit: 'm', reference: 'AGL' });
  else if (!height && of.height_m !== undefined)
    parts.heights.push({ kind: 'height', value: of.height_m, digits: '', unit: 'm', reference: 'MSL' });
  const time = parts.times.length > 0;
  if (!time) parts.times.push({ kind: 'ago', ago_s: Math.max(0, context.now_s - Date.parse(of.observedAt) / 1000) });
  const who = parts.mentions.length > 0 || parts.source !== null;
  if (!who) {
    parts.source = of.source;
    if (of.by !== undefined) parts.mentions.push({ names: [of.by], at: false });
    const place = context.places.find((one) => one.name === of.place);
    if (place !== undefined) parts.mentions.push({ names: [place.name], at: true });
  }
  return { wind: !saysWhere && !speed && !saysCalm(parts), height: !height, time: !time, who: !who };
}

/** The report's own fields where the line did not say others, as they stand, not rounded again. */
function kept(of: Corrected, unsaid: Unsaid): Partial<NewCorrection> {
  return {
    ...(unsaid.who ? { source: of.source } : {}),
    ...(unsaid.who && of.by !== undefined ? { by: of.by } : {}),
    ...(unsaid.who && of.place !== undefined ? { place: of.place } : {}),
    ...(unsaid.who && of.position !== undefined ? { position: of.position } : {}),
    ...(unsaid.who && of.std_mps !== undefined ? { std_mps: of.std_mps } : {}),
    ...(unsaid.time ? { observedAt: of.observedAt } : {}),
    ...(unsaid.height && of.agl_m !== undefined ? { agl_m: of.agl_m } : {}),
    ...(unsaid.height && of.height_m !== undefined ? { height_m: of.height_m } : {}),
    ...(unsaid.wind && of.spread_mps !== undefined ? { spread_mps: of.spread_mps } : {}),
  };
}

/** A speed in the unit in which it is the rounder number: 3.087 m/s was 6 kt. */
function speedText(speed_mps: number): string {
  const kt = speed_mps / MPS_PER_KT;
  return Math.abs(kt - Math.round(kt)) < 0.02 ? `${Math.round(kt)} kt` : `${plain(speed_mps, 2)} m/s`;
}

function heightText(of: Pick<Corrected, 'agl_m' | 'height_m'>): string {
  const height_m = of.agl_m ?? of.height_m;
  if (height_m === undefined) return '';
  const feet = height_m / M_PER_FT;
  const isRoundFeet =
    Math.abs(feet / 100 - Math.round(feet / 100)) < 0.005 &&
    Math.abs(height_m / 10 - Math.round(height_m / 10)) > 0.005;
  return (
    ` at ${isRoundFeet ? `${Math.round(feet)} ft` : `${plain(height_m, 1)} m`} ` +
    (of.agl_m === undefined ? 'msl' : 'agl')
  );
}

/**
 * The line that would make a correction: what is suggested, or the report as it stands where nothing is.
 * `readCorrection` reads it.
 */
export function correctionText(of: Corrected, suggested: Changed | null): string {
  const from = (from_deg: number): string => `from ${zeroed(roundTo(from_deg, 1), 3)}° true`;
  const gust = (gust_mps: number | undefined): string =>
    gust_mps === undefined ? '' : ` gusting ${speedText(gust_mps)}`;
  if (suggested === null) {
    const wind = of.variable === true ? 'variable' : speedText(of.speed_mps) === '0 kt' ? 'calm' : from(of.from_deg);
    return wind === 'calm'
      ? `calm${heightText(of)}`
      : `${wind} ${speedText(of.speed_mps)}${gust(of.gust_mps)}${heightText(of)}`;
  }
  const parts: string[] = [];
  if (suggested.from_deg !== undefined) parts.push(from(suggested.from_deg));
  if (suggested.speed_mps !== undefined) parts.push(`${speedText(suggested.speed_mps)}${gust(suggested.gust_mps)}`);
  if (suggested.agl_m !== undefined || suggested.height_m !== undefined) parts.push(heightText(suggested).trim());
  return parts.join(' ');
}
