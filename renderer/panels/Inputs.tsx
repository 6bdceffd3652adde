// What the descent is computed from, to be typed: exit, body with its stages, canopy with its steering. Applied while
// typing; each field is one step of undo.
import { isoOf } from '../../core/base/plainNumbers.ts';
import type { JSX } from 'preact';
import { formatDegrees, formatMgrs } from '../../core/words/positions.ts';
import type { Mission } from '../../core/plan/schema.ts';
import { useStore } from '../context.ts';
import { Segments } from '../parts/buttons.tsx';
import { Field } from '../parts/Field.tsx';
import { applier, NumberField } from '../parts/PlanField.tsx';
import { heightScale, scaleOf } from '../parts/scales.ts';
import { parsePlace, parseTime, timeText } from '../parts/typed.ts';
import { moveExit, setExitTime } from '../state/stored/edits.ts';
import type { InputGroup } from '../state/derived/store.ts';
import { CanopyInputs } from './CanopyInputs.tsx';
import { StageInputs } from './StageInputs.tsx';
import { UncertaintyInputs } from './UncertaintyInputs.tsx';

const groups: Readonly<Record<InputGroup, string>> = {
  exit: 'Exit',
  body: 'Body and stages',
  canopy: 'Canopy',
  uncertainty: 'Uncertainty',
};

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
      <Segments
        label="Which inputs"
        choices={['exit', 'body', 'canopy', 'uncertainty']}
        name={(one) => groups[one]}
        value={group}
        choose={(one) => (store.inputGroup.value = one)}
      />
      {group === 'exit' ? <ExitInputs mission={mission} /> : null}
      {group === 'body' ? <BodyInputs mission={mission} /> : null}
      {group === 'canopy' ? <CanopyInputs mission={mission} /> : null}
      {group === 'uncertainty' ? <UncertaintyInputs mission={mission} /> : null}
    </section>
  );
}

function ExitInputs({ mission }: { readonly mission: Mission }): JSX.Element {
  const store = useStore();
  const { exit, site } = mission;
  const position = applier(store, 'exit.position', 'exit moved');
  const time = applier(store, 'exit.time', 'exit time');
  const above = heightScale(store.units.value, site.elevation_m, { min: site.elevation_m, above: true, decimals: 1 });
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
        parse={(text) => parsePlace(text, site.position)}
        {...position}
        apply={(place) => position.apply((plan) => moveExit(plan, place))}
        step={stepNorth}
        wide
        hint={formatMgrs(exit.position, 4)}
      />
      <NumberField field="exit.height" label="Exit height" path={['exit', 'altitude_m']} scale={above} />
      <Field
        field="exit.time"
        label="Exit time"
        unit="UTC"
        text={timeText(exit.time)}
        parse={(text) => parseTime(text, Date.parse(exit.time))}
        {...time}
        apply={(iso) => time.apply((plan) => setExitTime(plan, iso))}
        step={stepTime}
      />
    </div>
  );
}

const MASS = scaleOf('kg', 5000, 1, { above: true, decimals: 1 });

function BodyInputs({ mission }: { readonly mission: Mission }): JSX.Element {
  return (
    <div class="fields">
      <NumberField field="body.mass" label="Mass, all that falls" path={['jumper', 'mass_kg']} scale={MASS} />
      <StageInputs stages={mission.jumper.stages} />
    </div>
  );
}
