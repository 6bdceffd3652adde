// The mesonet's JSON: knots, hPa, °C; null and bare NaN missing; several stations; answers that break off.
import { describe, expect, it } from 'vitest';
import { mendJson, readMesonet } from '../../core/formats/winds/mesonet.ts';

const LEVELS = [
  '{"pres": 1000.0, "hght": -73.0, "tmpc": null, "dwpc": null, "drct": null, "sknt": null}',
  '{"pres": 968.0, "hght": 203.0, "tmpc": 17.2, "dwpc": 3.2, "drct": 20.0, "sknt": 2.0}',
  '{"pres": 850.0, "hght": 1450.0, "tmpc": NaN, "dwpc": NaN, "drct": 250.0, "sknt": 36.0}',
];
const profile = (station: string, levels = LEVELS): string =>
  `{"station": "${station}", "valid": "1999-05-04T00:00:00Z", "profile": [${levels.join(', ')}]}`;
const answer = (...profiles: string[]): string => `{"profiles": [${profiles.join(', ')}]}`;
const texts = (text: string): string =>
  readMesonet(text)
    .problems.map((problem) => problem.text)
    .join('\n');

describe('the mesonet JSON', () => {
  it('reads all stations, in knots', () => {
    const { value, problems } = readMesonet(answer(profile('CYSM'), profile('KANN')));
    expect(problems).toEqual([]);
    expect(value.map((source) => [source.source, source.validTime, source.levels.length])).toEqual([
      ['sounding CYSM', '1999-05-04T00:00:00Z', 3],
      ['sounding KANN', '1999-05-04T00:00:00Z', 3],
    ]);
    expect(value[0]?.levels[2]?.speed_mps).toBeCloseTo((36 * 1852) / 3600, 9);
    expect(value[0]?.levels[2]?.temperature_K).toBeNull();
    expect(value[0]?.levels[0]).toMatchObject({ geopotential_m: -73, from_deg: null, pressure_Pa: 100_000 });
    expect(value[0]?.levels[1]?.dewPoint_K).toBeCloseTo(276.35, 9);
  });

  it('finds one station, and names the others where it is not there', () => {
    expect(
      readMesonet(answer(profile('CYSM'), profile('KANN')), { station: 'ann' }).value.map((source) => source.source),
    ).toEqual(['sounding KANN']);
    expect(readMesonet(answer(profile('CYSM')), { station: 'KBOI' }).problems[0]?.text).toContain('it has CYSM');
  });

  it('uses the whole levels of an answer that breaks off anywhere, and says so', () => {
    const text = answer(profile('CYSM'), profile('KANN'));
    const second = text.indexOf('"KANN"');
    let cuts = 0;
    for (let at = text.indexOf('}') + 1; at < text.length; at += 3) {
      const { value, problems } = readMesonet(text.slice(0, at));
      const whole = text.slice(0, at).split('"sknt"').length - 1;
      const levels = value.flatMap((source) => source.levels).length;
      expect(levels, `cut at ${at}`).toBeGreaterThanOrEqual(Math.min(whole - 1, at > second ? 3 : whole - 1));
      expect(problems.map((problem) => problem.text).join()).toContain('breaks off');
      cuts += 1;
    }
    expect(cuts).toBeGreaterThan(150);
  });

  it('does not touch NaN, brackets and quotes inside of strings', () => {
    const text = '{"profiles": [{"station": "NaN ]} \\" Infinity", "valid": null, "profile": []}]}';
    expect(mendJson(text)).toEqual({ text, closed: null });
  });

  it.each([
    ['an empty profile', answer(profile('KBOI', [])), 'no level at 1999-05-04T00:00:00Z'],
    ['no profiles', '{"profiles": []}', 'the list of profiles is empty'],
    ['other JSON', '{"type": "FeatureCollection"}', 'JSON without "profiles"'],
    ['a list', '[1, 2, 3]', 'JSON without "profiles"'],
    ['no JSON', '{"profiles": [}', 'no JSON that can be read'],
    ['an invalid level', answer(profile('KBOI', ['7', LEVELS[1] ?? ''])), 'KBOI, level 1: "7"; expected { pres'],
    [
      'text for a number',
      answer(profile('KBOI', ['{"pres": "low", "hght": 10, "drct": 90, "sknt": 4}'])),
      'level 1: pressure "low" is not a number',
    ],
    [
      'direction 999',
      answer(profile('KBOI', ['{"pres": 900, "hght": 10, "drct": 999, "sknt": 4}'])),
      'level 1: direction "999"',
    ],
    [
      'an invalid time',
      answer(profile('KBOI').replace('1999-05-04', '1999-02-31')),
      'valid time "1999-02-31T00:00:00Z"',
    ],
  ])('says %s', (_, text, problem) => {
    expect(texts(text)).toContain(problem);
  });
});
