// Every word that a typed or spoken wind report may use, once, with its class. `grammar.ts` says which classes may
// stand beside each other. A word that stands in no table here and in no name of the mission is not understood, and the
// line is not read: a word that was skipped could have been "not" or "was".
import { M_PER_FT, MPS_PER_KMH, MPS_PER_KT, MPS_PER_MPH } from '../../../base/units.ts';
import type { ReportSource } from '../../../log/events.ts';

/** Words of a row are parted by spaces; `_` stands for the space in a phrase. */
const table = <T>(rows: readonly (readonly [words: string, value: T])[]): ReadonlyMap<string, T> =>
  new Map(
    rows.flatMap(([words, value]) => words.split(/\s+/).map((word) => [word.replaceAll('_', ' '), value] as const)),
  );
const words = (list: string): ReadonlyMap<string, true> => table([[list, true]]);

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
const counted = (list: string, first: number, step: number): ReadonlyMap<string, number> =>
  new Map(list.split(' ').map((word, i) => [word, first + step * i]));
export const TEENS = counted('ten eleven twelve thirteen fourteen fifteen sixteen seventeen eighteen nineteen', 10, 1);
export const TENS = counted('twenty thirty forty fifty sixty seventy eighty ninety', 20, 10);
export const MAGNITUDES = table<number>([
  ['hundred', 100],
  ['thousand tousand', 1000],
]);
export const DECIMAL = words('decimal point dayseemal');

export type SpeedUnit = 'kt' | 'm/s' | 'km/h' | 'mph';
export const SPEED_UNITS = table<SpeedUnit>([
  ['kt kts kn kns knot knots', 'kt'],
  [
    'm/s ms mps m/sec metres_per_second meters_per_second metre_per_second meter_per_second metres_a_second ' +
      'meters_a_second',
    'm/s',
  ],
  [
    'km/h kmh kph kmph kilometres_per_hour kilometers_per_hour kilometres_an_hour kilometers_an_hour ' +
      'kilometre_per_hour kilometer_per_hour',
    'km/h',
  ],
  ['mph mi/h miles_per_hour miles_an_hour mile_per_hour mile_an_hour', 'mph'],
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
  ['msl amsl asl sea_level mean_sea_level above_sea_level above_mean_sea_level above_the_sea above_sea', 'MSL'],
  [
    'agl aal above_ground above_the_ground above_ground_level above_the_ground_level above_the_field above_aerodrome',
    'AGL',
  ],
]);
export const TIME_UNITS_S = table<number>([
  ['s sec secs second seconds', 1],
  ['min mins minute minutes', 60],
  ['h hr hrs hour hours', 3600],
]);
/** Ages that are said without a number. */
export const AGES_S = table<number>([
  ['half_an_hour', 1800],
  ['an_hour', 3600],
  ['a_minute', 60],
  ['a_quarter_of_an_hour quarter_of_an_hour', 900],
]);

export const SOURCES = table<ReportSource>([
  ['crew team', 'crew'],
  ['station mast anemometer tower atis awos metar speci weather_station', 'station'],
  ['smoke red_smoke white_smoke orange_smoke yellow_smoke green_smoke blue_smoke purple_smoke', 'smoke'],
  ['pibal pilot_balloon weather_balloon balloon', 'pilot-balloon'],
  ['sounding sonde radiosonde dropsonde', 'sounding'],
  ['aircraft plane pilot helicopter jumpship drop_plane', 'aircraft'],
  ['estimate estimated guess eye', 'estimate'],
]);

/**
 * Names of the Beaufort scale that are used by themselves, as the first and last force that they name (WMO-No. 8, part
 * I, chapter 5: the usual names). "Light" is a light air or a light breeze.
 */
export const STRENGTHS = table<readonly [lowest: number, highest: number]>([
  ['light', [1, 2]],
  ['light_air light_airs', [1, 1]],
  ['light_breeze', [2, 2]],
  ['gentle_breeze', [3, 3]],
  ['moderate_breeze', [4, 4]],
  ['fresh_breeze', [5, 5]],
  ['strong_breeze', [6, 6]],
]);
/** The scale's bounds for forces 0 to 11, m/s at 10 m (common practice, the scale's usual bounds). */
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

/** The sixteen points by their letters: degrees clockwise from north. */
const POINTS = 'n nne ne ene e ese se sse s ssw sw wsw w wnw nw nnw'.split(' ');
export interface CompassPoint {
  readonly direction_deg: number;
  /** How wide the point is: 45° of eight, 22.5° of sixteen. */
  readonly step_deg: number;
}
const point = (letters: string): CompassPoint | undefined => {
  const i = POINTS.indexOf(letters);
  return i < 0 ? undefined : { direction_deg: i * 22.5, step_deg: letters.length === 3 ? 22.5 : 45 };
};

/** The four winds in English, German, French and Spanish. */
const WINDS = table<string>([
  ['north nor nord norden norte', 'n'],
  ['east ost osten est este', 'e'],
  ['south sou süd süden sued sud sur', 's'],
  ['west westen ouest oeste', 'w'],
]);
const WIND = [...WINDS.keys()].toSorted((a, b) => b.length - a.length).join('|');
const WIND_NAMES = new RegExp(WIND, 'gu');
/** For cutting a line: a run of such names that make one point, as in "north north west", "nor west". */
export const POINT_NAMES = String.raw`(?:${WIND})(?:\s?(?:${WIND}))*(?:erlies|erly|ern|wards|ward|bound|wind)?(?!\p{L})`;

/**
 * A point in letters or in full: "ne", "northeast", "nor west", "nordost", "sud ouest"; undefined for any other word.
 */
function compassPoint(text: string): CompassPoint | undefined {
  if (/^(nor|sou)$/.test(text)) return undefined;
  const names = text.replace(WIND_NAMES, '').trim() === '';
  return point(names ? text.replace(WIND_NAMES, (name) => WINDS.get(name) ?? '').replaceAll(' ', '') : text);
}

/** How a compass word may end, and what the ending says: an easterly comes from the east, eastward is where it goes. */
const ENDINGS: readonly (readonly [ending: string, sense: 'from' | 'toward'])[] = [
  ['erlies', 'from'],
  ['erly', 'from'],
  ['ern', 'from'],
  ['wards', 'toward'],
  ['ward', 'toward'],
  ['wind', 'from'],
];

/** A compass word with what its ending says: "ne", "east", "easterly" and "ostwind" (from), "eastward" (toward). */
export function compassWord(text: string): (CompassPoint & { readonly sense: 'from' | 'toward' | null }) | undefined {
  const bare = compassPoint(text);
  if (bare !== undefined) return { ...bare, sense: null };
  for (const [ending, sense] of ENDINGS) {
    const stem = text.slice(0, -ending.length);
    const named = text.endsWith(ending) && stem.length >= 3 ? compassPoint(stem) : undefined;
    if (named !== undefined) return { ...named, sense };
  }
  return undefined;
}

/** "O" is west in French and Spanish and east in German; NO, SO and the like with it. German first, then the others. */
export const LETTER_O = table<readonly [east: string, west: string]>([
  ['o', ['e', 'w']],
  ['no', ['ne', 'nw']],
  ['so', ['se', 'sw']],
  ['nno', ['nne', 'nnw']],
  ['ono', ['ene', 'wnw']],
  ['oso', ['ese', 'wsw']],
  ['sso', ['sse', 'ssw']],
]);
export const pointOf = (letters: string): CompassPoint => point(letters) ?? { direction_deg: NaN, step_deg: NaN };

/**
 * The classes of words. A word of two meanings has a class of its own (`m`: metres or magnetic, `s`: seconds or south,
 * `no`: a denial or the letters NO), and the patterns say which it is where.
 */
const ROWS = [
  ['speed', SPEED_UNITS],
  ['m', words('m')],
  ['s', words('s')],
  ['no', words('no')],
  ['nil', words('nil')],
  ['est', words('est sur')],
  ['length', HEIGHT_UNITS],
  ['reference', HEIGHT_REFERENCES],
  ['ground', words('surface sfc ground ground_level the_ground on_the_ground at_ground_level')],
  ['headHeight', words('head_height head_level')],
  ['level', words('height altitude alt level elevation')],
  ['fl', words('fl flight_level')],
  ['timeUnit', TIME_UNITS_S],
  ['age', AGES_S],
  ['ago', words('ago old back')],
  ['zone', words('z utc zulu gmt')],
  ['local', words('local lt local_time')],
  ['crew', words('crew team')],
  ['source', SOURCES],
  ['strength', STRENGTHS],
  ['force', words('force beaufort bft')],
  ['letterO', LETTER_O],
  ['from', words('from frm off out_of coming_from comes_from')],
  ['toward', words('toward towards')],
  ['to', words('to')],
  ['into', words('into')],
  /** The air, or what it carries, on its way: a direction beside it is from or toward, and only "to" tells. */
  [
    'blowing',
    words(
      `blowing blows blow drift drifting drifts streamer streamers windsock sock pointing points pushing carrying
     carried leaning dust flag flags`,
    ),
  ],
  /** Anything on its way: after the name of a crew it is the crew, and no wind. */
  [
    'moving',
    words(
      `going goes moving moves travelling traveling running heading headed flying driving proceeding inbound outbound
     en_route on_the_way on_its_way on_our_way departing bound_for returning tracking`,
    ),
  ],
  /** A wind that turns: "backing to 270" will come from there later, which is not a report of a wind. */
  ['turning', words('backing backed veering veered swinging shifting shifted turning turned')],
  ['at', words('at @ near in on by')],
  ['over', words('over')],
  ['and', words('and &')],
  ['or', words('or')],
  ['between', words('between')],
  ['dash', words('-')],
  ['slash', words('/')],
  ['gust', words('g gust gusts gusting gusty peak peaks peaking max maximum')],
  ['calm', words('calm windless dead_calm')],
  ['variable', words('variable vrb var')],
  /** Below 5 kt from anywhere: the 9900 of the FB bulletin, reference/wind-reports.md §1. */
  ['lightVariable', words('light_and_variable light_&_variable light_variable l/v')],
  ['magnetic', words('mag magnetic degrees_magnetic')],
  ['true', words('t true degrees_true')],
  ['degree', words('deg degs degree degrees')],
  /** Then a direction in digits is as likely magnetic as true (reference/radio.md §1). */
  ['voice', words('says said radio heard calls called reports reporting this_is')],
  ['wind', words('wind winds breeze air vent viento wind_holding wind_still')],
  ['report', words('report observed observation reading information data obs check')],
  [
    'bound',
    words(
      `above under below exceeding more_than less_than at_least at_most up_to no_more_than greater_than less_than
     stronger_than not_above not_over`,
    ),
  ],
  [
    'denied',
    words(
      `not negative disregard ignore cancel cancelled canceled scratch wrong false never unknown unable unreadable
     without unless if instead isn't don't cannot`,
    ),
  ],
  [
    'forecast',
    words(
      `forecast forecasts taf tempo becmg predicted prediction expected expecting expect becoming later tomorrow tonight
     soon will should would could may might prob outlook model planned`,
    ),
  ],
  ['past', words('was were yesterday earlier previous previously last had used_to')],
  [
    'filler',
    words(
      `the a an is are it its it's of about approx approximately around roughly with here now just speed direction
     side we us i have steady currently coming comes roger copy please mostly mainly showing mean average but ok okay
     break_break i_say_again affirm affirmative be_advised for_your_information we've_got i_make_it seeing getting
     wind's present actual measured latest all_stations or_so de du del`,
    ),
  ],
] as const;

export type WordClass = (typeof ROWS)[number][0];

/** The class of every word and phrase; where two rows have one, the first row is meant. */
const CLASS_OF = new Map<string, WordClass>(
  ROWS.toReversed().flatMap(([one, list]) => [...list.keys()].map((word) => [word, one] as const)),
);
export const classOf = (text: string): WordClass | undefined => CLASS_OF.get(text);
/** Words in the longest phrase. */
export const LONGEST_PHRASE = Math.max(...[...CLASS_OF.keys()].map((text) => text.split(' ').length));

/** Whether a word has a meaning of its own in a report: then it cannot stand for a part of a name. */
export const isVocabulary = (word: string): boolean =>
  CLASS_OF.has(word) ||
  [DIGITS, TEENS, TENS, MAGNITUDES, DECIMAL].some((one) => one.has(word)) ||
  compassWord(word) !== undefined;
