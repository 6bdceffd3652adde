// Which hour's wind the column shows: a slider over the hours that the forecasts cover, from the exit's; and a second
// hour to compare with, which is the one that was shown when Compare was pressed.
import type { JSX } from 'preact';
import { useStore } from '../context.ts';
import type { Store } from '../state/derived/store.ts';
import { age, clock } from '../../core/words/times.ts';
import { hoursOf } from './reportData.ts';
import { Word } from '../parts/buttons.tsx';

const STEP_S = 600;

/** "07:42:00Z (exit)", "09:00:00Z, 1 h 18 min after exit". */
export function hourWords(store: Store, hour_ms: number, brief = false): string {
  const mission = store.mission.value;
  if (mission === null) return '';
  const off_s = (hour_ms - store.exit_ms.value) / 1000;
  const at = clock(hour_ms / 1000, store.units.value).replace(/:00(?=Z| )/, '');
  if (Math.abs(off_s) < 1) return brief ? 'exit' : `${at} (exit)`;
  return brief ? at : `${at}, ${age(Math.abs(off_s))} ${off_s > 0 ? 'after' : 'before'} exit`;
}

export function Hours(): JSX.Element | null {
  const store = useStore();
  const mission = store.mission.value;
  const world = store.world.value;
  const { hour_ms, beside_ms } = store.reports;
  if (mission === null || world === null) return null;
  const exit_ms = store.exit_ms.value;
  const hours = hoursOf(world);
  const shown_ms = hour_ms.value ?? exit_ms;
  if (hours.length < 2)
    return <p class="hours small quiet">Wind at {hourWords(store, exit_ms)}: one forecast hour only.</p>;
  return (
    <div class="hours small">
      <div class="hours-head">
        <span>
          Wind at <strong>{hourWords(store, shown_ms)}</strong>
        </span>
        <Word
          small
          aria-pressed={beside_ms.value !== null}
          title={
            beside_ms.value === null
              ? 'Keep this hour beside the next one you look at'
              : `Compared with ${hourWords(store, beside_ms.value)}`
          }
          onClick={() => (beside_ms.value = beside_ms.value === null ? shown_ms : null)}
        >
          Compare
        </Word>
      </div>
      <HoursRail store={store} hours={hours} shown_ms={shown_ms} />
    </div>
  );
}

interface RailProps {
  readonly store: Store;
  /** s since 1970. */
  readonly hours: readonly number[];
  readonly shown_ms: number;
}

function HoursRail({ store, hours, shown_ms }: RailProps): JSX.Element {
  const { hour_ms, beside_ms } = store.reports;
  const exit_s = store.exit_ms.value / 1000;
  const min_s = Math.floor(Math.min(...hours, exit_s) / STEP_S) * STEP_S;
  const max_s = Math.ceil(Math.max(...hours, exit_s) / STEP_S) * STEP_S;
  const look = (value_s: number): void => {
    // The slider moves in steps; the exit lies between two of them and catches what comes near.
    hour_ms.value = Math.abs(value_s - exit_s) < STEP_S / 2 ? null : value_s * 1000;
  };
  const tick = (time_s: number, role: string, width = 1): JSX.Element => {
    const x = `${(((time_s - min_s) / (max_s - min_s)) * 100).toFixed(2)}%`;
    return <line key={time_s} x1={x} x2={x} y1={0} y2={6} stroke={`var(--${role})`} stroke-width={width} />;
  };
  return (
    <div class="hours-rail">
      <svg width="100%" height="6" aria-hidden="true">
        {hours.map((time_s) => tick(time_s, 'quiet'))}
        {tick(exit_s, 'path', 2)}
        {beside_ms.value === null ? null : tick(beside_ms.value / 1000, 'accent', 3)}
      </svg>
      <input
        id="wind-hour"
        type="range"
        aria-label="Hour of the wind shown"
        aria-valuetext={hourWords(store, shown_ms)}
        min={min_s}
        max={max_s}
        step={STEP_S}
        value={Math.round(shown_ms / 1000 / STEP_S) * STEP_S}
        onInput={(event) => look(Number(event.currentTarget.value))}
      />
    </div>
  );
}
