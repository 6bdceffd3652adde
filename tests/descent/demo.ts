// The two demo missions of `data/`, loaded as the program loads them.
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { loadMission, type Loaded } from '../../core/mission/load.ts';

export const DEMOS = ['salt-plain', 'town-meadow'] as const;

/** Plan, attachments and, where asked for, the log. Found from the folder that the tests and the bench are run in, the project's root. */
export async function loadDemo(name: (typeof DEMOS)[number], log = false): Promise<Loaded> {
  const folder = join(process.cwd(), 'data', name);
  const planText = readFileSync(join(folder, `${name}.mission.json`), 'utf8');
  const plan = JSON.parse(planText) as { site: { terrain: string }; roads: string; winds: { files: string[] } };
  const names = [plan.site.terrain, plan.roads, ...plan.winds.files];
  const read = await loadMission({
    planText,
    logText: log ? readFileSync(join(folder, `${name}.log.jsonl`), 'utf8') : '',
    attachments: names.map((file) => ({ name: file, bytes: new Uint8Array(readFileSync(join(folder, file))) })),
  });
  if (read.value === null) throw new Error(`the demo ${name} does not load`);
  return read.value;
}
