// The instructor's hand in a rehearsal: what is in store, and what can be set off at once. Closed, because who is
// trained should not look; it may be opened in a second window on the same desk.
import { useSignal } from '@preact/signals';
import type { JSX } from 'preact';
import { actWords, type InstructorAct } from '../../core/rehearsal/acts.ts';
import { capital } from '../../core/words/numbers.ts';
import { clock } from '../../core/words/times.ts';
import type { RehearsalState } from '../../main/contract.ts';
import { Choice } from '../parts/Field.tsx';
import { Act, Word } from '../parts/buttons.tsx';
import { doInRehearsal } from '../state/acting/rehearsing.ts';
import type { Store } from '../state/derived/store.ts';

interface InstructorProps {
  readonly store: Store;
  readonly state: RehearsalState;
}

export function Instructor({ store, state }: InstructorProps): JSX.Element {
  const open = store.rehearsal.instructs;
  return (
    <section class="instructor" aria-labelledby="instructor">
      <h3 id="instructor">
        <Word aria-expanded={open.value} aria-controls="instructor-part" onClick={() => (open.value = !open.value)}>
          {open.value ? '▾' : '▸'} The instructor’s hand
        </Word>
      </h3>
      <div id="instructor-part">
        {open.value ? (
          <Hand store={store} state={state} />
        ) : (
          <p class="small quiet">Who is trained leaves it closed: it tells what is in store.</p>
        )}
      </div>
    </section>
  );
}

function Hand({ store, state }: InstructorProps): JSX.Element {
  const { scenario, notes, bodies, silent, acts } = state.instructor;
  const set = (act: InstructorAct): void => void doInRehearsal(store, { kind: 'act', act });
  return (
    <>
      <p class="small">
        In store: {scenario}. {notes}
      </p>
      <h4>Fixes</h4>
      <ul class="told">
        {bodies.map((body) => (
          <FixesOf key={body} body={body} isSilent={silent.includes(body)} set={set} />
        ))}
      </ul>
      <WindSaidNow crews={state.crews} set={set} />
      <h4>The opening</h4>
      <div class="ways">
        <Act small onClick={() => set({ kind: 'opening', becomes: 'late' })}>
          The canopy opens late
        </Act>
        <Act small onClick={() => set({ kind: 'opening', becomes: 'none' })}>
          It does not open
        </Act>
      </div>
      <p class="small quiet">As long as it is not open. Pause, speed and stop stand above.</p>
      {acts.length === 0 ? null : (
        <>
          <h4>Set off so far</h4>
          <ol class="problems" aria-label="Set off so far">
            {acts.map(({ at_s, act }, i) => (
              <li key={i}>
                <span class="small quiet">{clock(at_s, store.units.value)} · </span>
                {capital(actWords(act))}
              </li>
            ))}
          </ol>
        </>
      )}
    </>
  );
}

interface SetProps {
  readonly set: (act: InstructorAct) => void;
}

function FixesOf({
  body,
  isSilent,
  set,
}: SetProps & { readonly body: string; readonly isSilent: boolean }): JSX.Element {
  return (
    <li>
      <span>{body}</span>
      <Word
        small
        aria-label={isSilent ? `Come back: fixes of ${body}` : `Stop: fixes of ${body}`}
        onClick={() => set({ kind: isSilent ? 'fixes come back' : 'fixes stop', body })}
      >
        {isSilent ? 'Come back' : 'Stop'}
      </Word>
      <Word small aria-label={`One wild: a fix of ${body}`} onClick={() => set({ kind: 'wild fix', body })}>
        One wild
      </Word>
    </li>
  );
}

type Says = Extract<InstructorAct, { readonly kind: 'wind said' }>['says'];

const SAYS: readonly { readonly value: Says; readonly text: string }[] = [
  { value: 'toward for from', text: 'the wrong way round' },
  { value: 'another wind', text: 'another wind: it contradicts' },
  { value: 'knots as m/s', text: 'knots, called m/s' },
  { value: 'm/s as knots', text: 'm/s, called knots' },
  { value: 'no unit', text: 'without a unit' },
  { value: 'right', text: 'as it is' },
];

function WindSaidNow({ crews, set }: SetProps & { readonly crews: readonly string[] }): JSX.Element {
  const crew = useSignal(crews[0] ?? '');
  const says = useSignal<Says>('toward for from');
  return (
    <>
      <h4>A wind, now</h4>
      <div class="fields">
        {crews.length === 0 ? null : (
          <Choice
            field="rehearsal.crew"
            label="Said by"
            value={crew.value}
            choices={crews.map((name) => ({ value: name, text: name }))}
            apply={(name) => (crew.value = name)}
          />
        )}
        <Choice
          field="rehearsal.says"
          label="How"
          value={says.value}
          choices={SAYS}
          apply={(how) => (says.value = how)}
        />
      </div>
      <div class="ways">
        <Act
          small
          onClick={() => set({ kind: 'wind said', crew: crews.length === 0 ? null : crew.value, says: says.value })}
        >
          Say it
        </Act>
      </div>
    </>
  );
}
