// Every line of a brief says its source's number; the parts that are read are read in ninety seconds; the radio brief
// keeps the rules of radio.md; two versions are compared line by line. Distances and bearings are checked with
// geographiclib itself, grid references with the registry's mgrs package (both outside this project).
import { Geodesic } from 'geographiclib-geodesic';
import { forward } from 'mgrs';
import { describe, expect, it } from 'vitest';
import {
  acknowledged,
  acknowledgementItem,
  changesBetween,
  holdsOf,
  radioCorrections,
} from '../../core/brief/changes.ts';
import { itemsOf, readingTime_s, wordsToRead, type Brief } from '../../core/brief/model.ts';
import { NINE_LINES } from '../../core/brief/nineLine.ts';
import { plannedCase } from '../../core/brief/source.ts';
import { WORDS_A_BREATH } from '../../core/words/spoken.ts';
import { soundAlikes } from './soundAlikes.ts';
import { briefText, crewText } from '../../core/brief/text.ts';
import type { LogEvent } from '../../core/log/events.ts';
import type { Mission } from '../../core/plan/schema.ts';
import type { LonLat } from '../../core/base/units.ts';
import { changedBrief, DEMOS, madeBrief } from './made.ts';

/** What a crew reads before a flight, s: common practice. */
const READ_S_MAX = 90;

const textOf = (brief: Brief, key: string): string => {
  const item = itemsOf(brief).get(key);
  if (item === undefined) throw new Error(`no line "${key}"`);
  return item.text;
};

/** The first number after a word or sign, thin spaces between thousands left out. */
const numberIn = (text: string, pattern: RegExp): number => {
  const match = pattern.exec(text.replaceAll(/(\d)\u202f(?=\d)/g, '$1'));
  if (match?.[1] === undefined) throw new Error(`${String(pattern)} not in "${text}"`);
  return Number(match[1]);
};

/** "2.4 km", "600 m" as metres, with half a unit of its last digit. */
const lengthIn = (text: string, pattern: RegExp): readonly [m: number, half: number] => {
  const match = pattern.exec(text);
  const [, digits = '', unit = ''] = match ?? [];
  if (match === null) throw new Error(`${String(pattern)} not in "${text}"`);
  if (unit === 'km') return [1000 * Number(digits), digits.includes('.') ? 50 : 500];
  return [Number(digits), Number(digits) < 100 ? 0.5 : 5];
};

/** "30° 05.14′ S 022° 24.84′ E": the place, and half a unit of its last digit in degrees. */
const placeIn = (text: string): LonLat => {
  const match = /(\d\d)° (\d\d\.\d\d)′ ([NS]) (\d\d\d)° (\d\d\.\d\d)′ ([EW])/.exec(text);
  if (match === null) throw new Error(`no place in "${text}"`);
  const [, latD, latM, ns, lonD, lonM, ew] = match;
  const lat = Number(latD) + Number(latM) / 60;
  const lon = Number(lonD) + Number(lonM) / 60;
  return [ew === 'W' ? -lon : lon, ns === 'S' ? -lat : lat];
};
const HALF_DIGIT_DEG = 0.005 / 60 + 1e-9;

describe.each(DEMOS)('the brief of %s', (name) => {
  it('says the expected landing, its time and its spread as they were computed', async () => {
    const { source, brief } = await madeBrief(name);
    const planned = plannedCase(source.cases);
    const landing = planned?.outlook.prediction.landing;
    if (planned?.statistics === null || planned === null || landing == null) throw new Error('no landing');
    const [lon, lat] = placeIn(textOf(brief, 'landing.place'));
    expect(Math.abs(lon - landing.position[0])).toBeLessThanOrEqual(HALF_DIGIT_DEG);
    expect(Math.abs(lat - landing.position[1])).toBeLessThanOrEqual(HALF_DIGIT_DEG);
    // mgrs 2.2 cuts to the square as grid references do: four digits a side are 10 m.
    const grid = forward([...landing.position], 4);
    expect(textOf(brief, 'landing.place').replaceAll(' ', '')).toContain(grid);
    const touchdown_s = planned.outlook.scenario.exit.time_s + landing.time_s;
    const clock = new Date(Math.round(touchdown_s) * 1000).toISOString().slice(11, 19);
    expect(textOf(brief, 'times.touchdown')).toContain(`${clock}Z`);
    const { semiMajor_m, semiMinor_m } = planned.statistics.ellipses['90'];
    const spread = textOf(brief, 'landing.spread');
    const [major, halfMajor] = lengthIn(spread, /±([\d.]+)\u202f(k?m) by/);
    const [minor, halfMinor] = lengthIn(spread, /by ±([\d.]+)\u202f(k?m)/);
    expect(Math.abs(major - semiMajor_m)).toBeLessThanOrEqual(halfMajor + 1e-6);
    expect(Math.abs(minor - semiMinor_m)).toBeLessThanOrEqual(halfMinor + 1e-6);
  });

  it('says the exit in UTC and on the site’s clock (IANA time zones: both demos at UTC+2 on their day)', async () => {
    const { source, brief } = await madeBrief(name);
    const exit = new Date(source.situation.mission.exit.time);
    const here = new Date(exit.getTime() + 2 * 3600_000);
    expect(textOf(brief, 'times.exit')).toBe(
      `T = ${exit.toISOString().slice(11, 19)}Z (${here.toISOString().slice(11, 19)} local)`,
    );
  });

  it('says every crew’s way as geographiclib measures it, true and magnetic', async () => {
    const { source, brief } = await madeBrief(name);
    if (source.declination.kind === 'unknown') throw new Error('no declination');
    let checked = 0;
    for (const { crew, standby, goal } of source.crews) {
      const text = textOf(brief, `crew.${crew.name}.bearing`);
      const { s12 = NaN, azi1 = NaN } = Geodesic.WGS84.Inverse(
        standby[1],
        standby[0],
        goal.position[1],
        goal.position[0],
      );
      const [m, half] = lengthIn(text, /^([\d.]+)\u202f(k?m) on/);
      expect(Math.abs(m - s12)).toBeLessThanOrEqual(half + 1e-6);
      const off = (a: number, b: number): number => Math.abs(((a - b + 540) % 360) - 180);
      expect(off(numberIn(text, /(\d{3})° true/), azi1)).toBeLessThanOrEqual(0.5001);
      expect(off(numberIn(text, /(\d{3})° magnetic/), azi1 - source.declination.deg)).toBeLessThanOrEqual(0.5001);
      checked += 1;
    }
    expect(checked).toBe(3);
  });

  it('says the cases, the zones and the hazards as the table has them', async () => {
    const { source, brief } = await madeBrief(name);
    let checked = 0;
    for (const row of source.table) {
      if (row.kind !== 'lands') continue;
      const cells = itemsOf(brief).get(`case.${row.case.name}`)?.cells ?? [];
      expect(numberIn(cells[0] ?? '', /(\d+)\u202f%/)).toBe(Math.round(100 * row.case.weight));
      expect(cells[2]).toContain(`${new Date(Math.round(row.touchdown_s) * 1000).toISOString().slice(11, 19)}Z`);
      const [major, half] = lengthIn(cells[3] ?? '', /^±([\d.]+)\u202f(k?m)/);
      expect(Math.abs(major - row.ellipse90.semiMajor_m)).toBeLessThanOrEqual(half + 1e-6);
      checked += 1;
    }
    for (const hazard of source.situation.mission.hazards ?? []) {
      const cells = itemsOf(brief).get(`hazard.${hazard.name}`)?.cells ?? [];
      expect(cells[1]).toBe(hazard.height_m === undefined ? '–' : `${hazard.height_m}\u202fm`);
      checked += 1;
    }
    for (const zone of source.situation.mission.landingZones ?? []) {
      const share = source.advised.advice.statistics?.inZone[zone.name]?.p ?? NaN;
      const cell = itemsOf(brief).get(`zone.${zone.name}`)?.cells?.[2] ?? '';
      expect(cell).toBe(
        share > 0.99 ? 'over 99\u202f%' : share < 0.01 ? 'under 1\u202f%' : `${Math.round(100 * share)}\u202f%`,
      );
      checked += 1;
    }
    expect(checked).toBeGreaterThanOrEqual(17);
  });

  it('rounds what is to be kept at least upward: a helicopter’s distance (1000 ft, 304.8 m) is 310 m everywhere', async () => {
    const { brief } = await madeBrief(name);
    const helicopter = brief.crews.find((crew) => crew.kind === 'helicopter');
    expect(textOf(brief, 'rules.clear')).toContain('helicopters 310\u202fm more');
    expect(textOf(brief, `crew.${helicopter?.crew ?? ''}.clear`)).toContain('310\u202fm outside');
    expect(brief.radio.map((line) => line.text).join(' ')).toContain('stay three one zero metres outside');
  });

  it('is read in ninety seconds at 150 words per minute (ref: radio.md §2, mark M): the sheet’s read part and every crew’s page', async () => {
    const { brief } = await madeBrief(name);
    expect(readingTime_s(wordsToRead(brief.sections))).toBeLessThanOrEqual(READ_S_MAX);
    for (const crew of brief.crews)
      expect([crew.crew, readingTime_s(wordsToRead(crew.sections)) <= READ_S_MAX]).toEqual([crew.crew, true]);
    expect(wordsToRead(brief.sections)).toBeGreaterThan(120);
  });

  it('has one key per line, and no line without words', async () => {
    const { brief } = await madeBrief(name);
    const sections = [
      ...brief.sections,
      ...brief.crews.flatMap((crew) => (crew.nineLine === null ? crew.sections : [...crew.sections, crew.nineLine])),
    ];
    const all = sections.flatMap((section) => section.items);
    expect(new Set(all.map((item) => item.key)).size).toBe(all.length);
    for (const item of all) expect(item.text.trim()).not.toBe('');
    expect(`${briefText(brief)}${JSON.stringify(all)}`).not.toMatch(/NaN|undefined|Infinity|\[object/);
  });

  it('is said in breaths of 20 words with no word that sounds like a digit beside one', async () => {
    const { brief } = await madeBrief(name);
    for (const { text } of brief.radio) {
      expect(text.split(/\s+/).length).toBeLessThanOrEqual(WORDS_A_BREATH);
      expect(soundAlikes(text)).toEqual([]);
      // Digits are said, not read: none is left; a direction names its north, a wind its side.
      expect(text).not.toMatch(/\d/);
      if (/degrees/.test(text) && !/(north|south|east|west)[.,]/.test(text))
        expect(text).toMatch(/degrees (true|magnetic)/);
      expect(text).not.toMatch(/\bnine\b/);
    }
    const said = brief.radio.map((line) => line.text).join(' ');
    expect(said).toMatch(/wind FROM /);
    expect(said).toMatch(/READ BACK brief version/);
    for (const crew of brief.crews) expect(said).toContain(`${crew.crew}, READ BACK you`);
    expect(brief.radio.length).toBeGreaterThan(15);
  });

  it('has the nine lines for medical crews, what is unknown said to be (ref: recovery.md §3; source: GTA 08-01-004, mark F)', async () => {
    const { brief, source } = await madeBrief(name);
    const fields = [
      'location',
      'frequency, call sign',
      'precedence',
      'special equipment',
      'type',
      'injury',
      'marking',
      'nationality',
      'terrain',
    ];
    for (const [k, field] of NINE_LINES.entries()) expect(field.toLowerCase()).toContain(fields[k]);
    for (const crew of brief.crews) {
      expect(crew.nineLine === null).toBe(!crew.medical);
      if (crew.nineLine === null) continue;
      expect(crew.nineLine.items).toHaveLength(9);
      for (const unknown of [1, 2, 4, 5, 7]) expect(crew.nineLine.items[unknown]?.text).toContain('unknown');
      expect(crew.nineLine.items[1]?.text).toContain(crew.crew);
    }
    const landing = plannedCase(source.cases)?.outlook.prediction.landing?.position ?? [0, 0];
    const medical = brief.crews.find((crew) => crew.medical);
    expect(medical?.nineLine?.items[0]?.text.replaceAll(' ', '')).toContain(forward([...landing], 4));
  });

  it('writes each crew’s places in its own way', async () => {
    const { brief, source } = await madeBrief(name);
    for (const { crew, standby } of source.crews) {
      const text = textOf(brief, `crew.${crew.name}.standby`);
      if (crew.team.coordinates === 'MGRS') expect(text.replaceAll(' ', '')).toContain(forward([...standby], 4));
      else expect(placeIn(text)[0]).toBeCloseTo(standby[0], 3);
    }
  });
});

const report = (seq: number, at: string, more: object): LogEvent =>
  ({ seq, at, kind: 'wind-report', id: `x${seq}`, source: 'crew', by: 'Marshal', observedAt: at, position: [14.921381, 49.416851], agl_m: 2, from_deg: 200, speed_mps: 5, ...more }); // prettier-ignore

describe('the lead’s page', () => {
  const late = ({ sections }: Brief): string =>
    sections.flatMap(({ items }) => items).find(({ key }) => key === 'countdown.late')?.text ?? '';
  it('says when HOLD is called, and never that HOLD stands beside another word', async () => {
    const { loaded, brief } = await madeBrief('town-meadow');
    expect([brief.head.word, late(brief)]).toEqual([
      'GO',
      expect.stringMatching(/^lead; after \d\d:\d\dZ the window is closed/),
    ]);
    // Without a carrier there is no window: nobody goes.
    const { carrier: _carrier, ...plan } = loaded.mission;
    const alone = changedBrief(loaded, plan, loaded.log).brief;
    expect([alone.head.word, late(alone)]).toEqual(['HOLD', expect.stringContaining('no window is open: HOLD stands')]);
    const limits = { ...loaded.mission.limits, surfaceWind_mps: 0.5 };
    const stopped = changedBrief(loaded, { ...plan, limits }, loaded.log).brief;
    expect(late(stopped)).toContain(`${stopped.head.word} stands`);
    expect(stopped.head.word).not.toBe('GO');
  });
});

describe('versions', () => {
  it('count what changed the winds: reports and corrections that count, withdrawals, not calls, notes and fixes', async () => {
    const { loaded, brief } = await madeBrief('town-meadow');
    expect(brief.head.version).toMatchObject({ number: 4, windsTo_s: Date.parse('2027-05-29T13:19:00Z') / 1000 });
    expect(brief.head.version.words).toMatch(/^winds to 13:19Z; landing version 4; plan [0-9a-f]{4}$/);
    const salt = await madeBrief('salt-plain');
    expect(salt.brief.head.version.words).toMatch(/^winds to 07:01Z; landing version 5; /);
    const log = [...loaded.log, report(7, '2027-05-29T13:20:00Z', { from_deg: 400 })];
    expect(changedBrief(loaded, loaded.mission, log).brief.head.version.number).toBe(4);
    const withdrawn = { seq: 8, at: '2027-05-29T13:21:00Z', kind: 'withdrawal', of: 'w3' } as LogEvent;
    const counted = changedBrief(loaded, loaded.mission, [...log, withdrawn]).brief;
    expect(counted.head.version.number).toBe(5);
    expect(counted.head.version.plan).toBe(brief.head.version.plan);
  });

  it('that are made twice from the same plan, log and moment are the same line by line', async () => {
    const { loaded, brief } = await madeBrief('town-meadow');
    const again = changedBrief(loaded, loaded.mission, loaded.log).brief;
    expect(changesBetween(brief, again)).toEqual([]);
    expect(again.radio).toEqual(brief.radio);
  });

  it('mark each line that changed and no other, and the radio says only those, as corrections', async () => {
    const { loaded, brief } = await madeBrief('town-meadow');
    const log = [...loaded.log, report(7, '2027-05-29T13:22:00Z', { from_deg: 215, speed_mps: 4 })];
    const next = changedBrief(loaded, loaded.mission, log).brief;
    const changes = changesBetween(brief, next);
    const keys = new Set(changes.map((change) => change.key));
    expect(keys.has('wind.ground')).toBe(true);
    const before = itemsOf(brief);
    for (const [key, item] of itemsOf(next))
      expect([key, keys.has(key)]).toEqual([key, before.get(key)?.text !== item.text]);
    expect(keys.has('zone.Hay Flats') && keys.has('call.EXIT')).toBe(false);
    const corrections = radioCorrections(next, brief);
    expect(corrections[0]?.text).toContain('CORRECTION, brief version five replaces version four');
    expect(corrections.some((line) => line.text.startsWith('CORRECTION. Surface wind FROM'))).toBe(true);
    expect(corrections.at(-1)).toMatchObject({ text: 'READ BACK brief version five.', readBack: true });
    for (const line of corrections) expect(line.text.split(/\s+/).length).toBeLessThanOrEqual(WORDS_A_BREATH);
    const crew = next.crews[0];
    if (crew === undefined) throw new Error('no crew');
    const text = crewText(next, crew, {
      since: 'version 4',
      changes: new Map(changes.map((change) => [change.key, change])),
    });
    expect(text).toMatch(/^\* Wind/m);
    expect(text).toMatch(/was: FROM 250° \(west\)/);
  });

  it('are acknowledged in the log, by a check or a call; the newest counts, whatever its number', () => {
    const events = [
      { seq: 1, at: '2027-01-01T10:00:00Z', kind: 'check', item: acknowledgementItem(3, 'ABCD'), by: 'Kite' },
      { seq: 2, at: '2027-01-01T10:05:00Z', kind: 'call', text: 'Ground One has brief version 4', by: 'ground one' },
      { seq: 3, at: '2027-01-01T10:06:00Z', kind: 'check', item: 'brief v5 ABCD', by: 'Kite' },
      { seq: 4, at: '2027-01-01T10:07:00Z', kind: 'check', item: 'brief v9', by: 'somebody else' },
      { seq: 5, at: '2027-01-01T10:08:00Z', kind: 'check', item: 'first aid kit', by: 'Kite' },
      { seq: 6, at: '2027-01-01T11:00:00Z', kind: 'check', item: 'brief v4', by: 'Kite' },
      // An item of the lead's own list is no acknowledgement, whatever its name.
      { seq: 7, at: '2027-01-01T11:01:00Z', kind: 'check', list: 'Before', item: 'brief v6', by: 'Kite' },
    ] as LogEvent[];
    const crews = ['Kite', 'Ground One', 'Ground Two'];
    const at = (time: string) => acknowledged(events, Date.parse(time) / 1000, crews);
    expect([...at('2027-01-01T10:30:00Z')].map(([name, one]) => [name, one.version])).toEqual([['Kite', 5], ['Ground One', 4]]); // prettier-ignore
    expect(at('2027-01-01T12:00:00Z').get('Kite')?.version).toBe(4);
    const found = at('2027-01-01T10:30:00Z');
    const kinds = crews.map((crew) => holdsOf(found.get(crew), 5, 'ABCD').kind);
    expect(kinds).toEqual(['current', 'behind', 'none']);
    expect(holdsOf(found.get('Kite'), 4, 'ABCD')).toEqual({ kind: 'unknown version', version: 5 });
    // The number alone is not the content; a page that is the same needs no new reading back.
    expect(holdsOf(found.get('Kite'), 5, 'EFGH')).toEqual({ kind: 'other content', version: 5 });
    expect(holdsOf(found.get('Kite'), 6, 'ABCD')).toEqual({ kind: 'current' });
  });
});

describe('what is missing', () => {
  const without = (mission: Mission, ...keys: (keyof Mission)[]): Mission =>
    Object.fromEntries(
      Object.entries(mission).filter(([key]) => !(keys as readonly string[]).includes(key)),
    ) as Mission;

  it('no crews, no zones, no hazards, no winds, no carrier: each is said and the rest stands', async () => {
    const { loaded } = await madeBrief('town-meadow');
    const plan = without(loaded.mission, 'teams', 'landingZones', 'hazards', 'landmarks', 'winds', 'carrier', 'cloud');
    const { jumper } = plan;
    const bare: Mission = {
      ...plan,
      jumper: {
        ...jumper,
        canopy: { ...jumper.canopy, steering: { policy: 'drift' } } as NonNullable<typeof jumper.canopy>,
      },
    };
    const { brief } = changedBrief({ ...loaded, windSources: [] }, bare, []);
    expect(textOf(brief, 'crews.none')).toContain('names no crew');
    expect(textOf(brief, 'zone.none')).toContain('names no landing zone');
    expect(textOf(brief, 'hazard.none')).toContain('names no hazard');
    expect(textOf(brief, 'wind.ground')).toBe('calm');
    expect(brief.head.version.words).toContain('forecast alone');
    expect(brief.crews).toEqual([]);
    expect(briefText(brief)).not.toMatch(/NaN|undefined/);
    for (const { text } of brief.radio) expect(soundAlikes(text)).toEqual([]);
  });

  it('a time zone that nobody knows and a year outside the magnetic model: UTC and true bearings alone, and the reason', async () => {
    const { loaded } = await madeBrief('town-meadow');
    const old = (time: string): string => time.replace('2027', '2019');
    const { mission } = loaded;
    const plan: Mission = {
      ...mission,
      site: { ...mission.site, timeZone: 'Nowhere/Land' },
      exit: { ...mission.exit, time: old(mission.exit.time) },
      carrier: undefined,
      winds: { forecast: (mission.winds?.forecast ?? []).map((one) => ({ ...one, validTime: old(one.validTime) })) },
    };
    const { brief } = changedBrief({ ...loaded, windSources: [] }, plan, []);
    expect(textOf(brief, 'times.exit')).toBe('T = 13:30:00Z');
    expect(textOf(brief, 'crew.First Aid.bearing')).not.toContain('magnetic');
    expect(briefText(brief)).toContain(
      'Magnetic bearings are not given: 2019.4; the magnetic model WMM2025 holds from 2025 to 2030.',
    );
    expect(brief.radio.some((line) => line.text.includes('degrees true'))).toBe(true);
    expect(brief.radio.some((line) => line.text.includes('magnetic'))).toBe(false);
  });

  it('a crew without the fuel, one that waits where the canopy may come down, one for two landings: each page or the cautions say so', async () => {
    const { loaded } = await madeBrief('salt-plain');
    const teams = (loaded.mission.teams ?? [])
      .filter((team) => team.serves !== 'gondola')
      .map((team) =>
        team.kind === 'helicopter'
          ? { ...team, endurance_s: 1300, fixed: true }
          : { ...team, fixed: true, position: [22.4139, -30.0856] as const },
      );
    const { brief, source } = changedBrief(loaded, { ...loaded.mission, teams }, loaded.log);
    expect(textOf(brief, 'crew.Kite.refusal')).toMatch(/fuel/);
    expect(textOf(brief, 'crew.Ground One.refusal')).toMatch(/99\s% region/);
    expect(source.placement?.answers.some((answer) => answer.startsWith('One crew for two landings: Kite'))).toBe(true);
    expect(briefText(brief)).toContain('One crew for two landings: Kite');
  });
});

describe('the brief of a jumper in the air', () => {
  it('has no GO and no HOLD, counts from what the log has, and leaves out what can no longer come to pass', async () => {
    const { loaded } = await madeBrief('salt-plain');
    const exit_s = Date.parse(loaded.mission.exit.time) / 1000;
    const iso = (time_s: number): string => new Date(time_s * 1000).toISOString();
    const seq = Math.max(...loaded.log.map((event) => event.seq));
    const position = loaded.mission.exit.position;
    const events = [
      { kind: 'mark', mark: 'exit', at: iso(exit_s + 9), observedAt: iso(exit_s + 5), position, height_m: 39_000 },
      {
        kind: 'fix',
        body: 'jumper',
        at: iso(exit_s + 182),
        observedAt: iso(exit_s + 180),
        position: [22.38, -30.08],
        height_m: 9000,
      },
      {
        kind: 'mark',
        mark: 'touchdown',
        at: iso(exit_s + 620),
        observedAt: iso(exit_s + 600),
        position: [22.42, -30.09],
      },
    ].map((event, i) => ({ ...event, seq: seq + 1 + i }) as LogEvent);
    const [left, fixed, down] = [1, 2, 3].map((n) =>
      changedBrief(loaded, loaded.mission, [...loaded.log, ...events.slice(0, n)]),
    );
    if (left === undefined || fixed === undefined || down === undefined) throw new Error('three briefs');
    expect([left, fixed, down].map((one) => one.brief.head.word)).toEqual(['IN FLIGHT', 'IN FLIGHT', 'DOWN']);
    for (const { brief } of [left, fixed, down]) {
      const said = brief.radio.map((line) => line.text).join(' ');
      expect(said).not.toMatch(/Advice is|Exit planned|\bGO\b/);
      expect(said).toContain('Exit was at zero seven four two Zulu.');
    }
    expect(left.source.table.map((one) => one.case.name)).not.toContain('Early exit');
    for (const name of ['Late exit', 'Rides down with the gondola'])
      expect(left.source.table.find((one) => one.case.name === name)).toMatchObject({
        kind: 'no landing',
        case: { weight: 0 },
      });
    // From the fix, the touchdown and its ninety-fifth part are times of the day, whatever they were counted from.
    const planned = plannedCase(fixed.source.cases);
    const late_s = (planned?.outlook.scenario.exit.time_s ?? NaN) + (planned?.statistics?.time_s.p95 ?? NaN);
    const by = iso(Math.ceil(late_s / 60) * 60).slice(11, 16);
    expect(textOf(fixed.brief, 'times.touchdown')).toContain(`(95\u202f% by ${by}Z)`);
    expect(late_s).toBeGreaterThan(exit_s + 540);
    expect(textOf(down.brief, 'times.touchdown')).toMatch(/^T\+9:55, 07:52:00Z$/);
    expect(down.brief.radio.map((line) => line.text).join(' ')).toContain('Touchdown was at zero seven five two Zulu');
  });
});
