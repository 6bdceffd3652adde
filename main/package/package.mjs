// `npm run package`: what a person without tools can start. On Linux a folder in one archive, with window and command
// line as one executable (Node's single executable application, made of the Node that runs). Electron's packages too,
// where Electron's program is there. Everything goes to `dist/package/`.
import { spawnSync } from 'node:child_process';
import { createHash } from 'node:crypto';
import {
  chmodSync,
  copyFileSync,
  cpSync,
  existsSync,
  mkdirSync,
  readdirSync,
  readFileSync,
  rmSync,
  writeFileSync,
} from 'node:fs';
import { dirname, join, relative } from 'node:path';
import { serialize } from 'node:v8';
import { gzipSync } from 'node:zlib';
import { ensureBuilt, ensureInstalled, plainly, Refusal, root, say } from '../setup.mjs';
import { electronPackages } from './electron.mjs';
import { billOfMaterials, bundled, noticesText } from './notices.mjs';

/**
 * The text in Node's binary that says where the application begins (Node's documentation, "Single executable
 * applications").
 */
const FUSE = 'NODE_SEA_FUSE_fce680ab2cc467b6e072b8b5df1996b2';
const own = join(root, 'main', 'package');
const out = join(root, 'dist', 'package');

const { version } = JSON.parse(readFileSync(join(root, 'package.json'), 'utf8'));

/** Files of a folder as paths from the root, sorted, so that the same program gives the same bytes. */
function filesBelow(folder, wanted = () => true) {
  return readdirSync(join(root, folder), { recursive: true, withFileTypes: true })
    .filter((entry) => entry.isFile())
    .map((entry) => relative(root, join(entry.parentPath, entry.name)).replaceAll('\\', '/'))
    .filter(wanted)
    .sort();
}

/** What the executable unpacks: the built program, the demo missions, the notices. */
function programFiles(notices, bill) {
  const paths = [
    ...filesBelow('dist/client'),
    ...filesBelow('dist/main'),
    ...filesBelow('data', (path) => !/^data\/(pictures\/|make-)/.test(path)),
    'package.json',
    'CHANGELOG.md',
    'LICENSE',
  ];
  return {
    ...Object.fromEntries(paths.map((path) => [path, readFileSync(join(root, path))])),
    'start.cjs': readFileSync(join(own, 'start.cjs')),
    'THIRD-PARTY.txt': Buffer.from(notices),
    'sbom.cdx.json': Buffer.from(bill),
  };
}

/** Node's own program with the application inside it. */
async function executable(folder, files) {
  const work = join(out, 'work');
  mkdirSync(work, { recursive: true });
  const program = gzipSync(serialize(files), { level: 9 });
  const assets = { program: join(work, 'program'), digest: join(work, 'digest') };
  writeFileSync(assets.program, program);
  writeFileSync(assets.digest, createHash('sha256').update(program).digest('hex'));
  const blob = join(work, 'application.blob');
  const config = join(work, 'application.json');
  const settings = { main: join(own, 'boot.cjs'), output: blob, assets, disableExperimentalSEAWarning: true };
  writeFileSync(config, JSON.stringify(settings));
  const made = spawnSync(process.execPath, ['--experimental-sea-config', config], { encoding: 'utf8' });
  if (made.status !== 0) throw new Refusal(`Node could not make the application: ${made.stderr.trim()}`);
  const path = join(folder, process.platform === 'win32' ? 'plumbline.exe' : 'plumbline');
  copyFileSync(process.execPath, path);
  chmodSync(path, 0o755);
  const { inject } = await import('postject');
  await inject(path, 'NODE_SEA_BLOB', readFileSync(blob), {
    sentinelFuse: FUSE,
    ...(process.platform === 'darwin' ? { machoSegmentName: 'NODE_SEA' } : {}),
  });
  rmSync(work, { recursive: true });
  return path;
}

await plainly(async () => {
  ensureInstalled();
  await ensureBuilt(['client', 'main', 'preload']);
  rmSync(out, { recursive: true, force: true });
  const name = `plumbline-${version}-${process.platform}-${process.arch}`;
  const folder = join(out, name);
  mkdirSync(folder, { recursive: true });
  const packages = bundled();
  const notices = noticesText(packages);
  const bill = `${JSON.stringify(billOfMaterials(version, packages), null, 2)}\n`;
  const path = await executable(folder, programFiles(notices, bill));
  writeFileSync(join(folder, 'THIRD-PARTY.txt'), notices);
  writeFileSync(join(folder, 'sbom.cdx.json'), bill);
  for (const file of ['LICENSE', 'CHANGELOG.md']) copyFileSync(join(root, file), join(folder, file));
  if (process.platform === 'linux') cpSync(join(own, 'linux'), folder, { recursive: true });
  const archive = join(out, `${name}.tar.gz`);
  const packed = spawnSync('tar', ['-czf', archive, '-C', out, name], { encoding: 'utf8' });
  if (packed.status !== 0) throw new Refusal(`The archive could not be written: ${packed.stderr || packed.error}`);
  say(`One folder in one archive: ${relative(root, archive)} (starts with ${relative(root, path)})`);
  await electronPackages({ root, out, say });
  return existsSync(archive) && existsSync(dirname(path)) ? 0 : 1;
});
