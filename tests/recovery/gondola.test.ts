// The gondola and the envelope, and how near they come: closed forms, plain double loops, and the shared wind.
import { describe, expect, it } from 'vitest';
import { fc } from '../property.ts';
import {
  AIR_SEPARATION_M,
  otherBody,
  pairsNear,
  separationOf,
  type FallingOther,
} from '../../core/recovery/gondola.ts';
import { meetingOf, type BodyPath } from '../../core/recovery/meeting.ts';
import { Ensemble } from '../../core/descent/ensemble.ts';
import { outlookOf } from '../../core/descent/outlook.ts';
import { carrierError_m } from '../../core/descent/carrierError.ts';
import { scenarioOf } from '../../core/descent/scenario.ts';
import { carrierOf } from '../../core/mission/cases.ts';
import { recoveryOn } from '../../core/recovery/recovery.ts';
import { spreadOf } from '../../core/descent/spread.ts';
import { inverse } from '../../core/earth/geodesic.ts';
import { Random } from '../../core/base/random.ts';
import type { LogEvent } from '../../core/log/events.ts';
import type { Situation } from '../../core/mission/situation.ts';
import { situationOfPlan } from './randomMission.ts';
import { demo } from '../demo.ts';

const plan = (release: object, from_deg = 0, speed_mps = 0): object => ({
  format: 'plumbline/mission',
  version: 1,
  name: 'x',
  site: { name: 's', position: [10, 45], elevation_m: 0 },
  carrier: {
    kind: 'balloon',
    launch: { position: [10, 45], elevation_m: 0, time: '2027-06-01T08:00:00Z' },
    float_m: 12_000,
    float_s: 7200,
  },
  exit: { position: [10, 45], altitude_m: 12_000, time: '2027-06-01T09:30:00Z' },
  jumper: {
    mass_kg: 100,
    stages: [{ name: 'fall', dragArea_m2: 0.7, until: { agl_m: 1500 } }],
    canopy: {
      referenceMass_kg: 100,
      fill_s: 3,
      settings: [{ name: 'only', airspeed_mps: 10, sink_mps: 5 }],
      steering: { policy: 'drift' },
    },
  },
  gondola: {
    mass_kg: 300,
    release,
    stages: [{ name: 'ribbon drogue', dragArea_m2: 3, until: { agl_m: 2000 } }],
    canopy: { referenceMass_kg: 300, fill_s: 3, settings: [{ name: 'round', airspeed_mps: 0, sink_mps: 7 }] },
  },
  envelope: { mass_kg: 500, stages: [{ name: 'torn envelope', dragArea_m2: 200 }] },
  winds: {
    forecast: [
      {
        source: 'test',
        validTime: '2027-06-01T09:00:00Z',
        levels: [
          { height_m: 0, from_deg, speed_mps },
          { height_m: 15_000, from_deg, speed_mps },
        ],
      },
    ],
  },
});

const falls = (situation: Situation, name: 'gondola' | 'envelope', members = 20): FallingOther => {
  const body = otherBody(situation, name, { members, seed: 3 });
  if (body.kind !== 'falls') throw new Error(body.why);
  return body;
};
const jumperOf = (situation: Situation, members = 20) => {
  const scenario = scenarioOf(situation.mission, situation.world);
  const outlook = outlookOf(scenario);
  return {
    outlook,
    members: new Ensemble({ scenario, error: outlook.error, spread: spreadOf(undefined), seed: 9 }).run(0, members),
  };
};

describe('the other bodies', () => {
  it('leave the carrier where and when it is at their release', () => {
    for (const [release, after] of [
      [{ after_s: 120 }, 120],
      [{ time: '2027-06-01T09:40:00Z' }, 600],
    ] as const) {
      const body = falls(situationOfPlan(plan(release, 270, 10)), 'gondola');
      expect(body.release.time_s - Date.parse('2027-06-01T09:30:00Z') / 1000).toBe(after);
      expect(body.release.height_m).toBe(12_000);
      // A balloon in 10 m/s from the west since 08:00: closed form. The earth's curve and the height take 0.2 %.
      const flown = inverse([10, 45], body.release.position);
      expect(flown.distance_m / (10 * (5400 + after))).toBeGreaterThan(0.996);
      expect(flown.distance_m / (10 * (5400 + after))).toBeLessThan(1.001);
      expect(Math.abs(flown.bearing_deg - 90)).toBeLessThan(1);
    }
  });
  it('leave it as the log has it, once it is there', () => {
    const at = (time: string): number => Date.parse(time) / 1000;
    const event = (seq: number, mark: string, time: string, more: object = {}): LogEvent => ({
      seq,
      at: time,
      kind: 'mark',
      mark,
      ...more,
    });
    const out = event(0, 'exit', '2027-06-01T09:33:00Z');
    // Two minutes after the exit that was, not after the one that was planned.
    const after = falls(situationOfPlan(plan({ after_s: 120 }, 270, 10), [out]), 'gondola');
    expect(after.release.time_s).toBe(at('2027-06-01T09:35:00Z'));
    const released = event(1, 'release', '2027-06-01T09:36:30Z');
    const seen = falls(situationOfPlan(plan({ after_s: 120 }, 270, 10), [out, released]), 'gondola');
    expect(seen.release.time_s).toBe(at('2027-06-01T09:36:30Z'));
    expect(inverse([10, 45], seen.release.position).distance_m / (10 * (5400 + 390))).toBeCloseTo(1, 2);
    const placed = event(2, 'release', '2027-06-01T09:36:30Z', { position: [10.8, 45.1], height_m: 11_500 });
    const there = falls(situationOfPlan(plan({ after_s: 120 }, 270, 10), [out, released, placed]), 'envelope');
    expect(there.release.position).toEqual([10.8, 45.1]);
    expect(there.outlook.scenario.exit.height_m).toBe(11_500);
  });
  it('are as far off as the balloon may be, and are not once it was found or let them go', () => {
    const size = (situation: Situation) =>
      falls(situation, 'gondola', 600).statistics?.ellipses['90'].semiMajor_m ?? NaN;
    const unknown = situationOfPlan(plan({ after_s: 300 }));
    const way = carrierOf(unknown);
    if (way === null) throw new Error('the plan has a balloon');
    // In a wind that is the same everywhere a release that lies off moves the landing by as much, so the variances add:
    // 90 of 100 lie within 2.146 standard errors (chi-squared of two degrees of freedom).
    const { release } = falls(unknown, 'gondola', 1);
    const off_m = 2.146 * carrierError_m(way, unknown.world, release.time_s);
    const onItsWay = size(situationOfPlan({ ...plan({ after_s: 300 }), uncertainty: { carrierPath_rel: 0 } }));
    expect(off_m).toBeGreaterThan(3000);
    expect(size(unknown) / Math.hypot(off_m, onItsWay)).toBeGreaterThan(0.9);
    expect(size(unknown) / Math.hypot(off_m, onItsWay)).toBeLessThan(1.1);
    // Found a moment before the exit, it has five minutes left to drift.
    const before = '2027-06-01T09:29:59Z';
    const fix = { seq: 0, at: before, kind: 'fix', body: 'gondola', position: [10, 45], height_m: 12_000 } as const;
    const known = situationOfPlan(plan({ after_s: 300 }), [{ ...fix, observedAt: before }]);
    const knownWay = carrierOf(known);
    if (knownWay === null) throw new Error('the plan has a balloon');
    const left_m = 2.146 * carrierError_m(knownWay, known.world, release.time_s);
    expect(left_m).toBeLessThan(off_m / 3);
    expect(size(known) / Math.hypot(left_m, onItsWay)).toBeGreaterThan(0.9);
    expect(size(known) / Math.hypot(left_m, onItsWay)).toBeLessThan(1.1);
    const time = '2027-06-01T09:34:59Z';
    const released = { seq: 0, at: time, kind: 'mark', mark: 'release', observedAt: time } as const;
    expect(size(situationOfPlan(plan({ after_s: 300 }), [released]))).toBeLessThan(1.2 * onItsWay);
  });
  it('in a calm fall straight down, the envelope far slower than the gondola', () => {
    const situation = situationOfPlan(plan({ after_s: 60 }));
    const [gondola, envelope] = [falls(situation, 'gondola'), falls(situation, 'envelope')];
    for (const body of [gondola, envelope]) {
      const { landing } = body.outlook.prediction;
      // Coriolis moves a fall from 12 km by some tens of metres to the east; nothing else moves it.
      expect(inverse(body.release.position, landing?.position ?? [0, 0]).distance_m).toBeLessThan(60);
    }
    // Terminal speed at sea level, sqrt(2 m g/(ρ S)): 200 m² under 500 kg. source: reference/parachutes.md §3.
    expect(
      Math.abs((envelope.outlook.prediction.landing?.sink_mps ?? 0) - Math.sqrt((2 * 500 * 9.80665) / (1.225 * 200))),
    ).toBeLessThan(0.02);
    expect(envelope.outlook.prediction.landing?.time_s).toBeGreaterThan(
      1.5 * (gondola.outlook.prediction.landing?.time_s ?? Infinity),
    );
  });
  it('say why there is no gondola', async () => {
    const { situation } = await demo('town-meadow');
    expect(otherBody(situation, 'gondola', { members: 1, seed: 1 })).toEqual({
      kind: 'none',
      name: 'gondola',
      why: 'the plan has no gondola',
    });
    const { carrier: _, ...rest } = plan({ after_s: 1 }) as { carrier: unknown };
    expect(otherBody(situationOfPlan(rest), 'gondola', { members: 1, seed: 1 })).toMatchObject({
      kind: 'none',
      why: 'the plan names no carrier to be released from',
    });
  });
});

describe('the nearest approach', () => {
  const straight = (from: readonly number[], velocity: readonly number[], times: readonly number[]): BodyPath => {
    const row = (k: number): Float64Array => Float64Array.from(times, (t) => (from[k] ?? 0) + (velocity[k] ?? 0) * t);
    return { t: Float64Array.from(times), east: row(0), north: row(1), up: row(2) };
  };
  it('of two straight ways is that of the closed form, in three and in two dimensions', () => {
    const number = fc.double({ min: -500, max: 500, noNaN: true });
    const triple = fc.tuple(number, number, number);
    let inside = 0;
    fc.assert(
      fc.property(triple, triple, triple, triple, (p, v, q, w) => {
        const velocity = (x: readonly number[]): number[] => x.map((one) => one / 25);
        // Knots at different times on either way: the answer must not depend on them.
        const met = meetingOf(
          straight(p, velocity(v), [0, 17, 100]),
          straight(q, velocity(w), [0, 40, 41, 100]),
          0,
          100,
          Infinity,
        );
        for (const dimensions of [3, 2] as const) {
          const d = [0, 1, 2].map((k) => (q[k] ?? 0) - (p[k] ?? 0)).slice(0, dimensions);
          const r = [0, 1, 2].map((k) => ((w[k] ?? 0) - (v[k] ?? 0)) / 25).slice(0, dimensions);
          const rr = r.reduce((sum, x) => sum + x * x, 0);
          const best = rr > 0 ? Math.min(Math.max(-d.reduce((sum, x, k) => sum + x * (r[k] ?? 0), 0) / rr, 0), 100) : 0;
          if (best > 0 && best < 100) inside += 1;
          const distance = Math.hypot(...d.map((x, k) => x + best * (r[k] ?? 0)));
          const found = dimensions === 3 ? met.closest.distance_m : met.horizontal.horizontal_m;
          if (Math.abs(found - distance) > 1e-6) return false;
        }
        return met.underCanopy === null && met.series.length === 11;
      }),
      { seed: 8, numRuns: 300 },
    );
    expect(inside).toBeGreaterThan(100);
  });
  it('under canopy counts from the opening on', () => {
    const a = straight([0, 0, 0], [0, 0, 0], [0, 100]);
    const b = straight([-50, 10, 0], [1, 0, 0], [0, 100]);
    const met = meetingOf(a, b, 0, 100, 80);
    expect(met.closest.time_s).toBeCloseTo(50, 9);
    expect(met.underCanopy?.time_s).toBeCloseTo(80, 9);
    expect(met.underCanopy?.distance_m).toBeCloseTo(Math.hypot(30, 10), 9);
  });
  it('pairs of landings are counted as a double loop counts them', () => {
    const random = new Random(2, 2);
    const a = Float64Array.from({ length: 300 }, () => 900 * random.normal());
    const b = Float64Array.from({ length: 200 }, () => 700 * random.normal() + 200);
    let near = 0;
    for (let i = 0; i < a.length; i += 2)
      for (let j = 0; j < b.length; j += 2)
        if (Math.hypot((a[i] ?? 0) - (b[j] ?? 0), (a[i + 1] ?? 0) - (b[j + 1] ?? 0)) < 300) near += 1;
    expect(near).toBeGreaterThan(500);
    expect(pairsNear(a, b, 300)).toBeCloseTo(near / (150 * 100), 12);
    expect(pairsNear(a, new Float64Array(0), 300)).toBeNaN();
  });
});

describe('separation', () => {
  it('warns when both leave together and fall through the same air', () => {
    // Found a minute before the exit: until then a balloon may be anywhere within kilometres, and both with it.
    const time = '2027-06-01T09:29:00Z';
    const found = { seq: 0, at: time, kind: 'fix', body: 'gondola', position: [10, 45], height_m: 12_000 } as const;
    const situation = situationOfPlan(plan({ after_s: 30 }), [{ ...found, observedAt: time }]);
    const jumper = jumperOf(situation);
    const separation = separationOf(jumper, falls(situation, 'gondola'));
    expect(separation.together).not.toBeNull();
    expect(separation.closest?.distance_m).toBeLessThan(AIR_SEPARATION_M);
    expect(separation.landings?.distance_m).toBeLessThan(300);
    // The share from which it would be warned of alone.
    expect(separation.landingsNear).toBeGreaterThan(0.01);
    expect(separation.warnings.some((one) => one.startsWith('The gondola comes within'))).toBe(true);
    expect(separation.warnings.some((one) => one.includes('is predicted to land'))).toBe(true);
    // The nearest of the series cannot be nearer than the nearest of all.
    expect(Math.min(...separation.series.map((one) => one.distance_m))).toBeGreaterThanOrEqual(
      separation.closest?.distance_m ?? Infinity,
    );
  });
  it('warns of landings near each other whether or not the balloon was found: both leave from the same one', () => {
    // No fix: the balloon may be kilometres off, and whatever it is, jumper and gondola are off by the same.
    const situation = situationOfPlan(plan({ after_s: 30 }));
    const planned = outlookOf(scenarioOf(situation.mission, situation.world));
    const { separations, outlooks } = recoveryOn(
      situation,
      { planned, carrier: carrierOf(situation) },
      { members: 200, seed: 4, roads: null },
    );
    const jumper = outlooks.find((one) => one.case.kind === 'as planned');
    if (jumper?.kind !== 'flown') throw new Error('it is flown');
    // What the mission's map shows of the jumper is spread over kilometres.
    expect(jumper.statistics?.ellipses['90'].semiMajor_m).toBeGreaterThan(3000);
    const gondola = separations.find(({ name }) => name === 'gondola')?.separation;
    expect(gondola?.landingsNear).toBeGreaterThan(0.01);
    // As near as with the balloon found a moment before the exit, within the error of 20 000 pairs of 200 and 100.
    const time = '2027-06-01T09:29:59Z';
    const found = { seq: 0, at: time, kind: 'fix', body: 'gondola', position: [10, 45], height_m: 12_000 } as const;
    const known = situationOfPlan(plan({ after_s: 30 }), [{ ...found, observedAt: time }]);
    const sure = separationOf(jumperOf(known, 200), falls(known, 'gondola', 200)).landingsNear;
    expect(Math.abs((gondola?.landingsNear ?? NaN) - sure)).toBeLessThan(0.3 * sure);
  });
  it('is of the descent that is left once a fix shows the jumper in the air, though nobody logged the exit', () => {
    const time = '2027-06-01T09:31:00Z';
    const fix = { kind: 'fix', position: [10, 45] } as const;
    const balloon = { ...fix, seq: 0, at: time, body: 'gondola', height_m: 12_000, observedAt: time } as const;
    const seen = { ...fix, seq: 1, at: time, body: 'jumper', height_m: 6000, observedAt: time } as const;
    const situation = situationOfPlan(plan({ after_s: 600 }), [balloon, seen]);
    const planned = outlookOf(scenarioOf(situation.mission, situation.world));
    const { stage, separations, outlooks, others } = recoveryOn(
      situation,
      { planned, carrier: carrierOf(situation) },
      { members: 200, seed: 4, roads: null },
    );
    expect(stage).toBe('falling');
    const jumper = outlooks.find((one) => one.case.kind === 'as planned');
    const gondola = others.find((one) => one.name === 'gondola');
    if (jumper?.kind !== 'flown' || gondola?.kind !== 'falls') throw new Error('both come down');
    // By a double loop over what the map shows of the two: nothing is shared any more, and nothing is drawn again.
    let near = 0;
    for (let i = 0; i < 200; i++)
      for (let j = 0; j < gondola.members.count; j++) {
        const a = [jumper.members.lon_deg[i] ?? NaN, jumper.members.lat_deg[i] ?? NaN] as const;
        const b = [gondola.members.lon_deg[j] ?? NaN, gondola.members.lat_deg[j] ?? NaN] as const;
        if (inverse(a, b).distance_m < 300) near += 1;
      }
    const said = separations.find(({ name }) => name === 'gondola')?.separation.landingsNear ?? NaN;
    expect(near).toBeGreaterThan(10);
    expect(Math.abs(said * 200 * gondola.members.count - near)).toBeLessThan(4);
  });
  it('of the demo is far, and nothing is warned of', async () => {
    const { situation } = await demo('salt-plain');
    const separation = separationOf(jumperOf(situation), falls(situation, 'gondola'));
    expect(separation.warnings).toEqual([]);
    expect(separation.closest?.distance_m).toBeGreaterThan(AIR_SEPARATION_M);
    expect(separation.toCanopyPath_m).toBeLessThanOrEqual((separation.landings?.distance_m ?? 0) + 1);
  });
  it('is null in the air when the other leaves after the landing', () => {
    const situation = situationOfPlan(plan({ after_s: 5000 }));
    const separation = separationOf(jumperOf(situation), falls(situation, 'gondola'));
    expect(separation.together).toBeNull();
    expect(separation.closest).toBeNull();
    expect(separation.landings).not.toBeNull();
  });
});
