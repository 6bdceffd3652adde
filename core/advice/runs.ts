// How far the runs of a forecast agree: each run's winds alone carry the same plan to its own landing, left to drift.
// A run is what one model made from one start; files of one source are one run.
import { DEG_PER_RAD, type LonLat } from '../base/units.ts';
import type { WindGrid } from '../air/grid.ts';
import { Flight, LANDED } from '../descent/flight.ts';
import { scenarioOf, worldOf, worldSamplerOf } from '../descent/scenario.ts';
import { inverse } from '../earth/geodesic.ts';
import type { TerrainGrid } from '../earth/terrain.ts';
import { exitAtTime, exitOnLine } from '../mission/exitMoved.ts';
import { WindsByExit } from '../mission/winds.ts';
import type { WindSource } from '../mission/windSource.ts';
import type { Mission } from '../plan/schema.ts';
import { driftScenario } from './exits.ts';
import { notReached } from './reached.ts';

export interface RunsAgree {
  /** How many runs there are, and how many of them reach the hour. */
  readonly known: number;
  readonly reach: number;
  /** Between the two drift landings that lie farthest apart, m; null: fewer than two runs reach the hour. */
  readonly apart_m: number | null;
}

export interface Run {
  readonly name: string;
  readonly winds: WindsByExit;
}

/** Every run of a mission's winds by itself. */
export function runsOf(mission: Mission, sources: readonly WindSource[]): Run[] {
  const runs = new Map<string, { forecast: NonNullable<Mission['winds']>['forecast']; files: WindSource[] }>();
  const of = (name: string): { forecast: NonNullable<Mission['winds']>['forecast']; files: WindSource[] } => {
    const known = runs.get(name) ?? { forecast: [], files: [] };
    runs.set(name, known);
    return known;
  };
  for (const column of mission.winds?.forecast ?? []) {
    if ((column.kind ?? 'forecast') !== 'forecast') continue;
    const run = of(column.runTime === undefined ? column.source : `${column.source} ${column.runTime}`);
    run.forecast = [...(run.forecast ?? []), column];
  }
  for (const source of sources) {
    if (source.grids.length > 0)
      for (const [name, grid] of source.grids.flatMap(gridRuns))
        of(name).files.push({ ...source, decoded: [], grids: [grid] });
    else
      for (const name of new Set(source.decoded.filter((one) => one.kind !== 'observed').map((one) => one.source)))
        of(name).files.push({ ...source, decoded: source.decoded.filter((one) => one.source === name) });
  }
  return [...runs].map(([name, { forecast, files }]) => ({
    name,
    winds: new WindsByExit({ ...mission, winds: { ...mission.winds, forecast } }, files),
  }));
}

/** A grid of several runs as one grid a run, by name. */
function gridRuns(grid: WindGrid): (readonly [string, WindGrid])[] {
  const perTime = grid.lats_deg.length * grid.lons_deg.length;
  return [...new Set(grid.times_s.map((_, i) => grid.runs_s?.[i] ?? null))].map((run_s) => {
    const kept = grid.times_s.flatMap((_, i) => ((grid.runs_s?.[i] ?? null) === run_s ? [i] : []));
    const one: WindGrid = {
      ...grid,
      times_s: kept.flatMap((i) => grid.times_s[i] ?? []),
      runs_s: kept.map(() => run_s),
      columns: kept.flatMap((i) => grid.columns.slice(i * perTime, (i + 1) * perTime)),
    };
    return [`${grid.source} ${run_s ?? ''}`, one] as const;
  });
}

/** What the runs make of an exit at a time. */
export function runsAt(
  runs: readonly Run[],
  mission: Mission,
  terrain: TerrainGrid | null,
  exit_s: number,
  most_s: number,
): RunsAgree {
  const landings: LonLat[] = [];
  for (const run of runs) {
    const { wind, air } = run.winds.at(exit_s);
    if (notReached(wind, [exit_s, exit_s], most_s) !== null) continue;
    const world = worldOf(mission, wind, air, terrain);
    const there = exitOnLine(exitAtTime(mission, exit_s), world, null, null);
    const { exit, body } = driftScenario(scenarioOf(there, world));
    const flight = new Flight(worldSamplerOf(world), body);
    flight.fly(exit, null);
    if (flight.outcome !== LANDED || notReached(wind, [exit_s, exit_s + flight.landing_s], most_s) !== null) continue;
    landings.push([flight.landingLon_rad * DEG_PER_RAD, flight.landingLat_rad * DEG_PER_RAD]);
  }
  const pairs = landings.flatMap((a, i) => landings.slice(i + 1).map((b) => inverse(a, b).distance_m));
  return {
    known: runs.length,
    reach: landings.length,
    apart_m: pairs.length === 0 ? null : Math.max(...pairs),
  };
}
