// A plan of which something was left out, or that does not fit its ground, holds the word: it may be the wire, the
// limit or the wind that would have stopped it. Each starts from the demo that goes, with one thing changed.
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { adviseOn } from '../../core/advice/advise.ts';
import { limitSentence } from '../../core/advice/limits.ts';
import { loadMission } from '../../core/mission/load.ts';
import { defaultMoment_s, situationAt } from '../../core/mission/situation.ts';
import { unpackAir, unpackWorld, WorldNews, type WorldAsk } from '../../core/work/worldWork.ts';
import { Air } from '../../core/air/air.ts';

const FOLDER = join(process.cwd(), 'data', 'town-meadow');
const text = (name: string): string => readFileSync(join(FOLDER, name), 'utf8');
type Plan = Record<string, Record<string, unknown>> & {
  hazards: Record<string, unknown>[];
  landmarks: Record<string, unknown>[];
  winds: { forecast: { validTime: string; levels: { height_m: number; speed_mps: number }[] }[]; files: string[] };
};
type Group = Record<string, unknown>;
const groupOf = (group: Group | undefined, key: string): Group => group?.[key] as Group;
const nthOf = (list: unknown, n: number): Group => (list as Group[])[n] as Group;
const first = (list: unknown): Group => nthOf(list, 0);
function levelOf({ winds }: Plan, n: number): { height_m: number; speed_mps: number } {
  const level = winds.forecast[0]?.levels[n];
  if (level === undefined) throw new Error(`no level ${n}`);
  return level;
}
const canopyOf = (plan: Plan): Record<string, unknown> => plan['jumper']?.['canopy'] as Record<string, unknown>;

/** The word and its reasons where the plan, or one of its files, is another. */
async function advised(
  change: (plan: Plan) => void,
  file: string | null = null,
  bytes: string | null = null,
  logText = text('town-meadow.log.jsonl'),
) {
  const plan = JSON.parse(text('town-meadow.mission.json')) as Plan;
  change(plan);
  const names = ['terrain.tif', 'roads.geojson', 'winds/forecast-15Z.csv', 'winds/bulletin-18Z.txt'];
  const attachments = names.flatMap((name) =>
    name !== file
      ? [{ name, bytes: new Uint8Array(readFileSync(join(FOLDER, name))) }]
      : bytes === null
        ? []
        : [{ name, bytes: new TextEncoder().encode(bytes) }],
  );
  const files = { planText: JSON.stringify(plan), logText, attachments };
  const { value } = await loadMission(files);
  if (value === null) throw new Error('the plan is refused');
  const { mission, log, world } = value;
  const situation = situationAt(mission, log, world, defaultMoment_s(mission, log));
  const { advice } = adviseOn(situation, { members: 300 });
  return { word: advice.word, because: advice.because.map((one) => limitSentence(one)), world, advice };
}

describe('a plan that is not whole', () => {
  it('is whole in the demo: GO', async () => {
    expect(await advised(() => undefined)).toMatchObject({ word: 'GO', because: [] });
  });

  it.each<[string, (plan: Plan) => void, RegExp]>([
    [
      'a carrier with a heading of 400°',
      (plan) => void ((plan['carrier'] as Record<string, unknown>)['heading_deg'] = 400),
      /^the plan is not whole: carrier could not be read and is left out$/,
    ],
    [
      'a hazard with a latitude of 95',
      (plan) => void (plan.hazards[0] = { name: 'Wire', kind: 'power line', line: [[14.9, 95], [14.91, 49]] }), // prettier-ignore
      /^the plan is not whole: hazards\[0\] could not be read and is left out$/,
    ],
    [
      'a limit of “nine”',
      (plan) => void ((plan['limits'] as Record<string, unknown>)['gust_mps'] = 'nine'),
      /^the plan is not whole: limits.* could not be read and is left out$/,
    ],
    [
      'no canopy',
      (plan) => void Reflect.deleteProperty(plan['jumper'] as object, 'canopy'),
      /^the plan is not whole: the plan has no canopy$/,
    ],
    [
      'no carrier',
      (plan) => void Reflect.deleteProperty(plan, 'carrier'),
      /^the plan names no carrier: there is no exit window$/,
    ],
    [
      'a canopy’s setting that there is not',
      (plan) => void (canopyOf(plan)['setting'] = 'ful drive'),
      /^the plan is not whole: the canopy has no setting “ful drive”$/,
    ],
    [
      'a pattern whose base leg begins above the downwind leg',
      (plan) => void ((canopyOf(plan)['steering'] as Record<string, unknown>)['base_agl_m'] = 2000),
      /^the plan is not whole: the legs of the pattern do not go down$/,
    ],
    [
      'an airspeed of the canopy of 110 m/s',
      (plan) => void (first(canopyOf(plan)['settings'])['airspeed_mps'] = 110),
      /^the plan is not whole: the canopy flies at 110(\.0)?\u202fm\/s: check its setting “full drive”/,
    ],
    [
      'a reserve that opens above the canopy',
      (plan) => void (groupOf(plan['jumper'], 'reserve')['opensAt_agl_m'] = 3000),
      /^the plan is not whole: the reserve opens above the canopy$/,
    ],
    [
      'an opening height with a nought too many',
      (plan) => void (first(groupOf(plan, 'jumper')['stages'])['until'] = { agl_m: 13_000 }),
      /^the plan is not whole: the stage “freefall” ends at 13.4\d\d\u202fm MSL, above the exit/,
    ],
    [
      'a height of the forecast with a nought too many',
      (plan) => void (levelOf(plan, 1).height_m *= 10),
      /^the plan is not whole: heights of “demo forecast \(invented\), run of 06Z” are out of order$/,
    ],
    [
      'a wind aloft with a nought too many',
      (plan) => void (levelOf(plan, 7).speed_mps *= 10),
      /^the wind changes by \d+(\.\d)?\u202fm\/s.* from .* to .* MSL: check the levels there$/,
    ],
    [
      'two zones of one name',
      (plan) => void (nthOf(plan['landingZones'], 1)['name'] = 'Mill Meadow'),
      /^the plan is not whole: two landing zones are called Mill Meadow$/,
    ],
    [
      'a chance below nothing as the limit',
      (plan) => void ((plan['limits'] as Record<string, unknown>)['zoneProbability'] = -0.9),
      /^the plan is not whole: the limit of the chance of the zone is −0.90; expected 0 to 1$/,
    ],
    [
      'a site whose elevation is in feet',
      (plan) => void ((plan['site'] as Record<string, unknown>)['elevation_m'] = 1396),
      /^the plan is not whole: the site’s elevation of 1400\u202fm MSL.* does not fit the terrain, which has 4\d\d\u202fm MSL/,
    ],
  ])('holds with that reason first: %s', async (_, change, first) => {
    const { word, because } = await advised(change);
    expect(word).toBe('HOLD');
    expect(because[0]).toMatch(first);
  });

  it.each([
    ['a wind file that is not there', 'winds/forecast-15Z.csv', null],
    ['a wind file that nobody can read', 'winds/forecast-15Z.csv', 'not a table of winds'],
    ['a terrain that nobody can read', 'terrain.tif', 'not a picture'],
  ])('holds where a file that the word stands on is lost: %s', async (_, file, bytes) => {
    const { word, because } = await advised(() => undefined, file, bytes);
    expect(word).toBe('HOLD');
    expect(because[0]).toBe(`the plan is not whole: ${file} could not be read and is left out`);
  });

  it('holds where the log lacks a line or one of them cannot be read, until somebody has answered for it', async () => {
    const lines = text('town-meadow.log.jsonl').trim().split('\n');
    const middle = Math.floor(lines.length / 2);
    const seqOf = (line: string | undefined): number => (JSON.parse(line ?? '') as { seq: number }).seq;
    const lost = seqOf(lines[middle]);
    const last = JSON.parse(lines.at(-1) ?? '') as { seq: number; at: string };
    const answer = JSON.stringify({ seq: last.seq + 1, at: last.at, kind: 'check', item: 'log' });
    const cut = lines.toSpliced(middle, 1);
    const torn = lines.toSpliced(middle, 1, lines[middle]?.slice(0, 40) ?? '');
    for (const broken of [cut, torn]) {
      const { because } = await advised(() => undefined, null, null, broken.join('\n'));
      expect(because.join('; ')).toContain(`the log is not whole: event ${lost} of the log is missing`);
      const answered = await advised(() => undefined, null, null, [...broken, answer].join('\n'));
      expect(answered.because.join('; ')).not.toContain('not whole');
    }
  });

  it.each([
    ['of a kind that is not known', (line: string) => line.replace(/"kind":\s*"[^"]*"/, '"kind":"wobble"')],
    ['damaged', (line: string) => line.replace('"kind"', '"kind')],
  ])('holds where the last lines are %s, until somebody has answered for it, on the record', async (_, break_) => {
    const lines = text('town-meadow.log.jsonl').trim().split('\n');
    const seqs = lines.map((line) => (JSON.parse(line) as { seq: number }).seq);
    const last = JSON.parse(lines.at(-1) ?? '') as { seq: number; at: string };
    const broken = lines.map((line, i) => (i < lines.length - 2 ? line : break_(line)));
    const behind = (kind: object): string => JSON.stringify({ seq: last.seq + 1, at: last.at, ...kind });
    const wordOf = async (...more: readonly string[]): Promise<string> =>
      (await advised(() => undefined, null, null, `${[...broken, ...more].join('\n')}\n`)).because.join('; ');
    const named = `events ${seqs.at(-2)} to ${seqs.at(-1)}`;
    expect(await wordOf()).toContain(
      `the plan is not whole: the end of the log (${named}) could not be read and is left out`,
    );
    // Another event answers nothing: it makes a gap of them.
    expect(await wordOf(behind({ kind: 'note', text: 'on we go' }))).toContain(`the log is not whole: ${named} of the`);
    expect(await wordOf(behind({ kind: 'check', item: 'log' }))).not.toContain('whole');
  });

  it('does not call a hazard unlikely where the plan names none', async () => {
    const { advice } = await advised((plan) => void (plan.hazards = []));
    const limit = advice.limits.find((one) => one.limit.name === 'hazardProbability');
    expect(limit).toMatchObject({ state: 'not given', value: { why: 'the plan names no hazard' } });
  });

  it('does not hold for what the word does not stand on: a landmark', async () => {
    const { word } = await advised((plan) => void (plan.landmarks[0] = { name: 'Mill', position: [14.9, 95] }));
    expect(word).toBe('GO');
  });

  it('is told to a worker with its world', async () => {
    const { world } = await advised(() => undefined, 'terrain.tif', 'not a picture');
    const { asks } = new WorldNews().tell(world);
    const data = asks.find((ask): ask is Extract<WorldAsk, { kind: 'world' }> => ask.kind === 'world')?.data;
    const rows = asks.find((ask): ask is Extract<WorldAsk, { kind: 'air' }> => ask.kind === 'air')?.rows;
    if (data === undefined || rows === undefined) throw new Error('a world is told');
    expect(unpackWorld(data, null, new Air(unpackAir(rows))).lacking).toEqual(['terrain.tif']);
  });
});

describe('winds aloft', () => {
  it('drawn across a gap of two days are as old as the nearest of the two', async () => {
    const { word, because, advice } = await advised((plan) => {
      const [column] = plan.winds.forecast;
      if (column === undefined) throw new Error('the demo has a forecast');
      column.validTime = '2027-05-28T00:00:00Z';
      plan.winds.forecast.push({ ...column, validTime: '2027-05-31T00:00:00Z' });
      plan.winds.files = [];
    });
    expect(word).toBe('HOLD');
    expect(because.join('; ')).toMatch(/age of the winds aloft 34\Wh\W+30\Wmin, over the 6\Wh limit/);
    expect(advice.limits.find(({ limit }) => limit.name === 'windsAloftAge_s')?.state).toBe('broken');
  });
});
