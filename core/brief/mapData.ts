// What a brief's map shows, as places: the same data for the picture on paper and for every export. Positions
// [longitude, latitude].
import type { Approach } from '../recovery/approach.ts';
import type { Gate } from '../recovery/final.ts';
import { windOver, type CrewKind } from '../recovery/crews.ts';
import type { RouteLeg } from '../recovery/routes.ts';
import { centroid } from '../earth/geodesic.ts';
import { ellipseRing, type PlacedEllipse } from '../earth/ellipse.ts';
import type { LandingStatistics } from '../descent/statistics.ts';
import { RAD_PER_DEG, windFrom, type LonLat } from '../base/units.ts';
import type { Hazard } from '../plan/schema.ts';
import { marginOf } from '../recovery/margin.ts';
import { zoneNamed } from '../descent/scenario.ts';
import { plannedCase, type BriefSource, type ConeSlice, type CrewSource } from './source.ts';

type TrackPoint = readonly [time_s: number, lon: number, lat: number, height_m: number];

export interface MapBody {
  readonly name: string;
  readonly landing: LonLat;
  readonly elevation_m: number;
  readonly touchdown_s: number;
  readonly ellipses: readonly ({ readonly percent: 50 | 90 } & PlacedEllipse)[];
  /** Times s since 1970. */
  readonly track: readonly TrackPoint[];
  /** Index of the first point of the track under canopy; null where none opens. */
  readonly opens: number | null;
}

export interface MapCase {
  readonly name: string;
  readonly letter: string;
  readonly weight: number;
  readonly landing: LonLat;
  readonly ellipse90: PlacedEllipse;
}

export interface MapCrew {
  readonly name: string;
  readonly kind: CrewKind;
  readonly medical: boolean;
  readonly standby: LonLat;
  readonly status: CrewSource['status'];
  readonly base: LonLat;
  readonly goal: LonLat;
  readonly goalName: 'jumper' | 'gondola';
  /** Where its way ends. */
  readonly ends: CrewSource['ends'];
  readonly route: readonly RouteLeg[];
  readonly gates: readonly Gate[];
  readonly setDown: LonLat | null;
}

export interface MapZone {
  readonly name: string;
  readonly ring: readonly LonLat[];
  readonly middle: LonLat;
  readonly aimed: boolean;
}

export interface MapHazard {
  readonly name: string;
  readonly kind: string;
  readonly height_m: number | null;
  readonly shape:
    | { readonly kind: 'area'; readonly ring: readonly LonLat[] }
    | { readonly kind: 'line'; readonly line: readonly LonLat[] };
  /** Heights MSL of its top, one a corner; null where its own height is not known. */
  readonly tops_m: readonly number[] | null;
  readonly crossings: readonly LonLat[];
}

export interface MapLandmark {
  readonly name: string;
  readonly line: readonly LonLat[];
}

interface MapSearch {
  readonly datum: LonLat;
  readonly ellipse90: PlacedEllipse;
  /** Null where no crew can search. */
  readonly crew: string | null;
  readonly pattern: string;
  readonly line: readonly LonLat[];
  readonly spacing_m: number;
}

export interface BriefMap {
  /** About which the map is drawn: the expected landing, else the site. */
  readonly center: LonLat;
  readonly exit: { readonly position: LonLat; readonly height_m: number; readonly time_s: number };
  readonly jumper: MapBody | null;
  readonly others: readonly MapBody[];
  readonly cases: readonly MapCase[];
  readonly zones: readonly MapZone[];
  readonly hazards: readonly MapHazard[];
  readonly landmarks: readonly MapLandmark[];
  readonly crews: readonly MapCrew[];
  /** The 99 % region of what may come down, one ring per part, with a vehicle's and a helicopter's margin about it. */
  readonly keepClear: readonly {
    readonly name: string;
    readonly ring: readonly LonLat[];
    readonly rotorRing: readonly LonLat[];
  }[];
  readonly smoke: { readonly position: LonLat; readonly device: string } | null;
  readonly cone: readonly ConeSlice[];
  /** Where to look if contact is lost, and the lines to be flown; null once the jumper is down. */
  readonly search: MapSearch | null;
  /** On the ground at the expected landing, when it is expected. */
  readonly wind: { readonly from_deg: number; readonly speed_mps: number };
  /** East positive; null where it is not known. */
  readonly declination_deg: number | null;
}

export function mapOf(source: BriefSource): BriefMap {
  const { situation, advised, scene } = source;
  const { mission } = situation;
  const planned = plannedCase(source.cases);
  const outlook = planned?.outlook ?? advised.outlook;
  const jumper = bodyOf('jumper', outlook, planned?.statistics ?? advised.advice.statistics);
  const { exit } = outlook.scenario;
  const aimed = zoneNamed(advised.advice.zone, mission.landingZones)?.name ?? null;
  const smoke = source.smoke;
  const center = jumper?.landing ?? mission.site.position;
  const smokePlace = jumper === null ? null : smokePosition(source, jumper.landing);
  return {
    center,
    exit: { position: [exit.lon_deg, exit.lat_deg], height_m: exit.height_m, time_s: exit.time_s },
    jumper,
    others: source.others.flatMap((one) => {
      const body = one.kind === 'falls' ? bodyOf(one.name, one.outlook, one.statistics) : null;
      return body === null ? [] : [body];
    }),
    cases: source.cases.flatMap((one): MapCase[] => {
      const landing = one.kind === 'flown' ? one.outlook.prediction.landing : null;
      if (one.kind !== 'flown' || landing === null || one.statistics === null) return [];
      const { name, mark, weight } = one.case;
      const ellipse90 = { center: one.statistics.mean, ...one.statistics.ellipses['90'] };
      const middle = one.case.kind === 'as planned' ? landing.position : one.statistics.mean;
      return [{ name, letter: mark.letter, weight, landing: middle, ellipse90 }];
    }),
    zones: (mission.landingZones ?? []).map(({ name, polygon }) => ({
      name,
      ring: polygon,
      middle: centroid(polygon),
      aimed: name === aimed,
    })),
    hazards: (mission.hazards ?? []).map((hazard) => ({
      name: hazard.name,
      kind: hazard.kind,
      height_m: hazard.height_m ?? null,
      shape:
        'polygon' in hazard
          ? { kind: 'area' as const, ring: hazard.polygon as readonly LonLat[] }
          : { kind: 'line' as const, line: hazard.line },
      tops_m: topsOf(source, hazard),
      crossings: 'polygon' in hazard ? [] : (hazard.crossings ?? []),
    })),
    landmarks: (mission.landmarks ?? []).map((mark) => ({
      name: mark.name,
      line: 'position' in mark ? [mark.position as LonLat] : mark.line,
    })),
    crews: source.crews.map(crewOf),
    keepClear: scene === null ? [] : keepClearOf(source),
    smoke: smokePlace === null || smoke?.kind !== 'place' ? null : { position: smokePlace, device: smoke.device },
    cone: source.cone,
    search: scene?.stage === 'down' ? null : searchOf(source),
    wind: windFrom(...windOver(situation, center, 10, jumper?.touchdown_s ?? exit.time_s)),
    declination_deg: source.declination.kind === 'known' ? source.declination.deg : null,
  };
}

function topsOf({ situation }: BriefSource, hazard: Hazard): number[] | null {
  const { height_m } = hazard;
  if (height_m === undefined) return null;
  const places = ('polygon' in hazard ? hazard.polygon : hazard.line) as readonly LonLat[];
  return places.map(([lon, lat]) => situation.world.ground.heightAt(lat * RAD_PER_DEG, lon * RAD_PER_DEG) + height_m);
}

function searchOf({ search }: BriefSource): MapSearch | null {
  const best = search.patterns.find((one) => one.pattern.name === search.recommended);
  if (best === undefined) return null;
  return {
    datum: search.datum,
    ellipse90: { center: search.datum, ...search.ellipses['90'] },
    crew: search.searcher?.crew.name ?? null,
    pattern: search.recommended,
    line: best.line,
    spacing_m: best.spacing_m,
  };
}

function bodyOf(
  name: string,
  outlook: BriefSource['advised']['outlook'],
  statistics: LandingStatistics | null,
): MapBody | null {
  const { landing, track, opening } = outlook.prediction;
  if (landing === null || statistics === null) return null;
  const start_s = outlook.scenario.exit.time_s;
  const { ellipses, mean } = statistics;
  const opens = opening === null ? -1 : track.findIndex((point) => point[0] >= opening.time_s);
  return {
    name,
    landing: landing.position,
    elevation_m: landing.elevation_m,
    touchdown_s: start_s + landing.time_s,
    ellipses: [
      { percent: 50, center: mean, ...ellipses['50'] },
      { percent: 90, center: mean, ...ellipses['90'] },
    ],
    track: track.map(([t, lon, lat, height_m]) => [start_s + t, lon, lat, height_m]),
    opens: opens < 0 ? null : opens,
  };
}

function crewOf({ crew, standby, goal, route, approach, status, ends }: CrewSource): MapCrew {
  return {
    name: crew.name,
    kind: crew.kind,
    medical: crew.medical,
    standby,
    status,
    base: crew.base,
    goal: goal.position,
    goalName: goal.name,
    ends,
    route: route.kind === 'route' ? route.legs : [],
    gates: approach?.gates ?? [],
    setDown: setDownOf(approach),
  };
}

const setDownOf = (approach: Approach | null): LonLat | null =>
  approach === null || approach.setDown.kind === 'hoist' ? null : approach.setDown.position;

function keepClearOf({ scene }: BriefSource): BriefMap['keepClear'] {
  if (scene === null) return [];
  const helicopter = scene.crews.find((crew) => crew.kind === 'helicopter');
  const inner = scene.clear.rings(scene.frame);
  const outer = helicopter === undefined ? inner : scene.clear.rings(scene.frame, marginOf(scene, helicopter));
  return inner.map(({ name, ring }, k) => ({ name, ring, rotorRing: outer[k]?.ring ?? ring }));
}

/** Where the smoke is set; null without one. */
export const smokePosition = ({ smoke, scene }: BriefSource, landing: LonLat): LonLat | null =>
  smoke?.kind === 'place' && scene !== null ? besides(scene.frame, landing, smoke.place) : null;

function besides(
  frame: { toLocal: (place: LonLat) => readonly [number, number]; toLonLat: (east: number, north: number) => LonLat },
  place: LonLat,
  [east, north]: readonly [number, number],
): LonLat {
  const [x, y] = frame.toLocal(place);
  return frame.toLonLat(x + east, y + north);
}

/** The outline of an ellipse, a closed way round. */
export const outlineOf = (ellipse: PlacedEllipse): LonLat[] => {
  const ring = ellipseRing(ellipse, 72);
  const first = ring[0];
  return first === undefined ? ring : [...ring, first];
};
