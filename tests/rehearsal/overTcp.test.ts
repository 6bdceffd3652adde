// Both demos flown end to end: the simulator's lines go over real TCP on loopback into the feeds of the desk, which
// read, thin and log them as they do for a window; the lead gets what they log. The score is the one of the same
// rehearsal without a wire.
import { connect } from 'node:net';
import { describe, expect, it, vi } from 'vitest';
import { toEnd } from '../../core/base/steps.ts';
import { isoOf } from '../../core/base/plainNumbers.ts';
import { rehearseInSteps } from '../../core/rehearsal/rehearse.ts';
import { scoreOf, type Raised } from '../../core/rehearsal/score.ts';
import { scoreData } from '../../core/rehearsal/scoreText.ts';
import { Feeds } from '../../main/feeds/feeds.ts';
import { PlayedFeeds } from '../../main/feeds/played.ts';
import { DEMOS } from '../demo.ts';
import { PATIENT } from '../patience.ts';
import { begun } from './begun.ts';

const OPTIONS = { lead: 'careful', every_s: 20, members: 50, seed: 12 } as const;
const RUN = { scenario: 'reversed report', seed: OPTIONS.seed, lead: OPTIONS.lead, acts: [], stopped_s: null };

describe.each(DEMOS)('%s over TCP', (name) => {
  it('is followed from the carrier to the last crew, and scored', async () => {
    // It begins when the reversed report is about to come.
    const { loaded, scenario, truth, simulator, lead } = await begun(name, {
      ...OPTIONS,
      scenario: RUN.scenario,
      begins_s: 260,
    });

    const bodies = ['jumper', ...(loaded.mission.teams ?? []).map((team) => team.name)];
    let [now_s, sent, logged] = [truth.begins_s, 0, 0];
    const played = new PlayedFeeds();
    const feeds = new Feeds(() => undefined, {
      now: () => new Date(now_s * 1000),
      log: async (_missionPath, { body, position, height_m = null, observedAt = '' }) => {
        const time_s = Date.parse(observedAt) / 1000;
        lead.fix(body, { time_s, position, height_m }, time_s);
        logged += 1;
      },
    });
    try {
      for (const body of bodies)
        feeds.follow({ address: await played.open(body), body, ahead_ms: 0 }, '/m/rehearsed.mission.json');
      const isThere = () => expect(feeds.states().map(({ link }) => link)).toEqual(bodies.map(() => 'connected'));
      await vi.waitFor(isThere, PATIENT);
      const raised: Raised[] = [];
      for (now_s += OPTIONS.every_s; !simulator.isOver(now_s); now_s += OPTIONS.every_s) {
        const news = simulator.until(now_s);
        for (const one of news) {
          if (one.kind !== 'fix') continue;
          played.send(one.body, one.lines);
          sent += 1;
        }
        await vi.waitFor(() => expect(logged).toBe(sent), PATIENT);
        for (const one of news)
          if (one.kind === 'heard') for (const order of lead.hear(one.text, one.at_s)) simulator.take(order, one.at_s);
        const { alerts, orders } = lead.step(now_s);
        for (const alert of alerts) raised.push([alert, now_s]);
        for (const order of orders) simulator.take(order, now_s);
      }
      expect(feeds.states().map(({ errors }) => errors)).toEqual(bodies.map(() => 0));
      const score = scoreOf(loaded, { truth, said: simulator.said, fixes: simulator.fixes }, lead.log, raised);
      console.info(`${name}: ${JSON.stringify(scoreData(RUN, score))}`);

      // The phases were seen when they were: a look is 20 s, and the marks say since when.
      const marks = new Map(lead.log.flatMap((one) => (one.kind === 'mark' ? [[one.mark, one.observedAt]] : [])));
      for (const [mark, time_s] of [
        ['exit', truth.exit_s],
        ['opening', truth.opening_s],
        ['touchdown', truth.touchdown_s],
      ] as const)
        expect(Math.abs(Date.parse(marks.get(mark) ?? '') / 1000 - (time_s ?? NaN)), mark).toBeLessThan(5);
      // A landing that moves by 300 m is called again first.
      expect(score.saidLast?.miss_m).toBeLessThan(300);
      expect([score.winds.passedOn, score.winds.wrong.map(({ wrong }) => wrong)]).toEqual([0, ['way']]);
      expect(score.crews.filter(({ after_s }) => after_s !== null).length).toBeGreaterThanOrEqual(2);

      const without = toEnd(rehearseInSteps(loaded, scenario, OPTIONS));
      if (typeof without === 'string') throw new Error(without);
      expect(scoreData(RUN, score)).toEqual(scoreData(RUN, without.score));
      expect(isoOf(score.touchdown_s)).toBe(isoOf(truth.touchdown_s));
    } finally {
      await feeds.close();
      await played.close();
    }
  });
});

it('ends also where a listener keeps its side of the connection open', async () => {
  const played = new PlayedFeeds();
  const address = await played.open('jumper');
  const got: string[] = [];
  const listener = connect({ port: Number(address.split(':').at(-1)), host: '127.0.0.1', allowHalfOpen: true });
  listener.on('data', (data) => void got.push(String(data)));
  await vi.waitFor(() => {
    played.send('jumper', ['a', 'b']);
    expect(got.join('')).toContain('a\r\nb\r\n');
  }, PATIENT);
  await played.close();
  listener.destroy();
});
