// What lies outside the map: an arrow at its edge toward the exit, the landing, the exit window, the zone that is aimed
// at and each crew, with the name and how far beyond the edge it lies.
import { overlap, type Box, type Spot } from '../../core/base/labels.ts';
import type { LonLat } from '../../core/base/units.ts';
import { inverse } from '../../core/earth/geodesic.ts';
import { distance } from '../../core/words/lengths.ts';
import type { Role } from '../theme/roles.ts';
import { ringed } from './marks.ts';
import { placeAtTime } from './paintSpread.ts';
import { block, rank, spotOf, type Pen } from './pen.ts';
import { ringMiddle } from './places.ts';
import { placeAt, wrapPlace, type Screen } from './projection.ts';
import type { MapScene } from './scene.ts';

interface Wanted {
  readonly id: string;
  readonly name: string;
  readonly role: Role;
  readonly priority: number;
  /** Where it is; all of these must lie outside. The first is pointed at. */
  readonly places: readonly LonLat[];
}

/** px between the map's edge and the tip of an arrow. */
const INSET_PX = 8;
/** Half of an arrow's box, and how far it moves along the edge for another arrow or a button. */
const ARROW_PX = 9;
const STEP_PX = 6;
const MOST_STEPS = 120;

export interface Arrow {
  readonly tip: Spot;
  /** Toward the place: rad, x right, y down. */
  readonly angle: number;
}

/** Null where the place is on the map; the arrow keeps off `taken` and moves along the edge for it. */
export function arrowTo(screen: Screen, spot: Spot, taken: readonly Box[]): Arrow | null {
  const { width, height } = screen;
  if (spot.x >= 0 && spot.y >= 0 && spot.x <= width && spot.y <= height) return null;
  const middle = { x: width / 2, y: height / 2 };
  const half = { x: middle.x - INSET_PX, y: middle.y - INSET_PX };
  const [dx, dy] = [spot.x - middle.x, spot.y - middle.y];
  const cut = Math.min(half.x / Math.abs(dx || 1e-9), half.y / Math.abs(dy || 1e-9));
  const at = { x: middle.x + cut * dx, y: middle.y + cut * dy };
  // A left or right edge is walked up and down, the others across.
  const upright = Math.abs(Math.abs(at.x - middle.x) - half.x) < 0.5;
  for (let k = 0; k <= MOST_STEPS; k++) {
    const step = (k % 2 === 0 ? 1 : -1) * Math.ceil(k / 2) * STEP_PX;
    const tip = {
      x: upright ? at.x : Math.min(Math.max(at.x + step, INSET_PX), width - INSET_PX),
      y: upright ? Math.min(Math.max(at.y + step, INSET_PX), height - INSET_PX) : at.y,
    };
    const box = { x: tip.x - ARROW_PX, y: tip.y - ARROW_PX, width: 2 * ARROW_PX, height: 2 * ARROW_PX };
    if (taken.some((one) => overlap(box, one))) continue;
    return { tip, angle: Math.atan2(spot.y - tip.y, spot.x - tip.x) };
  }
  return null;
}

function wantedOf(scene: MapScene): Wanted[] {
  const { landing, exit, exitLine } = scene;
  const window = exitLine?.window ?? null;
  const target = scene.zones.find(({ name }) => name === scene.target);
  const ofWindow =
    exitLine === null || window === null
      ? []
      : [window.best_s, window.opens_s, window.closes_s].flatMap((at_s) => {
          const place = placeAtTime(exitLine, at_s);
          return place === null ? [] : [place];
        });
  const zone = target === undefined ? [] : [ringMiddle(target.polygon), ...target.polygon];
  return [
    { id: 'landing', name: 'Landing', role: 'ink', priority: rank.landing, places: listed(landing) },
    { id: 'exit', name: 'Exit', role: 'accent', priority: rank.exit, places: listed(exit) },
    { id: 'exit window', name: 'Exit window', role: 'accent', priority: rank.exitWindow, places: ofWindow },
    { id: `zone/${target?.name}`, name: target?.name ?? '', role: 'zone', priority: rank.zone, places: zone },
    ...scene.crews.map(({ name, position }) => ({
      id: `crew/${name}`,
      name,
      role: 'ink' as const,
      priority: rank.crew,
      places: [position],
    })),
  ];
}

const listed = (one: { readonly position: LonLat } | null): readonly LonLat[] => (one === null ? [] : [one.position]);

/** `furniture`: the map's own buttons and readings, px. */
export function paintOutside(pen: Pen, scene: MapScene, furniture: readonly Box[]): void {
  const taken = [...furniture];
  const { screen } = pen;
  for (const { id, name, role, priority, places } of wantedOf(scene)) {
    const spots = places.map((place) => spotOf(pen, place));
    const [first] = spots;
    const [place] = places;
    if (first === undefined || place === undefined || spots.some((spot) => arrowTo(screen, spot, []) === null))
      continue;
    const arrow = arrowTo(screen, first, taken);
    if (arrow === null) continue;
    const { tip } = arrow;
    drawArrow(pen, arrow, role);
    block(pen, tip, ARROW_PX);
    taken.push({ x: tip.x - ARROW_PX, y: tip.y - ARROW_PX, width: 2 * ARROW_PX, height: 2 * ARROW_PX });
    const beyond_m = inverse(wrapPlace(placeAt(screen, tip.x, tip.y)), place).distance_m;
    pen.texts.push({
      id: `outside/${id}`,
      priority,
      role,
      lines: [{ text: `${name} ${distance(beyond_m, scene.units)}`, size: 12, bold: true }],
      place: { kind: 'around', ...tip, gap: 12 },
    });
  }
}

function drawArrow(pen: Pen, { tip, angle }: Arrow, role: Role): void {
  const { context, palette } = pen;
  const along = (back: number, aside: number): readonly [number, number] => [
    tip.x - back * Math.cos(angle) - aside * Math.sin(angle),
    tip.y - back * Math.sin(angle) + aside * Math.cos(angle),
  ];
  ringed(
    pen,
    () => {
      context.beginPath();
      context.moveTo(...along(-6, 0));
      context.lineTo(...along(6, 6));
      context.lineTo(...along(2, 0));
      context.lineTo(...along(6, -6));
      context.closePath();
    },
    palette[role],
    1.5,
  );
  context.fillStyle = palette[role];
  context.fill();
}
