// What stands on the map's edges: north and wind, buttons, scale bar, the pointer's reading, the height slice, and the
// key to the strokes. Everything here is also reached by key; each button says its key.
import { useSignal, type ReadonlySignal } from '@preact/signals';
import type { ComponentChildren, JSX } from 'preact';
import { formatDegrees, formatMgrs } from '../../core/words/positions.ts';
import type { LonLat } from '../../core/base/units.ts';
import { direction, speed, isCalm, octant } from '../../core/words/winds.ts';
import { height, lengthUp } from '../../core/words/lengths.ts';
import { keyEntries } from './keyEntries.ts';
import { terrainAt } from './places.ts';
import { scaleBar } from './scaleBar.ts';
import type { MapScene, MapSlice, MapWind } from './scene.ts';

export function North({ scene }: { readonly scene: MapScene }): JSX.Element {
  return (
    <div class="map-north" data-furniture>
      <svg viewBox="-12 -18 24 36" width="24" height="36" role="img" aria-label="North is up">
        <path class="solid" d="M0-5L6 12 0 8z" />
        <path class="line" d="M0-5L-6 12 0 8z" />
        <text y="-8" text-anchor="middle">
          N
        </text>
      </svg>
      {scene.surfaceWind === null ? null : <Wind wind={scene.surfaceWind} scene={scene} />}
    </div>
  );
}

/** The arrow flies with the air; the words say both ends, as an arrow alone is taken for either. */
function Wind({ wind, scene }: { readonly wind: MapWind; readonly scene: MapScene }): JSX.Element {
  if (isCalm(wind.speed_mps)) return <p class="map-wind">surface wind calm</p>;
  return (
    <div class="map-wind">
      <svg viewBox="-16 -16 32 32" width="32" height="32" aria-hidden="true">
        <g transform={`rotate(${wind.from_deg + 180})`}>
          <path d="M0 13V-11M-6-4L0-12 6-4" />
        </g>
      </svg>
      <p>
        <b>
          FROM {direction(wind.from_deg)} {speed(wind.speed_mps, scene.units)}
        </b>
        <br />
        toward {wind.toward ?? octant(wind.from_deg + 180)}
      </p>
    </div>
  );
}

export interface MapAct {
  readonly name: string;
  readonly key: string;
  readonly icon: JSX.Element;
  readonly run: () => void;
}

export function Buttons({ acts, scene }: { readonly acts: readonly MapAct[]; readonly scene: MapScene }): JSX.Element {
  const open = useSignal(false);
  return (
    <div class="map-buttons" role="group" aria-label="Map view" data-furniture>
      {acts.map((act) => (
        <button
          key={act.name}
          type="button"
          aria-label={act.name}
          title={`${act.name} (${act.key})`}
          aria-keyshortcuts={act.key}
          onClick={act.run}
        >
          {act.icon}
        </button>
      ))}
      <button
        type="button"
        aria-label="Key to the strokes"
        title="Key to the strokes"
        aria-expanded={open.value}
        onClick={() => (open.value = !open.value)}
      >
        <Icon>
          <path d="M-7-5h5M1-5h6M-7 1h5M1 1h6M-7 7h5M1 7h6" />
        </Icon>
      </button>
      {open.value ? (
        <div class="map-key" tabIndex={0} role="region" aria-label="Key to the strokes">
          <ul aria-label="Key">
            {keyEntries(scene).map(({ words, role, d, width, dashed }) => (
              <li key={words}>
                <svg viewBox="0 0 36 16" width="36" height="16" aria-hidden="true">
                  <path
                    d={d}
                    stroke={`var(--${role})`}
                    stroke-width={width}
                    stroke-dasharray={dashed === true ? '7 5' : undefined}
                  />
                </svg>
                {words}
              </li>
            ))}
          </ul>
        </div>
      ) : null}
    </div>
  );
}

export function Icon({ children }: { readonly children: ComponentChildren }): JSX.Element {
  return (
    <svg viewBox="-12 -12 24 24" width="24" height="24" aria-hidden="true">
      {children}
    </svg>
  );
}

export function ScaleBar({
  view,
  scene,
}: {
  readonly view: ReadonlySignal<number>;
  readonly scene: MapScene;
}): JSX.Element | null {
  const bar = scaleBar(view.value, 132, scene.units.length);
  if (bar === null) return null;
  const part = bar.width_px / bar.parts;
  const filled = Array.from({ length: bar.parts }, (_, i) => i).filter((i) => i % 2 === 0);
  return (
    <div class="map-scale" data-furniture>
      <svg width={Math.ceil(bar.width_px) + 2} height="8" role="img" aria-label={`Scale bar: ${bar.text}`}>
        <rect class="ground" x="0.5" y="0.5" width={bar.width_px} height="6" />
        {filled.map((i) => (
          <rect key={i} class="solid" x={0.5 + i * part} y="0.5" width={part} height="6" />
        ))}
        <rect class="line" x="0.5" y="0.5" width={bar.width_px} height="6" />
      </svg>
      <span>{bar.text}</span>
    </div>
  );
}

export function PointerReading({
  pointer,
  scene,
}: {
  readonly pointer: ReadonlySignal<LonLat | null>;
  readonly scene: MapScene;
}): JSX.Element | null {
  const at = pointer.value;
  if (at === null) return null;
  const ground_m = terrainAt(scene.terrain, at);
  const ground = Number.isNaN(ground_m) ? '' : `ground ${lengthUp(ground_m, scene.units)} MSL`;
  return (
    <div class="map-pointer" data-furniture>
      <span>{formatDegrees(at, 4)}</span>
      <span>
        {formatMgrs(at, 4)} <span class="quiet">{ground}</span>
      </span>
    </div>
  );
}

export function SliceSlider(props: {
  readonly slice: MapSlice;
  readonly scene: MapScene;
  readonly onSlice: (height_m: number) => void;
}): JSX.Element {
  const { slice, scene } = props;
  const words = height(slice.height_m, scene.units, scene.site.elevation_m);
  const step = Math.max(1, Math.round((slice.top_m - slice.bottom_m) / 400));
  return (
    <div class="map-slice" data-furniture>
      <label>
        <span class="map-slice-words" data-furniture>
          {slice.label}
          <b>{words}</b>
        </span>
        <input
          type="range"
          aria-orientation="vertical"
          aria-valuetext={words}
          min={slice.bottom_m}
          max={slice.top_m}
          step={step}
          value={slice.height_m}
          onInput={(event) => props.onSlice(Number(event.currentTarget.value))}
        />
      </label>
    </div>
  );
}

/** The typed twin of pointing at the track: seen only while it has the focus. */
export function TrackSlider(props: {
  readonly scene: MapScene;
  readonly onPoint: (height_m: number | null) => void;
}): JSX.Element | null {
  const { scene } = props;
  const points = scene.track?.points ?? [];
  if (points.length < 2) return null;
  const heights = points.map((point) => point[3]);
  const [low, high] = [Math.min(...heights), Math.max(...heights)];
  const value = Math.min(Math.max(scene.pointedHeight_m ?? high, low), high);
  return (
    <label class="map-along">
      <span>Point at a height on the track</span>
      <input
        type="range"
        min={low}
        max={high}
        step={Math.max(1, (high - low) / 200)}
        value={value}
        aria-valuetext={height(value, scene.units, scene.site.elevation_m)}
        onInput={(event) => props.onPoint(Number(event.currentTarget.value))}
        onBlur={() => props.onPoint(null)}
      />
    </label>
  );
}
