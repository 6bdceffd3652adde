// Layers of the wind against what they stand for: flights with 1 m/s more in one layer, the derivative of the landing's covariance
// computed elsewhere (`landingCovariance`), and a case that is arithmetic.
import { describe, expect, it } from 'vitest';
import { decidingLayer, layerShares, type LayerShare } from '../../core/descent/layers.ts';
import { outlookOf } from '../../core/descent/outlook.ts';
import { predict } from '../../core/descent/predict.ts';
import { scenarioOf, type Scenario } from '../../core/descent/scenario.ts';
import { landingCovariance, onNodes, windSensitivity, type WindSensitivity } from '../../core/descent/sensitivity.ts';
import type { WindError } from '../../core/descent/windError.ts';
import { inverse } from '../../core/earth/geodesic.ts';
import { DEMOS, loadDemo } from './demo.ts';

async function driftOf(name: (typeof DEMOS)[number]): Promise<{ scenario: Scenario; error: WindError; k: WindSensitivity }> {
  const { mission, world } = await loadDemo(name);
  const canopy = mission.jumper.canopy;
  const jumper =
    canopy === undefined ? mission.jumper : { ...mission.jumper, canopy: { ...canopy, steering: { policy: 'drift' as const } } };
  const scenario = scenarioOf({ ...mission, jumper }, world);
  const { error, offset } = outlookOf(scenario);
  const k = windSensitivity(scenario, offset);
  if (k === null) throw new Error(`${name} does not land`);
  return { scenario, error, k };
}

/** Variance of the landing east and north together, m². */
function varianceOf(k: WindSensitivity, error: WindError): number {
  const [ee, , nn] = landingCovariance(onNodes(k, error.heights_m), error.factor);
  return ee + nn;
}

function shrunk(k: WindSensitivity, layer: LayerShare, by: number): WindSensitivity {
  const column = (values: Float64Array): Float64Array =>
    values.map((x, q) => {
      const h = k.heights_m[q] as number;
      // The exit's own height belongs to the layer under it.
      const inside = h >= layer.bottom_m && (h < layer.top_m || (h === layer.top_m && h === k.heights_m[0]));
      return inside ? x * (1 - by) : x;
    });
  return { heights_m: k.heights_m, ee: column(k.ee), en: column(k.en), ne: column(k.ne), nn: column(k.nn) };
}

describe.each(DEMOS)('layers of %s', (name) => {
  it('have shares that add up to 1, each half the derivative of the landing’s variance by its own weights', async () => {
    const { error, k } = await driftOf(name);
    const layers = layerShares(k, error);
    expect(layers.reduce((sum, one) => sum + one.share, 0)).toBeCloseTo(1, 12);
    const whole = varianceOf(k, error);
    let compared = 0;
    for (const layer of layers) {
      // Central difference of a quadratic form: exact but for rounding.
      const e = 1e-3;
      const slope = (varianceOf(shrunk(k, layer, -e), error) - varianceOf(shrunk(k, layer, e), error)) / (2 * e);
      expect(slope / 2 / whole).toBeCloseTo(layer.share, 8);
      compared += 1;
    }
    expect(compared).toBe(Math.ceil(layers.length));
    expect(compared).toBeGreaterThan(5);
  });

  it('move the landing as far as flights do that have 1 m/s more in that layer alone', async () => {
    const { scenario, error, k } = await driftOf(name);
    const layers = layerShares(k, error, 1000);
    const still = predict(scenario).landing;
    const worst = { apart_m: 0, of_m: 0 };
    let compared = 0;
    for (const layer of layers) {
      // Straight flanks of a metre stand in for the layer's sharp edges; at the exit's own height the layer is whole.
      const top_m = layer === layers.at(-1) ? layer.top_m + 2 : layer.top_m;
      const heights_m = Float64Array.of(layer.bottom_m - 0.5, layer.bottom_m + 0.5, top_m - 0.5, top_m + 0.5);
      const [on, off] = [Float64Array.of(0, 1, 1, 0), new Float64Array(4)];
      const ways = [
        { heights_m, u_mps: on, v_mps: off },
        { heights_m, u_mps: off, v_mps: on },
      ].map((offset) => {
        const landing = predict(scenario, offset).landing;
        return landing === null || still === null ? NaN : inverse(still.position, landing.position).distance_m;
      });
      const flown_m = Math.hypot(...ways) / Math.SQRT2;
      const apart_m = Math.abs(flown_m - layer.metresPerMps);
      if (apart_m > worst.apart_m) Object.assign(worst, { apart_m, of_m: flown_m });
      compared += 1;
    }
    console.log(`${name}: ${compared} layers of 1 km, worst ${worst.apart_m.toFixed(2)} m of ${worst.of_m.toFixed(1)} m`);
    expect(compared).toBeGreaterThan(2);
    // First order against a whole 1 m/s, and integration to a millimetre of height: one per cent and 0.2 m.
    expect(worst.apart_m).toBeLessThan(0.2 + 0.01 * worst.of_m);
  });
});

describe('the layer that decides', () => {
  const layers = (shares: readonly number[]): LayerShare[] =>
    shares.map((share, i) => ({ bottom_m: 1000 * i, top_m: 1000 * (i + 1), metresPerMps: 1, share }));

  it('is the thinnest stretch with seven tenths, and of equals the one with more', () => {
    expect(decidingLayer(layers([0.1, 0.05, 0.3, 0.45, 0.1]))).toEqual({ bottom_m: 2000, top_m: 4000, share: 0.75 });
    expect(decidingLayer(layers([0.35, 0.35, 0.1, 0.2]), 0.3)).toEqual({ bottom_m: 0, top_m: 1000, share: 0.35 });
    expect(decidingLayer(layers([0.2, 0.2, 0.2, 0.2, 0.2]), 0.99)?.top_m).toBe(5000);
  });

  it('is none where nothing is uncertain', () => {
    expect(decidingLayer(layers([0, 0, 0]))).toBeNull();
    expect(decidingLayer([])).toBeNull();
  });
});
