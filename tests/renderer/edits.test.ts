// Each edit changes what it names and keeps the rest, unknown keys included; whatever an edit makes meets the mission's
// schema.
import { expect, test } from 'vitest';
import { canopy, stage, windLevel } from '../../core/plan/schema.ts';
import { at, type Json } from '../../renderer/state/stored/json.ts';
import {
  addCanopy,
  addFile,
  addLevel,
  addSetting,
  addStage,
  changeLevel,
  levelsPath,
  moveExit,
  moveTeam,
  policies,
  removeFile,
  removeSetting,
  renameSetting,
  removeStage,
  setExitHeight,
  setPolicy,
  setRunHeading,
  setTrigger,
  startForecast,
  strikeLevel,
  takeExit,
  takeOver,
  triggerKinds,
} from '../../renderer/state/stored/edits.ts';

const plan: Json = {
  format: 'plumbline/mission',
  ours: { kept: [1, 2] },
  exit: { position: [22, -30], altitude_m: 39_000, time: '2027-04-14T07:42:00Z', camera: 'left' },
  jumper: {
    mass_kg: 118,
    stages: [
      { name: 'fall', dragArea_m2: 0.8, colour: 'red', until: { msl_m: 12_000 } },
      { name: 'drogue', dragArea_m2: 1.3, until: { agl_m: 1500 } },
    ],
  },
  winds: {
    forecast: [
      {
        source: 'demo',
        validTime: '2027-04-14T06:00:00Z',
        levels: [
          { height_m: 100, from_deg: 90, speed_mps: 4, pressure_Pa: 99_800, quality: 'good' },
          { height_m: 1000, from_deg: 95, speed_mps: 8 },
        ],
      },
    ],
    files: ['winds/a.csv'],
  },
};

test('unknown keys stay, beside and inside what is edited', () => {
  let next = moveExit(plan, [22.1234567, -30.5]);
  next = setExitHeight(next, 30_000 * 0.3048);
  next = changeLevel(next, [...levelsPath(0), 0], { speed_mps: 5, from_deg: undefined as unknown as number });
  expect(at(next, ['ours'])).toBe(at(plan, ['ours']));
  expect(at(next, ['exit'])).toEqual({
    position: [22.123457, -30.5],
    altitude_m: 9144,
    time: '2027-04-14T07:42:00Z',
    camera: 'left',
  });
  expect(at(next, [...levelsPath(0), 0])).toEqual({
    height_m: 100,
    from_deg: 90,
    speed_mps: 5,
    pressure_Pa: 99_800,
    quality: 'good',
    source: 'by hand',
  });
  expect(JSON.stringify(plan)).not.toContain('by hand');
});

test('striking a level and taking it back leaves the plan as it was', () => {
  const path = [...levelsPath(0), 1];
  const struck = strikeLevel(plan, path, true);
  expect(windLevel.parse(at(struck, path)).struck).toBe(true);
  expect(strikeLevel(struck, path, false)).toEqual(plan);
});

test('a level by hand stands in its place by height and meets the schema', () => {
  const next = addLevel(plan, 0, { height_m: 457.2, from_deg: 90, speed_mps: 3.6 });
  const levels = at(next, levelsPath(0)) as readonly Json[];
  expect(levels.map((level) => windLevel.parse(level).height_m)).toEqual([100, 457.2, 1000]);
  expect(at(addLevel(plan, 0, { height_m: 5000, from_deg: 0, speed_mps: 1 }), [...levelsPath(0), 2, 'height_m'])).toBe(
    5000,
  );
  expect(
    at(startForecast({}, '2027-04-14T06:00:00Z', { height_m: 0, from_deg: 0, speed_mps: 1 }), [
      ...levelsPath(0),
      0,
      'source',
    ]),
  ).toBe('by hand');
});

test('stages: every trigger replaces the one before; a stage can be added and removed, the last one not', () => {
  for (const kind of triggerKinds) {
    const next = setTrigger(plan, 0, kind, 12);
    const parsed = stage.parse(at(next, ['jumper', 'stages', 0]));
    expect(parsed.until).toEqual(kind === 'none' ? undefined : { [kind]: 12 });
    expect(parsed['colour']).toBe('red');
  }
  const more = addStage(plan, 1);
  const list = at(more, ['jumper', 'stages']) as readonly Json[];
  expect(list.map((one) => stage.parse(one).name)).toEqual(['fall', 'drogue', 'stage 3']);
  // The new stage takes over what ended the one before it, so that the opening stays where it was.
  expect(stage.parse(list[2]).until).toEqual({ agl_m: 1500 });
  let fewer: Json = more;
  for (let i = 0; i < 5; i++) fewer = removeStage(fewer, 0);
  expect((at(fewer, ['jumper', 'stages']) as readonly Json[]).length).toBe(1);
});

test('a canopy and each way of steering meet the schema; a heading is kept while another policy is chosen', () => {
  const held = setPolicy(addCanopy(plan), 'hold');
  expect(canopy.parse(at(held, ['jumper', 'canopy'])).steering).toEqual({ policy: 'hold', heading_deg: 0 });
  for (const policy of policies) {
    const next = canopy.parse(at(setPolicy(held, policy), ['jumper', 'canopy']));
    expect(next.steering?.policy).toBe(policy);
    expect(next.steering).toMatchObject({ heading_deg: 0 });
  }
});

test('files: named once, taken out without a trace, or taken over into the plan', () => {
  const more = addFile(addFile(plan, 'b.csv'), 'b.csv');
  expect(at(more, ['winds', 'files'])).toEqual(['winds/a.csv', 'b.csv']);
  expect(removeFile(more, 'b.csv')).toEqual(plan);
  const column = {
    source: 'a.csv',
    validTime: '2027-04-14T06:00:00Z',
    position: null,
    levels: [{ height_m: 10, from_deg: 1, speed_mps: 2, pressure_Pa: 9 }],
  };
  const { plan: taken, first } = takeOver(plan, 'winds/a.csv', [column, column]);
  expect(first).toBe(1);
  expect(at(taken, ['winds', 'files'])).toEqual([]);
  expect(at(taken, [...levelsPath(2), 0])).toEqual({ height_m: 10, from_deg: 1, speed_mps: 2, pressure_Pa: 9 });
});

test('a setting of the canopy is added beside the one flown and flown, renamed, and removed; the last one stays', () => {
  const one = addCanopy(plan);
  const two = addSetting(one, 0);
  expect(at(two, ['jumper', 'canopy', 'settings', 1])).toEqual({ name: 'setting 2', airspeed_mps: 11, sink_mps: 4.6 });
  expect(at(two, ['jumper', 'canopy', 'setting'])).toBe('setting 2');
  const named = renameSetting(two, 1, 'half brakes');
  expect(at(named, ['jumper', 'canopy', 'settings', 1, 'name'])).toBe('half brakes');
  expect(at(named, ['jumper', 'canopy', 'setting'])).toBe('half brakes');
  expect(canopy.safeParse(at(named, ['jumper', 'canopy'])).success).toBe(true);
  const left = removeSetting(named, 1);
  expect(at(left, ['jumper', 'canopy'])).toEqual(at(one, ['jumper', 'canopy']));
  expect(removeSetting(left, 0)).toBe(left);
  expect(at(addSetting(renameSetting(two, 1, 'setting 3'), 1), ['jumper', 'canopy', 'setting'])).toBe('setting 4');
});

test('a crew is moved by its name to six decimals of a degree; one that the plan does not know moves nothing', () => {
  const crews: Json = {
    teams: [
      { name: 'Kite', position: [1, 2], speed_mps: 50 },
      { name: 'Ground One', position: [3, 4], own: true },
    ],
  };
  expect(moveTeam(crews, 'Ground One', [22.12345678, -30.5])).toEqual({
    teams: [
      { name: 'Kite', position: [1, 2], speed_mps: 50 },
      { name: 'Ground One', position: [22.123457, -30.5], own: true },
    ],
  });
  expect(moveTeam(crews, 'Nobody', [5, 6])).toBe(crews);
  expect(moveTeam({ name: 'no teams' }, 'Kite', [5, 6])).toEqual({ name: 'no teams' });
});

test('another exit is taken whole, to the second, and keeps what else the plan says of it', () => {
  const after = takeExit(plan, [22.1234567, -30.5], 38_999.6, Date.UTC(2027, 3, 14, 7, 43, 10) / 1000 + 0.4);
  expect(at(after, ['exit'])).toEqual({
    position: [22.123457, -30.5],
    altitude_m: 39_000,
    time: '2027-04-14T07:43:10Z',
    camera: 'left',
  });
  expect(at(setRunHeading(after, 245), ['carrier', 'heading_deg'])).toBe(245);
  expect(at(after, ['ours'])).toEqual({ kept: [1, 2] });
});
