// The fits of the zones: every number of a zone's row is a button, the sentence of the fit adds up by hand to the
// number that stands there, and the rule that a part's sentence gives is the one that its score was made by (worked out
// here from the facts of the fit).
import { signal } from '@preact/signals';
import { h } from 'preact';
import { beforeAll, describe, expect, it } from 'vitest';
import { adviseOn } from '../../core/advice/advise.ts';
import { DEFAULT_WEIGHTS, SCORE_RULES, type FitPart, type ZoneFit } from '../../core/advice/zoneFit.ts';
import { Figure } from '../../renderer/panels/Figure.tsx';
import { rankedNow, ZoneRow } from '../../renderer/panels/Zones.tsx';
import { NumberField } from '../../renderer/parts/PlanField.tsx';
import { fitWhy } from '../../renderer/state/explaining/decideWhy.ts';
import type { Store } from '../../renderer/state/derived/store.ts';
import { demo, DEMOS } from '../demo.ts';
import { figuresIn, nodesOf, textOf } from './tree.ts';

const CLOSED = [NumberField];
const store = { provenance: signal(null), goal: signal(null) } as unknown as Store;
const fits = new Map<string, readonly ZoneFit[]>();

beforeAll(async () => {
  for (const name of DEMOS) {
    const { situation } = await demo(name);
    fits.set(
      name,
      rankedNow(adviseOn(situation, { members: 200, seed: 1 }).advice.zones, situation.mission.zoneWeights),
    );
  }
});

const rowOf = (fit: ZoneFit) => h(ZoneRow, { store, fit, rank: 1, count: 2, open: true, onOpen: () => undefined });

/**
 * Numbers of a row with what they say; the ones in prose are reasons of parts, whose scores are numbers of their own.
 */
const figuresOfRow = (fit: ZoneFit) => figuresIn(rowOf(fit), CLOSED);

const scoreOf = (fit: ZoneFit, part: FitPart): number => fit.parts.find((one) => one.part === part)?.score ?? NaN;
const kept = (x: number): number => Math.min(1, Math.max(0, x));

describe('a zone’s row', () => {
  it.each(DEMOS)('has the fit and every score as a button that says how it came about, %s', (name) => {
    for (const fit of fits.get(name) ?? []) {
      const figures = figuresOfRow(fit);
      expect(figures.map(({ of }) => of)).toEqual([
        `fit/${fit.zone.name}`,
        ...fit.parts.map(({ part }) => `fit/${fit.zone.name}/${part}`),
      ]);
      for (const { of, key, text, sentence, inputs } of figures) {
        expect(key).toBe(of);
        expect(text, 'the name says of what').toContain(fit.zone.name);
        expect(sentence).toMatch(/^[A-Z\d].{15,}\.$/);
        expect(sentence).not.toMatch(/NaN|undefined|null|Infinity/);
        expect(inputs.length).toBeGreaterThan(0);
        for (const { field, value } of inputs) expect(`${field} ${value}`).toMatch(/^zones\.weight\.\w+ \d/);
      }
      // No number stands in a cell or in the heading without being a button or a field.
      const loose = [...nodesOf(rowOf(fit), [...CLOSED, Figure])].filter(
        ({ type }) => type === 'td' || type === 'header',
      );
      for (const node of loose) {
        const reason =
          fit.parts.map((one) => one.reason).find((one) => textOf(node, [...CLOSED, Figure]).includes(one)) ?? '';
        const text = textOf(node, [...CLOSED, Figure])
          .replaceAll(fit.zone.name, '')
          .replace(reason, '');
        // The heading has the place in the list.
        expect(node.type === 'header' ? text.replace(/^1/, '') : text).not.toMatch(/\d/);
      }
    }
  });

  it.each(DEMOS)('adds up: scores times weights, divided by the weights, is the fit, %s', (name) => {
    for (const fit of fits.get(name) ?? []) {
      const [why] = figuresOfRow(fit);
      const terms = [...(why?.sentence ?? '').matchAll(/([a-z]+) (\d\.\d\d)\u202f×\u202f(\d+(?:\.\d+)?)/g)];
      expect(new Set(terms.map(([, part]) => part))).toEqual(new Set(fit.parts.map(({ part }) => part)));
      const product = terms.reduce((sum, [, , score, weight]) => sum + Number(score) * Number(weight), 0);
      const total = terms.reduce((sum, [, , , weight]) => sum + Number(weight), 0);
      const shown = Number(/^\d+/.exec(why?.text ?? '')?.[0]);
      // Each score is rounded to a hundredth, the fit to one of 100.
      expect(Math.abs((100 * product) / total - shown)).toBeLessThanOrEqual(1);
      expect(why?.sentence).toContain(`of ${total.toFixed(2)} were every score 1: ${shown} of 100`);
    }
  });
});

describe('the fit’s sentence', () => {
  it('has the weights of the plan, typed this moment, and says where none counts', () => {
    const [fit] = rankedNow(fits.get('salt-plain') ?? [], { access: 4.25 });
    if (fit === undefined) throw new Error('the demo has zones');
    expect(fitWhy(fit, 1, 3).inputs).toContainEqual({
      label: 'weight of access',
      value: '4.25',
      field: 'zones.weight.access',
    });
    const nothing = Object.fromEntries(Object.keys(DEFAULT_WEIGHTS).map((part) => [part, 0]));
    const [none] = rankedNow(fits.get('salt-plain') ?? [], nothing);
    if (none === undefined) throw new Error('the demo has zones');
    expect(fitWhy(none, 1, 3).sentence).toMatch(/^Every weight is 0, so no part counts and the fit is 0\./);
  });
});

describe('the rule of a score', () => {
  it('is the one it was made by', () => {
    // One number of each rule, read out of its words.
    const numberIn = (part: FitPart, words: RegExp): number => Number(words.exec(SCORE_RULES[part])?.[1]);
    for (const fit of [...fits.values()].flat()) {
      const runIn_m = numberIn('size', /over (\d+)/);
      expect(scoreOf(fit, 'size')).toBeCloseTo(Math.min(1, fit.runIn_m / runIn_m), 9);
      const margin = Number(
        /^([\d\u202f]+)m? of reach/
          .exec(fit.parts.find((one) => one.part === 'reach')?.reason ?? '')?.[1]
          ?.replaceAll('\u202f', ''),
      );
      const edge_m = numberIn('reach', /from (\d+)/);
      if (!Number.isNaN(margin)) expect(scoreOf(fit, 'reach')).toBeCloseTo(kept(0.5 + (0.5 * margin) / edge_m), 2);
      if (fit.road_m !== null) {
        expect(scoreOf(fit, 'access')).toBeCloseTo(
          kept(1 - fit.road_m / (1000 * numberIn('access', /from (\d+)\u202fkm/))),
          9,
        );
      }
      if (fit.lightAtArrival.kind === 'day') {
        const minutes = numberIn('light', /over (\d+)/);
        expect(scoreOf(fit, 'light')).toBeCloseTo(kept(fit.lightAtArrival.toSunset_s / 60 / minutes), 9);
      }
      if (fit.ground !== null) {
        const { overLimit, slope_deg_mean } = fit.ground;
        expect(SCORE_RULES.ground).toContain('1 less three times the share steeper');
        expect(scoreOf(fit, 'ground')).toBeCloseTo(kept(1 - 3 * overLimit) * kept(1.2 - slope_deg_mean / 15), 9);
      }
    }
  });
});
