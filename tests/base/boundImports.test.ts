// What the tests make of a file of the core as they load it.
import { describe, expect, it } from 'vitest';
import { bound } from '../boundImports.ts';

describe('a file of the core in a test', () => {
  it('takes each imported name once, by its own name, and keeps its lines', () => {
    const code = `import a, { b, c as d, 'e f' as g } from './x.ts';\nimport * as all from './y.ts';\nimport './z.ts';\nuse(a, b, d, g, all);\n`;
    expect(bound(code)).toBe(
      'const a = a$import; const b = b$import; const d = d$import; const g = g$import; ' +
        `import a$import, { b as b$import, c as d$import, 'e f' as g$import } from './x.ts';\n` +
        `import * as all from './y.ts';\nimport './z.ts';\nuse(a, b, d, g, all);\n`,
    );
  });

  it('stays as it is where it imports nothing', () => {
    expect(bound('export const a = 1;\n')).toBe('export const a = 1;\n');
  });
});
