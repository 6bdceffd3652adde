// Calls and fixes in one line: the lists of legal, asked and refused lines that the reader's comment promises. Times
// and heights of the phases are those of the radio (common practice); values of places by hand.
import { fc } from '../property.ts';
import { describe, expect, it } from 'vitest';
import { readCalled, type CalledContext } from '../../core/formats/messages/called.ts';
import { logEvent } from '../../core/log/events.ts';

const now_s = Date.UTC(2027, 3, 14, 7, 45) / 1000;
const context: CalledContext = {
  now_s,
  teams: ['Kite', 'Ground One'],
  site: [22.41, -30.09],
  groundAt: (place) => (place === null ? 951 : 960),
};
const read = (text: string, answers = {}) => readCalled(text, context, answers);
const event = (text: string, answers = {}) => {
  const reading = read(text, answers);
  return reading?.kind === 'called' ? reading.event : reading;
};

describe('a call', () => {
  it.each([
    ['called exit', { kind: 'mark', mark: 'exit', observedAt: '2027-04-14T07:45:00Z' }],
    ['Called exit 0742:05Z', { mark: 'exit', observedAt: '2027-04-14T07:42:05Z' }],
    ['called exit at 0720', { mark: 'exit', observedAt: '2027-04-14T07:20:00Z' }],
    ['called exit at 0720Z', { mark: 'exit', observedAt: '2027-04-14T07:20:00Z' }],
    ['called exit 07:42', { mark: 'exit', observedAt: '2027-04-14T07:42:00Z' }],
    ['called canopy open 2400 m msl', { mark: 'opening', height_m: 2400 }],
    [
      'called canopy open at 8 000 ft above sea level 074312Z',
      { mark: 'opening', height_m: 2438.4, observedAt: '2027-04-14T07:43:12Z' },
    ],
    [
      'called touchdown at 30.09 S 22.42 E, 3 min ago',
      { mark: 'touchdown', position: [22.42, -30.09], observedAt: '2027-04-14T07:42:00Z' },
    ],
    ['called gondola released', { mark: 'release' }],
    ['called release 40 s ago', { mark: 'release', observedAt: '2027-04-14T07:44:20Z' }],
    ['called launch 23:50', { mark: 'launch', observedAt: '2027-04-13T23:50:00Z' }],
  ])('%s', (text, expected) => expect(event(text)).toMatchObject(expected));

  it('above the ground is above the ground there', () => {
    expect(event('called canopy open 700 m agl')).toMatchObject({ height_m: 1651 });
    expect(event('called canopy open 30.09 S 22.42 E 700 m agl')).toMatchObject({ height_m: 1660 });
  });
});

describe('a fix', () => {
  it.each([
    ['fix 30.08 S 22.40 E 12000 m msl', { kind: 'fix', body: 'jumper', position: [22.4, -30.08], height_m: 12_000 }],
    [
      'fix -30.08 22.40 12 km msl 07:43:10',
      { body: 'jumper', position: [22.4, -30.08], height_m: 12_000, observedAt: '2027-04-14T07:43:10Z' },
    ],
    ['fix gondola 30.08 S 22.40 E FL410', { body: 'gondola', height_m: 12_496.8 }],
    ['fix Ground One 30.1 S 22.5 E', { body: 'Ground One', position: [22.5, -30.1] }],
    ['fix kite 30 06.0 S 022 30.0 E 10 s ago', { body: 'Kite', observedAt: '2027-04-14T07:44:50Z' }],
  ])('%s', (text, expected) => expect(event(text)).toMatchObject(expected));

  it('whose height has no foot is asked about, and answered with one key', () => {
    const reading = read('fix 30.08 S 22.40 E 1200 m');
    expect(reading).toMatchObject({ kind: 'asked', question: { about: 'MSL or AGL' } });
    const keys = reading?.kind === 'asked' ? reading.question.keys : [];
    const heights = keys
      .map(({ resolves }) => event('fix 30.08 S 22.40 E 1200 m', resolves))
      .map((one) => (one as { height_m?: number }).height_m);
    expect(heights).toEqual([1200, 2160]);
  });

  it('with latitude and longitude the other way round, far from the site, is asked about', () => {
    const line = 'fix 22.40 -30.08 12000 m msl';
    expect(read(line)).toMatchObject({ kind: 'asked', question: { about: 'latitude or longitude first' } });
    expect(event(line, { coordinates: 'the other way round' })).toMatchObject({ position: [22.4, -30.08] });
    expect(event(line, { coordinates: 'as typed' })).toMatchObject({ position: [-30.08, 22.4] });
    // With letters the figures alone are exchanged.
    const lettered = 'fix 22.40 S 30.08 E 12000 m msl';
    expect(read(lettered)).toMatchObject({ kind: 'asked', question: { about: 'latitude or longitude first' } });
    expect(event(lettered, { coordinates: 'the other way round' })).toMatchObject({ position: [22.4, -30.08] });
    // Far off either way it is taken as it stands: nothing says that it was turned.
    expect(event('fix 51.0 N 7.0 E 12000 m msl')).toMatchObject({ position: [7, 51] });
  });

  it('in MGRS keeps its digits: they are not a time', () => {
    expect(event('fix 34J FL 2623 9812 12000 m msl')).toMatchObject({
      kind: 'fix',
      height_m: 12_000,
      observedAt: '2027-04-14T07:45:00Z',
    });
  });
});

describe('what is refused says why', () => {
  it.each([
    ['called', 'Called what?'],
    ['called tea', 'no call known'],
    ['called exit 25:00', 'not a time of day'],
    ['called exit 1500Z', 'still to come, or more than 12 hours ago'],
    ['called exit somewhere', 'not a place'],
    ['called exit 20 km msl 800 min ago', '12 hours'],
    ['fix', 'needs a place'],
    ['fix 12000 m msl', 'needs a place'],
    ['fix 30.08 S 22.40 E', 'needs a height'],
    ['fix 95.08 S 22.40 E 300 m msl', 'not a place'],
    ['fix 30.08 S 22.40 E 120 km msl', 'out of bounds'],
  ])('%s', (text, why) =>
    expect(read(text)).toMatchObject({ kind: 'unknown', why: expect.stringContaining(why) as string }),
  );

  it('and other lines are not about it', () => {
    for (const text of ['', '090/7 kt', 'exit 38000 m', 'calledexit', 'note called exit'])
      expect(read(text), text).toBeNull();
  });
});

it('whatever is typed is answered, and an event that it makes is one that the log takes', () => {
  let events = 0;
  const word = fc.constantFrom(
    'exit',
    'canopy open',
    'touchdown',
    'jumper',
    'Kite',
    '30.08 S 22.40 E',
    '12000 m',
    'msl',
    'agl',
    '07:42',
    '0742Z',
    '3 min ago',
    'FL390',
    'at',
    ',',
    '34J FL 2623 9812',
  );
  const wild = fc.array(
    fc.oneof({ weight: 12, arbitrary: word }, { weight: 1, arbitrary: fc.string({ maxLength: 8 }) }),
    { maxLength: 4 },
  );
  const whole = fc.tuple(
    fc.constantFrom('exit', 'touchdown', '', 'Kite'),
    fc.constantFrom('30.08 S 22.40 E', '34J FL 2623 9812'),
    fc.constantFrom('12000 m', 'FL390'),
    fc.constantFrom('msl', 'agl'),
    fc.constantFrom('07:42', '0742Z', '3 min ago'),
  );
  fc.assert(
    fc.property(fc.constantFrom('called', 'fix'), fc.oneof(wild, whole), (verb, words) => {
      const reading = read(`${verb} ${words.join(' ')}`, { reference: 'MSL' });
      expect(reading).not.toBeNull();
      if (reading?.kind !== 'called') return;
      events += 1;
      expect(logEvent.safeParse({ ...reading.event, seq: 0, at: '2027-04-14T07:45:00Z' }).success).toBe(true);
    }),
    { numRuns: 3000 },
  );
  expect(events).toBeGreaterThan(100);
});
