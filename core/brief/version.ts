// Which version of the landing a brief shows. The number counts the events of the log that changed the winds and
// counted: every wind report and correction but those that never could (repeats, ids taken, no height, too far, from
// the future…), and every withdrawal and confirmation that could be followed. It only grows, and the same log at the
// same moment gives the same number.
import type { LogEvent } from '../log/events.ts';
import { timeOf, type ReportOutcome } from '../log/fate.ts';
import type { MissionState } from '../log/fold.ts';
import type { Mission } from '../plan/schema.ts';
import { clockMinute } from '../words/times.ts';
import type { BriefVersion } from './model.ts';

/** Reports that counted at some time: too old by now, struck or withdrawn later. */
const COUNTED: ReadonlySet<ReportOutcome['kind']> = new Set(['counts', 'struck', 'withdrawn', 'too old']);

export function versionOf(mission: Mission, log: readonly LogEvent[], state: MissionState): BriefVersion {
  const refused = new Set(state.remarks.map((remark) => remark.seq));
  const reports = new Map(state.reports.map((report) => [report.seq, report]));
  let number = 0;
  let windsTo_s: number | null = null;
  for (const event of log) {
    const at_s = timeOf(event.at);
    if (!(at_s <= state.at_s)) continue;
    const report = reports.get(event.seq);
    const counts =
      event.kind === 'wind-report' || event.kind === 'correction'
        ? report !== undefined && COUNTED.has(report.outcome.kind)
        : (event.kind === 'withdrawal' || event.kind === 'confirmation') && !refused.has(event.seq);
    if (!counts) continue;
    number += 1;
    windsTo_s = Math.max(windsTo_s ?? -Infinity, at_s);
  }
  const plan = planMark(mission);
  const winds = windsTo_s === null ? 'winds from the forecast alone' : `winds to ${clockMinute(windsTo_s, 'down')}`;
  return { number, windsTo_s, plan, at_s: state.at_s, words: `${winds}; landing version ${number}; plan ${plan}` };
}

/** FNV-1a (32 bit, public domain, Fowler, Noll and Vo): to tell texts apart, not to protect them. */
function fnv1a(text: string): number {
  let hash = 0x811c9dc5;
  for (let i = 0; i < text.length; i++) hash = Math.imul(hash ^ text.charCodeAt(i), 0x01000193);
  return hash >>> 0;
}

/** Four hexadecimal digits of the plan's text. */
export function planMark(mission: Mission): string {
  const hash = fnv1a(JSON.stringify(mission));
  return (((hash >>> 16) ^ hash) & 0xffff).toString(16).padStart(4, '0');
}

/** Letters and digits that nobody mishears or misreads for one another: no I, O, 0, 1. */
const SIGNS = 'ABCDEFGHJKLMNPQRSTUVWXYZ23456789';

/** Four signs of a text, to be compared over the radio: one in a million of changed texts has the same. */
export function identityOf(text: string): string {
  let hash = fnv1a(text);
  hash ^= hash >>> 15;
  return Array.from({ length: 4 }, (_, k) => SIGNS[(hash >>> (5 * k)) & 31] ?? '').join('');
}
