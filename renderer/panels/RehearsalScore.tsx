// What became of a rehearsal: the log that was kept beside the descent that was hidden, and what can be made of both.
import type { JSX } from 'preact';
import { scoreSections } from '../../core/rehearsal/scoreText.ts';
import type { RehearsalState } from '../../main/contract.ts';
import { Act } from '../parts/buttons.tsx';
import { writeScore } from '../state/acting/rehearsing.ts';
import type { Store } from '../state/derived/store.ts';
import { LogFiles } from './Log.tsx';

interface ScoreProps {
  readonly store: Store;
  readonly state: RehearsalState;
}

export function RehearsalScore({ store, state }: ScoreProps): JSX.Element | null {
  if (state.score === null) return null;
  const { run, score } = state.score;
  return (
    <>
      {scoreSections(run, score, store.units.value).map(({ title, lines }) => (
        <section key={title} class="score-part">
          <h3>{title}</h3>
          {lines.map((line, i) => (
            <p key={i} class={line.startsWith('  ') ? 'under' : ''}>
              {line.trim()}
            </p>
          ))}
        </section>
      ))}
      <div class="file-row" role="group" aria-label="The score as a file">
        <Act small onClick={() => void writeScore(store, 'txt')}>
          Score, text
        </Act>
        <Act small onClick={() => void writeScore(store, 'json')}>
          Score, JSON
        </Act>
      </div>
      <LogFiles />
    </>
  );
}
