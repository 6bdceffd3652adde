// The word of the moment that is shown, by a worker of its own: a rough one first, then the word of the full sample,
// then what would change it.
import { computed } from '@preact/signals';
import type { AdvisedBeside } from '../../core/advice/advise.ts';
import type { WhatIf } from '../../core/advice/whatIf.ts';
import { BRIEF_OPTIONS } from '../../core/brief/source.ts';
import type { WorkerLike } from '../../core/work/pool.ts';
import type { Ask } from '../../core/work/work.ts';
import { newerThan } from '../state/derived/asked.ts';
import type { Store } from '../state/derived/store.ts';
import type { Found, MomentAsked } from '../state/stored/decision.ts';
import { eachMoment, LatestByWorker, type Analyst, type AnswerOf } from './analyst.ts';
import { lateness, type Lateness } from './lateness.ts';

/** Sample of the first word and of the one that stays: the brief says the latter. */
const ROUGH = 400;
export const FULL = BRIEF_OPTIONS.members;

interface Question {
  readonly asked: MomentAsked;
  readonly whatIf: WhatIf | null;
}

interface Word {
  readonly kind: 'word';
  readonly answer: AnswerOf<'advice'>;
  readonly rough: boolean;
}

type Finding =
  | { readonly kind: 'known' }
  | Word
  | { readonly kind: 'what if'; readonly answer: AnswerOf<'advice'>; readonly asked: WhatIf }
  | AnswerOf<'edges'>;

async function* findings(analyst: Analyst, { asked, whatIf }: Question): AsyncGenerator<Finding> {
  analyst.turnTo(asked);
  // A word of this moment stands already: whatever else is asked may be left for something newer.
  if (analyst.knows('word')) yield { kind: 'known' };
  const word = (members: number, beside: AdvisedBeside): Ask => ({ kind: 'advice', members, beside, whatIf: null });
  const rough = await analyst.once('word', word(ROUGH, 'few'), 'advice');
  if (rough !== null) yield { kind: 'word', answer: rough, rough: true };
  const full = await analyst.once('full', word(FULL, 'all'), 'advice');
  if (full !== null) yield { kind: 'word', answer: full, rough: false };
  if (whatIf !== null) {
    const answer = await analyst.ask({ kind: 'advice', members: FULL, beside: 'all', whatIf }, 'advice');
    if (answer !== null) yield { kind: 'what if', answer, asked: whatIf };
  }
  const edges = await analyst.once('edges', { kind: 'edges', members: FULL }, 'edges');
  if (edges !== null) yield edges;
}

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
function taker({ decision, momentAsked }: Store, late: Lateness<MomentAsked>, changed: Changed) {
  let full: Found | null = null;
  const takeWord = ({ answer: { stamp, answer }, rough }: Word, asked: MomentAsked): void => {
    late.answered(asked);
    const found = { asked, stamp, answer, rough };
    if (!rough || !saysTheSame(decision.found.peek(), found)) decision.found.value = found;
    // Now is compared with the last now: not with a past moment that was looked at, nor with an answer that a newer
    // report or edit has overtaken, whose change would be taken for its own.
    if (rough || asked.past || asked !== momentAsked.peek()) return;
    changed(full?.asked.path === asked.path ? full : null, found);
    full = found;
  };
  return (finding: Finding, { asked }: Question): void => {
    decision.trouble.value = null;
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
    }
  };
}

/** Runs until its answer is called. */
export function watchWord(store: Store, makeWorker: () => WorkerLike, changed: Changed): () => void {
  const { decision } = store;
  const late = lateness<MomentAsked>((is) => (decision.late.value = is));
  const asking = new LatestByWorker<Question, Finding>(makeWorker, findings, {
    answer: taker(store, late, changed),
    fault: (why) => (decision.trouble.value = why),
  });
  const endWaiting = eachMoment(store.momentAsked, {
    forget: () => {
      decision.found.value = null;
      decision.edges.value = null;
      decision.trouble.value = null;
    },
    asked: (moment) => late.asked(moment),
    nothing: () => late.nothing(),
  });
  const whatIf = computed(() => decision.whatIf.value?.asked ?? null);
  const endAsking = asking.follow(() => {
    const asked = store.momentAsked.value;
    return asked === null ? null : { asked, whatIf: whatIf.value };
  });
  return () => {
    endWaiting();
    endAsking();
    late.nothing();
  };
}
