// A command's arguments, read by node:util's parseArgs; what it would throw becomes a sentence.
import { parseArgs } from 'node:util';
import type { LonLat } from '../../core/base/units.ts';

/** The options of a command: `flag` stands alone, `value` takes a word, `values` a word each time that it is given. */
export type OptionKinds = { readonly [name: string]: 'flag' | 'value' | 'values' };

export interface Arguments<K extends OptionKinds> {
  readonly files: readonly string[];
  readonly options: {
    readonly [N in keyof K]?: K[N] extends 'flag' ? boolean : K[N] extends 'values' ? string[] : string;
  };
}

/**
 * A negative number after an option is its value (a longitude), not another option: `--position -117.5,34` is joined
 * with "=".
 */
function joinNegatives(args: readonly string[], kinds: OptionKinds): string[] {
  const joined: string[] = [];
  for (const arg of args) {
    const before = joined.at(-1);
    const name = before?.startsWith('--') === true ? before.slice(2) : null;
    if (name !== null && Object.hasOwn(kinds, name) && kinds[name] === 'value' && /^-[\d.]/.test(arg))
      joined[joined.length - 1] = `${before}=${arg}`;
    else joined.push(arg);
  }
  return joined;
}

/** The files and options of a command line, or a sentence on what is wrong with it. */
export function readArguments<const K extends OptionKinds>(args: readonly string[], kinds: K): Arguments<K> | string {
  const options = Object.fromEntries(
    Object.entries(kinds).map(([name, kind]) => [
      name,
      { type: kind === 'flag' ? ('boolean' as const) : ('string' as const), multiple: kind === 'values' },
    ]),
  );
  try {
    const read = parseArgs({ args: joinNegatives(args, kinds), options, allowPositionals: true, strict: true });
    // parseArgs checked every name and kind against the same table that K is.
    return { files: read.positionals, options: read.values as Arguments<K>['options'] };
  } catch (error) {
    const text = error instanceof Error ? error.message : String(error);
    return `${text.split('. ')[0] ?? text}; expected ${Object.keys(kinds)
      .map((name) => `--${name}`)
      .join(', ')}`;
  }
}

/** `LON,LAT` in degrees, or a sentence. */
export function readPosition(text: string): LonLat | string {
  const wrong = `--position "${text}"; expected LON,LAT in degrees, longitude first, such as -117.25,34.5`;
  const words = text.split(',');
  if (words.length !== 2) return wrong;
  const [lon, lat] = words.map((word) => (word.trim() === '' ? Number.NaN : Number(word)));
  if (lon === undefined || lat === undefined || !(Math.abs(lon) <= 180) || !(Math.abs(lat) <= 90)) return wrong;
  return [lon, lat];
}

/** An ISO 8601 time in UTC (a date alone is its midnight) as seconds since 1970, or a sentence. */
export function readTime(option: string, text: string): number | string {
  const wrong = `--${option} "${text}"; expected an ISO 8601 time in UTC, such as 2026-03-14 or 2026-03-14T06:00:00Z`;
  if (!/^\d{4}-\d{2}-\d{2}(T\d{2}:\d{2}(:\d{2}(\.\d+)?)?Z)?$/.test(text)) return wrong;
  const time_ms = Date.parse(text);
  // A day that the month has not (02-30) is refused by its way back, which names another day.
  if (!Number.isFinite(time_ms) || !new Date(time_ms).toISOString().startsWith(text.slice(0, 10))) return wrong;
  return time_ms / 1000;
}
