// The map's scene from the state. What shows one part of the plan is computed from that part alone, so that the map
// sees the same object while it did not change.
import { zoneSteeredFor } from '../../../core/descent/scenario.ts';
import { landmarksOf } from '../../../core/plan/places.ts';
import { computed, type ReadonlySignal } from '@preact/signals';
import { sinceExit_s, type Expected } from '../../../core/mission/expected.ts';
import type { Mission } from '../../../core/plan/schema.ts';
import { windFrom } from '../../../core/base/units.ts';
import {
  emptyScene,
  type MapMoment,
  type MapPhase,
  type MapScene,
  type MapTrack,
  type MapWind,
} from '../../map/scene.ts';
import { profileAt } from '../../winds/profile.ts';
import { createRecoveryScene } from './recoveryScene.ts';
import { createDecideScene } from './decideScene.ts';
import { landmarkToward } from '../../../core/words/places.ts';
import { trailAt } from './moves.ts';
import { steady } from './parts.ts';
import { expectedLanding, type Store } from './store.ts';
import { extrapolatedRanges, profileOf } from './winds.ts';

/** The scene that the map shows; null while no mission is open. Made once for a store. */
export function createScene(store: Store): ReadonlySignal<MapScene | null> {
  const { parts } = store;
  const site = computed((): MapScene['site'] | null => {
    if (parts.value === null) return null;
    const { name, position, elevation_m, timeZone } = parts.value.site;
    return timeZone === undefined ? { name, position, elevation_m } : { name, position, elevation_m, timeZone };
  });
  const zones = computed(() => (parts.value?.landingZones ?? []).map(({ name, polygon }) => ({ name, polygon })));
  const hazards = computed(() => (parts.value?.hazards ?? []).map(mapHazard));
  const landmarks = computed(() => (parts.value?.landmarks ?? []).map(mapLandmark));
  const wind = steady(() => surfaceWindOf(store));
  const track = computed(() => trackOf(store));
  const trail = computed(() => trailAt(store.reports.moves.value, store.shown_s.value));
  const marks = computed(() => momentsOf(store.expected.value));
  const exit = computed(() => {
    if (parts.value === null) return null;
    const left = store.expected.value;
    if (left === null || left.from === 'plan') {
      const { position, altitude_m, time } = parts.value.exit;
      return { position, height_m: altitude_m, at_s: Date.parse(time) / 1000, movable: true };
    }
    // The exit that was: it is in the log, not in the hand any more.
    const { lon_deg, lat_deg, height_m, time_s } = left.planned.scenario.exit;
    return { position: [lon_deg, lat_deg] as const, height_m, at_s: time_s, movable: false };
  });
  const decided = createDecideScene(store);
  const recovered = createRecoveryScene(store);
  // Taken out of what holds them first: the rest of it changes with every landing, the cases do not.
  const recoveredCases = computed(() => recovered.value.cases);
  const decidedCases = computed(() => decided.value.cases);
  const cases = computed(() => [...recoveredCases.value, ...decidedCases.value]);
  const target = computed(() => (parts.value === null ? null : (zoneSteeredFor(parts.value)?.name ?? null)));
  const chances = chancesOf(store);
  return computed(() => {
    const place = site.value;
    if (place === null) return null;
    return {
      ...emptyScene(place, store.units.value),
      terrain: store.beside.value?.terrain ?? null,
      surfaceWind: wind.value,
      zones: zones.value,
      chances: chances.value,
      target: target.value,
      hazards: hazards.value,
      landmarks: landmarks.value,
      exit: exit.value,
      track: track.value,
      trail: trail.value,
      ...marks.value,
      ...decided.value,
      ...recovered.value,
      cases: cases.value,
      pointedHeight_m: store.pointedHeight_m.value,
    };
  });
}

type Hazard = NonNullable<Mission['hazards']>[number];
function mapHazard(hazard: Hazard): MapScene['hazards'][number] {
  const { name, kind, height_m } = hazard;
  if ('polygon' in hazard)
    return { name, kind, polygon: hazard.polygon as MapScene['hazards'][number]['polygon'], height_m };
  return { name, kind, height_m, line: hazard.line, crossings: hazard.crossings };
}

type Landmark = NonNullable<Mission['landmarks']>[number];
function mapLandmark(landmark: Landmark): MapScene['landmarks'][number] {
  const { name } = landmark;
  if ('position' in landmark) return { name, position: landmark.position as MapScene['landmarks'][number]['position'] };
  return { name, line: landmark.line };
}

function surfaceWindOf(store: Store): MapWind | null {
  const mission = store.parts.value;
  const world = store.world.value;
  if (mission === null || world === null) return null;
  const ground = profileAt(profileOf(mission, world, mission.site.elevation_m + 100), mission.site.elevation_m + 10);
  if (ground === null) return null;
  const { from_deg, speed_mps } = ground;
  return {
    from_deg,
    speed_mps,
    toward: landmarkToward(landmarksOf(mission), expectedLanding(store, mission), from_deg + 180),
  };
}

function trackOf(store: Store): MapTrack | null {
  const mission = store.parts.value;
  const expected = store.expected.value;
  const world = store.world.value;
  if (mission === null || expected === null || world === null) return null;
  const { prediction } = expected.outlook;
  if (prediction.track.length < 2) return null;
  const since_s = sinceExit_s(expected);
  const opening_s = prediction.opening?.time_s ?? Infinity;
  const phaseOf = (start_s: number): MapPhase =>
    start_s < opening_s - 0.001 ? 'freefall' : start_s < opening_s + 0.001 ? 'filling' : 'canopy';
  const profile = profileOf(mission, world, mission.exit.altitude_m);
  return {
    points:
      since_s === 0
        ? prediction.track
        : prediction.track.map(([t, lon, lat, h]) => [since_s + t, lon, lat, h] as const),
    parts: prediction.stages.map(({ name, start_s, end_s }) => ({
      phase: phaseOf(start_s),
      name,
      start_s: since_s + start_s,
      end_s: since_s + end_s,
    })),
    extrapolated: extrapolatedRanges(mission, world),
    winds: profile.map(({ height_m, u_mps, v_mps }) => ({ height_m, ...windFrom(u_mps, v_mps) })),
  };
}

/** Times since the exit, also where the descent is predicted from a later fix. */
function momentsOf(expected: Expected | null): Pick<MapScene, 'opening' | 'landing' | 'stageMarks'> {
  if (expected === null) return { opening: null, landing: null, stageMarks: [] };
  const exit_s = expected.outlook.scenario.exit.time_s;
  const since_s = sinceExit_s(expected);
  const { opening, landing, stages, track } = expected.outlook.prediction;
  const stageMarks = stages.slice(1).flatMap(({ name, start_s, startHeight_m }): MapMoment[] => {
    if (opening !== null && start_s >= opening.time_s - 0.5) return [];
    const point = track.findLast((one) => one[0] <= start_s);
    return point === undefined
      ? []
      : [
          {
            name,
            position: [point[1], point[2]],
            height_m: startHeight_m,
            t_s: since_s + start_s,
            at_s: exit_s + start_s,
          },
        ];
  });
  return {
    stageMarks,
    opening:
      opening === null
        ? null
        : {
            name: 'opening',
            position: opening.position,
            height_m: opening.height_m,
            t_s: since_s + opening.time_s,
            at_s: exit_s + opening.time_s,
          },
    landing:
      landing === null
        ? null
        : {
            name: 'landing',
            position: landing.position,
            height_m: landing.elevation_m,
            t_s: since_s + landing.time_s,
            at_s: exit_s + landing.time_s,
          },
  };
}

/**
 * Shares of the landings in each zone. The zone that is aimed at has the chance that the strip says: one question has
 * one answer in view.
 */
function chancesOf(store: Store): ReadonlySignal<Readonly<Record<string, number>>> {
  const said = computed(() => {
    const verdict = store.verdict.value;
    if (verdict.kind !== 'current') return null;
    const { zone, planned } = verdict.answer.advice;
    const p = zone === null ? undefined : planned?.inZone[zone]?.p;
    return zone === null || p === undefined ? null : ([zone, p] as const);
  });
  return computed(() =>
    Object.fromEntries([
      ...Object.entries(store.decision.spread.value?.statistics?.inZone ?? {}).map(
        ([name, { p }]) => [name, p] as const,
      ),
      ...(said.value === null ? [] : [said.value]),
    ]),
  );
}
