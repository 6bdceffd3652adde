// A wind file that was kept out is taken, or its station chosen: a step of the plan, and an entry of the log.
import type { DoorFinding } from '../../../core/mission/door.ts';
import { append, edit, endEdit, say } from './actions.ts';
import { nameStation, takeFile } from '../stored/edits.ts';
import type { Store } from '../derived/store.ts';

/** `validTime`: typed for a file that says no date; empty: the exit's. */
export async function takeWindFile(
  store: Store,
  { file, because }: DoorFinding,
  reason: string,
  validTime: string | null,
): Promise<void> {
  const why = reason.trim();
  if (why === '') return say(store, `Say why ${file} is used.`, true);
  const typed = validTime?.trim() ?? '';
  const done = edit(store, `${file} taken`, (plan) => takeFile(plan, file, why, typed === '' ? null : typed));
  endEdit(store);
  if (!done.ok) return say(store, `${file} was not taken: ${done.why}`, true);
  const text = `${file} is used (${because.join('; ')}): ${why}`;
  if (await append(store, { kind: 'decision', text }))
    say(store, `${file} counts from now on; Ctrl+Z keeps it out again.`);
}

export function chooseStation(store: Store, name: string): void {
  const done = edit(store, `station ${name} chosen`, (plan) => nameStation(plan, name));
  endEdit(store);
  say(store, done.ok ? `Of files with several stations ${name} counts.` : done.why, !done.ok);
}
