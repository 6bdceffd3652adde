// The first run: what the window shows, closed with one key and found again under Help.
import type { JSX } from 'preact';
import { useStore } from '../context.ts';
import { Act } from '../parts/buttons.tsx';

export function IntroText(): JSX.Element {
  return (
    <p>
      The line at the top gives the verdict, its reason and the exit window. The map shows the predicted descent: fall,
      opening, flight under canopy and landing. On the left are the winds by height, where they blow from and how fast;
      point at a height to mark it on the map. On the right you read the results and edit the plan: drag the exit or
      change a number, and the landing moves at once. Type a wind, a note or a command in the line below. You can undo
      every edit.
    </p>
  );
}

export function Intro(): JSX.Element | null {
  const store = useStore();
  if (store.view.introduced.value || store.mission.value === null || store.drawing.value !== null) return null;
  const demo = store.file.value?.demo === true;
  return (
    <aside class="intro float" aria-label="What you see">
      <h2>{demo ? 'This is an invented demo mission' : 'What you see'}</h2>
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
