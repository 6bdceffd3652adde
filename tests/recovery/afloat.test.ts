// Somebody in the water: drift by current and leeway against the arithmetic of the published figures.
import { describe, expect, it } from 'vitest';
import { driftOf, driftedTo } from '../../core/recovery/afloat.ts';
import { localFrame } from '../../core/earth/geodesic.ts';
import type { Hazard, Mission } from '../../core/plan/schema.ts';
import { Water } from '../../core/recovery/water.ts';

const KT = 1852 / 3600;
type Flotation = NonNullable<Mission['jumper']['flotation']>;
const plan = (flotation: Flotation | null, current: { toward_deg: number; speed_mps: number } | null): Mission => ({
  format: 'plumbline/mission',
  version: 1,
  name: 'sea',
  site: { name: 'sea', position: [10, 50], elevation_m: 0 },
  exit: { position: [10, 50], altitude_m: 3000, time: '2027-05-10T10:00:00Z' },
  jumper: { mass_kg: 100, stages: [{ name: 'fall', dragArea_m2: 0.7 }], ...(flotation === null ? {} : { flotation }) },
  ...(current === null ? {} : { water: { current } }),
});
const STILL = { toward_deg: 0, speed_mps: 0 };
const WIND_KT = 20;
/** A wind toward the east. */
const WIND = [WIND_KT * KT, 0] as const;

describe('drift', () => {
  // source: Allen and Plourde, Review of Leeway, CG-D-08-99 (1999), table 8-1, person in water: slope in per cent of
  // the wind and the leeway at no wind, knots; mark M.
  it.each([
    [null, 1.1, 0.07],
    ['other', 1.1, 0.07],
    ['none', 0.5, 0.07],
    ['life jacket', 1.2, 0],
    ['immersion suit', 1.4, 0.1],
  ] as const)('of somebody with %s is %d %% of the wind and %d kt', (flotation, percent, least_kt) => {
    const drift = driftOf(plan(flotation, STILL), WIND);
    expect((drift?.speed_mps ?? NaN) / KT).toBeCloseTo((percent / 100) * WIND_KT + least_kt, 9);
    expect(drift?.toward_deg).toBeCloseTo(90, 9);
  });
  it('is current and leeway together, the current by where it sets', () => {
    const drift = driftOf(plan('life jacket', { toward_deg: 180, speed_mps: 0.5 }), WIND);
    expect(drift?.velocity[0]).toBeCloseTo(0.012 * WIND_KT * KT, 9);
    expect(drift?.velocity[1]).toBeCloseTo(-0.5, 9);
  });
  it('is that of the current alone in a calm, and none without a current in the plan', () => {
    expect(driftOf(plan(null, { toward_deg: 90, speed_mps: 0.7 }), [0, 0])?.speed_mps).toBeCloseTo(0.7, 9);
    expect(driftOf(plan(null, null), WIND)).toBeNull();
  });
  it('goes as far as the shore and no farther', () => {
    const frame = localFrame([10, 50]);
    const corners = [[-1000, -1000], [300, -1000], [300, 1000], [-1000, 1000]]; // prettier-ignore
    const polygon = corners.map(([x = 0, y = 0]) => [...frame.toLonLat(x, y)] as [number, number]);
    const hazards: Hazard[] = [{ name: 'Sea', kind: 'sea', polygon }];
    const water = new Water(hazards, frame);
    const drift = driftOf(plan(null, { toward_deg: 90, speed_mps: 1 }), [0, 0]);
    if (drift === null) throw new Error('a drift');
    expect(driftedTo(water, drift, [0, 0], 200)).toMatchObject({ away_m: 200, ashore: false });
    const late = driftedTo(water, drift, [0, 0], 900);
    expect([late.ashore, Math.round(late.away_m)]).toEqual([true, 298]);
    expect(water.at(late.at)).toBe('Sea');
  });
});
