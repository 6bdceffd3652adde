// One rehearsal as it runs: a clock that is paced, the simulator's lines on loopback, what is said on the radio, and at
// the end the score of the log that was kept. The command line and the desk both run it.
import type { Steps } from '../../core/base/steps.ts';
import type { InstructorAct } from '../../core/rehearsal/acts.ts';
import type { LogEvent } from '../../core/log/events.ts';
import { missionAt } from '../../core/log/fold.ts';
import { defaultMoment_s } from '../../core/mission/situation.ts';
import { jumpersCrews, placeToGo, type LeadOrder } from '../../core/rehearsal/lead.ts';
import { raisedInSteps } from '../../core/rehearsal/raised.ts';
import type { RehearsalScenario } from '../../core/rehearsal/scenario.ts';
import { scoreOf, type Score } from '../../core/rehearsal/score.ts';
import type { ScoredRun } from '../../core/rehearsal/scoreText.ts';
import { Simulator, type Sent } from '../../core/rehearsal/simulator.ts';
import { hiddenTruth, situationBefore, type RehearsedMission } from '../../core/rehearsal/truth.ts';
import type { Situation } from '../../core/mission/situation.ts';
import type { LonLat } from '../../core/base/units.ts';
import { PlayedFeeds } from '../feeds/played.ts';

export interface RehearsalOf {
  readonly mission: RehearsedMission;
  readonly scenario: RehearsalScenario;
  readonly seed: number;
}

/** What somebody said on the radio. */
export type HeardSaid = Extract<Sent, { readonly kind: 'heard' }>;

export interface RunHears {
  readonly heard: (said: HeardSaid) => void;
  /** Nothing more comes. */
  readonly over: () => void;
}

const TICK_ms = 200;
/**
 * Of one body so many fixes a second on the wall at most: nobody sees more. At 60 times the speed one is 12 s old at
 * most, and 15 s is too old.
 */
const MOST_A_SECOND = 5;

export class RehearsalRun {
  readonly #of: RehearsalOf;
  readonly #begins: Situation;
  readonly #simulator: Simulator;
  readonly #played = new PlayedFeeds();
  readonly #hears: RunHears;
  #timer: NodeJS.Timeout | undefined;
  /** The rehearsal's clock was there when the wall's was here. */
  #at_s: number;
  #since_ms = performance.now();
  #pace = 0;
  /** When the last fix of each body was sent, by the rehearsal's clock. */
  readonly #sent = new Map<string, number>();

  private constructor(of: RehearsalOf, begins: Situation, simulator: Simulator, hears: RunHears) {
    this.#of = of;
    this.#begins = begins;
    this.#simulator = simulator;
    this.#hears = hears;
    this.#at_s = begins.at_s;
  }

  /** A rehearsal whose clock stands at its beginning; a sentence where the mission cannot be rehearsed. */
  static from(of: RehearsalOf, hears: RunHears): RehearsalRun | string {
    const begins = situationBefore(of.mission, of.scenario);
    const truth = hiddenTruth(begins, of.scenario, of.seed);
    if (typeof truth === 'string') return truth;
    return new RehearsalRun(of, begins, new Simulator(begins, of.scenario, truth, of.seed), hears);
  }

  get simulator(): Simulator {
    return this.#simulator;
  }

  /** Those who go when the jumper is down. */
  get jumpersCrews(): readonly string[] {
    return jumpersCrews(this.#of.mission.mission).map(({ name }) => name);
  }

  /** s since 1970, by the rehearsal's clock. */
  now_s(): number {
    return this.#at_s + (this.#pace * (performance.now() - this.#since_ms)) / 1000;
  }

  /** Begins to serve every body; answers the addresses that feeds follow. */
  async open(): Promise<readonly { readonly body: string; readonly address: string }[]> {
    const served: { readonly body: string; readonly address: string }[] = [];
    for (const body of this.#simulator.bodies) served.push({ body, address: await this.#played.open(body) });
    return served;
  }

  /** So many seconds of the rehearsal in one on the wall; 0: its clock stands. */
  pace(speed: number): void {
    this.#at_s = this.now_s();
    this.#since_ms = performance.now();
    this.#pace = speed;
    clearInterval(this.#timer);
    if (speed > 0) this.#timer = setInterval(() => this.#tick(), TICK_ms);
  }

  #tick(): void {
    const at_s = this.now_s();
    for (const sent of this.#simulator.until(at_s))
      if (sent.kind === 'heard') this.#hears.heard(sent);
      else this.#send(sent);
    if (!this.#simulator.isOver(at_s)) return;
    this.pace(0);
    this.#hears.over();
  }

  #send({ body, lines, at_s }: Extract<Sent, { readonly kind: 'fix' }>): void {
    const isSoon = at_s < (this.#sent.get(body) ?? -Infinity) + this.#pace / MOST_A_SECOND;
    if (this.#pace > MOST_A_SECOND && isSoon) return;
    this.#sent.set(body, at_s);
    this.#played.send(body, lines);
  }

  take(order: LeadOrder): void {
    this.#simulator.take(order, this.now_s());
  }

  /** A sentence where it cannot be. */
  act(act: InstructorAct): string | null {
    return this.#simulator.act(act, this.now_s());
  }

  /** Where crews are sent by the log that was kept; null: it has no touchdown, and no landing was called. */
  placeToGo(log: readonly LogEvent[]): LonLat | null {
    const { mission } = this.#of.mission;
    return placeToGo(missionAt(mission, log, defaultMoment_s(mission, log)), log);
  }

  /** What was rehearsed, for the score. */
  scored(stopped_s: number | null): ScoredRun {
    const { scenario, seed } = this.#of;
    return { scenario: scenario.name, seed, lead: 'a person', acts: this.#simulator.acts, stopped_s };
  }

  /** The score of the log that was kept. */
  *scoreInSteps(log: readonly LogEvent[], members: number): Steps<Score> {
    const { mission: of, seed } = this.#of;
    const { truth, said, fixes } = this.#simulator;
    const until_s = Math.min(truth.touchdown_s, this.now_s());
    const raised = yield* raisedInSteps(of, this.#begins, log, until_s, { members, seed });
    return scoreOf(of, { truth, said, fixes }, log, raised);
  }

  async close(): Promise<void> {
    this.pace(0);
    await this.#played.close();
  }
}
