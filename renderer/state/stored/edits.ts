// What a person can change in the plan, one function each, from the plan as read to the plan with the change; keys that
// are not named here stay. Units as in the mission file: degrees, m MSL unless a name says otherwise, m/s, kg, s.
import { isoOf, tidyPlace } from '../../../core/base/plainNumbers.ts';
import type { LonLat } from '../../../core/base/units.ts';
import { at, drop, insert, isObject, put, type Json, type JsonObject, type Path } from './json.ts';

export const moveExit = (plan: Json, position: LonLat): Json => put(plan, ['exit', 'position'], tidyPlace(position));
export const setExitHeight = (plan: Json, altitude_m: number): Json =>
  put(plan, ['exit', 'altitude_m'], tidy(altitude_m));
export const setExitTime = (plan: Json, time: string): Json => put(plan, ['exit', 'time'], time);
/** Another exit: where, how high, and when to the second. */
export function takeExit(plan: Json, position: LonLat, altitude_m: number, time_s: number): Json {
  const time = isoOf(Math.round(time_s));
  return setExitTime(setExitHeight(moveExit(plan, position), Math.round(altitude_m)), time);
}

export const setRunHeading = (plan: Json, heading_deg: number): Json =>
  put(plan, ['carrier', 'heading_deg'], tidy(heading_deg));

/**
 * Where a crew waits, by the crew's name: its standby where the plan has one, else its place, which then counts for
 * both. The plan as it is where there is no such crew.
 */
export function moveTeam(plan: Json, name: string, position: LonLat): Json {
  const index = teamIndex(plan, name);
  if (index < 0) return plan;
  const key = at(plan, ['teams', index, 'standby']) === undefined ? 'position' : 'standby';
  return put(plan, ['teams', index, key], tidyPlace(position));
}

function teamIndex(plan: Json, name: string): number {
  const teams = at(plan, ['teams']);
  return Array.isArray(teams)
    ? (teams as readonly Json[]).findIndex((team) => isObject(team) && team['name'] === name)
    : -1;
}

/** Standbys into the plan, by crew name; crews that the plan does not name are left out. */
export function setStandbys(
  plan: Json,
  standbys: readonly { readonly crew: string; readonly position: LonLat }[],
): Json {
  return standbys.reduce((next, { crew, position }) => {
    const index = teamIndex(next, crew);
    return index < 0 ? next : put(next, ['teams', index, 'standby'], tidyPlace(position));
  }, plan);
}

/** The crew waits at its own place again, or where the placement would have it. */
export function dropStandby(plan: Json, name: string): Json {
  const index = teamIndex(plan, name);
  return index < 0 ? plan : drop(plan, ['teams', index, 'standby']);
}

/**
 * A case's weight, before all are divided by their sum. A default case that is weighed becomes one of the mission's
 * own.
 *
 * name  as the table has it: of cases of one name the second is "name (2)"
 */
export function setCaseWeight(
  plan: Json,
  { kind, name }: { readonly kind: string; readonly name: string },
  weight: number,
): Json {
  const index = caseIndex(plan, kind, name);
  if (index >= 0) return put(plan, ['cases', index, 'weight'], tidy(weight));
  return put(plan, ['cases', listLength(plan, ['cases'])], { name, kind, weight: tidy(weight) });
}

/** Where in the plan's list a case of the table stands; -1: it is a default. */
export function caseIndex(plan: Json, kind: string, name: string): number {
  const held = at(plan, ['cases']);
  const cases: readonly Json[] = Array.isArray(held) ? (held as readonly Json[]) : [];
  const called = (wanted: string) =>
    cases.flatMap((one, i) => (isObject(one) && one['kind'] === kind && one['name'] === wanted ? [i] : []));
  const [found] = called(name);
  if (found !== undefined) return found;
  const numbered = /^(.*) \((\d+)\)$/.exec(name);
  return (numbered === null ? undefined : called(numbered[1] ?? '')[Number(numbered[2]) - 1]) ?? -1;
}

/** Unit conversion leaves 1499.9999999998; a plan is read by people. */
export const tidy = (value: number): number => Number(value.toPrecision(10));

// Stages

const stages: Path = ['jumper', 'stages'];
export const stagePath = (index: number, ...rest: Path): Path => [...stages, index, ...rest];

export const triggerKinds = ['agl_m', 'msl_m', 'after_s', 'machBelow', 'none'] as const;
export type TriggerKind = (typeof triggerKinds)[number];

/** A stage ends by exactly one trigger: the new one takes the old one's place. `none`: it lasts to the ground. */
export function setTrigger(plan: Json, index: number, kind: TriggerKind, value: number): Json {
  if (kind === 'none') return drop(plan, stagePath(index, 'until'));
  return put(plan, stagePath(index, 'until'), { [kind]: tidy(value) });
}

/**
 * A new stage after the one at `index`, with the same body and half of its way: a start for typing, and valid at once.
 */
export function addStage(plan: Json, index: number): Json {
  const before = at(plan, stagePath(index));
  const area = isObject(before) && typeof before['dragArea_m2'] === 'number' ? before['dragArea_m2'] : 0.8;
  const count = listLength(plan, stages);
  const until = isObject(before) && before['until'] !== undefined ? before['until'] : { agl_m: 1500 };
  const bridged = put(plan, stagePath(index, 'until'), isObject(until) && 'after_s' in until ? until : { after_s: 30 });
  return insert(bridged, stages, index + 1, { name: `stage ${count + 1}`, dragArea_m2: area, until });
}

export function removeStage(plan: Json, index: number): Json {
  return listLength(plan, stages) > 1 ? drop(plan, stagePath(index)) : plan;
}

function listLength(plan: Json, path: Path): number {
  const list = at(plan, path);
  return Array.isArray(list) ? list.length : 0;
}

// Canopy

const canopy: Path = ['jumper', 'canopy'];
export const canopyPath = (...rest: Path): Path => [...canopy, ...rest];

/** A first canopy for a body that has none: numbers of a docile ram-air canopy, common practice, to be typed over. */
export function addCanopy(plan: Json): Json {
  const mass = at(plan, ['jumper', 'mass_kg']);
  return put(plan, canopy, {
    referenceMass_kg: typeof mass === 'number' ? mass : 100,
    fillDistance_m: 190,
    fillExponent: 2,
    settings: [{ name: 'full drive', airspeed_mps: 11, sink_mps: 4.6 }],
    setting: 'full drive',
    steering: { policy: 'drift' },
  });
}

/** A new setting after the one at `index`, flown from now on: its speeds are those of the old, a start for typing. */
export function addSetting(plan: Json, index: number): Json {
  const before = at(plan, canopyPath('settings', index));
  if (!isObject(before)) return plan;
  const names = namesIn(at(plan, canopyPath('settings')));
  let number = names.length + 1;
  while (names.includes(`setting ${number}`)) number += 1;
  const name = `setting ${number}`;
  return put(insert(plan, canopyPath('settings'), index + 1, { ...before, name }), canopyPath('setting'), name);
}

/** A setting keeps being the one flown when its name changes. */
export function renameSetting(plan: Json, index: number, name: string): Json {
  return put(put(plan, canopyPath('settings', index, 'name'), name), canopyPath('setting'), name);
}

/** The last setting stays: a canopy without one does not fly. The first that is left is flown. */
export function removeSetting(plan: Json, index: number): Json {
  if (listLength(plan, canopyPath('settings')) < 2) return plan;
  const left = drop(plan, canopyPath('settings', index));
  return put(left, canopyPath('setting'), namesIn(at(left, canopyPath('settings')))[0] ?? '');
}

function namesIn(list: Json | undefined): string[] {
  if (!Array.isArray(list)) return [];
  return list.flatMap((one: Json) => (isObject(one) && typeof one['name'] === 'string' ? [one['name']] : []));
}

export const removeCanopy = (plan: Json): Json => drop(plan, canopy);

export const policies = ['drift', 'hold', 'into wind', 'to target', 'pattern', 'random'] as const;
export type Policy = (typeof policies)[number];

/** Another way of steering; what the old one was told (a heading, a zone) stays for when it is chosen again. */
export function setPolicy(plan: Json, policy: Policy): Json {
  const old = at(plan, canopyPath('steering'));
  const kept: JsonObject = isObject(old) ? old : {};
  const needs: JsonObject =
    policy === 'hold'
      ? { heading_deg: kept['heading_deg'] ?? 0 }
      : policy === 'random'
        ? { every_s: kept['every_s'] ?? 30 }
        : {};
  return put(plan, canopyPath('steering'), { ...kept, policy, ...needs });
}

// Wind levels

export interface LevelEdit {
  readonly height_m: number;
  readonly from_deg: number;
  readonly speed_mps: number;
  readonly temperature_K?: number | undefined;
}

const forecasts: Path = ['winds', 'forecast'];
export const levelsPath = (forecast: number): Path => [...forecasts, forecast, 'levels'];

/** A level typed by hand says so from then on; what else it held (pressure, keys unknown to us) stays. */
export function changeLevel(plan: Json, path: Path, change: Partial<LevelEdit>): Json {
  const old = at(plan, path);
  if (!isObject(old)) return plan;
  const numbers = Object.entries(change).flatMap(([key, value]) =>
    value === undefined ? [] : [[key, tidy(value)] as const],
  );
  return put(plan, path, { ...old, ...Object.fromEntries(numbers), source: 'by hand' });
}

/** Struck levels stay in the plan and do not count. */
export function strikeLevel(plan: Json, path: Path, struck: boolean): Json {
  return struck ? put(plan, [...path, 'struck'], true) : drop(plan, [...path, 'struck']);
}

export const removeLevel = (plan: Json, path: Path): Json => drop(plan, path);

/** A level by hand, in its place by height. */
export function addLevel(plan: Json, forecast: number, level: LevelEdit): Json {
  const path = levelsPath(forecast);
  const held = at(plan, path);
  const list: readonly Json[] = Array.isArray(held) ? (held as readonly Json[]) : [];
  const index = list.findIndex(
    (one) => isObject(one) && typeof one['height_m'] === 'number' && one['height_m'] > level.height_m,
  );
  return insert(plan, path, index < 0 ? list.length : index, levelJson(level, 'by hand'));
}

function levelJson(
  level: LevelEdit & { readonly pressure_Pa?: number; readonly dewPoint_K?: number },
  source: string | null,
): JsonObject {
  return {
    height_m: tidy(level.height_m),
    from_deg: tidy(level.from_deg),
    speed_mps: tidy(level.speed_mps),
    ...(level.temperature_K === undefined ? {} : { temperature_K: tidy(level.temperature_K) }),
    ...(level.dewPoint_K === undefined ? {} : { dewPoint_K: tidy(level.dewPoint_K) }),
    ...(level.pressure_Pa === undefined ? {} : { pressure_Pa: tidy(level.pressure_Pa) }),
    ...(source === null ? {} : { source }),
  };
}

export interface TakenOver {
  readonly source: string;
  readonly validTime: string;
  readonly position: LonLat | null;
  readonly levels: readonly (LevelEdit & { readonly pressure_Pa?: number; readonly dewPoint_K?: number })[];
}

/**
 * A file's columns copied into the plan, so that their levels can be changed by hand; the plan no longer names the
 * file, which itself stays as it is. Answers the index of the first of them among the forecasts.
 */
export function takeOver(plan: Json, file: string, columns: readonly TakenOver[]): { plan: Json; first: number } {
  const first = listLength(plan, forecasts);
  let next = plan;
  columns.forEach((column, i) => {
    next = put(next, [...forecasts, first + i], {
      source: column.source,
      validTime: column.validTime,
      ...(column.position === null ? {} : { position: tidyPlace(column.position) }),
      levels: column.levels.map((level) => levelJson(level, null)),
    });
  });
  return { plan: removeFile(next, file), first };
}

/** A forecast by hand alone, where the plan has none. */
export function startForecast(plan: Json, validTime: string, level: LevelEdit): Json {
  const index = listLength(plan, forecasts);
  return put(plan, [...forecasts, index], { source: 'by hand', validTime, levels: [levelJson(level, 'by hand')] });
}

// Wind files

const files: Path = ['winds', 'files'];

export function addFile(plan: Json, name: string): Json {
  const held = at(plan, files);
  const list: readonly Json[] = Array.isArray(held) ? (held as readonly Json[]) : [];
  return list.includes(name) ? plan : put(plan, files, [...list, name]);
}

/** A file that was kept out counts. `validTime`: for one that says no date. */
export function takeFile(plan: Json, file: string, reason: string, validTime: string | null): Json {
  const held = at(plan, ['winds', 'taken']);
  const list: readonly Json[] = Array.isArray(held) ? (held as readonly Json[]) : [];
  const others = list.filter((one) => at(one, ['file']) !== file);
  return put(plan, ['winds', 'taken'], [...others, { file, reason, ...(validTime === null ? {} : { validTime }) }]);
}

export const nameStation = (plan: Json, name: string): Json => put(plan, ['winds', 'station'], name);

export function removeFile(plan: Json, name: string): Json {
  const held = at(plan, files);
  if (!Array.isArray(held) || !held.includes(name)) return plan;
  return put(
    plan,
    files,
    (held as readonly Json[]).filter((one) => one !== name),
  );
}
