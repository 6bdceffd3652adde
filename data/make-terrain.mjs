// Makes the two demo missions' terrain: invented ground on real coordinates, written as GeoTIFF (float32, deflate, WGS
// 84 longitude and latitude, heights m MSL at cell centres). Run: `node data/make-terrain.mjs`. Seeded: the same script
// gives the same bytes.
import { mkdirSync, writeFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { zlibSync } from 'fflate';

const HERE = fileURLToPath(new URL('.', import.meta.url));
const M_PER_DEG_LAT = 111_132;

/** A lattice of random numbers in [-1, 1], smooth between its points: value noise. `cell_m` is the lattice's step. */
function noise(seed, cell_m) {
  const at = (i, j) => {
    let h = Math.imul(i, 0x27d4eb2d) ^ Math.imul(j, 0x165667b1) ^ Math.imul(seed, 0x9e3779b1);
    h = Math.imul(h ^ (h >>> 15), 0x85ebca6b);
    h = Math.imul(h ^ (h >>> 13), 0xc2b2ae35);
    return ((h ^ (h >>> 16)) >>> 0) / 2147483647.5 - 1;
  };
  const ease = (t) => t * t * t * (t * (6 * t - 15) + 10);
  return (x_m, y_m) => {
    const x = x_m / cell_m;
    const y = y_m / cell_m;
    const i = Math.floor(x);
    const j = Math.floor(y);
    const fx = ease(x - i);
    const fy = ease(y - j);
    const low = at(i, j) * (1 - fx) + at(i + 1, j) * fx;
    const high = at(i, j + 1) * (1 - fx) + at(i + 1, j + 1) * fx;
    return low * (1 - fy) + high * fy;
  };
}

/** Distance from a point to a polyline, and how far along it (0 to 1) the nearest place is; metres east and north. */
export function nearLine(x, y, line) {
  let best = Infinity;
  let along = 0;
  let walked = 0;
  let total = 0;
  for (let k = 1; k < line.length; k++) total += Math.hypot(line[k][0] - line[k - 1][0], line[k][1] - line[k - 1][1]);
  for (let k = 1; k < line.length; k++) {
    const [ax, ay] = line[k - 1];
    const dx = line[k][0] - ax;
    const dy = line[k][1] - ay;
    const length = Math.hypot(dx, dy);
    const t = Math.max(0, Math.min(1, ((x - ax) * dx + (y - ay) * dy) / (length * length)));
    const d = Math.hypot(x - ax - t * dx, y - ay - t * dy);
    if (d < best) {
      best = d;
      along = (walked + t * length) / total;
    }
    walked += length;
  }
  return { distance_m: best, along };
}

const step = (from, to, x) => {
  const t = Math.max(0, Math.min(1, (x - from) / (to - from)));
  return t * t * (3 - 2 * t);
};

const km = (rows) => rows.map(([x, y]) => [x * 1000, y * 1000]);

/**
 * A winding line through rough places (km): a Catmull-Rom curve in steps of about `step_m`, pushed aside by smooth
 * noise. Metres.
 */
function winding(rows, step_m, seed, swing_m, wave_m) {
  const points = km(rows);
  const aside = noise(seed, wave_m);
  const out = [];
  let walked = 0;
  for (let k = 0; k + 1 < points.length; k++) {
    const [p1, p2] = [points[k], points[k + 1]];
    const p0 = points[k - 1] ?? [2 * p1[0] - p2[0], 2 * p1[1] - p2[1]];
    const p3 = points[k + 2] ?? [2 * p2[0] - p1[0], 2 * p2[1] - p1[1]];
    const length = Math.hypot(p2[0] - p1[0], p2[1] - p1[1]);
    const count = Math.max(1, Math.round(length / step_m));
    for (let n = 0; n < count + (k + 2 === points.length ? 1 : 0); n++) {
      const t = n / count;
      const at = (i) =>
        0.5 *
        (2 * p1[i] +
          (p2[i] - p0[i]) * t +
          (2 * p0[i] - 5 * p1[i] + 4 * p2[i] - p3[i]) * t * t +
          (3 * p1[i] - p0[i] - 3 * p2[i] + p3[i]) * t ** 3);
      const push = swing_m * aside(walked + t * length, 0);
      out.push([at(0) + (push * (p2[1] - p1[1])) / length, at(1) - (push * (p2[0] - p1[0])) / length]);
    }
    walked += length;
  }
  return out;
}

/**
 * Lines of the two landscapes, metres east and north of their centres: the missions' hazards and landmarks lie on them.
 */
export const LINES = {
  hollinRidge: winding(
    [
      [-13.5, -6],
      [-12, -1],
      [-10.2, 3.5],
      [-8.8, 8.5],
      [-6.5, 13],
    ],
    700,
    31,
    260,
    1900,
  ),
  tamber: winding(
    [
      [-4, 21],
      [-2.5, 16],
      [2, 13.2],
      [6.5, 10.5],
      [9.4, 5.2],
      [10.2, 0],
      [12.1, -4.6],
      [12.4, -9],
      [10.2, -14],
      [11, -21],
    ],
    450,
    32,
    300,
    1300,
  ),
  ettle: winding(
    [
      [-4.6, 0.9],
      [-3, 0.5],
      [-1.7, 1.05],
      [-0.5, 0.75],
      [0.5, 0.95],
      [1.5, 0.5],
      [2.7, 0.75],
      [4.6, 0.2],
    ],
    110,
    33,
    90,
    420,
  ),
};

/**
 * The salt plain: a tilted plateau, a flat salt pan, Hollin Ridge in the west, the dry bed of the Tamber in the east,
 * some low hills.
 */
function saltPlain() {
  const broad = noise(11, 9000);
  const middle = noise(12, 2600);
  const fine = noise(13, 700);
  const crest = noise(14, 1500);
  const spurs = noise(15, 1100);
  const gullies = noise(16, 420);
  const hills = [
    [2.2, -12, 46, 620],
    [-3.6, -14.5, 33, 900],
    [15.8, 12.6, 58, 1100],
    [17.2, -13.2, 41, 800],
    [-17.3, 15.2, 64, 1300],
  ];
  return (x, y) => {
    const plain = 964 + 0.0011 * y - 0.0007 * x + 11 * broad(x, y) + 5 * middle(x, y) + 1.3 * fine(x, y);
    const pan = Math.hypot((x - 1200) / 7600, (y - 400) / 5200) + 0.07 * middle(x, y) + 0.03 * fine(x, y);
    const floor = 951 + 0.25 * fine(x, y);
    let ground = floor + (Math.max(plain, floor + 0.5) - floor) * step(0.84, 1.35, pan);
    for (const [hx, hy, height, wide] of hills) {
      const far = Math.hypot(x - hx * 1000, y - hy * 1000) * (1 + 0.3 * spurs(x, y));
      ground += height * Math.exp(-((far / wide) ** 2)) * (1 + 0.3 * gullies(x, y));
    }
    const ridge = nearLine(x, y, LINES.hollinRidge);
    const end = step(0, 0.16, ridge.along) * step(0, 0.14, 1 - ridge.along);
    const far = Math.max(0, ridge.distance_m * (1 + 0.35 * spurs(x, y)) + 60 * gullies(x, y));
    const steep = 128 * end * (1 + 0.3 * crest(x, y)) * Math.exp(-((far / 560) ** 1.6));
    const foot = 26 * end * (1 + 0.5 * spurs(x, y)) * Math.exp(-((ridge.distance_m / 1900) ** 2));
    const bed = nearLine(x, y, LINES.tamber);
    const banks = 5 * Math.exp(-((bed.distance_m / 110) ** 4)) + 6 * Math.exp(-((bed.distance_m / 900) ** 2));
    return ground + steep + foot - banks;
  };
}

/** Marnwick and its meadows: the Ettle in a shallow valley, Beacon Hill in the south-west, rolling fields. */
function townMeadow() {
  const broad = noise(21, 2600);
  const middle = noise(22, 800);
  const fine = noise(23, 220);
  return (x, y) => {
    const river = nearLine(x, y, LINES.ettle);
    const valley = 52 * (1 - Math.exp(-((river.distance_m / 2300) ** 2)));
    const rough = Math.min(1, river.distance_m / 900);
    const far = Math.hypot((x + 2500) / 900, (y + 2300) / 650) * (1 + 0.25 * middle(x, y));
    const hill = 95 * Math.exp(-(far ** 2));
    const channel = 2.4 * Math.exp(-((river.distance_m / 22) ** 4));
    return 431 + valley + hill + rough * (16 * broad(x, y) + 6 * middle(x, y)) + 0.6 * fine(x, y) - channel - 0.00035 * x;
  };
}

/**
 * One classic little-endian TIFF entry list with GeoTIFF 1.1 keys (OGC 19-008r4): one float32 sample, strips, deflate
 * (code 8).
 */
function geoTiff({ west_deg, north_deg, stepLon_deg, stepLat_deg, columns, rows, heights_m }) {
  const rowsPerStrip = 32;
  const strips = [];
  for (let row = 0; row < rows; row += rowsPerStrip) {
    const count = Math.min(rowsPerStrip, rows - row) * columns;
    strips.push(zlibSync(new Uint8Array(heights_m.buffer, row * columns * 4, count * 4), { level: 9, mtime: 0 }));
  }
  const SHORT = 3;
  const LONG = 4;
  const DOUBLE = 12;
  const ASCII = 2;
  const nodata = [...'-9999\0'].map((c) => c.charCodeAt(0));
  const entries = [
    [256, LONG, [columns]],
    [257, LONG, [rows]],
    [258, SHORT, [32]],
    [259, SHORT, [8]],
    [262, SHORT, [1]],
    [273, LONG, strips.map(() => 0)],
    [277, SHORT, [1]],
    [278, LONG, [rowsPerStrip]],
    [279, LONG, strips.map((s) => s.length)],
    [284, SHORT, [1]],
    [339, SHORT, [3]],
    [33550, DOUBLE, [stepLon_deg, stepLat_deg, 0]],
    [33922, DOUBLE, [0, 0, 0, west_deg - stepLon_deg / 2, north_deg + stepLat_deg / 2, 0]],
    // Directory 1.1.0, 4 keys: model type 2 (geographic), raster type 1 (pixel is area), geographic CRS 4326, vertical
    // units 9001 (metre).
    [34735, SHORT, [1, 1, 0, 4, 1024, 0, 1, 2, 1025, 0, 1, 1, 2048, 0, 1, 4326, 4099, 0, 1, 9001]],
    [42113, ASCII, nodata],
  ];
  const size = { [ASCII]: 1, [SHORT]: 2, [LONG]: 4, [DOUBLE]: 8 };
  let end = 8 + 2 + entries.length * 12 + 4;
  const places = entries.map(([, type, values]) => {
    const bytes = size[type] * values.length;
    if (bytes <= 4) return -1;
    const place = end + (end % 2);
    end = place + bytes;
    return place;
  });
  const offsets = strips.map((strip) => {
    const place = end;
    end += strip.length;
    return place;
  });
  entries[5][2] = offsets;
  const out = new DataView(new ArrayBuffer(end));
  out.setUint16(0, 0x4949, true);
  out.setUint16(2, 42, true);
  out.setUint32(4, 8, true);
  out.setUint16(8, entries.length, true);
  const put = { [ASCII]: 'setUint8', [SHORT]: 'setUint16', [LONG]: 'setUint32', [DOUBLE]: 'setFloat64' };
  entries.forEach(([tag, type, values], k) => {
    const at = 10 + k * 12;
    out.setUint16(at, tag, true);
    out.setUint16(at + 2, type, true);
    out.setUint32(at + 4, values.length, true);
    if (places[k] >= 0) out.setUint32(at + 8, places[k], true);
    const from = places[k] >= 0 ? places[k] : at + 8;
    values.forEach((value, n) => out[put[type]](from + n * size[type], value, true));
  });
  strips.forEach((strip, k) => new Uint8Array(out.buffer).set(strip, offsets[k]));
  return new Uint8Array(out.buffer);
}

/**
 * Samples a surface given in metres about a centre; heights are kept to 1/8 m, which deflate likes and no descent can
 * feel.
 */
function make(name, { centre, west_deg, north_deg, stepLon_deg, stepLat_deg, columns, rows }, surface) {
  const heights_m = new Float32Array(columns * rows);
  const mPerDegLon = 111_320 * Math.cos((centre[1] * Math.PI) / 180);
  for (let j = 0; j < rows; j++) {
    for (let i = 0; i < columns; i++) {
      const x = (west_deg + i * stepLon_deg - centre[0]) * mPerDegLon;
      const y = (north_deg - j * stepLat_deg - centre[1]) * M_PER_DEG_LAT;
      heights_m[j * columns + i] = Math.round(surface(x, y) * 8) / 8;
    }
  }
  const bytes = geoTiff({ west_deg, north_deg, stepLon_deg, stepLat_deg, columns, rows, heights_m });
  mkdirSync(`${HERE}${name}`, { recursive: true });
  writeFileSync(`${HERE}${name}/terrain.tif`, bytes);
  let low = Infinity;
  let high = -Infinity;
  for (const h of heights_m) {
    low = Math.min(low, h);
    high = Math.max(high, h);
  }
  console.log(`${name}/terrain.tif: ${columns} x ${rows}, ${low} to ${high} m, ${bytes.length} bytes`);
}

if (process.argv[1] === fileURLToPath(import.meta.url)) {
  make(
    'salt-plain',
    { centre: [22.4, -30.1], west_deg: 22.19, north_deg: -29.92, stepLon_deg: 1 / 1200, stepLat_deg: 1 / 1200, columns: 505, rows: 433 },
    saltPlain(),
  );
  make(
    'town-meadow',
    { centre: [14.92, 49.42], west_deg: 14.865, north_deg: 49.456, stepLon_deg: 1 / 2400, stepLat_deg: 1 / 3600, columns: 265, rows: 260 },
    townMeadow(),
  );
}
