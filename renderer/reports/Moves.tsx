// What moved: each change of the winds or the plan with its line, newest first; a line that a report is behind leads to
// that report.
import { useMemo } from 'preact/hooks';
import type { JSX } from 'preact';
import { useStore } from '../context.ts';
import { moveWords, TRAIL_S } from '../state/derived/moves.ts';
import type { Move } from '../state/stored/reportsView.ts';
import type { Store } from '../state/derived/store.ts';
import { age, clock } from '../../core/words/times.ts';
import { Word } from '../parts/buttons.tsx';

export function Moves(): JSX.Element {
  const store = useStore();
  const moves = store.reports.moves.value;
  const shown_s = store.shown_s.value;
  const rows = useMemo(() => moves.filter((move) => move.at_s <= shown_s).reverse(), [moves, shown_s]);
  if (rows.length === 0) {
    return (
      <p class="quiet">
        Nothing has moved the landing {store.past.value ? 'by then' : 'yet'}. Each report and each change of the plan
        leaves a line here.
      </p>
    );
  }
  return (
    <>
      <p class="small quiet">The landings of the last {age(TRAIL_S)} are the fading trail on the map.</p>
      <ol class="problems moves" aria-label="What moved, newest first" tabIndex={0}>
        {rows.map((move, i) => (
          <MoveLine key={`${move.at_s}/${move.seq ?? ''}/${rows.length - i}`} store={store} move={move} />
        ))}
      </ol>
    </>
  );
}

function MoveLine({ store, move }: { readonly store: Store; readonly move: Move }): JSX.Element | null {
  const mission = store.mission.value;
  const units = store.units.value;
  if (mission === null) return null;
  const { seq } = move;
  const look = (): void => {
    store.reports.chosen.value = seq;
    store.reports.part.value = 'list';
  };
  const isReport = seq !== null && store.situation.value?.state.reports.some((report) => report.seq === seq) === true;
  return (
    <li>
      <div class="small quiet">
        {clock(move.at_s, units)} · {age(store.shown_s.value - move.at_s)}
        {move.again ? ' · flown again from the log' : ''}
      </div>
      {moveWords(move, mission, units)}
      {isReport ? (
        <Word small onClick={look}>
          Look at the report
        </Word>
      ) : null}
    </li>
  );
}
