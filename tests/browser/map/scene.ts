// An invented descent with everything that a map can carry, for the map's own tests and for looking at: place, names
// and numbers are made up. Deterministic: the noise of the terrain and of the sample comes from a small hash, not from
// a clock or Math.random.
import { TerrainGrid } from '../../../core/earth/terrain.ts';
import { localFrame, type LocalFrame } from '../../../core/earth/geodesic.ts';
import { windVector, type LonLat } from '../../../core/base/units.ts';
import { emptyScene, type MapScene, type MapTrackPoint } from '../../../renderer/map/scene.ts';
import type { Units } from '../../../core/words/numbers.ts';

export const units: Units = { length: 'm', speed: 'kt', height: 'MSL', time: 'UTC' };
const EXIT_S = Date.UTC(2027, 2, 14, 22, 4, 10) / 1000;

const hash = (n: number): number => {
  const x = Math.sin(n * 127.1 + 311.7) * 43758.5453;
  return x - Math.floor(x);
};

function noise(x: number, y: number): number {
  const [i, j] = [Math.floor(x), Math.floor(y)];
  const [fx, fy] = [x - i, y - j].map((f) => f * f * (3 - 2 * f)) as [number, number];
  const at = (a: number, b: number): number => hash((i + a) * 57 + (j + b) * 131);
  return (at(0, 0) * (1 - fx) + at(1, 0) * fx) * (1 - fy) + (at(0, 1) * (1 - fx) + at(1, 1) * fx) * fy;
}

/** Rolling ground of 90 m nodes, 36 km a side, with one long ridge and a dry valley. */
export function terrainAbout(origin: LonLat): TerrainGrid {
  const size = 400;
  const step = 0.0009;
  const heights = new Float32Array(size * size);
  for (let row = 0; row < size; row++) {
    for (let column = 0; column < size; column++) {
      const [x, y] = [column / 40, row / 40];
      let height = 340 + 60 * noise(x / 2.4, y / 2.4) + 26 * noise(x, y) + 9 * noise(3 * x, 3 * y);
      const ridge = Math.abs(x - 6.7 - 0.35 * Math.sin(y * 0.9));
      height += 190 * Math.exp(-((ridge / 0.55) ** 2)) * (0.7 + 0.5 * noise(y * 1.3, 7));
      height -= 30 * Math.exp(-(((y - 6.6 - 0.5 * Math.sin(x)) / 0.4) ** 2));
      heights[row * size + column] = height;
    }
  }
  const shape = {
    west_deg: origin[0] - (size / 2) * step,
    north_deg: origin[1] + (size / 2) * step,
    stepLon_deg: step,
    stepLat_deg: step,
  };
  return new TerrainGrid({ ...shape, columns: size, rows: size }, heights);
}

const winds = [
  { height_m: 350, from_deg: 95, speed_mps: 3.5 },
  { height_m: 1500, from_deg: 120, speed_mps: 7 },
  { height_m: 5000, from_deg: 240, speed_mps: 14 },
  { height_m: 11_000, from_deg: 265, speed_mps: 38 },
  { height_m: 16_000, from_deg: 270, speed_mps: 18 },
  { height_m: 25_000, from_deg: 330, speed_mps: 9 },
  { height_m: 39_000, from_deg: 300, speed_mps: 16 },
];

function windAt(height_m: number): [number, number] {
  for (let i = 0; i + 1 < winds.length; i++) {
    const [a, b] = [winds[i], winds[i + 1]];
    if (a === undefined || b === undefined || height_m > b.height_m) continue;
    const f = Math.max(0, (height_m - a.height_m) / (b.height_m - a.height_m));
    const [u, v] = windVector(a.from_deg, a.speed_mps);
    const [u2, v2] = windVector(b.from_deg, b.speed_mps);
    return [u + f * (u2 - u), v + f * (v2 - v)];
  }
  return windVector(300, 16);
}

/** Falls as a body of scale height 7 km and 55 m/s at sea level might, then 5 m/s under canopy, carried by the wind. */
export function fall(
  frame: LocalFrame,
  start: readonly [number, number],
): { points: MapTrackPoint[]; opening: number } {
  const points: MapTrackPoint[] = [];
  let [x, y, h, t, v] = [start[0], start[1], 39_000, 0, 0];
  let opening = 0;
  while (h > 350 && t < 4000) {
    const canopy = h < 1850;
    if (canopy && opening === 0) opening = points.length;
    const [lon, lat] = frame.toLonLat(x, y);
    points.push([t, lon, lat, h]);
    const dt = canopy ? 4 : 2;
    const terminal = 55 * Math.exp(h / 14_000);
    v = canopy ? 5 : v > terminal ? Math.max(terminal, v - 12 * dt) : Math.min(v + 9.7 * dt, 370);
    const [u, w] = windAt(h);
    x += u * dt + (canopy ? 4 * dt : 0);
    y += w * dt;
    h -= v * dt;
    t += dt;
  }
  return { points, opening };
}

function sample(frame: LocalFrame, at: readonly [number, number], count: number): Float32Array {
  const dots = new Float32Array(2 * count);
  for (let i = 0; i < count; i++) {
    const r = Math.sqrt(-2 * Math.log(1 - hash(i + 0.5)));
    const turn = 2 * Math.PI * hash(i + 7000.25);
    const [a, b] = [780 * r * Math.cos(turn), 330 * r * Math.sin(turn)];
    const [lon, lat] = frame.toLonLat(at[0] + a * 0.9 + b * 0.43, at[1] - a * 0.43 + b * 0.9);
    dots[2 * i] = lon;
    dots[2 * i + 1] = lat;
  }
  return dots;
}

const box = (frame: LocalFrame, x: number, y: number, w: number, h: number): LonLat[] =>
  (
    [
      [0, 0],
      [w, 0],
      [w, h],
      [0, h],
    ] as const
  ).map(([dx, dy]) => frame.toLonLat(x + dx, y + dy));

const line = (frame: LocalFrame, ...points: readonly (readonly [number, number])[]): LonLat[] =>
  points.map(([x, y]) => frame.toLonLat(x, y));

/** The scene of a plan with its prediction. `exit`: metres east and north of the site. */
export function sceneAt(origin: LonLat, exit: readonly [number, number], count = 10_000): MapScene {
  const frame = localFrame(origin);
  const { points, opening } = fall(frame, exit);
  const last = points.at(-1) ?? [0, 0, 0, 0];
  const open = points[opening] ?? last;
  const end = frame.toLocal([last[1], last[2]]);
  const place = (point: MapTrackPoint): LonLat => [point[1], point[2]];
  const landing = place(last);
  return {
    ...emptyScene({ name: 'Dry Lake Station', position: origin, elevation_m: 350, timeZone: 'Australia/Perth' }, units),
    surfaceWind: { from_deg: 95, speed_mps: 3.5, toward: 'Tin Hut' },
    exit: { position: frame.toLonLat(exit[0], exit[1]), height_m: 39_000, at_s: EXIT_S, movable: true },
    track: {
      points,
      parts: [
        { phase: 'freefall', name: 'freefall', start_s: 0, end_s: open[0] },
        { phase: 'filling', name: 'filling', start_s: open[0], end_s: open[0] + 6 },
        { phase: 'canopy', name: 'canopy', start_s: open[0] + 6, end_s: last[0] },
      ],
      extrapolated: [{ bottom_m: 30_000, top_m: 40_000 }],
      winds,
    },
    opening: { name: 'Opening', position: place(open), height_m: open[3], t_s: open[0], at_s: EXIT_S + open[0] },
    landing: { name: 'Landing', position: landing, height_m: 350, t_s: last[0], at_s: EXIT_S + last[0] },
    dots: sample(frame, end, count),
    ellipses: [
      { percent: 50, center: landing, semiMajor_m: 918, semiMinor_m: 390, bearing_deg: 115 },
      { percent: 90, center: landing, semiMajor_m: 1674, semiMinor_m: 708, bearing_deg: 115 },
    ],
  };
}

/** Zones, hazards, landmarks and crews about a site. */
export function groundAbout(origin: LonLat): Pick<MapScene, 'zones' | 'chances' | 'hazards' | 'landmarks' | 'crews'> {
  const frame = localFrame(origin);
  return {
    zones: [
      { name: 'Salt Flat North', polygon: box(frame, -900, 600, 1900, 1300) },
      { name: 'Airstrip Paddock', polygon: line(frame, [1500, -1600], [2900, -1300], [2700, -400], [1300, -700]) },
      { name: 'South Claypan', polygon: box(frame, -2600, -3400, 1300, 1100) },
    ],
    chances: { 'Salt Flat North': 0.62, 'Airstrip Paddock': 0.21 },
    hazards: [
      {
        name: 'Bore Line',
        kind: 'power line',
        line: line(frame, [-7000, -2300], [-2200, -1500], [900, -2200], [7000, -2600]),
        height_m: 28,
      },
      {
        name: 'Long Ridge',
        kind: 'ridge',
        line: line(frame, [6000, 9000], [6600, 5200], [5700, 900], [6900, -3000], [6300, -8000]),
        height_m: 190,
      },
      {
        name: 'Winding Creek',
        kind: 'river',
        line: line(frame, [-8000, -5200], [-4000, -5800], [-500, -4700], [3000, -5600], [8000, -5200]),
      },
      {
        name: 'Station road',
        kind: 'road',
        line: line(frame, [-400, -9000], [300, -3000], [-300, -400], [-3800, 2500], [-4300, 8000]),
      },
      { name: 'Boundary fence', kind: 'fence', line: line(frame, [-5200, 3600], [200, 4100], [4600, 3700]) },
      { name: 'Homestead', kind: 'homestead', polygon: box(frame, -500, -900, 500, 400), height_m: 9 },
      {
        name: 'Mulga stand',
        kind: 'trees',
        polygon: line(frame, [2400, 1100], [3800, 900], [4100, 2100], [3000, 2700], [2200, 2000]),
        height_m: 7,
      },
    ],
    landmarks: [
      { name: 'Tin Hut', position: frame.toLonLat(-3400, 700) },
      { name: 'White Tank', position: frame.toLonLat(1900, 3200) },
      { name: 'Old seismic line', line: line(frame, [-6000, -7500], [5000, 7500]) },
    ],
    crews: [
      {
        name: 'Heli 1',
        kind: 'helicopter',
        position: frame.toLonLat(-1500, -300),
        movable: true,
        note: '3 min to landing',
      },
      {
        name: 'Truck 2',
        kind: 'vehicle',
        position: frame.toLonLat(250, -2500),
        movable: true,
        note: '11 min to landing',
        age_s: 240,
      },
    ],
  };
}

function circle(frame: LocalFrame, x: number, y: number, a: number, b: number): LonLat[] {
  return Array.from({ length: 60 }, (_, i) => {
    const turn = (i / 60) * 2 * Math.PI;
    return frame.toLonLat(x + a * Math.cos(turn) * (1 + 0.12 * Math.sin(3 * turn)), y + b * Math.sin(turn));
  });
}

/** What the exit window, the reach, the cases and the recovery add. */
export function everythingAbout(origin: LonLat, plan: MapScene): MapScene {
  const frame = localFrame(origin);
  const landing = plan.landing?.position ?? origin;
  const [lx, ly] = frame.toLocal(landing);
  const exitPlace = frame.toLocal(plan.exit?.position ?? origin);
  const minutes = Array.from({ length: 31 }, (_, i) => i - 15);
  return {
    ...plan,
    trail: [
      { position: frame.toLonLat(lx - 900, ly + 700), age_s: 5400, label: 'forecast only' },
      { position: frame.toLonLat(lx - 500, ly + 300), age_s: 2400 },
      { position: frame.toLonLat(lx - 420, ly - 250), age_s: 500, label: 'before Truck 2’s wind' },
    ],
    ellipses: [],
    contours: [
      { percent: 50, rings: [circle(frame, lx, ly, 800, 420)] },
      { percent: 90, rings: [circle(frame, lx, ly, 1600, 800)] },
    ],
    reach: [
      { kind: 'reach', name: 'Reach', height_m: 1850, rings: [circle(frame, lx + 300, ly - 100, 2600, 2300)] },
      { kind: 'cone', name: 'Salt Flat North in reach', height_m: 1850, rings: [circle(frame, 600, 1100, 3100, 2900)] },
    ],
    exitLine: {
      points: minutes.map((m) => ({
        position: frame.toLonLat(exitPlace[0] + m * 420, exitPlace[1] + m * 60 + 0.6 * m * m * 9),
        at_s: EXIT_S + m * 60,
        height_m: 39_000,
      })),
      window: { opens_s: EXIT_S - 180, best_s: EXIT_S - 15, closes_s: EXIT_S + 210 },
    },
    search: [
      {
        label: 'Expanding square, Heli 1',
        datum: frame.toLonLat(-4200, 5200),
        points: line(
          frame,
          [-4200, 5200],
          [-4200, 5700],
          [-3700, 5700],
          [-3700, 4700],
          [-4700, 4700],
          [-4700, 6200],
          [-3200, 6200],
          [-3200, 4200],
        ),
      },
    ],
    smoke: [{ label: 'Smoke 200 m downwind', position: frame.toLonLat(-300, 900), from_deg: 95 }],
    keepClear: [{ label: 'Keep clear', rings: [circle(frame, lx, ly, 2100, 1250)] }],
    standby: [
      {
        crew: 'Heli 1',
        position: frame.toLonLat(-3000, -600),
        label: 'Heli 1 standby',
        routes: [
          {
            name: 'approach from the west',
            points: line(frame, [-3000, -600], [-2600, 400], [lx - 2000, ly - 300], [lx - 700, ly - 60]),
            gates: [{ position: frame.toLonLat(-2600, 400), label: 'Gate A 150 m AGL' }],
          },
        ],
      },
    ],
    fixes: [
      {
        body: 'Jumper',
        kind: 'jumper',
        position: frame.toLonLat(lx + 1300, ly + 800),
        height_m: 1320,
        age_s: 4,
        history: line(frame, [lx + 2500, ly + 1500], [lx + 1900, ly + 1150]),
      },
      { body: 'Truck 5', kind: 'crew', position: frame.toLonLat(3300, -3900), height_m: null, age_s: 400, history: [] },
    ],
    bodies: [
      {
        name: 'Gondola',
        kind: 'gondola',
        track: line(frame, [exitPlace[0] + 900, exitPlace[1]], [3000, -2000], [4300, -4300]),
        landing: {
          name: 'Gondola',
          position: frame.toLonLat(4300, -4300),
          height_m: 350,
          t_s: 1800,
          at_s: EXIT_S + 1800,
        },
        ellipse: {
          percent: 90,
          center: frame.toLonLat(4300, -4300),
          semiMajor_m: 900,
          semiMinor_m: 600,
          bearing_deg: 70,
        },
      },
      {
        name: 'Envelope',
        kind: 'envelope',
        track: line(frame, [exitPlace[0] + 1200, exitPlace[1] + 300], [5200, 2000], [7600, 4400]),
        landing: {
          name: 'Envelope',
          position: frame.toLonLat(7600, 4400),
          height_m: 420,
          t_s: 5200,
          at_s: EXIT_S + 5200,
        },
        ellipse: null,
      },
    ],
    slice: { label: 'Reach at', bottom_m: 350, top_m: 6000, height_m: 1850 },
  };
}

/** One landing for every case, each with its shape. */
export function casesAbout(origin: LonLat): MapScene['cases'] {
  const frame = localFrame(origin);
  const at = (x: number, y: number): LonLat => frame.toLonLat(x, y);
  return [
    ['As planned', 'circle', 300, 1200],
    ['Canopy at exit', 'square', 8200, 5200],
    ['Opens high', 'triangle', 2600, 2500],
    ['Drogue late', 'diamond', -900, 2300],
    ['Drogue only', 'cross', 100, 300],
    ['Reserve', 'plus', 1200, 700],
    ['Not steering', 'star', 1700, 1900],
    ['Late exit', 'hexagon', 3600, 1400],
    ['Early exit', 'triangle down', -4300, -900],
    ['Rides down', 'house', 4300, -4300],
    ['Own case', 'hourglass', -2600, 3100],
    ['Own case two', 'bar', -2000, 4600],
  ].map(([name, mark, x, y]) => ({
    name: String(name),
    mark: mark as MapScene['cases'][number]['mark'],
    landing: at(Number(x), Number(y)),
    ellipse: { percent: 90, center: at(Number(x), Number(y)), semiMajor_m: 900, semiMinor_m: 500, bearing_deg: 100 },
    label: String(name),
  }));
}
