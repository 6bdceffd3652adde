// What an alert is called, and what the log says of one that was silenced.
import type { LogEvent } from './events.ts';

/** "crew inside keep-clear, Team 2": its kind, and which of several it is about; empty where there is one only. */
export const alertName = ({ kind, of }: { readonly kind: string; readonly of: string }): string =>
  of === '' ? kind : `${kind}, ${of}`;

/** A silence as a line of the log says it. */
export const silenceWords = ({
  alert,
  about = '',
  reason,
}: Pick<Extract<LogEvent, { kind: 'silence' }>, 'alert' | 'about' | 'reason'>): string =>
  `silenced: ${alertName({ kind: alert, of: about })} (${reason})`;
