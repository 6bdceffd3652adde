// "If they leave now, here": the descent of an exit on the balloon's way up, at the height of the slider, worked out as
// it moves.
import { exitDuringAscent, type AscentExit } from '../../../core/mission/cases.ts';
import type { Situation } from '../../../core/mission/situation.ts';
import type { Store } from './store.ts';

export interface AscentRange {
  readonly bottom_m: number;
  readonly top_m: number;
  readonly height_m: number;
  /** The height is the balloon's at the moment that is shown, not one that was chosen. */
  readonly now: boolean;
}

/** The heights that the balloon still has before it; null where the plan has none. */
export function ascentRange(store: Store): AscentRange | null {
  const carrier = store.mission.value?.carrier;
  if (carrier?.kind !== 'balloon') return null;
  const now_m = balloonNow_m(store);
  const bottom_m = Math.ceil(Math.max(carrier.launch.elevation_m + 100, now_m ?? -Infinity));
  const top_m = Math.floor(carrier.float_m);
  if (!(top_m > bottom_m)) return null;
  const asked = store.recovery.ascent_m.value;
  const here_m = asked ?? now_m ?? top_m / 2;
  return { bottom_m, top_m, height_m: Math.round(Math.min(Math.max(here_m, bottom_m), top_m)), now: asked === null };
}

/** Where the balloon is at the moment that is shown: its last fix, else its planned way; null before its launch. */
function balloonNow_m(store: Store): number | null {
  const at_s = store.shown_s.value;
  const fix = store.situation.value?.state.fixes.get('gondola')?.at(-1);
  if (fix !== undefined && fix.height_m !== null) return fix.height_m;
  const points = store.decision.advice.value?.carrier?.points ?? [];
  const after = points.findIndex((point) => point.time_s >= at_s);
  return after <= 0 ? null : (points[after]?.height_m ?? null);
}

/** Null where no balloon rises; the advice's way of the balloon is taken where it is known. */
export function ascentOf(store: Store): AscentExit | null {
  const range = ascentRange(store);
  const situation = store.situation.value;
  const world = store.world.value;
  if (range === null || situation === null || world === null) return null;
  const path = store.decision.advice.value?.carrier;
  const here: Situation = { ...situation, world };
  return path == null ? exitDuringAscent(here, range.height_m) : exitDuringAscent(here, range.height_m, path);
}
