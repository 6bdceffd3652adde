// `plumbline rehearse`: a rehearsal of a mission without a person, scored, as text or JSON.
import { writeFile } from 'node:fs/promises';
import { toEnd } from '../../core/base/steps.ts';
import { logText } from '../../core/log/chain.ts';
import type { LogEvent } from '../../core/log/events.ts';
import { leadNames } from '../../core/rehearsal/lead.ts';
import { rehearseInSteps } from '../../core/rehearsal/rehearse.ts';
import { readRehearsal, type RehearsalScenario } from '../../core/rehearsal/scenario.ts';
import type { Score } from '../../core/rehearsal/score.ts';
import { scoreData, scoreText, type ScoredRun } from '../../core/rehearsal/scoreText.ts';
import { sentenceOf } from '../files/trouble.ts';
import { ANY, bundledRehearsal, rehearsalNames } from '../rehearsals.ts';
import { askMission, wholeNumber } from './ask.ts';
import { readNamed } from './files.ts';
import { complainOf, REFUSED, type Output } from './output.ts';
import { serveRehearsal } from './serveRehearsal.ts';

export async function runRehearse(args: readonly string[], output: Output): Promise<number> {
  const kinds = {
    json: 'flag', scenario: 'value', seed: 'value', lead: 'value', every: 'value', members: 'value', log: 'value',
    serve: 'flag', speed: 'value',
  } as const; // prettier-ignore
  const ask = await askMission('rehearse', args, kinds, output);
  if (ask === null) return REFUSED;
  const { options, loaded, path } = ask;
  const seed = wholeNumber('rehearse', 'seed', options.seed, { otherwise: 1, min: 0, max: 2 ** 31 - 1 }, output);
  const every_s = wholeNumber('rehearse', 'every', options.every, { otherwise: 10, min: 1, max: 60 }, output);
  const speed = wholeNumber('rehearse', 'speed', options.speed, { otherwise: 1, min: 1, max: 60 }, output);
  const few = { otherwise: 200, min: 50, max: 100_000 };
  const members = wholeNumber('rehearse', 'members', options.members, few, output);
  const lead = leadNames.find((name) => name === (options.lead ?? 'careful'));
  if (lead === undefined)
    output.complain(`plumbline rehearse: --lead "${options.lead}"; expected ${leadNames.join(' or ')}`);
  if (seed === null || every_s === null || speed === null || members === null || lead === undefined) return REFUSED;
  const scenario = await scenarioNamed(options.scenario ?? 'calm run', seed, output);
  if (scenario === null) return REFUSED;
  const run = { scenario: scenario.name, seed, acts: [], stopped_s: null };
  const json = options.json === true;
  if (options.serve === true) {
    const talk = json ? output.complain : output.print;
    const served = { path, mission: loaded, scenario, seed, members, speed };
    return told(path, await serveRehearsal(served, output, talk), { ...run, lead: 'a person' }, { json, output });
  }
  const rehearsed = toEnd(rehearseInSteps(loaded, scenario, { lead, every_s, members, seed }));
  const isFlown = typeof rehearsed !== 'string';
  if (isFlown && options.log !== undefined && !(await writeLog(options.log, rehearsed.log, output))) return REFUSED;
  return told(path, isFlown ? rehearsed.score : rehearsed, { ...run, lead }, { json, output });
}

/** Says a score, or the sentence that stands in its place. */
function told(
  path: string,
  score: Score | string,
  run: ScoredRun,
  { json, output }: { readonly json: boolean; readonly output: Output },
): number {
  if (typeof score === 'string') {
    complainOf(path, { line: 0, text: score }, output);
    return REFUSED;
  }
  output.print(json ? JSON.stringify(scoreData(run, score)) : scoreText(run, score));
  return 0;
}

/** A scenario by its name or its file; null where it was refused, which has then been said. */
async function scenarioNamed(name: string, seed: number, output: Output): Promise<RehearsalScenario | null> {
  if (!/\.json$/i.test(name)) {
    const found = bundledRehearsal(name, seed);
    if (found === null)
      output.complain(
        `plumbline rehearse: --scenario "${name}"; expected ${[...rehearsalNames, ANY].join(', ')}, or the path of ` +
          'a file *.json',
      );
    return found;
  }
  const file = await readNamed(name);
  if (typeof file === 'string') {
    complainOf(name, { line: 0, text: file }, output);
    return null;
  }
  const read = readRehearsal(new TextDecoder().decode(file.bytes));
  for (const problem of read.problems) complainOf(name, problem, output);
  return read.value;
}

/** Into a new file: a log that is there is never written over. */
async function writeLog(path: string, log: readonly LogEvent[], output: Output): Promise<boolean> {
  try {
    await writeFile(path, logText(log), { flag: 'wx' });
    return true;
  } catch (error) {
    complainOf(path, { line: 0, text: sentenceOf(error) }, output);
    return false;
  }
}
