// The calls that everybody listens for, and each crew's task on each of them. The words are plain ones of the trade;
// the times come from the plan, the advice and the approach. Advisory only: a pilot and a crew's
// lead decide for themselves.
import { PEOPLE_M } from '../recovery/landable.ts';
import { clock, roughDuration, clockMinute, sinceExit } from '../words/times.ts';
import type { Outlook } from '../descent/outlook.ts';
import type { Declination } from '../earth/declination.ts';
import type { BriefItem } from './model.ts';
import type { CrewSource } from './source.ts';
import { awayWords } from '../words/places.ts';
import { bothNorths } from '../words/positions.ts';
import { distance } from '../words/lengths.ts';
import { quantity } from '../words/numbers.ts';
import { directionWords } from '../words/winds.ts';
import type { Approach } from '../recovery/approach.ts';
import { STANDBY_BEFORE_S } from '../recovery/standby.ts';

export type Call =
  | 'EXIT'
  | 'CANOPY OPEN'
  | 'NO CANOPY'
  | 'TOUCHDOWN'
  | 'CANOPY GATHERED'
  | 'HOLD'
  | 'CORRECTION'
  | 'GONDOLA RELEASED'
  | 'GONDOLA DOWN';

/** What a call is, who says it, what it means to all. */
export const CALLS: readonly { readonly call: Call; readonly from: string; readonly means: string }[] = [
  { call: 'EXIT', from: 'lead', means: 'the jumper has left: T is zero' },
  { call: 'CANOPY OPEN', from: 'who sees it first', means: 'with bearing and height; watched from now on' },
  { call: 'NO CANOPY', from: 'lead', means: 'nothing opened: all stay and listen for the place' },
  { call: 'TOUCHDOWN', from: 'who sees it', means: 'with the place; vehicles and boats go, helicopters hold' },
  { call: 'CANOPY GATHERED', from: 'first crew at the jumper', means: 'the helicopter may approach' },
  { call: 'HOLD', from: 'anyone', means: 'all stop where they are and listen' },
  { call: 'CORRECTION', from: 'lead', means: 'change your sheet and read back' },
];
export const GONDOLA_CALLS: typeof CALLS = [
  { call: 'GONDOLA RELEASED', from: 'lead', means: 'the gondola has left the balloon and comes down' },
  { call: 'GONDOLA DOWN', from: 'who sees it', means: 'with the place; its crew goes' },
];

/** How long after the predicted opening a missing call is taken for a missing canopy. Ours. */
export const NO_CALL_S = 60;

export interface Clockwork {
  readonly exit_s: number;
  /** Whether the exit is in the log: only then is T a time of the clock. */
  readonly left: boolean;
  readonly opening_s: number | null;
  readonly touchdown_s: number | null;
  readonly release_s: number | null;
  readonly gondolaDown_s: number | null;
}

/** Exit and opening by the whole descent, the touchdown by what is expected of it now. */
export function clockworkOf(
  planned: Outlook,
  expected: Outlook,
  left: boolean,
  gondola: { readonly release_s: number; readonly touchdown_s: number | null } | null,
): Clockwork {
  const { opening } = planned.prediction;
  const { landing } = expected.prediction;
  const exit_s = planned.scenario.exit.time_s;
  return {
    exit_s,
    left,
    opening_s: opening === null ? null : exit_s + opening.time_s,
    touchdown_s: landing === null ? null : expected.scenario.exit.time_s + landing.time_s,
    release_s: gondola?.release_s ?? null,
    gondolaDown_s: gondola?.touchdown_s ?? null,
  };
}

/** A time after the exit as every crew counts it: "T+9:08", with the clock beside it once the exit is in the log. */
export const onClock = ({ exit_s, left }: Clockwork, at_s: number): string =>
  left ? `${sinceExit(at_s - exit_s)} (${clock(at_s)})` : sinceExit(at_s - exit_s);

/** When the crew is at its standby, and when it must leave its base to be there. */
export const standbyBy_s = (times: Clockwork): number => times.exit_s - STANDBY_BEFORE_S;

interface TaskFacts {
  readonly at_s: number;
  readonly declination: Declination;
  /** Whether a helicopter comes to the jumper, from which people must be kept. */
  readonly withHelicopter: boolean;
}

/** A crew's tasks, one call per line, in the order in which the calls come. */
export function tasksOf(
  source: CrewSource,
  times: Clockwork,
  { at_s, declination, withHelicopter }: TaskFacts,
): BriefItem[] {
  if (source.status === 'refused') return [refusedTask(source)];
  const after =
    source.goal.name === 'gondola' ? gondolaTasks(source) : jumperTasks(source, times, declination, withHelicopter);
  const rows = times.left ? after : [beforeTask(source, times, at_s), ...after];
  return rows.map(([call, task]) => ({
    key: `crew.${source.crew.name}.task.${call.startsWith('By ') ? 'before' : call.toLowerCase().replaceAll(' ', '-')}`,
    label: call,
    text: task,
    cells: [task],
  }));
}

/** The calls of a refused crew: it does nothing, and is told why. */
function refusedTask({ crew, why }: CrewSource): BriefItem {
  const text = `you do not go: ${why ?? 'no way is open'}. Stay where you are and listen`;
  return { key: `crew.${crew.name}.task.refused`, label: 'All calls', text, cells: [text] };
}

type Row = readonly [call: string, task: string];

/** "the shore, 350 m toward 270° (west) from the jumper": the nearest, for those who wait there. */
const nearestShore = ({ shore }: Pick<CrewSource, 'shore'>): string =>
  shore === null ? 'the shore' : `the shore, ${distance(shore.distance_m)} toward ${directionWords(shore.toward_deg)}`;

function jumperTasks(source: CrewSource, times: Clockwork, declination: Declination, withHelicopter: boolean): Row[] {
  const { crew, approach } = source;
  const lost: Row = ['NO CANOPY', noCanopy(times)];
  if (crew.kind === 'boat') return [...boatTasks(source, withHelicopter), lost];
  if (crew.kind === 'vehicle')
    return [...(source.ends === 'shore' ? shoreTasks(source) : vehicleTasks(crew.medical, withHelicopter)), lost];
  const ready = `make ready (${roughDuration(crew.ready_s)})`;
  if (approach === null) return [['EXIT', ready], ['TOUCHDOWN', 'as lead says: no approach could be worked out'], lost];
  const { leave, setDown } = approach;
  const first: Row[] =
    leave.on === 'canopy open and seen'
      ? [
          ['EXIT', ready],
          ['CANOPY OPEN', `leave at ${onClock(times, leave.at_s)} for the hold; canopy in sight, never over it`],
          approach.alone ? ['TOUCHDOWN', 'from the hold by the gates'] : ['TOUCHDOWN', 'wait at the hold'],
        ]
      : [
          ['EXIT', 'stay'],
          ['TOUCHDOWN', `${ready}, then to the hold`],
        ];
  const where = setDownWords(approach);
  const final = `final ${bothNorths(approach.final_deg, declination)}, from behind and below; ${where}`;
  if (approach.alone && setDown.kind === 'ground')
    return [
      ...first,
      ['SET DOWN', `${final}; one of you walks in, gathers and holds the canopy, then calls CANOPY GATHERED`],
      lost,
    ];
  if (setDown.kind === 'shore') return [...first, ['SET DOWN', final], lost];
  if (approach.alone)
    return [
      ...first,
      ['LEAD ACCEPTS', `${final}; nobody gathers the canopy before you: only on the lead's word`],
      lost,
    ];
  return [...first, ['CANOPY GATHERED', final], lost];
}

function setDownWords({ jumper, setDown }: Approach): string {
  if (setDown.kind === 'hoist') return 'let down by hoist';
  const away = awayWords(jumper, setDown.position);
  const from = `${away === null ? 'beside' : `${away} from`} the jumper`;
  return setDown.kind === 'ground'
    ? `set down ${from}, no nearer`
    : `set down at the shore, ${from}; wait there: nobody goes into the water`;
}

/** Lines in a propeller stop the boat beside somebody who needs it. Common practice. */
function boatTasks(source: CrewSource, withHelicopter: boolean): Row[] {
  const people = withHelicopter ? '; call CANOPY GATHERED; then clear of the helicopter' : '';
  const go =
    'go; come up into the wind, propeller still before the canopy and its lines; the person first, then the canopy';
  return [
    ['EXIT', 'engine on'],
    ['CANOPY OPEN', 'watch it; call its bearing; stay'],
    [
      'TOUCHDOWN',
      source.ends === 'nothing' ? `on land: stay on the water. In the water: ${go}${people}` : `${go}${people}`,
    ],
  ];
}

const shoreTasks = (source: CrewSource): Row[] => [
  ['EXIT', 'engine on'],
  ['CANOPY OPEN', 'watch it; call its bearing; stay'],
  [
    'TOUCHDOWN',
    `go to ${nearestShore(source)} of the jumper, and wait there: nobody goes into the water; take over from boat or ` +
      'helicopter',
  ],
];

function vehicleTasks(medical: boolean, withHelicopter: boolean): Row[] {
  const atJumper = medical ? 'care first' : 'gather the canopy';
  const people = withHelicopter
    ? `; call CANOPY GATHERED; keep people ${quantity(PEOPLE_M, 'm')} off the helicopter`
    : '';
  return [
    ['EXIT', 'engine on'],
    ['CANOPY OPEN', 'watch it; call its bearing; stay'],
    ['TOUCHDOWN', `go; stop short, walk in; ${atJumper}${people}`],
  ];
}

const noCanopy = (times: Clockwork): string =>
  times.opening_s === null
    ? 'stay until lead says where'
    : `or none open by ${sinceExit(60 * Math.ceil((times.opening_s - times.exit_s + NO_CALL_S) / 60 - 1e-9))}: ` +
      'stay until lead says where';

/** Where the crew should be when, and when it must leave for it; late where it can no longer be there in time. */
function beforeTask(source: CrewSource, times: Clockwork, at_s: number): Row {
  const by_s = standbyBy_s(times);
  const engine = source.crew.waits === 'running' ? 'engine running' : 'engine off';
  const label = by_s < at_s ? 'Now' : `By ${clockMinute(by_s)}`;
  if (source.status === 'proposed')
    return [label, `stay where you are: the standby is proposed, not ordered, until lead says so; ${engine}`];
  if (source.getThere_s === 0) return [label, `you are at standby; ${engine}; radio check`];
  const leave_s = by_s - source.getThere_s - (source.crew.kind === 'helicopter' ? source.crew.ready_s : 0);
  const there_s = at_s + by_s - leave_s;
  const late = there_s > times.exit_s ? ', after the exit: stop where you are at EXIT' : '';
  const how =
    leave_s < at_s ? `leave now, there about ${clockMinute(there_s)}${late}` : `leave by ${clockMinute(leave_s)}`;
  return [label, `at standby (${how}); ${engine}; radio check`];
}

function gondolaTasks(source: CrewSource): Row[] {
  const { crew, ends } = source;
  const go = {
    goal: 'go; parachute collapsed before anyone is near; call its place and state',
    shore: `go to ${nearestShore(source)} of the gondola, and wait there: nobody goes into the water`,
    nothing: 'on land: stay on the water',
  }[ends];
  return [
    ['GONDOLA RELEASED', `make ready (${roughDuration(crew.ready_s)}); look up and upwind`],
    ['TOUCHDOWN', 'of the jumper: stay, and leave that ground to the others'],
    ['GONDOLA DOWN', go],
    ['HOLD', 'stop where you are'],
  ];
}
