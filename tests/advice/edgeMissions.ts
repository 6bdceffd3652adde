// Twenty random missions that may go or hold, and what the word's edges are checked by: a bisection over whole advices,
// each as the command line makes it.
import { adviseOn, type Advised } from '../../core/advice/advise.ts';
import { changed, type InputChange } from '../../core/advice/changes.ts';
import { waysFrom, type Way } from '../../core/advice/edgeWays.ts';
import { isOver, type Edge } from '../../core/advice/edges.ts';
import { driftScenario } from '../../core/advice/exits.ts';
import type { Word } from '../../core/advice/limits.ts';
import { Air } from '../../core/air/air.ts';
import { isoOf } from '../../core/base/plainNumbers.ts';
import { Random } from '../../core/base/random.ts';
import { RAD_PER_DEG, type LonLat } from '../../core/base/units.ts';
import { balloonPath, carrierAt, type Balloon } from '../../core/descent/carrier.ts';
import { predict } from '../../core/descent/predict.ts';
import { scenarioOf, worldOf, type World } from '../../core/descent/scenario.ts';
import { offset } from '../../core/earth/geodesic.ts';
import type { LogEvent } from '../../core/log/events.ts';
import { situationAt, type Situation } from '../../core/mission/situation.ts';
import type { Mission } from '../../core/plan/schema.ts';
import { WindField } from '../../core/winds/field.ts';

export const MISSIONS = 20;
/** Drawn descents of the advices of the random missions: the edges are of the same ones. */
export const EDGE_MEMBERS = 600;

const DAY_S = Date.parse('2027-06-03T00:00:00Z') / 1000;

/** Mission `seed`: a balloon to 12 to 36 km every third time, else an aircraft at 3 to 7.5 km above the ground. */
export function randomSituation(seed: number): Situation {
  const random = new Random(404, seed);
  const between = (a: number, b: number): number => a + (b - a) * random.uniform();
  const site: LonLat = [between(-150, 150), between(-45, 55)];
  const ground_m = Math.round(between(0, 1400));
  // Eleven in the morning by the sun.
  const launch_s = DAY_S + Math.round((11 - site[0] / 15) * 60) * 60;
  const isBalloon = seed % 3 === 0;
  const top_m = ground_m + Math.round(isBalloon ? between(12_000, 36_000) : between(3000, 7500));
  const surface = between(1.5, 6.5);
  const from_deg = between(0, 360);
  const turn_deg = between(-70, 70);
  const aloft = between(8, 28);
  const levels = [0, 300, 1500, 3000, 5500, 9000, 12_000, 18_000, 26_000, 38_000].map((agl_m) => ({
    height_m: ground_m + agl_m,
    from_deg: (from_deg + turn_deg * Math.min(1, agl_m / 6000) + 720) % 360,
    speed_mps: surface + (aloft - surface) * Math.sin(Math.min(agl_m / 12_000, 1.4) * (Math.PI / 2)),
  }));
  const wind = WindField.ofColumns([{ source: 'drawn', time_s: launch_s + 3600, levels }]);
  const policy = seed % 5 === 4 ? 'drift' : seed % 2 === 0 ? 'to target' : 'pattern';
  const plan: Mission = {
    format: 'plumbline/mission',
    version: 1,
    name: `Random ${seed}`,
    site: { name: 'Site', position: site, elevation_m: ground_m },
    exit: { position: site, altitude_m: top_m, time: isoOf(launch_s + 3600) },
    jumper: {
      mass_kg: between(85, 130),
      experience: 'licensed',
      stages: [{ name: 'freefall', dragArea_m2: between(0.4, 0.8), until: { agl_m: Math.round(between(900, 2400)) } }],
      canopy: {
        referenceMass_kg: 100,
        fill_s: 3.5,
        settings: [{ name: 'full', airspeed_mps: between(9, 13), sink_mps: between(4, 5.2) }],
        steering: policy === 'drift' ? { policy } : { policy, zone: 'Field' },
      },
    },
    teams: [{ name: 'Ground', kind: 'vehicle', position: site, speed_mps: 15 }],
  };
  const world = worldOf(plan, wind, new Air([]), null);
  const carried = isBalloon ? onBalloon(plan, world, launch_s) : onAircraft(plan, between(0, 360));
  const drift = predict(driftScenario(scenarioOf(carried, world))).landing?.position ?? site;
  const settings = plan.jumper.canopy?.settings[0];
  const until = plan.jumper.stages[0]?.until;
  const glide = policy === 'drift' || settings === undefined ? 0 : settings.airspeed_mps / settings.sink_mps;
  const reach_m = glide * (until !== undefined && 'agl_m' in until ? until.agl_m : 0);
  const away_m = reach_m * between(0, 0.7);
  const bearing = between(0, 360) * RAD_PER_DEG;
  const middle = offset(drift, away_m * Math.sin(bearing), away_m * Math.cos(bearing));
  const half_m = policy === 'drift' ? between(900, 3000) : between(200, 900);
  const corners: LonLat[] = [
    [-1, -1],
    [1, -1],
    [1, 1],
    [-1, 1],
  ].map(([e = 0, n = 0]) => offset(middle, e * half_m, n * half_m));
  const mission: Mission = { ...carried, landingZones: [{ name: 'Field', polygon: corners }] };
  const exit_s = Date.parse(mission.exit.time) / 1000;
  const reported: LogEvent = {
    seq: 1,
    at: isoOf(exit_s - 900),
    kind: 'wind-report',
    id: 'w1',
    source: 'crew',
    by: 'Ground',
    observedAt: isoOf(exit_s - 900),
    position: middle,
    agl_m: 10,
    from_deg,
    speed_mps: Math.max(0.6, surface + between(-0.5, 0.5)),
  };
  const at_s = exit_s - Math.round(between(150, 500));
  const { carrier } = mission;
  const there = carrier?.kind === 'balloon' ? carrierAt(balloonPath(carrier, world), at_s - 10) : null;
  const fixed: LogEvent[] =
    there === null
      ? []
      : [
          {
            seq: 2,
            at: isoOf(at_s - 10),
            kind: 'fix',
            body: 'gondola',
            position: there.position,
            height_m: there.height_m,
            observedAt: isoOf(at_s - 10),
          },
        ];
  return situationAt(mission, [reported, ...fixed], world, at_s);
}

function onBalloon(plan: Mission, world: World, launch_s: number): Mission {
  const launch = { position: plan.site.position, elevation_m: plan.site.elevation_m, time: isoOf(launch_s) };
  const carrier: Balloon = { kind: 'balloon', launch, float_m: plan.exit.altitude_m, float_s: 1200 };
  const path = balloonPath(carrier, world);
  const exit_s = (path.points[path.levelFrom]?.time_s ?? launch_s) + 400;
  const there = carrierAt(path, exit_s);
  return {
    ...plan,
    carrier,
    exit: { ...plan.exit, position: there?.position ?? plan.site.position, time: isoOf(exit_s) },
  };
}

const onAircraft = (plan: Mission, heading_deg: number): Mission => ({
  ...plan,
  carrier: {
    kind: 'aircraft',
    altitude_m: plan.exit.altitude_m,
    airspeed_mps: 50,
    time: plan.exit.time,
    heading_deg,
    run_s: 160,
  },
});

/** What is stored of an edge: which, where ours found it, and where the bisection does; null: nowhere. */
export interface EdgeAnswer {
  readonly input: Edge['input'];
  readonly sign: number;
  readonly to: Word;
  readonly by: number | null;
}

export const wayOf = (ways: readonly Way[], { input, by }: Pick<Edge, 'input' | 'by'>): Way | undefined =>
  ways.find((way) => way.input === input && Math.sign(way.change(1).by) === Math.sign(by));

export const wordAt = (situation: Situation, change: InputChange, members: number): Word => {
  const { word } = adviseOn(changed(situation, change), { members }).advice;
  if (word === 'IN FLIGHT' || word === 'DOWN') throw new Error('the jumper has not left');
  return word;
};

const STRETCHES = [0.5, 0.85, 0.96, 1.04, 1.15, 1.5, 2] as const;

/**
 * Where the word first becomes an edge's, or one beyond it, by whole advices alone; null: nowhere within twice as far.
 */
export function bisected(situation: Situation, way: Way, edge: Edge, members: number): number | null {
  const now = wordAt(situation, way.change(0), members);
  const is = (by: number): boolean => isOver(wordAt(situation, way.change(by), members), edge.to, now);
  const found = Math.abs(edge.by);
  let low = 0;
  for (const stretch of STRETCHES) {
    const by = Math.min(found * stretch, way.range);
    if (is(by)) {
      let high = by;
      for (let i = 0; i < 3; i++) {
        const middle = (low + high) / 2;
        if (is(middle)) high = middle;
        else low = middle;
      }
      return (low + high) / 2;
    }
    low = by;
  }
  return null;
}

export const waysOf = (situation: Situation, advised: Advised): Way[] => waysFrom(situation, advised);
