// The crews' board: what each is doing, how long it takes to the predicted landing, its fuel, its task now, when it was
// last heard; where it should wait and what is lost if it does not; smoke, and the search where contact is lost.
// Advisory only: each crew decides for itself.
import type { JSX } from 'preact';
import { formatPosition } from '../../core/words/positions.ts';
import { never } from '../../core/base/problem.ts';
import type { Mission, Team } from '../../core/plan/schema.ts';
import type { CrewShown, RecoveryAnswer } from '../../core/work/recoveryWork.ts';
import { useStore } from '../context.ts';
import { age, duration } from '../../core/words/times.ts';
import { MISSING, NEARLY_ALL, chanceWords } from '../../core/words/numbers.ts';
import { Field } from '../parts/Field.tsx';
import { Heads, Missing } from '../parts/rows.tsx';
import { parsePlace } from '../parts/typed.ts';
import { cancelEdit, editOnce, endEdit } from '../state/acting/actions.ts';
import { dropStandby } from '../state/stored/edits.ts';
import { crewKey, crewWhy, standbyField, until, type CrewNumber, type CrewOf } from '../state/explaining/crewsWhy.ts';
import { toggleCrew } from '../state/stored/recovery.ts';
import { acceptPlaces, openProposals, placeCrew } from '../state/acting/recoveryActions.ts';
import type { Store } from '../state/derived/store.ts';
import { CrewDetails } from './CrewDetails.tsx';
import { Figure } from './Figure.tsx';
import { Lost } from './Lost.tsx';
import { Why } from './Why.tsx';
import { Working } from './Working.tsx';
import { Act, KeepOnMap, Word } from '../parts/buttons.tsx';

export function CrewsPanel(): JSX.Element {
  const store = useStore();
  const mission = store.mission.value;
  if (mission === null) return <p class="quiet">Open a mission to see its crews.</p>;
  const answer = store.recovery.answer.value;
  return (
    <>
      <Board store={store} mission={mission} answer={answer} />
      {store.provenance.value === null ? null : <Why store={store} />}
      {answer === null ? null : <Placement store={store} answer={answer} />}
      {answer === null ? null : <SmokeSection answer={answer} />}
      <Lost store={store} />
    </>
  );
}

interface BoardProps {
  readonly store: Store;
  readonly mission: Mission;
  readonly answer: RecoveryAnswer | null;
}

function Board({ store, mission, answer }: BoardProps): JSX.Element {
  const { view, recovery } = store;
  const teams = mission.teams ?? [];
  return (
    <section aria-labelledby="crews" aria-busy={recovery.working.value !== null}>
      <div class="run">
        <h2 id="crews">Crews</h2>
        <div class="layers">
          <KeepOnMap pinned={view.crewsPinned} what="Places, ways and the ground to keep clear" />
        </div>
      </div>
      <Working store={store} />
      {teams.length === 0 ? (
        <p class="wrong-words">No crew is named: nobody goes to the landing. Add teams to the mission.</p>
      ) : (
        <table class="limits crews">
          <caption class="said">Crews with their times to the landing, fuel, task and last report</caption>
          <Heads names={['state', 'half within', `${NEARLY_ALL} within`, 'on scene']} />
          {teams.map((team) => (
            <CrewRows
              key={team.name}
              store={store}
              mission={mission}
              team={team}
              shown={answer?.crews.find((one) => one.crew.name === team.name) ?? null}
            />
          ))}
        </table>
      )}
      {(answer?.warnings ?? []).map((words) => (
        <p key={words} class="wrong-words">
          {words}
        </p>
      ))}
    </section>
  );
}

interface FigureProps {
  readonly of: CrewOf;
  readonly column: CrewNumber;
  readonly words: string;
}

/** A number of a crew that tells where it came from. */
function CrewFigure({ of, column, words }: FigureProps): JSX.Element {
  return (
    <Figure of={crewKey(of.shown.crew.name, column)} why={() => crewWhy(of, column)}>
      {words}
    </Figure>
  );
}

function OnScene({ of }: { readonly of: CrewOf }): JSX.Element {
  const { fuel } = of.times;
  switch (fuel.kind) {
    case 'enough':
      return <CrewFigure of={of} column="fuel" words={duration(fuel.onScene_s)} />;
    case 'short':
      return (
        <span class="broken-word">
          <CrewFigure of={of} column="fuel" words={`${duration(fuel.by_s)} short`} />
        </span>
      );
    case 'not given':
      return (
        <Missing
          why={
            of.shown.crew.kind !== 'helicopter'
              ? 'fuel is counted for helicopters alone'
              : 'the plan gives no endurance'
          }
        />
      );
    default:
      return never(fuel);
  }
}

interface CrewProps {
  readonly store: Store;
  readonly mission: Mission;
  readonly team: Team;
  readonly shown: CrewShown | null;
}

/** What a crew's numbers are worked out from; null: no times for it are known. */
function crewOf({ store, mission, team, shown }: CrewProps): CrewOf | null {
  const tried = store.recovery.tried.value;
  const times = tried?.crew === team.name && tried.times !== null ? tried.times : (shown?.now ?? null);
  if (shown === null || times === null) return null;
  const cases = store.recovery.answer.value?.cases ?? [];
  const [at_s, units] = [store.shown_s.value, store.units.value];
  return { shown, times, trying: times === tried?.times, cases, mission, units, at_s };
}

export function CrewRows(props: CrewProps): JSX.Element {
  const { store, team, shown } = props;
  const open = store.recovery.openCrews.value.has(team.name);
  const of = crewOf(props);
  const reach = of === null ? null : of.shown.goal.name === 'gondola' ? of.times.toGondola : of.times.asPlanned;
  const time = (column: 'p50' | 'p95', time_s: number | undefined) =>
    of === null || time_s === undefined ? MISSING : <CrewFigure of={of} column={column} words={until(time_s)} />;
  const id = `crew-${team.name.replaceAll(/\W+/g, '-')}`;
  return (
    <tbody data-crew={team.name}>
      <tr>
        <th scope="rowgroup" colSpan={4}>
          <strong class="case-name">{team.name}</strong> <span class="small quiet">{kindWords(team)}</span>
          <Word small aria-expanded={open} aria-controls={id} onClick={() => toggleCrew(store.recovery, team.name)}>
            {open ? 'Close' : 'More'}
            <span class="said"> of {team.name}</span>
          </Word>
        </th>
      </tr>
      <tr>
        <td>{shown?.state ?? MISSING}</td>
        <td>{time('p50', reach?.p50_s)}</td>
        <td>{time('p95', reach?.p95_s)}</td>
        <td>{of === null ? MISSING : <OnScene of={of} />}</td>
      </tr>
      <tr>
        <td colSpan={4} class="source small">
          <Told store={store} of={of} />
        </td>
      </tr>
      <tr id={id} hidden={!open}>
        <td colSpan={4} class="source">
          {open ? (
            <>
              <Standby store={store} team={team} />
              {of === null ? null : <CrewDetails store={store} of={of} />}
            </>
          ) : null}
        </td>
      </tr>
    </tbody>
  );
}

const kindWords = ({ kind, medical, serves }: Team): string =>
  [
    kind,
    ...(medical === true ? ['medical'] : []),
    `for the ${serves === 'both' ? 'jumper and the gondola' : (serves ?? 'jumper')}`,
  ].join(', ');

/** The task now, where it is taken to be and how old that is, and what speaks against it. */
function Told({ store, of }: { readonly store: Store; readonly of: CrewOf | null }): JSX.Element {
  if (of === null)
    return (
      <>{store.recovery.working.value === null ? 'Its times are not known.' : 'Its times are being worked out.'}</>
    );
  const { shown, times, trying, at_s } = of;
  const { task } = shown;
  const gondola = shown.goal.name === 'gondola';
  const heard_s = shown.now.heard_s;
  const all = times.allCases;
  const unreached = all.unreached > 0.005 ? `, ${chanceWords(all.unreached)} of the landings not reached` : '';
  return (
    <>
      {task === null ? null : (
        <>
          <strong>{task.label}</strong>: {task.text}.{' '}
        </>
      )}
      {trying ? (
        'As if it waited where you put it'
      ) : heard_s === null ? (
        'Not heard from yet; taken to be at its place in the plan'
      ) : (
        <CrewFigure of={of} column="heard" words={`Last heard ${age(Math.max(0, at_s - heard_s))} ago`} />
      )}
      {gondola ? '; times are to the gondola' : '; '}
      {gondola ? null : (
        <CrewFigure of={of} column="all" words={`all cases ${until(all.p50_s)} (${until(all.p95_s)})${unreached}`} />
      )}
      .{times.refusal === null ? null : ' '}
      {times.refusal === null ? null : <span class="wrong-words">Against it: {times.refusal.why}.</span>}
    </>
  );
}

/** The place where it waits, typed: the drag's twin. */
function Standby({ store, team }: { readonly store: Store; readonly team: Team }): JSX.Element {
  const format = team.coordinates ?? 'degrees-minutes';
  const place = team.standby ?? team.position;
  return (
    <div class="fields">
      <Field
        field={standbyField(team.name)}
        label={`${team.name} waits at${team.standby === undefined ? ' (its own place)' : ''}`}
        wide
        text={formatPosition(place, format, 10)}
        parse={(text) => parsePlace(text, store.mission.value?.site.position)}
        apply={(position) => placeCrew(store, team.name, position, false)}
        done={() => endEdit(store)}
        revert={() => cancelEdit(store)}
      />
      {team.standby === undefined ? null : (
        <Word
          small
          onClick={() => editOnce(store, `standby of ${team.name} taken out`, (plan) => dropStandby(plan, team.name))}
        >
          Take the standby out of the plan<span class="said"> for {team.name}</span>
        </Word>
      )}
    </div>
  );
}

function Placement({ store, answer }: { readonly store: Store; readonly answer: RecoveryAnswer }): JSX.Element | null {
  const { placement } = answer;
  if (placement === null) return null;
  const proposals = openProposals(store);
  return (
    <section aria-labelledby="placement">
      <div class="run">
        <h2 id="placement">Where to wait</h2>
        <div class="layers">
          <Act disabled={proposals.length === 0} onClick={() => acceptPlaces(store, proposals)}>
            Accept all <kbd>Alt+A</kbd>
          </Act>
        </div>
      </div>
      {placement.crews.map((place) => {
        const open = proposals.includes(place);
        const { crew, reason, ifRefused, kind } = place;
        return (
          <div key={crew.name} class="proposal" data-proposal={crew.name}>
            <p class="small">
              <strong>{kind === 'placed' && !open ? 'Accepted. ' : ''}</strong>
              {reason}
            </p>
            {ifRefused === null || !open ? null : <p class="small quiet">{ifRefused.sentence}</p>}
            {open ? (
              <div class="segments">
                <Word small onClick={() => acceptPlaces(store, [place])}>
                  Accept<span class="said"> the place of {crew.name}</span>
                </Word>
                <Word small onClick={() => (store.goal.value = { position: place.position })}>
                  Show<span class="said"> the place of {crew.name} on the map</span>
                </Word>
              </div>
            ) : null}
          </div>
        );
      })}
      <ul class="problems small" aria-label="To know beside the places">
        {[...placement.answers, ...answer.problems].map((words) => (
          <li key={words}>{words}</li>
        ))}
      </ul>
    </section>
  );
}

function SmokeSection({ answer }: { readonly answer: RecoveryAnswer }): JSX.Element | null {
  const smoke = answer.smoke?.answer ?? null;
  if (smoke === null) return null;
  return (
    <section aria-labelledby="smoke">
      <h2 id="smoke">Smoke</h2>
      <p class="small">{smoke.kind === 'place' ? smoke.sentence : smoke.why}</p>
    </section>
  );
}
