// The scale bar: the longest round length that fits, and how it is divided. Lengths m; the unit is the person's.
import { M_PER_FT, M_PER_NM } from '../../core/base/units.ts';
import { quantity } from '../../core/words/numbers.ts';

export interface ScaleBar {
  readonly length_m: number;
  readonly width_px: number;
  /** How many alternating parts. */
  readonly parts: number;
  readonly text: string;
}

const MANTISSAS = [1, 2, 5] as const;

/** metresPerPx at the bar; most_px the widest that the bar may be. Null where the scale is unknown. */
export function scaleBar(metresPerPx: number, most_px: number, unit: 'm' | 'ft'): ScaleBar | null {
  if (!(metresPerPx > 0 && Number.isFinite(metresPerPx) && most_px > 0)) return null;
  const room_m = metresPerPx * most_px;
  const lengths = unit === 'm' ? rounds(1, 1e7) : [...rounds(M_PER_FT, 2000), ...rounds(M_PER_NM, 1e7)];
  let best: { value: number; base_m: number } = lengths[0] ?? { value: 1, base_m: 1 };
  for (const length of lengths) if (length.value * length.base_m <= room_m) best = length;
  const length_m = best.value * best.base_m;
  return {
    length_m,
    width_px: length_m / metresPerPx,
    parts: leading(best.value) === 2 ? 4 : 5,
    text: words(best.value, best.base_m, unit),
  };
}

const leading = (value: number): number => Math.round(value / 10 ** Math.floor(Math.log10(value) + 1e-9));

function rounds(base_m: number, most_m: number): { value: number; base_m: number }[] {
  const out: { value: number; base_m: number }[] = [];
  for (let decade = 1; decade * base_m <= most_m; decade *= 10) {
    for (const mantissa of MANTISSAS)
      if (mantissa * decade * base_m <= most_m) out.push({ value: mantissa * decade, base_m });
  }
  return out;
}

function words(value: number, base_m: number, unit: 'm' | 'ft'): string {
  if (unit === 'm') return value >= 1000 ? quantity(value / 1000, 'km') : quantity(value, 'm');
  return base_m === M_PER_NM ? quantity(value, 'NM') : quantity(value, 'ft');
}
