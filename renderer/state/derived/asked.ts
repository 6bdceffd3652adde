// What the workers are asked, and whether what they answered is of now.
import { computed, type ReadonlySignal } from '@preact/signals';
import type { LogEvent } from '../../../core/log/events.ts';
import { heardOf } from '../../../core/log/fold.ts';
import type { AdviceAnswer } from '../../../core/work/work.ts';
import type { Decision, LogTrouble, MomentAsked, SpreadAsked } from '../stored/decision.ts';
import type { Derived, Given } from './graph.ts';
import { steady } from './parts.ts';

/** One seed for the window, as on the command line: the same mission gives the same picture. */
export const SEED = 1;

export type Verdict =
  | { readonly kind: 'none' }
  /** `rough`: of few drawn descents, a better one is on its way. */
  | { readonly kind: 'current'; readonly answer: AdviceAnswer; readonly rough: boolean }
  /** `newer`: what came since the last answer, "1 newer report"; null: there is no answer yet. */
  | { readonly kind: 'checking'; readonly newer: string | null }
  /** No word can be given, and that is a hold. */
  | { readonly kind: 'hold'; readonly why: string };

export interface Asked {
  readonly spreadAsked: ReadonlySignal<SpreadAsked | null>;
  readonly momentAsked: ReadonlySignal<MomentAsked | null>;
  readonly verdict: ReadonlySignal<Verdict>;
}

export function askedFrom(
  given: Given & {
    readonly path: ReadonlySignal<string | null>;
    readonly amiss: ReadonlySignal<string | null>;
    /** Why the crews cannot be worked out; null: they can. */
    readonly crewsTrouble: ReadonlySignal<string | null>;
  },
  derived: Derived,
  decision: Decision,
): Asked {
  const { parts, mission, expected, forecastWorld, shown_s, past } = derived;
  const spreadAsked = steady((): SpreadAsked | null => {
    const now = expected.value;
    if (parts.value === null || now === null) return null;
    const { outlook, spread } = now;
    const setup = { scenario: outlook.scenario, error: outlook.error, spread, seed: SEED };
    return { setup, zones: parts.value.landingZones ?? [], hazards: parts.value.hazards ?? [] };
  });
  const momentAsked = computed((): MomentAsked | null => {
    const beside = given.beside.value;
    const of = { path: given.path.value, mission: mission.value, world: forecastWorld.value };
    if (of.path === null || of.mission === null || of.world === null || beside === null) return null;
    return {
      path: of.path,
      mission: of.mission,
      log: given.log.value,
      at_s: shown_s.value,
      world: of.world,
      roads: beside.roads,
      past: past.value,
    };
  });
  const verdict = computed(() => verdictOf(momentAsked.value, decision, given.amiss.value, given.crewsTrouble.value));
  return { spreadAsked, momentAsked, verdict };
}

function verdictOf(
  asked: MomentAsked | null,
  { found, late, trouble, fault }: Decision,
  amiss: string | null,
  crewsTrouble: string | null,
): Verdict {
  if (asked === null) return { kind: 'none' };
  if (fault.value !== null) return { kind: 'hold', why: fault.value };
  if (amiss !== null) return { kind: 'hold', why: amiss };
  if (trouble.value !== null) return { kind: 'hold', why: `The advice could not be worked out: ${trouble.value}` };
  if (crewsTrouble !== null) return { kind: 'hold', why: `The crews could not be worked out: ${crewsTrouble}` };
  // A call that was said or an alert that was silenced changes no word.
  const still = found.value !== null && holdsStill(found.value.asked, asked);
  const newer = found.value === null || still ? null : newerThan(found.value.asked, asked);
  if (found.value !== null && newer === null && !late.value)
    return { kind: 'current', answer: found.value.answer, rough: found.value.rough };
  if (!late.value) return { kind: 'checking', newer };
  const since = newer === null ? '' : `, ${newer}`;
  return { kind: 'hold', why: `The advice is not current: no answer for 3 s${since}.` };
}

/** What there is now that an answer does not know; null: nothing but time that went on. */
export function newerThan(before: MomentAsked, now: MomentAsked): string | null {
  const known = before.log.at(-1)?.seq ?? -1;
  const fresh = now.log.filter(({ seq }) => seq > known).length;
  if (before.log !== now.log && fresh > 0) return `${fresh} newer ${fresh === 1 ? 'report' : 'reports'}`;
  if (before.mission !== now.mission) return 'the plan was edited';
  if (before.world !== now.world) return 'the winds were changed';
  if (before.log !== now.log || before.path !== now.path || before.roads !== now.roads) return 'another mission';
  // Time that goes on is nothing newer; another moment that is looked at is.
  return (before.past || now.past) && before.at_s !== now.at_s ? 'another moment is looked at' : null;
}

/** What is logged of it changes no landing and no crew. */
const changesNothing = ({ kind }: LogEvent): boolean => kind === 'call' || kind === 'silence';

/** Whether an answer about one moment holds at another: between them the log took nothing that changes it. */
export function holdsStill(before: MomentAsked, now: MomentAsked): boolean {
  const heard = heardOf(before.log, now.log);
  const goesOn = heard === before.log.length && now.log.slice(heard).every(changesNothing);
  return newerThan(before, goesOn ? { ...now, log: before.log } : now) === null;
}

/** What is wrong now, beside what was found in the files: why the word is held, and what was done to the log. */
export function wrongNow(verdict: Verdict, logTroubles: readonly LogTrouble[]): readonly string[] {
  const held = verdict.kind === 'hold' && !logTroubles.some(({ text }) => text.startsWith(verdict.why));
  return [...(held ? [verdict.why] : []), ...logTroubles.map(({ text }) => text)];
}

/** Why no word stands: never the word that was. */
export function missingWords(verdict: Verdict): string {
  if (verdict.kind === 'hold') return verdict.why;
  if (verdict.kind === 'checking' && verdict.newer !== null) return `Not current: ${verdict.newer}.`;
  return 'The advice is being worked out…';
}
