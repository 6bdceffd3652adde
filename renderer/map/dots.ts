// A cloud of landings as density: each dot darkens the pixels it covers, and overlaps add up as layers of ink do. One
// pass over the dots and one over their box; 10 000 dots are redrawn within a frame (`tests/browser/map.test.ts`
// measures it).
import { scratchOf } from '../../core/base/scratch.ts';
import type { Screen } from './projection.ts';
import { rgb } from './pen.ts';
import { nth, numberAt } from '../../core/base/nth.ts';

/** Device px covered by a dot, each way. */
const dotSize = (ratio: number): number => Math.max(2, Math.round(1.7 * ratio));

/**
 * How much one dot covers, so that a full cloud is dark in its middle whatever its number: 500 dots are seen singly,
 * 100 000 as a cloud.
 */
function dotStrength(count: number): number {
  return Math.min(Math.max(34 / Math.sqrt(Math.max(count, 1)), 0.1), 0.8);
}

/**
 * The dots that each device pixel of a box carries; null where none is seen.
 *
 * world   x, y, x, y, …
 * zeros   memory for the counts, as many as asked for
 */
export function countDots(
  world: Float64Array,
  screen: Screen,
  zeros = (length: number): Uint16Array => new Uint16Array(length),
): { x: number; y: number; width: number; height: number; counts: Uint16Array } | null {
  const size = dotSize(screen.ratio);
  const scale = screen.scale * screen.ratio;
  const [left, top] = [screen.left * screen.ratio, screen.top * screen.ratio];
  const seenWidth = Math.ceil(screen.width * screen.ratio);
  const seenHeight = Math.ceil(screen.height * screen.ratio);
  let [minX, minY, maxX, maxY] = [Infinity, Infinity, -Infinity, -Infinity];
  for (let i = 0; i < world.length; i += 2) {
    const x = nth(world, i) * scale - left;
    const y = nth(world, i + 1) * scale - top;
    if (!(x >= -size && y >= -size && x < seenWidth && y < seenHeight)) continue;
    if (x < minX) minX = x;
    if (x > maxX) maxX = x;
    if (y < minY) minY = y;
    if (y > maxY) maxY = y;
  }
  if (!(minX <= maxX)) return null;
  const x0 = Math.floor(minX);
  const y0 = Math.floor(minY);
  const width = Math.floor(maxX) - x0 + size + 1;
  const height = Math.floor(maxY) - y0 + size + 1;
  const counts = zeros(width * height);
  for (let i = 0; i < world.length; i += 2) {
    const x = nth(world, i) * scale - left;
    const y = nth(world, i + 1) * scale - top;
    if (!(x >= -size && y >= -size && x < seenWidth && y < seenHeight)) continue;
    const first = (Math.floor(y) - y0) * width + Math.floor(x) - x0;
    for (let dy = 0; dy < size; dy++) {
      for (let dx = 0; dx < size; dx++) counts[first + dy * width + dx] = numberAt(counts, first + dy * width + dx) + 1;
    }
  }
  return { x: x0, y: y0, width, height, counts };
}

/**
 * Paints clouds. Its canvas, its picture and its counts are kept and only ever grow: a cloud comes with another box in
 * every frame of a drag.
 */
export class DotPainter {
  readonly #canvas = document.createElement('canvas');
  readonly #counts = scratchOf<Uint16Array>((length) => new Uint16Array(length));
  #image: ImageData | null = null;

  paint(context: CanvasRenderingContext2D, world: Float64Array, screen: Screen, colour: string): void {
    const cloud = countDots(world, screen, this.#counts);
    const own = this.#canvas.getContext('2d');
    if (cloud === null || own === null) return;
    const { width, height, counts } = cloud;
    const image = this.#imageFor(own, width, height);
    const pixels = new Uint32Array(image.data.buffer);
    const inks = inkTable(colour, dotStrength(world.length / 2));
    const most = inks.length - 1;
    for (let row = 0; row < height; row++) {
      const shift = row * (image.width - width);
      for (let i = row * width; i < (row + 1) * width; i++) {
        const count = numberAt(counts, i);
        pixels[shift + i] = numberAt(inks, count < most ? count : most);
      }
    }
    own.putImageData(image, 0, 0, 0, 0, width, height);
    context.save();
    context.setTransform(1, 0, 0, 1, 0, 0);
    context.drawImage(this.#canvas, 0, 0, width, height, cloud.x, cloud.y, width, height);
    context.restore();
  }

  /** At least as large; what it held is written over. */
  #imageFor(own: CanvasRenderingContext2D, width: number, height: number): ImageData {
    const held = this.#image;
    if (held !== null && held.width >= width && held.height >= height) return held;
    const canvas = this.#canvas;
    canvas.width = Math.max(held?.width ?? 0, Math.ceil(width / 128) * 128);
    canvas.height = Math.max(held?.height ?? 0, Math.ceil(height / 128) * 128);
    this.#image = own.createImageData(canvas.width, canvas.height);
    return this.#image;
  }
}

/**
 * The pixel for n dots over each other: opacity 1 − (1 − strength)ⁿ, kept below full so that marks and lines still read
 * on it.
 */
function inkTable(colour: string, strength: number): Uint32Array {
  const [red, green, blue] = rgb(colour);
  const table = new Uint8ClampedArray(256 * 4);
  for (let count = 1; count < 256; count++) {
    table[4 * count] = red;
    table[4 * count + 1] = green;
    table[4 * count + 2] = blue;
    table[4 * count + 3] = 255 * 0.8 * (1 - (1 - strength) ** count);
  }
  return new Uint32Array(table.buffer);
}
