// A debrief beside a descent whose truth is known (tests/live/simulated.ts): what it says is counted here from the
// truth and the log, by ways of our own: distances by turf on a sphere, shares by counting drawn landings.
import { distance as sphere } from '@turf/turf';
import { describe, expect, it } from 'vitest';
import { toEnd } from '../../core/base/steps.ts';
import type { LonLat } from '../../core/base/units.ts';
import { debriefInSteps, shareWithin, type Debrief } from '../../core/debrief/debrief.ts';
import { logTable } from '../../core/debrief/logTable.ts';
import { debriefHtml, debriefText } from '../../core/debrief/pages.ts';
import { readCsv } from './csv.ts';
import { Ensemble } from '../../core/descent/ensemble.ts';
import { ellipseOf } from '../../core/descent/statistics.ts';
import { localFrame } from '../../core/earth/geodesic.ts';
import type { LogEvent } from '../../core/log/events.ts';
import { expectedOf } from '../../core/mission/expected.ts';
import { situationAt } from '../../core/mission/situation.ts';
import { demo } from '../demo.ts';
import { generator, truthOf, type Truth } from '../live/simulated.ts';

const iso = (time_s: number): string => new Date(Math.round(time_s * 1000)).toISOString();
const OPTIONS = { members: 300, seed: 3 };

/** The demo's log until the exit, then what a desk would have written of the true descent. */
function flownLog(log: readonly LogEvent[], truth: Truth, crew: string): LogEvent[] {
  const before = log.filter((event) => Date.parse(event.at) / 1000 < truth.exit_s);
  const seq = Math.max(0, ...before.map((event) => event.seq));
  const fix = (after_s: number, more: number): LogEvent => {
    const time_s = truth.exit_s + after_s;
    const [at, position] = [iso(time_s), truth.placeAt(time_s)];
    return {
      seq: seq + more,
      at,
      kind: 'fix',
      body: 'jumper',
      position,
      height_m: truth.heightAt(time_s),
      observedAt: at,
    };
  };
  const mark = (name: string, time_s: number, more: number): LogEvent => ({
    seq: seq + more,
    at: iso(time_s),
    kind: 'mark',
    mark: name,
    position: truth.placeAt(time_s),
    observedAt: iso(time_s),
  });
  const down_s = truth.touchdown_s;
  return [
    ...before,
    { seq: seq + 1, at: iso(truth.exit_s - 30), kind: 'decision', text: 'go', by: 'lead' },
    mark('exit', truth.exit_s, 2),
    fix(120, 3),
    {
      seq: seq + 4,
      at: iso(truth.exit_s + 150),
      kind: 'call',
      text: 'Landing north of the marker',
      by: 'lead',
      to: 'all',
    },
    fix(240, 5),
    mark('opening', truth.opening_s, 6),
    fix(truth.opening_s - truth.exit_s + 60, 7),
    mark('touchdown', down_s, 8),
    {
      seq: seq + 9,
      at: iso(down_s + 200),
      kind: 'fix',
      body: crew,
      position: localFrame(truth.landing).toLonLat(300, 0),
    },
    {
      seq: seq + 10,
      at: iso(down_s + 420),
      kind: 'fix',
      body: crew,
      position: localFrame(truth.landing).toLonLat(20, 10),
    },
  ];
}

async function made(seed: number) {
  const { situation, loaded } = await demo('salt-plain');
  const truth = truthOf(situation, seed);
  const crew = loaded.mission.teams?.[0]?.name ?? '';
  const log = flownLog(loaded.log, truth, crew);
  const { mission, world } = loaded;
  const debrief = toEnd(debriefInSteps({ mission, log, world, roads: [] }, OPTIONS));
  if (debrief === null) throw new Error('the touchdown is in the log');
  return { debrief, truth, crew, log, mission, world };
}

const metres = (a: LonLat, b: LonLat): number => sphere([...a], [...b], { units: 'meters' });

describe('a debrief', () => {
  it('sets each expected landing beside the true one, first the forecast alone, and comes nearer to it', async () => {
    const { debrief, truth, log, mission, world } = await made(5);
    expect(debrief.touchdown.time_s).toBeCloseTo(truth.touchdown_s, 2);
    expect(debrief.moments.length).toBeGreaterThan(3);
    expect(debrief.moments[0]).toMatchObject({ because: 'the forecast alone', from: 'plan' });
    for (const { at_s, landing, miss_m, late_s, from } of debrief.moments) {
      // The mission looked at in that moment says the same landing.
      const then = expectedOf(situationAt(mission, log, world, at_s));
      expect(then.from).toBe(from);
      expect(metres(then.outlook.prediction.landing?.position ?? [0, 0], landing)).toBeLessThan(0.01);
      // A sphere is off by at most 0.6 %.
      const far = metres(landing, truth.landing);
      expect(Math.abs(miss_m - far)).toBeLessThan(0.006 * far + 0.5);
      const expected_s = then.outlook.scenario.exit.time_s + (then.outlook.prediction.landing?.time_s ?? NaN);
      expect(late_s).toBeCloseTo(truth.touchdown_s - expected_s, 2);
    }
    const last = debrief.moments.at(-1);
    expect(last?.from).toBe('fix');
    // From a minute under canopy little is left that could carry the jumper off.
    expect(last?.miss_m).toBeLessThan(0.5 * (debrief.moments[0]?.miss_m ?? 0));
  });

  it('counts nothing after the touchdown as a moment, and no event that was annulled', async () => {
    const { log, mission, world } = await made(5);
    const moved = log.find((event) => event.kind === 'wind-report');
    if (moved === undefined) throw new Error('the demo has reports');
    const seq = (log.at(-1)?.seq ?? 0) + 1;
    const gone: LogEvent = { seq, at: log.at(-1)?.at ?? '', kind: 'annulment', of: moved.seq };
    const debrief = toEnd(debriefInSteps({ mission, log: [...log, gone], world, roads: [] }, OPTIONS));
    expect(debrief?.moments.map(({ at_s }) => at_s)).not.toContain(Date.parse(moved.at) / 1000);
    for (const { at_s } of debrief?.moments ?? []) expect(at_s).toBeLessThan(debrief?.touchdown.time_s ?? 0);
    expect(debrief?.winds.map(({ id }) => id)).not.toContain(moved.id);
  });

  it('says when a crew was at the person, and what a call came after', async () => {
    const { debrief, crew, truth } = await made(5);
    const there = debrief.crews.find((one) => one.crew === crew);
    expect(there?.there_s).toBeCloseTo(truth.touchdown_s + 420, 2);
    expect(there?.after_s).toBeCloseTo(420, 2);
    expect(there?.nearest_m).toBeCloseTo(Math.hypot(20, 10), 0);
    expect(debrief.crews.filter((one) => one.crew !== crew).every((one) => one.there_s === null)).toBe(true);
    // 150 s after the exit, on the fix of 120 s.
    expect(debrief.called.at(-1)).toMatchObject({ text: 'Landing north of the marker', to: 'all' });
    expect(debrief.called.at(-1)?.after_s).toBeCloseTo(30, 2);
  });

  it('says today’s word of the decision and of the last second before the exit', async () => {
    const { debrief, truth } = await made(5);
    expect(debrief.advised.map(({ at_s }) => Math.round(at_s - truth.exit_s))).toEqual([-30, -1]);
    for (const { word } of debrief.advised) expect(['GO', 'HOLD', 'NO-GO']).toContain(word);
  });

  it('has of a report that was put right both, and how long the wrong one stood', async () => {
    const { log, mission, world, truth } = await made(5);
    const wrong = log.find((event) => event.kind === 'wind-report' && event.speed_mps > 2);
    if (wrong?.kind !== 'wind-report') throw new Error('the demo has reports');
    const { kind: _, ...said } = wrong;
    const at = iso(Date.parse(wrong.at) / 1000 + 95);
    const right = {
      ...said,
      seq: 1000,
      at,
      kind: 'correction',
      corrects: wrong.id,
      id: 'w-right',
      from_deg: 10,
    } as const;
    const debrief = toEnd(debriefInSteps({ mission, log: [...log, right], world, roads: [] }, OPTIONS));
    expect(debrief?.corrected).toHaveLength(1);
    expect(debrief?.corrected[0]).toMatchObject({ id: wrong.id, stood_s: 95 });
    expect(debrief?.corrected[0]?.instead).toContain('010°');
    const told = debrief?.winds.find(({ id }) => id === wrong.id);
    expect(told?.without).toContain('w-right');
    expect(told?.told).toEqual({ from_deg: wrong.from_deg, speed_mps: wrong.speed_mps });
    expect(truth.touchdown_s).toBeGreaterThan(truth.exit_s);
  });

  it('gives none before the touchdown is in the log', async () => {
    const { loaded } = await demo('salt-plain');
    const { mission, log, world } = loaded;
    expect(toEnd(debriefInSteps({ mission, log, world, roads: [] }, OPTIONS))).toBeNull();
  });

  it('is calibrated where the truth is drawn from what was assumed: half of the touchdowns lie within the half', async () => {
    // 40 truths of the plan's own errors, from the forecast alone: the share is uniform, its mean 1/2 ± 0.046.
    const { situation, loaded } = await demo('salt-plain');
    const { mission, world } = loaded;
    const { outlook, spread } = expectedOf(situationAt(mission, [], world, situation.at_s));
    const within: number[] = [];
    const drawn = new Ensemble({ scenario: outlook.scenario, error: outlook.error, spread, seed: 91 }).run(0, 40);
    for (let i = 0; i < 40; i++) {
      const place: LonLat = [drawn.lon_deg[i] ?? NaN, drawn.lat_deg[i] ?? NaN];
      const log: LogEvent[] = [
        { seq: 0, at: iso(outlook.scenario.exit.time_s - 3600), kind: 'note', text: 'Winds desk open.' },
        {
          seq: 1,
          at: iso(outlook.scenario.exit.time_s + (drawn.time_s[i] ?? NaN)),
          kind: 'mark',
          mark: 'touchdown',
          position: place,
        },
      ];
      const found: Debrief | null = toEnd(debriefInSteps({ mission, log, world, roads: [] }, OPTIONS));
      within.push(found?.moments[0]?.within ?? NaN);
    }
    const mean = within.reduce((sum, share) => sum + share, 0) / within.length;
    // Three standard errors of a uniform share's mean.
    expect(Math.abs(mean - 0.5)).toBeLessThan(3 * Math.sqrt(1 / 12 / 40));
  });
});

describe('how far out among the drawn landings a touchdown lay', () => {
  it('is counted: of a canopy that is steered the cloud is far from normal', async () => {
    const { loaded } = await demo('town-meadow');
    const { mission, world, log } = loaded;
    const at_s = Math.min(...log.map((event) => Date.parse(event.at) / 1000)) - 1;
    const { outlook, spread } = expectedOf(situationAt(mission, log, world, at_s));
    const setup = { scenario: outlook.scenario, error: outlook.error, spread, seed: OPTIONS.seed };
    const drawn = new Ensemble(setup).run(0, OPTIONS.members);
    const frame = localFrame([drawn.lon_deg[0] ?? NaN, drawn.lat_deg[0] ?? NaN]);
    const places = Array.from(drawn.lon_deg, (lon, i) => frame.toLocal([lon, drawn.lat_deg[i] ?? NaN]));
    const mean = [0, 1].map((k) => places.reduce((sum, one) => sum + (one[k] ?? NaN), 0) / places.length);
    const away = places.map(([x, y]) => [x - (mean[0] ?? NaN), y - (mean[1] ?? NaN)] as const);
    const sum = (of: (one: readonly [number, number]) => number): number => away.reduce((all, one) => all + of(one), 0);
    const [xx, xy, yy] = [sum(([x]) => x * x), sum(([x, y]) => x * y), sum(([, y]) => y * y)];
    // Mahalanobis' distance squared, by the inverse of the covariance.
    const far = ([x, y]: readonly [number, number]): number =>
      (yy * x * x - 2 * xy * x * y + xx * y * y) / (xx * yy - xy * xy);
    const distances = away.map(far);
    const ranked = distances.toSorted((a, b) => a - b);
    // A touchdown at a drawn landing of each tenth: so many were drawn as near.
    for (const tenth of [1, 3, 5, 7, 9]) {
      const k = distances.indexOf(ranked[(tenth * ranked.length) / 10 - 1] ?? NaN);
      const position: LonLat = [drawn.lon_deg[k] ?? NaN, drawn.lat_deg[k] ?? NaN];
      const seq = (log.at(-1)?.seq ?? 0) + 1;
      const down: LogEvent = { seq, at: '2027-05-29T13:36:00Z', kind: 'mark', mark: 'touchdown', position };
      const debrief = toEnd(debriefInSteps({ mission, log: [...log, down], world, roads: [] }, OPTIONS));
      expect(debrief?.moments[0]?.within).toBeCloseTo(tenth / 10, 1);
    }
  });
});

describe('the share within', () => {
  it('is 50 on the ellipse of 50, 90 on that of 90, and counts what a normal sample holds', () => {
    const [ee, en, nn] = [900, 500, 1600];
    const [half, most] = [ellipseOf(ee, en, nn, 0.5), ellipseOf(ee, en, nn, 0.9)];
    const mean: LonLat = [10, 45];
    const frame = localFrame(mean);
    const on = (one: typeof half): LonLat => {
      const bearing = (one.bearing_deg * Math.PI) / 180;
      return frame.toLonLat(one.semiMajor_m * Math.sin(bearing), one.semiMajor_m * Math.cos(bearing));
    };
    expect(shareWithin(mean, half, mean)).toBe(0);
    expect(shareWithin(mean, half, on(half))).toBeCloseTo(0.5, 4);
    expect(shareWithin(mean, half, on(most))).toBeCloseTo(0.9, 4);
    // Of 4000 normal draws with that covariance as many lie within a place's share as it says.
    const { normal } = generator(4);
    const draws = Array.from({ length: 4000 }, (): LonLat => {
      const [a, b] = [normal(), normal()];
      const east = 30 * a;
      return frame.toLonLat(east, (en / 30) * a + Math.sqrt(nn - (en / 30) ** 2) * b);
    });
    const shares = draws.map((place) => shareWithin(mean, half, place));
    for (const share of [0.2, 0.5, 0.9])
      expect(Math.abs(shares.filter((one) => one <= share).length / 4000 - share)).toBeLessThan(0.025);
  });
});

describe('its pages', () => {
  it('say the same in text and on the page, which holds nothing that runs or is fetched', async () => {
    const { debrief } = await made(5);
    const hostile: Debrief = { ...debrief, mission: '<script>alert(1)</script>' };
    const page = debriefHtml(hostile);
    expect(page).not.toContain('<script');
    expect(page).not.toMatch(/https?:|url\(|<link|<img/);
    const text = debriefText(debrief);
    for (const title of ['Expected against actual', 'Winds: told, forecast, used', 'Calls', 'Corrections', 'Crews'])
      expect(text).toContain(title);
    const plain = page.replace(/<[^>]*>/g, ' ').replaceAll('&#39;', "'");
    for (const { because } of debrief.moments) expect(text).toContain(because);
    for (const { text: said } of debrief.called) expect(plain).toContain(said);
  });

  it('the log’s table holds every event, with what it says', async () => {
    const { log } = await made(5);
    const rows = readCsv(logTable(log));
    expect(rows).toHaveLength(log.length);
    rows.forEach((row, i) => {
      expect(row.get('seq')).toBe(String(log[i]?.seq));
      expect(row.get('at')).toBe(log[i]?.at);
    });
    const wind = log.find((event) => event.kind === 'wind-report');
    const row = rows.find((one) => one.get('kind') === 'wind-report');
    expect(Number(row?.get('from_deg'))).toBe(wind?.kind === 'wind-report' ? wind.from_deg : NaN);
    expect(Number(row?.get('speed_mps'))).toBe(wind?.kind === 'wind-report' ? wind.speed_mps : NaN);
  });
});
