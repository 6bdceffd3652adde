// The advice on a mission at a moment: the word with every limit behind it, the exit window, the best exit and its
// alternatives, the zones by fit. Everything is computed from plan, log and moment. Advisory only: local rules and
// licensed practice decide.
import { carrierPath, type CarrierPath } from '../descent/carrier.ts';
import { Ensemble, type Members } from '../descent/ensemble.ts';
import type { Outlook } from '../descent/outlook.ts';
import { zoneMiddle } from '../descent/scenario.ts';
import { quantilesOf, statisticsOf, type LandingStatistics } from '../descent/statistics.ts';
import { windSensitivity, type WindSensitivity } from '../descent/sensitivity.ts';
import { direct, inverse } from '../earth/geodesic.ts';
import type { LandingZone } from '../plan/schema.ts';
import { never } from '../base/problem.ts';
import { toEnd, type Steps } from '../base/steps.ts';
import type { Situation } from '../mission/situation.ts';
import type { LonLat } from '../base/units.ts';
import { DEG_PER_RAD, RAD_PER_DEG, windFrom } from '../base/units.ts';
import { WindSampler } from '../winds/field.ts';
import { expectedOf } from '../mission/expected.ts';
import { driftSample, driftScenario, ExitJudge, judgeExits, type ExitOption } from './exits.ts';
import {
  judgeLimit,
  limitSentence,
  limitsOf,
  wordOf,
  type Judged,
  type LimitKind,
  type LimitName,
  type LimitValue,
  type AdviceWord,
} from './limits.ts';
import { LIGHT_ERROR_S, lightLeft } from '../earth/sun.ts';
import { chanceOf, compareHeadings, exitLine, exitsOn, type ExitLine, type RunHeading } from './window.ts';
import { fitsInSteps, type ZoneFit } from './zoneFit.ts';

export interface Advice {
  readonly at_s: number;
  readonly word: AdviceWord;
  /** One line, always in view. */
  readonly line: string;
  readonly because: readonly Judged[];
  readonly limits: readonly Judged[];
  /** Names in the mission's `limits` that are no limit of this program. */
  readonly unknownLimits: readonly string[];
  /** The zone that the plan steers for; null where it names none. */
  readonly zone: string | null;
  /** Size of the sample that every exit is judged by: the drawn descents that reach the ground. */
  readonly drawn: number;
  readonly planned: ExitOption | null;
  readonly exits: ExitLine;
  /** The most promising exit anywhere at the planned height and time, and how far the planned one is from it. */
  readonly anywhere: {
    readonly position: LonLat;
    readonly share: number;
    readonly away_m: number;
    readonly bearing_deg: number;
  } | null;
  /** For an aircraft: run headings compared. */
  readonly headings: readonly RunHeading[];
  readonly zones: readonly ZoneFit[];
  readonly statistics: LandingStatistics | null;
  /** From where the descent is predicted, once the jumper has left; null: from the planned exit. */
  readonly basis: string | null;
  /** When the expected descent ends, s since 1970; null where it does not reach the ground. */
  readonly touchdown_s: number | null;
  readonly cautions: readonly string[];
}

export interface Advised {
  readonly advice: Advice;
  /** The descent that is expected, and the whole one from its exit that a fix is compared with. */
  readonly outlook: Outlook;
  readonly planned: Outlook;
  readonly carrier: CarrierPath | null;
  readonly sensitivity: WindSensitivity | null;
  /** The sample with the plan's own steering. */
  readonly members: Members;
}

export interface AdviseOptions {
  readonly seed?: number;
  /** Size of the samples. */
  readonly members?: number;
  readonly roads?: readonly (readonly LonLat[])[];
}

export const CAUTIONS = [
  'Advisory only: local rules, the people on the spot and licensed practice decide.',
  'A forecast can be wrong in ways its spread does not show.',
] as const;

const OXYGEN_HEIGHT_M = 4572;

export const adviseOn = (situation: Situation, options: AdviseOptions = {}): Advised =>
  toEnd(adviseInSteps(situation, options));

export function* adviseInSteps(situation: Situation, options: AdviseOptions = {}): Steps<Advised> {
  const { mission, world } = situation;
  const seed = options.seed ?? 1;
  const count = options.members ?? 2000;
  const expected = expectedOf(situation);
  const { outlook, spread } = expected;
  const { scenario } = outlook;
  // Once the jumper has left, no exit is chosen any more.
  const left = expected.from !== 'plan';
  const setup = { scenario, error: outlook.error, spread, seed };
  const members = yield* new Ensemble(setup).inSteps(count);
  const zones = mission.landingZones ?? [];
  const hazards = mission.hazards ?? [];
  const statistics = statisticsOf(members, zones, hazards);
  const drift = driftScenario(scenario);
  const drifting = drift === scenario ? members : yield* new Ensemble({ ...setup, scenario: drift }).inSteps(count);
  const sample = driftSample(scenario, outlook.error, drifting);
  const judge = new ExitJudge(sample, zones, hazards, targetName(situation));
  const { limits, unknown } = limitsOf(mission.jumper, mission.limits);
  const numberOf = (name: LimitName): number => limits.find((limit) => limit.name === name)?.number ?? NaN;
  yield;
  const carrier = carrierPath(mission, world, expected.planned.offset);
  const exits = carrier === null || left ? [] : exitsOn(carrier);
  const line = yield* exitLine(judge, scenario, outlook.error, exits, {
    zoneProbability: numberOf('zoneProbability'),
    hazardProbability: numberOf('hazardProbability'),
  });
  yield;
  const planned = judgeExits(judge, scenario, outlook.error, [scenario.exit])[0] ?? null;
  const values = limitValues(situation, outlook, judge, planned, members);
  const judged = limits.map((limit) => judgeLimit(limit, values(limit)));
  const { word, because } = wordOf(judged);
  const said: AdviceWord = situation.state.marks.has('touchdown') ? 'DOWN' : left ? 'IN FLIGHT' : word;
  const fits = yield* zoneFits(situation, outlook, planned, line.best, options.roads ?? []);
  yield;
  const headings =
    mission.carrier?.kind === 'aircraft' && !left
      ? compareHeadings(
          judge,
          scenario,
          outlook.error,
          mission.carrier,
          mission.carrier.through ?? mission.exit.position,
        )
      : [];
  yield;
  const anywhere = left ? null : bestAnywhere(judge, scenario.exit, zones);
  yield;
  const sensitivity = windSensitivity(scenario, outlook.offset);
  yield;
  const { landing } = outlook.prediction;
  const touchdown_s = landing === null ? null : scenario.exit.time_s + landing.time_s;
  const advice: Advice = {
    at_s: situation.at_s,
    word: said,
    line: adviceLine(said, because, judge.target, line, planned, judge, left ? touchdown_s : null),
    because,
    limits: judged,
    unknownLimits: unknown,
    zone: judge.target,
    drawn: sample.east_m.length,
    planned,
    exits: line,
    anywhere,
    headings,
    zones: fits,
    statistics,
    basis: expected.basis,
    touchdown_s,
    cautions: [...CAUTIONS, ...outlook.prediction.warnings, ...situation.winds.sentences],
  };
  return { advice, outlook, planned: expected.planned, carrier, sensitivity, members };
}

function targetName({ mission }: Situation): string | undefined {
  const steering = mission.jumper.canopy?.steering;
  return steering !== undefined && (steering.policy === 'to target' || steering.policy === 'pattern')
    ? steering.zone
    : undefined;
}

function bestAnywhere(
  judge: ExitJudge,
  exit: { readonly lon_deg: number; readonly lat_deg: number },
  zones: readonly LandingZone[],
): Advice['anywhere'] {
  if (zones.length === 0 || judge.sample.east_m.length === 0) return null;
  const { east_m, north_m, share } = judge.best();
  const from: LonLat = [exit.lon_deg, exit.lat_deg];
  const away_m = Math.hypot(east_m, north_m);
  const bearing_deg = (Math.atan2(east_m, north_m) * DEG_PER_RAD + 360) % 360;
  return { position: direct(from, bearing_deg, away_m), share, away_m, bearing_deg };
}

/** What each limit's value is now, or why it is not known. */
function limitValues(
  situation: Situation,
  outlook: Outlook,
  judge: ExitJudge,
  planned: ExitOption | null,
  members: Members,
): (limit: LimitKind) => LimitValue {
  const { mission, winds } = situation;
  const { prediction, scenario } = outlook;
  const { landing, opening } = prediction;
  const none = (why: string): LimitValue => ({ kind: 'not given', why });
  const place = landing?.position ?? mission.site.position;
  const surface = windAt(outlook, place, 10);
  const above = windAt(outlook, place, 300);
  const touchdown_s = scenario.exit.time_s + (landing?.time_s ?? 0);
  return ({ name }) => {
    switch (name) {
      case 'surfaceWind_mps':
        return {
          kind: 'known',
          value: Math.hypot(...surface),
          error: winds.analysis.std_mps[0] ?? 0,
          how: 'the analysed wind 10 m above the landing',
        };
      case 'gust_mps': {
        const report = winds.newestSurface?.report.event;
        const gust = report?.gust_mps;
        return gust === undefined
          ? none('the newest surface report names no gust')
          : {
              kind: 'known',
              value: gust,
              how: `${report?.by ?? report?.source ?? 'a report'}, ${report?.observedAt.slice(11, 16) ?? ''}Z`,
            };
      }
      case 'windShear_mps':
        return {
          kind: 'known',
          value: Math.hypot(above[0] - surface[0], above[1] - surface[1]),
          how: 'the analysed wind at 300 m against that at 10 m above the landing',
        };
      case 'zoneProbability': {
        if (planned === null || judge.target === null) return none('the plan names no landing zone');
        const share = planned.inZone[judge.target];
        return {
          kind: 'known',
          value: chanceOf(judge.target, planned),
          error: share?.error ?? 0,
          how: `${judge.sample.east_m.length} drawn descents from the planned exit`,
        };
      }
      case 'hazardProbability':
        return planned === null
          ? none('the descent does not reach the ground')
          : {
              kind: 'known',
              value: planned.inHazard.p,
              error: planned.inHazard.error,
              how: `${judge.sample.east_m.length} drawn descents from the planned exit`,
            };
      case 'daylight_s': {
        const light = lightLeft(place, touchdown_s);
        const left =
          light.kind === 'day'
            ? Math.max(light.toSunset_s - LIGHT_ERROR_S, 0)
            : light.kind === 'no night' || light.kind === 'dawn'
              ? 86_400
              : 0;
        return {
          kind: 'known',
          value: left,
          how: 'from the predicted touchdown to sunset over a level horizon at the landing, less the minute it may be off by',
        };
      }
      case 'surfaceWindAge_s':
        return winds.newestSurface === null
          ? none('no surface wind has been reported')
          : {
              kind: 'known',
              value: winds.newestSurface.age_s,
              how: 'the newest wind below 50 m above ground that counts',
            };
      case 'openingShock_g':
        return opening === null
          ? none('no canopy opens')
          : { kind: 'known', value: quantilesOf(members.shock_g).p95, how: 'the 95th of 100 drawn openings' };
      case 'oxygenReserve_s': {
        if (mission.jumper.oxygen_s === undefined) return none('the plan gives no oxygen time');
        const below = prediction.track.find((point) => point[3] < OXYGEN_HEIGHT_M);
        return {
          kind: 'known',
          value: mission.jumper.oxygen_s - (below?.[0] ?? 0),
          how: 'oxygen time of the plan less the time from exit down to 15 000 ft MSL',
        };
      }
      case 'cloudClearance_m': {
        if (mission.cloud === undefined) return none('no cloud is given');
        if ((mission.cloud.cover_oktas ?? 8) < 5)
          return none(`cloud covers ${mission.cloud.cover_oktas} oktas: no ceiling`);
        const agl = (opening?.height_m ?? mission.site.elevation_m) - mission.site.elevation_m;
        return {
          kind: 'known',
          value: mission.cloud.base_agl_m - agl,
          how: 'cloud base of the plan less the predicted opening height, both above the site',
        };
      }
      default:
        return never(name);
    }
  };
}

/** The analysed wind, [east, north] m/s, at a height above the ground of a place at the touchdown. */
function windAt({ scenario, offset, prediction }: Outlook, place: LonLat, agl_m: number): readonly [number, number] {
  const { wind, ground } = scenario.world;
  const sampler = new WindSampler(wind);
  sampler.start(scenario.exit.time_s, offset);
  const [lon, lat] = [place[0] * RAD_PER_DEG, place[1] * RAD_PER_DEG];
  sampler.sample(lat, lon, ground.heightAt(lat, lon) + agl_m, prediction.landing?.time_s ?? 0);
  return [sampler.out[0] ?? 0, sampler.out[1] ?? 0];
}

function* zoneFits(
  situation: Situation,
  outlook: Outlook,
  planned: ExitOption | null,
  best: ExitOption | null,
  roads: readonly (readonly LonLat[])[],
): Steps<ZoneFit[]> {
  const { mission, world } = situation;
  const { scenario, prediction } = outlook;
  const touchdown_s = scenario.exit.time_s + (prediction.landing?.time_s ?? 0);
  const place = prediction.landing?.position ?? mission.site.position;
  const wind = windFrom(...windAt(outlook, place, 10));
  const option = best ?? planned;
  return yield* fitsInSteps({
    mission,
    terrain: world.ground.terrain,
    roads,
    wind,
    touchdown_s,
    // A crew's way here is the straight line at its speed: the crews' own page has the roads and the wind.
    arrival_s: (zone) => {
      const ways = (mission.teams ?? []).map(
        (team) =>
          (team.ready_s ?? 0) + inverse(team.standby ?? team.position, zoneMiddle(zone)).distance_m / team.speed_mps,
      );
      return touchdown_s + (ways.length === 0 ? 0 : Math.min(...ways));
    },
    chance: (zone) => {
      if (option === null) return null;
      const reach = meanReach(outlook);
      const d = inverse(option.driftLanding, zoneMiddle(zone)).distance_m;
      return { p: option.inZone[zone.name]?.p ?? 0, margin_m: reach - d };
    },
  });
}

/** How far the canopy could be driven from its drift landing, m; 0 where it does not home. */
function meanReach({ scenario, prediction }: Outlook): number {
  const canopy = scenario.body.canopy;
  const { opening, landing } = prediction;
  if (canopy === null || opening === null || landing === null || driftScenario(scenario) === scenario) return 0;
  return (canopy.airspeed_mps / canopy.sink_mps) * Math.max(0, opening.height_m - landing.elevation_m);
}

const clock = (time_s: number): string => new Date(Math.round(time_s) * 1000).toISOString().slice(11, 19);

/**
 * "EXIT 14:02:10 to 14:05:40Z · best 14:03:55Z · 87 % in Salt Flat North · hold: gust 9.0 m/s over the 8.0 m/s limit".
 */
function adviceLine(
  word: AdviceWord,
  because: readonly Judged[],
  zone: string | null,
  line: ExitLine,
  planned: ExitOption | null,
  judge: ExitJudge,
  touchdown_s: number | null,
): string {
  const parts: string[] = [];
  const { window, best } = line;
  if (touchdown_s !== null && word !== 'DOWN') parts.push(`touchdown expected ${clock(touchdown_s)}Z`);
  if (window !== null && best !== null)
    parts.push(`EXIT ${clock(window.opens_s)} to ${clock(window.closes_s)}Z`, `best ${clock(best.exit.time_s)}Z`);
  else if (line.options.length > 0) parts.push('no exit on the carrier’s line keeps the limits');
  const shown = best ?? planned;
  if (zone !== null && shown !== null && word !== 'DOWN')
    parts.push(`${Math.round(chanceOf(judge.target, shown) * 100)}\u202f% in ${zone}`);
  const reasons = because.map(limitSentence);
  parts.push(reasons.length === 0 ? word : `${word}: ${reasons.join('; ')}`);
  return parts.join(' · ');
}
