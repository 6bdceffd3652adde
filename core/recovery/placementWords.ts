// What must be said beside the places: crews that are missing, shared or cannot come, landings that nobody reaches or
// that lie where nobody may simply go.
import { roughDuration } from '../words/times.ts';
import { distance } from '../words/lengths.ts';
import { capital, chanceWords } from '../words/numbers.ts';
import type { Hazard } from '../plan/schema.ts';
import type { LonLat } from '../base/units.ts';
import { ROTOR_WASH_M } from './keepClear.ts';
import { crossingAt, within, type Point } from '../earth/plane.ts';
import type { CrewPlace, Roles } from './crewPlace.ts';
import type { Scene, Targets } from './scene.ts';
import { nth } from '../base/nth.ts';

const KEEP_CLEAR_SENTENCE =
  `Helicopters keep ${Math.round(ROTOR_WASH_M)} m (1000 ft) from where a canopy may come down. ` +
  'No published distance between a helicopter and an open parachute was found; this is the larger of weak ' +
  'figures, and less than 61 m (200 ft) is never enough. Approach only when the canopy is collapsed, gathered ' +
  'and held.';

export function answersFor(
  scene: Scene,
  roles: Roles,
  places: readonly CrewPlace[],
  times: { readonly mean_s: number; readonly gondola_s: number },
): string[] {
  const said: string[] = [];
  if (scene.crews.length === 0) said.push('No crew is named: nobody goes to the landing. Add teams to the mission.');
  else if (roles.first.length === 0) said.push('No crew serves the jumper; every crew is the gondola’s.');
  else if (!roles.medical) said.push('No crew is medical: the first crew of any kind to the jumper counts.');
  if (scene.gondola !== null && roles.gondola.length === 0) {
    said.push(
      roles.after === null
        ? 'No crew serves the gondola.'
        : `One crew for two landings: ${roles.after.name} goes to the jumper first and is at the gondola after about ` +
            `${roughDuration(times.gondola_s)}, half an hour of care at the jumper included.`,
    );
  }
  for (const place of places) {
    const { crew } = place;
    if (place.kind === 'cannot') said.push(place.reason);
    if (place.fuel.kind === 'not given' && crew.kind === 'helicopter')
      said.push(`${crew.name}: the plan gives no endurance; its fuel is not checked.`);
    if (!(place.getThere_s < Infinity))
      said.push(`${crew.name} cannot get from its base to ${place.kind === 'placed' ? 'this place' : 'its standby'}.`);
    if (place.reach.unreached > 0.0005) said.push(unreached(scene, place));
  }
  if (
    scene.wideBecause !== null &&
    places.some(({ kind, refusal }) => kind === 'cannot' && refusal?.by === 'keep clear')
  )
    said.push(
      `The keep-clear region reaches ${distance(scene.clear.reach_m)} from the expected landing, as ` +
        `${scene.wideBecause}: a later fix of the balloon makes it smaller.`,
    );
  const closed = scene.ways.barriers.closed;
  if (closed.length > 0 && scene.crews.some((crew) => crew.kind === 'vehicle'))
    said.push(
      `${closed.join(', ')}: no crossing is on the map, so vehicles cross by roads drawn over it or not at all.`,
    );
  const parts = scene.ways.graph.parts;
  if (parts.length > 1) {
    const apart = parts.slice(1).map((names) => names.join(', '));
    said.push(
      `The road network has parts that do not hang together: ${apart.join('; ')}. Vehicles reach them off ` +
        'the road or not at all.',
    );
  }
  said.push(...waterWords(scene), ...borders(scene));
  if (scene.crews.some((crew) => crew.kind === 'helicopter')) said.push(KEEP_CLEAR_SENTENCE);
  return said;
}

/** Which landings a crew does not reach, and what lies between. */
function unreached(scene: Scene, place: CrewPlace): string {
  const { crew, role, reach } = place;
  const targets = role === 'gondola' && scene.gondola !== null ? scene.gondola : scene.jumper;
  const [x, y] = scene.frame.toLocal(place.position);
  const share = chanceWords(reach.unreached);
  if (crew.kind === 'boat') return `${crew.name} does not reach ${share} of the landings: they lie on land.`;
  if (crew.kind === 'helicopter' && !crew.hoist && isMostlyAfloat(targets, reach.unreached))
    return `${crew.name} does not reach ${share} of the landings: they lie in water, and it has no hoist.`;
  if (crew.kind === 'helicopter')
    return `${crew.name} finds no ground to set down within 1.5 km in ${share} of the landings, and has no hoist.`;
  const between = new Map<string, number>();
  const all = scene.ways.barriers;
  for (let k = 0; k < targets.count; k += Math.max(1, Math.floor(targets.count / 500))) {
    const stop = all.first(x, y, nth(targets.x, k), nth(targets.y, k));
    if (stop !== null) between.set(stop.name, (between.get(stop.name) ?? 0) + 1);
  }
  const worst = [...between].sort((a, b) => b[1] - a[1])[0]?.[0];
  const why = worst === undefined ? '' : `: ${worst} lies between, and no crossing leads over it`;
  return `${crew.name} does not reach ${share} of the landings by road or off it${why}.`;
}

const afloatShare = ({ afloat, weight }: Targets): number =>
  afloat.reduce((sum, isAfloat, k) => sum + (isAfloat ? nth(weight, k) : 0), 0);

/** Whether most of the landings that are not reached lie in water. */
const isMostlyAfloat = (targets: Targets, unreached: number): boolean => 2 * afloatShare(targets) > unreached;

/** Who could fetch somebody out of the water, and what is not counted of boats. */
function waterWords({ jumper, crews }: Scene): string[] {
  const share = afloatShare(jumper);
  const able = crews.some(
    (crew) => crew.serves !== 'gondola' && (crew.kind === 'boat' || (crew.kind === 'helicopter' && crew.hoist)),
  );
  return [
    ...(share > 0.0005 && crews.length > 0 && !able
      ? [`${capital(chanceWords(share))} of the landings lie in water, and no crew has a boat or a hoist.`]
      : []),
    ...(crews.some(({ kind }) => kind === 'boat')
      ? ['Of boats, draught, tide, waves and bridges are not counted: who steers judges them.']
      : []),
  ];
}

/** Landings beyond a border: shares and names. */
function borders(scene: Scene): string[] {
  const hazards = (scene.mission.hazards ?? []).filter((hazard) => hazard.kind === 'border');
  const site = scene.frame.toLocal(scene.mission.site.position);
  return hazards.flatMap((hazard) => {
    const share = beyond(scene.jumper, hazard, scene, site);
    return share > 0.0005
      ? [`${chanceWords(share)} of the landings lie across ${hazard.name}: whoever goes there needs leave beforehand.`]
      : [];
  });
}

function beyond(targets: Targets, hazard: Hazard, scene: Scene, site: Point): number {
  const closed = 'polygon' in hazard;
  const points = ((closed ? hazard.polygon : hazard.line) as readonly LonLat[]).map((place) =>
    scene.frame.toLocal(place),
  );
  let share = 0;
  for (let k = 0; k < targets.count; k++) {
    const place: Point = [nth(targets.x, k), nth(targets.y, k)];
    // Across a line: the way from the site meets it an odd number of times.
    let meets = 0;
    if (!closed)
      points.forEach((b, i) => {
        const a = points[i - 1];
        const at = a === undefined ? NaN : crossingAt(site, place, a, b);
        if (at >= 0) meets += 1;
      });
    if (closed ? within(place, points) : meets % 2 === 1) share += nth(targets.weight, k);
  }
  return share;
}
