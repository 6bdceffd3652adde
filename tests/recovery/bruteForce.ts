// The placement of a goal's crews by trying every place on a grid, for two crews every pair: the truth that the search
// is measured against. No stand-ins and no search: every landing counts. Pairs that a bound proves worse than one
// already known are passed over.
import { earliest, expectedTimeOf, ExpectedByBins, ownMean } from '../../core/recovery/placementCost.ts';
import { allowsTimes, type Mover, type GoalCrews } from '../../core/recovery/placementSearch.ts';
import type { Point } from '../../core/earth/plane.ts';
import type { Scene } from '../../core/recovery/scene.ts';
import { mayBePlaced } from '../../core/recovery/standby.ts';

export const GRID_M = 250;

export interface Brute {
  readonly cost: number;
  readonly places: number;
  readonly pairs: number;
  /** Mean time of the first crew from the place that is best for each landing by itself: no placement is quicker. */
  readonly fixed_s: number;
}

interface Row {
  readonly times: Float64Array;
  readonly own: number;
}

/**
 * reach_m   half the side of the square about the expected landing that the grid fills
 * backward  times from the landings outward, all places at once: the same numbers (`tests/recovery/placement.test.ts`)
 *           in less time
 */
export function bruteForce(scene: Scene, team: GoalCrews, reach_m: number, backward: boolean): Brute {
  const { movers, targets, worstTenth, second } = team;
  const share = second / (movers.length + team.fixed.length);
  const known = earliest(team.fixed, targets.count);
  const ownFixed = team.fixed.reduce((sum, times) => sum + ownMean(times, targets.weight), 0);
  const bins = new ExpectedByBins(targets);
  const rows = movers.map((mover) => rowsOf(scene, team, mover, reach_m, backward));
  const cost = (times: Float64Array, others: Float64Array, own: number): number => {
    const { mean_s, worst_s } = bins.of(times, others);
    return mean_s + worstTenth * worst_s + share * (own + ownFixed);
  };
  const places = rows.reduce((sum, list) => sum + list.length, 0);
  const quickest = earliest([known, ...rows.flat().map((row) => row.times)], targets.count);
  const fixed_s = expectedTimeOf(quickest, targets.weight).mean_s;
  const [first, other] = rows;
  if (first === undefined) return { cost: cost(known, known, 0), places, pairs: 0, fixed_s };
  if (other === undefined)
    return {
      cost: Math.min(...first.map((row) => cost(row.times, known, row.own))),
      places,
      pairs: first.length,
      fixed_s,
    };
  // No partner can be earlier anywhere than the earliest of all partners there: a bound for every pair of a place.
  const bounded = (mine: readonly Row[], theirs: readonly Row[]) => {
    const best = earliest([known, ...theirs.map((row) => row.times)], targets.count);
    const least = Math.min(...theirs.map((row) => row.own));
    return mine
      .map((row) => ({ row, bound: cost(row.times, best, row.own + least) }))
      .sort((a, b) => a.bound - b.bound);
  };
  const partners = bounded(other, first);
  let best = Infinity;
  let pairs = 0;
  for (const { row, bound } of bounded(first, other)) {
    if (bound >= best) break;
    const both = earliest([known, row.times], targets.count);
    for (const partner of partners) {
      if (partner.bound >= best) break;
      pairs += 1;
      best = Math.min(best, cost(partner.row.times, both, row.own + partner.row.own));
    }
  }
  return { cost: best, places, pairs, fixed_s };
}

function rowsOf(scene: Scene, { targets }: GoalCrews, mover: Mover, reach_m: number, backward: boolean): Row[] {
  const places: Point[] = [];
  for (let y = -reach_m; y <= reach_m; y += GRID_M)
    for (let x = -reach_m; x <= reach_m; x += GRID_M) if (mayBePlaced(scene, mover.crew, [x, y])) places.push([x, y]);
  const table = backward
    ? mover.reach.toStandIns(places, scene.ways.attach(places, false), [...targets.x.keys()])
    : null;
  return places.flatMap(([x, y], i) => {
    const times = table?.slice(i * targets.count, (i + 1) * targets.count) ?? mover.reach.from(x, y);
    return allowsTimes(scene, mover, [x, y], times) ? [{ times, own: ownMean(times, targets.weight) }] : [];
  });
}
