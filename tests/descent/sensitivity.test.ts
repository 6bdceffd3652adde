// The wind's sensitivity against flights of changed winds, and against the covariance of ensembles in which only the
// wind is drawn.
import { describe, expect, it } from 'vitest';
import { STEER_DRIFT } from '../../core/descent/body.ts';
import { Ensemble } from '../../core/descent/ensemble.ts';
import { Flight } from '../../core/descent/flight.ts';
import { outlookOf } from '../../core/descent/outlook.ts';
import { scenarioOf, worldSamplerOf, type Scenario } from '../../core/descent/scenario.ts';
import { onNodes, windSensitivity } from '../../core/descent/sensitivity.ts';
import { spreadOf } from '../../core/descent/spread.ts';
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

const NOTHING_BUT_WIND = spreadOf({
  mass_kg: 0,
  dragArea_rel: 0,
  canopySink_rel: 0,
  canopyAirspeed_rel: 0,
  fill_s: 0,
  exitPosition_m: 0,
  exitTime_s: 0,
  triggerHeight_m: 0,
  heading_deg: 0,
  accuracy_m: 0,
});

/** Twenty random missions whose canopy drifts or holds. */
const seeds = Array.from({ length: 80 }, (_, i) => 300 + i).filter((seed) =>
  ['drift', 'hold'].includes(randomCase(seed).body.canopy?.steering?.policy ?? ''),
);

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
      const [ee, , nn] = landingCovariance(onNodes(k, error.heights_m), error.factor);
      const count = 2000;
      const members = new Ensemble({ scenario, error, spread: NOTHING_BUT_WIND, seed: 9 }).run(0, count);
      const [[sampleEe], [, sampleNn]] = statisticsOf(members, [], [])?.covariance_m2 ?? [
        [NaN, NaN],
        [NaN, NaN],
      ];
      // A variance from 2000 members is itself known to 3.2 % (one standard error); the trace, of two, to 2.2 %.
      expect(
        Math.abs((sampleEe + sampleNn) / (ee + nn) - 1),
        `${name}: ${sampleEe} + ${sampleNn} against ${ee} + ${nn}`,
      ).toBeLessThan(0.1);
    }
  });
});
