// The table behind go, hold and no-go: every limit with its number, whose number it is, its value now and what is left
// to it. A mission edits it by name (`limits`). Defaults: the published source, or common practice; local rules and
// licensed practice decide.
import { clock, roughDuration } from '../words/times.ts';
import { speed } from '../words/winds.ts';
import { distance, lengthUp } from '../words/lengths.ts';
import { PAPER_UNITS, percent, quantity, type Units, number } from '../words/numbers.ts';
import { never } from '../base/problem.ts';
import { DOOR_LIMITS } from '../mission/door.ts';
import type { Jumper, Limits } from '../plan/schema.ts';

export type LimitName =
  | 'planLacks'
  | 'exitOverdue_s'
  | 'exitInWindow_s'
  | 'exitOffLine_m'
  | 'exitKnown_s'
  | 'windQuestions'
  | 'windsAloftAge_s'
  | 'forecastRun_s'
  | 'blownBack_mps'
  | 'lee_heights'
  | 'leePattern_heights'
  | 'leeHelicopter_heights'
  | 'crestWind_mps'
  | 'deadlyHazardProbability'
  | 'waterProbability'
  | 'surfaceWind_mps'
  | 'gust_mps'
  | 'windShear_mps'
  | 'windStep_mps'
  | 'zoneProbability'
  | 'hazardProbability'
  | 'daylight_s'
  | 'surfaceWindAge_s'
  | 'openingShock_g'
  | 'oxygenReserve_s'
  | 'oxygenCaseProbability'
  | 'coldCaseProbability'
  | 'cloudClearance_m'
  | 'visibility_m'
  | 'visibilityHigh_m'
  | 'listItems';

/** What breaking a limit means: no exit at all, or wait until it is mended. */
export type Severity = 'no-go' | 'hold';

export interface LimitKind {
  readonly name: LimitName;
  /** In words, after which "over the 8 m/s limit" or "under the …" reads. */
  readonly label: string;
  readonly unit: 'm/s' | 'share' | 's' | 'g' | 'm' | 'heights' | 'count';
  /** Whether the value must stay at or below the number, or at or above it. */
  readonly keep: 'below' | 'above';
  readonly severity: Severity;
  readonly number: number;
  readonly source: string;
}

const OURS = 'this program; edit it to the flight’s rules';
const PRACTICE = 'common practice; edit it to the flight’s rules';

/** Surface wind by who jumps. ref: drift-handbook.md §4. */
function surfaceWind(experience: Jumper['experience']): Pick<LimitKind, 'number' | 'source'> {
  switch (experience) {
    case 'student':
      return {
        number: 6.26,
        source: 'USPA Basic Safety Requirements 2-1: 14 mph for solo students under a ram-air canopy',
      };
    case 'expert':
      return { number: 10, source: PRACTICE };
    case 'licensed':
    case undefined:
      return { number: 8, source: PRACTICE };
    default:
      return never(experience);
  }
}

type Row = readonly [
  LimitName,
  label: string,
  LimitKind['unit'],
  LimitKind['keep'],
  Severity,
  number: number,
  source: string,
];

/** In the order in which reasons are said: first whether this exit, now, is one at all. */
const rowsFor = (wind: Pick<LimitKind, 'number' | 'source'>): readonly Row[] => [
  ['planLacks', 'parts missing from plan or log', 'count', 'below', 'hold', 0, OURS],
  ['exitOverdue_s', 'time since the planned exit', 's', 'below', 'hold', 60, OURS],
  ['exitInWindow_s', 'planned exit inside the window', 's', 'above', 'hold', 0, OURS],
  ['exitOffLine_m', 'planned exit off the carrier’s line', 'm', 'below', 'hold', 500, OURS],
  ['exitKnown_s', 'error of the window’s times', 's', 'below', 'hold', 600, OURS],
  ['windQuestions', 'open questions about the wind', 'count', 'below', 'hold', 0, OURS],
  ['windsAloftAge_s', 'age of the winds aloft', 's', 'below', 'hold', 6 * 3600, WINDS_AGE],
  ['forecastRun_s', 'age of the forecast’s run at the exit', 's', 'below', 'hold', 24 * 3600, RUN_AGE],
  ['surfaceWind_mps', 'surface wind', 'm/s', 'below', 'no-go', wind.number, wind.source],
  ['gust_mps', 'gust', 'm/s', 'below', 'no-go', wind.number + 2, PRACTICE],
  ['windShear_mps', 'wind change in the lowest 300 m', 'm/s', 'below', 'hold', 8, PRACTICE],
  ['windStep_mps', 'wind change over 500 m of height', 'm/s', 'below', 'hold', 25, STEP],
  ['blownBack_mps', 'wind over the canopy’s airspeed', 'm/s', 'below', 'hold', 0, PRACTICE],
  ['lee_heights', 'distance behind obstacles upwind', 'heights', 'above', 'hold', 10, LEE],
  ['leePattern_heights', 'pattern’s distance behind obstacles upwind', 'heights', 'above', 'hold', 10, LEE],
  ['leeHelicopter_heights', 'helicopter’s way in behind obstacles upwind', 'heights', 'above', 'hold', 10, LEE],
  ['crestWind_mps', 'wind over a crest upwind', 'm/s', 'below', 'hold', 12.86, ROTOR],
  ['zoneProbability', 'chance of the zone', 'share', 'above', 'hold', 0.8, OURS],
  ['hazardProbability', 'chance of a hazard', 'share', 'below', 'hold', 0.05, OURS],
  ['deadlyHazardProbability', 'chance of a wire, water, cliff or town', 'share', 'below', 'hold', 0.01, OURS],
  ['waterProbability', 'chance of water without flotation', 'share', 'below', 'hold', 0.01, OURS],
  ['daylight_s', 'daylight left after touchdown', 's', 'above', 'no-go', 5400, OURS],
  ['surfaceWindAge_s', 'age of the newest surface wind', 's', 'below', 'hold', 1800, OURS],
  ['openingShock_g', 'opening shock', 'g', 'below', 'no-go', 9, PRACTICE],
  ['oxygenReserve_s', 'oxygen left below 15 000 ft', 's', 'above', 'no-go', 120, OXYGEN],
  ['oxygenCaseProbability', 'chance of a case that outlasts the oxygen', 'share', 'below', 'hold', 0.05, OURS],
  ['coldCaseProbability', 'chance of a case in freezing wind for 10 min', 'share', 'below', 'hold', 0.05, COLD],
  ['cloudClearance_m', 'cloud base above the exit', 'm', 'above', 'hold', 300, CLOUD],
  ['visibility_m', 'visibility', 'm', 'above', 'hold', 4828, VISIBILITY],
  ['visibilityHigh_m', 'visibility above 10 000 ft', 'm', 'above', 'hold', 8047, VISIBILITY],
  // Last: a list is open until shortly before the exit, and must not hide what the air and the ground say meanwhile.
  ['listItems', 'open items of the lists', 'count', 'below', 'hold', 0, LISTS],
];

const STEP = '56 open soundings change by 17 m/s at most; half more is taken for a wrong figure';
const OXYGEN = '14 CFR 91.211 asks for oxygen above 15 000 ft MSL; the reserve is common practice';
const CLOUD = '14 CFR 105.17: not into or through cloud; the margin is common practice';
const VISIBILITY = '14 CFR 105.17: 3 statute miles, and 5 from 10 000 ft MSL up';
const COLD =
  'bare skin freezes in about 10 min at a wind chill of −29 °C (public texts after the US National Weather Service); ' +
  'the share is this program’s own';
const ROTOR =
  'FAA AIM as quoted in handbooks: 25 kt at the ridge; rotors within 20 NM of it (US National Weather Service)';
const RUN_AGE = 'a forecast of 24 h misses by 10 to 20 % more than one of 12 h (reference figures); common practice';
const LEE = 'WMO Guide no. 8 asks for 10 heights from an obstacle before its wind counts as open';
const LISTS = 'the plan’s own lists: each item that holds the word is read back, or skipped with a reason';
const WINDS_AGE =
  'winds 12 h old are off by 10 m/s a component at 9 to 13 km (open soundings of 1980); half of that time';

/** A landing on one of these is not one in twenty that a flight can live with. Kinds as `plan/schema.ts` names them. */
const DEADLY = /power line|wire|water|cliff|town|sea|lake/i;

export const isDeadly = ({ kind }: { readonly kind: string }): boolean => DEADLY.test(kind);

/** The limits with their defaults for a jumper. */
export const defaultLimits = (experience: Jumper['experience']): readonly LimitKind[] =>
  rowsFor(surfaceWind(experience)).map(([name, label, unit, keep, severity, number, source]) => ({
    name,
    label,
    unit,
    keep,
    severity,
    number,
    source,
  }));

/** What a limit is called. */
export const limitLabel = (name: LimitName): string =>
  defaultLimits(undefined).find((one) => one.name === name)?.label ?? name;

/**
 * The limits of a mission: its numbers where it has some. Names that are not limits are answered too, so that they are
 * not lost.
 */
export function limitsOf(
  jumper: Jumper,
  edited: Limits | undefined,
): { readonly limits: readonly LimitKind[]; readonly unknown: readonly string[] } {
  const kinds = defaultLimits(jumper.experience);
  // Those of the winds at the door are not part of the table: a file beyond them never comes to be judged.
  const known = new Set<string>([...kinds.map((kind) => kind.name), ...Object.keys(DOOR_LIMITS)]);
  const limits = kinds.map((kind) => {
    const own = edited?.[kind.name];
    if (own === undefined) return kind;
    const number = typeof own === 'number' ? own : own.value;
    return { ...kind, number, source: (typeof own === 'number' ? undefined : own.source) ?? 'the mission' };
  });
  return { limits, unknown: Object.keys(edited ?? {}).filter((name) => !known.has(name)) };
}

/** A sentence in pieces: its numbers are said in the units of whoever reads it. */
export type Said = readonly (string | { readonly value: number; readonly as: keyof typeof SAID_AS })[];

const SAID_AS = { time: clock, distance, length: lengthUp, speed } as const;

const saidWords = (said: Said, units: Units): string =>
  said.map((part) => (typeof part === 'string' ? part : SAID_AS[part.as](part.value, units))).join('');

/** What is known of a limit's value. */
export type LimitValue =
  | {
      readonly kind: 'known';
      readonly value: number;
      /** One standard deviation, in the unit. */ readonly error?: number;
      readonly how: string;
      /** The whole sentence where the limit is broken: what is wrong, and the mend. */
      readonly said?: Said;
    }
  | {
      readonly kind: 'not given';
      readonly why: string;
      /** Whether nobody goes without it; `said` is then the whole sentence. */
      readonly holds?: boolean;
      readonly said?: Said;
    };

export type LimitState = 'kept' | 'close' | 'broken' | 'not given';

export interface Judged {
  readonly limit: LimitKind;
  readonly value: LimitValue;
  readonly state: LimitState;
  /** What is left to the limit, in its unit; negative: by how much it is broken. Null where the value is not given. */
  readonly margin: number | null;
}

/** Closer than a tenth of the limit's number, or than the value's own error, is close. */
export function judgeLimit(limit: LimitKind, value: LimitValue): Judged {
  if (value.kind === 'not given') return { limit, value, state: 'not given', margin: null };
  if (!Number.isFinite(value.value))
    return { limit, value: { kind: 'not given', why: 'it could not be computed' }, state: 'not given', margin: null };
  const margin = limit.keep === 'below' ? limit.number - value.value : value.value - limit.number;
  const close = Math.max(
    limit.unit === 'share' ? Math.min(0.02, limit.number / 2) : Math.abs(limit.number) * 0.1,
    value.error ?? 0,
  );
  return { limit, value, margin, state: margin < 0 ? 'broken' : margin < close ? 'close' : 'kept' };
}

export type Word = 'GO' | 'HOLD' | 'NO-GO';

/**
 * After the exit nobody goes or holds any more, and HOLD is a call of its own on the radio: then the word says where
 * the jumper is.
 */
export type AdviceWord = Word | 'IN FLIGHT' | 'DOWN';

/** Limits whose value must be known before anybody goes. */
const NEEDED: ReadonlySet<LimitName> = new Set([
  'windsAloftAge_s',
  'surfaceWind_mps',
  'zoneProbability',
  'surfaceWindAge_s',
]);

const holdsAlone = (value: LimitValue): boolean => value.kind === 'not given' && value.holds === true;

/** The word, and the limits that make it, the gravest first. */
export function wordOf(judged: readonly Judged[]): { readonly word: Word; readonly because: readonly Judged[] } {
  const stops = judged.filter((one) => one.state === 'broken' && one.limit.severity === 'no-go');
  const holds = judged.filter(
    (one) =>
      (one.state === 'broken' && one.limit.severity === 'hold') ||
      (one.state === 'not given' && (NEEDED.has(one.limit.name) || holdsAlone(one.value))),
  );
  return { word: stops.length > 0 ? 'NO-GO' : holds.length > 0 ? 'HOLD' : 'GO', because: [...stops, ...holds] };
}

/** A value in its limit's unit, as it is said; `finer`: so many decimals more than usual. */
export function limitText(value: number, unit: LimitKind['unit'], units: Units = PAPER_UNITS, finer = 0): string {
  switch (unit) {
    case 'share':
      return percent(value, finer);
    case 's':
      return `${value < 0 ? '−' : ''}${roughDuration(value)}`;
    case 'm':
      return lengthUp(value, units);
    case 'heights':
      return `${number(value, 1 + finer)} heights`;
    case 'count':
      return number(value);
    case 'g':
      return quantity(value, 'g', 1 + finer);
    case 'm/s':
      return speed(value, units, 1 + finer);
    default:
      return never(unit);
  }
}

/** "gust 9.0 m/s over the 8.0 m/s limit", or what is missing. */
export function limitSentence({ limit, value, margin, state }: Judged, units: Units = PAPER_UNITS): string {
  if (value.said !== undefined && (state === 'broken' || value.kind === 'not given'))
    return saidWords(value.said, units);
  if (value.kind === 'not given') return `${limit.label} not given: ${value.why}`;
  const side =
    limit.keep === 'below'
      ? margin !== null && margin < 0
        ? 'over'
        : 'within'
      : margin !== null && margin < 0
        ? 'under'
        : 'above';
  const [is, may] = limitTexts(value.value, limit, units);
  return `${limit.label} ${is}, ${side} the ${may} limit`;
}

/** Decimals more than usual, at most. */
const FINEST = 2;

/**
 * A value, its limit and what lies between them, finer where the first two would read alike: "79.6 %, under the 80.0 %
 * limit", 0.4 %.
 */
export function limitTexts(
  value: number,
  { number: most, unit }: LimitKind,
  units: Units = PAPER_UNITS,
): readonly [is: string, may: string, between: string] {
  for (let finer = 0; ; finer++) {
    const texts = [value, most, Math.abs(value - most)].map((one) => limitText(one, unit, units, finer));
    const [is = '', may = '', between = ''] = texts;
    if (is !== may || value === most || finer === FINEST) return [is, may, between];
  }
}
