// What is said about a report that is held back, and what a correction of it would hold: one key confirms it, one key
// corrects it.
import { M_PER_FT, MPS_PER_KT, wrap360 } from '../base/units.ts';
import { never } from '../base/problem.ts';
import type { Correction, WindReport } from '../log/events.ts';
import type { HeldKind, SuspicionKind } from './meanings.ts';
import type { Suspicion } from './reversal.ts';
import { speed, directionWords, windWords } from '../words/winds.ts';
import { height, statedHeight } from '../words/lengths.ts';
import { quantity } from '../words/numbers.ts';

/** The fields of a report that a correction would change, in the report's own terms. */
export interface SuggestedFields {
  readonly from_deg?: number;
  readonly speed_mps?: number;
  readonly gust_mps?: number;
  readonly height_m?: number;
  readonly agl_m?: number;
}

const tenth = (x: number): number => Math.round(x * 10) / 10;
const thousandth = (x: number): number => Math.round(x * 1000) / 1000;

/** What would be corrected if the suspicion is right; null where nothing is known to fit. */
export function suggestedFields(
  event: WindReport | Correction,
  kind: HeldKind,
  declination_deg: number | null,
): SuggestedFields | null {
  const scaled = (factor: number): SuggestedFields => ({
    speed_mps: thousandth(event.speed_mps * factor),
    ...(event.gust_mps === undefined ? {} : { gust_mps: thousandth(event.gust_mps * factor) }),
  });
  const higher = (factor: number): SuggestedFields =>
    event.agl_m === undefined
      ? { height_m: tenth((event.height_m ?? 0) * factor) }
      : { agl_m: tenth(event.agl_m * factor) };
  switch (kind) {
    case 'from and toward':
      return { from_deg: tenth(wrap360(event.from_deg + 180)) };
    case 'knots for m/s':
      return scaled(MPS_PER_KT);
    case 'm/s for knots':
      return scaled(1 / MPS_PER_KT);
    case 'feet for metres':
      return higher(M_PER_FT);
    case 'metres for feet':
      return higher(1 / M_PER_FT);
    case 'magnetic for true':
      return { from_deg: tenth(wrap360(event.from_deg + (declination_deg ?? 0))) };
    case 'AGL for MSL':
      return { agl_m: event.height_m ?? 0 };
    case 'MSL for AGL':
      return { height_m: event.agl_m ?? 0 };
    case 'misfit':
      return null;
    case 'below the ground':
      return event.agl_m === undefined && (event.height_m ?? 0) > 0 ? { agl_m: tenth(event.height_m ?? 0) } : null;
    default:
      return never(kind);
  }
}

/** Who or what a report comes from, in words. */
export const whoOf = (event: WindReport | Correction): string => event.by ?? event.place ?? event.source;

/** "from 270° (west), 10 kt" of a report as it stands. */
const asReported = (event: WindReport | Correction): string => windWords(event.from_deg, event.speed_mps);

const looksLike: { readonly [K in Exclude<SuspicionKind, 'misfit'>]: string } = {
  'from and toward': 'looks like a wind given TOWARD instead of FROM',
  'knots for m/s': 'looks like knots entered as m/s',
  'm/s for knots': 'looks like m/s entered as knots',
  'feet for metres': 'looks like feet entered as metres',
  'metres for feet': 'looks like metres entered as feet',
  'magnetic for true': 'looks like a magnetic direction entered as true',
  'AGL for MSL': 'looks like a height above ground entered as above sea level',
  'MSL for AGL': 'looks like a height above sea level entered as above ground',
};

/**
 * One sentence on what the report looks like, one on what all else says, one on what to do. `expected` and the report
 * are both brought to 10 m above ground where they lie lower, so a wind at head height is compared with a wind at head
 * height in words only.
 */
export function suspicionSentence(
  event: WindReport | Correction,
  suspicion: Suspicion,
  declination_deg: number | null,
): string {
  const { kind, expected, others } = suspicion;
  const who = whoOf(event);
  const base =
    others === 0
      ? 'the forecast says'
      : `the forecast and ${others === 1 ? 'one other report say' : `${others} other reports say`}`;
  const wind = windWords(expected.from_deg, expected.speed_mps);
  const said = `${base} ${wind}, give or take ${quantity(expected.std_mps, 'm/s', 1)}`;
  if (kind === 'misfit') {
    return (
      `${who}’s wind ${asReported(event)} fits nothing known: ${said}. Confirm it if it was read right, or ` +
      'correct it.'
    );
  }
  const change = changeWords(suggestedFields(event, kind, declination_deg) ?? {}, event);
  return (
    `${who}’s wind ${asReported(event)} ${looksLike[kind]}: ${said}. Confirm it as it stands, or correct it to ` +
    `${change}.`
  );
}

/** The question in the fewest words: "Team 2’s wind (w6) looks like …; confirm, correct or withdraw it". */
export function shortQuestion(event: WindReport | Correction, id: string, kind: HeldKind): string {
  const about = `${whoOf(event)}’s wind (${id})`;
  if (kind === 'below the ground') return `${about} lies below the ground: correct or withdraw it`;
  return `${about} ${kind === 'misfit' ? 'fits nothing known' : looksLike[kind]}: confirm, correct or withdraw it`;
}

/** Of a wind from below the ground: it cannot be confirmed, since there is no air. */
export function belowGroundSentence(event: WindReport | Correction, ground_m: number): string {
  const fields = suggestedFields(event, 'below the ground', null);
  const either = fields === null ? 'Correct its height' : `Correct it to ${statedHeight(fields)}`;
  return (
    `${whoOf(event)}’s wind ${asReported(event)} at ${statedHeight(event)} lies below the ground there ` +
    `(${height(ground_m)}), so it is no wind. ${either}, or withdraw it.`
  );
}

const wholly: { readonly [K in Exclude<SuspicionKind, 'misfit'>]: string } = {
  'from and toward': 'given TOWARD instead of FROM',
  'knots for m/s': 'given in knots as m/s',
  'm/s for knots': 'given in m/s as knots',
  'feet for metres': 'at heights in feet given as metres',
  'metres for feet': 'at heights in metres given as feet',
  'magnetic for true': 'from magnetic north given as true',
  'AGL for MSL': 'at heights above ground given as above sea level',
  'MSL for AGL': 'at heights above sea level given as above ground',
};

/** What a question about several reports depends on beside them. */
interface WholeQuestion {
  readonly kind: HeldKind;
  /** Whether R has an answer for all. */
  readonly isKnown: boolean;
  /** How many reports that observer or ascent has. */
  readonly outOf: number;
}

/** One question for the reports of one observer or ascent that look wrong alike: for all, or for some of them. */
export function wholeSentence(
  events: readonly (WindReport | Correction)[],
  { kind, isKnown, outOf }: WholeQuestion,
): string {
  const [first] = events;
  const who = first?.by ?? first?.place ?? `one ${first?.source.replace('-', ' ') ?? 'observer'}`;
  const aloft = events.every(({ source }) => source === 'pilot-balloon' || source === 'sounding');
  const count = outOf > events.length ? `${events.length} of ${outOf}` : `All ${events.length}`;
  const all = `${count} ${aloft ? 'levels' : 'reports'} of ${who}`;
  if (kind === 'below the ground')
    return `${all} lie below the ground: ${isKnown ? 'R correct to heights above ground, ' : ''}X leave out.`;
  if (kind === 'misfit') return `${all} fit nothing known: C confirm, X leave out.`;
  const verb = kind === 'from and toward' ? 'reverse' : 'correct';
  return `${all} look ${wholly[kind]}: C confirm, R ${verb}, X leave out.`;
}

function changeWords(fields: SuggestedFields, event: WindReport | Correction): string {
  if (fields.from_deg !== undefined) return `from ${directionWords(fields.from_deg)}`;
  if (fields.speed_mps !== undefined) return speed(fields.speed_mps);
  return `${statedHeight(fields)} (it says ${statedHeight(event)})`;
}
