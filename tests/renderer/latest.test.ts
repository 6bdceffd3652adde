// Work of which only the newest answer counts, with a worker whose answers are given by hand.
import { describe, expect, it } from 'vitest';
import { Latest } from '../../renderer/work/latest.ts';

interface Asked {
  readonly question: number;
  readonly left: () => boolean;
  readonly give: (answer: string) => void;
  readonly fail: (why: string) => void;
}

/** Lets what follows from an answer happen. */
const settled = (): Promise<void> => new Promise((resolve) => setImmediate(resolve));

function byHand() {
  const asked: Asked[] = [];
  const said: string[] = [];
  let interrupts = 0;
  const latest = new Latest<number, string>(
    async function* (question, left) {
      for (let i = 0; i < 2; i++) {
        yield await new Promise<string>((give, reject) =>
          asked.push({ question, left, give, fail: (why) => reject(new Error(why)) }),
        );
        if (left()) return;
      }
    },
    {
      answer: (answer, question) => void said.push(`${question} ${answer}`),
      done: (question) => void said.push(`${question} done`),
      fault: (why, question) => void said.push(`${question} fault: ${why}`),
    },
    () => (interrupts += 1),
  );
  return {
    latest,
    asked,
    said,
    interrupts: () => interrupts,
    give: async (answer: string) => {
      asked.at(-1)?.give(answer);
      await settled();
    },
  };
}

describe('the newest question', () => {
  it('is answered, rough then full', async () => {
    const { latest, said, give } = byHand();
    latest.want(1);
    await give('rough');
    await give('full');
    expect(said).toEqual(['1 rough', '1 full', '1 done']);
  });

  it('waits for the first answer to what is under way, never for the rest of it; those between are passed over', async () => {
    const { latest, asked, said, interrupts, give } = byHand();
    latest.want(1);
    latest.want(2);
    latest.want(3);
    expect(interrupts()).toBe(0);
    expect(asked.map(({ question }) => question)).toEqual([1]);
    await give('rough');
    expect(said).toEqual(['1 rough']);
    expect(asked.at(-1)?.question).toBe(3);
    await give('rough');
    latest.want(4);
    expect(interrupts()).toBe(1);
    await give('full, too late to matter');
    expect(asked.at(-1)?.question).toBe(4);
    await give('rough');
    await give('full');
    expect(said.slice(-3)).toEqual(['4 rough', '4 full', '4 done']);
  });

  it('is not starved by questions that come faster than any answer', async () => {
    const { latest, said, give } = byHand();
    for (let question = 1; question <= 500; question++) {
      latest.want(question);
      if (question % 20 === 0) await give('rough');
    }
    expect(said.length).toBe(25);
    // Each answer is of a question at most one answer old.
    expect(said[24]).toBe('480 rough');
  });

  it('is asked once more after a fault, and then left until another one is asked', async () => {
    const { latest, asked, said, give } = byHand();
    latest.want(1);
    asked.at(-1)?.fail('out of paper');
    await settled();
    expect(asked.length).toBe(2);
    asked.at(-1)?.fail('out of paper again');
    await settled();
    expect(asked.length).toBe(2);
    expect(said).toEqual(['1 fault: out of paper', '1 fault: out of paper again']);
    latest.want(2);
    await give('rough');
    expect(said.at(-1)).toBe('2 rough');
  });

  it('may be none: what is under way is left, and nothing is asked', async () => {
    const { latest, asked, give } = byHand();
    latest.want(1);
    await give('rough');
    latest.want(null);
    await give('full');
    expect(asked.length).toBe(2);
  });

  it('is asked again where it was taken back before its last answer, and is wanted again', async () => {
    const { latest, asked, said, give } = byHand();
    latest.want(1);
    await give('rough');
    latest.want(null);
    // The work notices that it was left, and ends by itself.
    expect(asked.at(-1)?.left()).toBe(true);
    latest.want(1);
    await give('of a run that was left');
    expect(asked.length).toBe(3);
    await give('full');
    await give('fuller');
    expect(said.at(-1)).toBe('1 done');
    expect(said.filter((one) => one === '1 done').length).toBe(1);
  });

  it('is not taken for answered because its work ended when it was left', async () => {
    const said: string[] = [];
    let end = (): void => {};
    const latest = new Latest<number, string>(
      async function* (_question, left) {
        yield 'rough';
        await new Promise<void>((resolve) => (end = resolve));
        if (!left()) yield 'full';
      },
      {
        answer: (answer) => void said.push(answer),
        done: () => void said.push('done'),
        fault: () => {},
      },
    );
    latest.want(1);
    await settled();
    latest.want(null);
    end();
    await settled();
    latest.want(1);
    await settled();
    end();
    await settled();
    expect(said).toEqual(['rough', 'rough', 'full', 'done']);
  });
});
