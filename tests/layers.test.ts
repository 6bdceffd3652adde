// The layers of the house, read from the imports themselves: nothing lower knows what is above it, and the two halves
// of the program meet in one file. A file that belongs to no layer fails too: it gets a place in the table first.
import { readdirSync, readFileSync } from 'node:fs';
import { builtinModules } from 'node:module';
import { dirname, join, normalize, sep } from 'node:path';
import { parseSync } from 'vite';
import { describe, expect, it } from 'vitest';
import { projectRoot } from './openData.ts';

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
  'geomagnetism',
  'mgrs',
  'suncalc',
  'metar-taf-parser',
  'nmea-simple',
  'netcdfjs',
  'h5wasm',
  '@tmcw/togeojson',
  '@cornerstonejs/codec-openjpeg',
]);
const WINDOW_PACKAGES = new Set(['preact', '@preact/signals', 'leaflet', '@fontsource/ibm-plex-sans']);
const HOST_PACKAGES = new Set(['electron', 'ws', '@fontsource/ibm-plex-sans']);
/** The one file of `main/` that the window imports. */
const CONTRACT = 'main/contract.ts';

interface Import {
  /** From the project's root, with `/`. */
  readonly from: string;
  /** A file of the project from its root, or a package's name. */
  readonly to: string;
  readonly kind: 'file' | 'package' | 'node';
}

interface Source {
  readonly path: string;
  readonly code: string;
  readonly imports: readonly Import[];
}

const BUILTIN = new Set(builtinModules);

function sourcesBelow(folder: string): Source[] {
  return readdirSync(join(projectRoot, folder), { recursive: true, withFileTypes: true })
    .filter((entry) => entry.isFile() && /\.tsx?$/.test(entry.name))
    .map((entry) =>
      readSource(
        join(entry.parentPath, entry.name)
          .slice(projectRoot.length + 1)
          .split(sep)
          .join('/'),
      ),
    );
}

const readSource = (path: string): Source => readText(path, readFileSync(join(projectRoot, path), 'utf8'));

function readText(path: string, text: string): Source {
  const { module, comments, errors } = parseSync(path, text);
  if (errors.length > 0) throw new Error(`${path} cannot be read: ${errors[0]?.message}`);
  const code = comments.reduce(
    (rest, { start, end }) => rest.slice(0, start) + ' '.repeat(end - start) + rest.slice(end),
    text,
  );
  const named = [
    ...module.staticImports.map((one) => one.moduleRequest.value),
    ...module.staticExports.flatMap((one) => one.entries.map((entry) => entry.moduleRequest?.value)),
    ...module.dynamicImports.map((one) => literal(text.slice(one.moduleRequest.start, one.moduleRequest.end), path)),
    // A type may import too, and a worker is named by its address.
    ...[...code.matchAll(/\bimport\(\s*'([^']+)'/g)].map((match) => match[1]),
    ...[...code.matchAll(/new URL\(\s*'(\.[^']+)'\s*,\s*import\.meta\.url/g)].map((match) => match[1]),
  ].filter((name) => name !== undefined);
  return { path, code, imports: [...new Set(named)].map((name) => resolved(path, name)) };
}

/** A dynamic import of something that is not a plain text could lead anywhere, so it is not allowed. */
function literal(expression: string, path: string): string {
  const match = /^(['"`])([^'"`$]+)\1$/.exec(expression);
  if (match?.[2] === undefined) throw new Error(`${path} imports ${expression}; expected a plain text`);
  return match[2];
}

function resolved(from: string, name: string): Import {
  if (name.startsWith('.'))
    return {
      from,
      to: normalize(join(dirname(from), name))
        .split(sep)
        .join('/'),
      kind: 'file',
    };
  const parts = name.split('/');
  const bare = name.startsWith('@') ? parts.slice(0, 2).join('/') : (parts[0] ?? name);
  return name.startsWith('node:') || BUILTIN.has(bare)
    ? { from, to: name, kind: 'node' }
    : { from, to: bare, kind: 'package' };
}

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

/** The rooms of the window's state, lowest first: what is stored, what follows from it, what changes it, what tells why. */
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

/** Files that lie on a way of imports from one of them back to itself, a group a line. */
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
