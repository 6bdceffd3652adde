// The plan: what it still lacks, with the way to it; drawing on the map; and every part of it as fields.
import { useMemo } from 'preact/hooks';
import type { JSX } from 'preact';
import { missionForm, type FormContext } from '../../core/plan/form.ts';
import { CREWS } from '../../core/plan/library.ts';
import { missingParts, type MissingPart } from '../../core/plan/missing.ts';
import type { Mission } from '../../core/plan/schema.ts';
import { useStore } from '../context.ts';
import { cancelDrawing, drawingWords, finishDrawing, removePlace, startDrawing } from '../state/acting/drawing.ts';
import { focusOn } from '../state/acting/focus.ts';
import { placesNeeded, shapesOf, type DrawnThing } from '../state/stored/drawing.ts';
import { at } from '../state/stored/json.ts';
import type { Store } from '../state/derived/store.ts';
import { PlanPart } from './PlanForm.tsx';
import { Act, Segments } from '../parts/buttons.tsx';

export function PlanPanel(): JSX.Element {
  const store = useStore();
  const mission = store.mission.value;
  if (mission === null) return <p class="quiet">Open a mission, or make a new one, to see its plan.</p>;
  return (
    <>
      {store.drawing.value === null ? <StillMissing store={store} mission={mission} /> : null}
      <Draw store={store} mission={mission} />
      <Parts store={store} mission={mission} />
    </>
  );
}

function StillMissing({ store, mission }: { readonly store: Store; readonly mission: Mission }): JSX.Element | null {
  const missing = missingParts(mission);
  if (missing.length === 0) return null;
  return (
    <section aria-labelledby="plan-missing">
      <h2 id="plan-missing">Still missing</h2>
      <ul class="missing">
        {missing.map(({ part, words }) => (
          <li key={part}>
            <p>{words}</p>
            <Way store={store} part={part} />
          </li>
        ))}
      </ul>
    </section>
  );
}

/** The way to what is missing, one press away. */
function Way({ store, part }: { readonly store: Store; readonly part: MissingPart }): JSX.Element | null {
  switch (part) {
    case 'winds':
      return (
        <div class="ways">
          <Act onClick={() => document.querySelector<HTMLElement>('#wind-file')?.click()}>Take a wind file</Act>
          <Act onClick={() => focusOn('#entry-line')}>Type a wind</Act>
        </div>
      );
    case 'zones':
      return <Starts store={store} things={['zone']} />;
    case 'crews':
      return <Starts store={store} things={['crew']} />;
    case 'hazards':
      return <Starts store={store} things={['hazard area', 'hazard line']} />;
    case 'terrain':
    default:
      return null;
  }
}

/** One press for each thing that can be drawn, by its usual shape. */
function Starts({ store, things }: { readonly store: Store; readonly things: readonly DrawnThing[] }): JSX.Element {
  return (
    <div class="ways">
      {things.flatMap((thing) => {
        const [shape] = shapesOf[thing];
        if (shape === undefined) return [];
        if (thing !== 'crew')
          return [
            <Act key={thing} onClick={() => startDrawing(store, thing, shape)}>
              {thing === 'landmark' ? 'Mark a landmark' : `Draw a ${thing}`}
            </Act>,
          ];
        return CREWS.map(({ name }) => (
          <Act key={name} onClick={() => startDrawing(store, 'crew', shape, name)}>
            Place {/^[aeiou]/.test(name) ? 'an' : 'a'} {name}
          </Act>
        ));
      })}
    </div>
  );
}

const shapeNames: Readonly<Record<string, string>> = {
  circle: 'circle: middle and edge',
  rectangle: 'rectangle: two corners',
};

function Draw({ store, mission }: { readonly store: Store; readonly mission: Mission }): JSX.Element {
  const drawing = store.drawing.value;
  if (drawing === null)
    return (
      <section aria-labelledby="plan-draw">
        <h2 id="plan-draw">Draw on the map</h2>
        <Starts store={store} things={['zone', 'hazard area', 'hazard line', 'landmark', 'crew']} />
        <Act onClick={() => (store.floating.value = 'import')}>Take places from a file</Act>
      </section>
    );
  const zones = (mission.landingZones ?? []).map(({ name, polygon }) => ({ name, ring: polygon }));
  const inPlan = 'path' in drawing.of;
  const of = 'thing' in drawing.of ? drawing.of : null;
  const words = drawingWords(drawing, store.units.value, of === null ? [] : zones);
  const { exactly, atLeast } = placesNeeded(drawing.shape);
  return (
    <section aria-labelledby="plan-draw" class="drawing">
      <h2 id="plan-draw">{of === null ? 'Changing a shape' : `Drawing: ${of.thing}`}</h2>
      {of !== null && shapesOf[of.thing].length > 1 ? (
        <Segments
          label="Shape"
          choices={shapesOf[of.thing]}
          name={(shape) => shapeNames[shape] ?? shape}
          value={drawing.shape}
          choose={(shape) => startDrawing(store, of.thing, shape, of.set)}
        />
      ) : null}
      <p class="small">
        {inPlan
          ? 'Drag a corner, or move it with the arrow keys; Delete takes it out, Insert adds one after it.'
          : 'Press on the map for each place. By keyboard: go to the map, move it with the arrow keys, and ' +
            'Space sets a place at the cross in its middle.'}
      </p>
      <p role="status" class="value-line">
        {drawing.places.length} of {exactly ?? `at least ${atLeast}`} places{words === '' ? '' : ` · ${words}`}
      </p>
      <div class="ways">
        <Act first disabled={drawing.places.length < atLeast} onClick={() => finishDrawing(store)}>
          {inPlan ? 'Done' : 'Finish (Enter)'}
        </Act>
        {inPlan ? null : (
          <>
            <Act disabled={drawing.places.length === 0} onClick={() => removePlace(store)}>
              Take back a place
            </Act>
            <Act onClick={() => cancelDrawing(store)}>Cancel</Act>
          </>
        )}
      </div>
    </section>
  );
}

function Parts({ store, mission }: { readonly store: Store; readonly mission: Mission }): JSX.Element {
  const form = useMemo(missionForm, []);
  const context: FormContext = { position: mission.site.position, time: mission.exit.time };
  const plan = store.plan.value ?? null;
  const there = form.filter(({ key, required }) => required || at(plan, [key]) !== undefined);
  const absent = form.filter((field) => !there.includes(field));
  const toggle = (key: string, open: boolean): void => {
    if (open) store.planOpen.value = key;
    else if (store.planOpen.peek() === key) store.planOpen.value = null;
  };
  return (
    <section aria-labelledby="plan-parts">
      <h2 id="plan-parts">Every part of the plan</h2>
      {[...there, ...absent].map((field) =>
        field.kind === 'text' ? (
          <PlanPart key={field.key} store={store} field={field} path={[field.key]} context={context} />
        ) : (
          <details
            key={field.key}
            class="part"
            open={store.planOpen.value === field.key}
            onToggle={(event) => toggle(field.key, event.currentTarget.open)}
          >
            <summary>
              {field.label}
              {there.includes(field) ? null : <span class="quiet small"> – not given</span>}
            </summary>
            {store.planOpen.value === field.key ? (
              <PlanPart store={store} field={field} path={[field.key]} context={context} />
            ) : null}
          </details>
        ),
      )}
    </section>
  );
}
