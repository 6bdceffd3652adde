// `plumbline predict`: one descent as planned, as text for people or as the JSON of FORMAT.md.
import { landmarkToward, whereOf } from '../../core/recovery/where.ts';
import { predict } from '../../core/descent/predict.ts';
import type { Prediction } from '../../core/descent/prediction.ts';
import { epoch_s, scenarioOf } from '../../core/descent/scenario.ts';
import { declination_deg, trueToMagnetic } from '../../core/earth/declination.ts';
import { inverse } from '../../core/earth/geodesic.ts';
import { formatDegrees, formatDegreesMinutes, formatMgrs } from '../../core/earth/grid.ts';
import type { Loaded } from '../../core/mission/load.ts';
import { readArguments } from './arguments.ts';
import { openMission } from './mission.ts';
import { REFUSED, type Output } from './output.ts';

export async function runPredict(args: readonly string[], output: Output): Promise<number> {
  const given = readArguments(args, { json: 'flag' });
  const [path, ...more] = typeof given === 'string' ? [] : given.files;
  if (typeof given === 'string' || path === undefined || more.length > 0) {
    output.complain(
      `plumbline predict: ${typeof given === 'string' ? given : 'expected one mission: plumbline predict FILE.mission.json'}`,
    );
    return REFUSED;
  }
  const loaded = await openMission(path, output);
  if (loaded === null) return REFUSED;
  const prediction = predict(scenarioOf(loaded.mission, loaded.world));
  output.print(given.options.json === true ? JSON.stringify(prediction) : predictionText(loaded, prediction));
  return prediction.landing === null ? REFUSED : 0;
}

const whole = (x: number): string =>
  Math.round(x)
    .toString()
    .replace(/\B(?=(\d{3})+$)/g, '\u202f');
const degrees3 = (x: number): string => `${String(Math.round(x) % 360).padStart(3, '0')}°`;
const clock = (epoch: number): string => `${new Date(Math.round(epoch) * 1000).toISOString().slice(11, 19)}Z`;
const minutes = (t: number): string =>
  `${Math.floor(Math.round(t) / 60)} min ${String(Math.round(t) % 60).padStart(2, '0')} s`;

/** The descent in a dozen lines: what a person reads who has no window. */
export function predictionText({ mission }: Loaded, prediction: Prediction): string {
  const exit_s = epoch_s(mission.exit.time);
  const { landing, opening, peak } = prediction;
  const rows: [string, string][] = [
    [
      'Exit',
      `${clock(exit_s)}  ${whole(mission.exit.altitude_m)} m MSL  ${formatDegreesMinutes(mission.exit.position)}`,
    ],
    [
      'Fastest',
      `${whole(peak.speed_mps)} m/s, Mach ${peak.mach.toFixed(2)}, ${minutes(peak.time_s)} after exit at ${whole(peak.height_m)} m MSL`,
    ],
  ];
  for (const stage of prediction.stages) {
    rows.push([
      stage.name,
      `${clock(exit_s + stage.start_s)} to ${clock(exit_s + stage.end_s)}  ${whole(stage.startHeight_m)} to ${whole(stage.endHeight_m)} m MSL`,
    ]);
  }
  if (opening !== null)
    rows.push([
      'Opening',
      `${clock(exit_s + opening.time_s)}  ${whole(opening.height_m)} m MSL  shock ${opening.shock_g.toFixed(1)} g`,
    ]);
  if (landing === null) rows.push(['Landing', '–']);
  else {
    const drift = inverse(mission.exit.position, landing.position);
    const declination = declination_deg(landing.position, landing.elevation_m, exit_s);
    const magnetic =
      declination.kind === 'known'
        ? `${degrees3(trueToMagnetic(drift.bearing_deg, declination.deg))} magnetic`
        : declination.why;
    const side = landmarkToward(landing.position, mission.landmarks ?? [], drift.bearing_deg);
    const where = whereOf(landing.position, mission.landingZones ?? []);
    rows.push(
      [
        'Touchdown',
        `${clock(exit_s + landing.time_s)}  ${minutes(landing.time_s)} after exit, ground ${whole(landing.elevation_m)} m MSL`,
      ],
      [
        'at',
        `${formatDegrees(landing.position, 5)}   ${formatDegreesMinutes(landing.position)}   ${formatMgrs(landing.position)}`,
      ],
      [
        'Drift',
        `${whole(drift.distance_m)} m toward ${degrees3(drift.bearing_deg)} true (${magnetic})${side === null ? '' : `, ${side} side`}`,
      ],
      [
        'Zone',
        where.kind === 'inside'
          ? `in ${where.zone}, ${whole(where.margin_m)} m inside its edge`
          : where.kind === 'outside'
            ? `${whole(where.short_m)} m outside ${where.zone}`
            : 'the plan names no zone',
      ],
    );
  }
  const width = Math.max(...rows.map(([name]) => name.length));
  const text = [mission.name, ...rows.map(([name, value]) => `  ${name.padEnd(width)}  ${value}`)];
  for (const warning of prediction.warnings) text.push(`  Note: ${warning}`);
  text.push('  Advisory only: one predicted point, without its spread. Local rules and licensed practice decide.');
  return text.join('\n');
}
