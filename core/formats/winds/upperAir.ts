// Coded upper-air parts brought together: the parts of one ascent (same station, day and hour, in any order, in one
// text) become one decoded column. Used by `temp.ts` and `pilot.ts`. Heights geometric m MSL out of geopotential m in.
import { isoOf, zeroed } from '../../base/plainNumbers.ts';
import { geometricHeight, geopotentialHeight, pressureAltitude } from '../../air/air.ts';
import type { Read } from '../../base/problem.ts';
import type { LonLat } from '../../base/units.ts';
import type { DecodedLevel, DecodedWinds } from '../../air/levels.ts';
import { pilotHeights, pilotStandard } from './pilotSections.ts';
import { Cursor, releaseTime, significantSections, standardSections } from './tempSections.ts';
import type { Draft } from './tempSections.ts';
import { Findings, answer, decodedWinds } from '../text/text.ts';
import { nearestDayTime } from '../text/times.ts';
import { TemperatureColumn, fillHeights, restoreHeights } from './upperAirHeights.ts';
import { findParts, identify } from './wmo.ts';
import type { Identified } from './wmo.ts';

export interface Ascent {
  readonly first: Identified;
  /** By letters of the part ("TTAA"). */
  readonly parts: Map<string, Identified>;
  readonly findings: Findings;
}

const isPilot = (id: Identified): boolean => ['PP', 'QQ', 'EE'].includes(id.part.form);

/**
 * Whether any part of the ascent has temperatures: it is then `readTemp`'s, with the PILOT parts of the same ascent
 * merged in.
 */
export const hasTemperatures = (ascent: Ascent): boolean => [...ascent.parts.values()].some((id) => !isPilot(id));

/** All ascents of a text, in order of their first part. Parts that cannot be placed go to `unplaced`. */
function ascents(text: string, unplaced: Findings): Ascent[] {
  const byKey = new Map<string, Ascent>();
  for (const part of findParts(text)) {
    const id = identify(part, unplaced);
    if (id === null) continue;
    const ascent = byKey.get(id.key) ?? { first: id, parts: new Map<string, Identified>(), findings: new Findings() };
    byKey.set(id.key, ascent);
    const letters = `${part.form}${part.letter}${part.letter}`;
    const earlier = ascent.parts.get(letters);
    if (earlier !== undefined && !sameGroups(earlier, id)) {
      const text =
        `${letters} ${id.station} comes again with other groups (first on line ${earlier.part.line}): the ` +
        'later one counts';
      ascent.findings.add('repeated parts', { line: part.line }, text);
    }
    ascent.parts.set(letters, id);
  }
  return [...byKey.values()];
}

const sameGroups = (a: Identified, b: Identified): boolean =>
  a.body.map((g) => g.text).join(' ') === b.body.map((g) => g.text).join(' ');

interface Collected {
  readonly drafts: Draft[];
  released: { hour: number; minute: number } | null;
}

/** All levels of all parts, those that matter more first: of two values for one level the first stands. */
function collect(ascent: Ascent): Collected {
  const all: Collected = { drafts: [], released: null };
  const ordered = [...ascent.parts.values()].sort(
    (a, b) => Number(isPilot(a)) - Number(isPilot(b)) || (a.part.letter < b.part.letter ? -1 : 1),
  );
  for (const id of ordered) {
    const cursor = new Cursor(id.body);
    const upperStandard = id.part.letter === 'A' || id.part.letter === 'C';
    if (isPilot(id))
      all.drafts.push(...(upperStandard ? pilotStandard(id, ascent.findings) : pilotHeights(id, ascent.findings)));
    else if (upperStandard) all.drafts.push(...standardSections(id, cursor, ascent.findings));
    else all.drafts.push(...significantSections(id, cursor, ascent.findings));
    all.released ??= releaseTime(cursor);
  }
  const rank = ['surface', 'standard', 'tropopause', 'significant', 'maximum wind', 'fixed height'];
  all.drafts.sort((a, b) => rank.indexOf(a.kind) - rank.indexOf(b.kind));
  return all;
}

/** Pressures are printed to 0.1 hPa at best: two closer than half of that are one level. */
const SAME_PA = 5;

function sameLevel(a: Draft, b: Draft): boolean {
  if (a.kind === 'surface' && b.kind === 'surface') return true;
  if (a.pressure_Pa !== null && b.pressure_Pa !== null) return Math.abs(a.pressure_Pa - b.pressure_Pa) < SAME_PA;
  return (
    a.pressure_Pa === null &&
    b.pressure_Pa === null &&
    a.geopotential_m !== null &&
    a.geopotential_m === b.geopotential_m
  );
}

/**
 * One level for each pressure or height; what a level lacks is taken from its doubles; two different winds are said.
 */
function merge(drafts: readonly Draft[], station: string, findings: Findings): Draft[] {
  const merged: Draft[] = [];
  for (const level of drafts) {
    const twin = merged.find((m) => sameLevel(m, level));
    if (twin === undefined) {
      merged.push({ ...level });
      continue;
    }
    twin.geopotential_m ??= level.geopotential_m;
    if (twin.temperature_K === null) {
      twin.temperature_K = level.temperature_K;
      twin.dewPoint_K = level.dewPoint_K;
    }
    if (twin.speed_mps === null) {
      twin.from_deg = level.from_deg;
      twin.speed_mps = level.speed_mps;
    } else if (level.speed_mps !== null && (level.speed_mps !== twin.speed_mps || level.from_deg !== twin.from_deg)) {
      const at = twin.pressure_Pa === null ? 'the surface' : `${twin.pressure_Pa / 100} hPa`;
      findings.add(
        'second winds of one level',
        { line: level.line },
        `${station}: a second, different wind for ${at}; the first stands`,
      );
    }
  }
  return merged;
}

/**
 * A dropsonde's own words: where and when it was let go (REL) and where it came down (SPG). Hundredths of a degree;
 * HHMMSS.
 */
const RELEASE = /\bREL (\d{4})([NS])(\d{5})([EW]) (\d\d)(\d\d)(\d\d)\b/;
const SPLASH = /\bSPG \d{4}[NS]\d{5}[EW] \d{6}\b/;

interface Drop {
  readonly position: LonLat | null;
  readonly time: { hour: number; minute: number; second: number } | null;
  readonly intoSea: boolean;
}

function dropOf(ascent: Ascent): Drop {
  for (const id of ascent.parts.values()) {
    if (id.part.form !== 'XX') continue;
    const words = id.body.map((g) => g.text).join(' ');
    const found = RELEASE.exec(words);
    if (found === null) continue;
    const lat = (Number(found[1]) / 100) * (found[2] === 'S' ? -1 : 1);
    const lon = (Number(found[3]) / 100) * (found[4] === 'W' ? -1 : 1);
    const time = { hour: Number(found[5]), minute: Number(found[6]), second: Number(found[7]) };
    return {
      position: Math.abs(lat) <= 90 && Math.abs(lon) <= 180 ? [lon, lat] : null,
      time: time.hour < 24 && time.minute < 60 && time.second < 60 ? time : null,
      intoSea: SPLASH.test(words),
    };
  }
  return { position: null, time: null, intoSea: false };
}

const HALF_DAY_S = 43_200;

/** The release nearest to the nominal hour: a sonde of 00 UTC flies from 23:26 of the day before. */
function releasedAt(
  nominal: string | null,
  at: { hour: number; minute: number; second?: number } | null,
): string | null {
  if (nominal === null || at === null) return null;
  const nominal_s = Date.parse(nominal) / 1000;
  const ofDay_s = at.hour * 3600 + at.minute * 60 + (at.second ?? 0);
  const ahead_s = (((ofDay_s - (nominal_s % 86_400)) % 86_400) + 86_400) % 86_400;
  const release_s = nominal_s + (ahead_s > HALF_DAY_S ? ahead_s - 86_400 : ahead_s);
  return isoOf(release_s);
}

function finished(level: Draft): DecodedLevel {
  const { geopotential_m, pressure_Pa, from_deg, speed_mps, temperature_K, dewPoint_K } = level;
  return {
    height_m: geopotential_m === null ? null : geometricHeight(geopotential_m),
    ...(geopotential_m === null ? {} : { geopotential_m }),
    pressure_Pa,
    from_deg,
    speed_mps,
    temperature_K,
    dewPoint_K,
    ...(level.kind === 'surface' && geopotential_m === null ? { agl_m: 10 } : {}),
  };
}

/**
 * Where a level stands in the list: by its height, else by its pressure's height in the standard atmosphere, the
 * surface first.
 */
function order(level: Draft): number {
  if (level.geopotential_m !== null) return level.geopotential_m;
  if (level.pressure_Pa === null) return -Infinity;
  return geopotentialHeight(pressureAltitude(level.pressure_Pa));
}

function sourceName(id: Identified): string {
  const kind: Readonly<Record<string, string>> = {
    TT: 'TEMP',
    UU: 'TEMP SHIP',
    XX: 'TEMP DROP',
    II: 'TEMP MOBIL',
    PP: 'PILOT',
    QQ: 'PILOT SHIP',
    EE: 'PILOT MOBIL',
  };
  const hour = `day ${zeroed(id.day, 2)} ${zeroed(id.hour, 2)} UTC`;
  return `${kind[id.part.form] ?? id.part.form} ${id.station}, ${hour}`;
}

/** One ascent decoded. */
function decodeAscent(ascent: Ascent, reference_s: number | undefined): DecodedWinds {
  const { first, findings } = ascent;
  const { drafts, released } = collect(ascent);
  const column = new TemperatureColumn(drafts);
  const drop = dropOf(ascent);
  const surface = drafts.find((d) => d.kind === 'surface');
  if (surface !== undefined && first.elevation_m !== null)
    surface.geopotential_m = geopotentialHeight(first.elevation_m);
  const printed = drafts
    .filter((d) => d.kind === 'standard' && d.hhh !== null)
    .sort((a, b) => (b.pressure_Pa ?? 0) - (a.pressure_Pa ?? 0));
  restoreHeights(printed, column, drop.intoSea ? (surface?.pressure_Pa ?? null) : null, first.station, findings);
  const levels = merge(drafts, first.station, findings);
  fillHeights(levels, column, first.station, findings);
  levels.sort((a, b) => order(a) - order(b));
  const validTime = reference_s === undefined ? null : nearestDayTime(first.day, first.hour, 0, reference_s);
  if (validTime === null) {
    const stamp = `the message says day ${first.day}, ${first.hour} UTC, but no month or year`;
    const text = `${first.station}: ${stamp}; without a reference the time is unknown`;
    findings.add('times without a month', { line: first.part.line }, text);
  }
  const release = releasedAt(validTime, drop.time ?? released);
  const what = {
    source: sourceName(first),
    validTime,
    position: drop.position ?? first.position,
    levels: levels.map(finished),
  };
  return {
    ...decodedWinds(what, findings, 'no level could be read'),
    ...(release === null ? {} : { releasedAt: release }),
  };
}

/**
 * The ascents of a text that are wanted, decoded, each once.
 *
 * empty  what to say without any; null: nothing
 */
export function upperAirWinds(
  text: string,
  options: { readonly reference_s?: number | undefined },
  wanted: (ascent: Ascent) => boolean,
  empty: string | null,
): Read<DecodedWinds[]> {
  const findings = new Findings();
  const found = ascents(text, findings).filter(wanted);
  if (found.length === 0 && empty !== null) findings.add('empty files', { line: 0 }, empty);
  return answer(
    found.map((ascent) => decodeAscent(ascent, options.reference_s)),
    findings.all(),
  );
}
