// The crews' numbers: each time, the fuel, the way and the heights of the gates can be selected, and the sentence has
// what they are made of: the mission's own speeds and fuel, sums that come out, places that lie as far apart as is
// said. Read as the tree that is answered.
import { signal } from '@preact/signals';
import { h } from 'preact';
import { beforeAll, describe, expect, it } from 'vitest';
import { inverse } from '../../core/earth/geodesic.ts';
import { readPosition } from '../../core/earth/grid.ts';
import type { LogEvent } from '../../core/log/events.ts';
import type { Mission, Team } from '../../core/plan/schema.ts';
import type { Situation } from '../../core/mission/situation.ts';
import { momentOf } from '../work/moments.ts';
import { Moment } from '../../core/work/moment.ts';
import { RecoveryBench, type RecoveryAnswer } from '../../core/work/recoveryWork.ts';
import { toEnd } from '../../core/base/steps.ts';
import { CrewRows } from '../../renderer/panels/Crews.tsx';
import { Search } from '../../renderer/panels/Lost.tsx';
import { Figure } from '../../renderer/panels/Figure.tsx';
import { Field } from '../../renderer/parts/Field.tsx';
import { goToField } from '../../renderer/state/acting/actions.ts';
import type { Store } from '../../renderer/state/derived/store.ts';
import type { Units } from '../../core/words/numbers.ts';
import { demo } from '../demo.ts';
import { figuresOf, nodesOf, textOf } from './tree.ts';

const MEMBERS = 120;
const CLOSED = [Field];
const units: Units = { length: 'm', speed: 'm/s', height: 'MSL', time: 'UTC' };

let situation: Situation;
let answer: RecoveryAnswer;

beforeAll(async () => {
  ({ situation } = await demo('salt-plain'));
  answer = recovered([]);
});

function recovered(log: readonly LogEvent[], at_s: number = situation.at_s): RecoveryAnswer {
  const { mission, world } = situation;
  return toEnd(new RecoveryBench().recovery(new Moment(momentOf({ mission, log, at_s, world })), MEMBERS));
}

const teams = (mission: Mission = situation.mission): readonly Team[] => mission.teams ?? [];

function rowsOf(team: Team, from: RecoveryAnswer = answer, rest: object = {}) {
  const store = {
    mission: signal(situation.mission),
    recovery: {
      answer: signal(from),
      tried: signal(null),
      working: signal(null),
      openCrews: signal(new Set([team.name])),
      ...rest,
    },
    units: signal(units),
    view: { units: signal(units) },
    shown_s: signal(from.at_s),
    provenance: signal(null),
    goal: signal(null),
  } as unknown as Store;
  const shown = from.crews.find((one) => one.crew.name === team.name) ?? null;
  const tree = h(CrewRows, { store, mission: situation.mission, team, shown });
  const figures = figuresOf(tree, CLOSED);
  const told = (what: string) => {
    const found = figures.get(`crew/${team.name}/${what}`);
    if (found === undefined) throw new Error(`nothing is told of ${what} of ${team.name}`);
    return found;
  };
  return { tree, figures, told, shown };
}

const length_s = (words: string): number =>
  [...words.matchAll(/(\d+)\u202f(h|min|s)(?![\w/])/g)].reduce(
    (sum, [, n, unit]) => sum + Number(n) * (unit === 'h' ? 3600 : unit === 'min' ? 60 : 1),
    0,
  );

describe('the numbers of every crew', () => {
  it('say how they came about, each by its own key', () => {
    expect(teams().length).toBe(3);
    for (const team of teams()) {
      const { figures, tree } = rowsOf(team);
      expect(figures.size).toBeGreaterThanOrEqual(3);
      for (const [key, { key: told, title, sentence, inputs }] of figures) {
        expect(told).toBe(key);
        expect(title).toContain(team.name);
        expect(sentence).toMatch(/^[A-Z\d].{15,}[.!?]$/);
        expect(sentence, key).not.toMatch(/NaN|undefined|null|Infinity/);
        for (const { field, value } of inputs)
          expect(`${field} ${value}`).toMatch(/^(uncertainty\.\S+|crew\..+\.standby) \S/);
      }
      // The columns of times have no number that says nothing.
      const cells = [...nodesOf(tree, [...CLOSED, Figure])].filter(
        ({ type, props }) => type === 'td' && props['colSpan'] === undefined,
      );
      expect(cells.map((cell) => textOf(cell, [...CLOSED, Figure])).join('|')).not.toMatch(/\d/);
    }
  });

  it('have the two quantiles that stand there, and the mission’s speeds', () => {
    for (const team of teams()) {
      const { told } = rowsOf(team);
      const [p50, p95] = [told('p50'), told('p95')];
      for (const { sentence } of [p50, p95])
        expect(sentence).toContain(`half within ${p50.text} and 95\u202f% within ${p95.text}, counted`);
      expect(p50.sentence).toContain(`${team.speed_mps.toFixed(1)}\u202fm/s`);
      if (team.ready_s !== undefined)
        expect(length_s(/For each landing: ready (.+?) after the exit/.exec(p50.sentence)?.[1] ?? '')).toBe(
          team.ready_s,
        );
      const landings =
        team.serves === 'gondola' ? 'the drawn landings of the gondola' : /^Of \d+ drawn landings of the case “.+” it/;
      expect(p50.sentence).toMatch(landings);
      if (team.serves === 'gondola') continue;
      const planned = answer.cases.find(({ row }) => row.case.kind === 'as planned')?.row;
      if (planned?.kind !== 'lands') throw new Error('the plan lands');
      expect(p50.sentence).toContain(`Of ${planned.drawn} drawn landings of the case “${planned.case.name}”`);
      const all = told('all');
      const [, half = '', most = ''] = /half within (.+?) and 95\u202f% within (.+?), counted/.exec(all.sentence) ?? [];
      expect(all.text).toContain(`all cases ${half} (${most})`);
    }
  });

  it('make the time on scene of endurance, reserve and flight', () => {
    const flying = teams().filter(({ kind }) => kind === 'helicopter');
    expect(flying.length).toBeGreaterThan(0);
    for (const team of flying) {
      const { sentence, text } = rowsOf(team).told('fuel');
      const [, endurance = '', reserve = '', flown = ''] =
        /^Endurance by the plan, (.+?), less the reserve, (.+?)(?: \(.+?\))?, less (.+?) of flight/.exec(sentence) ??
        [];
      expect(length_s(endurance)).toBe(team.endurance_s);
      expect(length_s(reserve)).toBe(team.reserve_s ?? 1200);
      // Hours are said to the minute, cut off.
      const left = length_s(endurance) - length_s(reserve) - length_s(flown);
      expect(Math.abs(left - length_s(text) * (text.includes('short') ? -1 : 1)), sentence).toBeLessThanOrEqual(61);
    }
  });

  it('lead a helicopter’s way between places that lie so far apart, and stand its gates at one in eight', () => {
    const flying = teams().find(({ kind, serves }) => kind === 'helicopter' && serves !== 'gondola');
    if (flying === undefined) throw new Error('the demo has a helicopter');
    const { told, shown } = rowsOf(flying);
    const { text, sentence } = told('way');
    const [, from = '', to = ''] =
      /, ([^,]+?), to the predicted landing of the jumper, ([^:]+): by the hold/.exec(sentence) ?? [];
    const [a, b] = [readPosition(from).value, readPosition(to).value];
    if (a === null || b === null) throw new Error(`"${from}" and "${to}" are places`);
    const said = /^([\d.]+)\u202f(km|m)/.exec(text);
    const length_m = Number(said?.[1]) * (said?.[2] === 'km' ? 1000 : 1);
    // Round what is kept clear and by the gates: no shorter than the straight line, rounding aside.
    expect(length_m).toBeGreaterThanOrEqual(inverse(a, b).distance_m - (length_m < 1000 ? 30 : 80));
    const cruise = shown?.crew.cruise_agl_m ?? NaN;
    for (const [name, out_m] of [
      ['initial', 1600],
      ['final', 600],
      ['short final', 200],
    ] as const) {
      const gate = told(`gate/${name}`);
      expect(parseFloat(gate.text)).toBe(Math.min(cruise, Math.round(out_m / 8)));
      expect(gate.sentence).toContain(`one in 8 makes ${Math.round(out_m / 8)}\u202fm above the ground`);
    }
  });
});

describe('a crew that was heard', () => {
  it('is told to be where and when it was heard, and how long ago that is', () => {
    const team = teams().find(({ kind }) => kind === 'helicopter');
    if (team === undefined) throw new Error('the demo has a helicopter');
    const heard_s = situation.at_s - 420;
    const time = new Date(heard_s * 1000).toISOString();
    const [lon, lat] = team.position;
    const position: [number, number] = [lon + 0.02, lat];
    const log: readonly LogEvent[] = [{ seq: 1, at: time, kind: 'fix', body: team.name, position }];
    const { told } = rowsOf(team, recovered(log));
    const { sentence, text } = told('heard');
    expect(text).toBe('Last heard 7\u202fmin ago');
    expect(sentence).toContain(`${time.slice(11, 19)}Z`);
    expect(sentence).toMatch(/: 7\u202fmin later\.$/);
    expect(told('p50').sentence).toContain(`where it was last heard at ${time.slice(11, 19)}Z`);
    // Its standby does not count while it was heard somewhere else.
    expect(told('p50').inputs.map(({ field }) => field)).not.toContain(`crew.${team.name}.standby`);
    expect(
      rowsOf(team)
        .told('p50')
        .inputs.map(({ field }) => field),
    ).toContain(`crew.${team.name}.standby`);
  });
});

describe('the way to a crew’s place', () => {
  it('opens the crews’ panel and the details in which the field stands', () => {
    const view = { panel: signal('Descent') };
    const recovery = { openCrews: signal<ReadonlySet<string>>(new Set(['Other'])) };
    const store = { view, recovery, provenance: signal({ key: 'x' }), inputGroup: signal('exit') } as unknown as Store;
    try {
      goToField(store, 'crew.Kite 2.b.standby');
    } catch {
      // The caret goes into the field on a page alone.
    }
    expect(view.panel.value).toBe('Crews');
    expect([...recovery.openCrews.value]).toEqual(['Other', 'Kite 2.b']);
    expect(store.provenance.value).toBeNull();
  });
});

describe('the numbers of a search', () => {
  it('make the time of way and speed, and what it finds of sweep width, way and area', () => {
    const { search } = answer;
    if (search?.searcher == null) throw new Error('the demo has who can search');
    const store = {
      units: signal(units),
      view: { units: signal(units) },
      provenance: signal(null),
    } as unknown as Store;
    const told = figuresOf(h(Search, { store, search }));
    expect(told.size).toBe(3 * search.patterns.length);
    const figure = (name: string, column: string) => {
      const found = told.get(`search/${name}/${column}`);
      if (found === undefined) throw new Error(`nothing is told of ${column} of ${name}`);
      return found;
    };
    const first = (pattern: RegExp, words: string): number =>
      Number((pattern.exec(words)?.[1] ?? 'none').replaceAll('\u202f', ''));
    for (const { pattern } of search.patterns) {
      const [spacing, time, finds] = ['spacing', 'time', 'finds'].map((column) => figure(pattern.name, column));
      if (spacing === undefined || time === undefined || finds === undefined) throw new Error('three columns');
      expect(spacing.sentence).toContain(search.searcher.crew.name);
      const speed_mps = first(/([\d.]+)\u202fm\/s/, time.sentence);
      const width_m = first(/sweep width of ([\d\u202f]+?)\u202fm /, finds.sentence);
      const length_m = first(/lines are ([\d\u202f]+?)\u202fm long/, finds.sentence);
      const area_m2 = 1e6 * first(/the area, ([\d.]+)\u202fkm²/, finds.sentence);
      // Koopman's random search: 1 − exp(−swept area/area), and the time along the lines.
      const found = 1 - Math.exp(-(width_m * length_m) / area_m2);
      expect(Math.abs(100 * found - first(/ = ([\d.]+)\u202f%/, finds.sentence)), finds.sentence).toBeLessThan(1.5);
      const inside = first(/drawn landings ([\d.]+)\u202f%/, finds.sentence);
      expect(Math.abs(found * inside - Number.parseFloat(finds.text)), finds.sentence).toBeLessThan(2);
      expect(Math.abs(length_s(time.text) - length_m / speed_mps)).toBeLessThan(0.03 * length_s(time.text) + 1);
      // Strips as wide as is swept, side by side: none of the area is left out, and lines that moved together overlap.
      if (pattern.name === 'parallel track') expect(length_m).toBeGreaterThan(0.97 * (area_m2 / width_m));
    }
  });
});
