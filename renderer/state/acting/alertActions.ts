// The alerts as they begin and end, and silencing one: its reason is an event of the log, not undone.
import { effect } from '@preact/signals';
import { same } from '../../../core/base/same.ts';
import { isoOf } from '../../../core/base/plainNumbers.ts';
import { Alerts, type Alert } from '../../../core/live/alerts.ts';
import type { Store } from '../derived/store.ts';
import { append, say } from './actions.ts';
import { focusWhenDrawn } from './focus.ts';

/** Where the gravest alert has its reasons; without an alert, what says so. */
export const FIRST_ALERT = '#alerts-standing button, #alerts-none';

/**
 * Watches the alerts of now. While the past is looked at nothing begins or ends here. Returns its own end.
 */
export function watchAlerts(store: Store): () => void {
  let path: string | null = null;
  let alerts = new Alerts();
  return effect(() => {
    const view = store.alertView.value;
    const open = store.file.value?.path ?? null;
    if (open !== path) alerts = new Alerts();
    path = open;
    if (store.past.value) return;
    const standing = view === null ? [] : alerts.at(view).standing;
    if (!same(standing, store.alerting.standing.peek())) store.alerting.standing.value = standing;
  });
}

/** Silences an alert until it has ended; without a reason nothing is silenced. */
export async function silenceAlert(store: Store, alert: Alert, reason: string): Promise<void> {
  if (store.past.peek() || store.alerting.busy.peek()) return;
  if (reason === '') return say(store, 'Type why it is silenced, or take one of the reasons.', true);
  const { kind, of, since_s, text } = alert;
  const name = store.view.operator.peek();
  store.alerting.busy.value = true;
  const done = await append(store, {
    kind: 'silence',
    alert: kind,
    ...(of === '' ? {} : { about: of }),
    since: isoOf(since_s),
    text,
    reason,
    ...(name === '' ? {} : { by: name }),
  });
  store.alerting.busy.value = false;
  if (done) focusWhenDrawn(FIRST_ALERT);
}

/** Opens the panel at the gravest alert. */
export function openAlerts(store: Store): void {
  store.view.panel.value = 'Alerts';
  focusWhenDrawn(FIRST_ALERT);
}
