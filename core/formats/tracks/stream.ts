// Position lines as they come from a receiver: NMEA 0183, gpsd's JSON and APRS, mixed or not, one line at a time.
// Degrees WGS 84, heights m MSL, Unix seconds. The readers of whole files do the reading; here is only what a stream
// adds: the sentences of one moment are waited for, and what was wrong is counted.
import type { LonLat } from '../../base/units.ts';
import { secondsOfDay } from './fixes.ts';
import { trackForm, readLines } from './track.ts';

/** One fix of one sender: a call sign, a device, or "NMEA". */
export interface StreamFix {
  readonly sender: string;
  /** Unix seconds; where the line has none, the moment at which it came. */
  readonly time_s: number;
  readonly position: LonLat;
  readonly height_m: number | null;
}

export interface StreamNews {
  readonly fixes: readonly StreamFix[];
  /** Lines that should have held a fix and could not be used, and the newest reason. */
  readonly bad: number;
  readonly problem: string | null;
}

/** A line that is longer is no line: noise, or another protocol. */
export const LINE_LENGTH_MAX = 4096;

const NOTHING: StreamNews = { fixes: [], bad: 0, problem: null };

/** The time of day of an NMEA sentence; null where it has none. */
const momentOf = (line: string): number | null => {
  const fields = line.slice(line.indexOf('$') + 1).split(',');
  return secondsOfDay(((fields[0] ?? '').endsWith('GLL') ? fields[5] : fields[1]) ?? '');
};

export class FixStream {
  /** Sentences of the moment that may not be whole yet. */
  #moment: string[] = [];
  #time_s: number | null = null;

  /**
   * Takes one line.
   *
   * now_s  when it came, Unix seconds: dates what has a time of day only
   */
  take(line: string, now_s: number): StreamNews {
    if (line.length > LINE_LENGTH_MAX)
      return {
        ...NOTHING,
        bad: 1,
        problem: `a line of ${line.length} characters; expected ${LINE_LENGTH_MAX} at most`,
      };
    if (trackForm('', line) !== 'NMEA') return read([line], now_s);
    const time_s = momentOf(line);
    const isSame = time_s === null || this.#time_s === null || Math.abs(time_s - this.#time_s) < 1e-3;
    const before = isSame ? NOTHING : this.flush(now_s);
    this.#moment.push(line);
    this.#time_s = time_s ?? this.#time_s;
    return before;
  }

  /** The moment is over: nothing more of it comes. */
  flush(now_s: number): StreamNews {
    const lines = this.#moment;
    this.#moment = [];
    this.#time_s = null;
    return lines.length === 0 ? NOTHING : read(lines, now_s);
  }
}

function read(lines: readonly string[], now_s: number): StreamNews {
  const answer = readLines(lines.join('\n'), now_s);
  if (answer === null) return NOTHING;
  // What is said of no line is said of a file as a whole: that it holds no fix, or other lines too.
  const wrong = answer.problems.filter(({ line }) => line > 0);
  const fixes = answer.value.flatMap(({ name, fixes: found }) =>
    found.flatMap(({ time_s, position, height_m, valid }): StreamFix[] =>
      valid ? [{ sender: name, time_s: time_s ?? now_s, position, height_m }] : [],
    ),
  );
  return { fixes, bad: wrong.length, problem: wrong.at(-1)?.text ?? null };
}
