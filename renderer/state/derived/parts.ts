// How a step of the graph depends on exactly what it reads. A computed signal of Preact's tells those that read it when
// it holds another object; `steady` holds on to the old object while the new one says the same, and `partsOf` gives
// each part of the plan a signal of its own.
import { computed, type ReadonlySignal } from '@preact/signals';
import { same } from '../../../core/base/same.ts';
import type { Mission } from '../../../core/plan/schema.ts';

/** What is computed; the same object as before while it says the same. */
export function steady<T>(compute: () => T): ReadonlySignal<T> {
  let last: { readonly value: T } | null = null;
  return computed(() => {
    const value = compute();
    if (last === null || !same(last.value, value)) last = { value };
    return last.value;
  });
}

/**
 * The mission for steps of the graph: a step that reads `site` of it depends on the site alone. It says what the plan
 * says now, so it is for reading inside the step and never part of its answer.
 */
export function partsOf(mission: ReadonlySignal<Mission | null>): ReadonlySignal<Mission | null> {
  const parts = new Map<PropertyKey, ReadonlySignal<unknown>>();
  const partAt = (key: PropertyKey): ReadonlySignal<unknown> => {
    const known = parts.get(key);
    if (known !== undefined) return known;
    const part = steady((): unknown => (mission.value === null ? undefined : Reflect.get(mission.value, key)));
    parts.set(key, part);
    return part;
  };
  const open = computed(() => mission.value !== null);
  let read: Mission | null = null;
  return computed(() => {
    if (!open.value) return null;
    const first = mission.peek();
    // The first mission gives the type and is not read again.
    if (read === null && first !== null)
      read = new Proxy(first, {
        get: (_, key) => partAt(key).value,
        has: (_, key) => partAt(key).value !== undefined,
        ownKeys: () => {
          throw new Error('the parts of a plan are read by their names');
        },
      });
    return read;
  });
}
