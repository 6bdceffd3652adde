// The form of the plan against the schema and the demo missions: every key has a field, and every value of the demos
// fits the field that it stands in.
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { formThatFits, labelOf, missionForm, unitOf, type FormField } from '../../core/plan/form.ts';
import { never } from '../../core/base/problem.ts';
import { DEMOS } from '../demo.ts';

/** Where a value does not fit its field: a path and why. */
function misfits(field: FormField, value: unknown, path: string): string[] {
  const is = (right: boolean): string[] =>
    right ? [] : [`${path}: ${JSON.stringify(value).slice(0, 60)} is no ${field.kind}`];
  if (value === undefined) return field.required ? [`${path} is missing`] : [];
  switch (field.kind) {
    case 'number':
      return is(
        typeof value === 'number' && (field.above ? value > field.min : value >= field.min) && value <= field.max,
      );
    case 'flag':
      return is(typeof value === 'boolean');
    case 'fixed':
      return is(value === field.value);
    case 'word':
      return is(typeof value === 'string' && field.words.includes(value));
    case 'text':
    case 'time':
      return is(typeof value === 'string');
    case 'position':
      return is(Array.isArray(value) && value.length === 2);
    case 'places':
      return is(Array.isArray(value) && value.length >= field.atLeast);
    case 'knots':
    case 'numbers':
    case 'texts':
      return is(Array.isArray(value));
    case 'table':
      return is(typeof value === 'object');
    case 'list':
      return Array.isArray(value) ? value.flatMap((one, i) => misfits(field.item, one, `${path}[${i}]`)) : is(false);
    case 'group':
      return inside(field.fields, value, path);
    case 'forms': {
      const form = field.forms[formThatFits(field.forms, value as Record<string, unknown>)];
      return form === undefined ? is(false) : inside(form.fields, value, path);
    }
    default:
      return never(field);
  }
}

function inside(fields: readonly FormField[], value: unknown, path: string): string[] {
  if (typeof value !== 'object' || value === null) return [`${path} is not a group`];
  const held = value as Readonly<Record<string, unknown>>;
  const known = new Set(fields.map((field) => field.key));
  return [
    ...fields.flatMap((field) => misfits(field, held[field.key], `${path}.${field.key}`)),
    ...Object.keys(held).flatMap((key) => (known.has(key) ? [] : [`${path}.${key} has no field`])),
  ];
}

const every = (fields: readonly FormField[]): FormField[] =>
  fields.flatMap((field) => [
    field,
    ...(field.kind === 'group' ? every(field.fields) : []),
    ...(field.kind === 'list' ? every([field.item]) : []),
    ...(field.kind === 'forms' ? every(field.forms.flatMap((form) => form.fields)) : []),
  ]);

describe('the form of the plan', () => {
  it.each(DEMOS)('holds everything of %s, and everything of it fits', (name) => {
    const path = join(process.cwd(), 'data', name, `${name}.mission.json`);
    const { format, version, ...plan } = JSON.parse(readFileSync(path, 'utf8')) as Record<string, unknown>;
    expect([format, version]).toEqual(['plumbline/mission', 1]);
    expect(inside(missionForm(), plan, 'plan')).toEqual([]);
  });

  it('names every field in words, and every number with a unit in its key with that unit', () => {
    const fields = every(missionForm());
    expect(fields.length).toBeGreaterThan(150);
    expect(
      fields.filter(({ label }) => !/^[A-Z][a-z]/.test(label) || label.includes('_')).map(({ key }) => key),
    ).toEqual([]);
    const unitless = fields.filter(
      (field) => field.kind === 'number' && field.unit === '' && /_(m|s|kg|mps|deg|K|Pa|m2)$/.test(field.key),
    );
    expect(unitless).toEqual([]);
  });

  it.each([
    ['ascentRate_mps', 'Ascent rate', 'm/s'],
    ['opensAt_agl_m', 'Opens at', 'm AGL'],
    ['slope_deg_max', 'Steepest slope', '°'],
    ['time', 'Time', ''],
  ])('calls %s %s, in %s', (key, label, unit) => {
    expect([labelOf(key), unitOf(key)]).toEqual([label, unit]);
  });
});
