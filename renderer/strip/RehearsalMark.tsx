// That what is on the window is a rehearsal: as long as its mission is open, in words and by its shape, wherever its
// clock is.
import type { JSX } from 'preact';
import { number } from '../../core/words/numbers.ts';
import { rehearsalHere } from '../state/derived/rehearsal.ts';
import type { Store } from '../state/derived/store.ts';

export function RehearsalMark({ store }: { readonly store: Store }): JSX.Element | null {
  if (store.mission.value?.rehearsal !== true) return null;
  return (
    <p class="rehearsal-mark" id="rehearsal-mark" title="This mission is a copy to train with: nobody jumps by it.">
      <strong>REHEARSAL</strong> <span class="nowrap">{paceWords(store)}</span>
    </p>
  );
}

/** "20×", or why its clock stands. */
function paceWords(store: Store): string {
  const here = rehearsalHere(store);
  if (here === null) return 'not running';
  const { stage, speed } = here;
  return stage === 'running'
    ? `${number(speed)}×`
    : stage === 'ready'
      ? 'not begun'
      : stage === 'paused'
        ? stage
        : 'over';
}
