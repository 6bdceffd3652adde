// Broken inputs for the readers: real-looking files of our own, changed at random. Used by `fuzz.test.ts` (a short run in `npm test`)
// and by a run at night: PLUMBLINE_FUZZ=1000000 npx vitest run tests/formats/fuzz.test.ts; PLUMBLINE_FUZZ_SEED=n repeats one.
// A new reader joins by one entry in `READERS`.
import fc from 'fast-check';
import { readCsv } from '../../core/formats/csv.ts';
import { readDropsonde } from '../../core/formats/dropsonde.ts';
import { readFb } from '../../core/formats/fb.ts';
import { readIgra } from '../../core/formats/igra.ts';
import { readListing } from '../../core/formats/listing.ts';
import { readMesonet } from '../../core/formats/mesonet.ts';
import { readMetar } from '../../core/formats/metar.ts';
import { readPilot } from '../../core/formats/pilot.ts';
import { readTemp } from '../../core/formats/temp.ts';
import { decodeText } from '../../core/formats/text.ts';
import { readWindFile } from '../../core/formats/winds.ts';
import type { Problem } from '../../core/problem.ts';
import type { DecodedWinds } from '../../core/winds/levels.ts';

const REFERENCE_S = Date.UTC(2026, 3, 15) / 1000;

export interface FuzzAnswer {
  readonly decoded: readonly DecodedWinds[];
  readonly problems: readonly Problem[];
}

export interface FuzzReader {
  readonly name: string;
  /** Whole inputs that the reader understands; the changes start from them. */
  readonly seeds: readonly string[];
  readonly read: (bytes: Uint8Array) => FuzzAnswer | Promise<FuzzAnswer>;
}

const text = (bytes: Uint8Array): string => decodeText(bytes).value;
const answer = (read: { value: readonly DecodedWinds[]; problems: readonly Problem[] }): FuzzAnswer => ({
  decoded: read.value,
  problems: read.problems,
});

const CSV = `# source: tower\n# validTime: 2026-03-14T06:00:00Z\n# position: 141.6, -31.95\n# elevation_m: 183
height_agl_ft,from_deg,speed_kt,temperature_C,pressure_hPa\n33,090,4,21.5,993\n400,100,9,18,960\n9000,250,40,-3,700\n`;
const SEMICOLONS = 'validTime;height_m;u_mps;v_mps;dew_point_C\n2026-03-14T06:00Z;100,5;1,5;-2;4\n2026-03-14T09:00Z;200;3;0;1\n';
const GEMPAK = 'PRES,TEMP,DWPT,DRCT,SPED,HGHT\n1000.0,-9999.0,-9999.0,-9999.0,-9999.0,138.0\n985.0,20.0,13.0,150.0,3.09,270.0\n';
const LISTING = `<H2>72681 BOI Boise Observations at 00Z 17 May 1980</H2>\n<PRE>
-----------------------------------------------------------------------------
   PRES   HGHT   TEMP   DWPT   RELH   MIXR   DRCT   SKNT   THTA   THTE   THTV
    hPa     m      C      C      %    g/kg    deg   knot     K      K      K
-----------------------------------------------------------------------------
 1000.0    125
  915.0    874   12.8    4.8     58   5.93    280     14  293.3  310.7  294.4
  320.1   8839  -41.4                         355     37  320.9         320.9
</PRE><H3>Station information and sounding indices</H3><PRE>
                           Observation time: 800517/0000
                           Station latitude: 43.56
                          Station longitude: -116.20
`;
const TITLED = `%TITLE%\n OAX   140616/1900\n\n   LEVEL       HGHT       TEMP       DWPT       WDIR       WSPD
-------------------------------------------------------------------\n%RAW%
 1000.00,    34.00,  -9999.00,  -9999.00,  -9999.00,  -9999.00\n 965.00,    350.00,     27.80,     23.80,    150.00,     23.00\n%END%\n`;
const IGRA = `#USM00072501 1994 09 03 00 2314    3 ncdc6301 ncdc6301  408656  -728647
21     0 100900B   61B  228B-9999   180   290    31 \n10  9235   1000A31450B -339B-9999 -9999    70    87 
30 -9999  -9999  1500 -9999 -9999 -9999   270 -8888 \n`;
const DERIVED = `#USM00070026 2014 09 10 00 2304    1    721-99999-99999-99999 94615   606100321   141 97903   335 97903   335 93776   676
 102095      15      15    2749    -136    2732     -45    2754    2738    5706    6939     820     822   -3182     -60    -136     -39     364     316\n`;
const FB = `000\nFBUS31 KWNO 151359\nFD1US1\nDATA BASED ON 151200Z\nVALID 151800Z   FOR USE 1400-2100Z. TEMPS NEG ABV 24000\n
FT  3000    6000    9000   12000   18000   24000  30000  34000  39000
ABI      2516+14 2321+09 2225+01 2360-13 2265-24 227740 229350 732456
JAX 9900 1210+14 1307+10 1307+05 2909-07 3209-19 321336 311746 303057
ALS                      3111-05 3016-20 3114-32 342747 352353 263355\n`;
const MESONET = `{"profiles": [{"station": "CYSM", "valid": "1999-05-04T00:00:00Z", "profile": [{"pres": 1000.0, "hght": -73.0, "tmpc": null,
 "dwpc": NaN, "drct": null, "sknt": null}, {"pres": 968.0, "hght": 203.0, "tmpc": 17.2, "dwpc": 3.2, "drct": 20.0, "sknt": 2.0}]}]}`;
const SONDE = `time,pressure_hPa,temperature_C,humidity_pct,wind_from_deg,wind_speed_ms,vertical_speed_ms,latitude,longitude,gps_altitude_m,gps_satellites
${Array.from({ length: 12 }, (_, i) => `2026-03-14T06:00:${String(10 + 2 * i)}Z,300.1,-20.5,30,90.5,${i === 9 ? 170 : 10},-15,13.6,-56.9,${9000 - 30 * i},8`).join('\n')}\n`;
const TEMP = `USUS44 KWBC 060000\n72694 TTAA 56001 72694 99009 22868 29006 00137 20667 28507 92801 13662 25507 85505 06857 21003 70077 01471 23023
50573 12971 24538 40739 25780 25040 88185 62963 23051 77221 23563 40311 31313 58208 82326=
TTBB 56008 72694 00009 22868 11000 20667 22850 06857=\nPPBB 56008 72694 90012 29006 27508 26008 90346 26007 28006 24509=\n`;
const PILOT = 'PPAA 59121 96565 55185 00505 77999=\nPPBB 59121 96565 90/12 00000 28005 29504 90345 33504 34005 00505 906// 00508=\n';
const METAR = `METAR KFBG 211255Z 26007KT 230V290 10SM CLR 22/12 A3012 RMK AO2=\nSPECI EGLL 211320Z VRB02KT 9999 SCT030 18/09 Q1021=
UUEE 211300Z 24008MPS 210V270 CAVOK 15/07 Q1009\nKABC 211256Z AUTO 33065G105KT 5SM RA 10/08 A2950=\n`;

export const READERS: readonly FuzzReader[] = [
  { name: 'table', seeds: [CSV, SEMICOLONS, GEMPAK], read: (bytes) => answer(readCsv(text(bytes))) },
  { name: 'listing', seeds: [LISTING, TITLED], read: (bytes) => answer(readListing(text(bytes))) },
  { name: 'IGRA', seeds: [IGRA, DERIVED], read: (bytes) => answer(readIgra(text(bytes))) },
  { name: 'FB', seeds: [FB], read: (bytes) => answer(readFb(text(bytes), { reference_s: REFERENCE_S })) },
  { name: 'mesonet', seeds: [MESONET], read: (bytes) => answer(readMesonet(text(bytes))) },
  { name: 'dropsonde', seeds: [SONDE], read: (bytes) => answer(readDropsonde(text(bytes))) },
  { name: 'TEMP', seeds: [TEMP], read: (bytes) => answer(readTemp(text(bytes), { reference_s: REFERENCE_S })) },
  { name: 'PILOT', seeds: [PILOT, TEMP], read: (bytes) => answer(readPilot(text(bytes), { reference_s: REFERENCE_S })) },
  { name: 'METAR', seeds: [METAR], read: (bytes) => answer(readMetar(text(bytes), { reference_s: REFERENCE_S })) },
  {
    name: 'any wind file',
    seeds: [
      CSV,
      LISTING,
      TITLED,
      IGRA,
      FB,
      MESONET,
      SONDE,
      TEMP,
      PILOT,
      METAR,
      'GRIB\0\0\0\u0002',
      'CDF\u0001\0\0\0\0',
      'PK\u0003\u0004',
      '\u001f\u008b\u0008',
    ],
    read: async (bytes) => {
      const { value, problems } = await readWindFile({ name: 'fuzz', bytes }, { reference_s: REFERENCE_S, near: [10, 50] });
      return { decoded: value.decoded, problems };
    },
  },
];

/** One change: where (0 to 1 of the length), how far, and what is put there. */
interface Edit {
  readonly at: number;
  readonly length: number;
  readonly put: string;
  readonly kind: 'replace' | 'cut' | 'repeat' | 'truncate';
}

const TOKENS = (
  'NaN null -9999 -8888 999 99999 -1 0 1e308 -0 9900 7799 ///// // = - + . , ; : " { } [ ] < > &nbsp; # ° 日 FT height_m TTAA PPBB METAR ' +
  '00000KT VRB __proto__ constructor 31/02 25:61 \u0000 \u0001 \u0003 \uFEFF'
)
  .split(' ')
  .concat('\n', '\r\n', '\r', '\t', ' ', '        ', 'PRES   HGHT   DRCT   SKNT');

const edit: fc.Arbitrary<Edit> = fc.record({
  at: fc.double({ min: 0, max: 1, noNaN: true }),
  length: fc.oneof(fc.constant(0), fc.integer({ min: 1, max: 6 }), fc.integer({ min: 1, max: 200 })),
  put: fc.oneof(fc.constantFrom(...TOKENS), fc.integer({ min: -100_000, max: 100_000 }).map(String), fc.string({ maxLength: 6 })),
  kind: fc.constantFrom('replace', 'replace', 'replace', 'cut', 'repeat', 'truncate'),
});

function apply(seed: string, edits: readonly Edit[]): string {
  let changed = seed;
  for (const { at, length, put, kind } of edits) {
    const from = Math.floor(at * changed.length);
    const to = Math.min(changed.length, from + length);
    if (kind === 'truncate') changed = changed.slice(0, Math.max(from, 1));
    else if (kind === 'repeat') changed = changed.slice(0, to) + changed.slice(from);
    else changed = changed.slice(0, from) + (kind === 'cut' ? '' : put) + changed.slice(to);
  }
  return changed;
}

const encoder = new TextEncoder();
/** Latin 1 where that is all there is, so that the marks of binary files stay what they are. */
const encode = (value: string): Uint8Array => {
  const codes = Array.from(value, (character) => character.codePointAt(0) ?? 0);
  return codes.every((code) => code < 256) ? Uint8Array.from(codes) : encoder.encode(value);
};

/** Inputs for one reader: mostly changed seeds, some plain noise. */
export function brokenInput(reader: FuzzReader): fc.Arbitrary<Uint8Array> {
  return fc.oneof(
    {
      weight: 8,
      arbitrary: fc
        .tuple(fc.constantFrom(...reader.seeds), fc.array(edit, { maxLength: 8 }))
        .map(([seed, edits]) => encode(apply(seed, edits))),
    },
    { weight: 1, arbitrary: fc.uint8Array({ maxLength: 300 }) },
    { weight: 1, arbitrary: fc.string({ unit: 'binary', maxLength: 300 }).map((value) => encoder.encode(value)) },
  );
}

const within = (value: number | null | undefined, min: number, max: number): boolean =>
  value === null || value === undefined || (value >= min && value <= max);

/** What is wrong with an answer; null where it keeps what every reader promises. */
export function brokenPromise({ decoded, problems }: FuzzAnswer): string | null {
  if (decoded.length === 0 && problems.length === 0) return 'nothing decoded and nothing said';
  for (const problem of problems) {
    if (!Number.isInteger(problem.line) || problem.line < 0 || problem.text.trim() === '')
      return `a problem without line or words: ${JSON.stringify(problem)}`;
    if (problem.text.length > 600) return `a problem of ${problem.text.length} characters`;
  }
  for (const source of decoded) {
    if (source.validTime !== null && Number.isNaN(Date.parse(source.validTime))) return `a valid time ${source.validTime}`;
    if (source.position !== null && !(within(source.position[0], -180, 180) && within(source.position[1], -90, 90)))
      return 'a position off the Earth';
    for (const level of source.levels) {
      const sound =
        within(level.height_m, -1100, 120_000) &&
        within(level.from_deg, 0, 360) &&
        within(level.speed_mps, 0, 213) &&
        within(level.temperature_K, 100, 360) &&
        within(level.pressure_Pa, 0, 120_000);
      if (!sound) return `a level that cannot be: ${JSON.stringify(level)}`;
      if (level.from_deg !== null && level.speed_mps === null) return 'a direction without a speed';
    }
  }
  return null;
}
