// Edits on the plan as it was read, JSON in and JSON out: what is not named by an edit, unknown keys included, stays as
// it was. Nothing is changed in place; parts that an edit does not touch are shared between the old plan and the new
// one.

export type Json = null | boolean | number | string | readonly Json[] | JsonObject;
export interface JsonObject {
  readonly [key: string]: Json;
}
export type Path = readonly (string | number)[];

export function isObject(value: unknown): value is JsonObject {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}

/** The value at a path; undefined where the path leads nowhere. */
export function at(value: Json | undefined, path: Path): Json | undefined {
  let here: Json | undefined = value;
  for (const key of path) {
    if (typeof key === 'number') here = Array.isArray(here) ? (here as readonly Json[])[key] : undefined;
    else here = isObject(here) && Object.hasOwn(here, key) ? here[key] : undefined;
  }
  return here;
}

/** The same number, text or word, or lists of the same ones: a place, say. */
function same(a: Json | undefined, b: Json): boolean {
  if (Array.isArray(a) && Array.isArray(b))
    return a.length === b.length && b.every((one: Json, i) => Object.is(one, (a as readonly Json[])[i]));
  return Object.is(a, b);
}

/**
 * The plan with `next` at a path; the same plan where that stood there already. Objects and lists that are missing on
 * the way are made; an index at a list's end appends. An index beyond the end appends too: a list has no holes.
 */
export function put(value: Json | undefined, path: Path, next: Json): Json {
  const [key, ...rest] = path;
  if (key === undefined) return value !== undefined && same(value, next) ? value : next;
  if (typeof key === 'number') {
    const list: readonly Json[] = Array.isArray(value) ? (value as readonly Json[]) : [];
    const index = Math.min(key, list.length);
    const changed = put(list[index], rest, next);
    if (index < list.length && changed === list[index]) return value ?? list;
    return [...list.slice(0, index), changed, ...list.slice(index + 1)];
  }
  const object = isObject(value) ? value : {};
  const held = Object.hasOwn(object, key) ? object[key] : undefined;
  const changed = put(held, rest, next);
  return held !== undefined && changed === held ? object : { ...object, [key]: changed };
}

/** The plan without what stood at a path; the same plan where nothing stood there. */
export function drop(value: Json, path: Path): Json {
  const last = path[path.length - 1];
  const parentPath = path.slice(0, -1);
  const parent = at(value, parentPath);
  if (last === undefined || at(value, path) === undefined) return value;
  if (typeof last === 'number' && Array.isArray(parent)) {
    const list = parent as readonly Json[];
    return put(value, parentPath, [...list.slice(0, last), ...list.slice(last + 1)]);
  }
  if (!isObject(parent)) return value;
  return put(value, parentPath, Object.fromEntries(Object.entries(parent).filter(([key]) => key !== last)));
}

/** The plan with an item put into the list at a path, before `index`. */
export function insert(value: Json, path: Path, index: number, item: Json): Json {
  const held = at(value, path);
  const list: readonly Json[] = Array.isArray(held) ? (held as readonly Json[]) : [];
  return put(value, path, [...list.slice(0, index), item, ...list.slice(index)]);
}
