// The reach of a canopy by its support function against brute force: canopies steered at random, and canopies steered
// to extremes.
import { describe, expect, it } from 'vitest';
import { Air, RHO0 } from '../../core/air/air.ts';
import { Reach } from '../../core/descent/reach.ts';
import { localFrame, ringArea } from '../../core/earth/geodesic.ts';
import type { Canopy } from '../../core/plan/schema.ts';
import { Random } from '../../core/base/random.ts';
import { windVector, type LonLat } from '../../core/base/units.ts';
import { WindField } from '../../core/winds/field.ts';

const PLACE: LonLat = [22.4, -30.1];
const GROUND = 950;
const air = new Air();
const levels = [
  [951, 310, 4],
  [1500, 300, 8],
  [2200, 280, 11],
  [3000, 250, 14],
  [5000, 265, 20],
] as const;
const wind = WindField.ofColumns([
  {
    source: 'a test',
    time_s: 0,
    levels: levels.map(([height_m, from_deg, speed_mps]) => ({ height_m, from_deg, speed_mps })),
  },
]);
const canopy: Canopy = {
  referenceMass_kg: 110,
  fill_s: 3,
  settings: [
    { name: 'full', airspeed_mps: 11.5, sink_mps: 4.6 },
    { name: 'half', airspeed_mps: 8.4, sink_mps: 3.1 },
    { name: 'deep', airspeed_mps: 4, sink_mps: 2.6 },
  ],
};
const MASS = 120;
const FROM = 4200;
const reach = new Reach({ wind, offset: null, air, place: PLACE, landing_s: 0, ground_m: GROUND }, canopy, MASS, FROM);

/** The wind, [u, v], plainly: straight between the levels. */
function windAt(h: number): [number, number] {
  const i = Math.max(
    1,
    levels.findIndex(([z]) => z > h),
  );
  const [a, b] = [levels[i - 1] ?? levels[0], levels[i] ?? levels[4]];
  const x = (h - a[0]) / (b[0] - a[0]);
  const [ua, va] = windVector(a[1], a[2]);
  const [ub, vb] = windVector(b[1], b[2]);
  return [ua + x * (ub - ua), va + x * (vb - va)];
}

/** One flight in steps of 10 m: `steer` says setting and heading at a height. East and north from the start, m. */
function fly(steer: (h: number) => { setting: number; heading: number }): [number, number] {
  let east = 0;
  let north = 0;
  const dz = 10;
  for (let h = FROM; h > reach.floor_m + 1e-6; h -= dz) {
    const middle = h - dz / 2;
    const { setting, heading } = steer(middle);
    const { airspeed_mps, sink_mps } = canopy.settings[setting] ?? { airspeed_mps: 0, sink_mps: 1 };
    const scale = Math.sqrt((RHO0 / air.density(middle)) * (MASS / canopy.referenceMass_kg));
    const [u, v] = windAt(middle);
    const t = dz / (sink_mps * scale);
    east += t * (u + airspeed_mps * scale * Math.sin(heading));
    north += t * (v + airspeed_mps * scale * Math.cos(heading));
  }
  return [east, north];
}

const frame = localFrame(PLACE);

describe('reach under canopy', () => {
  it('2 000 random steerings all land inside', () => {
    const random = new Random(20260401);
    let least = Infinity;
    for (let n = 0; n < 2000; n++) {
      const changes = 1 + Math.floor(8 * random.uniform());
      const plan = Array.from({ length: changes }, () => ({
        setting: Math.floor(3 * random.uniform()),
        heading: 2 * Math.PI * random.uniform(),
      }));
      const [east, north] = fly(
        (h) =>
          plan[Math.min(changes - 1, Math.floor(((FROM - h) / (FROM - reach.floor_m)) * changes))] ?? {
            setting: 0,
            heading: 0,
          },
      );
      least = Math.min(least, reach.margin_m(PLACE, FROM, frame.toLonLat(east, north)));
    }
    // The table's midpoint rule over 25 m layers against 10 m steps: metres.
    expect(least).toBeGreaterThan(-5);
  });

  it('the hull of 2 000 extreme steerings fills 98 % of it, and no more than all', () => {
    const ring: LonLat[] = [];
    for (let n = 0; n < 2000; n++) {
      const heading = (2 * Math.PI * n) / 2000;
      const [nE, nN] = [Math.sin(heading), Math.cos(heading)];
      const [east, north] = fly((h) => {
        const [u, v] = windAt(h);
        const scale = Math.sqrt((RHO0 / air.density(h)) * (MASS / canopy.referenceMass_kg));
        const gain = canopy.settings.map(
          ({ airspeed_mps, sink_mps }) => (u * nE + v * nN + airspeed_mps * scale) / (sink_mps * scale),
        );
        return { setting: gain.indexOf(Math.max(...gain)), heading };
      });
      ring.push(frame.toLonLat(east, north));
    }
    const area = ringArea(reach.region(PLACE, FROM)).area_m2;
    const brute = ringArea(ring).area_m2;
    expect(brute / area).toBeGreaterThan(0.98);
    // 72 corners under-draw a disc by 0.13 %.
    expect(brute / area).toBeLessThan(1.005);
  });

  it('with one setting it is the disc about the drift landing with radius V/w times the height', () => {
    const one: Canopy = { ...canopy, settings: canopy.settings.slice(0, 1) };
    const disc = new Reach({ wind, offset: null, air, place: PLACE, landing_s: 0, ground_m: GROUND }, one, MASS, FROM);
    const [east, north] = disc.drift(FROM);
    const radius = (11.5 / 4.6) * (FROM - disc.floor_m);
    const places = disc.region(PLACE, FROM).map((place) => frame.toLocal(place));
    expect(places).toHaveLength(72);
    for (const [e, n] of places) expect(Math.abs(Math.hypot(e - east, n - north) - radius)).toBeLessThan(1);
    expect(Math.abs(disc.margin_m(PLACE, FROM, frame.toLonLat(east, north)) - radius)).toBeLessThan(0.002 * radius);
  });

  it('a cone slice holds just the places from which the zone is in reach', () => {
    const zone = {
      name: 'zone',
      polygon: [
        [22.39, -30.11],
        [22.41, -30.11],
        [22.41, -30.09],
        [22.39, -30.09],
      ] as LonLat[],
    };
    const slice = reach.coneSlice(zone, 3000);
    for (const edge of slice) {
      // From the edge a corner is just in reach; a kilometre further out from the zone's middle none is.
      const margins = zone.polygon.map((corner) => reach.margin_m(edge, 3000, corner));
      expect(Math.max(...margins)).toBeGreaterThan(-60);
      expect(Math.max(...margins)).toBeLessThan(60);
    }
  });
});
