// The tabulated air of the hot loop against the exact functions it was made from (`core/air/air.ts` claims the
// numbers), and what the difference does to a landing. source of the exact air: USSA 1976, checked against its printed
// table in tests/published.
import { describe, expect, it } from 'vitest';
import { Air, geometricHeight, standardAir, type AirLevel, type AirState } from '../../core/air/air.ts';
import { Flight, LANDED } from '../../core/descent/flight.ts';
import { scenarioOf, worldSamplerOf } from '../../core/descent/scenario.ts';
import { DEG_PER_RAD, type LonLat } from '../../core/base/units.ts';
import { loadDemo } from '../demo.ts';
import { metresBetween } from './metres.ts';

/** Air that computes at each call what the table holds. */
class ExactAir extends Air {
  override density(height_m: number): number {
    return this.exact(height_m).density_kgpm3;
  }
  override slowness(height_m: number): number {
    return 1 / this.exact(height_m).soundSpeed_mps;
  }
}

/** Heights at which the standard's temperature slope breaks, m (USSA 1976, table 4). */
const BREAKS_M = [11_000, 20_000, 32_000, 47_000, 51_000, 71_000].map(geometricHeight);

/**
 * The largest relative difference from `from` to `to`, every `step` m, by whether a break lies within the table's cell.
 */
function worst(
  air: Air,
  exact: (h: number) => AirState,
  breaks: readonly number[],
): { inside: number; broken: number; sound: number; compared: number } {
  const found = { inside: 0, broken: 0, sound: 0, compared: 0 };
  for (let h = -400; h < 85_000; h += 7.3) {
    const state = exact(h);
    const off = Math.abs(air.density(h) / state.density_kgpm3 - 1);
    if (breaks.some((at) => Math.abs(at - h) < 50)) found.broken = Math.max(found.broken, off);
    else {
      found.inside = Math.max(found.inside, off);
      found.sound = Math.max(found.sound, Math.abs(air.soundSpeed(h) / state.soundSpeed_mps - 1));
    }
    found.compared += 1;
  }
  return found;
}

const SOUNDING: readonly AirLevel[] = Array.from({ length: 40 }, (_, i) => {
  const height_m = 150 + 640 * i + 37 * (i % 3);
  const standard = standardAir(height_m);
  return {
    height_m,
    temperature_K: standard.temperature_K + 4 * Math.sin(i),
    pressure_Pa: standard.pressure_Pa * (1 + 0.002 * Math.cos(i)),
  };
});

describe('the tabulated air', () => {
  it('of the standard: density within 2e-9 inside a layer and 2e-4 in the cell of a break, speed of sound within 1e-6', () => {
    const { inside, broken, sound, compared } = worst(new Air(), standardAir, BREAKS_M);
    expect(compared).toBeGreaterThan(11_000);
    expect(inside).toBeLessThan(2e-9);
    expect(broken).toBeLessThan(2e-4);
    expect(sound).toBeLessThan(1e-6);
  });

  it('of a sounding with a temperature that breaks at each of its 40 levels: the same between them', () => {
    const air = new Air(SOUNDING);
    const first = SOUNDING[0]?.height_m ?? NaN;
    const last = SOUNDING.at(-1)?.height_m ?? NaN;
    const breaks = [...BREAKS_M, ...SOUNDING.map(({ height_m }) => height_m), first - 5000, last + 5000];
    const { inside, broken, compared } = worst(air, air.exact, breaks);
    expect(compared).toBeGreaterThan(11_000);
    expect(inside).toBeLessThan(2e-9);
    // A lapse that turns by 4 K over 640 m: 1 % of the density's slope, over at most a cell.
    expect(broken).toBeLessThan(3e-4);
  });

  it('moves a landing of either demo by less than 1 cm and 1 ms', async () => {
    for (const name of ['salt-plain', 'town-meadow'] as const) {
      const { mission, world } = await loadDemo(name);
      const fly = (air: Air): { place: LonLat; t_s: number } => {
        const flight = new Flight(worldSamplerOf({ ...world, air }), scenarioOf(mission, world).body);
        flight.motion.tolerance = 1e-6;
        flight.canopyFlight.step_m_max = 10;
        flight.fly(scenarioOf(mission, world).exit, null);
        expect(flight.outcome).toBe(LANDED);
        return {
          place: [flight.landingLon_rad * DEG_PER_RAD, flight.landingLat_rad * DEG_PER_RAD],
          t_s: flight.landing_s,
        };
      };
      const table = fly(new Air(world.air.levels));
      const exact = fly(new ExactAir(world.air.levels));
      const moved = metresBetween(table.place, exact.place);
      console.log(
        `${name}: the tabulated air moves the landing by ${(moved * 1000).toFixed(2)} mm and ${((table.t_s - exact.t_s) * 1000).toFixed(3)} ms`,
      );
      expect(moved).toBeLessThan(0.01);
      expect(Math.abs(table.t_s - exact.t_s)).toBeLessThan(0.001);
    }
  });
});
