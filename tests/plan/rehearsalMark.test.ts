// The mark of a rehearsal stands before the mission's name, whatever is edited, and no mission made from one has it.
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, it } from 'vitest';
import { missionForm } from '../../core/plan/form.ts';
import { movedPlan } from '../../core/plan/make.ts';
import { nameUnmarked, readEdited, readMission } from '../../core/plan/read.ts';

const text = readFileSync(join(process.cwd(), 'data/town-meadow/town-meadow.mission.json'), 'utf8');
const plan = JSON.parse(text) as Parameters<typeof movedPlan>[0];
const marked = { ...plan, name: 'Field', rehearsal: true };
const read = (of: object) => {
  const { value, problems } = readMission(JSON.stringify(of));
  if (value === null) throw new Error(problems[0]?.text);
  return value;
};

it('is there whatever the name is, once, and taken off by one function', () => {
  for (const name of ['Field', 'REHEARSAL: Field']) {
    const { mission } = read({ ...marked, name });
    expect([mission.name, nameUnmarked(mission)]).toEqual(['REHEARSAL: Field', 'Field']);
  }
  for (const rehearsal of [false, undefined]) {
    const { mission } = read({ ...marked, rehearsal });
    expect([mission.name, nameUnmarked(mission)]).toEqual(['Field', 'Field']);
  }
  // A real mission that somebody called so keeps the name that was given.
  expect(nameUnmarked(read({ ...plan, name: 'REHEARSAL: Field' }).mission)).toBe('REHEARSAL: Field');
});

it('is kept by an edit of the name, and an edit of anything else', () => {
  const last = read(marked);
  const raw = last.raw as Record<string, unknown>;
  expect(readEdited(last, { ...raw, name: 'Meadow' })?.mission.name).toBe('REHEARSAL: Meadow');
  expect(readEdited(last, { ...raw, notes: 'other' })?.mission.name).toBe('REHEARSAL: Field');
  // Taken away or put there, the whole plan is read.
  const { rehearsal: _, ...rest } = raw;
  expect(readEdited(last, rest)).toBeNull();
  expect(missionForm().map(({ key }) => key)).not.toContain('rehearsal');
});

it('is not on a mission that was made from a rehearsal', () => {
  const made = read(movedPlan(marked, { name: 'Next week', exitTime_s: Date.UTC(2027, 5, 5, 9) / 1000 })).mission;
  expect([made.name, made.rehearsal]).toEqual(['Next week', undefined]);
});
