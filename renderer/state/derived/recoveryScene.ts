// What the map shows of the recovery: the landings of the cases, what else comes down, the crews with their times,
// their places and ways, the ground to keep clear, smoke, and the search where contact is lost. Each part stands while
// its panel is open, or as long as it is pinned.
import { computed, type ReadonlySignal } from '@preact/signals';
import { THIN } from '../../../core/words/numbers.ts';
import { clock, duration } from '../../../core/words/times.ts';
import { distance } from '../../../core/words/lengths.ts';
import type { CrewShown, CentredEllipse, RecoveryAnswer } from '../../../core/work/recoveryWork.ts';
import type { LonLat } from '../../../core/base/units.ts';
import type { MapBody, MapCase, MapCrew, MapEllipse, MapFix, MapScene, MapStandby } from '../../map/scene.ts';
import { ascentOf } from './ascent.ts';
import { contactLost } from './contact.ts';
import type { Store } from './store.ts';

type Recovered = Pick<MapScene, 'bodies' | 'standby' | 'keepClear' | 'smoke' | 'search' | 'crews' | 'fixes'> & {
  readonly cases: readonly MapCase[];
};

export function createRecoveryScene(store: Store): ReadonlySignal<Recovered> {
  const { recovery, view } = store;
  const withCases = computed(() => view.panel.value === 'Cases' || view.casesPinned.value);
  const withCrews = computed(() => view.panel.value === 'Crews' || view.crewsPinned.value);
  const cases = computed(() =>
    withCases.value ? [...casesOf(recovery.answer.value, recovery.hidden.value), ...ascentCase(store)] : [],
  );
  const bodies = computed(() => (withCases.value ? bodiesOf(recovery.answer.value) : []));
  const shown = computed(() => (withCrews.value ? recovery.answer.value : null));
  const standby = computed(() => (shown.value?.crews ?? []).map((crew) => standbyOf(crew)));
  const keepClear = computed(() =>
    (shown.value?.keepClear ?? []).map(({ names, rings }) => ({ label: clearLabel(names), rings })),
  );
  const smoke = computed(() => smokeOf(shown.value));
  const lost = computed(() => contactLost(store.log.value, store.shown_s.value) !== null);
  const search = computed(() => (lost.value ? searchOf(recovery.answer.value) : []));
  const crews = computed(() => crewsOf(store));
  const fixes = computed(() => fixesOf(store));
  return computed(() => ({
    cases: cases.value,
    bodies: bodies.value,
    standby: standby.value,
    keepClear: keepClear.value,
    smoke: smoke.value,
    search: search.value,
    crews: crews.value,
    fixes: fixes.value,
  }));
}

/** What the ground is kept clear for; of many the number. */
const clearLabel = (names: readonly string[]): string =>
  names.length < 3 ? `keep clear: ${names.join(', ')}` : `keep clear: ${names.length} cases and bodies`;

const ellipseOf = (ellipse: CentredEllipse | null): MapEllipse | null =>
  ellipse === null ? null : { ...ellipse, percent: 90 };

function casesOf(answer: RecoveryAnswer | null, hidden: ReadonlySet<string>): MapCase[] {
  return (answer?.cases ?? []).flatMap(({ row, ellipse90, track }): MapCase[] => {
    // The case as planned is the landing that the map shows anyway.
    if (row.kind !== 'lands' || row.case.kind === 'as planned' || hidden.has(row.case.name)) return [];
    const { name, mark } = row.case;
    return [
      {
        name,
        mark: mark.shape,
        landing: row.landing,
        ellipse: ellipseOf(ellipse90),
        label: `${mark.letter} ${name}`,
        track,
      },
    ];
  });
}

/** "If they leave now, here": the landing of the exit that the slider stands at. */
function ascentCase(store: Store): MapCase[] {
  const tried = ascentOf(store);
  const landing = tried?.kind === 'exit' ? tried.prediction.landing : null;
  if (tried?.kind !== 'exit' || landing === null) return [];
  const name = `exit at ${distance(tried.exit.height_m, store.units.value)}`;
  const track = tried.prediction.track.map(([, lon, lat]): LonLat => [lon, lat]);
  return [{ name, mark: 'house', landing: landing.position, ellipse: null, label: name, track }];
}

function bodiesOf(answer: RecoveryAnswer | null): MapBody[] {
  return (answer?.bodies ?? []).flatMap((body): MapBody[] => {
    if (body.kind === 'none') return [];
    const { landing } = body;
    return [
      {
        name: body.name,
        kind: body.name,
        track: body.track,
        ellipse: ellipseOf(body.ellipse90),
        landing:
          landing === null
            ? null
            : {
                name: body.name,
                position: landing.position,
                height_m: landing.elevation_m,
                t_s: landing.after_s,
                at_s: landing.time_s,
              },
      },
    ];
  });
}

function standbyOf({ crew, standby, status, approach, route, goal, ends }: CrewShown): MapStandby {
  const points = route.kind === 'route' ? route.legs.flatMap((leg) => leg.line) : [];
  const gates = (approach?.gates ?? []).map((gate) => ({
    position: gate.position,
    label: `${gate.name} ${Math.round(gate.agl_m)}${THIN}m AGL`,
  }));
  return {
    crew: crew.name,
    position: standby,
    label: status === 'proposed' ? `${crew.name}: proposed standby` : `${crew.name}: standby`,
    routes: [
      ...(approach === null && points.length > 1
        ? [{ name: `${crew.name} to the ${ends === 'shore' ? 'shore' : goal.name}`, points, gates: [] }]
        : []),
      ...(approach === null
        ? []
        : [
            {
              name: `${crew.name}: approach`,
              points,
              gates,
            },
          ]),
    ],
  };
}

function smokeOf(answer: RecoveryAnswer | null): MapScene['smoke'] {
  const smoke = answer?.smoke ?? null;
  if (smoke === null || smoke.position === null || smoke.answer.kind !== 'place') return [];
  return [{ label: smoke.answer.device, position: smoke.position, from_deg: smoke.from_deg }];
}

/** The pattern that is advised, and the area in which nine of ten landings lie. */
function searchOf(answer: RecoveryAnswer | null): MapScene['search'] {
  if (answer === null) return [];
  const { patterns, recommended, datum, areas } = answer.search;
  const pattern = patterns.find((one) => one.pattern.name === recommended);
  const rings = areas[1].rings.map(({ name, ring }) => ({
    label: `search area ${Math.round(100 * areas[1].share)}${THIN}%: ${name}`,
    datum: null,
    points: ring[0] === undefined ? ring : [...ring, ring[0]],
  }));
  return [
    ...(pattern === undefined ? [] : [{ label: `search: ${recommended}`, datum, points: pattern.line }]),
    ...rings,
  ];
}

/**
 * Where each crew waits by the plan, with its time to the landing; a crew that is being tried, with the time from
 * there.
 */
function crewsOf(store: Store): MapCrew[] {
  const known = new Map((store.recovery.answer.value?.crews ?? []).map((one) => [one.crew.name, one]));
  const tried = store.recovery.tried.value;
  return (store.mission.value?.teams ?? []).map((team): MapCrew => {
    const times = tried?.crew === team.name ? tried.times : (known.get(team.name)?.now ?? null);
    const goal = known.get(team.name)?.goal.name ?? 'jumper';
    const reach = times === null ? null : goal === 'gondola' ? times.toGondola : times.asPlanned;
    const note =
      reach === null
        ? undefined
        : reach.p50_s < Infinity
          ? `${duration(reach.p50_s)} to ${goal === 'gondola' ? 'the gondola' : 'landing'}`
          : 'no way there';
    return { name: team.name, kind: team.kind, position: team.standby ?? team.position, movable: true, note };
  });
}

/** Where crews were heard, with the age of it. */
function fixesOf(store: Store): MapFix[] {
  const situation = store.situation.value;
  if (situation === null) return [];
  const teams = new Set((situation.mission.teams ?? []).map((team) => team.name));
  return [...situation.state.fixes].flatMap(([body, fixes]): MapFix[] => {
    const last = fixes.at(-1);
    if (last === undefined || !teams.has(body)) return [];
    return [
      {
        body,
        kind: 'crew',
        position: last.position,
        height_m: last.height_m,
        age_s: Math.max(0, situation.at_s - last.time_s),
        history: fixes.slice(-20, -1).map((fix) => fix.position),
      },
    ];
  });
}

/** A time as the panels write it. */
export const timeWords = (store: Store, time_s: number): string => clock(time_s, store.units.value);
