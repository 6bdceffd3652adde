// Heavy work behind one message map: what a window's Web Workers and the command line's worker threads answer. Plain data crosses,
// results too by copy: the first buffer that a thread hands over makes V8 look, at every access to any typed array of that thread,
// whether it is still there, and a descent then takes a third longer. A bench keeps the world and the ensembles that it was told of, so that a chunk is a few numbers to ask for.
import { adviseOn, type Advice } from './advice/advise.ts';
import { whatIf, type WhatIf } from './advice/whatIf.ts';
import { Air, type AirLevel } from './air.ts';
import type { CompiledBody } from './descent/body.ts';
import type { CarrierPath } from './descent/carrier.ts';
import { Ensemble, type EnsembleSetup, type Members } from './descent/ensemble.ts';
import type { ExitState } from './descent/flight.ts';
import type { Prediction } from './descent/prediction.ts';
import type { World } from './descent/scenario.ts';
import type { WindSensitivity } from './descent/sensitivity.ts';
import type { Spread } from './descent/spread.ts';
import type { WindError } from './descent/windError.ts';
import { Ground } from './earth/ground.ts';
import { TerrainGrid, type TerrainShape } from './earth/terrain.ts';
import type { LogEvent } from './mission/events.ts';
import type { Mission } from './mission/schema.ts';
import { situationAt } from './mission/situation.ts';
import { assert, never } from './problem.ts';
import {
  RecoveryBench,
  type BriefAnswer,
  type BriefFile,
  type BriefFileAnswer,
  type CrewChanges,
  type CrewTimes,
  type Held,
  type RecoveryAnswer,
  type RecoveryJob,
} from './recoveryWork.ts';
import type { LonLat } from './units.ts';
import { backgroundErrors } from './winds/errors.ts';
import { WindField, type WindFieldData } from './winds/field.ts';

/** A world as plain data. */
export interface WorldData {
  readonly airLevels: readonly AirLevel[];
  readonly wind: WindFieldData;
  readonly terrain: { readonly shape: TerrainShape; readonly heights_m: Float32Array } | null;
  readonly site_m: number;
  readonly roughness_m: number;
}

export interface EnsembleJob {
  readonly ensemble: number;
  readonly world: number;
  readonly body: CompiledBody;
  readonly exit: ExitState;
  readonly error: WindError;
  readonly spread: Spread;
  readonly seed: number;
}

/** The advice on a mission at a moment, in the forecast of a world that was sent before. */
export interface AdviceJob {
  readonly world: number;
  readonly mission: Mission;
  readonly log: readonly LogEvent[];
  readonly at_s: number;
  readonly members: number;
  readonly seed: number;
  readonly roads: readonly (readonly LonLat[])[];
  /** A change of the wind that is only asked about; null: the winds as they are known. */
  readonly whatIf: WhatIf | null;
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
  | { readonly kind: 'world'; readonly world: number; readonly data: WorldData }
  | { readonly kind: 'ensemble'; readonly job: EnsembleJob }
  | { readonly kind: 'members'; readonly ensemble: number; readonly first: number; readonly count: number }
  | { readonly kind: 'forget'; readonly ensemble: number }
  | { readonly kind: 'advice'; readonly job: AdviceJob }
  | { readonly kind: 'recovery'; readonly job: RecoveryJob }
  /** Of the recovery that was asked for last. */
  | { readonly kind: 'crew times'; readonly crew: string; readonly position: LonLat }
  | { readonly kind: 'brief'; readonly job: RecoveryJob }
  /** Of the brief that was asked for last. */
  | { readonly kind: 'brief changes'; readonly job: RecoveryJob; readonly held: readonly Held[] }
  | { readonly kind: 'brief file'; readonly wanted: BriefFile };

export type Answer =
  | { readonly kind: 'done' }
  | { readonly kind: 'members'; readonly ensemble: number; readonly members: Members }
  | { readonly kind: 'advice'; readonly answer: AdviceAnswer }
  | { readonly kind: 'recovery'; readonly answer: RecoveryAnswer }
  | { readonly kind: 'crew times'; readonly times: CrewTimes | null }
  | { readonly kind: 'brief'; readonly answer: BriefAnswer }
  | { readonly kind: 'brief changes'; readonly changes: readonly CrewChanges[] }
  | { readonly kind: 'brief file'; readonly file: BriefFileAnswer }
  | { readonly kind: 'fault'; readonly why: string };

export function packWorld(world: World): WorldData {
  const { terrain, site_m } = world.ground;
  const { heights_m, times_s, lats_rad, lons_rad, u_mps, v_mps, bottoms_m, tops_m, isAssumedCalm } = world.wind;
  // What the columns said is for showing; that nobody gave a wind at all is more than the calm's numbers.
  const columns = isAssumedCalm ? world.wind.columns : [];
  return {
    airLevels: world.air.levels,
    wind: { heights_m, times_s, lats_rad, lons_rad, u_mps, v_mps, bottoms_m, tops_m, columns },
    terrain:
      terrain === null
        ? null
        : {
            shape: {
              west_deg: terrain.west_deg,
              north_deg: terrain.north_deg,
              stepLon_deg: terrain.stepLon_deg,
              stepLat_deg: terrain.stepLat_deg,
              columns: terrain.columns,
              rows: terrain.rows,
            },
            heights_m: terrain.heights_m,
          },
    site_m,
    roughness_m: world.roughness_m,
  };
}

/**
 * The world of the other side. The error of the wind crosses with each ensemble, so none is needed here.
 *
 * air  of the same levels, where there is one already: its tables take some milliseconds to make
 */
export function unpackWorld(data: WorldData, air: Air = new Air(data.airLevels)): World {
  return {
    air,
    wind: new WindField(data.wind),
    ground: new Ground(data.site_m, data.terrain === null ? null : new TerrainGrid(data.terrain.shape, data.terrain.heights_m)),
    roughness_m: data.roughness_m,
    errors: backgroundErrors(),
    analysis: null,
  };
}

export function jobOf(ensemble: number, world: number, setup: EnsembleSetup): EnsembleJob {
  const { scenario, error, spread, seed } = setup;
  return { ensemble, world, body: scenario.body, exit: scenario.exit, error, spread, seed };
}

/** One worker's side of the map. */
export class Workbench {
  readonly #worlds = new Map<number, World>();
  readonly #ensembles = new Map<number, Ensemble>();
  readonly #recovery = new RecoveryBench();
  #air: { readonly key: string; readonly air: Air } | null = null;

  answer(ask: Ask): Answer {
    try {
      return this.#answer(ask);
    } catch (error) {
      return { kind: 'fault', why: error instanceof Error ? error.message : String(error) };
    }
  }

  #answer(ask: Ask): Answer {
    switch (ask.kind) {
      case 'world':
        // One world is in use at a time: an edit replaces it, and the ensembles that ran in the old one are gone with it.
        this.#worlds.clear();
        this.#ensembles.clear();
        this.#recovery.forget();
        this.#worlds.set(ask.world, unpackWorld(ask.data, this.#airOf(ask.data)));
        return { kind: 'done' };
      case 'ensemble': {
        const { job } = ask;
        const world = this.#worlds.get(job.world);
        assert(world !== undefined, `the world ${job.world} of an ensemble was sent before it`);
        const { body, exit, error, spread, seed } = job;
        this.#ensembles.set(job.ensemble, new Ensemble({ scenario: { world, body, exit }, error, spread, seed }));
        return { kind: 'done' };
      }
      case 'members': {
        const ensemble = this.#ensembles.get(ask.ensemble);
        assert(ensemble !== undefined, `the ensemble ${ask.ensemble} was sent before its members were asked for`);
        return { kind: 'members', ensemble: ask.ensemble, members: ensemble.run(ask.first, ask.count) };
      }
      case 'forget':
        this.#ensembles.delete(ask.ensemble);
        return { kind: 'done' };
      case 'advice':
        return { kind: 'advice', answer: this.#advise(ask.job) };
      case 'recovery':
        return { kind: 'recovery', answer: this.#recovery.recovery(ask.job, this.#worldOf(ask.job.world)) };
      case 'crew times':
        return { kind: 'crew times', times: this.#recovery.crewTimes(ask.crew, ask.position) };
      case 'brief':
        return { kind: 'brief', answer: this.#recovery.brief(ask.job, this.#worldOf(ask.job.world)) };
      case 'brief changes':
        return { kind: 'brief changes', changes: this.#recovery.changes(ask.job, this.#worldOf(ask.job.world), ask.held) };
      case 'brief file':
        return { kind: 'brief file', file: this.#recovery.file(ask.wanted) };
      default:
        return never(ask);
    }
  }

  /** The air of before, where the levels are the same to the digit: most edits change the wind alone. */
  #airOf(data: WorldData): Air {
    const key = JSON.stringify(data.airLevels);
    if (this.#air?.key !== key) this.#air = { key, air: new Air(data.airLevels) };
    return this.#air.air;
  }

  #worldOf(number: number): World {
    const world = this.#worlds.get(number);
    assert(world !== undefined, `the world ${number} of a question was sent before it`);
    return world;
  }

  #advise(job: AdviceJob): AdviceAnswer {
    const world = this.#worldOf(job.world);
    const now = situationAt(job.mission, job.log, world, job.at_s);
    const situation = job.whatIf === null ? now : whatIf(now, job.whatIf);
    const { seed, members, roads } = job;
    const { advice, outlook, carrier, sensitivity } = adviseOn(situation, { seed, members, roads });
    return { advice, prediction: outlook.prediction, carrier, sensitivity };
  }
}
