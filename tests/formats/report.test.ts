// One-line reports. What a group of a weather format means: ref: wind-reports.md §2; source: METAR code as quoted
// there; marks F and C. How numbers are spoken: ref: radio.md §1; source: ICAO Annex 10 vol. II and FAA AIM as quoted
// there; mark F. The other lines are ways in which people write and say a wind (common practice); where one has two
// meanings, the test asks for the question.
import { describe, expect, it } from 'vitest';
import { fc } from '../property.ts';
import {
  readReport,
  type Answers,
  type ReportContext,
  type ReportReading,
} from '../../core/formats/messages/report.ts';
import { logEvent } from '../../core/log/events.ts';
import { M_PER_FT, MPS_PER_KT, wrap360, type LonLat } from '../../core/base/units.ts';

const now_s = Date.parse('2026-03-14T13:45:00Z') / 1000;
const site: LonLat = [141.5, -31.9];
const context: ReportContext = {
  now_s,
  site: { position: site, elevation_m: 120 },
  places: [
    { name: 'Home', kind: 'site', points: [site] },
    { name: 'Salt Flat North', kind: 'zone', points: [[141.6, -31.9]] },
    {
      name: 'Long Ridge',
      kind: 'landmark',
      points: [
        [141.3, -31.95],
        [141.3, -31.85],
      ],
    },
    { name: 'Low Ridge', kind: 'landmark', points: [[141.5, -31.8]] },
    { name: 'Windmill', kind: 'landmark', points: [[141.5, -32]] },
  ],
  teams: [
    { name: 'Team 2', position: [141.55, -31.95] },
    { name: 'Red Truck', position: [141.4, -31.9] },
  ],
  declination_deg: 8,
  nextId: 'w1',
};
const read = (text: string, answers?: Answers): ReportReading => readReport(text, context, answers);

/** text, from° (null: calm or variable), kt (or m/s with unit), and anything else of the event. */
type Row = readonly [
  text: string,
  from_deg: number | null,
  speed: number,
  unit: 'kt' | 'mps',
  more?: Readonly<Record<string, unknown>>,
];

// ref: wind-reports.md §2, every row with a wind; marks F, and C for 24008MPS.
const METAR: readonly Row[] = [
  ['00000KT', null, 0, 'kt'],
  ['09008KT', 90, 8, 'kt'],
  ['270112KT', 270, 112, 'kt'],
  ['14015G28KT', 140, 15, 'kt', { gust_kt: 28 }],
  ['33065G105KT', 330, 65, 'kt', { gust_kt: 105 }],
  ['27025G40KT', 270, 25, 'kt', { gust_kt: 40 }],
  ['VRB04KT', null, 4, 'kt', { variable: true }],
  ['21012KT 160V250', 210, 12, 'kt'],
  ['METAR 141255Z 26007KT 230V290 10SM FEW040 22/10 A2992', 260, 7, 'kt', { observedAt: '2026-03-14T12:55:00Z' }],
  ['24008MPS', 240, 8, 'mps'],
  // "P99KT, P49MPS, P199KMH: 100 kn, 50 m/s, 200 km/h or more"; with a direction before it, as the group has.
  ['090P99KT', 90, 100, 'kt'],
  ['090P49MPS', 90, 50, 'mps'],
  ['090P199KMH', 90, 200 / 3.6, 'mps'],
];

// ref: radio.md §1 rows "wind" and "altitude in whole hundreds and thousands"; mark F. "true" is added where the north
// is not the point.
const SPOKEN: readonly Row[] = [
  ['wind two zero zero degrees true seven zero knots', 200, 70, 'kt'],
  ['wind one six zero degrees true one eight knots gusting three zero knots', 160, 18, 'kt', { gust_kt: 30 }],
  ['zero niner zero true at seven knots', 90, 7, 'kt'],
  ['wind tree fife zero true at one niner knots', 350, 19, 'kt'],
  ['two seven zero true one zero knots eight hundred feet agl', 270, 10, 'kt', { agl_ft: 800 }],
  ['two seven zero true one zero knots at three thousand four hundred feet msl', 270, 10, 'kt', { height_ft: 3400 }],
  ['two seven zero true one zero knots at one two thousand feet msl', 270, 10, 'kt', { height_ft: 12_000 }],
  ['two seventy true at fifteen knots', 270, 15, 'kt'],
  ['one eighty at twenty five knots true', 180, 25, 'kt'],
  ['three sixty true at ten knots', 360, 10, 'kt'],
  ['from the east at three decimal five metres per second', 90, 3.5, 'mps'],
  ['one six zero one eight knots true', 160, 18, 'kt'],
];

// Common practice: ways to write it.
const WRITTEN: readonly Row[] = [
  ['090/7 kt', 90, 7, 'kt'],
  ['090/07kts', 90, 7, 'kt'],
  ['090-7 kt', 90, 7, 'kt'],
  ['09007G12KT', 90, 7, 'kt', { gust_kt: 12 }],
  ['09007 kt', 90, 7, 'kt'],
  ['090 7 kt', 90, 7, 'kt'],
  ['090° 7 kt', 90, 7, 'kt'],
  ['90 degrees 7 knots', 90, 7, 'kt'],
  ['090 deg at 7 knots', 90, 7, 'kt'],
  ['7 kt from 090', 90, 7, 'kt'],
  ['10 kts @ 270', 270, 10, 'kt'],
  ['360/7 kt', 360, 7, 'kt'],
  ['000/7 kt', 0, 7, 'kt'],
  ['E 5-10 kt', 90, 7.5, 'kt'],
  ['E5 kt', 90, 5, 'kt'],
  ['from the north 5 to 10 knots', 0, 7.5, 'kt'],
  ['between 5 and 10 kt from the south', 180, 7.5, 'kt'],
  ['wind out of the south-west, 12 knots', 225, 12, 'kt'],
  ['north north west 12 kt', 337.5, 12, 'kt'],
  ['NNW 12kt G20', 337.5, 12, 'kt', { gust_kt: 20 }],
  ['easterly 5 kt', 90, 5, 'kt'],
  ['southeasterly wind of about 4 m/s', 135, 4, 'mps'],
  ['an eastward wind of 4 m/s', 270, 4, 'mps'],
  ['240 10 gusting 15 kt', 240, 10, 'kt', { gust_kt: 15 }],
  ['240 10 gusting to 15 kt', 240, 10, 'kt', { gust_kt: 15 }],
  ['240/10 kt gusts up to 15 kt', 240, 10, 'kt', { gust_kt: 15 }],
  ['wind east 3 m/s at 1500 ft agl', 90, 3, 'mps', { agl_ft: 1500 }],
  ['wind east 3 m/s 1500 feet above ground level', 90, 3, 'mps', { agl_ft: 1500 }],
  ["270/10 kt at 5,000' above mean sea level", 270, 10, 'kt', { height_ft: 5000 }],
  ['1500 ft 270/10 kt msl', 270, 10, 'kt', { height_ft: 1500 }],
  ['270/10 kt 1.5 km msl', 270, 10, 'kt', { height_m: 1500 }],
  ['300 true at 40 knots FL390', 300, 40, 'kt', { source: 'aircraft' }],
  ['surface 2 m agl 090/7 kt', 90, 7, 'kt', { agl_m: 2 }],
  ['surface 090/7 kt', 90, 7, 'kt', { agl_m: 10 }],
  ['calm', null, 0, 'kt'],
  ['no wind', null, 0, 'kt'],
  ['wind calm at the windmill', null, 0, 'kt', { place: 'Windmill' }],
  ['light and variable', null, 2.5, 'kt', { variable: true }],
  ['variable 3 kt', null, 3, 'kt', { variable: true }],
  ['VRB03KT', null, 3, 'kt', { variable: true }],
  ['blowing to 270 8 kt', 90, 8, 'kt'],
  ['blowing from 270 8 kt', 270, 8, 'kt'],
  ['smoke going to the east 5 kt', 270, 5, 'kt', { source: 'smoke', agl_m: 5 }],
  ['drifting towards north-east 3 m/s', 225, 3, 'mps'],
  ['toward Salt Flat North 10 kt', 270, 10, 'kt'],
  ['from the windmill 10 kt', 180, 10, 'kt'],
  ['Salt Flat North 090/7 kt', 90, 7, 'kt', { place: 'Salt Flat North' }],
  ['at salt flat north: 090/7 kt', 90, 7, 'kt', { place: 'Salt Flat North' }],
  [
    'crew Team 2 090/7 kt true 5 min ago',
    90,
    7,
    'kt',
    { by: 'Team 2', source: 'crew', agl_m: 2, observedAt: '2026-03-14T13:40:00Z' },
  ],
  ['from Team 2: east 7 kt, half an hour ago', 90, 7, 'kt', { by: 'Team 2', observedAt: '2026-03-14T13:15:00Z' }],
  ['team two says from the east at five knots', 90, 5, 'kt', { by: 'Team 2', source: 'crew' }],
  ['red truck 090°T 7kt', 90, 7, 'kt', { by: 'Red Truck' }],
  ['mast 090/7 kt 13:30Z', 90, 7, 'kt', { source: 'station', agl_m: 10, observedAt: '2026-03-14T13:30:00Z' }],
  ['090/7 kt at 1330Z', 90, 7, 'kt', { observedAt: '2026-03-14T13:30:00Z' }],
  ['090/7 kt 1 hour ago', 90, 7, 'kt', { observedAt: '2026-03-14T12:45:00Z' }],
  ['090/7 kt at 13:46Z', 90, 7, 'kt', { observedAt: '2026-03-14T13:46:00Z' }],
  ['pilot balloon 300/12 kt at 5000 ft msl', 300, 12, 'kt', { source: 'pilot-balloon', height_ft: 5000 }],
  ['estimate 090 20 km/h', 90, 20 / 3.6, 'mps', { source: 'estimate' }],
  ['090 10 mph', 90, 4.4704, 'mps'],
  ['090/7 kt; streamers were hard to see', 90, 7, 'kt'],
  ['090° magnetic 7 kt', 98, 7, 'kt'],
  ['090M 7 kt', 98, 7, 'kt'],
  ['355 mag at 10 kt', 3, 10, 'kt'],
  ['force 4 from the west', 270, (5.5 + 7.9) / 2, 'mps'],
];

describe('a line that is read', () => {
  const check = ([text, from_deg, speed, unit, more = {}]: Row): void => {
    const reading = read(text);
    expect(reading, text).toMatchObject({ kind: 'read' });
    if (reading.kind !== 'read') return;
    const { event } = reading;
    const factor = unit === 'kt' ? MPS_PER_KT : 1;
    // Half a unit of the last digit that the event keeps.
    expect(Math.abs(event.speed_mps - speed * factor)).toBeLessThanOrEqual(0.00051);
    // A named place's bearing lies within the flat earth's tenth of a degree of the compass direction that it was put
    // in.
    if (from_deg === null) expect(reading.from_deg).toBeNull();
    else expect(Math.abs(event.from_deg - from_deg)).toBeLessThanOrEqual(0.11);
    for (const [key, value] of Object.entries(more)) {
      if (key === 'gust_kt') expect(event.gust_mps).toBeCloseTo(Number(value) * MPS_PER_KT, 3);
      else if (key === 'agl_ft') expect(event.agl_m).toBeCloseTo(Number(value) * M_PER_FT, 1);
      else if (key === 'height_ft') expect(event.height_m).toBeCloseTo(Number(value) * M_PER_FT, 1);
      else expect(event).toHaveProperty(key, value);
    }
    expect(event.text).toBe(text);
    expect(logEvent.safeParse({ ...event, seq: 1, at: event.observedAt }).success).toBe(true);
    if (reading.from_deg !== null) {
      expect(reading.words).toMatch(/^from \d{3}° \(.*blowing toward \d{3}° \(/);
      expect(reading.toward_deg).toBeCloseTo(wrap360(reading.from_deg + 180), 9);
    }
  };
  it.each(METAR.map((row) => [row[0], row] as const))('weather format: %s', (_, row) => check(row));
  it.each(SPOKEN.map((row) => [row[0], row] as const))('spoken: %s', (_, row) => check(row));
  it.each(WRITTEN.map((row) => [row[0], row] as const))('written: %s', (_, row) => check(row));
  it('counts its cases', () => expect(METAR.length + SPOKEN.length + WRITTEN.length).toBeGreaterThanOrEqual(85));

  it('is said back FROM and TOWARD with the landmark on that side, height, who and age', () => {
    const reading = read('crew Team 2 090/7 kt true gusting 10, 5 min ago');
    expect(reading).toMatchObject({
      kind: 'read',
      words:
        'from 090° (east), 7\u202fkt (3.6\u202fm/s), gusting 10\u202fkt (5.1\u202fm/s), blowing toward 270° (west), Long Ridge side; 2\u202fm AGL; crew Team 2; 5\u202fmin ago (13:40:00Z)',
    });
    expect(read('calm')).toMatchObject({
      words: 'calm; 10\u202fm AGL; source not said, weighed as an estimate; now (13:45:00Z)',
    });
    expect(read('VRB03KT')).toMatchObject({
      words: 'from anywhere (variable), 3\u202fkt (1.5\u202fm/s); 10\u202fm AGL; station; now (13:45:00Z)',
    });
  });

  it('a flight level is a pressure altitude: FL390 is 39 000 ft geopotential, 11 909 m geometric, in the standard atmosphere', () => {
    // USSA 1976 eq. 19: z = r₀H/(r₀ − H), r₀ = 6 356 766 m, H = 11 887.2 m: 11 909.5 m.
    const reading = read('300 true at 40 knots FL390');
    expect(reading.kind === 'read' && reading.event.height_m).toBeCloseTo(11_909.5, 0);
    expect(reading.kind === 'read' && reading.words).toContain('FL390, a pressure altitude');
    const warm = readReport('300 true at 40 knots FL390', { ...context, heightOfPressureAltitude: (h) => h + 300 });
    expect(warm.kind === 'read' && warm.event.height_m).toBeCloseTo(12_187.2, 1);
  });

  it('keeps what the wording leaves open as a spread: a range, an octant, nothing for three digits', () => {
    const spread = (text: string): number | undefined => {
      const reading = read(text);
      return reading.kind === 'read' ? reading.event.spread_mps : NaN;
    };
    expect(spread('090/7 kt')).toBeUndefined();
    // Uniform over 10 kt: 10/√12 = 2.887 kt along the wind, a component's share 1/√2: 1.050 m/s.
    expect(spread('090/10-20 kt')).toBeCloseTo(1.05, 2);
    // Uniform over 45°: 12.99° of 10 m/s across the wind: 2.267/√2.
    expect(spread('east 10 m/s')).toBeCloseTo(1.6, 1);
  });
});

describe('a line that is asked about', () => {
  const ASKED: readonly (readonly [text: string, about: readonly string[]])[] = [
    ['090/7', ['knots or m/s']],
    ['from the north 5 to 10', ['knots or m/s']],
    ['09007', ['knots or m/s']],
    ['240 10 gusting 15', ['knots or m/s']],
    ['wind east 3 m/s at 1500 ft', ['MSL or AGL']],
    ['090/7 kt at 1500', ['feet or metres', 'MSL or AGL']],
    ['300 at 40 knots FL390', ['true or magnetic']],
    ['zero niner zero at seven knots', ['true or magnetic']],
    ['crew Team 2 090/7 5 min ago', ['true or magnetic', 'knots or m/s']],
    ['tower says 240 10 kt', ['true or magnetic']],
    ['blowing east 5 kt', ['from or toward']],
    ['blowing 270 5 kt', ['from or toward']],
    ['drift 090 5 kt', ['from or toward']],
    ['smoke 090 5 kt', ['from or toward']],
    ['windmill 10 kt', ['from or toward']],
    ['toward the ridge 10', ['which place', 'knots or m/s']],
    ['from the ridge 10 kt', ['which place']],
    ['at the ridge 090/7 kt', ['which place']],
    ['27/10 kt', ['degrees or tens']],
  ];
  it.each(ASKED)('%s', (text, about) => {
    const reading = read(text);
    expect(reading.kind).toBe('ask');
    if (reading.kind !== 'ask') return;
    expect(reading.questions.map((one) => one.about)).toEqual(about);
    for (const question of reading.questions) {
      expect(new Set(question.keys.map((one) => one.key)).size).toBe(question.keys.length);
      expect(question.keys.length).toBeGreaterThanOrEqual(2);
      for (const { key } of question.keys) expect(key).toHaveLength(1);
    }
  });

  it('every key of every question leads, one question less each time, to a wind or a refusal', () => {
    let ends = 0;
    const follow = (text: string, answers: Answers, depth: number): void => {
      const reading = readReport(text, context, answers);
      expect(depth).toBeLessThanOrEqual(4);
      if (reading.kind !== 'ask') {
        expect(reading.kind).toBe('read');
        ends += 1;
        return;
      }
      const [first] = reading.questions;
      for (const { resolves } of first?.keys ?? []) follow(text, { ...answers, ...resolves }, depth + 1);
    };
    for (const [text] of ASKED) follow(text, {}, 0);
    expect(ends).toBeGreaterThan(50);
  });

  it('each answer means what it says', () => {
    const event = (text: string, answers: Answers): unknown => {
      const reading = read(text, answers);
      return reading.kind === 'read' ? reading.event : reading;
    };
    expect(event('blowing east 5 kt', { sense: 'from' })).toMatchObject({ from_deg: 90 });
    expect(event('blowing east 5 kt', { sense: 'toward' })).toMatchObject({ from_deg: 270 });
    expect(event('090/7', { speedUnit: 'm/s' })).toMatchObject({ speed_mps: 7 });
    expect(event('zero niner zero at seven knots', { north: 'magnetic' })).toMatchObject({ from_deg: 98 });
    expect(event('zero niner zero at seven knots', { north: 'true' })).toMatchObject({ from_deg: 90 });
    expect(event('wind east 3 m/s at 1500 ft', { reference: 'AGL' })).toMatchObject({ agl_m: 457.2 });
    expect(event('wind east 3 m/s at 1500 ft', { reference: 'MSL' })).toMatchObject({ height_m: 457.2 });
    expect(event('27/10 kt', { digits: 'tens' })).toMatchObject({ from_deg: 270 });
    expect(event('27/10 kt', { digits: 'degrees' })).toMatchObject({ from_deg: 27 });
    expect(event('toward the ridge 10 kt', { place: 'Low Ridge' })).toMatchObject({ from_deg: 180 });
    expect(event('toward the ridge 10 kt', { place: 'Long Ridge' })).toMatchObject({ from_deg: 89.9 });
  });

  it('what the person has declared, or what cannot matter here, is not asked', () => {
    const kind = (text: string, more: Partial<ReportContext>): string => readReport(text, { ...context, ...more }).kind;
    expect(kind('090/7', { speedUnit: 'kt' })).toBe('read');
    expect(kind('090/7 kt at 1500 ft', { site: { position: site, elevation_m: 3 } })).toBe('read');
    expect(kind('zero niner zero at seven knots', { declination_deg: 1.5 })).toBe('read');
    expect(kind('090° magnetic 7 kt', { declination_deg: null })).toBe('refused');
    expect(kind('090/7 kt 13:30', {})).toBe('read');
    expect(kind('090/7 kt 13:30', { localOffset_s: 10.5 * 3600 })).toBe('ask');
    const local = readReport('090/7 kt 00:10 local', { ...context, localOffset_s: 10.5 * 3600 });
    expect(local).toMatchObject({ event: { observedAt: '2026-03-14T13:40:00Z' } });
  });
});

describe('a line that is refused', () => {
  const REFUSED: readonly (readonly [text: string, why: RegExp])[] = [
    ['', /nothing yet/],
    ['   ', /nothing yet/],
    ['; only a remark', /nothing yet/],
    ['E', /no speed yet/],
    ['090', /no (speed|direction) yet/],
    ['7 kt', /no direction yet/],
    ['Team 2 7 kt', /no direction yet/],
    ['wind', /no wind yet/],
    ['surface 2 m agl', /no wind yet/],
    ['400/7 kt', /direction 400; expected 000 to 360/],
    ['090/7 270/10 kt', /more than one direction/],
    ['from 090 to 270 7 kt', /more than one direction/],
    ['E to NE 5 kt', /more than one direction/],
    ['090/7 kt 8 kt', /more than one speed/],
    ['not 090/7 kt', /"not" denies or takes back/],
    ['was 090/7 kt', /"was" tells of a wind that no longer blows/],
    ['090/7 kt tomorrow', /"tomorrow" tells of a wind to come/],
    ['090/-7 kt', /not understood/],
    ['090/7 kt 12345678', /not understood/],
    ['/////KT', /missing/],
    ['wind one for zero at seven knots', /not understood|more than one/],
    ['team 5 090/7 kt', /"team 5" is not a crew of this mission/],
    ['calm 090/7 kt', /calm or variable, and a direction/],
    ['variable 090 7 kt', /variable, and a direction/],
    ['south 10 gust 9 kt', /gust is below the mean/],
    ['090/400 kt', /a wind of 206 m\/s/],
    ['pilot balloon 090/7 kt', /no height yet/],
    ['090/7 kt at 400000 ft msl', /a height of 121.9\u202fkm/],
    ['FL999 300 true 40 kt', /flight level 999/],
    ['090/7 kt at 25:10Z', /no such time of day/],
    ['090/7 kt at 15:10Z', /still to come/],
    ['090/7 kt 3000 min ago', /older than a day/],
    ['METAR KFBG 021255Z 26007KT', /day 2 of the month/],
    ['toward home 10 kt', /lies in no direction/],
    ['Team 2 Red Truck 090/7 kt', /two crews/],
    ['x'.repeat(500), /500 characters/],
    ['lorem ipsum dolor', /not understood/],
    ['🎈🎈', /not understood/],
  ];
  it.each(REFUSED)('%s', (text, why) => {
    const reading = read(text);
    expect(reading).toMatchObject({ kind: 'refused', why: expect.stringMatching(why) as unknown });
  });
});

describe('any line', () => {
  it('is read, asked about or refused, never thrown at', () => {
    const words = fc.constantFrom(
      ...'090 7 270/10 kt m/s from to toward at the east north-east ridge team 2 calm vrb gusting 15 ft msl agl fl 390 5 min ago 13:45z zero niner hundred thousand decimal ° - / @ ; 0 1 9 99999 magnetic true blowing smoke metar 09007kt ///// 160v250 141345z between and'.split(
        ' ',
      ),
    );
    const line = fc.oneof(
      fc.array(words, { maxLength: 12 }).map((list) => list.join(' ')),
      fc.string({ unit: 'binary', maxLength: 80 }),
    );
    let kinds = 0;
    fc.assert(
      fc.property(line, (text) => {
        const reading = readReport(text, context);
        if (reading.kind === 'read') {
          expect(logEvent.safeParse({ ...reading.event, seq: 1, at: reading.event.observedAt }).success).toBe(true);
          expect(reading.event.from_deg).toBeGreaterThanOrEqual(0);
          expect(reading.event.from_deg).toBeLessThanOrEqual(360);
          expect(reading.event.speed_mps).toBeLessThanOrEqual(150);
          kinds += 1;
        }
        if (reading.kind === 'refused') expect(reading.why.length).toBeGreaterThan(5);
        if (reading.kind === 'ask') expect(reading.questions.length).toBeGreaterThan(0);
      }),
      { numRuns: 20_000 },
    );
    expect(kinds).toBeGreaterThan(20);
  });

  it('of any direction and speed is read as just that, in any of its spellings, and TOWARD is FROM turned round', () => {
    const spelled = (n: number): string =>
      String(n)
        .split('')
        .map((d) => 'zero one two three four five six seven eight niner'.split(' ')[Number(d)])
        .join(' ');
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 360 }), fc.integer({ min: 1, max: 99 }), (from, kt) => {
        const ddd = String(from).padStart(3, '0');
        const spoken = ddd
          .split('')
          .map((d) => spelled(Number(d)))
          .join(' ');
        const lines = [
          `${ddd}/${kt} kt`,
          `${ddd}${String(kt).padStart(2, '0')}KT`,
          `from ${ddd} at ${kt} knots`,
          `wind ${spoken} degrees true ${spelled(kt)} knots`,
          `blowing toward ${String(wrap360(from + 180)).padStart(3, '0')} ${kt} kt`,
        ];
        for (const text of lines) {
          const reading = read(text);
          expect(reading.kind, text).toBe('read');
          if (reading.kind !== 'read') continue;
          expect(wrap360(reading.event.from_deg), text).toBe(wrap360(from));
          expect(reading.event.speed_mps, text).toBeCloseTo(kt * MPS_PER_KT, 3);
        }
      }),
      { numRuns: 500 },
    );
  });
});
