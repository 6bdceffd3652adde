// The lines of heard/lines.txt: none is read wrongly without a question. The right answers stand beside the lines, by
// what people mean by them (common practice), and not by what the reader makes of them.
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { MPS_PER_KMH, MPS_PER_KT, MPS_PER_MPH, wrap180 } from '../../core/base/units.ts';
import { hear, type Heard } from '../../core/formats/messages/hear.ts';
import { readReport, type ReportContext } from '../../core/formats/messages/report.ts';
import { projectRoot } from '../openData.ts';

const now_s = Date.parse('2027-04-14T07:00:00Z') / 1000;
const mark = (name: string, lon: number, lat: number) => ({ name, kind: 'landmark', points: [[lon, lat]] }) as const;

const CONTEXTS: Readonly<Record<string, ReportContext>> = {
  // High ground, much declination, a helicopter.
  high: {
    now_s,
    site: { position: [22.41, -30.09], elevation_m: 951 },
    places: [
      { name: 'Saltbell Pan', kind: 'site', points: [[22.41, -30.09]] },
      { name: 'Saltbell North', kind: 'zone', points: [[22.4, -30.07]] },
      { name: 'Saltbell South', kind: 'zone', points: [[22.4, -30.12]] },
      mark('Marrow Well', 22.454, -30.0262),
      mark('Stone Cairn', 22.4228, -30.208),
      mark('Kettle Dam', 22.5204, -30.0784),
    ],
    teams: [
      { name: 'Kite', position: [22.45, -30.03], flies: true },
      { name: 'Ground One', position: [22.406, -30.087] },
      { name: 'Ground Two', position: [22.39, -30.16] },
    ],
    declination_deg: -24,
    nextId: 'w9',
  },
  flat: {
    now_s,
    site: { position: [141.5, -31.9], elevation_m: 120 },
    places: [
      { name: 'Home', kind: 'site', points: [[141.5, -31.9]] },
      mark('Long Ridge', 141.3, -31.9),
      mark('Low Ridge', 141.5, -31.8),
      mark('Windmill', 141.5, -32),
    ],
    teams: [
      { name: 'Team 2', position: [141.55, -31.95] },
      { name: 'Red Truck', position: [141.4, -31.9] },
    ],
    declination_deg: 8,
    nextId: 'w1',
  },
  // At sea level, where true and magnetic agree: nothing is asked but units.
  sea: {
    now_s,
    site: { position: [5, 50], elevation_m: 3 },
    places: [{ name: 'Quay', kind: 'site', points: [[5, 50]] }],
    teams: [
      { name: 'Harbour One', position: [5.01, 50.01] },
      { name: 'Skiff', position: [4.99, 50] },
    ],
    declination_deg: 1,
    nextId: 'w1',
  },
};

interface Row {
  readonly context: ReportContext;
  readonly answer: string;
  readonly line: string;
}

function rowsOf(text: string): Row[] {
  const rows: Row[] = [];
  let context = CONTEXTS['high'];
  for (const row of text.split('\n')) {
    const section = /^\[(\w+)\]$/.exec(row);
    if (section !== null) context = CONTEXTS[section[1] ?? ''];
    const [answer, ...line] = row.split(' | ');
    if (row.startsWith('# ') || line.length === 0 || answer === undefined || context === undefined) continue;
    rows.push({ context, answer, line: line.join(' | ') });
  }
  return rows;
}

const UNITS: Readonly<Record<string, number>> = {
  kt: MPS_PER_KT,
  kn: MPS_PER_KT,
  mps: 1,
  kmh: MPS_PER_KMH,
  mph: MPS_PER_MPH,
};

/** What is wrong with an answer; null where it is right. */
function wrongIn(heard: Heard, answer: string): string | null {
  const [first = '', ...about] = answer.split(' ');
  const kinds: Readonly<Record<string, Heard['kind']>> = {
    asked: 'asked',
    refused: 'refused',
    not: 'not a wind',
    calm: 'calm',
  };
  if (first === 'unread') return heard.kind === 'wind' || heard.kind === 'calm' ? `read as ${heard.readBack}` : null;
  const kind = kinds[first] ?? 'wind';
  if (heard.kind !== kind) return `${heard.kind}, not ${kind}: ${heard.why ?? heard.question ?? heard.readBack}`;
  if (kind === 'asked') return heard.question?.startsWith(about.join(' ')) === true ? null : `asks ${heard.question}`;
  if (kind === 'refused' || kind === 'not a wind') return (heard.why ?? '').length > 5 ? null : 'says no reason';
  return wrongWind(heard, first, answer);
}

function wrongWind(heard: Heard, wind: string, answer: string): string | null {
  const [, from, speed, unit = 'kt'] = /^(vrb|[\d.]+)\/([\d.]+)(\w+)$/.exec(wind) ?? [];
  const factor = UNITS[unit] ?? NaN;
  const near = (is: number | undefined, right: number, by: number): boolean =>
    is !== undefined && Math.abs(is - right) <= by;
  if (from === 'vrb' && heard.variable !== true) return 'is not variable';
  // A place's bearing lies within half a degree of the compass direction that it was put in.
  if (from !== undefined && from !== 'vrb' && !near(wrap180((heard.from_deg ?? NaN) - Number(from)), 0, 0.5))
    return `from ${heard.from_deg}`;
  if (speed !== undefined && !near(heard.speed_mps, Number(speed) * factor, 0.051)) return `${heard.speed_mps} m/s`;
  const [, gust, gustUnit] = / g([\d.]+)(mps)?/.exec(answer) ?? [];
  if (gust !== undefined && !near(heard.gust_mps, Number(gust) * (gustUnit === 'mps' ? 1 : factor), 0.01))
    return `gusting ${heard.gust_mps}`;
  if (gust === undefined && heard.gust_mps !== undefined) return `gusting ${heard.gust_mps}`;
  const [, reference, height] = / (agl|msl)([\d.]+)/.exec(answer) ?? [];
  const height_m = reference === 'agl' ? heard.agl_m : heard.height_m;
  if (height !== undefined && !near(height_m, Number(height), 0.11))
    return `at ${heard.agl_m} agl, ${heard.height_m} msl`;
  const [, source] = / src ([\w-]+)/.exec(answer) ?? [];
  if (source !== undefined && heard.source !== source) return `source ${heard.source}`;
  const [, by] = / by (.+?)(?= (?:agl|msl|ago|at|src)|$)/.exec(answer) ?? [];
  if (heard.by !== by) return `by ${heard.by}`;
  const [, place] = / at (.+?)(?= (?:agl|msl|ago|src)|$)/.exec(answer) ?? [];
  if (place !== undefined && heard.place !== place) return `at ${heard.place}`;
  const [, age = '0'] = / ago(\d+)/.exec(answer) ?? [];
  if (!near(now_s - Date.parse(heard.observedAt ?? '') / 1000, Number(age), 1)) return `at ${heard.observedAt}`;
  return null;
}

const rows = rowsOf(readFileSync(join(projectRoot, 'tests/formats/heard/lines.txt'), 'utf8'));

describe('the lines', () => {
  it('are a thousand and more, no two alike', () => {
    expect(rows.length).toBeGreaterThanOrEqual(1000);
    const seen = new Set(rows.map((row) => `${row.context.site.elevation_m} ${row.line}`));
    expect(seen.size).toBe(rows.length);
  });

  it('are read, asked about, refused or left to others as they must be', () => {
    const wrong = rows.flatMap(({ context, answer, line }) => {
      const why = wrongIn(hear(line, context), answer);
      return why === null ? [] : [`${line} => ${why} (right: ${answer})`];
    });
    expect(wrong).toEqual([]);
  });

  it('lead, key by key, from each question to a wind or to a reason', () => {
    let ends = 0;
    for (const { context, answer, line } of rows) {
      if (!answer.startsWith('asked')) continue;
      const follow = (answers: object, depth: number): void => {
        const reading = readReport(line, context, answers);
        expect(depth, line).toBeLessThanOrEqual(6);
        if (reading.kind !== 'ask') {
          ends += 1;
          return;
        }
        for (const { resolves } of reading.questions[0]?.keys ?? []) follow({ ...answers, ...resolves }, depth + 1);
      };
      follow({}, 0);
    }
    expect(ends).toBeGreaterThan(300);
  });
});
