// `plumbline debrief`: what became of a descent beside what was expected of it, as text, page or JSON; the log as a
// table.
import { DEBRIEF_MEMBERS, debriefInSteps } from '../../core/debrief/debrief.ts';
import { logTable } from '../../core/debrief/logTable.ts';
import { debriefHtml, debriefText } from '../../core/debrief/pages.ts';
import { toEnd } from '../../core/base/steps.ts';
import { BRIEF_OPTIONS } from '../../core/brief/source.ts';
import { roadLines } from '../../core/formats/areas/areas.ts';
import { findChromium, printWithChromium } from '../browser/chromium.ts';
import { askMission, wholeNumber } from './ask.ts';
import { bundledFace, deliver } from './brief.ts';
import { REFUSED, type Output } from './output.ts';

const FORMATS = ['text', 'html', 'pdf', 'json', 'csv'] as const;

export async function runDebrief(args: readonly string[], output: Output): Promise<number> {
  const kinds = { format: 'value', out: 'value', members: 'value', seed: 'value' } as const;
  const ask = await askMission('debrief', args, kinds, output);
  if (ask === null) return REFUSED;
  const { options, loaded, path } = ask;
  const format = FORMATS.find((one) => one === (options.format ?? 'text'));
  if (format === undefined)
    output.complain(`plumbline debrief: --format "${options.format}"; expected ${FORMATS.join(', ')}`);
  const few = { otherwise: DEBRIEF_MEMBERS, min: 50, max: 20_000 };
  const members = wholeNumber('debrief', 'members', options.members, few, output);
  const any = { otherwise: BRIEF_OPTIONS.seed, min: 0, max: 2 ** 31 - 1 };
  const seed = wholeNumber('debrief', 'seed', options.seed, any, output);
  if (format === undefined || members === null || seed === null) return REFUSED;
  const { mission, log, world } = loaded;
  if (format === 'csv') return deliver(logTable(log), options.out, output);
  const debrief = toEnd(debriefInSteps({ mission, log, world, roads: roadLines(loaded.roads) }, { members, seed }));
  if (debrief === null) {
    output.complain(
      `${path}: the log has no touchdown with a place, or none with a fix of the jumper in the minute before it; ` +
        'mark it ("touchdown" with its position), then ask again. --format csv gives the log as it is',
    );
    return REFUSED;
  }
  if (format === 'json') return deliver(JSON.stringify(debrief), options.out, output);
  if (format === 'text') return deliver(debriefText(debrief), options.out, output);
  const page = debriefHtml(debrief, bundledFace());
  if (format === 'html') return deliver(page, options.out, output);
  const chromium = findChromium();
  if (chromium === null || options.out === undefined) {
    output.complain(
      'plumbline debrief: a PDF needs --out PATH.pdf and an installed Chromium, Chrome or Edge; else take html',
    );
    return REFUSED;
  }
  const printed = await printWithChromium(chromium, page);
  if (printed.ok) return deliver(printed.value, options.out, output);
  output.complain(`plumbline debrief: ${printed.why}`);
  return REFUSED;
}
