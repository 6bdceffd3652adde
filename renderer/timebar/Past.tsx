// That the past is looked at, where nobody can miss it: what is shown is what was known then, with the plan as it is
// now. Across the top of the map and as a frame about the window.
import type { JSX } from 'preact';
import { useStore } from '../context.ts';
import { age, clock } from '../../core/words/times.ts';
import { Word } from '../parts/buttons.tsx';

export function Past(): JSX.Element | null {
  const store = useStore();
  if (!store.past.value) return null;
  const units = store.units.value;
  const then_ms = store.shown_s.value * 1000;
  const back = (): void => {
    store.moment_ms.value = null;
    store.pointedHeight_m.value = null;
  };
  return (
    <div
      class="past"
      role="status"
      aria-label="The past is shown"
      title="What was known then, flown with the plan as it is now"
    >
      <strong>The past: {clock(then_ms / 1000, units)}</strong>
      <span class="small">
        {age((store.now_ms.value - then_ms) / 1000)} ago: reports, winds, landing and advice as known then, the plan as
        it is now
      </span>
      <Word title="Alt+N" onClick={back}>
        Back to now
      </Word>
    </div>
  );
}
