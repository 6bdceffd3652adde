// Where the crews' numbers come from: times to the landings, fuel, the way, the gates of an approach, when it was last
// heard. A crew's speeds, fuel and place stand in the plan's file; of them its standby alone has a field.
import type { Gate } from '../../../core/recovery/final.ts';
import type { BoardRow } from '../../../core/recovery/crewBoard.ts';
import type { Crew } from '../../../core/recovery/crews.ts';
import { howReached, type ReachSummary } from '../../../core/recovery/reachTimes.ts';
import { formatPosition } from '../../../core/words/positions.ts';
import type { Mission } from '../../../core/plan/schema.ts';
import { never } from '../../../core/base/problem.ts';
import type { CrewShown, RecoveryAnswer } from '../../../core/work/recoveryWork.ts';
import type { LonLat } from '../../../core/base/units.ts';
import { age, clock, duration } from '../../../core/words/times.ts';
import { NEARLY_ALL, number, THIN, type Units } from '../../../core/words/numbers.ts';
import { speed } from '../../../core/words/winds.ts';
import { uncertainInputs } from './decideWhy.ts';
import type { Provenance } from '../stored/tellers.ts';
import { noValue, type Input, type Told } from './provenance.ts';

export type CrewNumber = 'p50' | 'p95' | 'all' | 'fuel' | 'heard' | 'way';

/** What the numbers were worked out from, and how they are said. */
export interface CrewOf {
  readonly shown: CrewShown;
  /** From where it is, or from where it was tried. */
  readonly times: BoardRow;
  /** Whether the times are those from a place where it was tried. */
  readonly trying: boolean;
  readonly cases: RecoveryAnswer['cases'];
  readonly mission: Mission;
  readonly units: Units;
  /** The moment that is shown, s since 1970. */
  readonly at_s: number;
}

export const crewKey = (name: string, of: CrewNumber): string => `crew/${name}/${of}`;
export const standbyField = (name: string): string => `crew.${name}.standby`;

const titles: Readonly<Record<CrewNumber, string>> = {
  p50: 'time to the landing, half within',
  p95: `time to the landing, ${NEARLY_ALL} within`,
  all: 'time to the landings of all cases',
  fuel: 'time on scene',
  heard: 'last heard',
  way: 'way to the landing',
};

export const until = (s: number): string => (s < Infinity ? duration(s) : 'never');

export function crewWhy(of: CrewOf, column: CrewNumber): Provenance {
  const { name } = of.shown.crew;
  return { key: crewKey(name, column), title: `${name}, ${titles[column]}`, ...told(of, column) };
}

function told(of: CrewOf, column: CrewNumber): Told {
  const { mission, units, times, shown } = of;
  // Where a crew was heard counts before the place where it is to wait.
  const inputs = [...(times.placedBy === 'standby' ? standbyInput(of) : []), ...uncertainInputs(mission, units)];
  const gondola = shown.goal.name === 'gondola';
  switch (column) {
    case 'p50':
    case 'p95': {
      const reach = gondola ? times.toGondola : times.asPlanned;
      if (reach === null) return noValue('the plan has no gondola', inputs);
      return {
        sentence:
          `${reachWords(reach, landingsWords(of, gondola), gondola)} ${fromWords(of)} ` +
          howReached(of.shown.crew, of.units),
        inputs,
      };
    }
    case 'all': {
      const all = 'the drawn landings of all cases, each case by what it counts';
      return {
        sentence: `${reachWords(times.allCases, all, false)} ${fromWords(of)} ${howReached(of.shown.crew, of.units)}`,
        inputs,
      };
    }
    case 'fuel':
      return { sentence: fuelWhyWords(of), inputs };
    case 'heard':
      return { sentence: heardWords(of), inputs: [] };
    case 'way':
      return { sentence: wayWords(of), inputs: standbyInput(of) };
    default:
      return never(column);
  }
}

function landingsWords({ cases }: CrewOf, gondola: boolean): string {
  if (gondola) return 'the drawn landings of the gondola';
  // The first case that reaches the ground and counts is the first group of landings: the flight as planned, where that
  // lands.
  const first = cases.map(({ row }) => row).find((row) => row.kind === 'lands' && row.case.weight > 0);
  return first?.kind === 'lands'
    ? `${number(first.drawn)} drawn landings of the case “${first.case.name}”`
    : 'the drawn landings';
}

function reachWords({ p50_s, p95_s, mean_s, unreached }: ReachSummary, landings: string, gondola: boolean): string {
  const mean = Number.isFinite(mean_s) ? `; the mean over those that it reaches is ${duration(mean_s)}` : '';
  const none =
    unreached > 0.0005
      ? ` To ${number(100 * unreached, 1)}${THIN}% of them it finds no way: they count as endless.`
      : '';
  return (
    `Of ${landings} it reaches half within ${until(p50_s)} and ${NEARLY_ALL} within ${until(p95_s)}, counted ` +
    `from ${gondola ? 'the gondola’s landing' : 'touchdown'}${mean}.${none}`
  );
}

function placeWords({ shown }: Pick<CrewOf, 'shown'>, place: LonLat): string {
  return formatPosition(place, shown.crew.team.coordinates ?? 'degrees-minutes', 10);
}

const at = ({ units }: CrewOf, time_s: number): string => clock(time_s, units);

function fromWords(of: CrewOf): string {
  const { times, trying } = of;
  const place = placeWords(of, times.position);
  if (trying) return `It is taken to wait where it was put, ${place}.`;
  if (times.placedBy === 'last heard')
    return `It is taken to be where it was last heard at ${at(of, times.heard_s ?? NaN)}, ${place}.`;
  return `It was never heard, so it is taken to be at its place by the plan, ${place}.`;
}

function fuelWhyWords(of: CrewOf): string {
  const { times, shown } = of;
  const { crew } = shown;
  const { fuel } = times;
  const { hospital } = of.mission;
  if (crew.kind !== 'helicopter') return 'There is no value: fuel is counted for helicopters alone.';
  if (fuel.kind === 'not given' || crew.endurance_s === null) return 'There is no value: the plan gives no endurance.';
  const flown_s = fuel.needed_s - crew.reserve_s;
  const reserve =
    crew.team.reserve_s === undefined
      ? ' (20 min at cruise under visual rules, 14 CFR 91.151: the plan gives none)'
      : '';
  const sum =
    `Endurance by the plan, ${duration(crew.endurance_s)}, less the reserve, ` +
    `${duration(crew.reserve_s)}${reserve}, less ${duration(flown_s)} of ` +
    `flight${crew.waits === 'running' ? ' and waiting' : ''}`;
  const waits =
    crew.waits === 'running'
      ? `, the wait there with the rotor turning from ten minutes before the exit until ${NEARLY_ALL} are down`
      : '';
  const legs =
    `from its base, ${placeWords(of, crew.base)}, to where it is taken to be${waits}, the start-up, by the hold ` +
    `to the landings, and ${hospital === undefined ? '' : `by ${hospital.name} `}home; of those of all cases the ` +
    'farthest but five in a hundred.';
  const short = fuel.kind === 'short' ? ` That is below 0: ${duration(fuel.by_s)} are missing.` : '';
  return `${sum}: ${legs}${short} ${fromWords(of)}`;
}

function heardWords(of: CrewOf): string {
  const { heard_s } = of.times;
  if (heard_s === null) return 'There is no value: no position of it is in the log.';
  const ago_s = Math.max(0, of.at_s - heard_s);
  return (
    `Its last position in the log is of ${at(of, heard_s)}, ${placeWords(of, of.times.position)}; the moment ` +
    `that is shown is ${at(of, of.at_s)}: ${age(ago_s)} later.`
  );
}

function wayWords(of: CrewOf): string {
  const { shown, units } = of;
  const { crew, route, standby, status, goal } = shown;
  const whose = status === 'proposed' ? 'as this program proposes' : 'by the plan';
  const from =
    `From where it is to wait ${whose}, ${placeWords(of, standby)}, to the ` +
    `${goal.name === 'gondola' ? 'middle of the gondola’s drawn landings' : 'predicted landing of the jumper'}, ${placeWords(of, goal.position)}`;
  if (route.kind === 'no way') return `${from}: there is no way, ${route.why}.`;
  const ready = `Without the ${duration(crew.ready_s)} to make ready.`;
  if (crew.kind === 'helicopter')
    return (
      `${from}: by the hold and the gates, round what is kept clear, at ${speed(crew.speed_mps, units)} ` +
      `through the air in the wind ${number(crew.cruise_agl_m)}${THIN}m above the ground of the expected ` +
      `landing. ${ready}`
    );
  const legs = route.legs.map((leg) => `${leg.road ?? leg.kind} ${duration(leg.time_s)}`).join(', ');
  return `${from}, the quickest way${legs === '' ? '' : `: ${legs}`}; together ${duration(route.time_s)}. ${ready}`;
}

export const gateKey = (name: string, gate: Gate['name']): string => `crew/${name}/gate/${gate}`;

export const gateWhy = ({ name }: Crew, gate: Gate): Provenance => ({
  key: gateKey(name, gate.name),
  title: `${name}, gate ${gate.name}`,
  sentence: gate.how,
  inputs: [],
});

function standbyInput(of: CrewOf): Input[] {
  const { crew } = of.shown;
  const team = (of.mission.teams ?? []).find((one) => one.name === crew.name) ?? crew.team;
  return [{ label: 'waits at', value: placeWords(of, team.standby ?? team.position), field: standbyField(crew.name) }];
}
