// `plumbline predict`: one descent as planned, as text for people or as the JSON of FORMAT.md.
import { clock, duration } from '../../core/words/times.ts';
import { direction } from '../../core/words/winds.ts';
import { distance, height } from '../../core/words/lengths.ts';
import { number, quantity } from '../../core/words/numbers.ts';
import { landmarksOf } from '../../core/plan/places.ts';
import type { Mission } from '../../core/plan/schema.ts';
import { whereOf } from '../../core/recovery/where.ts';
import { landmarkToward } from '../../core/words/places.ts';
import { predict } from '../../core/descent/predict.ts';
import type { Landing, Prediction } from '../../core/descent/prediction.ts';
import { epoch_s, scenarioOf } from '../../core/descent/scenario.ts';
import { declination_deg, trueToMagnetic } from '../../core/earth/declination.ts';
import { inverse } from '../../core/earth/geodesic.ts';
import { formatDegrees, formatDegreesMinutes, formatMgrs } from '../../core/words/positions.ts';
import type { Loaded } from '../../core/mission/load.ts';
import { readArguments } from './arguments.ts';
import { openMission } from './mission.ts';
import { REFUSED, type Output } from './output.ts';

export async function runPredict(args: readonly string[], output: Output): Promise<number> {
  const given = readArguments(args, { json: 'flag' });
  const [path, ...more] = typeof given === 'string' ? [] : given.files;
  if (typeof given === 'string' || path === undefined || more.length > 0) {
    output.complain(
      'plumbline predict: ' +
        (typeof given === 'string' ? given : 'expected one mission: plumbline predict FILE.mission.json'),
    );
    return REFUSED;
  }
  const loaded = await openMission(path, output);
  if (loaded === null) return REFUSED;
  const prediction = predict(scenarioOf(loaded.mission, loaded.world));
  output.print(given.options.json === true ? JSON.stringify(prediction) : predictionText(loaded, prediction));
  return prediction.landing === null ? REFUSED : 0;
}

type Row = readonly [name: string, value: string];

/** The descent in a dozen lines: what a person reads who has no window. */
export function predictionText({ mission }: Loaded, prediction: Prediction): string {
  const exit_s = epoch_s(mission.exit.time);
  const { landing, opening, peak } = prediction;
  const rows: Row[] = [
    ['Exit', `${clock(exit_s)}  ${height(mission.exit.altitude_m)}  ${formatDegreesMinutes(mission.exit.position)}`],
    [
      'Fastest',
      `${quantity(peak.speed_mps, 'm/s')}, Mach ${number(peak.mach, 2)}, ${duration(peak.time_s)} after exit ` +
        `at ${height(peak.height_m)}`,
    ],
  ];
  for (const stage of prediction.stages) {
    rows.push([
      stage.name,
      `${clock(exit_s + stage.start_s)} to ${clock(exit_s + stage.end_s)}  ${number(stage.startHeight_m)} to ` +
        height(stage.endHeight_m),
    ]);
  }
  if (opening !== null)
    rows.push([
      'Opening',
      `${clock(exit_s + opening.time_s)}  ${height(opening.height_m)}  shock ${quantity(opening.shock_g, 'g', 1)}`,
    ]);
  rows.push(...(landing === null ? [['Landing', '–'] as const] : landingRows(mission, landing, exit_s)));
  const width = Math.max(...rows.map(([name]) => name.length));
  const text = [mission.name, ...rows.map(([name, value]) => `  ${name.padEnd(width)}  ${value}`)];
  for (const warning of prediction.warnings) text.push(`  Note: ${warning}`);
  text.push('  Advisory only: one predicted point, without its spread. Local rules and licensed practice decide.');
  return text.join('\n');
}

/** Where and when it comes down, how far it drifts, and in which zone that is. */
function landingRows(mission: Mission, landing: Landing, exit_s: number): Row[] {
  const drift = inverse(mission.exit.position, landing.position);
  const declination = declination_deg(landing.position, landing.elevation_m, exit_s);
  const magnetic =
    declination.kind === 'known'
      ? `${direction(trueToMagnetic(drift.bearing_deg, declination.deg))} magnetic`
      : declination.why;
  const side = landmarkToward(landmarksOf(mission), landing.position, drift.bearing_deg);
  const where = whereOf(landing.position, mission.landingZones ?? []);
  return [
    [
      'Touchdown',
      `${clock(exit_s + landing.time_s)}  ${duration(landing.time_s)} after exit, ground ` +
        height(landing.elevation_m),
    ],
    [
      'at',
      `${formatDegrees(landing.position, 5)}   ${formatDegreesMinutes(landing.position)}   ` +
        formatMgrs(landing.position),
    ],
    [
      'Drift',
      `${distance(drift.distance_m)} toward ${direction(drift.bearing_deg)} true ` +
        `(${magnetic})${side === null ? '' : `, ${side} side`}`,
    ],
    [
      'Zone',
      where.kind === 'inside'
        ? `in ${where.zone}, ${distance(where.margin_m)} inside its edge`
        : where.kind === 'outside'
          ? `${distance(where.short_m)} outside ${where.zone}`
          : 'the plan names no zone',
    ],
  ];
}
