// Descents with a hidden truth: the plan's body with mass, drag, canopy, exit and winds drawn, flown by the program's
// own integrator (held against an independent one in tests/descent), then seen as a receiver sees it: 1 Hz, 10 m of
// noise an axis, gaps up to 30 s, two fixes in a hundred anywhere within some kilometres. The noise is drawn here by a
// generator of its own.
import { outlookOf } from '../../core/descent/outlook.ts';
import { predict } from '../../core/descent/predict.ts';
import { scenarioOf, type Scenario } from '../../core/descent/scenario.ts';
import { spreadOf } from '../../core/descent/spread.ts';
import { drawWind } from '../../core/descent/windError.ts';
import { localFrame } from '../../core/earth/geodesic.ts';
import { Random } from '../../core/base/random.ts';
import type { LonLat } from '../../core/base/units.ts';
import type { LiveFix } from '../../core/live/filter.ts';
import type { Situation } from '../../core/mission/situation.ts';
import type { Jumper } from '../../core/plan/schema.ts';

export interface Truth {
  readonly scenario: Scenario;
  readonly exit_s: number;
  readonly opening_s: number;
  readonly open_s: number;
  readonly touchdown_s: number;
  readonly landing: LonLat;
  readonly heightAt: (time_s: number) => number;
  readonly placeAt: (time_s: number) => LonLat;
}

/** mulberry32, public domain: numbers that have nothing to do with the program's own. */
export function generator(seed: number): { uniform: () => number; normal: () => number } {
  let a = seed >>> 0;
  const uniform = (): number => {
    a = (a + 0x6d2b79f5) >>> 0;
    let t = a;
    t = Math.imul(t ^ (t >>> 15), t | 1);
    t ^= t + Math.imul(t ^ (t >>> 7), t | 61);
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  };
  const normal = (): number => Math.sqrt(-2 * Math.log(1 - uniform())) * Math.cos(2 * Math.PI * uniform());
  return { uniform, normal };
}

function drawnJumper(jumper: Jumper, spread: ReturnType<typeof spreadOf>, normal: () => number): Jumper {
  const drag = 1 + spread.dragArea_rel * normal();
  const trigger = spread.triggerHeight_m * normal();
  const [sink, speed] = [1 + spread.canopySink_rel * normal(), 1 + spread.canopyAirspeed_rel * normal()];
  const { canopy } = jumper;
  return {
    ...jumper,
    mass_kg: jumper.mass_kg + spread.mass_kg * normal(),
    stages: jumper.stages.map((stage) => ({
      ...stage,
      dragArea_m2: stage.dragArea_m2 * drag,
      ...(stage.until !== undefined && 'agl_m' in stage.until ? { until: { agl_m: stage.until.agl_m + trigger } } : {}),
      ...(stage.until !== undefined && 'msl_m' in stage.until ? { until: { msl_m: stage.until.msl_m + trigger } } : {}),
    })),
    ...(canopy === undefined
      ? {}
      : {
          canopy: {
            ...canopy,
            fill_s: Math.max((canopy.fill_s ?? 0) + spread.fill_s * normal(), 0.5),
            settings: canopy.settings.map((one) => ({
              ...one,
              sink_mps: one.sink_mps * sink,
              airspeed_mps: one.airspeed_mps * speed,
            })),
          },
        }),
  };
}

/** One descent that might be. `error`: of the wind along the planned one. */
export function truthOf({ mission, world }: Situation, seed: number): Truth {
  const { normal } = generator(seed);
  const spread = spreadOf(mission.uncertainty);
  const planned = outlookOf(scenarioOf(mission, world));
  const jumper = drawnJumper(mission.jumper, spread, normal);
  const { exit } = mission;
  const moved = localFrame(exit.position).toLonLat(spread.exitPosition_m * normal(), spread.exitPosition_m * normal());
  const time = new Date(Date.parse(exit.time) + Math.round(spread.exitTime_s * normal()) * 1000).toISOString();
  const scenario = scenarioOf(mission, world, jumper, { ...exit, position: moved, time });
  const n = planned.error.heights_m.length;
  const offset = { heights_m: planned.error.heights_m, u_mps: new Float64Array(n), v_mps: new Float64Array(n) };
  drawWind(planned.error, new Random(77, seed), new Float64Array(2 * n), offset);
  const { track, landing, opening, stages } = predict(scenario, offset);
  if (landing === null || opening === null) throw new Error('the drawn descent lands under a canopy');
  const exit_s = scenario.exit.time_s;
  const at = (time_s: number): readonly [number, number, number] => {
    const t = Math.min(Math.max(time_s - exit_s, 0), track.at(-1)?.[0] ?? 0);
    // A track has a point each second, and one more where a stage ends.
    let i = Math.min(Math.floor(t) + stages.length + 1, track.length - 2);
    while (i > 0 && (track[i]?.[0] ?? 0) > t) i -= 1;
    const [a, b] = [track[i] ?? [0, 0, 0, 0], track[i + 1] ?? [0, 0, 0, 0]];
    const share = b[0] > a[0] ? Math.min((t - a[0]) / (b[0] - a[0]), 1) : 0;
    return [a[1] + share * (b[1] - a[1]), a[2] + share * (b[2] - a[2]), a[3] + share * (b[3] - a[3])];
  };
  return {
    scenario,
    exit_s,
    opening_s: exit_s + opening.time_s,
    open_s: exit_s + (stages.find((stage) => stage.name === 'opening')?.end_s ?? opening.time_s),
    touchdown_s: exit_s + landing.time_s,
    landing: landing.position,
    heightAt: (time_s) => (time_s >= exit_s + landing.time_s ? landing.elevation_m : at(time_s)[2]),
    placeAt: (time_s) => {
      if (time_s >= exit_s + landing.time_s) return landing.position;
      const [lon, lat] = at(time_s);
      return [lon, lat];
    },
  };
}

export interface Seen {
  readonly fixes: readonly LiveFix[];
  /** Fixes that are nowhere near. */
  readonly wild: number;
}

/** What a receiver gives of it, from `before_s` before the exit to a minute and a half after the touchdown. */
export function seenBy(truth: Truth, seed: number, before_s = 120): Seen {
  const { uniform, normal } = generator(seed ^ 0x51f15e);
  const fixes: LiveFix[] = [];
  let wild = 0;
  let gapEnds_s = -Infinity;
  // On its way to the exit the carrier drifts as it does when the jumper leaves it.
  const [lon0, lat0] = truth.placeAt(truth.exit_s);
  const [lon1, lat1] = truth.placeAt(truth.exit_s + 1);
  const phase = uniform();
  for (let t = truth.exit_s - before_s + phase; t < truth.touchdown_s + 90; t++) {
    // A gap begins once in some two minutes.
    if (t > gapEnds_s && uniform() < 1 / 120) gapEnds_s = t + 30 * uniform();
    if (t < gapEnds_s) continue;
    const ahead = Math.min(t - truth.exit_s, 0);
    const place: LonLat = ahead < 0 ? [lon0 + ahead * (lon1 - lon0), lat0 + ahead * (lat1 - lat0)] : truth.placeAt(t);
    const isWild = uniform() < 0.02;
    if (isWild) wild += 1;
    const scatter = isWild ? 3000 : 10;
    const position = localFrame(place).toLonLat(scatter * normal(), scatter * normal());
    fixes.push({ time_s: t, position, height_m: truth.heightAt(Math.max(t, truth.exit_s)) + scatter * normal() });
  }
  return { fixes, wild };
}
