// The carrier's line follows from what the log knows of the balloon: its launch mark and its last fix.
import { describe, expect, it } from 'vitest';
import { adviseOn } from '../../core/advice/advise.ts';
import { limitSentence } from '../../core/advice/limits.ts';
import { carrierError_m } from '../../core/descent/carrierError.ts';
import { Ensemble } from '../../core/descent/ensemble.ts';
import { statisticsOf } from '../../core/descent/statistics.ts';
import { expectedOf } from '../../core/mission/expected.ts';
import { carrierOf } from '../../core/mission/cases.ts';
import { situationAt } from '../../core/mission/situation.ts';
import type { LogEvent } from '../../core/log/events.ts';
import { metresBetween } from '../descent/metres.ts';
import { loadDemo } from '../demo.ts';

const EXIT_S = Date.parse('2027-04-14T07:42:00Z') / 1000;
const NOW_S = Date.parse('2027-04-14T07:24:30Z') / 1000;
const { mission, log, world } = await loadDemo('salt-plain');

/** The demo's log with its last fix moved east by so many degrees, or without it. */
function situation(fix: 'as logged' | 'left out' | { readonly east_deg: number }, at_s = NOW_S) {
  const events = log.flatMap((event): LogEvent[] => {
    if (event.kind !== 'fix' || fix === 'as logged') return [event];
    if (fix === 'left out') return [];
    return [{ ...event, position: [event.position[0] + fix.east_deg, event.position[1]] }];
  });
  return situationAt(mission, events, world, at_s);
}

/** East and north variance of the drawn landings of a moment, m². */
function variance({ state, ...of }: ReturnType<typeof situation>, switchedOn: boolean): number {
  const uncertainty = { ...mission.uncertainty, carrierPath_rel: switchedOn ? 1 : 0 };
  const { outlook, spread } = expectedOf({ ...of, state, mission: { ...mission, uncertainty } });
  const { scenario, error } = outlook;
  const members = new Ensemble({ scenario, error, spread, seed: 3 }).run(0, 600);
  const [[ee], [, nn]] = statisticsOf(members, [], [])?.covariance_m2 ?? [[NaN], [NaN, NaN]];
  return (ee + nn) / 2;
}

describe('the carrier’s line', () => {
  it('holds where its fix is in feet that were taken for metres', () => {
    const events = log.map((event): LogEvent =>
      event.kind === 'fix' ? { ...event, height_m: (event.height_m ?? 0) / 0.3048 } : event,
    );
    const { advice } = adviseOn(situationAt(mission, events, world, NOW_S), { members: 300 });
    expect(advice.word).toBe('HOLD');
    expect(advice.because.map((one) => limitSentence(one))[0]).toMatch(
      /^the plan is not whole: the fix of gondola is at 126.710\u202fm MSL, and the carrier goes up to 39.000\u202fm MSL: annul it$/,
    );
  });

  it('starts from the last fix: a fix 9.6 km further east puts the line there, and the planned exit off it', () => {
    const [as, moved] = [situation('as logged'), situation({ east_deg: 0.1 })];
    const end = (of: typeof as) => carrierOf(of)?.points.at(-1)?.position ?? [NaN, NaN];
    const apart = metresBetween(end(as), end(moved));
    expect(apart).toBeGreaterThan(9000);
    expect(apart).toBeLessThan(10_200);
    const { advice } = adviseOn(moved, { members: 300 });
    expect(advice.word).toBe('HOLD');
    const reasons = advice.because.map((one) => limitSentence(one));
    expect(reasons.join('; ')).toMatch(/planned exit 07:42:00Z is 9\.\d\u202fkm from where the carrier will be/);
  });

  it('is known worse the more is left to fly: hours before, minutes after the last fix', () => {
    const errors = (['left out', 'as logged'] as const).map((fix) => {
      const of = situation(fix);
      const line = carrierOf(of);
      if (line === null) throw new Error('the demo has a carrier');
      return carrierError_m(line, of.world, EXIT_S);
    });
    // By the demo's wind error of 6 m/s at 39 km: 18 min are at most 6.6 km; a whole ascent is more.
    expect(errors[1]).toBeGreaterThan(1000);
    expect(errors[1]).toBeLessThan(7000);
    expect(errors[0]).toBeGreaterThan(1.3 * (errors[1] ?? NaN));
  });

  it('is drawn before the exit: the landings scatter by what the wind may do to the balloon, less after a fix, not after the exit', () => {
    for (const fix of ['left out', 'as logged'] as const) {
      const of = situation(fix);
      const line = carrierOf(of);
      if (line === null) throw new Error('the demo has a carrier');
      const off_m = carrierError_m(line, of.world, EXIT_S);
      // Sampling: a variance of 600 draws on two axes is known to 4 %; draws are cut at three standard deviations, 3 %.
      expect(Math.abs((variance(of, true) - variance(of, false)) / off_m ** 2 - 1)).toBeLessThan(0.15);
    }
    const mark = { seq: 90, at: '2027-04-14T07:42:05Z', kind: 'mark', mark: 'exit' } as const;
    const left = situationAt(mission, [...log, mark], world, EXIT_S + 10);
    expect(variance(left, true)).toBe(variance(left, false));
  });

  it('leaves the window open: its times have the error, and the chance of the exit at the planned second has it too', () => {
    const of = situation('as logged');
    const on = { ...mission, uncertainty: { ...mission.uncertainty, carrierPath_rel: 1 } };
    const [with_, without] = [on, mission].map((plan) => adviseOn({ ...of, mission: plan }, { members: 300 }).advice);
    expect(with_?.exits.window?.opens_s).toBe(without?.exits.window?.opens_s);
    expect(with_?.exits.window?.error_s).toBe(without?.exits.window?.error_s);
    expect(with_?.planned?.inZone['Saltbell North']?.p).toBeLessThan(0.3);
    expect(with_?.word).toBe('HOLD');
  });

  it('gives the window its own error', () => {
    const { advice } = adviseOn(situation('as logged'), { members: 300 });
    const before = adviseOn(situation('left out'), { members: 300 }).advice;
    expect(advice.exits.window?.error_s).toBeGreaterThan(60);
    if (before.exits.window !== null && advice.exits.window !== null)
      expect(before.exits.window.error_s).toBeGreaterThan(advice.exits.window.error_s);
  });
});
