// The pages of a brief, printed by Chromium and counted by poppler (Debian: poppler-utils): two for all crews, one for
// the lead, one a crew; what is on them is read back as text. The map on paper: well-formed, black and white, its words
// not on each other.
import { execFileSync, spawnSync } from 'node:child_process';
import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { DOMParser } from '@xmldom/xmldom';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { changesBetween, marksOf } from '../../core/brief/changes.ts';
import { briefHtml } from '../../core/brief/html.ts';
import { bundledFace } from '../../main/cli/brief.ts';
import { frameFor, gridOn, project, unproject } from '../../core/brief/paper/frame.ts';
import { paperMap } from '../../core/brief/paper/map.ts';
import type { LogEvent } from '../../core/log/events.ts';
import { findChromium, printWithChromium } from '../../main/browser/chromium.ts';
import { describeBrowser } from '../browser/chromium.ts';
import { testFolder, type TestFolder } from '../main/folder.ts';
import { leftOut, requireAll } from '../openData.ts';
import { changedBrief, DEMOS, madeBrief } from './made.ts';

let folder: TestFolder;
beforeEach(() => {
  folder = testFolder();
});
afterEach(() => folder.remove());

function hasPoppler(): boolean {
  if (spawnSync('pdfinfo', ['-v']).error === undefined) return true;
  if (requireAll) throw new Error('PLUMBLINE_REQUIRE_ALL is set and pdfinfo is missing: nothing may be left out here');
  leftOut('the pages of the brief are not counted: pdfinfo is not installed (apt-get install poppler-utils)');
  return false;
}

/** A4 is 210 mm wide; the margin is 12 mm. */
const RIGHT_EDGE_PT = ((210 - 12) * 72) / 25.4;

/** Text of each page of a page of HTML, printed. */
async function printed(
  html: string,
): Promise<{ readonly pages: number; readonly text: readonly string[]; readonly size: string }> {
  const pdf = await printWithChromium(findChromium() ?? '', html);
  if (!pdf.ok) throw new Error(pdf.why);
  const path = join(folder.root, 'brief.pdf');
  writeFileSync(path, pdf.value);
  const info = execFileSync('pdfinfo', [path], { encoding: 'utf8' });
  const pages = Number(/Pages:\s+(\d+)/.exec(info)?.[1]);
  const text = Array.from({ length: pages }, (_, k) =>
    execFileSync('pdftotext', ['-f', String(k + 1), '-l', String(k + 1), '-layout', path, '-'], { encoding: 'utf8' }),
  );
  // Something wider than the page makes Chromium print all of it smaller: then the right edge is not where it should
  // be.
  const words = execFileSync('pdftotext', ['-bbox', path, '-'], { encoding: 'utf8' });
  const right = Math.max(...[...words.matchAll(/xMax="([\d.]+)"/g)].map((match) => Number(match[1])));
  expect(Math.abs(right - RIGHT_EDGE_PT)).toBeLessThan(3);
  return { pages, text, size: /Page size:\s+(.*)/.exec(info)?.[1] ?? '' };
}

describeBrowser('the brief on paper', () => {
  it.each(DEMOS)(
    '%s: two A4 pages for all crews, one for the lead and one for each crew, each with what it is for',
    async (name) => {
      if (!hasPoppler()) return;
      const { brief } = await madeBrief(name);
      // With the face that comes along, and with whatever face this machine has instead.
      const other = await printed(briefHtml(brief));
      expect(other.pages).toBe(3 + brief.crews.length);
      const { pages, text, size } = await printed(briefHtml(brief, { fontCss: bundledFace() }));
      expect(size).toContain('A4');
      expect(pages).toBe(3 + brief.crews.length);
      for (const heading of ['TIMES', 'EXPECTED LANDING', 'WIND', 'WHO WAITS WHERE', 'RULES'])
        expect(text[0]).toContain(heading);
      for (const heading of ['LANDING ZONES', 'WHEN IT GOES OTHERWISE', 'HAZARDS', 'CAUTIONS'])
        expect(text[1]).toContain(heading);
      for (const heading of [
        'COUNT-DOWN',
        'WORDS THAT STOP IT',
        'IF CONTACT IS LOST',
        'BEFORE THE LAST CREW GOES HOME',
      ])
        expect(text[2]).toContain(heading);
      brief.crews.forEach((crew, k) => {
        expect(text[3 + k]).toContain(crew.crew);
        expect(text[3 + k]).toContain('Advisory only');
        expect(text[3 + k]?.includes('EVACUATION REQUEST')).toBe(crew.medical);
      });
      for (const page of text) expect(page).toContain(`landing version ${brief.head.version.number}`);
    },
  );

  it('stays on its pages when every line that can has changed and says what it was', async () => {
    if (!hasPoppler()) return;
    const { loaded, brief } = await madeBrief('town-meadow');
    const event = { seq: 7, at: '2027-05-29T13:22:00Z', kind: 'wind-report', id: 'w9', source: 'crew', by: 'Marshal', observedAt: '2027-05-29T13:22:00Z', position: [14.921381, 49.416851], agl_m: 2, from_deg: 200, speed_mps: 6 } as LogEvent; // prettier-ignore
    // With limits that do not hold, so that the advice has reasons to give.
    const limits = {
      ...loaded.mission.limits,
      surfaceWind_mps: 2,
      gust_mps: 3,
      windShear_mps: 1,
      zoneProbability: 0.999,
    };
    const next = changedBrief(loaded, { ...loaded.mission, limits }, [...loaded.log, event]).brief;
    expect(next.head.word).toBe('NO-GO');
    const marks = marksOf('version 4', changesBetween(brief, next));
    const crewMarks = new Map(next.crews.map((crew) => [crew.crew, marks]));
    const { pages, text } = await printed(briefHtml(next, { marks, crewMarks, fontCss: bundledFace() }));
    expect(pages).toBe(3 + next.crews.length);
    expect(text[0]).toContain('was FROM 250° (west)');
  });

  it('one crew’s page alone is one page', async () => {
    if (!hasPoppler()) return;
    const { brief } = await madeBrief('salt-plain');
    const { pages, text } = await printed(briefHtml(brief, { crew: 'Ground One' }));
    expect([pages, text[0]?.includes('Ground One')]).toEqual([1, true]);
  });
});

describe('a page', () => {
  it('runs nothing, fetches nothing, and holds names with markup as words', async () => {
    const { loaded } = await madeBrief('town-meadow');
    const { mission } = loaded;
    const teams = (mission.teams ?? []).map((team, k) =>
      k === 0 ? { ...team, name: '<script>alert("x")</script>' } : team,
    );
    const { brief } = changedBrief(loaded, { ...mission, name: 'A & B <b>', teams }, loaded.log);
    const html = briefHtml(brief);
    expect(html).not.toMatch(/<script|<link|<img|<iframe|https?:\/\/(?!www\.w3\.org)/);
    expect(html).toContain('A &amp; B &lt;b&gt;');
    expect(html).toContain('&lt;script&gt;');
  });
});

describe('the map on paper', () => {
  it.each(DEMOS)(
    '%s: well-formed, in greys alone, with names, shares on their lines, scale and north',
    async (name) => {
      const { brief } = await madeBrief(name);
      for (const crew of [undefined, ...brief.crews.map((one) => one.crew)]) {
        const options = { width_mm: 186, height_mm: 110, grid: 'degrees-minutes' as const, id: 'm' };
        const svg = paperMap(brief.map, crew === undefined ? options : { ...options, crew });
        const root = new DOMParser({ onError: (_, message) => { throw new Error(message); } }).parseFromString(svg, 'image/svg+xml').documentElement; // prettier-ignore
        expect(root?.nodeName).toBe('svg');
        const colours = [...svg.matchAll(/#([0-9a-f]{3,6})\b/gi)]
          .map((match) => match[1] ?? '')
          .filter((colour) => !colour.startsWith('m'));
        const grey = (hex: string): boolean => new Set(hex.length === 3 ? hex : (hex.match(/../g) ?? [])).size === 1;
        expect(colours.filter((colour) => !grey(colour))).toEqual([]);
        expect(colours.length).toBeGreaterThan(20);
        expect(svg).toMatch(/>1:[\d\u202f]+</);
        expect(svg).toContain('>N<');
        expect(svg).toContain('KEEP CLEAR');
        expect(svg).not.toMatch(/NaN|Infinity|undefined/);
        if (crew !== undefined) expect(svg).toContain(`>${crew}<`);
      }
    },
  );

  it('projects places and finds them again, and a scale bar is as long as it says', async () => {
    const { brief } = await madeBrief('salt-plain');
    const paper = frameFor(
      brief.map.zones.flatMap((zone) => zone.ring),
      brief.map.center,
      186,
      110,
    );
    for (const zone of brief.map.zones) {
      const back = unproject(paper, project(paper, zone.middle));
      expect(Math.hypot(back[0] - zone.middle[0], back[1] - zone.middle[1])).toBeLessThan(1e-7);
    }
    // One minute of latitude is a nautical mile within 0.6 % (1843 to 1862 m on WGS 84): the rows of the grid are that
    // far apart.
    const rows = gridOn(paper, 'degrees-minutes').ticks.filter((tick) => tick.edge === 'left');
    const minutes = rows.map((tick) => Number(/ (\d+)′/.exec(tick.label)?.[1]));
    expect(rows.length).toBeGreaterThanOrEqual(2);
    const [a, b] = rows;
    const apart = Math.abs((minutes[1] ?? NaN) - (minutes[0] ?? NaN));
    const mm = Math.abs((a?.at[1] ?? NaN) - (b?.at[1] ?? NaN));
    expect(Math.abs((mm * paper.scale) / 1000 / apart / 1852 - 1)).toBeLessThan(0.006);
  });
});
