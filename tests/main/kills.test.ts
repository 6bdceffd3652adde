// The kill test, shortened; `npm run bench -- --kills` has it whole, two hundred times.
import { join } from 'node:path';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { testFolder, type TestFolder } from './folder.ts';
import { hostModule, killed } from './kills.ts';

let folder: TestFolder;
let host: string;
beforeAll(async () => {
  folder = testFolder();
  host = await hostModule(join(folder.root, 'host'));
});
afterAll(() => folder.remove());

it('a desk that is killed while it writes has lost nothing that it acknowledged', async () => {
  const counts = [1, 2, 5, 11, 23, 40];
  const { acknowledged, lost, misnumbered, problems } = await killed(host, folder.mission, counts);
  expect({ lost, misnumbered }).toEqual({ lost: [], misnumbered: [] });
  expect(acknowledged).toBeGreaterThanOrEqual(counts.reduce((sum, count) => sum + count, 0));
  // A line may be torn by each kill, and nothing else may be wrong.
  for (const problem of problems)
    expect(problem).toMatch(/^no JSON|^the last line is torn|does not fit the line before/);
});
