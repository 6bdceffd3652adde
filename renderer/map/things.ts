// The scene as a list: everything on the map that has a name, with its place and its words. Picking, focusing by key,
// and the text that stands for the map where it cannot be seen all read this list.
import { formatDegrees } from '../../core/words/positions.ts';
import { inverse } from '../../core/earth/geodesic.ts';
import type { LonLat } from '../../core/base/units.ts';
import { age, clock } from '../../core/words/times.ts';
import { windBothWays, directionWords } from '../../core/words/winds.ts';
import { distance, height, lengthUp, spreadSize } from '../../core/words/lengths.ts';
import { number, THIN } from '../../core/words/numbers.ts';
import { lineMiddle, ringMiddle } from './places.ts';
import type { MapKind, MapMoment, MapScene } from './scene.ts';
import { elapsed } from './wording.ts';

export interface Thing {
  readonly kind: MapKind;
  readonly name: string;
  /** What is known of it, after its name. */
  readonly words: string;
  /** The place that stands for it. */
  readonly place: LonLat;
  readonly shape:
    | { readonly kind: 'point' }
    | { readonly kind: 'line'; readonly line: readonly LonLat[] }
    | { readonly kind: 'area'; readonly rings: readonly (readonly LonLat[])[] };
}

const places = (place: LonLat): string => formatDegrees(place, 4);

const pointThing = (kind: MapKind, name: string, words: string, place: LonLat): Thing => ({
  kind,
  name,
  words,
  place,
  shape: { kind: 'point' },
});

const lineThing = (kind: MapKind, name: string, words: string, line: readonly LonLat[]): Thing => ({
  kind,
  name,
  words,
  place: lineMiddle(line),
  shape: { kind: 'line', line },
});

/** Nothing where the area has no outline. */
function areaThing(kind: MapKind, name: string, words: string, rings: readonly (readonly LonLat[])[]): Thing[] {
  const [ring] = rings;
  return ring === undefined ? [] : [{ kind, name, words, place: ringMiddle(ring), shape: { kind: 'area', rings } }];
}

export function thingsOf(scene: MapScene): Thing[] {
  return [
    ...descentThings(scene),
    ...exitThings(scene),
    ...otherThings(scene),
    ...groundThings(scene),
    ...recoveryThings(scene),
  ];
}

const upWords = ({ units, site }: MapScene, height_m: number): string => height(height_m, units, site.elevation_m);

/** A place that the body is at, with the moment when it is there. */
function momentThing(scene: MapScene, kind: MapKind, moment: MapMoment, more = ''): Thing {
  const at = moment.at_s === null ? '' : `${clock(moment.at_s, scene.units)}, `;
  const words =
    `${upWords(scene, moment.height_m)}, ${at}${elapsed(moment.t_s)} after exit, ` + places(moment.position);
  return pointThing(kind, moment.name, `${words}${more}`, moment.position);
}

/** Landing, exit, opening and the ends of the stages. */
function descentThings(scene: MapScene): Thing[] {
  const { exit, opening, landing } = scene;
  const things: Thing[] = [];
  if (landing !== null) {
    const toExit = exit === null ? '' : `, ${wayWords(scene, exit.position, landing.position)} from the exit`;
    things.push(momentThing(scene, 'landing', landing, toExit));
  }
  if (exit !== null) {
    const at = exit.at_s === null ? '' : `, ${clock(exit.at_s, scene.units)}`;
    const words = `${upWords(scene, exit.height_m)}${at}, ${places(exit.position)}`;
    things.push(pointThing('exit', 'Exit', words, exit.position));
  }
  if (opening !== null) things.push(momentThing(scene, 'opening', opening));
  return [...things, ...scene.stageMarks.map((moment) => momentThing(scene, 'stage', moment))];
}

function exitThings({ exitLine, bestExit, units }: MapScene): Thing[] {
  const things: Thing[] = [];
  const window = exitLine?.window ?? null;
  if (exitLine !== null && window !== null) {
    const at = (time_s: number): string => clock(time_s, units);
    const words = `opens ${at(window.opens_s)}, best ${at(window.best_s)}, closes ${at(window.closes_s)}`;
    const line = exitLine.points.map((one) => one.position);
    things.push(lineThing('exit window', 'Exit window', words, line));
  }
  if (bestExit !== null) {
    const words = `${number(100 * bestExit.share)}${THIN}% in the zone, ${places(bestExit.position)}`;
    things.push(pointThing('best exit', 'Best exit anywhere', words, bestExit.position));
  }
  return things;
}

/** Landings of the other cases and bodies, and what can be reached. */
function otherThings(scene: MapScene): Thing[] {
  return [
    ...scene.cases.map(({ name, label, landing }) =>
      pointThing('case', name, label === name ? places(landing) : `${label}, ${places(landing)}`, landing),
    ),
    ...scene.bodies.flatMap(({ name, landing }) =>
      landing === null ? [] : [{ ...momentThing(scene, 'body', landing), name }],
    ),
    ...scene.reach.flatMap(({ name, rings, height_m }) =>
      areaThing('reach', name, `at ${upWords(scene, height_m)}`, rings),
    ),
  ];
}

function groundThings(scene: MapScene): Thing[] {
  const from = scene.landing?.position ?? scene.site.position;
  const origin = scene.landing === null ? 'the site' : 'the landing';
  const off = (place: LonLat): string => `${wayWords(scene, from, place)} from ${origin}`;
  return [
    ...scene.zones.flatMap(({ name, polygon }) => {
      const share = scene.chances[name];
      const landings = share === undefined ? '' : `${number(100 * share)}${THIN}% of landings, `;
      return areaThing('zone', name, `${landings}${off(ringMiddle(polygon))}`, [polygon]);
    }),
    ...scene.hazards.flatMap(({ name, kind, height_m, polygon, line = [] }) => {
      const place = polygon === undefined ? lineMiddle(line) : ringMiddle(polygon);
      const tall = height_m === undefined ? '' : `, ${lengthUp(height_m, scene.units)} AGL`;
      const words = `${kind}${tall}, ${off(place)}`;
      return polygon === undefined
        ? [lineThing('hazard', name, words, line)]
        : areaThing('hazard', name, words, [polygon]);
    }),
    ...scene.landmarks.map(({ name, position, line = [] }) =>
      position === undefined
        ? lineThing('landmark', name, off(lineMiddle(line)), line)
        : pointThing('landmark', name, off(position), position),
    ),
    pointThing('site', scene.site.name, places(scene.site.position), scene.site.position),
  ];
}

function recoveryThings(scene: MapScene): Thing[] {
  return [
    ...scene.crews.map(({ name, kind, note, age_s, position }) => {
      const old = age_s === null || age_s === undefined ? '' : `, seen ${age(age_s)} ago`;
      const words = `${kind}${note === undefined ? '' : `, ${note}`}${old}, ${places(position)}`;
      return pointThing('crew', name, words, position);
    }),
    ...scene.standby.map(({ crew, label, position, routes }) => {
      const gates = routes.flatMap((route) => route.gates.map((gate) => gate.label));
      const by = gates.length === 0 ? '' : `, gates ${gates.join(', ')}`;
      return pointThing('standby', crew, `${label}, ${places(position)}${by}`, position);
    }),
    ...scene.keepClear.flatMap(({ label, rings }) => areaThing('keep-clear', label, '', rings)),
    ...scene.smoke.map(({ label, from_deg, position }) => {
      const words = `plume toward ${directionWords(from_deg + 180)}, ${places(position)}`;
      return pointThing('smoke', label, words, position);
    }),
    ...scene.search.map(({ label, datum, points }) =>
      lineThing('search', label, datum === null ? '' : `datum ${places(datum)}`, points),
    ),
    ...scene.fixes.map(({ body, height_m, age_s, position }) => {
      const up = height_m === null ? '' : `${upWords(scene, height_m)}, `;
      return pointThing('fix', body, `${up}${age(age_s)} old, ${places(position)}`, position);
    }),
  ];
}

/** "4.2 km 075° (east)": how far and which way, from one place to another. */
function wayWords(scene: MapScene, from: LonLat, to: LonLat): string {
  const way = inverse(from, to);
  return way.distance_m < 1
    ? 'at the place'
    : `${distance(way.distance_m, scene.units)} toward ${directionWords(way.bearing_deg)}`;
}

/** What the map also shows and nobody picks: the track, the spread, the wind. */
export function summaryOf(scene: MapScene): string[] {
  const words: string[] = [];
  const { surfaceWind, track, units, site } = scene;
  if (surfaceWind !== null)
    words.push(`Surface wind ${windBothWays(surfaceWind.from_deg, surfaceWind.speed_mps, units, surfaceWind.toward)}.`);
  const first = track?.points[0];
  const last = track?.points.at(-1);
  if (first !== undefined && last !== undefined) {
    const drift = wayWords(scene, [first[1], first[2]], [last[1], last[2]]);
    const up = `${height(first[3], units, site.elevation_m)} to ${height(last[3], units, site.elevation_m)}`;
    words.push(`Track from ${up} in ${elapsed(last[0] - first[0]).slice(1)}, drift ${drift}.`);
    if ((track?.extrapolated.length ?? 0) > 0) words.push('Part of the track rests on extrapolated wind.');
  }
  if (scene.dots !== null) words.push(`${number(scene.dots.length / 2)} sampled landings.`);
  for (const ellipse of scene.ellipses) {
    words.push(`${spreadSize(ellipse.percent, ellipse, units)}, long axis ${directionWords(ellipse.bearing_deg)}.`);
  }
  for (const contour of scene.contours) words.push(`Region that holds ${number(contour.percent)}${THIN}% of landings.`);
  if (scene.trail.length > 0)
    words.push(`${number(scene.trail.length)} earlier landings, the oldest ${age(scene.trail[0]?.age_s ?? NaN)} old.`);
  return words;
}
