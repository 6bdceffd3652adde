// The built window's files, listed once: a request names one of them or gets nothing, so no path can lead out of the
// folder.
import { readdirSync } from 'node:fs';
import { extname, join, relative, sep } from 'node:path';

export interface ClientFile {
  readonly path: string;
  readonly type: string;
  /** Its name holds a hash of its content, so it may be kept for good. */
  readonly hashed: boolean;
}

const TYPES: { readonly [extension: string]: string } = {
  '.html': 'text/html; charset=utf-8',
  '.js': 'text/javascript; charset=utf-8',
  '.css': 'text/css; charset=utf-8',
  '.json': 'application/json; charset=utf-8',
  '.svg': 'image/svg+xml',
  '.png': 'image/png',
  '.ico': 'image/x-icon',
  '.woff2': 'font/woff2',
  '.woff': 'font/woff',
  '.wasm': 'application/wasm',
};

/** By the path of their address: `/` is `index.html`. Files of an unknown type are not served. */
export function clientFiles(folder: string): ReadonlyMap<string, ClientFile> {
  const files = new Map<string, ClientFile>();
  for (const entry of readdirSync(folder, { withFileTypes: true, recursive: true })) {
    const type = TYPES[extname(entry.name)];
    if (!entry.isFile() || type === undefined || entry.name.startsWith('.')) continue;
    const path = join(entry.parentPath, entry.name);
    const address = `/${relative(folder, path).split(sep).join('/')}`;
    files.set(address, { path, type, hashed: /-[\w-]{8}\.\w+$/.test(entry.name) });
  }
  const index = files.get('/index.html');
  if (index !== undefined) files.set('/', index);
  return files;
}
