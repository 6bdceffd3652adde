// All cases of a mission in one table: landing, how far it scatters, when, in which zone, over what hazards, who is
// there first.
import { inverse } from '../earth/geodesic.ts';
import type { Ellipse, Quantiles } from '../descent/statistics.ts';
import type { CaseOutlook, FlownCase } from '../mission/caseOutlooks.ts';
import type { FlightCase } from '../mission/cases.ts';
import { clock, roughDuration } from '../words/times.ts';
import { distance, spreadSize } from '../words/lengths.ts';
import { chanceWords } from '../words/numbers.ts';
import type { LandingZone } from '../plan/schema.ts';
import type { LonLat } from '../base/units.ts';
import { sink, directionWords } from '../words/winds.ts';
import { firstCrewWords, type CrewBoard, type FirstCrew } from './crewBoard.ts';
import { whereOf, type Where } from './where.ts';

export type CaseRow =
  | {
      readonly kind: 'lands';
      readonly case: FlightCase;
      /** As planned that of the prediction in the analysed wind; of another case the middle of its drawn landings. */
      readonly landing: LonLat;
      readonly where: Where;
      readonly exit_s: number;
      /** Time since the exit, as the landing: of the prediction or the middle one; and over the sample. */
      readonly time_s: number;
      readonly times_s: Quantiles;
      readonly touchdown_s: number;
      /** Height at which the canopy opens, m MSL; null where none does: then the landing is an impact. */
      readonly opens_m: number | null;
      readonly underCanopy_s: number;
      readonly sink_mps: number;
      /** Drawn descents that reach the ground: what the sizes and chances are counted over. */
      readonly drawn: number;
      readonly ellipse90: Ellipse;
      readonly zones: readonly { readonly name: string; readonly p: number }[];
      readonly hazards: readonly { readonly name: string; readonly p: number }[];
      /** From the landing as planned. */
      readonly away_m: number;
      readonly bearing_deg: number;
      readonly firstCrew: FirstCrew | null;
      readonly sentence: string;
    }
  | { readonly kind: 'no landing'; readonly case: FlightCase; readonly why: string };

export function caseTable(
  outlooks: readonly CaseOutlook[],
  zones: readonly LandingZone[],
  board: CrewBoard | null = null,
): CaseRow[] {
  const planned = outlooks.find((one) => one.case.kind === 'as planned');
  const from = planned?.kind === 'flown' ? (planned.outlook.prediction.landing?.position ?? null) : null;
  return outlooks.map((one): CaseRow => {
    if (one.kind === 'not flown') return { kind: 'no landing', case: one.case, why: one.why };
    return rowOf(one, zones, from, board?.firstBy.get(one.case.name) ?? null, board !== null);
  });
}

function rowOf(
  { case: flightCase, outlook, statistics }: FlownCase,
  zones: readonly LandingZone[],
  planned: LonLat | null,
  firstCrew: FirstCrew | null,
  crews: boolean,
): CaseRow {
  const { landing, opening, warnings } = outlook.prediction;
  if (landing === null || statistics === null)
    return { kind: 'no landing', case: flightCase, why: warnings[0] ?? 'the descent does not reach the ground' };
  const exit_s = outlook.scenario.exit.time_s;
  const named = (shares: Readonly<Record<string, { readonly p: number }>>): { name: string; p: number }[] =>
    Object.entries(shares)
      .filter(([, share]) => share.p > 0)
      .map(([name, share]) => ({ name, p: share.p }))
      .sort((a, b) => b.p - a.p);
  // One flight of a canopy that nobody steers is a walk by chance: what is shown is the middle of many.
  const [place, time_s] =
    flightCase.kind === 'as planned' ? [landing.position, landing.time_s] : [statistics.mean, statistics.time_s.p50];
  const away = planned === null ? null : inverse(planned, place);
  const facts = {
    kind: 'lands' as const,
    case: flightCase,
    landing: place,
    where: whereOf(place, zones),
    exit_s,
    time_s,
    times_s: statistics.time_s,
    touchdown_s: exit_s + time_s,
    opens_m: opening?.height_m ?? null,
    underCanopy_s: opening === null ? 0 : time_s - opening.time_s,
    sink_mps: landing.sink_mps,
    drawn: statistics.members - statistics.lost,
    ellipse90: statistics.ellipses['90'],
    zones: named(statistics.inZone),
    hazards: named(statistics.inHazard),
    away_m: away?.distance_m ?? 0,
    bearing_deg: away?.bearing_deg ?? 0,
    firstCrew,
  };
  return { ...facts, sentence: sentenceOf(facts, crews) };
}

type Facts = Omit<Extract<CaseRow, { kind: 'lands' }>, 'sentence'>;

/** One line per case, as the brief has it. */
function sentenceOf(row: Facts, crews: boolean): string {
  const { case: flightCase, ellipse90, where } = row;
  const place =
    where.kind === 'inside'
      ? `in ${where.zone}`
      : flightCase.kind === 'as planned' || row.away_m < 30
        ? where.kind === 'outside'
          ? `${distance(where.short_m)} outside ${where.zone}`
          : 'as predicted'
        : `${distance(row.away_m)} toward ${directionWords(row.bearing_deg)} from the planned landing`;
  const spread = spreadSize(90, ellipse90);
  const how = row.opens_m === null ? `impact at ${sink(row.sink_mps)}` : `touchdown`;
  const drift =
    row.opens_m !== null && flightCase.kind !== 'as planned' && row.underCanopy_s > 1200
      ? `, ${roughDuration(row.underCanopy_s)} under canopy`
      : '';
  const hazard = row.hazards[0];
  const over = hazard === undefined || hazard.p < 0.01 ? '' : `; ${hazard.name} ${chanceWords(hazard.p)}`;
  const first = crews ? `; first: ${firstCrewWords(row.firstCrew ?? undefined)}` : '';
  const name = `${flightCase.mark.letter} ${flightCase.name} (${chanceWords(flightCase.weight)})`;
  return `${name}: ${how} ${place} at ${clock(row.touchdown_s)}${drift}, ${spread}${over}${first}.`;
}
