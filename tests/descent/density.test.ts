// Highest-density contours against the normal distribution: the smallest region with a share p is the ellipse of
// semi-axes √(−2 ln(1 − p)) σ (χ² of two degrees of freedom; Johnson & Wichern, Applied Multivariate Statistical
// Analysis, §4.2).
import { describe, expect, it } from 'vitest';
import { contoursOf } from '../../core/descent/density.ts';
import { emptyMembers, type Members } from '../../core/descent/ensemble.ts';
import { isInside, localFrame, ringArea } from '../../core/earth/geodesic.ts';
import { Random } from '../../core/base/random.ts';
import type { LonLat } from '../../core/base/units.ts';

const SITE: LonLat = [22.41, -30.08];

/** A sample at places given in metres about a site. */
function membersAt(places: readonly (readonly [number, number])[], site: LonLat = SITE): Members {
  const frame = localFrame(site);
  const members = emptyMembers(0, places.length);
  places.forEach(([east, north], i) => {
    const [lon, lat] = frame.toLonLat(east, north);
    members.lon_deg[i] = lon;
    members.lat_deg[i] = lat;
  });
  return members;
}

function normalSample(n: number, sE: number, sN: number, site: LonLat = SITE): Members {
  const random = new Random(7, 0);
  return membersAt(
    Array.from({ length: n }, () => [sE * random.normal(), sN * random.normal()] as const),
    site,
  );
}

const insideAny = (place: LonLat, rings: readonly (readonly LonLat[])[]): boolean =>
  rings.filter((ring) => isInside(place, ring)).length % 2 === 1;

const areaOf = (rings: readonly (readonly LonLat[])[]): number =>
  rings.reduce((sum, ring) => sum + ringArea(ring).area_m2, 0);

describe('highest-density contours', () => {
  it.each([
    [10_000, 700, 250, 0.1],
    [10_000, 300, 300, 0.1],
    // At 500 the kernel alone widens the region by 13 % of area; the sample's own scatter adds to it.
    [500, 700, 250, 0.3],
  ])('of %i normal landings have the area of the ellipse', (n, sE, sN, tolerance) => {
    const contours = contoursOf(normalSample(n, sE, sN), [0.5, 0.9]);
    expect(contours.map(({ percent }) => percent)).toEqual([50, 90]);
    for (const { percent, rings } of contours) {
      const ellipse = Math.PI * -2 * Math.log(1 - percent / 100) * sE * sN;
      expect(Math.abs(areaOf(rings) / ellipse - 1)).toBeLessThan(tolerance);
    }
  });

  it('hold the share that is written on them', () => {
    const members = normalSample(10_000, 500, 200);
    for (const { percent, rings } of contoursOf(members, [0.25, 0.5, 0.9])) {
      let inside = 0;
      for (let i = 0; i < members.count; i++) {
        if (insideAny([members.lon_deg[i] as number, members.lat_deg[i] as number], rings)) inside += 1;
      }
      // The level is a quantile of the very sample; what is left is the contour's straight edges.
      expect(Math.abs(inside / members.count - percent / 100)).toBeLessThan(0.01);
    }
  });

  it('of two groups far apart are two regions', () => {
    const random = new Random(3, 0);
    const places = Array.from(
      { length: 4000 },
      (_, i) => [(i % 2) * 6000 + 200 * random.normal(), 200 * random.normal()] as const,
    );
    const [half] = contoursOf(membersAt(places), [0.5]);
    expect(half?.rings.length).toBe(2);
  });

  it('stay whole across the date line', () => {
    const [half] = contoursOf(normalSample(2000, 400, 400, [179.999, 10]), [0.5]);
    const ellipse = Math.PI * -2 * Math.log(0.5) * 400 * 400;
    expect(Math.abs(areaOf(half?.rings ?? []) / ellipse - 1)).toBeLessThan(0.2);
  });

  it('leave out members that did not land, and draw nothing of too few', () => {
    const members = normalSample(1000, 300, 300);
    members.lon_deg.fill(NaN, 500);
    expect(contoursOf(members, [0.5])[0]?.rings.length).toBeGreaterThan(0);
    expect(contoursOf(normalSample(10, 300, 300), [0.5])).toEqual([]);
    expect(contoursOf(emptyMembers(0, 50), [0.5])).toEqual([]);
  });

  it('of landings that all lie in one place are one small ring', () => {
    const rings = contoursOf(membersAt(Array.from({ length: 100 }, () => [5, 5] as const)), [0.9])[0]?.rings ?? [];
    expect(areaOf(rings)).toBeLessThan(100);
  });
});
