// What to say now, to be read aloud: corrections of what was said first, each with one key that logs it as said; what
// is not called and why; and what was called, with its time. Advisory only: who speaks decides what is said.
import { useRef } from 'preact/hooks';
import { useSignal } from '@preact/signals';
import type { JSX } from 'preact';
import type { CallsNow, ReadyCall } from '../../core/live/calls.ts';
import { clock, roughDuration } from '../../core/words/times.ts';
import { capital } from '../../core/words/numbers.ts';
import { useStore } from '../context.ts';
import { Act } from '../parts/buttons.tsx';
import { markSaid } from '../state/acting/callActions.ts';
import { callsNow } from '../state/derived/calls.ts';
import type { Store } from '../state/derived/store.ts';

export function CallsPanel(): JSX.Element {
  const store = useStore();
  const now = callsNow(store);
  if (now === null) return <p class="quiet">Open a mission to see what is to be said.</p>;
  return (
    <section class="panel-part calls" aria-labelledby="calls">
      <h2 id="calls">Calls</h2>
      <NewCorrections now={now} past={store.past.value} />
      <p class="small quiet">
        {store.past.value
          ? 'The past is shown: what was to be said then. It cannot be marked said now.'
          : 'Read the first line aloud, then mark it said. You decide what is said, and when.'}
      </p>
      <Ready store={store} now={now} />
      <Withheld now={now} />
      <Called store={store} />
    </section>
  );
}

const idOf = ({ key, to, said_s }: ReadyCall): string => `${to} ${key} ${said_s ?? ''}`;

/** Each correction is spoken once, when it begins. Its words go on changing with its age; nobody hears that again. */
function NewCorrections({ now, past }: { readonly now: CallsNow; readonly past: boolean }): JSX.Element {
  const heard = useRef<{ readonly ids: ReadonlySet<string>; readonly text: string }>({ ids: new Set(), text: '' });
  const corrections = now.ready.filter(({ readBack }) => readBack !== null);
  const fresh = corrections.filter((one) => !heard.current.ids.has(idOf(one)));
  // What was to be corrected in the past is nothing new.
  const text = fresh.length > 0 && !past ? fresh.map(({ words }) => words).join(' ') : heard.current.text;
  heard.current = { ids: new Set(corrections.map(idOf)), text };
  return (
    <p class="said" role="status" aria-label="New corrections">
      {text}
    </p>
  );
}

interface ReadyProps {
  readonly store: Store;
  readonly now: CallsNow;
}

function Ready({ store, now }: ReadyProps): JSX.Element {
  const busy = useSignal(false);
  if (now.ready.length === 0) return <p class="quiet">Nothing is to be said now.</p>;
  const say = async (call: ReadyCall): Promise<void> => {
    if (busy.peek()) return;
    busy.value = true;
    await markSaid(store, call);
    busy.value = false;
  };
  return (
    <ol class="calls-ready" id="calls-ready" aria-label="To be said, the first first">
      {now.ready.map((call, i) => (
        <ReadyRow key={`${call.to} ${call.key}`} store={store} call={call} first={i === 0} say={() => void say(call)} />
      ))}
    </ol>
  );
}

interface RowProps {
  readonly store: Store;
  readonly call: ReadyCall;
  readonly first: boolean;
  readonly say: () => void;
}

function ReadyRow({ store, call, first, say }: RowProps): JSX.Element {
  const { key, to, words, readBack } = call;
  return (
    <li data-call={key} class={readBack === null ? '' : 'correction'}>
      <p class="call-words">{words}</p>
      <Act
        first={first}
        small
        aria-label={`Said to ${to}: ${words}`}
        disabled={store.past.value}
        // A key that is held down is pressed once: the next call was not read yet.
        onKeyDown={(event) => (event.repeat ? event.preventDefault() : undefined)}
        onClick={say}
      >
        Said
      </Act>
      <p class="small quiet">{aboutWords(store, call)}</p>
    </li>
  );
}

/** To whom, who reads back, how old what it stands on is and may be, and when it was said last. */
function aboutWords(store: Store, { to, readBack, age_s, limit_s, said_s }: ReadyCall): string {
  const units = store.units.value;
  return [
    `to ${to}`,
    ...(readBack === null ? [] : [`${readBack} must read back`]),
    ...(age_s === null || limit_s === null ? [] : [`${roughDuration(age_s)} old, at most ${roughDuration(limit_s)}`]),
    ...(said_s === null ? [] : [`said ${clock(said_s, units)}`]),
  ].join(' · ');
}

function Withheld({ now }: { readonly now: CallsNow }): JSX.Element | null {
  // One reason is often that of several calls.
  const reasons = new Map<string, string[]>();
  for (const { key, why } of now.notCalled) reasons.set(why, [...(reasons.get(why) ?? []), key]);
  if (reasons.size === 0) return null;
  return (
    <ul class="small quiet" aria-label="Not called, and why">
      {[...reasons].map(([why, keys]) => (
        <li key={why}>
          {capital(keys.join(', '))}: {why}.
        </li>
      ))}
    </ul>
  );
}

/** So many of the last calls are listed; all of them stand in the log. */
const LISTED = 20;

function Called({ store }: { readonly store: Store }): JSX.Element | null {
  const calls = store.situation.value?.state.calls ?? [];
  if (calls.length === 0) return null;
  const units = store.units.value;
  return (
    <>
      <h3>Called</h3>
      <ol class="problems calls-said" aria-label="Called, newest first">
        {calls
          .slice(-LISTED)
          .toReversed()
          .map(({ seq, at, to, by, text }) => (
            <li key={seq}>
              <div class="small quiet">
                {clock(Date.parse(at) / 1000, units)}
                {to === undefined ? '' : ` · to ${to}`}
                {by === undefined ? '' : ` · ${by}`}
              </div>
              {text}
            </li>
          ))}
      </ol>
    </>
  );
}
