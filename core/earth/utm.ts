// UTM and MGRS on WGS 84, exact to a fraction of a millimetre. Projection: Krüger's series to the sixth order, Karney,
// Transverse Mercator with an accuracy of a few nanometers, J. Geodesy 85 (2011), eqs. 7 to 36; the grid's letters:
// NGA.STND.0037 (2014). npm mgrs 2.2.0 is not used: it reads 34JAA1234, no square of band J, as a place in
// band K, takes zones 32X, 34X and 36X, which do not exist, and writes 180° E into zone 60 instead of zone 1
// (`tests/published/geodesy.test.ts`). Neither writes the polar grid (UPS).
import { DEG_PER_RAD, RAD_PER_DEG, wrap180 } from '../base/units.ts';
import type { LonLat } from '../base/units.ts';
import { WGS84_A, WGS84_F } from './gravity.ts';

const K0 = 0.9996;
const FALSE_EASTING_M = 500_000;
const FALSE_NORTHING_M = 10_000_000;
const E = Math.sqrt(WGS84_F * (2 - WGS84_F));
const N = WGS84_F / (2 - WGS84_F);

const polynomial = (first: number, ...rows: readonly number[]): number =>
  N ** first * rows.reduceRight((sum, row) => sum * N + row, 0);

/** Rectifying radius A, eq. 14. */
const RADIUS_M = (WGS84_A / (1 + N)) * (1 + N ** 2 / 4 + N ** 4 / 64 + N ** 6 / 256);

/** α of eq. 35: from the conformal sphere to the plane. */
const ALPHA: readonly number[] = [
  polynomial(1, 1 / 2, -2 / 3, 5 / 16, 41 / 180, -127 / 288, 7891 / 37800),
  polynomial(2, 13 / 48, -3 / 5, 557 / 1440, 281 / 630, -1983433 / 1935360),
  polynomial(3, 61 / 240, -103 / 140, 15061 / 26880, 167603 / 181440),
  polynomial(4, 49561 / 161280, -179 / 168, 6601661 / 7257600),
  polynomial(5, 34729 / 80640, -3418889 / 1995840),
  polynomial(6, 212378941 / 319334400),
];

/** β of eq. 36: back. */
const BETA: readonly number[] = [
  polynomial(1, 1 / 2, -2 / 3, 37 / 96, -1 / 360, -81 / 512, 96199 / 604800),
  polynomial(2, 1 / 48, 1 / 15, -437 / 1440, 46 / 105, -1118711 / 3870720),
  polynomial(3, 17 / 480, -37 / 840, -209 / 4480, 5569 / 90720),
  polynomial(4, 4397 / 161280, -11 / 504, -830251 / 7257600),
  polynomial(5, 4583 / 161280, -108847 / 3991680),
  polynomial(6, 20648693 / 638668800),
];

export interface Utm {
  /** 1 to 60. */
  readonly zone: number;
  readonly hemisphere: 'north' | 'south';
  readonly easting_m: number;
  /** Counted from the equator; in the southern hemisphere 10 000 000 m are added. */
  readonly northing_m: number;
}

const centralMeridian = (zone: number): number => zone * 6 - 183;

/** Latitude bands of 8°, C to X without I and O; X reaches from 72° to 84°. */
const BANDS = 'CDEFGHJKLMNPQRSTUVWX';

/**
 * A tenth of a micrometre, in degrees and in metres: what floating point may take from a place that lies on a line of a
 * grid.
 */
const HAIR_DEG = 1e-12;
const HAIR_M = 1e-7;

/** The band's letter; null outside −80° to 84°, where UTM ends. */
export function utmBand(lat_deg: number): string | null {
  if (!(lat_deg >= -80 && lat_deg <= 84)) return null;
  return BANDS[Math.min(19, Math.floor((lat_deg + HAIR_DEG + 80) / 8))] ?? null;
}

/** The zone of a place: 6° strips, with the wider ones of south-west Norway and Svalbard (NGA.STND.0037 §3.2). */
export function utmZone(place: LonLat): number {
  const lon = wrap180(place[0]);
  const lat = place[1];
  const plain = (Math.floor((lon + 180) / 6) % 60) + 1;
  if (lat >= 56 && lat < 64 && lon >= 3 && lon < 12) return 32;
  if (lat >= 72 && lon >= 0 && lon < 42) return lon < 9 ? 31 : lon < 21 ? 33 : lon < 33 ? 35 : 37;
  return plain;
}

/** UTM of a place, in its own zone or in a given one; null outside −80° to 84°. Error: below 0.1 µm near the zone. */
export function toUtm(place: LonLat, zone: number = utmZone(place)): Utm | null {
  const band = utmBand(place[1]);
  if (band === null || !Number.isFinite(place[0])) return null;
  const [x, y] = transverseMercator(wrap180(place[0] - centralMeridian(zone)) * RAD_PER_DEG, place[1] * RAD_PER_DEG);
  const south = band < 'N';
  return {
    zone,
    hemisphere: south ? 'south' : 'north',
    easting_m: FALSE_EASTING_M + K0 * x,
    northing_m: K0 * y + (south ? FALSE_NORTHING_M : 0),
  };
}

export function fromUtm(utm: Utm): LonLat {
  const y = utm.northing_m - (utm.hemisphere === 'south' ? FALSE_NORTHING_M : 0);
  const [lon, lat] = inverseTransverseMercator((utm.easting_m - FALSE_EASTING_M) / K0, y / K0);
  return [wrap180(centralMeridian(utm.zone) + lon * DEG_PER_RAD), lat * DEG_PER_RAD];
}

/**
 * Metres east and north of the central meridian's crossing with the equator, scale 1 on that meridian. Radians in; eqs.
 * 7 to 11.
 */
export function transverseMercator(lon: number, lat: number): [x_m: number, y_m: number] {
  const t = Math.tan(lat);
  const sigma = Math.sinh(E * Math.atanh((E * t) / Math.hypot(1, t)));
  const conformal = t * Math.hypot(1, sigma) - sigma * Math.hypot(1, t);
  const xi0 = Math.atan2(conformal, Math.cos(lon));
  const eta0 = Math.asinh(Math.sin(lon) / Math.hypot(conformal, Math.cos(lon)));
  let xi = xi0;
  let eta = eta0;
  ALPHA.forEach((a, k) => {
    const j = 2 * (k + 1);
    xi += a * Math.sin(j * xi0) * Math.cosh(j * eta0);
    eta += a * Math.cos(j * xi0) * Math.sinh(j * eta0);
  });
  return [RADIUS_M * eta, RADIUS_M * xi];
}

/** The inverse, eqs. 12 to 21; the latitude by Newton's method, two rounds of which are exact to the last digit. */
export function inverseTransverseMercator(x_m: number, y_m: number): [lon: number, lat: number] {
  const xi = y_m / RADIUS_M;
  const eta = x_m / RADIUS_M;
  let xi0 = xi;
  let eta0 = eta;
  BETA.forEach((b, k) => {
    const j = 2 * (k + 1);
    xi0 -= b * Math.sin(j * xi) * Math.cosh(j * eta);
    eta0 -= b * Math.cos(j * xi) * Math.sinh(j * eta);
  });
  const conformal = Math.sin(xi0) / Math.hypot(Math.sinh(eta0), Math.cos(xi0));
  let t = conformal;
  for (let round = 0; round < 5; round++) {
    const sigma = Math.sinh(E * Math.atanh((E * t) / Math.hypot(1, t)));
    const guess = t * Math.hypot(1, sigma) - sigma * Math.hypot(1, t);
    const step =
      ((conformal - guess) / Math.hypot(1, guess)) * ((1 + (1 - E * E) * t * t) / ((1 - E * E) * Math.hypot(1, t)));
    t += step;
    if (Math.abs(step) < 1e-15 * Math.max(1, Math.abs(t))) break;
  }
  return [Math.atan2(Math.sinh(eta0), Math.cos(xi0)), Math.atan(t)];
}

/**
 * Columns of 100 km: three sets of eight letters, taken in turn by zone. Rows: twenty letters; even zones begin with F.
 */
const COLUMNS = ['ABCDEFGH', 'JKLMNPQR', 'STUVWXYZ'] as const;
const ROWS = 'ABCDEFGHJKLMNPQRSTUV';
const SQUARE_M = 100_000;
const ROW_CYCLE_M = 2_000_000;

const columnsOf = (zone: number): string => COLUMNS[(zone - 1) % 3] ?? COLUMNS[0];
const rowShift = (zone: number): number => (zone % 2 === 0 ? 5 : 0);

export interface Mgrs {
  readonly zone: number;
  readonly band: string;
  /** Column and row of the 100 km square. */
  readonly square: string;
  readonly easting: string;
  readonly northing: string;
}

/**
 * The grid reference of a place. Digits are cut, never rounded: the reference names the square in which the place lies.
 *
 * digits  a side: 5 for 1 m, 4 for 10 m, 3 for 100 m, 2 for 1 km, 1 for 10 km, 0 for the 100 km square
 * Answer  null outside −80° to 84° (the polar grid is not written here)
 */
export function toMgrs(place: LonLat, digits: number = 5): Mgrs | null {
  const band = utmBand(place[1]);
  const utm = toUtm(place);
  if (band === null || utm === null) return null;
  // On a line of the grid floating point may fall to the wrong side: the hair keeps a place in its own square.
  const easting = utm.easting_m + HAIR_M;
  const northing = Math.max(0, utm.northing_m + HAIR_M);
  const column = columnsOf(utm.zone)[Math.floor(easting / SQUARE_M) - 1];
  const row = ROWS[(Math.floor(northing / SQUARE_M) + rowShift(utm.zone)) % 20];
  if (column === undefined || row === undefined) return null;
  const cut = (metres: number): string =>
    String(Math.floor(metres % SQUARE_M))
      .padStart(5, '0')
      .slice(0, digits);
  return { zone: utm.zone, band, square: column + row, easting: cut(easting), northing: cut(northing) };
}

/** The south-west corner of a reference's square and its side; a sentence where the letters name no square. */
export function fromMgrs(mgrs: Mgrs): { readonly corner: Utm; readonly side_m: number } | string {
  const { zone, band, square } = mgrs;
  const bandIndex = BANDS.indexOf(band);
  if (!(zone >= 1 && zone <= 60)) return `zone ${zone}; expected 1 to 60`;
  if (band.length !== 1 || bandIndex < 0) return `band "${band}"; expected a letter C to X without I and O`;
  if (band === 'X' && (zone === 32 || zone === 34 || zone === 36))
    return `zone ${zone}X; there Svalbard's zones 31, 33, 35 and 37 meet`;
  const column = columnsOf(zone).indexOf(square[0] ?? ' ');
  const row = ROWS.indexOf(square[1] ?? ' ');
  if (column < 0) return `square "${square}"; in zone ${zone} the first letter is one of ${columnsOf(zone)}`;
  if (row < 0) return `square "${square}"; the second letter is one of ${ROWS}`;
  const side_m = 10 ** (5 - mgrs.easting.length);
  const easting_m = (column + 1) * SQUARE_M + Number(mgrs.easting.padEnd(5, '0'));
  const within_m = ((row - rowShift(zone) + 20) % 20) * SQUARE_M + Number(mgrs.northing.padEnd(5, '0'));
  const hemisphere = bandIndex >= 10 ? 'north' : 'south';
  const low = bandIndex * 8 - 80;
  const high = band === 'X' ? 84 : low + 8;
  // The row letters repeat every 2000 km: the right cycle is the one whose square touches the band.
  let best: { corner: Utm; away: number } | null = null;
  for (let cycle = 0; cycle < 5; cycle++) {
    const corner: Utm = { zone, hemisphere, easting_m, northing_m: within_m + cycle * ROW_CYCLE_M };
    const lat = fromUtm({
      ...corner,
      easting_m: easting_m + side_m / 2,
      northing_m: corner.northing_m + side_m / 2,
    })[1];
    const away = Math.max(0, low - lat, lat - high);
    if (best === null || away < best.away) best = { corner, away };
  }
  // Half a square's side in degrees, and a little: a square on the band's edge has its middle in the next one.
  if (best === null || !(best.away <= side_m / 2 / 110_000 + 2e-5))
    return `square "${square}" does not lie in band ${band} of zone ${zone}`;
  return { corner: best.corner, side_m };
}
