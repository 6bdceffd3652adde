// The exits' comparison: whatever number stands in its tables is a button, and what the button says is what the core
// computed. The tables are read as the tree that the components answer, without a page; counts are compared with the
// statistics of the same descents, moments with the line that is always in view.
import { signal } from '@preact/signals';
import { describe, expect, it } from 'vitest';
import { adviseOn, type Advice } from '../../core/advice/advise.ts';
import type { Mission } from '../../core/plan/schema.ts';
import { ExitsSection } from '../../renderer/panels/Exits.tsx';
import { Figure } from '../../renderer/panels/Figure.tsx';
import type { Store } from '../../renderer/state/derived/store.ts';
import type { Provenance } from '../../renderer/state/stored/tellers.ts';
import type { Units } from '../../core/words/numbers.ts';
import { demo, type DEMOS } from '../demo.ts';
import { nodesOf, textOf } from './tree.ts';

const units: Units = { length: 'm', speed: 'm/s', height: 'MSL', time: 'UTC' };
const MEMBERS = 400;
/** Fields that the desk has; a limit or an uncertainty has one by its name. */
const FIELD =
  /^(exit\.(position|height|time)|canopy\.(policy|zone)|limits\.(zone|hazard)Probability|uncertainty\.[\w.]+)$/;

interface Cell {
  readonly text: string;
  /** Of the number in it; null: without one. */
  readonly figure: { readonly of: string; readonly why: () => Provenance } | null;
}

/** Cells of both tables that say something, but for the column of buttons that take an exit into the plan. */
function cellsOf(advice: Advice, mission: Mission): Cell[] {
  const store = {
    decision: { advice: signal({ advice }) },
    units: signal(units),
    view: { units: signal(units) },
    provenance: signal(null),
  } as unknown as Store;
  const section = ExitsSection({ store, mission });
  if (section === null) throw new Error('before the exit there is a comparison');
  const cells: Cell[] = [];
  for (const node of nodesOf(section)) {
    const scope = node.props['scope'];
    if (node.type !== 'td' && !(node.type === 'th' && scope === 'row')) continue;
    const figure = [...nodesOf(node)].find((one) => Object.is(one.type, Figure));
    const text = textOf(node);
    if (!/^Take|^$/.test(text)) cells.push({ text, figure: (figure?.props as unknown as Cell['figure']) ?? null });
  }
  return cells;
}

async function advised(name: (typeof DEMOS)[number], change: (mission: Mission) => Mission = (mission) => mission) {
  const { situation } = await demo(name);
  const mission = change(situation.mission);
  const { advice } = adviseOn({ ...situation, mission }, { members: MEMBERS, seed: 1 });
  const cells = cellsOf(advice, mission);
  const figures = new Map(
    cells.flatMap(({ text, figure }) => (figure === null ? [] : [[figure.of, { text, ...figure.why() }] as const])),
  );
  const of = (key: string) => {
    const found = figures.get(key);
    if (found === undefined) throw new Error(`no number ${key}`);
    return found;
  };
  return { advice, mission, cells, figures, of };
}

const steered =
  (policy: 'drift' | 'to target') =>
  (mission: Mission): Mission => {
    const canopy = mission.jumper.canopy;
    if (canopy === undefined) throw new Error('the demos open canopies');
    return { ...mission, jumper: { ...mission.jumper, canopy: { ...canopy, steering: { policy } } } };
  };

const withoutZones = (mission: Mission): Mission => ({ ...mission, landingZones: [] });

describe('every number of the exits’ comparison', () => {
  // Four a row: five exits, three without a window, the planned one alone without a zone; of an aircraft four headings,
  // and the one into the wind where it is not among them.
  it.each([
    { name: 'salt-plain' as const, what: 'as it is', change: (mission: Mission) => mission, exits: 5 },
    { name: 'salt-plain' as const, what: 'to a target', change: steered('to target'), exits: 5 },
    { name: 'town-meadow' as const, what: 'as it is', change: (mission: Mission) => mission, exits: 5 },
    { name: 'town-meadow' as const, what: 'drifting', change: steered('drift'), exits: 3 },
    { name: 'town-meadow' as const, what: 'without a zone', change: withoutZones, exits: 1 },
  ])('$name, $what: is a button with a sentence and ways to fields', async ({ name, change, exits }) => {
    const { advice, cells, figures } = await advised(name, change);
    const best = advice.headings.slice(0, 4);
    const runs = best.length + (best.length > 0 && !best.some(({ intoWind }) => intoWind) ? 1 : 0);
    const numbers = cells.filter(({ text }) => /\d|–/.test(text));
    for (const { text, figure } of numbers) expect(figure, `"${text}" says nothing`).not.toBeNull();
    expect(name === 'salt-plain' ? [0] : [4, 5]).toContain(runs);
    expect(numbers.length).toBe(4 * (exits + runs));
    expect(figures.size, 'no two numbers share a key').toBe(numbers.length);
    for (const [key, { text, sentence, title, inputs, key: told }] of figures) {
      expect(told).toBe(key);
      expect(title).not.toBe('');
      expect(sentence).toMatch(/^[A-Z\d].{15,}\.$/);
      expect(sentence, key).not.toMatch(/NaN|undefined|null|Infinity/);
      for (const { field, value } of inputs) expect(`${field} ${value}`).toMatch(/^\S+ \S/);
      for (const { field } of inputs) expect(field).toMatch(FIELD);
      // A missing value says why, in the cell and in the sentence.
      if (text.startsWith('–')) expect(sentence).toBe(`There is no value: ${/^–: ([^;]+);/.exec(text)?.[1] ?? '?'}.`);
      // What is counted is what is shown.
      const counted = /^(\d+) of (\d+) drawn descents come down/.exec(sentence);
      if (counted !== null) {
        const percent = (100 * Number(counted[1])) / Number(counted[2]);
        const shown = /^(\d+)\u202f%/.exec(text);
        if (shown === null) expect(text).toMatch(/^under 1\u202f%|^over 99\u202f%/);
        // At an end of the window what is flown nearby is moved on, and no whole count any more.
        else expect(Math.abs(Number(shown[1]) - percent), text).toBeLessThanOrEqual(0.5 + 100 / Number(counted[2]));
        // A part of the sample at an end of the window and from anywhere; all of it, if no more than 500, elsewhere.
        const parts = { 'window opens': 2, 'window closes': 2, 'best anywhere': 4 } as const;
        const part = Object.entries(parts).find(([name]) => key.includes(name))?.[1] ?? 1;
        expect(Number(counted[2])).toBe(MEMBERS / part);
      }
    }
  });
});

describe('the sentence', () => {
  it('of a chance counts the drawn descents, as the spread of the same descents does', async () => {
    const { advice, of } = await advised('salt-plain');
    const share = advice.statistics?.inZone[advice.zone ?? ''];
    const hits = Number(/^(\d+) of 400/.exec(of('exit/as planned/in zone').sentence)?.[1]);
    // Degrees are metres by a constant there, to a metre: one landing in 400 may lie on the zone's edge.
    expect(Math.abs(hits - MEMBERS * (share?.p ?? NaN))).toBeLessThanOrEqual(1);
    expect(of('exit/as planned/in zone').sentence).not.toContain('moved');
    expect(of('exit/window opens/in zone').sentence).toContain('flown from within seconds of this exit');
    expect(of('exit/best on the line/in zone').sentence).toContain('flown from this exit');
    expect(of('exit/best anywhere/in zone').sentence).toContain('flown from this exit');
  });

  it('of a canopy that homes says that it is steered and for what, of one that drifts it does not', async () => {
    const { of } = await advised('town-meadow');
    expect(of('exit/window opens/in zone').sentence).toContain('its canopy steered to Mill Meadow');
    const homing = of('exit/best anywhere/in zone');
    expect(homing.sentence).toContain('its canopy steered to Mill Meadow');
    expect(homing.inputs.map(({ field }) => field)).toContain('canopy.zone');
    const drifting = (await advised('salt-plain')).of('exit/best anywhere/in zone');
    expect(drifting.sentence).not.toContain('steered');
    expect(drifting.inputs.map(({ field }) => field)).not.toContain('canopy.zone');
  });

  it('of the window’s ends has the moments of the advice, the limits, and how near the exits are asked', async () => {
    const { advice, of } = await advised('salt-plain', (plan) => ({
      ...plan,
      limits: { ...plan.limits, zoneProbability: 0.55 },
    }));
    const { window } = advice.exits;
    for (const [end, time_s] of [
      ['opens', window?.opens_s],
      ['closes', window?.closes_s],
    ] as const) {
      const moment = new Date(1000 * Math.round(time_s ?? NaN)).toISOString().slice(11, 19);
      const { sentence, inputs } = of(`exit/window ${end}/time`);
      expect(sentence).toContain(`The window ${end} at ${moment}Z`);
      // Where the limit is met, rather too near to the best than too far; 200 descents tell a share of 55 % to 3.5 %.
      const share = Number(/^\d+/.exec(of(`exit/window ${end}/in zone`).text)?.[0]);
      expect(share).toBeGreaterThanOrEqual(48);
      expect(share).toBeLessThanOrEqual(70);
      expect(sentence).toContain('at least 55\u202f%');
      // The float's 40 min in steps of 10 s are 241 points, thinned to at most 121 exits: every second one.
      expect(sentence).toContain('one every 20\u202fs');
      expect(inputs.map(({ field }) => field)).toContain('limits.zoneProbability');
    }
  });

  it('of how long a heading is good for counts its moments, four seconds each', async () => {
    const { advice, of } = await advised('town-meadow');
    const into = advice.headings.find((one) => one.intoWind);
    const { sentence, text } = of('run/into the wind/good for');
    expect(text).toMatch(new RegExp(`^${into?.goodFor_s ?? NaN}\u202fs`));
    expect(sentence).toMatch(new RegExp(`^${(into?.goodFor_s ?? NaN) / 4} moments`));
  });

  it('of the best place has its distance from the planned exit, in the units of the switch', async () => {
    const { advice, of } = await advised('salt-plain');
    expect(advice.anywhere?.away_m).toBeGreaterThan(0);
    expect(of('exit/best anywhere/place').sentence).toMatch(
      /It lies (less than 10\u202fm|[\d.]+\u202fk?m toward \d{3}°) from the planned exit\.$/,
    );
  });
});
