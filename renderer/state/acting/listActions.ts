// The lead's lists by one key an item: read back, skipped with its reason, taken back. Each is an event of the log; the
// focus goes on to the next open item by itself, so that nobody has to look.
import type { Check, LogEvent } from '../../../core/log/events.ts';
import { isOpen, listsAt, type ItemNow, type ListNow } from '../../../core/log/lists.ts';
import { LISTS } from '../../../core/plan/library.ts';
import type { LeadList } from '../../../core/plan/schema.ts';
import type { Store } from '../derived/store.ts';
import { at, put, type Json } from '../stored/json.ts';
import { until } from '../stored/until.ts';
import { append, editOnce, say } from './actions.ts';
import { focusWhenDrawn } from './focus.ts';

/** Who reads back: as typed, else who did last in this log, else who sits here. */
export function readerOf(store: Store): string {
  const typed = store.lists.by.value;
  if (typed !== null) return typed;
  const last = store.log.value.findLast((event) => event.kind === 'check' && event.list !== undefined);
  return (last?.kind === 'check' ? last.by : undefined) ?? store.view.operator.value;
}

const itemSelector = (index: number): string => `[data-list-item="${index}"]`;
/** Where the focus goes when nothing of a list is open. */
const LIST_DONE = '#list-done';
/** The next open item, the foot of a list without one, or the first set to begin with. */
export const LIST_NEXT = `.lists [aria-current=step], .lists ${LIST_DONE}, .lists .act`;

/** The item that is read next: the first open one behind a place, else the first open one; −1: none is open. */
export function nextOpen(items: readonly ItemNow[], after: number): number {
  const behind = items.findIndex(({ state }, i) => i > after && isOpen(state));
  return behind >= 0 ? behind : items.findIndex(({ state }) => isOpen(state));
}

export const focusItem = (index: number): void => focusWhenDrawn(index < 0 ? LIST_DONE : itemSelector(index));

type Said = NonNullable<Check['said']>;

/**
 * Logs what became of an item and goes on to the next open one, or stays where it was taken back. Not logged: the
 * notice says so, and the focus stays.
 */
async function tick(store: Store, list: ListNow, index: number, said: Said, reason?: string): Promise<void> {
  const item = list.items[index];
  if (item === undefined || store.past.peek() || store.lists.busy.peek()) return;
  const by = readerOf(store).trim();
  store.lists.chosen.value = list.name;
  store.lists.busy.value = true;
  const before = store.log.peek().at(-1)?.seq ?? -1;
  const done = await append(store, {
    kind: 'check',
    item: item.name,
    list: list.name,
    said,
    ...(reason === undefined ? {} : { reason }),
    ...(by === '' ? {} : { by }),
  });
  if (done) {
    await heard(store, list.name, item.name, before);
    // What is entered is of now, also where a moment just before now was looked at.
    store.moment_ms.value = null;
    store.lists.skipping.value = null;
    const items = itemsNow(store, list.name);
    focusItem(said === 'withdrawn' ? index : nextOpen(items, index));
  }
  store.lists.busy.value = false;
}

/**
 * Until the entry is in the window's log, some milliseconds after it is on the disk: the focus goes on from what is
 * shown, and what is shown is what was logged. Another mission that was opened meanwhile ends the wait.
 */
function heard(store: Store, list: string, item: string, before: number): Promise<void> {
  const path = store.file.peek()?.path;
  const isOurs = (event: LogEvent): boolean =>
    event.seq > before && event.kind === 'check' && event.list === list && event.item === item;
  return until(() => store.log.value.some(isOurs) || store.file.value?.path !== path);
}

const itemsNow = (store: Store, name: string): readonly ItemNow[] => {
  const state = store.situation.peek()?.state;
  const mission = store.mission.peek();
  const lists = state === undefined || mission === null ? [] : listsAt(mission, state);
  return lists.find((one) => one.name === name)?.items ?? [];
};

/** Reads an item back, once: nothing is logged twice by a slip. */
export async function readBack(store: Store, list: ListNow, index: number): Promise<void> {
  const item = list.items[index];
  if (item?.state.kind === 'read back') say(store, `“${item.name}” is read back already; Backspace takes it back.`);
  else await tick(store, list, index, 'read back');
}

/** Skips an item with its reason; without one the word would hold all the same. */
export async function skip(store: Store, list: ListNow, index: number, reason: string): Promise<void> {
  if (reason === '') say(store, 'Type why it is skipped; Escape leaves it as it is.', true);
  else await tick(store, list, index, 'skipped', reason);
}

/** Takes back what was said of an item; of an open one, what was said last of any item of the list. */
export async function takeBack(store: Store, list: ListNow, index: number): Promise<void> {
  const seqOf = ({ state }: ItemNow): number =>
    state.kind === 'read back' || state.kind === 'skipped' ? state.seq : -Infinity;
  const here = list.items[index];
  const newest = list.items.reduce((best, item, i) => (seqOf(item) > seqOf(list.items[best] ?? item) ? i : best), 0);
  const which = here !== undefined && seqOf(here) > -Infinity ? index : newest;
  const item = list.items[which];
  if (item === undefined || seqOf(item) === -Infinity) return say(store, 'Nothing of this list has been read back.');
  await tick(store, list, which, 'withdrawn');
}

/** The list of a set, named apart from those that the plan has. */
function listFrom(values: LeadList, plan: Json): LeadList {
  const lists = at(plan, ['lists']);
  const names = new Set(Array.isArray(lists) ? (lists as readonly Json[]).map((one) => at(one, ['name'])) : []);
  let name = values.name;
  for (let n = 2; names.has(name); n++) name = `${values.name} ${n}`;
  return { ...values, name };
}

/** Copies a list of the library into the plan, one step of undo; it is the one that is read now. */
export function addList(store: Store, name: string): void {
  const set = LISTS.find((one) => one.name === name);
  const plan = store.plan.peek();
  if (set === undefined || plan === null) return;
  const list = listFrom(set.values, plan);
  const there = at(plan, ['lists']);
  const end = Array.isArray(there) ? there.length : 0;
  const done = editOnce(store, `list “${list.name}” added`, (now) =>
    put(now, ['lists', end], structuredClone(list) as unknown as Json),
  );
  if (!done.ok) return;
  store.lists.chosen.value = list.name;
  focusItem(0);
}
