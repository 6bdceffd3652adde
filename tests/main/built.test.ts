// The build as it lies in dist: what each part may hold is what its place allows.
import { readdirSync, readFileSync, statSync } from 'node:fs';
import { builtinModules } from 'node:module';
import { join } from 'node:path';
import { runInNewContext } from 'node:vm';
import { parseSync } from 'vite';
import { beforeAll, describe, expect, it } from 'vitest';
import { callNames } from '../../main/contract.ts';
import { builtProgram } from '../build.ts';

let dist: string;
beforeAll(async () => {
  dist = await builtProgram(['client', 'main', 'preload']);
});

describe('the preload', () => {
  it('is one CommonJS file that requires electron and nothing else', () => {
    expect(readdirSync(join(dist, 'preload')).filter((name) => !name.startsWith('.'))).toEqual(['preload.cjs']);
    const code = readFileSync(join(dist, 'preload', 'preload.cjs'), 'utf8');
    // A sandboxed preload is run as a plain script with `require`: import and export would be syntax errors.
    const { module, program } = parseSync('preload.cjs', code, { sourceType: 'script' });
    expect([module.staticImports, module.staticExports, module.dynamicImports, program.sourceType]).toEqual([
      [],
      [],
      [],
      'script',
    ]);
    const asked: string[] = [];
    const exposed: [string, unknown][] = [];
    const electron = {
      contextBridge: { exposeInMainWorld: (key: string, value: unknown) => void exposed.push([key, value]) },
      ipcRenderer: {},
    };
    const require = (name: string): unknown => {
      asked.push(name);
      return electron;
    };
    runInNewContext(code, { require, module: { exports: {} }, exports: {}, Object });
    expect(asked).toEqual(['electron']);
    expect(exposed.map(([key]) => key)).toEqual(['desk']);
    expect(Object.keys(Object(exposed[0]?.[1]) as object).toSorted()).toEqual(['call', 'on']);
    expect([...code.matchAll(/\brequire\b/g)].length).toBe(1);
  });

  it('lets only the names of the contract through, one channel each', async () => {
    const code = readFileSync(join(dist, 'preload', 'preload.cjs'), 'utf8');
    const invoked: string[] = [];
    const bridge: {
      desk:
        | { readonly call: (...given: unknown[]) => Promise<unknown>; readonly on: (...given: unknown[]) => unknown }
        | undefined;
    } = { desk: undefined };
    const electron = {
      contextBridge: { exposeInMainWorld: (_key: string, value: typeof bridge.desk) => void (bridge.desk = value) },
      ipcRenderer: { invoke: async (channel: string) => void invoked.push(channel) },
    };
    runInNewContext(code, { require: () => electron, module: { exports: {} }, exports: {} });
    const { desk } = bridge;
    if (desk === undefined) throw new Error('nothing was exposed');
    for (const name of Object.keys(callNames)) await desk.call(name);
    for (const name of ['plumbline:call:host/about', 'toString', '__proto__', '', 7, undefined]) {
      await expect(desk.call(name)).rejects.toThrow('There is no such call.');
      expect(() => desk.on(name, () => undefined)).toThrow('There is no such event.');
    }
    expect(invoked).toEqual(Object.keys(callNames).map((name) => `plumbline:call:${name}`));
  });
});

describe('the window', () => {
  it('has no script, style or handler in its page: the content policy would stop them', () => {
    const page = readFileSync(join(dist, 'client', 'index.html'), 'utf8');
    expect(page).not.toMatch(/<script(?![^>]*\bsrc=)[^>]*>/i);
    expect(page).not.toMatch(/<style|\bstyle=|\son\w+=|javascript:/i);
    const addresses = [...page.matchAll(/(?:src|href)="([^"]*)"/g)].map((match) => match[1]);
    expect(addresses.length).toBeGreaterThan(1);
    for (const address of addresses) expect(address).toMatch(/^\.\//);
  });

  it('holds the HDF5 library and the grid of the geoid once: 5 and 3 MB each, and neither in what opens first', () => {
    const sizes = readdirSync(join(dist, 'client', 'assets')).map((name) => ({
      name,
      bytes: statSync(join(dist, 'client', 'assets', name)).size,
    }));
    const large = sizes.filter(({ bytes }) => bytes > 2_000_000).map(({ name }) => name.replace(/-.*/, ''));
    expect(large.toSorted()).toEqual(['hdf5_hl', 'track']);
  });

  it('holds fonts as files, and no word of Node', () => {
    const files = readdirSync(join(dist, 'client', 'assets'));
    expect(files.some((name) => name.endsWith('.woff2'))).toBe(true);
    const scripts = files.filter((name) => name.endsWith('.js'));
    expect(scripts.length).toBeGreaterThan(0);
    for (const name of scripts)
      expect([
        name,
        /from\s*["'](node:|electron|ws)["'/]/.test(readFileSync(join(dist, 'client', 'assets', name), 'utf8')),
      ]).toEqual([name, false]);
    for (const name of files.filter((file) => file.endsWith('.css')))
      expect(readFileSync(join(dist, 'client', 'assets', name), 'utf8')).not.toMatch(
        /url\(\s*["']?(data:font|https?:)/,
      );
  });
});

describe('what Node and Electron run', () => {
  it('needs nothing beside itself but Node and Electron', () => {
    const known = new Set([...builtinModules, ...builtinModules.map((name) => `node:${name}`)]);
    const files = readdirSync(join(dist, 'main'), { recursive: true, encoding: 'utf8' }).filter((name) =>
      name.endsWith('.js'),
    );
    const outside: string[] = [];
    for (const name of files) {
      const { module } = parseSync(name, readFileSync(join(dist, 'main', name), 'utf8'));
      const named = [
        ...module.staticImports.map((one) => one.moduleRequest.value),
        ...module.staticExports.flatMap((one) => one.entries.map((entry) => entry.moduleRequest?.value ?? './')),
      ];
      outside.push(...named.filter((to) => !to.startsWith('.') && !known.has(to)).map((to) => `${name} → ${to}`));
    }
    expect(files.length).toBeGreaterThan(5);
    expect(outside).toEqual(['electron.js → electron']);
  });
});
