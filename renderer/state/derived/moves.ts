// The words of what moved the landing, and the landings before the one that is shown: the trail on the map.
import { landmarksOf } from '../../../core/plan/places.ts';
import { landmarkToward } from '../../../core/words/places.ts';
import { never } from '../../../core/base/problem.ts';
import type { LonLat } from '../../../core/base/units.ts';
import { inverse } from '../../../core/earth/geodesic.ts';
import type { Correction, LogEvent, WindReport } from '../../../core/log/events.ts';
import type { Situation } from '../../../core/mission/situation.ts';
import type { Mission } from '../../../core/plan/schema.ts';
import { age } from '../../../core/words/times.ts';
import { direction, octant } from '../../../core/words/winds.ts';
import { distance } from '../../../core/words/lengths.ts';
import type { Units } from '../../../core/words/numbers.ts';
import type { Move } from '../stored/reportsView.ts';

/** Landings that differ less are the same: predictions are given to ten metres. */
export const SAME_M = 5;
export const TRAIL_S = 7200;
export const PLAN = 'the plan changed: ';
export const movedBy_m = ({ from, to }: Move): number =>
  from === null || to === null ? NaN : inverse(from, to).distance_m;

/** Why an event changed the winds, after "because"; `now` is the mission with it in. */
export function becauseOf(event: LogEvent, now: Situation): string {
  switch (event.kind) {
    case 'wind-report': {
      return heldSentence(event.seq, now) ?? `${windOf(event)} came in${replacedBy(event.seq, now)}`;
    }
    case 'correction':
      return heldSentence(event.seq, now) ?? `${event.corrects} was corrected to ${event.id}`;
    case 'withdrawal':
      return `${event.of} was withdrawn${event.reason === undefined ? '' : `: ${event.reason}`}`;
    case 'confirmation':
      return `${event.of} was confirmed`;
    case 'annulment':
      return `event ${event.of} was annulled${event.reason === undefined ? '' : `: ${event.reason}`}`;
    case 'mark':
      return `the ${event.mark} was marked`;
    case 'fix':
      return (
        `a fix of ${event.body === 'jumper' || event.body === 'gondola' ? `the ${event.body}` : event.body} ` +
        'came in'
      );
    case 'advice':
    case 'decision':
    case 'call':
    case 'check':
    case 'silence':
    case 'note':
      return 'the log went on';
    default:
      return never(event);
  }
}

/** "Team 2’s wind (w6)", "the wind of a station at Salt Flat North (w7)". */
function windOf({ by, source, place, id }: WindReport | Correction): string {
  if (by !== undefined) return `${by}’s wind (${id})`;
  const kind = source.replace('-', ' ');
  return `the wind of ${/^[aeiou]/.test(kind) ? 'an' : 'a'} ${kind}${place === undefined ? '' : ` at ${place}`} (${id})`;
}

function heldSentence(seq: number, { winds }: Situation): string | null {
  const held = winds.held.find((one) => one.report.seq === seq);
  return held === undefined ? null : `${held.report.id} came in and is held back`;
}

/**
 * ", newer by 40 min than the station’s (w4)": the surface wind that was the newest before, where this one is a newer
 * one.
 */
function replacedBy(seq: number, { state, winds }: Situation): string {
  if (winds.newestSurface?.report.seq !== seq) return '';
  let before: (typeof state.counting)[number] | null = null;
  for (const one of state.counting) {
    if (one.seq !== seq && winds.used.has(one.id) && (before === null || one.observed_s > before.observed_s))
      before = one;
  }
  if (before === null) return '';
  const newer_s = winds.newestSurface.report.observed_s - before.observed_s;
  return newer_s < 60 ? '' : `, ${age(newer_s)} newer than ${windOf(before.event)}`;
}

/** "Saltbell North: inside before, now 40 m outside"; null where the answer is the same. */
export function zoneChange({ where: { before, after } }: Move, units: Units): string | null {
  if (before === null || after === null || before.kind === 'no zones' || after.kind === 'no zones') return null;
  if (before.kind === after.kind && before.zone === after.zone) return null;
  if (after.kind === 'inside') return `now inside ${after.zone}`;
  const was = before.kind === 'inside' ? before.zone : after.zone;
  return `now ${distance(after.short_m, units)} outside ${after.zone}${was === after.zone ? '' : `, before in ${was}`}`;
}

/**
 * "Landing moved 410 m toward 075° (Long Ridge side) because Team 2's wind (w6) came in; now outside Salt Flat North".
 */
export function moveWords(move: Move, mission: Mission, units: Units): string {
  const { from, to, because } = move;
  const changes = [zoneChange(move, units), ...move.limits].filter((one) => one !== null);
  const after = changes.length === 0 ? '' : `; ${changes.join('; ')}`;
  if (from === null || to === null) {
    if (to === null) return `No landing is predicted any more because ${because}${after}.`;
    return `A landing is predicted because ${because}${after}.`;
  }
  const { distance_m, bearing_deg } = inverse(from, to);
  if (!(distance_m >= SAME_M)) return `Landing stays where it was: ${because}${after}.`;
  const side = landmarkToward(landmarksOf(mission), from, bearing_deg);
  const toward = `${direction(bearing_deg)} (${octant(bearing_deg)}${side === null ? '' : `, ${side} side`})`;
  return `Landing moved ${distance(distance_m, units)} toward ${toward}, because ${because}${after}.`;
}

/**
 * The landings before the one that is shown, oldest first, as they were known at a moment: for the trail on the map.
 */
export function trailAt(
  moves: readonly Move[],
  shown_s: number,
): { readonly position: LonLat; readonly age_s: number; readonly label: string }[] {
  return moves.flatMap((move) => {
    const age_s = shown_s - move.at_s;
    if (move.from === null || !(age_s >= 0 && age_s <= TRAIL_S) || movedBy_m(move) < SAME_M) return [];
    return [{ position: move.from, age_s, label: `before ${labelOf(move)}` }];
  });
}

const labelOf = ({ seq, because }: Move): string =>
  seq === null ? because.replace(PLAN, '') : (because.split(/[,:]/)[0] ?? because);
