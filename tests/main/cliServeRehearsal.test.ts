// `plumbline rehearse --serve`: somebody follows the served fixes by the desk's own feeds into the mission's log, types
// to the crews, and is scored by that log. The hidden descent is known here by its seed.
import { cpSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, expect, it, vi } from 'vitest';
import { isoOf } from '../../core/base/plainNumbers.ts';
import type { NewEvent } from '../../core/log/events.ts';
import { hiddenTruth, situationBefore } from '../../core/rehearsal/truth.ts';
import { main } from '../../main/cli/cli.ts';
import { Feeds } from '../../main/feeds/feeds.ts';
import { LogWriter, logPathOf } from '../../main/files/log.ts';
import { bundledRehearsal } from '../../main/rehearsals.ts';
import { loadDemo } from '../demo.ts';
import { projectRoot } from '../openData.ts';
import { PATIENT } from '../patience.ts';

const folder = mkdtempSync(join(tmpdir(), 'plumbline-serve-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const SEED = 12;
/** So that half a minute lies between what is heard and the end: nothing here waits for a time. */
const SPEED = 20;

/** Lines that are typed one after the other, when somebody types them. */
function typing(): { readonly type: (line: string) => void; readonly lines: () => AsyncIterable<string> } {
  const typed: string[] = [];
  let wake = (): void => undefined;
  return {
    type(line) {
      typed.push(line);
      wake();
    },
    lines: async function* () {
      for (;;) {
        const next = typed.shift();
        if (next !== undefined) yield next;
        else await new Promise<void>((resolve) => void (wake = resolve));
      }
    },
  };
}

it('serves fixes to the desk’s feeds, says the radio, takes what is typed, and scores the log that was kept', async () => {
  cpSync(join(projectRoot, 'data/town-meadow'), folder, { recursive: true });
  const plan = join(folder, 'town-meadow.mission.json');
  const loaded = await loadDemo('town-meadow');
  const found = bundledRehearsal('reversed report', SEED);
  if (found === null) throw new Error('the scenario is there');
  const scenario = { ...found, begins_s: 250 };
  const own = join(folder, 'short.json');
  writeFileSync(own, JSON.stringify(scenario));
  const truth = hiddenTruth(situationBefore(loaded, scenario), scenario, SEED);
  if (typeof truth === 'string') throw new Error(truth);

  const [said, out]: [string[], string[]] = [[], []];
  const { type, lines } = typing();
  const output = {
    print: (text: string) => void out.push(text),
    complain: (line: string) => void said.push(line),
    lines,
  };
  const args = ['--scenario', own, '--seed', String(SEED), '--members', '50', '--speed', String(SPEED)];
  const served = main(['rehearse', plan, '--serve', '--json', ...args], output);
  const heard = (what: RegExp): Promise<string> =>
    vi.waitFor(() => said.find((line) => what.test(line)) ?? Promise.reject(new Error(said.join('\n'))), PATIENT);
  await heard(/^Begins at 13:25:50Z of the exercise clock/);

  const writer = new LogWriter(logPathOf(plan));
  let [begun_ms, fixes] = [performance.now(), 0];
  const now_s = (): number => truth.begins_s + (SPEED * (performance.now() - begun_ms)) / 1000;
  const enter = (event: NewEvent): Promise<unknown> => writer.append(event, isoOf(Math.floor(now_s())));
  const feeds = new Feeds(() => undefined, {
    now: () => new Date(now_s() * 1000),
    log: async (_mission, fix, at) => {
      await writer.append(fix, at);
      fixes += 1;
    },
  });
  try {
    for (const line of said) {
      const [, body = '', address = ''] = /^(.*): (tcp:.*)$/.exec(line) ?? [];
      if (body !== '') feeds.follow({ address, body, ahead_ms: 0 }, plan);
    }
    await vi.waitFor(() => expect(feeds.states().map(({ link }) => link)).toEqual(Array(4).fill('connected')), PATIENT);
    type('');
    begun_ms = performance.now();
    await vi.waitFor(() => expect(fixes).toBeGreaterThan(20), PATIENT);
    type('over and out');
    await heard(/^"over and out"; expected "again NAME"/);
    type('go');
    await heard(/nobody knows where to go/);
    const [lon_deg, lat_deg] = truth.landing;
    await enter({ kind: 'call', text: 'landing', key: 'landing', to: 'all crews', values: { lon_deg, lat_deg } });
    // The crew gave the wind the wrong way round; asked, it says the reciprocal.
    const first = await heard(/First Aid 2 m agl/);
    const before = said.length;
    type('again first aid');
    await vi.waitFor(
      () => expect(said.slice(before).some((line) => line.includes('First Aid 2 m agl'))).toBe(true),
      PATIENT,
    );
    const second = said.slice(before).find((line) => line.includes('First Aid 2 m agl')) ?? '';
    const [a, b] = [first, second].map((line) => Number(/, (\d{3})° true/.exec(line)?.[1]));
    expect(Math.abs((a ?? NaN) - (b ?? NaN))).toBe(180);
    type('go Marshal');
    expect(await served).toBe(0);
  } finally {
    await feeds.close();
  }
  const score = JSON.parse(out.join('')) as Record<string, unknown>;
  expect(out).toHaveLength(1);
  expect(score).toMatchObject({
    lead: 'a person',
    seed: SEED,
    touchdown: { at: isoOf(truth.touchdown_s), position: truth.landing },
    // What was heard was not entered: the log has no wind of the rehearsal.
    winds: { entered: 0, wrong: [], called: [] },
    landing: { saidLast: { miss_m: 0 } },
  });
  const crews = score['crews'] as { readonly crew: string; readonly after_s: number | null }[];
  expect(crews.filter(({ after_s }) => after_s !== null).map(({ crew }) => crew)).toContain('Marshal');
});
