// The terrain on the map: hillshade and contour lines, under everything else and quiet. Tiles and contour blocks are
// made when first seen and kept; the canvas is larger than the map, so that panning repaints it only now and then.
import type { Map as LeafletMap } from 'leaflet';
import type { TerrainGrid } from '../../core/earth/terrain.ts';
import type { Look, Palette } from '../theme/roles.ts';
import { contourInterval, contourLines, type ContourInterval, type ContourLine } from './contourLines.ts';
import type { GridPart } from '../../core/base/isolines.ts';
import { Lru } from './lru.ts';
import { screenX, screenY, unwrapLon, type Screen } from './projection.ts';
import { Pyramid } from './pyramid.ts';
import { exaggeration, shadeOf } from './shade.ts';
import { screenOf, Sheet } from './sheet.ts';
import { faded, rgb } from './pen.ts';

const TILE = 256;
const BLOCK = 64;
/** Making tiles stops for this frame after so many ms; the coarse overview stands in until the next one. */
const BUDGET_MS = 9;
const MARGIN = 0.3;

/**
 * A tile's picture holds one node more than the tile on each side, so that smoothing at its border knows its neighbour.
 */
interface Tile {
  readonly picture: HTMLCanvasElement;
  readonly part: GridPart;
}

interface TerrainStyle {
  readonly look: Look;
  readonly palette: Palette;
  readonly unit: 'm' | 'ft';
  readonly metresPerPx: number;
}

export class TerrainSheet {
  readonly #map: LeafletMap;
  readonly #sheet: Sheet;
  readonly #tiles = new Lru<Tile>(160);
  readonly #blocks = new Lru<readonly ContourLine[]>(400);
  #terrain: TerrainGrid | null = null;
  #pyramid: Pyramid | null = null;
  #west_deg = 0;
  #painted: { screen: Screen; style: TerrainStyle; complete: boolean } | null = null;
  #visible: readonly ContourLine[] = [];
  #deadline = 0;

  constructor(map: LeafletMap) {
    this.#map = map;
    this.#sheet = new Sheet(map, 'terrain', 200);
  }

  /** The index lines on the canvas now: they want their heights written on them. */
  get indexLines(): readonly ContourLine[] {
    return this.#visible;
  }

  set(terrain: TerrainGrid | null, near_deg: number): void {
    if (terrain === this.#terrain) return;
    this.#terrain = terrain;
    this.#pyramid = terrain === null ? null : new Pyramid(terrain);
    this.#tiles.clear();
    this.#blocks.clear();
    this.#painted = null;
    if (terrain === null) return;
    const middle = terrain.west_deg + (terrain.stepLon_deg * terrain.columns) / 2;
    this.#west_deg = terrain.west_deg + unwrapLon(middle, near_deg) - middle;
  }

  /** Paints where what is on the canvas no longer serves. Answers whether a further frame is wanted to finish. */
  paint(style: TerrainStyle, ratio: number): boolean {
    const seen = screenOf(this.#map, 0, ratio);
    const last = this.#painted;
    if (last !== null && last.complete && serves(last.screen, seen) && sameStyle(last.style, style)) return false;
    if (last !== null && last.style.look !== style.look) this.#tiles.clear();
    const margin = Math.round(MARGIN * Math.max(seen.width, seen.height));
    const screen = screenOf(this.#map, margin, ratio);
    const context = this.#sheet.lay(screen, margin);
    this.#deadline = performance.now() + BUDGET_MS;
    this.#visible = [];
    let complete = true;
    if (this.#pyramid !== null) {
      complete = this.#paintShade(context, screen, style, this.#pyramid);
      if (complete) complete = this.#paintContours(context, screen, style, this.#pyramid);
    }
    this.#painted = { screen, style, complete };
    return !complete;
  }

  #paintShade(context: CanvasRenderingContext2D, screen: Screen, style: TerrainStyle, pyramid: Pyramid): boolean {
    const level = pyramid.levelFor(screen.scale, 1.2 / screen.ratio);
    let overview = level;
    while (overview < 12 && Math.max(pyramid.level(overview).columns, pyramid.level(overview).rows) > TILE)
      overview += 1;
    let complete = true;
    context.imageSmoothingEnabled = true;
    context.imageSmoothingQuality = 'medium';
    const missing: GridPart[] = [];
    const grid = pyramid.level(level);
    const parts = this.#partsSeen(grid, screen, TILE);
    for (const part of parts) {
      const tile = this.#tile(pyramid, level, part, style, false);
      if (tile === null) missing.push(part);
      else this.#drawTile(context, screen, grid, tile, tile.part);
    }
    if (missing.length > 0) {
      complete = false;
      const coarse = pyramid.level(overview);
      const whole = { column0: 0, column1: coarse.columns - 1, row0: 0, row1: coarse.rows - 1 };
      const stand = this.#tile(pyramid, overview, whole, style, true);
      for (const part of missing) {
        if (stand !== null) this.#drawTile(context, screen, coarse, stand, scaled(part, grid, coarse));
      }
    }
    return complete;
  }

  #paintContours(context: CanvasRenderingContext2D, screen: Screen, style: TerrainStyle, pyramid: Pyramid): boolean {
    const level = pyramid.levelFor(screen.scale, 4);
    const grid = pyramid.level(level);
    // The slope of a middling level: that of the finest would follow every bump of a rough grid and starve the map of
    // lines.
    const interval = contourInterval(pyramid.slope(level), style.metresPerPx, style.unit);
    if (interval === null) return true;
    const lines: ContourLine[] = [];
    let complete = true;
    for (const part of this.#partsSeen(grid, screen, BLOCK)) {
      const block = this.#block(grid, level, part, interval);
      if (block === null) complete = false;
      else lines.push(...block);
    }
    const strength = style.look === 'day' ? 1 : 0.8;
    const { quiet } = style.palette;
    this.#visible = lines.filter((line) => line.index);
    const between = lines.filter((line) => !line.index);
    strokeLines(context, screen, between, { colour: faded(quiet, 0.2 * strength), width: 0.75 });
    strokeLines(context, screen, this.#visible, { colour: faded(quiet, 0.42 * strength), width: 1 });
    return complete;
  }

  /** The parts of a grid that a screen sees, at fixed places of the grid so that they can be kept. */
  #partsSeen(grid: TerrainGrid, screen: Screen, size: number): GridPart[] {
    const left = screenX(screen, this.#westOf(grid));
    const step = (grid.stepLon_deg / 360) * screen.scale;
    const parts: GridPart[] = [];
    const columnFirst = Math.max(0, Math.floor(-left / step / size));
    const columnLast = Math.min(
      Math.ceil((grid.columns - 1) / size) - 1,
      Math.floor((screen.width - left) / step / size),
    );
    for (let by = 0; by * size < grid.rows - 1; by++) {
      const row0 = by * size;
      const row1 = Math.min(row0 + size, grid.rows - 1);
      if (screenY(screen, grid.north_deg - row1 * grid.stepLat_deg) < 0) continue;
      if (screenY(screen, grid.north_deg - row0 * grid.stepLat_deg) > screen.height) break;
      for (let bx = columnFirst; bx <= columnLast; bx++) {
        parts.push({ column0: bx * size, column1: Math.min((bx + 1) * size, grid.columns - 1), row0, row1 });
      }
    }
    return parts;
  }

  #westOf(grid: TerrainGrid): number {
    return this.#west_deg + (grid.west_deg - (this.#terrain?.west_deg ?? grid.west_deg));
  }

  #tile(pyramid: Pyramid, level: number, part: GridPart, style: TerrainStyle, must: boolean): Tile | null {
    const key = `${level}/${part.column0}/${part.row0}/${part.column1}`;
    const known = this.#tiles.get(key);
    if (known !== undefined) return known;
    if (!must && performance.now() > this.#deadline) return null;
    const tile = makeTile(pyramid.level(level), part, exaggeration(pyramid.slope(level)), style);
    this.#tiles.set(key, tile);
    return tile;
  }

  #block(grid: TerrainGrid, level: number, part: GridPart, interval: ContourInterval): readonly ContourLine[] | null {
    const key = `${level}/${part.column0}/${part.row0}/${interval.step_m}`;
    const known = this.#blocks.get(key);
    if (known !== undefined) return known;
    if (performance.now() > this.#deadline) return null;
    const block = contourLines(grid, part, interval, this.#westOf(grid));
    this.#blocks.set(key, block);
    return block;
  }

  /**
   * Draws the piece `shown` of a tile. Rows of a grid are even in latitude and the map is not: where that would bend a
   * tile by more than a quarter of a node, it is drawn in strips. Each strip is the whole picture, clipped: a picture
   * drawn in part is not smoothed across the cut. Edges lie on whole device px, so neighbours leave no seam.
   */
  #drawTile(context: CanvasRenderingContext2D, screen: Screen, grid: TerrainGrid, tile: Tile, shown: GridPart): void {
    const { part, picture } = tile;
    const snap = (px: number): number => Math.round(px * screen.ratio) / screen.ratio;
    const x = (column: number): number => screenX(screen, this.#westOf(grid) + column * grid.stepLon_deg);
    const y = (row: number): number => screenY(screen, grid.north_deg - row * grid.stepLat_deg);
    const strip = stripRows(grid, shown);
    const left = snap(x(shown.column0));
    const right = snap(x(shown.column1));
    for (let row = shown.row0; row < shown.row1; row += strip) {
      const end = Math.min(row + strip, shown.row1);
      const top = snap(y(row));
      const bottom = snap(y(end));
      if (bottom <= 0 || top >= screen.height || right <= left || bottom <= top) continue;
      const perRow = (y(end) - y(row)) / (end - row);
      const perColumn = (x(part.column1) - x(part.column0)) / Math.max(part.column1 - part.column0, 1);
      context.save();
      context.beginPath();
      context.rect(left, top, right - left, bottom - top);
      context.clip();
      const pictureX = x(part.column0) - 1.5 * perColumn;
      const pictureY = y(row) - (row - part.row0 + 1.5) * perRow;
      context.drawImage(picture, pictureX, pictureY, picture.width * perColumn, picture.height * perRow);
      context.restore();
    }
  }
}

function serves(painted: Screen, seen: Screen): boolean {
  return (
    painted.scale === seen.scale &&
    painted.ratio === seen.ratio &&
    painted.left <= seen.left &&
    painted.top <= seen.top &&
    painted.left + painted.width >= seen.left + seen.width &&
    painted.top + painted.height >= seen.top + seen.height
  );
}

const sameStyle = (a: TerrainStyle, b: TerrainStyle): boolean => a.palette === b.palette && a.unit === b.unit;

/** The piece of a coarser grid that lies where `part` does in a finer one; fractions of nodes are kept. */
function scaled(part: GridPart, from: TerrainGrid, to: TerrainGrid): GridPart {
  const column = (c: number): number => (from.west_deg + c * from.stepLon_deg - to.west_deg) / to.stepLon_deg;
  const row = (r: number): number => (to.north_deg - from.north_deg + r * from.stepLat_deg) / to.stepLat_deg;
  return { column0: column(part.column0), column1: column(part.column1), row0: row(part.row0), row1: row(part.row1) };
}

function stripRows(grid: TerrainGrid, part: GridPart): number {
  const step = (grid.stepLat_deg * Math.PI) / 180;
  const lat = ((Math.abs(grid.north_deg - ((part.row0 + part.row1) / 2) * grid.stepLat_deg) + 0.1) * Math.PI) / 180;
  return Math.max(1, Math.floor(Math.sqrt(2 / (step * Math.tan(Math.min(lat, 1.48))))));
}

function makeTile(grid: TerrainGrid, part: GridPart, stretch: number, style: TerrainStyle): Tile {
  const apron = { column0: part.column0 - 1, column1: part.column1 + 1, row0: part.row0 - 1, row1: part.row1 + 1 };
  const width = apron.column1 - apron.column0 + 1;
  const height = apron.row1 - apron.row0 + 1;
  const known = {
    column0: Math.max(apron.column0, 0),
    column1: Math.min(apron.column1, grid.columns - 1),
    row0: Math.max(apron.row0, 0),
    row1: Math.min(apron.row1, grid.rows - 1),
  };
  const shade = shadeOf(grid, known, stretch, style.look === 'day' ? 'dark' : 'bright');
  const knownWidth = known.column1 - known.column0 + 1;
  const picture = document.createElement('canvas');
  picture.width = width;
  picture.height = height;
  const context = picture.getContext('2d');
  if (context === null) throw new Error('broken promise: a canvas of a desktop browser has a 2d context');
  const image = context.createImageData(width, height);
  const [red, green, blue] = rgb(style.palette.mapShade);
  let k = 0;
  for (let row = apron.row0; row <= apron.row1; row++) {
    const from = (Math.min(Math.max(row, known.row0), known.row1) - known.row0) * knownWidth;
    for (let column = apron.column0; column <= apron.column1; column++) {
      const value = shade[from + Math.min(Math.max(column, known.column0), known.column1) - known.column0] ?? -1;
      image.data[k] = red;
      image.data[k + 1] = green;
      image.data[k + 2] = blue;
      image.data[k + 3] = Math.max(value, 0);
      k += 4;
    }
  }
  context.putImageData(image, 0, 0);
  return { picture, part };
}

function strokeLines(
  context: CanvasRenderingContext2D,
  screen: Screen,
  lines: readonly ContourLine[],
  { colour, width }: { readonly colour: string; readonly width: number },
): void {
  context.beginPath();
  for (const line of lines) {
    for (let i = 0; i < line.world.length; i += 2) {
      const x = (line.world[i] ?? NaN) * screen.scale - screen.left;
      const y = (line.world[i + 1] ?? NaN) * screen.scale - screen.top;
      if (i === 0) context.moveTo(x, y);
      else context.lineTo(x, y);
    }
    if (line.closed) context.closePath();
  }
  context.strokeStyle = colour;
  context.lineWidth = width;
  context.lineJoin = 'round';
  context.stroke();
}
