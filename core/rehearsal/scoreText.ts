// A score to be read: as plain data for scripts, and in words.
import { isoOf, roundTo } from '../base/plainNumbers.ts';
import { THERE_M, type CrewThere } from '../debrief/said.ts';
import { alertName } from '../log/silences.ts';
import { distance } from '../words/lengths.ts';
import { formatDegrees } from '../words/positions.ts';
import { clock, roughDuration } from '../words/times.ts';
import type { LeadName } from './lead.ts';
import type { AlertRaised, LandingSaid, Score, WrongWind } from './score.ts';

/** What was rehearsed. */
export interface ScoredRun {
  readonly scenario: string;
  readonly seed: number;
  readonly lead: LeadName | 'a person';
}

const isoOrNull = (time_s: number | null): string | null => (time_s === null ? null : isoOf(time_s));
const tenth = (value: number | null): number | null => (value === null ? null : roundTo(value, 1));

/** Times as ISO 8601 in UTC, lengths of time and distances to a tenth. */
export function scoreData(run: ScoredRun, score: Score): object {
  const said = (one: LandingSaid | null): object | null =>
    one === null ? null : { at: isoOf(one.at_s), before_s: tenth(one.before_s), miss_m: tenth(one.miss_m) };
  const { winds, lists } = score;
  return {
    ...run,
    exit: isoOf(score.exit_s),
    opening: isoOrNull(score.opening_s),
    touchdown: { at: isoOf(score.touchdown_s), position: score.landing },
    landing: { saidBeforeExit: said(score.saidBeforeExit), saidLast: said(score.saidLast) },
    winds: {
      entered: winds.entered,
      passedOn: winds.passedOn,
      wrong: winds.wrong.map(({ id, by, at_s, wrong, counted_s, called, putRight_s }) => ({
        id,
        by,
        at: isoOf(at_s),
        wrong,
        counted_s: tenth(counted_s),
        called,
        putRight: isoOrNull(putRight_s),
      })),
      called: winds.called.map(({ id, at_s, after_s }) => ({ id, at: isoOf(at_s), after_s: tenth(after_s) })),
    },
    crews: score.crews.map(({ crew, there_s, after_s, nearest_m }) => ({
      crew,
      there: isoOrNull(there_s),
      after_s: tenth(after_s),
      nearest_m: tenth(nearest_m),
    })),
    lists,
    alerts: score.alerts.map(({ kind, of, at_s, isTrue, answered_s }) => ({
      kind,
      of,
      at: isoOf(at_s),
      true: isTrue,
      answered_s: tenth(answered_s),
    })),
    falseAlerts: score.falseAlerts,
  };
}

/** Who sat there, a sentence each. */
const LEADS: Readonly<Record<ScoredRun['lead'], string>> = {
  'a person': 'Flown by a person, whose log is scored.',
  careful:
    'Flown without a person: a wind that is held back or not understood is read again by its crew, and what it ' +
    'says the second time stands.',
  credulous: 'Flown without a person: a wind that is held back is confirmed as it stands.',
};

export function scoreText({ scenario, seed, lead }: ScoredRun, score: Score): string {
  const { touchdown_s, landing, winds, lists, alerts, falseAlerts } = score;
  const wrongWay = winds.wrong.filter(({ wrong }) => wrong === 'way').length;
  return [
    `Rehearsal: ${scenario}, seed ${seed}`,
    LEADS[lead],
    '',
    `Exit ${clock(score.exit_s)}, touchdown ${clock(touchdown_s)} at ${formatDegrees(landing)}.`,
    `Landing said last before the exit: ${landingWords(score.saidBeforeExit)}.`,
    `Landing said last: ${landingWords(score.saidLast)}.`,
    '',
    `Winds entered: ${winds.entered}; wrong way: ${wrongWay}, passed on ${winds.passedOn}.`,
    ...winds.wrong.map((one) => `  ${wrongWords(one)}`),
    ...winds.called.map(({ id, after_s }) => `  ${id}: ${calledWords(after_s)}`),
    '',
    ...score.crews.map((crew) => `${crew.crew}: ${crewWords(crew)}.`),
    `Lists at the exit: ${lists.done} of ${lists.items} items done, ${lists.gatesOpen} that gate open.`,
    '',
    `Alerts: ${alerts.length}, false ${falseAlerts}.`,
    ...alerts.map((one) => `  ${alertWords(one)}`),
  ].join('\n');
}

const landingWords = (said: LandingSaid | null): string =>
  said === null
    ? 'none'
    : `off by ${distance(said.miss_m)}, ${roughDuration(said.before_s)} before the touchdown (${clock(said.at_s)})`;

const calledWords = (after_s: number | null): string =>
  after_s === null ? 'entered as measured, not called' : `entered as measured, called after ${roughDuration(after_s)}`;

function wrongWords({ id, by, wrong, counted_s, called, putRight_s, at_s }: WrongWind): string {
  const who = by === null ? id : `${id} (${by})`;
  const what = wrong === 'way' ? 'on the other side' : 'of another strength';
  const counted = counted_s > 0 ? `counted for ${roughDuration(counted_s)}` : 'never counted';
  const right = putRight_s === null ? 'not put right' : `put right after ${roughDuration(putRight_s - at_s)}`;
  return `${who} ${what}: ${counted}, called ${called} times, ${right}`;
}

const crewWords = ({ after_s, nearest_m }: CrewThere): string =>
  after_s !== null
    ? `at the person ${roughDuration(after_s)} after the touchdown`
    : nearest_m === null
      ? 'not heard after the touchdown'
      : `not within ${distance(THERE_M)} of the person; ${distance(nearest_m)} at the nearest`;

const alertWords = ({ kind, of, at_s, isTrue, answered_s }: AlertRaised): string =>
  `${clock(at_s)} ${alertName({ kind, of })}: ${isTrue ? 'true' : 'false'}, ` +
  (answered_s === null ? 'not answered' : `answered after ${roughDuration(answered_s)}`);
