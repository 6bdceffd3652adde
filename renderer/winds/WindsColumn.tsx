// The winds at the left: which column is looked at, the chart, the wind at the pointed height in words, and the level
// that is edited. The levels are a list for the keyboard: arrows walk, Enter edits, Delete strikes, Insert adds,
// Shift+Delete removes.
import { landmarksOf } from '../../core/plan/places.ts';
import { useMemo, useRef } from 'preact/hooks';
import type { Signal } from '@preact/signals';
import type { JSX } from 'preact';
import { useStore } from '../context.ts';
import { age } from '../../core/words/times.ts';
import { celsius, speed, windBothWays, windWords } from '../../core/words/winds.ts';
import { height } from '../../core/words/lengths.ts';
import { type Units, capital } from '../../core/words/numbers.ts';
import { useSize } from '../parts/useSize.ts';
import { detach } from '../state/acting/actions.ts';
import { showReports } from '../state/acting/commands.ts';
import { fieldSelector, focusWhenDrawn } from '../state/acting/focus.ts';
import { expectedLanding, type Store } from '../state/derived/store.ts';
import { curves, ranges } from '../state/stored/view.ts';
import { landmarkToward } from '../../core/words/places.ts';
import {
  columnWords,
  columnsOf,
  extrapolatedRanges,
  heightMarks,
  isInForce,
  isMeasured,
  nearestInTime,
  profileOf,
  type ColumnChoice,
  type LevelRow,
} from '../state/derived/winds.ts';
import { namedSources } from '../model.ts';
import { Chart, frameOf } from './Chart.tsx';
import { originMark, profileAt } from './profile.ts';
import { barsOf, layerWords } from './decides.ts';
import { DecidingLine } from './DecidingLine.tsx';
import { ADD, LevelEditor, strikeOrRemove } from './LevelEditor.tsx';
import { KeptOut } from './KeptOut.tsx';
import { Hours, hourWords } from './Hours.tsx';
import { Legend } from './Legend.tsx';
import type { ChartData } from './model.ts';
import { chartReports, differenceWords, largestDifference } from './reportData.ts';
import { useWinds } from './useWinds.ts';
import { fromPx, toPx } from './scale.ts';
import { Word } from '../parts/buttons.tsx';

export interface Shown {
  readonly columns: readonly ColumnChoice[];
  readonly column: ColumnChoice | null;
  readonly data: ChartData;
}

/** All that the column shows; null while no mission is open. */
function useShown(store: Store): Shown | null {
  const plan = store.plan.value;
  const mission = store.mission.value;
  const world = store.world.value;
  const beside = store.beside.value;
  const prediction = store.prediction.value;
  const units = store.units.value;
  const range = store.view.range.value;
  const columns = useMemo(
    () =>
      plan === null || mission === null || beside === null
        ? []
        : columnsOf(plan, mission, namedSources(mission, beside)),
    [plan, mission, beside],
  );
  const ground = mission?.site.elevation_m ?? 0;
  const full = (mission?.exit.altitude_m ?? 0) + ((mission?.exit.altitude_m ?? 0) - ground) * 0.04;
  const low = Math.max(ground + 3000, (prediction?.opening?.height_m ?? ground) + 500);
  const top = Math.max(ground + 500, range === 'low' ? Math.min(low, full) : full);
  const live = useLive(store, top);
  const k = store.decision.advice.value?.sensitivity ?? null;
  const sensitivity = useMemo(() => (k === null ? [] : barsOf(k, ground)), [k, ground]);
  if (mission === null || world === null) return null;
  const column =
    columns.find((one) => one.key === store.chosenColumn.value) ?? nearestInTime(columns, store.exit_ms.value);
  const data: ChartData = {
    bottom_m: ground - (top - ground) * 0.01,
    top_m: top,
    ground_m: ground,
    units,
    curve: store.view.curve.value,
    hemisphere: mission.site.position[1] < 0 ? 'south' : 'north',
    ...live,
    sensitivity,
    levels: column?.levels ?? [],
    marks: heightMarks(mission, prediction),
    pointed_m: store.pointedHeight_m.value,
    chosen: store.chosenLevel.value,
  };
  return { columns, column, data };
}

/** The wind in force at the hour that is looked at, what stands beside it, and the reports. */
function useLive(
  store: Store,
  top: number,
): Pick<ChartData, 'profile' | 'others' | 'errors' | 'reports' | 'chosenReport'> {
  const mission = store.mission.value;
  const world = store.world.value;
  const situation = store.situation.value;
  const { beside_ms, chosen } = store.reports;
  const beside = beside_ms.value;
  const inForce = useWinds(store, top);
  const { time_s } = inForce;
  const others = useMemo(() => {
    if (mission === null || world === null) return [];
    const forecast = world.analysis === null ? null : profileOf(mission, world, top, { time_s, forecastAlone: true });
    const other = beside === null ? null : profileOf(mission, world, top, { time_s: beside / 1000 });
    return [
      ...(forecast === null ? [] : [{ kind: 'forecast' as const, profile: forecast }]),
      ...(other === null ? [] : [{ kind: 'beside' as const, profile: other }]),
    ];
  }, [mission, world, top, beside, time_s]);
  const table = store.reportTable.value;
  const reports = useMemo(() => (situation === null ? [] : chartReports(situation, table)), [situation, table]);
  return { profile: inForce.profile, errors: inForce.errors, others, reports, chosenReport: chosen.value };
}

export function WindsColumn(): JSX.Element {
  const store = useStore();
  const shown = useShown(store);
  if (shown === null) return <section class="winds" aria-label="Winds" />;
  return (
    <section class="winds" aria-label="Winds">
      <Head store={store} shown={shown} />
      <KeptOut store={store} />
      <Hours />
      <ChartArea store={store} shown={shown} />
      <Sources store={store} shown={shown} />
      <div class="below">
        {store.chosenLevel.value === null ? (
          <Reading store={store} shown={shown} />
        ) : (
          <LevelEditor store={store} column={shown.column} />
        )}
      </div>
    </section>
  );
}

const curveNames = { wind: 'speed', 'east and north': 'E, N', temperature: 'temp.' } as const;
const rangeNames = { whole: 'all', low: 'low' } as const;

function Head({ store, shown }: { readonly store: Store; readonly shown: Shown }): JSX.Element {
  const { columns, column } = shown;
  const file = column?.file ?? null;
  const addFile = (): void => document.querySelector<HTMLElement>('#wind-file')?.click();
  return (
    <>
      <header>
        <h2>Winds</h2>
        {file === null ? null : (
          <Word small onClick={() => detach(store, file)} title={`Take ${file} out of the plan`}>
            Take file out
          </Word>
        )}
        <Word small onClick={addFile} title="Add a wind file (Ctrl+I)">
          Add a file
        </Word>
        <Word
          small
          onClick={() => showReports(store, 'table')}
          title="The winds by height, to read aloud, copy and print (Alt+V)"
        >
          Table
        </Word>
      </header>
      <div class="switches">
        {columns.length === 0 ? (
          <span class="quiet">no wind given</span>
        ) : (
          <select
            aria-label="Wind column shown"
            class="column-choice"
            value={column?.key ?? ''}
            onChange={(event) => {
              store.chosenColumn.value = event.currentTarget.value;
              store.chosenLevel.value = null;
            }}
          >
            {columns.map((one) => (
              <option key={one.key} value={one.key}>
                {columnWords(one, store.units.value)}
              </option>
            ))}
          </select>
        )}
      </div>
      <div class="switches">
        <Segments label="Curve" choices={curves} names={curveNames} value={store.view.curve} />
        <Segments label="Heights shown" choices={ranges} names={rangeNames} value={store.view.range} />
      </div>
    </>
  );
}

interface SegmentsProps<T extends string> {
  readonly label: string;
  readonly choices: readonly T[];
  readonly names: Readonly<Record<T, string>>;
  readonly value: Signal<T>;
}

function Segments<T extends string>({ label, choices, names, value }: SegmentsProps<T>): JSX.Element {
  return (
    <span role="group" aria-label={label}>
      {choices.map((choice) => (
        <Word key={choice} aria-pressed={value.value === choice} onClick={() => (value.value = choice)}>
          {names[choice]}
        </Word>
      ))}
    </span>
  );
}

/** What a level is, for the list: "1500 m MSL, from 090° (east), 7 kt, by hand". */
function levelWords(level: LevelRow, units: Units, ground_m: number): string {
  const struck = level.struck ? 'struck: ' : '';
  const wind = windWords(level.from_deg, level.speed_mps, units);
  return `${struck}${height(level.height_m, units, ground_m)}, ${wind}, ${level.source}`;
}

function ChartArea({ store, shown }: { readonly store: Store; readonly shown: Shown }): JSX.Element {
  const area = useRef<HTMLDivElement>(null);
  const size = useSize(area);
  const { data, column } = shown;
  const levels = column?.levels ?? [];
  const frame = frameOf(size, data.bottom_m, data.top_m);
  const heightAt = (event: PointerEvent): number =>
    fromPx(frame.heights, event.clientY - (area.current?.getBoundingClientRect().top ?? 0));
  const point = (event: PointerEvent): void => {
    const at = heightAt(event);
    store.pointedHeight_m.value = at >= data.bottom_m && at <= data.top_m ? Math.max(data.ground_m, at) : null;
  };
  const press = (event: PointerEvent): void => {
    const at = heightAt(event);
    const perPx = (data.top_m - data.bottom_m) / Math.max(1, size.height);
    const near = [...levels].sort((a, b) => Math.abs(a.height_m - at) - Math.abs(b.height_m - at))[0];
    if (near !== undefined && Math.abs(near.height_m - at) <= 9 * perPx) store.chosenLevel.value = near.key;
  };
  return (
    <div
      ref={area}
      class="chart"
      onPointerMove={point}
      onPointerLeave={() => (store.pointedHeight_m.value = null)}
      onPointerDown={press}
    >
      <Chart data={data} size={size} />
      <LevelList store={store} levels={levels} data={data} yOf={(height_m) => toPx(frame.heights, height_m)} />
    </div>
  );
}

interface ListProps {
  readonly store: Store;
  readonly levels: readonly LevelRow[];
  readonly data: ChartData;
  readonly yOf: (height_m: number) => number;
}

/** The levels for keyboard and screen reader: laid over the chart, each where it is drawn. */
function LevelList({ store, levels, data, yOf }: ListProps): JSX.Element {
  const pointed = store.pointedHeight_m.value;
  const active = levels.findIndex((level) => level.height_m === pointed);
  const go = (index: number): void => {
    const level = levels[Math.max(0, Math.min(levels.length - 1, index))];
    if (level !== undefined) store.pointedHeight_m.value = level.height_m;
  };
  const onKeyDown = (event: JSX.TargetedKeyboardEvent<HTMLUListElement>): void => {
    const level = levels[active];
    if (event.key === 'ArrowUp') go(active < 0 ? 0 : active + 1);
    else if (event.key === 'ArrowDown') go(active < 0 ? 0 : active - 1);
    else if (event.key === 'Home') go(0);
    else if (event.key === 'End') go(levels.length - 1);
    else if (event.key === 'Enter' && level !== undefined) chooseLevel(store, level.key);
    else if (event.key === 'Insert') chooseLevel(store, ADD);
    else if (event.key === 'Delete' && level !== undefined) strikeOrRemove(store, level, event.shiftKey);
    else return;
    event.preventDefault();
    event.stopPropagation();
  };
  return (
    <ul
      id="wind-levels"
      class="levels"
      role="listbox"
      tabIndex={0}
      aria-label={`Wind levels, ${levels.length}. Arrows walk, Enter edits, Delete strikes, Insert adds`}
      aria-activedescendant={active < 0 ? undefined : `level-${active}`}
      onKeyDown={onKeyDown}
      onFocus={() => (active < 0 ? go(0) : undefined)}
    >
      {levels.map((level, i) => (
        <li
          key={level.key}
          id={`level-${i}`}
          role="option"
          aria-selected={level.key === data.chosen}
          style={{ top: `${Math.round(yOf(level.height_m))}px` }}
          hidden={level.height_m < data.bottom_m || level.height_m > data.top_m}
        >
          {levelWords(level, data.units, data.ground_m)}
        </li>
      ))}
    </ul>
  );
}

function chooseLevel(store: Store, key: string): void {
  store.chosenLevel.value = key;
  focusWhenDrawn(fieldSelector('level.from'));
}

/** Where the levels shown came from, how old they are at the exit, and what its mark is. */
function Sources({ store, shown }: { readonly store: Store; readonly shown: Shown }): JSX.Element | null {
  const mission = store.mission.value;
  const world = store.world.value;
  const { column } = shown;
  if (mission === null || world === null || column === null) return null;
  const exit_ms = store.exit_ms.value;
  const origins = [...new Set(column.levels.map((level) => level.origin))];
  const old_s = column.valid_ms === null ? NaN : (exit_ms - column.valid_ms) / 1000;
  const when =
    column.valid_ms === null ? 'no valid time' : old_s >= 0 ? `${age(old_s)} old at exit` : `${age(-old_s)} after exit`;
  return (
    <ul class="sources small quiet" aria-label="Sources">
      <Legend data={shown.data} />
      <DecidingLine store={store} />
      {origins.map((origin) => (
        <li key={origin}>
          <svg width={10} height={10} aria-hidden="true">
            <path d={originMark(origin, 5, 5, 3)} fill="var(--wind)" />
          </svg>
          <span title={`${column.source}, ${when}`}>{origin === 'hand' ? 'by hand' : `${when}: ${column.source}`}</span>
        </li>
      ))}
      {isInForce(column, world) ? null : <li>Not used: another column counts for this time.</li>}
    </ul>
  );
}

/** The wind at the pointed height, or at the ground, in words: FROM and TOWARD. */
function Reading({ store, shown }: { readonly store: Store; readonly shown: Shown }): JSX.Element {
  const { data } = shown;
  const mission = store.mission.value;
  const world = store.world.value;
  const at_m = store.pointedHeight_m.value ?? data.ground_m;
  const wind = profileAt(data.profile, at_m);
  if (mission === null || world === null || wind === null) return <p class="quiet small">No wind is given.</p>;
  const toward = landmarkToward(landmarksOf(mission), expectedLanding(store, mission), wind.from_deg + 180);
  const outside = extrapolatedRanges(mission, world).some((range) => at_m > range.bottom_m && at_m < range.top_m);
  const other = { ...data.units, height: data.units.height === 'MSL' ? 'AGL' : 'MSL' } as const;
  const standard = isMeasured(world.air, at_m) ? '' : ' (standard air)';
  const layer = store.pointedHeight_m.value === null ? null : layerWords(data.sensitivity ?? [], at_m, data.units);
  return (
    <p class="small" id="wind-reading">
      <strong>
        {store.pointedHeight_m.value === null ? 'At the ground, ' : ''}
        {height(at_m, data.units, data.ground_m)}
      </strong>
      <span class="quiet"> {height(at_m, other, data.ground_m)}</span>
      <br />
      {windBothWays(wind.from_deg, wind.speed_mps, data.units, toward)}
      {wind.temperature_K === null ? '' : `, ${celsius(wind.temperature_K)}`}
      {standard}
      {outside ? '. Extrapolated: no level stands behind it.' : '.'}
      {layer === null ? '' : ` ${layer}`}
      <Compared store={store} data={data} at_m={at_m} />
    </p>
  );
}

/** What the hour that is shown is against the one beside it, at the pointed height and where they differ most. */
function Compared({
  store,
  data,
  at_m,
}: {
  readonly store: Store;
  readonly data: ChartData;
  readonly at_m: number;
}): JSX.Element | null {
  const beside_ms = store.reports.beside_ms.value;
  const other = data.others?.find((one) => one.kind === 'beside')?.profile;
  if (beside_ms === null || other === undefined) return null;
  const name = hourWords(store, beside_ms, true);
  const most = largestDifference(data.profile, other);
  return (
    <span id="wind-compared">
      <br />
      {capital(differenceWords(data.profile, other, at_m, name, data.units))}.
      {most === null
        ? ''
        : ` Most at ${height(most.height_m, data.units, data.ground_m)}: ${speed(most.apart_mps, data.units)} apart.`}
    </span>
  );
}
