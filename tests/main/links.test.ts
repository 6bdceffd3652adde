// Links to real servers on this machine: TCP, UDP, a growing file. What a link must do is said in DEVELOPERS.md and the
// contract; NMEA sentences are those of NMEA 0183 with checksums computed here, gpsd's lines those of gpsd_json(5), an
// APRS packet that of APRS101 chapter 8.
import { createSocket } from 'node:dgram';
import { appendFileSync, writeFileSync } from 'node:fs';
import { createServer, type AddressInfo, type Server, type Socket } from 'node:net';
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import type { FeedState, NewFix } from '../../main/contract.ts';
import { Feeds } from '../../main/feeds/feeds.ts';
import { Link, linkAddress, type LinkState } from '../../main/feeds/links.ts';
import { PATIENT } from '../patience.ts';
import { testFolder, type TestFolder } from './folder.ts';

/** Closes what a test opened, last first. */
let ends: (() => unknown)[] = [];
afterEach(async () => {
  for (const end of ends.toReversed()) await end();
  ends = [];
});

/** A TCP server on a free port of this machine, or on one that was had before. */
async function served(
  greet: (socket: Socket) => void,
  port = 0,
): Promise<{ port: number; close: () => Promise<void> }> {
  const sockets = new Set<Socket>();
  const server: Server = createServer((socket) => {
    sockets.add(socket);
    socket.on('error', () => undefined);
    greet(socket);
  });
  await new Promise<void>((resolve) => void server.listen(port, '127.0.0.1', resolve));
  const close = (): Promise<void> =>
    new Promise((resolve) => {
      for (const socket of sockets) socket.destroy();
      server.close(() => resolve());
    });
  ends.push(close);
  return { port: (server.address() as AddressInfo).port, close };
}

function link(address: string, retry_ms = 20): { lines: string[]; states: [LinkState, string][] } {
  const to = linkAddress(address);
  if (typeof to === 'string') throw new Error(to);
  const heard = { lines: [] as string[], states: [] as [LinkState, string][] };
  const made = new Link(
    to,
    { line: (line) => void heard.lines.push(line), state: (state, why) => void heard.states.push([state, why]) },
    { retry_ms, poll_ms: 20 },
  );
  ends.push(() => made.stop());
  return heard;
}

/** NMEA 0183: the checksum is the exclusive or of the characters between $ and *. */
const nmea = (body: string): string => {
  let sum = 0;
  for (const one of body) sum ^= one.charCodeAt(0);
  return `$${body}*${sum.toString(16).toUpperCase().padStart(2, '0')}`;
};

describe('an address', () => {
  it.each([
    ['tcp://127.0.0.1:2947', { kind: 'tcp', host: '127.0.0.1', port: 2947 }],
    ['TCP://receiver.local:10110/', { kind: 'tcp', host: 'receiver.local', port: 10110 }],
    ['tcp://[::1]:2947', { kind: 'tcp', host: '::1', port: 2947 }],
    ['udp://:10110', { kind: 'udp', host: '127.0.0.1', port: 10110 }],
    ['/dev/ttyUSB0', { kind: 'path', path: '/dev/ttyUSB0' }],
  ])('%s is read', (text, address) => expect(linkAddress(text)).toEqual(address));
  it.each([
    ['tcp://127.0.0.1', 'expected tcp://HOST:PORT'],
    ['tcp://127.0.0.1:70000', 'port 70000; expected 1 to 65535'],
    ['http://example.org:80', 'is no address'],
    ['', 'is no address'],
  ])('%j is refused', (text, why) => expect(linkAddress(text)).toContain(why));
});

describe('a link', () => {
  it('cuts what comes into lines, also across packets, and asks gpsd to watch', async () => {
    const asked: string[] = [];
    const { port } = await served((socket) => {
      socket.on('data', (data) => void asked.push(data.toString()));
      socket.write('{"class":"VERSION","release":"3.22"}\r\n{"class":"TP');
      socket.on('data', () => socket.write('V","mode":1}\n'));
    });
    const { lines, states } = link(`tcp://127.0.0.1:${port}`);
    await vi.waitFor(
      () => expect(lines).toEqual(['{"class":"VERSION","release":"3.22"}', '{"class":"TPV","mode":1}']),
      PATIENT,
    );
    expect(asked).toEqual(['?WATCH={"enable":true,"json":true};\n']);
    expect(states).toEqual([
      ['connecting', ''],
      ['connected', ''],
    ]);
  });

  it('that breaks says so and is tried again until its server is back', async () => {
    const first = await served((socket) => void socket.write('one\n'));
    const { lines, states } = link(`tcp://127.0.0.1:${first.port}`);
    await vi.waitFor(() => expect(lines).toEqual(['one']), PATIENT);
    await first.close();
    await vi.waitFor(() => expect(states).toContainEqual(['waiting', 'has closed the connection']), PATIENT);
    // Nobody listens there now: refused, and tried again and again.
    await vi.waitFor(
      () =>
        expect(
          states.filter(([state, why]) => state === 'waiting' && why === 'refuses the connection').length,
        ).toBeGreaterThan(1),
      PATIENT,
    );
    await served((socket) => void socket.write('two\n'), first.port);
    await vi.waitFor(() => expect(lines).toEqual(['one', 'two']), PATIENT);
  });

  it('takes datagrams, and the new lines of a file, which may be started over', async () => {
    const free = createSocket('udp4');
    await new Promise<void>((resolve) => void free.bind(0, '127.0.0.1', resolve));
    const { port } = free.address();
    await new Promise<void>((resolve) => void free.close(() => resolve()));
    const datagrams = link(`udp://127.0.0.1:${port}`);
    await vi.waitFor(() => expect(datagrams.states.at(-1)).toEqual(['connected', '']), PATIENT);
    const sender = createSocket('udp4');
    ends.push(() => sender.close());
    sender.send('a\nb', port, '127.0.0.1');
    await vi.waitFor(() => expect(datagrams.lines).toEqual(['a', 'b']), PATIENT);

    const folder: TestFolder = testFolder();
    ends.push(() => folder.remove());
    const path = folder.write('track.nmea', 'old\n');
    const growing = link(path);
    await vi.waitFor(() => expect(growing.states.at(-1)).toEqual(['connected', '']), PATIENT);
    // Until the first look is over nothing tells old from new: lines are written until one arrives.
    await vi.waitFor(() => {
      appendFileSync(path, 'new\n');
      expect(growing.lines.length).toBeGreaterThan(0);
    }, PATIENT);
    expect(new Set(growing.lines)).toEqual(new Set(['new']));
    writeFileSync(path, 'x\n');
    await vi.waitFor(() => expect(growing.lines.at(-1)).toBe('x'), PATIENT);
  });
});

describe('a body that is followed', () => {
  const now = new Date('2027-04-14T07:30:05Z');
  let logged: { missionPath: string; fix: NewFix; at: string }[];
  let feeds: Feeds;
  let refuse: string | null;
  beforeEach(() => {
    logged = [];
    refuse = null;
    feeds = new Feeds(() => undefined, {
      poll_ms: 20,
      now: () => now,
      async log(missionPath, fix, at) {
        if (refuse !== null) throw new Error(refuse);
        logged.push({ missionPath, fix, at });
      },
    });
    ends.push(() => feeds.close());
  });
  const state = (): FeedState | undefined => feeds.states()[0];
  const follow = (address: string, body = 'jumper', ahead_ms = 0): string =>
    feeds.follow({ address, body, ahead_ms }, '/m/x.mission.json');
  /** 30° 06.000′ S, 22° 24.600′ E, 1234.5 m above the geoid. */
  const gga = (time: string): string => nmea(`GPGGA,${time},3006.000,S,02224.600,E,1,08,1.0,1234.5,M,30.0,M,,`);

  it('by NMEA over TCP: a fix a second with its time and height; a bad sentence is counted, said and no harm', async () => {
    const rmc = nmea('GPRMC,073003,A,3006.000,S,02224.600,E,000.0,000.0,140427,,,A');
    const { port } = await served(
      (socket) =>
        void socket.write(
          [gga('073003'), rmc, gga('073003.5'), gga('073004').replace('1234', '1239'), gga('073005'), ''].join('\r\n'),
        ),
    );
    follow(`tcp://127.0.0.1:${port}`);
    await vi.waitFor(() => expect(logged.length).toBe(2), PATIENT);
    expect(logged.map(({ fix }) => fix.observedAt)).toEqual(['2027-04-14T07:30:03Z', '2027-04-14T07:30:05Z']);
    expect(logged[0]).toMatchObject({
      missionPath: '/m/x.mission.json',
      fix: { kind: 'fix', body: 'jumper', height_m: 1234.5 },
    });
    expect(logged[0]?.fix.position[0]).toBeCloseTo(22 + 24.6 / 60, 9);
    expect(logged[0]?.fix.position[1]).toBeCloseTo(-(30 + 6 / 60), 9);
    expect(state()).toMatchObject({ link: 'connected', taken: 2, errors: 1, perMinute: 3 });
  });

  it('by gpsd and by APRS, each of its own sender', async () => {
    const tpv =
      '{"class":"TPV","device":"/dev/a","mode":3,"time":"2027-04-14T07:30:04.000Z","lat":-30.1,"lon":22.41,"altMSL":900.5}';
    const gpsd = await served((socket) => {
      socket.write('{"class":"VERSION","release":"3.22"}\n');
      socket.on('data', () => socket.write(`${tpv}\n`));
    });
    follow(`tcp://127.0.0.1:${gpsd.port}`);
    await vi.waitFor(
      () =>
        expect(logged[0]?.fix).toEqual({
          kind: 'fix',
          body: 'jumper',
          position: [22.41, -30.1],
          height_m: 900.5,
          observedAt: '2027-04-14T07:30:04Z',
        }),
      PATIENT,
    );
    const packet = (call: string): string => `${call}>APRS:/073004h3006.00S/02224.60EO/A=004049\n`;
    const aprs = await served((socket) => void socket.write(`# hello\n${packet('N0ONE')}${packet('N0TWO-11')}`));
    follow(`tcp://127.0.0.1:${aprs.port}#N0TWO-11`, 'gondola');
    await vi.waitFor(
      () => expect(logged[1]?.fix).toMatchObject({ body: 'gondola', observedAt: '2027-04-14T07:30:04Z' }),
      PATIENT,
    );
    // 4 049 ft at 0.3048 m.
    expect(logged[1]?.fix.height_m).toBeCloseTo(4049 * 0.3048, 1);
  });

  it('by two senders at once is asked about; a fix of another hour is not taken', async () => {
    const packet = (call: string, time: string): string => `${call}>APRS:/${time}h3006.00S/02224.60EO\n`;
    const { port } = await served(
      (socket) =>
        void socket.write(`${packet('N0ONE', '073004')}${packet('N0TWO', '073004')}${packet('N0ONE', '053004')}`),
    );
    follow(`tcp://127.0.0.1:${port}`);
    await vi.waitFor(() => expect(state()?.errors).toBe(2), PATIENT);
    expect(state()?.said).toMatch(/a fix of 2027-04-14T05:30:04Z: the receiver’s clock or this computer’s is wrong/);
    await vi.waitFor(() => expect(logged.length).toBe(1), PATIENT);
  });

  it('loses nothing while the log takes nothing, and runs on the mission’s own clock', async () => {
    refuse = 'the disk is full';
    const { port } = await served(
      (socket) => void socket.write(`${gga('083003')}\n${gga('083004')}\n${gga('083005')}\n`),
    );
    follow(`tcp://127.0.0.1:${port}`, 'jumper', 3_600_000);
    await vi.waitFor(() => expect(state()?.said).toBe('Not logged yet, 3 wait: the disk is full'), PATIENT);
    refuse = null;
    await vi.waitFor(
      () =>
        expect(logged.map(({ fix }) => fix.observedAt)).toEqual([
          '2027-04-14T08:30:03Z',
          '2027-04-14T08:30:04Z',
          '2027-04-14T08:30:05Z',
        ]),
      PATIENT,
    );
    expect(logged[0]?.at).toBe('2027-04-14T08:30:05Z');
    expect(state()).toMatchObject({ taken: 3 });
  });

  it('is off until it is asked for, once each, and off again when it is told', async () => {
    let connections = 0;
    const { port } = await served(() => void (connections += 1));
    expect(feeds.states()).toEqual([]);
    const address = follow(`tcp://127.0.0.1:${port}`);
    follow(address);
    await vi.waitFor(() => expect(connections).toBe(1), PATIENT);
    expect(feeds.states()).toHaveLength(1);
    expect(await feeds.stop(address)).toBe(true);
    expect([feeds.states(), await feeds.stop(address)]).toEqual([[], false]);
    expect(() => follow('tcp://nowhere')).toThrow('is no feed');
    expect(connections).toBe(1);
  });
});
