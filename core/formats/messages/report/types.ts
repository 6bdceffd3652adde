// The types of the report reader: what it knows, what it asks, what it answers.
import type { NewEvent } from '../../../log/events.ts';
import type { Place } from '../../../words/places.ts';
import type { LonLat } from '../../../base/units.ts';
import type { HeightUnit, SpeedUnit } from './vocabulary.ts';

export type NewReport = Extract<NewEvent, { kind: 'wind-report' }>;

/** What the reader knows of the mission and of the person who types. */
export interface ReportContext {
  readonly now_s: number;
  readonly site: { readonly position: LonLat; readonly elevation_m: number };
  readonly places: readonly Place[];
  /** The expected landing, from which a landmark is named; left out: the site. */
  readonly landing?: LonLat;
  /** `flies`: it may speak from the air, so that a wind without a height is not taken for one at head height. */
  readonly teams: readonly { readonly name: string; readonly position: LonLat; readonly flies?: boolean }[];
  /** At the site, east positive; null where unknown. */
  readonly declination_deg: number | null;
  /** The id that the report will have. */
  readonly nextId: string;
  /** Height of the ground at a place, m MSL; left out: the site's everywhere. */
  readonly groundAt?: (place: LonLat) => number;
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
  readonly heightUnit?: HeightUnit | 'flight level' | 'time of day';
  readonly north?: 'true' | 'magnetic';
  readonly place?: string;
  readonly zone?: 'UTC' | 'local';
  readonly digits?: 'degrees' | 'tens';
  readonly letterO?: 'east' | 'west';
  readonly order?: 'direction first' | 'speed first';
  readonly measured?: 'here' | 'elsewhere';
  readonly speaker?: 'on the ground' | 'in the air';
  readonly belowGround?: 'AGL' | 'surface';
  /** Id of the report that a line without one is about. */
  readonly report?: string;
  readonly coordinates?: 'as typed' | 'the other way round';
}

export type QuestionAbout =
  | 'which place'
  | 'degrees or tens'
  | 'direction or speed first'
  | 'east or west'
  | 'from or toward'
  | 'true or magnetic'
  | 'knots or m/s'
  | 'feet or metres'
  | 'MSL or AGL'
  | 'below the ground'
  | 'on the ground or in the air'
  | 'measured here or elsewhere'
  | 'which report'
  | 'latitude or longitude first'
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
  /** `notWind`: the line is about something else, so that nothing of a wind is lost with it. */
  | { readonly kind: 'refused'; readonly why: string; readonly notWind?: true };
