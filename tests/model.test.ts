// core/MODEL.md against the code: the files that it names exist, its numbers are those of the code, and every comment
// that cites a section cites one that is there.
import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { projectRoot } from './openData.ts';
import { rowsOf } from './plan/markdown.ts';

const text = (path: string): string => readFileSync(join(projectRoot, path), 'utf8');
const page = text('core/MODEL.md');
const sections = [...page.matchAll(/^## §(\d+) /gm)].map((match) => Number(match[1]));

/** Every source below the folders that this project writes. */
const sources = ['core', 'main', 'renderer', 'tests'].flatMap((folder) =>
  readdirSync(join(projectRoot, folder), { recursive: true, encoding: 'utf8' })
    .filter((name) => /\.(tsx?|mjs|c)$/.test(name))
    .map((name) => `${folder}/${name}`),
);

describe('core/MODEL.md', () => {
  it('names files that exist, one at least in each section', () => {
    const named = [...page.matchAll(/`((?:core|tests)\/[\w./]+)`/g)].map((match) => match[1] ?? '');
    expect(named.filter((path) => !existsSync(join(projectRoot, path)))).toEqual([]);
    for (const section of page.split(/^## /m).slice(1)) expect(section).toMatch(/^Files?: `core\//m);
  });

  it('has the numbers of the code', () => {
    const rows = rowsOf(page).filter((row) => row.header === 'constant | value | file');
    expect(rows.length).toBeGreaterThan(15);
    for (const { cells } of rows) {
      const [name = '', value = '', path = ''] = cells.map((cell) => cell.replaceAll('`', ''));
      const written = new RegExp(`const ${name}(?::[^=]+)? = ([^;]+);`).exec(text(path))?.[1] ?? 'nothing';
      // A number may be written as a product: 6 * 3600.
      const product = written.replaceAll('_', '').split('*').map(Number);
      expect(`${name} = ${product.reduce((all, factor) => all * factor, 1)}`).toBe(`${name} = ${Number(value)}`);
    }
  });

  it('has every section that a comment cites', () => {
    const cited = sources.flatMap((path) =>
      [...text(path).matchAll(/MODEL\.md[\s/*]*§(\d+)/g)].map((match) => ({ path, section: Number(match[1]) })),
    );
    expect(cited.length).toBeGreaterThan(20);
    expect(cited.filter(({ section }) => !sections.includes(section))).toEqual([]);
  });
});

describe('every source', () => {
  it('cites pages of the project only', () => {
    const elsewhere = /\b(?:model|mission-format|design|style|look)\.md\b/;
    const wrong = sources.filter((path) => path !== 'tests/model.test.ts' && elsewhere.test(text(path)));
    expect(wrong).toEqual([]);
  });
});
