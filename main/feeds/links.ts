// Lines from elsewhere: a TCP server, datagrams to a UDP port, a file that grows or a device. A link that breaks is
// tried again, after ever longer pauses; it connects to the host that was named and to no other.
import { createSocket, type Socket as UdpSocket } from 'node:dgram';
import { open, stat } from 'node:fs/promises';
import { createReadStream, type ReadStream } from 'node:fs';
import { connect, type Socket } from 'node:net';
import { LINE_LENGTH_MAX } from '../../core/formats/tracks/stream.ts';
import { sentenceOf } from '../files/trouble.ts';

export type LinkAddress =
  | { readonly kind: 'tcp' | 'udp'; readonly host: string; readonly port: number }
  | { readonly kind: 'path'; readonly path: string };

export type LinkState = 'connecting' | 'connected' | 'waiting' | 'ended';

export interface LinkHears {
  readonly line: (line: string) => void;
  /** `why`: what is wrong, a sentence; empty where nothing is. */
  readonly state: (state: LinkState, why: string) => void;
}

export interface LinkOptions {
  /** The first pause before a link is tried again; each further one is twice as long, to thirty times the first. */
  readonly retry_ms?: number;
  /** How often a growing file is looked at. */
  readonly poll_ms?: number;
  /** Once the far end has closed the link, or a file is read to its end, it is not tried again. */
  readonly once?: boolean;
}

const RETRY_ms = 1_000;
const RETRY_TIMES = 30;
const POLL_ms = 500;
/** A connection that says nothing for so long is ended: its far end may be gone without a word. */
const SILENT_ms = 60_000;

/** `tcp://HOST:PORT`, `udp://HOST:PORT` or a path; else a sentence. */
export function linkAddress(text: string): LinkAddress | string {
  const found = /^(tcp|udp):\/\/(\[[0-9a-f:.]+\]|[^\s:/?#[\]@]*):(\d{1,5})\/?$/i.exec(text);
  if (found === null)
    return /^\w+:\/\//.test(text) || text === ''
      ? `"${text}" is no address; expected tcp://HOST:PORT, udp://HOST:PORT or a path`
      : { kind: 'path', path: text };
  const port = Number(found[3]);
  if (!(port >= 1 && port <= 65_535)) return `port ${found[3]}; expected 1 to 65535`;
  const host = (found[2] ?? '').replace(/^\[|\]$/g, '');
  return { kind: found[1]?.toLowerCase() === 'tcp' ? 'tcp' : 'udp', host: host === '' ? '127.0.0.1' : host, port };
}

/** Cuts what comes into lines; a piece without an end that is too long for any line is given up. */
class Lines {
  #rest = '';
  readonly #decoder = new TextDecoder();
  readonly #line: (line: string) => void;

  constructor(line: (line: string) => void) {
    this.#line = line;
  }
  take(data: Uint8Array): void {
    const pieces = (this.#rest + this.#decoder.decode(data, { stream: true })).split(/\r\n|\n|\r/);
    this.#rest = pieces.pop() ?? '';
    for (const piece of pieces) this.#line(piece);
    if (this.#rest.length <= LINE_LENGTH_MAX) return;
    this.#line(this.#rest);
    this.#rest = '';
  }
  end(): void {
    if (this.#rest !== '') this.#line(this.#rest);
    this.#rest = '';
  }
}

/** gpsd says who it is, and then nothing until it is asked to (gpsd_json(5), WATCH). */
const GPSD_HELLO = /^\{"class":"VERSION"/;
const GPSD_WATCH = '?WATCH={"enable":true,"json":true};\n';

/** One try of a link; `over` is called once, when it has ended. */
type Try = (over: (why: string) => void) => { readonly end: () => void };

export class Link {
  readonly #hears: LinkHears;
  readonly #options: LinkOptions;
  readonly #try: Try;
  #attempt: { readonly end: () => void } | null = null;
  #timer: NodeJS.Timeout | undefined;
  #pause_ms: number;
  #stopped = false;

  constructor(address: LinkAddress, hears: LinkHears, options: LinkOptions = {}) {
    this.#hears = hears;
    this.#options = options;
    this.#pause_ms = options.retry_ms ?? RETRY_ms;
    const tries = { tcp: tcpTry, udp: udpTry, path: pathTry };
    this.#try = tries[address.kind](address as never, this.#connected(), options);
    this.#go();
  }

  /** What a try tells; a line that comes says that the link is good. */
  #connected(): LinkHears {
    return {
      line: (line) => {
        this.#pause_ms = this.#options.retry_ms ?? RETRY_ms;
        if (!this.#stopped) this.#hears.line(line);
      },
      state: (state, why) => {
        if (!this.#stopped) this.#hears.state(state, why);
      },
    };
  }

  #go(): void {
    if (this.#stopped) return;
    this.#hears.state('connecting', '');
    let isOver = false;
    this.#attempt = this.#try((why) => {
      if (isOver || this.#stopped) return;
      isOver = true;
      this.#attempt?.end();
      if (this.#options.once === true) return this.#hears.state('ended', why);
      this.#hears.state('waiting', why);
      this.#timer = setTimeout(() => this.#go(), this.#pause_ms);
      this.#timer.unref();
      this.#pause_ms = Math.min(this.#pause_ms * 2, RETRY_TIMES * (this.#options.retry_ms ?? RETRY_ms));
    });
  }

  stop(): void {
    this.#stopped = true;
    clearTimeout(this.#timer);
    this.#attempt?.end();
  }
}

function tcpTry({ host, port }: { host: string; port: number }, hears: LinkHears): Try {
  return (over) => {
    const socket: Socket = connect({ host, port });
    const lines = new Lines((line) => {
      if (GPSD_HELLO.test(line)) socket.write(GPSD_WATCH);
      hears.line(line);
    });
    socket.setTimeout(SILENT_ms);
    socket.on('connect', () => hears.state('connected', ''));
    socket.on('data', (data: Uint8Array) => lines.take(data));
    socket.on('timeout', () => over(`says nothing for ${SILENT_ms / 1000} s`));
    socket.on('error', (error) => over(sentenceOf(error)));
    socket.on('close', () => {
      lines.end();
      over('has closed the connection');
    });
    return { end: () => void socket.destroy() };
  };
}

function udpTry({ host, port }: { host: string; port: number }, hears: LinkHears): Try {
  return (over) => {
    const socket: UdpSocket = createSocket({ type: host.includes(':') ? 'udp6' : 'udp4' });
    let isClosed = false;
    socket.on('listening', () => hears.state('connected', ''));
    socket.on('message', (data) => {
      // A datagram is whole: its last line needs no end.
      const lines = new Lines(hears.line);
      lines.take(data);
      lines.end();
    });
    socket.on('error', (error) => over(sentenceOf(error)));
    socket.bind({ address: host, port, exclusive: true });
    return {
      end() {
        if (!isClosed) socket.close();
        isClosed = true;
      },
    };
  };
}

/** The new bytes of a file: behind `at`, or from its start where it got shorter or is another. */
class Tail {
  readonly #path: string;
  /** Null: from the end that the file has at the first look. */
  #at: number | null;
  #inode = 0;

  constructor(path: string, at: number | null) {
    this.#path = path;
    this.#at = at;
  }
  async read(take: (data: Uint8Array) => void): Promise<void> {
    const handle = await open(this.#path, 'r');
    try {
      const found = await handle.stat();
      let at = this.#at ?? found.size;
      if (found.size < at || (this.#inode !== 0 && this.#inode !== found.ino)) at = 0;
      this.#inode = found.ino;
      while (at < found.size) {
        const room = Buffer.alloc(Math.min(1 << 20, found.size - at));
        const { bytesRead } = await handle.read(room, 0, room.length, at);
        if (bytesRead === 0) break;
        at += bytesRead;
        take(room.subarray(0, bytesRead));
      }
      this.#at = at;
    } finally {
      await handle.close();
    }
  }
}

function pathTry({ path }: { path: string }, hears: LinkHears, { poll_ms = POLL_ms, once = false }: LinkOptions): Try {
  const tail = new Tail(path, once ? 0 : null);
  return (over) => {
    const lines = new Lines(hears.line);
    let timer: NodeJS.Timeout | undefined;
    let device: ReadStream | null = null;
    let isEnded = false;
    const failed = (error: unknown): void => over(sentenceOf(error));
    const again = (): void => {
      tail
        .read((data) => lines.take(data))
        .then(() => {
          if (isEnded) return;
          if (once) {
            lines.end();
            over('is read to its end');
            return;
          }
          timer = setTimeout(again, poll_ms);
          timer.unref();
        }, failed);
    };
    stat(path).then((found) => {
      if (isEnded) return;
      hears.state('connected', '');
      if (!found.isCharacterDevice()) return again();
      device = createReadStream(path);
      device.on('data', (data) => lines.take(Buffer.from(data)));
      device.on('error', failed);
      device.on('close', () => over('has ended'));
    }, failed);
    return {
      end() {
        isEnded = true;
        clearTimeout(timer);
        device?.destroy();
      },
    };
  };
}
