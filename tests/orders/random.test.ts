// Random missions, seeded: no printed way breaks a rule. `PLUMBLINE_ORDERS=200 npx vitest run
// tests/orders/random.test.ts` is the long run; a seed that failed is named in the message.
import { expect, it } from 'vitest';
import { Random } from '../../core/base/random.ts';
import { broken } from './corridor.ts';
import { makeOrders, toPlace, type EastNorth, type Ground, type OrderMission } from './missions.ts';

const COUNT = Number(process.env['PLUMBLINE_ORDERS'] ?? 8);

function randomOrders(seed: number, wet: boolean): OrderMission {
  const random = new Random(seed, 1616);
  const between = (low: number, high: number): number => low + (high - low) * random.uniform();
  const anywhere = (reach: number): EastNorth => [between(-reach, reach), between(-reach, reach)];
  const hilly = random.uniform() < 0.5;
  const [east, wide, high] = [between(-4000, 4000), between(600, 2000), between(100, 800)];
  const ground: Ground = {
    site: [between(-170, 170), between(-55, 55)],
    heightAt: (x) => (hilly ? 300 + high * Math.exp(-(((x - east) / wide) ** 2)) : 300),
  };
  const line = (): EastNorth[] => [anywhere(9000), anywhere(2500), anywhere(9000)];
  const town = anywhere(5000);
  // A lake of seven corners, with an island: a star about its middle, so that its outline crosses itself nowhere.
  const middle = anywhere(3500);
  const lake = Array.from({ length: 7 }, (_, k): EastNorth => {
    const [angle, r] = [((k + 0.6 * random.uniform()) * 2 * Math.PI) / 7, between(900, 4500)];
    return [middle[0] + r * Math.sin(angle), middle[1] + r * Math.cos(angle)];
  });
  const island: EastNorth[] = [[300, 200], [700, 300], [600, 800], [250, 600]].map(([x, y]): EastNorth => [middle[0] + (x ?? 0), middle[1] + (y ?? 0)]); // prettier-ignore
  return {
    name: `random ${seed}`,
    ground,
    flat: !hilly,
    hazards: [
      { name: 'Line one', kind: 'power line', height_m: Math.round(between(15, 70)), line: line() },
      { name: 'Line two', kind: 'power line', height_m: Math.round(between(15, 70)), line: line() },
      { name: 'River', kind: 'river', line: line(), crossings: [] },
      ...(wet
        ? [
            { name: 'Lake', kind: 'lake', area: lake },
            { name: 'Holm', kind: 'island', area: island },
          ]
        : []),
      { name: 'Town', kind: 'town', height_m: 20, area: [[0, 0], [900, 100], [700, 900], [-100, 600]].map(([x, y]): EastNorth => [town[0] + (x ?? 0), town[1] + (y ?? 0)]) }, // prettier-ignore
    ],
    teams: (wet ? [0, 1, 2, 3] : [0, 1, 2]).map((k) => ({
      name: `Crew ${k}`,
      kind: k < 2 ? 'helicopter' : k === 2 ? 'vehicle' : 'boat',
      position: toPlace(ground, k === 3 ? middle : anywhere(8000)),
      speed_mps: k < 2 ? between(40, 65) : 15,
      medical: true,
      night: true,
      hoist: random.uniform() < 0.3,
    })),
    wind: { from_deg: between(0, 360), speed_mps: between(0, 10) },
    time: '2027-05-10T10:00:00Z',
    before_s: 3600,
  };
}

it(
  `${COUNT} random missions: every printed way is open, and most helicopters have one`,
  () => {
    let [approaches, boats] = [0, 0];
    const found: [seed: number, ...string[]][] = [];
    for (let seed = 1; seed <= COUNT; seed++) {
      const made = makeOrders(randomOrders(seed, seed % 2 === 0), 30);
      const said = broken(made);
      if (said.length > 0) found.push([seed, ...said]);
      boats += made.orders.crews.filter((crew) => crew.ways.some((way) => way.what === 'water')).length;
      approaches += made.orders.crews.filter((crew) => crew.ways.some((way) => way.what === 'approach')).length;
    }
    expect(found).toEqual([]);
    expect(approaches).toBeGreaterThan(COUNT);
    // Every other mission has a lake and a boat: some landings lie in it.
    expect(boats).toBeGreaterThan(COUNT / 10);
  },
  60_000 + 30_000 * COUNT,
);
