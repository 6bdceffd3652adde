// A demo flown through gpsd itself: the simulator's sentences go over TCP into gpsd, and gpsd's JSON over TCP into the
// feeds of the desk. gpsd is Debian's (package gpsd); where it is missing this is skipped and says so. `PLUMBLINE_GPSD`
// names another one.
import { spawn } from 'node:child_process';
import { existsSync } from 'node:fs';
import { createServer, type AddressInfo } from 'node:net';
import { describe, expect, it, vi } from 'vitest';
import { inverse } from '../../core/earth/geodesic.ts';
import { scoreOf, type Raised } from '../../core/rehearsal/score.ts';
import { scoreData } from '../../core/rehearsal/scoreText.ts';
import { Feeds } from '../../main/feeds/feeds.ts';
import { PlayedFeeds } from '../../main/feeds/played.ts';
import { DEMOS } from '../demo.ts';
import { PATIENT } from '../patience.ts';
import { begun } from './begun.ts';

const GPSD = process.env['PLUMBLINE_GPSD'] ?? '/usr/sbin/gpsd';
const isThere = existsSync(GPSD);
if (!isThere) console.info(`SKIPPED: ${GPSD} is not on this machine (Debian: apt install gpsd)`);

async function freePort(): Promise<number> {
  const server = createServer();
  await new Promise<void>((resolve) => void server.listen(0, '127.0.0.1', resolve));
  const { port } = server.address() as AddressInfo;
  await new Promise<void>((resolve) => void server.close(() => resolve()));
  return port;
}

const OPTIONS = { members: 50, seed: 3 } as const;
const RUN = { scenario: 'calm run', seed: OPTIONS.seed, lead: 'careful', acts: [], stopped_s: null } as const;
const EVERY_S = 20;

const left = isThere ? '' : ' (left out: no gpsd on this machine)';

describe.skipIf(!isThere).each(DEMOS)('%s through gpsd', (name) => {
  it(`is followed from the carrier to the touchdown, and scored${left}`, async () => {
    const { loaded, truth, simulator, lead } = await begun(name, { ...RUN, ...OPTIONS, begins_s: 60 });
    let [now_s, last_s, farthest_m] = [truth.begins_s, -Infinity, 0];
    const played = new PlayedFeeds();
    const feeds = new Feeds(() => undefined, {
      now: () => new Date(now_s * 1000),
      log: async (_missionPath, { position, height_m = null, observedAt = '' }) => {
        last_s = Date.parse(observedAt) / 1000;
        // The scenario's receiver is off by 5 m an axis.
        farthest_m = Math.max(farthest_m, inverse(position, truth.jumperAt(last_s).position).distance_m);
        lead.fix('jumper', { time_s: last_s, position, height_m }, last_s);
      },
    });
    const [source, port] = [await played.open('jumper'), await freePort()];
    const gpsd = spawn(GPSD, ['-N', '-n', '-b', '-S', String(port), source], { stdio: 'ignore' });
    try {
      feeds.follow({ address: `tcp://127.0.0.1:${port}`, body: 'jumper', ahead_ms: 0 }, '/m/rehearsed.mission.json');
      const raised: Raised[] = [];
      let isHeard = false;
      for (now_s += EVERY_S; now_s < truth.touchdown_s + 60; now_s += EVERY_S) {
        const news = simulator.until(now_s).filter((one) => one.kind === 'heard' || one.body === 'jumper');
        const until_s = Math.max(...news.map(({ at_s }) => at_s));
        const send = (): void => {
          for (const one of news) if (one.kind === 'fix') played.send(one.body, one.lines);
        };
        send();
        await vi.waitFor(() => {
          // Before gpsd has opened its source nobody listens: the first stretch is sent until it is heard.
          if (!isHeard && last_s === -Infinity) send();
          expect(last_s).toBeGreaterThan(until_s - 3);
        }, PATIENT);
        isHeard = true;
        for (const one of news) if (one.kind === 'heard') lead.hear(one.text, one.at_s);
        for (const alert of lead.step(now_s).alerts) raised.push([alert, now_s]);
      }
      const score = scoreOf(loaded, { truth, said: simulator.said, fixes: simulator.fixes }, lead.log, raised);
      console.info(`${name} through gpsd: ${JSON.stringify(scoreData(RUN, score))}`);
      expect(feeds.states()[0]).toMatchObject({ errors: 0 });
      // Five standard deviations of two axes of 5 m.
      expect(farthest_m).toBeLessThan(36);
      expect(score.saidLast?.miss_m).toBeLessThan(300);
      const marks = new Map(lead.log.flatMap((one) => (one.kind === 'mark' ? [[one.mark, one.observedAt]] : [])));
      const events = [
        ['exit', truth.exit_s],
        ['touchdown', truth.touchdown_s],
      ] as const;
      for (const [mark, time_s] of events)
        expect(Math.abs(Date.parse(marks.get(mark) ?? '') / 1000 - time_s), mark).toBeLessThan(5);
    } finally {
      await feeds.close();
      await played.close();
      gpsd.kill();
    }
  });
});
