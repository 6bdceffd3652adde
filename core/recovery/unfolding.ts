// What is still open at a moment: before the exit every case; after it those that the log and the last fix allow, flown
// from there; after the touchdown the place alone. Weights of what is left are brought to a sum of 1. Times s since
// 1970.
import { height } from '../words/lengths.ts';
import { isoOf } from '../base/plainNumbers.ts';
import { emptyMembers } from '../descent/ensemble.ts';
import type { Outlook } from '../descent/outlook.ts';
import type { Landing } from '../descent/prediction.ts';
import { caseOutlooks, casesInSteps, flownCase, type CaseOptions, type CaseOutlook } from '../mission/caseOutlooks.ts';
import type { FlightCase } from '../mission/cases.ts';
import { clock } from '../words/times.ts';
import type { Situation } from '../mission/situation.ts';
import type { Steps } from '../base/steps.ts';
import { RAD_PER_DEG, type LonLat } from '../base/units.ts';
import { flyRest, lastKnown, type LastKnown } from '../mission/lostDescent.ts';
import { touchdownIn } from '../mission/touchdown.ts';

export interface Unfolding {
  readonly stage: 'before the exit' | 'falling' | 'under canopy' | 'down';
  /** What that is known from, in a sentence. */
  readonly basis: string;
  readonly outlooks: readonly CaseOutlook[];
}

/** `planned`: the descent of the plan in the analysed wind. */
export function* unfold(
  situation: Situation,
  planned: Outlook,
  cases: readonly FlightCase[],
  options: CaseOptions,
): Steps<Unfolding> {
  const down = touchdownIn(situation.state);
  if (down !== null)
    return {
      stage: 'down',
      basis: `Touchdown is in the log, ${clock(down.time_s)}.`,
      outlooks: downAt(situation, planned, cases, down.place, down.time_s),
    };
  const left = situation.state.marks.get('exit');
  const known = lastKnown(situation, planned);
  if (known !== null) return fromFix(situation, planned, cases, known, options);
  if (left === undefined)
    return {
      stage: 'before the exit',
      basis: 'The exit is not in the log.',
      outlooks: yield* casesInSteps(situation, cases, options),
    };
  return fromExit(situation, cases, left, options);
}

const GONE = 'it has not come to pass, by the log';

/** The open ones flown by `fly`, the others with the reason; in the order of the table. */
function narrowed(
  cases: readonly FlightCase[],
  open: readonly FlightCase[],
  fly: (one: FlightCase) => CaseOutlook | undefined,
): CaseOutlook[] {
  const sum = open.reduce((total, one) => total + one.weight, 0);
  return cases.map((one) => {
    if (!open.includes(one) || !(sum > 0)) return { kind: 'not flown', case: { ...one, weight: 0 }, why: GONE };
    const weighed = { ...one, weight: one.weight / sum };
    return fly(weighed) ?? { kind: 'not flown', case: weighed, why: 'it cannot be flown from here' };
  });
}

function fromFix(
  situation: Situation,
  planned: Outlook,
  cases: readonly FlightCase[],
  known: LastKnown,
  options: CaseOptions,
): Unfolding {
  const rest = flyRest(situation, cases, known, planned, options);
  const outlooks = narrowed(
    cases,
    rest.map((one) => one.case),
    (weighed) => {
      const flown = rest.find((one) => one.case.name === weighed.name);
      return flown === undefined ? undefined : flownCase(situation, weighed, flown.outlook, flown.members);
    },
  );
  const { fix, phase, because } = known;
  return {
    stage: phase,
    basis: `Last fix ${clock(fix.time_s)}, ${height(fix.height_m)}, ${phase}: ${because}.`,
    outlooks,
  };
}

/** After an exit that the log has, without a fix: the cases of that exit, from where and when it was. */
function fromExit(
  situation: Situation,
  cases: readonly FlightCase[],
  left: { readonly time_s: number; readonly position: LonLat | null; readonly height_m: number | null },
  options: CaseOptions,
): Unfolding {
  // A canopy that is open in the log ends every case in which none opens.
  const opened = situation.state.marks.get('opening');
  const open = cases.filter(
    (one) => one.leaves.kind === 'as planned' && (opened === undefined || one.plan.jumper.canopy !== undefined),
  );
  const time = isoOf(left.time_s);
  const outlooks = narrowed(cases, open, (weighed) => {
    const { exit } = weighed.plan;
    const from = {
      ...exit,
      time,
      position: left.position ?? exit.position,
      altitude_m: left.height_m ?? exit.altitude_m,
    };
    return caseOutlooks(situation, [{ ...weighed, plan: { ...weighed.plan, exit: from } }], options)[0];
  });
  const basis = `The exit is in the log, ${clock(left.time_s)}`;
  return opened === undefined
    ? { stage: 'falling', basis: `${basis}; no fix since.`, outlooks }
    : { stage: 'under canopy', basis: `${basis}, and the opening, ${clock(opened.time_s)}; no fix since.`, outlooks };
}

/** The jumper lies or stands at a place that is known: the first case carries it, and no other is left. */
function downAt(
  situation: Situation,
  planned: Outlook,
  cases: readonly FlightCase[],
  place: LonLat,
  time_s: number,
): CaseOutlook[] {
  const members = emptyMembers(0, 1);
  const exit_s = planned.scenario.exit.time_s;
  const elevation_m = situation.world.ground.heightAt(place[1] * RAD_PER_DEG, place[0] * RAD_PER_DEG);
  const rates = planned.prediction.landing ?? { groundSpeed_mps: 0, sink_mps: 0 };
  const landing: Landing = {
    time_s: time_s - exit_s,
    position: place,
    elevation_m,
    groundSpeed_mps: rates.groundSpeed_mps,
    sink_mps: rates.sink_mps,
  };
  members.lon_deg[0] = place[0];
  members.lat_deg[0] = place[1];
  members.elevation_m[0] = elevation_m;
  members.time_s[0] = landing.time_s;
  members.groundSpeed_mps[0] = landing.groundSpeed_mps;
  members.sink_mps[0] = landing.sink_mps;
  const outlook = { ...planned, prediction: { ...planned.prediction, landing } };
  return narrowed(cases, cases.slice(0, 1), (weighed) =>
    flownCase(situation, { ...weighed, weight: 1 }, outlook, members),
  );
}
