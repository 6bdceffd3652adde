// How the person looks at the mission: switches, panel, look. Kept in local storage where the host allows it; what was
// kept is unknown until it has been checked, and a store that refuses is done without.
import { never } from '../../../core/base/problem.ts';
import { computed, effect, signal, type ReadonlySignal, type Signal } from '@preact/signals';
import type { Look } from '../../theme/roles.ts';
import type { UnitChoice } from '../../../core/words/numbers.ts';

export const lookChoices = ['auto', 'day', 'night'] as const;
export const curves = ['wind', 'east and north', 'temperature'] as const;
export const ranges = ['whole', 'low'] as const;
export type LookChoice = (typeof lookChoices)[number];
export type Curve = (typeof curves)[number];
/** The heights that the wind column shows: all, or those under the canopy. */
export type Range = (typeof ranges)[number];

export interface View {
  readonly units: Signal<UnitChoice>;
  readonly lookChoice: Signal<LookChoice>;
  readonly look: ReadonlySignal<Look>;
  /** Name of the panel on the desk. */
  readonly panel: Signal<string>;
  readonly curve: Signal<Curve>;
  readonly range: Signal<Range>;
  /** What the map shows of the spread, and whether it shows what is in reach. */
  readonly dots: Signal<boolean>;
  readonly contours: Signal<boolean>;
  readonly ellipses: Signal<boolean>;
  readonly reach: Signal<boolean>;
  /** Cases and what else comes down stay on the map when their panel is closed; so do crews' places and ways. */
  readonly casesPinned: Signal<boolean>;
  readonly crewsPinned: Signal<boolean>;
  /** The first-run text has been read and put away. */
  readonly introduced: Signal<boolean>;
  readonly lastPath: Signal<string | null>;
  /** Missions that were open here, the newest first: path and name. */
  readonly recent: Signal<readonly RecentMission[]>;
  /** Who sits at this window: written beside what is entered here; empty: not said. */
  readonly operator: Signal<string>;
}

export interface RecentMission {
  readonly path: string;
  readonly name: string;
}

/** As many as a person finds at a glance. */
const MOST_RECENT = 6;

/** The list with a mission in front, each path once. */
export const withRecent = (list: readonly RecentMission[], opened: RecentMission): RecentMission[] =>
  [opened, ...list.filter(({ path }) => path !== opened.path)].slice(0, MOST_RECENT);

function recentIn(value: unknown): RecentMission[] {
  if (!Array.isArray(value)) return [];
  return value.flatMap((one: unknown) => {
    if (typeof one !== 'object' || one === null || !('path' in one) || !('name' in one)) return [];
    return typeof one.path === 'string' && typeof one.name === 'string' ? [{ path: one.path, name: one.name }] : [];
  });
}

export interface Kept {
  getItem(key: string): string | null;
  setItem(key: string, value: string): void;
}

const KEY = 'plumbline/view/1';

const oneOf = <T extends string>(choices: readonly T[], value: unknown, otherwise: T): T =>
  choices.find((one) => one === value) ?? otherwise;

function read(kept: Kept | null): Record<string, unknown> {
  try {
    const value: unknown = JSON.parse(kept?.getItem(KEY) ?? '{}');
    return typeof value === 'object' && value !== null ? { ...value } : {};
  } catch {
    return {};
  }
}

/** `prefersNight`: what the system asks for, followed while the choice is auto. */
export function createView(kept: Kept | null, prefersNight: ReadonlySignal<boolean>): View {
  const was = read(kept);
  const units = signal<UnitChoice>({
    length: oneOf(['m', 'ft'], was['length'], 'm'),
    speed: oneOf(['kt', 'm/s', 'km/h'], was['speed'], 'kt'),
    height: oneOf(['MSL', 'AGL'], was['height'], 'MSL'),
    time: oneOf(['UTC', 'local'], was['time'], 'UTC'),
  });
  const lookChoice = signal<LookChoice>(oneOf(lookChoices, was['look'], 'auto'));
  const view: View = {
    units,
    lookChoice,
    look: computed(() => (lookChoice.value === 'auto' ? (prefersNight.value ? 'night' : 'day') : lookChoice.value)),
    panel: signal(typeof was['panel'] === 'string' ? was['panel'] : 'Descent'),
    curve: signal<Curve>(oneOf(curves, was['curve'], 'wind')),
    range: signal<Range>(oneOf(ranges, was['range'], 'whole')),
    dots: signal(was['dots'] !== false),
    contours: signal(was['contours'] !== false),
    ellipses: signal(was['ellipses'] === true),
    reach: signal(was['reach'] !== false),
    casesPinned: signal(was['casesPinned'] === true),
    crewsPinned: signal(was['crewsPinned'] === true),
    introduced: signal(was['introduced'] === true),
    operator: signal(typeof was['operator'] === 'string' ? was['operator'] : ''),
    recent: signal(recentIn(was['recent'])),
    lastPath: signal(typeof was['lastPath'] === 'string' ? was['lastPath'] : null),
  };
  effect(() => {
    const now = {
      // What a newer program keeps here stays.
      ...was,
      ...view.units.value,
      look: view.lookChoice.value,
      panel: view.panel.value,
      curve: view.curve.value,
      range: view.range.value,
      dots: view.dots.value,
      contours: view.contours.value,
      ellipses: view.ellipses.value,
      reach: view.reach.value,
      casesPinned: view.casesPinned.value,
      crewsPinned: view.crewsPinned.value,
      introduced: view.introduced.value,
      lastPath: view.lastPath.value,
      recent: view.recent.value,
      operator: view.operator.value,
    };
    try {
      kept?.setItem(KEY, JSON.stringify(now));
    } catch {
      // A full or forbidden store loses only the switches' positions.
    }
  });
  return view;
}

/** The next of a row of choices, from the last back to the first. */
export function nextOf<T>(choices: readonly T[], now: T): T {
  return choices[(choices.indexOf(now) + 1) % choices.length] ?? now;
}

/** Each switch of units by its name: what it offers. */
export const unitChoices = {
  length: ['m', 'ft'],
  speed: ['kt', 'm/s', 'km/h'],
  height: ['MSL', 'AGL'],
  time: ['UTC', 'local'],
} as const satisfies { readonly [K in keyof UnitChoice]: readonly UnitChoice[K][] };

export function turnUnit(units: UnitChoice, name: keyof UnitChoice): UnitChoice {
  switch (name) {
    case 'length':
      return { ...units, length: nextOf(unitChoices.length, units.length) };
    case 'speed':
      return { ...units, speed: nextOf(unitChoices.speed, units.speed) };
    case 'height':
      return { ...units, height: nextOf(unitChoices.height, units.height) };
    case 'time':
      return { ...units, time: nextOf(unitChoices.time, units.time) };
    default:
      return never(name);
  }
}
