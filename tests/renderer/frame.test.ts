// The order within a frame: the map paints in it, the panels are drawn behind it; whoever acts on a panel finds it
// drawn.
import { signal } from '@preact/signals';
import { options } from 'preact';
import { afterEach, beforeEach, expect, test, vi } from 'vitest';
import {
  afterFrame,
  behindFrame,
  drawPanels,
  mapFrame,
  mapGoesFirst,
  panelsAfterMap,
  pictureCame,
  pictureComes,
} from '../../renderer/frame.ts';

let frames: Map<number, FrameRequestCallback>;
let listeners: Map<string, (event: { target: unknown }) => void>;
class FakeElement {
  readonly inMap: boolean;
  constructor(inMap: boolean) {
    this.inMap = inMap;
  }
  closest(selector: string): FakeElement | null {
    return this.inMap && selector === '.map-ground' ? this : null;
  }
}

beforeEach(() => {
  vi.useFakeTimers({ toFake: ['setTimeout', 'clearTimeout'] });
  frames = new Map();
  listeners = new Map();
  let next = 0;
  vi.stubGlobal('requestAnimationFrame', (call: FrameRequestCallback): number => {
    frames.set((next += 1), call);
    return next;
  });
  vi.stubGlobal('cancelAnimationFrame', (frame: number) => void frames.delete(frame));
  vi.stubGlobal('Element', FakeElement);
  vi.stubGlobal('window', {
    setTimeout: (call: () => void, ms: number) => setTimeout(call, ms),
    clearTimeout: (timer: ReturnType<typeof setTimeout>) => clearTimeout(timer),
    addEventListener: (kind: string, listen: (event: { target: unknown }) => void) => listeners.set(kind, listen),
  });
  panelsAfterMap();
});
afterEach(() => {
  vi.advanceTimersByTime(1000);
  drawPanels();
  delete options.debounceRendering;
  vi.useRealTimers();
  vi.unstubAllGlobals();
});

/** The next frame, and the tasks that stand behind it. */
async function frame(): Promise<void> {
  const now = [...frames.values()];
  frames.clear();
  for (const call of now) call(0);
  await new Promise((resolve) => setImmediate(resolve));
  await new Promise((resolve) => setImmediate(resolve));
}
/** What a change of a panel asks for. */
const change = (drawn: string[]): void => options.debounceRendering?.(() => void drawn.push('panels'));
const microtasks = async (): Promise<void> => {
  for (let i = 0; i < 4; i++) await Promise.resolve();
};

test('panels are drawn at once where the map has nothing to paint', async () => {
  const drawn: string[] = [];
  change(drawn);
  expect(drawn).toEqual([]);
  await microtasks();
  expect(drawn).toEqual(['panels']);
});

test('panels are drawn behind the frame in which the map paints, whichever of the two was asked for first', async () => {
  const drawn: string[] = [];
  change(drawn);
  mapFrame(() => void drawn.push('map'));
  await microtasks();
  expect(drawn).toEqual([]);
  await frame();
  expect(drawn).toEqual(['map', 'panels']);
});

test('a frame of the map that was taken back holds nothing up', async () => {
  const drawn: string[] = [];
  const takeBack = mapFrame(() => void drawn.push('map'));
  takeBack();
  change(drawn);
  await microtasks();
  expect(drawn).toEqual(['panels']);
  await frame();
  expect(drawn).toEqual(['panels']);
});

test.each(['keydown', 'pointerdown', 'click'])(
  'a %s on a panel finds it drawn; one in the map does not wait for panels',
  async (kind) => {
    const drawn: string[] = [];
    mapFrame(() => void drawn.push('map'));
    change(drawn);
    await microtasks();
    listeners.get(kind)?.({ target: new FakeElement(true) });
    expect(drawn).toEqual([]);
    listeners.get(kind)?.({ target: new FakeElement(false) });
    expect(drawn).toEqual(['panels']);
    await frame();
    expect(drawn).toEqual(['panels', 'map']);
  },
);

test('in a page that is not shown no frame comes, and the panels are drawn all the same', async () => {
  const drawn: string[] = [];
  mapFrame(() => void drawn.push('map'));
  change(drawn);
  await microtasks();
  vi.advanceTimersByTime(99);
  expect(drawn).toEqual([]);
  vi.advanceTimersByTime(1);
  expect(drawn).toEqual(['panels']);
});

/** A picture was announced, the map has painted, and panels wait. */
async function pictureOnItsWay(): Promise<string[]> {
  const drawn: string[] = [];
  pictureComes(false);
  mapFrame(() => void drawn.push('track'), true);
  change(drawn);
  await microtasks();
  await frame();
  return drawn;
}

test('panels wait for a picture that is on its way, and are drawn once behind its frame', async () => {
  const drawn = await pictureOnItsWay();
  expect(drawn).toEqual(['track']);
  mapFrame(() => void drawn.push('picture'));
  pictureCame();
  await microtasks();
  expect(drawn).toEqual(['track']);
  await frame();
  expect(drawn).toEqual(['track', 'picture', 'panels']);
});

test('panels wait for a picture no longer than 120 ms, however many are announced meanwhile', async () => {
  const drawn = await pictureOnItsWay();
  vi.advanceTimersByTime(40);
  pictureComes(false);
  vi.advanceTimersByTime(79);
  expect(drawn).toEqual(['track']);
  vi.advanceTimersByTime(1);
  expect(drawn).toEqual(['track', 'panels']);
});

/** A picture was announced with which the map shows what changed; a patient frame and panels wait. */
async function mapWaiting(): Promise<string[]> {
  const drawn: string[] = [];
  mapFrame(() => void drawn.push('map'), true);
  pictureComes(true);
  change(drawn);
  await microtasks();
  await frame();
  expect(drawn).toEqual([]);
  return drawn;
}

test('the map waits for the picture that shows the same change, and the panels for both', async () => {
  const drawn = await mapWaiting();
  pictureCame();
  // The map at once; panels, also those that change only now, behind the frame that shows it.
  expect(drawn).toEqual(['map']);
  change(drawn);
  await microtasks();
  expect(drawn).toEqual(['map']);
  await frame();
  expect(drawn).toEqual(['map', 'panels']);
});

test('what the map asks for while it paints ahead of a frame is for the frame behind that one', async () => {
  const drawn: string[] = [];
  mapFrame(() => {
    drawn.push('map');
    mapFrame(() => void drawn.push('slid'));
  }, true);
  pictureComes(true);
  await frame();
  pictureCame();
  expect(drawn).toEqual(['map']);
  await frame();
  expect(drawn).toEqual(['map']);
  await frame();
  expect(drawn).toEqual(['map', 'slid']);
});

test('the map waits no longer than 120 ms, and the panels come behind it', async () => {
  const drawn = await mapWaiting();
  vi.advanceTimersByTime(119);
  await frame();
  expect(drawn).toEqual([]);
  vi.advanceTimersByTime(1);
  expect(drawn).toEqual([]);
  await frame();
  expect(drawn).toEqual(['map', 'panels']);
});

test.each([
  ['another picture is announced before it came', () => pictureComes(true)],
  ['something goes first', mapGoesFirst],
])('the map paints in the next frame where %s', async (_, happens) => {
  const drawn = await mapWaiting();
  happens();
  await frame();
  expect(drawn).toEqual(['map']);
  // Nor does what comes next wait.
  mapFrame(() => void drawn.push('again'), true);
  await frame();
  expect(drawn).toEqual(['map', 'again']);
});

test('a person who moves the map waits for no picture; a frame that was taken back while it waited is not painted', async () => {
  const drawn: string[] = [];
  const takeBack = mapFrame(() => void drawn.push('map'), true);
  pictureComes(true);
  await frame();
  takeBack();
  mapFrame(() => void drawn.push('moved'));
  await frame();
  expect(drawn).toEqual(['moved']);
  pictureCame();
  await frame();
  expect(drawn).toEqual(['moved']);
});

test('what may come later is worked out once behind the frame, of the last that it hangs on', async () => {
  const from = signal(1);
  const unheard = signal(0);
  let times = 0;
  const shown = behindFrame(
    () => from.value,
    () => {
      times += 1;
      return 10 * from.value + unheard.value;
    },
  );
  expect([shown.value, times]).toEqual([10, 1]);
  from.value = 2;
  from.value = 3;
  expect([shown.value, times]).toEqual([10, 1]);
  await frame();
  expect([shown.value, times]).toEqual([30, 2]);
  unheard.value = 5;
  await frame();
  expect([shown.value, times]).toEqual([30, 2]);
  from.value = 4;
  await frame();
  expect([shown.value, times]).toEqual([45, 3]);
});

test('what waits for a frame is called once, be it by the frame or for want of one', async () => {
  let calls = 0;
  afterFrame(() => (calls += 1));
  expect(calls).toBe(0);
  await frame();
  expect(calls).toBe(1);
  vi.advanceTimersByTime(1000);
  expect(calls).toBe(1);
});
