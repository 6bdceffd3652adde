// What happened, newest first: time, who, what. Only ever added to.
import { useSignal } from '@preact/signals';
import { never } from '../../core/base/problem.ts';
import type { JSX } from 'preact';
import type { LogEvent } from '../../core/log/events.ts';
import { useStore } from '../context.ts';
import { clock, directionWords, speed, type Units } from '../format.ts';

function words(event: LogEvent, units: Units): string {
  switch (event.kind) {
    case 'wind-report':
      return `wind from ${directionWords(event.from_deg)}, ${speed(event.speed_mps, units)}${heightOf(event)}`;
    case 'correction':
      return `corrects ${event.corrects}: wind from ${directionWords(event.from_deg)}, ${speed(event.speed_mps, units)}${heightOf(event)}`;
    case 'withdrawal':
      return `withdraws ${event.of}${event.reason === undefined ? '' : `: ${event.reason}`}`;
    case 'confirmation':
      return `confirms ${event.of}`;
    case 'annulment':
      return `annuls event ${event.of}${event.reason === undefined ? '' : `: ${event.reason}`}`;
    case 'fix':
      return `fix of ${event.body}${event.height_m === undefined ? '' : ` at ${Math.round(event.height_m)}\u2009m MSL`}`;
    case 'mark':
      return `mark: ${event.mark}`;
    case 'advice':
    case 'decision':
    case 'note':
      return event.kind === 'note' ? event.text : `${event.kind}: ${event.text}`;
    case 'call':
      return `call${event.to === undefined ? '' : ` to ${event.to}`}: ${event.text}`;
    case 'check':
      return `read back: ${event.item}`;
    default:
      return never(event);
  }
}

function heightOf(event: { readonly height_m?: number | undefined; readonly agl_m?: number | undefined }): string {
  if (event.height_m !== undefined) return `, at ${Math.round(event.height_m)}\u2009m MSL`;
  return event.agl_m === undefined ? '' : `, at ${Math.round(event.agl_m)}\u2009m AGL`;
}

const byOf = (event: LogEvent): string => ('by' in event && typeof event.by === 'string' ? event.by : '');

/** A long log is drawn a page at a time. */
const PAGE = 200;

export function LogPanel(): JSX.Element {
  const store = useStore();
  const units = store.view.units.value;
  const zone = store.mission.value?.site.timeZone;
  const log = store.log.value;
  const shown = useSignal(PAGE);
  if (log.length === 0) {
    return (
      <p class="quiet">
        Nothing is logged yet. Type “note” and a sentence on the entry line below: it is written at once and stays. What
        was entered in error is taken out by its number: “annul 12 wrong clock”.
      </p>
    );
  }
  const newest = log.slice(-shown.value).reverse();
  return (
    <>
      <ol class="problems" aria-label="Log, newest first">
        {newest.map((event) => (
          <li key={event.seq}>
            <div class="small quiet">
              {event.seq} · {clock(Date.parse(event.at), units, zone)}
              {byOf(event) === '' ? '' : ` · ${byOf(event)}`}
            </div>
            {words(event, units)}
          </li>
        ))}
      </ol>
      {newest.length === log.length ? null : (
        <button type="button" class="word" onClick={() => (shown.value += PAGE)}>
          {log.length - newest.length} older: show {Math.min(PAGE, log.length - newest.length)} of them
        </button>
      )}
    </>
  );
}
