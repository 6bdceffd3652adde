// What moved, in words: distances and bearings are geodesics (geographiclib), the landmark is the one that lies there.
// And the log's arrivals, each once and in order, and the clock of an exercise.
import geodesic from 'geographiclib-geodesic';
import { fc } from '../property.ts';
import { describe, expect, it } from 'vitest';
import type { LogEvent } from '../../core/log/events.ts';
import type { LonLat } from '../../core/base/units.ts';
import { joined } from '../../renderer/state/stored/arrivals.ts';
import { ownClockOf, stampOf } from '../../renderer/state/stored/clock.ts';
import { moveWords, trailAt } from '../../renderer/state/derived/moves.ts';
import type { Move } from '../../renderer/state/stored/reportsView.ts';
import { demo } from '../demo.ts';

const units = { length: 'm', speed: 'kt', height: 'MSL', time: 'UTC' } as const;
const START: LonLat = [22.41, -30.09];
const to = (bearing: number, metres: number): LonLat => {
  const { lat2 = NaN, lon2 = NaN } = geodesic.Geodesic.WGS84.Direct(START[1], START[0], bearing, metres);
  return [lon2, lat2];
};
const move = (more: Partial<Move>): Move => ({
  at_s: 1000,
  seq: 7,
  from: START,
  to: to(75, 410),
  because: 'Team 2’s wind (w6) came in',
  where: { before: null, after: null },
  limits: [],
  again: false,
  ...more,
});

describe('the line of a move', () => {
  it('says how far, which way, the landmark on that side, and why', async () => {
    const { situation } = await demo('salt-plain');
    const mission = { ...situation.mission, landmarks: [{ name: 'Long Ridge', position: to(80, 9000) }] };
    expect(moveWords(move({}), mission, units)).toBe(
      'Landing moved 410\u202fm toward 075° (east, Long Ridge side), because Team 2’s wind (w6) came in.',
    );
    const far = { ...mission, landmarks: [{ name: 'Long Ridge', position: to(200, 9000) }] };
    expect(moveWords(move({}), far, units)).toContain('toward 075° (east), because');
  });

  it('says which zone or limit changed its answer', async () => {
    const { situation } = await demo('salt-plain');
    const where: Move['where'] = {
      before: { kind: 'inside', zone: 'Saltbell North', margin_m: 60 },
      after: { kind: 'outside', zone: 'Saltbell North', short_m: 350, bearing_deg: 75 },
    };
    const said = moveWords(move({ where, limits: ['gust is now broken'] }), situation.mission, units);
    expect(said).toContain('; now 350\u202fm outside Saltbell North; gust is now broken.');
  });

  it('says that nothing moved, and that a landing came or went', async () => {
    const { mission } = (await demo('salt-plain')).situation;
    expect(moveWords(move({ to: to(75, 2) }), mission, units)).toMatch(/^Landing stays where it was: Team 2/);
    expect(moveWords(move({ to: null }), mission, units)).toMatch(/^No landing is predicted any more because/);
    expect(moveWords(move({ from: null }), mission, units)).toMatch(/^A landing is predicted because/);
  });
});

it('the trail holds the landings of the last two hours that lie apart from the next, as of the moment looked at', () => {
  const moves = [move({ at_s: 0 }), move({ at_s: 5000 }), move({ at_s: 6000, to: START }), move({ at_s: 9000 })];
  expect(trailAt(moves, 8000).map((point) => point.age_s)).toEqual([3000]);
  expect(trailAt(moves, 9000).map((point) => point.age_s)).toEqual([4000, 0]);
  expect(trailAt(moves, 5000).map((point) => point.age_s)).toEqual([5000, 0]);
});

it('arrivals stand in the log once each and in order, however they come', () => {
  const event = (seq: number): LogEvent => ({ seq, at: '2027-04-14T07:00:00Z', kind: 'note', text: String(seq) });
  fc.assert(
    fc.property(
      fc.array(fc.integer({ min: 1, max: 60 }), { maxLength: 80 }),
      fc.integer({ min: 1, max: 9 }),
      (numbers, size) => {
        let log: readonly LogEvent[] = [];
        for (let i = 0; i < numbers.length; i += size) log = joined(log, numbers.slice(i, i + size).map(event));
        expect(log.map((one) => one.seq)).toEqual([...new Set(numbers)].sort((a, b) => a - b));
      },
    ),
  );
});

describe('the clock of a mission', () => {
  it('is its own for a demo and for a log that runs ahead, from its newest event on; else the computer’s', async () => {
    const { loaded } = await demo('salt-plain');
    const newest = Date.parse('2027-04-14T07:24:00Z');
    const wall = Date.parse('2026-11-25T12:00:00Z');
    expect(wall + ownClockOf(loaded.mission, loaded.log, false, wall)).toBe(newest);
    expect(ownClockOf(loaded.mission, loaded.log, false, newest + 60_000)).toBe(0);
    expect(newest + 9e9 + ownClockOf(loaded.mission, loaded.log, true, newest + 9e9)).toBe(newest);
    // A minute ahead is another clock that was set by hand, and no exercise.
    expect(ownClockOf(loaded.mission, loaded.log, false, newest - 60_000)).toBe(0);
    expect(ownClockOf(loaded.mission, [], false, wall)).toBe(0);
    expect(stampOf(newest, 0)).toBeUndefined();
    expect(stampOf(newest + 400, 5)).toBe('2027-04-14T07:24:00Z');
  });
});
