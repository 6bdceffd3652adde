// What would change the word, in things that a person can watch, the most likely first, each with the report that would
// tell soonest.
import type { JSX } from 'preact';
import { edgeSentence, edgeTells } from '../../core/advice/edgeWords.ts';
import type { Mission } from '../../core/plan/schema.ts';
import { capital } from '../../core/words/numbers.ts';
import { newerThan } from '../state/derived/asked.ts';
import type { Store } from '../state/derived/store.ts';

export function EdgesSection({
  store,
  mission,
}: {
  readonly store: Store;
  readonly mission: Mission;
}): JSX.Element | null {
  const advice = store.decision.advice.value?.advice ?? null;
  // After the exit nobody goes or holds any more.
  if (advice === null || advice.basis !== null) return null;
  return (
    <section aria-labelledby="edges">
      <h2 id="edges">What would change it</h2>
      <Found store={store} mission={mission} />
    </section>
  );
}

function Found({ store, mission }: { readonly store: Store; readonly mission: Mission }): JSX.Element {
  const found = store.decision.edges.value;
  const asked = store.momentAsked.value;
  if (found === null || asked === null || newerThan(found.asked, asked) !== null)
    return (
      <p class="quiet small" role="status">
        Flying the descents nearby…
      </p>
    );
  if (found.edges.length === 0)
    return <p class="quiet small">No single input, within its range, changes the word by itself.</p>;
  const units = store.units.value;
  return (
    <ol class="zones" id="edge-list">
      {found.edges.map((edge) => (
        <li key={`${edge.input} ${edge.by < 0 ? '−' : '+'} ${edge.to}`}>
          {edgeSentence(edge, mission.site.elevation_m, units)}
          <span class="small quiet"> {capital(edgeTells(edge, units))}.</span>
        </li>
      ))}
    </ol>
  );
}
