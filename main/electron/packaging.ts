// How electron-builder makes Electron's packages. The fuses come from the one table of them.
import { fuses, type Fuse } from './fuses.ts';

/** electron-builder names a fuse as Electron's wire does, with a small first letter. */
type FuseName = Uncapitalize<Fuse>;

const named = (fuse: string): FuseName => `${fuse.charAt(0).toLowerCase()}${fuse.slice(1)}` as FuseName;

/** The configuration, as plain data; `output`: the folder for the packages. */
export function configuration(output: string): object {
  return {
    appId: 'org.plumbline.window',
    productName: 'Plumbline',
    directories: { output },
    files: [
      'dist/client/**',
      'dist/main/**',
      'dist/preload/**',
      'data/**',
      '!data/pictures/**',
      '!data/make-*',
      'package.json',
    ],
    asar: true,
    electronFuses: Object.fromEntries(Object.entries(fuses).map(([fuse, on]) => [named(fuse), on])),
    fileAssociations: [{ ext: 'mission.json', name: 'Plumbline mission', role: 'Editor' }],
    linux: {
      target: ['AppImage', 'deb'],
      category: 'Science',
      maintainer: 'Plumbline',
      mimeTypes: ['application/x-plumbline-mission+json'],
    },
    deb: { depends: [] },
    win: { target: ['nsis'] },
    mac: { target: ['dmg'], category: 'public.app-category.utilities' },
  };
}
