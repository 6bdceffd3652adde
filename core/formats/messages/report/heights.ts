// The height and the time of a report: what is open about them is asked.
import type { ReportSource } from '../../../log/events.ts';
import { never } from '../../../base/problem.ts';
import { M_PER_FT } from '../../../base/units.ts';
import { SOURCE_ERRORS } from '../../../log/sources.ts';
import { clock } from '../../../words/times.ts';
import { trimmed, quantity } from '../../../words/numbers.ts';
import { ofDay_s } from './meanings.ts';
import type { HeightPart, TimePart } from './parts.ts';
import type { Open } from './open.ts';
import type { QuestionKey } from './types.ts';
import { M_PER, type HeightUnit } from './vocabulary.ts';

export interface Height {
  readonly agl_m?: number;
  readonly height_m?: number;
  readonly flightLevel: number | null;
}

/** Over ground this near to the sea, MSL and AGL are the same height to a report. */
const LOWEST_ELEVATION_M = 15;
const HIGHEST_M = 85_000;
const DAY_S = 86_400;
const OLDEST_CLOCK_S = 12 * 3600;
const CLOCK_TOLERANCE_S = 120;
/** r₀ of the US Standard Atmosphere 1976. */
const EARTH_RADIUS_M = 6_356_766;

/**
 * The height that the parts say, or that the source means where they say none; null where it is asked or refused.
 * `ground_m`: of the ground where the report comes from, m MSL. `flies`: who reports may be in the air.
 */
export function heightOf(
  part: HeightPart | undefined,
  who: { readonly source: ReportSource; readonly flies: boolean; readonly ground_m: number },
  open: Open,
): Height | null {
  const usual = SOURCE_ERRORS[who.source].usual_agl_m;
  switch (part?.kind) {
    case undefined:
    case 'surface':
      if (part === undefined && who.flies && open.answers.speaker !== 'on the ground') {
        if (open.answers.speaker === 'in the air') return open.refuse('no height yet; such as: at 1500 ft agl');
        return open.ask('on the ground or in the air', [
          { key: 'g', meaning: `on the ground, ${usual ?? 2} m above it`, resolves: { speaker: 'on the ground' } },
          { key: 'a', meaning: 'in the air: then type the height too', resolves: { speaker: 'in the air' } },
        ]);
      }
      if (usual !== null) return { agl_m: usual, flightLevel: null };
      return open.refuse(`no height yet: a ${who.source.replace('-', ' ')} wind needs one, such as: at 1500 ft agl`);
    case 'flight level':
      return flightLevel(part.level, who.ground_m, open);
    case 'height':
      return measured(part, who.ground_m, usual ?? 10, open);
    default:
      return never(part);
  }
}

function flightLevel(level: number, ground_m: number, open: Open): Height | null {
  if (!(level >= 5 && level <= 600)) return open.refuse(`flight level ${trimmed(level, 0)}; expected 5 to 600`);
  const altitude_m = level * 100 * M_PER_FT;
  // Without the day's air: the standard atmosphere's geopotential height as a geometric one, z = r₀ H/(r₀ − H), USSA
  // 1976 eq. 19.
  const height_m =
    open.context.heightOfPressureAltitude?.(altitude_m) ??
    (EARTH_RADIUS_M * altitude_m) / (EARTH_RADIUS_M - altitude_m);
  if (height_m < ground_m)
    return open.refuse(`flight level ${trimmed(level, 0)} lies below the ground there (${quantity(ground_m, 'm')})`);
  return { height_m, flightLevel: level };
}

type Measured = Extract<HeightPart, { kind: 'height' }>;

function measured(part: Measured, ground_m: number, surface_agl_m: number, open: Open): Height | null {
  const unit = part.unit ?? open.answers.heightUnit ?? open.context.heightUnit ?? askUnit(part, open);
  // A time of day is not a height: the source's own is meant.
  if (unit === 'time of day') return { agl_m: surface_agl_m, flightLevel: null };
  if (unit === 'flight level') return flightLevel(part.value, ground_m, open);
  const zero = quantity(ground_m, 'm');
  const reference =
    part.reference ??
    open.answers.reference ??
    (Math.abs(ground_m) < LOWEST_ELEVATION_M
      ? 'MSL'
      : open.ask('MSL or AGL', [
          { key: 's', meaning: 'above sea level (MSL)', resolves: { reference: 'MSL' } },
          { key: 'g', meaning: `above ground (AGL; the ground here is at ${zero})`, resolves: { reference: 'AGL' } },
        ]));
  if (unit === null || reference === null) return null;
  const metres = part.value * M_PER[unit];
  if (!(metres <= HIGHEST_M))
    return open.refuse(
      `a height of ${quantity(metres / 1000, 'km', 1)}; expected up to ${quantity(HIGHEST_M / 1000, 'km')}`,
    );
  if (reference === 'AGL') return { agl_m: metres, flightLevel: null };
  if (!(metres < ground_m) || Math.abs(ground_m) < LOWEST_ELEVATION_M) return { height_m: metres, flightLevel: null };
  const said = `${trimmed(part.value, 1)} ${unit}`;
  const { belowGround } = open.answers;
  if (belowGround !== undefined) {
    return { agl_m: belowGround === 'AGL' ? metres : surface_agl_m, flightLevel: null };
  }
  open.notes.push(`${said} above the sea lies below the ground there (${zero})`);
  return open.ask('below the ground', [
    { key: 'g', meaning: `${said} above the GROUND was meant`, resolves: { belowGround: 'AGL' } },
    {
      key: 'u',
      meaning: `a surface wind, ${quantity(surface_agl_m, 'm')} above ground`,
      resolves: { belowGround: 'surface' },
    },
  ]);
}

function askUnit(part: Measured, open: Open): HeightUnit | null {
  const keys: QuestionKey[] = [
    { key: 'f', meaning: 'feet', resolves: { heightUnit: 'ft' } },
    { key: 'm', meaning: 'metres', resolves: { heightUnit: 'm' } },
  ];
  if (part.value >= 5 && part.value <= 600 && !part.digits.includes('.'))
    keys.push({ key: 'l', meaning: 'flight level', resolves: { heightUnit: 'flight level' } });
  const time = timeInHeight(part);
  const { now_s, localOffset_s = 0 } = open.context;
  // Only a time that has been is meant by it.
  const hasBeen = (offset_s: number): boolean =>
    now_s - latest(time?.ofDay_s ?? NaN, now_s, offset_s) <= OLDEST_CLOCK_S;
  if (hasBeen(0) || hasBeen(localOffset_s))
    keys.push({
      key: 't',
      meaning: `a time, ${part.digits.slice(0, 2)}:${part.digits.slice(2)}`,
      resolves: { heightUnit: 'time of day' },
    });
  return open.ask('feet or metres', keys);
}

/** "at 1330" may be a time: as one; null where it cannot. */
export function timeInHeight(part: HeightPart | undefined): Extract<TimePart, { kind: 'clock' }> | null {
  if (part?.kind !== 'height' || part.unit !== null || part.reference !== null || !/^\d{4}$/.test(part.digits))
    return null;
  const of_s = ofDay_s(part.digits);
  return of_s >= 0 ? { kind: 'clock', ofDay_s: of_s, zone: null, day: null } : null;
}

/** When it was observed, s since 1970; null where it is asked or refused. */
export function timeOf(part: TimePart | undefined, open: Open): number | null {
  const { now_s, localOffset_s = 0 } = open.context;
  if (part === undefined) return now_s;
  if (part.kind === 'ago') {
    if (!(part.ago_s <= DAY_S)) return open.refuse('older than a day: such a wind says nothing now');
    return now_s - part.ago_s;
  }
  const zone = part.zone ?? (localOffset_s === 0 ? 'UTC' : (open.answers.zone ?? null));
  if (zone === null) {
    const words = (offset_s: number): string => clock(latest(part.ofDay_s, now_s, offset_s));
    return open.ask('UTC or local', [
      { key: 'z', meaning: 'UTC', resolves: { zone: 'UTC' } },
      { key: 'l', meaning: `local time (${words(localOffset_s)})`, resolves: { zone: 'local' } },
    ]);
  }
  const observed_s = latest(part.ofDay_s, now_s, zone === 'local' ? localOffset_s : 0);
  const day = new Date(observed_s * 1000).getUTCDate();
  if (part.day !== null && part.day !== day)
    return open.refuse(`day ${part.day} of the month; expected within the last day`);
  if (now_s - observed_s > OLDEST_CLOCK_S)
    return open.refuse('that time is still to come, or more than 12 hours ago; say the age instead ("20 min ago")');
  return observed_s;
}

/** The newest moment with that time of day. A minute or two ahead is another clock; before that it was yesterday's. */
function latest(time_s: number, now_s: number, offset_s: number): number {
  const at = Math.floor((now_s + offset_s) / DAY_S) * DAY_S - offset_s + time_s;
  return at <= now_s + CLOCK_TOLERANCE_S ? at : at - DAY_S;
}
