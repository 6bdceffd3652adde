// The build: three environments, one output folder. `client` is the window, `main` what runs on Node and in Electron's
// main process, `preload` the one CommonJS file between them. Nothing else builds this project.
import { existsSync, mkdirSync, writeFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { defineConfig, type Plugin } from 'vite';

const root = dirname(fileURLToPath(import.meta.url));
const dist = join(root, 'dist');

/** What Node runs, by the name it has in `dist/main`. An entry counts from the day its file exists. */
const mainEntries = Object.fromEntries(
  [
    ['electron', 'main/electron.ts'],
    ['launch', 'main/launch.ts'],
    ['standalone', 'main/standalone.ts'],
    ['packaging', 'main/electron/packaging.ts'],
    ['cli', 'main/cli/cli.ts'],
    ['worker', 'main/worker.ts'],
    ['readWorker', 'main/readWorker.ts'],
  ]
    .map(([name = '', path = '']) => [name, join(root, path)] as const)
    .filter(([, path]) => existsSync(path)),
);

/**
 * Leaves the time at which a build began beside its output: sources changed since then make it stale
 * (`main/setup.mjs`).
 */
function stamp(): Plugin {
  const begun = new Map<string, number>();
  return {
    name: 'plumbline-stamp',
    apply: 'build',
    sharedDuringBuild: true,
    buildStart() {
      begun.set(this.environment.name, Date.now());
    },
    writeBundle() {
      const folder = join(dist, this.environment.name);
      mkdirSync(folder, { recursive: true });
      writeFileSync(join(folder, '.built'), `${begun.get(this.environment.name) ?? 0}\n`);
    },
  };
}

/**
 * The page reads netCDF-4 in a worker of its own, which brings the HDF5 library (5 MB). The page's bundle would bring a
 * second one that never runs; workers are bundled without this plugin.
 */
function hdf5InItsWorker(): Plugin {
  return {
    name: 'plumbline-hdf5-in-its-worker',
    enforce: 'pre',
    applyToEnvironment: ({ name }) => name === 'client',
    resolveId: (id) => (id === 'h5wasm' ? '\0h5wasm-elsewhere' : null),
    load: (id) => (id === '\0h5wasm-elsewhere' ? "throw new Error('netCDF-4 is read in a thread of its own');" : null),
  };
}

export default defineConfig({
  root: join(root, 'renderer'),
  base: './',
  publicDir: false,
  plugins: [stamp(), hdf5InItsWorker()],
  oxc: { jsx: { runtime: 'automatic', importSource: 'preact' } },
  // The content policy knows no inline script, style or data: font, so nothing is inlined and no polyfill is injected.
  build: {
    target: 'es2023',
    assetsInlineLimit: 0,
    modulePreload: { polyfill: false },
    emptyOutDir: true,
    reportCompressedSize: false,
  },
  worker: { format: 'es' },
  environments: {
    client: { build: { outDir: join(dist, 'client') } },
    main: {
      consumer: 'server',
      // CommonJS packages that look for their own folder.
      define: { __dirname: 'import.meta.dirname' },
      resolve: { noExternal: true, external: ['electron'], conditions: ['node', 'import', 'module', 'default'] },
      build: {
        outDir: join(dist, 'main'),
        target: 'node20',
        minify: false,
        ssr: true,
        rolldownOptions: {
          input: mainEntries,
          external: ['electron'],
          output: { format: 'es', entryFileNames: '[name].js', chunkFileNames: 'parts/[name]-[hash].js' },
        },
      },
    },
    preload: {
      consumer: 'server',
      resolve: { noExternal: true, external: ['electron'] },
      build: {
        outDir: join(dist, 'preload'),
        target: 'node20',
        minify: false,
        ssr: true,
        rolldownOptions: {
          input: { preload: join(root, 'main/preload.ts') },
          external: ['electron'],
          output: { format: 'cjs', entryFileNames: 'preload.cjs' },
        },
      },
    },
  },
  builder: {
    async buildApp(builder) {
      for (const name of ['client', 'main', 'preload']) {
        const environment = builder.environments[name];
        if (environment !== undefined) await builder.build(environment);
      }
    },
  },
});
