// What is to be said now. Expected words come from outside the code: winds as they were reported, digits by ICAO Annex
// 10 vol. II 5.2.1.4 (ref: radio.md §1), heights by subtraction, places by GeographicLib, times by the calendar.
import { fc } from '../property.ts';
import { Geodesic } from 'geographiclib-geodesic';
import { describe, expect, it } from 'vitest';
import { MPS_PER_KT, RAD_PER_DEG, wrap360, type LonLat } from '../../core/base/units.ts';
import { zoneMiddle } from '../../core/descent/scenario.ts';
import type { Declination } from '../../core/earth/declination.ts';
import { hasChanged } from '../../core/live/callChanges.ts';
import { landingDirectionCall, type CallMoment, type CrewsToCall } from '../../core/live/callOffers.ts';
import { callsAt, type CallsNow } from '../../core/live/calls.ts';
import type { LogEvent } from '../../core/log/events.ts';
import { expectedOf } from '../../core/mission/expected.ts';
import { assemble, type Loaded } from '../../core/mission/load.ts';
import { situationAt } from '../../core/mission/situation.ts';
import type { Mission } from '../../core/plan/schema.ts';
import { PAPER_UNITS } from '../../core/words/numbers.ts';
import { soundAlikes } from '../brief/soundAlikes.ts';
import { loadDemo } from '../demo.ts';

const TRUE: Declination = { kind: 'unknown', why: 'not asked for' };
const town = await loadDemo('town-meadow');
const salt = await loadDemo('salt-plain');

type Given = Partial<Pick<CallMoment, 'advice' | 'crews' | 'declination' | 'units'>> & {
  readonly of?: Loaded;
  readonly plan?: Mission;
  /** s before the planned exit at which it is asked. */
  readonly before_s?: number;
  readonly events?: readonly object[];
};

const exitOf = (loaded: Loaded): number => Date.parse(loaded.mission.exit.time) / 1000;
const iso = (time_s: number): string => new Date(1000 * time_s).toISOString();
const EXIT_S = exitOf(town);
const [MEADOW] = town.mission.landingZones ?? [];
if (MEADOW === undefined) throw new Error('the demo has a zone');
const MIDDLE = zoneMiddle(MEADOW);
const GO = { word: 'GO', because: [] } as const;
const { canopy: CANOPY } = town.mission.jumper;
if (CANOPY === undefined) throw new Error('the demo has a canopy');

/** A moment with no other events than those that are given: each has its time in seconds after the planned exit. */
function momentOf(given: Given = {}): CallMoment {
  const loaded = given.of ?? town;
  const exit_s = exitOf(loaded);
  const plan = given.plan ?? loaded.mission;
  const at_s = exit_s - (given.before_s ?? 600);
  const { world } = assemble(plan, loaded);
  const log = (given.events ?? []).map((event, i) => {
    const { t = -(given.before_s ?? 600), ...rest } = event as { readonly t?: number };
    return { seq: i + 1, at: iso(exit_s + t), observedAt: iso(exit_s + t), ...rest } as unknown as LogEvent;
  });
  const situation = situationAt(plan, log, world, at_s);
  return {
    situation,
    expected: expectedOf(situation),
    at_s,
    zone: plan.landingZones?.[0] ?? null,
    advice: given.advice ?? GO,
    crews: given.crews ?? 'the crews are being worked out',
    declination: given.declination ?? TRUE,
    units: given.units ?? PAPER_UNITS,
  };
}

const called = (given: Given): CallsNow => callsAt(momentOf(given));
const wordsOf = (now: CallsNow, key: string): string | undefined => now.ready.find((one) => one.key === key)?.words;
const whyOf = (now: CallsNow, key: string): string | undefined => now.notCalled.find((one) => one.key === key)?.why;

/** A surface wind beside the zone, and a person who confirmed it: so it counts whatever the forecast says. */
function wind(from_deg: number, kt: number, gust_kt: number | null = null, t = -660, id = 'a'): object[] {
  const report = {
    kind: 'wind-report',
    id,
    source: 'station',
    by: 'mast',
    position: town.mission.site.position,
    agl_m: 10,
    from_deg,
    speed_mps: kt * MPS_PER_KT,
    ...(gust_kt === null ? {} : { gust_mps: gust_kt * MPS_PER_KT }),
    t,
  };
  return [report, { kind: 'confirmation', of: id, t }];
}

const said = (key: string, values: object, to = 'jumper', t = -640): object => ({
  kind: 'call',
  text: 'as it was said',
  key,
  to,
  values,
  t,
});

function placed(distance_m: number, azimuth_deg: number): LonLat {
  const { lon2 = NaN, lat2 = NaN } = Geodesic.WGS84.Direct(MIDDLE[1], MIDDLE[0], azimuth_deg, distance_m);
  return [lon2, lat2];
}
const groundAt = ([lon, lat]: LonLat): number => town.world.ground.heightAt(lat * RAD_PER_DEG, lon * RAD_PER_DEG);
const EXITED = { kind: 'mark', mark: 'exit', t: 0 };
const OPENED = { kind: 'mark', mark: 'opening', t: 60 };

/** In the air `t` s after the exit, so high above the ground there, at a place seen from the zone. */
function fixAt(t: number, agl_m: number, distance_m = 0, azimuth_deg = 0): object {
  const position = placed(distance_m, azimuth_deg);
  return { kind: 'fix', body: 'jumper', position, height_m: groundAt(position) + agl_m, t };
}
const canopy = (agl_m: number, distance_m = 800, azimuth_deg = 225): Given => ({
  before_s: -100,
  events: [...wind(240, 10, null, 40), EXITED, OPENED, fixAt(100, agl_m, distance_m, azimuth_deg)],
});

const CREWS: CrewsToCall = {
  at_s: EXIT_S - 600,
  margin_m: 304.8,
  orders: [
    {
      crew: { name: 'Kite', kind: 'helicopter', heard: null },
      ends: 'goal',
      goal: { name: 'jumper', position: MIDDLE },
      status: 'ordered',
      standby: placed(2400, 180),
      approach: { final_deg: 240 },
    },
  ],
};
const crewsWith = (status: 'refused' | 'proposed'): CrewsToCall => ({
  ...CREWS,
  orders: CREWS.orders.map((one) => ({ ...one, status })),
});

/** A moment, the key that is asked about, and its words, or why it is not called. 240° 10 kt is "two four zero", … */
const SITUATIONS: readonly (readonly [what: string, Given, key: string, expected: string])[] = [
  ['a wind a minute old', { events: wind(240, 10) }, 'wind', 'Surface wind FROM two four zero degrees true, one zero knots, one minute old, toward Marnwick church.'],
  ['its reverse', { events: wind(60, 10) }, 'wind', 'Surface wind FROM zero six zero degrees true, one zero knots, one minute old'],
  ['a wind with a gust', { events: wind(160, 18, 30) }, 'wind', 'Surface wind FROM one six zero degrees true, one eight knots, gusting three zero knots, one minute old'],
  ['a wind from the north', { events: wind(0, 9) }, 'wind', 'Surface wind FROM three six zero degrees true, niner knots'],
  ['a calm', { events: wind(0, 0) }, 'wind', 'Surface wind calm, one minute old.'],
  ['a wind that swings all round', { events: [{ ...wind(240, 4)[0], variable: true }] }, 'wind', 'Surface wind variable, four knots, one minute old.'],
  ['4° of declination east are taken off', { events: wind(240, 10), declination: { kind: 'known', deg: 4 } }, 'wind', 'Surface wind FROM two three six degrees magnetic, one zero knots'],
  ['8° of declination west are added, across north', { events: wind(355, 10), declination: { kind: 'known', deg: -8 } }, 'wind', 'Surface wind FROM zero zero three degrees magnetic, one zero knots'],
  ['a wind of ten minutes', { events: wind(240, 10, null, -1200) }, 'wind', 'Surface wind FROM two four zero degrees true, one zero knots, one zero minutes old'],
  ['a second more', { events: wind(240, 10, null, -1201) }, 'wind', '! no surface wind newer than 10 min: not called'],
  ['no wind at all', {}, 'wind', '! no surface wind newer than 10 min: not called'],
  ['a wind that may be its reverse', { events: wind(65, 14).slice(0, 1) }, 'wind', '! the surface wind is in question (a): not called'],
  ['the exit, by a GO', {}, 'exit', 'Advice is GO, planned exit at one three three zero Zulu.'],
  ['a NO-GO is said as a word that holds no other', { advice: { word: 'NO-GO', because: [] } }, 'exit', 'Advice is ABORT.'],
  ['a HOLD', { advice: { word: 'HOLD', because: [] } }, 'exit', 'Advice is HOLD.'],
  ['an advice that is still worked out', { advice: 'the advice is being worked out' }, 'exit', '! the advice is being worked out: not called'],
  ['an exit that is over', { before_s: -40 }, 'exit', '! the planned exit is over by 40 s and none is in the log: not called'],
  ['the ground to keep clear, with a helicopter', { crews: CREWS }, 'keep clear', 'Stay outside the marked ground until touchdown is called, helicopters three one zero metres.'],
  ['crews that are still worked out', {}, 'keep clear', '! the crews are being worked out: not called'],
  ['crews of more than five minutes ago', { crews: { ...CREWS, at_s: EXIT_S - 901 } }, 'keep clear', '! nothing newer than 5 min for the crews: not called'],
  ['a crew at its standby 2400 m south', { crews: CREWS }, 'way Kite', 'Kite, landing bears three six zero degrees true, distance two decimal four kilometres, from your standby.'],
  ['its way in', { crews: CREWS }, 'approach Kite', 'Kite, final heading two four zero degrees true, from behind and below, never over the canopy.'],
  ['a crew that is refused', { crews: crewsWith('refused') }, 'way Kite', 'Kite, you do not go, stay where you are and listen.'],
  ['a crew whose place is only proposed', { crews: crewsWith('proposed') }, 'way Kite', 'Kite, stay where you are, your new standby is proposed, not ordered.'],
  ['70 s after the exit', { of: salt, before_s: -70, events: [EXITED] }, 'fall time', 'Time since exit one minute one zero seconds.'],
  ['a fall without a fix', { before_s: -20, events: [EXITED] }, 'height', '! no fix since the exit: not called'],
  ['a fix of 16 s ago', { ...canopy(850), before_s: -116 }, 'height', '! no fix newer than 15 s: not called'],
  ['850 m above the ground', canopy(850), 'height', 'Height eight five zero metres above ground.'],
  ['800 m above the ground', canopy(800), 'height', 'Height eight hundred metres above ground.'],
  ['the same in feet: 2625', { ...canopy(800), units: { ...PAPER_UNITS, length: 'ft' } }, 'height', 'Height two thousand six hundred feet above ground.'],
  ['1200 m south-west of the zone', canopy(850, 1200), 'zone', 'Mill Meadow bears zero four five degrees true, distance one decimal two kilometres.'],
  ['the landing direction', canopy(850), 'landing direction', 'Landing direction into the wind, heading two four zero degrees true, one minute old.'],
  ['the pattern', canopy(290), 'heading', '! below 300 m above ground the pattern is flown: not called'],
  ['the ground', { before_s: -400, events: [EXITED, { kind: 'mark', mark: 'touchdown', position: MIDDLE, t: 395 }] }, 'down', 'Jumper is down since one three three seven Zulu, in Mill Meadow.'],
  ['a touchdown whose place nobody named', { before_s: -400, events: [EXITED, { kind: 'mark', mark: 'touchdown', t: 395 }] }, 'down', 'Jumper is down since one three three seven Zulu, place not known.'],
]; // prettier-ignore

describe('at a moment', () => {
  it.each(SITUATIONS)('%s', (_what, given, key, expected) => {
    const now = called(given);
    const words = wordsOf(now, key);
    if (expected.startsWith('! ')) {
      expect([words, whyOf(now, key)?.replaceAll('\u202f', ' ')]).toEqual([undefined, expected.slice(2)]);
    } else if (expected.endsWith('.')) expect(words).toBe(expected);
    else expect(words?.slice(0, expected.length)).toBe(expected);
  });

  it('names the landmark that the wind blows toward, as it bears from the expected landing', () => {
    const moment = momentOf({ events: wind(240, 10) });
    const [lon = NaN, lat = NaN] = moment.expected.outlook.prediction.landing?.position ?? [];
    const church = town.mission.landmarks?.find(({ name }) => name === 'Marnwick church');
    const [east, north] = church !== undefined && 'position' in church ? (church.position as LonLat) : [NaN, NaN];
    const { azi1 = NaN } = Geodesic.WGS84.Inverse(lat, lon, north, east);
    expect(Math.abs(azi1 - 60)).toBeLessThan(30);
  });

  it('says the landing that is expected, with its time to the minute and the zone', () => {
    const moment = momentOf();
    const { landing } = moment.expected.outlook.prediction;
    const minute = new Date(60_000 * Math.round((EXIT_S + (landing?.time_s ?? NaN)) / 60)).toISOString();
    const spoken = wordsOf(callsAt(moment), 'landing') ?? '';
    const names = ['zero', 'one', 'two', 'three', 'four', 'five', 'six', 'seven', 'eight', 'niner'];
    const digits = Array.from(minute.slice(11, 16).replace(':', ''), (digit) => names[Number(digit)]).join(' ');
    expect(spoken).toMatch(new RegExp(`^Landing expected at ${digits} Zulu, (?:in|outside) `));
  });

  it('says airspeed and Mach of a fall: 300 m/s at 20 km, where standard air has 216.65 K', () => {
    const { winds: _winds, ...calm } = salt.mission;
    const exit = { kind: 'mark', mark: 'exit', t: 0 };
    const fix = (t: number, height_m: number): object => {
      return { kind: 'fix', body: 'jumper', position: salt.mission.exit.position, height_m, t };
    };
    const events = [exit, fix(98, 20_600), fix(100, 20_000)];
    const now = called({ of: { ...salt, windSources: [] }, plan: calm, before_s: -100, events });
    const values = now.ready.find((one) => one.key === 'speed')?.values ?? {};
    // The pair of fixes says 300 m/s at the second; the speed of sound is √(1.4 · 287.053 · 216.65) = 295.07 m/s.
    expect(Math.abs(Number(values['speed_mps']) - 300)).toBeLessThan(3);
    expect(Number(values['mach'])).toBeCloseTo(Number(values['speed_mps']) / 295.07, 2);
    expect(wordsOf(now, 'speed')).toMatch(/^Airspeed (?:two niner|three zero) \w+ metres a second, Mach \w+ decimal /);
  });

  it('steers against the wind from the side: the heading turned by its drift makes the way good', () => {
    const now = called({
      before_s: -100,
      events: [...wind(270, 8, null, 90), EXITED, OPENED, fixAt(100, 900, 800, 180)],
    });
    const heading = Number(now.ready.find((one) => one.key === 'heading')?.values['heading_deg']);
    // The zone lies north and the wind comes from the west at all heights of the forecast: it steers left of north.
    expect(wrap360(heading)).toBeGreaterThan(290);
    expect(wrap360(heading)).toBeLessThan(358);
  });
});

describe('what else is said', () => {
  it('the height of the ground, where it is not that of the zone', () => {
    const hill = [...Array(36).keys()]
      .map((k) => placed(4000, 10 * k))
      .toSorted((a, b) => groundAt(b) - groundAt(a))
      .at(0);
    if (hill === undefined) throw new Error('there are places');
    const ground = groundAt(hill);
    expect(ground - groundAt(MIDDLE)).toBeGreaterThan(30);
    const events = [EXITED, OPENED, { kind: 'fix', body: 'jumper', position: hill, height_m: ground + 900, t: 100 }];
    const spoken = wordsOf(called({ before_s: -100, events }), 'height') ?? '';
    const tens = 10 * Math.round(ground / 10);
    expect(spoken).toMatch(/^Height niner hundred metres above ground, ground at [a-z ]+ metres above sea level\.$/);
    const digits = { zero: 0, one: 1, two: 2, three: 3, four: 4, five: 5, six: 6, seven: 7, eight: 8, niner: 9 };
    const heard = /ground at ([a-z ]+) metres/.exec(spoken)?.[1]?.split(' ') ?? [];
    const hundreds = heard.at(-1) === 'hundred';
    const number = Number(heard.flatMap((one) => (one in digits ? [digits[one as keyof typeof digits]] : [])).join(''));
    expect(hundreds ? 100 * number : number).toBe(tens);
  });

  it('the hazard nearest to the landing, its bearing and distance from there by GeographicLib', () => {
    const [lon, lat] = momentOf().expected.outlook.prediction.landing?.position ?? [NaN, NaN];
    const { lon2 = NaN, lat2 = NaN } = Geodesic.WGS84.Direct(lat, lon, 90, 200);
    const line = [
      [lon2, lat2 - 0.01],
      [lon2, lat2 + 0.01],
    ] as const;
    const plan: Mission = { ...town.mission, hazards: [{ name: 'Wire 7', kind: 'power line', line }] };
    expect(wordsOf(called({ plan }), 'hazard')).toBe(
      'Hazard Wire seven bears zero niner zero degrees true, distance two zero zero metres, from the landing.',
    );
    const onIt: Mission = {
      ...town.mission,
      hazards: [{ name: 'Pond', kind: 'water', polygon: [placed(300, 0), placed(300, 120), placed(300, 240)] }],
    };
    expect(wordsOf(called({ plan: onIt }), 'hazard')).toBe('Landing is expected on hazard Pond.');
    expect(wordsOf(called({ plan: { ...town.mission, hazards: [] } }), 'hazard')).toBe(undefined);
  });

  it('a crew that was heard too long ago is told nothing of its way in flight', () => {
    const [order] = CREWS.orders;
    if (order === undefined) throw new Error('there is a crew');
    const crews = (heard_s: number): CrewsToCall => ({
      ...CREWS,
      at_s: EXIT_S + 400,
      orders: [{ ...order, crew: { ...order.crew, heard: { position: order.standby, time_s: EXIT_S + heard_s } } }],
    });
    const down = [EXITED, { kind: 'mark', mark: 'touchdown', position: MIDDLE, t: 395 }];
    expect(wordsOf(called({ before_s: -400, events: down, crews: crews(-200) }), 'way Kite')).toBe(
      'Kite, jumper bears three six zero degrees true, distance two decimal four kilometres, from where you were heard.',
    );
    const old = called({ before_s: -400, events: down, crews: crews(-201) });
    expect(whyOf(old, 'way Kite')?.replaceAll('\u202f', ' ')).toBe('no fix of Kite newer than 10 min: not called');
  });
});

describe('the order', () => {
  it('has what was not said first, then what was said, the longest ago first', () => {
    const keys = (events: readonly object[]): string[] => called({ events }).ready.map((one) => one.key);
    expect(keys(wind(240, 10)).slice(0, 3)).toEqual(['exit', 'wind', 'landing']);
    const said1 = said('exit', { word: 'GO', exit_s: EXIT_S }, 'jumper', -630);
    const said2 = said('wind', { from_deg: 240, speed_mps: 10 * MPS_PER_KT }, 'jumper', -640);
    expect(keys([...wind(240, 10), said2, said1])).toEqual([
      'landing',
      ...keys(wind(240, 10)).slice(3),
      'wind',
      'exit',
    ]);
  });
});

describe('a correction', () => {
  const FIRST = { from_deg: 240, speed_mps: 10 * MPS_PER_KT, report: 'a' };

  it('comes first, says the new value, and names who reads back', () => {
    const events = [...wind(240, 10), said('wind', FIRST), ...wind(90, 12, 20, -620, 'b')];
    const [first] = called({ events }).ready;
    expect(first?.words).toBe(
      'CORRECTION, surface wind FROM zero niner zero degrees true, one two knots, gusting two zero knots. ' +
        'Jumper, READ BACK.',
    );
    expect([first?.readBack, first?.said_s]).toEqual(['jumper', EXIT_S - 640]);
  });

  it('of a landing so far outside a zone that the whole sentence is more than a breath is said in a shorter one', () => {
    // Found by a rehearsal: 21 words with the read-back, and the landing that was called first stood uncorrected.
    const drifts: Mission = {
      ...town.mission,
      jumper: { ...town.mission.jumper, canopy: { ...CANOPY, steering: { policy: 'drift' } } },
      exit: { ...town.mission.exit, position: placed(2500, 90) },
    };
    const [lon_deg, lat_deg] = MIDDLE;
    const first = { lon_deg, lat_deg, where: 'inside Mill Meadow', touchdown_s: EXIT_S + 500 };
    const now = called({ plan: drifts, events: [said('landing', first, 'all crews')] });
    expect(now.notCalled.map(({ key }) => key)).not.toContain('landing');
    const words = now.ready.find(({ readBack }) => readBack !== null)?.words ?? '';
    expect(words).toMatch(/^CORRECTION, landing outside .* by (?:\w+ )+(?:kilo)?metres.*\. All crews, READ BACK\.$/);
    expect(words.split(' ').length).toBeLessThanOrEqual(20);
  });

  it('is not made where nothing has changed by more than is stated, and is not made twice', () => {
    const near = [...wind(240, 10), said('wind', FIRST), ...wind(255, 12, null, -620, 'b')];
    expect(
      called({ events: near })
        .ready.map((one) => one.readBack)
        .filter((one) => one !== null),
    ).toEqual([]);
    const again = said('wind', { from_deg: 90, speed_mps: 12 * MPS_PER_KT, gust_mps: 20 * MPS_PER_KT }, 'jumper', -610);
    const events = [...wind(240, 10), said('wind', FIRST), ...wind(90, 12, 20, -620, 'b'), again];
    expect(called({ events }).ready.filter((one) => one.readBack !== null)).toEqual([]);
  });

  it('takes back a wind that was withdrawn while no other is young enough', () => {
    const events = [...wind(240, 10), said('wind', FIRST), { kind: 'withdrawal', of: 'a', t: -620 }];
    const now = called({ events });
    expect(now.ready[0]?.words).toBe(
      'CORRECTION, disregard the surface wind called at one three one niner Zulu. Jumper, READ BACK.',
    );
    expect(called({ events: [...events, said('wind', {}, 'jumper', -610)] }).ready[0]?.readBack).toBe(null);
    // Only too old is not wrong: it was right when it was said.
    const old = [...wind(240, 10, null, -1300), said('wind', FIRST)];
    expect(called({ events: old }).ready.filter((one) => one.readBack !== null)).toEqual([]);
  });

  it('of a GO that is one no longer, of a landing, and of a crew that is refused now', () => {
    const go = said('exit', { word: 'GO', exit_s: EXIT_S });
    const advice = { word: 'NO-GO', because: [] } as const;
    expect(called({ events: [go], advice }).ready[0]?.words).toBe('CORRECTION, advice is ABORT. Jumper, READ BACK.');
    const moment = momentOf();
    const landing = callsAt(moment).ready.find((one) => one.key === 'landing');
    const late = { ...landing?.values, touchdown_s: Number(landing?.values['touchdown_s']) - 61 };
    expect(called({ events: [said('landing', late, 'all crews')] }).ready[0]?.words).toMatch(
      /^CORRECTION, landing expected at .*\. All crews, READ BACK\.$/,
    );
    const way = said('way Kite', { status: 'ordered', bearing_deg: 0, distance_m: 2400 }, 'Kite');
    expect(called({ events: [way], crews: crewsWith('refused') }).ready[0]?.words).toBe(
      'CORRECTION, Kite, you do not go, stay where you are and listen. READ BACK.',
    );
  });

  it('of a wind said before the exit is made in the fall too, where no wind is called otherwise', () => {
    const events = [...wind(240, 10), said('wind', FIRST), EXITED, ...wind(60, 10, null, 15, 'b')];
    expect(called({ before_s: -25, events }).ready[0]?.words).toMatch(/^CORRECTION, surface wind FROM zero six zero /);
    const same = [...wind(240, 10), said('wind', FIRST), EXITED, ...wind(240, 10, null, 15, 'b')];
    expect(wordsOf(called({ before_s: -25, events: same }), 'wind')).toBe(undefined);
  });

  it('is due for any wind turned or changed by its tolerance, and for none within it', () => {
    const direction = fc.integer({ min: 0, max: 359 });
    const speed = fc.integer({ min: 4, max: 40 });
    fc.assert(
      fc.property(
        direction,
        speed,
        fc.integer({ min: 0, max: 180 }),
        fc.integer({ min: 0, max: 20 }),
        (d, kt, turn, up) => {
          const a = { from_deg: d, speed_mps: kt * MPS_PER_KT };
          const b = { from_deg: (d + turn) % 360, speed_mps: (kt + up) * MPS_PER_KT };
          expect(hasChanged('wind', a, b)).toBe(turn >= 30 || up >= 5);
          expect(hasChanged('wind', b, a)).toBe(turn >= 30 || up >= 5);
        },
      ),
      { seed: 20_270_529 },
    );
  });
});

describe('every call', () => {
  const DIGITS = ['zero', 'one', 'two', 'three', 'four', 'five', 'six', 'seven', 'eight', 'niner'];
  const threeDigits = (deg: number): string =>
    Array.from(String(deg === 0 ? 360 : deg).padStart(3, '0'), (digit) => DIGITS[Number(digit)]).join(' ');

  it.each([
    ['town-meadow', town],
    ['salt-plain', salt],
  ] as const)('of %s, for winds from all 360 directions, never says the reverse', (_name, loaded) => {
    const base = momentOf({ of: loaded, events: [{ ...wind(10, 10)[0], position: loaded.mission.site.position }] });
    const { winds } = base.situation;
    const report = base.situation.state.reports[0];
    if (report === undefined) throw new Error('the report was folded');
    const heard: string[] = [];
    for (let deg = 0; deg < 360; deg++) {
      const event = { ...report.event, from_deg: deg };
      const newestSurface = { report: { ...report, event }, age_s: 60 };
      const situation = { ...base.situation, winds: { ...winds, questions: [], newestSurface } };
      const now = callsAt({ ...base, situation, crews: CREWS });
      for (const { words } of now.ready) {
        const count = words.split(/\s+/).length;
        expect(count, words).toBeLessThanOrEqual(20);
        expect(words).toMatch(/^[\x20-\x7e]+$/);
        expect(soundAlikes(words), words).toEqual([]);
        expect(words).not.toMatch(/\bno[- ]go\b/i);
      }
      const words = wordsOf(now, 'wind') ?? '';
      expect(words).toContain(`wind FROM ${threeDigits(deg)} degrees true, one zero knots`);
      expect(words).not.toContain(`FROM ${threeDigits((deg + 180) % 360)}`);
      expect(words).not.toMatch(/\bfrom\b/);
      heard.push(words);
    }
    expect(new Set(heard).size).toBe(360);
  });

  it.each([
    ['town-meadow', town],
    ['salt-plain', salt],
  ] as const)('of the landing direction in %s is the direction that the wind is FROM, all 360 of them', (_name, of) => {
    const base = momentOf({ of, events: [{ ...wind(10, 10)[0], position: of.mission.site.position }] });
    const report = base.situation.state.reports[0];
    if (report === undefined) throw new Error('the report was folded');
    for (let deg = 0; deg < 360; deg++) {
      const newestSurface = { report: { ...report, event: { ...report.event, from_deg: deg } }, age_s: 60 };
      const situation = { ...base.situation, winds: { ...base.situation.winds, questions: [], newestSurface } };
      const found = landingDirectionCall({ ...base, situation });
      expect(found.kind === 'offer' && found.phrases.join(', ')).toBe(
        `landing direction into the wind, heading ${threeDigits(deg)} degrees true`,
      );
    }
  });

  it('of the demos as they are, at each event of their logs and through the flight, is one breath', () => {
    let calls = 0;
    for (const loaded of [town, salt]) {
      const exit_s = exitOf(loaded);
      for (const t of [-3000, -600, -60, 30, 120, 300]) {
        const exit = { seq: 100, at: iso(exit_s), kind: 'mark', mark: 'exit' } as LogEvent;
        const situation = situationAt(loaded.mission, [...loaded.log, exit], loaded.world, exit_s + t);
        const expected = expectedOf(situation);
        const zone = loaded.mission.landingZones?.[0] ?? null;
        const declination: Declination = { kind: 'known', deg: -24 };
        const at = { situation, expected, at_s: exit_s + t, zone, declination, units: PAPER_UNITS, advice: GO };
        for (const { words } of callsAt({ ...at, crews: CREWS }).ready) {
          calls += 1;
          expect(words.split(/\s+/).length, words).toBeLessThanOrEqual(20);
          expect(soundAlikes(words), words).toEqual([]);
        }
      }
    }
    expect(calls).toBeGreaterThan(20);
  });

  it('that is offered is no older than its limit, whenever it is asked', () => {
    for (const t of [-1261, -1200, -900, -300, -10]) {
      const now = called({ before_s: 0, events: wind(240, 10, null, t), crews: { ...CREWS, at_s: EXIT_S + t } });
      for (const { age_s, limit_s, key } of now.ready) expect(age_s ?? 0, key).toBeLessThanOrEqual(limit_s ?? 0);
      expect(now.notCalled.every(({ why }) => why.endsWith(': not called'))).toBe(true);
    }
  });
});

describe('nonsense', () => {
  it.each([
    ['no values', undefined],
    ['values without numbers', { from_deg: 'west', speed_mps: 'much' }],
    ['values of something else', { constructor: 1, agl_m: -5 }],
    ['directions beyond the circle', { from_deg: 7440, speed_mps: 10 * MPS_PER_KT }],
  ])('in a call of the log (%s) corrects nothing and hides nothing', (_what, values) => {
    const events = [...wind(240, 10), { ...said('wind', {}), values }];
    const now = called({ events });
    expect(now.ready.filter((one) => one.readBack !== null)).toEqual([]);
    expect(wordsOf(now, 'wind')).toMatch(/^Surface wind FROM two four zero/);
  });

  it('in a place that was called is a landing that has moved', () => {
    const landing = callsAt(momentOf()).ready.find((one) => one.key === 'landing');
    const values = { ...landing?.values, lat_deg: 4900 };
    expect(called({ events: [said('landing', values, 'all crews')] }).ready[0]?.key).toBe('landing');
  });

  it('as a name of more words than a breath holds is not read out, and the panel is told why', () => {
    const name = 'The field behind the long row of old trees along the second road north of the upper mill by the pond';
    const plan = { ...town.mission, landingZones: [{ ...MEADOW, name }] };
    expect(whyOf(called({ ...canopy(850), plan }), 'zone')).toBe('more than 20 words: not called');
  });

  it('as a call that was logged without a key, or of a moment to come, is not taken for one of these', () => {
    const later = said('wind', { from_deg: 60, speed_mps: 5 }, 'jumper', -10);
    const typed = { kind: 'call', text: 'wind is from 060', to: 'jumper', t: -640 };
    const now = called({ events: [...wind(240, 10), typed, later] });
    expect(now.ready.every(({ said_s, readBack }) => said_s === null && readBack === null)).toBe(true);
  });
});
