// The calls that only a jumper in the air gets: time in fall, height, speed, the way to the zone and the heading that
// makes it good; and what each crew is told of its way. Each stands on the last fix, and one that is too old says so.
import { zoneMiddle } from '../descent/scenario.ts';
import { inverse } from '../earth/geodesic.ts';
import { flownSetting } from '../descent/body.ts';
import { RHO0 } from '../air/air.ts';
import { madeGood, windOver } from '../recovery/crews.ts';
import { RAD_PER_DEG, type LonLat } from '../base/units.ts';
import { sayDistance, sayDuration, sayHeight, sayName, sayNumber, saySpeed } from '../words/spoken.ts';
import { distance } from '../words/lengths.ts';
import { roughDuration } from '../words/times.ts';
import { LOST_S } from './lost.ts';
import {
  CALL_LIMIT_S,
  crewsTooOld,
  groundBelow,
  groundWords,
  notCalled,
  offered,
  spokenBearing,
  spokenHeading,
  TO_ALL,
  TO_JUMPER,
  type CallFlight,
  type CallMoment,
  type CallPhase,
  type CrewsToCall,
  type NotCalled,
  type Offer,
} from './callOffers.ts';
import { velocityAt, type TrackSpot } from './spot.ts';

export function fallTimeCall({ situation, at_s }: CallMoment): Offer | NotCalled {
  const left = situation.state.marks.get('exit');
  const key = 'fall time';
  if (left === undefined) return notCalled(key, TO_JUMPER, 'no exit in the log');
  const time_s = Math.max(0, at_s - left.time_s);
  return offered({ key, to: TO_JUMPER, phrases: [`time since exit ${sayDuration(time_s)}`], values: { time_s } });
}

/** Where the jumper is by a fix that is young enough, or why nobody says so. */
function fixedSpot({ spot, fixAge_s }: CallFlight): { readonly spot: TrackSpot; readonly age_s: number } | string {
  if (spot === null) return 'the expected descent is over and no touchdown is in the log';
  if (fixAge_s === null) return 'no fix since the exit';
  return fixAge_s <= LOST_S ? { spot, age_s: fixAge_s } : `no fix newer than ${roughDuration(LOST_S)}`;
}

type ByFix = (moment: CallMoment, spot: TrackSpot) => Pick<Offer, 'phrases' | 'values'> | string;

const BY_FIX: Readonly<Record<'height' | 'speed' | 'zone' | 'heading', ByFix>> = {
  height(moment, spot) {
    const { ground_m, doubt } = groundBelow(moment, spot);
    const agl_m = Math.max(0, spot.height_m - ground_m);
    const { units } = moment;
    return {
      phrases: [
        `height ${sayHeight(agl_m, units.length)} above ground`,
        ...(doubt ? [groundWords(ground_m, units)] : []),
      ],
      values: { agl_m, ground_m },
    };
  },
  speed({ situation, expected, at_s, units }, { place, height_m }) {
    const velocity = velocityAt(expected.outlook, at_s - expected.outlook.scenario.exit.time_s);
    if (velocity === null) return 'the expected descent is over';
    const { air, ground } = situation.world;
    const agl_m = height_m - ground.heightAt(place[1] * RAD_PER_DEG, place[0] * RAD_PER_DEG);
    const [u, v] = windOver(situation, place, agl_m, at_s);
    const [east, north, up] = velocity;
    const speed_mps = Math.hypot(east - u, north - v, up);
    const mach = speed_mps / air.soundSpeed(height_m);
    const phrases = [`airspeed ${saySpeed(speed_mps, units.speed)}`, `Mach ${sayNumber(mach, 2)}`];
    return { phrases, values: { speed_mps, mach } };
  },
  zone({ zone, declination }, { place }) {
    if (zone === null) return 'the plan has no zone';
    const way = inverse(place, zoneMiddle(zone));
    return {
      phrases: [
        `${sayName(zone.name)} bears ${spokenBearing(way.bearing_deg, declination)}`,
        `distance ${sayDistance(way.distance_m)}`,
      ],
      values: { zone: zone.name, bearing_deg: way.bearing_deg, distance_m: way.distance_m },
    };
  },
  heading: steeringTo,
};

/** Below this the pattern is flown, and nearer than this the zone is overhead: no heading is held any more. Ours. */
const PATTERN_AGL_M = 300;
const OVERHEAD_M = 100;
/** Heights between here and the pattern whose winds are averaged: the canopy sinks through each in the same time. */
const LAYERS = 8;

/** The heading that makes the way to the zone good in the mean wind between here and the pattern. */
function steeringTo(moment: CallMoment, spot: TrackSpot): ReturnType<ByFix> {
  const { situation, zone, declination, at_s } = moment;
  const { canopy } = situation.mission.jumper;
  if (canopy === undefined) return 'the plan has no canopy';
  if (zone === null) return 'the plan has no zone';
  const agl_m = spot.height_m - groundBelow(moment, spot).ground_m;
  const way = inverse(spot.place, zoneMiddle(zone));
  if (agl_m <= PATTERN_AGL_M) return `below ${distance(PATTERN_AGL_M)} above ground the pattern is flown`;
  if (way.distance_m < OVERHEAD_M) return `${zone.name} is overhead`;
  const [u, v] = meanWind(moment, spot.place, agl_m, at_s);
  const airspeed_mps =
    flownSetting(canopy).airspeed_mps * Math.sqrt(RHO0 / situation.world.air.density(spot.height_m - agl_m / 2));
  const good = madeGood(airspeed_mps, way.bearing_deg, u, v);
  if (good.kind === 'cannot') return `no heading makes good the way to ${zone.name} (${good.why})`;
  return {
    phrases: [`steer ${spokenHeading(good.heading_deg, declination)}`, `toward ${sayName(zone.name)}`],
    values: { heading_deg: good.heading_deg, zone: zone.name },
  };
}

function meanWind({ situation }: CallMoment, place: LonLat, agl_m: number, at_s: number): readonly [number, number] {
  let [u, v] = [0, 0];
  for (let k = 0; k < LAYERS; k++) {
    const height_m = PATTERN_AGL_M + ((k + 0.5) / LAYERS) * (agl_m - PATTERN_AGL_M);
    const wind = windOver(situation, place, height_m, at_s);
    u += wind[0] / LAYERS;
    v += wind[1] / LAYERS;
  }
  return [u, v];
}

export function callByFix(key: keyof typeof BY_FIX, moment: CallMoment, flight: CallFlight): Offer | NotCalled {
  const fixed = fixedSpot(flight);
  if (typeof fixed === 'string') return notCalled(key, TO_JUMPER, fixed);
  const found = BY_FIX[key](moment, fixed.spot);
  if (typeof found === 'string') return notCalled(key, TO_JUMPER, found);
  return offered({ key, to: TO_JUMPER, ...found, age_s: fixed.age_s, limit_s: LOST_S });
}

/** To each crew its way and its final; one sentence to all where nothing is known for them. */
export function crewCalls(moment: CallMoment, phase: CallPhase): (Offer | NotCalled)[] {
  const { crews, at_s } = moment;
  const old = crewsTooOld(crews, at_s);
  if (typeof crews === 'string' || old !== null) return [notCalled('crews', TO_ALL, old ?? '')];
  return crews.orders.flatMap((order) => crewCall(moment, phase, crews, order));
}

function crewCall(
  moment: CallMoment,
  phase: CallPhase,
  crews: CrewsToCall,
  order: CrewsToCall['orders'][number],
): (Offer | NotCalled)[] {
  const { declination, at_s } = moment;
  const { crew, goal, status, standby, approach, ends } = order;
  const to = crew.name;
  const name = sayName(crew.name);
  const way = { key: `way ${crew.name}`, to, age_s: Math.max(0, at_s - crews.at_s), limit_s: CALL_LIMIT_S.crews };
  if (status === 'refused')
    return [offered({ ...way, phrases: [name, 'you do not go', 'stay where you are and listen'], values: { status } })];
  if (status === 'proposed') {
    const phrases = [name, 'stay where you are', 'your new standby is proposed, not ordered'];
    return [offered({ ...way, phrases, values: { status } })];
  }
  const waits = phase === 'before exit';
  const heard_s = crew.heard?.time_s ?? null;
  if (!waits && heard_s !== null && !(at_s - heard_s <= CALL_LIMIT_S.crewFix))
    return [notCalled(way.key, to, `no fix of ${crew.name} newer than ${roughDuration(CALL_LIMIT_S.crewFix)}`)];
  const { bearing_deg, distance_m } = inverse(standby, goal.position);
  const what = goal.name === 'gondola' ? 'gondola landing' : phase === 'down' ? 'jumper' : 'landing';
  const phrases = [
    name,
    `${what} bears ${spokenBearing(bearing_deg, declination)}`,
    `distance ${sayDistance(distance_m)}`,
  ];
  const from = waits || heard_s === null ? 'from your standby' : 'from where you were heard';
  const values = { status, bearing_deg, distance_m, ...(ends === 'goal' ? {} : { ends }) };
  const waitsThere = ends === 'shore' ? ['wait at the shore, nobody goes into the water'] : [];
  const stays = ends === 'nothing' ? ['the landing is on land, stay on the water'] : [];
  const said: Offer[] = [offered({ ...way, phrases: [...phrases, ...waitsThere, ...stays], more: [from], values })];
  if (approach === null) return said;
  const final = `final ${spokenHeading(approach.final_deg, declination)}`;
  const inFrom = 'from behind and below, never over the canopy';
  const values2 = { final_deg: approach.final_deg };
  const key = `approach ${crew.name}`;
  return [...said, offered({ ...way, key, phrases: [name, final], more: [inFrom], values: values2 })];
}
