// How the error of a wind grows with lead, age, distance and nearness to the ground, against the tables of
// confidence.md (§1 and §2, C and F) where they stand alone.
import { describe, expect, it } from 'vitest';
import { backgroundErrors, type ColumnFacts } from '../../core/winds/errors.ts';

const HOUR = 3600;
const column = (facts: Partial<ColumnFacts>): ColumnFacts => ({
  kind: 'forecast',
  time_s: 0,
  run_s: null,
  distance_m: 0,
  bottom_m: 0,
  bottomSpeed_mps: 0,
  ...facts,
});
const std = (columns: readonly ColumnFacts[], height_m: number, time_s = 0): number =>
  backgroundErrors({ columns }).std_mps(height_m, time_s);

describe('the error of a wind before any report', () => {
  it('of a forecast grows with its lead to what 48 h forecasts missed radiosondes by', () => {
    const lead = (hours: number) => [column({ run_s: -hours * HOUR })];
    // §1.1, b: 500, 250 and 200 hPa after 48 h; a: at 250 hPa with no lead.
    expect(std(lead(48), 10_400)).toBeGreaterThan(4.7);
    expect(std(lead(48), 10_400)).toBeLessThan(4.9);
    expect(std(lead(0), 10_400)).toBeCloseTo(3.2, 6);
    // §1.1, c: 24 h at 250 hPa 4.1, 12 h 3.7.
    expect(std(lead(24), 10_400)).toBeCloseTo(4.1, 1);
    expect(std(lead(12), 10_400)).toBeCloseTo(3.7, 1);
    // §1.4: the ten metres of a global model after 12 h, 1.79.
    expect(std(lead(12), 10)).toBeCloseTo(1.79, 1);
    expect(std([column({})], 10_400)).toBeCloseTo(3.2, 6);
  });

  it('of an old ascent is what winds changed by in that time, and never more than the climate', () => {
    const old = [column({ kind: 'observed' })];
    // §2.1: 9–13 km 10.3 in 12 h, 13.1 in 24 h; 17–22 km 1.6. The ascent's own error is on top.
    expect(std(old, 11_000, 12 * HOUR)).toBeCloseTo(Math.hypot(10.3, 1.53), 0);
    expect(std(old, 11_000, 24 * HOUR)).toBeGreaterThan(11.5);
    expect(std(old, 11_000, 24 * HOUR)).toBeLessThan(13.1);
    expect(std(old, 19_500, 12 * HOUR)).toBeLessThan(2.6);
    // σ(6 h) = 0.79 σ(12 h), σ(2 h) = 0.55 σ(12 h) (§2.1).
    const change = (hours: number): number => Math.sqrt(std(old, 5000, hours * HOUR) ** 2 - std(old, 5000, 0) ** 2);
    expect(change(6) / change(12)).toBeCloseTo(0.79, 1);
    expect(change(2) / change(12)).toBeCloseTo(0.55, 1);
    // A month old and ten years old say the same: §2.3, 24.2 at 300 hPa.
    const years = std(old, 9200, 10 * 365 * 24 * HOUR);
    expect(years).toBeGreaterThan(24);
    expect(years).toBeLessThan(24.5);
    expect(std([column({ kind: 'climate' })], 9200)).toBeGreaterThan(24);
  });

  it('of a profile far away is what winds differ by over that distance', () => {
    const away = (m: number) => [column({ kind: 'observed', distance_m: m })];
    expect(std(away(0), 5600)).toBeLessThan(1.3);
    expect(std(away(300_000), 5600)).toBeGreaterThan(4);
    expect(std(away(600_000), 5600)).toBeLessThan(8);
    expect(std(away(8_700_000), 5600)).toBeLessThan(15.4);
    expect(std(away(8_700_000), 5600)).toBeGreaterThan(12);
  });

  it('between two times of a model grows little, after the last one it ages', () => {
    const six = [column({ time_s: 0 }), column({ time_s: 6 * HOUR })];
    const none = std(six, 10_400, 0);
    expect(none).toBeCloseTo(3.2, 6);
    expect(std(six, 10_400, 3 * HOUR)).toBeGreaterThan(none);
    expect(std(six, 10_400, 3 * HOUR)).toBeLessThan(4.2);
    expect(std(six, 10_400, 12 * HOUR)).toBeGreaterThan(8);
    // Two ascents with the time between them: better than either alone.
    const ascents = six.map((one) => ({ ...one, kind: 'observed' as const }));
    expect(std(ascents, 10_400, 3 * HOUR)).toBeLessThan(std(ascents.slice(0, 1), 10_400, 3 * HOUR));
  });

  it('starts at what the mission states, and 0 switches all of it off', () => {
    const columns = [column({ run_s: -24 * HOUR, kind: 'forecast', distance_m: 100_000, bottom_m: 800 })];
    const stated = backgroundErrors({ wind: { std_mps: [[0, 1]] }, columns: [column({})] });
    expect(stated.std_mps(10_000, 0)).toBe(1);
    expect(backgroundErrors({ wind: { std_mps: [[0, 1]] }, columns }).std_mps(10_000, 0)).toBeGreaterThan(5);
    expect(backgroundErrors({ wind: { std_mps: [[0, 0]] }, columns }).std_mps(100, 0)).toBe(0);
  });
});
