// "If they leave now, here": a slider over the heights of the balloon's way up, and where that exit would come down.
import type { JSX } from 'preact';
import { inverse } from '../../core/earth/geodesic.ts';
import { whereOf } from '../../core/advice/where.ts';
import { direction, distance, duration, height } from '../format.ts';
import { ascentOf, ascentRange } from '../state/ascent.ts';
import { whereWords } from '../state/landing.ts';
import { timeWords } from '../state/recoveryScene.ts';
import type { Store } from '../state/store.ts';

export function AscentSection({ store }: { readonly store: Store }): JSX.Element | null {
  const range = ascentRange(store);
  const site_m = store.mission.value?.site.elevation_m ?? 0;
  if (range === null) return null;
  const units = store.view.units.value;
  const at = height(range.height_m, units, site_m);
  return (
    <section aria-labelledby="ascent">
      <div class="run">
        <h2 id="ascent">If they leave on the way up</h2>
        <div class="layers">
          <button
            type="button"
            class="word small"
            aria-pressed={range.now}
            onClick={() => {
              store.recovery.ascent_m.value = null;
            }}
          >
            Now, here
          </button>
        </div>
      </div>
      <label class="slider">
        <span class="small quiet">exit at {at}</span>
        <input
          type="range"
          min={range.bottom_m}
          max={range.top_m}
          step={100}
          value={range.height_m}
          aria-label="Height of the exit on the way up"
          aria-valuetext={at}
          onInput={(event) => {
            store.recovery.ascent_m.value = Number(event.currentTarget.value);
          }}
        />
      </label>
      <p id="ascent-words" role="status">
        {wordsOf(store)}
      </p>
    </section>
  );
}

function wordsOf(store: Store): string {
  const tried = ascentOf(store);
  const mission = store.mission.value;
  const units = store.view.units.value;
  if (tried === null || mission === null) return 'The winds are being read.';
  if (tried.kind === 'no exit') return `No such exit: ${tried.why}.`;
  const { landing, warnings } = tried.prediction;
  if (landing === null) return `No landing: ${warnings[0] ?? 'the descent does not reach the ground'}.`;
  const planned = store.prediction.value?.landing ?? null;
  const away = planned === null ? null : inverse(planned.position, landing.position);
  const off = away === null ? '' : `, ${distance(away.distance_m, units)} ${direction(away.bearing_deg)} of the planned landing`;
  const where = whereWords(whereOf(landing.position, mission.landingZones ?? []), units);
  return `Down after ${duration(landing.time_s)} at ${timeWords(store, tried.exit.time_s + landing.time_s)}${off}. ${where}.`;
}
