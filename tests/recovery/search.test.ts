// Search patterns by the reference's coordinates, and the plan of a search from a fix.
import { describe, expect, it } from 'vitest';
import { fc } from '../property.ts';
import { coverage, detection, expandingSquare, ladder, sectorSearch } from '../../core/recovery/searchPatterns.ts';
import { searchPlan, UNKNOWN_RADIUS_M } from '../../core/recovery/search.ts';
import { casesStillOpen, lastKnown } from '../../core/mission/lostDescent.ts';
import { crewsOf } from '../../core/recovery/crews.ts';
import { caseOutlooks } from '../../core/mission/caseOutlooks.ts';
import { casesOf } from '../../core/mission/cases.ts';
import { missionAt } from '../../core/log/fold.ts';
import type { LogEvent } from '../../core/log/events.ts';
import type { Situation } from '../../core/mission/situation.ts';
import { outlookOf } from '../../core/descent/outlook.ts';
import { scenarioOf } from '../../core/descent/scenario.ts';
import { inverse, isInside } from '../../core/earth/geodesic.ts';
import { M_PER_NM } from '../../core/base/units.ts';
import { situationAt } from '../../core/mission/situation.ts';
import { demo } from '../demo.ts';

// ref: recovery.md §1; IAMSAR study texts and a boat-crew deck (F), coordinates (E, N) computed there (C), as printed.
const SQUARE = [
  [0, 1],
  [1, 1],
  [1, -1],
  [-1, -1],
  [-1, 2],
  [2, 2],
  [2, -2],
  [-2, -2],
] as const;
const SECTOR = [
  ['0', '1'],
  ['0.866', '0.5'],
  ['0', '0'],
  ['-0.866', '-0.5'],
  ['-0.866', '0.5'],
  ['0', '0'],
  ['0.866', '-0.5'],
  ['0', '-1'],
  ['0', '0'],
] as const;

describe('patterns', () => {
  it('expanding square: the reference’s corners, legs 1 1 2 2 3 3 4 4, length S n (n + 1)', () => {
    const { points, legs, length_m } = expandingSquare(1, 4, 0);
    expect(points.length).toBe(9);
    points.slice(1).forEach(([e, n], i) => {
      expect(e).toBeCloseTo(SQUARE[i]?.[0] ?? NaN, 12);
      expect(n).toBeCloseTo(SQUARE[i]?.[1] ?? NaN, 12);
    });
    expect(legs.map((leg) => Math.round(leg.length_m))).toEqual([1, 1, 2, 2, 3, 3, 4, 4]);
    expect(length_m).toBeCloseTo(20, 12);
    for (const n of [1, 3, 7]) expect(expandingSquare(250, n, 37, 'left').length_m).toBeCloseTo(250 * n * (n + 1), 6);
  });
  it('sector: the reference’s corners and headings, nine legs of the radius, three times over the datum', () => {
    const { points, legs, length_m } = sectorSearch(1, 0);
    points.slice(1).forEach(([e, n], i) => {
      // Half a unit of the third decimal printed.
      expect(Math.abs(e - Number(SECTOR[i]?.[0]))).toBeLessThan(0.0005);
      expect(Math.abs(n - Number(SECTOR[i]?.[1]))).toBeLessThan(0.0005);
    });
    expect(legs.map((leg) => Math.round(leg.heading_deg))).toEqual([0, 120, 240, 240, 0, 120, 120, 240, 0]);
    expect(length_m).toBeCloseTo(9, 12);
    expect(points.slice(1).filter(([e, n]) => Math.hypot(e, n) < 1e-9).length).toBe(3);
  });
  it('every pattern turns with its first heading and grows with its spacing', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 0, max: 360, noNaN: true }),
        fc.double({ min: 10, max: 5000, noNaN: true }),
        (first, size) => {
          const angle = (first * Math.PI) / 180;
          for (const make of [
            (s: number, f: number) => expandingSquare(s, 3, f),
            sectorSearch,
            (s: number, f: number) => ladder(4 * s, 3 * s, f, s, 'long'),
          ]) {
            const [plain, turned] = [make(1, 0), make(size, first)];
            const same = plain.points.every(([e, n], i) => {
              const [x, y] = turned.points[i] ?? [NaN, NaN];
              const [p, q] = [
                size * (e * Math.cos(angle) + n * Math.sin(angle)),
                size * (n * Math.cos(angle) - e * Math.sin(angle)),
              ];
              return Math.hypot(x - p, y - q) < 1e-6 * size;
            });
            if (!same) return false;
          }
          return true;
        },
      ),
      { seed: 2, numRuns: 100 },
    );
  });
  it('parallel track: first leg half a spacing inside the edge, legs along the long axis, S apart; creeping line along the short one', () => {
    const { points, legs } = ladder(10_000, 4000, 90, 500, 'long');
    expect(legs.length).toBe(8 + 7);
    // Long axis east–west; the first leg runs at 2000 − 250 north or south of the datum.
    expect(Math.abs(points[0]?.[1] ?? 0)).toBeCloseTo(1750, 6);
    expect(Math.abs(points[0]?.[0] ?? 0)).toBeCloseTo(4750, 6);
    const rows = [...new Set(points.map(([, n]) => Math.round(n)))].sort((a, b) => a - b);
    expect(rows).toEqual([-1750, -1250, -750, -250, 250, 750, 1250, 1750]);
    expect(
      legs.filter((_, i) => i % 2 === 0).every((leg) => Math.abs(Math.sin((leg.heading_deg * Math.PI) / 180)) > 0.999),
    ).toBe(true);
    const creeping = ladder(10_000, 4000, 90, 500, 'short');
    expect(creeping.legs.length).toBe(20 + 19);
    expect(creeping.legs[0]?.length_m).toBeCloseTo(3500, 6);
  });
  it('no place of the rectangle is farther from a leg than half a spacing, whatever its sides', () => {
    let checked = 0;
    fc.assert(
      fc.property(
        fc.double({ min: 600, max: 9000, noNaN: true }),
        fc.double({ min: 600, max: 9000, noNaN: true }),
        (long, short) => {
          const { points } = ladder(long, short, 0, 500, 'long');
          for (let x = -0.5; x <= 0.5; x += 0.1) {
            checked += 1;
            // Halfway along, where the ends do not matter.
            const nearest = Math.min(...points.map(([e]) => Math.abs(e - x * short)));
            if (!(nearest <= 250 + 1e-6)) return false;
          }
          return true;
        },
      ),
      { seed: 6, numRuns: 100 },
    );
    expect(checked).toBeGreaterThan(900);
  });
  // ref: recovery.md §1; formula M, values C as printed.
  it.each([
    [0.5, '0.393'],
    [1, '0.632'],
    [2, '0.865'],
  ])('coverage %s finds %s', (cover, printed) => {
    expect(detection(cover).toFixed(3)).toBe(printed);
    expect(detection(coverage(cover * 300, 300)).toFixed(3)).toBe(printed);
  });
  it('the large default is ten nautical miles', () => {
    expect(UNKNOWN_RADIUS_M).toBe(10 * M_PER_NM);
  });
});

/**
 * The demo with fixes of the jumper taken from its own predicted descent, the last one so many seconds before the
 * landing.
 */
async function lost(before_s: number, spacing_s = 5, marks: readonly string[] = []) {
  const { situation, loaded } = await demo('salt-plain');
  const outlook = outlookOf(scenarioOf(situation.mission, situation.world));
  const { prediction, scenario } = outlook;
  const landing_s = prediction.landing?.time_s ?? 0;
  const point = (t: number) => prediction.track.find((one) => one[0] >= t) ?? prediction.track[0];
  const events: LogEvent[] = [...loaded.log];
  const at = (t: number): string => new Date(Math.round(1000 * (scenario.exit.time_s + t))).toISOString();
  let seq = events.length + 1;
  for (const mark of marks) events.push({ seq: seq++, at: at(landing_s - before_s - 10), kind: 'mark', mark });
  for (const t of [landing_s - before_s - spacing_s, landing_s - before_s]) {
    const [s, lon, lat, height_m] = point(t) ?? [0, 0, 0, 0];
    events.push({ seq: seq++, at: at(s), kind: 'fix', body: 'jumper', position: [lon, lat], height_m });
  }
  const at_s = scenario.exit.time_s + landing_s;
  const late: Situation = { ...situation, at_s, state: missionAt(situation.mission, events, at_s) };
  return { situation: late, outlook };
}

describe('contact lost', () => {
  it('a helicopter that may not fly by night does not search after dark, one that may does', async () => {
    const { situation } = await demo('salt-plain');
    const { mission } = situation;
    const searcher = (night: boolean, time: string): string | undefined => {
      const exit = { ...mission.exit, time };
      const teams = (mission.teams ?? []).map((team) => (team.kind === 'helicopter' ? { ...team, night } : team));
      const dark = { ...situation, mission: { ...mission, exit, teams }, at_s: Date.parse(exit.time) / 1000 };
      const outlook = outlookOf(scenarioOf(dark.mission, dark.world));
      const outlooks = caseOutlooks(dark, casesOf(dark.mission).cases.slice(0, 1), { members: 20, seed: 1 });
      const searched = { cases: [], outlooks, crews: crewsOf(dark.mission) };
      return searchPlan(dark, outlook, searched, { members: 20, seed: 1 }).searcher?.crew.kind;
    };
    // Ten hours later: 17:42Z, an hour after the end of civil twilight there (16:37Z by the brief's own sun table).
    const late = '2027-04-14T17:42:00Z';
    expect([searcher(false, late), searcher(true, late)]).toEqual(['vehicle', 'helicopter']);
    // It would be there at about 16:35Z, two minutes before the end of twilight: too late to look.
    const dusk = '2027-04-14T16:19:30Z';
    expect([searcher(false, dusk), searcher(true, dusk)]).toEqual(['vehicle', 'helicopter']);
    expect(searcher(false, '2027-04-14T15:42:00Z')).toBe('helicopter');
  });
  it('says how far apart its legs run, which is what is flown', async () => {
    const { situation, outlook } = await lost(200);
    const { cases } = casesOf(situation.mission);
    const searched = { cases, outlooks: [], crews: crewsOf(situation.mission, situation.state) };
    const plan = searchPlan(situation, outlook, searched, { members: 120, seed: 4 });
    const rows = plan.patterns.find((one) => one.pattern.name === 'parallel track');
    // Of two neighbouring legs, measured on the ellipsoid from the end of the one to the start of the next.
    const [, end = [0, 0], next = [0, 0]] = rows?.line ?? [];
    expect(rows?.spacing_m).toBeCloseTo(inverse(end, next).distance_m, 0);
    expect(rows?.spacing_m).toBeLessThan(400);
  });
  it('from a fix under canopy the datum is where the canopy comes down, within the drawn scatter', async () => {
    const { situation, outlook } = await lost(200);
    const { cases } = casesOf(situation.mission);
    const known = lastKnown(situation, outlook);
    expect(known?.phase).toBe('under canopy');
    const plan = searchPlan(
      situation,
      outlook,
      { cases, outlooks: [], crews: crewsOf(situation.mission, situation.state) },
      {
        members: 120,
        seed: 4,
      },
    );
    const truth = outlook.prediction.landing?.position ?? [0, 0];
    const { distance_m } = inverse(plan.datum, truth);
    expect(distance_m).toBeLessThan(plan.ellipses['90'].semiMajor_m);
    expect(plan.areas[1].rings.some((one) => isInside(truth, one.ring))).toBe(true);
    // 200 s under canopy: what is not known then is far less than at the exit.
    expect(plan.ellipses['90'].semiMajor_m).toBeLessThan(1900);
    expect(
      Math.abs(plan.touchdown_s - (outlook.scenario.exit.time_s + (outlook.prediction.landing?.time_s ?? 0))),
    ).toBeLessThan(40);
    expect(plan.drift?.distance_m).toBeGreaterThan(200);
    expect(plan.searcher?.crew.name).toBe('Kite');
    expect(plan.sentences[0]).toMatch(
      /^Last known at 07:4\d:\d\dZ, .* under canopy: it sank \d+ m\/s between the last two fixes\.$/,
    );
  });
  it('from a fix high in the fall it is falling, and no canopy is among what may follow', async () => {
    const { situation, outlook } = await lost(395);
    const known = lastKnown(situation, outlook);
    expect(known?.phase).toBe('falling');
    if (known === null) throw new Error('a fix is there');
    const kinds = casesStillOpen(casesOf(situation.mission).cases, known, outlook).map((one) => one.kind);
    // Below the 12 km at which the drogue was due and the 8.95 km of the high opening; the exit is long past.
    expect(known.fix.height_m).toBeLessThan(8951);
    expect(kinds).toEqual(['as planned', 'drogue only', 'reserve unsteered', 'not steering']);
    const higher = { ...known, fix: { ...known.fix, height_m: 20_000 } };
    expect(casesStillOpen(casesOf(situation.mission).cases, higher, outlook).map((one) => one.kind)).toEqual([
      'as planned',
      'opens high',
      'nobody conscious',
      'drogue fails',
      'drogue only',
      'reserve unsteered',
      'not steering',
    ]);
    const plan = searchPlan(
      situation,
      outlook,
      { cases: casesOf(situation.mission).cases, outlooks: [], crews: [] },
      { members: 60, seed: 4 },
    );
    expect(inverse(plan.datum, outlook.prediction.landing?.position ?? [0, 0]).distance_m).toBeLessThan(
      plan.ellipses['90'].semiMajor_m,
    );
    expect(plan.searcher).toBeNull();
    expect(plan.sentences).toContain('No crew is named that could search.');
  });
  it('an opening in the log goes before what the fixes look like', async () => {
    const { situation, outlook } = await lost(420, 5, ['opening']);
    expect(lastKnown(situation, outlook)).toMatchObject({
      phase: 'under canopy',
      because: 'the opening is in the log',
    });
  });
  it('with a single fix the height decides', async () => {
    const { situation, outlook } = await lost(100, 500);
    expect(lastKnown(situation, outlook)).toMatchObject({
      phase: 'under canopy',
      because: 'the fix lies below the planned opening',
    });
  });
  it('without a fix every case counts; what lies far from the likeliest is named, not searched with it', async () => {
    const { mission, log, world } = (await demo('salt-plain')).loaded;
    // A minute after the launch an early exit is still to come.
    const situation = situationAt(mission, log, world, Date.parse('2027-04-14T05:16:00Z') / 1000);
    const { cases } = casesOf(situation.mission);
    const outlooks = caseOutlooks(situation, cases, { members: 40, seed: 2 });
    const planned = outlooks[0];
    if (planned?.kind !== 'flown') throw new Error('flown');
    const plan = searchPlan(
      situation,
      planned.outlook,
      { cases, outlooks, crews: crewsOf(situation.mission) },
      {
        members: 40,
        seed: 2,
      },
    );
    expect(inverse(plan.datum, planned.statistics?.mean ?? [0, 0]).distance_m).toBeLessThan(300);
    expect(plan.elsewhere.names).toContain('Canopy opens at exit');
    expect(plan.elsewhere.share).toBeGreaterThan(0.05);
    for (const one of plan.patterns) {
      expect(one.detection).toBeCloseTo(1 - Math.exp(-one.coverage), 12);
      expect(one.contains).toBeGreaterThan(0.5);
      expect(one.line.length).toBe(one.pattern.points.length);
    }
  });
  it('where nothing comes down the search is that of the marine text: ten miles about the site', async () => {
    const { situation } = await demo('town-meadow');
    const outlook = outlookOf(scenarioOf(situation.mission, situation.world));
    const plan = searchPlan(
      situation,
      outlook,
      { cases: [], outlooks: [], crews: crewsOf(situation.mission) },
      {
        members: 10,
        seed: 1,
        firstLeg: 'down the drift',
      },
    );
    expect(plan.datum).toEqual(situation.mission.site.position);
    expect(plan.ellipses['90'].semiMajor_m).toBe(18_520);
    expect(plan.recommended).toBe('parallel track');
  });
});
