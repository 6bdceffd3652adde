// Who goes where, and what is said of each crew's place. Metres, seconds.
import type { LonLat } from '../base/units.ts';
import type { Crew, Fuel } from './crews.ts';
import type { ReachSummary } from './reachTimes.ts';
import type { Scene } from './scene.ts';
import type { Refusal } from './standby.ts';

/** First to the jumper; to the gondola; to the jumper without medical skill: placed for its own time alone. */
export type CrewRole = 'first' | 'gondola' | 'helper';

export interface CrewPlace {
  readonly crew: Crew;
  readonly role: CrewRole;
  readonly position: LonLat;
  /**
   * `placed`: where the search has it; `fixed`: it stays by the plan; `cannot`: nowhere is allowed, and it stays by the
   * plan.
   */
  readonly kind: 'placed' | 'fixed' | 'cannot';
  /** Over all cases, after touchdown, at the landing that its role is about. */
  readonly reach: ReachSummary;
  /** The same in the first case, as planned. */
  readonly asPlanned: ReachSummary;
  /** From its base to here; endless where it cannot get here. */
  readonly getThere_s: number;
  readonly fuel: Fuel;
  readonly keepClear_m: number;
  /** What speaks against a fixed crew's place, or a crew's that can be placed nowhere. */
  readonly refusal: Refusal | null;
  /** Why here, in one sentence. */
  readonly reason: string;
  /** What staying where the plan has it costs instead; null for a crew that stays. */
  readonly ifRefused: {
    readonly mean_s: number;
    readonly worst_s: number;
    readonly own_s: number;
    readonly sentence: string;
  } | null;
}

export interface Roles {
  readonly first: readonly Crew[];
  readonly gondola: readonly Crew[];
  readonly helpers: readonly Crew[];
  /** Where no crew is medical, the first of any kind counts. */
  readonly medical: boolean;
  /** The crew that goes to the gondola after the jumper, where nobody else does. */
  readonly after: Crew | null;
}

/**
 * Who goes where: medical crews to the jumper; the gondola's own crews to it, else a crew for both that is not needed
 * at the jumper.
 */
export function rolesOf(scene: Pick<Scene, 'crews' | 'gondola'>): Roles {
  const toJumper = scene.crews.filter((crew) => crew.serves !== 'gondola');
  const medical = toJumper.filter((crew) => crew.medical);
  const first = medical.length > 0 ? medical : toJumper;
  const own = scene.crews.filter((crew) => crew.serves === 'gondola');
  const spare = toJumper.filter((crew) => crew.serves === 'both' && !first.includes(crew));
  const gondola = scene.gondola === null ? [] : own.length > 0 ? own : spare;
  const helpers = scene.crews.filter((crew) => !first.includes(crew) && !gondola.includes(crew));
  const both = first.find((crew) => crew.serves === 'both') ?? null;
  return {
    first,
    gondola,
    helpers,
    medical: medical.length > 0,
    after: scene.gondola !== null && gondola.length === 0 ? both : null,
  };
}
