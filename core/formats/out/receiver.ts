// A position as receivers send it, for rehearsals: NMEA 0183 (RMC for the date, GGA for the height) and APRS with time
// and altitude. The forms are those that `formats/tracks/nmea.ts` and `aprs.ts` read, whose sources stand there.
import { isoOf } from '../../base/plainNumbers.ts';
import { M_PER_FT, type LonLat } from '../../base/units.ts';
import { nmeaChecksum } from '../tracks/nmea.ts';

interface SentFix {
  readonly time_s: number;
  readonly position: LonLat;
  /** MSL, m. */
  readonly height_m: number;
}

const sentence = (body: string): string => `$${body}*${nmeaChecksum(body).toString(16).toUpperCase().padStart(2, '0')}`;

/** Degrees and minutes in one figure, "3005.13618" of 30.085603°; rounded as a whole, so that no minute is 60. */
function degreesMinutes(angle_deg: number, wholeDigits: number, decimals: number): string {
  const unit = 10 ** decimals;
  const all = Math.round(Math.abs(angle_deg) * 60 * unit);
  const degrees = Math.floor(all / (60 * unit));
  const minutes = (all - degrees * 60 * unit) / unit;
  return String(degrees).padStart(wholeDigits, '0') + minutes.toFixed(decimals).padStart(3 + decimals, '0');
}

const placeFields = ([lon, lat]: LonLat, decimals: number): readonly [string, string, string, string] => [
  degreesMinutes(lat, 2, decimals),
  lat < 0 ? 'S' : 'N',
  degreesMinutes(lon, 3, decimals),
  lon < 0 ? 'W' : 'E',
];

/** The sentences of one moment, to a hundredth of a second and two centimetres. */
export function nmeaLines({ time_s, position, height_m }: SentFix): readonly string[] {
  const iso = isoOf(Math.round(time_s * 100) / 100);
  const time = `${iso.slice(11, 19).replaceAll(':', '')}.${(/\.(\d\d)/.exec(iso)?.[1] ?? '').padEnd(2, '0')}`;
  const date = `${iso.slice(8, 10)}${iso.slice(5, 7)}${iso.slice(2, 4)}`;
  const place = placeFields(position, 5).join(',');
  return [
    sentence(`GPRMC,${time},A,${place},,,${date},,,A`),
    sentence(`GPGGA,${time},${place},1,08,1.0,${height_m.toFixed(1)},M,0.0,M,,`),
  ];
}

/** A call sign as good as a name gives: capitals and digits, nine at most. */
const callSign = (name: string): string =>
  name
    .normalize('NFKD')
    .toUpperCase()
    .replace(/[^A-Z0-9]/g, '')
    .slice(0, 9) || 'CREW';

/** To a second and a hundredth of a minute, some 18 m. */
export function aprsLine(name: string, { time_s, position, height_m }: SentFix): string {
  const [lat, northSouth, lon, eastWest] = placeFields(position, 2);
  const time = isoOf(Math.round(time_s)).slice(11, 19).replaceAll(':', '');
  const feet = String(Math.max(0, Math.round(height_m / M_PER_FT))).padStart(6, '0');
  return `${callSign(name)}>APZ000:/${time}h${lat}${northSouth}/${lon}${eastWest}>/A=${feet}`;
}
