// What is ordered, as plain data for other programs: every way that is printed with its points, heights and times, and
// the ground that is kept clear. Positions [longitude, latitude], heights m, times s after the exit.
import type { LonLat } from '../base/units.ts';
import type { Brief } from './model.ts';
import type { BriefSource, CrewSource } from './source.ts';

interface PointData {
  readonly name: string;
  readonly position: LonLat;
  /** Above the ground there, and above mean sea level. */
  readonly agl_m: number;
  readonly height_m: number;
  readonly tPlus_s: number;
}

interface GroundPlace {
  readonly position: LonLat;
  readonly ground_m: number;
}

interface OrdersData {
  readonly identity: string;
  readonly word: string;
  readonly crews: readonly {
    readonly name: string;
    readonly identity: string;
    readonly state: CrewSource['status'];
    readonly why: string | null;
    /** Null for a crew that is refused, and after the touchdown, when nobody waits any more. */
    readonly standby: GroundPlace | null;
    readonly ways: readonly { readonly what: string; readonly points: readonly PointData[] }[];
  }[];
  /** Regions of the landings; `rotorPolygon`: with what a helicopter keeps from them. */
  readonly keepClear: readonly {
    readonly name: string;
    readonly polygon: readonly LonLat[];
    readonly rotorPolygon: readonly LonLat[];
    readonly until: string;
  }[];
  readonly landing: GroundPlace | null;
}

export function ordersData(brief: Brief, source: BriefSource): OrdersData {
  const { scene } = source;
  const ground = (position: LonLat): GroundPlace => {
    const [x, y] = scene?.frame.toLocal(position) ?? [NaN, NaN];
    return { position, ground_m: scene?.groundAt(x, y) ?? NaN };
  };
  const exit_s = scene?.exit_s ?? NaN;
  return {
    identity: brief.identity,
    word: brief.head.word,
    crews: source.crews.map((one, k) => ({
      name: one.crew.name,
      identity: brief.crews[k]?.identity ?? '',
      state: one.status,
      why: one.why,
      standby: one.status === 'refused' || scene?.stage === 'down' ? null : ground(one.standby),
      ways: one.ways.map(({ what, points }) => ({
        what,
        points: points.map(({ name, position, up_m, agl_m, at_s }) => ({
          name,
          position,
          agl_m,
          height_m: up_m,
          tPlus_s: at_s - exit_s,
        })),
      })),
    })),
    keepClear: brief.map.keepClear.map(({ name, ring, rotorRing }) => ({
      name,
      polygon: ring,
      rotorPolygon: rotorRing,
      until: source.others.some((one) => one.name === name) ? `${name.toUpperCase()} DOWN` : 'CANOPY GATHERED',
    })),
    landing: brief.map.jumper === null ? null : ground(brief.map.jumper.landing),
  };
}
