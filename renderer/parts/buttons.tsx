// The two kinds of button: a word among words, and an act that stands out. `first` is the act that a person most likely
// wants.
import type { Signal } from '@preact/signals';
import type { JSX } from 'preact';

type ButtonProps = Omit<JSX.IntrinsicElements['button'], 'type' | 'class'> & { readonly small?: boolean };

export function Word({ small, ...rest }: ButtonProps): JSX.Element {
  return <button type="button" class={small === true ? 'word small' : 'word'} {...rest} />;
}

export function Act({ small, first, ...rest }: ButtonProps & { readonly first?: boolean }): JSX.Element {
  return (
    <button type="button" class={`act${first === true ? ' first' : ''}${small === true ? ' small' : ''}`} {...rest} />
  );
}

/** Whether what a panel draws stays when another is open; `what`: it, as the beginning of a sentence. */
export const KeepOnMap = ({
  pinned,
  what,
}: {
  readonly pinned: Signal<boolean>;
  readonly what: string;
}): JSX.Element => (
  <Word
    small
    aria-pressed={pinned.value}
    title={`${what} stay on the map when another panel is open`}
    onClick={() => (pinned.value = !pinned.value)}
  >
    Keep on map
  </Word>
);

interface SegmentsProps<T extends string> {
  readonly label: string;
  readonly class?: string;
  readonly choices: readonly T[];
  readonly value: T | undefined;
  readonly choose: (value: T) => void;
  /** What a person reads; left out: the choice itself. */
  readonly name?: (choice: T) => string;
}

/** One of a few beside each other; the pressed one is in force. */
export function Segments<T extends string>(props: SegmentsProps<T>): JSX.Element {
  const { label, choices, value, choose, name = String } = props;
  return (
    <div class={props.class ?? 'segments'} role="group" aria-label={label}>
      {choices.map((choice) => (
        <Word key={choice} aria-pressed={choice === value} onClick={() => choose(choice)}>
          {name(choice)}
        </Word>
      ))}
    </div>
  );
}
