// The imports and exports of the project's own files, read from the files themselves: what the tests of the layers and
// of the names look at.
import { readdirSync, readFileSync } from 'node:fs';
import { builtinModules } from 'node:module';
import { dirname, join, normalize, sep } from 'node:path';
import { parseSync } from 'vite';
import { projectRoot } from './openData.ts';

export interface Import {
  /** From the project's root, with `/`. */
  readonly from: string;
  /** A file of the project from its root, or a package's name. */
  readonly to: string;
  readonly kind: 'file' | 'package' | 'node';
}

/** A name taken from another file; `*`: everything that it exports. */
export interface Use {
  readonly file: string;
  readonly name: string;
}

export interface Source {
  readonly path: string;
  /** Without its comments. */
  readonly code: string;
  readonly imports: readonly Import[];
  readonly exported: readonly string[];
  readonly uses: readonly Use[];
}

const BUILTIN = new Set(builtinModules);

export function sourcesBelow(folder: string): Source[] {
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

export function readText(path: string, text: string): Source {
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
  const exported = module.staticExports.flatMap((one) => one.entries.map((entry) => entry.exportName.name ?? '*'));
  const imports = [...new Set(named)].map((name) => resolved(path, name));
  return { path, code, imports, exported, uses: usesOf(path, code, module) };
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

type Module = ReturnType<typeof parseSync>['module'];

/** Every name that a file takes from others. What is taken whole counts as every name of it. */
function usesOf(path: string, code: string, { staticImports, staticExports, dynamicImports }: Module): Use[] {
  const uses: Use[] = [];
  const use = (from: string, name: string | null | undefined): void => {
    const { to, kind } = resolved(path, from);
    if (kind === 'file') uses.push({ file: to, name: name ?? '*' });
  };
  for (const { moduleRequest, entries } of staticImports)
    for (const { importName } of entries) use(moduleRequest.value, importName.name);
  for (const { entries } of staticExports)
    for (const { moduleRequest, importName } of entries)
      if (moduleRequest !== null && moduleRequest !== undefined) use(moduleRequest.value, importName.name);
  for (const { start, end, moduleRequest } of dynamicImports) {
    const from = literal(code.slice(moduleRequest.start, moduleRequest.end), path);
    const member = /^\)\.(\w+)/.exec(code.slice(end, end + 60))?.[1];
    const names = /const \{([^}]*)\} = await $/.exec(code.slice(Math.max(0, start - 300), start))?.[1];
    if (member !== undefined && member !== 'then') use(from, member);
    else if (names === undefined) use(from, '*');
    else for (const name of names.split(',')) use(from, name.split(':')[0]?.trim());
  }
  for (const [, from = '', name] of code.matchAll(/\bimport\('(\.[^']+)'\)\.(\w+)/g)) use(from, name);
  return uses;
}

/** Rings of files that import each other, each as its files in alphabetical order. */
export function circlesOf(sources: readonly Source[]): string[][] {
  const next = new Map(sources.map(({ path, imports }) => [path, imports.map(({ to }) => to)]));
  const reached = new Map<string, Set<string>>();
  const reach = (from: string): Set<string> => {
    const known = reached.get(from);
    if (known !== undefined) return known;
    const found = new Set<string>();
    const waiting = [...(next.get(from) ?? [])];
    for (let to = waiting.pop(); to !== undefined; to = waiting.pop()) {
      if (found.has(to) || !next.has(to)) continue;
      found.add(to);
      waiting.push(...(next.get(to) ?? []));
    }
    reached.set(from, found);
    return found;
  };
  const rings = [...next.keys()]
    .filter((path) => reach(path).has(path))
    .map((path) => [...reach(path)].filter((other) => reach(other).has(path)).sort());
  return [...new Map(rings.map((ring) => [ring.join(), ring])).values()];
}
