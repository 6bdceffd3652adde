// How numbers are shown and typed: unit, bounds in the plan's unit, decimals, and the step of the arrow keys in the
// typed unit.
import { metresFrom, metresTo, mpsFrom, mpsTo, type Units } from '../../core/words/numbers.ts';
import type { Bounds } from './typed.ts';

export interface Scale extends Bounds {
  readonly unit: string;
  readonly decimals: number;
  readonly step: number;
  readonly toPlan: (typed: number) => number;
  readonly fromPlan: (value: number) => number;
}

/** What differs from a number between 0 and `max` that is typed as it stands in the plan. */
type More = Partial<Omit<Scale, 'unit' | 'max' | 'step'>>;

export const scaleOf = (unit: string, max: number, step: number, more: More = {}): Scale => ({
  unit,
  min: 0,
  max,
  above: false,
  decimals: 2,
  step,
  toPlan: (x) => x,
  fromPlan: (x) => x,
  ...more,
});

/** The plan holds a share, a person types hundredths. */
export const percentScale = (max: number, more: More = {}): Scale =>
  scaleOf('%', max, 1, { toPlan: (x) => x / 100, fromPlan: (x) => 100 * x, ...more });

export const lengthScale = ({ length }: Units, max: number, step: number, more: More = {}): Scale =>
  scaleOf(length, max, step, {
    decimals: 1,
    toPlan: (x) => metresFrom(x, length),
    fromPlan: (x) => metresTo(x, length),
    ...more,
  });

export const speedScale = ({ speed }: Units, max: number, more: More = {}): Scale =>
  scaleOf(speed, max, speed === 'm/s' ? 0.1 : 0.5, {
    toPlan: (x) => mpsFrom(x, speed),
    fromPlan: (x) => mpsTo(x, speed),
    ...more,
  });

/** A rate of descent: m/s, or ft/min where lengths are in feet; never knots. */
export const sinkScale = ({ length }: Units): Scale =>
  length === 'm'
    ? scaleOf('m/s', 150, 0.1, { above: true, decimals: 2 })
    : scaleOf('ft/min', 150, 10, {
        above: true,
        decimals: 0,
        toPlan: (x) => metresFrom(x, 'ft') / 60,
        fromPlan: (x) => metresTo(x, 'ft') * 60,
      });

/** A height, MSL in the plan: what stands in the field counts from where the switch says, the ground or the sea. */
export function heightScale(units: Units, ground_m: number, more: More = {}): Scale {
  const zero = units.height === 'AGL' ? ground_m : 0;
  const { unit, toPlan, fromPlan } = lengthScale(units, 0, 0);
  return scaleOf(`${unit} ${units.height}`, 85_000, 100, {
    min: -500,
    decimals: 0,
    toPlan: (x) => toPlan(x) + zero,
    fromPlan: (x) => fromPlan(x - zero),
    ...more,
  });
}
