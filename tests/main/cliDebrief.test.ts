// `plumbline debrief`: of the demo's own log, which has no touchdown, and of one with a descent in it.
import { cpSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { z } from 'zod';
import { main } from '../../main/cli/cli.ts';
import { projectRoot } from '../openData.ts';

const folder = mkdtempSync(join(tmpdir(), 'plumbline-debrief-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

async function debrief(...args: string[]) {
  const out: string[] = [];
  const complaints: string[] = [];
  const status = await main(['debrief', ...args], {
    print: (text) => void out.push(text),
    complain: (line) => void complaints.push(line),
  });
  return { status, text: out.join('\n'), complaints };
}

function flown(): string {
  cpSync(join(projectRoot, 'data/town-meadow'), folder, { recursive: true });
  const log = join(folder, 'town-meadow.log.jsonl');
  const lines = readFileSync(log, 'utf8').trim().split('\n');
  const seq = (JSON.parse(lines.at(-1) ?? '{}') as { readonly seq: number }).seq;
  const down = {
    seq: seq + 1,
    at: '2027-05-29T13:36:00Z',
    kind: 'mark',
    mark: 'touchdown',
    position: [14.9214, 49.4169],
  };
  writeFileSync(log, `${[...lines, JSON.stringify(down)].join('\n')}\n`);
  return join(folder, 'town-meadow.mission.json');
}

const place = z.tuple([z.number(), z.number()]);
const shape = z.object({
  mission: z.string(),
  touchdown: z.object({ time_s: z.number(), place }),
  exit: z.null(),
  moments: z
    .array(z.object({ at_s: z.number(), because: z.string(), landing: place, miss_m: z.number(), within: z.number() }))
    .min(1),
  winds: z.array(z.object({ id: z.string(), offForecast_mps: z.number(), offUsed_mps: z.number() })).min(4),
});

describe('debrief', () => {
  it('refuses a log without a touchdown and says what would be right; its table it gives', async () => {
    const plan = join(projectRoot, 'data/town-meadow/town-meadow.mission.json');
    const none = await debrief(plan);
    expect(none).toMatchObject({ status: 2, text: '' });
    expect(none.complaints.join()).toContain('the log has no touchdown with a place');
    const table = await debrief(plan, '--format', 'csv');
    expect(table.status).toBe(0);
    expect(table.text.split('\r\n')[0]).toContain('seq,at,kind,by');
  });

  it('answers JSON of its shape, and text with every part', async () => {
    const plan = flown();
    const json = await debrief(plan, '--format', 'json', '--members', '100');
    expect(json.status).toBe(0);
    expect(shape.parse(JSON.parse(json.text)).touchdown.time_s).toBe(Date.parse('2027-05-29T13:36:00Z') / 1000);
    const text = await debrief(plan, '--members', '100');
    expect(text.text).toContain('The log has no exit.');
    expect(text.text).toContain('Winds: told, forecast, used');
  });

  it('refuses options that it does not know, with what would be right', async () => {
    const plan = flown();
    expect((await debrief(plan, '--format', 'doc')).complaints.join()).toContain('expected text, html, pdf, json, csv');
    expect((await debrief(plan, '--members', '3')).complaints.join()).toContain('expected a whole number from 50');
  });
});
