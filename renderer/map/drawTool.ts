// Drawing by hand on the map: presses set places, marks on them are dragged or moved by keys, and lines show the shape.
// By keyboard alone: Space sets a place at the middle of the map, Enter finishes, Backspace takes back, Escape ends.
import { effect, type ReadonlySignal } from '@preact/signals';
import {
  DomEvent,
  LatLng,
  type Path,
  Polygon,
  Polyline,
  type LeafletMouseEvent,
  type Map as LeafletMap,
} from 'leaflet';
import { formatDegrees } from '../../core/words/positions.ts';
import type { LonLat } from '../../core/base/units.ts';
import { Handle, KEY_STEP_M, KEY_STEP_SHIFT_M, type HandleLook } from './handle.ts';

/** What the tool shows: the places that were set, and the outline or line that they stand for. */
export interface DrawnOnMap {
  readonly places: readonly LonLat[];
  readonly corners: readonly LonLat[];
  readonly closed: boolean;
  /** A shape of the plan: presses on the map set no new places. */
  readonly inPlan: boolean;
}

export interface DrawCalls {
  readonly add: (place: LonLat) => void;
  readonly move: (index: number, place: LonLat, final: boolean) => void;
  readonly split: (index: number, place: LonLat) => void;
  readonly remove: (index?: number) => void;
  readonly finish: () => void;
  readonly cancel: () => void;
}

const vertexLook: HandleLook = {
  className: 'map-vertex',
  size: 32,
  svg:
    '<svg viewBox="-16 -16 32 32" width="32" height="32" aria-hidden="true"><rect class="halo" x="-6" y="-6" ' +
    'width="12" height="12"/><rect class="ring" x="-5" y="-5" width="10" height="10"/></svg>',
};

const latLng = ([lon, lat]: LonLat): LatLng => new LatLng(lat, lon);
const placeOf = ({ lat, lng }: LatLng): LonLat => [lng > 180 ? lng - 360 : lng < -180 ? lng + 360 : lng, lat];

/** Draws what the signal holds until the answer is called. */
export function drawTool(map: LeafletMap, drawn: ReadonlySignal<DrawnOnMap | null>, calls: DrawCalls): () => void {
  const tool = new DrawTool(map, calls);
  const end = effect(() => tool.show(drawn.value));
  return () => {
    end();
    tool.show(null);
  };
}

class DrawTool {
  readonly #map: LeafletMap;
  readonly #calls: DrawCalls;
  #vertices: Handle[] = [];
  #line: Path | null = null;
  #now: DrawnOnMap | null = null;
  #cross: HTMLElement | null = null;

  constructor(map: LeafletMap, calls: DrawCalls) {
    this.#map = map;
    this.#calls = calls;
  }

  show(next: DrawnOnMap | null): void {
    const was = this.#now;
    this.#now = next;
    if ((was === null) !== (next === null)) this.#listen(next !== null);
    this.#showLine(next);
    const places = next?.places ?? [];
    while (this.#vertices.length > places.length) this.#vertices.pop()?.remove();
    places.forEach((place, i) => {
      this.#vertices[i] ??= this.#vertex(i, place);
      this.#vertices[i]?.set(place, true, {
        label:
          `Corner ${i + 1} of ${places.length}, ${formatDegrees(place, 5)}. Arrow keys move it ${KEY_STEP_M} ` +
          `metres, with Shift ${KEY_STEP_SHIFT_M}; Delete takes it out, Insert adds one after it.`,
      });
    });
  }

  #showLine(next: DrawnOnMap | null): void {
    this.#line?.remove();
    this.#line = null;
    if (next === null || next.corners.length < 2) return;
    const path = next.corners.map(latLng);
    const style = { className: 'map-drawn', interactive: false, weight: 2 };
    this.#line = next.closed ? new Polygon(path, style) : new Polyline(path, style);
    this.#line.addTo(this.#map);
  }

  #vertex(index: number, place: LonLat): Handle {
    return new Handle(this.#map, place[0], { position: place, movable: true }, vertexLook, {
      moved: (to, final) => this.#calls.move(index, to, final),
      picked: () => undefined,
      key: (key) => {
        if (key === 'Delete' || key === 'Backspace') this.#calls.remove(index);
        else if (key === 'Insert') this.#calls.split(index, this.#halfway(index));
        else return false;
        return true;
      },
    });
  }

  /** Halfway to the next corner; after the last one of an outline to the first. */
  #halfway(index: number): LonLat {
    const places = this.#now?.places ?? [];
    const here = places[index] ?? [0, 0];
    const next = places[(index + 1) % places.length] ?? here;
    return [(here[0] + next[0]) / 2, (here[1] + next[1]) / 2];
  }

  #listen(on: boolean): void {
    const container = this.#map.getContainer();
    container.classList.toggle('is-drawing', on);
    if (on) {
      this.#map.on('click', this.#pressed);
      this.#map.on('dblclick', this.#doublePressed);
      this.#map.doubleClickZoom.disable();
      DomEvent.on(container, 'keydown', this.#keyed as DomEvent.EventHandlerFn);
      this.#cross = document.createElement('div');
      this.#cross.className = 'map-cross';
      this.#cross.setAttribute('aria-hidden', 'true');
      container.append(this.#cross);
      container.focus();
    } else {
      this.#map.off('click', this.#pressed);
      this.#map.off('dblclick', this.#doublePressed);
      this.#map.doubleClickZoom.enable();
      DomEvent.off(container, 'keydown', this.#keyed as DomEvent.EventHandlerFn);
      this.#cross?.remove();
    }
  }

  readonly #pressed = (event: LeafletMouseEvent): void => {
    if (this.#now?.inPlan === false) this.#calls.add(placeOf(event.latlng));
  };

  /** The second press of a double press has set a place of its own: it goes again, and the shape is done. */
  readonly #doublePressed = (): void => {
    if (this.#now?.inPlan !== false) return;
    this.#calls.remove();
    this.#calls.finish();
  };

  readonly #keyed = (event: KeyboardEvent): void => {
    // Keys on a corner are the corner's own; here only those on the map itself.
    if (event.target !== this.#map.getContainer()) return;
    if (event.key === ' ' && this.#now?.inPlan === false) this.#calls.add(placeOf(this.#map.getCenter()));
    else if (event.key === 'Enter') this.#calls.finish();
    else if (event.key === 'Backspace') this.#calls.remove();
    else if (event.key === 'Escape') this.#calls.cancel();
    else return;
    event.preventDefault();
    event.stopPropagation();
  };
}
