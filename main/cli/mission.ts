// A mission named on the command line: plan, log and the files beside it, read and put together; what is wrong goes to
// standard error.
import { readFile } from 'node:fs/promises';
import { loadMission, type Loaded } from '../../core/mission/load.ts';
import { readAttachments } from '../files/attachments.ts';
import { logPathOf } from '../files/log.ts';
import { readPlan } from '../files/missions.ts';
import { isMissing, sentenceOf } from '../files/trouble.ts';
import { complainOf, type Output } from './output.ts';
import { fileReader } from './readApart.ts';

/** The mission ready to compute with; null where it was refused, which has then been said. */
export async function openMission(path: string, output: Output): Promise<Loaded | null> {
  try {
    const plan = await readPlan(path);
    if (typeof plan === 'string') {
      complainOf(path, { line: 0, text: plan }, output);
      return null;
    }
    const { attachments, problems } = await readAttachments(path, plan.text);
    for (const text of problems) complainOf(path, { line: 0, text }, output);
    const read = await loadMission({ planText: plan.text, logText: await logText(path), attachments }, fileReader());
    for (const problem of read.problems)
      complainOf(problem.file === 'plan' ? path : `${path} (${problem.file})`, problem, output);
    return read.value;
  } catch (error) {
    complainOf(path, { line: 0, text: sentenceOf(error) }, output);
    return null;
  }
}

async function logText(path: string): Promise<string> {
  try {
    return await readFile(logPathOf(path), 'utf8');
  } catch (error) {
    if (isMissing(error)) return '';
    throw error;
  }
}
