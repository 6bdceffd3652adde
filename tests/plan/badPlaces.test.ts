// Places and outlines at the ends of the earth: a sentence where something does not hold there, and nothing lost. What
// is computed across 180° is checked against the same plan on another meridian, where nothing wraps: with one steady
// wind the earth looks alike on both (the ellipsoid is one of revolution).
import { describe, expect, it } from 'vitest';
import { adviseOn, type Advice } from '../../core/advice/advise.ts';
import { zoneMiddle } from '../../core/descent/scenario.ts';
import type { LonLat } from '../../core/base/units.ts';
import { wrap180 } from '../../core/base/units.ts';
import { assemble } from '../../core/mission/load.ts';
import { situationAt } from '../../core/mission/situation.ts';
import { readMission } from '../../core/plan/read.ts';

const EXIT = '2027-06-10T10:00:00Z';

interface Where {
  readonly lon_deg: number;
  readonly lat_deg: number;
  readonly elevation_m?: number;
  readonly polygon?: readonly LonLat[];
}

/** Half a zone's side, degrees. */
const HALF = 0.006;
const box = (lon: number, lat: number): LonLat[] => [
  [wrap180(lon - HALF), lat - HALF],
  [wrap180(lon + HALF), lat - HALF],
  [wrap180(lon + HALF), lat + HALF],
  [wrap180(lon - HALF), lat + HALF],
];

function planAt({ lon_deg, lat_deg, elevation_m = 100, polygon }: Where): object {
  return {
    format: 'plumbline/mission',
    version: 1,
    name: 'ends of the earth',
    site: { name: 'field', position: [wrap180(lon_deg), lat_deg], elevation_m },
    exit: { position: [wrap180(lon_deg - 0.004), lat_deg], altitude_m: elevation_m + 3000, time: EXIT },
    jumper: {
      mass_kg: 90,
      stages: [{ name: 'freefall', dragArea_m2: 0.5, until: { agl_m: 1200 } }],
      canopy: {
        referenceMass_kg: 90,
        fill_s: 3,
        settings: [{ name: 'full drive', airspeed_mps: 10, sink_mps: 4 }],
        setting: 'full drive',
        steering: { policy: 'to target', zone: 'field' },
      },
    },
    // The air rises under the sun, which stands elsewhere over another meridian.
    uncertainty: { verticalAir_mps: 0 },
    landingZones: [{ name: 'field', polygon: polygon ?? box(lon_deg, lat_deg) }],
    winds: {
      forecast: [
        {
          source: 'invented',
          validTime: EXIT,
          levels: [
            { height_m: elevation_m, from_deg: 270, speed_mps: 6 },
            { height_m: elevation_m + 6000, from_deg: 270, speed_mps: 9 },
          ],
        },
      ],
    },
  };
}

function read(plan: object) {
  const { value, problems } = readMission(JSON.stringify(plan));
  if (value === null) throw new Error(problems.map(({ text }) => text).join('; '));
  return { mission: value.mission, problems: problems.map(({ text }) => text) };
}

function advised(plan: object): Advice {
  const { mission } = read(plan);
  const { world } = assemble(mission, { windSources: [], terrain: null });
  const situation = situationAt(mission, [], world, Date.parse(EXIT) / 1000);
  return adviseOn(situation, { members: 100, seed: 1 }).advice;
}

describe('a place across 180°', () => {
  it('has the zone’s middle there, not on the other side of the earth', () => {
    for (const lon of [180, 179.998, -179.998]) {
      const [middle] = zoneMiddle({ name: 'field', polygon: box(lon, 10) });
      expect(Math.abs(wrap180(middle - lon))).toBeLessThan(1e-9);
      expect(middle).toBeGreaterThanOrEqual(-180);
      expect(middle).toBeLessThanOrEqual(180);
    }
  });

  it('has the chances and the landing of the same plan on another meridian', () => {
    const [here, there] = [
      advised(planAt({ lon_deg: 180, lat_deg: 10 })),
      advised(planAt({ lon_deg: 20, lat_deg: 10 })),
    ];
    expect(there.planned?.inZone['field']?.p).toBeGreaterThan(0.5);
    expect(here.planned?.inZone).toEqual(there.planned?.inZone);
    const [a, b] = [here.statistics?.mean, there.statistics?.mean];
    const apart = (x: number | undefined, y: number | undefined, by: number): number =>
      Math.abs(wrap180((x ?? NaN) - (y ?? NaN) - by));
    expect(apart(a?.[0], b?.[0], 160)).toBeLessThan(5e-7);
    expect(apart(a?.[1], b?.[1], 0)).toBeLessThan(5e-7);
    // The search for the best exit ends with steps of 12.5 m.
    expect(apart(here.anywhere?.position[0], there.anywhere?.position[0], 160)).toBeLessThan(1.5e-4);
  });
});

describe('an outline', () => {
  const AROUND: LonLat[] = [0, 60, 120, 180, -120, -60].map((lon) => [lon, 88]);

  it('around a pole is said, and kept', () => {
    const plan = planAt({ lon_deg: 0, lat_deg: 86, polygon: AROUND });
    const { mission, problems } = read(plan);
    expect(problems.join()).toContain('landingZones "field": the outline goes around a pole');
    expect(mission.landingZones?.[0]?.polygon).toEqual(AROUND);
  });

  it('that crosses itself or has no area is said, and kept', () => {
    const [a, b, c, d] = box(12, 48) as [LonLat, LonLat, LonLat, LonLat];
    const bow = read(planAt({ lon_deg: 12, lat_deg: 48, polygon: [a, c, b, d] }));
    expect(bow.problems.join()).toContain('landingZones "field": the outline crosses itself');
    expect(bow.mission.landingZones?.[0]?.polygon).toHaveLength(4);
    const flat = read(planAt({ lon_deg: 12, lat_deg: 48, polygon: [a, a, a] }));
    expect(flat.problems.join()).toContain('landingZones "field": the outline holds no area');
    expect(read(planAt({ lon_deg: 12, lat_deg: 48 })).problems).toEqual([]);
    expect(read(planAt({ lon_deg: 180, lat_deg: 48 })).problems).toEqual([]);
  });

  it('of 50 000 corners gives the chances of the same shape with few', () => {
    // A circle of many corners against one of 720: their areas differ by 1e-5 of it.
    const round = (corners: number): LonLat[] =>
      Array.from({ length: corners }, (_, i) => [
        12 + HALF * Math.cos((2 * Math.PI * i) / corners),
        48 + HALF * Math.sin((2 * Math.PI * i) / corners),
      ]);
    const [many, few] = [50_000, 720].map((corners) => planAt({ lon_deg: 12, lat_deg: 48, polygon: round(corners) }));
    expect(read(many ?? {}).problems).toEqual([]);
    expect(advised(many ?? {}).planned?.inZone).toEqual(advised(few ?? {}).planned?.inZone);
  });
});

describe('a site', () => {
  it('above 85° is advised on, and it is said that the map ends there', () => {
    const plan = planAt({ lon_deg: 12, lat_deg: 86 });
    expect(read(plan).problems.join()).toContain('the map ends at 85°');
    expect(advised(plan).statistics?.members).toBe(100);
    expect(read(planAt({ lon_deg: 12, lat_deg: 84 })).problems).toEqual([]);
  });

  it('at sea and in a pit below sea level lands at its own height', () => {
    for (const elevation_m of [0, -430]) {
      const plan = planAt({ lon_deg: 35, lat_deg: 31, elevation_m });
      expect(read(plan).problems).toEqual([]);
      const { mission } = read(plan);
      const { world } = assemble(mission, { windSources: [], terrain: null });
      const { outlook } = adviseOn(situationAt(mission, [], world, Date.parse(EXIT) / 1000), { members: 100 });
      expect(outlook.prediction.landing?.elevation_m).toBeCloseTo(elevation_m, 6);
      // 1200 m above that ground, by the plan's trigger; the canopy fills a few seconds lower.
      const { opening } = outlook.prediction;
      expect((opening?.height_m ?? NaN) - elevation_m).toBeLessThan(1200);
      expect((opening?.height_m ?? NaN) - elevation_m).toBeGreaterThan(900);
    }
  });

  it('without terrain is level, and one whose terrain file is missing says so', async () => {
    const { loadMission } = await import('../../core/mission/load.ts');
    const plan = planAt({ lon_deg: 12, lat_deg: 48 }) as { readonly site: object };
    const planText = JSON.stringify({ ...plan, site: { ...plan.site, terrain: 'hills.tif' } });
    const { value, problems } = await loadMission({ planText, logText: '', attachments: [] });
    expect(problems.map(({ text }) => text).join()).toContain('the plan names this file');
    expect(value?.terrain).toBeNull();
    expect(value?.mission.site.terrain).toBe('hills.tif');
  });
});

it('a plan of a newer version is refused with a sentence, and no byte of it is touched', () => {
  const text = JSON.stringify({ ...planAt({ lon_deg: 12, lat_deg: 48 }), version: 2 });
  const { value, problems } = readMission(text);
  expect(value).toBeNull();
  expect(problems[0]?.text).toContain('a newer one is needed for this file');
});
