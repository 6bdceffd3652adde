// The language of a wind report: one table of patterns over the classes of `vocabulary.ts`, read from left to right.
// At each token the first pattern that fits is taken; `meanings.ts` puts what it found into the parts. What no pattern
// fits is left over, and the line is not understood.
import * as means from './meanings.ts';
import { emptyParts, type Parts } from './parts.ts';
import { Said, textOf, type Line, type Meaning } from './said.ts';
import type { Token } from './tokens.ts';

/** Parts of patterns that several share. */
const SHARED: Readonly<Record<string, string>> = {
  sense: '((from | toward | to | into) wind?)',
  any: '(ddd | number)',
  join: '(dash | to | or | and)',
  north: '(true | magnetic)',
};

/**
 * The patterns, each a regular expression over classes. Order counts: what is clearer by its unit or its group stands
 * before what is known by its place only.
 */
const PATTERNS: readonly (readonly [pattern: string, meaning: Meaning])[] = [
  // Groups of the weather format: "09007G12KT", "230V290", "211255Z".
  ['metar', means.metar],
  ['swing', means.swing],
  ['dayTime', means.dayAndTime],

  // Times: "5 min ago", "half an hour ago", "at 13:45Z", "1345 UTC".
  ['any (timeUnit | s) ago', means.ago],
  ['age ago', means.ageSaid],
  ['at? clock (zone | local)?', means.clockSaid],
  ['at? number (zone | local)', means.fourDigits],

  // "team 5": a number that stands for a crew is not a speed of 5.
  ['crew number (?! speed | dash | to | timeUnit | slash)', means.unknownCrew],

  // Heights: "FL390", "at 1500 ft", "2 m agl", "500 msl", "altitude 1500", "surface".
  ['at? fl any', means.flightLevel],
  ['at? level? at? any (length | m) reference? level?', means.heightSaid],
  ['at? level at? any reference?', means.heightSaid],
  ['at? any reference', means.heightSaid],
  ['at? headHeight', means.headHeight],
  ['at? ground level?', means.surface],
  ['at? level', means.whichHeight],

  // Strength in words: "force 4", "force 3 to 4", "light".
  ['force number (join number)?', means.beaufort],
  ['strength', means.strength],

  // Gusts: "gusting 15", "G15", "gusts up to 15 kt", "gusting 12 to 15".
  ['gust+ (to | bound | at)* gust? any (join number)? speed?', means.gust],

  // "over 20 kt", "less than 5": a bound, and no speed.
  ['(bound | over) any speed?', means.bound],

  // Direction and speed in one: "090/7 kt", "from 240-10", "27/10", "09007 kt".
  ['sense? any degree? (north | m)? slash any (join number)? speed?', means.pair],
  ['sense? ddd degree? (north | m)? dash number (join number)? speed?', means.pair],
  ['sense? number speed? (?! length | m | reference)', means.runTogether],

  // "NO 10 kt": letters that are a direction only before a speed.
  ['sense? no (?= any)', means.letterO],

  // Speeds: "7 kt", "at 5-10 kt", "between 5 and 10 knots"; "between" says that a second number is no direction.
  ['(at | and)? between any join any speed', means.speedSaid],
  ['(at | and)? between? any (join number)? speed', means.speedSaid],

  // Directions: "from 090°", "between 240 and 300", "easterly"; letters that are a word or a unit too.
  ['sense? between ddd degree? join ddd degree?', means.eachDegrees],
  ['sense? (compass | s)', means.compass],
  ['sense? est', means.doubtfulCompass],
  ['sense? letterO', means.letterO],
  ['at? sense? ddd degree (north | m)?', means.degrees],
  ['at? sense? ddd north', means.degrees],
  ['sense? ddd m?', means.degrees],
  ['sense? number degree (north | m)?', means.degrees],
  ['(from | toward) number north? (?! join number)', means.degrees],

  // Who and where: "Team 2 says", "this is Kite", "at the ridge", "toward the ridge". Told when the line is known.
  ['(voice | crew | at | over | from | toward | to | into)* name', means.name],

  // Single words.
  ['true | magnetic', means.northAlone],
  ['reference', means.referenceAlone],
  ['crew', means.crew],
  ['at? source', means.source],
  ['(no | nil) wind | wind nil | calm', means.calm],
  ['variable', means.variable],
  ['lightVariable', means.lightVariable],
  ['(blowing | moving)+', means.moving],
  ['turning | into wind', means.turning],
  ['voice', means.voice],

  // A number by itself, told when the line is known: "090 7", "5 to 10", "at 1500".
  ['at? between? any (join number)?', means.bare],

  // What says nothing more.
  ['wind | report | at | and | over $', means.nothing],
];

/** Words that turn a report into something else, wherever they stand. */
const AGAINST: readonly (readonly [pattern: string, why: (words: string) => string])[] = [
  ['(no | nil | denied) wind? report', () => 'nothing was reported; a calm is entered as: calm'],
  ['denied | no (?! wind | any)', (words) => `"${words}" denies or takes back; enter only what was measured`],
  ['(?<! wind) nil (?! wind)', (words) => `"${words}" says that there is no report; a calm is entered as: calm`],
  ['forecast', (words) => `"${words}" tells of a wind to come; enter only what was measured`],
  ['past', (words) => `"${words}" tells of a wind that no longer blows; say how old it is instead ("20 min ago")`],
];

/** A crew on its way: "Kite heading to the north at 90 knots", "Kite to Kettle Dam 60 knots". */
const CREW_MOVES = '^ name (moving | (to | toward) name)';
const WINDY = 'wind | blowing | calm | gust | metar';

// Each class is one letter of a private alphabet, so that a line is a word and a pattern a regular expression.
const letters = new Map<string, string>();
function letterOf(name: string): string {
  const letter = letters.get(name) ?? String.fromCharCode(0x4e00 + letters.size);
  letters.set(name, letter);
  return letter;
}
function compiled(pattern: string, flags = ''): RegExp {
  const whole = pattern.replace(/\b(sense|any|join|north)\b/g, (name) => SHARED[name] ?? name);
  return new RegExp(`(?:${whole.replace(/[a-zA-Z]+/g, letterOf).replace(/\s/g, '')})`, flags);
}
const patterns = PATTERNS.map(([pattern, meaning]) => ({ regex: compiled(pattern, 'y'), meaning }));
const against = AGAINST.map(([pattern, why]) => ({ regex: compiled(pattern), why }));
const crewMoves = compiled(CREW_MOVES);
const windy = compiled(WINDY);

/** The parts of a line of tokens. `teams`: the names that are people, and no direction. */
export function partsOf(tokens: readonly Token[], teams: ReadonlySet<string>): Parts {
  const parts = emptyParts();
  const classes = tokens.map((one) => letterOf(one.class)).join('');
  const isTeam = (names: readonly string[]): boolean => names.some((name) => teams.has(name));
  parts.windy = windy.test(classes);
  // "Ground One to Kite" is a crew that calls another.
  const isCall = tokens[1]?.class === 'to' && isTeam(tokens[2]?.names ?? []);
  if (crewMoves.test(classes) && !parts.windy && isTeam(tokens[0]?.names ?? []) && !isCall)
    parts.notWind = 'a crew on its way; a wind is said with its direction or the word "wind" first';
  for (const { regex, why } of against) {
    const found = regex.exec(classes);
    if (found !== null) parts.refusal ??= why(textOf(new Said(tokens, found.index, found[0].length)));
  }
  const line: Line = { parts, isTeam, bare: [], names: [], strengths: [], norths: [], references: [] };
  for (let i = 0; i < tokens.length;) {
    const length = taken(classes, i, tokens, line);
    if (length === 0) parts.leftOver.push(tokens[i]?.text ?? '');
    i += Math.max(length, 1);
  }
  means.finish(line);
  return parts;
}

/** How many tokens the first pattern that fits has taken from i; 0 where none does. */
function taken(classes: string, i: number, tokens: readonly Token[], line: Line): number {
  for (const { regex, meaning } of patterns) {
    regex.lastIndex = i;
    const length = regex.exec(classes)?.[0].length ?? 0;
    if (length > 0 && meaning(new Said(tokens, i, length), line) !== false) return length;
  }
  return 0;
}
