// The whole kill test: a desk is killed while it writes, two hundred times, after a drawn number of events that it had
// acknowledged.
import { join } from 'node:path';
import { Random } from '../../core/base/random.ts';
import { testFolder } from '../main/folder.ts';
import { hostModule, killed } from '../main/kills.ts';

const MOST = 40;

/** Answers whether nothing was lost. */
export async function killTest(kills: number, seed: number, say: (line: string) => void): Promise<boolean> {
  const folder = testFolder();
  try {
    const host = await hostModule(join(folder.root, 'host'));
    const random = new Random(seed);
    const counts = Array.from({ length: kills }, () => 1 + Math.floor(MOST * random.uniform()));
    const { acknowledged, lost, misnumbered, problems } = await killed(host, folder.mission, counts);
    say(`${kills} kills: ${acknowledged} events acknowledged, ${lost.length} lost, ${misnumbered.length} misnumbered`);
    for (const problem of new Set(problems)) say(`  ${problem}`);
    return lost.length === 0 && misnumbered.length === 0;
  } finally {
    folder.remove();
  }
}
