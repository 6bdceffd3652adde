// What was chosen of a file of places, into the plan: zones, hazards and landmarks as one step of undo; roads as the
// plan's own file beside the mission.
import type { PlaceFeature } from '../../../core/formats/areas/features.ts';
import { hazardOf, landmarkOf, roadsFile, zoneOf, type Guess } from '../../../core/formats/areas/sort.ts';
import { at, put, type Json } from '../stored/json.ts';
import type { Store } from '../derived/store.ts';
import { edit, endEdit, openPath, save, say } from './actions.ts';

interface Chosen {
  readonly feature: PlaceFeature;
  readonly guess: Guess;
}

/** Answers whether all of it is in the plan; a refusal is said. */
export async function takeFeatures(store: Store, chosen: readonly Chosen[]): Promise<boolean> {
  const path = store.file.peek()?.path;
  if (path === undefined) return false;
  const roads = chosen.filter(({ guess }) => guess.as === 'road').map(({ feature }) => feature);
  const roadsName = roads.length === 0 ? null : await attachRoads(store, path, roads);
  if (roads.length > 0 && roadsName === null) return false;
  const of = (as: Guess['as'], make: (one: Chosen) => unknown): Json[] =>
    chosen.flatMap((one) => {
      const made = one.guess.as === as ? make(one) : null;
      return made === null ? [] : [made as Json];
    });
  const lists = {
    landingZones: of('zone', ({ feature }) => zoneOf(feature)),
    hazards: of('hazard', ({ feature, guess }) => hazardOf(feature, guess.kind)),
    landmarks: of('landmark', ({ feature }) => landmarkOf(feature)),
  };
  const done = edit(store, 'places taken from a file', (plan) => {
    const withLists = Object.entries(lists).reduce((next, [key, more]) => appended(next, key, more), plan);
    return roadsName === null ? withLists : put(withLists, ['roads'], roadsName);
  });
  endEdit(store);
  if (!done.ok) {
    say(store, done.why, true);
    return false;
  }
  const counts = Object.values(lists).reduce((sum, list) => sum + list.length, roads.length);
  say(store, `${counts} places are in the plan; Ctrl+Z takes them out.`);
  // A road network is read with the mission: it is there after the mission has been opened again.
  if (roadsName !== null) {
    await save(store);
    await openPath(store, store.file.peek()?.path ?? path);
  }
  return true;
}

function appended(plan: Json, key: string, more: readonly Json[]): Json {
  if (more.length === 0) return plan;
  const held = at(plan, [key]);
  return put(plan, [key], [...(Array.isArray(held) ? (held as readonly Json[]) : []), ...more]);
}

async function attachRoads(store: Store, path: string, roads: readonly PlaceFeature[]): Promise<string | null> {
  const bytes = new TextEncoder().encode(roadsFile(roads));
  const outcome = await store.desk.call('mission/attach', path, 'roads.geojson', bytes);
  if (outcome.ok) return outcome.value.name;
  say(store, `The roads were not taken: ${outcome.why}`, true);
  return null;
}
