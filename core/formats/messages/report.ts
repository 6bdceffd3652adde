// One wind report in one line, as people speak and write it: "090/7", "from the north 5 to 10", "09007G12KT", "300 at
// 40 knots FL390". Read, or asked about with one key a question, or refused with the reason; nothing ambiguous is
// guessed, no word is skipped. The words stand in report/vocabulary.ts, what may stand beside what in
// report/grammar.ts. Rules of the radio: reference/radio.md §1 (a spoken direction is as often magnetic as true, a
// written one is true); METAR: §2 of reference/wind-reports.md. Directions degrees, heights m, speeds m/s inside; each
// number in the unit it came in until it is known.
import type { MissionState } from '../../log/fold.ts';
import { placesOf } from '../../plan/places.ts';
import type { Mission } from '../../plan/schema.ts';
import { saysBothEnds } from './report/directions.ts';
import { partsOf } from './report/grammar.ts';
import { saysCalm, type Parts } from './report/parts.ts';
import { readParts } from './report/reading.ts';
import { LONGEST_LINE, tokensOf } from './report/tokens.ts';
import type { Answers, ReportContext, ReportReading } from './report/types.ts';
import { weatherLine } from './report/weatherLine.ts';

export type {
  Answers,
  NewReport,
  Question,
  QuestionAbout,
  QuestionKey,
  ReportContext,
  ReportReading,
} from './report/types.ts';

/** The context of a mission: its places, its teams where they last were. */
export function reportContext(
  mission: Mission,
  state: MissionState | null,
  more: Pick<ReportContext, 'now_s' | 'declination_deg' | 'nextId'> & Partial<ReportContext>,
): ReportContext {
  const teams = (mission.teams ?? []).map(({ name, kind, position }) => ({
    name,
    flies: kind === 'helicopter',
    position: state?.fixes.get(name)?.at(-1)?.position ?? position,
  }));
  return { site: mission.site, places: placesOf(mission), teams, ...more };
}

const refused = (why: string): Extract<ReportReading, { kind: 'refused' }> => ({ kind: 'refused', why });

/**
 * Reads one line.
 *
 * Legal    "090/7 kt"  "09007G12KT"  "E 5-10 kt"  "from the north 5 to 10 knots"  "wind east 3 m/s at 1500 ft agl"
 *          "calm"  "light westerly"  "VRB03KT"  "300 at 40 knots FL390"  "toward the ridge 10 kt"  "blowing to 270 8
 *                  kt"
 *          "crew Team 2 090/7 kt 5 min ago"  "wind two seven zero degrees true one zero knots"  "240 10 gusting 15 kt"
 *          "surface 2 m agl 090/7 kt"  "light and variable"
 * Asked    "090/7" (unit)  "drifting easterly 5 kt", "to 270 5 kt" (sense)  "east 5 kt at 1500 ft" (MSL or AGL)  "zero
 *          niner zero at seven knots" (north)  "SO 5 kt" (whose O)  "40/270 kt" (order)  "METAR KFBG 141255Z 26007KT"
 *          (here?)
 * Not      "" "east" "7 kt" "090/7 270/10 kt" "400/7 kt" "not 090/7 kt" "over 20 kt" "090/7 kt tomorrow" "/////KT"
 */
export function readReport(text: string, context: ReportContext, answers: Answers = {}): ReportReading {
  const parts = partsIn(text, context);
  if (typeof parts === 'string') return refused(parts);
  const why = refusalOf(parts);
  if (why !== null) return isAboutWind(parts) ? refused(why) : { ...refused(why), notWind: true };
  return readParts(text, context, answers, parts);
}

/** The parts of a line; a sentence where it is not a line of a report at all. */
export function partsIn(text: string, context: ReportContext): Parts | string {
  if (text.length > LONGEST_LINE)
    return `${text.length} characters; expected one report in one line of at most ${LONGEST_LINE}`;
  const [line = ''] = text.split(/[;#]/);
  const whole = weatherLine(line);
  if (whole !== null) return whole;
  const names = [...context.teams.map((team) => team.name), ...context.places.map((place) => place.name)];
  const zones = context.places.filter((place) => place.kind === 'zone').map((place) => place.name);
  const tokens = tokensOf(line, names, new Map(zones.length === 0 ? [] : [['zone', zones]]));
  if (tokens.length === 0) return `nothing yet; ${RIGHT}`;
  return partsOf(tokens, new Set(context.teams.map((team) => team.name)));
}

/** Whether anything of a wind stands in a line. */
function isAboutWind(parts: Parts): boolean {
  const { speeds, gusts, heights } = parts;
  // A name by itself is a direction only beside a speed.
  const directions = parts.directions.filter((one) => one.kind !== 'name');
  return (
    parts.notWind === null &&
    (parts.windy ||
      parts.calm ||
      parts.variable ||
      parts.lightVariable ||
      parts.missing ||
      parts.weatherFormat ||
      [directions, speeds, gusts, heights].some((list) => list.length > 0))
  );
}

const RIGHT = 'such as: 090/7 kt, from the north 5 to 10 kt, calm';

/** Why a line cannot be a report, whatever is answered; null where it can. */
export function refusalOf(parts: Parts): string | null {
  const quoted = parts.leftOver.map((one) => `"${one}"`).join(', ');
  if (parts.notWind !== null) return parts.notWind;
  if (parts.missing) return 'the wind is missing in this report (slashes)';
  if (parts.refusal !== null) return parts.refusal;
  if (parts.leftOver.length > 0) return `not understood: ${quoted}; a remark goes behind a semicolon`;
  if (parts.directions.length > 1 && !saysBothEnds(parts.directions))
    return 'more than one direction; expected one wind per line';
  if (parts.speeds.length > 1)
    return 'more than one speed; expected one wind per line ("5 to 10 kt" is a range, "gusting 15" a gust)';
  if (parts.gusts.length > 1) return 'more than one gust';
  if (parts.heights.length > 1) return 'more than one height; expected one wind per line';
  if (parts.times.length > 1) return 'more than one time';
  const still = parts.calm || parts.lightVariable;
  if (still && (parts.speeds.length > 0 || parts.directions.length > 0))
    return 'calm or variable, and a direction or speed beside it; expected one of the two';
  if (still) return null;
  if (parts.directions.length === 0 && parts.speeds.length === 0) return `no wind yet; ${RIGHT}`;
  if (parts.directions.length === 0 && !parts.variable && !saysCalm(parts))
    return 'no direction yet; such as: from 090, from the east, variable';
  if (parts.directions.length > 0 && parts.variable)
    return 'variable, and a direction beside it; expected one of the two';
  if (parts.speeds.length === 0) return 'no speed yet; such as: 7 kt, 3 m/s, 5 to 10 kt (m alone is metres)';
  return boundsOf(parts);
}

/** Numbers that no report has. */
function boundsOf({ directions, order, times }: Parts): string | null {
  for (const one of directions)
    if (one.kind === 'degrees' && !(one.value <= 360) && order === null)
      return `direction ${one.digits}; expected 000 to 360`;
  const time = times[0];
  if (time?.kind === 'clock' && !(time.ofDay_s >= 0)) return 'no such time of day; expected 00:00 to 23:59';
  return null;
}
