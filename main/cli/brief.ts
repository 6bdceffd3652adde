// `plumbline brief`: the brief of a mission at a moment as text, page, PDF, JSON, or as places and tables for other
// programs.
import { writeFile } from 'node:fs/promises';
import face400 from '@fontsource/ibm-plex-sans/files/ibm-plex-sans-latin-400-normal.woff2?inline';
import face600 from '@fontsource/ibm-plex-sans/files/ibm-plex-sans-latin-600-normal.woff2?inline';
import { acknowledged, changesBetween, marksOf, radioCorrections, type Marks } from '../../core/brief/changes.ts';
import { briefOf } from '../../core/brief/brief.ts';
import { clock } from '../../core/words/times.ts';
import { exportBrief } from '../../core/brief/exports.ts';
import { phonePage } from '../../core/brief/phone.ts';
import { ordersData } from '../../core/brief/ordersData.ts';
import { briefHtml } from '../../core/brief/html.ts';
import type { Brief } from '../../core/brief/model.ts';
import { BRIEF_OPTIONS, briefSource, type BriefSource } from '../../core/brief/source.ts';
import { csvOf, TABLES, type Table } from '../../core/brief/tables.ts';
import { briefText, crewText, radioText } from '../../core/brief/text.ts';
import type { Loaded } from '../../core/mission/load.ts';
import { never } from '../../core/base/problem.ts';
import { exitTime_s, situationAt, type Situation } from '../../core/mission/situation.ts';
import { findChromium, printWithChromium } from '../browser/chromium.ts';
import { sentenceOf } from '../files/trouble.ts';
import { readTime } from './arguments.ts';
import { PHONE_SCRIPT } from './phoneScript.ts';
import { askMission, situationOf, wholeNumber } from './ask.ts';
import { complainOf, REFUSED, type Output } from './output.ts';

const FORMATS = ['text', 'html', 'pdf', 'kml', 'gpx', 'geojson', 'csv', 'json', 'radio', 'phone'] as const;
type Format = (typeof FORMATS)[number];

const KINDS = {
  format: 'value', at: 'value', crew: 'value', out: 'value', since: 'value', table: 'value', members: 'value', seed: 'value',
} as const; // prettier-ignore

export async function runBrief(args: readonly string[], output: Output): Promise<number> {
  const ask = await askMission('brief', args, KINDS, output);
  if (ask === null) return REFUSED;
  const { options, loaded, path } = ask;
  const format = oneOf('format', options.format, FORMATS, 'text', output);
  const table = oneOf('table', options.table, TABLES, 'cases', output);
  const members = wholeNumber(
    'brief',
    'members',
    options.members,
    { otherwise: BRIEF_OPTIONS.caseMembers, min: 50, max: 20_000 },
    output,
  );
  const seed = wholeNumber(
    'brief',
    'seed',
    options.seed,
    { otherwise: BRIEF_OPTIONS.seed, min: 0, max: 2 ** 31 - 1 },
    output,
  );
  const situation = situationOf('brief', loaded, options.at, output);
  const since_s = options.since === undefined ? null : readTime('since', options.since);
  if (typeof since_s === 'string') output.complain(`plumbline brief: ${since_s}`);
  if (
    format === null ||
    table === null ||
    members === null ||
    seed === null ||
    situation === null ||
    typeof since_s === 'string'
  )
    return REFUSED;
  if (!crewIsKnown(options.crew, situation, output)) return REFUSED;
  if (format === 'pdf' && !canPrint(options.out, output)) return REFUSED;
  const draws = { ...BRIEF_OPTIONS, seed, caseMembers: members, members: Math.max(members, BRIEF_OPTIONS.members) };
  const make = (at: Situation): BriefSource => {
    const made = briefSource(at, loaded.log, loaded.roads, draws);
    if (at === situation) for (const problem of made.problems) complainOf(path, problem, output);
    return made.source;
  };
  const source = make(situation);
  const brief = briefOf(source);
  const marks = marksFor(brief, situation, loaded, since_s, (at) => briefOf(make(at)));
  const answer = await answerOf({ format, table, brief, source, marks, crew: options.crew, path }, output);
  return answer === null ? REFUSED : deliver(answer, options.out, output);
}

function oneOf<T extends string>(
  option: string,
  text: string | undefined,
  known: readonly T[],
  otherwise: T,
  output: Output,
): T | null {
  const found = text === undefined ? otherwise : known.find((one) => one === text);
  if (found !== undefined) return found;
  output.complain(`plumbline brief: --${option} "${text}"; expected ${known.join(', ')}`);
  return null;
}

function crewIsKnown(crew: string | undefined, { mission }: Situation, output: Output): boolean {
  const names = (mission.teams ?? []).map((team) => team.name);
  if (crew === undefined || names.includes(crew)) return true;
  const known =
    names.length === 0 ? 'the mission names no team' : `expected ${names.map((name) => `"${name}"`).join(', ')}`;
  output.complain(`plumbline brief: --crew "${crew}"; ${known}`);
  return false;
}

/** A PDF needs somebody who prints and a place to go: both are asked before anything is computed. */
function canPrint(out: string | undefined, output: Output): boolean {
  if (findChromium() === null) {
    output.complain(
      'plumbline brief: a PDF needs an installed Chromium, Chrome or Edge, and none was found; ' +
        'install one, name it in PLUMBLINE_CHROMIUM, or take --format html and print that',
    );
    return false;
  }
  if (out !== undefined) return true;
  output.complain('plumbline brief: a PDF cannot be shown in the terminal; expected --out PATH.pdf');
  return false;
}

interface BriefMarks {
  /** Of the sheet: since the moment that `--since` names. */
  readonly sheet: Marks | null;
  /** Of each crew's page: since what it acknowledged, or `--since`. */
  readonly crews: ReadonlyMap<string, Marks>;
  /** The older brief of `--since`, for the corrections on the radio. */
  readonly held: Brief | null;
}

/**
 * What changed since what each reader holds. An older brief is not kept anywhere: it is made again from plan and log at
 * the moment at which the crew acknowledged it, with the plan as it is now.
 */
function marksFor(
  now: Brief,
  situation: Situation,
  loaded: Loaded,
  since_s: number | null,
  make: (at: Situation) => Brief,
): BriefMarks {
  const made = new Map<number, Brief>();
  const briefAt = (at_s: number): Brief => {
    const found = made.get(at_s) ?? make(situationAt(loaded.mission, loaded.log, loaded.world, at_s));
    made.set(at_s, found);
    return found;
  };
  const marksSince = (at_s: number): Marks => {
    const held = briefAt(at_s);
    return marksOf(`version ${held.head.version.number} of ${clock(at_s)}`, changesBetween(held, now));
  };
  const names = now.crews.map((crew) => crew.crew);
  const crews = new Map<string, Marks>();
  const acks = acknowledged(loaded.log, situation.at_s, names);
  for (const name of names) {
    const at_s = since_s ?? acks.get(name)?.at_s;
    if (at_s !== undefined && at_s < situation.at_s) crews.set(name, marksSince(at_s));
  }
  return {
    sheet: since_s === null ? null : marksSince(since_s),
    crews,
    held: since_s === null ? null : briefAt(since_s),
  };
}

interface Wanted {
  readonly format: Format;
  readonly table: Table;
  readonly brief: Brief;
  readonly source: BriefSource;
  readonly marks: BriefMarks;
  readonly crew: string | undefined;
  readonly path: string;
}

async function answerOf(wanted: Wanted, output: Output): Promise<string | Uint8Array | null> {
  const { format, brief, marks, crew, path } = wanted;
  switch (format) {
    case 'text': {
      const own = brief.crews.find((one) => one.crew === crew);
      return own === undefined
        ? briefText(brief, marks.sheet)
        : crewText(brief, own, marks.crews.get(own.crew) ?? null);
    }
    case 'radio':
      return radioText(marks.held === null ? brief.radio : radioCorrections(brief, marks.held)).join('\n');
    case 'html':
      return page(wanted);
    case 'pdf': {
      const printed = await printWithChromium(findChromium() ?? '', page(wanted));
      if (printed.ok) return printed.value;
      output.complain(`plumbline brief: ${printed.why}`);
      return null;
    }
    case 'json':
      return JSON.stringify({ ...brief, orders: ordersData(brief, wanted.source) });
    case 'phone': {
      const page = brief.crews.find((one) => one.crew === crew);
      if (page !== undefined)
        return phonePage(brief, page, {
          exit_s: exitOfBrief(wanted.source),
          script: PHONE_SCRIPT,
          marks: marks.crews.get(page.crew) ?? null,
        });
      output.complain('plumbline brief: --format phone is one crew’s page; expected --crew NAME');
      return null;
    }
    case 'csv':
      return csvOf(wanted.source, wanted.table);
    case 'kml':
    case 'gpx':
    case 'geojson': {
      const made = exportBrief(brief, format, crew);
      for (const problem of made.problems) complainOf(path, problem, output);
      return made.value;
    }
    default:
      return never(format);
  }
}

const exitOfBrief = ({ situation }: BriefSource): number => exitTime_s(situation.mission, situation.state);

function page({ brief, marks, crew }: Wanted): string {
  const fontCss = bundledFace();
  return briefHtml(brief, {
    fontCss,
    marks: marks.sheet,
    crewMarks: marks.crews,
    ...(crew === undefined ? {} : { crew }),
  });
}

/** The window's own face as data, so that a page looks the same on every machine. */
export const bundledFace = (): string =>
  [
    { weight: 400, url: face400 },
    { weight: 600, url: face600 },
  ]
    .map(
      ({ weight, url }) =>
        `@font-face{font-family:"IBM Plex Sans";font-weight:${weight};src:url(${url}) format("woff2");}`,
    )
    .join('');

/** Writes an answer to a file, or shows it; answers the exit status. */
export async function deliver(answer: string | Uint8Array, out: string | undefined, output: Output): Promise<number> {
  if (out === undefined) {
    output.print(typeof answer === 'string' ? answer : '');
    return 0;
  }
  try {
    await writeFile(out, answer);
    output.print(out);
    return 0;
  } catch (error) {
    output.complain(`${out}: ${sentenceOf(error)}`);
    return REFUSED;
  }
}
