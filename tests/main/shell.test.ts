// Electron's host, read back whole: window, scheme, permissions, navigation, menu, fuses. Anything it does beyond this
// plan throws. What each setting is for: Electron's own security checklist (electronjs.org, "Security", items 1 to 20).
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { createDesk } from '../../main/desk.ts';
import { callNames } from '../../main/contract.ts';
import { FUSE_WIRE, fuses, readFuseWire } from '../../main/electron/fuses.ts';
import { startShell, type ShellOptions } from '../../main/electron/shell.ts';
import { fakeElectron, ownFrame, strict, type FakeElectron, type FakeWindow, type Plan } from './fakeElectron.ts';
import { PLAN, testFolder, type TestFolder } from './folder.ts';
import { clientFolder, deskOptions } from './sides.ts';
import { PATIENT } from '../patience.ts';

let folder: TestFolder;
let faults: string[];
beforeEach(() => {
  folder = testFolder();
  faults = [];
});
afterEach(() => folder.remove());

async function started(
  plan: Plan = { lock: true },
  more: Partial<ShellOptions> = {},
): Promise<FakeElectron & { readonly window: FakeWindow }> {
  const electron = fakeElectron(plan);
  startShell(electron.port, {
    clientFolder: clientFolder(folder),
    preload: '/program/dist/preload/preload.cjs',
    platform: 'linux',
    development: false,
    mission: null,
    report: (line) => void faults.push(line),
    createDesk: (given) => createDesk(deskOptions(folder, { host: 'electron', typedPaths: false, ...given })),
    ...more,
  });
  const window = await vi.waitFor(() => {
    const [first] = electron.windows;
    if (first?.loaded.length !== 1) throw new Error('no window yet');
    return first;
  }, PATIENT);
  return { ...electron, window };
}

const LOCKED = {
  sandbox: true,
  contextIsolation: true,
  nodeIntegration: false,
  nodeIntegrationInWorker: false,
  nodeIntegrationInSubFrames: false,
  webSecurity: true,
  allowRunningInsecureContent: false,
  experimentalFeatures: false,
  webviewTag: false,
  plugins: false,
  navigateOnDragDrop: false,
  spellcheck: false,
};

describe('the window', () => {
  it('is made with these options and no others, and shown when it is ready', async () => {
    const { window, windows } = await started();
    expect(windows.length).toBe(1);
    expect(window.options).toEqual({
      title: 'Plumbline',
      width: 1440,
      height: 900,
      minWidth: 900,
      minHeight: 600,
      show: false,
      autoHideMenuBar: true,
      webPreferences: {
        ...LOCKED,
        preload: '/program/dist/preload/preload.cjs',
        devTools: false,
        javascript: true,
        backgroundThrottling: false,
      },
    });
    expect(window.loaded).toEqual(['plumbline://app/index.html']);
    expect(window.done).toEqual([]);
    window.events.emit('ready-to-show');
    expect(window.done).toEqual(['show']);
  });

  it('is sandboxed and has its scheme before Electron is ready', async () => {
    const { done, schemes } = await started();
    expect(done).toEqual(['registerSchemes', 'enableSandbox', 'ready']);
    expect(schemes).toEqual([
      {
        scheme: 'plumbline',
        privileges: {
          standard: true,
          secure: true,
          supportFetchAPI: true,
          codeCache: true,
          bypassCSP: false,
          corsEnabled: false,
        },
      },
    ]);
  });

  it('is the only one: a second start ends itself, and brings the first to the front', async () => {
    const second = fakeElectron({ lock: false });
    startShell(second.port, {
      clientFolder: '/',
      preload: '/',
      platform: 'linux',
      development: false,
      mission: null,
      report: () => undefined,
      createDesk: () => {
        throw new Error('no desk');
      },
    });
    expect(second.done).toEqual(['registerSchemes', 'enableSandbox', 'quit']);
    const { window, appEvents } = await started();
    window.minimized = true;
    expect(appEvents.emit('second-instance')).toBe(1);
    expect(window.done).toEqual(['restore', 'focus']);
    window.destroyed = true;
    appEvents.emit('second-instance');
    expect(window.done).toEqual(['restore', 'focus']);
  });

  it('opens the mission that a second start was given: the page hears of it and may open it', async () => {
    const { window, appEvents, invoke } = await started();
    const path = folder.write('other.mission.json', JSON.stringify(PLAN));
    expect(await invoke('plumbline:call:mission/open', [path])).toMatchObject({ ok: false });
    appEvents.emit('second-instance', {}, [], '/', { mission: path });
    expect(window.contents.sent).toEqual([{ channel: 'plumbline:event:mission/offered', value: { path } }]);
    expect(await invoke('plumbline:call:mission/open', [path])).toMatchObject({ ok: true });
    for (const given of [null, 7, {}, { mission: 7 }]) appEvents.emit('second-instance', {}, [], '/', given);
    expect(window.contents.sent.length).toBe(1);
  });

  it('whose page crashed or hangs is loaded again and says so, three times in a minute at most', async () => {
    const { window, invoke, appEvents } = await started();
    const gone = (reason: string): unknown => window.contents.events.emit('render-process-gone', {}, { reason });
    gone('clean-exit');
    expect(window.loaded.length).toBe(1);
    gone('crashed');
    expect(window.loaded.length).toBe(2);
    await invoke('plumbline:call:host/about', []);
    expect(window.contents.sent).toEqual([
      {
        channel: 'plumbline:event:host/said',
        value: {
          text: 'The window stopped (crashed) and was loaded again. The log is whole; check what was being entered.',
        },
      },
    ]);
    window.events.emit('unresponsive');
    expect(window.loaded.length).toBe(3);
    gone('oom');
    gone('oom');
    expect(window.loaded.length).toBe(4);
    appEvents.emit('child-process-gone', {}, { type: 'GPU', reason: 'crashed' });
    expect(window.contents.sent.at(-1)?.value).toEqual({ text: 'A helper process stopped (GPU, crashed).' });
    expect(faults.join(' ')).toContain('again and again');
  });

  it('ends the program when it is closed', async () => {
    const { done, appEvents } = await started();
    appEvents.emit('window-all-closed');
    expect(done.at(-1)).toBe('quit');
  });

  it('that cannot be made ends the program with a report', async () => {
    const electron = fakeElectron();
    startShell(electron.port, {
      clientFolder: '/nowhere',
      preload: '/',
      platform: 'linux',
      development: false,
      mission: null,
      report: (line) => void faults.push(line),
      createDesk: () => {
        throw new Error('unused');
      },
    });
    await vi.waitFor(() => expect(electron.done.at(-1)).toBe('quit'), PATIENT);
    expect(faults).toEqual(['Plumbline could not open its window']);
  });

  it('has a small menu, with developer tools only in development', async () => {
    const view = [
      { role: 'resetZoom' },
      { role: 'zoomIn' },
      { role: 'zoomOut' },
      { type: 'separator' },
      { role: 'togglefullscreen' },
    ];
    const edit = {
      label: 'Edit',
      submenu: [{ role: 'cut' }, { role: 'copy' }, { role: 'paste' }, { role: 'selectAll' }],
    };
    const plain = await started();
    expect(plain.menus).toEqual([
      [{ label: 'File', submenu: [{ role: 'quit' }] }, edit, { label: 'View', submenu: view }, { role: 'windowMenu' }],
    ]);
    const development = await started({ lock: true }, { development: true, platform: 'darwin' });
    expect(development.menus).toEqual([
      [
        { role: 'appMenu' },
        edit,
        { label: 'View', submenu: [...view, { type: 'separator' }, { role: 'reload' }, { role: 'toggleDevTools' }] },
        { role: 'windowMenu' },
      ],
    ]);
    expect(development.window.options.webPreferences?.devTools).toBe(true);
  });
});

describe('what the page may not do', () => {
  it('is refused: every permission but writing the clipboard, and every device', async () => {
    const { defaultSession } = await started();
    const asked = [
      'geolocation',
      'media',
      'notifications',
      'midi',
      'usb',
      'serial',
      'hid',
      'clipboard-read',
      'display-capture',
      'fileSystem',
      'openExternal',
      'local-network-access',
      'unknown',
      'constructor',
    ];
    const granted: string[] = [];
    for (const permission of [...asked, 'clipboard-sanitized-write']) {
      defaultSession.request?.({}, permission, (yes) => void (yes && granted.push(`request ${permission}`)));
      if (defaultSession.check?.({}, permission, 'plumbline://app/') === true) granted.push(`check ${permission}`);
    }
    expect(granted).toEqual(['request clipboard-sanitized-write', 'check clipboard-sanitized-write']);
    for (const origin of ['https://evil.example/', 'plumbline://print/', 'plumbline://app.evil/', ''])
      expect(defaultSession.check?.({}, 'clipboard-sanitized-write', origin)).toBe(false);
    expect(defaultSession.device?.()).toBe(false);
  });

  it('is refused: leaving its page, opening a window, embedding another page', async () => {
    const { window } = await started();
    const stopped = (event: 'will-frame-navigate' | 'will-redirect', url: string, isMainFrame: boolean): boolean => {
      let prevented = false;
      expect(
        window.contents.events.emit(
          event,
          strict('navigation', { url, isMainFrame, preventDefault: () => void (prevented = true) }),
        ),
      ).toBe(1);
      return prevented;
    };
    for (const url of [
      'https://evil.example/',
      'plumbline://app/index.html',
      'plumbline://app/other.html',
      'file:///etc/passwd',
      'javascript:alert(1)',
      'about:blank',
      'data:text/html,x',
    ]) {
      for (const main of [true, false]) expect([url, stopped('will-frame-navigate', url, main)]).toEqual([url, true]);
      expect(stopped('will-redirect', url, true)).toBe(true);
    }
    // What the page itself wrote may stand in a frame (the brief's preview); it can never become the page.
    for (const url of ['about:srcdoc', 'blob:plumbline://app/0a1b'])
      expect([stopped('will-frame-navigate', url, false), stopped('will-frame-navigate', url, true)]).toEqual([
        false,
        true,
      ]);
    expect(stopped('will-frame-navigate', 'blob:https://evil.example/0a1b', false)).toBe(true);
    expect(window.contents.openHandler?.()).toEqual({ action: 'deny' });
    let attached = true;
    window.contents.events.emit(
      'will-attach-webview',
      strict('webview', { preventDefault: () => void (attached = false) }),
    );
    expect(attached).toBe(false);
  });

  it('is refused: calling the desk from another frame, page or window', async () => {
    const { invoke, channels } = await started();
    expect(channels().toSorted()).toEqual(
      Object.keys(callNames)
        .map((name) => `plumbline:call:${name}`)
        .toSorted(),
    );
    expect(await invoke('plumbline:call:mission/demos', [])).toHaveLength(1);
    const strangers = [
      { senderFrame: null },
      { senderFrame: { url: 'https://evil.example/', parent: null } },
      { senderFrame: { url: 'plumbline://app.evil.example/', parent: null } },
      { senderFrame: { url: 'plumbline://print/x', parent: null } },
      { senderFrame: { url: 'plumbline://app/index.html', parent: ownFrame } },
      { sender: {} },
    ];
    for (const stranger of strangers) {
      for (const name of Object.keys(callNames))
        await expect(invoke(`plumbline:call:${name}`, [], stranger)).rejects.toThrow(
          'This page may not call the desk.',
        );
    }
  });
});

describe('the scheme', () => {
  it('serves the built window with its policy, and nothing else', async () => {
    const { defaultSession } = await started();
    const serve = defaultSession.schemes.get('plumbline');
    if (serve === undefined) throw new Error('no scheme handler');
    const page = await serve(new Request('plumbline://app/index.html'));
    expect(page.status).toBe(200);
    expect(Object.fromEntries(page.headers)).toEqual({
      'content-type': 'text/html; charset=utf-8',
      'content-security-policy':
        "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; style-src 'self'; img-src 'self' data: blob:; font-src 'self'; connect-src 'self'; " +
        "worker-src 'self'; base-uri 'none'; form-action 'none'; frame-src 'self' blob:; frame-ancestors 'none'; object-src 'none'",
      'x-content-type-options': 'nosniff',
      'referrer-policy': 'no-referrer',
      'cross-origin-opener-policy': 'same-origin',
      'cross-origin-embedder-policy': 'require-corp',
      'cross-origin-resource-policy': 'same-origin',
      'permissions-policy': 'camera=(), microphone=(), geolocation=(), usb=(), serial=(), hid=(), payment=()',
    });
    const refused = [
      'plumbline://app/../own/test.mission.json',
      'plumbline://app/%2e%2e/own/test.mission.json',
      'plumbline://other/index.html',
      'plumbline://app/none.js',
    ];
    for (const url of refused) expect([url, (await serve(new Request(url))).status]).toEqual([url, 404]);
    expect((await serve(new Request('plumbline://app/index.html', { method: 'POST' }))).status).toBe(404);
  });

  it('prints from memory in a window without script, desk or disk, which is gone afterwards', async () => {
    const seen: unknown[] = [];
    const load = async (url: string): Promise<void> => {
      if (!url.startsWith('plumbline://print/')) return;
      const answer = await electron.partitions.get('plumbline-print')?.schemes.get('plumbline')?.(new Request(url));
      seen.push(answer?.status, await answer?.text(), answer?.headers.get('content-security-policy'));
    };
    const electron = await started({ lock: true, load });
    const { invoke, windows, partitions, answers } = electron;
    const session = partitions.get('plumbline-print');
    if (session === undefined) throw new Error('no session to print in');
    await invoke('plumbline:call:mission/open', [folder.mission]);
    answers.push(`${folder.root}/brief.pdf`);
    const done = invoke('plumbline:call:export/pdf', [folder.mission, 'brief.pdf', '<p>brief</p>']);
    expect(await done).toEqual({ ok: true, value: { path: `${folder.root}/brief.pdf` } });
    expect(seen).toEqual([
      200,
      '<p>brief</p>',
      "default-src 'none'; style-src 'unsafe-inline'; img-src data:; font-src data:",
    ]);
    const printing = windows[1];
    expect(printing?.options).toEqual({
      show: false,
      width: 800,
      height: 1100,
      webPreferences: { ...LOCKED, partition: 'plumbline-print', devTools: false, javascript: false },
    });
    expect(printing?.contents.printed).toEqual([
      { printBackground: true, preferCSSPageSize: true, pageSize: 'A4', generateTaggedPDF: true },
    ]);
    expect(printing?.destroyed).toBe(true);
    expect(printing?.loaded[0]).toMatch(/^plumbline:\/\/print\/[0-9a-f-]{36}$/);
    expect((await session.schemes.get('plumbline')?.(new Request(printing?.loaded[0] ?? '')))?.status).toBe(404);
    const asked: boolean[] = [];
    session.request?.({}, 'clipboard-sanitized-write', (yes) => void asked.push(yes));
    expect([
      ...asked,
      session.check?.({}, 'clipboard-sanitized-write', 'plumbline://print'),
      session.device?.(),
    ]).toEqual([false, false, false]);
  });
});

describe('the fuses', () => {
  it('are all set, to these values', () => {
    expect(fuses).toEqual({
      RunAsNode: false,
      EnableCookieEncryption: true,
      EnableNodeOptionsEnvironmentVariable: false,
      EnableNodeCliInspectArguments: false,
      EnableEmbeddedAsarIntegrityValidation: true,
      OnlyLoadAppFromAsar: true,
      LoadBrowserProcessSpecificV8Snapshot: false,
      GrantFileProtocolExtraPrivileges: false,
      WasmTrapHandlers: true,
    });
    expect(Object.keys(fuses).toSorted()).toEqual(FUSE_WIRE.toSorted());
  });

  // The wire as Electron documents it (electronjs.org, "Electron Fuses"): sentinel, version, length, then one character
  // a fuse.
  it('are read from a binary', () => {
    const wire = (version: number, states: string): Buffer =>
      Buffer.concat([
        Buffer.from('\x7fELF…dL7pKGdnNz796PbbjQWNKmHXBZaB9tsX', 'utf8'),
        Buffer.from([version, states.length]),
        Buffer.from(states, 'latin1'),
        Buffer.from('rest'),
      ]);
    expect(readFuseWire(wire(1, '01r\x90'))).toEqual(['off', 'on', 'removed', 'inherited']);
    for (const bad of [
      Buffer.alloc(0),
      Buffer.from('nothing'),
      wire(2, '01'),
      wire(1, '0x'),
      wire(1, '0101').subarray(0, -8),
    ])
      expect(readFuseWire(bad)).toBeNull();
  });
});
