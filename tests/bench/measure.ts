// What `npm run bench` measures inside one process: predictions and whole ensembles of the balloon demo, and how far
// their landings are from the reference integration. Bundled by run.mjs, so that what is timed is what ships:
// JavaScript without types.
import { readFileSync } from 'node:fs';
import { Ensemble, type EnsembleSetup, type Members } from '../../core/descent/ensemble.ts';
import { outlookOf } from '../../core/descent/outlook.ts';
import { predict } from '../../core/descent/predict.ts';
import { scenarioOf, type Scenario } from '../../core/descent/scenario.ts';
import { spreadOf } from '../../core/descent/spread.ts';
import type { Body } from '../../core/plan/schema.ts';
import { EnsemblePool } from '../../core/work/pool.ts';
import { threadWorker } from '../../main/cli/workers.ts';
import { loadDemo } from '../demo.ts';
import { memberCase } from '../descent/member.ts';
import { metresBetween } from '../descent/metres.ts';
import type { LonLat } from '../../core/base/units.ts';
import { referenceLanding, type ReferenceCase } from '../descent/reference.ts';
import { randomCase, scenarioFor } from '../descent/cases.ts';
import { writeFlat } from './flat.ts';

export { writeFlat };

export interface BenchSetup {
  readonly setup: EnsembleSetup;
  readonly body: Body;
}

/** The balloon demo from 39 km with its forecast, every input drawn. */
export async function setupOf(policy: 'drift' | 'hold', seed: number): Promise<BenchSetup> {
  const { mission, world } = await loadDemo('salt-plain');
  const canopy = mission.jumper.canopy;
  if (canopy === undefined) throw new Error('the demo has a canopy');
  const steering = policy === 'drift' ? ({ policy } as const) : ({ policy, heading_deg: 200 } as const);
  const body: Body = { ...mission.jumper, canopy: { ...canopy, steering } };
  const scenario = scenarioOf({ ...mission, jumper: { ...mission.jumper, canopy: { ...canopy, steering } } }, world);
  const { error } = outlookOf(scenario);
  // The reference's air neither rises nor sinks.
  return { setup: { scenario, error, spread: spreadOf({ verticalAir_mps: 0 }), seed }, body };
}

/** A pool of worker threads that is kept, as the window keeps its own. */
export function poolOf(workers: number): EnsemblePool {
  return new EnsemblePool(Array.from({ length: workers }, () => threadWorker()));
}

/** Microseconds a member, of the clock and of the processor. */
export interface Took {
  readonly wall_us: number;
  readonly cpu_us: number;
}

/**
 * One whole ensemble through a pool, the passing of its numbers included; the processor's time is that of all threads.
 */
export async function timePool(pool: EnsemblePool, setup: EnsembleSetup, members: number): Promise<Took> {
  const began = performance.now();
  const used = process.cpuUsage();
  let done = 0;
  for await (const progress of pool.run(setup, { members })) done = progress.done;
  const { user, system } = process.cpuUsage(used);
  if (done !== members) throw new Error(`${done} of ${members} members came back`);
  return { wall_us: ((performance.now() - began) * 1000) / members, cpu_us: (user + system) / members };
}

export interface Truth {
  readonly lon_deg: number;
  readonly lat_deg: number;
  readonly t_s: number;
}

/** The first members' landings by the reference integration (odex, 1e-12); seconds from the planned exit. */
export function truthOf({ setup, body }: BenchSetup, members: number): Truth[] {
  return Array.from({ length: members }, (_, i) => {
    const { c, draws } = memberCase(setup, body, i);
    const { lon_deg, lat_deg, t_s } = referenceLanding(c);
    return { lon_deg, lat_deg, t_s: t_s + draws.exitTime_s };
  });
}

export interface Missed {
  readonly mean_m: number;
  readonly worst_m: number;
  readonly worst_s: number;
}

function missed(truth: readonly Truth[], at: (i: number) => readonly [lon: number, lat: number, t_s: number]): Missed {
  const misses = truth.map(({ lon_deg, lat_deg, t_s }, i) => {
    const [lon, lat, t] = at(i);
    return { m: metresBetween([lon, lat], [lon_deg, lat_deg]), s: Math.abs(t - t_s) };
  });
  return {
    mean_m: misses.reduce((sum, { m }) => sum + m, 0) / misses.length,
    worst_m: Math.max(...misses.map(({ m }) => m)),
    worst_s: Math.max(...misses.map(({ s }) => s)),
  };
}

export function missOf(truth: readonly Truth[], setup: EnsembleSetup): Missed {
  const got: Members = new Ensemble(setup).run(0, truth.length);
  return missed(truth, (i) => [got.lon_deg[i] ?? NaN, got.lat_deg[i] ?? NaN, got.time_s[i] ?? NaN]);
}

/** The same of the C program's landings: rows of longitude, latitude, seconds as doubles. */
export function missOfFile(truth: readonly Truth[], path: string): Missed {
  const bytes = readFileSync(path);
  return missed(truth, (i) => [
    bytes.readDoubleLE(24 * i),
    bytes.readDoubleLE(24 * i + 8),
    bytes.readDoubleLE(24 * i + 16),
  ]);
}

/** One prediction with its track and warnings: microseconds. */
export function timePrediction(scenario: Scenario, times: number): number {
  const began = performance.now();
  for (let i = 0; i < times; i++) predict(scenario);
  return ((performance.now() - began) * 1000) / times;
}

export interface AgainstOdex {
  readonly worst_m: number;
  /** The loosest tolerance at which odex itself lands as near to its own answer at 1e-12, and how near that is. */
  readonly tolerance: number;
  readonly odexWorst_m: number;
  readonly cases: readonly { readonly c: ReferenceCase; readonly scenario: Scenario }[];
}

/** Random missions, and how far their predictions land from odex at 1e-12. */
export function againstOdex(missions: number): AgainstOdex {
  const cases = Array.from({ length: missions }, (_, i) => {
    const c = randomCase(i + 1);
    return { c, scenario: scenarioFor(c), truth: referenceLanding(c) };
  });
  const worst = (landing: (one: (typeof cases)[number]) => LonLat): number =>
    Math.max(...cases.map((one) => metresBetween(landing(one), [one.truth.lon_deg, one.truth.lat_deg])));
  const worst_m = worst(({ scenario }) => predict(scenario).landing?.position ?? [NaN, NaN]);
  let tolerance = 1e-11;
  let odexWorst_m = 0;
  for (const tried of [1e-5, 1e-6, 1e-7, 1e-8, 1e-9, 1e-10]) {
    const miss = worst(({ c }) => {
      const { lon_deg, lat_deg } = referenceLanding(c, tried);
      return [lon_deg, lat_deg];
    });
    if (!(miss <= worst_m)) continue;
    tolerance = tried;
    odexWorst_m = miss;
    break;
  }
  return { worst_m, tolerance, odexWorst_m, cases };
}

/** One landing by odex: microseconds. */
export function timeOdex(c: ReferenceCase, tolerance: number, times: number): number {
  const began = performance.now();
  for (let i = 0; i < times; i++) referenceLanding(c, tolerance);
  return ((performance.now() - began) * 1000) / times;
}
