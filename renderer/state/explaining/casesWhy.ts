// Where the numbers of the cases' table come from: landings, sizes, times, chances, the first crew, and what a weight
// counts.
import type { CaseRow } from '../../../core/recovery/caseTable.ts';
import type { FlightCase } from '../../../core/mission/cases.ts';
import type { Mission } from '../../../core/plan/schema.ts';
import type { RecoveryAnswer } from '../../../core/work/recoveryWork.ts';
import type { WindField } from '../../../core/winds/field.ts';
import { never } from '../../../core/base/problem.ts';
import { ellipseWhy, uncertainInputs } from './decideWhy.ts';
import { countWords, errorWords, hazardRule } from './exitsWhy.ts';
import { clock, duration } from '../../../core/words/times.ts';
import { direction } from '../../../core/words/winds.ts';
import { distance, height } from '../../../core/words/lengths.ts';
import { NEARLY_ALL, number, THIN, type Units } from '../../../core/words/numbers.ts';
import { whereWords } from '../../../core/recovery/where.ts';
import { provenanceOf, type Told } from './provenance.ts';
import type { Provenance } from '../stored/tellers.ts';

export type LandedCase = Extract<CaseRow, { kind: 'lands' }>;
export type CaseColumn = 'landing' | 'size' | 'touchdown' | 'time' | 'sink' | 'under canopy' | 'away' | 'first crew';

/** What the numbers were worked out from, and how they are said. */
export interface CasesOf {
  readonly answer: Pick<RecoveryAnswer, 'stage' | 'basis'>;
  readonly mission: Mission;
  readonly wind: WindField | null;
  readonly units: Units;
}

export const caseKey = (row: LandedCase, column: CaseColumn): string => `case/${row.case.name}/${column}`;

const columnTitles: Readonly<Record<CaseColumn, string>> = {
  landing: 'landing',
  size: `90${THIN}% within`,
  touchdown: 'touchdown',
  time: 'time to the ground',
  sink: 'impact',
  'under canopy': 'time under canopy',
  away: 'from the planned landing',
  'first crew': 'first crew',
};

export function caseWhy(of: CasesOf, row: LandedCase, column: CaseColumn): Provenance {
  const { sentence, inputs } = told(of, row, column);
  return {
    key: caseKey(row, column),
    title: `${row.case.name}, ${columnTitles[column]}`,
    sentence: `${sentence} ${thisCase(of, row)}`,
    inputs,
  };
}

/** What of the plan the case changes, and from where it is flown once the jumper has left. */
function thisCase({ answer }: CasesOf, { case: { meaning } }: LandedCase): string {
  const ended = /[.!?]$/.test(meaning) ? meaning : `${meaning}.`;
  return `The case: ${ended}${answer.stage === 'before the exit' ? '' : ` ${answer.basis}`}`;
}

function told(of: CasesOf, row: LandedCase, column: CaseColumn): Told {
  const { mission, units, wind } = of;
  const landing = (): Told => provenanceOf('landing', mission, wind, units);
  const { inputs } = provenanceOf('touchdown', mission, wind, units);
  const { time_s, times_s } = row;
  switch (column) {
    case 'landing': {
      const { sentence, inputs: from } = landing();
      const away = row.case.kind === 'as planned' || row.where.kind === 'inside' ? '' : ` ${awayWords(row, units)}`;
      return { sentence: `${sentence} ${whereWords(row.where, units)}.${away}`, inputs: from };
    }
    case 'away':
      return { sentence: awayWords(row, units), inputs: landing().inputs };
    case 'size':
      return ellipseWhy('90', row.drawn, mission, units);
    case 'touchdown': {
      const from =
        of.answer.stage === 'before the exit' ? 'the exit of this case' : 'the moment from which this case is flown';
      return {
        sentence:
          `${caseClock(of, row.exit_s)}, ${from}, and ${duration(time_s)} down to the ground in the analysed ` +
          'wind.',
        inputs,
      };
    }
    case 'time': {
      const drawn =
        `of ${number(row.drawn)} drawn descents 5 in 100 are shorter than ${duration(times_s.p05)}, half than ` +
        `${duration(times_s.p50)} and 95 in 100 than ${duration(times_s.p95)}`;
      return {
        sentence: `From ${caseClock(of, row.exit_s)} to the touchdown, predicted in the analysed wind; ${drawn}.`,
        inputs,
      };
    }
    case 'sink': {
      const { sentence, inputs: from } = landing();
      return { sentence: `Speed toward the ground at its end: no canopy opens. ${sentence}`, inputs: from };
    }
    case 'under canopy': {
      const opens = height(row.opens_m ?? NaN, { ...units, height: 'MSL' }, 0);
      return { sentence: `From the opening at ${opens} to the touchdown, predicted in the analysed wind.`, inputs };
    }
    case 'first crew':
      return { sentence: crewWords(row), inputs: uncertainInputs(mission, units) };
    default:
      return never(column);
  }
}

const caseClock = ({ units }: CasesOf, time_s: number): string => clock(time_s, units);

function awayWords({ away_m, bearing_deg }: LandedCase, units: Units): string {
  const by =
    away_m < 30 ? `less than ${distance(30, units)}` : `${distance(away_m, units)} toward ${direction(bearing_deg)}`;
  return (
    `It lies ${by} from the landing of the case as planned, by the geodesic on WGS 84: the middle ` +
    'of its drawn landings from the landing as planned, which is predicted in the analysed wind.'
  );
}

function crewWords({ firstCrew: first, drawn }: LandedCase): string {
  if (first === null) return 'No crew reaches a drawn landing of this case.';
  const far =
    first.p95_s < Infinity
      ? `${NEARLY_ALL} within ${duration(first.p95_s)}`
      : `fewer than ${NEARLY_ALL} have one at all`;
  const none = first.unreached > 0 ? ` To ${number(100 * first.unreached, 1)}${THIN}% of them no crew comes.` : '';
  return (
    `Of the medical crews, or of all where none is medical, ${first.crew.name} is first in most of the ` +
    `${number(drawn)} drawn landings. Half of them have their first crew, whichever it is, within ` +
    `${duration(first.p50_s)}, ${far}: counted from touchdown, each crew from where it was last heard, ` +
    `else from where it waits by the plan.${none}`
  );
}

/** The chance of a zone or of a hazard in a case. */
export function caseShareWhy(
  of: CasesOf,
  row: LandedCase,
  kind: 'zone' | 'hazard',
  name: string,
  p: number,
): Provenance {
  const rule = kind === 'hazard' ? ` (${hazardRule(of.units)})` : '';
  return {
    key: `case/${row.case.name}/${kind}/${name}`,
    title: `${row.case.name}, chance of ${name}`,
    sentence:
      `${countWords(row.drawn, p)} of this case come down there${rule}, ${errorWords(row.drawn, p)}. ` +
      thisCase(of, row),
    inputs: uncertainInputs(of.mission, of.units),
  };
}

export const weightField = ({ kind, name }: Pick<FlightCase, 'kind' | 'name'>): string =>
  `cases.weight.${kind}.${name}`;

/** What a case counts in all cases together. `own`: its weight before the weights are divided by their sum. */
export function weightWhy(one: FlightCase, own: number): Provenance {
  const percent = (share: number): string => `${number(100 * share, 1)}${THIN}%`;
  const sentence =
    own > 0
      ? `Its weight, ${percent(own)}, over the sum of the weights of all cases, ${percent(own / one.weight)}.`
      : one.weight > 0
        ? 'The weight of every case is 0: then all of them count the same.'
        : 'Its weight is 0.';
  const inputs = [{ label: 'weight', value: percent(own), field: weightField(one) }];
  return { key: `case/${one.name}/counts`, title: `${one.name}, counts as`, sentence, inputs };
}
