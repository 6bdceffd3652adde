// The ring about the thing that has the keyboard's focus, over everything else.
import { onScreen, spotOf, strokeLine, type Pen } from './pen.ts';
import type { Thing } from './things.ts';

export function paintFocus(pen: Pen, thing: Thing): void {
  const { context, palette } = pen;
  const stroke = { colour: palette.accent, width: 4, halo: 2 };
  switch (thing.shape.kind) {
    case 'area':
      for (const ring of thing.shape.rings) strokeLine(pen, ring, stroke, true);
      return;
    case 'line':
      strokeLine(pen, thing.shape.line, stroke);
      return;
    case 'point': {
      const at = spotOf(pen, thing.place);
      if (!onScreen(pen, at)) return;
      for (const [width, colour] of [
        [8, palette.map],
        [4, palette.accent],
      ] as const) {
        context.beginPath();
        context.arc(at.x, at.y, 20, 0, 2 * Math.PI);
        context.strokeStyle = colour;
        context.lineWidth = width;
        context.stroke();
      }
    }
  }
}
