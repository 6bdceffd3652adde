// The winds by height, a row each: what the chart draws, in words, from the exit down to the ground. Heights m MSL.
import { M_PER_FT } from '../../core/base/units.ts';
import type { Situation } from '../../core/mission/situation.ts';
import { lengthUp } from '../../core/words/lengths.ts';
import { age } from '../../core/words/times.ts';
import { celsius, direction, isCalm, speed } from '../../core/words/winds.ts';
import { MISSING, type Units } from '../../core/words/numbers.ts';
import { FADED_WEIGHT, weightOf, type ReportTable } from '../state/derived/reports.ts';
import type { TableStep } from '../state/stored/reportsView.ts';
import type { ErrorPoint } from './model.ts';
import { profileAt } from './profile.ts';
import type { WindsShown } from './useWinds.ts';

export interface WindRow {
  readonly height_m: number;
  /** From where the head of the table says. */
  readonly height: string;
  /** "305°", or "calm". */
  readonly from: string;
  readonly speed: string;
  readonly temperature: string;
  /** "±1.2 kt": one standard deviation of a component. */
  readonly error: string;
  /** "24 min, w5"; "forecast" where no report weighs; "no level" where nothing stands behind it. */
  readonly age: string;
}

/** Steps in which people write winds down, m: 300 m and 1 km, or 1000 and 3000 ft. */
export const stepOf_m = (step: TableStep, { length }: Units): number =>
  length === 'ft' ? (step === 'fine' ? 1000 : 3000) * M_PER_FT : step === 'fine' ? 300 : 1000;

export const stepWords = (step: TableStep, units: Units): string => lengthUp(stepOf_m(step, units), units);

/** More rows than this are not read aloud: then the coarse steps come first. */
const READ_ALOUD = 20;

export const firstStep = (ground_m: number, top_m: number, units: Units): TableStep =>
  (top_m - ground_m) / stepOf_m('fine', units) > READ_ALOUD ? 'coarse' : 'fine';

/**
 * The top, every multiple of the step above the sea or above the ground, as heights are said, and the ground; falling.
 */
export function tableHeights(ground_m: number, top_m: number, step_m: number, units: Units): number[] {
  const zero_m = units.height === 'AGL' ? ground_m : 0;
  const found = [top_m];
  for (let k = Math.ceil((top_m - zero_m) / step_m) - 1; zero_m + k * step_m > ground_m; k--)
    found.push(zero_m + k * step_m);
  return [...found, ground_m];
}

export interface RowsOf {
  readonly winds: WindsShown;
  readonly ground_m: number;
  readonly top_m: number;
  readonly step: TableStep;
  readonly units: Units;
  readonly ages: readonly Aged[];
}

export function windRows({ winds, ground_m, top_m, step, units, ages }: RowsOf): WindRow[] {
  return tableHeights(ground_m, top_m, stepOf_m(step, units), units).flatMap((height_m) => {
    const wind = profileAt(winds.profile, height_m);
    if (wind === null) return [];
    return [
      {
        height_m,
        height: lengthUp(units.height === 'AGL' ? height_m - ground_m : height_m, units),
        from: isCalm(wind.speed_mps) ? 'calm' : direction(wind.from_deg),
        speed: speed(wind.speed_mps, units),
        temperature: wind.temperature_K === null ? MISSING : celsius(wind.temperature_K),
        error: `±${speed(errorAt(winds.errors, height_m), units, 1)}`,
        age: ageAt(ages, height_m) ?? (wind.extrapolated ? 'no level' : 'forecast'),
      },
    ];
  });
}

/** Linear between the points, which rise; their ends hold beyond them. */
export function errorAt(errors: readonly ErrorPoint[], height_m: number): number {
  const above = errors.findIndex((point) => point.height_m >= height_m);
  const b = errors[above < 0 ? errors.length - 1 : above];
  const a = errors[above - 1] ?? b;
  if (a === undefined || b === undefined) return NaN;
  const f = b.height_m > a.height_m ? Math.min(1, (height_m - a.height_m) / (b.height_m - a.height_m)) : 1;
  return a.std_mps + f * (b.std_mps - a.std_mps);
}

/** A report that counts: how old it is, and what it weighs at a height at the hour that is looked at. */
export interface Aged {
  readonly words: string;
  readonly weightAt: (height_m: number) => number;
}

export const agedReports = (situation: Situation, { rows }: ReportTable, time_s: number): Aged[] =>
  rows
    .filter(({ standing }) => standing === 'counts')
    .map(({ id, report }) => ({
      words: `${age(situation.state.at_s - report.observed_s)}, ${id}`,
      weightAt: (height_m) => weightOf(report, situation, { height_m, time_s }),
    }));

/** Of the report that weighs most there; null where none weighs enough to be drawn in full. */
function ageAt(ages: readonly Aged[], height_m: number): string | null {
  let best: string | null = null;
  let most = FADED_WEIGHT;
  for (const { words, weightAt } of ages) {
    const weight = weightAt(height_m);
    if (!(weight >= most)) continue;
    most = weight;
    best = words;
  }
  return best;
}
