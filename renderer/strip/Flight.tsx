// In flight, read from two metres: the phase, how high above the ground, how long to the touchdown, how far and which
// way to the zone. Beside the advice and not in it: what is read out when it changes may not change every second.
import type { JSX } from 'preact';
import { distance, lengthUp } from '../../core/words/lengths.ts';
import { age, timer } from '../../core/words/times.ts';
import { direction } from '../../core/words/winds.ts';
import { capital, MISSING } from '../../core/words/numbers.ts';
import type { Store } from '../state/derived/store.ts';
import { zoneSteeredFor } from '../../core/descent/scenario.ts';
import { inFlightAt, type InFlight } from './flight.ts';

/** Where the jumper is at the moment that is looked at; null on the ground. */
export function inFlightNow(store: Store): InFlight | null {
  const mission = store.mission.value;
  const expected = store.expected.value;
  // A touchdown that was called without its place ends the flight all the same.
  const down = store.situation.value?.state.marks.has('touchdown') ?? false;
  if (mission === null || expected === null || down) return null;
  return inFlightAt(expected, zoneSteeredFor(mission), (store.moment_ms.value ?? store.now_ms.value) / 1000);
}

export function Flight({ store }: { readonly store: Store }): JSX.Element | null {
  const flight = inFlightNow(store);
  if (flight === null) return null;
  const units = store.units.value;
  const at_s = (store.moment_ms.value ?? store.now_ms.value) / 1000;
  const { phase, agl_m, touchdown_s, zone, fixAge_s } = flight;
  const basis = fixAge_s === null ? 'from the exit, no fix yet' : `from the fix, ${age(fixAge_s)} old`;
  return (
    <div role="timer" aria-label="In flight" aria-live="off" class="flying">
      <dl class="flight">
        <div>
          <dt>{basis}</dt>
          <dd>{capital(phase)}</dd>
        </div>
        <div>
          <dt>height above ground</dt>
          <dd class="height">{`${lengthUp(agl_m, units)} AGL`}</dd>
        </div>
        <div>
          <dt>touchdown in</dt>
          <dd>{touchdown_s === null ? MISSING : timer(touchdown_s - at_s)}</dd>
        </div>
        {zone === null ? null : (
          <div>
            <dt>to {zone.name}, true</dt>
            <dd>{`${distance(zone.distance_m, units)} ${direction(zone.bearing_deg)}`}</dd>
          </div>
        )}
      </dl>
    </div>
  );
}
