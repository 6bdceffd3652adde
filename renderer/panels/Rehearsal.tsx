// To train with the mission that is open: a rehearsal is begun here in a copy of it, runs, is answered by radio, and is
// scored. What an instructor does stands apart, closed.
import { useEffect } from 'preact/hooks';
import type { JSX } from 'preact';
import { number } from '../../core/words/numbers.ts';
import { clock } from '../../core/words/times.ts';
import type { RehearsalState } from '../../main/contract.ts';
import { useStore } from '../context.ts';
import { Field } from '../parts/Field.tsx';
import { Act, Word } from '../parts/buttons.tsx';
import { parseNumber } from '../parts/typed.ts';
import { openPath } from '../state/acting/actions.ts';
import { doInRehearsal, enterHeard, startRehearsal } from '../state/acting/rehearsing.ts';
import { rehearsalHere } from '../state/derived/rehearsal.ts';
import type { Store } from '../state/derived/store.ts';
import { Instructor } from './RehearsalInstructor.tsx';
import { RehearsalScore } from './RehearsalScore.tsx';

export function RehearsalPanel(): JSX.Element {
  const store = useStore();
  const here = rehearsalHere(store);
  const heard = here?.heard.length ?? 0;
  useEffect(() => void (store.rehearsal.seen.value = heard), [store, heard]);
  return (
    <section class="panel-part rehearsal" aria-labelledby="rehearsal">
      <h2 id="rehearsal">Rehearsal</h2>
      {here === null ? <Elsewhere store={store} /> : <Here store={store} state={here} />}
    </section>
  );
}

const isOn = ({ stage }: RehearsalState): boolean => stage === 'ready' || stage === 'running' || stage === 'paused';

/** The mission that is open is not the rehearsal's copy. */
function Elsewhere({ store }: { readonly store: Store }): JSX.Element {
  const state = store.rehearsal.state.value;
  if (state !== null && isOn(state))
    return (
      <>
        <p>A rehearsal is on at this desk, in a copy of its own.</p>
        <div class="ways">
          <Act first onClick={() => void openPath(store, state.missionPath)}>
            Go to the rehearsal
          </Act>
          <Act onClick={() => void doInRehearsal(store, { kind: 'stop' })}>Stop it</Act>
        </div>
      </>
    );
  return (
    <>
      {store.mission.value?.rehearsal === true ? <p>This rehearsal does not run any more; its log stays.</p> : null}
      <Begin store={store} />
    </>
  );
}

/** What the next one is to be. */
function Begin({ store }: { readonly store: Store }): JSX.Element {
  const { offered, wanted } = store.rehearsal;
  const set = (change: Partial<typeof wanted.value>): void => {
    wanted.value = { ...wanted.value, ...change };
  };
  const scenarios = [{ name: 'any', trains: 'One of these, by the seed: nobody is told which.' }, ...offered.value];
  return (
    <form
      onSubmit={(event) => {
        event.preventDefault();
        void startRehearsal(store);
      }}
    >
      <p class="small quiet">
        A descent that nobody here knows is drawn from this plan and its errors. Its fixes come by feeds, crews say
        their winds, and your log is scored at the end. All of it happens in a copy: this mission and its log are left
        alone.
      </p>
      <fieldset class="scenarios">
        <legend>Scenario</legend>
        {scenarios.map(({ name, trains }) => (
          <label key={name}>
            <input
              type="radio"
              name="scenario"
              value={name}
              checked={wanted.value.scenario === name}
              onChange={() => set({ scenario: name })}
            />
            <span>
              {name}
              <span class="small quiet"> {trains}</span>
            </span>
          </label>
        ))}
      </fieldset>
      <div class="fields">
        <Field
          field="rehearsal.seed"
          label="Seed: the same one gives the same descent"
          text={String(wanted.value.seed)}
          parse={(text) => whole(text, 0, 2 ** 31 - 1)}
          apply={(seed) => set({ seed })}
          wide
        />
        <SpeedField speed={wanted.value.speed} apply={(speed) => set({ speed })} />
      </div>
      <div class="ways">
        <button type="submit" class="act first" disabled={store.mission.value === null || store.busy.value !== null}>
          Make the rehearsal
        </button>
      </div>
    </form>
  );
}

function whole(text: string, min: number, max: number): ReturnType<typeof parseNumber> {
  const read = parseNumber(text, { min, max }, '');
  return read.ok && !Number.isInteger(read.value) ? { ok: false, why: 'expected a whole number.' } : read;
}

interface SpeedProps {
  readonly speed: number;
  readonly apply: (speed: number) => void;
}

const SpeedField = ({ speed, apply }: SpeedProps): JSX.Element => (
  <Field
    field="rehearsal.speed"
    label="Speed: 1 as live, up to 60; above 5 the word has no time"
    unit="times"
    text={String(speed)}
    parse={(text) => whole(text, 1, 60)}
    apply={apply}
    wide
  />
);

interface HereProps {
  readonly store: Store;
  readonly state: RehearsalState;
}

function Here({ store, state }: HereProps): JSX.Element {
  return (
    <>
      <p role="status" class="value-line">
        {stageWords(state, store)}
      </p>
      {isOn(state) ? (
        <>
          <Run store={store} state={state} />
          <Radio store={store} state={state} />
          <Crews store={store} state={state} />
          <Instructor store={store} state={state} />
        </>
      ) : (
        <>
          <RehearsalScore store={store} state={state} />
          {state.stage === 'over' ? (
            <>
              <h3>Once more</h3>
              <Begin store={store} />
            </>
          ) : null}
        </>
      )}
    </>
  );
}

function stageWords({ stage, speed, at_s, trouble }: RehearsalState, store: Store): string {
  switch (stage) {
    case 'ready':
      return `Ready: it begins at ${clock(at_s, store.units.value)} of its own clock, which stands.`;
    case 'running':
      return speed === 1 ? 'It runs as live.' : `It runs ${number(speed)} times as fast as live.`;
    case 'paused':
      return 'Paused: its clock stands.';
    case 'scoring':
      return 'It is over. The score is being worked out…';
    case 'over':
    default:
      return trouble ?? 'It is over.';
  }
}

const GO = { ready: 'Begin', running: 'Pause', paused: 'Go on' } as const;

function Run({ store, state }: HereProps): JSX.Element {
  const { stage, speed } = state;
  const runs = stage === 'running';
  return (
    <>
      <div class="ways">
        <Act
          id="rehearsal-go"
          first={!runs}
          onClick={() => void doInRehearsal(store, { kind: runs ? 'pause' : 'go on' })}
        >
          {stage === 'scoring' || stage === 'over' ? '' : GO[stage]}
        </Act>
        <Act onClick={() => void doInRehearsal(store, { kind: 'stop' })}>Stop and score</Act>
      </div>
      <div class="fields">
        <SpeedField speed={speed} apply={(to) => void doInRehearsal(store, { kind: 'speed', speed: to })} />
      </div>
    </>
  );
}

function Radio({ store, state }: HereProps): JSX.Element {
  const { heard } = state;
  return (
    <section aria-labelledby="radio">
      <h3 id="radio">Radio</h3>
      <p class="small quiet">
        What is said, as it is said. Enter it as you understand it, or have it read again; what seems wrong is for you
        to find.
      </p>
      {heard.length === 0 ? <p class="quiet">Nothing was said yet.</p> : null}
      <ol class="heard" aria-label="Radio, newest first">
        {heard.toReversed().map(({ at_s, by, text }) => (
          <li key={`${at_s} ${text}`}>
            <div class="small quiet">
              {clock(at_s, store.units.value)}
              {by === null ? '' : ` · ${by}`}
            </div>
            <p class="heard-words">{text}</p>
            <Act small aria-label={`Onto the entry line: ${text}`} onClick={() => enterHeard(store, text)}>
              Onto the entry line
            </Act>
          </li>
        ))}
      </ol>
    </section>
  );
}

function Crews({ store, state }: HereProps): JSX.Element | null {
  const { crews, heard } = state;
  if (crews.length === 0) return null;
  const tell = (order: 'say again' | 'go', crew: string): void =>
    void doInRehearsal(store, { kind: 'order', order, crew });
  return (
    <section aria-labelledby="rehearsal-crews">
      <h3 id="rehearsal-crews">Tell a crew</h3>
      <p class="small quiet">
        They go where the log has the touchdown, else to the landing that was called last; all of the jumper’s go by
        themselves once “jumper is down” was called.
      </p>
      <ul class="told">
        {crews.map((crew) => (
          <li key={crew}>
            <span>{crew}</span>
            <Word
              small
              disabled={!heard.some(({ by }) => by === crew)}
              aria-label={`Say again: ${crew}`}
              onClick={() => tell('say again', crew)}
            >
              Say again
            </Word>
            <Word small aria-label={`Go: ${crew}`} onClick={() => tell('go', crew)}>
              Go
            </Word>
          </li>
        ))}
      </ul>
    </section>
  );
}
