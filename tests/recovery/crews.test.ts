// What a helicopter makes good and burns, and what crews are taken to be, against worked examples from outside.
import { describe, expect, it } from 'vitest';
import { fc } from '../property.ts';
import { crewsOf, fuelLeft, HELICOPTER_RESERVE_S, madeGood, READY_S } from '../../core/recovery/crews.ts';
import { M_PER_NM, MPS_PER_KT, MPS_PER_MPH, RAD_PER_DEG, wrap180, windVector } from '../../core/base/units.ts';
import { situationOfPlan } from './randomMission.ts';

const flies = (airspeed: number, track_deg: number, from_deg: number, wind: number) => {
  const [u, v] = windVector(from_deg, wind);
  const good = madeGood(airspeed, track_deg, u, v);
  if (good.kind === 'cannot') throw new Error(good.why);
  return good;
};

describe('the wind triangle', () => {
  // source: e6b.noseapp.ca/heading-and-groundspeed, worked example: wind 270°/10 kt, course 0°, 90 kt: 89.4 kt, heading
  // 354°, 6° to the left.
  it('meets a published example of a crosswind', () => {
    const good = flies(90 * MPS_PER_KT, 0, 270, 10 * MPS_PER_KT);
    expect(Math.abs(good.speed_mps / MPS_PER_KT - 89.4)).toBeLessThanOrEqual(0.05);
    expect(Math.round(good.heading_deg)).toBe(354);
    expect(Math.round(good.correction_deg)).toBe(-6);
  });
  // source: a navigation primer of the 1940s (Smithsonian, NASM.XXXX.0136, example 16): course 94°, 165 mph, wind 34
  // mph from 154°: ground speed 146 mph, correction 10° to the right; read off a slide computer to a mile an hour and a
  // degree.
  it('meets an example worked on a slide computer', () => {
    const good = flies(165 * MPS_PER_MPH, 94, 154, 34 * MPS_PER_MPH);
    expect(Math.abs(good.speed_mps / MPS_PER_MPH - 146)).toBeLessThanOrEqual(1);
    expect(Math.abs(good.correction_deg - 10)).toBeLessThanOrEqual(0.5);
  });
  // source: ppl-monkey.com, wind correction, exercises 1, 2 and 4 as printed.
  it.each([
    [100, 180, 180, 20, 80, 0],
    [120, 270, 180, 30, 116, -14.5],
    [80, 360, 180, 15, 95, 0],
  ])('%d kt on %d° in %d°/%d kt', (airspeed, track, from, wind, speed, correction) => {
    const good = flies(airspeed * MPS_PER_KT, track, from, wind * MPS_PER_KT);
    expect(Math.abs(good.speed_mps / MPS_PER_KT - speed)).toBeLessThanOrEqual(0.5);
    expect(Math.abs(good.correction_deg - correction)).toBeLessThanOrEqual(0.05);
  });
  it('airspeed along the heading plus the wind is the speed made good along the track, for any wind', () => {
    let flown = 0;
    fc.assert(
      fc.property(
        fc.double({ min: 20, max: 80, noNaN: true }),
        fc.double({ min: 0, max: 360, noNaN: true }),
        fc.double({ min: -60, max: 60, noNaN: true }),
        fc.double({ min: -60, max: 60, noNaN: true }),
        (airspeed, track, u, v) => {
          const good = madeGood(airspeed, track, u, v);
          if (good.kind === 'cannot') return Math.hypot(u, v) > airspeed * 0.7;
          flown += 1;
          const [h, t] = [good.heading_deg * RAD_PER_DEG, track * RAD_PER_DEG];
          const east = airspeed * Math.sin(h) + u - good.speed_mps * Math.sin(t);
          const north = airspeed * Math.cos(h) + v - good.speed_mps * Math.cos(t);
          return (
            Math.hypot(east, north) < 1e-9 && Math.abs(wrap180(good.heading_deg - track - good.correction_deg)) < 1e-9
          );
        },
      ),
      { seed: 3, numRuns: 400 },
    );
    expect(flown).toBeGreaterThan(200);
  });
  it('says why a track cannot be held', () => {
    expect(madeGood(40, 0, 50, 0)).toEqual({
      kind: 'cannot',
      why: 'the wind across the track, 50\u202fm/s, is more than the airspeed',
    });
    expect(madeGood(40, 0, 0, -41)).toEqual({
      kind: 'cannot',
      why: 'the wind against the track, 41\u202fm/s, is more than the airspeed',
    });
  });
});

describe('fuel', () => {
  // ref: recovery.md §4; source: 14 CFR 91.151 (mark F), arithmetic mark C.
  it('25 min left with 20 min in reserve leaves 5 min on scene', () => {
    expect(fuelLeft({ endurance_s: 25 * 60, reserve_s: HELICOPTER_RESERVE_S }, 0)).toEqual({
      kind: 'enough',
      onScene_s: 300,
      needed_s: 1200,
    });
    expect(fuelLeft({ endurance_s: 25 * 60, reserve_s: HELICOPTER_RESERVE_S }, 360)).toEqual({
      kind: 'short',
      by_s: 60,
      needed_s: 1560,
    });
    expect(fuelLeft({ endurance_s: null, reserve_s: HELICOPTER_RESERVE_S }, 0)).toEqual({ kind: 'not given' });
  });
  it.each([
    [0, 100],
    [20, 97.2],
  ])('120 kt, 2.0 h, 20 min in reserve, %d kt of wind along the line: %s nm out and back', (wind, nm) => {
    const leg = (track_deg: number): number => {
      const good = madeGood(120 * MPS_PER_KT, track_deg, wind * MPS_PER_KT, 0);
      return good.kind === 'flies' ? (nm * M_PER_NM) / good.speed_mps : Infinity;
    };
    const fuel = fuelLeft({ endurance_s: 7200, reserve_s: HELICOPTER_RESERVE_S }, leg(90) + leg(270));
    // The last printed digit is a twentieth of a mile: 3 s of flight out and back.
    const needed_s = fuel.kind === 'not given' ? NaN : fuel.needed_s;
    expect(Math.abs(7200 - needed_s)).toBeLessThanOrEqual(4);
  });
});

describe('crews of a plan', () => {
  const plan = (teams: unknown): object => ({
    format: 'plumbline/mission',
    version: 1,
    name: 'x',
    site: { name: 's', position: [0, 0], elevation_m: 0 },
    exit: { position: [0, 0], altitude_m: 3000, time: '2027-06-01T10:00:00Z' },
    jumper: { mass_kg: 90, stages: [{ name: 'fall', dragArea_m2: 0.5 }] },
    teams,
  });
  it('take what the plan leaves out from rule or practice, and say so', () => {
    const { mission, state } = situationOfPlan(
      plan([
        { name: 'H', kind: 'helicopter', position: [0, 0], speed_mps: 50 },
        {
          name: 'V',
          kind: 'vehicle',
          position: [0, 0],
          speed_mps: 15,
          ready_s: 10,
          offRoad_mps: 40,
          standby: [0.1, 0],
        },
      ]),
    );
    const [h, v] = crewsOf(mission, state);
    expect(h).toMatchObject({
      reserve_s: 1200,
      slope_deg_max: 7,
      ready_s: READY_S.helicopter,
      endurance_s: null,
      serves: 'jumper',
      medical: false,
    });
    expect(h?.assumed.length).toBe(5);
    expect(h?.assumed.join()).toContain('14 CFR 91.151');
    // Nobody is faster off the road than on it.
    expect(v).toMatchObject({ ready_s: 10, offRoad_mps: 15, standby: [0.1, 0], base: [0, 0], night: true });
    expect(v?.assumed).toEqual([]);
  });
  it('no crew is an empty list', () => {
    expect(crewsOf(situationOfPlan(plan([])).mission)).toEqual([]);
  });
});
