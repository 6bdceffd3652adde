// One stage of the body at a time: its name, drag area, Mach curve, and what ends it.
import { useState } from 'preact/hooks';
import type { JSX } from 'preact';
import type { Stage } from '../../core/plan/schema.ts';
import type { Units } from '../../core/words/numbers.ts';
import { useStore } from '../context.ts';
import { Word } from '../parts/buttons.tsx';
import { Choice, type Parsed } from '../parts/Field.tsx';
import { NumberField, TextField } from '../parts/PlanField.tsx';
import { lengthScale, scaleOf, type Scale } from '../parts/scales.ts';
import { parseName, readNumber } from '../parts/typed.ts';
import { editOnce } from '../state/acting/actions.ts';
import { addStage, removeStage, setTrigger, stagePath, triggerKinds, type TriggerKind } from '../state/stored/edits.ts';
import { drop, put } from '../state/stored/json.ts';

/** What can end a stage. `start`: the number that it has when it is chosen. */
interface Trigger {
  readonly ends: string;
  readonly label: string;
  readonly start: number;
  readonly scale: (units: Units) => Scale;
}

const metres = (units: Units, reference: 'AGL' | 'MSL', min: number): Scale => ({
  ...lengthScale(units, 85_000, 50, { min }),
  unit: `${units.length} ${reference}`,
});

const triggers: Readonly<Record<Exclude<TriggerKind, 'none'>, Trigger>> = {
  agl_m: { ends: 'at a height AGL', label: 'Height', start: 1500, scale: (units) => metres(units, 'AGL', 0) },
  msl_m: { ends: 'at a height MSL', label: 'Height', start: 3000, scale: (units) => metres(units, 'MSL', -500) },
  after_s: {
    ends: 'at a time after exit',
    label: 'Time after exit',
    start: 30,
    scale: () => scaleOf('s', 86_400, 1, { decimals: 1 }),
  },
  machBelow: {
    ends: 'when Mach falls below',
    label: 'Mach number',
    start: 0.9,
    scale: () => scaleOf('Mach', 20, 0.05, { above: true, decimals: 3 }),
  },
};

const kindOf = ({ until }: Stage): TriggerKind =>
  triggerKinds.find((kind) => until !== undefined && kind in until) ?? 'none';

export function StageInputs({ stages }: { readonly stages: readonly Stage[] }): JSX.Element {
  const store = useStore();
  const [picked, setPicked] = useState(stages.length - 1);
  const index = Math.min(picked, stages.length - 1);
  const stage = stages[index];
  if (stage === undefined) return <p class="quiet">The plan has no stage.</p>;
  const add = (): void => {
    editOnce(store, 'stage added', (plan) => addStage(plan, index));
    setPicked(index + 1);
  };
  return (
    <>
      <Choice
        field="body.stage"
        label={`Stage (of ${stages.length})`}
        value={String(index)}
        choices={stages.map((one, i) => ({ value: String(i), text: `${i + 1} ${one.name}` }))}
        apply={(value) => setPicked(Number(value))}
      />
      <StageFields key={index} stage={stage} index={index} />
      <div class="wide segments">
        <Word onClick={add}>Add a stage after this</Word>
        <Word
          disabled={stages.length < 2}
          onClick={() => editOnce(store, 'stage removed', (plan) => removeStage(plan, index))}
        >
          Remove this stage
        </Word>
      </div>
    </>
  );
}

interface StageProps {
  readonly stage: Stage;
  readonly index: number;
}

function StageFields({ stage, index }: StageProps): JSX.Element {
  const path = (...keys: readonly string[]) => stagePath(index, ...keys);
  return (
    <>
      <TextField
        field="body.name"
        label="Name"
        undoLabel="stage name"
        text={stage.name}
        parse={parseName}
        change={(plan, text) => put(plan, path('name'), text)}
      />
      <NumberField
        field="body.drag"
        label="Drag area"
        path={path('dragArea_m2')}
        scale={scaleOf('m²', 2000, 0.05, { above: true, decimals: 3 })}
      />
      <EndFields stage={stage} index={index} />
      <TextField
        field="body.mach"
        label="Factor on drag area by Mach number"
        undoLabel="Mach curve"
        text={(stage.machFactor ?? []).map(([mach, factor]) => `${mach}: ${factor}`).join(', ')}
        parse={parseCurve}
        change={(plan, curve) =>
          curve.length === 0 ? drop(plan, path('machFactor')) : put(plan, path('machFactor'), curve)
        }
        wide
        hint="Mach: factor, Mach numbers rising; empty for 1 throughout"
      />
    </>
  );
}

/** What ends the stage, and its number. */
function EndFields({ stage, index }: StageProps): JSX.Element {
  const store = useStore();
  const kind = kindOf(stage);
  const trigger = kind === 'none' ? null : triggers[kind];
  const end = (next: TriggerKind) =>
    editOnce(store, 'what ends the stage', (plan) =>
      setTrigger(plan, index, next, next === 'none' ? 0 : triggers[next].start),
    );
  return (
    <>
      <Choice
        field="body.until"
        label="Ends"
        value={kind}
        choices={triggerKinds.map((one) => ({
          value: one,
          text: one === 'none' ? 'at the ground' : triggers[one].ends,
        }))}
        apply={end}
      />
      {trigger === null ? (
        <div />
      ) : (
        <NumberField
          field="body.value"
          label={trigger.label}
          undoLabel="what ends the stage"
          path={stagePath(index, 'until', kind)}
          scale={trigger.scale(store.units.value)}
        />
      )}
    </>
  );
}

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
