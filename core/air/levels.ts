// Wind as it is read: levels, and the decoded answer of every wind reader. Heights geometric m MSL, directions true and
// FROM, speeds m/s. The physics works on vectors (`profile.ts`, `field.ts`); this is the form that files, log and
// people speak.
import type { LonLat } from '../base/units.ts';
import type { Problem } from '../base/problem.ts';

/**
 * One level. A reader gives what the source has and leaves out what it has not; a level for the physics needs height
 * and wind.
 */
export interface WindLevel {
  readonly height_m: number;
  readonly from_deg: number;
  readonly speed_mps: number;
  readonly temperature_K?: number | undefined;
  readonly dewPoint_K?: number | undefined;
  readonly pressure_Pa?: number | undefined;
}

/**
 * What `plumbline winds` prints of one source at one time and place. A level without a wind (a thermodynamic level) has
 * `from_deg` and `speed_mps` null; one without a height has `height_m` null. Missing is null, never 0. A direction null
 * beside a speed of 0 is a wind without a direction of its own (calm, "light and variable"): its mean vector is zero,
 * and it counts.
 */
export interface DecodedWinds {
  readonly source: string;
  /** Set where the kind of file says that somebody measured it; left out: a forecast, or not said. */
  readonly kind?: 'observed';
  /** ISO 8601 UTC; null where the file does not say. */
  readonly validTime: string | null;
  readonly position: LonLat | null;
  /**
   * When the sonde or balloon was let go, where the message says so: `validTime` is then the nominal hour. ISO 8601
   * UTC.
   */
  readonly releasedAt?: string;
  readonly levels: readonly DecodedLevel[];
  readonly problems: readonly Problem[];
}

export interface DecodedLevel {
  readonly height_m: number | null;
  /** The height as the source printed it, geopotential m, where `height_m` was computed from it. */
  readonly geopotential_m?: number | null;
  readonly pressure_Pa: number | null;
  readonly from_deg: number | null;
  readonly speed_mps: number | null;
  readonly temperature_K: number | null;
  readonly dewPoint_K?: number | null;
  /**
   * Height above ground of a surface wind whose `height_m` is unknown because the message does not give the station's
   * elevation, or the forecast its own ground.
   */
  readonly agl_m?: number;
  readonly gust_mps?: number;
  /**
   * A variable direction: the wind swings clockwise from the first to the second; [0, 360] where it comes from
   * anywhere.
   */
  readonly sector_deg?: readonly [from: number, to: number];
  /** Altimeter setting (QNH): pressure reduced to sea level, not the pressure at this level. */
  readonly qnh_Pa?: number;
}

/** No wind, temperature or time outside these was ever measured or forecast: such a number is a mark or damage. */
export const WIND_MAX_MPS = 150;
export const TEMPERATURE_K = { min: 130, max: 340 } as const;
const YEARS = [1900, 2100] as const;

/** Whether a time (s since 1970) can be that of a wind. */
export function isWindTime(time_s: number): boolean {
  const year = 1970 + time_s / (365.25 * 86_400);
  return year >= YEARS[0] && year < YEARS[1];
}

/**
 * The levels of a decoded source that the wind physics can use: height and wind known; in rising order; of equal
 * heights the first.
 */
export function usableLevels(levels: readonly DecodedLevel[]): WindLevel[] {
  const usable: WindLevel[] = [];
  for (const level of levels) {
    if (level.height_m === null || level.speed_mps === null) continue;
    if (level.from_deg === null && level.speed_mps !== 0) continue;
    usable.push({
      height_m: level.height_m,
      from_deg: level.from_deg ?? 0,
      speed_mps: level.speed_mps,
      ...(level.temperature_K === null ? {} : { temperature_K: level.temperature_K }),
      ...(level.dewPoint_K === null || level.dewPoint_K === undefined ? {} : { dewPoint_K: level.dewPoint_K }),
      ...(level.pressure_Pa === null ? {} : { pressure_Pa: level.pressure_Pa }),
    });
  }
  usable.sort((a, b) => a.height_m - b.height_m);
  return usable.filter((level, i) => i === 0 || level.height_m > (usable[i - 1]?.height_m ?? -Infinity));
}
