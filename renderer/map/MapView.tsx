// The map as a component: gives the drawing its scenes, and stands the buttons, readings and the list in words around
// it.
import './map.css';
import { effect, untracked, useSignal, type ReadonlySignal } from '@preact/signals';
import type { Map as LeafletMap } from 'leaflet';
import type { JSX } from 'preact';
import { useLayoutEffect, useMemo, useRef } from 'preact/hooks';
import type { LonLat } from '../../core/base/units.ts';
import type { Look } from '../theme/roles.ts';
import { MapDrawing, type MapCalls } from './drawing.ts';
import { Buttons, Icon, North, PointerReading, ScaleBar, SliceSlider, TrackSlider, type MapAct } from './Furniture.tsx';
import type { Box } from '../../core/base/labels.ts';
import type { MapScene } from './scene.ts';
import { ThingList } from './ThingList.tsx';

interface MapViewProps {
  /** Painted as it changes, without waiting for the component. Null: nothing to show any more. */
  readonly scene: ReadonlySignal<MapScene | null>;
  readonly look: ReadonlySignal<Look>;
  /** `final` with the last position of a drag or of held arrow keys: one step to undo. */
  readonly onExitMove: (position: LonLat, final: boolean) => void;
  readonly onPointHeight: (height_m: number | null) => void;
  readonly onPick?: (thing: { readonly kind: string; readonly name: string }) => void;
  readonly onCrewMove?: (name: string, position: LonLat, final: boolean) => void;
  readonly onSlice: (height_m: number) => void;
  /** A place to go to; a new object each time it is asked for. */
  readonly goal?: { readonly position: LonLat } | null;
  /** Something of its own on the map, from its making until the answer is called. */
  readonly tool?: (map: LeafletMap) => () => void;
}

/** A site elsewhere is another map: its date line, its first view and its handles start over. */
const siteKey = ({ site }: MapScene): string => `${site.name} ${site.position.join()}`;

export function MapView(props: MapViewProps): JSX.Element | null {
  const scene = props.scene.value;
  return scene === null ? null : <MapOf key={siteKey(scene)} {...props} now={scene} />;
}

/** The drawing in its box, from its making to its end; it is told of what the props are by then. */
function useDrawing(props: MapViewProps & { readonly now: MapScene }) {
  const { scene: scenes, look: looks } = props;
  const frame = useRef<HTMLElement>(null);
  const ground = useRef<HTMLDivElement>(null);
  const drawing = useRef<MapDrawing | null>(null);
  const now = useRef(props);
  now.current = props;
  const pointer = useSignal<LonLat | null>(null);
  const metresPerPx = useSignal(NaN);
  const calls = useMemo<MapCalls>(
    () => ({
      exitMoved: (position, final) => now.current.onExitMove(position, final),
      crewMoved: (name, position, final) => now.current.onCrewMove?.(name, position, final),
      heightPointed: (height_m) => now.current.onPointHeight(height_m),
      pointer: (position) => (pointer.value = position),
      picked: (thing) => now.current.onPick?.(thing),
      viewed: (metres) => (metresPerPx.value = metres),
      furniture: () => furnitureOf(frame.current),
    }),
    [pointer, metresPerPx],
  );
  useLayoutEffect(() => {
    if (ground.current === null) return undefined;
    const first = now.current.now;
    const made = new MapDrawing(ground.current, first, looks.peek(), calls);
    drawing.current = made;
    const endTool = now.current.tool?.(made.map);
    // At once, so that a drag is on the screen in the frame it happened in; another site's scene is for the map that
    // comes with it.
    const end = effect(() => {
      const next = scenes.value;
      const look = looks.value;
      if (next !== null && siteKey(next) === siteKey(first)) untracked(() => made.show(next, look));
    });
    return () => {
      end();
      endTool?.();
      drawing.current = null;
      made.destroy();
    };
  }, [scenes, looks, calls]);
  return { frame, ground, drawing, pointer, metresPerPx };
}

function MapOf(props: MapViewProps & { readonly now: MapScene }): JSX.Element {
  const { now: scene, goal } = props;
  const { frame, ground, drawing, pointer, metresPerPx } = useDrawing(props);
  useLayoutEffect(() => {
    if (goal !== null && goal !== undefined) drawing.current?.goTo(goal.position);
  }, [goal]);
  const acts = useMemo(() => mapActs(() => drawing.current), []);
  const keyDown = (event: KeyboardEvent): void => {
    const { target, key } = event;
    if (event.ctrlKey || event.altKey || event.metaKey) return;
    const typing =
      target instanceof HTMLElement && target.closest('input:not([type=range]), textarea, select') !== null;
    const pan = target === ground.current ? pans[key] : undefined;
    const act = typing ? undefined : acts.find((one) => one.key === key);
    const far = event.shiftKey ? 3 : 1;
    if (pan !== undefined) drawing.current?.panBy(pan[0] * far, pan[1] * far);
    else if (act !== undefined) act.run();
    else return;
    event.preventDefault();
  };
  return (
    <section ref={frame} class="map-view" aria-label="Map" onKeyDown={keyDown}>
      <div
        ref={ground}
        class="map-ground"
        tabIndex={0}
        role="application"
        aria-label={`Map of ${scene.site.name}. Arrow keys pan, plus and minus zoom, 0 fits everything.`}
      />
      <North scene={scene} />
      <Buttons acts={acts} scene={scene} />
      {scene.slice === null ? null : <SliceSlider slice={scene.slice} scene={scene} onSlice={props.onSlice} />}
      <ScaleBar view={metresPerPx} scene={scene} />
      <PointerReading pointer={pointer} scene={scene} />
      <TrackSlider scene={scene} onPoint={props.onPointHeight} />
      <ThingList
        scene={scene}
        onFocus={(thing) => drawing.current?.focusOn(thing)}
        onPick={({ kind, name }) => props.onPick?.({ kind, name })}
      />
    </section>
  );
}

/** px that one press moves the map; with Shift three times as far. */
const pans: Readonly<Record<string, readonly [x: number, y: number]>> = {
  ArrowLeft: [-80, 0],
  ArrowRight: [80, 0],
  ArrowUp: [0, -80],
  ArrowDown: [0, 80],
};

function mapActs(drawing: () => MapDrawing | null): MapAct[] {
  const act = (name: string, key: string, run: (map: MapDrawing | null) => void, path: string): MapAct => ({
    name,
    key,
    icon: (
      <Icon>
        <path d={path} />
      </Icon>
    ),
    run: () => run(drawing()),
  });
  // A circle of 5 px in a cross.
  const target = 'M-5 0a5 5 0 1 0 10 0a5 5 0 1 0-10 0M0-9V-5M0 5V9M-9 0H-5M5 0H9';
  return [
    act('Zoom in', '+', (map) => map?.zoomBy(0.5), 'M-7 0H7M0-7V7'),
    act('Zoom out', '-', (map) => map?.zoomBy(-0.5), 'M-7 0H7'),
    act('Fit everything', '0', (map) => map?.fitAll(), 'M-8-3V-8H-3M3-8H8V-3M8 3V8H3M-3 8H-8V3'),
    act('Zoom to the landing', '.', (map) => map?.toLanding(), target),
  ];
}

/** Where the map's own furniture lies, in px of the map: labels keep clear of it. */
function furnitureOf(frame: HTMLElement | null): Box[] {
  if (frame === null) return [];
  const origin = frame.getBoundingClientRect();
  return [...frame.querySelectorAll('[data-furniture]')].map((element) => {
    const box = element.getBoundingClientRect();
    return { x: box.x - origin.x, y: box.y - origin.y, width: box.width, height: box.height };
  });
}
