// How far the word is from its edges: each edge that the program finds is where a bisection over whole advices finds
// it, on both demos and 20 random missions. The bisections are stored (`edgeAnswers.json`), as they take ten minutes:
// PLUMBLINE_EDGES=write npx vitest run tests/advice/edges.test.ts makes them again, and every run finds the edges of
// some missions and asks whole advices on both sides of one.
import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { adviseOn } from '../../core/advice/advise.ts';
import { edgesOf, type Edge } from '../../core/advice/edges.ts';
import { edgeSentence, edgeTells } from '../../core/advice/edgeWords.ts';
import { waysFrom } from '../../core/advice/edgeWays.ts';
import { whatIf } from '../../core/advice/whatIf.ts';
import { carrierAt } from '../../core/descent/carrier.ts';
import { upperTail } from '../../core/base/normal.ts';
import type { LogEvent } from '../../core/log/events.ts';
import { defaultMoment_s, situationAt, type Situation } from '../../core/mission/situation.ts';
import { demo, DEMOS, loadDemo } from '../demo.ts';
import { bisected, EDGE_MEMBERS, MISSIONS, randomSituation, wayOf, wordAt, type EdgeAnswer } from './edgeMissions.ts';

const PATH = join(process.cwd(), 'tests', 'advice', 'edgeAnswers.json');
const DEMO_MEMBERS = 2000;
type Named = (typeof DEMOS)[number];
type Stored = Record<string, readonly EdgeAnswer[]>;

const isDemo = (name: string): name is Named => DEMOS.some((one) => one === name);
async function situationNamed(name: string): Promise<{ situation: Situation; members: number }> {
  if (isDemo(name)) return { situation: (await demo(name)).situation, members: DEMO_MEMBERS };
  return { situation: randomSituation(Number(name)), members: EDGE_MEMBERS };
}
const stored = (): Stored => JSON.parse(readFileSync(PATH, 'utf8')) as Stored;
const off = (edge: Edge, { by }: EdgeAnswer): number =>
  by === null ? Infinity : Math.abs(Math.abs(edge.by) - by) / by;

describe('the edges of the word', () => {
  // No test of a usual run, so nothing that is left out of one.
  const remake = process.env['PLUMBLINE_EDGES'] === 'write' ? it : () => undefined;
  remake(
    'are bisected by whole advices and stored',
    async () => {
      const answers: Stored = {};
      for (const name of [...DEMOS, ...Array.from({ length: MISSIONS }, (_, i) => String(i))]) {
        const { situation, members } = await situationNamed(name);
        const advised = adviseOn(situation, { members });
        const ways = waysFrom(situation, advised);
        answers[name] = edgesOf(situation, advised, { seed: 1, roads: [], most: 6 }).flatMap((edge): EdgeAnswer[] => {
          const way = wayOf(ways, edge);
          if (way === undefined) return [];
          const { input, to } = edge;
          return [{ input, sign: Math.sign(edge.by), to, by: bisected(situation, way, edge, members) }];
        });
        writeFileSync(PATH, `${JSON.stringify(answers, null, 2)}\n`);
      }
    },
    3_600_000,
  );

  it('has a lee that begins only as the wind freshens: in 1.9 m/s nothing is turbulent behind anything', async () => {
    const then = whatIf((await demo('town-meadow')).situation, { surface_mps: -1.6 });
    const advised = adviseOn(then, { members: 400 });
    expect(advised.advice.word).toBe('GO');
    const edges = edgesOf(then, advised, { seed: 1, roads: [], most: 6 });
    const lee = edges.find(({ input, because }) => input === 'surface wind' && because === 'lee_heights');
    // Whole advices on both sides say so, too.
    const wordAt = (by: number) => adviseOn(whatIf(then, { surface_mps: by }), { members: 400 }).advice.word;
    const by = lee?.by ?? NaN;
    expect([lee?.to, wordAt(0.95 * by), wordAt(1.05 * by)]).toEqual(['HOLD', 'GO', 'HOLD']);
  });

  it('takes the exit to slip by the clock alone where it is called by its place', async () => {
    // The demo's exit is called by its place: what is left is 5 s from the call, and 150 m of the place at the speed of
    // the float's wind. Where the plan does not say so, the balloon's whole way counts.
    const { situation } = await demo('salt-plain');
    const { mission } = situation;
    const stdOf = (of: Situation): number => {
      const way = waysFrom(of, adviseOn(of, { members: 100 })).find(({ input }) => input === 'exit time');
      return way?.std ?? NaN;
    };
    const { carrier } = adviseOn(situation, { members: 100 });
    const there = carrierAt(carrier ?? { points: [], levelFrom: 0 }, Date.parse(mission.exit.time) / 1000);
    const [east = NaN, north = NaN] = there?.velocity_mps ?? [];
    expect(mission.uncertainty?.carrierPath_rel).toBe(0);
    expect(stdOf(situation)).toBeCloseTo(Math.hypot(5, 150 / Math.hypot(east, north)), 6);
    const whole = { ...mission, uncertainty: { ...mission.uncertainty, carrierPath_rel: 1 } };
    expect(stdOf({ ...situation, mission: whole })).toBeGreaterThan(2 * stdOf(situation));
  });

  it('were found by the bisection too: every stored one, over both demos and 20 missions', () => {
    const all = Object.values(stored());
    expect(all).toHaveLength(MISSIONS + DEMOS.length);
    expect(all.flat().length).toBeGreaterThan(80);
    expect(all.flat().filter(({ by }) => by === null)).toEqual([]);
  });

  it.each(['salt-plain', '3', '7'])('of mission %s are within a twentieth of the bisection', async (name) => {
    const { situation, members } = await situationNamed(name);
    const advised = adviseOn(situation, { members });
    const ways = waysFrom(situation, advised);
    const edges = edgesOf(situation, advised, { seed: 1, roads: [], most: 3 });
    expect(edges.length).toBeGreaterThan(0);
    for (const edge of edges) {
      const answer = stored()[name]?.find(
        ({ input, sign, to }) => input === edge.input && sign === Math.sign(edge.by) && to === edge.to,
      );
      expect(answer, `${edge.input} ${edge.to}`).toBeDefined();
      // Or within what is no change of that input: a second of the exit.
      const least = wayOf(ways, edge)?.least ?? 0;
      const most = Math.max(0.05, least / Math.abs(edge.by));
      if (answer !== undefined) expect(off(edge, answer), `${edge.input} ${edge.to} ${edge.by}`).toBeLessThan(most);
    }
    // Ranked by how likely the errors make them.
    const likely = edges.map(({ likelihood }) => likelihood);
    expect(likely).toEqual(likely.toSorted((a, b) => b - a));
  });

  it('have the present word just before them and another just behind, by a whole advice', async () => {
    const { situation, members } = await situationNamed('7');
    const advised = adviseOn(situation, { members });
    const [edge] = edgesOf(situation, advised, { seed: 1, roads: [], most: 1 });
    const way = edge === undefined ? undefined : wayOf(waysFrom(situation, advised), edge);
    expect(way).toBeDefined();
    if (edge === undefined || way === undefined) return;
    expect(wordAt(situation, way.change(0.94 * Math.abs(edge.by)), members)).toBe(advised.advice.word);
    expect(wordAt(situation, way.change(1.06 * Math.abs(edge.by)), members)).toBe(edge.to);
  });

  it('are not looked for once the jumper has left', async () => {
    const { mission, log, world } = await loadDemo('town-meadow');
    const at_s = defaultMoment_s(mission, log);
    const at = new Date(at_s * 1000).toISOString();
    const left: LogEvent = { seq: 1e6, at, kind: 'mark', mark: 'exit', observedAt: at };
    const situation = situationAt(mission, [...log, left], world, at_s + 5);
    expect(edgesOf(situation, adviseOn(situation, { members: 100 }), { seed: 1, roads: [] })).toEqual([]);
  });
});

describe('the words of an edge', () => {
  const EDGE: Edge = {
    input: 'surface wind',
    to: 'HOLD',
    because: 'surfaceWind_mps',
    by: 3.4,
    now: 3.7,
    at: 7.1,
    layer: null,
    from_deg: null,
    likelihood: 0.02,
    tells: { what: 'a surface wind from Ground One', at_s: null },
  };
  const words = (change: Partial<Edge>): string => edgeSentence({ ...EDGE, ...change }, 900).replaceAll('\u202f', ' ');

  it('say what to watch, in units, and now where that helps', () => {
    expect(words({})).toBe('HOLD if the surface wind reaches 7.1 m/s (14 kt), now 3.7 m/s (7 kt)');
    const layer = { bottom_m: 9000, top_m: 12_000 };
    expect(words({ input: 'wind aloft', by: 6, layer, from_deg: 260 })).toBe(
      'HOLD if the wind from 9000 m MSL to 12 000 m MSL is 6.0 m/s (12 kt) stronger from 260° (west)',
    );
    const at = Date.parse('2027-04-14T07:43:00Z') / 1000;
    expect(words({ input: 'exit time', by: 60, at })).toBe('HOLD if the exit slips past 07:43:00Z');
    expect(words({ input: 'opening height', by: 300 })).toBe('HOLD if the opening is 300 m higher');
    expect(words({ input: 'moment', by: 60, at })).toBe('HOLD at 07:43:00Z without a newer surface wind');
  });

  it('say how likely, and what tells soonest', () => {
    expect(edgeTells(EDGE).replaceAll('\u202f', ' ')).toBe(
      'surface wind; 2 % likely; a surface wind from Ground One tells at once',
    );
    expect(edgeTells({ ...EDGE, likelihood: 1, tells: null })).toBe(
      'surface wind; comes by itself; no report tells before the exit',
    );
  });

  it('upper tails: Abramowitz and Stegun, table 26.1, to the error that their formula states', () => {
    for (const [z, tail] of [
      [0, 0.5],
      [1, 0.1586552539],
      [-2, 0.977249868],
      [3, 0.001349898],
    ] as const)
      expect(Math.abs(upperTail(z) - tail), String(z)).toBeLessThan(7.5e-8);
  });
});
