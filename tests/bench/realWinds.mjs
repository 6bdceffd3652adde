// How wrong a wind can be, on real winds, as one table: node tests/bench/realWinds.mjs. Needs ../shared.
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
const { leaveOneStationOut, realWinds, tableOfHeld } = await import(pathToFileURL(join(outDir, 'realWinds.js')).href);
const openData = join(dirname(root), 'shared', 'open-data');
console.log(tableOfHeld(await realWinds(openData)));
const { rows, chosen } = await leaveOneStationOut(openData);
console.log(`${tableOfHeld(rows)}\nbulk share that the other stations chose: ${chosen.join(', ')}`);
