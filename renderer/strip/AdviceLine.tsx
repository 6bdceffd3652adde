// The advice in one line, always in view: the word first, with a shape and a colour of its own; then the exit window, its best moment,
// the chance of the zone; under it what stands against it, and the caution where the decision stands.
import '../theme/decide.css';
import type { JSX } from 'preact';
import type { Advice } from '../../core/advice/advise.ts';
import { limitSentence, type AdviceWord, type Judged } from '../../core/advice/limits.ts';
import { clock, MISSING, type Units } from '../format.ts';
import { percentWords } from '../state/decideScene.ts';
import { whereWords } from '../state/landing.ts';
import { moveWords } from '../state/moved.ts';
import type { Store } from '../state/store.ts';

/** How long the newest move stands under the advice. */
const NEWEST_S = 900;
const CAUTION = ': local rules and licensed practice decide';

const classOf: Readonly<Record<AdviceWord, string>> = {
  GO: 'go',
  HOLD: 'hold',
  'NO-GO': 'no-go',
  'IN FLIGHT': 'in-flight',
  DOWN: 'in-flight',
};

/** A ticked disc, a triangle, a crossed square; after the exit an arrow down, on the ground over a line: told apart without colour. */
export function WordMark({ word }: { readonly word: AdviceWord }): JSX.Element {
  return (
    <span class={`word-mark ${classOf[word]}`}>
      <svg viewBox="-9 -9 18 18" width="18" height="18" aria-hidden="true">
        <path d={SHAPES[word]} />
        {word === 'GO' ? <path class="cut" d="M-4 0l3 3 5-6" /> : null}
        {word === 'HOLD' ? <path class="cut" d="M0-4v5M0 4v1" /> : null}
        {word === 'NO-GO' ? <path class="cut" d="M-4-4l8 8M-4 4l8-8" /> : null}
      </svg>
      <strong id="advice-word">{word}</strong>
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
  const answer = store.decision.advice.value;
  const units = store.view.units.value;
  const zone = mission.site.timeZone;
  const landing = landingWords(store);
  const open = (): void => {
    store.view.panel.value = 'Zones';
  };
  return (
    <div class="advice" role="status" aria-label="Advice" aria-busy={store.decision.advising.value}>
      {answer === null ? (
        <p class="advice-line">
          <span class="quiet">{store.decision.trouble.value ?? 'The advice is being worked out…'}</span>
        </p>
      ) : (
        <p class="advice-line" title={windowWords(answer.advice, units, zone)}>
          <button type="button" class="advice-word" onClick={open} title="The limits behind this word">
            <WordMark word={answer.advice.word} />
          </button>
          <span id="advice-line">{windowWords(answer.advice, units, zone)}</span>
        </p>
      )}
      <p class="small quiet advice-why" title={answer === null ? landing : `${reasonsWords(answer.advice)} · ${landing}`}>
        <span id="advice-reasons">{answer === null ? landing : `${reasonsWords(answer.advice)} · ${landing}`}</span>
        <span class="advice-caution">
          Advisory only<span class="wide-only">{CAUTION}</span>.
        </span>
      </p>
      <NewestMove store={store} />
    </div>
  );
}

/** What moved last and why, for a quarter of an hour; a press leads to the list of all that moved. */
function NewestMove({ store }: { readonly store: Store }): JSX.Element | null {
  const mission = store.mission.value;
  const move = store.reports.moves.value.findLast((one) => !one.again && one.at_s <= store.shown_s.value);
  if (mission === null || move === undefined || store.shown_s.value - move.at_s > NEWEST_S) return null;
  const words = moveWords(move, mission, store.view.units.value);
  const open = (): void => {
    store.view.panel.value = 'Reports';
    store.reports.part.value = 'moved';
  };
  return (
    <p class="small wide-only">
      <button type="button" class="num newest-move" id="newest-move" title={words} onClick={open}>
        {words}
      </button>
    </p>
  );
}

function landingWords(store: Store): string {
  const mission = store.mission.value;
  const prediction = store.prediction.value;
  const where = store.where.value;
  const landing = prediction?.landing ?? null;
  if (mission === null || where === null || landing === null) return 'No landing is predicted';
  return `${prediction?.opening === null ? 'Impact without canopy. ' : ''}${whereWords(where, store.view.units.value)}`;
}

/** "EXIT 07:40:53Z to 07:43:12Z · best 07:41:51Z · 93 % in Saltbell North". */
export function windowWords(
  { word, exits, planned, zone, touchdown_s, basis }: Advice,
  units: Units,
  timeZone: string | undefined,
): string {
  const at = (time_s: number): string => clock(Math.round(time_s) * 1000, units, timeZone);
  const parts: string[] = [];
  if (word === 'DOWN') return 'The touchdown is in the log';
  if (basis !== null) parts.push(touchdown_s === null ? 'No touchdown is predicted' : `Touchdown expected ${at(touchdown_s)}`);
  else if (exits.window !== null && exits.best !== null) {
    const { opens_s, closes_s } = exits.window;
    const opens = units.time === 'UTC' ? at(opens_s).replace('Z', '') : at(opens_s).replace(' local', '');
    parts.push(`EXIT ${opens} to ${at(closes_s)}`, `best ${at(exits.best.exit.time_s)}`);
  } else if (exits.options.length > 0) parts.push('No exit on the carrier’s line keeps the limits');
  else parts.push(planned === null ? 'No exit can be judged' : `Exit as planned ${at(planned.exit.time_s)}`);
  const shown = exits.best ?? planned;
  const share = zone === null || shown === null ? null : (shown.inZone[zone]?.p ?? null);
  if (zone !== null) parts.push(share === null ? `${MISSING} in ${zone}` : `${percentWords(share)} in ${zone}`);
  return parts.join(' · ');
}

export function reasonsWords({ because, limits }: Advice): string {
  if (because.length > 0) return because.map(capital).join('; ');
  const close = limits.filter((one) => one.state === 'close');
  if (close.length === 0) return 'Every limit that is known is kept';
  return `Every limit is kept; close: ${close.map(limitSentence).join('; ')}`;
}

const capital = (one: Judged, i: number): string => {
  const text = limitSentence(one);
  return i === 0 ? `${text.charAt(0).toUpperCase()}${text.slice(1)}` : text;
};
