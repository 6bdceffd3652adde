// One value that can be edited: label, box, unit, and beside it what is wrong or how it was understood. Applied while
// typing, as long as it is valid. What is wrong gives the plan back the value that stood there, and stays with its
// sentence, also when the field is left, until it is mended; Escape and undo end it.
import { useId, useRef, useState } from 'preact/hooks';
import type { ComponentChildren, JSX } from 'preact';

export type Parsed<T> =
  { readonly ok: true; readonly value: T; readonly readBack?: string } | { readonly ok: false; readonly why: string };

export interface FieldProps<T> {
  /** The field's name in the program: focus is sent to it by this. */
  readonly field: string;
  readonly label: string;
  readonly unit?: string | undefined;
  /** How the value in force is written. */
  readonly text: string;
  readonly parse: (text: string) => Parsed<T>;
  readonly apply: (value: T) => void;
  /** Ends a run of edits: what was typed since the focus came is one step of undo. */
  readonly done?: () => void;
  /** Takes the run of edits back. */
  readonly revert?: () => void;
  /** Arrow up and down: the value one step on. */
  readonly step?: ((direction: 1 | -1) => void) | undefined;
  readonly wide?: boolean;
  readonly hint?: string | undefined;
}

export function Field<T>(props: FieldProps<T>): JSX.Element {
  const id = useId();
  const { draft, wrong, readBack, ...hands } = useDraft(props);
  return (
    <FieldFrame id={id} label={props.label} unit={props.unit} wide={props.wide} wrong={wrong} readBack={readBack}>
      <input
        id={id}
        data-field={props.field}
        value={draft ?? props.text}
        autocomplete="off"
        spellcheck={false}
        aria-invalid={wrong !== null}
        aria-describedby={wrong !== null || readBack !== undefined ? `${id}-say` : undefined}
        onFocus={(event) => event.currentTarget.select()}
        {...hands}
      />
    </FieldFrame>
  );
}

/** What is typed, what is wrong with it or how it was understood, and what typing and keys do. */
function useDraft<T>(props: FieldProps<T>) {
  const [draft, setDraft] = useState<string | null>(null);
  const applied = useRef(0);
  const parsed = draft === null ? null : props.parse(draft);
  const wrong = parsed !== null && !parsed.ok ? parsed.why : null;
  const readBack = parsed !== null && parsed.ok ? parsed.readBack : props.hint;
  const leave = (): void => {
    applied.current = 0;
    props.done?.();
  };
  const end = (): void => {
    setDraft(null);
    leave();
  };
  // A wrong value does not vanish in silence: nobody would know that it was never taken.
  const onBlur = wrong === null ? end : leave;
  const onInput = (event: JSX.TargetedInputEvent<HTMLInputElement>): void => {
    const text = event.currentTarget.value;
    setDraft(text);
    const now = props.parse(text);
    if (now.ok) {
      applied.current += 1;
      props.apply(now.value);
    } else if (applied.current > 0) {
      // "9999" on the way to "99999" was in bounds: it must not stay behind.
      applied.current = 0;
      props.revert?.();
    }
  };
  const onKeyDown = (event: JSX.TargetedKeyboardEvent<HTMLInputElement>): void => {
    const { key } = event;
    // Undo is the window's: what stands in the field follows the plan again.
    if ((event.ctrlKey || event.metaKey) && key.toLowerCase() === 'z') end();
    else if (key === 'Enter') onBlur();
    else if (key === 'Escape') {
      event.stopPropagation();
      if (applied.current > 0) props.revert?.();
      end();
      if (draft === null) event.currentTarget.blur();
    } else if ((key === 'ArrowUp' || key === 'ArrowDown') && props.step !== undefined) {
      event.preventDefault();
      setDraft(null);
      applied.current += 1;
      props.step(key === 'ArrowUp' ? 1 : -1);
    }
  };
  return { draft, wrong, readBack, onInput, onKeyDown, onBlur };
}

interface FrameProps {
  readonly id: string;
  readonly label: string;
  readonly unit?: string | undefined;
  readonly wide?: boolean | undefined;
  readonly wrong?: string | null | undefined;
  readonly readBack?: string | undefined;
  readonly children: ComponentChildren;
}

function FieldFrame(props: FrameProps): JSX.Element {
  const wrong = props.wrong ?? null;
  return (
    <div class={`field${props.wide === true ? ' wide' : ''}${wrong === null ? '' : ' wrong'}`}>
      <label for={props.id}>
        {props.label}
        {props.unit === undefined ? null : <span class="said"> in {props.unit}</span>}
      </label>
      <div class="box">
        {props.children}
        {props.unit === undefined ? null : (
          <span class="unit" aria-hidden="true">
            {props.unit}
          </span>
        )}
      </div>
      {wrong !== null ? (
        <div class="wrong-words" id={`${props.id}-say`} role="alert">
          {wrong}
        </div>
      ) : props.readBack === undefined ? null : (
        <div class="read-back" id={`${props.id}-say`}>
          {props.readBack}
        </div>
      )}
    </div>
  );
}

export interface ChoiceProps<T extends string> {
  readonly field: string;
  readonly label: string;
  readonly value: T;
  readonly choices: readonly { readonly value: T; readonly text: string }[];
  readonly apply: (value: T) => void;
  readonly wide?: boolean;
}

/** One of a few, as the system's own list. */
export function Choice<T extends string>(props: ChoiceProps<T>): JSX.Element {
  const id = useId();
  const onChange = (event: JSX.TargetedEvent<HTMLSelectElement>): void => {
    const chosen = props.choices.find((one) => one.value === event.currentTarget.value);
    if (chosen !== undefined) props.apply(chosen.value);
  };
  return (
    <FieldFrame id={id} label={props.label} wide={props.wide}>
      <select id={id} data-field={props.field} value={props.value} onChange={onChange}>
        {props.choices.map((one) => (
          <option key={one.value} value={one.value}>
            {one.text}
          </option>
        ))}
      </select>
    </FieldFrame>
  );
}
