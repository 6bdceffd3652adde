// NMEA 0183 position logs: GGA, RMC, GNS, GLL and ZDA of any talker. Degrees WGS 84, heights m MSL (the altitude field
// is above the geoid). Source: reference/wind-reports.md §5. An own reader: nmea-simple 3.3.0 takes the date of a GGA
// from the clock and an empty altitude for 0 m, and throws at a sentence without a checksum
// (`tests/formats/nmea.test.ts` keeps the cases).
import type { Read } from '../../base/problem.ts';
import type { LonLat } from '../../base/units.ts';
import { checkedTrack, datedTimes, dayOf, dayOfDdmmyy, secondsOfDay } from './fixes.ts';
import type { LinedFix, Track } from './fixes.ts';
import { shown } from '../text/shown.ts';
import { Findings, linesOf, numberOf } from '../text/text.ts';

interface Sentence {
  readonly type: string;
  readonly fields: readonly string[];
  readonly line: number;
  readonly checked: boolean;
}

const KINDS = /^[A-Z]{2}(GGA|RMC|GNS|GLL|ZDA)$/;

/** XOR of the characters between "$" and "*". */
export function nmeaChecksum(body: string): number {
  let sum = 0;
  for (let i = 0; i < body.length; i++) sum ^= body.charCodeAt(i);
  return sum;
}

/** The sentences of the kinds read here, wherever in a line they begin; those with a wrong checksum are refused. */
function sentencesOf(text: string, findings: Findings): Sentence[] {
  const sentences: Sentence[] = [];
  linesOf(text).forEach((row, index) => {
    const line = index + 1;
    for (const piece of row.split('$').slice(1)) {
      const star = piece.indexOf('*');
      const body = star < 0 ? piece.trimEnd() : piece.slice(0, star);
      const fields = body.split(',');
      const type = KINDS.exec(fields[0] ?? '')?.[1];
      if (type === undefined) continue;
      const sum = /^[0-9A-Fa-f]{2}/.exec(star < 0 ? '' : piece.slice(star + 1));
      if (star >= 0 && (sum === null || Number.parseInt(sum[0], 16) !== nmeaChecksum(body))) {
        const right = nmeaChecksum(body).toString(16).toUpperCase().padStart(2, '0');
        findings.add(
          'wrong checksums',
          { line },
          `${fields[0]}: checksum ${shown(piece.slice(star + 1, star + 3))}; the characters give ${right}: left out`,
        );
        continue;
      }
      sentences.push({ type, fields, line, checked: star >= 0 });
    }
  });
  const withSum = sentences.filter((s) => s.checked);
  if (withSum.length === sentences.length) return sentences;
  if (withSum.length === 0) {
    findings.add(
      'missing checksums',
      { line: 0 },
      `none of the ${sentences.length} sentences has a checksum; an error of transmission would not be seen`,
    );
    return sentences;
  }
  for (const { checked, line } of sentences) {
    if (!checked)
      findings.add(
        'missing checksums',
        { line },
        'a sentence without checksum among others with one: cut off, left out',
      );
  }
  return withSum;
}

/** ddmm.mmm and dddmm.mmm with their hemispheres. */
export function nmeaPosition(lat: string, ns: string, lon: string, ew: string): LonLat | null {
  const a = /^(\d\d)(\d\d(?:\.\d*)?)$/.exec(lat);
  const b = /^(\d{3})(\d\d(?:\.\d*)?)$/.exec(lon);
  if (a === null || b === null || !/^[NS]$/.test(ns) || !/^[EW]$/.test(ew)) return null;
  const [latMinutes, lonMinutes] = [Number(a[2]), Number(b[2])];
  const latitude = Number(a[1]) + latMinutes / 60;
  const longitude = Number(b[1]) + lonMinutes / 60;
  if (!(latMinutes < 60 && lonMinutes < 60 && latitude <= 90 && longitude <= 180)) return null;
  return [ew === 'W' ? -longitude : longitude, ns === 'S' ? -latitude : latitude];
}

/** All that one moment's sentences said. */
interface Epoch {
  readonly line: number;
  readonly ofDay_s: number;
  position: LonLat | null;
  height_m: number | null;
  day: number | null;
  refused: string | null;
  doubted: string | null;
}

const DOUBTED: Readonly<Record<string, string>> = {
  '6': 'dead reckoning',
  '7': 'typed in',
  '8': 'a simulation',
  E: 'dead reckoning',
  M: 'typed in',
  S: 'a simulation',
};

function readInto(epoch: Epoch, { type, fields }: Sentence): void {
  const f = (i: number): string => fields[i] ?? '';
  if (type === 'ZDA') {
    epoch.day ??= dayOf(numberOf(f(4)), numberOf(f(3)), numberOf(f(2)));
    return;
  }
  const at = type === 'RMC' ? 3 : type === 'GLL' ? 1 : 2;
  const position = nmeaPosition(f(at), f(at + 1), f(at + 2), f(at + 3));
  if (type === 'RMC') epoch.day ??= dayOfDdmmyy(f(9));
  const mode =
    type === 'RMC' ? f(12) : type === 'GLL' ? f(7) : type === 'GNS' ? (f(6).replace(/N/g, '').at(0) ?? 'N') : f(6);
  const none =
    type === 'RMC'
      ? f(2) !== 'A'
      : type === 'GLL'
        ? f(6) !== 'A'
        : type === 'GNS'
          ? !/[^N]/.test(f(6))
          : f(6) === '0' || f(6) === '';
  if (none) epoch.refused ??= `${type} says that there is no fix`;
  else if (position === null)
    epoch.refused ??= `${type}: position ${shown(fields.slice(at, at + 4).join(','))}; expected ddmm.mm,N,dddmm.mm,E`;
  else {
    epoch.doubted ??= DOUBTED[mode] ?? null;
    // GGA and GNS come first in worth: they also carry the height, so position and height belong together.
    if (type === 'GGA' || type === 'GNS' || epoch.position === null) epoch.position = position;
    const height = numberOf(f(9));
    if ((type === 'GGA' && (f(10) === 'M' || f(10) === '')) || type === 'GNS')
      epoch.height_m = Number.isFinite(height) ? height : epoch.height_m;
  }
}

/** Sentences with the same time of day make one epoch; a sentence without a time has no fix to give. */
function epochsOf(sentences: readonly Sentence[], findings: Findings): Epoch[] {
  const epochs: Epoch[] = [];
  for (const sentence of sentences) {
    const ofDay_s = secondsOfDay(sentence.fields[sentence.type === 'GLL' ? 5 : 1] ?? '');
    if (ofDay_s === null) {
      if (sentence.type !== 'ZDA')
        findings.add(
          'sentences without a fix',
          { line: sentence.line },
          `${sentence.fields[0]} without a time: no fix; left out`,
        );
      continue;
    }
    let epoch = epochs.at(-1);
    if (epoch === undefined || Math.abs(epoch.ofDay_s - ofDay_s) > 1e-3) {
      epoch = { line: sentence.line, ofDay_s, position: null, height_m: null, day: null, refused: null, doubted: null };
      epochs.push(epoch);
    }
    readInto(epoch, sentence);
  }
  return epochs;
}

/**
 * The one track of an NMEA log. GGA gives position and height, RMC date and validity of the same moment; without a
 * height the fix has none.
 *
 * reference_s  Unix seconds near the end of the log, used only where no sentence has a date
 * legal        any talker (GP, GN, …) also mixed, noise between sentences, times over midnight, dates only later in the
 *              log
 * not legal    a wrong checksum, status V or quality 0, "8960.0000,N": left out with a problem
 */
export function readNmea(text: string, options: { readonly reference_s?: number | undefined }): Read<Track[]> {
  const findings = new Findings();
  const epochs = epochsOf(sentencesOf(text, findings), findings);
  const times = datedTimes(epochs, options.reference_s);
  const fixes: LinedFix[] = [];
  epochs.forEach((epoch, i) => {
    const place = { line: epoch.line };
    if (epoch.refused !== null) findings.add('moments without a fix', place, `${epoch.refused}; left out`);
    else if (epoch.position !== null) {
      if (epoch.doubted !== null)
        findings.add(
          'positions that are not measured',
          place,
          `the receiver calls this position ${epoch.doubted}; not valid`,
        );
      fixes.push({
        line: epoch.line,
        time_s: times[i] ?? null,
        position: epoch.position,
        height_m: epoch.height_m,
        valid: epoch.doubted === null,
      });
    }
  });
  if (fixes.length === 0) {
    findings.add(
      'empty files',
      { line: 0 },
      'no NMEA fix here; expected GGA or RMC sentences with a position ("$GPGGA,…")',
    );
    return { value: [], problems: findings.all() };
  }
  if (fixes.some((fix) => fix.time_s === null)) {
    findings.add(
      'times without a date',
      { line: 0 },
      'no sentence has a date (RMC or ZDA) and there is no reference: the times are unknown',
    );
  }
  const track = checkedTrack('NMEA', fixes, findings);
  return { value: [track], problems: findings.all() };
}
