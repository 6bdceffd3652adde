// Winds at the door: what a wind file is, before it counts. A file from far away, of other days, without a date, or of
// several stations of which none is named, is kept out until a person takes it (`winds.taken` of the plan, with the
// reason). Distances m, times s since 1970.
import type { DecodedWinds } from '../air/levels.ts';
import { usableLevels } from '../air/levels.ts';
import { nth } from '../base/nth.ts';
import { chord_m } from '../earth/chord.ts';
import type { Limits, Mission } from '../plan/schema.ts';
import { quantity } from '../words/numbers.ts';
import { dayClock, roughDuration } from '../words/times.ts';
import type { WindSource } from './windSource.ts';

/**
 * Beyond these a wind file waits for a person; a mission's `limits` hold others under the same names. Common practice.
 */
export const DOOR_LIMITS = { windsDistance_m: 150_000, windsDays: 1 } as const;

/** What of a plan decides whether a file comes in. */
export type DoorPlan = Pick<Mission, 'site' | 'winds' | 'limits'> & {
  readonly exit: Pick<Mission['exit'], 'time'> & Partial<Pick<Mission['exit'], 'altitude_m'>>;
};

/** One profile or grid of a file as it stands at the door. */
export interface DoorProfile {
  readonly source: string;
  /** From the site; null where the file names no place. */
  readonly distance_m: number | null;
  readonly valid_s: number | null;
  /** Exit minus valid time, s: above 0 is old. */
  readonly age_s: number | null;
  readonly levels: number;
  readonly top_m: number | null;
  readonly what: string;
  /** What it does not say, or reach. */
  readonly missing: readonly string[];
}

/** A station that a person can choose: the word that names it in `winds.station`. */
export interface DoorStation {
  readonly name: string;
  readonly source: string;
  /** From the site; null where the file names no place. */
  readonly distance_m: number | null;
}

export interface DoorFinding {
  readonly file: string;
  readonly profiles: readonly DoorProfile[];
  /** Why it is kept out, a sentence each; none: it comes in. */
  readonly because: readonly string[];
  /** Which of its stations counts is asked, the nearest known first; none: it is not asked. */
  readonly stations: readonly DoorStation[];
  /** Whether it is asked when it is valid. */
  readonly undated: boolean;
  /** The reason with which a person took it all the same; null where nobody did. */
  readonly taken: string | null;
  readonly comesIn: boolean;
}

const DAY_S = 86_400;
const epoch = (time: string): number => Date.parse(time) / 1000;

function limitOf(limits: Limits | undefined, name: keyof typeof DOOR_LIMITS): number {
  const own = limits?.[name];
  return own === undefined ? DOOR_LIMITS[name] : typeof own === 'number' ? own : own.value;
}

/** Looks at a wind file for a mission. Pure; computes nothing of the flight. */
export function atTheDoor(plan: DoorPlan, source: WindSource): DoorFinding {
  const exit_s = epoch(plan.exit.time);
  const profiles = [
    ...(source.grids.length > 0 ? [] : source.decoded.map((one) => profileOf(one, plan, exit_s))),
    ...source.grids.map((grid): DoorProfile => {
      const near = grid.times_s.reduce((a, b) => (Math.abs(b - exit_s) < Math.abs(a - exit_s) ? b : a), Infinity);
      const tops = grid.columns.flatMap((levels) => levels.at(-1)?.height_m ?? []);
      return {
        source: grid.source,
        distance_m: null,
        valid_s: near === Infinity ? null : near,
        age_s: near === Infinity ? null : exit_s - near,
        levels: Math.max(0, ...grid.columns.map((levels) => levels.length)),
        top_m: tops.length > 0 ? Math.min(...tops) : null,
        what: `a gridded forecast of ${grid.times_s.length} times`,
        missing: [],
      };
    }),
  ];
  const stations = stationsOf(source, plan);
  const because = [...datesOf(profiles, plan, exit_s), ...placesOf(profiles, plan), ...stationsAsked(stations)];
  const taken = plan.winds?.taken?.find((one) => one.file === source.file)?.reason ?? null;
  return {
    file: source.file,
    profiles,
    because,
    stations,
    undated: isUndated(profiles),
    taken,
    comesIn: because.length === 0 || taken !== null,
  };
}

function profileOf(decoded: DecodedWinds, { site, exit }: DoorPlan, exit_s: number): DoorProfile {
  const levels = usableLevels(decoded.levels);
  const valid_s = decoded.validTime === null ? null : epoch(decoded.validTime);
  return {
    source: decoded.source,
    distance_m: decoded.position === null ? null : chord_m(decoded.position, site.position),
    valid_s,
    age_s: valid_s === null ? null : exit_s - valid_s,
    levels: levels.length,
    top_m: levels.at(-1)?.height_m ?? null,
    what: decoded.kind === 'observed' ? 'measured' : 'a forecast (it does not say that it was measured)',
    missing: [
      ...(decoded.position === null ? ['the place'] : []),
      ...(valid_s === null ? ['the date'] : []),
      ...(levels.every(({ temperature_K }) => temperature_K === undefined) ? ['temperatures'] : []),
      ...(exit.altitude_m !== undefined && (levels.at(-1)?.height_m ?? -Infinity) < exit.altitude_m
        ? ['winds up to the exit']
        : []),
    ],
  };
}

const isUndated = (profiles: readonly DoorProfile[]): boolean =>
  profiles.length > 0 && profiles.every(({ valid_s }) => valid_s === null);

/** The valid times that a wind file names, s since 1970: of its grids where it has some. */
export const validTimesOf = ({ decoded, grids }: WindSource): readonly number[] =>
  grids.length > 0
    ? grids.flatMap(({ times_s }) => times_s)
    : decoded.flatMap(({ validTime }) => (validTime === null ? [] : [epoch(validTime)]));

/** Whether one of a file's times lies near enough to an exit. */
export function isNearInTime(times_s: readonly number[], { limits }: DoorPlan, exit_s: number): boolean {
  const most_s = limitOf(limits, 'windsDays') * DAY_S;
  return times_s.some((time_s) => Math.abs(exit_s - time_s) <= most_s);
}

/** Of several times the one nearest to the exit decides: the others frame it. */
function datesOf(profiles: readonly DoorProfile[], plan: DoorPlan, exit_s: number): string[] {
  if (isUndated(profiles)) return ['it says no date; when is it valid?'];
  const ages = Float64Array.from(profiles.flatMap(({ age_s }) => age_s ?? [])).sort(
    (a, b) => Math.abs(a) - Math.abs(b),
  );
  const times_s = profiles.flatMap(({ valid_s }) => valid_s ?? []);
  if (ages.length === 0 || isNearInTime(times_s, plan, exit_s)) return [];
  const age_s = nth(ages, 0);
  const when = dayClock(exit_s - age_s, exit_s);
  const off = `${roughDuration(age_s)} ${age_s > 0 ? 'before' : 'after'} the exit`;
  return [`it is valid ${when}, ${off}; the limit is ${quantity(limitOf(plan.limits, 'windsDays'), 'd')}`];
}

function placesOf(profiles: readonly DoorProfile[], { limits }: DoorPlan): string[] {
  const far_m = limitOf(limits, 'windsDistance_m');
  const known = profiles.flatMap(({ distance_m }) => distance_m ?? []);
  const near_m = Math.min(...known);
  if (known.length === 0 || near_m <= far_m) return [];
  const km = (m: number): string => quantity(m / 1000, 'km');
  return [`it is from ${km(near_m)} away; the limit is ${km(far_m)}`];
}

/** The stations of a bulletin of which the plan names none, the nearest known first. */
function stationsOf({ decoded, grids }: WindSource, { site, winds }: DoorPlan): DoorStation[] {
  if (grids.length > 0) return [];
  const perTime = new Map<string, DecodedWinds[]>();
  for (const one of decoded) perTime.set(one.validTime ?? '', [...(perTime.get(one.validTime ?? '') ?? []), one]);
  const several = [...perTime.values()].filter((list) => list.length > 1);
  const [first] = several;
  if (first === undefined || several.every((list) => list.some((one) => isStation(one, winds?.station)))) return [];
  const words = first.map(({ source }) => wordsOf(source));
  return first
    .map((one, i): DoorStation => {
      const others = new Set(words.flatMap((list, k) => (k === i ? [] : list)));
      const name = words[i]?.find((word) => !others.has(word)) ?? one.source;
      return {
        name,
        source: one.source,
        distance_m: one.position === null ? null : chord_m(one.position, site.position),
      };
    })
    .toSorted((a, b) => (a.distance_m ?? Infinity) - (b.distance_m ?? Infinity));
}

function stationsAsked(stations: readonly DoorStation[]): string[] {
  if (stations.length === 0) return [];
  const named = stations.map(({ source, distance_m }) =>
    distance_m === null ? source : `${source} (${quantity(distance_m / 1000, 'km')})`,
  );
  const shown = named.slice(0, 5).join(', ');
  return [
    `it holds ${stations.length} stations and winds.station names none of them; which one: ` +
      `${shown}${named.length > 5 ? ' …' : ''}?`,
  ];
}

const wordsOf = (source: string): string[] =>
  source
    .toUpperCase()
    .split(/[^A-Z0-9]+/)
    .filter((word) => word !== '');

/** Whether a profile is of the station that a plan names. */
export const isStation = ({ source }: DecodedWinds, station: string | undefined): boolean =>
  station !== undefined && wordsOf(source).includes(station.toUpperCase());

/** The valid time that a person gave for a file that says none, ISO 8601; null: none. */
export const givenTime = ({ winds }: Pick<DoorPlan, 'winds'>, file: string): string | null =>
  winds?.taken?.find((one) => one.file === file)?.validTime ?? null;

/** What is said of a file that is kept out. */
export const doorSentence = ({ file, because }: DoorFinding): string =>
  `${file} is kept out: ${because.join('; ')}. To use it all the same, take it with a reason (winds.taken).`;
