// What can be picked with the pointer: an invisible Leaflet path or a small circle over each thing that has a name. The
// tens of things only; what is seen of them is on the canvases. Keys reach the same things through the list beside the
// map.
import { CircleMarker, LayerGroup, Polygon, Polyline, type Map as LeafletMap, type Path } from 'leaflet';
import { never } from '../../core/base/problem.ts';
import type { LonLat } from '../../core/base/units.ts';
import { unwrapLon } from './projection.ts';
import type { Thing } from './things.ts';

/** Points over lines over areas: the smaller thing is the one meant. Handles (exit, crews) are marks of their own. */
const order = { area: 0, line: 1, point: 2 } as const;

export class Picks {
  readonly #group = new LayerGroup();
  readonly #pick: (thing: Thing) => void;
  readonly #near_deg: number;
  #key = '';

  constructor(map: LeafletMap, near_deg: number, pick: (thing: Thing) => void) {
    this.#near_deg = near_deg;
    this.#pick = pick;
    this.#group.addTo(map);
  }

  /**
   * Rebuilt only where a place changed: a path that is replaced between press and release loses the click. Not for
   * every frame of a drag.
   */
  set(things: readonly Thing[]): void {
    const key = things.map((thing) => `${thing.kind}/${thing.name}/${thing.place.join()}`).join('|');
    if (key === this.#key) return;
    this.#key = key;
    this.#group.clearLayers();
    const sorted = [...things].sort((a, b) => order[a.shape.kind] - order[b.shape.kind]);
    for (const thing of sorted) {
      if (thing.kind === 'exit' || thing.kind === 'crew' || thing.kind === 'exit window') continue;
      const path = this.#path(thing);
      path.on('click', () => this.#pick(thing));
      this.#group.addLayer(path);
    }
  }

  #path(thing: Thing): Path {
    const latLngs = (line: readonly LonLat[]): [number, number][] => {
      let near = this.#near_deg;
      return line.map(([lon, lat]) => {
        near = unwrapLon(lon, near);
        return [lat, near];
      });
    };
    // Clicks reach the map too: its own listeners say where the pointer is.
    const seen = { className: 'map-pick', bubblingMouseEvents: true, opacity: 0, fillOpacity: 0, interactive: true };
    switch (thing.shape.kind) {
      case 'point':
        return new CircleMarker([thing.place[1], unwrapLon(thing.place[0], this.#near_deg)], {
          ...seen,
          radius: 14,
          stroke: false,
          fill: true,
        });
      case 'line':
        return new Polyline(latLngs(thing.shape.line), { ...seen, weight: 16, fill: false });
      case 'area':
        return new Polygon(
          thing.shape.rings.map((ring) => latLngs(ring)),
          { ...seen, weight: 8, fill: true },
        );
      default:
        return never(thing.shape);
    }
  }
}
