// What stands in a line, each part as it was said: nothing converted and nothing supplied.
import type { ReportSource } from '../../../log/events.ts';
import type { CompassPoint, HeightUnit, SpeedUnit } from './vocabulary.ts';

/** `to` and `into` are words that need a second one: "blowing to" is toward, "wind to 270" is anything. */
export type Sense = 'from' | 'toward' | 'to' | 'into' | null;

export type DirectionPart =
  | {
      readonly kind: 'degrees';
      readonly value: number;
      readonly digits: string;
      readonly sense: Sense;
      readonly north: 'true' | 'magnetic' | null;
      readonly spoken: boolean;
    }
  | {
      readonly kind: 'compass';
      readonly point: CompassPoint;
      readonly sense: Sense;
      /** What the ending says, "easterly" or "eastward"; null where it has none. */
      readonly ending: 'from' | 'toward' | null;
      /** In another language the same letters mean this one. */
      readonly other: CompassPoint | null;
      /** The word has another meaning too, so that even a bare one is asked about. */
      readonly doubtful: boolean;
    }
  | { readonly kind: 'name'; readonly names: readonly string[]; readonly sense: Sense };

export interface SpeedPart {
  readonly low: number;
  readonly high: number;
  readonly unit: SpeedUnit | null;
  /** The P of METAR: that much or more. */
  readonly orMore: boolean;
}

export type HeightPart =
  | { readonly kind: 'surface' }
  | { readonly kind: 'flight level'; readonly level: number }
  | {
      readonly kind: 'height';
      readonly value: number;
      readonly digits: string;
      readonly unit: HeightUnit | null;
      readonly reference: 'MSL' | 'AGL' | null;
    };

export type TimePart =
  | { readonly kind: 'ago'; readonly ago_s: number }
  | {
      readonly kind: 'clock';
      readonly ofDay_s: number;
      readonly zone: 'UTC' | 'local' | null;
      readonly day: number | null;
    };

export interface Parts {
  directions: DirectionPart[];
  speeds: SpeedPart[];
  gusts: SpeedPart[];
  heights: HeightPart[];
  times: TimePart[];
  swing: readonly [number, number] | null;
  calm: boolean;
  variable: boolean;
  lightVariable: boolean;
  /** A METAR group whose wind is slashes. */
  missing: boolean;
  weatherFormat: boolean;
  /** The place that a METAR names by four letters. */
  aerodrome: string | null;
  source: ReportSource | null;
  /** Names of teams or places that tell who or where, in the order of the line. */
  mentions: { readonly names: readonly string[]; readonly at: boolean }[];
  /** The air or something in it moves: a direction without "to" or "from" is either. */
  moving: boolean;
  /** The wind turns: a direction with "to" is either, too. */
  turning: boolean;
  voice: boolean;
  /** "40/270": the number behind the stroke may be the direction. */
  order: { readonly digits: string } | null;
  /** Why this is not a report of a wind that blows, whatever else stands in it. */
  refusal: string | null;
  /** A crew on its way: the line is about something other than a wind, whatever directions it names. */
  notWind: string | null;
  /** A word that only a wind has: "wind", "calm", "blowing". */
  windy: boolean;
  leftOver: string[];
}

export const emptyParts = (): Parts => ({
  directions: [],
  speeds: [],
  gusts: [],
  heights: [],
  times: [],
  swing: null,
  calm: false,
  variable: false,
  lightVariable: false,
  missing: false,
  weatherFormat: false,
  aerodrome: null,
  source: null,
  mentions: [],
  moving: false,
  turning: false,
  voice: false,
  order: null,
  refusal: null,
  notWind: null,
  windy: false,
  leftOver: [],
});

/** A speed of nothing, whatever the unit: a calm. */
export const saysCalm = (parts: Parts): boolean => parts.speeds[0]?.high === 0 && parts.gusts.length === 0;
