// Advice, crews and brief of the moment that is shown, worked out by one worker that folds its log and analyses its
// winds once: a rough word first, then the crews, then the word of the full sample, and the brief where it is read,
// else what would change the word.
import { computed, effect } from '@preact/signals';
import { BRIEF_OPTIONS } from '../../core/brief/source.ts';
import { DEBRIEF_MEMBERS, type Debrief } from '../../core/debrief/debrief.ts';
import type { AdvisedBeside } from '../../core/advice/advise.ts';
import type { WhatIf } from '../../core/advice/whatIf.ts';
import type { MomentOf } from '../../core/work/moment.ts';
import { MomentNews } from '../../core/work/momentNews.ts';
import type { WorkerLike } from '../../core/work/pool.ts';
import { answerOf, type Answer, type Ask } from '../../core/work/work.ts';
import { newerThan, SEED } from '../state/derived/asked.ts';
import type { Store } from '../state/derived/store.ts';
import type { Found, MomentAsked } from '../state/stored/decision.ts';
import { lateness, type Lateness } from './lateness.ts';
import { Latest } from './latest.ts';

/** Sample of the first word and of the one that stays. */
export const ROUGH = 400;
export const FULL = BRIEF_OPTIONS.members;
/** Drawn descents in the case as planned: as many as the brief of the command line draws, so that both say the same. */
export const CASE_MEMBERS = BRIEF_OPTIONS.caseMembers;

interface Question {
  readonly asked: MomentAsked;
  readonly whatIf: WhatIf | null;
  readonly brief: boolean;
}

type Kind = 'advice' | 'edges' | 'recovery' | 'brief' | 'brief changes';
type Of<K extends Answer['kind']> = Extract<Answer, { kind: K }>;

/** One worker, what it was told, and which answers of the moment it was told last are known. */
class Analyst {
  readonly #worker: WorkerLike;
  readonly #news = new MomentNews();
  readonly known = new Set<string>();
  #of: MomentOf | null = null;
  #asked: MomentAsked | null = null;
  #moments = 0;
  #plans = 0;

  constructor(worker: WorkerLike) {
    this.#worker = worker;
  }

  /** Tells the worker of a moment; all that is asked from now on is of it. */
  turnTo(asked: MomentAsked): void {
    if (asked === this.#asked) return;
    if (asked.mission !== this.#asked?.mission) this.#plans += 1;
    this.#asked = asked;
    this.known.clear();
    const { mission, log, at_s, world, roads } = asked;
    this.#moments += 1;
    const stamp = { moment: this.#moments, seq: log.at(-1)?.seq ?? -1, plan: this.#plans, at_s };
    this.#of = { stamp, mission, log, world, roads, seed: SEED };
    // A worker that is gone says so at the question that follows.
    for (const ask of this.#news.tell(this.#of)) void this.#worker.ask(ask).catch(() => {});
  }

  /** Null where a stop came before the answer. */
  async ask<K extends Answer['kind']>(question: Ask, kind: K): Promise<Of<K> | null> {
    const moment = this.#of?.stamp.moment;
    const answer = await this.#worker.ask(question);
    if (answer.kind === 'stopped') return null;
    const found = answerOf(answer, kind);
    if ('stamp' in found && found.stamp.moment !== moment) throw new Error('a worker answered for another moment');
    return found;
  }

  stop(): void {
    void this.#worker.ask({ kind: 'stop' }).catch(() => {});
  }

  end(): void {
    this.#worker.terminate();
  }
}

interface Word {
  readonly kind: 'word';
  readonly answer: Of<'advice'>;
  readonly rough: boolean;
}

type Finding =
  | { readonly kind: 'known' }
  | Word
  | { readonly kind: 'what if'; readonly answer: Of<'advice'>; readonly asked: WhatIf }
  | Of<'edges'>
  | Of<'recovery'>
  | Of<'brief'>
  | Of<'brief changes'>;

async function* findings(analyst: Analyst, { asked, whatIf, brief }: Question): AsyncGenerator<Finding> {
  analyst.turnTo(asked);
  const { known } = analyst;
  // A word of this moment stands already: whatever else is asked may be left for something newer.
  if (known.has('word')) yield { kind: 'known' };
  const word = async (members: number, beside: AdvisedBeside): Promise<Of<'advice'> | null> =>
    analyst.ask({ kind: 'advice', members, beside, whatIf: null }, 'advice');
  const once = async <T>(name: string, ask: () => Promise<T | null>): Promise<T | null> => {
    const answer = known.has(name) ? null : await ask();
    if (answer !== null) known.add(name);
    return answer;
  };
  const rough = await once('word', () => word(ROUGH, 'few'));
  if (rough !== null) yield { kind: 'word', answer: rough, rough: true };
  const members = CASE_MEMBERS;
  const recovery = await once('recovery', () => analyst.ask({ kind: 'recovery', members }, 'recovery'));
  if (recovery !== null) yield recovery;
  const full = await once('full', () => word(FULL, 'all'));
  if (full !== null) yield { kind: 'word', answer: full, rough: false };
  if (whatIf !== null) {
    const answer = await analyst.ask({ kind: 'advice', members: FULL, beside: 'all', whatIf }, 'advice');
    if (answer !== null) yield { kind: 'what if', answer, asked: whatIf };
  }
  if (!brief) {
    const edges = await once('edges', () => analyst.ask({ kind: 'edges', members: FULL }, 'edges'));
    if (edges !== null) yield edges;
    return;
  }
  const written = await once('brief', () => analyst.ask({ kind: 'brief', members }, 'brief'));
  if (written === null) return;
  yield written;
  const held = written.answer.held.filter((one) => one.holds.kind === 'behind');
  if (held.length === 0) return;
  const changes = await analyst.ask({ kind: 'brief changes', members, held }, 'brief changes');
  if (changes !== null) yield changes;
}

/** What is being worked out once an answer of a kind has come. */
const NEXT: Readonly<Record<Kind, string | null>> = {
  advice: 'Flying the cases and placing the crews…',
  edges: null,
  recovery: null,
  brief: 'Comparing it with what the crews hold…',
  'brief changes': null,
};

/** Told of each full word of now with the full one before it. */
type Changed = (before: Found | null, now: Found) => void;

/**
 * Whether a rough word says what the full word of a minute ago says, with nothing newer known: the full one stands on,
 * or strip and screen reader would tell of a change each minute.
 */
function saysTheSame(before: Found | null, now: Found): boolean {
  if (before === null || before.rough || newerThan(before.asked, now.asked) !== null) return false;
  const says = ({ answer: { advice } }: Found): string => {
    const stopping = advice.limits.filter(({ state }) => state === 'broken' || state === 'not given');
    return [advice.word, ...stopping.map(({ limit }) => limit.name)].join();
  };
  return says(before) === says(now);
}

/** Puts what is found into the store. */
function taker({ decision, recovery }: Store, late: Lateness<MomentAsked>, brief: () => boolean, changed: Changed) {
  let full: Found | null = null;
  const takeWord = ({ answer: { stamp, answer }, rough }: Word, asked: MomentAsked): void => {
    late.answered(asked);
    const found = { asked, stamp, answer, rough };
    if (!rough || !saysTheSame(decision.found.peek(), found)) decision.found.value = found;
    if (rough) recovery.working.value = NEXT.advice;
    // What was known at a past moment that is looked at is not a change: now is compared with the last now.
    if (rough || asked.past) return;
    changed(full?.asked.path === asked.path ? full : null, found);
    full = found;
  };
  return (finding: Finding, { asked }: Question): void => {
    decision.trouble.value = null;
    recovery.trouble.value = null;
    switch (finding.kind) {
      case 'known':
        return;
      case 'word':
        return takeWord(finding, asked);
      case 'what if':
        if (decision.whatIf.peek()?.asked === finding.asked)
          decision.whatIf.value = { asked: finding.asked, answer: finding.answer.answer };
        return;
      case 'edges':
        decision.edges.value = { asked, edges: finding.edges };
        return;
      case 'recovery':
        recovery.answer.value = finding.answer;
        recovery.answered.value = asked;
        recovery.tried.value = null;
        recovery.working.value = null;
        recovery.writing.value = brief() ? 'Writing the brief…' : null;
        return;
      case 'brief':
        recovery.brief.value = finding.answer;
        recovery.changes.value = [];
        recovery.writing.value = NEXT.brief;
        return;
      case 'brief changes':
        recovery.changes.value = finding.changes;
    }
  };
}

/** Runs until its answer is called. */
export function watchMoment(store: Store, makeWorker: () => WorkerLike, changed: Changed): () => void {
  const { decision, recovery, view } = store;
  let analyst = new Analyst(makeWorker());
  const late = lateness<MomentAsked>((is) => (decision.late.value = is));
  const whatIf = computed(() => decision.whatIf.value?.asked ?? null);
  const briefWanted = computed(() => view.panel.value === 'Brief' || store.floating.value === 'pages');
  const fault = (why: string): void => {
    analyst.end();
    analyst = new Analyst(makeWorker());
    decision.trouble.value = why;
    recovery.trouble.value = why;
    recovery.working.value = null;
    recovery.writing.value = null;
  };
  const latest = new Latest<Question, Finding>(
    (question) => findings(analyst, question),
    {
      answer: taker(store, late, () => briefWanted.peek(), changed),
      done: () => (recovery.writing.value = null),
      fault,
    },
    () => analyst.stop(),
  );
  let before: MomentAsked | null = null;
  const endAsking = effect(() => {
    const asked = store.momentAsked.value;
    if (asked === null || before?.path !== asked.path) forget(store);
    if (asked === null) {
      late.nothing();
      recovery.working.value = null;
    } else if (asked !== before) {
      late.asked(asked);
      recovery.working.value = 'Waiting for the advice…';
    }
    before = asked;
    latest.want(asked === null ? null : { asked, whatIf: whatIf.value, brief: briefWanted.value });
  });
  const endTrying = watchTrying(store, () => analyst);
  recovery.files.value = async (wanted) => {
    const answer = await analyst.ask({ kind: 'brief file', wanted }, 'brief file');
    if (answer === null) throw new Error('the plan changed meanwhile');
    return answer.file;
  };
  recovery.debrief.value = () => debriefOf(store, new Analyst(makeWorker()));
  return () => {
    endAsking();
    endTrying();
    recovery.files.value = null;
    recovery.debrief.value = null;
    latest.want(null);
    late.nothing();
    analyst.end();
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

/** Another mission's word and crews must not stand for a moment under this one's name. */
function forget({ decision, recovery }: Store): void {
  decision.found.value = null;
  decision.edges.value = null;
  decision.trouble.value = null;
  recovery.answer.value = null;
  recovery.answered.value = null;
  recovery.brief.value = null;
  recovery.changes.value = [];
  recovery.tried.value = null;
}

/** Of the places that a crew is dragged over while one is asked about, the last is asked next. */
function watchTrying({ recovery }: Store, analyst: () => Analyst): () => void {
  type Trying = NonNullable<typeof recovery.trying.value>;
  const latest = new Latest<Trying, Of<'crew times'>>(
    async function* (asked) {
      const answer = await analyst().ask({ kind: 'crew times', ...asked }, 'crew times');
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
