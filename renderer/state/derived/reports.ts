// The reports as the window lists them: each with what became of it and why, what it weighs now, and what may be done
// to it.
import { never } from '../../../core/base/problem.ts';
import type { ReportState } from '../../../core/log/fold.ts';
import type { Situation } from '../../../core/mission/situation.ts';
import { RAD_PER_DEG } from '../../../core/base/units.ts';
import { backgroundCovariance, pointsOf } from '../../../core/winds/analysis.ts';
import type { HeldReport, WindQuestion, WindsNow } from '../../../core/winds/now.ts';
import { observationOf } from '../../../core/winds/reports.ts';
import type { ReportFilter } from '../stored/reportsView.ts';
import { direction, speed, windBothWays, isCalm, directionWords } from '../../../core/words/winds.ts';
import { height } from '../../../core/words/lengths.ts';
import type { Units } from '../../../core/words/numbers.ts';

/**
 * `left out`: it counts, but newer or nearer readings say the same better. `refused`: it fails by itself; the sentence
 * says why.
 */
export type Standing = 'counts' | 'left out' | 'held' | 'struck' | 'withdrawn' | 'refused';

export interface ReportRow {
  readonly seq: number;
  readonly id: string;
  readonly report: ReportState;
  readonly standing: Standing;
  /** What became of it, as a sentence without its full stop. */
  readonly sentence: string;
  /** Set where it is held back. */
  readonly held: HeldReport | null;
}

export interface ReportTable {
  /** Newest first. */
  readonly rows: readonly ReportRow[];
  readonly bySeq: ReadonlyMap<number, ReportRow>;
  readonly counts: { readonly [F in ReportFilter]: number };
}

export const NO_REPORTS: ReportTable = { rows: [], bySeq: new Map(), counts: { all: 0, counts: 0, held: 0, not: 0 } };

/** Cost: 4 ms for 10 000 reports. */
export function reportTableOf(situation: Situation): ReportTable {
  const { state, winds } = situation;
  const held = new Map(winds.held.map((one) => [one.report.seq, one]));
  const rows: ReportRow[] = [];
  const bySeq = new Map<number, ReportRow>();
  const counts = { all: 0, counts: 0, held: 0, not: 0 };
  for (let i = state.reports.length - 1; i >= 0; i--) {
    const report = state.reports[i];
    if (report === undefined) continue;
    const row = rowOf(report, held.get(report.seq) ?? null, winds.used);
    rows.push(row);
    bySeq.set(row.seq, row);
    counts.all += 1;
    counts[filterOf(row.standing)] += 1;
  }
  return { rows, bySeq, counts };
}

function rowOf(report: ReportState, held: HeldReport | null, used: ReadonlySet<string>): ReportRow {
  const { seq, id, outcome } = report;
  const row = { seq, id, report, held };
  if (outcome.kind !== 'counts') {
    const standing = outcome.kind === 'struck' || outcome.kind === 'withdrawn' ? outcome.kind : 'refused';
    return { ...row, standing, sentence: outcome.sentence };
  }
  if (held !== null) return { ...row, standing: 'held', sentence: held.sentence };
  if (!used.has(id))
    return {
      ...row,
      standing: 'left out',
      sentence: 'counts, and adds nothing: newer or nearer readings say the same better',
    };
  const by = report.confirmed?.by ?? null;
  const confirmed = report.confirmed === null ? 'counts' : `confirmed${by === null ? '' : ` by ${by}`}, counts`;
  return { ...row, standing: 'counts', sentence: confirmed };
}

function filterOf(standing: Standing): Exclude<ReportFilter, 'all'> {
  switch (standing) {
    case 'counts':
    case 'left out':
      return 'counts';
    case 'held':
      return 'held';
    case 'struck':
    case 'withdrawn':
    case 'refused':
      return 'not';
    default:
      return never(standing);
  }
}

/** The question that the newest held report is part of; null where none is held. */
export function newestQuestion(winds: WindsNow | undefined): WindQuestion | null {
  const newest = winds?.held.at(-1);
  return winds?.questions.find(({ ids }) => newest !== undefined && ids.includes(newest.report.id)) ?? null;
}

/** The rows that a person asked for: by standing, and by any words of who, where, wind, id or text. */
export function filtered(table: ReportTable, filter: ReportFilter, search: string): readonly ReportRow[] {
  const words = search
    .trim()
    .toLowerCase()
    .split(/\s+/)
    .filter((word) => word !== '');
  if (filter === 'all' && words.length === 0) return table.rows;
  return table.rows.filter((row) => {
    if (filter !== 'all' && filterOf(row.standing) !== filter) return false;
    if (words.length === 0) return true;
    const { event, placedBy } = row.report;
    const text = [
      row.id,
      event.source,
      event.by,
      event.place,
      placedBy,
      event.text,
      direction(event.from_deg),
      row.standing,
    ]
      .join(' ')
      .toLowerCase();
    return words.every((word) => text.includes(word));
  });
}

/** The words of each standing, for the eye and the ear. */
export const standingWords: { readonly [S in Standing]: string } = {
  counts: 'counts',
  'left out': 'adds nothing',
  held: 'held back',
  struck: 'struck',
  withdrawn: 'withdrawn',
  refused: 'does not count',
};

/**
 * What a report weighs, 0 to 1: the share of the variance of the forecast's error that it would take away if it were
 * the only one. Falls with age, distance and its own error.
 *
 * where  over the site at this height and time; left out: at its own height, at the moment that the analysis is for
 */
export function weightOf(
  report: ReportState,
  { mission, winds, world }: Situation,
  where?: { readonly height_m: number; readonly time_s: number },
): number {
  const { errors, analysis } = winds;
  const ground = {
    groundAt: ([lon, lat]: readonly [number, number]): number =>
      world.ground.heightAt(lat * RAD_PER_DEG, lon * RAD_PER_DEG),
    roughness_m: world.roughness_m,
  };
  const one = observationOf(report, ground);
  const there = pointsOf([one], errors);
  const at = where ?? { height_m: one.height_m, time_s: analysis.valid_s };
  const here = pointsOf([{ ...at, position: mission.site.position }], errors);
  const c = backgroundCovariance(here, 0, there, 0);
  const before = (here.std_mps[0] ?? 0) ** 2;
  const seen = (there.std_mps[0] ?? 0) ** 2 + one.std_mps ** 2;
  return before > 0 && seen > 0 ? (c * c) / (before * seen) : 0;
}

/** Below this a report is drawn and written as an old one: fainter, thinner. */
export const FADED_WEIGHT = 0.15;

/** "Ground One, crew" or "station at Saltbell North". */
export function whoWords({ event }: ReportState): string {
  const source = event.source.replace('-', ' ');
  const who = event.by ?? null;
  const place = event.place === undefined ? '' : ` at ${event.place}`;
  return who === null
    ? `${source}${place}`
    : `${who}${who.toLowerCase().includes(source) ? '' : `, ${source}`}${place}`;
}

/** "from 305° (north-west), 6 kt, gusts 9 kt". */
export function reportWind({ event }: ReportState, units: Units): string {
  const gust = event.gust_mps === undefined ? '' : `, gusts ${speed(event.gust_mps, units)}`;
  if (event.variable === true) return `variable, ${speed(event.speed_mps, units)}${gust}`;
  if (isCalm(event.speed_mps)) return `calm${gust}`;
  return `from ${directionWords(event.from_deg)}, ${speed(event.speed_mps, units)}${gust}`;
}

/** The wind with where it blows to, for the whole account of a report. */
export function reportWindToward({ event }: ReportState, units: Units, toward: string | null): string {
  if (event.variable === true) return `from anywhere, ${speed(event.speed_mps, units)}`;
  return windBothWays(event.from_deg, event.speed_mps, units, toward);
}

/** "at 2 m AGL"; the reference is the report's own. Without one: "at its usual height". */
export function reportHeight({ event }: ReportState, units: Units): string {
  if (event.agl_m !== undefined) return height(event.agl_m, { ...units, height: 'AGL' }, 0);
  if (event.height_m !== undefined) return height(event.height_m, { ...units, height: 'MSL' }, 0);
  return 'usual height';
}
