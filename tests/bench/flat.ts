// An ensemble written out as plain numbers, in the order in which `descent.c` asks for them: both then do the same
// work.
import { writeFileSync } from 'node:fs';
import { virtualTemperature } from '../../core/air/air.ts';
import type { EnsembleSetup } from '../../core/descent/ensemble.ts';

/** Writes the scenario as text and the terrain as float32. Winds of one column per time, steering `drift` or `hold`. */
export function writeFlat(
  { scenario, error, spread, seed }: EnsembleSetup,
  scenarioPath: string,
  terrainPath: string,
): void {
  const { world, body, exit } = scenario;
  const { wind, air, ground } = world;
  const { canopy } = body;
  if (canopy === null || wind.lats_rad.length !== 1 || canopy.policy > 1)
    throw new Error('the plain C program flies one column, drift or hold');
  const out: number[] = [];
  const put = (...numbers: readonly number[]): void => void out.push(...numbers);
  const each = (numbers: ArrayLike<number>): void => void out.push(...Array.from(numbers));
  put(seed, exit.lon_deg, exit.lat_deg, exit.height_m, exit.time_s);
  put(exit.velocity_mps === null ? 1 : 0, ...(exit.velocity_mps ?? [0, 0, 0]));
  put(air.levels.length);
  each(air.levels.map((level) => level.height_m));
  each(air.levels.map((level) => level.temperature_K));
  each(
    air.levels.map(({ temperature_K, pressure_Pa, dewPoint_K }) =>
      dewPoint_K === undefined ? temperature_K : virtualTemperature(temperature_K, pressure_Pa, dewPoint_K),
    ),
  );
  each(air.levels.map((level) => Math.log(level.pressure_Pa)));
  put(wind.times_s.length, wind.heights_m.length);
  each(wind.times_s);
  each(wind.bottoms_m);
  each(wind.heights_m);
  each(wind.u_mps);
  each(wind.v_mps);
  put(error.heights_m.length);
  each(error.heights_m);
  each(error.meanU_mps);
  each(error.meanV_mps);
  each(error.factor);
  const {
    mass_kg,
    dragArea_rel,
    canopySink_rel,
    canopyAirspeed_rel,
    fill_s,
    exitPosition_m,
    exitTime_s,
    triggerHeight_m,
    heading_deg,
  } = spread;
  put(
    mass_kg,
    dragArea_rel,
    canopySink_rel,
    canopyAirspeed_rel,
    fill_s,
    exitPosition_m,
    exitTime_s,
    triggerHeight_m,
    heading_deg,
  );
  put(body.mass_kg, body.stages.length);
  for (const stage of body.stages) {
    put(stage.dragArea_m2, stage.trigger, stage.triggerAt, stage.machCurve.length / 2);
    each(stage.machCurve.filter((_, i) => i % 2 === 0));
    each(stage.machCurve.filter((_, i) => i % 2 === 1));
  }
  put(
    canopy.referenceMass_kg,
    canopy.airspeed_mps,
    canopy.sink_mps,
    canopy.fill_s,
    canopy.fillExponent,
    canopy.dragArea_m2,
  );
  put(canopy.policy, canopy.heading_rad, ground.site_m, world.roughness_m, ground.top_m);
  const { terrain } = ground;
  if (terrain === null) put(0, 0, 0, 0, 1, 1);
  else
    put(terrain.columns, terrain.rows, terrain.west_deg, terrain.north_deg, terrain.stepLon_deg, terrain.stepLat_deg);
  writeFileSync(scenarioPath, `${out.join('\n')}\n`);
  writeFileSync(
    terrainPath,
    terrain === null
      ? new Uint8Array(0)
      : new Uint8Array(terrain.heights_m.buffer, terrain.heights_m.byteOffset, terrain.heights_m.byteLength),
  );
}
