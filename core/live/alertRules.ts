// What a person must be told of a live descent, ranked: the first is the gravest. Each rule says what changed, since
// when where that is known, and what to do. Nothing is worked out here that the program knows already: limits are those
// of the advice, crews those of the board, questions those of the analysis. Before the exit a limit that is broken and
// a question about the wind make the word itself, and no alert says them twice.
import { limitSentence, type Judged, type LimitName } from '../advice/limits.ts';
import { inverse } from '../earth/geodesic.ts';
import type { LandingStatistics, Share } from '../descent/statistics.ts';
import type { Situation } from '../mission/situation.ts';
import type { Mission } from '../plan/schema.ts';
import type { BoardRow } from '../recovery/crewBoard.ts';
import { wrap180 } from '../base/units.ts';
import { distance } from '../words/lengths.ts';
import { chanceWords, type Units } from '../words/numbers.ts';
import { roughDuration } from '../words/times.ts';
import { directionWords, speed } from '../words/winds.ts';
import { TURNS_FROM_MPS } from './callChanges.ts';
import { CALL_LIMIT_S } from './callOffers.ts';
import type { JumperSeen } from './followed.ts';
import { LOST_S } from './lost.ts';

const alertKinds = [
  'no opening',
  'opening late',
  'near the gondola',
  'landing on a hazard',
  'crew inside keep-clear',
  'opening early',
  'fall rate',
  'fix lost',
  'landing left the zones',
  'wind in question',
  'wind turned',
  'wind over a limit',
  'daylight',
  'fuel',
  'feed lost',
] as const;
export type AlertKind = (typeof alertKinds)[number];

/** A link that brings fixes, as the desk tells of it. */
export interface FeedSeen {
  readonly body: string;
  /** Broken: its far end is gone and it is tried again. */
  readonly link: 'up' | 'trying' | 'broken';
  /** When it last brought anything, s since 1970; null: never. */
  readonly heard_s: number | null;
}

type CrewSeen = Pick<BoardRow, 'placedBy' | 'heard_s' | 'fuel' | 'refusal'> & {
  readonly crew: { readonly name: string };
};

/** What the rules look at. What is not known at the moment is null: an alert about it neither begins nor ends. */
export interface AlertView {
  /** s since 1970. */
  readonly at_s: number;
  readonly stage: 'before the exit' | 'in the air' | 'down';
  /** The jumper by its fixes; null before the exit and on the ground, or without fixes. */
  readonly jumper: JumperSeen | null;
  /** Chances of the landing that is expected; a plan without zones or hazards has none of them. */
  readonly landing: { readonly inZone: Share | null; readonly inHazard: Share | null } | null;
  readonly winds: Situation['winds'];
  readonly reports: Situation['state']['counting'];
  readonly limits: readonly Judged[] | null;
  readonly crews: readonly CrewSeen[] | null;
  readonly feeds: readonly FeedSeen[] | null;
  readonly units: Units;
}

/** What is known of the landing's chances from drawn descents. */
export const landingSeen = (
  { landingZones = [], hazards = [] }: Pick<Mission, 'landingZones' | 'hazards'>,
  statistics: Pick<LandingStatistics, 'inAnyZone' | 'inAnyHazard'> | null,
): AlertView['landing'] =>
  statistics === null
    ? null
    : {
        inZone: landingZones.length === 0 ? null : statistics.inAnyZone,
        inHazard: hazards.length === 0 ? null : statistics.inAnyHazard,
      };

/** What a rule finds about one thing; `unknown`: it is not known whether what was goes on. */
export type Finding =
  | {
      /** What of several it is about: a crew, a limit, a report; empty where there is one only. */
      readonly of: string;
      /** Since when, s since 1970, where what it looks at says so; null: since it was first seen. */
      readonly since_s: number | null;
      /** What changed. */
      readonly text: string;
    }
  | { readonly of: string; readonly unknown: true };

interface Rule {
  readonly kind: AlertKind;
  /** `stop`: seconds count. */
  readonly grave: 'stop' | 'caution';
  readonly todo: string;
  /** `holds`: whether the alert about that stands: it ends later than it began. Null: nothing is known of it now. */
  readonly find: (view: AlertView, holds: (of: string) => boolean) => readonly Finding[] | null;
}

/** Heights of an opening are known to the device and the fixes together, three standard deviations, m. */
const OPENING_BY_M = 200;
/** Still falling at this share of the height at which the plan opens: nothing has opened. Ours. */
const NONE_SHARE = 0.5;
/** Where they come more seldom, so many of their usual times. Ours. */
const LOST_TIMES = 3;
/**
 * Fewer than so many descents of a hundred that come down in a zone: the landing has left them. With a plan that came
 * down there in 80 of 100 and chances that are true, at most 5 of 100 descents are said to have left and land in one
 * all the same: (1 − 0.8)/(1 − 0.2) · 0.2 (a chance that is true wanders like a fair game). Ours. It has come back at
 * even odds.
 */
const LEFT = { is: 0.2, isBack: 0.5 } as const;
/** More descents than so many come down on a hazard; and so few again do not. Ours. */
const HAZARD = { is: 0.5, isOff: 0.3 } as const;
/** A fall that is off the plan's by this share, and a canopy that sinks by this share faster. Ours. */
const FALL = { is: 0.3, isBack: 0.2, least_mps: 8 } as const;
const SINK = { is: 1, isBack: 0.6, least_mps: 3 } as const;
/** Beyond so many standard deviations of the rate it is not the fixes' noise. */
const CLEAR_STD = 3;
/** At this share of the plan's fall a body falls. Ours. */
const FALLS_SHARE = 0.6;
/** From the exit or the opening on the rate is the air's, not that of the change. Ours. */
const SETTLED_S = 20;
/** Nearer to the gondola than this under a canopy, m; and so far off again. Ours. */
const GONDOLA = { is_m: 300, isOff_m: 500 } as const;
/** A surface wind that blows from the other side. Ours. */
const TURNED_DEG = 120;
/** A link that has brought nothing for so long and is not connected, s. Ours. */
const LINK_S = 15;
/** Of the limits those that a wind breaks. */
const WIND_LIMITS: ReadonlySet<LimitName> = new Set(['surfaceWind_mps', 'gust_mps', 'blownBack_mps']);

const NOTHING: readonly Finding[] = [];

const isFalling = ({ phase }: JumperSeen): boolean => phase?.phase === 'freefall' || phase?.phase === 'drogue';
const isOpen = ({ phase }: JumperSeen): boolean => phase?.phase === 'opening' || phase?.phase === 'canopy';

/** Falls below a height above ground that lies below the planned opening. */
function fallsBelow(jumper: JumperSeen | null, below: (opens_agl_m: number) => number): readonly Finding[] {
  if (jumper === null || jumper.fix === null || jumper.opens_agl_m === null || !isFalling(jumper)) return NOTHING;
  const { fix, opens_agl_m } = jumper;
  const since_s = jumper.below_s(below(opens_agl_m));
  if (since_s === null) return NOTHING;
  const text = `still falling at ${distance(fix.agl_m)} above ground; the plan opens at ${distance(opens_agl_m)}`;
  return [{ of: '', since_s, text }];
}

const noneBelow_m = (opens_agl_m: number): number => NONE_SHARE * opens_agl_m;
const lateBelow_m = (opens_agl_m: number): number => opens_agl_m - OPENING_BY_M;

function late({ jumper }: AlertView): readonly Finding[] {
  // What has not opened at all is no longer late.
  return fallsBelow(jumper, noneBelow_m).length > 0 ? NOTHING : fallsBelow(jumper, lateBelow_m);
}

/** Whether its fixes say, beside the phase, that it falls no more. */
const isSlow = ({ sink }: JumperSeen): boolean =>
  sink !== null && (sink.fall_mps === null || sink.is_mps + CLEAR_STD * sink.error_mps < FALLS_SHARE * sink.fall_mps);

function early({ jumper }: AlertView): readonly Finding[] | null {
  if (jumper === null || jumper.fix === null || jumper.opens_agl_m === null || !isOpen(jumper)) return NOTHING;
  const { fix, opens_agl_m } = jumper;
  if (!(fix.agl_m > opens_agl_m + OPENING_BY_M)) return NOTHING;
  if (!isSlow(jumper)) return null;
  const text = `under canopy at ${distance(fix.agl_m)} above ground; the plan opens at ${distance(opens_agl_m)}`;
  return [{ of: '', since_s: null, text }];
}

function fallRate({ jumper, at_s, units }: AlertView, holds: (of: string) => boolean): readonly Finding[] | null {
  const phase = jumper?.phase ?? null;
  if (jumper === null || phase === null) return NOTHING;
  const { sink } = jumper;
  if (sink === null || !(at_s - phase.since_s >= SETTLED_S)) return null;
  const { is_mps, error_mps, plan_mps } = sink;
  const canopy = phase.phase === 'canopy';
  // As fast as the plan's fall: nothing has opened yet, and the phase is wrong.
  if (canopy && sink.fall_mps !== null && is_mps > FALLS_SHARE * sink.fall_mps) return null;
  const bound = canopy ? SINK : FALL;
  const by_mps = Math.max((holds('') ? bound.isBack : bound.is) * plan_mps, bound.least_mps) + CLEAR_STD * error_mps;
  const off = canopy ? is_mps - plan_mps > by_mps : Math.abs(is_mps - plan_mps) > by_mps;
  if (!off) return NOTHING;
  const what = canopy ? 'sinking under canopy' : 'falling';
  return [
    { of: '', since_s: null, text: `${what} at ${speed(is_mps, units)}; the plan has ${speed(plan_mps, units)} here` },
  ];
}

function gondola({ jumper }: AlertView, holds: (of: string) => boolean): readonly Finding[] | null {
  const phase = jumper?.phase ?? null;
  if (jumper === null || phase === null || !isOpen(jumper)) return NOTHING;
  if (jumper.gondola_m === null) return null;
  const near = jumper.gondola_m < (holds('') ? GONDOLA.isOff_m : GONDOLA.is_m);
  return near
    ? [{ of: '', since_s: null, text: `the gondola is ${distance(jumper.gondola_m)} from the jumper under canopy` }]
    : NOTHING;
}

function lost({ jumper, at_s }: AlertView): readonly Finding[] {
  if (jumper === null || jumper.fix === null || jumper.phase?.phase === 'down') return NOTHING;
  const { fix, usual_s } = jumper;
  if (!(at_s - fix.time_s > Math.max(LOST_S, LOST_TIMES * usual_s))) return NOTHING;
  const at = `${distance(fix.agl_m)} above ground`;
  const text = `the last fix of the jumper is of ${at}; from there the landing is the model’s`;
  return [{ of: '', since_s: fix.time_s, text }];
}

const inTheAir = ({ stage }: AlertView): boolean => stage === 'in the air';

function leftZones(view: AlertView, holds: (of: string) => boolean): readonly Finding[] | null {
  if (!inTheAir(view)) return NOTHING;
  if (view.landing === null) return null;
  const { inZone } = view.landing;
  if (inZone === null) return NOTHING;
  const { p, error } = inZone;
  const left = holds('') ? p < LEFT.isBack : p + 2 * error < LEFT.is;
  return left ? [{ of: '', since_s: null, text: `${chanceWords(p)} of the descents come down in a zone` }] : NOTHING;
}

function onHazard(view: AlertView, holds: (of: string) => boolean): readonly Finding[] | null {
  if (!inTheAir(view)) return NOTHING;
  if (view.landing === null) return null;
  const { inHazard } = view.landing;
  if (inHazard === null) return NOTHING;
  const { p, error } = inHazard;
  const on = holds('') ? p > HAZARD.isOff : p - 2 * error > HAZARD.is;
  return on ? [{ of: '', since_s: null, text: `${chanceWords(p)} of the descents come down on a hazard` }] : NOTHING;
}

function questions(view: AlertView): readonly Finding[] {
  if (!inTheAir(view)) return NOTHING;
  return view.winds.questions.map(({ ids, short }) => {
    const asked = view.winds.held.filter(({ report }) => ids.includes(report.id));
    const since_s = Math.min(...asked.map(({ report }) => report.at_s));
    return { of: ids.join(' '), since_s: Number.isFinite(since_s) ? since_s : null, text: short };
  });
}

/** The newest surface wind that counts, against the one before it from near the same place. */
function turned({ at_s, winds, reports, units }: AlertView): readonly Finding[] {
  const newest = winds.newestSurface?.report ?? null;
  if (newest === null || !(at_s - newest.observed_s <= CALL_LIMIT_S.wind)) return NOTHING;
  const before = reports.findLast(
    (one) =>
      one.observed_s < newest.observed_s &&
      newest.observed_s - one.observed_s <= TURN_WITHIN_S &&
      winds.used.has(one.id) &&
      one.event.source === newest.event.source &&
      inverse(one.position, newest.position).distance_m < TURN_NEAR_M,
  );
  if (before === undefined || !hasSide(before.event) || !hasSide(newest.event)) return NOTHING;
  const turn_deg = Math.abs(wrap180(newest.event.from_deg - before.event.from_deg));
  if (!(turn_deg >= TURNED_DEG)) return NOTHING;
  const [was, is] = [before.event, newest.event];
  const text =
    `the surface wind was from ${directionWords(was.from_deg)}, ${speed(was.speed_mps, units)}, and is from ` +
    `${directionWords(is.from_deg)}, ${speed(is.speed_mps, units)} (${newest.id})`;
  return [{ of: newest.id, since_s: newest.observed_s, text }];
}

/** Two reports tell of one wind that turned: so near in time and place. Ours. */
const TURN_WITHIN_S = 1800;
const TURN_NEAR_M = 3000;

const hasSide = ({ speed_mps, variable }: { readonly speed_mps: number; readonly variable?: boolean | undefined }) =>
  speed_mps >= TURNS_FROM_MPS && variable !== true;

/** Limits that are broken once the word no longer says them. */
function broken(view: AlertView, names: (name: LimitName) => boolean): readonly Judged[] | null {
  if (!inTheAir(view)) return [];
  return view.limits?.filter(({ limit, state }) => names(limit.name) && state === 'broken') ?? null;
}

const windLimits = (view: AlertView): readonly Finding[] | null =>
  broken(view, (name) => WIND_LIMITS.has(name))?.map((one) => ({
    of: one.limit.label,
    since_s: null,
    text: limitSentence(one, view.units),
  })) ?? null;

const lightLimit = (view: AlertView): readonly Finding[] | null =>
  broken(view, (name) => name === 'daylight_s')?.map((one) => ({
    of: '',
    since_s: null,
    text: limitSentence(one, view.units),
  })) ?? null;

/** What the board finds against each crew. */
const crews = (against: (crew: CrewSeen, at_s: number) => string | null) => (view: AlertView) =>
  view.crews === null
    ? null
    : view.crews.flatMap((one): Finding[] => {
        const text = against(one, view.at_s);
        return text === null ? [] : [{ of: one.crew.name, since_s: null, text }];
      });

const heardInside = crews(({ crew, placedBy, heard_s, refusal }, at_s) =>
  refusal?.by === 'keep clear' && placedBy === 'last heard' && at_s - (heard_s ?? -Infinity) <= CALL_LIMIT_S.crewFix
    ? `${crew.name} was heard where nobody may be: ${refusal.why}`
    : null,
);

/** Once touchdown is in the log the crews go in. */
const insideKeepClear = (view: AlertView): readonly Finding[] | null =>
  view.stage === 'down' ? NOTHING : heardInside(view);

const shortOfFuel = crews(({ crew, fuel }) =>
  fuel.kind === 'short' ? `${crew.name} is ${roughDuration(fuel.by_s)} of fuel short, its reserve kept` : null,
);

const afterDark = crews(({ crew, refusal }) => (refusal?.by === 'dark' ? `${crew.name}: ${refusal.why}` : null));

function daylight(view: AlertView): readonly Finding[] | null {
  const [limit, late] = [lightLimit(view), afterDark(view)];
  if (limit === null && late === null) return null;
  return [...(limit ?? NOTHING), ...(late ?? NOTHING)];
}

function feedLost({ at_s, feeds }: AlertView): readonly Finding[] | null {
  if (feeds === null) return null;
  return feeds.flatMap(({ body, link, heard_s }): Finding[] => {
    if (link === 'up') return [];
    const long = heard_s === null ? link === 'broken' : at_s - heard_s > LINK_S;
    // While it is tried for the first time, or has just broken, nobody knows.
    if (!long) return [{ of: body, unknown: true }];
    const text =
      heard_s === null ? `the link to ${body} was never there` : `the link to ${body} is gone; it is tried again`;
    return [{ of: body, since_s: heard_s, text }];
  });
}

export const RULES: readonly Rule[] = [
  {
    kind: 'no opening',
    grave: 'stop',
    todo: 'Call “open” now; send the medical crew toward the landing',
    find: ({ jumper }) => fallsBelow(jumper, noneBelow_m),
  },
  { kind: 'opening late', grave: 'stop', todo: 'Call the height and “open”', find: late },
  { kind: 'near the gondola', grave: 'stop', todo: 'Call the way to turn off', find: gondola },
  { kind: 'landing on a hazard', grave: 'stop', todo: 'Call the hazard and the way off it (Calls)', find: onHazard },
  {
    kind: 'crew inside keep-clear',
    grave: 'stop',
    todo: 'Call the crew out; it stays outside the marked ground until touchdown is called',
    find: insideKeepClear,
  },
  {
    kind: 'opening early',
    grave: 'caution',
    todo: 'Read the landing again and call it to the crews (Calls)',
    find: early,
  },
  {
    kind: 'fall rate',
    grave: 'caution',
    todo: 'Ask for the state of the body or canopy; the times ahead may be wrong',
    find: fallRate,
  },
  {
    kind: 'fix lost',
    grave: 'caution',
    todo: 'Ask for height and place by radio; look at the feed (Reports)',
    find: lost,
  },
  {
    kind: 'landing left the zones',
    grave: 'caution',
    todo: 'Call the landing; look where the crews go (Crews)',
    find: leftZones,
  },
  {
    kind: 'wind in question',
    grave: 'caution',
    todo: 'Have it read again, then confirm, correct or withdraw it (Reports)',
    find: questions,
  },
  { kind: 'wind turned', grave: 'caution', todo: 'Have it read again, then call it (Calls)', find: turned },
  { kind: 'wind over a limit', grave: 'caution', todo: 'Call the wind (Calls)', find: windLimits },
  { kind: 'daylight', grave: 'caution', todo: 'Send who may fly or drive in the dark (Crews)', find: daylight },
  { kind: 'fuel', grave: 'caution', todo: 'Take the crew off the flight or refuel it (Crews)', find: shortOfFuel },
  { kind: 'feed lost', grave: 'caution', todo: 'Look at the link (Reports, Feeds)', find: feedLost },
];
