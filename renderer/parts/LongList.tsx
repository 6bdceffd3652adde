// A list of any length of which only the rows in view are drawn: ten thousand rows cost what thirty do. One listbox for
// keyboard and screen reader: arrows walk, Home and End jump, and the row that is walked to is brought into view.
import { useEffect, useRef, useState } from 'preact/hooks';
import type { JSX } from 'preact';
import { useSize } from './useSize.ts';

export interface LongListProps<T> {
  readonly id: string;
  readonly label: string;
  readonly rows: readonly T[];
  readonly rowHeight_px: number;
  readonly keyOf: (row: T) => string;
  /** Key of the chosen row; null: none. */
  readonly chosen: string | null;
  readonly onChoose: (row: T) => void;
  /** Keys that are not walking, with the chosen row; answers whether it was one. */
  readonly onKey?: (key: string, row: T) => boolean;
  readonly children: (row: T) => JSX.Element;
}

/** Rows drawn beyond each edge, so that scrolling shows no gap. */
const BEYOND = 6;

export function LongList<T>(props: LongListProps<T>): JSX.Element {
  const { id, rows, rowHeight_px, keyOf, chosen, onChoose } = props;
  const box = useRef<HTMLDivElement>(null);
  const { height } = useSize(box);
  const [top_px, setTop] = useState(0);
  const first = Math.max(0, Math.floor(top_px / rowHeight_px) - BEYOND);
  const last = Math.min(rows.length, Math.ceil((top_px + height) / rowHeight_px) + BEYOND);
  const active = chosen === null ? -1 : rows.findIndex((row) => keyOf(row) === chosen);
  // A row that was chosen elsewhere (on the chart, in a sentence) is brought into view here.
  useEffect(() => reveal(box.current, active, rowHeight_px), [active, rowHeight_px]);
  const walk = (to: number): void => {
    const row = rows[Math.max(0, Math.min(rows.length - 1, to))];
    if (row !== undefined) onChoose(row);
  };
  const onKeyDown = (event: JSX.TargetedKeyboardEvent<HTMLDivElement>): void => {
    if (event.ctrlKey || event.altKey || event.metaKey) return;
    const page = Math.max(1, Math.floor(height / rowHeight_px) - 1);
    const to = walkedTo(event.key, active, page, rows.length);
    const row = rows[active];
    if (to !== undefined) walk(to);
    else if (row === undefined || props.onKey?.(event.key, row) !== true) return;
    event.preventDefault();
    event.stopPropagation();
  };
  return (
    <div
      ref={box}
      id={id}
      class="long-list"
      role="listbox"
      tabIndex={0}
      aria-label={props.label}
      aria-activedescendant={active >= first && active < last ? `${id}-${keyOf(rows[active] as T)}` : undefined}
      onKeyDown={onKeyDown}
      onScroll={(event) => setTop(event.currentTarget.scrollTop)}
    >
      <div role="presentation" style={{ height: `${rows.length * rowHeight_px}px`, position: 'relative' }}>
        {rows.slice(first, last).map((row, i) => {
          const key = keyOf(row);
          return (
            <div
              key={key}
              id={`${id}-${key}`}
              role="option"
              class="long-row"
              aria-selected={key === chosen}
              aria-setsize={rows.length}
              aria-posinset={first + i + 1}
              style={{ top: `${(first + i) * rowHeight_px}px`, height: `${rowHeight_px}px` }}
              onClick={() => onChoose(row)}
            >
              {props.children(row)}
            </div>
          );
        })}
      </div>
    </div>
  );
}

/** Index of the row that a key leads to; undefined: the key does not walk. */
function walkedTo(key: string, from: number, page: number, count: number): number | undefined {
  const steps: Readonly<Record<string, number>> = {
    ArrowDown: from + 1,
    ArrowUp: from < 0 ? 0 : from - 1,
    PageDown: from + page,
    PageUp: from - page,
    Home: 0,
    End: count - 1,
  };
  return steps[key];
}

function reveal(box: HTMLDivElement | null, index: number, rowHeight_px: number): void {
  if (box === null || index < 0) return;
  const top = index * rowHeight_px;
  if (top < box.scrollTop) box.scrollTop = top;
  else if (top + rowHeight_px > box.scrollTop + box.clientHeight) box.scrollTop = top + rowHeight_px - box.clientHeight;
}
