// `plumbline hear`: lines from standard input, read as the entry line reads them at a moment of the mission; one answer
// a line, as it comes.
import { declination_deg } from '../../core/earth/declination.ts';
import { never } from '../../core/base/problem.ts';
import { RAD_PER_DEG } from '../../core/base/units.ts';
import { offset_s } from '../../core/words/times.ts';
import { hear, type Heard } from '../../core/formats/messages/hear.ts';
import { reportContext, type ReportContext } from '../../core/formats/messages/report.ts';
import type { Situation } from '../../core/mission/situation.ts';
import { askMission, situationOf } from './ask.ts';
import { REFUSED, standardLines, type Output } from './output.ts';

export async function runHear(args: readonly string[], output: Output): Promise<number> {
  const ask = await askMission('hear', args, { json: 'flag', at: 'value' }, output);
  const situation = ask === null ? null : situationOf('hear', ask.loaded, ask.options.at, output);
  if (ask === null || situation === null) return REFUSED;
  const context = contextOf(situation);
  for await (const line of (output.lines ?? standardLines)()) {
    const heard = hear(line, context);
    output.print(ask.options.json === true ? JSON.stringify(heard) : wordsOf(heard));
  }
  return 0;
}

function contextOf({ mission, state, at_s, world }: Situation): ReportContext {
  const { position, elevation_m, timeZone } = mission.site;
  const turned = declination_deg(position, elevation_m, at_s);
  return reportContext(mission, state, {
    now_s: at_s,
    declination_deg: turned.kind === 'known' ? turned.deg : null,
    nextId: 'w',
    localOffset_s: offset_s(at_s, timeZone) ?? 0,
    groundAt: ([lon, lat]) => world.ground.heightAt(lat * RAD_PER_DEG, lon * RAD_PER_DEG),
  });
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
