// Cases, crews and brief of the moment that is shown, by a worker of its own. The brief says the word that the other
// worker found, and waits for it.
import { computed, effect } from '@preact/signals';
import { BRIEF_OPTIONS, type WordSaid } from '../../core/brief/source.ts';
import { DEBRIEF_MEMBERS, type Debrief } from '../../core/debrief/debrief.ts';
import type { WorkerLike } from '../../core/work/pool.ts';
import type { Store } from '../state/derived/store.ts';
import type { MomentAsked } from '../state/stored/decision.ts';
import { Analyst, eachMoment, LatestByWorker, type AnswerOf } from './analyst.ts';
import { Latest } from './latest.ts';

/** Drawn descents in the case as planned: as many as the brief of the command line draws, so that both say the same. */
const members = BRIEF_OPTIONS.caseMembers;

interface Question {
  readonly asked: MomentAsked;
  /** Null: no brief is wanted, or its word is not known yet. */
  readonly said: WordSaid | null;
}

type Finding = { readonly kind: 'known' } | AnswerOf<'recovery'> | AnswerOf<'brief'> | AnswerOf<'brief changes'>;

async function* findings(analyst: Analyst, { asked, said }: Question): AsyncGenerator<Finding> {
  analyst.turnTo(asked);
  // A board of this moment stands already: whatever else is asked may be left for something newer.
  if (analyst.knows('recovery')) yield { kind: 'known' };
  const recovery = await analyst.once('recovery', { kind: 'recovery', members }, 'recovery');
  if (recovery !== null) yield recovery;
  if (said === null) return;
  const written = await analyst.once('brief', { kind: 'brief', members, said }, 'brief');
  if (written === null) return;
  yield written;
  const held = written.answer.held.filter((one) => one.holds.kind === 'behind');
  if (held.length === 0) return;
  const changes = await analyst.ask({ kind: 'brief changes', members, held }, 'brief changes');
  if (changes !== null) yield changes;
}

const FLYING = 'Flying the cases and placing the crews…';
const WRITING = 'Writing the brief…';
const COMPARING = 'Comparing it with what the crews hold…';

/** Puts what is found into the store. */
function take({ recovery }: Store, finding: Finding, asked: MomentAsked): void {
  recovery.trouble.value = null;
  switch (finding.kind) {
    case 'known':
      return;
    case 'recovery':
      recovery.answer.value = finding.answer;
      recovery.answered.value = asked;
      recovery.tried.value = null;
      recovery.working.value = null;
      return;
    case 'brief':
      recovery.brief.value = finding.answer;
      recovery.changes.value = [];
      recovery.writing.value = COMPARING;
      return;
    case 'brief changes':
      recovery.changes.value = finding.changes;
  }
}

/** The word of a moment with what would change it; null until both are known. */
function saidOf({ found, edges }: Store['decision'], asked: MomentAsked): WordSaid | null {
  const [word, changes] = [found.value, edges.value];
  if (word === null || word.rough || word.asked !== asked || changes?.asked !== asked) return null;
  return { advice: word.answer.advice, edges: changes.edges };
}

/** Runs until its answer is called. */
export function watchCrews(store: Store, makeWorker: () => WorkerLike): () => void {
  const { decision, recovery, view } = store;
  const briefWanted = computed(() => view.panel.value === 'Brief' || store.floating.value === 'pages');
  const asking = new LatestByWorker<Question, Finding>(makeWorker, findings, {
    answer: (finding, { asked }) => take(store, finding, asked),
    done: ({ said }) => (recovery.writing.value = said === null && briefWanted.peek() ? WRITING : null),
    fault: (why) => {
      recovery.trouble.value = why;
      recovery.working.value = null;
      recovery.writing.value = null;
    },
  });
  const endWaiting = eachMoment(store.momentAsked, {
    forget: () => forget(store),
    asked: () => (recovery.working.value = FLYING),
    nothing: () => (recovery.working.value = null),
  });
  const question = computed((): Question | null => {
    const asked = store.momentAsked.value;
    return asked === null ? null : { asked, said: briefWanted.value ? saidOf(decision, asked) : null };
  });
  const endAsking = asking.follow(() => question.value);
  const endTrying = watchTrying(store, asking);
  recovery.files.value = async (wanted) => {
    const answer = await asking.analyst.ask({ kind: 'brief file', wanted }, 'brief file');
    if (answer === null) throw new Error('the plan changed meanwhile');
    return answer.file;
  };
  recovery.debrief.value = () => debriefOf(store, new Analyst(makeWorker()));
  return () => {
    endWaiting();
    endTrying();
    endAsking();
    recovery.files.value = null;
    recovery.debrief.value = null;
  };
}

/** By a worker of its own, so that neither the word nor time that goes on ends it. */
async function debriefOf(store: Store, own: Analyst): Promise<Debrief | null> {
  try {
    const asked = store.momentAsked.peek();
    if (asked === null) return null;
    own.turnTo(asked);
    return (await own.ask({ kind: 'debrief', members: DEBRIEF_MEMBERS }, 'debrief'))?.debrief ?? null;
  } finally {
    own.end();
  }
}

function forget({ recovery }: Store): void {
  recovery.trouble.value = null;
  recovery.answer.value = null;
  recovery.answered.value = null;
  recovery.brief.value = null;
  recovery.changes.value = [];
  recovery.tried.value = null;
}

/** Of the places that a crew is dragged over while one is asked about, the last is asked next. */
function watchTrying({ recovery }: Store, asking: LatestByWorker<Question, Finding>): () => void {
  type Trying = NonNullable<typeof recovery.trying.value>;
  const latest = new Latest<Trying, AnswerOf<'crew times'>>(
    async function* (asked) {
      const answer = await asking.analyst.ask({ kind: 'crew times', ...asked }, 'crew times');
      if (answer !== null) yield answer;
    },
    {
      answer: ({ times }, asked) => {
        recovery.tried.value = { ...asked, times };
      },
      // Its answer comes with the next board.
      fault: () => {},
    },
  );
  return effect(() => latest.want(recovery.trying.value));
}
