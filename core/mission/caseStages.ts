// Body stages cut and joined for a case: a fall that ends higher, a fall without its drogue. Heights m MSL.
import { isDrogue } from '../descent/body.ts';
import type { Stage } from '../plan/schema.ts';

/**
 * The stages of a fall that ends at a height: those before it as they are, the one that passes it cut there. A stage
 * ended by time or Mach number counts as above the height unless it is the last: what ends high (a first stabilising)
 * is ended so.
 */
export function stagesDownTo(stages: readonly Stage[], height_m: number, site_m: number): Stage[] {
  const kept: Stage[] = [];
  for (const [i, stage] of stages.entries()) {
    const until = stage.until;
    const above =
      until !== undefined &&
      ('msl_m' in until
        ? until.msl_m > height_m
        : 'agl_m' in until
          ? site_m + until.agl_m > height_m
          : i < stages.length - 1);
    if (!above) return [...kept, { ...stage, until: { msl_m: height_m } }];
    kept.push(stage);
  }
  return kept;
}

/**
 * The stages with the drogue left out: the stage before it lasts until the drogue would have ended; where the drogue
 * comes first, the stage after it begins at once. Null where there is no drogue, or nothing but drogues.
 */
export function withoutDrogue(stages: readonly Stage[]): Stage[] | null {
  if (!stages.some(isDrogue) || stages.every(isDrogue)) return null;
  const kept: Stage[] = [];
  for (const stage of stages) {
    const before = kept.at(-1);
    if (!isDrogue(stage)) kept.push(stage);
    else if (before !== undefined) kept[kept.length - 1] = { ...before, until: stage.until };
  }
  return kept;
}
