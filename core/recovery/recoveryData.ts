// The recovery as plain data, without plans, samples and maps: what the command line prints as JSON and what other
// programs read. Names carry their unit; times s since 1970 where a name ends in `at_s` or stands beside a touchdown,
// else after the touchdown; endless times and numbers that are not known are null.
import type { Crew } from './crews.ts';
import type { Recovery } from './recovery.ts';

const finite = (x: number | null | undefined): number | null =>
  x !== null && x !== undefined && Math.abs(x) < Infinity ? x : null;

type Data = null | boolean | number | string | readonly Data[] | { readonly [key: string]: Data };

/** Leaves out what a result was computed from, and tables of numbers; a crew becomes its name. */
const LEFT_OUT: ReadonlySet<string> = new Set(['plan', 'leaves', 'spread', 'series', 'team', 'track', 'members']);

function isCrew(value: object): value is Crew {
  return 'team' in value && 'ready_s' in value && 'name' in value;
}

function plain(value: unknown): Data | undefined {
  if (value === null || typeof value === 'boolean' || typeof value === 'string') return value;
  if (typeof value === 'number') return finite(value);
  if (Array.isArray(value)) return value.map((one) => plain(one) ?? null);
  if (value instanceof Map)
    return Object.fromEntries([...value].map(([key, one]) => [String(key), plain(one) ?? null]));
  if (typeof value !== 'object' || ArrayBuffer.isView(value)) return undefined;
  if (isCrew(value)) return value.name;
  const kept: [string, Data][] = [];
  for (const [key, one] of Object.entries(value)) {
    if (LEFT_OUT.has(key)) continue;
    const made = plain(one);
    if (made !== undefined) kept.push([key, made]);
  }
  return Object.fromEntries(kept);
}

/** The key `recovery` of the command line's answer. */
export function recoveryData(recovery: Recovery): { readonly [key: string]: Data } {
  const { table, others, separations, board, boardIfPlaced, placement, routes, approaches, smoke, search, scene } =
    recovery;
  const rows = table.map((row) => {
    const { kind, name, mark, weight, weightFrom, meaning, note } = row.case;
    return { ...row, case: { kind, name, mark, weight, weightFrom, meaning, note } };
  });
  const bodies = others.map((one) =>
    one.kind === 'none'
      ? one
      : {
          kind: one.kind,
          name: one.name,
          release: one.release,
          landing: one.outlook.prediction.landing,
          touchdown_at_s: one.outlook.scenario.exit.time_s + (one.outlook.prediction.landing?.time_s ?? NaN),
          statistics: one.statistics,
        },
  );
  const crews = scene?.crews.map(({ team: _team, ...crew }) => ({ ...crew })) ?? [];
  const keepClear = scene === null ? [] : scene.clear.rings(scene.frame);
  const all = {
    at_s: recovery.at_s,
    stage: recovery.stage,
    basis: recovery.basis,
    landing: scene?.landing ?? null,
    touchdown_at_s: scene?.touchdown_s ?? null,
    cases: rows,
    others: bodies,
    separations,
    crews,
    board,
    boardIfPlaced,
    placement,
    routes,
    approaches,
    smoke,
    search,
    keepClear,
    problems: recovery.problems,
    warnings: recovery.warnings,
  };
  return Object.fromEntries(Object.entries(all).map(([key, one]) => [key, plain(one) ?? null]));
}
