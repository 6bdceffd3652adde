// gpsd's TPV reports. Source: reference/wind-reports.md §6 (gpsd_json(5)): the example is the manual's own.
import { geoidHeight_m } from '../../core/earth/geoid.ts';
import { describe, expect, it } from 'vitest';
import { readGpsd } from '../../core/formats/tracks/gpsd.ts';
import { readTrack } from '../../core/formats/tracks/track.ts';
import type { Fix } from '../../core/formats/tracks/track.ts';
import { itSurvives } from './mutate.ts';

const MANUAL =
  '{"class":"TPV","device":"/dev/pts/1","time":"2005-06-08T10:34:48.283Z","ept":0.005,"lat":46.498293369,"lon":7.567411672,' +
  '"alt":1343.127,' +
  '"eph":36.000,"epv":32.321,"track":10.3788,"speed":0.091,"climb":-0.085,"mode":3}';
const tpv = (more: string): Fix | undefined =>
  readGpsd(`{"class":"TPV","time":"2024-06-01T00:00:00Z","lat":46.5,"lon":7.5,${more}}`).value[0]?.fixes[0];

describe('gpsd', () => {
  it('reads the example of the manual', () => {
    const { value, problems } = readTrack(
      'log.json',
      new TextEncoder().encode(`{"class":"VERSION","release":"3.22"}\n${MANUAL}\n`),
      {},
    );
    expect(value).toEqual([
      {
        name: '/dev/pts/1',
        fixes: [
          {
            time_s: Date.UTC(2005, 5, 8, 10, 34, 48, 283) / 1000,
            position: [7.567411672, 46.498293369],
            height_m: 1343.127,
            valid: true,
          },
        ],
      },
    ]);
    expect(problems).toEqual([]);
  });

  it('takes the height above the sea: altMSL, else altHAE less the geoid (the receiver’s or EGM96), else the old alt; none in two dimensions', () => {
    expect(tpv('"mode":3,"altMSL":100,"altHAE":150,"alt":120')?.height_m).toBe(100);
    expect(tpv('"mode":3,"altHAE":150,"geoidSep":47')?.height_m).toBe(103);
    // Without the receiver's geoid, EGM96's at the place.
    const bare = tpv('"mode":3,"altHAE":150');
    expect(bare?.height_m).toBeCloseTo(150 - geoidHeight_m(bare?.position ?? [0, 0]), 9);
    expect(tpv('"mode":2,"altMSL":100')?.height_m).toBeNull();
    expect(tpv('"mode":3,"alt":nan')?.height_m).toBeNull();
  });

  it('refuses what has no fix, and says so', () => {
    for (const [row, says] of [
      ['{"class":"TPV","mode":1}', 'mode "1": no fix'],
      ['{"class":"TPV","mode":3,"lat":91,"lon":0}', 'no position'],
      ['{"class":"TPV","mode":3,', 'is not a JSON object'],
      ['{"class":"SKY"}', 'no TPV'],
    ] as const) {
      const { value, problems } = readGpsd(row);
      expect(value).toEqual([]);
      expect(problems.map((p) => p.text).join('; ')).toContain(says);
    }
    const timeless = readGpsd('{"class":"TPV","mode":3,"lat":46.5,"lon":7.5,"time":"soon"}');
    expect(timeless.value[0]?.fixes[0]?.time_s).toBeNull();
    expect(timeless.problems.map((p) => p.text).join()).toContain('time "soon"');
  });

  it('answers JSON of any depth and with any keys', () => {
    const deep = `${'['.repeat(200_000)}${']'.repeat(200_000)}`;
    for (const row of [
      deep,
      `{"class":"TPV","mode":${deep}}`,
      '{"class":"TPV","mode":{"toString":1}}',
      '{"class":{"toString":1}}',
    ]) {
      expect(readGpsd(row).value).toEqual([]);
      expect(
        readGpsd(`{"class":"TPV","mode":3,"lat":1,"lon":2,"time":{"toString":1}}\n${row}`).value[0]?.fixes,
      ).toHaveLength(1);
    }
  });

  itSurvives('gpsd', [MANUAL, `${MANUAL}\n{"class":"SKY"}\n${MANUAL.replace('48.283', '49.283')}\n`], readGpsd);
});
