// axe-core in a page: what it finds against the rules of WCAG 2.2 A and AA, and by how many of them it found nothing.
import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import type { Page } from 'playwright-core';

const source = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');

export const WCAG = ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa'];

interface Found {
  readonly id: string;
  readonly nodes: readonly { readonly html: string; readonly target: unknown; readonly failureSummary?: string }[];
}
interface Axe {
  run(
    where: string | Document,
    options: object,
  ): Promise<{ readonly violations: readonly Found[]; readonly passes: readonly unknown[] }>;
}

/**
 * A mark of the map stands where its thing is, however near another lies (Understanding WCAG 2.2, 2.5.8, "Essential":
 * pins on a map); each is reached in the map's list too.
 */
const isPin = (id: string, html: string): boolean => id === 'target-size' && html.includes('leaflet-marker-icon');

/** `runOnly`: tags of rules, null for all; `within`: a selector, left out for the whole page. */
export async function axeOn(
  page: Page,
  runOnly: readonly string[] | null = WCAG,
  within: string | null = null,
): Promise<{ readonly faults: string[]; readonly passes: number }> {
  if (await page.evaluate(() => !('axe' in globalThis))) await page.evaluate(source);
  const { violations, passes } = await page.evaluate(
    async ([tags, selector]) => {
      const { axe } = globalThis as unknown as { axe: Axe };
      const found = await axe.run(selector ?? document, tags === null ? {} : { runOnly: tags });
      return { violations: found.violations, passes: found.passes.length };
    },
    [runOnly, within] as const,
  );
  const faults = violations
    .map(({ id, nodes }) => ({ id, nodes: nodes.filter(({ html }) => !isPin(id, html)) }))
    .filter(({ nodes }) => nodes.length > 0)
    .map(
      ({ id, nodes }) =>
        `${id}: ${nodes.map((one) => `${String(one.target)} ${one.html.slice(0, 160)} ${one.failureSummary ?? ''}`).join(' | ')}`,
    );
  return { faults, passes };
}
