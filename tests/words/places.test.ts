// The one landmark rule: what is named lies within 30° of where a wind blows, and no name serves two directions a right
// angle apart. Bearings are checked by the geodesic library itself.
import { fc } from '../property.ts';
import { describe, expect, it } from 'vitest';
import { inverse } from '../../core/earth/geodesic.ts';
import { placesOf } from '../../core/plan/places.ts';
import { wrap180, type LonLat } from '../../core/base/units.ts';
import { awayWords, landmarkToward, placedBy, SIDE_DEG, toPlace, type Place } from '../../core/words/places.ts';
import { DEMOS, loadDemo } from '../demo.ts';

const EVERY_DEGREE = Array.from({ length: 360 }, (_, deg) => deg);

function holds(places: readonly Place[], from: LonLat): number {
  const named = EVERY_DEGREE.map((deg) => landmarkToward(places, from, deg));
  EVERY_DEGREE.forEach((deg) => {
    const name = named[deg] ?? null;
    if (name === null) return;
    for (const turn of [90, 180, 270]) expect(named[(deg + turn) % 360], `${deg}° and ${turn}° more`).not.toBe(name);
    const bearings = places.filter((place) => place.name === name).map((place) => toPlace(from, place).bearing_deg);
    expect(Math.min(...bearings.map((one) => Math.abs(wrap180(one - deg))))).toBeLessThanOrEqual(SIDE_DEG);
  });
  return new Set(named.filter((name) => name !== null)).size;
}

const around: LonLat = [13.4, 52.5];
const somewhere = fc
  .record({
    east: fc.double({ min: -0.3, max: 0.3, noNaN: true }),
    north: fc.double({ min: -0.2, max: 0.2, noNaN: true }),
  })
  .map(({ east, north }): LonLat => [around[0] + east, around[1] + north]);
const landmark = fc.record({
  name: fc.constantFrom('Ridge', 'Mill', 'River', 'Old Road'),
  kind: fc.constant('landmark' as const),
  points: fc.array(somewhere, { minLength: 1, maxLength: 6 }),
});

describe('the landmark rule', () => {
  it.each(DEMOS)('holds in every direction of the demo %s', async (name) => {
    const { mission } = await loadDemo(name);
    expect(holds(placesOf(mission), mission.site.position)).toBeGreaterThan(0);
  });

  it('holds for any landmarks: lines overhead, and several of one name', () => {
    fc.assert(
      fc.property(fc.array(landmark, { maxLength: 8 }), (places) => {
        holds(places, around);
      }),
      { numRuns: 60 },
    );
  });

  it('takes a long line that passes overhead by its nearest point alone', () => {
    const river: Place = {
      name: 'River',
      kind: 'landmark',
      points: [
        [13.1, 52.51],
        [13.7, 52.51],
      ],
    };
    expect(landmarkToward([river], around, 0)).toBe('River');
    for (const deg of [60, 90, 180, 270]) expect(landmarkToward([river], around, deg)).toBeNull();
  });

  it('names nothing underfoot, and neither zones nor hazards', () => {
    const at = (kind: Place['kind'], north: number): Place => ({ name: 'X', kind, points: [[13.4, 52.5 + north]] });
    expect(landmarkToward([at('landmark', 0.001)], around, 0)).toBeNull();
    expect(landmarkToward([at('zone', 0.1), at('hazard', 0.1)], around, 0)).toBeNull();
    expect(landmarkToward([at('landmark', 0.1)], around, 0)).toBe('X');
  });
});

describe('where a place lies', () => {
  it('is said by distance and bearing, and not at all where it is there already', () => {
    const to: LonLat = [13.4, 52.52];
    const { distance_m } = inverse(around, to);
    expect(distance_m).toBeGreaterThan(2200);
    expect(awayWords(around, to)).toBe('2.2\u202fkm toward 360° (north)');
    expect(placedBy(to, around, 'the target')).toBe('2.2\u202fkm toward 360° (north) from the target');
    expect(placedBy(around, around, 'the target')).toBe('at the target');
  });
});
