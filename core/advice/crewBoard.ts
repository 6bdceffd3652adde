// The crews at a moment: where each is, how long it takes to the predicted landing (half and 95 of 100 of the drawn ones), what fuel it
// has for the wait and the way back, and who is first in each case. Times s, counted from the word to go.
import { durationWords } from '../mission/say.ts';
import type { LonLat } from '../units.ts';
import type { Crew, Fuel } from './crews.ts';
import { earliest } from './placementCost.ts';
import { farthestOf } from './placementSearch.ts';
import { ReachTimes, summaryOf, type ReachSummary } from './reachTimes.ts';
import type { Scene, Targets } from './scene.ts';
import { fuelFor, refusesPlace, refusesTimes, type Refusal } from './standby.ts';

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

/** `standbys`: places by crew name, for instance a placement's, used where a crew has not been heard. */
export function crewBoard(scene: Scene, standbys: ReadonlyMap<string, LonLat> = new Map()): CrewBoard {
  const known = scene.crews.map((crew) => {
    const position = crew.heard?.position ?? standbys.get(crew.name) ?? crew.standby;
    const [x, y] = scene.frame.toLocal(position);
    const reach = new ReachTimes(scene, crew, scene.jumper);
    return { crew, position, x, y, times: reach.from(x, y) };
  });
  const rows = known.map(({ crew, position, x, y, times }): BoardRow => {
    const far = farthestOf(times, scene.jumper);
    return {
      crew,
      position,
      placedBy: crew.heard === null ? 'standby' : 'last heard',
      heard_s: crew.heard?.time_s ?? null,
      asPlanned: summaryOf(times, scene.jumper, 0),
      allCases: summaryOf(times, scene.jumper),
      toGondola: scene.gondola === null ? null : summaryOf(new ReachTimes(scene, crew, scene.gondola).from(x, y), scene.gondola),
      fuel: fuelFor(scene, crew, position, far),
      refusal: refusesTimes(scene, crew, position, far) ?? refusesPlace(scene, crew, x, y),
    };
  });
  const serving = known.filter(({ crew }) => crew.serves !== 'gondola');
  const medical = serving.filter(({ crew }) => crew.medical);
  return { rows, firstBy: firstBy(medical.length > 0 ? medical : serving, scene.jumper) };
}

function firstBy(crews: readonly { readonly crew: Crew; readonly times: Float64Array }[], targets: Targets): Map<string, FirstCrew> {
  const first = earliest(
    crews.map((one) => one.times),
    targets.count,
  );
  const found = new Map<string, FirstCrew>();
  targets.groups.forEach(({ name }, group) => {
    const wins = crews.map(({ times }) => {
      let sum = 0;
      for (let k = 0; k < targets.count; k++)
        if (targets.group[k] === group && times[k] === first[k] && (first[k] as number) < Infinity) sum += 1;
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

/** "Kite, 3 min 10 s (95 of 100: 5 min)". */
export function firstCrewWords(first: FirstCrew | undefined): string {
  if (first === undefined) return 'nobody reaches it';
  const far = first.p95_s < Infinity ? `95 of 100: ${durationWords(first.p95_s)}` : 'not every landing';
  return `${first.crew.name}, ${durationWords(first.p50_s)} (${far})`;
}
