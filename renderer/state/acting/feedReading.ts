// From what a feed brought (a file in a watched folder, the new lines of a station file) to wind reports for the log.
// Pure but for loading the readers: what was found, what was not taken and why, a sentence each. Heights m, times s
// since 1970.
import { isoOf, roundTo } from '../../../core/base/plainNumbers.ts';
import type { NewReport } from '../../../core/formats/messages/report.ts';
import type { readTrack } from '../../../core/formats/tracks/track.ts';
import type { TextKind } from '../../../core/formats/winds/winds.ts';
import type { ReportSource } from '../../../core/log/events.ts';
import { repeatKey } from '../../../core/log/fate.ts';
import type { ReportState } from '../../../core/log/fold.ts';
import type { BackgroundErrors } from '../../../core/winds/errors.ts';
import type { DecodedLevel, DecodedWinds } from '../../../core/air/levels.ts';
import { trackReports, windsFromTrack, type TrackFix } from '../../../core/winds/tracked.ts';
import type { LonLat } from '../../../core/base/units.ts';
import { windsFrom } from '../../../core/mission/apart.ts';
import { readApart } from '../../work/readApart.ts';

export interface FeedInput {
  /** The file's name, without its folder. */
  readonly name: string;
  readonly bytes: Uint8Array;
  /** First lines of a growing file, where its columns may be named. */
  readonly head?: Uint8Array | undefined;
  /** Only whole new lines of the file came; more may follow. */
  readonly growing: boolean;
}

export interface FeedContext {
  readonly now_s: number;
  readonly site: LonLat;
  readonly errors: BackgroundErrors;
  readonly reports: readonly ReportState[];
  /** Fixes that the same growing file brought before, by the name of what moved. */
  readonly fixes: ReadonlyMap<string, readonly TrackFix[]>;
}

export interface FeedReading {
  /** Their ids are empty: the caller numbers them. */
  readonly reports: readonly NewReport[];
  /** Winds that are in the log already, word for word. */
  readonly repeats: number;
  readonly problems: readonly string[];
  /** All fixes so far, for the next lines of a growing track. */
  readonly fixes: ReadonlyMap<string, readonly TrackFix[]>;
}

/** More winds of one file are not entered: a log is for the hours of a mission, an archive is a wind file. */
const MOST_REPORTS = 300;
/** Levels of one ascent closer than this part of a correlation length are one sample of the analysis. */
const APART_ZETA = 1 / 8;
const MOST_FIXES = 20_000;

/** Reads what a feed brought. Never throws at bad input; where nothing could be used, `problems` says why. */
export async function readFeed(input: FeedInput, context: FeedContext): Promise<FeedReading> {
  const track = await import('../../../core/formats/tracks/track.ts');
  const { decodeText } = await import('../../../core/formats/text/text.ts');
  const text = decodeText(input.bytes).value;
  if (track.trackForm(input.name, text) !== null) return readFixes(input, context, track.readTrack);
  const found = await decodedOf(input, text, context);
  const drafts: NewReport[] = [];
  const problems = [...found.problems];
  for (const one of found.sources) {
    const answer = draftsOf(one, context);
    drafts.push(...answer.drafts);
    problems.push(...answer.problems);
  }
  return answerOf(drafts, problems, context, context.fixes);
}

interface FeedSource {
  readonly decoded: DecodedWinds;
  readonly kind: TextKind;
  /** What made these winds; null: the file does not say. */
  readonly by: ReportSource | null;
}

interface Sources {
  readonly sources: readonly FeedSource[];
  readonly problems: readonly string[];
}

async function decodedOf(input: FeedInput, text: string, context: FeedContext): Promise<Sources> {
  const { madeBy, textKind } = await import('../../../core/formats/winds/winds.ts');
  const { decodeText } = await import('../../../core/formats/text/text.ts');
  const columns = input.head === undefined ? '' : columnLines(decodeText(input.head).value);
  const kind = textKind(`${columns}${text}`);
  if (kind === 'FB') return { sources: [], problems: ['is a forecast and no report; add it as a wind file (Ctrl+I)'] };
  // A gridded forecast is known by its grid, which any ground gives it.
  const options = { near: context.site, ground_m: 0, reference_s: context.now_s };
  const sources: FeedSource[] = [];
  const problems: string[] = [];
  for (const bytes of piecesOf(input, columns, text, kind)) {
    const read = await windsFrom({ name: input.name, bytes }, options, readApart);
    if (read.value.grids.length > 0)
      return { sources: [], problems: ['is a gridded forecast and no report; add it as a wind file (Ctrl+I)'] };
    sources.push(...read.value.decoded.map((decoded) => ({ decoded, kind, by: madeBy(kind) })));
    for (const { line, text: why } of read.problems)
      problems.push(line > 0 && !input.growing ? `line ${line}: ${why}` : why);
  }
  return { sources, problems: [...new Set(problems)] };
}

/** The lines of a table before its first row: comments and names of columns. */
function columnLines(head: string): string {
  const lines = head.split(/\r?\n/);
  const first = lines.findIndex(
    (line) => line.trim() !== '' && !line.trimStart().startsWith('#') && /^\s*["']?[-+\d]/.test(line),
  );
  return lines
    .slice(0, first < 0 ? lines.length : first)
    .filter((line) => line.trim() !== '')
    .map((line) => `${line}\n`)
    .join('');
}

/** A growing table is read a row at a time: each row is a wind of its own time. Anything else is read as it came. */
function piecesOf({ bytes, growing }: FeedInput, columns: string, text: string, kind: TextKind): Uint8Array[] {
  if (!growing || kind !== 'table') return [bytes];
  const encoder = new TextEncoder();
  const rows = text
    .split(/\r?\n/)
    .filter((line) => line.trim() !== '' && !line.startsWith('#') && !columns.includes(`${line}\n`));
  return rows.slice(-MOST_REPORTS).map((row) => encoder.encode(`${columns}${row}\n`));
}

/** "METAR EDDW 011250Z" is the station EDDW. */
const whoOf = ({ source }: DecodedWinds, kind: TextKind): string =>
  kind === 'METAR' ? (source.split(' ')[1] ?? source) : source.slice(0, 80);

function draftsOf(
  { decoded, kind, by }: FeedSource,
  context: FeedContext,
): { drafts: NewReport[]; problems: string[] } {
  const winds = decoded.levels.filter(
    (level) => level.speed_mps !== null && (level.from_deg !== null || level.speed_mps === 0 || swings(level)),
  );
  // Where nobody says, a profile has the larger error of a balloon, one level that of a mast.
  const source = by ?? (decoded.levels.length === 1 ? 'station' : 'pilot-balloon');
  const surface = source === 'station';
  const problems: string[] = [];
  const observed = decoded.releasedAt ?? decoded.validTime;
  if (observed === null && !surface) problems.push(`${decoded.source}: no time; taken as observed now`);
  const observedAt = observed === null ? isoOf(context.now_s) : isoOf(Date.parse(observed) / 1000);
  const placed = winds.filter((level) => level.height_m !== null || level.agl_m !== undefined || surface);
  const drafts = thinned(placed, context.errors).map((level): NewReport => {
    const gust = level.gust_mps;
    const variable = level.from_deg === null && level.speed_mps !== 0;
    return {
      kind: 'wind-report',
      id: '',
      source,
      by: whoOf(decoded, kind),
      observedAt,
      ...(decoded.position === null ? {} : { position: decoded.position }),
      ...(level.height_m !== null
        ? { height_m: roundTo(level.height_m, 1) }
        : level.agl_m === undefined
          ? {}
          : { agl_m: level.agl_m }),
      from_deg: roundTo(level.from_deg ?? 0, 1),
      speed_mps: roundTo(level.speed_mps ?? 0, 3),
      ...(gust === undefined ? {} : { gust_mps: roundTo(gust, 3) }),
      ...(variable ? { variable: true } : {}),
      text: decoded.source,
    };
  });
  return { drafts, problems };
}

/** From anywhere: a METAR's VRB. */
const swings = (level: DecodedLevel): boolean => level.from_deg === null && level.sector_deg !== undefined;

/** Of levels that are one sample of the analysis, the lowest. */
function thinned(levels: readonly DecodedLevel[], errors: BackgroundErrors): DecodedLevel[] {
  const rising = levels.toSorted((a, b) => (a.height_m ?? 0) - (b.height_m ?? 0));
  let last = -Infinity;
  return rising.filter((level) => {
    if (level.height_m === null) return true;
    const zeta = errors.zeta(level.height_m);
    if (zeta - last < APART_ZETA) return false;
    last = zeta;
    return true;
  });
}

function readFixes(input: FeedInput, context: FeedContext, reader: typeof readTrack): FeedReading {
  const read = reader(input.name, input.bytes, { reference_s: context.now_s });
  const fixes = new Map(context.fixes);
  const drafts: NewReport[] = [];
  const problems = read.problems.map(({ line, text }) => (line > 0 && !input.growing ? `line ${line}: ${text}` : text));
  for (const track of read.value) {
    const name = track.name === '' ? input.name.replace(/\.[^.]*$/, '') : track.name;
    const fresh = track.fixes.flatMap(({ time_s, position, height_m, valid }): TrackFix[] =>
      valid && time_s !== null && height_m !== null ? [{ time_s, position, height_m }] : [],
    );
    const all = [...(context.fixes.get(name) ?? []), ...fresh].slice(-MOST_FIXES);
    fixes.set(name, all);
    const { winds, remarks } = windsFromTrack(all);
    // The last layer of a growing track still grows: it is entered when the next one has begun.
    const whole = input.growing ? winds.slice(0, -1) : winds;
    drafts.push(...trackReports(whole, { by: name, idPrefix: '', first: 0 }));
    if (!input.growing || whole.length === 0) problems.push(...remarks.map((remark) => `${name}: ${remark}`));
  }
  return answerOf(drafts, problems, context, fixes);
}

/** Leaves out what the log has already, and counts it. */
function answerOf(
  drafts: readonly NewReport[],
  problems: readonly string[],
  context: FeedContext,
  fixes: FeedReading['fixes'],
): FeedReading {
  const known = new Set(context.reports.map((report) => repeatKey(report.event)));
  const reports: NewReport[] = [];
  let repeats = 0;
  for (const draft of drafts) {
    const key = repeatKey({ ...draft, seq: 0, at: draft.observedAt });
    if (known.has(key)) repeats += 1;
    else {
      known.add(key);
      reports.push(draft);
    }
  }
  const kept = reports.slice(0, MOST_REPORTS);
  const more = reports.length - kept.length;
  const silent = drafts.length === 0 && problems.length === 0;
  const said = silent
    ? ['holds no wind']
    : more > 0
      ? [...problems, `${more} more winds were left out: ${MOST_REPORTS} of one file are entered`]
      : problems;
  return { reports: kept, repeats, problems: said, fixes };
}
