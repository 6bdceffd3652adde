// The window's connection in the real page: the token leaves the address bar, a reload keeps the desk, nothing is
// fetched from elsewhere, and the content policy has nothing to complain of.
import { afterEach, expect, it } from 'vitest';
import { describeBrowser, openWindow, type OpenedWindow } from './chromium.ts';

describeBrowser('the real page and its desk', () => {
  let opened: OpenedWindow;
  afterEach(async () => opened.close());

  it('connects, hides the token, stays connected over a reload, and asks nobody else', async () => {
    const asked: string[] = [];
    opened = await openWindow({ width: 1280, height: 800 });
    const { page, url } = opened;
    const { origin } = new URL(url);
    page.on('request', (request) => void asked.push(request.url()));
    const sockets: string[] = [];
    page.on('websocket', (socket) => void sockets.push(socket.url()));
    await expect.poll(() => page.url()).toBe(`${origin}/`);
    await page.reload();
    // The token is kept for this tab, so the desk answers again: the welcome is the first thing that it says.
    const welcome = await page.waitForEvent('websocket').then((socket) => socket.waitForEvent('framereceived'));
    expect(welcome.payload).toBe('{"kind":"welcome"}');
    await page.waitForLoadState('networkidle');
    expect(asked.length).toBeGreaterThan(2);
    for (const address of [...asked, ...sockets.map((socket) => socket.replace(/^ws/, 'http'))])
      expect(['blob:', 'data:', `${origin}/`].some((start) => address.startsWith(start))).toBe(true);
    for (const address of asked) expect(address).not.toContain('token');
    expect(opened.complaints).toEqual([]);
  });

  it('keeps the policy: what is written into the page does not run, and no other place can be reached', async () => {
    opened = await openWindow({ width: 1280, height: 800 });
    const { page } = opened;
    const tried = await page.evaluate(async () => {
      const script = document.createElement('script');
      script.textContent = 'window.ranInline = true';
      document.head.append(script);
      const image = document.createElement('img');
      image.setAttribute('onerror', 'window.ranHandler = true');
      image.src = 'https://example.org/x.png';
      document.body.append(image);
      await new Promise((resolve) => {
        image.addEventListener('error', resolve);
      });
      const refused = (what: Promise<unknown>): Promise<string> =>
        what.then(
          () => 'let through',
          () => 'refused',
        );
      return {
        inline: 'ranInline' in window,
        handler: 'ranHandler' in window,
        fetched: await refused(fetch('https://example.org/')),
        otherPort: await refused(fetch('http://127.0.0.1:9/')),
        isolated: window.crossOriginIsolated,
      };
    });
    expect(tried).toEqual({ inline: false, handler: false, fetched: 'refused', otherPort: 'refused', isolated: true });
  });
});
