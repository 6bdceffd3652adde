// The lead's lists, to be worked through without looking: the next open item has the focus and stands large, one key
// reads it back, and what comes next is said. In the past: what had been read back by then.
import type { JSX } from 'preact';
import { isOpen, listsAt, stateWords, strayItems, type ItemNow, type ListNow } from '../../core/log/lists.ts';
import { LISTS } from '../../core/plan/library.ts';
import { number } from '../../core/words/numbers.ts';
import { useStore } from '../context.ts';
import { Act, Segments, Word } from '../parts/buttons.tsx';
import { addList, focusItem, nextOpen, readBack, readerOf, skip, takeBack } from '../state/acting/listActions.ts';
import { focusWhenDrawn } from '../state/acting/focus.ts';
import type { Store } from '../state/derived/store.ts';

export function ListsPanel(): JSX.Element | null {
  const store = useStore();
  const mission = store.mission.value;
  const state = store.situation.value?.state;
  if (mission === null || state === undefined) return null;
  const lists = listsAt(mission, state);
  const shown =
    lists.find(({ name }) => name === store.lists.chosen.value) ??
    lists.find(({ items }) => nextOpen(items, -1) >= 0) ??
    lists[0];
  const stray = strayItems(mission.lists, state);
  return (
    <section class="lists" aria-labelledby="lists">
      <h2 id="lists">Lists</h2>
      {shown === undefined ? (
        <p class="quiet">
          The plan has no list. Begin with a set of general practice; it is copied into the plan and edited there.
        </p>
      ) : (
        <>
          {lists.length > 1 ? (
            <Segments
              class="segments wrap"
              label="List"
              choices={lists.map(({ name }) => name)}
              value={shown.name}
              choose={(name) => (store.lists.chosen.value = name)}
            />
          ) : null}
          <OneList key={shown.name} store={store} list={shown} />
        </>
      )}
      {stray.length === 0 ? null : (
        <p class="small">Read back in the log, and in no list of the plan any more: {stray.join(', ')}.</p>
      )}
      <Sets store={store} first={shown === undefined} />
    </section>
  );
}

/** Sets to start from; what they are is said beside them. */
function Sets({ store, first }: { readonly store: Store; readonly first: boolean }): JSX.Element | null {
  if (store.past.value) return null;
  return (
    <section aria-labelledby="list-sets">
      <h3 id="list-sets">{first ? 'Begin with' : 'Add'}</h3>
      <div class="ways">
        {LISTS.map(({ name, source }) => (
          <Act key={name} small title={source} onClick={() => addList(store, name)}>
            {name}
          </Act>
        ))}
      </div>
      <p class="small quiet">Common practice, in general words: the flight’s own rules go before it.</p>
    </section>
  );
}

function OneList({ store, list }: { readonly store: Store; readonly list: ListNow }): JSX.Element {
  const { items } = list;
  const next = nextOpen(items, -1);
  const past = store.past.value;
  return (
    <>
      {list.note === null ? null : <p class="small quiet">{list.note}</p>}
      {past ? (
        <p class="small quiet">
          The past is looked at: what had been read back by then. Back at now (Alt+N) it goes on.
        </p>
      ) : (
        <Reader store={store} />
      )}
      <ol class="list-items" aria-label={list.name} onKeyDown={past ? undefined : keysOf(store, list)}>
        {items.map((_, i) => (
          <Item key={i} store={store} list={list} index={i} isNext={i === next} />
        ))}
      </ol>
      <p
        id="list-done"
        tabIndex={-1}
        class={next < 0 ? 'value-line' : 'small quiet'}
        onKeyDown={past ? undefined : keysOf(store, list)}
      >
        {number(items.filter(({ state }) => !isOpen(state)).length)} of {number(items.length)} answered
        {next < 0 && items.length > 0 ? ': nothing of this list is open' : ''}
      </p>
      <p class="said" role="status" id="list-says">
        {past ? '' : nextWords(items, next)}
      </p>
      {past ? null : (
        <p class="small quiet">
          <kbd>Enter</kbd> or <kbd>Space</kbd> reads back, <kbd>S</kbd> skips with a reason, <kbd>Backspace</kbd> takes
          back, <kbd>↑</kbd> <kbd>↓</kbd> go along the list.{' '}
          <Word
            small
            onClick={() => {
              store.planOpen.value = 'lists';
              store.view.panel.value = 'Plan';
              focusWhenDrawn('#panel');
            }}
          >
            Edit in the plan
          </Word>
        </p>
      )}
    </>
  );
}

/** What is said without looking: what is next, who answers, and how many are left. */
function nextWords(items: readonly ItemNow[], next: number): string {
  const item = items[next];
  if (item === undefined) return items.length === 0 ? '' : 'Nothing of this list is open.';
  const who = item.who === null ? '' : `, ${item.who} answers`;
  const left = items.filter(({ state }) => isOpen(state)).length;
  return `Next: ${item.name}${who}${item.gates ? ', GO waits for it' : ''}. ${number(left)} open.`;
}

function Reader({ store }: { readonly store: Store }): JSX.Element {
  return (
    <label class="list-reader">
      Read back by{' '}
      <input
        id="list-reader"
        value={readerOf(store)}
        maxLength={60}
        autocomplete="off"
        spellcheck={false}
        onInput={(event) => (store.lists.by.value = event.currentTarget.value)}
      />
    </label>
  );
}

interface ItemProps {
  readonly store: Store;
  readonly list: ListNow;
  readonly index: number;
  readonly isNext: boolean;
}

function Item({ store, list, index, isNext }: ItemProps): JSX.Element | null {
  const item = list.items[index];
  if (item === undefined) return null;
  const { name, who, gates, state } = item;
  const done = !isOpen(state);
  const words = (
    <>
      <span class="list-mark" aria-hidden="true">
        {state.kind === 'read back' ? '✓' : state.kind === 'skipped' ? '–' : '○'}
      </span>
      <span class="list-name">{name}</span>
      <span class="small quiet list-more">
        {[who ?? '', gates ? 'GO waits for it' : '', stateWords(state, store.units.value)]
          .filter((part) => part !== '')
          .join(' · ')}
      </span>
    </>
  );
  const skipping = store.lists.skipping.value === name && !store.past.value;
  return (
    <li class={`${done ? 'is-done' : 'is-open'}${isNext ? ' is-next' : ''}`}>
      {store.past.value ? (
        <div class="list-row">{words}</div>
      ) : (
        <button
          type="button"
          class="list-row"
          data-list-item={index}
          tabIndex={isNext ? 0 : -1}
          aria-current={isNext ? 'step' : undefined}
          onClick={() => void readBack(store, list, index)}
        >
          {words}
        </button>
      )}
      {skipping ? <Reason store={store} list={list} index={index} /> : null}
    </li>
  );
}

function Reason({ store, list, index }: Omit<ItemProps, 'isNext'>): JSX.Element {
  const leave = (): void => {
    store.lists.skipping.value = null;
    focusItem(index);
  };
  return (
    <label class="small">
      Why it is skipped (Enter logs it, Escape leaves it open){' '}
      <input
        id="list-reason"
        maxLength={200}
        autocomplete="off"
        onKeyDown={(event) => {
          event.stopPropagation();
          if (event.key === 'Escape') return leave();
          if (event.key === 'Enter' && !event.repeat) void skip(store, list, index, event.currentTarget.value.trim());
        }}
      />
    </label>
  );
}

/** The keys of a list; a key that is held down does it once, or a heavy thumb would read back the whole list. */
function keysOf(store: Store, list: ListNow): (event: KeyboardEvent) => void {
  return (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const row = event.target instanceof HTMLElement ? event.target.closest('[data-list-item]') : null;
    const index = Number(row?.getAttribute('data-list-item') ?? -1);
    const act = actOf(store, list, index, event.key);
    if (act === null) return;
    event.preventDefault();
    event.stopPropagation();
    if (!event.repeat || event.key.startsWith('Arrow')) act();
  };
}

function actOf(store: Store, list: ListNow, index: number, key: string): (() => void) | null {
  const item = list.items[index];
  const last = list.items.length - 1;
  switch (key) {
    case 'Enter':
    case ' ':
      return item === undefined ? null : () => void readBack(store, list, index);
    case 's':
    case 'S':
      if (item === undefined) return null;
      return () => {
        store.lists.skipping.value = item.name;
        focusWhenDrawn('#list-reason');
      };
    case 'Backspace':
      return () => void takeBack(store, list, index);
    case 'ArrowDown':
      return () => focusItem(Math.min(index + 1, last));
    case 'ArrowUp':
      return () => focusItem(index < 0 ? last : Math.max(index - 1, 0));
    default:
      return null;
  }
}
