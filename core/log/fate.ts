// What becomes of one report: the checks that it can fail by itself, and its outcome at a moment, each with its
// sentence.
import type { LonLat } from '../base/units.ts';
import { SOURCE_ERRORS } from './sources.ts';
import { roughDuration, clock } from '../words/times.ts';
import { speed } from '../words/winds.ts';
import { distance } from '../words/lengths.ts';
import { angle, quantity } from '../words/numbers.ts';
import type { Correction, LogEvent, WindReport } from './events.ts';

/** Why a report counts or does not; every `sentence` says so to a person. */
export type ReportOutcome =
  | { readonly kind: 'counts' }
  | {
      readonly kind: 'struck';
      readonly by: string | null;
      readonly at_s: number;
      readonly correction: string;
      readonly sentence: string;
    }
  | {
      readonly kind: 'withdrawn';
      readonly by: string | null;
      readonly at_s: number;
      readonly reason: string | null;
      readonly sentence: string;
    }
  | {
      readonly kind:
        'repeat' | 'id taken' | 'in the future' | 'too old' | 'too far' | 'outside heights' | 'no height' | 'no wind';
      readonly sentence: string;
    };

/** Two clocks that were set by hand may differ this much; a report from further ahead has a wrong time. */
export const CLOCK_TOLERANCE_S = 120;
/**
 * A report is dropped after four correlation times: less than 2 % of its information about the forecast is left.
 */
export const OLDEST_TIMES = 4;
/** At two and a half correlation distances less than 5 % is left. */
export const FARTHEST_DISTANCES = 2.5;
/** No wind on earth that a person or a balloon meets below 85 km is stronger (the bound of the plan's own levels). */
export const STRONGEST_MPS = 150;
const LOWEST_M = -500;
const HIGHEST_M = 85_000;

export const timeOf = (iso: string): number => Date.parse(iso) / 1000;

/** What follows from an event alone. */
export interface EventFacts {
  readonly at_s: number;
  /** When it was observed, or logged where it does not say. */
  readonly observed_s: number;
  /** What is wrong with the report at any moment; null: nothing. */
  readonly refusal: ReportOutcome | null;
  /** What `repeatKey` makes of a report; null for a correction, which repeats nothing. */
  readonly repeatKey: string | null;
}

/**
 * Worked out once per event: events never change, but the whole log is folded again with each new one.
 */
const known = new WeakMap<LogEvent, EventFacts>();

export function factsOf(event: LogEvent): EventFacts {
  const found = known.get(event);
  if (found !== undefined) return found;
  const facts = findFacts(event);
  known.set(event, facts);
  return facts;
}

function findFacts(event: LogEvent): EventFacts {
  const { at, observedAt } = event;
  const at_s = timeOf(at);
  const observed_s = typeof observedAt === 'string' ? timeOf(observedAt) : at_s;
  const isReport = event.kind === 'wind-report' || event.kind === 'correction';
  return {
    at_s,
    observed_s,
    refusal: isReport ? refusalOf(event, at_s, observed_s) : null,
    repeatKey: event.kind === 'wind-report' ? repeatKey(event) : null,
  };
}

/** Where a report was made, where that comes from in words, and how far from the site it is. */
export interface Placed {
  readonly position: LonLat;
  readonly by: string;
  readonly distance_m: number;
}

/** A report during the fold; later events change it. */
export interface Entry {
  readonly index: number;
  readonly event: WindReport | Correction;
  readonly facts: EventFacts;
  readonly refusal: ReportOutcome | null;
  /** The report that this one repeats word for word: it shares that one's fate. */
  readonly repeats: Entry | null;
  readonly placed: Placed;
  /** The correction that replaced it. */
  struck: Entry | null;
  withdrawn: { readonly event: Extract<LogEvent, { kind: 'withdrawal' }>; readonly at_s: number } | null;
  confirmed: { readonly by: string | null; readonly at_s: number; readonly seq: number } | null;
}

/**
 * What two reports must share to be one report that came twice: everything that was observed, not who numbered it or
 * when it came.
 */
export function repeatKey(event: WindReport | Correction): string {
  const { source, by, observedAt, position, place, agl_m, height_m, from_deg, speed_mps, gust_mps } = event;
  return JSON.stringify([source, by, observedAt, position, place, agl_m, height_m, from_deg, speed_mps, gust_mps]);
}

function refusalOf(event: WindReport | Correction, at_s: number, observed_s: number): ReportOutcome | null {
  const { from_deg, speed_mps, gust_mps, height_m, agl_m, source } = event;
  if (!(speed_mps >= 0 && speed_mps <= STRONGEST_MPS)) {
    return {
      kind: 'no wind',
      sentence: Number.isFinite(speed_mps)
        ? `a wind of ${quantity(speed_mps, 'm/s', 1)} does not occur; expected 0 to ${quantity(STRONGEST_MPS, 'm/s')}`
        : 'a speed that is not a number; expected metres per second',
    };
  }
  if (!(from_deg >= 0 && from_deg <= 360)) {
    return {
      kind: 'no wind',
      sentence: `a direction of ${angle(from_deg, 1)}; expected 0 to 360, where the wind blows from`,
    };
  }
  if (gust_mps !== undefined && !(gust_mps >= speed_mps)) {
    return {
      kind: 'no wind',
      sentence: `a gust of ${speed(gust_mps)} below the mean of ${speed(speed_mps)}: one of the two is wrong`,
    };
  }
  const height = height_m ?? agl_m;
  if (height === undefined && SOURCE_ERRORS[source].usual_agl_m === null) {
    return {
      kind: 'no height',
      sentence: `a ${source.replace('-', ' ')} report without a height says nothing; expected height_m or agl_m`,
    };
  }
  if (height !== undefined && !(height >= LOWEST_M && height <= HIGHEST_M)) {
    return {
      kind: 'outside heights',
      sentence:
        `a wind at ${quantity(height / 1000, 'km')} is outside the air of this program; expected ` +
        `${quantity(LOWEST_M, 'm')} to ${quantity(HIGHEST_M / 1000, 'km')}`,
    };
  }
  const ahead_s = observed_s - at_s;
  if (!(ahead_s <= CLOCK_TOLERANCE_S)) {
    const late = Number.isFinite(observed_s)
      ? `observed at ${clock(observed_s)}, ${roughDuration(ahead_s)} after it was logged`
      : 'observed at no time that can be read';
    return { kind: 'in the future', sentence: `${late}: the time is wrong; correct it and it counts` };
  }
  return null;
}

const COUNTS: ReportOutcome = { kind: 'counts' };

export interface FateLimits {
  readonly at_s: number;
  readonly oldest_s: number;
  readonly farthest_m: number;
}

/** The outcome of a report at a moment. A person's decision outranks what the program finds. */
export function outcomeOf(entry: Entry, limits: FateLimits): ReportOutcome {
  if (entry.repeats !== null) {
    const { id } = entry.repeats.event;
    const name = id === entry.event.id ? 'the one before it' : `"${id}"`;
    return {
      kind: 'repeat',
      sentence: `word for word the same as ${name}: counts once, and shares what becomes of that one`,
    };
  }
  if (entry.withdrawn !== null) return withdrawn(entry.withdrawn);
  if (entry.struck !== null) {
    const { event, facts } = entry.struck;
    const by = event.enteredBy ?? event.by ?? null;
    const who = by === null ? '' : ` by ${by}`;
    return {
      kind: 'struck',
      by,
      at_s: facts.at_s,
      correction: event.id,
      sentence: `corrected${who} at ${clock(facts.at_s)}: "${event.id}" stands in its place`,
    };
  }
  if (entry.refusal !== null) return entry.refusal;
  const age_s = limits.at_s - entry.facts.observed_s;
  if (!(age_s <= limits.oldest_s)) {
    return {
      kind: 'too old',
      sentence:
        `${roughDuration(age_s)} old; a report counts for ${roughDuration(limits.oldest_s)}, then the wind has ` +
        'forgotten it',
    };
  }
  const { distance_m } = entry.placed;
  if (!(distance_m <= limits.farthest_m)) {
    const far = `${distance(distance_m)} away`;
    return {
      kind: 'too far',
      sentence: `${far}; a report counts up to ${distance(limits.farthest_m)}; farther away the wind is another`,
    };
  }
  return COUNTS;
}

function withdrawn({ event, at_s }: NonNullable<Entry['withdrawn']>): ReportOutcome {
  const by = event.by ?? null;
  const reason = event.reason ?? null;
  const who = by === null ? '' : ` by ${by}`;
  const why = reason === null ? '' : `: ${reason}`;
  return { kind: 'withdrawn', by, at_s, reason, sentence: `withdrawn${who} at ${clock(at_s)}${why}` };
}
