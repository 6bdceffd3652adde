// Where the numbers of the decision come from: limits, shares, ellipses, quantiles, the fits of zones.
import type { Judged } from '../../../core/advice/limits.ts';
import { SCORE_RULES, type FitScore, type ZoneFit } from '../../../core/advice/zoneFit.ts';
import { spreadOf } from '../../../core/descent/spread.ts';
import type { Quantiles, Share } from '../../../core/descent/statistics.ts';
import type { Mission } from '../../../core/plan/schema.ts';
import { never } from '../../../core/base/problem.ts';
import { FORECAST_STD_MPS } from '../../../core/winds/errorFigures.ts';
import type { Provenance } from '../stored/tellers.ts';
import { distance, height } from '../../../core/words/lengths.ts';
import {
  NEARLY_ALL,
  number,
  percent,
  quantity,
  THIN,
  type Units,
  trimmed,
  capital,
} from '../../../core/words/numbers.ts';
import { noValue, type Input } from './provenance.ts';

export function limitWhy({ limit, value }: Judged): Provenance {
  const now = value.kind === 'known' ? `Its value now is ${value.how}.` : `It has no value now: ${value.why}.`;
  const breaks = limit.severity === 'no-go' ? 'While it is broken nobody exits.' : 'While it is broken, wait.';
  return {
    key: `limit/${limit.name}`,
    title: capital(limit.label),
    sentence: `${now} The limit is from: ${limit.source}. ${breaks}`,
    inputs: [{ label: 'limit', value: limit.source, field: `limits.${limit.name}` }, ...limitInputs(limit.name)],
  };
}

/** What is left to a limit. `words`: a value of this limit as it is read. */
export function leftWhy({ limit, value, margin }: Judged, words: (value: number) => string): Provenance {
  const key = `limit/${limit.name}/left`;
  const title = `${capital(limit.label)}, what is left`;
  const inputs = [
    { label: 'limit', value: words(limit.number), field: `limits.${limit.name}` },
    ...limitInputs(limit.name),
  ];
  if (value.kind !== 'known' || margin === null) {
    const why = value.kind === 'known' ? 'it could not be computed' : value.why;
    return { key, title, ...noValue(why, inputs) };
  }
  const [now, held] = [
    `the value now, ${words(value.value)} (${value.how})`,
    `the limit, ${words(limit.number)} (${limit.source})`,
  ];
  const sum = limit.keep === 'below' ? `${held}, less ${now}` : `${now}, less ${held}`;
  const side = limit.keep === 'below' ? 'at or below' : 'at or above';
  const state = margin < 0 ? ' It is below 0: by so much the limit is broken.' : '';
  const error =
    value.error === undefined ? '' : `, or than the value’s own error (one standard deviation), ${words(value.error)}`;
  const close =
    limit.unit === 'share'
      ? '2 in 100 or half the limit'
      : `a tenth of the limit, ${words(Math.abs(limit.number) / 10)}`;
  return {
    key,
    title,
    sentence:
      `${capital(sum)}; the value must stay ${side} it.${state} It is called close where less is left than ` +
      `${close}${error}. What is shown here is rounded.`,
    inputs,
  };
}

function limitInputs(name: Judged['limit']['name']): Input[] {
  switch (name) {
    case 'zoneProbability':
    case 'hazardProbability':
    case 'deadlyHazardProbability':
    case 'waterProbability':
    case 'exitOffLine_m':
      return [{ label: 'exit', value: 'position', field: 'exit.position' }];
    case 'openingShock_g':
      return [{ label: 'filling', value: 'time', field: 'canopy.fill' }];
    case 'daylight_s':
    case 'exitOverdue_s':
    case 'exitInWindow_s':
    case 'windsAloftAge_s':
    case 'oxygenReserve_s':
    case 'exitKnown_s':
    case 'forecastRun_s':
    case 'oxygenCaseProbability':
    case 'coldCaseProbability':
      return [{ label: 'exit', value: 'time', field: 'exit.time' }];
    case 'planLacks':
    case 'windQuestions':
    case 'blownBack_mps':
    case 'lee_heights':
    case 'leePattern_heights':
    case 'leeHelicopter_heights':
    case 'crestWind_mps':
    case 'visibility_m':
    case 'visibilityHigh_m':
    case 'surfaceWind_mps':
    case 'gust_mps':
    case 'windShear_mps':
    case 'windStep_mps':
    case 'surfaceWindAge_s':
    case 'cloudClearance_m':
    case 'listItems':
      return [];
    default:
      return never(name);
  }
}

/** The uncertainties that a spread depends on most, with the fields in which they are typed. */
export function uncertainInputs(mission: Mission, units: Units): Input[] {
  const spread = spreadOf(mission.uncertainty, mission.jumper);
  const std = mission.uncertainty?.wind?.std_mps ?? FORECAST_STD_MPS;
  const knots = std
    .map(([h, value]) => `${number(value, 1)} at ${height(h, { ...units, height: 'MSL' }, 0)}`)
    .join(', ');
  return [
    { label: 'wind error, m/s', value: knots, field: 'uncertainty.wind.0' },
    {
      label: 'exit position',
      value: `± ${distance(spread.exitPosition_m, units)}`,
      field: 'uncertainty.exitPosition_m',
    },
    { label: 'exit time', value: `± ${quantity(spread.exitTime_s, 's')}`, field: 'uncertainty.exitTime_s' },
    { label: 'drag area', value: `± ${number(100 * spread.dragArea_rel)}${THIN}%`, field: 'uncertainty.dragArea_rel' },
    { label: 'sink', value: `± ${number(100 * spread.canopySink_rel)}${THIN}%`, field: 'uncertainty.canopySink_rel' },
  ];
}

/** What an ellipse of drawn landings is. */
export const sizeSentence = (percent: '50' | '90', drawn: number): string =>
  `Half axes of the ellipse that holds ${percent} of 100 of a normal distribution with the mean and ` +
  `covariance of ${number(drawn)} drawn landings.`;

export function ellipseWhy(percent: '50' | '90', members: number, mission: Mission, units: Units): Provenance {
  return {
    key: `spread/${percent}`,
    title: `${percent}${THIN}% within`,
    sentence:
      `${sizeSentence(percent, members)} Each was flown with its own wind, body, canopy and exit, drawn about ` +
      'the plan by the uncertainties.',
    inputs: uncertainInputs(mission, units),
  };
}

/** The drawn descents that a share or a quantile is of. */
export interface SampleOf {
  readonly members: number;
  /** Of them, how many do not reach the ground. */
  readonly lost: number;
  readonly mission: Mission;
  readonly units: Units;
  /** From where the descent is predicted once it has begun, as a sentence; null: from the planned exit. */
  readonly basis: string | null;
}

const fromWords = ({ basis }: SampleOf): string => (basis === null ? ' from the planned exit' : '');
const basisWords = ({ basis }: SampleOf): string => (basis === null ? '' : ` ${basis}`);

export function shareWhy(of: SampleOf, name: string, { p }: Share): Provenance {
  const landed = of.members - of.lost;
  const hits = `${number(Math.round(p * landed))} of ${number(landed)} drawn descents${fromWords(of)} come down there`;
  return {
    key: `share/${name}`,
    title: name,
    sentence: `${hits}. The error beside it is that of the sample alone, one standard error.${basisWords(of)}`,
    inputs: uncertainInputs(of.mission, of.units),
  };
}

export type QuantileName = 'p05' | 'p50' | 'p95';

const BELOW: Readonly<Record<QuantileName, string>> = { p05: percent(0.05), p50: 'half', p95: NEARLY_ALL };

/** A row of the quantiles: what it is of each drawn descent, as a sentence, and how its values are said. */
export interface QuantileRow {
  readonly name: string;
  readonly what: string;
  readonly quantiles: Quantiles;
  readonly words: (value: number) => string;
}

export const quantileKey = ({ name }: Pick<QuantileRow, 'name'>, which: QuantileName): string =>
  `quantile/${name}/${which}`;

export function quantileWhy(of: SampleOf, row: QuantileRow, which: QuantileName): Provenance {
  const { name, what, quantiles, words } = row;
  const landed = of.lost === 0 ? '' : `, ${number(of.members - of.lost)} of which reach the ground`;
  const drawn = `${number(of.members)} drawn descents${fromWords(of)}${landed}`;
  const all = (['p05', 'p50', 'p95'] as const).map((one) => `${BELOW[one]} below ${words(quantiles[one])}`);
  return {
    key: quantileKey(row, which),
    title: `${name}, ${BELOW[which]} are below it`,
    sentence:
      `${what} Of ${drawn}, their values in order, ${all[0]}, ${all[1]} and ${all[2]}; between two of them the ` +
      `number lies in proportion.${basisWords(of)}`,
    inputs: uncertainInputs(of.mission, of.units),
  };
}

/** The fit of a zone among `count` that are ranked: the mean that `rankedNow` takes, term by term. */
export function fitWhy(fit: ZoneFit, rank: number, count: number): Provenance {
  const parts = fit.parts.toSorted((a, b) => b.weight - a.weight);
  const total = parts.reduce((sum, one) => sum + one.weight, 0);
  const product = parts.reduce((sum, one) => sum + one.weight * one.score, 0);
  const terms = parts.map((one) => `${one.part} ${number(one.score, 2)}${THIN}×${THIN}${weightWords(one.weight)}`);
  const mean =
    total > 0
      ? `Score times weight, part by part: ${terms.join(', ')}. Together that is ${number(product, 2)}, of ` +
        `${number(total, 2)} were every score 1: ${number(100 * fit.score)} of 100.`
      : 'Every weight is 0, so no part counts and the fit is 0.';
  const missing = fit.parts.some((one) => one.part === 'chance')
    ? ''
    : ' No exit can be judged, so chance and reach are left out.';
  return {
    key: `fit/${fit.zone.name}`,
    title: `${fit.zone.name}, fit`,
    sentence:
      `${mean}${missing} ` +
      `${count === 1 ? 'It is the only zone of the plan' : `It ranks ${number(rank)} of the ${number(count)} zones, the largest fit first`}; a weight that the plan does not name is this program’s own.`,
    inputs: parts.map(weightInput),
  };
}

const weightWords = (weight: number): string => trimmed(weight, 2);

const weightInput = ({ part, weight }: FitScore): Input => ({
  label: `weight of ${part}`,
  value: weightWords(weight),
  field: `zones.weight.${part}`,
});

export function partWhy(fit: ZoneFit, part: FitScore): Provenance {
  return {
    key: `fit/${fit.zone.name}/${part.part}`,
    title: `${fit.zone.name}, ${part.part}`,
    sentence:
      `${part.reason.charAt(0).toUpperCase()}${part.reason.slice(1)}. ${SCORE_RULES[part.part]} From 0, ` +
      'unusable on this account, to 1, nothing to wish for; the fit is the mean of the scores by their weights.',
    inputs: [weightInput(part)],
  };
}
