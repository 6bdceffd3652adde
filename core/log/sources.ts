// What each kind of report is worth: its standard error, and the height that it means where it names none. m/s, m.
import { atKnots, type Knots } from '../base/knots.ts';
import type { ReportSource } from './events.ts';

/** What one kind of report is worth. */
export interface SourceError {
  /** Standard error of one component against the ten-minute mean at that place and height. */
  readonly std_mps: Knots;
  /** Height above ground that such a report means where it names none; null: it must name one. */
  readonly usual_agl_m: number | null;
  readonly reason: string;
}

/**
 * The one table of report errors. The sizes are common practice (no standard fixes them for this use): the instrument's
 * own error, and with it what one reading misses of the mean wind over some kilometres and minutes, which is the larger
 * part. Measuring heights: 10 m is the standard height of a surface wind (WMO-No. 8, Guide to Instruments, part I,
 * chapter 5).
 */
export const SOURCE_ERRORS: { readonly [S in ReportSource]: SourceError } = {
  sounding: {
    std_mps: [
      [0, 0.8],
      [10_000, 1.5],
      [40_000, 2.5],
    ],
    usual_agl_m: null,
    reason: 'tracked by satellite to a few tenths of a m/s; the rest is what one balloon misses of the wind around it',
  },
  'pilot-balloon': {
    std_mps: [
      [0, 1],
      [5000, 1.5],
      [10_000, 2.5],
      [40_000, 5],
    ],
    usual_agl_m: null,
    reason: 'one theodolite and an assumed rate of ascent: the error grows with the distance and so with height',
  },
  station: {
    std_mps: [[0, 1]],
    usual_agl_m: 10,
    reason: 'a mast at 10 m, half a m/s of instrument and as much again of its surroundings',
  },
  crew: {
    std_mps: [[0, 1.5]],
    usual_agl_m: 2,
    reason: 'a hand-held meter or a streamer at head height, read over a minute',
  },
  aircraft: {
    std_mps: [
      [0, 1.5],
      [10_000, 2],
      [40_000, 4],
    ],
    usual_agl_m: null,
    reason: 'the difference of two large vectors, speed over ground and speed through the air',
  },
  smoke: {
    std_mps: [[0, 1.2]],
    usual_agl_m: 5,
    reason: 'the direction of smoke is good to some 10°, its speed is estimated against a known distance',
  },
  estimate: {
    std_mps: [
      [0, 2.5],
      [10_000, 5],
      [40_000, 8],
    ],
    usual_agl_m: 10,
    reason: 'by eye or by hearsay',
  },
};

/** The standard error of one component that a kind of report implies at a height. */
export const sourceStd_mps = (source: ReportSource, height_m: number): number =>
  atKnots(SOURCE_ERRORS[source].std_mps, height_m);
