// Whether the word may be said of this plan at all: what of it could not be read, what a descent needs and it does not
// have, and what does not fit the ground. Each is a sentence; one alone holds the word.
import type { Situation } from '../mission/situation.ts';
import { HANGING } from '../descent/carrier.ts';
import { height } from '../words/lengths.ts';
import { number } from '../words/numbers.ts';
import { limitsOf } from './limits.ts';

/** Parts of a plan that the word does not stand on. */
const BESIDE: ReadonlySet<string> = new Set([
  'landmarks',
  'teams',
  'roads',
  'cases',
  'placement',
  'zoneWeights',
  'notes',
]);
/**
 * A site's elevation farther from the terrain's height there is another unit or another place, m: open grids of 30 to
 * 90 m miss steep ground by tens of metres (common practice).
 */
const OFF_TERRAIN_M = 100;

/** A fix above the carrier's own height by a quarter is in another unit: feet are over threefold. Ours. */
const OVER_HEIGHT = 1.25;

/** Newest fixes from above where the carrier can be. */
function fixesTooHigh({ mission: { carrier }, state }: Situation): string[] {
  if (carrier === undefined) return [];
  const top_m = carrier.kind === 'balloon' ? carrier.float_m : carrier.altitude_m;
  return HANGING.flatMap((body) => {
    const up_m = state.fixes.get(body)?.at(-1)?.height_m ?? -Infinity;
    if (up_m <= OVER_HEIGHT * top_m) return [];
    return [`the fix of ${body} is at ${height(up_m)}, and the carrier goes up to ${height(top_m)}: annul it`];
  });
}

export function lacksOf(situation: Situation): string[] {
  const { mission, world } = situation;
  const left = (mission.leftOut ?? []).filter((name) => !BESIDE.has(/^\w+/.exec(name)?.[0] ?? ''));
  const said = [...left, ...(world.lacking ?? [])].map((name) => `${name} could not be read and is left out`);
  said.push(...(mission.doubtful ?? []));
  for (const { label, unit, number: at } of limitsOf(mission.jumper, mission.limits).limits)
    if (unit === 'share' && !(at >= 0 && at <= 1))
      said.push(`the limit of the ${label} is ${number(at, 2)}; expected 0 to 1`);
  said.push(...fixesTooHigh(situation));
  if (mission.jumper.canopy === undefined) said.push('the plan has no canopy');
  const { terrain } = world.ground;
  const { elevation_m, position } = mission.site;
  const there_m = terrain === null ? elevation_m : terrain.heightAt(position[0], position[1]);
  if (Math.abs(there_m - elevation_m) > OFF_TERRAIN_M)
    said.push(
      `the site’s elevation of ${height(elevation_m)} does not fit the terrain, which has ${height(there_m)} there`,
    );
  return said;
}
