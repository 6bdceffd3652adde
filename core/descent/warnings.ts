// What a prediction had to assume: wherever it went outside its data, said in a sentence with heights and times
// (MODEL.md §3).
import { G0, RHO0 } from '../air/air.ts';
import { DEG_PER_RAD, RAD_PER_DEG } from '../base/units.ts';
import { TRIGGER_AGL, TRIGGER_MSL } from './body.ts';
import { clock, roughDuration } from '../words/times.ts';
import { distance, lengthUp } from '../words/lengths.ts';
import { quantity } from '../words/numbers.ts';
import { nth } from '../base/nth.ts';
import { broughtDownStd_mps } from '../winds/errors.ts';
import { WindSampler } from '../winds/field.ts';
import { LOG_LAYER_M } from '../winds/nearGround.ts';
import type { Scenario } from './scenario.ts';

/** `track` as in a prediction: [t_s, lon, lat, height_m]. */
export function warningsOf(
  scenario: Scenario,
  track: readonly (readonly [number, number, number, number])[],
  opened: boolean,
): string[] {
  const { world, body, exit } = scenario;
  const { wind, air, ground } = world;
  const said: string[] = [];
  const top = Math.max(...track.map((point) => point[3]), exit.height_m);
  const bottom = track[track.length - 1]?.[3] ?? ground.site_m;
  const levelled = wind.levelled(exit.time_s, exit.time_s + (track[track.length - 1]?.[0] ?? 0));
  if (wind.isAssumedCalm) {
    said.push('No wind is given: calm air is assumed at every height. This is not a forecast.');
  } else {
    if (top > levelled.top_m + 1) {
      said.push(
        `Wind above ${lengthUp(levelled.top_m)} MSL is extrapolated: the highest level's wind is held for ` +
          `${lengthUp(top - levelled.top_m)} up to the exit.`,
      );
    }
    if (levelled.bottom_m > bottom + LOG_LAYER_M + 0.5) {
      const error = broughtDownStd_mps(levelled.bottom_m - bottom, speedAt(scenario, levelled.bottom_m));
      said.push(
        `Wind below ${lengthUp(levelled.bottom_m)} MSL is extrapolated: from the lowest level, ` +
          `${lengthUp(levelled.bottom_m - bottom)} above the ground, it is brought down by the profile over ` +
          `open ground. ${error < 0.05 ? '' : `At 10 m that alone may put it ${quantity(error, 'm/s', 1)} off; `}` +
          `${error < 0.05 ? 'Ask' : 'ask'} for a surface wind.`,
      );
    }
    said.push(...outsideTimes(scenario, track));
    said.push(...outsideGrid(scenario, track));
  }
  if (air.measured !== null && top > air.measured.top_m + 5000) {
    said.push(
      `Air above ${lengthUp(air.measured.top_m)} MSL is not measured: it blends into the standard ` +
        `atmosphere within ${lengthUp(5000)}.`,
    );
  }
  said.push(...bodyDoubts(scenario).map((one) => `${one.charAt(0).toUpperCase()}${one.slice(1)}.`));
  if (body.canopy === null) said.push('No canopy opens in this descent: the landing is an impact.');
  else if (!opened) said.push('The ground is met before the canopy opens: the landing is an impact.');
  if (ground.terrain !== null) {
    const inside = track.filter(
      (point) =>
        ground.terrain !== null &&
        ground.terrain.heightAt(point[1], point[2]) === ground.terrain.heightAt(point[1], point[2]),
    );
    const last = track[track.length - 1];
    if (last !== undefined && inside[inside.length - 1] !== last) {
      said.push(
        `The landing lies outside the terrain: the site's elevation of ${lengthUp(ground.site_m)} MSL is taken there.`,
      );
    }
  }
  return said;
}

/** A body falls at 6.5 to 150 m/s near the ground, a person under a canopy at 1.5 to 12: common practice. */
const BODY_MPS = [6.5, 150] as const;
const CANOPY_MPS = [1.5, 12] as const;
/** No canopy of a person flies faster in straight flight: common practice. */
const AIRSPEED_MPS = 30;

/** What the plan may not mean: stages that are over at the exit, and speeds that no body or canopy has. */
export function bodyDoubts({ world, body, exit }: Scenario): string[] {
  const said: string[] = [];
  const ground_m = world.ground.heightAt(exit.lat_deg * RAD_PER_DEG, exit.lon_deg * RAD_PER_DEG);
  for (const { name, trigger, triggerAt, dragArea_m2 } of body.stages) {
    const ends_m = trigger === TRIGGER_MSL ? triggerAt : trigger === TRIGGER_AGL ? triggerAt + ground_m : -Infinity;
    if (ends_m >= exit.height_m)
      said.push(
        `the stage “${name}” ends at ${lengthUp(ends_m)} MSL, above the exit at ${lengthUp(exit.height_m)} ` +
          'MSL: it is over as soon as it begins',
      );
    const terminal = Math.sqrt((2 * body.mass_kg * G0) / (RHO0 * dragArea_m2));
    if (terminal < BODY_MPS[0] || terminal > BODY_MPS[1])
      said.push(
        `the stage “${name}” would fall at ${quantity(terminal, 'm/s', 1)} near the ground with ` +
          `${quantity(dragArea_m2, 'm²', 2)} and ${quantity(body.mass_kg, 'kg')}: check its drag area`,
      );
  }
  const sink = body.canopy?.sink_mps ?? CANOPY_MPS[0];
  if (sink < CANOPY_MPS[0] || sink > CANOPY_MPS[1])
    said.push(`the canopy sinks at ${quantity(sink, 'm/s', 1)}: check its setting “${body.canopy?.setting ?? ''}”`);
  const airspeed = body.canopy?.airspeed_mps ?? 0;
  if (airspeed > AIRSPEED_MPS)
    said.push(`the canopy flies at ${quantity(airspeed, 'm/s', 1)}: check its setting “${body.canopy?.setting ?? ''}”`);
  if (body.canopy?.aimless === true)
    said.push('the plan steers to a target and names no landing zone or place that there is: the canopy drifts');
  return said;
}

/** Speed of the wind over the exit's place, m/s. */
function speedAt({ world: { wind }, exit }: Scenario, height_m: number): number {
  const sampler = new WindSampler(wind);
  sampler.start(exit.time_s, null);
  sampler.sample(exit.lat_deg / DEG_PER_RAD, exit.lon_deg / DEG_PER_RAD, height_m, 0);
  return Math.hypot(nth(sampler.out, 0), nth(sampler.out, 1));
}

function outsideTimes(
  { world, exit }: Scenario,
  track: readonly (readonly [number, number, number, number])[],
): string[] {
  const times = world.wind.times_s;
  const first = times[0] ?? 0;
  const last = times[times.length - 1] ?? 0;
  const end = exit.time_s + (track[track.length - 1]?.[0] ?? 0);
  if (exit.time_s < first - 60)
    return [
      `The winds are valid from ${clock(first)}; the exit is ${roughDuration(first - exit.time_s)} earlier: ` +
        'the first winds are held.',
    ];
  if (end > last + 60)
    return [
      `The winds are valid to ${clock(last)}; the descent ends ${roughDuration(end - last)} later: the last ` +
        'winds are held.',
    ];
  return [];
}

function outsideGrid({ world }: Scenario, track: readonly (readonly [number, number, number, number])[]): string[] {
  const { lats_rad, lons_rad } = world.wind;
  if (lats_rad.length < 2 && lons_rad.length < 2) return [];
  const south = (lats_rad[0] ?? 0) * DEG_PER_RAD;
  const north = (lats_rad[lats_rad.length - 1] ?? 0) * DEG_PER_RAD;
  const west = (lons_rad[0] ?? 0) * DEG_PER_RAD;
  const east = (lons_rad[lons_rad.length - 1] ?? 0) * DEG_PER_RAD;
  let worst = 0;
  for (const [, lon, lat] of track) {
    const x = lon < west ? lon + 360 : lon;
    worst = Math.max(worst, south - lat, lat - north, x > east ? Math.min(x - east, Math.abs(lon - west)) : 0);
  }
  if (!(worst > 1e-6)) return [];
  return [
    `Part of the descent lies up to ${distance(worst * 111_000)} outside the forecast grid: its edge winds ` +
      'are held there.',
  ];
}
