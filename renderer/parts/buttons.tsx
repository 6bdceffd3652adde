// The two kinds of button: a word among words, and an act that stands out. `first` is the act that a person most likely
// wants.
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
