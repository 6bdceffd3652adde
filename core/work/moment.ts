// A mission at a moment, worked out once for every question about it: the log is folded and its winds are analysed
// once, the advice is worked out once for a size of sample, and the brief is written from the recovery that the crews'
// board shows. Times s since 1970.
import { adviseInSteps, type Advised, type AdvisedBeside } from '../advice/advise.ts';
import { edgesInSteps, type Edge } from '../advice/edges.ts';
import { whatIf, type WhatIf } from '../advice/whatIf.ts';
import type { Steps } from '../base/steps.ts';
import { BRIEF_OPTIONS, sourceInSteps, type SourceMade, type WordSaid } from '../brief/source.ts';
import { debriefInSteps, type Debrief } from '../debrief/debrief.ts';
import type { World } from '../descent/scenario.ts';
import type { LogEvent } from '../log/events.ts';
import { Folding } from '../log/fold.ts';
import { roadLines } from '../formats/areas/areas.ts';
import { carrierOf } from '../mission/cases.ts';
import { expectedOf, type Expected } from '../mission/expected.ts';
import { situationOf, type Situation } from '../mission/situation.ts';
import type { Mission } from '../plan/schema.ts';
import { recoveryInSteps, type Recovery } from '../recovery/recovery.ts';

/** What an answer was made for: the newest event in the log, which reading of the plan, and the moment. */
export interface Stamp {
  /** Number of the moment, given by the asker: grows with each. */
  readonly moment: number;
  /** Number of the log's newest event; −1 of an empty log. */
  readonly seq: number;
  /** Grows with each plan that the asker has asked about. */
  readonly plan: number;
  readonly at_s: number;
}

export interface MomentOf {
  readonly stamp: Stamp;
  readonly mission: Mission;
  readonly log: readonly LogEvent[];
  /** The forecast's, without reports. */
  readonly world: World;
  /** GeoJSON of the mission's roads as it was loaded, unchecked; null without any. */
  readonly roads: unknown;
  readonly seed: number;
}

export class Moment {
  readonly of: MomentOf;
  readonly situation: Situation;
  #expected: Expected | null = null;
  readonly #advised = new Map<string, Advised>();
  readonly #recovered = new Map<number, Recovery>();
  readonly #edges = new Map<number, readonly Edge[]>();
  readonly #written = new Map<number, SourceMade>();

  /** `folding`: of whoever asks about one moment after another. */
  constructor(of: MomentOf, folding = new Folding()) {
    this.of = of;
    this.situation = situationOf(of.mission, folding.at(of.mission, of.log, of.stamp.at_s), of.world);
  }

  get expected(): Expected {
    return (this.#expected ??= expectedOf(this.situation));
  }

  /** `change`: a wind that is only asked about; null: the winds as they are known. */
  *advised(members: number, change: WhatIf | null = null, beside: AdvisedBeside = 'all'): Steps<Advised> {
    const key = `${members} ${beside} ${change?.surface_mps ?? 'as known'}`;
    const known = this.#advised.get(key);
    if (known !== undefined) return known;
    const { seed, roads } = this.of;
    const situation = change === null ? this.situation : whatIf(this.situation, change);
    const expected = change === null ? this.expected : expectedOf(situation);
    const found = yield* adviseInSteps(situation, { seed, members, beside, roads: roadLines(roads), expected });
    this.#advised.set(key, found);
    return found;
  }

  /** `members`: of the advice whose word they are about. As many as the brief looks for, so that both share them. */
  *edges(members: number): Steps<readonly Edge[]> {
    const known = this.#edges.get(members);
    if (known !== undefined) return known;
    const { seed, roads } = this.of;
    const advised = yield* this.advised(members);
    const most = BRIEF_OPTIONS.edges;
    const found = yield* edgesInSteps(this.situation, advised, { seed, roads: roadLines(roads), most });
    this.#edges.set(members, found);
    return found;
  }

  /** `members`: drawn descents of the case as planned (`membersBeside`). */
  *recovered(members: number): Steps<Recovery> {
    const known = this.#recovered.get(members);
    if (known !== undefined) return known;
    const { seed, roads } = this.of;
    const flown = { planned: this.expected.planned, carrier: carrierOf(this.situation) };
    const found = yield* recoveryInSteps(this.situation, flown, { members, seed, roads });
    this.#recovered.set(members, found);
    return found;
  }

  /** What became of the descent; null before the log has its touchdown. */
  *debrief(members: number): Steps<Debrief | null> {
    const { mission, log, world, roads, seed } = this.of;
    return yield* debriefInSteps({ mission, log, world, roads: roadLines(roads) }, { members, seed });
  }

  /** What a brief says; `caseMembers` as in `recovered`. `said`: the word of this moment, where it is known already. */
  *source(caseMembers: number, said: WordSaid | null): Steps<SourceMade> {
    const known = this.#written.get(caseMembers);
    if (known !== undefined) return known;
    const { advice, edges } = said ?? (yield* this.#said(BRIEF_OPTIONS.members));
    const { outlook, planned } = this.expected;
    const advised = { advice, outlook, planned };
    const recovery = yield* this.recovered(caseMembers);
    const found = yield* sourceInSteps(this.situation, this.of.log, { advised, recovery, edges });
    this.#written.set(caseMembers, found);
    return found;
  }

  *#said(members: number): Steps<WordSaid> {
    const { advice } = yield* this.advised(members);
    return { advice, edges: yield* this.edges(members) };
  }
}
