// The words that a typed or spoken wind report may use, lower case. A word that stands in no table here and in no name
// of the mission is not understood, and the line is not read: a word that was skipped could have been "not" or "was".
import { M_PER_FT, MPS_PER_KMH, MPS_PER_KT, MPS_PER_MPH } from '../../../base/units.ts';
import type { ReportSource } from '../../../log/events.ts';

const table = <T>(rows: readonly (readonly [words: string, value: T])[]): ReadonlyMap<string, T> =>
  new Map(rows.flatMap(([words, value]) => words.split(' ').map((word) => [word, value] as const)));

/** The sixteen points by their letters: degrees FROM north, clockwise. */
const POINTS = 'n nne ne ene e ese se sse s ssw sw wsw w wnw nw nnw'.split(' ');
const LONG: readonly (readonly [string, string])[] = [
  ['north', 'n'],
  ['east', 'e'],
  ['south', 's'],
  ['west', 'w'],
];

/** Direction of a compass point written in letters or in one word ("ne", "northeast"); undefined for any other word. */
export function compassPoint(word: string): { readonly direction_deg: number; readonly step_deg: number } | undefined {
  let letters = word;
  for (const [long, short] of LONG) letters = letters.replaceAll(long, short);
  const i = POINTS.indexOf(letters);
  // "nort" or "nsouth" leave letters that are no point; "neast" is one by accident of letters only.
  const plain = letters === word || LONG.some(([long]) => word.startsWith(long));
  return i < 0 || !plain ? undefined : { direction_deg: i * 22.5, step_deg: letters.length === 3 ? 22.5 : 45 };
}

/**
 * How a compass word may end, and what the ending says: an easterly blows from the east, something eastward goes there.
 */
export const ENDINGS: readonly (readonly [ending: string, sense: 'from' | 'toward'])[] = [
  ['erlies', 'from'],
  ['erly', 'from'],
  ['ern', 'from'],
  ['wards', 'toward'],
  ['ward', 'toward'],
  ['bound', 'toward'],
];

/**
 * Digits and numbers as spoken; pronunciations of ICAO Annex 10 vol. II 5.2.1.4 (reference/radio.md §1) beside the
 * plain words.
 */
export const DIGITS = table<string>([
  ['zero oh', '0'],
  ['one wun', '1'],
  ['two too', '2'],
  ['three tree', '3'],
  ['four fower', '4'],
  ['five fife', '5'],
  ['six', '6'],
  ['seven', '7'],
  ['eight ait', '8'],
  ['nine niner', '9'],
]);
export const TEENS = table<number>(
  'ten eleven twelve thirteen fourteen fifteen sixteen seventeen eighteen nineteen'
    .split(' ')
    .map((word, i) => [word, 10 + i]),
);
export const TENS = table<number>(
  'twenty thirty forty fifty sixty seventy eighty ninety'.split(' ').map((word, i) => [word, 20 + 10 * i]),
);
export const MAGNITUDES = table<number>([
  ['hundred', 100],
  ['thousand tousand', 1000],
]);
export const DECIMAL: ReadonlySet<string> = new Set(['decimal', 'point', 'dayseemal']);

export type SpeedUnit = 'kt' | 'm/s' | 'km/h' | 'mph';
export const SPEED_UNITS = table<SpeedUnit>([
  ['kt kts kn kns knot knots', 'kt'],
  ['m/s ms mps m/sec', 'm/s'],
  ['km/h kmh kph kmph', 'km/h'],
  ['mph mi/h', 'mph'],
]);
export const MPS_PER: { readonly [U in SpeedUnit]: number } = {
  kt: MPS_PER_KT,
  'm/s': 1,
  'km/h': MPS_PER_KMH,
  mph: MPS_PER_MPH,
};

export type HeightUnit = 'ft' | 'm' | 'km';
export const HEIGHT_UNITS = table<HeightUnit>([
  ['ft feet foot', 'ft'],
  ['m metre metres meter meters mtr mtrs', 'm'],
  ['km kilometre kilometres kilometer kilometers', 'km'],
]);
export const M_PER: { readonly [U in HeightUnit]: number } = { ft: M_PER_FT, m: 1, km: 1000 };

export const HEIGHT_REFERENCES = table<'MSL' | 'AGL'>([
  ['msl amsl asl', 'MSL'],
  ['agl aal', 'AGL'],
]);
export const SURFACE_WORDS: ReadonlySet<string> = new Set(['surface', 'sfc', 'ground']);

export const TIME_UNITS_S = table<number>([
  ['s sec secs second seconds', 1],
  ['min mins minute minutes', 60],
  ['h hr hrs hour hours', 3600],
]);

export const SOURCES = table<ReportSource>([
  ['crew team', 'crew'],
  ['station mast anemometer tower atis awos metar speci', 'station'],
  ['smoke', 'smoke'],
  ['pibal', 'pilot-balloon'],
  ['sounding sonde radiosonde', 'sounding'],
  ['aircraft plane pilot helicopter jumpship', 'aircraft'],
  ['estimate estimated est guess eye', 'estimate'],
]);

/** Words after which a direction is where the air goes, but only with "to" or "toward"; without, nobody can know. */
export const MOVING: ReadonlySet<string> = new Set(
  'blowing blows blow drift drifting drifts going goes moving moves travelling traveling running heading pushing smoke streamer'.split(
    ' ',
  ),
);
/** Words that tell of a voice: then a direction in digits is as likely magnetic as true (reference/radio.md §1). */
export const VOICE: ReadonlySet<string> = new Set(
  'says said radio heard calls called reports reporting tower atis'.split(' '),
);

export const FROM: ReadonlySet<string> = new Set(['from', 'frm', 'off']);
export const TOWARD: ReadonlySet<string> = new Set(['toward', 'towards', 'to', 'into']);
export const AT: ReadonlySet<string> = new Set(['at', '@', 'near', 'over', 'in', 'on', 'by']);
export const GUST: ReadonlySet<string> = new Set('g gust gusts gusting gusty peak max maximum'.split(' '));
export const CALM: ReadonlySet<string> = new Set(['calm', 'windless']);
export const VARIABLE: ReadonlySet<string> = new Set(['variable', 'vrb', 'var']);
/**
 * "Light and variable", after `PHRASES`: below 5 kt from anywhere (the 9900 of the FB bulletin,
 * reference/wind-reports.md §1).
 */
export const LIGHT_VARIABLE = 'lightvariable';
export const MAGNETIC: ReadonlySet<string> = new Set(['mag', 'magnetic']);
export const TRUE_NORTH: ReadonlySet<string> = new Set(['t', 'true']);
export const DEGREES: ReadonlySet<string> = new Set(['deg', 'degs', 'degree', 'degrees']);
/** Phrases that mean one word, put in its place before the line is cut; tried in this order. */
export const PHRASES: readonly (readonly [RegExp, string])[] = [
  [/\bflight level\b/g, 'fl'],
  [/\babove (the )?ground( level)?\b/g, 'agl'],
  [/\b(above )?(mean )?sea level\b|\babove (the )?sea\b/g, 'msl'],
  [/\b(at |on )?(the )?ground level\b|\bon the ground\b/g, 'surface'],
  [/\b(pilot|weather) balloon\b|\bballoon\b/g, 'pibal'],
  [/\blight (and |& )?variable\b|\bl\/v\b/g, 'lightvariable'],
  [/\b(no|nil) wind\b|\bwind (is )?nil\b|\bdead calm\b/g, 'calm'],
  [/\bhalf an hour\b/g, '30 min'],
  [/\b(an|one) hour\b/g, '1 hour'],
  [/\b(a|one) minute\b/g, '1 min'],
  [/\bmet(er|re)s? (per|a) second\b/g, 'm/s'],
  [/\bkilomet(er|re)s? (per|an) hour\b/g, 'km/h'],
  [/\bmiles? (per|an) hour\b/g, 'mph'],
  [/\bout of\b/g, 'from'],
];
/** Words that add nothing here, wherever they stand. */
export const FILLERS: ReadonlySet<string> = new Set(
  (
    'the a an wind winds is are it its of about approx approximately around roughly with report observed reading here now just speed ' +
    'direction level height altitude alt says said radio heard calls called reports reporting side this we i have steady currently roger'
  ).split(' '),
);

/**
 * The Beaufort scale, forces 0 to 11: lower and upper bound, m/s at 10 m (common practice, the scale's usual bounds).
 */
export const BEAUFORT_MPS: readonly (readonly [number, number])[] = [
  [0, 0.2],
  [0.3, 1.5],
  [1.6, 3.3],
  [3.4, 5.4],
  [5.5, 7.9],
  [8, 10.7],
  [10.8, 13.8],
  [13.9, 17.1],
  [17.2, 20.7],
  [20.8, 24.4],
  [24.5, 28.4],
  [28.5, 32.6],
];

/** Whether a word has a meaning of its own in a report: then it cannot stand for a part of a name. */
export function isVocabulary(word: string): boolean {
  const tables = [DIGITS, TEENS, TENS, MAGNITUDES, SPEED_UNITS, HEIGHT_UNITS, HEIGHT_REFERENCES, TIME_UNITS_S, SOURCES];
  const sets = [
    DECIMAL,
    SURFACE_WORDS,
    MOVING,
    VOICE,
    FROM,
    TOWARD,
    AT,
    GUST,
    CALM,
    VARIABLE,
    MAGNETIC,
    TRUE_NORTH,
    DEGREES,
    FILLERS,
  ];
  return tables.some((one) => one.has(word)) || sets.some((one) => one.has(word)) || compassWord(word) !== undefined;
}

/** A compass word with what its ending says: "ne", "east", "easterly" (from), "eastward" (toward). */
export function compassWord(
  word: string,
): { readonly direction_deg: number; readonly step_deg: number; readonly sense: 'from' | 'toward' | null } | undefined {
  const bare = compassPoint(word);
  if (bare !== undefined) return { ...bare, sense: null };
  for (const [ending, sense] of ENDINGS) {
    if (!word.endsWith(ending)) continue;
    const point = compassPoint(word.slice(0, -ending.length));
    if (point !== undefined && word.length - ending.length >= 4) return { ...point, sense };
  }
  return undefined;
}
