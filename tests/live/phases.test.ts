// Phases told from fixes. Truth: descents whose exit, opening and touchdown are known because they were flown
// (simulated.ts), and a recorded balloon that climbs to its last fix (open data).
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { readTrack } from '../../core/formats/tracks/track.ts';
import { describeOpenData } from '../openData.ts';
import { flownSetting } from '../../core/descent/body.ts';
import { outlookOf } from '../../core/descent/outlook.ts';
import { scenarioOf } from '../../core/descent/scenario.ts';
import { RHO0 } from '../../core/air/air.ts';
import { RAD_PER_DEG } from '../../core/base/units.ts';
import { BodyFilter } from '../../core/live/filter.ts';
import { bodyPlan, PhaseTracker, type LivePhase } from '../../core/live/phases.ts';
import type { Situation } from '../../core/mission/situation.ts';
import { demo } from '../demo.ts';
import { seenBy, truthOf, type Truth } from './simulated.ts';

/** `PLUMBLINE_TRIALS=300` is the long run. */
const TRIALS = Number(process.env['PLUMBLINE_TRIALS'] ?? 40);

function truePhase(truth: Truth, time_s: number): readonly LivePhase[] {
  if (time_s < truth.exit_s) return ['ascent', 'float'];
  if (time_s < truth.opening_s) return ['freefall', 'drogue'];
  if (time_s < truth.open_s) return ['opening'];
  return time_s < truth.touchdown_s ? ['canopy'] : ['down'];
}

interface Outcome {
  exit: number[];
  opening: number[];
  down: number[];
  earlyDown: number;
  /** Names of phases that were wrong for more than 5 s of fixes. */
  wrong: string[];
  phases: number;
}

function follow({ mission, world }: Situation, truth: Truth, seed: number, out: Outcome): void {
  const canopy = mission.jumper.canopy;
  const prediction = outlookOf(scenarioOf(mission, world)).prediction;
  const sink = canopy === undefined ? null : flownSetting(canopy).sink_mps;
  const plan = bodyPlan(
    prediction,
    sink === null ? null : (height_m) => sink * Math.sqrt(RHO0 / world.air.density(height_m)),
  );
  const filter = new BodyFilter();
  const tracker = new PhaseTracker(plan, (one) => {
    const [lon, lat] = filter.placeOf(one);
    return world.ground.heightAt(lat * RAD_PER_DEG, lon * RAD_PER_DEG);
  });
  const found = new Map<LivePhase, number>();
  let wrong_s = 0;
  let wrongWord = '';
  for (const fix of seenBy(truth, seed).fixes) {
    filter.add(fix);
    const now = tracker.update(filter.taken);
    if (now === null) continue;
    found.set(now.phase, now.since_s);
    if (now.phase === 'down' && fix.time_s < truth.touchdown_s) out.earlyDown += 1;
    const right = truePhase(truth, fix.time_s);
    const word = `${now.phase} for ${right.join('/')}`;
    if (right.includes(now.phase)) wrong_s = 0;
    else {
      // Seconds without a fix are nobody's fault: only those with one count.
      wrong_s = word === wrongWord ? wrong_s + 1 : 1;
      if (wrong_s === 6) out.wrong.push(word);
    }
    wrongWord = word;
  }
  out.phases += 5;
  out.exit.push((found.get('freefall') ?? NaN) - truth.exit_s);
  out.opening.push((found.get('opening') ?? NaN) - truth.opening_s);
  out.down.push((found.get('down') ?? NaN) - truth.touchdown_s);
}

describeOpenData('recorded flights', ({ openData }) => {
  /** The phases that are told of a track, each with the lowest height above the sea at which it was. */
  function toldOf(file: string, ground_m: number): { told: Map<LivePhase, number>; count: number; leftOut: number } {
    const [track] = readTrack(file, new Uint8Array(readFileSync(join(openData, 'tracks', file))), {}).value;
    const filter = new BodyFilter();
    const drop_m = (t: number): number => 4.9 * Math.max(t, 0) ** 2;
    const plan = { drop_m, fall_m: drop_m, canopySink_mps: null, fill_s: 0, bend_s: 0, drogue_s: null };
    const tracker = new PhaseTracker(plan, () => ground_m);
    const told = new Map<LivePhase, number>();
    let count = 0;
    for (const { time_s, position, height_m, valid } of track?.fixes ?? []) {
      if (time_s === null || height_m === null || !valid || !filter.add({ time_s, position, height_m })) continue;
      const now = tracker.update(filter.taken);
      count += 1;
      if (now !== null && count > 20) told.set(now.phase, Math.min(told.get(now.phase) ?? Infinity, height_m));
    }
    return { told, count, leftOut: filter.leftOut };
  }

  it('a balloon climbs from its first fix to its last', () => {
    // The ground there lies at 315 m: the first height of the file.
    const { told, count, leftOut } = toldOf('balloon-ascent-lamont-20190101-5s.nmea', 315);
    expect(count).toBeGreaterThan(700);
    expect(leftOut).toBe(0);
    expect([...told.keys()]).toEqual(['ascent']);
  });

  it.each(['drop-halo-20240831-130430-1s.nmea', 'drop-p3-20200117-2s.gpx'])(
    '%s falls, and is not down early',
    (file) => {
      // Dropped over the sea; both files end in the air or at the water.
      const { told, count } = toldOf(file, 0);
      expect(count).toBeGreaterThan(250);
      expect(told.has('freefall')).toBe(true);
      expect(told.has('ascent') || told.has('float')).toBe(false);
      expect(told.get('down') ?? 0).toBeLessThan(40);
    },
  );
});

const within = (errors: readonly number[], by: number): number =>
  errors.filter((one) => Math.abs(one) <= by).length / errors.length;

describe.each(['salt-plain', 'town-meadow'] as const)('a simulated descent of %s', (name) => {
  it('is told in its phases', async () => {
    const { situation } = await demo(name);
    const out: Outcome = { exit: [], opening: [], down: [], earlyDown: 0, wrong: [], phases: 0 };
    for (let seed = 1; seed <= TRIALS; seed++) follow(situation, truthOf(situation, seed), seed, out);
    const counted = [...new Set(out.wrong)].map((one) => `${one}: ${out.wrong.filter((word) => word === one).length}`);
    console.info(
      `${name}, ${TRIALS} descents: exit within 2 s ${within(out.exit, 2)}, opening within 3 s ${within(out.opening, 3)}, ` +
        `touchdown within 5 s ${within(out.down, 5)}, down early ${out.earlyDown}, wrong for over 5 s ${counted.join(', ')}`,
    );
    expect(out.earlyDown).toBe(0);
    expect(within(out.exit, 2)).toBeGreaterThanOrEqual(0.99);
    // An opening inside a gap of some ten seconds is known to five: two or three in a hundred.
    expect(within(out.opening, 3)).toBeGreaterThanOrEqual(0.95);
    expect(within(out.down, 5)).toBeGreaterThanOrEqual(0.97);
    // A touchdown is told with care: up to ten seconds after it "canopy" still stands there, and is counted by itself.
    const beforeDown = out.wrong.filter((word) => !word.endsWith('for down'));
    expect(beforeDown.length / out.phases).toBeLessThanOrEqual(0.01);
  });
});
