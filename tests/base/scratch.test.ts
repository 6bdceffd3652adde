// Memory that is used again: always zeros, and never two pictures' memory for one.
import { describe, expect, it } from 'vitest';
import { scratch } from '../../core/base/scratch.ts';

describe('scratch memory', () => {
  it('is zeros of the length asked for, whatever was written to it before', () => {
    const memory = scratch();
    for (const length of [5, 3, 0, 40, 7]) {
      const got = memory(length);
      expect(got).toEqual(new Float64Array(length));
      got.fill(NaN);
    }
  });

  it('is the same memory for the same owner, and another one for another', () => {
    const [one, other] = [scratch(), scratch()];
    const first = one(10);
    expect(one(8).buffer).toBe(first.buffer);
    expect(other(8).buffer).not.toBe(first.buffer);
  });
});
