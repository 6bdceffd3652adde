// Whether two values are equal, part by part, so that a caller can keep the old object and nothing is computed again.

/**
 * Numbers by `Object.is`, texts and words by themselves; arrays, typed arrays, maps, sets and plain objects by their
 * parts. Functions and objects of a class only where they are the very same.
 */
export function same(a: unknown, b: unknown): boolean {
  if (Object.is(a, b)) return true;
  if (typeof a !== 'object' || typeof b !== 'object' || a === null || b === null) return false;
  const kind: unknown = Object.getPrototypeOf(a);
  if (kind !== Object.getPrototypeOf(b)) return false;
  if (Array.isArray(a) && Array.isArray(b)) return a.length === b.length && a.every((one, i) => same(one, b[i]));
  if (a instanceof Float64Array && b instanceof Float64Array) return sameNumbers(a, b);
  if (a instanceof Float32Array && b instanceof Float32Array) return sameNumbers(a, b);
  if (a instanceof Map && b instanceof Map) return a.size === b.size && same([...a], [...b]);
  if (a instanceof Set && b instanceof Set) return a.size === b.size && same([...a], [...b]);
  if (kind !== Object.prototype) return false;
  const mine = Object.entries(a);
  const other = new Map<string, unknown>(Object.entries(b));
  return mine.length === other.size && mine.every(([key, one]) => other.has(key) && same(one, other.get(key)));
}

type Numbers = Float64Array | Float32Array;
const sameNumbers = (a: Numbers, b: Numbers): boolean => a.length === b.length && a.every((x, i) => Object.is(x, b[i]));
