// Declination against NOAA's own test values. ref: wmm2025-test-values.csv, all 100 rows; source: NOAA NCEI,
// WMM2025_TEST_VALUES; mark F. ref: wind-reports.md §9, 12 rows; marks F and C. Tolerance of the reference: 0.01 deg
// (half a unit of the last printed digit is 0.005).
import { declinationWords } from '../../core/words/positions.ts';
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { decimalYear, declination_deg, trueToMagnetic } from '../../core/earth/declination.ts';
import { wrap180 } from '../../core/base/units.ts';
import { describeOpenData } from '../openData.ts';

/** The instant of a decimal year. Whole and half years only: what the tables have. */
function instant(year: number): number {
  const start = Date.UTC(Math.floor(year), 0, 1);
  const length = Date.UTC(Math.floor(year) + 1, 0, 1) - start;
  return (start + (year - Math.floor(year)) * length) / 1000;
}

const known = (lon: number, lat: number, height_m: number, time_s: number): number => {
  const answer = declination_deg([lon, lat], height_m, time_s);
  if (answer.kind === 'unknown') throw new Error(answer.why);
  return answer.deg;
};

describeOpenData('WMM2025 test values', ({ reference }) => {
  const rows = readFileSync(join(reference, 'wmm2025-test-values.csv'), 'utf8')
    .split('\n')
    .filter((line) => /^20\d\d/.test(line))
    .map((line) => line.split(',').map(Number));

  it('has 100 rows; every declination within 0.0051°, and a caution exactly where the table is below 2000 nT', () => {
    expect(rows.length).toBe(100);
    let worst = 0;
    let cautions = 0;
    for (const [year = NaN, height_km = NaN, lat = NaN, lon = NaN, d = NaN, , h = NaN] of rows) {
      worst = Math.max(worst, Math.abs(wrap180(known(lon, lat, height_km * 1000, instant(year)) - d)));
      const answer = declination_deg([lon, lat], height_km * 1000, instant(year));
      const caution = answer.kind === 'known' && answer.caution !== undefined;
      if (caution) cautions++;
      expect(caution).toBe(h < 2000);
    }
    console.log(`WMM2025: 100 rows, worst difference ${worst.toFixed(4)} deg`);
    expect(worst).toBeLessThan(0.0051);
    expect(cautions).toBe(2);
  });
});

describe('wind-reports.md §9', () => {
  it.each([
    [2025, 0, 80, 0, 1.28],
    [2025, 0, 0, 120, -0.16],
    [2025, 0, -80, 240, 68.78],
    [2025, 100, 80, 0, 0.85],
    [2025, 100, 0, 120, -0.15],
    [2025, 100, -80, 240, 68.21],
    [2027.5, 0, 80, 0, 2.59],
    [2027.5, 0, 0, 120, -0.24],
    [2027.5, 0, -80, 240, 68.49],
    [2027.5, 100, 80, 0, 2.16],
    [2027.5, 100, 0, 120, -0.23],
    [2027.5, 100, -80, 240, 67.93],
  ])('%f, %f km, %f, %f: %f', (year, km, lat, lon, d) => {
    expect(Math.abs(known(lon, lat, km * 1000, instant(year)) - d)).toBeLessThan(0.0051);
  });
});

describe('where the model ends', () => {
  const place = [22.4, -30.1] as const;
  it.each(['2024-12-31T23:00:00Z', '2030-01-02T00:00:00Z', '1999-01-01T00:00:00Z'])(
    '%s is outside, and says so',
    (text) => {
      const answer = declination_deg(place, 0, Date.parse(text) / 1000);
      expect(answer.kind).toBe('unknown');
      if (answer.kind === 'unknown') expect(answer.why).toMatch(/WMM2025 holds from 2025 to 2030/);
    },
  );
  it('the last weeks of 2029 are inside, though the package refuses them', () => {
    expect(declination_deg(place, 0, Date.parse('2029-12-20T00:00:00Z') / 1000).kind).toBe('known');
  });
  it('no position, no time: unknown, never NaN', () => {
    expect(declination_deg([NaN, 0], 0, instant(2026)).kind).toBe('unknown');
    expect(declination_deg([0, 95], 0, instant(2026)).kind).toBe('unknown');
    expect(declination_deg(place, 0, NaN).kind).toBe('unknown');
  });
  it('a leap year has 366 days', () => {
    expect(decimalYear(Date.UTC(2028, 6, 2) / 1000)).toBeCloseTo(2028.5, 10);
  });
});

describe('true and magnetic', () => {
  it('magnetic = true − declination, east positive (wind-reports.md §9)', () => {
    expect(trueToMagnetic(10, 22)).toBe(348);
    expect(trueToMagnetic(90, -24.5)).toBe(114.5);
    expect(declinationWords(-24.46)).toBe('24.5° W');
    expect(declinationWords(3.04)).toBe('3.0° E');
  });
});
