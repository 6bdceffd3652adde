// What of a plan's hazards is water: nobody walks or drives into it, and a boat goes on those of them that are areas.
import type { Hazard } from './schema.ts';

export const WATER_KINDS = ['water', 'river', 'lake', 'canal', 'sea'] as const;
const WATER: ReadonlySet<string> = new Set(WATER_KINDS);

/** Ground in the midst of water, or water that no boat crosses, by the kinds of areas: cut out of the water. */
export const ISLAND_KINDS: ReadonlySet<string> = new Set([
  'island',
  'rock',
  'reef',
  'shallows',
  'cliff',
  'trees',
  'building',
  'town',
  'homestead',
]);

export type AreaHazard = Extract<Hazard, { readonly polygon: unknown }>;

const isArea = (hazard: Hazard): hazard is AreaHazard => 'polygon' in hazard;

/** The areas of water; a river that is drawn as a line has no width, and nobody is placed on it. */
export const waterAreas = (hazards: readonly Hazard[] | undefined): AreaHazard[] =>
  (hazards ?? []).filter((hazard): hazard is AreaHazard => isArea(hazard) && WATER.has(hazard.kind));

export const islandAreas = (hazards: readonly Hazard[] | undefined): AreaHazard[] =>
  (hazards ?? []).filter((hazard): hazard is AreaHazard => isArea(hazard) && ISLAND_KINDS.has(hazard.kind));
