// The order within a frame. After a change the map paints first, in the frame that comes next; the panels, which are
// many and slow beside it, are drawn behind that frame and show in the one after. Where the map has nothing to paint
// the panels are drawn at once; where the first picture of the spread is on its way they are drawn with it, once for
// both, if it does not take long. After an edit the map waits for that picture too: the landing moves together with its
// spread, and no frame between takes time from both. It is then painted as soon as the picture is there, and the next
// frame shows it. Whoever acts on a panel (a key, a press) acts on one that is drawn: what waits is drawn before.
import { effect, signal, untracked, type ReadonlySignal } from '@preact/signals';
import { options } from 'preact';

/** In a page that is not shown no frame comes: ms after which what waits for one is done without. */
const NO_FRAME_MS = 100;

/**
 * What waits for the first picture of a spread waits no longer, ms: longer than that picture takes on a slow machine,
 * which would only take longer with the old spread or panels drawn meanwhile, and short of what a person waits for.
 */
const PICTURE_WAIT_MS = 120;

/** A frame of the map that waits for the first picture of a spread. */
interface Held {
  /** Asks for the next frame after all. */
  readonly ask: () => void;
  readonly paint: () => void;
}

/** Map frames that were asked for and have not come. */
let coming = 0;
/** Draws the panels that wait for the map's frame; null: none do. */
let waiting: (() => void) | null = null;
/** Runs out when nobody waits any more for the first picture of a spread; 0: none is on its way. */
let pictureTimer = 0;
/** What waits for that picture. */
let behindPicture: (() => void)[] = [];
/** Whether the map shows a change with that picture; and its frames that wait for it. */
let mapWaits = false;
const mapHeld = new Set<Held>();
/** The map is painting before the frame that will show it. */
let ahead = false;

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

/**
 * The first picture of a spread is being worked out. Another one before it came does not make anybody wait longer, and
 * the map not at all: of changes that follow each other faster than their pictures come each is seen.
 *
 * withMap  whether the map shows what changed with the picture, not before it
 */
export function pictureComes(withMap: boolean): void {
  if (pictureTimer !== 0) return mapGoesFirst();
  pictureTimer = window.setTimeout(noPicture, PICTURE_WAIT_MS);
  mapWaits = withMap;
}

/** The map waits for no picture: something is held and moved, or a landing is asked for that must not wait. */
export function mapGoesFirst(): void {
  for (const { ask } of held()) ask();
}

/**
 * The map has been given the picture. What waited for it is painted at once: until the next frame begins there is time
 * for that.
 */
export function pictureCame(): void {
  ahead = true;
  try {
    for (const { paint } of held()) paint();
  } finally {
    ahead = false;
  }
  if (pictureTimer !== 0) afterFrame(noPicture);
}

function held(): readonly Held[] {
  mapWaits = false;
  const frames = [...mapHeld];
  mapHeld.clear();
  return frames;
}

function noPicture(): void {
  window.clearTimeout(pictureTimer);
  pictureTimer = 0;
  const calls = behindPicture;
  behindPicture = [];
  const callAll = (): void => {
    for (const call of calls) call();
  };
  const mapHeldUp = mapHeld.size > 0;
  mapGoesFirst();
  // Behind the map, as after any change.
  if (mapHeldUp) afterFrame(callAll);
  else callAll();
}

/** Calls back behind the next frame, or behind that of a picture that is on its way. */
function afterPicture(call: () => void): void {
  afterFrame(() => {
    if (pictureTimer === 0) call();
    else behindPicture.push(call);
  });
}

/**
 * The map paints in the next frame; panels that change meanwhile wait for it. What it asks for while it paints ahead of
 * a frame is for the frame behind that one. Answers how to take that back.
 *
 * patient  paints with the picture of a spread that is on its way, where that was announced `withMap`
 */
export function mapFrame(paint: (now: number) => void, patient = false): () => void {
  coming += 1;
  let frame = 0;
  const waits: Held = {
    ask: () => {
      frame = requestAnimationFrame((now) => {
        if (patient && mapWaits) {
          mapHeld.add(waits);
          return;
        }
        coming -= 1;
        paint(now);
      });
    },
    paint: () => {
      // It counts as coming until its frame is there: panels stay behind it.
      requestAnimationFrame(() => (coming -= 1));
      paint(performance.now());
    },
  };
  if (ahead) frame = requestAnimationFrame(waits.ask);
  else waits.ask();
  return () => {
    coming -= 1;
    mapHeld.delete(waits);
    cancelAnimationFrame(frame);
  };
}

/**
 * What may come to the map a frame later takes no time from what it shows first: worked out behind the frame that
 * follows a change, or behind that of the first picture. Followed for as long as the page lives.
 *
 * changes  reads the signals that it hangs on
 * compute  answers at the time, and at the start
 */
export function behindFrame<T>(changes: () => void, compute: () => T): ReadonlySignal<T> {
  const shown = signal(untracked(compute));
  let waits = true;
  effect(() => {
    changes();
    if (waits) return;
    waits = true;
    afterPicture(() => {
      waits = false;
      shown.value = untracked(compute);
    });
  });
  waits = false;
  return shown;
}

/** Draws the panels that wait. */
export function drawPanels(): void {
  const draw = waiting;
  waiting = null;
  draw?.();
}

/** Puts the panels behind the map, for as long as the page lives. */
export function panelsAfterMap(): void {
  options.debounceRendering = (draw) =>
    queueMicrotask(() => {
      if (coming === 0) return draw();
      waiting = draw;
      afterPicture(drawPanels);
    });
  const drawBefore = ({ target }: Event): void => {
    // What lies in the map itself is not a panel and needs none: a key that is held down on the exit stays quick.
    if (!(target instanceof Element && target.closest('.map-ground') !== null)) drawPanels();
  };
  for (const kind of ['keydown', 'pointerdown', 'click'] as const)
    window.addEventListener(kind, drawBefore, { capture: true });
}
