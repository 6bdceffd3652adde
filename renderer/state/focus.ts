// Moving the caret. At once, or when what was just changed has been drawn: drawing is a microtask, so both are done before the next
// key arrives, and nothing that is typed lands where the caret was.

export function focusOn(selector: string): void {
  document.querySelector<HTMLElement>(selector)?.focus();
}

export function focusWhenDrawn(selector: string): void {
  // The first microtask stands behind the drawing that was asked for before it; the second behind what that drawing asked for.
  queueMicrotask(() => queueMicrotask(() => focusOn(selector)));
}

export const fieldSelector = (field: string): string => `[data-field="${CSS.escape(field)}"]`;
