// The signs of the map on paper. Each differs from the others in shape, so that the map is read in black and white, and
// from a copy of a copy. Millimetres; every sign stands on a thin white edge so that it is seen on hatches.
import { never } from '../../base/problem.ts';
import type { CrewKind } from '../../recovery/crews.ts';
import type { Mm } from './frame.ts';
import { mm, svgPath, tag, text } from './svg.ts';

export const INK = '#111';
export const GREY = '#666';
export const PAPER = '#fff';
export const TINT = '#ececec';

const edge = { stroke: PAPER, 'stroke-width': 0.5, 'paint-order': 'stroke' } as const;

/** Expected landing: a cross in a ring. */
export const landingMark = ([x, y]: Mm): string =>
  tag('circle', { cx: x, cy: y, r: 2, fill: PAPER, stroke: PAPER, 'stroke-width': 1.4 }) +
  tag('circle', { cx: x, cy: y, r: 2, fill: 'none', stroke: INK, 'stroke-width': 0.6 }) +
  tag('path', { d: `M${mm(x - 3.2)} ${mm(y)}h6.4M${mm(x)} ${mm(y - 3.2)}v6.4`, stroke: INK, 'stroke-width': 0.6 });

/** What else comes down: a crossed square. */
export const bodyMark = ([x, y]: Mm): string =>
  tag('rect', { x: x - 1.6, y: y - 1.6, width: 3.2, height: 3.2, fill: PAPER, stroke: INK, 'stroke-width': 0.5 }) +
  tag('path', {
    d: `M${mm(x - 1.6)} ${mm(y - 1.6)}l3.2 3.2M${mm(x + 1.6)} ${mm(y - 1.6)}l-3.2 3.2`,
    stroke: INK,
    'stroke-width': 0.4,
  });

/** Where the cross of a medical crew stands, below the middle of its sign. */
const CROSS_DOWN: Readonly<Record<CrewKind, number>> = { helicopter: 0, vehicle: -0.2, boat: 0.45 };

/**
 * A helicopter waits in a ring with its rotor, a vehicle in a square on two wheels, a boat in a hull under a mast; a
 * medical crew has a cross in it.
 */
export function crewMark(at: Mm, kind: CrewKind, medical: boolean): string {
  const [x, y] = at;
  const down = y + CROSS_DOWN[kind];
  const cross = `M${mm(x - 1.2)} ${mm(down)}h2.4M${mm(x)} ${mm(down - 1.2)}v2.4`;
  return crewBody(at, kind) + (medical ? tag('path', { d: cross, stroke: PAPER, 'stroke-width': 0.8 }) : '');
}

function crewBody([x, y]: Mm, kind: CrewKind): string {
  switch (kind) {
    case 'helicopter': {
      const rotor = `M${mm(x - 3.4)} ${mm(y - 2.9)}h6.8M${mm(x)} ${mm(y - 2.9)}v1`;
      const body = tag('circle', { cx: x, cy: y, r: 2.1, fill: INK, ...edge });
      return tag('path', { d: rotor, stroke: INK, 'stroke-width': 0.6 }) + body;
    }
    case 'vehicle': {
      const wheels = [-1.2, 1.2].map((dx) => tag('circle', { cx: x + dx, cy: y + 1.7, r: 0.75, fill: INK, ...edge }));
      return tag('rect', { x: x - 2.3, y: y - 1.7, width: 4.6, height: 3, fill: INK, ...edge }) + wheels.join('');
    }
    case 'boat': {
      const hull = `M${mm(x - 3.4)} ${mm(y - 1)}h6.8l-1.5 2.9h-3.8Z`;
      const mast = `M${mm(x)} ${mm(y - 3.6)}v2.6`;
      return tag('path', { d: mast, stroke: INK, 'stroke-width': 0.6 }) + tag('path', { d: hull, fill: INK, ...edge });
    }
    default:
      return never(kind);
  }
}

/** A case's letter in a small box: never a colour alone. */
export const caseMark = ([x, y]: Mm, letter: string): string =>
  tag('rect', {
    x: x - 1.7,
    y: y - 1.7,
    width: 3.4,
    height: 3.4,
    rx: 1,
    fill: PAPER,
    stroke: GREY,
    'stroke-width': 0.3,
  }) + text(x, y + 0.9, 2.5, letter, { 'text-anchor': 'middle', fill: INK, 'font-weight': 600 });

/** Three puffs on a stick. */
export const smokeMark = ([x, y]: Mm): string =>
  [
    [0, 0, 0.7],
    [0.9, -1.1, 1],
    [2.4, -2, 1.3],
  ]
    .map(([dx = 0, dy = 0, r = 1]) =>
      tag('circle', { cx: x + dx, cy: y + dy, r, fill: PAPER, stroke: INK, 'stroke-width': 0.35 }),
    )
    .join('');

export const gateMark = ([x, y]: Mm): string =>
  tag('path', {
    d: `M${mm(x)} ${mm(y - 1.1)}l1.1 1.1l-1.1 1.1l-1.1 -1.1Z`,
    fill: PAPER,
    stroke: INK,
    'stroke-width': 0.4,
  });

export const holdMark = ([x, y]: Mm): string =>
  tag('circle', { cx: x, cy: y, r: 2.2, fill: PAPER, stroke: INK, 'stroke-width': 0.35 }) +
  tag('circle', { cx: x, cy: y, r: 1.5, fill: 'none', stroke: INK, 'stroke-width': 0.35 });

/** Corners of an outline, thick: a zone is told from any other area by them. */
export function cornerTicks(ring: readonly Mm[], length: number): string {
  const path = ring
    .map((corner, k) => {
      const before = ring[(k + ring.length - 1) % ring.length] ?? corner;
      const after = ring[(k + 1) % ring.length] ?? corner;
      return svgPath([toward(corner, before, length), corner, toward(corner, after, length)]);
    })
    .join('');
  return tag('path', { d: path, fill: 'none', stroke: INK, 'stroke-width': 1, 'stroke-linejoin': 'miter' });
}

function toward(from: Mm, to: Mm, length: number): Mm {
  const d = Math.hypot(to[0] - from[0], to[1] - from[1]);
  const t = d > 0 ? Math.min(length / d, 0.5) : 0;
  return [from[0] + t * (to[0] - from[0]), from[1] + t * (to[1] - from[1])];
}

/** Short strokes across a line, every so many millimetres: a power line, a fence. */
export function acrossTicks(line: readonly Mm[], every: number, half: number): string {
  let path = '';
  let left = every / 2;
  for (let k = 1; k < line.length; k++) {
    const [a, b] = [line[k - 1], line[k]];
    if (a === undefined || b === undefined) continue;
    const d = Math.hypot(b[0] - a[0], b[1] - a[1]);
    if (!(d > 0)) continue;
    const [ux, uy] = [(b[0] - a[0]) / d, (b[1] - a[1]) / d];
    for (; left <= d; left += every) {
      const [x, y] = [a[0] + ux * left, a[1] + uy * left];
      path += `M${mm(x - uy * half)} ${mm(y + ux * half)}L${mm(x + uy * half)} ${mm(y - ux * half)}`;
    }
    left -= d;
  }
  return path;
}

/** Which way the wind blows, in a corner that is free: a shaft with a head, FROM and speed beside it. */
export function windArrow([x, y]: Mm, from_deg: number): string {
  return tag(
    'g',
    { transform: `translate(${mm(x)} ${mm(y)}) rotate(${mm(from_deg + 180)})` },
    tag('path', {
      d: 'M0 6V-3.4M-2 -2.2L0 -6L2 -2.2Z',
      fill: INK,
      stroke: INK,
      'stroke-width': 0.8,
      'stroke-linejoin': 'round',
    }),
  );
}

export const northArrow = ([x, y]: Mm): string =>
  tag('path', { d: svgPath([[x, y - 5], [x + 2, y + 3], [x, y + 1.6]], true), fill: INK }) + // prettier-ignore
  tag('path', {
    d: svgPath(
      [
        [x, y - 5],
        [x - 2, y + 3],
        [x, y + 1.6],
      ],
      true,
    ),
    fill: PAPER,
    stroke: INK,
    'stroke-width': 0.3,
  }) + // prettier-ignore
  text(x, y + 6, 2.6, 'N', { 'text-anchor': 'middle', 'font-weight': 600 });
