// `plumbline rehearse`: the score's shape, its text, what is refused, and the log that it writes, which the debrief
// reads.
import { cpSync, existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { z } from 'zod';
import { readLog } from '../../core/log/read.ts';
import { ran } from './ran.ts';
import { projectRoot } from '../openData.ts';

const folder = mkdtempSync(join(tmpdir(), 'plumbline-rehearse-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));
const TOWN = join(projectRoot, 'data/town-meadow/town-meadow.mission.json');
const SHORT = ['--every', '20', '--members', '50'];

const said = z.strictObject({ at: z.iso.datetime(), before_s: z.number(), miss_m: z.number().min(0) }).nullable();
const shape = z.strictObject({
  scenario: z.string(),
  seed: z.number(),
  lead: z.enum(['careful', 'credulous']),
  acts: z.tuple([]),
  stopped: z.null(),
  exit: z.iso.datetime(),
  opening: z.iso.datetime().nullable(),
  touchdown: z.strictObject({ at: z.iso.datetime(), position: z.tuple([z.number(), z.number()]) }),
  landing: z.strictObject({ saidBeforeExit: said, saidLast: said }),
  winds: z.strictObject({
    entered: z.number(),
    passedOn: z.number(),
    wrong: z.array(
      z.strictObject({
        id: z.string(),
        by: z.string().nullable(),
        at: z.iso.datetime(),
        wrong: z.enum(['way', 'strength']),
        counted_s: z.number(),
        called: z.number(),
        putRight: z.iso.datetime().nullable(),
      }),
    ),
    called: z.array(z.strictObject({ id: z.string(), at: z.iso.datetime(), after_s: z.number().nullable() })),
  }),
  crews: z.array(
    z.strictObject({
      crew: z.string(),
      there: z.iso.datetime().nullable(),
      after_s: z.number().nullable(),
      nearest_m: z.number().nullable(),
    }),
  ),
  lists: z.strictObject({ items: z.number(), done: z.number(), gatesOpen: z.number() }),
  alerts: z.array(
    z.strictObject({
      kind: z.string(),
      of: z.string(),
      at: z.iso.datetime(),
      true: z.boolean(),
      answered_s: z.number().nullable(),
    }),
  ),
  falseAlerts: z.number(),
});

describe('rehearse', () => {
  it('--json answers one score of the documented shape, the same for the same seed; the page names every key', async () => {
    const ask = ['rehearse', TOWN, '--scenario', 'reversed report', '--seed', '3', '--json', ...SHORT];
    const { status, out } = await ran(...ask);
    expect(status).toBe(0);
    const score = shape.parse(JSON.parse(out));
    expect(score).toMatchObject({ scenario: 'reversed report', seed: 3, lead: 'careful' });
    expect(score.crews.map(({ crew }) => crew)).toEqual(['Marshal', 'First Aid', 'Air Ambulance']);
    expect((await ran(...ask)).out).toBe(out);
    const page = readFileSync(join(projectRoot, 'core/plan/FORMAT.md'), 'utf8');
    const row = page.split('\n').find((line) => line.startsWith('| `rehearse` |')) ?? '';
    for (const key of Object.keys(shape.shape)) expect(row).toContain(`\`${key}\``);
  });

  it('says the score in words, reads the lists, and writes a log that can be debriefed', async () => {
    cpSync(join(projectRoot, 'data/town-meadow'), folder, { recursive: true });
    const plan = join(folder, 'town-meadow.mission.json');
    const mission = JSON.parse(readFileSync(plan, 'utf8')) as object;
    const items = [{ name: 'zone clear', gates: true }, { name: 'radio check' }];
    writeFileSync(plan, JSON.stringify({ ...mission, lists: [{ name: 'before the exit', items }] }));
    const kept = join(folder, 'kept.jsonl');
    const { status, out } = await ran('rehearse', plan, '--log', kept, ...SHORT);
    expect(status).toBe(0);
    expect(out).toMatch(/^Rehearsal: calm run, seed 1\nFlown without a person: /);
    expect(out).toContain('Lists at the exit: 2 of 2 items done, 0 that gate open.');
    expect(out).toMatch(/\nLanding said last: off by \d+\u202fm, /);
    expect(readLog(readFileSync(kept, 'utf8')).problems).toEqual([]);
    const again = await ran('rehearse', plan, '--log', kept, ...SHORT);
    expect([again.status, again.complaints.at(-1)]).toEqual([2, expect.stringMatching(/kept\.jsonl: .*exists/)]);
    cpSync(kept, join(folder, 'town-meadow.log.jsonl'));
    const debrief = await ran('debrief', plan, '--format', 'json', '--members', '50');
    expect(debrief.status).toBe(0);
    expect(existsSync(kept)).toBe(true);
    // A log with an exit in it is no plan to rehearse, unless the exit came after the rehearsal begins.
    expect((await ran('rehearse', plan, ...SHORT)).status).toBe(0);
  });

  it.each([
    [['--scenario', 'no such'], 'expected calm run, reversed report'],
    [['--scenario', '/no/such.json'], '/no/such.json: does not exist'],
    [['--lead', 'nobody'], 'expected careful or credulous'],
    [['--seed', '-1'], '--seed'],
    [['--every', '0'], 'expected a whole number from 1 to 60'],
  ])('%j is refused with status 2', async (args, sentence) => {
    const { status, out, complaints } = await ran('rehearse', TOWN, ...args);
    expect([status, out]).toEqual([2, '']);
    expect(complaints.at(-1)).toContain(sentence);
  });

  it('a scenario of one’s own is read from its file, and a misspelt key is refused by its name', async () => {
    const own = join(folder, 'own.json');
    const scenario = { format: 'plumbline/rehearsal', version: 1, name: 'own', errors: 0, begins_s: 120 };
    writeFileSync(own, JSON.stringify(scenario));
    const good = await ran('rehearse', TOWN, '--scenario', own, '--json', ...SHORT);
    expect(shape.parse(JSON.parse(good.out)).scenario).toBe('own');
    writeFileSync(own, JSON.stringify({ ...scenario, openAt: 0.5 }));
    const bad = await ran('rehearse', TOWN, '--scenario', own);
    expect([bad.status, bad.complaints.at(-1)]).toEqual([2, expect.stringContaining('openAt')]);
  });
});
