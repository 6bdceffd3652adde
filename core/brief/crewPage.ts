// A crew's own page: the same facts in its own terms, with its way of writing coordinates, its way there, its task on
// each call. Kept to what is read in ninety seconds; a form for an evacuation request, for medical crews, stands below
// and is not read but filled in.
import { boxesMeet, linesApart } from '../earth/plane.ts';
import { gustNow_mps, windOver } from '../recovery/crews.ts';
import type { Gate } from '../recovery/final.ts';
import { marginOf } from '../recovery/margin.ts';
import { lightLeft, sunTimes } from '../earth/sun.ts';
import { type CoordinateFormat, bothNorths, placeWords, magneticOf } from '../words/positions.ts';
import { inverse, localFrame } from '../earth/geodesic.ts';
import { clock, bothClocks, sinceExit, clockMinute, roughDuration } from '../words/times.ts';
import { distance, atLeast, halfAxes, lengthUp } from '../words/lengths.ts';
import { number, capital, NEARLY_ALL, THIN, chanceWords } from '../words/numbers.ts';
import { shoreWords } from '../words/places.ts';
import { direction, directionWords } from '../words/winds.ts';
import type { Meeting } from '../recovery/afloat.ts';
import type { LonLat } from '../base/units.ts';
import { tasksOf } from './calls.ts';
import type { MapHazard } from './mapData.ts';
import type { BriefItem, BriefSection, CrewBrief } from './model.ts';
import { nineLine, patientWords, suitWords } from './nineLine.ts';
import { identityOf } from './version.ts';
import {
  isDown,
  line,
  smokePlaceWords,
  smokeWords,
  spreadWords,
  endWords,
  smokeSetter,
  verdictOf,
  landingPlaceWords,
  type Facts,
} from './sheet.ts';
import type { CrewSource } from './source.ts';
import { windLine, windOf } from './wind.ts';

/** Hazards nearer than this to a crew's way or to its goal are told. Ours. */
const NEAR_WAY_M = 1000;
/** At most so many, the highest first: the sheet has all of them. */
const HAZARDS_MAX = 3;

export function crewBrief(facts: Facts, one: CrewSource): CrewBrief {
  const { crew } = one;
  const format: CoordinateFormat = crew.team.coordinates ?? 'degrees-minutes';
  const name = (key: string): string => `crew.${crew.name}.${key}`;
  const own = (key: string, label: string, text: string, strong = false): BriefItem =>
    line(name(key), label, text, strong);
  const withHelicopter = facts.source.crews.some(
    (other) => other.crew.kind === 'helicopter' && other.goal.name === 'jumper',
  );
  const tasks = tasksOf(one, facts.times, {
    at_s: facts.source.situation.at_s,
    declination: facts.source.declination,
    withHelicopter,
  });
  const sections: BriefSection[] = [
    {
      key: name('now'),
      title: 'Now',
      read: true,
      items: [own('word', 'Advice', verdictOf(facts), true), ...timeItems(facts, one, own)],
    },
    { key: name('place'), title: 'You', read: true, items: placeItems(facts, one, format, own) },
    { key: name('tasks'), title: 'On the call', read: true, columns: ['Call', 'You'], items: tasks },
    { key: name('care'), title: 'Mind', read: true, items: mindItems(facts, one, own) },
  ];
  const kind = `${crew.kind}${crew.medical ? ', medical' : ''}`;
  const serves =
    one.goal.name === 'gondola'
      ? 'to the gondola'
      : crew.serves === 'both'
        ? 'to the jumper, then the gondola'
        : 'to the jumper';
  const form = crew.medical ? nineLine(facts, one) : null;
  return {
    crew: crew.name,
    identity: identityOf(JSON.stringify([sections, form, one.ways])),
    kind: crew.kind,
    medical: crew.medical,
    coordinates: format,
    subtitle: `${capital(kind)}, ${serves}`,
    sections,
    nineLine: form,
  };
}

type Own = (key: string, label: string, text: string, strong?: boolean) => BriefItem;

function timeItems(facts: Facts, one: CrewSource, own: Own): BriefItem[] {
  const { times, timeZone, landing, source } = facts;
  const { situation } = source;
  const items = [own('exit', 'Exit', bothClocks(times.exit_s, timeZone), true)];
  if (one.goal.name === 'gondola') {
    if (times.release_s !== null)
      items.push(own('release', 'Released', `${sinceExit(times.release_s - times.exit_s)}, ${clock(times.release_s)}`));
    if (times.gondolaDown_s !== null)
      items.push(
        own(
          'down',
          'Gondola down',
          `${sinceExit(times.gondolaDown_s - times.exit_s)}, ${clock(times.gondolaDown_s)}`,
          true,
        ),
      );
  } else {
    if (times.opening_s !== null)
      items.push(
        own('opening', 'Canopy opens', `${sinceExit(times.opening_s - times.exit_s)}, ${clock(times.opening_s)}`),
      );
    if (times.touchdown_s !== null)
      items.push(
        own(
          'touchdown',
          'Touchdown',
          `${sinceExit(times.touchdown_s - times.exit_s)}, ${clock(times.touchdown_s)}`,
          true,
        ),
      );
  }
  const place = one.goal.name === 'gondola' ? one.goal.position : landing;
  const at_s = times.touchdown_s ?? times.exit_s;
  const wind = windOf(windOver(situation, place, 10, at_s), place, situation.mission, gustNow_mps(situation));
  items.push(own('wind', 'Wind', windLine(wind)));
  return items;
}

function placeItems(facts: Facts, one: CrewSource, format: CoordinateFormat, own: Own): BriefItem[] {
  const { source } = facts;
  const { crew, standby, goal } = one;
  const gondola = goal.name === 'gondola';
  const ellipse = source.scene?.gondola?.groups[0]?.statistics.ellipses['90'];
  const spread = gondola
    ? ellipse === undefined
      ? ''
      : `90 of 100 within ${halfAxes(ellipse.semiMajor_m, ellipse.semiMinor_m)}`
    : spreadWords(facts).replace(/, long axis.*$/, '');
  const where = gondola ? 'Gondola' : capital(landingPlaceWords(facts));
  const way = inverse(standby, goal.position);
  if (one.status === 'refused')
    return [
      own('landing', 'Landing', `${where}, ${placeWords(goal.position, format)}; ${spread}`, true),
      own('refusal', 'Refused', `you do not go: ${one.why ?? 'no way is open'}`, true),
    ];
  const from = one.status === 'proposed' ? ' (proposed, not ordered)' : '';
  const water = one.shore === null ? [] : [own('water', 'Water', capital(shoreWords(one.shore)), true)];
  if (one.meets !== null && one.ends === 'goal')
    water.push(own('drift', 'Afloat', meetsWords(one.meets, goal.position, format), true));
  const items = [
    own('landing', 'Landing', `${where}, ${placeWords(goal.position, format)}; ${spread}`, true),
    ...water,
    own('standby', isDown(source) ? 'From' : 'Standby', `${placeWords(standby, format)}${from}`, true),
    own(
      'bearing',
      'Then',
      way.distance_m < 30
        ? 'you stand at the landing'
        : `${distance(way.distance_m)} on ${bothNorths(way.bearing_deg, source.declination)}`,
    ),
    one.ends === 'goal'
      ? own('time', 'There in', reachWords(one))
      : own('ends', 'You go', capital(endWords(one, 'your')), true),
  ];
  if (crew.kind !== 'helicopter' && one.ends !== 'nothing') items.push(own('route', 'Way', routeWords(one)));
  if (one.why !== null) items.push(own('why', 'Because', one.why, true));
  return items;
}

/** "drifts 120 m toward 088° (east) by 3 min after touchdown: look at 52° 00.00′ N …". */
function meetsWords({ position, away_m, after_s, ashore }: Meeting, from: LonLat, format: CoordinateFormat): string {
  const toward = directionWords(inverse(from, position).bearing_deg);
  const moved = away_m < 1 ? 'has hardly drifted' : `has drifted ${distance(away_m)} toward ${toward}`;
  const shore = ashore ? ', to the shore' : '';
  return `${roughDuration(after_s)} after touchdown ${moved}${shore}: go to ${placeWords(position, format)}`;
}

/** "5 min after touchdown (95 % within 6 min)"; where some landings cannot be reached, their share. */
function reachWords({ reach }: CrewSource): string {
  if (!(reach.p50_s < Infinity)) return `no way there for ${chanceWords(reach.unreached)} of the landings`;
  const far =
    reach.p95_s < Infinity
      ? `${NEARLY_ALL} within ${roughDuration(reach.p95_s)}`
      : `no way there for ${chanceWords(reach.unreached)}`;
  return `${roughDuration(reach.p50_s)} after touchdown (${far})`;
}

/** "Marnwick road 1.9 km, off road 250 m": the roads in their order. */
function routeWords({ route }: CrewSource): string {
  if (route.kind === 'no way') return `no way: ${route.why}`;
  const legs = route.legs.filter((leg) => leg.length_m >= 20);
  if (legs.length === 0) return 'you stand there';
  return legs.map((leg) => `${leg.road ?? leg.kind} ${distance(leg.length_m)}`).join(', ');
}

function mindItems(facts: Facts, one: CrewSource, own: Own): BriefItem[] {
  const { source } = facts;
  const { crew, approach } = one;
  const clear_m = source.scene === null ? 0 : marginOf(source.scene, crew);
  const far = crew.kind === 'helicopter' && clear_m > 0 ? `${atLeast(clear_m)} ` : '';
  const until =
    one.goal.name === 'gondola' ? 'GONDOLA DOWN' : crew.kind === 'helicopter' ? 'CANOPY GATHERED' : 'TOUCHDOWN';
  const items = [own('clear', 'Keep clear', `stay ${far}outside the marked ground until ${until}`, true)];
  if (approach !== null) {
    const hold = approach.gates.find((gate) => gate.name === 'hold');
    if (hold !== undefined) items.push(own('hold', 'Hold', holdWords(facts, one, hold)));
    if (approach.glare.inEyes) items.push(own('sun', 'Sun', 'in your eyes on final', true));
  }
  items.push(own('hazards', 'Hazards', hazardWords(facts.hazards, one)));
  if (one.goal.name === 'jumper') items.push(own('smoke', 'Smoke', smokeWords(facts)));
  const place = smokePlaceWords(facts, crew.team.coordinates ?? 'degrees-minutes');
  if (smokeSetter(source) === crew && place !== null) items.push(own('smokePlace', 'Set at', place));
  if (one.goal.name === 'jumper') items.push(...careItems(facts, one, own));
  items.push(own('light', 'Dark', darkWords(facts)));
  items.push(
    own(
      'defer',
      'Decides',
      crew.kind === 'helicopter'
        ? 'you, on flying; local rules first'
        : 'your lead; anyone may call HOLD; local rules first',
    ),
  );
  const [everybody] = source.situation.mission.channels ?? [];
  if (everybody !== undefined)
    items.push(
      own('radio', 'Radio', `${everybody.channel} (${everybody.use}); you are ${crew.team.callSign ?? crew.name}`),
    );
  return items;
}

/** Of the person and the suit, for whoever comes to them; for medical crews the hospital too. */
function careItems(facts: Facts, { crew }: CrewSource, own: Own): BriefItem[] {
  const { source, landing } = facts;
  const { hospital } = source.situation.mission;
  const [patient, suit] = [crew.medical ? patientWords(facts) : null, suitWords(facts)];
  const items: BriefItem[] = [];
  if (suit !== null) items.push(own('suit', 'Suit', suit, true));
  if (patient !== null) items.push(own('patient', 'Patient', patient));
  if (crew.medical && hospital !== undefined) {
    const { distance_m, bearing_deg } = inverse(landing, hospital.position);
    const format = crew.team.coordinates ?? 'degrees-minutes';
    const way = `${distance(distance_m)} on ${bothNorths(bearing_deg, source.declination)} from the landing`;
    const more = [hospital.pad, hospital.telephone].filter((part) => part !== undefined);
    items.push(
      own('hospital', 'Hospital', [hospital.name, placeWords(hospital.position, format), way, ...more].join('; ')),
    );
  }
  return items;
}

/** Where the hold is, how it lies from the standby, how long the way there takes. */
function holdWords({ source }: Facts, { crew, standby, approach }: CrewSource, { position, agl_m }: Gate): string {
  const { distance_m, bearing_deg } = inverse(standby, position);
  const place = placeWords(position, crew.team.coordinates ?? 'degrees-minutes');
  const magnetic = magneticOf(bearing_deg, source.declination);
  const north = magnetic === null ? `${direction(bearing_deg)} true` : `${direction(magnetic)} magnetic`;
  const way = `${distance(distance_m)} on ${north}`;
  return `${place}, ${number(agl_m)}${THIN}m AGL; ${way}, ${roughDuration(approach?.toHold_s ?? Infinity)}`;
}

/** The highest things near the way and the goal: "Tamber power line 30 m". */
function hazardWords(hazards: readonly MapHazard[], one: CrewSource): string {
  const legs = one.route.kind === 'route' ? one.route.legs.flatMap((leg) => leg.line) : [];
  const frame = localFrame(one.standby);
  const way = [one.standby, ...legs, one.goal.position].map((place) => frame.toLocal(place));
  const near = hazards.filter((hazard) => {
    if (hazard.kind === 'road' || hazard.kind === 'ridge') return false;
    const isArea = hazard.shape.kind === 'area';
    const points = (hazard.shape.kind === 'area' ? hazard.shape.ring : hazard.shape.line).map((place) =>
      frame.toLocal(place),
    );
    return boxesMeet(points, way, NEAR_WAY_M) && linesApart(way, points, isArea) < NEAR_WAY_M;
  });
  if (near.length === 0) return 'none known near your way';
  const high = [...near].sort((a, b) => (b.height_m ?? 0) - (a.height_m ?? 0)).slice(0, HAZARDS_MAX);
  return high
    .map((hazard) => `${hazard.name}${hazard.height_m === null ? '' : ` ${lengthUp(hazard.height_m)}`}`)
    .join(', ');
}

function darkWords({ landing, times }: Facts): string {
  const at_s = times.touchdown_s ?? times.exit_s;
  const { sunset, civil } = sunTimes(landing, at_s);
  if (lightLeft(landing, at_s).kind === 'night') return 'touchdown in the dark: steady lights, no flares';
  if (sunset.kind !== 'at') return sunset.why;
  return `sunset ${clockMinute(sunset.time_s)}${civil.dusk.kind === 'at' ? `, dark ${clockMinute(civil.dusk.time_s)}` : ''}`;
}
