// Where a map's words go, on the screen and on paper. Pure geometry in CSS px or any other unit, x right, y down: given
// the boxes that want to be written, in order of importance, and what they must not cover, each gets a place or is left
// out. Nothing here knows what a label says.

export interface Box {
  readonly x: number;
  readonly y: number;
  readonly width: number;
  readonly height: number;
}

/** A place that a label may take: its box's upper left corner. Earlier spots are liked better. */
export interface Spot {
  readonly x: number;
  readonly y: number;
}

/** A label that wants a place. Lower `priority` goes first; `spots` holds the places that would do. */
export interface LabelWish {
  readonly id: string;
  readonly priority: number;
  readonly width: number;
  readonly height: number;
  readonly spots: readonly Spot[];
  /** Rather left out than on anything unwelcome. */
  readonly clear?: boolean;
  /** A line leads to the label from within `gap` of here where it takes a spot of the number `after` or a later one. */
  readonly leader?: { readonly from: Spot; readonly gap: number; readonly after: number };
}

/** A straight line on the screen, from its mark to its label. */
export interface Leader {
  readonly from: Spot;
  readonly to: Spot;
}

export interface PlacedLabel extends Box {
  readonly id: string;
  /** Which of the wish's spots it took. */
  readonly spot: number;
  /** What leads to it, if anything does. No other label lies on it, and it crosses none. */
  readonly leader?: Leader;
}

export interface Obstacles {
  /** Labels stay inside. */
  readonly area: Box;
  /** What no label may cover: marks, buttons. */
  readonly blocked: readonly Box[];
  /** What a label had better not cover, such as a track: each costs as much as being two spots less liked. */
  readonly unwelcome: readonly Box[];
}

const UNWELCOME_COST = 2;
/** However much it covers: words beside their mark are better than words far off that cover nothing. */
const UNWELCOME_MOST = 8;
/** A label that has a place keeps it unless another is better by more than this: words that hop are not read. */
const KEEP_BONUS = 2.5;

export const overlap = (a: Box, b: Box): boolean =>
  a.x < b.x + b.width && b.x < a.x + a.width && a.y < b.y + b.height && b.y < a.y + a.height;

export const inside = (a: Box, area: Box): boolean =>
  a.x >= area.x && a.y >= area.y && a.x + a.width <= area.x + area.width && a.y + a.height <= area.y + area.height;

/**
 * Places labels one by one, the most important first, each in its best free spot; a label without a free spot is left
 * out. A less important label never moves or removes a more important one.
 *
 * previous   spots taken last time, by id: they are kept where they are still nearly as good
 * Cost       wishes × spots × boxes comparisons; 100 labels of 8 spots among 300 boxes take about 1 ms
 */
export function placeLabels(
  wishes: readonly LabelWish[],
  obstacles: Obstacles,
  previous: ReadonlyMap<string, number>,
): PlacedLabel[] {
  const order = wishes
    .map((wish, index) => ({ wish, index }))
    .sort((a, b) => a.wish.priority - b.wish.priority || a.index - b.index);
  const placed: PlacedLabel[] = [];
  for (const { wish } of order) {
    const label = bestSpot(wish, obstacles, placed, previous.get(wish.id));
    if (label !== null) placed.push(label);
  }
  return placed;
}

function bestSpot(
  wish: LabelWish,
  obstacles: Obstacles,
  placed: readonly PlacedLabel[],
  kept: number | undefined,
): PlacedLabel | null {
  const { area, blocked, unwelcome } = obstacles;
  let best: PlacedLabel | null = null;
  let bestCost = Infinity;
  for (let spot = 0; spot < wish.spots.length; spot++) {
    const at = wish.spots[spot];
    if (at === undefined) continue;
    let cost = spot === kept ? spot - KEEP_BONUS : spot;
    if (cost >= bestCost) continue;
    const label = { id: wish.id, spot, x: at.x, y: at.y, width: wish.width, height: wish.height };
    if (!inside(label, area) || blocked.some((box) => overlap(label, box)) || placed.some((box) => overlap(label, box)))
      continue;
    const leader = leaderOf(wish, label);
    if (placed.some((one) => (one.leader !== undefined && meets(one.leader, label)) || (leader && meets(leader, one))))
      continue;
    const covered = unwelcome.filter((box) => overlap(label, box)).length;
    if (wish.clear === true && covered > 0) continue;
    cost += Math.min(covered * UNWELCOME_COST, UNWELCOME_MOST);
    if (cost >= bestCost) continue;
    best = leader === null ? label : { ...label, leader };
    bestCost = cost;
  }
  return best;
}

/** Share of the gap about a mark that its leader leaves free, and the shortest leader worth drawing, px. */
const LEADER_GAP = 0.7;
const LEADER_LEAST_PX = 4;

/** From the mark to the nearest edge of its label; null where the label stands beside its mark. */
function leaderOf({ leader }: LabelWish, at: PlacedLabel): Leader | null {
  if (leader === undefined || at.spot < leader.after) return null;
  const { x, y } = leader.from;
  const to = {
    x: Math.min(Math.max(x, at.x), at.x + at.width),
    y: Math.min(Math.max(y, at.y), at.y + at.height),
  };
  const length = Math.hypot(to.x - x, to.y - y);
  const inner = leader.gap * LEADER_GAP;
  if (!(length > inner + LEADER_LEAST_PX)) return null;
  return { from: { x: x + ((to.x - x) * inner) / length, y: y + ((to.y - y) * inner) / length }, to };
}

/** Whether a leader runs through a box: the stretch of it that lies within both pairs of edges is not empty. */
export function meets({ from, to }: Leader, box: Box): boolean {
  let [enters, leaves] = [0, 1];
  for (const [start, way, low, high] of [
    [from.x, to.x - from.x, box.x, box.x + box.width],
    [from.y, to.y - from.y, box.y, box.y + box.height],
  ] as const) {
    if (way === 0) {
      if (start <= low || start >= high) return false;
      continue;
    }
    const [a, b] = [(low - start) / way, (high - start) / way];
    enters = Math.max(enters, Math.min(a, b));
    leaves = Math.min(leaves, Math.max(a, b));
  }
  return enters < leaves;
}

interface Size {
  readonly width: number;
  readonly height: number;
}

/** How far out each further ring of places lies, px beyond the first. */
const RINGS_PX = [0, 24, 52, 88] as const;

/**
 * The eight places around a mark, right first, as mapmakers like them: right, left, above, below, then the corners.
 *
 * gap     px between the mark's middle and the label's nearest edge
 * rings   1: only beside the mark; more: also farther out, where the caller draws a line from mark to label
 */
export function spotsAround({ x, y }: Spot, { width, height }: Size, gap: number, rings = 1): Spot[] {
  return RINGS_PX.slice(0, rings).flatMap((more) => {
    const away = gap + more;
    const corner = away * 0.75;
    return [
      { x: x + away, y: y - height / 2 },
      { x: x - away - width, y: y - height / 2 },
      { x: x - width / 2, y: y - away - height },
      { x: x - width / 2, y: y + away },
      { x: x + corner, y: y - corner - height },
      { x: x + corner, y: y + corner },
      { x: x - corner - width, y: y - corner - height },
      { x: x - corner - width, y: y + corner },
    ];
  });
}

/** Places with the label's middle on given points: for a percentage written on its line, a name inside its zone. */
export function spotsOn(points: readonly Spot[], width: number, height: number): Spot[] {
  return points.map((point) => ({ x: point.x - width / 2, y: point.y - height / 2 }));
}

/** The box about a text that is turned: what a label along a contour line needs free. */
export function turnedSize(width: number, height: number, angle_rad: number): Size {
  const c = Math.abs(Math.cos(angle_rad));
  const s = Math.abs(Math.sin(angle_rad));
  return { width: width * c + height * s, height: width * s + height * c };
}

/**
 * A line's points in px at even steps, as small boxes: what makes labels keep off a track. `line`: x, y, x, y, ….
 */
export function boxesAlong(line: ArrayLike<number>, step: number, size: number): Box[] {
  const boxes: Box[] = [];
  const half = size / 2;
  let left = 0;
  for (let i = 2; i + 1 < line.length; i += 2) {
    const x0 = line[i - 2] ?? NaN;
    const y0 = line[i - 1] ?? NaN;
    const dx = (line[i] ?? NaN) - x0;
    const dy = (line[i + 1] ?? NaN) - y0;
    const length = Math.hypot(dx, dy);
    if (!(length > 0 && length < 1e5)) continue;
    for (; left <= length; left += step) {
      boxes.push({
        x: x0 + (dx * left) / length - half,
        y: y0 + (dy * left) / length - half,
        width: size,
        height: size,
      });
    }
    left -= length;
  }
  return boxes;
}
