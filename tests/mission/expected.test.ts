// The descent that is expected: each fix of a descent that goes as the plan has it leads to the same landing, and one
// that does not leads the landing with it. Truth: the prediction's own track, flown a second way.
import { describe, expect, it } from 'vitest';
import { adviseOn } from '../../core/advice/advise.ts';
import { carrierOf } from '../../core/mission/cases.ts';
import { expectedOf } from '../../core/mission/expected.ts';
import { localFrame } from '../../core/earth/geodesic.ts';
import type { LogEvent } from '../../core/log/events.ts';
import { situationAt, type Situation } from '../../core/mission/situation.ts';
import { RAD_PER_DEG, type LonLat } from '../../core/base/units.ts';
import { loadDemo } from '../demo.ts';

const { mission, world, log } = await loadDemo('salt-plain');
const exit_s = Date.parse(mission.exit.time) / 1000;
const iso = (time_s: number): string => new Date(Math.round(time_s * 1000)).toISOString();
const before = expectedOf(situationAt(mission, log, world, exit_s - 60));
const { track } = before.outlook.prediction;
const next = Math.max(...log.map((event) => event.seq)) + 1;

function after(events: readonly object[], at_s: number): Situation {
  const more = events.map((event, i) => ({ seq: next + i, at: iso(at_s), ...event }) as LogEvent);
  return situationAt(mission, [...log, ...more], world, at_s);
}
const fix = (t: number, position: LonLat, height_m: number): object => ({
  kind: 'fix',
  body: 'jumper',
  position,
  height_m,
  observedAt: iso(exit_s + t),
});
/** A place of the predicted track, moved. */
function onTrack(t: number, east_m = 0): { readonly t: number; readonly place: LonLat; readonly height_m: number } {
  const point = track.find((one) => one[0] >= t);
  if (point === undefined) throw new Error('the track is longer');
  const frame = localFrame([point[1], point[2]]);
  return { t: point[0], place: frame.toLonLat(east_m, 0), height_m: point[3] };
}
const metres = (a: LonLat, b: LonLat): readonly [number, number] => localFrame(a).toLocal(b);

describe('the expected descent', () => {
  const landing = before.outlook.prediction.landing;
  if (landing === null) throw new Error('the demo lands');
  const touchdown_s = before.outlook.scenario.exit.time_s + landing.time_s;

  it('is the plan’s before the exit', () => {
    expect(before).toMatchObject({ from: 'plan', basis: null });
    expect(before.outlook).toBe(before.planned);
  });

  it('is the plan’s while a balloon floats on past the planned exit with the jumper still aboard', () => {
    const [a, b] = [onTrack(0), onTrack(0, 900)];
    const now = after([fix(100, a.place, a.height_m - 40), fix(160, b.place, a.height_m - 90)], exit_s + 170);
    expect(expectedOf(now).from).toBe('plan');
    // The balloon's line goes on from there.
    const line = carrierOf(now)?.points[0];
    expect(line?.time_s).toBe(exit_s + 160);
    expect(metres(b.place, line?.position ?? [NaN, NaN]).map(Math.round)).toEqual([0, 0]);
  });

  it('takes no fix of a falling jumper for one of the balloon, though nobody logged the exit', () => {
    const [a, b] = [onTrack(60), onTrack(70)];
    const now = after([fix(a.t, a.place, a.height_m), fix(b.t, b.place, b.height_m)], Math.ceil(exit_s + b.t));
    expect(expectedOf(now).from).toBe('fix');
    const line = carrierOf(now)?.points[0];
    expect(line?.time_s).toBeLessThan(exit_s);
    expect(line?.height_m).toBeGreaterThan(b.height_m + 1000);
  });

  it('has the balloon where its gondola was seen after the exit', () => {
    const seen = { ...fix(300, onTrack(0, 2500).place, mission.exit.altitude_m), body: 'gondola' };
    const left = { kind: 'mark', mark: 'exit', observedAt: iso(exit_s) };
    const line = carrierOf(after([left, seen], exit_s + 310))?.points[0];
    expect(line?.time_s).toBe(exit_s + 300);
  });

  it('takes no fix of a falling gondola for one of the balloon, though nobody logged the release', () => {
    const gondola = (t: number, height_m: number) => ({
      ...fix(t, onTrack(0, 2500).place, height_m),
      body: 'gondola',
    });
    const left = { kind: 'mark', mark: 'exit', observedAt: iso(exit_s) };
    const top_m = mission.exit.altitude_m;
    const line = carrierOf(after([left, gondola(300, top_m), gondola(500, top_m - 9000)], exit_s + 510))?.points[0];
    expect(line?.time_s).toBe(exit_s + 300);
    expect(line?.height_m).toBe(top_m);
  });

  it.each([60, 120, 200, 400])(
    'after fixes along its own track, %i s after the exit, ends where and when it did',
    (t) => {
      const [a, b] = [onTrack(t), onTrack(t + 10)];
      const now = expectedOf(
        after([fix(a.t, a.place, a.height_m), fix(b.t, b.place, b.height_m)], Math.ceil(exit_s + b.t)),
      );
      expect(now.from).toBe('fix');
      const end = now.outlook.prediction.landing;
      if (end === null) throw new Error('it lands');
      const [east, north] = metres(landing.position, end.position);
      // The velocity is the mean of ten seconds, and a canopy is taken for steady at once: some tens of metres of a way
      // of kilometres.
      expect(Math.hypot(east, north)).toBeLessThan(60);
      expect(Math.abs(now.outlook.scenario.exit.time_s + end.time_s - touchdown_s)).toBeLessThan(8);
      expect(now.spread.exitPosition_m).toBeLessThan(before.spread.exitPosition_m);
    },
  );

  it('follows a body that is found two kilometres to the east of its track, as far as it cannot steer back', () => {
    const [a, b] = [onTrack(100, 2000), onTrack(110, 2000)];
    const situation = after([fix(a.t, a.place, a.height_m), fix(b.t, b.place, b.height_m)], Math.ceil(exit_s + b.t));
    const drifting = { ...situation, mission: { ...mission, jumper: withoutHoming() } };
    const there = { ...situationAt(mission, log, world, exit_s - 60), mission: drifting.mission };
    const [from, to] = [expectedOf(there), expectedOf(drifting)].map(
      ({ outlook }) => outlook.prediction.landing?.position,
    );
    const [east, north] = metres(from as LonLat, to as LonLat);
    expect(Math.abs(east - 2000)).toBeLessThan(80);
    expect(Math.abs(north)).toBeLessThan(80);
  });

  it('from a fix has the stages that are left, and no word to go or to hold: in flight, then down', () => {
    const [a, b] = [onTrack(200), onTrack(210)];
    const fixes = [fix(a.t, a.place, a.height_m), fix(b.t, b.place, b.height_m)];
    const flying = after(fixes, Math.ceil(exit_s + b.t));
    expect(expectedOf(flying).outlook.prediction.stages.map((stage) => stage.name)).toEqual([
      'drogue',
      'opening',
      'canopy',
    ]);
    const inFlight = adviseOn(flying, { members: 200, seed: 1 }).advice;
    expect(inFlight.word).toBe('IN FLIGHT');
    expect(inFlight.line).toMatch(
      /^IN FLIGHT: .* · touchdown expected \d\d:\d\d:\d\dZ · (over 99|\d+)\u202f% in Saltbell North$/,
    );
    const down = after(
      [...fixes, { kind: 'mark', mark: 'touchdown', observedAt: iso(touchdown_s) }],
      Math.ceil(touchdown_s + 5),
    );
    expect(adviseOn(down, { members: 200, seed: 1 }).advice.word).toBe('DOWN');
    expect(adviseOn(situationAt(mission, log, world, exit_s - 60), { members: 200, seed: 1 }).advice.word).toMatch(
      /^(GO|HOLD|NO-GO)$/,
    );
  });

  it.each([
    ['with its place', true],
    ['with a fix of half a minute before', false],
  ])('is over with the touchdown in the log, %s: there and then, and so is its spread', (_, placed) => {
    const place = localFrame(landing.position).toLonLat(-3200, 700);
    const [a, b] = [onTrack(200), onTrack(210)];
    const fixes = [fix(a.t, a.place, a.height_m), fix(b.t, b.place, b.height_m)];
    const down_s = touchdown_s + 90;
    const near = placed ? [] : [fix(down_s - 30 - exit_s, place, landing.elevation_m + 120)];
    const mark = { kind: 'mark', mark: 'touchdown', observedAt: iso(down_s), ...(placed ? { position: place } : {}) };
    const situation = after([...fixes, ...near, mark], Math.ceil(down_s + 5));
    const now = expectedOf(situation);
    expect(now).toMatchObject({ from: 'touchdown', planned: { scenario: { exit: { time_s: exit_s } } } });
    const end = now.outlook.prediction.landing;
    if (end === null) throw new Error('it lands');
    expect(Math.hypot(...metres(place, end.position))).toBeLessThan(3);
    expect(Math.abs(now.outlook.scenario.exit.time_s + end.time_s - down_s)).toBeLessThan(1.5);
    expect(now.outlook.prediction).toMatchObject({ stages: [], opening: null, track: [] });
    const { advice } = adviseOn(situation, { members: 500, seed: 1 });
    expect(advice.word).toBe('DOWN');
    const { statistics } = advice;
    if (statistics === null) throw new Error('every member is down');
    expect(statistics.lost).toBe(0);
    expect(Math.hypot(...metres(place, statistics.mean))).toBeLessThan(15);
    // What a place by satellite receiver or eye is worth, 50 m an axis: 90 % lie within 2.15 of it.
    expect(statistics.ellipses['90'].semiMajor_m).toBeLessThan(2.15 * 50 * 1.15);
  });

  it('is over on a slope too, where half of its spread lies higher than its place', () => {
    const places = Array.from({ length: 1600 }, (_, i) =>
      localFrame(mission.site.position).toLonLat((i % 40) * 500 - 10_000, Math.floor(i / 40) * 500 - 10_000),
    );
    const height = ([lon, lat]: LonLat): number => world.ground.heightAt(lat * RAD_PER_DEG, lon * RAD_PER_DEG);
    const rise = (place: LonLat): number => height(localFrame(place).toLonLat(100, 0)) - height(place);
    const steep = places.reduce((a, b) => (rise(b) > rise(a) ? b : a));
    expect(rise(steep)).toBeGreaterThan(10);
    const mark = { kind: 'mark', mark: 'touchdown', observedAt: iso(touchdown_s), position: steep };
    const { statistics } = adviseOn(after([mark], Math.ceil(touchdown_s + 5)), { members: 500, seed: 1 }).advice;
    if (statistics === null) throw new Error('every member is down');
    expect(statistics.lost).toBe(0);
    expect(Math.hypot(...metres(steep, statistics.mean))).toBeLessThan(15);
  });

  it('begins at the exit in the log, later and elsewhere than planned', () => {
    const position = localFrame(mission.exit.position).toLonLat(900, -400);
    const now = expectedOf(
      after([{ kind: 'mark', mark: 'exit', position, height_m: 38_800, observedAt: iso(exit_s + 75) }], exit_s + 80),
    );
    expect(now.from).toBe('exit');
    expect(now.outlook.scenario.exit).toMatchObject({ time_s: exit_s + 75, height_m: 38_800 });
    const [east, north] = metres(mission.exit.position, [
      now.outlook.scenario.exit.lon_deg,
      now.outlook.scenario.exit.lat_deg,
    ]);
    expect([Math.round(east), Math.round(north)]).toEqual([900, -400]);
  });

  it('leaves no exit to be chosen, and says the touchdown instead', () => {
    const situation = after([{ kind: 'mark', mark: 'exit', observedAt: iso(exit_s) }], exit_s + 30);
    const { advice } = adviseOn(situation, { members: 200, seed: 1 });
    expect(advice.exits).toMatchObject({ options: [], best: null, window: null });
    expect(advice.anywhere).toBeNull();
    expect(Math.abs((advice.touchdown_s ?? NaN) - touchdown_s)).toBeLessThan(1);
    expect(advice.line).toContain('touchdown expected');
  });

  function withoutHoming(): typeof mission.jumper {
    const { canopy } = mission.jumper;
    return canopy === undefined
      ? mission.jumper
      : { ...mission.jumper, canopy: { ...canopy, steering: { policy: 'drift' } } };
  }
});
