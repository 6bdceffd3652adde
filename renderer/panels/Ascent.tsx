// "If they leave now, here": a slider over the heights of the balloon's way up, and where that exit would come down.
import type { JSX } from 'preact';
import { inverse } from '../../core/earth/geodesic.ts';
import { whereOf } from '../../core/recovery/where.ts';
import { ascentOf, ascentRange } from '../state/derived/ascent.ts';
import { timeWords } from '../state/derived/recoveryScene.ts';
import { ascentKey, ascentWhy, type AscentColumn, type AscentOf } from '../state/explaining/othersWhy.ts';
import type { Store } from '../state/derived/store.ts';
import { direction } from '../../core/words/winds.ts';
import { distance, height } from '../../core/words/lengths.ts';
import { duration } from '../../core/words/times.ts';
import { whereWords } from '../../core/recovery/where.ts';
import { LineWords, type LinePart } from '../strip/LineWords.tsx';
import { Word } from '../parts/buttons.tsx';

export function AscentSection({ store }: { readonly store: Store }): JSX.Element | null {
  const range = ascentRange(store);
  const site_m = store.mission.value?.site.elevation_m ?? 0;
  if (range === null) return null;
  const units = store.units.value;
  const at = height(range.height_m, units, site_m);
  return (
    <section aria-labelledby="ascent">
      <div class="run">
        <h2 id="ascent">If they leave on the way up</h2>
        <div class="layers">
          <Word small aria-pressed={range.now} onClick={() => (store.recovery.ascent_m.value = null)}>
            Now, here
          </Word>
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
          onInput={(event) => (store.recovery.ascent_m.value = Number(event.currentTarget.value))}
        />
      </label>
      <p id="ascent-words" role="status">
        <LineWords store={store} id="ascent-line" parts={partsOf(store)} />
      </p>
    </section>
  );
}

function partsOf(store: Store): readonly LinePart[] {
  const tried = ascentOf(store);
  const mission = store.mission.value;
  const units = store.units.value;
  if (tried === null || mission === null) return [{ words: 'The winds are being read.' }];
  if (tried.kind === 'no exit') return [{ words: `No such exit: ${tried.why}.` }];
  const { landing, warnings } = tried.prediction;
  if (landing === null) return [{ words: `No landing: ${warnings[0] ?? 'the descent does not reach the ground'}.` }];
  const planned = store.prediction.value?.landing?.position ?? null;
  const where = whereOf(landing.position, mission.landingZones ?? []);
  const of: AscentOf = { mission, world: store.world.value, units, exit: tried.exit, landing, planned, where };
  const told = (column: AscentColumn, what: string, words: string): LinePart => ({
    words,
    told: { key: ascentKey(column), panel: 'Cases', what, why: () => ascentWhy(of, column) },
  });
  const away = planned === null ? null : inverse(planned, landing.position);
  return [
    { words: 'Down after ' },
    told('time', 'time to the ground of an exit on the way up', duration(landing.time_s)),
    { words: ' at ' },
    told('touchdown', 'touchdown of an exit on the way up', timeWords(store, tried.exit.time_s + landing.time_s)),
    ...(away === null
      ? []
      : [
          { words: ', ' },
          told('away', 'distance and direction', `${distance(away.distance_m, units)} ${direction(away.bearing_deg)}`),
          { words: ' of the planned landing' },
        ]),
    { words: '. ' },
    told('where', 'landing of an exit on the way up', whereWords(where, units)),
    { words: '.' },
  ];
}
