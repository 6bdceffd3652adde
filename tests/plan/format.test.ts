// core/plan/FORMAT.md against the program: every key of plan and log has its row, with what it may hold and whether it
// is needed; what is said of defaults is what the code takes; the examples are read and the commands answer.
import { mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { defaultLimits } from '../../core/advice/limits.ts';
import { DEFAULT_WEIGHTS as ZONE_WEIGHTS } from '../../core/advice/zoneFit.ts';
import { PATTERN_DEFAULT_AGL_M } from '../../core/descent/body.ts';
import { ASCENT_MPS, FLOAT_S, RUN_S } from '../../core/descent/carrier.ts';
import { DEFAULT_SPREAD } from '../../core/descent/spread.ts';
import { logEvent } from '../../core/log/events.ts';
import { readLog } from '../../core/log/read.ts';
import { CASE_KINDS } from '../../core/mission/caseKinds.ts';
import { DEFAULT_CORRELATION_DISTANCE_M, DEFAULT_CORRELATION_TIME_S } from '../../core/plan/correlation.ts';
import { readMission } from '../../core/plan/read.ts';
import { mission } from '../../core/plan/schema.ts';
import { ROTOR_WASH_M } from '../../core/recovery/keepClear.ts';
import { PLACEMENT_WEIGHTS } from '../../core/recovery/placementCost.ts';
import { FORECAST_STD_MPS } from '../../core/winds/errorFigures.ts';
import { DEFAULT_BULK, DEFAULT_CORRELATION_LENGTH_M } from '../../core/winds/errors.ts';
import { DEFAULT_ROUGHNESS_M } from '../../core/winds/nearGround.ts';
import { main } from '../../main/cli/cli.ts';
import { projectRoot } from '../openData.ts';
import { blocksOf, rowsOf } from './markdown.ts';
import { keysOf } from './schemaKeys.ts';

const page = readFileSync(join(projectRoot, 'core/plan/FORMAT.md'), 'utf8');
const tables = rowsOf(page);
const planRows = tables.filter((row) => row.header === 'key | unit | may be | left out | what it is');
const bare = (cell: string | undefined): string => (cell ?? '').replaceAll('`', '');

describe('the keys of the plan', () => {
  const documented = new Map(planRows.map(({ cells }) => [bare(cells[0]), cells]));
  const keys = keysOf(mission);

  it('are all on the page once, and the page names no other', () => {
    expect(planRows.length).toBe(documented.size);
    expect([...documented.keys()].sort()).toEqual([...keys.keys()].sort());
    expect(documented.size).toBeGreaterThan(150);
  });

  it('have the range of the schema, and are marked as needed where they are', () => {
    for (const [path, { range, needed }] of keys) {
      const [, unit, mayBe, leftOut, what] = documented.get(path) ?? [];
      expect(`${path}: ${mayBe}`).toBe(`${path}: ${range}`);
      expect(`${path}: ${leftOut === '**needed**'}`).toBe(`${path}: ${needed}`);
      expect(`${path}: ${unit}, ${what}`).not.toMatch(/: ,|, $/);
    }
  });

  it('have the defaults that the code takes', () => {
    const spread = Object.entries(DEFAULT_SPREAD).map(([key, { value }]) => [`uncertainty.${key}`, value] as const);
    const placement = Object.entries(PLACEMENT_WEIGHTS).map(([key, value]) => [`placement.${key}`, value] as const);
    const pattern = Object.entries(PATTERN_DEFAULT_AGL_M).map(
      ([leg, value]) => [`jumper.canopy.steering.${leg}_agl_m`, value] as const,
    );
    const defaults: readonly (readonly [string, unknown])[] = [
      ['site.roughness_m', DEFAULT_ROUGHNESS_M],
      ['carrier.ascentRate_mps', [[0, ASCENT_MPS]]],
      ['carrier.float_s', FLOAT_S],
      ['carrier.run_s', RUN_S],
      ['uncertainty.wind.std_mps', FORECAST_STD_MPS],
      ['uncertainty.wind.bulk', DEFAULT_BULK],
      ['uncertainty.wind.correlationLength_m', DEFAULT_CORRELATION_LENGTH_M],
      ['uncertainty.wind.correlationTime_s', DEFAULT_CORRELATION_TIME_S],
      ['uncertainty.wind.correlationDistance_m', DEFAULT_CORRELATION_DISTANCE_M],
      ['placement.rotorWash_m', ROTOR_WASH_M],
      ...spread,
      ...placement,
      ...pattern,
    ];
    for (const [path, value] of defaults) {
      const leftOut = bare(documented.get(path)?.[3]);
      expect(`${path}: ${leftOut.startsWith('[') ? JSON.stringify(JSON.parse(leftOut)) : leftOut}`).toBe(
        `${path}: ${JSON.stringify(value)}`,
      );
    }
  });

  it('name every limit, kind of case and zone weight with its number', () => {
    const limits = tables.filter((row) => row.header === 'limit | unit | keeps | left out | broken means');
    expect(limits.map(({ cells }) => cells.map(bare).join(' | '))).toEqual(
      defaultLimits('licensed').map(({ name, unit, keep, number, severity }) =>
        [name, unit, keep === 'below' ? 'at most' : 'at least', number, severity].join(' | '),
      ),
    );
    for (const [kind, { weight }] of Object.entries(CASE_KINDS)) expect(page).toContain(`\`${kind}\` (${weight})`);
    for (const [part, weight] of Object.entries(ZONE_WEIGHTS)) expect(page).toContain(`\`${part}\` (${weight})`);
  });
});

describe('the keys of the log', () => {
  it('are listed for each kind as the schema has them', () => {
    const listed = tables
      .filter((row) => row.header.startsWith('kind | keys'))
      .map(({ cells }) => `${bare(cells[0])}: ${bare(cells[1])}`);
    const kinds = logEvent.options.map(({ shape }) => {
      const { seq: _seq, at: _at, kind, ...own } = shape;
      const keys = Object.entries(own).map(([key, value]) => (value.safeParse(undefined).success ? `${key}?` : key));
      return `${[...kind.values][0]}: ${keys.join(', ')}`;
    });
    expect(listed).toEqual(kinds);
  });

  it('have a row each with their range', () => {
    const rows = tables.filter((row) => row.header === 'key | unit | may be | what it is');
    const ranges = new Map(rows.map(({ cells }) => [bare(cells[0]), cells[2]]));
    const keys = [...keysOf(logEvent)].filter(([key]) => !['seq', 'at', 'kind'].includes(key));
    expect([...ranges]).toEqual(keys.map(([key, { range }]) => [key, range]));
  });
});

describe('the examples', () => {
  const plans = blocksOf(page, 'json');

  it('are missions that are read without a word of complaint', () => {
    expect(plans.length).toBe(2);
    for (const text of plans) {
      const { value, problems } = readMission(text);
      expect(problems).toEqual([]);
      expect(value).not.toBeNull();
    }
  });

  it('are a log that is read without a word of complaint', () => {
    const { value, problems } = readLog(`${blocksOf(page, 'jsonl').join('\n')}\n`);
    expect(problems).toEqual([]);
    expect(value.length).toBeGreaterThanOrEqual(4);
  });

  describe('of the command line', () => {
    const folder = mkdtempSync(join(tmpdir(), 'plumbline-format-'));
    const commands = blocksOf(page, 'sh').flatMap((block) => block.split('\n').filter((line) => line !== ''));

    beforeAll(() => {
      for (const [name, text] of [
        ['field.mission.json', plans[1]],
        ['field.log.jsonl', blocksOf(page, 'jsonl').join('\n')],
        ['winds/morning.csv', blocksOf(page, 'csv').join('\n')],
      ] as const) {
        mkdirSync(dirname(join(folder, name)), { recursive: true });
        writeFileSync(join(folder, name), `${text ?? ''}\n`);
      }
    });
    afterAll(() => rmSync(folder, { recursive: true, force: true }));

    it('cover every command that there is', () => expect(commands.length).toBeGreaterThanOrEqual(5));

    it.each(commands)('%s', async (line) => {
      const words = line.replace('npm run -s plumbline -- ', '').split(' ');
      const args = words.map((word) => (/\.(json|csv)$/.test(word) ? join(folder, word) : word));
      const printed: string[] = [];
      const complaints: string[] = [];
      const status = await main(args, {
        print: (text) => void printed.push(text),
        complain: (text) => void complaints.push(text),
      });
      expect(complaints).toEqual([]);
      expect(status).toBe(0);
      const out = printed.join('');
      if (!args.includes('--json')) return;
      const answer: unknown = JSON.parse(out);
      const first: unknown = Array.isArray(answer) ? answer[0] : answer;
      const row = tables.find(
        ({ header, cells }) => header === 'command | the keys of its JSON' && bare(cells[0]) === words[0],
      );
      const promised = [...(row?.cells[1] ?? '').replaceAll(/\([^)]*\)/g, '').matchAll(/`(\w+)`/g)].map((m) => m[1]);
      expect(promised.length).toBeGreaterThanOrEqual(5);
      expect(Object.keys(first as object)).toEqual(expect.arrayContaining(promised));
    });
  });
});
