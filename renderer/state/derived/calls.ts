// What is to be said at the moment that is looked at: the core's calls of what the window knows of it. What is being
// worked out again is a sentence, unless nothing came in since but calls themselves and silenced alerts, which change
// no landing and no crew.
import { computed, type ReadonlySignal } from '@preact/signals';
import type { Advice } from '../../../core/advice/advise.ts';
import { callsAt, type CallsNow } from '../../../core/live/calls.ts';
import type { CallMoment } from '../../../core/live/callOffers.ts';
import { zoneSteeredFor } from '../../../core/descent/scenario.ts';
import { declination_deg } from '../../../core/earth/declination.ts';
import { holdsStill, missingWords, type Verdict } from './asked.ts';
import type { Store } from './store.ts';

/** The strip's sentence within another one. */
function whyNoWord(verdict: Verdict): string {
  const words = missingWords(verdict).replace(/[.…]$/, '');
  return words.charAt(0).toLowerCase() + words.slice(1);
}

/** A GO that is read aloud cannot be taken back by the full sample a second later. */
const unlessRough = (advice: Advice, rough: boolean): CallMoment['advice'] =>
  rough && advice.word === 'GO' ? 'the word is still of few descents' : advice;

function adviceOf({ verdict, decision, momentAsked }: Store): CallMoment['advice'] {
  const now = verdict.value;
  const found = decision.found.value;
  if (now.kind === 'current') return unlessRough(now.answer.advice, now.rough);
  // That no answer came yet is no word; any other reason to hold is one to be said.
  if (decision.late.value) return whyNoWord(now);
  if (now.kind === 'hold') return { word: 'HOLD', because: [] };
  const asked = momentAsked.value;
  if (found !== null && asked !== null && holdsStill(found.asked, asked))
    return unlessRough(found.answer.advice, found.rough);
  return whyNoWord(now);
}

function crewsOf({ recovery, momentAsked }: Store): CallMoment['crews'] {
  const answer = recovery.answer.value;
  const of = recovery.answered.value;
  const asked = momentAsked.value;
  if (recovery.trouble.value !== null) return `the crews could not be worked out (${recovery.trouble.value})`;
  if (answer === null || of === null || asked === null || !holdsStill(of, asked))
    return 'the crews are being worked out';
  return { at_s: answer.at_s, orders: answer.crews, margin_m: answer.margin_m };
}

/** Null while no mission is open. `at_s`: s since 1970. */
export function callsOf(store: Store, at_s: number): CallsNow | null {
  const situation = store.situation.value;
  const expected = store.expected.value;
  if (situation === null || expected === null) return null;
  const { site } = situation.mission;
  return callsAt({
    situation,
    expected,
    at_s: Math.max(at_s, situation.at_s),
    zone: zoneSteeredFor(situation.mission),
    advice: adviceOf(store),
    crews: crewsOf(store),
    declination: declination_deg(site.position, site.elevation_m, situation.at_s),
    units: store.units.value,
  });
}

/** At the second that is looked at. */
export const callsNow = (store: Store): CallsNow | null =>
  callsOf(store, (store.moment_ms.value ?? store.now_ms.value) / 1000);

/** How many calls must be corrected: by the minute and with each event, for the tab. Nothing said is nothing wrong. */
export const correctionsDue = (store: Store): ReadonlySignal<number> =>
  computed(() => {
    const calls = store.situation.value?.state.calls ?? [];
    if (calls.every(({ key }) => key === undefined)) return 0;
    const now = callsOf(store, store.shown_s.value);
    return now?.ready.filter(({ readBack }) => readBack !== null).length ?? 0;
  });
