// One worker's end: answers in the order of the questions, and a stop that ends what nobody waits for and loses nothing
// that is needed.
import { describe, expect, it } from 'vitest';
import { Served } from '../../core/work/served.ts';
import type { Answer, Ask } from '../../core/work/work.ts';
import { MomentNews } from '../../core/work/momentNews.ts';
import { momentOf } from './moments.ts';
import { adviseOn } from '../../core/advice/advise.ts';
import { situationAt } from '../../core/mission/situation.ts';
import { loadDemo } from '../demo.ts';

const { mission, world, log } = await loadDemo('salt-plain');
const at_s = Date.parse(mission.exit.time) / 1000 - 3600;
const advice = (members: number): Ask => ({ kind: 'advice', members, beside: 'all', whatIf: null });
const asks = (of = momentOf({ mission, log, world, at_s, seed: 2 }), news = new MomentNews()): readonly Ask[] =>
  news.tell(of);

interface Heard {
  readonly hear: (...asks: readonly Ask[]) => void;
  /** In the order in which they came, each with the number of its question. */
  readonly answers: { readonly id: number; readonly says: Answer }[];
  readonly pauses: () => number;
}

/** A worker whose pauses are counted, and that hears something in one of them. */
function worker(inPause: (pauses: number, heard: Heard) => void = () => {}): Heard {
  let pauses = 0;
  let last = 0;
  const served = new Served(
    (letter) => heard.answers.push(letter),
    () => {
      pauses += 1;
      inPause(pauses, heard);
      return Promise.resolve();
    },
  );
  const heard: Heard = {
    hear: (...all) => {
      for (const says of all) served.hear({ id: (last += 1), says });
    },
    answers: [],
    pauses: () => pauses,
  };
  return heard;
}

const until = async (done: () => boolean): Promise<void> => {
  while (!done()) await new Promise((resolve) => setTimeout(resolve, 5));
};
const kinds = ({ answers }: Heard): string[] => answers.map(({ says }) => says.kind);

describe('what a worker serves', () => {
  it('answers a long question in steps with what the same question gives at once, and for which moment', async () => {
    const one = worker();
    const first = asks();
    one.hear(...first, advice(300));
    await until(() => one.answers.length === first.length + 1);
    expect(kinds(one).slice(0, -1)).toEqual(first.map(() => 'done'));
    const answer = one.answers.at(-1)?.says;
    const straight = adviseOn(situationAt(mission, log, world, at_s), { members: 300, seed: 2 });
    expect(answer?.kind === 'advice' ? answer.answer.advice : answer).toEqual(straight.advice);
    expect(answer).toMatchObject({ stamp: { moment: 1, seq: log.at(-1)?.seq, at_s } });
    expect(one.pauses()).toBeGreaterThan(5);
  });

  it('stops at the next step, and still hears of the moment that came meanwhile', async () => {
    const news = new MomentNews();
    const first = asks(undefined, news);
    const next = asks(momentOf({ mission, log, world: { ...world }, at_s, seed: 2 }), news);
    const one = worker((n, self) => {
      if (n !== 3) return;
      // What waits behind the long question when the stop comes: another long one, and a world with its moment.
      self.hear(advice(4000), ...next, { kind: 'stop' }, advice(100));
    });
    one.hear(...first, advice(5000));
    await until(() => one.answers.length === first.length + 1 + 1 + next.length + 2);
    expect(kinds(one)).toEqual([
      ...first.map(() => 'done'),
      'stopped',
      'stopped',
      ...next.map(() => 'done'),
      'done',
      'advice',
    ]);
    // Three pauses before the stop; behind it those of the last question alone.
    const last = worker();
    last.hear(...first, advice(100));
    await until(() => last.answers.length === first.length + 1);
    expect(one.pauses()).toBe(3 + last.pauses());
  });

  it.each<Ask>([
    { kind: 'edges', members: 200 },
    { kind: 'recovery', members: 20 },
    { kind: 'brief', members: 20, said: null },
  ])('is stopped in the midst of $kind, so that an edit does not wait for it', async (ask) => {
    const one = worker((n, self) => (n === 2 ? self.hear({ kind: 'stop' }) : undefined));
    const first = asks();
    one.hear(...first, ask);
    await until(() => one.answers.length === first.length + 2);
    expect(kinds(one).slice(-2)).toEqual(['stopped', 'done']);
  });

  it('answers whether it is there between two steps of a long question', async () => {
    const one = worker((n, self) => (n === 2 ? self.hear({ kind: 'alive' }) : undefined));
    const first = asks();
    one.hear(...first, advice(200));
    await until(() => one.answers.length === first.length + 2);
    const [alive, long] = one.answers.slice(-2);
    expect([alive?.says.kind, long?.says.kind]).toEqual(['done', 'advice']);
    expect(alive?.id).toBeGreaterThan(long?.id ?? Infinity);
  });

  it('works a moment out once: the same question again is answered without a step', async () => {
    const one = worker();
    const first = asks();
    one.hear(...first, advice(200));
    await until(() => one.answers.length === first.length + 1);
    const pauses = one.pauses();
    one.hear(advice(200));
    await until(() => one.answers.length === first.length + 2);
    expect(one.pauses()).toBe(pauses);
    expect(one.answers.at(-1)?.says).toEqual(one.answers.at(-2)?.says);
  });
});

describe('what a worker is told of a moment', () => {
  it('is of the log only what it has not heard', () => {
    const news = new MomentNews();
    const told = { mission, world, at_s };
    const heard = (length: number): unknown =>
      news
        .tell(momentOf({ ...told, log: log.slice(0, length) }))
        .flatMap((ask) => (ask.kind === 'log' ? [[ask.from, ask.events.length]] : []));
    expect(heard(3)).toEqual([[0, 3]]);
    expect(heard(5)).toEqual([[3, 2]]);
    expect(heard(2)).toEqual([[2, 0]]);
  });
});
