// The recovery as one answer: its parts agree with each other and with the advice, and each wrong or thin plan of crews
// has a sentence while the rest goes on. The truths here are the plan's own geometry, and two ways to one number.
import { beforeAll, describe, expect, it } from 'vitest';
import { adviseOn, type Advised } from '../../core/advice/advise.ts';
import { firstCrewWords } from '../../core/recovery/crewBoard.ts';
import { recoveryOn, type Recovery } from '../../core/recovery/recovery.ts';
import { recoveryData } from '../../core/recovery/recoveryData.ts';
import { inverse, localFrame } from '../../core/earth/geodesic.ts';
import type { LogEvent } from '../../core/log/events.ts';
import type { Mission } from '../../core/plan/schema.ts';
import { situationAt, type Situation } from '../../core/mission/situation.ts';
import type { Loaded } from '../../core/mission/load.ts';
import { demo } from '../demo.ts';

const MEMBERS = 60;
let salt: { situation: Situation; loaded: Loaded; advised: Advised; recovery: Recovery };

function edited(change: (mission: Mission) => Mission): Situation {
  const { loaded, situation } = salt;
  return situationAt(change(loaded.mission), loaded.log, loaded.world, situation.at_s);
}

const ask = (situation: Situation, roads: unknown = salt.loaded.roads): Recovery =>
  recoveryOn(situation, adviseOn(situation, { members: MEMBERS }), { members: MEMBERS, seed: 1, roads });

const sentences = (recovery: Recovery): string =>
  [
    ...recovery.problems,
    ...recovery.warnings,
    ...(recovery.placement?.answers ?? []),
    ...recovery.search.sentences,
  ].join('\n');

beforeAll(async () => {
  const { situation, loaded } = await demo('salt-plain');
  const advised = adviseOn(situation, { members: MEMBERS });
  salt = {
    situation,
    loaded,
    advised,
    recovery: recoveryOn(situation, advised, { members: MEMBERS, seed: 1, roads: loaded.roads }),
  };
});

describe('the recovery of the salt plain', () => {
  it('its planned case is the descent of the advice', () => {
    const row = salt.recovery.table[0];
    const landing = salt.advised.outlook.prediction.landing;
    if (row?.kind !== 'lands' || landing === null) throw new Error('the demo lands');
    expect(inverse(row.landing, landing.position).distance_m).toBeLessThan(0.01);
    expect(row.time_s).toBe(landing.time_s);
  });

  it('every case has a row with a sign, a weight and a first crew; the weights add up to 1', () => {
    const { table } = salt.recovery;
    expect(table.length).toBe(salt.recovery.cases.length);
    // Eleven kinds, but for the early exit: the balloon is above it.
    expect(table.length).toBe(10);
    expect(table.reduce((sum, row) => sum + row.case.weight, 0)).toBeCloseTo(1, 12);
    expect(new Set(table.map((row) => row.case.mark.letter)).size).toBe(10);
    let firsts = 0;
    for (const row of table) {
      if (row.kind !== 'lands' || row.firstCrew === null) continue;
      expect(row.sentence).toContain(firstCrewWords(row.firstCrew));
      expect(row.firstCrew.crew.medical).toBe(true);
      firsts += 1;
    }
    expect(firsts).toBe(10);
  });

  it('places no crew where it may not stand, nor later to the jumper than from its standby by the plan', () => {
    const { placement, board, boardIfPlaced, scene } = salt.recovery;
    if (placement === null || board === null || boardIfPlaced === null || scene === null)
      throw new Error('the demo has crews');
    expect(placement.crews.map((place) => place.crew.name)).toEqual(['Kite', 'Ground One', 'Ground Two']);
    // Two ways to one number: the placement's own sums, and the board asked about the same places.
    for (const place of placement.crews) {
      const row = boardIfPlaced.rows.find((one) => one.crew.name === place.crew.name);
      const reach = place.role === 'gondola' ? row?.toGondola : row?.allCases;
      expect(reach?.mean_s).toBeCloseTo(place.reach.mean_s, 3);
      expect(row?.refusal).toBeNull();
      expect(scene.clear.holds(...scene.frame.toLocal(place.position))).toBe(false);
    }
    const medical = (rows: typeof board.rows): number =>
      Math.min(...rows.filter((row) => row.crew.medical).map((row) => row.allCases.mean_s));
    expect(medical(boardIfPlaced.rows)).toBeLessThanOrEqual(medical(board.rows));
    // The helicopter's own figure: 1000 ft outside the region of every drawn landing.
    expect(placement.crews[0]?.keepClear_m).toBeGreaterThanOrEqual(304.8);
  });

  it('draws a way for each crew that ends at the landing, as long in time as its legs', () => {
    const { routes, scene, placement } = salt.recovery;
    expect(routes.length).toBe(3);
    for (const { route, crew, to } of routes) {
      if (route.kind !== 'route' || scene === null) throw new Error(`${crew} has a way`);
      const last = route.legs.at(-1)?.line.at(-1);
      const goal = to === 'jumper' ? scene.landing : scene.gondola?.groups[0]?.statistics.mean;
      if (last === undefined || goal === undefined) throw new Error('a way has an end');
      expect(inverse(last, goal).distance_m).toBeLessThan(1);
      expect(route.legs.reduce((sum, leg) => sum + leg.time_s, 0)).toBeCloseTo(route.time_s, 6);
      const place = placement?.crews.find((one) => one.crew.name === crew);
      expect(inverse(route.legs[0]?.line[0] ?? last, place?.position ?? last).distance_m).toBeLessThan(1);
    }
  });

  it('the gondola lands apart and nothing is warned of; the helicopter stays clear of the open canopy', () => {
    const { separations, approaches, warnings } = salt.recovery;
    expect(separations.map((one) => one.name)).toEqual(['gondola', 'envelope']);
    expect(approaches.map((one) => one.crew.name)).toEqual(['Kite']);
    expect(approaches[0]?.nearest?.horizontal_m).toBeGreaterThan(304.8);
    expect(warnings).toEqual([]);
  });

  it('the smoke stands downwind of the touchdown', () => {
    const { smoke, scene } = salt.recovery;
    if (smoke?.kind !== 'place' || scene === null) throw new Error('the demo has a smoke');
    const [u, v] = scene.surface;
    expect((smoke.place[0] * u + smoke.place[1] * v) / Math.hypot(u, v)).toBeCloseTo(smoke.downwind_m, 3);
  });

  it('as data is plain: what is printed is read back the same, without plans, samples or endless numbers', () => {
    const data = recoveryData(salt.recovery);
    const text = JSON.stringify(data);
    expect(JSON.parse(text)).toEqual(data);
    expect(text).not.toMatch(/"(plan|members|team|track)":\{/);
    expect(text.length).toBeLessThan(200_000);
    const again = recoveryOn(salt.situation, salt.advised, { members: MEMBERS, seed: 1, roads: salt.loaded.roads });
    expect(JSON.stringify(recoveryData(again))).toBe(text);
  });

  it('takes what others have flown, and answers the same', () => {
    const { outlooks, others, stage, basis } = salt.recovery;
    const options = { members: 1, seed: 99, roads: salt.loaded.roads };
    const again = recoveryOn(salt.situation, salt.advised, options, { outlooks, others, stage, basis });
    expect(again.table.map((row) => (row.kind === 'lands' ? row.sentence : row.why))).toEqual(
      salt.recovery.table.map((row) => (row.kind === 'lands' ? row.sentence : row.why)),
    );
    expect(again.placement?.cost).toBe(salt.recovery.placement?.cost);
  });
});

describe('as the descent unfolds', () => {
  /** The demo's log and more of it, looked at so many seconds after the planned exit. */
  function later(
    after_s: number,
    events: (at: (s: number) => string) => readonly Omit<LogEvent & { kind: 'fix' | 'mark' }, 'seq' | 'at'>[],
  ): Recovery {
    const { loaded, advised } = salt;
    const { exit } = advised.outlook.scenario;
    const at = (s: number): string => new Date(Math.round(1000 * (exit.time_s + s))).toISOString();
    let seq = loaded.log.length + 100;
    const log = [
      ...loaded.log,
      ...events(at).map((event) => ({ ...event, seq: seq++, at: event.observedAt ?? at(0) }) as LogEvent),
    ];
    const situation = situationAt(loaded.mission, log, loaded.world, exit.time_s + after_s);
    return recoveryOn(situation, adviseOn(situation, { members: MEMBERS }), {
      members: MEMBERS,
      seed: 1,
      roads: loaded.roads,
    });
  }
  const track = (s: number): { position: readonly [number, number]; height_m: number } => {
    const point = salt.advised.outlook.prediction.track.find((one) => one[0] >= s);
    if (point === undefined) throw new Error('within the descent');
    return { position: [point[1], point[2]], height_m: point[3] };
  };
  const open = (recovery: Recovery): string[] =>
    recovery.table.flatMap((row) => (row.kind === 'lands' ? [row.case.kind] : []));
  const total = (recovery: Recovery): number => recovery.table.reduce((sum, row) => sum + row.case.weight, 0);

  it('before the exit every case is open; a fix of the jumper during the ascent changes nothing of that', () => {
    expect(salt.recovery.stage).toBe('before the exit');
    const rising = later(-600, (at) => [
      { kind: 'fix', body: 'jumper', position: [22.5, -30.06], height_m: 37_000, observedAt: at(-660) },
      { kind: 'fix', body: 'jumper', position: [22.49, -30.06], height_m: 37_150, observedAt: at(-630) },
    ]);
    expect(rising.stage).toBe('before the exit');
    expect(open(rising)).toEqual(open(salt.recovery).filter((kind) => kind !== 'early exit'));
  });

  it('after the exit of the log the descent starts where and when it was, and exits that did not happen are gone', () => {
    const position: [number, number] = [22.4, -30.074535];
    const recovery = later(40, (at) => [
      { kind: 'mark', mark: 'exit', position, height_m: 39_000, observedAt: at(30) },
    ]);
    expect(recovery.stage).toBe('falling');
    expect(open(recovery)).not.toContain('late exit');
    expect(open(recovery)).not.toContain('rides down');
    expect(total(recovery)).toBeCloseTo(1, 12);
    const [row, planned] = [recovery.table[0], salt.recovery.table[0]];
    if (row?.kind !== 'lands' || planned?.kind !== 'lands') throw new Error('both land');
    // The exit moved 4.6 km east along the parallel: the landing moves with it, the same air being fallen through but
    // for 4 km.
    const exits = inverse(salt.loaded.mission.exit.position, position).distance_m;
    expect(Math.abs(inverse(planned.landing, row.landing).distance_m - exits)).toBeLessThan(0.05 * exits);
    expect(row.touchdown_s - planned.touchdown_s).toBeGreaterThan(20);
    expect(row.touchdown_s - planned.touchdown_s).toBeLessThan(40);
  });

  it('an opening in the log ends every case in which no canopy opens', () => {
    const recovery = later(400, (at) => [
      { kind: 'mark', mark: 'exit', observedAt: at(0) },
      { kind: 'mark', mark: 'opening', observedAt: at(380) },
    ]);
    expect(recovery.stage).toBe('under canopy');
    expect(open(recovery)).toContain('as planned');
    expect(open(recovery)).not.toContain('drogue only');
    expect(total(recovery)).toBeCloseTo(1, 12);
  });

  it('a case is shown where the middle of its drawn landings lies, not where one of them fell', () => {
    const { table, outlooks } = salt.recovery;
    let compared = 0;
    for (const row of table) {
      const flown = outlooks.find((one) => one.case.name === row.case.name);
      if (row.kind !== 'lands' || flown?.kind !== 'flown' || row.case.kind === 'as planned') continue;
      // The mean of the members as vectors in space, brought back to the ground: another way than the product's.
      const { lon_deg, lat_deg } = flown.members;
      let [x, y, z] = [0, 0, 0];
      lon_deg.forEach((lon, k) => {
        const [l, b] = [(lon * Math.PI) / 180, ((lat_deg[k] ?? NaN) * Math.PI) / 180];
        if (lon !== lon) return;
        [x, y, z] = [x + Math.cos(b) * Math.cos(l), y + Math.cos(b) * Math.sin(l), z + Math.sin(b)];
      });
      const middle = [(Math.atan2(y, x) * 180) / Math.PI, (Math.atan2(z, Math.hypot(x, y)) * 180) / Math.PI] as const;
      // On the sphere and on the ellipsoid a mean differs by the curvature over the cloud: 1 in 10 000 of its size.
      expect(inverse(row.landing, middle).distance_m).toBeLessThan(1 + 0.01 * row.ellipse90.semiMajor_m);
      compared += 1;
    }
    expect(compared).toBeGreaterThan(5);
  });

  it('ten seconds after an exit at 39 km the jumper is falling, though no faster than a canopy would sink there', () => {
    const recovery = later(14, (at) =>
      [6, 10].map((s) => ({ kind: 'fix' as const, body: 'jumper', ...track(s), observedAt: at(s) })),
    );
    // A canopy that sinks 4.6 m/s at sea level sinks 80 m/s there: 4.6 √(1.225/ρ), USSA 1976, table I: ρ 3.9957e-3
    // kg/m³ at 40 km.
    const [a, b] = [track(6), track(10)];
    expect((a.height_m - b.height_m) / 4).toBeLessThan(4.6 * Math.sqrt(1.225 / 3.9957e-3));
    expect(recovery.stage).toBe('falling');
    expect(open(recovery)).toContain('drogue only');
  });

  it('from fixes under canopy the landing is known far better, and the crews’ times are better known', () => {
    const landing_s = salt.advised.outlook.prediction.landing?.time_s ?? NaN;
    const recovery = later(landing_s - 60, (at) =>
      [80, 70].map((before) => ({
        kind: 'fix' as const,
        body: 'jumper',
        ...track(landing_s - before),
        observedAt: at(landing_s - before),
      })),
    );
    expect(recovery.stage).toBe('under canopy');
    expect(total(recovery)).toBeCloseTo(1, 12);
    const [row, planned] = [recovery.table[0], salt.recovery.table[0]];
    if (row?.kind !== 'lands' || planned?.kind !== 'lands') throw new Error('both land');
    expect(inverse(row.landing, planned.landing).distance_m).toBeLessThan(100);
    expect(row.ellipse90.semiMajor_m).toBeLessThan(planned.ellipse90.semiMajor_m / 4);
    // From where it stands: after the exit no standby is moved.
    const kite = (one: Recovery) => {
      const times = one.board?.rows.find(({ crew }) => crew.name === 'Kite')?.allCases;
      if (times === undefined) throw new Error('Kite is on the board');
      return times;
    };
    const [known, before] = [kite(recovery), kite(salt.recovery)];
    // Counted as leaving now, a minute before the touchdown: the log does not say that it left at the opening.
    // Before, the wait at the hold until the canopy is gathered takes up most of what the landings differ by.
    expect(known.p95_s - known.p50_s).toBeLessThan(before.p95_s - before.p50_s);
  });

  it('after the touchdown the place is what was reported, and no other case is left', () => {
    const position: [number, number] = [22.42, -30.09];
    const recovery = later(700, (at) => [{ kind: 'mark', mark: 'touchdown', position, observedAt: at(640) }]);
    expect(recovery.stage).toBe('down');
    expect(open(recovery)).toEqual(['as planned']);
    expect(inverse(recovery.scene?.landing ?? [0, 0], position).distance_m).toBeLessThan(0.01);
    expect(recovery.smoke).toBeNull();
    // One place: half of the landings and 95 % are reached at the same time.
    for (const row of recovery.board?.rows ?? []) expect(row.asPlanned.p95_s).toBe(row.asPlanned.p50_s);
    expect(recovery.board?.rows.length).toBe(3);
  });
});

describe('thin and wrong plans of crews', () => {
  const teams = (mission: Mission) => mission.teams ?? [];

  it('no crew: said, and cases, gondola and search are there', () => {
    const recovery = ask(edited((mission) => ({ ...mission, teams: [] })));
    expect(sentences(recovery)).toContain('No crew is named');
    expect(recovery.table.filter((row) => row.kind === 'lands').length).toBe(10);
    expect(recovery.search.searcher).toBeNull();
    expect(recovery.routes).toEqual([]);
  });

  it('one crew for two landings: the jumper first, the gondola after the care, with the time', () => {
    const recovery = ask(
      edited((mission) => ({ ...mission, teams: teams(mission).filter((team) => team.name === 'Kite') })),
    );
    expect(sentences(recovery)).toContain('One crew for two landings: Kite goes to the jumper first');
    const { mean_s, gondola_s } = recovery.placement ?? { mean_s: NaN, gondola_s: NaN };
    // Half an hour of care, and the flight from the jumper to the gondola, 5.7 km at about 55 m/s: one to three
    // minutes.
    expect(gondola_s - mean_s - 1800).toBeGreaterThan(60);
    expect(gondola_s - mean_s - 1800).toBeLessThan(240);
  });

  it('a crew out of fuel: not placed, said with how much it is short, and the others are placed', () => {
    const short = edited((mission) => ({
      ...mission,
      teams: teams(mission).map((team) => (team.name === 'Kite' ? { ...team, endurance_s: 1250 } : team)),
    }));
    const { placement } = ask(short);
    const kite = placement?.crews.find((place) => place.crew.name === 'Kite');
    expect(kite?.kind).toBe('cannot');
    expect(kite?.reason).toMatch(/of fuel, .* more than it has/);
    expect(placement?.crews.filter((place) => place.kind === 'placed').map((place) => place.crew.name)).toEqual([
      'Ground One',
      'Ground Two',
    ]);
  });

  it('a river without a crossing: who is beyond it is not reached, and the river is named', () => {
    const recovery = ask(
      edited((mission) => {
        const frame = localFrame(mission.site.position);
        const at = (east: number, north: number) => frame.toLonLat(east, north);
        const ring = [at(-30_000, -6000), at(150_000, -6000)] as const;
        return {
          ...mission,
          hazards: [...(mission.hazards ?? []), { name: 'Cold River', kind: 'river', line: ring, crossings: [] }],
          teams: teams(mission)
            .filter((team) => team.name === 'Ground One')
            .map((team) => ({ ...team, fixed: true })),
        };
      }),
      null,
    );
    expect(sentences(recovery)).toContain('Ground One does not reach over 99\u202f% of the landings');
    expect(sentences(recovery)).toContain('Cold River lies between, and no crossing leads over it');
    expect(recovery.placement?.crews[0]?.reach.p50_s).toBe(Infinity);
  });

  it('a landing across a border is said with its share', () => {
    const recovery = ask(
      edited((mission) => {
        const frame = localFrame(mission.site.position);
        const line = [frame.toLonLat(30_000, -90_000), frame.toLonLat(30_000, 90_000)] as const;
        return {
          ...mission,
          hazards: [...(mission.hazards ?? []), { name: 'the Eastern border', kind: 'border', line }],
        };
      }),
    );
    // From the exit the canopy comes down 40 to 70 km east: a hundredth of the weight; some of "opens high".
    expect(sentences(recovery)).toMatch(/[1-3]\u202f% of the landings lie across the Eastern border/);
  });

  it('weights that do not add up, an unknown kind, a case without a weight: said, and the rest is flown', () => {
    const recovery = ask(
      edited((mission) => ({
        ...mission,
        cases: [
          { name: 'Planned', kind: 'as planned', weight: 3 },
          { name: 'Late', kind: 'late exit' },
          { name: 'Odd', kind: 'swallowed by a bird' },
        ],
      })),
    );
    expect(recovery.problems.join('\n')).toMatch(/weights add up to .*expected 1/);
    expect(recovery.problems.join('\n')).toContain('the kind "swallowed by a bird" is not known');
    expect(recovery.table.length).toBe(10);
    expect(recovery.table.reduce((sum, row) => sum + row.case.weight, 0)).toBeCloseTo(1, 12);
  });

  it('a road network with islands, and an invalid roads file: said, and every crew still goes', () => {
    const { position } = salt.loaded.mission.site;
    const frame = localFrame(position);
    const line = (north: number) => [frame.toLonLat(-5000, north), frame.toLonLat(5000, north)];
    const island = (name: string, north: number) => ({
      type: 'Feature',
      properties: { name },
      geometry: { type: 'LineString', coordinates: line(north) },
    });
    const features = [island('North road', 3000), island('South road', -8000)];
    const islands = ask(salt.situation, { type: 'FeatureCollection', features });
    expect(sentences(islands)).toContain('parts that do not hang together');
    const none = ask(salt.situation, 'roads, as drawn by hand');
    expect(none.problems.join('\n')).toContain('not GeoJSON');
    for (const recovery of [islands, none])
      for (const place of recovery.placement?.crews ?? []) expect(place.asPlanned.p50_s).toBeLessThan(Infinity);
  });
});
