// Drawing on the map: a new zone, hazard, landmark or crew, or the corners of a shape that the plan has.
import { tidyPlace } from '../../../core/base/plainNumbers.ts';
import { circle, outlineFaults, rectangle, type Outline } from '../../../core/earth/outline.ts';
import { inverse, lineLength, ringArea } from '../../../core/earth/geodesic.ts';
import type { LonLat } from '../../../core/base/units.ts';
import { CREWS } from '../../../core/plan/library.ts';
import { directionWords } from '../../../core/words/winds.ts';
import { distance } from '../../../core/words/lengths.ts';
import { number, THIN, type Units } from '../../../core/words/numbers.ts';
import { placesNeeded, type Drawing, type DrawnShape, type DrawnThing } from '../stored/drawing.ts';
import { at, insert, put, type Json, type JsonObject, type Path } from '../stored/json.ts';
import type { Store } from '../derived/store.ts';
import { edit, endEdit, say } from './actions.ts';

/** Six decimals of a degree are 0.1 m. */

export function startDrawing(store: Store, thing: DrawnThing, shape: DrawnShape, set?: string): void {
  store.drawing.value = { of: set === undefined ? { thing } : { thing, set }, shape, places: [] };
}

/** Takes a shape of the plan in hand: its corners on the map. */
export function editShape(store: Store, path: Path, closed: boolean): void {
  const held = at(store.plan.peek() ?? null, path);
  const places = Array.isArray(held) ? (held as readonly Json[]).flatMap(placeIn) : [];
  const [first] = places;
  store.drawing.value = { of: { path }, shape: closed ? 'outline' : 'line', places };
  if (first !== undefined) store.goal.value = { position: first };
}

function placeIn(value: Json): LonLat[] {
  if (!Array.isArray(value)) return [];
  const [lon, lat] = value as readonly Json[];
  return typeof lon === 'number' && typeof lat === 'number' ? [[lon, lat]] : [];
}

/** One more place; a shape that needs no more is finished by it. */
export function addPlace(store: Store, place: LonLat): void {
  const drawing = store.drawing.peek();
  if (drawing === null) return;
  const places = [...drawing.places, tidyPlace(place)];
  store.drawing.value = { ...drawing, places };
  if ('path' in drawing.of) return applyShape(store, true);
  if (placesNeeded(drawing.shape).exactly === places.length) finishDrawing(store);
}

/** A place is put elsewhere. `final`: the hand lets go, and the step of undo is closed. */
export function movePlace(store: Store, index: number, place: LonLat, final: boolean): void {
  const drawing = store.drawing.peek();
  if (drawing === null || drawing.places[index] === undefined) return;
  store.drawing.value = { ...drawing, places: drawing.places.with(index, tidyPlace(place)) };
  if ('path' in drawing.of) applyShape(store, final);
}

/** A place between two others: halfway along a side. */
export function splitSide(store: Store, index: number, place: LonLat): void {
  const drawing = store.drawing.peek();
  if (drawing === null) return;
  store.drawing.value = { ...drawing, places: drawing.places.toSpliced(index + 1, 0, tidyPlace(place)) };
  if ('path' in drawing.of) applyShape(store, true);
}

/** Takes a place out; without an index the last one. A shape of the plan keeps as many as it needs. */
export function removePlace(store: Store, index?: number): void {
  const drawing = store.drawing.peek();
  if (drawing === null || drawing.places.length === 0) return;
  const inPlan = 'path' in drawing.of;
  if (inPlan && drawing.places.length <= placesNeeded(drawing.shape).atLeast)
    return say(store, 'A shape keeps its last corners; remove the whole thing in the Plan panel.', true);
  store.drawing.value = { ...drawing, places: drawing.places.toSpliced(index ?? drawing.places.length - 1, 1) };
  if (inPlan) applyShape(store, true);
}

export function cancelDrawing(store: Store): void {
  store.drawing.value = null;
}

function applyShape(store: Store, final: boolean): void {
  const drawing = store.drawing.peek();
  if (drawing === null || !('path' in drawing.of)) return;
  const { path } = drawing.of;
  const done = edit(
    store,
    'shape changed',
    (plan) => put(plan, path, jsonOf(drawing.places)),
    `shape ${path.join('.')}`,
  );
  if (!done.ok) say(store, done.why, true);
  if (final) endEdit(store);
}

const jsonOf = (places: readonly LonLat[]): Json => places.map(([lon, lat]) => [lon, lat]);

/** The corners that a drawing stands for: a rectangle and a circle are drawn by two places. */
export function cornersOf({ shape, places }: Drawing): readonly LonLat[] {
  const [a, b] = places;
  if (a === undefined || b === undefined) return places;
  if (shape === 'rectangle') return rectangle(a, b);
  return shape === 'circle' ? circle(a, inverse(a, b).distance_m).map(tidyPlace) : places;
}

/** The drawing is done: a new thing goes into the plan, in one step of undo. */
export function finishDrawing(store: Store): void {
  const drawing = store.drawing.peek();
  if (drawing === null) return;
  if ('path' in drawing.of) return cancelDrawing(store);
  const corners = cornersOf(drawing);
  if (drawing.places.length < placesNeeded(drawing.shape).atLeast)
    return say(
      store,
      `${sentenceCase(drawing.of.thing)}: ${placesNeeded(drawing.shape).atLeast} places are needed.`,
      true,
    );
  const { thing, set } = drawing.of;
  const list = LISTS[thing];
  const held = at(store.plan.peek() ?? null, [list]);
  const count = Array.isArray(held) ? held.length : 0;
  const named = freeName(store, thing, count);
  const value = thingOf({ thing, corners, set: set ?? '', named });
  const done = edit(store, `${thing} drawn`, (plan) => insert(plan, [list], count, value));
  endEdit(store);
  if (!done.ok) return say(store, done.why, true);
  store.drawing.value = null;
  store.view.panel.value = 'Plan';
  store.planOpen.value = list;
  const faults = drawing.shape === 'line' || drawing.shape === 'point' ? [] : outlineFaults(corners);
  say(store, [`${named} is in the plan; Ctrl+Z takes it out.`, ...faults].join(' '), faults.length > 0);
}

const LISTS: Readonly<Record<DrawnThing, string>> = {
  zone: 'landingZones',
  'hazard area': 'hazards',
  'hazard line': 'hazards',
  landmark: 'landmarks',
  crew: 'teams',
};

const sentenceCase = (text: string): string => `${text.charAt(0).toUpperCase()}${text.slice(1)}`;

/** "Zone 2": a name that nothing in the plan has yet. */
function freeName(store: Store, thing: DrawnThing, count: number): string {
  const bare = thing === 'zone' ? 'Zone' : thing === 'crew' ? 'Crew' : thing === 'landmark' ? 'Landmark' : 'Hazard';
  const taken = JSON.stringify(store.plan.peek() ?? {});
  for (let n = count + 1; ; n += 1) if (!taken.includes(`"${bare} ${n}"`)) return `${bare} ${n}`;
}

interface NewThing {
  readonly thing: DrawnThing;
  readonly corners: readonly LonLat[];
  readonly set: string;
  readonly named: string;
}

function thingOf({ thing, corners, set, named: name }: NewThing): JsonObject {
  const shape = jsonOf(corners);
  const [place = [0, 0] as LonLat] = corners;
  switch (thing) {
    case 'zone':
      return { name, polygon: shape };
    case 'hazard area':
      return { name, kind: 'trees', polygon: shape };
    case 'hazard line':
      return { name, kind: 'power line', line: shape, height_m: 20 };
    case 'landmark':
      return { name, position: [...place] };
    case 'crew': {
      const values = (CREWS.find((one) => one.name === set) ?? CREWS[0])?.values;
      return { name, position: [...place], ...(values as JsonObject | undefined) };
    }
    default:
      return { name };
  }
}

/** What the drawing measures now, and what is wrong with it, as one sentence. */
export function drawingWords(drawing: Drawing, units: Units, zones: readonly Outline[]): string {
  const { places, shape } = drawing;
  const [last] = places.slice(-1);
  const before = places.at(-2);
  const side =
    last === undefined || before === undefined
      ? []
      : [
          `last side ${distance(inverse(before, last).distance_m, units)} toward ` +
            directionWords(inverse(before, last).bearing_deg),
        ];
  const corners = cornersOf(drawing);
  const closed = shape === 'outline' || shape === 'rectangle' || shape === 'circle';
  const size =
    closed && corners.length >= 3
      ? [areaWords(ringArea(corners).area_m2)]
      : shape === 'line' && places.length >= 2
        ? [`${distance(lineLength(places), units)} long`]
        : [];
  const faults = closed && corners.length >= 3 ? outlineFaults(corners, zones) : [];
  return [[...size, ...side].join(' · '), ...faults].filter((part) => part !== '').join('. ');
}

const areaWords = (area_m2: number): string =>
  area_m2 < 1e6 ? `${number(area_m2 / 1e4, area_m2 < 1e5 ? 2 : 1)}${THIN}ha` : `${number(area_m2 / 1e6, 2)}${THIN}km²`;
