// `plumbline follow`: recorded tracks taken as if they came now, in the time of their own stamps; one answer per step.
import { isoOf } from '../../core/base/plainNumbers.ts';
import { readFile } from 'node:fs/promises';
import { basename } from 'node:path';
import { readTrack } from '../../core/formats/tracks/track.ts';
import { roughDuration, clock } from '../../core/words/times.ts';
import { spreadSize } from '../../core/words/lengths.ts';
import type { LiveFix } from '../../core/live/filter.ts';
import { Live, type LiveStep } from '../../core/live/follow.ts';
import { situationOf, askMission, wholeNumber } from './ask.ts';
import { complainOf, REFUSED, type Output } from './output.ts';
import { sentenceOf } from '../files/trouble.ts';

interface BodyFix extends LiveFix {
  readonly body: string;
}

export async function runFollow(args: readonly string[], output: Output): Promise<number> {
  const kinds = { json: 'flag', at: 'value', feed: 'values', every: 'value', members: 'value', seed: 'value' } as const;
  const ask = await askMission('follow', withFeeds(args), kinds, output);
  if (ask === null) return REFUSED;
  const { options } = ask;
  const every_s = wholeNumber('follow', 'every', options.every, { otherwise: 10, min: 1, max: 3600 }, output);
  const members = wholeNumber('follow', 'members', options.members, { otherwise: 200, min: 50, max: 100_000 }, output);
  const seed = wholeNumber('follow', 'seed', options.seed, { otherwise: 1, min: 0, max: 2 ** 31 - 1 }, output);
  const situation = situationOf('follow', ask.loaded, options.at, output);
  if (every_s === null || members === null || seed === null || situation === null) return REFUSED;
  const feeds = options.feed ?? [];
  if (feeds.length === 0) {
    output.complain('plumbline follow: no feed; expected --feed BODY=PATH, such as --feed jumper=track.nmea');
    return REFUSED;
  }
  const fixes: BodyFix[] = [];
  for (const feed of feeds) if (!(await readFeed(feed, fixes, output))) return REFUSED;
  fixes.sort((a, b) => a.time_s - b.time_s);
  const live = new Live(situation, { members, seed });
  let next_s = NaN;
  for (const [i, fix] of fixes.entries()) {
    if (Number.isNaN(next_s)) next_s = fix.time_s + every_s;
    for (; next_s <= fix.time_s; next_s += every_s) print(live.step(next_s), options.json === true, output);
    live.fix(fix.body, fix);
    if (i === fixes.length - 1) print(live.step(fix.time_s), options.json === true, output);
  }
  return 0;
}

/** `--feed a=x b=y` is `--feed a=x --feed b=y`. */
const withFeeds = (args: readonly string[]): string[] =>
  args.flatMap((arg, i) => (/^[^-=][^=]*=./.test(arg) && args[i - 1] !== '--feed' ? ['--feed', arg] : [arg]));

/** Reads the track of one `BODY=PATH` into the list; false where it was refused, which has then been said. */
async function readFeed(feed: string, fixes: BodyFix[], output: Output): Promise<boolean> {
  const at = feed.indexOf('=');
  const [body, path] = [feed.slice(0, at), feed.slice(at + 1)];
  if (at <= 0 || path === '') {
    output.complain(`plumbline follow: --feed "${feed}"; expected BODY=PATH, such as jumper=track.nmea`);
    return false;
  }
  if (/^(tcp|udp):/.test(path)) {
    output.complain(`plumbline follow: --feed "${feed}": feeds over the network are not read yet; expected a file`);
    return false;
  }
  try {
    const read = readTrack(basename(path), new Uint8Array(await readFile(path)), {});
    for (const problem of read.problems) complainOf(path, problem, output);
    const found = read.value.flatMap((track) => track.fixes);
    let count = 0;
    for (const { time_s, position, height_m, valid } of found) {
      if (time_s === null || height_m === null || !valid) continue;
      fixes.push({ body, time_s, position, height_m });
      count += 1;
    }
    if (count === 0) complainOf(path, { line: 0, text: 'no fix with a time and a height; expected a track' }, output);
    return count > 0;
  } catch (error) {
    complainOf(path, { line: 0, text: sentenceOf(error) }, output);
    return false;
  }
}

function print(step: LiveStep, json: boolean, output: Output): void {
  output.print(json ? JSON.stringify(dataOf(step)) : wordsOf(step));
}

/** The documented shape (FORMAT.md). */
function dataOf({ at_s, phases, ahead, alerts }: LiveStep): object {
  const { landing, statistics } = ahead;
  return {
    at: isoOf(at_s),
    phases: Object.fromEntries(
      Object.entries(phases).map(([body, { phase, since_s, confidence }]) => [
        body,
        { phase, since: isoOf(since_s), confidence },
      ]),
    ),
    landing: landing === null ? null : { position: landing.position, at: isoOf(landing.at_s) },
    ellipses: statistics?.ellipses ?? null,
    mean: statistics?.mean ?? null,
    alerts: alerts.map(({ kind, since_s, text }) => ({ kind, since: isoOf(since_s), text })),
  };
}

function wordsOf({ at_s, phases, ahead, alerts }: LiveStep): string {
  const told = Object.entries(phases).map(
    ([body, { phase, since_s }]) => `${body} ${phase} for ${roughDuration(at_s - since_s)}`,
  );
  const ellipse = ahead.statistics?.ellipses['90'];
  const spread = ellipse === undefined ? '' : `, ${spreadSize(90, ellipse)}`;
  const landing = ahead.landing === null ? 'no landing' : `landing ${clock(ahead.landing.at_s)}${spread}`;
  return [
    `${clock(at_s)}  ${[...told, landing].join('; ')}`,
    ...alerts.map((one) => `  ${one.kind}: ${one.text}`),
  ].join('\n');
}
