// Where the numbers come from of what else comes down (gondola and envelope: release, touchdown, size, how near they
// come to the jumper) and of an exit on the way up. The plan's file has carrier, gondola and envelope; they have no
// field to lead to.
import { AIR_SEPARATION_M, GROUND_SEPARATION_M, type Separation } from '../../../core/recovery/gondola.ts';
import type { Passing } from '../../../core/recovery/meeting.ts';
import type { Where } from '../../../core/recovery/where.ts';
import type { Landing } from '../../../core/descent/prediction.ts';
import type { ExitState } from '../../../core/descent/flight.ts';
import type { World } from '../../../core/descent/scenario.ts';
import { inverse } from '../../../core/earth/geodesic.ts';
import { formatDegrees } from '../../../core/words/positions.ts';
import { GONDOLA_AFTER_S } from '../../../core/mission/cases.ts';
import type { MissionState } from '../../../core/log/fold.ts';
import type { Mission } from '../../../core/plan/schema.ts';
import { never } from '../../../core/base/problem.ts';
import type { BodyShown } from '../../../core/work/recoveryWork.ts';
import type { LonLat } from '../../../core/base/units.ts';
import { sizeSentence, uncertainInputs } from './decideWhy.ts';
import { clock, duration } from '../../../core/words/times.ts';
import { direction } from '../../../core/words/winds.ts';
import { distance, lengthUp } from '../../../core/words/lengths.ts';
import { number, THIN, type Units, capital } from '../../../core/words/numbers.ts';
import { whereWords } from '../../../core/recovery/where.ts';
import { provenanceOf, windsInput, mslWords, noValue, type Input, type Told } from './provenance.ts';
import type { Provenance } from '../stored/tellers.ts';

export type FallingBody = Extract<BodyShown, { kind: 'falls' }>;
export type BodyColumn = 'released' | 'down' | 'size';
export type ApartColumn = 'air' | 'canopy' | 'ground';

/** What the numbers were worked out from, and how they are said. */
export interface OthersOf {
  readonly mission: Mission;
  readonly marks: MissionState['marks'];
  readonly world: World | null;
  readonly units: Units;
}

const at = ({ units }: Pick<OthersOf, 'units'>, time_s: number): string => clock(time_s, units);

// Gondola and envelope

export const bodyKey = ({ name }: Pick<FallingBody, 'name'>, column: BodyColumn): string => `body/${name}/${column}`;

const columnTitles: Readonly<Record<BodyColumn, string>> = {
  released: 'release',
  down: 'touchdown',
  size: `90${THIN}% within`,
};

export function bodyWhy(of: OthersOf, body: FallingBody, column: BodyColumn): Provenance {
  return {
    key: bodyKey(body, column),
    title: `${capital(body.name)}, ${columnTitles[column]}`,
    ...bodyTold(of, body, column),
  };
}

function bodyTold(of: OthersOf, body: FallingBody, column: BodyColumn): Told {
  const { mission, units, world } = of;
  const { release, landing, name } = body;
  const from = `${at(of, release.time_s)}, when it is let go at ${mslWords(release.height_m, units)}`;
  const inputs = [...exitInputs(of), ...(world === null ? [] : [windsInput(mission, world.wind)])];
  switch (column) {
    case 'released':
      return { sentence: `${releaseWords(of)} ${placeWords(of, body)}`, inputs: exitInputs(of) };
    case 'down': {
      if (landing === null) return noValue('it does not reach the ground within the time flown', inputs);
      const ground = `the ground, ${mslWords(landing.elevation_m, units)} there`;
      return {
        sentence:
          `${from}, and ${duration(landing.after_s)} down to ${ground}: predicted in the analysed wind, with ` +
          `the mass and the stages that the plan gives the ${name}.`,
        inputs,
      };
    }
    case 'size': {
      if (body.ellipse90 === null) return noValue('no drawn descent reaches the ground', inputs);
      const drawn = 'Each was flown with its own wind, body and release, drawn about the plan by the uncertainties.';
      return {
        sentence:
          `${sizeSentence('90', body.drawn)} ${drawn} The long axis lies ` +
          `${direction(body.ellipse90.bearing_deg)} true.`,
        inputs: uncertainInputs(mission, units),
      };
    }
    default:
      return never(column);
  }
}

/** By what `releaseTime_s` goes. */
function releaseWords(of: OthersOf): string {
  const { mission, marks } = of;
  if (marks.has('release')) return 'The time of the release that is in the log.';
  const release = mission.gondola?.release;
  if (release !== undefined && 'time' in release) return 'The time of the release that the plan gives.';
  const left = marks.get('exit');
  const after_s = release?.after_s ?? GONDOLA_AFTER_S;
  const exit_s = left?.time_s ?? Date.parse(mission.exit.time) / 1000;
  const own = release === undefined ? ', this program’s own as the plan names none' : ' by the plan';
  const whose = left === undefined ? 'planned exit' : 'exit in the log';
  return `${duration(after_s)} after the ${whose} at ${at(of, exit_s)}${own}.`;
}

function placeWords({ marks, units }: OthersOf, { release }: FallingBody): string {
  const place = `${formatDegrees(release.position, 4)}, ${mslWords(release.height_m, units)}`;
  const logged = marks.get('release');
  if (logged?.position !== undefined && logged.height_m !== undefined)
    return `It is let go at ${place}, as the log has it.`;
  return `The balloon is then at ${place}, by the way that it is taken to go.`;
}

/** The exit's time where the release counts from the planned exit. */
function exitInputs(of: OthersOf): Input[] {
  const { mission, marks } = of;
  const release = mission.gondola?.release;
  if (marks.has('release') || marks.has('exit') || (release !== undefined && 'time' in release)) return [];
  return [{ label: 'exit time', value: at(of, Date.parse(mission.exit.time) / 1000), field: 'exit.time' }];
}

export const apartKey = (name: FallingBody['name'], column: ApartColumn): string => `apart/${name}/${column}`;

export function apartWhy(
  of: OthersOf,
  name: FallingBody['name'],
  separation: Separation,
  column: ApartColumn,
): Provenance {
  const { mission, units, world } = of;
  const { closest, closestUnderCanopy, together } = separation;
  const inputs = [...exitInputs(of), ...(world === null ? [] : [windsInput(mission, world.wind)])];
  const key = apartKey(name, column);
  switch (column) {
    case 'air':
      return {
        key,
        title: `Jumper and ${name}, nearest in the air`,
        sentence: meetingWords(of, name, closest, together, ''),
        inputs,
      };
    case 'canopy': {
      const title = `Open canopy and ${name}, nearest in the air`;
      return {
        key,
        title,
        sentence: meetingWords(of, name, closestUnderCanopy, together, ' from the opening on'),
        inputs,
      };
    }
    case 'ground':
      return { key, title: `Landings of jumper and ${name}`, sentence: groundWords(units, name, separation), inputs };
    default:
      return never(column);
  }
}

function meetingWords(
  of: OthersOf,
  name: string,
  nearest: Passing | null,
  together: Separation['together'],
  since: string,
): string {
  if (nearest === null || together === null)
    return `There is no value: jumper and ${name} are never in the air together${since}.`;
  const { units } = of;
  const side = nearest.above_m >= 0 ? 'above' : 'below';
  const parts =
    `${distance(nearest.horizontal_m, units)} across, the ${name} ` +
    `${lengthUp(Math.abs(nearest.above_m), units)} ${side} the jumper`;
  const both = `They are in the air together from ${at(of, together.from_s)} to ${at(of, together.to_s)}`;
  return (
    `At ${at(of, nearest.time_s)} the two predicted ways are nearest${since}: ${parts}, together ` +
    `${distance(nearest.distance_m, units)} in a straight line. ${both}; both ways run straight between points ` +
    `a second apart, and nothing of their spread is in it. Less than ${distance(AIR_SEPARATION_M, units)} is ` +
    'warned of.'
  );
}

function groundWords(units: Units, name: string, { landings, landingsNear }: Separation): string {
  if (landings === null) return 'There is no value: one of the two does not reach the ground.';
  const near = Number.isNaN(landingsNear)
    ? ''
    : ' Of all pairs of their drawn landings, drawn one apart from the other, ' +
      `${number(100 * landingsNear, 1)}${THIN}% lie nearer than ${distance(GROUND_SEPARATION_M, units)}.`;
  return (
    `From the predicted landing of the jumper to that of the ${name}, toward ` +
    `${direction(landings.bearing_deg)} true, by the geodesic on WGS 84.${near} Less than ` +
    `${distance(GROUND_SEPARATION_M, units)} is warned of.`
  );
}

// An exit on the way up

export type AscentColumn = 'time' | 'touchdown' | 'away' | 'where';

export interface AscentOf extends Pick<OthersOf, 'mission' | 'world' | 'units'> {
  readonly exit: ExitState;
  readonly landing: Landing;
  /** The landing that is predicted without this exit. */
  readonly planned: LonLat | null;
  readonly where: Where;
}

export const ascentKey = (column: AscentColumn): string => `ascent/${column}`;

const ascentTitles: Readonly<Record<AscentColumn, string>> = {
  time: 'time to the ground',
  touchdown: 'touchdown',
  away: 'from the planned landing',
  where: 'landing',
};

export function ascentWhy(of: AscentOf, column: AscentColumn): Provenance {
  const { mission, units, world, exit, landing } = of;
  const where = column === 'away' || column === 'where';
  // The exit is the balloon's: the plan's place, height and time do not count.
  const inputs = provenanceOf(where ? 'landing' : 'touchdown', mission, world?.wind ?? null, units).inputs.filter(
    ({ field }) => !field.startsWith('exit.'),
  );
  const leaves =
    `The balloon passes ${mslWords(exit.height_m, units)} on its way up at ${at(of, exit.time_s)}, at ` +
    `${formatDegrees([exit.lon_deg, exit.lat_deg], 4)}, straight between the points of its way; the exit has ` +
    'its speed. From there the descent is predicted with the plan’s body and canopy, in the analysed wind as ' +
    'the reports leave it over the site.';
  return {
    key: ascentKey(column),
    title: `Exit on the way up, ${ascentTitles[column]}`,
    sentence: `${ascentWords(of, column, landing)} ${leaves}`,
    inputs,
  };
}

function ascentWords(of: AscentOf, column: AscentColumn, landing: Landing): string {
  const { units, exit, planned, where } = of;
  const place = formatDegrees(landing.position, 4);
  const down_s = exit.time_s + landing.time_s;
  switch (column) {
    case 'time':
      return `From the exit at ${at(of, exit.time_s)} to the touchdown at ${at(of, down_s)}.`;
    case 'touchdown':
      return `${at(of, exit.time_s)}, the exit on the way up, and ${duration(landing.time_s)} down to the ground.`;
    case 'away': {
      if (planned === null) return 'There is no value: no landing is predicted to count from.';
      const { distance_m, bearing_deg } = inverse(planned, landing.position);
      return (
        `From the landing as it is predicted now, ${formatDegrees(planned, 4)}, to this one, ${place}: ` +
        `${distance(distance_m, units)} toward ${direction(bearing_deg)} true, by the geodesic on WGS 84.`
      );
    }
    case 'where':
      return (
        `It comes down at ${place}. ` +
        `${whereWords(where, units)}${where.kind === 'no zones' ? '' : ', the shortest way to the edge on WGS 84'}.`
      );
    default:
      return never(column);
  }
}
