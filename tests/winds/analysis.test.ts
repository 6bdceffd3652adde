// The analysis against closed forms that share no code with it: the information form solved by Gauss-Jordan
// elimination, and Kalman updates one report at a time (Kalnay, Atmospheric Modeling, Data Assimilation and
// Predictability (2003), §5.4 and §5.6).
import { describe, expect, it } from 'vitest';
import { fc } from '../property.ts';
import {
  analyse,
  analysisNodes,
  combineEqual,
  evaluate,
  incrementAt,
  pointsOf,
  type Background,
  type Observation,
} from '../../core/winds/analysis.ts';
import { covarianceFactor } from '../../core/winds/cholesky.ts';
import { backgroundErrors, DEFAULT_CORRELATION_LENGTH_M } from '../../core/winds/errors.ts';
import { toTenMetres } from '../../core/winds/nearGround.ts';
import { SOURCE_ERRORS } from '../../core/log/sources.ts';
import { chord_m } from '../../core/earth/chord.ts';
import { atKnots } from '../../core/base/knots.ts';
import { choose, sampleMean, samplesOf } from '../../core/winds/thinning.ts';
import { Random } from '../../core/base/random.ts';
import type { LonLat } from '../../core/base/units.ts';
import geodesic from 'geographiclib-geodesic';

const errors = backgroundErrors({
  wind: {
    std_mps: [
      [0, 1.5],
      [10_000, 3],
      [40_000, 6],
    ],
    bulk: 0.2,
  },
});
const site: LonLat = [141.5, -31.9];
const background: Background = (z, t) => [3 + z / 1000 + t / 7200, -2 + z / 3000];

function someObservations(count: number, seed: number): Observation[] {
  const random = new Random(seed);
  return Array.from({ length: count }, (_, i) => ({
    id: `w${i}`,
    observer: `o${i}`,
    time_s: Math.round(-7200 * random.uniform()),
    position: [site[0] + random.normal() * 0.3, site[1] + random.normal() * 0.3] as const,
    height_m: 130 + 30_000 * random.uniform() ** 2,
    u_mps: 5 * random.normal(),
    v_mps: 5 * random.normal(),
    std_mps: 0.5 + 2 * random.uniform(),
  }));
}

/**
 * Prior covariance written out from MODEL.md §8 and §9, by numerical quadrature of 1/L and the geodesic instead of the
 * chord.
 */
function covarianceByModel(a: { z: number; t: number; p: LonLat }, b: { z: number; t: number; p: LonLat }): number {
  const zeta = (z: number): number => {
    // Simpson's rule on pieces between the knots of L, 2000 intervals each: L is smooth within a piece.
    let sum = 0;
    for (const [from, to] of [
      [0, 10_000],
      [10_000, 40_000],
    ] as const) {
      const end = Math.min(z, to);
      if (end <= from) continue;
      const n = 2000;
      const h = (end - from) / n;
      for (let i = 0; i <= n; i++) {
        const L = atKnots(DEFAULT_CORRELATION_LENGTH_M, from + i * h);
        sum += ((i === 0 || i === n ? 1 : i % 2 === 1 ? 4 : 2) * h) / 3 / L;
      }
    }
    return sum;
  };
  const sigma = (z: number): number => (z < 10_000 ? 1.5 + (1.5 * z) / 10_000 : 3 + (3 * (z - 10_000)) / 30_000);
  const d = geodesic.Geodesic.WGS84.Inverse(a.p[1], a.p[0], b.p[1], b.p[0]).s12 ?? NaN;
  const tau = 6 * 3600;
  // The ground's own part: 57 % of the variance at 10 m, none a kilometre up, over 5 km (confidence.md §1.4).
  const own = (z: number): number => 0.57 * Math.min(Math.max((1000 - z) / 990, 0), 1);
  const layer = Math.exp(-0.5 * (zeta(a.z) - zeta(b.z)) ** 2);
  const broad = Math.sqrt((1 - own(a.z)) * (1 - own(b.z))) * (0.2 + 0.8 * layer) * Math.exp(-0.5 * (d / 150_000) ** 2);
  const local = Math.sqrt(own(a.z) * own(b.z)) * layer * Math.exp(-0.5 * (d / 5000) ** 2);
  return sigma(a.z) * sigma(b.z) * Math.exp(-Math.abs(a.t - b.t) / tau) * (broad + local);
}

/** Inverse by Gauss-Jordan elimination with row exchange. */
function inverted(matrix: readonly (readonly number[])[]): number[][] {
  const n = matrix.length;
  const rows = matrix.map((row, i) => [...row, ...Array.from({ length: n }, (_, j) => (i === j ? 1 : 0))]);
  for (let k = 0; k < n; k++) {
    let pivot = k;
    for (let i = k + 1; i < n; i++) if (Math.abs(rows[i]?.[k] ?? 0) > Math.abs(rows[pivot]?.[k] ?? 0)) pivot = i;
    const top = rows[pivot] ?? [];
    rows[pivot] = rows[k] ?? [];
    rows[k] = top;
    const p = top[k] ?? NaN;
    for (let j = 0; j < 2 * n; j++) top[j] = (top[j] ?? 0) / p;
    for (let i = 0; i < n; i++) {
      if (i === k) continue;
      const row = rows[i] ?? [];
      const f = row[k] ?? 0;
      if (f !== 0) for (let j = 0; j < 2 * n; j++) row[j] = (row[j] ?? 0) - f * (top[j] ?? 0);
    }
  }
  return rows.map((row) => row.slice(n));
}

const times = (a: readonly (readonly number[])[], x: readonly number[]): number[] =>
  a.map((row) => row.reduce((sum, c, j) => sum + c * (x[j] ?? 0), 0));

describe('the analysis', () => {
  const nodes_m = Float64Array.from([130, 800, 2000, 5000, 9000, 15_000, 24_000]);

  it('is the information form (B⁻¹ + Hᵀ R⁻¹ H)⁻¹ of the joint state, mean and covariance, below 2e-5', () => {
    for (const seed of [1, 2, 3]) {
      const observations = someObservations(6, seed);
      const got = analyse({ background, errors, site, valid_s: 600, nodes_m, observations });
      // The state: nodes first, then the background's error at every observation; H picks the latter.
      const state = [
        ...Array.from(nodes_m, (z) => ({ z, t: 600, p: site })),
        ...observations.map((one) => ({ z: one.height_m, t: one.time_s, p: one.position })),
      ];
      const B = state.map((a, i) => state.map((b, j) => covarianceByModel(a, b) * (i === j ? 1 + 1e-13 : 1)));
      const info = inverted(B);
      const m = nodes_m.length;
      const right = (component: 0 | 1): number[] =>
        state.map((_, i) => {
          const one = observations[i - m];
          if (one === undefined) return 0;
          const y =
            (component === 0 ? one.u_mps : one.v_mps) -
            (background(one.height_m, one.time_s, one.position)[component] ?? NaN);
          return y / one.std_mps ** 2;
        });
      observations.forEach((one, i) => {
        const row = info[m + i] ?? [];
        row[m + i] = (row[m + i] ?? 0) + 1 / one.std_mps ** 2;
      });
      const P = inverted(info);
      const du = times(P, right(0));
      const dv = times(P, right(1));
      for (let k = 0; k < m; k++) {
        // Tolerance: the model side uses the geodesic, ours the chord (relative 2e-5 of d² at these 30 to 100 km), and
        // B is inverted twice.
        expect(Math.abs((got.increment.u_mps[k] ?? NaN) - (du[k] ?? NaN))).toBeLessThan(2e-5);
        expect(Math.abs((got.increment.v_mps[k] ?? NaN) - (dv[k] ?? NaN))).toBeLessThan(2e-5);
        for (let l = 0; l < m; l++)
          expect(Math.abs((got.covariance[k * m + l] ?? NaN) - (P[k]?.[l] ?? NaN))).toBeLessThan(2e-5);
      }
    }
  });

  it('gives the same numbers as Kalman updates with one report after another, below 1e-10', () => {
    const observations = someObservations(25, 7);
    const got = analyse({ background, errors, site, valid_s: 0, nodes_m, observations });
    const list = [
      ...Array.from(nodes_m, (height_m) => ({ height_m, time_s: 0, position: site })),
      ...observations.map((one) => ({ height_m: one.height_m, time_s: one.time_s, position: one.position })),
    ];
    const P = list.map((a) =>
      list.map((b) => {
        const zeta = errors.zeta(a.height_m) - errors.zeta(b.height_m);
        const d = chord_m(a.position, b.position) / errors.distance_m;
        const dt = Math.abs(a.time_s - b.time_s) / errors.time_s;
        // MODEL.md §8: a part over the region, of which some is common to the column, and the ground's own.
        const share = (z: number): number => errors.localShare(z);
        const near = d * (errors.distance_m / errors.localDistance_m);
        const layer = Math.exp(-0.5 * zeta * zeta);
        const broad = Math.sqrt((1 - share(a.height_m)) * (1 - share(b.height_m)));
        const local = Math.sqrt(share(a.height_m) * share(b.height_m));
        return (
          errors.std_mps(a.height_m, a.time_s) *
          errors.std_mps(b.height_m, b.time_s) *
          Math.exp(-dt) *
          (broad * (errors.bulk + (1 - errors.bulk) * layer) * Math.exp(-0.5 * d * d) +
            local * layer * Math.exp(-0.5 * near * near))
        );
      }),
    );
    const m = nodes_m.length;
    const x = list.map(() => 0);
    observations.forEach((one, i) => {
      const at = m + i;
      const column = P.map((row) => row[at] ?? 0);
      const s = (column[at] ?? 0) + one.std_mps ** 2;
      const y = one.u_mps - background(one.height_m, one.time_s, one.position)[0] - (x[at] ?? 0);
      const row = [...(P[at] ?? [])];
      for (let a = 0; a < list.length; a++) {
        x[a] = (x[a] ?? 0) + ((column[a] ?? 0) / s) * y;
        const mine = P[a] ?? [];
        for (let b = 0; b < list.length; b++) mine[b] = (mine[b] ?? 0) - ((column[a] ?? 0) * (row[b] ?? 0)) / s;
      }
    });
    for (let k = 0; k < m; k++) {
      expect(Math.abs((got.increment.u_mps[k] ?? NaN) - (x[k] ?? NaN))).toBeLessThan(1e-10);
      for (let l = 0; l < m; l++)
        expect(Math.abs((got.covariance[k * m + l] ?? NaN) - (P[k]?.[l] ?? NaN))).toBeLessThan(1e-10);
    }
  });

  it('of one report at a node is the textbook weight σb²/(σb² + σo²), and its variance the harmonic one', () => {
    const [z, so] = [5000, 1.2];
    const one: Observation = {
      id: 'a',
      observer: 'a',
      time_s: 0,
      position: site,
      height_m: z,
      u_mps: 20,
      v_mps: 1,
      std_mps: so,
    };
    const got = analyse({ background, errors, site, valid_s: 0, nodes_m: Float64Array.from([z]), observations: [one] });
    const sb2 = 2.25 ** 2; // halfway between 1.5 at sea level and 3 at 10 km
    expect(got.increment.u_mps[0]).toBeCloseTo((sb2 / (sb2 + so * so)) * (20 - 8), 12);
    expect(got.std_mps[0]).toBeCloseTo(1 / Math.sqrt(1 / sb2 + 1 / (so * so)), 12);
    expect(got.forecastStd_mps[0]).toBeCloseTo(2.25, 12);
  });

  it('is the same to the bit in any order of the reports', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 1, max: 40 }),
        fc.integer(),
        fc.infiniteStream(fc.double({ min: 0, max: 1, noNaN: true })),
        (count, seed, keys) => {
          const observations = someObservations(count, seed);
          const doubled = [
            ...observations,
            ...observations.slice(0, 5).map((one) => ({ ...one, id: `${one.id}'`, u_mps: one.u_mps + 1 })),
          ];
          const a = analyse({ background, errors, site, valid_s: 0, nodes_m, observations: doubled });
          const shuffled = doubled
            .map((one) => ({ one, key: keys.next().value ?? 0 }))
            .sort((p, q) => p.key - q.key)
            .map((p) => p.one);
          const b = analyse({ background, errors, site, valid_s: 0, nodes_m, observations: shuffled });
          expect(Array.from(b.increment.u_mps)).toEqual(Array.from(a.increment.u_mps));
          expect(Array.from(b.increment.v_mps)).toEqual(Array.from(a.increment.v_mps));
          expect(Array.from(b.covariance)).toEqual(Array.from(a.covariance));
        },
      ),
      { numRuns: 60 },
    );
  });

  it('changes no number when reports of one place, height and time are combined by inverse variance', () => {
    const base = someObservations(8, 3);
    const twins = base
      .slice(0, 4)
      .map((one, i) => ({ ...one, id: `t${i}`, u_mps: one.u_mps + i, std_mps: one.std_mps * (1 + i) }));
    expect(combineEqual([...base, ...twins])).toHaveLength(8);
    const combined = analyse({ background, errors, site, valid_s: 0, nodes_m, observations: [...base, ...twins] });
    // A millionth of a millimetre apart they are not combined, and the wind is the same wind.
    const separate = twins.map((one) => ({ ...one, height_m: one.height_m + 1e-9 }));
    const apart = analyse({ background, errors, site, valid_s: 0, nodes_m, observations: [...base, ...separate] });
    expect(apart.observations).toHaveLength(12);
    for (let k = 0; k < nodes_m.length; k++) {
      expect(Math.abs((apart.increment.u_mps[k] ?? NaN) - (combined.increment.u_mps[k] ?? NaN))).toBeLessThan(1e-9);
      expect(Math.abs((apart.std_mps[k] ?? NaN) - (combined.std_mps[k] ?? NaN))).toBeLessThan(1e-9);
    }
  });

  it('without reports is the forecast with the forecast’s error', () => {
    const got = analyse({ background, errors, site, valid_s: 0, nodes_m, observations: [] });
    expect(Array.from(got.increment.u_mps)).toEqual(Array.from(nodes_m, () => 0));
    expect(Array.from(got.std_mps)).toEqual(Array.from(nodes_m, (z) => Math.sqrt(errors.std_mps(z, 0) ** 2)));
    expect(got.u_mps[3]).toBeCloseTo(8, 12);
  });

  it('never makes the wind less certain, and never more certain than forecast and all reports of the place together', () => {
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 30 }), fc.integer(), (count, seed) => {
        const observations = someObservations(count, seed);
        const got = analyse({ background, errors, site, valid_s: 0, nodes_m, observations });
        const reports = observations.reduce((sum, one) => sum + 1 / one.std_mps ** 2, 0);
        nodes_m.forEach((z, k) => {
          const std = got.std_mps[k] ?? NaN;
          expect(std).toBeLessThanOrEqual(errors.std_mps(z, 0) + 1e-12);
          expect(std).toBeGreaterThanOrEqual(1 / Math.sqrt(1 / errors.std_mps(z, 0) ** 2 + reports) - 1e-12);
        });
      }),
      { numRuns: 100 },
    );
  });

  it('asked at an observation’s own place gives what was asked on a node there, and dies away with distance', () => {
    const one: Observation = {
      id: 'a',
      observer: 'a',
      time_s: -3600,
      position: [142.4, -31.2],
      height_m: 2000,
      u_mps: 15,
      v_mps: 4,
      std_mps: 1,
    };
    const got = analyse({ background, errors, site, valid_s: 0, nodes_m, observations: [one] });
    const there = evaluate(got.solved, pointsOf([one], errors));
    const atNode = incrementAt(got, one.position, one.time_s);
    expect(atNode.u_mps[2]).toBeCloseTo(there.du[0] ?? NaN, 12);
    const far = incrementAt(got, [152, -31.2], one.time_s);
    expect(Math.abs(far.u_mps[2] ?? NaN)).toBeLessThan(1e-6);
    expect(atNode.u_mps[2]).toBeGreaterThan(got.increment.u_mps[2] ?? NaN);
  });

  it('has a factor whose square is its covariance', () => {
    const nodes = analysisNodes(errors, 130, 40_000);
    const got = analyse({
      background,
      errors,
      site,
      valid_s: 0,
      nodes_m: nodes,
      observations: someObservations(30, 5),
    });
    const l = covarianceFactor(got.covariance, got.increment.heights_m.length);
    const n = nodes.length;
    expect(n).toBeGreaterThan(80);
    let worst = 0;
    for (let i = 0; i < n; i++) {
      for (let j = 0; j <= i; j++) {
        let sum = 0;
        for (let k = 0; k <= j; k++) sum += (l[i * n + k] ?? 0) * (l[j * n + k] ?? 0);
        worst = Math.max(worst, Math.abs(sum - (got.covariance[i * n + j] ?? NaN)));
      }
    }
    // The share that is added to the diagonal: 1e-9 of some 30 (m/s)² at most.
    expect(worst).toBeLessThan(1e-7);
  });

  it('puts nodes a quarter of a correlation length apart, rising, from bottom to top', () => {
    const nodes = analysisNodes(errors, 130, 40_000);
    expect(nodes[0]).toBe(130);
    expect(nodes[nodes.length - 1]).toBe(40_000);
    for (let k = 1; k < nodes.length; k++) {
      const step = errors.zeta(nodes[k] ?? NaN) - errors.zeta(nodes[k - 1] ?? NaN);
      expect(step).toBeGreaterThan(0.2);
      expect(step).toBeLessThanOrEqual(0.25 + 1e-9);
    }
  });
});

describe('the errors', () => {
  it('ζ of the default lengths is the closed integral: 10 ln 3 to 10 km, 12 ln(8/3) more to 40 km', () => {
    // ∫ dz/L with L = 500 + z/10 below 10 km: 10 ln(L(z)/500); L = 1500 + z'/12 above: 12 ln(L/1500). Integrated by
    // hand from FORMAT.md.
    expect(errors.zeta(10_000)).toBeCloseTo(10 * Math.log(3), 12);
    expect(errors.zeta(40_000)).toBeCloseTo(10 * Math.log(3) + 12 * Math.log(8 / 3), 12);
    expect(errors.zeta(44_000) - errors.zeta(40_000)).toBeCloseTo(1, 12);
    expect(errors.zeta(-250)).toBeCloseTo(-0.5, 12);
    expect(backgroundErrors({ wind: { correlationLength_m: [[0, 1000]] } }).zeta(2500)).toBeCloseTo(2.5, 12);
  });

  it('brings a wind from 2 m to 10 m by the logarithmic profile, and leaves one from 10 m alone', () => {
    // u(10)/u(2) = ln(10/0.03)/ln(2/0.03) over open grass, z₀ = 0.03 m (MODEL.md §3): 5.80914/4.19970.
    expect(toTenMetres(2, 0.03)).toBeCloseTo(1.38323, 5);
    expect(toTenMetres(10, 0.03)).toBe(1);
    expect(toTenMetres(300, 0.03)).toBe(1);
    for (const agl of [0, 0.01, -3]) expect(toTenMetres(agl, 0.03)).toBe(2.5);
    for (const z0 of [8, 10, 50]) expect(toTenMetres(2, z0)).toBe(1);
  });

  it('the chord is the geodesic to 0.02 % up to 400 km', () => {
    let compared = 0;
    for (const [lon, lat] of [
      [141.6, -31.9],
      [143, -30],
      [145.6, -32.5],
    ] as const) {
      const s12 = geodesic.Geodesic.WGS84.Inverse(site[1], site[0], lat, lon).s12 ?? NaN;
      expect(Math.abs(chord_m(site, [lon, lat]) / s12 - 1)).toBeLessThan(2e-4);
      compared += 1;
    }
    expect(compared).toBe(3);
  });

  it('has an error above 0 with a reason for every kind of report', () => {
    for (const row of Object.values(SOURCE_ERRORS)) {
      expect(row.reason.length).toBeGreaterThan(10);
      for (const [, std] of row.std_mps) expect(std).toBeGreaterThan(0);
    }
  });
});

describe('thinning', () => {
  const station = (minutes: number, u: number): Observation => ({
    id: `s${minutes}`,
    observer: 'station',
    time_s: minutes * 60,
    position: site,
    height_m: 140,
    u_mps: u,
    v_mps: 0,
    std_mps: 1,
  });

  it('takes the readings of one observer within ten minutes as one, with the error of one', () => {
    const samples = samplesOf(
      [0, 1, 2, 5, 9, 11, 14].map((minute) => station(minute, minute)),
      errors,
    );
    expect(samples.map((sample) => sample.map((one) => one.id).toSorted())).toEqual([
      ['s0', 's1', 's2'],
      ['s11', 's14', 's5', 's9'],
    ]);
    const mean = sampleMean(samples[1] ?? []);
    expect(mean.u_mps).toBeCloseTo((5 + 9 + 11 + 14) / 4, 12);
    expect(mean.time_s).toBeCloseTo(mean.u_mps * 60, 9);
    expect(mean.std_mps).toBeCloseTo(1, 12);
  });

  it('keeps the only balloon beside a thousand newer readings, and counts what it leaves out', () => {
    const many = Array.from({ length: 1000 }, (_, i) => ({
      ...station(-i * 11, 3),
      id: `s${i}`,
      observer: `o${i % 7}`,
    }));
    const balloon = { ...station(-300, 9), id: 'balloon', observer: 'balloon', height_m: 5000 };
    const samples = samplesOf([...many, balloon], errors);
    const chosen = choose(samples, errors, site, 0, 100);
    expect(chosen.samples).toHaveLength(100);
    expect(chosen.leftOut).toBe(samples.length - 100);
    expect(chosen.samples.flat().some((one) => one.id === 'balloon')).toBe(true);
    expect(chosen.samples.flat().some((one) => one.id === 's0')).toBe(true);
  });
});
