// The map as a list: what is drawn in words, for whoever does not see it, and the way to every thing by key. One tab
// stop; arrow keys go from thing to thing, the map rings it, Enter picks it. Out of sight but for the thing in focus.
import { useRef, useState } from 'preact/hooks';
import type { JSX } from 'preact';
import { summaryOf, thingsOf, type Thing } from './things.ts';
import type { MapScene } from './scene.ts';

interface ThingListProps {
  readonly scene: MapScene;
  readonly onFocus: (thing: Thing | null) => void;
  readonly onPick: (thing: Thing) => void;
}

export function ThingList({ scene, onFocus, onPick }: ThingListProps): JSX.Element {
  const things = thingsOf(scene);
  const [current, setCurrent] = useState(0);
  const list = useRef<HTMLUListElement>(null);
  const at = Math.min(current, things.length - 1);
  const go = (index: number): void => {
    const to = Math.min(Math.max(index, 0), things.length - 1);
    setCurrent(to);
    list.current?.querySelectorAll('button')[to]?.focus();
  };
  const keyDown = (event: KeyboardEvent): void => {
    const step = steps[event.key];
    if (step === undefined) return;
    event.preventDefault();
    event.stopPropagation();
    go(step === 'first' ? 0 : step === 'last' ? things.length - 1 : at + step);
  };
  return (
    <div class="map-list">
      <ul class="said" aria-label="The map in words">
        {summaryOf(scene).map((words) => (
          <li key={words}>{words}</li>
        ))}
      </ul>
      <ul ref={list} aria-label="On the map; arrow keys go through the list" onKeyDown={keyDown}>
        {things.map((thing, index) => (
          <li key={`${thing.kind}/${thing.name}`}>
            <button
              type="button"
              tabIndex={index === at ? 0 : -1}
              onFocus={() => {
                setCurrent(index);
                onFocus(thing);
              }}
              onBlur={() => onFocus(null)}
              onClick={() => onPick(thing)}
            >
              <span class="quiet">{thing.kind} </span>
              {thing.name}
              {thing.words === '' ? null : <span class="quiet">, {thing.words}</span>}
            </button>
          </li>
        ))}
      </ul>
    </div>
  );
}

const steps: Readonly<Record<string, number | 'first' | 'last'>> = {
  ArrowDown: 1,
  ArrowRight: 1,
  ArrowUp: -1,
  ArrowLeft: -1,
  Home: 'first',
  End: 'last',
};
