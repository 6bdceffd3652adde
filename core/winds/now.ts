// The winds of a mission at a moment: its reports judged, the analysis made of those that count, and what a person
// should know of it. Everything is a function of plan, state and forecast; nothing is remembered between calls.
import type { LonLat } from '../base/units.ts';
import type { MissionState, ReportState } from '../log/fold.ts';
import type { Mission } from '../plan/schema.ts';
import { analyse, analysisNodes, type Background, type Observation, type WindsAnalysis } from './analysis.ts';
import { contradictions } from './contradiction.ts';
import { nth } from '../base/nth.ts';
import { chord_m } from '../earth/chord.ts';
import { backgroundErrors, type BackgroundErrors, type ColumnFacts } from './errors.ts';
import { AS_ASSUMED, fitErrors, fitSentence, fittedErrors, type ErrorFit } from './fit.ts';
import type { WindField } from './field.ts';
import { DEFAULT_ROUGHNESS_M, LOG_LAYER_M } from './nearGround.ts';
import { isFromBelowGround, measuredAgl_m, observationOf, type ReportGround } from './reports.ts';
import { judge, type Suspicion } from './reversal.ts';
import type { HeldKind } from './meanings.ts';
import {
  belowGroundSentence,
  suggestedFields,
  shortQuestion,
  suspicionSentence,
  wholeSentence,
  type SuggestedFields,
} from './suspect.ts';
import { sampleMean } from './thinning.ts';
import { roughDuration, clock } from '../words/times.ts';
import { speed, windWords } from '../words/winds.ts';

export interface WindsNowInput {
  readonly mission: Pick<Mission, 'site'>;
  /** How far the background may be off (`errorsFor`). */
  readonly errors: BackgroundErrors;
  readonly state: Pick<MissionState, 'at_s' | 'counting' | 'byId'>;
  /** The forecast. Null where the mission has none: a calm with the wind's own size as its error. */
  readonly background: Background | null;
  /** The moment whose wind is wanted: the exit's, as a rule. */
  readonly valid_s: number;
  /** Height of the ground at a place, m MSL; left out: the site's everywhere. */
  readonly groundAt?: (position: LonLat) => number;
  /** East positive; null where unknown. */
  readonly declination_deg: number | null;
  /** Highest node, m MSL. */
  readonly top_m: number;
}

/** A report that is held back until a person confirms or corrects it. */
export interface HeldReport {
  readonly report: ReportState;
  readonly kind: HeldKind;
  /** Whose reports are asked about together; null where it is this report alone. */
  readonly whole: string | null;
  /** How many reports that observer or ascent has. */
  readonly outOf: number;
  readonly sentence: string;
  /** What the correcting key would change; null where nothing fits. */
  readonly suggested: SuggestedFields | null;
}

/** What a person is to be asked: about one held report, or once about all of one observer or ascent. */
export interface WindQuestion {
  /** Ids of the held reports, at least one. */
  readonly ids: readonly string[];
  readonly kind: HeldKind;
  readonly sentence: string;
  /** The same in the fewest words, for the line beside the verdict. */
  readonly short: string;
  /** Whether any of them is a surface wind. */
  readonly surface: boolean;
}

export interface ContradictingPair {
  readonly reports: readonly [ReportState, ReportState];
  readonly sentence: string;
}

export interface WindsNow {
  readonly analysis: WindsAnalysis;
  /** The background's errors as the reports leave them, and by how much these changed what was assumed. */
  readonly errors: BackgroundErrors;
  readonly fit: ErrorFit;
  /** Ids of the reports that the analysis used. */
  readonly used: ReadonlySet<string>;
  readonly held: readonly HeldReport[];
  /**
   * The unresolved contradictions about the wind: every held report is in one. Until answered they may hold a verdict.
   */
  readonly questions: readonly WindQuestion[];
  readonly contradictions: readonly ContradictingPair[];
  /**
   * Of every judged report the logarithm of how many times better its reciprocal fits than itself: well below 0 for a
   * good one.
   */
  readonly logRatios: ReadonlyMap<string, number>;
  /** How many samples were left out because others say the same better. */
  readonly leftOut: number;
  /** The newest used wind from below 50 m above ground, and its age at the moment; null without one. */
  readonly newestSurface: { readonly report: ReportState; readonly age_s: number } | null;
  /** What a person should know of this analysis, a sentence each. */
  readonly sentences: readonly string[];
}

/** Winds up to this height above ground are surface winds when their age is asked for. */
const SURFACE_AGL_M = 50;

/**
 * Judges the reports that count, and makes the analysis of those that are not held back.
 *
 * Cost: 20 ms with 10 000 reports in the log, of which few are new since the last analysis; 28 ms with all of them new
 * (2-core server, Node 20). Most of it is the algebra of the 192 samples, which takes as long for 1000 reports.
 */
export function windsNow(input: WindsNowInput): WindsNow {
  const { mission, state, valid_s } = input;
  const { site } = mission;
  const background: Background = input.background ?? (() => [0, 0]);
  const ground = {
    groundAt: input.groundAt ?? (() => site.elevation_m),
    roughness_m: site.roughness_m ?? DEFAULT_ROUGHNESS_M,
  };
  const { observations, confirmed, buried } = observedOf(state.counting, ground);
  const { declination_deg } = input;
  const where = { background, site: site.position, valid_s };
  const asked = { ...where, siteElevation_m: site.elevation_m, observations, confirmed, declination_deg };
  const first = judge({ ...asked, errors: input.errors });
  // What counts says whether the errors are right; with errors that are, every report is judged again.
  const fit = fitErrors(first.samples.map(sampleMean), input.errors, background);
  const errors = fit === AS_ASSUMED ? input.errors : fittedErrors(input.errors, fit);
  const judgement = fit === AS_ASSUMED ? first : judge({ ...asked, errors });
  const bottom_m = site.elevation_m + LOG_LAYER_M;
  const top_m = Math.max(input.top_m, bottom_m + 100);
  const analysis = analyse({
    ...where,
    errors,
    nodes_m: analysisNodes(errors, bottom_m, top_m),
    observations: judgement.samples.map(sampleMean),
  });
  const counted = judgement.samples.flat();
  const used = new Set(counted.map((one) => one.id));
  const suspected = judgement.held.flatMap((suspicion) =>
    heldReport(state.byId.get(suspicion.id), suspicion, declination_deg),
  );
  const held = [...suspected, ...buried];
  const shown = [...counted, ...suspected.map(({ report }) => observationOf(report, ground))];
  const pairs = contradictions(shown, errors).flatMap(({ ids, apart_mps }) =>
    contradictingPair(state.byId.get(ids[0]), state.byId.get(ids[1]), apart_mps),
  );
  const newestSurface = newestSurfaceOf(state, used, ground.groundAt);
  const told = fitSentence(fit);
  const said = sentencesOf(used.size, held.length, judgement.leftOut, input.background !== null, newestSurface);
  return {
    analysis,
    errors,
    used,
    fit,
    held,
    questions: questionsOf(held, ground.groundAt),
    contradictions: pairs,
    logRatios: judgement.logRatios,
    leftOut: judgement.leftOut,
    newestSurface,
    sentences: told === null ? said : [...said, told],
  };
}

/** The reports as observations, those that a person confirmed, and apart those from where there is no air. */
function observedOf(
  counting: readonly ReportState[],
  ground: ReportGround,
): { readonly observations: Observation[]; readonly confirmed: Set<string>; readonly buried: HeldReport[] } {
  const observations: Observation[] = [];
  const confirmed = new Set<string>();
  const buried: HeldReport[] = [];
  for (const report of counting) {
    const ground_m = ground.groundAt(report.position);
    if (isFromBelowGround(report.event, ground_m)) {
      buried.push(heldBelowGround(report, ground_m));
      continue;
    }
    observations.push(observationOf(report, ground));
    if (report.confirmed !== null) confirmed.add(report.id);
  }
  return { observations, confirmed, buried };
}

/** The error of a mission's winds before any report, from what their columns are. */
export function errorsFor(mission: Pick<Mission, 'site' | 'uncertainty'>, field: WindField): BackgroundErrors {
  const { position, elevation_m: ground_m } = mission.site;
  const wind = mission.uncertainty?.wind;
  if (field.isAssumedCalm) return backgroundErrors({ wind, ground_m, calm: true });
  const columns = field.facts.map(({ position: at, ...facts }, i): ColumnFacts => ({
    ...facts,
    time_s: nth(field.times_s, i),
    distance_m: at === null ? 0 : chord_m(at, position),
    bottom_m: nth(field.bottoms_m, i),
  }));
  return backgroundErrors({ wind, columns, ground_m });
}

function heldReport(
  report: ReportState | undefined,
  suspicion: Suspicion,
  declination_deg: number | null,
): HeldReport[] {
  if (report === undefined) return [];
  const { kind, whole, outOf } = suspicion;
  const sentence = suspicionSentence(report.event, suspicion, declination_deg);
  return [{ report, kind, whole, outOf, sentence, suggested: suggestedFields(report.event, kind, declination_deg) }];
}

function heldBelowGround(report: ReportState, ground_m: number): HeldReport {
  const { event } = report;
  const kind = 'below the ground';
  const whole = event.by ?? event.place ?? null;
  const sentence = belowGroundSentence(event, ground_m);
  return { report, kind, whole, outOf: 1, sentence, suggested: suggestedFields(event, kind, null) };
}

function questionsOf(held: readonly HeldReport[], groundAt: (position: LonLat) => number): WindQuestion[] {
  const asked = new Map<string, HeldReport[]>();
  for (const one of held) {
    const { whole, kind } = one;
    const key = whole === null ? `report ${one.report.id}` : `${whole} ${kind}`;
    asked.set(key, [...(asked.get(key) ?? []), one]);
  }
  return [...asked.values()].map((list): WindQuestion => {
    const { kind } = list[0] ?? { kind: 'misfit' };
    const events = list.map(({ report }) => report.event);
    const isKnown = list.every(({ suggested }) => suggested !== null);
    const [first] = list;
    const whole = wholeSentence(events, { kind, isKnown, outOf: first?.outOf ?? 1 });
    const alone = list.length === 1 ? first : undefined;
    return {
      ids: list.map(({ report }) => report.id),
      kind,
      sentence: alone?.sentence ?? whole,
      short: alone === undefined ? whole : shortQuestion(alone.report.event, alone.report.id, kind),
      surface: list.some(
        ({ report: { event, position } }) => measuredAgl_m(event, groundAt(position)) <= SURFACE_AGL_M,
      ),
    };
  });
}

function contradictingPair(
  a: ReportState | undefined,
  b: ReportState | undefined,
  apart_mps: number,
): ContradictingPair[] {
  if (a === undefined || b === undefined) return [];
  const side = ({ event, observed_s, id }: ReportState): string =>
    `${event.by ?? event.place ?? event.source} (${id}) at ${clock(observed_s)} ` +
    windWords(event.from_deg, event.speed_mps);
  const sentence =
    `${side(a)}; ${side(b)}: ${speed(apart_mps)} apart at the same place and time, so at most one of them is ` +
    'right.';
  return [{ reports: [a, b], sentence }];
}

function newestSurfaceOf(
  state: WindsNowInput['state'],
  used: ReadonlySet<string>,
  groundAt: (position: LonLat) => number,
): WindsNow['newestSurface'] {
  let newest: ReportState | null = null;
  // From the end: the newest stand there, and the rest are passed over by their times. Of two as new the earlier in the
  // log is named.
  for (let i = state.counting.length - 1; i >= 0; i--) {
    const report = state.counting[i] as ReportState;
    if ((newest !== null && report.observed_s < newest.observed_s) || !used.has(report.id)) continue;
    if (measuredAgl_m(report.event, groundAt(report.position)) <= SURFACE_AGL_M) newest = report;
  }
  return newest === null ? null : { report: newest, age_s: state.at_s - newest.observed_s };
}

function sentencesOf(
  used: number,
  held: number,
  leftOut: number,
  forecast: boolean,
  surface: WindsNow['newestSurface'],
): string[] {
  const sentences: string[] = [];
  if (!forecast)
    sentences.push('No forecast: between the reports the wind is known only as well as winds in general are.');
  if (used === 0)
    sentences.push(
      forecast ? 'No report counts: the winds are the forecast alone.' : 'No report counts: no wind is known.',
    );
  if (held > 0)
    sentences.push(`${held === 1 ? 'One report is' : `${held} reports are`} held back until confirmed or corrected.`);
  if (leftOut > 0) sentences.push(`${leftOut} older readings add nothing to the newer ones and were left out.`);
  if (surface === null) sentences.push('No surface wind has been reported.');
  else sentences.push(`The newest surface wind is ${roughDuration(surface.age_s)} old.`);
  return sentences;
}
