// `plumbline ensemble`: many drawn descents of the plan, as text for people or as the JSON of FORMAT.md.
import { duration } from '../../core/words/times.ts';
import { direction } from '../../core/words/winds.ts';
import { spreadSize } from '../../core/words/lengths.ts';
import { NEARLY_ALL, number, quantity, percent } from '../../core/words/numbers.ts';
import { expectedOf } from '../../core/mission/expected.ts';
import { statisticsOf, type LandingStatistics, type Share } from '../../core/descent/statistics.ts';
import { formatDegreesMinutes } from '../../core/words/positions.ts';
import { askMission, situationOf, wholeNumber } from './ask.ts';
import { REFUSED, type Output } from './output.ts';
import { flyMembers } from './workers.ts';

const MEMBERS_MAX = 1_000_000;

export async function runEnsemble(args: readonly string[], output: Output): Promise<number> {
  const ask = await askMission(
    'ensemble',
    args,
    { json: 'flag', members: 'value', seed: 'value', at: 'value', workers: 'value' },
    output,
  );
  if (ask === null) return REFUSED;
  const members = wholeNumber(
    'ensemble',
    'members',
    ask.options.members,
    { otherwise: 10_000, min: 1, max: MEMBERS_MAX },
    output,
  );
  const seed = wholeNumber('ensemble', 'seed', ask.options.seed, { otherwise: 1, min: 0, max: 2 ** 31 - 1 }, output);
  const workers = wholeNumber('ensemble', 'workers', ask.options.workers, { otherwise: 0, min: 0, max: 64 }, output);
  const situation = situationOf('ensemble', ask.loaded, ask.options.at, output);
  if (members === null || seed === null || workers === null || situation === null) return REFUSED;
  const { mission } = situation;
  const { outlook, spread, from } = expectedOf(situation);
  const { scenario, prediction, error } = outlook;
  const table = await flyMembers({ scenario, error, spread, seed }, members, workers);
  const statistics = statisticsOf(table, mission.landingZones ?? [], mission.hazards ?? []);
  if (statistics === null) {
    output.complain(`${ask.path}: no drawn descent reached the ground`);
    return REFUSED;
  }
  if (ask.options.json !== true)
    output.print(ensembleText(mission.name, statistics, seed, from === 'fix' ? 'the fix' : 'exit'));
  else output.print(JSON.stringify({ ...prediction, ...answerOf(statistics, members, seed) }));
  return 0;
}

const shares = (named: Readonly<Record<string, Share>>): Record<string, number> =>
  Object.fromEntries(Object.entries(named).map(([name, share]) => [name, share.p]));

/** What FORMAT.md says that `ensemble` adds, and what more there is. */
function answerOf(statistics: LandingStatistics, members: number, seed: number) {
  const { mean, covariance_m2, ellipses, inZone, inHazard, time_s, lost, groundSpeed_mps, sink_mps, shock_g } =
    statistics;
  return {
    members,
    seed,
    mean,
    covariance_m2,
    ellipses,
    inZone: shares(inZone),
    inHazard: shares(inHazard),
    time_s,
    lost,
    groundSpeed_mps,
    sink_mps,
    shock_g,
  };
}

const shareText = ({ p, error }: Share): string => `${percent(p, 1)} ± ${number(100 * error, 1)}`;

/** `since`: what the times of the statistics are counted from. */
export function ensembleText(
  name: string,
  statistics: LandingStatistics,
  seed: number,
  since: 'exit' | 'the fix',
): string {
  const { mean, ellipses, inZone, inHazard, time_s, members, lost, groundSpeed_mps, shock_g } = statistics;
  const ellipse = (share: '50' | '90'): string => {
    const one = ellipses[share];
    return `${spreadSize(Number(share), one)}, long axis ${direction(one.bearing_deg)} true`;
  };
  const rows: [string, string][] = [
    [
      'Descents',
      `${number(members)} drawn, seed ${seed}${lost > 0 ? `; ${lost} did not reach the ground and are left out` : ''}`,
    ],
    ['Mean landing', formatDegreesMinutes(mean)],
    ['Spread', ellipse('50')],
    ['', ellipse('90')],
    [
      'Touchdown',
      `${duration(time_s.p05)} to ${duration(time_s.p95)} after ${since} (90 of 100), median ${duration(time_s.p50)}`,
    ],
    [
      'Over ground',
      `${number(groundSpeed_mps.p05, 1)} to ${quantity(groundSpeed_mps.p95, 'm/s', 1)} at touchdown (90 of 100)`,
    ],
  ];
  if (shock_g !== null)
    rows.push([
      'Opening',
      `shock ${quantity(shock_g.p50, 'g', 1)}, ${NEARLY_ALL} below ${quantity(shock_g.p95, 'g', 1)}`,
    ]);
  for (const [zone, share] of Object.entries(inZone)) rows.push([zone, shareText(share)]);
  for (const [hazard, share] of Object.entries(inHazard)) rows.push([hazard, `${shareText(share)} (hazard)`]);
  const width = Math.max(...rows.map(([label]) => label.length));
  const text = [name, ...rows.map(([label, value]) => `  ${label.padEnd(width)}  ${value}`)];
  text.push(
    '  Advisory only: the spread is that of the stated uncertainties. Local rules and licensed practice decide.',
  );
  return text.join('\n');
}
