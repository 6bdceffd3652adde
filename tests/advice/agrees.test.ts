// What `advise` shows is what `ensemble` flies: the chance of the zone that is steered to, and of each other zone as if
// it were, on 60 random missions with openings to 7.5 km, winds to 30 m/s and winds above the canopy's speed.
import { describe, expect, it } from 'vitest';
import { adviseOn } from '../../core/advice/advise.ts';
import { Random } from '../../core/base/random.ts';
import { Ensemble } from '../../core/descent/ensemble.ts';
import { statisticsOf } from '../../core/descent/statistics.ts';
import { localFrame } from '../../core/earth/geodesic.ts';
import { expectedOf } from '../../core/mission/expected.ts';
import type { Situation } from '../../core/mission/situation.ts';
import { situationOfPlan } from '../recovery/randomMission.ts';

const MISSIONS = 60;
const MEMBERS = 30;
const SITE = [15, 48] as const;
const frame = localFrame(SITE);
const GROUND_M = 300;
const POLICIES = ['to target', 'pattern', 'to target'] as const;

interface Drawn {
  readonly plan: unknown;
  readonly opening_agl_m: number;
  readonly surface_mps: number;
}

/** The exit lies upwind of its zone, by the drift and now and then beside what the canopy reaches. */
function randomPlan(seed: number): Drawn {
  const random = new Random(seed, 60);
  const between = (low: number, high: number): number => low + (high - low) * random.uniform();
  const opening_agl_m = [1200, 3000, 7500][seed % 3] ?? 1200;
  const surface_mps = seed % 5 === 0 ? between(12, 18) : between(0, 9);
  const aloft_mps = surface_mps + between(0, 18);
  const from_deg = between(0, 360);
  const levels = [
    { height_m: GROUND_M, from_deg, speed_mps: surface_mps },
    {
      height_m: GROUND_M + 1500,
      from_deg: (from_deg + between(320, 400)) % 360,
      speed_mps: (surface_mps + aloft_mps) / 2,
    },
    { height_m: GROUND_M + 9000, from_deg: (from_deg + between(300, 420)) % 360, speed_mps: aloft_mps },
  ];
  const drift_m = ((0.5 * (surface_mps + aloft_mps)) / 5.5) * opening_agl_m * 0.8;
  const glide_m = 2.4 * opening_agl_m;
  const angle = (from_deg * Math.PI) / 180;
  const off = between(0, 1.1) * glide_m;
  const turn = between(0, 2 * Math.PI);
  const place = (east: number, north: number): [number, number] => [...frame.toLonLat(east, north)];
  const zone = (name: string, east: number, north: number, half_m: number) => ({
    name,
    polygon: [
      place(east - half_m, north - half_m),
      place(east + half_m, north - half_m),
      place(east + half_m, north + half_m),
      place(east - half_m, north + half_m),
    ],
  });
  const policy = POLICIES[seed % POLICIES.length];
  const plan = {
    format: 'plumbline/mission',
    version: 1,
    name: `random ${seed}`,
    site: { name: 'Site', position: SITE, elevation_m: GROUND_M },
    exit: {
      position: place(
        Math.sin(angle) * drift_m + off * Math.sin(turn),
        Math.cos(angle) * drift_m + off * Math.cos(turn),
      ),
      altitude_m: GROUND_M + opening_agl_m + between(300, 1500),
      time: '2027-05-01T10:00:00Z',
      velocity_mps: [0, 0, 0],
    },
    jumper: {
      mass_kg: 100,
      experience: ['student', 'licensed', 'expert'][seed % 3],
      stages: [{ name: 'fall', dragArea_m2: 0.5, until: { agl_m: opening_agl_m } }],
      canopy: {
        referenceMass_kg: 100,
        fillDistance_m: 160,
        settings: [{ name: 'full', airspeed_mps: 11, sink_mps: 4.5 }],
        steering: { policy, zone: 'Home' },
      },
    },
    winds: { forecast: [{ source: 'drawn', validTime: '2027-05-01T10:00:00Z', levels }] },
    landingZones: [
      zone('Home', 0, 0, between(30, 300)),
      zone('Beside', between(-2500, 2500), between(-2500, 2500), 150),
    ],
  };
  return { plan, opening_agl_m, surface_mps };
}

/** The share of a zone in an ensemble that is steered there, by draws of its own. */
function flown(situation: Situation, zone: string): number {
  const { mission } = situation;
  const { canopy } = mission.jumper;
  const steering = canopy?.steering;
  if (canopy === undefined || steering === undefined || !('zone' in steering)) throw new Error('the plans steer');
  const steered = { ...mission, jumper: { ...mission.jumper, canopy: { ...canopy, steering: { ...steering, zone } } } };
  const { outlook, spread } = expectedOf({ ...situation, mission: steered });
  const members = new Ensemble({ scenario: outlook.scenario, error: outlook.error, spread, seed: 977 }).run(0, MEMBERS);
  return statisticsOf(members, mission.landingZones ?? [], [])?.inZone[zone]?.p ?? NaN;
}

describe('advise and ensemble', () => {
  it('say the same of the zone steered to and of every other: 120 chances of 60 missions, within their sampling error', () => {
    const scores: number[] = [];
    let [between, strong] = [0, 0];
    for (let seed = 0; seed < MISSIONS; seed++) {
      const { plan, surface_mps } = randomPlan(seed);
      const situation = situationOfPlan(plan);
      const { planned } = adviseOn(situation, { members: MEMBERS, seed: 5 }).advice;
      if (surface_mps > 11) strong += 1;
      for (const zone of ['Home', 'Beside']) {
        const said = planned?.inZone[zone]?.p ?? NaN;
        const truth = flown(situation, zone);
        const p = (said + truth) / 2;
        if (p > 0 && p < 1) between += 1;
        // One draw of both samples more and one less keeps an error where both are all or nothing.
        const mixed = (p * 2 * MEMBERS + 1) / (2 * MEMBERS + 2);
        scores.push(Math.abs(said - truth) / Math.sqrt((mixed * (1 - mixed) * 2) / MEMBERS));
      }
    }
    // The missions ask something: winds above the canopy's speed, and chances that are neither none nor all.
    expect(strong).toBeGreaterThanOrEqual(10);
    expect(between).toBeGreaterThanOrEqual(30);
    // By chance 4.6 of 100 lie beyond two standard errors: of 120 more than 12 do once in 300 such tests.
    expect(scores.filter((score) => !(score <= 2)).length).toBeLessThanOrEqual(12);
    expect(Math.max(...scores)).toBeLessThan(4);
    console.log(`beyond two standard errors: ${scores.filter((score) => score > 2).length} of ${scores.length}, most ${Math.max(...scores).toFixed(2)}; ${between} neither none nor all`); // prettier-ignore
  });
});
