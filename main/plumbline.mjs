// The command line: installs and builds what is missing, then runs the built command in this same process.
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { ensureBuilt, ensureInstalled, plainly, root } from './setup.mjs';

await plainly(async () => {
  ensureInstalled();
  await ensureBuilt(['main']);
  const { main } = await import(pathToFileURL(join(root, 'dist', 'main', 'cli.js')).href);
  return main(process.argv.slice(2));
});
