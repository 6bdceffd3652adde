// An explanation that is open follows its number: another sample, other units, another plan are in it as soon as they
// are on the window, and where the number goes it goes too. Drawn on a page of xmldom's, pressed as a person presses.
import { signal } from '@preact/signals';
import { h, type JSX } from 'preact';
import { beforeAll, describe, expect, it } from 'vitest';
import { adviseOn } from '../../core/advice/advise.ts';
import type { LandingStatistics } from '../../core/descent/statistics.ts';
import type { Mission } from '../../core/plan/schema.ts';
import { StoreContext } from '../../renderer/context.ts';
import { Chances } from '../../renderer/panels/Spread.tsx';
import { Why } from '../../renderer/panels/Why.tsx';
import { shareWhy } from '../../renderer/state/explaining/decideWhy.ts';
import type { Store } from '../../renderer/state/derived/store.ts';
import type { Provenance } from '../../renderer/state/stored/tellers.ts';
import { Tellers } from '../../renderer/state/stored/tellers.ts';
import type { Units } from '../../core/words/numbers.ts';
import { LineWords } from '../../renderer/strip/LineWords.tsx';
import { demo } from '../demo.ts';
import { page } from './page.ts';

const metres: Units = { length: 'm', speed: 'm/s', height: 'MSL', time: 'UTC' };
const ZONE = 'Saltbell North';

let mission: Mission;
const samples: LandingStatistics[] = [];

beforeAll(async () => {
  const { situation } = await demo('salt-plain');
  mission = situation.mission;
  for (const members of [150, 400]) {
    const { statistics } = adviseOn(situation, { members, seed: 1 }).advice;
    if (statistics === null) throw new Error('the demo lands');
    samples.push(statistics);
  }
});

const sampleOf = (i: number): LandingStatistics => {
  const found = samples[i];
  if (found === undefined) throw new Error(`no sample ${i}`);
  return found;
};

/** The panel's chances, and the strip's own word on one of them, with the explanation under them. */
function windowOf() {
  const provenance = signal<Provenance | null>(null);
  const view = { units: signal(metres), panel: signal('Descent') };
  const store = {
    provenance,
    tellers: new Tellers(provenance),
    view,
    units: view.units,
    expected: signal(null),
  } as unknown as Store;
  const plan = signal(mission);
  const statistics = signal<LandingStatistics | null>(sampleOf(0));
  const strip = signal<string | null>(null);
  function Desk(): JSX.Element {
    const shown = statistics.value;
    const said = strip.value;
    const why = (): Provenance => ({
      ...shareWhy({ members: 1, lost: 0, mission: plan.value, units: view.units.value, basis: null }, ZONE, {
        p: 1,
        error: 0,
      }),
      sentence: `Strip ${said}.`,
    });
    const told = { key: `share/${ZONE}`, panel: 'Descent', what: 'chance', why };
    return h(StoreContext.Provider, { value: store }, [
      said === null ? null : h(LineWords, { store, id: 'line', parts: [{ words: 'in the strip', told }] }),
      shown === null ? null : h(Chances, { store, mission: plan.value, statistics: shown }),
      provenance.value === null ? null : h(Why, { store }),
    ]);
  }
  const seen = page();
  seen.show(h(Desk, null));
  return { ...seen, provenance, view, plan, statistics, strip, why: () => seen.text('id', 'why') };
}

const hits = (sample: LandingStatistics): number =>
  Math.round((sample.inZone[ZONE]?.p ?? NaN) * (sample.members - sample.lost));

describe('an explanation that is open', () => {
  it('counts the new sample when another one is drawn', async () => {
    const window = windowOf();
    await window.click('data-number', `share/${ZONE}`);
    expect(window.why()).toContain(`${hits(sampleOf(0))} of 150 drawn descents`);
    window.statistics.value = sampleOf(1);
    await window.drawn();
    expect(window.why()).toContain(`${hits(sampleOf(1))} of 400 drawn descents`);
    expect(window.why()).not.toContain('of 150');
  });

  it('says its inputs in the units and with the plan of now', async () => {
    const window = windowOf();
    await window.click('data-number', `share/${ZONE}`);
    expect(window.why()).toMatch(/exit position ± [\d ]+\u202fm/);
    window.view.units.value = { ...metres, length: 'ft' };
    await window.drawn();
    expect(window.why()).toMatch(/exit position ± [\d ]+\u202fft/);
    window.plan.value = { ...mission, uncertainty: { ...mission.uncertainty, exitTime_s: 47 } };
    await window.drawn();
    expect(window.why()).toContain('exit time ± 47\u202fs');
  });

  it('closes when its number goes, and stays where another place on the window still has it', async () => {
    const window = windowOf();
    window.strip.value = 'says 93';
    await window.drawn();
    await window.click('data-number', `share/${ZONE}`);
    window.statistics.value = null;
    await window.drawn();
    expect(window.why()).not.toBe('');
    window.strip.value = null;
    await window.drawn();
    expect(window.why()).toBe('');
    expect(window.provenance.value).toBeNull();
  });

  it('is what was asked where two places say the same number differently, until one of them changes', async () => {
    const window = windowOf();
    window.strip.value = 'says 93';
    await window.drawn();
    await window.click('data-told', `share/${ZONE}`);
    expect(window.why()).toContain('Strip says 93.');
    window.strip.value = 'says 94';
    await window.drawn();
    expect(window.why()).toContain('Strip says 94.');
  });

  it('is closed by the press that opened it', async () => {
    const window = windowOf();
    await window.click('data-number', `share/${ZONE}`);
    expect(window.why()).not.toBe('');
    await window.click('data-number', `share/${ZONE}`);
    expect(window.why()).toBe('');
  });
});
