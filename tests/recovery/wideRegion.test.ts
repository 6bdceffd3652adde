// Before a balloon was seen its keep-clear region may be tens of kilometres wide, and no crew finds a place outside it:
// then it is said why, and what helps.
import { expect, it } from 'vitest';
import { placeCrews } from '../../core/recovery/placement.ts';
import { situationAt } from '../../core/mission/situation.ts';
import { loadDemo } from '../demo.ts';
import { sceneWith } from './placementRuns.ts';

it('says that the balloon has not been seen where no crew finds a place for that', async () => {
  const { mission, log, world, roads } = await loadDemo('salt-plain');
  const plan = { ...mission, uncertainty: { ...mission.uncertainty, carrierPath_rel: 3 } };
  const unseen = log.filter((event) => event.kind !== 'fix' && event.kind !== 'mark');
  const at_s = Date.parse('2027-04-14T07:00:00Z') / 1000;
  const scene = sceneWith(situationAt(plan, unseen, world, at_s), roads, 60);
  const placed = placeCrews(scene);
  const farthest_km = scene.clear.reach_m / 1000;
  expect(farthest_km).toBeGreaterThan(30);
  expect(placed.crews.some(({ kind }) => kind === 'cannot')).toBe(true);
  expect(placed.answers.join(' ').replaceAll('\u202f', ' ')).toMatch(
    /The keep-clear region reaches \d+ km from the expected landing, as the balloon has not been seen yet: a later fix/,
  );
});
