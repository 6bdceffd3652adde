// Seeded random missions for the placement: a balloon or an aircraft anywhere, turning winds, a river with a crossing
// or two, a fence, roads, two crews that serve the jumper. Seeded, so that one that failed can be named.
import { carrierAt, carrierPath } from '../../core/descent/carrier.ts';
import { epoch_s } from '../../core/descent/scenario.ts';
import { localFrame } from '../../core/earth/geodesic.ts';
import { assemble } from '../../core/mission/load.ts';
import type { LogEvent } from '../../core/log/events.ts';
import { readMission } from '../../core/plan/read.ts';
import { situationAt, type Situation } from '../../core/mission/situation.ts';
import { Random } from '../../core/base/random.ts';

export interface RandomMission {
  readonly situation: Situation;
  readonly roads: unknown;
}

/**
 * A situation of a plan without files, at the planned exit or at the log's end where that is later. Every problem of
 * the plan throws.
 */
export function situationOfPlan(plan: unknown, log: readonly LogEvent[] = []): Situation {
  const read = readMission(JSON.stringify(plan));
  if (read.value === null || read.problems.length > 0)
    throw new Error(read.problems.map((problem) => problem.text).join('; '));
  const { mission } = read.value;
  const { world } = assemble(mission, { windSources: [], terrain: null });
  return situationAt(
    mission,
    log,
    world,
    Math.max(epoch_s(mission.exit.time), ...log.map((event) => epoch_s(event.at))),
  );
}

export function randomMission(seed: number): RandomMission {
  const random = new Random(seed, 4242);
  const between = (low: number, high: number): number => low + (high - low) * random.uniform();
  const site: [number, number] = [between(-170, 170), between(-60, 60)];
  const frame = localFrame(site);
  const place = (east: number, north: number): [number, number] => [...frame.toLonLat(east, north)];
  const elevation_m = Math.round(between(0, 1200));
  const balloon = random.uniform() < 0.6;
  const top_m = Math.round(balloon ? between(15_000, 39_000) : between(3500, 8000)) + elevation_m;
  let from = between(0, 360);
  const levels = [];
  for (let h = elevation_m; h < top_m + 1000; h += h < elevation_m + 3000 ? 300 : 1500) {
    from = (from + between(-15, 15) + 360) % 360;
    levels.push({
      height_m: h,
      from_deg: from,
      speed_mps: between(1, 5) + 0.6 * Math.min((h - elevation_m) / 1000, 20) * random.uniform(),
    });
  }
  // Noon by the sun, so that the crews have light.
  const noon_s = epoch_s('2027-05-10T12:00:00Z') - site[0] * 240;
  const iso = (time_s: number): string => `${new Date(Math.round(time_s) * 1000).toISOString().slice(0, 19)}Z`;
  const time = iso(noon_s);
  const bearing = between(0, Math.PI);
  const line = (offset: number, bend: number): [number, number][] =>
    [-24_000, -9000, -2000, 6000, 24_000].map((s, i) => {
      const across = offset + (i % 2 === 0 ? bend : -bend);
      return place(
        s * Math.sin(bearing) + across * Math.cos(bearing),
        s * Math.cos(bearing) - across * Math.sin(bearing),
      );
    });
  const river = line(between(-6000, 6000), between(0, 900));
  const bridge = river[1 + Math.floor(between(0, 3))] as [number, number];
  const roads = Array.from({ length: 3 }, () => {
    const turn = between(0, Math.PI);
    const off = between(-8000, 8000);
    const speed_mps = between(8, 22);
    const at = (s: number, c: number): [number, number] =>
      place(s * Math.sin(turn) + c * Math.cos(turn), s * Math.cos(turn) - c * Math.sin(turn));
    const coordinates = [-20_000, -7000, 5000, 20_000].map((s) => at(s, off + between(-1500, 1500)));
    return { type: 'Feature', properties: { name: 'road', speed_mps }, geometry: { type: 'LineString', coordinates } };
  });
  const base = {
    format: 'plumbline/mission',
    version: 1,
    name: `random ${seed}`,
    site: { name: 'site', position: site, elevation_m },
    jumper: {
      mass_kg: between(85, 130),
      stages: [
        { name: 'fall', dragArea_m2: between(0.45, 0.9), until: { agl_m: between(2500, 4000) } },
        { name: 'drogue', dragArea_m2: between(1, 1.4), until: { agl_m: between(1000, 1600) } },
      ],
      canopy: {
        referenceMass_kg: 110,
        fill_s: 3,
        settings: [{ name: 'full drive', airspeed_mps: between(8, 12), sink_mps: between(3.8, 5) }],
        steering: { policy: 'drift' },
      },
    },
    winds: { forecast: [{ source: 'random', validTime: time, levels }] },
    hazards: [
      { name: 'river', kind: 'river', line: river, crossings: [bridge] },
      {
        name: 'fence',
        kind: 'fence',
        line: line(between(-9000, 9000), between(0, 600)).reverse(),
        crossings: [],
        height_m: 1.4,
      },
      {
        name: 'power line',
        kind: 'power line',
        line: [place(-15_000, between(-5000, 5000)), place(15_000, between(-5000, 5000))],
        height_m: 25,
      },
    ],
    teams: [
      {
        name: 'Air',
        kind: 'helicopter',
        position: place(between(-15_000, 15_000), between(-15_000, 15_000)),
        speed_mps: between(45, 65),
        ready_s: Math.round(between(60, 200)),
        endurance_s: 7200,
        medical: true,
      },
      {
        name: 'Ground',
        kind: 'vehicle',
        position: place(between(-9000, 9000), between(-9000, 9000)),
        speed_mps: between(14, 22),
        offRoad_mps: between(4, 9),
        ready_s: 60,
        medical: true,
      },
    ],
  };
  const carrier = balloon
    ? {
        kind: 'balloon',
        launch: {
          position: place(between(-20_000, 20_000), between(-20_000, 20_000)),
          elevation_m,
          time: iso(noon_s - 10_800),
        },
        float_m: top_m,
        float_s: 14_400,
      }
    : { kind: 'aircraft', altitude_m: top_m, airspeed_mps: 45, time };
  const exit = { position: site, altitude_m: top_m, time };
  const first = situationOfPlan({ ...base, carrier, exit });
  const path = carrierPath(first.mission, first.world);
  const there = path === null ? null : carrierAt(path, epoch_s(time));
  if (there === null) throw new Error('no carrier');
  // Found a minute before the exit where the plan has it: until then a balloon may be anywhere within tens of
  // kilometres.
  const found: LogEvent = {
    seq: 0,
    at: iso(noon_s - 60),
    kind: 'fix',
    body: 'gondola',
    position: site,
    height_m: top_m,
    observedAt: iso(noon_s - 60),
  };
  const plan = { ...base, carrier: shifted(carrier, site, there.position), exit };
  return {
    situation: situationOfPlan(plan, balloon ? [found] : []),
    roads: { type: 'FeatureCollection', features: roads },
  };
}

/** The launch moved so that the balloon is over the site at the exit. */
function shifted(carrier: object, site: readonly [number, number], there: readonly [number, number]): object {
  if (!('launch' in carrier)) return carrier;
  const launch = carrier.launch as { position: [number, number] };
  const [lon, lat] = launch.position;
  return { ...carrier, launch: { ...launch, position: [lon + site[0] - there[0], lat + site[1] - there[1]] } };
}
