// `plumbline advise`: the word, the exit window, the zones and every limit of a mission at a moment, then cases,
// gondola, crews and search, as text or JSON.
import { clock, roughDuration } from '../../core/words/times.ts';
import { direction } from '../../core/words/winds.ts';
import { distance } from '../../core/words/lengths.ts';
import { chanceWords, number, sampledChance } from '../../core/words/numbers.ts';
import { adviseOn, type Advice } from '../../core/advice/advise.ts';
import { edgesOf, type Edge } from '../../core/advice/edges.ts';
import { edgeSentence, edgeTells } from '../../core/advice/edgeWords.ts';
import { answersTo } from '../../core/winds/answers.ts';
import type { Mission } from '../../core/plan/schema.ts';
import type { Situation } from '../../core/mission/situation.ts';
import type { ExitOption } from '../../core/advice/exits.ts';
import { limitText, limitTexts, type Judged } from '../../core/advice/limits.ts';
import { BRIEF_OPTIONS } from '../../core/brief/source.ts';
import { recoveryOn } from '../../core/recovery/recovery.ts';
import { recoveryData } from '../../core/recovery/recoveryData.ts';
import { formatDegreesMinutes } from '../../core/words/positions.ts';
import { roadLines } from '../../core/formats/areas/areas.ts';
import { askMission, situationOf, wholeNumber } from './ask.ts';
import { REFUSED, type Output } from './output.ts';
import { recoveryText } from './recoveryText.ts';

/** Drawn descents of the case as planned: a case's time to the crews is known to some per cent, ten take a second. */
const CASE_MEMBERS_MAX = 500;

export async function runAdvise(args: readonly string[], output: Output): Promise<number> {
  const ask = await askMission('advise', args, { json: 'flag', at: 'value', members: 'value', seed: 'value' }, output);
  if (ask === null) return REFUSED;
  const members = wholeNumber(
    'advise',
    'members',
    ask.options.members,
    { otherwise: BRIEF_OPTIONS.members, min: 100, max: 100_000 },
    output,
  );
  const seed = wholeNumber(
    'advise',
    'seed',
    ask.options.seed,
    { otherwise: BRIEF_OPTIONS.seed, min: 0, max: 2 ** 31 - 1 },
    output,
  );
  const situation = situationOf('advise', ask.loaded, ask.options.at, output);
  if (members === null || seed === null || situation === null) return REFUSED;
  const advised = adviseOn(situation, { members, seed, roads: roadLines(ask.loaded.roads) });
  const { advice } = advised;
  const edges = edgesOf(situation, advised, { seed, roads: roadLines(ask.loaded.roads) });
  const recovery = recoveryOn(situation, advised, {
    members: Math.min(members, CASE_MEMBERS_MAX),
    seed,
    roads: ask.loaded.roads,
  });
  for (const name of advice.unknownLimits)
    output.complain(`${ask.path}: limits.${name}: this limit is not known here; it is kept in the file and not used`);
  output.print(
    ask.options.json === true
      ? JSON.stringify({
          ...advice,
          edges,
          reports: reportStates(situation),
          questions: questionsIn(situation),
          recovery: recoveryData(recovery),
        })
      : [adviceText(situation.mission, advice, edges), ...reportsText(situation), '', ...recoveryText(recovery)].join(
          '\n',
        ),
  );
  return 0;
}

/** What became of each report of the log. */
interface ReportLine {
  readonly id: string;
  readonly by: string | null;
  readonly state: 'counts' | 'held' | 'left out' | 'struck';
  readonly why: string;
}

function reportStates({ state, winds }: Situation): ReportLine[] {
  const held = new Map(winds.held.map(({ report, sentence }) => [report.id, sentence]));
  return state.reports.map(({ id, event, outcome }) => {
    const line = { id, by: event.by ?? null };
    const why = held.get(id);
    if (why !== undefined) return { ...line, state: 'held', why };
    if (outcome.kind === 'counts')
      return winds.used.has(id)
        ? { ...line, state: 'counts', why: 'it is in the analysis' }
        : { ...line, state: 'left out', why: 'other reports say the same better' };
    const struck = outcome.kind === 'struck' || outcome.kind === 'withdrawn';
    return { ...line, state: struck ? 'struck' : 'left out', why: outcome.sentence };
  });
}

/** What is asked about the winds, with the keys that answer it in the window. */
const questionsIn = ({ winds }: Situation) =>
  winds.questions.map((question) => ({
    reports: question.ids,
    kind: question.kind,
    question: question.sentence,
    keys: answersTo(question, winds.held),
  }));

/** The reports that do not count or are held, and why; those asked about together in one line. */
function reportsText(situation: Situation): string[] {
  const lines = reportStates(situation).filter(({ state }) => state === 'left out' || state === 'struck');
  const asked = situation.winds.questions.map(({ ids, sentence }) => `  held       ${ids.join(', ')}: ${sentence}`);
  const out = lines.map(({ id, state, why }) => `  ${state.padEnd(9)}  ${id}: ${why}`);
  return asked.length + out.length === 0 ? [] : ['', 'Reports that do not count', ...asked, ...out];
}

function limitRow({ limit, value, state, margin }: Judged): string {
  const mark = {
    kept: 'kept',
    close: 'close',
    broken: limit.severity === 'no-go' ? 'NO-GO' : 'HOLD',
    'not given': 'not given',
  }[state];
  const head = `${mark.padEnd(9)}  ${limit.label}: `;
  const [side, broken] = limit.keep === 'below' ? ['at most', 'over'] : ['at least', 'short'];
  if (value.kind === 'not given')
    return `  ${head}–, ${side} ${limitText(limit.number, limit.unit)} (${value.why})  [${limit.source}]`;
  const [now, number, between] = limitTexts(value.value, limit);
  const room = margin === null ? '' : ` (${between} ${margin < 0 ? broken : 'left'})`;
  return `  ${head}${now}, ${side} ${number}${room}  [${limit.source}]`;
}

function exitRow(label: string, option: ExitOption, zone: string | null): string {
  const own = zone === null ? undefined : option.inZone[zone];
  const share = own === undefined ? '' : `, ${sampledChance(own.p, own.error)} in ${zone}`;
  return (
    `  ${label.padEnd(9)}  ${clock(option.exit.time_s)} at ` +
    `${formatDegreesMinutes([option.exit.lon_deg, option.exit.lat_deg])}${share}, hazards ` +
    chanceWords(option.inHazard.p)
  );
}

export function adviceText(
  { name, site }: Pick<Mission, 'name' | 'site'>,
  advice: Advice,
  edges: readonly Edge[],
): string {
  const { exits, planned, anywhere, zone } = advice;
  const text = [name, `at ${clock(advice.at_s)}`, '', advice.line, ''];
  if (advice.basis !== null) text.push(`Expected  ${advice.basis}`, '');
  text.push('Exit');
  if (planned !== null) text.push(exitRow(advice.basis === null ? 'planned' : 'left', planned, zone));
  if (exits.best !== null) text.push(exitRow('best', exits.best, zone));
  if (exits.window !== null)
    text.push(
      `  window     ${clock(exits.window.opens_s)} to ${clock(exits.window.closes_s)}, each ± ` +
        roughDuration(exits.window.error_s),
    );
  if (anywhere !== null) {
    text.push(
      `  anywhere   ${formatDegreesMinutes(anywhere.position)}: ${sampledChance(anywhere.share, anywhere.error)}, ` +
        `${distance(anywhere.away_m)} toward ${direction(anywhere.bearing_deg)} from the planned exit`,
    );
  }
  const into = advice.headings.find((row) => row.intoWind);
  const best = advice.headings[0];
  if (into !== undefined && best !== undefined) {
    text.push(
      `  run        into the wind on ${direction(into.heading_deg)}: ${chanceWords(into.share)}, good for ` +
        `${into.goodFor_s} s; best on ${direction(best.heading_deg)}: ${chanceWords(best.share)}, good for ` +
        `${best.goodFor_s} s`,
    );
  }
  if (edges.length > 0) text.push('', 'What would change it, the most likely first');
  for (const edge of edges) text.push(`  ${edgeSentence(edge, site.elevation_m)} (${edgeTells(edge)})`);
  text.push('', 'Zones, the best fit first');
  advice.zones.forEach((fit, i) => text.push(`  ${i + 1}  ${number(100 * fit.score)}/100  ${fit.sentence}`));
  text.push('', 'Limits', ...advice.limits.map(limitRow), '', ...advice.cautions.map((caution) => `Note: ${caution}`));
  return text.join('\n');
}
