// A check of printed ways that shares nothing with the product but its answer: its own plane, its own distances, the
// ground by its formula and not by a grid. What a way must keep to is common practice, as `core/recovery/corridor.ts`
// gives it; here it is asked for with what two maps may differ by.
import { toEastNorth, type EastNorth, type Hazard, type OrdersMade } from './missions.ts';

const SOLID = new Set(['river', 'water', 'sea', 'canal', 'lake', 'island', 'road', 'ridge', 'cliff', 'fence']);
/** Climb and descent, m/s; margins above the ground and above what stands on it, m. */
const RATE_MPS = 4.2;
const OVER_GROUND_M = 55;
const OVER_OBSTACLE_M = 28;
const ROTOR_M = 300;

type Way = OrdersMade['orders']['crews'][number]['ways'][number];

function apart([px, py]: EastNorth, [ax, ay]: EastNorth, [bx, by]: EastNorth): number {
  const [vx, vy] = [bx - ax, by - ay];
  const t = Math.max(0, Math.min(1, ((px - ax) * vx + (py - ay) * vy) / (vx * vx + vy * vy || 1)));
  return Math.sqrt((px - ax - t * vx) ** 2 + (py - ay - t * vy) ** 2);
}

/** Winding number: another rule than the product's even and odd. */
function holds(ring: readonly EastNorth[], [x, y]: EastNorth): boolean {
  let turns = 0;
  ring.forEach(([ax, ay], i) => {
    const [bx, by] = ring[(i + 1) % ring.length] ?? [ax, ay];
    const left = (bx - ax) * (y - ay) - (x - ax) * (by - ay);
    if (ay <= y && by > y && left > 0) turns += 1;
    if (ay > y && by <= y && left < 0) turns -= 1;
  });
  return turns !== 0;
}

function far(hazard: Hazard, at: EastNorth): number {
  const line = hazard.area ?? hazard.line ?? [];
  if (hazard.area !== undefined && holds(hazard.area, at)) return 0;
  const ends = hazard.area === undefined ? line : [...line, ...line.slice(0, 1)];
  if (ends.length === 1 && ends[0] !== undefined) return apart(at, ends[0], ends[0]);
  return Math.min(...ends.map((b, i) => (i === 0 ? Infinity : apart(at, ends[i - 1] ?? b, b))));
}

/** Every rule that a printed way breaks, in words; none for a way that can be flown or driven. */
export function broken(made: OrdersMade): string[] {
  const said: string[] = [];
  for (const crew of made.orders.crews) {
    if (crew.state === 'refused' && crew.ways.length > 0) said.push(`${crew.name} is refused and has a way`);
    if (crew.state === 'refused' && crew.why === null) said.push(`${crew.name} is refused without a reason`);
    const kind = made.mission.teams.find((team) => team['name'] === crew.name)?.['kind'];
    for (const way of crew.ways)
      said.push(
        ...(kind === 'helicopter' ? flight : kind === 'boat' ? sail : drive)(made, way).map(
          (why) => `${crew.name}, ${way.what}: ${why}`,
        ),
      );
    if (kind === 'boat' && crew.state !== 'refused' && crew.standby !== null)
      said.push(...afloat(made, [toEastNorth(made.mission.ground, crew.standby.position)]));
    if (crew.standby !== null && crew.state !== 'refused' && made.source.scene?.stage === 'before the exit')
      said.push(
        ...waits(made, toEastNorth(made.mission.ground, crew.standby.position)).map((why) => `${crew.name}: ${why}`),
      );
  }
  return said;
}

function waits({ mission, orders }: OrdersMade, at: EastNorth): string[] {
  const inside = orders.keepClear.filter(({ polygon }) =>
    holds(
      polygon.map((place) => toEastNorth(mission.ground, place)),
      at,
    ),
  );
  return inside.map(({ name }) => `waits in the ground kept clear for ${name}`);
}

function samplesOf(
  { mission }: OrdersMade,
  way: Way,
): { at: EastNorth; up_m: number; toGo_m: number; gone_m: number; k: number }[] {
  const points = way.points.map((point) => ({ ...point, at: toEastNorth(mission.ground, point.position) }));
  const legs = points.map((point, i) => {
    const before = points[i - 1] ?? point;
    return Math.hypot(point.at[0] - before.at[0], point.at[1] - before.at[1]);
  });
  const all = legs.reduce((sum, one) => sum + one, 0);
  const samples: ReturnType<typeof samplesOf> = [];
  let gone = 0;
  points.forEach((b, k) => {
    const a = points[k - 1];
    if (a === undefined) return;
    const steps = Math.ceil((legs[k] ?? 0) / 17) + 1;
    for (let s = 0; s <= steps; s++) {
      const f = s / steps;
      const along = gone + f * (legs[k] ?? 0);
      samples.push({
        at: [a.at[0] + f * (b.at[0] - a.at[0]), a.at[1] + f * (b.at[1] - a.at[1])],
        up_m: a.height_m + f * (b.height_m - a.height_m),
        toGo_m: all - along,
        gone_m: along,
        k,
      });
    }
    gone += legs[k] ?? 0;
  });
  return samples;
}

function flight(made: OrdersMade, way: Way): string[] {
  const { mission, orders } = made;
  const said = new Set<string>();
  const holdAt = way.points.findLastIndex((point) => point.name === 'hold');
  way.points.forEach((b, i) => {
    const a = way.points[i - 1];
    if (a === undefined) return;
    const dt = b.tPlus_s - a.tPlus_s;
    if (dt < -1e-6) said.add(`goes back in time to ${b.name}`);
    const rate = Math.abs(b.height_m - a.height_m) / Math.max(dt, 1e-6);
    if (Math.abs(b.height_m - a.height_m) > 2 && rate > RATE_MPS) said.add(`${rate.toFixed(1)} m/s to ${b.name}`);
  });
  const rings = orders.keepClear.map(({ polygon }) => polygon.map((place) => toEastNorth(mission.ground, place)));
  const landed = made.source.scene?.stage !== 'before the exit' || way.what === 'approach';
  for (const { at, up_m, toGo_m, gone_m, k } of samplesOf(made, way)) {
    // Near its two ends a flight is low on purpose: half of a glide of 1 in 8.
    const low = Math.min(toGo_m, gone_m) / 16;
    const ground = mission.ground.heightAt(at[0], at[1]);
    // A grid of 50 m cuts a ridge's top by less than a metre here.
    if (up_m < ground + Math.min(OVER_GROUND_M, low) - 3) said.add(`${(up_m - ground).toFixed(0)} m over the ground`);
    for (const hazard of mission.hazards) {
      if (SOLID.has(hazard.kind) || far(hazard, at) > (low < 10 ? 14 : 45)) continue;
      const need = (hazard.height_m ?? 0) + Math.min(OVER_OBSTACLE_M, low);
      if (up_m - ground < need - 3) said.add(`${(up_m - ground).toFixed(0)} m over ${hazard.name}`);
    }
    if (landed && k <= holdAt)
      for (const ring of rings) {
        const edge = far({ name: '', kind: '', area: ring }, at);
        if (edge < ROTOR_M) said.add(`${edge.toFixed(0)} m from ground kept clear before the hold`);
      }
  }
  const end = way.points.at(-1);
  if (way.what === 'approach' && holdAt < 0) said.add('no hold');
  if (way.what === 'approach' && end?.name === 'set-down' && end.agl_m < 1) {
    const at = toEastNorth(mission.ground, end.position);
    for (const hazard of mission.hazards)
      if (['water', 'sea', 'river', 'trees', 'building', 'town'].includes(hazard.kind) && far(hazard, at) < 10)
        said.add(`sets down on ${hazard.name}`);
  }
  return [...said];
}

/** Straight ways on two planes differ by less than this over some kilometres. */
const TWO_PLANES_M = 6;

/** Places that lie on land; the corners of an island and of the shore may be off by what two planes differ by. */
function afloat({ mission }: OrdersMade, places: readonly EastNorth[]): string[] {
  const water = mission.hazards.filter(({ kind, area }) => WATER.has(kind) && area !== undefined);
  const islands = mission.hazards.filter(({ kind }) => kind === 'island');
  const said = new Set<string>();
  for (const at of places) {
    if (Math.min(...water.map((one) => far(one, at))) > TWO_PLANES_M) said.add('leaves the water');
    for (const island of islands)
      if (holds(island.area ?? [], at) && edge(island, at) > TWO_PLANES_M) said.add(`goes over ${island.name}`);
  }
  return [...said];
}

const WATER = new Set(['water', 'sea', 'lake', 'river', 'canal']);
const edge = ({ area = [] }: Hazard, at: EastNorth): number =>
  Math.min(...area.map((b, i) => apart(at, area.at(i - 1) ?? b, b)));

function sail(made: OrdersMade, way: Way): string[] {
  const samples = samplesOf(made, way).map(({ at }) => at);
  return [...afloat(made, samples), ...(way.points.length < 2 ? ['no way'] : [])];
}

/** Where two stretches meet, by Cramer's rule; null where they do not. */
function meet(a: EastNorth, b: EastNorth, c: EastNorth, d: EastNorth): EastNorth | null {
  const [p, q, r, s] = [b[0] - a[0], c[0] - d[0], b[1] - a[1], c[1] - d[1]];
  const determinant = p * s - q * r;
  const [x, y] = [c[0] - a[0], c[1] - a[1]];
  const t = (x * s - q * y) / determinant;
  const u = (p * y - x * r) / determinant;
  return t >= 0 && t <= 1 && u >= 0 && u <= 1 ? [a[0] + t * p, a[1] + t * r] : null;
}

function drive(made: OrdersMade, way: Way): string[] {
  const said = new Set<string>();
  const points = way.points.map((point) => toEastNorth(made.mission.ground, point.position));
  const water = made.mission.hazards.filter((hazard) => WATER.has(hazard.kind));
  points.forEach((b, i) => {
    const a = points[i - 1];
    if (a === undefined) return;
    for (const hazard of water) {
      const line = hazard.area === undefined ? (hazard.line ?? []) : [...hazard.area, ...hazard.area.slice(0, 1)];
      if (hazard.area !== undefined && holds(hazard.area, b)) said.add(`drives into ${hazard.name}`);
      line.forEach((d, k) => {
        const c = line[k - 1];
        const at = c === undefined ? null : meet(a, b, c, d);
        const bridge = at !== null && (hazard.crossings ?? []).some((place) => apart(at, place, place) < 60);
        if (at !== null && !bridge) said.add(`drives through ${hazard.name}`);
      });
    }
  });
  return [...said];
}
