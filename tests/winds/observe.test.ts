// What to observe next, against actually observing it: the analysis with the observation added, its landing covariance
// by plain sums.
import { describe, expect, it } from 'vitest';
import { fc } from '../property.ts';
import { analyse, evaluate, pointsOf, type Observation, type PointOf, type Solved } from '../../core/winds/analysis.ts';
import { backgroundErrors } from '../../core/winds/errors.ts';
import {
  rankingWords,
  rankObservations,
  usualCandidates,
  type Candidate,
  type WindKernel,
} from '../../core/winds/observe.ts';
import { mission as missionSchema } from '../../core/plan/schema.ts';
import { Random } from '../../core/base/random.ts';
import type { LonLat } from '../../core/base/units.ts';

const errors = backgroundErrors();
const site: LonLat = [141.5, -31.9];
const path: PointOf[] = Array.from({ length: 120 }, (_, i) => ({
  height_m: 130 + i * 300,
  time_s: (120 - i) * 8,
  position: [141.5 + i * 0.002, -31.9] as const,
}));
// A canopy from 1.5 km, a fall above: 200 s a km below, 10 s a km above, with a little turning.
const kernelOf = (turn: number): WindKernel => {
  const heights_m = Float64Array.from({ length: 700 }, (_, q) => 35_800 - q * 51);
  const weight = heights_m.map((h) => 51 * (h < 1500 ? 0.2 : 0.01));
  return {
    heights_m,
    ee: weight,
    nn: weight.map((w) => 0.9 * w),
    en: weight.map((w) => turn * w),
    ne: weight.map((w) => -turn * w),
  };
};

const observation = (i: number, at: PointOf, std_mps: number): Observation => ({
  ...at,
  id: `o${i}`,
  observer: `o${i}`,
  u_mps: i,
  v_mps: -i,
  std_mps,
});

/**
 * Landing covariance straight from the definition: double sum over quadrature points of weight × posterior covariance ×
 * weight.
 */
function landingCovariance(kernel: WindKernel, solved: Solved): [number, number, number] {
  const nodes = pointsOf(path, errors);
  const { covariance } = evaluate(solved, nodes);
  const rows = Array.from(kernel.heights_m, (h): [number, number, number] => {
    const x = Math.min(Math.max((h - 130) / 300, 0), 119);
    const k = Math.min(Math.floor(x), 118);
    return [k, 1 - (x - k), x - k];
  });
  let [ee, en, nn] = [0, 0, 0];
  rows.forEach(([k, a0, a1], q) => {
    rows.forEach(([l, b0, b1], p) => {
      const c = (i: number, j: number): number => covariance[i * 120 + j] ?? NaN;
      const cov = a0 * (b0 * c(k, l) + b1 * c(k, l + 1)) + a1 * (b0 * c(k + 1, l) + b1 * c(k + 1, l + 1));
      const w = (of: Float64Array | undefined, i: number): number => of?.[i] ?? 0;
      ee += cov * (w(kernel.ee, q) * w(kernel.ee, p) + w(kernel.en, q) * w(kernel.en, p));
      en += cov * (w(kernel.ee, q) * w(kernel.ne, p) + w(kernel.en, q) * w(kernel.nn, p));
      nn += cov * (w(kernel.ne, q) * w(kernel.ne, p) + w(kernel.nn, q) * w(kernel.nn, p));
    });
  });
  return [ee, en, nn];
}

const analysed = (observations: readonly Observation[]): Solved =>
  analyse({ background: () => [0, 0], errors, site, valid_s: 0, nodes_m: Float64Array.from([130, 1000]), observations })
    .solved;

const area = ([ee, en, nn]: [number, number, number], other: number): number =>
  Math.PI * 4.605170185988091 * Math.sqrt((ee + other) * (nn + other) - en * en);

describe('what to observe next', () => {
  it('foretells the very area that the observation then leaves, with and without reports so far', () => {
    let compared = 0;
    for (const seed of [1, 2, 3, 4]) {
      const random = new Random(seed);
      const kernel = kernelOf(seed % 2 === 0 ? 0.2 : 0);
      const anywhere = (): PointOf => ({
        height_m: 130 + 12_000 * random.uniform(),
        time_s: -3000 * random.uniform(),
        position: [141.5 + 0.3 * random.normal(), -31.9 + 0.3 * random.normal()],
      });
      const before =
        seed === 1
          ? []
          : Array.from({ length: 5 * seed }, (_, i) => observation(i, anywhere(), 0.6 + random.uniform()));
      const next = Array.from({ length: 6 }, () => ({ ...anywhere(), std_mps: 0.8 }));
      const other = seed * 4000;
      const [ranked] = rankObservations({
        kernel,
        path,
        errors,
        solved: before.length === 0 ? null : analysed(before),
        other_m2: [
          [other, 0],
          [0, other],
        ],
        candidates: [{ name: 'six winds', observations: next }],
      });
      const after = analysed([...before, ...next.map((one, i) => observation(100 + i, one, one.std_mps))]);
      expect(ranked?.before_m2).toBeCloseTo(area(landingCovariance(kernel, analysed(before)), other), -1);
      const expected = area(landingCovariance(kernel, after), other);
      expect(Math.abs((ranked?.after_m2 ?? NaN) / expected - 1)).toBeLessThan(1e-9);
      compared += 1;
    }
    expect(compared).toBe(4);
  });

  it('never grows the area, ranks by what is gained, and a better instrument gains more', () => {
    fc.assert(
      fc.property(fc.integer(), fc.double({ min: 0.3, max: 4, noNaN: true }), (seed, std_mps) => {
        const random = new Random(seed);
        const at: PointOf = { height_m: 130 + 30_000 * random.uniform() ** 2, time_s: 0, position: site };
        const candidates: Candidate[] = [1, 0.5, 2].map((factor) => ({
          name: `${factor}`,
          observations: [{ ...at, std_mps: std_mps * factor }],
        }));
        const ranked = rankObservations({
          kernel: kernelOf(0),
          path,
          errors,
          solved: null,
          other_m2: [
            [1e4, 0],
            [0, 1e4],
          ],
          candidates,
        });
        expect(ranked.map((one) => one.candidate.name)).toEqual(['0.5', '1', '2']);
        for (const one of ranked) expect(one.shrinks).toBeGreaterThanOrEqual(0);
      }),
      { numRuns: 60 },
    );
  });

  const plan = missionSchema.parse({
    format: 'plumbline/mission',
    version: 1,
    name: 'test',
    site: { name: 'Home', position: site, elevation_m: 120 },
    exit: { position: site, altitude_m: 36_000, time: '2026-03-14T08:00:00Z' },
    jumper: { mass_kg: 118, stages: [{ name: 'freefall', dragArea_m2: 0.8 }] },
  });

  it('says it in words, the most helpful first', () => {
    const candidates = usualCandidates({ mission: plan, errors, now_s: 0, top_m: 36_000, ground_m: 120 });
    expect(candidates.map((one) => one.name)).toEqual([
      'a pilot balloon to 2 km',
      'a pilot balloon to 5 km',
      'a pilot balloon to 10 km',
      'a sounding to 36 km',
      'a surface wind from a station at the site',
      'a crew’s wind at the zone',
      'smoke at the zone',
    ]);
    for (const one of candidates) for (const at of one.observations) expect(at.std_mps).toBeGreaterThan(0);
    const ranked = rankObservations({
      kernel: kernelOf(0),
      path,
      errors,
      solved: null,
      other_m2: [
        [2500, 0],
        [0, 2500],
      ],
      candidates,
    });
    expect(ranked[0]?.candidate.name).toBe('a sounding to 36 km');
    expect(rankingWords(ranked)).toMatch(
      /^A sounding to 36 km would shrink the 90 % area by \d+ %; a pilot balloon to 10 km by \d+ %; .* by \d+ %\.$/,
    );
    expect(rankingWords([])).toContain('No usual observation');
  });

  it('knows that where nothing is uncertain nothing can be gained', () => {
    const none = backgroundErrors({ wind: { std_mps: [[0, 0]] } });
    const candidates = usualCandidates({ mission: plan, errors: none, now_s: 0, top_m: 36_000, ground_m: 120 });
    const ranked = rankObservations({
      kernel: kernelOf(0),
      path,
      errors: none,
      solved: null,
      other_m2: [
        [2500, 0],
        [0, 2500],
      ],
      candidates,
    });
    for (const one of ranked) expect(one.shrinks).toBeCloseTo(0, 12);
  });
});
