// The window's side of the desk: the bridge that Electron's preload put there, or a WebSocket to the browser host.
// The connection's state can be watched, so that the window can say when the desk is out of reach.
import { callNames, pack, TOKEN_REFUSED, unpack } from '../main/contract.ts';
import type { CallName, Desk, DeskCalls, DeskEvents, EventName, FrameToDesk, FrameToWindow } from '../main/contract.ts';

declare global {
  interface Window {
    /** Put there by Electron's preload; absent in a browser. */
    readonly desk?: Desk;
  }
}

/**
 * `lost`: trying again by itself. `refused`: the token is not the desk's (it was restarted): only a new address
 * helps.
 */
export type DeskState = 'connecting' | 'connected' | 'lost' | 'refused';

export interface ConnectedDesk extends Desk {
  state(): DeskState;
  /** Calls the listener at every change, and once at first with the state as it is. Returns its own unsubscribe. */
  onState(listener: (state: DeskState) => void): () => void;
  /** Ends the connection for good; nothing is tried again. */
  close(): void;
}

const TOKEN_KEY = 'plumbline-token';
const FIRST_RETRY_ms = 250;
const LONGEST_RETRY_ms = 5_000;

/**
 * The token (or, in a window that the program opened, a ticket for it) from the address's fragment, kept for reloads of
 * this tab and taken out of the address bar, so that it is neither photographed nor bookmarked. A fragment is never
 * sent to a server, and session storage is bound to host and port.
 */
function takeToken(): string {
  const fragment = new URLSearchParams(window.location.hash.slice(1));
  const token = fragment.get('token') ?? fragment.get('ticket');
  if (token !== null) {
    window.sessionStorage.setItem(TOKEN_KEY, token);
    window.history.replaceState(null, '', window.location.pathname + window.location.search);
  }
  return token ?? window.sessionStorage.getItem(TOKEN_KEY) ?? '';
}

/** Listeners by event name; each subscription is its own entry, so that one function may subscribe twice. */
class Subscriptions {
  readonly #entries = new Set<{ readonly name: string; readonly listener: (value: never) => void }>();

  add<E extends EventName>(name: E, listener: (event: DeskEvents[E]) => void): () => void {
    const entry = { name, listener };
    this.#entries.add(entry);
    return () => void this.#entries.delete(entry);
  }

  tell(name: string, value: unknown): void {
    for (const entry of this.#entries) if (entry.name === name) entry.listener(value as never);
  }
}

interface Waiting {
  readonly name: CallName;
  readonly resolve: (value: unknown) => void;
  readonly reject: (error: Error) => void;
}

class SocketDesk implements ConnectedDesk {
  readonly #address: string;
  #token: string;
  readonly #subscriptions = new Subscriptions();
  readonly #stateListeners = new Set<(state: DeskState) => void>();
  readonly #waiting = new Map<number, Waiting>();
  #state: DeskState = 'connecting';
  #socket: WebSocket | null = null;
  #nextId = 1;
  #ended = false;
  #retry_ms = FIRST_RETRY_ms;

  constructor(address: string, token: string) {
    this.#address = address;
    this.#token = token;
    this.#connect();
  }

  state(): DeskState {
    return this.#state;
  }

  onState(listener: (state: DeskState) => void): () => void {
    this.#stateListeners.add(listener);
    listener(this.#state);
    return () => void this.#stateListeners.delete(listener);
  }

  close(): void {
    this.#ended = true;
    this.#socket?.close();
  }

  on<E extends EventName>(name: E, listener: (event: DeskEvents[E]) => void): () => void {
    return this.#subscriptions.add(name, listener);
  }

  call<C extends CallName>(name: C, ...args: Parameters<DeskCalls[C]>): ReturnType<DeskCalls[C]> {
    // The one place where an answer gets its type: the desk's handlers are typed by the same map.
    return this.#ask(name, args) as ReturnType<DeskCalls[C]>;
  }

  #ask(name: CallName, args: readonly unknown[]): Promise<unknown> {
    return new Promise((resolve, reject) => {
      const waiting: Waiting = { name, resolve, reject };
      if (this.#socket === null || this.#state !== 'connected') {
        fail(
          waiting,
          'The desk is out of reach. Nothing was written; try again when the window says that it is connected.',
        );
        return;
      }
      const id = this.#nextId;
      this.#nextId += 1;
      this.#waiting.set(id, waiting);
      this.#send(this.#socket, { kind: 'call', id, name, args });
    });
  }

  #send(socket: WebSocket, frame: FrameToDesk): void {
    socket.send(pack(frame));
  }

  #connect(): void {
    // The window may have ended the connection while it waited to try again.
    if (this.#ended) return;
    const socket = new WebSocket(this.#address);
    socket.binaryType = 'arraybuffer';
    this.#socket = socket;
    socket.addEventListener('open', () => this.#send(socket, { kind: 'token', token: this.#token }));
    socket.addEventListener('message', (message) => {
      const data: unknown = message.data;
      if (typeof data === 'string') this.#receive(unpack(data) as FrameToWindow);
      else if (data instanceof ArrayBuffer) this.#receive(unpack(new Uint8Array(data)) as FrameToWindow);
    });
    socket.addEventListener('close', (event) => this.#closed(event.code));
  }

  #receive(frame: FrameToWindow): void {
    switch (frame.kind) {
      case 'welcome':
        if (frame.token !== undefined) {
          this.#token = frame.token;
          window.sessionStorage.setItem(TOKEN_KEY, frame.token);
        }
        this.#retry_ms = FIRST_RETRY_ms;
        this.#become('connected');
        return;
      case 'event':
        this.#subscriptions.tell(frame.name, frame.value);
        return;
      case 'answer':
        this.#waiting.get(frame.id)?.resolve(frame.value);
        this.#waiting.delete(frame.id);
        return;
      case 'failed': {
        const waiting = this.#waiting.get(frame.id);
        this.#waiting.delete(frame.id);
        if (waiting !== undefined) fail(waiting, frame.why);
        return;
      }
      default:
        // A newer desk may say more; what is not understood is left alone.
        frame satisfies never;
    }
  }

  #closed(code: number): void {
    this.#socket = null;
    for (const waiting of this.#waiting.values())
      fail(waiting, 'The connection to the desk broke before its answer came; look before trying again.');
    this.#waiting.clear();
    if (code === TOKEN_REFUSED) {
      this.#become('refused');
      return;
    }
    this.#become('lost');
    if (this.#ended) return;
    window.setTimeout(() => this.#connect(), this.#retry_ms);
    this.#retry_ms = Math.min(LONGEST_RETRY_ms, this.#retry_ms * 2);
  }

  #become(state: DeskState): void {
    if (state === this.#state) return;
    this.#state = state;
    for (const listener of this.#stateListeners) listener(state);
  }
}

/**
 * An answer of the same kind as the desk's own: `ok: false` where the call answers with an Outcome, a rejection where
 * not.
 */
function fail(waiting: Waiting, why: string): void {
  if (callNames[waiting.name] === 'outcome') waiting.resolve({ ok: false, why });
  else waiting.reject(new Error(why));
}

/** Electron's bridge with the state that it always has: it lives and dies with the window. */
function bridged(desk: Desk): ConnectedDesk {
  return {
    call: (name, ...args) => desk.call(name, ...args),
    on: (name, listener) => desk.on(name, listener),
    state: () => 'connected',
    onState(listener) {
      listener('connected');
      return () => undefined;
    },
    close: () => undefined,
  };
}

/**
 * The desk, ready for calls. Resolves when the connection first stands, or when it was refused: then every call answers
 * why and `state()` is `refused`. While the desk is out of reach it waits, trying again; the caller may show that
 * meanwhile.
 */
export async function connectDesk(onState: (state: DeskState) => void = () => undefined): Promise<ConnectedDesk> {
  if (window.desk !== undefined) {
    const desk = bridged(window.desk);
    desk.onState(onState);
    return desk;
  }
  const address = `${window.location.protocol === 'https:' ? 'wss' : 'ws'}://${window.location.host}/desk`;
  const desk = new SocketDesk(address, takeToken());
  desk.onState(onState);
  await new Promise<void>((resolve) => {
    desk.onState((state) => {
      if (state === 'connected' || state === 'refused') resolve();
    });
  });
  return desk;
}
