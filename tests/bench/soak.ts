// A simulated day in the real page, minutes of ours: every half hour of the mission's clock winds and fixes come in,
// a person looks at another panel, and now and then moves the exit and takes it back. What page, workers and desk hold
// after a collection of garbage must not grow with the hours.
import { cpSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setFlagsFromString } from 'node:v8';
import { runInNewContext } from 'node:vm';
import type { Page } from 'playwright-core';
import type { NewEvent } from '../../core/log/events.ts';
import { Stranger } from '../main/stranger.ts';
import { inPage } from './windToPicture.ts';

const STEP_S = 1800;
const DAY_S = 86_400;
const LIMIT_ms = 120_000;
/** Of a day’s log of some 600 events, read, folded and shown: what is more is something else. */
const GROWTH_MB = 5;
/** In the first hours code is compiled and caches fill. */
const WARM_UP_S = 4 * 3600;

declare global {
  interface Window {
    soakAhead_ms: number;
  }
}

/** Runs in the page before its own scripts: both of its clocks go ahead together, so that nothing looks like a leap. */
function aheadTogether(): void {
  const wall = Date.now.bind(Date);
  const steady = performance.now.bind(performance);
  window.soakAhead_ms = 0;
  Date.now = () => wall() + window.soakAhead_ms;
  performance.now = () => steady() + window.soakAhead_ms;
}

/** The balloon demo a day before its exit, with nothing in its log yet. */
function dayBefore(root: string, folder: string): { readonly mission: string; readonly from_s: number } {
  cpSync(join(root, 'data', 'salt-plain'), folder, { recursive: true });
  const mission = join(folder, 'salt-plain.mission.json');
  const { exit } = JSON.parse(readFileSync(mission, 'utf8')) as { readonly exit: { readonly time: string } };
  const from_s = Date.parse(exit.time) / 1000 - DAY_S;
  const first = { seq: 1, at: isoAt(from_s), kind: 'note', text: 'The day begins.' };
  writeFileSync(join(folder, 'salt-plain.log.jsonl'), `${JSON.stringify(first)}\n`);
  return { mission, from_s };
}

const isoAt = (time_s: number): string => new Date(1000 * time_s).toISOString();

/** What comes in at a step: a wind, where the crews are, and a note. */
function eventsAt(step: number, at: string): NewEvent[] {
  const wind: NewEvent = {
    kind: 'wind-report',
    id: `s${step}`,
    source: 'station',
    by: 'Marrow Well',
    observedAt: at,
    position: [22.453993, -30.028014],
    agl_m: 10,
    from_deg: 300 + (step % 20),
    speed_mps: 3 + (step % 7) / 5,
  };
  const fixes = Array.from({ length: 10 }, (_, k): NewEvent => ({
    kind: 'fix',
    body: k % 2 === 0 ? 'Ground One' : 'Ground Two',
    position: [22.4 + 1e-4 * k, -30.1 - 1e-5 * step],
    observedAt: at,
  }));
  return [wind, ...fixes, { kind: 'note', text: `half hour ${step}` }];
}

/** Waits until the word is of the full sample and the spread has its last picture. */
async function settled(page: Page): Promise<void> {
  await page.locator('[role=status][aria-label=Advice][aria-busy=false]').waitFor({ timeout: LIMIT_ms });
  await page.waitForFunction(() => document.querySelector('[role=progressbar]') === null, undefined, {
    timeout: LIMIT_ms,
  });
}

const PANELS = ['Descent', 'Zones', 'Cases', 'Crews', 'Reports', 'Log', 'Brief', 'Problems', 'Plan'];

/** Half an hour of the mission: time goes on, events come in, a person looks at a panel, and works a little. */
async function stepOn(page: Page, step: number, bring: () => Promise<void>): Promise<void> {
  await page.evaluate((ahead_ms) => void (window.soakAhead_ms = ahead_ms), 1000 * STEP_S * step);
  await bring();
  await page.getByRole('tab', { name: PANELS[step % PANELS.length] ?? 'Descent', exact: true }).click();
  if (step % 6 === 0) {
    await page.keyboard.press('Control+Z');
    await page
      .getByRole('button', { name: /^Exit, / })
      .and(page.locator('.map-handle'))
      .focus();
    await page.keyboard.press('ArrowRight');
    await settled(page);
  }
  await settled(page);
}

interface Held {
  readonly at_h: number;
  /** The page and its workers, as the browser measures them after a collection. */
  readonly page_mb: number;
  readonly desk_mb: number;
}

/** Of this process; it holds the desk, and what drives the browser. */
function deskHeld_mb(): number {
  setFlagsFromString('--expose-gc');
  const collect = runInNewContext('gc') as () => void;
  collect();
  return process.memoryUsage().heapUsed / 1e6;
}

const pageHeld_mb = (page: Page): Promise<number> =>
  page.evaluate(async () => {
    const measuring = performance as unknown as {
      measureUserAgentSpecificMemory(): Promise<{ readonly bytes: number }>;
    };
    return (await measuring.measureUserAgentSpecificMemory()).bytes / 1e6;
  });

/** A straight line through values over hours: its slope a day, and the slope's standard error. */
function slopeADay(points: readonly (readonly [at_h: number, value: number])[]): readonly [number, number] {
  const n = points.length;
  const mean = (of: (point: readonly [number, number]) => number): number => points.reduce((s, p) => s + of(p), 0) / n;
  const [mid_h, middle] = [mean(([h]) => h), mean(([, v]) => v)];
  const spread = points.reduce((s, [h]) => s + (h - mid_h) ** 2, 0);
  const slope = points.reduce((s, [h, v]) => s + (h - mid_h) * (v - middle), 0) / spread;
  const left = points.reduce((s, [h, v]) => s + (v - middle - slope * (h - mid_h)) ** 2, 0);
  return [24 * slope, 24 * Math.sqrt(left / (n - 2) / spread)];
}

/**
 * The day; each hour's measure is said. Null where no Chromium is installed.
 *
 * hours   of the mission, at most 24
 */
export async function soak(root: string, hours: number, say: (line: string) => void): Promise<readonly Held[] | null> {
  const folder = mkdtempSync(join(tmpdir(), 'plumbline-soak-'));
  const { mission, from_s } = dayBefore(root, folder);
  try {
    const options = { mission, prepare: aheadTogether, args: ['--enable-blink-features=ForceEagerMeasureMemory'] };
    return await inPage(
      root,
      async (page, url) => {
        await settled(page);
        await page.getByRole('button', { name: 'Understood' }).click();
        const stranger = await Stranger.at(url);
        const held: Held[] = [];
        for (let step = 1; step <= (hours * 3600) / STEP_S; step++) {
          const at = isoAt(from_s + STEP_S * step);
          await stepOn(page, step, async () => {
            for (const event of eventsAt(step, at)) {
              const answer = await stranger.append(mission, event, at);
              if (answer?.ok !== true) throw new Error(answer?.why ?? 'an event was refused');
            }
          });
          if (step % (3600 / STEP_S) !== 0) continue;
          const one = { at_h: (step * STEP_S) / 3600, page_mb: await pageHeld_mb(page), desk_mb: deskHeld_mb() };
          held.push(one);
          const word = await page.locator('#advice-word').innerText();
          say(
            `${one.at_h} h: page and workers ${one.page_mb.toFixed(1)} MB, desk ${one.desk_mb.toFixed(1)} MB, ${word}`,
          );
        }
        stranger.close();
        return held;
      },
      options,
    );
  } finally {
    rmSync(folder, { recursive: true, force: true, maxRetries: 5 });
  }
}

/** Says how what is held grew; answers whether it is flat. */
export function saidFlat(held: readonly Held[], say: (line: string) => void): boolean {
  const counted = held.filter(({ at_h }) => at_h * 3600 > WARM_UP_S);
  const flat = (['page', 'desk'] as const).map((who) => {
    const points = counted.map((one) => [one.at_h, one[`${who}_mb`]] as const);
    const mean_mb = points.reduce((sum, [, mb]) => sum + mb, 0) / points.length;
    const [slope, error] = slopeADay(points);
    say(
      `${who}: ${mean_mb.toFixed(1)} MB on average after ${WARM_UP_S / 3600} h, and ${slope.toFixed(2)} ± ` +
        `${error.toFixed(2)} MB a day (at most ${GROWTH_MB})`,
    );
    return slope <= GROWTH_MB;
  });
  return !flat.includes(false);
}
