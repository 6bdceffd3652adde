// A rate of descent is typed as it is said. Foot: NIST SP 811, exactly 0.3048 m.
import { expect, test } from 'vitest';
import { sinkScale } from '../../renderer/parts/scales.ts';

test('a sink is typed in m/s, or in ft/min where lengths are in feet, whatever the speeds are in', () => {
  const units = { speed: 'kt', height: 'MSL', time: 'UTC' } as const;
  const metric = sinkScale({ ...units, length: 'm' });
  expect([metric.unit, metric.toPlan(4.6)]).toEqual(['m/s', 4.6]);
  const feet = sinkScale({ ...units, length: 'ft' });
  expect(feet.unit).toBe('ft/min');
  // 1000 ft/min are 304.8 m in 60 s.
  expect(feet.toPlan(1000)).toBeCloseTo(5.08, 12);
  expect(feet.fromPlan(5.08)).toBeCloseTo(1000, 9);
});
