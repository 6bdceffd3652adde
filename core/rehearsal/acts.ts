// What an instructor sets off while a rehearsal runs: plain data, written down with its time, so that the same acts at
// the same times give the same lines again, and the score can say them.
import { z } from 'zod';
import { never } from '../base/problem.ts';
import { saying, type Saying } from './scenario.ts';

/** `body`: as the log names it. `crew`: of the plan; null where it has none, and somebody at the site says it. */
export const instructorAct = z.discriminatedUnion('kind', [
  z.strictObject({ kind: z.literal('fixes stop'), body: z.string() }),
  z.strictObject({ kind: z.literal('fixes come back'), body: z.string() }),
  /** The next fix of the body is anywhere within some kilometres. */
  z.strictObject({ kind: z.literal('wild fix'), body: z.string() }),
  /** A crew measures the surface wind now and says it so. */
  z.strictObject({ kind: z.literal('wind said'), crew: z.string().nullable(), says: saying }),
  z.strictObject({ kind: z.literal('opening'), becomes: z.enum(['late', 'none']) }),
]);

export type InstructorAct = z.infer<typeof instructorAct>;

export interface ActDone {
  readonly at_s: number;
  readonly act: InstructorAct;
}

/** The share of its height at which a canopy opens that was made to open late. Ours. */
export const LATE_SHARE = 0.6;
/** A height as far below the ground as this many times the planned one above it: it is never reached. */
export const NEVER_SHARE = -100;

const SAID: Readonly<Record<Saying, string>> = {
  right: 'as it was measured',
  'toward for from': 'the wrong way round',
  'knots as m/s': 'in knots called m/s',
  'm/s as knots': 'in m/s called knots',
  'no unit': 'without a unit',
  'another wind': 'as another wind than it was',
};

/** "fixes of jumper stopped". */
export function actWords(act: InstructorAct): string {
  switch (act.kind) {
    case 'fixes stop':
      return `fixes of ${act.body} stopped`;
    case 'fixes come back':
      return `fixes of ${act.body} came back`;
    case 'wild fix':
      return `a wild fix of ${act.body}`;
    case 'wind said':
      return `a wind of ${act.crew ?? 'the site'} said ${SAID[act.says]}`;
    case 'opening':
      return act.becomes === 'late' ? 'the canopy was made to open late' : 'the canopy was kept from opening';
    default:
      return never(act);
  }
}
