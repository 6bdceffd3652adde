// A correction in one line: what is said is changed, what is not said stays as the report has it, to the bit. The lists
// are those of the reader's comment; factors by NIST SP 811 §B.8.
import { fc } from '../property.ts';
import { describe, expect, it, test } from 'vitest';
import { readReport, type ReportContext } from '../../core/formats/messages/report.ts';
import { correctionText, readCorrection, type Corrected } from '../../core/formats/messages/report/correction.ts';

const NOW_S = Date.parse('2027-04-14T07:30:00Z') / 1000;
const context: ReportContext = {
  now_s: NOW_S,
  site: { position: [22.41, -30.09], elevation_m: 951 },
  places: [{ name: 'Saltbell North', kind: 'zone', points: [[22.41, -30.09]] }],
  teams: [
    { name: 'Ground One', position: [22.406, -30.087] },
    { name: 'Ground Two', position: [22.39, -30.16] },
  ],
  declination_deg: -24,
  nextId: 'w9',
};
const crew: Corrected = {
  seq: 8,
  at: '2027-04-14T07:01:30Z',
  kind: 'wind-report',
  id: 'w5',
  source: 'crew',
  by: 'Ground One',
  observedAt: '2027-04-14T07:00:00Z',
  position: [22.40623, -30.087402],
  agl_m: 2,
  from_deg: 305,
  speed_mps: 3.1,
  gust_mps: 4.6,
  spread_mps: 0.4,
  text: 'Saltbell North, 305 at 6, gusting 9 knots',
};
const station: Corrected = { ...crew, id: 'w2', source: 'station', by: 'Marrow Well', agl_m: 10 };

it('a crew that is called as the ground is a crew, and no height', () => {
  expect(readReport('Ground Two 090/7 kt true', context)).toMatchObject({
    kind: 'read',
    event: { source: 'crew', by: 'Ground Two', agl_m: 2 },
  });
});

describe('a correction', () => {
  it('of the direction alone leaves speed, gust, height, time, place and person as they were', () => {
    expect(readCorrection('from 125 true', crew, context)).toMatchObject({
      kind: 'read',
      from_deg: 125,
      toward_deg: 305,
      event: {
        kind: 'correction',
        corrects: 'w5',
        id: 'w9',
        source: 'crew',
        by: 'Ground One',
        observedAt: crew.observedAt,
        position: crew.position,
        agl_m: 2,
        from_deg: 125,
        speed_mps: 3.1,
        gust_mps: 4.6,
      },
    });
  });

  it.each([
    // 6 × 1852/3600 m/s; a gust belongs to the speed it was said with.
    ['6 kt', { from_deg: 305, speed_mps: 3.087, gust_mps: undefined, agl_m: 2 }],
    // 1500 × 0.3048 m.
    ['at 1500 ft agl', { from_deg: 305, speed_mps: 3.1, gust_mps: 4.6, agl_m: 457.2, spread_mps: 0.4 }],
    ['at 1251 m msl', { height_m: 1251, agl_m: undefined, speed_mps: 3.1 }],
    ['crew Ground Two', { by: 'Ground Two', position: undefined, from_deg: 305 }],
    ['20 min ago', { observedAt: '2027-04-14T07:10:00Z', by: 'Ground One' }],
    ['calm', { speed_mps: 0, agl_m: 2, by: 'Ground One' }],
    ['125/6 kt true', { from_deg: 125, speed_mps: 3.087 }],
  ])('%s', (text, fields) => {
    const reading = readCorrection(text, crew, context, { north: 'true' });
    expect(reading).toMatchObject({ kind: 'read' });
    if (reading.kind !== 'read') return;
    // A field that is undefined here must be absent there.
    for (const [name, value] of Object.entries(fields))
      expect(Object.entries(reading.event).find(([key]) => key === name)?.[1], name).toEqual(value);
  });

  it('keeps who reported where that is not a team of the mission', () => {
    const reading = readCorrection('from 125 true', station, context);
    expect(reading).toMatchObject({ kind: 'read', event: { source: 'station', by: 'Marrow Well', from_deg: 125 } });
    if (reading.kind === 'read') expect(reading.words).toContain('station Marrow Well');
  });

  it('asks what a report is asked: a crew’s direction may be magnetic, a number may be knots', () => {
    expect(readCorrection('from 125', crew, context)).toMatchObject({
      kind: 'ask',
      questions: [{ about: 'true or magnetic' }],
    });
    expect(readCorrection('6', crew, context)).toMatchObject({ kind: 'ask', questions: [{ about: 'knots or m/s' }] });
  });

  test.each(['', 'from 400', 'not 6 kt', '6 kt 7 kt', 'yes'])('%j is refused with a sentence', (text) => {
    const reading = readCorrection(text, crew, context);
    expect(reading.kind).toBe('refused');
    if (reading.kind === 'refused') expect(reading.why.length).toBeGreaterThan(10);
  });

  it('reads back what it would write, suggested or as it stands, for any report', () => {
    let compared = 0;
    fc.assert(
      fc.property(
        fc.record({
          from_deg: fc.integer({ min: 0, max: 3600 }).map((x) => x / 10),
          speed_mps: fc.integer({ min: 1, max: 600 }).map((x) => x / 10),
          agl_m: fc.integer({ min: 0, max: 90_000 }).map((x) => x / 10),
        }),
        fc.boolean(),
        (fields, whole) => {
          const text = correctionText({ ...station, ...fields, gust_mps: undefined }, whole ? null : fields);
          const reading = readCorrection(text, station, context);
          expect(reading.kind, text).toBe('read');
          if (reading.kind !== 'read') return;
          expect(reading.event.speed_mps, text).toBeCloseTo(fields.speed_mps, 1);
          expect(reading.event.agl_m, text).toBeCloseTo(fields.agl_m, 0);
          // 0° and 360° are one direction.
          expect(Math.cos(((reading.event.from_deg - fields.from_deg) * Math.PI) / 180), text).toBeCloseTo(1, 6);
          compared += 1;
        },
      ),
    );
    expect(compared).toBeGreaterThan(90);
  });

  it('never throws, whatever is typed', () => {
    fc.assert(
      fc.property(fc.string({ unit: 'binary' }), (text) => {
        expect(['read', 'ask', 'refused']).toContain(readCorrection(text, crew, context).kind);
      }),
      { numRuns: 2000 },
    );
  });
});
