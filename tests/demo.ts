// The demo missions as the command line opens them, and at the moment that is meant where nobody names one.
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { loadMission, type Loaded } from '../core/mission/load.ts';
import { defaultMoment_s, situationAt, type Situation } from '../core/mission/situation.ts';
import { namedFiles } from '../main/files/attachments.ts';

export const DEMOS = ['salt-plain', 'town-meadow'] as const;

/** Found from the folder that tests and bench are run in, the project's root: the bench is bundled elsewhere. */
export async function loadDemo(name: (typeof DEMOS)[number]): Promise<Loaded> {
  const folder = join(process.cwd(), 'data', name);
  const planText = readFileSync(join(folder, `${name}.mission.json`), 'utf8');
  const attachments = namedFiles(planText).map((file) => ({
    name: file,
    bytes: new Uint8Array(readFileSync(join(folder, file))),
  }));
  const read = await loadMission({
    planText,
    logText: readFileSync(join(folder, `${name}.log.jsonl`), 'utf8'),
    attachments,
  });
  if (read.value === null)
    throw new Error(`the demo ${name} was refused: ${read.problems.map((problem) => problem.text).join('; ')}`);
  return read.value;
}

export async function demo(
  name: (typeof DEMOS)[number],
): Promise<{ readonly situation: Situation; readonly loaded: Loaded }> {
  const loaded = await loadDemo(name);
  const { mission, log, world } = loaded;
  return { situation: situationAt(mission, log, world, defaultMoment_s(mission, log)), loaded };
}
