// Whether contact with the jumper is lost: by a mark of the log that somebody set with one key, until a newer fix, a
// touchdown, or a mark that it is there again.
import type { LogEvent } from '../../../core/log/events.ts';

export const CONTACT_LOST = 'contact lost';
export const CONTACT_AGAIN = 'contact';

/** When it was lost, s since 1970; null: it is not. */
export function contactLost(log: readonly LogEvent[], at_s: number): number | null {
  let lost_s: number | null = null;
  for (const event of log) {
    const time_s = Date.parse(event.at) / 1000;
    if (!(time_s <= at_s)) continue;
    if (event.kind === 'mark' && event.mark === CONTACT_LOST) lost_s = time_s;
    else if (event.kind === 'mark' && (event.mark === CONTACT_AGAIN || event.mark === 'touchdown')) lost_s = null;
    else if (event.kind === 'fix' && event.body === 'jumper') lost_s = null;
  }
  return lost_s;
}
