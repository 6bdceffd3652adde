// The alerts that stand, the gravest first: what changed, since when, what to do, and one key that silences with its
// reason. Under them those that were silenced, by whom and why.
import type { JSX } from 'preact';
import type { Alert } from '../../core/live/alerts.ts';
import { alertName, silenceWords } from '../../core/log/silences.ts';
import { capital } from '../../core/words/numbers.ts';
import { clock } from '../../core/words/times.ts';
import { useStore } from '../context.ts';
import { Act } from '../parts/buttons.tsx';
import { silenceAlert } from '../state/acting/alertActions.ts';
import type { AlertShown } from '../state/derived/alerts.ts';
import type { Store } from '../state/derived/store.ts';
import { AlertSign } from '../strip/AlertBar.tsx';

/** A reason a key; any other is typed. */
const REASONS = ['being dealt with', 'known and accepted', 'a false alert'] as const;

export function AlertsPanel(): JSX.Element {
  const store = useStore();
  const shown = store.alerts.value;
  const standing = shown.filter(({ silence }) => silence === null);
  const silenced = shown.filter(({ silence }) => silence !== null);
  return (
    <section class="panel-part alerts" aria-labelledby="alerts">
      <h2 id="alerts">Alerts</h2>
      {standing.length === 0 ? (
        <p id="alerts-none" class="quiet" tabIndex={-1}>
          {store.past.value ? 'No alert stood then.' : 'No alert stands.'}
        </p>
      ) : (
        <Standing store={store} alerts={standing.map(({ alert }) => alert)} />
      )}
      <Silenced store={store} shown={silenced} />
      <Before store={store} now={silenced} />
    </section>
  );
}

function Standing({ store, alerts }: { readonly store: Store; readonly alerts: readonly Alert[] }): JSX.Element {
  const past = store.past.value;
  return (
    <>
      <p class="small quiet">
        {past ? (
          'The past is shown: what stood then. It cannot be silenced now.'
        ) : (
          <>
            <kbd>1</kbd> <kbd>2</kbd> <kbd>3</kbd> silence one with that reason, until it has ended and begins again.
          </>
        )}
      </p>
      <ol id="alerts-standing" aria-label="Alerts, the gravest first">
        {alerts.map((alert) => (
          <StandingRow key={`${alert.kind} ${alert.of}`} store={store} alert={alert} />
        ))}
      </ol>
    </>
  );
}

function StandingRow({ store, alert }: { readonly store: Store; readonly alert: Alert }): JSX.Element {
  const { text, todo, since_s } = alert;
  const name = alertName(alert);
  return (
    <li class={alert.grave} data-alert={alert.kind} onKeyDown={store.past.value ? undefined : keysOf(store, alert)}>
      <h3>
        <AlertSign grave={alert.grave} />
        {capital(name)}
      </h3>
      <p>
        Since {clock(since_s, store.units.value)}: {text}.
      </p>
      <p class="alert-todo">{todo}.</p>
      {store.past.value ? null : (
        <div class="alert-reasons" role="group" aria-label={`Why ${name} is silenced`}>
          {REASONS.map((reason, i) => (
            <Act
              key={reason}
              small
              first={i === 0}
              aria-label={`${i + 1} ${reason}: silence ${name}`}
              aria-keyshortcuts={String(i + 1)}
              // A key that is held down is pressed once: the next alert was not read yet.
              onKeyDown={(event) => (event.repeat ? event.preventDefault() : undefined)}
              onClick={() => void silenceAlert(store, alert, reason)}
            >
              <kbd>{i + 1}</kbd> {reason}
            </Act>
          ))}
          <input
            class="alert-reason"
            aria-label={`Another reason to silence ${name}`}
            placeholder="another reason, Enter"
            maxLength={200}
            autocomplete="off"
            onKeyDown={(event) => {
              if (event.key === 'Escape') return event.currentTarget.blur();
              event.stopPropagation();
              if (event.key === 'Enter' && !event.repeat)
                void silenceAlert(store, alert, event.currentTarget.value.trim());
            }}
          />
        </div>
      )}
    </li>
  );
}

const keysOf =
  (store: Store, alert: Alert) =>
  (event: KeyboardEvent): void => {
    if (event.ctrlKey || event.metaKey || event.altKey || event.target instanceof HTMLInputElement) return;
    const reason = REASONS[Number(event.key) - 1];
    if (reason === undefined) return;
    event.preventDefault();
    event.stopPropagation();
    if (!event.repeat) void silenceAlert(store, alert, reason);
  };

interface SilencedProps {
  readonly store: Store;
  readonly shown: readonly AlertShown[];
}

/** They stand still: who silenced them, when and why. */
function Silenced({ store, shown }: SilencedProps): JSX.Element | null {
  const units = store.units.value;
  if (shown.length === 0) return null;
  return (
    <>
      <h3>Silenced, and not ended</h3>
      <ul id="alerts-silenced" aria-label="Silenced alerts that have not ended">
        {shown.map(({ alert, silence }) => (
          <li key={`${alert.kind} ${alert.of}`}>
            {capital(alertName(alert))} since {clock(alert.since_s, units)}: {alert.text}.
            <div class="small quiet">
              {silence === null
                ? ''
                : capital(byWords(silence.reason, Date.parse(silence.at) / 1000, silence.by, store))}
            </div>
          </li>
        ))}
      </ul>
    </>
  );
}

const byWords = (reason: string, at_s: number, by: string | undefined, store: Store): string =>
  [`silenced ${clock(at_s, store.units.value)}`, ...(by === undefined ? [] : [by]), reason].join(' · ');

/** So many are listed; all of them stand in the log. */
const LISTED = 20;

/** What was silenced and has ended since. */
function Before({ store, now }: { readonly store: Store; readonly now: readonly AlertShown[] }): JSX.Element | null {
  const standing = new Set(now.map(({ silence }) => silence?.seq));
  const ended = (store.situation.value?.state.silences ?? []).filter(({ seq }) => !standing.has(seq));
  if (ended.length === 0) return null;
  return (
    <>
      <h3>Silenced before</h3>
      <ol class="problems" aria-label="Silenced before, newest first">
        {ended
          .slice(-LISTED)
          .toReversed()
          .map((one) => (
            <li key={one.seq}>
              <div class="small quiet">
                {[clock(Date.parse(one.at) / 1000, store.units.value), ...(one.by === undefined ? [] : [one.by])].join(
                  ' · ',
                )}
              </div>
              {capital(silenceWords(one))}
            </li>
          ))}
      </ol>
    </>
  );
}
