// Any position track: which form a file has is told by its content, its name only breaks ties. Degrees WGS 84, m MSL,
// Unix seconds.
import { quantity } from '../../words/numbers.ts';
import { strFromU8 } from 'fflate';
import type { Read } from '../../base/problem.ts';
import { readAprs } from './aprs.ts';
import type { Track } from './fixes.ts';
import { readGpsd } from './gpsd.ts';
import { readGpx } from './gpx.ts';
import { readIgc } from './igc.ts';
import { readKmlTracks } from './kml.ts';
import { readNmea } from './nmea.ts';
import { decodeText } from '../text/text.ts';

export type { Fix, Track } from './fixes.ts';

interface TrackReader {
  /** Of a file whose content does not show its form. */
  readonly ending: string;
  /** An element near the beginning, or lines of which the form with the most wins. */
  readonly element?: RegExp;
  readonly row?: RegExp;
  read(text: string, options: { readonly reference_s?: number | undefined }): Read<Track[]>;
}

/** A form of track is one file and one row here. */
const READERS = {
  GPX: { ending: 'gpx', element: /<(?:\w+:)?gpx[\s>]/, read: readGpx },
  KML: { ending: 'kml', element: /<(?:\w+:)?kml[\s>]/, read: readKmlTracks },
  NMEA: { ending: 'nmea', row: /\$[A-Z]{2}(GGA|RMC|GNS|GLL),/, read: readNmea },
  gpsd: { ending: 'json', row: /^\s*\{.*"class"\s*:\s*"/, read: readGpsd },
  APRS: { ending: 'aprs', row: /^[A-Za-z0-9]{1,9}(-[A-Za-z0-9]{1,2})?>[^:]{1,80}:[!=/@]/, read: readAprs },
  IGC: { ending: 'igc', row: /^B\d{13}[NS]\d{8}[EW][AV]/, read: readIgc },
} as const satisfies Readonly<Record<string, TrackReader>>;

export type TrackForm = keyof typeof READERS;

const ROWS: readonly (readonly [TrackForm, TrackReader])[] = (Object.keys(READERS) as TrackForm[]).map((form) => [
  form,
  READERS[form],
]);

const MOST_BYTES = 100_000_000;

/** The form of a track file; null where it is not read here. */
export function trackForm(name: string, text: string): TrackForm | null {
  const head = text.slice(0, 4000);
  const byElement = ROWS.find(([, { element }]) => element?.test(head) === true);
  if (byElement !== undefined) return byElement[0];
  const sample = text.slice(0, 400_000).split(/[\r\n]+/);
  let best: { readonly form: TrackForm; readonly count: number } | null = null;
  for (const [form, { row }] of ROWS) {
    const count = row === undefined ? 0 : sample.filter((line) => row.test(line)).length;
    if (count > (best?.count ?? 0)) best = { form, count };
  }
  if (best !== null) return best.form;
  return ROWS.find(([, { ending }]) => name.toLowerCase().endsWith(`.${ending}`))?.[0] ?? null;
}

/** Forms that come line by line from a receiver. */
const STREAMED: ReadonlySet<TrackForm | null> = new Set(['NMEA', 'gpsd', 'APRS']);

/** Lines as a receiver sends them; null where they are of no such form. `now_s`: dates what has a time of day only. */
export function readLines(text: string, now_s: number): Read<Track[]> | null {
  const form = trackForm('', text);
  return form === null || !STREAMED.has(form) ? null : READERS[form].read(text, { reference_s: now_s });
}

/**
 * Reads a track of any form. Noise between the lines of a log is no obstacle; bytes that are not text become characters
 * that no form uses.
 *
 * name         the file's name, for the form where the content does not show it
 * reference_s  Unix seconds near the end of the track, for forms or files that give times of day without a date
 */
export function readTrack(
  name: string,
  bytes: Uint8Array,
  options: { readonly reference_s?: number | undefined },
): Read<Track[]> {
  if (!(bytes.length <= MOST_BYTES)) {
    return {
      value: [],
      problems: [
        {
          line: 0,
          text: `${quantity(bytes.length / 1e6, 'MB')}; a track has at most ${quantity(MOST_BYTES / 1e6, 'MB')}`,
        },
      ],
    };
  }
  const wide = (bytes[0] === 0xff && bytes[1] === 0xfe) || (bytes[0] === 0xfe && bytes[1] === 0xff);
  const text = (wide ? decodeText(bytes).value : strFromU8(bytes)).replace(/^\uFEFF/, '');
  const form = trackForm(name, text);
  if (form !== null) return READERS[form].read(text, options);
  return {
    value: [],
    problems: [{ line: 0, text: 'no track that is known here; expected NMEA, APRS, gpsd JSON, GPX, IGC or KML' }],
  };
}
