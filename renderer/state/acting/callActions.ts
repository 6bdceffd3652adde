// A call that was said is an event of the log: one deliberate key, not undone.
import type { ReadyCall } from '../../../core/live/calls.ts';
import { append } from './actions.ts';
import { focusWhenDrawn } from './focus.ts';
import type { Store } from '../derived/store.ts';

/** Where the next call that is to be said has its button. */
const NEXT_CALL = '#calls-ready button';

export async function markSaid(store: Store, { words, to, key, values }: ReadyCall): Promise<void> {
  const name = store.view.operator.peek();
  const by = name === '' ? {} : { by: name };
  const done = await append(store, { kind: 'call', text: words, to, ...by, key, values });
  if (done) focusWhenDrawn(NEXT_CALL);
}
