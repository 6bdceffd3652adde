// The winds as they come, in the real page: reports typed, held back, corrected, withdrawn, contradicted, fed by files,
// replayed. What is expected comes from outside the window: exact unit factors (NIST SP 811), geodesics of
// geographiclib, the files on the disk, the documented answers to bad input (FORMAT.md, core/log/fate.ts), and
// winds that a test made itself.
import { mkdirSync, readFileSync, realpathSync, rmdirSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import geodesic from 'geographiclib-geodesic';
import type { Page } from 'playwright-core';
import { afterAll, afterEach, describe, expect, it } from 'vitest';
import { Stranger } from '../main/stranger.ts';
import { describeBrowser } from './chromium.ts';
import {
  appendRaw,
  Bench,
  LAST,
  logOf,
  logPath,
  openTab,
  part,
  poll,
  report,
  row,
  rowText,
  type,
  words,
} from './winds.ts';

const KT = 1852 / 3600;
const bench = new Bench();
afterEach(() => bench.closeWindows());
afterAll(() => bench.removeFolders());

const at = (time: string, plus_s: number): string =>
  `${new Date(Date.parse(time) + plus_s * 1000).toISOString().slice(0, 19)}Z`;
const focusList = (page: Page): Promise<void> => page.getByRole('listbox', { name: /^Reports/ }).focus();
const text = async (page: Page, selector: string): Promise<string> =>
  (await page.locator(selector).innerText()).replace(/[\s\u202f\u202f]+/g, ' ');

/** "30.0849° S 022.4128° E" as [longitude, latitude]. */
async function landing(page: Page): Promise<[number, number]> {
  await openTab(page, 'Descent');
  const [, lat = '', ns, lon = '', ew] =
    /([\d.]+)° ([NS]) ([\d.]+)° ([EW])/.exec(await page.locator('#landing-degrees').innerText()) ?? [];
  await openTab(page, 'Reports');
  return [Number(lon) * (ew === 'W' ? -1 : 1), Number(lat) * (ns === 'S' ? -1 : 1)];
}

/** The demo's canopy left to drift, so that the landing goes with the wind. */
function drifting(mission: string): string {
  const plan = JSON.parse(readFileSync(mission, 'utf8')) as { jumper: { canopy: { steering: unknown } } };
  plan.jumper.canopy.steering = { policy: 'drift' };
  writeFileSync(mission, JSON.stringify(plan));
  return mission;
}

/** What a report that counts says of its weight. */
const COUNTS = /takes \d+\s% of the forecast’s error/;

describeBrowser('a report that is typed', () => {
  it('is read back in words and arrow while typing, asked about and logged by the keys that are named, and moves the landing downwind', async () => {
    const mission = drifting(bench.copy('salt-plain'));
    const { page, complaints } = await bench.shown(mission);
    const before = await landing(page);
    await type(page, 'Ground One 300/14 kt 3 min ago');
    // The declination here is some 24° west: a crew's 300° may be magnetic, so it is asked.
    await poll(() => words(page)).toMatch(/true or magnetic\? T 300° true, M 300° magnetic/);
    await page.keyboard.press('Enter');
    await poll(() => words(page)).toMatch(/^Which/);
    // Esc goes back to the text, where the line can say it itself.
    await page.keyboard.press('Escape');
    await type(page, 'Ground One 300/14 kt true 3 min ago');
    // 14 kt are 7.2 m/s; 300° − 180° = 120°.
    await poll(() => words(page)).toMatch(
      /from 300° \(north-west\), 14\skt \(7\.2\sm\/s\), blowing toward 120° \(south-east\)/,
    );
    expect(await words(page)).toContain('crew Ground One');
    expect(await page.locator('#entry-words .wind-arrow g').getAttribute('transform')).toBe('rotate(300)');
    // One line and the keys that the prompt names: Enter, then T. Nothing else is pressed.
    await type(page, 'Ground One 300/14 kt 3 min ago');
    await page.keyboard.press('Enter');
    await poll(() => words(page)).toMatch(/^Which/);
    await page.keyboard.press('t');
    await row(page, 'w6').waitFor();
    await poll(() => words(page)).toMatch(/^Landing moved \d+\sm toward \d{3}°/);
    const said = await words(page);
    const after = await landing(page);
    // Which way and how far, by the geodesic between the two places as they are shown (0.0001°: 11 m).
    const way = geodesic.Geodesic.WGS84.Inverse(before[1], before[0], after[1], after[0]);
    const [, metres = '', bearing = ''] = /moved (\d+) m toward (\d{3})°/.exec(said.replace(/\u202f/g, ' ')) ?? [];
    expect(Math.abs(Number(metres) - (way.s12 ?? NaN))).toBeLessThan(25);
    expect(Math.abs(((Number(bearing) - (way.azi1 ?? NaN) + 540) % 360) - 180)).toBeLessThan(15);
    expect(said).toContain('because Ground One’s wind (w6) came in');
    // More wind from 300° than was thought: the landing lies farther toward 120° than before.
    expect(Math.abs(((Number(bearing) - 120 + 540) % 360) - 180)).toBeLessThan(60);
    const last = logOf(mission).at(-1);
    expect(last).toMatchObject({
      kind: 'wind-report',
      id: 'w6',
      seq: 11,
      source: 'crew',
      by: 'Ground One',
      from_deg: 300,
      agl_m: 2,
    });
    // An exercise's event carries the exercise's time: not before the newest of its log, and not the computer's.
    expect(Date.parse(last?.at ?? '')).toBeGreaterThanOrEqual(Date.parse(LAST['salt-plain']));
    expect(Date.parse(last?.at ?? '')).toBeLessThan(Date.parse(LAST['salt-plain']) + 600_000);
    // What is logged is not undone.
    await page.locator('#entry-line').blur();
    await page.keyboard.press('Control+Z');
    await poll(() => words(page)).toBe(
      'Nothing of the plan to undo. A report in the log stays: “withdraw w6” and why takes it out.',
    );
    expect(await row(page, 'w6').count()).toBe(1);
    expect(complaints).toEqual([]);
  });

  it('stays on the line where it could not be logged, and goes with the next Enter', async () => {
    const mission = bench.copy('salt-plain');
    const { page } = await bench.shown(mission);
    // A folder in the log's place: nothing can be written there.
    const log = readFileSync(logPath(mission));
    rmSync(logPath(mission));
    mkdirSync(logPath(mission));
    const line = 'Ground One 300/14 kt true';
    await type(page, line);
    await page.keyboard.press('Enter');
    await poll(() => words(page)).toMatch(/^Not logged: ./);
    expect(await page.locator('#entry-line').inputValue()).toBe(line);
    rmdirSync(logPath(mission));
    writeFileSync(logPath(mission), log);
    await page.locator('#entry-line').press('Enter');
    await row(page, 'w6').waitFor();
    await poll(() => page.locator('#entry-line').inputValue()).toBe('');
    expect(logOf(mission).filter((event) => event.kind === 'wind-report' && event.id === 'w6').length).toBe(1);
  });

  it('is entered by whoever sits there, if they say so', async () => {
    const mission = bench.copy('salt-plain');
    const { page } = await bench.shown(mission);
    await type(page, 'I am winds desk');
    await page.keyboard.press('Enter');
    await poll(() => words(page)).toContain('written as by winds desk');
    await report(page, 'Ground Two 310/7 kt true', 'w6');
    expect(logOf(mission).at(-1)).toMatchObject({ id: 'w6', by: 'Ground Two', enteredBy: 'winds desk' });
  });
});

describeBrowser('a report that looks turned round', () => {
  it('is held back with what it looks like, and counts after one key', async () => {
    const mission = drifting(bench.copy('salt-plain'));
    const { page } = await bench.shown(mission);
    const before = await landing(page);
    // The reciprocal of the demo's north-west wind: TOWARD given as FROM.
    await report(page, 'Ground Two 127/14 kt true', 'w6');
    await poll(() => rowText(page, 'w6')).toContain('held back');
    await poll(() => words(page)).toContain('looks like a wind given TOWARD instead of FROM');
    expect(await landing(page)).toEqual(before);
    const decide = page.getByRole('region', { name: 'Held back' });
    expect(await decide.innerText()).toContain('correct it to from 307° (north-west)');
    await focusList(page);
    await page.keyboard.press('Home');
    await page.keyboard.press('c');
    await poll(() => rowText(page, 'w6')).toMatch(COUNTS);
    expect(logOf(mission).at(-1)).toMatchObject({ kind: 'confirmation', of: 'w6' });
    await poll(async () => (await landing(page)).join()).not.toBe(before.join());
    await part(page, 'What moved');
    expect(
      await page
        .getByRole('list', { name: /What moved/ })
        .locator('li')
        .first()
        .innerText(),
    ).toContain('w6 was confirmed');
  });

  it('is corrected by the suggestion with two keys, and stays visible, struck, with who and when', async () => {
    const mission = bench.copy('salt-plain');
    const { page } = await bench.shown(mission);
    await type(page, 'I am winds desk');
    await page.keyboard.press('Enter');
    await report(page, 'Ground Two 127/14 kt true', 'w6');
    await poll(() => rowText(page, 'w6')).toContain('held back');
    await focusList(page);
    await page.keyboard.press('Home');
    await page.keyboard.press('e');
    await poll(() => page.locator('#entry-line').inputValue()).toBe('correct w6 from 307° true');
    await poll(() => words(page)).toMatch(
      /^Enter corrects w6: from 307° \(north-west\), .*blowing toward 127° \(south-east\)/,
    );
    await page.keyboard.press('Enter');
    await row(page, 'w7').waitFor();
    await poll(() => rowText(page, 'w7')).toMatch(COUNTS);
    expect(await rowText(page, 'w6')).toMatch(
      /struck: corrected by winds desk at 07:2\d(:\d\d)?Z: "w7" stands in its place/,
    );
    expect(
      await row(page, 'w6')
        .locator('.report-wind')
        .evaluate((el) => getComputedStyle(el).textDecorationLine),
    ).toBe('line-through');
    expect(logOf(mission).at(-1)).toMatchObject({
      kind: 'correction',
      corrects: 'w6',
      id: 'w7',
      by: 'Ground Two',
      from_deg: 307,
    });
    // 14 kt, kept to the digit that was logged.
    expect(logOf(mission).at(-1)).toHaveProperty('speed_mps', Number((14 * KT).toFixed(3)));
  });
});

describeBrowser('withdrawing and contradicting', () => {
  it('withdraws with a reason, which is asked for and kept', async () => {
    const mission = bench.copy('salt-plain');
    const { page } = await bench.shown(mission);
    await focusList(page);
    await page.keyboard.press('Home');
    expect(await page.locator('#reports [aria-selected=true]').innerText()).toContain('w5');
    await page.keyboard.press('w');
    await poll(() => page.locator('#entry-line').inputValue()).toBe('withdraw w5 ');
    await poll(() => words(page)).toContain('why?');
    await page.keyboard.press('Enter');
    expect(logOf(mission)).toHaveLength(10);
    await page.keyboard.type('read from the wrong card');
    await page.keyboard.press('Enter');
    await poll(() => rowText(page, 'w5')).toMatch(/withdrawn at 07:2\d(:\d\d)?Z: read from the wrong card/);
    expect(logOf(mission).at(-1)).toMatchObject({ kind: 'withdrawal', of: 'w5', reason: 'read from the wrong card' });
  });

  it('shows two that contradict each other side by side', async () => {
    const { page } = await bench.shown(bench.copy('salt-plain'));
    await report(page, 'station at Saltbell North 305/6 kt', 'w6');
    await report(page, 'station at Saltbell North 045/32 kt', 'w7');
    const pair = page.getByRole('region', { name: 'Reports that contradict each other' });
    await pair.waitFor();
    expect(await pair.innerText()).toMatch(/w6[\s\S]*w7/);
    expect(await pair.locator('.side').count()).toBe(2);
    const [a, b] = await pair
      .locator('.side')
      .evaluateAll((sides) => sides.map((side) => side.getBoundingClientRect().top));
    expect(a).toBe(b);
  });
});

describeBrowser('bad input in the log', () => {
  it('is each visible with its documented answer, and the rest counts', async () => {
    const last = LAST['salt-plain'];
    const good = {
      source: 'station',
      by: 'Marrow Well',
      position: [22.453993, -30.028014],
      agl_m: 10,
      from_deg: 310,
      speed_mps: 3.4,
    };
    let seq = 0;
    const event = (more: object): object => ({
      seq: (seq += 1),
      at: last,
      kind: 'wind-report',
      observedAt: at(last, -600),
      ...good,
      ...more,
    });
    const log = [
      event({ id: 'good' }),
      event({ id: 'future', observedAt: at(last, 3600) }),
      event({ id: 'old', observedAt: at(last, -3 * 86_400) }),
      event({ id: 'far', position: [22.453993 + 4.2, -30.028014] }),
      event({ id: 'high', agl_m: undefined, height_m: 90_000 }),
      event({ id: 'fast', speed_mps: 200 }),
      event({ id: 'again' }),
      event({ id: 'fix', kind: 'correction', corrects: 'w99', by: 'Ground Two', source: 'crew', agl_m: 2 }),
      { ...event({ id: 'gap', by: 'Gap Mast' }), seq: (seq += 3) },
    ];
    const mission = bench.copy('salt-plain', log);
    appendRaw(
      mission,
      `{"seq":${seq + 1},"at":"${last}","kind":"note","te\n{"seq":${seq + 2},"at":"${last}","kind":"note","text":"after"}\n{"seq":`,
    );
    const { page } = await bench.shown(mission);
    await row(page, 'good').waitFor();
    // core/log/fate.ts: the bounds and their reasons.
    const answers: readonly (readonly [id: string, pattern: RegExp])[] = [
      ['good', COUNTS],
      ['future', /after it was logged: the time is wrong/],
      ['old', /3 days old; a report counts for/],
      ['far', /40\d km away; a report counts up to/],
      ['high', /a wind at 90 km is outside the air/],
      ['fast', /a wind of 200\.0 m\/s does not occur/],
      ['again', /word for word the same as "good"/],
      ['fix', COUNTS],
      ['gap', COUNTS],
    ];
    for (const [id, pattern] of answers) {
      const option = row(page, id);
      const why = `${await option.innerText()} ${(await option.locator('.report-why').getAttribute('title')) ?? ''}`;
      expect(why.replace(/\s+/g, ' '), id).toMatch(pattern);
    }
    expect(await page.getByRole('group', { name: 'Which reports' }).innerText()).toMatch(
      /9 all[\s\S]*3 count[\s\S]*6 do not count/,
    );
    await openTab(page, 'Problems');
    const problems = await page.getByRole('tabpanel').innerText();
    expect(problems).toMatch(/log, line 10[\s\S]*no JSON/);
    expect(problems).toMatch(/the last line is torn/);
    expect(problems).toMatch(/seq 9 to 10 are missing|seq 9 to 11 are missing/);
    expect(problems).toMatch(/corrects "w99", which the log does not have/);
    await openTab(page, 'Log');
    expect(await page.getByRole('list', { name: /^Log/ }).innerText()).toContain('after');
    // Typed: a correction of an unknown id, a wind that cannot be, a time that cannot be.
    for (const [line, answer] of [
      ['correct w77 from 120', /The log has no report w77/],
      ['Ground One 300/400 kt', /a wind of 206 m\/s; expected 0 to 150/],
      ['Ground One 300/7 kt 30 hours ago', /older than a day/],
    ] as const) {
      await type(page, line);
      await poll(() => words(page)).toMatch(answer);
    }
  });

  it('a log without a recent surface wind says so, with the limit', async () => {
    const log = logOf(bench.copy('salt-plain')).filter((event) => !('id' in event && event.id === 'w5'));
    const { page } = await bench.shown(bench.copy('salt-plain', log));
    // w4 was observed at 06:33Z, 51 minutes before the log's end at 07:24Z; the default limit is 1800 s
    // (core/advice/limits.ts).
    const notice = /The newest surface wind \(Marrow Well, w4\) is 51.min old; the limit is 30.min/;
    expect(await page.getByRole('tabpanel').innerText()).toMatch(notice);
    expect(await page.getByRole('list', { name: 'Sources' }).innerText()).toMatch(notice);
  });
});

describeBrowser('the wind column', () => {
  it('draws reports, analysis and another hour, and says the difference; all by keys', async () => {
    const { page } = await bench.shown(bench.copy('salt-plain'));
    const sources = page.getByRole('list', { name: 'Sources' });
    await poll(() => sources.innerText()).toMatch(
      /forecast and 5 reports, band: error[\s\S]*the forecast alone[\s\S]*report/,
    );
    await page.keyboard.press('Alt+R');
    const slider = page.getByRole('slider', { name: 'Hour of the wind shown' });
    expect(await slider.getAttribute('aria-valuetext')).toBe('07:42Z (exit)');
    await page.getByRole('button', { name: 'Compare' }).click();
    await slider.focus();
    await page.keyboard.press('End');
    await poll(() => slider.getAttribute('aria-valuetext')).toMatch(/^12:00Z, 4\sh\s18\smin after exit$/);
    const compared = page.locator('#wind-compared');
    await compared.waitFor();
    expect(await text(page, '#wind-compared')).toMatch(
      /against exit \(from \d{3}° \([a-z-]+\), \d+ kt\)\. Most at \d[\d ]* m MSL: \d+ kt apart/,
    );
    expect(await sources.innerText()).toContain('07:42Z (exit)');
    // At 12Z the forecast stands alone but for what the reports are still worth: the plan's own 12Z file, from 294° at
    // 951 m.
    const reading = await text(page, '#wind-reading');
    const [, from = ''] = /from (\d{3})°/.exec(reading) ?? [];
    expect(Math.abs(Number(from) - 294)).toBeLessThan(12);
    await page.getByRole('button', { name: 'Compare' }).click();
    await compared.waitFor({ state: 'detached' });
    await slider.focus();
    await page.keyboard.press('Home');
    await poll(() => slider.getAttribute('aria-valuetext')).toMatch(/before exit$/);
  });
});

describeBrowser('what to observe next', () => {
  it('is ranked, and said', async () => {
    const { page } = await bench.shown(bench.copy('salt-plain'));
    await part(page, 'Observe next');
    const region = page.getByRole('region', { name: 'What to observe next' });
    await region.waitFor();
    expect(await region.getByRole('status').innerText()).toMatch(/would shrink the 90.% area by \d+.%/);
    const shares = (await region.locator('td .shrinks').allInnerTexts()).map((share) =>
      share.startsWith('under') ? 0 : parseInt(share, 10),
    );
    expect(shares.length).toBeGreaterThan(4);
    expect(shares).toEqual(shares.toSorted((a, b) => b - a));
    // A balloon that goes higher sees all that one to a lower height sees.
    const rows = await region.locator('tbody tr').allInnerTexts();
    const order = rows.filter((one) => one.startsWith('A pilot balloon to')).map((one) => parseInt(one.slice(18), 10));
    expect(order).toEqual(order.toSorted((a, b) => b - a));
  });
});

describeBrowser('replay', () => {
  it('any past moment shows what was known then, and says that it is the past', async () => {
    const mission = bench.copy('salt-plain');
    const { page } = await bench.shown(mission);
    const now = await landing(page);
    await page.keyboard.press('Alt+B');
    const slider = page.getByRole('slider', { name: 'Moment looked at' });
    // The first report came in at 04:25Z; an hour and a half of steps back from the log's start is before all of them.
    await page.keyboard.press('Home');
    const past = page.getByRole('status', { name: 'The past is shown' });
    await past.waitFor();
    expect(await past.innerText()).toContain('as known then');
    await poll(() => page.getByRole('tabpanel').innerText()).toContain('No wind has been reported by then');
    expect(await landing(page)).not.toEqual(now);
    // Forward by five minutes a key until after w1 (04:25Z) and before w2 (05:02Z).
    await slider.focus();
    const shown = async (): Promise<number> => Number(await slider.getAttribute('aria-valuenow')) * 1000;
    for (let i = 0; i < 60 && (await shown()) < Date.parse('2027-04-14T04:30:00Z'); i++)
      await page.keyboard.press('PageUp');
    expect(await shown()).toBeLessThan(Date.parse('2027-04-14T05:02:00Z'));
    await row(page, 'w1').waitFor();
    expect(await page.getByRole('option').count()).toBeGreaterThan(0);
    expect(await row(page, 'w2').count()).toBe(0);
    await focusList(page);
    await page.keyboard.press('Home');
    await page.keyboard.press('w');
    await poll(() => words(page)).toContain('The past is looked at');
    expect(logOf(mission)).toHaveLength(10);
    await page.keyboard.press('Alt+N');
    await past.waitFor({ state: 'detached' });
    await row(page, 'w5').waitFor();
    expect(await landing(page)).toEqual(now);
  });
});

describeBrowser('feeds', () => {
  const watch = async (page: Page, path: string): Promise<void> => {
    await part(page, 'Feeds');
    await page.getByLabel('Folder or station file to watch').fill(path);
    await page.getByRole('button', { name: 'Watch', exact: true }).click();
    await page.getByRole('list', { name: 'Feeds' }).waitFor();
  };
  const feed = (page: Page): Promise<string> => page.getByRole('list', { name: 'Feeds' }).innerText();

  it('a watched folder gives a METAR as a station’s wind, once', async () => {
    const mission = bench.copy('salt-plain');
    const folder = bench.folder();
    writeFileSync(join(folder, 'before.txt'), 'METAR FAXX 140600Z 29005KT CAVOK 18/06 Q1018=\n');
    const { page } = await bench.shown(mission);
    await watch(page, folder);
    writeFileSync(join(folder, 'one.txt'), 'METAR FAXX 140720Z 31008G15KT CAVOK 19/05 Q1018=\n');
    await poll(() => feed(page)).toContain('one wind entered');
    expect(logOf(mission).at(-1)).toMatchObject({
      id: 'f1',
      source: 'station',
      by: 'FAXX',
      observedAt: '2027-04-14T07:20:00Z',
      agl_m: 10,
      from_deg: 310,
      speed_mps: Number((8 * KT).toFixed(3)),
      gust_mps: Number((15 * KT).toFixed(3)),
    });
    await poll(() => words(page)).toContain('FAXX’s wind (f1) came in');
    // The same report under another name is the same report.
    writeFileSync(join(folder, 'two.txt'), 'METAR FAXX 140720Z 31008G15KT CAVOK 19/05 Q1018=\n');
    await poll(() => feed(page)).toContain('1 were in the log already');
    writeFileSync(join(folder, 'boats.txt'), 'We saw three boats.\n');
    await poll(() => feed(page)).toContain('boats.txt: no new wind');
    expect(logOf(mission)).toHaveLength(11);
    await part(page, 'Reports');
    await row(page, 'f1').waitFor();
    await part(page, 'Feeds');
    await page.getByRole('button', { name: /^Stop watching/ }).click();
    await poll(() => words(page)).toContain('is watched no longer');
    await page.getByRole('list', { name: 'Feeds' }).waitFor({ state: 'detached' });
  });

  it('a watched folder goes on after F5, and after a restart of the desk it is off until a person switches it on', async () => {
    const mission = bench.copy('salt-plain');
    const folder = bench.folder();
    const { page, url } = await bench.shown(mission);
    const metar = (time: string): string => `METAR FAXX 14${time}Z 31008KT CAVOK 19/05 Q1018=\n`;
    await watch(page, folder);
    await page.reload();
    await part(page, 'Feeds');
    await poll(() => feed(page)).toContain('Nothing new yet.');
    writeFileSync(join(folder, 'one.txt'), metar('0700'));
    await poll(() => feed(page)).toContain('one wind entered');
    expect(logOf(mission)).toHaveLength(11);
    // A desk that knows nothing of the feed, as after its restart; the page has no part in it.
    const stranger = await Stranger.at(url);
    expect(await stranger.stopFeed(realpathSync(folder))).toBe(true);
    stranger.close();
    await poll(() => feed(page)).toContain('Off: the desk was started again, or it was stopped elsewhere');
    await page.reload();
    await part(page, 'Feeds');
    await poll(() => feed(page)).toContain('Off: the desk was started again, or it was stopped elsewhere');
    writeFileSync(join(folder, 'two.txt'), metar('0705'));
    await page.getByRole('button', { name: /^Switch on/ }).click();
    await poll(() => feed(page)).not.toContain('Off:');
    writeFileSync(join(folder, 'three.txt'), metar('0710'));
    await poll(() => feed(page)).toContain('one wind entered');
    // What came while it was off is not entered behind anybody's back.
    expect(
      logOf(mission)
        .map((event) => ('observedAt' in event ? event.observedAt : null))
        .slice(-2),
    ).toEqual(['2027-04-14T07:00:00Z', '2027-04-14T07:10:00Z']);
    await page.getByRole('button', { name: /^Stop watching/ }).click();
    await page.getByRole('list', { name: 'Feeds' }).waitFor({ state: 'detached' });
  });

  it('a station file gives each new row, with the names of the columns from its head', async () => {
    const mission = bench.copy('salt-plain');
    const file = join(bench.folder(), 'mast.csv');
    const head =
      '# source: Pan Mast\n# position: 22.41, -30.09\nvalidTime,from_deg,speed_mps,height_agl_m\n2027-04-14T07:00:00Z,300,3.0,10\n';
    writeFileSync(file, head);
    const { page } = await bench.shown(mission);
    await watch(page, file);
    writeFileSync(file, `${head}2027-04-14T07:10:00Z,305,3.5,10\n2027-04-14T07:20:00Z,306,3.6,10\n`);
    await poll(() => feed(page)).toContain('2 winds entered');
    const [first, second] = logOf(mission).slice(-2);
    expect(logOf(mission)).toHaveLength(12);
    expect(first).toMatchObject({
      id: 'f1',
      source: 'station',
      by: 'Pan Mast',
      observedAt: '2027-04-14T07:10:00Z',
      agl_m: 10,
      from_deg: 305,
    });
    expect(second).toMatchObject({ id: 'f2', observedAt: '2027-04-14T07:20:00Z', from_deg: 306, speed_mps: 3.6 });
  });

  it('a balloon’s track gives the wind that carried it, with its error', async () => {
    const mission = bench.copy('salt-plain');
    const folder = bench.folder();
    const { page } = await bench.shown(mission);
    await watch(page, folder);
    // Carried by 6 m/s toward 125° while it rises 4 m/s for five minutes: a wind from 305°. Places by the geodesic
    // (geographiclib).
    const points = Array.from({ length: 31 }, (_, i) => {
      const { lat2 = NaN, lon2 = NaN } = geodesic.Geodesic.WGS84.Direct(-30.09, 22.41, 125, 6 * 10 * i);
      return `<trkpt lat="${lat2.toFixed(8)}" lon="${lon2.toFixed(8)}"><ele>${960 + 40 * i}</ele><time>${at('2027-04-14T07:15:00Z', 10 * i)}</time></trkpt>`;
    });
    const gpx = `<gpx version="1.1" creator="test" xmlns="http://www.topografix.com/GPX/1/1"><trk><name>Pibal 3</name><trkseg>${points.join('')}</trkseg></trk></gpx>`;
    writeFileSync(join(folder, 'pibal.gpx'), gpx);
    await poll(() => feed(page)).toMatch(/\d+ winds entered, f1 to f\d/);
    const winds = logOf(mission).slice(10);
    expect(winds.length).toBeGreaterThan(2);
    for (const wind of winds) {
      expect(wind).toMatchObject({ kind: 'wind-report', source: 'pilot-balloon', by: 'Pibal 3' });
      if (wind.kind !== 'wind-report') continue;
      expect(Math.abs(wind.from_deg - 305)).toBeLessThan(0.5);
      expect(Math.abs(wind.speed_mps - 6)).toBeLessThan(0.05);
      expect(wind.std_mps ?? 0).toBeGreaterThan(0.4);
      expect(wind.height_m ?? 0).toBeGreaterThan(960);
    }
  });
});

/** How long each entered report took to its drawn landing, ms, by the page's own marks. */
const waits = (page: Page): Promise<number[]> =>
  page.evaluate(() => {
    const entered = performance.getEntriesByName('plumbline:report-entered').map((mark) => mark.startTime);
    const drawn = performance.getEntriesByName('plumbline:landing-drawn').map((mark) => mark.startTime);
    return entered.flatMap((from, i) => {
      const to = drawn.find((one) => one > from && one < (entered[i + 1] ?? Infinity));
      return to === undefined ? [] : [to - from];
    });
  });

describeBrowser('many reports', () => {
  it('ten thousand reports: the list draws a screenful, walks to its end, filters, and a new report still moves the landing', async () => {
    const last = Date.parse(LAST['salt-plain']);
    const log = Array.from({ length: 10_000 }, (_, i) => {
      const time = `${new Date(last - (10_000 - i) * 700).toISOString().slice(0, 19)}Z`;
      return {
        seq: i + 1,
        at: time,
        kind: 'wind-report',
        id: `m${i + 1}`,
        source: 'station',
        by: `Mast ${i % 17}`,
        observedAt: time,
        position: [22.4 + (i % 17) * 0.002, -30.09],
        agl_m: 10,
        from_deg: 300 + (i % 13),
        speed_mps: 3 + (i % 7) * 0.2,
      };
    });
    const mission = bench.copy('salt-plain', log);
    const { page } = await bench.shown(mission);
    const drawn = (): Promise<number> => page.getByRole('option').count();
    await poll(() => page.getByRole('group', { name: 'Which reports' }).innerText()).toContain('10000 all');
    expect(await page.locator('#reports [role=option]').count()).toBeLessThan(40);
    await focusList(page);
    await page.keyboard.press('Home');
    await page.keyboard.press('End');
    await poll(() => page.locator('#reports [aria-selected=true]').innerText()).toMatch(/^m1 /);
    expect(await page.locator('#reports [role=option]').count()).toBeLessThan(40);
    await page.getByRole('searchbox').fill('mast 16 303');
    await poll(() => page.getByRole('listbox', { name: /^Reports/ }).getAttribute('aria-label')).toMatch(
      /^Reports, \d+ of 10000/,
    );
    await page.getByRole('searchbox').fill('');
    await focusList(page);
    await page.keyboard.press('Home');
    await report(page, 'Ground One 310/9 kt true', 'w1');
    await poll(async () => (await waits(page)).length).toBe(1);
    await poll(() => words(page)).toMatch(/^Landing (moved|stays)/);
    const tick = await page.evaluate(async () => {
      // The longest task while the clock goes on for two seconds: what a person would feel as a stutter.
      let longest = 0;
      let before = performance.now();
      const end = before + 2200;
      while (performance.now() < end) {
        await new Promise((resolve) => requestAnimationFrame(resolve));
        longest = Math.max(longest, performance.now() - before);
        before = performance.now();
      }
      return longest;
    });
    const [wait = NaN] = await waits(page);
    console.info(
      `10 001 reports: a new one to its landing ${wait.toFixed(0)} ms; longest frame of two idle seconds ${tick.toFixed(0)} ms`,
    );
    await openTab(page, 'Log');
    expect(await page.getByRole('list', { name: /^Log/ }).locator('li').count()).toBeLessThanOrEqual(200);
    expect(await page.locator('.rail svg path').count()).toBeLessThan(2000);
    expect(await drawn()).toBeLessThan(200);
    expect(logOf(mission)).toHaveLength(10_001);
  });
});

describe('the folder of a log', () => {
  it('is beside its mission', () => expect(logPath('/a/x.mission.json')).toBe('/a/x.log.jsonl'));
});
