// The word near a situation, in some milliseconds: one input is changed, the planned exit is predicted once, and the
// sample of drift landings, moved with it, stands for the descents. A flown judgement of a change corrects it, limit by
// limit, so that it is exact at that change and good near it.
import { keptIn } from '../base/kept.ts';
import { carrierAt, carrierPath, type CarrierPoint } from '../descent/carrier.ts';
import type { Outlook } from '../descent/outlook.ts';
import { predict } from '../descent/predict.ts';
import { scenarioOf } from '../descent/scenario.ts';
import { inverse } from '../earth/geodesic.ts';
import type { Situation } from '../mission/situation.ts';
import type { Hazard } from '../plan/schema.ts';
import { changed, type InputChange } from './changes.ts';
import { driftScenario, ExitJudge, landingOf, type DriftSample, type ExitPromise } from './exits.ts';
import type { ExitState } from '../descent/flight.ts';
import { windFrom, type LonLat } from '../base/units.ts';
import type { ExitJudgement } from './judgement.ts';
import { isDeadly, judgeLimit, wordOf, type Judged, type LimitName, type Word } from './limits.ts';
import { turbulenceAt } from './lee.ts';
import { waterChance } from './waterChance.ts';
import { LIMIT_VALUES, windAt, type LimitFacts } from './limitValues.ts';
import { chanceOf, exitAt, roomAt, roomOf, type ExitLine } from './window.ts';
import type { ZoneFit } from './zoneFit.ts';

/** What is estimated at a change: facts with the window as it is now, and how far the window's rule is kept. */
interface Looked {
  readonly facts: LimitFacts;
  readonly room: number;
}

export interface NearbyWord {
  readonly word: Word;
  readonly because: readonly Judged[];
}

/**
 * What a flown judgement says more than the estimate, `by` so much of a change: by limit, and of how far the exit lies
 * inside the window's rule.
 */
interface Correction {
  readonly by: number;
  readonly of: ReadonlyMap<LimitName, number>;
  readonly room: number;
}

/** Limits that are not corrected: the room stands for the window, and a question stays open. */
const UNCORRECTED: ReadonlySet<LimitName> = new Set(['exitInWindow_s', 'windQuestions']);

/** Of changes of one input in one direction. */
export class Nearby {
  readonly #situation: Situation;
  readonly #sample: DriftSample;
  readonly #now: ExitJudgement;
  /** In the order of `by`. */
  readonly #corrections: readonly Correction[];
  /** No change touches the hazards. */
  readonly #deadly: readonly Hazard[];
  /** What was found at each change, before any correction. */
  readonly #looked: Map<number, Looked>;

  constructor(
    situation: Situation,
    now: ExitJudgement,
    corrections: readonly Correction[] = [],
    looked = new Map<number, Looked>(),
  ) {
    this.#looked = looked;
    this.#situation = situation;
    this.#now = now;
    this.#sample = thinned(now.judge.sample);
    this.#corrections = corrections;
    this.#deadly = (situation.mission.hazards ?? []).filter(isDeadly);
  }

  at(change: InputChange): NearbyWord {
    const facts = this.#facts(change);
    const judged = this.#now.limits.map(({ limit }) => {
      const value = LIMIT_VALUES[limit.name](facts);
      const more = this.#between(change, ({ of }) => of.get(limit.name) ?? 0);
      return judgeLimit(limit, value.kind === 'known' ? { ...value, value: value.value + more } : value);
    });
    return wordOf(judged);
  }

  /** The same, exact at a change that was flown too. */
  corrected(change: InputChange, flown: ExitJudgement): Nearby {
    const estimate = this.#lookedAt(change);
    const of = new Map<LimitName, number>();
    for (const { limit, value } of flown.limits) {
      const estimated = LIMIT_VALUES[limit.name](estimate.facts);
      if (UNCORRECTED.has(limit.name) || value.kind !== 'known' || estimated.kind !== 'known') continue;
      of.set(limit.name, value.value - estimated.value);
    }
    const room = flownRoom(flown) - estimate.room;
    const more = [...this.#corrections, { by: Math.abs(change.by), of, room }].sort((a, b) => a.by - b.by);
    return new Nearby(this.#situation, this.#now, more, this.#looked);
  }

  /** Straight between the changes that were flown, and as at the last beyond it. */
  #between(change: InputChange, value: (correction: Correction) => number): number {
    const by = Math.abs(change.by);
    const above = this.#corrections.find((one) => one.by >= by);
    const below = this.#corrections.findLast((one) => one.by <= by);
    const [a, b] = [below ?? above, above ?? below];
    if (a === undefined || b === undefined) return 0;
    const x = b.by > a.by ? (by - a.by) / (b.by - a.by) : 0;
    return value(a) + x * (value(b) - value(a));
  }

  /** With the window as the corrections have it. */
  #facts(change: InputChange): LimitFacts {
    const { facts, room } = this.#lookedAt(change);
    if (change.input === 'exit time') return facts;
    const inside = room + this.#between(change, (one) => one.room);
    return { ...facts, line: lineFor(facts.line, facts.outlook.scenario.exit.time_s, inside) };
  }

  #lookedAt(change: InputChange): Looked {
    return keptIn(this.#looked, change.by, () => this.#look(change));
  }

  #look(change: InputChange): Looked {
    const { expected, limits, zone, zones, exits, shock95_g, questions, cases, members } = this.#now;
    const then = changed(this.#situation, change);
    const now = expected.outlook;
    const scenario = scenarioOf(then.mission, then.world);
    const prediction = predict(scenario, now.offset);
    const outlook = { ...now, scenario, prediction };
    const here = now.prediction.landing?.position ?? null;
    const there_to = prediction.landing?.position ?? here;
    const moved =
      here === null || there_to === null ? undefined : ([there_to[0] - here[0], there_to[1] - here[1]] as const);
    const sample = sampleFor(this.#sample, now, outlook);
    const carrier = carrierPath(then.mission, then.world, now.offset, then.state);
    const { landingZones = [], hazards = [] } = then.mission;
    const driftFrom = (exit: ExitState): LonLat | null => landingOf(driftScenario(scenario), now.error, exit);
    const promiseOf = (drift: LonLat | null, kinds: readonly Hazard[]): ExitPromise => {
      const [east, north] = drift === null ? [NaN, NaN] : sample.frame.toLocal(drift);
      const judge = new ExitJudge(sample, landingZones, kinds, zone ?? NO_ZONE);
      return judge.promise(east - sample.predicted[0], north - sample.predicted[1], false);
    };
    const drift = driftFrom(scenario.exit);
    const promise = promiseOf(drift, hazards);
    // The window is of exits on the line: the planned one may lie beside it.
    const there = carrier === null ? null : carrierAt(carrier, scenario.exit.time_s);
    const beside = there !== null && !isExit(there, scenario.exit);
    const room = ruleRoom(beside ? promiseOf(driftFrom(exitAt(there)), hazards) : promise, { zone, limits });
    const facts: LimitFacts = {
      situation: then,
      outlook,
      planned: drift === null ? null : { ...promise, exit: scenario.exit, driftLanding: drift, flown: 0 },
      zone,
      line: exits,
      carrier,
      fit: fitIn(then, outlook, zones.find((one) => one.zone.name === zone) ?? null),
      left: false,
      questions,
      cases,
      shock95_g: scaled(shock95_g, prediction.opening?.shock_g, now.prediction.opening?.shock_g),
      water: waterChance(then.mission, { members, landing: here, moved }, cases),
      deadly:
        this.#deadly.length === 0
          ? null
          : (this.#deadly.length === hazards.length ? promise : promiseOf(drift, this.#deadly)).inHazard,
    };
    return { facts, room };
  }
}

/** Whether a point of the carrier's flight is an exit, to the metre. */
const isExit = ({ position, height_m }: CarrierPoint, exit: ExitState): boolean =>
  Math.abs(height_m - exit.height_m) < 1 && inverse(position, [exit.lon_deg, exit.lat_deg]).distance_m < 1;

/** The fit of a zone with what stands upwind of it in another wind. */
function fitIn({ mission, world }: Situation, outlook: Outlook, fit: ZoneFit | null): ZoneFit | null {
  if (fit === null) return null;
  const place = outlook.prediction.landing?.position ?? mission.site.position;
  const wind = windFrom(...windAt(outlook, place, 10));
  return { ...fit, turbulence: turbulenceAt(fit.zone, { mission, terrain: world.ground.terrain, wind }) };
}

/** A name that no zone has: the plan steers to none. */
const NO_ZONE = '\0';

function scaled(value: number | null, then: number | undefined, now: number | undefined): number | null {
  return value === null || then === undefined || now === undefined ? value : (value * then) / now;
}

/** So many members are counted at a look: what they are off by, the flown judgements correct. */
const LOOK_MEMBERS = 500;

function thinned(sample: DriftSample): DriftSample {
  const every = Math.floor(sample.east_m.length / LOOK_MEMBERS);
  if (every < 2) return sample;
  const some = (values: Float64Array): Float64Array => values.filter((_, i) => i % every === 0);
  return {
    ...sample,
    east_m: some(sample.east_m),
    north_m: some(sample.north_m),
    reach_m: some(sample.reach_m),
    aimEast_m: some(sample.aimEast_m),
    aimNorth_m: some(sample.aimNorth_m),
  };
}

/** A canopy that opens higher reaches farther, in proportion to the height under it. */
function sampleFor(sample: DriftSample, now: Outlook, then: Outlook): DriftSample {
  const under = ({ prediction: { opening, landing } }: Outlook): number =>
    (opening?.height_m ?? NaN) - (landing?.elevation_m ?? NaN);
  const factor = under(then) / under(now);
  if (!(Math.abs(factor - 1) > 0.005)) return sample;
  return { ...sample, reach_m: sample.reach_m.map((reach_m) => reach_m * factor) };
}

type Rule = Pick<ExitJudgement, 'zone' | 'limits'>;

/** How far the rule of the window is kept at an exit, by the estimate; below 0 it is not. */
function ruleRoom(promise: ExitPromise, { zone, limits }: Rule): number {
  const numberOf = (name: LimitName): number => limits.find(({ limit }) => limit.name === name)?.limit.number ?? NaN;
  const [zoneProbability, hazardProbability] = [numberOf('zoneProbability'), numberOf('hazardProbability')];
  return roomOf(chanceOf(zone, promise), promise.inHazard.p, { zoneProbability, hazardProbability });
}

/** The same by a judgement's own window, whose ends are flown: how much the estimate changes from the nearer end on. */
function flownRoom({ exits, expected, zone, limits }: ExitJudgement): number {
  const { best, options, window } = exits;
  if (best === null) return -1;
  if (window === null) return Math.min(ruleRoom(best, { zone, limits }), -LEAST_ROOM);
  const exit_s = expected.outlook.scenario.exit.time_s;
  const rooms = options.map((option) => ruleRoom(option, { zone, limits }));
  const end_s = exit_s - window.opens_s < window.closes_s - exit_s ? window.opens_s : window.closes_s;
  const more = roomAt(options, rooms, exit_s) - roomAt(options, rooms, end_s);
  return exit_s >= window.opens_s && exit_s <= window.closes_s
    ? Math.max(more, LEAST_ROOM)
    : Math.min(more, -LEAST_ROOM);
}

/** On which side of an end an exit lies says its window, also where the estimate is level there. */
const LEAST_ROOM = 1e-4;

/**
 * The window about the planned exit where its rule is kept, and none where not: how long it is does not matter here.
 */
function lineFor(exits: ExitLine, exit_s: number, room: number): ExitLine {
  if (exits.options.length === 0) return exits;
  const window = { opens_s: exit_s - 1, closes_s: exit_s + 1, error_s: exits.window?.error_s ?? 0 };
  return { ...exits, window: room >= 0 ? window : null, ends: null };
}
