// The one table of colour roles, by look. `apply.ts` writes them as CSS variables (`--ink`, `--paper`, …); canvas
// layers read them here. Hues: Okabe & Ito, "Color Universal Design" (2008), made darker or dimmer until they meet the
// contrasts that `tests/renderer/contrast.test.ts` computes: text 4.5:1, marks 3:1, on paper and on the map, in both
// looks. `mapShade` is the far end of the hillshade, the hardest ground for a mark.

export type Look = 'day' | 'night';

export const roleNames = [
  'ink',
  'quiet',
  'paper',
  'raised',
  'map',
  'mapShade',
  'line',
  'accent',
  'wind',
  'path',
  'canopy',
  'spread',
  'zone',
  'hazard',
  'crew',
  'good',
  'caution',
  'stop',
] as const;

export type Role = (typeof roleNames)[number];
export type Palette = Readonly<Record<Role, string>>;

const day: Palette = {
  ink: '#1b1d1f',
  quiet: '#565b60',
  paper: '#fafaf7',
  raised: '#ffffff',
  map: '#f3f1ea',
  mapShade: '#d6d2c6',
  line: '#d9d8d1',
  accent: '#005b96', // blue
  wind: '#1b6388', // sky blue, darker
  path: '#963a74', // reddish purple, darker
  canopy: '#8a5300', // orange, darker
  spread: '#6b6200', // yellow, darker
  zone: '#006b4a', // bluish green, darker
  hazard: '#a84300', // vermillion, darker
  crew: '#33383d', // black
  good: '#006848', // bluish green, darker
  caution: '#865000', // orange, darker
  stop: '#a83a00', // vermillion, darker
};

const night: Palette = {
  ink: '#b9b6ac',
  quiet: '#8d8b83',
  paper: '#0e0f0f',
  raised: '#171818',
  map: '#131413',
  mapShade: '#262724',
  line: '#2e2f2d',
  accent: '#6d9dbd',
  wind: '#6f9fb4',
  path: '#b97fa1',
  canopy: '#c18d36',
  spread: '#a49c4a',
  zone: '#52a081',
  hazard: '#c8713f',
  crew: '#a6a8a2',
  good: '#56a183',
  caution: '#c18d36',
  stop: '#cf7643',
};

export const palettes: Readonly<Record<Look, Palette>> = { day, night };
