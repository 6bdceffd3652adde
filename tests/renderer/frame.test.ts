// The order within a frame: the map paints in it, the panels are drawn behind it; whoever acts on a panel finds it
// drawn.
import { options } from 'preact';
import { afterEach, beforeEach, expect, test, vi } from 'vitest';
import { afterFrame, drawPanels, mapFrame, panelsAfterMap } from '../../renderer/frame.ts';

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

test('what waits for a frame is called once, be it by the frame or for want of one', async () => {
  let calls = 0;
  afterFrame(() => (calls += 1));
  expect(calls).toBe(0);
  await frame();
  expect(calls).toBe(1);
  vi.advanceTimersByTime(1000);
  expect(calls).toBe(1);
});
