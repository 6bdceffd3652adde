// Lines and areas cut where they cross the 180th meridian, as RFC 7946 §3.1.9 asks: each part lies on one side, ending
// exactly on it.
import { wrap180 } from '../../base/units.ts';
import { openRing, type Position } from './features.ts';

/** Longitudes counted on from the first, so that neighbours are less than 180° apart. */
function unwrapped(line: readonly Position[]): Position[] {
  let before = line[0]?.[0] ?? 0;
  return line.map((place) => {
    before += wrap180(place[0] - before);
    return withLon(place, before);
  });
}

const withLon = (place: Position, lon: number): Position =>
  place.length === 3 ? [lon, place[1], place[2]] : [lon, place[1]];

/** The place where a stretch passes a longitude; height in proportion. */
function cut(a: Position, b: Position, lon: number): Position {
  const t = (lon - a[0]) / (b[0] - a[0]);
  const lat = a[1] + t * (b[1] - a[1]);
  return a.length === 3 && b.length === 3 ? [lon, lat, a[2] + t * (b[2] - a[2])] : [lon, lat];
}

/** Which turn of the earth a longitude lies on: 0 from −180 to 180. */
const turnOf = (lon: number): number => Math.floor((lon + 180) / 360);
const back = (part: readonly Position[], turn: number): Position[] =>
  part.map((place) => withLon(place, place[0] - 360 * turn));

/** The parts of a line, in order. A line that does not cross is one part, unchanged. */
export function splitLine(line: readonly Position[]): Position[][] {
  const on = unwrapped(line);
  const parts: Position[][] = [];
  let part: Position[] = [];
  let turn = NaN;
  on.forEach((place, k) => {
    const before = on[k - 1];
    // A stretch shorter than half the earth crosses one meridian at most.
    const here = before === undefined ? turnOf(place[0]) : turnAfter(turn, place[0]);
    if (before !== undefined && here !== turn) {
      const lon = 360 * Math.max(here, turn) - 180;
      const edge = cut(before, place, lon);
      parts.push(back([...part, edge], turn));
      part = [edge];
    }
    turn = here;
    part.push(place);
  });
  parts.push(back(part, turn));
  return parts.filter((one) => one.length >= 2);
}

/** A place exactly on the meridian stays on the side from which the line came. */
function turnAfter(turn: number, lon: number): number {
  const [low, high] = [360 * turn - 180, 360 * turn + 180];
  return lon > high ? turn + 1 : lon < low ? turn - 1 : turn;
}

/**
 * The parts of a ring, each a ring left open (Sutherland and Hodgman, 1974, against each side of the meridian). Null
 * where the ring goes round a pole: that area has no outline on a plane.
 */
export function splitRing(ring: readonly Position[]): Position[][] | null {
  const open = openRing(ring);
  const first = open[0];
  if (first === undefined) return [];
  const on = unwrapped([...open, first]);
  const last = on.at(-1);
  if (last === undefined || Math.abs(last[0] - first[0]) > 1) return null;
  const loop = on.slice(0, -1);
  const lons = loop.map((place) => place[0]);
  // A ring that only touches the meridian from the west is not cut.
  const from = turnOf(Math.min(...lons));
  const to = Math.max(from, Math.ceil((Math.max(...lons) + 180) / 360) - 1);
  const parts: Position[][] = [];
  for (let turn = from; turn <= to; turn++) {
    const part = clip(clip(loop, 360 * turn - 180, 1), 360 * turn + 180, -1);
    if (part.length >= 3) parts.push(back(part, turn));
  }
  return parts;
}

/** What of a loop lies east (side 1) or west (side −1) of a longitude. */
function clip(loop: readonly Position[], lon: number, side: 1 | -1): Position[] {
  const inside = (place: Position): boolean => side * (place[0] - lon) >= 0;
  return loop.flatMap((place, k) => {
    const before = loop[(k + loop.length - 1) % loop.length] ?? place;
    const here = inside(place);
    const crossing = inside(before) === here ? [] : [cut(before, place, lon)];
    return here ? [...crossing, place] : crossing;
  });
}
