// The one window: strip, winds, map, desk, entry line, time bar. The grids stand in `theme/style.css` and, for one
// column, in `theme/narrow.css`; tab order follows them.
import { computed } from '@preact/signals';
import { number } from '../core/words/numbers.ts';
import { useEffect, useMemo } from 'preact/hooks';
import type { JSX } from 'preact';
import { StoreContext, useStore } from './context.ts';
import { BriefPages } from './dialogs/BriefPages.tsx';
import { Help } from './dialogs/Help.tsx';
import { Intro } from './dialogs/Intro.tsx';
import { Import } from './dialogs/Import.tsx';
import { NewMission } from './dialogs/NewMission.tsx';
import { Open } from './dialogs/Open.tsx';
import { Welcome } from './dialogs/Welcome.tsx';
import { EntryLine } from './entry/EntryLine.tsx';
import { drawTool, type DrawCalls } from './map/drawTool.ts';
import { MapView } from './map/MapView.tsx';
import { Act } from './parts/buttons.tsx';
import { Boundary } from './parts/Boundary.tsx';
import { holds } from './parts/media.ts';
import { panels } from './panels/table.ts';
import { clockIsRight, goOnWithLog } from './state/acting/catchingUp.ts';
import { edit, endEdit } from './state/acting/actions.ts';
import { panelKeys } from './state/acting/commands.ts';
import {
  addPlace,
  cancelDrawing,
  cornersOf,
  finishDrawing,
  movePlace,
  removePlace,
  splitSide,
} from './state/acting/drawing.ts';
import { moveExit } from './state/stored/edits.ts';
import { listenToKeys } from './state/acting/keys.ts';
import { placeCrew } from './state/acting/recoveryActions.ts';
import { correctionsDue } from './state/derived/calls.ts';
import { radioUnseen } from './state/derived/rehearsal.ts';
import { createScene } from './state/derived/scene.ts';
import type { Store } from './state/derived/store.ts';
import { Strip } from './strip/Strip.tsx';
import { WhatIfPanel } from './strip/WhatIf.tsx';
import { applyLook } from './theme/apply.ts';
import { Past } from './timebar/Past.tsx';
import { TimeBar } from './timebar/TimeBar.tsx';
import { WindFiles } from './winds/WindFiles.tsx';
import { WindsColumn } from './winds/WindsColumn.tsx';

type Part = 'strip' | 'winds' | 'map' | 'desk' | 'entry' | 'time';

/** The parts in the order in which they are read, seen and reached by Tab. */
const SIDE_BY_SIDE: readonly Part[] = ['strip', 'winds', 'map', 'desk', 'entry', 'time'];
const IN_A_COLUMN: readonly Part[] = ['strip', 'map', 'desk', 'winds', 'time', 'entry'];

/** Each but the entry line within a boundary of this name. */
const PARTS: Readonly<Record<Part, readonly [name: string | null, View: () => JSX.Element | null]>> = {
  strip: ['The strip', Strip],
  winds: ['The wind column', WindsColumn],
  map: ['The map', MapSlot],
  desk: ['The desk', DeskSide],
  entry: [null, EntryLine],
  time: ['The time bar', TimeBar],
};

function partOf(part: Part, store: Store): JSX.Element {
  const [name, View] = PARTS[part];
  if (name === null) return <View key={part} />;
  return (
    <Boundary key={part} store={store} name={name} class={part}>
      <View />
    </Boundary>
  );
}

export function App({ store }: { readonly store: Store }): JSX.Element {
  const look = store.view.look.value;
  useEffect(() => applyLook(document.documentElement, look), [look]);
  useEffect(() => listenToKeys(window, store), [store]);
  const floating = store.floating.value;
  const narrow = useMemo(() => holds('(max-width: 999px)'), []);
  const parts = narrow.value ? IN_A_COLUMN : SIDE_BY_SIDE;
  return (
    <StoreContext.Provider value={store}>
      <main class={windowClass(store)} aria-label="Plumbline">
        {parts.map((part) => partOf(part, store))}
        <WindFiles />
      </main>
      {floating === 'help' ? <Help /> : null}
      {floating === 'open' ? <Open /> : null}
      {floating === 'new' ? <NewMission /> : null}
      {floating === 'import' ? <Import /> : null}
      {floating === 'pages' ? <BriefPages /> : null}
    </StoreContext.Provider>
  );
}

const windowClass = ({ past, mission }: Store): string =>
  ['window', past.value ? 'is-past' : '', mission.value?.rehearsal === true ? 'is-rehearsal' : ''].join(' ').trim();

function MapSlot(): JSX.Element {
  const store = useStore();
  const scene = useMemo(() => createScene(store), [store]);
  const open = useMemo(() => computed(() => scene.value !== null), [scene]).value;
  return (
    <section class="map" id="map" aria-label="Map and messages">
      {open ? <TheMap store={store} scene={scene} /> : <Welcome store={store} />}
      <Past />
      <Connection store={store} />
      <Leap store={store} />
      <LogTrouble store={store} />
      <Intro />
    </section>
  );
}

function TheMap({
  store,
  scene,
}: {
  readonly store: Store;
  readonly scene: ReturnType<typeof createScene>;
}): JSX.Element {
  const moveTo = (position: readonly [number, number], final: boolean): void => {
    edit(store, 'exit moved', (plan) => moveExit(plan, position), 'drag of the exit');
    if (final) endEdit(store);
  };
  const moveCrew = (name: string, position: readonly [number, number], final: boolean): void => {
    placeCrew(store, name, position, final);
  };
  const pick = (thing: { readonly kind: string }): void => {
    if (thing.kind === 'zone') store.view.panel.value = 'Zones';
    else if (thing.kind === 'case' || thing.kind === 'body') store.view.panel.value = 'Cases';
    else if (['crew', 'standby', 'keep-clear', 'smoke', 'search'].includes(thing.kind))
      store.view.panel.value = 'Crews';
    else if (thing.kind === 'landing' || thing.kind === 'opening') store.view.panel.value = 'Descent';
  };
  const drawn = useMemo(
    () =>
      computed(() => {
        const drawing = store.drawing.value;
        if (drawing === null) return null;
        const closed = drawing.shape !== 'line' && drawing.shape !== 'point';
        return { places: drawing.places, corners: cornersOf(drawing), closed, inPlan: 'path' in drawing.of };
      }),
    [store],
  );
  const point = (height_m: number | null): void => {
    store.pointedHeight_m.value = height_m;
  };
  return (
    <MapView
      scene={scene}
      look={store.view.look}
      onExitMove={moveTo}
      onPointHeight={point}
      onCrewMove={moveCrew}
      onPick={pick}
      onSlice={(height_m) => (store.slice_m.value = height_m)}
      goal={store.goal.value}
      tool={(map) => drawTool(map, drawn, drawCalls(store))}
    />
  );
}

const drawCalls = (store: Store): DrawCalls => ({
  add: (place) => addPlace(store, place),
  move: (index, place, final) => movePlace(store, index, place, final),
  split: (index, place) => splitSide(store, index, place),
  remove: (index) => removePlace(store, index),
  finish: () => finishDrawing(store),
  cancel: () => cancelDrawing(store),
});

function Connection({ store }: { readonly store: Store }): JSX.Element | null {
  const state = store.deskState.value;
  if (state === 'connected') return null;
  const text =
    state === 'refused'
      ? 'The desk behind this window was restarted and does not know it. Open the address that it printed.'
      : state === 'lost'
        ? 'The desk is out of reach: nothing can be saved or logged. Trying to reach it again; what is on the ' +
          'window stays.'
        : 'Reaching the desk…';
  return (
    <div class="notice float" role="alert">
      {text}
    </div>
  );
}

function Leap({ store }: { readonly store: Store }): JSX.Element | null {
  const leap = store.leap.value;
  if (leap === null || leap.kind !== 'note') return null;
  return (
    <div class="notice float" role="alert">
      {leap.text} <Act onClick={() => void clockIsRight(store)}>The clock is right</Act>
    </div>
  );
}

function LogTrouble({ store }: { readonly store: Store }): JSX.Element | null {
  const text = store.logTrouble.value;
  if (text === null) return null;
  return (
    <div class="notice float" role="alert">
      {text} <Act onClick={() => void goOnWithLog(store)}>Go on with what this window has</Act>
    </div>
  );
}

interface TabMarkProps {
  readonly count: number;
  /** What is counted, as it is read behind the count. */
  readonly what: string;
}

/** How many things of a panel wait for a person, where another panel is open. */
function TabMark({ count, what }: TabMarkProps): JSX.Element | null {
  if (count === 0) return null;
  return (
    <span class="tab-mark" title={`${number(count)} ${what}`}>
      !{number(count)}
      <span class="said"> {what}</span>
    </span>
  );
}

function DeskSide(): JSX.Element {
  const store = useStore();
  const corrections = useMemo(() => correctionsDue(store), [store]).value;
  const open = store.alerts.value.filter(({ silence }) => silence === null).length;
  const unheard = useMemo(() => radioUnseen(store), [store]).value;
  const name = panels.some((panel) => panel.name === store.view.panel.value) ? store.view.panel.value : 'Descent';
  const shown = panels.find((panel) => panel.name === name);
  const Shown = shown?.component;
  const move = (event: KeyboardEvent): void => {
    const step = event.key === 'ArrowRight' ? 1 : event.key === 'ArrowLeft' ? -1 : 0;
    if (step === 0) return;
    event.preventDefault();
    const at = panels.findIndex((panel) => panel.name === name);
    const next = panels[(at + step + panels.length) % panels.length];
    if (next === undefined) return;
    store.view.panel.value = next.name;
    document.querySelector<HTMLElement>(`#tab-${next.name}`)?.focus();
  };
  return (
    <section class="desk" aria-label="Desk">
      <div class="tabs" role="tablist" aria-label="Panels" onKeyDown={move}>
        {panels.map((panel, i) => (
          <button
            key={panel.name}
            id={`tab-${panel.name}`}
            type="button"
            role="tab"
            class="word"
            title={panelKeys(i).join(' ')}
            aria-selected={panel.name === name}
            aria-controls="panel"
            tabIndex={panel.name === name ? 0 : -1}
            onClick={() => (store.view.panel.value = panel.name)}
          >
            {panel.name}
            {panel.name === 'Calls' ? <TabMark count={corrections} what="to be corrected" /> : null}
            {panel.name === 'Rehearsal' ? <TabMark count={unheard} what="said on the radio" /> : null}
            {panel.name === 'Alerts' ? <TabMark count={open} what="not silenced" /> : null}
          </button>
        ))}
      </div>
      <WhatIfPanel />
      <div class="panel" id="panel" role="tabpanel" tabIndex={0} aria-labelledby={`tab-${name}`}>
        {Shown === undefined ? null : <Shown />}
      </div>
    </section>
  );
}
