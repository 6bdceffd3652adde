// A direction as it was said, on its way to degrees true FROM: what is open about it is asked.
import { zeroed } from '../../../base/plainNumbers.ts';
import type { ReportSource } from '../../../log/events.ts';
import { toPlace, type Place } from '../../../words/places.ts';
import { never } from '../../../base/problem.ts';
import { wrap180, wrap360, type LonLat } from '../../../base/units.ts';
import { octant } from '../../../words/winds.ts';
import { angle } from '../../../words/numbers.ts';
import type { DirectionPart, Parts } from './parts.ts';
import type { Open } from './open.ts';
import type { CompassPoint } from './vocabulary.ts';

/** Who reports, and where one stands to see what lies toward where. */
export interface Speaker {
  readonly source: ReportSource;
  readonly by: string | null;
  readonly vantage: LonLat;
}

export interface Said {
  readonly direction_deg: number;
  readonly std_deg: number;
}

/** A direction by landmark is good to some 10° (common practice: a fist at arm's length). */
const PLACE_STD_DEG = 10;
/** Below this, half of the finest step in which directions are given, true and magnetic are the same report. */
const SMALLEST_DECLINATION_DEG = 2.5;

/** Degrees FROM; null where it is still to be asked, or the line is refused. */
export function fromOf(parts: Parts, who: Speaker, open: Open): { from_deg: number; std_deg: number } | null {
  const [part, second] = parts.directions;
  if (part === undefined) return null;
  const sense = senseOf(part, parts, open);
  const said = degreesOf(part, parts, who, open);
  if (sense === null || said === null) return null;
  const from_deg = sense === 'from' ? said.direction_deg : wrap360(said.direction_deg + 180);
  if (second !== undefined) {
    const again = degreesOf(second, parts, who, open);
    if (again === null) return null;
    // "from 090 toward 270" says one thing twice, within the width of a compass point.
    const opposite = second.sense === 'from' ? again.direction_deg : wrap360(again.direction_deg + 180);
    if (Math.abs(wrap180(opposite - from_deg)) > Math.max(5, 2 * (said.std_deg + again.std_deg)))
      return open.refuse(`from ${angle(from_deg)} and from ${angle(opposite)} in one line; which is right?`);
  }
  return { from_deg, std_deg: said.std_deg };
}

/** Whether two directions can be one wind said from both its ends. */
export const saysBothEnds = ([a, b]: readonly DirectionPart[]): boolean =>
  (a?.sense === 'from' && b?.sense === 'toward') || (a?.sense === 'toward' && b?.sense === 'from');

/**
 * FROM or TOWARD, where the words leave no doubt. A bare direction names a wind by where it comes from, in every
 * weather format and in plain speech; beside a word of movement nobody can know, "to" without one may be the digit two,
 * and "into wind" is a way to fly.
 */
function senseOf(part: DirectionPart, parts: Parts, open: Open): 'from' | 'toward' | null {
  const ending = part.kind === 'compass' ? part.ending : null;
  if (part.sense === 'from' && !parts.turning) return 'from';
  // "toward the easterly" says both.
  if (part.sense === 'toward' && ending !== 'from') return 'toward';
  if (part.sense === 'to' && parts.moving && !parts.turning && ending !== 'from') return 'toward';
  if (part.sense === null && ending === 'toward') return 'toward';
  const doubtful = part.kind === 'name' || (part.kind === 'compass' && part.doubtful);
  if (part.sense === null && !parts.moving && !parts.turning && !doubtful) return 'from';
  if (open.answers.sense !== undefined) return open.answers.sense;
  const it = part.kind === 'name' ? 'it' : part.kind === 'degrees' ? `${part.digits}°` : 'there';
  return open.ask('from or toward', [
    { key: 'f', meaning: `the wind comes FROM ${it}`, resolves: { sense: 'from' } },
    { key: 't', meaning: `the air goes TOWARD ${it}`, resolves: { sense: 'toward' } },
  ]);
}

function degreesOf(part: DirectionPart, parts: Parts, who: Speaker, open: Open): Said | null {
  switch (part.kind) {
    case 'compass': {
      const found = part.other === null ? part.point : eastOrWest(part.point, part.other, open);
      // Uniform over the point's width: width/√12.
      return found === null ? null : { direction_deg: found.direction_deg, std_deg: found.step_deg / Math.sqrt(12) };
    }
    case 'name':
      return placeDegrees(part.names, who, open);
    case 'degrees': {
      const value = tens(part, open);
      const north = value === null ? null : northOf(part, parts, who, open);
      if (value === null || north === null) return null;
      if (north === 'true') return { direction_deg: value, std_deg: 0 };
      const declination = open.context.declination_deg;
      if (declination === null)
        return open.refuse('a magnetic direction, and the declination here is not known; enter it as true');
      const direction_deg = wrap360(value + declination);
      open.notes.push(`${part.digits}° magnetic is ${angle(direction_deg)} true`);
      return { direction_deg, std_deg: 0 };
    }
    default:
      return never(part);
  }
}

function eastOrWest(west: CompassPoint, east: CompassPoint, open: Open): CompassPoint | null {
  const { letterO } = open.answers;
  if (letterO !== undefined) return letterO === 'east' ? east : west;
  return open.ask('east or west', [
    { key: 'e', meaning: `${octant(east.direction_deg)} (German O)`, resolves: { letterO: 'east' } },
    { key: 'w', meaning: `${octant(west.direction_deg)} (French and Spanish O)`, resolves: { letterO: 'west' } },
  ]);
}

function placeDegrees(names: readonly string[], who: Speaker, open: Open): Said | null {
  const name = open.chosen(names);
  if (name === null) return null;
  const team = open.context.teams.find((one) => one.name === name);
  const at: Place | undefined =
    open.context.places.find((one) => one.name === name) ??
    (team === undefined ? undefined : { name, kind: 'team', points: [team.position] });
  const to = at === undefined ? null : toPlace(who.vantage, at);
  if (to === null || to.distance_m < 100)
    return open.refuse(`${name} is where the report comes from; it lies in no direction`);
  open.notes.push(`${name} bears ${angle(to.bearing_deg)} from there`);
  return { direction_deg: to.bearing_deg, std_deg: PLACE_STD_DEG };
}

type Degrees = Extract<DirectionPart, { kind: 'degrees' }>;

/** "27/10": 027° or the 27 of 270°. */
function tens(part: Degrees, open: Open): number | null {
  if (part.digits.length >= 3 || part.value > 36) return part.value;
  if (open.answers.digits !== undefined) return open.answers.digits === 'tens' ? part.value * 10 : part.value;
  return open.ask('degrees or tens', [
    { key: 'd', meaning: `${zeroed(part.value, 3)}°`, resolves: { digits: 'degrees' } },
    { key: 't', meaning: `${zeroed(part.value * 10, 3)}°`, resolves: { digits: 'tens' } },
  ]);
}

function northOf(part: Degrees, parts: Parts, who: Speaker, open: Open): 'true' | 'magnetic' | null {
  if (part.north !== null) return part.north;
  const voice = part.spoken || parts.voice || who.by !== null || who.source === 'crew' || who.source === 'aircraft';
  const declination = open.context.declination_deg;
  if (!voice || declination === null || Math.abs(declination) < SMALLEST_DECLINATION_DEG) return 'true';
  if (open.answers.north !== undefined) return open.answers.north;
  const shown = zeroed(part.value, 3);
  return open.ask('true or magnetic', [
    { key: 't', meaning: `${shown}° true`, resolves: { north: 'true' } },
    {
      key: 'm',
      meaning: `${shown}° magnetic, ${angle(wrap360(part.value + declination))} true`,
      resolves: { north: 'magnetic' },
    },
  ]);
}
