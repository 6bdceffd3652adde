// What a rehearsal holds in store for the person who sits there: plain data in a file, of no place and no mission, so
// that any plan can be rehearsed by it. Times count from what happens, heights from the ground, s and m.
import { z } from 'zod';
import { plainData } from '../base/plainText.ts';
import type { Read } from '../base/problem.ts';

const events = ['planned exit', 'exit', 'opening', 'touchdown'] as const;

/** A moment: so many seconds after an event, before it where negative. */
const moment = z.strictObject({ from: z.enum(events), after_s: z.number().min(-7200).max(7200) });
export type RehearsedMoment = z.infer<typeof moment>;

/** What is wrong with what somebody says of a wind that was measured well. */
export const saying = z.enum(['right', 'toward for from', 'knots as m/s', 'm/s as knots', 'no unit', 'another wind']);
export type Saying = z.infer<typeof saying>;

const heard = z.strictObject({
  when: moment,
  /** Which of the plan's crews measures and says it, counted from 1 and round again. */
  crew: z.int().min(1).default(1),
  source: z.enum(['crew', 'pilot-balloon']).default('crew'),
  agl_m: z.number().min(1).max(6000).default(2),
  says: saying.default('right'),
});
export type HeardLater = z.infer<typeof heard>;

/** A layer in which the true wind is the expected one, turned and made stronger. */
const layer = z.strictObject({
  from_agl_m: z.number().min(0).max(60_000),
  to_agl_m: z.number().min(0).max(60_000).default(60_000),
  turned_deg: z.number().min(-180).max(180).default(0),
  times: z.number().min(0).max(4).default(1),
});
export type TurnedLayer = z.infer<typeof layer>;

const fixes = z.strictObject({
  every_s: z.number().min(0.2).max(60).default(1),
  /** One standard deviation an axis. */
  noise_m: z.number().min(0).max(200).default(5),
  /** The share of the fixes that are anywhere within some kilometres. */
  wild: z.number().min(0).max(0.2).default(0),
  /** When none comes. */
  gaps: z.array(z.strictObject({ when: moment, for_s: z.number().min(1).max(3600) })).default([]),
});

export const rehearsalScenario = z.strictObject({
  format: z.literal('plumbline/rehearsal'),
  version: z.literal(1),
  name: z.string().regex(/\S/, 'expected some words'),
  /** What it trains, told beforehand: it gives away nothing of what happens. */
  trains: z.string().default(''),
  /** What happens in it, for whoever instructs. */
  notes: z.string().default(''),
  /** What is drawn of the plan's own errors (winds, body, canopy, exit): 1 as they are, 0 nothing. */
  errors: z.number().min(0).max(3).default(1),
  /** How long before the planned exit it begins. */
  begins_s: z.number().min(60).max(7200).default(600),
  winds: z.array(layer).default([]),
  /** The height above ground at which the canopy opens, as a share of the planned one. */
  opensAt: z.number().min(0.2).max(3).default(1),
  fixes: fixes.prefault({}),
  reports: z.array(heard).default([]),
});

export type RehearsalScenario = z.infer<typeof rehearsalScenario>;

/**
 * Reads a scenario.
 *
 * Legal: the keys above; what is left out has its default
 * Not:   text that is not JSON, another format, a key that is not above (a misspelt one would rehearse something else)
 */
export function readRehearsal(text: string): Read<RehearsalScenario | null> {
  let raw: unknown;
  try {
    raw = JSON.parse(text);
  } catch {
    return refused(['this file is not JSON; expected { "format": "plumbline/rehearsal", … }']);
  }
  const read = rehearsalScenario.safeParse(raw);
  if (read.success) return { value: plainData(read.data), problems: [] };
  return refused(
    read.error.issues.map(({ path, message }) => `${path.length === 0 ? 'the file' : path.join('.')}: ${message}`),
  );
}

const refused = (sentences: readonly string[]): Read<null> => ({
  value: null,
  problems: sentences.map((text) => ({ line: 0, text })),
});
