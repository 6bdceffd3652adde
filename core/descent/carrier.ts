// The carrier (MODEL.md §7): a balloon goes where the wind goes and rises as its profile says, then floats; an aircraft
// flies its run. Both give the line of possible exits with times. Heights m MSL, times s since 1970, directions degrees
// true.
import { meridianRadius, primeVerticalRadius } from '../earth/gravity.ts';
import { direct } from '../earth/geodesic.ts';
import type { MissionState } from '../log/fold.ts';
import type { Carrier, Exit, Mission } from '../plan/schema.ts';
import { DEG_PER_RAD, RAD_PER_DEG, toward_deg, wrap360, windFrom, type LonLat } from '../base/units.ts';
import { WindSampler, type WindOffset } from '../winds/field.ts';
import { atKnots } from '../base/knots.ts';
import { epoch_s, type World } from './scenario.ts';

export type Balloon = Extract<Carrier, { kind: 'balloon' }>;
export type Aircraft = Extract<Carrier, { kind: 'aircraft' }>;

/**
 * A moment of the carrier's flight. Velocity [east, north, up] over the ground: what a body that leaves it starts with.
 */
export interface CarrierPoint {
  readonly time_s: number;
  readonly position: LonLat;
  readonly height_m: number;
  readonly velocity_mps: readonly [number, number, number];
}

export interface CarrierPath {
  readonly points: readonly CarrierPoint[];
  /** The first point from which the flight is level (float, or the run): exits as planned come from here on. */
  readonly levelFrom: number;
}

/** A balloon's rise where the mission says nothing: common practice for large balloons. */
export const ASCENT_MPS = 5;
/** How long a balloon floats, and an aircraft's run lasts, where the mission says nothing. */
export const FLOAT_S = 1800;
export const RUN_S = 120;
const STEP_S = 10;
const ASCENT_S_MAX = 8 * 3600;

class Drift {
  readonly #sampler: WindSampler;
  readonly #start_s: number;
  lat_rad: number;
  lon_rad: number;

  constructor(world: World, offset: WindOffset | null, place: LonLat, start_s: number) {
    this.#sampler = new WindSampler(world.wind);
    this.#sampler.start(start_s, offset);
    this.#start_s = start_s;
    this.lon_rad = place[0] * RAD_PER_DEG;
    this.lat_rad = place[1] * RAD_PER_DEG;
  }

  wind(time_s: number, height_m: number): readonly [number, number] {
    this.#sampler.sample(this.lat_rad, this.lon_rad, height_m, time_s - this.#start_s);
    return [this.#sampler.out[0] ?? 0, this.#sampler.out[1] ?? 0];
  }

  move(u: number, v: number, height_m: number, dt: number): void {
    const sin2 = Math.sin(this.lat_rad) ** 2;
    this.lon_rad += (u * dt) / ((primeVerticalRadius(sin2) + height_m) * Math.cos(this.lat_rad));
    this.lat_rad += (v * dt) / (meridianRadius(sin2) + height_m);
  }

  place(): LonLat {
    return [this.lon_rad * DEG_PER_RAD, this.lat_rad * DEG_PER_RAD];
  }
}

/** Where and when a balloon was last known: a fix, its launch mark, or its planned launch. */
export interface CarrierFix {
  readonly time_s: number;
  readonly position: LonLat;
  readonly height_m: number;
}

/** So far below where the balloon was, m, and sinking so fast since, m/s, nobody is with it any more. Ours. */
const LEFT_M = 300;
const LEFT_MPS = 5;

/** What hangs below a balloon. */
export const HANGING = ['gondola', 'jumper'] as const;
type Hanging = (typeof HANGING)[number];

/**
 * The first fix of a body that lies clearly below where the balloon was, s since 1970; Infinity: it hangs there still,
 * so far as fixes tell. A jumper whose first fix comes after the planned exit is set against its height.
 */
function fellBy_s(body: Hanging, exit: Exit, fixes: MissionState['fixes']): number {
  const seen = HANGING.flatMap((one) =>
    (fixes.get(one) ?? []).map((fix) => ({ ...fix, height_m: fix.height_m ?? NaN, body: one })),
  )
    .filter(({ height_m }) => height_m === height_m)
    .sort((a, b) => a.time_s - b.time_s);
  let top: (typeof seen)[number] | null = null;
  for (const fix of seen) {
    const { time_s, height_m } = fix;
    const below =
      top !== null
        ? top.height_m - height_m > Math.max(LEFT_M, LEFT_MPS * (time_s - top.time_s))
        : body === 'jumper' &&
          time_s >= epoch_s(exit.time) &&
          exit.altitude_m - height_m > LEFT_M &&
          seen.every((later) => later.time_s <= time_s || later.height_m <= height_m);
    if (fix.body === body && below) return time_s;
    if (top === null || height_m >= top.height_m) top = fix;
  }
  return Infinity;
}

/**
 * When the jumper left the carrier, s since 1970: by the log; else an aircraft at the planned exit, and a balloon by
 * the jumper's fixes. Infinity: not yet, so far as the log tells; a balloon may float past the planned exit.
 */
export function leftAt_s(
  { carrier, exit }: Pick<Mission, 'carrier' | 'exit'>,
  { fixes, marks }: Pick<MissionState, 'fixes' | 'marks'>,
): number {
  const logged = marks.get('exit');
  if (logged !== undefined) return logged.time_s;
  return carrier?.kind === 'balloon' ? fellBy_s('jumper', exit, fixes) : epoch_s(exit.time);
}

/**
 * The last that the log knows of a balloon: a fix of the gondola before its release, or of the jumper before the exit,
 * else the launch mark; null: nothing, and the plan's launch holds.
 */
export function balloonFix(
  carrier: Balloon,
  exit: Exit,
  { fixes, marks }: Pick<MissionState, 'fixes' | 'marks'>,
): CarrierFix | null {
  const launch = marks.get('launch');
  const until_s = {
    gondola: marks.get('release')?.time_s ?? fellBy_s('gondola', exit, fixes),
    jumper: leftAt_s({ carrier, exit }, { fixes, marks }),
  };
  const launch_s = launch?.time_s ?? epoch_s(carrier.launch.time);
  let last: CarrierFix | null =
    launch === undefined
      ? null
      : {
          time_s: launch.time_s,
          position: launch.position ?? carrier.launch.position,
          height_m: launch.height_m ?? carrier.launch.elevation_m,
        };
  for (const body of ['gondola', 'jumper'] as const) {
    for (const { time_s, position, height_m } of fixes.get(body) ?? []) {
      if (height_m === null || time_s >= until_s[body] || time_s < launch_s) continue;
      if (last === null || time_s > last.time_s) last = { time_s, position, height_m };
    }
  }
  return last;
}

/**
 * The balloon's way from where it was last known (left out: its planned launch) to the end of its float, a point each
 * 10 s.
 *
 * Error  midpoint rule at 10 s: within 0.1 % of the drift (`tests/descent/carrier.test.ts` against the closed form of a
 *        linear shear)
 */
export function balloonPath(
  carrier: Balloon,
  world: World,
  offset: WindOffset | null = null,
  fix: CarrierFix | null = null,
): CarrierPath {
  const launch_s = fix?.time_s ?? epoch_s(carrier.launch.time);
  const drift = new Drift(world, offset, fix?.position ?? carrier.launch.position, launch_s);
  const rate = (height_m: number): number =>
    Math.max(carrier.ascentRate_mps === undefined ? ASCENT_MPS : atKnots(carrier.ascentRate_mps, height_m), 0.05);
  const points: CarrierPoint[] = [];
  let t = launch_s;
  let h = fix?.height_m ?? carrier.launch.elevation_m;
  let levelFrom = -1;
  const end = (): number =>
    levelFrom < 0 ? launch_s + ASCENT_S_MAX : (points[levelFrom]?.time_s ?? t) + (carrier.float_s ?? FLOAT_S);
  while (t <= end()) {
    const rising = h < carrier.float_m - 1e-6;
    const up = rising ? rate(h) : 0;
    const [u, v] = drift.wind(t, h);
    if (!rising && levelFrom < 0) levelFrom = points.length;
    points.push({ time_s: t, position: drift.place(), height_m: h, velocity_mps: [u, v, up] });
    const left = rising ? (carrier.float_m - h) / up : STEP_S;
    const dt = Math.min(STEP_S, left);
    const middle = h + (rising ? (rate(h + (up * dt) / 2) * dt) / 2 : 0);
    const [um, vm] = drift.wind(t + dt / 2, middle);
    drift.move(um, vm, middle, dt);
    h = rising && left > STEP_S ? h + rate(h + (up * dt) / 2) * dt : carrier.float_m;
    t += dt;
  }
  return { points, levelFrom: Math.max(levelFrom, 0) };
}

/** Heading of the run, true: the plan's, or into the wind at exit height (common practice; in a calm north). */
export function runHeading_deg(
  carrier: Aircraft,
  world: World,
  through: LonLat,
  offset: WindOffset | null = null,
): number {
  if (carrier.heading_deg !== undefined) return carrier.heading_deg;
  const [u, v] = new Drift(world, offset, through, epoch_s(carrier.time)).wind(
    epoch_s(carrier.time),
    carrier.altitude_m,
  );
  return wrap360(windFrom(u, v).from_deg);
}

/** The aircraft's run, a point each second, through the plan's place at its time. */
export function aircraftRun(
  carrier: Aircraft,
  world: World,
  through: LonLat,
  heading_deg: number,
  offset: WindOffset | null = null,
): CarrierPath {
  const time_s = epoch_s(carrier.time);
  const [u, v] = new Drift(world, offset, through, time_s).wind(time_s, carrier.altitude_m);
  const heading = heading_deg * RAD_PER_DEG;
  const east = carrier.airspeed_mps * Math.sin(heading) + u;
  const north = carrier.airspeed_mps * Math.cos(heading) + v;
  const speed = Math.hypot(east, north);
  const half = (carrier.run_s ?? RUN_S) / 2;
  const points: CarrierPoint[] = [];
  for (let t = -half; t <= half; t += 1) {
    const position = direct(through, toward_deg(east, north), speed * t);
    points.push({ time_s: time_s + t, position, height_m: carrier.altitude_m, velocity_mps: [east, north, 0] });
  }
  return { points, levelFrom: 0 };
}

/** The line of possible exits of a mission, by its log where that is given; null where it names no carrier. */
export function carrierPath(
  mission: Pick<Mission, 'carrier' | 'exit'>,
  world: World,
  offset: WindOffset | null = null,
  state: Pick<MissionState, 'fixes' | 'marks'> | null = null,
): CarrierPath | null {
  const carrier = mission.carrier;
  if (carrier === undefined) return null;
  if (carrier.kind === 'balloon')
    return balloonPath(carrier, world, offset, state === null ? null : balloonFix(carrier, mission.exit, state));
  const through = carrier.through ?? mission.exit.position;
  return aircraftRun(carrier, world, through, runHeading_deg(carrier, world, through, offset), offset);
}

/** The carrier at a time, straight between its points; the ends hold outside. */
export function carrierAt(path: CarrierPath, time_s: number): CarrierPoint | null {
  const { points } = path;
  let i = 0;
  while (i + 2 < points.length && (points[i + 1]?.time_s ?? Infinity) <= time_s) i += 1;
  const a = points[i];
  const b = points[i + 1] ?? a;
  if (a === undefined || b === undefined) return null;
  const x = b.time_s > a.time_s ? Math.min(Math.max((time_s - a.time_s) / (b.time_s - a.time_s), 0), 1) : 0;
  return {
    time_s: a.time_s + x * (b.time_s - a.time_s),
    position: [
      a.position[0] + x * (b.position[0] - a.position[0]),
      a.position[1] + x * (b.position[1] - a.position[1]),
    ],
    height_m: a.height_m + x * (b.height_m - a.height_m),
    velocity_mps: x < 0.5 ? a.velocity_mps : b.velocity_mps,
  };
}
