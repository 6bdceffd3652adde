// A stream of bulletins of several codes: every message read once by the reader of its kind, in any order, with the
// stream's own lines. The stream is ours; its groups are read by hand after WMO-No. 306 vol. I.1 (FM 15, 32, 35) and
// FAA AC 00-45 (FB).
import { fc } from '../property.ts';
import { describe, expect, it } from 'vitest';
import { readWindFile } from '../../core/formats/winds/winds.ts';
import type { WindFileOptions } from '../../core/formats/winds/winds.ts';
import { MPS_PER_KT } from '../../core/base/units.ts';
import type { DecodedWinds } from '../../core/air/levels.ts';

const REFERENCE_S = Date.UTC(2026, 3, 15, 12) / 1000;
const read = (text: string, options: WindFileOptions = {}): ReturnType<typeof readWindFile> =>
  readWindFile({ name: 'telex.txt', bytes: new TextEncoder().encode(text) }, { reference_s: REFERENCE_S, ...options });

interface Message {
  readonly text: string;
  /** Source, levels, and direction and knots at one of them; null for a message that is not read. */
  readonly gives: readonly [source: string, levels: number, from_deg: number, speed_kt: number] | null;
  /** A faulty group in it, so that a problem must name its line. */
  readonly fault: string | null;
}

const MESSAGES: readonly Message[] = [
  // Day 65 - 50 = 15, knots; surface 1009 hPa 290/6, 1000 hPa 285/7 (a broken wind), 925 hPa 255/7.
  {
    text: 'TTAA 65121 72694 99009 22868 29006\n00137 20667 36505 92801 13662 25507',
    gives: ['TEMP 72694', 3, 290, 6],
    fault: '36505',
  },
  // 9000 m apart: 0, 300 and 600 m steps; 90/12: surface, 1 and 2. The direction 370 cannot be.
  { text: 'PPBB 65121 10410 90012 04005 37010\n06015', gives: ['PILOT 10410', 3, 40, 5], fault: '37010' },
  {
    text: 'METAR EDDW 151220Z 24015G28KT 9999\nSCT030 18/09 Q1021 NOSIG',
    gives: ['METAR EDDW', 1, 240, 15],
    fault: null,
  },
  {
    text: 'SPECI KFBG 151225Z 240P99KT 10SM\nCLR 22/12 A3012 RMK AO2',
    gives: ['SPECI KFBG', 1, 240, 100],
    fault: '240P99KT',
  },
  { text: 'METAR EDDF 151220Z 40012KT CAVOK', gives: null, fault: '40012KT' },
  {
    text: 'FBUS31 KWNO 151359\nDATA BASED ON 151200Z\nVALID 151800Z   FOR USE 1400-2100Z.\nFT  3000    6000\nABR 2506 4511+06',
    gives: ['FB winds aloft ABR', 1, 250, 6],
    fault: '4511+06',
  },
  { text: 'TAF EDDW 151100Z 1512/1612 27030KT 9999 =', gives: null, fault: null },
  {
    text: 'SMDL40 EDZW 151200\nAAXX 15121\n10224 41575 62604 10103 =\n10410 41580 72608 10109 =',
    gives: null,
    fault: null,
  },
  { text: 'WSDL31 EDZH 151140\nEDWW SIGMET 2 VALID 151200/151600 EDZH- SEV TURB FCST =', gives: null, fault: null },
];
const OTHERS = 3;

const nameOf = ({ source }: DecodedWinds): string => source.replace(/,.*| \d{6}Z.*/, '');
const lineOf = (text: string, group: string): number => text.slice(0, text.indexOf(group)).split('\n').length;

/** Everything that holds of a stream of all messages, in whatever order. */
async function holds(text: string): Promise<number> {
  const { value, problems } = await read(text);
  const wanted = MESSAGES.flatMap(({ gives }) => (gives === null ? [] : [gives]));
  const names = value.decoded.map(nameOf);
  // The report with a direction of 400° keeps its time and temperature: it is there, without a wind.
  expect(names.toSorted()).toEqual([...wanted.map(([name]) => name), 'METAR EDDF'].toSorted());
  for (const [name, levels, from, kt] of wanted) {
    const source = value.decoded.find((one) => nameOf(one) === name);
    expect([name, source?.levels.length]).toEqual([name, levels]);
    expect([name, source?.levels[0]?.from_deg]).toEqual([name, from]);
    expect((source?.levels[0]?.speed_mps ?? NaN) / MPS_PER_KT).toBeCloseTo(kt, 6);
    expect(source?.validTime?.slice(0, 10)).toBe('2026-04-15');
  }
  for (const { fault } of MESSAGES) {
    if (fault === null) continue;
    const about = problems.filter((problem) => problem.text.includes(fault));
    expect([fault, about.map(({ line }) => line)]).toEqual([fault, [lineOf(text, fault)]]);
  }
  const said = problems.map((problem) => problem.text).join(' | ');
  expect(said).toContain('1 forecast (TAF) is not read');
  expect(said).toContain(`${OTHERS} messages of other codes are not read`);
  expect(said).not.toMatch(/not understood|is not a level|expected a part|rows that/);
  return wanted.length;
}

describe('a stream of several codes', () => {
  const closed = MESSAGES.map(({ text }) => (/=$|^FB/.test(text) ? text : `${text}=`));

  it('is read whole, message by message', async () => {
    expect(await holds(closed.join('\n'))).toBe(5);
  });

  it('is read the same in any order, with CR CR LF or LF, with framing or without', async () => {
    let compared = 0;
    await fc.assert(
      fc.asyncProperty(fc.shuffledSubarray(closed, { minLength: closed.length }), fc.nat(2), async (order, framing) => {
        const joints = ['\n', '\n\n', '\r\r\n\u0003\u0001\r\r\n'];
        compared += await holds(order.join(joints[framing] ?? '\n'));
      }),
      { numRuns: 200, seed: 61 },
    );
    expect(compared).toBe(200 * 5);
  });

  it('a message without "=" ends where the next of a kind that is read begins', async () => {
    const readable = MESSAGES.filter(({ gives, fault }) => gives !== null || fault !== null).map(({ text }) => text);
    const others = MESSAGES.filter(({ gives, fault }) => gives === null && fault === null).map(({ text }) => text);
    let compared = 0;
    await fc.assert(
      fc.asyncProperty(fc.shuffledSubarray(readable, { minLength: readable.length }), async (order) => {
        compared += await holds([...others, ...order].join('\n'));
      }),
      { numRuns: 200, seed: 62 },
    );
    expect(compared).toBe(200 * 5);
  });

  it('takes nothing of one message into another', async () => {
    // Were the groups after "METAR" the report's, it would be NIL; were those after "TTAA" the ascent's, it would have
    // levels of 1021.
    const text =
      'METAR EDDW 151220Z 24015KT 9999 18/09 Q1021\nTTBB 65128 72694 NIL\nCOR EDDF 151220Z 25010KT CAVOK 19/08 Q1020';
    const { value, problems } = await read(text);
    expect(value.decoded.map((source) => source.source)).toEqual(['METAR EDDW 151220Z', 'METAR EDDF 151220Z COR']);
    expect(problems).toEqual([{ line: 2, text: 'TTBB: 65128 72694 NIL: the station sent no report' }]);
  });

  it('names one other message by its line and first words, and passes over prose', async () => {
    const { problems } = await read(
      `From the evening watch, all times UTC\n${MESSAGES[2]?.text ?? ''}=\nAAXX 15121 10224 41575 62604=\n`,
    );
    expect(problems).toEqual([
      {
        line: 4,
        text: '1 message of another code is not read, it begins "AAXX 15121 10224 41575"; read are TEMP, PILOT, METAR, SPECI and FB',
      },
    ]);
  });

  it('a stream of forecasts alone says so', async () => {
    const { value, problems } = await read(
      'TAF EDDW 151100Z 1512/1612 27030KT 9999 =\nTAF EDDF 151100Z 1512/1612 27030KT 9999 =',
    );
    expect(value.decoded).toEqual([]);
    expect(problems.map(({ text }) => text)).toEqual([
      '2 forecasts (TAF) are not read: only what was measured, and FB winds',
    ]);
  });

  it('keeps a station of FB among other messages, and no group of them as one of its rows', async () => {
    const { value } = await read(closed.join('\n'), { station: 'ABR' });
    expect(value.decoded.map(nameOf)).toContain('FB winds aloft ABR');
    expect(value.decoded.map(nameOf)).not.toContain('FB winds aloft TTAA');
  });
});
