// A second, independent writing of MODEL.md §1 to §6, slow and plain, integrated by odex at 1e-12: the yardstick of
// `accuracy.test.ts`. It shares with core/ only the standard's air (checked by itself in tests/published) and the
// plan's types.
import { standardAir } from '../../core/air/air.ts';
import type { Body } from '../../core/plan/schema.ts';
import { odex } from '../odex.ts';

export interface ReferenceCase {
  readonly body: Body;
  readonly exit: {
    lon_deg: number;
    lat_deg: number;
    height_m: number;
    velocity_mps: readonly [number, number, number] | null;
  };
  /** Columns of [height m, from deg, speed m/s] at seconds after exit, rising. */
  readonly winds: readonly { t_s: number; levels: readonly (readonly [number, number, number])[] }[];
  /** Level ground; or the site's level, with the ground by place (rad) in `ground`. */
  readonly ground_m: number;
  readonly ground?: (lat_rad: number, lon_rad: number) => number;
  readonly roughness_m: number;
  readonly target: readonly [number, number];
  /** Air other than the standard's. */
  readonly air?: (height_m: number) => { readonly density_kgpm3: number; readonly soundSpeed_mps: number };
  /** Across per metre down while no drogue holds the body, east and north. */
  readonly glide?: readonly [number, number];
  /** Added to the wind: [height m, u, v], rising. */
  readonly added?: readonly (readonly [number, number, number])[];
}

const airOf = (c: ReferenceCase) => c.air ?? standardAir;
const groundOf = (c: ReferenceCase, y: State): number =>
  c.ground === undefined ? c.ground_m : c.ground(y[0] ?? 0, y[1] ?? 0);

type State = number[];

const D = Math.PI / 180;
const a = 6378137;
const f = 1 / 298.257223563;
const e2 = 2 * f - f * f;
const OMEGA = 7.292115e-5;

type Row = readonly [number, number, number];

const fromSpeed = ([, from, speed]: Row): [number, number] => [
  -speed * Math.sin(from * D),
  -speed * Math.cos(from * D),
];

function columnWind(levels: readonly Row[], h: number, vector = fromSpeed): [number, number] {
  const first = levels[0];
  const last = levels[levels.length - 1];
  if (first === undefined || last === undefined) return [0, 0];
  if (h <= first[0]) return vector(first);
  if (h >= last[0]) return vector(last);
  const i = levels.findIndex((level) => level[0] > h);
  const p = levels[i - 1] ?? first;
  const q = levels[i] ?? last;
  const x = (h - p[0]) / (q[0] - p[0]);
  const [pu, pv] = vector(p);
  const [qu, qv] = vector(q);
  return [pu + x * (qu - pu), pv + x * (qv - pv)];
}

/**
 * Whether the columns that count at the exit reach the ground: those strictly between whose neighbours' times it lies.
 */
function surfaceGiven(c: ReferenceCase): boolean {
  const counts = c.winds.filter(
    (_, i) => (c.winds[i - 1]?.t_s ?? -Infinity) < 0 && (c.winds[i + 1]?.t_s ?? Infinity) > 0,
  );
  return Math.max(...counts.map((column) => column.levels[0]?.[0] ?? 0)) <= c.ground_m + 10;
}

/** Before the ground takes its share. */
function freeWind(c: ReferenceCase, t: number, h: number): [number, number] {
  const last = c.winds.length - 1;
  let i = 0;
  while (i < last - 1 && t >= (c.winds[i + 1]?.t_s ?? Infinity)) i += 1;
  const p = c.winds[i];
  const q = c.winds[Math.min(i + 1, last)];
  if (p === undefined || q === undefined) return [0, 0];
  const x = q.t_s > p.t_s ? Math.min(Math.max((t - p.t_s) / (q.t_s - p.t_s), 0), 1) : 0;
  const [pu, pv] = columnWind(p.levels, h);
  const [qu, qv] = columnWind(q.levels, h);
  const [au, av] = c.added === undefined ? [0, 0] : columnWind(c.added, h, ([, u, v]) => [u, v]);
  return [pu + x * (qu - pu) + au, pv + x * (qv - pv) + av];
}

/** The wind at a state [lat, lon, h, …]. */
export function windOf(c: ReferenceCase, t: number, y: State): [number, number] {
  const h = y[2] ?? 0;
  const [u, v] = freeWind(c, t, h);
  const agl = h - groundOf(c, y);
  if (agl >= 10 || surfaceGiven(c)) return [u, v];
  const factor = agl <= c.roughness_m ? 0 : Math.log(agl / c.roughness_m) / Math.log(10 / c.roughness_m);
  return [factor * u, factor * v];
}

function machFactor(curve: readonly (readonly [number, number])[] | undefined, mach: number): number {
  if (curve === undefined) return 1;
  const i = curve.findIndex((knot) => knot[0] > mach);
  const last = curve[curve.length - 1];
  if (i === -1) return last?.[1] ?? 1;
  const q = curve[i];
  const p = curve[i - 1];
  if (q === undefined) return 1;
  if (p === undefined) return q[1];
  return p[1] + ((q[1] - p[1]) * (mach - p[0])) / (q[0] - p[0]);
}

/** Meridian and prime-vertical radii by their definitions. */
function radii(lat: number): [number, number] {
  const s2 = Math.sin(lat) ** 2;
  return [(a * (1 - e2)) / (1 - e2 * s2) ** 1.5, a / Math.sqrt(1 - e2 * s2)];
}

function gravity(lat: number, h: number): number {
  const s2 = Math.sin(lat) ** 2;
  const g = (9.7803253359 * (1 + 0.00193185265246 * s2)) / Math.sqrt(1 - e2 * s2);
  return g * (1 - (2 / a) * (1 + f + 0.00344978650684 - 2 * f * s2) * h + (3 * h * h) / (a * a));
}

function falling(
  c: ReferenceCase,
  area: (t: number, mach: number) => number,
  [glideE, glideN]: readonly [number, number] = [0, 0],
): (t: number, y: State) => State {
  return (t, y) => {
    const [lat = 0, , h = 0, vE = 0, vN = 0, vU = 0] = y;
    const [wu, wv] = windOf(c, t, y);
    const air = airOf(c)(h);
    const rel = Math.hypot(vE - wu, vN - wv, vU);
    const k = (0.5 * air.density_kgpm3 * area(t, rel / air.soundSpeed_mps) * rel) / c.body.mass_kg;
    const [M, N] = radii(lat);
    const s = Math.sin(lat);
    const co = Math.cos(lat);
    return [
      vN / (M + h),
      vE / ((N + h) * co),
      vU,
      -k * (vE - wu + glideE * vU) +
        2 * OMEGA * (vN * s - vU * co) +
        (vE * vN * Math.tan(lat)) / (N + h) -
        (vE * vU) / (N + h),
      -k * (vN - wv + glideN * vU) - 2 * OMEGA * vE * s - (vE * vE * Math.tan(lat)) / (N + h) - (vN * vU) / (M + h),
      -k * vU - gravity(lat, h) + 2 * OMEGA * vE * co + (vE * vE) / (N + h) + (vN * vN) / (M + h),
    ];
  };
}

const targetGround = (c: ReferenceCase): number => groundOf(c, [c.target[1] * D, c.target[0] * D, 0]);

/**
 * How far the landing lies from each height, [east, north] m, if the canopy drifts and, below 100 m, faces the wind:
 * trapezia of 1 m in the wind at the target.
 */
function landingAhead(c: ReferenceCase, t0: number, top: number): (h: number) => [number, number] {
  const canopy = c.body.canopy;
  const setting = canopy?.settings.find((one) => one.name === canopy.setting) ?? canopy?.settings[0];
  const ground = targetGround(c);
  const n = Math.max(1, Math.ceil(top - ground));
  const dz = (top - ground) / n;
  const scaleAt = (h: number): number =>
    Math.sqrt((1.225 / airOf(c)(h).density_kgpm3) * (c.body.mass_kg / (canopy?.referenceMass_kg ?? 1)));
  /** Metres of displacement for a metre of height, east and north. */
  const rateAt = (h: number, time: number): [number, number] => {
    const s = scaleAt(h);
    const [u, v] = windOf(c, time, [c.target[1] * D, c.target[0] * D, h]);
    const V = (setting?.airspeed_mps ?? 0) * s;
    const left = h < ground + 100 ? Math.max(0, 1 - V / Math.max(Math.hypot(u, v), 1e-9)) : 1;
    const sink = (setting?.sink_mps ?? 1) * s;
    return [(left * u) / sink, (left * v) / sink];
  };
  const rates: [number, number][] = [];
  let t = t0;
  for (let k = 0; k < n; k++) {
    const h = top - (k + 0.5) * dz;
    const passing = dz / ((setting?.sink_mps ?? 1) * scaleAt(h));
    rates.push(rateAt(h, t + passing / 2));
    t += passing;
  }
  const sums: [number, number][] = [[0, 0]];
  for (let k = n - 1; k >= 0; k--) {
    const [belowE, belowN] = sums[0] ?? [0, 0];
    const [rateE, rateN] = rates[k] ?? [0, 0];
    sums.unshift([belowE + rateE * dz, belowN + rateN * dz]);
  }
  return (h) => {
    const x = Math.min(Math.max((top - h) / dz, 0), n);
    const k = Math.min(Math.floor(x), n - 1);
    const a = sums[k] ?? [0, 0];
    const b = sums[k + 1] ?? a;
    return [a[0] + (x - k) * (b[0] - a[0]), a[1] + (x - k) * (b[1] - a[1])];
  };
}

/** `plan`: where homing's landing lies (`landingAhead`); null where nothing homes. */
function gliding(c: ReferenceCase, plan: ((h: number) => [number, number]) | null): (t: number, y: State) => State {
  const canopy = c.body.canopy;
  if (canopy === undefined) throw new Error('a canopy is needed');
  const setting = canopy.settings.find((one) => one.name === canopy.setting) ?? canopy.settings[0];
  const steering = canopy.steering ?? { policy: 'drift' };
  return (t, y) => {
    const [lat = 0, lon = 0, h = 0] = y;
    const scale = Math.sqrt((1.225 / airOf(c)(h).density_kgpm3) * (c.body.mass_kg / canopy.referenceMass_kg));
    const V = (setting?.airspeed_mps ?? 0) * scale;
    const w = (setting?.sink_mps ?? 1) * scale;
    const [wu, wv] = windOf(c, t, y);
    const [M, N] = radii(lat);
    let gE = wu;
    let gN = wv;
    if (steering.policy === 'hold') {
      gE += V * Math.sin(steering.heading_deg * D);
      gN += V * Math.cos(steering.heading_deg * D);
    } else if (steering.policy === 'into wind') {
      // Within the roughness the air is still, but the wind above it keeps its direction: that is what it faces.
      const [fu, fv] = freeWind(c, t, h);
      const speed = Math.hypot(fu, fv);
      gE -= speed > 0 ? (V * fu) / speed : 0;
      gN -= speed > 0 ? (V * fv) / speed : -V;
    } else if (plan !== null) {
      // The landing ahead, of drifting and of facing the wind in the last 100 m, is moved onto the target (MODEL.md
      // §6).
      const [aheadE, aheadN] = plan(h);
      const toE = (c.target[0] * D - lon) * (N + h) * Math.cos(lat) - aheadE;
      const toN = (c.target[1] * D - lat) * (M + h) - aheadN;
      const d = Math.max(Math.hypot(toE, toN), 1e-9);
      const pace = (V * Math.min(1, d / 50)) / d;
      let driveE = pace * toE;
      let driveN = pace * toN;
      if (h < targetGround(c) + 100) {
        const held = Math.min(1, V / Math.max(Math.hypot(wu, wv), 1e-9));
        driveE -= held * wu;
        driveN -= held * wv;
      }
      const most = Math.min(1, V / Math.max(Math.hypot(driveE, driveN), 1e-9));
      gE += most * driveE;
      gN += most * driveN;
    }
    return [gN / (M + h), gE / ((N + h) * Math.cos(lat)), -w];
  };
}

/**
 * Integrates in pieces until `event` falls from above to zero or below; then finds the moment by bisection-guarded
 * secants.
 */
function until(
  rhs: (t: number, y: State) => State,
  t: number,
  y: State,
  chunk: number,
  event: (t: number, y: State) => number,
  tolerance: number,
): [number, State] {
  let before = event(t, y);
  for (let n = 0; n < 100_000; n++) {
    const next = odex(rhs, t, y, t + chunk, tolerance);
    const after = event(t + chunk, next);
    if (before > 0 && after <= 0) {
      let low = 0;
      let high = chunk;
      let gLow = before;
      let gHigh = after;
      let at = next;
      for (let tries = 0; tries < 80 && high - low > 1e-10; tries++) {
        const secant = low + ((high - low) * gLow) / (gLow - gHigh);
        const dt = tries % 3 === 2 ? (low + high) / 2 : Math.min(Math.max(secant, low + 1e-12), high - 1e-12);
        at = odex(rhs, t, y, t + dt, tolerance);
        const g = event(t + dt, at);
        if (Math.abs(g) < 1e-9) return [t + dt, at];
        if (g > 0) {
          low = dt;
          gLow = g;
        } else {
          high = dt;
          gHigh = g;
        }
      }
      return [t + high, at];
    }
    t += chunk;
    y = next;
    before = after;
  }
  throw new Error('the reference did not reach its event');
}

export interface ReferenceLanding {
  /** After exit. */
  readonly t_s: number;
  readonly lon_deg: number;
  readonly lat_deg: number;
  readonly shock_mps2: number;
}

/** The landing by the reference, with odex at a tolerance. */
export function referenceLanding(c: ReferenceCase, tolerance = 1e-12): ReferenceLanding {
  const [wu, wv] = windOf(c, 0, [c.exit.lat_deg * D, c.exit.lon_deg * D, c.exit.height_m]);
  const v = c.exit.velocity_mps ?? [wu, wv, 0];
  let t = 0;
  let y: State = [c.exit.lat_deg * D, c.exit.lon_deg * D, c.exit.height_m, v[0], v[1], v[2]];
  let area = (_t: number, _mach: number): number => 1;
  const machNow = (time: number, s: State): number => {
    const [u, w] = windOf(c, time, s);
    return Math.hypot((s[3] ?? 0) - u, (s[4] ?? 0) - w, s[5] ?? 0) / airOf(c)(s[2] ?? 0).soundSpeed_mps;
  };
  for (const stage of c.body.stages) {
    area = (_time, mach) => stage.dragArea_m2 * machFactor(stage.machFactor, mach);
    const rhs = falling(c, area, (stage.drogue ?? stage.name.includes('drogue')) ? [0, 0] : c.glide);
    const ends = stage.until ?? { agl_m: 0 };
    if ('after_s' in ends) {
      if (ends.after_s <= t) continue;
      y = odex(rhs, t, y, ends.after_s, tolerance);
      t = ends.after_s;
      continue;
    }
    const event =
      'agl_m' in ends
        ? (_t: number, s: State) => (s[2] ?? 0) - groundOf(c, s) - ends.agl_m
        : 'msl_m' in ends
          ? (_t: number, s: State) => (s[2] ?? 0) - ends.msl_m
          : (time: number, s: State) => machNow(time, s) - ends.machBelow;
    if (!('machBelow' in ends) && event(t, y) <= 0) continue;
    [t, y] = until(rhs, t, y, 2, event, tolerance);
  }
  const canopy = c.body.canopy;
  let shock = 0;
  if (canopy !== undefined) {
    const setting = canopy.settings.find((one) => one.name === canopy.setting) ?? canopy.settings[0];
    const S0 = area(t, machNow(t, y));
    const Sc = (2 * canopy.referenceMass_kg * 9.80665) / (1.225 * (setting?.sink_mps ?? 1) ** 2);
    const t0 = t;
    const [fillU, fillV] = windOf(c, t, y);
    const speed = Math.hypot((y[3] ?? 0) - fillU, (y[4] ?? 0) - fillV, y[5] ?? 0);
    const fill_s =
      canopy.fillDistance_m === undefined
        ? (canopy.fill_s ?? 0)
        : canopy.fillDistance_m / Math.max(speed, setting?.sink_mps ?? 0);
    const grown = (time: number): number => S0 + (Sc - S0) * ((time - t0) / fill_s) ** (canopy.fillExponent ?? 2);
    const rhs = falling(c, grown);
    const pieces = 400;
    for (let i = 1; i <= pieces; i++) {
      const end = t0 + (fill_s * i) / pieces;
      y = odex(rhs, t, y, end, tolerance);
      t = end;
      const [u, w] = windOf(c, t, y);
      const rel2 = ((y[3] ?? 0) - u) ** 2 + ((y[4] ?? 0) - w) ** 2 + (y[5] ?? 0) ** 2;
      shock = Math.max(shock, (0.5 * airOf(c)(y[2] ?? 0).density_kgpm3 * grown(t) * rel2) / c.body.mass_kg);
    }
    y = y.slice(0, 3);
    const homing = canopy.steering?.policy === 'to target';
    [t, y] = until(
      gliding(c, homing ? landingAhead(c, t, y[2] ?? 0) : null),
      t,
      y,
      5,
      (_t, s) => (s[2] ?? 0) - groundOf(c, s),
      tolerance,
    );
  } else {
    [t, y] = until(falling(c, area), t, y, 2, (_t, s) => (s[2] ?? 0) - groundOf(c, s), tolerance);
  }
  return { t_s: t, lat_deg: (y[0] ?? 0) / D, lon_deg: (y[1] ?? 0) / D, shock_mps2: shock };
}
