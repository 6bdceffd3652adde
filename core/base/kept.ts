interface Keeping<K, V> {
  get(key: K): V | undefined;
  set(key: K, value: V): unknown;
}

/** The value of a key: worked out the first time that it is asked for, and kept as long as what keeps it. */
export function keptIn<K, V>(keeping: Keeping<K, V>, key: K, make: () => V): V {
  const known = keeping.get(key);
  if (known !== undefined) return known;
  const made = make();
  keeping.set(key, made);
  return made;
}
