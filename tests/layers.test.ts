// The layers of the house, read from the imports themselves: nothing lower knows what is above it, and the two halves
// of the program meet in one file. A file that belongs to no layer fails too: it gets a place in the table first.
import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { projectRoot } from './openData.ts';
import { circlesOf, readText, sourcesBelow, type Import, type Source } from './sources.ts';

/**
 * The rooms of core, lowest first: a file may import files of its own room and of those before it. A folder is a layer.
 */
const ROOMS = [
  'base',
  'air',
  'earth',
  'words',
  'plan',
  'log',
  'formats/text',
  'formats/grids',
  'formats/messages',
  'formats/terrain',
  'formats/tracks',
  'formats/winds',
  'formats/areas',
  'formats/out',
  'winds',
  'descent',
  'mission',
  'advice',
  'recovery',
  'brief',
  'live',
  'debrief',
  'rehearsal',
  'work',
] as const;

/** Packages without side effects that run the same in a window, a worker and Node. */
const PURE_PACKAGES = new Set([
  'zod',
  '@noble/hashes',
  '@turf/turf',
  'fflate',
  'geographiclib-geodesic',
  'geotiff',
  'egm96-universal',
  'geomagnetism',
  'suncalc',
  'h5wasm',
  'htmlparser2',
  '@cornerstonejs/codec-openjpeg',
]);
const WINDOW_PACKAGES = new Set(['preact', '@preact/signals', 'leaflet', '@fontsource/ibm-plex-sans']);
const HOST_PACKAGES = new Set(['electron', 'ws', '@fontsource/ibm-plex-sans']);
/** The one file of `main/` that the window imports. */
const CONTRACT = 'main/contract.ts';

const layerOf = (path: string): number => ROOMS.findIndex((room) => path.startsWith(`core/${room}/`));
const layerName = (path: string): string => ROOMS[layerOf(path)] ?? 'no room';

const core = sourcesBelow('core');
const renderer = sourcesBelow('renderer');
const main = sourcesBelow('main');
const importsOf = (sources: readonly Source[]): Import[] => sources.flatMap((source) => [...source.imports]);
const show = (found: readonly Import[]): string[] => found.map(({ from, to }) => `${from} imports ${to}`);

describe('core', () => {
  it('imports only core and pure packages: no Node, no Electron, no window', () => {
    const wrong = importsOf(core).filter(
      ({ to, kind }) => !(kind === 'file' ? to.startsWith('core/') : kind === 'package' && PURE_PACKAGES.has(to)),
    );
    expect(show(wrong)).toEqual([]);
  });

  it('is built in layers, and nothing lower imports what is above it', () => {
    expect(core.map(({ path }) => path).filter((path) => layerOf(path) < 0)).toEqual([]);
    const up = importsOf(core).filter(({ from, to, kind }) => kind === 'file' && layerOf(to) > layerOf(from));
    expect(up.map(({ from, to }) => `${from} (${layerName(from)}) imports ${to} (${layerName(to)})`)).toEqual([]);
  });

  it('has no clock and no chance of its own: both come in as arguments', () => {
    const impure =
      /\bDate\.now\b|\bnew Date\(\s*\)|\bMath\.random\b|\bperformance\b|\bcrypto\b|\bsetTimeout\b|\bfetch\(|\bglobalThis\b|\bprocess\./;
    expect(
      core.filter(({ code }) => impure.test(code)).map(({ path, code }) => `${path}: ${impure.exec(code)?.[0]}`),
    ).toEqual([]);
  });

  it('is checked without the types of the page and of Node', () => {
    const config = JSON.parse(readFileSync(join(projectRoot, 'core/tsconfig.json'), 'utf8')) as {
      readonly compilerOptions: unknown;
    };
    expect(config.compilerOptions).toEqual({ lib: ['ES2023'], types: [] });
  });
});

describe('the two halves', () => {
  it('meet only in the contract', () => {
    const crossing = importsOf([...renderer, ...main]).filter(
      ({ from, to }) => from.split('/')[0] !== to.split('/')[0] && /^(renderer|main|tests)\//.test(to),
    );
    expect(show(crossing.filter(({ from, to }) => !(from.startsWith('renderer/') && to === CONTRACT)))).toEqual([]);
  });

  it('the contract brings no code with it that is not plain: what it imports is types', () => {
    const code = main.find(({ path }) => path === CONTRACT)?.code ?? '';
    expect([...code.matchAll(/^import (?!type )/gm)]).toEqual([]);
  });

  it('the window knows no Node, and no host', () => {
    const wrong = importsOf(renderer).filter(
      ({ to, kind }) => kind === 'node' || (kind === 'package' && !PURE_PACKAGES.has(to) && !WINDOW_PACKAGES.has(to)),
    );
    expect(show(wrong)).toEqual([]);
  });

  it('the desk knows no window, and keeps each host’s package to that host', () => {
    const wrong = importsOf(main).filter(
      ({ to, kind }) => kind === 'package' && !PURE_PACKAGES.has(to) && !HOST_PACKAGES.has(to),
    );
    expect(show(wrong)).toEqual([]);
    const stray = importsOf(main).filter(
      ({ from, to }) =>
        (to === 'electron' && !/^main\/(electron\.ts|preload\.ts|electron\/)/.test(from)) ||
        (to === 'ws' && !from.startsWith('main/browser/')),
    );
    expect(show(stray)).toEqual([]);
  });
});

/**
 * The rooms of the window's state, lowest first: what is stored, what follows from it, what changes it, what tells why.
 */
const STATE_ROOMS = ['stored', 'derived', 'acting', 'explaining'] as const;
const stateRoomOf = (path: string): number =>
  STATE_ROOMS.findIndex((room) => path.startsWith(`renderer/state/${room}/`));

describe('the state of the window', () => {
  it('lies in its rooms, and nothing lower imports what is above it', () => {
    const inState = renderer.filter(({ path }) => path.startsWith('renderer/state/'));
    expect(inState.map(({ path }) => path).filter((path) => stateRoomOf(path) < 0)).toEqual([]);
    expect(show(importsOf(inState).filter(({ from, to }) => stateRoomOf(to) > stateRoomOf(from)))).toEqual([]);
  });
});

/** Files that lie on a way of imports from one of them back to itself, one group per line. */
function circles(sources: readonly Source[]): string[] {
  const targets = new Map(sources.map(({ path, imports }) => [path, imports.map(({ to }) => to)]));
  const reached = new Map(
    sources.map(({ path }) => {
      const found = new Set<string>();
      const waiting = [...(targets.get(path) ?? [])];
      for (let next = waiting.pop(); next !== undefined; next = waiting.pop()) {
        if (found.has(next)) continue;
        found.add(next);
        waiting.push(...(targets.get(next) ?? []));
      }
      return [path, found];
    }),
  );
  const groups = sources
    .filter(({ path }) => reached.get(path)?.has(path) === true)
    .map(({ path }) => [...(reached.get(path) ?? [])].filter((to) => reached.get(to)?.has(path) === true).sort());
  return [...new Set(groups.map((group) => group.join(' ')))];
}

describe('every file', () => {
  it('is imported by none of the files that it imports, on any way round', () => {
    expect(circlesOf([...core, ...renderer, ...main])).toEqual([]);
    const ring = [
      ['core/a.ts', "import './b.ts';"],
      ['core/b.ts', "export * from './c.ts';"],
      ['core/c.ts', "type A = import('./a.ts').A;"],
      ['core/d.ts', "import './a.ts';"],
    ] as const;
    expect(circlesOf(ring.map(([path, text]) => readText(path, text)))).toEqual([
      ['core/a.ts', 'core/b.ts', 'core/c.ts'],
    ]);
  });

  it('is part of no circle of imports', () => {
    expect(circles([...renderer, ...main])).toEqual([]);
  });

  it('imports with the extension, and files that exist', () => {
    const files = new Set([...core, ...renderer, ...main].map(({ path }) => path));
    const wrong = importsOf([...core, ...renderer, ...main]).filter(
      ({ to, kind }) => kind === 'file' && /\.tsx?$|\/[^.]*$/.test(to) && !files.has(to),
    );
    expect(show(wrong)).toEqual([]);
  });

  it('was read: a test that found no imports would prove nothing', () => {
    expect(core.length).toBeGreaterThan(50);
    expect(main.length).toBeGreaterThan(25);
    expect(renderer.length).toBeGreaterThan(20);
    expect(importsOf([...core, ...renderer, ...main]).length).toBeGreaterThan(300);
  });
});

describe('the tests', () => {
  it('draw their properties by one seed: fast-check comes in by `tests/property.ts` alone', () => {
    const importing = readdirSync(join(projectRoot, 'tests'), { recursive: true, encoding: 'utf8' }).filter(
      (name) =>
        /\.tsx?$/.test(name) && /from 'fast-check'/.test(readFileSync(join(projectRoot, 'tests', name), 'utf8')),
    );
    expect(importing).toEqual(['layers.test.ts', 'property.ts']);
  });
});

describe('the rules themselves', () => {
  it('see a circle', () => {
    const a = readText('core/a.ts', "import './b.ts';");
    const b = readText('core/b.ts', "import './c.ts';");
    const c = readText('core/c.ts', "import type { X } from './b.ts';");
    expect(circles([a, b, c])).toEqual(['core/b.ts core/c.ts']);
  });

  // Each line is a way to break the layers; the reader must see it. (A rule that sees nothing passes everything.)
  it.each([
    ["import { app } from 'electron';", 'electron', 'package'],
    ["import fs from 'fs';", 'fs', 'node'],
    ["import 'node:fs/promises';", 'node:fs/promises', 'node'],
    ["export { x } from '../main/desk.ts';", 'main/desk.ts', 'file'],
    ["export * from '@scope/name/deep';", '@scope/name', 'package'],
    ["const x = await import('../renderer/app.tsx');", 'renderer/app.tsx', 'file'],
    ["type X = import('ws').WebSocket;", 'ws', 'package'],
    ["new Worker(new URL('../renderer/worker.ts', import.meta.url));", 'renderer/worker.ts', 'file'],
  ] as const)('see %s', (line, to, kind) => {
    expect(readText('core/x.ts', line).imports).toEqual([{ from: 'core/x.ts', to, kind }]);
  });
});
