// What the strip says in flight: against the log's own fix, the predicted track, the terrain and GeographicLib.
import { Geodesic } from 'geographiclib-geodesic';
import { describe, expect, it } from 'vitest';
import { RAD_PER_DEG, type LonLat } from '../../core/base/units.ts';
import { zoneMiddle } from '../../core/descent/scenario.ts';
import type { LogEvent } from '../../core/log/events.ts';
import { expectedOf } from '../../core/mission/expected.ts';
import { situationAt } from '../../core/mission/situation.ts';
import { inFlightAt } from '../../renderer/strip/flight.ts';
import { loadDemo } from '../demo.ts';

const { mission, world, log } = await loadDemo('salt-plain');
const [zone] = mission.landingZones ?? [];
if (zone === undefined) throw new Error('the demo has zones');
const exit_s = Date.parse(mission.exit.time) / 1000;
const iso = (time_s: number): string => new Date(time_s * 1000).toISOString();
const next = Math.max(...log.map((event) => event.seq)) + 1;
const EXIT = { kind: 'mark', mark: 'exit', observedAt: iso(exit_s) };

function flightAfter(events: readonly object[], at_s: number) {
  const more = events.map((event, i) => ({ seq: next + i, at: iso(at_s), ...event }) as LogEvent);
  const expected = expectedOf(situationAt(mission, [...log, ...more], world, at_s));
  return { expected, flight: inFlightAt(expected, zone ?? null, at_s) };
}

const groundAt = ([lon, lat]: LonLat): number => world.ground.heightAt(lat * RAD_PER_DEG, lon * RAD_PER_DEG);

function checkZone(from: LonLat, found: { readonly distance_m: number; readonly bearing_deg: number } | null): void {
  if (zone === undefined) throw new Error('the demo has zones');
  const [lon, lat] = zoneMiddle(zone);
  const { s12 = NaN, azi1 = NaN } = Geodesic.WGS84.Inverse(from[1], from[0], lat, lon);
  // In a hundredth of a second it moves by less than a metre.
  expect(Math.abs((found?.distance_m ?? NaN) - s12)).toBeLessThan(1);
  expect(Math.abs((found?.bearing_deg ?? NaN) - ((azi1 + 360) % 360))).toBeLessThan(0.1);
}

describe('in flight the strip', () => {
  it('says nothing before the exit and after the touchdown', () => {
    expect(flightAfter([], exit_s - 60).flight).toBe(null);
    const down = { kind: 'mark', mark: 'touchdown', observedAt: iso(exit_s + 600) };
    expect(flightAfter([EXIT, down], exit_s + 601).flight).toBe(null);
    const { expected } = flightAfter([EXIT], exit_s + 60);
    const landing_s = expected.outlook.prediction.landing?.time_s ?? NaN;
    expect(inFlightAt(expected, zone, exit_s + landing_s + 2)).toBe(null);
  });

  it('after a called exit goes along the expected track', () => {
    const { expected, flight } = flightAfter([EXIT], exit_s + 200);
    const { track, landing } = expected.outlook.prediction;
    const k = track.findIndex((point) => point[0] >= 200);
    const [a, b] = [track[k - 1], track[k]];
    if (a === undefined || b === undefined || flight === null) throw new Error('it is in the air');
    // Between the two points about the moment, in height and so in place.
    const agl = [a, b].map((point) => point[3] - groundAt([point[1], point[2]]));
    expect(flight.agl_m).toBeLessThanOrEqual((agl[0] ?? NaN) + 1);
    expect(flight.agl_m).toBeGreaterThanOrEqual((agl[1] ?? NaN) - 1);
    expect(flight.touchdown_s).toBeCloseTo(exit_s + (landing?.time_s ?? NaN), 6);
    expect(flight.fixAge_s).toBe(null);
    // The demo's stages: 200 s after the exit the drogue brakes it.
    expect(flight.phase).toBe('drogue');
  });

  it('after a fix begins there, and says how old it is', () => {
    const { expected: before } = flightAfter([EXIT], exit_s + 399);
    const point = before.outlook.prediction.track.find(([t]) => t >= 400);
    if (point === undefined) throw new Error('it is in the air after 400 s');
    const place: LonLat = [point[1], point[2]];
    const fix = {
      kind: 'fix',
      body: 'jumper',
      position: place,
      height_m: point[3],
      observedAt: iso(exit_s + point[0]),
    };
    // The log reads times to the millisecond: a fix is not of the future.
    const at_s = exit_s + point[0] + 0.01;
    const { flight } = flightAfter([EXIT, fix], at_s);
    if (flight === null) throw new Error('it is in the air');
    expect(flight.agl_m).toBeCloseTo(point[3] - groundAt(place), -1);
    checkZone(place, flight.zone);
    expect(flight.fixAge_s).toBeCloseTo(0, 1);
    expect(flightAfter([EXIT, fix], at_s + 20).flight?.fixAge_s).toBeCloseTo(20, 1);
  });
});
