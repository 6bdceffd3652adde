// False alerts over normal descents: drawn as the plan's own errors allow, seen with gaps and wild fixes. Whether an
// alert was true says the hidden descent (simulated.ts), which the rules never see.
import { describe, expect, it } from 'vitest';
import { RAD_PER_DEG, type LonLat } from '../../core/base/units.ts';
import type { Alert } from '../../core/live/alerts.ts';
import { Live } from '../../core/live/follow.ts';
import type { Situation } from '../../core/mission/situation.ts';
import { isAlertTrue } from '../../core/rehearsal/alertTruth.ts';
import { outlookOf } from '../../core/descent/outlook.ts';
import { scenarioOf } from '../../core/descent/scenario.ts';
import { demo } from '../demo.ts';
import { seenBy, truthOf, type Seen, type Truth } from './simulated.ts';

/** `PLUMBLINE_TRIALS=300` is the long run. */
const TRIALS = Number(process.env['PLUMBLINE_TRIALS'] ?? 6);
const EVERY_S = 5;
const MEMBERS = 100;

interface Trial {
  readonly situation: Situation;
  readonly truth: Truth;
  readonly seen: Seen;
  /** Height above ground at which the plan opens. */
  readonly opens_agl_m: number;
}

const groundAt = ({ world }: Situation, [lon, lat]: LonLat): number =>
  world.ground.heightAt(lat * RAD_PER_DEG, lon * RAD_PER_DEG);

const aglOf = ({ situation, truth }: Trial, time_s: number): number =>
  truth.heightAt(time_s) - groundAt(situation, truth.placeAt(time_s));

/** Whether what an alert says is so in the hidden descent. */
function isTrue(trial: Trial, alert: Alert, at_s: number): boolean {
  const { situation, truth, seen, opens_agl_m } = trial;
  return isAlertTrue(alert, at_s, {
    mission: situation.mission,
    landing: truth.landing,
    opening_s: truth.opening_s,
    opens_agl_m,
    placeAt: truth.placeAt,
    aglAt: (time_s) => aglOf(trial, time_s),
    fixes: seen.fixes,
    saidWrongly: () => false,
  });
}

/** The alerts of a descent from two minutes before the exit to half a minute after the touchdown. */
function flown(situation: Situation, seed: number): { readonly trial: Trial; readonly alerts: [Alert, number][] } {
  const truth = truthOf(situation, seed);
  const seen = seenBy(truth, seed);
  const planned = outlookOf(scenarioOf(situation.mission, situation.world)).prediction.opening;
  const opens_agl_m =
    planned === null ? NaN : planned.height_m - groundAt(situation, [planned.position[0], planned.position[1]]);
  const live = new Live(situation, { members: MEMBERS, seed });
  const alerts: [Alert, number][] = [];
  let next = 0;
  for (let t = truth.exit_s - 60; t < truth.touchdown_s + 30; t += EVERY_S) {
    for (let fix = seen.fixes[next]; fix !== undefined && fix.time_s <= t; fix = seen.fixes[(next += 1)])
      live.fix('jumper', fix);
    for (const alert of live.step(t).alerts) alerts.push([alert, t]);
  }
  return { trial: { situation, truth, seen, opens_agl_m }, alerts };
}

describe.each(['salt-plain', 'town-meadow'] as const)('in normal descents of %s', (name) => {
  it('at most one in ten has a false alert', async () => {
    const { situation } = await demo(name);
    const all = new Map<string, { said: number; wrong: number }>();
    let fooled = 0;
    for (let seed = 2001; seed <= 2000 + TRIALS; seed++) {
      const { trial, alerts } = flown(situation, seed);
      const wrong = alerts.filter(([alert, at_s]) => !isTrue(trial, alert, at_s));
      if (wrong.length > 0) fooled += 1;
      for (const [alert, at_s] of alerts) {
        const count = all.get(alert.kind) ?? { said: 0, wrong: 0 };
        const isWrong = wrong.some(([one, t]) => one === alert && t === at_s);
        all.set(alert.kind, { said: count.said + 1, wrong: count.wrong + (isWrong ? 1 : 0) });
        if (isWrong)
          console.info(`  ${seed}: ${alert.kind} ${(at_s - trial.truth.exit_s).toFixed(0)} s: ${alert.text}`);
      }
    }
    const words = [...all].map(([kind, { said, wrong }]) => `${kind} ${said} (${wrong} false)`).join(', ');
    console.info(`${name}: ${fooled} of ${TRIALS} descents with a false alert; ${words}`);
    // A binomial count: one in ten, and three standard errors of so few trials.
    expect(fooled / TRIALS).toBeLessThanOrEqual(0.1 + 3 * Math.sqrt((0.1 * 0.9) / TRIALS));
  });
});
