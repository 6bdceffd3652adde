// The runner reads an imported name through a getter at each use, which makes the core's small functions five times
// slower in a test than in the product. Here a file of the core takes its imports once, as it starts: the same, since
// no import goes in a circle (`tests/layers.test.ts`) and nothing that is exported changes.
import { parseSync } from 'vite';
import type { Plugin } from 'vitest/config';

export function boundImports(): Plugin {
  return {
    name: 'bound-imports',
    enforce: 'post',
    transform(code, id) {
      return /\/core\/[^?]*\.ts$/.test(id) ? { code: bound(code), map: null } : null;
    },
  };
}

/** Everything stays on its line, so that a fault is found where it stands. */
export function bound(code: string): string {
  const taken: string[] = [];
  let text = '';
  let from = 0;
  for (const node of parseSync('core.js', code).program.body) {
    if (node.type !== 'ImportDeclaration') continue;
    for (const one of node.specifiers) {
      if (one.type === 'ImportNamespaceSpecifier') continue;
      const name = one.local.name;
      const imported = one.type === 'ImportSpecifier' ? `${code.slice(one.imported.start, one.imported.end)} as ` : '';
      text += `${code.slice(from, one.start)}${imported}${name}$import`;
      from = one.end;
      taken.push(`const ${name} = ${name}$import; `);
    }
  }
  return taken.join('') + text + code.slice(from);
}
