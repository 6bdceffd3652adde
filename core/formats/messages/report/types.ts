// The types of the report reader: what it knows, what it asks, what it answers.
import type { NewEvent } from '../../../log/events.ts';
import type { Place } from '../../../plan/places.ts';
import type { LonLat } from '../../../base/units.ts';
import type { HeightUnit, SpeedUnit } from './vocabulary.ts';

export type NewReport = Extract<NewEvent, { kind: 'wind-report' }>;

/** What the reader knows of the mission and of the person who types. */
export interface ReportContext {
  readonly now_s: number;
  readonly site: { readonly position: LonLat; readonly elevation_m: number };
  readonly places: readonly Place[];
  readonly teams: readonly { readonly name: string; readonly position: LonLat }[];
  /** At the site, east positive; null where unknown. */
  readonly declination_deg: number | null;
  /** The id that the report will have. */
  readonly nextId: string;
  /** Units that the person has declared to mean when none is said; left out: asked. */
  readonly speedUnit?: SpeedUnit;
  readonly heightUnit?: HeightUnit;
  /** Local time minus UTC; left out or 0: a clock without a zone is UTC. */
  readonly localOffset_s?: number;
  /** Geometric height m MSL of a pressure altitude in the day's air; left out: the standard atmosphere's. */
  readonly heightOfPressureAltitude?: (altitude_m: number) => number;
}

/** What a person answered, a key each. */
export interface Answers {
  readonly sense?: 'from' | 'toward';
  readonly reference?: 'MSL' | 'AGL';
  readonly speedUnit?: SpeedUnit;
  readonly heightUnit?: HeightUnit | 'flight level';
  readonly north?: 'true' | 'magnetic';
  readonly place?: string;
  readonly zone?: 'UTC' | 'local';
  readonly digits?: 'degrees' | 'tens';
}

export type QuestionAbout =
  | 'which place'
  | 'degrees or tens'
  | 'from or toward'
  | 'true or magnetic'
  | 'knots or m/s'
  | 'feet or metres'
  | 'MSL or AGL'
  | 'UTC or local';

export interface QuestionKey {
  readonly key: string;
  readonly meaning: string;
  /** Read the same line again with these added to the answers. */
  readonly resolves: Answers;
}

export interface Question {
  readonly about: QuestionAbout;
  readonly keys: readonly QuestionKey[];
}

export type ReportReading =
  | {
      readonly kind: 'read';
      readonly event: NewReport;
      readonly words: string;
      readonly from_deg: number | null;
      readonly toward_deg: number | null;
    }
  | { readonly kind: 'ask'; readonly questions: readonly Question[]; readonly words: string }
  | { readonly kind: 'refused'; readonly why: string };
