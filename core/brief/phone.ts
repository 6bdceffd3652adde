// A crew's page for a phone: one file that opens without a network at 390 px, in sun and by night; its identity large
// enough to be compared over the radio; times that count by the phone's own clock; its map to be zoomed. Nothing is
// fetched: style, map and the few lines of script stand inside.
import { xmlText } from '../formats/out/xmlText.ts';
import { wasWords } from './text.ts';
import type { Marks } from './changes.ts';
import type { Brief, BriefItem, BriefSection, CrewBrief } from './model.ts';
import { paperMap } from './paper/map.ts';
import { capital } from '../words/numbers.ts';
import { paperKey } from './paper/key.ts';

const CSS = `
:root{color-scheme:light dark;--ink:#000;--paper:#fff;--rule:#767676;--mark:#b00020}
@media(prefers-color-scheme:dark){:root{--ink:#fff;--paper:#000;--rule:#8c8c8c;--mark:#ff8a80}}
*{box-sizing:border-box}
body{margin:0;padding:12px 14px 40px;font:18px/1.4 system-ui,sans-serif;color:var(--ink);background:var(--paper);overflow-wrap:anywhere}
h1{font-size:24px;margin:0}h2{font-size:18px;margin:22px 0 4px;border-bottom:2px solid var(--rule)}
p{margin:4px 0}dl{margin:0}dt{color:var(--ink);font-size:15px;margin-top:8px;opacity:.8}dd{margin:0}
.strong{font-weight:700}.changed{border-left:5px solid var(--mark);padding-left:8px}.was{display:block;font-size:15px;opacity:.8}
.identity{font:700 40px/1.1 ui-monospace,monospace;letter-spacing:.12em;margin:6px 0}
.clock{position:sticky;top:0;background:var(--paper);border-bottom:2px solid var(--rule);padding:6px 0;font-variant-numeric:tabular-nums}
.clock b{font-size:30px}button{font:inherit;min-height:44px;min-width:44px;padding:4px 14px;margin:4px 8px 4px 0;color:var(--ink);background:var(--paper);border:2px solid var(--ink);border-radius:6px}
.map{overflow:auto;max-height:80vh;border:1px solid var(--rule);background:#fff;touch-action:pan-x pan-y pinch-zoom}
.map svg{display:block;width:100%;height:auto}.key{display:flex;flex-wrap:wrap;gap:2px 12px;font-size:15px;margin-top:6px}.key svg{background:#fff}
@media(prefers-color-scheme:dark){.map svg,.key svg{filter:invert(1)}.map{background:#000}}
[hidden]{display:none}
`;

/**
 * `crew`: a page of this brief. `script`: what counts its times by the phone's clock, which core does not know.
 * `marks`: what changed since the crew read back.
 */
export function phonePage(
  brief: Brief,
  crew: CrewBrief,
  { exit_s, script, marks }: { readonly exit_s: number; readonly script: string; readonly marks: Marks | null },
): string {
  const { head } = brief;
  const form = crew.nineLine === null ? [] : [crew.nineLine];
  const size = { width_mm: 186, height_mm: 186, grid: crew.coordinates, id: 'phone', crew: crew.crew };
  return [
    '<!doctype html>',
    '<html lang="en">',
    '<head>',
    '<meta charset="utf-8">',
    '<meta name="viewport" content="width=device-width,initial-scale=1">',
    `<meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'unsafe-inline'; ` +
      `script-src 'unsafe-inline'">`,
    `<title>${xmlText(`${crew.crew}, ${head.mission}, v${head.version.number} ${crew.identity}`)}</title>`,
    `<style>${CSS}</style>`,
    '</head>',
    `<body data-exit="${Math.round(exit_s)}">`,
    `<header><h1>${xmlText(crew.crew)}</h1><p>${xmlText(crew.subtitle)}. ${xmlText(head.mission)}</p>`,
    `<p>Brief v${head.version.number}, read back these four signs:</p><p class="identity">${crew.identity}</p>`,
    `<p>${xmlText(head.at)}. ${xmlText(capital(head.version.words))}</p></header>`,
    '<div class="clock" role="timer"><b id="t">T</b> <span id="of">from the planned exit</span><br>',
    '<button type="button" id="exit">EXIT is called now</button>' +
      '<button type="button" id="planned" hidden>Not called: back to the planned exit</button></div>',
    '<main>',
    ...[...crew.sections, ...form].map((section) => sectionHtml(section, marks)),
    '<h2>Map</h2><button type="button" id="in" aria-label="Larger map">+</button>',
    '<button type="button" id="out" aria-label="Smaller map">−</button>',
    `<div class="map" tabindex="0" role="region" aria-label="Map">${paperMap(brief.map, size)}</div>`,
    paperKey(brief.map, crew.crew),
    '<p>Advisory only: pilots decide on flying, local rules first.</p>',
    '</main>',
    `<script>${script}</script>`,
    '</body>',
    '</html>',
    '',
  ].join('\n');
}

const sectionHtml = ({ title, items }: BriefSection, marks: Marks | null): string =>
  `<h2>${xmlText(title)}</h2><dl>${items.map((item) => itemHtml(item, marks)).join('')}</dl>`;

function itemHtml(item: BriefItem, marks: Marks | null): string {
  const change = marks?.changes.get(item.key);
  const was = change === undefined ? null : wasWords(change);
  const name = [item.strong === true ? 'strong' : '', change === undefined ? '' : 'changed'].join(' ').trim();
  const before = was === null ? '' : `<span class="was">was: ${xmlText(was)}</span>`;
  return `<dt>${xmlText(item.label)}</dt><dd class="${name}">${xmlText(item.text)}${before}</dd>`;
}
