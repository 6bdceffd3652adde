// The cases of a mission: named what-ifs, each a small change to the plan with a sign, a weight and an ensemble of its
// own. What the mission's `cases` say edits the defaults of `caseKinds.ts`; weights are brought to a sum of 1.
import { unusedName } from '../base/unusedName.ts';
import { isoOf } from '../base/plainNumbers.ts';
import { balloonFix, carrierAt, carrierPath, type CarrierPath, type CarrierPoint } from '../descent/carrier.ts';
import { withCarrier } from '../descent/carrierError.ts';
import type { EnsembleSetup } from '../descent/ensemble.ts';
import type { ExitState } from '../descent/flight.ts';
import { outlookOf, type Outlook } from '../descent/outlook.ts';
import { predict } from '../descent/predict.ts';
import type { Prediction } from '../descent/prediction.ts';
import { epoch_s, scenarioOf, type Scenario } from '../descent/scenario.ts';
import { NOBODY_IN_IT, spreadOf, type Spread } from '../descent/spread.ts';
import type { Problem } from '../base/problem.ts';
import { never } from '../base/problem.ts';
import type { LonLat } from '../base/units.ts';
import {
  CASE_KINDS,
  CUSTOM,
  weightOf,
  type CaseKind,
  type CaseKindRow,
  type CaseMark,
  type Leaves,
} from './caseKinds.ts';
import type { MissionState } from '../log/fold.ts';
import { mergePatch } from './merge.ts';
import { readMission } from '../plan/read.ts';
import { height } from '../words/lengths.ts';
import { number, trimmed } from '../words/numbers.ts';
import { clock } from '../words/times.ts';
import type { Exit, Mission, MissionCase } from '../plan/schema.ts';
import type { Situation } from './situation.ts';

export interface FlightCase {
  readonly kind: CaseKind;
  /** Each name occurs once. */
  readonly name: string;
  readonly mark: CaseMark;
  /** Probability; those of all cases add up to 1. */
  readonly weight: number;
  readonly weightFrom: 'common practice' | 'invented' | 'the mission';
  /** What happens, in a sentence. */
  readonly meaning: string;
  readonly note: string | null;
  /** The plan with the case's changes. */
  readonly plan: Mission;
  readonly leaves: Leaves;
  readonly spread: Partial<Spread>;
}

/** Keys of the plan that a case may change: the flight, not the wind, the ground or the people below it. */
const CHANGEABLE = new Set(['exit', 'jumper', 'gondola', 'envelope', 'carrier', 'uncertainty']);

type Draft = Omit<FlightCase, 'weight'> & { readonly weight: number };

/**
 * The cases of a plan, as planned first.
 *
 * state  what the log knows of the balloon: a case that can no longer happen is left out, and said; null: nothing
 * Legal: no `cases` (the defaults that the plan allows); a known kind once or several times (replaces the default of
 * that kind);
 *        kind "custom" with `changes`; a weight of 0; `off`.
 * Not:   an unknown kind, changes that do not make a plan, a kind that the plan does not allow: left out, with the
 *        reason. Weights that
 *        do not add up to 1 are divided by their sum; where all are 0, all count the same. Both are said.
 */
export function casesOf(
  mission: Mission,
  state: Pick<MissionState, 'fixes' | 'marks'> | null = null,
): {
  readonly cases: readonly FlightCase[];
  readonly problems: readonly Problem[];
} {
  const problems: Problem[] = [];
  const say = (text: string): void => void problems.push({ line: 0, text });
  const named = mission.cases ?? [];
  const drafts: Draft[] = [];
  const take = (kind: CaseKind, row: CaseKindRow, own: MissionCase, index: number, count: number): void => {
    if (own.off === true) return;
    const made = draft({ mission, kind, row, own, count, index, say });
    if (typeof made === 'string') say(`cases[${index}] "${own.name}": ${made}; the case is left out`);
    else drafts.push(made);
  };
  for (const [kind, row] of Object.entries(CASE_KINDS) as [Exclude<CaseKind, 'custom'>, CaseKindRow][]) {
    const own = named.flatMap((one, index) => (one.kind === kind ? [{ one, index }] : []));
    if (own.length === 0) {
      const made = draft({ mission, kind, row, own: null, count: 0, index: 0, say });
      if (typeof made !== 'string') drafts.push(made);
    }
    own.forEach(({ one, index }, count) => take(kind, row, one, index, count));
  }
  named.forEach((one, index) => {
    if (one.kind !== 'custom' && !(one.kind in CASE_KINDS)) {
      const known = Object.keys(CASE_KINDS).map((kind) => `"${kind}"`);
      say(
        `cases[${index}] "${one.name}": the kind "${one.kind}" is not known; expected ${known.join(', ')} or ` +
          '"custom"; it is left out',
      );
    }
  });
  const custom = named.flatMap((one, index) => (one.kind === 'custom' ? [{ one, index }] : []));
  custom.forEach(({ one, index }, count) => take('custom', CUSTOM, one, index, count));
  const open = drafts.filter((one) => !isPassed(one, mission, state, say));
  return { cases: weighed(uniqueNames(open, say), named, say), problems };
}

/** Whether a case needs the carrier where it has been already: an early exit below the balloon's last fix. */
function isPassed(
  { kind, name, leaves }: Draft,
  { carrier, exit, cases = [] }: Mission,
  state: Pick<MissionState, 'fixes' | 'marks'> | null,
  say: (text: string) => void,
): boolean {
  const from_m = leaves.kind === 'during ascent' || leaves.kind === 'with the gondola' ? leaves.height_m : null;
  if (state === null || from_m === null || carrier?.kind !== 'balloon') return false;
  const last = balloonFix(carrier, exit, state);
  if (last === null || last.height_m < from_m) return false;
  // A default that cannot be is not said, as ever; one that the mission names is.
  if (cases.some((own) => own.kind === kind))
    say(`cases: "${name}" can no longer happen: the balloon was at ${height(last.height_m)} at ${clock(last.time_s)}`);
  return true;
}

interface DraftInput {
  readonly mission: Mission;
  readonly kind: CaseKind;
  readonly row: CaseKindRow;
  /** The mission's own words for it; null for a default. */
  readonly own: MissionCase | null;
  /** How many of this kind come before, and its place in the plan's list. */
  readonly count: number;
  readonly index: number;
  readonly say: (text: string) => void;
}

/** A case before the weights are normalised; a string says why the case does not arise. */
function draft({ mission, kind, row, own, count, index, say }: DraftInput): Draft | string {
  const change = row.change(mission, { height_m: own?.height_m, delay_s: own?.delay_s });
  if (change.kind === 'not possible') return change.why;
  const patched =
    own?.changes === undefined ? change.plan : patch(change.plan, own.changes, `cases[${index}] "${own.name}"`, say);
  if (patched === null) return 'its changes do not make a plan that can be flown';
  const letter =
    kind === 'custom' ? String(count + 1) : count === 0 ? row.mark.letter : `${row.mark.letter}${count + 1}`;
  return {
    kind,
    name: own?.name ?? row.name,
    mark: { shape: row.mark.shape, letter },
    weight: own?.weight ?? weightOf(row, mission),
    weightFrom: own?.weight === undefined ? row.weightFrom : 'the mission',
    meaning: kind === 'custom' && own?.note !== undefined ? own.note : change.meaning,
    note: own?.note ?? null,
    plan: patched,
    leaves: change.leaves,
    spread: change.spread,
  };
}

/** The plan with a mission's own changes, read again as a plan; null where it cannot be used. */
function patch(
  plan: Mission,
  changes: Readonly<Record<string, unknown>>,
  where: string,
  say: (text: string) => void,
): Mission | null {
  const allowed = Object.fromEntries(Object.entries(changes).filter(([key]) => CHANGEABLE.has(key)));
  for (const key of Object.keys(changes)) {
    if (!CHANGEABLE.has(key))
      say(`${where}: changes.${key} is not used; a case may change ${[...CHANGEABLE].join(', ')}`);
  }
  const uncertainty = allowed['uncertainty'];
  if (typeof uncertainty === 'object' && uncertainty !== null && 'wind' in uncertainty)
    say(`${where}: changes.uncertainty.wind is not used; the error of the wind is the same in every case`);
  const read = readMission(JSON.stringify(mergePatch(plan, allowed)));
  // What the plan itself has wrong was said when the plan was read.
  const before = new Set(readMission(JSON.stringify(plan)).problems.map((problem) => problem.text));
  for (const problem of read.problems) if (!before.has(problem.text)) say(`${where}: changes: ${problem.text}`);
  return read.value?.mission ?? null;
}

function uniqueNames(drafts: readonly Draft[], say: (text: string) => void): Draft[] {
  const taken = new Set<string>();
  return drafts.map((one) => {
    const name = unusedName(one.name, taken);
    if (name !== one.name)
      say(`cases: the name "${one.name}" occurs twice; expected one name per case; the second is called "${name}"`);
    return { ...one, name };
  });
}

function weighed(drafts: readonly Draft[], named: readonly MissionCase[], say: (text: string) => void): FlightCase[] {
  const sum = drafts.reduce((total, one) => total + one.weight, 0);
  if (!(sum > 0)) {
    if (drafts.length > 0) say('cases: every weight is 0; all cases count the same');
    return drafts.map((one) => ({ ...one, weight: 1 / drafts.length }));
  }
  const edited = named.some((one) => one.weight !== undefined);
  if (edited && Math.abs(sum - 1) > 1e-6)
    say(`cases: the weights add up to ${trimmed(sum, 4)}; expected 1; each is divided by that sum`);
  return drafts.map((one) => ({ ...one, weight: one.weight / sum }));
}

/** A case ready to fly, or why it is not. */
type ReadyCase =
  | {
      readonly kind: 'ready';
      readonly scenario: Scenario;
      readonly spread: Spread;
      readonly release: CarrierPoint | null;
    }
  | { readonly kind: 'not flown'; readonly why: string };

/** The carrier's way in the analysed wind; null where the plan names no carrier. */
export const carrierOf = ({ mission, world, state }: Situation): CarrierPath | null =>
  carrierPath(mission, world, world.analysis?.increment ?? null, state);

/**
 * When the gondola leaves the balloon, s since 1970: as the log has it, else as its plan says, else five minutes after
 * the jumper's exit (common practice), which may be in the log as well.
 */
export function releaseTime_s(mission: Mission, marks: MissionState['marks']): number {
  const marked = marks.get('release');
  if (marked !== undefined) return marked.time_s;
  const release = mission.gondola?.release;
  if (release !== undefined && 'time' in release) return epoch_s(release.time);
  return (marks.get('exit')?.time_s ?? epoch_s(mission.exit.time)) + (release?.after_s ?? GONDOLA_AFTER_S);
}

/** Where the balloon lets go: on its path at that time, or where the log has it; null without a path. */
export function releasePoint(
  { mission, state }: Pick<Situation, 'mission' | 'state'>,
  path: CarrierPath | null,
): CarrierPoint | null {
  const point = path === null ? null : carrierAt(path, releaseTime_s(mission, state.marks));
  const marked = state.marks.get('release');
  if (point === null || marked === undefined) return point;
  const { time_s, position, height_m } = marked;
  return { ...point, time_s, position: position ?? point.position, height_m: height_m ?? point.height_m };
}

export const GONDOLA_AFTER_S = 300;

const exitAt = ({ position, height_m, time_s, velocity_mps }: CarrierPoint): Exit => ({
  position,
  altitude_m: height_m,
  time: isoOf(time_s),
  velocity_mps,
});

/** `path`: the carrier's way, where the caller has it already. */
export function readyCase(
  situation: Situation,
  one: FlightCase,
  path: CarrierPath | null = carrierOf(situation),
): ReadyCase {
  const { world } = situation;
  const { plan, leaves } = one;
  const nobody = leaves.kind === 'with the gondola' ? NOBODY_IN_IT : {};
  const own: Spread = { ...spreadOf(plan.uncertainty, plan.jumper), ...nobody, ...one.spread };
  const left = situation.state.marks.has('exit');
  const ready = (scenario: Scenario, release: CarrierPoint | null): ReadyCase => ({
    kind: 'ready',
    scenario,
    spread: left ? own : withCarrier(own, path, world, scenario.exit.time_s),
    release,
  });
  switch (leaves.kind) {
    case 'as planned':
      return ready(scenarioOf(plan, world), null);
    case 'late':
      return ready(scenarioOf(plan, world, plan.jumper, lateExit(plan, leaves.delay_s, path)), null);
    case 'during ascent': {
      const point = path === null ? null : ascentPoint(path, leaves.height_m);
      if (point === null)
        return { kind: 'not flown', why: `the carrier does not pass ${number(leaves.height_m)} m MSL on its way up` };
      return ready(scenarioOf(plan, world, plan.jumper, exitAt(point)), point);
    }
    case 'with the gondola': {
      const { height_m } = leaves;
      const point =
        height_m === null
          ? releasePoint({ mission: plan, state: situation.state }, path)
          : path === null
            ? null
            : ascentPoint(path, height_m);
      if (point === null || plan.gondola === undefined)
        return {
          kind: 'not flown',
          why:
            height_m === null || path === null
              ? 'the plan names no carrier to be released from'
              : `the carrier does not pass ${number(height_m)} m MSL on its way up`,
        };
      const { release: _release, ...gondola } = plan.gondola;
      const body = { ...gondola, mass_kg: gondola.mass_kg + plan.jumper.mass_kg };
      return ready(scenarioOf(plan, world, body, exitAt(point)), point);
    }
    default:
      return never(leaves);
  }
}

/**
 * The planned exit moved by what the carrier moves meanwhile: a plan may stand beside the carrier's line, and stays
 * beside it.
 */
function lateExit(plan: Mission, delay_s: number, path: CarrierPath | null): Exit {
  const planned_s = epoch_s(plan.exit.time);
  const before = path === null ? null : carrierAt(path, planned_s);
  const after = path === null ? null : carrierAt(path, planned_s + delay_s);
  const time = isoOf(planned_s + delay_s);
  if (before === null || after === null) return { ...plan.exit, time };
  const [lon, lat] = plan.exit.position;
  const position: LonLat = [lon + after.position[0] - before.position[0], lat + after.position[1] - before.position[1]];
  return { ...plan.exit, position, time };
}

/** The carrier on its way up at a height, straight between its points; null where it does not pass it. */
function ascentPoint({ points }: CarrierPath, height_m: number): CarrierPoint | null {
  for (let i = 0; i + 1 < points.length; i++) {
    const a = points[i];
    const b = points[i + 1];
    if (
      a === undefined ||
      b === undefined ||
      !(a.height_m <= height_m && height_m <= b.height_m && b.height_m > a.height_m)
    )
      continue;
    const x = (height_m - a.height_m) / (b.height_m - a.height_m);
    return {
      time_s: a.time_s + x * (b.time_s - a.time_s),
      position: [
        a.position[0] + x * (b.position[0] - a.position[0]),
        a.position[1] + x * (b.position[1] - a.position[1]),
      ],
      height_m,
      velocity_mps: a.velocity_mps,
    };
  }
  return null;
}

/**
 * The outlook of a ready case, and what its ensemble draws. With the same seed, member i of every case has the same
 * draws.
 */
export function caseEnsemble(
  ready: Extract<ReadyCase, { kind: 'ready' }>,
  seed: number,
): { outlook: Outlook; setup: EnsembleSetup } {
  const outlook = outlookOf(ready.scenario);
  return { outlook, setup: { scenario: ready.scenario, error: outlook.error, spread: ready.spread, seed } };
}

/** "If they leave now, here": one exit on the way up, in the analysed wind of the site. */
export type AscentExit =
  | { readonly kind: 'exit'; readonly exit: ExitState; readonly prediction: Prediction }
  | { readonly kind: 'no exit'; readonly why: string };

/**
 * The descent that an exit at a height of the ascent would make.
 *
 * path   the carrier's way: keep it while a slider moves
 * Cost   below 1 ms with a path (2-core server, Node 20), so that a slider follows the hand
 * Error  the reports' correction is that of the site's column: some metres to tens of metres from the case's own
 *        outlook, which takes
 *        it where and when each height is passed (`tests/mission/cases.test.ts`)
 */
export function exitDuringAscent(
  situation: Situation,
  height_m: number,
  path: CarrierPath | null = carrierOf(situation),
): AscentExit {
  const { mission, world } = situation;
  if (path === null || mission.carrier?.kind !== 'balloon')
    return { kind: 'no exit', why: 'no balloon rises in this plan' };
  const point = ascentPoint(path, height_m);
  if (point === null) {
    const { launch, float_m } = mission.carrier;
    return {
      kind: 'no exit',
      why:
        `the balloon rises from ${number(launch.elevation_m)} to ${number(float_m)} m MSL and does not pass ` +
        `${number(height_m)} m`,
    };
  }
  const scenario = scenarioOf(mission, world, mission.jumper, exitAt(point));
  return { kind: 'exit', exit: scenario.exit, prediction: predict(scenario, world.analysis?.increment ?? null) };
}
