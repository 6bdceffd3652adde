// `plumbline follow` on a track of a descent whose truth is known
// (tests/live/simulated.ts): shapes, phases in their order, a landing near the hidden one, exit status 0 or 2.
import { mkdtempSync, writeFileSync } from 'node:fs';
import { createServer, type AddressInfo } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { z } from 'zod';
import { main } from '../../main/cli/cli.ts';
import { localFrame } from '../../core/earth/geodesic.ts';
import { demo } from '../demo.ts';
import { seenBy, truthOf } from '../live/simulated.ts';
import { projectRoot } from '../openData.ts';

const SALT = join(projectRoot, 'data/salt-plain/salt-plain.mission.json');

async function follow(...args: string[]) {
  const out: string[] = [];
  const complaints: string[] = [];
  const status = await main(['follow', ...args], {
    print: (text) => void out.push(text),
    complain: (line) => void complaints.push(line),
  });
  return { status, out, complaints };
}

const place = z.tuple([z.number(), z.number()]);
const ellipse = z.object({ semiMajor_m: z.number(), semiMinor_m: z.number(), bearing_deg: z.number() });
const step = z.object({
  at: z.iso.datetime(),
  phases: z.record(
    z.string(),
    z.object({
      phase: z.enum(['ascent', 'float', 'freefall', 'drogue', 'opening', 'canopy', 'down']),
      since: z.iso.datetime(),
      confidence: z.number().min(0).max(1),
    }),
  ),
  landing: z.object({ position: place, at: z.iso.datetime() }).nullable(),
  ellipses: z.object({ '50': ellipse, '90': ellipse }).nullable(),
  alerts: z.array(
    z.object({
      kind: z.string(),
      of: z.string(),
      since: z.iso.datetime(),
      text: z.string().min(10),
      todo: z.string().min(10),
    }),
  ),
});

describe('follow', () => {
  it('--json answers a step of the documented shape, and comes to the landing', async () => {
    const { situation } = await demo('salt-plain');
    const truth = truthOf(situation, 3);
    const points = seenBy(truth, 3).fixes.map(
      ({ time_s, position: [lon, lat], height_m }) =>
        `<trkpt lat="${lat}" lon="${lon}"><ele>${height_m}</ele><time>${new Date(time_s * 1000).toISOString()}</time></trkpt>`,
    );
    const path = join(mkdtempSync(join(tmpdir(), 'follow-')), 'jumper.gpx');
    writeFileSync(
      path,
      `<?xml version="1.0"?><gpx version="1.1" xmlns="http://www.topografix.com/GPX/1/1"><trk><trkseg>${points.join('')}</trkseg></trk></gpx>`,
    );
    const { status, out } = await follow(
      SALT,
      '--feed',
      `jumper=${path}`,
      '--every',
      '60',
      '--members',
      '50',
      '--json',
    );
    expect(status).toBe(0);
    const steps = out.map((text) => step.parse(JSON.parse(text)));
    const order = ['ascent', 'float', 'freefall', 'drogue', 'opening', 'canopy', 'down'];
    const told = steps.map((one) => order.indexOf(one.phases['jumper']?.phase ?? 'ascent'));
    expect(told).toEqual(told.toSorted((a, b) => a - b));
    expect(new Set(told).size).toBeGreaterThanOrEqual(4);
    expect(steps.at(-1)?.phases['jumper']?.phase).toBe('down');
    const canopy = steps.findLast((one) => one.phases['jumper']?.phase === 'canopy');
    const [e, n] = localFrame(truth.landing).toLocal(canopy?.landing?.position ?? [0, 0]);
    // A minute or less before the touchdown, at some m/s of wind error.
    expect(Math.hypot(e, n)).toBeLessThan(400);
  });

  it('says an alert once, with since when and what to do, where the fixes stop for half a minute', async () => {
    const { situation } = await demo('salt-plain');
    const truth = truthOf(situation, 3);
    const { fixes } = seenBy(truth, 3);
    const from_s = truth.exit_s + 100;
    const points = fixes
      .filter(({ time_s }) => time_s < from_s + 80 && !(time_s > from_s && time_s < from_s + 40))
      .map(
        ({ time_s, position: [lon, lat], height_m }) =>
          `<trkpt lat="${lat}" lon="${lon}"><ele>${height_m}</ele><time>${new Date(time_s * 1000).toISOString()}</time></trkpt>`,
      );
    const path = join(mkdtempSync(join(tmpdir(), 'follow-')), 'jumper.gpx');
    writeFileSync(
      path,
      `<?xml version="1.0"?><gpx version="1.1" xmlns="http://www.topografix.com/GPX/1/1"><trk><trkseg>${points.join('')}</trkseg></trk></gpx>`,
    );
    const { out } = await follow(SALT, '--feed', `jumper=${path}`, '--members', '50');
    const last_s = Math.max(...fixes.map(({ time_s }) => time_s).filter((time_s) => time_s <= from_s));
    const since = new Date(last_s * 1000).toISOString().slice(11, 19);
    const said = out.flatMap((step) => step.split('\n')).filter((line) => line.includes(`fix lost since ${since}Z: `));
    expect(said).toHaveLength(1);
    expect(said[0]).toMatch(/ above ground; .*\. Ask for height and place by radio/);
  });

  it('takes the sentences of a receiver over TCP as it takes a file, in the time of their stamps', async () => {
    const { situation } = await demo('salt-plain');
    const { fixes } = seenBy(truthOf(situation, 3), 3);
    const nmea = (body: string): string => {
      let sum = 0;
      for (const one of body) sum ^= one.charCodeAt(0);
      return `$${body}*${sum.toString(16).toUpperCase().padStart(2, '0')}\r\n`;
    };
    const angle = (degrees: number, whole: number): string => {
      const positive = Math.abs(degrees);
      const full = Math.floor(positive);
      return `${String(full).padStart(whole, '0')}${((positive - full) * 60).toFixed(5).padStart(8, '0')}`;
    };
    const lines = fixes.slice(-400).map(({ time_s, position: [lon, lat], height_m }) => {
      const iso = new Date(time_s * 1000).toISOString();
      const [time, place] = [
        `${iso.slice(11, 13)}${iso.slice(14, 16)}${iso.slice(17, 22)}`,
        `${angle(lat, 2)},${lat < 0 ? 'S' : 'N'},${angle(lon, 3)},${lon < 0 ? 'W' : 'E'}`,
      ];
      const date = `${iso.slice(8, 10)}${iso.slice(5, 7)}${iso.slice(2, 4)}`;
      return (
        nmea(`GPRMC,${time},A,${place},0.0,0.0,${date},,,A`) +
        nmea(`GPGGA,${time},${place},1,08,1.0,${height_m.toFixed(2)},M,0.0,M,,`)
      );
    });
    const server = createServer((socket) => void socket.end(lines.join('')));
    await new Promise<void>((resolve) => void server.listen(0, '127.0.0.1', resolve));
    const { port } = server.address() as AddressInfo;
    const more = ['--every', '60', '--members', '50', '--json'];
    const live = await follow(SALT, '--feed', `jumper=tcp://127.0.0.1:${port}`, ...more);
    server.close();
    const path = join(mkdtempSync(join(tmpdir(), 'follow-')), 'jumper.nmea');
    writeFileSync(path, lines.join(''));
    const recorded = await follow(SALT, '--feed', `jumper=${path}`, ...more);
    expect([live.status, live.out.length > 3]).toEqual([0, true]);
    expect(live.out).toEqual(recorded.out);
    expect(live.complaints.at(-1)).toBe(`tcp://127.0.0.1:${port}: has closed the connection`);
  });

  it.each([
    [['--feed', 'jumper'], 'expected BODY=PATH'],
    [[], 'no feed'],
    [['--feed', 'jumper=/no/such/file.gpx'], '/no/such/file.gpx'],
    [['--feed', 'jumper=tcp://127.0.0.1'], 'expected tcp://HOST:PORT'],
    [['--feed', 'jumper=tcp://127.0.0.1:1'], 'refuses the connection; no fix with a height came'],
  ])('%j is refused with status 2', async (args, sentence) => {
    const { status, out, complaints } = await follow(SALT, ...args);
    expect([status, out.length]).toEqual([2, 0]);
    expect(complaints.at(-1)).toContain(sentence);
  });
});
