// One wind level by hand: changed, struck, taken back, removed, or added. A level that lies in a file is first copied
// into the plan with the rest of the file, which itself stays as it is.
import { useState } from 'preact/hooks';
import type { JSX } from 'preact';
import { KELVIN_AT_0_C } from '../../core/base/units.ts';
import { NumberField } from '../parts/PlanField.tsx';
import { heightScale, scaleOf, speedScale } from '../parts/scales.ts';
import { cancelEdit, edit, editOnce, endEdit, say } from '../state/acting/actions.ts';
import {
  addLevel,
  changeLevel,
  levelsPath,
  removeLevel,
  startForecast,
  strikeLevel,
  takeOver,
  type LevelEdit,
} from '../state/stored/edits.ts';
import { focusWhenDrawn } from '../state/acting/focus.ts';
import { at, type Json, type Path } from '../state/stored/json.ts';
import type { Store } from '../state/derived/store.ts';
import { columnsOf, isInForce, takenOver, type ColumnChoice, type LevelRow } from '../state/derived/winds.ts';
import { namedSources } from '../model.ts';
import { Act, Word } from '../parts/buttons.tsx';

/** The key of a level that is being added. */
export const ADD = 'add';

/** How a level is reached in the plan: as it is, or after its file was copied into it. */
export interface Own {
  readonly path: Path;
  /** Makes the plan hold the level at `path`. */
  readonly prepare: (plan: Json) => Json;
  /** The file that is copied; null where none is. */
  readonly copied: string | null;
  /** Key of the column in which the level then lies; null: unchanged. */
  readonly column: string | null;
}

export function ownColumn(store: Store, level: LevelRow): Own | null {
  if (level.path !== null) return { path: level.path, prepare: (plan) => plan, copied: null, column: null };
  const plan = store.plan.peek();
  const mission = store.mission.peek();
  const beside = store.beside.peek();
  const world = store.world.peek();
  if (plan === null || mission === null || beside === null || world === null) return null;
  const columns = columnsOf(plan, mission, namedSources(mission, beside));
  const column = columns.find((one) => one.levels.some((row) => row.key === level.key));
  const file = column?.file ?? null;
  if (column === undefined || file === null) return null;
  // Of each time one column goes over: the one that is edited, else the one in force.
  const taken = columns.filter(
    (one) =>
      one.file === file &&
      one.levels.length > 0 &&
      (one === column || (isInForce(one, world) && one.valid_ms !== column.valid_ms)),
  );
  const copies = takenOver(taken, file, mission.exit.time);
  const forecast = takeOver(plan, file, copies).first + taken.indexOf(column);
  const index = column.levels.findIndex((row) => row.key === level.key);
  return {
    path: [...levelsPath(forecast), index],
    prepare: (now) => takeOver(now, file, copies).plan,
    copied: column.isGrid ? `${file} (its points nearest to the site)` : file,
    column: `plan/${forecast}`,
  };
}

interface EditorProps {
  readonly store: Store;
  readonly column: ColumnChoice | null;
}

/** Strikes a level or takes it back; with Shift removes it. A file's level is first copied into the plan. */
export function strikeOrRemove(store: Store, level: LevelRow, remove: boolean): void {
  const own = ownColumn(store, level);
  if (own === null) return;
  const label = remove ? 'level removed' : level.struck ? 'level back' : 'level struck';
  const done = editOnce(store, own.copied === null ? label : `${label} (${own.copied})`, (plan) => {
    const ready = own.prepare(plan);
    return remove ? removeLevel(ready, own.path) : strikeLevel(ready, own.path, !level.struck);
  });
  if (!done.ok) return;
  if (own.column !== null) store.chosenColumn.value = own.column;
  store.chosenLevel.value = null;
  if (own.copied !== null)
    say(store, `${own.copied} was copied into the plan, so that its levels can be changed; the file stays as it is.`);
}

function close(store: Store): void {
  store.chosenLevel.value = null;
  focusWhenDrawn('#wind-levels');
}

export function LevelEditor({ store, column }: EditorProps): JSX.Element {
  const level = column?.levels.find((one) => one.key === store.chosenLevel.value) ?? null;
  if (level === null) return <LevelAdder store={store} column={column} />;
  const change = (part: Partial<LevelEdit>): void => changeByHand(store, level, part);
  const choose = (key: string): void => {
    store.chosenLevel.value = key;
  };
  return (
    <div class="level-editor" role="group" aria-label="Wind level">
      <LevelFields
        store={store}
        value={level}
        hands={{ set: change, done: () => endEdit(store), revert: () => cancelEdit(store) }}
      />
      {level.path !== null || column === null ? null : (
        <p class="small quiet">Changing it copies {column.file} into the plan.</p>
      )}
      <div class="segments small">
        <Word onClick={() => strikeOrRemove(store, level, false)}>{level.struck ? 'Take back' : 'Strike'}</Word>
        <Word onClick={() => strikeOrRemove(store, level, true)}>Remove</Word>
        <Word onClick={() => choose(ADD)}>Add</Word>
        <Word onClick={() => close(store)}>Close</Word>
      </div>
    </div>
  );
}

/**
 * One number of a level, one step of undo while the field has the focus; the choice follows a level that was copied
 * into the plan.
 */
function changeByHand(store: Store, level: LevelRow, part: Partial<LevelEdit>): void {
  const own = ownColumn(store, level);
  if (own === null) return;
  const done = edit(
    store,
    'wind level',
    (plan) => changeLevel(own.prepare(plan), own.path, part),
    `level ${Object.keys(part).join()}`,
  );
  if (!done.ok) return say(store, done.why, true);
  if (own.column === null) return;
  store.chosenColumn.value = own.column;
  store.chosenLevel.value = `plan/${own.path[2]}/${own.path[4]}`;
}

interface FieldsProps {
  readonly store: Store;
  readonly value: LevelEdit | LevelRow;
  readonly hands: {
    readonly set: (part: Partial<LevelEdit>) => void;
    readonly done: () => void;
    readonly revert: () => void;
  };
}

const FROM = scaleOf('°', 360, 5, { decimals: 0 });
const CELSIUS = scaleOf('°C', 340, 1, {
  min: 130,
  decimals: 1,
  toPlan: (x) => x + KELVIN_AT_0_C,
  fromPlan: (x) => x - KELVIN_AT_0_C,
});

function LevelFields({ store, value, hands }: FieldsProps): JSX.Element {
  const units = store.units.value;
  const ground = store.mission.value?.site.elevation_m ?? 0;
  const speeds = { ...speedScale(units, 150, { decimals: 1 }), step: 1 };
  const common = (key: keyof LevelEdit) => ({
    undoLabel: 'wind level',
    value: value[key] ?? NaN,
    hands: { ...hands, set: (x: number) => hands.set({ [key]: x }) },
  });
  return (
    <div class="fields">
      <NumberField {...common('from_deg')} field="level.from" label="From, true" scale={FROM} />
      <NumberField {...common('speed_mps')} field="level.speed" label="Speed" scale={speeds} />
      <NumberField {...common('height_m')} field="level.height" label="Height" scale={heightScale(units, ground)} />
      {value.temperature_K == null ? null : (
        <NumberField {...common('temperature_K')} field="level.temperature" label="Temperature" scale={CELSIUS} />
      )}
    </div>
  );
}

/** A new level: typed first, added with one key, so that half a level never counts. */
function LevelAdder({ store, column }: { readonly store: Store; readonly column: ColumnChoice | null }): JSX.Element {
  const ground = store.mission.value?.site.elevation_m ?? 0;
  const [draft, setDraft] = useState<LevelEdit>({
    height_m: Math.round(store.pointedHeight_m.peek() ?? ground + 10),
    from_deg: 360,
    speed_mps: 0,
  });
  const set = (part: Partial<LevelEdit>): void => setDraft((was) => ({ ...was, ...part }));
  return (
    <div class="level-editor" role="group" aria-label="New wind level">
      <LevelFields store={store} value={draft} hands={{ set, done: () => undefined, revert: () => undefined }} />
      <div class="segments small">
        <Act onClick={() => addByHand(store, column, draft)}>Add this level</Act>
        <Word onClick={() => close(store)}>Close</Word>
      </div>
    </div>
  );
}

/**
 * Puts a level into the column that is looked at; a file's column is first copied into the plan; without any column one
 * is begun.
 */
export function addByHand(store: Store, column: ColumnChoice | null, level: LevelEdit): void {
  const mission = store.mission.peek();
  if (mission === null) return;
  const first = column?.levels[0];
  const own = column === null || column.forecast !== null || first === undefined ? null : ownColumn(store, first);
  const forecast = column?.forecast ?? (own === null ? null : Number(own.path[2]));
  const done = editOnce(store, 'level added', (plan) => {
    if (forecast === null) return startForecast(plan, mission.exit.time, level);
    return addLevel(own === null ? plan : own.prepare(plan), forecast, level);
  });
  if (!done.ok) return;
  if (forecast !== null) store.chosenColumn.value = `plan/${forecast}`;
  store.chosenLevel.value = null;
  store.pointedHeight_m.value = level.height_m;
  const plan = store.plan.peek();
  const count = plan === null || forecast === null ? 1 : (at(plan, levelsPath(forecast)) as readonly Json[]).length;
  say(
    store,
    `Level added; the column has ${count} ` +
      `now.${own?.copied === null || own === null ? '' : ` ${own.copied} was copied into the plan; the file stays as it is.`}`,
  );
}
