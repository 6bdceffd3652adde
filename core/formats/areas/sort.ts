// What an imported feature is likely to be, by its attributes: a guess that a person confirms. Keys and values are
// those of OpenStreetMap (its wiki's "Map features"); other files are sorted by their shape alone.
import { tidyPlace } from '../../base/plainNumbers.ts';
import type { Hazard, Landmark, LandingZone } from '../../plan/schema.ts';
import type { LonLat } from '../../base/units.ts';
import type { PlaceFeature } from './features.ts';

export const importedAs = ['zone', 'hazard', 'road', 'landmark', 'left out'] as const;
export type ImportedAs = (typeof importedAs)[number];

export interface Guess {
  readonly as: ImportedAs;
  /** The hazard's kind, by the words that the program knows. */
  readonly kind: string;
  /** The attribute that told, "power=line"; empty: the shape did. */
  readonly because: string;
}

/** Key and value ('*': any), and what it then is; the first row that fits decides. */
const RULES: readonly (readonly [key: string, value: string, as: ImportedAs, kind: string])[] = [
  ['power', 'line', 'hazard', 'power line'],
  ['power', 'minor_line', 'hazard', 'power line'],
  ['power', 'cable', 'left out', ''],
  ['power', 'tower', 'hazard', 'mast'],
  ['aerialway', '*', 'hazard', 'cable'],
  ['waterway', '*', 'hazard', 'river'],
  ['natural', 'water', 'hazard', 'water'],
  ['natural', 'coastline', 'hazard', 'water'],
  ['natural', 'wood', 'hazard', 'trees'],
  ['natural', 'tree_row', 'hazard', 'trees'],
  ['natural', 'cliff', 'hazard', 'cliff'],
  ['natural', 'ridge', 'hazard', 'ridge'],
  ['natural', 'peak', 'landmark', ''],
  ['landuse', 'forest', 'hazard', 'trees'],
  ['landuse', 'residential', 'hazard', 'town'],
  ['landuse', 'industrial', 'hazard', 'town'],
  ['landuse', 'commercial', 'hazard', 'town'],
  ['highway', '*', 'road', ''],
  ['railway', '*', 'hazard', 'railway'],
  ['barrier', '*', 'hazard', 'fence'],
  ['building', '*', 'hazard', 'building'],
  ['man_made', '*', 'landmark', ''],
  ['place', '*', 'landmark', ''],
  ['aeroway', '*', 'landmark', ''],
];

/** Words in a name that say landing zone. */
const ZONE_NAME = /\b(lz|dz|landing|drop ?zone|zone)\b/i;

export function guessOf({ name, attributes, shape }: PlaceFeature): Guess {
  for (const [key, wanted, as, kind] of RULES) {
    const value = attributes[key];
    if (value === undefined || value === 'no' || (wanted !== '*' && value !== wanted)) continue;
    if (!fits(as, shape.kind)) return { as: 'left out', kind: '', because: `${key}=${value}` };
    return { as, kind, because: `${key}=${value}` };
  }
  if (shape.kind === 'area') return { as: ZONE_NAME.test(name) ? 'zone' : 'left out', kind: '', because: '' };
  return { as: shape.kind === 'point' ? 'landmark' : 'left out', kind: '', because: '' };
}

/** What each shape can become at all. */
export function fits(as: ImportedAs, kind: PlaceFeature['shape']['kind']): boolean {
  if (as === 'left out') return true;
  if (as === 'zone') return kind === 'area';
  if (as === 'road') return kind === 'line';
  return as === 'landmark' ? kind !== 'area' : kind !== 'point';
}

/** Six decimals of a degree are 0.1 m; a plan's ring does not repeat its first corner. */
const tidyLine = (line: readonly LonLat[]): LonLat[] =>
  line.map(([lon, lat]) => tidyPlace([((lon + 540) % 360) - 180, lat]));
const openRing = (ring: readonly LonLat[]): LonLat[] => tidyLine(ring.slice(0, -1));

/** Height over the ground that an attribute gives, m; undefined where it gives none. */
function heightOf({ attributes }: PlaceFeature): number | undefined {
  const metres = Number((attributes['height'] ?? attributes['height_m'] ?? '').replace(/\s*m$/, ''));
  return metres > 0 && metres < 1000 ? metres : undefined;
}

export const zoneOf = (feature: PlaceFeature): LandingZone | null =>
  feature.shape.kind === 'area' ? { name: feature.name, polygon: openRing(feature.shape.rings[0] ?? []) } : null;

export function hazardOf(feature: PlaceFeature, kind: string): Hazard | null {
  const { name, shape } = feature;
  const height_m = heightOf(feature);
  const common = { name, kind: kind === '' ? 'other' : kind, ...(height_m === undefined ? {} : { height_m }) };
  if (shape.kind === 'area') return { ...common, polygon: openRing(shape.rings[0] ?? []) };
  return shape.kind === 'line' ? { ...common, line: tidyLine(shape.line) } : null;
}

export function landmarkOf({ name, shape }: PlaceFeature): Landmark | null {
  if (shape.kind === 'point') return { name, position: tidyLine([shape.position])[0] ?? shape.position };
  return shape.kind === 'line' ? { name, line: tidyLine(shape.line) } : null;
}

/** Roads as the plan's file of roads holds them: a GeoJSON collection of lines. */
export const roadsFile = (roads: readonly PlaceFeature[]): string =>
  JSON.stringify({
    type: 'FeatureCollection',
    features: roads.flatMap(({ name, attributes, shape }) =>
      shape.kind === 'line'
        ? [
            {
              type: 'Feature',
              properties: { name, ...attributes },
              geometry: { type: 'LineString', coordinates: shape.line },
            },
          ]
        : [],
    ),
  });
