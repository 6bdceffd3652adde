// Contact is lost: where to look, how, for how long and who. Datum and areas from the last that was known, the rest of
// the descent in the analysed wind; patterns after reference/recovery.md §1. On land the datum stays where it is once
// the jumper is down, on water it drifts; with each new wind or fix it is worked out again. Metres, s since 1970.
import { localFrame, type LocalFrame } from '../earth/geodesic.ts';
import type { Members } from '../descent/ensemble.ts';
import type { Outlook } from '../descent/outlook.ts';
import { ellipseOf, landingsIn, type Ellipse } from '../descent/statistics.ts';
import type { CaseOutlook } from '../mission/caseOutlooks.ts';
import type { FlightCase } from '../mission/cases.ts';
import { clock, roughDuration } from '../words/times.ts';
import { distance, halfAxes, height, spreadSize } from '../words/lengths.ts';
import { capital, chanceWords, quantity } from '../words/numbers.ts';
import { shoreWords } from '../words/places.ts';
import type { Situation } from '../mission/situation.ts';
import { M_PER_NM, RAD_PER_DEG, windFrom, type LonLat } from '../base/units.ts';
import { directionWords } from '../words/winds.ts';
import {
  DRIFT_ERROR,
  driftedTo,
  driftOf as waterDriftOf,
  driftWords,
  NO_DRIFT,
  type Drift,
  type Drifted,
} from './afloat.ts';
import { windOver, type Crew } from './crews.ts';
import { clearEllipses, KeepClear, type LandingGroup } from './keepClear.ts';
import { flyRest, lastKnown } from '../mission/lostDescent.ts';
import { coverage, detection, expandingSquare, ladder, sectorSearch, type Pattern } from './searchPatterns.ts';
import { nth } from '../base/nth.ts';
import { SEARCH_MPS, searcherOf, SWEEP_M, type Searcher, type SearchPlace } from './searcher.ts';
import { Water, type Shore } from './water.ts';

/** Where nothing is known: 10 nm about the datum, if the search starts at once. ref: recovery.md §1; mark F. */
export const UNKNOWN_RADIUS_M = 10 * M_PER_NM;
/**
 * Half length of the 90 % area in spacings, up to which a sector search, then an expanding square, does for one unit.
 * Ours.
 */
const SECTOR_SPACINGS = 1.5;
const SQUARE_SPACINGS = 4;

interface SearchArea {
  readonly share: number;
  /** Outline of each part. */
  readonly rings: readonly { readonly name: string; readonly ring: readonly LonLat[] }[];
  readonly area_m2: number;
}

export interface SearchPattern {
  readonly pattern: Pattern;
  readonly line: readonly LonLat[];
  /** Between its lines as they are flown; the sweep width where no two run side by side. */
  readonly spacing_m: number;
  /** What the searcher sees, both sides together. */
  readonly sweepWidth_m: number;
  /** Of what the pattern covers. */
  readonly area_m2: number;
  /** Along the pattern at the searcher's speed. */
  readonly time_s: number;
  readonly coverage: number;
  /** Of somebody who lies in the area that the pattern covers; 1 − exp(−coverage). */
  readonly detection: number;
  /** Share of the drawn landings that lie in that area. */
  readonly contains: number;
}

export interface SearchPlan {
  readonly datum: LonLat;
  readonly basis: string;
  /** When the jumper is down, in the middle of all drawn. */
  readonly touchdown_s: number;
  /** From the last fix to the datum. */
  readonly drift: { readonly distance_m: number; readonly bearing_deg: number } | null;
  /** About the datum: of the landings that belong to it. */
  readonly ellipses: { readonly '50': Ellipse; readonly '90': Ellipse };
  /** Cases whose landings lie elsewhere, with their share of all: a second search. */
  readonly elsewhere: { readonly share: number; readonly names: readonly string[] };
  /** Of all cases together, 50 and 90 %. */
  readonly areas: readonly [SearchArea, SearchArea];
  readonly searcher: Searcher | null;
  readonly recommended: Pattern['name'];
  readonly patterns: readonly SearchPattern[];
  /** Both published choices for the first leg from the datum. */
  readonly firstLegs: { readonly intoWind_deg: number; readonly downDrift_deg: number };
  /** Where the datum lies in water; null on land. */
  readonly afloat: {
    readonly shore: Shore;
    /** From the touchdown until the searcher is there; null where the plan gives no current: then the datum stays. */
    readonly moved: (Drifted & { readonly drift: Drift; readonly after_s: number; readonly at_s: number }) | null;
  } | null;
  readonly sentences: readonly string[];
}

export interface SearchOptions {
  readonly members: number;
  readonly seed: number;
  /** First leg of the patterns that begin at the datum; left out: into the wind. */
  readonly firstLeg?: 'into the wind' | 'down the drift';
}

interface Searched {
  readonly cases: readonly FlightCase[];
  readonly outlooks: readonly CaseOutlook[];
  readonly crews: readonly Crew[];
}

/**
 * The search plan of a moment.
 *
 * planned   the descent as planned, for the phase at the fix
 * outlooks  the flown cases: used where there is no fix of the jumper with a height
 */
export function searchPlan(
  situation: Situation,
  planned: Outlook,
  { cases, outlooks, crews }: Searched,
  options: SearchOptions,
): SearchPlan {
  const found = landingGroups(situation, planned, cases, outlooks, options);
  const here = firstCluster(found.groups, situation.mission.site.position);
  const moments = momentsOf(here, situation.mission.site.position);
  const { touchdown_s, ee, en, nn } = moments;
  const landed = localFrame(moments.datum);
  const known = found.groups.length > 0;
  const ellipse = (share: number, error_m = 0): Ellipse =>
    known
      ? ellipseOf(ee + error_m ** 2, en, nn + error_m ** 2, share)
      : { semiMajor_m: UNKNOWN_RADIUS_M, semiMinor_m: UNKNOWN_RADIUS_M, bearing_deg: 0 };
  const surface = windOver(situation, moments.datum, 10, touchdown_s);
  const place = {
    datum: moments.datum,
    touchdown_s,
    frame: landed,
    water: new Water(situation.mission.hazards, landed),
  };
  const searcher = searcherOf(situation, crews, place, ellipse(0.9));
  const afloat = afloatOf(situation, place, surface, searcher);
  const moved = afloat?.moved ?? null;
  const datum = moved === null ? moments.datum : landed.toLonLat(moved.at[0], moved.at[1]);
  const frame = localFrame(datum);
  const error_m = moved === null ? 0 : (DRIFT_ERROR * moved.away_m) / PROBABLE;
  const ellipses = { '50': ellipse(0.5, error_m), '90': ellipse(0.9, error_m) };
  const { from_deg } = windFrom(surface[0], surface[1]);
  const drift = found.from === null ? null : driftOf(landed, found.from);
  const firstLegs = { intoWind_deg: from_deg, downDrift_deg: drift?.bearing_deg ?? (from_deg + 180) % 360 };
  const first = options.firstLeg === 'down the drift' ? firstLegs.downDrift_deg : firstLegs.intoWind_deg;
  const patterns = patternsFor({ from: landed, to: frame }, ellipses['90'], found.groups, searcher, first);
  const recommended = recommend(ellipses['90'], searcher);
  const areas = [areaOf(found.groups, landed, 0.5), areaOf(found.groups, landed, 0.9)] as const;
  const elsewhere = elsewhereOf(found.groups, here);
  const plan = {
    datum,
    basis: found.basis,
    touchdown_s,
    drift,
    ellipses,
    elsewhere,
    areas,
    searcher,
    recommended,
    patterns,
    firstLegs,
    afloat,
  };
  return { ...plan, sentences: sentencesOf(plan) };
}

/** Half of a round normal distribution lies within so many standard deviations: √(2 ln 2). */
const PROBABLE = Math.sqrt(2 * Math.LN2);

function afloatOf(
  { mission, at_s }: Situation,
  { touchdown_s, water }: SearchPlace,
  surface: readonly [number, number],
  searcher: Searcher | null,
): SearchPlan['afloat'] {
  const shore = water.shoreOf([0, 0]);
  if (shore === null) return null;
  const drift = waterDriftOf(mission, surface);
  if (drift === null || searcher === null || !(touchdown_s === touchdown_s)) return { shore, moved: null };
  const there_s = Math.max(touchdown_s, at_s) + searcher.arrives_s;
  const after_s = there_s - touchdown_s;
  return { shore, moved: { ...driftedTo(water, drift, [0, 0], after_s), drift, after_s, at_s: there_s } };
}

interface Found {
  readonly groups: readonly (LandingGroup & { readonly start_s: number })[];
  readonly basis: string;
  readonly from: LonLat | null;
}

function landingGroups(
  situation: Situation,
  planned: Outlook,
  cases: readonly FlightCase[],
  outlooks: readonly CaseOutlook[],
  options: SearchOptions,
): Found {
  const known = lastKnown(situation, planned);
  if (known !== null) {
    const { fix, phase, because } = known;
    const groups = flyRest(situation, cases, known, planned, options).map((one) => ({
      name: one.case.name,
      weight: one.case.weight,
      members: one.members,
      start_s: one.outlook.scenario.exit.time_s,
    }));
    const basis = `Last known at ${clock(fix.time_s)}, ${height(fix.height_m)}, ${phase}: ${because}.`;
    if (groups.some((group) => landed(group.members))) return { groups, basis, from: fix.position };
  }
  const groups = outlooks.flatMap((one) =>
    one.kind === 'flown' && one.case.weight > 0 && landed(one.members)
      ? [
          {
            name: one.case.name,
            weight: one.case.weight,
            members: one.members,
            start_s: one.outlook.scenario.exit.time_s,
          },
        ]
      : [],
  );
  if (groups.length > 0)
    return {
      groups,
      basis: 'No fix of the jumper with a height: every case from the exit, by its weight.',
      from: null,
    };
  return {
    groups,
    basis:
      `Nothing is known of the descent: ${distance(UNKNOWN_RADIUS_M)} (10 nm) about the site, as for a search ` +
      'that starts at once.',
    from: null,
  };
}

/** The heaviest case and those whose middle lies within its 90 % region: one search, about one datum. */
function firstCluster(groups: Found['groups'], site: LonLat): Found['groups'] {
  const heaviest = groups.reduce<Found['groups'][number] | null>(
    (best, one) => (best === null || one.weight > best.weight ? one : best),
    null,
  );
  if (heaviest === null) return groups;
  const own = momentsOf([heaviest], site);
  const frame = localFrame(own.datum);
  const reach = Math.max(ellipseOf(own.ee, own.en, own.nn, 0.9).semiMajor_m, CLUSTER_M);
  return groups.filter((one) => {
    const [e, n] = frame.toLocal(momentsOf([one], site).datum);
    return Math.hypot(e, n) <= reach;
  });
}

/** Two landings nearer than this are looked for together whatever their scatter. Ours. */
const CLUSTER_M = 500;

function elsewhereOf(groups: Found['groups'], here: Found['groups']): SearchPlan['elsewhere'] {
  const total = groups.reduce((sum, one) => sum + one.weight, 0);
  const others = groups.filter((one) => !here.includes(one));
  return {
    share: total > 0 ? others.reduce((sum, one) => sum + one.weight, 0) / total : 0,
    names: others.map((one) => one.name),
  };
}

const landed = (members: Members): boolean => members.lon_deg.some((lon) => lon === lon);

/** Weighted mean, covariance and middle touchdown of all groups. */
function momentsOf(
  groups: Found['groups'],
  site: LonLat,
): { datum: LonLat; touchdown_s: number; ee: number; en: number; nn: number } {
  const rough = localFrame(site);
  const rows: { e: number; n: number; w: number; t: number }[] = [];
  for (const { members, weight, start_s } of groups) {
    const places = landingsIn(rough, members);
    const times = members.time_s.filter((t) => t === t);
    for (let i = 0; i < places.length / 2; i++)
      rows.push({
        e: nth(places, 2 * i),
        n: nth(places, 2 * i + 1),
        w: (2 * weight) / places.length,
        t: start_s + nth(times, i),
      });
  }
  const all = rows.reduce((sum, row) => sum + row.w, 0);
  if (!(all > 0)) return { datum: site, touchdown_s: NaN, ee: 0, en: 0, nn: 0 };
  const mean = (of: (row: (typeof rows)[number]) => number): number =>
    rows.reduce((sum, row) => sum + row.w * of(row), 0) / all;
  const [me, mn] = [mean((row) => row.e), mean((row) => row.n)];
  let held = 0;
  const sorted = rows.toSorted((a, b) => a.t - b.t);
  const middle = sorted.find((row) => (held += row.w) >= all / 2)?.t ?? NaN;
  return {
    datum: rough.toLonLat(me, mn),
    touchdown_s: middle,
    ee: mean((row) => (row.e - me) ** 2),
    en: mean((row) => (row.e - me) * (row.n - mn)),
    nn: mean((row) => (row.n - mn) ** 2),
  };
}

function driftOf(frame: LocalFrame, from: LonLat): { distance_m: number; bearing_deg: number } {
  const [e, n] = frame.toLocal(from);
  return { distance_m: Math.hypot(e, n), bearing_deg: (Math.atan2(-e, -n) / RAD_PER_DEG + 360) % 360 };
}

function areaOf(groups: readonly LandingGroup[], frame: LocalFrame, share: number): SearchArea {
  const clear = new KeepClear(clearEllipses(groups, frame, share));
  const area_m2 = clear.ellipses.reduce((sum, one) => sum + Math.PI * one.semiMajor_m * one.semiMinor_m, 0);
  return { share, rings: clear.rings(frame), area_m2 };
}

function recommend(ellipse: Ellipse, searcher: Searcher | null): Pattern['name'] {
  const spacing = searcher?.sweepWidth_m ?? SWEEP_M.helicopter;
  if (ellipse.semiMajor_m <= SECTOR_SPACINGS * spacing) return 'sector';
  return ellipse.semiMajor_m <= SQUARE_SPACINGS * spacing ? 'expanding square' : 'parallel track';
}

/**
 * The share of landings, each group by its weight, that lie inside; NaN without any. `places`: east and north of the
 * frame as x, y, x, y, ….
 */
function shareWithin(
  groups: readonly { readonly weight: number; readonly places: Float64Array }[],
  inside: (e: number, n: number) => boolean,
): number {
  let sum = 0;
  let all = 0;
  for (const { weight, places } of groups) {
    let hit = 0;
    for (let i = 0; i < places.length; i += 2) if (inside(nth(places, i), nth(places, i + 1))) hit += 1;
    if (places.length === 0) continue;
    sum += (2 * weight * hit) / places.length;
    all += weight;
  }
  return all > 0 ? sum / all : NaN;
}

/**
 * The three patterns over the 90 % ellipse, spaced by the sweep width: coverage 1. `from`: about the landings; `to`:
 * about where they have drifted.
 */
function patternsFor(
  { from, to }: { readonly from: LocalFrame; readonly to: LocalFrame },
  ellipse: Ellipse,
  groups: readonly LandingGroup[],
  searcher: Searcher | null,
  first_deg: number,
): SearchPattern[] {
  const width = searcher?.sweepWidth_m ?? SWEEP_M.helicopter;
  const speed = searcher?.speed_mps ?? SEARCH_MPS;
  const places = groups.map((group) => ({ weight: group.weight, places: landingsIn(from, group.members).slice() }));
  const made = (pattern: Pattern, area_m2: number, inside: (e: number, n: number) => boolean): SearchPattern => {
    const cover = coverage(width, area_m2 / Math.max(pattern.length_m, 1));
    return {
      pattern,
      line: pattern.points.map(([e, n]) => to.toLonLat(e, n)),
      spacing_m: pattern.name === 'sector' ? width : pattern.spacing_m,
      sweepWidth_m: width,
      area_m2,
      time_s: pattern.length_m / speed,
      coverage: cover,
      detection: detection(cover),
      contains: shareWithin(places, inside),
    };
  };
  const reach = Math.max(ellipse.semiMajor_m, width);
  const pairs = Math.max(1, Math.ceil((2 * reach) / width));
  const square = expandingSquare(width, pairs, first_deg);
  const half = ((pairs + 1) * width) / 2;
  const turn = (first_deg * Math.PI) / 180;
  const sector = sectorSearch(reach, first_deg);
  const [long, short] = [2 * reach, 2 * Math.max(ellipse.semiMinor_m, width / 2)];
  const rows = ladder(long, short, ellipse.bearing_deg, width, 'long');
  const along = (ellipse.bearing_deg * Math.PI) / 180;
  const inBox =
    (angle: number, a: number, b: number) =>
    (e: number, n: number): boolean =>
      Math.abs(e * Math.sin(angle) + n * Math.cos(angle)) <= a &&
      Math.abs(e * Math.cos(angle) - n * Math.sin(angle)) <= b;
  return [
    made(sector, Math.PI * reach * reach, (e, n) => Math.hypot(e, n) <= reach),
    made(square, 4 * half * half, inBox(turn, half, half)),
    made(rows, long * short, inBox(along, long / 2, short / 2)),
  ];
}

function sentencesOf(plan: Omit<SearchPlan, 'sentences'>): string[] {
  const said = [plan.basis];
  const { '50': half, '90': most } = plan.ellipses;
  if (plan.drift !== null)
    said.push(
      `From there it drifts ${distance(plan.drift.distance_m)} toward ` +
        `${directionWords(plan.drift.bearing_deg)} to the datum, ` +
        `down at about ${clock(plan.touchdown_s)}.`,
    );
  const about = plan.afloat?.moved == null ? 'landings about' : 'landings, and of what their drift may be off, about';
  said.push(
    `Half of the drawn ${about} the datum lie within ${halfAxes(half.semiMajor_m, half.semiMinor_m)}, ` +
      `${spreadSize(90, most)}, long axis on ${directionWords(most.bearing_deg)}.`,
  );
  if (plan.elsewhere.share > 0.0005)
    said.push(
      `${chanceWords(plan.elsewhere.share)} of all landings belong elsewhere: ${plan.elsewhere.names.join(', ')}.`,
    );
  const best = plan.patterns.find((one) => one.pattern.name === plan.recommended);
  const { searcher } = plan;
  if (searcher === null) said.push('No crew is named that could search.');
  else if (best !== undefined) {
    const who = { helicopter: 'flies', vehicle: 'drives', boat: 'runs' }[searcher.crew.kind];
    const what = plan.recommended === 'expanding square' ? 'an expanding square' : `a ${plan.recommended} search`;
    said.push(
      `${searcher.crew.name} ${who} ${what}, tracks ${distance(best.spacing_m)} apart at ` +
        `${quantity(searcher.speed_mps, 'm/s')}: ` +
        `there after ${roughDuration(searcher.arrives_s)}, then ${roughDuration(best.time_s)} for ` +
        `${chanceWords(best.contains)} of the landings; who lies there is found with ${chanceWords(best.detection)}.`,
    );
    if (searcher.onScene_s !== null && searcher.onScene_s < best.time_s)
      said.push(
        `Its fuel leaves ${roughDuration(searcher.onScene_s)} there: less than one pass; begin with the 50 % ` +
          'area or send another.',
      );
  }
  said.push(...datumWords(plan.afloat));
  return said;
}

/** Whether the datum stays, or by how much it moves. */
function datumWords(afloat: SearchPlan['afloat']): string[] {
  if (afloat === null)
    return ['On land the datum stays once the jumper is down; it is worked out again with each wind and fix.'];
  const said = [`The middle of these landings lies ${shoreWords(afloat.shore)}.`];
  const { moved } = afloat;
  if (moved === null) return [...said, `${capital(NO_DRIFT)}; the datum is that of the touchdown.`];
  const { drift, away_m, after_s, at_s, ashore } = moved;
  const toShore = ashore ? ', where it comes ashore' : '';
  return [
    ...said,
    `Afloat it drifts ${driftWords(drift)}: ${drift.how}.`,
    `The datum is moved by that: ${distance(away_m)} in the ${roughDuration(after_s)} from touchdown to ` +
      `${clock(at_s)}, when the search begins${toShore}; the area is wider by what a drift may be off. ` +
      'Each pass begins at the datum of its own time.',
  ];
}
