// Past ◀ now ▶ planned: the log's events and the plan's as ticks, and a handle to look at any moment. At its right the
// switches.
import { useMemo, useRef } from 'preact/hooks';
import type { JSX } from 'preact';
import { useStore } from '../context.ts';
import { age, clock, dayShown, date, duration } from '../../core/words/times.ts';
import type { Units } from '../../core/words/numbers.ts';
import { useSize } from '../parts/useSize.ts';
import type { Store } from '../state/derived/store.ts';
import { togglePlaying, turnReplaySpeed } from '../state/acting/replay.ts';
import { lookChoices, nextOf, turnUnit } from '../state/stored/view.ts';
import { spread } from '../winds/scale.ts';
import { loggedMarks, plannedMarks, spanOf, type TimeMark, type Span } from './timeMarks.ts';
import { Word } from '../parts/buttons.tsx';

export function TimeBar(): JSX.Element {
  const store = useStore();
  return (
    <section class="time" aria-label="Time">
      <Looking store={store} />
      <Rail store={store} />
      <Switches store={store} />
    </section>
  );
}

function Looking({ store }: { readonly store: Store }): JSX.Element {
  const moment = store.moment_ms.value;
  const at = moment === null ? 'now' : clock(moment / 1000, store.units.value);
  return (
    <div class="small looking">
      <div class="nowrap">
        Looking at <strong>{at}</strong>
      </div>
      <div class="nowrap">
        <Replay store={store} />
        {moment === null ? null : (
          <Word title="Alt+N" onClick={() => backToNow(store)}>
            Back to now
          </Word>
        )}
      </div>
    </div>
  );
}

function Replay({ store }: { readonly store: Store }): JSX.Element | null {
  const { playing, speed } = store.replay;
  if (store.log.value.length === 0) return null;
  return (
    <>
      <Word
        title="Alt+P"
        aria-label={playing.value ? 'Pause the replay' : 'Play the log again'}
        onClick={() => togglePlaying(store)}
      >
        {playing.value ? 'Pause' : 'Play'}
      </Word>
      <Word
        title="Speed of the replay: change"
        aria-label={`Replay at ${speed.value} times the speed; change`}
        onClick={() => turnReplaySpeed(store)}
      >
        {speed.value}×
      </Word>
    </>
  );
}

interface RailState {
  readonly moments: readonly TimeMark[];
  readonly span: Span;
  readonly shown_ms: number;
}

function useRail(store: Store): RailState {
  const mission = store.mission.value;
  const expected = store.expected.value;
  const log = store.log.value;
  // A long log is walked when it grows, not with each second.
  const logged = useMemo(() => loggedMarks(log), [log]);
  const moments = useMemo(
    () => [...logged, ...(mission === null ? [] : plannedMarks(mission, expected))],
    [logged, mission, expected],
  );
  // The span follows now by the minute: a bar that creeps every second would never be still.
  const now_ms = Math.floor(store.now_ms.value / 60_000) * 60_000;
  const span = spanOf(moments, now_ms);
  return {
    moments,
    span,
    shown_ms: Math.max(span.from_ms, Math.min(span.to_ms, store.moment_ms.value ?? store.now_ms.value)),
  };
}

/** Where the predicted descent is at a moment; null before the exit and after touchdown. */
function heightAt(store: Store, at_ms: number): number | null {
  const outlook = store.outlook.value;
  if (outlook === null) return null;
  const { track } = outlook.prediction;
  const into_s = at_ms / 1000 - outlook.scenario.exit.time_s;
  const next = track.findIndex((point) => point[0] >= into_s);
  const b = track[next];
  const a = track[next - 1];
  if (a === undefined || b === undefined) return null;
  return a[3] + ((into_s - a[0]) / (b[0] - a[0])) * (b[3] - a[3]);
}

const backToNow = (store: Store): void => {
  store.moment_ms.value = null;
  store.pointedHeight_m.value = null;
};

const STEPS_s: Readonly<Record<string, number>> = {
  ArrowLeft: -10,
  ArrowDown: -10,
  ArrowRight: 10,
  ArrowUp: 10,
  PageDown: -300,
  PageUp: 300,
};

/** The moment that a key leads to; null: the key does not walk. */
function walkedTo({ span, shown_ms }: RailState, { key, shiftKey }: KeyboardEvent): number | null {
  const step = STEPS_s[key];
  if (step !== undefined) return shown_ms + step * 1000 * (shiftKey ? 6 : 1);
  return key === 'Home' ? span.from_ms : key === 'End' ? span.to_ms : null;
}

function Rail({ store }: { readonly store: Store }): JSX.Element {
  const rail = useRef<HTMLDivElement>(null);
  const { width } = useSize(rail);
  const state = useRail(store);
  const units = store.units.value;
  const look = (at_ms: number): void => {
    const moment_ms = Math.round(Math.max(state.span.from_ms, Math.min(state.span.to_ms, at_ms)) / 1000) * 1000;
    store.moment_ms.value = moment_ms;
    store.pointedHeight_m.value = heightAt(store, moment_ms);
  };
  const onKeyDown = (event: JSX.TargetedKeyboardEvent<HTMLDivElement>): void => {
    const to_ms = walkedTo(state, event);
    if (to_ms !== null) look(to_ms);
    else if (event.key === 'Escape' && store.moment_ms.value !== null) backToNow(store);
    else return;
    event.preventDefault();
    event.stopPropagation();
  };
  const lookAt = (event: JSX.TargetedPointerEvent<HTMLDivElement>): void => {
    const box = event.currentTarget.getBoundingClientRect();
    const f = (event.clientX - box.left) / Math.max(1, box.width);
    look(state.span.from_ms + f * (state.span.to_ms - state.span.from_ms));
  };
  return (
    <div
      ref={rail}
      class="rail"
      onPointerDown={(event) => {
        event.currentTarget.setPointerCapture(event.pointerId);
        lookAt(event);
      }}
      onPointerMove={(event) => {
        if (event.buttons === 1 && event.currentTarget.hasPointerCapture(event.pointerId)) lookAt(event);
      }}
    >
      <RailDrawing
        state={state}
        width={width}
        now_ms={store.now_ms.value}
        units={units}
        looking={store.moment_ms.value !== null}
      />
      <div
        id="moment"
        role="slider"
        tabIndex={0}
        aria-label="Moment looked at"
        aria-valuemin={Math.round(state.span.from_ms / 1000)}
        aria-valuemax={Math.round(state.span.to_ms / 1000)}
        aria-valuenow={Math.round(state.shown_ms / 1000)}
        aria-valuetext={
          `${clock(state.shown_ms / 1000, units)}${store.moment_ms.value === null ? ', now' : ''}, ` +
          nearestWords(state)
        }
        style={{ position: 'absolute', inset: '0' }}
        onKeyDown={onKeyDown}
      />
    </div>
  );
}

/** The moment nearest to the handle, for those who hear it: "2 min 10 s before opening". */
function nearestWords(state: RailState): string {
  const nearest = state.moments.reduce<TimeMark | null>(
    (best, one) =>
      best === null || Math.abs(one.at_ms - state.shown_ms) < Math.abs(best.at_ms - state.shown_ms) ? one : best,
    null,
  );
  if (nearest === null) return 'nothing planned';
  const off_s = (state.shown_ms - nearest.at_ms) / 1000;
  return Math.abs(off_s) < 1
    ? `at ${nearest.name}`
    : `${duration(Math.abs(off_s))} ${off_s < 0 ? 'before' : 'after'} ${nearest.name}`;
}

interface DrawingProps {
  readonly state: RailState;
  readonly width: number;
  readonly now_ms: number;
  readonly units: Units;
  readonly looking: boolean;
}

function RailDrawing({ state, width, now_ms, units, looking }: DrawingProps): JSX.Element | null {
  if (!(width > 100)) return null;
  const { from_ms, to_ms } = state.span;
  const x = (at_ms: number): number => ((at_ms - from_ms) / (to_ms - from_ms)) * width;
  const now = Math.max(0, Math.min(width, x(now_ms)));
  const outside = now_ms < from_ms || now_ms > to_ms;
  const planned = state.moments.filter((moment) => moment.kind === 'planned');
  // A 12 px letter is about 6.2 px wide; 10 px keep neighbours apart.
  const names = spread(
    planned.map((moment) => x(moment.at_ms)),
    planned.map((moment) => moment.name.length * 6.2 + 10),
    0,
    width,
  );
  const handle = x(state.shown_ms);
  const endText = (at_ms: number): string =>
    `${date(at_ms / 1000)} ${clock(at_ms / 1000, { ...units, today: dayShown(at_ms / 1000, units) })}`;
  return (
    <svg viewBox={`0 0 ${width} 48`} aria-hidden="true">
      <line x1={0} x2={now} y1={24} y2={24} stroke="var(--quiet)" stroke-width={2} />
      <line x1={now} x2={width} y1={24} y2={24} stroke="var(--quiet)" stroke-width={1} stroke-dasharray="2 3" />
      <LoggedTicks moments={state.moments} span={state.span} width={width} units={units} />
      {planned.map((moment) => (
        <path key={moment.name} d={`M${x(moment.at_ms)} 19v10`} stroke="var(--path)" stroke-width={2}>
          <title>{`${moment.name}, ${clock(moment.at_ms / 1000, units)}`}</title>
        </path>
      ))}
      {planned.map((moment, i) => (
        <text key={moment.name} x={names[i]} y={12} text-anchor="middle">
          {moment.name}
        </text>
      ))}
      <text x={0} y={44}>
        {endText(from_ms)}
      </text>
      <text x={width} y={44} text-anchor="end">
        {endText(to_ms)}
      </text>
      {outside ? (
        <text x={width / 2} y={44} text-anchor="middle">
          {now_ms < from_ms
            ? `◀ now is ${age((from_ms - now_ms) / 1000)} before this`
            : `now is ${age((now_ms - to_ms) / 1000)} after this ▶`}
        </text>
      ) : (
        <path d={`M${now} 17l4 -6h-8Z`} fill="var(--ink)" />
      )}
      <circle
        cx={handle}
        cy={24}
        r={looking ? 6 : 5}
        fill={looking ? 'var(--accent)' : 'var(--paper)'}
        stroke="var(--accent)"
        stroke-width={2}
      />
    </svg>
  );
}

interface TicksProps extends Pick<DrawingProps, 'width' | 'units'> {
  readonly moments: readonly TimeMark[];
  readonly span: Span;
}

/** The log's events, one tick a pixel at most: ten thousand reports are as many ticks as the bar has pixels. */
function LoggedTicks({ moments, span, width, units }: TicksProps): JSX.Element {
  const { from_ms, to_ms } = span;
  const ticks = useMemo(() => {
    const found = new Map<number, { readonly first: TimeMark; count: number }>();
    for (const moment of moments) {
      if (moment.kind !== 'logged') continue;
      const px = Math.round(((moment.at_ms - from_ms) / (to_ms - from_ms)) * width);
      const there = found.get(px);
      if (there === undefined) found.set(px, { first: moment, count: 1 });
      else there.count += 1;
    }
    return [...found];
  }, [moments, from_ms, to_ms, width]);
  return (
    <g>
      {ticks.map(([px, { first, count }]) => (
        <path key={px} d={`M${px} 24v${count > 1 ? -9 : -7}`} stroke="var(--quiet)" stroke-width={1}>
          <title>{`${first.name}, ${clock(first.at_ms / 1000, units)}${count > 1 ? `, and ${count - 1} more` : ''}`}</title>
        </path>
      ))}
    </g>
  );
}

const unitSwitches = [
  { name: 'length', label: 'Lengths', chord: 'Alt+U' },
  { name: 'speed', label: 'Speeds', chord: 'Alt+S' },
  { name: 'height', label: 'Heights', chord: 'Alt+H' },
  { name: 'time', label: 'Times', chord: 'Alt+T' },
] as const;

/** One switch each; the word on it is what is in force. */
function Switches({ store }: { readonly store: Store }): JSX.Element {
  const units = store.units.value;
  return (
    <div class="switches" role="group" aria-label="Units and look">
      {unitSwitches.map(({ name, label, chord }) => (
        <Word
          key={name}
          data-switch={name}
          title={`${label}: change (${chord})`}
          aria-label={`${label} in ${units[name]}; change`}
          onClick={() => (store.view.units.value = turnUnit(store.view.units.value, name))}
        >
          {units[name]}
        </Word>
      ))}
      <Word
        data-switch="look"
        title="Look: change (Alt+L)"
        aria-label={`Look: ${store.view.lookChoice.value}; change`}
        onClick={() => (store.view.lookChoice.value = nextOf(lookChoices, store.view.lookChoice.value))}
      >
        {store.view.lookChoice.value}
      </Word>
    </div>
  );
}
