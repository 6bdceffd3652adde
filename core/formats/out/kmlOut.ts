// KML 2.2 (OGC 07-147r2): a Document with a folder for each kind of thing; places on the ground, ways and areas in
// their height where they have one (altitudeMode absolute, m MSL), clamped to the ground else. Order of elements as in
// the schema.
import { isoOf } from '../../base/plainNumbers.ts';
import type { Problem, Read } from '../../base/problem.ts';
import { splitLine, splitRing } from './antimeridian.ts';
import { closedRing, writable, type Feature, type FeatureSet, type Position } from './features.ts';
import { turned } from './geojsonOut.ts';
import { plainNumber, xmlText } from './xmlText.ts';

/** Styles by folder: aabbggrr. Widths differ too, so that they are told apart without colour. */
export interface KmlStyle {
  readonly line: string;
  readonly width: number;
  readonly fill: string;
}

const DEFAULT_STYLE: KmlStyle = { line: 'ff222222', width: 2, fill: '40222222' };

export function toKml(set: FeatureSet, styles: Readonly<Record<string, KmlStyle>> = {}): Read<string> {
  const { kept, left } = writable(set.features);
  const problems: Problem[] = left.map((name) => ({
    line: 0,
    text: `${name}: no shape with a place on earth; it is left out`,
  }));
  const folders = [...new Set(kept.map((feature) => feature.folder))];
  const written = folders.map((folder, k) => {
    const marks = kept
      .filter((feature) => feature.folder === folder)
      .map((feature) => placemark(feature, `s${k}`, problems));
    return `<Folder>${element('name', folder)}${marks.join('\n')}</Folder>`;
  });
  const value = [
    '<?xml version="1.0" encoding="UTF-8"?>',
    '<kml xmlns="http://www.opengis.net/kml/2.2">',
    `<Document>${element('name', set.name)}${element('description', set.note)}`,
    ...folders.map((folder, k) => styleOf(`s${k}`, styles[folder] ?? DEFAULT_STYLE)),
    ...written,
    '</Document>',
    '</kml>',
    '',
  ].join('\n');
  return { value, problems };
}

const element = (name: string, text: string): string => (text === '' ? '' : `<${name}>${xmlText(text)}</${name}>`);

const styleOf = (id: string, { line, width, fill }: KmlStyle): string =>
  `<Style id="${id}"><LineStyle><color>${line}</color><width>${width}</width></LineStyle>` +
  `<PolyStyle><color>${fill}</color></PolyStyle></Style>`;

function placemark(feature: Feature, style: string, problems: Problem[]): string {
  const { name, note, shape, facts } = feature;
  const time =
    shape.kind === 'point' && shape.time_s !== undefined && Number.isFinite(shape.time_s)
      ? stamp(shape.time_s)
      : spanOf(feature);
  const data = Object.entries(facts).flatMap(([key, value]) =>
    value === null || (typeof value === 'number' && !Number.isFinite(value)) ? [] : [dataOf(key, value)],
  );
  const extended = data.length === 0 ? '' : `<ExtendedData>${data.join('')}</ExtendedData>`;
  const head = `${element('name', name)}${element('description', note)}${time}<styleUrl>#${style}</styleUrl>`;
  return `<Placemark>${head}${extended}${geometry(feature, problems)}</Placemark>`;
}

const stamp = (time_s: number): string => `<TimeStamp><when>${isoOf(time_s)}</when></TimeStamp>`;

function spanOf({ shape }: Feature): string {
  const times = shape.kind === 'line' ? (shape.times_s ?? []) : [];
  const [first, last] = [times[0], times.at(-1)];
  if (first === undefined || last === undefined || !Number.isFinite(first + last)) return '';
  return `<TimeSpan><begin>${isoOf(first)}</begin><end>${isoOf(last)}</end></TimeSpan>`;
}

const dataOf = (key: string, value: string | number | boolean): string =>
  `<Data name="${xmlText(key)}"><value>${xmlText(typeof value === 'number' ? (plainNumber(value, 7) ?? '') : String(value))}</value></Data>`;

function geometry({ name, shape }: Feature, problems: Problem[]): string {
  if (shape.kind === 'point') return `<Point>${modeOf([shape.at])}${coordinates([shape.at])}</Point>`;
  if (shape.kind === 'line') {
    const parts = splitLine(shape.line).map(
      (part) => `<LineString>${groundOf(part)}${modeOf(part)}${coordinates(part)}</LineString>`,
    );
    return parts.length === 1 ? (parts[0] ?? '') : `<MultiGeometry>${parts.join('')}</MultiGeometry>`;
  }
  const [outer, ...holes] = shape.rings.map(splitRing);
  if (outer === undefined || outer === null || holes.includes(null)) {
    problems.push({ line: 0, text: `${name}: an area about a pole has no outline; only its name is written` });
    return '';
  }
  // A hole of an area that is cut goes with no part: such an area is drawn whole, which errs on the side of keeping
  // clear.
  const inner = outer.length === 1 ? holes.flatMap((parts) => parts ?? []) : [];
  const ring = (part: readonly Position[], outside: boolean): string =>
    `<LinearRing>${coordinates(closedRing(turned(part, outside)))}</LinearRing>`;
  const within = inner.map((hole) => `<innerBoundaryIs>${ring(hole, false)}</innerBoundaryIs>`).join('');
  const polygons = outer.map((part) => {
    const outside = `<outerBoundaryIs>${ring(part, true)}</outerBoundaryIs>`;
    return `<Polygon>${groundOf(part)}${modeOf(part)}${outside}${within}</Polygon>`;
  });
  return polygons.length === 1 ? (polygons[0] ?? '') : `<MultiGeometry>${polygons.join('')}</MultiGeometry>`;
}

const high = (places: readonly Position[]): boolean => places.every((place) => place.length === 3);
/** On the ground a line follows it. */
const groundOf = (places: readonly Position[]): string => (high(places) ? '' : '<tessellate>1</tessellate>');
const modeOf = (places: readonly Position[]): string =>
  `<altitudeMode>${high(places) ? 'absolute' : 'clampToGround'}</altitudeMode>`;

const coordinates = (places: readonly Position[]): string =>
  `<coordinates>${places.map((place) => place.map((x, k) => plainNumber(x, k === 2 ? 2 : 7) ?? '0').join(',')).join(' ')}</coordinates>`;
