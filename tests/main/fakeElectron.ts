// A stand-in for the `electron` module: it records what is done to it, and throws at anything that no test has planned.
import type { BrowserWindowConstructorOptions, CustomScheme, MenuItemConstructorOptions } from 'electron';
import type {
  ContentsPort,
  ElectronPort,
  FramePort,
  GonePort,
  InvokePort,
  NavigationPort,
  SessionPort,
  StoppablePort,
  WindowPort,
} from '../../main/electron/port.ts';
import { APP_URL } from '../../main/electron/options.ts';

/**
 * Every property that is not there throws when it is touched, so that a new use of Electron needs a plan here first.
 */
export function strict<T extends object>(name: string, target: T): T {
  return new Proxy(target, {
    get(object, key): unknown {
      // A promise's resolution asks any object for `then`; that is the language's own, not a use of Electron.
      if (!(key in object) && key !== 'then' && typeof key === 'string')
        throw new Error(`unplanned use of electron: ${name}.${key}`);
      return Reflect.get(object, key, object);
    },
  });
}

type Listener = (...given: never[]) => void;

class Events {
  readonly #listeners: { readonly event: string; readonly listener: Listener; readonly once: boolean }[] = [];

  add(event: string, listener: Listener, once = false): void {
    this.#listeners.push({ event, listener, once });
  }

  emit(event: string, ...given: unknown[]): number {
    const heard = this.#listeners.filter((entry) => entry.event === event);
    for (const entry of heard) {
      if (entry.once) this.#listeners.splice(this.#listeners.indexOf(entry), 1);
      entry.listener(...(given as never[]));
    }
    return heard.length;
  }
}

export class FakeContents implements ContentsPort {
  readonly events = new Events();
  readonly sent: { readonly channel: string; readonly value: unknown }[] = [];
  readonly sentTo: ((channel: string, value: unknown) => void)[] = [];
  readonly printed: unknown[] = [];
  openHandler: (() => { action: 'deny' }) | null = null;

  on(event: 'will-frame-navigate' | 'will-redirect', listener: (details: NavigationPort) => void): void;
  on(event: 'will-attach-webview', listener: (event: StoppablePort) => void): void;
  on(event: 'render-process-gone', listener: (event: unknown, details: GonePort) => void): void;
  on(event: string, listener: Listener): void {
    this.events.add(event, listener);
  }

  setWindowOpenHandler(handler: () => { action: 'deny' }): void {
    this.openHandler = handler;
  }

  send(channel: string, value: unknown): void {
    const crossed: unknown = structuredClone(value);
    this.sent.push({ channel, value: crossed });
    for (const hear of this.sentTo) hear(channel, crossed);
  }

  forcefullyCrashRenderer(): void {
    this.events.emit('render-process-gone', {}, { reason: 'killed' });
  }

  async printToPDF(options: unknown): Promise<Uint8Array> {
    this.printed.push(options);
    return new TextEncoder().encode('%PDF-1.7 test');
  }
}

export class FakeWindow implements WindowPort {
  readonly options: BrowserWindowConstructorOptions;
  readonly contents = new FakeContents();
  readonly webContents: ContentsPort = strict('webContents', this.contents);
  readonly events = new Events();
  readonly loaded: string[] = [];
  readonly done: string[] = [];
  minimized = false;
  destroyed = false;
  load: (url: string) => Promise<void> = async () => undefined;

  constructor(options: BrowserWindowConstructorOptions) {
    this.options = options;
  }

  async loadURL(url: string): Promise<void> {
    this.loaded.push(url);
    await this.load(url);
  }

  once(event: 'ready-to-show', listener: () => void): void {
    this.events.add(event, listener, true);
  }

  on(event: 'closed' | 'unresponsive', listener: () => void): void {
    this.events.add(event, listener);
  }

  show(): void {
    this.done.push('show');
  }

  focus(): void {
    this.done.push('focus');
  }

  isMinimized(): boolean {
    return this.minimized;
  }

  restore(): void {
    this.done.push('restore');
  }

  isDestroyed(): boolean {
    return this.destroyed;
  }

  destroy(): void {
    this.destroyed = true;
  }
}

type SchemeHandler = (request: Request) => Promise<Response>;

export class FakeSession implements SessionPort {
  readonly schemes = new Map<string, SchemeHandler>();
  readonly protocol = strict('session.protocol', {
    handle: (scheme: string, handler: SchemeHandler) => void this.schemes.set(scheme, handler),
  });
  request: ((contents: unknown, permission: string, callback: (granted: boolean) => void) => void) | null = null;
  check: ((contents: unknown, permission: string, origin: string) => boolean) | null = null;
  device: (() => boolean) | null = null;

  setPermissionRequestHandler(
    handler: (contents: unknown, permission: string, callback: (granted: boolean) => void) => void,
  ): void {
    this.request = handler;
  }

  setPermissionCheckHandler(handler: (contents: unknown, permission: string, origin: string) => boolean): void {
    this.check = handler;
  }

  setDevicePermissionHandler(handler: () => boolean): void {
    this.device = handler;
  }
}

export interface FakeElectron {
  readonly port: ElectronPort<FakeWindow, MenuItemConstructorOptions[]>;
  /** What was done to the app, in order. */
  readonly done: string[];
  readonly windows: FakeWindow[];
  readonly defaultSession: FakeSession;
  readonly partitions: Map<string, FakeSession>;
  readonly schemes: CustomScheme[];
  readonly menus: MenuItemConstructorOptions[][];
  readonly appEvents: Events;
  /** What the next dialog answers: paths, or none where the person backs out. */
  readonly answers: string[];
  readonly dialogs: { readonly kind: 'open' | 'save'; readonly window: FakeWindow; readonly options: object }[];
  readonly invoke: (channel: string, args: unknown, event?: Partial<InvokePort>) => Promise<unknown>;
  readonly channels: () => string[];
}

export interface Plan {
  /** Whether this is the first instance. */
  readonly lock: boolean;
  /** What loading a page does besides being recorded. */
  readonly load?: (url: string) => Promise<void>;
}

export const ownFrame: FramePort = { url: APP_URL, parent: null };

export function fakeElectron(plan: Plan = { lock: true }): FakeElectron {
  const done: string[] = [];
  const windows: FakeWindow[] = [];
  const defaultSession = new FakeSession();
  const partitions = new Map<string, FakeSession>();
  const schemes: CustomScheme[] = [];
  const menus: MenuItemConstructorOptions[][] = [];
  const appEvents = new Events();
  const answers: string[] = [];
  const dialogs: { readonly kind: 'open' | 'save'; readonly window: FakeWindow; readonly options: object }[] = [];
  const channels = new Map<string, (event: InvokePort, args: unknown) => Promise<unknown>>();

  class Window extends FakeWindow {
    constructor(options: BrowserWindowConstructorOptions) {
      super(options);
      if (plan.load !== undefined) this.load = plan.load;
      windows.push(this);
      appEvents.emit('web-contents-created', {}, this.webContents);
    }
  }

  const app = {
    enableSandbox: () => void done.push('enableSandbox'),
    requestSingleInstanceLock: () => plan.lock,
    whenReady: async () => void done.push('ready'),
    quit: () => void done.push('quit'),
    on: (event: string, listener: Listener) => appEvents.add(event, listener),
  };
  const port: ElectronPort<FakeWindow, MenuItemConstructorOptions[]> = {
    app: strict('app', app),
    BrowserWindow: Window,
    protocol: strict('protocol', {
      registerSchemesAsPrivileged(given: CustomScheme[]) {
        done.push('registerSchemes');
        schemes.push(...given);
      },
    }),
    session: strict('session', {
      defaultSession: strict('defaultSession', defaultSession),
      fromPartition(name: string) {
        const made = new FakeSession();
        partitions.set(name, made);
        return strict('partition', made);
      },
    }),
    ipcMain: strict('ipcMain', {
      handle(channel: string, listener: (event: InvokePort, args: unknown) => Promise<unknown>) {
        if (channels.has(channel)) throw new Error(`second handler for ${channel}`);
        channels.set(channel, listener);
      },
    }),
    Menu: strict('Menu', {
      buildFromTemplate: (template: MenuItemConstructorOptions[]) => template,
      setApplicationMenu: (menu: MenuItemConstructorOptions[]) => void menus.push(menu),
    }),
    dialog: strict('dialog', {
      async showOpenDialog(window: FakeWindow, options: object) {
        dialogs.push({ kind: 'open', window, options });
        const answer = answers.shift();
        return { canceled: answer === undefined, filePaths: answer === undefined ? [] : [answer] };
      },
      async showSaveDialog(window: FakeWindow, options: object) {
        dialogs.push({ kind: 'save', window, options });
        const answer = answers.shift();
        return { canceled: answer === undefined, filePath: answer ?? '' };
      },
    }),
  };
  return {
    port: strict('electron', port),
    done,
    windows,
    defaultSession,
    partitions,
    schemes,
    menus,
    appEvents,
    answers,
    dialogs,
    channels: () => [...channels.keys()],
    async invoke(channel, args, event = {}) {
      const handler = channels.get(channel);
      if (handler === undefined) throw new Error(`no handler for ${channel}`);
      const sent: InvokePort = { sender: windows[0]?.webContents, senderFrame: ownFrame, ...event };
      return structuredClone(await handler(sent, structuredClone(args)));
    },
  };
}
