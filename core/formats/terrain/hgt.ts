// SRTM tiles: signed 16-bit big-endian metres, rows from north to south, no header; the name is the south-west corner's
// cell centre (N44W072.hgt), edges are shared with the neighbours, −32768 is a void. Source: USGS SRTM quick start;
// reference/wind-reports.md §8.
import type { Problem, Read } from '../../base/problem.ts';
import type { Raster } from './raster.ts';

/** Cells a side: 1201 (3″), 3601 (1″). */
const SIDES = [1201, 3601] as const;
const VOID = -32768;

/**
 * One tile. legal: N44W072.hgt, s31e022.hgt, SRTMv3_N44W072.hgt; 2 884 802 or 25 934 402 bytes. Refused: a name without
 * its corner, any other size, N95W010.
 */
export function readHgt(name: string, bytes: Uint8Array): Read<Raster | null> {
  const refuse = (text: string): Read<null> => ({ value: null, problems: [{ line: 0, text }] });
  const corner = /([NS])(\d{2})([EW])(\d{3})/i.exec(name.split(/[/\\]/).at(-1) ?? '');
  if (corner === null)
    return refuse(`name "${name}"; expected the tile's south-west corner in it, such as N44W072.hgt`);
  const side = SIDES.find((n) => n * n * 2 === bytes.length);
  if (side === undefined)
    return refuse(`${bytes.length} bytes; expected 2884802 (1201 × 1201 cells) or 25934402 (3601 × 3601)`);
  const south = Number(corner[2]) * (corner[1]?.toUpperCase() === 'S' ? -1 : 1);
  const west = Number(corner[4]) * (corner[3]?.toUpperCase() === 'W' ? -1 : 1);
  if (!(south >= -90 && south < 90 && west >= -180 && west < 180))
    return refuse(`name "${name}"; expected a corner on the Earth`);
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const heights_m = new Float32Array(side * side);
  let voids = 0;
  for (let k = 0; k < heights_m.length; k++) {
    const h = view.getInt16(2 * k, false);
    if (h === VOID) voids++;
    heights_m[k] = h === VOID ? NaN : h;
  }
  const step = 1 / (side - 1);
  const problems: Problem[] =
    voids === 0 ? [] : [{ line: 0, text: `${voids} of ${side * side} cells are void; there the ground is unknown` }];
  const value: Raster = {
    columns: side,
    rows: side,
    heights_m,
    x0: west,
    y0: south + 1,
    stepX: step,
    stepY: -step,
    crs: { kind: 'geographic' },
  };
  return { value, problems };
}
