// The descent that a rehearsal hides, against second ways to the same numbers: without errors it is the prediction of
// the plan; drawn often it spreads as the ensemble does; a layer's wind is turned by what the scenario says. What is
// sent of it is read back by a general library.
import { parseNmeaSentence } from 'nmea-simple';
import { describe, expect, it } from 'vitest';
import { wrap180, type LonLat } from '../../core/base/units.ts';
import { Ensemble } from '../../core/descent/ensemble.ts';
import { statisticsOf } from '../../core/descent/statistics.ts';
import { inverse, localFrame } from '../../core/earth/geodesic.ts';
import { aprsLine, nmeaLines } from '../../core/formats/out/receiver.ts';
import { FixStream } from '../../core/formats/tracks/stream.ts';
import { expectedOf } from '../../core/mission/expected.ts';
import { rehearsalScenario, readRehearsal, type RehearsalScenario } from '../../core/rehearsal/scenario.ts';
import { Simulator } from '../../core/rehearsal/simulator.ts';
import { hiddenTruth, situationBefore, type HiddenTruth } from '../../core/rehearsal/truth.ts';
import { DEMOS, loadDemo } from '../demo.ts';
import { fc } from '../property.ts';

const scenarioWith = (more: object): RehearsalScenario =>
  rehearsalScenario.parse({ format: 'plumbline/rehearsal', version: 1, name: 'test', ...more });

function drawn(of: Parameters<typeof situationBefore>[0], scenario: RehearsalScenario, seed: number): HiddenTruth {
  const truth = hiddenTruth(situationBefore(of, scenario), scenario, seed);
  if (typeof truth === 'string') throw new Error(truth);
  return truth;
}

const NO_ERRORS = scenarioWith({ errors: 0, fixes: { noise_m: 0 } });

describe.each(DEMOS)('the hidden descent of %s', (name) => {
  it('is the predicted one where nothing is off, to a metre and a tenth of a second, whatever the seed', async () => {
    const loaded = await loadDemo(name);
    const { outlook } = expectedOf(situationBefore(loaded, NO_ERRORS));
    for (const seed of [1, 2]) {
      const truth = drawn(loaded, NO_ERRORS, seed);
      const { landing } = outlook.prediction;
      expect(inverse(truth.landing, landing?.position ?? [0, 0]).distance_m).toBeLessThan(1);
      expect(Math.abs(truth.touchdown_s - truth.plannedExit_s - (landing?.time_s ?? NaN))).toBeLessThan(0.1);
    }
  });

  it('opens at the share of the planned height that the scenario says', async () => {
    const loaded = await loadDemo(name);
    const late = scenarioWith({ errors: 0, opensAt: 0.6 });
    const [planned, truth] = [drawn(loaded, NO_ERRORS, 1), drawn(loaded, late, 1)];
    const { ground } = situationBefore(loaded, late).world;
    const { position, height_m } = truth.jumperAt(truth.opening_s ?? NaN);
    const agl_m = height_m - ground.heightAt((position[1] * Math.PI) / 180, (position[0] * Math.PI) / 180);
    expect(Math.abs(agl_m - 0.6 * (planned.opens_agl_m ?? NaN))).toBeLessThan(20);
    expect(truth.touchdown_s).toBeLessThan(planned.touchdown_s);
  });

  it('has in a layer the expected wind turned clockwise and made stronger, and beside it as it was', async () => {
    const loaded = await loadDemo(name);
    const turned = scenarioWith({
      errors: 0,
      winds: [{ from_agl_m: 600, to_agl_m: 2600, turned_deg: 40, times: 1.5 }],
    });
    const [planned, truth] = [drawn(loaded, NO_ERRORS, 1), drawn(loaded, turned, 1)];
    // Over the exit and when it is: there the layer is laid.
    const { position } = loaded.mission.exit;
    for (const agl_m of [1000, 1600, 2200]) {
      const [was, is] = [planned, truth].map((one) => one.windAt(position, agl_m, one.plannedExit_s));
      expect(wrap180((is?.from_deg ?? NaN) - (was?.from_deg ?? NaN))).toBeCloseTo(40, 0);
      expect((is?.speed_mps ?? NaN) / (was?.speed_mps ?? NaN)).toBeCloseTo(1.5, 1);
    }
    for (const agl_m of [100, 2800]) {
      const [was, is] = [planned, truth].map((one) => one.windAt(position, agl_m, one.plannedExit_s));
      expect(is?.speed_mps).toBeCloseTo(was?.speed_mps ?? NaN, 6);
    }
  });
});

it('spreads as the ensemble of the plan does: its mean and axes, of 200 draws', async () => {
  const loaded = await loadDemo('salt-plain');
  const scenario = scenarioWith({});
  const { outlook, spread } = expectedOf(situationBefore(loaded, scenario));
  const setup = { scenario: outlook.scenario, error: outlook.error, spread, seed: 9 };
  const members = statisticsOf(new Ensemble(setup).run(0, 2000), [], []);
  const frame = localFrame(members?.mean ?? [0, 0]);
  const n = 200;
  const places = Array.from({ length: n }, (_, seed) => frame.toLocal(drawn(loaded, scenario, seed).landing));
  const covariance = members?.covariance_m2;
  for (const [k, variance] of [
    [0, covariance?.[0][0] ?? NaN],
    [1, covariance?.[1][1] ?? NaN],
  ] as const) {
    const mean = places.reduce((sum, one) => sum + one[k] / n, 0);
    const own = places.reduce((sum, one) => sum + (one[k] - mean) ** 2 / (n - 1), 0);
    // Four standard errors: of a mean σ/√n, of a variance of a normal draw σ²·√(2/n).
    expect(Math.abs(mean)).toBeLessThan(4 * Math.sqrt(variance / n));
    expect(Math.abs(own / variance - 1)).toBeLessThan(4 * Math.sqrt(2 / n));
  }
});

describe('what is sent', () => {
  it('of the jumper is the hidden descent, with the gaps that the scenario has', async () => {
    const loaded = await loadDemo('town-meadow');
    const gap = { when: { from: 'opening', after_s: 30 }, for_s: 40 };
    const scenario = scenarioWith({ errors: 0, fixes: { noise_m: 0, gaps: [gap] } });
    const truth = drawn(loaded, scenario, 4);
    const simulator = new Simulator(situationBefore(loaded, scenario), scenario, truth, 4);
    const stream = new FixStream();
    const fixes = simulator
      .until(truth.touchdown_s + 60)
      .flatMap((sent) => (sent.kind === 'fix' && sent.body === 'jumper' ? sent.lines : []))
      .flatMap((line) => stream.take(line, truth.exit_s).fixes);
    expect(fixes.length).toBeGreaterThan(800);
    for (const { time_s, position, height_m } of fixes) {
      const at = truth.jumperAt(time_s);
      // A stamp is good to 5 ms, in which a fall of 60 m/s goes 0.3 m; places to 2 cm.
      expect(inverse(position, at.position).distance_m).toBeLessThan(0.5);
      expect(Math.abs((height_m ?? NaN) - at.height_m)).toBeLessThan(0.5);
    }
    const from_s = (truth.opening_s ?? NaN) + 30;
    expect(fixes.filter(({ time_s }) => time_s >= from_s && time_s < from_s + 40)).toEqual([]);
    const steps = fixes.slice(1).map(({ time_s }, i) => time_s - (fixes[i]?.time_s ?? NaN));
    expect(steps.filter((step) => step > 2)).toHaveLength(1);
  });

  it('is read back as it was by a general library (nmea-simple), anywhere on earth', () => {
    const place = fc.tuple(
      fc.double({ min: -180, max: 180, noNaN: true }),
      fc.double({ min: -89, max: 89, noNaN: true }),
    );
    fc.assert(
      fc.property(
        place,
        fc.integer({ min: 0, max: 40_000 }),
        fc.integer({ min: 0, max: 86_399 }),
        (at, height_m, s) => {
          const time_s = Date.UTC(2027, 3, 14) / 1000 + s;
          const [rmc = '', gga = ''] = nmeaLines({ time_s, position: at, height_m });
          const [first, second] = [parseNmeaSentence(rmc), parseNmeaSentence(gga)];
          if (first.sentenceId !== 'RMC' || second.sentenceId !== 'GGA') throw new Error('RMC and GGA are sent');
          expect(first.datetime.getTime() / 1000).toBe(time_s);
          expect(second.altitudeMeters).toBe(height_m);
          for (const { longitude, latitude } of [first, second]) {
            expect(Math.abs(wrap180(longitude - at[0]))).toBeLessThan(1e-7);
            expect(Math.abs(latitude - at[1])).toBeLessThan(1e-7);
          }
        },
      ),
      { numRuns: 200 },
    );
  });

  it('of a crew is a packet of the form of APRS 1.0.1, chapters 6 and 8, to a hundredth of a minute', () => {
    // 22.4° is 22°24.00', −30.161188° is 30°09.67'; 951 m is 3120 ft.
    const position: LonLat = [22.4, -30.161188];
    const line = aprsLine('Ground One', { time_s: Date.UTC(2027, 3, 14, 7, 42, 5) / 1000, position, height_m: 951 });
    expect(line).toBe('GROUNDONE>APZ000:/074205h3009.67S/02224.00E>/A=003120');
    const [fix] = new FixStream().take(line, Date.UTC(2027, 3, 14, 7, 43) / 1000).fixes;
    expect(fix?.time_s).toBe(Date.UTC(2027, 3, 14, 7, 42, 5) / 1000);
    expect(inverse(fix?.position ?? [0, 0], position).distance_m).toBeLessThan(13);
  });
});

describe('a scenario', () => {
  it.each([
    ['{', 'this file is not JSON'],
    ['{"format":"plumbline/mission"}', 'format: '],
    ['{"format":"plumbline/rehearsal","version":1,"name":"x","gaps":[]}', 'Unrecognized key'],
    ['{"format":"plumbline/rehearsal","version":1,"name":"x","opensAt":-1}', 'opensAt: '],
    [
      '{"format":"plumbline/rehearsal","version":1,"name":"x","reports":[{"when":{"from":"lunch","after_s":1}}]}',
      'reports.0.when.from',
    ],
  ])('%s is refused with a sentence', (text, says) => {
    const { value, problems } = readRehearsal(text);
    expect(value).toBeNull();
    expect(problems.map((one) => one.text).join('; ')).toContain(says);
  });

  it('cannot be flown from a log in which the jumper has left', async () => {
    const loaded = await loadDemo('town-meadow');
    const left = { seq: 99, at: '2027-05-29T13:19:30Z', kind: 'mark', mark: 'exit' } as const;
    const gone = { ...loaded, log: [...loaded.log, left] };
    const scenario = scenarioWith({});
    expect(hiddenTruth(situationBefore(gone, scenario), scenario, 1)).toContain('the log has the exit already');
  });
});
