// The first run: four sentences on what is seen, put away with one key and found again under Help.
import type { JSX } from 'preact';
import { useStore } from '../context.ts';
import { Act } from '../parts/buttons.tsx';

export function IntroText(): JSX.Element {
  return (
    <p>
      In the middle lies the map with the predicted descent: the fall, the opening, the flight under canopy and the
      landing. At the left stand the winds by height, where they blow from and how fast; pointing at a height marks the
      same height on the map. At the right is what comes out, to be read, and what goes in, to be typed: drag the exit
      or change a number, and the landing moves at once. Type a wind, a note or a command on the line below; every
      change can be undone.
    </p>
  );
}

export function Intro(): JSX.Element | null {
  const store = useStore();
  if (store.view.introduced.value || store.mission.value === null || store.drawing.value !== null) return null;
  const demo = store.file.value?.demo === true;
  return (
    <aside class="intro float" aria-label="What is seen here">
      <h2>{demo ? 'This is an invented demo mission' : 'What is seen here'}</h2>
      <IntroText />
      <p class="small quiet">
        Advisory only; local rules and licensed practice decide. This text stays under Help, with all keys.
      </p>
      <div>
        <Act first id="intro-close" onClick={() => (store.view.introduced.value = true)}>
          Understood
        </Act>
      </div>
    </aside>
  );
}
