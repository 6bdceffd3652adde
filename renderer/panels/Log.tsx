// What happened, newest first: time, who, what. Only ever added to.
import { statedHeight } from '../../core/words/lengths.ts';
import { useSignal } from '@preact/signals';
import { useEffect } from 'preact/hooks';
import { never } from '../../core/base/problem.ts';
import type { JSX } from 'preact';
import type { LogEvent } from '../../core/log/events.ts';
import { checkWords } from '../../core/log/lists.ts';
import { useStore } from '../context.ts';
import { age, clock, offsetName } from '../../core/words/times.ts';
import type { HostClock } from '../../main/contract.ts';
import { speed, directionWords } from '../../core/words/winds.ts';
import type { Units } from '../../core/words/numbers.ts';
import { Word } from '../parts/buttons.tsx';

function words(event: LogEvent, units: Units): string {
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

const byOf = (event: LogEvent): string => ('by' in event && typeof event.by === 'string' ? event.by : '');

/** What this computer knows of its own clock, from which every time in the log comes. */
function ComputersClock(): JSX.Element | null {
  const store = useStore();
  const known = useSignal<HostClock | null>(null);
  const hour = Math.floor(store.now_ms.value / 3_600_000);
  useEffect(() => {
    void store.desk.call('host/clock').then(
      (answer) => (known.value = answer),
      () => (known.value = null),
    );
  }, [store, known, hour]);
  if (known.value === null) return null;
  const { offset_min, setAt } = known.value;
  const now_ms = store.now_ms.value - store.ownClock_ms.value;
  const set =
    setAt === null
      ? 'nothing here says when it was last set'
      : `last set by the network: ${age((now_ms - Date.parse(setAt)) / 1000)}`;
  return (
    <p class="small quiet" id="computers-clock">
      This computer’s clock: {clock(now_ms / 1000)}, local time {offsetName(60 * offset_min)}, {set}.
    </p>
  );
}

/** A long log is drawn a page at a time. */
const PAGE = 200;

export function LogPanel(): JSX.Element {
  const store = useStore();
  const units = store.units.value;
  const log = store.log.value;
  const shown = useSignal(PAGE);
  if (log.length === 0) {
    return (
      <>
        <ComputersClock />
        <p class="quiet">
          Nothing is logged yet. Type “note” and a sentence on the entry line below: it is written at once and stays.
          What was entered in error is taken out by its number: “annul 12 wrong clock”.
        </p>
      </>
    );
  }
  const newest = log.slice(-shown.value).reverse();
  return (
    <>
      <ComputersClock />
      <ol class="problems" aria-label="Log, newest first">
        {newest.map((event) => (
          <li key={event.seq}>
            <div class="small quiet">
              {event.seq} · {clock(Date.parse(event.at) / 1000, units)}
              {byOf(event) === '' ? '' : ` · ${byOf(event)}`}
            </div>
            {words(event, units)}
          </li>
        ))}
      </ol>
      {newest.length === log.length ? null : (
        <Word onClick={() => (shown.value += PAGE)}>
          {log.length - newest.length} older: show {Math.min(PAGE, log.length - newest.length)} of them
        </Word>
      )}
    </>
  );
}
