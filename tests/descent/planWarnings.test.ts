// A plan that may not mean what it says is told so, a sentence each.
import { describe, expect, it } from 'vitest';
import { Air } from '../../core/air/air.ts';
import { predict } from '../../core/descent/predict.ts';
import { scenarioOf, worldOf, zoneSteeredFor } from '../../core/descent/scenario.ts';
import type { Mission } from '../../core/plan/schema.ts';
import { WindField } from '../../core/winds/field.ts';

const PLAN: Mission = {
  format: 'plumbline/mission',
  version: 1,
  name: 'warned',
  site: { name: 'Site', position: [12, 48], elevation_m: 400 },
  exit: { position: [12, 48], altitude_m: 4000, time: '2027-05-01T10:00:00Z', velocity_mps: [70, 0, 0] },
  jumper: {
    mass_kg: 100,
    stages: [{ name: 'fall', dragArea_m2: 0.6, until: { agl_m: 1200 } }],
    canopy: { referenceMass_kg: 100, fill_s: 3, settings: [{ name: 'full', airspeed_mps: 11, sink_mps: 4.5 }] },
  },
  landingZones: [{ name: 'Field', polygon: [[11.99, 47.99], [12.01, 47.99], [12.01, 48.01]] }], // prettier-ignore
};
const wind = WindField.ofColumns([
  { source: 'given', time_s: Date.parse(PLAN.exit.time) / 1000, levels: [{ height_m: 400, from_deg: 0, speed_mps: 2 }, { height_m: 5000, from_deg: 0, speed_mps: 2 }] }, // prettier-ignore
]);

function predicted(jumper: Partial<Mission['jumper']>) {
  const plan = { ...PLAN, jumper: { ...PLAN.jumper, ...jumper } };
  return predict(scenarioOf(plan, worldOf(plan, wind, new Air([]), null)));
}
const canopy = (change: object) => ({ canopy: { ...PLAN.jumper.canopy, ...change } as Mission['jumper']['canopy'] });

describe('a plan that may not mean what it says', () => {
  it('has no warning where it is as it should be', () => {
    const { warnings } = predicted({});
    // One column of wind is valid at one moment, which is said of every plan.
    expect(warnings.filter((text) => !text.startsWith('The winds are valid'))).toEqual([]);
  });

  it.each([
    [
      'a trigger above the exit',
      { stages: [{ name: 'fall', dragArea_m2: 0.6, until: { agl_m: 9000 } }] },
      /above the exit/,
    ],
    [
      'a drag area of 53 m²',
      { stages: [{ name: 'fall', dragArea_m2: 53, until: { agl_m: 1200 } }] },
      /check its drag area/,
    ],
    [
      'a sink of 51 m/s',
      canopy({ settings: [{ name: 'full', airspeed_mps: 11, sink_mps: 51 }] }),
      /sinks at 51\.0\sm\/s/,
    ],
    ['a zone that there is not', canopy({ steering: { policy: 'to target', zone: 'Feild' } }), /the canopy drifts/],
  ] as const)('%s', (_, change, words) => {
    expect(predicted(change as Partial<Mission['jumper']>).warnings.join(' ')).toMatch(words);
  });

  it('counts the exit among the moments of which the fastest is the peak', () => {
    // Out of an aircraft at 70 m/s, falling at 46 m/s at most: nothing after the exit is faster.
    const { peak } = predicted({ stages: [{ name: 'fall', dragArea_m2: 1.6, until: { agl_m: 1200 } }] });
    expect(peak.speed_mps).toBeCloseTo(70, 6);
    expect(peak.time_s).toBe(0);
  });
});

describe('the zone that a plan steers for', () => {
  const steeredTo = (zone: string | undefined): string | undefined => {
    const { canopy } = PLAN.jumper;
    if (canopy === undefined) throw new Error('the plan has a canopy');
    const steering = { policy: 'to target' as const, ...(zone === undefined ? {} : { zone }) };
    const landingZones = ['North', 'South'].map((name) => ({ name, polygon: [] }));
    return zoneSteeredFor({ landingZones, jumper: { ...PLAN.jumper, canopy: { ...canopy, steering } } })?.name;
  };

  it('is the one that it names, the first where it names none, and no other for a misspelt name', () => {
    expect([steeredTo('South'), steeredTo(undefined), steeredTo('Suoth')]).toEqual(['South', 'North', undefined]);
  });
});
