// What is not known, to be typed: one standard deviation each, with its default and the reason for it. 0 switches one
// off.
import type { JSX } from 'preact';
import { DEFAULT_SPREAD, spreadOf, type Spread } from '../../core/descent/spread.ts';
import type { Mission } from '../../core/plan/schema.ts';
import { never } from '../../core/base/problem.ts';
import { FORECAST_STD_MPS } from '../../core/winds/errorFigures.ts';
import { DEFAULT_CORRELATION_LENGTH_M } from '../../core/winds/errors.ts';
import { type Knots } from '../../core/base/knots.ts';
import { height } from '../../core/words/lengths.ts';
import { metresFrom, metresTo, mpsFrom, mpsTo, plain, type Units } from '../../core/words/numbers.ts';
import { NumberField } from '../parts/PlanField.tsx';
import { setUncertainty, setWindKnot } from '../state/stored/decideEdits.ts';
import type { Store } from '../state/derived/store.ts';
import { Chances, QuantileTable } from './Spread.tsx';

interface Part {
  readonly store: Store;
  readonly mission: Mission;
}

interface Scale {
  readonly unit: string;
  readonly toPlan: (typed: number) => number;
  readonly fromPlan: (value: number) => number;
  readonly decimals: number;
  readonly step: number;
  readonly max: number;
}

const same = (x: number): number => x;
const percent: Scale = { unit: '%', toPlan: (x) => x / 100, fromPlan: (x) => x * 100, decimals: 2, step: 1, max: 0.5 };
const of = (unit: string, max: number, step: number): Scale => ({
  unit,
  toPlan: same,
  fromPlan: same,
  decimals: 2,
  step,
  max,
});

const lengths = (units: Units, max: number): Scale => ({
  unit: units.length,
  toPlan: (x) => metresFrom(x, units.length),
  fromPlan: (x) => metresTo(x, units.length),
  decimals: 1,
  step: 10,
  max,
});

const speeds = (units: Units, max: number): Scale => ({
  unit: units.speed,
  toPlan: (x) => mpsFrom(x, units.speed),
  fromPlan: (x) => mpsTo(x, units.speed),
  decimals: 2,
  step: units.speed === 'm/s' ? 0.1 : 0.5,
  max,
});

const names: Readonly<Record<keyof Spread, string>> = {
  exitPosition_m: 'Exit position, per axis',
  exitTime_s: 'Exit time',
  mass_kg: 'Mass',
  dragArea_rel: 'Drag areas',
  canopySink_rel: 'Canopy sink',
  canopyAirspeed_rel: 'Canopy airspeed',
  fill_s: 'Filling time',
  triggerHeight_m: 'Trigger heights, all together',
  heading_deg: 'Heading held',
  accuracy_m: 'Landing off the aim',
};
const order = Object.keys(names).filter((key): key is keyof Spread => key in names);

function scaleOf(key: keyof Spread, units: Units): Scale {
  switch (key) {
    case 'dragArea_rel':
    case 'canopySink_rel':
    case 'canopyAirspeed_rel':
      return percent;
    case 'exitPosition_m':
      return lengths(units, 50_000);
    case 'accuracy_m':
    case 'triggerHeight_m':
      return lengths(units, 2000);
    case 'mass_kg':
      return of('kg', 500, 0.5);
    case 'exitTime_s':
      return of('s', 3600, 1);
    case 'fill_s':
      return of('s', 30, 0.1);
    case 'heading_deg':
      return of('°', 180, 1);
    default:
      return never(key);
  }
}

export function UncertaintyInputs({ store, mission }: Part): JSX.Element {
  const units = store.units.value;
  const spread = spreadOf(mission.uncertainty, mission.jumper.experience);
  const statistics = store.decision.spread.value?.statistics ?? null;
  return (
    <>
      {statistics === null ? null : (
        <>
          <Chances store={store} mission={mission} statistics={statistics} />
          <QuantileTable store={store} mission={mission} statistics={statistics} />
        </>
      )}
      <p class="small quiet">
        One standard deviation each; drawn normal and independent, cut at three. 0 switches one off.
      </p>
      <WindFields store={store} mission={mission} />
      <div class="fields">
        {order.map((key) => {
          const scale = scaleOf(key, units);
          const { value, reason } = DEFAULT_SPREAD[key];
          const standard = `${plain(scale.fromPlan(value), scale.decimals)} ${scale.unit}`;
          return (
            <NumberField
              key={key}
              store={store}
              field={`uncertainty.${key}`}
              label={names[key]}
              undoLabel={`uncertainty: ${names[key].toLowerCase()}`}
              {...scale}
              value={spread[key]}
              bounds={{ min: 0, max: scale.max }}
              hint={`${mission.uncertainty?.[key] === undefined ? 'default' : `default ${standard}`}: ${reason}`}
              change={(plan, next) => setUncertainty(plan, key, next)}
            />
          );
        })}
      </div>
    </>
  );
}

const WHY_WIND = 'winds, and so their errors, grow with height; layers aloft are thicker';

/** The wind's error by height: its size, and over how much height it hangs together. */
function WindFields({ store, mission }: Part): JSX.Element {
  const units = store.units.value;
  const wind = mission.uncertainty?.wind;
  const at = (h: number): string => (h === 0 ? 'sea level' : height(h, { ...units, height: 'MSL' }, 0));
  const knotFields = (
    name: 'std_mps' | 'correlationLength_m',
    knots: Knots,
    words: string,
    scale: Scale,
  ): JSX.Element[] =>
    knots.map(([h, value], i) => (
      <NumberField
        key={`${name}/${h}`}
        store={store}
        field={name === 'std_mps' ? `uncertainty.wind.${i}` : `uncertainty.length.${i}`}
        label={`${words} at ${at(h)}`}
        undoLabel={`uncertainty: ${words.toLowerCase()} at ${at(h)}`}
        {...scale}
        value={value}
        bounds={{ min: 0, max: scale.max, above: name === 'correlationLength_m' }}
        change={(plan, next) => setWindKnot(plan, name, knots, i, next)}
      />
    ));
  return (
    <>
      <div class="fields three">
        {knotFields('std_mps', wind?.std_mps ?? FORECAST_STD_MPS, 'Wind error', speeds(units, 60))}
        {knotFields(
          'correlationLength_m',
          wind?.correlationLength_m ?? DEFAULT_CORRELATION_LENGTH_M,
          'Alike over',
          lengths(units, 40_000),
        )}
      </div>
      <p class="small quiet">
        {wind?.std_mps === undefined && wind?.correlationLength_m === undefined ? 'Defaults' : 'Of the mission'}:{' '}
        {WHY_WIND}. What reports take from it is in the column at the left.
      </p>
    </>
  );
}
