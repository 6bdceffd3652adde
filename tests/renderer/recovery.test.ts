// What a person does about cases and crews as pure functions: edits of the plan keep what they do not name and read
// back as they were written (RFC 8259 values, the mission's own reader), the marks of lost contact, the switches of the
// map.
import { describe, expect, it } from 'vitest';
import { CASE_KINDS, CASE_SHAPES } from '../../core/mission/caseKinds.ts';
import { casesOf } from '../../core/mission/cases.ts';
import type { LogEvent } from '../../core/log/events.ts';
import { readMission } from '../../core/plan/read.ts';
import { caseMarks } from '../../renderer/map/scene.ts';
import { contactLost } from '../../renderer/state/derived/contact.ts';
import { caseIndex, dropStandby, moveTeam, setCaseWeight, setStandbys } from '../../renderer/state/stored/edits.ts';
import type { Json } from '../../renderer/state/stored/json.ts';
import { createRecoveryView, toggleAllCases, toggleCase } from '../../renderer/state/stored/recovery.ts';
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { projectRoot } from '../openData.ts';

const demo = JSON.parse(readFileSync(join(projectRoot, 'data/salt-plain/salt-plain.mission.json'), 'utf8')) as Json;
const missionOf = (plan: Json) => {
  const mission = readMission(JSON.stringify(plan)).value?.mission;
  if (mission === undefined) throw new Error('the plan is readable');
  return mission;
};

describe('a proposed place', () => {
  const plan: Json = {
    teams: [
      { name: 'Kite', position: [1, 2], ours: true },
      { name: 'Ground', position: [3, 4] },
    ],
    notes: 'n',
  };

  it('becomes the crew’s standby; its own place, unknown keys and the other crews stay', () => {
    expect(setStandbys(plan, [{ crew: 'Kite', position: [5.12345678, 6] }])).toEqual({
      teams: [
        { name: 'Kite', position: [1, 2], ours: true, standby: [5.123457, 6] },
        { name: 'Ground', position: [3, 4] },
      ],
      notes: 'n',
    });
    expect(setStandbys(plan, [{ crew: 'Nobody', position: [5, 6] }])).toBe(plan);
  });

  it('moves with a drag once it is there, and is taken out again', () => {
    const placed = setStandbys(plan, [{ crew: 'Kite', position: [5, 6] }]);
    const moved = moveTeam(placed, 'Kite', [7, 8]);
    expect(moved).toEqual(setStandbys(plan, [{ crew: 'Kite', position: [7, 8] }]));
    expect(dropStandby(moved, 'Kite')).toEqual(plan);
    expect(dropStandby(moved, 'Nobody')).toBe(moved);
  });
});

describe('a weight that is typed', () => {
  it('makes a default case the mission’s own, once, and counts as the mission’s', () => {
    const once = setCaseWeight(demo, { kind: 'late exit', name: CASE_KINDS['late exit'].name }, 0.3);
    const twice = setCaseWeight(once, { kind: 'late exit', name: CASE_KINDS['late exit'].name }, 0.04);
    const mission = missionOf(twice);
    expect(mission.cases).toEqual([{ name: CASE_KINDS['late exit'].name, kind: 'late exit', weight: 0.04 }]);
    const { cases, problems } = casesOf(mission);
    expect(cases.find((one) => one.kind === 'late exit')).toMatchObject({ weightFrom: 'the mission' });
    // As many cases as before: the default gave way to it. 0.04 is the default's own weight, so all still add up to 1.
    expect(cases.length).toBe(casesOf(missionOf(demo)).cases.length);
    expect(problems).toEqual([]);
  });

  it('finds the second of two cases of one name, and leaves other kinds of that name alone', () => {
    const plan: Json = {
      cases: [
        { name: 'Late', kind: 'late exit', weight: 1 },
        { name: 'Late', kind: 'custom', weight: 2 },
        { name: 'Late', kind: 'late exit', weight: 3 },
      ],
    };
    expect(caseIndex(plan, 'late exit', 'Late')).toBe(0);
    expect(caseIndex(plan, 'late exit', 'Late (2)')).toBe(2);
    expect(caseIndex(plan, 'custom', 'Late')).toBe(1);
    expect(caseIndex(plan, 'early exit', 'Late')).toBe(-1);
    expect(caseIndex({}, 'late exit', 'Late')).toBe(-1);
  });
});

describe('contact', () => {
  const at = (minute: number): string => `2027-04-14T07:${String(minute).padStart(2, '0')}:00Z`;
  const mark = (minute: number, name: string): LogEvent => ({ seq: minute, at: at(minute), kind: 'mark', mark: name });
  const seconds = (minute: number): number => Date.parse(at(minute)) / 1000;
  const fix: LogEvent = { seq: 5, at: at(5), kind: 'fix', body: 'jumper', position: [1, 2] };

  it('is lost from its mark until a fix of the jumper, a touchdown or a mark that it is there again', () => {
    expect(contactLost([], seconds(9))).toBeNull();
    expect(contactLost([mark(3, 'contact lost')], seconds(2))).toBeNull();
    expect(contactLost([mark(3, 'contact lost')], seconds(9))).toBe(seconds(3));
    for (const end of [fix, mark(5, 'touchdown'), mark(5, 'contact')]) {
      expect(contactLost([mark(3, 'contact lost'), end], seconds(4))).toBe(seconds(3));
      expect(contactLost([mark(3, 'contact lost'), end], seconds(9))).toBeNull();
    }
    expect(contactLost([mark(3, 'contact lost'), { ...fix, body: 'Kite' }], seconds(9))).toBe(seconds(3));
    expect(contactLost([mark(3, 'contact lost'), fix, mark(6, 'contact lost')], seconds(9))).toBe(seconds(6));
  });
});

describe('the cases on the map', () => {
  it('are switched one by one or all at once: on where one is off, off where all are on', () => {
    const view = createRecoveryView();
    toggleCase(view, 'b');
    expect([...view.hidden.value]).toEqual(['b']);
    toggleAllCases(view, ['a', 'b']);
    expect([...view.hidden.value]).toEqual([]);
    toggleAllCases(view, ['a', 'b']);
    expect([...view.hidden.value]).toEqual(['a', 'b']);
    toggleCase(view, 'a');
    expect([...view.hidden.value]).toEqual(['b']);
  });

  it('have a mark on the map for each shape that a case can have', () => {
    const known: readonly string[] = caseMarks;
    expect(CASE_SHAPES.filter((shape) => !known.includes(shape))).toEqual([]);
    expect(CASE_SHAPES.length).toBe(13);
  });
});
