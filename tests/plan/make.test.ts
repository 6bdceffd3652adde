// A plan from nothing can be flown at once, whatever sets it is made of; a plan moved to another day or place keeps
// what belongs to neither.
import { describe, expect, it } from 'vitest';
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { lacksOf } from '../../core/advice/planWhole.ts';
import { bodyDoubts } from '../../core/descent/warnings.ts';
import { inverse } from '../../core/earth/geodesic.ts';
import { loadMission } from '../../core/mission/load.ts';
import { defaultMoment_s, situationAt } from '../../core/mission/situation.ts';
import { expectedOf } from '../../core/mission/expected.ts';
import { BODIES, CANOPIES, CARRIERS } from '../../core/plan/library.ts';
import { movedPlan, newPlan } from '../../core/plan/make.ts';
import { mission as missionSchema, type Mission } from '../../core/plan/schema.ts';

const EXIT_S = Date.parse('2027-08-14T09:30:00Z') / 1000;
const SITE = { name: 'Hay meadow', position: [11.25, 54.1] as const, elevation_m: 12 };

async function flown(plan: unknown) {
  const read = await loadMission({ planText: JSON.stringify(plan), logText: '', attachments: [] });
  if (read.value === null) throw new Error(read.problems.map(({ text }) => text).join('; '));
  const { mission, log, world } = read.value;
  const situation = situationAt(mission, log, world, defaultMoment_s(mission, log));
  const { prediction, scenario } = expectedOf(situation).outlook;
  const { landing, opening } = prediction;
  if (landing === null) throw new Error('it does not land');
  return { landing, opening, lacks: [...lacksOf(situation), ...bodyDoubts(scenario)] };
}

describe('a new plan', () => {
  const sets = CARRIERS.flatMap((carrier) =>
    BODIES.flatMap((body) => CANOPIES.map((canopy) => ({ carrier, body, canopy }))),
  );

  it.each(sets.map((set) => [`${set.carrier.name}, ${set.body.name}, ${set.canopy.name}`, set] as const))(
    'is a mission and lands: %s',
    async (_name, { carrier, body, canopy }) => {
      const plan = newPlan({
        ...SITE,
        exitTime_s: EXIT_S,
        carrier: carrier.values,
        body: body.values,
        canopy: canopy.values,
      });
      expect(missionSchema.safeParse(plan).error?.issues ?? []).toEqual([]);
      const { landing, opening, lacks } = await flown(plan);
      expect(lacks).toEqual([]);
      // In calm air a drift descent from rest lands under the exit. An aircraft throws the body forward, by less than
      // the length Vt²/g over which drag takes a falling body's speed: 1150 m for the fastest here (71.6 m/s at sea
      // level, 106 m/s at 7.5 km; reference/freefall.md §3, speed factors).
      const thrown_m = inverse(SITE.position, landing.position).distance_m;
      expect(thrown_m).toBeLessThan(carrier.values.kind === 'balloon' ? 120 : 1150);
      expect(opening?.height_m).toBeGreaterThan(SITE.elevation_m + 500);
    },
  );

  it('has the balloon at float when the jumper is to leave', () => {
    const carrier = CARRIERS.find(({ values }) => values.kind === 'balloon' && values.float_m === 3000)?.values;
    const [body] = BODIES;
    const [canopy] = CANOPIES;
    if (carrier === undefined || body === undefined || canopy === undefined) throw new Error('the library has these');
    const plan = newPlan({ ...SITE, exitTime_s: EXIT_S, carrier, body: body.values, canopy: canopy.values });
    const launch_s = Date.parse(plan.carrier?.kind === 'balloon' ? plan.carrier.launch.time : '') / 1000;
    // By hand: rates fall from 3 to 1 m/s over 2 900 m, so the time to there is 2900/2·ln 3, and 100 m at 1 m/s remain;
    // the 12 m below the site's height are not climbed (4 s).
    expect(EXIT_S - launch_s).toBeCloseTo((2900 / 2) * Math.log(3) + 100 - 4, -1);
  });
});

describe('a plan moved', () => {
  const plan = JSON.parse(
    readFileSync(join(process.cwd(), 'data', 'salt-plain', 'salt-plain.mission.json'), 'utf8'),
  ) as Mission & Record<string, never>;

  it('to another day keeps everything but the winds, and every time keeps its distance from the exit', () => {
    const exitTime_s = Date.parse(plan.exit.time) / 1000 + 3 * 86_400;
    const moved = movedPlan(plan, { name: 'Three days later', exitTime_s }) as unknown as Mission;
    expect(moved.winds).toBeUndefined();
    expect(Date.parse(moved.exit.time) / 1000).toBe(exitTime_s);
    const launch = (of: Mission): string => (of.carrier?.kind === 'balloon' ? of.carrier.launch.time : '');
    expect(Date.parse(launch(moved)) - Date.parse(launch(plan))).toBe(3 * 86_400_000);
    expect(moved.landingZones).toEqual(plan.landingZones);
    expect(moved.site).toEqual(plan.site);
  });

  it('to another place leaves the ground’s own behind, and carries exit, launch and crews along', async () => {
    const moved = movedPlan(plan, {
      name: 'Elsewhere',
      position: [-4.2, 57.4],
      elevation_m: 210,
    }) as unknown as Mission;
    expect([moved.hazards, moved.landmarks, moved.roads, moved.winds, moved.site.terrain]).toEqual(
      Array(5).fill(undefined),
    );
    expect(moved.landingZones).toEqual([]);
    expect([moved.site.name, moved.site.position, moved.site.elevation_m]).toEqual(['Elsewhere', [-4.2, 57.4], 210]);
    for (const [before, after] of [
      [plan.exit.position, moved.exit.position],
      [plan.teams?.[0]?.position, moved.teams?.[0]?.position],
    ] as const) {
      const was = inverse(plan.site.position, before ?? [0, 0]);
      const is = inverse(moved.site.position, after ?? [0, 0]);
      expect([is.distance_m, is.bearing_deg].map((x) => Math.round(x))).toEqual(
        [was.distance_m, was.bearing_deg].map((x) => Math.round(x)),
      );
    }
    expect((await flown(moved)).landing.elevation_m).toBe(210);
  });
});
