// The advice, always in view: the word first, with a shape and a colour of its own; beside it why and when, why first
// where the word stops something; under them the landing, and the caution where the decision stands.
import '../theme/decide.css';
import type { JSX } from 'preact';
import type { Advice } from '../../core/advice/advise.ts';
import { limitSentence, type AdviceWord, type Judged } from '../../core/advice/limits.ts';
import { missingWords, type Verdict } from '../state/derived/asked.ts';
import { limitWhy } from '../state/explaining/decideWhy.ts';
import { clock } from '../../core/words/times.ts';
import { capital, MISSING, number, sampledChance, type Units } from '../../core/words/numbers.ts';
import {
  comparedExits,
  exitWhy,
  flownChanceWhy,
  type Compared,
  type ExitColumn,
  type ExitName,
} from '../state/explaining/exitsWhy.ts';
import { toward_deg } from '../../core/base/units.ts';
import { zoneMiddle } from '../../core/descent/scenario.ts';
import { whereWords } from '../../core/recovery/where.ts';
import { shoreWords } from '../../core/words/places.ts';
import { placedBy } from '../../core/words/places.ts';
import { direction } from '../../core/words/winds.ts';
import { moveWords } from '../state/derived/moves.ts';
import { provenanceOf } from '../state/explaining/provenance.ts';
import type { Store } from '../state/derived/store.ts';
import { LineWords, type LinePart, type LineTold } from './LineWords.tsx';

/** How long the newest move stands under the advice. */
const NEWEST_S = 900;
const CAUTION = ': local rules and licensed practice decide';

/** The class that gives a word its colour. */
export const wordClass: Readonly<Record<AdviceWord, string>> = {
  GO: 'go',
  HOLD: 'hold',
  'NO-GO': 'no-go',
  'IN FLIGHT': 'in-flight',
  DOWN: 'in-flight',
};

/**
 * A ticked disc, a triangle, a crossed square; after the exit an arrow down, on the ground over a line: told apart
 * without colour.
 */
export function WordShape({ word }: { readonly word: AdviceWord }): JSX.Element {
  return (
    <svg viewBox="-9 -9 18 18" aria-hidden="true">
      <path d={SHAPES[word]} />
      {word === 'GO' ? <path class="cut" d="M-4 0l3 3 5-6" /> : null}
      {word === 'HOLD' ? <path class="cut" d="M0-4v5M0 4v1" /> : null}
      {word === 'NO-GO' ? <path class="cut" d="M-4-4l8 8M-4 4l8-8" /> : null}
    </svg>
  );
}

/** A word with its shape. */
export function WordMark({ word }: { readonly word: AdviceWord }): JSX.Element {
  return (
    <span class={`word-mark ${wordClass[word]}`}>
      <WordShape word={word} />
      <strong id="advice-word">{word}</strong>
    </span>
  );
}

/** No word: a hollow ring, and that it is being looked for. */
function CheckingMark(): JSX.Element {
  return (
    <span class="word-mark checking">
      <svg viewBox="-9 -9 18 18" aria-hidden="true">
        <circle r="7" />
      </svg>
      <strong id="advice-word">checking</strong>
    </span>
  );
}

const SHAPES: Readonly<Record<AdviceWord, string>> = {
  GO: 'M-8 0a8 8 0 1 0 16 0a8 8 0 1 0-16 0Z',
  HOLD: 'M0-8.5L9 7.5H-9Z',
  'NO-GO': 'M-8-8H8V8H-8Z',
  'IN FLIGHT': 'M-2-8.5H2V0H7L0 8.5L-7 0H-2Z',
  DOWN: 'M-2-8.5H2V-2H6L0 4.5L-6-2H-2ZM-8 6H8V8.5H-8Z',
};

export function AdviceLine({ store }: { readonly store: Store }): JSX.Element {
  const mission = store.mission.value;
  if (mission === null) return <div class="advice" />;
  const verdict = store.verdict.value;
  const units = store.units.value;
  const advice = verdict.kind === 'current' ? verdict.answer.advice : null;
  const full = verdict.kind === 'current' && !verdict.rough;
  const open = (): void => {
    store.view.panel.value = 'Zones';
  };
  return (
    <div class="advice" role="status" aria-label="Advice" aria-busy={!full}>
      <button type="button" class="advice-word" onClick={open} title="The limits behind this word">
        {verdict.kind === 'current' ? <WordMark word={verdict.answer.advice.word} /> : null}
        {verdict.kind === 'hold' ? <WordMark word="HOLD" /> : null}
        {verdict.kind === 'checking' || verdict.kind === 'none' ? <CheckingMark /> : null}
      </button>
      <div class="advice-lines">
        {advice === null ? (
          <p id="advice-missing">{missingWords(verdict)}</p>
        ) : (
          <DecisiveLines store={store} advice={advice} rough={roughParts(verdict)} units={units} />
        )}
        <p class="small quiet advice-under">
          <LineWords store={store} id="advice-landing" parts={[landingPart(store), { words: '.' }]} />
          <span class="advice-caution">
            Advisory only<span class="wide-only">{CAUTION}</span>.
          </span>
          <NewestMove store={store} />
        </p>
      </div>
    </div>
  );
}

interface DecisiveProps {
  readonly store: Store;
  readonly advice: Advice;
  readonly rough: readonly LinePart[];
  readonly units: Units;
}

/** Why, and when. Where the word stops something, why comes first. */
function DecisiveLines({ store, advice, rough, units }: DecisiveProps): JSX.Element {
  const when = (
    <p key="when">
      <LineWords
        store={store}
        id="advice-line"
        parts={[...windowParts(advice, units).map((part) => told(store, part)), ...rough]}
      />
    </p>
  );
  const why = (
    <p key="why">
      <LineWords
        store={store}
        id="advice-reasons"
        parts={[...reasonParts(advice, units), ...placeParts(store, advice).map((part) => told(store, part))]}
      />
    </p>
  );
  if (advice.word === 'DOWN') return when;
  const stops = advice.word === 'HOLD' || advice.word === 'NO-GO';
  return <>{stops ? [why, when] : [when, why]}</>;
}

const roughParts = (verdict: Verdict): readonly LinePart[] =>
  verdict.kind === 'current' && verdict.rough
    ? [{ words: ` · rough, ${number(verdict.answer.advice.drawn)} descents` }]
    : [];

/** What moved last and why, for a quarter of an hour; a press leads to the list of all that moved. */
function NewestMove({ store }: { readonly store: Store }): JSX.Element | null {
  const mission = store.mission.value;
  const move = store.reports.moves.value.findLast((one) => !one.again && one.at_s <= store.shown_s.value);
  if (mission === null || move === undefined || store.shown_s.value - move.at_s > NEWEST_S) return null;
  const words = moveWords(move, mission, store.units.value);
  const open = (): void => {
    store.view.panel.value = 'Reports';
    store.reports.part.value = 'moved';
  };
  return (
    <button type="button" class="num newest-move wide-only" id="newest-move" title={words} onClick={open}>
      {words}
    </button>
  );
}

function landingPart(store: Store): LinePart {
  const mission = store.mission.value;
  const prediction = store.prediction.value;
  const where = store.where.value;
  const landing = prediction?.landing ?? null;
  if (mission === null || where === null || landing === null) return { words: 'No landing is predicted' };
  // Of a descent that is over no opening is predicted any more: that says nothing of a canopy.
  const over = store.expected.value?.from === 'touchdown';
  const bare = prediction?.opening === null && !over;
  const place = whereWords(where, store.units.value, over ? 'Came down' : 'Lands');
  const shore = store.shore.value;
  const water = shore === null ? '' : `; ${shoreWords(shore, store.units.value)}`;
  const words = `${bare ? 'Impact without canopy. ' : ''}${place}${water}`;
  const why = () => provenanceOf('landing', mission, store.world.value?.wind ?? null, store.units.value);
  return { words, told: { key: 'landing', panel: 'Descent', what: 'predicted landing', why } };
}

type LineNumber = 'opens' | 'closes' | 'best' | 'planned' | 'touchdown' | 'chance' | 'place';

interface WindowPart {
  readonly words: string;
  /** Which number of the advice stands in these words. */
  readonly number?: LineNumber;
}

/**
 * "84 % in Saltbell North · EXIT 07:40:53 to 07:43:12Z · best 07:41:51Z". The chance is that of the exit that the word
 * is about, the planned one, and stands beside the word.
 */
function windowParts(advice: Advice, units: Units): readonly WindowPart[] {
  const { word, planned, zone, touchdown_s, basis } = advice;
  if (word === 'DOWN') return [{ words: 'The touchdown is in the log' }];
  const between: WindowPart = { words: ' · ' };
  const share = zone === null ? null : (planned?.inZone[zone] ?? null);
  const chance: readonly WindowPart[] =
    zone === null
      ? []
      : share === null
        ? [{ words: `${MISSING} in ${zone}` }]
        : [{ words: `${sampledChance(share.p, share.error)} in ${zone}`, number: 'chance' }];
  if (basis === null) return [...chance, ...(chance.length === 0 ? [] : [between]), ...exitParts(advice, units)];
  const touchdown: WindowPart =
    touchdown_s === null
      ? { words: 'No touchdown is predicted' }
      : { words: `Touchdown expected ${clock(touchdown_s, units)}`, number: 'touchdown' };
  return [touchdown, ...(chance.length === 0 ? [] : [between]), ...chance];
}

function exitParts({ exits, planned }: Advice, units: Units): readonly WindowPart[] {
  const at = (time_s: number): string => clock(time_s, units);
  if (exits.window !== null && exits.best !== null) {
    const { opens_s, closes_s } = exits.window;
    const opens = units.time === 'UTC' ? at(opens_s).replace('Z', '') : at(opens_s).replace(' local', '');
    return [
      { words: `EXIT ${opens}`, number: 'opens' },
      { words: ' ' },
      { words: `to ${at(closes_s)}`, number: 'closes' },
      { words: ' · ' },
      { words: `best ${at(exits.best.exit.time_s)}`, number: 'best' },
    ];
  }
  if (planned === null) return [{ words: 'No exit can be judged' }];
  // That no exit keeps the limits is a limit of its own and stands among the reasons.
  const none: readonly WindowPart[] = exits.options.length > 0 ? [{ words: 'No exit window · ' }] : [];
  return [...none, { words: `Exit as planned ${at(planned.exit.time_s)}`, number: 'planned' }];
}

/** At GO where the pilot or the balloon's crew finds the exit: a line to say. */
function placeParts(store: Store, { word, planned, zone }: Advice): readonly WindowPart[] {
  const mission = store.mission.value;
  const aimed = mission?.landingZones?.find(({ name }) => name === zone);
  if (word !== 'GO' || planned === null || mission === null || aimed === undefined) return [];
  const { lon_deg, lat_deg, velocity_mps } = planned.exit;
  const place = placedBy([lon_deg, lat_deg], zoneMiddle(aimed), `the middle of ${aimed.name}`, store.units.value);
  const run =
    mission.carrier?.kind !== 'aircraft' || velocity_mps === null
      ? ''
      : `, run in toward ${direction(toward_deg(velocity_mps[0], velocity_mps[1]))} true`;
  return [{ words: ' · ' }, { words: `exit ${place}${run}`, number: 'place' }];
}

/** What a number of the line says is what it says in the panel in which it stands. */
function told(store: Store, { words, number }: WindowPart): LinePart {
  const mission = store.mission.value;
  const advice = store.decision.advice.value?.advice;
  if (number === undefined || mission === null || advice === undefined) return { words };
  const of: Compared = { advice, mission, units: store.units.value };
  const explained = advice.basis === null ? exitTold(of, number) : flightTold(store, of, number);
  return explained === null ? { words } : { words, told: explained };
}

const NAMED: Readonly<Record<Exclude<LineNumber, 'touchdown'>, ExitName>> = {
  chance: 'as planned',
  opens: 'window opens',
  closes: 'window closes',
  best: 'best on the line',
  place: 'as planned',
  planned: 'as planned',
};

/** The column of the exits' table in which a number stands, and what it is called alone. */
const TIME: readonly [ExitColumn, string] = ['time', 'exit time,'];
const COLUMNS: Readonly<Partial<Record<LineNumber, readonly [ExitColumn, string]>>> = {
  chance: ['in zone', 'chance of the zone, exit'],
  place: ['place', 'exit place,'],
};

function exitTold(of: Compared, number: LineNumber): LineTold | null {
  if (number === 'touchdown') return null;
  const [column, said] = COLUMNS[number] ?? TIME;
  const name = NAMED[number];
  const exit = comparedExits(of).find((one) => one.name === name);
  if (exit === undefined) return null;
  const what = `${said} ${name}`;
  // Read by itself, "to" would not say from what.
  const named = number === 'closes' ? { before: 'exit window' } : {};
  return { key: `exit/${name}/${column}`, panel: 'Zones', what, why: () => exitWhy(of, exit, column), ...named };
}

function flightTold(store: Store, of: Compared, number: LineNumber): LineTold | null {
  const { zone, planned } = of.advice;
  const share = zone === null ? undefined : planned?.inZone[zone]?.p;
  if (number === 'touchdown') {
    const why = () => provenanceOf('touchdown', of.mission, store.world.value?.wind ?? null, of.units);
    return { key: 'touchdown', panel: 'Descent', what: 'predicted touchdown', why };
  }
  if (number !== 'chance' || zone === null || share === undefined) return null;
  return { key: `share/${zone}`, panel: 'Descent', what: 'chance of the zone', why: () => flownChanceWhy(of, share) };
}

/**
 * Whether a reason behind the first may stand by its name: what is not given, and what has a sentence of its own (a
 * planned exit behind the window), would be taken for something else.
 */
const isNamed = ({ value }: Judged): boolean => value.kind !== 'not given' && value.said === undefined;

/** The first reason is said in full, the others by their names where they can: all are there, and the line is short. */
function reasonParts({ because, limits }: Advice, units: Units): readonly LinePart[] {
  const told = (one: Judged, words: string): LinePart => ({
    words,
    told: { key: `limit/${one.limit.name}`, panel: 'Zones', what: 'limit', why: () => limitWhy(one) },
  });
  const listed = ([first, ...others]: readonly Judged[], begins: boolean): LinePart[] => {
    if (first === undefined) return [];
    const sentence = limitSentence(first, units);
    const named = others.filter(isNamed);
    return [
      told(first, begins ? capital(sentence) : sentence),
      ...named.flatMap((one, i) => [{ words: i === 0 ? '; also ' : ', ' }, told(one, one.limit.label)]),
      ...others
        .filter((one) => !isNamed(one))
        .flatMap((one) => [{ words: '; ' }, told(one, limitSentence(one, units))]),
    ];
  };
  if (because.length > 0) return listed(because, true);
  const close = limits.filter((one) => one.state === 'close');
  if (close.length === 0) return [{ words: 'Every known limit is kept' }];
  return [{ words: 'Every limit is kept; close: ' }, ...listed(close, false)];
}
