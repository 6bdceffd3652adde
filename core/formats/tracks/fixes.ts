// Fixes of a moving thing as every track reader gives them, and the checks that need more than one fix. Positions
// degrees on WGS 84, heights m MSL, times Unix seconds.
import { formatDegrees } from '../../words/positions.ts';
import { number, quantity } from '../../words/numbers.ts';
import { isoOf } from '../../base/plainNumbers.ts';
import type { LonLat } from '../../base/units.ts';
import { RAD_PER_DEG, wrap180 } from '../../base/units.ts';
import type { Findings } from '../text/text.ts';

export interface Fix {
  /** Unix seconds; null where the source gives no time, or a time of day without any date. */
  readonly time_s: number | null;
  readonly position: LonLat;
  /** m above mean sea level; null where unknown. A pressure altitude is not a height and never stands here. */
  readonly height_m: number | null;
  /**
   * False: kept because it was received, but its receiver, its neighbours or its place say that it must not be used.
   */
  readonly valid: boolean;
}

export interface Track {
  readonly name: string;
  readonly fixes: readonly Fix[];
}

export interface LinedFix extends Fix {
  readonly line: number;
}

const DAY_S = 86_400;

/** A fix whose time is a time of day, with the date where its own record gave one. */
export interface TimedOfDay {
  readonly ofDay_s: number;
  /** Days since 1970-01-01. */
  readonly day: number | null;
}

/**
 * Dates for times of day: each record's own date, else that of the nearest record before it that has one, else of the
 * nearest after, counting a midnight wherever the time of day falls back by more than 12 h. Where no record has a date
 * the last one is put within 12 h of `reference_s`.
 *
 * returns  Unix seconds in the order given; null throughout without any date or reference
 */
export function datedTimes(records: readonly TimedOfDay[], reference_s: number | undefined): (number | null)[] {
  let midnights = 0;
  const rolled = records.map((record, i) => {
    const step_s = record.ofDay_s - (records[i - 1]?.ofDay_s ?? record.ofDay_s);
    if (step_s < -DAY_S / 2) midnights++;
    else if (step_s > DAY_S / 2) midnights--;
    return midnights;
  });
  const bases: (number | null)[] = records.map(({ day }, i) => (day === null ? null : day - (rolled[i] ?? 0)));
  let base = bases.find((b) => b !== null) ?? null;
  const last = records.at(-1);
  if (base === null && last !== undefined && reference_s !== undefined && Math.abs(reference_s) < 4e9) {
    base = Math.round((reference_s - last.ofDay_s) / DAY_S) - midnights;
  }
  return records.map(({ ofDay_s }, i) => {
    base = bases[i] ?? base;
    return base === null ? null : (base + (rolled[i] ?? 0)) * DAY_S + ofDay_s;
  });
}

/**
 * Hours, minutes and seconds in one run of figures, "053200" or "053200.50", as seconds of the day; null where there is
 * no such time.
 */
export function secondsOfDay(text: string): number | null {
  const found = /^(\d\d)(\d\d)(\d\d(?:\.\d*)?)$/.exec(text);
  if (found === null) return null;
  const [hours, minutes, seconds] = [Number(found[1]), Number(found[2]), Number(found[3])];
  // A leap second (60) is the last moment of its minute for all that follows here.
  return hours < 24 && minutes < 60 && seconds < 61 ? hours * 3600 + minutes * 60 + Math.min(seconds, 59.999) : null;
}

/**
 * ddmmyy as days since 1970; years 80 to 99 are 1980 to 1999 (the first GPS receivers), 00 to 79 are 2000 to 2079. Null
 * for no date.
 */
export function dayOfDdmmyy(text: string): number | null {
  const found = /^(\d\d)(\d\d)(\d\d)$/.exec(text);
  if (found === null) return null;
  const year = Number(found[3]) + (Number(found[3]) >= 80 ? 1900 : 2000);
  return dayOf(year, Number(found[2]), Number(found[1]));
}

/** A calendar date as days since 1970; null where there is no such date. */
export function dayOf(year: number, month: number, day: number): number | null {
  const at = new Date(Date.UTC(year, month - 1, day));
  return at.getUTCMonth() === month - 1 && at.getUTCDate() === day && year >= 1900 && year < 2200
    ? at.getTime() / 1000 / DAY_S
    : null;
}

/** Distance, m, on a sphere: within 0.6 %, enough to see a jump. Shown and integrated distances use the geodesic. */
function roughDistance_m([lon0, lat0]: LonLat, [lon1, lat1]: LonLat): number {
  const north = (lat1 - lat0) * RAD_PER_DEG;
  const east = wrap180(lon1 - lon0) * RAD_PER_DEG;
  const a =
    Math.sin(north / 2) ** 2 + Math.cos(lat0 * RAD_PER_DEG) * Math.cos(lat1 * RAD_PER_DEG) * Math.sin(east / 2) ** 2;
  return 2 * 6_371_009 * Math.asin(Math.min(1, Math.sqrt(a)));
}

/**
 * Faster than any balloon, aircraft or falling body of this program, over the ground and up or down; the rest is for
 * rounded times.
 */
const MOST_SPEED_MPS = 400;
const MOST_CLIMB_MPS = 500;
const ROUNDING_M = 100;

function follows(a: Fix, b: Fix): boolean {
  if (a.time_s === null || b.time_s === null) return true;
  const step_s = Math.max(1, Math.abs(b.time_s - a.time_s));
  if (!(roughDistance_m(a.position, b.position) <= MOST_SPEED_MPS * step_s + ROUNDING_M)) return false;
  return (
    a.height_m === null ||
    b.height_m === null ||
    Math.abs(b.height_m - a.height_m) <= MOST_CLIMB_MPS * step_s + ROUNDING_M
  );
}

/** A fix that lies out and back: both its neighbours are far from it and near each other. */
function spike(before: Fix, at: Fix, after: Fix): boolean {
  const detour_m = roughDistance_m(before.position, at.position) + roughDistance_m(at.position, after.position);
  return detour_m > 1000 && detour_m > 20 * (roughDistance_m(before.position, after.position) + 50);
}

const placed = ([lon, lat]: LonLat): string => formatDegrees([lon, lat], 4);
const timed = (fix: Fix): string => (fix.time_s === null ? 'a fix without time' : isoOf(fix.time_s));

/**
 * Runs of fixes each of which can follow the one before; [from, to) into `fixes`. Fixes already not valid are passed
 * over.
 */
function runsOf(fixes: readonly Fix[]): number[][] {
  const runs: number[][] = [];
  fixes.forEach((fix, i) => {
    if (!fix.valid) return;
    const run = runs.at(-1);
    const previous = fixes[run?.at(-1) ?? -1];
    if (run === undefined || previous === undefined || !follows(previous, fix)) runs.push([i]);
    else run.push(i);
  });
  return runs;
}

/**
 * A stretch apart from the rest with at most this many fixes is an error of the receiver; a longer one may be the
 * truth.
 */
const SHORT_RUN = 2;

function flagJumps(name: string, fixes: readonly LinedFix[], bad: Set<number>, findings: Findings): void {
  const runs = runsOf(fixes);
  const longest = runs.reduce((most, run) => Math.max(most, run.length), 0);
  const kept: number[][] = [];
  for (const run of runs) {
    if (run.length > SHORT_RUN || run.length === longest) kept.push(run);
    else {
      for (const i of run) {
        const fix = fixes[i];
        if (fix === undefined) continue;
        bad.add(i);
        findings.add(
          'fixes far from their neighbours',
          { line: fix.line },
          `${name}: ${timed(fix)} at ${placed(fix.position)} is out of reach of its neighbours; not valid`,
        );
      }
    }
  }
  kept.forEach((run, k) => {
    const last = fixes[kept[k - 1]?.at(-1) ?? -1];
    const first = fixes[run[0] ?? -1];
    if (last === undefined || first === undefined || follows(last, first)) return;
    const km = number(roughDistance_m(last.position, first.position) / 1000, 1);
    const text = `${name}: jumps ${km} km between ${timed(last)} and ${timed(first)}; one side of the jump must be wrong`;
    findings.add('jumps', { line: first.line }, text);
  });
  fixes.forEach((fix, i) => {
    const [before, after] = [fixes[i - 1], fixes[i + 1]];
    if (before === undefined || after === undefined || bad.has(i) || bad.has(i - 1) || bad.has(i + 1)) return;
    if (!before.valid || !fix.valid || !after.valid || fix.time_s === null || !spike(before, fix, after)) return;
    bad.add(i);
    findings.add(
      'single-fix jumps',
      { line: fix.line },
      `${name}: ${timed(fix)} at ${placed(fix.position)} lies out and back from its neighbours; not valid`,
    );
  });
}

const STILL_FIXES = 10;
const STILL_S = 60;
/** A position that stands while the height moves by more than this is a frozen receiver, not a thing at rest. */
const STILL_CLIMB_M = 50;

function flagStill(name: string, fixes: readonly LinedFix[], bad: Set<number>, findings: Findings): void {
  const rests: { from: LinedFix; seconds: number }[] = [];
  let start = 0;
  for (let i = 1; i <= fixes.length; i++) {
    const [first, fix] = [fixes[start], fixes[i]];
    if (first === undefined) break;
    if (fix !== undefined && fix.position[0] === first.position[0] && fix.position[1] === first.position[1]) continue;
    const last = fixes[i - 1];
    const seconds = (last?.time_s ?? NaN) - (first.time_s ?? NaN);
    if (i - start >= STILL_FIXES && seconds >= STILL_S) {
      const heights = fixes.slice(start, i).flatMap((f) => (f.height_m === null ? [] : [f.height_m]));
      const climb_m =
        heights.reduce((a, b) => Math.max(a, b), -Infinity) - heights.reduce((a, b) => Math.min(a, b), Infinity);
      if (climb_m > STILL_CLIMB_M) {
        for (let k = start + 1; k < i; k++) bad.add(k);
        const still = `from ${timed(first)} the position stands still for ${quantity(seconds, 's')}`;
        const text = `${name}: ${still} while the height moves ${quantity(climb_m, 'm')}; not valid`;
        findings.add('frozen positions', { line: first.line }, text);
      } else rests.push({ from: first, seconds });
    }
    start = i;
  }
  const [first] = rests;
  if (first === undefined) return;
  const longest = rests.reduce((a, b) => (b.seconds > a.seconds ? b : a), first);
  const stretches = rests.length === 1 ? 'for a minute or more' : `in ${rests.length} stretches of a minute or more`;
  const text =
    `${name}: the position does not change ${stretches}: ${quantity(longest.seconds, 's')} from ` + timed(longest.from);
  findings.add('rests', { line: longest.from.line }, text);
}

/** Nobody and no balloon is lower or higher than this. */
const LOWEST_M = -1000;
const HIGHEST_M = 120_000;

/**
 * A track out of fixes in the order received: nothing is left out; fixes that cannot be (0° 0°, an impossible height,
 * out of reach, out and back, frozen) get
 * `valid: false` and a problem, long jumps and rests a problem. Times that run backwards are said, not sorted away.
 */
export function checkedTrack(name: string, fixes: readonly LinedFix[], findings: Findings): Track {
  const bad = new Set<number>();
  fixes.forEach((fix, i) => {
    const [lon, lat] = fix.position;
    if (lon === 0 && lat === 0 && fix.valid) {
      bad.add(i);
      findings.add(
        'fixes at 0° 0°',
        { line: fix.line },
        `${name}: ${timed(fix)} at exactly 0° 0°; a receiver without a fix says so; not valid`,
      );
    }
    if (fix.valid && fix.height_m !== null && !(fix.height_m >= LOWEST_M && fix.height_m <= HIGHEST_M)) {
      bad.add(i);
      findings.add(
        'heights that cannot be',
        { line: fix.line },
        `${name}: ${timed(fix)} at ${quantity(fix.height_m, 'm')}; expected ${number(LOWEST_M)} to ` +
          `${quantity(HIGHEST_M, 'm')} above sea level; not valid`,
      );
    }
    const before = fixes[i - 1]?.time_s ?? null;
    if (before !== null && fix.time_s !== null && fix.time_s < before) {
      findings.add(
        'times running backwards',
        { line: fix.line },
        `${name}: ${timed(fix)} comes after ${isoOf(before)}`,
      );
    }
  });
  const now = (): LinedFix[] => fixes.map((fix, i) => (bad.has(i) ? { ...fix, valid: false } : fix));
  flagJumps(name, now(), bad, findings);
  flagStill(name, now(), bad, findings);
  return {
    name,
    fixes: fixes.map(({ time_s, position, height_m, valid }, i) => ({
      time_s,
      position,
      height_m,
      valid: valid && !bad.has(i),
    })),
  };
}
