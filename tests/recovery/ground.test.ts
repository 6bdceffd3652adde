// The keep-clear region and the ground that a helicopter lands on, against the published figures and plain sampling.
import { describe, expect, it } from 'vitest';
import { clearEllipses, KeepClear, ROTOR_WASH_M, type LandingGroup } from '../../core/recovery/keepClear.ts';
import {
  HALF_SITE_M,
  LandableGround,
  PEOPLE_M,
  REPORT_M,
  STAND_SLOPE_DEG,
  VEHICLE_M,
} from '../../core/recovery/landable.ts';
import { emptyMembers, type Members } from '../../core/descent/ensemble.ts';
import { localFrame } from '../../core/earth/geodesic.ts';
import { TerrainGrid } from '../../core/earth/terrain.ts';
import type { Hazard } from '../../core/plan/schema.ts';
import { Random } from '../../core/base/random.ts';
import { M_PER_FT } from '../../core/base/units.ts';

const frame = localFrame([20, 30]);
const at = (x: number, y: number): [number, number] => [...frame.toLonLat(x, y)];

function normals(count: number, east: number, north: number, sdE: number, sdN: number, seed: number): Members {
  const random = new Random(seed, 0);
  const members = emptyMembers(0, count);
  for (let i = 0; i < count; i++) {
    const [lon, lat] = at(east + sdE * random.normal(), north + sdN * random.normal());
    members.lon_deg[i] = lon;
    members.lat_deg[i] = lat;
  }
  return members;
}
const group = (name: string, weight: number, members: Members): LandingGroup => ({ name, weight, members });

/** Share of the weight whose landings lie in the region: counted member by member. */
function held(groups: readonly LandingGroup[], clear: KeepClear): number {
  let sum = 0;
  for (const { weight, members } of groups) {
    let inside = 0;
    for (let i = 0; i < members.count; i++) {
      const [x, y] = frame.toLocal([members.lon_deg[i] ?? NaN, members.lat_deg[i] ?? NaN]);
      if (clear.holds(x, y)) inside += 1;
    }
    sum += (weight * inside) / members.count;
  }
  return sum / groups.reduce((total, one) => total + one.weight, 0);
}

describe('the keep-clear region', () => {
  it('of a normal scatter is the ellipse of chi-square: 99 % within 3.035 standard deviations', () => {
    const [one] = clearEllipses([group('a', 1, normals(20_000, 300, -200, 400, 150, 1))], frame);
    // sqrt(−2 ln 0.01) = 3.0349. A quantile of 20 000 draws is good to some 2 % there; 15 m are added to each deviation
    // in square.
    expect(Math.abs((one?.semiMajor_m ?? 0) / 400 / 3.0349 - 1)).toBeLessThan(0.03);
    expect(Math.abs((one?.semiMinor_m ?? 0) / 150 / 3.0349 - 1)).toBeLessThan(0.03);
    expect(one?.bearing_deg ?? 0).toBeCloseTo(90, 0);
    expect(Math.hypot((one?.east ?? 0) - 300, (one?.north ?? 0) + 200)).toBeLessThan(12);
  });
  it('holds 99 % of the weight of any mixture, and not much more', () => {
    const groups = [
      group('plan', 0.8, normals(700, 0, 0, 300, 200, 2)),
      group('high', 0.15, normals(500, 4000, 0, 900, 400, 3)),
      group('rare', 0.05, normals(400, -9000, 2000, 2500, 2500, 4)),
    ];
    const share = held(groups, new KeepClear(clearEllipses(groups, frame)));
    expect(share).toBeGreaterThanOrEqual(0.99 - 1e-9);
    expect(share).toBeLessThan(0.9935);
    const half = held(groups, new KeepClear(clearEllipses(groups, frame, 0.5)));
    expect(half).toBeGreaterThanOrEqual(0.5 - 1e-9);
    expect(half).toBeLessThan(0.51);
  });
  it('does not close the country for a rare and wide case', () => {
    const plan = group('plan', 0.995, normals(500, 0, 0, 200, 200, 5));
    const wide = group('wide', 0.005, normals(500, 0, 0, 9000, 9000, 6));
    const clear = new KeepClear(clearEllipses([plan, wide], frame));
    expect(clear.holds(3000, 0)).toBe(false);
    expect(clear.holds(0, 0)).toBe(true);
  });
  it('measures the distance to its edge as a search along the edge does', () => {
    const clear = new KeepClear([
      { name: 'e', east: 100, north: 50, semiMajor_m: 900, semiMinor_m: 250, bearing_deg: 35 },
    ]);
    const ring = clear.rings(frame)[0]?.ring.map((place) => frame.toLocal(place)) ?? [];
    expect(ring.length).toBe(72);
    const random = new Random(7, 0);
    let outside = 0;
    for (let i = 0; i < 300; i++) {
      const [x, y] = [4000 * random.uniform() - 2000, 4000 * random.uniform() - 2000];
      let least = Infinity;
      for (let k = 0; k < 7200; k++) {
        const angle = (2 * Math.PI * k) / 7200;
        const [p, q] = [900 * Math.cos(angle), 250 * Math.sin(angle)];
        const [s, c] = [Math.sin((35 * Math.PI) / 180), Math.cos((35 * Math.PI) / 180)];
        least = Math.min(least, Math.hypot(100 + p * s + q * c - x, 50 + p * c - q * s - y));
      }
      const found = clear.distance_m(x, y);
      if (found === 0) continue;
      outside += 1;
      expect(Math.abs(found - least)).toBeLessThan(0.5);
    }
    expect(outside).toBeGreaterThan(200);
  });
  it('with a margin has its outline at that distance', () => {
    const clear = new KeepClear([
      { name: 'e', east: 0, north: 0, semiMajor_m: 800, semiMinor_m: 300, bearing_deg: 120 },
    ]);
    for (const place of clear.rings(frame, ROTOR_WASH_M)[0]?.ring ?? [])
      expect(clear.distance_m(...frame.toLocal(place))).toBeCloseTo(ROTOR_WASH_M, 2);
  });
  it('is empty without landings', () => {
    expect(clearEllipses([], frame)).toEqual([]);
    expect(new KeepClear([]).distance_m(0, 0)).toBe(Infinity);
  });
});

describe('the figures', () => {
  // ref: recovery.md §2; sources FAA AIM 10-2-3 and operators; mark F. Metres as printed there, to half a unit of their
  // last digit.
  it.each([
    ['half of 100 ft', 2 * HALF_SITE_M, 100, 30.5],
    ['spectators 200 ft', PEOPLE_M, 200, 61],
    ['vehicles 100 ft', VEHICLE_M, 100, 30.5],
    ['a thousand feet', ROTOR_WASH_M, 1000, 305],
  ])('%s', (_, ours, feet, metres) => {
    expect(Math.abs(ours - feet * M_PER_FT)).toBeLessThan(0.05);
    expect(Math.abs(ours - metres)).toBeLessThanOrEqual(0.5);
  });
  it('a quarter mile', () => {
    expect(Math.abs(REPORT_M - 1609.344 / 4)).toBeLessThanOrEqual(0.5);
  });
});

describe('ground to land on', () => {
  const hazards: Hazard[] = [
    { name: 'wire', kind: 'power line', line: [at(-1000, 0), at(1000, 0)], height_m: 30 },
    { name: 'farm', kind: 'homestead', polygon: [at(2000, 0), at(2200, 0), at(2200, 200), at(2000, 200)], height_m: 5 },
    { name: 'ridge', kind: 'ridge', polygon: [at(-500, 2000), at(500, 2000), at(0, 3000)], height_m: 150 },
    { name: 'wood', kind: 'trees', polygon: [at(-3000, -3000), at(-2000, -3000), at(-2000, -2000)], height_m: 10 },
  ];
  /** A plane that rises to the east by so many degrees. */
  const slope = (degrees: number): TerrainGrid => {
    const step = 0.001;
    const eastCell = frame.toLocal([20 + step, 30])[0];
    const heights = Float32Array.from(
      { length: 100 * 100 },
      (_, k) => 500 + (k % 100) * eastCell * Math.tan((degrees * Math.PI) / 180),
    );
    return new TerrainGrid(
      {
        west_deg: 20 - 50 * step,
        north_deg: 30 + 50 * step,
        stepLon_deg: step,
        stepLat_deg: step,
        columns: 100,
        rows: 100,
      },
      heights,
    );
  };
  const flat = new LandableGround(hazards, null, frame);

  it('is five heights and half a site clear of wires, 61 m of people, and not in a wood', () => {
    expect(flat.refusesLanding(0, 5 * 30 + 15.25 - 1, 7)).toBe('wire is 160\u202fm away, nearer than 170\u202fm');
    expect(flat.refusesLanding(0, 5 * 30 + 15.25 + 1, 7)).toBeNull();
    expect(flat.refusesLanding(2100, 100, 7)).toBe('it lies in farm');
    expect(flat.refusesLanding(2200 + 60, 100, 7)).toContain('farm is 60\u202fm away');
    expect(flat.refusesLanding(2200 + 62, 100, 7)).toBeNull();
    expect(flat.refusesLanding(-2200, -2700, 7)).toBe('it lies in wood');
  });
  it('on a ridge it is judged by its slope alone', () => {
    expect(flat.refusesLanding(0, 2300, 7)).toBeNull();
  });
  // ref: recovery.md §2: 0 to 7° land without warning; FM 3-21.38, mark F.
  it.each([
    [6.5, null],
    [7.6, 'the ground is 8° steep, over 7°'],
  ])('at %s° of slope: %s', (degrees, answer) => {
    const ground = new LandableGround([], slope(degrees), frame);
    expect(ground.slope_deg(100, 100)).toBeCloseTo(degrees, 1);
    expect(ground.refusesLanding(100, 100, 7)).toBe(answer);
    expect(ground.refusesStanding(100, 100)).toBeNull();
  });
  it('a vehicle stands on steeper ground, not in a wood or on more than its own limit', () => {
    expect(new LandableGround([], slope(STAND_SLOPE_DEG + 1), frame).refusesStanding(0, 0)).toContain('steep');
    expect(flat.refusesStanding(-2200, -2700)).toBe('it lies in wood');
    expect(flat.refusesStanding(0, 10)).toBeNull();
  });
  it('is found nearest first and downwind first', () => {
    const place = flat.setDownNear([0, 1000], 7, 90, [61, 1500]);
    expect(place?.[0]).toBeCloseTo(61, 6);
    expect(place?.[1]).toBeCloseTo(1000, 6);
    const moved = flat.setDownNear([0, 0], 7, 90, [61, 1500]);
    expect(moved).not.toBeNull();
    expect(flat.refusesLanding(moved?.[0] ?? 0, moved?.[1] ?? 0, 7)).toBeNull();
    expect(new LandableGround([], slope(20), frame).setDownNear([0, 0], 7, 0, [61, 1500])).toBeNull();
  });
  it('what stands near is listed, the nearest first, without ridges and water', () => {
    expect(flat.obstaclesNear(0, 100, 402).map((one) => [one.name, Math.round(one.distance_m)])).toEqual([
      ['wire', 100],
    ]);
    expect(flat.obstaclesNear(1900, 100, 2000).map((one) => one.name)).toEqual(['farm', 'wire']);
  });
});
