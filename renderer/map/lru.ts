// A cache that forgets what was used longest ago: keeps a session of many hours from growing without bound.

export class Lru<V> {
  readonly #most: number;
  readonly #known = new Map<string, V>();

  constructor(most: number) {
    this.#most = most;
  }

  get(key: string): V | undefined {
    const value = this.#known.get(key);
    if (value === undefined) return undefined;
    // A Map keeps the order of insertion, so putting it back makes it the newest.
    this.#known.delete(key);
    this.#known.set(key, value);
    return value;
  }

  set(key: string, value: V): void {
    this.#known.delete(key);
    this.#known.set(key, value);
    for (const oldest of this.#known.keys()) {
      if (this.#known.size <= this.#most) return;
      this.#known.delete(oldest);
    }
  }

  clear(): void {
    this.#known.clear();
  }
}
