// The cases of a mission: what each changes, weights, bad input; and the descents they make against numbers from
// outside.
import { describe, expect, it } from 'vitest';
import { fc } from '../property.ts';
import { CASE_KINDS, CASE_SHAPES } from '../../core/mission/caseKinds.ts';
import { stagesDownTo, withoutDrogue } from '../../core/mission/caseStages.ts';
import { caseOutlooks } from '../../core/mission/caseOutlooks.ts';
import {
  carrierOf,
  caseEnsemble,
  casesOf,
  exitDuringAscent,
  readyCase,
  type FlightCase,
} from '../../core/mission/cases.ts';
import { mergePatch } from '../../core/mission/merge.ts';
import { inverse } from '../../core/earth/geodesic.ts';
import { outlookOf } from '../../core/descent/outlook.ts';
import { scenarioOf } from '../../core/descent/scenario.ts';
import { situationAt } from '../../core/mission/situation.ts';
import { DEMOS, demo } from '../demo.ts';
import { situationOfPlan } from '../recovery/randomMission.ts';

/** A plan over the sea in a calm, by the standard atmosphere. */
const PLAN = {
  format: 'plumbline/mission',
  version: 1,
  name: 'calm',
  site: { name: 'sea', position: [10, 45], elevation_m: 0 },
  carrier: {
    kind: 'balloon',
    launch: { position: [10, 45], elevation_m: 0, time: '2027-06-01T08:00:00Z' },
    float_m: 20_000,
    float_s: 7200,
  },
  exit: { position: [10, 45], altitude_m: 20_000, time: '2027-06-01T10:00:00Z' },
  jumper: {
    mass_kg: 100,
    stages: [
      { name: 'fall', dragArea_m2: 0.7, until: { msl_m: 9000 } },
      { name: 'drogue', dragArea_m2: 1.4, until: { agl_m: 1500 } },
    ],
    canopy: {
      referenceMass_kg: 100,
      fill_s: 0,
      settings: [{ name: 'only', airspeed_mps: 10, sink_mps: 6.1 }],
      steering: { policy: 'drift' },
    },
  },
  gondola: {
    mass_kg: 300,
    release: { after_s: 240 },
    stages: [{ name: 'fall', dragArea_m2: 3, until: { agl_m: 2000 } }],
    canopy: { referenceMass_kg: 300, fill_s: 3, settings: [{ name: 'round', airspeed_mps: 0, sink_mps: 7 }] },
  },
} as const;

const withCases = (cases: unknown, more: object = {}): ReturnType<typeof situationOfPlan> =>
  situationOfPlan({ ...PLAN, ...more, cases });
const named = (cases: readonly FlightCase[], kind: string): FlightCase => {
  const found = cases.find((one) => one.kind === kind);
  if (found === undefined) throw new Error(`no case ${kind}`);
  return found;
};

describe('changes to a plan', () => {
  // source: RFC 7396 (2014), appendix A, all fifteen rows as printed.
  const ROWS = [
    ['{"a":"b"}', '{"a":"c"}', '{"a":"c"}'],
    ['{"a":"b"}', '{"b":"c"}', '{"a":"b","b":"c"}'],
    ['{"a":"b"}', '{"a":null}', '{}'],
    ['{"a":"b","b":"c"}', '{"a":null}', '{"b":"c"}'],
    ['{"a":["b"]}', '{"a":"c"}', '{"a":"c"}'],
    ['{"a":"c"}', '{"a":["b"]}', '{"a":["b"]}'],
    ['{"a":{"b":"c"}}', '{"a":{"b":"d","c":null}}', '{"a":{"b":"d"}}'],
    ['{"a":[{"b":"c"}]}', '{"a":[1]}', '{"a":[1]}'],
    ['["a","b"]', '["c","d"]', '["c","d"]'],
    ['{"a":"b"}', '["c"]', '["c"]'],
    ['{"a":"foo"}', 'null', 'null'],
    ['{"a":"foo"}', '"bar"', '"bar"'],
    ['{"e":null}', '{"a":1}', '{"e":null,"a":1}'],
    ['[1,2]', '{"a":"b","c":null}', '{"a":"b"}'],
    ['{}', '{"a":{"bb":{"ccc":null}}}', '{"a":{"bb":{}}}'],
  ] as const;
  it.each(ROWS)('%s with %s is %s', (original, patch, result) => {
    expect(mergePatch(JSON.parse(original), JSON.parse(patch))).toEqual(JSON.parse(result));
  });
  it('a key named like a part of every object is only a key', () => {
    const patched = mergePatch({}, JSON.parse('{"__proto__":{"polluted":1}}')) as object;
    expect(({} as Record<string, unknown>)['polluted']).toBeUndefined();
    expect(Object.keys(patched)).toEqual(['__proto__']);
  });
});

describe('the default cases', () => {
  it.each(DEMOS)('of %s: as planned first, weights that add up to 1, no sign twice', async (name) => {
    const { situation } = await demo(name);
    const { cases, problems } = casesOf(situation.mission);
    expect(problems).toEqual([]);
    expect(cases.length).toBe(name === 'salt-plain' ? 11 : 9);
    expect(cases[0]?.kind).toBe('as planned');
    expect(cases.reduce((sum, one) => sum + one.weight, 0)).toBeCloseTo(1, 12);
    expect(new Set(cases.map((one) => one.mark.letter)).size).toBe(cases.length);
    expect(new Set(cases.map((one) => one.mark.shape)).size).toBe(cases.length);
    expect(cases.every((one) => one.meaning.length > 10)).toBe(true);
  });

  it('have weights that add up to 1 among all kinds, and shapes from the list', () => {
    const rows = Object.values(CASE_KINDS);
    expect(rows.length).toBe(12);
    // A reserve that can be steered adds its own hundredth.
    expect(rows.reduce((sum, row) => sum + row.weight, 0)).toBeCloseTo(1.01, 12);
    expect(rows.every((row) => CASE_SHAPES.includes(row.mark.shape))).toBe(true);
  });

  it('count otherwise from an aircraft than from a balloon, and say in both that they are invented', () => {
    const { carrier: _, ...rest } = PLAN;
    const aircraft = { kind: 'aircraft', altitude_m: 4000, airspeed_mps: 45, time: PLAN.exit.time };
    const shares = [PLAN, { ...rest, carrier: aircraft, exit: { ...PLAN.exit, altitude_m: 4000 } }].map((plan) => {
      const { cases } = casesOf(situationOfPlan(plan).mission);
      for (const one of cases) expect(one.weightFrom).toBe('invented');
      return named(cases, 'opens at exit').weight / named(cases, 'as planned').weight;
    });
    expect((shares[1] ?? NaN) / (shares[0] ?? NaN)).toBeCloseTo(2, 9);
  });

  it('an opening that nobody is awake under drifts as far as one that is steered by nobody, for as long', () => {
    const { cases } = casesOf(situationOfPlan(PLAN).mission);
    const [high, asleep] = [named(cases, 'opens high'), named(cases, 'nobody conscious')];
    expect(asleep.plan.jumper.stages).toEqual(high.plan.jumper.stages);
    expect(asleep.plan.jumper.canopy?.steering?.policy).toBe('random');
  });

  it('cut away: the reserve opens at its height under the plan’s steering; one that is round is another case', () => {
    const wing = { referenceMass_kg: 100, fill_s: 0, settings: [{ name: 'wing', airspeed_mps: 9, sink_mps: 5 }] };
    const round = { ...wing, settings: [{ name: 'round', airspeed_mps: 0, sink_mps: 6 }] };
    const casesWith = (canopy: object) =>
      situationOfPlan({ ...PLAN, jumper: { ...PLAN.jumper, reserve: { opensAt_agl_m: 600, canopy } } });
    const situation = casesWith(wing);
    const cut = named(casesOf(situation.mission).cases, 'cut away');
    const ready = readyCase(situation, cut);
    if (ready.kind !== 'ready') throw new Error(ready.why);
    const { opening, landing } = outlookOf(ready.scenario).prediction;
    expect(Math.abs((opening?.height_m ?? NaN) - 600)).toBeLessThan(1);
    // By the settings' own numbers: 600 m at 5 m/s, the air a little thinner above the sea.
    const under_s = (landing?.time_s ?? NaN) - (opening?.time_s ?? NaN);
    expect(under_s).toBeGreaterThan(0.95 * 120);
    expect(under_s).toBeLessThan(120);
    expect(cut.plan.jumper.canopy?.steering).toEqual(PLAN.jumper.canopy.steering);
    expect(casesOf(casesWith(round).mission).cases.map((one) => one.kind)).not.toContain('cut away');
  });

  it('rides down from any height of the ascent that the mission names, and not from one that has been passed', () => {
    const situation = withCases([{ name: 'Ended early', kind: 'rides down', height_m: 7000 }]);
    const one = named(casesOf(situation.mission).cases, 'rides down');
    const ready = readyCase(situation, one);
    if (ready.kind !== 'ready') throw new Error(ready.why);
    expect(ready.scenario.exit.height_m).toBeCloseTo(7000, 6);
    const high = readyCase(withCases([{ name: 'Too high', kind: 'rides down', height_m: 21_000 }]), {
      ...one,
      leaves: { kind: 'with the gondola', height_m: 21_000 },
    });
    expect(high).toMatchObject({ kind: 'not flown', why: expect.stringContaining('does not pass') as string });
  });

  it('leave out what the plan does not allow: no gondola, no balloon, no drogue', () => {
    const { gondola: _, carrier: __, ...rest } = PLAN;
    const stages = [{ name: 'fall', dragArea_m2: 0.7, until: { agl_m: 1500 } }];
    const { mission } = situationOfPlan({ ...rest, jumper: { ...PLAN.jumper, stages } });
    const kinds = casesOf(mission).cases.map((one) => one.kind);
    expect(kinds).not.toContain('rides down');
    expect(kinds).not.toContain('early exit');
    expect(kinds).not.toContain('drogue fails');
    expect(kinds.length).toBe(8);
    expect(casesOf(mission).problems).toEqual([]);
  });
});

describe('a mission edits its cases', () => {
  it('weights that do not add up are divided by their sum, and that is said', () => {
    const { cases, problems } = casesOf(withCases([{ name: 'Plan', kind: 'as planned', weight: 2.8 }]).mission);
    expect(named(cases, 'as planned').weight).toBeCloseTo(2.8 / 3, 12);
    expect(named(cases, 'as planned').weightFrom).toBe('the mission');
    expect(problems.map((one) => one.text)).toEqual([
      'cases: the weights add up to 3; expected 1; each is divided by that sum',
    ]);
  });
  it('a case without a weight has the default, and weights that add up are not spoken of', () => {
    const { cases, problems } = casesOf(
      withCases([
        { name: 'Plan', kind: 'as planned' },
        { name: 'Late', kind: 'late exit', weight: 0.04 },
      ]).mission,
    );
    expect(problems).toEqual([]);
    expect(named(cases, 'as planned')).toMatchObject({ name: 'Plan', weightFrom: 'invented' });
    expect(named(cases, 'as planned').weight).toBeCloseTo(0.8, 12);
  });
  it('weights of 0 throughout count the same', () => {
    // The plan names no reserve that could be steered.
    const kinds = Object.keys(CASE_KINDS).filter((kind) => kind !== 'cut away');
    const all = kinds.map((kind) => ({ name: kind, kind, weight: 0 }));
    const { cases, problems } = casesOf(withCases(all).mission);
    expect(cases.map((one) => one.weight)).toEqual(kinds.map(() => 1 / kinds.length));
    expect(problems.map((one) => one.text)).toEqual(['cases: every weight is 0; all cases count the same']);
  });
  it('an unknown kind is said and left out; one switched off is left out', () => {
    const { cases, problems } = casesOf(
      withCases([
        { name: 'X', kind: 'meteor' },
        { name: 'L', kind: 'late exit', off: true },
      ]).mission,
    );
    expect(problems.length).toBe(1);
    expect(problems[0]?.text).toMatch(
      /^cases\[0\] "X": the kind "meteor" is not known; expected "as planned", .* or "custom"; it is left out$/,
    );
    expect(cases.map((one) => one.kind)).not.toContain('late exit');
    expect(cases.length).toBe(10);
  });
  it('a kind may stand several times, each with its own sign and name', () => {
    const { cases, problems } = casesOf(
      withCases([
        { name: 'High', kind: 'opens high', height_m: 6000 },
        { name: 'High', kind: 'opens high', height_m: 12_000 },
      ]).mission,
    );
    expect(cases.filter((one) => one.kind === 'opens high').map((one) => [one.name, one.mark.letter])).toEqual([
      ['High', 'H'],
      ['High (2)', 'H2'],
    ]);
    expect(problems.map((one) => one.text)).toEqual([
      'cases: the name "High" occurs twice; expected one name per case; the second is called "High (2)"',
    ]);
  });
  it('a height out of the flight is refused with the bounds', () => {
    const { cases, problems } = casesOf(
      withCases([
        { name: 'A', kind: 'opens high', height_m: 30_000 },
        { name: 'B', kind: 'early exit', height_m: 25_000 },
      ]).mission,
    );
    expect(cases.length).toBe(9);
    expect(problems.length).toBe(2);
    expect(problems[0]?.text).toContain('is not between the ground and the exit at 20\u202f000 m MSL');
    expect(problems[1]?.text).toContain('is not between the launch at 0 m and the float at 20\u202f000 m MSL');
  });
  it('changes are merged and read again as a plan; what is wrong in them is said by key', () => {
    const { cases, problems } = casesOf(
      withCases([
        { name: 'Heavy', kind: 'custom', weight: 0.02, note: 'with ballast', changes: { jumper: { mass_kg: 130 } } },
        { name: 'Bad', kind: 'custom', changes: { jumper: { mass_kg: -5 } } },
        { name: 'Wind', kind: 'custom', changes: { winds: { forecast: [] }, exit: { altitude_m: 18_000 } } },
      ]).mission,
    );
    const custom = cases.filter((one) => one.kind === 'custom');
    expect(custom.map((one) => [one.name, one.mark.letter, one.plan.jumper.mass_kg, one.plan.exit.altitude_m])).toEqual(
      [
        ['Heavy', '1', 130, 20_000],
        ['Wind', '3', 100, 18_000],
      ],
    );
    expect(custom[0]?.meaning).toBe('with ballast');
    const said = problems.map((one) => one.text);
    expect(said.some((text) => text.startsWith('cases[1] "Bad": changes: jumper.mass_kg: found -5'))).toBe(true);
    expect(said).toContain('cases[1] "Bad": its changes do not make a plan that can be flown; the case is left out');
    expect(said.some((text) => text.startsWith('cases[2] "Wind": changes.winds is not used'))).toBe(true);
  });
  it('any list of cases is answered, with weights that add up to 1', () => {
    const { mission } = withCases([]);
    const one = fc.record(
      {
        name: fc.string({ minLength: 1, maxLength: 4 }),
        kind: fc.constantFrom(...Object.keys(CASE_KINDS), 'custom', 'other'),
        weight: fc.double({ min: 0, max: 5, noNaN: true }),
        height_m: fc.double({ min: -400, max: 50_000, noNaN: true }),
        delay_s: fc.double({ min: 0, max: 1e5, noNaN: true }),
        off: fc.boolean(),
      },
      { requiredKeys: ['name', 'kind'] },
    );
    fc.assert(
      fc.property(fc.array(one, { maxLength: 8 }), (cases) => {
        const found = casesOf({ ...mission, cases }).cases;
        const sum = found.reduce((total, each) => total + each.weight, 0);
        return (
          found.length === 0 ||
          (Math.abs(sum - 1) < 1e-9 && new Set(found.map((each) => each.name)).size === found.length)
        );
      }),
      { seed: 11, numRuns: 60 },
    );
  });
});

describe('stages', () => {
  const [fall, drogue] = PLAN.jumper.stages;
  it('are cut at a height, and what lies below it is dropped', () => {
    const cut = (height_m: number): unknown =>
      stagesDownTo([fall, drogue], height_m, 0).map((one) => [one.name, one.until]);
    expect(cut(12_000)).toEqual([['fall', { msl_m: 12_000 }]]);
    expect(cut(5000)).toEqual([
      ['fall', { msl_m: 9000 }],
      ['drogue', { msl_m: 5000 }],
    ]);
  });
  it('without the drogue go on to where it would have ended', () => {
    expect(withoutDrogue([fall, drogue])?.map((one) => [one.name, one.until])).toEqual([['fall', { agl_m: 1500 }]]);
    expect(withoutDrogue([fall])).toBeNull();
    expect(withoutDrogue([drogue])).toBeNull();
    expect(
      withoutDrogue([{ ...fall, drogue: true }, drogue, { ...fall, name: 'last' }])?.map((one) => one.name),
    ).toEqual(['last']);
  });
});

describe('descents of the cases', () => {
  // ref: parachutes.md §5; mark C: time under canopy from z with V0 = 6.1 m/s is I(z)/V0. Tolerance: half a unit of the
  // last digit, and the opening's centimetres.
  it.each([
    [3048, 464.1],
    [1524, 240.8],
  ])('a canopy that opens at %d m is under way for %d s', (height_m, seconds) => {
    const situation = withCases([{ name: 'High', kind: 'opens high', height_m }]);
    const ready = readyCase(situation, named(casesOf(situation.mission).cases, 'opens high'));
    if (ready.kind !== 'ready') throw new Error(ready.why);
    const { opening, landing } = outlookOf(ready.scenario).prediction;
    expect(opening?.height_m).toBeCloseTo(height_m, 3);
    expect(Math.abs((landing?.time_s ?? 0) - (opening?.time_s ?? 0) - seconds)).toBeLessThan(0.06);
  });

  it('no canopy: the impact speed is the terminal speed of the last stage, sqrt(2 m g/(ρ S))', () => {
    const situation = withCases([]);
    const ready = readyCase(situation, named(casesOf(situation.mission).cases, 'drogue only'));
    if (ready.kind !== 'ready') throw new Error(ready.why);
    const { landing, opening, warnings } = outlookOf(ready.scenario).prediction;
    expect(opening).toBeNull();
    // source: reference/parachutes.md §3 (manual p. 5-128), with ρ 1.225 and g 9.80665; at 45° g is 9.806, and the body
    // lags the air's growing density by a few mm/s.
    expect(Math.abs((landing?.sink_mps ?? 0) - Math.sqrt((2 * 100 * 9.80665) / (1.225 * 1.4)))).toBeLessThan(0.1);
    expect(warnings.some((one) => one.includes('impact'))).toBe(true);
  });

  it('the reserve opens at its height, and an unsteered ram-air reserve turns by chance', () => {
    const reserve = (airspeed_mps: number): object => ({
      jumper: {
        ...PLAN.jumper,
        reserve: {
          opensAt_agl_m: 400,
          canopy: { referenceMass_kg: 100, fill_s: 1, settings: [{ name: 'r', airspeed_mps, sink_mps: 5 }] },
        },
      },
    });
    for (const [airspeed, policy] of [
      [0, 'drift'],
      [8, 'random'],
    ] as const) {
      const situation = withCases([], reserve(airspeed));
      const one = named(casesOf(situation.mission).cases, 'reserve unsteered');
      expect(one.plan.jumper.canopy?.steering?.policy).toBe(policy);
      const ready = readyCase(situation, one);
      if (ready.kind !== 'ready') throw new Error(ready.why);
      expect(outlookOf(ready.scenario).prediction.opening?.height_m).toBeCloseTo(400, 3);
    }
    const without = named(casesOf(withCases([]).mission).cases, 'reserve unsteered');
    expect(without.meaning).toContain('The plan names no reserve');
  });

  it('a late exit leaves later, from where the carrier is then', async () => {
    const { situation } = await demo('salt-plain');
    const late = named(casesOf(situation.mission).cases, 'late exit');
    const ready = readyCase(situation, late);
    if (ready.kind !== 'ready') throw new Error(ready.why);
    const planned = scenarioOf(situation.mission, situation.world).exit;
    expect(ready.scenario.exit.time_s - planned.time_s).toBeCloseTo(60, 3);
    const path = carrierOf(situation);
    const moved = inverse(
      [planned.lon_deg, planned.lat_deg],
      [ready.scenario.exit.lon_deg, ready.scenario.exit.lat_deg],
    ).distance_m;
    const before = path?.points.findLast((point) => point.time_s <= planned.time_s);
    const speed = Math.hypot(...(before?.velocity_mps ?? [0, 0, 0]));
    // The carrier floats with the wind: a minute of its own speed, which changes by some per cent over a minute.
    expect(moved / (60 * speed)).toBeGreaterThan(0.95);
    expect(moved / (60 * speed)).toBeLessThan(1.05);
  });

  it('riding down is the gondola with the jumper in it, from its release', () => {
    const situation = withCases([]);
    const ready = readyCase(situation, named(casesOf(situation.mission).cases, 'rides down'));
    if (ready.kind !== 'ready') throw new Error(ready.why);
    expect(ready.scenario.body.mass_kg).toBe(400);
    expect(ready.scenario.exit.time_s - Date.parse(PLAN.exit.time) / 1000).toBeCloseTo(240, 6);
  });

  it('flies every case of both demos to the ground, by the same draws each time', async () => {
    let flown = 0;
    for (const name of DEMOS) {
      const { situation } = await demo(name);
      const { cases } = casesOf(situation.mission, situation.state);
      const outlooks = caseOutlooks(situation, cases, { members: 12, seed: 5 });
      for (const one of outlooks) {
        if (one.kind !== 'flown') throw new Error(`${one.case.name}: ${one.why}`);
        expect(one.statistics?.lost, one.case.name).toBe(0);
        flown += 1;
      }
      const again = caseOutlooks(situation, cases, { members: 12, seed: 5 });
      expect(again.map((one) => (one.kind === 'flown' ? [...one.members.lon_deg] : []))).toEqual(
        outlooks.map((one) => (one.kind === 'flown' ? [...one.members.lon_deg] : [])),
      );
    }
    // All eleven and nine, but for the early exit from a balloon that is above it.
    expect(flown).toBe(19);
  });
});

describe('if they leave now', () => {
  it('agrees with the case of an early exit at the same height to within its own small correction', async () => {
    const { mission: plan, log, world } = (await demo('salt-plain')).loaded;
    // A minute after the launch: the balloon's way begins there, not at its last fix at 38 km.
    const situation = situationAt(plan, log, world, Date.parse('2027-04-14T05:16:00Z') / 1000);
    let compared = 0;
    for (const height_m of [6000, 14_000, 22_000, 33_000]) {
      const quick = exitDuringAscent(situation, height_m);
      const mission = { ...situation.mission, cases: [{ name: 'Early', kind: 'early exit', height_m }] };
      const ready = readyCase({ ...situation, mission }, named(casesOf(mission).cases, 'early exit'));
      if (quick.kind !== 'exit' || ready.kind !== 'ready') throw new Error('no exit');
      const slow = caseEnsemble(ready, 1).outlook.prediction.landing;
      const away = inverse(quick.prediction.landing?.position ?? [0, 0], slow?.position ?? [0, 0]).distance_m;
      const drift = inverse(quick.prediction.landing?.position ?? [0, 0], [
        quick.exit.lon_deg,
        quick.exit.lat_deg,
      ]).distance_m;
      // The two differ in where along the path the reports' correction is taken: a small part of the drift.
      expect(away).toBeLessThan(0.05 * drift + 100);
      expect(quick.exit.height_m).toBe(height_m);
      compared += 1;
    }
    expect(compared).toBe(4);
  });

  it('leaves cases, their weights and the recovery where the balloon is above it already, and that is said', async () => {
    const { situation } = await demo('salt-plain');
    const { mission, state } = situation;
    const [before, now] = [casesOf(mission), casesOf(mission, state)];
    expect(before.cases.filter((one) => one.kind === 'early exit')).toHaveLength(1);
    expect(now.cases.filter((one) => one.kind === 'early exit')).toEqual([]);
    expect(now.cases.reduce((sum, one) => sum + one.weight, 0)).toBeCloseTo(1, 9);
    expect(now.problems).toEqual([]);
    const own = { ...mission, cases: [{ name: 'Low', kind: 'early exit', height_m: 9000 }] };
    const said = casesOf(own, state).problems.map(({ text }) => text);
    expect(said.join()).toMatch(/"Low" can no longer happen: the balloon was at/);
    const higher = [{ name: 'From the top', kind: 'early exit', height_m: 38_900 }];
    expect(casesOf({ ...mission, cases: higher }, state).cases.map(({ name }) => name)).toContain('From the top');
  });

  it('says why there is no exit', async () => {
    const { situation } = await demo('salt-plain');
    expect(exitDuringAscent(situation, 45_000)).toMatchObject({ kind: 'no exit' });
    const jump = await demo('town-meadow');
    expect(exitDuringAscent(jump.situation, 2000)).toEqual({ kind: 'no exit', why: 'no balloon rises in this plan' });
  });
});
