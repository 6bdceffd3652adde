// How far the word is from its edges: along each input that a person can watch, the nearest change at which it becomes
// another word. Found by the estimate of `nearby.ts`, then flown: the judgement that makes the word is asked at the
// change found, corrects the estimate, and is asked again until the edge stays where it was flown. Ranked by how likely
// the errors make each.
import { upperTail } from '../base/normal.ts';
import type { Steps } from '../base/steps.ts';
import { toEnd } from '../base/steps.ts';
import type { LonLat } from '../base/units.ts';
import type { Situation } from '../mission/situation.ts';
import type { Advised } from './advise.ts';
import { changed, type InputChange } from './changes.ts';
import { judgementInSteps, type JudgeOptions } from './judgement.ts';
import type { AdviceWord, LimitName, Word } from './limits.ts';
import { Nearby } from './nearby.ts';
import { waysFrom, type Tells, type Way } from './edgeWays.ts';
import type { WindLayer } from './whatIf.ts';

export interface Edge {
  readonly input: InputChange['input'];
  readonly to: Word;
  /** The limit that makes the new word. */
  readonly because: LimitName;
  /** How much the input changes, and what it is now and at the edge: m/s, s since 1970, m as the plan gives it. */
  readonly by: number;
  readonly now: number;
  readonly at: number;
  /** Of the wind aloft. */
  readonly layer: WindLayer | null;
  readonly from_deg: number | null;
  /** The chance that the input's own error is as large; 1 for what comes by itself. */
  readonly likelihood: number;
  /** The report that would tell soonest; null where none can before the exit. */
  readonly tells: Tells | null;
}

export interface EdgeOptions {
  readonly seed: number;
  readonly roads: readonly (readonly LonLat[])[];
  /** So many are flown and answered, the most likely ones. */
  readonly most?: number;
}

const MOST = 3;
/** Looks along a way, nearer ones closer together, and halvings of the stretch in which the word changes. */
const LOOKS = 12;
const HALVINGS = 8;
/** An edge stands where it moves by no more than this share after it was flown, or lies in so short a stretch. */
const SETTLED = 0.02;
const BRACKETED = 0.06;
const FLIGHTS = 7;

interface Found {
  readonly way: Way;
  readonly by: number;
  readonly to: Word;
  readonly because: LimitName;
}

export const edgesOf = (situation: Situation, advised: Advised, options: EdgeOptions): Edge[] =>
  toEnd(edgesInSteps(situation, advised, options));

/**
 * The edges, the most likely first; none once the jumper has left.
 *
 * Error  within 5 % of a bisection over whole advices (`tests/advice/edges.test.ts`)
 * Cost   about as much as one to two advices of the same size for each edge that is answered
 */
export function* edgesInSteps(situation: Situation, advised: Advised, options: EdgeOptions): Steps<Edge[]> {
  const { judged } = advised;
  const now = judged.word;
  if (!isWord(now)) return [];
  const found: { readonly one: Found; readonly nearby: Nearby }[] = [];
  for (const way of waysFrom(situation, advised)) {
    const nearby = new Nearby(situation, judged).corrected(way.change(0), judged);
    yield;
    for (const one of yield* changesAlong(nearby, way, now)) found.push({ one, nearby });
  }
  found.sort((a, b) => likelihoodOf(b.one) - likelihoodOf(a.one));
  const edges: Edge[] = [];
  const { seed, roads } = options;
  const flying = { seed, members: judged.members.count, roads, beside: 'none' as const, questions: judged.questions };
  for (const { one, nearby } of found) {
    if (edges.length >= (options.most ?? MOST)) break;
    const flight = { situation, now, flying };
    const flown = (yield* standsAsFound(flight, one)) ? one : yield* fly(flight, one, nearby);
    if (flown !== null) edges.push(edgeOf(flown));
  }
  return edges.sort((a, b) => b.likelihood - a.likelihood);
}

/** Limits whose values are counted among drawn descents, or follow from such counts. */
const COUNTED: ReadonlySet<LimitName> = new Set([
  'zoneProbability',
  'hazardProbability',
  'deadlyHazardProbability',
  'exitInWindow_s',
  'openingShock_g',
]);

/** So many descents tell whether a word that none is counted for changes before its edge. */
const CHECK_MEMBERS = 400;

/**
 * Whether the estimate of an edge stands: time alone moves no descent, and a limit for which none is counted comes from
 * the same function. There a few descents are flown a little short of it: no counted limit may break before.
 */
function* standsAsFound({ situation, now, flying }: Flying, { way, by, to, because }: Found): Steps<boolean> {
  if (way.std === null) return true;
  if (COUNTED.has(because)) return false;
  const short = changed(situation, way.change((1 - BRACKETED) * by));
  const members = Math.min(flying.members, CHECK_MEMBERS);
  const { word } = yield* judgementInSteps(short, { ...flying, members });
  return !isOver(word, to, now);
}

const isWord = (word: AdviceWord): word is Word => word === 'GO' || word === 'HOLD' || word === 'NO-GO';

function likelihoodOf({ way, by }: Found): number {
  return way.std === null ? 1 : upperTail(by / Math.max(way.std, 1e-9));
}

/** Where the word first becomes each other one, going along a way. */
function* changesAlong(nearby: Nearby, way: Way, now: Word): Steps<Found[]> {
  const found: Found[] = [];
  let before = { by: 0, word: nearby.at(way.change(0)).word };
  // Where the estimate does not say the word that is, it can say nothing of others.
  if (before.word !== now) return [];
  for (let look = 1; look <= LOOKS; look++) {
    const by = way.range * (look / LOOKS) ** 1.5;
    const { word } = nearby.at(way.change(by));
    while (word !== before.word) {
      yield;
      let [low, high] = [before.by, by];
      for (let i = 0; i < HALVINGS; i++) {
        const middle = (low + high) / 2;
        if (nearby.at(way.change(middle)).word === before.word) low = middle;
        else high = middle;
      }
      const there = nearby.at(way.change(high));
      const because = there.because[0]?.limit.name ?? nearby.at(way.change(low)).because[0]?.limit.name;
      if (there.word !== now && because !== undefined && found.every(({ to }) => to !== there.word))
        found.push({ way, by: (low + high) / 2, to: there.word, because });
      before = { by: high, word: there.word };
    }
    before = { by, word };
  }
  return found;
}

const WORDS: readonly AdviceWord[] = ['GO', 'HOLD', 'NO-GO'];

/** Whether a word is another one or lies beyond it, seen from the present one. */
export function isOver(word: AdviceWord, to: Word, now: Word): boolean {
  const [at, edge, from] = [word, to, now].map((one) => WORDS.indexOf(one));
  return edge !== undefined && from !== undefined && at !== undefined && (at - edge) * (edge - from) >= 0;
}

interface Flying {
  readonly situation: Situation;
  readonly now: Word;
  readonly flying: JudgeOptions;
}

/**
 * The edge where it was flown: between the last change that was flown and is not over it and the first that is, or
 * where the estimate stays after it was corrected there. Null where it is not found in so many flights.
 */
function* fly({ situation, now, flying }: Flying, first: Found, from: Nearby): Steps<Found | null> {
  const { way, to } = first;
  let { by, because } = first;
  let nearby = from;
  let [low, high] = [0, Infinity];
  for (let flight = 0; flight < FLIGHTS; flight++) {
    const change = way.change(by);
    const there = yield* judgementInSteps(changed(situation, change), flying);
    if (isOver(there.word, to, now)) {
      high = Math.min(high, by);
      because = there.because[0]?.limit.name ?? because;
    } else low = Math.max(low, by);
    if (high < Infinity && high - low <= Math.max(BRACKETED * high, way.least))
      return { way, to, because, by: (low + high) / 2 };
    nearby = nearby.corrected(change, there);
    const again = (yield* changesAlong(nearby, way, now)).find((other) => other.to === to);
    const next = again?.by ?? NaN;
    if (Math.abs(next - by) <= Math.max(SETTLED * by, way.least / 10)) return { way, to, because, by: next };
    if (next > low && next < high) by = next;
    else if (high < Infinity) by = (low + high) / 2;
    else return null;
  }
  return null;
}

function edgeOf(found: Found): Edge {
  const { way, to, because } = found;
  const change = way.change(found.by);
  return {
    input: way.input,
    to,
    because,
    by: change.by,
    now: way.now,
    at: way.now + change.by,
    layer: change.input === 'wind aloft' ? change.layer : null,
    from_deg: change.input === 'wind aloft' ? change.from_deg : null,
    likelihood: likelihoodOf(found),
    tells: way.tells,
  };
}
