// Another program at a desk, over the socket of the browser host: what it logs is acknowledged or refused.
import { WebSocket } from 'ws';
import { pack, unpack, type CallName, type DeskCalls } from '../../main/contract.ts';

type AnswerTo<C extends CallName> = Awaited<ReturnType<DeskCalls[C]>>;

/** With the token of the host's start, as its address has it. */
export class Stranger {
  readonly #socket: WebSocket;
  readonly #waiting = new Map<number, (frame: { readonly kind: string; readonly value?: unknown }) => void>();
  #calls = 0;

  private constructor(socket: WebSocket) {
    this.#socket = socket;
    socket.on('message', (data: Buffer, binary: boolean) => {
      const frame = unpack(binary ? data : data.toString('utf8')) as { readonly kind: string; readonly id?: number };
      if (frame.id === undefined) return;
      this.#waiting.get(frame.id)?.(frame);
      this.#waiting.delete(frame.id);
    });
  }

  static at(address: string): Promise<Stranger> {
    const { origin, host, hash } = new URL(address);
    const socket = new WebSocket(`ws://${host}/desk`, { origin });
    const token = new URLSearchParams(hash.slice(1)).get('token');
    return new Promise((resolve, reject) => {
      socket.once('error', reject);
      socket.once('open', () => socket.send(pack({ kind: 'token', token })));
      socket.once('message', () => resolve(new Stranger(socket)));
    });
  }

  /** Opens a mission; answers whether it could. */
  async open(mission: string): Promise<boolean> {
    const answer = await this.#call<'mission/open'>('mission/open', [mission]);
    return answer?.ok === true;
  }

  /** Null where the desk refuses the call itself. */
  append(...args: Parameters<DeskCalls['log/append']>): Promise<AnswerTo<'log/append'> | null> {
    return this.#call<'log/append'>('log/append', args);
  }

  /** Stops what is watched, whoever began it; answers whether it was. */
  async stopFeed(path: string): Promise<boolean> {
    return (await this.#call<'feed/stop'>('feed/stop', [path]))?.ok === true;
  }

  #call<C extends CallName>(name: C, args: Parameters<DeskCalls[C]>): Promise<AnswerTo<C> | null> {
    this.#calls += 1;
    const id = this.#calls;
    return new Promise((resolve) => {
      this.#waiting.set(id, ({ kind, value }) => resolve(kind === 'answer' ? (value as AnswerTo<C>) : null));
      this.#socket.send(pack({ kind: 'call', id, name, args }));
    });
  }

  close(): void {
    this.#socket.close();
  }
}
