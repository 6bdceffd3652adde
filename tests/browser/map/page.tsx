/// <reference types="vite/client" />
// A page with the map alone in the place that the window gives it, fed with the invented scene: for `tests/browser/map.test.ts` and for
// looking at. What the map asks of the window is written down in `window.harness`.
import '@fontsource/ibm-plex-sans/400.css';
import '@fontsource/ibm-plex-sans/600.css';
import '../../../renderer/theme/style.css';
import { signal } from '@preact/signals';
import { render } from 'preact';
import { localFrame } from '../../../core/earth/geodesic.ts';
import type { LonLat } from '../../../core/units.ts';
import { DotPainter } from '../../../renderer/map/dots.ts';
import { MapView } from '../../../renderer/map/MapView.tsx';
import { WorldCache } from '../../../renderer/map/projection.ts';
import type { MapScene } from '../../../renderer/map/scene.ts';
import { applyLook } from '../../../renderer/theme/apply.ts';
import type { Look } from '../../../renderer/theme/roles.ts';
import { casesAbout, everythingAbout, groundAbout, sceneAt, terrainAbout } from './scene.ts';

export interface Harness {
  readonly asked: { readonly what: string; readonly value: unknown }[];
  show(change: Partial<MapScene>): void;
  look(look: Look): void;
  exitTo(east_m: number, north_m: number): void;
  /** ms that painting so many dots takes on a canvas of the map's size: minimum and median of many. */
  timeDots(count: number): { min_ms: number; median_ms: number };
  /** ms from each move of the exit to the end of the frame that shows it. */
  readonly dragFrames_ms: number[];
}

declare global {
  interface Window {
    harness: Harness;
  }
}

const query = new URLSearchParams(location.search);
const origin: LonLat = query.has('dateline') ? [179.985, -16.4] : [121.4, -29.7];
const ground = groundAbout(origin);
const terrain = query.has('bare') ? null : terrainAbout(origin);
const plan: MapScene = { ...sceneAt(origin, [-7600, 600]), ...ground, terrain };
const scenes: Readonly<Record<string, () => MapScene>> = {
  plan: () => plan,
  full: () => everythingAbout(origin, plan),
  cases: () => ({ ...plan, dots: null, ellipses: [], cases: casesAbout(origin) }),
  empty: () => ({ ...sceneAt(origin, [0, 0], 0), track: null, landing: null, opening: null, exit: null, dots: null, ellipses: [] }),
};
const scene = signal<MapScene>((scenes[query.get('scene') ?? 'plan'] ?? scenes['plan'] ?? (() => plan))());
const look = signal<Look>(query.get('look') === 'night' ? 'night' : 'day');
const asked: { what: string; value: unknown }[] = [];
const dragFrames_ms: number[] = [];
const frame = localFrame(origin);

function exitMoved(position: LonLat, final: boolean): void {
  asked.push({ what: 'exit', value: { position, final } });
  const begun = performance.now();
  const [x, y] = frame.toLocal(position);
  const { exit, track, opening, landing, dots, ellipses } = sceneAt(origin, [x, y]);
  scene.value = { ...scene.value, exit, track, opening, landing, dots: scene.value.dots === null ? null : dots, ellipses };
  const made = performance.now();
  // The map's own frame callback was asked for before this one and runs first.
  queueMicrotask(() =>
    requestAnimationFrame(
      () => requestAnimationFrame.call(window, () => undefined) && dragFrames_ms.push(performance.now() - begun - (made - begun)),
    ),
  );
}

function Page() {
  return (
    <div class="stand">
      <MapView
        scene={scene.value}
        look={look.value}
        onExitMove={exitMoved}
        onCrewMove={(name, position, final) => {
          asked.push({ what: 'crew', value: { name, position, final } });
          scene.value = { ...scene.value, crews: scene.value.crews.map((crew) => (crew.name === name ? { ...crew, position } : crew)) };
        }}
        onPointHeight={(height_m) => {
          asked.push({ what: 'height', value: height_m });
          scene.value = { ...scene.value, pointedHeight_m: height_m };
        }}
        onPointer={(position) => asked.push({ what: 'pointer', value: position })}
        onPick={(thing) => {
          asked.push({ what: 'pick', value: thing });
          scene.value = { ...scene.value, chosen: thing as MapScene['chosen'] };
        }}
        onSlice={(height_m) => {
          asked.push({ what: 'slice', value: height_m });
          const { slice } = scene.value;
          scene.value = { ...scene.value, slice: slice === null ? null : { ...slice, height_m } };
        }}
      />
    </div>
  );
}

function timeDots(count: number): { min_ms: number; median_ms: number } {
  const { dots } = sceneAt(origin, [-7600, 600], count);
  const canvas = document.createElement('canvas');
  canvas.width = 780;
  canvas.height = 740;
  const context = canvas.getContext('2d');
  if (dots === null || context === null) return { min_ms: NaN, median_ms: NaN };
  const painter = new DotPainter();
  const times: number[] = [];
  const scale = 256 * 2 ** 13;
  for (let i = 0; i < 41; i++) {
    // A new array each time, as a new ensemble would bring: projecting it is part of the cost.
    const fresh = dots.slice();
    const begun = performance.now();
    const world = new WorldCache(origin[0]).points(fresh);
    const [x, y] = [(world[0] ?? 0) * scale - 390, (world[1] ?? 0) * scale - 370];
    context.clearRect(0, 0, 780, 740);
    painter.paint(context, world, { width: 780, height: 740, ratio: 1, scale, left: x, top: y }, '#6b6200');
    // Reading a pixel back waits until the canvas is really painted.
    context.getImageData(390, 370, 1, 1);
    times.push(performance.now() - begun);
  }
  times.sort((a, b) => a - b);
  return { min_ms: times[0] ?? NaN, median_ms: times[20] ?? NaN };
}

applyLook(document.documentElement, look.value);
window.harness = {
  asked,
  dragFrames_ms,
  show: (change) => (scene.value = { ...scene.value, ...change }),
  look: (next) => {
    applyLook(document.documentElement, next);
    look.value = next;
  },
  exitTo: (east_m, north_m) => exitMoved(frame.toLonLat(east_m, north_m), true),
  timeDots,
};
const root = document.getElementById('window');
if (root !== null) render(<Page />, root);
