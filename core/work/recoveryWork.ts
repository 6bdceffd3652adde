// The recovery and the brief as one worker answers them: worked out once for a moment, kept, and asked again for what
// depends on it (a crew at another place, a page, an export). What crosses is plain data: no class, no function. Times
// s since 1970 unless a name says otherwise.
import type { CaseRow } from '../recovery/caseTable.ts';
import { boardRowAt, type BoardRow } from '../recovery/crewBoard.ts';
import type { OtherBody, Separation } from '../recovery/gondola.ts';
import { ROTOR_WASH_M } from '../recovery/keepClear.ts';
import { clearOutlines, type ClearOutline } from '../recovery/keepClearOutline.ts';
import type { Placement } from '../recovery/placement.ts';
import { type Recovery } from '../recovery/recovery.ts';
import type { Scene } from '../recovery/scene.ts';
import type { SearchPlan } from '../recovery/search.ts';
import type { Smoke } from '../recovery/smoke.ts';
import { briefOf } from '../brief/brief.ts';
import { clockworkOf, tasksOf } from '../brief/calls.ts';
import {
  acknowledged,
  changesBetween,
  holdsOf,
  marksOf,
  radioCorrections,
  type Holds,
  type Marks,
} from '../brief/changes.ts';
import { clock } from '../words/times.ts';
import { crewState, taskNow, type CrewState } from '../brief/crewState.ts';
import { exportBrief, type ExportFormat } from '../brief/exports.ts';
import { briefHtml } from '../brief/html.ts';
import type { Brief, BriefItem, RadioLine } from '../brief/model.ts';
import { crewSources, plannedCase, type BriefSource, type CrewSource, type WordSaid } from '../brief/source.ts';
import { csvOf, type Table } from '../brief/tables.ts';
import { briefText } from '../brief/text.ts';
import { planMark } from '../brief/version.ts';
import type { Ellipse } from '../descent/statistics.ts';
import type { Outlook } from '../descent/outlook.ts';
import { declination_deg } from '../earth/declination.ts';
import { releaseTime_s } from '../mission/cases.ts';
import type { LogEvent } from '../log/events.ts';
import type { Situation } from '../mission/situation.ts';
import { assert, never } from '../base/problem.ts';
import { Moment, type MomentOf } from './moment.ts';
import type { Steps } from '../base/steps.ts';
import { windFrom, type LonLat } from '../base/units.ts';

export type CentredEllipse = Ellipse & { readonly center: LonLat };

export interface CaseShown {
  readonly row: CaseRow;
  readonly ellipse90: CentredEllipse | null;
  readonly track: readonly LonLat[];
}

export type BodyShown =
  | {
      readonly kind: 'falls';
      readonly name: OtherBody['name'];
      readonly release: { readonly position: LonLat; readonly time_s: number; readonly height_m: number };
      /** Null where it does not reach the ground within the time flown. */
      readonly landing: {
        readonly position: LonLat;
        readonly time_s: number;
        readonly elevation_m: number;
        readonly after_s: number;
      } | null;
      readonly ellipse90: CentredEllipse | null;
      /** Drawn descents that reach the ground: what the ellipse is made of. */
      readonly drawn: number;
      readonly track: readonly LonLat[];
    }
  | { readonly kind: 'none'; readonly name: OtherBody['name']; readonly why: string };

/** A crew's row: where it stands now, where it waits, and what it is to do. */
export interface CrewShown extends CrewSource {
  readonly state: CrewState;
  /** From where it is. */
  readonly now: BoardRow;
  readonly tasks: readonly BriefItem[];
  readonly task: BriefItem | null;
}

export interface RecoveryAnswer {
  readonly at_s: number;
  readonly stage: Recovery['stage'];
  readonly basis: string;
  readonly cases: readonly CaseShown[];
  readonly bodies: readonly BodyShown[];
  readonly separations: readonly { readonly name: OtherBody['name']; readonly separation: Separation }[];
  /** Null where no case reaches the ground. */
  readonly landing: LonLat | null;
  readonly crews: readonly CrewShown[];
  readonly placement: Placement | null;
  readonly keepClear: readonly ClearOutline[];
  /** What helicopters keep beyond the region of the landings; the outlines hold it already. */
  readonly margin_m: number;
  readonly smoke: { readonly answer: Smoke; readonly position: LonLat | null; readonly from_deg: number } | null;
  readonly search: SearchPlan;
  readonly problems: readonly string[];
  readonly warnings: readonly string[];
}

/** A crew as if it stood somewhere else and had not been heard since. */
export type CrewTimes = BoardRow;

export interface Held {
  readonly crew: string;
  readonly holds: Holds;
  /** When it acknowledged that; null: never. */
  readonly at_s: number | null;
}

export interface BriefAnswer {
  readonly brief: Brief;
  readonly held: readonly Held[];
  readonly problems: readonly string[];
}

/** What changed for a crew since what it holds, and what is read aloud to it. */
export interface CrewChanges {
  readonly crew: string;
  readonly marks: Marks;
  readonly radio: readonly RadioLine[];
}

export type BriefFile =
  | { readonly kind: 'page'; readonly crew: string | null; readonly fontCss: string }
  | { readonly kind: 'text' }
  | { readonly kind: 'places'; readonly format: ExportFormat }
  | { readonly kind: 'table'; readonly table: Table };

export interface BriefFileAnswer {
  readonly text: string;
  readonly problems: readonly string[];
}

/** One worker's side: the last recovery's plane and the last brief stay for what is asked about them. */
export class RecoveryBench {
  #scene: Scene | null = null;
  #brief: {
    readonly source: BriefSource;
    readonly brief: Brief;
    readonly changes: ReadonlyMap<string, CrewChanges>;
  } | null = null;
  /** Older briefs of this plan, by plan and moment: they do not change any more. */
  readonly #older = new Map<string, Brief>();

  /** A new world: nothing that was found in the old one holds. */
  forget(): void {
    this.#scene = null;
    this.#brief = null;
    this.#older.clear();
  }

  /** `members`: drawn descents of the case as planned (`membersBeside`). */
  *recovery(moment: Moment, members: number): Steps<RecoveryAnswer> {
    const found = yield* moment.recovered(members);
    this.#scene = found.scene;
    yield;
    return answerOf(found, moment.situation, moment.expected.planned, moment.of.log);
  }

  /** Null where there is nobody to go to, or no such crew. */
  crewTimes(name: string, position: LonLat): CrewTimes | null {
    const scene = this.#scene;
    const crew = scene?.crews.find((one) => one.name === name);
    if (scene === null || crew === undefined) return null;
    return boardRowAt(scene, crew, position);
  }

  /** `said`: the moment's word, where another worker has it; null: it is worked out here. */
  *brief(moment: Moment, members: number, said: WordSaid | null): Steps<BriefAnswer> {
    const { source, problems } = yield* moment.source(members, said);
    const brief = briefOf(source);
    this.#brief = { source, brief, changes: new Map() };
    const names = brief.crews.map((one) => one.crew);
    const found = acknowledged(moment.of.log, moment.of.stamp.at_s, names);
    const held = brief.crews.map(({ crew, identity }): Held => ({
      crew,
      holds: holdsOf(found.get(crew), brief.head.version.number, identity),
      at_s: found.get(crew)?.at_s ?? null,
    }));
    return { brief, held, problems: problems.map((problem) => problem.text) };
  }

  /** For each crew that holds another version, against the brief of the moment at which it acknowledged that one. */
  *changes(moment: Moment, members: number, held: readonly Held[]): Steps<CrewChanges[]> {
    const now = this.#brief;
    assert(now !== null, 'the brief is made before its changes are asked for');
    const all: CrewChanges[] = [];
    for (const { crew, at_s } of held) {
      if (at_s === null) continue;
      const older = yield* this.#briefAt(moment.of, members, at_s);
      const since = `version ${older.head.version.number} of ${clock(at_s)}`;
      all.push({
        crew,
        marks: marksOf(since, changesBetween(older, now.brief)),
        radio: radioCorrections(now.brief, older),
      });
    }
    this.#brief = { ...now, changes: new Map(all.map((one) => [one.crew, one])) };
    return all;
  }

  file(wanted: BriefFile): BriefFileAnswer {
    const made = this.#brief;
    assert(made !== null, 'the brief is made before its files are asked for');
    const { brief, source, changes } = made;
    switch (wanted.kind) {
      case 'page': {
        const crewMarks = new Map([...changes].map(([crew, one]) => [crew, one.marks]));
        const crew = wanted.crew === null ? {} : { crew: wanted.crew };
        return { text: briefHtml(brief, { fontCss: wanted.fontCss, crewMarks, ...crew }), problems: [] };
      }
      case 'text':
        return { text: briefText(brief), problems: [] };
      case 'places': {
        const { value, problems } = exportBrief(brief, wanted.format);
        return { text: value, problems: problems.map((problem) => problem.text) };
      }
      case 'table':
        return { text: csvOf(source, wanted.table), problems: [] };
      default:
        return never(wanted);
    }
  }

  *#briefAt(of: MomentOf, members: number, at_s: number): Steps<Brief> {
    const key = `${planMark(of.mission)} ${at_s}`;
    const known = this.#older.get(key);
    if (known !== undefined) return known;
    const then = new Moment({ ...of, stamp: { ...of.stamp, at_s } });
    const found = briefOf((yield* then.source(members, null)).source);
    this.#older.set(key, found);
    return found;
  }
}

function answerOf(found: Recovery, situation: Situation, planned: Outlook, log: readonly LogEvent[]): RecoveryAnswer {
  const { scene, placement, table, outlooks, others } = found;
  const margin_m = situation.mission.placement?.rotorWash_m ?? ROTOR_WASH_M;
  return {
    at_s: found.at_s,
    stage: found.stage,
    basis: found.basis,
    cases: table.map((row, i): CaseShown => {
      const one = outlooks[i];
      const flown = one?.kind === 'flown' ? one : null;
      return {
        row,
        ellipse90:
          flown?.statistics == null ? null : { ...flown.statistics.ellipses['90'], center: flown.statistics.mean },
        track: flown === null ? [] : wayOf(flown.outlook),
      };
    }),
    bodies: others.map(bodyOf),
    separations: found.separations,
    landing: scene?.landing ?? null,
    crews: scene === null ? [] : crewsOf(found, scene, situation, planned, log),
    placement,
    keepClear: scene === null ? [] : clearOutlines(scene.clear, scene.frame, margin_m),
    margin_m,
    smoke: scene === null || found.smoke === null ? null : smokeOf(found.smoke, scene, found),
    search: found.search,
    problems: found.problems,
    warnings: found.warnings,
  };
}

/** The way over the ground, thinned: a point for each fiftieth of it is finer than a line on the map. */
function wayOf({ prediction: { track } }: Outlook): LonLat[] {
  const step = Math.max(1, Math.floor(track.length / 200));
  return track.filter((_, i) => i % step === 0 || i === track.length - 1).map(([, lon, lat]): LonLat => [lon, lat]);
}

function bodyOf(one: OtherBody): BodyShown {
  if (one.kind === 'none') return one;
  const { landing } = one.outlook.prediction;
  const exit_s = one.outlook.scenario.exit.time_s;
  const { position, time_s, height_m } = one.release;
  return {
    kind: 'falls',
    name: one.name,
    release: { position, time_s, height_m },
    landing:
      landing === null
        ? null
        : {
            position: landing.position,
            time_s: exit_s + landing.time_s,
            elevation_m: landing.elevation_m,
            after_s: landing.time_s,
          },
    ellipse90: one.statistics === null ? null : { ...one.statistics.ellipses['90'], center: one.statistics.mean },
    drawn: one.statistics === null ? 0 : one.statistics.members - one.statistics.lost,
    track: wayOf(one.outlook),
  };
}

function crewsOf(
  found: Recovery,
  scene: Scene,
  situation: Situation,
  planned: Outlook,
  log: readonly LogEvent[],
): CrewShown[] {
  const { mission, at_s } = situation;
  const sources = crewSources(scene, found.others, found.placement);
  const gondola = found.others.find((one) => one.name === 'gondola' && one.kind === 'falls');
  const down = gondola?.kind === 'falls' ? gondola.outlook : null;
  const landing = down?.prediction.landing ?? null;
  const touchdown_s = down === null || landing === null ? null : down.scenario.exit.time_s + landing.time_s;
  const clock = clockworkOf(
    planned,
    plannedCase(found.outlooks)?.outlook ?? planned,
    situation.state.marks.has('exit'),
    gondola === undefined ? null : { release_s: releaseTime_s(mission, situation.state.marks), touchdown_s },
  );
  const declination = declination_deg(scene.landing, mission.site.elevation_m, at_s);
  const withHelicopter = sources.some((one) => one.crew.kind === 'helicopter' && one.goal.name === 'jumper');
  return sources.flatMap((source): CrewShown[] => {
    const now = found.board?.rows.find((row) => row.crew.name === source.crew.name);
    if (now === undefined) return [];
    const tasks = tasksOf(source, clock, { at_s, declination, withHelicopter });
    return [{ ...source, now, tasks, task: taskNow(tasks, log, at_s), state: crewState(source) }];
  });
}

/** Beside the touchdown as planned, and where the wind there comes from. */
function smokeOf(answer: Smoke, scene: Scene, found: Recovery): RecoveryAnswer['smoke'] {
  const at = plannedCase(found.outlooks)?.outlook.prediction.landing?.position ?? scene.landing;
  const [x, y] = scene.frame.toLocal(at);
  const position = answer.kind === 'place' ? scene.frame.toLonLat(x + answer.place[0], y + answer.place[1]) : null;
  return { answer, position, from_deg: windFrom(scene.surface[0], scene.surface[1]).from_deg };
}
