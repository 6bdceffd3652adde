// Areas: county outlines against their geodesic areas, one outline in three formats, and the rules of a ring.
// Sources: open-data/areas/ring-areas.json (GeographicLib Planimeter), RFC 7946, KML 2.2.
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import geodesicLibrary from 'geographiclib-geodesic';
import { describe, expect, it } from 'vitest';
import type { Rings } from '../../core/formats/areas/areas.ts';
import { readFeatures } from '../../core/formats/areas/features.ts';
import type { LonLat } from '../../core/base/units.ts';
import { describeOpenData } from '../openData.ts';
import { itSurvives } from './mutate.ts';

/** Geodesic perimeter and signed area of a closed ring on WGS 84; positive counter-clockwise. */
function measured(ring: readonly LonLat[]): { perimeter_m: number; area_m2: number } {
  const polygon = geodesicLibrary.Geodesic.WGS84.Polygon(false);
  for (const [lon, lat] of ring.slice(0, -1)) polygon.AddPoint(lat, lon);
  const { perimeter, area } = polygon.Compute(false, true);
  return { perimeter_m: perimeter, area_m2: area ?? NaN };
}
interface Area {
  readonly name: string;
  readonly polygons: readonly Rings[];
}
/** The areas of a file, those of one name together. */
function areasIn(name: string, text: string): Area[] {
  const areas = new Map<string, Rings[]>();
  for (const { name: named, shape } of readFeatures(name, text).value)
    if (shape.kind === 'area') areas.set(named, [...(areas.get(named) ?? []), shape.rings]);
  return [...areas].map(([named, polygons]) => ({ name: named, polygons }));
}
const one = (name: string, text: string): Area => {
  const value = areasIn(name, text);
  expect(value).toHaveLength(1);
  return value[0] ?? { name: '', polygons: [] };
};
const said = (text: string): string =>
  readFeatures('x', text)
    .problems.map((p) => p.text)
    .join('; ');
const polygon = (...rings: (readonly LonLat[])[]): string => JSON.stringify({ type: 'Polygon', coordinates: rings });
const SQUARE: readonly LonLat[] = [
  [10, 50],
  [11, 50],
  [11, 51],
  [10, 51],
  [10, 50],
];

interface Printed {
  file: string;
  polygons: number;
  rings: [vertices: number, perimeter_m: number, area_m2: number, kind: string][];
}

describeOpenData('areas, the open files', ({ openData }) => {
  const text = (name: string): string => readFileSync(join(openData, 'areas', name), 'utf8');
  const printed = JSON.parse(text('ring-areas.json')) as Printed[];

  it('gives every ring with the vertices, perimeter and geodesic area that are printed for it', () => {
    let compared = 0;
    for (const { file, polygons, rings } of printed) {
      const area = one(file, text(file));
      expect([file, area.polygons.length]).toEqual([file, polygons]);
      const own = area.polygons.flatMap((p) => p.map((ring, i) => ({ ring, kind: i === 0 ? 'outer' : 'hole' })));
      expect(own).toHaveLength(rings.length);
      own.forEach(({ ring, kind }, i) => {
        const [vertices, perimeter_m, area_m2, printedKind] = rings[i] ?? [NaN, NaN, NaN, ''];
        const got = measured(ring);
        expect([ring.length - 1, kind]).toEqual([vertices, printedKind]);
        // Printed to 0.1 m and to the square metre.
        expect(Math.abs(got.perimeter_m - perimeter_m)).toBeLessThan(0.06);
        expect(Math.abs(Math.abs(got.area_m2) - area_m2)).toBeLessThan(1);
        expect(Math.sign(got.area_m2)).toBe(kind === 'outer' ? 1 : -1);
        compared++;
      });
      const sum = area.polygons.flat().reduce((total, ring) => total + measured(ring).area_m2, 0);
      console.log(
        `${file} | ${area.name} | ${area.polygons.length} polygons, ${own.length} rings | ${(sum / 1e6).toFixed(3)} km²`,
      );
    }
    expect(compared).toBe(43 + 1 + 2);
  });

  it('gives one outline alike from GeoJSON, KML and a GPX route', () => {
    const kml = one('county-51003-one-hole.kml', text('county-51003-one-hole.kml'));
    const geojson = one('county-51003-one-hole.geojson', text('county-51003-one-hole.geojson'));
    expect(kml.name).toBe('Albemarle');
    expect(kml.polygons).toEqual(geojson.polygons);
    const route = readFeatures('county-33007-ring.gpx', text('county-33007-ring.gpx')).value[0]?.shape;
    const line = route?.kind === 'line' ? route.line : [];
    const simple = one('county-33007-simple.geojson', text('county-33007-simple.geojson'));
    const area_m2 = simple.polygons.flat().reduce((sum, ring) => sum + measured(ring).area_m2, 0);
    expect(line).toHaveLength(513);
    expect(Math.abs(Math.abs(measured(line).area_m2) - area_m2)).toBeLessThan(1);
  });

  it('reads KML with a hole and heights, and a bare ring in the old namespace', () => {
    const box = one('polygon.kml', text('polygon.kml'));
    expect([box.name, box.polygons.map((p) => p.map((r) => r.length))]).toEqual(['hollow box', [[5, 5]]]);
    const ring = one('linear_ring.kml', text('linear_ring.kml'));
    expect(ring.name).toBe('AOI');
    const lons = ring.polygons.flat(2).map(([lon]) => lon);
    expect([Math.min(...lons), Math.max(...lons)]).toEqual([-126, -66]);
  });

  itSurvives(
    'areas',
    [
      'county-51003-one-hole.geojson',
      'county-51003-one-hole.kml',
      'polygon.kml',
      'county-33007-ring.gpx',
      'county-02016-across-antimeridian.geojson',
    ].map(text),
    (input) => readFeatures('x.kml', input),
  );
});

describe('areas, the rules of a ring', () => {
  it('closes, turns and cleans rings, and says what it had to close', () => {
    expect(areasIn('x', polygon(SQUARE.slice(0, 4)))[0]?.polygons).toEqual([[SQUARE]]);
    expect(said(polygon(SQUARE.slice(0, 4)))).toContain('last point is not its first; closed');
    expect(areasIn('x', polygon([...SQUARE].reverse()))[0]?.polygons).toEqual([[SQUARE]]);
    const hole: LonLat[] = [
      [10.2, 50.2],
      [10.4, 50.2],
      [10.4, 50.4],
      [10.2, 50.2],
    ];
    expect(areasIn('x', polygon(SQUARE, hole))[0]?.polygons).toEqual([[SQUARE, [...hole].reverse()]]);
    const doubled = SQUARE.flatMap((p) => [p, p]);
    expect(areasIn('x', polygon(doubled))[0]?.polygons).toEqual([[SQUARE]]);
  });

  it('runs a ring on past 180°, and refuses one round the Earth', () => {
    const across: LonLat[] = [
      [179, -17],
      [-179, -17],
      [-179, -16],
      [179, -16],
      [179, -17],
    ];
    const [ring] = areasIn('x', polygon(across))[0]?.polygons[0] ?? [];
    expect(ring).toEqual([
      [179, -17],
      [181, -17],
      [181, -16],
      [179, -16],
      [179, -17],
    ]);
    expect(said(polygon(across))).toContain('crosses 180°');
    // 2° by 1° at 16.5 S: 23 570 km² by the library, the same as of the square that does not cross.
    const moved = across.map(([lon, lat]): LonLat => [lon < 0 ? lon + 360 - 100 : lon - 100, lat]);
    expect(measured(ring ?? []).area_m2).toBeCloseTo(measured(moved).area_m2, 0);
    const round: LonLat[] = [
      [0, 80],
      [120, 80],
      [-120, 80],
      [0, 80],
    ];
    expect(areasIn('x', polygon(round))).toEqual([]);
    expect(said(polygon(round))).toContain('once round the Earth');
  });

  it('refuses what is not an area, each with a sentence', () => {
    for (const [text, says] of [
      [polygon(SQUARE.slice(0, 2)), 'a ring has at least 3'],
      ['{"type":"Polygon","coordinates":7}', 'not a list of rings'],
      ['{"type":"Polygon","coordinates":[[["a",2]]]}', 'expected [lon, lat]'],
      ['{"type":"Polygon"', 'no JSON'],
      ['<kml><Placemark><Polygon/></Placemark></kml>', 'a ring has at least 3'],
      ['<gpx></gpx>', 'nothing with a place in'],
      ['hello', 'nothing with a place in'],
    ] as const) {
      expect(readFeatures('x', text).value).toEqual([]);
      expect(said(text)).toContain(says);
    }
  });

  it('answers JSON of any depth and with any keys', () => {
    const deep = `${'['.repeat(200_000)}${']'.repeat(200_000)}`;
    for (const text of [
      deep,
      `{"type":"Polygon","coordinates":[[${deep}]]}`,
      `{"type":${deep},"coordinates":1}`,
      '{"type":{"toString":1},"coordinates":[]}',
      `{"type":"Feature","geometry":null,"id":{"toString":1},"properties":{"name":${deep}}}`,
      `${'{"type":"GeometryCollection","geometries":['.repeat(5000)}${']}'.repeat(5000)}`,
    ]) {
      expect(readFeatures('x', text).value).toEqual([]);
      expect(said(text).length).toBeGreaterThan(0);
    }
  });

  it('names areas by their properties, and walks collections', () => {
    const feature = (properties: unknown, geometry: string): string =>
      `{"type":"Feature","properties":${JSON.stringify(properties)},"geometry":${geometry}}`;
    const both = `{"type":"GeometryCollection","geometries":[${polygon(SQUARE)},${polygon(SQUARE)}]}`;
    const features = [feature({ name: 'North' }, polygon(SQUARE)), feature(null, both), feature({}, 'null')];
    const many = `{"type":"FeatureCollection","features":[${features.join(',')}]}`;
    expect(areasIn('x', many).map((a) => [a.name, a.polygons.length])).toEqual([
      ['North', 1],
      ['feature 2', 2],
    ]);
  });
});
