// Feeds that a rehearsal plays: a TCP server on loopback for each body, which sends its lines to whoever listens, as a
// receiver would.
import { createServer, type AddressInfo, type Server, type Socket } from 'node:net';

interface Played {
  readonly server: Server;
  readonly listening: Set<Socket>;
}

export class PlayedFeeds {
  readonly #bodies = new Map<string, Played>();

  /** Begins to serve a body; answers the address that a feed follows. */
  async open(body: string): Promise<string> {
    const listening = new Set<Socket>();
    const server = createServer((socket) => {
      listening.add(socket);
      // Who listens and is gone is no trouble of the others.
      socket.on('error', () => listening.delete(socket));
      socket.on('close', () => listening.delete(socket));
    });
    await new Promise<void>((resolve, reject) => {
      server.on('error', reject);
      server.listen(0, '127.0.0.1', resolve);
    });
    this.#bodies.set(body, { server, listening });
    return `tcp://127.0.0.1:${(server.address() as AddressInfo).port}`;
  }

  /** Who comes later gets what comes then. */
  send(body: string, lines: readonly string[]): void {
    for (const socket of this.#bodies.get(body)?.listening ?? []) socket.write(`${lines.join('\r\n')}\r\n`);
  }

  async close(): Promise<void> {
    const all = [...this.#bodies.values()];
    this.#bodies.clear();
    // Not only ended: a listener that keeps its side open would keep the server.
    for (const { listening } of all) for (const socket of listening) socket.destroySoon();
    await Promise.all(all.map(({ server }) => new Promise<void>((resolve) => void server.close(() => resolve()))));
  }
}
