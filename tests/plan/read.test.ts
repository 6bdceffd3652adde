// Plans that are wrong: each fault has its sentence with key, what was found and what would be right, and the rest is
// used.
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { fc } from '../property.ts';
import { describe, expect, it } from 'vitest';
import { readEdited, readMission } from '../../core/plan/read.ts';
import { drop, put as edit, type Json } from '../../renderer/state/stored/json.ts';
import { projectRoot } from '../openData.ts';

const TEXT = readFileSync(join(projectRoot, 'data/salt-plain/salt-plain.mission.json'), 'utf8');
type Loose = { [key: string]: Loose };
const edited = (edit: (plan: Loose) => void): string => {
  const plan = JSON.parse(TEXT) as Loose;
  edit(plan);
  return JSON.stringify(plan);
};
const said = (text: string): string =>
  readMission(text)
    .problems.map((problem) => problem.text)
    .join('\n');
const put = (at: Loose | undefined, key: string, value: unknown): void =>
  void Object.assign(at ?? {}, { [key]: value });

describe('a plan that cannot be used is refused in one sentence', () => {
  it.each([
    ['', 'is empty'],
    ['   \n', 'is empty'],
    ['{"format": "plumbline/mission", "a": NaN}', 'no NaN'],
    [TEXT.slice(0, 3000), 'ends in the middle'],
    ['\u0000\u0001\u0002PNG', 'is binary'],
    ['[1, 2]', 'holds no object'],
    ['null', 'holds no object'],
    ['{"format":"something else"}', 'expected "plumbline/mission"'],
    [edited((plan) => put(plan, 'version', 2)), 'a newer one is needed'],
    [edited((plan) => put(plan['site'], 'position', [22, 95])), 'site.position[1]: found 95'],
    [edited((plan) => Reflect.deleteProperty(plan['exit'] ?? {}, 'time')), 'exit.time: found nothing'],
    [edited((plan) => put(plan['jumper'], 'mass_kg', -80)), 'jumper.mass_kg: found -80; expected more than 0'],
    [' '.repeat(21_000_000), 'MB of text'],
  ])('%#', (text, words) => {
    const read = readMission(text);
    expect(read.value).toBeNull();
    expect(read.problems).toHaveLength(1);
    expect(read.problems[0]?.text).toContain(words);
  });

  it('a torn file names the line it ends on', () => {
    expect(readMission(TEXT.slice(0, 3000)).problems[0]?.line).toBe(TEXT.slice(0, 3000).split('\n').length);
  });
});

describe('what can be missed is left out, said, and the rest is used', () => {
  it('a level, a zone and a hazard, each by the place it has in the file', () => {
    const text = edited((plan) => {
      const levels = plan['winds']?.['forecast']?.[0]?.['levels'];
      put(levels?.[3], 'from_deg', 999);
      put(levels?.[4], 'speed_mps', -3);
      put(plan['landingZones']?.[1], 'polygon', [[22, 95]]);
      put(plan['hazards']?.[0], 'polygon', 3);
    });
    const read = readMission(text);
    const all = readMission(TEXT).value?.mission;
    const left = read.value?.mission;
    expect(left?.winds?.forecast?.[0]?.levels).toHaveLength((all?.winds?.forecast?.[0]?.levels.length ?? 0) - 2);
    expect(left?.landingZones).toHaveLength((all?.landingZones?.length ?? 0) - 1);
    expect(left?.hazards).toHaveLength((all?.hazards?.length ?? 0) - 1);
    const words = said(text);
    expect(words).toContain(
      'levels[3].from_deg: found 999; expected at most 360; winds.forecast[0].levels[3] is left out',
    );
    expect(words).toContain(
      'levels[4].speed_mps: found -3; expected at least 0; winds.forecast[0].levels[4] is left out',
    );
    expect(words).toContain('landingZones[1] is left out');
    expect(words).toContain('hazards[0] is left out');
  });

  it('an unknown key is kept and reported once, however often it occurs', () => {
    const text = edited((plan) => Object.values(plan['teams'] ?? {}).forEach((team) => put(team, 'mood', 'good')));
    const read = readMission(text);
    expect(read.problems.filter((problem) => problem.text.includes('mood'))).toHaveLength(1);
    expect(JSON.stringify(read.value?.raw)).toBe(JSON.stringify(JSON.parse(text)));
  });

  it('heights out of order are put in order, of equal heights the first counts, both said', () => {
    const text = edited((plan) => {
      const levels = plan['winds']?.['forecast']?.[0]?.['levels'];
      put(levels?.[2], 'height_m', 8000);
    });
    const levels = readMission(text).value?.mission.winds?.forecast?.[0]?.levels ?? [];
    for (let i = 1; i < levels.length; i++)
      expect(levels[i]?.height_m).toBeGreaterThan(levels[i - 1]?.height_m ?? Infinity);
    expect(said(text)).toContain('out of order');
    expect(said(text)).toContain('repeat');
  });

  it('a way of steering that is unknown falls back to the default with the ways there are', () => {
    const text = edited((plan) => put(plan['jumper']?.['canopy'], 'steering', { policy: 'spiral' }));
    expect(readMission(text).value?.mission.jumper.canopy?.steering).toBeUndefined();
    expect(said(text)).toContain("'into wind'");
  });
});

describe('any input is answered', () => {
  it('any text', () => {
    fc.assert(fc.property(fc.string(), (text) => void readMission(text)));
  });

  it('any value anywhere in a plan, without a throw and with a sentence where it matters', () => {
    const paths = pathsOf(JSON.parse(TEXT));
    expect(paths.length).toBeGreaterThan(300);
    fc.assert(
      fc.property(fc.integer({ min: 0, max: paths.length - 1 }), fc.jsonValue(), (index, value) => {
        const plan: unknown = JSON.parse(TEXT);
        const path = paths[index] ?? [];
        const parent = path.slice(0, -1).reduce<unknown>((at, key) => (at as Record<string, unknown>)[key], plan);
        Object.assign(parent as object, { [path.at(-1) ?? '']: value });
        const read = readMission(JSON.stringify(plan));
        expect(read.value !== null || read.problems.length > 0).toBe(true);
      }),
      { numRuns: 400 },
    );
  });
});

describe('a faultless plan after an edit equals a fresh reading; a plan with a problem is read in full', () => {
  const plan = JSON.parse(TEXT) as Json;
  const whole = readMission(TEXT);
  const paths = pathsOf(plan).map((path) => path.map((key) => (/^\d+$/.test(key) ? Number(key) : key)));
  const check = (next: Json): boolean => {
    if (whole.value === null) throw new Error('the demo is readable');
    const again = readMission(JSON.stringify(next));
    const quick = readEdited({ ...whole.value, raw: plan }, next as Readonly<Record<string, Json>>);
    if (quick === null) return false;
    expect(again.problems).toEqual([]);
    expect(quick.mission).toEqual(again.value?.mission);
    expect(quick.raw).toBe(next);
    return true;
  };

  it('without a fault to begin with', () => {
    expect(whole.problems).toEqual([]);
    expect(check(plan)).toBe(true);
  });

  it.each<[Json, boolean]>([
    [edit(plan, ['exit', 'position'], [22.1, -30.2]), true],
    [edit(plan, ['winds', 'forecast', 0, 'levels', 3, 'struck'], true), true],
    [edit(plan, ['winds', 'forecast', 0, 'levels', 3, 'height_m'], 50), false],
    [edit(plan, ['exit', 'altitude_m'], 10), false],
    [edit(plan, ['ours'], 1), false],
    [edit(plan, ['constructor'], 1), false],
    [edit(plan, ['site', 'ours'], 1), false],
    [drop(plan, ['gondola']), true],
    [drop(plan, ['exit']), false],
    [edit(plan, ['version'], 2), false],
  ])('%#', (next, quick) => {
    expect(check(next)).toBe(quick);
  });

  it('any value anywhere, and anything left out', () => {
    let quick = 0;
    fc.assert(
      fc.property(
        fc.nat(paths.length - 1),
        fc.oneof(fc.jsonValue(), fc.double({ min: -100, max: 500, noNaN: true }), fc.constant(undefined)),
        (index, value) => {
          const path = paths[index] ?? [];
          if (check(value === undefined ? drop(plan, path) : edit(plan, path, value as Json))) quick += 1;
        },
      ),
      { numRuns: 400 },
    );
    expect(quick).toBeGreaterThan(20);
  });
});

function pathsOf(node: unknown, path: string[] = []): string[][] {
  if (typeof node !== 'object' || node === null) return [path];
  return [
    ...(path.length > 0 ? [path] : []),
    ...Object.entries(node).flatMap(([key, value]) => pathsOf(value, [...path, key])),
  ];
}
