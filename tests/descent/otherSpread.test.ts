// What is not wind: by one flight to each side of each input, against an ensemble of flights in which the wind's error
// is switched off (two ways to one number). 3000 members give an area to some 4 %; the bound leaves the rest to what is
// not linear.
import { describe, expect, it } from 'vitest';
import { driftScenario } from '../../core/advice/exits.ts';
import { Ensemble } from '../../core/descent/ensemble.ts';
import { outlookOf } from '../../core/descent/outlook.ts';
import { otherCovariance } from '../../core/descent/otherSpread.ts';
import { scenarioOf } from '../../core/descent/scenario.ts';
import { spreadOf } from '../../core/descent/spread.ts';
import { localFrame } from '../../core/earth/geodesic.ts';
import { demo } from '../demo.ts';

describe.each(['salt-plain', 'town-meadow'] as const)('%s', (name) => {
  it('the covariance without wind agrees with an ensemble', async () => {
    const { situation } = await demo(name);
    const { mission, world } = situation;
    const scenario = driftScenario(scenarioOf(mission, world));
    const { error, offset } = outlookOf(scenario);
    const spread = spreadOf(mission.uncertainty);
    const still = { ...error, factor: new Float64Array(error.factor.length) };
    const members = new Ensemble({ scenario, error: still, spread, seed: 5 }).run(0, 3000);
    const frame = localFrame([scenario.exit.lon_deg, scenario.exit.lat_deg]);
    const points = Array.from(members.lon_deg, (lon, i) => frame.toLocal([lon, members.lat_deg[i] ?? NaN])).filter(
      ([e]) => e === e,
    );
    expect(points.length).toBeGreaterThan(2900);
    const mean = (of: (p: readonly [number, number]) => number): number =>
      points.reduce((sum, p) => sum + of(p), 0) / points.length;
    const [me, mn] = [mean((p) => p[0]), mean((p) => p[1])];
    const ee = mean((p) => (p[0] - me) ** 2);
    const en = mean((p) => (p[0] - me) * (p[1] - mn));
    const nn = mean((p) => (p[1] - mn) ** 2);
    const said = otherCovariance(scenario, offset, spread);
    if (said === null) throw new Error('the demo lands');
    const area = (a: number, b: number, c: number): number => Math.sqrt(a * c - b * b);
    const ratio = area(said[0][0], said[0][1], said[1][1]) / area(ee, en, nn);
    console.info(`${name}: area without wind ${(ratio * 100).toFixed(1)} % of the ensemble's`);
    expect(ratio).toBeGreaterThan(0.9);
    expect(ratio).toBeLessThan(1.1);
    expect(Math.sqrt(said[0][0] / ee)).toBeCloseTo(1, 0);
    expect(Math.sqrt(said[1][1] / nn)).toBeCloseTo(1, 0);
  });
});
