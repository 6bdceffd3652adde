// The brief: what it says now and to whom, who holds which version and has acknowledged it, and its pages and places as
// files.
import type { JSX } from 'preact';
import { acknowledged, holdsOf, holdsWords, type Marks } from '../../core/brief/changes.ts';
import { readingTime_s, wordsToRead, type Brief } from '../../core/brief/model.ts';
import { capital } from '../../core/words/numbers.ts';
import type { CrewChanges } from '../../core/work/recoveryWork.ts';
import { useStore } from '../context.ts';
import { Choice } from '../parts/Field.tsx';
import { acknowledge } from '../state/acting/recoveryActions.ts';
import type { BriefPart } from '../state/stored/recovery.ts';
import type { Store } from '../state/derived/store.ts';
import { BriefFiles } from './BriefFiles.tsx';
import { ChangeList, RadioText, Sections } from './BriefText.tsx';
import { Act, Word } from '../parts/buttons.tsx';

export function BriefPanel(): JSX.Element {
  const store = useStore();
  const { brief, writing, working, trouble } = store.recovery;
  if (store.mission.value === null) return <p class="quiet">Open a mission to see its brief.</p>;
  const answer = brief.value;
  const busy = writing.value ?? working.value;
  return (
    <>
      {trouble.value === null ? null : (
        <p class="wrong-words" role="alert">
          The brief could not be written: {trouble.value}
        </p>
      )}
      {busy === null ? null : (
        <p class="small quiet" role="status">
          {busy}
        </p>
      )}
      {answer === null ? (
        busy === null && trouble.value === null ? (
          <p class="quiet">The brief is being written.</p>
        ) : null
      ) : (
        <>
          <Head brief={answer.brief} />
          {answer.problems.map((words) => (
            <p key={words} class="wrong-words">
              {words}
            </p>
          ))}
          <Holders store={store} brief={answer.brief} />
          <Reading store={store} brief={answer.brief} changes={store.recovery.changes.value} />
          <BriefFiles store={store} brief={answer.brief} ready={busy === null} />
        </>
      )}
    </>
  );
}

function Head({ brief }: { readonly brief: Brief }): JSX.Element {
  const { version, at, verdict } = brief.head;
  return (
    <section aria-labelledby="brief">
      <h2 id="brief">
        Brief <span id="brief-version">v{version.number}</span>
      </h2>
      <p class="small quiet">
        {at}. {capital(version.words)}.
      </p>
      <p>{verdict}</p>
    </section>
  );
}

/** Who holds which version: told from the log as it is now, so that a key pressed is seen at once. */
function Holders({ store, brief }: { readonly store: Store; readonly brief: Brief }): JSX.Element {
  const names = brief.crews.map((one) => one.crew);
  const { number } = brief.head.version;
  const found = acknowledged(store.log.value, store.shown_s.value, names);
  return (
    <section aria-labelledby="holders">
      <h2 id="holders">Acknowledged by</h2>
      {names.length === 0 ? <p class="small wrong-words">No crew is named, so nobody acknowledges it.</p> : null}
      <ul class="holders">
        {brief.crews.map(({ crew, identity }) => {
          const holds = holdsOf(found.get(crew), number, identity);
          return (
            <li key={crew} data-holds={holds.kind}>
              <span class="small">
                {holdsWords(crew, holds, number)} Page <b class="num">{identity}</b>.
              </span>
              {holds.kind === 'behind' || holds.kind === 'other content' ? (
                <Word small onClick={() => (store.recovery.part.value = { kind: 'corrections', crew })}>
                  Changes<span class="said"> for {crew}</span>
                </Word>
              ) : null}
              {holds.kind === 'current' ? null : (
                <Act
                  small
                  disabled={store.past.value}
                  title={
                    store.past.value
                      ? 'A past moment is looked at'
                      : `Logs that ${crew} read back version ${number}, page ${identity}`
                  }
                  onClick={() => void acknowledge(store, { crew, version: number, identity })}
                >
                  Acknowledged<span class="said"> by {crew}</span>
                </Act>
              )}
            </li>
          );
        })}
      </ul>
    </section>
  );
}

const keyOf = (part: BriefPart): string => ('crew' in part ? `${part.kind}/${part.crew}` : part.kind);

function partsOf(brief: Brief, changes: readonly CrewChanges[]): { readonly part: BriefPart; readonly text: string }[] {
  return [
    { part: { kind: 'sheet' }, text: 'Sheet for all crews' },
    { part: { kind: 'radio' }, text: 'Radio brief, to be read aloud' },
    ...brief.crews.map(({ crew }) => ({ part: { kind: 'crew', crew } as const, text: `Page of ${crew}` })),
    ...changes.map(({ crew, marks }) => ({
      part: { kind: 'corrections', crew } as const,
      text: `${crew}: changed since ${marks.since}`,
    })),
  ];
}

interface ReadingProps {
  readonly store: Store;
  readonly brief: Brief;
  readonly changes: readonly CrewChanges[];
}

function Reading({ store, brief, changes }: ReadingProps): JSX.Element {
  const parts = partsOf(brief, changes);
  const asked = keyOf(store.recovery.part.value);
  const shown = parts.find(({ part }) => keyOf(part) === asked) ?? parts[0];
  const part: BriefPart = shown?.part ?? { kind: 'sheet' };
  return (
    <section aria-label="The brief’s text">
      <Choice
        field="brief.part"
        label="Read"
        wide
        value={keyOf(part)}
        choices={parts.map((one) => ({ value: keyOf(one.part), text: one.text }))}
        apply={(key) => {
          const chosen = parts.find((one) => keyOf(one.part) === key);
          if (chosen !== undefined) store.recovery.part.value = chosen.part;
        }}
      />
      <Part brief={brief} part={part} changes={changes} />
    </section>
  );
}

function Part({
  brief,
  part,
  changes,
}: Omit<ReadingProps, 'store'> & { readonly part: BriefPart }): JSX.Element | null {
  const own = 'crew' in part ? changes.find((one) => one.crew === part.crew) : undefined;
  if (part.kind === 'sheet') return <Sections sections={brief.sections} marks={null} />;
  if (part.kind === 'radio') return <RadioText lines={brief.radio} />;
  if (part.kind === 'corrections') return own === undefined ? null : <ChangeList changes={own} />;
  const page = brief.crews.find((one) => one.crew === part.crew);
  if (page === undefined) return null;
  const marks: Marks | null = own?.marks ?? null;
  return (
    <div class="brief-text">
      <p class="small quiet">
        {page.subtitle}. Read in {Math.round(readingTime_s(wordsToRead(page.sections)))} s.
        {marks === null ? '' : ` A bar marks what changed since ${marks.since}.`}
      </p>
      <Sections sections={page.nineLine === null ? page.sections : [...page.sections, page.nineLine]} marks={marks} />
    </div>
  );
}
