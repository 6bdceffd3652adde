// The ways in which a flight goes otherwise than planned, each as a small change to the plan, with its sign and its
// default weight. Heights m MSL unless named; times s. No published rates for such flights were found: weights are
// ours, and a mission edits them.
import type { Spread } from '../descent/spread.ts';
import { isDrogue } from '../descent/body.ts';
import { stagesDownTo, withoutDrogue } from './caseStages.ts';
import { number } from '../words/numbers.ts';
import type { Canopy, Mission } from '../plan/schema.ts';

/** Legible in black and white: a shape and a letter, and no two cases have the same letter. */
export interface CaseMark {
  readonly shape: (typeof CASE_SHAPES)[number];
  readonly letter: string;
}

export const CASE_SHAPES = [
  'circle',
  'square',
  'triangle',
  'triangle down',
  'cross',
  'diamond',
  'plus',
  'hexagon',
  'star',
  'ring',
  'pentagon',
  'hourglass',
  'bar',
] as const;

export type CaseKind =
  | 'as planned'
  | 'opens at exit'
  | 'opens high'
  | 'nobody conscious'
  | 'drogue fails'
  | 'drogue only'
  | 'reserve unsteered'
  | 'cut away'
  | 'not steering'
  | 'late exit'
  | 'early exit'
  | 'rides down'
  | 'custom';

/** How the body of a case comes to leave its carrier. */
export type Leaves =
  | { readonly kind: 'as planned' }
  | { readonly kind: 'late'; readonly delay_s: number }
  | { readonly kind: 'during ascent'; readonly height_m: number }
  /** Null: where the plan has the gondola released. */
  | { readonly kind: 'with the gondola'; readonly height_m: number | null };

/** A case's plan, or why the plan does not allow it. */
export type CaseChange =
  | {
      readonly kind: 'changed';
      readonly plan: Mission;
      readonly leaves: Leaves;
      /** What is less well known in this case than in the plan. */
      readonly spread: Partial<Spread>;
      /** What happens in this case, in a sentence. */
      readonly meaning: string;
    }
  | { readonly kind: 'not possible'; readonly why: string };

interface CaseNumbers {
  readonly height_m: number | undefined;
  readonly delay_s: number | undefined;
}

export interface CaseKindRow {
  readonly name: string;
  readonly mark: CaseMark;
  readonly weight: number;
  /** Where another carrier than a balloon has another weight. */
  readonly otherWeight?: number;
  readonly weightFrom: 'common practice' | 'invented';
  readonly change: (plan: Mission, numbers: CaseNumbers) => CaseChange;
}

/** From leaving to an opening that nobody wanted: the time to become clear of the carrier. Common practice. */
const AT_EXIT_S = 2;
/** A canopy that nobody steers keeps a heading about this long before it has turned away. Invented. */
const UNSTEERED_EVERY_S = 60;
/** A hesitation at the door, or a call that must be repeated. Invented. */
const LATE_S = 60;
const HIGH_AGL_M_MAX = 8000;
/**
 * Where the plan names no reserve: a round one, at the lower end of the published descent rates of reserves, opened at
 * a usual height.
 */
const RESERVE_AGL_M = 300;
const RESERVE_SINK_MPS = 6.4;

const changed = (
  plan: Mission,
  meaning: string,
  leaves: Leaves = { kind: 'as planned' },
  spread: Partial<Spread> = {},
): CaseChange => ({
  kind: 'changed',
  plan,
  leaves,
  spread,
  meaning,
});
const impossible = (why: string): CaseChange => ({ kind: 'not possible', why });

/** The jumper of a plan replaced in part; a canopy of null: none opens. */
function withJumper(plan: Mission, part: { stages?: Mission['jumper']['stages']; canopy?: Canopy | null }): Mission {
  const { canopy, ...jumper } = plan.jumper;
  const opens = part.canopy === undefined ? canopy : (part.canopy ?? undefined);
  const stages = part.stages ?? jumper.stages;
  return { ...plan, jumper: opens === undefined ? { ...jumper, stages } : { ...jumper, stages, canopy: opens } };
}

function opensAtExit(plan: Mission): CaseChange {
  const first = plan.jumper.stages[0];
  if (plan.jumper.canopy === undefined || first === undefined) return impossible('the plan has no canopy');
  const stages = [{ ...first, until: { after_s: AT_EXIT_S } }];
  return changed(
    withJumper(plan, { stages }),
    `The canopy opens ${AT_EXIT_S} s after the exit at ${number(plan.exit.altitude_m)} m MSL: a long drift ` +
      'through every layer of wind.',
  );
}

/** Halfway between the planned opening and the exit, 8 km above ground at most. Invented; a mission names its own. */
function highOpening_m(plan: Mission): number {
  const last = plan.jumper.stages.at(-1)?.until;
  const site = plan.site.elevation_m;
  const opening = last === undefined ? site : 'agl_m' in last ? site + last.agl_m : 'msl_m' in last ? last.msl_m : site;
  return Math.min((opening + plan.exit.altitude_m) / 2, site + HIGH_AGL_M_MAX);
}

function opensHigh(plan: Mission, { height_m }: CaseNumbers): CaseChange {
  if (plan.jumper.canopy === undefined) return impossible('the plan has no canopy');
  const at = height_m ?? highOpening_m(plan);
  if (!(at > plan.site.elevation_m && at < plan.exit.altitude_m))
    return impossible(
      `an opening at ${number(at)} m MSL is not between the ground and the exit at ` +
        `${number(plan.exit.altitude_m)} m MSL; ` +
        'name another height_m',
    );
  const spread = height_m === undefined ? { triggerHeight_m: Math.min(2000, (at - plan.site.elevation_m) / 4) } : {};
  return changed(
    withJumper(plan, { stages: stagesDownTo(plan.jumper.stages, at, plan.site.elevation_m) }),
    `The canopy opens at about ${number(at)} m MSL.`,
    { kind: 'as planned' },
    spread,
  );
}

function drogueFails(plan: Mission): CaseChange {
  const stages = withoutDrogue(plan.jumper.stages);
  return stages === null
    ? impossible('the plan has no drogue stage (one named "drogue", or with "drogue": true) beside another')
    : changed(
        withJumper(plan, { stages }),
        'The drogue does not deploy: the fall goes on without it, faster, to the planned opening.',
      );
}

function drogueOnly(plan: Mission): CaseChange {
  const stages = plan.jumper.stages.map((stage, i, all) =>
    i === all.length - 1 ? { ...stage, until: undefined } : stage,
  );
  const has = plan.jumper.stages.some(isDrogue);
  return changed(
    withJumper(plan, { stages, canopy: null }),
    `${has ? 'No canopy opens after the drogue' : 'No canopy opens'}: the point of impact, for those who go there.`,
  );
}

function reserveUnsteered(plan: Mission): CaseChange {
  const { reserve, canopy, stages } = plan.jumper;
  if (canopy === undefined && reserve === undefined) return impossible('the plan has neither canopy nor reserve');
  const opensAt = reserve?.opensAt_agl_m ?? RESERVE_AGL_M;
  const mass_kg = canopy?.referenceMass_kg ?? plan.jumper.mass_kg;
  const round = {
    referenceMass_kg: mass_kg,
    fill_s: 2,
    settings: [{ name: 'round', airspeed_mps: 0, sink_mps: RESERVE_SINK_MPS }],
  };
  const from: Canopy = reserve?.canopy ?? round;
  const drives = from.settings.some((setting) => setting.airspeed_mps > 0);
  const reserveCanopy: Canopy = {
    ...from,
    steering: drives ? { policy: 'random', every_s: UNSTEERED_EVERY_S } : { policy: 'drift' },
  };
  const down = stages.map((stage, i) => (i === stages.length - 1 ? { ...stage, until: { agl_m: opensAt } } : stage));
  return changed(
    withJumper(plan, { stages: down, canopy: reserveCanopy }),
    `The main canopy stays closed; the reserve opens by itself at ${number(opensAt)} m above ground and nobody steers it.${
      reserve === undefined ? ` The plan names no reserve: a round one sinking ${RESERVE_SINK_MPS} m/s is taken.` : ''
    }`,
    { kind: 'as planned' },
    { handOpening_m: 0 },
  );
}

function notSteering(plan: Mission): CaseChange {
  const { canopy } = plan.jumper;
  if (canopy === undefined) return impossible('the plan has no canopy');
  return changed(
    withJumper(plan, { canopy: { ...canopy, steering: { policy: 'random', every_s: UNSTEERED_EVERY_S } } }),
    `The canopy opens as planned and nobody steers it: a heading by chance, another every ${UNSTEERED_EVERY_S} s.`,
  );
}

function lateExit(plan: Mission, { delay_s }: CaseNumbers): CaseChange {
  const late = delay_s ?? LATE_S;
  return changed(plan, `The jumper leaves ${Math.round(late)} s later than planned.`, { kind: 'late', delay_s: late });
}

function earlyExit(plan: Mission, { height_m }: CaseNumbers): CaseChange {
  const carrier = plan.carrier;
  if (carrier?.kind !== 'balloon')
    return impossible('the carrier is not a balloon: no ascent is planned from which to leave early');
  const at = height_m ?? (carrier.launch.elevation_m + carrier.float_m) / 2;
  if (!(at > carrier.launch.elevation_m && at <= carrier.float_m))
    return impossible(
      `${number(at)} m MSL is not between the launch at ${number(carrier.launch.elevation_m)} m and the float at ` +
        `${number(carrier.float_m)} m MSL; name another height_m`,
    );
  return changed(plan, `The jumper leaves during the ascent, at ${number(at)} m MSL.`, {
    kind: 'during ascent',
    height_m: at,
  });
}

/** `height_m`: on the way up, where the flight is ended; left out: where the plan has the gondola released. */
function ridesDown(plan: Mission, { height_m }: CaseNumbers): CaseChange {
  if (plan.gondola === undefined) return impossible('the plan has no gondola');
  const from = height_m === undefined ? '' : `, let go on the way up at ${number(height_m)} m MSL`;
  return changed(plan, `The jumper stays in the gondola and comes down with it${from}.`, {
    kind: 'with the gondola',
    height_m: height_m ?? null,
  });
}

/** An opening on the way down that nobody asked for, and nobody awake under it. */
function nobodyConscious(plan: Mission, numbers: CaseNumbers): CaseChange {
  const high = opensHigh(plan, numbers);
  if (high.kind === 'not possible') return high;
  const { canopy } = high.plan.jumper;
  if (canopy === undefined) return impossible('the plan has no canopy');
  return {
    ...high,
    plan: withJumper(high.plan, { canopy: { ...canopy, steering: { policy: 'random', every_s: UNSTEERED_EVERY_S } } }),
    meaning:
      `${high.meaning} Nobody under it is conscious or steers: a heading by chance, another every ` +
      `${UNSTEERED_EVERY_S} s.`,
  };
}

/** The time under the main canopy is not flown: it is lost at once, and the fall goes on to the reserve. */
function cutAway(plan: Mission): CaseChange {
  const { reserve, canopy, stages } = plan.jumper;
  if (canopy === undefined || reserve === undefined) return impossible('the plan names no main canopy and reserve');
  if (!reserve.canopy.settings.some((setting) => setting.airspeed_mps > 0))
    return impossible('the reserve is one that cannot be steered: see the case in which nobody does');
  const last = stages.at(-1);
  if (last === undefined) return impossible('the plan has no fall');
  const opensAt = reserve.opensAt_agl_m;
  const { steering } = canopy;
  return changed(
    withJumper(plan, {
      stages: [...stages, { ...last, name: 'cut away', until: { agl_m: opensAt } }],
      canopy: steering === undefined ? reserve.canopy : { ...reserve.canopy, steering },
    }),
    `The main canopy is cut away as it opens; the reserve opens at ${number(opensAt)} m above ground and is steered. ` +
      'Main canopy and bag drift downwind apart from each other and from the jumper: nobody runs after them first.',
  );
}

const mark = (shape: CaseMark['shape'], letter: string): CaseMark => ({ shape, letter });

/**
 * In the order of the table. Those of a balloon's flight add up to 1 where the reserve cannot be steered; they are
 * divided by their sum.
 */
export const CASE_KINDS: Readonly<Record<Exclude<CaseKind, 'custom'>, CaseKindRow>> = {
  'as planned': {
    name: 'As planned',
    mark: mark('circle', 'P'),
    weight: 0.8,
    weightFrom: 'invented',
    change: (plan) => changed(plan, 'The flight as the plan has it.'),
  },
  'opens at exit': {
    name: 'Canopy opens at exit',
    mark: mark('square', 'X'),
    weight: 0.01,
    otherWeight: 0.02,
    weightFrom: 'invented',
    change: opensAtExit,
  },
  'opens high': {
    name: 'Canopy opens high',
    mark: mark('triangle', 'H'),
    weight: 0.03,
    otherWeight: 0.02,
    weightFrom: 'invented',
    change: opensHigh,
  },
  'nobody conscious': {
    name: 'Opens high, nobody conscious',
    mark: mark('hourglass', 'C'),
    weight: 0.01,
    otherWeight: 0.005,
    weightFrom: 'invented',
    change: nobodyConscious,
  },
  'drogue fails': {
    name: 'Drogue does not deploy',
    mark: mark('triangle down', 'D'),
    weight: 0.02,
    weightFrom: 'invented',
    change: drogueFails,
  },
  'drogue only': {
    name: 'No canopy opens',
    mark: mark('cross', 'N'),
    weight: 0.01,
    weightFrom: 'invented',
    change: drogueOnly,
  },
  'reserve unsteered': {
    name: 'Reserve by itself, unsteered',
    mark: mark('diamond', 'R'),
    weight: 0.02,
    weightFrom: 'invented',
    change: reserveUnsteered,
  },
  'cut away': {
    name: 'Main cut away, reserve steered',
    mark: mark('bar', 'M'),
    weight: 0.01,
    weightFrom: 'invented',
    change: cutAway,
  },
  'not steering': {
    name: 'Nobody steers',
    mark: mark('plus', 'U'),
    weight: 0.03,
    weightFrom: 'invented',
    change: notSteering,
  },
  'late exit': {
    name: 'Late exit',
    mark: mark('hexagon', 'L'),
    weight: 0.04,
    weightFrom: 'invented',
    change: lateExit,
  },
  'early exit': {
    name: 'Early exit',
    mark: mark('star', 'E'),
    weight: 0.01,
    weightFrom: 'invented',
    change: earlyExit,
  },
  'rides down': {
    name: 'Rides down with the gondola',
    mark: mark('ring', 'G'),
    weight: 0.02,
    weightFrom: 'invented',
    change: ridesDown,
  },
};

/** A custom case changes only what it says. Its default weight is that of a rare thing. */
export const CUSTOM: CaseKindRow = {
  name: 'Custom',
  mark: mark('pentagon', '1'),
  weight: 0.02,
  weightFrom: 'invented',
  change: (plan) => changed(plan, 'As the mission has it.'),
};

/** What a kind counts by default under a plan's carrier. */
export const weightOf = ({ weight, otherWeight }: CaseKindRow, { carrier }: Pick<Mission, 'carrier'>): number =>
  carrier?.kind === 'balloon' ? weight : (otherWeight ?? weight);
