// What a feed brings becomes reports: the values are those of the files' own formats (WMO-No. 306 FM 15 for METAR,
// 1852/3600 m/s to the knot), tracks are flown here along geodesics, and any bytes at all are answered with a sentence.
import geodesic from 'geographiclib-geodesic';
import { fc } from '../property.ts';
import { describe, expect, it } from 'vitest';
import type { WindReport } from '../../core/log/events.ts';
import { missionAt } from '../../core/log/fold.ts';
import { backgroundErrors } from '../../core/winds/errors.ts';
import { readFeed, type FeedContext, type FeedInput } from '../../renderer/state/acting/feedReading.ts';
import { demo } from '../demo.ts';

const NOW = '2027-04-14T07:30:00Z';
const KT = 1852 / 3600;
const bytesOf = (text: string): Uint8Array => new TextEncoder().encode(text);
const context: FeedContext = {
  now_s: Date.parse(NOW) / 1000,
  site: [22.41, -30.09],
  errors: backgroundErrors(),
  reports: [],
  fixes: new Map(),
};
const input = (name: string, text: string, more: Partial<FeedInput> = {}): FeedInput => ({
  name,
  bytes: bytesOf(text),
  growing: false,
  ...more,
});

describe('files in a watched folder', () => {
  it('METAR: one station, its gust, and a variable wind as one', async () => {
    const read = await readFeed(
      input(
        'x.txt',
        'METAR FAXX 140720Z 31008G15KT CAVOK 19/05 Q1018=\nMETAR FAYY 140725Z VRB02KT 9999 18/06 Q1018=\n',
      ),
      context,
    );
    expect(read.reports).toHaveLength(2);
    expect(read.reports[0]).toMatchObject({
      source: 'station',
      by: 'FAXX',
      from_deg: 310,
      observedAt: '2027-04-14T07:20:00Z',
      agl_m: 10,
    });
    expect(read.reports[0]?.speed_mps).toBeCloseTo(8 * KT, 3);
    expect(read.reports[0]?.gust_mps).toBeCloseTo(15 * KT, 3);
    expect(read.reports[1]).toMatchObject({ by: 'FAYY', variable: true });
  });

  it('a profile in a table: levels that are one sample are one report, in order of height', async () => {
    const rows = Array.from({ length: 200 }, (_, i) => `${1000 + 10 * i},${280 + (i % 10)},${5 + i / 50}`);
    const read = await readFeed(
      input(
        'p.csv',
        `# source: hill balloon\n# valid: 2027-04-14T07:00:00Z\nheight_m,from_deg,speed_mps\n${rows.join('\n')}\n`,
      ),
      context,
    );
    const heights = read.reports.map((report) => report.height_m ?? NaN);
    // 2 km in eighths of a correlation length of 0.5 to 0.7 km (FORMAT.md): some 26 of 200 levels.
    expect(heights.length).toBeGreaterThan(20);
    expect(heights.length).toBeLessThan(35);
    expect(heights).toEqual(heights.toSorted((a, b) => a - b));
    expect(read.reports[0]).toMatchObject({
      source: 'pilot-balloon',
      by: 'hill balloon',
      observedAt: '2027-04-14T07:00:00Z',
    });
  });

  it('what is in the log already is counted and not entered, also by another file', async () => {
    const { loaded } = await demo('salt-plain');
    const file = input('x.txt', 'METAR FAXX 140720Z 31008KT CAVOK 19/05 Q1018=\n');
    const first = await readFeed(file, context);
    const [report] = first.reports;
    if (report === undefined) throw new Error('the METAR gives a report');
    const event: WindReport = { ...report, id: 'f1', seq: 1, at: NOW };
    const { reports } = missionAt(loaded.mission, [event], Date.parse(NOW) / 1000);
    expect(await readFeed(file, { ...context, reports })).toMatchObject({ reports: [], repeats: 1 });
    // Twice in one file is once.
    const twice = await readFeed(
      input(
        'y.csv',
        'validTime,from_deg,speed_mps,height_agl_m\n2027-04-14T07:00:00Z,300,3,10\n2027-04-14T07:00:00Z,300,3,10\n',
      ),
      context,
    );
    expect(twice.reports.length + twice.repeats).toBe(2);
    expect(twice.reports).toHaveLength(1);
  });

  it('forecasts are not reports, and are led to where they belong', async () => {
    const fb =
      'FBUS31 KWNO 140200\nFD1US1\nDATA BASED ON 140000Z\nVALID 140600Z   FOR USE 0200-0900Z. TEMPS NEG ABV 24000\n\nFT  3000    6000    9000\nABI      2413+17 2415+12\n';
    const read = await readFeed(input('fb.txt', fb), context);
    expect(read.reports).toEqual([]);
    expect(read.problems.join()).toContain('add it as a wind file');
  });
});

describe('growing files', () => {
  const head = '# source: Pan Mast\nvalidTime,from_deg,speed_kt,height_agl_m\n2027-04-14T06:00:00Z,290,5,10\n';

  it('a table: each new row is a wind of its own time; the rows of the head are not entered again', async () => {
    const read = await readFeed(
      input('mast.csv', '2027-04-14T07:00:00Z,300,6,10\n2027-04-14T07:10:00Z,301,7,10\n', {
        growing: true,
        head: bytesOf(head),
      }),
      context,
    );
    expect(read.reports.map(({ observedAt, from_deg }) => [observedAt, from_deg])).toEqual([
      ['2027-04-14T07:00:00Z', 300],
      ['2027-04-14T07:10:00Z', 301],
    ]);
    expect(read.reports.every((report) => report.by === 'Pan Mast' && report.source === 'station')).toBe(true);
  });

  it('a track in pieces gives the same winds as the track whole, but for the layer that still grows', async () => {
    const line = (i: number): string => {
      const { lat2 = NaN, lon2 = NaN } = geodesic.Geodesic.WGS84.Direct(-30.09, 22.41, 90, 50 * i);
      const of = (x: number, width: number): string => {
        const degrees = Math.floor(Math.abs(x));
        return `${String(degrees).padStart(width, '0')}${((Math.abs(x) - degrees) * 60).toFixed(6).padStart(9, '0')}`;
      };
      const time = new Date(Date.parse('2027-04-14T07:00:00Z') + 10_000 * i)
        .toISOString()
        .slice(11, 19)
        .replaceAll(':', '');
      const body = `GPGGA,${time},${of(lat2, 2)},S,${of(lon2, 3)},E,1,08,0.9,${(960 + 40 * i).toFixed(1)},M,30.0,M,,`;
      const sum = bytesOf(body).reduce((x, byte) => x ^ byte, 0);
      return `$${body}*${sum.toString(16).toUpperCase().padStart(2, '0')}\r\n`;
    };
    const lines = Array.from({ length: 61 }, (_, i) => line(i));
    const whole = await readFeed(input('b.nmea', lines.join('')), context);
    expect(whole.reports.length).toBeGreaterThan(6);
    let fixes: FeedContext['fixes'] = new Map();
    const found = new Map<string, (typeof whole.reports)[number]>();
    for (let i = 0; i < lines.length; i += 7) {
      const read = await readFeed(input('b.nmea', lines.slice(i, i + 7).join(''), { growing: true }), {
        ...context,
        fixes,
      });
      fixes = read.fixes;
      for (const report of read.reports) found.set(report.observedAt, report);
    }
    expect(found.size).toBe(whole.reports.length - 1);
    for (const report of whole.reports.slice(0, -1)) {
      expect(found.get(report.observedAt)).toEqual(report);
      // Carried 5 m/s toward 090°: a wind from 270°.
      expect(report.from_deg).toBeCloseTo(270, 0);
      expect(report.speed_mps).toBeCloseTo(5, 1);
    }
  });
});

it('any bytes are answered, with a report or a sentence', async () => {
  let answered = 0;
  const marks = [
    'METAR FAXX 140720Z 31008KT',
    '$GPGGA,070000,',
    '<gpx><trk>',
    'height_m,from_deg,speed_mps\n',
    '{"profiles":[',
    'TTAA 64071',
    '',
  ];
  await fc.assert(
    fc.asyncProperty(
      fc.constantFrom(...marks),
      fc.uint8Array({ maxLength: 300 }),
      fc.boolean(),
      async (mark, tail, growing) => {
        const bytes = new Uint8Array([...bytesOf(mark), ...tail]);
        const read = await readFeed({ name: 'any', bytes, growing, head: bytes.slice(0, 40) }, context);
        expect(read.reports.length + read.repeats + read.problems.length).toBeGreaterThan(0);
        for (const report of read.reports)
          expect(Number.isFinite(report.speed_mps) && Number.isFinite(report.from_deg)).toBe(true);
        answered += 1;
      },
    ),
    { numRuns: 300 },
  );
  expect(answered).toBe(300);
});
