// The uncertainties that the spread is drawn from: one standard deviation each, with its default and the reason for it.
// 0 switches one off.
import type { JSX } from 'preact';
import { DEFAULT_SPREAD, spreadOf, type Spread } from '../../core/descent/spread.ts';
import type { Mission } from '../../core/plan/schema.ts';
import { FORECAST_STD_MPS } from '../../core/winds/errorFigures.ts';
import { DEFAULT_CORRELATION_LENGTH_M } from '../../core/winds/errors.ts';
import { type Knots } from '../../core/base/knots.ts';
import { height } from '../../core/words/lengths.ts';
import { plain, type Units } from '../../core/words/numbers.ts';
import { useStore } from '../context.ts';
import { NumberField } from '../parts/PlanField.tsx';
import { lengthScale, percentScale, scaleOf, speedScale, type Scale } from '../parts/scales.ts';
import { setWindKnot } from '../state/stored/decideEdits.ts';
import { Chances, QuantileTable } from './Spread.tsx';

interface Kind {
  readonly name: string;
  readonly scale: (units: Units) => Scale;
}

const kinds: Readonly<Record<keyof Spread, Kind>> = {
  exitPosition_m: { name: 'Exit position, per axis', scale: (units) => lengthScale(units, 50_000, 10) },
  exitTime_s: { name: 'Exit time', scale: () => scaleOf('s', 3600, 1) },
  carrierPath_rel: { name: 'Way of the balloon before the exit', scale: () => percentScale(3) },
  ascentRate_rel: { name: 'Rise of the balloon', scale: () => percentScale(0.5) },
  mass_kg: { name: 'Mass', scale: () => scaleOf('kg', 500, 0.5) },
  dragArea_rel: { name: 'Drag areas', scale: () => percentScale(0.5) },
  canopySink_rel: { name: 'Canopy sink', scale: () => percentScale(0.5) },
  canopyAirspeed_rel: { name: 'Canopy airspeed', scale: () => percentScale(0.5) },
  fill_s: { name: 'Filling time', scale: () => scaleOf('s', 30, 0.1) },
  triggerHeight_m: { name: 'Trigger heights, one error for all', scale: (units) => lengthScale(units, 2000, 10) },
  fillDistance_rel: { name: 'Filling distance', scale: () => percentScale(0.5) },
  handOpening_m: { name: 'Opening by hand', scale: (units) => lengthScale(units, 2000, 10) },
  bodyGlide_rel: { name: 'Body glide, per axis', scale: () => percentScale(1) },
  spin_rel: { name: 'Drag by spin', scale: () => percentScale(0.5) },
  turnLoss_rel: { name: 'Airspeed lost to turns', scale: () => percentScale(0.5) },
  verticalAir_mps: { name: 'Rising and sinking air', scale: (units) => speedScale(units, 10) },
  heading_deg: { name: 'Heading held', scale: () => scaleOf('°', 180, 1) },
  accuracy_m: { name: 'Landing off the aim', scale: (units) => lengthScale(units, 2000, 10) },
};
const order = Object.keys(kinds).filter((key): key is keyof Spread => key in kinds);

export function UncertaintyInputs({ mission }: { readonly mission: Mission }): JSX.Element {
  const store = useStore();
  const spread = spreadOf(mission.uncertainty, mission.jumper);
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
      <WindFields wind={mission.uncertainty?.wind} units={store.units.value} />
      <div class="fields">
        {order.map((key) => {
          const scale = kinds[key].scale(store.units.value);
          const { value, reason } = DEFAULT_SPREAD[key];
          const standard = `${plain(scale.fromPlan(value), scale.decimals)} ${scale.unit}`;
          return (
            <NumberField
              key={key}
              field={`uncertainty.${key}`}
              label={kinds[key].name}
              undoLabel={`uncertainty: ${kinds[key].name.toLowerCase()}`}
              path={['uncertainty', key]}
              scale={scale}
              value={spread[key]}
              hint={`${mission.uncertainty?.[key] === undefined ? 'default' : `default ${standard}`}: ${reason}`}
            />
          );
        })}
      </div>
    </>
  );
}

const WHY_WIND = 'winds, and so their errors, grow with height; layers aloft are thicker';

interface WindProps {
  readonly wind: NonNullable<Mission['uncertainty']>['wind'];
  readonly units: Units;
}

/** The wind's error by height: its size, and over how much height it is alike. */
function WindFields({ wind, units }: WindProps): JSX.Element {
  const at = (h: number): string => (h === 0 ? 'sea level' : height(h, { ...units, height: 'MSL' }, 0));
  const fields = (name: 'std_mps' | 'correlationLength_m', words: string, knots: Knots, scale: Scale) =>
    knots.map(([h, value], i) => (
      <NumberField
        key={`${name}/${h}`}
        field={name === 'std_mps' ? `uncertainty.wind.${i}` : `uncertainty.length.${i}`}
        label={`${words} at ${at(h)}`}
        undoLabel={`uncertainty: ${words.toLowerCase()} at ${at(h)}`}
        scale={scale}
        value={value}
        change={(plan, next) => setWindKnot(plan, name, knots, i, next)}
      />
    ));
  const lengths = wind?.correlationLength_m ?? DEFAULT_CORRELATION_LENGTH_M;
  return (
    <>
      <div class="fields three">
        {fields('std_mps', 'Wind error', wind?.std_mps ?? FORECAST_STD_MPS, speedScale(units, 60))}
        {fields(
          'correlationLength_m',
          'Layer with one error',
          lengths,
          lengthScale(units, 40_000, 10, { above: true }),
        )}
      </div>
      <p class="small quiet">
        {wind?.std_mps === undefined && wind?.correlationLength_m === undefined ? 'Defaults' : 'Of the mission'}:{' '}
        {WHY_WIND}. What reports take from it is in the column at the left.
      </p>
    </>
  );
}
