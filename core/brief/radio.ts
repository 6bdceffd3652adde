// The radio brief: what is read aloud to all crews, one breath per line, each line tied to the line of the sheet that
// it says. Short sentences, digits singly, wind FROM, the north of every direction named, no word that sounds like a
// digit beside a number.
import { marginOf } from '../recovery/margin.ts';
import type { Where } from '../recovery/where.ts';
import { never } from '../base/problem.ts';
import type { Declination } from '../earth/declination.ts';
import { gustNow_mps, windOver } from '../recovery/crews.ts';
import { inverse } from '../earth/geodesic.ts';
import { NO_CALL_S, standbyBy_s } from './calls.ts';
import type { BriefVersion, RadioLine } from './model.ts';
import { isDown, shoreAt, type Facts } from './sheet.ts';
import type { Meeting } from '../recovery/afloat.ts';
import type { Shore } from '../recovery/water.ts';
import type { LonLat } from '../base/units.ts';
import { plannedCase, type CrewSource } from './source.ts';
import {
  breaths,
  sayDegreesMinutes,
  sayDigits,
  sayDirection,
  sayDistance,
  sayHeading,
  sayMgrs,
  sayName,
  sayNumber,
  sayTime,
  sayWind,
  type North,
} from '../words/spoken.ts';
import { isCalm } from '../words/winds.ts';
import { capital } from '../words/numbers.ts';
import { magneticOf } from '../words/positions.ts';
import { windOf } from './wind.ts';

interface Said {
  readonly key: string;
  readonly phrases: readonly string[];
  readonly readBack?: boolean;
}

export const sayVersion = (version: number): string => `brief version ${sayDigits(String(version))}`;

export function radioBrief(facts: Facts, version: BriefVersion): RadioLine[] {
  const { source } = facts;
  const left = source.advised.advice.basis !== null;
  const said: Said[] = [
    {
      key: 'version',
      phrases: [
        'All crews, this is lead.',
        `Landing ${sayVersion(version.number)}.`,
        version.windsTo_s === null
          ? 'Winds by forecast alone.'
          : `Winds until ${sayTime(60 * Math.floor(version.windsTo_s / 60))}.`,
      ],
    },
    { key: 'verdict', phrases: verdictPhrases(facts) },
    { key: 'times.exit', phrases: [`Exit ${left ? 'was' : 'planned'} at ${sayTime(facts.times.exit_s)}.`] },
    ...landingSaid(facts),
    { key: 'wind.ground', phrases: windPhrases(facts) },
    ...source.crews.flatMap((one) => crewSaid(facts, one)),
    { key: 'rules.clear', phrases: clearPhrases(facts) },
    { key: 'calls', phrases: callPhrases(facts) },
    {
      key: 'version',
      phrases: ['Pilots decide on flying.', 'Anyone may call hold.', `READ BACK ${sayVersion(version.number)}.`],
      readBack: true,
    },
  ];
  return said.flatMap(({ key, phrases, readBack }) =>
    breaths(phrases).map((text, k, all) => ({ key, text, readBack: readBack === true && k === all.length - 1 })),
  );
}

/** No word hides in another: "no go" clipped is "go". ref: radio.md §1. */
export const SPOKEN = { GO: 'GO', HOLD: 'HOLD', 'NO-GO': 'ABORT' } as const;

function verdictPhrases({ source }: Facts): string[] {
  const { word, because } = source.advised.advice;
  const labels = because.slice(0, 2).map((one) => sayName(one.limit.label));
  if (word === 'IN FLIGHT' || word === 'DOWN') {
    const outside = labels.length === 0 ? [] : [`Outside its limit, ${labels.join(' and ')}.`];
    return [word === 'DOWN' ? 'The jumper is down.' : 'The jumper is in flight.', ...outside];
  }
  return [`Advice is ${SPOKEN[word]}${labels.length === 0 ? '' : `, because of ${labels.join(' and ')}`}.`];
}

/** A direction as this flight says it: magnetic where the declination is known, else true; never without its north. */
export function spokenNorth(true_deg: number, declination: Declination): readonly [number, North] {
  const magnetic = magneticOf(true_deg, declination);
  return magnetic === null ? [true_deg, 'true'] : [magnetic, 'magnetic'];
}

const northOf = (facts: Facts, true_deg: number): readonly [number, North] =>
  spokenNorth(true_deg, facts.source.declination);

/** Where a landing lies: "in Mill Meadow", "outside Mill Meadow by six zero metres". */
export function sayWhere(where: Where): string {
  switch (where.kind) {
    case 'inside':
      return `in ${sayName(where.zone)}`;
    case 'outside':
      return `outside ${sayName(where.zone)} by ${sayDistance(where.short_m)}`;
    case 'no zones':
      return 'at this place';
    default:
      return never(where);
  }
}

function landingSaid(facts: Facts): Said[] {
  const { source, times, landing } = facts;
  const planned = source.table.find((one) => one.case.kind === 'as planned');
  if (planned?.kind !== 'lands' || times.touchdown_s === null)
    return [{ key: 'landing.where', phrases: ['No landing is predicted.', 'Stand by.'] }];
  const place = sayWhere(planned.where);
  const [lat, lon] = sayDegreesMinutes(landing);
  const shore = shoreAt(source, landing);
  const ellipse = plannedCase(source.cases)?.statistics?.ellipses['90'];
  return [
    {
      key: 'landing.where',
      phrases: [`Touchdown ${isDown(source) ? 'was' : 'expected'} at ${sayTime(times.touchdown_s)}, ${place}.`],
    },
    ...(shore === null
      ? []
      : [{ key: 'landing.water', phrases: [`It is in the water: ${sayName(shore.name)}.`, sayShore(facts, shore)] }]),
    { key: 'landing.place', phrases: [`Latitude ${lat}.`, `Longitude ${lon}.`] },
    ...(ellipse === undefined || isDown(source)
      ? []
      : [
          {
            key: 'landing.spread',
            phrases: [`${capital(sayNumber(90))} percent of landings within ${sayDistance(ellipse.semiMajor_m)}.`],
          },
        ]),
  ];
}

/** "The shore is three five zero metres on two seven zero degrees magnetic." */
function sayShore(facts: Facts, { distance_m, toward_deg }: Shore): string {
  const [bearing, north] = northOf(facts, toward_deg);
  return `The shore bears ${sayDirection(bearing)} degrees ${north}, distance ${sayDistance(distance_m)}.`;
}

function windPhrases(facts: Facts): string[] {
  const { source, landing, times } = facts;
  const { situation } = source;
  const at_s = times.touchdown_s ?? times.exit_s;
  const wind = windOf(windOver(situation, landing, 10, at_s), landing, situation.mission, gustNow_mps(situation));
  if (isCalm(wind.speed_mps)) return ['Surface wind calm.'];
  const [from, north] = northOf(facts, wind.from_deg);
  return [
    `Surface ${sayWind(from, wind.speed_mps, north, wind.gust_mps ?? undefined)},`,
    `blowing toward ${sayName(wind.toward)}.`,
  ];
}

function crewSaid(facts: Facts, one: CrewSource): Said[] {
  const { crew, standby, goal, approach } = one;
  const name = sayName(crew.name);
  const key = `crew.${crew.name}.standby`;
  if (one.status === 'refused')
    return [
      { key, phrases: [`${name}, you do not go.`, 'Stay where you are and listen.'] },
      { key, phrases: [`${name}, READ BACK you do not go.`], readBack: true },
    ];
  if (one.status === 'proposed')
    return [
      { key, phrases: [`${name}, stay where you are.`, 'Your new standby is proposed, not ordered.'] },
      { key, phrases: [`${name}, READ BACK you stay.`], readBack: true },
    ];
  const place = crew.team.coordinates === 'MGRS' ? sayMgrs(standby) : sayDegreesMinutes(standby);
  const way = inverse(standby, goal.position);
  const [bearing, north] = northOf(facts, way.bearing_deg);
  const what = goal.name === 'gondola' ? 'Gondola landing' : 'Landing';
  const by_s = standbyBy_s(facts.times);
  const down = isDown(facts.source);
  const there_s = facts.source.situation.at_s + one.getThere_s;
  const late = one.getThere_s > 0 && there_s > by_s;
  const when = late ? `about ${sayTime(there_s)}` : by_s < facts.source.situation.at_s ? 'now' : `by ${sayTime(by_s)}`;
  const waits: Said[] = [
    {
      key: `crew.${crew.name}.standby`,
      phrases: [`${name}, your standby,`, `${place[0] ?? ''},`, `${place[1] ?? ''}.`],
    },
    ...(facts.times.left ? [] : [{ key: `crew.${crew.name}.task.before`, phrases: [`${name}, be there ${when}.`] }]),
  ];
  const { meets } = one;
  const drifted: Said[] =
    meets === null || one.ends !== 'goal' || meets.away_m < DRIFT_SAID_M
      ? []
      : [{ key, phrases: driftPhrases(facts, name, goal.position, meets) }];
  const ends: Said[] = one.ends === 'goal' ? drifted : [{ key, phrases: [`${name}, ${ENDS[one.ends]}`] }];
  const said: Said[] = [
    // After the touchdown nobody waits any more.
    ...(down ? [{ key, phrases: [goWords(one)] }] : waits),
    {
      key: `crew.${crew.name}.bearing`,
      phrases: [
        `${name}, ${what.toLowerCase()} bears ${sayDirection(bearing)} degrees ${north},`,
        `distance ${sayDistance(way.distance_m)}.`,
      ],
    },
    ...ends,
  ];
  if (approach !== null) {
    const [final, finalNorth] = northOf(facts, approach.final_deg);
    said.push({
      key: `crew.${crew.name}.task.canopy-gathered`,
      phrases: [`${name}, final ${sayHeading(final, finalNorth)},`, 'from behind and below, never over the canopy.'],
    });
  }
  said.push({ key, phrases: [`${name}, READ BACK your ${down ? 'way' : 'standby'}.`], readBack: true });
  return said;
}

/** A drift by less is within what somebody sees from a boat. Ours. */
const DRIFT_SAID_M = 20;

function driftPhrases(facts: Facts, name: string, from: LonLat, { position, away_m }: Meeting): string[] {
  const [bearing, north] = northOf(facts, inverse(from, position).bearing_deg);
  return [
    `${name}, from there the jumper has drifted ${sayDistance(away_m)}`,
    `toward ${sayDirection(bearing)} degrees ${north} when you come.`,
  ];
}

const ENDS = {
  shore: 'go to the shore and wait there: nobody goes into the water.',
  nothing: 'you stay on the water: the landing is on land.',
} as const;

function goWords({ crew, approach, ends }: CrewSource): string {
  const name = sayName(crew.name);
  if (ends === 'nothing') return `${name}, stay on the water.`;
  return approach === null ? `${name}, go.` : `${name}, come by your hold and your gates.`;
}

function clearPhrases({ source }: Facts): string[] {
  const { scene } = source;
  const helicopter = source.crews.find((one) => one.crew.kind === 'helicopter');
  const margin = scene === null || helicopter === undefined ? null : marginOf(scene, helicopter.crew);
  return [
    'Stay outside the marked ground until touchdown is called.',
    ...(margin === null ? [] : [`Helicopters stay ${sayDistance(10 * Math.ceil(margin / 10 - 1e-9))} outside it.`]),
  ];
}

function callPhrases({ times, source }: Facts): string[] {
  const lost =
    times.opening_s === null
      ? []
      : [
          'Without canopy open by exit plus ' +
            `${sayNumber(Math.ceil((times.opening_s - times.exit_s + NO_CALL_S) / 60 - 1e-9))} minutes, stay ` +
            'and listen.',
        ];
  const flies = source.crews.some((one) => one.crew.kind === 'helicopter');
  return [
    'Listen: exit, canopy open, touchdown, canopy gathered.',
    ...(flies ? ['Helicopters approach after canopy gathered.'] : []),
    ...lost,
  ];
}
