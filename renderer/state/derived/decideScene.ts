// What the map shows of the decision: the spread with its contours, what is in reach, the carrier's line with the exit
// window, and the landing of a what-if.
import { computed, type ReadonlySignal } from '@preact/signals';
import { Reach } from '../../../core/descent/reach.ts';
import { zoneSteeredFor } from '../../../core/descent/scenario.ts';
import type { Outlook } from '../../../core/descent/outlook.ts';
import type { Mission } from '../../../core/plan/schema.ts';
import type { CarrierPath } from '../../../core/descent/carrier.ts';
import { RAD_PER_DEG } from '../../../core/base/units.ts';
import type { MapCase, MapContour, MapEllipse, MapExitLine, MapReach, MapScene, MapSlice } from '../../map/scene.ts';
import type { SpreadPicture } from '../stored/decision.ts';
import { number } from '../../../core/words/numbers.ts';
import type { Store } from './store.ts';

type Decided = Pick<MapScene, 'dots' | 'contours' | 'ellipses' | 'reach' | 'slice' | 'exitLine' | 'bestExit' | 'cases'>;

/**
 * What the canopy of a plan can reach in the wind of its outlook; null where nothing opens or the canopy has no drive.
 */
export function reachOf(mission: Mission, outlook: Outlook): Reach | null {
  const { canopy, mass_kg } = mission.jumper;
  const { opening, landing } = outlook.prediction;
  if (canopy === undefined || opening === null || landing === null) return null;
  if (!canopy.settings.some((setting) => setting.airspeed_mps > 0)) return null;
  const { world, exit } = outlook.scenario;
  const [lon, lat] = landing.position;
  const column = {
    wind: world.wind,
    offset: outlook.offset,
    air: world.air,
    place: landing.position,
    landing_s: exit.time_s + landing.time_s,
    ground_m: world.ground.heightAt(lat * RAD_PER_DEG, lon * RAD_PER_DEG),
  };
  return new Reach(column, canopy, mass_kg, Math.max(opening.height_m + 500, column.ground_m + 1000));
}

/** A best exit nearer to the planned one than this is the planned one, within what an exit can be hit. */
const BESIDE_M = 100;

export function createDecideScene(store: Store): ReadonlySignal<Decided> {
  const { decision, view } = store;
  const contours = computed((): readonly MapContour[] =>
    view.contours.value ? (decision.spread.value?.contours ?? []) : [],
  );
  const ellipses = computed(() => (view.ellipses.value ? ellipsesOf(decision.spread.value) : []));
  const dots = computed(() => (view.dots.value ? (decision.spread.value?.dots ?? null) : null));
  const reach = computed(() => {
    const mission = store.mission.value;
    const outlook = store.outlook.value;
    return mission === null || outlook === null ? null : reachOf(mission, outlook);
  });
  const inReach = computed((): Pick<Decided, 'reach' | 'slice'> => {
    if (!view.reach.value) return { reach: [], slice: null };
    const slice = sliceOf(store, reach.value);
    return { reach: regionsOf(store, reach.value, slice), slice };
  });
  const exitLine = computed(() => exitLineOf(store));
  const bestExit = computed((): Decided['bestExit'] => {
    const found = store.decision.advice.value?.advice.anywhere ?? null;
    // About the planned exit there is nothing to point at.
    return found === null || found.away_m < BESIDE_M ? null : { position: found.position, share: found.share };
  });
  const cases = computed(() => whatIfCase(store));
  return computed(() => ({
    dots: dots.value,
    contours: contours.value,
    ellipses: ellipses.value,
    ...inReach.value,
    exitLine: exitLine.value,
    bestExit: bestExit.value,
    cases: cases.value,
  }));
}

function ellipsesOf(picture: SpreadPicture | null): MapEllipse[] {
  const statistics = picture?.statistics ?? null;
  if (statistics === null) return [];
  const { ellipses, mean } = statistics;
  return ([50, 90] as const).map((percent) => ({ percent, center: mean, ...ellipses[`${percent}`] }));
}

/** From the height at which steering ends to that of the opening, where the slider stands until it is moved. */
function sliceOf(store: Store, reach: Reach | null): MapSlice | null {
  const opening = store.prediction.value?.opening ?? null;
  if (reach === null || opening === null) return null;
  const bottom_m = Math.ceil(reach.floor_m);
  const top_m = Math.max(Math.floor(Math.min(reach.top_m, opening.height_m + 500)), bottom_m + 1);
  const asked = store.slice_m.value ?? opening.height_m;
  return { label: 'Reach from', bottom_m, top_m, height_m: Math.round(Math.min(Math.max(asked, bottom_m), top_m)) };
}

function regionsOf(store: Store, reach: Reach | null, slice: MapSlice | null): MapReach[] {
  const mission = store.mission.value;
  const opening = store.prediction.value?.opening ?? null;
  if (mission === null || reach === null || slice === null || opening === null) return [];
  const zone = zoneSteeredFor(mission);
  const regions: MapReach[] = [
    {
      kind: 'reach',
      name: 'reach from the opening',
      height_m: opening.height_m,
      rings: [reach.region(opening.position, opening.height_m)],
    },
  ];
  if (zone !== null) {
    const rings = [reach.coneSlice(zone, slice.height_m)];
    regions.push({ kind: 'cone', name: `from here ${zone.name} is in reach`, height_m: slice.height_m, rings });
  }
  return regions;
}

function exitLineOf(store: Store): MapExitLine | null {
  const answer = store.decision.advice.value;
  if (answer?.carrier === null || answer === null) return null;
  const { window, best } = answer.advice.exits;
  // To the whole second, as the advice says them.
  const at = Math.round;
  return {
    points: pointsOf(answer.carrier),
    window:
      window === null || best === null
        ? null
        : { opens_s: at(window.opens_s), best_s: at(best.exit.time_s), closes_s: at(window.closes_s) },
  };
}

const pointsOf = (path: CarrierPath): MapExitLine['points'] =>
  path.points.map(({ position, time_s, height_m }) => ({ position, at_s: time_s, height_m }));

export const whatIfName = (surface_mps: number): string =>
  `surface ${surface_mps < 0 ? '' : '+'}${number(surface_mps, surface_mps % 1 === 0 ? 0 : 1)} m/s`;

function whatIfCase(store: Store): MapCase[] {
  const shown = store.decision.whatIf.value;
  const answer = shown?.answer ?? null;
  const landing = answer?.prediction.landing ?? null;
  if (shown === null || answer === null || landing === null) return [];
  const { statistics } = answer.advice;
  const ellipse = statistics === null ? null : { percent: 90, center: statistics.mean, ...statistics.ellipses['90'] };
  const name = whatIfName(shown.asked.surface_mps);
  return [
    {
      name,
      mark: 'diamond',
      landing: landing.position,
      ellipse,
      label: `what if ${name}`,
      track: answer.prediction.track.map(([, lon, lat]) => [lon, lat] as const),
    },
  ];
}
