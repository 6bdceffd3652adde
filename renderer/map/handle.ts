// A mark that is taken hold of: the exit, or a crew that may be moved. Dragged by mouse and finger, moved by arrow
// keys: 10 m, with Shift 100 m. While one is held, the scene's own position for it waits.
import type { Team } from '../../core/plan/schema.ts';
import { DivIcon, DomEvent, LatLng, Marker, type Map as LeafletMap } from 'leaflet';
import { direct } from '../../core/earth/geodesic.ts';
import type { LonLat } from '../../core/base/units.ts';
import { tidy } from './places.ts';
import { unwrapLon } from './projection.ts';

export const KEY_STEP_M = 10;
export const KEY_STEP_SHIFT_M = 100;

export interface HandleLook {
  readonly className: string;
  /** Trusted markup of ours: the shape's SVG. */
  readonly svg: string;
  readonly size: number;
}

interface HandleWords {
  /** For the screen reader, with position and what keys do. */
  readonly label: string;
}

interface HandleCalls {
  moved(position: LonLat, final: boolean): void;
  picked(): void;
  /** Another key on the mark; answers whether it meant something. */
  key?(key: string): boolean;
}

const bearings: Readonly<Record<string, number>> = { ArrowUp: 0, ArrowRight: 90, ArrowDown: 180, ArrowLeft: 270 };

export class Handle {
  readonly #marker: Marker;
  readonly #near_deg: number;
  readonly #calls: HandleCalls;
  #position: LonLat;
  #movable: boolean;
  #dragging = false;
  #keyed = false;
  #label = '';

  constructor(
    map: LeafletMap,
    near_deg: number,
    { position, movable }: { readonly position: LonLat; readonly movable: boolean },
    look: HandleLook,
    calls: HandleCalls,
  ) {
    this.#near_deg = near_deg;
    this.#position = position;
    this.#movable = movable;
    this.#calls = calls;
    const icon = new DivIcon({
      className: `map-handle ${look.className}`,
      html: look.svg,
      iconSize: [look.size, look.size],
    });
    this.#marker = new Marker(this.#latLng(position), {
      icon,
      draggable: movable,
      keyboard: true,
      autoPan: true,
      autoPanPadding: [40, 40],
      zIndexOffset: look.className.includes('exit') ? 1000 : 0,
    });
    this.#marker.addTo(map);
    this.#marker.on('dragstart', () => {
      this.#dragging = true;
    });
    this.#marker.on('drag', () => this.#dragged(false));
    this.#marker.on('dragend', () => {
      this.#dragged(true);
      this.#dragging = false;
    });
    this.#marker.on('click', () => this.#calls.picked());
    this.#listen();
  }

  /** True while the person holds it: what the scene says of its place is then behind the hand. */
  get held(): boolean {
    return this.#dragging || this.#keyed;
  }

  get position(): LonLat {
    return this.#position;
  }

  set(position: LonLat, movable: boolean, words: HandleWords): void {
    if (movable !== this.#movable) {
      this.#movable = movable;
      if (movable) this.#marker.dragging?.enable();
      else this.#marker.dragging?.disable();
    }
    if (!this.held && (position[0] !== this.#position[0] || position[1] !== this.#position[1])) {
      this.#position = position;
      this.#marker.setLatLng(this.#latLng(position));
    }
    this.#say(words.label);
  }

  remove(): void {
    this.#marker.remove();
  }

  #latLng(position: LonLat): LatLng {
    return new LatLng(position[1], unwrapLon(position[0], this.#near_deg));
  }

  #say(label: string): void {
    if (label === this.#label) return;
    this.#label = label;
    const element = this.#marker.getElement();
    element?.setAttribute('aria-label', label);
    element?.setAttribute('role', 'button');
    if (this.#movable) element?.setAttribute('aria-roledescription', 'movable mark');
    else element?.removeAttribute('aria-roledescription');
  }

  #dragged(final: boolean): void {
    const { lat, lng } = this.#marker.getLatLng();
    this.#position = tidy([lng, lat]);
    this.#calls.moved(this.#position, final);
  }

  #listen(): void {
    const element = this.#marker.getElement();
    if (element === undefined) return;
    DomEvent.on(element, 'keydown', (event) => {
      if (event instanceof KeyboardEvent) this.#keyDown(event);
    });
    const release = (): void => {
      if (!this.#keyed) return;
      this.#keyed = false;
      this.#calls.moved(this.#position, true);
    };
    DomEvent.on(element, 'keyup', release);
    DomEvent.on(element, 'blur', release);
  }

  #keyDown(event: KeyboardEvent): void {
    if (event.key === ' ' || event.key === 'Enter') {
      event.preventDefault();
      event.stopPropagation();
      this.#calls.picked();
      return;
    }
    if (this.#calls.key?.(event.key) === true) {
      event.preventDefault();
      event.stopPropagation();
      return;
    }
    const bearing = bearings[event.key];
    if (bearing === undefined || !this.#movable || event.ctrlKey || event.altKey || event.metaKey) return;
    event.preventDefault();
    // The map pans by the same keys: here they move the mark and nothing else.
    event.stopPropagation();
    this.#keyed = true;
    this.#position = tidy(direct(this.#position, bearing, event.shiftKey ? KEY_STEP_SHIFT_M : KEY_STEP_M));
    this.#marker.setLatLng(this.#latLng(this.#position));
    this.#calls.moved(this.#position, false);
  }
}

const svg = (size: number, body: string): string =>
  `<svg viewBox="${-size / 2} ${-size / 2} ${size} ${size}" width="${size}" height="${size}" ` +
  `aria-hidden="true">${body}</svg>`;

/**
 * The exit: a ring with four outward arrow heads while it may be moved, every way; the hit area is larger than the
 * mark.
 */
export const exitLook: HandleLook = {
  className: 'map-exit',
  size: 44,
  svg: svg(
    44,
    `<g class="halo"><circle r="9"/><path class="arrows" d="M0-18l5 6h-10zM0 18l5-6h-10zM18 0l-6 5v-10zM-18 0l6 5v-10z"/></g>
     <circle class="ring" r="9"/><path class="solid arrows" d="M0-18l5 6h-10zM0 18l5-6h-10zM18 0l-6 5v-10zM-18 0l6 5v-10z"/><circle class="solid" r="2.5"/>`,
  ),
};

/** Told apart by outline: helicopters round with a rotor, vehicles square with wheels, boats a hull under a mast. */
export const crewLooks: Readonly<Record<Team['kind'], HandleLook>> = {
  helicopter: {
    className: 'map-crew map-helicopter',
    size: 36,
    svg: svg(
      36,
      `<g class="halo"><circle r="8"/><path d="M-13-13L13 13M13-13L-13 13"/></g>
       <path class="line" d="M-13-13L13 13M13-13L-13 13"/><circle class="ring" r="7"/><circle class="solid" r="2.5"/>`,
    ),
  },
  vehicle: {
    className: 'map-crew map-vehicle',
    size: 36,
    svg: svg(
      36,
      `<g class="halo"><rect x="-11" y="-7" width="22" height="14"/></g>
       <path class="wheel" d="M-8-9.5h5M3-9.5h5M-8 9.5h5M3 9.5h5"/><rect class="ring" x="-11" y="-7" width="22" height="14" rx="2"/>
       <path class="line" d="M4-7v14"/>`,
    ),
  },
  boat: {
    className: 'map-crew map-boat',
    size: 36,
    svg: svg(
      36,
      `<g class="halo"><path d="M-13-1H13L8 9H-8ZM0-1V-11"/></g>
       <path class="ring" d="M-13-1H13L8 9H-8Z"/><path class="line" d="M0-1V-12"/>`,
    ),
  },
};
