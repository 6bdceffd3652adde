// A descent followed live: each fix goes to its body's filter, and every few seconds one step says phases, landing,
// spread and alerts. Pure: times are those of the fixes, and the same fixes give the same bytes.
import { flownSetting } from '../descent/body.ts';
import { outlookOf } from '../descent/outlook.ts';
import { scenarioOf } from '../descent/scenario.ts';
import { RHO0 } from '../air/air.ts';
import { RAD_PER_DEG, type LonLat } from '../base/units.ts';
import type { Situation } from '../mission/situation.ts';
import { aheadOf, type Ahead } from './ahead.ts';
import { Alerts, type Alert } from './alerts.ts';
import { BodyFilter, type LiveFix } from './filter.ts';
import { bodyPlan, PhaseTracker, type BodyPlan, type PhaseNow } from './phases.ts';

export interface LiveStep {
  readonly at_s: number;
  readonly phases: Readonly<Record<string, PhaseNow>>;
  readonly ahead: Ahead;
  /** Those that began with this step; each is said once. */
  readonly alerts: readonly Alert[];
}

export interface LiveOptions {
  readonly members: number;
  readonly seed: number;
}

interface Followed {
  readonly filter: BodyFilter;
  readonly tracker: PhaseTracker;
}

export class Live {
  readonly #situation: Situation;
  readonly #options: LiveOptions;
  readonly #plan: BodyPlan;
  readonly #opens_agl_m: number | null;
  readonly #bodies = new Map<string, Followed>();
  readonly #alerts = new Alerts();

  constructor(situation: Situation, options: LiveOptions) {
    this.#situation = situation;
    this.#options = options;
    const { mission, world } = situation;
    const { prediction } = outlookOf(scenarioOf(mission, world));
    const { canopy } = mission.jumper;
    const sink_mps = canopy === undefined ? null : flownSetting(canopy).sink_mps;
    this.#plan = bodyPlan(
      prediction,
      sink_mps === null ? null : (height_m) => sink_mps * Math.sqrt(RHO0 / world.air.density(height_m)),
    );
    const { opening } = prediction;
    this.#opens_agl_m =
      opening === null ? null : opening.height_m - this.#ground([opening.position[0], opening.position[1]]);
  }

  #ground([lon, lat]: readonly [number, number]): number {
    return this.#situation.world.ground.heightAt(lat * RAD_PER_DEG, lon * RAD_PER_DEG);
  }

  #followed(body: string): Followed {
    const known = this.#bodies.get(body);
    if (known !== undefined) return known;
    const filter = new BodyFilter();
    const tracker = new PhaseTracker(this.#plan, (one) => this.#ground(filter.placeOf(one)));
    const followed = { filter, tracker };
    this.#bodies.set(body, followed);
    return followed;
  }

  /** Takes one fix; answers whether it can be the body's. */
  fix(body: string, fix: LiveFix): boolean {
    const { filter, tracker } = this.#followed(body);
    const taken = filter.add(fix);
    tracker.update(filter.taken);
    return taken;
  }

  step(at_s: number): LiveStep {
    const { mission, world, state } = this.#situation;
    const { filter, tracker } = this.#followed('jumper');
    const { exit_s } = tracker;
    const marks = new Map(state.marks);
    const mark = (name: string, time_s: number, position: LonLat | null): void =>
      void marks.set(name, { seq: -1, mark: name, time_s, position, height_m: null });
    if (exit_s !== null) mark('exit', exit_s, null);
    const last = filter.taken.at(-1);
    const isDown = tracker.now?.phase === 'down';
    if (isDown && last !== undefined) mark('touchdown', tracker.now.since_s, filter.placeOf(last));
    const ahead = aheadOf({ mission, world, state: { ...state, marks } }, filter, tracker.now, this.#options);
    const phases: Record<string, PhaseNow> = {};
    for (const [body, followed] of this.#bodies) if (followed.tracker.now !== null) phases[body] = followed.tracker.now;
    const alerts = this.#alerts.at(at_s, {
      phase: tracker.now,
      lastFix_s: last?.time_s ?? null,
      agl_m: last === undefined ? null : last.height_m - this.#ground(filter.placeOf(last)),
      opens_agl_m: this.#opens_agl_m,
      inZone: ahead.statistics?.inAnyZone.p ?? null,
    });
    return { at_s, phases, ahead, alerts };
  }
}
