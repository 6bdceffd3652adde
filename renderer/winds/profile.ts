// The wind in force at any height of a profile, and the mark that each origin of a level has.
import { never } from '../../core/base/problem.ts';
import { windFrom } from '../../core/base/units.ts';
import type { Origin, ProfilePoint } from './model.ts';

/** The wind of a profile at a height, in direction and speed: linear in u and v between its points, which rise. */
export function profileAt(
  profile: readonly ProfilePoint[],
  height_m: number,
): (ProfilePoint & { from_deg: number; speed_mps: number }) | null {
  const first = profile[0];
  const last = profile.at(-1);
  if (first === undefined || last === undefined) return null;
  let [low, high] = [0, profile.length - 1];
  while (low < high) {
    const middle = (low + high) >> 1;
    if ((profile[middle]?.height_m ?? Infinity) >= height_m) high = middle;
    else low = middle + 1;
  }
  const b = profile[low] ?? last;
  const a = b.height_m < height_m ? b : (profile[low - 1] ?? b);
  const f = b.height_m > a.height_m ? (height_m - a.height_m) / (b.height_m - a.height_m) : 0;
  const mix = (x: number, y: number): number => x + f * (y - x);
  const u_mps = mix(a.u_mps, b.u_mps);
  const v_mps = mix(a.v_mps, b.v_mps);
  const temperature_K =
    a.temperature_K === null || b.temperature_K === null ? null : mix(a.temperature_K, b.temperature_K);
  return {
    height_m,
    u_mps,
    v_mps,
    temperature_K,
    extrapolated: a.extrapolated || b.extrapolated,
    ...windFrom(u_mps, v_mps),
  };
}

/** A mark a source: dot for the forecast, square for a file, diamond for a hand. */
export function originMark(origin: Origin, x: number, y: number, r: number): string {
  switch (origin) {
    case 'forecast':
      return `M${x - r} ${y}a${r} ${r} 0 1 0 ${2 * r} 0a${r} ${r} 0 1 0 ${-2 * r} 0Z`;
    case 'file':
      return `M${x - r} ${y - r}h${2 * r}v${2 * r}h${-2 * r}Z`;
    case 'hand':
      return `M${x} ${y - r * 1.4}L${x + r * 1.4} ${y}L${x} ${y + r * 1.4}L${x - r * 1.4} ${y}Z`;
    default:
      return never(origin);
  }
}
