// What the browser keeps between two starts is checked before it is believed: any text in the store is read without a
// throw.
import { signal } from '@preact/signals';
import { fc } from '../property.ts';
import { expect, test } from 'vitest';
import { draftOf, keepDraft } from '../../renderer/state/stored/drafts.ts';
import { createView, turnUnit, type Kept } from '../../renderer/state/stored/view.ts';

function memory(start: Record<string, string> = {}): Kept {
  const held = new Map(Object.entries(start));
  return { getItem: (key) => held.get(key) ?? null, setItem: (key, value) => void held.set(key, value) };
}

const broken: Kept = {
  getItem() {
    throw new Error('denied');
  },
  setItem() {
    throw new Error('denied');
  },
};

test('a draft comes back for its own mission only, and not after it was dropped', () => {
  const kept = memory();
  const draft = { path: '/a', base: '{}', text: '{"x":1}' };
  keepDraft(kept, draft);
  expect(draftOf(kept, '/a')).toEqual(draft);
  expect(draftOf(kept, '/b')).toBeNull();
  keepDraft(kept, null);
  expect(draftOf(kept, '/a')).toBeNull();
});

test('a store that is denied, and one that holds anything, are done without', () => {
  keepDraft(broken, { path: '/a', base: '', text: '' });
  expect(draftOf(broken, '/a')).toBeNull();
  expect(createView(broken, signal(true)).look.value).toBe('night');
  expect(createView(null, signal(false)).look.value).toBe('day');
  fc.assert(
    fc.property(fc.oneof(fc.string(), fc.json()), (text) => {
      const kept = memory({ 'plumbline/draft/1': text, 'plumbline/view/1': text });
      draftOf(kept, '/a');
      expect(['m', 'ft']).toContain(createView(kept, signal(false)).units.value.length);
    }),
  );
});

test('the view is kept: a second start stands where the first was left', () => {
  const kept = memory();
  const first = createView(kept, signal(false));
  first.units.value = turnUnit(turnUnit(first.units.value, 'length'), 'speed');
  first.lookChoice.value = 'night';
  first.introduced.value = true;
  const second = createView(kept, signal(false));
  expect(second.units.value).toEqual({ length: 'ft', speed: 'm/s', height: 'MSL', time: 'UTC' });
  expect([second.look.value, second.introduced.value]).toEqual(['night', true]);
});
