// The one table of colour roles, by look. `apply.ts` writes them as CSS variables (`--ink`, `--paper`, …); canvas
// layers read them here. Hues: Okabe & Ito, "Color Universal Design" (2008), made darker or dimmer until they meet the
// contrasts that
// `tests/renderer/contrast.test.ts` computes: text 4.5:1, marks 3:1, on paper and on the map, in both looks.

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

/**
 * What each role is for. Grounds lie under text and marks; `mapShade` is the far end of the hillshade, the hardest
 * ground for a mark.
 */
export const roleUse: Readonly<Record<Role, 'ground' | 'text' | 'mark' | 'hairline'>> = {
  ink: 'text',
  quiet: 'text',
  paper: 'ground',
  raised: 'ground',
  map: 'ground',
  mapShade: 'ground',
  line: 'hairline',
  accent: 'text',
  wind: 'text',
  path: 'mark',
  canopy: 'mark',
  spread: 'mark',
  zone: 'mark',
  hazard: 'mark',
  crew: 'mark',
  good: 'text',
  caution: 'text',
  stop: 'text',
};

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

/** Relative luminance of `#rrggbb`, 0 to 1. Source: WCAG 2.2, "relative luminance". */
export function luminance(hex: string): number {
  const channel = (at: number): number => {
    const c = parseInt(hex.slice(at, at + 2), 16) / 255;
    return c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4;
  };
  return 0.2126 * channel(1) + 0.7152 * channel(3) + 0.0722 * channel(5);
}

/** Contrast ratio of two `#rrggbb`, 1 to 21. Source: WCAG 2.2, "contrast ratio". */
export function contrast(a: string, b: string): number {
  const [dark, light] = [luminance(a), luminance(b)].sort((x, y) => x - y) as [number, number];
  return (light + 0.05) / (dark + 0.05);
}
