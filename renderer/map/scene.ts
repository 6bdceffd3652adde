// What the map shows, as plain data. Positions are [lon, lat] in degrees; heights m MSL; `t_s` seconds since exit;
// `at_s` seconds since 1970-01-01T00:00:00Z; winds FROM. The map compares parts by identity: hand over the same object
// for what did not change.
import type { LonLat } from '../../core/base/units.ts';
import type { TerrainGrid } from '../../core/earth/terrain.ts';
import type { Team } from '../../core/plan/schema.ts';
import type { Units } from '../../core/words/numbers.ts';

export interface MapScene {
  /** Its elevation is the ground that AGL counts from, as in the wind column. */
  readonly site: {
    readonly name: string;
    readonly position: LonLat;
    readonly elevation_m: number;
    readonly timeZone?: string | undefined;
  };
  readonly units: Units;
  readonly terrain: TerrainGrid | null;
  /** Gives the lee side of ridges and the arrow beside the north arrow. */
  readonly surfaceWind: MapWind | null;
  readonly zones: readonly MapZone[];
  /** The share of landings in each zone by its name, 0 to 1; a zone is missing where it is not known. */
  readonly chances: Readonly<Record<string, number>>;
  /** The zone that is aimed at: its name always stands on the map or at its edge. Null: none. */
  readonly target: string | null;
  readonly hazards: readonly MapHazard[];
  readonly landmarks: readonly MapLandmark[];
  readonly crews: readonly MapCrew[];
  readonly exit: MapExit | null;
  readonly track: MapTrack | null;
  readonly opening: MapMoment | null;
  readonly landing: MapMoment | null;
  /** Other moments of the descent worth a mark: the drogue's release, the peak speed. */
  readonly stageMarks: readonly MapMoment[];
  /** Earlier landings, oldest first: they fade with age. */
  readonly trail: readonly MapTrailPoint[];
  /** The height that the person points at, here or in the wind column. */
  readonly pointedHeight_m: number | null;
  /** What the person has chosen; drawn in the accent. */
  readonly chosen: MapThing | null;
  /** The height slice slider at the map's edge; null leaves it out. */
  readonly slice: MapSlice | null;

  /** A sample of landings, lon, lat, lon, lat, … */
  readonly dots: Float32Array | null;
  readonly contours: readonly MapContour[];
  readonly ellipses: readonly MapEllipse[];
  /** Reachable regions and slices of drift cones. */
  readonly reach: readonly MapReach[];
  readonly exitLine: MapExitLine | null;
  /** The most promising exit anywhere at the planned height and time. */
  readonly bestExit: { readonly position: LonLat; readonly share: number } | null;
  readonly cases: readonly MapCase[];
  readonly bodies: readonly MapBody[];
  readonly standby: readonly MapStandby[];
  readonly keepClear: readonly MapArea[];
  readonly smoke: readonly MapSmoke[];
  readonly search: readonly MapSearch[];
  readonly fixes: readonly MapFix[];
}

interface MapThing {
  readonly kind: MapKind;
  readonly name: string;
}

export type MapKind =
  | 'site'
  | 'zone'
  | 'hazard'
  | 'landmark'
  | 'crew'
  | 'exit'
  | 'opening'
  | 'landing'
  | 'stage'
  | 'earlier landing'
  | 'case'
  | 'body'
  | 'standby'
  | 'keep-clear'
  | 'smoke'
  | 'search'
  | 'fix'
  | 'reach'
  | 'exit window'
  | 'best exit';

export interface MapWind {
  readonly from_deg: number;
  readonly speed_mps: number;
  /** The landmark on the side that it blows to; null: the octant is said instead. */
  readonly toward: string | null;
}

export interface MapZone {
  readonly name: string;
  readonly polygon: readonly LonLat[];
}

export interface MapHazard {
  readonly name: string;
  /** Power line, river, ridge, road, fence, cliff and trees have strokes of their own; any other kind is hatched. */
  readonly kind: string;
  readonly polygon?: readonly LonLat[] | undefined;
  readonly line?: readonly LonLat[] | undefined;
  readonly height_m?: number | undefined;
  readonly crossings?: readonly LonLat[] | undefined;
}

export interface MapLandmark {
  readonly name: string;
  readonly position?: LonLat | undefined;
  readonly line?: readonly LonLat[] | undefined;
}

export interface MapCrew {
  readonly name: string;
  readonly kind: Team['kind'];
  readonly position: LonLat;
  /** Whether it can be dragged here. */
  readonly movable: boolean;
  /** A few words under the name: "12 min to landing". */
  readonly note?: string | undefined;
  /** How old the position is; null where it is planned and not reported. */
  readonly age_s?: number | null;
}

export interface MapExit {
  readonly position: LonLat;
  readonly height_m: number;
  readonly at_s: number | null;
  readonly movable: boolean;
}

/** [t_s, lon, lat, height_m], as predictions give them. */
export type MapTrackPoint = readonly [t_s: number, lon_deg: number, lat_deg: number, height_m: number];

export interface MapTrack {
  readonly points: readonly MapTrackPoint[];
  /** Which stretch is what, by time; a point outside all parts counts as freefall. */
  readonly parts: readonly {
    readonly phase: MapPhase;
    readonly name: string;
    readonly start_s: number;
    readonly end_s: number;
  }[];
  /** Height ranges in which the wind is extrapolated: drawn dashed. */
  readonly extrapolated: readonly { readonly bottom_m: number; readonly top_m: number }[];
  /** The wind along the track, heights rising, for the hover's words. */
  readonly winds: readonly { readonly height_m: number; readonly from_deg: number; readonly speed_mps: number }[];
}

export type MapPhase = 'freefall' | 'filling' | 'canopy';

export interface MapMoment {
  readonly name: string;
  readonly position: LonLat;
  readonly height_m: number;
  readonly t_s: number;
  readonly at_s: number | null;
}

interface MapTrailPoint {
  readonly position: LonLat;
  readonly age_s: number;
  /** Why the landing was there: "before Team 2's wind". */
  readonly label?: string | undefined;
}

export interface MapSlice {
  readonly label: string;
  readonly bottom_m: number;
  readonly top_m: number;
  readonly height_m: number;
}

export interface MapContour {
  /** The share of landings inside, 0 to 100. */
  readonly percent: number;
  /** Outlines and holes alike; what lies inside an odd number of them is in. */
  readonly rings: readonly (readonly LonLat[])[];
}

export interface MapEllipse {
  readonly percent: number;
  readonly center: LonLat;
  readonly semiMajor_m: number;
  readonly semiMinor_m: number;
  /** Of the long axis, clockwise from true north. */
  readonly bearing_deg: number;
}

export interface MapReach {
  /** `reach`: where the canopy can still go; `cone`: from where a zone can still be reached. */
  readonly kind: 'reach' | 'cone';
  readonly name: string;
  readonly height_m: number;
  readonly rings: readonly (readonly LonLat[])[];
  readonly extrapolated?: boolean | undefined;
}

export interface MapExitLine {
  /** The carrier's way, in time. */
  readonly points: readonly { readonly position: LonLat; readonly at_s: number; readonly height_m: number }[];
  /** When the exit window opens, is best and closes; null without one. */
  readonly window: { readonly opens_s: number; readonly best_s: number; readonly closes_s: number } | null;
  readonly extrapolated?: boolean | undefined;
}

/** One shape a case: they differ in outline, not in colour. */
export const caseMarks = [
  'circle',
  'square',
  'triangle',
  'diamond',
  'cross',
  'plus',
  'star',
  'hexagon',
  'triangle down',
  'ring',
  'pentagon',
  'hourglass',
  'bar',
  'house',
] as const;
export type CaseMark = (typeof caseMarks)[number];

export interface MapCase {
  readonly name: string;
  readonly mark: CaseMark;
  readonly landing: LonLat;
  readonly ellipse: MapEllipse | null;
  readonly label: string;
  /** The descent's way over the ground, where it is to be shown. */
  readonly track?: readonly LonLat[] | undefined;
}

export interface MapBody {
  readonly name: string;
  readonly kind: 'gondola' | 'envelope';
  readonly track: readonly LonLat[];
  readonly landing: MapMoment | null;
  readonly ellipse: MapEllipse | null;
}

export interface MapStandby {
  readonly crew: string;
  readonly position: LonLat;
  readonly label: string;
  readonly routes: readonly {
    readonly name: string;
    readonly points: readonly LonLat[];
    readonly gates: readonly { readonly position: LonLat; readonly label: string }[];
  }[];
}

export interface MapArea {
  readonly label: string;
  readonly rings: readonly (readonly LonLat[])[];
}

export interface MapSmoke {
  readonly label: string;
  readonly position: LonLat;
  /** Where the plume lies: the direction the wind blows from. */
  readonly from_deg: number;
}

export interface MapSearch {
  readonly label: string;
  readonly datum: LonLat | null;
  readonly points: readonly LonLat[];
}

export interface MapFix {
  readonly body: string;
  readonly kind: 'jumper' | 'gondola' | 'crew';
  readonly position: LonLat;
  readonly height_m: number | null;
  readonly age_s: number;
  /** Earlier places, oldest first. */
  readonly history: readonly LonLat[];
}

/** A map with nothing on it but its site: the start that callers fill with `{ ...emptyScene(site, units), … }`. */
export function emptyScene(site: MapScene['site'], units: Units): MapScene {
  return {
    site,
    units,
    terrain: null,
    surfaceWind: null,
    zones: [],
    chances: {},
    target: null,
    hazards: [],
    landmarks: [],
    crews: [],
    exit: null,
    track: null,
    opening: null,
    landing: null,
    stageMarks: [],
    trail: [],
    pointedHeight_m: null,
    chosen: null,
    slice: null,
    dots: null,
    contours: [],
    ellipses: [],
    reach: [],
    exitLine: null,
    bestExit: null,
    cases: [],
    bodies: [],
    standby: [],
    keepClear: [],
    smoke: [],
    search: [],
    fixes: [],
  };
}
