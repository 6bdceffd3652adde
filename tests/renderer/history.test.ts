// The plan's edits and their undoing, as statements that hold for any plan: unknown keys stay, undo gives
// back the very plan, nothing is changed in place.
import { fc } from '../property.ts';
import { expect, test } from 'vitest';
import { at, drop, insert, put, type Json, type Path } from '../../renderer/state/stored/json.ts';
import { cancelled, closed, edited, opened, redone, undone } from '../../renderer/state/stored/history.ts';

const json = fc.jsonValue({ maxDepth: 3 }) as fc.Arbitrary<Json>;
const key = fc.oneof(fc.string({ maxLength: 4 }), fc.constantFrom('winds', 'exit', '__proto__', 'constructor'));
const path: fc.Arbitrary<Path> = fc.array(key, { minLength: 1, maxLength: 4 });

const frozen = (value: Json): Json => {
  if (typeof value === 'object' && value !== null) Object.values(value).forEach(frozen);
  return Object.freeze(value) as Json;
};

test('what is put can be read, and every other key of an object stays as it was', () => {
  fc.assert(
    fc.property(fc.dictionary(key, json), path, json, (plan, where, value) => {
      const before = frozen(plan);
      const after = put(before, where, value);
      expect(at(after, where)).toEqual(value);
      for (const other of Object.keys(plan))
        if (other !== where[0]) expect(at(after, [other])).toBe(at(before, [other]));
    }),
  );
});

test('what is dropped is gone, and what was never there drops without a trace', () => {
  fc.assert(
    fc.property(fc.dictionary(key, json), path, json, (plan, where, value) => {
      const before = frozen(plan);
      expect(at(drop(put(before, where, value), where), where)).toBeUndefined();
      if (at(before, where) === undefined) expect(drop(before, where)).toBe(before);
    }),
  );
});

test('lists: insert, put and drop by index', () => {
  const plan = frozen({ winds: { forecast: [{ levels: [1, 2, 3] }], other: true } });
  const levels: Path = ['winds', 'forecast', 0, 'levels'];
  expect(at(insert(plan, levels, 1, 9), levels)).toEqual([1, 9, 2, 3]);
  expect(at(put(plan, [...levels, 2], 7), levels)).toEqual([1, 2, 7]);
  expect(at(put(plan, [...levels, 50], 7), levels)).toEqual([1, 2, 3, 7]);
  expect(at(drop(plan, [...levels, 0]), levels)).toEqual([2, 3]);
  expect(at(insert({}, ['winds', 'files'], 0, 'a.txt'), ['winds', 'files'])).toEqual(['a.txt']);
  expect(at(drop(plan, [...levels, 0]), ['winds', 'other'])).toBe(true);
});

test('any row of edits is undone to the very plan that was opened, and redone to the last', () => {
  fc.assert(
    fc.property(fc.array(fc.tuple(fc.integer({ min: 0, max: 3 }), fc.integer()), { maxLength: 40 }), (edits) => {
      const start: Json = { format: 'x', exit: { position: [0, 0] } };
      let history = opened(start);
      for (const [name, value] of edits)
        history = edited(history, put(history.present.plan, ['exit', `k${name}`], value), 'edit');
      const last = history.present.plan;
      while (history.past.length > 0) history = undone(history);
      expect(history.present.plan).toBe(start);
      while (history.future.length > 0) history = redone(history);
      expect(history.present.plan).toBe(last);
      expect(undone(opened(start)).present.plan).toBe(start);
    }),
  );
});

test('the steps of one drag are one step; a new drag is another; an edit forgets what was undone', () => {
  let history = opened(0);
  for (const plan of [1, 2, 3]) history = edited(history, plan, 'exit moved', 'drag');
  history = edited(closed(history), 4, 'exit moved', 'drag');
  expect(history.past.map((step) => step.plan)).toEqual([0, 3]);
  history = undone(history);
  expect(history.present.plan).toBe(3);
  history = edited(history, 5, 'mass');
  expect(history.future).toEqual([]);
});

test('what was typed and given up leaves no trace; a closed step is not taken back so', () => {
  let history = edited(opened(0), 1, 'mass');
  history = edited(edited(history, 2, 'height', 'exit.height'), 3, 'height', 'exit.height');
  expect(cancelled(history)).toMatchObject({ present: { plan: 1 }, past: [{ plan: 0 }], future: [] });
  expect(cancelled(closed(history)).present.plan).toBe(3);
  expect(cancelled(opened(0)).present.plan).toBe(0);
});
