// `plumbline winds`: any wind file that the program reads, decoded, as a table or as JSON (FORMAT.md).
import { windsFrom } from '../../core/mission/apart.ts';
import { formatDegrees } from '../../core/words/positions.ts';
import { direction } from '../../core/words/winds.ts';
import { number } from '../../core/words/numbers.ts';
import type { Problem } from '../../core/base/problem.ts';
import { KELVIN_AT_0_C, M_PER_FT, MPS_PER_KT, PA_PER_HPA, type LonLat } from '../../core/base/units.ts';
import type { DecodedLevel, DecodedWinds } from '../../core/air/levels.ts';
import { readArguments, readPosition, readTime } from './arguments.ts';
import { readNamed } from './files.ts';
import { complainOf, REFUSED, type Output } from './output.ts';
import { fileReader } from './readApart.ts';

interface Ask {
  readonly files: readonly string[];
  readonly json: boolean;
  readonly reading: { readonly near?: LonLat; readonly reference_s?: number; readonly station?: string };
}

function readAsk(args: readonly string[]): Ask | string {
  const given = readArguments(args, { json: 'flag', position: 'value', station: 'value', date: 'value' });
  if (typeof given === 'string') return given;
  if (given.files.length === 0) return 'no file was named; expected: plumbline winds FILE…';
  const { position, station, date } = given.options;
  const near = position === undefined ? undefined : readPosition(position);
  if (typeof near === 'string') return near;
  const reference_s = date === undefined ? undefined : readTime('date', date);
  if (typeof reference_s === 'string') return reference_s;
  return {
    files: given.files,
    json: given.options.json === true,
    reading: {
      ...(near === undefined ? {} : { near }),
      ...(reference_s === undefined ? {} : { reference_s }),
      ...(station === undefined ? {} : { station }),
    },
  };
}

/**
 * Decodes every file. Status 2 where one of them gave nothing at all; what the others gave is answered all the same.
 */
export async function runWinds(args: readonly string[], output: Output): Promise<number> {
  const ask = readAsk(args);
  if (typeof ask === 'string') {
    output.complain(`plumbline winds: ${ask}`);
    return REFUSED;
  }
  const answers: { readonly path: string; readonly decoded: readonly DecodedWinds[] }[] = [];
  for (const path of ask.files) {
    const decoded = await decode(path, ask, output);
    if (decoded.length > 0) answers.push({ path, decoded });
  }
  if (answers.length > 0) {
    if (ask.json) output.print(JSON.stringify(answers.flatMap((answer) => answer.decoded)));
    else
      output.print(
        answers.map(({ path, decoded }) => decoded.map((winds) => table(path, winds)).join('\n')).join('\n'),
      );
  }
  return answers.length === ask.files.length ? 0 : REFUSED;
}

/** One file's sources that hold at least one level. Its problems go to standard error, each once. */
async function decode(path: string, ask: Ask, output: Output): Promise<readonly DecodedWinds[]> {
  const file = await readNamed(path);
  if (typeof file === 'string') {
    complainOf(path, { line: 0, text: file }, output);
    return [];
  }
  const read = await windsFrom({ ...file, spare: true }, ask.reading, fileReader());
  const said = new Set<string>();
  const complain = (problem: Problem): void => {
    const key = `${problem.line} ${problem.text}`;
    if (!said.has(key)) complainOf(path, problem, output);
    said.add(key);
  };
  read.problems.forEach(complain);
  read.value.decoded.flatMap((winds) => winds.problems).forEach(complain);
  const withLevels = read.value.decoded.filter((winds) => winds.levels.length > 0);
  if (withLevels.length === 0 && said.size === 0)
    complain({ line: 0, text: 'holds no wind level; expected at least one' });
  return withLevels;
}

interface Column {
  readonly head: string;
  readonly width: number;
  readonly cell: (level: DecodedLevel) => string;
}

/** Missing is a dash, never a zero. */
const cell = (value: number | null | undefined, digits: number): string => number(value ?? NaN, digits);
const per = (value: number | null | undefined, unit: number): number | null =>
  value === null || value === undefined ? null : value / unit;

const COLUMNS: readonly Column[] = [
  {
    head: 'm MSL',
    width: 9,
    cell: ({ height_m, agl_m }) =>
      height_m === null && agl_m !== undefined ? `${cell(agl_m, 0)} AGL` : cell(height_m, 0),
  },
  { head: 'ft MSL', width: 8, cell: ({ height_m }) => cell(per(height_m, M_PER_FT), 0) },
  { head: 'hPa', width: 8, cell: ({ pressure_Pa }) => cell(per(pressure_Pa, PA_PER_HPA), 1) },
  { head: 'from', width: 9, cell: from },
  { head: 'm/s', width: 6, cell: ({ speed_mps }) => cell(speed_mps, 1) },
  { head: 'kt', width: 5, cell: ({ speed_mps }) => cell(per(speed_mps, MPS_PER_KT), 0) },
  {
    head: '°C',
    width: 7,
    cell: ({ temperature_K }) => cell(temperature_K === null ? null : temperature_K - KELVIN_AT_0_C, 1),
  },
];
/** Only where the source has gusts. */
const GUST: Column = { head: 'gust m/s', width: 9, cell: ({ gust_mps }) => cell(gust_mps, 1) };

function from({ from_deg, speed_mps, sector_deg }: DecodedLevel): string {
  if (speed_mps === 0) return 'calm';
  if (sector_deg !== undefined)
    return sector_deg[0] === 0 && sector_deg[1] === 360
      ? 'variable'
      : `${direction(sector_deg[0])}–${direction(sector_deg[1])}`;
  return direction(from_deg ?? NaN);
}

function table(path: string, winds: DecodedWinds): string {
  const where = winds.position === null ? 'place not given' : `at ${formatDegrees(winds.position, 4)}`;
  const count = winds.levels.length === 1 ? '1 level' : `${winds.levels.length} levels`;
  const head =
    `${path}: ${winds.source}\n  valid ${winds.validTime ?? '(time not given)'}, ${where}, ${count}; ` +
    'directions true, FROM';
  const columns = winds.levels.some((level) => level.gust_mps !== undefined) ? [...COLUMNS, GUST] : COLUMNS;
  const row = (text: (column: Column) => string): string =>
    columns.map((column) => text(column).padStart(column.width)).join(' ');
  return `${[head, row((column) => column.head), ...winds.levels.map((level) => row((column) => column.cell(level)))].join('\n')}\n`;
}
