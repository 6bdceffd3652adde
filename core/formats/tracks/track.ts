// Any position track: which form a file has is told by its content, its name only breaks ties. Degrees WGS 84, m MSL,
// Unix seconds.
import { strFromU8 } from 'fflate';
import type { Read } from '../../base/problem.ts';
import { never } from '../../base/problem.ts';
import { readAprs } from './aprs.ts';
import type { Track } from './fixes.ts';
import { readGpsd } from './gpsd.ts';
import { readGpx } from './gpx.ts';
import { readIgc } from './igc.ts';
import { readKmlTracks } from './kml.ts';
import { readNmea } from './nmea.ts';
import { decodeText } from '../text/text.ts';

export type { Fix, Track } from './fixes.ts';

export type TrackForm = 'NMEA' | 'APRS' | 'gpsd' | 'GPX' | 'IGC' | 'KML';

const MOST_BYTES = 100_000_000;

/** How many lines of a text look like each form; the most wins. */
function lineForm(text: string): TrackForm | null {
  const sample = text.slice(0, 400_000).split(/[\r\n]+/);
  const count = (pattern: RegExp): number => sample.filter((row) => pattern.test(row)).length;
  const counts: readonly (readonly [TrackForm, number])[] = [
    ['NMEA', count(/\$[A-Z]{2}(GGA|RMC|GNS|GLL),/)],
    ['gpsd', count(/^\s*\{.*"class"\s*:\s*"/)],
    ['APRS', count(/^[A-Za-z0-9]{1,9}(-[A-Za-z0-9]{1,2})?>[^:]{1,80}:[!=/@]/)],
    ['IGC', count(/^B\d{13}[NS]\d{8}[EW][AV]/)],
  ];
  const [form, most] = counts.reduce((a, b) => (b[1] > a[1] ? b : a));
  return most > 0 ? form : null;
}

/** The form of a track file; null where it is none of those read here. */
export function trackForm(name: string, text: string): TrackForm | null {
  const head = text.slice(0, 4000);
  if (/<(?:\w+:)?gpx[\s>]/.test(head)) return 'GPX';
  if (/<(?:\w+:)?kml[\s>]/.test(head)) return 'KML';
  const byLines = lineForm(text);
  if (byLines !== null) return byLines;
  const extension = /\.(nmea|aprs|json|gpx|igc|kml)$/i.exec(name)?.[1]?.toLowerCase();
  const named: Readonly<Record<string, TrackForm>> = {
    nmea: 'NMEA',
    aprs: 'APRS',
    json: 'gpsd',
    gpx: 'GPX',
    igc: 'IGC',
    kml: 'KML',
  };
  return extension === undefined ? null : (named[extension] ?? null);
}

/**
 * Reads a track of any form. Noise between the lines of a log is no obstacle; bytes that are no text become characters
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
        { line: 0, text: `${(bytes.length / 1e6).toFixed(0)} MB; a track has at most ${MOST_BYTES / 1e6} MB` },
      ],
    };
  }
  const wide = (bytes[0] === 0xff && bytes[1] === 0xfe) || (bytes[0] === 0xfe && bytes[1] === 0xff);
  const text = (wide ? decodeText(bytes).value : strFromU8(bytes)).replace(/^\uFEFF/, '');
  const form = trackForm(name, text);
  switch (form) {
    case 'NMEA':
      return readNmea(text, options);
    case 'APRS':
      return readAprs(text, options);
    case 'gpsd':
      return readGpsd(text);
    case 'GPX':
      return readGpx(text);
    case 'IGC':
      return readIgc(text, options);
    case 'KML':
      return readKmlTracks(text);
    case null:
      return {
        value: [],
        problems: [{ line: 0, text: 'no track that is known here; expected NMEA, APRS, gpsd JSON, GPX, IGC or KML' }],
      };
    default:
      return never(form);
  }
}
