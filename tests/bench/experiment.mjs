// The observing-system experiment whole: node tests/bench/experiment.mjs [trials] [seed]. 500 trials take some three
// minutes.
import { existsSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath, pathToFileURL } from 'node:url';
import { build } from 'vite';

const root = dirname(dirname(dirname(fileURLToPath(import.meta.url))));
const outDir = join(root, 'node_modules', '.cache', 'plumbline', 'experiment');
await build({
  root,
  configFile: false,
  logLevel: 'error',
  ssr: { noExternal: true, target: 'node' },
  build: { ssr: join(root, 'tests', 'bench', 'experiment.ts'), outDir, emptyOutDir: true, minify: false },
});
const { brokenPromises, truthColumns, runExperiment, tableOf } = await import(
  pathToFileURL(join(outDir, 'experiment.js')).href
);

const shared = join(dirname(root), 'shared', 'open-data');
const trials = Number(process.argv[2] ?? 500);
const seed = Number(process.argv[3] ?? 7);
const columns = await truthColumns(root, existsSync(shared) ? shared : null);
for (const scene of ['day', 'hour']) {
  const began = performance.now();
  const balloonTrials = Math.min(trials, 40);
  const result = runExperiment({ scene, columns, trials, seed, members: 400, reversalTrials: trials, balloonTrials });
  const broken = brokenPromises(result);
  const verdict = broken.length === 0 ? 'every promise kept' : `NOT KEPT: ${broken.join('; ')}`;
  console.log(`${tableOf(result)}\n${verdict} (${((performance.now() - began) / 1000).toFixed(0)} s)\n`);
  if (broken.length > 0) process.exitCode = 1;
}
