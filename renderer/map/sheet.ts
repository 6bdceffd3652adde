// A canvas in one of the map's panes, the size of what is seen (or larger by a margin), that is painted as a whole.
// Sheets are painted in the animation frame after something changed, each only if it did: a drag repaints the paths and
// not the ground.
import { DomUtil, type Map as LeafletMap } from 'leaflet';
import type { Screen } from './projection.ts';

/** What the map shows now, enlarged by `margin` px on every side. */
export function screenOf(map: LeafletMap, margin: number, ratio: number): Screen {
  const size = map.getSize();
  const origin = map.getPixelOrigin();
  const corner = map.containerPointToLayerPoint([0, 0]);
  return {
    width: size.x + 2 * margin,
    height: size.y + 2 * margin,
    ratio,
    scale: 256 * 2 ** map.getZoom(),
    left: origin.x + corner.x - margin,
    top: origin.y + corner.y - margin,
  };
}

export class Sheet {
  readonly canvas: HTMLCanvasElement;
  readonly context: CanvasRenderingContext2D;
  readonly #map: LeafletMap;

  /** `over`: where in the pile, as a CSS z-index; Leaflet's own panes stand at 400 (picked paths) and 600 (handles). */
  constructor(map: LeafletMap, name: string, over: number) {
    this.#map = map;
    const pane = map.createPane(`plumbline-${name}`);
    pane.style.zIndex = String(over);
    pane.style.pointerEvents = 'none';
    this.canvas = document.createElement('canvas');
    this.canvas.dataset['sheet'] = name;
    this.canvas.setAttribute('aria-hidden', 'true');
    pane.append(this.canvas);
    const context = this.canvas.getContext('2d');
    if (context === null) throw new Error('broken promise: a canvas of a desktop browser has a 2d context');
    this.context = context;
  }

  /** Lays the canvas over a screen and clears it; afterwards the context draws in CSS px of that screen. */
  lay(screen: Screen, margin: number): CanvasRenderingContext2D {
    const width = Math.ceil(screen.width * screen.ratio);
    const height = Math.ceil(screen.height * screen.ratio);
    if (this.canvas.width !== width || this.canvas.height !== height) {
      this.canvas.width = width;
      this.canvas.height = height;
      this.canvas.style.width = `${width / screen.ratio}px`;
      this.canvas.style.height = `${height / screen.ratio}px`;
    }
    DomUtil.setPosition(this.canvas, this.#map.containerPointToLayerPoint([-margin, -margin]));
    const context = this.context;
    context.setTransform(1, 0, 0, 1, 0, 0);
    context.clearRect(0, 0, width, height);
    context.setTransform(screen.ratio, 0, 0, screen.ratio, 0, 0);
    return context;
  }
}
