// The lead's lists at a moment: the plan's items, each with what the log says of it. The newest event of an item
// counts, so one that was read back can be skipped later, and one that was withdrawn is open again.
import type { LeadList, Mission } from '../plan/schema.ts';
import { clock, date } from '../words/times.ts';
import { type Units, PAPER_UNITS } from '../words/numbers.ts';
import { isReadBack, type Check, type LogEvent } from './events.ts';
import { timeOf } from './fate.ts';
import { listKey, type MissionState } from './fold.ts';

interface Entered {
  readonly at_s: number;
  readonly by: string | null;
  readonly seq: number;
}

export type ItemState =
  | { readonly kind: 'open' }
  /** It was read back or skipped, and that was taken back: it is open again. */
  | ({ readonly kind: 'withdrawn'; readonly reason: string | null } & Entered)
  | ({ readonly kind: 'read back' } & Entered)
  /** It was read back or skipped for an attempt of another day: it is open again. */
  | ({ readonly kind: 'too old' } & Entered)
  | ({ readonly kind: 'skipped'; readonly reason: string | null } & Entered);

export interface ItemNow {
  readonly name: string;
  /** Who answers it; null: the list does not say. */
  readonly who: string | null;
  readonly gates: boolean;
  readonly state: ItemState;
}

export interface ListNow {
  readonly name: string;
  readonly note: string | null;
  readonly items: readonly ItemNow[];
}

/** Of a plan: its lists, and the exit that they are read for. */
export type ListedPlan = Pick<Mission, 'lists' | 'exit'>;

type Checked = Pick<MissionState, 'checks' | 'listChecks'>;

/** What was said longer than this before the planned exit was said of another attempt, s. Ours: half a day. */
const GOOD_FOR_S = 43_200;

/** The plan's lists in their order, each item with its state. */
export const listsAt = ({ lists = [], exit }: ListedPlan, checked: Checked): ListNow[] =>
  lists.map(({ name, note, items }) => ({
    name,
    note: note ?? null,
    items: items.map((item) => ({
      name: item.name,
      who: textOrNull(item.who),
      gates: item.gates === true,
      state: stateOf(newestCheck(name, item.name, checked), timeOf(exit.time)),
    })),
  }));

/** Of an event that names the list and one that names none, the later. */
function newestCheck(list: string, item: string, { checks, listChecks }: Checked): Check | null {
  const named = listChecks.get(listKey(list, item)) ?? null;
  const bare = checks.get(item) ?? null;
  if (named === null || bare === null) return named ?? bare;
  return named.seq > bare.seq ? named : bare;
}

function stateOf(event: Check | null, exit_s: number): ItemState {
  if (event === null) return { kind: 'open' };
  const entered = { at_s: timeOf(event.at), by: textOrNull(event.by), seq: event.seq };
  if (event.said !== 'withdrawn' && exit_s - entered.at_s > GOOD_FOR_S) return { kind: 'too old', ...entered };
  if (event.said === undefined || event.said === 'read back') return { kind: 'read back', ...entered };
  return { kind: event.said, reason: textOrNull(event.reason), ...entered };
}

const textOrNull = (text: string | undefined): string | null =>
  text === undefined || text.trim() === '' ? null : text.trim();

/** Whether an item that gates holds the word: a skip without a reason is no answer. */
export const isOpen = (state: ItemState): boolean =>
  state.kind === 'open' ||
  state.kind === 'withdrawn' ||
  state.kind === 'too old' ||
  (state.kind === 'skipped' && state.reason === null);

/** "zone clear"; of an item that was skipped also who and why. */
export function itemSaid({ name, state }: ItemNow): string {
  if (state.kind !== 'skipped') return name;
  const by = state.by === null ? '' : ` by ${state.by}`;
  return state.reason === null
    ? `${name} (skipped${by} without a reason)`
    : `${name} was skipped${by}: ${state.reason}`;
}

/** "read back 07:10:05Z, Lead"; what became of an item, when and by whom. */
export function stateWords(state: ItemState, units: Units = PAPER_UNITS): string {
  if (state.kind === 'open') return 'open';
  const by = state.by === null ? '' : `, ${state.by}`;
  if (state.kind === 'too old') return `open: last said on ${date(state.at_s)}${by}, too long before the exit`;
  const words = state.kind === 'withdrawn' ? 'taken back' : state.kind;
  const why = state.kind === 'read back' ? '' : `: ${state.reason ?? 'no reason given'}`;
  return `${words} ${clock(state.at_s, units)}${by}${state.kind === 'withdrawn' && state.reason === null ? '' : why}`;
}

/** Items that the log speaks of in a list and that the plan's lists do not have: renamed, or taken out since. */
export function strayItems(lists: readonly LeadList[] | undefined, { listChecks }: Checked): string[] {
  const known = new Set((lists ?? []).flatMap(({ name, items }) => items.map((item) => listKey(name, item.name))));
  return [...listChecks].flatMap(([key, { item }]) => (known.has(key) ? [] : [item]));
}

/** A check as a line of the log says it. */
export function checkWords(event: Extract<LogEvent, { kind: 'check' }>): string {
  const words = isReadBack(event) ? 'read back' : event.said === 'skipped' ? 'skipped' : 'taken back';
  return `${words}: ${event.item}${event.reason === undefined ? '' : ` (${event.reason})`}`;
}
