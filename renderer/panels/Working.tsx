// What the worker of the recovery is doing, in words, and why it does not answer where it does not.
import type { JSX } from 'preact';
import type { Store } from '../state/derived/store.ts';

export function Working({ store }: { readonly store: Store }): JSX.Element | null {
  const { working, trouble, answer } = store.recovery;
  if (trouble.value !== null) {
    return (
      <p class="wrong-words" role="alert">
        The cases and crews could not be worked out: {trouble.value}
      </p>
    );
  }
  if (working.value === null) return null;
  return (
    <p class="small quiet" role="status">
      {working.value}
      {answer.value === null ? '' : ' What is shown below is from before that.'}
    </p>
  );
}
