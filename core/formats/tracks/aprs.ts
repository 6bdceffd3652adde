// APRS position reports in the text form of monitors (TNC2): "CALL>DEST,PATH:payload". Degrees WGS 84, heights m MSL.
// Source: APRS Protocol Reference 1.0.1, chapters 6, 8 and 9 (time, uncompressed and compressed position);
// reference/wind-reports.md §7.
import type { Read } from '../../base/problem.ts';
import type { LonLat } from '../../base/units.ts';
import { M_PER_FT } from '../../base/units.ts';
import { checkedTrack, datedTimes } from './fixes.ts';
import type { LinedFix, Track } from './fixes.ts';
import { shown } from '../text/shown.ts';
import { Findings, linesOf } from '../text/text.ts';
import { nearestDayTime } from '../text/times.ts';

interface Packet {
  readonly line: number;
  readonly call: string;
  readonly time: PacketTime;
  readonly position: LonLat;
  readonly height_m: number | null;
  readonly wrong: string | null;
}

/**
 * "none": the packet gives no time; "of day": HHMMSSh; "of month": DDHHMMz; "local": DDHHMM/ in a zone that it does not
 * name.
 */
type PacketTime =
  | { readonly kind: 'none' }
  | { readonly kind: 'local' }
  | { readonly kind: 'of day'; readonly ofDay_s: number }
  | { readonly kind: 'of month'; readonly day: number; readonly hour: number; readonly minute: number };

const UNCOMPRESSED = /^(\d\d)([\d ]{2})\.([\d ]{2})([NSns])(.)(\d{3})([\d ]{2})\.([\d ]{2})([EWew])(.)/;

/** Minutes to the middle of what figures blank from the first, second, third or fourth on leave open. */
const HALF_OF_BLANK = [30, 5, 0.5, 0.05] as const;

interface Placed {
  readonly position: LonLat;
  readonly rest: string;
  readonly height_m: number | null;
  readonly wrong: string | null;
}

/**
 * "DDMM.hhN/DDDMM.hhW-": blanks in the last figures say that the sender is not exact; the middle of what is left is
 * taken.
 */
function uncompressed(payload: string): Placed | null {
  const found = UNCOMPRESSED.exec(payload);
  if (found === null) return null;
  const minutes = (whole: string, hundredths: string): number => {
    const blank = `${whole}${hundredths}`.indexOf(' ');
    if (blank < 0) return Number(`${whole}.${hundredths}`);
    const known = Number(`${whole}${hundredths}`.slice(0, blank).padEnd(4, '0')) / 100;
    return known + (HALF_OF_BLANK[blank] ?? 0);
  };
  const figures = [found[2], found[3], found[7], found[8]].map((part) => part ?? '');
  const latMinutes = minutes(figures[0] ?? '', figures[1] ?? '');
  const lonMinutes = minutes(figures[2] ?? '', figures[3] ?? '');
  const lat = Number(found[1]) + latMinutes / 60;
  const lon = Number(found[6]) + lonMinutes / 60;
  if (!(latMinutes < 60 && lonMinutes < 60 && lat <= 90 && lon <= 180)) return null;
  const vague = figures.some((part) => part.includes(' '));
  return {
    position: [/w/i.test(found[9] ?? '') ? -lon : lon, /s/i.test(found[4] ?? '') ? -lat : lat],
    rest: payload.slice(found[0].length),
    height_m: null,
    wrong: vague ? 'the position is blurred by its sender; the middle is taken; not valid' : null,
  };
}

/** Four characters of base 91, each 33 to 123. */
function base91(text: string): number {
  let value = 0;
  for (let i = 0; i < text.length; i++) {
    const digit = text.charCodeAt(i) - 33;
    if (!(digit >= 0 && digit < 91)) return NaN;
    value = value * 91 + digit;
  }
  return value;
}

/**
 * "/YYYYXXXX$csT": latitude 90 − Y/380926, longitude −180 + X/190463; cs is an altitude of 1.002^cs ft where T says
 * GGA.
 */
function compressed(payload: string): Placed | null {
  if (!/^[/\\A-Za-j][!-{]{8}[!-~][ -{][ -{][!-~ ]/.test(payload)) return null;
  const lat = 90 - base91(payload.slice(1, 5)) / 380_926;
  const lon = -180 + base91(payload.slice(5, 9)) / 190_463;
  if (!(Math.abs(lat) <= 90 && Math.abs(lon) <= 180)) return null;
  const kind = payload.charCodeAt(12) - 33;
  const cs = base91(payload.slice(10, 12));
  const altitude = payload.charAt(10) !== ' ' && kind >= 0 && (kind & 0b11000) === 0b10000 && cs >= 0;
  return {
    position: [lon, lat],
    rest: payload.slice(13),
    height_m: altitude ? 1.002 ** cs * M_PER_FT : null,
    wrong: null,
  };
}

/** "!W63!" adds two figures of thousandths of a minute, "!w:!!" the same in base 91 (the DAO extension, WGS 84). */
function refined([lon, lat]: LonLat, rest: string): LonLat {
  const found = /!([Ww])([!-{ ])([!-{ ])!/.exec(rest);
  if (found === null) return [lon, lat];
  const extra = (c: string | undefined): number => {
    if (c === undefined || c === ' ') return 0;
    return found[1] === 'W' ? (/\d/.test(c) ? Number(c) / 1000 : 0) : ((c.charCodeAt(0) - 33) / 91) * 0.01;
  };
  const away = (degrees: number, minutes: number): number => degrees + (degrees < 0 ? -minutes : minutes) / 60;
  return [away(lon, extra(found[3])), away(lat, extra(found[2]))];
}

function timeOf(text: string): PacketTime | null {
  const found = /^(\d\d)(\d\d)(\d\d)([zh/])$/.exec(text);
  if (found === null) return null;
  const [a, b, c] = [Number(found[1]), Number(found[2]), Number(found[3])];
  if (found[4] === 'h') return a < 24 && b < 60 && c < 60 ? { kind: 'of day', ofDay_s: a * 3600 + b * 60 + c } : null;
  if (!(a >= 1 && a <= 31 && b < 24 && c < 60)) return null;
  return found[4] === 'z' ? { kind: 'of month', day: a, hour: b, minute: c } : { kind: 'local' };
}

/**
 * One line; null where it is not a position report (comments, status, messages, telemetry), a string where it should be
 * one and is not.
 *
 * legal    "=4903.50N/07201.75W-Op", "@092345z4903.50N/07201.75W>088/036", "/053400h/;{Kn5nhuOMGC/A=003123"
 * illegal  "!9903.50N/07201.75W-" (99°), "@992345z…" (day 99): said
 */
function packetOf(row: string, line: number): Packet | string | null {
  const head = /^([A-Za-z0-9]{1,9}(?:-[A-Za-z0-9]{1,2})?)>([^:]*):(.*)$/.exec(row.trimEnd());
  if (head === null) return null;
  const payload = head[3] ?? '';
  const kind = payload.charAt(0);
  if (kind === '`' || kind === "'") return 'a Mic-E position; this form is not read';
  if (!'!=/@'.includes(kind) || kind === '') return null;
  const stamped = kind === '/' || kind === '@';
  const time: PacketTime | null = stamped ? timeOf(payload.slice(1, 8)) : { kind: 'none' };
  if (time === null) return `time ${shown(payload.slice(1, 8))}; expected DDHHMMz, DDHHMM/ or HHMMSSh`;
  const body = payload.slice(stamped ? 8 : 1);
  const placed = uncompressed(body) ?? compressed(body);
  if (placed === null)
    return `position ${shown(body.slice(0, 19))}; expected DDMM.hhN/DDDMM.hhE or the compressed form`;
  const feet = /\/A=(-\d{5}|\d{6})/.exec(placed.rest);
  return {
    line,
    call: head[1] ?? '',
    time,
    position: refined(placed.position, placed.rest),
    height_m: feet === null ? placed.height_m : Number(feet[1]) * M_PER_FT,
    wrong: placed.wrong,
  };
}

/** Unix seconds of each packet of one station. */
function timesOf(packets: readonly Packet[], reference_s: number | undefined): (number | null)[] {
  const ofDay = packets.flatMap(({ time }) => (time.kind === 'of day' ? [{ ofDay_s: time.ofDay_s, day: null }] : []));
  const dated = datedTimes(ofDay, reference_s);
  let next = 0;
  return packets.map(({ time }) => {
    if (time.kind === 'of day') return dated[next++] ?? null;
    if (time.kind !== 'of month' || reference_s === undefined) return null;
    const iso = nearestDayTime(time.day, time.hour, time.minute, reference_s);
    return iso === null ? null : Date.parse(iso) / 1000;
  });
}

/**
 * One track a station (call sign), in order of arrival. A packet without a time keeps its place with `time_s` null.
 *
 * reference_s  Unix seconds near the end of the log: no packet has a full date. Without it all times are null
 */
export function readAprs(text: string, options: { readonly reference_s?: number | undefined }): Read<Track[]> {
  const findings = new Findings();
  const stations = new Map<string, Packet[]>();
  let others = 0;
  linesOf(text).forEach((row, index) => {
    const packet = packetOf(row, index + 1);
    if (packet === null) others += row.trim() === '' || row.startsWith('#') ? 0 : 1;
    else if (typeof packet === 'string')
      findings.add('packets not understood', { line: index + 1 }, `${packet}: left out`);
    else {
      const packets = stations.get(packet.call) ?? [];
      packets.push(packet);
      stations.set(packet.call, packets);
    }
  });
  if (others > 0)
    findings.add(
      'other lines',
      { line: 0 },
      `${others} lines are not position reports (status, messages, telemetry): passed over`,
    );
  if (stations.size === 0)
    findings.add(
      'empty files',
      { line: 0 },
      'no APRS position here; expected lines like "CALL>DEST,PATH:!4903.50N/07201.75W-"',
    );
  const value: Track[] = [];
  for (const [call, packets] of stations) {
    const times = timesOf(packets, options.reference_s);
    const fixes: LinedFix[] = packets.map(({ line, position, height_m, wrong }, i) => {
      if (wrong !== null) findings.add('blurred positions', { line }, `${call}: ${wrong}`);
      return { line, time_s: times[i] ?? null, position, height_m, valid: wrong === null };
    });
    const timeless = times.filter((t) => t === null).length;
    if (timeless > 0)
      findings.add(
        'packets without time',
        { line: 0 },
        `${call}: ${timeless} of ${times.length} packets have no time that can be dated`,
      );
    value.push(checkedTrack(call, fixes, findings));
  }
  return { value, problems: findings.all() };
}
