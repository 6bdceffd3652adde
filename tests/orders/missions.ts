// Missions of our own for the orders: an exhibition jump from 3 km on ground of each kind, made in code. Everything is
// invented. East and north are metres from the site on a sphere of one degree = 111 195 m (R 6371 km): good to half a
// per cent, which no check here needs better.
import { BRIEF_OPTIONS, briefSource, type BriefSource } from '../../core/brief/source.ts';
import { briefOf } from '../../core/brief/brief.ts';
import type { Brief } from '../../core/brief/model.ts';
import { ordersData } from '../../core/brief/ordersData.ts';
import { TerrainGrid } from '../../core/earth/terrain.ts';
import type { LogEvent } from '../../core/log/events.ts';
import { assemble } from '../../core/mission/load.ts';
import { situationAt } from '../../core/mission/situation.ts';
import { readMission } from '../../core/plan/read.ts';

export type EastNorth = readonly [east_m: number, north_m: number];
type Place = [lon: number, lat: number];
const DEGREE_M = 111_195;

export interface Ground {
  readonly site: Place;
  /** Height MSL of the ground, exact: the product gets it as a grid. */
  readonly heightAt: (east_m: number, north_m: number) => number;
}

export function toPlace({ site }: Pick<Ground, 'site'>, [east, north]: EastNorth): Place {
  const lon = site[0] + east / (DEGREE_M * Math.cos((site[1] * Math.PI) / 180));
  return [lon > 180 ? lon - 360 : lon < -180 ? lon + 360 : lon, site[1] + north / DEGREE_M];
}

export function toEastNorth({ site }: Pick<Ground, 'site'>, [lon, lat]: readonly [number, number]): EastNorth {
  const east = ((((lon - site[0]) % 360) + 540) % 360) - 180;
  return [east * DEGREE_M * Math.cos((site[1] * Math.PI) / 180), (lat - site[1]) * DEGREE_M];
}

export interface Hazard {
  readonly name: string;
  readonly kind: string;
  readonly height_m?: number;
  readonly area?: readonly EastNorth[];
  readonly line?: readonly EastNorth[];
  readonly crossings?: readonly EastNorth[];
}

export interface OrderMission {
  readonly name: string;
  readonly ground: Ground;
  readonly flat: boolean;
  readonly hazards: readonly Hazard[];
  readonly teams: readonly Record<string, unknown>[];
  readonly wind: { readonly from_deg: number; readonly speed_mps: number };
  /** Of the exit, UTC. */
  readonly time: string;
  /** What the plan says beside: of the jumper, and at its top. */
  readonly jumper?: Record<string, unknown>;
  readonly more?: Record<string, unknown>;
  readonly cover?: string;
  readonly log?: (exit_s: number, ground: Ground) => LogEvent[];
  /** Of the brief, seconds before the exit; a log's end is later. */
  readonly before_s: number;
}

const iso = (time_s: number): string => new Date(Math.round(time_s) * 1000).toISOString().replace('.000', '');

/** A grid of 50 m cells, 30 km to a side, that holds the ground's heights at its nodes. */
function gridOf(ground: Ground): TerrainGrid {
  const cells = 601;
  const [west, north] = toPlace(ground, [-15_000, 15_000]);
  const [stepLon_deg, stepLat_deg] = [50 / (DEGREE_M * Math.cos((ground.site[1] * Math.PI) / 180)), 50 / DEGREE_M];
  const heights = Float32Array.from({ length: cells * cells }, (_, k) =>
    ground.heightAt(-15_000 + 50 * (k % cells), 15_000 - 50 * Math.floor(k / cells)),
  );
  return new TerrainGrid(
    { west_deg: west, north_deg: north, stepLon_deg, stepLat_deg, columns: cells, rows: cells },
    heights,
  );
}

export function planOf(mission: OrderMission): Record<string, unknown> {
  const { ground, wind, hazards, teams, time } = mission;
  const base_m = ground.heightAt(0, 0);
  const levels = [0, 1500, 3500, 5000].map((up) => ({
    height_m: base_m + up,
    from_deg: wind.from_deg,
    speed_mps: wind.speed_mps,
  }));
  return {
    format: 'plumbline/mission',
    version: 1,
    name: mission.name,
    site: { name: 'Site', position: ground.site, elevation_m: base_m, groundCover: mission.cover ?? 'gravel' },
    carrier: { kind: 'aircraft', altitude_m: base_m + 3000, airspeed_mps: 45, time },
    exit: { position: toPlace(ground, [0, 0]), altitude_m: base_m + 3000, time },
    jumper: {
      mass_kg: 100,
      stages: [{ name: 'fall', dragArea_m2: 0.7, until: { agl_m: 1200 } }],
      canopy: {
        referenceMass_kg: 100,
        fill_s: 3,
        settings: [{ name: 'full drive', airspeed_mps: 10, sink_mps: 4.5 }],
        steering: { policy: 'to target' },
      },
      ...mission.jumper,
    },
    ...mission.more,
    winds: { forecast: [{ source: 'made', validTime: time, levels }] },
    landingZones: [
      {
        name: 'Field',
        polygon: ([[-150, -150], [150, -150], [150, 150], [-150, 150]] as const).map((at) => toPlace(ground, at)), // prettier-ignore
      },
    ],
    hazards: hazards.map(({ area, line, crossings, ...rest }) => ({
      ...rest,
      ...(area === undefined
        ? { line: (line ?? []).map((at) => toPlace(ground, at)) }
        : { polygon: area.map((at) => toPlace(ground, at)) }),
      ...(crossings === undefined ? {} : { crossings: crossings.map((at) => toPlace(ground, at)) }),
    })),
    teams,
  };
}

export interface OrdersMade {
  readonly mission: OrderMission;
  readonly source: BriefSource;
  readonly brief: Brief;
  readonly orders: ReturnType<typeof ordersData>;
}

export function makeOrders(mission: OrderMission, caseMembers = 60): OrdersMade {
  const read = readMission(JSON.stringify(planOf(mission)));
  if (read.value === null || read.problems.length > 0)
    throw new Error(read.problems.map((problem) => problem.text).join('; '));
  const plan = read.value.mission;
  const { world } = assemble(plan, { windSources: [], terrain: mission.flat ? null : gridOf(mission.ground) });
  const exit_s = Date.parse(mission.time) / 1000;
  const log = mission.log?.(exit_s, mission.ground) ?? [];
  const at_s = Math.max(exit_s - mission.before_s, ...log.map((event) => Date.parse(event.at) / 1000));
  const situation = situationAt(plan, log, world, at_s);
  const { source } = briefSource(situation, log, null, { ...BRIEF_OPTIONS, members: 200, caseMembers, edges: 0 });
  const brief = briefOf(source);
  return { mission, source, brief, orders: ordersData(brief, source) };
}

const level =
  (height_m: number): Ground['heightAt'] =>
  () =>
    height_m;
const square = (east: number, north: number, half: number): EastNorth[] => [
  [east - half, north - half],
  [east + half, north - half],
  [east + half, north + half],
  [east - half, north + half],
];

const air = (ground: Ground, at: EastNorth, more: Record<string, unknown> = {}): Record<string, unknown> => ({
  name: 'Kite',
  kind: 'helicopter',
  position: toPlace(ground, at),
  speed_mps: 50,
  ready_s: 120,
  endurance_s: 7200,
  medical: true,
  ...more,
});
const car = (ground: Ground, at: EastNorth, more: Record<string, unknown> = {}): Record<string, unknown> => ({
  name: 'Ground',
  kind: 'vehicle',
  position: toPlace(ground, at),
  speed_mps: 15,
  offRoad_mps: 6,
  medical: true,
  ...more,
});

const boat = (ground: Ground, at: EastNorth, more: Record<string, unknown> = {}): Record<string, unknown> => ({
  name: 'Tern',
  kind: 'boat',
  position: toPlace(ground, at),
  speed_mps: 12,
  medical: true,
  ...more,
});

const BASE = { flat: true, hazards: [], wind: { from_deg: 250, speed_mps: 4 }, time: '2027-05-10T10:00:00Z', before_s: 3600 } as const; // prettier-ignore
const at = (lon: number, lat: number, heightAt: Ground['heightAt'] = level(300)): Ground => ({
  site: [lon, lat],
  heightAt,
});

/** A ridge of 700 m along the north, 3 km east of the site, with wires down its side and across the field's edge. */
const ridge = at(11, 47, (east) => 600 + 700 * Math.exp(-(((east - 3000) / 900) ** 2)));
const coast = at(-9, 52, (east) => Math.max(0, 20 - Math.max(0, east - 600) / 20));
/** The shore along the north, 350 m west of the site: the landing lies in the water. */
const offshore = at(-9, 52, (east) => Math.max(0, Math.min(40, (-350 - east) / 20)));
/** The shore in pieces of a kilometre, with a bay to the south and a headland to the north; an island in the east. */
const SEA: Hazard = {
  name: 'Grey Sea',
  kind: 'sea',
  area: [
    [9000, -9000], [9000, 9000], [-350, 9000], [-350, 6000], [900, 4800], [1200, 4000], [-350, 3400], [-350, 2400],
    [-350, 1200], [-350, 300], [-350, -300], [-350, -1500], [-1400, -2600], [-1400, -3400], [-350, -4200], [-350, -9000],
  ], // prettier-ignore
};
const ISLAND: Hazard = { name: 'Gull Rock', kind: 'island', area: square(1900, 2200, 500) };
const river = at(5, 46);
/** Eighty metres wide, with a bend; the lattice of ways is wider than it. */
const BENT: readonly EastNorth[] = [[-700, -4000], [-200, -1800], [-500, -500], [0, 0], [300, 900], [-100, 2200], [400, 4000]]; // prettier-ignore
const BROAD: Hazard = {
  name: 'Long River',
  kind: 'river',
  area: [
    ...BENT.map(([e, n]): EastNorth => [e - 40, n]),
    ...[...BENT].reverse().map(([e, n]): EastNorth => [e + 40, n]),
  ],
};
const open = at(21, 41);
const dateLine = at(179.999, -17);

export const MISSIONS: readonly OrderMission[] = [
  {
    ...BASE,
    name: 'ridge with wires',
    ground: ridge,
    flat: false,
    hazards: [
      { name: 'Upper line', kind: 'power line', height_m: 45, line: [[-8000, -300], [8000, 250]] }, // prettier-ignore
      { name: 'Side line', kind: 'power line', height_m: 30, line: [[420, -6000], [380, 6000]] }, // prettier-ignore
    ],
    teams: [air(ridge, [7000, 500]), car(ridge, [-3000, -1500])],
  },
  {
    ...BASE,
    name: 'coast with water',
    ground: coast,
    flat: false,
    hazards: [{ name: 'Sea', kind: 'water', area: [[700, -9000], [9000, -9000], [9000, 9000], [700, 9000]] }], // prettier-ignore
    teams: [air(coast, [-6000, 3000], { hoist: true }), car(coast, [-2500, 0])],
  },
  {
    ...BASE,
    name: 'sea with a boat',
    ground: offshore,
    flat: false,
    hazards: [SEA, ISLAND],
    teams: [
      boat(offshore, [-1500, -3000]),
      air(offshore, [-6000, 3000], { name: 'Winch', hoist: true }),
      air(offshore, [-5000, -4000], { name: 'Kite' }),
      car(offshore, [-2500, 0]),
    ],
  },
  {
    ...BASE,
    name: 'sea with a current',
    ground: offshore,
    flat: false,
    hazards: [SEA, ISLAND],
    jumper: {
      flotation: 'life jacket',
      patient: { age_years: 34, bloodGroup: 'O negative', allergies: 'none known', nationality: 'invented' },
      suit: {
        opens: 'zip behind, from the left',
        underPressure: 'bottle on the right hip',
        burns: 'oxygen feeds a fire',
      },
    },
    more: {
      water: { current: { toward_deg: 90, speed_mps: 0.8 } },
      channels: [
        { use: 'all crews', channel: '122.8 MHz AM' },
        { use: 'evacuation', channel: 'VHF 16' },
      ],
      decides: 'coastguard, on the water; lead, on GO and HOLD',
      marking: 'orange panel on the pier',
      hospital: {
        name: 'Cliff House',
        position: toPlace(offshore, [-12_000, 0]),
        pad: 'grass, lit',
        telephone: '555 0100',
      },
    },
    teams: [
      boat(offshore, [3000, -4500], { fixed: true, callSign: 'Rescue Two', telephone: '555 0101' }),
      air(offshore, [-6000, 3000], { name: 'Winch', hoist: true, medical: false }),
    ],
  },
  {
    ...BASE,
    name: 'afloat after touchdown',
    ground: offshore,
    flat: false,
    hazards: [SEA, ISLAND],
    more: { water: { current: { toward_deg: 0, speed_mps: 0.5 } } },
    teams: [boat(offshore, [-1500, -3000]), car(offshore, [-2500, 0])],
    log: (exit_s, ground) => [
      { seq: 1, at: iso(exit_s), kind: 'mark', mark: 'exit', observedAt: iso(exit_s) },
      {
        seq: 2,
        at: iso(exit_s + 900),
        kind: 'mark',
        mark: 'touchdown',
        observedAt: iso(exit_s + 300),
        position: toPlace(ground, [40, -60]),
      },
    ],
  },
  {
    ...BASE,
    name: 'sea behind a headland',
    ground: offshore,
    flat: false,
    hazards: [SEA, ISLAND],
    teams: [boat(offshore, [100, 5900], { fixed: true }), car(offshore, [-2500, 0], { medical: false })],
  },
  {
    ...BASE,
    name: 'sea with nobody who goes in',
    ground: offshore,
    flat: false,
    hazards: [SEA],
    teams: [air(offshore, [-6000, 3000]), car(offshore, [-2500, 0])],
  },
  {
    ...BASE,
    name: 'boat for a landing on land',
    ground: coast,
    flat: false,
    hazards: [{ name: 'Sea', kind: 'water', area: [[700, -9000], [9000, -9000], [9000, 9000], [700, 9000]] }], // prettier-ignore
    teams: [boat(coast, [720, 1500]), boat(coast, [-3000, 0], { name: 'Dry' }), car(coast, [-2500, 0])],
  },
  {
    ...BASE,
    name: 'broad river with a boat',
    ground: river,
    hazards: [BROAD],
    teams: [boat(river, [380, 3900], { fixed: true }), car(river, [2500, 500])],
  },
  {
    ...BASE,
    name: 'river',
    ground: river,
    hazards: [
      { name: 'River', kind: 'river', line: [[-900, -9000], [-600, 0], [-900, 9000]], crossings: [[-900, -8000]] }, // prettier-ignore
    ],
    teams: [air(river, [-5000, 4000]), car(river, [-3000, 500], { name: 'West bank' }), car(river, [2500, 500])],
  },
  {
    ...BASE,
    name: 'river without a bridge',
    ground: river,
    hazards: [{ name: 'River', kind: 'river', line: [[-900, -60_000], [-600, 0], [-900, 60_000]] }], // prettier-ignore
    teams: [car(river, [-3000, 500], { name: 'West bank' }), car(river, [2500, 500], { name: 'East bank' })],
  },
  {
    ...BASE,
    name: 'night',
    ground: open,
    time: '2027-05-10T22:00:00Z',
    teams: [air(open, [-4000, 0], { name: 'Day only' }), air(open, [6000, 0], { name: 'Night', night: true })],
  },
  { ...BASE, name: 'lone helicopter', ground: open, teams: [air(open, [-4000, 2000])] },
  {
    ...BASE,
    name: 'crew out of range',
    ground: open,
    teams: [air(open, [160_000, 0], { name: 'Far', endurance_s: 5400 }), car(open, [-3000, 0])],
  },
  {
    ...BASE,
    name: 'no roads',
    ground: open,
    hazards: [{ name: 'Wood', kind: 'trees', height_m: 25, area: square(-1500, 0, 700) }],
    teams: [car(open, [-4000, 0], { offRoad_mps: 3 }), air(open, [0, 5000])],
  },
  {
    ...BASE,
    name: 'date line',
    ground: dateLine,
    time: '2027-05-10T00:00:00Z',
    teams: [air(dateLine, [4000, 1000]), car(dateLine, [-3000, 0])],
  },
  {
    ...BASE,
    name: 'many crews and a town',
    ground: open,
    hazards: [
      { name: 'Town', kind: 'town', height_m: 20, area: square(2600, 900, 900) },
      { name: 'Mast', kind: 'mast', height_m: 90, area: square(1500, -600, 5) }, // prettier-ignore
      { name: 'Line', kind: 'power line', height_m: 45, line: [[300, -9000], [300, 9000]] }, // prettier-ignore
    ],
    teams: [
      ...[0, 1, 2].map((k) => air(open, [5000 + 800 * k, -4000], { name: `Air ${k + 1}` })),
      ...[0, 1, 2, 3, 4].map((k) => car(open, [-2000 - 500 * k, 1500], { name: `Car ${k + 1}`, medical: k < 2 })),
    ],
  },
  {
    ...BASE,
    name: 'fast wind',
    ground: open,
    wind: { from_deg: 30, speed_mps: 26 },
    teams: [air(open, [-4000, 2000]), car(open, [2500, 0])],
  },
  {
    ...BASE,
    name: 'in flight',
    ground: open,
    teams: [air(open, [-4000, 2000]), car(open, [2500, 1500])],
    log: (exit_s) => [
      { seq: 1, at: iso(exit_s), kind: 'mark', mark: 'exit', observedAt: iso(exit_s) },
      { seq: 2, at: iso(exit_s + 60), kind: 'mark', mark: 'opening', observedAt: iso(exit_s + 60) },
    ],
  },
  {
    ...BASE,
    name: 'after touchdown',
    ground: open,
    teams: [air(open, [-4000, 2000]), car(open, [2500, 1500])],
    log: (exit_s, ground) => [
      { seq: 1, at: iso(exit_s), kind: 'mark', mark: 'exit', observedAt: iso(exit_s) },
      {
        seq: 2,
        at: iso(exit_s + 330),
        kind: 'mark',
        mark: 'touchdown',
        observedAt: iso(exit_s + 320),
        position: toPlace(ground, [40, -60]),
      },
    ],
  },
];
