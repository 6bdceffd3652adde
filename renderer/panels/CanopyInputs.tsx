// The canopy: the setting flown with its speeds, how it fills, and how it is steered.
import type { JSX } from 'preact';
import { flownSetting } from '../../core/descent/body.ts';
import { formatDegrees } from '../../core/words/positions.ts';
import type { Canopy, Mission } from '../../core/plan/schema.ts';
import { mpsFrom, mpsTo } from '../../core/words/numbers.ts';
import { Choice, Field } from '../parts/Field.tsx';
import { edit, endEdit } from '../state/acting/actions.ts';
import {
  addCanopy,
  addSetting,
  canopyPath,
  policies,
  removeCanopy,
  removeSetting,
  renameSetting,
  setPolicy,
  tidy,
  type Policy,
} from '../state/stored/edits.ts';
import { drop, put, type Json } from '../state/stored/json.ts';
import type { Store } from '../state/derived/store.ts';
import { applier, NumberField } from '../parts/PlanField.tsx';
import { Act, Word } from '../parts/buttons.tsx';

interface Part {
  readonly store: Store;
  readonly mission: Mission;
}

function once(store: Store, label: string, change: (plan: Json) => Json): void {
  edit(store, label, change);
  endEdit(store);
}

export function CanopyInputs({ store, mission }: Part): JSX.Element {
  const canopy = mission.jumper.canopy;
  if (canopy === undefined) {
    return (
      <div class="fields">
        <p class="wide quiet">This body has no canopy: what is predicted is an impact.</p>
        <Act onClick={() => once(store, 'canopy added', addCanopy)}>Add a canopy</Act>
      </div>
    );
  }
  return (
    <div class="fields">
      <SettingFields store={store} canopy={canopy} />
      <FillFields store={store} canopy={canopy} />
      <SteeringFields store={store} mission={mission} canopy={canopy} />
      <div class="wide segments">
        <Word onClick={() => once(store, 'canopy removed', removeCanopy)}>Remove the canopy</Word>
      </div>
    </div>
  );
}

interface CanopyPart {
  readonly store: Store;
  readonly canopy: Canopy;
}

function SettingFields({ store, canopy }: CanopyPart): JSX.Element {
  const units = store.units.value;
  const setting = flownSetting(canopy);
  const index = canopy.settings.indexOf(setting);
  const speeds = {
    store,
    unit: units.speed,
    decimals: units.speed === 'm/s' ? 2 : 1,
    step: units.speed === 'm/s' ? 0.1 : 0.5,
    toPlan: (x: number) => mpsFrom(x, units.speed),
    fromPlan: (x: number) => mpsTo(x, units.speed),
  };
  return (
    <>
      <Choice
        field="canopy.setting"
        label="Setting flown"
        value={setting.name}
        choices={canopy.settings.map((one) => ({ value: one.name, text: one.name }))}
        apply={(name) => once(store, 'canopy setting', (plan) => put(plan, canopyPath('setting'), name))}
      />
      <SettingName store={store} canopy={canopy} index={index} name={setting.name} />
      <NumberField
        {...speeds}
        field="canopy.airspeed"
        label="Airspeed at sea level"
        undoLabel="canopy airspeed"
        value={setting.airspeed_mps}
        bounds={{ min: 0, max: 60 }}
        change={(plan, value) => put(plan, canopyPath('settings', index, 'airspeed_mps'), tidy(value))}
      />
      <NumberField
        {...speeds}
        field="canopy.sink"
        label="Sink at sea level"
        undoLabel="canopy sink"
        value={setting.sink_mps}
        bounds={{ min: 0, max: 60, above: true }}
        change={(plan, value) => put(plan, canopyPath('settings', index, 'sink_mps'), tidy(value))}
      />
      <div class="wide segments">
        <Word onClick={() => once(store, 'canopy setting added', (plan) => addSetting(plan, index))}>
          Add a setting
        </Word>
        {canopy.settings.length > 1 ? (
          <Word onClick={() => once(store, 'canopy setting removed', (plan) => removeSetting(plan, index))}>
            Remove this setting
          </Word>
        ) : null}
      </div>
    </>
  );
}

function SettingName({
  store,
  canopy,
  index,
  name,
}: CanopyPart & { readonly index: number; readonly name: string }): JSX.Element {
  const write = applier(store, `canopy.name.${index}`, 'setting name');
  const others = canopy.settings.filter((_, i) => i !== index).map((one) => one.name);
  return (
    <Field<string>
      field={`canopy.name.${index}`}
      label="Its name"
      text={name}
      parse={(text) => {
        const wanted = text.trim();
        if (wanted === '') return { ok: false, why: 'a setting needs a name, such as half brakes' };
        return others.includes(wanted)
          ? { ok: false, why: `another setting is called ${wanted} already` }
          : { ok: true, value: wanted };
      }}
      apply={(text) => write.apply((plan) => renameSetting(plan, index, text))}
      done={write.done}
      revert={write.revert}
    />
  );
}

function FillFields({ store, canopy }: CanopyPart): JSX.Element {
  return (
    <>
      <NumberField
        store={store}
        field="canopy.fill"
        label="Filling time"
        undoLabel="filling time"
        unit="s"
        value={canopy.fill_s}
        bounds={{ min: 0, max: 60 }}
        decimals={2}
        step={0.1}
        change={(plan, value) => put(plan, canopyPath('fill_s'), tidy(value))}
      />
      <NumberField
        store={store}
        field="canopy.referenceMass"
        label="Mass of those speeds"
        undoLabel="reference mass"
        unit="kg"
        value={canopy.referenceMass_kg}
        bounds={{ min: 0, max: 5000, above: true }}
        decimals={1}
        step={1}
        change={(plan, value) => put(plan, canopyPath('referenceMass_kg'), tidy(value))}
      />
    </>
  );
}

const policyNames: Readonly<Record<Policy, string>> = {
  drift: 'drift (no drive)',
  hold: 'hold a heading',
  'into wind': 'into the wind',
  'to target': 'to a target',
  pattern: 'pattern to a target',
  random: 'random headings',
};

function SteeringFields({ store, mission, canopy }: Part & CanopyPart): JSX.Element {
  const steering = canopy.steering ?? { policy: 'drift' as const };
  const policy = steering.policy;
  return (
    <>
      <Choice
        field="canopy.policy"
        label="Steering"
        value={policy}
        choices={policies.map((one) => ({ value: one, text: policyNames[one] }))}
        apply={(next) => once(store, 'steering', (plan) => setPolicy(plan, next))}
      />
      {steering.policy === 'hold' ? (
        <NumberField
          store={store}
          field="canopy.heading"
          label="Heading, true"
          undoLabel="heading"
          unit="°"
          value={steering.heading_deg}
          bounds={{ min: 0, max: 360 }}
          decimals={1}
          step={5}
          change={(plan, value) => put(plan, canopyPath('steering', 'heading_deg'), tidy(value))}
        />
      ) : null}
      {steering.policy === 'random' ? (
        <NumberField
          store={store}
          field="canopy.every"
          label="New heading every"
          undoLabel="random headings"
          unit="s"
          value={steering.every_s}
          bounds={{ min: 0, max: 3600, above: true }}
          decimals={1}
          step={5}
          change={(plan, value) => put(plan, canopyPath('steering', 'every_s'), tidy(value))}
        />
      ) : null}
      {steering.policy === 'to target' || steering.policy === 'pattern' ? (
        <TargetField store={store} mission={mission} canopy={canopy} />
      ) : null}
      {steering.policy === 'drift' || steering.policy === 'into wind' ? <div /> : null}
    </>
  );
}

/** A zone of the plan; a target that the plan gives as a position shows as one and gives way to a zone. */
function TargetField({ store, mission, canopy }: Part & CanopyPart): JSX.Element {
  const steering = canopy.steering;
  const zones = mission.landingZones ?? [];
  const named =
    steering !== undefined && 'zone' in steering && typeof steering.zone === 'string' ? steering.zone : undefined;
  const aimed =
    steering !== undefined && (steering.policy === 'to target' || steering.policy === 'pattern')
      ? steering.position
      : undefined;
  const POSITION = '\u0000position';
  const choices = zones.map((zone) => ({ value: zone.name, text: zone.name }));
  if (aimed !== undefined) choices.unshift({ value: POSITION, text: formatDegrees(aimed, 4) });
  const value =
    aimed === undefined ? (zones.find((zone) => zone.name === named)?.name ?? zones[0]?.name ?? '') : POSITION;
  if (choices.length === 0) return <p class="small quiet">The plan names no zone to steer to: the canopy drifts.</p>;
  return (
    <Choice
      field="canopy.zone"
      label="Target"
      value={value}
      choices={choices}
      apply={(zone) => {
        if (zone === POSITION) return;
        once(store, 'steering target', (plan) =>
          put(drop(plan, canopyPath('steering', 'position')), canopyPath('steering', 'zone'), zone),
        );
      }}
    />
  );
}
