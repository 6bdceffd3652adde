// What is being drawn on the map, or which shape of the plan is being changed there.
import type { LonLat } from '../../../core/base/units.ts';
import type { Path } from './json.ts';

export const drawnThings = ['zone', 'hazard area', 'hazard line', 'landmark', 'crew'] as const;
export type DrawnThing = (typeof drawnThings)[number];
export type DrawnShape = 'outline' | 'rectangle' | 'circle' | 'line' | 'point';

export interface Drawing {
  /** A new thing, or a shape that is in the plan. */
  readonly of: { readonly thing: DrawnThing; readonly set?: string } | { readonly path: Path };
  readonly shape: DrawnShape;
  readonly places: readonly LonLat[];
}

/** Shapes that each thing can have, the usual one first. */
export const shapesOf: Readonly<Record<DrawnThing, readonly DrawnShape[]>> = {
  zone: ['outline', 'rectangle', 'circle'],
  'hazard area': ['outline', 'rectangle', 'circle'],
  'hazard line': ['line'],
  landmark: ['point'],
  crew: ['point'],
};

/** Places that a shape needs; null: as many as the person gives, at least so many as `atLeast`. */
export function placesNeeded(shape: DrawnShape): { readonly exactly: number | null; readonly atLeast: number } {
  if (shape === 'point') return { exactly: 1, atLeast: 1 };
  if (shape === 'rectangle' || shape === 'circle') return { exactly: 2, atLeast: 2 };
  return { exactly: null, atLeast: shape === 'line' ? 2 : 3 };
}
