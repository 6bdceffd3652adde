/// <reference types="vite/client" />
// A page with the map alone in the place that the window gives it, fed with the invented scene: for
// `tests/browser/map.test.ts` and for looking at. What the map asks of the window is written down in `window.harness`.
import '@fontsource/ibm-plex-sans/400.css';
import '@fontsource/ibm-plex-sans/600.css';
import '../../../renderer/theme/style.css';
import { signal } from '@preact/signals';
import { render } from 'preact';
import { localFrame } from '../../../core/earth/geodesic.ts';
import type { LonLat } from '../../../core/base/units.ts';
import { MapView } from '../../../renderer/map/MapView.tsx';
import { allPlaces } from '../../../renderer/map/places.ts';
import { unwrapLon, worldX, worldY } from '../../../renderer/map/projection.ts';
import type { MapScene } from '../../../renderer/map/scene.ts';
import { thingsOf } from '../../../renderer/map/things.ts';
import { applyLook } from '../../../renderer/theme/apply.ts';
import { palettes, type Look } from '../../../renderer/theme/roles.ts';
import { casesAbout, everythingAbout, groundAbout, sceneAt, terrainAbout } from './scene.ts';

interface Spot {
  readonly x: number;
  readonly y: number;
}

export interface Harness {
  readonly asked: { readonly what: string; readonly value: unknown }[];
  show(change: Partial<MapScene>): void;
  look(look: Look): void;
  exitTo(east_m: number, north_m: number): void;
  exitNow(): LonLat | null;
  /**
   * Where on the page the track passes a height, a named thing's place lies, and how many metres of height a px of
   * track is.
   */
  onTrack(height_m: number): Spot;
  onMap(kind: string, name: string): Spot;
  metresPerPixelOfTrack(height_m: number): number;
  /** Whether every place of the scene lies on the map. */
  allOnMap(): boolean;
  /** The width of what is painted in the colours of the path, and its widest gap from left to right, px. */
  pathBox(): { width: number; gap: number };
  /** So far: how often a move of the exit was rendered, and how many animation frames the page has had. */
  counts(): { readonly renders: number; readonly frames: number };
}

declare global {
  interface Window {
    harness: Harness;
  }
}

const query = new URLSearchParams(location.search);
const origin: LonLat = query.has('dateline') ? [-179.9486, -16.4] : [121.4, -29.7];
const ground = groundAbout(origin);
const terrain = query.has('bare') ? null : terrainAbout(origin);
const plan: MapScene = { ...sceneAt(origin, [-7600, 600]), ...ground, terrain };
const scenes: Readonly<Record<string, () => MapScene>> = {
  plan: () => plan,
  full: () => everythingAbout(origin, plan),
  cases: () => ({ ...plan, dots: null, ellipses: [], cases: casesAbout(origin) }),
  empty: () => ({
    ...sceneAt(origin, [0, 0], 0),
    track: null,
    landing: null,
    opening: null,
    exit: null,
    dots: null,
    ellipses: [],
  }),
};
const scene = signal<MapScene>((scenes[query.get('scene') ?? 'plan'] ?? scenes['plan'] ?? (() => plan))());
const look = signal<Look>(query.get('look') === 'night' ? 'night' : 'day');
const asked: { what: string; value: unknown }[] = [];
let renders = 0;
let frames = 0;
const frame = localFrame(origin);

function exitMoved(position: LonLat, final: boolean): void {
  asked.push({ what: 'exit', value: { position, final } });
  const [x, y] = frame.toLocal(position);
  const { exit, track, opening, landing, dots, ellipses } = sceneAt(origin, [x, y]);
  const next = {
    ...scene.value,
    exit,
    track,
    opening,
    landing,
    dots: scene.value.dots === null ? null : dots,
    ellipses,
  };
  scene.value = next;
  // Components render in a microtask that stands before this one.
  queueMicrotask(() => (renders += 1));
}

// Only the map asks for animation frames on this page: each is one of its paintings.
const askForFrame = window.requestAnimationFrame.bind(window);
window.requestAnimationFrame = (callback) =>
  askForFrame((now) => {
    callback(now);
    frames += 1;
  });

function Page() {
  return (
    <div class="stand">
      <MapView
        scene={scene}
        look={look}
        onExitMove={exitMoved}
        onCrewMove={(name, position, final) => {
          asked.push({ what: 'crew', value: { name, position, final } });
          scene.value = {
            ...scene.value,
            crews: scene.value.crews.map((crew) => (crew.name === name ? { ...crew, position } : crew)),
          };
        }}
        onPointHeight={(height_m) => {
          asked.push({ what: 'height', value: height_m });
          scene.value = { ...scene.value, pointedHeight_m: height_m };
        }}
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

/**
 * Where a place lies on the page. The map is not asked: two handles of known place give the scale and the shift of a
 * Mercator map.
 */
function spotOf([lon, lat]: LonLat): Spot {
  const box = document.querySelector('.map-ground')?.getBoundingClientRect() ?? new DOMRect();
  const { exit } = scene.value;
  const marks = [...document.querySelectorAll('.map-handle')].map((mark) => mark.getBoundingClientRect());
  const handles = [...document.querySelectorAll('.map-handle')].map(
    (mark) => mark.getAttribute('aria-label')?.split(',')[0],
  );
  const at = (name: string, place: LonLat): { x: number; y: number; place: LonLat } | null => {
    const mark = marks[handles.indexOf(name)];
    return mark === undefined ? null : { x: mark.x + mark.width / 2, y: mark.y + mark.height / 2, place };
  };
  const known = [
    exit === null ? null : at('Exit', exit.position),
    ...scene.value.crews.map((crew) => at(crew.name, crew.position)),
  ];
  const [a, b] = known.filter((one) => one !== null);
  if (a === undefined || b === undefined) return { x: box.x, y: box.y };
  const scale = (b.x - a.x) / (worldX(unwrapLon(b.place[0], a.place[0])) - worldX(a.place[0]));
  return {
    x: a.x + (worldX(unwrapLon(lon, a.place[0])) - worldX(a.place[0])) * scale,
    y: a.y + (worldY(lat) - worldY(a.place[1])) * scale,
  };
}

function placeOnTrack(height_m: number): LonLat {
  const points = scene.value.track?.points ?? [];
  const i = points.findIndex((point, k) => point[3] >= height_m && (points[k + 1]?.[3] ?? Infinity) < height_m);
  const [a, b] = [points[i], points[i + 1]];
  if (a === undefined || b === undefined) return origin;
  const f = (a[3] - height_m) / (a[3] - b[3]);
  return [a[1] + f * (b[1] - a[1]), a[2] + f * (b[2] - a[2])];
}

function metresPerPixelOfTrack(height_m: number): number {
  const [a, b] = [spotOf(placeOnTrack(height_m)), spotOf(placeOnTrack(height_m - 200))];
  return 200 / Math.hypot(b.x - a.x, b.y - a.y);
}

function allOnMap(): boolean {
  const box = document.querySelector('.map-ground')?.getBoundingClientRect() ?? new DOMRect();
  return [...allPlaces(scene.value)].every((place) => {
    const { x, y } = spotOf(place);
    return x >= box.left && x <= box.right && y >= box.top && y <= box.bottom;
  });
}

/** "#963a74" as a number of three bytes. */
const rgbOf = (colour: string): number => Number.parseInt(colour.slice(1), 16);

function pathBox(): { width: number; gap: number } {
  const canvas = document.querySelector<HTMLCanvasElement>('canvas[data-sheet="marks"]');
  const context = canvas?.getContext('2d');
  if (canvas === null || context === null || context === undefined) return { width: NaN, gap: NaN };
  const { data } = context.getImageData(0, 0, canvas.width, canvas.height);
  const colours = new Set([rgbOf(palettes[look.value].path), rgbOf(palettes[look.value].canopy)]);
  const isPath = (i: number): boolean =>
    data[i + 3] === 255 && colours.has(((data[i] ?? 0) << 16) | ((data[i + 1] ?? 0) << 8) | (data[i + 2] ?? 0));
  const columns = Array.from({ length: canvas.width }, (_, x) => x).filter((x) =>
    Array.from({ length: canvas.height }, (__, y) => y).some((y) => isPath(4 * (y * canvas.width + x))),
  );
  const gap = columns.reduce((most, x, i) => Math.max(most, i === 0 ? 0 : x - (columns[i - 1] ?? x)), 0);
  return { width: (columns.at(-1) ?? 0) - (columns[0] ?? 0), gap };
}

applyLook(document.documentElement, look.value);
window.harness = {
  asked,
  counts: () => ({ renders, frames }),
  show: (change) => (scene.value = { ...scene.value, ...change }),
  look: (next) => {
    applyLook(document.documentElement, next);
    look.value = next;
  },
  exitNow: () => scene.value.exit?.position ?? null,
  onTrack: (height_m) => spotOf(placeOnTrack(height_m)),
  onMap: (kind, name) =>
    spotOf(thingsOf(scene.value).find((thing) => thing.kind === kind && thing.name === name)?.place ?? origin),
  metresPerPixelOfTrack,
  allOnMap,
  pathBox,
  exitTo: (east_m, north_m) => exitMoved(frame.toLonLat(east_m, north_m), true),
};
const root = document.getElementById('window');
if (root !== null) render(<Page />, root);
