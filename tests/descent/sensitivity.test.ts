// The wind's sensitivity against flights of changed winds, and against the covariance of ensembles in which only the
// wind is drawn.
import { describe, expect, it } from 'vitest';
import { STEER_DRIFT } from '../../core/descent/body.ts';
import { Ensemble } from '../../core/descent/ensemble.ts';
import { Draws, Flight } from '../../core/descent/flight.ts';
import { outlookOf } from '../../core/descent/outlook.ts';
import { scenarioOf, worldSamplerOf, type Scenario } from '../../core/descent/scenario.ts';
import { onNodes, windSensitivity, type NodeWeights } from '../../core/descent/sensitivity.ts';
import { DEFAULT_SPREAD, drawInputs, spreadOf } from '../../core/descent/spread.ts';
import { drawWind, type WindError } from '../../core/descent/windError.ts';
import { Random } from '../../core/base/random.ts';
import { statisticsOf } from '../../core/descent/statistics.ts';
import { localFrame } from '../../core/earth/geodesic.ts';
import { DEG_PER_RAD } from '../../core/base/units.ts';
import { demo } from '../demo.ts';
import { randomCase, scenarioFor } from './cases.ts';
import { landingCovariance } from './landingCovariance.ts';

/**
 * The scenario as K is about it: homing left to drift; "into wind" is left out, a weak wind's direction is not a linear
 * thing.
 */
function linear(scenario: Scenario): Scenario {
  const { canopy } = scenario.body;
  return canopy === null
    ? scenario
    : { ...scenario, body: { ...scenario.body, canopy: { ...canopy, policy: STEER_DRIFT } } };
}

const NOTHING_BUT_WIND = spreadOf(Object.fromEntries(Object.keys(DEFAULT_SPREAD).map((key) => [key, 0])));

/** Twenty random missions whose canopy drifts or holds. */
const seeds = Array.from({ length: 80 }, (_, i) => 300 + i).filter((seed) =>
  ['drift', 'hold'].includes(randomCase(seed).body.canopy?.steering?.policy ?? ''),
);

const SEED = 9;
const MEMBERS = 200;

const variance = (xs: readonly number[]): number => {
  const mean = xs.reduce((sum, x) => sum + x, 0) / xs.length;
  return xs.reduce((sum, x) => sum + (x - mean) ** 2, 0) / (xs.length - 1);
};

const dot = (a: Float64Array, b: Float64Array): number => a.reduce((sum, x, i) => sum + x * (b[i] ?? NaN), 0);

/** How far to first order the wind of one member of an ensemble moves the landing, m east and north. */
function landingOf(weights: NodeWeights, error: WindError, member: number): readonly [number, number] {
  const random = new Random(SEED, member);
  drawInputs(NOTHING_BUT_WIND, random, new Draws());
  const n = error.heights_m.length;
  const offset = { heights_m: error.heights_m, u_mps: new Float64Array(n), v_mps: new Float64Array(n) };
  drawWind(error, random, new Float64Array(2 * n), offset);
  const { u_mps, v_mps } = offset;
  return [dot(weights.ee, u_mps) + dot(weights.en, v_mps), dot(weights.ne, u_mps) + dot(weights.nn, v_mps)];
}

/** Trace of the landing's covariance by the wind's whole covariance matrix. */
function quadratic({ ee, en, ne, nn }: NodeWeights, factor: Float64Array): number {
  const n = ee.length;
  const covariance = (i: number, j: number): number =>
    dot(factor.subarray(i * n, (i + 1) * n), factor.subarray(j * n, (j + 1) * n));
  let sum = 0;
  for (let i = 0; i < n; i++)
    for (let j = 0; j < n; j++)
      for (const w of [ee, en, ne, nn]) sum += (w[i] ?? NaN) * (w[j] ?? NaN) * covariance(i, j);
  return sum;
}

describe('sensitivity to wind', () => {
  it('agrees with flights in which one layer of wind is stronger and weaker, within 1.5 % of the largest layer', () => {
    let compared = 0;
    for (const seed of seeds.slice(0, 8)) {
      const scenario = scenarioFor(randomCase(seed));
      const k = windSensitivity(scenario, null);
      if (k === null) throw new Error('the random missions land');
      const top = scenario.exit.height_m;
      const bottom = scenario.world.ground.site_m;
      const nodes = Float64Array.from({ length: 7 }, (_, i) => bottom + ((top - bottom) * i) / 6);
      const weights = onNodes(k, nodes);
      const frame = localFrame([scenario.exit.lon_deg, scenario.exit.lat_deg]);
      const land = (node: number, u: number, v: number): readonly [number, number] => {
        const at = (x: number): Float64Array => Float64Array.from(nodes, (_, i) => (i === node ? x : 0));
        const flight = new Flight(worldSamplerOf(scenario.world), scenario.body);
        flight.motion.tolerance = 1e-6;
        flight.canopyFlight.step_m_max = 20;
        flight.fly(scenario.exit, { heights_m: nodes, u_mps: at(u), v_mps: at(v) });
        return frame.toLocal([flight.landingLon_rad * DEG_PER_RAD, flight.landingLat_rad * DEG_PER_RAD]);
      };
      const largest = Math.max(...weights.ee);
      nodes.forEach((_, i) => {
        const [eastUp, northUp] = land(i, 0.2, 0);
        const [eastDown, northDown] = land(i, -0.2, 0);
        expect(Math.abs((eastUp - eastDown) / 0.4 - (weights.ee[i] ?? NaN)), `seed ${seed}, node ${i}`).toBeLessThan(
          0.015 * largest,
        );
        expect(Math.abs((northUp - northDown) / 0.4 - (weights.ne[i] ?? NaN))).toBeLessThan(0.015 * largest);
        const [, north] = land(i, 0, 0.2);
        const [, south] = land(i, 0, -0.2);
        expect(Math.abs((north - south) / 0.4 - (weights.nn[i] ?? NaN))).toBeLessThan(0.015 * largest);
        compared += 3;
      });
    }
    expect(compared).toBe(8 * 7 * 3);
  });

  it('predicts the covariance of ensembles in which only the wind is drawn within 10 %: 20 random missions and both demos', async () => {
    const scenarios = seeds
      .slice(0, 20)
      .map((seed) => ({ name: `seed ${seed}`, scenario: scenarioFor(randomCase(seed)) }));
    for (const name of ['salt-plain', 'town-meadow'] as const) {
      const { situation } = await demo(name);
      scenarios.push({ name, scenario: linear(scenarioOf(situation.mission, situation.world)) });
    }
    expect(scenarios).toHaveLength(22);
    for (const { name, scenario } of scenarios) {
      const { error, offset } = outlookOf(scenario);
      const k = windSensitivity(scenario, offset);
      if (k === null) throw new Error(`${name} lands`);
      const weights = onNodes(k, error.heights_m);
      const [ee, , nn] = landingCovariance(weights, error.factor);
      const members = new Ensemble({ scenario, error, spread: NOTHING_BUT_WIND, seed: SEED }).run(0, MEMBERS);
      const [[sampleEe], [, sampleNn]] = statisticsOf(members, [], [])?.covariance_m2 ?? [
        [NaN, NaN],
        [NaN, NaN],
      ];
      // What the same draws do to first order: the sampling error of a variance, 7 % here, is in both alike.
      const linear = Array.from({ length: MEMBERS }, (_, i) => landingOf(weights, error, i));
      const sampled = variance(linear.map(([e]) => e)) + variance(linear.map(([, n]) => n));
      expect(
        Math.abs((sampleEe + sampleNn) / sampled - 1),
        `${name}: ${sampleEe} + ${sampleNn} against ${sampled}`,
      ).toBeLessThan(0.1);
      // And the covariance that is shown is that of all such draws: w C wᵀ with C = L Lᵀ.
      expect((ee + nn) / quadratic(weights, error.factor)).toBeCloseTo(1, 9);
    }
  });
});
