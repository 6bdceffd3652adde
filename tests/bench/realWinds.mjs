// How wrong a wind can be, on real winds, as one table: node tests/bench/realWinds.mjs [members]. Needs ../shared.
import { dirname, join } from 'node:path';
import { fileURLToPath, pathToFileURL } from 'node:url';
import { build } from 'vite';

const root = dirname(dirname(dirname(fileURLToPath(import.meta.url))));
const outDir = join(root, 'node_modules', '.cache', 'plumbline', 'realWinds');
await build({
  root,
  configFile: false,
  logLevel: 'error',
  ssr: { noExternal: true, target: 'node' },
  build: { ssr: join(root, 'tests', 'bench', 'realWinds.ts'), outDir, emptyOutDir: true, minify: false },
});
const { realWinds, tableOfHeld } = await import(pathToFileURL(join(outDir, 'realWinds.js')).href);
console.log(tableOfHeld(await realWinds(join(dirname(root), 'shared', 'open-data'), Number(process.argv[2] ?? 400))));
