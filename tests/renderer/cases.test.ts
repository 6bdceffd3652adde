// The cases' table: whatever number stands in it is a button or a field, and what the button says is what the core
// computed: times add up, counts make the share that is shown, distances are those of the cell. Read as the tree that
// the components answer, without a page.
import { signal } from '@preact/signals';
import { h } from 'preact';
import { beforeAll, describe, expect, it } from 'vitest';
import { recoveryOn, type Recovery } from '../../core/recovery/recovery.ts';
import { outlookOf } from '../../core/descent/outlook.ts';
import { scenarioOf } from '../../core/descent/scenario.ts';
import { carrierOf, casesOf, type FlightCase } from '../../core/mission/cases.ts';
import type { Mission } from '../../core/plan/schema.ts';
import { CaseRows } from '../../renderer/panels/Cases.tsx';
import { CaseSign } from '../../renderer/panels/CaseSign.tsx';
import { Figure } from '../../renderer/panels/Figure.tsx';
import { NumberField } from '../../renderer/parts/PlanField.tsx';
import { caseWhy } from '../../renderer/state/explaining/casesWhy.ts';
import type { Store } from '../../renderer/state/derived/store.ts';
import { demo, DEMOS } from '../demo.ts';
import { figuresOf, nodesOf, textOf } from './tree.ts';

const MEMBERS = 150;
/** Fields that the desk has. */
const FIELD = /^(exit\.(position|height|time)|body\.\w+|canopy\.\w+|winds|uncertainty\.[\w.]+|cases\.weight\..+)$/;
const units = { length: 'm', speed: 'm/s', height: 'MSL', time: 'UTC' } as const;

interface Demo {
  readonly recovery: Recovery;
  readonly mission: Mission;
}

const demos = new Map<string, Demo>();

beforeAll(async () => {
  for (const name of DEMOS) {
    const { situation } = await demo(name);
    const planned = outlookOf(scenarioOf(situation.mission, situation.world));
    const options = { members: MEMBERS, seed: 1, roads: null };
    demos.set(name, {
      recovery: recoveryOn(situation, { planned, carrier: carrierOf(situation) }, options),
      mission: situation.mission,
    });
  }
});

function held(name: (typeof DEMOS)[number]): Demo {
  const found = demos.get(name);
  if (found === undefined) throw new Error(`no demo ${name}`);
  return found;
}

/** Numbers of a case by their keys, and the words of its cells that belong to none. */
function caseOf({ recovery, mission }: Demo, one: FlightCase) {
  const store = {
    mission: signal(mission),
    plan: signal(mission),
    world: signal(null),
    recovery: { answer: signal({ stage: recovery.stage, basis: recovery.basis }) },
    units: signal(units),
    view: { units: signal(units) },
    provenance: signal(null),
    goal: signal(null),
  } as unknown as Store;
  const row = recovery.table.find((found) => found.case.name === one.name);
  const shown = row === undefined ? null : { row, ellipse90: null, track: [] };
  const tree = h(CaseRows, { store, mission, one, shown, on: true });
  const closed = [NumberField, CaseSign];
  const figures = figuresOf(tree, closed);
  const cells = [...nodesOf(tree, [...closed, Figure])].filter(({ type }) => type === 'td');
  return { row, figures, loose: cells.map((cell) => textOf(cell, [...closed, Figure])) };
}

const seconds = (clock: string): number => clock.split(':').reduce((sum, part) => 60 * sum + Number(part), 0);
const length_s = (words: string): number =>
  [...words.matchAll(/(\d+)\u202f(h|min|s)/g)].reduce(
    (sum, [, n, unit]) => sum + Number(n) * (unit === 'h' ? 3600 : unit === 'min' ? 60 : 1),
    0,
  );

describe('every number of the cases’ table', () => {
  it.each(DEMOS)('is a button with a sentence and ways to fields, or a field, %s', (name) => {
    const demo = held(name);
    let count = 0;
    for (const one of demo.recovery.cases) {
      const { row, figures, loose } = caseOf(demo, one);
      // A case that does not land says why, in words of its own.
      if (row?.kind !== 'lands') continue;
      expect(loose.join('|'), one.name).not.toMatch(/\d/);
      expect(figures.size).toBeGreaterThanOrEqual(5);
      for (const [key, { key: told, title, text, sentence, inputs }] of figures) {
        count++;
        expect(told).toBe(key);
        expect(`${text}${title}`, 'its name says of which case').toContain(one.name);
        expect(text).toContain(one.name);
        expect(sentence).toMatch(/^[A-Z\d].{15,}[.!?]$/);
        expect(sentence, key).not.toMatch(/NaN|undefined|null|Infinity/);
        expect(sentence, 'each case has its own sample').not.toContain('from the planned exit');
        expect(inputs.length).toBeGreaterThan(0);
        for (const { field, value } of inputs) expect(`${field} ${value}`).toMatch(/^\S.* \S/);
        for (const { field } of inputs) expect(field).toMatch(FIELD);
      }
    }
    expect(count).toBeGreaterThan(5 * 5);
  });

  it.each(DEMOS)('adds up: exit and time make the touchdown, counts make the share, %s', (name) => {
    const demo = held(name);
    let shares = 0;
    for (const one of demo.recovery.cases) {
      const { row, figures } = caseOf(demo, one);
      if (row?.kind !== 'lands') continue;
      const touchdown = figures.get(`case/${one.name}/touchdown`);
      const [, exit, time] =
        /^(\d\d:\d\d:\d\d)Z, the exit of this case, and (.+) down to the ground/.exec(touchdown?.sentence ?? '') ?? [];
      const shown = seconds((touchdown?.text ?? '').slice(0, 8));
      // Lengths from an hour on are said to the minute.
      const apart = Math.abs(shown - seconds(exit ?? '') - length_s(time ?? ''));
      expect(apart, one.name).toBeLessThanOrEqual((time ?? '').includes('h') ? 60 : 1.5);
      for (const [key, { text, sentence }] of figures) {
        if (!/\/(zone|hazard)\//.test(key)) continue;
        shares++;
        const [, hits, drawn] = /^(\d+) of (\d+) drawn descents of this case/.exec(sentence) ?? [];
        expect(Number(drawn)).toBeLessThanOrEqual(MEMBERS);
        const percent = Math.round((100 * Number(hits)) / Number(drawn));
        expect(text, key).toMatch(percent < 1 ? /under 1\u202f%/ : new RegExp(` ${percent}\u202f%`));
      }
      if (row.firstCrew !== null) {
        const crew = figures.get(`case/${one.name}/first crew`);
        const within = /within ([^,]+),/.exec(crew?.sentence ?? '')?.[1] ?? '?';
        expect(crew?.text).toContain(`${row.firstCrew.crew.name} first, in ${within}`);
      }
      if (row.where.kind !== 'inside' && one.kind !== 'as planned' && row.away_m >= 30) {
        const landing = figures.get(`case/${one.name}/landing`);
        const [, away, toward] = /It lies (.+) toward (\d{3}°)/.exec(landing?.sentence ?? '') ?? [];
        expect(landing?.text).toContain(`${away} ${toward}`);
      }
    }
    expect(shares).toBeGreaterThan(0);
  });
});

describe('the sentence of a case', () => {
  it('says what the case changes; after the exit, from where it is flown', () => {
    const { recovery, mission } = held('salt-plain');
    const late = recovery.table.find((row) => row.case.kind === 'late exit');
    if (late?.kind !== 'lands') throw new Error('the demo has a late exit');
    const before = { answer: recovery, mission, wind: null, units };
    expect(caseWhy(before, late, 'time').sentence).toContain(`The case: ${late.case.meaning}`);
    expect(caseWhy(before, late, 'touchdown').sentence).not.toContain(recovery.basis);
    const after = {
      ...before,
      answer: { stage: 'falling' as const, basis: 'The exit is in the log, 07:41:50Z; no fix since.' },
    };
    expect(caseWhy(after, late, 'touchdown').sentence).toContain('the moment from which this case is flown');
    expect(caseWhy(after, late, 'touchdown').sentence).toContain('The exit is in the log, 07:41:50Z');
  });

  it('of what it counts has its weight and the sum of all', () => {
    const { recovery, mission } = held('salt-plain');
    const heavy = { ...mission, cases: [{ name: 'Late exit', kind: 'late exit', weight: 0.24 }] };
    const { cases } = casesOf(heavy);
    const late = cases.find((one) => one.kind === 'late exit');
    if (late === undefined) throw new Error('the demo has a late exit');
    const { figures } = caseOf({ recovery, mission: heavy }, late);
    // The defaults add up to 1 where a plan allows every case; this one is raised by 0.2.
    const why = figures.get('case/Late exit/counts');
    expect(why?.sentence).toBe('Its weight, 24.0\u202f%, over the sum of the weights of all cases, 120.0\u202f%.');
    expect(why?.text).toContain('counts as 20\u202f%');
    expect(why?.inputs).toEqual([{ label: 'weight', value: '24.0\u202f%', field: 'cases.weight.late exit.Late exit' }]);
  });
});
