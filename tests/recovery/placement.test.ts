// Where the crews wait: against brute force and random places over the demo missions and six random ones (`npm run
// bench` takes 20 and their times), the cost's own numbers, the constraints, and every answer that is not a place.
import { describe, expect, it } from 'vitest';
import { fc } from '../property.ts';
import { MOVE_GAIN_S, placeCrews } from '../../core/recovery/placement.ts';
import { earliest, expectedTimeOf, ExpectedByBins, UNREACHED_S } from '../../core/recovery/placementCost.ts';
import { searchPlaces, teamCost } from '../../core/recovery/placementSearch.ts';
import { ReachTimes } from '../../core/recovery/reachTimes.ts';
import type { Scene, Targets } from '../../core/recovery/scene.ts';
import { refusesPlace } from '../../core/recovery/standby.ts';
import { marginOf } from '../../core/recovery/margin.ts';
import { flightTime_s } from '../../core/recovery/crews.ts';
import type { Mission } from '../../core/plan/schema.ts';
import type { Situation } from '../../core/mission/situation.ts';
import { inverse } from '../../core/earth/geodesic.ts';
import { Random } from '../../core/base/random.ts';
import { DEMOS, demo } from '../demo.ts';
import {
  comparePlacement,
  costRow,
  mainTeam,
  REACH_M,
  sceneWith,
  type PlacementRun,
  wayShare,
} from './placementRuns.ts';
import { randomMission } from './randomMission.ts';

const withMission = (situation: Situation, change: Partial<Mission>): Situation => ({
  ...situation,
  mission: { ...situation.mission, ...change },
});

describe('against brute force on a grid of 250 m and against random places', () => {
  const against = (name: string, scene: Scene, backward: boolean, seed: number): PlacementRun => {
    const run = comparePlacement(name, scene, seed, { reach_m: REACH_M, backward, searches: 0 });
    console.log(`${costRow(run)}${backward ? ' (backward)' : ''}`);
    expect(run.unplaced, name).toBe(0);
    expect(run.brutePlaces, name).toBeGreaterThan(500);
    expect(run.cost / run.brute, name).toBeLessThanOrEqual(1.02);
    return run;
  };
  it('demo and random missions: within 2 % of its cost, two thirds at least spared of what a place can spare against random ones', async () => {
    const runs: PlacementRun[] = [];
    for (const name of DEMOS) {
      const { situation, loaded } = await demo(name);
      runs.push(against(name, sceneWith(situation, loaded.roads, 20), false, 1));
    }
    // The first by plain brute force, for its time; the others by times from the landings outward, which are the same
    // numbers.
    for (let i = 0; i < 6; i++) {
      const { situation, roads } = randomMission(i + 1);
      runs.push(against(`random ${i + 1}`, sceneWith(situation, roads, 16), i >= 1, i + 1));
    }
    // Gathering, final and walk, two to five minutes, stand in every number: what a place can spare is compared.
    for (const run of runs) expect(wayShare(run), run.name).toBeLessThan(1 / 3);
  });

  it('times from a place are those from the landings outward', () => {
    const { situation, roads } = randomMission(4);
    const scene = sceneWith(situation, roads, 12);
    let compared = 0;
    for (const { reach } of mainTeam(scene).movers) {
      const places = [
        [2000, -1500],
        [-3500, 800],
        [500, 4200],
      ] as const;
      const table = reach.toStandIns(places, scene.ways.attach(places, false), [...scene.jumper.x.keys()]);
      places.forEach(([x, y], p) =>
        reach.from(x, y).forEach((t, k) => {
          const back = table[p * scene.jumper.count + k] as number;
          expect(t === back || Math.abs(t - back) < 1e-6).toBe(true);
          compared += 1;
        }),
      );
    }
    expect(compared).toBeGreaterThan(200);
  });
});

describe('the cost', () => {
  it('of hand-made numbers: ten equal landings, the worst tenth is the worst one', () => {
    const times = Float64Array.from([60, 70, 80, 90, 100, 110, 120, 130, 140, 700]);
    const weight = new Float64Array(10).fill(0.1);
    const { mean_s, worst_s } = expectedTimeOf(times, weight);
    expect(mean_s).toBeCloseTo(160, 12);
    expect(worst_s).toBeCloseTo(700, 12);
    // A quarter of the weight at 400 s: the tenth lies inside it.
    expect(expectedTimeOf(Float64Array.from([100, 400]), Float64Array.from([0.75, 0.25])).worst_s).toBeCloseTo(400, 12);
    // A twentieth at 1000 s, the rest at 200 s: half of the tenth each.
    expect(expectedTimeOf(Float64Array.from([200, 1000]), Float64Array.from([0.95, 0.05])).worst_s).toBeCloseTo(
      600,
      12,
    );
    expect(expectedTimeOf(Float64Array.from([Infinity]), Float64Array.from([1])).mean_s).toBe(UNREACHED_S);
  });
  it('of a normal sample: the mean of the worst tenth lies 1.755 deviations above the mean', () => {
    const random = new Random(5, 5);
    const times = Float64Array.from({ length: 40_000 }, () => 1000 + 100 * random.normal());
    const { mean_s, worst_s } = expectedTimeOf(times, new Float64Array(40_000).fill(1 / 40_000));
    // φ(z)/0.1 at z = 1.28155 (tables of the normal distribution): 0.17550/0.1. Four standard errors of the tail's mean
    // are 2.6 s.
    expect(Math.abs(worst_s - mean_s - 175.5)).toBeLessThan(2.6);
  });
  it('by bins it is the sorted one to a second, for any times, weights and partners', () => {
    const time = fc.oneof(fc.double({ min: 0, max: 15_000, noNaN: true }), fc.constant(Infinity));
    fc.assert(
      fc.property(
        fc.array(fc.tuple(time, time, fc.double({ min: 0.01, max: 1, noNaN: true })), { minLength: 12, maxLength: 60 }),
        (rows) => {
          const total = rows.reduce((sum, one) => sum + one[2], 0);
          const weight = Float64Array.from(rows, (one) => one[2] / total);
          const [a, b] = [0, 1].map((k) => Float64Array.from(rows, (one) => one[k] ?? 0)) as [
            Float64Array,
            Float64Array,
          ];
          const exact = expectedTimeOf(earliest([a, b], rows.length), weight);
          const quick = new ExpectedByBins({ weight } as Targets).of(a, b);
          return Math.abs(exact.mean_s - quick.mean_s) < 1e-6 && Math.abs(exact.worst_s - quick.worst_s) < 1;
        },
      ),
      { seed: 13, numRuns: 300 },
    );
  });
});

describe.each(DEMOS)('the placement of %s', (name) => {
  it('keeps every constraint, leaves fixed crews, and gives each crew a reason and a price', async () => {
    const { situation, loaded } = await demo(name);
    const scene = sceneWith(situation, loaded.roads, 60);
    const placement = placeCrews(scene);
    expect(placement.crews.map((one) => one.crew.name)).toEqual(situation.mission.teams?.map((team) => team.name));
    let moved = 0;
    for (const one of placement.crews) {
      expect(one.reason).toMatch(/^[^.]*( [^ ]+)*\.$/);
      expect(one.reason.startsWith(one.crew.name)).toBe(true);
      if (one.crew.fixed) {
        expect(one.kind).toBe('fixed');
        expect(one.position).toEqual(one.crew.standby);
        expect(one.ifRefused).toBeNull();
        continue;
      }
      moved += 1;
      expect(one.kind).toBe('placed');
      const [x, y] = scene.frame.toLocal(one.position);
      expect(refusesPlace(scene, one.crew, x, y)).toBeNull();
      expect(scene.clear.distance_m(x, y)).toBeGreaterThanOrEqual(marginOf(scene, one.crew) - 1e-6);
      expect(one.ifRefused?.sentence).toContain(`If ${one.crew.name} stays`);
      expect(one.getThere_s).toBeLessThan(Infinity);
      expect(one.reach.p50_s).toBeLessThanOrEqual(one.reach.p95_s);
    }
    expect(moved).toBeGreaterThanOrEqual(2);
    expect(placement.cost).toBeGreaterThan(placement.mean_s);
    expect(placement.answers.join(' ')).toContain(
      'No published distance between a helicopter and an open parachute was found',
    );
    // The same again: nothing is by chance.
    expect(JSON.stringify(placeCrews(scene))).toBe(JSON.stringify(placement));
  });
});

describe('a standby', () => {
  it('once given moves only for a gain that matters: other drawn landings leave it, a far one does not', () => {
    let [kept, moved] = [0, 0];
    for (const seed of [2, 4, 6]) {
      const { situation, roads } = randomMission(seed);
      const first = sceneWith(situation, roads, 60);
      const given = new Map(placeCrews(first).crews.map((one) => [one.crew.name, one.position]));
      const accepted = withMission(situation, {
        teams: (situation.mission.teams ?? []).map((team) => ({
          ...team,
          standby: given.get(team.name) ?? team.position,
        })),
      });
      const other = sceneWith(accepted, roads, 80);
      for (const one of placeCrews(other).crews) {
        // What has come to lie in the ground that is kept clear is left, whatever it gains.
        const [x, y] = other.frame.toLocal(given.get(one.crew.name) ?? [0, 0]);
        if (refusesPlace(other, one.crew, x, y) !== null) continue;
        expect(inverse(one.position, given.get(one.crew.name) ?? [0, 0]).distance_m, one.crew.name).toBeLessThan(1);
        kept += 1;
      }
      const away = first.frame.toLonLat(-14_000, 14_000);
      const far = withMission(situation, {
        teams: (situation.mission.teams ?? []).map((team) => ({ ...team, standby: away })),
      });
      const scene = sceneWith(far, roads, 60);
      const again = placeCrews(scene);
      for (const one of again.crews) if (inverse(one.position, away).distance_m > 1) moved += 1;
      const team = mainTeam(scene);
      const best = teamCost(
        team,
        searchPlaces(scene, team).found.map((one) => one.times),
      ).cost;
      // Whoever stays costs less than 30 s by it.
      expect(again.cost).toBeLessThan(best + MOVE_GAIN_S * team.movers.length);
    }
    expect(kept).toBeGreaterThan(0);
    expect(moved).toBeGreaterThan(0);
  });
});

describe('a helicopter’s times', () => {
  it('to the gondola are geodesic over speed made good, and the walk: it is ready when the gondola lands', async () => {
    const { situation, loaded } = await demo('salt-plain');
    const scene = sceneWith(situation, loaded.roads, 60);
    const crew = scene.crews.find((one) => one.name === 'Kite');
    if (crew === undefined || scene.gondola === null) throw new Error('Kite and a gondola');
    const { gondola } = scene;
    const times = new ReachTimes(scene, crew, gondola).from(4000, -3000);
    const from = scene.frame.toLonLat(4000, -3000);
    let compared = 0;
    times.forEach((t, k) => {
      const to = scene.frame.toLonLat(gondola.x[k] ?? NaN, gondola.y[k] ?? NaN);
      if (inverse(from, to).distance_m > 30_000) return;
      // 61 m of walking at 1.2 m/s, and up to 61 m less or more of flight; where the ground does not serve, up to 1.5
      // km of walk.
      const extra = t - flightTime_s(crew, from, to, scene.windOf(crew));
      expect(extra).toBeGreaterThan(61 / 1.2 - 61 / 40 - 2);
      expect(extra).toBeLessThan(1500 / 1.2 + 40);
      if (extra < 61 / 1.2 + 3) compared += 1;
    });
    expect(compared).toBeGreaterThan(20);
  });
  it('to the jumper are never shorter than gathering, final and walk, and grow no faster than it flies', async () => {
    const { situation, loaded } = await demo('salt-plain');
    const scene = sceneWith(situation, loaded.roads, 20);
    const crew = scene.crews.find((one) => one.name === 'Kite');
    if (crew === undefined) throw new Error('Kite');
    const reach = new ReachTimes(scene, crew, scene.jumper);
    const wind_mps = Math.hypot(...scene.windOf(crew));
    const near = reach.from(7000, -5000);
    // A kilometre farther: no landing is reached more than a kilometre's flight against the wind later.
    reach.from(7000, -6000).forEach((t, k) => {
      const before = near[k] ?? NaN;
      if (before === Infinity) return;
      expect(before).toBeGreaterThan(60 + 61 / 1.2);
      expect(t - before).toBeLessThan(1000 / (crew.speed_mps - wind_mps) + 1);
    });
  });
});

describe('answers that are not a place', () => {
  const at = async (change: (mission: Mission) => Partial<Mission>, members = 24) => {
    const { situation, loaded } = await demo('salt-plain');
    const scene = sceneWith(withMission(situation, change(situation.mission)), loaded.roads, members);
    return { scene, placement: placeCrews(scene) };
  };
  const only =
    (...names: string[]) =>
    (mission: Mission): Partial<Mission> => ({
      teams: (mission.teams ?? []).filter((team) => names.includes(team.name)),
    });
  const edit =
    (name: string, change: object) =>
    (mission: Mission): Partial<Mission> => ({
      teams: (mission.teams ?? []).map((team) => (team.name === name ? { ...team, ...change } : team)),
    });

  it('no crew', async () => {
    const { placement } = await at(() => ({ teams: [] }));
    expect(placement.crews).toEqual([]);
    expect(placement.cost).toBeNaN();
    expect(placement.answers).toContain('No crew is named: nobody goes to the landing. Add teams to the mission.');
  });
  it('only the gondola’s crew', async () => {
    const { placement } = await at(only('Ground Two'));
    expect(placement.answers).toContain('No crew serves the jumper; every crew is the gondola’s.');
    expect(placement.crews[0]).toMatchObject({ role: 'gondola', kind: 'placed' });
  });
  it('one crew for two landings: the jumper first, then the gondola, with its time', async () => {
    const { placement } = await at(only('Kite'));
    const said = placement.answers.find((one) =>
      one.startsWith('One crew for two landings: Kite goes to the jumper first'),
    );
    expect(said).toBeDefined();
    // Half an hour of care and the way there are in it.
    expect(placement.gondola_s).toBeGreaterThan(placement.mean_s + 1800);
    expect(placement.gondola_s).toBeLessThan(placement.mean_s + 1800 + 900);
  });
  it('no medical crew', async () => {
    const { placement } = await at((mission) => ({
      teams: (mission.teams ?? []).map((team) => ({ ...team, medical: false })),
    }));
    expect(placement.answers).toContain('No crew is medical: the first crew of any kind to the jumper counts.');
    expect(placement.mean_s).toBeLessThan(UNREACHED_S / 4);
  });
  it('a helicopter out of fuel is not counted on, and the others are placed without it', async () => {
    const { placement } = await at(edit('Kite', { endurance_s: 1500 }));
    const kite = placement.crews.find((one) => one.crew.name === 'Kite');
    expect(kite?.kind).toBe('cannot');
    expect(kite?.refusal?.by).toBe('fuel');
    expect(
      placement.answers.some((one) =>
        one.startsWith('There is no allowed place for Kite; at its standby with its reserve it needs'),
      ),
    ).toBe(true);
    const ground = placement.crews.find((one) => one.crew.name === 'Ground One');
    // Alone, the vehicle's own mean is what counts, but for what it does not reach.
    expect(placement.mean_s).toBeGreaterThan(0.9 * (ground?.reach.mean_s ?? Infinity));
  });
  it('a fixed helicopter out of fuel stays, and is not counted on', async () => {
    const { placement } = await at(edit('Kite', { endurance_s: 1500, fixed: true }));
    const kite = placement.crews.find((one) => one.crew.name === 'Kite');
    expect(kite?.kind).toBe('fixed');
    expect(kite?.reason).toContain('it is not counted on: with its reserve it needs');
  });
  it('after dark a helicopter that may not fly then is not counted on; one that may is', async () => {
    const late = (mission: Mission): Partial<Mission> => ({ exit: { ...mission.exit, time: '2027-04-14T16:20:00Z' } });
    const dark = await at(late);
    const kite = dark.placement.crews.find((one) => one.crew.name === 'Kite');
    expect(kite?.refusal).toMatchObject({ by: 'dark' });
    expect(kite?.refusal?.why).toMatch(/after the end of civil twilight$/);
    const night = await at((mission) => ({ ...late(mission), ...edit('Kite', { night: true })(mission) }));
    expect(night.placement.crews.find((one) => one.crew.name === 'Kite')?.kind).toBe('placed');
    expect(night.placement.mean_s).toBeLessThan(dark.placement.mean_s);
  });
  it('a river without a crossing: the share that is not reached, and what lies between', async () => {
    const { situation } = await demo('salt-plain');
    const { frame } = sceneWith(situation, null, 12);
    const river = {
      name: 'Bare river',
      kind: 'river',
      line: [frame.toLonLat(-60_000, -900), frame.toLonLat(90_000, -900)],
    };
    const { mission } = situation;
    const cut = withMission(situation, {
      hazards: [river],
      teams: (mission.teams ?? []).filter((team) => team.kind === 'vehicle'),
    });
    const scene = sceneWith(cut, null, 24);
    const placement = placeCrews(scene);
    expect(placement.answers.some((one) => one.startsWith('Bare river: no crossing is on the map'))).toBe(true);
    const ground = placement.crews.find((one) => one.crew.name === 'Ground One');
    // From one bank only: whatever bank it stands on, the landings of the other are not reached.
    expect(ground?.reach.unreached).toBeGreaterThan(0.01);
    expect(
      placement.answers.some((one) =>
        /^Ground One does not reach \d+.% of the landings by road or off it: Bare river lies between, and no crossing leads over it\.$/.test(
          one,
        ),
      ),
    ).toBe(true);
  });
  it('landings across a border are counted', async () => {
    const { situation } = await demo('salt-plain');
    const { frame, jumper } = sceneWith(situation, null, 24);
    const border = {
      name: 'the line',
      kind: 'border',
      line: [frame.toLonLat(9000, -60_000), frame.toLonLat(9000, 60_000)],
    };
    const placement = placeCrews(sceneWith(withMission(situation, { hazards: [border] }), null, 24));
    let share = 0;
    for (let k = 0; k < jumper.count; k++) if ((jumper.x[k] ?? 0) > 9000) share += jumper.weight[k] ?? 0;
    expect(share).toBeGreaterThan(0.02);
    expect(placement.answers).toContain(
      `${Math.round(100 * share)}\u202f% of the landings lie across the line: whoever goes there needs leave beforehand.`,
    );
  });
  it('roads in islands are named', async () => {
    const { situation } = await demo('salt-plain');
    const { frame } = sceneWith(situation, null, 12);
    const line = (name: string, y: number): object => ({
      type: 'Feature',
      properties: { name },
      geometry: { type: 'LineString', coordinates: [frame.toLonLat(-4000, y), frame.toLonLat(4000, y)] },
    });
    const placement = placeCrews(
      sceneWith(
        situation,
        { type: 'FeatureCollection', features: [line('North lane', 3000), line('South lane', -3000)] },
        12,
      ),
    );
    expect(
      placement.answers.some((one) =>
        one.startsWith('The road network has parts that do not hang together: South lane.'),
      ),
    ).toBe(true);
  });
  it('ground that serves nowhere: the helicopter stays by its plan and says why', async () => {
    const { placement } = await at((mission) => ({
      hazards: [
        {
          name: 'Great wood',
          kind: 'trees',
          polygon: [
            [21, -31],
            [24, -31],
            [24, -29],
            [21, -29],
          ],
          height_m: 20,
        },
      ],
      teams: (mission.teams ?? []).filter((team) => team.kind === 'helicopter'),
    }));
    expect(placement.crews[0]).toMatchObject({
      kind: 'cannot',
      refusal: {
        by: 'no way',
        why: 'there is no ground to set down within 1.5\u202fkm of the jumper: it lies in Great wood',
      },
    });
    expect(placement.answers.some((one) => one.includes('finds no ground to set down within 1.5 km in over 99'))).toBe(
      true,
    );
  });
});
