// The demo missions as the command line opens them.
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { loadMission, type Loaded } from '../core/mission/load.ts';
import { namedFiles } from '../main/files/attachments.ts';
import { projectRoot } from './openData.ts';

export async function loadDemo(name: 'salt-plain' | 'town-meadow'): Promise<Loaded> {
  const folder = join(projectRoot, 'data', name);
  const planText = readFileSync(join(folder, `${name}.mission.json`), 'utf8');
  const attachments = namedFiles(planText).map((file) => ({ name: file, bytes: new Uint8Array(readFileSync(join(folder, file))) }));
  const read = await loadMission({ planText, logText: readFileSync(join(folder, `${name}.log.jsonl`), 'utf8'), attachments });
  if (read.value === null) throw new Error(`the demo ${name} was refused: ${read.problems.map((problem) => problem.text).join('; ')}`);
  return read.value;
}
