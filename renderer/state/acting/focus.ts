// Moving the caret. At once, or when what was just changed has been drawn: it is drawn in a microtask, at the latest by
// the one that moves the caret, so both are done before the next key arrives, and nothing that is typed lands where the
// caret was.
import { drawPanels } from '../../frame.ts';

export function focusOn(selector: string): void {
  document.querySelector<HTMLElement>(selector)?.focus();
}

export function focusWhenDrawn(selector: string): void {
  // The first microtask stands behind the drawing that was asked for before it; the second behind what that drawing
  // asked for.
  queueMicrotask(() =>
    queueMicrotask(() => {
      drawPanels();
      focusOn(selector);
    }),
  );
}

export const fieldSelector = (field: string): string => `[data-field="${CSS.escape(field)}"]`;
