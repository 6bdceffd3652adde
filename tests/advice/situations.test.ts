// One judgement of the exit as planned, now, its reason first: a table of situations (what differs from a plain flight
// that may go, at which moment) with the word and the first reason that each must have. The words follow from the
// rules of the table of limits and from common sense, not from what the program said yesterday.
import { describe, expect, it } from 'vitest';
import { adviseOn } from '../../core/advice/advise.ts';
import { limitSentence } from '../../core/advice/limits.ts';
import { briefOf } from '../../core/brief/brief.ts';
import { BRIEF_OPTIONS, briefSource } from '../../core/brief/source.ts';
import { Air } from '../../core/air/air.ts';
import { worldOf } from '../../core/descent/scenario.ts';
import { TerrainGrid } from '../../core/earth/terrain.ts';
import type { LogEvent } from '../../core/log/events.ts';
import { situationAt } from '../../core/mission/situation.ts';
import type { Mission } from '../../core/plan/schema.ts';
import { WindField } from '../../core/winds/field.ts';
import { MomentNews } from '../../core/work/momentNews.ts';
import { Workbench } from '../../core/work/work.ts';
import { SEED } from '../../renderer/state/derived/asked.ts';
import { FULL } from '../../renderer/work/word.ts';

const EXIT_S = Date.parse('2027-05-01T10:00:00Z') / 1000;
const iso = (after_s: number): string => new Date((EXIT_S + after_s) * 1000).toISOString().replace('.000', '');
const M_PER_DEG = 110_600;
const COS = Math.cos((48 * Math.PI) / 180);
/** A place so many metres east and north of the site. */
const at = (east_m: number, north_m: number): [number, number] => [
  12 + east_m / M_PER_DEG / COS,
  48 + north_m / M_PER_DEG,
];
const box = (east_m: number, north_m: number, half_m: number): [number, number][] => [
  at(east_m - half_m, north_m - half_m),
  at(east_m + half_m, north_m - half_m),
  at(east_m + half_m, north_m + half_m),
  at(east_m - half_m, north_m + half_m),
];

type Level = { height_m: number; from_deg: number; speed_mps: number };

interface Ridge {
  readonly near_m: number;
  readonly far_m: number;
  readonly rise_m: number;
  /** Where it begins, north of the site; left out: it runs through. */
  readonly south_m?: number;
}
const FAR_RIDGE: Ridge = { near_m: 19_000, far_m: 21_000, rise_m: 800 };
const RIDGE_WINDS: readonly Level[] = [
  { height_m: 400, from_deg: 270, speed_mps: 3 },
  { height_m: 800, from_deg: 270, speed_mps: 5 },
  { height_m: 1200, from_deg: 270, speed_mps: 15 },
  { height_m: 4500, from_deg: 270, speed_mps: 16 },
];

/** What differs from the plain flight. */
interface Differs {
  readonly plan?: (plan: Mission) => Mission;
  /** Surface wind, m/s; the wind aloft. */
  readonly surface?: number;
  readonly aloft?: number;
  readonly levels?: readonly Level[];
  /** Valid time of the forecast from the exit, s; null: no wind at all. */
  readonly valid_s?: number | null;
  /** How long before the exit the forecast's model started, s. */
  readonly run_s?: number;
  /** A ridge west of the site. */
  readonly ridge?: Ridge;
  readonly log?: (plain: LogEvent[]) => LogEvent[];
  /** The moment, s from the exit. */
  readonly at_s?: number;
}

const PLAIN: Mission = {
  format: 'plumbline/mission',
  version: 1,
  name: 'A plain flight',
  site: { name: 'Site', position: [12, 48], elevation_m: 400 },
  carrier: { kind: 'aircraft', altitude_m: 4000, airspeed_mps: 45, time: iso(0), heading_deg: 270, run_s: 120 },
  exit: { position: at(-300, 0), altitude_m: 4000, time: iso(0) },
  jumper: {
    mass_kg: 100,
    experience: 'licensed',
    stages: [{ name: 'freefall', dragArea_m2: 0.5, until: { agl_m: 1200 } }],
    canopy: {
      referenceMass_kg: 100,
      fill_s: 3,
      settings: [{ name: 'full', airspeed_mps: 12, sink_mps: 4.8 }],
      steering: { policy: 'to target', zone: 'Field' },
    },
  },
  landingZones: [{ name: 'Field', polygon: box(0, 0, 400) }],
};

let seq = 0;
type Event = Record<string, unknown>;
const event = (after_s: number, rest: Event): LogEvent => {
  seq += 1;
  return { seq, at: iso(after_s), ...rest } as LogEvent;
};
const report = (after_s: number, rest: Event = {}): LogEvent =>
  event(after_s, {
    kind: 'wind-report',
    id: `w${seq + 1}`,
    source: 'crew',
    by: 'Ground',
    observedAt: iso(after_s),
    position: at(0, 0),
    agl_m: 10,
    from_deg: 270,
    speed_mps: 3,
    text: 'as heard',
    ...rest,
  });
const mark = (after_s: number, name: string, rest: Event = {}): LogEvent =>
  event(after_s, { kind: 'mark', mark: name, ...rest });

/** Level ground at 400 m with a wall so much higher from one distance west of the site to another. */
function ridgeOf({ near_m, far_m, rise_m, south_m = -Infinity }: Ridge): TerrainGrid {
  const [columns, rows] = [1001, 41];
  const west = at(-25_000, 0)[0];
  const shape = {
    columns,
    rows,
    west_deg: west,
    north_deg: 48.1,
    stepLon_deg: (at(25_000, 0)[0] - west) / (columns - 1),
    stepLat_deg: 0.2 / (rows - 1),
  };
  const heights = Float32Array.from({ length: columns * rows }, (_, i) => {
    const east_m = -25_000 + (50_000 / (columns - 1)) * (i % columns);
    const north_m = ((rows - 1) / 2 - Math.floor(i / columns)) * (0.2 / (rows - 1)) * 110_600;
    return east_m > -far_m && east_m < -near_m && north_m >= south_m ? 400 + rise_m : 400;
  });
  return new TerrainGrid(shape, heights);
}

function situationOf(differs: Differs) {
  seq = 0;
  const mission = (differs.plan ?? ((plan) => plan))(structuredClone(PLAIN));
  const surface = differs.surface ?? 3;
  const levels = differs.levels ?? [
    { height_m: 400, from_deg: 270, speed_mps: surface },
    { height_m: 800, from_deg: 270, speed_mps: surface + 1 },
    { height_m: 4500, from_deg: 270, speed_mps: differs.aloft ?? surface + 4 },
  ];
  const wind =
    differs.valid_s === null
      ? WindField.calm()
      : WindField.ofColumns([
          {
            source: 'given',
            time_s: EXIT_S + (differs.valid_s ?? 0),
            levels: [...levels],
            run_s: differs.run_s === undefined ? undefined : EXIT_S - differs.run_s,
          },
        ]);
  const plain = [report(-900, { speed_mps: surface })];
  const log = (differs.log ?? ((events) => events))(plain);
  const world = worldOf(mission, wind, new Air([]), differs.ridge === undefined ? null : ridgeOf(differs.ridge));
  return { log, world, situation: situationAt(mission, log, world, EXIT_S + (differs.at_s ?? -300)) };
}

function judged(differs: Differs) {
  const { advice } = adviseOn(situationOf(differs).situation, { members: 200, seed: 5 });
  const first = advice.because[0];
  return { word: advice.word, first: first === undefined ? '' : limitSentence(first), line: advice.line };
}

const jumper =
  (change: Partial<Mission['jumper']>) =>
  (plan: Mission): Mission => ({
    ...plan,
    jumper: { ...plan.jumper, ...change },
  });
const planned =
  (change: Partial<Mission['exit']>) =>
  (plan: Mission): Mission => ({
    ...plan,
    exit: { ...plan.exit, ...change },
    carrier: { ...plan.carrier, through: plan.exit.position } as Mission['carrier'],
  });
const steering = (policy: NonNullable<NonNullable<Mission['jumper']['canopy']>['steering']>) => (plan: Mission) =>
  jumper({ canopy: { ...plan.jumper.canopy, steering: policy } as Mission['jumper']['canopy'] })(plan);
const hazard =
  (kind: string, east_m: number, half_m: number, height_m?: number) =>
  (plan: Mission): Mission => ({
    ...plan,
    hazards: [
      { name: 'Thing', kind, polygon: box(east_m, 0, half_m), ...(height_m === undefined ? {} : { height_m }) },
    ],
  });
/** Water all round, from 600 m on: the field is an island that some cases miss. */
const waterAbout =
  (flotation?: 'none' | 'life jacket') =>
  (plan: Mission): Mission => ({
    ...plan,
    jumper: { ...plan.jumper, ...(flotation === undefined ? {} : { flotation }) },
    hazards: [
      [-10_600, 0],
      [10_600, 0],
      [0, -10_600],
      [0, 10_600],
    ].map(([east = 0, north = 0], k) => ({ name: `Sea ${k}`, kind: 'sea', polygon: box(east, north, 10_000) })),
  });
/** The field with what stands 200 m downwind of its middle outside it. */
const smallField = (plan: Mission): Mission => ({
  ...plan,
  landingZones: [{ name: 'Field', polygon: box(0, 0, 150) }],
});
const limits =
  (values: Record<string, number>) =>
  (plan: Mission): Mission => ({ ...plan, limits: values });
const cloud =
  (base_agl_m: number, cover_oktas: number) =>
  (plan: Mission): Mission => ({
    ...plan,
    cloud: { base_agl_m, cover_oktas },
  });
const night = (plan: Mission): Mission => ({
  ...plan,
  exit: { ...plan.exit, time: iso(10 * 3600) },
  carrier: { ...plan.carrier, time: iso(10 * 3600) } as Mission['carrier'],
});

/** Seven levels of one ascent from 800 m to 3800 m above the ground, all with one wind. */
const balloon = (from_deg: number, speed_mps: number): LogEvent[] =>
  Array.from({ length: 7 }, (_, i) =>
    report(-1500 + 100 * i, { source: 'pilot-balloon', by: 'Balloon 1', agl_m: 800 + 500 * i, from_deg, speed_mps }),
  );
/** A drifting landing in the middle of a large field, 20 m/s aloft. */
const WINDY_DRIFT: Differs = {
  levels: [
    { height_m: 400, from_deg: 270, speed_mps: 3 },
    { height_m: 1000, from_deg: 270, speed_mps: 20 },
    { height_m: 4500, from_deg: 270, speed_mps: 20 },
  ],
  plan: (plan) => ({
    ...limits({ windShear_mps: 30, blownBack_mps: 30 })(steering({ policy: 'drift' })(plan)),
    exit: { ...plan.exit, position: at(-4300, 0) },
    landingZones: [{ name: 'Field', polygon: box(0, 0, 1500) }],
  }),
};

/** The lead's list of a plain flight: two items that the word waits for, one that it does not. */
const listed = (plan: Mission): Mission => ({
  ...plan,
  lists: [
    {
      name: 'Before the run',
      items: [{ name: 'zone clear', gates: true }, { name: 'visor warm' }, { name: 'radio check', gates: true }],
    },
  ],
});
const check = (after_s: number, item: string, rest: Event = {}): LogEvent =>
  event(after_s, { kind: 'check', list: 'Before the run', item, by: 'Lead', ...rest });

type Row = readonly [situation: string, differs: Differs, word: string, first: RegExp | ''];

const OVER = /^surface wind .* over the/;
const SITUATIONS: readonly Row[] = [
  ['a plain flight', {}, 'GO', ''],
  ['a minute before the exit', { at_s: -60 }, 'GO', ''],
  ['the exit is now', { at_s: 0 }, 'GO', ''],
  ['half a minute late', { at_s: 30 }, 'GO', ''],
  ['10 min past the exit, none in the log', { at_s: 600 }, 'HOLD', /^planned exit 10:00:00Z was 10\u202fmin ago/],
  ['an hour past', { at_s: 3600, log: () => [report(3000)] }, 'HOLD', /was 1\u202fh ago/],
  [
    'exit typed 22 min after the run',
    { plan: planned({ time: iso(1320) }), at_s: 0 },
    'HOLD',
    /after the window closes: .*Z is the best$/,
  ],
  [
    'exit typed 22 min before the run',
    { plan: planned({ time: iso(-1320) }), at_s: -2000, log: () => [report(-2100)] },
    'HOLD',
    /before the window opens: .*Z is the best$/,
  ],
  [
    'exit 5 km beside the run',
    { plan: planned({ position: at(-300, 5000) }) },
    'HOLD',
    /^planned exit 10:00:00Z is 5\.0\u202fkm from where the carrier will be/,
  ],
  [
    'exit 700 m beside the run',
    { plan: planned({ position: at(-300, 700) }) },
    'HOLD',
    /700\u202fm from where the carrier will be/,
  ],
  ['exit 1000 m above the run', { plan: planned({ altitude_m: 5000 }) }, 'HOLD', /off its height/],
  [
    'a run far from any zone',
    { plan: (plan) => ({ ...plan, exit: { ...plan.exit, position: at(0, 20_000) } }) },
    'HOLD',
    /^no exit on the carrier’s line keeps the limits/,
  ],
  [
    'a zone as small as a house',
    { plan: (plan) => ({ ...plan, landingZones: [{ name: 'Field', polygon: box(0, 0, 6) }] }) },
    'HOLD',
    /^no exit on the carrier’s line/,
  ],
  ['no landing zone', { plan: (plan) => ({ ...plan, landingZones: [] }) }, 'HOLD', /./],
  ['no report of the surface wind', { log: () => [] }, 'HOLD', /^age of the newest surface wind not given/],
  [
    'the surface wind is 40 min old',
    { log: () => [report(-2700)] },
    'HOLD',
    /^age of the newest surface wind 40\u202fmin, over/,
  ],
  [
    'only a wind at 600 m was reported',
    { log: () => [report(-900, { source: 'pilot-balloon', agl_m: 600 })] },
    'HOLD',
    /^age of the newest surface wind not given/,
  ],
  [
    'the report was withdrawn',
    { log: (plain) => [...plain, event(-800, { kind: 'withdrawal', of: 'w1', reason: 'wrong place' })] },
    'HOLD',
    /^age of the newest surface wind not given/,
  ],
  [
    'winds 10 m above the ground alone, over a wide plain',
    {
      levels: [{ height_m: 410, from_deg: 270, speed_mps: 2 }],
      plan: (plan) => ({
        ...limits({ windShear_mps: 30 })(plan),
        landingZones: [{ name: 'Field', polygon: box(0, 0, 9000) }],
      }),
    },
    'HOLD',
    /^age of the winds aloft not given: winds near the ground alone are given/,
  ],
  ['no wind is given at all', { valid_s: null }, 'HOLD', /no wind is given|wind/],
  ['winds 5 h old', { valid_s: -5 * 3600 }, 'GO', ''],
  [
    'winds 7 h old',
    { valid_s: -7 * 3600 },
    'HOLD',
    /^age of the winds aloft 42\d\u202fmin over|^age of the winds aloft/,
  ],
  ['winds 40 years old', { valid_s: -40 * 365 * 86_400 }, 'HOLD', /^age of the winds aloft/],
  ['winds of tomorrow only', { valid_s: 24 * 3600 }, 'HOLD', /^age of the winds aloft/],
  [
    'a helicopter that is heard from above the height of the exit',
    {
      log: (plain) => [
        ...plain,
        event(-300, { kind: 'fix', body: 'Kite', position: at(5000, 0), height_m: 6000, observedAt: iso(-300) }),
      ],
    },
    'GO',
    '',
  ],
  [
    'a wind of 12 m/s with a gust of 5, which cannot both be',
    { log: (plain) => [...plain, report(-600, { by: 'Other', speed_mps: 12, gust_mps: 5 })] },
    'HOLD',
    /^the wind is in question: Other’s wind \(w\d+\) does not count: a gust of .*below the mean.*; correct or withdraw it$/,
  ],
  [
    'the same, and its observer is heard again',
    {
      log: (plain) => [
        ...plain,
        report(-600, { by: 'Other', speed_mps: 12, gust_mps: 5 }),
        report(-300, { by: 'Other', observedAt: iso(-310) }),
      ],
    },
    'GO',
    '',
  ],
  [
    'a wind from 800°',
    { log: (plain) => [...plain, report(-600, { by: 'Other', from_deg: 800 })] },
    'HOLD',
    /^the wind is in question: Other’s wind \(w\d+\) does not count: a direction of 800.*; correct or withdraw it$/,
  ],
  [
    'a crew contradicts the forecast by a reversal',
    { surface: 6, log: (plain) => [...plain, report(-600, { by: 'Other', from_deg: 90, speed_mps: 6 })] },
    'HOLD',
    /^the wind is in question: /,
  ],
  [
    'two crews 60 m apart disagree',
    { surface: 5, log: (plain) => [...plain, report(-880, { by: 'Other', from_deg: 0, speed_mps: 9 })] },
    'HOLD',
    /^the wind is in question: |^surface wind/,
  ],
  [
    'a reversed wind far away',
    {
      surface: 6,
      log: (plain) => [...plain, report(-600, { by: 'Far', position: at(90_000, 0), from_deg: 90, speed_mps: 6 })],
    },
    'GO',
    '',
  ],
  [
    'all levels of a balloon look reversed, and would carry a drifting landing out of the zone',
    { ...WINDY_DRIFT, log: (plain) => [...plain, ...balloon(90, 20)] },
    'HOLD',
    /^the wind is in question: All 7 levels of Balloon 1 look given TOWARD instead of FROM/,
  ],
  [
    'the same balloon as the forecast says',
    { ...WINDY_DRIFT, log: (plain) => [...plain, ...balloon(270, 20)] },
    'GO',
    '',
  ],
  [
    'the reversed balloon of a flight whose canopy reaches the zone either way',
    {
      aloft: 12,
      plan: (plan) => ({ ...plan, landingZones: [{ name: 'Field', polygon: box(0, 0, 800) }] }),
      log: (plain) => [...plain, ...balloon(90, 11)],
    },
    'GO',
    '',
  ],
  ...([2, 4, 5] as const).map((speed): Row => [
    `student, ${speed} m/s`,
    { surface: speed, plan: jumper({ experience: 'student' }) },
    'GO',
    '',
  ]),
  ...([6.5, 7.5, 9] as const).map((speed): Row => [
    `student, ${speed} m/s`,
    { surface: speed, plan: jumper({ experience: 'student' }) },
    'NO-GO',
    OVER,
  ]),
  ...([4, 5, 6] as const).map((speed): Row => [`licensed, ${speed} m/s`, { surface: speed }, 'GO', '']),
  ...([8.4, 9, 12] as const).map((speed): Row => [`licensed, ${speed} m/s`, { surface: speed }, 'NO-GO', OVER]),
  ...([6, 8] as const).map((speed): Row => [
    `expert, ${speed} m/s`,
    { surface: speed, plan: jumper({ experience: 'expert' }) },
    'GO',
    '',
  ]),
  ...([10.4, 14] as const).map((speed): Row => [
    `expert, ${speed} m/s`,
    { surface: speed, plan: jumper({ experience: 'expert' }) },
    'NO-GO',
    OVER,
  ]),
  ['a gust of 9 m/s', { log: () => [report(-900, { gust_mps: 9 })] }, 'GO', ''],
  [
    'a gust of 11 m/s',
    { log: () => [report(-900, { gust_mps: 11 })] },
    'NO-GO',
    /^gust 11\.0\u202fm\/s \(21\u202fkt\), over/,
  ],
  [
    'an older gust, a newer report without one',
    { log: () => [report(-1200, { gust_mps: 11 }), report(-700)] },
    'GO',
    '',
  ],
  [
    'wind changes by 10 m/s in 300 m',
    {
      levels: [
        { height_m: 400, from_deg: 270, speed_mps: 3 },
        { height_m: 700, from_deg: 270, speed_mps: 13 },
        { height_m: 4500, from_deg: 270, speed_mps: 14 },
      ],
    },
    'HOLD',
    /^wind change in the lowest 300 m/,
  ],
  [
    'wind above the airspeed at 300 m',
    {
      // The run lies farther upwind, so that the exit is no matter of the window's edge.
      plan: (plan) => ({
        ...limits({ windShear_mps: 30 })(plan),
        exit: { ...plan.exit, position: at(-1800, 0) },
      }),
      levels: [
        { height_m: 400, from_deg: 270, speed_mps: 3 },
        { height_m: 690, from_deg: 270, speed_mps: 14 },
        { height_m: 4500, from_deg: 270, speed_mps: 15 },
      ],
    },
    'HOLD',
    /^wind over the canopy’s airspeed/,
  ],
  [
    'a canopy slower than the wind',
    {
      surface: 6,
      plan: (plan) =>
        jumper({
          canopy: {
            ...plan.jumper.canopy,
            settings: [{ name: 'full', airspeed_mps: 5, sink_mps: 4.8 }],
          } as Mission['jumper']['canopy'],
        })(plan),
    },
    'HOLD',
    /./,
  ],
  [
    'trees 3 heights upwind of the zone',
    { surface: 5, plan: hazard('trees', -560, 60, 30) },
    'HOLD',
    /^Field is in the lee of Thing: 3\.\d heights/,
  ],
  ['trees 30 heights upwind', { surface: 5, plan: hazard('trees', -1360, 60, 30) }, 'GO', ''],
  ['the same trees downwind', { surface: 5, plan: hazard('trees', 560, 60, 30) }, 'GO', ''],
  [
    'an open pond as large as a third of the field',
    { plan: hazard('water', 0, 20) },
    'HOLD',
    /^no exit on the carrier’s line|^chance of a/,
  ],
  [
    'a power line beside the aim',
    { plan: hazard('power line', 20, 15) },
    'HOLD',
    /^no exit on the carrier’s line|^chance of a/,
  ],
  [
    'a hazard of another kind beside the aim',
    { plan: hazard('rocks', 40, 40) },
    'HOLD',
    /^no exit on the carrier’s line|^chance of a/,
  ],
  [
    'water about the field and no flotation in the plan',
    { plan: waterAbout() },
    'HOLD',
    /^\d+\u202f% of flights end in water and the plan states no flotation$/,
  ],
  [
    'water about the field and a jumper who wears none',
    { plan: waterAbout('none') },
    'HOLD',
    /^\d+\u202f% of flights end in water and the jumper wears no flotation$/,
  ],
  ['water about the field and a life jacket', { plan: waterAbout('life jacket') }, 'GO', ''],
  ['a hazard far away', { plan: hazard('water', 5000, 100) }, 'GO', ''],
  [
    'at night',
    { plan: night, at_s: 10 * 3600 - 300, log: () => [report(10 * 3600 - 900)], valid_s: 10 * 3600 },
    'NO-GO',
    /^daylight left/,
  ],
  ['cloud below the exit, broken', { plan: cloud(2000, 6) }, 'HOLD', /^cloud base above the exit/],
  ['cloud below the exit, few', { plan: cloud(2000, 2) }, 'GO', ''],
  ['a forecast whose model started 20 h before the exit', { run_s: 20 * 3600 }, 'GO', ''],
  [
    'a forecast whose model started 30 h before the exit',
    { run_s: 30 * 3600 },
    'HOLD',
    /^age of the forecast’s run at the exit 30\u202fh, over the 24\u202fh limit/,
  ],
  [
    'visibility of 3 km',
    { plan: (plan) => ({ ...plan, visibility_m: 3000 }) },
    'HOLD',
    /^visibility 3000\u202fm, under the 4830\u202fm limit/,
  ],
  [
    'visibility of 6 km and an exit above 10 000 ft',
    { plan: (plan) => ({ ...plan, visibility_m: 6000 }) },
    'HOLD',
    /^visibility above 10 000 ft 6000\u202fm, under the 8050\u202fm limit/,
  ],
  [
    'visibility of 6 km and an exit at 2500 m',
    {
      plan: (plan) => ({
        ...planned({ altitude_m: 2500 })(plan),
        carrier: { ...plan.carrier, altitude_m: 2500, through: plan.exit.position } as Mission['carrier'],
        visibility_m: 6000,
      }),
    },
    'GO',
    '',
  ],
  [
    'a carrier whose place at the exit is known to some seconds of its way, where one second is asked for',
    { plan: limits({ exitKnown_s: 1 }) },
    'HOLD',
    /^the carrier’s place at the exit is known to ±\d+\u202fs of its way: wait for a later fix/,
  ],
  [
    'an opening at the exit outlasts the oxygen, and no flight may',
    {
      plan: (plan) => ({
        ...planned({ altitude_m: 7800 })(jumper({ oxygen_s: 300 })(limits({ oxygenCaseProbability: 0.005 })(plan))),
        carrier: { ...plan.carrier, altitude_m: 7800, through: plan.exit.position } as Mission['carrier'],
      }),
      levels: [
        { height_m: 400, from_deg: 270, speed_mps: 3 },
        { height_m: 8500, from_deg: 270, speed_mps: 3 },
      ],
    },
    'HOLD',
    /^2\u202f% of flights by their cases: .*opens at exit.* outlasts the oxygen$/,
  ],
  [
    'a building beside the way in of a helicopter',
    {
      surface: 6,
      plan: (plan) => ({
        ...smallField(hazard('building', 230, 30, 30)(plan)),
        teams: [{ name: 'Kite', kind: 'helicopter', position: at(3000, 0), speed_mps: 50 }],
      }),
    },
    'HOLD',
    /^a helicopter’s way in is in the lee of Thing: \d\.\d heights downwind/,
  ],
  [
    'the same building without a helicopter',
    { surface: 6, plan: (plan) => smallField(hazard('building', 230, 30, 30)(plan)) },
    'GO',
    '',
  ],
  [
    'a ridge 10.5 of its heights upwind of the zone, nearer to the pattern',
    {
      surface: 6,
      ridge: { near_m: 2100, far_m: 2400, rise_m: 200 },
      plan: steering({ policy: 'pattern', zone: 'Field' }),
    },
    'HOLD',
    /^the pattern is in the lee of the rising ground: 9\.\d heights downwind/,
  ],
  [
    'a ridge 8 heights upwind in 9 m/s, and a hedge nearer in its own heights in a weak wind',
    {
      surface: 3,
      ridge: { near_m: 1700, far_m: 1900, rise_m: 210 },
      levels: [
        { height_m: 400, from_deg: 270, speed_mps: 3 },
        { height_m: 600, from_deg: 270, speed_mps: 9 },
        { height_m: 4500, from_deg: 270, speed_mps: 9 },
      ],
      plan: hazard('trees', -425, 5, 5),
    },
    'HOLD',
    /^Field is in the lee of the rising ground: 8\.\d heights downwind/,
  ],
  [
    'a slanting tree line whose nearest place to a helicopter’s way in lies across the wind',
    {
      surface: 6,
      plan: (plan) => ({
        ...smallField(plan),
        hazards: [{ name: 'Thing', kind: 'trees', line: [at(450, 40), at(240, 130)], height_m: 30 }],
        teams: [{ name: 'Kite', kind: 'helicopter', position: at(3000, 0), speed_mps: 50 }],
      }),
    },
    'HOLD',
    /^a helicopter’s way in is in the lee of Thing: \d\.\d heights downwind/,
  ],
  [
    '15 m/s over a ridge 20 km upwind',
    {
      ridge: FAR_RIDGE,
      levels: RIDGE_WINDS,
    },
    'HOLD',
    /^15\.\d\u202fm\/s \(\d+\u202fkt\) over ground 800\u202fm high, \d\d\.\d\u202fkm upwind: rotor and wave/,
  ],
  [
    '15 m/s over a ridge 20 km away that begins 17° beside straight upwind',
    { ridge: { ...FAR_RIDGE, south_m: 5500 }, levels: RIDGE_WINDS },
    'HOLD',
    /^15\.\d\u202fm\/s \(\d+\u202fkt\) over ground 800\u202fm high, \d\d\.\d\u202fkm upwind: rotor and wave/,
  ],
  [
    '15 m/s at its crest from the ridge, while the wind over the landing comes from 70° beside',
    {
      ridge: FAR_RIDGE,
      levels: RIDGE_WINDS.map((level) => (level.height_m < 1000 ? { ...level, from_deg: 200 } : level)),
    },
    'HOLD',
    /^15\.\d\u202fm\/s \(\d+\u202fkt\) over ground 800\u202fm high, \d\d\.\d\u202fkm upwind: rotor and wave/,
  ],
  ['6 m/s over the same ridge', { ridge: FAR_RIDGE }, 'GO', ''],
  ['cloud well above the exit', { plan: cloud(6000, 8) }, 'GO', ''],
  [
    'an exit above 15 000 ft, and no word of oxygen',
    {
      plan: (plan) => ({
        ...planned({ altitude_m: 9000 })(plan),
        carrier: { ...plan.carrier, altitude_m: 9000 } as Mission['carrier'],
      }),
      levels: [
        { height_m: 400, from_deg: 270, speed_mps: 3 },
        { height_m: 9500, from_deg: 270, speed_mps: 3 },
      ],
    },
    'HOLD',
    /the plan gives no oxygen time, and the exit is above 15 000 ft MSL$/,
  ],
  [
    'oxygen for 10 s',
    {
      plan: (plan) => ({
        ...planned({ altitude_m: 9000 })(jumper({ oxygen_s: 10 })(plan)),
        carrier: { ...plan.carrier, altitude_m: 9000 } as Mission['carrier'],
      }),
      levels: [
        { height_m: 400, from_deg: 270, speed_mps: 3 },
        { height_m: 9500, from_deg: 270, speed_mps: 3 },
      ],
    },
    'NO-GO',
    /^oxygen left/,
  ],
  [
    'an opening that hurts',
    { plan: (plan) => jumper({ canopy: { ...plan.jumper.canopy, fill_s: 0.4 } as Mission['jumper']['canopy'] })(plan) },
    'NO-GO',
    /^opening shock/,
  ],
  ['a limit of its own that is broken', { plan: limits({ surfaceWind_mps: 2 }) }, 'NO-GO', OVER],
  [
    'a limit of its own that allows more',
    { surface: 9, plan: limits({ surfaceWind_mps: 12, gust_mps: 14 }) },
    'GO',
    '',
  ],
  [
    'the zone must be certain',
    {
      plan: (plan) => ({
        ...limits({ zoneProbability: 0.999 })(plan),
        landingZones: [{ name: 'Field', polygon: box(0, 0, 50) }],
      }),
    },
    'HOLD',
    /^no exit on the carrier’s line|^chance of the zone/,
  ],
  [
    'drifting, far from the zone',
    { plan: (plan) => ({ ...steering({ policy: 'drift' })(plan), exit: { ...plan.exit, position: at(4000, 4000) } }) },
    'HOLD',
    /^no exit on the carrier’s line/,
  ],
  [
    'the plan steers to a zone with a misspelt name',
    { plan: steering({ policy: 'to target', zone: 'Feild' }) },
    'HOLD',
    /./,
  ],
  [
    'no carrier in the plan',
    { plan: (plan) => ({ ...plan, carrier: undefined }) },
    'HOLD',
    /^the plan names no carrier: there is no exit window$/,
  ],
  [
    'a wind that changes by 60 m/s over 500 m of height, which no sounding does',
    {
      levels: [
        { height_m: 400, from_deg: 270, speed_mps: 3 },
        { height_m: 2500, from_deg: 270, speed_mps: 6 },
        { height_m: 3000, from_deg: 270, speed_mps: 66 },
        { height_m: 3500, from_deg: 270, speed_mps: 7 },
        { height_m: 4500, from_deg: 270, speed_mps: 8 },
      ],
    },
    'HOLD',
    /the wind changes by .* from .* to .* MSL: check the levels there/,
  ],
  [
    'the exit is in the log',
    { log: (plain) => [...plain, mark(0, 'exit', { observedAt: iso(0) })], at_s: 20 },
    'IN FLIGHT',
    /./,
  ],
  [
    'the touchdown is in the log',
    {
      log: (plain) => [
        ...plain,
        mark(0, 'exit', { observedAt: iso(0) }),
        mark(300, 'touchdown', { position: at(0, 0), observedAt: iso(300) }),
      ],
      at_s: 400,
    },
    'DOWN',
    '',
  ],
  ['a list, nothing read back', { plan: listed }, 'HOLD', /^2 items of the list are open: zone clear, radio check$/],
  [
    'a list, one item read back',
    { plan: listed, log: (plain) => [...plain, check(-800, 'zone clear')] },
    'HOLD',
    /^1 item of the list is open: radio check$/,
  ],
  [
    'a list, all that gates read back, and what does not gate left open',
    { plan: listed, log: (plain) => [...plain, check(-800, 'zone clear'), check(-790, 'radio check')] },
    'GO',
    '',
  ],
  [
    'a list, read back only after the moment',
    { plan: listed, log: (plain) => [...plain, check(-800, 'zone clear'), check(-200, 'radio check')] },
    'HOLD',
    /^1 item of the list is open: radio check$/,
  ],
  [
    'a list, one item skipped with a reason',
    {
      plan: listed,
      log: (plain) => [
        ...plain,
        check(-800, 'zone clear'),
        check(-790, 'radio check', { said: 'skipped', reason: 'hand signals agreed' }),
      ],
    },
    'GO',
    '',
  ],
  [
    'a list, one item skipped without a reason',
    {
      plan: listed,
      log: (plain) => [...plain, check(-800, 'zone clear'), check(-790, 'radio check', { said: 'skipped' })],
    },
    'HOLD',
    /^1 item of the list is open: radio check \(skipped by Lead without a reason\)$/,
  ],
  [
    'a list, one item withdrawn again',
    {
      plan: listed,
      log: (plain) => [
        ...plain,
        check(-800, 'zone clear'),
        check(-790, 'radio check'),
        check(-700, 'zone clear', { said: 'withdrawn', reason: 'a car on it' }),
      ],
    },
    'HOLD',
    /^1 item of the list is open: zone clear$/,
  ],
  [
    'a list, and a reading back that was annulled',
    {
      plan: listed,
      log: (plain) => {
        const wrong = check(-790, 'radio check');
        return [...plain, check(-800, 'zone clear'), wrong, event(-700, { kind: 'annulment', of: wrong.seq })];
      },
    },
    'HOLD',
    /^1 item of the list is open: radio check$/,
  ],
  [
    'a list whose items gate nothing',
    { plan: (plan) => ({ ...plan, lists: [{ name: 'Notes', items: [{ name: 'visor warm' }] }] }) },
    'GO',
    '',
  ],
  [
    'two lists with five open items: three are named',
    {
      plan: (plan) => ({
        ...plan,
        lists: [
          { name: 'One', items: ['a', 'b'].map((name) => ({ name, gates: true })) },
          { name: 'Two', items: ['c', 'd', 'e'].map((name) => ({ name, gates: true })) },
        ],
      }),
    },
    'HOLD',
    /^5 items of the lists are open: a, b, c and 2 more$/,
  ],
  ['an open list in a wind that forbids the exit: the wind is said first', { surface: 9, plan: listed }, 'NO-GO', OVER],
  [
    'an open list while the surface wind is old: the wind is said first',
    { plan: listed, log: () => [report(-2700)] },
    'HOLD',
    /^age of the newest surface wind/,
  ],
  [
    'an open list, and the exit is in the log',
    { plan: listed, log: (plain) => [...plain, mark(0, 'exit', { observedAt: iso(0) })], at_s: 20 },
    'IN FLIGHT',
    /./,
  ],
];

describe('the word and its first reason', () => {
  it('covers at least 60 situations', () => {
    expect(SITUATIONS.length).toBeGreaterThanOrEqual(60);
  });

  it.each(SITUATIONS)('%s', (_, differs, word, first) => {
    const found = judged(differs);
    const words = `${found.word} · ${found.first} · ${found.line}`;
    expect(found.word, words).toBe(word);
    if (word === 'IN FLIGHT') return;
    if (first === '') expect(found.first, words).toBe('');
    else expect(found.first, words).toMatch(first);
    // The line begins with the word, then the reason.
    expect(found.line, words).toMatch(new RegExp(`^${word}`));
  });
});

describe('the limit of the lists', () => {
  const valueOf = (differs: Differs) =>
    adviseOn(situationOf(differs).situation, { members: 200, seed: 5 }).advice.limits.find(
      ({ limit }) => limit.name === 'listItems',
    );

  it('is not counted without lists and after the exit, and names what was skipped, by whom and why', () => {
    expect(valueOf({})?.value).toEqual({ kind: 'not given', why: 'the plan has no list' });
    const left = valueOf({
      plan: listed,
      log: (plain) => [...plain, mark(0, 'exit', { observedAt: iso(0) })],
      at_s: 20,
    });
    expect(left?.state).toBe('not given');
    const skipped = valueOf({
      plan: listed,
      log: (plain) => [
        ...plain,
        check(-800, 'zone clear'),
        check(-790, 'radio check', { said: 'skipped', reason: 'hand signals agreed' }),
      ],
    });
    expect(skipped?.state).toBe('kept');
    expect(skipped?.value).toMatchObject({
      value: 0,
      how: expect.stringContaining('; radio check was skipped by Lead: hand signals agreed') as string,
    });
  });
});

describe('command line, window and brief', () => {
  const FEW = { members: 40, seed: BRIEF_OPTIONS.seed };

  it('take the same sample', () => {
    expect(FULL).toBe(BRIEF_OPTIONS.members);
    expect(SEED).toBe(BRIEF_OPTIONS.seed);
  });

  // One answer is made in three ways: a third of the table finds a way that differs, and the brief's crews take
  // seconds.
  const SOME = SITUATIONS.filter((_, i) => i % 3 === 0).map((row, i) => [...row, i % 4 === 0] as const);
  it.each(SOME)('say the same word and reasons: %s', (_, differs, _word, _first, brief) => {
    const { log, world, situation } = situationOf(differs);
    const { advice } = adviseOn(situation, FEW);
    const { mission, at_s } = situation;
    // The window's worker is told of the moment and asked, as plain data.
    const bench = new Workbench();
    const stamp = { moment: 1, seq: log.at(-1)?.seq ?? -1, plan: 1, at_s };
    for (const ask of new MomentNews().tell({ stamp, mission, log, world, roads: null, seed: FEW.seed }))
      expect(bench.answer(structuredClone(ask))).toEqual({ kind: 'done' });
    const answer = bench.answer({ kind: 'advice', members: FEW.members, beside: 'all', whatIf: null });
    const shown = answer.kind === 'advice' ? answer.answer.advice : null;
    expect(shown?.line).toBe(advice.line);
    expect(shown?.word).toBe(advice.word);
    if (!brief) return;
    const { head } = briefOf(briefSource(situation, log, null, { ...FEW, caseMembers: 4, edges: 0 }).source);
    expect(head.word).toBe(advice.word);
    expect(advice.line.startsWith(head.verdict)).toBe(true);
  });
});
