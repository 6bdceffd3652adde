// Two missions with an observer who is wrong throughout, as `advise` answers them: a balloon of twelve levels and a
// mast of five reports that say the reciprocal of the forecast. One question, its keys, and HOLD until it is answered.
import { afterAll, describe, expect, it } from 'vitest';
import { z } from 'zod';
import { main } from '../../main/cli/cli.ts';
import { testFolder } from './folder.ts';

const folder = testFolder();
afterAll(() => folder.remove());

const EXIT = '2027-06-05T09:00:00Z';
const before = (minutes: number): string => new Date(Date.parse(EXIT) - 60_000 * minutes).toISOString();
const SITE = [21.3, -30.4];
/** A square of 2.4 km about a place some metres east and north of the site. */
const square = (east_m: number, north_m: number) =>
  [[-1, -1], [1, -1], [1, 1], [-1, 1]].map(([e = 0, n = 0]) => [21.3 + (east_m + 1200 * e) / 96_000, -30.4 + (north_m + 1200 * n) / 111_000]); // prettier-ignore
const plan = (zone: readonly (readonly number[])[]) => ({
  format: 'plumbline/mission',
  version: 1,
  name: 'Wholly reversed',
  site: { name: 'Home', position: SITE, elevation_m: 0 },
  exit: { position: SITE, altitude_m: 8000, time: EXIT },
  jumper: {
    mass_kg: 100,
    stages: [{ name: 'freefall', dragArea_m2: 0.7, until: { agl_m: 1500 } }],
    canopy: {
      referenceMass_kg: 100,
      fill_s: 3,
      settings: [{ name: 'full drive', airspeed_mps: 11, sink_mps: 5 }],
      steering: { policy: 'drift' },
    },
  },
  landingZones: [{ name: 'Zone', polygon: zone }],
  winds: {
    forecast: [0, 2].map((hours) => ({
      source: 'model',
      validTime: before(60 - 60 * hours),
      levels: [10, 2000, 5000, 9000].map((height_m) => ({ height_m, from_deg: 240, speed_mps: 8 })),
    })),
  },
});

const said = (i: number, minutes: number, fields: object) => ({ seq: i, at: before(minutes), kind: 'wind-report', id: `w${i + 1}`, observedAt: before(minutes), position: SITE, ...fields }); // prettier-ignore
const logText = (events: readonly object[]): string => events.map((event) => `${JSON.stringify(event)}\n`).join('');

const answer = z.object({
  word: z.string(),
  because: z.array(z.unknown()),
  line: z.string(),
  reports: z.array(z.object({ id: z.string(), state: z.string(), why: z.string() })),
  questions: z.array(
    z.object({
      reports: z.array(z.string()),
      question: z.string(),
      keys: z.array(z.object({ key: z.string(), means: z.string() })),
    }),
  ),
});

async function advise(name: string, log: readonly object[], ...args: string[]): Promise<string> {
  const file = folder.write(`${name}.mission.json`, JSON.stringify(plan(square(2200, 1270))));
  folder.write(`${name}.log.jsonl`, logText(log));
  const out: string[] = [];
  const status = await main(['advise', file, '--at', before(15), '--members', '200', ...args], {
    print: (text) => void out.push(text),
    complain: () => undefined,
  });
  expect(status).toBe(0);
  return out.join('\n');
}

const BALLOON = Array.from({ length: 12 }, (_, i) =>
  said(i, 50 - i, { source: 'pilot-balloon', by: 'Balloon 1', height_m: 500 * (i + 1), from_deg: 60, speed_mps: 8 }),
);
const MAST = Array.from({ length: 5 }, (_, i) =>
  said(i, 80 - 15 * i, { source: 'station', by: 'Mast', agl_m: 10, from_deg: 60, speed_mps: 10 }),
);

describe('an observer who is wrong throughout', () => {
  it.each([
    ['balloon', BALLOON, 'All 12 levels of Balloon 1 look given TOWARD instead of FROM'],
    ['mast', MAST, 'All 5 reports of Mast look given TOWARD instead of FROM'],
  ])('a reversed %s is asked about once, with its keys, and the word holds until then', async (name, log, question) => {
    const { word, line, reports, questions } = answer.parse(JSON.parse(await advise(name, log, '--json')));
    expect(word).toBe('HOLD');
    expect(line).toContain('the wind is in question');
    expect(reports.map(({ state }) => state)).toEqual(log.map(() => 'held'));
    expect(questions).toHaveLength(1);
    expect(questions[0]?.question).toBe(`${question}: C confirm, R reverse, X leave out.`);
    expect(questions[0]?.reports.toSorted()).toEqual(log.map(({ id }) => id).toSorted());
    expect(questions[0]?.keys).toEqual([
      { key: 'C', means: 'confirm' },
      { key: 'R', means: 'reverse' },
      { key: 'X', means: 'leave out' },
    ]);
  });

  it('stands in the text too, with the reports that do not count', async () => {
    const struck = { seq: 5, at: before(16), kind: 'withdrawal', of: 'w1', reason: 'wrong mast', by: 'Lead' };
    const text = await advise('text', [...MAST, struck]);
    expect(text).toContain('Reports that do not count\n  held       w2, w3, w4, w5: All 4 reports of Mast look given');
    expect(text).toMatch(/struck {5}w1: withdrawn by Lead at .*: wrong mast/);
  });

  it('once left out, or reversed, is asked about no more', async () => {
    const out = MAST.map(({ id }, i) => ({ seq: 5 + i, at: before(16), kind: 'withdrawal', of: id }));
    expect(answer.parse(JSON.parse(await advise('out', [...MAST, ...out], '--json'))).questions).toEqual([]);
    const turned = MAST.map((one, i) => ({ ...one, seq: 5 + i, at: before(16), kind: 'correction', corrects: one.id, id: `c${i}`, from_deg: 240 })); // prettier-ignore
    const { questions, reports } = answer.parse(JSON.parse(await advise('turned', [...MAST, ...turned], '--json')));
    expect(questions).toEqual([]);
    expect(reports.filter(({ state }) => state === 'counts')).toHaveLength(5);
  });
});
