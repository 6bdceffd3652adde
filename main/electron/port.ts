// As much of Electron as the shell uses, as types that the real module meets and a test can stand in for whole.
// `W` is the window: Electron's own BrowserWindow, or the test's; `M` the menu.
import type {
  BrowserWindowConstructorOptions,
  CustomScheme,
  MenuItemConstructorOptions,
  OpenDialogOptions,
  PrintToPDFOptions,
  SaveDialogOptions,
} from 'electron';

export interface FramePort {
  readonly url: string;
  readonly parent: FramePort | null;
}

/** Something that is about to happen and can be stopped. */
export interface StoppablePort {
  preventDefault(): void;
}

export interface NavigationPort extends StoppablePort {
  readonly url: string;
  readonly isMainFrame: boolean;
}

/** Why a process of the program is gone: "crashed", "oom", "killed". */
export interface GonePort {
  readonly reason: string;
}

export interface ContentsPort {
  on(event: 'will-frame-navigate', listener: (details: NavigationPort) => void): unknown;
  on(event: 'will-redirect', listener: (details: NavigationPort) => void): unknown;
  on(event: 'will-attach-webview', listener: (event: StoppablePort) => void): unknown;
  on(event: 'render-process-gone', listener: (event: unknown, details: GonePort) => void): unknown;
  forcefullyCrashRenderer(): void;
  setWindowOpenHandler(handler: () => { action: 'deny' }): void;
  send(channel: string, value: unknown): void;
  printToPDF(options: PrintToPDFOptions): Promise<Uint8Array>;
}

export interface WindowPort {
  readonly webContents: ContentsPort;
  loadURL(url: string): Promise<void>;
  once(event: 'ready-to-show', listener: () => void): unknown;
  on(event: 'closed' | 'unresponsive', listener: () => void): unknown;
  show(): void;
  focus(): void;
  isMinimized(): boolean;
  restore(): void;
  isDestroyed(): boolean;
  destroy(): void;
}

export interface ProtocolPort {
  handle(scheme: string, handler: (request: Request) => Promise<Response>): void;
}

export interface SessionPort {
  readonly protocol: ProtocolPort;
  setPermissionRequestHandler(
    handler: (contents: unknown, permission: string, callback: (granted: boolean) => void) => void,
  ): void;
  setPermissionCheckHandler(handler: (contents: unknown, permission: string, origin: string) => boolean): void;
  setDevicePermissionHandler(handler: () => boolean): void;
}

export interface InvokePort {
  readonly sender: unknown;
  readonly senderFrame: FramePort | null;
}

export interface ElectronPort<W extends WindowPort, M> {
  readonly app: {
    enableSandbox(): void;
    /** What is given reaches the first instance. */
    requestSingleInstanceLock(given: { readonly mission: string | null }): boolean;
    whenReady(): Promise<void>;
    quit(): void;
    on(
      event: 'second-instance',
      listener: (event: unknown, argv: string[], folder: string, given: unknown) => void,
    ): unknown;
    on(
      event: 'child-process-gone',
      listener: (event: unknown, details: GonePort & { readonly type: string }) => void,
    ): unknown;
    on(event: 'window-all-closed', listener: () => void): unknown;
    on(event: 'web-contents-created', listener: (event: unknown, contents: ContentsPort) => void): unknown;
  };
  readonly BrowserWindow: new (options: BrowserWindowConstructorOptions) => W;
  readonly protocol: { registerSchemesAsPrivileged(schemes: CustomScheme[]): void };
  readonly session: { readonly defaultSession: SessionPort; fromPartition(partition: string): SessionPort };
  readonly ipcMain: { handle(channel: string, listener: (event: InvokePort, args: unknown) => Promise<unknown>): void };
  readonly Menu: { buildFromTemplate(template: MenuItemConstructorOptions[]): M; setApplicationMenu(menu: M): void };
  readonly dialog: {
    showOpenDialog(
      window: W,
      options: OpenDialogOptions,
    ): Promise<{ readonly canceled: boolean; readonly filePaths: string[] }>;
    showSaveDialog(
      window: W,
      options: SaveDialogOptions,
    ): Promise<{ readonly canceled: boolean; readonly filePath: string }>;
  };
}
