// How a helicopter comes to the jumper: when it leaves its standby, round what is kept clear to the hold, from there by
// the final (`final.ts`), how near it comes to the canopy on its way. Every way has passed the one check of its
// corridor. Advisory only: the pilot decides. Metres, m/s, times s since 1970, headings degrees true.
import { inverse } from '../earth/geodesic.ts';
import type { Outlook } from '../descent/outlook.ts';
import { clock, roughDuration } from '../words/times.ts';
import { distance, lengthUp } from '../words/lengths.ts';
import { angle } from '../words/numbers.ts';
import type { LonLat } from '../base/units.ts';
import { directionWords } from '../words/winds.ts';
import { breaks, levelFlight, type WayPoint } from './corridor.ts';
import type { Crew } from './crews.ts';
import type { Detour } from './detour.ts';
import { finalFor, GATHER_S, offWind_deg, type Final } from './final.ts';
import { detourOf } from './holdFlight.ts';
import { meetingOf, type BodyPath, type Passing } from './meeting.ts';
import type { Point } from '../earth/plane.ts';
import type { Scene } from './scene.ts';
import { marginOf } from './margin.ts';

/**
 * Nearer to an open canopy than this, seen from above, is warned of: 1000 ft, the larger of weak figures
 * (`keepClear.ts`).
 */
const NEAR_M = 304.8;

export interface Approach extends Final {
  readonly crew: Crew;
  /** The predicted landing. */
  readonly jumper: LonLat;
  /** From the standby to the hold; times from leaving. */
  readonly toHold: readonly WayPoint[];
  readonly toHold_s: number;
  readonly fromHold_s: number;
  readonly leave: {
    readonly at_s: number;
    readonly on: 'canopy open and seen' | 'touchdown called';
    readonly why: string;
  };
  /** At the jumper, when it goes by the clock. */
  readonly arrives_s: number;
  /** To the open canopy, on the way to the hold and there; null where no canopy opens or they are never up together. */
  readonly nearest: Passing | null;
  readonly warnings: readonly string[];
  readonly sentences: readonly string[];
}

export type ApproachFound =
  { readonly kind: 'approach'; readonly approach: Approach } | { readonly kind: 'none'; readonly why: string };

/** The approach of a helicopter from a standby, or why none is flown. */
export function approachOf(scene: Scene, outlook: Outlook, crew: Crew, standby: LonLat): ApproachFound {
  const found = finalFor(scene, crew, outlook);
  const { landing } = outlook.prediction;
  if (found.kind === 'none' || landing === null)
    return { kind: 'none', why: found.kind === 'none' ? found.why : 'no landing is predicted' };
  const { final } = found;
  const toHold = flightRound(scene, crew, { from: scene.frame.toLocal(standby), to: final.hold }, final.way[0]?.up_m);
  if (typeof toHold === 'string') return { kind: 'none', why: `the way to the hold is not open: ${toHold}` };
  const touchdown_s = outlook.scenario.exit.time_s + landing.time_s;
  const { opening } = outlook.prediction;
  const opened_s = opening === null ? null : outlook.scenario.exit.time_s + opening.time_s;
  const toHold_s = toHold.at(-1)?.time_s ?? 0;
  const fromHold_s = final.way.at(-1)?.time_s ?? 0;
  const leave = leaveOf(scene, crew, touchdown_s, opened_s, toHold_s);
  const waits_s = final.alone || scene.stage === 'down' ? 0 : GATHER_S;
  const facts = {
    ...final,
    crew,
    jumper: landing.position,
    toHold,
    toHold_s,
    fromHold_s,
    leave,
    arrives_s: Math.max(leave.at_s + toHold_s, touchdown_s + waits_s) + fromHold_s,
    nearest: opened_s === null ? null : nearestToCanopy(scene, outlook, toHold, { leave, touchdown_s, opened_s }),
  };
  const warnings = warningsOf(facts);
  return { kind: 'approach', approach: { ...facts, warnings, sentences: sentencesOf(facts, touchdown_s) } };
}

type Facts = Omit<Approach, 'warnings' | 'sentences'>;

/**
 * A flight between two places round the ground that is kept clear and round towns; a string says why not.
 *
 * ends_m  height over the last place; left out: down to the ground there
 */
export function flightRound(
  scene: Scene,
  crew: Crew,
  { from, to }: { readonly from: Point; readonly to: Point },
  ends_m: number = scene.groundAt(to[0], to[1]),
): WayPoint[] | string {
  const margin = marginOf(scene, crew);
  const ground_m = scene.groundAt(to[0], to[1]);
  const landsThere = ends_m <= ground_m;
  const keepsClear = scene.stage !== 'before the exit' || !landsThere;
  if (keepsClear && scene.clear.distance_m(from[0], from[1]) < margin - 1)
    return 'it would begin inside the ground that is kept clear';
  const corners = cornersRound(detourOf(scene, crew, keepsClear), from, to);
  if (corners === null) return 'towns and the ground that is kept clear lie all about';
  const way = levelFlight(scene, crew, corners, { first: 'standby', last: landsThere ? 'standby' : 'hold' }, ends_m);
  if (way === null) return 'the wind does not let it hold its track';
  const clear = keepsClear ? scene.clear : null;
  return breaks(scene, way, { beginsLow: true, endsLow: landsThere, clear, clear_m: margin }) ?? way;
}

/**
 * Corners of the way round areas. The areas' corners lie a little outside of what they are about, so an end at its very
 * edge may lie within one: it is left, or come to, straight outward. A base in a town is left straight away.
 */
function cornersRound(all: Detour, from: Point, to: Point): Point[] | null {
  const [a, b] = [all.out(from), all.out(to)];
  const way = all.without([...(a === null ? [from] : []), ...(b === null ? [to] : [])]).way(a ?? from, b ?? to);
  if (way === null) return null;
  const same = (one: Point, other: Point): boolean => one[0] === other[0] && one[1] === other[1];
  return [...(a === null || same(a, from) ? [] : [from]), ...way, ...(b === null || same(b, to) ? [] : [to])];
}

/**
 * So that the hold is reached as the jumper lands, but not before the canopy is open and seen. Engines run from EXIT.
 */
function leaveOf(
  scene: Scene,
  crew: Crew,
  touchdown_s: number,
  opened_s: number | null,
  toHold_s: number,
): Approach['leave'] {
  const ready_s = scene.exit_s + crew.ready_s;
  if (scene.stage === 'down')
    return {
      at_s: Math.max(scene.at_s, ready_s, touchdown_s),
      on: 'touchdown called',
      why: 'the jumper is down',
    };
  if (opened_s === null)
    return {
      at_s: Math.max(touchdown_s, ready_s),
      on: 'touchdown called',
      why: 'no canopy opens: nothing is flown toward what still falls',
    };
  const earliest_s = Math.max(opened_s, ready_s, scene.at_s);
  const wanted = touchdown_s - toHold_s;
  if (wanted >= earliest_s) return { at_s: wanted, on: 'canopy open and seen', why: 'it is at the hold at touchdown' };
  const late = roughDuration(earliest_s + toHold_s - touchdown_s);
  const cause =
    ready_s > opened_s
      ? `it is ready ${roughDuration(crew.ready_s)} after the exit`
      : 'the canopy is up for less than the way to the hold';
  return {
    at_s: earliest_s,
    on: 'canopy open and seen',
    why: `${cause}; it leaves at once and is there ${late} after touchdown`,
  };
}

/**
 * Nearest moment of helicopter and open canopy while the helicopter is on its way to the hold or waits there, until
 * touchdown.
 */
function nearestToCanopy(
  scene: Scene,
  outlook: Outlook,
  toHold: readonly WayPoint[],
  times: { readonly leave: Approach['leave']; readonly touchdown_s: number; readonly opened_s: number },
): Passing | null {
  const { touchdown_s, opened_s } = times;
  const leave_s = times.leave.at_s;
  const start_s = outlook.scenario.exit.time_s;
  const { track } = outlook.prediction;
  const places = track.map(([, lon, lat]) => scene.frame.toLocal([lon, lat]));
  const canopy: BodyPath = {
    t: Float64Array.from(track, (point) => start_s + point[0]),
    east: Float64Array.from(places, (place) => place[0]),
    north: Float64Array.from(places, (place) => place[1]),
    up: Float64Array.from(track, (point) => point[3]),
  };
  const last = toHold.at(-1);
  const from_s = Math.max(leave_s, opened_s);
  if (last === undefined || !(touchdown_s > from_s)) return null;
  const knots = [...toHold, { ...last, time_s: Math.max(last.time_s, touchdown_s - leave_s) }];
  const flight: BodyPath = {
    t: Float64Array.from(knots, (knot) => leave_s + knot.time_s),
    east: Float64Array.from(knots, (knot) => knot.at[0]),
    north: Float64Array.from(knots, (knot) => knot.at[1]),
    up: Float64Array.from(knots, (knot) => knot.up_m),
  };
  return meetingOf(canopy, flight, from_s, touchdown_s, opened_s).horizontal;
}

function warningsOf({ crew, nearest, glare, setDown }: Facts): string[] {
  const said: string[] = [];
  if (nearest !== null && nearest.horizontal_m < NEAR_M) {
    const side = `${distance(nearest.above_m)} ${nearest.above_m >= 0 ? 'above' : 'below'} it`;
    const across = distance(nearest.horizontal_m);
    said.push(
      `${crew.name} comes within ${across} of the open canopy at ${clock(nearest.time_s)}, ${side}: wait at standby.`,
    );
  }
  if (glare.inEyes)
    said.push(
      `The sun stands ${angle(glare.off_deg)} off the nose, ${angle(glare.sunElevation_deg)} high, on the final.`,
    );
  if (setDown.kind === 'hoist') said.push(`${crew.name} lets down by hoist: ${setDown.why}.`);
  return said;
}

function sentencesOf(facts: Facts, touchdown_s: number): string[] {
  const { crew, final_deg, leave, setDown, glare, nearest, instead, alone } = facts;
  const turned = offWind_deg(facts);
  const how =
    turned === 0 ? 'into the wind' : `${angle(Math.abs(turned))} ${turned > 0 ? 'right' : 'left'} of the wind`;
  const when = leave.on === 'canopy open and seen' ? 'when the canopy is open and seen' : 'when touchdown is called';
  const said = [
    `${crew.name} approaches on ${directionWords(final_deg)}, ${how}, from behind and below the canopy's ` +
      'path, never over the canopy.',
    `Leave standby ${when}, about ${clock(leave.at_s)} (${relative(leave.at_s - touchdown_s)}): ${leave.why}.`,
  ];
  if (instead !== null) said.push(`A better final is not open: ${instead}.`);
  if (setDown.kind !== 'hoist') {
    const { bearing_deg } = inverse(facts.jumper, setDown.position);
    const tall = setDown.obstacles.map(
      (one) =>
        `${one.name}${one.height_m === null ? '' : ` (${lengthUp(one.height_m)})`} at ${distance(one.distance_m)}`,
    );
    const obstacles = tall.length === 0 ? 'no obstacle is known within a quarter mile' : `report ${tall.join(', ')}`;
    const away_m = setDown.kind === 'shore' ? setDown.away_m : setDown.walk_m;
    const where = `${distance(away_m)} toward ${directionWords(bearing_deg)} from the jumper`;
    said.push(
      setDown.kind === 'shore'
        ? `Set down at the shore, ${where}, and wait: nobody goes into the water; ${obstacles}.`
        : `Set down ${where}, no nearer; ${obstacles}.`,
    );
  }
  if (alone && setDown.kind === 'ground')
    said.push(
      `Nobody on the ground gathers the canopy: one of ${crew.name} walks in from the set-down, gathers and holds it.`,
    );
  const elevation = Math.round(glare.sunElevation_deg);
  if (elevation > 0) said.push(`Sun ${angle(elevation)} high, ${angle(glare.off_deg)} off the heading of the final.`);
  if (nearest !== null)
    said.push(`Nearest to the open canopy: ${distance(nearest.horizontal_m)} across at ${clock(nearest.time_s)}.`);
  return said;
}

const relative = (s: number): string => `${roughDuration(s)} ${s < 0 ? 'before' : 'after'} touchdown`;
