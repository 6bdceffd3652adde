// How well each landing zone fits the moment: chance, reach, size and shape against the landing, ground, hazards,
// turbulence behind obstacles and ridges, sun and light, access. Each part is a number from 0 to 1 with its reason in
// words; the weights are visible and a mission can edit them (`zoneWeights`). Directions degrees true, winds FROM,
// metres.
import { booleanIntersects, lineString, polygon } from '@turf/turf';
import { direction } from '../words/winds.ts';
import { lengthUp, area } from '../words/lengths.ts';
import { number, quantity, percent, angle, chanceWords } from '../words/numbers.ts';
import { distanceToLines, isInside, localFrame, ringArea } from '../earth/geodesic.ts';
import { boxesMeet } from '../earth/plane.ts';
import { STRONG_HEIGHTS, turbulenceAt, WEAK_HEIGHTS, type Turbulence } from './lee.ts';
import { groundWithin, type GroundWithin, type TerrainGrid } from '../earth/terrain.ts';
import type { Hazard, LandingZone, Mission } from '../plan/schema.ts';
import { zoneMiddle } from '../descent/scenario.ts';
import { never } from '../base/problem.ts';
import { toEnd, type Steps } from '../base/steps.ts';
import { RAD_PER_DEG, type LonLat } from '../base/units.ts';
import { isShaded, lightLeft, sunOffHeading_deg, sunPosition, type LightLeft } from '../earth/sun.ts';

export type FitPart = 'chance' | 'reach' | 'size' | 'ground' | 'hazards' | 'turbulence' | 'light' | 'sun' | 'access';

/** Weights of the parts: what matters most to a person under a canopy first. Ours; a mission edits them. */
export const DEFAULT_WEIGHTS: Readonly<Record<FitPart, number>> = {
  chance: 5,
  hazards: 3,
  reach: 2,
  turbulence: 2,
  ground: 2,
  size: 1.5,
  light: 1,
  access: 0.5,
  sun: 0.5,
};

export interface FitScore {
  readonly part: FitPart;
  readonly weight: number;
  /** 0: unusable on this account, 1: nothing to wish for. */
  readonly score: number;
  readonly reason: string;
}

export interface ZoneFit {
  readonly zone: LandingZone;
  readonly middle: LonLat;
  readonly score: number;
  readonly parts: readonly FitScore[];
  /** The reasons that count most, in one sentence. */
  readonly sentence: string;
  readonly area_m2: number;
  /** Heading of a landing into the surface wind, and the length of the zone along it through its middle. */
  readonly landing_deg: number;
  readonly runIn_m: number;
  /** The zone's longest way through its middle, and the wind across it. */
  readonly longest_m: number;
  readonly longest_deg: number;
  readonly crosswind_mps: number;
  readonly ground: GroundWithin | null;
  readonly hazardsInside: readonly string[];
  readonly turbulence: readonly Turbulence[];
  readonly road_m: number | null;
  readonly sunAzimuth_deg: number;
  readonly sunElevation_deg: number;
  readonly sunOff_deg: number;
  readonly shaded: boolean | null;
  readonly light: LightLeft;
  /** After the first crew could be there. */
  readonly lightAtArrival: LightLeft;
}

/** The chance of a zone, and how far its middle lies inside reach, m; null where nothing is steered to. */
export interface ZoneChance {
  readonly p: number;
  readonly margin_m: number | null;
}

export interface FitInput {
  readonly mission: Mission;
  readonly terrain: TerrainGrid | null;
  readonly roads: readonly (readonly LonLat[])[];
  /** Surface wind at the zones, analysed. */
  readonly wind: { readonly from_deg: number; readonly speed_mps: number };
  readonly touchdown_s: number;
  /** When the first crew could be at the zone, s since 1970. */
  readonly arrival_s: (zone: LandingZone) => number;
  /**
   * Chance of landing in the zone when it is steered for, and how far inside the reach it lies; null where not
   * computed.
   */
  readonly chance: (zone: LandingZone) => ZoneChance | null;
}

/**
 * Ground steeper than this counts against a zone. ref: recovery.md §2 (helicopters land to 7°); for a person common
 * practice.
 */
const SLOPE_LIMIT_DEG = 7;
/** A run-in that leaves nothing to wish for, common practice: approach, flare and room to be 100 m off either way. */
const RUN_IN_M = 300;

/** How each part's score follows from what its reason says, a sentence each: what `scores` does, in words. */
export const SCORE_RULES: Readonly<Record<FitPart, string>> = {
  chance:
    'The score is that share, counted over the drawn descents from the best exit of the line, or from the planned one.',
  reach:
    `The score is 0.5 where the middle of the zone lies on the edge of the reach, 1 from ${quantity(500, 'm')} ` +
    `inside it on, 0 from ${quantity(500, 'm')} outside.`,
  size: `The score is the run-in over ${quantity(RUN_IN_M, 'm')}, at most 1.`,
  ground:
    `The score is 1 less three times the share steeper than ${angle(SLOPE_LIMIT_DEG)}, times 1.2 less a ` +
    'fifteenth of the mean slope in degrees, each kept from 0 to 1; 0.5 without terrain.',
  hazards: 'The score is 1 without a hazard, 0.5 with one, 0.2 less for each further one, and at least 0.1.',
  turbulence:
    `The score is 0.2 up to ${STRONG_HEIGHTS} heights behind the worst of what stands upwind, 1 from ` +
    `${WEAK_HEIGHTS} heights on, and even between.`,
  light:
    `The score is by day the time to sunset over ${quantity(90, 'min')}, at most 1; in twilight 0.2, at dawn ` +
    '0.7, in the dark 0, where it does not get dark 1.',
  access: `The score is 1 at a road, 0 from ${quantity(5, 'km')} on, and even between; 0.5 where no road is known.`,
  sun:
    'The score is 0.2 in glare, with the sun less than 30° off the heading and less than 30° high; 0.5 without ' +
    'sun; else 1.',
};

/** All zones, the best first. */
export const fitZones = (input: FitInput): ZoneFit[] => toEnd(fitsInSteps(input));

/** A zone a step: its terrain and its sun over the day take ten milliseconds and more. */
export function* fitsInSteps(input: FitInput): Steps<ZoneFit[]> {
  const fits: ZoneFit[] = [];
  for (const zone of input.mission.landingZones ?? []) {
    yield;
    fits.push(fitZone(zone, input));
  }
  return fits.sort((a, b) => b.score - a.score);
}

function fitZone(zone: LandingZone, input: FitInput): ZoneFit {
  const { wind, mission, terrain } = input;
  const middle = zoneMiddle(zone);
  const landing_deg = wind.from_deg;
  const runIn_m = chord(zone, middle, landing_deg);
  let longest_m = 0;
  let longest_deg = 0;
  for (let d = 0; d < 180; d += 5) {
    const length = chord(zone, middle, d);
    if (length > longest_m) [longest_m, longest_deg] = [length, d];
  }
  const sun = sunPosition(middle, input.touchdown_s);
  const ground = terrain === null ? null : groundWithin(terrain, zone.polygon, SLOPE_LIMIT_DEG);
  const hazards = mission.hazards ?? [];
  const facts = {
    zone,
    middle,
    area_m2: ringArea(zone.polygon).area_m2,
    landing_deg,
    runIn_m,
    longest_m,
    longest_deg,
    crosswind_mps: Math.abs(wind.speed_mps * Math.sin((wind.from_deg - longest_deg) * RAD_PER_DEG)),
    ground,
    hazardsInside: hazards.filter((hazard) => touches(hazard, zone)).map((hazard) => hazard.name),
    turbulence: turbulenceAt(zone, input),
    road_m: nearestRoad(middle, input),
    sunAzimuth_deg: sun.azimuth_deg,
    sunElevation_deg: sun.elevation_deg,
    sunOff_deg: sunOffHeading_deg(landing_deg, sun),
    shaded: terrain === null ? null : isShaded(terrain, middle, sun),
    light: lightLeft(middle, input.touchdown_s),
    lightAtArrival: lightLeft(middle, Math.max(input.touchdown_s, input.arrival_s(zone))),
  };
  const weights: Readonly<Record<string, number>> = { ...DEFAULT_WEIGHTS, ...mission.zoneWeights };
  const parts = scores(facts, input.chance(zone)).map((one): FitScore => ({ ...one, weight: weights[one.part] ?? 0 }));
  const total = parts.reduce((sum, one) => sum + one.weight, 0);
  const score = total > 0 ? parts.reduce((sum, one) => sum + one.weight * one.score, 0) / total : 0;
  return { ...facts, score, parts, sentence: sentenceOf(zone.name, parts) };
}

type Facts = Omit<ZoneFit, 'score' | 'parts' | 'sentence'>;
type Part = Omit<FitScore, 'weight'>;

const clip = (x: number): number => Math.min(Math.max(x, 0), 1);

function scores(facts: Facts, chance: ZoneChance | null): Part[] {
  const parts: Part[] = [];
  if (chance !== null) {
    parts.push({ part: 'chance', score: clip(chance.p), reason: `${chanceWords(chance.p)} of landings` });
    const { margin_m } = chance;
    if (margin_m !== null) {
      parts.push({
        part: 'reach',
        score: clip(0.5 + margin_m / 1000),
        reason:
          margin_m >= 0
            ? `${lengthUp(margin_m)} of reach to spare`
            : `${lengthUp(-margin_m)} beyond the canopy's reach`,
      });
    }
  }
  parts.push({
    part: 'size',
    score: clip(facts.runIn_m / RUN_IN_M),
    reason:
      `${lengthUp(facts.runIn_m)} run-in into the wind on ${direction(facts.landing_deg)}, ` + area(facts.area_m2),
  });
  parts.push(
    groundPart(facts),
    hazardPart(facts),
    turbulencePart(facts),
    lightPart(facts.lightAtArrival),
    sunPart(facts),
  );
  parts.push({
    part: 'access',
    score: facts.road_m === null ? 0.5 : clip(1 - facts.road_m / 5000),
    reason: facts.road_m === null ? 'no road is known' : `nearest road ${lengthUp(facts.road_m)}`,
  });
  return parts;
}

function groundPart({ ground }: Facts): Part {
  if (ground === null) return { part: 'ground', score: 0.5, reason: 'no terrain to judge the ground by' };
  const steep = ground.overLimit;
  const reason =
    steep > 0.01
      ? `${percent(steep)} steeper than ${angle(SLOPE_LIMIT_DEG)} (steepest ${angle(ground.slope_deg_max)})`
      : `ground within ${angle(ground.slope_deg_max)} of level`;
  return { part: 'ground', score: clip(1 - 3 * steep) * clip(1.2 - ground.slope_deg_mean / 15), reason };
}

function hazardPart({ hazardsInside }: Facts): Part {
  const score = hazardsInside.length === 0 ? 1 : Math.max(0.1, 0.5 - 0.2 * (hazardsInside.length - 1));
  return {
    part: 'hazards',
    score,
    reason: hazardsInside.length === 0 ? 'no hazard inside' : `${hazardsInside.join(', ')} inside`,
  };
}

function turbulencePart({ turbulence }: Facts): Part {
  const worst = turbulence[0];
  if (worst === undefined) return { part: 'turbulence', score: 1, reason: 'nothing upwind within 20 heights' };
  const strong = worst.heights < STRONG_HEIGHTS;
  return {
    part: 'turbulence',
    score: strong ? 0.2 : 0.2 + (0.8 * (worst.heights - STRONG_HEIGHTS)) / (WEAK_HEIGHTS - STRONG_HEIGHTS),
    reason: `${strong ? 'in' : 'near'} the lee of ${worst.name}: ${number(worst.heights)} heights upwind`,
  };
}

function lightPart(light: LightLeft): Part {
  switch (light.kind) {
    case 'day': {
      const minutes = light.toSunset_s / 60;
      return {
        part: 'light',
        score: clip(minutes / 90),
        reason: `${quantity(minutes, 'min')} to sunset when the first crew is there`,
      };
    }
    case 'twilight':
      return {
        part: 'light',
        score: 0.2,
        reason: `${quantity(light.toCivilEnd_s / 60, 'min')} of twilight when the first crew is there`,
      };
    case 'dawn':
      return { part: 'light', score: 0.7, reason: 'dawn when the first crew is there' };
    case 'no night':
      return { part: 'light', score: 1, reason: light.why === '' ? 'it does not get dark' : light.why };
    case 'night':
      return { part: 'light', score: 0, reason: 'dark when the first crew is there' };
    default:
      return never(light);
  }
}

function sunPart({ sunElevation_deg, sunOff_deg, shaded }: Facts): Part {
  if (sunElevation_deg <= 0) return { part: 'sun', score: 0.5, reason: 'the sun is down' };
  if (shaded === true) return { part: 'sun', score: 0.5, reason: 'in the shadow of the terrain' };
  const glare = sunOff_deg < 30 && sunElevation_deg < 30;
  return glare
    ? {
        part: 'sun',
        score: 0.2,
        reason: `sun ${angle(sunOff_deg)} off the landing heading, ${angle(sunElevation_deg)} high: glare`,
      }
    : { part: 'sun', score: 1, reason: `sun ${angle(sunOff_deg)} off the landing heading` };
}

/** What speaks for and what speaks against the zone, by weight. */
function sentenceOf(name: string, parts: readonly FitScore[]): string {
  const against = parts
    .filter((one) => one.score < 0.5 && one.weight > 0)
    .sort((a, b) => b.weight * (1 - b.score) - a.weight * (1 - a.score));
  const speaks = parts
    .filter((one) => one.score >= 0.5 && one.weight >= 1)
    .sort((a, b) => b.weight * b.score - a.weight * a.score);
  const good = speaks.slice(0, 3).map((one) => one.reason);
  const bad = against.slice(0, 2).map((one) => one.reason);
  return `${name}: ${good.join('; ')}${bad.length === 0 ? '' : `${good.length === 0 ? '' : '; '}but ${bad.join('; ')}`}.`;
}

/** Length of the zone along a bearing through a place, m; 0 where the place lies outside. */
function chord(zone: LandingZone, through: LonLat, bearing_deg: number): number {
  const frame = localFrame(through);
  const corners = zone.polygon.map((corner) => frame.toLocal(corner));
  const sin = Math.sin(bearing_deg * RAD_PER_DEG);
  const cos = Math.cos(bearing_deg * RAD_PER_DEG);
  let ahead = Infinity;
  let behind = Infinity;
  corners.forEach((a, i) => {
    const b = corners[(i + 1) % corners.length] ?? a;
    // Along and across the bearing.
    const [a1, a2, b1, b2] = [
      a[0] * sin + a[1] * cos,
      a[0] * cos - a[1] * sin,
      b[0] * sin + b[1] * cos,
      b[0] * cos - b[1] * sin,
    ];
    if (a2 > 0 === b2 > 0) return;
    const cut = a1 + ((0 - a2) / (b2 - a2)) * (b1 - a1);
    if (cut >= 0) ahead = Math.min(ahead, cut);
    else behind = Math.min(behind, -cut);
  });
  return Number.isFinite(ahead + behind) && isInside(through, zone.polygon) ? ahead + behind : 0;
}

const pointsOf = (hazard: Hazard): readonly LonLat[] =>
  ('polygon' in hazard ? hazard.polygon : hazard.line) as readonly LonLat[];

/** Whether a hazard lies in a zone, wholly or in part: on the plane about the zone, whose metres Turf takes too. */
function touches(hazard: Hazard, zone: LandingZone): boolean {
  const frame = localFrame(zoneMiddle(zone));
  const local = (places: readonly LonLat[]): [number, number][] => places.map((place) => [...frame.toLocal(place)]);
  const ring = (places: readonly LonLat[]): [number, number][] => local([...places, ...places.slice(0, 1)]);
  const points = pointsOf(hazard);
  const around = ring(zone.polygon);
  const there = 'polygon' in hazard ? ring(points) : local(points);
  // Turf takes 10 µs for two shapes, of which most lie far from each other.
  if (!boxesMeet(there, around)) return false;
  return booleanIntersects('polygon' in hazard ? polygon([there]) : lineString(there), polygon([around]));
}

function nearestRoad(middle: LonLat, { mission, roads }: FitInput): number | null {
  const lines = [
    ...roads,
    ...(mission.hazards ?? []).filter((hazard) => hazard.kind === 'road' && 'line' in hazard).map(pointsOf),
    ...(mission.landmarks ?? []).flatMap((mark) =>
      'line' in mark && /road|track|lane/i.test(mark.name) ? [mark.line as readonly LonLat[]] : [],
    ),
  ].filter((line) => line.length > 0);
  return lines.length === 0 ? null : distanceToLines(middle, lines);
}
