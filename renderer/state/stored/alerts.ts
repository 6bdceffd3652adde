// The alerts as this sitting saw them: when each began, and that it still stands. What was silenced stands in the log.
import { signal, type Signal } from '@preact/signals';
import type { Alert } from '../../../core/live/alerts.ts';

export interface AlertsView {
  /** The gravest first, silenced ones with them. */
  readonly standing: Signal<readonly Alert[]>;
  /** A silence is on its way into the log: a second press is of the same alert, and is not taken. */
  readonly busy: Signal<boolean>;
}

export const createAlertsView = (): AlertsView => ({ standing: signal<readonly Alert[]>([]), busy: signal(false) });
