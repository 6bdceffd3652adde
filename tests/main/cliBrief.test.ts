// `plumbline brief` as a person calls it: every format answers, refusals are one line that says what would be right,
// files are written.
import { readFileSync, writeFileSync, existsSync, cpSync } from 'node:fs';
import { join } from 'node:path';
import { DOMParser } from '@xmldom/xmldom';
import { gpx, kml } from '@tmcw/togeojson';
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import type * as briefSource from '../../core/brief/source.ts';
import { ran, type Ran } from './ran.ts';
import { projectRoot } from '../openData.ts';
import { testFolder, type TestFolder } from './folder.ts';

// These tests are about the command: a tenth of the descents makes the same brief, with wider errors.
vi.mock('../../core/brief/source.ts', async (original) => {
  const source = await original<typeof briefSource>();
  return { ...source, BRIEF_OPTIONS: { ...source.BRIEF_OPTIONS, members: 200 } };
});

const MEADOW = join(projectRoot, 'data/town-meadow/town-meadow.mission.json');

const run = (...args: string[]): Promise<Ran> => ran('brief', ...args, '--members', '50');

let folder: TestFolder;
beforeEach(() => {
  folder = testFolder();
});
afterEach(() => {
  folder.remove();
  vi.unstubAllEnvs();
});

const xml = (text: string): Document => new DOMParser().parseFromString(text, 'text/xml') as unknown as Document;

describe('plumbline brief', () => {
  it('answers in each format', async () => {
    const text = await run(MEADOW);
    expect([text.status, text.out.includes('Town meadow'), text.out.includes('Radio brief')]).toEqual([0, true, true]);
    expect((await run(MEADOW, '--format', 'radio')).out).toContain('READ BACK brief version four.');
    const html = await run(MEADOW, '--format', 'html', '--crew', 'First Aid');
    expect(html.out).toMatch(/^<!doctype html>[\s\S]*@font-face[\s\S]*<h1>First Aid<\/h1>/);
    const json = JSON.parse((await run(MEADOW, '--format', 'json')).out) as {
      head: { version: { number: number } };
      crews: unknown[];
    };
    expect([json.head.version.number, json.crews.length]).toEqual([4, 3]);
    const places = JSON.parse((await run(MEADOW, '--format', 'geojson')).out) as { features: unknown[] };
    const read = kml(xml((await run(MEADOW, '--format', 'kml')).out));
    expect(places.features.length).toBeGreaterThan(40);
    expect(read.features).toHaveLength(places.features.length);
    const own = gpx(xml((await run(MEADOW, '--format', 'gpx', '--crew', 'Marshal')).out));
    const routes = own.features
      .filter((one) => one.properties?.['_gpxType'] === 'rte')
      .map((one) => String(one.properties?.['name']));
    // Nobody has accepted its standby: what a receiver shows must say so.
    expect(routes).toEqual(['Marshal to the jumper (proposed)']);
    for (const [table, rows] of [
      ['cases', 7],
      // The case as planned, and half as many of each of six others.
      ['members', 50 + 6 * 25],
      ['levels', 10],
    ] as const) {
      // prettier-ignore
      const lines = (await run(MEADOW, '--format', 'csv', '--table', table)).out.trimEnd().split('\r\n');
      expect([
        table,
        lines.length - 1 >= rows,
        new Set(lines.map((line) => line.replace(/"[^"]*"/g, '').split(',').length)).size,
      ]).toEqual([table, true, 1]);
    }
  });

  it('writes a file where one is named', async () => {
    const path = join(folder.root, 'brief.kml');
    const answer = await run(MEADOW, '--format', 'kml', '--out', path);
    expect([answer.status, answer.out]).toEqual([0, path]);
    expect(readFileSync(path, 'utf8')).toMatch(/^<\?xml/);
    const nowhere = await run(MEADOW, '--out', join(folder.root, 'no/such/folder/x.txt'));
    expect([nowhere.status, nowhere.complaints.at(-1)?.includes('x.txt')]).toEqual([2, true]);
  });

  it('marks on a crew’s page what changed since the version that it acknowledged', async () => {
    cpSync(join(projectRoot, 'data/town-meadow'), folder.root, { recursive: true });
    const log = join(folder.root, 'town-meadow.log.jsonl');
    const lines = readFileSync(log, 'utf8').trimEnd().split('\n').slice(0, 3);
    const add = (event: object): void => void lines.push(JSON.stringify({ seq: lines.length + 1, ...event }));
    add({ at: '2027-05-29T12:55:00Z', kind: 'check', item: 'brief v2', by: 'First Aid' });
    add({ at: '2027-05-29T13:12:00Z', kind: 'wind-report', id: 'w3', source: 'crew', by: 'Marshal', observedAt: '2027-05-29T13:11:00Z', position: [14.921381, 49.416851], agl_m: 2, from_deg: 215, speed_mps: 5 }); // prettier-ignore
    writeFileSync(log, `${lines.join('\n')}\n`);
    const plan = join(folder.root, 'town-meadow.mission.json');
    const own = await run(plan, '--crew', 'First Aid');
    expect(own.out).toContain('Lines with * changed since version 2 of 12:55:00Z.');
    expect(own.out).toMatch(/^\* Wind .*\n {4}was: FROM /m);
    expect((await run(plan, '--crew', 'Marshal')).out).not.toContain('changed since');
    expect((await run(plan)).out).toContain('First Aid holds version 2; this is version 3.');
    const said = await run(plan, '--format', 'radio', '--since', '2027-05-29T12:55:00Z');
    expect(said.out).toContain('CORRECTION, brief version three replaces version two.');
  });

  it('refuses with a sentence, before it computes', async () => {
    const refusals = [
      [['--format', 'docx'], '--format "docx"; expected text, html, pdf'],
      [['--crew', 'Nobody'], '--crew "Nobody"; expected "Marshal", "First Aid", "Air Ambulance"'],
      [['--table', 'all', '--format', 'csv'], '--table "all"; expected members, cases, levels'],
      [['--at', 'noon'], '--at "noon"; expected an ISO 8601 time in UTC'],
      [['--since', '12:00'], '--since "12:00"; expected an ISO 8601 time'],
    ] as const;
    for (const [args, words] of refusals) {
      const answer = await run(MEADOW, ...args);
      expect([answer.status, answer.out]).toEqual([2, '']);
      expect(answer.complaints.at(-1)).toContain(words);
    }
    vi.stubEnv('PATH', folder.root);
    vi.stubEnv('PLUMBLINE_CHROMIUM', 'none');
    const path = join(folder.root, 'x.pdf');
    const pdf = await run(MEADOW, '--format', 'pdf', '--out', path);
    expect([pdf.status, existsSync(path)]).toEqual([2, false]);
    expect(pdf.complaints.at(-1)).toMatch(/a PDF needs an installed Chromium.*--format html/);
  });
});
