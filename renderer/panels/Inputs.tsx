// What the descent hangs on, to be typed: exit, body with its stages, canopy with its steering. Applied while typing;
// undoable.
import { isoOf } from '../../core/base/plainNumbers.ts';
import type { JSX } from 'preact';
import { readPosition } from '../../core/earth/grid.ts';
import { formatDegrees, formatMgrs } from '../../core/words/positions.ts';
import type { Mission } from '../../core/plan/schema.ts';
import type { LonLat } from '../../core/base/units.ts';
import { useStore } from '../context.ts';
import { metresFrom, metresTo, type Units } from '../../core/words/numbers.ts';
import { Field, type Parsed } from '../parts/Field.tsx';
import { applier, NumberField } from '../parts/PlanField.tsx';
import { parseTime, timeText, type Bounds } from '../parts/typed.ts';
import { moveExit, setExitHeight, setExitTime, setMass } from '../state/stored/edits.ts';
import type { InputGroup, Store } from '../state/derived/store.ts';
import { CanopyInputs } from './CanopyInputs.tsx';
import { StageInputs } from './StageInputs.tsx';
import { UncertaintyInputs } from './UncertaintyInputs.tsx';
import { Word } from '../parts/buttons.tsx';

const groups: readonly { readonly id: InputGroup; readonly name: string }[] = [
  { id: 'exit', name: 'Exit' },
  { id: 'body', name: 'Body and stages' },
  { id: 'canopy', name: 'Canopy' },
  { id: 'uncertainty', name: 'Uncertainty' },
];

interface InputsProps {
  readonly mission: Mission;
  /** Drawn all the same: an explanation that is open in their place follows the numbers that stand among them. */
  readonly hidden: boolean;
}

export function Inputs({ mission, hidden }: InputsProps): JSX.Element {
  const store = useStore();
  const group = store.inputGroup.value;
  return (
    <section aria-label="Inputs" hidden={hidden}>
      <div class="segments" role="group" aria-label="Which inputs">
        {groups.map((one) => (
          <Word key={one.id} aria-pressed={one.id === group} onClick={() => (store.inputGroup.value = one.id)}>
            {one.name}
          </Word>
        ))}
      </div>
      {group === 'exit' ? <ExitInputs store={store} mission={mission} /> : null}
      {group === 'body' ? <BodyInputs store={store} mission={mission} /> : null}
      {group === 'canopy' ? <CanopyInputs store={store} mission={mission} /> : null}
      {group === 'uncertainty' ? <UncertaintyInputs store={store} mission={mission} /> : null}
    </section>
  );
}

/** Where a height counts from, by the switch: what stands in the field is AGL or MSL, in the plan it is MSL. */
export function heightUnit(units: Units, ground_m: number) {
  const zero = units.height === 'AGL' ? ground_m : 0;
  return {
    unit: `${units.length} ${units.height}`,
    toPlan: (typed: number): number => metresFrom(typed, units.length) + zero,
    fromPlan: (value: number): number => metresTo(value - zero, units.length),
  };
}

export const HEIGHT_BOUNDS: Bounds = { min: -500, max: 85_000 };

interface Part {
  readonly store: Store;
  readonly mission: Mission;
}

/** A place as it was understood: degrees and grid reference. */
export const placeReadBack = (place: LonLat): string => `${formatDegrees(place, 4)} · ${formatMgrs(place, 4)}`;

export function parsePlace(text: string): Parsed<LonLat> {
  const read = readPosition(text);
  if (read.value === null) {
    const why = read.problems[0]?.text ?? 'not a position';
    return { ok: false, why: `${why}; such as 30.0856 S 22.4125 E, 30 05.14 S 22 24.75 E or 34J FL 2623 9812` };
  }
  return { ok: true, value: read.value, readBack: placeReadBack(read.value) };
}

function ExitInputs({ store, mission }: Part): JSX.Element {
  const units = store.units.value;
  const { exit, site } = mission;
  const position = applier(store, 'exit.position', 'exit moved');
  const time = applier(store, 'exit.time', 'exit time');
  // One step of the arrow keys is a minute of time, or 0.0005° (about 50 m) north and south.
  const stepTime = (direction: 1 | -1): void =>
    time.apply((plan) => setExitTime(plan, isoOf(Date.parse(exit.time) / 1000 + direction * 60)));
  const stepNorth = (direction: 1 | -1): void =>
    position.apply((plan) =>
      moveExit(plan, [exit.position[0], Math.max(-90, Math.min(90, exit.position[1] + direction * 0.0005))]),
    );
  return (
    <div class="fields">
      <Field
        field="exit.position"
        label="Exit position (latitude, longitude; or MGRS)"
        text={formatDegrees(exit.position, 5)}
        parse={parsePlace}
        apply={(place) => position.apply((plan) => moveExit(plan, place))}
        done={position.done}
        revert={position.revert}
        step={stepNorth}
        wide
        hint={formatMgrs(exit.position, 4)}
      />
      <NumberField
        store={store}
        field="exit.height"
        label="Exit height"
        undoLabel="exit height"
        {...heightUnit(units, site.elevation_m)}
        value={exit.altitude_m}
        bounds={{ ...HEIGHT_BOUNDS, min: site.elevation_m, above: true }}
        decimals={1}
        step={100}
        change={setExitHeight}
      />
      <Field
        field="exit.time"
        label="Exit time"
        unit="UTC"
        text={timeText(exit.time)}
        parse={(text) => parseTime(text, Date.parse(exit.time))}
        apply={(iso) => time.apply((plan) => setExitTime(plan, iso))}
        done={time.done}
        revert={time.revert}
        step={stepTime}
      />
    </div>
  );
}

function BodyInputs({ store, mission }: Part): JSX.Element {
  return (
    <div class="fields">
      <NumberField
        store={store}
        field="body.mass"
        label="Mass, all that falls"
        undoLabel="mass"
        unit="kg"
        value={mission.jumper.mass_kg}
        bounds={{ min: 0, max: 5000, above: true }}
        decimals={1}
        step={1}
        change={setMass}
      />
      <StageInputs store={store} mission={mission} />
    </div>
  );
}
