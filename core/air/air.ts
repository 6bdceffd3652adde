// Air: US Standard Atmosphere 1976 below 86 km, and the air of a sounding joined to it. Heights geometric m MSL, K, Pa,
// kg/m³, m/s. Source: NOAA/NASA/USAF, U.S. Standard Atmosphere 1976, NASA-TM-X-74335, part 1 (equation numbers below).
import { nth } from '../base/nth.ts';

export const R_AIR = 287.05287;
export const GAMMA_AIR = 1.4;
export const G0 = 9.80665;
export const RHO0 = 1.225;
/** Effective earth radius of the standard, m (table 2). */
export const R0_M = 6_356_766;

/** [base geopotential height m′, lapse K/m′] of each layer (table 4). */
const LAYERS = [
  [0, -0.0065],
  [11_000, 0],
  [20_000, 0.001],
  [32_000, 0.0028],
  [47_000, 0],
  [51_000, -0.0028],
  [71_000, -0.002],
] as const;

interface Layer {
  readonly base_m: number;
  readonly lapse: number;
  readonly temperature_K: number;
  readonly pressure_Pa: number;
}

const layers: readonly Layer[] = (() => {
  const made: Layer[] = [];
  let temperature_K = 288.15;
  let pressure_Pa = 101_325;
  LAYERS.forEach(([base_m, lapse], i) => {
    const layer = { base_m, lapse, temperature_K, pressure_Pa };
    made.push(layer);
    const top = LAYERS[i + 1]?.[0] ?? 84_852;
    pressure_Pa = layerPressure(layer, top);
    temperature_K += lapse * (top - base_m);
  });
  return made;
})();

/** Eq. 33a (a layer with a lapse) and 33b (isothermal). */
function layerPressure(layer: Layer, H: number): number {
  const dH = H - layer.base_m;
  if (layer.lapse === 0) return layer.pressure_Pa * Math.exp((-G0 * dH) / (R_AIR * layer.temperature_K));
  return layer.pressure_Pa * Math.pow(1 + (layer.lapse * dH) / layer.temperature_K, -G0 / (R_AIR * layer.lapse));
}

function layerAt(H: number): Layer {
  let at = 0;
  while (at + 1 < layers.length && H >= (LAYERS[at + 1]?.[0] ?? Infinity)) at += 1;
  return layers[at] as Layer;
}

/** Geopotential height m′ of a geometric height m (eq. 18), and back (eq. 19). */
export const geopotentialHeight = (z: number): number => (R0_M * z) / (R0_M + z);
export const geometricHeight = (H: number): number => (R0_M * H) / (R0_M - H);

export interface AirState {
  readonly temperature_K: number;
  readonly pressure_Pa: number;
  readonly density_kgpm3: number;
  readonly soundSpeed_mps: number;
}

export function airFrom(temperature_K: number, pressure_Pa: number, virtual_K = temperature_K): AirState {
  return {
    temperature_K,
    pressure_Pa,
    density_kgpm3: pressure_Pa / (R_AIR * virtual_K),
    soundSpeed_mps: Math.sqrt(GAMMA_AIR * R_AIR * temperature_K),
  };
}

/**
 * The standard's air at a geometric height, −5 to 86 km; checked against table I in
 * `tests/published/atmosphere.test.ts`.
 */
export function standardAir(height_m: number): AirState {
  const H = geopotentialHeight(height_m);
  const layer = layerAt(H);
  return airFrom(layer.temperature_K + layer.lapse * (H - layer.base_m), layerPressure(layer, H));
}

/**
 * The geometric height at which the standard has this pressure: "pressure altitude", never to be mixed with a true
 * height.
 */
export function pressureAltitude(pressure_Pa: number): number {
  let at = 0;
  while (at + 1 < layers.length && pressure_Pa <= (layers[at + 1]?.pressure_Pa ?? 0)) at += 1;
  const layer = layers[at] as Layer;
  const ratio = pressure_Pa / layer.pressure_Pa;
  const dH =
    layer.lapse === 0
      ? (-Math.log(ratio) * R_AIR * layer.temperature_K) / G0
      : (layer.temperature_K / layer.lapse) * (Math.pow(ratio, (-R_AIR * layer.lapse) / G0) - 1);
  return geometricHeight(layer.base_m + dH);
}

/**
 * Vapour pressure over water, Pa, of a dew point, K. Bolton (1980), Mon. Wea. Rev. 108, eq. 10: within 0.3 % from −35
 * to 35 °C.
 */
export function vapourPressure(dewPoint_K: number): number {
  const t = dewPoint_K - 273.15;
  return 611.2 * Math.exp((17.67 * t) / (t + 243.5));
}

/** Virtual temperature T/(1 − (1 − ε) e/p), ε = 0.622. */
export function virtualTemperature(temperature_K: number, pressure_Pa: number, dewPoint_K: number): number {
  return temperature_K / (1 - (0.378 * Math.min(vapourPressure(dewPoint_K), 0.2 * pressure_Pa)) / pressure_Pa);
}

/** A level of measured air. */
export interface AirLevel {
  readonly height_m: number;
  readonly temperature_K: number;
  readonly pressure_Pa: number;
  readonly dewPoint_K?: number | undefined;
}

/** Above and below a sounding its offset from the standard fades to nothing over this height. */
export const JOIN_FADE_M = 5000;

/**
 * The air of a sounding: between levels ln p and temperature linear in height; above its top and below its bottom the
 * standard, with the offsets of temperature and ln p continuous at the joint and fading linearly over 5 km (MODEL.md
 * §2).
 *
 * levels   two or more, rising in height
 * returns  the air at a geometric height m MSL
 */
export function soundingAir(levels: readonly AirLevel[]): (height_m: number) => AirState {
  const rows = levels.map((level) => ({
    z: level.height_m,
    T: level.temperature_K,
    Tv:
      level.dewPoint_K === undefined
        ? level.temperature_K
        : virtualTemperature(level.temperature_K, level.pressure_Pa, level.dewPoint_K),
    lnP: Math.log(level.pressure_Pa),
  }));
  const first = rows[0];
  const last = rows[rows.length - 1];
  if (first === undefined || last === undefined) return standardAir;
  const beyond = ({ z, T, Tv, lnP }: typeof first): ((height_m: number) => AirState) => {
    const joint = standardAir(z);
    const off_K = T - joint.temperature_K;
    const offLnP = lnP - Math.log(joint.pressure_Pa);
    return (height_m) => {
      const fade = Math.max(0, 1 - Math.abs(height_m - z) / JOIN_FADE_M);
      const there = standardAir(height_m);
      const temperature_K = there.temperature_K + fade * off_K;
      return airFrom(temperature_K, there.pressure_Pa * Math.exp(fade * offLnP), temperature_K + fade * (Tv - T));
    };
  };
  const below = beyond(first);
  const above = beyond(last);
  return (height_m) => {
    if (!(height_m > first.z)) return below(height_m);
    if (!(height_m < last.z)) return above(height_m);
    let low = 0;
    let high = rows.length - 1;
    while (high - low > 1) {
      const middle = (low + high) >> 1;
      if ((rows[middle]?.z ?? Infinity) <= height_m) low = middle;
      else high = middle;
    }
    const a = rows[low] ?? first;
    const b = rows[high] ?? last;
    const f = (height_m - a.z) / (b.z - a.z);
    return airFrom(a.T + f * (b.T - a.T), Math.exp(a.lnP + f * (b.lnP - a.lnP)), a.Tv + f * (b.Tv - a.Tv));
  };
}

const CELL_M = 50;
const PER_CELL = 1 / CELL_M;
const BOTTOM_M = -1000;
const TOP_M = 86_000;
const CELLS = (TOP_M - BOTTOM_M) / CELL_M;

interface Tables {
  /** Four coefficients a cell. */
  readonly density: Float64Array;
  readonly slowness: Float64Array;
}

/** Writes the cells that have a part between two heights. */
function tabulate(
  exact: (height_m: number) => AirState,
  { density, slowness }: Tables,
  low_m: number,
  high_m: number,
): void {
  const first = Math.max(0, Math.floor((low_m - BOTTOM_M) * PER_CELL));
  const end = Math.min(CELLS, Math.ceil((high_m - BOTTOM_M) * PER_CELL));
  const d = 0.01;
  const rho = (height_m: number): number => exact(height_m).density_kgpm3;
  let edge = exact(BOTTOM_M + first * CELL_M);
  for (let i = first; i < end; i++) {
    const z = BOTTOM_M + i * CELL_M;
    const next = exact(z + CELL_M);
    const p0 = edge.density_kgpm3;
    const p1 = next.density_kgpm3;
    // One-sided second-order slopes from inside the cell, so that a break at a cell's edge stays at the edge.
    const s0 = (-3 * p0 + 4 * rho(z + d) - rho(z + 2 * d)) * (CELL_M / (2 * d));
    const s1 = (3 * p1 - 4 * rho(z + CELL_M - d) + rho(z + CELL_M - 2 * d)) * (CELL_M / (2 * d));
    density.set([p0, s0, 3 * (p1 - p0) - 2 * s0 - s1, 2 * (p0 - p1) + s0 + s1], 4 * i);
    slowness[i] = 1 / edge.soundSpeed_mps;
    edge = next;
  }
  slowness[end] = 1 / edge.soundSpeed_mps;
}

const standardTables = ((): Tables => {
  const made = { density: new Float64Array(4 * CELLS), slowness: new Float64Array(CELLS + 1) };
  tabulate(standardAir, made, BOTTOM_M, TOP_M);
  return made;
})();

/**
 * Air tabulated for the hot loop: density as a cubic Hermite in each 50 m cell, the reciprocal of the speed of sound
 * linear in it.
 *
 * Error  against the exact functions, relative: density below 2e-9 inside a layer, below 2e-4 in the one cell where a
 *        layer's
 *        temperature slope breaks; a landing from 39 km moves less than 1 cm (`tests/descent/tables.test.ts` measures
 *        both)
 */
export class Air {
  readonly exact: (height_m: number) => AirState;
  /**
   * Heights between which a sounding speaks; outside them it is the standard joined to it. Null: the standard
   * everywhere.
   */
  readonly measured: { readonly bottom_m: number; readonly top_m: number } | null;
  /** The levels that it was made from: what crosses to a worker, which builds it again. */
  readonly levels: readonly AirLevel[];
  readonly #density: Float64Array;
  readonly #slowness: Float64Array;

  constructor(levels: readonly AirLevel[] = []) {
    const top = levels[levels.length - 1];
    const bottom = levels[0];
    this.levels = levels;
    this.measured =
      levels.length >= 2 && top !== undefined && bottom !== undefined
        ? { bottom_m: bottom.height_m, top_m: top.height_m }
        : null;
    this.exact = this.measured === null ? standardAir : soundingAir(levels);
    const { density, slowness } = standardTables;
    if (this.measured === null) {
      this.#density = density;
      this.#slowness = slowness;
      return;
    }
    // Where the offset of a sounding has faded its air is the standard's, whose cells are there already.
    const { bottom_m, top_m } = this.measured;
    const own = { density: density.slice(), slowness: slowness.slice() };
    tabulate(this.exact, own, bottom_m - JOIN_FADE_M, top_m + JOIN_FADE_M);
    this.#density = own.density;
    this.#slowness = own.slowness;
  }

  /** kg/m³. Outside −1 to 86 km the nearest cell's value at its edge. */
  density(height_m: number): number {
    const x = Math.min(Math.max((height_m - BOTTOM_M) * PER_CELL, 0), CELLS - 1e-9);
    const i = Math.floor(x);
    const f = x - i;
    const c = this.#density;
    const at = 4 * i;
    return nth(c, at) + f * (nth(c, at + 1) + f * (nth(c, at + 2) + f * nth(c, at + 3)));
  }

  /** m/s. */
  soundSpeed(height_m: number): number {
    return 1 / this.slowness(height_m);
  }

  /** The reciprocal of the speed of sound, s/m: a Mach number in the hot loop is a product then. */
  slowness(height_m: number): number {
    const x = Math.min(Math.max((height_m - BOTTOM_M) * PER_CELL, 0), CELLS - 1e-9);
    const i = Math.floor(x);
    const at = nth(this.#slowness, i);
    return at + (x - i) * (nth(this.#slowness, i + 1) - at);
  }
}
