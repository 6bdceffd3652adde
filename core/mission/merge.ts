// Changes to a plan, as a JSON merge patch (RFC 7396): groups are merged key by key, null removes a key, all else
// replaces.

const isGroup = (value: unknown): value is Readonly<Record<string, unknown>> =>
  typeof value === 'object' && value !== null && !Array.isArray(value);

/** The algorithm of RFC 7396 §2; neither argument is changed. */
export function mergePatch(target: unknown, patch: unknown): unknown {
  if (!isGroup(patch)) return patch;
  const result = new Map<string, unknown>(isGroup(target) ? Object.entries(target) : []);
  for (const [key, value] of Object.entries(patch)) {
    if (value === null) result.delete(key);
    else result.set(key, mergePatch(result.get(key), value));
  }
  return Object.fromEntries(result);
}
