// The map as a person uses it: pointer, fingers and keys on the real page in Chromium. Distances are checked with the
// GeographicLib package, what assistive software sees with axe-core.
import { Geodesic } from 'geographiclib-geodesic';
import type { Locator, Page } from 'playwright-core';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { axeOn } from './axe.ts';
import { describeBrowser, launch, type Launched } from './chromium.ts';
import { serveMapPage, type Served } from './map/serve.ts';

type Place = readonly [number, number];
const metres = (a: Place, b: Place): number => Geodesic.WGS84.Inverse(a[1], a[0], b[1], b[0]).s12 ?? NaN;
const azimuth = (a: Place, b: Place): number =>
  ((Geodesic.WGS84.Inverse(a[1], a[0], b[1], b[0]).azi1 ?? NaN) + 360) % 360;

describeBrowser('the map', () => {
  let served: Served;
  let launched: Launched;
  beforeAll(async () => {
    served = await serveMapPage();
    launched = await launch({ width: 1440, height: 900 });
  });
  afterAll(async () => {
    await launched?.close();
    await served?.close();
  });

  /**
   * `own`: a browser of the test's own, on a clock that the test stops and runs by hand: a clock is the whole
   * browser's.
   */
  async function open(query = '', own: Launched | null = null): Promise<Page> {
    const page = await (own ?? launched).context.newPage();
    if (own !== null) await page.clock.install();
    page.on('pageerror', (error) => expect.soft(String(error)).toBe(''));
    await page.goto(`${served.url}?${query}`);
    await page.locator('canvas[data-sheet="marks"][data-written]').waitFor({ state: 'attached' });
    await settled(page);
    return page;
  }

  const written = async (page: Page): Promise<string[]> =>
    (await page.locator('canvas[data-sheet="marks"]').getAttribute('data-written'))?.split('|') ?? [];

  const asked = (page: Page, what: string): Promise<unknown[]> =>
    page.evaluate((name) => window.harness.asked.filter((one) => one.what === name).map((one) => one.value), what);

  /** How much of a sheet is painted, 0 to 1, and its mean colour where it is. */
  const ink = (page: Page, sheet: string): Promise<{ share: number; light: number; sum: number }> =>
    page.evaluate((name) => {
      const canvas = document.querySelector<HTMLCanvasElement>(`canvas[data-sheet="${name}"]`);
      const context = canvas?.getContext('2d');
      if (canvas === null || context === null || context === undefined) return { share: 0, light: 0, sum: 0 };
      const { data } = context.getImageData(0, 0, canvas.width, canvas.height);
      let [painted, light, sum] = [0, 0, 0];
      for (let i = 0; i < data.length; i += 4) {
        const alpha = data[i + 3] ?? 0;
        sum = (sum * 31 + (data[i] ?? 0) + 7 * alpha) % 1_000_003;
        if (alpha < 20) continue;
        painted += 1;
        light += ((data[i] ?? 0) + (data[i + 1] ?? 0) + (data[i + 2] ?? 0)) / 765;
      }
      return { share: painted / (data.length / 4), light: light / Math.max(painted, 1), sum };
    }, sheet);

  /** Waits until two frames in a row leave the labels and the paths as they are. */
  const settled = (page: Page): Promise<void> =>
    page.evaluate(
      () =>
        new Promise<void>((done) => {
          let before = -1;
          const look = (): void => {
            const now = window.harness.counts().frames;
            // This callback is itself one of the frames counted: nothing else may have asked for one.
            if (now === before + 1) done();
            else {
              before = now;
              requestAnimationFrame(look);
            }
          };
          document.fonts.ready.then(() => requestAnimationFrame(look)).catch(() => done());
        }),
    );

  const exitMark = (page: Page): Locator =>
    page.getByRole('button', { name: /^Exit, / }).and(page.locator('.map-handle'));

  async function middle(locator: Locator): Promise<{ x: number; y: number }> {
    const box = await locator.boundingBox();
    if (box === null) throw new Error('the mark is not on the page');
    return { x: box.x + box.width / 2, y: box.y + box.height / 2 };
  }

  test('shows the plan: every sheet is painted, and what matters most is written', async () => {
    const page = await open();
    for (const sheet of ['terrain', 'ground', 'spread', 'marks'])
      expect((await ink(page, sheet)).share, sheet).toBeGreaterThan(0.001);
    const words = await written(page);
    for (const id of [
      'landing',
      'exit',
      'opening',
      'zone/Salt Flat North',
      'zone/South Claypan',
      'hazard/Bore Line',
      'crew/Heli 1',
    ]) {
      expect(words).toContain(id);
    }
    expect(words.filter((id) => id.startsWith('tick/')).length).toBeGreaterThan(0);
    await page.close();
  });

  test('says what lies outside it: an arrow at the edge, and none for what is on it', async () => {
    const page = await open();
    expect((await written(page)).filter((id) => id.startsWith('outside/'))).toEqual([]);
    await page.locator('.map-ground').focus();
    for (let k = 0; k < 5; k++) await page.keyboard.press('Shift+ArrowUp');
    await settled(page);
    const words = await written(page);
    expect(words).toContain('outside/landing');
    expect(words).toContain('outside/exit');
    expect(words).not.toContain('landing');
    await page.keyboard.press('0');
    await settled(page);
    expect((await written(page)).filter((id) => id.startsWith('outside/'))).toEqual([]);
    await page.close();
  });

  test('stands without terrain, and without anything but its site', async () => {
    const page = await open('bare=1&scene=empty');
    expect((await ink(page, 'terrain')).share).toBe(0);
    expect(await written(page)).toContain('site');
    await expect.poll(() => page.getByRole('img', { name: /^Scale bar/ }).count()).toBe(1);
    await page.close();
  });

  test('the exit is dragged: each move is told, the last as final, and the landing is redrawn', async () => {
    const page = await open();
    const before = await ink(page, 'marks');
    const from = await middle(exitMark(page));
    await page.mouse.move(from.x, from.y);
    await page.mouse.down();
    for (let step = 1; step <= 10; step++) await page.mouse.move(from.x + 6 * step, from.y - 3 * step);
    await page.mouse.up();
    const moves = (await asked(page, 'exit')) as { position: Place; final: boolean }[];
    expect(moves.length).toBeGreaterThan(5);
    expect(moves.at(-1)?.final).toBe(true);
    expect(moves.slice(0, -1).every((move) => !move.final)).toBe(true);
    const to = await middle(exitMark(page));
    expect(Math.hypot(to.x - from.x - 60, to.y - from.y + 30)).toBeLessThan(1.5);
    await settled(page);
    expect((await ink(page, 'marks')).sum).not.toBe(before.sum);
    expect(await written(page)).toContain('moved');
    await page.close();
  });

  test('every step of a drag is drawn, 10 000 dots among it (how quickly: npm run bench)', async () => {
    const page = await open();
    const from = await middle(exitMark(page));
    await page.mouse.move(from.x, from.y);
    await page.mouse.down();
    await page.mouse.move(from.x + 4, from.y);
    const before = await page.evaluate(() => window.harness.counts());
    for (let step = 1; step <= 60; step++)
      await page.mouse.move(from.x + 4 + step, from.y + Math.round(20 * Math.sin(step / 9)));
    await page.mouse.up();
    await settled(page);
    const after = await page.evaluate(() => window.harness.counts());
    expect(after.renders - before.renders).toBeGreaterThan(50);
    expect(after.frames - before.frames).toBeGreaterThan(50);
    await page.close();
  });

  test('arrow keys move the exit 10 m, with Shift 100 m, and letting go is final', async () => {
    const page = await open();
    await exitMark(page).focus();
    const presses = [
      ['ArrowRight', 90, 10],
      ['ArrowUp', 0, 10],
      ['Shift+ArrowLeft', 270, 100],
      ['Shift+ArrowDown', 180, 100],
    ] as const;
    let before: Place = (await page.evaluate(() => window.harness.exitNow())) ?? [NaN, NaN];
    for (const [key, bearing, step] of presses) {
      await page.keyboard.press(key);
      const moves = (await asked(page, 'exit')) as { position: Place; final: boolean }[];
      const now = moves.at(-1)?.position ?? [NaN, NaN];
      expect(moves.at(-1)?.final).toBe(true);
      expect(moves.at(-2)?.final).toBe(false);
      // Positions are given to nine decimals of a degree, a tenth of a millimetre.
      expect(Math.abs(metres(before, now) - step)).toBeLessThan(0.001);
      expect(Math.abs(Math.sin(((azimuth(before, now) - bearing) * Math.PI) / 180))).toBeLessThan(0.001);
      before = now;
    }
    expect(await page.evaluate(() => document.activeElement?.classList.contains('map-exit'))).toBe(true);
    await page.close();
  });

  test('a finger drags the exit', async () => {
    const page = await open();
    const from = await middle(exitMark(page));
    const cdp = await launched.context.newCDPSession(page);
    const touch = (type: 'touchStart' | 'touchMove' | 'touchEnd', x: number, y: number) =>
      cdp.send('Input.dispatchTouchEvent', { type, touchPoints: type === 'touchEnd' ? [] : [{ x, y }] });
    await touch('touchStart', from.x, from.y);
    for (let step = 1; step <= 8; step++) await touch('touchMove', from.x + 5 * step, from.y + 5 * step);
    await touch('touchEnd', from.x + 40, from.y + 40);
    const moves = (await asked(page, 'exit')) as { final: boolean }[];
    expect(moves.length).toBeGreaterThan(3);
    expect(moves.at(-1)?.final).toBe(true);
    const to = await middle(exitMark(page));
    expect(Math.hypot(to.x - from.x - 40, to.y - from.y - 40)).toBeLessThan(2);
    await page.close();
  });

  test('a crew is dragged, and the window is told which', async () => {
    const page = await open();
    const crew = page.getByRole('button', { name: /^Heli 1, helicopter/ });
    const from = await middle(crew);
    await page.mouse.move(from.x, from.y);
    await page.mouse.down();
    await page.mouse.move(from.x + 20, from.y + 10);
    await page.mouse.move(from.x + 40, from.y + 20);
    await page.mouse.up();
    const moves = (await asked(page, 'crew')) as { name: string; final: boolean }[];
    expect(moves.at(-1)).toMatchObject({ name: 'Heli 1', final: true });
    await page.close();
  });

  test('pointing at the track says the height, and leaving it says none; the slider does the same by key', async () => {
    const page = await open();
    const spot = await page.evaluate(() => window.harness.onTrack(9000));
    await page.mouse.move(spot.x, spot.y + 60);
    await page.mouse.move(spot.x, spot.y);
    await settled(page);
    const heights = (await asked(page, 'height')) as (number | null)[];
    const step = await page.evaluate(() => window.harness.metresPerPixelOfTrack(9000));
    expect(Math.abs((heights.at(-1) ?? NaN) - 9000)).toBeLessThan(Math.max(3 * step, 50));
    expect(await written(page)).toContain('pointed');
    await page.mouse.move(spot.x, spot.y + 120);
    expect(((await asked(page, 'height')) as (number | null)[]).at(-1)).toBeNull();
    await page.getByLabel('Point at a height on the track').focus();
    await page.keyboard.press('ArrowLeft');
    expect(((await asked(page, 'height')) as (number | null)[]).at(-1)).toBeGreaterThan(30_000);
    await page.close();
  });

  test('the scale bar is as long as it says, and the pointer is read in degrees, MGRS and ground height', async () => {
    const page = await open();
    const bar = page.getByRole('img', { name: /^Scale bar/ });
    const said = (await bar.getAttribute('aria-label')) ?? '';
    const [, value = '', unit = ''] = /: (\d+)\s(k?m)$/.exec(said) ?? [];
    const length_m = Number(value) * (unit === 'km' ? 1000 : 1);
    expect(length_m).toBeGreaterThan(0);
    const width = Number(await bar.locator('rect.line').getAttribute('width'));
    const box = await page.locator('.map-ground').boundingBox();
    const y = (box?.y ?? 0) + (box?.height ?? 0) / 2;
    const x = (box?.x ?? 0) + (box?.width ?? 0) / 2;
    const left = Math.round(x - width / 2);
    const reading = page.locator('.map-pointer');
    const READ = /(29\.\d{4})° S (121\.\d{4})° E51J [A-Z]{2} \d{4} \d{4} ground \d+\sm MSL/;
    /** Where the pointer is, as the map says it, once it says something else than before. */
    const readAt = async (at: number, before: string): Promise<readonly [words: string, place: Place]> => {
      await page.mouse.move(at, y);
      await expect.poll(() => reading.textContent()).not.toBe(before);
      const words = (await reading.textContent()) ?? '';
      const [, south, east] = READ.exec(words) ?? [];
      return [words, [Number(east), -Number(south)]];
    };
    const [first, a] = await readAt(left, '');
    const [, b] = await readAt(left + Math.round(width), first);
    // The pointer stands on whole px, the bar does not: one px in its width; a place is said to 11 m.
    expect(Math.abs(metres(a, b) - length_m)).toBeLessThanOrEqual((length_m / width) * 1.01 + 11);
    await page.close();
  });

  test('things are picked by pointer and by key, and the one in focus is shown', async () => {
    const page = await open();
    const zone = await page.evaluate(() => window.harness.onMap('zone', 'South Claypan'));
    // The paths that are picked are laid a moment after the scene.
    await page.locator('path.map-pick').first().waitFor({ state: 'attached' });
    await page.mouse.click(zone.x + 8, zone.y + 12);
    expect((await asked(page, 'pick')).at(-1)).toEqual({ kind: 'zone', name: 'South Claypan' });
    const first = page
      .getByRole('list', { name: /^On the map/ })
      .getByRole('button')
      .first();
    await first.focus();
    await page.keyboard.press('ArrowDown');
    await page.keyboard.press('ArrowDown');
    const focused = page.locator('.map-list button:focus');
    expect(await focused.textContent()).toContain('Opening');
    expect(await focused.isVisible()).toBe(true);
    await page.keyboard.press('Enter');
    expect((await asked(page, 'pick')).at(-1)).toEqual({ kind: 'opening', name: 'Opening' });
    await page.keyboard.press('End');
    expect(await focused.textContent()).toContain('Truck 2');
    await page.close();
  });

  test('buttons and keys zoom, fit everything, and go to the landing', async () => {
    const page = await open('scene=full');
    const scale = async (): Promise<string> =>
      (await page.getByRole('img', { name: /^Scale bar/ }).getAttribute('aria-label')) ?? '';
    const start = await scale();
    await page.getByRole('button', { name: 'Zoom to the landing' }).click();
    const near = await scale();
    expect(near).not.toBe(start);
    await page.getByRole('button', { name: 'Fit everything' }).click();
    const all = await scale();
    await settled(page);
    expect(await page.evaluate(() => window.harness.allOnMap())).toBe(true);
    await page.locator('.map-ground').focus();
    await page.keyboard.press('+');
    await page.keyboard.press('+');
    await page.keyboard.press('+');
    await expect.poll(scale).not.toBe(all);
    await page.keyboard.press('0');
    await expect.poll(scale).toBe(all);
    const mark = await middle(exitMark(page));
    await page.keyboard.press('ArrowRight');
    expect((await middle(exitMark(page))).x).toBeCloseTo(mark.x - 80, 0);
    await page.close();
  });

  test('all words at the edges stand in boxes that labels keep clear of', async () => {
    const page = await open('scene=full');
    const outside = await page.evaluate(() => {
      const boxes = [...document.querySelectorAll('[data-furniture]')];
      const words = boxes
        .flatMap((box) => [box, ...box.querySelectorAll('*')])
        .filter((one) => one.textContent !== '' && one.matches('div, span, b, p'));
      const within = (a: DOMRect, b: DOMRect): boolean =>
        a.left >= b.left - 1 && a.right <= b.right + 1 && a.top >= b.top - 1 && a.bottom <= b.bottom + 1;
      return words
        .filter((one) => !boxes.some((box) => within(one.getBoundingClientRect(), box.getBoundingClientRect())))
        .map((one) => `${one.className} ${one.textContent}`);
    });
    expect(outside).toEqual([]);
    await page.close();
  });

  test('the slice slider asks for its height', async () => {
    const page = await open('scene=full');
    const slider = page.getByRole('slider', { name: /^Reach at/ });
    await slider.focus();
    await page.keyboard.press('ArrowUp');
    const heights = (await asked(page, 'slice')) as number[];
    expect(heights.at(-1)).toBeGreaterThan(1850);
    await page.close();
  });

  test('night is dark, and changing the look repaints everything', async () => {
    const page = await open('look=day');
    const day = await ink(page, 'marks');
    await page.evaluate(() => window.harness.look('night'));
    await settled(page);
    const night = await ink(page, 'marks');
    expect(night.light).toBeLessThan(0.55);
    expect(night.sum).not.toBe(day.sum);
    expect((await ink(page, 'terrain')).light).toBeLessThan(0.3);
    await page.close();
  });

  test('across the date line the track is whole: exit and landing stand as near as they are', async () => {
    const page = await open('dateline=1');
    const words = await written(page);
    expect(words).toContain('landing');
    expect(words).toContain('exit');
    const across = await page.evaluate(() => window.harness.pathBox());
    expect(across.width).toBeGreaterThan(100);
    expect(across.width).toBeLessThan(700);
    expect(across.gap).toBeLessThan(40);
    const from = await middle(exitMark(page));
    await page.mouse.move(from.x, from.y);
    await page.mouse.down();
    for (let step = 1; step <= 5; step++) await page.mouse.move(from.x + 60 * step, from.y);
    await page.mouse.up();
    const moves = (await asked(page, 'exit')) as { position: Place }[];
    for (const { position } of moves) expect(Math.abs(position[0])).toBeLessThanOrEqual(180);
    expect(moves.some(({ position }) => position[0] > 0)).toBe(true);
    expect(moves.some(({ position }) => position[0] < 0)).toBe(true);
    await page.close();
  });

  test('the landing slides to its new place, and with reduced motion is there at once', async () => {
    const own = await launch({ width: 1440, height: 900 });
    const page = await open('', own);
    // Run by hand, so that a slow machine drops no frame: a frame every 16 ms, the slide takes 200 ms.
    await page.clock.pauseAt(Date.now() + 60_000);
    const framesOf = async (east_m: number, north_m: number): Promise<number> => {
      const before = await page.evaluate(() => window.harness.counts().frames);
      await page.evaluate(([east, north]) => window.harness.exitTo(east, north), [east_m, north_m] as const);
      await page.clock.runFor(450);
      return (await page.evaluate(() => window.harness.counts().frames)) - before;
    };
    expect(await framesOf(-5000, 900)).toBeGreaterThan(10);
    await page.emulateMedia({ reducedMotion: 'reduce' });
    await framesOf(-7000, 0);
    expect(await framesOf(-5000, 900)).toBeLessThanOrEqual(2);
    await own.close();
  });

  test('assistive software finds nothing to complain of, day and night', async () => {
    for (const query of ['scene=full', 'scene=full&look=night']) {
      const page = await open(query);
      await page.getByRole('button', { name: 'Key to the strokes' }).click();
      const { faults, passes } = await axeOn(page, null, '.map-view');
      expect(faults).toEqual([]);
      expect(passes).toBeGreaterThan(10);
      await page.close();
    }
  });
});
