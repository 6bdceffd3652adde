// What using a wind file that is kept out would change: the landing predicted with it, against the landing without.
import { predict } from '../descent/predict.ts';
import { scenarioOf } from '../descent/scenario.ts';
import { inverse } from '../earth/geodesic.ts';
import type { TerrainGrid } from '../earth/terrain.ts';
import type { Mission } from '../plan/schema.ts';
import { assemble } from './load.ts';
import type { WindSource } from './windSource.ts';

export interface LandingMove {
  readonly distance_m: number;
  readonly bearing_deg: number;
}

/** The plan with a file taken. `validTime`: for a file that says no date. */
export function planTaking<P extends Pick<Mission, 'winds'>>(
  plan: P,
  file: string,
  reason: string,
  validTime: string | null = null,
): P {
  const others = (plan.winds?.taken ?? []).filter((one) => one.file !== file);
  const taken = [...others, { file, reason, ...(validTime === null ? {} : { validTime }) }];
  return { ...plan, winds: { ...plan.winds, taken } };
}

/** How far the forecast's landing would move, m and degrees true; null where one of them is not predicted. */
export function landingIfTaken(
  mission: Mission,
  parts: { readonly windSources: readonly WindSource[]; readonly terrain: TerrainGrid | null },
  file: string,
): LandingMove | null {
  const landing = (plan: Mission) => predict(scenarioOf(plan, assemble(plan, parts).world)).landing?.position;
  const [now, then] = [landing(mission), landing(planTaking(mission, file, '–'))];
  if (now === undefined || then === undefined) return null;
  const { distance_m, bearing_deg } = inverse(now, then);
  return { distance_m, bearing_deg };
}
