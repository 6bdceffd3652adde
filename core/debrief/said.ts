// What was said, how soon it was put right, and when the crews were there, by the log. Times s since 1970.
import { inverse } from '../earth/geodesic.ts';
import { epoch_s } from '../descent/scenario.ts';
import type { LogEvent } from '../log/events.ts';
import { eventWords } from '../log/eventWords.ts';
import { annulledIn, type MissionState } from '../log/fold.ts';
import type { Touchdown } from '../mission/touchdown.ts';
import type { Mission } from '../plan/schema.ts';

export interface Called {
  readonly at_s: number;
  readonly text: string;
  readonly by: string | null;
  readonly to: string | null;
  /** Since the newest wind, correction, mark or fix that the log had then; null: it had none. */
  readonly after_s: number | null;
}

const NEWS: ReadonlySet<LogEvent['kind']> = new Set(['wind-report', 'correction', 'withdrawal', 'mark', 'fix']);

/** Every call, in the log's order. */
export function calledIn(log: readonly LogEvent[]): Called[] {
  const annulled = annulledIn(log);
  const found: Called[] = [];
  let news_s: number | null = null;
  for (const event of log.toSorted((a, b) => a.seq - b.seq)) {
    if (annulled.has(event.seq)) continue;
    const at_s = epoch_s(event.at);
    if (NEWS.has(event.kind)) news_s = at_s;
    if (event.kind !== 'call') continue;
    const { text, by = null, to = null } = event;
    found.push({ at_s, text, by, to, after_s: news_s === null ? null : at_s - news_s });
  }
  return found;
}

export interface PutRight {
  /** The report that was put right, what it said, and what was said in its place. */
  readonly id: string;
  readonly said: string;
  readonly instead: string;
  readonly by: string | null;
  readonly at_s: number;
  /** For how long it stood in the log. */
  readonly stood_s: number;
}

/** Every report that a correction or a withdrawal took out. */
export function correctedIn({ reports, byId }: Pick<MissionState, 'reports' | 'byId'>): PutRight[] {
  return reports.flatMap(({ id, event, at_s, outcome }): PutRight[] => {
    if (outcome.kind !== 'struck' && outcome.kind !== 'withdrawn') return [];
    const instead = outcome.kind === 'struck' ? byId.get(outcome.correction) : undefined;
    const words = instead === undefined ? 'withdrawn' : eventWords({ ...instead.event, kind: 'wind-report' });
    return [
      {
        id,
        said: eventWords({ ...event, kind: 'wind-report' }),
        instead: words,
        by: outcome.by,
        at_s: outcome.at_s,
        stood_s: outcome.at_s - at_s,
      },
    ];
  });
}

export interface CrewThere {
  readonly crew: string;
  /** When it was first heard at the person after the touchdown; null: no fix of it says so. */
  readonly there_s: number | null;
  /** After the touchdown. */
  readonly after_s: number | null;
  /** Nearest that it was heard to the touchdown afterwards; null: it was not heard. */
  readonly nearest_m: number | null;
}

/** A crew heard so near the touchdown is with the person: two receivers' errors, and the length of a canopy. Ours. */
export const THERE_M = 50;

export function crewsThere(
  { teams = [] }: Pick<Mission, 'teams'>,
  { fixes }: Pick<MissionState, 'fixes'>,
  touchdown: Touchdown,
): CrewThere[] {
  return teams.map(({ name }): CrewThere => {
    const after = (fixes.get(name) ?? []).filter(({ time_s }) => time_s >= touchdown.time_s);
    const away = after.map(({ position }) => inverse(position, touchdown.place).distance_m);
    const first = after[away.findIndex((away_m) => away_m <= THERE_M)];
    return {
      crew: name,
      there_s: first?.time_s ?? null,
      after_s: first === undefined ? null : first.time_s - touchdown.time_s,
      nearest_m: away.length === 0 ? null : Math.min(...away),
    };
  });
}
