// What a window may send: an event that would break whoever reads it later is refused before it is acknowledged.
import { expect, it } from 'vitest';
import { guards } from '../../main/guards.ts';

const append = (event: object): boolean => guards['log/append'].safeParse(['/mission.json', event]).success;
const nested = (levels: number): unknown => {
  let value: unknown = 1;
  for (let i = 0; i < levels; i++) value = [value];
  return value;
};

it('an event may have keys of its own, and is refused where they have no end', () => {
  const note = { kind: 'note', text: 'hello' };
  expect(append({ ...note, own: nested(3) })).toBe(true);
  expect(append({ ...note, own: nested(3000) })).toBe(false);
  expect(append({ ...note, own: nested(100_000) })).toBe(false);
  expect(append({ ...note, own: 'x'.repeat(70_000) })).toBe(false);
});
