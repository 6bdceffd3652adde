// The crews at a moment: where each is, how long it takes to the predicted landing (half and 95 % of the drawn
// ones), what fuel it has for the wait and the way back, and who is first in each case. Times s, counted from
// touchdown.
import { NEARLY_ALL } from '../words/numbers.ts';
import { roughDuration } from '../words/times.ts';
import { toEnd, type Steps } from '../base/steps.ts';
import type { LonLat } from '../base/units.ts';
import type { Crew, Fuel } from './crews.ts';
import { earliest } from './placementCost.ts';
import { farthestOf, reachOf, summaryOf, type ReachSummary } from './reachTimes.ts';
import type { Scene, Targets } from './scene.ts';
import { fuelFor, refusesCrew, refusesPlace, type Refusal } from './standby.ts';
import { nth } from '../base/nth.ts';

export interface BoardRow {
  readonly crew: Crew;
  /** Where it is taken to be, and why: last heard there, or its place by plan or placement. */
  readonly position: LonLat;
  readonly placedBy: 'last heard' | 'standby';
  readonly heard_s: number | null;
  /** To the jumper's landing as planned, and over all cases. */
  readonly asPlanned: ReachSummary;
  readonly allCases: ReachSummary;
  readonly toGondola: ReachSummary | null;
  readonly fuel: Fuel;
  /** What speaks against where it is. */
  readonly refusal: Refusal | null;
}

export interface FirstCrew {
  readonly crew: Crew;
  readonly p50_s: number;
  readonly p95_s: number;
  /** Share of the case's landings that nobody reaches. */
  readonly unreached: number;
}

export interface CrewBoard {
  readonly rows: readonly BoardRow[];
  /** By case name: the medical crew (else any) that is first in most landings, and when the first of all is there. */
  readonly firstBy: ReadonlyMap<string, FirstCrew>;
}

/**
 * standbys  places by crew name, for instance a placement's, used where a crew has not been heard
 * asHeard   whether a crew counts where it was last heard; false: once all stand where they were sent
 */
export const crewBoard = (scene: Scene, standbys: ReadonlyMap<string, LonLat> = new Map(), asHeard = true): CrewBoard =>
  toEnd(boardInSteps(scene, standbys, asHeard));

export function* boardInSteps(
  scene: Scene,
  standbys: ReadonlyMap<string, LonLat> = new Map(),
  asHeard = true,
): Steps<CrewBoard> {
  const all: Standing[] = [];
  for (const crew of scene.crews) {
    yield;
    all.push(standing(scene, crew, standbys.get(crew.name) ?? crew.standby, asHeard ? crew.heard : null));
  }
  // A refused crew comes nowhere: it is first in no case.
  const able = all.filter(
    ({ crew, position, times }) =>
      refusesCrew(scene, reachOf(scene, crew, scene.jumper), position, farthestOf(times, scene.jumper)) === null,
  );
  const serving = able.filter(({ crew }) => crew.serves !== 'gondola');
  const medical = serving.filter(({ crew }) => crew.medical);
  const rows: BoardRow[] = [];
  for (const one of all) {
    yield;
    rows.push(rowOf(scene, one));
  }
  return { rows, firstBy: firstBy(medical.length > 0 ? medical : serving, scene.jumper) };
}

/** A crew's row as if it stood at a place and had not been heard. */
export const boardRowAt = (scene: Scene, crew: Crew, position: LonLat): BoardRow =>
  rowOf(scene, standing(scene, crew, position, null));

interface Standing {
  readonly crew: Crew;
  readonly heard: Crew['heard'];
  readonly position: LonLat;
  /** To each landing of the jumper. */
  readonly times: Float64Array;
}

function standing(scene: Scene, crew: Crew, standby: LonLat, heard: Crew['heard']): Standing {
  const position = heard?.position ?? standby;
  const [x, y] = scene.frame.toLocal(position);
  return { crew, heard, position, times: reachOf(scene, crew, scene.jumper).from(x, y) };
}

function rowOf(scene: Scene, { crew, heard, position, times }: Standing): BoardRow {
  const [x, y] = scene.frame.toLocal(position);
  const far = farthestOf(times, scene.jumper);
  const reach = reachOf(scene, crew, scene.jumper);
  return {
    crew,
    position,
    placedBy: heard === null ? 'standby' : 'last heard',
    heard_s: heard?.time_s ?? null,
    asPlanned: summaryOf(times, scene.jumper, 0),
    allCases: summaryOf(times, scene.jumper),
    toGondola: scene.gondola === null ? null : summaryOf(reachOf(scene, crew, scene.gondola).from(x, y), scene.gondola),
    fuel: fuelFor(scene, reach, position),
    refusal: refusesCrew(scene, reach, position, far) ?? refusesPlace(scene, crew, x, y),
  };
}

function firstBy(
  crews: readonly { readonly crew: Crew; readonly times: Float64Array }[],
  targets: Targets,
): Map<string, FirstCrew> {
  const first = earliest(
    crews.map((one) => one.times),
    targets.count,
  );
  const found = new Map<string, FirstCrew>();
  targets.groups.forEach(({ name }, group) => {
    const wins = crews.map(({ times }) => {
      let sum = 0;
      for (let k = 0; k < targets.count; k++)
        if (targets.group[k] === group && times[k] === first[k] && nth(first, k) < Infinity) sum += 1;
      return sum;
    });
    const most = Math.max(...wins, 0);
    const crew = crews[wins.indexOf(most)]?.crew;
    if (crew === undefined || most === 0) return;
    const { p50_s, p95_s, unreached } = summaryOf(first, targets, group);
    found.set(name, { crew, p50_s, p95_s, unreached });
  });
  return found;
}

/** "Kite, 3 min 10 s (95 % within 5 min)". */
export function firstCrewWords(first: FirstCrew | undefined): string {
  if (first === undefined) return 'nobody reaches it';
  const far = first.p95_s < Infinity ? `${NEARLY_ALL} within ${roughDuration(first.p95_s)}` : 'not every landing';
  return `${first.crew.name}, ${roughDuration(first.p50_s)} (${far})`;
}
