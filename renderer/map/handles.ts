// All marks of a scene that are taken hold of: the exit and the crews, kept by name from scene to scene so that a mark
// keeps its focus.
import type { Map as LeafletMap } from 'leaflet';
import { formatDegrees } from '../../core/words/positions.ts';
import { age, clock } from '../../core/words/times.ts';
import { height } from '../../core/words/lengths.ts';
import { crewLooks, exitLook, Handle, KEY_STEP_M, KEY_STEP_SHIFT_M } from './handle.ts';
import { block, onScreen, rank, spotOf, type Pen } from './pen.ts';
import type { LonLat } from '../../core/base/units.ts';
import type { MapCrew, MapExit, MapScene } from './scene.ts';

interface HandlesCalls {
  exitMoved(position: LonLat, final: boolean): void;
  crewMoved(name: string, position: LonLat, final: boolean): void;
  picked(thing: { readonly kind: 'exit' | 'crew'; readonly name: string }): void;
}

const KEYS = `Arrow keys move it ${KEY_STEP_M} metres, with Shift ${KEY_STEP_SHIFT_M}.`;

export class Handles {
  readonly #map: LeafletMap;
  readonly #near_deg: number;
  readonly #calls: HandlesCalls;
  readonly #crews = new Map<string, { readonly kind: MapCrew['kind']; readonly handle: Handle }>();
  #exit: Handle | null = null;

  constructor(map: LeafletMap, near_deg: number, calls: HandlesCalls) {
    this.#map = map;
    this.#near_deg = near_deg;
    this.#calls = calls;
  }

  get held(): boolean {
    return this.#exit?.held === true || [...this.#crews.values()].some(({ handle }) => handle.held);
  }

  show(scene: MapScene): void {
    this.#showExit(scene, scene.exit);
    const names = new Set(scene.crews.map((crew) => crew.name));
    for (const [name, { handle }] of this.#crews) {
      if (names.has(name)) continue;
      handle.remove();
      this.#crews.delete(name);
    }
    for (const crew of scene.crews) this.#showCrew(crew);
  }

  #showExit(scene: MapScene, exit: MapExit | null): void {
    if (exit === null) {
      this.#exit?.remove();
      this.#exit = null;
      return;
    }
    this.#exit ??= new Handle(this.#map, this.#near_deg, exit, exitLook, {
      moved: (position, final) => this.#calls.exitMoved(position, final),
      picked: () => this.#calls.picked({ kind: 'exit', name: 'Exit' }),
    });
    const up = height(exit.height_m, scene.units, scene.site.elevation_m);
    const keys = exit.movable ? ` ${KEYS}` : '';
    this.#exit.set(exit.position, exit.movable, { label: `Exit, ${up}, ${formatDegrees(exit.position, 4)}.${keys}` });
  }

  #showCrew(crew: MapCrew): void {
    const known = this.#crews.get(crew.name);
    if (known !== undefined && known.kind !== crew.kind) {
      known.handle.remove();
      this.#crews.delete(crew.name);
    }
    const handle = this.#crews.get(crew.name)?.handle ?? this.#newCrew(crew);
    const note = crew.note === undefined ? '' : `, ${crew.note}`;
    const keys = crew.movable ? ` ${KEYS}` : '';
    handle.set(crew.position, crew.movable, {
      label: `${crew.name}, ${crew.kind}${note}, ${formatDegrees(crew.position, 4)}.${keys}`,
    });
  }

  #newCrew(crew: MapCrew): Handle {
    const handle = new Handle(this.#map, this.#near_deg, crew, crewLooks[crew.kind], {
      moved: (position, final) => this.#calls.crewMoved(crew.name, position, final),
      picked: () => this.#calls.picked({ kind: 'crew', name: crew.name }),
    });
    this.#crews.set(crew.name, { kind: crew.kind, handle });
    return handle;
  }

  /** The handles are elements, their words are not: those go with all the others. */
  ask(pen: Pen, scene: MapScene): void {
    if (scene.exit !== null) this.#askExit(pen, scene, scene.exit);
    for (const crew of scene.crews) {
      const at = spotOf(pen, this.#crews.get(crew.name)?.handle.position ?? crew.position);
      if (!onScreen(pen, at)) continue;
      block(pen, at, 13);
      const old = crew.age_s === null || crew.age_s === undefined ? null : age(crew.age_s);
      const note = [crew.note, old === null ? undefined : `seen ${old === 'now' ? old : `${old} ago`}`].filter(
        (word) => word !== undefined,
      );
      pen.texts.push({
        id: `crew/${crew.name}`,
        priority: rank.crew,
        role: scene.chosen?.kind === 'crew' && scene.chosen.name === crew.name ? 'accent' : 'ink',
        lines: [
          { text: crew.name, size: 14, bold: true },
          ...(note.length === 0 ? [] : [{ text: note.join(', '), size: 12 as const }]),
        ],
        place: { kind: 'around', ...at, gap: 16 },
      });
    }
  }

  #askExit(pen: Pen, scene: MapScene, exit: MapExit): void {
    const at = spotOf(pen, this.#exit?.position ?? exit.position);
    if (!onScreen(pen, at)) return;
    block(pen, at, 18);
    const when = exit.at_s === null ? [] : [{ text: clock(exit.at_s, scene.units), size: 12 as const }];
    pen.texts.push({
      id: 'exit',
      priority: rank.exit,
      role: 'accent',
      lines: [
        { text: `Exit ${height(exit.height_m, scene.units, scene.site.elevation_m)}`, size: 14, bold: true },
        ...when,
      ],
      place: { kind: 'around', ...at, gap: 22 },
    });
  }
}
