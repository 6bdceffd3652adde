// Makes the wind files of the two demo missions: invented weather, smooth and hydrostatic. Run: `node
// data/make-winds.mjs`; with
// `--inline` it prints the coarse forecast columns that stand inside the mission files. Seeded: the same script gives
// the same bytes. Wind is where it blows from, true; heights geometric m MSL (the upper-air listing: geopotential, as
// such listings are).
import { writeFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';

const HERE = fileURLToPath(new URL('.', import.meta.url));
const RAD = Math.PI / 180;
const MPS_PER_KT = 1852 / 3600;
const GAS = 287.05287;
const G0 = 9.80665;
const R_STANDARD_M = 6_356_766;

/** Monotone cubic through knots [x, y] (Fritsch and Carlson 1980): smooth, and never outside its neighbours. */
function smooth(knots) {
  const n = knots.length;
  const slope = knots.slice(1).map(([x, y], k) => (y - knots[k][1]) / (x - knots[k][0]));
  const m = knots.map((_, k) => {
    const a = slope[k - 1] ?? slope[k];
    const b = slope[k] ?? slope[k - 1];
    return a * b <= 0 ? 0 : (2 * a * b) / (a + b);
  });
  return (x) => {
    if (x <= knots[0][0]) return knots[0][1];
    if (x >= knots[n - 1][0]) return knots[n - 1][1];
    const k = knots.findIndex(([x1], i) => i > 0 && x < x1) - 1;
    const h = knots[k + 1][0] - knots[k][0];
    const t = (x - knots[k][0]) / h;
    const [p, q] = [knots[k][1], knots[k + 1][1]];
    return (
      (2 * t ** 3 - 3 * t ** 2 + 1) * p +
      (t ** 3 - 2 * t ** 2 + t) * h * m[k] +
      (3 * t ** 2 - 2 * t ** 3) * q +
      (t ** 3 - t ** 2) * h * m[k + 1]
    );
  };
}

/** Seeded random numbers in [-1, 1] (a linear congruential generator modulo 2^31 - 1). */
function dice(seed) {
  let state = seed;
  return () => (state = (state * 48_271) % 2_147_483_647) / 1_073_741_823.5 - 1;
}

/**
 * An atmosphere from wind knots [height_m, from_deg, speed_mps], temperature knots [height_m, K] and the pressure at
 * the lowest height.
 */
function air({ wind, temperature, pressure_Pa, dewPointSpread_K, ripple }) {
  const u = smooth(wind.map(([h, from, speed]) => [h, -speed * Math.sin(from * RAD)]));
  const v = smooth(wind.map(([h, from, speed]) => [h, -speed * Math.cos(from * RAD)]));
  const T = smooth(temperature);
  const spread = smooth(
    dewPointSpread_K ?? [
      [0, 12],
      [12_000, 25],
      [40_000, 35],
    ],
  );
  const random = dice(ripple?.seed ?? 1);
  const waves = [1, 2, 3, 4, 5, 6].map((k) => ({ length: 700 * k + 250, pu: Math.PI * random(), pv: Math.PI * random() }));
  const shake = (h, key) =>
    ripple ? ripple.mps * waves.reduce((sum, w) => sum + Math.sin((2 * Math.PI * h) / w.length + w[key]), 0) * 0.5 : 0;
  const base = wind[0][0];
  return (height_m) => {
    let p = pressure_Pa;
    const count = Math.max(1, Math.ceil((height_m - base) / 25));
    const dh = (height_m - base) / count;
    for (let k = 0; k < count; k++) {
      const h = base + (k + 0.5) * dh;
      p *= Math.exp((-G0 * (R_STANDARD_M / (R_STANDARD_M + h)) ** 2 * dh) / (GAS * T(h)));
    }
    const fade = Math.min(1, (height_m - base) / 1500);
    const e = u(height_m) + fade * shake(height_m, 'pu');
    const n = v(height_m) + fade * shake(height_m, 'pv');
    const speed_mps = Math.hypot(e, n);
    const from_deg = (Math.atan2(-e, -n) / RAD + 360) % 360;
    return { height_m, from_deg, speed_mps, temperature_K: T(height_m), dewPoint_K: T(height_m) - spread(height_m), pressure_Pa: p };
  };
}

/** Our CSV: what it is in comment lines, then one header with units and one row a level. */
function csv({ source, validTime, position, heights, at }) {
  const rows = heights
    .map(at)
    .map((l) =>
      [
        l.height_m,
        l.from_deg.toFixed(0),
        l.speed_mps.toFixed(1),
        l.temperature_K.toFixed(1),
        l.pressure_Pa.toFixed(l.pressure_Pa < 2000 ? 1 : 0),
      ].join(','),
    );
  return [
    `# source: ${source}`,
    `# valid: ${validTime}`,
    `# position: ${position[0]}, ${position[1]}`,
    'height_m,from_deg,speed_mps,temperature_K,pressure_Pa',
    ...rows,
    '',
  ].join('\n');
}

/**
 * The common tabular upper-air listing: fixed columns of seven characters; knots, Celsius, hPa, geopotential metres.
 */
function listing({ title, heights, at, position, station, day }) {
  const rule = '-'.repeat(77);
  const cell = (x, digits) => (x === null ? ' '.repeat(7) : x.toFixed(digits).padStart(7));
  const saturation_hPa = (c) => 6.112 * Math.exp((17.67 * c) / (c + 243.5));
  const rows = heights.map(at).map((l) => {
    const p = l.pressure_Pa / 100;
    const t = l.temperature_K - 273.15;
    const dry = l.temperature_K * (1000 / p) ** 0.2857;
    const humid = p > 100;
    const d = l.dewPoint_K - 273.15;
    const e = saturation_hPa(d);
    const mixing = (621.97 * e) / (p - e);
    const geopotential_m = (R_STANDARD_M * l.height_m) / (R_STANDARD_M + l.height_m);
    const thetaE = dry * Math.exp((2.5e6 * (mixing / 1000)) / (1004 * l.temperature_K));
    const thetaV = dry * (1 + 0.000608 * mixing);
    return (
      cell(p, 1) +
      cell(geopotential_m, 0) +
      cell(t, 1) +
      cell(humid ? d : null, 1) +
      cell(humid ? (100 * e) / saturation_hPa(t) : null, 0) +
      cell(humid ? mixing : null, 2) +
      cell(Math.round(l.from_deg) || 360, 0) +
      cell(l.speed_mps / MPS_PER_KT, 0) +
      cell(dry, 1) +
      cell(humid ? thetaE : null, 1) +
      cell(humid ? thetaV : null, 1)
    );
  });
  return [
    title,
    '',
    rule,
    '   PRES   HGHT   TEMP   DWPT   RELH   MIXR   DRCT   SKNT   THTA   THTE   THTV',
    '    hPa     m      C      C      %    g/kg    deg   knot     K      K      K ',
    rule,
    ...rows,
    '',
    'Station information and sounding indices',
    '',
    `                             Station number: ${station}`,
    `                           Observation time: ${day}`,
    `                           Station latitude: ${position[1].toFixed(2)}`,
    `                          Station longitude: ${position[0].toFixed(2)}`,
    `                          Station elevation: ${heights[0].toFixed(1)}`,
    '',
  ].join('\n');
}

/** One FB group of direction, speed and temperature; blank where the bulletin leaves it out. */
function fbGroup(level, feet, station_ft) {
  const width = feet <= 3000 ? 4 : feet <= 24_000 ? 7 : 6;
  if (feet < station_ft + 1500) return ' '.repeat(width);
  const kt = level.speed_mps / MPS_PER_KT;
  let tens = Math.round(level.from_deg / 10) || 36;
  let speed = Math.round(kt);
  if (speed >= 100) {
    tens += 50;
    speed -= 100;
  }
  const wind = kt < 5 ? '9900' : `${String(tens).padStart(2, '0')}${String(speed).padStart(2, '0')}`;
  const c = Math.round(level.temperature_K - 273.15);
  const degrees = String(Math.abs(c)).padStart(2, '0');
  const bare = feet <= 3000 || feet < station_ft + 2500;
  return (wind + (bare ? '' : feet > 24_000 ? degrees : `${c < 0 ? '-' : '+'}${degrees}`)).padEnd(width);
}

function fb({ header, stations }) {
  const levels_ft = [3000, 6000, 9000, 12_000, 18_000, 24_000, 30_000, 34_000, 39_000];
  const rows = stations.map(({ id, elevation_ft, at }) =>
    `${id} ${levels_ft.map((feet) => fbGroup(at(feet * 0.3048), feet, elevation_ft)).join(' ')}`.trimEnd(),
  );
  return [...header, '', 'FT  3000    6000    9000   12000   18000   24000  30000  34000  39000', ...rows, ''].join('\n');
}

// ---- The salt plain, 14 April 2027: a southern autumn morning. Subtropical jet over 11 to 12 km, summer's easterlies
// still above 21 km.

const SALT_POSITION = [22.4, -30.1];
const SALT_TEMPERATURE = (ground_K, above_K) => [
  [951, ground_K],
  [1200, above_K],
  [1600, 290.5],
  [3000, 281.5],
  [5500, 266],
  [8000, 249],
  [11_000, 227],
  [14_000, 208],
  [16_500, 201.5],
  [18_000, 204],
  [21_000, 212],
  [25_000, 219.5],
  [30_000, 229],
  [35_000, 241.5],
  [40_000, 254],
  [43_000, 259],
];
const SALT_HEIGHTS = [
  951, 975, 1000, 1050, 1100, 1200, 1350, 1500, 1750, 2000, 2250, 2500, 3000, 3500, 4000, 4500, 5000, 5500, 6000, 6500, 7000, 7500, 8000,
  8500, 9000, 9500, 10_000, 10_500, 11_000, 11_500, 12_000, 12_500, 13_000, 13_500, 14_000, 15_000, 16_000, 17_000, 18_000, 19_000, 20_000,
  21_000, 22_000, 23_000, 24_000, 25_000, 26_000, 27_000, 28_000, 29_000, 30_000, 31_000, 32_000, 33_000, 34_000, 35_000, 36_000, 37_000,
  38_000, 39_000, 40_000, 41_000,
];
const saltWind = (surface, low, jet, high) => [
  [951, surface[0], surface[1]],
  [1000, surface[0] - 2, surface[1] * 1.25],
  [1250, low[0], low[1]],
  [1600, low[0] - 6, low[1] * 0.95],
  [2300, 292, 8.5],
  [3200, 286, 12],
  [4500, 281, 17],
  [6000, 277, 22.5],
  [8000, 274, 29],
  [10_000, 271, 37 + jet],
  [11_600, 270, 42 + jet],
  [13_200, 269, 36 + jet],
  [15_000, 267, 26],
  [17_000, 262, 15.5],
  [18_800, 250, 8],
  [20_300, 210, 4],
  [21_800, 130, 5],
  [24_000, 100, 8.5],
  [27_000, 93, 11.5],
  [30_000, 90, 13.5 + high],
  [34_000, 87, 16 + high],
  [38_000, 85, 18 + high],
  [42_000, 84, 19 + high],
];
const saltAt = {
  '00': air({
    wind: saltWind([338, 1.8], [318, 9.5], -2, 0.5),
    temperature: SALT_TEMPERATURE(281, 286.5),
    pressure_Pa: 90_820,
    ripple: { seed: 2701, mps: 0.55 },
  }),
  '06': air({ wind: saltWind([312, 3.4], [306, 7.6], 0, 0), temperature: SALT_TEMPERATURE(285, 287), pressure_Pa: 90_900 }),
  '09': air({ wind: saltWind([302, 4.2], [300, 6.4], 1.5, -0.5), temperature: SALT_TEMPERATURE(291, 289.6), pressure_Pa: 90_840 }),
  12: air({ wind: saltWind([294, 5.6], [293, 7.2], 2.5, -0.8), temperature: SALT_TEMPERATURE(295, 292.6), pressure_Pa: 90_700 }),
};
/** Heights of the mandatory pressures (found by bisection) and a scatter of significant ones, up to 5 hPa. */
function ascentHeights(at, start_m, seed) {
  const random = dice(seed);
  const heights = [start_m];
  for (const p of [
    90_000, 85_000, 70_000, 50_000, 40_000, 30_000, 25_000, 20_000, 15_000, 10_000, 7000, 5000, 3000, 2000, 1000, 700, 500,
  ]) {
    let low = start_m;
    let high = 45_000;
    for (let k = 0; k < 50; k++) {
      const middle = (low + high) / 2;
      if (at(middle).pressure_Pa > p) low = middle;
      else high = middle;
    }
    heights.push(low);
  }
  const top = Math.max(...heights);
  for (let h = start_m + 120; h < top; h += 260 + 140 * random() + h / 90) heights.push(h);
  return heights
    .map((h) => Math.round(h))
    .sort((a, b) => a - b)
    .filter((h, k, all) => k === 0 || h - all[k - 1] > 40);
}

writeFileSync(
  `${HERE}salt-plain/winds/sounding-00Z.txt`,
  listing({
    title: '99871 Ketterick (invented) Observations at 00Z 14 Apr 2027',
    heights: ascentHeights(saltAt['00'], 951, 614),
    at: saltAt['00'],
    position: [22.21, -30.24],
    station: '99871',
    day: '270414/0000',
  }),
);
for (const hour of ['09', '12']) {
  writeFileSync(
    `${HERE}salt-plain/winds/forecast-${hour}Z.csv`,
    csv({
      source: 'demo forecast (invented), run of 00Z',
      validTime: `2027-04-14T${hour}:00:00Z`,
      position: SALT_POSITION,
      heights: SALT_HEIGHTS,
      at: saltAt[hour],
    }),
  );
}

// ---- The town meadow, Saturday 29 May 2027, afternoon: a fair-weather westerly that freshens and veers with height.

const MEADOW_POSITION = [14.92, 49.42];
const meadowTemperature = (ground_K) => [
  [300, ground_K + 1],
  [437, ground_K],
  [1700, ground_K - 11.6],
  [2100, ground_K - 12.2],
  [4000, ground_K - 24],
  [6000, ground_K - 37.5],
  [9000, ground_K - 59],
  [11_000, ground_K - 72],
  [12_500, ground_K - 72],
  [16_000, ground_K - 71],
];
const meadowWind = (surface, back) => [
  [437, 245 + back, surface],
  [460, 246 + back, surface * 1.25],
  [650, 252 + back, surface * 1.75],
  [1000, 258 + back, 8.5],
  [1600, 264 + back, 10],
  [2300, 272 + back, 11.5],
  [3000, 277 + back, 13],
  [3800, 281 + back, 15],
  [5500, 285, 19],
  [7300, 287, 24],
  [9100, 288, 29],
  [10_400, 289, 32],
  [12_000, 290, 27],
];
const meadowAir = (surface, back, ground_K, pressure_Pa) =>
  air({ wind: meadowWind(surface, back), temperature: meadowTemperature(ground_K), pressure_Pa });
const meadowAt = {
  12: meadowAir(3.6, 0, 293.5, 96_480),
  15: meadowAir(3.2, 6, 294.8, 96_430),
  18: meadowAir(2.4, 10, 292.9, 96_410),
};
const MEADOW_HEIGHTS = [
  437, 450, 475, 500, 550, 600, 700, 800, 900, 1000, 1200, 1400, 1600, 1800, 2000, 2300, 2600, 3000, 3400, 3800, 4200, 4600, 5000, 5600,
];

for (const hour of ['15']) {
  writeFileSync(
    `${HERE}town-meadow/winds/forecast-${hour}Z.csv`,
    csv({
      source: 'demo forecast (invented), run of 06Z',
      validTime: `2027-05-29T${hour}:00:00Z`,
      position: MEADOW_POSITION,
      heights: MEADOW_HEIGHTS,
      at: meadowAt[hour],
    }),
  );
}
writeFileSync(
  `${HERE}town-meadow/winds/bulletin-18Z.txt`,
  fb({
    header: ['FBXX31 XXXX 290810', 'FD3XX1', 'DATA BASED ON 290600Z', 'VALID 291800Z   FOR USE 1500-2100Z. TEMPS NEG ABV 24000'],
    stations: [
      { id: 'XMW', elevation_ft: 1434, at: meadowAt['18'] },
      { id: 'XBR', elevation_ft: 1860, at: meadowAir(2.4, 2, 292.2, 96_400) },
      { id: 'XTV', elevation_ft: 640, at: meadowAir(3.6, 15, 293.7, 96_420) },
    ],
  }),
);

if (process.argv.includes('--inline')) {
  const level = (l) => ({
    height_m: l.height_m,
    from_deg: Math.round(l.from_deg),
    speed_mps: Number(l.speed_mps.toFixed(1)),
    temperature_K: Number(l.temperature_K.toFixed(1)),
    pressure_Pa: Number(l.pressure_Pa.toFixed(l.pressure_Pa < 2000 ? 1 : 0)),
  });
  const salt = [
    951, 1000, 1250, 1600, 2300, 3200, 4500, 6000, 8000, 10_000, 11_600, 13_200, 15_000, 17_000, 18_800, 20_300, 21_800, 24_000, 27_000,
    30_000, 34_000, 38_000, 41_000,
  ];
  const meadow = [437, 460, 650, 1000, 1600, 2300, 3000, 3800, 5500];
  console.log(
    JSON.stringify({ 'salt-plain': salt.map((h) => level(saltAt['06'](h))), 'town-meadow': meadow.map((h) => level(meadowAt['12'](h))) }),
  );
}
