// One stage of the body at a time: its name, drag area, Mach curve, and what ends it.
import { useState } from 'preact/hooks';
import type { JSX } from 'preact';
import type { Mission, Stage } from '../../core/plan/schema.ts';
import { metresFrom, metresTo, type Units } from '../../core/words/numbers.ts';
import { Choice, Field, type Parsed } from '../parts/Field.tsx';
import { readNumber, type Bounds } from '../parts/typed.ts';
import { edit, endEdit } from '../state/acting/actions.ts';
import {
  addStage,
  removeStage,
  setTrigger,
  stagePath,
  tidy,
  triggerKinds,
  type TriggerKind,
} from '../state/stored/edits.ts';
import { drop, put } from '../state/stored/json.ts';
import type { Store } from '../state/derived/store.ts';
import { applier, NumberField } from '../parts/PlanField.tsx';
import { Word } from '../parts/buttons.tsx';

interface Part {
  readonly store: Store;
  readonly mission: Mission;
}

const triggerNames: Readonly<Record<TriggerKind, string>> = {
  agl_m: 'at a height AGL',
  msl_m: 'at a height MSL',
  after_s: 'at a time after exit',
  machBelow: 'when Mach falls below',
  none: 'at the ground',
};

/** What a trigger starts with when it is chosen anew. */
const triggerStart: Readonly<Record<TriggerKind, number>> = {
  agl_m: 1500,
  msl_m: 3000,
  after_s: 30,
  machBelow: 0.9,
  none: 0,
};

function kindOf(stage: Stage): TriggerKind {
  const until = stage.until;
  return triggerKinds.find((kind) => until !== undefined && kind in until) ?? 'none';
}

function valueOf(stage: Stage): number {
  return Object.values(stage.until ?? {})[0] ?? 0;
}

export function StageInputs({ store, mission }: Part): JSX.Element {
  const stages = mission.jumper.stages;
  const [picked, setPicked] = useState(stages.length - 1);
  const index = Math.min(picked, stages.length - 1);
  const stage = stages[index];
  const change = (label: string, next: Parameters<typeof edit>[2]): void => {
    edit(store, label, next);
    endEdit(store);
  };
  if (stage === undefined) return <p class="quiet">The plan has no stage.</p>;
  return (
    <>
      <Choice
        field="body.stage"
        label={`Stage (of ${stages.length})`}
        value={String(index)}
        choices={stages.map((one, i) => ({ value: String(i), text: `${i + 1} ${one.name}` }))}
        apply={(value) => setPicked(Number(value))}
      />
      <StageFields key={index} store={store} stage={stage} index={index} />
      <div class="wide segments">
        <Word
          onClick={() => {
            change('stage added', (plan) => addStage(plan, index));
            setPicked(index + 1);
          }}
        >
          Add a stage after this
        </Word>
        <Word disabled={stages.length < 2} onClick={() => change('stage removed', (plan) => removeStage(plan, index))}>
          Remove this stage
        </Word>
      </div>
    </>
  );
}

function StageFields({
  store,
  stage,
  index,
}: {
  readonly store: Store;
  readonly stage: Stage;
  readonly index: number;
}): JSX.Element {
  const units = store.units.value;
  const kind = kindOf(stage);
  const name = applier(store, `body.name.${index}`, 'stage name');
  const mach = applier(store, `body.mach.${index}`, 'Mach curve');
  return (
    <>
      <Field
        field="body.name"
        label="Name"
        text={stage.name}
        parse={(text) =>
          text.trim() === '' ? { ok: false, why: 'Nothing typed; expected a name.' } : { ok: true, value: text.trim() }
        }
        apply={(text) => name.apply((plan) => put(plan, stagePath(index, 'name'), text))}
        done={name.done}
        revert={name.revert}
      />
      <NumberField
        store={store}
        field="body.drag"
        label="Drag area"
        undoLabel="drag area"
        unit="m²"
        value={stage.dragArea_m2}
        bounds={{ min: 0, max: 2000, above: true }}
        decimals={3}
        step={0.05}
        change={(plan, value) => put(plan, stagePath(index, 'dragArea_m2'), tidy(value))}
      />
      <Choice
        field="body.until"
        label="Ends"
        value={kind}
        choices={triggerKinds.map((one) => ({ value: one, text: triggerNames[one] }))}
        apply={(next) => {
          edit(store, 'what ends the stage', (plan) => setTrigger(plan, index, next, triggerStart[next]));
          endEdit(store);
        }}
      />
      {kind === 'none' ? <div /> : <TriggerField store={store} stage={stage} index={index} kind={kind} units={units} />}
      <Field
        field="body.mach"
        label="Factor on drag area by Mach number"
        text={curveText(stage.machFactor)}
        parse={parseCurve}
        apply={(curve) =>
          mach.apply((plan) =>
            curve.length === 0
              ? drop(plan, stagePath(index, 'machFactor'))
              : put(plan, stagePath(index, 'machFactor'), curve),
          )
        }
        done={mach.done}
        revert={mach.revert}
        wide
        hint="Mach: factor, Mach numbers rising; empty for 1 throughout"
      />
    </>
  );
}

interface TriggerProps {
  readonly store: Store;
  readonly stage: Stage;
  readonly index: number;
  readonly kind: Exclude<TriggerKind, 'none'>;
  readonly units: Units;
}

function TriggerField({ store, stage, index, kind, units }: TriggerProps): JSX.Element {
  const lengths = kind === 'agl_m' || kind === 'msl_m';
  const bounds: Bounds =
    kind === 'msl_m'
      ? { min: -500, max: 85_000 }
      : kind === 'agl_m'
        ? { min: 0, max: 85_000 }
        : kind === 'after_s'
          ? { min: 0, max: 86_400 }
          : { min: 0, max: 20, above: true };
  const unit =
    kind === 'agl_m'
      ? `${units.length} AGL`
      : kind === 'msl_m'
        ? `${units.length} MSL`
        : kind === 'after_s'
          ? 's'
          : 'Mach';
  return (
    <NumberField
      store={store}
      field="body.value"
      label={kind === 'after_s' ? 'Time after exit' : kind === 'machBelow' ? 'Mach number' : 'Height'}
      undoLabel="what ends the stage"
      unit={unit}
      value={valueOf(stage)}
      bounds={bounds}
      decimals={kind === 'machBelow' ? 3 : 1}
      step={lengths ? 50 : kind === 'after_s' ? 1 : 0.05}
      {...(lengths
        ? { toPlan: (x: number) => metresFrom(x, units.length), fromPlan: (x: number) => metresTo(x, units.length) }
        : {})}
      change={(plan, value) => setTrigger(plan, index, kind, value)}
    />
  );
}

const curveText = (curve: Stage['machFactor']): string =>
  (curve ?? []).map(([mach, factor]) => `${mach}: ${factor}`).join(', ');

/** "0: 1, 0.9: 1.08, 1.4: 1.1" as pairs; Mach numbers must rise, factors must not be negative. */
function parseCurve(text: string): Parsed<[number, number][]> {
  const right = 'expected pairs such as 0: 1, 0.9: 1.08, 1.4: 1.1';
  const curve: [number, number][] = [];
  if (text.trim() === '') return { ok: true, value: curve };
  for (const pair of text.split(',')) {
    const [mach, factor, ...more] = pair.split(':').map(readNumber);
    if (mach === null || mach === undefined || factor === null || factor === undefined || more.length > 0) {
      return { ok: false, why: `“${pair.trim()}” is not a pair; ${right}.` };
    }
    if (!(mach >= 0 && factor >= 0)) return { ok: false, why: `“${pair.trim()}” is negative; ${right}.` };
    if (!(mach > (curve.at(-1)?.[0] ?? -1)))
      return { ok: false, why: `Mach ${mach} does not rise from the one before; ${right}.` };
    curve.push([mach, factor]);
  }
  return { ok: true, value: curve };
}
