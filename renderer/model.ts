// Where the window meets the core: the few functions that it calls, under the names that the window uses.
import type { World } from '../core/descent/scenario.ts';
import type { TerrainGrid } from '../core/earth/terrain.ts';
import { readLog } from '../core/log/read.ts';
import type { LogEvent } from '../core/log/events.ts';
import type { LogGap } from '../core/log/gaps.ts';
import { assemble, loadFiles, readingFor, type AssembledPlan, type FileProblem } from '../core/mission/load.ts';
import { readEdited, readMission, type ReadMission } from '../core/plan/read.ts';
import type { Mission } from '../core/plan/schema.ts';
import type { WindSource } from '../core/mission/windSource.ts';
import { usableLevels } from '../core/air/levels.ts';
import type { OpenedMission } from '../main/contract.ts';
import { isObject, type Json } from './state/stored/json.ts';
import { windsFrom, type NamedBytes } from '../core/mission/apart.ts';
import { dayClock } from '../core/words/times.ts';
import { readApart } from './work/readApart.ts';

export type MissionProblem = FileProblem;

/** A file that a person chose. `read` is asked each time that the bytes are needed, so that none stays in memory. */
export interface WindFileChosen {
  readonly name: string;
  read(): Promise<Uint8Array>;
}

/** What stands beside the plan, decoded: it does not change while the plan is edited. */
export interface Beside {
  /** Every wind file that was read, also one that the plan no longer names: undo may bring it back. */
  readonly windSources: readonly WindSource[];
  readonly terrain: TerrainGrid | null;
  readonly roads: unknown;
  readonly log: readonly LogEvent[];
  /** What of the log's end could not be read when it was opened. */
  readonly unread: LogGap | null;
  readonly problems: readonly MissionProblem[];
}

export interface PlanReading {
  readonly mission: Mission | null;
  readonly problems: readonly MissionProblem[];
}

const inPlan = (problems: readonly { line: number; text: string }[]): MissionProblem[] =>
  problems.map((problem) => ({ ...problem, file: 'plan' }));

/** The plan's text as JSON, with the mission in it. */
export function readPlan(text: string): PlanReading & { readonly plan: Json | null } {
  const { value, problems } = readMission(text);
  return {
    plan: value === null ? null : (value.raw as Json),
    mission: value?.mission ?? null,
    problems: inPlan(problems),
  };
}

/**
 * Reads plans as they are edited, one after the other; of the plan that was asked about last the answer is remembered.
 * Cost: 2 ms for a demo mission, a fifth of that where one group of the plan before changed and nothing is to be said
 * of either.
 */
export function planReader(): (plan: Json) => PlanReading {
  let last: { readonly plan: Json; readonly reading: PlanReading } | null = null;
  const faultless = (): ReadMission | null =>
    last === null || last.reading.mission === null || last.reading.problems.length > 0
      ? null
      : { mission: last.reading.mission, raw: last.plan };
  const read = (plan: Json): PlanReading => {
    const before = faultless();
    const edited = before === null || !isObject(plan) ? null : readEdited(before, plan);
    if (edited !== null) return { mission: edited.mission, problems: [] };
    const { value, problems } = readMission(JSON.stringify(plan));
    return { mission: value?.mission ?? null, problems: inPlan(problems) };
  };
  return (plan) => {
    if (last === null || last.plan !== plan) last = { plan, reading: read(plan) };
    return last.reading;
  };
}

/** The log, and the files that the plan names, decoded. */
export async function loadBeside(from: OpenedMission, mission: Mission | null): Promise<Beside> {
  const log = readLog(from.logText);
  const files =
    mission === null
      ? { windSources: [], terrain: null, roads: null, problems: [] }
      : await loadFiles(mission, from.attachments, readApart);
  return {
    ...files,
    log: log.value,
    unread: log.unread,
    problems: [
      ...from.problems.map((text) => ({ file: 'desk', line: 0, text })),
      ...log.problems.map((problem) => ({ ...problem, file: 'log' })),
      ...files.problems,
    ],
  };
}

/** The wind files that a plan names, of those that were read. */
export function namedSources(mission: Pick<AssembledPlan, 'winds'>, beside: Beside): WindSource[] {
  const names = mission.winds?.files ?? [];
  return names.flatMap((name) => beside.windSources.find((source) => source.file === name) ?? []);
}

export function worldFrom(
  mission: AssembledPlan,
  beside: Beside,
  unread: LogGap | null,
): { readonly world: World; readonly problems: readonly MissionProblem[] } {
  return assemble(mission, { windSources: namedSources(mission, beside), terrain: beside.terrain, unread });
}

export interface ReadFile {
  /** Whether any level of it can be used. */
  readonly useful: boolean;
  readonly summary: string;
  /** What was wrong with it, in sentences with line numbers. */
  readonly problems: readonly string[];
  readonly beside: Beside;
}

/** A wind file decoded and put beside the rest; a file of the same name gives way to it. The bytes are used up. */
export async function withFile(
  beside: Beside,
  mission: Mission,
  { name, bytes }: Omit<NamedBytes, 'spare'>,
): Promise<ReadFile> {
  const read = await windsFrom({ name, bytes, spare: true }, readingFor(mission), readApart);
  const source: WindSource = { file: name, ...read.value, problems: read.problems };
  const problems = read.problems.map(({ line, text }) => (line > 0 ? `line ${line}: ${text}` : text));
  const found = read.problems.map((problem) => ({ ...problem, file: name }));
  return {
    useful: source.grids.length > 0 || source.decoded.some((one) => usableLevels(one.levels).length > 0),
    summary: summaryOf(source, Date.parse(mission.exit.time) / 1000),
    problems,
    beside: {
      ...beside,
      windSources: [...beside.windSources.filter((one) => one.file !== name), source],
      problems: [...beside.problems.filter((problem) => problem.file !== name), ...found],
    },
  };
}

function summaryOf(source: WindSource, exit_s: number): string {
  const grid = source.grids[0];
  if (grid !== undefined)
    return (
      `a gridded forecast of ${grid.times_s.length} times and ${grid.lats_deg.length * grid.lons_deg.length} ` +
      'points'
    );
  const parts = source.decoded.map((one) => {
    const levels = usableLevels(one.levels);
    const valid =
      one.validTime === null ? 'no valid time' : `valid ${dayClock(Date.parse(one.validTime) / 1000, exit_s)}`;
    return `${levels.length} wind levels, ${valid}`;
  });
  return parts.length === 1
    ? (parts[0] ?? '')
    : `${parts.length} profiles: ${parts.slice(0, 3).join('; ')}${parts.length > 3 ? '; …' : ''}`;
}
