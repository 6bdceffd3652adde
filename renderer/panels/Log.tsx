// What happened, newest first: time, who, what. Only ever added to.
import { useSignal } from '@preact/signals';
import { useEffect, useMemo } from 'preact/hooks';
import type { JSX } from 'preact';
import type { LogEvent } from '../../core/log/events.ts';
import { annulledIn } from '../../core/log/fold.ts';
import { eventWords } from '../../core/log/eventWords.ts';
import { useStore } from '../context.ts';
import { age, clock, offsetName } from '../../core/words/times.ts';
import type { HostClock } from '../../main/contract.ts';
import { Act, Word } from '../parts/buttons.tsx';
import { writeDebrief, writeLogTable } from '../state/acting/recoveryActions.ts';

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

function hasTouchdown(log: readonly LogEvent[]): boolean {
  const annulled = annulledIn(log);
  return log.some((event) => event.kind === 'mark' && event.mark === 'touchdown' && !annulled.has(event.seq));
}

/** What is made of the log: files beside the mission. */
export function LogFiles(): JSX.Element {
  const store = useStore();
  const { recovery } = store;
  const writing = recovery.writing.value;
  // Whatever moment is looked at: a debrief is of the whole log.
  const log = store.log.value;
  const down = useMemo(() => hasTouchdown(log), [log]);
  const ready = down && writing === null && recovery.debrief.value !== null;
  return (
    <section aria-labelledby="log-files">
      <h2 id="log-files">Afterwards</h2>
      <div class="file-row" role="group" aria-label="Made of the log">
        <Act disabled={!ready || store.about.value?.pdf === false} onClick={() => void writeDebrief(store, true)}>
          Debrief, PDF
        </Act>
        <Act disabled={!ready} onClick={() => void writeDebrief(store, false)}>
          Debrief, HTML
        </Act>
        <Word small disabled={writing !== null} onClick={() => void writeLogTable(store)}>
          Log, CSV
        </Word>
      </div>
      <p class="small quiet" role="status">
        {writing ??
          (down
            ? 'Expected against actual, winds used and found, calls, corrections, crews.'
            : 'A debrief can be made once the touchdown and its place are in the log.')}
      </p>
    </section>
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
      <LogFiles />
      <ol class="problems" aria-label="Log, newest first">
        {newest.map((event) => (
          <li key={event.seq}>
            <div class="small quiet">
              {event.seq} · {clock(Date.parse(event.at) / 1000, units)}
              {byOf(event) === '' ? '' : ` · ${byOf(event)}`}
            </div>
            {eventWords(event, units)}
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
