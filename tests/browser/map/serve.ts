// Builds the page with the map alone into a folder of its own and serves it on the loopback address.
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { createServer } from 'node:http';
import type { AddressInfo } from 'node:net';
import { tmpdir } from 'node:os';
import { dirname, extname, join, normalize } from 'node:path';
import { fileURLToPath } from 'node:url';
import { build } from 'vite';

const here = dirname(fileURLToPath(import.meta.url));
const types: Readonly<Record<string, string>> = {
  '.html': 'text/html; charset=utf-8',
  '.js': 'text/javascript',
  '.css': 'text/css',
  '.woff2': 'font/woff2',
  '.woff': 'font/woff',
};

export interface Served {
  readonly url: string;
  close(): Promise<void>;
}

export async function serveMapPage(): Promise<Served> {
  const folder = mkdtempSync(join(tmpdir(), 'plumbline-map-'));
  await build({
    configFile: false,
    logLevel: 'error',
    root: here,
    base: './',
    publicDir: false,
    oxc: { jsx: { runtime: 'automatic', importSource: 'preact' } },
    build: {
      outDir: folder,
      emptyOutDir: true,
      target: 'es2023',
      assetsInlineLimit: 0,
      rolldownOptions: { input: join(here, 'page.html') },
    },
  });
  const server = createServer((request, response) => {
    const path = normalize(new URL(request.url ?? '/', 'http://x').pathname);
    if (path === '/favicon.ico') return response.writeHead(204).end();
    try {
      const body = readFileSync(join(folder, path));
      return response.writeHead(200, { 'content-type': types[extname(path)] ?? 'application/octet-stream' }).end(body);
    } catch {
      return response.writeHead(404).end();
    }
  });
  await new Promise<void>((ready) => {
    server.listen(0, '127.0.0.1', ready);
  });
  const { port } = server.address() as AddressInfo;
  return {
    url: `http://127.0.0.1:${port}/page.html`,
    async close() {
      await new Promise((done) => {
        server.close(done);
        server.closeAllConnections();
      });
      rmSync(folder, { recursive: true, force: true });
    },
  };
}
