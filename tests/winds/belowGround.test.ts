// A wind whose height lies below the ground is no wind: it is asked about and never counts, also when it comes from a
// log that was written before anybody asked. 3000 ft are 914.4 m exactly (NIST SP 811), under a site at 951 m.
import { describe, expect, it } from 'vitest';
import type { LogEvent, WindReport } from '../../core/log/events.ts';
import { missionAt } from '../../core/log/fold.ts';
import { hear } from '../../core/formats/messages/hear.ts';
import { assemble } from '../../core/mission/load.ts';
import { windsAt } from '../../core/mission/situation.ts';
import { mission as missionSchema } from '../../core/plan/schema.ts';
import type { WindsNow } from '../../core/winds/now.ts';

const T0 = Date.parse('2027-04-14T07:00:00Z') / 1000;
const iso = (s: number): string => new Date((T0 + s) * 1000).toISOString();
const position = [22.41, -30.09] as const;
const plan = missionSchema.parse({
  format: 'plumbline/mission',
  version: 1,
  name: 'high ground',
  site: { name: 'Saltbell Pan', position, elevation_m: 951 },
  exit: { position, altitude_m: 12_000, time: iso(1800) },
  jumper: { mass_kg: 100, stages: [{ name: 'freefall', dragArea_m2: 0.8 }] },
  winds: {
    forecast: [{ source: 'model', validTime: iso(0), levels: [{ height_m: 951, from_deg: 240, speed_mps: 4 }] }],
  },
});
const { world } = assemble(plan, { windSources: [], terrain: null });
const report = (seq: number, change: Partial<WindReport>): WindReport => ({
  seq,
  at: iso(-600 + seq),
  kind: 'wind-report',
  id: `w${seq}`,
  source: 'aircraft',
  by: 'Kite',
  observedAt: iso(-600),
  from_deg: 240,
  speed_mps: 5,
  ...change,
});
const now = (log: readonly LogEvent[]): WindsNow => windsAt(plan, missionAt(plan, log, T0), world);
const feet = (ft: number): Partial<WindReport> => ({ height_m: ft * 0.3048 });

describe('a wind from below the ground', () => {
  it('in an old log is held with a sentence, asked about, and no surface wind', () => {
    const { held, used, questions, newestSurface, sentences } = now([report(1, feet(3000))]);
    expect([...used]).toEqual([]);
    expect(newestSurface).toBeNull();
    expect(held.map(({ kind, suggested }) => [kind, suggested])).toEqual([['below the ground', { agl_m: 914.4 }]]);
    expect(held[0]?.sentence).toMatch(/^Kite’s wind .* lies below the ground there \(951.m MSL\)/);
    expect(questions.map(({ ids, surface }) => [ids, surface])).toEqual([[['w1'], true]]);
    expect(sentences).toContain('One report is held back until confirmed or corrected.');
  });

  it('stays held when it is confirmed as it stands: there is no air at that height', () => {
    const confirmation: LogEvent = { seq: 2, at: iso(-500), kind: 'confirmation', of: 'w1' };
    const { held, used } = now([report(1, feet(3000)), confirmation]);
    expect([held.length, used.size]).toEqual([1, 0]);
  });

  it('counts once it is corrected to above the ground', () => {
    const right = report(2, { agl_m: 914.4 });
    const { held, used } = now([report(1, feet(3000)), { ...right, kind: 'correction', corrects: 'w1' }]);
    expect([held.length, [...used]]).toEqual([0, ['w2']]);
  });

  it('within the accuracy of two surveys is one from the ground', () => {
    const { held, used } = now([report(1, { height_m: 945, source: 'station' })]);
    expect([held.length, [...used]]).toEqual([0, ['w1']]);
  });

  it.each([{ agl_m: -300 }, { height_m: -40 }])('has nothing to propose at %j', (height) => {
    const { held } = now([report(1, height)]);
    expect(held.map(({ kind, suggested }) => [kind, suggested])).toEqual([['below the ground', null]]);
  });

  it('is asked about once for all levels of one observer', () => {
    const { held, questions } = now([1, 2, 3].map((i) => report(i, feet(1000 * i))));
    expect(held).toHaveLength(3);
    expect(questions.map(({ ids, sentence }) => [ids.length, sentence])).toEqual([
      [3, 'All 3 reports of Kite lie below the ground: R correct to heights above ground, X leave out.'],
    ]);
  });

  it('is not read from a flight level either', () => {
    const context = { now_s: T0, site: plan.site, places: [], teams: [], declination_deg: 0, nextId: 'w1' };
    expect(hear('240 true 5 kt at FL020', context)).toMatchObject({ kind: 'refused' });
    expect(hear('240 true 5 kt at FL050', context)).toMatchObject({ kind: 'wind' });
  });
});
