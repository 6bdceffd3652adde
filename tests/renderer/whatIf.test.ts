// What is asked with "what if": units by the exact knot (1852/3600 m/s, NIST SP 811) and the hour.
import { describe, expect, it } from 'vitest';
import { readWhatIf } from '../../renderer/entry/whatIfWords.ts';

describe('a what-if line', () => {
  it.each([
    ['what if surface +4', 4],
    ['What if the surface wind 4 m/s', 4],
    ['what if surface -6 kt', (-6 * 1852) / 3600],
    ['what if surface − 3', -3],
    ['what if surface 18 km/h', 5],
    ['what if surface 2,5', 2.5],
  ])('“%s” is understood', (text, surface_mps) => {
    const entry = readWhatIf(text);
    expect(entry?.kind === 'what if' ? entry.asked?.surface_mps : entry).toBeCloseTo(surface_mps, 9);
  });

  it('says both units back', () => {
    const entry = readWhatIf('what if surface +4');
    expect(entry?.kind === 'what if' ? entry.words : '').toContain('4.0\u202fm/s (8\u202fkt) more');
  });

  it('ends with nothing', () => {
    expect(readWhatIf('what if nothing')).toMatchObject({ kind: 'what if', asked: null });
  });

  it.each([
    'what if',
    'what if surface',
    'what if surface +200',
    'what if rain',
    'what if surface 0',
    'what if surface 1.2.3',
  ])('“%s” is refused with what would be right', (text) => {
    const entry = readWhatIf(text);
    expect(entry?.kind === 'unknown' ? entry.why : '').toMatch(/expected/);
  });

  it.each(['whatever', '090/7 kt', 'what is that'])('“%s” is no what-if', (text) => {
    expect(readWhatIf(text)).toBeNull();
  });
});
