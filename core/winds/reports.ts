// From a report as somebody gave it to an observation as the analysis takes it: height above sea level, vector at ten
// metres or above, and the standard error that source, wording and measuring height imply.
import type { LonLat } from '../base/units.ts';
import { windVector } from '../base/units.ts';
import type { Correction, WindReport } from '../log/events.ts';
import type { ReportState } from '../log/fold.ts';
import type { Observation } from './analysis.ts';
import { isBelowGround, LOG_LAYER_M, toTenMetres } from './nearGround.ts';
import { SOURCE_ERRORS, sourceStd_mps } from '../log/sources.ts';

/** What the conversion needs to know of the ground. */
export interface ReportGround {
  /** Height of the ground at a place, m MSL. */
  groundAt(position: LonLat): number;
  readonly roughness_m: number;
}

/** Height above ground at which a report was measured; what it leaves out is its source's usual height. */
export function measuredAgl_m(event: WindReport | Correction, ground_m: number): number {
  if (event.agl_m !== undefined) return event.agl_m;
  if (event.height_m !== undefined) return event.height_m - ground_m;
  return SOURCE_ERRORS[event.source].usual_agl_m ?? LOG_LAYER_M;
}

/** Whether a report says a wind where there is no air. */
export const isFromBelowGround = (event: WindReport | Correction, ground_m: number): boolean =>
  isBelowGround(ground_m + measuredAgl_m(event, ground_m), ground_m);

/**
 * One observation of a report that counts. A wind from below 10 m above ground is brought to 10 m, and its error with
 * it: the lowest metres follow from there by the logarithmic profile. A direction that swings all round is a calm with
 * an error as large as its speed.
 */
export function observationOf(report: ReportState, ground: ReportGround): Observation {
  const { event, position } = report;
  const { roughness_m } = ground;
  const ground_m = ground.groundAt(position);
  const last = lastMade.get(event);
  if (
    last !== undefined &&
    last.position === position &&
    last.ground_m === ground_m &&
    last.roughness_m === roughness_m
  ) {
    return last.observation;
  }
  const observation = observe(report, ground_m, roughness_m);
  lastMade.set(event, { position, ground_m, roughness_m, observation });
  return observation;
}

/** An observation with everything that it follows from beside the event itself. */
interface Made {
  readonly position: LonLat;
  readonly ground_m: number;
  readonly roughness_m: number;
  readonly observation: Observation;
}

/**
 * The whole log is analysed again with every event that comes in, and of most reports nothing has changed: the last
 * answer is kept.
 */
const lastMade = new WeakMap<WindReport | Correction, Made>();

function observe({ event, id, observed_s, position }: ReportState, ground_m: number, roughness_m: number): Observation {
  const agl_m = measuredAgl_m(event, ground_m);
  const factor = toTenMetres(agl_m, roughness_m);
  const height_m = ground_m + Math.max(agl_m, LOG_LAYER_M);
  const [u, v] = event.variable === true ? [0, 0] : windVector(event.from_deg, event.speed_mps);
  const own = event.std_mps ?? sourceStd_mps(event.source, height_m);
  const swing = event.variable === true ? event.speed_mps / Math.SQRT2 : 0;
  const who = event.by ?? event.place ?? '';
  // Within a hundredth of a degree, about a kilometre, it is the same observer in the same place.
  const where = `${Math.round(position[0] * 100)},${Math.round(position[1] * 100)}`;
  return {
    id,
    observer: `${event.source}|${who}|${where}`,
    ...(who === '' ? {} : { by: `${event.source}|${who}` }),
    ...(event.source === 'pilot-balloon' || event.source === 'sounding' ? { ascent: true } : {}),
    time_s: observed_s,
    position,
    height_m,
    u_mps: u * factor,
    v_mps: v * factor,
    std_mps: Math.hypot(own, event.spread_mps ?? 0, swing) * factor,
    ...(event.height_m === undefined || event.agl_m !== undefined ? { aboveGround_m: agl_m } : {}),
  };
}
