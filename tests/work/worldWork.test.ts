// What workers are told of worlds: enough to fly the very same descents in them, and nothing twice.
import { describe, expect, it } from 'vitest';
import { Air } from '../../core/air/air.ts';
import { columnsOf, Ensemble } from '../../core/descent/ensemble.ts';
import { outlookOf } from '../../core/descent/outlook.ts';
import { scenarioOf } from '../../core/descent/scenario.ts';
import { spreadOf } from '../../core/descent/spread.ts';
import { jobOf, Workbench, type Answer, type Ask } from '../../core/work/work.ts';
import { WorldNews } from '../../core/work/worldWork.ts';
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
    expect(first.asks.map(({ kind }) => kind)).toEqual(['terrain', 'air', 'world']);
    const straight: Answer = {
      kind: 'members',
      ensemble: 1,
      first: 0,
      count: 8,
      columns: columnsOf(new Ensemble(setup).run(0, 8)),
    };
    expect(fly(bench, first.number, first.asks)).toEqual(straight);

    expect(news.tell(world)).toEqual({ number: first.number, asks: [] });

    const edited = news.tell({ ...world });
    expect(edited.asks.map(({ kind }) => kind)).toEqual(['world']);
    expect(fly(bench, edited.number, edited.asks)).toEqual({ ...straight, ensemble: edited.number });
  });

  it('brings its air again where that is another one: by its numbers, not by the object', () => {
    const news = new WorldNews();
    news.tell(world);
    const same = { ...world, air: new Air(world.air.levels.map((level) => ({ ...level }))) };
    expect(news.tell(same).asks.map(({ kind }) => kind)).toEqual(['world']);
    const thinner = new Air(world.air.levels.map((level) => ({ ...level, pressure_Pa: 0.9 * level.pressure_Pa })));
    const { number, asks } = news.tell({ ...world, air: thinner });
    expect(asks.map(({ kind }) => kind)).toEqual(['air', 'world']);
    const bench = new Workbench();
    for (const ask of [...new WorldNews().tell(world).asks, ...asks]) bench.answer(structuredClone(ask));
    const scenario = { ...setup.scenario, world: { ...world, air: thinner } };
    const columns = columnsOf(new Ensemble({ ...setup, scenario }).run(0, 8));
    expect(fly(bench, number, [])).toEqual({ kind: 'members', ensemble: number, first: 0, count: 8, columns });
  });

  it.each([0, 1])('is refused in words where its terrain or its air was not sent', (missing) => {
    const { asks } = new WorldNews().tell(world);
    const bench = new Workbench();
    const answers = asks.filter((_, i) => i !== missing).map((ask) => bench.answer(ask));
    const last = answers.at(-1) as Answer;
    expect(last.kind === 'fault' ? last.why : last).toContain(missing === 0 ? 'terrain' : 'air');
  });
});
