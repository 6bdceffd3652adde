// `npm start` as a person without a display has it: the answer of the mission as text, the address with its token, and
// an end.
import { spawn, spawnSync } from 'node:child_process';
import { createServer, type AddressInfo } from 'node:net';
import { join } from 'node:path';
import { beforeAll, describe, expect, it } from 'vitest';
import { WebSocket } from 'ws';
import { builtProgram } from '../build.ts';
import { projectRoot } from '../openData.ts';

const program = join(projectRoot, 'main', 'start.mjs');
/** No display, and no port of an earlier start: what a fresh machine has. */
const environment = { ...process.env, DISPLAY: '', WAYLAND_DISPLAY: '', CI: '' };

beforeAll(async () => void (await builtProgram(['client', 'main', 'preload'])));

const start = (args: readonly string[], more: Readonly<Record<string, string>> = {}) =>
  spawnSync(process.execPath, [program, ...args], { encoding: 'utf8', env: { ...environment, ...more } });

const ADDRESS = /^The window is at (http:\/\/127\.0\.0\.1:(\d+)\/#token=([\w-]{43}))$/m;

describe.skipIf(process.platform !== 'linux')('npm start without a display', () => {
  it('ends with the demo’s answer and the address, where it is only checked', () => {
    for (const ran of [start(['--check', '--port', '0']), start(['--port', '0'], { CI: 'true' })]) {
      expect(ran.status).toBe(0);
      expect(ran.stdout).toMatch(ADDRESS);
      // What a prediction must say whatever its numbers: where the jumper comes down, and that it is advice.
      expect(ran.stdout).toMatch(/Touchdown[\s\S]*Advisory only[\s\S]*The window is at/);
      expect(ran.stderr).not.toMatch(/\n\s+at /);
    }
  });

  it('opens the mission that it is given, and refuses anything else', () => {
    const town = join(projectRoot, 'data', 'town-meadow', 'town-meadow.mission.json');
    const ran = start(['--check', '--port', '0', town]);
    expect([ran.status, ran.stdout.includes(town)]).toEqual([0, true]);
    for (const args of [['--port', 'x'], ['--port', '70000'], ['/none.mission.json'], [town, town], ['--nothing']]) {
      const refused = start(['--check', ...args]);
      expect([args, refused.status, refused.stdout]).toEqual([args, 1, '']);
      expect(refused.stderr).toMatch(/^npm start: .+ \(npm start -- --help says more\)\n$/);
    }
    expect(start(['--help'])).toMatchObject({ status: 0, stderr: '' });
  });

  it('says that a port is in use', async () => {
    const taken = createServer();
    await new Promise<void>((resolve) => void taken.listen(0, '127.0.0.1', resolve));
    const { port } = taken.address() as AddressInfo;
    const ran = start(['--check', '--port', String(port)]);
    expect(ran).toMatchObject({ status: 1, stderr: `Port ${port} is in use; choose another, or leave --port out.\n` });
    taken.close();
  });

  it('stays until it is interrupted, serves the window meanwhile, and ends cleanly', async () => {
    const child = spawn(process.execPath, [program, '--port', '0'], {
      env: environment,
      stdio: ['ignore', 'pipe', 'pipe'],
    });
    let out = '';
    let errors = '';
    child.stderr.on('data', (data: Buffer) => void (errors += data.toString()));
    const url = await new Promise<URL>((resolve, reject) => {
      child.stdout.on('data', (data: Buffer) => {
        out += data.toString();
        const found = ADDRESS.exec(out);
        if (found?.[1] !== undefined && out.includes('Ctrl+C')) resolve(new URL(found[1]));
      });
      child.on('exit', () => reject(new Error(`ended early: ${out}${errors}`)));
    });
    const page = await fetch(url.origin);
    expect([page.status, await page.text()]).toEqual([200, expect.stringContaining('<title>')]);
    const socket = new WebSocket(`ws://${url.host}/desk`, { origin: url.origin });
    const welcome = new Promise<string>(
      (resolve) => void socket.once('message', (data: Buffer) => resolve(data.toString())),
    );
    await new Promise((resolve) => void socket.once('open', resolve));
    socket.send(JSON.stringify({ kind: 'token', token: new URLSearchParams(url.hash.slice(1)).get('token') }));
    expect(await welcome).toBe('{"kind":"welcome"}');
    child.removeAllListeners('exit');
    const ended = new Promise<[number | null, string | null]>(
      (resolve) => void child.once('exit', (status, signal) => resolve([status, signal])),
    );
    child.kill('SIGINT');
    expect(await ended).toEqual([0, null]);
    expect(errors).not.toMatch(/\n\s+at /);
  });
});
