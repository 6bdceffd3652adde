// A rehearsal's score can fail: who passes a reversed wind on has it in the score, and who asks has not. Its numbers
// against a second way: distances by GeographicLib, times by subtraction.
import { Geodesic } from 'geographiclib-geodesic';
import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { toEnd } from '../../core/base/steps.ts';
import type { LonLat } from '../../core/base/units.ts';
import { offset } from '../../core/earth/geodesic.ts';
import type { LogEvent } from '../../core/log/events.ts';
import type { LeadName } from '../../core/rehearsal/lead.ts';
import { rehearseInSteps, type Rehearsed } from '../../core/rehearsal/rehearse.ts';
import { loadMission } from '../../core/mission/load.ts';
import { readRehearsal, type RehearsalScenario } from '../../core/rehearsal/scenario.ts';
import { scoreOf } from '../../core/rehearsal/score.ts';
import { hiddenTruth, situationBefore } from '../../core/rehearsal/truth.ts';
import { ANY, bundledRehearsal, rehearsalNames } from '../../main/rehearsals.ts';
import { loadDemo } from '../demo.ts';
import { projectRoot } from '../openData.ts';
import { sourcesBelow } from '../sources.ts';

const town = await loadDemo('town-meadow');
const scenarioOf = (name: string): RehearsalScenario => {
  const found = bundledRehearsal(name, 1);
  if (found === null) throw new Error(`no scenario ${name}`);
  return found;
};

interface Asked {
  readonly lead?: LeadName;
  readonly every_s?: number;
  readonly begins_s?: number;
}

function flown(name: string, seed: number, { lead = 'careful', every_s = 15, begins_s = 600 }: Asked = {}): Rehearsed {
  const scenario = { ...scenarioOf(name), begins_s };
  const done = toEnd(rehearseInSteps(town, scenario, { lead, every_s, members: 50, seed }));
  if (typeof done === 'string') throw new Error(done);
  return done;
}

describe('a reversed wind', () => {
  it.each([1, 2])('is not passed on by a lead who asks, and is by one who confirms it (seed %i)', (seed) => {
    const { score: careful, log } = flown('reversed report', seed);
    expect(careful.winds.passedOn).toBe(0);
    const [wrong, ...more] = careful.winds.wrong;
    expect([wrong?.wrong, wrong?.called, wrong?.counted_s, more]).toEqual(['way', 0, 0, []]);
    // The crew is asked at the next look, 15 s on at most, and answers within 30 s.
    expect((wrong?.putRight_s ?? NaN) - (wrong?.at_s ?? NaN)).toBeLessThanOrEqual(45);
    expect(log.filter(({ kind }) => kind === 'correction')).toHaveLength(1);
    const { score: credulous } = flown('reversed report', seed, { lead: 'credulous' });
    expect(credulous.winds.passedOn).toBe(1);
    const [passed] = credulous.winds.wrong;
    expect(passed?.called).toBeGreaterThan(0);
    expect(passed?.counted_s).toBeGreaterThan(120);
    expect(passed?.putRight_s).toBeNull();
  });
});

it('the same seed gives the same bytes, and another seed another descent', () => {
  const [a, b, c] = [5, 5, 6].map((seed) => flown('calm run', seed, { begins_s: 60 }));
  expect(JSON.stringify(a)).toBe(JSON.stringify(b));
  expect(a?.score.landing).not.toEqual(c?.score.landing);
});

it('a receiver that falls silent raises one alert, a true one, and it is answered', () => {
  const { score } = flown('fixes lost under canopy', 2, { begins_s: 60 });
  expect(score.alerts.filter(({ kind }) => kind === 'fix lost')).toMatchObject([{ isTrue: true, answered_s: 15 }]);
});

it('a late opening is said while it is late', () => {
  const { score } = flown('late opening', 3, { every_s: 4, begins_s: 60 });
  expect(score.alerts.filter(({ kind }) => kind === 'opening late')).toMatchObject([{ isTrue: true }]);
});

it('a wind of which no unit was said does not go in before it was read again', () => {
  const { log, score } = flown('wrong units', 4);
  const note = log.find((event) => event.kind === 'note' && event.text.startsWith('Heard: '));
  const asked = log.findIndex((event) => event.kind === 'call' && event.text.includes('say your wind again'));
  expect(note?.seq).toBe((log[asked]?.seq ?? NaN) - 1);
  // Four are said: one is not understood, and comes again.
  expect(score.winds.entered).toBeGreaterThanOrEqual(4);
  expect(score.winds.wrong.map(({ wrong }) => wrong)).toEqual(['strength']);
});

describe('a bare plan', () => {
  const fall = { name: 'fall', dragArea_m2: 0.5 };
  const plan = {
    format: 'plumbline/mission',
    version: 1,
    name: 'bare',
    site: { name: 'field', position: [10, 50], elevation_m: 100 },
    exit: { position: [10, 50], altitude_m: 3000, time: '2027-05-01T10:00:00Z' },
    jumper: { mass_kg: 90, stages: [fall] },
  };

  it.each([
    ['without canopy, crews, zones, winds and log', plan],
    [
      'with a crew whose name is in another’s',
      {
        ...plan,
        teams: ['Team 1', 'Team 12'].map((name) => ({ name, kind: 'vehicle', position: [10.01, 50], speed_mps: 10 })),
      },
    ],
  ])('%s is rehearsed too, and its reader’s questions go to who spoke', async (_what, text) => {
    const { value } = await loadMission({ planText: JSON.stringify(text), logText: '', attachments: [] });
    if (value === null) throw new Error('the plan is read');
    // The second crew says no unit.
    const scenario = { ...scenarioOf('wrong units'), begins_s: 200 };
    const reports = scenario.reports.map((one) => ({ ...one, crew: 2, says: 'no unit' as const }));
    const asked = { lead: 'careful', every_s: 15, members: 50, seed: 2 } as const;
    const done = toEnd(rehearseInSteps(value, { ...scenario, reports }, asked));
    if (typeof done === 'string') throw new Error(done);
    expect(done.score.opening_s).toBeNull();
    expect(done.score.saidLast).not.toBeNull();
    const again = done.log.flatMap((one) =>
      one.kind === 'call' && one.text.includes('say your wind') ? [one.to] : [],
    );
    expect(new Set(again)).toEqual(new Set('teams' in text ? ['Team 12'] : []));
    expect(done.score.winds.entered).toBe('teams' in text ? 1 : 0);
  });
});

describe('a log that somebody kept', () => {
  const scenario = scenarioOf('calm run');
  const begins = situationBefore(town, scenario);
  const truth = hiddenTruth(begins, scenario, 1);
  if (typeof truth === 'string') throw new Error(truth);
  const iso = (time_s: number): string => new Date(1000 * Math.floor(time_s)).toISOString();
  const away: LonLat = offset(truth.landing, 300, -400);
  const wind = { kind: 'wind-report', source: 'crew', by: 'Marshal', agl_m: 2, speed_mps: 5 } as const;
  const measured = { from_deg: 250, speed_mps: 5 };
  const said_s = Math.floor(truth.exit_s) - 200;
  const said = [{ at_s: said_s, by: 'Marshal', measured, text: '' }];
  const scored = (events: readonly (Omit<LogEvent, 'seq' | 'at'> & { t: number })[]) => {
    const first = town.log.length + 1;
    const log = events.map(({ t, ...event }, i) => ({ ...event, seq: first + i, at: iso(said_s + t) }) as LogEvent);
    return scoreOf(town, { truth, said, fixes: [] }, [...town.log, ...log], []);
  };
  const landingAt = (place: LonLat, t: number) => ({
    kind: 'call' as const,
    text: 'landing',
    key: 'landing',
    values: { lon_deg: place[0], lat_deg: place[1] },
    t,
  });

  it('is scored by the landing that it said last, by how far that was off', () => {
    const { saidLast, saidBeforeExit } = scored([landingAt(truth.landing, 100), landingAt(away, 300)]);
    const { s12 = NaN } = Geodesic.WGS84.Inverse(truth.landing[1], truth.landing[0], away[1], away[0]);
    expect(saidLast?.miss_m).toBeCloseTo(s12, 3);
    expect(saidLast?.before_s).toBeCloseTo(truth.touchdown_s - (said_s + 300), 6);
    expect(saidBeforeExit?.miss_m).toBeCloseTo(0, 3);
  });

  it.each([
    ['as it was measured', { from_deg: 250, speed_mps: 5 }, []],
    ['rounded', { from_deg: 255, speed_mps: 5.144 }, []],
    ['the other way round', { from_deg: 70, speed_mps: 5 }, ['way']],
    ['knots for metres a second', { from_deg: 250, speed_mps: 9.7 }, ['strength']],
    ['metres a second for knots', { from_deg: 250, speed_mps: 2.57 }, ['strength']],
  ])('a wind entered %s', (_what, event, wrong) => {
    const entered = { ...wind, ...event, id: 'w9', observedAt: iso(said_s), t: 0 };
    expect(scored([entered]).winds.wrong.map((one) => one.wrong)).toEqual(wrong);
  });

  it('counts from the wind to the call that stands on it', () => {
    const entered = { ...wind, ...measured, id: 'w9', observedAt: iso(said_s), t: 0 };
    const call = { kind: 'call' as const, text: 'wind', key: 'wind', values: { report: 'w9' }, t: 33 };
    expect(scored([entered, call]).winds.called).toEqual([{ id: 'w9', at_s: said_s, after_s: 33 }]);
  });

  it('has the crews’ times from their fixes', () => {
    const t = Math.ceil(truth.touchdown_s) - said_s + 70;
    const there = { kind: 'fix' as const, body: 'Marshal', position: truth.landing, t };
    const { crews } = scored([there]);
    expect(crews.find(({ crew }) => crew === 'Marshal')?.after_s).toBeCloseTo(said_s + t - truth.touchdown_s, 6);
    expect(crews.find(({ crew }) => crew === 'First Aid')?.after_s).toBeNull();
  });
});

describe('the scenarios that come with the program', () => {
  const folder = join(projectRoot, 'data/rehearsals');
  const files = readdirSync(folder);

  it('are six, each with its notes, and none lies there that is not offered', () => {
    const read = files.map((file) => readRehearsal(readFileSync(join(folder, file), 'utf8')));
    expect(read.flatMap(({ problems }) => problems)).toEqual([]);
    expect(read.map(({ value }) => value?.name ?? '').sort()).toEqual([...rehearsalNames].sort());
    expect(read.length).toBe(6);
    expect(read.filter(({ value }) => (value?.notes.length ?? 0) < 20)).toEqual([]);
  });

  it('are each drawn by one seed or another', () => {
    const drawn = new Set(Array.from({ length: 100 }, (_, seed) => bundledRehearsal(ANY, seed)?.name ?? ''));
    expect([...drawn].sort()).toEqual([...rehearsalNames].sort());
    expect(bundledRehearsal('no such', 1)).toBeNull();
  });
});

it('the lead sees nothing but lines: no code of the hidden side is loaded with it', () => {
  const sources = new Map(sourcesBelow('core').map((source) => [source.path, source]));
  const seen = new Set<string>();
  const walk = (path: string): void => {
    if (seen.has(path)) return;
    seen.add(path);
    // Types are gone when it runs.
    const code = sources.get(path)?.code ?? '';
    const typed = new Set([...code.matchAll(/^import type [^;]*'([^']+)';/gm)].map(([, from]) => from));
    for (const { to, kind } of sources.get(path)?.imports ?? [])
      if (
        kind === 'file' &&
        ![...typed].some((from) => from !== undefined && to.endsWith(from.replace(/^(\.+\/)+/, '')))
      )
        walk(to);
  };
  walk('core/rehearsal/lead.ts');
  expect(seen.size).toBeGreaterThan(50);
  expect([...seen].filter((path) => path.startsWith('core/rehearsal/'))).toEqual(['core/rehearsal/lead.ts']);
});
