// The packaged program as somebody without tools has it: an empty environment, no Node, no node_modules, another
// folder. Starting it proves that everything is inside.
import { spawn, spawnSync } from 'node:child_process';
import { cpSync, existsSync, mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { projectRoot } from '../openData.ts';

const { version } = JSON.parse(readFileSync(join(projectRoot, 'package.json'), 'utf8')) as { readonly version: string };
const name = `plumbline-${version}-linux-${process.arch}`;
const elsewhere = mkdtempSync(join(tmpdir(), 'plumbline-package-'));
const folder = join(elsewhere, name);
const program = join(folder, 'plumbline');
/** Nothing of this machine's environment: only a home of its own, so that what is unpacked can be looked at. */
const environment = { HOME: join(elsewhere, 'home'), PATH: '' };

const run = (args: readonly string[], env: Readonly<Record<string, string>> = environment) =>
  spawnSync(program, args, { encoding: 'utf8', env, cwd: elsewhere });

describe.skipIf(process.platform !== 'linux')('the packaged program', () => {
  beforeAll(() => {
    const made = spawnSync(process.execPath, ['main/package/package.mjs'], {
      cwd: projectRoot,
      encoding: 'utf8',
      env: { ...process.env, PLUMBLINE_PACKAGE_ELECTRON: '0' },
    });
    expect([made.status, made.stderr]).toEqual([0, expect.stringContaining('NOT MADE: Electron')]);
    mkdirSync(environment.HOME);
    const archive = join(projectRoot, 'dist', 'package', `${name}.tar.gz`);
    expect(spawnSync('tar', ['-xzf', archive, '-C', elsewhere]).status).toBe(0);
  });
  afterAll(() => rmSync(elsewhere, { recursive: true, force: true }));

  it('starts with an empty PATH and no node_modules: the demo’s answer and the address of the window', () => {
    const ran = run(['--check', '--port', '0']);
    expect(ran).toMatchObject({ status: 0, stderr: '' });
    expect(ran.stdout).toMatch(
      /Touchdown[\s\S]*Advisory only[\s\S]*The window is at http:\/\/127\.0\.0\.1:\d+\/#token=/,
    );
    expect(existsSync(join(folder, 'node_modules'))).toBe(false);
  });

  it('serves the window’s page and its program to a browser', async () => {
    const child = spawn(program, ['--port', '0'], { env: environment, stdio: ['ignore', 'pipe', 'inherit'] });
    try {
      const address = await new Promise<string>((resolve, reject) => {
        let out = '';
        child.stdout.on('data', (chunk: Buffer) => {
          out += chunk.toString();
          const found = /The window is at (http:\/\/127\.0\.0\.1:\d+\/)#/.exec(out)?.[1];
          if (found !== undefined) resolve(found);
        });
        child.once('exit', () => reject(new Error(`it ended: ${out}`)));
      });
      const page = await fetch(address);
      const html = await page.text();
      expect(page.status).toBe(200);
      const script = /src="\.\/(assets\/[^"]+\.js)"/.exec(html)?.[1] ?? '';
      expect((await (await fetch(`${address}${script}`)).text()).length).toBeGreaterThan(10_000);
    } finally {
      child.kill();
    }
  });

  it('is the command line too, with its worker threads, and refuses with a sentence', () => {
    const mission = join(elsewhere, 'own.mission.json');
    cpSync(join(projectRoot, 'data', 'town-meadow'), elsewhere, { recursive: true });
    cpSync(join(elsewhere, 'town-meadow.mission.json'), mission);
    const answer = run(['ensemble', mission, '--members', '4000', '--json']);
    expect(answer.status).toBe(0);
    expect(JSON.parse(answer.stdout)).toMatchObject({ members: 4000 });
    expect(run(['--version']).stdout.trim()).toBe(version);
    const none = run(['/none.mission.json']);
    expect(none).toMatchObject({ status: 2, stdout: '', stderr: 'plumbline: /none.mission.json does not exist\n' });
  });

  it('unpacks itself again where what it had unpacked is not whole, and elsewhere where the home cannot be written', () => {
    const cache = join(environment.HOME, '.cache', 'plumbline');
    const unpacked = join(cache, readdirSync(cache).find((entry) => entry.startsWith('program-')) ?? 'none');
    rmSync(join(unpacked, 'whole'));
    rmSync(join(unpacked, 'dist'), { recursive: true });
    expect(run(['--version']).stdout.trim()).toBe(version);
    expect(existsSync(join(unpacked, 'dist', 'main', 'standalone.js'))).toBe(true);
    const file = join(elsewhere, 'not-a-folder');
    writeFileSync(file, '');
    expect(run(['--version'], { ...environment, XDG_CACHE_HOME: file }).stdout.trim()).toBe(version);
  });

  it('brings the licences of everything inside and a bill of materials', () => {
    const notices = readFileSync(join(folder, 'THIRD-PARTY.txt'), 'utf8');
    const bill = JSON.parse(readFileSync(join(folder, 'sbom.cdx.json'), 'utf8')) as {
      readonly components: readonly { readonly name: string; readonly version: string; readonly licenses?: unknown }[];
    };
    const lock = JSON.parse(readFileSync(join(projectRoot, 'package.json'), 'utf8')) as {
      readonly dependencies: Readonly<Record<string, string>>;
    };
    for (const [dependency, wanted] of Object.entries(lock.dependencies)) {
      expect(notices).toContain(`${dependency} ${wanted} (`);
      expect(bill.components).toContainEqual(expect.objectContaining({ name: dependency, version: wanted }));
    }
    expect(bill.components.filter((one) => one.name !== 'node').every((one) => one.licenses !== undefined)).toBe(true);
    // The kinds of notice that the packages oblige us to pass on.
    for (const text of ['SIL OPEN FONT LICENSE', 'Apache License', 'Redistribution and use', 'HDF5', 'Node.js v'])
      expect(notices).toContain(text);
  });

  it('enters the menu and the file type for one person, and takes them back', () => {
    const home = { ...environment, PATH: '/usr/bin:/bin' };
    const share = join(environment.HOME, '.local', 'share');
    const install = (...args: string[]) => spawnSync('sh', [join(folder, 'install.sh'), ...args], { env: home });
    expect(install().status).toBe(0);
    const entry = readFileSync(join(share, 'applications', 'plumbline.desktop'), 'utf8');
    expect(entry).toContain(`Exec="${program}" %f\n`);
    expect(entry).toContain('MimeType=application/x-plumbline-mission+json;');
    expect(readFileSync(join(share, 'mime', 'packages', 'plumbline.xml'), 'utf8')).toContain('*.mission.json');
    expect(install('--remove').status).toBe(0);
    expect(existsSync(join(share, 'applications', 'plumbline.desktop'))).toBe(false);
  });
});
