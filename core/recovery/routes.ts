// The way a crew takes, drawn: a helicopter's line, a vehicle's roads, crossings and stretches off the road, the last
// of it on foot; a boat's way on the water. Metres, seconds; places [longitude, latitude].
import { quantity } from '../words/numbers.ts';
import { inverse } from '../earth/geodesic.ts';
import type { LonLat } from '../base/units.ts';
import { directionWords } from '../words/winds.ts';
import { roughDuration } from '../words/times.ts';
import { distance } from '../words/lengths.ts';
import { madeGood, type Crew } from './crews.ts';
import type { Point } from '../earth/plane.ts';
import { waysOf, type Scene } from './scene.ts';
import { WALK_MPS, type Attached, type WayMap } from './ways.ts';
import { nth, numberAt } from '../base/nth.ts';

export interface RouteLeg {
  readonly kind: 'flight' | 'road' | 'off road' | 'on foot' | 'by water';
  /** The road's name; null off it. */
  readonly road: string | null;
  readonly line: readonly LonLat[];
  readonly length_m: number;
  readonly time_s: number;
}

export type Route =
  | {
      readonly kind: 'route';
      readonly legs: readonly RouteLeg[];
      readonly length_m: number;
      /** Without the time to make ready. */
      readonly time_s: number;
      readonly sentence: string;
    }
  | { readonly kind: 'no way'; readonly why: string };

export function routeOf(scene: Scene, crew: Crew, from: LonLat, to: LonLat): Route {
  return crew.kind === 'helicopter' ? flight(scene, crew, from, to) : drive(scene, crew, from, to);
}

function flight(scene: Scene, crew: Crew, from: LonLat, to: LonLat): Route {
  const { distance_m, bearing_deg } = inverse(from, to);
  const [u, v] = scene.windOf(crew);
  const good = madeGood(crew.speed_mps, bearing_deg, u, v);
  if (good.kind === 'cannot') return { kind: 'no way', why: good.why };
  const leg = {
    kind: 'flight',
    road: null,
    line: [from, to],
    length_m: distance_m,
    time_s: distance_m / good.speed_mps,
  } as const;
  const speed = `${quantity(good.speed_mps, 'm/s')} made good`;
  const sentence = `${distance(distance_m)} on ${directionWords(bearing_deg)}, ${speed}: ${roughDuration(leg.time_s)}.`;
  return { kind: 'route', legs: [leg], length_m: distance_m, time_s: leg.time_s, sentence };
}

interface Piece {
  readonly kind: RouteLeg['kind'];
  readonly road: string | null;
  readonly from: Point;
  readonly to: Point;
  readonly seconds: number;
}

function drive(scene: Scene, crew: Crew, from: LonLat, to: LonLat): Route {
  const { frame } = scene;
  const ways = waysOf(scene, crew);
  const speeds = { road_mps: crew.speed_mps, offRoad_mps: crew.offRoad_mps };
  const [a, b] = [frame.toLocal(from), frame.toLocal(to)];
  const before = new Int32Array(ways.graph.x.length);
  const field = ways.field(a[0], a[1], speeds, false, before);
  const end = ways.attach([b], true);
  let best = ways.straight(a, b) ? Math.hypot(b[0] - a[0], b[1] - a[1]) / speeds.offRoad_mps : Infinity;
  let last = -1;
  for (let k = 0; k < end.node.length; k++) {
    const t =
      nth(field, numberAt(end.node, k)) + nth(end.drive_m, k) / speeds.offRoad_mps + nth(end.walk_m, k) / WALK_MPS;
    if (t < best) [best, last] = [t, k];
  }
  if (!(best < Infinity) && crew.kind === 'boat')
    return {
      kind: 'no way',
      why: scene.water.at(b) === null ? 'it lies on land' : 'land lies between, and no water leads there',
    };
  if (!(best < Infinity)) {
    const stop = ways.inTheWay(a[0], a[1], b[0], b[1]);
    return {
      kind: 'no way',
      why: stop === null ? 'no way leads there from here' : `${stop} lies between, and no crossing leads over it`,
    };
  }
  const pieces = last < 0 ? [off(crew, a, b)] : piecesTo(ways, crew, [a, b], before, { end, last });
  const legs = legsOf(scene, straightened(ways, pieces, crew));
  const length_m = legs.reduce((sum, leg) => sum + leg.length_m, 0);
  const time_s = legs.reduce((sum, leg) => sum + leg.time_s, 0);
  return { kind: 'route', legs, length_m, time_s, sentence: wordsOf(legs, length_m, time_s) };
}

const off = ({ kind, offRoad_mps }: Crew, from: Point, to: Point): Piece => ({
  kind: kind === 'boat' ? 'by water' : 'off road',
  road: null,
  from,
  to,
  seconds: Math.hypot(to[0] - from[0], to[1] - from[1]) / offRoad_mps,
});

function piecesTo(
  ways: WayMap,
  crew: Crew,
  [a, b]: readonly [Point, Point],
  before: Int32Array,
  { end, last }: { readonly end: Attached; readonly last: number },
): Piece[] {
  const { x, y, road, roadNames, head, to, length_m, allowed_mps } = ways.graph;
  const at = (n: number): Point => [nth(x, n), nth(y, n)];
  const nodes: number[] = [];
  for (let n = numberAt(end.node, last); n >= 0 && nodes.length <= x.length; n = numberAt(before, n)) nodes.push(n);
  nodes.reverse();
  const pieces: Piece[] = [off(crew, a, at(numberAt(nodes, 0)))];
  nodes.forEach((n, i) => {
    const m = nodes[i - 1];
    if (m === undefined) return;
    // Of parallel edges the fastest is the one that the field took.
    let best: Piece = off(crew, at(m), at(n));
    for (let k = numberAt(head, m); k < numberAt(head, m + 1); k++) {
      if (to[k] !== n || nth(allowed_mps, k) === 0) continue;
      const seconds = nth(length_m, k) / Math.max(Math.min(nth(allowed_mps, k), crew.speed_mps), crew.offRoad_mps);
      if (seconds <= best.seconds + 1e-9)
        best = { kind: 'road', road: roadNames[numberAt(road, k)] ?? 'road', from: at(m), to: at(n), seconds };
    }
    pieces.push(best);
  });
  const from = at(nodes.at(-1) ?? NaN);
  const [drive_m, walk_m] = [nth(end.drive_m, last), nth(end.walk_m, last)];
  const share = drive_m + walk_m > 0 ? drive_m / (drive_m + walk_m) : 1;
  const stop: Point = [from[0] + share * (b[0] - from[0]), from[1] + share * (b[1] - from[1])];
  pieces.push(off(crew, from, stop));
  if (walk_m > 0) pieces.push({ kind: 'on foot', road: null, from: stop, to: b, seconds: walk_m / WALK_MPS });
  return pieces;
}

/**
 * Stretches off the road drawn straight where nothing lies between: the lattice's corners are not real corners of the
 * way.
 */
function straightened(ways: WayMap, pieces: readonly Piece[], crew: Crew): Piece[] {
  const isOff = (kind: Piece['kind']): boolean => kind === 'off road' || kind === 'by water';
  const out: Piece[] = [];
  for (const piece of pieces) {
    const last = out.at(-1);
    if (last === undefined || !isOff(piece.kind) || !isOff(last.kind)) {
      out.push(piece);
      continue;
    }
    if (ways.inTheWay(last.from[0], last.from[1], piece.to[0], piece.to[1]) === null)
      out[out.length - 1] = off(crew, last.from, piece.to);
    else out.push(piece);
  }
  return out.filter((piece) => piece.from[0] !== piece.to[0] || piece.from[1] !== piece.to[1]);
}

/** Pieces of one kind and road put together. */
function legsOf({ frame }: Scene, pieces: readonly Piece[]): RouteLeg[] {
  const legs: { kind: RouteLeg['kind']; road: string | null; line: LonLat[]; length_m: number; time_s: number }[] = [];
  for (const { kind, road, from, to, seconds } of pieces) {
    const length = Math.hypot(to[0] - from[0], to[1] - from[1]);
    const last = legs.at(-1);
    if (last !== undefined && last.kind === kind && last.road === road) {
      last.line.push(frame.toLonLat(to[0], to[1]));
      last.length_m += length;
      last.time_s += seconds;
    } else {
      legs.push({
        kind,
        road,
        line: [frame.toLonLat(from[0], from[1]), frame.toLonLat(to[0], to[1])],
        length_m: length,
        time_s: seconds,
      });
    }
  }
  return legs;
}

function wordsOf(legs: readonly RouteLeg[], length_m: number, time_s: number): string {
  const parts = legs
    .filter((leg) => leg.length_m >= 20)
    .map((leg) => `${leg.road ?? leg.kind} ${distance(leg.length_m)}`);
  return (
    `${distance(length_m)}, ${roughDuration(time_s)}: ` +
    `${parts.length === 0 ? 'it stands there' : parts.join(', ')}.`
  );
}
