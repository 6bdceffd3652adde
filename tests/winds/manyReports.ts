// A log of very many reports around one true wind, one in a hundred of them the wrong way round: what a long day's
// sensors leave.
import type { LogEvent, WindReport } from '../../core/log/events.ts';
import { Random } from '../../core/base/random.ts';
import { windFrom, windVector } from '../../core/base/units.ts';

const SOURCES = ['crew', 'station', 'smoke', 'estimate', 'pilot-balloon'] as const;
const EVERY_s = 3;

export interface ManyReports {
  readonly log: readonly LogEvent[];
  readonly reversed: number;
}

/** The wind all reports are drawn around, as (u, v) at a height above sea level. */
export const trueWind = (height_m: number): [u_mps: number, v_mps: number] => windVector(90, 7 + height_m / 2000);

/** One report every three seconds from `begin_s` (epoch). */
export function manyReports(count: number, begin_s: number): ManyReports {
  const random = new Random(9);
  let reversed = 0;
  const log = Array.from({ length: count }, (_, i): WindReport => {
    const source = SOURCES[i % 5] ?? 'crew';
    const height_m = source === 'pilot-balloon' ? 200 + 9000 * random.uniform() : 130;
    const [u, v] = trueWind(height_m);
    const wind = windFrom(u + random.normal(), v + random.normal());
    const turned = random.uniform() < 0.01;
    if (turned) reversed += 1;
    const when = new Date((begin_s + i * EVERY_s) * 1000).toISOString();
    return {
      seq: i,
      at: when,
      kind: 'wind-report',
      id: `w${i}`,
      source,
      by: `T${i % 11}`,
      observedAt: when,
      ...(source === 'pilot-balloon' ? { height_m } : { agl_m: 10 }),
      from_deg: turned ? (wind.from_deg + 180) % 360 : wind.from_deg,
      speed_mps: wind.speed_mps,
    };
  });
  return { log, reversed };
}
