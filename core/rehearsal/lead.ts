// A lead who sits there without being a person: every wind goes in by the reader that the entry line uses, phases and
// landing come from the code of `plumbline follow`, what is said is what Calls offers, and everything stands in a log
// as the window would have written it. What a person would decide follows one rule each. Knows nothing but lines.
import { isoOf } from '../base/plainNumbers.ts';
import type { LonLat } from '../base/units.ts';
import { zoneSteeredFor } from '../descent/scenario.ts';
import { declination_deg } from '../earth/declination.ts';
import { readReport } from '../formats/messages/report.ts';
import type { StreamFix } from '../formats/tracks/stream.ts';
import type { LogEvent, NewEvent } from '../log/events.ts';
import { Folding, nextReportId, type MissionState, type ReportState } from '../log/fold.ts';
import { listsAt } from '../log/lists.ts';
import { timeOf } from '../log/fate.ts';
import type { Alert } from '../live/alerts.ts';
import { TO_ALL } from '../live/callOffers.ts';
import { callsAt, type ReadyCall } from '../live/calls.ts';
import { Live, type LiveOptions, type LiveStep } from '../live/follow.ts';
import type { PhaseNow } from '../live/phases.ts';
import { expectedOf } from '../mission/expected.ts';
import { hearingContext } from '../mission/hearing.ts';
import { situationOf, type Situation } from '../mission/situation.ts';
import { touchdownIn } from '../mission/touchdown.ts';
import type { Mission, Team } from '../plan/schema.ts';
import { isConfirmable } from '../winds/meanings.ts';
import type { HeldReport } from '../winds/now.ts';
import { PAPER_UNITS } from '../words/numbers.ts';
import { formatDegrees } from '../words/positions.ts';
import type { RehearsedMission } from './truth.ts';

/** What the lead does with a report that is held back. */
export const leadNames = ['careful', 'credulous'] as const;
/**
 * Careful: the crew is asked to read it again, and that stands in its place; held back a second time it is confirmed,
 * since it was read twice. Credulous: it is confirmed as it stands.
 */
export type LeadName = (typeof leadNames)[number];

/** What the lead wants of those who are out there. */
export type LeadOrder =
  | { readonly kind: 'say again'; readonly crew: string }
  | { readonly kind: 'go'; readonly crew: string; readonly place: LonLat };

export interface LeadStep extends LiveStep {
  readonly orders: readonly LeadOrder[];
}

/** What was said is said again after so long, s. Ours. */
const AGAIN_S = 60;
const LEAD = 'rehearsal lead';
/** What is not worked out beside a rehearsal, so that nothing is called of it. */
const NO_WORD = 'no word is worked out in a rehearsal without a person';
const NO_CREWS = 'the crews’ ways are not worked out in a rehearsal without a person';

const FLIES: ReadonlySet<string> = new Set(['freefall', 'drogue', 'opening', 'canopy']);

export class Lead {
  readonly #of: RehearsedMission;
  readonly #name: LeadName;
  readonly #live: Live;
  readonly #folding = new Folding();
  readonly #asked = new Set<string>();
  /** Reports that a crew was asked to read again, by the crew. */
  readonly #awaited = new Map<string, string>();
  readonly #readTwice = new Set<string>();
  readonly #unread = new Set<string>();
  /** Alerts that began at the last step: they are answered at the next. */
  #alerts: readonly Alert[] = [];
  readonly #sent = new Set<string>();
  /** What stands in the log; a new list with each event, since a fold goes on from the list that it knows. */
  log: readonly LogEvent[];

  constructor(of: RehearsedMission, begins: Situation, name: LeadName, options: LiveOptions) {
    this.#of = of;
    this.#name = name;
    this.#live = new Live(begins, options);
    this.log = of.log.filter(({ at }) => timeOf(at) <= begins.at_s);
  }

  #add(event: NewEvent, at_s: number): void {
    this.log = [...this.log, { ...event, seq: (this.log.at(-1)?.seq ?? 0) + 1, at: isoOf(Math.floor(at_s)) }];
  }

  #state(at_s: number): MissionState {
    return this.#folding.at(this.#of.mission, this.log, at_s);
  }

  #situation(at_s: number): Situation {
    return situationOf(this.#of.mission, this.#state(at_s), this.#of.world);
  }

  /** A fix of a body that came by its feed. */
  fix(body: string, { time_s, position, height_m }: Omit<StreamFix, 'sender'>, at_s: number): void {
    const height = height_m === null ? {} : { height_m: Math.round(height_m * 10) / 10 };
    this.#add({ kind: 'fix', body, position, ...height, observedAt: isoOf(time_s) }, at_s);
    if (height_m === null || !(body === 'jumper' || body === 'gondola')) return;
    this.#live.fix(body, { time_s, position, height_m });
  }

  /** Something was said on the radio. Answers what must be asked back. */
  hear(text: string, at_s: number): readonly LeadOrder[] {
    const situation = this.#situation(at_s);
    const id = nextReportId(situation.state.reports);
    const reading = readReport(text, hearingContext(situation, id));
    if (reading.kind === 'read') {
      const { event } = reading;
      const by = event.by ?? '';
      const corrects = this.#awaited.get(by);
      this.#awaited.delete(by);
      this.#unread.delete(by);
      if (corrects !== undefined) this.#readTwice.add(id);
      this.#add(corrects === undefined ? event : { ...event, kind: 'correction', corrects }, at_s);
      return [];
    }
    const why = reading.kind === 'ask' ? reading.words : reading.why;
    this.#add({ kind: 'note', text: `Heard: ${text} (${why})`, by: LEAD }, at_s);
    // The longest: "Team 12" is not "Team 1".
    const named = (this.#of.mission.teams ?? []).map(({ name }) => name).filter((name) => text.includes(name));
    const crew = named.toSorted((a, b) => b.length - a.length)[0];
    // Once: whoever says the same again is left.
    if (crew === undefined || this.#unread.has(crew)) return [];
    this.#unread.add(crew);
    return this.#sayAgain(crew, at_s);
  }

  #sayAgain(crew: string, at_s: number): readonly LeadOrder[] {
    this.#add({ kind: 'call', text: sayAgainWords(crew), by: LEAD, to: crew }, at_s);
    return [{ kind: 'say again', crew }];
  }

  /** One look at everything; not before the last one. */
  step(at_s: number): LeadStep {
    const before = this.#situation(at_s);
    const questions = before.winds.held.flatMap((one) => this.#question(one, at_s));
    this.#answerAlerts(at_s);
    this.#live.renew(this.#situation(at_s));
    const step = this.#live.step(at_s);
    this.#mark(step.phases['jumper'], at_s);
    this.#alerts = step.alerts;
    const situation = this.#situation(at_s);
    if (!situation.state.marks.has('exit')) this.#readLists(situation, at_s);
    const call = this.#callNow(situation);
    if (call !== null) this.#say(call, at_s);
    return { ...step, orders: [...questions, ...(call === null ? [] : this.#crewsFor(call, situation))] };
  }

  #question({ report, kind }: HeldReport, at_s: number): readonly LeadOrder[] {
    const { id, event } = report;
    if (this.#asked.has(id)) return [];
    this.#asked.add(id);
    if ((this.#name === 'credulous' || this.#readTwice.has(id)) && isConfirmable(kind)) {
      this.#add({ kind: 'confirmation', of: id, by: LEAD }, at_s);
      return [];
    }
    const crew = this.#crewOf(event);
    if (crew === null) return [];
    this.#awaited.set(crew, id);
    return this.#sayAgain(crew, at_s);
  }

  #crewOf({ by }: ReportState['event']): string | null {
    return by !== undefined && (this.#of.mission.teams ?? []).some(({ name }) => name === by) ? by : null;
  }

  #answerAlerts(at_s: number): void {
    for (const { kind, of, since_s, text } of this.#alerts) {
      const about = of === '' ? {} : { about: of };
      const reason = 'seen; what it asks for is done';
      this.#add({ kind: 'silence', alert: kind, ...about, since: isoOf(since_s), text, reason, by: LEAD }, at_s);
    }
  }

  /** Marks of what the fixes have shown. */
  #mark(now: PhaseNow | undefined, at_s: number): void {
    if (now === undefined) return;
    const { marks } = this.#state(at_s);
    const { phase, since_s } = now;
    const mark = (name: string): void => {
      if (!marks.has(name)) this.#add({ kind: 'mark', mark: name, observedAt: isoOf(since_s) }, at_s);
    };
    if (FLIES.has(phase)) mark('exit');
    if (phase === 'opening' || phase === 'canopy') mark('opening');
    if (phase === 'down' && marks.has('exit')) mark('touchdown');
  }

  /** The next open item of the lead's lists is read back, one a look. */
  #readLists({ mission, state }: Situation, at_s: number): void {
    for (const list of listsAt(mission, state)) {
      const open = list.items.find((item) => item.state.kind !== 'read back' && item.state.kind !== 'skipped');
      if (open === undefined) continue;
      this.#add({ kind: 'check', list: list.name, item: open.name, by: open.who ?? LEAD }, at_s);
      return;
    }
  }

  /** The first that is to be said: a correction, what was not said yet, or what was said long enough ago. */
  #callNow(situation: Situation): ReadyCall | null {
    const { mission, at_s } = situation;
    const { position, elevation_m } = mission.site;
    const { ready } = callsAt({
      situation,
      expected: expectedOf(situation),
      at_s,
      zone: zoneSteeredFor(mission),
      advice: NO_WORD,
      crews: NO_CREWS,
      declination: declination_deg(position, elevation_m, at_s),
      units: PAPER_UNITS,
    });
    return ready.find((one) => one.readBack !== null || at_s - (one.said_s ?? -Infinity) >= AGAIN_S) ?? null;
  }

  #say({ words, to, key, values }: ReadyCall, at_s: number): void {
    this.#add({ kind: 'call', text: words, by: LEAD, to, key, values }, at_s);
  }

  /** Once it is called that the jumper is down, the crews go: to the place that is called, else the last one. */
  #crewsFor({ key, to }: ReadyCall, situation: Situation): readonly LeadOrder[] {
    if (key !== 'down' || to !== TO_ALL) return [];
    const place = placeToGo(situation.state, this.log);
    if (place === null) return [];
    const crews = jumpersCrews(situation.mission).filter(({ name }) => !this.#sent.has(name));
    for (const { name } of crews) this.#sent.add(name);
    return crews.map(({ name }) => ({ kind: 'go', crew: name, place }));
  }
}

/** What a crew hears that is to read its wind again. */
export const sayAgainWords = (crew: string): string => `${crew}, say your wind again: FROM where, how strong`;

/** What a crew hears that is to go. */
export const goWords = (crew: string, place: LonLat): string => `${crew}, go to ${formatDegrees(place)}`;

/** Those who go when the jumper is down. */
export const jumpersCrews = ({ teams }: Pick<Mission, 'teams'>): readonly Team[] =>
  (teams ?? []).filter(({ serves }) => serves !== 'gondola');

/** Where the log has the touchdown, else the landing that was called last; null: nobody knows where to go. */
export const placeToGo = (state: MissionState, log: readonly LogEvent[]): LonLat | null =>
  touchdownIn(state)?.place ?? landingsCalled(log).at(-1)?.place ?? null;

/** Every landing that was called, in the log's order. */
export function landingsCalled(log: readonly LogEvent[]): { readonly at_s: number; readonly place: LonLat }[] {
  return log.flatMap((event) => {
    if (event.kind !== 'call' || event.key !== 'landing') return [];
    const { lon_deg, lat_deg } = event.values ?? {};
    const isPlace = typeof lon_deg === 'number' && typeof lat_deg === 'number';
    return isPlace ? [{ at_s: timeOf(event.at), place: [lon_deg, lat_deg] as const }] : [];
  });
}
