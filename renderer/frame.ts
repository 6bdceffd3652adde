// A change is shown in two turns. In the next frame the map paints what was asked of it; the panels, which are many and
// slow beside it, are drawn in the task behind that frame. Where the map has nothing to paint the panels are drawn at
// once. Whoever acts on a panel (a key, a press) acts on one that is drawn: what waits is drawn first. In a page that
// is not shown no frame comes, and what waits for one is done without it.
import { options } from 'preact';

/** In a page that is not shown: ms after which what waits for a frame is done without. */
const NO_FRAME_MS = 100;

/**
 * What the next frame brings. `rest`: nothing. `map`: the map paints. `map, then panels`: and the panels are drawn
 * behind it.
 */
type Turn =
  | { readonly is: 'rest' }
  | { readonly is: 'map'; readonly paints: number }
  | { readonly is: 'map, then panels'; readonly paints: number; readonly draw: () => void };

let turn: Turn = { is: 'rest' };

const paintsIn = (now: Turn): number => (now.is === 'rest' ? 0 : now.paints);

function paintsNow(paints: number): void {
  if (turn.is === 'map, then panels') turn = { ...turn, paints };
  else turn = paints > 0 ? { is: 'map', paints } : { is: 'rest' };
}

/** Calls back as the first task behind the next frame. */
export function afterFrame(call: () => void): void {
  let called = false;
  const once = (): void => {
    window.clearTimeout(timer);
    if (!called) call();
    called = true;
  };
  const timer = window.setTimeout(once, NO_FRAME_MS);
  requestAnimationFrame(() => {
    const after = new MessageChannel();
    after.port1.addEventListener('message', () => {
      after.port1.close();
      once();
    });
    after.port1.start();
    after.port2.postMessage(null);
  });
}

/** The map paints in the next frame; panels that change meanwhile wait for it. Answers how to take that back. */
export function mapFrame(paint: (now: number) => void): () => void {
  paintsNow(paintsIn(turn) + 1);
  const frame = requestAnimationFrame((now) => {
    paintsNow(paintsIn(turn) - 1);
    paint(now);
  });
  return () => {
    paintsNow(paintsIn(turn) - 1);
    cancelAnimationFrame(frame);
  };
}

/** Draws the panels that wait. */
export function drawPanels(): void {
  if (turn.is !== 'map, then panels') return;
  const { draw, paints } = turn;
  turn = { is: 'rest' };
  paintsNow(paints);
  draw();
}

/** Puts the panels behind the map, for as long as the page lives. */
export function panelsAfterMap(): void {
  options.debounceRendering = (draw) =>
    queueMicrotask(() => {
      if (turn.is === 'rest') return draw();
      turn = { is: 'map, then panels', paints: turn.paints, draw };
      afterFrame(drawPanels);
    });
  const drawBefore = ({ target }: Event): void => {
    // What lies in the map itself is not a panel and needs none: a key that is held down on the exit stays quick.
    if (!(target instanceof Element && target.closest('.map-ground') !== null)) drawPanels();
  };
  for (const kind of ['keydown', 'pointerdown', 'click'] as const)
    window.addEventListener(kind, drawBefore, { capture: true });
}
