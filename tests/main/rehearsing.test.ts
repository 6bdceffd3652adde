// The desk's rehearsal, whole, through real TCP: a copy is made of a mission that stays as it is, the desk's own feeds
// bring what is sent, crews answer and go, an instructor sets things off, and the score is of the hidden descent, which
// is known here by its seed.
import { cpSync, mkdtempSync, readdirSync, readFileSync, realpathSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, afterEach, beforeEach, expect, it, vi } from 'vitest';
import { isoOf } from '../../core/base/plainNumbers.ts';
import type { LogEvent } from '../../core/log/events.ts';
import { readLog } from '../../core/log/read.ts';
import { readMission } from '../../core/plan/read.ts';
import { hiddenTruth, situationBefore } from '../../core/rehearsal/truth.ts';
import type { Outcome, RehearsalDeed, RehearsalState } from '../../main/contract.ts';
import { createDesk, type DeskService } from '../../main/desk.ts';
import { logPathOf } from '../../main/files/log.ts';
import { bundledRehearsal, rehearsalNames } from '../../main/rehearsals.ts';
import { loadDemo } from '../demo.ts';
import { projectRoot } from '../openData.ts';
import { PATIENT } from '../patience.ts';

const SEED = 12;
const root = realpathSync(mkdtempSync(join(tmpdir(), 'plumbline-rehearsing-')));
afterAll(() => rmSync(root, { recursive: true, force: true, maxRetries: 5 }));
const own = join(root, 'own');
cpSync(join(projectRoot, 'data/town-meadow'), own, { recursive: true });
const mission = join(own, 'town-meadow.mission.json');
const planText = readFileSync(mission, 'utf8').replace(/"name": "[^"]*"/, '"name": "Edited meadow"');

let desk: DeskService;
let told: RehearsalState[];
beforeEach(() => {
  told = [];
  desk = createDesk({
    host: 'browser',
    version: '9.9.9',
    demoFolder: join(root, 'demos'),
    copyFolder: join(root, 'copies'),
    mission,
    typedPaths: true,
    dialogs: null,
    printPdf: null,
    now: () => new Date(),
    poll_ms: 50,
  });
  desk.listen((name, event) => {
    if (name === 'rehearsal/state') told.push((event as { readonly state: RehearsalState }).state);
  });
});
afterEach(() => desk.close());

function value<T>(outcome: Outcome<T>): T {
  if (!outcome.ok) throw new Error(outcome.why);
  return outcome.value;
}

const start = (more: object = {}) =>
  desk.handlers['rehearsal/start']({ scenario: 'calm run', seed: SEED, speed: 60, planText, ...more }, mission);
const does = (deed: RehearsalDeed) => desk.handlers['rehearsal/do'](deed);
const bytesOf = (folder: string): string[] =>
  readdirSync(folder, { recursive: true, withFileTypes: true })
    .filter((entry) => entry.isFile())
    .map((entry) => `${entry.name} ${readFileSync(join(entry.parentPath, entry.name), 'base64')}`);

async function until(holds: (state: RehearsalState) => boolean): Promise<RehearsalState> {
  return vi.waitFor(async () => {
    const state = await desk.handlers['rehearsal/state']();
    if (state === null || !holds(state)) throw new Error(JSON.stringify({ ...state, score: null }));
    return state;
  }, PATIENT);
}

it('is made in a copy, comes by feeds, is answered by radio, and is scored against the hidden descent', async () => {
  const before = bytesOf(own);
  value(await desk.handlers['mission/open'](mission));
  const { path, planText: copied, logText, problems } = value(await start());
  expect(path).toBe(join(root, 'copies/rehearsal-edited-meadow/rehearsal-edited-meadow.mission.json'));
  expect(readMission(copied).value?.mission.name).toBe('REHEARSAL: Edited meadow');
  expect(problems).toEqual([]);
  const loaded = await loadDemo('town-meadow');
  expect(readLog(logText)).toEqual({ value: loaded.log, problems: [], unread: null });
  expect(await start()).toEqual({ ok: false, why: 'A rehearsal is on at this desk; stop it first.' });

  // Its clock stands, and its feeds are there as any other.
  const ready = await until(() => true);
  expect(ready).toMatchObject({ missionPath: path, stage: 'ready', speed: 60, heard: [], score: null });
  expect(isoOf(ready.at_s)).toBe('2027-05-29T13:20:00Z');
  const bodies = ['jumper', ...ready.crews];
  const feeds = () => desk.handlers['feed/list']('w');
  await vi.waitFor(async () => expect((await feeds()).map(({ link }) => link)).toEqual(bodies.map(() => 'connected')));
  expect((await feeds()).map(({ missionPath, body }) => [missionPath, body])).toEqual(bodies.map((one) => [path, one]));
  expect((await until(() => true)).at_s).toBe(ready.at_s);

  const log = (): readonly LogEvent[] => readLog(readFileSync(logPathOf(path), 'utf8')).value;
  const fixesOf = (body: string) => log().filter((event) => event.kind === 'fix' && event.body === body);
  value(await does({ kind: 'go on' }));
  await vi.waitFor(
    () => expect(bodies.map((body) => fixesOf(body).length > 2)).toEqual(bodies.map(() => true)),
    PATIENT,
  );
  // Fixes are stamped by the rehearsal's clock: none comes from the future or long ago.
  for (const event of log().slice(loaded.log.length)) {
    const observed = event.kind === 'fix' ? event.observedAt : undefined;
    expect(Math.abs(Date.parse(event.at) - Date.parse(observed ?? ''))).toBeLessThan(120_000);
  }

  // Paused, an instructor's wind is said by the clock's next second, and asked again it is said rightly.
  value(await does({ kind: 'act', act: { kind: 'wind said', crew: 'First Aid', says: 'toward for from' } }));
  value(await does({ kind: 'act', act: { kind: 'fixes stop', body: 'Marshal' } }));
  expect(await does({ kind: 'act', act: { kind: 'fixes stop', body: 'Marshal' } })).toEqual({
    ok: false,
    why: 'Fixes of Marshal are stopped already.',
  });
  const of = (state: RehearsalState) => state.heard.filter(({ by }) => by === 'First Aid').map(({ text }) => text);
  const said = await until((state) => of(state).length > 0);
  const [wrong = ''] = of(said).slice(-1);
  value(await does({ kind: 'order', order: 'say again', crew: 'First Aid' }));
  const again = await until((state) => of(state).length > of(said).length);
  const [right = ''] = of(again).slice(-1);
  const [a, b] = [wrong, right].map((text) => Number(/, (\d{3})° true/.exec(text)?.[1]));
  expect(Math.abs((a ?? NaN) - (b ?? NaN))).toBe(180);
  const since = log().slice(loaded.log.length);
  expect(since.flatMap((event) => (event.kind === 'call' ? [[event.to, event.text]] : []))).toEqual([
    ['First Aid', 'First Aid, say your wind again: FROM where, how strong'],
  ]);
  value(await does({ kind: 'pause' }));
  const paused = await until(({ stage }) => stage === 'paused');
  expect((await until(() => true)).at_s).toBe(paused.at_s);
  expect(await does({ kind: 'order', order: 'go', crew: 'Marshal' })).toMatchObject({
    ok: false,
    why: expect.stringMatching(/^The log has no touchdown, and no landing was called/) as string,
  });

  // The landing is called, then that the jumper is down: all crews go by themselves.
  value(await does({ kind: 'go on' }));
  const scenario = bundledRehearsal('calm run', SEED);
  if (scenario === null) throw new Error('the scenario is there');
  const truth = hiddenTruth(situationBefore(loaded, scenario), scenario, SEED);
  if (typeof truth === 'string') throw new Error(truth);
  const [lon_deg, lat_deg] = truth.landing;
  const call = (key: string, at_s: number, values: { readonly [name: string]: number }) =>
    desk.handlers['log/append'](
      path,
      { kind: 'call', text: key, key, to: 'all crews', values },
      isoOf(Math.floor(at_s)),
    );
  const down = await until(({ at_s }) => at_s > truth.touchdown_s + 1);
  value(await call('landing', truth.touchdown_s - 20, { lon_deg, lat_deg }));
  value(await call('down', down.at_s, {}));

  const over = await until(({ stage }) => stage === 'over');
  expect(over.trouble).toBeNull();
  expect(over.score?.run).toMatchObject({ scenario: 'calm run', seed: SEED, lead: 'a person', stopped_s: null });
  expect(over.score?.run.acts.map(({ act }) => act.kind)).toEqual(['wind said', 'fixes stop']);
  expect(over.score?.score).toMatchObject({
    touchdown_s: truth.touchdown_s,
    landing: truth.landing,
    saidLast: { miss_m: 0 },
  });
  const there = over.score?.score.crews.filter(({ after_s }) => after_s !== null).map(({ crew }) => crew);
  expect(there).toContain('First Aid');
  expect(await feeds()).toEqual([]);
  expect(await does({ kind: 'go on' })).toEqual({ ok: false, why: 'The rehearsal is over.' });
  expect(new Set(told.map(({ stage }) => stage))).toEqual(new Set(['ready', 'running', 'paused', 'scoring', 'over']));
  expect(bytesOf(own)).toEqual(before);
});

it('is stopped and scored at any moment, and says what cannot be rehearsed', async () => {
  expect((await desk.handlers['rehearsal/offered']()).map(({ name }) => name)).toEqual(rehearsalNames);
  expect(await desk.handlers['rehearsal/state']()).toBeNull();
  expect(await does({ kind: 'go on' })).toEqual({ ok: false, why: 'There is no rehearsal at this desk.' });
  expect(await start()).toMatchObject({ ok: false, why: expect.stringContaining('was not opened') as string });
  value(await desk.handlers['mission/open'](mission));
  expect(await start({ scenario: 'lunch' })).toEqual({ ok: false, why: 'There is no scenario lunch.' });
  expect(await start({ planText: '{}' })).toMatchObject({
    ok: false,
    why: expect.stringMatching(/^This mission cannot be rehearsed: format: found nothing/) as string,
  });
  const { path } = value(await start({ scenario: 'any' }));
  expect((await until(() => true)).scenario).toBe('any');
  value(await does({ kind: 'stop' }));
  const over = await until(({ stage }) => stage === 'over');
  expect(over.score?.run.stopped_s).toBe(over.at_s);
  expect(over.score?.score.saidLast).toBeNull();
  // The copy is rehearsed again from where it began, in a copy of its own beside it.
  const again = value(await desk.handlers['rehearsal/start']({ scenario: 'any', seed: 2, speed: 1, planText }, path));
  expect([again.path === path, again.path.includes('rehearsal-rehearsal')]).toEqual([false, false]);
});
