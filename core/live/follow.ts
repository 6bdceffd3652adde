// A descent followed live: each fix goes to its body's filter, and every few seconds one step says phases, landing,
// spread and alerts. Pure: times are those of the fixes, and the same fixes give the same bytes.
import { outlookOf } from '../descent/outlook.ts';
import { scenarioOf } from '../descent/scenario.ts';
import type { LonLat } from '../base/units.ts';
import type { Situation } from '../mission/situation.ts';
import { PAPER_UNITS } from '../words/numbers.ts';
import { aheadOf, type Ahead } from './ahead.ts';
import { landingSeen, type AlertView } from './alertRules.ts';
import { Alerts, type Alert } from './alerts.ts';
import type { LiveFix } from './filter.ts';
import { JumperPlan, type FollowedBody } from './followed.ts';
import type { PhaseNow } from './phases.ts';

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

/** The gondola's fixes are kept for as long as two bodies can be of one moment. */
const KEPT_FIXES = 30;

export class Live {
  #situation: Situation;
  readonly #options: LiveOptions;
  readonly #plan: JumperPlan;
  readonly #bodies = new Map<string, FollowedBody>();
  readonly #gondola: LiveFix[] = [];
  readonly #alerts = new Alerts();

  constructor(situation: Situation, options: LiveOptions) {
    this.#situation = situation;
    this.#options = options;
    const { mission, world } = situation;
    const { prediction } = outlookOf(scenarioOf(mission, world));
    this.#plan = new JumperPlan(prediction, mission.jumper.canopy, world);
  }

  #followed(body: string): FollowedBody {
    const known = this.#bodies.get(body);
    if (known !== undefined) return known;
    const followed = this.#plan.follow();
    this.#bodies.set(body, followed);
    return followed;
  }

  /** The mission as it is known from now on: winds that came in, marks. The plan itself stays the one that is flown. */
  renew(situation: Situation): void {
    this.#situation = situation;
  }

  /** Takes one fix; answers whether it can be the body's. */
  fix(body: string, fix: LiveFix): boolean {
    const taken = this.#followed(body).add(fix);
    if (taken && body === 'gondola' && this.#gondola.push(fix) > KEPT_FIXES) this.#gondola.shift();
    return taken;
  }

  step(at_s: number): LiveStep {
    const { mission, world, state } = this.#situation;
    const jumper = this.#followed('jumper');
    const { filter, tracker } = jumper;
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
    const { begun } = this.#alerts.at(this.#view(at_s, jumper, ahead));
    return { at_s, phases, ahead, alerts: begun };
  }

  /** Of limits, crews and links nothing is known here: no advice and no recovery is worked out beside the fixes. */
  #view(at_s: number, jumper: FollowedBody, { statistics }: Ahead): AlertView {
    const { mission, winds, state } = this.#situation;
    const phase = jumper.tracker.now?.phase;
    const waits = phase === undefined || phase === 'ascent' || phase === 'float';
    return {
      at_s,
      stage: waits ? 'before the exit' : phase === 'down' ? 'down' : 'in the air',
      jumper: waits || phase === 'down' ? null : this.#plan.seen(jumper, this.#gondola),
      landing: landingSeen(mission, statistics),
      winds,
      reports: state.counting,
      limits: null,
      crews: null,
      feeds: null,
      units: PAPER_UNITS,
    };
  }
}
