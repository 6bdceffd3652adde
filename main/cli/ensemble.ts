// `plumbline ensemble`: many drawn descents of the plan, as text for people or as the JSON of FORMAT.md.
import { expectedOf } from '../../core/mission/expected.ts';
import { statisticsOf, type LandingStatistics, type Share } from '../../core/descent/statistics.ts';
import { formatDegreesMinutes } from '../../core/earth/grid.ts';
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

const percent = ({ p, error }: Share): string => `${(100 * p).toFixed(1)}\u202f% ± ${(100 * error).toFixed(1)}`;
const whole = (x: number): string =>
  Math.round(x)
    .toString()
    .replace(/\B(?=(\d{3})+$)/g, '\u202f');

/** `since`: what the times of the statistics are counted from. */
export function ensembleText(
  name: string,
  statistics: LandingStatistics,
  seed: number,
  since: 'exit' | 'the fix',
): string {
  const { mean, ellipses, inZone, inHazard, time_s, members, lost, groundSpeed_mps, shock_g } = statistics;
  const ellipse = (share: '50' | '90'): string => {
    const { semiMajor_m, semiMinor_m, bearing_deg } = ellipses[share];
    return `${share}\u202f% within ${whole(semiMajor_m)} by ${whole(semiMinor_m)} m, long axis ${String(Math.round(bearing_deg)).padStart(3, '0')}° true`;
  };
  const rows: [string, string][] = [
    [
      'Descents',
      `${whole(members)} drawn, seed ${seed}${lost > 0 ? `; ${lost} did not reach the ground and are left out` : ''}`,
    ],
    ['Mean landing', formatDegreesMinutes(mean)],
    ['Spread', ellipse('50')],
    ['', ellipse('90')],
    [
      'Touchdown',
      `${whole(time_s.p05)} to ${whole(time_s.p95)} s after ${since} (90\u202f%), median ${whole(time_s.p50)} s`,
    ],
    [
      'Over ground',
      `${groundSpeed_mps.p05.toFixed(1)} to ${groundSpeed_mps.p95.toFixed(1)} m/s at touchdown (90\u202f%)`,
    ],
  ];
  if (shock_g !== null)
    rows.push(['Opening', `shock ${shock_g.p50.toFixed(1)} g, 95 of 100 below ${shock_g.p95.toFixed(1)} g`]);
  for (const [zone, share] of Object.entries(inZone)) rows.push([zone, percent(share)]);
  for (const [hazard, share] of Object.entries(inHazard)) rows.push([hazard, `${percent(share)} (hazard)`]);
  const width = Math.max(...rows.map(([label]) => label.length));
  const text = [name, ...rows.map(([label, value]) => `  ${label.padEnd(width)}  ${value}`)];
  text.push(
    '  Advisory only: the spread is that of the stated uncertainties. Local rules and licensed practice decide.',
  );
  return text.join('\n');
}
