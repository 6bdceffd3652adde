// The table of situations: each alert fires once, at the look at which its situation is there, and not before, not
// beside it and not again while it lasts. The numbers of a situation are heights, times and shares that a person would
// write down; when something must be said is read off the list, not off the code.
import { describe, expect, it } from 'vitest';
import { limitSentence } from '../../core/advice/limits.ts';
import { adviseOn } from '../../core/advice/advise.ts';
import type { AlertView } from '../../core/live/alertRules.ts';
import { Alerts, silenceOf } from '../../core/live/alerts.ts';
import { alertName, silenceWords } from '../../core/log/silences.ts';
import type { JumperSeen } from '../../core/live/followed.ts';
import type { LivePhase } from '../../core/live/phases.ts';
import type { LogEvent } from '../../core/log/events.ts';
import { situationAt } from '../../core/mission/situation.ts';
import { PAPER_UNITS } from '../../core/words/numbers.ts';
import { loadDemo } from '../demo.ts';

const town = await loadDemo('town-meadow');
const EXIT_S = Date.parse(town.mission.exit.time) / 1000;
const iso = (t: number): string => new Date(1000 * (EXIT_S + t)).toISOString();

/** A mission whose log has these events only; times are seconds after the planned exit. */
function windsOf(
  events: readonly (object & { readonly t: number })[],
  at: number,
): Pick<AlertView, 'winds' | 'reports'> {
  const log = events.map(
    ({ t, ...rest }, i) => ({ seq: i + 1, at: iso(t), observedAt: iso(t), ...rest }) as unknown as LogEvent,
  );
  const { winds, state } = situationAt(town.mission, log, town.world, EXIT_S + at);
  return { winds, reports: state.counting };
}
const CALM = windsOf([], 0);

const viewAt = (t: number, more: Partial<AlertView> = {}): AlertView => ({
  at_s: EXIT_S + t,
  stage: 'in the air',
  jumper: null,
  landing: { inZone: { p: 0.9, error: 0.01 }, inHazard: { p: 0.01, error: 0.01 } },
  ...CALM,
  limits: [],
  crews: [],
  feeds: [],
  units: PAPER_UNITS,
  ...more,
});

/** Fixed at a height above ground in a phase; the plan opens at 1200 m. The fix is of the moment unless it says so. */
function jumper(t: number, phase: LivePhase, agl_m: number, more: Partial<JumperSeen> = {}): Partial<AlertView> {
  return {
    jumper: {
      phase: { phase, since_s: EXIT_S, confidence: 0.9 },
      fix: { time_s: EXIT_S + t, agl_m },
      usual_s: 1,
      sink: null,
      opens_agl_m: 1200,
      // It falls 50 m a second from 3000 m.
      below_s: (below_m) => (agl_m < below_m ? EXIT_S + (3000 - below_m) / 50 : null),
      gondola_m: null,
      ...more,
    },
  };
}

const chance = (p: number, inHazard = 0.01): Partial<AlertView> => ({
  landing: { inZone: { p, error: 0.01 }, inHazard: { p: inHazard, error: 0.01 } },
});

type CrewSeen = NonNullable<AlertView['crews']>[number];
const crew = (name: string, more: Partial<CrewSeen> & { readonly heard?: number } = {}): CrewSeen => {
  const { heard = 0, ...rest } = more;
  const none = { placedBy: 'last heard', fuel: { kind: 'not given' }, refusal: null } as const;
  return { crew: { name }, heard_s: EXIT_S + heard, ...none, ...rest };
};
const inside = { by: 'keep clear', why: 'it lies in the 99 % region of “as planned”' } as const;
const atNight = { by: 'dark', why: 'it would arrive 12 min after the end of civil twilight' } as const;
const feed = (link: 'up' | 'trying' | 'broken', heard: number | null) => ({
  feeds: [{ body: 'jumper', link, heard_s: heard === null ? null : EXIT_S + heard }],
});

/** A surface wind at the site that somebody confirmed: it counts whatever the forecast says. */
const wind = (t: number, id: string, from_deg: number, speed_mps = 4, more: object = {}) => [
  {
    t,
    kind: 'wind-report',
    id,
    source: 'station',
    by: 'mast',
    position: town.mission.site.position,
    agl_m: 10,
    from_deg,
    speed_mps,
    ...more,
  },
  { t, kind: 'confirmation', of: id },
];

const limitBroken = (name: string): AlertView['limits'] => {
  const { advice } = adviseOn(situationAt(town.mission, town.log, town.world, EXIT_S - 700), { members: 50 });
  const found = advice.limits.filter(({ limit }) => limit.name === name);
  expect(found).toHaveLength(1);
  return found.map((one) => ({ ...one, state: 'broken', margin: -3, value: { kind: 'known', value: 12, how: '' } }));
};

type Look = readonly [t: number, view: Partial<AlertView>];
type Said = readonly [t: number, name: string];
type Row = readonly [situation: string, looks: readonly Look[], said: readonly Said[]];

const TABLE: readonly Row[] = [
  [
    'a descent in which all goes as planned',
    [
      [10, jumper(10, 'freefall', 3000)],
      [40, jumper(40, 'freefall', 1210)],
      [50, jumper(50, 'opening', 1100)],
      [60, jumper(60, 'canopy', 1000)],
      [200, jumper(200, 'canopy', 20)],
      [230, { stage: 'down' }],
    ],
    [],
  ],
  [
    'still falling 200 m below the planned opening, then open',
    [
      [40, jumper(40, 'freefall', 1050)],
      [42, jumper(42, 'freefall', 990)],
      [44, jumper(44, 'freefall', 880)],
      [46, jumper(46, 'opening', 800)],
    ],
    [[42, 'opening late']],
  ],
  [
    'nothing opens',
    [
      [42, jumper(42, 'freefall', 990)],
      [50, jumper(50, 'freefall', 590)],
      [55, jumper(55, 'freefall', 300)],
    ],
    [
      [42, 'opening late'],
      [50, 'no opening'],
    ],
  ],
  [
    'under canopy 900 m above the planned opening',
    [
      [20, jumper(20, 'freefall', 2300)],
      [25, jumper(25, 'opening', 2100)],
      [40, jumper(40, 'canopy', 2000, { sink: { is_mps: 5, error_mps: 1, plan_mps: 5, fall_mps: 54 } })],
      [300, jumper(300, 'canopy', 1150)],
    ],
    [[40, 'opening early']],
  ],
  [
    'a phase that says canopy while the fixes fall as the plan does',
    [
      [40, jumper(40, 'canopy', 2000, { sink: { is_mps: 50, error_mps: 1, plan_mps: 5, fall_mps: 54 } })],
      [45, jumper(45, 'canopy', 1700, { sink: { is_mps: 54, error_mps: 1, plan_mps: 5, fall_mps: 54 } })],
    ],
    [],
  ],
  [
    'a plan without a canopy: nothing opens late or early',
    [
      [40, jumper(40, 'freefall', 300, { opens_agl_m: null })],
      [50, jumper(50, 'canopy', 3000, { opens_agl_m: null })],
    ],
    [],
  ],
  [
    'a fall half again as fast as the plan’s, told by good fixes; then as planned again',
    [
      [15, jumper(15, 'freefall', 2500, { sink: { is_mps: 80, error_mps: 1, plan_mps: 54, fall_mps: 54 } })],
      [25, jumper(25, 'freefall', 2000, { sink: { is_mps: 80, error_mps: 1, plan_mps: 54, fall_mps: 54 } })],
      [28, jumper(28, 'freefall', 1800, { sink: { is_mps: 75, error_mps: 1, plan_mps: 54, fall_mps: 54 } })],
      [35, jumper(35, 'freefall', 1500, { sink: { is_mps: 56, error_mps: 1, plan_mps: 54, fall_mps: 54 } })],
    ],
    [[25, 'fall rate']],
  ],
  [
    'a fall off the plan’s by no more than few fixes tell',
    [
      [25, jumper(25, 'freefall', 2000, { sink: { is_mps: 68, error_mps: 3, plan_mps: 54, fall_mps: 54 } })],
      [30, jumper(30, 'canopy', 1000, { sink: { is_mps: 12, error_mps: 2, plan_mps: 5, fall_mps: null } })],
    ],
    [],
  ],
  [
    'a canopy that sinks at 15 m/s in place of 5',
    [
      [70, jumper(70, 'canopy', 900, { sink: { is_mps: 5.5, error_mps: 0.8, plan_mps: 5, fall_mps: null } })],
      [80, jumper(80, 'canopy', 800, { sink: { is_mps: 15, error_mps: 0.8, plan_mps: 5, fall_mps: null } })],
      [90, jumper(90, 'canopy', 650, { sink: { is_mps: 16, error_mps: 0.8, plan_mps: 5, fall_mps: null } })],
    ],
    [[80, 'fall rate']],
  ],
  [
    'fixes stay away for 16 s, come again, and stay away again',
    [
      [60, jumper(60, 'canopy', 1000)],
      [75, jumper(60, 'canopy', 1000)],
      [76, jumper(60, 'canopy', 1000)],
      [90, jumper(60, 'canopy', 1000)],
      [91, jumper(91, 'canopy', 900)],
      [110, jumper(91, 'canopy', 900)],
    ],
    [
      [76, 'fix lost'],
      [110, 'fix lost'],
    ],
  ],
  [
    'fixes that are lost twice between two looks',
    [
      [80, jumper(60, 'canopy', 1000)],
      [120, jumper(100, 'canopy', 900)],
    ],
    [
      [80, 'fix lost'],
      [120, 'fix lost'],
    ],
  ],
  [
    'fixes that come once a minute, or were typed once: none is due yet',
    [
      [160, jumper(61, 'canopy', 1000, { usual_s: 60 })],
      [300, jumper(61, 'canopy', 1000, { usual_s: Infinity })],
    ],
    [],
  ],
  [
    'the gondola comes within 200 m of the canopy',
    [
      [60, jumper(60, 'canopy', 1000, { gondola_m: 900 })],
      [70, jumper(70, 'canopy', 950, { gondola_m: 200 })],
      [71, jumper(71, 'canopy', 950, { gondola_m: null })],
      [75, jumper(75, 'canopy', 940, { gondola_m: 320 })],
      [90, jumper(90, 'canopy', 900, { gondola_m: 700 })],
    ],
    [[70, 'near the gondola']],
  ],
  [
    'the landing leaves the zones, wavers, comes back and leaves again',
    [
      [30, chance(0.85)],
      [40, chance(0.4)],
      [50, chance(0.12)],
      [60, chance(0.3)],
      [70, chance(0.1)],
      [80, chance(0.8)],
      [90, chance(0.05)],
    ],
    [
      [50, 'landing left the zones'],
      [90, 'landing left the zones'],
    ],
  ],
  [
    'a chance that is not known for a while neither ends nor begins anything',
    [
      [50, chance(0.12)],
      [60, { landing: null }],
      [70, chance(0.1)],
    ],
    [[50, 'landing left the zones']],
  ],
  [
    'a chance of few descents that may be over a fifth, and a plan without zones',
    [
      [50, { landing: { inZone: { p: 0.15, error: 0.04 }, inHazard: null } }],
      [60, { landing: { inZone: null, inHazard: null } }],
    ],
    [],
  ],
  [
    'the landing comes onto a hazard',
    [
      [50, chance(0.9, 0.3)],
      [60, chance(0.9, 0.7)],
      [70, chance(0.9, 0.6)],
    ],
    [[60, 'landing on a hazard']],
  ],
  [
    'before the exit the word says what is low and what is broken',
    [[-300, { stage: 'before the exit', ...chance(0.05, 0.8), limits: limitBroken('gust_mps') }]],
    [],
  ],
  [
    'a gust breaks its limit once the jumper has left',
    [
      [30, { limits: limitBroken('gust_mps') }],
      [60, { limits: null }],
      [90, { limits: limitBroken('gust_mps') }],
    ],
    [[30, 'wind over a limit, gust']],
  ],
  ['a limit that no wind breaks is not an alert', [[30, { limits: limitBroken('oxygenReserve_s') }]], []],
  ['the light runs out', [[30, { limits: limitBroken('daylight_s') }]], [[30, 'daylight']]],
  [
    'the surface wind comes from the other side, and stays there',
    [
      [-900, { stage: 'before the exit', ...windsOf(wind(-960, 'a', 240), -900) }],
      [-600, { stage: 'before the exit', ...windsOf([...wind(-960, 'a', 240), ...wind(-630, 'b', 70)], -600) }],
      [
        -300,
        {
          stage: 'before the exit',
          ...windsOf([...wind(-960, 'a', 240), ...wind(-630, 'b', 70), ...wind(-330, 'c', 80)], -300),
        },
      ],
    ],
    [[-600, 'wind turned, b']],
  ],
  [
    'a wind that turns by 60°, a calm that turns, and one of another kind of observer',
    [
      [-600, { ...windsOf([...wind(-960, 'a', 240), ...wind(-630, 'b', 300)], -600) }],
      [-590, { ...windsOf([...wind(-960, 'a', 240, 1), ...wind(-630, 'b', 60, 1)], -590) }],
      [-580, { ...windsOf([...wind(-960, 'a', 240), ...wind(-630, 'b', 70, 4, { source: 'estimate' })], -580) }],
    ],
    [],
  ],
  [
    'a crew is heard inside the region; another one only waits there by the plan, a third was heard long ago',
    [
      [
        30,
        {
          crews: [
            crew('Team 1', { refusal: inside, heard: 20 }),
            crew('Team 2', { refusal: inside, placedBy: 'standby' }),
            crew('Team 3', { refusal: inside, heard: -900 }),
          ],
        },
      ],
      [40, { crews: null }],
      [60, { crews: [crew('Team 1', { refusal: inside, heard: 50 })] }],
      [90, { crews: [crew('Team 1')] }],
    ],
    [[30, 'crew inside keep-clear, Team 1']],
  ],
  [
    'crews go in once touchdown is in the log',
    [[400, { stage: 'down', crews: [crew('Team 1', { refusal: inside, heard: 390 })] }]],
    [],
  ],
  [
    'a crew is short of fuel, and one would come after dark',
    [
      [
        -300,
        {
          stage: 'before the exit',
          crews: [
            crew('Kite', { fuel: { kind: 'short', by_s: 600, needed_s: 7200 } }),
            crew('Finch', { fuel: { kind: 'enough', onScene_s: 60, needed_s: 7200 } }),
            crew('Wren', { refusal: atNight }),
          ],
        },
      ],
      [
        -240,
        {
          stage: 'before the exit',
          crews: [
            crew('Kite', { fuel: { kind: 'short', by_s: 700, needed_s: 7200 } }),
            crew('Wren', { refusal: atNight }),
          ],
        },
      ],
    ],
    [
      [-300, 'daylight, Wren'],
      [-300, 'fuel, Kite'],
    ],
  ],
  [
    'a link breaks, is tried again, and comes back',
    [
      [0, feed('up', 0)],
      [10, feed('broken', 5)],
      [12, feed('trying', 5)],
      [25, feed('broken', 5)],
      [26, feed('trying', 5)],
      [40, feed('up', 40)],
    ],
    [[25, 'feed lost, jumper']],
  ],
  [
    'a link that is tried for the first time, and then refused',
    [
      [0, feed('trying', null)],
      [1, feed('broken', null)],
      [2, feed('trying', null)],
      [3, feed('broken', null)],
    ],
    [[1, 'feed lost, jumper']],
  ],
];

describe('a table of situations', () => {
  it.each(TABLE)('%s', (_situation, looks, said) => {
    const alerts = new Alerts();
    const begun: Said[] = [];
    for (const [t, more] of looks) for (const one of alerts.at(viewAt(t, more)).begun) begun.push([t, alertName(one)]);
    expect(begun).toEqual(said);
  });

  it('has every kind of alert but the questions about the wind, which have their own', () => {
    const kinds = new Set(TABLE.flatMap(([, , said]) => said.map(([, name]) => name.split(',')[0])));
    expect(kinds.size).toBe(14);
  });
});

describe('a report that looks turned round', () => {
  const low = wind(-1200, 'a', 250, 6).concat(wind(-900, 'b', 255, 6));
  const turned = {
    t: 20,
    kind: 'wind-report',
    id: 'c',
    source: 'crew',
    by: 'Marshal',
    agl_m: 2,
    from_deg: 70,
    speed_mps: 6,
  };
  it('is asked about once in the air, since it was entered; before the exit the word says it', () => {
    const asked = windsOf([...low, turned], 30);
    expect(asked.winds.questions).toHaveLength(1);
    expect(new Alerts().at(viewAt(30, { ...asked, stage: 'before the exit' })).begun).toEqual([]);
    const alerts = new Alerts();
    expect(alerts.at(viewAt(10)).begun).toEqual([]);
    const [one, ...more] = alerts.at(viewAt(30, asked)).begun;
    expect(more).toEqual([]);
    expect(one).toMatchObject({ kind: 'wind in question', of: 'c', since_s: EXIT_S + 20 });
    expect(alerts.at(viewAt(60, asked)).begun).toEqual([]);
    expect(alerts.at(viewAt(90, CALM)).standing).toEqual([]);
  });
});

describe('what stands', () => {
  it('is ranked: where seconds count first', () => {
    const all = { ...jumper(60, 'freefall', 990), ...chance(0.1, 0.8), ...feed('broken', null) };
    const { standing } = new Alerts().at(
      viewAt(90, { ...all, crews: [crew('Team 1', { refusal: inside, heard: 80 })] }),
    );
    expect(standing.map(({ kind, grave }) => [kind, grave])).toEqual([
      ['opening late', 'stop'],
      ['landing on a hazard', 'stop'],
      ['crew inside keep-clear', 'stop'],
      ['fix lost', 'caution'],
      ['landing left the zones', 'caution'],
      ['feed lost', 'caution'],
    ]);
    for (const { text, todo } of standing) expect(`${text}. ${todo}.`.length).toBeGreaterThan(30);
  });

  it('says a limit as the advice does', () => {
    const limits = limitBroken('gust_mps');
    const [one] = new Alerts().at(viewAt(30, { limits })).standing;
    expect(one?.text).toBe(limits?.map((limit) => limitSentence(limit)).join());
    expect(one?.text).toContain('over the');
  });
});

describe('a silenced alert', () => {
  const silence = (t: number, about: string | undefined, alert = 'fix lost') =>
    ({
      seq: 9,
      at: iso(t),
      kind: 'silence',
      alert,
      ...(about === undefined ? {} : { about }),
      since: iso(0),
      text: '',
      reason: 'seen',
    }) as const;

  it('stays silent while it lasts, and comes back when it has ended and begins again', () => {
    const alerts = new Alerts();
    const lost = alerts.at(viewAt(76, jumper(60, 'canopy', 1000))).standing[0];
    if (lost === undefined) throw new Error('it stands');
    expect(silenceOf(lost, [silence(80, undefined)], EXIT_S + 90)?.reason).toBe('seen');
    expect(silenceOf(lost, [silence(50, undefined)], EXIT_S + 90)).toBeNull();
    const still = alerts.at(viewAt(100, jumper(60, 'canopy', 1000))).standing[0];
    expect(still && silenceOf(still, [silence(80, undefined)], EXIT_S + 100)).not.toBeNull();
    alerts.at(viewAt(101, jumper(101, 'canopy', 800)));
    const again = alerts.at(viewAt(120, jumper(101, 'canopy', 800))).standing[0];
    expect(again && silenceOf(again, [silence(80, undefined)], EXIT_S + 120)).toBeNull();
  });

  it('stays silent after the mission is opened again, as nobody saw it end', () => {
    const alerts = new Alerts();
    alerts.at(viewAt(40, chance(0.9)));
    const first = alerts.at(viewAt(50, chance(0.1))).standing[0];
    const reopened = new Alerts().at(viewAt(500, chance(0.1))).standing[0];
    for (const one of [first, reopened]) {
      expect(one && silenceOf(one, [silence(60, undefined, 'landing left the zones')], EXIT_S + 500)).not.toBeNull();
      // What was said before it began is of another one.
      expect(one && silenceOf(one, [silence(-50_000, undefined, 'landing left the zones')], EXIT_S + 500)).toBeNull();
    }
    expect(first && silenceOf(first, [silence(20, undefined, 'landing left the zones')], EXIT_S + 500)).toBeNull();
  });

  it('is that of one crew, not of every one', () => {
    const crews = ['Team 1', 'Team 2'].map((name) => crew(name, { refusal: inside, heard: 20 }));
    const { standing } = new Alerts().at(viewAt(30, { crews }));
    const silenced = standing.filter(
      (one) => silenceOf(one, [silence(40, 'Team 2', 'crew inside keep-clear')], EXIT_S + 50) !== null,
    );
    expect(silenced.map(({ of }) => of)).toEqual(['Team 2']);
    expect(silenceWords(silence(40, 'Team 2', 'crew inside keep-clear'))).toBe(
      'silenced: crew inside keep-clear, Team 2 (seen)',
    );
  });
});
