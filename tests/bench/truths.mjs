// The analysis against truths of other kinds, and against wrong observers, as two tables:
// node tests/bench/truths.mjs [trials of a truth] [trials of a wrong observer] [seed]
import { dirname, join } from 'node:path';
import { fileURLToPath, pathToFileURL } from 'node:url';
import { build } from 'vite';

const root = dirname(dirname(dirname(fileURLToPath(import.meta.url))));
const load = async (name) => {
  const outDir = join(root, 'node_modules', '.cache', 'plumbline', name);
  await build({
    root,
    configFile: false,
    logLevel: 'error',
    ssr: { noExternal: true, target: 'node' },
    build: { ssr: join(root, 'tests', 'bench', `${name}.ts`), outDir, emptyOutDir: true, minify: false },
  });
  return import(pathToFileURL(join(outDir, `${name}.js`)).href);
};

const [truthTrials = 200, observerTrials = 300, seed = 7] = process.argv.slice(2).map(Number);
const { TRUTHS, rowOf, truthHead, truthLine } = await load('truthExperiment');
console.log(
  `${truthTrials} trials each, seed ${seed}; wanted: 90 % ellipses hold 82 to 96, 50 % 40 to 60, a miss never`,
);
console.log(`over 1.02 of the forecast's alone\n${truthHead}`);
for (const exit of ['low', 'high'])
  for (const truth of truthTrials > 0 ? TRUTHS : []) console.log(truthLine(rowOf(truth, exit, truthTrials, seed)));
if (observerTrials > 0) {
  const { observersTable } = await load('wrongObservers');
  for (const line of observersTable(observerTrials, seed)) console.log(line);
}
