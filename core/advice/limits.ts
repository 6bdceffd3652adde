// The table behind go, hold and no-go: every limit with its number, whose number it is, its value now and what is left
// to it. A mission edits it by name (`limits`). Defaults: the published source, or common practice; local rules and
// licensed practice decide.
import { never } from '../base/problem.ts';
import type { Jumper, Limits } from '../plan/schema.ts';

export type LimitName =
  | 'surfaceWind_mps'
  | 'gust_mps'
  | 'windShear_mps'
  | 'zoneProbability'
  | 'hazardProbability'
  | 'daylight_s'
  | 'surfaceWindAge_s'
  | 'openingShock_g'
  | 'oxygenReserve_s'
  | 'cloudClearance_m';

/** What breaking a limit means: no exit at all, or wait until it is mended. */
export type Severity = 'no-go' | 'hold';

export interface LimitKind {
  readonly name: LimitName;
  /** In words, after which "over the 8 m/s limit" or "under the …" reads. */
  readonly label: string;
  readonly unit: 'm/s' | 'share' | 's' | 'g' | 'm';
  /** Whether the value must stay at or below the number, or at or above it. */
  readonly keep: 'below' | 'above';
  readonly severity: Severity;
  readonly number: number;
  readonly source: string;
}

const OURS = "this program's own default; edit it to the flight's rules";
const PRACTICE = "common practice; edit it to the flight's rules";

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

/** The limits with their defaults for a jumper. */
export function defaultLimits(experience: Jumper['experience']): readonly LimitKind[] {
  const wind = surfaceWind(experience);
  return [
    { name: 'surfaceWind_mps', label: 'surface wind', unit: 'm/s', keep: 'below', severity: 'no-go', ...wind },
    {
      name: 'gust_mps',
      label: 'gust',
      unit: 'm/s',
      keep: 'below',
      severity: 'no-go',
      number: wind.number + 2,
      source: PRACTICE,
    },
    {
      name: 'windShear_mps',
      label: 'wind change in the lowest 300 m',
      unit: 'm/s',
      keep: 'below',
      severity: 'hold',
      number: 8,
      source: PRACTICE,
    },
    {
      name: 'zoneProbability',
      label: 'chance of the zone',
      unit: 'share',
      keep: 'above',
      severity: 'hold',
      number: 0.8,
      source: OURS,
    },
    {
      name: 'hazardProbability',
      label: 'chance of a hazard',
      unit: 'share',
      keep: 'below',
      severity: 'hold',
      number: 0.05,
      source: OURS,
    },
    {
      name: 'daylight_s',
      label: 'daylight left after touchdown',
      unit: 's',
      keep: 'above',
      severity: 'no-go',
      number: 5400,
      source: OURS,
    },
    {
      name: 'surfaceWindAge_s',
      label: 'age of the newest surface wind',
      unit: 's',
      keep: 'below',
      severity: 'hold',
      number: 1800,
      source: OURS,
    },
    {
      name: 'openingShock_g',
      label: 'opening shock',
      unit: 'g',
      keep: 'below',
      severity: 'no-go',
      number: 9,
      source: PRACTICE,
    },
    {
      name: 'oxygenReserve_s',
      label: 'oxygen left below 15 000 ft',
      unit: 's',
      keep: 'above',
      severity: 'no-go',
      number: 120,
      source: '14 CFR 91.211 asks for oxygen above 15 000 ft MSL; the reserve is common practice',
    },
    {
      name: 'cloudClearance_m',
      label: 'cloud base above the opening',
      unit: 'm',
      keep: 'above',
      severity: 'hold',
      number: 300,
      source: PRACTICE,
    },
  ];
}

/**
 * The limits of a mission: its numbers where it has some. Names that are no limit are answered too, so that they are
 * not lost.
 */
export function limitsOf(
  jumper: Jumper,
  edited: Limits | undefined,
): { readonly limits: readonly LimitKind[]; readonly unknown: readonly string[] } {
  const kinds = defaultLimits(jumper.experience);
  const known = new Set<string>(kinds.map((kind) => kind.name));
  const limits = kinds.map((kind) => {
    const own = edited?.[kind.name];
    if (own === undefined) return kind;
    const number = typeof own === 'number' ? own : own.value;
    return { ...kind, number, source: (typeof own === 'number' ? undefined : own.source) ?? 'the mission' };
  });
  return { limits, unknown: Object.keys(edited ?? {}).filter((name) => !known.has(name)) };
}

/** What is known of a limit's value. */
export type LimitValue =
  | {
      readonly kind: 'known';
      readonly value: number;
      /** One standard deviation, in the unit. */ readonly error?: number;
      readonly how: string;
    }
  | { readonly kind: 'not given'; readonly why: string };

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
  const close = Math.max(limit.unit === 'share' ? 0.02 : Math.abs(limit.number) * 0.1, value.error ?? 0);
  return { limit, value, margin, state: margin < 0 ? 'broken' : margin < close ? 'close' : 'kept' };
}

export type Word = 'GO' | 'HOLD' | 'NO-GO';

/**
 * After the exit nobody goes or holds any more, and HOLD is a call of its own on the radio: then the word says where
 * the jumper is.
 */
export type AdviceWord = Word | 'IN FLIGHT' | 'DOWN';

/** Limits whose value must be known before anybody goes. */
const NEEDED: ReadonlySet<LimitName> = new Set(['surfaceWind_mps', 'zoneProbability', 'surfaceWindAge_s']);

/** The word, and the limits that make it, the gravest first. */
export function wordOf(judged: readonly Judged[]): { readonly word: Word; readonly because: readonly Judged[] } {
  const stops = judged.filter((one) => one.state === 'broken' && one.limit.severity === 'no-go');
  const holds = judged.filter(
    (one) =>
      (one.state === 'broken' && one.limit.severity === 'hold') ||
      (one.state === 'not given' && NEEDED.has(one.limit.name)),
  );
  return { word: stops.length > 0 ? 'NO-GO' : holds.length > 0 ? 'HOLD' : 'GO', because: [...stops, ...holds] };
}

/** A value in its limit's unit, as it is said. */
export function limitText(value: number, unit: LimitKind['unit']): string {
  switch (unit) {
    case 'share':
      return `${Math.round(value * 100)}\u202f%`;
    case 's':
      return Math.abs(value) < 120 ? `${Math.round(value)}\u202fs` : `${Math.round(value / 60)}\u202fmin`;
    case 'm':
      return `${Math.round(value)}\u202fm`;
    case 'g':
      return `${value.toFixed(1)}\u202fg`;
    case 'm/s':
      return `${value.toFixed(1)}\u202fm/s`;
    default:
      return never(unit);
  }
}

/** "gust 9.0 m/s over the 8.0 m/s limit", or what is missing. */
export function limitSentence({ limit, value, margin }: Judged): string {
  if (value.kind === 'not given') return `${limit.label} not given: ${value.why}`;
  const side =
    limit.keep === 'below'
      ? margin !== null && margin < 0
        ? 'over'
        : 'within'
      : margin !== null && margin < 0
        ? 'under'
        : 'above';
  return `${limit.label} ${limitText(value.value, limit.unit)} ${side} the ${limitText(limit.number, limit.unit)} limit`;
}
