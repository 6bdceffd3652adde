// `plumbline hear`: one JSON object per line, the kinds that it names, exit status 0
// or 2. What each line means is tested in tests/formats/heardLines.test.ts.
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { z } from 'zod';
import { main } from '../../main/cli/cli.ts';
import { projectRoot } from '../openData.ts';

const SALT = join(projectRoot, 'data/salt-plain/salt-plain.mission.json');

async function* given(lines: readonly string[]): AsyncGenerator<string> {
  yield* lines;
}

async function hear(lines: readonly string[], ...args: string[]) {
  const out: string[] = [];
  const complaints: string[] = [];
  const status = await main(['hear', ...args], {
    print: (text) => void out.push(text),
    complain: (line) => void complaints.push(line),
    lines: () => given(lines),
  });
  return { status, out, complaints };
}

const shape = z.object({
  line: z.string(),
  kind: z.enum(['wind', 'calm', 'asked', 'refused', 'not a wind']),
  from_deg: z.number().optional(),
  speed_mps: z.number().optional(),
  gust_mps: z.number().optional(),
  agl_m: z.number().optional(),
  height_m: z.number().optional(),
  source: z.string().optional(),
  by: z.string().optional(),
  question: z.string().optional(),
  why: z.string().optional(),
  readBack: z.string().optional(),
});

describe('hear', () => {
  const LINES = [
    'Ground One 305/6 kt true gusting 9',
    'calm',
    '305/6',
    '240/5 kt at 3000 ft msl',
    'forecast 090/7 kt',
    'called exit',
    '',
  ];

  it('--json answers one object of the documented shape for each line, in order', async () => {
    const { status, out } = await hear(LINES, SALT, '--at', '2027-04-14T07:00:00Z', '--json');
    expect(status).toBe(0);
    const answers = out.map((text) => shape.parse(JSON.parse(text)));
    expect(answers.map((one) => one.line)).toEqual(LINES);
    expect(answers.map((one) => one.kind)).toEqual([
      'wind',
      'calm',
      'asked',
      'asked',
      'refused',
      'not a wind',
      'not a wind',
    ]);
    // 6 and 9 kt: × 1852/3600 m/s.
    expect(answers[0]).toMatchObject({
      from_deg: 305,
      speed_mps: 3.087,
      gust_mps: 4.63,
      agl_m: 2,
      source: 'crew',
      by: 'Ground One',
    });
    expect(answers[1]).toMatchObject({ speed_mps: 0 });
    expect(answers[2]?.question).toMatch(/^knots or m\/s\?/);
    // The site lies at 951 m: 3000 ft above the sea is under it.
    expect(answers[3]?.question).toMatch(/^below the ground\?/);
    for (const { kind, why } of answers) if (kind === 'refused' || kind === 'not a wind') expect(why).toBeTruthy();
  });

  it('says in words what the entry line would read back', async () => {
    const { out } = await hear(['305/6 kt', '305/6'], SALT, '--at', '2027-04-14T07:00:00Z');
    expect(out[0]).toMatch(/^from 305° \(north-west\), 6\u202fkt \(3\.1\u202fm\/s\), blowing toward 125°/);
    expect(out[1]).toMatch(/^asked: 305°, 6, .*knots or m\/s\?/);
  });

  it('refuses an invalid mission with status 2 and nothing on standard output', async () => {
    const { status, out, complaints } = await hear(LINES, 'no-such.mission.json', '--json');
    expect([status, out.length, complaints.length]).toEqual([2, 0, 1]);
  });
});
