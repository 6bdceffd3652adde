// More wind near the ground, against its own definition: so many m/s more in the wind's own direction up to 150 m,
// nothing from 600 m on, half of it halfway between; less wind ends in a calm and not in a wind from the other side.
// And the same advice through a worker's bench.
import { describe, expect, it } from 'vitest';
import { adviseOn } from '../../core/advice/advise.ts';
import { strengthened } from '../../core/advice/whatIf.ts';
import { Air } from '../../core/air/air.ts';
import { worldOf } from '../../core/descent/scenario.ts';
import type { Mission } from '../../core/plan/schema.ts';
import { situationAt } from '../../core/mission/situation.ts';
import { windFrom } from '../../core/base/units.ts';
import { WindField, WindSampler } from '../../core/winds/field.ts';
import { Workbench } from '../../core/work/work.ts';
import { MomentNews } from '../../core/work/momentNews.ts';
import { momentOf } from '../work/moments.ts';

const GROUND_M = 400;
const EXIT = '2027-05-01T10:00:00Z';
const mission: Mission = {
  format: 'plumbline/mission',
  version: 1,
  name: 'What if',
  site: { name: 'Site', position: [12, 48], elevation_m: GROUND_M },
  exit: { position: [12, 48.01], altitude_m: 4000, time: EXIT },
  jumper: {
    mass_kg: 100,
    stages: [{ name: 'freefall', dragArea_m2: 0.5, until: { agl_m: 1200 } }],
    canopy: {
      referenceMass_kg: 100,
      fill_s: 3,
      settings: [{ name: 'full', airspeed_mps: 10, sink_mps: 5 }],
      steering: { policy: 'drift' },
    },
  },
  landingZones: [
    {
      name: 'Field',
      polygon: [
        [11.98, 47.99],
        [12.02, 47.99],
        [12.02, 48.01],
        [11.98, 48.01],
      ],
    },
  ],
};

function worldWith(levels: readonly { height_m: number; from_deg: number; speed_mps: number }[]) {
  const wind = WindField.ofColumns([{ source: 'given', time_s: Date.parse(EXIT) / 1000, levels }]);
  return worldOf(mission, wind, new Air([]), null);
}

function windAt(field: WindField, height_m: number): { from_deg: number; speed_mps: number } {
  const sampler = new WindSampler(field);
  sampler.start(Date.parse(EXIT) / 1000, null);
  sampler.sample((48 * Math.PI) / 180, (12 * Math.PI) / 180, height_m, 0);
  return windFrom(sampler.out[0] ?? 0, sampler.out[1] ?? 0);
}

const world = worldWith([
  { height_m: GROUND_M, from_deg: 270, speed_mps: 3 },
  { height_m: 5000, from_deg: 270, speed_mps: 20 },
]);

describe('more wind near the ground', () => {
  it.each([
    [10, 4],
    [150, 4],
    [375, 2],
    [600, 0],
    [2000, 0],
  ])('at %i m above the ground is %i m/s more', (agl_m, more_mps) => {
    const before = windAt(world.wind, GROUND_M + agl_m);
    const after = windAt(strengthened(world, GROUND_M, 4).wind, GROUND_M + agl_m);
    expect(after.speed_mps - before.speed_mps).toBeCloseTo(more_mps, 9);
    expect(after.from_deg).toBeCloseTo(before.from_deg, 9);
  });

  it('taken away ends in a calm', () => {
    expect(windAt(strengthened(world, GROUND_M, -50).wind, GROUND_M + 100).speed_mps).toBeCloseTo(0, 9);
  });

  it('has the direction of the wind above where it has no direction', () => {
    const calmBelow = worldWith([
      { height_m: GROUND_M, from_deg: 0, speed_mps: 0 },
      { height_m: GROUND_M + 1000, from_deg: 90, speed_mps: 0 },
      { height_m: GROUND_M + 2000, from_deg: 90, speed_mps: 10 },
    ]);
    const after = windAt(strengthened(calmBelow, GROUND_M, 4).wind, GROUND_M + 100);
    expect(after.speed_mps).toBeCloseTo(4, 9);
    expect(after.from_deg).toBeCloseTo(90, 6);
  });
});

describe('advice through a bench', () => {
  const at_s = Date.parse(EXIT) / 1000 - 600;
  const question = { kind: 'advice', members: 200, beside: 'all', whatIf: null } as const;
  const told = { mission, log: [], world, at_s, seed: 3 };
  const bench = new Workbench();
  for (const ask of new MomentNews().tell(momentOf(told))) bench.answer(structuredClone(ask));

  it('is the advice that is computed here', () => {
    const answer = structuredClone(bench.answer(structuredClone(question)));
    const { advice } = adviseOn(situationAt(mission, [], world, at_s), { members: 200, seed: 3 });
    expect(answer.kind === 'advice' ? answer.answer.advice : answer).toEqual(structuredClone(advice));
  });

  it('knows a calm that nobody gave from a calm that was given', () => {
    const calm = worldOf(mission, WindField.calm(), new Air([]), null);
    const other = new Workbench();
    for (const ask of new MomentNews().tell(momentOf({ ...told, world: calm }))) other.answer(structuredClone(ask));
    const answer = other.answer(question);
    const { advice } = adviseOn(situationAt(mission, [], calm, at_s), { members: 200, seed: 3 });
    expect(answer.kind === 'advice' ? answer.answer.advice.cautions : answer).toEqual(advice.cautions);
    expect(advice.cautions.join(' ')).toContain('no wind is known');
  });

  it('answers a question without its moment with a sentence', () => {
    const answer = new Workbench().answer(question);
    expect(answer.kind === 'fault' ? answer.why : '').toContain('a moment was sent before');
  });

  it('with more surface wind breaks the surface wind limit by so much', () => {
    const surface = (by: number | null): number => {
      const answer = bench.answer({ ...question, whatIf: by === null ? null : { surface_mps: by } });
      const row =
        answer.kind === 'advice'
          ? answer.answer.advice.limits.find(({ limit }) => limit.name === 'surfaceWind_mps')
          : undefined;
      return row?.value.kind === 'known' ? row.value.value : NaN;
    };
    expect(surface(6) - surface(null)).toBeCloseTo(6, 6);
  });
});
