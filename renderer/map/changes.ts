// Which sheets a new scene repaints. Parts are compared by identity: callers hand over the same object for what did not change.
import type { MapScene } from './scene.ts';

export type SheetName = 'terrain' | 'ground' | 'spread' | 'path' | 'labels';

/** What each sheet is painted from. Every key of a scene stands here, so a new one cannot be forgotten. */
const paintedOn: Readonly<Record<keyof MapScene, readonly SheetName[]>> = {
  site: ['ground', 'spread', 'path', 'labels'],
  units: ['terrain', 'ground', 'spread', 'path', 'labels'],
  terrain: ['terrain', 'labels'],
  surfaceWind: ['ground', 'labels'],
  zones: ['ground', 'labels'],
  chances: ['labels'],
  hazards: ['ground', 'labels'],
  landmarks: ['ground', 'labels'],
  crews: ['labels'],
  exit: ['labels'],
  track: ['path', 'labels'],
  opening: ['path', 'labels'],
  landing: ['path', 'labels'],
  stageMarks: ['path', 'labels'],
  trail: ['path', 'labels'],
  pointedHeight_m: ['path', 'labels'],
  chosen: ['ground', 'spread', 'path', 'labels'],
  slice: [],
  dots: ['spread'],
  contours: ['spread', 'labels'],
  ellipses: ['spread', 'labels'],
  reach: ['spread', 'labels'],
  exitLine: ['spread', 'labels'],
  bestExit: ['spread', 'labels'],
  cases: ['spread', 'labels'],
  bodies: ['path', 'labels'],
  standby: ['spread', 'labels'],
  keepClear: ['spread', 'labels'],
  smoke: ['spread', 'labels'],
  search: ['spread', 'labels'],
  fixes: ['path', 'labels'],
};

const keys = Object.keys(paintedOn).filter((key): key is keyof MapScene => key in paintedOn);

export function changes(before: MapScene, after: MapScene): SheetName[] {
  const sheets = new Set<SheetName>();
  for (const key of keys) if (before[key] !== after[key]) for (const sheet of paintedOn[key]) sheets.add(sheet);
  return [...sheets];
}
