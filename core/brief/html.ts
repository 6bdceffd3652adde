// A brief as pages to be printed: the sheet for all crews on two pages, one page for the lead, the lead's lists where
// the plan has some, then one for each crew. One file with its style inside, no script, nothing fetched; black and
// white. Lines that changed have a bar in the margin and say what they were.
import type { CoordinateFormat } from '../words/positions.ts';
import { htmlPage } from '../formats/out/htmlPage.ts';
import { xmlText } from '../formats/out/xmlText.ts';
import type { Marks } from './changes.ts';
import {
  BUNDLED,
  formHeight_mm,
  headerHeight_mm,
  mapHeight_mm,
  OTHER,
  sectionHeight_mm,
  sinceHeight_mm,
  verdictHeight_mm,
  type Face,
} from './layout.ts';
import type { Brief, BriefHead, BriefItem, BriefSection, CrewBrief } from './model.ts';
import { listPages } from './lists.ts';
import { paperMap } from './paper/map.ts';
import { paperKey } from './paper/key.ts';
import { OTHER_FACE_CSS, PAGE_WIDTH_MM, SHEET_CSS } from './sheetStyle.ts';
import { wasWords } from './text.ts';

interface HtmlOptions {
  /** Rules for the face, if it comes along: `@font-face` with a data: address. Left out: the reader's own. */
  readonly fontCss?: string;
  /** What changed since the version that the reader of the sheet holds. */
  readonly marks?: Marks | null;
  /** The same for a crew's page, by crew. */
  readonly crewMarks?: ReadonlyMap<string, Marks>;
  /** One crew's page alone. */
  readonly crew?: string;
}

/** A higher map is harder to read. */
const MAP_MM_MAX = 126;

/** The pages; with `crew` that crew's alone. A crew that the brief does not have: the sheet. */
export function briefHtml(brief: Brief, options: HtmlOptions = {}): string {
  const crew = brief.crews.find((one) => one.crew === options.crew);
  const pages =
    crew !== undefined
      ? [crewPage(brief, crew, options, 0)]
      : [...sheetPages(brief, options), ...brief.crews.map((one, k) => crewPage(brief, one, options, k))];
  const title = `${brief.head.mission}, brief v${brief.head.version.number}${crew === undefined ? '' : `, ${crew.crew}`}`;
  const css = `${options.fontCss ?? ''}${SHEET_CSS}${faceOf(options) === OTHER ? OTHER_FACE_CSS : ''}`;
  return htmlPage(
    title,
    css,
    pages.map((page) => `<section class="page">${page}</section>`),
  );
}

const faceOf = ({ fontCss }: HtmlOptions): Face => ((fontCss ?? '') === '' ? OTHER : BUNDLED);

function sheetPages(brief: Brief, options: HtmlOptions): string[] {
  const marks = options.marks ?? null;
  const face = faceOf(options);
  const { head } = brief;
  const find = (key: string): BriefSection | undefined => brief.sections.find((section) => section.key === key);
  const put = (key: string): string => {
    const section = find(key);
    return section === undefined ? '' : sectionHtml(section, marks);
  };
  const high = (key: string, half = false): number => sectionHeight_mm(find(key), half, marks, face);
  const under = `${head.site}. ${head.at}`;
  const used =
    headerHeight_mm(under, face) +
    verdictHeight_mm(head.verdict, face) +
    sinceHeight_mm(marks, face) +
    Math.max(high('times', true), high('landing', true) + high('wind', true)) +
    high('crews') +
    high('rules');
  const first =
    headerHtml(head.mission, under, head, brief.identity) +
    verdictHtml(head) +
    sinceHtml(marks) +
    two(put('times'), put('landing') + put('wind')) +
    put('crews') +
    put('rules') +
    mapHtml(brief, 'degrees-minutes', mapHeight_mm(used, 2, MAP_MM_MAX, face), 'sheet') +
    footerHtml(head, 'Sheet for all crews, 1 of 2');
  const second =
    headerHtml(head.mission, 'To look up', head, brief.identity) +
    `<div class="look">${put('edges')}${put('zones')}${put('cases')}${put('hazards')}${put('others')}` +
    `${two(put('calls'), put('sun') + heldHtml(brief))}${put('cautions')}</div>` +
    footerHtml(head, 'Sheet for all crews, 2 of 2');
  const third =
    headerHtml(head.mission, 'For the lead', head, brief.identity) +
    ['countdown', 'stop', 'lost', 'home'].map(put).join('') +
    footerHtml(head, 'For the lead: common practice; local rules go before it');
  const listsUnder = 'Lists: read back one by one';
  const lists = listPages(brief.sections, headerHeight_mm(listsUnder, face), marks, face).map(
    (sections) =>
      headerHtml(head.mission, listsUnder, head, brief.identity) +
      sections.map((section) => sectionHtml(section, marks)).join('') +
      footerHtml(head, 'For the lead: an item that is not read back is open'),
  );
  return [first, second, third, ...lists];
}

function crewPage(brief: Brief, crew: CrewBrief, options: HtmlOptions, index: number): string {
  const marks = options.crewMarks?.get(crew.crew) ?? null;
  const face = faceOf(options);
  const [now, you, tasks, mind] = crew.sections;
  const put = (section: BriefSection | undefined): string => (section === undefined ? '' : sectionHtml(section, marks));
  const high = (section: BriefSection | undefined, half = false): number =>
    sectionHeight_mm(section, half, marks, face);
  const form = crew.nineLine;
  const under = `${crew.subtitle}. ${brief.head.mission}. ${brief.head.at}`;
  const used =
    headerHeight_mm(under, face) +
    sinceHeight_mm(marks, face) +
    Math.max(high(now, true), high(you, true)) +
    high(tasks) +
    high(mind) +
    formHeight_mm(form, marks, face);
  return (
    headerHtml(crew.crew, under, brief.head, crew.identity) +
    sinceHtml(marks) +
    two(put(now), put(you)) +
    put(tasks) +
    put(mind) +
    mapHtml(brief, crew.coordinates, mapHeight_mm(used, 1, MAP_MM_MAX, face), `crew${index}`, crew.crew) +
    (form === null ? '' : formHtml(form, marks)) +
    footerHtml(
      brief.head,
      `${crew.crew}: read back v${brief.head.version.number} ${crew.identity} to say that you have it`,
    )
  );
}

const two = (left: string, right: string): string => `<div class="two"><div>${left}</div><div>${right}</div></div>`;

const headerHtml = (title: string, under: string, { version }: BriefHead, identity: string): string =>
  `<header><div><h1>${xmlText(title)}</h1><p>${xmlText(under)}</p></div>` +
  `<div class="version"><b>v${version.number} ${identity}</b>${xmlText(
    version.words
      .split('; ')
      .filter((part) => !part.startsWith('landing'))
      .join('; '),
  )}</div></header>`;

function verdictHtml({ word, verdict }: BriefHead): string {
  const rest = verdict.slice(word.length).replace(/^: /, '');
  const said = rest === '' ? 'every limit is kept. Advice to the lead, who decides' : rest;
  return `<div class="verdict${word === 'HOLD' || word === 'NO-GO' ? ' stop' : ''}"><b>${word}</b><span>${xmlText(said)}</span></div>`;
}

const sinceHtml = (marks: Marks | null): string =>
  marks === null
    ? ''
    : `<p class="small since">A bar in the margin marks what changed since ${xmlText(marks.since)}.</p>`;

function sectionHtml(section: BriefSection, marks: Marks | null): string {
  const body =
    section.columns === undefined ? linesHtml(section.items, marks) : tableHtml(section.items, section.columns, marks);
  return `<h2>${xmlText(section.title)}</h2>${body}`;
}

function linesHtml(items: readonly BriefItem[], marks: Marks | null): string {
  if (items.every((item) => item.label === ''))
    return `<ul>${items.map((item) => `<li class="${classOf(item, marks)}">${xmlText(item.text)}${was(item, marks)}</li>`).join('')}</ul>`;
  const rows = items.map((item) => {
    const mark = classOf(item, marks);
    const label = `<dt class="${mark.replace('strong', '').trim()}">${xmlText(item.label)}</dt>`;
    return `${label}<dd class="${item.strong === true ? 'strong' : ''}">${xmlText(item.text)}${was(item, marks)}</dd>`;
  });
  return `<dl>${rows.join('')}</dl>`;
}

function tableHtml(items: readonly BriefItem[], columns: readonly string[], marks: Marks | null): string {
  const head = `<thead><tr>${columns.map((column) => `<th scope="col">${xmlText(column)}</th>`).join('')}</tr></thead>`;
  const rows = items.map((item) => {
    const cells = (item.cells ?? [item.text]).map((cell, k) => {
      const before = wasCell(item, k, marks);
      return `<td${SHORT.test(cell) ? ' class="fix"' : ''}>${xmlText(cell)}${before === null ? '' : `<span class="was">${xmlText(before)}</span>`}</td>`;
    });
    return `<tr><td class="${classOf(item, marks)}">${xmlText(item.label)}</td>${cells.join('')}</tr>`;
  });
  return `<table>${head}<tbody>${rows.join('')}</tbody></table>`;
}

/** Cells that stay on one line: coordinates, sizes, times. */
const SHORT = /^(?=.{1,26}$)(?=.*\d)/;

/** What a cell of a changed row said, where it said something else. */
function wasCell(item: BriefItem, index: number, marks: Marks | null): string | null {
  const change = marks?.changes.get(item.key);
  if (change?.kind !== 'changed') return null;
  const before = (change.was.cells ?? [change.was.text])[index] ?? '';
  return before === (item.cells ?? [item.text])[index] ? null : before;
}

function formHtml(section: BriefSection, marks: Marks | null): string {
  const rows = section.items.map(
    (item) => `<tr><td class="${classOf(item, marks)}">${xmlText(item.label)}</td><td>${xmlText(item.text)}</td></tr>`,
  );
  return `<h2>${xmlText(section.title)}</h2><table class="form small"><tbody>${rows.join('')}</tbody></table>`;
}

const classOf = (item: BriefItem, marks: Marks | null): string =>
  [item.strong === true ? 'strong' : '', marks?.changes.has(item.key) === true ? 'changed' : '']
    .filter((name) => name !== '')
    .join(' ');

function was(item: BriefItem, marks: Marks | null): string {
  const change = marks?.changes.get(item.key);
  const words = change === undefined ? null : wasWords(change);
  return words === null ? '' : `<span class="was">${xmlText(words)}</span>`;
}

function mapHtml(brief: Brief, grid: CoordinateFormat, height_mm: number, id: string, crew?: string): string {
  if (height_mm === 0) return '<p class="small">No room for a map on this page: see the sheet’s.</p>';
  const size = { width_mm: PAGE_WIDTH_MM, height_mm, grid, id };
  const svg = paperMap(brief.map, crew === undefined ? size : { ...size, crew });
  return `<div class="map">${svg}${paperKey(brief.map, crew)}</div>`;
}

const heldHtml = ({ held }: Brief): string =>
  held.length === 0
    ? ''
    : `<h2>Who holds which version</h2><ul>${held.map((words) => `<li>${xmlText(words)}</li>`).join('')}</ul>`;

const footerHtml = ({ version }: BriefHead, what: string): string =>
  `<footer><span>${xmlText(what)}</span><span>${xmlText(version.words)}</span><span>Advisory only</span></footer>`;
