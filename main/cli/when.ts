// `plumbline when`: every whole hour of the forecasts as an exit: the word, what limits it, the chance of the zone, the
// light, how far the runs agree and how far the landing spreads, as text or JSON.
import { limitSentence, type Judged } from '../../core/advice/limits.ts';
import { When, WHEN_MEMBERS, type WhenHour } from '../../core/advice/when.ts';
import { isoOf, roundTo } from '../../core/base/plainNumbers.ts';
import { BRIEF_OPTIONS } from '../../core/brief/source.ts';
import { roadLines } from '../../core/formats/areas/areas.ts';
import { distance, halfAxes } from '../../core/words/lengths.ts';
import { chanceWords, MISSING, number } from '../../core/words/numbers.ts';
import { clockMinute, date, roughDuration } from '../../core/words/times.ts';
import { askMission, wholeNumber } from './ask.ts';
import { readTime } from './arguments.ts';
import { REFUSED, type Output } from './output.ts';
import { workedHours } from './workers.ts';

export async function runWhen(args: readonly string[], output: Output): Promise<number> {
  const ask = await askMission('when', args, { json: 'flag', at: 'value', members: 'value', seed: 'value' }, output);
  if (ask === null) return REFUSED;
  const { loaded, options } = ask;
  const few = { otherwise: WHEN_MEMBERS, min: 100, max: 100_000 };
  const members = wholeNumber('when', 'members', options.members, few, output);
  const any = { otherwise: BRIEF_OPTIONS.seed, min: 0, max: 2 ** 31 - 1 };
  const seed = wholeNumber('when', 'seed', options.seed, any, output);
  const at_s = options.at === undefined ? null : readTime('at', options.at);
  if (typeof at_s === 'string') output.complain(`plumbline when: ${at_s}`);
  if (members === null || seed === null || typeof at_s === 'string') return REFUSED;
  const { mission, log, windSources, terrain, unread } = loaded;
  const asked = { mission, log, windSources, terrain, unread, roads: roadLines(loaded.roads), at_s, seed, members };
  const when = new When(asked);
  const hours = await workedHours(when, asked);
  output.print(
    options.json === true
      ? JSON.stringify({ members, problems: when.problems, hours: hours.map(hourData) })
      : [mission.name, '', ...whenText(hours), '', ...when.problems.map((text) => `Note: ${text}`)].join('\n'),
  );
  return 0;
}

const reasonsOf = (hour: WhenHour, because: readonly Judged[]): string[] => [
  ...(hour.notReached === null ? [] : [hour.notReached]),
  ...because.map((one) => limitSentence(one)),
];

function hourData(hour: WhenHour): object {
  const { exit_s, now, asForecast, zone, inZone, anywhere, light, lead_s, spread, runs, plan } = hour;
  return {
    at: isoOf(exit_s),
    word: now.word,
    because: reasonsOf(hour, now.because),
    asForecast: asForecast.word,
    zone,
    inZone,
    limits: asForecast.because.map(({ limit }) => limit.name),
    light,
    lead_h: lead_s === null ? null : roundTo(lead_s / 3600, 2),
    spread,
    runs,
    reached: hour.notReached === null,
    anywhere,
    exit: plan.exit,
  };
}

/** One line an hour, by day. */
function whenText(hours: readonly WhenHour[]): string[] {
  return hours.flatMap((hour, i) => {
    const day = date(hour.exit_s);
    const before = hours[i - 1];
    return [...(before !== undefined && date(before.exit_s) === day ? [] : ['', day]), hourRow(hour)];
  });
}

function hourRow(hour: WhenHour): string {
  const { exit_s, asForecast, inZone, light, lead_s, spread, runs } = hour;
  const [reason = ''] = reasonsOf(hour, asForecast.because);
  const columns = [
    clockMinute(exit_s),
    light.padEnd(8),
    asForecast.word.padEnd(5),
    (inZone === null ? MISSING : chanceWords(inZone.p)).padStart(9),
    spread === null ? MISSING : halfAxes(spread.semiMajor_m, spread.semiMinor_m),
    lead_s === null ? '' : `lead ${roughDuration(lead_s)}`,
    runs.apart_m === null ? '' : `${number(runs.reach)} runs within ${distance(runs.apart_m)}`,
    reason,
  ];
  return `  ${columns.filter((column) => column !== '').join('  ')}`;
}
