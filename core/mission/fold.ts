// The state of a mission at a moment: a pure function of plan, log and time (design.md). Which reports count and why the others do
// not, where everybody is, what happened, what was decided and said. Times are seconds since 1970-01-01T00:00:00Z.
import type { LonLat } from '../units.ts';
import { DEFAULT_CORRELATION_DISTANCE_M, DEFAULT_CORRELATION_TIME_S } from '../winds/errors.ts';
import { clockWords } from '../winds/words.ts';
import type { Correction, LogEvent, WindReport } from './events.ts';
import {
  CLOCK_TOLERANCE_S,
  FARTHEST_DISTANCES,
  OLDEST_TIMES,
  outcomeOf,
  refusalOf,
  repeatKey,
  timeOf,
  type Entry,
  type ReportOutcome,
} from './fate.ts';
import { placesOf, type Place } from './places.ts';
import type { Mission } from './schema.ts';

type Of<K extends LogEvent['kind']> = Extract<LogEvent, { kind: K }>;

export interface ReportState {
  readonly id: string;
  readonly seq: number;
  readonly event: WindReport | Correction;
  readonly at_s: number;
  readonly observed_s: number;
  readonly position: LonLat;
  /** Where the position came from, in words: "as reported", "Team 2's last fix", "the site". */
  readonly placedBy: string;
  readonly outcome: ReportOutcome;
  /** Set where a person confirmed the report although it looked wrong: it is then never held back. */
  readonly confirmed: { readonly by: string | null; readonly at_s: number; readonly seq: number } | null;
}

export interface FixState {
  readonly seq: number;
  readonly time_s: number;
  readonly position: LonLat;
  readonly height_m: number | null;
}

export interface MarkState extends Omit<FixState, 'position'> {
  readonly mark: string;
  readonly position: LonLat | null;
}

/** Something in the log that could not be followed, said once. */
export interface LogRemark {
  readonly seq: number;
  readonly text: string;
}

export interface MissionState {
  readonly at_s: number;
  /** Number of the last event that is in; −1 where none is. */
  readonly lastSeq: number;
  /** Every report and correction, in order of `seq`. */
  readonly reports: readonly ReportState[];
  /** Those whose outcome is `counts`. The analysis may still hold some of them back (`winds/reversal.ts`). */
  readonly counting: readonly ReportState[];
  readonly byId: ReadonlyMap<string, ReportState>;
  /** Fixes by body, in order of time. */
  readonly fixes: ReadonlyMap<string, readonly FixState[]>;
  /** The newest mark of each name, and all of them in order of `seq`. */
  readonly marks: ReadonlyMap<string, MarkState>;
  readonly allMarks: readonly MarkState[];
  readonly advice: Of<'advice'> | null;
  readonly decision: Of<'decision'> | null;
  readonly decisions: readonly Of<'decision'>[];
  readonly calls: readonly Of<'call'>[];
  readonly notes: readonly Of<'note'>[];
  /** The newest reading back of each list item. */
  readonly checks: ReadonlyMap<string, Of<'check'>>;
  readonly remarks: readonly LogRemark[];
}

/**
 * The mission at a moment.
 *
 * mission   the plan: places of the site and the teams, correlation time and distance of the wind error
 * log       any events in any order; taken in order of `seq`, those whose own `at` is not after `at_s`
 * Answers   a correction strikes the report it names and all that report's corrections; a correction of an unknown id counts as a
 *           report of its own; a withdrawal is final for what it names, a later correction of it counts again; a repeat word for
 *           word shares the fate of the first. Everything that could not be followed stands in `remarks`.
 * Cost      10 000 reports in 35 ms (2-core server, Node 20), linear in their number
 */
export function missionAt(mission: Mission, log: readonly LogEvent[], at_s: number): MissionState {
  const taken = log.filter((event) => timeOf(event.at) <= at_s);
  if (taken.some((event, i) => i > 0 && event.seq < (taken[i - 1]?.seq ?? 0))) taken.sort((a, b) => a.seq - b.seq);
  const fold = new Fold(mission, at_s);
  for (const event of taken) fold.take(event);
  return fold.state();
}

class Fold {
  readonly #mission: Mission;
  readonly #places: readonly Place[];
  readonly #at_s: number;
  readonly #entries: Entry[] = [];
  readonly #heads = new Map<string, Entry>();
  readonly #repeats = new Map<string, Entry>();
  readonly #fixes = new Map<string, FixState[]>();
  readonly #marks: MarkState[] = [];
  readonly #decisions: Of<'decision'>[] = [];
  readonly #calls: Of<'call'>[] = [];
  readonly #notes: Of<'note'>[] = [];
  readonly #checks = new Map<string, Of<'check'>>();
  readonly #remarks: LogRemark[] = [];
  #advice: Of<'advice'> | null = null;
  #lastSeq = -1;

  constructor(mission: Mission, at_s: number) {
    this.#mission = mission;
    this.#places = placesOf(mission);
    this.#at_s = at_s;
  }

  take(event: LogEvent): void {
    this.#lastSeq = event.seq;
    switch (event.kind) {
      case 'wind-report':
      case 'correction':
        this.#report(event);
        return;
      case 'withdrawal':
        this.#withdraw(event);
        return;
      case 'confirmation':
        this.#confirm(event);
        return;
      case 'fix':
        this.#fix(event);
        return;
      case 'mark':
        this.#marks.push({
          seq: event.seq,
          mark: event.mark,
          time_s: timeOf(event.observedAt ?? event.at),
          position: event.position ?? null,
          height_m: event.height_m ?? null,
        });
        return;
      case 'advice':
        this.#advice = event;
        return;
      case 'decision':
        this.#decisions.push(event);
        return;
      case 'call':
        this.#calls.push(event);
        return;
      case 'check':
        this.#checks.set(event.item, event);
        return;
      case 'note':
        this.#notes.push(event);
        return;
    }
  }

  #remark(event: LogEvent, text: string): void {
    this.#remarks.push({ seq: event.seq, text });
  }

  #report(event: WindReport | Correction): void {
    const corrected = event.kind === 'correction' ? this.#heads.get(event.corrects) : undefined;
    if (event.kind === 'correction' && corrected === undefined) {
      this.#remark(event, `corrects "${event.corrects}", which the log does not have: "${event.id}" counts as a report of its own`);
    }
    const at_s = timeOf(event.at);
    const key = repeatKey(event);
    const repeats = event.kind === 'correction' ? null : (this.#repeats.get(key) ?? null);
    // A correction may carry the id of what it replaces; any other second use of an id is a mistake of the sender.
    const replaced = chainOf(corrected);
    const namesake = this.#heads.get(event.id);
    const taken = repeats === null && namesake !== undefined && !replaced.includes(namesake);
    const sentence = `the id "${event.id}" belongs to an earlier report; a change of that one must come as a correction`;
    const entry: Entry = {
      index: this.#entries.length,
      event,
      at_s,
      observed_s: timeOf(event.observedAt),
      refusal: taken ? { kind: 'id taken', sentence } : refusalOf(event, at_s),
      repeats,
      placed: this.#place(event),
      struck: null,
      withdrawn: null,
      confirmed: null,
    };
    this.#entries.push(entry);
    if (taken) this.#remark(event, sentence);
    if (taken || repeats !== null) return;
    const last = replaced.at(-1);
    if (last !== undefined) last.struck = entry;
    this.#heads.set(event.id, entry);
    if (event.kind === 'wind-report') this.#repeats.set(key, entry);
  }

  #withdraw(event: Of<'withdrawal'>): void {
    const entry = this.#heads.get(event.of);
    if (entry === undefined) this.#remark(event, `withdraws "${event.of}", which the log does not have: nothing changed`);
    else if (entry.withdrawn !== null) this.#remark(event, `withdraws "${event.of}", which was withdrawn already`);
    else entry.withdrawn = { event, at_s: timeOf(event.at) };
  }

  #confirm(event: Of<'confirmation'>): void {
    const entry = this.#heads.get(event.of);
    if (entry === undefined) this.#remark(event, `confirms "${event.of}", which the log does not have: nothing changed`);
    else {
      entry.confirmed = { by: event.by ?? null, at_s: timeOf(event.at), seq: event.seq };
      if (entry.struck !== null) this.#remark(event, `confirms "${event.of}" after it was corrected: the correction stands`);
      if (entry.withdrawn !== null) this.#remark(event, `confirms "${event.of}" after it was withdrawn: it stays withdrawn`);
    }
  }

  #fix(event: Of<'fix'>): void {
    const fix = {
      seq: event.seq,
      time_s: timeOf(event.observedAt ?? event.at),
      position: event.position,
      height_m: event.height_m ?? null,
    };
    if (!(fix.time_s <= timeOf(event.at) + CLOCK_TOLERANCE_S)) {
      this.#remark(event, `a fix of ${event.body} from the future (${clockWords(fix.time_s)}): it does not count`);
      return;
    }
    const list = this.#fixes.get(event.body);
    if (list === undefined) this.#fixes.set(event.body, [fix]);
    else {
      // Almost always at the end: feeds deliver in order.
      let i = list.length;
      while (i > 0 && (list[i - 1]?.time_s ?? 0) > fix.time_s) i -= 1;
      list.splice(i, 0, fix);
    }
  }

  /** Where a report was made: as it says, else the last fix or the planned place of the team, else the place that it names, else the site. */
  #place(event: WindReport | Correction): Entry['placed'] {
    if (event.position !== undefined) return { position: event.position, by: 'as reported' };
    const { by, place } = event;
    const named = this.#places.find((one) => one.name === place);
    const point = named?.points[Math.floor((named.points.length - 1) / 2)];
    if (named !== undefined && point !== undefined) return { position: point, by: named.name };
    const team = by === undefined ? undefined : this.#mission.teams?.find((one) => one.name === by);
    const fixes = by === undefined ? undefined : this.#fixes.get(by);
    const observed_s = timeOf(event.observedAt);
    const fix = fixes?.findLast((one) => one.time_s <= observed_s) ?? fixes?.[0];
    if (fix !== undefined) return { position: fix.position, by: `${by}'s last fix` };
    if (team !== undefined) return { position: team.position, by: `${team.name}'s place in the plan` };
    return { position: this.#mission.site.position, by: 'the site' };
  }

  state(): MissionState {
    const wind = this.#mission.uncertainty?.wind;
    const oldest_s = OLDEST_TIMES * (wind?.correlationTime_s ?? DEFAULT_CORRELATION_TIME_S);
    const farthest_m = FARTHEST_DISTANCES * (wind?.correlationDistance_m ?? DEFAULT_CORRELATION_DISTANCE_M);
    const limits = { at_s: this.#at_s, site: this.#mission.site.position, oldest_s, farthest_m };
    const reports = this.#entries.map((entry) => stateOf(entry, outcomeOf(entry, limits)));
    const byId = new Map<string, ReportState>();
    for (const [id, entry] of this.#heads) {
      const report = reports[entry.index];
      if (report !== undefined) byId.set(id, report);
    }
    const marks = new Map<string, MarkState>();
    for (const mark of this.#marks) marks.set(mark.mark, mark);
    return {
      at_s: this.#at_s,
      lastSeq: this.#lastSeq,
      reports,
      counting: reports.filter((report) => report.outcome.kind === 'counts'),
      byId,
      fixes: this.#fixes,
      marks,
      allMarks: this.#marks,
      advice: this.#advice,
      decision: this.#decisions.at(-1) ?? null,
      decisions: this.#decisions,
      calls: this.#calls,
      notes: this.#notes,
      checks: this.#checks,
      remarks: this.#remarks,
    };
  }
}

/** A report and the corrections of it and of each other that followed, oldest first. */
function chainOf(first: Entry | undefined): Entry[] {
  const chain: Entry[] = [];
  // Every link is a later event than the one before, so the chain ends.
  for (let one = first; one !== undefined; one = one.struck ?? undefined) chain.push(one);
  return chain;
}

function stateOf(entry: Entry, outcome: ReportOutcome): ReportState {
  const { event, at_s, observed_s, placed, confirmed } = entry;
  return { id: event.id, seq: event.seq, event, at_s, observed_s, position: placed.position, placedBy: placed.by, outcome, confirmed };
}
