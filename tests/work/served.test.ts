// One worker's end: answers in the order of the questions, and a stop that ends what nobody waits for and loses nothing
// that is needed.
import { describe, expect, it } from 'vitest';
import { Served } from '../../core/work/served.ts';
import type { Answer, Ask } from '../../core/work/work.ts';
import { WorldNews } from '../../core/work/worldWork.ts';
import { adviseOn } from '../../core/advice/advise.ts';
import { situationAt } from '../../core/mission/situation.ts';
import { loadDemo } from '../demo.ts';

const { mission, world, log } = await loadDemo('salt-plain');
const at_s = Date.parse(mission.exit.time) / 1000 - 3600;
const advice = (number: number, members: number): Ask => ({
  kind: 'advice',
  job: { world: number, mission, log, at_s, members, seed: 2, roads: [], whatIf: null },
});

/** A worker whose pauses are counted, and that hears something in one of them. */
function worker(inPause: (pauses: number, served: Served) => void = () => {}): {
  served: Served;
  answers: Answer[];
  pauses: () => number;
} {
  const answers: Answer[] = [];
  let pauses = 0;
  const served = new Served(
    (answer) => answers.push(answer),
    () => {
      pauses += 1;
      inPause(pauses, served);
      return Promise.resolve();
    },
  );
  return { served, answers, pauses: () => pauses };
}

const until = async (done: () => boolean): Promise<void> => {
  while (!done()) await new Promise((resolve) => setTimeout(resolve, 5));
};

describe('what a worker serves', () => {
  it('answers a long question in steps with what the same question gives at once', async () => {
    const { served, answers, pauses } = worker();
    const { number, asks } = new WorldNews().tell(world);
    for (const ask of [...asks, advice(number, 300)]) served.hear(ask);
    await until(() => answers.length === asks.length + 1);
    expect(answers.slice(0, -1)).toEqual(asks.map(() => ({ kind: 'done' })));
    const answer = answers.at(-1) as Answer;
    const straight = adviseOn(situationAt(mission, log, world, at_s), { members: 300, seed: 2 });
    expect(answer.kind === 'advice' ? answer.answer.advice : answer).toEqual(straight.advice);
    expect(pauses()).toBeGreaterThan(5);
  });

  it('stops at the next step, keeps the order, and still hears of the world that came meanwhile', async () => {
    const news = new WorldNews();
    const first = news.tell(world);
    const other = news.tell({ ...world });
    const { served, answers, pauses } = worker((n, self) => {
      if (n !== 3) return;
      // What waits behind the long question when the stop comes: another long one, and a world.
      for (const ask of [advice(first.number, 5000), ...other.asks]) self.hear(ask);
      self.hear({ kind: 'stop' });
      self.hear(advice(other.number, 100));
    });
    for (const ask of [...first.asks, advice(first.number, 5000)]) served.hear(ask);
    await until(() => answers.length === 8);
    // terrain, air, world, advice | advice, world, stop, advice
    expect(answers.map(({ kind }) => kind)).toEqual([
      'done',
      'done',
      'done',
      'stopped',
      'stopped',
      'done',
      'done',
      'advice',
    ]);
    // Three pauses before the stop; behind it those of the last question alone.
    const last = worker();
    for (const ask of [...first.asks, advice(first.number, 100)]) last.served.hear(ask);
    await until(() => last.answers.length === 4);
    expect(pauses()).toBe(3 + last.pauses());
  });
});
