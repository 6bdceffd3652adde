// What floats over the window: takes the focus, keeps it while open, gives it back; Escape closes it.
import { useId, useLayoutEffect, useRef } from 'preact/hooks';
import type { ComponentChildren, JSX } from 'preact';

interface DialogProps {
  readonly title: string;
  readonly close: () => void;
  /** As wide as a sheet of paper. */
  readonly wide?: boolean;
  readonly children: ComponentChildren;
}

const FOCUSABLE = 'button:not(:disabled), input, select, a[href], [tabindex="0"]';

export function Dialog({ title, close, wide, children }: DialogProps): JSX.Element {
  const id = useId();
  const box = useRef<HTMLDivElement>(null);
  useLayoutEffect(() => {
    const before = document.activeElement;
    box.current?.focus();
    return () => {
      if (before instanceof HTMLElement && before.isConnected) before.focus();
    };
  }, []);
  const onKeyDown = (event: JSX.TargetedKeyboardEvent<HTMLDivElement>): void => {
    if (event.key === 'Escape') {
      event.stopPropagation();
      close();
    } else if (event.key === 'Tab') {
      const inside = [...(box.current?.querySelectorAll<HTMLElement>(FOCUSABLE) ?? [])];
      const first = inside[0];
      const last = inside.at(-1);
      const from = document.activeElement;
      if (event.shiftKey && (from === first || from === box.current)) {
        event.preventDefault();
        last?.focus();
      } else if (!event.shiftKey && from === last) {
        event.preventDefault();
        first?.focus();
      }
    }
  };
  return (
    <div
      class="veil"
      onPointerDown={(event) => {
        if (event.target === event.currentTarget) close();
      }}
    >
      <div
        ref={box}
        class={wide === true ? 'dialog float wide' : 'dialog float'}
        role="dialog"
        aria-modal="true"
        aria-labelledby={id}
        tabIndex={-1}
        onKeyDown={onKeyDown}
      >
        <h2 id={id}>{title}</h2>
        {children}
      </div>
    </div>
  );
}
