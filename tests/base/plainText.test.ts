// Text from outside before it reaches a terminal, a page or a table. source: ECMA-48 (control functions), Unicode
// Standard Annex 9 §2 (explicit directional formatting), OWASP "CSV Injection" for the beginnings of a formula.
import { fc } from '../property.ts';
import { describe, expect, it } from 'vitest';
import { isPlainText, plainData, plainJson, plainText } from '../../core/base/plainText.ts';
import { toCsv } from '../../core/formats/out/csvOut.ts';
import { readLog } from '../../core/log/read.ts';
import { readMission } from '../../core/plan/read.ts';

const HOSTILE = '\u001b[2JClear\u0007\u202egnol\u2069\u009b31m';

describe('text from outside', () => {
  it('loses what drives a terminal and what turns the direction, and keeps lines, tabs and every letter', () => {
    expect(plainText(HOSTILE)).toBe('\ufffd[2JClear\ufffd\ufffdgnol\ufffd\ufffd31m');
    const kept = 'Zürich\tשדה\nМост 🪂';
    expect(plainText(kept)).toBe(kept);
  });

  it('as JSON is the same value', () => {
    fc.assert(
      fc.property(fc.string({ unit: 'binary' }), (text) => {
        const json = plainJson(JSON.stringify({ text }));
        expect(JSON.parse(json)).toEqual({ text });
        expect(isPlainText(json)).toBe(true);
      }),
    );
  });

  it('in data is made plain at any depth; plain data is the same object', () => {
    const plain = { a: [{ b: 'x' }], c: 1, d: null };
    expect(plainData(plain)).toBe(plain);
    expect(plainData({ a: [{ b: HOSTILE }] })).toEqual({ a: [{ b: plainText(HOSTILE) }] });
  });
});

describe('what cannot be seen', () => {
  const plan = {
    format: 'plumbline/mission',
    version: 1,
    name: HOSTILE,
    site: { name: 'x', position: [0, 0], elevation_m: 0 },
    exit: { position: [0, 0], altitude_m: 3000, time: '2027-06-05T09:00:00Z' },
    jumper: { mass_kg: 90, stages: [{ name: `fall${HOSTILE}`, dragArea_m2: 0.5 }] },
  };

  it('in a plan is said once and goes nowhere; the file keeps it', () => {
    const { value, problems } = readMission(JSON.stringify(plan));
    expect(problems.map(({ text }) => text)).toEqual([
      'the file holds control characters or marks of writing direction in its texts; each is shown as \ufffd',
    ]);
    expect(isPlainText(JSON.stringify(value?.mission).replaceAll(/\\u[0-9a-f]{4}/g, '\u0001'))).toBe(true);
    expect(value?.raw).toEqual(plan);
    const refused = readMission(JSON.stringify({ ...plan, format: `\u202e${HOSTILE}` })).problems[0]?.text ?? '';
    expect(isPlainText(refused)).toBe(true);
  });

  it('in a log goes nowhere', () => {
    const event = { seq: 1, at: '2027-06-05T09:00:00Z', kind: 'note', text: HOSTILE };
    expect(readLog(`${JSON.stringify(event)}\n`).value).toEqual([{ ...event, text: plainText(HOSTILE) }]);
  });
});

describe('a cell of a table', () => {
  it('that begins like a formula is written as text; a number is not', () => {
    const cells = ['=HYPERLINK("x")', '+1', '-1+2', '@SUM(A1)', '\t=1', 'plain', 'a=b'];
    const rows = cells.map((cell) => [cell, -1.5]);
    expect(
      toCsv([{ name: 'name' }, { name: 'x_m', decimals: 1 }], rows)
        .split('\r\n')
        .slice(1, -1),
    ).toEqual([
      '"\'=HYPERLINK(""x"")",-1.5',
      "'+1,-1.5",
      "'-1+2,-1.5",
      "'@SUM(A1),-1.5",
      "'\t=1,-1.5",
      'plain,-1.5',
      'a=b,-1.5',
    ]);
  });
});
