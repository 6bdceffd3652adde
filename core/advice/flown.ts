// The chances that are shown, flown: those of the planned exit, of the best on the line, at the ends of the window, and
// of each other zone when it is steered to.
import { RAD_PER_DEG } from '../base/units.ts';
import type { Steps } from '../base/steps.ts';
import { Ensemble, type EnsembleSetup } from '../descent/ensemble.ts';
import { carrierAt, type CarrierPath } from '../descent/carrier.ts';
import type { ExitState } from '../descent/flight.ts';
import { zoneMiddle, type Scenario } from '../descent/scenario.ts';
import { statisticsOf, type LandingStatistics, type Share } from '../descent/statistics.ts';
import type { Hazard, LandingZone, Mission } from '../plan/schema.ts';
import { driftScenario, exitsInSteps, judgeExits, type ExitJudge, type ExitOption, type ExitPromise } from './exits.ts';
import { chanceOf, edgeOf, exitAt, roomOf, type ExitLine, type LineSearch, type WindowLimits } from './window.ts';

/**
 * What is flown beside the planned exit's descents: the zones that are not steered to, the best exits, the ends of the
 * window. `few`: where the word cannot wait; `window`: without the zones; `none`: where only the word is wanted.
 */
export type Beside = 'all' | 'few' | 'window' | 'none';
/**
 * zones   whether the zones that are not steered to are flown and looked at
 * part    members of a descent beside the planned one, as a share of its own and at most `BESIDE_MEMBERS`
 * ends    of the sample, at an end of the window: first few, to come near; then as many as tell a chance of 80 % to
 *         1.3 %
 */
interface BesideRow {
  readonly zones: boolean;
  readonly part: number;
  readonly ends: readonly number[];
}
export const BESIDE: Readonly<Record<Beside, BesideRow>> = {
  all: { zones: true, part: 1, ends: [1 / 4, 1 / 2] },
  few: { zones: true, part: 1 / 4, ends: [1 / 4] },
  window: { zones: false, part: 1, ends: [1 / 4, 1 / 2] },
  none: { zones: false, part: 1 / 4, ends: [] },
};
const BESIDE_MEMBERS = 500;
/**
 * A zone that none of the estimate's landings reaches is flown so often; where none of these does either, no more. Of
 * 200 zones more than half are such; their chance was below half a per cent wherever all were flown
 * (`tests/advice/zonesFar.test.ts`).
 */
const FEW_MEMBERS = 50;
/** An estimate that promises all of this share of its best room where too few land tells no nearer place. */
const NEAR_THE_BEST = 0.95;

/** Flies what is shown: a chance that the search has only estimated (`exits.ts`) is never given as it is. */
export class Flyer {
  readonly #setup: EnsembleSetup;
  readonly #zones: readonly LandingZone[];
  readonly #hazards: readonly Hazard[];
  readonly #target: string | null;
  readonly #count: number;
  readonly #beside: BesideRow;
  readonly #besideCount: number;

  constructor(setup: EnsembleSetup, mission: Mission, target: string | null, count: number, beside: Beside) {
    this.#setup = setup;
    this.#zones = mission.landingZones ?? [];
    this.#hazards = mission.hazards ?? [];
    this.#target = target;
    this.#count = count;
    this.#beside = BESIDE[beside];
    this.#besideCount = Math.min(Math.ceil(this.#beside.part * count), BESIDE_MEMBERS);
  }

  /**
   * The planned exit: its own descents for the zone steered to, and for each other zone some that are steered there,
   * but few where by the estimate and by those few nobody comes.
   */
  *planned(option: ExitOption, statistics: LandingStatistics | null): Steps<ExitOption> {
    if (statistics === null) return option;
    const inZone: Record<string, Share> = { ...statistics.inZone };
    const { scenario } = this.#setup;
    if (this.#beside.zones && driftScenario(scenario) !== scenario) {
      for (const zone of this.#zones) {
        if (zone.name === this.#target) continue;
        const steered = steeredTo(scenario, zone);
        const isNear = !(option.inZone[zone.name]?.p === 0);
        const few = isNear ? null : yield* this.#flyTo(steered, zone, Math.min(FEW_MEMBERS, this.#besideCount));
        inZone[zone.name] = few?.p === 0 ? few : yield* this.#flyTo(steered, zone, this.#besideCount);
      }
    }
    return { ...option, inZone, inHazard: statistics.inAnyHazard, flown: this.#count };
  }

  /**
   * The line with its best exit and the ends of its window; no window where that exit breaks a limit.
   *
   * known   an exit that was flown, for a line that only the word needs: the estimate is off everywhere on it by as
   *         much as there, and nothing more is flown; null: its best exit and both ends are
   */
  *line(
    search: LineSearch,
    judge: ExitJudge,
    carrier: CarrierPath | null,
    limits: WindowLimits,
    known: FlownExit | null,
  ): Steps<ExitLine> {
    const { options } = search;
    const none = { options, best: null, window: null, ends: null };
    const { scenario, error } = this.#setup;
    const found = options[search.at];
    if (found === undefined || carrier === null) return none;
    // Only the best is asked for the alternates: what else could be steered for from there.
    const asked = known === null ? (judgeExits(judge, scenario, error, [found.exit])[0] ?? found) : found;
    const best = known === null ? yield* this.#counted(asked, this.#besideCount) : movedOn(known, asked);
    if (best === null || this.#target === null) return { ...none, best: asked };
    const own = best.inZone[this.#target] ?? { p: NaN, error: NaN };
    const keeps =
      own.p + 2 * own.error >= limits.zoneProbability &&
      best.inHazard.p - 2 * best.inHazard.error <= limits.hazardProbability;
    if (!keeps) return { ...none, best };
    const from = known ?? { asked, flown: best };
    const opens = yield* this.#edge({ search, judge, carrier, limits, from }, -1);
    const closes = yield* this.#edge({ search, judge, carrier, limits, from }, 1);
    const [opens_s, closes_s] = [opens?.exit.time_s ?? NaN, closes?.exit.time_s ?? NaN];
    // Where not even the best is above the limit, though within its own error of it, there is no stretch.
    if (opens === null || closes === null || !(closes_s > opens_s)) return { ...none, best };
    return { options, best, window: { opens_s, closes_s, error_s: limits.error_s }, ends: { opens, closes } };
  }

  /**
   * An end of the window: the estimate says where its room runs out and how steeply; what is flown says by how much
   * the estimate is off, and moves the end; again, for the estimate is off by another amount at another place.
   */
  *#edge({ search, judge, carrier, limits, from }: EdgeSearch, step: 1 | -1): Steps<ExitOption | null> {
    const { scenario, error } = this.#setup;
    const { options, at } = search;
    const roomIn = (option: ExitPromise): number => roomOf(chanceOf(this.#target, option), option.inHazard.p, limits);
    const rooms = options.map(roomIn);
    const most = NEAR_THE_BEST * (rooms[at] ?? NaN);
    // An exit is planned to the second: the end is the last one inside.
    const inward = (time_s: number): number => (step > 0 ? Math.floor(time_s) : Math.ceil(time_s));
    /** Where the room runs out by an estimate that is off as it is there; null off the carrier's line. */
    const endBy = function* ({ asked, flown }: FlownExit): Steps<ExitOption | null> {
      // Where nothing lands, nothing is kept.
      const off = flown === null ? -1 : roomIn(flown) - roomIn(asked);
      const point = carrierAt(carrier, inward(edgeOf(search, step, rooms, most > 0 ? Math.min(-off, most) : -off)));
      if (point === null) return null;
      return (yield* exitsInSteps(judge, scenario, error, [exitAt(point)], false))[0] ?? null;
    };
    let last: FlownExit = from;
    let end = yield* endBy(last);
    for (const part of this.#beside.ends) {
      if (end === null) return null;
      last = { asked: end, flown: yield* this.#counted(end, Math.ceil(part * this.#count)) };
      end = yield* endBy(last);
    }
    return end === null ? null : movedOn(last, end);
  }

  /** Chance of the zone steered to from any exit; null without a zone or a landing. */
  *shareFrom(
    exit: ExitState,
  ): Steps<{ readonly share: number; readonly error: number; readonly flown: number } | null> {
    const count = Math.min(Math.ceil(this.#count / 4), BESIDE_MEMBERS);
    const flown = yield* this.#fly({ ...this.#setup.scenario, exit }, count, this.#aimed, []);
    const own = this.#target === null ? undefined : flown?.inZone[this.#target];
    return own === undefined ? null : { share: own.p, error: own.error, flown: count };
  }

  /** An exit with its chances counted from descents that are flown from it; null where none of them lands. */
  *#counted(option: ExitOption, count: number): Steps<ExitOption | null> {
    const flown = yield* this.#fly({ ...this.#setup.scenario, exit: option.exit }, count, this.#aimed, this.#hazards);
    if (flown === null) return null;
    const own = this.#target === null ? undefined : flown.inZone[this.#target];
    const inZone = this.#target === null || own === undefined ? {} : { [this.#target]: own };
    return { ...option, inZone: { ...option.inZone, ...inZone }, inHazard: flown.inAnyHazard, flown: count };
  }

  /** The zone steered to, or none. */
  get #aimed(): readonly LandingZone[] {
    return this.#zones.filter(({ name }) => name === this.#target);
  }

  *#flyTo(scenario: Scenario, zone: LandingZone, count: number): Steps<Share> {
    const there = yield* this.#fly(scenario, count, [zone], []);
    return there?.inZone[zone.name] ?? { p: NaN, error: NaN };
  }

  *#fly(
    scenario: Scenario,
    count: number,
    zones: readonly LandingZone[],
    hazards: readonly Hazard[],
  ): Steps<LandingStatistics | null> {
    const members = yield* new Ensemble({ ...this.#setup, scenario }).inSteps(count);
    return statisticsOf(members, zones, hazards);
  }
}

/** What the estimate promises of an exit, and what was counted there; null where none of its descents landed. */
export interface FlownExit {
  readonly asked: ExitPromise;
  readonly flown: ExitOption | null;
}

interface EdgeSearch {
  readonly search: LineSearch;
  readonly judge: ExitJudge;
  readonly carrier: CarrierPath;
  readonly limits: WindowLimits;
  readonly from: FlownExit;
}

/** Chances flown at one exit, for another some seconds on: they change as the estimates of both do. */
function movedOn({ asked, flown }: FlownExit, to: ExitOption): ExitOption {
  if (flown === null) return to;
  const moved = (of: Share | undefined, a: Share | undefined, b: Share | undefined): Share => ({
    p: Math.min(Math.max((of?.p ?? NaN) + (b?.p ?? NaN) - (a?.p ?? NaN), 0), 1),
    error: of?.error ?? NaN,
  });
  const inZone = Object.fromEntries(
    Object.keys(to.inZone).map((name) => [name, moved(flown.inZone[name], asked.inZone[name], to.inZone[name])]),
  );
  return { ...to, inZone, inHazard: moved(flown.inHazard, asked.inHazard, to.inHazard), flown: flown.flown };
}

/** The scenario with its canopy homing on a zone's middle. */
function steeredTo(scenario: Scenario, zone: LandingZone): Scenario {
  const { canopy } = scenario.body;
  if (canopy === null) return scenario;
  const [lon, lat] = zoneMiddle(zone);
  const aimed = { ...canopy, targetLon_rad: lon * RAD_PER_DEG, targetLat_rad: lat * RAD_PER_DEG };
  return { ...scenario, body: { ...scenario.body, canopy: aimed } };
}
