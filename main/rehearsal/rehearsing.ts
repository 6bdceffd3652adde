// The desk's rehearsal, one at a time: the copy of a mission that is followed by the desk's own feeds, what a person or
// an instructor does to it, and its score. Everything that changes is told to every window.
import type { LogEvent, NewEvent } from '../../core/log/events.ts';
import { readLog as readEvents } from '../../core/log/read.ts';
import { isoOf } from '../../core/base/plainNumbers.ts';
import type { Steps } from '../../core/base/steps.ts';
import { TO_ALL } from '../../core/live/callOffers.ts';
import { goWords, sayAgainWords } from '../../core/rehearsal/lead.ts';
import { capital } from '../../core/words/numbers.ts';
import type { Outcome, OpenedMission, RehearsalDeed, RehearsalState, RehearsalWanted } from '../contract.ts';
import type { Feeds } from '../feeds/feeds.ts';
import { logPathOf, readLog } from '../files/log.ts';
import { done, refused } from '../files/paths.ts';
import { bundledRehearsal } from '../rehearsals.ts';
import { rehearsable, writeRehearsal } from './copy.ts';
import { RehearsalRun, type HeardSaid } from './run.ts';

export interface RehearsingHost {
  readonly feeds: Feeds;
  readonly copyFolder: string;
  readonly tell: (state: RehearsalState) => void;
  /** Opens the copy as a mission of this session. */
  readonly open: (path: string) => Promise<Outcome<OpenedMission>>;
  readonly append: (path: string, event: NewEvent, at: string) => Promise<Outcome<LogEvent>>;
}

/** Descents drawn for the alerts of a score. */
const MEMBERS = 200;

export class Rehearsing {
  readonly #host: RehearsingHost;
  #current: Current | null = null;
  #isStarting = false;

  constructor(host: RehearsingHost) {
    this.#host = host;
  }

  state(): RehearsalState | null {
    return this.#current?.state() ?? null;
  }

  /** `path`: where the mission to be rehearsed lies. */
  async start(wanted: RehearsalWanted, path: string): Promise<Outcome<OpenedMission>> {
    if (this.#isStarting || this.#current?.isOn === true)
      return refused('A rehearsal is on at this desk; stop it first.');
    this.#isStarting = true;
    try {
      return await this.#start(wanted, path);
    } finally {
      this.#isStarting = false;
    }
  }

  async #start(wanted: RehearsalWanted, from: string): Promise<Outcome<OpenedMission>> {
    const scenario = bundledRehearsal(wanted.scenario, wanted.seed);
    if (scenario === null) return refused(`There is no scenario ${wanted.scenario}.`);
    const of = await rehearsable(from, wanted.planText, scenario.begins_s);
    if (typeof of === 'string') return refused(`This mission cannot be rehearsed: ${of}.`);
    const run = RehearsalRun.from(
      { mission: of.loaded, scenario, seed: wanted.seed },
      { heard: (said) => this.#current?.heard(said), over: () => this.#current?.end(null) },
    );
    if (typeof run === 'string') return refused(`This mission cannot be rehearsed: ${run}.`);
    const path = await writeRehearsal(of, from, this.#host.copyFolder);
    const current = new Current(this.#host, run, { wanted, notes: scenario.notes, path });
    const opened = await this.#host.open(path);
    if (!opened.ok) return opened;
    await current.follow();
    this.#current = current;
    this.#host.tell(current.state());
    return opened;
  }

  async do(deed: RehearsalDeed): Promise<Outcome<RehearsalState>> {
    const current = this.#current;
    if (current === null) return refused('There is no rehearsal at this desk.');
    if (!current.isOn) return refused('The rehearsal is over.');
    const why = await current.do(deed);
    if (why !== null) return refused(`${capital(why)}.`);
    const state = current.state();
    this.#host.tell(state);
    return done(state);
  }

  /** Something went into a log: crews go when it is called that the jumper is down. */
  logged(path: string, event: LogEvent): void {
    const isDown = event.kind === 'call' && event.key === 'down' && event.to === TO_ALL;
    if (isDown && this.#current?.path === path && this.#current.isOn) void this.#current.sendAll();
  }

  async close(): Promise<void> {
    await this.#current?.close();
  }
}

interface About {
  readonly wanted: RehearsalWanted;
  readonly notes: string;
  readonly path: string;
}

class Current {
  readonly #host: RehearsingHost;
  readonly #run: RehearsalRun;
  readonly #about: About;
  readonly #heard: HeardSaid[] = [];
  #addresses: readonly string[] = [];
  #stage: RehearsalState['stage'] = 'ready';
  #speed: number;
  #score: RehearsalState['score'] = null;
  #trouble: string | null = null;

  constructor(host: RehearsingHost, run: RehearsalRun, about: About) {
    this.#host = host;
    this.#run = run;
    this.#about = about;
    this.#speed = about.wanted.speed;
  }

  get path(): string {
    return this.#about.path;
  }

  /** Whether it still goes on, or may. */
  get isOn(): boolean {
    return this.#stage === 'ready' || this.#stage === 'running' || this.#stage === 'paused';
  }

  /** Serves every body, and switches on the feeds that follow them: the same feeds as live. */
  async follow(): Promise<void> {
    const served = await this.#run.open();
    const now_ms = (): number => 1000 * this.#run.now_s();
    for (const { body, address } of served) this.#host.feeds.follow({ address, body, ahead_ms: 0 }, this.path, now_ms);
    this.#addresses = served.map(({ address }) => address);
  }

  state(): RehearsalState {
    const { simulator } = this.#run;
    const { wanted, notes, path } = this.#about;
    const at_s = this.#run.now_s();
    return {
      missionPath: path,
      stage: this.#stage,
      speed: this.#speed,
      at_s,
      scenario: wanted.scenario,
      seed: wanted.seed,
      heard: this.#heard.map(({ at_s: said_s, by, text }) => ({ at_s: said_s, by, text })),
      crews: simulator.crews,
      instructor: {
        scenario: this.#run.scored(null).scenario,
        notes,
        bodies: simulator.bodies,
        silent: simulator.silent(at_s),
        acts: simulator.acts,
      },
      score: this.#score,
      trouble: this.#trouble,
    };
  }

  heard(said: HeardSaid): void {
    this.#heard.push(said);
    this.#host.tell(this.state());
  }

  /** Null: done; else why it was not. */
  async do(deed: RehearsalDeed): Promise<string | null> {
    switch (deed.kind) {
      case 'go on':
        this.#stage = 'running';
        this.#run.pace(this.#speed);
        return null;
      case 'pause':
        if (this.#stage === 'running') this.#stage = 'paused';
        this.#run.pace(0);
        return null;
      case 'speed':
        this.#speed = deed.speed;
        if (this.#stage === 'running') this.#run.pace(deed.speed);
        return null;
      case 'stop':
        this.end(this.#run.now_s());
        return null;
      case 'act':
        return this.#run.act(deed.act);
      case 'order':
      default:
        return this.#order(deed.order, deed.crew);
    }
  }

  async #order(order: 'say again' | 'go', crew: string): Promise<string | null> {
    if (!this.#run.simulator.crews.includes(crew)) return `the plan has no crew ${crew}`;
    if (order === 'say again') {
      const told = await this.#call(crew, sayAgainWords(crew));
      if (told === null) this.#run.take({ kind: 'say again', crew });
      return told;
    }
    const place = this.#run.placeToGo(await this.#log());
    if (place === null) return 'the log has no touchdown, and no landing was called: nobody knows where to go';
    const told = await this.#call(crew, goWords(crew, place));
    if (told === null) this.#run.take({ kind: 'go', crew, place });
    return told;
  }

  /** What a crew is told stands in the log. */
  async #call(to: string, text: string): Promise<string | null> {
    const logged = await this.#host.append(this.path, { kind: 'call', text, to }, isoOf(Math.floor(this.#run.now_s())));
    return logged.ok ? null : logged.why;
  }

  /** To all crews of the jumper: they heard that the jumper is down. */
  async sendAll(): Promise<void> {
    const place = this.#run.placeToGo(await this.#log());
    if (place === null) return;
    for (const crew of this.#run.jumpersCrews) this.#run.take({ kind: 'go', crew, place });
  }

  async #log(): Promise<readonly LogEvent[]> {
    return readEvents(await readLog(logPathOf(this.path))).value;
  }

  /** `stopped_s`: by a person; null: it is over by itself. */
  end(stopped_s: number | null): void {
    this.#run.pace(0);
    this.#stage = 'scoring';
    this.#host.tell(this.state());
    void this.#scoreIt(stopped_s);
  }

  async #scoreIt(stopped_s: number | null): Promise<void> {
    try {
      await this.close();
      const score = await inTurns(this.#run.scoreInSteps(await this.#log(), MEMBERS));
      this.#score = { run: this.#run.scored(stopped_s), score };
    } catch (error) {
      this.#trouble = `There is no score: ${error instanceof Error ? error.message : String(error)}.`;
    }
    this.#stage = 'over';
    this.#host.tell(this.state());
  }

  async close(): Promise<void> {
    for (const address of this.#addresses) await this.#host.feeds.stop(address);
    await this.#run.close();
  }
}

/** Long work beside everything else that the desk does. */
async function inTurns<T>(steps: Steps<T>): Promise<T> {
  for (;;) {
    const step = steps.next();
    if (step.done === true) return step.value;
    await new Promise((resolve) => void setImmediate(resolve));
  }
}
