// Zones that nobody reaches are flown a few times only: no chance may be lost by it. The truth of each is another plan,
// which steers to that zone, with as many descents as the others get.
import { expect, it } from 'vitest';
import { adviseOn } from '../../core/advice/advise.ts';
import { Ensemble } from '../../core/descent/ensemble.ts';
import { statisticsOf } from '../../core/descent/statistics.ts';
import { offset } from '../../core/earth/geodesic.ts';
import { expectedOf } from '../../core/mission/expected.ts';
import type { Situation } from '../../core/mission/situation.ts';
import type { LandingZone, Mission } from '../../core/plan/schema.ts';
import type { LonLat } from '../../core/base/units.ts';
import { demo } from '../demo.ts';

const MEMBERS = 2000;
const FLOWN = 500;

/** The demo's first zone again and again, on two spirals around the place where it is. */
function around(first: LandingZone, count: number): LandingZone[] {
  return Array.from({ length: count }, (_, k) => {
    const away_m = 700 + (8000 * k) / count;
    const angle = 2.4 * k;
    const polygon = first.polygon.map((place) => offset(place, away_m * Math.sin(angle), away_m * Math.cos(angle)));
    return { ...first, name: `zone ${k}`, polygon: polygon.map(([lon, lat]): LonLat => [lon, lat]) };
  });
}

/** The chance of a zone where the plan steers to it. */
function chanceSteered(situation: Situation, zone: LandingZone): number {
  const { mission } = situation;
  const { canopy } = mission.jumper;
  if (canopy?.steering?.policy !== 'pattern' && canopy?.steering?.policy !== 'to target')
    throw new Error('the demo steers to a zone');
  const steering = { ...canopy.steering, zone: zone.name };
  const plan: Mission = { ...mission, jumper: { ...mission.jumper, canopy: { ...canopy, steering } } };
  const { outlook, spread } = expectedOf({ ...situation, mission: plan });
  const setup = { scenario: outlook.scenario, error: outlook.error, spread, seed: 1 };
  return statisticsOf(new Ensemble(setup).run(0, FLOWN), [zone], [])?.inZone[zone.name]?.p ?? NaN;
}

it('a zone that is flown fewer times than others has next to no chance, flown as often', async () => {
  const { situation } = await demo('town-meadow');
  const { landingZones = [] } = situation.mission;
  const [first] = landingZones;
  if (first === undefined) throw new Error('the demo has zones');
  const zones = around(first, 40);
  const grown = { ...situation, mission: { ...situation.mission, landingZones: [...landingZones, ...zones] } };
  const shares = adviseOn(grown, { seed: 1, members: MEMBERS }).judged.planned?.inZone ?? {};
  // What 500 descents know of a chance of nought they know to 0.3 %, 50 to 2.6 %.
  const few = zones.filter(({ name }) => shares[name]?.p === 0 && (shares[name]?.error ?? 0) > 0.01);
  const others = zones.filter((zone) => !few.includes(zone));
  expect(Math.min(few.length, others.length)).toBeGreaterThan(8);
  const chances = few.map((zone) => chanceSteered(grown, zone));
  expect(Math.max(...chances)).toBeLessThanOrEqual(0.005);
  // The others are counted from all: 500 tell a share to 2.2 % at most. The draws are the same, but the wind's error is
  // taken along another plan's descent.
  for (const zone of others.slice(0, 5))
    expect(Math.abs((shares[zone.name]?.p ?? NaN) - chanceSteered(grown, zone))).toBeLessThan(0.022);
});
