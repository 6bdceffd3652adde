// The mission at a moment: each way a report can fail to count has its own answer, and the rest of the log still
// counts. The list is the one that the log's format and the house ask for; nothing outside prescribes the
// sentences.
import { describe, expect, it } from 'vitest';
import { fc } from '../property.ts';
import { Folding, missionAt, type MissionState } from '../../core/log/fold.ts';
import { defaultMoment_s } from '../../core/mission/situation.ts';
import { placesOf } from '../../core/plan/places.ts';
import { toPlace } from '../../core/words/places.ts';
import { mission as missionSchema } from '../../core/plan/schema.ts';
import type { Correction, LogEvent, WindReport } from '../../core/log/events.ts';
import type { LonLat } from '../../core/base/units.ts';

const site: LonLat = [141.5, -31.9];
const plan = missionSchema.parse({
  format: 'plumbline/mission',
  version: 1,
  name: 'test',
  site: { name: 'Home', position: site, elevation_m: 120 },
  exit: { position: site, altitude_m: 39_000, time: '2026-03-14T08:00:00Z' },
  jumper: { mass_kg: 118, stages: [{ name: 'freefall', dragArea_m2: 0.8 }] },
  landingZones: [
    {
      name: 'Salt Flat',
      polygon: [
        [141.6, -31.9],
        [141.62, -31.9],
        [141.62, -31.88],
        [141.6, -31.88],
      ],
    },
  ],
  landmarks: [
    {
      name: 'Long Ridge',
      line: [
        [141.3, -32],
        [141.3, -31.8],
      ],
    },
    { name: 'Windmill', position: [141.5, -31.85] },
  ],
  teams: [{ name: 'Team 2', kind: 'vehicle', position: [141.55, -31.95], speed_mps: 15 }],
});

const T0 = Date.parse('2026-03-14T06:00:00Z') / 1000;
const iso = (s: number): string => new Date((T0 + s) * 1000).toISOString().replace('.000Z', 'Z');
const now = T0 + 3600;

function report(seq: number, change: Partial<WindReport> = {}): WindReport {
  return {
    seq,
    at: iso(seq * 10),
    kind: 'wind-report',
    id: `w${seq}`,
    source: 'crew',
    observedAt: iso(seq * 10),
    agl_m: 2,
    from_deg: 90,
    speed_mps: 3.6,
    ...change,
  };
}
const correction = (seq: number, corrects: string, change: Partial<WindReport> = {}): Correction => ({
  ...report(seq, { by: 'Lead', from_deg: 270, ...change }),
  kind: 'correction',
  corrects,
});
const outcomes = (log: readonly LogEvent[], at_s = now): string[] =>
  missionAt(plan, log, at_s).reports.map((one) => one.outcome.kind);

describe('what becomes of a report', () => {
  const bad: readonly [string, Partial<WindReport>, string, RegExp][] = [
    [
      'from the future',
      { observedAt: iso(3600) },
      'in the future',
      /observed at 07:00:00Z, 1\u202fh after it was logged/,
    ],
    ['3 days old', { observedAt: iso(-3 * 86_400) }, 'too old', /3 days old; a report counts for 24\u202fh/],
    [
      'from 400 km away',
      { position: [141.5 + 400 / 94.6, -31.9] },
      'too far',
      /^(39\d|40\d)\u202fkm away; a report counts up to 375\u202fkm/,
    ],
    ['at 90 km height', { height_m: 90_000 }, 'outside heights', /a wind at 90\u202fkm/],
    ['below the ground of any place', { height_m: -4000 }, 'outside heights', /−4\u202fkm/],
    ['of 200 m/s', { speed_mps: 200 }, 'no wind', /200.0\u202fm\/s does not occur/],
    ['of a negative speed', { speed_mps: -1 }, 'no wind', /−1.0\u202fm\/s/],
    ['of direction 999', { from_deg: 999 }, 'no wind', /999°; expected 0 to 360/],
    ['of a speed that is not a number', { speed_mps: NaN }, 'no wind', /a speed that is not a number/],
    ['with a gust below the mean', { gust_mps: 1 }, 'no wind', /gust/],
    [
      'of a balloon without height',
      { source: 'pilot-balloon', agl_m: undefined },
      'no height',
      /pilot balloon report without a height/,
    ],
    ['at an unreadable time', { observedAt: 'yesterday' }, 'in the future', /no time that can be read/],
  ];
  it.each(bad)('%s: it does not count, the others do', (_, change, kind, sentence) => {
    const { reports, counting } = missionAt(plan, [report(1), report(2, change), report(3, { from_deg: 100 })], now);
    expect(reports[1]?.outcome.kind).toBe(kind);
    expect(reports[1]?.outcome).toMatchObject({ sentence: expect.stringMatching(sentence) as unknown });
    expect(counting.map((one) => one.id)).toEqual(['w1', 'w3']);
  });

  it('twice the same counts once, under another id or the same, and shares its fate', () => {
    const same = { observedAt: iso(0) };
    const log = [report(1, same), report(2, same), report(3, { ...same, id: 'w1' })];
    expect(outcomes(log)).toEqual(['counts', 'repeat', 'repeat']);
    const after: LogEvent[] = [
      ...log,
      { seq: 4, at: iso(50), kind: 'withdrawal', of: 'w1', by: 'Lead', reason: 'misheard' },
    ];
    expect(outcomes(after)).toEqual(['withdrawn', 'repeat', 'repeat']);
    expect(missionAt(plan, after, now).counting).toEqual([]);
    expect(missionAt(plan, after, now).reports[0]?.outcome).toMatchObject({
      sentence: 'withdrawn by Lead at 06:00:50Z: misheard',
    });
  });

  it('the same id with another wind does not count, and says how to change a report', () => {
    const { reports, remarks } = missionAt(plan, [report(1), report(2, { id: 'w1', from_deg: 100 })], now);
    expect(reports.map((one) => one.outcome.kind)).toEqual(['counts', 'id taken']);
    expect(remarks[0]).toMatchObject({ seq: 2, text: expect.stringContaining('must come as a correction') as unknown });
  });

  it('a correction strikes what it corrects and stands in its place, with who and when', () => {
    const { reports, counting } = missionAt(plan, [report(1), correction(2, 'w1')], now);
    expect(reports[0]?.outcome).toEqual({
      kind: 'struck',
      by: 'Lead',
      at_s: T0 + 20,
      correction: 'w2',
      sentence: 'corrected by Lead at 06:00:20Z: "w2" stands in its place',
    });
    expect(counting.map((one) => one.event.from_deg)).toEqual([270]);
  });

  it('of two corrections of one report, and of a correction of a correction, the last stands', () => {
    expect(outcomes([report(1), correction(2, 'w1'), correction(3, 'w1', { from_deg: 200 })])).toEqual([
      'struck',
      'struck',
      'counts',
    ]);
    expect(outcomes([report(1), correction(2, 'w1'), correction(3, 'w2', { from_deg: 200 })])).toEqual([
      'struck',
      'struck',
      'counts',
    ]);
    expect(
      outcomes([report(1), correction(2, 'w1', { id: 'w1' }), correction(3, 'w1', { id: 'w1', from_deg: 200 })]),
    ).toEqual(['struck', 'struck', 'counts']);
  });

  it('a correction of an unknown id counts as a report of its own, and says so', () => {
    const { counting, remarks } = missionAt(plan, [report(1), correction(2, 'w99')], now);
    expect(counting.map((one) => one.id)).toEqual(['w1', 'w2']);
    expect(remarks).toEqual([
      { seq: 2, text: 'corrects "w99", which the log does not have: "w2" counts as a report of its own' },
    ]);
  });

  it('a correction that is itself impossible leaves nothing that counts: the first was said to be wrong', () => {
    expect(outcomes([report(1), correction(2, 'w1', { speed_mps: 200 })])).toEqual(['struck', 'no wind']);
  });

  it('a withdrawn report stays withdrawn when confirmed; a correction of it counts', () => {
    const withdrawal: LogEvent = { seq: 2, at: iso(20), kind: 'withdrawal', of: 'w1' };
    const confirmation: LogEvent = { seq: 3, at: iso(30), kind: 'confirmation', of: 'w1', by: 'Lead' };
    const state = missionAt(plan, [report(1), withdrawal, confirmation], now);
    expect(state.reports[0]?.outcome.kind).toBe('withdrawn');
    expect(state.remarks[0]?.text).toContain('stays withdrawn');
    expect(outcomes([report(1), withdrawal, correction(3, 'w1')])).toEqual(['withdrawn', 'counts']);
  });

  it('a confirmation is kept with who and when; of an unknown id it changes nothing and is said', () => {
    const log: LogEvent[] = [
      report(1),
      { seq: 2, at: iso(20), kind: 'confirmation', of: 'w1', by: 'Lead' },
      { seq: 3, at: iso(30), kind: 'confirmation', of: 'w8' },
    ];
    const state = missionAt(plan, log, now);
    expect(state.byId.get('w1')?.confirmed).toEqual({ by: 'Lead', at_s: T0 + 20, seq: 2 });
    expect(state.remarks).toEqual([{ seq: 3, text: 'confirms "w8", which the log does not have: nothing changed' }]);
    expect(missionAt(plan, [{ seq: 1, at: iso(0), kind: 'withdrawal', of: 'w5' }], now).remarks).toHaveLength(1);
  });

  it('is placed as reported, else by the place it names, the team’s last fix, the team’s place in the plan, the site', () => {
    const fix = (seq: number, lon: number): LogEvent => ({
      seq,
      at: iso(seq * 10),
      kind: 'fix',
      body: 'Team 2',
      position: [lon, -31.9],
    });
    const log = [
      report(1, { by: 'Team 2' }),
      fix(2, 141.7),
      report(3, { by: 'Team 2' }),
      fix(4, 141.8),
      report(5, { by: 'Team 2', observedAt: iso(25) }),
      report(6, { position: [141.1, -31.5] }),
      report(7, { by: 'Team 2', place: 'Windmill' }),
      report(8),
    ];
    const placed = missionAt(plan, log, now).reports.map((one) => [one.placedBy, one.position[0]]);
    expect(placed).toEqual([
      ["Team 2's place in the plan", 141.55],
      ["Team 2's last fix", 141.7],
      ["Team 2's last fix", 141.7],
      ['as reported', 141.1],
      ['Windmill', 141.5],
      ['the site', 141.5],
    ]);
  });
});

describe('the mission at a moment', () => {
  const log: LogEvent[] = [
    { seq: 0, at: iso(0), kind: 'mark', mark: 'launch', position: site },
    report(1),
    { seq: 2, at: iso(20), kind: 'fix', body: 'gondola', position: site, height_m: 500 },
    { seq: 3, at: iso(30), kind: 'fix', body: 'gondola', position: site, height_m: 300, observedAt: iso(5) },
    { seq: 4, at: iso(40), kind: 'decision', text: 'hold', by: 'Lead' },
    { seq: 5, at: iso(50), kind: 'call', text: 'standby', to: 'Team 2' },
    { seq: 6, at: iso(60), kind: 'check', item: 'oxygen', by: 'Lead' },
    correction(7, 'w1'),
    { seq: 8, at: iso(80), kind: 'mark', mark: 'exit' },
    { seq: 9, at: iso(90), kind: 'advice', text: 'go' },
    { seq: 10, at: iso(100), kind: 'fix', body: 'gondola', position: site, observedAt: iso(9000) },
  ];

  it('holds what had happened by then and nothing later', () => {
    const early = missionAt(plan, log, T0 + 45);
    expect(early.lastSeq).toBe(4);
    expect(early.reports.map((one) => one.outcome.kind)).toEqual(['counts']);
    expect(early.decision?.text).toBe('hold');
    expect([...early.marks.keys()]).toEqual(['launch']);
    const late = missionAt(plan, log, now);
    expect(late.reports.map((one) => one.outcome.kind)).toEqual(['struck', 'counts']);
    expect([...late.marks.keys()]).toEqual(['launch', 'exit']);
    expect(late.calls).toHaveLength(1);
    expect(late.checks.get('oxygen')?.by).toBe('Lead');
    expect(late.advice?.text).toBe('go');
    expect(late.fixes.get('gondola')?.map((fix) => fix.height_m)).toEqual([300, 500]);
    expect(late.remarks).toEqual([
      { seq: 10, text: 'a fix of gondola from the future (08:30:00Z): it does not count' },
    ]);
  });

  it('is the same however the lines are ordered, and nothing for a time before the first', () => {
    fc.assert(
      fc.property(fc.shuffledSubarray(log, { minLength: log.length }), (shuffled) => {
        expect(missionAt(plan, shuffled, now)).toEqual(missionAt(plan, log, now));
      }),
      { numRuns: 50 },
    );
    expect(missionAt(plan, log, T0 - 1).lastSeq).toBe(-1);
    expect(missionAt(plan, log, NaN).reports).toEqual([]);
  });

  it('of events that were folded before, at another moment and with another plan, is that of the same events read again', () => {
    const reports = [
      ...log,
      report(11, { by: 'Team 2' }),
      report(12, { place: 'Windmill' }),
      report(13, { speed_mps: -1 }),
      report(14),
    ];
    missionAt(plan, reports, T0 + 45);
    missionAt(plan, reports, now);
    const moved = { ...plan, site: { ...plan.site, position: [140, -30] as const }, landmarks: [], teams: [] };
    for (const of of [moved, plan])
      expect(missionAt(of, reports, now)).toEqual(missionAt(of, structuredClone(reports), now));
  });

  it('never throws and keeps every report, whatever refers to whatever', () => {
    const id = fc.constantFrom('a', 'b', 'c');
    const event = fc.oneof(
      fc.record({ id, from_deg: fc.integer({ min: 0, max: 3 }) }).map((one): LogEvent => report(0, one)),
      fc
        .record({ id, corrects: id, from_deg: fc.integer({ min: 0, max: 3 }) })
        .map(({ corrects, ...one }): LogEvent => correction(0, corrects, one)),
      id.map((of): LogEvent => ({ kind: 'withdrawal', of, seq: 0, at: iso(0) })),
      id.map((of): LogEvent => ({ kind: 'confirmation', of, seq: 0, at: iso(0) })),
    );
    fc.assert(
      fc.property(fc.array(event, { maxLength: 30 }), (events) => {
        const numbered = events.map((one, seq): LogEvent => ({ ...one, seq, at: iso(seq), observedAt: iso(0) }));
        const state = missionAt(plan, numbered, now);
        const count = numbered.filter((one) => one.kind === 'wind-report' || one.kind === 'correction').length;
        expect(state.reports).toHaveLength(count);
        // A correction and what it corrects never count together.
        const counting = new Set(state.counting.map((one) => one.seq));
        for (const one of state.reports) if (one.outcome.kind === 'struck') expect(counting.has(one.seq)).toBe(false);
      }),
      { numRuns: 500 },
    );
  });
});

describe('a log that is folded as it grows', () => {
  const id = fc.constantFrom('a', 'b', 'c');
  const body = fc.constantFrom('jumper', 'gondola');
  const event = fc.oneof(
    id.map((name): LogEvent => report(0, { id: name })),
    fc.tuple(id, id).map(([corrects, name]): LogEvent => correction(0, corrects, { id: name })),
    id.map((of): LogEvent => ({ kind: 'withdrawal', of, seq: 0, at: '' })),
    id.map((of): LogEvent => ({ kind: 'confirmation', of, seq: 0, at: '' })),
    fc.tuple(body, fc.integer({ min: -300, max: 300 })).map(
      // Some come late, some from the future.
      ([name, late_s]): LogEvent => ({
        kind: 'fix',
        body: name,
        position: site,
        observedAt: iso(late_s),
        seq: 0,
        at: '',
      }),
    ),
    fc.constantFrom('exit', 'opening').map((mark): LogEvent => ({ kind: 'mark', mark, seq: 0, at: '' })),
    id.map((item): LogEvent => ({ kind: 'check', item, seq: 0, at: '' })),
    id.map((text): LogEvent => ({ kind: 'note', text, seq: 0, at: '' })),
    id.map((text): LogEvent => ({ kind: 'decision', text, seq: 0, at: '' })),
  );
  const annulment = fc.nat(20).map((of): LogEvent => ({ kind: 'annulment', of, seq: 0, at: '' }));
  const step = fc.record({
    events: fc.array(fc.oneof({ weight: 30, arbitrary: event }, { weight: 1, arbitrary: annulment }), { maxLength: 6 }),
    /** Of the events' own time; of the moment, behind it or before it. */
    passed_s: fc.integer({ min: -5, max: 60 }),
    ahead_s: fc.constantFrom(0, 0, 0, 5, -40),
    forgets: fc.nat(7).map((k) => k === 0),
    otherPlan: fc.nat(7).map((k) => k === 0),
  });
  const otherPlan = { ...plan, teams: [] };

  it('is what the whole log is at each moment, and what was said before stays as it was', () => {
    let shared = 0;
    fc.assert(
      fc.property(fc.array(step, { maxLength: 12 }), (steps) => {
        const folding = new Folding();
        let log: LogEvent[] = [];
        let time_s = 0;
        const said: { readonly state: MissionState; readonly whole: MissionState }[] = [];
        for (const { events, passed_s, ahead_s, forgets, otherPlan: other } of steps) {
          time_s += passed_s;
          const from = (log.at(-1)?.seq ?? 0) + 1;
          if (forgets) log = log.slice(0, -1);
          log = [...log, ...events.map((one, k): LogEvent => ({ ...one, seq: from + k, at: iso(time_s + k) }))];
          // Plans come to a worker as copies.
          const of = structuredClone(other ? otherPlan : plan);
          const state = folding.at(of, log, T0 + time_s + events.length + ahead_s);
          const whole = missionAt(of, log, T0 + time_s + events.length + ahead_s);
          expect(state).toEqual(whole);
          const fixes = said.at(-1)?.state.fixes.get('jumper');
          if (fixes !== undefined && state.fixes.get('jumper') === fixes) shared += 1;
          said.push({ state, whole });
        }
        for (const one of said) expect(one.state).toEqual(one.whole);
      }),
      { numRuns: 400 },
    );
    // Else no moment was folded into the one before.
    expect(shared).toBeGreaterThan(20);
  });
});

describe('places', () => {
  it('knows site, zones, landmarks; the nearest point of a ridge', () => {
    const places = placesOf(plan);
    expect(places.map((one) => one.name)).toEqual(['Home', 'Salt Flat', 'Long Ridge', 'Windmill']);
    const ridge = toPlace(site, places[2] ?? { name: '', kind: 'site', points: [] });
    // Due west but for half of what the meridians converge by over these 0.2° of longitude: Δλ sin φ.
    expect(Math.abs(ridge.bearing_deg - 270)).toBeCloseTo(0.2 * Math.sin((31.9 * Math.PI) / 180), 3);
    expect(ridge.distance_m).toBeGreaterThan(18_000);
    expect(ridge.distance_m).toBeLessThan(19_500);
  });
});

describe('a mark from the future', () => {
  it('does not count, and is said: two clocks may differ by two minutes', () => {
    const mark = (seq: number, ahead_s: number): LogEvent => ({
      seq,
      at: iso(seq),
      kind: 'mark',
      mark: 'exit',
      observedAt: iso(seq + ahead_s),
    });
    expect(missionAt(plan, [mark(1, 120)], now).marks.get('exit')?.seq).toBe(1);
    const { marks, remarks } = missionAt(plan, [mark(1, 86_400)], now);
    expect(marks.size).toBe(0);
    expect(remarks.map(({ text }) => text)).toEqual([expect.stringMatching(/^a mark from the future \(/)]);
  });
});

describe('an annulment', () => {
  const at = (minute: number): string => `2026-03-14T06:${String(minute).padStart(2, '0')}:00Z`;
  const noteOf = (seq: number): LogEvent => ({ seq, at: at(seq), kind: 'note', text: `note ${seq}` });
  const annuls = (seq: number, of: number): LogEvent => ({ seq, at: at(seq), kind: 'annulment', of, reason: 'error' });
  const notes = (log: readonly LogEvent[], at_s: number): number[] =>
    missionAt(plan, log, at_s).notes.map(({ seq }) => seq);
  const end = Date.parse(at(59)) / 1000;

  it('takes an event of any kind out, from its own time on', () => {
    const log = [noteOf(1), noteOf(2), annuls(3, 1)];
    expect(notes(log, end)).toEqual([2]);
    expect(notes(log, Date.parse(at(2)) / 1000)).toEqual([1, 2]);
  });

  it('that is annulled itself takes out nothing, and none reaches forward', () => {
    expect(notes([noteOf(1), annuls(2, 1), annuls(3, 2)], end)).toEqual([1]);
    expect(notes([annuls(1, 2), noteOf(2)], end)).toEqual([2]);
  });

  it('cures an event that was logged under a clock a day ahead: the moment is again that of the others', () => {
    const ahead: LogEvent = { seq: 2, at: '2026-03-15T06:02:00Z', kind: 'note', text: 'clock a day ahead' };
    const log = [noteOf(1), ahead, annuls(3, 2)];
    expect(defaultMoment_s(plan, [noteOf(1), ahead])).toBe(Date.parse(ahead.at) / 1000);
    expect(defaultMoment_s(plan, log)).toBe(Date.parse(at(3)) / 1000);
  });
});
