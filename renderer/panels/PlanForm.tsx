// Any part of the plan as fields, by the form that the schema gives (`core/plan/form.ts`): typed over in place, added,
// removed, each with undo. What would leave a plan that cannot be read is refused with its reason.
import { useSignal } from '@preact/signals';
import { useId } from 'preact/hooks';
import type { JSX } from 'preact';
import { firstValue, formThatFits, type FormContext, type FormField } from '../../core/plan/form.ts';
import { never } from '../../core/base/problem.ts';
import { formatDegrees } from '../../core/words/positions.ts';
import { readPlaces, readKnots } from '../../core/plan/lines.ts';
import type { Units } from '../../core/words/numbers.ts';
import { Choice, type Parsed } from '../parts/Field.tsx';
import { NumberField, TextField } from '../parts/PlanField.tsx';
import { lengthScale, scaleOf, speedScale, type Scale } from '../parts/scales.ts';
import { parseName, parsePlace, parseTime, timeText } from '../parts/typed.ts';
import { editOnce } from '../state/acting/actions.ts';
import { tidyPlace } from '../../core/base/plainNumbers.ts';
import { editShape } from '../state/acting/drawing.ts';
import { at, drop, insert, isObject, put, type Json, type Path } from '../state/stored/json.ts';
import type { Store } from '../state/derived/store.ts';
import { Word } from '../parts/buttons.tsx';

export interface PartProps<F extends FormField = FormField> {
  readonly store: Store;
  readonly field: F;
  readonly path: Path;
  readonly context: FormContext;
}

type Of<K extends FormField['kind']> = Extract<FormField, { readonly kind: K }>;

const nameOf = (path: Path): string => `plan.${path.join('.')}`;

/** One field, whatever its kind. */
export function PlanPart({ store, field, path, context }: PartProps): JSX.Element | null {
  const part = { store, path, context };
  switch (field.kind) {
    case 'number':
      return <NumberPart {...part} field={field} />;
    case 'text':
      return <TextPart {...part} field={field} />;
    case 'flag':
      return <FlagPart {...part} field={field} />;
    case 'time':
      return <TimePart {...part} field={field} />;
    case 'position':
      return <PositionPart {...part} field={field} />;
    case 'word':
      return <WordPart {...part} field={field} />;
    case 'fixed':
      return null;
    case 'places':
    case 'knots':
    case 'texts':
    case 'numbers':
    case 'table':
      return <LinesPart {...part} field={field} />;
    case 'group':
      return <GroupPart {...part} field={field} fields={field.fields} />;
    case 'forms':
      return <FormsPart {...part} field={field} />;
    case 'list':
      return <ListPart {...part} field={field} />;
    default:
      return never(field);
  }
}

/** Rates of climb and descent stay in m/s: nobody says a sink in knots. */
const VERTICAL = /sink|ascent|climb|descent/i;

function NumberPart({ store, field, path }: PartProps<Of<'number'>>): JSX.Element {
  const { min, max, above, whole } = field;
  const bounds = { min, max: Math.min(max, 1e12), above, decimals: 4 };
  const scale = inUnits(field, store.units.value);
  const step = !whole && (scale.unit === 'm' || scale.unit === 'ft') ? 10 : 1;
  return <NumberField field={nameOf(path)} label={field.label} path={path} scale={{ ...scale, ...bounds, step }} />;
}

function inUnits({ unit, key }: Of<'number'>, units: Units): Scale {
  if (unit === 'm' || unit === 'm AGL') return { ...lengthScale(units, 0, 0), unit: unit.replace('m', units.length) };
  return unit === 'm/s' && !VERTICAL.test(key) ? speedScale(units, 0) : scaleOf(unit, 0, 0);
}

function TextPart({ store, field, path }: PartProps<Of<'text'>>): JSX.Element {
  const value = at(store.plan.value ?? null, path);
  return (
    <TextField
      field={nameOf(path)}
      label={field.label}
      text={typeof value === 'string' ? value : ''}
      parse={field.required ? parseName : (text) => ({ ok: true, value: text })}
      change={(plan, text) => put(plan, path, text)}
      wide={field.key === 'notes' || field.key === 'note'}
    />
  );
}

function FlagPart({ store, field, path }: PartProps<Of<'flag'>>): JSX.Element {
  return (
    <Choice
      field={nameOf(path)}
      label={field.label}
      value={at(store.plan.value ?? null, path) === true ? 'yes' : 'no'}
      choices={[
        { value: 'yes', text: 'yes' },
        { value: 'no', text: 'no' },
      ]}
      apply={(value) => editOnce(store, field.label.toLowerCase(), (plan) => put(plan, path, value === 'yes'))}
    />
  );
}

function TimePart({ store, field, path }: PartProps<Of<'time'>>): JSX.Element {
  const value = at(store.plan.value ?? null, path);
  const text = typeof value === 'string' ? value : '';
  return (
    <TextField
      field={nameOf(path)}
      label={`${field.label}, UTC`}
      text={timeText(text)}
      parse={(typed) => parseTime(typed, Date.parse(text))}
      change={(plan, time) => put(plan, path, time)}
    />
  );
}

function PositionPart({ store, field, path }: PartProps<Of<'position'>>): JSX.Element {
  const value = at(store.plan.value ?? null, path);
  const [lon, lat] = Array.isArray(value) ? (value as readonly Json[]) : [];
  return (
    <TextField
      field={nameOf(path)}
      label={field.label}
      undoLabel={`${field.label.toLowerCase()} moved`}
      text={typeof lon === 'number' && typeof lat === 'number' ? formatDegrees([lon, lat], 5) : ''}
      parse={(text) => parsePlace(text, path[0] === 'site' ? undefined : store.mission.value?.site.position)}
      change={(plan, place) => put(plan, path, tidyPlace(place))}
      wide
    />
  );
}

function WordPart({ store, field, path }: PartProps<Of<'word'>>): JSX.Element {
  const value = at(store.plan.value ?? null, path);
  return (
    <Choice
      field={nameOf(path)}
      label={field.label}
      value={typeof value === 'string' ? value : ''}
      choices={field.words.map((word) => ({ value: word, text: word }))}
      apply={(word) => editOnce(store, field.label.toLowerCase(), (plan) => put(plan, path, word))}
    />
  );
}

type LineField = Of<'places' | 'knots' | 'texts' | 'numbers' | 'table'>;

/** A list of places, pairs or words: a line each. What cannot be read stays in the box with its sentence. */
function LinesPart({ store, field, path }: PartProps<LineField>): JSX.Element {
  const id = useId();
  const draft = useSignal<string | null>(null);
  const written = linesOf(field, at(store.plan.value ?? null, path));
  const read = draft.value === null ? null : readLines(field, draft.value);
  const wrong = read !== null && !read.ok ? read.why : null;
  const leave = (): void => {
    if (read === null || !read.ok) return;
    editOnce(store, field.label.toLowerCase(), (plan) => put(plan, path, read.value));
    draft.value = null;
  };
  return (
    <div class={wrong === null ? 'field wide' : 'field wide wrong'}>
      <label for={id}>
        {field.label}
        <span class="quiet small"> {LINE_HINT[field.kind]}</span>
      </label>
      <textarea
        id={id}
        data-field={nameOf(path)}
        rows={Math.min(8, Math.max(2, written.split('\n').length))}
        value={draft.value ?? written}
        spellcheck={false}
        aria-invalid={wrong !== null}
        aria-describedby={wrong === null ? undefined : `${id}-say`}
        onInput={(event) => (draft.value = event.currentTarget.value)}
        onBlur={leave}
      />
      {wrong === null ? null : (
        <div class="wrong-words" id={`${id}-say`} role="alert">
          {wrong}
        </div>
      )}
      {field.kind === 'places' ? (
        <Word small onClick={() => editShape(store, path, field.atLeast >= 3)}>
          Edit on the map
        </Word>
      ) : null}
    </div>
  );
}

const LINE_HINT: Readonly<Record<LineField['kind'], string>> = {
  places: 'one position per line',
  knots: 'two numbers per line; the first ones rise',
  texts: 'one a line',
  numbers: 'one a line',
  table: 'as JSON',
};

function linesOf(field: LineField, value: Json | undefined): string {
  if (field.kind === 'table') return JSON.stringify(value ?? {}, null, 2);
  const list: readonly Json[] = Array.isArray(value) ? (value as readonly Json[]) : [];
  return list
    .map((one) => {
      if (field.kind === 'places' && Array.isArray(one)) return formatDegrees([Number(one[0]), Number(one[1])], 6);
      return Array.isArray(one) ? one.join(' ') : typeof one === 'string' ? one : JSON.stringify(one);
    })
    .join('\n');
}

function readLines(field: LineField, text: string): Parsed<Json> {
  switch (field.kind) {
    case 'places':
      return readPlaces(text, field.atLeast);
    case 'knots':
      return readKnots(text);
    case 'texts':
      return {
        ok: true,
        value: text
          .split('\n')
          .map((line) => line.trim())
          .filter((line) => line !== ''),
      };
    case 'numbers': {
      const numbers = text
        .split(/\s+/)
        .filter((word) => word !== '')
        .map(Number);
      const right = numbers.length === field.count && numbers.every((x) => Number.isFinite(x));
      return right ? { ok: true, value: numbers } : { ok: false, why: `Expected ${field.count} numbers.` };
    }
    case 'table':
      return readTable(text);
    default:
      return never(field);
  }
}

function readTable(text: string): Parsed<Json> {
  try {
    const value = JSON.parse(text) as Json;
    return isObject(value) ? { ok: true, value } : { ok: false, why: 'Expected names with values in braces.' };
  } catch (error) {
    return { ok: false, why: `This is not JSON: ${error instanceof Error ? error.message : String(error)}` };
  }
}

interface GroupProps extends PartProps {
  readonly fields: readonly FormField[];
}

/** Fields that are there, and a list of those that can be added. */
function GroupPart({ store, path, context, fields }: GroupProps): JSX.Element {
  const plan = store.plan.value ?? null;
  const there = fields.filter((one) => at(plan, [...path, one.key]) !== undefined);
  const absent = fields.filter((one) => !there.includes(one) && one.kind !== 'fixed');
  return (
    <div class="fields">
      {there.map((one) => (
        <Removable key={one.key} store={store} field={one} path={[...path, one.key]} context={context} />
      ))}
      <Adder
        options={absent.map((one) => ({ key: one.key, text: one.label }))}
        add={(key) => {
          const one = absent.find((field) => field.key === key);
          if (one === undefined) return;
          const value = firstValue(one, context, one.label);
          editOnce(store, `${one.label.toLowerCase()} added`, (now) => put(now, [...path, key], value));
        }}
      />
    </div>
  );
}

const INLINE = new Set<FormField['kind']>(['number', 'text', 'flag', 'time', 'position', 'word', 'fixed']);

/** A field with its way out; what holds further fields opens under its name. */
function Removable(props: PartProps): JSX.Element | null {
  const { store, field, path } = props;
  const remove = field.required ? null : (
    <button
      type="button"
      class="word small remove"
      aria-label={`Remove ${field.label.toLowerCase()}`}
      title={`Remove ${field.label.toLowerCase()}`}
      onClick={() => editOnce(store, `${field.label.toLowerCase()} removed`, (plan) => drop(plan, path))}
    >
      Remove
    </button>
  );
  if (INLINE.has(field.kind) || field.kind === 'places' || field.kind === 'knots' || field.kind === 'texts')
    return (
      <div class={field.kind === 'position' || !INLINE.has(field.kind) ? 'with-remove wide' : 'with-remove'}>
        <PlanPart {...props} />
        {remove}
      </div>
    );
  return (
    <details class="part wide">
      <summary>{field.label}</summary>
      <PlanPart {...props} />
      {remove}
    </details>
  );
}

interface AdderProps {
  readonly options: readonly { readonly key: string; readonly text: string }[];
  readonly add: (key: string) => void;
}

function Adder({ options, add }: AdderProps): JSX.Element | null {
  const id = useId();
  if (options.length === 0) return null;
  return (
    <div class="field wide">
      <label for={id} class="small quiet">
        Add
      </label>
      <select
        id={id}
        value=""
        onChange={(event) => {
          add(event.currentTarget.value);
          event.currentTarget.value = '';
        }}
      >
        <option value="">…</option>
        {options.map(({ key, text }) => (
          <option key={key} value={key}>
            {text}
          </option>
        ))}
      </select>
    </div>
  );
}

/** One of several forms: which, and its fields. What a form does not know stays in the plan. */
function FormsPart(props: PartProps<Of<'forms'>>): JSX.Element {
  const { store, field, path, context } = props;
  const value = at(store.plan.value ?? null, path);
  const now = formThatFits(field.forms, isObject(value) ? value : {});
  const form = field.forms[now];
  return (
    <>
      <Choice
        field={`${nameOf(path)}.form`}
        label={`${field.label}: kind`}
        value={String(now)}
        choices={field.forms.map((one, i) => ({ value: String(i), text: one.label }))}
        apply={(index) => {
          const next = field.forms[Number(index)];
          if (next === undefined || Number(index) === now) return;
          const first = firstValue(next, context, field.label);
          const kept = isObject(value) ? value : {};
          const known = new Set(next.fields.map((one) => one.key));
          const same = Object.fromEntries(
            Object.entries(kept).filter(([key]) => known.has(key) && key !== 'kind' && key !== 'policy'),
          );
          editOnce(store, `${field.label.toLowerCase()}: ${next.label}`, (plan) =>
            put(plan, path, { ...(first as { readonly [key: string]: Json }), ...same }),
          );
        }}
        wide
      />
      {form === undefined ? null : <GroupPart {...props} fields={form.fields} />}
    </>
  );
}

/** The things of a list, each under its name, and a new one at the end. */
function ListPart({ store, field, path, context }: PartProps<Of<'list'>>): JSX.Element {
  const held = at(store.plan.value ?? null, path);
  const list: readonly Json[] = Array.isArray(held) ? (held as readonly Json[]) : [];
  const what = field.item.label.toLowerCase();
  const add = (): void => {
    const value = firstValue(field.item, context, `${field.item.label} ${list.length + 1}`);
    editOnce(store, `${what} added`, (plan) => insert(plan, path, list.length, value));
  };
  return (
    <div class="list wide">
      {list.map((one, i) => (
        <details class="part" key={`${i}`}>
          <summary>
            {isObject(one) && typeof one['name'] === 'string' ? one['name'] : `${field.item.label} ${i + 1}`}
          </summary>
          <PlanPart store={store} field={field.item} path={[...path, i]} context={context} />
          <Word
            small
            disabled={list.length <= field.atLeast}
            onClick={() => editOnce(store, `${what} removed`, (plan) => drop(plan, [...path, i]))}
          >
            Remove this {what}
          </Word>
        </details>
      ))}
      <Word small onClick={add}>
        Add a {what}
      </Word>
    </div>
  );
}
