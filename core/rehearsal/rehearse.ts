// A rehearsal without a person: the simulator sends its lines, the lead of `lead.ts` gets nothing but these, and the
// log that it kept is scored. Pure: the same mission, scenario and seed give the same bytes.
import type { Steps } from '../base/steps.ts';
import { FixStream } from '../formats/tracks/stream.ts';
import type { LiveOptions } from '../live/follow.ts';
import type { LogEvent } from '../log/events.ts';
import { Lead, type LeadName } from './lead.ts';
import type { RehearsalScenario } from './scenario.ts';
import { scoreOf, type Raised, type Score } from './score.ts';
import { Simulator, type Sent } from './simulator.ts';
import { hiddenTruth, situationBefore, type RehearsedMission } from './truth.ts';

export interface RehearsalOptions extends LiveOptions {
  readonly lead: LeadName;
  /** The lead looks up so often, and says one thing at most, s. */
  readonly every_s: number;
}

export interface Rehearsed {
  readonly score: Score;
  readonly log: readonly LogEvent[];
}

/** Each body's lines come by a stream of their own, as by a feed. */
export class LeadFeeds {
  readonly #lead: Lead;
  readonly #streams = new Map<string, FixStream>();

  constructor(lead: Lead) {
    this.#lead = lead;
  }

  line(body: string, line: string, at_s: number): void {
    const stream = this.#streams.get(body) ?? new FixStream();
    this.#streams.set(body, stream);
    for (const fix of stream.take(line, at_s).fixes) this.#lead.fix(body, fix, at_s);
  }

  /** Nothing more comes of this moment. */
  flush(at_s: number): void {
    for (const [body, stream] of this.#streams)
      for (const fix of stream.flush(at_s).fixes) this.#lead.fix(body, fix, at_s);
  }
}

/**
 * Flies a rehearsal; a sentence where the mission cannot be rehearsed.
 *
 * Cost  a look costs a fold and an analysis of the log, two predictions, and a tenth of a millisecond for each drawn
 *       descent
 */
export function* rehearseInSteps(
  of: RehearsedMission,
  scenario: RehearsalScenario,
  { lead: name, every_s, members, seed }: RehearsalOptions,
): Steps<Rehearsed | string> {
  const begins = situationBefore(of, scenario);
  const truth = hiddenTruth(begins, scenario, seed);
  if (typeof truth === 'string') return truth;
  const simulator = new Simulator(begins, scenario, truth, seed);
  const lead = new Lead(of, begins, name, { members, seed });
  const feeds = new LeadFeeds(lead);
  const raised: Raised[] = [];
  for (let at_s = truth.begins_s + every_s; !simulator.isOver(at_s); at_s += every_s) {
    for (const sent of simulator.until(at_s)) takeSent(sent, lead, feeds, simulator);
    feeds.flush(at_s);
    const { alerts, orders } = lead.step(at_s);
    for (const alert of alerts) raised.push([alert, at_s]);
    for (const order of orders) simulator.take(order, at_s);
    yield;
  }
  return {
    score: scoreOf(of, { truth, said: simulator.said, fixes: simulator.fixes }, lead.log, raised),
    log: lead.log,
  };
}

function takeSent(sent: Sent, lead: Lead, feeds: LeadFeeds, simulator: Simulator): void {
  if (sent.kind === 'fix') for (const line of sent.lines) feeds.line(sent.body, line, sent.at_s);
  else for (const order of lead.hear(sent.text, sent.at_s)) simulator.take(order, sent.at_s);
}
