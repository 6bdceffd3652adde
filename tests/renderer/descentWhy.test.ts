// What is left to each limit, the quantiles of the drawn descents, and the landing's own numbers: each is a button, and
// its sentence has figures that make the number that stands there, worked out here in another way. Read as the tree
// that the components answer.
import { signal } from '@preact/signals';
import { h } from 'preact';
import { beforeAll, describe, expect, it } from 'vitest';
import { adviseOn, type Advised } from '../../core/advice/advise.ts';
import { expectedOf, type Expected } from '../../core/mission/expected.ts';
import type { Situation } from '../../core/mission/situation.ts';
import { Ground } from '../../core/earth/ground.ts';
import { RAD_PER_DEG } from '../../core/base/units.ts';
import { LandingPart, StagesPart } from '../../renderer/panels/Descent.tsx';
import { Figure } from '../../renderer/panels/Figure.tsx';
import { LimitsSection } from '../../renderer/panels/Limits.tsx';
import { QuantileTable } from '../../renderer/panels/Spread.tsx';
import { NumberField } from '../../renderer/parts/PlanField.tsx';
import { groundWhy } from '../../renderer/state/explaining/descentWhy.ts';
import type { Store } from '../../renderer/state/derived/store.ts';
import type { Units } from '../../core/words/numbers.ts';
import { demo, DEMOS } from '../demo.ts';
import { figuresOf, nodesOf, textOf } from './tree.ts';

const MEMBERS = 300;
const CLOSED = [NumberField];
const metres: Units = { length: 'm', speed: 'm/s', height: 'MSL', time: 'UTC' };
const FIELD = /^(exit\.(position|height|time)|body\.\w+|canopy\.\w+|winds|limits\.\w+|uncertainty\.[\w.]+)$/;

interface Demo {
  readonly situation: Situation;
  readonly advised: Advised;
  readonly expected: Expected;
}

const demos = new Map<string, Demo>();

beforeAll(async () => {
  for (const name of DEMOS) {
    const { situation } = await demo(name);
    demos.set(name, {
      situation,
      advised: adviseOn(situation, { members: MEMBERS, seed: 1 }),
      expected: expectedOf(situation),
    });
  }
});

function held(name: (typeof DEMOS)[number]): Demo {
  const found = demos.get(name);
  if (found === undefined) throw new Error(`no demo ${name}`);
  return found;
}

const storeOf = ({ situation, advised, expected }: Demo, units: Units = metres): Store =>
  ({
    decision: { advice: signal({ advice: advised.advice }) },
    units: signal(units),
    view: { units: signal(units) },
    provenance: signal(null),
    expected: signal(expected),
    outlook: signal(expected.outlook),
    world: signal(situation.world),
    verdict: signal({ kind: 'current' }),
  }) as unknown as Store;

const UNIT: Readonly<Record<string, number>> = { 'm/s': 1, kt: 1, '%': 1, min: 1, g: 1, heights: 1, m: 1, km: 1000 };

/** A value as it is read, and by how much its rounding may have moved it. */
function read(words: string): { readonly value: number; readonly off: number } {
  const [, minus, digits = '', decimals = '', unit = ''] =
    /(\u2212?)([\d\u202f]+?)(\.\d+)?[\u202f ](m\/s|kt|%|min|heights|g|km|m)(?![\w/])/.exec(words) ?? [];
  // A count has no unit.
  const [, count] = unit === '' ? (/(?:^|, )(\d+)(?= |$)/.exec(words) ?? []) : [];
  if (count !== undefined) return { value: Number(count), off: 0 };
  const factor = UNIT[unit] ?? NaN;
  const step = unit === 'm' ? 10 : 10 ** -Math.max(0, decimals.length - 1);
  const value = Number(`${digits.replaceAll('\u202f', '')}${decimals}`) * factor;
  return { value: minus === '' ? value : -value, off: (step * factor) / 2 };
}

const plain = (sentence: string): void => {
  expect(sentence).toMatch(/^[A-Z\d].{15,}[.!?]$/);
  expect(sentence).not.toMatch(/NaN|undefined|null|Infinity/);
};

describe('what is left to a limit', () => {
  const knots: Units = { ...metres, speed: 'kt' };
  it.each(DEMOS.flatMap((name) => [[name, metres] as const, [name, knots] as const]))(
    'is the limit less the value, or the other way round, %s',
    (name, units) => {
      const demo = held(name);
      const tree = LimitsSection({ store: storeOf(demo, units), mission: demo.situation.mission });
      const figures = figuresOf(tree, CLOSED);
      let known = 0;
      for (const { limit, value, margin } of demo.advised.advice.limits) {
        const left = figures.get(`limit/${limit.name}/left`);
        if (left === undefined) throw new Error(`nothing is told of what is left to ${limit.name}`);
        expect(left.key).toBe(`limit/${limit.name}/left`);
        expect(left.text).toContain(limit.label);
        expect(left.inputs[0]).toMatchObject({ field: `limits.${limit.name}` });
        for (const { field } of left.inputs) expect(field).toMatch(FIELD);
        plain(left.sentence);
        if (value.kind !== 'known' || margin === null) {
          expect(left.text).toMatch(/^–/);
          expect(left.sentence).toBe(`There is no value: ${value.kind === 'known' ? '' : value.why}.`);
          continue;
        }
        known++;
        const [, first = '', second = ''] = /^(.+), less (.+?); the value must stay/.exec(left.sentence) ?? [];
        expect(first).toMatch(limit.keep === 'below' ? /^The limit, / : /^The value now, /);
        const [a, b, shown] = [read(first), read(second), read(left.text)];
        expect(Math.abs(a.value - b.value - shown.value), `${left.text}: ${left.sentence}`).toBeLessThanOrEqual(
          a.off + b.off + shown.off + 1e-9,
        );
        expect(left.sentence.includes('limit is broken')).toBe(margin < 0);
      }
      expect(known).toBeGreaterThanOrEqual(6);
      // No number stands in a cell without being a button or a field; whose a limit is may name a paragraph.
      const loose = [...nodesOf(tree, [...CLOSED, Figure])].filter(
        ({ type, props }) => type === 'td' && !String(props['class']).includes('source'),
      );
      expect(loose.map((node) => textOf(node, [...CLOSED, Figure])).join('')).not.toMatch(/\d/);
    },
  );
});

/** Linear between neighbours in order, of what is a number. */
function quantile(column: Float64Array, share: number): number {
  const sorted = Array.from(column)
    .filter((x) => !Number.isNaN(x))
    .toSorted((a, b) => a - b);
  const at = share * (sorted.length - 1);
  const low = sorted[Math.floor(at)] ?? NaN;
  return low + (at - Math.floor(at)) * ((sorted[Math.ceil(at)] ?? NaN) - low);
}

const stopwatch = (words: string): number => words.split(':').reduce((sum, part) => 60 * sum + Number(part), 0);

describe('every quantile of the drawn descents', () => {
  it.each(DEMOS)('is a button whose sentence has the three of its row, %s', (name) => {
    const demo = held(name);
    const { advice, members } = demo.advised;
    const { statistics } = advice;
    if (statistics === null) throw new Error('the demos land');
    const tree = h(QuantileTable, { store: storeOf(demo), mission: demo.situation.mission, statistics });
    const figures = figuresOf(tree, CLOSED);
    const rows = [
      ['Touchdown after exit, min:s', members.time_s, stopwatch, 0.5],
      ['Speed over ground', members.groundSpeed_mps, (words: string) => read(words).value, 0.05],
      ['Sink', members.sink_mps, (words: string) => read(words).value, 0.05],
      ['Opening shock', members.shock_g, (words: string) => read(words).value, 0.05],
    ] as const;
    expect(figures.size).toBe(3 * rows.length);
    for (const [row, column, value, off] of rows) {
      const shares = { p05: 0.05, p50: 0.5, p95: 0.95 } as const;
      for (const which of ['p05', 'p50', 'p95'] as const) {
        const figure = figures.get(`quantile/${row}/${which}`);
        if (figure === undefined) throw new Error(`nothing is told of ${row}, ${which}`);
        expect(Math.abs(value(figure.text) - quantile(column, shares[which])), `${row} ${which}`).toBeLessThanOrEqual(
          off + 1e-9,
        );
        plain(figure.sentence);
        expect(figure.sentence).toContain(`Of ${MEMBERS} drawn descents from the planned exit`);
        for (const other of ['p05', 'p50', 'p95'] as const)
          expect(figure.sentence).toContain(`below ${figures.get(`quantile/${row}/${other}`)?.text}`);
        for (const { field } of figure.inputs) expect(field).toMatch(FIELD);
      }
      expect(figures.get(`quantile/${row}/p05`)?.title).toBe(`${row}, 5\u202f% are below it`);
    }
    const loose = [...nodesOf(tree, [Figure])].filter(({ type }) => type === 'td');
    expect(loose.map((node) => textOf(node, [Figure])).join('')).not.toMatch(/\d/);
  });

  it('counts the time from the exit where the descents begin at a fix', () => {
    const demo = held('salt-plain');
    const { statistics } = demo.advised.advice;
    if (statistics === null) throw new Error('the demo lands');
    const { outlook } = demo.expected;
    const exit = { ...outlook.scenario.exit, time_s: outlook.scenario.exit.time_s + 125 };
    const basis = 'From the fix of 07:44Z.';
    const flying: Expected = {
      ...demo.expected,
      basis,
      outlook: { ...outlook, scenario: { ...outlook.scenario, exit } },
    };
    const table = (expected: Expected) =>
      figuresOf(
        h(QuantileTable, { store: storeOf({ ...demo, expected }), mission: demo.situation.mission, statistics }),
      );
    const key = 'quantile/Touchdown after exit, min:s/p95';
    const [planned, later] = [table(demo.expected).get(key), table(flying).get(key)];
    expect(Math.abs(stopwatch(later?.text ?? '') - stopwatch(planned?.text ?? '') - 125)).toBeLessThanOrEqual(1);
    expect(later?.sentence).toContain(basis);
    expect(later?.sentence).not.toContain('planned exit');
  });
});

const seconds = (words: string): number =>
  [...words.matchAll(/(\d+)\u202f(h|min|s)/g)].reduce(
    (sum, [, n, unit]) => sum + Number(n) * (unit === 'h' ? 3600 : unit === 'min' ? 60 : 1),
    0,
  );

describe('the stages', () => {
  it.each(DEMOS)('each say from where to where, and what ends them: the track is at that height then, %s', (name) => {
    const demo = held(name);
    const { mission } = demo.situation;
    const { prediction } = demo.expected.outlook;
    const tree = h(StagesPart, { store: storeOf(demo), mission, prediction });
    const figures = figuresOf(tree, CLOSED);
    // One more: the head of the table.
    expect(figures.size).toBe(3 * prediction.stages.length + 1);
    const heightAt = (t_s: number): number => {
      const after = prediction.track.findIndex(([t]) => t >= t_s);
      const [a, b] = [prediction.track[after - 1], prediction.track[after]];
      return a === undefined || b === undefined ? NaN : a[3] + ((t_s - a[0]) / (b[0] - a[0])) * (b[3] - a[3]);
    };
    prediction.stages.forEach((stage, i) => {
      const of = (column: string) => {
        const found = figures.get(`stage/${i}/${column}`);
        if (found === undefined) throw new Error(`nothing is told of the stage ${stage.name}, ${column}`);
        return found;
      };
      const { sentence } = of('lasts');
      plain(sentence);
      const [, from = '', begin = '', to = '', end = ''] =
        /^Begins (.+?) after the exit at ([\d\u202f]+)\u202fm MSL, ends (.+?) after it at ([\d\u202f]+)\u202fm MSL, /.exec(
          sentence,
        ) ?? [];
      expect(Math.abs(seconds(to) - seconds(from) - seconds(of('lasts').text)), sentence).toBeLessThanOrEqual(1);
      expect(to).toBe(of('ends after').text);
      expect(of('ends at').text.startsWith(end), of('ends at').text).toBe(true);
      const next = figures.get(`stage/${i + 1}/lasts`);
      if (next !== undefined) expect(next.sentence).toContain(`Begins ${to} after the exit at ${end}`);
      // Within the second to which the time is said the body falls no farther than this.
      const fall_m = Math.abs(heightAt(Math.max(0, stage.end_s - 1)) - heightAt(stage.end_s)) + 10;
      if (next !== undefined)
        expect(Math.abs(heightAt(seconds(to)) - Number(end.replaceAll('\u202f', '')))).toBeLessThanOrEqual(fall_m);
      expect(Number(begin.replaceAll('\u202f', ''))).toBeGreaterThan(Number(end.replaceAll('\u202f', '')));
      const planned = mission.jumper.stages.findIndex((one) => one.name === stage.name);
      const before = planned >= 0 && planned < mission.jumper.stages.length - 1;
      // The fields of drag area and trigger are the last stage's.
      expect(of('lasts').inputs.some(({ field }) => field === 'body.drag')).toBe(!before);
      const until = mission.jumper.stages.find((one) => one.name === stage.name)?.until;
      if (until !== undefined && 'agl_m' in until)
        expect(sentence.replaceAll('\u202f', '')).toContain(`trigger is met: ${until.agl_m}m AGL;`);
    });
    expect(figures.get(`stage/${prediction.stages.length - 1}/lasts`)?.sentence).toContain('at the touchdown');
  });
});

describe('the landing’s own numbers', () => {
  const landingOf = (demo: Demo, expected: Expected = demo.expected, units = metres) => {
    const { prediction } = expected.outlook;
    const { mission } = demo.situation;
    return figuresOf(h(LandingPart, { store: storeOf({ ...demo, expected }, units), mission, prediction }));
  };
  it.each(DEMOS)('the time after the exit lies between the two moments that its sentence names, %s', (name) => {
    const figure = landingOf(held(name)).get('after exit');
    plain(figure?.sentence ?? '');
    const clocks = [...(figure?.sentence ?? '').matchAll(/(\d\d:\d\d:\d\d)Z/g)].map(([, words]) =>
      stopwatch(words ?? ''),
    );
    expect(clocks.length).toBe(2);
    const shown = figure?.text ?? '';
    expect(Math.abs((clocks[1] ?? NaN) - (clocks[0] ?? NaN) - seconds(shown))).toBeLessThanOrEqual(
      shown.includes('h') ? 60 : 1.5,
    );
    expect(clocks[1] ?? NaN).toBeCloseTo(
      stopwatch((landingOf(held(name)).get('touchdown')?.text ?? '').replace('Z', '')),
      9,
    );
    for (const { field } of figure?.inputs ?? []) expect(field).toMatch(FIELD);
    expect(figure?.inputs.map(({ field }) => field)).toContain('exit.time');
  });

  it('says of a descent from a fix what of the time is behind it, and of a touchdown in the log that it is there', () => {
    const demo = held('salt-plain');
    const { outlook } = demo.expected;
    const exit = { ...outlook.scenario.exit, time_s: outlook.scenario.exit.time_s + 125 };
    const flying: Expected = {
      ...demo.expected,
      from: 'fix',
      basis: 'From the fix.',
      outlook: { ...outlook, scenario: { ...outlook.scenario, exit } },
    };
    expect(landingOf(demo, flying).get('after exit')?.sentence).toMatch(
      /, 2\u202fmin\u202f05\u202fs of it before the moment from .+ From the fix\.$/,
    );
    const down: Expected = { ...demo.expected, from: 'touchdown', basis: 'The touchdown is in the log.' };
    expect(landingOf(demo, down).get('after exit')?.sentence).toContain('the touchdown is the one in the log');
    expect(landingOf(demo, down).get('ground')?.sentence).not.toContain('predicted path');
  });

  it.each(DEMOS)('the ground is the terrain’s at the landing, else the site’s, %s', (name) => {
    const demo = held(name);
    const { world, mission } = demo.situation;
    const { landing } = demo.expected.outlook.prediction;
    if (landing === null || world.ground.terrain === null) throw new Error('the demos land on terrain');
    const figure = landingOf(demo).get('ground');
    plain(figure?.sentence ?? '');
    const [lon, lat] = landing.position;
    const there_m = world.ground.heightAt(lat * RAD_PER_DEG, lon * RAD_PER_DEG);
    // The last step of the descent ends within a metre of the ground.
    expect(
      Math.abs(Number(/^[\d\u202f]+/.exec(figure?.text ?? '')?.[0].replaceAll('\u202f', '')) - there_m),
    ).toBeLessThanOrEqual(1.5);
    expect(figure?.text).toMatch(/ MSL$/);
    expect(figure?.sentence).toContain('terrain’s grid');
    const of = { mission, expected: demo.expected, landing, units: metres };
    const level = { ...world, ground: new Ground(mission.site.elevation_m, null) };
    expect(groundWhy({ ...of, world: level }).sentence).toContain('no terrain is loaded');
    const elsewhere = { ...landing, position: [lon + 90, lat] as const };
    expect(groundWhy({ ...of, landing: elsewhere, world }).sentence).toContain('lies outside the terrain');
  });
});
