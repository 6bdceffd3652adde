// The map itself: a Leaflet map without tiles, four canvases over each other, the handles, and the paths that are
// picked. Given a scene it repaints what differs from the last one, in the next animation frame.
import { Map as LeafletMap, SVG, type LeafletMouseEvent } from 'leaflet';
import { inverse } from '../../core/earth/geodesic.ts';
import type { LonLat } from '../../core/base/units.ts';
import { mapFrame } from '../frame.ts';
import { palettes, type Look } from '../theme/roles.ts';
import { DotPainter } from './dots.ts';
import { changes, type SheetName } from './changes.ts';
import { Handles } from './handles.ts';
import { contourWishes, LabelWriter } from './labelSheet.ts';
import type { Box } from '../../core/base/labels.ts';
import { nearestOn } from './lines.ts';
import { paintFocus } from './paintFocus.ts';
import { paintGround, writeZones } from './paintGround.ts';
import { paintOutside } from './paintOutside.ts';
import { paintRecovery } from './paintRecovery.ts';
import { paintSpread } from './paintSpread.ts';
import { paintTrack } from './paintTrack.ts';
import type { Pen, TextWish } from './pen.ts';
import { Picks } from './picks.ts';
import { allPlaces, boundsOf, descentPlaces, landingPlaces, tidy } from './places.ts';
import { placeAt, unwrapLon, WorldCache, type Screen } from './projection.ts';
import type { MapScene } from './scene.ts';
import { screenOf, Sheet } from './sheet.ts';
import { Slide } from './slide.ts';
import { TerrainSheet } from './terrainSheet.ts';
import { thingsOf, type Thing } from './things.ts';
import { spotAlong, TrackCache } from './track.ts';

export interface MapCalls {
  exitMoved(position: LonLat, final: boolean): void;
  crewMoved(name: string, position: LonLat, final: boolean): void;
  heightPointed(height_m: number | null): void;
  pointer(position: LonLat | null): void;
  picked(thing: { readonly kind: Thing['kind']; readonly name: string }): void;
  /** The view changed: metres to a CSS px at the middle of the map. */
  viewed(metresPerPx: number): void;
  /** Where the map's own buttons and readings lie now, px of the map. */
  furniture(): readonly Box[];
}

type PaintedSheet = Exclude<SheetName, 'terrain'>;

/** What one sheet's painters asked of the labels. */
interface Asked {
  readonly texts: TextWish[];
  readonly blocked: Box[];
  readonly unwelcome: Box[];
}

/** px about the track within which the pointer points at it. */
const TRACK_REACH_PX = 11;
const PICKS_WAIT_MS = 120;
/** Share of the room that what the map was fitted to takes at least, a fit's 0.84; below it the map is fitted again. */
const LEAST_FILLED = 0.75;
/** Across the landing's mark. */
const MARK_PX = 24;

export class MapDrawing {
  readonly map: LeafletMap;
  readonly #calls: MapCalls;
  readonly #world: WorldCache;
  readonly #tracks: TrackCache;
  readonly #terrain: TerrainSheet;
  readonly #sheets: Readonly<Record<PaintedSheet, Sheet>>;
  /** What the sheets below the words asked of them when they were painted last. */
  readonly #asked: Record<'ground' | 'spread', Asked> = { ground: nothingAsked(), spread: nothingAsked() };
  readonly #dots = new DotPainter();
  readonly #writer = new LabelWriter();
  readonly #handles: Handles;
  readonly #picks: Picks;
  readonly #slide = new Slide(
    (from, to) => this.#isNear(from, to) || window.matchMedia('(prefers-reduced-motion: reduce)').matches,
  );
  readonly #dirty = new Set<SheetName>();
  readonly #observer: ResizeObserver;
  #scene: MapScene;
  #look: Look;
  /** Takes back the frame that was asked for; null: none was. */
  #noFrame: (() => void) | null = null;
  #picksTimer: ReturnType<typeof setTimeout> | undefined;
  #framed = false;
  #moved = false;
  /** What the view was fitted to, until the person moves it; null: the view is the person's own. */
  #fitted: { readonly places: readonly LonLat[]; readonly maxZoom: number } | null = null;
  #fitting = false;
  #pointing = false;
  #focus: Thing | null = null;

  constructor(container: HTMLElement, scene: MapScene, look: Look, calls: MapCalls) {
    this.#scene = scene;
    this.#look = look;
    this.#calls = calls;
    const near = scene.site.position[0];
    this.map = new LeafletMap(container, {
      attributionControl: false,
      zoomControl: false,
      zoomAnimation: false,
      fadeAnimation: false,
      markerZoomAnimation: false,
      inertia: false,
      zoomSnap: 0.25,
      zoomDelta: 0.5,
      wheelPxPerZoomLevel: 110,
      minZoom: 3,
      maxZoom: 20,
      boxZoom: true,
      keyboard: false,
      renderer: new SVG({ padding: 0.5 }),
      center: [scene.site.position[1], near],
      zoom: 11,
    });
    this.#world = new WorldCache(near);
    this.#tracks = new TrackCache(near);
    this.#terrain = new TerrainSheet(this.map);
    this.#sheets = {
      ground: new Sheet(this.map, 'ground', 210),
      spread: new Sheet(this.map, 'spread', 220),
      marks: new Sheet(this.map, 'marks', 450),
    };
    this.#picks = new Picks(this.map, near, (thing) => calls.picked({ kind: thing.kind, name: thing.name }));
    this.#handles = new Handles(this.map, near, calls);
    this.#listen();
    this.#observer = new ResizeObserver(() => {
      this.map.invalidateSize({ animate: false, pan: false });
      if (this.#fitted !== null && !this.#holdsFitted(this.#fitted.places))
        this.#fit(this.#fitted.places, this.#fitted.maxZoom);
    });
    this.#observer.observe(container);
    void document.fonts.ready.then(() => {
      this.#writer.forgetWidths();
      this.#want('marks');
    });
    this.show(scene, look);
  }

  /** Shows a scene: only the sheets whose parts differ are painted again. */
  show(scene: MapScene, look: Look): void {
    const before = this.#scene;
    const first = !this.#framed && before === scene;
    this.#scene = scene;
    if (look !== this.#look || first) this.#want('terrain', 'ground', 'spread', 'marks');
    this.#look = look;
    this.#terrain.set(scene.terrain, this.#world.near_deg);
    this.#slide.follow(before.landing?.position ?? null, scene.landing?.position ?? null, this.#handles.held);
    this.#want(...changes(before, scene));
    this.#handles.show(scene);
    this.#frameOnce();
    clearTimeout(this.#picksTimer);
    this.#picksTimer = setTimeout(() => this.#picks.set(thingsOf(this.#scene)), PICKS_WAIT_MS);
  }

  /**
   * The first look holds the descent and its zones; it is taken again when the landing first comes, unless the person
   * has moved the map.
   */
  #frameOnce(): void {
    const ready = this.#scene.landing !== null;
    if (this.#moved || (this.#framed && !ready) || this.#slide.framed) return;
    this.#framed = true;
    if (ready) this.#slide.framed = true;
    this.#fit(
      [...descentPlaces(this.#scene), ...this.#scene.zones.flatMap((zone) => zone.polygon), this.#scene.site.position],
      16,
    );
  }

  fitAll(): void {
    this.#moved = true;
    this.#fit([...allPlaces(this.#scene)], 17);
  }

  toLanding(): void {
    this.#moved = true;
    const { landing, zones, site } = this.#scene;
    if (landing === null) return this.#fit([site.position, ...zones.flatMap((zone) => zone.polygon)], 15);
    const spread = [...landingPlaces(this.#scene)];
    if (spread.length > 1) return this.#fit(spread, 16);
    this.#fitted = null;
    this.map.setView([landing.position[1], unwrapLon(landing.position[0], this.#world.near_deg)], 15, {
      animate: false,
    });
  }

  /** Brings a place to the middle, at the zoom that is. */
  goTo(position: LonLat): void {
    this.#taken();
    this.map.panTo([position[1], unwrapLon(position[0], this.#world.near_deg)], { animate: false });
  }

  /** By px of the screen, at once: only what moves in the world is shown moving. */
  panBy(x: number, y: number): void {
    this.#taken();
    this.map.panBy([x, y], { animate: false });
  }

  zoomBy(levels: number): void {
    this.#taken();
    this.map.setZoom(this.map.getZoom() + levels, { animate: false });
  }

  /** Rings a thing that has the keyboard's focus and brings it into view. */
  focusOn(thing: Thing | null): void {
    this.#focus = thing;
    this.#want('marks');
    if (thing === null) return;
    const at = this.map.latLngToContainerPoint([thing.place[1], unwrapLon(thing.place[0], this.#world.near_deg)]);
    const size = this.map.getSize();
    if (at.x > 40 && at.y > 40 && at.x < size.x - 40 && at.y < size.y - 40) return;
    this.#taken();
    this.map.panTo([thing.place[1], unwrapLon(thing.place[0], this.#world.near_deg)], { animate: false });
  }

  destroy(): void {
    this.#noFrame?.();
    clearTimeout(this.#picksTimer);
    this.#observer.disconnect();
    this.map.remove();
  }

  #fit(places: readonly LonLat[], maxZoom: number): void {
    const box = boundsOf(places, this.#world.near_deg);
    if (box === null) return;
    const [paddingTopLeft, paddingBottomRight] = this.#padding();
    this.#fitted = { places, maxZoom };
    this.#fitting = true;
    this.map.fitBounds(
      [
        [box.south_deg, box.west_deg],
        [box.north_deg, box.east_deg],
      ],
      { animate: false, maxZoom, paddingTopLeft, paddingBottomRight },
    );
    this.#fitting = false;
  }

  /** px about what the map is fitted to: its own buttons and readings stand there. */
  #padding(): readonly [topLeft: [x: number, y: number], bottomRight: [x: number, y: number]] {
    const narrow = this.map.getSize().x < 560;
    const left = narrow && this.#scene.slice === null ? 48 : narrow ? 108 : 72;
    return [
      [left, 56],
      [narrow ? 56 : 88, 72],
    ];
  }

  /** The view is the person's own from now on. */
  #taken(): void {
    this.#moved = true;
    this.#fitted = null;
  }

  /** Whether all places are in view and fill it: a window that changes its size keeps its view until then. */
  #holdsFitted(places: readonly LonLat[]): boolean {
    const size = this.map.getSize();
    const spots = places.map(([lon, lat]) =>
      this.map.latLngToContainerPoint([lat, unwrapLon(lon, this.#world.near_deg)]),
    );
    const [xs, ys] = [spots.map(({ x }) => x), spots.map(({ y }) => y)];
    const [left, right, top, bottom] = [Math.min(...xs), Math.max(...xs), Math.min(...ys), Math.max(...ys)];
    const inView = left >= 0 && top >= 0 && right <= size.x && bottom <= size.y;
    const [topLeft, bottomRight] = this.#padding();
    const room = { x: size.x - topLeft[0] - bottomRight[0], y: size.y - topLeft[1] - bottomRight[1] };
    return inView && (right - left > room.x * LEAST_FILLED || bottom - top > room.y * LEAST_FILLED);
  }

  #listen(): void {
    const { map } = this;
    map.on('move zoom resize viewreset', () => this.#want('terrain', 'ground', 'spread', 'marks'));
    map.on('moveend resize', () => this.#calls.viewed(this.#metresPerPx()));
    map.on('dragstart', () => this.#taken());
    map.on('zoomstart', () => {
      if (!this.#fitting && this.#framed) this.#taken();
    });
    map.on('mousemove click', (event) => this.#pointed(event as LeafletMouseEvent));
    map.on('mouseout', () => {
      this.#calls.pointer(null);
      this.#point(null);
    });
    map.getContainer().addEventListener('wheel', () => this.#taken(), { passive: true });
  }

  #pointed(event: LeafletMouseEvent): void {
    this.#calls.pointer(tidy([event.latlng.lng, event.latlng.lat]));
    const { track } = this.#scene;
    if (track === null || this.#handles.held) return this.#point(null);
    const prepared = this.#tracks.of(track);
    const screen = this.#screen();
    const px = prepared.world.map((value, i) => value * screen.scale - (i % 2 === 0 ? screen.left : screen.top));
    const near = nearestOn(px, event.containerPoint.x, event.containerPoint.y);
    if (near === null || near.distance > TRACK_REACH_PX) return this.#point(null);
    this.#point(spotAlong(prepared, screen, near.segment, near.fraction).height_m);
  }

  #point(height_m: number | null): void {
    if (height_m === null && !this.#pointing) return;
    this.#pointing = height_m !== null;
    this.#calls.heightPointed(height_m);
  }

  #screen(): Screen {
    return screenOf(this.map, 0, window.devicePixelRatio || 1);
  }

  /** Whether two places lie so near to each other on the screen that the landing's mark would cover both. */
  #isNear(a: LonLat, b: LonLat): boolean {
    const [p, q] = [a, b].map(([lon, lat]) =>
      this.map.latLngToContainerPoint([lat, unwrapLon(lon, this.#world.near_deg)]),
    );
    return p !== undefined && q !== undefined && p.distanceTo(q) < MARK_PX;
  }

  /** By a geodesic through the middle of the map, 100 px long. */
  #metresPerPx(): number {
    const screen = this.#screen();
    const [x, y] = [screen.width / 2, screen.height / 2];
    return inverse(placeAt(screen, x - 50, y), placeAt(screen, x + 50, y)).distance_m / 100;
  }

  /** Repaints sheets in the next frame. */
  #want(...sheets: readonly SheetName[]): void {
    for (const sheet of sheets) this.#dirty.add(sheet);
    if (this.#dirty.size === 0 || this.#noFrame !== null) return;
    this.#noFrame = mapFrame((now) => {
      this.#noFrame = null;
      this.#paint(now);
    });
  }

  #paint(now: number): void {
    const screen = this.#screen();
    if (!(screen.width > 0 && screen.height > 0)) return;
    const todo = new Set(this.#dirty);
    this.#dirty.clear();
    const scene = this.#scene;
    const palette = palettes[this.#look];
    if (todo.has('terrain')) {
      const style = { look: this.#look, palette, unit: scene.units.length, metresPerPx: this.#metresPerPx() };
      if (this.#terrain.paint(style, screen.ratio)) this.#want('terrain', 'marks');
    }
    if (todo.has('ground')) this.#asked.ground = this.#paintSheet('ground', screen, (pen) => paintGround(pen, scene));
    if (todo.has('spread')) {
      this.#asked.spread = this.#paintSheet('spread', screen, (pen) => {
        paintSpread(pen, scene, this.#dots);
        paintRecovery(pen, scene);
      });
    }
    if (todo.has('marks')) {
      const motion = this.#slide.at(now);
      this.#paintSheet('marks', screen, (pen) => {
        paintTrack(pen, scene, this.#tracks, motion);
        writeZones(pen, scene);
        this.#handles.ask(pen, scene);
        const furniture = this.#calls.furniture();
        paintOutside(pen, scene, furniture);
        if (this.#focus !== null) paintFocus(pen, this.#focus);
        this.#write(pen, furniture);
      });
      if (this.#slide.sliding) this.#want('marks');
    }
  }

  #paintSheet(name: PaintedSheet, screen: Screen, paint: (pen: Pen) => void): Asked {
    const context = this.#sheets[name].lay(screen, 0);
    const asked = nothingAsked();
    paint({ context, screen, palette: palettes[this.#look], world: this.#world, ...asked });
    return asked;
  }

  /** All words, over all marks. */
  #write(pen: Pen, furniture: readonly Box[]): void {
    const { context, screen, palette } = pen;
    const { ground, spread } = this.#asked;
    const heights = contourWishes(this.#terrain.indexLines, screen, this.#scene.units, this.#scene.site.elevation_m);
    const family = getComputedStyle(this.map.getContainer()).fontFamily;
    const written = this.#writer.write(context, [...pen.texts, ...spread.texts, ...ground.texts, ...heights], {
      screen,
      palette,
      family,
      blocked: [...ground.blocked, ...spread.blocked, ...pen.blocked, ...furniture],
      unwelcome: [...ground.unwelcome, ...spread.unwelcome, ...pen.unwelcome],
    });
    // For whoever looks from outside (tests, a person with the inspector): which labels found a place.
    this.#sheets.marks.canvas.dataset['written'] = written
      .filter((label) => !label.id.startsWith('contour-height/'))
      .map((label) => label.id)
      .join('|');
  }
}

const nothingAsked = (): Asked => ({ texts: [], blocked: [], unwelcome: [] });
