// What is wrong with the levels of a gridded forecast, in sentences: one a kind of trouble, with the levels it touches.
import { never } from '../base/problem.ts';
import { wrap180, type LonLat } from '../base/units.ts';
import { WIND_MAX_MPS } from './levels.ts';
import type { FieldLevel, GridField } from './gridFields.ts';

/** "45.00° N 12.50° E". */
export function placeText([lon, lat]: LonLat): string {
  const east = wrap180(lon);
  return `${Math.abs(lat).toFixed(2)}° ${lat < 0 ? 'S' : 'N'} ${Math.abs(east).toFixed(2)}° ${east < 0 ? 'W' : 'E'}`;
}

export const among = (part: number, whole: number): string => `${part} of ${whole}`;

/** "250 hPa", "10 m above ground". */
export function levelText({ kind, value }: FieldLevel): string {
  switch (kind) {
    case 'pressure':
      return `${Number((value / 100).toPrecision(6))} hPa`;
    case 'above sea':
      return `${value} m above the sea`;
    case 'above ground':
      return `${value} m above ground`;
    case 'ground':
      return 'the ground';
    case 'model':
      return `model level ${value}`;
    default:
      return never(kind);
  }
}

/** "12 fields of temperature and height". */
export function inWords(fields: readonly GridField[]): string {
  const names = {
    u_mps: 'u',
    v_mps: 'v',
    height_gpm: 'height',
    height_m: 'height',
    temperature_K: 'temperature',
  } as const;
  return (
    `${fields.length} field${fields.length === 1 ? '' : 's'} of ` +
    [...new Set(fields.map(({ quantity }) => names[quantity]))].join(', ')
  );
}

const KNOWN: Readonly<Record<string, string>> = {
  'u without v': 'u without v, so no wind',
  'v without u': 'v without u, so no wind',
  'wind without height': 'wind without a height (no height field, no orography): not usable for a descent',
  'site ground': "wind above a ground that the file does not give (no orography): it is put on the site's",
  'standard height': 'wind without a height field: the height is that of its pressure in the standard atmosphere',
  'impossible winds': `winds above ${WIND_MAX_MPS} m/s, which no wind has: left out (an unmarked sign for missing, or damage)`,
  'impossible temperatures': 'temperatures that no air has: left out',
  'missing here': 'wind or height missing at this place (marked so in the file)',
};

/** Counts troubles by kind, remembers the levels. */
export class Tally {
  private readonly levels = new Map<string, Set<string>>();
  /** Values missing at the points around the place. */
  missingAround = 0;

  add(kind: string, level: FieldLevel): void {
    const set = this.levels.get(kind) ?? new Set<string>();
    set.add(levelText(level));
    this.levels.set(kind, set);
  }

  texts(): string[] {
    const texts = [...this.levels].map(([kind, set]) => {
      const names = [...set];
      const shown =
        names.length > 8 ? `${names.slice(0, 7).join(', ')} and ${names.length - 7} more` : names.join(', ');
      return `${names.length} level${names.length === 1 ? '' : 's'} with ${KNOWN[kind] ?? kind}: ${shown}`;
    });
    if (this.missingAround > 0)
      texts.push(`${this.missingAround} values missing at points around this place (marked so in the file)`);
    return texts;
  }
}
