// A mission as it lies on the disk made ready to compute with: plan, log, winds, terrain, roads. Everything that was
// wrong anywhere is in one list, by file; what could be used is used.
import type { Problem, Read } from '../base/problem.ts';
import { worldOf, type World } from '../descent/scenario.ts';
import type { TerrainGrid } from '../earth/terrain.ts';
import type { WindFileOptions } from '../formats/winds/winds.ts';
import { gapName, type LogGap } from '../log/gaps.ts';
import { readLog } from '../log/read.ts';
import type { LogEvent } from '../log/events.ts';
import { readMission } from '../plan/read.ts';
import type { Mission } from '../plan/schema.ts';
import { terrainFrom, windsFrom, type AskApart } from './apart.ts';
import { windsOf, type WindsPlan } from './winds.ts';
import type { WindSource } from './windSource.ts';

/** The files of a mission, unparsed. `attachments` are those that the plan names, by the name that it uses. */
interface MissionFiles {
  readonly planText: string;
  readonly logText: string;
  readonly attachments: readonly { readonly name: string; readonly bytes: Uint8Array }[];
}

/** A problem with the file that it is in: `plan`, `log`, or the name of an attachment. */
export interface FileProblem extends Problem {
  readonly file: string;
}

export interface Loaded {
  readonly mission: Mission;
  /** The plan as it was read, unknown keys kept: what is edited and written back. */
  readonly raw: unknown;
  readonly log: readonly LogEvent[];
  /** What of the log's end could not be read. */
  readonly unread: LogGap | null;
  readonly windSources: readonly WindSource[];
  readonly terrain: TerrainGrid | null;
  /** The road network as GeoJSON, unchecked; null where the plan names none or it could not be read. */
  readonly roads: unknown;
  readonly world: World;
  readonly problems: readonly FileProblem[];
}

/**
 * The parts of a mission that do not change while a person edits the plan: read once, and again when a file is added.
 */
interface LoadedFiles {
  readonly windSources: readonly WindSource[];
  readonly terrain: TerrainGrid | null;
  readonly roads: unknown;
  readonly problems: readonly FileProblem[];
}

/** Reads plan, log and attachments. `value` is null only where the plan itself cannot be used. */
export async function loadMission(
  files: MissionFiles,
  apart: AskApart | null = null,
): Promise<Read<Loaded | null> & { readonly problems: readonly FileProblem[] }> {
  const plan = readMission(files.planText);
  const planProblems = inFile('plan', plan.problems);
  if (plan.value === null) return { value: null, problems: planProblems };
  const log = readLog(files.logText);
  const parts = await loadFiles(plan.value.mission, files.attachments, apart);
  const { unread } = log;
  const made = assemble(plan.value.mission, { ...parts, unread });
  const problems = [...planProblems, ...inFile('log', log.problems), ...parts.problems, ...made.problems];
  const { mission, raw } = plan.value;
  return { value: { mission, raw, log: log.value, unread, ...parts, world: made.world, problems }, problems };
}

/** What a world is made of beside its plan; `unread`: what of the log's end could not be read. */
export type WorldFiles = Pick<LoadedFiles, 'windSources' | 'terrain'> & { readonly unread?: LogGap | null };

/** What of a plan makes its world. */
export type AssembledPlan = WindsPlan & Pick<Mission, 'uncertainty'>;

/** The world of a plan and its read files: cheap, so that it follows each edit of the plan. */
export function assemble(mission: AssembledPlan, files: WorldFiles): { world: World; problems: FileProblem[] } {
  const { wind, air, problems } = windsOf(mission, files.windSources);
  return {
    world: { ...worldOf(mission, wind, air, files.terrain), lacking: lackingIn(mission, files) },
    problems: problems.map((text) => ({ file: 'winds', line: 0, text })),
  };
}

/** What the plan names for winds and ground and nothing could be read from, and the end of the log. */
export function lackingIn(
  { site, winds }: AssembledPlan,
  { windSources, terrain, unread = null }: WorldFiles,
): string[] {
  const gives = ({ decoded, grids }: WindSource): boolean => decoded.length > 0 || grids.length > 0;
  const files = (winds?.files ?? []).filter((file) => !windSources.some((one) => one.file === file && gives(one)));
  return [
    ...files,
    ...(site.terrain !== undefined && terrain === null ? [site.terrain] : []),
    ...(unread === null ? [] : [`the end of the log (${gapName(unread)})`]),
  ];
}

/** Where and when a mission wants the winds of a file. */
export const readingFor = ({ site, exit }: Pick<Mission, 'site' | 'exit'>): WindFileOptions => ({
  near: site.position,
  ground_m: site.elevation_m,
  reference_s: Date.parse(exit.time) / 1000,
});

/**
 * Decodes the attachments that a plan names. Readers are loaded when they are first needed. Where files are read apart,
 * their bytes are gone afterwards.
 */
export async function loadFiles(
  mission: Mission,
  attachments: MissionFiles['attachments'],
  apart: AskApart | null = null,
): Promise<LoadedFiles> {
  const problems: FileProblem[] = [];
  const windSources: WindSource[] = [];
  const names = [...(mission.winds?.files ?? []), mission.site.terrain, mission.roads];
  const isOnce = (name: string): boolean => names.indexOf(name) === names.lastIndexOf(name);
  const find = (name: string): Uint8Array | null => {
    const found = attachments.find((one) => one.name === name);
    if (found === undefined)
      problems.push({ file: name, line: 0, text: 'the plan names this file and it was not found beside the mission' });
    return found?.bytes ?? null;
  };
  for (const file of mission.winds?.files ?? []) {
    const bytes = find(file);
    if (bytes === null) continue;
    const read = await windsFrom({ name: file, bytes, spare: isOnce(file) }, readingFor(mission), apart);
    windSources.push({ file, decoded: read.value.decoded, grids: read.value.grids, problems: read.problems });
    problems.push(...inFile(file, read.problems));
  }
  let terrain: TerrainGrid | null = null;
  if (mission.site.terrain !== undefined) {
    const name = mission.site.terrain;
    const bytes = find(name);
    if (bytes !== null) {
      const read = await terrainFrom({ name, bytes, spare: isOnce(name) }, mission.site.position, apart);
      terrain = read.value;
      problems.push(...inFile(name, read.problems));
    }
  }
  let roads: unknown = null;
  if (mission.roads !== undefined) {
    const bytes = find(mission.roads);
    if (bytes !== null) {
      const { strFromU8 } = await import('fflate');
      try {
        roads = JSON.parse(strFromU8(bytes));
      } catch {
        problems.push({ file: mission.roads, line: 0, text: 'this file is not JSON; expected a GeoJSON road network' });
      }
    }
  }
  return { windSources, terrain, roads, problems };
}

const inFile = (file: string, problems: readonly Problem[]): FileProblem[] =>
  problems.map((problem) => ({ ...problem, file }));
