// Section 3 of GRIB2: which points the values of a field belong to.
// Source: WMO-No. 306, vol. I.2, grid definition templates 3.0, 3.1, 3.10, 3.20, 3.30, 3.40; code table 3.2; flag
// tables 3.3 to 3.5.
import { angle } from '../../../words/numbers.ts';
import { wrap180, wrap360, type LonLat } from '../../../base/units.ts';
import { latLonMesh, projectedMesh, rotatedMesh, type Mesh, type Projection, type Scan } from '../../../air/mesh.ts';
import { firstPoint, lambert, mercator, polarStereographic, type EarthShape } from '../../../air/projections.ts';
import type { Octets } from './octets.ts';

export interface GridDefinition {
  readonly mesh: Mesh;
  /** u and v point along the grid's axes, not east and north (flag table 3.3, bit 5). */
  readonly windsAlongGrid: boolean;
}

/**
 * The largest grid that is read: a global 0.05° grid has 26 million points. Beyond it a flipped bit is the likelier
 * reason.
 */
export const MAX_POINTS = 2 ** 25;

const KINDS: Readonly<Record<number, string>> = {
  50: 'spherical harmonics',
  90: 'a space view',
  100: 'a triangular grid',
  101: 'an unstructured grid',
  140: 'Lambert azimuthal equal-area',
};

/** The grid of section 3, or a sentence why it is not read. */
export function gridOf(section: Octets): GridDefinition | string {
  const template = section.unsigned(13, 2);
  const shortest = { 0: 72, 1: 84, 10: 72, 20: 65, 30: 81, 40: 72 }[template];
  if (shortest === undefined) {
    const kind = KINDS[template];
    return (
      `grid definition template 3.${template}${kind === undefined ? '' : ` (${kind})`}; read are 3.0, 3.1, ` +
      '3.10, 3.20, 3.30 and 3.40'
    );
  }
  if (section.length < shortest)
    return `section 3 of ${section.length} bytes; template 3.${template} needs ${shortest}`;
  if (section.octet(6) !== 0 || section.octet(11) !== 0 || section.missing(31, 4) || section.missing(35, 4)) {
    return (
      `a reduced grid (rows of unequal length) under template 3.${template}; read are grids with rows of equal ` +
      'length'
    );
  }
  const ni = section.unsigned(31, 4);
  const nj = section.unsigned(35, 4);
  if (!(ni >= 2 && nj >= 2 && ni * nj <= MAX_POINTS))
    return `a grid of ${ni} by ${nj} points; expected 2 by 2 to ${MAX_POINTS} in all`;
  if (section.unsigned(7, 4) !== ni * nj)
    return `a grid of ${ni} by ${nj} points that counts ${section.unsigned(7, 4)} of them`;
  const flagsAt = { 10: 47, 20: 47, 30: 47 }[template] ?? 55;
  const scan = scanOf(section.octet({ 10: 60, 20: 65, 30: 65 }[template] ?? 72));
  if (typeof scan === 'string') return scan;
  const mesh =
    template === 0 || template === 1 || template === 40
      ? latLon(section, template, ni, nj, scan)
      : projected(section, template, ni, nj, scan);
  if (typeof mesh === 'string') return mesh;
  return { mesh, windsAlongGrid: (section.octet(flagsAt) & 0x08) !== 0 };
}

/** Flag table 3.4. */
function scanOf(flags: number): Scan | string {
  if ((flags & 0x0f) !== 0)
    return `scanning mode ${flags}, rows offset against one another; expected rows without offset`;
  return {
    iNegative: (flags & 0x80) !== 0,
    jPositive: (flags & 0x40) !== 0,
    alongJ: (flags & 0x20) !== 0,
    alternating: (flags & 0x10) !== 0,
  };
}

/**
 * Templates 3.0, 3.1 and 3.40. The axes follow the first and last points: the increments are rounded, and over 1440
 * columns that shows.
 */
function latLon(section: Octets, template: number, ni: number, nj: number, scan: Scan): Mesh | string {
  const basic = section.unsigned(39, 4);
  const parts = section.unsigned(43, 4);
  const unit = basic === 0 || section.missing(39, 4) || parts === 0 || section.missing(43, 4) ? 1e-6 : basic / parts;
  const [lat1, lon1] = [section.signed(47, 4) * unit, section.signed(51, 4) * unit];
  const [lat2, lon2] = [section.signed(56, 4) * unit, section.signed(60, 4) * unit];
  if (!(Math.abs(lat1) <= 90.001 && Math.abs(lat2) <= 90.001))
    return `latitudes ${lat1} to ${lat2}; expected -90 to 90`;
  if (!(Math.abs(lon1) <= 360.001 && Math.abs(lon2) <= 360.001))
    return `longitudes ${lon1} to ${lon2}; expected -360 to 360`;
  const [west, east] = scan.iNegative ? [lon2, lon1] : [lon1, lon2];
  const span = wrap360(east - west) || 360;
  const step_deg = section.missing(64, 4) ? null : section.unsigned(64, 4) * unit;
  if (step_deg !== null && step_deg > 0 && !(Math.abs(step_deg * (ni - 1) - span) <= 0.5 * step_deg)) {
    return `longitudes ${lon1} to ${lon2} in ${ni} columns ${step_deg} apart, which contradict one another`;
  }
  const first = wrap180(west);
  const lons = Array.from({ length: ni }, (_, i) => first + (i * span) / (ni - 1));
  const [south, north] = scan.jPositive ? [lat1, lat2] : [lat2, lat1];
  if (!(north > south))
    return `latitudes ${lat1} to ${lat2} against scanning mode ${section.octet(72)}, which runs the other way`;
  const lats =
    template === 40 ? gaussianPart(section.unsigned(68, 4), nj, south) : evenLatitudes(section, unit, south, north, nj);
  if (typeof lats === 'string') return lats;
  const inner = latLonMesh(template === 40 ? 'Gaussian' : 'longitude-latitude', lons, lats, scan);
  if (template !== 1) return inner;
  const pole: LonLat = [section.signed(77, 4) * unit, section.signed(73, 4) * unit];
  if (!(Math.abs(pole[1]) <= 90)) return `a rotated grid whose pole has latitude ${pole[1]}; expected -90 to 90`;
  const angle_deg = section.float32(81);
  if (angle_deg !== 0)
    return `a rotated grid that is turned by ${angle(angle_deg, 3)} about its own axis too; expected 0`;
  return rotatedMesh(inner, pole);
}

function evenLatitudes(section: Octets, unit: number, south: number, north: number, nj: number): number[] | string {
  const step_deg = section.missing(68, 4) ? 0 : section.unsigned(68, 4) * unit;
  if (step_deg > 0 && !(Math.abs(step_deg * (nj - 1) - (north - south)) <= 0.5 * step_deg)) {
    return `latitudes ${south} to ${north} in ${nj} rows ${step_deg} apart, which contradict one another`;
  }
  return Array.from({ length: nj }, (_, j) => Math.min(Math.max(south + (j * (north - south)) / (nj - 1), -90), 90));
}

/**
 * The rows of a Gaussian grid of `half` rows between pole and equator, `nj` of them from the one at `south`; rising.
 */
function gaussianPart(half: number, nj: number, south: number): number[] | string {
  if (!(half >= 1 && half <= 8000 && nj <= 2 * half))
    return `a Gaussian grid of ${nj} rows, ${half} between pole and equator`;
  const all = gaussianLatitudes(half);
  const start = all.findIndex((lat) => Math.abs(lat - south) < 0.3 * (90 / half));
  if (start === -1 || start + nj > all.length)
    return `a Gaussian grid whose row at ${south} is not among its ${2 * half}`;
  return all.slice(start, start + nj);
}

/**
 * Latitudes of the 2·half rows of a Gaussian grid, degrees, rising: the zeros of the Legendre polynomial of degree
 * 2·half.
 *
 * Error    below 1e-12 degree up to half = 1280: Newton's steps double the digits, and stop when they no longer move
 * Source   Press et al., Numerical Recipes, 3rd ed. (2007), §4.6: first guess and recurrence
 */
export function gaussianLatitudes(half: number): number[] {
  const degree = 2 * half;
  const lats = Array.from({ length: degree }, () => 0);
  for (let k = 0; k < half; k++) {
    let x = Math.cos((Math.PI * (k + 0.75)) / (degree + 0.5));
    for (let round = 0; round < 20; round++) {
      let p0 = 1;
      let p1 = x;
      for (let n = 2; n <= degree; n++) {
        const p2 = ((2 * n - 1) * x * p1 - (n - 1) * p0) / n;
        p0 = p1;
        p1 = p2;
      }
      const step = (p1 * (x * x - 1)) / (degree * (x * p1 - p0));
      x -= step;
      if (Math.abs(step) < 1e-15) break;
    }
    const lat = (Math.asin(x) * 180) / Math.PI;
    lats[degree - 1 - k] = lat;
    lats[k] = -lat;
  }
  return lats;
}

/** Templates 3.10, 3.20 and 3.30: metres on a map. */
function projected(section: Octets, template: number, ni: number, nj: number, scan: Scan): Mesh | string {
  const earth = earthOf(section);
  if (typeof earth === 'string') return earth;
  const lat1 = section.signed(39, 4) * 1e-6;
  const lon1 = section.signed(43, 4) * 1e-6;
  const true_deg = section.signed(48, 4) * 1e-6;
  const spacingAt = template === 10 ? 65 : 56;
  const dx = section.unsigned(spacingAt, 4) * 1e-3;
  const dy = section.unsigned(spacingAt + 4, 4) * 1e-3;
  if (!(dx > 0 && dy > 0 && dx < 2e6 && dy < 2e6))
    return `a grid spacing of ${dx} by ${dy} m; expected above 0 and below 2000 km`;
  if (!(Math.abs(lat1) <= 90 && Math.abs(lon1) <= 360)) return `a first point at latitude ${lat1}, longitude ${lon1}`;
  let projection: Projection | null = null;
  if (template === 10) {
    if (section.unsigned(61, 4) !== 0)
      return 'a Mercator grid that is turned against the meridians; expected an orientation of 0';
    projection = mercator(earth, scan.iNegative ? section.signed(56, 4) * 1e-6 : lon1, true_deg);
  } else {
    const central_deg = section.signed(52, 4) * 1e-6;
    if (template === 20)
      projection = polarStereographic(earth, central_deg, true_deg, (section.octet(64) & 0x80) !== 0);
    // The spacing is taken as true along the standard parallels, whatever LaD says: so do the centres that write these
    // grids.
    else projection = lambert(earth, central_deg, section.signed(66, 4) * 1e-6, section.signed(70, 4) * 1e-6);
  }
  if (projection === null) return `a map whose standard parallels make none (template 3.${template})`;
  const start = firstPoint(projection, [lon1, lat1]);
  if (start === null) return `a first point at latitude ${lat1}, longitude ${lon1} that is not on its map`;
  const origin = [
    start[0] - (scan.iNegative ? (ni - 1) * dx : 0),
    start[1] - (scan.jPositive ? 0 : (nj - 1) * dy),
  ] as const;
  return projectedMesh(projection, [ni, nj], origin, [dx, dy], scan);
}

const sphere = (a_m: number): EarthShape => ({ a_m, e: 0 });
const spheroid = (a_m: number, b_m: number): EarthShape => ({ a_m, e: Math.sqrt(1 - (b_m / a_m) ** 2) });

/** Code table 3.2. */
function earthOf(section: Octets): EarthShape | string {
  const shape = section.octet(15);
  const major = section.scaled(21, 22);
  const minor = section.scaled(26, 27);
  const radius = section.scaled(16, 17);
  const made =
    shape === 0
      ? sphere(6_367_470)
      : shape === 1 && radius !== null
        ? sphere(radius)
        : shape === 2
          ? spheroid(6_378_160, 6_356_775)
          : shape === 3 && major !== null && minor !== null
            ? spheroid(major * 1000, minor * 1000)
            : shape === 4
              ? spheroid(6_378_137, 6_356_752.314)
              : shape === 5
                ? spheroid(6_378_137, 6_356_752.3142)
                : shape === 6
                  ? sphere(6_371_229)
                  : shape === 7 && major !== null && minor !== null
                    ? spheroid(major, minor)
                    : shape === 8
                      ? sphere(6_371_200)
                      : shape === 9
                        ? spheroid(6_377_563.396, 6_356_256.909)
                        : null;
  if (made === null || !(made.a_m > 6.3e6 && made.a_m < 6.4e6 && made.e < 0.2)) {
    return `shape of the earth ${shape} of code table 3.2; expected 0 to 9 with a radius near 6371 km`;
  }
  return made;
}
