// Every case of a mission flown: prediction, sample and statistics side by side, for one table and one picture.
import { Ensemble, type Members } from '../descent/ensemble.ts';
import type { Outlook } from '../descent/outlook.ts';
import { statisticsOf, type LandingStatistics } from '../descent/statistics.ts';
import { toEnd, type Steps } from '../base/steps.ts';
import { carrierOf, caseEnsemble, readyCase, type FlightCase } from './cases.ts';
import type { Situation } from './situation.ts';

export type CaseOutlook =
  | {
      readonly kind: 'flown';
      readonly case: FlightCase;
      readonly outlook: Outlook;
      readonly members: Members;
      /** Null where no member reached the ground. */
      readonly statistics: LandingStatistics | null;
    }
  | { readonly kind: 'not flown'; readonly case: FlightCase; readonly why: string };

export type FlownCase = Extract<CaseOutlook, { kind: 'flown' }>;

export interface CaseOptions {
  /** Drawn descents of the case as planned; each other one has `membersBeside`. */
  readonly members: number;
  readonly seed: number;
}

/**
 * Each other case, and each other body, is drawn half as often as the case as planned: of 250 the axes of an ellipse
 * have a standard error of 4.5 % (1/√(2 n)), of 500 one of 3.2 %.
 */
export const membersBeside = (members: number): number => Math.ceil(members / 2);

/** Cost: a tenth to half a millisecond a member. */
export const caseOutlooks = (situation: Situation, cases: readonly FlightCase[], options: CaseOptions): CaseOutlook[] =>
  toEnd(casesInSteps(situation, cases, options));

export function* casesInSteps(
  situation: Situation,
  cases: readonly FlightCase[],
  options: CaseOptions,
): Steps<CaseOutlook[]> {
  const path = carrierOf(situation);
  const outlooks: CaseOutlook[] = [];
  for (const one of cases) {
    yield;
    const ready = readyCase(situation, one, path);
    if (ready.kind === 'not flown') {
      outlooks.push({ kind: 'not flown', case: one, why: ready.why });
      continue;
    }
    const { outlook, setup } = caseEnsemble(ready, options.seed);
    const count = one.kind === 'as planned' ? options.members : membersBeside(options.members);
    outlooks.push(flownCase(situation, one, outlook, yield* new Ensemble(setup).inSteps(count)));
  }
  return outlooks;
}

/** A case with the sample that some worker flew. */
export function flownCase({ mission }: Situation, one: FlightCase, outlook: Outlook, members: Members): FlownCase {
  const statistics = statisticsOf(members, mission.landingZones ?? [], mission.hazards ?? []);
  return { kind: 'flown', case: one, outlook, members, statistics };
}
