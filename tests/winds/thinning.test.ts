// Samples are taken and chosen in one walk and without a look at every one: the answer must be that of the definition.
import { expect, it } from 'vitest';
import { backgroundCovariance, canonicalOrder, pointsOf, type Observation } from '../../core/winds/analysis.ts';
import { backgroundErrors } from '../../core/winds/errors.ts';
import { choose, sampleMean, samplesOf } from '../../core/winds/thinning.ts';
import { Random } from '../../core/base/random.ts';
import type { LonLat } from '../../core/base/units.ts';

const errors = backgroundErrors();
const site: LonLat = [22.4, -30.1];
const valid_s = 1_800_010_000;

function drawn(seed: number): Observation[] {
  const random = new Random(seed);
  const draw = (): number => random.uniform();
  return Array.from({ length: 50 + Math.floor(draw() * 700) }, (_, i): Observation => ({
    id: `w${i}`,
    observer: `o${Math.floor(draw() * 9)}`,
    // Whole minutes, so that several reports have the same time.
    time_s: 1_800_000_000 + 60 * Math.floor(draw() * 160),
    position: [22.4 + 0.2 * Math.floor(draw() * 3), -30.1],
    height_m: 960 + (draw() < 0.7 ? 0 : 9000 * draw()),
    u_mps: 3 + draw(),
    v_mps: -2 + draw(),
    std_mps: 0.5 + Math.floor(draw() * 4) / 2,
  }));
}

/**
 * Of each observer and eighth of a correlation length: from the newest on, all less than ten minutes older than the
 * first.
 */
function groupsByDefinition(observations: readonly Observation[]): string[][] {
  const left = new Set(observations.toSorted((a, b) => canonicalOrder(b, a)));
  const groups: string[][] = [];
  const height = (one: Observation): number => Math.floor(errors.zeta(one.height_m) * 8);
  for (const first of left) {
    const group = [...left].filter(
      (one) => one.observer === first.observer && height(one) === height(first) && first.time_s - one.time_s < 600,
    );
    for (const one of group) left.delete(one);
    groups.push(group.map((one) => one.id));
  }
  return groups.toReversed();
}

/**
 * Every sample's explained variance over its rank in its half correlation length: the places of the largest, of equal
 * ones the first.
 */
function placesByDefinition(samples: readonly (readonly Observation[])[], most: number): number[] {
  const all = samples.map(sampleMean).map((mean, i) => {
    const there = pointsOf([mean], errors);
    const here = pointsOf([{ ...mean, time_s: valid_s, position: site }], errors);
    const before = backgroundCovariance(there, 0, there, 0);
    const worth = backgroundCovariance(here, 0, there, 0) ** 2 / (before + mean.std_mps * mean.std_mps);
    return { i, worth, layer: Math.floor((there.zeta[0] ?? NaN) * 2) };
  });
  const shares = all.map((one) => {
    const before = all.filter(
      (other) =>
        other.layer === one.layer && (other.worth > one.worth || (other.worth === one.worth && other.i < one.i)),
    );
    return { i: one.i, share: one.worth / (before.length + 1) };
  });
  const best = shares.toSorted((a, b) => b.share - a.share || a.i - b.i).slice(0, most);
  return best.map((one) => one.i).toSorted((a, b) => a - b);
}

it('takes and chooses the samples that the definition names, in the same order, whatever order the reports came in', () => {
  let chosenOf = 0;
  for (let seed = 1; seed <= 40; seed++) {
    const observations = drawn(seed);
    const samples = samplesOf(observations, errors);
    expect(
      samples.map((sample) => sample.map((one) => one.id)),
      `seed ${seed}`,
    ).toEqual(groupsByDefinition(observations));
    expect(samplesOf(observations.toReversed(), errors)).toEqual(samples);
    const most = 5 + (seed % 60);
    const chosen = choose(samples, errors, site, valid_s, most);
    if (samples.length <= most) continue;
    expect(chosen.samples, `seed ${seed}`).toEqual(placesByDefinition(samples, most).map((i) => samples[i]));
    expect(chosen.leftOut).toBe(samples.length - most);
    chosenOf += samples.length;
  }
  expect(chosenOf).toBeGreaterThan(2000);
});
