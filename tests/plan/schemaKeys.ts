// The keys of a zod schema as a page can list them: each path once, with what it may hold.
import { z } from 'zod';
import { lonLat, time } from '../../core/plan/schema.ts';

export interface Key {
  /** What the key may hold, in the page's words: `> 0`, `0 to 360`, `text`, `"left", "right"`. */
  readonly range: string;
  readonly needed: boolean;
}

interface Checks {
  readonly minimum?: number;
  readonly exclusiveMinimum?: number;
  readonly maximum?: number;
  readonly type?: string;
}

function bare(schema: unknown): unknown {
  let at = schema;
  while (at instanceof z.ZodOptional || at instanceof z.ZodReadonly) at = at.unwrap();
  return at;
}

function numberRange(schema: z.ZodNumber): string {
  const { minimum, exclusiveMinimum, maximum, type } = z.toJSONSchema(schema) as Checks;
  const whole = type === 'integer' ? 'whole, ' : '';
  const top = maximum === undefined || maximum === Number.MAX_SAFE_INTEGER ? undefined : maximum;
  const low = minimum === Number.MIN_SAFE_INTEGER ? undefined : minimum;
  if (low !== undefined) return whole + (top === undefined ? `≥ ${low}` : `${low} to ${top}`);
  if (exclusiveMinimum !== undefined)
    return whole + (top === undefined ? `> ${exclusiveMinimum}` : `> ${exclusiveMinimum}, ≤ ${top}`);
  return `${whole}any number`;
}

/** What a value may be, where it is not a group of keys. */
function rangeOf(schema: unknown): string {
  const inner = bare(schema);
  if (inner === bare(lonLat)) return 'position';
  if (inner === time) return 'time';
  if (inner instanceof z.ZodNumber) return numberRange(inner);
  if (inner instanceof z.ZodBoolean) return 'true or false';
  if (inner instanceof z.ZodString) return 'text';
  if (inner instanceof z.ZodEnum) return inner.options.map((one) => `"${one}"`).join(', ');
  if (inner instanceof z.ZodLiteral) return [...inner.values].map((one) => JSON.stringify(one)).join(', ');
  if (inner instanceof z.ZodTuple) return `[${inner.def.items.map(rangeOf).join(', ')}]`;
  if (inner instanceof z.ZodArray) return `list of ${rangeOf(inner.element)}`;
  if (inner instanceof z.ZodRecord) return `names with ${rangeOf(inner.valueType)}`;
  if (inner instanceof z.ZodUnion) return [...new Set(inner.options.map(rangeOf))].join(' or ');
  if (inner instanceof z.ZodObject) return 'group';
  return 'anything';
}

/**
 * Every key below a schema by its path (`teams[].speed_mps`); a group that occurs again is listed where it is first.
 */
export function keysOf(
  schema: unknown,
  path = '',
  found = new Map<string, Key>(),
  seen = new Set<unknown>(),
): Map<string, Key> {
  const inner = bare(schema);
  if (inner instanceof z.ZodArray) return keysOf(inner.element, `${path}[]`, found, seen);
  if (inner instanceof z.ZodRecord) return keysOf(inner.valueType, `${path}.NAME`, found, seen);
  if (inner instanceof z.ZodUnion) {
    for (const option of inner.options) keysOf(option, path, found, seen);
    return found;
  }
  if (!(inner instanceof z.ZodObject) || seen.has(inner)) return found;
  seen.add(inner);
  for (const [key, value] of Object.entries(inner.shape)) {
    const full = path === '' ? key : `${path}.${key}`;
    const before = found.get(full);
    const range = rangeOf(value);
    const needed = !(value instanceof z.ZodOptional);
    // A key of several members of a union (policy, kind): what either allows.
    if (before === undefined) found.set(full, { range, needed });
    else if (before.range !== range)
      found.set(full, { range: `${before.range}, ${range}`, needed: before.needed && needed });
    keysOf(value, full, found, seen);
  }
  return found;
}
