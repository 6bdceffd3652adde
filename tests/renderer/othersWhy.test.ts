// What else comes down, and an exit on the way up: whatever number stands there can be selected, and its sentence has
// the figures that make it: moments and lengths of time add up, across and upright make the distance, and positions lie
// as far apart as is said.
import { membersBeside } from '../../core/mission/caseOutlooks.ts';
import { signal } from '@preact/signals';
import { h } from 'preact';
import { beforeAll, describe, expect, it } from 'vitest';
import { expectedOf } from '../../core/mission/expected.ts';
import { inverse } from '../../core/earth/geodesic.ts';
import { readPosition } from '../../core/earth/grid.ts';
import type { Situation } from '../../core/mission/situation.ts';
import { momentOf } from '../work/moments.ts';
import { Moment } from '../../core/work/moment.ts';
import { RecoveryBench, type RecoveryAnswer } from '../../core/work/recoveryWork.ts';
import { toEnd } from '../../core/base/steps.ts';
import { AscentSection } from '../../renderer/panels/Ascent.tsx';
import { Figure } from '../../renderer/panels/Figure.tsx';
import { Others } from '../../renderer/panels/Others.tsx';
import { bodyWhy, type FallingBody } from '../../renderer/state/explaining/othersWhy.ts';
import type { Store } from '../../renderer/state/derived/store.ts';
import type { Provenance } from '../../renderer/state/stored/tellers.ts';
import type { LineTold } from '../../renderer/strip/LineWords.tsx';
import type { Units } from '../../core/words/numbers.ts';
import { demo } from '../demo.ts';
import { figuresOf, nodesOf, textOf } from './tree.ts';

const MEMBERS = 120;
const units: Units = { length: 'm', speed: 'm/s', height: 'MSL', time: 'UTC' };

let situation: Situation;
let answer: RecoveryAnswer;

beforeAll(async () => {
  const opened = await demo('salt-plain');
  situation = opened.situation;
  const { mission, log, world } = opened.loaded;
  const moment = new Moment(momentOf({ mission, log, at_s: situation.at_s, world }));
  answer = toEnd(new RecoveryBench().recovery(moment, MEMBERS));
});

function storeOf(here: Situation = situation): Store {
  const expected = expectedOf(here);
  const store = {
    mission: signal(here.mission),
    situation: signal(here),
    world: signal(here.world),
    expected: signal(expected),
    prediction: signal(expected.outlook.prediction),
    recovery: { answer: signal(answer), ascent_m: signal<number | null>(null) },
    decision: { advice: signal(null) },
    units: signal(units),
    view: { units: signal(units), panel: signal('Cases') },
    shown_s: signal(here.at_s),
    provenance: signal(null),
    goal: signal(null),
  };
  return store as unknown as Store;
}

const plain = ({ sentence, inputs }: Provenance): void => {
  expect(sentence).toMatch(/^[A-Z\d].{15,}[.!?]$/);
  expect(sentence).not.toMatch(/NaN|undefined|null|Infinity/);
  for (const { field, value } of inputs) expect(`${field} ${value}`).toMatch(/^\S+ \S/);
};
const clocks = (words: string): number[] =>
  [...words.matchAll(/(\d\d):(\d\d):(\d\d)Z/g)].map(
    ([, hh, mm, ss]) => Number(hh) * 3600 + Number(mm) * 60 + Number(ss),
  );
const length_s = (words: string): number =>
  [...words.matchAll(/(\d+)\u202f(h|min|s)(?![\w/])/g)].reduce(
    (sum, [, n, unit]) => sum + Number(n) * (unit === 'h' ? 3600 : unit === 'min' ? 60 : 1),
    0,
  );
/** Metres; lengths across are rounded to 10 m or 0.1 km. */
const metres = (words: string): number => {
  const [, digits = '', unit] = /([\d.\u202f]+?)\u202f(k?m)(?!\w)/.exec(words) ?? [];
  return Number(digits.replaceAll('\u202f', '')) * (unit === 'km' ? 1000 : 1);
};

describe('what else comes down', () => {
  const others = (here?: Situation) => figuresOf(h(Others, { store: storeOf(here) }));

  it('has no number that says nothing', () => {
    const figures = others();
    const falling = answer.bodies.filter((one) => one.kind === 'falls');
    expect(falling.length).toBe(2);
    expect(figures.size).toBe(3 * falling.length + answer.separations.length * 3);
    for (const [key, figure] of figures) {
      expect(figure.key).toBe(key);
      plain(figure);
    }
    const tree = h(Others, { store: storeOf() });
    const loose = [...nodesOf(tree, [Figure])].filter(({ type }) => type === 'td' || type === 'figcaption');
    expect(loose.map((node) => textOf(node, [Figure])).join('|')).not.toMatch(/\d/);
  });

  it('is released so long after the exit, and down so long after that', () => {
    const figures = others();
    for (const name of ['gondola', 'envelope']) {
      const [released, down] = [figures.get(`body/${name}/released`), figures.get(`body/${name}/down`)];
      const [exit = NaN] = clocks(released?.sentence ?? '');
      const [shown = NaN] = clocks(released?.text ?? '');
      expect(exit).toBe(clocks(situation.mission.exit.time.replace(/.*T/, ''))[0]);
      const after = length_s(/^(.+?) after the planned exit/.exec(released?.sentence ?? '')?.[1] ?? '');
      expect(exit + after).toBe(shown);
      const [from = NaN] = clocks(down?.sentence ?? '');
      expect(from).toBe(shown);
      const fall = /, and (.+?) down to/.exec(down?.sentence ?? '')?.[1] ?? '';
      expect(Math.abs(from + length_s(fall) - (clocks(down?.text ?? '')[0] ?? NaN))).toBeLessThanOrEqual(
        fall.includes('h') ? 60 : 1.5,
      );
      expect(released?.inputs.map(({ field }) => field)).toEqual(['exit.time']);
      const size = figures.get(`body/${name}/size`);
      const drawn = Number(/covariance of (\d+) drawn/.exec(size?.sentence ?? '')?.[1]);
      expect(drawn).toBeGreaterThan(0.9 * membersBeside(MEMBERS));
      expect(drawn).toBeLessThanOrEqual(membersBeside(MEMBERS));
    }
  });

  it('says where the log or the plan has the release of its own', () => {
    const body = answer.bodies.find((one): one is FallingBody => one.kind === 'falls');
    if (body === undefined) throw new Error('the demo has a gondola');
    const { mission, world } = situation;
    const of = { mission, marks: situation.state.marks, world, units };
    const mark = { time_s: body.release.time_s, position: body.release.position, height_m: body.release.height_m };
    const logged = bodyWhy(
      { ...of, marks: new Map([['release', mark]]) as unknown as typeof of.marks },
      body,
      'released',
    );
    expect(logged.sentence).toMatch(/^The time of the release that is in the log\. .* as the log has it\.$/);
    expect(logged.inputs).toEqual([]);
    const left = { time_s: Date.parse(mission.exit.time) / 1000 + 61 };
    const flown = bodyWhy({ ...of, marks: new Map([['exit', left]]) as unknown as typeof of.marks }, body, 'released');
    expect(flown.sentence).toContain('after the exit in the log');
    expect((clocks(flown.sentence)[0] ?? NaN) - (clocks(bodyWhy(of, body, 'released').sentence)[0] ?? NaN)).toBe(61);
    if (mission.gondola === undefined) throw new Error('the demo has a gondola');
    const timed = { ...mission, gondola: { ...mission.gondola, release: { time: '2026-03-14T08:00:00Z' } } };
    expect(bodyWhy({ ...of, mission: timed }, body, 'released').sentence).toMatch(
      /^The time of the release that the plan gives\./,
    );
    const { release: _release, ...bare } = mission.gondola;
    expect(bodyWhy({ ...of, mission: { ...mission, gondola: bare } }, body, 'released').sentence).toMatch(
      /^5\u202fmin after .* as the plan names none\./,
    );
  });

  it('comes as near as across and upright make it, while both are in the air', () => {
    const figures = others();
    let met = 0;
    for (const { name, separation } of answer.separations) {
      for (const column of ['air', 'canopy']) {
        const figure = figures.get(`apart/${name}/${column}`);
        if (figure === undefined) continue;
        met++;
        const [, across = '', up = '', straight = ''] =
          /: (.+?) across, the \w+ (.+?) (?:above|below) the jumper, together (.+?) in a straight line/.exec(
            figure.sentence,
          ) ?? [];
        // A kilometre and more is said to 0.1 km.
        expect(Math.abs(Math.hypot(metres(across), metres(up)) - metres(straight))).toBeLessThanOrEqual(
          metres(straight) < 1000 ? 12 : 110,
        );
        expect(figure.text).toContain(straight);
        const [then = NaN, from = NaN, to = NaN] = clocks(figure.sentence);
        expect(then).toBeGreaterThanOrEqual(from);
        expect(then).toBeLessThanOrEqual(to);
      }
      const { landings } = separation;
      const ground = figures.get(`apart/${name}/ground`);
      const body = answer.bodies.find((one) => one.name === name);
      const planned = expectedOf(situation).outlook.prediction.landing;
      if (landings === null || body?.kind !== 'falls' || body.landing === null || planned === null)
        throw new Error('both land');
      const between = inverse(planned.position, body.landing.position);
      expect(
        Math.abs(Number(/toward (\d{3})°/.exec(ground?.sentence ?? '')?.[1]) - between.bearing_deg),
      ).toBeLessThanOrEqual(1);
      expect(Math.abs(metres(ground?.text ?? '') - between.distance_m)).toBeLessThanOrEqual(
        between.distance_m < 1000 ? 6 : 60,
      );
    }
    expect(met).toBeGreaterThanOrEqual(2);
  });
});

describe('an exit on the way up', () => {
  it('tells of its time, touchdown, distance and place, and of the balloon where it leaves', () => {
    const store = storeOf();
    // Above the balloon's last fix: an exit below it can no longer happen.
    store.recovery.ascent_m.value = 38_800;
    const words = [...nodesOf(h(AscentSection, { store }))].find(({ props }) => props['id'] === 'ascent-words');
    if (words === undefined) throw new Error('the demo has a balloon');
    const parts = [...nodesOf(words)].flatMap(({ props }) =>
      Array.isArray(props['parts']) ? (props['parts'] as { words: string; told?: LineTold }[]) : [],
    );
    expect(parts.map((part) => part.words).join('')).toBe(textOf(words));
    expect(
      parts
        .filter(({ told }) => told === undefined)
        .map((part) => part.words)
        .join('|'),
    ).not.toMatch(/\d/);
    const told = new Map(
      parts.flatMap((part) =>
        part.told === undefined
          ? []
          : [[part.told.key, { text: part.words, panel: part.told.panel, ...part.told.why() }] as const],
      ),
    );
    expect([...told.keys()]).toEqual(['ascent/time', 'ascent/touchdown', 'ascent/away', 'ascent/where']);
    for (const [key, one] of told) {
      expect(one.key).toBe(key);
      expect(one.panel).toBe('Cases');
      plain(one);
      expect(one.sentence).toContain('The balloon passes 38\u202f800\u202fm MSL on its way up');
      // Where and when the plan has its exit says nothing of this one.
      expect(one.inputs.map(({ field }) => field).join()).not.toContain('exit.');
      expect(one.inputs.length).toBeGreaterThan(0);
    }
    const [exit = NaN, down = NaN] = clocks(told.get('ascent/time')?.sentence ?? '');
    expect(Math.abs(down - exit - length_s(told.get('ascent/time')?.text ?? ''))).toBeLessThanOrEqual(1.5);
    expect(clocks(told.get('ascent/touchdown')?.text ?? '')).toEqual([down]);
    const away = told.get('ascent/away');
    const places = [...(away?.sentence ?? '').matchAll(/[\d.]+° [NS] [\d.]+° [EW]/g)].map(([place]) => {
      const { value } = readPosition(place);
      if (value === null) throw new Error(`"${place}" is a place`);
      return value;
    });
    const [planned, there] = places;
    if (planned === undefined || there === undefined) throw new Error('both places are named');
    const between = inverse(planned, there);
    expect(Math.abs(metres(away?.text ?? '') - between.distance_m)).toBeLessThanOrEqual(
      between.distance_m < 1000 ? 15 : 70,
    );
    expect(Math.abs(Number(/(\d{3})°$/.exec(away?.text ?? '')?.[1]) - between.bearing_deg)).toBeLessThanOrEqual(1);
  });
});
