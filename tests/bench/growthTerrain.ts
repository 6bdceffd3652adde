// A deflated GeoTIFF of any size, written strip by strip: TIFF 6.0 (1992) sections 2 and 15, GeoTIFF 1.1 (OGC 19-008r4)
// for its keys. Degrees from 10° E, 50° N, one degree a side.
import { zlibSync } from 'fflate';

const SHORT = 3;
const LONG = 4;
const DOUBLE = 12;
const ROWS_A_STRIP = 50;

type Tag = readonly [tag: number, type: typeof SHORT | typeof LONG | typeof DOUBLE, values: readonly number[]];
const BYTES = { [SHORT]: 2, [LONG]: 4, [DOUBLE]: 8 } as const;

/** Heights are a slope of whole metres, so that they pack as real ground of 10 cm does not: small on the disk. */
export function deflatedTerrain(side: number): Uint8Array {
  const rows = Math.min(ROWS_A_STRIP, side);
  const one = new Int16Array(side * rows);
  for (let k = 0; k < one.length; k++) one[k] = 200 + ((k % side) >> 5);
  const strip = zlibSync(new Uint8Array(one.buffer), { level: 1 });
  const strips = Math.ceil(side / rows);
  const tags: Tag[] = [
    [256, LONG, [side]],
    [257, LONG, [side]],
    [258, SHORT, [16]],
    [259, SHORT, [8]],
    [262, SHORT, [1]],
    [273, LONG, Array.from({ length: strips }, (_, k) => 8 + k * strip.length)],
    [277, SHORT, [1]],
    [278, LONG, [rows]],
    [279, LONG, Array.from({ length: strips }, () => strip.length)],
    [339, SHORT, [2]],
    // ModelPixelScale and ModelTiepoint; the keys say geographic, cells as areas, WGS 84.
    [33550, DOUBLE, [1 / side, 1 / side, 0]],
    [33922, DOUBLE, [0, 0, 0, 10, 50, 0]],
    [34735, SHORT, [1, 1, 0, 3, 1024, 0, 1, 2, 1025, 0, 1, 1, 2048, 0, 1, 4326]],
  ];
  const directory = 8 + strips * strip.length;
  const extra = directory + 2 + 12 * tags.length + 4;
  const size = tags.reduce((sum, [, type, values]) => sum + BYTES[type] * values.length + 8, extra);
  const bytes = new Uint8Array(size);
  const view = new DataView(bytes.buffer);
  bytes.set([0x49, 0x49, 42, 0]);
  view.setUint32(4, directory, true);
  for (let k = 0; k < strips; k++) bytes.set(strip, 8 + k * strip.length);
  view.setUint16(directory, tags.length, true);
  let free = extra;
  tags.forEach(([tag, type, values], i) => {
    const at = directory + 2 + 12 * i;
    view.setUint16(at, tag, true);
    view.setUint16(at + 2, type, true);
    view.setUint32(at + 4, values.length, true);
    const isSmall = BYTES[type] * values.length <= 4;
    let to = isSmall ? at + 8 : free;
    if (!isSmall) view.setUint32(at + 8, free, true);
    for (const value of values) {
      if (type === SHORT) view.setUint16(to, value, true);
      else if (type === LONG) view.setUint32(to, value, true);
      else view.setFloat64(to, value, true);
      to += BYTES[type];
    }
    if (!isSmall) free = to + (to % 2);
  });
  return bytes;
}
