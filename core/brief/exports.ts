// A brief's places, ways and areas for other programs and for receivers in the crews' hands; and its tables. What is
// exported is what the map on paper shows, with heights and times.
import type { Feature, FeatureSet, Position } from '../formats/out/features.ts';
import { toGeoJson } from '../formats/out/geojsonOut.ts';
import { toGpx } from '../formats/out/gpxOut.ts';
import { toKml, type KmlStyle } from '../formats/out/kmlOut.ts';
import { distance, halfAxes, height, lengthUp } from '../words/lengths.ts';
import { capital, chanceWords, quantity } from '../words/numbers.ts';
import { never, type Read } from '../base/problem.ts';
import type { LonLat } from '../base/units.ts';
import { clock } from '../words/times.ts';
import { outlineOf, type BriefMap, type MapBody, type MapCrew } from './mapData.ts';
import type { Brief } from './model.ts';

export type ExportFormat = 'gpx' | 'kml' | 'geojson';

export function exportBrief(brief: Brief, format: ExportFormat, crew?: string): Read<string> {
  const set = featuresOf(brief, crew);
  switch (format) {
    case 'gpx':
      // Receivers cannot show a cone in the air.
      return toGpx({ ...set, features: set.features.filter((feature) => feature.folder !== 'Drift cone') });
    case 'kml':
      return toKml(set, KML_STYLES);
    case 'geojson':
      return toGeoJson(set);
    default:
      return never(format);
  }
}

/** aabbggrr, after the colour-blind-safe set of Okabe and Ito (2008); each folder's width or fill differs too. */
const KML_STYLES: Readonly<Record<string, KmlStyle>> = {
  'Expected landing': { line: 'ff005ed5', width: 3, fill: '30005ed5' },
  Track: { line: 'ffb27200', width: 4, fill: '00000000' },
  'Landing zones': { line: 'ff739e00', width: 3, fill: '30739e00' },
  Hazards: { line: 'ff222222', width: 2, fill: '60222222' },
  'Keep clear': { line: 'ff005ed5', width: 5, fill: '20005ed5' },
  Crews: { line: 'ffa779cc', width: 3, fill: '00000000' },
  'Drift cone': { line: 'ffe9b456', width: 1, fill: '20e9b456' },
  'If contact is lost': { line: 'ff6679cc', width: 2, fill: '00000000' },
  'Other cases': { line: 'ff808080', width: 1, fill: '20808080' },
};

/** `crew`: only that crew's way and standby, beside what is everybody's. */
function featuresOf(brief: Brief, crew?: string): FeatureSet {
  const { map, head } = brief;
  const crews = map.crews.filter((one) => crew === undefined || one.name === crew);
  return {
    name: `${head.mission}, brief v${head.version.number}`,
    note: `${head.at}. ${capital(head.version.words)}. ${head.verdict}. Advisory only.`,
    time_s: head.version.at_s,
    features: [
      ...(map.jumper === null ? [] : bodyFeatures(map.jumper, 'Expected landing')),
      ...map.others.flatMap((body) => bodyFeatures(body, 'What else comes down')),
      exitFeature(map),
      ...zoneFeatures(map),
      ...hazardFeatures(map),
      ...map.keepClear.map((part) =>
        area('Keep clear', `Keep clear: ${part.name}`, 'The 99 % region of the drawn landings.', part.ring),
      ),
      ...crews.flatMap(crewFeatures),
      ...smokeFeature(map),
      ...map.cases.flatMap(caseFeatures),
      ...searchFeatures(map),
      ...map.cone.map((slice) =>
        area(
          'Drift cone',
          `${slice.zone} in reach at ${height(slice.height_m)}`,
          'Inside it an open canopy reaches the zone.',
          slice.ring.map((place): Position => [place[0], place[1], slice.height_m]),
          { height_m: slice.height_m },
        ),
      ),
    ],
  };
}

const area = (
  folder: string,
  name: string,
  note: string,
  ring: readonly Position[],
  facts: Feature['facts'] = {},
): Feature => ({
  folder,
  name,
  note,
  shape: { kind: 'area', rings: [ring] },
  facts,
});
const spot = (folder: string, name: string, note: string, at: Position, facts: Feature['facts'] = {}): Feature => ({
  folder,
  name,
  note,
  shape: { kind: 'point', at },
  facts,
});
/** A place with the time that it is about. */
const timed = (feature: Feature, time_s: number): Feature =>
  feature.shape.kind === 'point' ? { ...feature, shape: { ...feature.shape, time_s } } : feature;

function bodyFeatures(body: MapBody, folder: string): Feature[] {
  const at: Position = [body.landing[0], body.landing[1], body.elevation_m];
  const track: Feature = {
    folder: 'Track',
    name: `Track of the ${body.name}`,
    note: 'Predicted.',
    shape: {
      kind: 'line',
      line: body.track.map(([, lon, lat, height]): Position => [lon, lat, height]),
      times_s: body.track.map(([time]) => time),
    },
    facts: { body: body.name },
  };
  const rings = body.ellipses.map((ellipse) =>
    area(
      folder,
      `${body.name}: ${quantity(ellipse.percent, '%')} of landings`,
      halfAxes(ellipse.semiMajor_m, ellipse.semiMinor_m),
      outlineOf(ellipse),
      {
        chance: ellipse.percent,
        semiMajor_m: ellipse.semiMajor_m,
        semiMinor_m: ellipse.semiMinor_m,
        bearing_deg: ellipse.bearing_deg,
      },
    ),
  );
  return [
    timed(
      spot(folder, `${body.name} lands`, `Expected at ${clock(body.touchdown_s)}.`, at, {
        elevation_m: body.elevation_m,
      }),
      body.touchdown_s,
    ),
    ...rings,
    track,
  ];
}

const exitFeature = ({ exit }: BriefMap): Feature =>
  timed(
    spot(
      'Track',
      'Exit',
      `${clock(exit.time_s)}, ${height(exit.height_m)}.`,
      [exit.position[0], exit.position[1], exit.height_m],
      { height_m: exit.height_m },
    ),
    exit.time_s,
  );

function zoneFeatures({ zones }: BriefMap): Feature[] {
  return zones.flatMap((zone) => [
    area('Landing zones', zone.name, zone.aimed ? 'The zone that is aimed for.' : 'An alternate.', zone.ring, {
      aimed: zone.aimed,
    }),
    spot('Landing zones', `${zone.name}, middle`, '', zone.middle),
  ]);
}

/** In the height of its top where that is known. */
const topOf = ({ tops_m }: BriefMap['hazards'][number], places: readonly LonLat[]): Position[] =>
  places.map((place, k) => {
    const top_m = tops_m?.[k];
    return top_m === undefined ? place : [place[0], place[1], top_m];
  });

function hazardFeatures({ hazards }: BriefMap): Feature[] {
  return hazards.flatMap((hazard): Feature[] => {
    const facts = { kind: hazard.kind, height_m: hazard.height_m };
    const note = `${hazard.kind}${hazard.height_m === null ? '' : `, ${lengthUp(hazard.height_m)} high`}`;
    const crossings = hazard.crossings.map((place, k) =>
      spot('Hazards', `${hazard.name}, crossing ${k + 1}`, '', place),
    );
    if (hazard.shape.kind === 'area')
      return [area('Hazards', hazard.name, note, topOf(hazard, hazard.shape.ring), facts), ...crossings];
    return [
      {
        folder: 'Hazards',
        name: hazard.name,
        note,
        shape: { kind: 'line', line: topOf(hazard, hazard.shape.line) },
        facts,
      },
      ...crossings,
    ];
  });
}

const inHeight = ({ position, up_m }: MapCrew['gates'][number]): Position => [position[0], position[1], up_m];

const standbyNote = ({ medical, status }: MapCrew): string =>
  [medical ? 'Medical.' : '', status === 'proposed' ? 'Proposed, not ordered: stay where you are.' : '']
    .filter((part) => part !== '')
    .join(' ');

function crewFeatures(crew: MapCrew): Feature[] {
  const line: LonLat[] = [];
  for (const place of crew.route.flatMap((leg) => leg.line)) {
    const last = line.at(-1);
    if (last === undefined || last[0] !== place[0] || last[1] !== place[1]) line.push(place);
  }
  const facts = { crew: crew.name, kind: crew.kind, medical: crew.medical, state: crew.status };
  // A name is what a receiver shows: nobody drives to a place that is only proposed.
  const as = crew.status === 'proposed' ? ' (proposed)' : '';
  if (crew.status === 'refused')
    return [spot('Crews', `${crew.name}, stays here (refused)`, 'It does not go.', crew.standby, facts)];
  const route: Feature[] =
    line.length < 2
      ? []
      : [
          {
            folder: 'Crews',
            name: `${crew.name} to the ${crew.ends === 'shore' ? 'shore' : crew.goalName}${as}`,
            note: crew.ends === 'shore' ? 'From the standby; it waits at the shore.' : 'From the standby.',
            route: true,
            shape: { kind: 'line', line },
            facts,
          },
        ];
  const gates = crew.gates.map((gate) =>
    spot(
      'Crews',
      `${crew.name}, ${gate.name}${as}`,
      `${quantity(gate.agl_m, 'm')} AGL: ${gate.rule}.`,
      inHeight(gate),
      {
        ...facts,
        agl_m: gate.agl_m,
      },
    ),
  );
  const final: Feature[] =
    crew.gates.length < 2
      ? []
      : [
          {
            folder: 'Crews',
            name: `${crew.name}, final${as}`,
            note: 'From the hold to setting down.',
            route: true,
            shape: { kind: 'line', line: crew.gates.map(inHeight) },
            facts,
          },
        ];
  return [
    spot('Crews', `${crew.name}, standby${as}`, standbyNote(crew), crew.standby, facts),
    ...route,
    ...gates,
    ...final,
  ];
}

const smokeFeature = ({ smoke }: BriefMap): Feature[] =>
  smoke === null
    ? []
    : [spot('Expected landing', smoke.device, 'Set here for the jumper to see on final.', smoke.position)];

const LOST = 'If contact is lost';

/** Not a route: nobody goes there before contact is lost. */
function searchFeatures({ search }: BriefMap): Feature[] {
  if (search === null) return [];
  const { datum, ellipse90, crew, pattern, line, spacing_m } = search;
  const who = crew ?? 'no crew can search';
  const facts = { crew: crew ?? '', pattern, spacing_m: Math.round(spacing_m) };
  return [
    spot(LOST, `${LOST}: datum`, 'The middle of the landings that are searched first.', datum, facts),
    area(LOST, `${LOST}: ${quantity(90, '%')} of landings`, '', outlineOf(ellipse90), facts),
    {
      folder: LOST,
      name: `${LOST}: ${pattern}, ${who}`,
      note: `Lines ${distance(spacing_m)} apart.`,
      shape: { kind: 'line', line },
      facts,
    },
  ];
}

function caseFeatures({ name, letter, weight, landing, ellipse90 }: BriefMap['cases'][number]): Feature[] {
  if (letter === 'P') return [];
  const facts = { case: name, letter, weight };
  return [
    spot('Other cases', `${letter} ${name}`, `Share ${chanceWords(weight)}.`, landing, facts),
    area('Other cases', `${letter} ${name}: ${quantity(90, '%')} of landings`, '', outlineOf(ellipse90), facts),
  ];
}
