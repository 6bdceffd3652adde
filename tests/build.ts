// The built program, built again where it is missing or older than its sources, so that a test never looks at
// yesterday's build.
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { projectRoot } from './openData.ts';

export type BuildPart = 'client' | 'main' | 'preload';

interface Setup {
  readonly ensureBuilt: (parts: readonly BuildPart[]) => Promise<void>;
}

/** Builds what is stale; answers the output's folder. Throws a sentence where it cannot be built. */
export async function builtProgram(parts: readonly BuildPart[]): Promise<string> {
  // The launchers are plain JavaScript, without types: they run before anything is installed.
  const setup = (await import(/* @vite-ignore */ pathToFileURL(join(projectRoot, 'main', 'setup.mjs')).href)) as Setup;
  await setup.ensureBuilt(parts);
  return join(projectRoot, 'dist');
}
