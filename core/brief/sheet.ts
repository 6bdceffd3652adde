// The sheet for all crews: what is read in ninety seconds first, then what is looked up. Every line has its key
// (`model.ts`).
import { CAUTIONS } from '../advice/advise.ts';
import { edgeSentence, edgeTells } from '../advice/edgeWords.ts';
import { limitSentence } from '../advice/limits.ts';
import { ROTOR_WASH_M } from '../recovery/keepClear.ts';
import { lightLeft, sunPosition, sunTimes, type SunEvent } from '../earth/sun.ts';
import { gustNow_mps, windOver, type Crew } from '../recovery/crews.ts';
import { centroid, inverse, isInside, nearestOnLine } from '../earth/geodesic.ts';
import { clock, knownZone, roughDuration, bothClocks, sinceExit, clockMinute, clockRange } from '../words/times.ts';
import { distance, atLeast, halfAxes, height, lengthUp } from '../words/lengths.ts';
import { chanceWords, capital, MISSING, NEARLY_ALL, angle, percent, quantity, rounded } from '../words/numbers.ts';
import type { LonLat } from '../base/units.ts';
import { direction, directionWords, octant } from '../words/winds.ts';
import { CALLS, GONDOLA_CALLS, onClock, type Clockwork } from './calls.ts';
import { smokePosition, type MapHazard } from './mapData.ts';
import type { BriefItem, BriefSection } from './model.ts';
import type { BriefSource, CrewSource } from './source.ts';
import { driftWords, NO_DRIFT } from '../recovery/afloat.ts';
import type { Shore } from '../recovery/water.ts';
import { plannedCase } from './source.ts';
import { awayWords, shoreWords } from '../words/places.ts';
import { bothNorths, magneticOf, placeWords, type CoordinateFormat } from '../words/positions.ts';
import { windLine, windOf } from './wind.ts';

/** What the sections have in common. */
export interface Facts {
  readonly source: BriefSource;
  readonly timeZone: string | undefined;
  readonly times: Clockwork;
  /** The expected landing: that of the prediction in the analysed wind; the site where nothing lands. */
  readonly landing: LonLat;
  readonly hazards: readonly MapHazard[];
}

export const line = (key: string, label: string, text: string, strong = false): BriefItem => ({
  key,
  label,
  text,
  ...(strong ? { strong } : {}),
});
export const row = (key: string, label: string, cells: readonly string[]): BriefItem => ({
  key,
  label,
  text: cells.join('; '),
  cells,
});

export const bothForms = (place: LonLat): string =>
  `${placeWords(place, 'degrees-minutes')} · ${placeWords(place, 'MGRS')}`;

/** "GO", or the word with every limit that makes it. */
export function verdictOf({ source }: Facts): string {
  const { word, because } = source.advised.advice;
  return because.length === 0 ? word : `${word}: ${because.map((one) => limitSentence(one)).join('; ')}`;
}

export function timesSection({ source, timeZone, times }: Facts): BriefSection {
  const { advice } = source.advised;
  const called = source.situation.state.marks.get('exit');
  const items: BriefItem[] = [];
  items.push(line('times.exit', 'Exit', `T = ${bothClocks(times.exit_s, timeZone)}`, true));
  if (called !== undefined) items.push(line('times.called', 'Exit called', bothClocks(called.time_s, timeZone), true));
  const { window } = advice.exits;
  if (window !== null) items.push(line('times.window', 'Window', clockRange(window.opens_s, window.closes_s)));
  if (times.opening_s !== null) {
    const opening = source.advised.planned.prediction.opening;
    const high = opening === null ? '' : `, ${height(rounded(opening.height_m, 10))}`;
    items.push(
      line(
        'times.opening',
        'Canopy opens',
        `${sinceExit(times.opening_s - times.exit_s)}, ${clock(times.opening_s)}${high}`,
      ),
    );
  } else items.push(line('times.opening', 'Canopy opens', 'no canopy opens in this plan', true));
  if (times.touchdown_s !== null)
    items.push(line('times.touchdown', 'Touchdown', touchdownWords(source, times, times.touchdown_s)));
  else items.push(line('times.touchdown', 'Touchdown', 'the descent does not reach the ground in this plan', true));
  if (times.release_s !== null) {
    const down = times.gondolaDown_s === null ? '' : `, down ${clock(times.gondolaDown_s)}`;
    items.push(line('times.gondola', 'Gondola', `released ${clock(times.release_s)}${down}`));
  }
  return { key: 'times', title: 'Times', read: true, items };
}

/** Whether the touchdown is in the log: nothing of it is expected any more. */
export const isDown = (source: BriefSource): boolean => source.advised.advice.word === 'DOWN';

/** "T+9:56, 07:51:56Z (95 % by 07:53Z)". */
function touchdownWords(source: BriefSource, times: Clockwork, touchdown_s: number): string {
  const planned = plannedCase(source.cases);
  const late = isDown(source) ? undefined : planned?.statistics?.time_s.p95;
  // Counted from where the descent was flown from: the exit, or the last fix.
  const by =
    planned === null || late === undefined
      ? ''
      : ` (${NEARLY_ALL} by ${clockMinute(planned.outlook.scenario.exit.time_s + late, 'up')})`;
  return `${sinceExit(touchdown_s - times.exit_s)}, ${clock(touchdown_s)}${by}`;
}

/** How a place lies to the shore of the water that it is in; null on land. */
export const shoreAt = ({ scene }: BriefSource, place: LonLat): Shore | null =>
  scene === null ? null : scene.water.shoreOf(scene.frame.toLocal(place));

function waterLines({ scene }: BriefSource, shore: Shore): BriefItem[] {
  const drift = scene?.drift ?? null;
  const moves = drift === null ? NO_DRIFT : `drifts ${driftWords(drift)}`;
  return [
    line('landing.water', 'Water', capital(shoreWords(shore)), true),
    line('landing.drift', 'Afloat', capital(moves), drift === null),
  ];
}

/** "in Saltbell North"; "240 m outside Mill Meadow". */
export function landingPlaceWords({ source }: Facts): string {
  const planned = source.table.find((one) => one.case.kind === 'as planned');
  if (planned?.kind !== 'lands') return 'nowhere: the descent does not reach the ground';
  const { where } = planned;
  if (where.kind === 'inside') return `in ${where.zone}`;
  return where.kind === 'outside' ? `${distance(where.short_m)} outside ${where.zone}` : 'the plan names no zone';
}

/** An ellipse rounder than this has no axis worth naming. */
const ROUND = 1.5;

export function spreadWords({ source }: Facts): string {
  const ellipses = plannedCase(source.cases)?.statistics?.ellipses;
  if (ellipses === undefined) return MISSING;
  const { semiMajor_m, semiMinor_m, bearing_deg } = ellipses['90'];
  const axis = semiMajor_m > ROUND * semiMinor_m ? `, long axis ${direction(bearing_deg)}` : '';
  return `90 of 100 within ${halfAxes(semiMajor_m, semiMinor_m)}${axis}`;
}

export function landingSection(facts: Facts): BriefSection {
  const { source, landing } = facts;
  const { advice } = source.advised;
  const share = advice.zone === null ? undefined : advice.statistics?.inZone[advice.zone];
  const shore = shoreAt(source, landing);
  const water = shore === null ? [] : waterLines(source, shore);
  const place = [...water, line('landing.place', 'Place', bothForms(landing))];
  if (isDown(source))
    return {
      key: 'landing',
      title: 'Landing',
      read: true,
      items: [line('landing.where', 'Down', capital(landingPlaceWords(facts)), true), ...place],
    };
  const items = [
    line('landing.where', 'Expected', capital(landingPlaceWords(facts)), true),
    ...place,
    line('landing.spread', 'Spread', spreadWords(facts)),
  ];
  if (advice.zone !== null && share !== undefined)
    items.push(line('landing.chance', 'Chance', `${chanceWords(share.p)} in ${advice.zone}`));
  return { key: 'landing', title: 'Expected landing', read: true, items };
}

/** What would change the word: what to listen for. */
export function edgesSection({ source }: Facts): BriefSection {
  const { elevation_m } = source.situation.mission.site;
  const items = source.edges
    .slice(0, 2)
    .map((edge, i) =>
      line(
        `edges.${i + 1}`,
        edge.input === 'moment' ? 'Time' : capital(edge.input),
        `${edgeSentence(edge, elevation_m)} (${edgeTells(edge)})`,
      ),
    );
  return { key: 'edges', title: 'What would change the advice', read: false, items };
}

/** The wind on the ground and higher up, where the landing is expected and when. */
export function windSection({ source, landing, times }: Facts): BriefSection {
  const { situation } = source;
  const at = (agl_m: number, gust_mps: number | null) =>
    windOf(
      windOver(situation, landing, agl_m, times.touchdown_s ?? times.exit_s),
      landing,
      situation.mission,
      gust_mps,
    );
  const ground = at(10, gustNow_mps(situation));
  const magnetic = magneticOf(ground.from_deg, source.declination);
  const items = [line('wind.ground', 'On the ground', windLine(ground), true)];
  if (magnetic !== null) items.push(line('wind.magnetic', 'By compass', `FROM ${direction(magnetic)} magnetic`));
  items.push(line('wind.300', '300 m up', windLine(at(300, null))));
  return { key: 'wind', title: 'Wind', read: true, items };
}

export function crewTable({ source }: Facts): BriefSection {
  const items = source.crews.map((one) => {
    const { crew, standby, goal, reach } = one;
    const format = crew.team.coordinates ?? 'degrees-minutes';
    if (one.status === 'refused')
      return row(`crews.${crew.name}`, crew.name, ['refused', one.why ?? 'no way is open', MISSING]);
    const proposed = one.status === 'proposed' ? ', proposed' : '';
    return row(`crews.${crew.name}`, crew.name, [
      `${placeWords(standby, format)}${proposed}`,
      one.ends === 'goal' ? wayWords(source, standby, goal) : endWords(one),
      one.ends === 'goal' ? roughDuration(reach.p50_s) : MISSING,
    ]);
  });
  if (items.length === 0)
    items.push(row('crews.none', 'No crew', ['the plan names no crew: nobody goes to the landing', '', '']));
  return {
    key: 'crews',
    title: 'Who waits where',
    read: true,
    columns: ['Crew', 'Standby', 'Goes', 'There in'],
    items,
  };
}

/** What a crew does that does not come to the person. */
export const endWords = ({ ends, shore }: CrewSource, whose: 'its' | 'your' = 'its'): string =>
  ends === 'nothing' || shore === null
    ? `no farther than ${whose} standby: the landing lies on land`
    : `no farther than the shore, ${distance(shore.distance_m)} toward ${directionWords(shore.toward_deg)} of the ` +
      'landing: nobody goes into the water';

/** "4.1 km on 263° true, 288° magnetic"; for the gondola's crew with its goal. */
export function wayWords(
  { declination }: BriefSource,
  from: LonLat,
  goal: { readonly name: string; readonly position: LonLat },
): string {
  const { distance_m, bearing_deg } = inverse(from, goal.position);
  const what = goal.name === 'gondola' ? 'to the gondola, ' : '';
  return distance_m < 30 ? `${what}here` : `${what}${distance(distance_m)} on ${bothNorths(bearing_deg, declination)}`;
}

export function rulesSection(facts: Facts): BriefSection {
  const { source } = facts;
  const items = [line('rules.clear', 'Keep clear', keepClearWords(facts), true)];
  const approach = source.crews.find((one) => one.approach !== null);
  if (approach?.approach != null)
    items.push(
      line(
        'rules.approach',
        'Approach',
        `${approach.crew.name} on ${direction(approach.approach.final_deg)} true, from behind and below, ` +
          'never over the canopy',
      ),
    );
  items.push(line('rules.smoke', 'Smoke', smokeWords(facts)));
  items.push(
    line(
      'rules.defer',
      'Who decides',
      source.situation.mission.decides ??
        'pilot, on flying; medic, on the patient; lead, on GO and HOLD; local rules first',
    ),
  );
  const channels = (source.situation.mission.channels ?? []).map(({ use, channel }) => `${use}: ${channel}`);
  if (channels.length > 0) items.push(line('rules.radio', 'Radio', channels.join('; ')));
  return { key: 'rules', title: 'Rules', read: true, items };
}

/** How far the marked ground about the landing reaches from it: of its parts those that hold the landing. */
function markedReach_m({ scene }: BriefSource, landing: LonLat): number | null {
  if (scene === null) return null;
  const parts = scene.clear.rings(scene.frame).filter((part) => isInside(landing, part.ring));
  const far = parts.flatMap((part) => part.ring.map((place) => inverse(landing, place).distance_m));
  return far.length === 0 ? null : Math.max(...far);
}

/** In words what the map shows as keep clear. */
function keepClearWords({ source, landing }: Facts): string {
  const reach_m = markedReach_m(source, landing);
  const helicopter = source.crews.some((one) => one.crew.kind === 'helicopter');
  const margin = source.situation.mission.placement?.rotorWash_m ?? ROTOR_WASH_M;
  const size = reach_m === null ? '' : `, up to ${distance(reach_m)} from the landing`;
  const add = helicopter ? `; helicopters ${atLeast(margin)} more` : '';
  const who = source.smoke?.kind === 'place' ? 'all but who lights the smoke' : 'all';
  return `until TOUCHDOWN ${who} stay off the marked ground${size}${add}`;
}

/** What everybody reads of it; who lights it reads `smokePlaceWords` as well. */
export function smokeWords({ source: { smoke }, times }: Facts): string {
  if (smoke === null) return 'none: no canopy comes down';
  if (smoke.kind === 'none') return `none. ${smoke.why}`;
  const where = `${distance(smoke.downwind_m)} downwind, ${distance(smoke.aside_m)} ${smoke.side} of the final`;
  if (smoke.device !== 'smoke') return `${smoke.device}, ${where}`;
  return `${where}, lit ${onClock(times, smoke.light_s)}; fire: ${smoke.fire.level}`;
}

/** Its place, and the final that its side is of, in both norths; null without one. */
export function smokePlaceWords({ source, landing }: Facts, format: CoordinateFormat): string | null {
  const { smoke, declination } = source;
  const position = smokePosition(source, landing);
  if (smoke?.kind !== 'place' || position === null) return null;
  return `${placeWords(position, format)}; final on ${bothNorths(smoke.final_deg, declination)}`;
}

/** The crew on the ground that comes to the jumper; a boat sets no smoke. */
export const smokeSetter = ({ scene }: BriefSource): Crew | null =>
  scene === null || scene.gatherer?.kind === 'boat' ? null : scene.gatherer;

/** Who sets and lights it, with its place, for those who look it up. */
function smokeCaution(facts: Facts): string[] {
  const { smoke } = facts.source;
  const place = smokePlaceWords(facts, 'degrees-minutes');
  if (smoke?.kind !== 'place' || place === null) return [];
  const who = smokeSetter(facts.source)?.name;
  const what = `${capital(smoke.device)} at ${place}`;
  return [who === undefined ? `${what}: no crew is there to set it; the lead names who.` : `${what}: ${who} sets it.`];
}

/** What blows where each helicopter holds, at its height there. */
function holdWinds({ source, landing, times }: Facts): string[] {
  return source.crews.flatMap(({ crew, approach }) => {
    const hold = approach?.gates.find((gate) => gate.name === 'hold');
    if (hold === undefined) return [];
    const { situation } = source;
    const at_s = times.touchdown_s ?? times.exit_s;
    const wind = windOf(windOver(situation, hold.position, hold.agl_m, at_s), landing, situation.mission);
    return [`Wind at the hold of ${crew.name}, ${quantity(rounded(hold.agl_m, 10), 'm')} up: ${windLine(wind)}.`];
  });
}

export function zonesSection({ source }: Facts): BriefSection {
  const { mission } = source.situation;
  const { statistics, zones } = source.advised.advice;
  const items = (mission.landingZones ?? []).map((zone) => {
    const middle = centroid(zone.polygon);
    const fit = zones.find((one) => one.zone.name === zone.name);
    const share = statistics?.inZone[zone.name]?.p;
    return row(`zone.${zone.name}`, zone.name, [
      placeWords(middle, 'degrees-minutes'),
      placeWords(middle, 'MGRS'),
      share === undefined ? MISSING : chanceWords(share),
      fit === undefined ? MISSING : `${quantity(rounded(fit.runIn_m, 10), 'm')} on ${direction(fit.landing_deg)}`,
      [zone.surface, zone.note].filter((part) => part !== undefined).join('. '),
    ]);
  });
  if (items.length === 0) items.push(row('zone.none', 'No zone', ['the plan names no landing zone', '', '', '', '']));
  const columns = ['Zone', 'Middle', 'MGRS', 'Chance', 'Run-in', 'Ground'];
  return { key: 'zones', title: 'Landing zones', read: false, columns, items };
}

/** No published rates were found. */
const CASES_TITLE = 'When it goes otherwise: shares invented unless the mission gives them';

export function casesSection({ source }: Facts): BriefSection {
  const items = source.table.map((one) => {
    const { mark, name, weight, meaning } = one.case;
    const key = `case.${name}`;
    const label = `${mark.letter} ${name}`;
    if (one.kind === 'no landing') return row(key, label, [percent(weight), one.why, MISSING, MISSING, MISSING]);
    const away =
      one.away_m < 30
        ? 'as planned'
        : `${distance(one.away_m)} toward ${direction(one.bearing_deg)} (${octant(one.bearing_deg)})`;
    const dry = one.where.kind === 'inside' ? `${one.where.zone}${one.away_m < 30 ? '' : `, ${away}`}` : away;
    const shore = shoreAt(source, one.landing);
    const place = shore === null ? dry : `${dry}, ${shoreWords(shore)}`;
    const down = one.opens_m === null ? `impact ${clock(one.touchdown_s)}` : clock(one.touchdown_s);
    const first =
      one.firstCrew === null ? 'nobody' : `${one.firstCrew.crew.name}, ${roughDuration(one.firstCrew.p50_s)}`;
    const cells = [percent(weight), place, down, halfAxes(one.ellipse90.semiMajor_m, one.ellipse90.semiMinor_m), first];
    return { ...row(key, label, cells), text: `${one.sentence} ${meaning}` };
  });
  const columns = ['If', 'Share', 'Lands', 'Down at', '90 of 100 within', 'First there'];
  return { key: 'cases', title: CASES_TITLE, read: false, columns, items };
}

/** Hazards by their distance from the expected landing, the nearest first. */
export function hazardsSection({ source, landing, hazards }: Facts): BriefSection {
  const shares = source.advised.advice.statistics?.inHazard ?? {};
  const placed = hazards.map((hazard) => {
    const points =
      hazard.shape.kind === 'area' ? [...hazard.shape.ring, ...hazard.shape.ring.slice(0, 1)] : hazard.shape.line;
    return { hazard, near: nearestOnLine(landing, points) };
  });
  placed.sort((a, b) => a.near.distance_m - b.near.distance_m);
  const items = placed.map(({ hazard, near }) => {
    const share = shares[hazard.name]?.p ?? 0;
    const isAround = hazard.shape.kind === 'area' && isInside(landing, hazard.shape.ring);
    const away = awayWords(landing, near.position) ?? 'at the landing';
    return row(`hazard.${hazard.name}`, hazard.name, [
      hazard.kind,
      hazard.height_m === null ? MISSING : lengthUp(hazard.height_m),
      isAround ? `all about the landing; its edge ${away}` : away,
      share > 0 ? chanceWords(share) : 'none drawn',
    ]);
  });
  if (items.length === 0)
    items.push(row('hazard.none', 'No hazard', ['the plan names no hazard: look before you land', '', '', '']));
  const columns = ['Hazard', 'Kind', 'Height', 'From the landing', 'Landings on it'];
  return { key: 'hazards', title: 'Hazards', read: false, columns, items };
}

const eventWords = (event: SunEvent): string => (event.kind === 'at' ? clockMinute(event.time_s) : event.why);

export function sunSection({ source, landing, times, timeZone }: Facts): BriefSection {
  const at_s = times.touchdown_s ?? times.exit_s;
  const sun = sunPosition(landing, at_s);
  const day = sunTimes(landing, at_s);
  const light = lightLeft(landing, at_s);
  const stands =
    sun.elevation_deg > 0
      ? `${angle(sun.elevation_deg)} high toward ${bothNorths(sun.azimuth_deg, source.declination)}`
      : 'below the horizon';
  const left =
    light.kind === 'day'
      ? `${roughDuration(light.toSunset_s)} of daylight after touchdown`
      : {
          twilight: 'touchdown in twilight: dark comes soon',
          dawn: 'touchdown at dawn',
          night: 'touchdown in the dark: lights, no flares',
          'no night': 'it does not get dark',
        }[light.kind];
  const items = [
    line('sun.at', 'At touchdown', stands),
    line('sun.set', 'Sunset, level horizon', `${eventWords(day.sunset)}; civil dusk ${eventWords(day.civil.dusk)}`),
    line('sun.left', 'Light', left, light.kind === 'night' || light.kind === 'twilight'),
  ];
  const zone = knownZone(timeZone);
  if (zone !== null) items.push(line('sun.clock', 'Local time', zone));
  return { key: 'sun', title: 'Sun and dark', read: false, items };
}

export function gondolaSection({ source }: Facts): BriefSection {
  const items = source.others.flatMap((one): BriefItem[] => {
    if (one.kind === 'none') return [];
    const { landing } = one.outlook.prediction;
    const label = capital(one.name);
    if (landing === null || one.statistics === null)
      return [line(`other.${one.name}`, label, 'does not reach the ground in this plan')];
    const { semiMajor_m, semiMinor_m } = one.statistics.ellipses['90'];
    const separation = source.separations.find((apart) => apart.name === one.name)?.separation;
    const off =
      separation?.landings == null
        ? ''
        : `, ${distance(separation.landings.distance_m)} toward ` +
          `${directionWords(separation.landings.bearing_deg)} of the jumper's`;
    const down_s = one.outlook.scenario.exit.time_s + landing.time_s;
    const lands = line(
      `other.${one.name}`,
      label,
      `lands ${clock(down_s)} at ${bothForms(landing.position)}${off}; 90 of 100 within ` +
        halfAxes(semiMajor_m, semiMinor_m),
    );
    return [lands, ...sentences(`other.${one.name}.warning`, 'Separation', separation?.warnings ?? [], true)];
  });
  return { key: 'others', title: 'What else comes down', read: false, items };
}

export function callsSection({ source }: Facts): BriefSection {
  const gondola = source.others.some((one) => one.kind === 'falls' && one.name === 'gondola');
  const items = [...CALLS.slice(0, 5), ...(gondola ? GONDOLA_CALLS : []), ...CALLS.slice(5)].map(
    ({ call, from, means }) => row(`call.${call}`, call, [from, means]),
  );
  return { key: 'calls', title: 'Calls to listen for', read: false, columns: ['Call', 'From', 'Means'], items };
}

export function cautionsSection(facts: Facts): BriefSection {
  const { source } = facts;
  const { advice, outlook } = source.advised;
  const held = source.situation.winds.held;
  const said = [
    ...smokeCaution(facts),
    ...holdWinds(facts),
    ...(source.scene?.drift == null ? [] : [`Drift on the water: ${source.scene.drift.how}.`]),
    ...CAUTIONS,
    ...outlook.prediction.warnings,
    ...(held.length > 0
      ? [`${held.length === 1 ? 'One wind report is' : `${held.length} wind reports are`} held back until confirmed.`]
      : []),
    ...(source.placement?.answers ?? []),
    ...source.crews.flatMap((one) => one.approach?.warnings ?? []),
    ...source.crews.flatMap(({ crew, approach }) =>
      approach === null || approach.instead === null
        ? []
        : [`${crew.name}: a better final is not open, ${approach.instead}.`],
    ),
  ];
  const surface = source.situation.winds.newestSurface;
  said.push(
    surface === null
      ? 'No surface wind has been reported.'
      : `The newest surface wind is of ${clockMinute(surface.report.observed_s)} ` +
          `(${surface.report.event.by ?? 'unnamed'}).`,
  );
  if (source.declination.kind === 'unknown') said.push(`Magnetic bearings are not given: ${source.declination.why}.`);
  else if (source.declination.caution !== undefined)
    said.push(`A compass is hardly of use here: ${source.declination.caution}.`);
  for (const name of advice.unknownLimits) said.push(`The plan's limit "${name}" is not known here and not used.`);
  return { key: 'cautions', title: 'Cautions', read: false, items: sentences('caution', '', said) };
}

/**
 * Sentences as lines. A sentence's key is its words without its numbers, so that a changed number is a changed line,
 * not another.
 */
export function sentences(prefix: string, label: string, said: readonly string[], strong = false): BriefItem[] {
  const taken = new Set<string>();
  return [...new Set(said)].map((text) => {
    const slug = text
      .toLowerCase()
      .replace(/[^\p{L}]+/gu, '-')
      .slice(0, 60);
    let key = `${prefix}.${slug}`;
    while (taken.has(key)) key += '+';
    taken.add(key);
    return line(key, label, text, strong);
  });
}
