// Electron's packages: AppImage and deb on Linux, installers for Windows and macOS where it runs there.
// electron-builder makes them of Electron's own program; where that is not there and cannot be fetched, one loud line
// says so.
import { spawnSync } from 'node:child_process';
import { existsSync } from 'node:fs';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';

const FETCH_LIMIT_ms = 120_000;

/** Fetches Electron's program once, with a time limit. */
function electronProgram(root) {
  const folder = join(root, 'node_modules', 'electron');
  const there = () => existsSync(join(folder, 'path.txt'));
  if (!there())
    spawnSync(process.execPath, [join(folder, 'install.js')], {
      stdio: 'ignore',
      timeout: FETCH_LIMIT_ms,
      killSignal: 'SIGKILL',
    });
  return there();
}

export async function electronPackages({ root, out, say }) {
  // A test of the rest asks for none of them, so that it does not wait for a fetch.
  if (process.env['PLUMBLINE_PACKAGE_ELECTRON'] === '0' || !electronProgram(root)) {
    say(
      '*** NOT MADE: Electron’s packages (AppImage, deb, Windows, macOS). Electron’s program is not on this ' +
        'machine and ' +
        'could not be fetched. Run `npm run package` where it can be. ***',
    );
    return false;
  }
  const { configuration } = await import(pathToFileURL(join(root, 'dist', 'main', 'packaging.js')).href);
  const { build, Platform } = await import('electron-builder');
  await build({
    targets: Platform.current().createTarget(),
    projectDir: root,
    config: configuration(join(out, 'electron')),
  });
  return true;
}
