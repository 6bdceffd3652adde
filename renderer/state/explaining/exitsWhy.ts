// Where the numbers of the exits' comparison come from: times and places of exits, their chances, and the run headings.
// Carrier, zones and hazards stand in the plan's file: they have no field to lead to, so the sentence says what of them
// counts.
import type { Advice } from '../../../core/advice/advise.ts';
import { howSearched, type ExitOption } from '../../../core/advice/exits.ts';
import type { LimitName } from '../../../core/advice/limits.ts';
import { AS_GOOD, chanceOf, HEADING_EVERY_S, HEADING_STEP_DEG, type RunHeading } from '../../../core/advice/window.ts';
import { FLOAT_S, RUN_S, type Aircraft } from '../../../core/descent/carrier.ts';
import { LINE_HALF_WIDTH_M, shareOf } from '../../../core/descent/statistics.ts';
import { formatDegrees } from '../../../core/words/positions.ts';
import type { Mission } from '../../../core/plan/schema.ts';
import { never } from '../../../core/base/problem.ts';
import type { LonLat } from '../../../core/base/units.ts';
import { clock, duration } from '../../../core/words/times.ts';
import { direction, speed } from '../../../core/words/winds.ts';
import { distance, height } from '../../../core/words/lengths.ts';
import { number, quantity, THIN, type Units, angle, trimmed } from '../../../core/words/numbers.ts';
import { uncertainInputs } from './decideWhy.ts';
import type { Provenance } from '../stored/tellers.ts';
import { mslWords, noValue, type Input, type Told } from './provenance.ts';

export type ExitName = 'as planned' | 'window opens' | 'best on the line' | 'window closes' | 'best anywhere';
export type ExitColumn = 'time' | 'in zone' | 'hazards' | 'place';
export type HeadingColumn = 'heading' | 'in zone' | 'reach left' | 'good for';

/** An exit as it stands in the comparison. NaN: a chance that was not asked. */
export interface ComparedExit {
  readonly name: ExitName;
  readonly position: LonLat;
  readonly height_m: number;
  readonly time_s: number;
  readonly chance: number;
  /** One standard error of the chance. */
  readonly chanceError: number;
  readonly hazards: number;
  /** Descents flown from there; 0: those of the planned exit's sample, moved there. */
  readonly flown: number;
}

/** What the numbers were worked out from, and how they are said. */
export interface Compared {
  readonly advice: Advice;
  readonly mission: Mission;
  readonly units: Units;
}

/** Headings that are shown beside the one into the wind. */
export const HEADINGS_SHOWN = 4;

/** The exits that are worth a look, each with its name, in the order in which they are shown. */
export function comparedExits({ advice, mission }: Pick<Compared, 'advice' | 'mission'>): ComparedExit[] {
  const { planned, exits, anywhere, zone } = advice;
  const named = (name: ExitName, option: ExitOption | null | undefined): ComparedExit[] => {
    if (option === null || option === undefined) return [];
    const { lon_deg, lat_deg, height_m, time_s } = option.exit;
    const { flown, inHazard } = option;
    const chanceError = zone === null ? NaN : (option.inZone[zone]?.error ?? NaN);
    const chances = { chance: chanceOf(zone, option), chanceError, hazards: inHazard.p, flown };
    return [{ name, position: [lon_deg, lat_deg], height_m, time_s, ...chances }];
  };
  const elsewhere = (place: NonNullable<Advice['anywhere']>): ComparedExit => ({
    name: 'best anywhere',
    position: place.position,
    height_m: mission.exit.altitude_m,
    time_s: Date.parse(mission.exit.time) / 1000,
    chance: place.share,
    chanceError: place.error,
    hazards: NaN,
    flown: place.flown,
  });
  return [
    ...named('as planned', planned),
    ...named('window opens', exits.ends?.opens),
    // Without a zone to land in no exit is better than another.
    ...named('best on the line', zone === null ? null : exits.best),
    ...named('window closes', exits.ends?.closes),
    ...(anywhere === null ? [] : [elsewhere(anywhere)]),
  ];
}

/** Why an exit has no number in a column; null where it has one. */
export function missingOf(
  { mission }: Pick<Compared, 'mission'>,
  exit: ComparedExit,
  column: ExitColumn,
): string | null {
  const none =
    (mission.landingZones ?? []).length === 0 ? 'the plan names no zone' : 'no drawn descent reaches the ground';
  if (column === 'in zone') return Number.isNaN(exit.chance) ? none : null;
  if (column !== 'hazards' || !Number.isNaN(exit.hazards)) return null;
  return exit.name === 'best anywhere'
    ? 'the place is sought for the zone alone'
    : 'no drawn descent reaches the ground';
}

export function exitWhy(of: Compared, exit: ComparedExit, column: ExitColumn): Provenance {
  const key = `exit/${exit.name}/${column}`;
  const title = `${exit.name.charAt(0).toUpperCase()}${exit.name.slice(1)}, ${columnWords(of, column)}`;
  const missing = missingOf(of, exit, column);
  if (missing !== null) return { key, title, ...noValue(missing) };
  switch (column) {
    case 'time':
      return { key, title, ...timeOf(of, exit) };
    case 'place':
      return { key, title, ...placeOf(of, exit) };
    case 'in zone': {
      const counted =
        `${countWords(drawnFor(of, exit), exit.chance)} come down in ${of.advice.zone}, ` +
        `${errorWords(drawnFor(of, exit), exit.chance)}.`;
      return { key, title, sentence: `${counted} ${sampleWords(of, exit)}`, inputs: sampleInputs(of, exit) };
    }
    case 'hazards': {
      const none = (of.mission.hazards ?? []).length === 0 ? 'The plan names no hazard. ' : '';
      const counted =
        `${none}${countWords(drawnFor(of, exit), exit.hazards)} come down in a hazard (${hazardRule(of.units)}), ` +
        `${errorWords(drawnFor(of, exit), exit.hazards)}.`;
      return { key, title, sentence: `${counted} ${sampleWords(of, exit)}`, inputs: sampleInputs(of, exit) };
    }
    default:
      return never(column);
  }
}

/** In flight no exit is compared: the chance is that of the descent that is expected. */
export function flownChanceWhy(of: Compared, p: number): Provenance {
  const { drawn, zone, basis } = of.advice;
  return {
    key: `share/${zone}`,
    title: zone ?? '',
    sentence: `${countWords(drawn, p)} come down there, ${errorWords(drawn, p)}. ${basis ?? ''}`.trim(),
    inputs: uncertainInputs(of.mission, of.units),
  };
}

const columnWords = ({ advice }: Compared, column: ExitColumn): string =>
  column === 'in zone'
    ? advice.zone === null
      ? 'chance of the zone'
      : `chance of ${advice.zone}`
    : column === 'hazards'
      ? 'chance of a hazard'
      : column;

// Times and places

function timeOf(of: Compared, exit: ComparedExit): Told {
  switch (exit.name) {
    case 'as planned':
      return { sentence: 'The exit time of the plan.', inputs: [timeInput(of)] };
    case 'best anywhere':
      return { sentence: 'The exit time of the plan: only another place is sought.', inputs: [timeInput(of)] };
    case 'best on the line':
      return { sentence: `${bestWords(of)} ${carrierWords(of)}`, inputs: lineInputs(of) };
    case 'window opens':
    case 'window closes':
      return {
        sentence: `${edgeWords(of, exit.name)} ${carrierWords(of)}`,
        inputs: [...limitInputs(of), ...lineInputs(of)],
      };
    default:
      return never(exit.name);
  }
}

function placeOf(of: Compared, exit: ComparedExit): Told {
  switch (exit.name) {
    case 'as planned':
      return { sentence: 'The exit position of the plan.', inputs: [positionInput(of)] };
    case 'best anywhere':
      return { sentence: searchWords(of), inputs: sampleInputs(of, exit) };
    case 'best on the line':
    case 'window opens':
    case 'window closes':
      return {
        sentence: `Where the carrier is at ${clock(exit.time_s, of.units)}. ${carrierWords(of)}`,
        inputs: carrierInputs(of),
      };
    default:
      return never(exit.name);
  }
}

/** How many exits of the carrier's line are asked, and how far apart. */
function askedWords({ advice }: Compared): string {
  const { options } = advice.exits;
  const steps = options.slice(1).map((option, i) => option.exit.time_s - (options[i]?.exit.time_s ?? NaN));
  return (
    `Of ${number(options.length)} exits asked on the carrier’s ` +
    `line${steps.length === 0 ? '' : `, one every ${quantity(Math.min(...steps), 's')}`}`
  );
}

function bestWords(of: Compared): string {
  const { zone } = of.advice;
  const equals = homes(of)
    ? `canopy reaches farthest past the middle of ${zone}`
    : `landings lie nearest to the middle of ${zone}`;
  return (
    `${askedWords(of)}, this one has the largest chance of ${zone} less that of a hazard; of equals, the one ` +
    `whose ${equals}, in the mean.`
  );
}

function edgeWords(of: Compared, name: 'window opens' | 'window closes'): string {
  const { window, options } = of.advice.exits;
  const [edge_s, end_s, from, way] =
    name === 'window opens'
      ? [window?.opens_s ?? NaN, options[0]?.exit.time_s, 'back', 'first']
      : [window?.closes_s ?? NaN, options.at(-1)?.exit.time_s, 'on', 'last'];
  const zone = `the chance of ${of.advice.zone}`;
  const kept =
    `keeps its limit of at least ${limitWords(of, 'zoneProbability')} and that of a hazard its limit of at ` +
    `most ${limitWords(of, 'hazardProbability')}`;
  const moment = `The window ${name.slice('window '.length)} at ${clock(edge_s, of.units)}`;
  return edge_s === end_s
    ? `${moment}, the ${way} moment of the line: from the best exit ${from} to it, ${zone} ${kept}.`
    : `${moment}: from the best exit ${from} to that moment, ${zone} ${kept}. ${askedWords(of)}, the estimate says ` +
        'about where; descents flown there say exactly.';
}

function searchWords(of: Compared): string {
  const { anywhere, zone } = of.advice;
  const how = howSearched(zone ?? '', homes(of));
  return anywhere === null
    ? how
    : `${how} It lies ${awayWords(anywhere.away_m, anywhere.bearing_deg, of.units)} from the planned exit.`;
}

/** Where the carrier's line comes from. */
function carrierWords(of: Compared): string {
  const { carrier } = of.mission;
  if (carrier === undefined) return '';
  if (carrier.kind === 'aircraft') return runWords(of, carrier);
  const { launch, float_m, float_s = FLOAT_S } = carrier;
  const launched = clock(Date.parse(launch.time) / 1000, of.units);
  return (
    `The balloon’s way is reckoned from its launch at ${launched} with the analysed wind of each height it ` +
    `passes; exits are asked from when it reaches ${mslWords(float_m, of.units)}, for ${duration(float_s)}.`
  );
}

function runWords(
  of: Compared,
  { altitude_m, airspeed_mps, time, run_s = RUN_S, heading_deg, through }: Aircraft,
): string {
  const place = through === undefined ? 'the exit position' : 'the place that the plan gives it';
  const way = heading_deg === undefined ? 'into the analysed wind' : `heading ${direction(heading_deg)}`;
  const middle = clock(Date.parse(time) / 1000, of.units);
  return (
    `The run lasts ${duration(run_s)} and is over ${place} at ${middle}, its middle: ${way}, at ` +
    `${speed(airspeed_mps, of.units)} through the air, ${mslWords(altitude_m, of.units)}.`
  );
}

const awayWords = (away_m: number, bearing_deg: number, units: Units): string =>
  away_m < 10 ? `less than ${distance(10, units)}` : `${distance(away_m, units)} toward ${direction(bearing_deg)}`;

// Chances

/** "1873 of 2000 drawn descents" */
export const countWords = (drawn: number, p: number): string =>
  `${number(Math.round(p * drawn))} of ${number(drawn)} drawn descents`;

export const errorWords = (drawn: number, p: number): string =>
  `± ${number(100 * shareOf(Math.round(p * drawn), drawn).error, 1)}${THIN}% by the size of the sample ` +
  'alone, one standard error';

/** When a landing is counted as one in a hazard. */
export const hazardRule = (units: Units): string =>
  `inside its outline, or within ${distance(LINE_HALF_WIDTH_M, units)} plus its own height of its line`;

/** Whether each drawn canopy is steered for the zone; without one even a canopy that homes drifts. */
function homes({ advice, mission }: Pick<Compared, 'advice' | 'mission'>): boolean {
  const policy = mission.jumper.canopy?.steering?.policy;
  return advice.zone !== null && (policy === 'to target' || policy === 'pattern');
}

/** The one sample that answers for every exit, and what is done to it for this one. */
/** Of how many drawn descents a chance is counted. */
const drawnFor = ({ advice }: Compared, exit: ComparedExit): number => (exit.flown > 0 ? exit.flown : advice.drawn);

function sampleWords(of: Compared, exit: ComparedExit): string {
  if (exit.flown > 0) return flownWords(of, exit);
  return (
    'They were drawn about the planned exit, each with its own wind, body, canopy and ' +
    `exit${homes(of) ? ', its canopy left to drift' : ''}, and are moved together ${movedWords(of)}.${homingWords(of)}`
  );
}

function flownWords(of: Compared, exit: ComparedExit): string {
  const atEnd = exit.name === 'window opens' || exit.name === 'window closes';
  const steered = homes(of) ? `, its canopy steered to ${of.advice.zone}` : '';
  return (
    `They were flown from ${atEnd ? 'within seconds of this exit' : 'this exit'}, each with its own wind, body, canopy ` +
    `and exit${steered}.`
  );
}

function homingWords(of: Compared): string {
  if (!homes(of)) return '';
  const less =
    of.mission.jumper.canopy?.steering?.policy === 'pattern' ? ', less what the height of its pattern takes' : '';
  return (
    ` From where it would drift down, each is brought toward the middle of ${of.advice.zone} as far as its own ` +
    `glide from the opening allows${less}.`
  );
}

function movedWords({ advice, units }: Compared): string {
  const { anywhere } = advice;
  const by = anywhere === null ? '' : `by ${awayWords(anywhere.away_m, anywhere.bearing_deg, units)}, `;
  return `${by}as far as this place lies from the planned exit, without flying them again`;
}

// Run headings

export function headingWhy(of: Compared, run: RunHeading, column: HeadingColumn): Provenance {
  const { mission, advice } = of;
  const name = run.intoWind ? 'Into the wind' : `Heading ${direction(run.heading_deg)}`;
  const key = headingKey(run, column);
  const title = `${name}, ${column === 'in zone' ? `chance of ${advice.zone ?? 'the zone'}` : column}`;
  const carrier = mission.carrier;
  const inputs = [...carrierInputs(of), ...sampleInputs(of, null)];
  if (carrier?.kind !== 'aircraft') return { key, title, ...noValue('the plan names no aircraft') };
  if (column === 'heading') return { key, title, sentence: headingWords(of, run, carrier), inputs: carrierInputs(of) };
  if (advice.zone === null) return { key, title, ...noValue('the plan names no zone') };
  return { key, title, sentence: runNumberWords(of, run, column, carrier), inputs };
}

export const headingKey = ({ heading_deg, intoWind }: RunHeading, column: HeadingColumn): string =>
  `run/${intoWind ? 'into the wind' : heading_deg}/${column}`;

function headingWords(of: Compared, { intoWind }: RunHeading, carrier: Aircraft): string {
  const wind = `${mslWords(carrier.altitude_m, of.units)} and ${clock(Date.parse(carrier.time) / 1000, of.units)}`;
  const where = carrier.through === undefined ? 'over the exit position' : 'over the place that the plan gives the run';
  if (intoWind) return `Where the analysed wind ${where} blows from, at ${wind}; north in a calm. True, not magnetic.`;
  return (
    `Compared are the headings every ${angle(HEADING_STEP_DEG)} and the one into the wind; shown are the first ` +
    `${HEADINGS_SHOWN} and that one, in the order of the chance of the zone, then of how long they stay good, ` +
    'then of the reach that is left. It is where the aircraft’s nose points, true.'
  );
}

function runNumberWords(
  of: Compared,
  run: RunHeading,
  column: Exclude<HeadingColumn, 'heading'>,
  carrier: Aircraft,
): string {
  const { advice, units } = of;
  const { run_s = RUN_S, airspeed_mps } = carrier;
  const asked =
    `one moment every ${HEADING_EVERY_S}${THIN}s of the ${duration(run_s)} on this heading, at ` +
    `${speed(airspeed_mps, units)} through the air`;
  const drift = homes(of) ? 'drift landing' : 'landing';
  switch (column) {
    case 'in zone':
      return (
        `${countWords(of.advice.drawn, run.share)} come down in ${advice.zone} from the best exit of this run, ` +
        `${errorWords(of.advice.drawn, run.share)}. Asked is ${asked}. They were drawn about the planned exit, ` +
        `and are moved together as far as the predicted ${drift}, flown from the middle of the run, lies from ` +
        `that of the planned exit, and on by the way over the ground to the moment asked.${homingWords(of)}`
      );
    case 'reach left':
      return homes(of)
        ? `For the best exit of this run: how much farther a canopy reaches than the middle of ${advice.zone} ` +
            `lies from where it would drift down, the mean of ${number(advice.drawn)} drawn descents; below 0 ` +
            `the middle is out of reach. Asked is ${asked}.`
        : `For the best exit of this run, below 0: how far the landings lie from the middle of ${advice.zone}, ` +
            `the mean of ${number(advice.drawn)} drawn descents. This plan does not steer for a zone, so nothing ` +
            `is left of a reach. Asked is ${asked}.`;
    case 'good for': {
      const moments = number(run.goodFor_s / HEADING_EVERY_S);
      return (
        `${moments} moments of this run, ${HEADING_EVERY_S}${THIN}s each, have a chance of ${advice.zone} that ` +
        `is at most ${number(100 * AS_GOOD)} in 100 below the best one’s: the exit may be early or late by ` +
        `that much in all. Asked is ${asked}.`
      );
    }
    default:
      return never(column);
  }
}

// Inputs, each with its field

const positionInput = ({ mission }: Compared): Input => ({
  label: 'exit at',
  value: formatDegrees(mission.exit.position, 4),
  field: 'exit.position',
});

const timeInput = (of: Compared): Input => ({
  label: 'exit time',
  value: clock(Date.parse(of.mission.exit.time) / 1000, of.units),
  field: 'exit.time',
});

const heightInput = ({ mission, units }: Compared): Input => ({
  label: 'from',
  value: height(mission.exit.altitude_m, units, mission.site.elevation_m),
  field: 'exit.height',
});

/** A run goes over the planned exit unless the plan gives it another place. */
function carrierInputs(of: Compared): Input[] {
  const { carrier } = of.mission;
  return carrier?.kind === 'aircraft' && carrier.through === undefined ? [positionInput(of)] : [];
}

function limitWords({ advice }: Compared, name: LimitName): string {
  const limit = advice.limits.find((one) => one.limit.name === name)?.limit.number ?? NaN;
  return `${trimmed(100 * limit, 1)}${THIN}%`;
}

const limitInputs = (of: Compared): Input[] => [
  { label: 'chance of the zone, at least', value: limitWords(of, 'zoneProbability'), field: 'limits.zoneProbability' },
  {
    label: 'chance of a hazard, at most',
    value: limitWords(of, 'hazardProbability'),
    field: 'limits.hazardProbability',
  },
];

const lineInputs = (of: Compared): Input[] => [...carrierInputs(of), ...sampleInputs(of, null)];

/**
 * What the sample depends on. `exit`: null for one that moves with the carrier, whose place and time are not the
 * plan's.
 */
function sampleInputs(of: Compared, exit: ComparedExit | null): Input[] {
  const canopy = of.mission.jumper.canopy;
  const steering =
    canopy === undefined
      ? []
      : [{ label: 'steering', value: canopy.steering?.policy ?? 'drift', field: 'canopy.policy' }];
  const target =
    homes(of) && of.advice.zone !== null ? [{ label: 'target', value: of.advice.zone, field: 'canopy.zone' }] : [];
  const planned =
    exit?.name === 'as planned'
      ? [positionInput(of), heightInput(of), timeInput(of)]
      : exit?.name === 'best anywhere'
        ? [heightInput(of), timeInput(of)]
        : [];
  return [...planned, ...steering, ...target, ...uncertainInputs(of.mission, of.units)];
}
