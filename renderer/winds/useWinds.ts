// The wind in force over the site at the hour that is looked at, with its error: what chart and table show.
import { useMemo } from 'preact/hooks';
import type { Store } from '../state/derived/store.ts';
import { profileOf } from '../state/derived/winds.ts';
import type { ErrorPoint, ProfilePoint } from './model.ts';
import { errorsAt } from './reportData.ts';

export interface WindsShown {
  readonly time_s: number;
  /** From the ground to `top_m`; empty while no mission is open. */
  readonly profile: readonly ProfilePoint[];
  readonly errors: readonly ErrorPoint[];
}

export function useWinds(store: Store, top_m: number): WindsShown {
  const mission = store.mission.value;
  const world = store.world.value;
  const time_s = (store.reports.hour_ms.value ?? store.exit_ms.value) / 1000;
  return useMemo(
    () =>
      mission === null || world === null
        ? { time_s, profile: [], errors: [] }
        : {
            time_s,
            profile: profileOf(mission, world, top_m, { time_s }),
            errors: errorsAt(mission, world, time_s, top_m),
          },
    [mission, world, top_m, time_s],
  );
}
