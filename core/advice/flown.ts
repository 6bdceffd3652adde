// The chances that are shown, flown: those of the planned exit and of the best on the line, and of each other zone when
// it is steered to.
import { RAD_PER_DEG } from '../base/units.ts';
import type { Steps } from '../base/steps.ts';
import { Ensemble, type EnsembleSetup } from '../descent/ensemble.ts';
import { zoneMiddle, type Scenario } from '../descent/scenario.ts';
import { statisticsOf, type LandingStatistics, type Share } from '../descent/statistics.ts';
import type { Hazard, LandingZone, Mission } from '../plan/schema.ts';
import { driftScenario, type ExitOption } from './exits.ts';
import type { LimitName } from './limits.ts';
import type { ExitLine } from './window.ts';

/** Members of a descent that is flown beside the planned one's. */
const BESIDE_MEMBERS = 500;

/** Flies what is shown: a chance that the search has only estimated (`exits.ts`) is never given as it is. */
export class Flyer {
  readonly #setup: EnsembleSetup;
  readonly #zones: readonly LandingZone[];
  readonly #hazards: readonly Hazard[];
  readonly #target: string | null;
  readonly #beside: number;

  constructor(setup: EnsembleSetup, mission: Mission, target: string | null, count: number) {
    this.#setup = setup;
    this.#zones = mission.landingZones ?? [];
    this.#hazards = mission.hazards ?? [];
    this.#target = target;
    this.#beside = Math.min(count, BESIDE_MEMBERS);
  }

  /**
   * The planned exit: its own descents for the zone steered to, and where `beside` is asked for each other zone some
   * that are steered there.
   */
  *planned(option: ExitOption, statistics: LandingStatistics | null, beside: boolean): Steps<ExitOption> {
    if (statistics === null) return option;
    const inZone: Record<string, Share> = { ...statistics.inZone };
    const { scenario } = this.#setup;
    if (beside && driftScenario(scenario) !== scenario) {
      for (const zone of this.#zones) {
        if (zone.name === this.#target) continue;
        const there = yield* this.#fly(steeredTo(scenario, zone));
        inZone[zone.name] = there?.inZone[zone.name] ?? { p: NaN, error: NaN };
      }
    }
    return { ...option, inZone, inHazard: statistics.inAnyHazard };
  }

  /** The line with its best exit flown; no window where that exit breaks a limit. */
  *best(line: ExitLine, numberOf: (name: LimitName) => number): Steps<ExitLine> {
    if (line.best === null) return line;
    const { scenario } = this.#setup;
    const flown = yield* this.#fly({ ...scenario, exit: line.best.exit });
    if (flown === null) return line;
    const own = this.#target === null ? null : (flown.inZone[this.#target] ?? null);
    const inZone =
      this.#target === null || own === null ? line.best.inZone : { ...line.best.inZone, [this.#target]: own };
    const best = { ...line.best, inZone, inHazard: flown.inAnyHazard };
    const keeps =
      (own === null || own.p + 2 * own.error >= numberOf('zoneProbability')) &&
      flown.inAnyHazard.p - 2 * flown.inAnyHazard.error <= numberOf('hazardProbability');
    return { ...line, best, window: keeps ? line.window : null };
  }

  *#fly(scenario: Scenario): Steps<LandingStatistics | null> {
    const members = yield* new Ensemble({ ...this.#setup, scenario }).inSteps(this.#beside);
    return statisticsOf(members, this.#zones, this.#hazards);
  }
}

/** The scenario with its canopy homing on a zone's middle. */
function steeredTo(scenario: Scenario, zone: LandingZone): Scenario {
  const { canopy } = scenario.body;
  if (canopy === null) return scenario;
  const [lon, lat] = zoneMiddle(zone);
  const aimed = { ...canopy, targetLon_rad: lon * RAD_PER_DEG, targetLat_rad: lat * RAD_PER_DEG };
  return { ...scenario, body: { ...scenario.body, canopy: aimed } };
}
