// Heights that a message does not print, by the hypsometric equation: from a printed height that cannot be, nothing
// follows.
import { expect, it } from 'vitest';
import { draft } from '../../core/formats/winds/tempSections.ts';
import { Findings } from '../../core/formats/text/text.ts';
import { fillHeights, TemperatureColumn } from '../../core/formats/winds/upperAirHeights.ts';

const levels = (height_700_m: number) => [
  draft('significant', 1, 100_000, { temperature_K: 290 }),
  draft('significant', 1, 85_000, { temperature_K: 282 }),
  draft('standard', 1, 70_000, { temperature_K: 274, geopotential_m: height_700_m }),
];

it('computes down from a printed height, as far as temperatures reach', () => {
  const drafts = levels(3010);
  fillHeights(drafts, new TemperatureColumn(drafts), 'X', new Findings());
  // (287.05/9.80665)·T·ln(p0/p) by hand: 278 K and ln(850/700) are 1580 m, 286 K and ln(1000/850) are 1361 m.
  expect(Math.abs((drafts[1]?.geopotential_m ?? NaN) - (3010 - 1580))).toBeLessThan(2);
  expect(Math.abs((drafts[0]?.geopotential_m ?? NaN) - (3010 - 1580 - 1361))).toBeLessThan(2);
});

it('gives no height below all land, and counts the level as one without (fuzz seed 442861663)', () => {
  const drafts = levels(301);
  const findings = new Findings();
  fillHeights(drafts, new TemperatureColumn(drafts), 'X', findings);
  expect([drafts[0]?.geopotential_m, drafts[1]?.geopotential_m]).toEqual([null, null]);
  expect(findings.all().map((one) => one.text)).toEqual([
    'X: 2 levels (1000 to 850 hPa) without a height: beyond the printed heights, and the measured temperatures give none that can be',
  ]);
});
