// The error of a wind against winds that were measured: see tests/bench/realWinds.ts. Bounds: issue of the confidence
// work, 40 to 60 and 85 to 95 %.
import { expect, it } from 'vitest';
import { leaveOneStationOut, realWinds, tableOfHeld, type Held } from '../bench/realWinds.ts';
import { describeOpenData } from '../openData.ts';

function expectHeld(rows: readonly Held[]): void {
  for (const row of rows) {
    expect(row.of, row.name).toBeGreaterThan(39);
    const [in50, in90] = [Math.round(100 * row.in50), Math.round(100 * row.in90)];
    expect(in50, row.name).toBeGreaterThanOrEqual(40);
    expect(in50, row.name).toBeLessThanOrEqual(60);
    expect(in90, row.name).toBeGreaterThanOrEqual(85);
    expect(in90, row.name).toBeLessThanOrEqual(95);
  }
}

describeOpenData('an ascent 12 or 24 h old, or of a neighbour, as the forecast', ({ openData }) => {
  it('has the true landing in its 50 % ellipse 40 to 60 times of 100, in its 90 % ellipse 85 to 95', async () => {
    const rows = await realWinds(openData);
    console.log(tableOfHeld(rows));
    expectHeld(rows.filter(({ name }) => name.endsWith('all')));
  });

  it('has it there too at a station of which nothing was used to choose what a column shares', async () => {
    const { rows, chosen } = await leaveOneStationOut(openData);
    console.log(`${tableOfHeld(rows)}\nbulk share that the other stations chose: ${chosen.join(', ')}`);
    expect(chosen.length).toBe(4);
    expectHeld(rows);
  });
});
