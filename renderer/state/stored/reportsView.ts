// How a person looks at the winds as they come: which part of the reports panel, which report, which hours in the wind
// column; and what came of it so far: the moves of the landing, the feeds that are heard.
import { signal, type Signal } from '@preact/signals';
import type { LonLat } from '../../../core/base/units.ts';
import type { FeedState } from '../../../main/contract.ts';
import type { Where } from '../../../core/recovery/where.ts';
import type { KeptFeed } from './feedsKept.ts';

export const reportParts = ['list', 'moved', 'observe', 'feeds', 'table'] as const;
export type ReportPart = (typeof reportParts)[number];

/** Steps of height of the wind table. */
export const tableSteps = ['fine', 'coarse'] as const;
export type TableStep = (typeof tableSteps)[number];

export const reportFilters = ['all', 'counts', 'held', 'not'] as const;
export type ReportFilter = (typeof reportFilters)[number];

export interface Move {
  readonly at_s: number;
  /** Number of the log's event behind it; null: the plan was edited. */
  readonly seq: number | null;
  readonly from: LonLat | null;
  readonly to: LonLat | null;
  /** "Team 2's wind (w6) came in and replaced …", "exit moved": reads after "because". */
  readonly because: string;
  readonly where: { readonly before: Where | null; readonly after: Where | null };
  /** Limits whose answer changed, a phrase each. */
  readonly limits: readonly string[];
  /** Flown again from the log, not seen as it happened. */
  readonly again: boolean;
}

export interface ReportsView {
  readonly part: Signal<ReportPart>;
  readonly filter: Signal<ReportFilter>;
  readonly search: Signal<string>;
  /** `seq` of the report that the person looks at; null: none. */
  readonly chosen: Signal<number | null>;
  /** The hour whose wind the column shows, ms since 1970; null: the exit's. */
  readonly hour_ms: Signal<number | null>;
  /** The wind table's steps; null: by how high the exit is. */
  readonly tableStep: Signal<TableStep | null>;
  /** A second hour beside it; null: none. */
  readonly beside_ms: Signal<number | null>;
  /** What moved the landing, oldest first. */
  readonly moves: Signal<readonly Move[]>;
  /** What the desk watches and follows, as it told it last. */
  readonly feeds: Signal<readonly FeedState[]>;
  /** Those of all missions that were on once and that nobody stopped. */
  readonly feedsKept: Signal<readonly KeptFeed[]>;
}

export function createReportsView(): ReportsView {
  return {
    part: signal<ReportPart>('list'),
    filter: signal<ReportFilter>('all'),
    search: signal(''),
    chosen: signal<number | null>(null),
    hour_ms: signal<number | null>(null),
    tableStep: signal<TableStep | null>(null),
    beside_ms: signal<number | null>(null),
    moves: signal<readonly Move[]>([]),
    feeds: signal<readonly FeedState[]>([]),
    feedsKept: signal<readonly KeptFeed[]>([]),
  };
}
