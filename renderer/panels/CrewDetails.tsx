// A crew in detail: its way, its approach by gates, when to leave, and what it does on each call.
import type { JSX } from 'preact';
import { formatPosition } from '../../core/words/positions.ts';
import { crewKey, crewWhy, gateKey, gateWhy, type CrewOf } from '../state/explaining/crewsWhy.ts';
import type { Store } from '../state/derived/store.ts';
import { quantity } from '../../core/words/numbers.ts';
import { Figure } from './Figure.tsx';

export function CrewDetails({ store, of }: { readonly store: Store; readonly of: CrewOf }): JSX.Element {
  const { shown } = of;
  const { crew, route, approach, tasks } = shown;
  const format = crew.team.coordinates ?? 'degrees-minutes';
  return (
    <div class="crew-details small">
      <p>
        <span class="quiet">Way to the {shown.ends === 'shore' ? 'shore' : shown.goal.name}: </span>
        <Figure of={crewKey(crew.name, 'way')} why={() => crewWhy(of, 'way')}>
          {route.kind === 'route' ? route.sentence : `no way; ${route.why}.`}
        </Figure>
      </p>
      {approach === null ? null : (
        <>
          <h3>Approach</h3>
          <ul>
            {approach.sentences.map((words) => (
              <li key={words}>{words}</li>
            ))}
          </ul>
          <ol class="gates" aria-label={`Gates of ${crew.name}`}>
            {approach.gates.map((gate) => (
              <li key={gate.name}>
                <button type="button" class="num text" onClick={() => (store.goal.value = { position: gate.position })}>
                  {gate.name}
                </button>{' '}
                <Figure of={gateKey(crew.name, gate.name)} why={() => gateWhy(crew, gate)}>
                  {quantity(gate.agl_m, 'm AGL')}
                </Figure>
                , {formatPosition(gate.position, format, 10)}
                <span class="quiet">: {gate.rule}</span>
              </li>
            ))}
          </ol>
        </>
      )}
      <h3>On the call</h3>
      <dl class="tasks">
        {tasks.map((task) => (
          <div key={task.key}>
            <dt>{task.label}</dt>
            <dd>{task.text}</dd>
          </div>
        ))}
      </dl>
      {crew.assumed.length === 0 ? null : (
        <p class="quiet">Not in the plan and taken instead: {crew.assumed.join('; ')}.</p>
      )}
    </div>
  );
}
