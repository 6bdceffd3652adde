// The error of a wind against winds that were measured: see tests/bench/realWinds.ts. Bounds: issue of the confidence
// work, 40 to 60 and 85 to 95 %.
import { expect, it } from 'vitest';
import { realWinds, tableOfHeld } from '../bench/realWinds.ts';
import { describeOpenData } from '../openData.ts';

describeOpenData('an ascent 12 or 24 h old, or of a neighbour, as the forecast', ({ openData }) => {
  it('has the true landing in its 50 % ellipse 40 to 60 times of 100, in its 90 % ellipse 85 to 95', async () => {
    const rows = await realWinds(openData, 200);
    console.log(tableOfHeld(rows));
    for (const row of rows.filter(({ name }) => name.endsWith('all'))) {
      expect(row.of, row.name).toBeGreaterThan(39);
      expect(row.in50, row.name).toBeGreaterThanOrEqual(0.4);
      expect(row.in50, row.name).toBeLessThanOrEqual(0.6);
      expect(row.in90, row.name).toBeGreaterThanOrEqual(0.85);
      expect(row.in90, row.name).toBeLessThanOrEqual(0.95);
    }
  }, 240_000);
});
