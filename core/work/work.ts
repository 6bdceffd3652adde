// Heavy work behind one message map: what a window's Web Workers and the command line's worker threads answer. Plain
// data crosses, results too by copy: the first buffer that a thread hands over makes V8 look, at every access to any
// typed array of that thread, whether it is still there, and a descent then takes a third longer. A bench keeps the
// world and the ensembles that it was told of, so that a chunk is a few numbers to ask for.
import type { Advice, AdvisedBeside } from '../advice/advise.ts';
import type { Edge } from '../advice/edges.ts';
import type { WhatIf } from '../advice/whatIf.ts';
import { When, type WhenAsked, type WhenHour } from '../advice/when.ts';
import { Air } from '../air/air.ts';
import type { WordSaid } from '../brief/source.ts';
import type { Debrief } from '../debrief/debrief.ts';
import type { CompiledBody } from '../descent/body.ts';
import type { CarrierPath } from '../descent/carrier.ts';
import { columnsOf, Ensemble, type EnsembleSetup } from '../descent/ensemble.ts';
import type { ExitState } from '../descent/flight.ts';
import type { Prediction } from '../descent/prediction.ts';
import type { World } from '../descent/scenario.ts';
import type { WindSensitivity } from '../descent/sensitivity.ts';
import type { Spread } from '../descent/spread.ts';
import type { WindError } from '../descent/windError.ts';
import { TerrainGrid } from '../earth/terrain.ts';
import type { LogEvent } from '../log/events.ts';
import { Folding } from '../log/fold.ts';
import { Moment, type MomentOf, type Stamp } from './moment.ts';
import { assert, never } from '../base/problem.ts';
import { toEnd, type Steps } from '../base/steps.ts';
import {
  RecoveryBench,
  type BriefAnswer,
  type BriefFile,
  type BriefFileAnswer,
  type CrewChanges,
  type CrewTimes,
  type Held,
  type RecoveryAnswer,
} from './recoveryWork.ts';
import type { LonLat } from '../base/units.ts';
import { packTerrain, unpackAir, unpackWorld, type WorldAsk } from './worldWork.ts';

export interface EnsembleJob {
  readonly ensemble: number;
  readonly world: number;
  readonly body: CompiledBody;
  readonly exit: ExitState;
  readonly error: WindError;
  readonly spread: Spread;
  readonly seed: number;
}

/** A moment of a mission, in the forecast of a world and with a log that were sent before; one is kept at a time. */
export interface MomentJob extends Omit<MomentOf, 'world' | 'log'> {
  readonly world: number;
}

/** Which hour: of a plan with the log sent before. `onTerrain`: it stands on the terrain that was sent last. */
export interface WhenJob extends Omit<WhenAsked, 'log' | 'terrain'> {
  readonly onTerrain: boolean;
}

/** What comes of it, without the sample itself. */
export interface AdviceAnswer {
  readonly advice: Advice;
  readonly prediction: Prediction;
  readonly carrier: CarrierPath | null;
  readonly sensitivity: WindSensitivity | null;
}

/** What can be asked. Numbers name worlds and ensembles; the asker gives them. */
export type Ask =
  | WorldAsk
  | { readonly kind: 'ensemble'; readonly job: EnsembleJob }
  | { readonly kind: 'members'; readonly ensemble: number; readonly first: number; readonly count: number }
  | { readonly kind: 'forget'; readonly ensemble: number }
  /** Events from the one at `from` on; those before it were sent before. */
  | { readonly kind: 'log'; readonly from: number; readonly events: readonly LogEvent[] }
  | { readonly kind: 'moment'; readonly job: MomentJob }
  /** Of the moment that was sent last. `whatIf`: a wind that is only asked about; null: the winds as they are known. */
  | {
      readonly kind: 'advice';
      readonly members: number;
      readonly beside: AdvisedBeside;
      readonly whatIf: WhatIf | null;
    }
  /** What would change the word. */
  | { readonly kind: 'edges'; readonly members: number }
  /** `members`: drawn descents of the case as planned (`membersBeside`). */
  | { readonly kind: 'recovery'; readonly members: number }
  /** `said`: the word of the moment and what would change it, where another worker has them; null: made here. */
  | { readonly kind: 'brief'; readonly members: number; readonly said: WordSaid | null }
  /** Of the brief that was asked for last. */
  | { readonly kind: 'brief changes'; readonly members: number; readonly held: readonly Held[] }
  /** Of the recovery that was asked for last. */
  | { readonly kind: 'crew times'; readonly crew: string; readonly position: LonLat }
  /** Whether anybody is there. */
  | { readonly kind: 'alive' }
  | { readonly kind: 'brief file'; readonly wanted: BriefFile }
  /** Of the moment's plan and its whole log, whatever the moment. */
  | { readonly kind: 'debrief'; readonly members: number }
  | { readonly kind: 'when'; readonly job: WhenJob }
  /** Of the plan that was asked about last. */
  | { readonly kind: 'when hours'; readonly hours_s: readonly number[] }
  /** Nobody waits any more for what was asked before; what must be known later is still heard (`served.ts`). */
  | { readonly kind: 'stop' };

export type Answer =
  | { readonly kind: 'done' }
  /** `columns`: see `columnsOf`. */
  | {
      readonly kind: 'members';
      readonly ensemble: number;
      readonly first: number;
      readonly count: number;
      readonly columns: Float64Array;
    }
  | { readonly kind: 'advice'; readonly stamp: Stamp; readonly answer: AdviceAnswer }
  | { readonly kind: 'edges'; readonly stamp: Stamp; readonly edges: readonly Edge[] }
  | { readonly kind: 'recovery'; readonly stamp: Stamp; readonly answer: RecoveryAnswer }
  | { readonly kind: 'crew times'; readonly times: CrewTimes | null }
  | { readonly kind: 'brief'; readonly stamp: Stamp; readonly answer: BriefAnswer }
  | { readonly kind: 'brief changes'; readonly changes: readonly CrewChanges[] }
  | { readonly kind: 'brief file'; readonly file: BriefFileAnswer }
  /** Null before the touchdown is in the log. */
  | { readonly kind: 'debrief'; readonly debrief: Debrief | null }
  | { readonly kind: 'when'; readonly hours_s: readonly number[]; readonly problems: readonly string[] }
  | { readonly kind: 'when hours'; readonly hours: readonly WhenHour[] }
  /** A stop came before the answer. */
  | { readonly kind: 'stopped' }
  | { readonly kind: 'fault'; readonly why: string };

export function jobOf(ensemble: number, world: number, setup: EnsembleSetup): EnsembleJob {
  const { scenario, error, spread, seed } = setup;
  return { ensemble, world, body: scenario.body, exit: scenario.exit, error, spread, seed };
}

/** What a worker must be told before it can be asked for hours: the last of it answers with their times. */
export function whenAsks({ terrain, log, ...job }: WhenAsked): readonly Ask[] {
  return [
    ...(terrain === null ? [] : [{ kind: 'terrain', ...packTerrain(terrain) } as const]),
    { kind: 'log', from: 0, events: log },
    { kind: 'when', job: { ...job, onTerrain: terrain !== null } },
  ];
}

/** The answer as the kind that was asked for; a fault is thrown. */
export function answerOf<K extends Answer['kind']>(answer: Answer, kind: K): Extract<Answer, { kind: K }> {
  const isOf = (one: Answer): one is Extract<Answer, { kind: K }> => one.kind === kind;
  if (!isOf(answer)) throw new Error(answer.kind === 'fault' ? answer.why : 'a worker answered out of turn');
  return answer;
}

/** One worker's side of the map. */
export class Workbench {
  readonly #worlds = new Map<number, World>();
  readonly #ensembles = new Map<number, Ensemble>();
  readonly #recovery = new RecoveryBench();
  #moment: Moment | null = null;
  #when: When | null = null;
  #log: readonly LogEvent[] = [];
  readonly #folding = new Folding();
  #terrain: TerrainGrid | null = null;
  #air: Air | null = null;

  answer(ask: Ask): Answer {
    return toEnd(this.steps(ask));
  }

  *steps(ask: Ask): Steps<Answer> {
    try {
      return yield* this.#answer(ask);
    } catch (error) {
      return { kind: 'fault', why: error instanceof Error ? error.message : String(error) };
    }
  }

  *#answer(ask: Ask): Steps<Answer> {
    switch (ask.kind) {
      case 'world':
      case 'terrain':
      case 'air':
      case 'ensemble':
      case 'forget':
      case 'log':
      case 'moment':
        this.#take(ask);
        return { kind: 'done' };
      case 'members': {
        const { ensemble: number, first, count } = ask;
        const ensemble = this.#ensembles.get(number);
        assert(ensemble !== undefined, `the ensemble ${number} was sent before its members were asked for`);
        return { kind: 'members', ensemble: number, first, count, columns: columnsOf(ensemble.run(first, count)) };
      }
      case 'advice': {
        const { stamp } = this.#now.of;
        const { advice, outlook, carrier, sensitivity } = yield* this.#now.advised(ask.members, ask.whatIf, ask.beside);
        return { kind: 'advice', stamp, answer: { advice, prediction: outlook.prediction, carrier, sensitivity } };
      }
      case 'edges':
        return { kind: 'edges', stamp: this.#now.of.stamp, edges: yield* this.#now.edges(ask.members) };
      case 'recovery': {
        const { stamp } = this.#now.of;
        return { kind: 'recovery', stamp, answer: yield* this.#recovery.recovery(this.#now, ask.members) };
      }
      case 'crew times':
        return { kind: 'crew times', times: this.#recovery.crewTimes(ask.crew, ask.position) };
      case 'brief': {
        const { stamp } = this.#now.of;
        return { kind: 'brief', stamp, answer: yield* this.#recovery.brief(this.#now, ask.members, ask.said) };
      }
      case 'brief changes':
        return { kind: 'brief changes', changes: yield* this.#recovery.changes(this.#now, ask.members, ask.held) };
      case 'brief file':
        return { kind: 'brief file', file: this.#recovery.file(ask.wanted) };
      case 'debrief':
        return { kind: 'debrief', debrief: yield* this.#now.debrief(ask.members) };
      case 'when': {
        const { onTerrain, ...job } = ask.job;
        this.#when = new When({ ...job, log: this.#log, terrain: onTerrain ? this.#terrain : null });
        const { hours_s, problems } = this.#when;
        return { kind: 'when', hours_s, problems };
      }
      case 'when hours': {
        const hours: WhenHour[] = [];
        assert(this.#when !== null, 'a plan was sent before its hours were asked for');
        for (const exit_s of ask.hours_s) hours.push(yield* this.#when.hour(exit_s));
        return { kind: 'when hours', hours };
      }
      case 'stop':
      case 'alive':
        return { kind: 'done' };
      default:
        return never(ask);
    }
  }

  /** What is only told: it stands for what is asked from now on. */
  #take(ask: Extract<Ask, { kind: 'world' | 'terrain' | 'air' | 'ensemble' | 'forget' | 'log' | 'moment' }>): void {
    switch (ask.kind) {
      case 'world':
        // One world is in use at a time: an edit replaces it, and the ensembles that ran in the old one go with it.
        this.#worlds.clear();
        this.#ensembles.clear();
        this.#recovery.forget();
        this.#moment = null;
        this.#worlds.set(ask.world, unpackWorld(ask.data, this.#terrain, this.#air));
        return;
      case 'terrain':
        this.#terrain = new TerrainGrid(ask.shape, ask.heights_m);
        return;
      case 'air':
        this.#air = new Air(unpackAir(ask.rows));
        return;
      case 'ensemble': {
        const { body, exit, error, spread, seed, ensemble, world } = ask.job;
        const scenario = { world: this.#worldOf(world), body, exit };
        this.#ensembles.set(ensemble, new Ensemble({ scenario, error, spread, seed }));
        return;
      }
      case 'forget':
        this.#ensembles.delete(ask.ensemble);
        return;
      case 'log':
        this.#log = [...this.#log.slice(0, ask.from), ...ask.events];
        return;
      case 'moment': {
        const { world, ...of } = ask.job;
        this.#moment = new Moment({ ...of, log: this.#log, world: this.#worldOf(world) }, this.#folding);
        return;
      }
      default:
        never(ask);
    }
  }

  #worldOf(number: number): World {
    const world = this.#worlds.get(number);
    assert(world !== undefined, `the world ${number} of a question was sent before it`);
    return world;
  }

  get #now(): Moment {
    assert(this.#moment !== null, 'a moment was sent before what is asked about it');
    return this.#moment;
  }
}
