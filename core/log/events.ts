// The log beside a plan: one event per line, only ever appended to (FORMAT.md "The log"). What each kind holds.
import { z } from 'zod';
import { lonLat, time } from '../plan/schema.ts';

const stamp = { seq: z.number().int().min(0), at: time };

export const reportSource = z.enum(['sounding', 'pilot-balloon', 'station', 'crew', 'aircraft', 'smoke', 'estimate']);

/**
 * A wind as somebody reported it. Height is `height_m` (MSL) or `agl_m`; `from_deg` is true and FROM. A calm has speed
 * 0.
 */
const windFields = {
  id: z.string().min(1),
  source: reportSource,
  by: z.string().optional(),
  observedAt: time,
  position: lonLat.optional(),
  place: z.string().optional(),
  agl_m: z.number().optional(),
  height_m: z.number().optional(),
  from_deg: z.number(),
  speed_mps: z.number(),
  gust_mps: z.number().optional(),
  /**
   * The report's own standard error of one component (a tracked balloon has one), in place of the one its source
   * implies.
   */
  std_mps: z.number().positive().optional(),
  /**
   * What the wording leaves open ("5 to 10 kt", "east"), as a standard deviation of one component, on top of the
   * source's error.
   */
  spread_mps: z.number().min(0).optional(),
  /** The direction swings all round: `speed_mps` is the speed, `from_deg` says nothing, and the mean wind is a calm. */
  variable: z.boolean().optional(),
  /** Who wrote it into the log, where that is not who observed it. */
  enteredBy: z.string().optional(),
  /** As it was typed or received. */
  text: z.string().optional(),
};

export const windReport = z.looseObject({ ...stamp, kind: z.literal('wind-report'), ...windFields });
export const correction = z.looseObject({
  ...stamp,
  kind: z.literal('correction'),
  corrects: z.string(),
  ...windFields,
});
export const withdrawal = z.looseObject({
  ...stamp,
  kind: z.literal('withdrawal'),
  of: z.string(),
  reason: z.string().optional(),
  by: z.string().optional(),
});
export const confirmation = z.looseObject({
  ...stamp,
  kind: z.literal('confirmation'),
  of: z.string(),
  by: z.string().optional(),
});
/** Annuls an event of any kind that was entered in error or under a wrong clock. */
export const annulment = z.looseObject({
  ...stamp,
  kind: z.literal('annulment'),
  /** The number of the event. */
  of: z.number().int().min(0),
  reason: z.string().optional(),
  by: z.string().optional(),
});
export const fix = z.looseObject({
  ...stamp,
  kind: z.literal('fix'),
  body: z.string().min(1),
  position: lonLat,
  height_m: z.number().optional(),
  observedAt: time.optional(),
});
export const mark = z.looseObject({
  ...stamp,
  kind: z.literal('mark'),
  mark: z.string().min(1),
  position: lonLat.optional(),
  height_m: z.number().optional(),
  observedAt: time.optional(),
});
export const advised = z.looseObject({ ...stamp, kind: z.literal('advice'), text: z.string() });
export const decision = z.looseObject({
  ...stamp,
  kind: z.literal('decision'),
  text: z.string(),
  by: z.string().optional(),
});
export const call = z.looseObject({
  ...stamp,
  kind: z.literal('call'),
  text: z.string(),
  by: z.string().optional(),
  to: z.string().optional(),
  /** What it was about, where the program proposed it (`live/callOffers.ts`), and the values that it stood on. */
  key: z.string().optional(),
  values: z.record(z.string(), z.union([z.number(), z.string()])).optional(),
});
/** What became of an item of a list; the newest of each item counts. */
export const check = z.looseObject({
  ...stamp,
  kind: z.literal('check'),
  item: z.string(),
  /** The name of the plan's list; left out: the item of this name in any list. */
  list: z.string().optional(),
  /** Left out: read back. */
  said: z.enum(['read back', 'skipped', 'withdrawn']).optional(),
  /** Why it was skipped or withdrawn. */
  reason: z.string().optional(),
  by: z.string().optional(),
});
/** An alert that a person has taken note of: it is silent until it has ended and begins again. */
export const silence = z.looseObject({
  ...stamp,
  kind: z.literal('silence'),
  /** The alert's kind (`live/alertRules.ts`). */
  alert: z.string().min(1),
  /** Which of several: a crew, a limit, a report. */
  about: z.string().optional(),
  /** When it began. */
  since: time,
  /** What it said. */
  text: z.string(),
  reason: z.string(),
  by: z.string().optional(),
});
export const note = z.looseObject({
  ...stamp,
  kind: z.literal('note'),
  text: z.string(),
  by: z.string().optional(),
  /** Where the program notes that the computer's clock leapt: by so much, back where negative. */
  leap_s: z.number().optional(),
});

export const logEvent = z.discriminatedUnion('kind', [
  windReport,
  correction,
  withdrawal,
  confirmation,
  annulment,
  fix,
  mark,
  advised,
  decision,
  call,
  check,
  silence,
  note,
]);

export type LogEvent = z.infer<typeof logEvent>;
/** Whether a check says that the item is well; the others skip it or take that back. */
export const isReadBack = ({ said }: Pick<Check, 'said'>): boolean => said === undefined || said === 'read back';

/**
 * Whether an event answers a question of the program's own, such as `clock`. An item of the lead's lists may have the
 * same name, and answers nothing.
 */
export const answers = (event: LogEvent, item: string): boolean =>
  event.kind === 'check' && event.list === undefined && event.item === item && isReadBack(event);

export type WindReport = z.infer<typeof windReport>;
export type Correction = z.infer<typeof correction>;
export type Check = z.infer<typeof check>;
export type ReportSource = z.infer<typeof reportSource>;
// Not `Omit`: on a type that keeps unknown keys it would forget the known ones.
type DistributiveOmit<T, K extends PropertyKey> = T extends unknown
  ? { [P in keyof T as P extends K ? never : P]: T[P] }
  : never;
/** An event before the desk has numbered and timed it. */
export type NewEvent = DistributiveOmit<LogEvent, 'seq' | 'at'>;
