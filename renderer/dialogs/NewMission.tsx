// A new mission: where, when and what; or the mission that is open, moved to another day, place or carrier. What is not
// given here is said in the Plan panel, with the way to it.
import { useSignal } from '@preact/signals';
import type { JSX } from 'preact';
import { positionIn } from '../../core/earth/positionIn.ts';
import type { LonLat } from '../../core/base/units.ts';
import { BODIES, CANOPIES, CARRIERS, carrierFrom, USUAL_MASS_KG, type LibrarySet } from '../../core/plan/library.ts';
import { movedPlan, newPlan } from '../../core/plan/make.ts';
import { nameUnmarked } from '../../core/plan/read.ts';
import { useStore } from '../context.ts';
import { Choice, Field, type Parsed } from '../parts/Field.tsx';
import { isoOf } from '../../core/base/plainNumbers.ts';
import { parseNumber, parseTime, placeReadBack, timeText } from '../parts/typed.ts';
import { createMission } from '../state/acting/actions.ts';
import { isObject, type Json } from '../state/stored/json.ts';
import type { Store } from '../state/derived/store.ts';
import { Dialog } from './Dialog.tsx';

/** What the dialog holds while it is filled in; null: not given yet. */
interface Draft {
  readonly name: string;
  readonly position: LonLat | null;
  readonly elevation_m: number | null;
  readonly exitTime: string;
  /** The exit time was typed: the place no longer moves it. */
  readonly timeTyped: boolean;
  readonly carrier: string;
  readonly body: string;
  readonly canopy: string;
  readonly mass_kg: number;
  /** Start from the mission that is open. */
  readonly copy: boolean;
}

const KEEP = 'as in the open mission';

export function NewMission(): JSX.Element {
  const store = useStore();
  const draft = useSignal<Draft>(firstDraft(store));
  const close = (): void => {
    store.floating.value = null;
  };
  const set = (change: Partial<Draft>): void => {
    draft.value = { ...draft.value, ...change };
  };
  const missing = missingOf(draft.value);
  const make = async (): Promise<void> => {
    const { name } = draft.value;
    if (await createMission(store, name.trim(), planOf(store, draft.value))) store.view.panel.value = 'Plan';
  };
  return (
    <Dialog title="New mission" close={close}>
      <form
        onSubmit={(event) => {
          event.preventDefault();
          if (missing === null) void make();
        }}
      >
        <StartFrom store={store} draft={draft.value} set={set} />
        <WhereAndWhen draft={draft.value} set={set} now_ms={store.now_ms.peek()} />
        <What draft={draft.value} set={set} />
        {store.notice.value?.amiss === true ? <p class="wrong-words">{store.notice.value.text}</p> : null}
        <div class="run">
          <button type="submit" class="act first" disabled={missing !== null} aria-describedby="new-missing">
            Make the mission
          </button>
          <p class="small quiet" id="new-missing" role="status">
            {missing ?? 'Zones, winds and crews come next, in the Plan panel.'}
          </p>
        </div>
      </form>
    </Dialog>
  );
}

function firstDraft(store: Store): Draft {
  return {
    name: '',
    position: null,
    elevation_m: null,
    exitTime: noonTomorrow(store.now_ms.peek(), 0),
    timeTyped: false,
    carrier: CARRIERS[0]?.name ?? '',
    body: BODIES[0]?.name ?? '',
    canopy: CANOPIES[0]?.name ?? '',
    mass_kg: USUAL_MASS_KG,
    copy: false,
  };
}

/**
 * Noon by the sun at a longitude, to the hour: a plan is made the day before, and an hour of daylight is typed over.
 */
function noonTomorrow(now_ms: number, lon_deg: number): string {
  const day_ms = Math.floor(now_ms / 86_400_000 + 1) * 86_400_000;
  return isoOf(day_ms / 1000 + (12 - Math.round(lon_deg / 15)) * 3600);
}

/** The first thing that is still to be given, as a sentence; null: the mission can be made. */
function missingOf({ name, position, elevation_m }: Draft): string | null {
  if (name.trim() === '') return 'Still needed: a name.';
  if (position === null) return 'Still needed: where it is.';
  return elevation_m === null ? 'Still needed: how high the ground is.' : null;
}

const named = <T,>(sets: readonly LibrarySet<T>[], name: string): T | undefined =>
  sets.find((set) => set.name === name)?.values;

function planOf(store: Store, draft: Draft): Json {
  const { name, position, elevation_m, exitTime, mass_kg } = draft;
  const open = store.plan.peek();
  const exitTime_s = Date.parse(exitTime) / 1000;
  const site = { name: name.trim(), position: position ?? ([0, 0] as const), elevation_m: elevation_m ?? 0 };
  const carrier = named(CARRIERS, draft.carrier);
  if (draft.copy && isObject(open)) {
    const moved = movedPlan(open, { ...site, exitTime_s }) as Json;
    return carrier === undefined || !isObject(moved)
      ? moved
      : { ...moved, carrier: carrierFrom(carrier, site, exitTime_s) as unknown as Json };
  }
  const body = named(BODIES, draft.body) ?? BODIES[0]?.values;
  const canopy = named(CANOPIES, draft.canopy) ?? CANOPIES[0]?.values;
  if (carrier === undefined || body === undefined || canopy === undefined) return null;
  return newPlan({ ...site, exitTime_s, carrier, body, canopy, mass_kg }) as unknown as Json;
}

interface PartProps {
  readonly draft: Draft;
  readonly set: (change: Partial<Draft>) => void;
}

function StartFrom({ store, draft, set }: PartProps & { readonly store: Store }): JSX.Element | null {
  const open = store.mission.value;
  if (open === null) return null;
  const choose = (value: 'nothing' | 'open'): void => {
    if (value === 'nothing') return set({ copy: false, carrier: CARRIERS[0]?.name ?? '' });
    set({
      copy: true,
      name: `${nameUnmarked(open)}, copy`,
      position: open.site.position,
      elevation_m: open.site.elevation_m,
      exitTime: open.exit.time,
      timeTyped: true,
      carrier: KEEP,
    });
  };
  return (
    <div class="fields">
      <Choice
        field="new.from"
        label="Start from"
        value={draft.copy ? 'open' : 'nothing'}
        choices={[
          { value: 'nothing', text: 'nothing' },
          { value: 'open', text: `the open mission: ${open.name}` },
        ]}
        apply={choose}
        wide
      />
      {draft.copy ? (
        <p class="small quiet wide">
          For another day the winds are left out. For another place so are zones, hazards, landmarks, roads and terrain;
          exit, launch and crews keep their bearing and distance from the site.
        </p>
      ) : null}
    </div>
  );
}

function WhereAndWhen({ draft, set, now_ms }: PartProps & { readonly now_ms: number }): JSX.Element {
  const parsePlace = (text: string): Parsed<LonLat> => {
    const read = positionIn(text);
    if (read.value === null) return { ok: false, why: `${read.problems[0]?.text ?? 'no position stands here'}.` };
    return { ok: true, value: read.value.position, readBack: placeReadBack(read.value.position) };
  };
  const metres = { min: -500, max: 9000 };
  return (
    <div class="fields">
      <Field
        field="new.name"
        label="Name of the mission"
        text={draft.name}
        parse={(text): Parsed<string> => ({ ok: true, value: text })}
        apply={(name) => set({ name })}
        wide
      />
      <Field
        field="new.position"
        label="Where: coordinates in any form, or a text that holds them"
        text={draft.position === null ? '' : placeReadBack(draft.position)}
        parse={parsePlace}
        apply={(position) =>
          set({ position, ...(draft.timeTyped ? {} : { exitTime: noonTomorrow(now_ms, position[0]) }) })
        }
        wide
        hint="Such as 54.1001 N 11.2503 E, 32U PE 476 959, or a message pasted whole"
      />
      <Field
        field="new.elevation"
        label="Ground above sea level"
        unit="m"
        text={draft.elevation_m === null ? '' : String(draft.elevation_m)}
        parse={(text) => parseNumber(text, metres, 'm')}
        apply={(elevation_m) => set({ elevation_m })}
      />
      <Field
        field="new.time"
        label="Exit, UTC"
        text={timeText(draft.exitTime)}
        parse={(text) => parseTime(text, Date.parse(draft.exitTime))}
        apply={(exitTime) => set({ exitTime, timeTyped: true })}
      />
    </div>
  );
}

function What({ draft, set }: PartProps): JSX.Element {
  const choices = <T,>(sets: readonly LibrarySet<T>[]) => sets.map(({ name }) => ({ value: name, text: name }));
  const sourceOf = (sets: readonly LibrarySet<unknown>[], name: string): string =>
    sets.find((set) => set.name === name)?.source ?? '';
  return (
    <div class="fields">
      <Choice
        field="new.carrier"
        label="Carrier"
        value={draft.carrier}
        choices={[...(draft.copy ? [{ value: KEEP, text: KEEP }] : []), ...choices(CARRIERS)]}
        apply={(carrier) => set({ carrier })}
        wide
      />
      {draft.copy ? null : (
        <>
          <Choice
            field="new.body"
            label="Body"
            value={draft.body}
            choices={choices(BODIES)}
            apply={(body) => set({ body })}
          />
          <Choice
            field="new.canopy"
            label="Canopy"
            value={draft.canopy}
            choices={choices(CANOPIES)}
            apply={(canopy) => set({ canopy })}
          />
          <Field
            field="new.mass"
            label="Mass with all that falls along"
            unit="kg"
            text={String(draft.mass_kg)}
            parse={(text) => parseNumber(text, { min: 20, max: 1000 }, 'kg')}
            apply={(mass_kg) => set({ mass_kg })}
          />
          <p class="small quiet wide">
            Body: {sourceOf(BODIES, draft.body)}. Canopy: {sourceOf(CANOPIES, draft.canopy)}. Carrier:{' '}
            {sourceOf(CARRIERS, draft.carrier)}. Every number can be typed over in the mission.
          </p>
        </>
      )}
    </div>
  );
}
