// `plumbline hear`: lines from standard input, read as the entry line reads them at a moment of the mission; one answer
// a line, as it comes.
import { never } from '../../core/base/problem.ts';
import { hear, type Heard } from '../../core/formats/messages/hear.ts';
import { hearingContext } from '../../core/mission/hearing.ts';
import { askMission, situationOf } from './ask.ts';
import { REFUSED, standardLines, type Output } from './output.ts';

export async function runHear(args: readonly string[], output: Output): Promise<number> {
  const ask = await askMission('hear', args, { json: 'flag', at: 'value' }, output);
  const situation = ask === null ? null : situationOf('hear', ask.loaded, ask.options.at, output);
  if (ask === null || situation === null) return REFUSED;
  const context = hearingContext(situation, 'w');
  for await (const line of (output.lines ?? standardLines)()) {
    const heard = hear(line, context);
    output.print(ask.options.json === true ? JSON.stringify(heard) : wordsOf(heard));
  }
  return 0;
}

/** What the entry line would say beside the line. */
function wordsOf(heard: Heard): string {
  switch (heard.kind) {
    case 'wind':
    case 'calm':
      return heard.readBack ?? '';
    case 'asked':
      return `asked: ${heard.readBack}; ${heard.question}`;
    case 'refused':
    case 'not a wind':
      return `${heard.kind}: ${heard.why}`;
    default:
      return never(heard.kind);
  }
}
