// The key below a map on paper: the signs that this map uses, each with its word.
import { xmlText } from '../../formats/out/xmlText.ts';
import type { BriefMap } from '../mapData.ts';
import { bodyMark, caseMark, crewMark, holdMark, INK, landingMark, TINT } from './marks.ts';
import { mm, tag } from './svg.ts';

/** `crew`: the map is that crew's own. */
export function paperKey(map: BriefMap, crew: string | undefined): string {
  const entries: [sign: string, words: string][] = [];
  if (map.jumper !== null) entries.push([landingMark([4, 4]), 'expected landing']);
  if (map.keepClear.length > 0)
    entries.push([
      tag('rect', {
        x: 0.8,
        y: 1.2,
        width: 6.4,
        height: 5.6,
        fill: TINT,
        stroke: INK,
        'stroke-width': 0.7,
        'stroke-dasharray': '1.6 0.8',
      }),
      'keep clear',
    ]);
  const kinds = map.crews.filter((one) => crew === undefined || one.name === crew);
  for (const kind of ['helicopter', 'vehicle', 'boat'] as const) {
    const some = kinds.filter((one) => one.kind === kind);
    if (some.length > 0)
      entries.push([
        crewMark(
          [4, 4.4],
          kind,
          some.some((one) => one.medical),
        ),
        some.some((one) => one.medical) ? `${kind} (cross: medical)` : kind,
      ]);
  }
  for (const body of map.others) entries.push([bodyMark([4, 4]), `${body.name} lands`]);
  if (crew === undefined && map.cases.length > 1)
    entries.push([caseMark([4, 4], 'A'), 'another case lands (letters: page 2)']);
  if (crew !== undefined && map.crews.some((one) => one.name === crew && one.gates.length > 0))
    entries.push([holdMark([4, 4]), 'hold']);
  const svg = (sign: string): string =>
    `<svg viewBox="0 0 8 8" width="${mm(4)}mm" height="${mm(4)}mm" aria-hidden="true">${sign}</svg>`;
  const unique = entries.filter(([, words], k) => entries.findIndex((one) => one[1] === words) === k);
  return `<div class="key">${unique.map(([sign, words]) => `<span>${svg(sign)}${xmlText(words)}</span>`).join('')}</div>`;
}
