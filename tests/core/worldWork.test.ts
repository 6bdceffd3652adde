// What workers are told of worlds: enough to fly the very same descents in them, and nothing twice.
import { describe, expect, it } from 'vitest';
import { Ensemble } from '../../core/descent/ensemble.ts';
import { outlookOf } from '../../core/descent/outlook.ts';
import { scenarioOf } from '../../core/descent/scenario.ts';
import { spreadOf } from '../../core/descent/spread.ts';
import { jobOf, Workbench, type Answer, type Ask } from '../../core/work.ts';
import { WorldNews } from '../../core/worldWork.ts';
import { loadDemo } from '../demo.ts';

const { mission, world } = await loadDemo('salt-plain');
const outlook = outlookOf(scenarioOf(mission, world));
const setup = { scenario: outlook.scenario, error: outlook.error, spread: spreadOf(mission.uncertainty), seed: 5 };

/** The first members as a worker flies them that hears and answers by copy. */
function fly(bench: Workbench, number: number, asks: readonly Ask[]): Answer {
  const ask = (question: Ask): Answer => structuredClone(bench.answer(structuredClone(question)));
  for (const one of asks) expect(ask(one)).toEqual({ kind: 'done' });
  expect(ask({ kind: 'ensemble', job: jobOf(number, number, setup) })).toEqual({ kind: 'done' });
  return ask({ kind: 'members', ensemble: number, first: 0, count: 8 });
}

describe('a world told to a worker', () => {
  it('is the same world, also after an edit that sends no terrain again', () => {
    const news = new WorldNews();
    const bench = new Workbench();
    const first = news.tell(world);
    expect(first.asks.map(({ kind }) => kind)).toEqual(['terrain', 'world']);
    const straight: Answer = { kind: 'members', ensemble: 1, members: new Ensemble(setup).run(0, 8) };
    expect(fly(bench, first.number, first.asks)).toEqual(straight);

    expect(news.tell(world)).toEqual({ number: first.number, asks: [] });

    const edited = news.tell({ ...world });
    expect(edited.asks.map(({ kind }) => kind)).toEqual(['world']);
    expect(fly(bench, edited.number, edited.asks)).toEqual({ ...straight, ensemble: edited.number });
  });

  it('is refused in words where its terrain was not sent', () => {
    const { asks } = new WorldNews().tell(world);
    const answer = new Workbench().answer(asks[1] as Ask);
    expect(answer.kind === 'fault' ? answer.why : answer).toContain('terrain');
  });
});
