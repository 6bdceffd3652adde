// A score to be read: as plain data for scripts, and in words.
import { isoOf, roundTo } from '../base/plainNumbers.ts';
import { THERE_M, type CrewThere } from '../debrief/said.ts';
import { alertName } from '../log/silences.ts';
import { distance } from '../words/lengths.ts';
import { PAPER_UNITS, type Units } from '../words/numbers.ts';
import { formatDegrees } from '../words/positions.ts';
import { clock, roughDuration } from '../words/times.ts';
import { actWords, type ActDone } from './acts.ts';
import type { LeadName } from './lead.ts';
import type { AlertRaised, LandingSaid, Score, WrongWind } from './score.ts';

/** What was rehearsed. */
export interface ScoredRun {
  readonly scenario: string;
  readonly seed: number;
  readonly lead: LeadName | 'a person';
  /** What the instructor set off. */
  readonly acts: readonly ActDone[];
  /** When it was stopped before its end, s since 1970; null: it went to its end. */
  readonly stopped_s: number | null;
}

const isoOrNull = (time_s: number | null): string | null => (time_s === null ? null : isoOf(time_s));
const tenth = (value: number | null): number | null => (value === null ? null : roundTo(value, 1));

/** Times as ISO 8601 in UTC, lengths of time and distances to a tenth. */
export function scoreData(run: ScoredRun, score: Score): object {
  const said = (one: LandingSaid | null): object | null =>
    one === null ? null : { at: isoOf(one.at_s), before_s: tenth(one.before_s), miss_m: tenth(one.miss_m) };
  const { winds, lists } = score;
  const { scenario, seed, lead, acts, stopped_s } = run;
  return {
    scenario,
    seed,
    lead,
    acts: acts.map(({ at_s, act }) => ({ at: isoOf(at_s), ...act })),
    stopped: isoOrNull(stopped_s),
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

/** What is said of one side of a rehearsal. */
export interface ScoreSection {
  readonly title: string;
  readonly lines: readonly string[];
}

/** The score in words, by what it is about; lines that belong to the one before them begin with two blanks. */
export function scoreSections(run: ScoredRun, score: Score, units: Units): readonly ScoreSection[] {
  const { touchdown_s, landing, winds, lists, alerts, falseAlerts } = score;
  const wrongWay = winds.wrong.filter(({ wrong }) => wrong === 'way').length;
  return [
    {
      title: 'Rehearsal',
      lines: [`Rehearsal: ${run.scenario}, seed ${run.seed}`, LEADS[run.lead], ...stopWords(run, units)],
    },
    {
      title: 'Landing',
      lines: [
        `Exit ${clock(score.exit_s, units)}, touchdown ${clock(touchdown_s, units)} at ${formatDegrees(landing)}.`,
        `Landing said last before the exit: ${landingWords(score.saidBeforeExit, units)}.`,
        `Landing said last: ${landingWords(score.saidLast, units)}.`,
      ],
    },
    {
      title: 'Winds',
      lines: [
        `Winds entered: ${winds.entered}; wrong way: ${wrongWay}, passed on ${winds.passedOn}.`,
        ...winds.wrong.map((one) => `  ${wrongWords(one)}`),
        ...winds.called.map(({ id, after_s }) => `  ${id}: ${calledWords(after_s)}`),
      ],
    },
    {
      title: 'Crews and lists',
      lines: [
        ...(run.stopped_s !== null && run.stopped_s < touchdown_s
          ? ['It was stopped before the touchdown: no crew had anybody to go to.']
          : score.crews.map((crew) => `${crew.crew}: ${crewWords(crew, units)}.`)),
        `Lists at the exit: ${lists.done} of ${lists.items} items done, ${lists.gatesOpen} that gate open.`,
      ],
    },
    {
      title: 'Alerts',
      lines: [`Alerts: ${alerts.length}, false ${falseAlerts}.`, ...alerts.map((one) => `  ${alertWords(one, units)}`)],
    },
    ...(run.acts.length === 0 ? [] : [{ title: 'The instructor', lines: actLines(run.acts, units) }]),
  ];
}

export const scoreText = (run: ScoredRun, score: Score): string =>
  scoreSections(run, score, PAPER_UNITS)
    .map(({ lines }) => lines.join('\n'))
    .join('\n\n');

const stopWords = ({ stopped_s }: ScoredRun, units: Units): readonly string[] =>
  stopped_s === null ? [] : [`Stopped ${clock(stopped_s, units)}, before its end.`];

const actLines = (acts: readonly ActDone[], units: Units): readonly string[] => [
  'Set off by the instructor:',
  ...acts.map(({ at_s, act }) => `  ${clock(at_s, units)} ${actWords(act)}`),
];

const landingWords = (said: LandingSaid | null, units: Units): string =>
  said === null
    ? 'none'
    : `off by ${distance(said.miss_m, units)}, ${roughDuration(said.before_s)} before the touchdown ` +
      `(${clock(said.at_s, units)})`;

const calledWords = (after_s: number | null): string =>
  after_s === null ? 'entered as measured, not called' : `entered as measured, called after ${roughDuration(after_s)}`;

function wrongWords({ id, by, wrong, counted_s, called, putRight_s, at_s }: WrongWind): string {
  const who = by === null ? id : `${id} (${by})`;
  const what = wrong === 'way' ? 'on the other side' : 'of another strength';
  const counted = counted_s > 0 ? `counted for ${roughDuration(counted_s)}` : 'never counted';
  const right = putRight_s === null ? 'not put right' : `put right after ${roughDuration(putRight_s - at_s)}`;
  return `${who} ${what}: ${counted}, called ${called} times, ${right}`;
}

const crewWords = ({ after_s, nearest_m }: CrewThere, units: Units): string =>
  after_s !== null
    ? `at the person ${roughDuration(after_s)} after the touchdown`
    : nearest_m === null
      ? 'not heard after the touchdown'
      : `not within ${distance(THERE_M, units)} of the person; ${distance(nearest_m, units)} at the nearest`;

const alertWords = ({ kind, of, at_s, isTrue, answered_s }: AlertRaised, units: Units): string =>
  `${clock(at_s, units)} ${alertName({ kind, of })}: ${isTrue ? 'true' : 'false'}, ` +
  (answered_s === null ? 'not answered' : `answered after ${roughDuration(answered_s)}`);
