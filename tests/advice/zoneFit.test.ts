// The zone fit on zones whose answers are geometry. Turbulence: ref: drift-handbook.md §6 (10 to 20 heights downwind);
// mark F.
import { describe, expect, it } from 'vitest';
import { fitZones, type FitInput } from '../../core/advice/zoneFit.ts';
import { localFrame } from '../../core/earth/geodesic.ts';
import { TerrainGrid } from '../../core/earth/terrain.ts';
import type { Hazard, LandingZone, Mission } from '../../core/plan/schema.ts';
import type { LonLat } from '../../core/base/units.ts';

const CENTRE: LonLat = [22.4, -30.1];
const frame = localFrame(CENTRE);
const at = (east: number, north: number): LonLat => frame.toLonLat(east, north);
const box = (name: string, east: number, north: number, width: number, length: number): LandingZone => ({
  name,
  polygon: [
    at(east - width / 2, north - length / 2),
    at(east + width / 2, north - length / 2),
    at(east + width / 2, north + length / 2),
    at(east - width / 2, north + length / 2),
  ],
});

function input(
  zones: LandingZone[],
  more: Partial<FitInput> & { hazards?: Hazard[]; weights?: Record<string, number> } = {},
): FitInput {
  const mission: Mission = {
    format: 'plumbline/mission',
    version: 1,
    name: 'a test',
    site: { name: 'a test', position: CENTRE, elevation_m: 950 },
    exit: { position: CENTRE, altitude_m: 4000, time: '2027-04-14T10:00:00Z' },
    jumper: { mass_kg: 100, stages: [{ name: 'fall', dragArea_m2: 0.5 }] },
    landingZones: zones,
    hazards: more.hazards ?? [],
    ...(more.weights === undefined ? {} : { zoneWeights: more.weights }),
  };
  return {
    mission,
    terrain: null,
    roads: [],
    wind: { from_deg: 0, speed_mps: 6 },
    touchdown_s: Date.parse('2027-04-14T10:10:00Z') / 1000,
    arrival_s: () => Date.parse('2027-04-14T10:20:00Z') / 1000,
    chance: () => ({ p: 0.9, margin_m: 400 }),
    ...more,
  };
}

const only = (fits: ReturnType<typeof fitZones>) => {
  const fit = fits[0];
  if (fit === undefined || fits.length !== 1) throw new Error('one zone was asked');
  return fit;
};

describe('zone fit', () => {
  it('lengths along and across the wind are the sides of a rectangle, area their product', () => {
    const fit = only(fitZones(input([box('field', 0, 0, 120, 400)])));
    expect(fit.runIn_m).toBeCloseTo(400, 0);
    expect(fit.area_m2).toBeCloseTo(48_000, -2);
    expect(fit.landing_deg).toBe(0);
    const across = only(fitZones(input([box('field', 0, 0, 120, 400)], { wind: { from_deg: 90, speed_mps: 6 } })));
    expect(across.runIn_m).toBeCloseTo(120, 0);
    // The longest way of a rectangle is its diagonal, here 17° off the long side; the search goes by 5°.
    expect(across.longest_m).toBeGreaterThan(400);
    expect(across.longest_m).toBeLessThan(Math.hypot(120, 400) + 0.1);
    expect(across.crosswind_mps).toBeGreaterThan(6 * Math.cos((20 * Math.PI) / 180));
  });

  it('a wood 200 m upwind and 20 m high is 10 heights away; downwind it does not matter', () => {
    const wood: Hazard = {
      name: 'wood',
      kind: 'trees',
      height_m: 20,
      polygon: [at(-200, 400), at(200, 400), at(200, 500), at(-200, 500)],
    };
    const upwind = only(fitZones(input([box('field', 0, 0, 100, 400)], { hazards: [wood] })));
    expect(upwind.turbulence[0]?.heights).toBeCloseTo(10, 1);
    const downwind = only(
      fitZones(input([box('field', 0, 0, 100, 400)], { hazards: [wood], wind: { from_deg: 180, speed_mps: 6 } })),
    );
    expect(downwind.turbulence).toEqual([]);
    expect(upwind.score).toBeLessThan(downwind.score);
    const calm = only(
      fitZones(input([box('field', 0, 0, 100, 400)], { hazards: [wood], wind: { from_deg: 0, speed_mps: 0.5 } })),
    );
    expect(calm.turbulence).toEqual([]);
  });

  it('a ridge of the terrain upwind puts a zone into its lee', () => {
    const shape = { west_deg: 22.3, north_deg: -30.0, stepLon_deg: 0.001, stepLat_deg: 0.001, columns: 201, rows: 201 };
    const heights = Float32Array.from({ length: 201 * 201 }, (_, i) =>
      Math.abs(Math.floor(i / 201) - 85) < 3 ? 1150 : 950,
    );
    const terrain = new TerrainGrid(shape, heights);
    const fit = only(fitZones(input([box('field', 0, 0, 100, 400)], { terrain })));
    // Row 85 lies 15 rows, 1 663 m, north of the middle, 200 m above it: some 7 heights, a little less at its near
    // foot.
    expect(fit.turbulence[0]?.name).toBe('the rising ground');
    expect(fit.turbulence[0]?.heights).toBeGreaterThan(6);
    expect(fit.turbulence[0]?.heights).toBeLessThan(8.4);
  });

  // Wind from the north over a field of 100 × 400 m.
  const worst = (more: Parameters<typeof input>[1]) => only(fitZones(input([box('field', 0, 0, 100, 400)], more))).turbulence[0]; // prettier-ignore

  it('a slanting tree line counts where it stands upwind, though it comes nearer beside the field', () => {
    // Its nearest place lies 100 m beside the field's south end; straight upwind of the north edge it is 200 m away.
    const trees: Hazard = { name: 'trees', kind: 'trees', height_m: 20, line: [at(-155, -200), at(0, 400)] };
    expect(worst({ hazards: [trees] })?.heights).toBeLessThan(10.1);
    const beside: Hazard = { ...trees, line: [at(-155, -200), at(-155, 150)] };
    expect(worst({ hazards: [beside] })).toBeUndefined();
  });

  it('an L-shaped wood counts by the arm that stands upwind', () => {
    const wood: Hazard = {
      name: 'wood',
      kind: 'trees',
      height_m: 25,
      polygon: [at(110, -300), at(210, -300), at(210, 500), at(-50, 500), at(-50, 400), at(110, 400)],
    };
    // Straight upwind it is 8 heights away; of its long arm, 60 m beside the field, what lies upwind is nearer yet.
    expect(worst({ hazards: [wood] })?.heights).toBeLessThan(8.1);
  });

  it('of many obstacles the one at the end of its reach counts, the one beyond it does not, however long', () => {
    // Through a place straight upwind, aslant, with ends 30 km off: the boxes about most of them hold the field. They
    // are straight on the plane about the field, as the turbulence is.
    const wood = (k: number, heights: number): Hazard => {
      const north = 200 + heights * 20;
      const [e, n] = [30_000 * Math.cos(0.12 * k), 30_000 * Math.sin(0.12 * k)];
      const line = [at(-e, north - n), at(0, north), at(e, north + n)];
      return { name: `wood ${k}`, kind: 'trees', height_m: 20, line };
    };
    for (let k = -1; k <= 1; k++) {
      // Aslant its nearest part lies a little nearer, and within 45° of the wind.
      const reaches = 20 / Math.cos(0.12 * k);
      const far = Array.from({ length: 40 }, (_, i) => ({ ...wood(k, reaches + 0.5 + i), name: `far ${i}` }));
      expect(worst({ hazards: far })).toBeUndefined();
      const fit = worst({ hazards: [...far, wood(k, reaches - 0.7)] });
      expect(fit?.name).toBe(`wood ${k}`);
      expect(fit?.heights).toBeGreaterThan(18);
    }
  });

  it('a ridge that ends 150 m beside the axis of the field is its lee too', () => {
    const shape = {
      west_deg: 22.35,
      north_deg: -30.05,
      stepLon_deg: 0.0005,
      stepLat_deg: 0.0005,
      columns: 201,
      rows: 201,
    };
    const terrain = new TerrainGrid(
      shape,
      Float32Array.from({ length: 201 * 201 }, (_, i) => {
        const [east, north] = frame.toLocal([22.35 + 0.0005 * (i % 201), -30.05 - 0.0005 * Math.floor(i / 201)]);
        return east > 150 && Math.abs(north - 1500) < 200 ? 1150 : 950;
      }),
    );
    expect(worst({ terrain })?.name).toBe('the rising ground');
    expect(worst({ terrain })?.heights).toBeLessThan(8);
    expect(worst({ terrain, wind: { from_deg: 180, speed_mps: 6 } })).toBeUndefined();
  });

  it('a line that crosses a zone is inside it, one beside it is not', () => {
    const through: Hazard = { name: 'wire', kind: 'power line', height_m: 20, line: [at(-500, 0), at(500, 10)] };
    const beside: Hazard = { name: 'track', kind: 'road', line: [at(-500, 300), at(500, 300)] };
    const fit = only(fitZones(input([box('field', 0, 0, 100, 400)], { hazards: [through, beside] })));
    expect(fit.hazardsInside).toEqual(['wire']);
    expect(fit.road_m).toBeCloseTo(300, 0);
  });

  it('zones are ranked by the weights, and a mission can turn the ranking', () => {
    const near = box('near', 0, 0, 60, 60);
    const wide = box('wide', 2000, 0, 500, 500);
    const chance = (zone: LandingZone) => ({ p: zone.name === 'near' ? 0.95 : 0.6, margin_m: 100 });
    expect(fitZones(input([near, wide], { chance }))[0]?.zone.name).toBe('near');
    expect(fitZones(input([near, wide], { chance, weights: { chance: 0, reach: 0 } }))[0]?.zone.name).toBe('wide');
  });

  it('a score is the weighted mean of its parts, and each part has its reason', () => {
    const fit = only(fitZones(input([box('field', 0, 0, 120, 400)])));
    const weight = fit.parts.reduce((sum, part) => sum + part.weight, 0);
    expect(fit.score).toBeCloseTo(fit.parts.reduce((sum, part) => sum + part.weight * part.score, 0) / weight, 12);
    expect(fit.parts).toHaveLength(9);
    for (const part of fit.parts) {
      expect(part.reason.length).toBeGreaterThan(5);
      expect(part.score).toBeGreaterThanOrEqual(0);
      expect(part.score).toBeLessThanOrEqual(1);
    }
  });
});
