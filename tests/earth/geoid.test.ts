// The sea's level over the ellipsoid against published values of EGM96.
import { describe, expect, it } from 'vitest';
import { geoidHeight_m } from '../../core/earth/geoid.ts';

describe('the height of the sea above the ellipsoid', () => {
  // NGA's test values of its program F477 for EGM96, as confidence.md §12 has them (F); the last from the manual page
  // of GeographicLib's GeoidEval. Between the points of the 15′ grid a bilinear value lies within 0.06 m of them.
  it.each([
    [38.628155, 269.779155, -31.628],
    [-14.621217, 305.021114, -2.969],
    [46.874319, 102.448729, -43.575],
    [-23.617446, 133.874712, 15.871],
    [38.625473, 359.9995, 50.066],
    [-0.466744, 0.0023, 17.329],
    [16 + 46 / 60 + 33 / 3600, -(3 + 34 / 3600), 28.7068],
  ])('%f° %f°: %f m', (lat, lon, height_m) => {
    expect(Math.abs(geoidHeight_m([lon, lat]) - height_m)).toBeLessThan(0.06);
    // A longitude east of 180° and its western name are one place.
    expect(geoidHeight_m([lon > 180 ? lon - 360 : lon, lat])).toBeCloseTo(geoidHeight_m([lon, lat]), 6);
  });

  it('is a number at the poles and on both sides of 180°', () => {
    for (const place of [
      [0, 90],
      [123, -90],
      [180, 10],
      [-180, 10],
    ] as const)
      expect(Math.abs(geoidHeight_m(place)), String(place)).toBeLessThan(108);
    expect(geoidHeight_m([180, 10])).toBeCloseTo(geoidHeight_m([-180, 10]), 6);
    // EGM96 at the poles: 13.6 and −29.5 m (NGA's grid).
    expect(geoidHeight_m([0, 90])).toBeCloseTo(13.6, 0);
    expect(geoidHeight_m([0, -90])).toBeCloseTo(-29.5, 0);
  });
});
