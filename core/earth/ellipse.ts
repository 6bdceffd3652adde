// Outlines on the ellipsoid: what the ensemble gives in metres and degrees, as places to be drawn.
import { DEG_PER_RAD, type LonLat } from '../base/units.ts';
import { direct } from './geodesic.ts';

export interface PlacedEllipse {
  readonly center: LonLat;
  readonly semiMajor_m: number;
  readonly semiMinor_m: number;
  readonly bearing_deg: number;
}

/**
 * A geodesic ellipse as an open ring: each point at the ellipse's own distance and azimuth from the centre, by
 * geodesics. The first point is the end of the long axis at `bearing_deg`; point count/4 is the end of the short one,
 * clockwise.
 */
export function ellipseRing(ellipse: PlacedEllipse, count = 96): LonLat[] {
  const ring: LonLat[] = [];
  for (let i = 0; i < count; i++) {
    const turn = (i / count) * 2 * Math.PI;
    const along = ellipse.semiMajor_m * Math.cos(turn);
    const across = ellipse.semiMinor_m * Math.sin(turn);
    const bearing_deg = ellipse.bearing_deg + Math.atan2(across, along) * DEG_PER_RAD;
    ring.push(direct(ellipse.center, bearing_deg, Math.hypot(along, across)));
  }
  return ring;
}
