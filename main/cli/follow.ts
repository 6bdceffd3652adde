// `plumbline follow`: recorded tracks, and links to receivers, taken as if they came now, in the time of their own
// stamps; one answer per step.
import { isoOf } from '../../core/base/plainNumbers.ts';
import { readFile } from 'node:fs/promises';
import { basename } from 'node:path';
import { readTrack } from '../../core/formats/tracks/track.ts';
import { roughDuration, clock } from '../../core/words/times.ts';
import { spreadSize } from '../../core/words/lengths.ts';
import { alertName } from '../../core/log/silences.ts';
import type { LiveFix } from '../../core/live/filter.ts';
import { Live, type LiveStep } from '../../core/live/follow.ts';
import { situationOf, askMission, wholeNumber } from './ask.ts';
import { complainOf, REFUSED, type Output } from './output.ts';
import { FixStream, type StreamNews } from '../../core/formats/tracks/stream.ts';
import { Link, linkAddress } from '../feeds/links.ts';
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
  const links: { readonly body: string; readonly address: string }[] = [];
  for (const feed of feeds) {
    const at = feed.indexOf('=');
    const [body, path] = [feed.slice(0, at), feed.slice(at + 1)];
    if (at <= 0 || path === '') {
      output.complain(`plumbline follow: --feed "${feed}"; expected BODY=PATH, such as jumper=track.nmea`);
      return REFUSED;
    }
    if (/^(tcp|udp):/.test(path)) links.push({ body, address: path });
    else if (!(await readFeed(body, path, fixes, output))) return REFUSED;
  }
  fixes.sort((a, b) => a.time_s - b.time_s);
  const steps = new Steps(new Live(situation, { members, seed }), every_s, (step) =>
    print(step, options.json === true, output),
  );
  for (const fix of fixes) steps.take(fix);
  const heard = await Promise.all(links.map((link) => followLink(link, steps, output)));
  steps.end();
  return heard.every((count) => count > 0) ? 0 : REFUSED;
}

/** A step whenever the fixes have gone on by so many seconds, and one at the last of them. */
class Steps {
  readonly #live: Live;
  readonly #every_s: number;
  readonly #tell: (step: LiveStep) => void;
  #next_s = NaN;
  #last_s = NaN;

  constructor(live: Live, every_s: number, tell: (step: LiveStep) => void) {
    this.#live = live;
    this.#every_s = every_s;
    this.#tell = tell;
  }

  take(fix: BodyFix): void {
    if (Number.isNaN(this.#next_s)) this.#next_s = fix.time_s + this.#every_s;
    for (; this.#next_s <= fix.time_s; this.#next_s += this.#every_s) this.#tell(this.#live.step(this.#next_s));
    this.#live.fix(fix.body, fix);
    this.#last_s = Math.max(fix.time_s, Number.isNaN(this.#last_s) ? -Infinity : this.#last_s);
  }

  end(): void {
    if (!Number.isNaN(this.#last_s)) this.#tell(this.#live.step(this.#last_s));
  }
}

/** Follows a link until its far end closes it; answers how many fixes came. What is wrong is said as it comes. */
function followLink(
  { body, address }: { readonly body: string; readonly address: string },
  steps: Steps,
  output: Output,
): Promise<number> {
  const to = linkAddress(address);
  if (typeof to === 'string') {
    output.complain(`plumbline follow: ${to}`);
    return Promise.resolve(0);
  }
  const stream = new FixStream();
  let count = 0;
  const take = ({ fixes, problem }: StreamNews): void => {
    if (problem !== null) complainOf(address, { line: 0, text: problem }, output);
    for (const { time_s, position, height_m } of fixes) {
      if (height_m === null) continue;
      count += 1;
      steps.take({ body, time_s, position, height_m });
    }
  };
  const now_s = (): number => Date.now() / 1000;
  return new Promise((resolve) => {
    const link = new Link(
      to,
      {
        line: (line) => take(stream.take(line, now_s())),
        state(state, why) {
          if (state !== 'ended') return;
          take(stream.flush(now_s()));
          link.stop();
          complainOf(address, { line: 0, text: count === 0 ? `${why}; no fix with a height came` : why }, output);
          resolve(count);
        },
      },
      { once: true },
    );
  });
}

/** `--feed a=x b=y` is `--feed a=x --feed b=y`. */
const withFeeds = (args: readonly string[]): string[] =>
  args.flatMap((arg, i) => (/^[^-=][^=]*=./.test(arg) && args[i - 1] !== '--feed' ? ['--feed', arg] : [arg]));

/** Reads the track of a body into the list; false where it was refused, which has then been said. */
async function readFeed(body: string, path: string, fixes: BodyFix[], output: Output): Promise<boolean> {
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
    alerts: alerts.map(({ kind, of, since_s, text, todo }) => ({ kind, of, since: isoOf(since_s), text, todo })),
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
    ...alerts.map((one) => `  ${alertName(one)} since ${clock(one.since_s)}: ${one.text}. ${one.todo}.`),
  ].join('\n');
}
