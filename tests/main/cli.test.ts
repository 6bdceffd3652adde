// The command line against FORMAT.md, "What the command line answers": exit status, standard output, refusals.
import { spawnSync } from 'node:child_process';
import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterEach, beforeAll, beforeEach, describe, expect, it } from 'vitest';
import { readArguments, readPosition, readTime } from '../../main/cli/arguments.ts';
import { ran } from './ran.ts';
import { commands } from '../../main/cli/commands.ts';
import { builtProgram } from '../build.ts';
import { projectRoot } from '../openData.ts';
import { testFolder, type TestFolder } from './folder.ts';

let folder: TestFolder;
beforeEach(() => {
  folder = testFolder();
});
afterEach(() => folder.remove());

/** Written by hand. 10 kt is 5.144 m/s: 1852/3600 exactly (NIST SP 811, §B.8); 1000 ft is 304.8 m exactly. */
const TABLE = `# source: release at the fence
# validTime: 2026-03-14T06:00:00Z
# position: 141.60, -31.95
height_ft,from_deg,speed_kt,temperature_C,pressure_hPa
1000,90,10,21.5,993
2000,360,0,,
3000,5,20,-0.04,900
`;

describe('plumbline', () => {
  it('says what it can do', async () => {
    for (const ask of ['--help', '-h', 'help']) {
      const { status, out, complaints } = await ran(ask);
      expect([status, complaints]).toEqual([0, []]);
      for (const { name, summary } of commands) expect(out).toMatch(new RegExp(`^  ${name} +${summary}$`, 'm'));
    }
    for (const { name } of commands) {
      const { status, out, complaints } = await ran(name, '--help');
      expect([name, status, complaints]).toEqual([name, 0, []]);
      expect(out).toMatch(new RegExp(`^plumbline ${name}: [\\s\\S]*(?:--json|\\bjson\\b)`));
    }
  });

  it('refuses a command that it has not, and no command, with status 2', async () => {
    const other = await ran('fly', 'x');
    expect([other.status, other.out, other.complaints.length]).toEqual([2, '', 1]);
    expect(other.complaints[0]).toMatch(/^"fly" is not a command; expected one of /);
    expect((await ran()).status).toBe(2);
  });
});

describe('plumbline winds', () => {
  it('answers one JSON value and nothing else', async () => {
    const path = folder.write('own/fence.csv', TABLE);
    const { status, out, complaints } = await ran('winds', path, '--json');
    expect([status, complaints]).toEqual([0, []]);
    const answer = JSON.parse(out) as { readonly levels: readonly Record<string, number | null>[] }[];
    expect(answer).toMatchObject([
      { source: 'release at the fence', validTime: '2026-03-14T06:00:00Z', position: [141.6, -31.95], problems: [] },
    ]);
    const levels = answer[0]?.levels ?? [];
    expect(levels.length).toBe(3);
    for (const level of levels)
      expect(Object.keys(level)).toEqual(
        expect.arrayContaining(['height_m', 'pressure_Pa', 'from_deg', 'speed_mps', 'temperature_K']),
      );
    expect(levels[0]?.['height_m']).toBeCloseTo(304.8, 9);
    expect(levels[0]?.['speed_mps']).toBeCloseTo((10 * 1852) / 3600, 9);
    expect(levels[0]?.['temperature_K']).toBeCloseTo(294.65, 9);
    expect(levels[0]?.['pressure_Pa']).toBeCloseTo(99_300, 6);
    expect([
      levels[0]?.['from_deg'],
      levels[1]?.['speed_mps'],
      levels[1]?.['temperature_K'],
      levels[1]?.['pressure_Pa'],
    ]).toEqual([90, 0, null, null]);
  });

  it('prints a table that a person can read: calm is calm, north is 360, missing is a dash, zero has no minus', async () => {
    const path = folder.write('own/fence.csv', TABLE.replace('3000,5,20', '3000,359.9,20'));
    const { status, out } = await ran('winds', path);
    expect(status).toBe(0);
    expect(out.split('\n')).toEqual([
      `${path}: release at the fence`,
      '  valid 2026-03-14T06:00:00Z, at 31.9500° S 141.6000° E, 3 levels; directions true, FROM',
      '    m MSL   ft MSL      hPa      from    m/s    kt      °C',
      '      305     1000    993.0      090°    5.1    10    21.5',
      '      610     2000        –      calm    0.0     0       –',
      '      914     3000    900.0      360°   10.3    20     0.0',
      '',
    ]);
  });

  it('decodes several files, and answers what it can: status 2 where one gave nothing', async () => {
    const good = folder.write('own/fence.csv', TABLE);
    const bad = join(folder.root, 'none.csv');
    const { status, out, complaints } = await ran('winds', good, bad, good, '--json');
    expect([status, (JSON.parse(out) as unknown[]).length, complaints]).toEqual([2, 2, [`${bad}: does not exist`]]);
  });

  it.each([
    ['empty', ''],
    ['binary', '\0\u0001\u0002\u0003\0\0'],
    ['truncated', '# source: x\nheight_m,fro'],
    ['not a wind file', 'Dear crew,\nsee you at six.\n'],
    ['without a usable row', 'height_m,from_deg,speed_mps\n-,-,-\n'],
  ])(
    'refuses a file that is %s: status 2, one line per problem, nothing on standard output',
    async (_what, content) => {
      const path = folder.write('own/bad.csv', content);
      for (const args of [[path], [path, '--json']]) {
        const { status, out, complaints } = await ran('winds', ...args);
        expect([status, out]).toEqual([2, '']);
        expect(complaints.length).toBeGreaterThan(0);
        for (const line of complaints) expect(line).toMatch(/^\S+bad\.csv(:\d+)?: .{8,}$/);
      }
    },
  );

  it('says line and reason of a row that it left out, and answers the rest', async () => {
    const path = folder.write('own/fence.csv', TABLE.replace('2000,360,0', '2000,999,12'));
    const { status, out, complaints } = await ran('winds', path, '--json');
    const [answer] = JSON.parse(out) as {
      readonly levels: readonly { readonly height_m: number; readonly from_deg: number | null }[];
    }[];
    const withDirection = answer?.levels
      .filter((level) => level.from_deg !== null)
      .map((level) => Math.round(level.height_m));
    expect([status, withDirection]).toEqual([0, [305, 914]]);
    expect(complaints.length).toBe(1);
    expect(complaints[0]).toMatch(/fence\.csv:6: .*999/);
  });

  it.each([
    [[], /no file was named/],
    [['x.csv', '--nothing'], /--nothing.*expected --json, --position, --station, --date$/],
    [['x.csv', '--position'], /--position/],
    [['x.csv', '--position', '95'], /^plumbline winds: --position "95"; expected LON,LAT/],
    [['x.csv', '--position', '-117.5,-95'], /^plumbline winds: --position "-117.5,-95"; expected LON,LAT/],
    [['x.csv', '--date', '14.03.2026'], /^plumbline winds: --date "14.03.2026"; expected an ISO 8601 time/],
    [['x.csv', '--date', '2026-02-30'], /2026-02-30/],
    [['x.csv', '--json=yes'], /--json/],
  ])('refuses %j with one line', async (args, why) => {
    const { status, out, complaints } = await ran('winds', ...args);
    expect([status, out, complaints.length]).toEqual([2, '', 1]);
    expect(complaints[0]).toMatch(why);
  });
});

describe('arguments', () => {
  it('take a negative longitude as a value, and what follows -- as files', () => {
    const kinds = { json: 'flag', position: 'value' } as const;
    expect(readArguments(['a', '--position', '-117.5,34', '--json'], kinds)).toEqual({
      files: ['a'],
      options: { position: '-117.5,34', json: true },
    });
    expect(readArguments(['--position=-117.5,34', 'a'], kinds)).toEqual({
      files: ['a'],
      options: { position: '-117.5,34' },
    });
    expect(readArguments(['--', '--json'], kinds)).toEqual({ files: ['--json'], options: {} });
    expect(typeof readArguments(['--json', '-117.5'], kinds)).toBe('string');
  });

  it('read places and times, or say what would be right', () => {
    expect([readPosition('-117.25,34.5'), readPosition(' 180 , -90 ')]).toEqual([
      [-117.25, 34.5],
      [180, -90],
    ]);
    for (const text of ['', ',', '1', '1,2,3', '181,0', '0,91', 'a,b', '1,', 'NaN,0'])
      expect([text, typeof readPosition(text)]).toEqual([text, 'string']);
    expect([
      readTime('date', '2026-03-14'),
      readTime('date', '2026-03-14T06:00Z'),
      readTime('date', '2026-03-14T06:00:30.5Z'),
    ]).toEqual([1773446400, 1773468000, 1773468030.5]);
    for (const text of [
      '',
      '2026',
      '2026-3-14',
      '2026-13-01',
      '2026-02-30',
      '2026-03-14T25:00Z',
      '2026-03-14T06:00',
      '2026-03-14T06:00+01:00',
    ])
      expect([text, typeof readTime('date', text)]).toEqual([text, 'string']);
  });
});

describe('the command as it is started', () => {
  beforeAll(async () => void (await builtProgram(['main'])));
  const start = (
    ...args: string[]
  ): { readonly status: number | null; readonly stdout: string; readonly stderr: string } =>
    spawnSync(process.execPath, [join(projectRoot, 'main', 'plumbline.mjs'), ...args], {
      cwd: folder.root,
      encoding: 'utf8',
    });

  it('answers on standard output, refuses on standard error, with the status', () => {
    writeFileSync(join(folder.root, 'fence.csv'), TABLE);
    const good = start('winds', 'fence.csv', '--json');
    expect([good.status, good.stderr, (JSON.parse(good.stdout) as unknown[]).length]).toEqual([0, '', 1]);
    const bad = start('winds', 'none.csv', '--json');
    expect(bad).toMatchObject({ status: 2, stdout: '', stderr: 'none.csv: does not exist\n' });
    expect(start('--help').status).toBe(0);
  });

  it('says one sentence where Node is too old', () => {
    const old = `Object.defineProperty(process.versions, 'node', { value: '18.20.1' }); await import(${JSON.stringify(join(projectRoot, 'main', 'plumbline.mjs'))});`;
    const ran = spawnSync(process.execPath, ['--input-type=module', '-e', old], { encoding: 'utf8' });
    expect(ran).toMatchObject({
      status: 1,
      stdout: '',
      stderr: 'Plumbline needs Node 20.19 or newer; this is Node 18.20.1 (see nodejs.org).\n',
    });
  });

  it('ends quietly when its reader has read enough', () => {
    const ran = spawnSync(
      'sh',
      ['-c', `"${process.execPath}" "${join(projectRoot, 'main', 'plumbline.mjs')}" --help | true`],
      {
        encoding: 'utf8',
      },
    );
    expect(ran).toMatchObject({ status: 0, stderr: '' });
  });
});
