// The answer to a what-if beside the present one, at the head of the desk; its landing stands on the map. Nothing of it
// enters the plan; Escape ends it.
import { landmarksOf } from '../../core/plan/places.ts';
import type { JSX } from 'preact';
import { inverse } from '../../core/earth/geodesic.ts';
import { limitText, type Judged } from '../../core/advice/limits.ts';
import type { AdviceAnswer } from '../../core/work/work.ts';
import { whereOf } from '../../core/recovery/where.ts';
import { landmarkToward } from '../../core/words/places.ts';
import type { Mission } from '../../core/plan/schema.ts';
import { useStore } from '../context.ts';
import { clock } from '../../core/words/times.ts';
import { speed, directionWords } from '../../core/words/winds.ts';
import { distance } from '../../core/words/lengths.ts';
import { MISSING, type Units, capital, PAPER_UNITS, chanceWords } from '../../core/words/numbers.ts';
import { whereWords } from '../../core/recovery/where.ts';
import { WordMark } from './AdviceLine.tsx';
import { Word } from '../parts/buttons.tsx';
import { Heads } from '../parts/rows.tsx';

export function WhatIfPanel(): JSX.Element | null {
  const store = useStore();
  const shown = store.decision.whatIf.value;
  const mission = store.mission.value;
  if (shown === null || mission === null) return null;
  const units = store.units.value;
  const verdict = store.verdict.value;
  const now = verdict.kind === 'current' ? verdict.answer : null;
  const { surface_mps } = shown.asked;
  const by = `${speed(Math.abs(surface_mps), units, units.speed === 'm/s' ? 1 : 0)} ${surface_mps < 0 ? 'less' : 'more'}`;
  const end = (): void => {
    store.decision.whatIf.value = null;
  };
  return (
    <section class="what-if" aria-label="What if">
      <header>
        <h2>What if the surface wind is {by}</h2>
        <Word small onClick={end}>
          End <kbd>Esc</kbd>
        </Word>
      </header>
      {shown.answer === null || now === null ? (
        <p class="quiet" role="status">
          Working it out…
        </p>
      ) : (
        <Compared now={now} then={shown.answer} mission={mission} units={units} />
      )}
      <p class="small quiet">
        The whole change applies up to 150 m above ground and none of it from 600 m up, in the wind’s own direction. The
        plan is unchanged.
      </p>
    </section>
  );
}

interface ComparedProps {
  readonly now: AdviceAnswer;
  readonly then: AdviceAnswer;
  readonly mission: Mission;
  readonly units: Units;
}

function Compared({ now, then, mission, units }: ComparedProps): JSX.Element {
  const at = (time_s: number): string => clock(time_s, units);
  const windowOf = ({ advice: { exits } }: AdviceAnswer, of: 'opens_s' | 'closes_s'): string =>
    exits.window === null ? MISSING : at(exits.window[of]);
  const rows = [
    { label: 'Exit window opens', of: (answer: AdviceAnswer) => windowOf(answer, 'opens_s') },
    {
      label: 'best exit',
      of: ({ advice: { exits } }: AdviceAnswer) => (exits.best === null ? MISSING : at(exits.best.exit.time_s)),
    },
    { label: 'closes', of: (answer: AdviceAnswer) => windowOf(answer, 'closes_s') },
    { label: 'Chance in zone, exit as planned', of: plannedChance },
    { label: 'Landing', of: (answer: AdviceAnswer) => landingIn(answer, mission, units) },
  ].filter(({ label, of }) => label === 'Landing' || of(now) !== MISSING || of(then) !== MISSING);
  return (
    <>
      <p role="status" id="what-if-words">
        {movedWords(now, then, mission, units)}
      </p>
      <table>
        <Heads names={[<span class="said">What</span>, 'now', 'then']} />
        <tbody>
          <tr>
            <th scope="row">Advice</th>
            <td>
              <WordMark word={now.advice.word} />
            </td>
            <td>
              <WordMark word={then.advice.word} />
            </td>
          </tr>
          {rows.map(({ label, of }) => (
            <tr key={label}>
              <th scope="row">{label}</th>
              <td>{of(now)}</td>
              <td>{of(then)}</td>
            </tr>
          ))}
          {changedLimits(now, then).map(([a, b]) => (
            <tr key={b.limit.name}>
              <th scope="row">
                {capital(b.limit.label)}, limit {limitText(b.limit.number, b.limit.unit, units)}
              </th>
              <td>{valueWords(a, units)}</td>
              <td>{valueWords(b, units)}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </>
  );
}

function plannedChance({ advice: { planned, zone } }: AdviceAnswer): string {
  const share = zone === null ? undefined : planned?.inZone[zone];
  return share === undefined ? MISSING : chanceWords(share.p);
}

function landingIn({ prediction: { landing } }: AdviceAnswer, mission: Mission, units: Units): string {
  return landing === null
    ? MISSING
    : whereWords(whereOf(landing.position, mission.landingZones ?? []), units).replace(/^Lands /, '');
}

function movedWords(now: AdviceAnswer, then: AdviceAnswer, mission: Mission, units: Units): string {
  const a = now.prediction.landing;
  const b = then.prediction.landing;
  const word =
    now.advice.word === then.advice.word
      ? `Still ${then.advice.word}`
      : `${then.advice.word} instead of ${now.advice.word}`;
  if (a === null || b === null) return `${word}.`;
  const { distance_m, bearing_deg } = inverse(a.position, b.position);
  if (distance_m < 5) return `${word}; the landing stays.`;
  const side = landmarkToward(landmarksOf(mission), a.position, bearing_deg);
  return (
    `${word}; the landing moves ${distance(distance_m, units)} toward ` +
    `${directionWords(bearing_deg)}${side === null ? '' : `, ${side} side`}.`
  );
}

/** Limits whose value is another by more than its last shown digit. */
function changedLimits(now: AdviceAnswer, then: AdviceAnswer): (readonly [Judged, Judged])[] {
  return then.advice.limits.flatMap((b) => {
    const a = now.advice.limits.find((one) => one.limit.name === b.limit.name);
    // The chance has a row of its own.
    return b.limit.name === 'zoneProbability' || a === undefined || valueWords(a) === valueWords(b)
      ? []
      : [[a, b] as const];
  });
}

function valueWords({ value, limit, state }: Judged, units: Units = PAPER_UNITS): string {
  if (value.kind === 'not given') return MISSING;
  return `${limitText(value.value, limit.unit, units)}${state === 'broken' ? ', broken' : state === 'close' ? ', close' : ''}`;
}
