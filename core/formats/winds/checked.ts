// What a source of winds says is held against physics before it is used: heights, pressures and temperatures must fit
// one another, and gusts the mean. A unit that is merely likely is proposed, never taken.
import { height } from '../../words/lengths.ts';
import { quantity } from '../../words/numbers.ts';
import { G0, geopotentialHeight, pressureAltitude, R_AIR, standardAir } from '../../air/air.ts';
import type { DecodedLevel, DecodedWinds } from '../../air/levels.ts';
import type { Problem, Read } from '../../base/problem.ts';

/** The source with what cannot be taken out, and a sentence for each such thing. */
export function checkedWinds(source: DecodedWinds): DecodedWinds {
  const { value, problems } = checkedLevels(source.levels);
  return problems.length === 0 ? source : { ...source, levels: value, problems: [...source.problems, ...problems] };
}

/** The same of levels alone, such as those of a plan. */
export function checkedLevels(levels: readonly DecodedLevel[]): Read<readonly DecodedLevel[]> {
  const problems: Problem[] = [];
  // Units first: over heights in feet pressures fall by a third of what they should, and the heights are what is wrong.
  const kept = withoutWrongUnits(withoutLowGusts(levels, problems), problems);
  return { value: withoutStandingPressure(kept, problems), problems };
}

function withoutLowGusts(levels: readonly DecodedLevel[], problems: Problem[]): readonly DecodedLevel[] {
  const low = levels.filter((level) => (level.gust_mps ?? Infinity) < (level.speed_mps ?? 0));
  const [first] = low;
  if (first === undefined) return levels;
  const example =
    `${quantity(first.gust_mps ?? 0, 'm/s', 1)} below the mean of ` + quantity(first.speed_mps ?? 0, 'm/s', 1);
  problems.push({ line: 0, text: `${low.length} gusts lower than the mean wind, such as ${example}; left out` });
  return levels.map((level) => {
    if (!low.includes(level)) return level;
    const { gust_mps: _, ...rest } = level;
    return rest;
  });
}

/** Over so much height pressures say whether they fall, m; at a tenth of its scale height air loses a tenth. */
const SPAN_M = 1000;
const SCALE_HEIGHT_M = 8000;

/** Pressure falls with height: over a kilometre and more by far over a third of what one scale height says. */
function withoutStandingPressure(levels: readonly DecodedLevel[], problems: Problem[]): readonly DecodedLevel[] {
  const known = levels
    .flatMap(({ height_m, pressure_Pa }) =>
      height_m === null || pressure_Pa === null ? [] : [{ height_m, pressure_Pa }],
    )
    .sort((a, b) => a.height_m - b.height_m);
  const [low, high] = [known[0], known.at(-1)];
  if (low === undefined || high === undefined) return levels;
  const rise_m = high.height_m - low.height_m;
  const falls = Math.log(low.pressure_Pa / high.pressure_Pa) > rise_m / SCALE_HEIGHT_M / 3;
  if (rise_m < SPAN_M || falls) return levels;
  const [at, top] = [low, high].map(
    ({ height_m, pressure_Pa }) => `${pressureText(pressure_Pa)} at ${height(height_m)}`,
  );
  problems.push({ line: 0, text: `pressures do not fall with height: ${at} and ${top}; expected less; not used` });
  return levels.map((level) => ({ ...level, pressure_Pa: null }));
}

const pressureText = (pressure_Pa: number): string => quantity(pressure_Pa / 100, 'hPa', 1);

/** Levels whose pressures are closer (in their logarithm, 170 m) say little of what lies between them. */
const LEAST_SPAN = 0.02;
/** A median of fewer pairs of levels says nothing. */
const PAIRS_MIN = 3;
/** Moist air, coarse levels and rounded heights change a thickness by some per cent; a wrong unit by a factor of 3. */
const FITS = [0.85, 1.18] as const;

const HEIGHT_UNITS = [
  [1 / 0.3048, 'they are probably feet'],
  [0.3048, 'they are probably metres'],
  [1000, 'they are probably metres'],
  [0.001, 'they are probably kilometres'],
  [0.1, 'they are probably tens of metres'],
] as const;

const PRESSURE_UNITS = [
  [0.01, 'they are probably hPa'],
  [100, 'they are probably Pa'],
  [0.001, 'they are probably kPa'],
  [10, 'they are probably hPa'],
  [0.1, 'they are probably kPa'],
] as const;

/**
 * The hydrostatic equation between levels (dz = R T / g · d ln p, ICAO Doc 7488) tests heights against temperatures,
 * whatever the unit of pressure; the standard atmosphere at the heights then tests the pressures.
 */
function withoutWrongUnits(levels: readonly DecodedLevel[], problems: Problem[]): readonly DecodedLevel[] {
  const known = levels
    .flatMap(({ height_m, pressure_Pa, temperature_K }) =>
      height_m === null || pressure_Pa === null || temperature_K === null
        ? []
        : [{ H_m: geopotentialHeight(height_m), height_m, pressure_Pa, temperature_K }],
    )
    .sort((a, b) => b.pressure_Pa - a.pressure_Pa);
  const thick: number[] = [];
  known.forEach((upper, k) => {
    const lower = known[k - 1];
    const span = lower === undefined ? 0 : Math.log(lower.pressure_Pa / upper.pressure_Pa);
    if (lower === undefined || !(span > LEAST_SPAN)) return;
    const expected_m = ((R_AIR * (lower.temperature_K + upper.temperature_K)) / 2 / G0) * span;
    thick.push((upper.H_m - lower.H_m) / expected_m);
  });
  if (thick.length < PAIRS_MIN) return withoutWrongHeights(levels, problems);
  const rise = median(thick);
  if (!within(rise, 1)) {
    const unit = HEIGHT_UNITS.find(([factor]) => within(rise, factor));
    const text =
      `heights do not fit pressures and temperatures: from level to level they rise ${factorText(rise)} times ` +
      'what air of these temperatures does';
    problems.push({
      line: 0,
      text: `${text}; ${unit === undefined ? 'check the units' : `${unit[1]}, and are not used until the file says so`}`,
    });
    return unit === undefined ? levels : levels.map((level) => ({ ...level, height_m: null }));
  }
  const ratio = median(known.map(({ height_m, pressure_Pa }) => pressure_Pa / standardAir(height_m).pressure_Pa));
  const unit = PRESSURE_UNITS.find(([factor]) => ratio > factor / 2 && ratio < factor * 2);
  if (unit === undefined) return levels;
  problems.push({
    line: 0,
    text:
      `pressures are ${factorText(ratio)} times those of the standard atmosphere at their heights; ${unit[1]}, ` +
      'and are not used until the file says so',
  });
  return levels.map((level) => ({ ...level, pressure_Pa: null }));
}

/** Without temperatures the standard atmosphere tests the heights: air differs from it by far less than their units. */
function withoutWrongHeights(levels: readonly DecodedLevel[], problems: Problem[]): readonly DecodedLevel[] {
  const known = levels
    .flatMap(({ height_m, pressure_Pa }) =>
      height_m === null || pressure_Pa === null ? [] : [{ height_m, pressure_Pa }],
    )
    .sort((a, b) => b.pressure_Pa - a.pressure_Pa);
  const rises = known.flatMap((upper, k) => {
    const lower = known[k - 1];
    if (lower === undefined || !(Math.log(lower.pressure_Pa / upper.pressure_Pa) > LEAST_SPAN)) return [];
    const expected_m = pressureAltitude(upper.pressure_Pa) - pressureAltitude(lower.pressure_Pa);
    return [(upper.height_m - lower.height_m) / expected_m];
  });
  const rise = median(rises);
  const unit = rises.length < PAIRS_MIN ? undefined : HEIGHT_UNITS.find(([factor]) => within(rise, factor));
  if (unit === undefined) return levels;
  problems.push({
    line: 0,
    text:
      `heights do not fit pressures: from level to level they rise ${factorText(rise)} times what the standard ` +
      `atmosphere does; ${unit[1]}, and are not used until the file says so`,
  });
  return levels.map((level) => ({ ...level, height_m: null }));
}

const within = (value: number, factor: number): boolean => value > FITS[0] * factor && value < FITS[1] * factor;
const factorText = (factor: number): string => String(Number(factor.toPrecision(3)));
const median = (values: readonly number[]): number => values.toSorted((a, b) => a - b)[values.length >> 1] ?? NaN;
