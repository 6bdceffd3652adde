// The colour roles meet their contrasts in both looks. ref: WCAG 2.2 success criteria 1.4.3 (text 4.5:1) and
// 1.4.11 (graphics 3:1); source: W3C. The formula itself is checked on the pairs that the standard and its techniques
// print.
import { describe, expect, test } from 'vitest';
import { palettes, roleNames, type Look, type Role } from '../../renderer/theme/roles.ts';
import { contrast, luminance } from '../contrast.ts';

/**
 * What each role is for. Grounds lie under text and marks; `mapShade` is the far end of the hillshade, the hardest
 * ground for a mark.
 */
const roleUse: Readonly<Record<Role, 'ground' | 'text' | 'mark' | 'hairline'>> = {
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

describe('the formula', () => {
  test('black on white is 21:1, a colour on itself 1:1 (WCAG 2.2, "contrast ratio")', () => {
    expect(contrast('#000000', '#ffffff')).toBeCloseTo(21, 10);
    expect(contrast('#767676', '#767676')).toBe(1);
  });
  test('#767676 is the lightest grey that passes 4.5:1 on white (W3C, technique G18 and common practice)', () => {
    expect(contrast('#767676', '#ffffff')).toBeGreaterThanOrEqual(4.5);
    expect(contrast('#777777', '#ffffff')).toBeLessThan(4.5);
  });
});

const looks: readonly Look[] = ['day', 'night'];
const least = { text: 4.5, mark: 3 } as const;

describe.each(looks)('%s', (look) => {
  const palette = palettes[look];
  const grounds = roleNames.filter((role) => roleUse[role] === 'ground');
  const marks = roleNames.filter((role) => roleUse[role] === 'mark' || roleUse[role] === 'text');

  test('there are grounds and marks to compare', () => {
    expect(grounds).toEqual(['paper', 'raised', 'map', 'mapShade']);
    expect(marks.length).toBe(13);
  });

  test.each(marks)('%s is seen on every ground', (role) => {
    for (const ground of grounds) {
      // Text stands on paper, raised and the plain map; the shaded side of a hill carries marks only (labels have a
      // halo of the map's colour).
      const use = roleUse[role] === 'text' && ground !== 'mapShade' ? 'text' : 'mark';
      const ratio = contrast(palette[role], palette[ground]);
      expect(ratio, `${role} ${palette[role]} on ${ground} ${palette[ground]}`).toBeGreaterThanOrEqual(least[use]);
    }
  });

  test('text is legible too where the accent is the ground (pressed buttons write in paper)', () => {
    expect(contrast(palette.paper, palette.accent)).toBeGreaterThanOrEqual(4.5);
    expect(contrast(palette.paper, palette.caution)).toBeGreaterThanOrEqual(4.5);
    expect(contrast(palette.paper, palette.stop)).toBeGreaterThanOrEqual(4.5);
  });
});

test('night holds nothing bright: no role above half of white, and no blue above the red and green beside it by more than a third', () => {
  for (const role of roleNames) {
    const hex = palettes.night[role];
    expect(luminance(hex), role).toBeLessThan(0.5);
    const [r, g, b] = [1, 3, 5].map((at) => parseInt(hex.slice(at, at + 2), 16)) as [number, number, number];
    expect(b, role).toBeLessThanOrEqual(Math.max(r, g) * (4 / 3));
  }
});
