// The canopy: the setting flown with its speeds, how it fills, and how it is steered.
import type { JSX } from 'preact';
import { flownSetting } from '../../core/descent/body.ts';
import { formatDegrees } from '../../core/words/positions.ts';
import type { Canopy, Mission } from '../../core/plan/schema.ts';
import { useStore } from '../context.ts';
import { Act, Word } from '../parts/buttons.tsx';
import { Choice } from '../parts/Field.tsx';
import { NumberField, TextField } from '../parts/PlanField.tsx';
import { lengthScale, scaleOf, sinkScale, speedScale } from '../parts/scales.ts';
import { parseName } from '../parts/typed.ts';
import { editOnce } from '../state/acting/actions.ts';
import {
  addCanopy,
  addSetting,
  canopyPath,
  policies,
  removeCanopy,
  removeSetting,
  renameSetting,
  setPolicy,
  type Policy,
} from '../state/stored/edits.ts';
import { drop, put } from '../state/stored/json.ts';

export function CanopyInputs({ mission }: { readonly mission: Mission }): JSX.Element {
  const store = useStore();
  const canopy = mission.jumper.canopy;
  if (canopy === undefined) {
    return (
      <div class="fields">
        <p class="wide quiet">This body has no canopy: what is predicted is an impact.</p>
        <Act onClick={() => editOnce(store, 'canopy added', addCanopy)}>Add a canopy</Act>
      </div>
    );
  }
  return (
    <div class="fields">
      <SettingFields canopy={canopy} />
      <FillField canopy={canopy} />
      <NumberField
        field="canopy.referenceMass"
        label="Mass of those speeds"
        path={canopyPath('referenceMass_kg')}
        scale={scaleOf('kg', 5000, 1, { above: true, decimals: 1 })}
      />
      <SteeringFields mission={mission} steering={canopy.steering ?? { policy: 'drift' }} />
      <div class="wide segments">
        <Word onClick={() => editOnce(store, 'canopy removed', removeCanopy)}>Remove the canopy</Word>
      </div>
    </div>
  );
}

function SettingFields({ canopy }: { readonly canopy: Canopy }): JSX.Element {
  const store = useStore();
  const setting = flownSetting(canopy);
  const index = canopy.settings.indexOf(setting);
  const names = canopy.settings.map(({ name }) => name);
  const speeds = speedScale(store.units.value, 60, { decimals: store.units.value.speed === 'm/s' ? 2 : 1 });
  const path = (key: string) => canopyPath('settings', index, key);
  return (
    <>
      <Choice
        field="canopy.setting"
        label="Setting flown"
        value={setting.name}
        choices={names.map((name) => ({ value: name, text: name }))}
        apply={(name) => editOnce(store, 'canopy setting', (plan) => put(plan, canopyPath('setting'), name))}
      />
      <TextField
        field={`canopy.name.${index}`}
        label="Its name"
        undoLabel="setting name"
        text={setting.name}
        parse={(text) => parseName(text, names.toSpliced(index, 1))}
        change={(plan, text) => renameSetting(plan, index, text)}
      />
      <NumberField field="canopy.airspeed" label="Airspeed at sea level" path={path('airspeed_mps')} scale={speeds} />
      <NumberField
        field="canopy.sink"
        label="Sink at sea level"
        path={path('sink_mps')}
        scale={sinkScale(store.units.value)}
      />
      <div class="wide segments">
        <Word onClick={() => editOnce(store, 'canopy setting added', (plan) => addSetting(plan, index))}>
          Add a setting
        </Word>
        {names.length > 1 ? (
          <Word onClick={() => editOnce(store, 'canopy setting removed', (plan) => removeSetting(plan, index))}>
            Remove this setting
          </Word>
        ) : null}
      </div>
    </>
  );
}

/** A canopy of the plan fills over a time or over a way through the air. */
function FillField({ canopy }: { readonly canopy: Canopy }): JSX.Element {
  const store = useStore();
  return canopy.fillDistance_m === undefined ? (
    <NumberField field="canopy.fill" label="Filling time" path={canopyPath('fill_s')} scale={scaleOf('s', 60, 0.1)} />
  ) : (
    <NumberField
      field="canopy.fill"
      label="Fills over"
      path={canopyPath('fillDistance_m')}
      scale={lengthScale(store.units.value, 2000, 10, { above: true, decimals: 0 })}
    />
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

interface SteeringProps {
  readonly mission: Mission;
  readonly steering: NonNullable<Canopy['steering']>;
}

function SteeringFields({ mission, steering }: SteeringProps): JSX.Element {
  const store = useStore();
  return (
    <>
      <Choice
        field="canopy.policy"
        label="Steering"
        value={steering.policy}
        choices={policies.map((one) => ({ value: one, text: policyNames[one] }))}
        apply={(next) => editOnce(store, 'steering', (plan) => setPolicy(plan, next))}
      />
      {steering.policy === 'hold' ? (
        <NumberField
          field="canopy.heading"
          label="Heading, true"
          path={canopyPath('steering', 'heading_deg')}
          scale={scaleOf('°', 360, 5, { decimals: 1 })}
        />
      ) : steering.policy === 'random' ? (
        <NumberField
          field="canopy.every"
          label="New heading every"
          path={canopyPath('steering', 'every_s')}
          scale={scaleOf('s', 3600, 5, { above: true, decimals: 1 })}
        />
      ) : steering.policy === 'to target' || steering.policy === 'pattern' ? (
        <TargetField mission={mission} steering={steering} />
      ) : (
        <div />
      )}
    </>
  );
}

const POSITION = '\u0000position';

interface TargetProps {
  readonly mission: Mission;
  readonly steering: Extract<SteeringProps['steering'], { readonly policy: 'to target' | 'pattern' }>;
}

/** A zone of the plan; a target that the plan gives as a position shows as one and gives way to a zone. */
function TargetField({ mission, steering: { zone: named, position } }: TargetProps): JSX.Element {
  const store = useStore();
  const zones = (mission.landingZones ?? []).map(({ name }) => name);
  const choices = [
    ...(position === undefined ? [] : [{ value: POSITION, text: formatDegrees(position, 4) }]),
    ...zones.map((name) => ({ value: name, text: name })),
  ];
  if (choices.length === 0) return <p class="small quiet">The plan names no zone to steer to: the canopy drifts.</p>;
  const aimed = zones.find((name) => name === named) ?? zones[0] ?? '';
  const aim = (zone: string): void => {
    if (zone === POSITION) return;
    editOnce(store, 'steering target', (plan) =>
      put(drop(plan, canopyPath('steering', 'position')), canopyPath('steering', 'zone'), zone),
    );
  };
  return (
    <Choice
      field="canopy.zone"
      label="Target"
      value={position === undefined ? aimed : POSITION}
      choices={choices}
      apply={aim}
    />
  );
}
