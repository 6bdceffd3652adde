// Open questions about the winds that hold the word. A report or a contradiction about the wind low down near a zone
// holds by itself. Any other question holds where its answer would change a limit or the zone of the landing: the same
// descents are judged in the winds as they are and as they would be if the reports were confirmed as they stand.
import { RAD_PER_DEG, type LonLat } from '../base/units.ts';
import type { Steps } from '../base/steps.ts';
import { zoneMiddle } from '../descent/scenario.ts';
import { inverse, isInside } from '../earth/geodesic.ts';
import type { ReportOutcome } from '../log/fate.ts';
import type { MissionState, ReportState } from '../log/fold.ts';
import type { Expected } from '../mission/expected.ts';
import { analysisIn, windsIfConfirmed, type Situation } from '../mission/situation.ts';
import { measuredAgl_m } from '../winds/reports.ts';
import { whoOf } from '../winds/suspect.ts';
import { judgementInSteps, type ExitJudgement } from './judgement.ts';

/** A report this near to the site says something of the wind at the zone, m; and up to this height above ground. */
const NEAR_ZONE_M = 20_000;
const LOW_AGL_M = 300;
/** Descents by which an answer is judged: enough for a limit that it breaks by more than a few per cent. */
const ASKED_MEMBERS = 200;
/** So many questions are tried; one that was not tried holds. */
const MOST_TRIED = 4;

/**
 * The questions that hold the word, each in its fewest words, those about the zone first.
 *
 * Cost   two advices of 200 descents a question that is not about the zone; nothing without questions, or once one
 *        holds
 */
export function* questionsInSteps(situation: Situation, expected: Expected, seed: number): Steps<string[]> {
  const { winds } = situation;
  const near = nearTheZone(situation);
  const holding = [
    ...lostReports(situation.state),
    ...winds.questions.filter(({ ids }) => ids.some((id) => near.has(id))).map(({ short }) => short),
    ...winds.contradictions
      .filter(({ reports }) => reports.some(({ id }) => near.has(id)))
      .map(({ sentence }) => sentence),
  ];
  const others = winds.questions.filter(({ ids }) => !ids.some((id) => near.has(id)));
  if (holding.length > 0 || others.length === 0 || expected.from !== 'plan') return holding;
  const options = { seed, members: ASKED_MEMBERS, roads: [], beside: 'none' as const, questions: [] };
  const now = judgedWords(situation, yield* judgementInSteps(situation, { ...options, expected }));
  for (const { ids, short } of others.slice(0, MOST_TRIED)) {
    const answered = windsIfConfirmed(situation, ids);
    const world = { ...situation.world, analysis: analysisIn(answered) };
    const then = { ...situation, winds: answered, world };
    if (judgedWords(then, yield* judgementInSteps(then, options)) !== now) holding.push(short);
  }
  return [...holding, ...others.slice(MOST_TRIED).map(({ short }) => short)];
}

/** A report fails by what it says itself: a wind was heard, and nobody knows which. */
const IMPOSSIBLE: ReadonlySet<string> = new Set([
  'no wind',
  'no height',
  'outside heights',
  'in the future',
  'id taken',
] satisfies ReportOutcome['kind'][]);

/** Reports that cannot count as they stand, until they are corrected or withdrawn or their observer is heard again. */
function lostReports({ reports, counting }: MissionState): string[] {
  const lost = reports.filter(({ outcome }) => IMPOSSIBLE.has(outcome.kind));
  if (lost.length === 0) return [];
  // In the order of the log: the last counts.
  const heard = new Map(counting.map(({ event, seq }) => [whoOf(event), seq]));
  return lost.flatMap(({ id, seq, event, outcome }) => {
    const who = whoOf(event);
    if ((heard.get(who) ?? -1) > seq || !('sentence' in outcome)) return [];
    return [`${who}’s wind (${id}) does not count: ${outcome.sentence}; correct or withdraw it`];
  });
}

/** Ids of the reports that say something of the wind low down near a zone or the site. */
function nearTheZone({ mission, state, world }: Situation): ReadonlySet<string> {
  const groundAt = ([lon, lat]: LonLat): number => world.ground.heightAt(lat * RAD_PER_DEG, lon * RAD_PER_DEG);
  const places = [mission.site.position, ...(mission.landingZones ?? []).map(zoneMiddle)];
  const concerns = (report: ReportState): boolean =>
    measuredAgl_m(report.event, groundAt(report.position)) <= LOW_AGL_M &&
    places.some((place) => inverse(place, report.position).distance_m < NEAR_ZONE_M);
  return new Set(state.counting.filter(concerns).map(({ id }) => id));
}

/** Which limits are not kept and in which zone the landing lies: what an answer may change. */
function judgedWords({ mission }: Situation, { because, expected }: ExitJudgement): string {
  const landing = expected.outlook.prediction.landing;
  const zone = (mission.landingZones ?? []).find(
    ({ polygon }) => landing !== null && isInside(landing.position, polygon),
  );
  return [...because.map(({ limit }) => limit.name), zone?.name ?? 'outside'].join(' ');
}
