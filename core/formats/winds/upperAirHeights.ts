// Heights of a coded sounding: the dropped figures of the standard levels restored, and the heights of all other
// pressure levels found between them. Heights here are geopotential m; pressures Pa. The hypsometric equation with the
// constants of the US Standard 1976.
import { zeroed } from '../../base/plainNumbers.ts';
import { G0, R_AIR, geopotentialHeight, pressureAltitude, virtualTemperature } from '../../air/air.ts';
import type { Draft } from './tempSections.ts';
import type { Findings } from '../text/text.ts';

interface Measured {
  readonly lnP: number;
  readonly virtual_K: number;
}

/** Virtual temperature against ln p, linear between the measured levels; beyond the ends the end value holds. */
export class TemperatureColumn {
  readonly #points: readonly Measured[];

  constructor(drafts: readonly Draft[]) {
    const points: Measured[] = [];
    for (const { pressure_Pa, temperature_K, dewPoint_K } of drafts) {
      if (pressure_Pa === null || temperature_K === null || !(pressure_Pa > 0)) continue;
      const virtual_K =
        dewPoint_K === null ? temperature_K : virtualTemperature(temperature_K, pressure_Pa, dewPoint_K);
      points.push({ lnP: Math.log(pressure_Pa), virtual_K });
    }
    points.sort((a, b) => b.lnP - a.lnP);
    this.#points = points.filter((point, i) => i === 0 || point.lnP < (points[i - 1]?.lnP ?? Infinity) - 1e-9);
  }

  get empty(): boolean {
    return this.#points.length === 0;
  }

  /** Whether temperature was measured at or on both sides of this pressure. */
  covers(pressure_Pa: number): boolean {
    const lnP = Math.log(pressure_Pa);
    return lnP <= (this.#points[0]?.lnP ?? -Infinity) + 1e-9 && lnP >= (this.#points.at(-1)?.lnP ?? Infinity) - 1e-9;
  }

  #at(lnP: number): number {
    const above = this.#points.findIndex((point) => point.lnP <= lnP);
    const b = this.#points[above === -1 ? this.#points.length - 1 : above];
    const a = above > 0 ? this.#points[above - 1] : b;
    if (a === undefined || b === undefined) return NaN;
    if (a === b) return a.virtual_K;
    return b.virtual_K + ((a.virtual_K - b.virtual_K) * (lnP - b.lnP)) / (a.lnP - b.lnP);
  }

  /**
   * Thickness of the layer, geopotential m, from one pressure up to a lower one (negative downward); exact for the
   * linear pieces.
   */
  thickness_m(from_Pa: number, to_Pa: number): number {
    const start = Math.log(from_Pa);
    const end = Math.log(to_Pa);
    const high = Math.max(start, end);
    const low = Math.min(start, end);
    let area = 0;
    let last = high;
    for (const lnP of [...this.#points.map((p) => p.lnP).filter((x) => x < high && x > low), low]) {
      area += ((this.#at(last) + this.#at(lnP)) / 2) * (last - lnP);
      last = lnP;
    }
    return (R_AIR / G0) * area * Math.sign(start - end);
  }
}

const standardHeight_m = (pressure_Pa: number): number => geopotentialHeight(pressureAltitude(pressure_Pa));

/**
 * The heights that three figures can mean. At and below 700 hPa they are metres without the thousands (at 1000 and 925
 * hPa figures above 500 also stand for a height below the sea, 500 added); above, tens of metres without the ten
 * thousands.
 */
function meanings(level: Draft): number[] {
  const { hhh, pressure_Pa } = level;
  if (hhh === null || pressure_Pa === null) return [];
  if (pressure_Pa < 70_000) return [0, 1, 2, 3, 4, 5].map((k) => 10 * hhh + 10_000 * k);
  const metres = [0, 1, 2, 3].map((k) => hhh + 1000 * k);
  return pressure_Pa >= 92_500 && hhh > 500 ? [500 - hhh, ...metres] : metres;
}

interface Expectation {
  readonly height_m: number;
  readonly tolerance_m: number;
}

/**
 * What the next standard level's height should be: by the measured temperatures, else by the standard atmosphere's
 * thickness.
 */
function expected(column: TemperatureColumn, from_Pa: number, from_m: number, to_Pa: number): Expectation {
  const measured = !column.empty && column.covers(from_Pa) && column.covers(to_Pa);
  const thickness_m = measured
    ? column.thickness_m(from_Pa, to_Pa)
    : standardHeight_m(to_Pa) - standardHeight_m(from_Pa);
  // Standard levels alone, without the significant ones between, leave up to 2 % of the thickness open; the standard
  // atmosphere 15 %.
  return {
    height_m: from_m + thickness_m,
    tolerance_m: measured ? 60 + 0.03 * Math.abs(thickness_m) : 200 + 0.15 * Math.abs(thickness_m),
  };
}

const nearest = (heights: readonly number[], to: number): number =>
  heights.reduce((best, h) => (Math.abs(h - to) < Math.abs(best - to) ? h : best), heights[0] ?? NaN);

/**
 * The heights that follow when the one level `start` is believed, upward and downward from it; null where a level does
 * not fit.
 */
function chain(levels: readonly Draft[], start: number, first_m: number, column: TemperatureColumn): (number | null)[] {
  const heights: (number | null)[] = levels.map(() => null);
  heights[start] = first_m;
  for (const step of [1, -1]) {
    let from_Pa = levels[start]?.pressure_Pa ?? NaN;
    let from_m = first_m;
    for (let i = start + step; i >= 0 && i < levels.length; i += step) {
      const level = levels[i];
      if (level === undefined || level.pressure_Pa === null) continue;
      const want = expected(column, from_Pa, from_m, level.pressure_Pa);
      const height = nearest(meanings(level), want.height_m);
      if (!(Math.abs(height - want.height_m) <= want.tolerance_m)) continue;
      heights[i] = height;
      from_Pa = level.pressure_Pa;
      from_m = height;
    }
  }
  return heights;
}

/**
 * Restores the dropped figures of all standard levels: the meaning nearest to the standard atmosphere at one level,
 * from there by the hypsometric equation with the sounding's own temperatures. Every level is tried as the one to
 * believe; the reading on which most levels agree stands, so one garbled group cannot drag the others along. A level
 * that fits no meaning loses its height, with a problem.
 *
 * levels     standard levels with figures, falling pressure; `geopotential_m` is written
 * atSea_Pa   surface pressure of a sonde that fell into the sea (there the height is 0), else null: in the eye of a
 *            storm 925 hPa may
 *            lie below the sea
 */
export function restoreHeights(
  levels: readonly Draft[],
  column: TemperatureColumn,
  atSea_Pa: number | null,
  station: string,
  findings: Findings,
): void {
  let best: (number | null)[] = [];
  let most = 0;
  levels.forEach((level, start) => {
    if (level.pressure_Pa === null) return;
    const by_m =
      atSea_Pa === null
        ? standardHeight_m(level.pressure_Pa)
        : expected(column, atSea_Pa, 0, level.pressure_Pa).height_m;
    const heights = chain(levels, start, nearest(meanings(level), by_m), column);
    const agree = heights.filter((h) => h !== null).length;
    if (agree > most) {
      best = heights;
      most = agree;
    }
  });
  levels.forEach((level, i) => {
    level.geopotential_m = best[i] ?? null;
    if (level.geopotential_m !== null) return;
    const hPa = (level.pressure_Pa ?? 0) / 100;
    const text =
      `${station}: height figures ${zeroed(level.hhh ?? 0, 3)} at ${hPa} hPa do not fit the levels beside it; ` +
      'not used';
    findings.add('heights that do not fit', { line: level.line }, text);
  });
}

/**
 * Past the last level with a printed height this much thickness is still computed; further the chain of small errors is
 * not worth it.
 */
const BEYOND_M = 5000;
/** No land lies lower: a height computed below this follows from one that was printed or received wrong. */
const LOWEST_M = -1000;

/**
 * Heights of all levels that have a pressure only: between two levels with a printed height by ln p, weighted with the
 * virtual temperature and closed on both (so it is linear in ln p where no temperature is known); outside them by the
 * hypsometric equation as far as temperature was measured, with a problem that says so; further not at all.
 */
export function fillHeights(
  drafts: readonly Draft[],
  column: TemperatureColumn,
  station: string,
  findings: Findings,
): void {
  const known = drafts
    .filter((d) => d.pressure_Pa !== null && d.geopotential_m !== null)
    .sort((a, b) => (b.pressure_Pa ?? 0) - (a.pressure_Pa ?? 0));
  const reached: number[] = [];
  const lost: Draft[] = [];
  for (const level of drafts) {
    if (level.geopotential_m !== null || level.pressure_Pa === null) continue;
    const below = known.findLast((k) => (k.pressure_Pa ?? 0) >= (level.pressure_Pa ?? 0));
    const above = known.find((k) => (k.pressure_Pa ?? 0) <= (level.pressure_Pa ?? 0));
    if (below !== undefined && above !== undefined)
      level.geopotential_m = between(below, above, level.pressure_Pa, column);
    else {
      level.geopotential_m = beyond(below ?? above, level.pressure_Pa, column);
      if (level.geopotential_m === null) lost.push(level);
      else if (level.kind !== 'surface') reached.push(level.pressure_Pa / 100);
    }
  }
  if (reached.length > 0) {
    const text =
      `${station}: beyond the printed heights ${count(reached.length)} (${span(reached)}) by the hypsometric ` +
      'equation';
    findings.add('computed heights', { line: 0 }, text);
  }
  if (lost.length > 0) {
    const levels = `${count(lost.length)} (${span(lost.map((d) => (d.pressure_Pa ?? 0) / 100))})`;
    const why =
      known.length === 0
        ? 'the message gives no height of a pressure level'
        : 'beyond the printed heights, and the measured temperatures give none that can be';
    findings.add(
      'levels without height',
      { line: lost[0]?.line ?? 0 },
      `${station}: ${levels} without a height: ${why}`,
    );
  }
}

const count = (n: number): string => `${n} ${n === 1 ? 'level' : 'levels'}`;

function span(hPa: readonly number[]): string {
  const low = Math.min(...hPa);
  const high = Math.max(...hPa);
  return low === high ? `${low} hPa` : `${high} to ${low} hPa`;
}

function between(below: Draft, above: Draft, pressure_Pa: number, column: TemperatureColumn): number | null {
  const { pressure_Pa: p0, geopotential_m: z0 } = below;
  const { pressure_Pa: p1, geopotential_m: z1 } = above;
  if (p0 === null || p1 === null || z0 === null || z1 === null) return null;
  if (p0 === p1) return z0;
  const part = column.empty
    ? Math.log(p0 / pressure_Pa) / Math.log(p0 / p1)
    : column.thickness_m(p0, pressure_Pa) / column.thickness_m(p0, p1);
  return z0 + (z1 - z0) * part;
}

function beyond(end: Draft | undefined, pressure_Pa: number, column: TemperatureColumn): number | null {
  if (end === undefined || end.pressure_Pa === null || end.geopotential_m === null) return null;
  if (!column.covers(pressure_Pa)) return null;
  const rise_m = column.thickness_m(end.pressure_Pa, pressure_Pa);
  const height_m = end.geopotential_m + rise_m;
  return Math.abs(rise_m) <= BEYOND_M && height_m >= LOWEST_M ? height_m : null;
}
