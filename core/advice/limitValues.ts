// What each limit's value is at a moment, or why it is not known. One function a limit; none is left out, or the table
// does not compile.
import { nth } from '../base/nth.ts';
import { RAD_PER_DEG, toward_deg, windFrom, wrap180, type LonLat } from '../base/units.ts';
import { carrierAt, type CarrierPath } from '../descent/carrier.ts';
import type { Outlook } from '../descent/outlook.ts';
import type { Share } from '../descent/statistics.ts';
import { direct, inverse } from '../earth/geodesic.ts';
import { LIGHT_ERROR_S, lightLeft } from '../earth/sun.ts';
import { isOpen, itemSaid, listsAt } from '../log/lists.ts';
import { OXYGEN_HEIGHT_M, type Endurance } from '../mission/endurance.ts';
import type { Situation } from '../mission/situation.ts';
import { WindSampler } from '../winds/field.ts';
import { roughDuration } from '../words/times.ts';
import { chanceWords, number, percent, quantity } from '../words/numbers.ts';
import type { ExitOption } from './exits.ts';
import type { WaterChance } from './waterChance.ts';
import { isDeadly, type LimitName, type LimitValue, type Said } from './limits.ts';
import { chanceOf, type ExitLine } from './window.ts';
import { farthest_s } from './reached.ts';
import { gapWords } from '../log/gaps.ts';
import { lacksOf } from './planWhole.ts';
import { bodyDoubts } from '../descent/warnings.ts';
import { crestsAround, upwindOf, WEAK_HEIGHTS, type Turbulence } from './lee.ts';
import type { ZoneFit } from './zoneFit.ts';

export interface LimitFacts {
  readonly situation: Situation;
  readonly outlook: Outlook;
  /** Of 100 drawn openings 95 are softer, g; null where no canopy opens. */
  readonly shock95_g: number | null;
  /** Of drawn descents those that come down on a hazard that kills; null where none reaches the ground. */
  readonly deadly: Share | null;
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
  /** The chance that the flight ends in water; null where the plan has no area of it, or nothing lands. */
  readonly water: WaterChance | null;
  /** What each case asks of the person. */
  readonly cases: readonly Endurance[];
}

/**
 * Behind trees, buildings and hills the air is turbulent in winds above 10 mph (FAA Basic Helicopter Handbook ch. 12).
 */
const LEE_MPS = 4.5;
/** Behind an obstacle the air is turbulent up to about twice its height. Common practice. */
const WAKE_HEIGHTS = 2;
/** A pattern is flown below this height, m. */
const LOW_AGL_M = 300;
/**
 * A wind within so much of the way from the crest to the landing makes rotors there (US Navy aerographer course;
 * confidence.md §6, F).
 */
const CROSSING_DEG = 50;
/** Winds that reach no higher above the site say nothing of the winds aloft, m. Ours. */
const SURFACE_AGL_M = 200;
/** From here up the wider visibility counts, m MSL: 10 000 ft. */
const HIGH_M = 3048;
/** From here up cloud is a ceiling (WMO: five oktas are broken). */
const CEILING_OKTAS = 5;

const notGiven = (why: string): LimitValue => ({ kind: 'not given', why });
const known = (value: number, how: string, more: { error?: number; said?: Said } = {}): LimitValue => ({
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
export const windAt = (outlook: Outlook, place: LonLat, agl_m: number): [number, number] =>
  windOver(outlook, place)(agl_m);

/** The same at many heights. */
function windOver({ scenario, offset, prediction }: Outlook, place: LonLat): (agl_m: number) => [number, number] {
  const { wind, ground } = scenario.world;
  const sampler = new WindSampler(wind);
  sampler.start(scenario.exit.time_s, offset);
  const [lon, lat] = [place[0] * RAD_PER_DEG, place[1] * RAD_PER_DEG];
  const ground_m = ground.heightAt(lat, lon);
  return (agl_m) => {
    sampler.sample(lat, lon, ground_m + agl_m, prediction.landing?.time_s ?? 0);
    return [nth(sampler.out, 0), nth(sampler.out, 1)];
  };
}

function exitOverdue(facts: LimitFacts): LimitValue {
  if (facts.left) return notGiven(LEFT);
  const exit_s = plannedTime_s(facts);
  const late_s = facts.situation.at_s - exit_s;
  const said: Said = [
    'planned exit ',
    { value: exit_s, as: 'time' },
    ` was ${roughDuration(late_s)} ago and the log has no exit: plan the next, or mark it`,
  ];
  return known(late_s, 'this moment less the planned exit', { said });
}

function exitInWindow(facts: LimitFacts): LimitValue {
  if (facts.left) return notGiven(LEFT);
  const { window, best, options } = facts.line;
  if (facts.carrier === null) {
    const why = 'the plan names no carrier: there is no exit window';
    return { kind: 'not given', why, holds: true, said: [why] };
  }
  if (options.length === 0) return notGiven('no exit on the carrier’s line leads to the ground');
  if (window === null) {
    const why = 'no exit on the carrier’s line keeps the limits';
    return { kind: 'not given', why, holds: true, said: [why] };
  }
  const exit_s = plannedTime_s(facts);
  const inside_s = Math.min(exit_s - window.opens_s, window.closes_s - exit_s);
  const side =
    exit_s < window.opens_s
      ? `${roughDuration(window.opens_s - exit_s)} before the window opens`
      : `${roughDuration(exit_s - window.closes_s)} after the window closes`;
  const mend: Said = best === null ? [] : [': ', { value: best.exit.time_s, as: 'time' }, ' is the best'];
  return known(inside_s, 'from the planned exit to the nearer end of the window', {
    said: ['planned exit ', { value: exit_s, as: 'time' }, ` is ${side}`, ...mend],
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
  const parts: Said[] = [
    ...(away_m > 100 ? [[{ value: away_m, as: 'distance' }, ' from where the carrier will be'] satisfies Said] : []),
    ...(up_m > 100 ? [[{ value: up_m, as: 'distance' }, ' off its height'] satisfies Said] : []),
    ...(late_s > 1 ? [[`${roughDuration(late_s)} off its flight`]] : []),
  ];
  const words = parts.flatMap((part, i): Said => (i === 0 ? part : [', ', ...part]));
  const how = 'from the planned exit to the carrier at that time, by its last fix, launch mark or plan';
  return known(late_s > 1 ? Math.max(away_m, up_m, 1e5) : Math.max(away_m, up_m), how, {
    said: ['planned exit ', { value: exit.time_s, as: 'time' }, ' is ', ...words, ': take an exit on the line'],
  });
}

function exitKnown({ line, left }: LimitFacts): LimitValue {
  if (left) return notGiven(LEFT);
  if (line.window === null) return notGiven('there is no window');
  const { error_s } = line.window;
  return known(error_s, 'the carrier’s wind error since it was last known, over its speed, and the call', {
    said: [`the carrier’s place at the exit is known to ±${roughDuration(error_s)} of its way: wait for a later fix`],
  });
}

function planLacks({ situation, outlook, left }: LimitFacts): LimitValue {
  const lacks = [...lacksOf(situation), ...(left ? [] : bodyDoubts(outlook.scenario))];
  const { gaps } = situation.state;
  const said = [
    ...(lacks.length === 0 ? [] : [`the plan is not whole: ${lacks.join('; ')}`]),
    ...(gaps.length === 0 ? [] : [`the log is not whole: ${gapWords(gaps)}`]),
  ];
  return known(
    lacks.length + gaps.length,
    'parts that could not be read, are missing or do not fit the ground or one another, and gaps of the log',
    { said: [said.join('; ')] },
  );
}

function windQuestions({ questions }: LimitFacts): LimitValue {
  return known(questions.length, 'reports about the wind whose answer would change a limit or a zone', {
    said: [`the wind is in question: ${questions[0] ?? ''}`],
  });
}

function windsAloftAge(facts: LimitFacts): LimitValue {
  const { wind, ground } = facts.outlook.scenario.world;
  if (wind.isAssumedCalm) return notGiven('no wind is given: calm air is assumed at every height');
  if (!((wind.heights_m.at(-1) ?? NaN) > ground.site_m + SURFACE_AGL_M))
    return notGiven('winds near the ground alone are given: the same wind is assumed at every height');
  return known(
    farthest_s([...wind.times_s], [plannedTime_s(facts), touchdown_s(facts)]),
    'from the nearest valid time of the winds aloft to the farther end of the descent',
  );
}

function forecastRun(facts: LimitFacts): LimitValue {
  const runs = facts.outlook.scenario.world.wind.facts.flatMap(({ run_s }) => run_s ?? []);
  if (runs.length === 0) return notGiven('no forecast says when its model started');
  return known(plannedTime_s(facts) - Math.max(...runs), 'from the newest run of the forecasts to the exit');
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

/** The strongest change over this height, whatever its direction, m. */
const STEP_M = 500;

function windStep(facts: LimitFacts): LimitValue {
  const { scenario } = facts.outlook;
  if (facts.left) return notGiven(LEFT);
  if (scenario.world.wind.isAssumedCalm) return notGiven('no wind is given');
  const windUp = windOver(facts.outlook, landingPlace(facts));
  const top_m = scenario.exit.height_m - scenario.world.ground.site_m;
  let [worst_mps, at_m] = [0, 0];
  for (let low_m = 10; low_m + STEP_M <= top_m; low_m += STEP_M / 5) {
    const [low, high] = [windUp(low_m), windUp(low_m + STEP_M)];
    const step_mps = Math.hypot(high[0] - low[0], high[1] - low[1]);
    if (step_mps > worst_mps) [worst_mps, at_m] = [step_mps, low_m];
  }
  const from_m = scenario.world.ground.site_m + at_m;
  return known(worst_mps, 'the largest change of the analysed wind over the landing', {
    said: [
      'the wind changes by ',
      { value: worst_mps, as: 'speed' },
      ' from ',
      { value: from_m, as: 'length' },
      ' to ',
      { value: from_m + STEP_M, as: 'length' },
      ' MSL: check the levels there',
    ],
  });
}

function blownBack(facts: LimitFacts): LimitValue {
  const canopy = facts.outlook.scenario.body.canopy;
  if (canopy === null) return notGiven('the plan has no canopy');
  if (!(canopy.airspeed_mps > 0)) return notGiven('the canopy has no drive');
  const place = landingPlace(facts);
  const worst = Math.max(...[10, 50, 100, 200, 300].map((agl) => Math.hypot(...windAt(facts.outlook, place, agl))));
  return known(worst - canopy.airspeed_mps, 'the strongest analysed wind of the last 300 m less the canopy’s airspeed');
}

function lee(facts: LimitFacts): LimitValue {
  const { fit } = facts;
  return fit === null ? notGiven('the plan names no landing zone') : leeBehind(facts, fit.turbulence, fit.zone.name);
}

/** Places at heights above the ground that something upwind may stand before. */
function leeOn(
  facts: LimitFacts,
  way: readonly { readonly place: LonLat; readonly agl_m: number }[],
  who: string,
): LimitValue {
  const { mission, world } = facts.situation;
  const wind = windFrom(...windAt(facts.outlook, landingPlace(facts), 10));
  const terrain = world.ground.terrain;
  const found = way.flatMap(({ place, agl_m }) =>
    upwindOf(place, { mission, terrain, wind }).filter(({ height_m }) => agl_m < WAKE_HEIGHTS * height_m),
  );
  return leeBehind(facts, found, who);
}

/** The worst of what stands upwind, in its own heights; what stands in weak wind at its height makes no lee. */
function leeBehind(facts: LimitFacts, found: readonly Turbulence[], who: string): LimitValue {
  if (found.length === 0) return known(WEAK_HEIGHTS, 'nothing upwind within so many heights');
  const place = landingPlace(facts);
  const windAtTop = (height_m: number): number => Math.hypot(...windAt(facts.outlook, place, Math.max(10, height_m)));
  const worst = found.toSorted((a, b) => a.heights - b.heights).find(({ height_m }) => windAtTop(height_m) >= LEE_MPS);
  if (worst === undefined)
    return known(WEAK_HEIGHTS, `the wind at the height of what stands upwind is below ${quantity(LEE_MPS, 'm/s')}`);
  const { name, height_m, distance_m, heights } = worst;
  return known(heights, `from ${name}, ${Math.round(height_m)} m high, ${Math.round(distance_m)} m upwind`, {
    said: [`${who} is in the lee of ${name}: ${number(heights, 1)} heights downwind`],
  });
}

function leePattern(facts: LimitFacts): LimitValue {
  const { prediction, scenario } = facts.outlook;
  const { canopy } = scenario.body;
  const { landing } = prediction;
  if (canopy === null || landing === null || facts.left) return notGiven('no pattern is flown');
  const low = prediction.track
    .map(([, lon, lat, height_m]) => ({ place: [lon, lat] as const, agl_m: height_m - landing.elevation_m }))
    .filter(({ agl_m }) => agl_m < LOW_AGL_M);
  const every = Math.max(1, Math.floor(low.length / 8));
  return leeOn(
    facts,
    low.filter((_, i) => i % every === 0),
    'the pattern',
  );
}

/** Into the wind to the landing, down a slope of one in ten: the last half kilometre of it. */
function leeHelicopter(facts: LimitFacts): LimitValue {
  if (!(facts.situation.mission.teams ?? []).some(({ kind }) => kind === 'helicopter'))
    return notGiven('the plan names no helicopter');
  const at = landingPlace(facts);
  const { from_deg } = windFrom(...windAt(facts.outlook, at, 10));
  const way = [0, 150, 300, 450].map((d) => ({ place: direct(at, from_deg + 180, d), agl_m: d / 10 }));
  return leeOn(facts, way, 'a helicopter’s way in');
}

/**
 * The strongest wind over ground within 20 NM that stands 300 m above the landing and blows toward it: in every
 * direction the highest ground, with the wind over it, which may blow otherwise than over the landing.
 */
function crestWind(facts: LimitFacts): LimitValue {
  const { terrain } = facts.situation.world.ground;
  if (terrain === null) return notGiven('no terrain is given');
  const at = landingPlace(facts);
  let worst: { readonly over_mps: number; readonly rise_m: number; readonly away_m: number } | null = null;
  for (const { place, rise_m, away_m, toward_deg: there_deg } of crestsAround(terrain, at)) {
    const [u, v] = windAt(facts.outlook, place, 50);
    const over_mps = Math.hypot(u, v);
    const blows = Math.abs(wrap180(toward_deg(-u, -v) - there_deg)) <= CROSSING_DEG;
    if (blows && over_mps > (worst?.over_mps ?? 0)) worst = { over_mps, rise_m, away_m };
  }
  if (worst === null) return notGiven('no ground within 20 NM upwind stands 300 m above the landing');
  const { over_mps, rise_m, away_m } = worst;
  return known(
    over_mps,
    'the strongest analysed wind 50 m above the highest ground of each direction upwind, to 20 NM',
    {
      said: [
        { value: over_mps, as: 'speed' },
        ' over ground ',
        { value: rise_m, as: 'length' },
        ' high, ',
        { value: away_m, as: 'distance' },
        ' upwind: rotor and wave',
      ],
    },
  );
}

function zoneProbability({ situation, planned, zone }: LimitFacts): LimitValue {
  const steering = situation.mission.jumper.canopy?.steering;
  const homing = steering?.policy === 'to target' || steering?.policy === 'pattern';
  if (zone === null && homing && steering.zone !== undefined)
    return notGiven(`the plan steers to “${steering.zone}”, and no zone has that name`);
  if (zone === null) return notGiven('the plan names no landing zone');
  if (planned === null) return notGiven('the descent does not reach the ground');
  const error = planned.inZone[zone]?.error ?? 0;
  return known(chanceOf(zone, planned), 'drawn descents from the planned exit, flown', { error });
}

function hazardProbability({ situation, planned }: LimitFacts): LimitValue {
  if ((situation.mission.hazards ?? []).length === 0) return notGiven('the plan names no hazard');
  if (planned === null) return notGiven('the descent does not reach the ground');
  return known(planned.inHazard.p, 'drawn descents from the planned exit, flown', { error: planned.inHazard.error });
}

function deadlyHazard({ situation, deadly }: LimitFacts): LimitValue {
  if (!(situation.mission.hazards ?? []).some(isDeadly))
    return notGiven('the plan has no power line, open water, cliff or town');
  if (deadly === null) return notGiven('the descent does not reach the ground');
  return known(deadly.p, 'drawn descents from the planned exit that come down on one', { error: deadly.error });
}

/** So many cases are named. */
const NAMED_CASES = 3;

function waterLanding({ situation, water }: LimitFacts): LimitValue {
  const { flotation } = situation.mission.jumper;
  if (water === null) return notGiven('the plan has no area of water');
  if (flotation !== undefined && flotation !== 'none')
    return known(0, `the plan states flotation: ${flotation}; without it ${chanceWords(water.p)} would be in water`);
  const named = water.cases.slice(0, NAMED_CASES).map((one) => `“${one.name}” ${chanceWords(one.p)}`);
  const lacks = flotation === 'none' ? 'the jumper wears no flotation' : 'the plan states no flotation';
  const how = 'drawn landings in areas of water, each other case with the scatter of the planned one about its own';
  return known(water.p, named.length === 0 ? how : `${how}: ${named.join(', ')}`, {
    error: water.error,
    said: [`${chanceWords(water.p)} of flights end in water and ${lacks}`],
  });
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

function openingShock({ outlook, shock95_g }: LimitFacts): LimitValue {
  if (outlook.prediction.opening === null || shock95_g === null) return notGiven('no canopy opens');
  return known(shock95_g, '95 % of the drawn openings are below it');
}

function oxygenReserve({ situation, outlook, left }: LimitFacts): LimitValue {
  const { oxygen_s } = situation.mission.jumper;
  if (oxygen_s === undefined) {
    const why = 'the plan gives no oxygen time';
    if (left || outlook.scenario.exit.height_m < OXYGEN_HEIGHT_M) return notGiven(why);
    return { kind: 'not given', why, holds: true, said: [`${why}, and the exit is above 15 000 ft MSL`] };
  }
  const below = outlook.prediction.track.find((point) => point[3] < OXYGEN_HEIGHT_M);
  return known(oxygen_s - (below?.[0] ?? 0), 'oxygen time of the plan less the time from exit down to 15 000 ft MSL');
}

function oxygenCases({ situation, cases }: LimitFacts): LimitValue {
  const { oxygen_s } = situation.mission.jumper;
  if (oxygen_s === undefined) return notGiven('the plan gives no oxygen time');
  return caseShare(cases, 'outlasts the oxygen', (one) => one.oxygen_s - oxygen_s);
}

const coldCases = ({ cases }: LimitFacts): LimitValue =>
  caseShare(cases, 'is in freezing wind for more than 10 min', (one) => one.cold_s - 600);

/** The share of the cases that are over something, and by how much the worst is. */
function caseShare(cases: readonly Endurance[], what: string, over_s: (one: Endurance) => number): LimitValue {
  const over = cases.filter((one) => over_s(one) > 0).sort((a, b) => over_s(b) - over_s(a));
  const share = over.reduce((sum, { weight }) => sum + weight, 0);
  const named = over.map((one) => `“${one.name}”${over_s(one) < Infinity ? ` by ${roughDuration(over_s(one))}` : ''}`);
  return known(share, over.length === 0 ? `no case ${what}` : `cases: ${named.join(', ')}`, {
    said: [`${percent(share)} of flights by their cases: ${named.join(', ')} ${what}`],
  });
}

function visibility({ situation }: LimitFacts): LimitValue {
  const { visibility_m } = situation.mission;
  return visibility_m === undefined ? notGiven('no visibility is given') : known(visibility_m, 'of the plan');
}

function visibilityHigh(facts: LimitFacts): LimitValue {
  const { height_m } = facts.outlook.scenario.exit;
  return height_m < HIGH_M ? notGiven('the exit is below 10 000 ft MSL') : visibility(facts);
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

/** So many open items are named; a list of thirty would fill the strip. */
const NAMED_ITEMS = 3;

function listItems({ situation, left }: LimitFacts): LimitValue {
  if (left) return notGiven(LEFT);
  const lists = listsAt(situation.mission, situation.state);
  if (lists.length === 0) return notGiven('the plan has no list');
  const gating = lists.flatMap(({ items }) => items).filter(({ gates }) => gates);
  if (gating.length === 0) return notGiven('no item of the lists holds the word');
  const open = gating.filter(({ state }) => isOpen(state));
  const named = open.slice(0, NAMED_ITEMS).map(itemSaid).join(', ');
  const more = open.length > NAMED_ITEMS ? ` and ${number(open.length - NAMED_ITEMS)} more` : '';
  const are = open.length === 1 ? '1 item' : `${number(open.length)} items`;
  const of = lists.length === 1 ? 'the list' : 'the lists';
  const skipped = gating.filter(({ state }) => state.kind === 'skipped' && !isOpen(state)).map(itemSaid);
  const how = 'items that hold the word and are neither read back nor skipped with a reason';
  return known(open.length, skipped.length === 0 ? how : `${how}; ${skipped.join('; ')}`, {
    said: [`${are} of ${of} ${open.length === 1 ? 'is' : 'are'} open: ${named}${more}`],
  });
}

/** The values of all limits, by their names. */
export const LIMIT_VALUES: Readonly<Record<LimitName, (facts: LimitFacts) => LimitValue>> = {
  planLacks,
  exitOverdue_s: exitOverdue,
  exitInWindow_s: exitInWindow,
  exitOffLine_m: exitOffLine,
  exitKnown_s: exitKnown,
  windQuestions,
  windsAloftAge_s: windsAloftAge,
  forecastRun_s: forecastRun,
  surfaceWind_mps: surfaceWind,
  gust_mps: gust,
  windShear_mps: windShear,
  windStep_mps: windStep,
  blownBack_mps: blownBack,
  lee_heights: lee,
  leePattern_heights: leePattern,
  leeHelicopter_heights: leeHelicopter,
  crestWind_mps: crestWind,
  zoneProbability,
  hazardProbability,
  deadlyHazardProbability: deadlyHazard,
  waterProbability: waterLanding,
  daylight_s: daylight,
  surfaceWindAge_s: surfaceWindAge,
  openingShock_g: openingShock,
  oxygenReserve_s: oxygenReserve,
  oxygenCaseProbability: oxygenCases,
  coldCaseProbability: coldCases,
  cloudClearance_m: cloudClearance,
  visibility_m: visibility,
  visibilityHigh_m: visibilityHigh,
  listItems,
};
