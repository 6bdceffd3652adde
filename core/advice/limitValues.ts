// What each limit's value is at a moment, or why it is not known. One function a limit; none is left out, or the table
// does not compile.
import { nth } from '../base/nth.ts';
import { RAD_PER_DEG, type LonLat } from '../base/units.ts';
import { carrierAt, type CarrierPath } from '../descent/carrier.ts';
import type { Members } from '../descent/ensemble.ts';
import type { Outlook } from '../descent/outlook.ts';
import { quantilesOf, statisticsOf } from '../descent/statistics.ts';
import { inverse } from '../earth/geodesic.ts';
import { LIGHT_ERROR_S, lightLeft } from '../earth/sun.ts';
import type { Situation } from '../mission/situation.ts';
import { WindSampler } from '../winds/field.ts';
import { clock, roughDuration } from '../words/times.ts';
import { distance } from '../words/lengths.ts';
import { number, quantity } from '../words/numbers.ts';
import type { ExitOption } from './exits.ts';
import { isDeadly, type LimitName, type LimitValue } from './limits.ts';
import { chanceOf, type ExitLine } from './window.ts';
import { WEAK_HEIGHTS } from './lee.ts';
import type { ZoneFit } from './zoneFit.ts';

export interface LimitFacts {
  readonly situation: Situation;
  readonly outlook: Outlook;
  /** Drawn descents from the planned exit, with the plan's steering. */
  readonly members: Members;
  readonly planned: ExitOption | null;
  readonly zone: string | null;
  readonly line: ExitLine;
  readonly carrier: CarrierPath | null;
  /** The fit of the zone that is steered for. */
  readonly fit: ZoneFit | null;
  /** Whether the jumper has left the carrier. */
  readonly left: boolean;
  /** Open questions about the winds that hold the word (`questions.ts`). */
  readonly questions: readonly string[];
}

const OXYGEN_HEIGHT_M = 4572;
/**
 * Behind trees, buildings and hills the air is turbulent in winds above 10 mph (FAA Basic Helicopter Handbook ch. 12).
 */
const LEE_MPS = 4.5;
/** From here up cloud is a ceiling (WMO: five oktas are broken). */
const CEILING_OKTAS = 5;

const notGiven = (why: string): LimitValue => ({ kind: 'not given', why });
const known = (value: number, how: string, more: { error?: number; said?: string } = {}): LimitValue => ({
  kind: 'known',
  value,
  how,
  ...more,
});

const plannedTime_s = ({ outlook }: LimitFacts): number => outlook.scenario.exit.time_s;
const LEFT = 'the jumper has left';

function landingPlace({ outlook, situation }: LimitFacts): LonLat {
  return outlook.prediction.landing?.position ?? situation.mission.site.position;
}

const touchdown_s = ({ outlook }: LimitFacts): number =>
  outlook.scenario.exit.time_s + (outlook.prediction.landing?.time_s ?? 0);

/** The analysed wind, [east, north] m/s, at a height above the ground of a place at the touchdown. */
export function windAt({ scenario, offset, prediction }: Outlook, place: LonLat, agl_m: number): [number, number] {
  const { wind, ground } = scenario.world;
  const sampler = new WindSampler(wind);
  sampler.start(scenario.exit.time_s, offset);
  const [lon, lat] = [place[0] * RAD_PER_DEG, place[1] * RAD_PER_DEG];
  sampler.sample(lat, lon, ground.heightAt(lat, lon) + agl_m, prediction.landing?.time_s ?? 0);
  return [nth(sampler.out, 0), nth(sampler.out, 1)];
}

function exitOverdue(facts: LimitFacts): LimitValue {
  if (facts.left) return notGiven(LEFT);
  const exit_s = plannedTime_s(facts);
  const late_s = facts.situation.at_s - exit_s;
  const said =
    `planned exit ${clock(exit_s)} was ${roughDuration(late_s)} ago and the log has no exit: plan the next, or ` +
    'mark it';
  return known(late_s, 'this moment less the planned exit', { said });
}

function exitInWindow(facts: LimitFacts): LimitValue {
  if (facts.left) return notGiven(LEFT);
  const { window, best, options } = facts.line;
  if (options.length === 0) return notGiven('the plan names no carrier');
  if (window === null) {
    const why = 'no exit on the carrier’s line keeps the limits';
    return { kind: 'not given', why, holds: true, said: why };
  }
  const exit_s = plannedTime_s(facts);
  const inside_s = Math.min(exit_s - window.opens_s, window.closes_s - exit_s);
  const side =
    exit_s < window.opens_s
      ? `${roughDuration(window.opens_s - exit_s)} before the window opens`
      : `${roughDuration(exit_s - window.closes_s)} after the window closes`;
  const mend = best === null ? '' : `: ${clock(best.exit.time_s)} is the best`;
  return known(inside_s, 'from the planned exit to the nearer end of the window', {
    said: `planned exit ${clock(exit_s)} is ${side}${mend}`,
  });
}

function exitOffLine(facts: LimitFacts): LimitValue {
  if (facts.left) return notGiven(LEFT);
  const { carrier, outlook } = facts;
  const exit = outlook.scenario.exit;
  const there = carrier === null ? null : carrierAt(carrier, exit.time_s);
  if (there === null) return notGiven('the plan names no carrier');
  const away_m = inverse(there.position, [exit.lon_deg, exit.lat_deg]).distance_m;
  const up_m = Math.abs(there.height_m - exit.height_m);
  const late_s = Math.abs(there.time_s - exit.time_s);
  const words = [
    ...(away_m > 100 ? [`${distance(away_m)} from where the carrier will be`] : []),
    ...(up_m > 100 ? [`${distance(up_m)} off its height`] : []),
    ...(late_s > 1 ? [`${roughDuration(late_s)} off its flight`] : []),
  ];
  const how = 'from the planned exit to the carrier at that time, by its last fix, launch mark or plan';
  return known(late_s > 1 ? Math.max(away_m, up_m, 1e5) : Math.max(away_m, up_m), how, {
    said: `planned exit ${clock(exit.time_s)} is ${words.join(', ')}: take an exit on the line`,
  });
}

function windQuestions({ questions }: LimitFacts): LimitValue {
  return known(questions.length, 'reports about the wind whose answer would change a limit or a zone', {
    said: `the wind is in question: ${questions[0] ?? ''}`,
  });
}

function windsAloftAge(facts: LimitFacts): LimitValue {
  const { wind } = facts.outlook.scenario.world;
  if (wind.isAssumedCalm) return notGiven('no wind is given: calm air is assumed at every height');
  const [first = NaN, last = NaN] = [wind.times_s[0], wind.times_s.at(-1)];
  const outside_s = Math.max(first - plannedTime_s(facts), touchdown_s(facts) - last, 0);
  return known(outside_s, 'from the nearest valid time of the winds aloft to the descent');
}

function surfaceWind(facts: LimitFacts): LimitValue {
  return known(
    Math.hypot(...windAt(facts.outlook, landingPlace(facts), 10)),
    'the analysed wind 10 m above the landing',
    {
      error: facts.situation.winds.analysis.std_mps[0] ?? 0,
    },
  );
}

function gust({ situation }: LimitFacts): LimitValue {
  const report = situation.winds.newestSurface?.report.event;
  if (report?.gust_mps === undefined) return notGiven('the newest surface report names no gust');
  return known(report.gust_mps, `${report.by ?? report.source}, ${report.observedAt.slice(11, 16)}Z`);
}

function windShear(facts: LimitFacts): LimitValue {
  const place = landingPlace(facts);
  const [low, high] = [windAt(facts.outlook, place, 10), windAt(facts.outlook, place, 300)];
  return known(
    Math.hypot(high[0] - low[0], high[1] - low[1]),
    'the analysed wind at 300 m against that at 10 m above the landing',
  );
}

function blownBack(facts: LimitFacts): LimitValue {
  const canopy = facts.outlook.scenario.body.canopy;
  if (canopy === null || !(canopy.airspeed_mps > 0)) return notGiven('the canopy has no drive');
  const place = landingPlace(facts);
  const worst = Math.max(...[10, 50, 100, 200, 300].map((agl) => Math.hypot(...windAt(facts.outlook, place, agl))));
  return known(worst - canopy.airspeed_mps, 'the strongest analysed wind of the last 300 m less the canopy’s airspeed');
}

function lee(facts: LimitFacts): LimitValue {
  const { fit } = facts;
  if (fit === null) return notGiven('the plan names no landing zone');
  const worst = fit.turbulence[0];
  const strength = Math.hypot(...windAt(facts.outlook, landingPlace(facts), Math.max(10, worst?.height_m ?? 0)));
  if (strength < LEE_MPS) return known(WEAK_HEIGHTS, `the wind at its height is below ${quantity(LEE_MPS, 'm/s')}`);
  if (worst === undefined) return known(WEAK_HEIGHTS, 'nothing upwind within so many heights');
  return known(
    worst.heights,
    `from ${worst.name}, ${Math.round(worst.height_m)} m high, ${Math.round(worst.distance_m)} m upwind`,
    {
      said: `${fit.zone.name} is in the lee of ${worst.name}: ${number(worst.heights, 1)} heights downwind`,
    },
  );
}

function zoneProbability({ situation, planned, zone }: LimitFacts): LimitValue {
  const steering = situation.mission.jumper.canopy?.steering;
  const homing = steering?.policy === 'to target' || steering?.policy === 'pattern';
  if (zone === null && homing && steering.zone !== undefined)
    return notGiven(`the plan steers to “${steering.zone}”, and no zone has that name`);
  if (planned === null || zone === null) return notGiven('the plan names no landing zone');
  const error = planned.inZone[zone]?.error ?? 0;
  return known(chanceOf(zone, planned), 'drawn descents from the planned exit, flown', { error });
}

function hazardProbability({ planned }: LimitFacts): LimitValue {
  if (planned === null) return notGiven('the descent does not reach the ground');
  return known(planned.inHazard.p, 'drawn descents from the planned exit, flown', { error: planned.inHazard.error });
}

function deadlyHazard({ situation, members }: LimitFacts): LimitValue {
  const deadly = (situation.mission.hazards ?? []).filter(isDeadly);
  if (deadly.length === 0) return notGiven('the plan has no power line, open water, cliff or town');
  const any = statisticsOf(members, [], deadly)?.inAnyHazard;
  if (any === undefined) return notGiven('the descent does not reach the ground');
  return known(any.p, 'drawn descents from the planned exit that come down on one', { error: any.error });
}

function daylight(facts: LimitFacts): LimitValue {
  const light = lightLeft(landingPlace(facts), touchdown_s(facts));
  const never = light.kind === 'no night' || light.kind === 'dawn' ? 86_400 : 0;
  const left = light.kind === 'day' ? Math.max(light.toSunset_s - LIGHT_ERROR_S, 0) : never;
  return known(
    left,
    'from the predicted touchdown to sunset over a level horizon at the landing, less the minute it may be off by',
  );
}

function surfaceWindAge({ situation }: LimitFacts): LimitValue {
  const newest = situation.winds.newestSurface;
  if (newest === null) return notGiven('no surface wind has been reported');
  return known(newest.age_s, 'the newest wind below 50 m above ground that counts');
}

function openingShock({ outlook, members }: LimitFacts): LimitValue {
  if (outlook.prediction.opening === null) return notGiven('no canopy opens');
  return known(quantilesOf(members.shock_g).p95, '95 % of the drawn openings are below it');
}

function oxygenReserve({ situation, outlook }: LimitFacts): LimitValue {
  const { oxygen_s } = situation.mission.jumper;
  if (oxygen_s === undefined) return notGiven('the plan gives no oxygen time');
  const below = outlook.prediction.track.find((point) => point[3] < OXYGEN_HEIGHT_M);
  return known(oxygen_s - (below?.[0] ?? 0), 'oxygen time of the plan less the time from exit down to 15 000 ft MSL');
}

function cloudClearance({ situation, outlook }: LimitFacts): LimitValue {
  const { cloud, site } = situation.mission;
  if (cloud === undefined) return notGiven('no cloud is given');
  if ((cloud.cover_oktas ?? 8) < CEILING_OKTAS) return notGiven(`cloud covers ${cloud.cover_oktas} oktas: no ceiling`);
  const top_m = outlook.scenario.exit.height_m - site.elevation_m;
  return known(
    cloud.base_agl_m - top_m,
    'cloud base of the plan less the exit height, both above the site: the whole descent stays below it',
  );
}

/** The values of all limits, by their names. */
export const LIMIT_VALUES: Readonly<Record<LimitName, (facts: LimitFacts) => LimitValue>> = {
  exitOverdue_s: exitOverdue,
  exitInWindow_s: exitInWindow,
  exitOffLine_m: exitOffLine,
  windQuestions,
  windsAloftAge_s: windsAloftAge,
  surfaceWind_mps: surfaceWind,
  gust_mps: gust,
  windShear_mps: windShear,
  blownBack_mps: blownBack,
  lee_heights: lee,
  zoneProbability,
  hazardProbability,
  deadlyHazardProbability: deadlyHazard,
  daylight_s: daylight,
  surfaceWindAge_s: surfaceWindAge,
  openingShock_g: openingShock,
  oxygenReserve_s: oxygenReserve,
  cloudClearance_m: cloudClearance,
};
