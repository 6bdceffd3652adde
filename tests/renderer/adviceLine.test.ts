// The line that is always in view: its words are one text, as they are read out; whatever number stands in it can be
// selected, is named by its own words, and says what the same number says in its panel. Read as the tree that the
// component answers, without a page.
import { signal } from '@preact/signals';
import * as turf from '@turf/turf';
import { h, type VNode } from 'preact';
import { beforeAll, describe, expect, it } from 'vitest';
import { chanceWords } from '../../core/words/numbers.ts';
import { adviseOn, type Advice } from '../../core/advice/advise.ts';
import { limitSentence } from '../../core/advice/limits.ts';
import { expectedOf } from '../../core/mission/expected.ts';
import type { Mission } from '../../core/plan/schema.ts';
import { whereOf } from '../../core/recovery/where.ts';
import { ExitsSection } from '../../renderer/panels/Exits.tsx';
import { limitWhy } from '../../renderer/state/explaining/decideWhy.ts';
import type { Store } from '../../renderer/state/derived/store.ts';
import { AdviceLine } from '../../renderer/strip/AdviceLine.tsx';
import { countDownWords } from '../../renderer/strip/CountDown.tsx';
import { demo, DEMOS } from '../demo.ts';
import { figuresIn, nodesOf, textOf } from './tree.ts';

type Node = VNode<Record<string, unknown>>;

interface Demo {
  readonly advice: Advice;
  readonly mission: Mission;
  readonly store: Store;
}

const demos = new Map<string, Demo>();

function storeOf({ advice, mission }: Pick<Demo, 'advice' | 'mission'>, rest: object): Store {
  const store = {
    mission: signal(mission),
    decision: { advice: signal({ advice }) },
    verdict: signal({ kind: 'current', answer: { advice }, rough: false }),
    units: signal({ length: 'm', speed: 'm/s', height: 'MSL', time: 'UTC' }),
    view: { units: signal({ length: 'm', speed: 'm/s', height: 'MSL', time: 'UTC' }), panel: signal('Crews') },
    provenance: signal(null),
    reports: { moves: signal([]) },
    world: signal(null),
    expected: signal(null),
    shown_s: signal(advice.at_s),
    ...rest,
  };
  return store as unknown as Store;
}

beforeAll(async () => {
  for (const name of DEMOS) {
    const { situation } = await demo(name);
    const { mission } = situation;
    const { advice, outlook } = adviseOn(situation, { members: 200, seed: 1 });
    const { prediction } = outlook;
    if (prediction.landing === null) throw new Error('the demos land');
    const where = whereOf(prediction.landing.position, mission.landingZones ?? []);
    const rest = {
      prediction: signal(prediction),
      expected: signal(expectedOf(situation)),
      where: signal(where),
      shore: signal(null),
    };
    demos.set(name, { advice, mission, store: storeOf({ advice, mission }, rest) });
  }
});

function held(name: (typeof DEMOS)[number]): Demo {
  const found = demos.get(name);
  if (found === undefined) throw new Error(`no demo ${name}`);
  found.store.view.panel.value = 'Crews';
  found.store.provenance.value = null;
  return found;
}

const line = (store: Store): Node[] => [...nodesOf(h(AdviceLine, { store }))];
const told = (store: Store): Node[] => line(store).filter(({ props }) => props['role'] === 'button');
const byKey = (store: Store, key: string): Node => {
  const found = told(store).find(({ props }) => props['data-told'] === key);
  if (found === undefined)
    throw new Error(
      `nothing is told of ${key} in "${told(store)
        .map((one) => textOf(one))
        .join('", "')}"`,
    );
  return found;
};
const press = (node: Node, key: string): boolean => {
  let kept = true;
  const event = { key, repeat: false, preventDefault: () => (kept = false) };
  (node.props['onKeyDown'] as (event: object) => void)(event);
  return kept;
};

/** Sentences of the exits' table by the keys of its numbers. */
function exitSentences({ store, mission }: Demo): Map<string, string> {
  return new Map(figuresIn(ExitsSection({ store, mission })).map(({ key, sentence }) => [key, sentence]));
}

describe('the advice line', () => {
  it.each(DEMOS)(
    'has no number that cannot be selected, and no name that does not begin with what is seen, %s',
    (name) => {
      const { store, advice } = held(name);
      for (const id of ['advice-line', 'advice-reasons']) {
        const [span] = line(store).filter(({ props }) => props['id'] === id);
        if (span === undefined) throw new Error(`no ${id}`);
        const loose = [span.props['children']].flat(9).filter((part) => typeof part === 'string');
        expect(loose.join('|').replaceAll(advice.zone ?? '', '')).not.toMatch(/\d/);
      }
      expect(told(store).length).toBeGreaterThanOrEqual(3);
      for (const { props, ...node } of told(store)) {
        const words = textOf({ props, ...node });
        expect(props['aria-label'] ?? words).toContain(words);
        expect(props['tabIndex']).toBe(0);
        expect(props['aria-expanded']).toBe(false);
        expect(String(props['aria-description'])).toMatch(/\w/);
      }
    },
  );

  it.each(DEMOS)('is read out once, in the words that are seen, %s', (name) => {
    const { store } = held(name);
    const all = line(store);
    const live = all.filter(({ props }) => props['role'] === 'status' || props['aria-live'] !== undefined);
    expect(live.length).toBe(1);
    expect(all.filter(({ props }) => JSON.stringify(props['class'] ?? '').includes('said'))).toEqual([]);
    // A name of its own would be read out in place of the words: only where they would not be understood alone.
    const named = told(store).filter(({ props }) => props['aria-label'] !== undefined);
    expect(named.map(({ props }) => props['aria-label'])).toEqual(named.map((node) => `exit window ${textOf(node)}`));
    expect(named.length).toBeLessThanOrEqual(1);
  });

  it.each(DEMOS)('says of exits and chance what their table says, in the panel of the table, %s', (name) => {
    const demo = held(name);
    const { store } = demo;
    const sentences = exitSentences(demo);
    const keys = told(store).flatMap(({ props }) =>
      String(props['data-told']).startsWith('exit/') ? [String(props['data-told'])] : [],
    );
    expect(keys.length).toBeGreaterThanOrEqual(1);
    // The chance beside the word is that of the exit that the word is about, not of a better one.
    expect(keys).toContain('exit/as planned/in zone');
    expect(keys.filter((key) => key.endsWith('/in zone'))).toHaveLength(1);
    const { zone, planned } = demo.advice;
    const p = planned?.inZone[zone ?? '']?.p ?? NaN;
    // The standard error of a share of n is √(p(1 − p)/n): a small sample says it where it shows.
    const off = Math.round(100 * Math.sqrt((p * (1 - p)) / demo.advice.drawn));
    const error = off > 0 && p <= 0.99 ? ` ± ${off}` : '';
    if (name === 'salt-plain') expect(error).not.toBe('');
    expect(textOf(byKey(store, 'exit/as planned/in zone'))).toBe(`${chanceWords(p)}${error} in ${zone}`);
    for (const key of keys) {
      store.view.panel.value = 'Crews';
      store.provenance.value = null;
      (byKey(store, key).props['onClick'] as () => void)();
      expect(store.view.panel.value).toBe('Zones');
      expect(store.provenance.value).toMatchObject({ key, sentence: sentences.get(key) });
      expect(byKey(store, key).props['aria-expanded']).toBe(true);
    }
  });

  it('names each limit that it names as a whole, and says of it what the limits’ table says', () => {
    const { store, mission, advice } = held('salt-plain');
    const broken = advice.limits.map((one) => ({ ...one, state: 'broken' as const }));
    const strict = storeOf(
      { mission, advice: { ...advice, because: broken } },
      { prediction: signal(null), where: signal(null), shore: signal(null) },
    );
    for (const one of broken) {
      const node = byKey(strict, `limit/${one.limit.name}`);
      // A limit that says in a sentence of its own what is wrong and what mends it is named by that sentence.
      const sentence = one.value.said === undefined ? one.limit.label : limitSentence(one, strict.units.value);
      expect(textOf(node).toLowerCase()).toContain(sentence.toLowerCase());
      press(node, 'Enter');
      expect(strict.view.panel.value).toBe('Zones');
      expect(strict.provenance.value).toEqual(limitWhy(one));
    }
    expect(store.provenance.value).toBeNull();
  });

  it('is selected by Enter and the space bar, closed by them again, and opened where its panel was not in front', () => {
    const { store } = held('salt-plain');
    const key = 'exit/as planned/in zone';
    expect(press(byKey(store, key), 'a')).toBe(true);
    expect(store.provenance.value).toBeNull();
    expect(press(byKey(store, key), ' ')).toBe(false);
    expect(store.provenance.value?.key).toBe(key);
    press(byKey(store, key), 'Enter');
    expect(store.provenance.value).toBeNull();
    press(byKey(store, key), 'Enter');
    store.view.panel.value = 'Crews';
    expect(byKey(store, key).props['aria-expanded']).toBe(false);
    press(byKey(store, key), 'Enter');
    expect(store.provenance.value?.key).toBe(key);
    expect(store.view.panel.value).toBe('Zones');
  });

  it('names a further reason by itself only where its value is known: what is not given says so', () => {
    const { mission, advice, store } = held('salt-plain');
    const limit = (name: string): Advice['limits'][number] => {
      const found = advice.limits.find((one) => one.limit.name === name);
      if (found === undefined) throw new Error(`the demo has the limit ${name}`);
      return found;
    };
    const over = { ...limit('surfaceWind_mps'), state: 'broken' as const };
    const unknown = {
      ...limit('gust_mps'),
      state: 'not given' as const,
      margin: null,
      value: { kind: 'not given' as const, why: 'no report of the ground wind names gusts' },
    };
    const chance = { ...limit('zoneProbability'), state: 'broken' as const };
    const because = [over, unknown, chance];
    const rest = { prediction: store.prediction, where: store.where, shore: store.shore };
    const [reasons] = line(storeOf({ mission, advice: { ...advice, word: 'HOLD', because } }, rest)).filter(
      ({ props }) => props['id'] === 'advice-reasons',
    );
    expect(textOf(reasons as Node)).toContain(
      '; also chance of the zone; gust not given: no report of the ground wind names gusts',
    );
  });

  it.each(DEMOS)('counts down to what its window names next, and ends with it, %s', (name) => {
    const { advice } = held(name);
    const { window, best } = advice.exits;
    if (window === null || best === null) throw new Error('the demos have a window');
    expect(countDownWords(advice, window.opens_s - 1004)).toBe('opens in 16:44');
    expect(countDownWords(advice, window.opens_s - 3671)).toBe('opens in 1:01:11');
    expect(countDownWords(advice, best.exit.time_s - 2)).toBe('best in 0:02');
    expect(countDownWords(advice, best.exit.time_s)).toMatch(/^closes in /);
    expect(countDownWords(advice, window.closes_s)).toBeNull();
    const closed = { ...advice, exits: { ...advice.exits, window: null } };
    expect(countDownWords(closed, (advice.planned?.exit.time_s ?? NaN) - 65)).toBe('planned exit in 1:05');
    expect(countDownWords(closed, (advice.planned?.exit.time_s ?? NaN) - 181 * 86_400)).toBe(
      'planned exit in 181 days',
    );
    const flying: Advice = { ...advice, word: 'IN FLIGHT', basis: 'From the exit in the log.', touchdown_s: 5000 };
    expect(countDownWords(flying, 4700)).toBe('touchdown in 5:00');
    expect(countDownWords({ ...flying, word: 'DOWN' }, 4700)).toBeNull();
  });

  it('says at GO where the exit lies from the zone and which way the aircraft runs in', () => {
    const { advice, mission, store } = held('town-meadow');
    const going = storeOf(
      { mission, advice: { ...advice, word: 'GO', because: [] } },
      { prediction: store.prediction, where: store.where, shore: store.shore },
    );
    const said = textOf(byKey(going, 'exit/as planned/place'));
    const [, km, from] =
      /^exit ([\d.]+)\u202fkm toward (\d{3})° \([a-z-]+\) from the middle of Mill Meadow, run/.exec(said) ?? [];
    // Turf's sphere and its centre of mass, a second way to the same place: 0.3 % of the ellipsoid's distance.
    const zone = mission.landingZones?.find(({ name }) => name === 'Mill Meadow');
    const exit = advice.planned?.exit;
    if (zone?.polygon === undefined || exit === undefined) throw new Error('the demo has both');
    const ring = zone.polygon.map(([lon, lat]) => [lon, lat]);
    const middle = turf.centerOfMass(turf.polygon([[...ring, ring[0] ?? []]]));
    const place = turf.point([exit.lon_deg, exit.lat_deg]);
    expect(Number(km)).toBeCloseTo(turf.distance(middle, place), 1);
    expect(Math.abs(Number(from) - ((turf.bearing(middle, place) + 360) % 360))).toBeLessThan(1.5);
    // The run is flown along the heading of the plan, or as the carrier's line says.
    const [east = NaN, north = NaN] = exit.velocity_mps ?? [];
    const course = Number(/run in toward (\d{3})° true$/.exec(said)?.[1]);
    const ahead = turf.destination(place, Math.hypot(east, north) / 1000, (Math.atan2(east, north) * 180) / Math.PI);
    expect(Math.abs(course - ((turf.bearing(place, ahead) + 360) % 360))).toBeLessThan(1);
    const holding = storeOf(
      { mission, advice: { ...advice, word: 'HOLD' } },
      { prediction: store.prediction, where: store.where, shore: store.shore },
    );
    expect(told(holding).some(({ props }) => props['data-told'] === 'exit/as planned/place')).toBe(false);
  });

  it('leads in flight to the descent, and counts the descents that are left, from where they begin', () => {
    const { mission, advice, store } = held('salt-plain');
    const basis = 'From the exit in the log, 07:41Z.';
    const exits = { ...advice.exits, window: null, best: null, options: [] };
    const flying: Advice = { ...advice, word: 'IN FLIGHT', basis, exits };
    const flight = storeOf(
      { mission, advice: flying },
      { prediction: store.prediction, where: store.where, shore: store.shore },
    );
    const p = advice.planned?.inZone[advice.zone ?? '']?.p ?? NaN;
    press(byKey(flight, `share/${advice.zone}`), 'Enter');
    expect(flight.view.panel.value).toBe('Descent');
    expect(flight.provenance.value?.sentence).toMatch(
      new RegExp(`^${Math.round(200 * p)} of 200 drawn descents come down there, ± `),
    );
    expect(flight.provenance.value?.sentence).toContain(basis);
    expect(flight.provenance.value?.sentence).not.toContain('planned exit');
    press(byKey(flight, 'touchdown'), 'Enter');
    expect(flight.provenance.value).toMatchObject({ key: 'touchdown', title: 'Touchdown' });
    expect(told(flight).some(({ props }) => String(props['data-told']).startsWith('exit/'))).toBe(false);
  });
});
