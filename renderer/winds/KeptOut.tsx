// Wind files at the door: each that is kept out, what it is, why it does not count, and what using it would change. One
// press takes it, with a reason that the log keeps.
import { useSignal, type Signal } from '@preact/signals';
import { useMemo } from 'preact/hooks';
import type { JSX } from 'preact';
import { atTheDoor, type DoorFinding, type DoorProfile } from '../../core/mission/door.ts';
import { landingIfTaken, type LandingMove } from '../../core/mission/ifTaken.ts';
import type { Mission } from '../../core/plan/schema.ts';
import { distance, lengthUp } from '../../core/words/lengths.ts';
import { capital, type Units } from '../../core/words/numbers.ts';
import { dayClock, roughDuration } from '../../core/words/times.ts';
import { directionWords } from '../../core/words/winds.ts';
import { namedSources, type Beside } from '../model.ts';
import { Act, Word } from '../parts/buttons.tsx';
import { chooseStation, takeWindFile } from '../state/acting/door.ts';
import type { Store } from '../state/derived/store.ts';

/** A landing that moves by less stays where it was. */
const STILL_M = 5;

export function KeptOut({ store }: { readonly store: Store }): JSX.Element | null {
  const mission = store.mission.value;
  const beside = store.beside.value;
  const kept = useMemo(
    () =>
      mission === null || beside === null
        ? []
        : namedSources(mission, beside)
            .map((source) => atTheDoor(mission, source))
            .filter(({ comesIn }) => !comesIn),
    [mission, beside],
  );
  if (mission === null || beside === null || kept.length === 0) return null;
  return (
    <section class="kept-out" aria-label="Wind files kept out">
      {kept.map((found) => (
        <File key={found.file} store={store} mission={mission} beside={beside} found={found} />
      ))}
    </section>
  );
}

interface FileProps {
  readonly store: Store;
  readonly mission: Mission;
  readonly beside: Beside;
  readonly found: DoorFinding;
}

function File({ store, mission, beside, found }: FileProps): JSX.Element {
  const units = store.units.value;
  const { file, because, profiles, stations, undated } = found;
  const reason = useSignal(`taken although ${because.join('; ')}`);
  const valid = useSignal('');
  const moved = useMemo(
    () => landingIfTaken(mission, { windSources: namedSources(mission, beside), terrain: beside.terrain }, file),
    [mission, beside, file],
  );
  const take = (): void => void takeWindFile(store, found, reason.value, undated ? valid.value : null);
  return (
    <form
      class="kept-file"
      onSubmit={(event) => {
        event.preventDefault();
        take();
      }}
    >
      <h3>Kept out: {file}</h3>
      <p class="small">{capital(because.join('; '))}.</p>
      <details>
        <summary class="small">What it says, and using it all the same</summary>
        <div class="kept-more">
          {profiles.slice(0, 3).map((profile, i) => (
            <p key={`${i} ${profile.source}`} class="small quiet">
              {profileWords(profile, Date.parse(mission.exit.time) / 1000, units)}
            </p>
          ))}
          <p class="small">{movedWords(moved, units)}</p>
          {stations.slice(0, 5).map(({ name, source, distance_m }) => (
            <Word key={name} small onClick={() => chooseStation(store, name)}>
              Use {source}
              {distance_m === null ? '' : `, ${distance(distance_m, units)} away`}
            </Word>
          ))}
          {undated ? <Typed label="Valid at, UTC" value={valid} placeholder={mission.exit.time} /> : null}
          <Typed label="Why use it" value={reason} placeholder="" />
          <Act onClick={take}>Use it all the same</Act>
        </div>
      </details>
    </form>
  );
}

function movedWords(moved: LandingMove | null, units: Units): string {
  if (moved === null) return 'With or without it no landing is predicted.';
  if (moved.distance_m < STILL_M) return 'Using it would not move the forecast’s landing.';
  const far = distance(moved.distance_m, units);
  return `Using it would move the forecast’s landing ${far} toward ${directionWords(moved.bearing_deg)}.`;
}

interface TypedProps {
  readonly label: string;
  readonly value: Signal<string>;
  readonly placeholder: string;
}

const Typed = ({ label, value, placeholder }: TypedProps): JSX.Element => (
  <label class="small">
    {label}{' '}
    <input
      value={value.value}
      placeholder={placeholder}
      onInput={(event) => {
        value.value = event.currentTarget.value;
      }}
    />
  </label>
);

/** "XAA: measured, 8700 km away, valid on 23 Feb 2023 at 12:00:00Z, 9 days before the exit, 62 levels; missing: …". */
function profileWords(profile: DoorProfile, exit_s: number, units: Units): string {
  const { source, what, distance_m, valid_s, age_s, levels, top_m, missing } = profile;
  const facts = [
    what,
    ...(distance_m === null ? [] : [`${distance(distance_m, units)} away`]),
    ...(valid_s === null ? [] : [`valid ${dayClock(valid_s, exit_s)}`]),
    ...(age_s === null ? [] : [`${roughDuration(age_s)} ${age_s < 0 ? 'after' : 'before'} the exit`]),
    `${levels} levels${top_m === null ? '' : ` up to ${lengthUp(top_m, units)} MSL`}`,
  ];
  return `${source}: ${facts.join(', ')}${missing.length === 0 ? '' : `; missing: ${missing.join(', ')}`}.`;
}
