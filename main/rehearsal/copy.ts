// The copy of a mission that is rehearsed in: marked in its plan, in a folder of its own, with the log as it stood when
// the rehearsal begins. The mission itself is only read.
import { realpath } from 'node:fs/promises';
import { basename, dirname, join } from 'node:path';
import { logText } from '../../core/log/chain.ts';
import type { LogEvent } from '../../core/log/events.ts';
import { timeOf } from '../../core/log/fate.ts';
import { loadMission, type Loaded } from '../../core/mission/load.ts';
import { nameUnmarked, readMission } from '../../core/plan/read.ts';
import { makeFolder, writeAtomic } from '../files/atomic.ts';
import { readAttachments } from '../files/attachments.ts';
import { logPathOf, readLog } from '../files/log.ts';
import { copyNamed, fileNameOf } from '../files/missions.ts';
import { fileReader } from '../cli/readApart.ts';

/** A mission to be rehearsed, as it is read. */
export interface Rehearsable {
  readonly loaded: Loaded;
  readonly planText: string;
  /** A file's name without its end. */
  readonly bare: string;
}

/**
 * The mission with the plan of the window, marked, and its log up to the beginning; a sentence where it cannot be read.
 *
 * begins_s  before the planned exit
 */
export async function rehearsable(path: string, windowsPlan: string, begins_s: number): Promise<Rehearsable | string> {
  const { value, problems } = readMission(windowsPlan);
  if (value === null) return problems[0]?.text ?? 'nothing of the plan can be read';
  const planText = `${JSON.stringify({ ...(value.raw as object), rehearsal: true }, null, 2)}\n`;
  const { attachments } = await readAttachments(path, planText);
  const read = await loadMission({ planText, logText: await readLog(logPathOf(path)), attachments }, fileReader());
  if (read.value === null) return read.problems[0]?.text ?? 'nothing of the mission can be read';
  const from_s = Date.parse(value.mission.exit.time) / 1000 - begins_s;
  const loaded = { ...read.value, log: upTo(read.value.log, from_s) };
  return { loaded, planText, bare: `rehearsal-${fileNameOf(nameUnmarked(loaded.mission))}` };
}

/** The events before the first one that is later: none is missing between two that are there. */
function upTo(log: readonly LogEvent[], until_s: number): readonly LogEvent[] {
  const later = log.findIndex(({ at }) => timeOf(at) > until_s);
  return later < 0 ? log : log.slice(0, later);
}

/** Writes the copy into a new folder; answers its path. */
export async function writeRehearsal(
  { loaded, planText, bare }: Rehearsable,
  from: string,
  copyFolder: string,
): Promise<string> {
  const folder = await realpath(await makeFolder(join(copyFolder, bare)));
  const path = join(folder, `${basename(bare)}.mission.json`);
  await copyNamed(planText, dirname(from), folder);
  if (loaded.log.length > 0) await writeAtomic(logPathOf(path), logText(loaded.log));
  await writeAtomic(path, planText);
  return path;
}
