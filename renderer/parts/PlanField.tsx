// Fields of the plan: each applies while it is typed, as one step of undo, and shows a number in the unit of the
// switches.
import { plain } from '../../core/words/numbers.ts';
import type { JSX } from 'preact';
import { cancelEdit, edit, endEdit } from '../state/acting/actions.ts';
import type { Json } from '../state/stored/json.ts';
import type { Store } from '../state/derived/store.ts';
import { Field, type Parsed } from './Field.tsx';
import { parseNumber, type Bounds } from './typed.ts';

/**
 * What every field of the plan does: apply as one step of undo while it has the focus, close the step, take it back.
 */
export function applier(store: Store, field: string, label: string) {
  return {
    apply: (change: (plan: Json) => Json): void => void edit(store, label, change, field),
    done: (): void => endEdit(store),
    revert: (): void => cancelEdit(store),
  };
}

/** A number of the plan, shown and typed in a unit of the switches. */
export interface NumberFieldProps {
  readonly store: Store;
  readonly field: string;
  readonly label: string;
  readonly undoLabel: string;
  readonly unit: string;
  readonly value: number;
  readonly bounds: Bounds;
  readonly decimals: number;
  /** One step of the arrow keys, in the typed unit. */
  readonly step: number;
  readonly toPlan?: (typed: number) => number;
  readonly fromPlan?: (value: number) => number;
  readonly change?: (plan: Json, value: number) => Json;
  /** Instead of `change`: for numbers that are not (yet) in the plan. */
  readonly hands?: { readonly set: (value: number) => void; readonly done: () => void; readonly revert: () => void };
  readonly wide?: boolean;
  readonly hint?: string | undefined;
}

export function NumberField(props: NumberFieldProps): JSX.Element {
  const toPlan = props.toPlan ?? ((x: number) => x);
  const fromPlan = props.fromPlan ?? ((x: number) => x);
  const inPlan = applier(props.store, props.field, props.undoLabel);
  const { change } = props;
  const { set, done, revert } = props.hands ?? {
    ...inPlan,
    set: (value: number): void => inPlan.apply((plan) => change?.(plan, value) ?? plan),
  };
  const parse = (text: string): Parsed<number> => parseNumber(text, props.bounds, props.unit, toPlan, fromPlan);
  const step = (direction: 1 | -1): void => {
    const typed = fromPlan(props.value);
    const next = Math.round((typed + direction * props.step) / props.step) * props.step;
    const parsed = parse(plain(next, 6));
    if (parsed.ok) set(parsed.value);
  };
  return (
    <Field
      field={props.field}
      label={props.label}
      unit={props.unit}
      text={plain(fromPlan(props.value), props.decimals)}
      parse={parse}
      apply={set}
      done={done}
      revert={revert}
      step={step}
      wide={props.wide ?? false}
      hint={props.hint}
    />
  );
}
