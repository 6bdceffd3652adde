// The browser host: the same window served on the loopback address, the same desk over a WebSocket. Whoever can reach
// the port (any page in the person's browser, any program on the machine) must show the token of this start before a
// call is heard.
import { createHash, randomBytes, timingSafeEqual } from 'node:crypto';
import { readFile } from 'node:fs/promises';
import { createServer, type IncomingMessage, type Server, type ServerResponse } from 'node:http';
import type { AddressInfo } from 'node:net';
import type { Duplex } from 'node:stream';
import { WebSocket, WebSocketServer } from 'ws';
import { clientFiles, type ClientFile } from '../clientFiles.ts';
import { pack, TOKEN_REFUSED, unpack, type FrameToWindow } from '../contract.ts';
import type { DeskService } from '../desk.ts';
import { createDispatch, type Dispatch, type Report } from '../dispatch.ts';
import { isShallowText, MAX_MESSAGE_BYTES } from '../limits.ts';
import { pageHeaders } from '../policy.ts';

const LOOPBACK = '127.0.0.1';
/** 256 bits: not to be guessed, whatever the number of tries. */
const TOKEN_BYTES = 32;
/** How long a connection may stay without having shown the token, and what it may send until then. */
const TOKEN_WAIT_ms = 5_000;
const MAX_BYTES_BEFORE_TOKEN = 64_000;
/** At most this many may wait; one more drops the oldest, so that strangers cannot keep a window out. */
const MAX_WAITING = 256;
const MAX_WINDOWS = 32;
/** A ticket opens one window, soon after it was made; a browser may take its time to start. */
const TICKET_ms = 120_000;
const MAX_CALLS_AT_ONCE = 64;
const HEARTBEAT_ms = 30_000;

export interface ServerOptions {
  readonly clientFolder: string;
  readonly desk: DeskService;
  /** 0: any free port. */
  readonly port: number;
  readonly report: Report;
  /** Left out: a new one at each start. */
  readonly token?: string;
}

export interface BrowserHost {
  readonly port: number;
  readonly token: string;
  /** With the token in the fragment, which no browser sends on. */
  readonly url: string;
  /**
   * The address for a browser that this program starts: others can read its arguments, so in place of the token it has
   * a ticket, which opens one window and is then worth nothing.
   */
  readonly windowUrl: () => string;
  /** How many authorised windows are connected. */
  readonly windows: () => number;
  readonly close: () => Promise<void>;
}

/** Compared in a time that says nothing of where two texts differ, nor of their lengths. */
function sameSecret(given: string, secret: string): boolean {
  const digest = (text: string): Buffer => createHash('sha256').update(text).digest();
  return timingSafeEqual(digest(given), digest(secret));
}

/** Starts to listen; throws what the system says (a port in use). */
export async function startServer(options: ServerOptions): Promise<BrowserHost> {
  const token = options.token ?? randomBytes(TOKEN_BYTES).toString('base64url');
  const files = clientFiles(options.clientFolder);
  const server = createServer({ requestTimeout: 30_000, maxHeaderSize: 16_384 });
  await listen(server, options.port);
  const { port } = server.address() as AddressInfo;
  const origin = `http://${LOOPBACK}:${port}`;
  const headers = pageHeaders([`ws://${LOOPBACK}:${port}`]);
  server.on(
    'request',
    (request, response) => void serve(request, response, { files, headers, host: `${LOOPBACK}:${port}` }),
  );

  const sockets = new WebSocketServer({
    noServer: true,
    maxPayload: MAX_MESSAGE_BYTES,
    perMessageDeflate: false,
    clientTracking: true,
  });
  const door = new Door(token);
  const dispatch = createDispatch(options.desk.handlers, options.report);
  server.on('upgrade', (request, stream, head) => {
    // A page of another site may try (its Origin tells), and a name that leads here by a trick of DNS may too (the Host
    // tells).
    const right =
      request.headers.host === `${LOOPBACK}:${port}` && request.headers.origin === origin && request.url === '/desk';
    if (!right) refuseUpgrade(stream);
    else sockets.handleUpgrade(request, stream, head, (socket) => attend(socket, stream, door, dispatch));
  });
  const unlisten = options.desk.listen((name, value) => {
    const message = pack({ kind: 'event', name, value } satisfies FrameToWindow);
    for (const socket of door.admitted) socket.send(message);
  });
  const stopHeartbeat = heartbeat(sockets);
  return {
    port,
    token,
    url: `${origin}/#token=${token}`,
    windowUrl: () => `${origin}/#ticket=${door.ticket()}`,
    windows: () => door.admitted.size,
    async close() {
      stopHeartbeat();
      unlisten();
      for (const socket of sockets.clients) socket.terminate();
      sockets.close();
      server.closeAllConnections();
      await new Promise<void>((resolve) => void server.close(() => resolve()));
    },
  };
}

function listen(server: Server, port: number): Promise<void> {
  return new Promise((resolve, reject) => {
    server.once('error', reject);
    server.listen({ host: LOOPBACK, port, exclusive: true }, () => {
      server.off('error', reject);
      resolve();
    });
  });
}

function refuseUpgrade(stream: Duplex): void {
  stream.on('error', () => stream.destroy());
  stream.end('HTTP/1.1 403 Forbidden\r\nConnection: close\r\nContent-Length: 0\r\n\r\n');
}

/** Closes connections of windows that vanished without closing (a machine asleep). */
function heartbeat(sockets: WebSocketServer): () => void {
  const silent = new WeakSet<WebSocket>();
  const timer = setInterval(() => {
    for (const socket of sockets.clients) {
      if (silent.has(socket)) socket.terminate();
      else {
        silent.add(socket);
        socket.once('pong', () => silent.delete(socket));
        socket.ping();
      }
    }
  }, HEARTBEAT_ms);
  timer.unref();
  return () => clearInterval(timer);
}

/** Connections that wait, and those that have shown the token or a ticket. */
class Door {
  readonly admitted = new Set<WebSocket>();
  readonly #token: string;
  readonly #waiting = new Set<WebSocket>();
  /** Each with the time until which it counts, on the monotonic clock. */
  readonly #tickets = new Map<string, number>();

  constructor(token: string) {
    this.#token = token;
  }

  ticket(): string {
    const ticket = randomBytes(TOKEN_BYTES).toString('base64url');
    this.#tickets.set(ticket, performance.now() + TICKET_ms);
    return ticket;
  }

  wait(socket: WebSocket): void {
    const [longest] = this.#waiting;
    if (this.#waiting.size >= MAX_WAITING && longest !== undefined) {
      this.#waiting.delete(longest);
      longest.terminate();
    }
    this.#waiting.add(socket);
  }

  leave(socket: WebSocket): void {
    this.#waiting.delete(socket);
    this.admitted.delete(socket);
  }

  /** The answer to a valid token or ticket; null: the connection is refused. */
  admit(socket: WebSocket, shown: string): FrameToWindow | null {
    const by = sameSecret(shown, this.#token) ? 'token' : this.#takes(shown) ? 'ticket' : null;
    if (by === null || this.admitted.size >= MAX_WINDOWS) return null;
    this.#waiting.delete(socket);
    this.admitted.add(socket);
    return by === 'token' ? { kind: 'welcome' } : { kind: 'welcome', token: this.#token };
  }

  #takes(shown: string): boolean {
    const found = [...this.#tickets].find(([ticket]) => sameSecret(shown, ticket));
    if (found === undefined) return false;
    this.#tickets.delete(found[0]);
    return found[1] > performance.now();
  }
}

/** One connection: the token first, within its time; then calls. What is not understood ends it. */
function attend(socket: WebSocket, stream: Duplex, door: Door, dispatch: Dispatch): void {
  let running = 0;
  const send = (frame: FrameToWindow): void => {
    if (socket.readyState === WebSocket.OPEN) socket.send(pack(frame));
  };
  door.wait(socket);
  const timer = setTimeout(() => socket.close(TOKEN_REFUSED, 'no token'), TOKEN_WAIT_ms);
  // Whoever has not shown the token gets no room for a large message, whole or not.
  let heard = 0;
  const count = (chunk: Buffer): void => {
    heard += chunk.length;
    if (heard > MAX_BYTES_BEFORE_TOKEN) socket.terminate();
  };
  stream.on('data', count);
  socket.on('close', () => {
    clearTimeout(timer);
    door.leave(socket);
  });
  // A message over the limit, or a broken one: ws closes the connection by itself.
  socket.on('error', () => undefined);
  socket.on('message', (data, binary) => {
    const frame = frameOf(binary ? bytesOf(data) : bytesOf(data).toString('utf8'));
    if (!door.admitted.has(socket)) {
      const welcome = frame?.kind === 'token' ? door.admit(socket, frame.token) : null;
      if (welcome === null) return socket.close(TOKEN_REFUSED, 'wrong token');
      clearTimeout(timer);
      stream.off('data', count);
      return send(welcome);
    }
    if (frame?.kind !== 'call') return socket.close(1008, 'not a call');
    const { id } = frame;
    if (running >= MAX_CALLS_AT_ONCE)
      return send({ kind: 'failed', id, why: 'Too many calls at once; wait for the answers.' });
    running += 1;
    void dispatch(frame.name, frame.args).then((reply) => {
      running -= 1;
      send({ ...reply, id });
    });
  });
}

const bytesOf = (data: Buffer | ArrayBuffer | Buffer[]): Buffer =>
  Array.isArray(data) ? Buffer.concat(data) : Buffer.isBuffer(data) ? data : Buffer.from(data);

type Frame =
  | { readonly kind: 'token'; readonly token: string }
  | { readonly kind: 'call'; readonly id: number; readonly name: unknown; readonly args: unknown };

/** What a window sent, if it has the form of a frame; what a call holds is the dispatch's to judge. */
function frameOf(message: string | Uint8Array): Frame | null {
  let value: unknown;
  try {
    // Deeper nesting than any call has could overflow the stack.
    value = unpack(message, isShallowText);
  } catch {
    return null;
  }
  if (typeof value !== 'object' || value === null || !('kind' in value)) return null;
  if (value.kind === 'token' && 'token' in value && typeof value.token === 'string')
    return { kind: 'token', token: value.token };
  if (value.kind !== 'call' || !('id' in value) || !Number.isSafeInteger(value.id)) return null;
  return {
    kind: 'call',
    id: Number(value.id),
    name: 'name' in value ? value.name : null,
    args: 'args' in value ? value.args : null,
  };
}

interface Serving {
  readonly files: ReadonlyMap<string, ClientFile>;
  readonly headers: { readonly [name: string]: string };
  readonly host: string;
}

/**
 * The window's own files, to a request that names this host; nothing else, and nothing to other methods than GET and
 * HEAD.
 */
async function serve(
  request: IncomingMessage,
  response: ServerResponse,
  { files, headers, host }: Serving,
): Promise<void> {
  const answer = (status: number, text: string): void =>
    void response
      .writeHead(status, { ...headers, 'Content-Type': 'text/plain; charset=utf-8', 'Cache-Control': 'no-store' })
      .end(text);
  if (request.headers.host !== host) return answer(421, 'This address is not served here.\n');
  if (request.method !== 'GET' && request.method !== 'HEAD') return answer(405, 'Only reading is served here.\n');
  const file = files.get((request.url ?? '').split('?', 1)[0] ?? '');
  if (file === undefined) return answer(404, 'There is no such file.\n');
  try {
    const body = await readFile(file.path);
    const kept = file.hashed ? 'public, max-age=31536000, immutable' : 'no-store';
    response.writeHead(200, {
      ...headers,
      'Content-Type': file.type,
      'Content-Length': body.length,
      'Cache-Control': kept,
    });
    response.end(request.method === 'HEAD' ? undefined : body);
  } catch {
    answer(500, 'The file cannot be read; the program may be being rebuilt. Load the page again.\n');
  }
}
