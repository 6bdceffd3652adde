// What an event of the log says, in words.
import { never } from '../base/problem.ts';
import { statedHeight } from '../words/lengths.ts';
import { PAPER_UNITS, type Units } from '../words/numbers.ts';
import { directionWords, speed } from '../words/winds.ts';
import type { LogEvent } from './events.ts';
import { checkWords } from './lists.ts';
import { silenceWords } from './silences.ts';

/** One line, as the log is read. */
export function eventWords(event: LogEvent, units: Units = PAPER_UNITS): string {
  switch (event.kind) {
    case 'wind-report':
      return `wind from ${directionWords(event.from_deg)}, ${speed(event.speed_mps, units)}${heightOf(event, units)}`;
    case 'correction':
      return (
        `corrects ${event.corrects}: wind from ${directionWords(event.from_deg)}, ` +
        `${speed(event.speed_mps, units)}${heightOf(event, units)}`
      );
    case 'withdrawal':
      return `withdraws ${event.of}${event.reason === undefined ? '' : `: ${event.reason}`}`;
    case 'confirmation':
      return `confirms ${event.of}`;
    case 'annulment':
      return `annuls event ${event.of}${event.reason === undefined ? '' : `: ${event.reason}`}`;
    case 'fix':
      return `fix of ${event.body}${event.height_m === undefined ? '' : ` at ${statedHeight(event, units)}`}`;
    case 'mark':
      return `mark: ${event.mark}`;
    case 'advice':
    case 'decision':
    case 'note':
      return event.kind === 'note' ? event.text : `${event.kind}: ${event.text}`;
    case 'call':
      return `call${event.to === undefined ? '' : ` to ${event.to}`}: ${event.text}`;
    case 'check':
      return checkWords(event);
    case 'silence':
      return silenceWords(event);
    default:
      return never(event);
  }
}

function heightOf(
  event: { readonly height_m?: number | undefined; readonly agl_m?: number | undefined },
  units: Units,
): string {
  return event.height_m === undefined && event.agl_m === undefined ? '' : `, at ${statedHeight(event, units)}`;
}
