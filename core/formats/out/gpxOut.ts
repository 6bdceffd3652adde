// GPX 1.1 (Topografix, 2004): waypoints, routes to be followed, tracks. Elements in the order of the schema: metadata,
// wpt, rte, trk; in a point ele, time, name, cmt, desc, type. GPX has no areas: their outlines are tracks, which a
// receiver draws and does not follow.
import { isoOf } from '../../base/plainNumbers.ts';
import type { Read } from '../../base/problem.ts';
import { closedRing, writable, type Feature, type FeatureSet, type Position } from './features.ts';
import { plainNumber, xmlText } from './xmlText.ts';

const HEAD =
  '<?xml version="1.0" encoding="UTF-8"?>\n<gpx version="1.1" creator="Plumbline" ' +
  'xmlns="http://www.topografix.com/GPX/1/1" xmlns:xsi="http://www.w3.org/2001/XMLSchema-instance" ' +
  'xsi:schemaLocation="http://www.topografix.com/GPX/1/1 http://www.topografix.com/GPX/1/1/gpx.xsd">';

export function toGpx(set: FeatureSet): Read<string> {
  const { kept, left } = writable(set.features);
  const points = kept.flatMap((feature) =>
    feature.shape.kind === 'point' ? [waypoint(feature, feature.shape.at, feature.shape.time_s)] : [],
  );
  const routes = kept.flatMap((feature) =>
    feature.route === true && feature.shape.kind === 'line' ? [route(feature, feature.shape.line)] : [],
  );
  const tracks = kept.flatMap((feature) =>
    feature.route === true || feature.shape.kind === 'point' ? [] : [track(feature)],
  );
  const metadata = `<metadata>${element('name', set.name)}${element('desc', set.note)}${element('time', isoOf(set.time_s))}</metadata>`;
  const value = [HEAD, metadata, ...points, ...routes, ...tracks, '</gpx>', ''].join('\n');
  return {
    value,
    problems: left.map((name) => ({ line: 0, text: `${name}: no shape with a place on earth; it is left out` })),
  };
}

const element = (name: string, text: string): string => (text === '' ? '' : `<${name}>${xmlText(text)}</${name}>`);

/** Latitude and longitude as the schema bounds them: longitude from −180 and below 180. */
function point(name: 'wpt' | 'rtept' | 'trkpt', place: Position, time_s: number | undefined, rest: string): string {
  const lon = place[0] === 180 ? -180 : place[0];
  const height = place.length === 3 ? plainNumber(place[2], 2) : null;
  const ele = height === null ? '' : `<ele>${height}</ele>`;
  const time = time_s === undefined || !Number.isFinite(time_s) ? '' : `<time>${isoOf(time_s)}</time>`;
  const inside = `${ele}${time}${rest}`;
  const open = `<${name} lat="${plainNumber(place[1], 7) ?? '0'}" lon="${plainNumber(lon, 7) ?? '0'}"`;
  return inside === '' ? `${open}/>` : `${open}>${inside}</${name}>`;
}

const waypoint = ({ name, note, folder }: Feature, at: Position, time_s: number | undefined): string =>
  point('wpt', at, time_s, element('name', name) + element('desc', note) + element('type', folder));

const about = ({ name, note, folder }: Feature): string =>
  element('name', name) + element('desc', note) + element('type', folder);

const route = (feature: Feature, line: readonly Position[]): string =>
  `<rte>${about(feature)}${line.map((place) => point('rtept', place, undefined, '')).join('')}</rte>`;

function track(feature: Feature): string {
  const { shape } = feature;
  const segments: string[] =
    shape.kind === 'line'
      ? [shape.line.map((place, k) => point('trkpt', place, shape.times_s?.[k], '')).join('')]
      : shape.kind === 'area'
        ? shape.rings.map((ring) =>
            closedRing(ring)
              .map((place) => point('trkpt', place, undefined, ''))
              .join(''),
          )
        : [];
  return `<trk>${about(feature)}${segments.map((segment) => `<trkseg>${segment}</trkseg>`).join('')}</trk>`;
}
