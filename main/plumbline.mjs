// The command line: installs and builds what is missing, then runs the built command in this same process.
import module from 'node:module';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { ensureBuilt, ensureInstalled, plainly, root } from './setup.mjs';

// Newer Nodes keep compiled code between starts; Node 20 cannot and compiles each time.
module.enableCompileCache?.(join(root, 'node_modules', '.cache', 'plumbline', 'compiled'));

await plainly(async () => {
  ensureInstalled();
  await ensureBuilt(['main']);
  const { main } = await import(pathToFileURL(join(root, 'dist', 'main', 'cli.js')).href);
  return main(process.argv.slice(2));
});
