// Under the advice while an alert stands that nobody has silenced: the gravest in full, the others by their names. What
// begins is spoken once: what cannot wait at once, the rest when the reader pauses.
import { useRef } from 'preact/hooks';
import type { JSX } from 'preact';
import { alertKey, type Alert } from '../../core/live/alerts.ts';
import { alertName } from '../../core/log/silences.ts';
import { capital } from '../../core/words/numbers.ts';
import { clock } from '../../core/words/times.ts';
import { openAlerts } from '../state/acting/alertActions.ts';
import type { Store } from '../state/derived/store.ts';

/** A crossed square and a triangle with a stroke, as of the words: told apart without colour. */
export function AlertSign({ grave }: { readonly grave: Alert['grave'] }): JSX.Element {
  return (
    <svg class="alert-sign" viewBox="-9 -9 18 18" aria-hidden="true">
      <path d={grave === 'stop' ? 'M-8-8H8V8H-8Z' : 'M0-8.5L9 7.5H-9Z'} />
      <path class="cut" d={grave === 'stop' ? 'M-4-4l8 8M-4 4l8-8' : 'M0-4v5M0 4v1'} />
    </svg>
  );
}

export function AlertBar({ store }: { readonly store: Store }): JSX.Element {
  const standing = store.alerts.value.flatMap(({ alert, silence }) => (silence === null ? [alert] : []));
  const [first, ...others] = standing;
  return (
    <>
      <Begun alerts={standing} past={store.past.value} />
      {first === undefined ? null : (
        <div class={`alert-bar ${first.grave}`} role="group" aria-label="Alert">
          <AlertSign grave={first.grave} />
          <p>
            <strong>{capital(alertName(first))}</strong> since {clock(first.since_s, store.units.value)}
            <span class="alert-text">: {first.text}</span>. <span class="alert-todo">{first.todo}.</span>
            {others.length === 0 ? null : <span class="alert-others"> Also: {others.map(alertName).join('; ')}.</span>}
          </p>
          <button type="button" class="act" onClick={() => openAlerts(store)}>
            {store.past.value ? 'Alerts' : 'Silence'} <kbd>Alt+X</kbd>
          </button>
        </div>
      )}
    </>
  );
}

interface BegunProps {
  readonly alerts: readonly Alert[];
  readonly past: boolean;
}

const idOf = (alert: Alert): string => `${alertKey(alert)} ${alert.since_s}`;

/** Its heights and rates go on changing; nobody hears that again. */
function Begun({ alerts, past }: BegunProps): JSX.Element {
  const heard = useRef({ ids: new Set<string>(), stop: '', caution: '' });
  const fresh = past ? [] : alerts.filter((one) => !heard.current.ids.has(idOf(one)));
  const wordsOf = (grave: Alert['grave']): string => {
    const said = fresh.filter((one) => one.grave === grave);
    const words = said.map((one) => `${capital(alertName(one))}: ${one.text}. ${one.todo}.`).join(' ');
    return words === '' ? heard.current[grave] : words;
  };
  heard.current = {
    ids: past ? heard.current.ids : new Set(alerts.map(idOf)),
    stop: wordsOf('stop'),
    caution: wordsOf('caution'),
  };
  return (
    <>
      <p class="said" role="alert" aria-label="New alert that cannot wait">
        {heard.current.stop}
      </p>
      <p class="said" role="status" aria-label="New alert">
        {heard.current.caution}
      </p>
    </>
  );
}
