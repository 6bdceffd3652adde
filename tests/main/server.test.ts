// The browser host against whoever else can reach its port: other pages, other programs, tricks of DNS, floods.
// What a header means: RFC 9110 §7.2 (Host), RFC 6454 §7 and RFC 6455 §10.2 (Origin); DNS rebinding is stopped by the
// Host.
import { request as httpRequest } from 'node:http';
import { connect, type Socket } from 'node:net';
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { WebSocket } from 'ws';
import type { BrowserHost } from '../../main/browser/server.ts';
import { pack, TOKEN_REFUSED, unpack } from '../../main/contract.ts';
import { MAX_MESSAGE_BYTES } from '../../main/limits.ts';
import { connectDesk, type DeskState } from '../../renderer/desk.ts';
import { testFolder, type TestFolder } from './folder.ts';
import { standInPage, startedServer } from './sides.ts';
import { PATIENT } from '../patience.ts';

interface Answer {
  readonly status: number;
  readonly headers: Readonly<Record<string, string | readonly string[] | undefined>>;
  readonly body: string;
}

let folder: TestFolder;
let host: BrowserHost;
beforeEach(async () => {
  folder = testFolder();
  host = await startedServer(folder);
});
afterEach(async () => {
  await host.close();
  folder.remove();
});

function ask(path: string, headers: Record<string, string> = {}, method = 'GET'): Promise<Answer> {
  return new Promise((resolve, reject) => {
    const asked = httpRequest({ host: '127.0.0.1', port: host.port, path, method, headers, agent: false }, (answer) => {
      const parts: Buffer[] = [];
      answer.on('data', (part: Buffer) => void parts.push(part));
      answer.on('end', () =>
        resolve({
          status: answer.statusCode ?? 0,
          headers: answer.headers,
          body: Buffer.concat(parts).toString('utf8'),
        }),
      );
    });
    asked.on('error', reject);
    asked.end();
  });
}

/** A connection with the given headers: how it ended, or `open`. */
function socket(
  headers: { readonly origin?: string; readonly host?: string; readonly path?: string } = {},
): Promise<WebSocket | string> {
  return new Promise((resolve) => {
    const made = new WebSocket(`ws://127.0.0.1:${host.port}${headers.path ?? '/desk'}`, {
      ...(headers.origin === undefined ? {} : { origin: headers.origin }),
      ...(headers.host === undefined ? {} : { headers: { Host: headers.host } }),
    });
    made.on('open', () => resolve(made));
    made.on('error', (error) => resolve(error.message));
  });
}

const ownOrigin = (): string => `http://127.0.0.1:${host.port}`;
const closing = (made: WebSocket): Promise<number> =>
  new Promise((resolve) => void made.once('close', (code) => resolve(code)));

/** An open connection of the right origin; fails without one. */
async function opened(): Promise<WebSocket> {
  const made = await socket({ origin: ownOrigin() });
  if (typeof made === 'string') throw new Error(made);
  return made;
}

const heardIn = (data: Buffer, binary: boolean): unknown => unpack(binary ? data : data.toString());

async function admitted(): Promise<WebSocket> {
  const made = await opened();
  const welcome = new Promise(
    (resolve) => void made.once('message', (data: Buffer, binary: boolean) => resolve(heardIn(data, binary))),
  );
  made.send(pack({ kind: 'token', token: host.token }));
  expect(await welcome).toEqual({ kind: 'welcome' });
  return made;
}

describe('what is served', () => {
  it('listens on the loopback address only, with a new 256-bit token at each start', async () => {
    const other = await startedServer(folder);
    expect(Buffer.from(host.token, 'base64url').length).toBe(32);
    expect(other.token).not.toBe(host.token);
    expect(other.port).not.toBe(host.port);
    expect(host.url).toBe(`http://127.0.0.1:${host.port}/#token=${host.token}`);
    await other.close();
    // 127.0.0.2 is the same machine by another address (RFC 5735 §3): a host bound to every address would answer there.
    const elsewhere = await new Promise<string>((resolve) => {
      const tried = connect({ host: '127.0.0.2', port: host.port });
      tried.on('connect', () => resolve('answered'));
      tried.on('error', (error) => resolve('code' in error ? String(error.code) : error.message));
    });
    expect(elsewhere).toBe('ECONNREFUSED');
  });

  it('serves the window with its whole policy, and no word of the token', async () => {
    const page = await ask('/');
    expect(page.status).toBe(200);
    expect(page.body).not.toContain(host.token);
    expect(page.headers).toMatchObject({
      'content-type': 'text/html; charset=utf-8',
      'content-security-policy':
        "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; style-src 'self'; img-src 'self' data: blob:; font-src 'self'; " +
        `connect-src 'self' ws://127.0.0.1:${host.port}; worker-src 'self'; base-uri 'none'; form-action 'none'; frame-src 'self' blob:; ` +
        "frame-ancestors 'none'; object-src 'none'",
      'x-content-type-options': 'nosniff',
      'referrer-policy': 'no-referrer',
      'cross-origin-opener-policy': 'same-origin',
      'cross-origin-embedder-policy': 'require-corp',
      'cross-origin-resource-policy': 'same-origin',
      'permissions-policy': 'camera=(), microphone=(), geolocation=(), usb=(), serial=(), hid=(), payment=()',
      'cache-control': 'no-store',
    });
    expect(
      Object.keys(page.headers).filter((name) => name.startsWith('access-control') || name === 'set-cookie'),
    ).toEqual([]);
    const script = await ask('/assets/app-0a1B2c3D.js?v=1');
    expect([script.status, script.headers['content-type'], script.headers['cache-control']]).toEqual([
      200,
      'text/javascript; charset=utf-8',
      'public, max-age=31536000, immutable',
    ]);
    expect((await ask('/', {}, 'HEAD')).body).toBe('');
  });

  it('serves nothing else: no path leads out of the window’s folder', async () => {
    folder.write('client/.built', 'stamp');
    folder.write('client/notes.exe', 'unknown type');
    const paths = [
      '/../own/test.mission.json',
      '/..%2fown%2ftest.mission.json',
      '/%2e%2e/own/test.mission.json',
      '/assets/../../own/test.mission.json',
      '/assets/..\\..\\own\\test.mission.json',
      '//etc/passwd',
      '/etc/passwd',
      '/.built',
      '/notes.exe',
      '/assets/',
      '/assets',
      '/index.html/',
      '/desk',
      '/\0',
      '*',
    ];
    for (const path of paths)
      expect([path, (await ask(encodeURI(path).replaceAll('%25', '%'))).status]).toEqual([path, 404]);
    for (const method of ['POST', 'PUT', 'DELETE', 'OPTIONS']) expect((await ask('/', {}, method)).status).toBe(405);
  });

  it('answers to no other name: a name of someone else that leads here gets nothing', async () => {
    for (const name of [
      'plumbline.example',
      `plumbline.example:${host.port}`,
      `localhost:${host.port}`,
      '127.0.0.1',
      `127.0.0.1:${host.port + 1}`,
    ]) {
      expect([name, (await ask('/', { Host: name })).status]).toEqual([name, 421]);
    }
  });
});

describe('who is heard', () => {
  it('lets no page of another origin connect, nor one that does not say where it is from', async () => {
    const origins = [
      'http://evil.example',
      `http://localhost:${host.port}`,
      `https://127.0.0.1:${host.port}`,
      'null',
      `${ownOrigin()}.evil.example`,
      undefined,
    ];
    for (const origin of origins)
      expect(await socket(origin === undefined ? {} : { origin })).toBe('Unexpected server response: 403');
    expect(await socket({ origin: ownOrigin(), host: `evil.example:${host.port}` })).toBe(
      'Unexpected server response: 403',
    );
    expect(await socket({ origin: ownOrigin(), path: '/other' })).toBe('Unexpected server response: 403');
  });

  it('hears nothing before the right token, and closes at a wrong one', async () => {
    const wrong: unknown[] = [
      { kind: 'token', token: '' },
      { kind: 'token', token: host.token.slice(0, -1) },
      { kind: 'token', token: `${host.token}x` },
      { kind: 'token', token: [host.token] },
      { kind: 'call', id: 1, name: 'mission/demos', args: [] },
      null,
    ];
    for (const frame of wrong) {
      const made = await opened();
      const said: unknown[] = [];
      made.on('message', (data) => void said.push(data));
      const closed = closing(made);
      made.send(pack(frame));
      expect(await closed).toBe(TOKEN_REFUSED);
      expect(said).toEqual([]);
    }
    const broken = await opened();
    const closed = closing(broken);
    broken.send('{"kind":"token"');
    expect(await closed).toBe(TOKEN_REFUSED);
    expect(host.windows()).toBe(0);
  });

  it('tells events only to who has shown the token', async () => {
    const stranger = await opened();
    const heard: unknown[] = [];
    stranger.on('message', (data) => void heard.push(data));
    const window = await admitted();
    const answers: unknown[] = [];
    window.on('message', (data: Buffer, binary: boolean) => void answers.push(heardIn(data, binary)));
    window.send(pack({ kind: 'call', id: 1, name: 'mission/open', args: [folder.mission] }));
    await vi.waitFor(() => expect(answers.length).toBe(1), PATIENT);
    window.send(
      pack({ kind: 'call', id: 2, name: 'log/append', args: [folder.mission, { kind: 'note', text: 'secret' }] }),
    );
    await vi.waitFor(() => expect(answers.length).toBe(3), PATIENT);
    expect(answers.slice(1)).toEqual([
      {
        kind: 'event',
        name: 'log/appended',
        value: { missionPath: folder.mission, event: expect.objectContaining({ seq: 1 }) as unknown },
      },
      {
        kind: 'answer',
        id: 2,
        value: { ok: true, value: expect.objectContaining({ seq: 1, text: 'secret' }) as unknown },
      },
    ]);
    expect(heard).toEqual([]);
    expect(host.windows()).toBe(1);
    stranger.terminate();
    window.terminate();
  });

  it('closes at a message that is too long, at bytes, and at what is not a call', async () => {
    const long = await admitted();
    const longClosed = closing(long);
    long.send(Buffer.alloc(MAX_MESSAGE_BYTES + 1, 'x').toString());
    // 1009: message too big (RFC 6455 §7.4.1).
    expect(await longClosed).toBe(1009);
    for (const message of [
      Buffer.from([1, 2, 3]),
      'no json',
      '{"kind":"call"}',
      '{"kind":"call","id":"1","name":"host/about","args":[]}',
      '{"kind":"token","token":""}',
      '[]',
      '{"$bytes":1}',
    ]) {
      const made = await admitted();
      const closed = closing(made);
      made.send(message);
      expect([message.toString(), await closed]).toEqual([message.toString(), 1008]);
    }
  });

  it('answers a call without arguments, or of no name, with a sentence', async () => {
    const window = await admitted();
    const answers: unknown[] = [];
    window.on('message', (data: Buffer, binary: boolean) => void answers.push(heardIn(data, binary)));
    window.send('{"kind":"call","id":5}');
    window.send('{"kind":"call","id":6,"name":"host/about","args":{"length":0}}');
    window.send('{"kind":"call","id":7,"name":["host/about"],"args":[]}');
    await vi.waitFor(() => expect(answers.length).toBe(3), PATIENT);
    expect(answers).toEqual(
      expect.arrayContaining([
        { kind: 'failed', id: 5, why: 'There is no such call.' },
        { kind: 'failed', id: 6, why: expect.stringMatching(/^The call host\/about was refused: /) as string },
        { kind: 'failed', id: 7, why: 'There is no such call.' },
      ]),
    );
    window.terminate();
  });

  it('lets no stranger keep a window out: one more that waits, and the one that waited longest goes', async () => {
    const strangers = await Promise.all(Array.from({ length: 256 }, () => opened()));
    const first = closing(strangers[0] as WebSocket);
    (await admitted()).terminate();
    expect(await first).toBe(1006);
    for (const one of strangers) one.terminate();
  });

  it('takes 64 kB at most of whoever has not shown the token, whole message or not', async () => {
    const made = await opened();
    const closed = closing(made);
    made.send(pack({ kind: 'token', token: 'x'.repeat(70_000) }));
    expect(await closed).toBe(1006);
    // Half a frame of a megabyte by its header (RFC 6455 §5.2), so that no message ever comes to be.
    const half = await opened();
    const ended = closing(half);
    const raw = Reflect.get(half, '_socket') as Socket;
    raw.write(Buffer.concat([Buffer.from([0x81, 0xff, 0, 0, 0, 0, 0, 0x10, 0, 0, 1, 2, 3, 4]), Buffer.alloc(65_000)]));
    expect(await ended).toBe(1006);
    expect(host.windows()).toBe(0);
  });

  it('refuses more windows than any person has', async () => {
    const windows = await Promise.all(Array.from({ length: 32 }, () => admitted()));
    const more = await opened();
    const closed = closing(more);
    more.send(pack({ kind: 'token', token: host.token }));
    expect(await closed).toBe(TOKEN_REFUSED);
    for (const one of windows) one.terminate();
    await vi.waitFor(async () => (await admitted()).terminate(), PATIENT);
  });

  it('admits a window that the program opened by a ticket, once, and tells it the token', async () => {
    const url = new URL(host.windowUrl());
    expect(url.href).not.toContain(host.token);
    const ticket = new URLSearchParams(url.hash.slice(1)).get('ticket') ?? '';
    expect(Buffer.from(ticket, 'base64url').length).toBe(32);
    const show = async (): Promise<unknown> => {
      const made = await opened();
      const said = new Promise((resolve) => {
        made.once('message', (data: Buffer, binary: boolean) => resolve(heardIn(data, binary)));
        made.once('close', resolve);
      });
      made.send(pack({ kind: 'token', token: ticket }));
      return said;
    };
    expect(await show()).toEqual({ kind: 'welcome', token: host.token });
    expect(await show()).toBe(TOKEN_REFUSED);
  });

  it('closes at a message that is nested deeper than any call, and lives on', async () => {
    const made = await admitted();
    const closed = closing(made);
    made.send(`{"kind":"call","id":1,"name":"x","args":${'['.repeat(100_000)}${']'.repeat(100_000)}}`);
    expect(await closed).toBe(1008);
    (await admitted()).terminate();
  });
});

describe('the window’s connection', () => {
  afterEach(() => void vi.unstubAllGlobals());

  it('says that it is lost, answers with sentences meanwhile, and finds the host again by itself', async () => {
    standInPage(host);
    const states: DeskState[] = [];
    const desk = await connectDesk((state) => void states.push(state));
    const { port, token } = host;
    await host.close();
    await vi.waitFor(() => expect(desk.state()).toBe('lost'), PATIENT);
    expect(await desk.call('mission/open', folder.mission)).toEqual({
      ok: false,
      why: 'The desk is out of reach. Nothing was written; try again when the window says that it is connected.',
    });
    await expect(desk.call('host/about')).rejects.toThrow('out of reach');
    host = await startedServer(folder, [], {}, { port, token });
    await vi.waitFor(() => expect(desk.state()).toBe('connected'), PATIENT);
    expect((await desk.call('host/about')).host).toBe('browser');
    expect(states).toEqual(['connecting', 'connected', 'lost', 'connected']);
    desk.close();
  });

  it('does not try again once it was closed while the desk was out of reach', async () => {
    standInPage(host);
    const retries: (() => void)[] = [];
    Object.assign(window, { setTimeout: (run: () => void) => void retries.push(run) });
    const desk = await connectDesk();
    await host.close();
    await vi.waitFor(() => expect(retries.length).toBe(1), PATIENT);
    desk.close();
    // What was "WebSocket is not defined" after a test, and in a page a connection that nobody wants.
    vi.unstubAllGlobals();
    for (const retry of retries) expect(retry).not.toThrow();
    host = await startedServer(folder);
  });

  it('keeps the token that its ticket brought, for the next connection and for a reload', async () => {
    standInPage({ url: host.windowUrl() });
    const desk = await connectDesk();
    expect(window.sessionStorage.getItem('plumbline-token')).toBe(host.token);
    const { port, token } = host;
    await host.close();
    await vi.waitFor(() => expect(desk.state()).toBe('lost'), PATIENT);
    host = await startedServer(folder, [], {}, { port, token });
    await vi.waitFor(() => expect(desk.state()).toBe('connected'), PATIENT);
    expect((await desk.call('host/about')).host).toBe('browser');
    desk.close();
  });

  it('says that a token of another start is refused, and does not go on trying', async () => {
    standInPage({ url: `${ownOrigin()}/#token=of-yesterday` });
    const desk = await connectDesk();
    expect(desk.state()).toBe('refused');
    expect((await desk.call('mission/open', folder.mission)).ok).toBe(false);
    expect(host.windows()).toBe(0);
    desk.close();
  });

  it('answers a call that was under way when the connection broke', async () => {
    standInPage(host);
    const desk = await connectDesk();
    const pending = desk.call('mission/open', folder.mission);
    const closing = host.close();
    expect(await pending).toMatchObject({
      ok: false,
      why: expect.stringContaining('broke before its answer came') as string,
    });
    await closing;
    desk.close();
    host = await startedServer(folder);
  });
});
