// What is written as GPX, KML, GeoJSON and CSV is read back by readers from outside: @tmcw/togeojson on @xmldom/xmldom,
// GDAL (ogr2ogr, with libkml and expat) and libxml2 where they are installed, and by this program's own. Names hold
// every sign that could break a file.
import { execFileSync, spawnSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { DOMParser } from '@xmldom/xmldom';
import { gpx, kml } from '@tmcw/togeojson';
import { fc } from '../property.ts';
import { afterAll, describe, expect, it } from 'vitest';
import { splitLine, splitRing } from '../../core/formats/out/antimeridian.ts';
import { toCsv } from '../../core/formats/out/csvOut.ts';
import type { Feature, FeatureSet, Position } from '../../core/formats/out/features.ts';
import { toGeoJson } from '../../core/formats/out/geojsonOut.ts';
import { toGpx } from '../../core/formats/out/gpxOut.ts';
import { toKml } from '../../core/formats/out/kmlOut.ts';
import { readFeatures } from '../../core/formats/areas/features.ts';
import { leftOut, requireAll } from '../openData.ts';

const folder = mkdtempSync(join(tmpdir(), 'plumbline-exports-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const NASTY = `A & B <"quoted"> 'it' \u0001\u000b\uD800 é 日 ]]> --`;
/** What XML can hold of it. */
const HELD = `A & B <"quoted"> 'it' ??? é 日 ]]> --`;

const feature = (name: string, shape: Feature['shape'], more: Partial<Feature> = {}): Feature => ({
  name,
  folder: 'Crews & co',
  note: NASTY,
  shape,
  facts: { height_m: 30, nothing: NaN },
  ...more,
});

const SQUARE: Position[] = [[22.4, -30.1], [22.4, -30.0], [22.5, -30.0], [22.5, -30.1]]; // prettier-ignore
const set = (features: readonly Feature[]): FeatureSet => ({
  name: NASTY,
  note: 'note',
  time_s: 1_807_688_520,
  features,
});
const SET = set([
  feature(NASTY, { kind: 'point', at: [22.41246, -30.085603, 951.25], time_s: 1_807_688_520 }),
  feature('route', { kind: 'line', line: [[22.4, -30.1], [22.45, -30.05]] }, { route: true }), // prettier-ignore
  feature('track', { kind: 'line', line: [[22.4, -30.1, 39_000], [22.41, -30.09, 12_000.5]], times_s: [1_807_688_520, 1_807_688_760] }), // prettier-ignore
  feature('area', { kind: 'area', rings: [SQUARE, [[22.42, -30.08], [22.44, -30.08], [22.43, -30.06]]] }), // prettier-ignore
  feature('cone', { kind: 'area', rings: [SQUARE.map((place): Position => [place[0], place[1], 2450])] }),
]);

const xml = (text: string): ReturnType<DOMParser['parseFromString']> => new DOMParser({ onError: (level, message) => { throw new Error(`${level}: ${message}`); } }).parseFromString(text, 'text/xml'); // prettier-ignore

/** togeojson asks for a browser's document; xmldom's has what it uses. */
const asDocument = (text: string): Document => xml(text) as unknown as Document;

/** A tool of Debian's; null, and one loud line, where it is missing. */
function tool(name: string): boolean {
  if (spawnSync(name, ['--version']).error === undefined) return true;
  if (requireAll) throw new Error(`PLUMBLINE_REQUIRE_ALL is set and ${name} is missing: nothing may be left out here`);
  leftOut(`the exports are not opened with ${name}: it is not installed`);
  return false;
}

describe('GPX 1.1', () => {
  const text = toGpx(SET).value;

  it('is read by togeojson: places, heights, times and names as they went in', () => {
    const read = gpx(asDocument(text));
    expect(read.features).toHaveLength(5);
    const point = read.features.find((one) => one.geometry?.type === 'Point');
    expect(point?.geometry).toEqual({ type: 'Point', coordinates: [22.41246, -30.085603, 951.25] });
    expect(point?.properties).toMatchObject({ name: HELD, desc: HELD, time: '2027-04-14T07:42:00Z' });
    const route = read.features.find((one) => one.properties?.['_gpxType'] === 'rte');
    expect(route?.geometry).toEqual({ type: 'LineString', coordinates: [[22.4, -30.1], [22.45, -30.05]] }); // prettier-ignore
    const track = read.features.find((one) => one.properties?.['name'] === 'track');
    expect(track?.geometry).toEqual({ type: 'LineString', coordinates: [[22.4, -30.1, 39_000], [22.41, -30.09, 12_000.5]] }); // prettier-ignore
  });

  it('keeps the order of the schema (GPX 1.1, gpxType, wptType, rteType and trkType: each a sequence)', () => {
    const ORDER: Readonly<Record<string, readonly string[]>> = {
      gpx: ['metadata', 'wpt', 'rte', 'trk', 'extensions'],
      metadata: ['name', 'desc', 'author', 'copyright', 'link', 'time', 'keywords', 'bounds', 'extensions'],
      wpt: [
        'ele',
        'time',
        'magvar',
        'geoidheight',
        'name',
        'cmt',
        'desc',
        'src',
        'link',
        'sym',
        'type',
        'fix',
        'sat',
        'hdop',
        'vdop',
        'pdop',
      ],
      rte: ['name', 'cmt', 'desc', 'src', 'link', 'number', 'type', 'extensions', 'rtept'],
      trk: ['name', 'cmt', 'desc', 'src', 'link', 'number', 'type', 'extensions', 'trkseg'],
      trkseg: ['trkpt', 'extensions'],
    };
    expect(outOfOrder(text, { ...ORDER, rtept: ORDER['wpt'] ?? [], trkpt: ORDER['wpt'] ?? [] })).toEqual([]);
  });
});

describe('KML 2.2', () => {
  const text = toKml(SET).value;

  it('is read by togeojson: heights absolute, areas with their holes', () => {
    const read = kml(asDocument(text));
    expect(read.features.map((one) => one?.geometry?.type)).toEqual([
      'Point',
      'LineString',
      'LineString',
      'Polygon',
      'Polygon',
    ]);
    expect(read.features[0]?.properties).toMatchObject({ name: HELD });
    const cone = read.features[4]?.geometry;
    expect(cone?.type === 'Polygon' && cone.coordinates[0]?.every((place) => place[2] === 2450)).toBe(true);
    const area = read.features[3]?.geometry;
    expect(area?.type === 'Polygon' ? area.coordinates.map((ring) => ring.length) : null).toEqual([5, 4]);
  });

  it('keeps the order of the schema (OGC 07-147r2: Feature, Placemark, Polygon, LineString)', () => {
    expect(
      outOfOrder(text, {
        Document: ['name', 'open', 'description', 'Style', 'StyleMap', 'Schema', 'Placemark', 'Folder'],
        Folder: ['name', 'open', 'description', 'Placemark'],
        Placemark: [
          'name',
          'visibility',
          'open',
          'description',
          'LookAt',
          'TimeStamp',
          'TimeSpan',
          'styleUrl',
          'Style',
          'ExtendedData',
          'Point',
          'LineString',
          'Polygon',
          'MultiGeometry',
        ],
        Polygon: ['extrude', 'tessellate', 'altitudeMode', 'outerBoundaryIs', 'innerBoundaryIs'],
        LineString: ['extrude', 'tessellate', 'altitudeMode', 'coordinates'],
        Point: ['extrude', 'altitudeMode', 'coordinates'],
        Style: ['IconStyle', 'LabelStyle', 'LineStyle', 'PolyStyle'],
      }),
    ).toEqual([]);
  });

  it('areas come back through our own reader', () => {
    const areas = readFeatures('x.kml', text).value.filter(({ shape }) => shape.kind === 'area');
    expect(areas.map((one) => one.name)).toEqual(['area', 'cone']);
  });
});

/** Children that the schema's sequence does not allow where they stand. */
function outOfOrder(text: string, orders: Readonly<Record<string, readonly string[]>>): string[] {
  const wrong: string[] = [];
  let seen = 0;
  const walk = (element: { readonly nodeName: string; readonly childNodes: ArrayLike<unknown> }): void => {
    const children = Array.from(element.childNodes).filter(
      (node): node is typeof element => (node as { nodeType: number }).nodeType === 1,
    );
    const order = orders[element.nodeName];
    let last = 0;
    for (const child of children) {
      if (order !== undefined) {
        seen += 1;
        const at = order.indexOf(child.nodeName);
        if (at < last) wrong.push(`${child.nodeName} in ${element.nodeName}`);
        last = Math.max(at, last);
      }
      walk(child);
    }
  };
  const root = xml(text).documentElement;
  if (root === null) throw new Error('no root');
  walk(root);
  expect(seen).toBeGreaterThan(20);
  return wrong;
}

describe('GeoJSON (RFC 7946)', () => {
  interface Read {
    readonly type: string;
    readonly features: {
      readonly geometry: { readonly type: string; readonly coordinates: number[][][] };
      readonly properties: Record<string, unknown>;
    }[];
  }
  const parse = (text: string): Read => JSON.parse(text) as Read;

  it('has no crs, outer rings counter-clockwise, holes clockwise, and null for what is not a number', () => {
    const read = parse(toGeoJson(SET).value);
    expect(Object.keys(read)).not.toContain('crs');
    expect(read.features).toHaveLength(5);
    const rings = read.features[3]?.geometry.coordinates ?? [];
    expect(rings.map((ring) => Math.sign(areaOf(ring)))).toEqual([1, -1]);
    expect(read.features[0]?.properties).toMatchObject({ name: NASTY, height_m: 30, nothing: null });
    expect(toGeoJson(SET).value).not.toMatch(/NaN|Infinity/);
  });

  it('is cut at the 180th meridian, each part on one side, nothing lost', () => {
    const ring: Position[] = [[179, -10], [-178, -10], [-178, -8], [179, -8]]; // prettier-ignore
    const read = parse(toGeoJson(set([feature('a', { kind: 'area', rings: [ring] })])).value);
    expect(read.features[0]?.geometry.type).toBe('MultiPolygon');
    const parts = splitRing(ring) ?? [];
    expect(parts.map((part) => Math.abs(areaOf(part)))).toEqual([2, 4]);
    for (const part of parts)
      expect(Math.max(...part.map((place) => place[0])) - Math.min(...part.map((place) => place[0]))).toBeLessThan(3);
    // RFC 7946 §3.1.9: the line from 45 N 170 E to 45 N 170 W, printed there.
    const line = splitLine([[170, 45], [-170, 45]]); // prettier-ignore
    expect(line).toEqual([[[170, 45], [180, 45]], [[-180, 45], [-170, 45]]]); // prettier-ignore
  });

  it('keeps the area of any ring that crosses, and answers one about a pole', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 172, max: 188, noNaN: true }),
        fc.double({ min: 0.1, max: 6, noNaN: true }),
        fc.integer({ min: 3, max: 24 }),
        (lon, r, n) => {
          const ring = Array.from({ length: n }, (_, k): Position => {
            const x = lon + r * Math.cos((2 * Math.PI * k) / n);
            return [x > 180 ? x - 360 : x, 10 + r * Math.sin((2 * Math.PI * k) / n)];
          });
          const whole = (n / 2) * r * r * Math.sin((2 * Math.PI) / n);
          const parts = splitRing(ring) ?? [];
          const sum = parts.reduce((total, part) => total + Math.abs(areaOf(part)), 0);
          return Math.abs(sum - whole) < 1e-9 && parts.flat().every((place) => Math.abs(place[0]) <= 180);
        },
      ),
      { seed: 180 },
    );
    const pole: Position[] = [[0, -80], [90, -80], [180, -80], [-90, -80]]; // prettier-ignore
    const answer = toGeoJson(set([feature('pole', { kind: 'area', rings: [pole] })]));
    expect(answer.problems).toHaveLength(1);
    expect(parse(answer.value).features).toEqual([]);
  });
});

/** Signed area on the plane of degrees: positive counter-clockwise. */
function areaOf(ring: readonly (readonly number[])[]): number {
  return ring.reduce((sum, a, k) => {
    const b = ring[(k + 1) % ring.length] ?? a;
    return sum + ((a[0] ?? NaN) * (b[1] ?? NaN) - (b[0] ?? NaN) * (a[1] ?? NaN)) / 2;
  }, 0);
}

describe('what cannot be written', () => {
  it('is left out and named, and never becomes NaN', () => {
    const bad = set([
      feature('nowhere', { kind: 'point', at: [NaN, 0] }),
      feature('beyond', { kind: 'point', at: [0, 91] }),
      feature('short', { kind: 'line', line: [[0, 0]] }),
      feature('flat', { kind: 'area', rings: [[[0, 0], [1, 1]]] }), // prettier-ignore
      feature('high', { kind: 'point', at: [0, 0, Infinity] }),
    ]);
    for (const write of [toGpx, toGeoJson, (one: FeatureSet) => toKml(one)]) {
      const { value, problems } = write(bad);
      expect(problems.map((problem) => problem.text.split(':')[0])).toEqual([
        'nowhere',
        'beyond',
        'short',
        'flat',
        'high',
      ]);
      expect(value).not.toMatch(/NaN|Infinity/);
    }
  });
});

describe('CSV (RFC 4180)', () => {
  it('quotes what must be, ends records with CRLF, and has an empty field for no number', () => {
    const text = toCsv([{ name: 'a, b' }, { name: 'x_m', decimals: 2 }], [['say "hi"', 1.005e3], ['two\r\nlines', NaN], [null, -0.0001], ['plain', 12]]); // prettier-ignore
    expect(text).toBe('"a, b",x_m\r\n"say ""hi""",1005\r\n"two\r\nlines",\r\n,0\r\nplain,12\r\n');
  });
});

describe('outside readers', () => {
  it('GDAL opens all three and counts what went in', () => {
    if (!tool('ogr2ogr')) return;
    const counts = new Map<string, string>();
    for (const [name, text] of [
      ['x.gpx', toGpx(SET).value],
      ['x.kml', toKml(SET).value],
      ['x.geojson', toGeoJson(SET).value],
    ] as const) {
      // prettier-ignore
      const path = join(folder, name);
      writeFileSync(path, text);
      const out = execFileSync('ogrinfo', ['-al', path], { encoding: 'utf8', stdio: ['ignore', 'pipe', 'pipe'] });
      expect(out).not.toMatch(/ERROR/);
      counts.set(name, [...out.matchAll(/Feature Count: (\d+)/g)].map((match) => match[1]).join(' '));
    }
    // GPX: waypoints, routes, tracks, then the points of routes and tracks: 2, and 2 + (5 + 4) + 5.
    expect(Object.fromEntries(counts)).toEqual({ 'x.gpx': '1 1 3 2 16', 'x.kml': '5', 'x.geojson': '5' });
  });

  it('libxml2 finds GPX and KML well-formed, whatever is in a name', () => {
    if (!tool('xmllint')) return;
    let checked = 0;
    fc.assert(
      fc.property(fc.string({ unit: 'binary', maxLength: 30 }), (name) => {
        const path = join(folder, 'named.xml');
        const one = set([feature(name, { kind: 'point', at: [1, 2] })]);
        for (const text of [toGpx(one).value, toKml(one).value]) {
          writeFileSync(path, text);
          execFileSync('xmllint', ['--noout', path], { stdio: ['ignore', 'ignore', 'pipe'] });
          checked += 1;
        }
        return readFileSync(path, 'utf8').length > 0;
      }),
      { seed: 11, numRuns: 40 },
    );
    expect(checked).toBe(80);
  });
});
