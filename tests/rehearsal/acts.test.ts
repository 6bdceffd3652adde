// What an instructor sets off: it happens to the lines that are sent, at its time and to nothing else; the same acts
// give the same lines however often somebody looks; and what cannot be is refused and changes nothing.
import { describe, expect, it } from 'vitest';
import { wrap180, type LonLat } from '../../core/base/units.ts';
import { inverse } from '../../core/earth/geodesic.ts';
import { FixStream } from '../../core/formats/tracks/stream.ts';
import { instructorAct, type InstructorAct } from '../../core/rehearsal/acts.ts';
import { scoreOf } from '../../core/rehearsal/score.ts';
import { scoreData, scoreText } from '../../core/rehearsal/scoreText.ts';
import { Simulator, type Sent } from '../../core/rehearsal/simulator.ts';
import { hiddenTruth, situationBefore } from '../../core/rehearsal/truth.ts';
import { bundledRehearsal } from '../../main/rehearsals.ts';
import { loadDemo } from '../demo.ts';

const SEED = 12;
const town = await loadDemo('town-meadow');
const calm = bundledRehearsal('calm run', SEED);
if (calm === null) throw new Error('the scenario is there');
const scenario = { ...calm, begins_s: 250 };
const begins = situationBefore(town, scenario);
const truth = hiddenTruth(begins, scenario, SEED);
if (typeof truth === 'string') throw new Error(truth);
const { begins_s, exit_s, touchdown_s } = truth;
const opening_s = truth.opening_s ?? NaN;
const END_S = touchdown_s + 60;

interface Played {
  readonly sent: readonly Sent[];
  readonly refused: readonly string[];
  readonly simulator: Simulator;
}

/** The lines with acts at their times, looked at every so many seconds. */
function played(acts: readonly (readonly [at_s: number, act: InstructorAct])[], look_s = 7): Played {
  const simulator = new Simulator(begins, scenario, truth as Exclude<typeof truth, string>, SEED);
  const [sent, refused]: [Sent[], string[]] = [[], []];
  let next = 0;
  for (let at_s = begins_s; at_s <= END_S; at_s += look_s) {
    for (let act = acts[next]; act !== undefined && act[0] <= at_s; act = acts[++next]) {
      sent.push(...simulator.until(act[0]));
      const why = simulator.act(act[1], act[0]);
      if (why !== null) refused.push(why);
    }
    sent.push(...simulator.until(at_s));
  }
  sent.push(...simulator.until(END_S));
  return { sent, refused, simulator };
}

const ofBody = (sent: readonly Sent[], body: string) =>
  sent.filter((one): one is Extract<Sent, { kind: 'fix' }> => one.kind === 'fix' && one.body === body);
const heard = (sent: readonly Sent[]) => sent.flatMap((one) => (one.kind === 'heard' ? [one] : []));
const without = played([]);

it('gives the same lines by the same acts, however often somebody looks', () => {
  const acts = [
    [exit_s - 120, { kind: 'wind said', crew: 'First Aid', says: 'toward for from' }],
    [exit_s - 60, { kind: 'fixes stop', body: 'Marshal' }],
    [exit_s + 5, { kind: 'opening', becomes: 'late' }],
    [exit_s + 6, { kind: 'wild fix', body: 'jumper' }],
    [exit_s + 40, { kind: 'fixes come back', body: 'Marshal' }],
  ] as const;
  const [a, b] = [played(acts, 1), played(acts, 13)];
  expect(a.refused).toEqual([]);
  expect(a.simulator.acts.map(({ act }) => act)).toEqual(acts.map(([, act]) => act));
  expect(a.sent).toEqual(b.sent);
  expect(a.sent).not.toEqual(without.sent);
  for (const { act } of a.simulator.acts) expect(instructorAct.safeParse(act).success).toBe(true);
});

it.each(['jumper', 'Marshal'])('stops the fixes of %s and lets them come back, and touches no other', (body) => {
  const [from_s, to_s] = [exit_s - 100, exit_s - 30];
  const { sent, simulator } = played([
    [from_s, { kind: 'fixes stop', body }],
    [to_s, { kind: 'fixes come back', body }],
  ]);
  const isQuiet = ({ at_s }: Sent): boolean => at_s >= from_s && at_s < to_s;
  for (const one of simulator.bodies)
    expect(ofBody(sent, one)).toEqual(ofBody(without.sent, one).filter((fix) => one !== body || !isQuiet(fix)));
  expect(ofBody(without.sent, body).filter(isQuiet).length).toBeGreaterThan(3);
  expect([simulator.silent(from_s + 1), simulator.silent(to_s + 1)]).toEqual([[body], []]);
  // The score counts what was sent.
  expect(simulator.fixes).toHaveLength(ofBody(sent, 'jumper').length);
});

it.each(['jumper', 'Marshal'])('makes one fix of %s a wild one, three kilometres off', (body) => {
  const at_s = exit_s - 100;
  const { sent } = played([[at_s, { kind: 'wild fix', body }]]);
  const [is, was] = [ofBody(sent, body), ofBody(without.sent, body)];
  const k = is.findIndex((one) => one.at_s > at_s);
  expect(is.filter((one, i) => JSON.stringify(one) !== JSON.stringify(was[i]))).toEqual([is[k]]);
  const read = ({ lines }: { readonly lines: readonly string[] }): LonLat => {
    const stream = new FixStream();
    const [fix] = [...lines.flatMap((line) => stream.take(line, at_s).fixes), ...stream.flush(at_s).fixes];
    return fix?.position ?? [0, 0];
  };
  const [wild, truly] = [is[k], was[k]].map((one) => read(one ?? { lines: [] }));
  // The jumper's own noise is 5 m an axis, a crew's packet is good to 18 m.
  expect(Math.abs(inverse(wild ?? [0, 0], truly ?? [0, 0]).distance_m - 3000)).toBeLessThan(40);
});

describe('a wind that a crew is made to say', () => {
  const told = (says: Extract<InstructorAct, { kind: 'wind said' }>['says']) => {
    const at_s = exit_s - 100;
    const { sent, simulator } = played([[at_s, { kind: 'wind said', crew: 'First Aid', says }]]);
    const said = simulator.said.find((one) => one.at_s === at_s);
    const line = heard(sent).find((one) => one.at_s === at_s);
    expect([said?.by, line?.by, said?.text]).toEqual(['First Aid', 'First Aid', line?.text]);
    const [, from = '', speed = '', unit = ''] =
      /^First Aid 2 m agl, (\d{3})° true, ([\d.]+) ?(.*)$/.exec(line?.text ?? '') ?? [];
    const { from_deg, speed_mps } = said?.measured ?? { from_deg: NaN, speed_mps: NaN };
    return { turned_deg: Math.abs(wrap180(Number(from) - from_deg)), times: Number(speed) / speed_mps, unit };
  };

  // A direction is said in steps of 5°, a speed in whole knots: 1.94384 to the metre a second.
  it.each([
    ['right', 0, 'kt', 1.944],
    ['toward for from', 180, 'kt', 1.944],
    ['knots as m/s', 0, 'm/s', 1.944],
    ['m/s as knots', 0, 'kt', 1],
    ['no unit', 0, '', 1.944],
    ['another wind', 100, 'kt', 1.6 * 1.944],
  ] as const)('%s', (says, turned_deg, unit, times) => {
    const was = told(says);
    expect(Math.abs(was.turned_deg - turned_deg)).toBeLessThanOrEqual(2.5 + 1e-6);
    expect(was.unit).toBe(unit);
    if (says === 'another wind') expect(was.times).toBeGreaterThan(times - 0.3);
    else expect(Math.abs(was.times - times)).toBeLessThan(0.35);
  });
});

describe('the opening', () => {
  it.each(['late', 'none'] as const)('becomes %s, and up to where it was to open it is the same descent', (becomes) => {
    const { sent, simulator } = played([[exit_s + 3, { kind: 'opening', becomes }]]);
    const before = (of: readonly Sent[]) => ofBody(of, 'jumper').filter(({ at_s }) => at_s < opening_s);
    expect(before(sent)).toEqual(before(without.sent));
    expect(simulator.truth.touchdown_s).toBeLessThan(touchdown_s);
    // Fixes go on for 90 s after the touchdown, and it was watched for longer than that.
    expect(ofBody(sent, 'jumper').at(-1)?.at_s).toBeLessThanOrEqual(simulator.truth.touchdown_s + 90);
    const reports = heard(sent).filter(({ at_s }) => at_s > exit_s);
    if (becomes === 'none') {
      expect([simulator.truth.opening_s, reports]).toEqual([null, []]);
      return;
    }
    const agl = (time_s: number) =>
      simulator.truth.jumperAt(time_s).height_m - simulator.truth.jumperAt(touchdown_s).height_m;
    const late_s = simulator.truth.opening_s ?? NaN;
    expect(late_s).toBeGreaterThan(opening_s);
    expect(agl(late_s)).toBeLessThan(0.75 * (truth.opens_agl_m ?? NaN));
    // What a crew says 20 s before the opening moves with it.
    expect(reports.map(({ at_s }) => at_s)).toEqual([late_s - 20]);
  });

  it('is refused once it has happened', () => {
    const { sent, refused, simulator } = played([[opening_s + 1, { kind: 'opening', becomes: 'none' }]]);
    expect(refused).toEqual(['the canopy is open already']);
    expect([sent, simulator.acts]).toEqual([without.sent, []]);
  });
});

it('refuses what cannot be, and changes nothing', () => {
  const at_s = exit_s - 100;
  const { sent, refused, simulator } = played([
    [at_s, { kind: 'fixes stop', body: 'nobody' }],
    [at_s, { kind: 'fixes come back', body: 'jumper' }],
    [at_s, { kind: 'wind said', crew: 'nobody', says: 'right' }],
  ]);
  expect(refused).toEqual([
    'nothing sends fixes of nobody',
    'fixes of jumper were not stopped',
    'the plan has no crew nobody',
  ]);
  expect([sent, simulator.acts]).toEqual([without.sent, []]);
});

it('is said with the score, and counts as what was done to the descent', () => {
  const at_s = exit_s + 3;
  const { simulator } = played([[at_s, { kind: 'opening', becomes: 'none' }]]);
  const run = { scenario: 'calm run', seed: SEED, lead: 'a person', acts: simulator.acts, stopped_s: END_S } as const;
  const alert = {
    kind: 'no opening',
    of: '',
    since_s: opening_s,
    notBefore_s: opening_s,
    text: '',
    todo: '',
    grave: 'stop',
  } as const;
  const { said, fixes } = simulator;
  const scored = scoreOf(town, { truth: simulator.truth, said, fixes }, town.log, [[alert, opening_s + 5]]);
  expect(scored.alerts.map(({ isTrue }) => isTrue)).toEqual([true]);
  expect(scoreText(run, scored)).toMatch(/ the canopy was kept from opening$/);
  expect(scoreText(run, scored)).toMatch(/^Stopped \d\d:\d\d:\d\dZ, before its end\.$/m);
  expect(scoreData(run, scored)).toMatchObject({ acts: [{ kind: 'opening', becomes: 'none' }] });
});
