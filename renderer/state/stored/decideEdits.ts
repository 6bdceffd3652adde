// What a person can change in the plan about limits, weights and uncertainties: from the plan as read to the plan with
// the change.
import type { LimitName } from '../../../core/advice/limits.ts';
import type { Knots } from '../../../core/base/knots.ts';
import { tidy } from './edits.ts';
import { at, drop, isObject, put, type Json } from './json.ts';

/** The number changes; whose number it is, and what else the mission says of it, stays. */
export function setLimit(plan: Json, name: LimitName, value: number): Json {
  const held = at(plan, ['limits', name]);
  return put(plan, ['limits', name], isObject(held) ? { ...held, value: tidy(value) } : tidy(value));
}

/** Back to the program's default. */
export const defaultLimit = (plan: Json, name: LimitName): Json => drop(plan, ['limits', name]);

/**
 * One knot of a piecewise linear function of height; the others are written with it, so that the plan says the whole
 * function.
 */
export function setWindKnot(
  plan: Json,
  name: 'std_mps' | 'correlationLength_m',
  knots: Knots,
  index: number,
  value: number,
): Json {
  const rows = knots.map(([height_m, old], i): Json => [height_m, i === index ? tidy(value) : old]);
  return put(plan, ['uncertainty', 'wind', name], rows);
}
