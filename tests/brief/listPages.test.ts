// The lead's lists printed: each page of the brief is one page of paper, however long the lists and their names are.
import { execFileSync, spawnSync } from 'node:child_process';
import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, it } from 'vitest';
import { briefHtml } from '../../core/brief/html.ts';
import type { LeadList } from '../../core/plan/schema.ts';
import { LISTS } from '../../core/plan/library.ts';
import { findChromium, printWithChromium } from '../../main/browser/chromium.ts';
import { bundledFace } from '../../main/cli/brief.ts';
import { describeBrowser } from '../browser/chromium.ts';
import { testFolder } from '../main/folder.ts';
import { leftOut, requireAll } from '../openData.ts';
import { changedBrief, madeBrief } from './made.ts';

const LONG: LeadList = {
  name: 'A list longer than a page',
  note: 'invented',
  items: Array.from({ length: 90 }, (_, i) => ({
    name:
      i % 3 === 0
        ? `thing ${i + 1}, which is said in so many words that they take more than one line of paper`
        : `${i}`,
    who: i % 2 === 0 ? 'the crew at the northern gate' : 'lead',
    gates: i % 4 === 0,
  })),
};

describeBrowser('the lists on paper', () => {
  it('take the pages that they are laid out on, with whatever face', async () => {
    if (spawnSync('pdfinfo', ['-v']).error !== undefined) {
      if (requireAll) throw new Error('pdfinfo is missing, and nothing may be left out here');
      leftOut('the pages of the lists are not counted: pdfinfo is not installed (apt-get install poppler-utils)');
      return;
    }
    const folder = testFolder();
    const { loaded } = await madeBrief('town-meadow');
    const lists = [...LISTS.map(({ values }) => values), LONG];
    const { brief } = changedBrief(loaded, { ...loaded.mission, lists }, loaded.log);
    for (const [face, fontCss] of [
      ['bundled', bundledFace()],
      ['other', ''],
    ] as const) {
      const html = briefHtml(brief, { fontCss });
      const pdf = await printWithChromium(findChromium() ?? '', html);
      if (!pdf.ok) throw new Error(pdf.why);
      const path = join(folder.root, `${face}.pdf`);
      writeFileSync(path, pdf.value);
      const pages = Number(/Pages:\s+(\d+)/.exec(execFileSync('pdfinfo', [path], { encoding: 'utf8' }))?.[1]);
      expect(pages, face).toBe(html.split('<section class="page">').length - 1);
      // Three for all and the lead, one a crew, and 90 rows of which a third take two lines need three at least.
      expect(pages, face).toBeGreaterThanOrEqual(3 + brief.crews.length + 3);
    }
    folder.remove();
  });
});
