// Which sheets a new scene repaints. Parts are compared by identity: callers hand over the same object for what did not
// change.
import type { MapScene } from './scene.ts';

/**
 * Marks: the path, what moves, and every word. They change together, and each canvas more costs the browser a copy of
 * it in a frame.
 */
export type SheetName = 'terrain' | 'ground' | 'spread' | 'marks';

/** What each sheet is painted from. Every key of a scene stands here, so a new one cannot be forgotten. */
const paintedOn: Readonly<Record<keyof MapScene, readonly SheetName[]>> = {
  site: ['ground', 'spread', 'marks'],
  units: ['terrain', 'ground', 'spread', 'marks'],
  terrain: ['terrain', 'marks'],
  surfaceWind: ['ground', 'marks'],
  zones: ['ground', 'marks'],
  chances: ['marks'],
  target: ['marks'],
  hazards: ['ground', 'marks'],
  landmarks: ['ground', 'marks'],
  crews: ['marks'],
  exit: ['marks'],
  track: ['marks'],
  opening: ['marks'],
  landing: ['marks'],
  stageMarks: ['marks'],
  trail: ['marks'],
  pointedHeight_m: ['marks'],
  chosen: ['ground', 'spread', 'marks'],
  slice: [],
  dots: ['spread'],
  contours: ['spread', 'marks'],
  ellipses: ['spread', 'marks'],
  reach: ['spread', 'marks'],
  exitLine: ['spread', 'marks'],
  bestExit: ['spread', 'marks'],
  cases: ['spread', 'marks'],
  bodies: ['marks'],
  standby: ['spread', 'marks'],
  keepClear: ['spread', 'marks'],
  smoke: ['spread', 'marks'],
  search: ['spread', 'marks'],
  fixes: ['marks'],
};

const keys = Object.keys(paintedOn).filter((key): key is keyof MapScene => key in paintedOn);

export function changes(before: MapScene, after: MapScene): SheetName[] {
  const sheets = new Set<SheetName>();
  for (const key of keys) if (before[key] !== after[key]) for (const sheet of paintedOn[key]) sheets.add(sheet);
  return [...sheets];
}
