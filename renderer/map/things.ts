// The scene as a list: everything on the map that has a name, with its place and its words. Picking, focusing by key,
// and the text that stands for the map where it cannot be seen all read this list.
import { formatDegrees } from '../../core/words/positions.ts';
import { inverse } from '../../core/earth/geodesic.ts';
import type { LonLat } from '../../core/base/units.ts';
import { age, clock } from '../../core/words/times.ts';
import { windBothWays, directionWords } from '../../core/words/winds.ts';
import { distance, height, lengthUp } from '../../core/words/lengths.ts';
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

const point = { kind: 'point' } as const;
const places = (place: LonLat): string => formatDegrees(place, 4);

export function thingsOf(scene: MapScene): Thing[] {
  return [...descentThings(scene), ...groundThings(scene), ...recoveryThings(scene)];
}

function momentWords(scene: MapScene, moment: MapMoment): string {
  const at = moment.at_s === null ? '' : `${clock(moment.at_s, scene.units)}, `;
  return `${height(moment.height_m, scene.units, scene.site.elevation_m)}, ${at}${elapsed(moment.t_s)} after exit, ${places(moment.position)}`;
}

function descentThings(scene: MapScene): Thing[] {
  const things: Thing[] = [];
  const { exit, opening, landing, exitLine } = scene;
  if (landing !== null) {
    const toExit = exit === null ? '' : `, ${wayWords(scene, exit.position, landing.position)} from the exit`;
    things.push({
      kind: 'landing',
      name: landing.name,
      words: `${momentWords(scene, landing)}${toExit}`,
      place: landing.position,
      shape: point,
    });
  }
  if (exit !== null) {
    const at = exit.at_s === null ? '' : `, ${clock(exit.at_s, scene.units)}`;
    const words = `${height(exit.height_m, scene.units, scene.site.elevation_m)}${at}, ${places(exit.position)}`;
    things.push({ kind: 'exit', name: 'Exit', words, place: exit.position, shape: point });
  }
  if (opening !== null) {
    things.push({
      kind: 'opening',
      name: opening.name,
      words: momentWords(scene, opening),
      place: opening.position,
      shape: point,
    });
  }
  for (const moment of scene.stageMarks) {
    things.push({
      kind: 'stage',
      name: moment.name,
      words: momentWords(scene, moment),
      place: moment.position,
      shape: point,
    });
  }
  if (exitLine?.window !== null && exitLine !== null) {
    const { opens_s, best_s, closes_s } = exitLine.window;
    const at = (time_s: number): string => clock(time_s, scene.units);
    const line = exitLine.points.map((one) => one.position);
    const words = `opens ${at(opens_s)}, best ${at(best_s)}, closes ${at(closes_s)}`;
    things.push({
      kind: 'exit window',
      name: 'Exit window',
      words,
      place: lineMiddle(line),
      shape: { kind: 'line', line },
    });
  }
  if (scene.bestExit !== null) {
    const { position, share } = scene.bestExit;
    const words = `${number(100 * share)}${THIN}% in the zone, ${places(position)}`;
    things.push({ kind: 'best exit', name: 'Best exit anywhere', words, place: position, shape: point });
  }
  for (const one of scene.cases) {
    const words = one.label === one.name ? places(one.landing) : `${one.label}, ${places(one.landing)}`;
    things.push({ kind: 'case', name: one.name, words, place: one.landing, shape: point });
  }
  for (const body of scene.bodies) {
    if (body.landing === null) continue;
    things.push({
      kind: 'body',
      name: body.name,
      words: momentWords(scene, body.landing),
      place: body.landing.position,
      shape: point,
    });
  }
  for (const reach of scene.reach) {
    const ring = reach.rings[0];
    if (ring === undefined) continue;
    const words = `at ${height(reach.height_m, scene.units, scene.site.elevation_m)}`;
    things.push({
      kind: 'reach',
      name: reach.name,
      words,
      place: ringMiddle(ring),
      shape: { kind: 'area', rings: reach.rings },
    });
  }
  return things;
}

function groundThings(scene: MapScene): Thing[] {
  const things: Thing[] = [];
  const from = scene.landing?.position ?? scene.site.position;
  const origin = scene.landing === null ? 'the site' : 'the landing';
  const off = (place: LonLat): string => `${wayWords(scene, from, place)} from ${origin}`;
  for (const zone of scene.zones) {
    const place = ringMiddle(zone.polygon);
    const share = scene.chances[zone.name];
    const landings = share === undefined ? '' : `${number(100 * share)}${THIN}% of landings, `;
    things.push({
      kind: 'zone',
      name: zone.name,
      words: `${landings}${off(place)}`,
      place,
      shape: { kind: 'area', rings: [zone.polygon] },
    });
  }
  for (const hazard of scene.hazards) {
    const tall = hazard.height_m === undefined ? '' : `, ${lengthUp(hazard.height_m, scene.units)} AGL`;
    const place = hazard.polygon === undefined ? lineMiddle(hazard.line ?? []) : ringMiddle(hazard.polygon);
    const shape =
      hazard.polygon === undefined
        ? { kind: 'line' as const, line: hazard.line ?? [] }
        : { kind: 'area' as const, rings: [hazard.polygon] };
    things.push({ kind: 'hazard', name: hazard.name, words: `${hazard.kind}${tall}, ${off(place)}`, place, shape });
  }
  for (const mark of scene.landmarks) {
    const place = mark.position ?? lineMiddle(mark.line ?? []);
    const shape = mark.position === undefined ? { kind: 'line' as const, line: mark.line ?? [] } : point;
    things.push({ kind: 'landmark', name: mark.name, words: off(place), place, shape });
  }
  things.push({
    kind: 'site',
    name: scene.site.name,
    words: places(scene.site.position),
    place: scene.site.position,
    shape: point,
  });
  return things;
}

function recoveryThings(scene: MapScene): Thing[] {
  const things: Thing[] = [];
  for (const crew of scene.crews) {
    const note = crew.note === undefined ? '' : `, ${crew.note}`;
    const old = crew.age_s === null || crew.age_s === undefined ? '' : `, seen ${age(crew.age_s)} ago`;
    const words = `${crew.kind}${note}${old}, ${places(crew.position)}`;
    things.push({ kind: 'crew', name: crew.name, words, place: crew.position, shape: point });
  }
  for (const standby of scene.standby) {
    const gates = standby.routes.flatMap((route) => route.gates.map((gate) => gate.label));
    const words = `${standby.label}, ${places(standby.position)}${gates.length === 0 ? '' : `, gates ${gates.join(', ')}`}`;
    things.push({ kind: 'standby', name: standby.crew, words, place: standby.position, shape: point });
  }
  for (const area of scene.keepClear) {
    const ring = area.rings[0];
    if (ring === undefined) continue;
    things.push({
      kind: 'keep-clear',
      name: area.label,
      words: '',
      place: ringMiddle(ring),
      shape: { kind: 'area', rings: area.rings },
    });
  }
  for (const smoke of scene.smoke) {
    const words = `plume toward ${directionWords(smoke.from_deg + 180)}, ${places(smoke.position)}`;
    things.push({ kind: 'smoke', name: smoke.label, words, place: smoke.position, shape: point });
  }
  for (const search of scene.search) {
    const words = search.datum === null ? '' : `datum ${places(search.datum)}`;
    things.push({
      kind: 'search',
      name: search.label,
      words,
      place: lineMiddle(search.points),
      shape: { kind: 'line', line: search.points },
    });
  }
  for (const fix of scene.fixes) {
    const up = fix.height_m === null ? '' : `${height(fix.height_m, scene.units, scene.site.elevation_m)}, `;
    things.push({
      kind: 'fix',
      name: fix.body,
      words: `${up}${age(fix.age_s)} old, ${places(fix.position)}`,
      place: fix.position,
      shape: point,
    });
  }
  return things;
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
    const axes = `${distance(ellipse.semiMajor_m, units)} by ${distance(ellipse.semiMinor_m, units)}`;
    words.push(
      `${number(ellipse.percent)}${THIN}% ellipse, half axes ${axes}, long axis ${directionWords(ellipse.bearing_deg)}.`,
    );
  }
  for (const contour of scene.contours) words.push(`Region that holds ${number(contour.percent)}${THIN}% of landings.`);
  if (scene.trail.length > 0)
    words.push(`${number(scene.trail.length)} earlier landings, the oldest ${age(scene.trail[0]?.age_s ?? NaN)} old.`);
  return words;
}
