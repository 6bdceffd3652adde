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
  const min_s = Math.floor(Math.min(...hours, exit_ms / 1000) / STEP_S) * STEP_S;
  const max_s = Math.ceil(Math.max(...hours, exit_ms / 1000) / STEP_S) * STEP_S;
  const look = (value_s: number): void => {
    // The slider moves in steps; the exit lies between two of them and catches what comes near.
    hour_ms.value = Math.abs(value_s * 1000 - exit_ms) < (STEP_S * 1000) / 2 ? null : value_s * 1000;
  };
  const x = (time_s: number): string => `${(((time_s - min_s) / (max_s - min_s)) * 100).toFixed(2)}%`;
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
      <div class="hours-rail">
        <svg width="100%" height="6" aria-hidden="true">
          {hours.map((time_s) => (
            <line key={time_s} x1={x(time_s)} x2={x(time_s)} y1={0} y2={6} stroke="var(--quiet)" />
          ))}
          <line x1={x(exit_ms / 1000)} x2={x(exit_ms / 1000)} y1={0} y2={6} stroke="var(--path)" stroke-width={2} />
          {beside_ms.value === null ? null : (
            <line
              x1={x(beside_ms.value / 1000)}
              x2={x(beside_ms.value / 1000)}
              y1={0}
              y2={6}
              stroke="var(--accent)"
              stroke-width={3}
            />
          )}
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
    </div>
  );
}
