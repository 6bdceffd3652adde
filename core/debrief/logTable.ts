// The log as a table for a spreadsheet: one event a row, in words and with what it holds. SI units.
import { toCsv, type Cell } from '../formats/out/csvOut.ts';
import type { LogEvent } from '../log/events.ts';
import { eventWords } from '../log/eventWords.ts';
import { annulledIn } from '../log/fold.ts';
import { lonLat } from '../plan/schema.ts';

/** What stands in a column of its own, under the name that it has in the log. */
const FIELDS = [
  'by',
  'to',
  'id',
  'observedAt',
  'body',
  'mark',
  'from_deg',
  'speed_mps',
  'gust_mps',
  'height_m',
  'agl_m',
] as const;

export function logTable(log: readonly LogEvent[]): string {
  const annulled = annulledIn(log);
  const rows = log.map((event): Cell[] => {
    const held = event as Readonly<Record<string, unknown>>;
    const place = 'position' in event ? lonLat.safeParse(event.position).data : undefined;
    return [
      event.seq,
      event.at,
      event.kind,
      ...FIELDS.map((name): Cell => {
        const value = held[name];
        return typeof value === 'number' || typeof value === 'string' ? value : null;
      }),
      place?.[0] ?? null,
      place?.[1] ?? null,
      annulled.has(event.seq),
      eventWords(event),
    ];
  });
  const names = ['seq', 'at', 'kind', ...FIELDS, 'lon_deg', 'lat_deg', 'annulled', 'words'];
  return toCsv(
    names.map((name) => ({ name, decimals: name.endsWith('_deg') ? 7 : 3 })),
    rows,
  );
}
