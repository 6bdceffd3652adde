// Fields of the plan: each applies while it is typed, as one step of undo, and shows a number in the unit of the
// switches.
import { plain } from '../../core/words/numbers.ts';
import type { JSX } from 'preact';
import { cancelEdit, edit, endEdit } from '../state/acting/actions.ts';
import { tidy } from '../state/stored/edits.ts';
import { at, put, type Json, type Path } from '../state/stored/json.ts';
import type { Store } from '../state/derived/store.ts';
import { useStore } from '../context.ts';
import { Field, type FieldProps, type Parsed } from './Field.tsx';
import type { Scale } from './scales.ts';
import { parseNumber } from './typed.ts';

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

interface NumberFieldProps {
  readonly field: string;
  readonly label: string;
  /** What undo calls it, where the label does not say enough. */
  readonly undoLabel?: string;
  readonly scale: Scale;
  /** Where it stands in the plan. */
  readonly path?: Path;
  /** Its value where the plan's own is not the one that is shown: a default, or a number that is not in the plan. */
  readonly value?: number;
  /** Instead of `path`, for a change that is more than one number. */
  readonly change?: (plan: Json, value: number) => Json;
  /** Instead of both: for numbers that are not (yet) in the plan. */
  readonly hands?: { readonly set: (value: number) => void; readonly done: () => void; readonly revert: () => void };
  readonly hint?: string | undefined;
}

/** A number of the plan, shown and typed in a unit of the switches. */
export function NumberField({ path = [], ...props }: NumberFieldProps): JSX.Element {
  const store = useStore();
  const { unit, decimals, step, toPlan, fromPlan, ...bounds } = props.scale;
  const held = props.value ?? at(store.plan.value ?? null, path);
  const value = typeof held === 'number' ? held : NaN;
  const change = props.change ?? ((plan: Json, next: number): Json => put(plan, path, tidy(next)));
  const inPlan = applier(store, props.field, props.undoLabel ?? props.label.toLowerCase());
  const { set, done, revert } = props.hands ?? {
    ...inPlan,
    set: (next: number): void => inPlan.apply((plan) => change(plan, next)),
  };
  const parse = (text: string): Parsed<number> => parseNumber(text, bounds, unit, toPlan, fromPlan);
  const stepOn = (direction: 1 | -1): void => {
    const parsed = parse(plain(Math.round((fromPlan(value) + direction * step) / step) * step, 6));
    if (parsed.ok) set(parsed.value);
  };
  return (
    <Field
      field={props.field}
      label={props.label}
      unit={unit}
      text={plain(fromPlan(value), decimals)}
      parse={parse}
      apply={set}
      done={done}
      revert={revert}
      step={stepOn}
      hint={props.hint}
    />
  );
}

/** A text of the plan: what `parse` refuses is not taken. */
export function TextField<T>(props: TextFieldProps<T>): JSX.Element {
  const { change, undoLabel, ...rest } = props;
  const { apply, done, revert } = applier(useStore(), props.field, undoLabel ?? props.label.toLowerCase());
  return <Field {...rest} apply={(value: T) => apply((plan) => change(plan, value))} done={done} revert={revert} />;
}

interface TextFieldProps<T> extends Omit<FieldProps<T>, 'apply' | 'done' | 'revert'> {
  readonly undoLabel?: string;
  readonly change: (plan: Json, value: T) => Json;
}
