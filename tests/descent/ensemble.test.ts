// Ensembles: the same bytes however they are cut and shared out; statistics against closed forms; properties of single
// flights.
import { describe, expect, it } from 'vitest';
import {
  columnsOf,
  Ensemble,
  GatheredMembers,
  MEMBER_COLUMNS,
  type EnsembleSetup,
  type Members,
} from '../../core/descent/ensemble.ts';
import { balloonPath } from '../../core/descent/carrier.ts';
import { Flight, LANDED } from '../../core/descent/flight.ts';
import { outlookOf } from '../../core/descent/outlook.ts';
import { predict } from '../../core/descent/predict.ts';
import type { Scenario } from '../../core/descent/scenario.ts';
import { DEFAULT_SPREAD, spreadOf } from '../../core/descent/spread.ts';
import { ellipseOf, quantilesOf, shareOf, statisticsOf } from '../../core/descent/statistics.ts';
import { localFrame } from '../../core/earth/geodesic.ts';
import { DEG_PER_RAD } from '../../core/base/units.ts';
import { WorldSampler } from '../../core/descent/worldSampler.ts';
import { EnsemblePool, type WorkerLike } from '../../core/work/pool.ts';
import { Random } from '../../core/base/random.ts';
import { Workbench } from '../../core/work/work.ts';
import { WindField, WindSampler } from '../../core/winds/field.ts';
import { offsetBetween } from './metres.ts';
import { randomCase, scenarioFor } from './cases.ts';

const setupOf = (seed: number): EnsembleSetup => {
  const scenario = scenarioFor(randomCase(seed));
  return { scenario, error: outlookOf(scenario).error, spread: spreadOf(undefined), seed: 42 };
};

/** A worker in this thread, behind a copy of every message: what cannot cross to a real worker fails here too. */
function sameThread(): WorkerLike {
  const bench = new Workbench();
  return {
    ask: (question) => Promise.resolve(structuredClone(bench.answer(structuredClone(question)))),
    terminate: () => {},
  };
}

const bytesOf = ({ buffer, byteOffset, byteLength }: Float64Array): Uint8Array =>
  new Uint8Array(buffer, byteOffset, byteLength);

const same = (a: Members, b: Members): void => {
  expect(a.count).toBe(b.count);
  for (const column of MEMBER_COLUMNS) expect(bytesOf(a[column]), column).toEqual(bytesOf(b[column]));
};

describe('an ensemble', () => {
  it('gives the same bytes whole, in any chunks, and from one, two or three workers', async () => {
    const setup = setupOf(5);
    const whole = new Ensemble(setup).run(0, 700);
    const flights = new Ensemble(setup);
    const gathered = new GatheredMembers(700, 300);
    const put = (first: number, count: number): void =>
      gathered.put(first, count, columnsOf(flights.run(first, count)));
    put(300, 250);
    expect(gathered.inOrder).toBe(0);
    put(0, 300);
    expect(gathered.inOrder).toBe(550);
    const early = gathered.upTo(550);
    put(550, 150);
    same(gathered.upTo(700), whole);
    same(early, new Ensemble(setup).run(0, 550));
    expect(() => put(0, 300)).toThrow('once');
    expect(() => new GatheredMembers(700, 700).upTo(1)).toThrow('has come');
    for (const workers of [1, 2, 3]) {
      const pool = new EnsemblePool(Array.from({ length: workers }, sameThread));
      const sizes: number[] = [];
      let last: Members | null = null;
      for await (const { done, members } of pool.run(setup, { members: 700, first: 200 })) {
        sizes.push(done);
        last = members;
      }
      if (last === null) throw new Error('a picture was promised');
      same(last, whole);
      // The picture only grows.
      expect(sizes).toEqual(sizes.toSorted((a, b) => a - b));
      expect(sizes.at(-1)).toBe(700);
      pool.terminate();
    }
  });

  it('stops when it is told to, and the pool goes on to the next run', async () => {
    const pool = new EnsemblePool([sameThread(), sameThread()]);
    const setup = setupOf(6);
    let stop = false;
    let pictures = 0;
    for await (const picture of pool.run(setup, { members: 100_000, first: 250, stopped: () => stop })) {
      pictures += 1;
      expect(picture.done).toBeLessThan(100_000);
      stop = true;
    }
    expect(pictures).toBe(1);
    let done = 0;
    for await (const picture of pool.run(setup, { members: 300, first: 300 })) done = picture.done;
    expect(done).toBe(300);
  });

  it('another seed gives other draws; no uncertainty gives the prediction', () => {
    const setup = setupOf(7);
    expect(new Ensemble({ ...setup, seed: 43 }).run(0, 3).lon_deg).not.toEqual(new Ensemble(setup).run(0, 3).lon_deg);
    const nothing = spreadOf(Object.fromEntries(Object.keys(DEFAULT_SPREAD).map((key) => [key, 0])));
    const still = { ...setup.error, factor: setup.error.factor.map(() => 0) };
    const one = new Ensemble({ ...setup, spread: nothing, error: still }).run(0, 1);
    const landing = predict(setup.scenario).landing;
    if (landing === null) throw new Error('the random missions land');
    expect(Math.hypot(...offsetBetween(landing.position, [one.lon_deg[0] ?? NaN, one.lat_deg[0] ?? NaN]))).toBeLessThan(
      1,
    );
  });
});

describe('statistics', () => {
  it('an ellipse of a normal sample holds its share; its axes are those of the covariance', () => {
    const { semiMajor_m, semiMinor_m, bearing_deg } = ellipseOf(400, 0, 100, 0.9);
    // χ² of two degrees of freedom: 4.605 at 90 %.
    expect(semiMajor_m).toBeCloseTo(20 * Math.sqrt(4.605170186), 6);
    expect(semiMinor_m).toBeCloseTo(10 * Math.sqrt(4.605170186), 6);
    expect(bearing_deg).toBeCloseTo(90, 9);
    expect(ellipseOf(250, 150, 250, 0.5).bearing_deg).toBeCloseTo(45, 9);
    expect(ellipseOf(250, -150, 250, 0.5).bearing_deg).toBeCloseTo(135, 9);
  });

  it('mean, covariance, shares and quantiles of a drawn normal sample, within its sampling error', () => {
    const random = new Random(11);
    const n = 20_000;
    const frame = localFrame([22.4, -30.1]);
    const empty = (): Float64Array => new Float64Array(n).fill(NaN);
    const members = Object.fromEntries(MEMBER_COLUMNS.map((column) => [column, empty()])) as Record<
      (typeof MEMBER_COLUMNS)[number],
      Float64Array
    >;
    for (let i = 0; i < n; i++) {
      const [a, b] = [random.normal(), random.normal()];
      const place = frame.toLonLat(300 + 500 * a, -200 + 200 * a + 300 * b);
      members.lon_deg[i] = place[0];
      members.lat_deg[i] = place[1];
      members.time_s[i] = 600 + 10 * b;
    }
    const east = {
      name: 'east',
      polygon: [
        frame.toLonLat(300, -9000),
        frame.toLonLat(9000, -9000),
        frame.toLonLat(9000, 9000),
        frame.toLonLat(300, 9000),
      ],
    };
    const statistics = statisticsOf({ first: 0, count: n, ...members }, [east], []);
    if (statistics === null) throw new Error('there is a sample');
    const [e, m] = frame.toLocal(statistics.mean);
    expect(Math.abs(e - 300)).toBeLessThan(4 * (500 / Math.sqrt(n)));
    expect(Math.abs(m + 200)).toBeLessThan(4 * (361 / Math.sqrt(n)));
    const [[ee, en], [, nn]] = statistics.covariance_m2;
    expect(Math.abs(ee / 250_000 - 1)).toBeLessThan(0.04);
    expect(Math.abs(en / 100_000 - 1)).toBeLessThan(0.06);
    expect(Math.abs(nn / 130_000 - 1)).toBeLessThan(0.04);
    const share = statistics.inZone['east'];
    expect(Math.abs((share?.p ?? NaN) - 0.5)).toBeLessThan(4 * (share?.error ?? NaN));
    expect(share?.error).toBeCloseTo(Math.sqrt(0.25 / n), 4);
    expect(Math.abs(statistics.time_s.p95 - (600 + 16.449))).toBeLessThan(0.5);
  });

  it('quantiles are those of the order statistics, lost members are left out', () => {
    expect(quantilesOf(Float64Array.of(NaN, 5, 1, 3, 2, 4, NaN))).toEqual({ p05: 1.2, p50: 3, p95: 4.8 });
    expect(shareOf(0, 0).p).toBeNaN();
    expect(shareOf(0, 100).error).toBeGreaterThan(0.01);
  });
});

describe('what holds for any flight (Coriolis off)', () => {
  const calmEarth = (
    scenario: Scenario,
    turn: (u: number, v: number) => [number, number],
  ): { east: number; north: number } => {
    const { wind } = scenario.world;
    const { heights_m, times_s, lats_rad, lons_rad, bottoms_m, tops_m, columns } = wind;
    const turned = {
      heights_m,
      times_s,
      lats_rad,
      lons_rad,
      bottoms_m,
      tops_m,
      columns,
      u_mps: wind.u_mps.slice(),
      v_mps: wind.v_mps.slice(),
      facts: wind.facts,
    };
    wind.u_mps.forEach((u, i) => ([turned.u_mps[i], turned.v_mps[i]] = turn(u, wind.v_mps[i] ?? 0)));
    // On the equator the ellipsoid is the same to east and west, and nearly so to north.
    const exit = { ...scenario.exit, lat_deg: 0, velocity_mps: null };
    const canopy = scenario.body.canopy;
    const body = { ...scenario.body, canopy: canopy === null ? null : { ...canopy, policy: 0 } };
    const { air, ground, roughness_m } = scenario.world;
    const flight = new Flight(
      new WorldSampler(air, new WindField(turned), ground, { roughness_m, earthRate_radps: 0 }),
      body,
    );
    flight.motion.tolerance = 1e-6;
    flight.fly(exit, null);
    expect(flight.outcome).toBe(LANDED);
    const [east, north] = offsetBetween(
      [exit.lon_deg, 0],
      [flight.landingLon_rad * DEG_PER_RAD, flight.landingLat_rad * DEG_PER_RAD],
    );
    return { east, north };
  };

  it('mirrored winds mirror the landing, turned winds turn it', () => {
    for (let seed = 500; seed < 512; seed++) {
      const scenario = scenarioFor(randomCase(seed));
      const plain = calmEarth(scenario, (u, v) => [u, v]);
      const mirrored = calmEarth(scenario, (u, v) => [-u, v]);
      const turned = calmEarth(scenario, (u, v) => [v, -u]);
      const drift = Math.hypot(plain.east, plain.north);
      expect(Math.abs(mirrored.east + plain.east)).toBeLessThan(0.05);
      expect(Math.abs(mirrored.north - plain.north)).toBeLessThan(0.05);
      // M and N differ by 0.67 % at the equator, over a height of 40 km by 0.004 % of that: the path keeps its metres.
      expect(Math.abs(turned.east - plain.north)).toBeLessThan(0.1 + 1e-3 * drift);
      expect(Math.abs(turned.north + plain.east)).toBeLessThan(0.1 + 1e-3 * drift);
    }
  });
});

describe('the wind field', () => {
  it('a layer cut in two is the same layer, and levels may come in any order of columns', () => {
    const level = (height_m: number, from_deg: number, speed_mps: number) => ({ height_m, from_deg, speed_mps });
    const whole = WindField.ofColumns([{ source: 'a', time_s: 0, levels: [level(0, 270, 4), level(1000, 270, 12)] }]);
    const halves = WindField.ofColumns([
      { source: 'a', time_s: 0, levels: [level(0, 270, 4), level(500, 270, 8), level(1000, 270, 12)] },
    ]);
    const [a, b] = [new WindSampler(whole), new WindSampler(halves)];
    for (let h = -100; h <= 1200; h += 13) {
      a.sample(0, 0, h, 0);
      b.sample(0, 0, h, 0);
      expect(a.out[0]).toBeCloseTo(b.out[0] ?? NaN, 12);
    }
  });

  it('a balloon through a linear shear drifts by the integral: u̅ · t', () => {
    const wind = WindField.ofColumns([
      {
        source: 'a',
        time_s: 0,
        levels: [
          { height_m: 0, from_deg: 270, speed_mps: 0 },
          { height_m: 10_000, from_deg: 270, speed_mps: 20 },
        ],
      },
    ]);
    const world = { ...scenarioFor(randomCase(1)).world, wind };
    const path = balloonPath(
      {
        kind: 'balloon',
        launch: { position: [20, 0], elevation_m: 0, time: '2027-01-01T00:00:00Z' },
        ascentRate_mps: [[0, 5]],
        float_m: 10_000,
        float_s: 10,
      },
      world,
    );
    const top = path.points[path.levelFrom];
    if (top === undefined) throw new Error('the balloon floats');
    const [east] = offsetBetween([20, 0], top.position);
    expect(top.time_s - (path.points[0]?.time_s ?? NaN)).toBeCloseTo(2000, 6);
    // 10 m/s for 2 000 s, less the height's stretch of the parallel, 0.1 % at the top.
    expect(Math.abs(east / 20_000 - 1)).toBeLessThan(0.0013);
  });
});
