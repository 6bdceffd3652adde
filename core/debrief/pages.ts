// A debrief to be read by somebody who was not there: as text, and as one page that prints.
import { htmlPage } from '../formats/out/htmlPage.ts';
import { xmlText } from '../formats/out/xmlText.ts';
import { SHEET_CSS } from '../brief/sheetStyle.ts';
import type { Expected } from '../mission/expected.ts';
import { whereWords } from '../recovery/where.ts';
import { distance, halfAxes, height } from '../words/lengths.ts';
import { capital, chanceWords, MISSING, PAPER_UNITS } from '../words/numbers.ts';
import { formatDegrees } from '../words/positions.ts';
import { clock, date, roughDuration, sinceExit } from '../words/times.ts';
import { directionWords, speed, windWords } from '../words/winds.ts';
import type { Debrief, ExpectedThen } from './debrief.ts';
import { missDrawing } from './missDrawing.ts';
import { THERE_M } from './said.ts';
import type { WindThere } from './windsFound.ts';

interface Table {
  readonly title: string;
  /** What it says and how it is counted. */
  readonly under: string;
  readonly columns: readonly string[];
  readonly rows: readonly (readonly string[])[];
  /** Said where there is no row. */
  readonly none: string;
}

const CAUTION =
  'Worked out afterwards from the plan as it is now, the log and the forecast; the word is what the program says ' +
  'today, not what it said then. It weighs no one’s decision.';

/** What was reckoned with, a moment on. */
const BASIS: Readonly<Record<Expected['from'], string>> = {
  plan: 'the planned exit',
  exit: 'the exit',
  fix: 'a fix',
  touchdown: 'the touchdown',
};

/** Early or late by so much, in words. */
const lateWords = (late_s: number): string =>
  Math.abs(late_s) < 1 ? 'on time' : `${roughDuration(late_s)} ${late_s > 0 ? 'late' : 'early'}`;

/** The head of a debrief: what happened, in sentences. */
function summary({ touchdown, where, exit, moments }: Debrief): string[] {
  const lines = [
    `Touchdown ${clock(touchdown.time_s)} at ${formatDegrees(touchdown.place)}.`,
    `${whereWords(where, PAPER_UNITS, 'Came down')}.`,
  ];
  if (exit === null) lines.push('The log has no exit.');
  else {
    const away =
      exit.away === null
        ? '; the log does not say where'
        : `, ${distance(exit.away.distance_m)} toward ${directionWords(exit.away.toward_deg)} from the planned place`;
    const fell = roughDuration(touchdown.time_s - exit.time_s);
    lines.push(`Exit ${clock(exit.time_s)}, ${lateWords(exit.late_s)}${away}. Down after ${fell}.`);
  }
  const first = moments[0];
  const before = moments.findLast(({ from }) => from === 'plan');
  if (first !== undefined) lines.push(`The forecast alone missed the touchdown by ${distance(first.miss_m)}.`);
  if (before !== undefined && before !== first)
    lines.push(
      `What was expected last before the exit missed it by ${distance(before.miss_m)}` +
        `${before.within === null ? '' : `: ${withinWords(before.within)}`}.`,
    );
  return lines;
}

/** On which of the drawn ellipses the touchdown lay. */
const withinWords = (within: number): string =>
  within > 0.99 ? 'outside 99 of 100 drawn landings' : `inside what holds ${chanceWords(within)} of the drawn landings`;

const windText = ({ from_deg, speed_mps }: WindThere): string => windWords(from_deg, speed_mps);

function momentsTable({ moments, leftOut, exit }: Debrief): Table {
  const when = (at_s: number): string =>
    exit === null ? clock(at_s) : `${clock(at_s)} ${sinceExit(at_s - exit.time_s)}`;
  const row = ({ at_s, because, from, miss_m, toward_deg, late_s, ellipse90, within }: ExpectedThen): string[] => [
    when(at_s),
    because,
    BASIS[from],
    `${distance(miss_m)} toward ${directionWords(toward_deg)}`,
    lateWords(late_s),
    ellipse90 === null ? MISSING : halfAxes(ellipse90.semiMajor_m, ellipse90.semiMinor_m),
    within === null ? MISSING : chanceWords(within),
  ];
  const less = leftOut === 0 ? '' : ` ${leftOut} moments that moved it least are left out.`;
  return {
    title: 'Expected against actual',
    under:
      'Each moment at which the expected landing moved by 50 m or more: how far, and which way, the jumper came down ' +
      'from it; the half axes of the ellipse of 90 % that was drawn then; and what share of the drawn landings the ' +
      `smallest ellipse holds that reaches the touchdown: of good forecasts half lie within 50 %.${less}`,
    columns: ['From', 'What was new', 'Reckoned from', 'Came down', 'Touchdown', 'Drawn 90 %', 'Lay within'],
    rows: moments.map(row),
    none: 'No landing could be worked out for any moment of the log.',
  };
}

function windsTable({ winds }: Debrief): Table {
  return {
    title: 'Winds: told, forecast, used',
    under:
      'FROM, true. The forecast at the report’s place, height and time; used: what was reckoned with there at the ' +
      'exit. Off: the size of the difference as vectors.',
    columns: ['Observed', 'By', 'Height', 'Told', 'Forecast', 'Off', 'Used', 'Off', 'Not counted because'],
    rows: winds.map((one) => [
      clock(one.observed_s),
      `${one.by} (${one.id})`,
      height(one.height_m),
      windText(one.told),
      windText(one.forecast),
      speed(one.offForecast_mps),
      windText(one.used),
      speed(one.offUsed_mps),
      one.without ?? '',
    ]),
    none: 'The log has no wind with a height.',
  };
}

const advisedTable = ({ advised }: Debrief): Table => ({
  title: 'What today’s settings say of each decision',
  under: 'Of the last second before the exit, and of each decision in the log, worked out with few descents.',
  columns: ['At', 'In the log', 'Word', 'Because'],
  rows: advised.map(({ at_s, logged, word, because }) => [clock(at_s), logged, word, because.join('; ')]),
  none: 'The log has neither an exit nor a decision.',
});

const calledTable = ({ called }: Debrief): Table => ({
  title: 'Calls',
  under: 'After: since the newest wind, correction, mark or fix that the log had then.',
  columns: ['At', 'To', 'By', 'After', 'Said'],
  rows: called.map(({ at_s, to, by, after_s, text }) => [
    clock(at_s),
    to ?? MISSING,
    by ?? MISSING,
    after_s === null ? MISSING : roughDuration(after_s),
    text,
  ]),
  none: 'The log has no call.',
});

const correctedTable = ({ corrected }: Debrief): Table => ({
  title: 'Corrections',
  under: 'Reports that were put right or withdrawn, and how long they stood.',
  columns: ['Report', 'Said', 'Instead', 'By', 'At', 'Stood'],
  rows: corrected.map(({ id, said, instead, by, at_s, stood_s }) => [
    id,
    said,
    instead,
    by ?? MISSING,
    clock(at_s),
    roughDuration(stood_s),
  ]),
  none: 'No report was corrected.',
});

const crewsTable = ({ crews }: Debrief): Table => ({
  title: 'Crews',
  under: `At the person: first heard within ${distance(THERE_M)} of the touchdown.`,
  columns: ['Crew', 'At the person', 'After touchdown', 'Nearest heard'],
  rows: crews.map(({ crew, there_s, after_s, nearest_m }) => [
    crew,
    there_s === null ? MISSING : clock(there_s),
    after_s === null ? MISSING : roughDuration(after_s),
    nearest_m === null ? 'not heard after the touchdown' : distance(nearest_m),
  ]),
  none: 'The plan names no crew.',
});

const tablesOf = (debrief: Debrief): Table[] =>
  [momentsTable, advisedTable, windsTable, calledTable, correctedTable, crewsTable].map((table) => table(debrief));

const titleOf = ({ mission, touchdown }: Debrief): string => `Debrief of ${date(touchdown.time_s)}: ${mission}`;

export function debriefText(debrief: Debrief): string {
  const tables = tablesOf(debrief).flatMap(({ title, under, columns, rows, none }) => {
    const head = ['', title, under];
    if (rows.length === 0) return [...head, `  ${none}`];
    const widths = columns.map((column, k) => Math.max(column.length, ...rows.map((row) => row[k]?.length ?? 0)));
    const line = (row: readonly string[]): string =>
      `  ${row.map((cell, k) => (k === row.length - 1 ? cell : cell.padEnd(widths[k] ?? 0))).join('  ')}`.trimEnd();
    return [...head, line(columns), ...rows.map(line)];
  });
  return `${[titleOf(debrief), '', ...summary(debrief), ...tables, '', CAUTION].join('\n')}\n`;
}

const PAGE_CSS = `
@page { size: A4 landscape; }
body { width: auto; max-width: 279mm; }
td:first-child { white-space: nowrap; }
td { font-size: 8pt; line-height: 1.25; }
p { margin: 1mm 0; }
tr { break-inside: avoid; }
h2, h2 + p { break-after: avoid; }
svg { display: block; margin-top: 2mm; max-width: 100%; }
`;

/** One file that needs nothing. `fontCss`: rules for the face, if it comes along. */
export function debriefHtml(debrief: Debrief, fontCss = ''): string {
  const cell = (tag: string, text: string): string => `<${tag}>${xmlText(text)}</${tag}>`;
  const row = (cells: readonly string[], tag: string): string =>
    `<tr>${cells.map((one) => cell(tag, one)).join('')}</tr>`;
  const tables = tablesOf(debrief).map(({ title, under, columns, rows, none }) => {
    const body = rows.map((cells) => row(cells.map(capital), 'td')).join('');
    const table = `<table><thead>${row(columns, 'th')}</thead><tbody>${body}</tbody></table>`;
    const held = rows.length === 0 ? cell('p', none) : table;
    return `<section>${cell('h2', title)}<p class="small">${xmlText(under)}</p>${held}</section>`;
  });
  return htmlPage(titleOf(debrief), `${fontCss}${SHEET_CSS}${PAGE_CSS}`, [
    `<header><div>${cell('h1', titleOf(debrief))}</div></header>`,
    ...summary(debrief).map((line) => cell('p', line)),
    missDrawing(debrief),
    ...tables,
    `<footer>${cell('span', CAUTION)}</footer>`,
  ]);
}
