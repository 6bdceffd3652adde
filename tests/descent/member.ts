// One member of an ensemble as a case of the reference integration: the draws are the program's, the physics is the
// reference's.
import type { Body } from '../../core/plan/schema.ts';
import type { EnsembleSetup } from '../../core/descent/ensemble.ts';
import { Draws } from '../../core/descent/flight.ts';
import { drawInputs } from '../../core/descent/spread.ts';
import { drawWind } from '../../core/descent/windError.ts';
import { Random } from '../../core/base/random.ts';
import { windOf, type ReferenceCase } from './reference.ts';

/** Steering `drift` and `hold`; the body is the setup's, as the plan writes it. */
export function memberCase(setup: EnsembleSetup, body: Body, member: number): { c: ReferenceCase; draws: Draws } {
  const { scenario, error, spread, seed } = setup;
  const { world, exit } = scenario;
  const draws = new Draws();
  const random = new Random(seed, member);
  drawInputs(spread, random, draws);
  const n = error.heights_m.length;
  const offset = { heights_m: error.heights_m, u_mps: new Float64Array(n), v_mps: new Float64Array(n) };
  drawWind(error, random, new Float64Array(2 * n), offset);
  const start = exit.time_s + draws.exitTime_s;
  const winds = world.wind.columns.map((column) => ({
    t_s: column.time_s - start,
    levels: column.levels.map((level) => [level.height_m, level.from_deg, level.speed_mps] as const),
  }));
  const added = Array.from(offset.heights_m, (h, i) => [h, offset.u_mps[i] ?? NaN, offset.v_mps[i] ?? NaN] as const);
  const canopy = body.canopy;
  if (canopy === undefined) throw new Error('a canopy is needed');
  const steering = canopy.steering;
  const last = body.stages.at(-1);
  const drawn: Body = {
    ...body,
    mass_kg: body.mass_kg + draws.mass_kg,
    stages: body.stages.map((stage) => {
      const { until } = stage;
      const up_m = draws.triggerHeight_m + (stage === last ? draws.handOpening_m : 0);
      const shifted =
        until === undefined || !('agl_m' in until || 'msl_m' in until)
          ? until
          : 'agl_m' in until
            ? { agl_m: until.agl_m + up_m }
            : { msl_m: until.msl_m + up_m };
      const spin = stage.name.includes('drogue') ? 1 : draws.spin;
      return {
        ...stage,
        dragArea_m2: stage.dragArea_m2 * draws.dragArea * spin,
        ...(shifted === undefined ? {} : { until: shifted }),
      };
    }),
    canopy: {
      ...canopy,
      ...(canopy.fillDistance_m === undefined
        ? { fill_s: Math.max(0, (canopy.fill_s ?? 0) + draws.fill_s) }
        : { fillDistance_m: canopy.fillDistance_m * draws.fillDistance }),
      settings: canopy.settings.map((setting) => ({
        ...setting,
        airspeed_mps: setting.airspeed_mps * draws.canopyAirspeed,
        sink_mps: setting.sink_mps * draws.canopySink,
      })),
      ...(steering?.policy === 'hold'
        ? { steering: { ...steering, heading_deg: steering.heading_deg + (draws.heading_rad * 180) / Math.PI } }
        : {}),
    },
  };
  const c: ReferenceCase = {
    body: drawn,
    exit: { lon_deg: exit.lon_deg, lat_deg: exit.lat_deg, height_m: exit.height_m, velocity_mps: exit.velocity_mps },
    winds,
    glide: [draws.glideEast, draws.glideNorth],
    ground_m: world.ground.site_m,
    ground: (lat_rad, lon_rad) => world.ground.heightAt(lat_rad, lon_rad),
    roughness_m: world.roughness_m,
    target: [NaN, NaN],
    air: world.air.exact,
    added,
  };
  // Whoever leaves later leaves further along the carrier's line, at its velocity.
  const [u, v] = windOf(c, 0, [(exit.lat_deg * Math.PI) / 180, (exit.lon_deg * Math.PI) / 180, exit.height_m]);
  const velocity_mps = exit.velocity_mps ?? ([u, v, 0] as const);
  const [east_m = 0, north_m = 0, up_m = 0] = velocity_mps.map((speed) => speed * draws.exitTime_s);
  const DEG_PER_M = 180 / Math.PI / 6_371_009;
  const moved = {
    lon_deg: exit.lon_deg + ((draws.exitEast_m + east_m) * DEG_PER_M) / Math.cos((exit.lat_deg * Math.PI) / 180),
    lat_deg: exit.lat_deg + (draws.exitNorth_m + north_m) * DEG_PER_M,
    height_m: exit.height_m + up_m,
    velocity_mps,
  };
  return { c: { ...c, exit: moved }, draws };
}
