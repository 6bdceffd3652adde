// The map's words on a canvas of their own: gathered from all painters, measured, placed so that none covers another,
// and written with a halo of the ground's colour.
import { never } from '../../core/base/problem.ts';
import type { Role, Palette } from '../theme/roles.ts';
import type { ContourLine } from './contourLines.ts';
import {
  placeLabels,
  spotsAround,
  spotsOn,
  turnedSize,
  type Box,
  type LabelWish,
  type PlacedLabel,
} from '../../core/base/labels.ts';
import { Lru } from './lru.ts';
import { faded, rank, type TextLine, type TextWish } from './pen.ts';
import type { Screen } from './projection.ts';
import { height } from '../../core/words/lengths.ts';
import type { Units } from '../../core/words/numbers.ts';

const LINE_HEIGHT = 1.25;
/** px that a label keeps from its neighbours. */
const PADDING = 2;

/** Up to this importance a label goes farther from its mark, with a line to it, before it is left out. */
const LEADER_RANK = rank.body;
/** px between a tick of the track and the line to its height. */
const TIED_GAP_PX = 5;

interface Measured {
  readonly wish: TextWish;
  readonly width: number;
  readonly height: number;
}

/** Where the words stand in their box, by the spot around a mark that they took. */
const ALIGN_AROUND = ['left', 'right', 'center', 'center', 'left', 'left', 'right', 'right'] as const;

interface LabelSurroundings {
  readonly screen: Screen;
  readonly palette: Palette;
  readonly family: string;
  readonly blocked: readonly Box[];
  readonly unwelcome: readonly Box[];
}

export class LabelWriter {
  readonly #widths = new Lru<number>(3000);
  #spots: ReadonlyMap<string, number> = new Map();

  /** After the typeface has come: what was measured with its stand-in is wrong. */
  forgetWidths(): void {
    this.#widths.clear();
  }

  /** Writes what finds a place; answers the labels written, for tests and for the pointer. */
  write(
    context: CanvasRenderingContext2D,
    wishes: readonly TextWish[],
    around: LabelSurroundings,
  ): readonly PlacedLabel[] {
    const byId = new Map<string, Measured>();
    for (const wish of wishes) if (!byId.has(wish.id)) byId.set(wish.id, this.#measure(context, wish, around.family));
    const { width, height: tall } = around.screen;
    const area = { x: 4, y: 4, width: width - 8, height: tall - 8 };
    const placed = placeLabels(
      [...byId.values()].filter(({ wish }) => isSeen(wish, around.screen)).map((measured) => wishOf(measured)),
      { area, blocked: around.blocked, unwelcome: around.unwelcome },
      this.#spots,
    );
    this.#spots = new Map(placed.map((label) => [label.id, label.spot]));
    context.textBaseline = 'middle';
    context.lineJoin = 'round';
    for (const label of placed) {
      const measured = byId.get(label.id);
      if (measured !== undefined) drawLeader(context, measured.wish, label, around.palette);
    }
    // The most important last: should two halos touch, its one is whole.
    for (const label of [...placed].reverse()) {
      const measured = byId.get(label.id);
      if (measured !== undefined) writeLabel(context, measured, label, around);
    }
    return placed;
  }

  #measure(context: CanvasRenderingContext2D, wish: TextWish, family: string): Measured {
    let width = 0;
    let tall = 0;
    for (const line of wish.lines) {
      const font = fontOf(line, family);
      const key = `${font}|${line.text}`;
      let known = this.#widths.get(key);
      if (known === undefined) {
        context.font = font;
        known = Math.ceil(context.measureText(line.text).width);
        this.#widths.set(key, known);
      }
      width = Math.max(width, known);
      tall += line.size * LINE_HEIGHT;
    }
    return { wish, width: width + 2 * PADDING, height: Math.ceil(tall) };
  }
}

const fontOf = (line: TextLine, family: string): string => `${line.bold === true ? 600 : 400} ${line.size}px ${family}`;

/** A mark just beyond the edge is told by the arrow there; its own words would point at nothing. */
const isSeen = ({ place }: TextWish, { width, height: tall }: Screen): boolean =>
  place.kind !== 'around' || (place.x >= 0 && place.y >= 0 && place.x <= width && place.y <= tall);

function wishOf({ wish, width, height: tall }: Measured): LabelWish {
  const { id, priority, place, clear = false } = wish;
  const size = { width, height: tall };
  switch (place.kind) {
    case 'around': {
      const { gap, tied = false, rings = priority <= LEADER_RANK ? 4 : 1 } = place;
      const leader = { from: place, gap: tied ? TIED_GAP_PX : gap, after: tied ? 0 : ALIGN_AROUND.length };
      return { id, priority, clear, ...size, leader, spots: spotsAround(place, size, gap, rings) };
    }
    case 'on': {
      const leader = place.leader === undefined ? {} : { leader: { ...place.leader, gap: 0 } };
      return { id, priority, clear, ...size, ...leader, spots: spotsOn(place.points, width, tall) };
    }
    case 'turned': {
      const turned = turnedSize(width, tall, place.angle);
      return { id, priority, clear, ...turned, spots: spotsOn([place], turned.width, turned.height) };
    }
    default:
      return never(place);
  }
}

function writeLabel(
  context: CanvasRenderingContext2D,
  { wish, height: tall }: Measured,
  at: PlacedLabel,
  around: LabelSurroundings,
): void {
  const { palette, family } = around;
  const align = wish.place.kind === 'around' ? (ALIGN_AROUND[at.spot % ALIGN_AROUND.length] ?? 'left') : 'center';
  const x = align === 'left' ? at.x + PADDING : align === 'right' ? at.x + at.width - PADDING : at.x + at.width / 2;
  context.save();
  if (wish.place.kind === 'turned') {
    context.translate(at.x + at.width / 2, at.y + at.height / 2);
    context.rotate(wish.place.angle);
    context.translate(-x, -(at.y + at.height / 2));
  }
  if (wish.plate === true) {
    context.fillStyle = faded(palette.map, 0.88);
    context.fillRect(at.x, at.y + (at.height - tall) / 2, at.width, tall);
  }
  context.textAlign = align;
  let y = at.y + (at.height - tall) / 2;
  for (const line of wish.lines) {
    const step = line.size * LINE_HEIGHT;
    context.font = fontOf(line, family);
    context.strokeStyle = faded(palette.map, 0.88);
    context.lineWidth = line.size >= 14 ? 5 : 4;
    context.strokeText(line.text, x, y + step / 2);
    context.fillStyle = palette[line.role ?? roleOf(wish)];
    context.fillText(line.text, x, y + step / 2);
    y += step;
  }
  context.restore();
}

/** From the mark to the nearest edge of a label that stands apart from it. */
function drawLeader(context: CanvasRenderingContext2D, wish: TextWish, at: PlacedLabel, palette: Palette): void {
  if (at.leader === undefined) return;
  const { from, to } = at.leader;
  context.beginPath();
  context.moveTo(from.x, from.y);
  context.lineTo(to.x, to.y);
  for (const [width, colour] of [
    [4, faded(palette.map, 0.8)],
    [1.25, palette[wish.role]],
  ] as const) {
    context.lineWidth = width;
    context.strokeStyle = colour;
    context.stroke();
  }
}

const roleOf = (wish: TextWish): Role => wish.role;

/** px of a contour line that its height needs: shorter pieces carry none. */
const CONTOUR_RUN_PX = 130;

/** Heights along the heavier contour lines, one for each long enough piece, upright whichever way the line runs. */
export function contourWishes(
  lines: readonly ContourLine[],
  screen: Screen,
  units: Units,
  ground_m: number,
): TextWish[] {
  const wishes: TextWish[] = [];
  lines.forEach((line, index) => {
    const middle = middleOf(line, screen);
    if (middle === null) return;
    // Terrain is mapped above sea level whatever the switch for the descent says.
    const text = height(line.height_m, { ...units, height: 'MSL' }, ground_m).replace(' MSL', '');
    wishes.push({
      id: `contour-height/${index}/${Math.round(line.height_m)}`,
      priority: rank.terrain,
      role: 'quiet',
      lines: [{ text, size: 12 }],
      place: { kind: 'turned', ...middle },
    });
  });
  return wishes;
}

function middleOf(line: ContourLine, screen: Screen): { x: number; y: number; angle: number } | null {
  const { world } = line;
  const count = world.length / 2;
  const at = (i: number): [number, number] => [
    (world[2 * i] ?? NaN) * screen.scale - screen.left,
    (world[2 * i + 1] ?? NaN) * screen.scale - screen.top,
  ];
  const m = Math.floor(count / 2);
  const [x, y] = at(m);
  if (!(x > 0 && y > 0 && x < screen.width && y < screen.height)) return null;
  // Out to both sides until the words fit between; a line that bends back on the way is not written on.
  let before = m;
  let after = m;
  let length = 0;
  while (length < CONTOUR_RUN_PX && (before > 0 || after < count - 1)) {
    if (before > 0) {
      const [x0, y0] = at(before);
      before -= 1;
      const [x1, y1] = at(before);
      length += Math.hypot(x1 - x0, y1 - y0);
    }
    if (after < count - 1) {
      const [x0, y0] = at(after);
      after += 1;
      const [x1, y1] = at(after);
      length += Math.hypot(x1 - x0, y1 - y0);
    }
  }
  const [xa, ya] = at(before);
  const [xb, yb] = at(after);
  const chord = Math.hypot(xb - xa, yb - ya);
  if (length < CONTOUR_RUN_PX * 0.6 || chord < 0.85 * length) return null;
  const angle = Math.atan2(yb - ya, xb - xa);
  const upright = angle > Math.PI / 2 ? angle - Math.PI : angle < -Math.PI / 2 ? angle + Math.PI : angle;
  return { x, y, angle: upright };
}
