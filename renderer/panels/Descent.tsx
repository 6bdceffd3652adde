// The descent: what comes out above, what goes in below. Each number that comes out is a button that tells where it
// came from.
import type { ComponentChildren, JSX } from 'preact';
import { declination_deg, trueToMagnetic } from '../../core/earth/declination.ts';
import { inverse } from '../../core/earth/geodesic.ts';
import { formatDegrees, formatDegreesMinutes, formatMgrs, declinationWords } from '../../core/words/positions.ts';
import { sinceExit_s } from '../../core/mission/expected.ts';
import type { Landing, Prediction, StageResult } from '../../core/descent/prediction.ts';
import type { Mission } from '../../core/plan/schema.ts';
import { useStore } from '../context.ts';
import {
  afterExitWhy,
  groundWhy,
  stageKey,
  stageWhy,
  type DescentOf,
  type StageColumn,
} from '../state/explaining/descentWhy.ts';
import { provenanceOf, type NumberKey } from '../state/explaining/provenance.ts';
import type { Store } from '../state/derived/store.ts';
import type { Provenance } from '../state/stored/tellers.ts';
import { clock, duration } from '../../core/words/times.ts';
import { direction, speed, octant } from '../../core/words/winds.ts';
import { distance, height } from '../../core/words/lengths.ts';
import { MISSING, number, quantity, type Units } from '../../core/words/numbers.ts';
import { Figure } from './Figure.tsx';
import { Inputs } from './Inputs.tsx';
import { SpreadSection } from './Spread.tsx';
import { Why } from './Why.tsx';

export function DescentPanel(): JSX.Element {
  const store = useStore();
  const mission = store.mission.value;
  const prediction = store.prediction.value;
  if (mission === null) return <p class="quiet">Open a mission to see its descent.</p>;
  return (
    <>
      {prediction === null ? <p class="quiet">No prediction: the plan cannot be flown as it stands.</p> : null}
      {prediction === null ? null : <Outcome store={store} mission={mission} prediction={prediction} />}
      <Inputs mission={mission} hidden={store.provenance.value !== null} />
      {store.provenance.value === null ? null : <Why store={store} />}
    </>
  );
}

interface Shown {
  readonly store: Store;
  readonly mission: Mission;
  readonly prediction: Prediction;
}

interface NumProps {
  readonly store: Store;
  readonly mission: Mission;
  readonly of: NumberKey;
  readonly text?: boolean;
  readonly children: ComponentChildren;
}

/** A number that tells where it came from. */
function Num({ store, mission, of, text, children }: NumProps): JSX.Element {
  const why = (): Provenance => provenanceOf(of, mission, store.world.value?.wind ?? null, store.units.value);
  return (
    <Figure store={store} of={of} why={why} big={text !== true}>
      {children}
    </Figure>
  );
}

interface DerivedProps {
  readonly store: Store;
  readonly mission: Mission;
  readonly landing: Landing;
  readonly of: string;
  readonly why: (of: DescentOf) => Provenance;
  readonly children: ComponentChildren;
}

/** A number of the landing whose sentence has the landing's own figures. */
function Derived({ store, mission, landing, of, why, children }: DerivedProps): JSX.Element {
  const expected = store.expected.value;
  if (expected === null) return <span class="value">{children}</span>;
  const told = (): Provenance =>
    why({ mission, expected, landing, world: store.world.value, units: store.units.value });
  return (
    <Figure store={store} of={of} why={told} big>
      {children}
    </Figure>
  );
}

/** A missing value: an en dash, with the reason for eye and ear. */
function None({ why }: { readonly why: string }): JSX.Element {
  return (
    <span class="value" title={why}>
      {MISSING}
      <span class="said">: {why}</span>
    </span>
  );
}

/** The touchdown and its place are in the log: how the descent went was seen, and is not predicted any more. */
const isOver = ({ expected }: Store): boolean => expected.value?.from === 'touchdown';

function Outcome({ store, mission, prediction }: Shown): JSX.Element {
  return (
    <>
      <Basis store={store} />
      <LandingPart store={store} mission={mission} prediction={prediction} />
      <SpreadSection store={store} mission={mission} />
      {isOver(store) ? null : (
        <>
          <OpeningPart store={store} mission={mission} prediction={prediction} />
          <StagesPart store={store} mission={mission} prediction={prediction} />
        </>
      )}
    </>
  );
}

const sinceOf = ({ expected }: Store): number => (expected.value === null ? 0 : sinceExit_s(expected.value));

/** From where the descent is predicted, once it has begun. */
function Basis({ store }: { readonly store: Store }): JSX.Element | null {
  const basis = store.expected.value?.basis ?? null;
  return basis === null ? null : <p class="small">{basis}</p>;
}

const NO_LANDING = 'no landing is predicted; the reason stands under Problems';

export function LandingPart({ store, mission, prediction }: Shown): JSX.Element {
  const units = store.units.value;
  const landing = prediction.landing;
  if (landing === null) {
    return (
      <section aria-labelledby="landing">
        <h2 id="landing">Landing</h2>
        <None why={NO_LANDING} />
      </section>
    );
  }
  const from_ms = 1000 * (store.outlook.value?.scenario.exit.time_s ?? NaN);
  return (
    <section aria-labelledby="landing">
      <h2 id="landing">Landing</h2>
      <Num store={store} mission={mission} of="landing">
        <span id="landing-degrees">{formatDegrees(landing.position, 4)}</span>
      </Num>
      <p class="nowrap">
        <span title="degrees and minutes">{formatDegreesMinutes(landing.position, 2)}</span>
        <span class="quiet"> · </span>
        <span title="MGRS, to 10 m">{formatMgrs(landing.position, 4)}</span>
      </p>
      <dl class="pairs">
        <div>
          <dt>Touchdown</dt>
          <dd>
            <Num store={store} mission={mission} of="touchdown">
              {clock(from_ms / 1000 + landing.time_s, units)}
            </Num>
          </dd>
        </div>
        <div>
          <dt>After exit</dt>
          <dd>
            <Derived store={store} mission={mission} landing={landing} of="after exit" why={afterExitWhy}>
              {duration(sinceOf(store) + landing.time_s)}
            </Derived>
          </dd>
        </div>
        <DriftPair store={store} mission={mission} prediction={prediction} />
        <div>
          <dt>Ground there</dt>
          <dd>
            <Derived store={store} mission={mission} landing={landing} of="ground" why={groundWhy}>
              {height(landing.elevation_m, { ...units, height: 'MSL' }, 0)}
            </Derived>
          </dd>
        </div>
        {isOver(store) ? null : (
          <div>
            <dt>Over ground, sink</dt>
            <dd>
              <Num store={store} mission={mission} of="surface">
                {speed(landing.groundSpeed_mps, units, units.speed === 'm/s' ? 1 : 0)},{' '}
                {speed(landing.sink_mps, units, 1)}
              </Num>
            </dd>
          </div>
        )}
      </dl>
    </section>
  );
}

function DriftPair({ store, mission, prediction }: Shown): JSX.Element | null {
  const landing = prediction.landing;
  if (landing === null) return null;
  const units = store.units.value;
  const exit = store.expected.value?.planned.scenario.exit;
  const drift = inverse(exit === undefined ? mission.exit.position : [exit.lon_deg, exit.lat_deg], landing.position);
  const magnetic = declination_deg(
    mission.site.position,
    mission.site.elevation_m,
    Date.parse(mission.exit.time) / 1000,
  );
  return (
    <>
      <div>
        <dt>Drift from exit</dt>
        <dd>
          <Num store={store} mission={mission} of="drift">
            {distance(drift.distance_m, units)}
          </Num>
        </dd>
      </div>
      <div>
        <dt>toward {octant(drift.bearing_deg)}</dt>
        <dd
          class="value"
          title={magnetic.kind === 'known' ? `declination ${declinationWords(magnetic.deg)}` : magnetic.why}
        >
          {direction(drift.bearing_deg)}
          <span class="small quiet"> true</span>{' '}
          {magnetic.kind === 'known' ? direction(trueToMagnetic(drift.bearing_deg, magnetic.deg)) : MISSING}
          <span class="small quiet"> mag</span>
        </dd>
      </div>
    </>
  );
}

function OpeningPart({ store, mission, prediction }: Shown): JSX.Element {
  const units = store.units.value;
  const { opening, landing, peak } = prediction;
  const ground = mission.site.elevation_m;
  const why =
    mission.jumper.canopy === undefined ? 'this body has no canopy' : 'the ground is met before the canopy opens';
  return (
    <section aria-labelledby="opening">
      <h2 id="opening" class="said">
        Opening and peak
      </h2>
      <dl class="pairs">
        <div>
          <dt>Opening at</dt>
          <dd>
            {opening === null ? (
              <None why={why} />
            ) : (
              <Num store={store} mission={mission} of="opening">
                {height(opening.height_m, units, ground)}
              </Num>
            )}
          </dd>
        </div>
        <div>
          <dt>Opening shock</dt>
          <dd>
            {opening === null ? (
              <None why={why} />
            ) : (
              <Num store={store} mission={mission} of="shock">
                {quantity(opening.shock_g, 'g', 1)}
              </Num>
            )}
          </dd>
        </div>
        <div>
          <dt>Under canopy</dt>
          <dd>
            {opening === null || landing === null ? (
              <None why={opening === null ? why : NO_LANDING} />
            ) : (
              <Num store={store} mission={mission} of="canopy">
                {duration(landing.time_s - opening.time_s)}
              </Num>
            )}
          </dd>
        </div>
        <div>
          <dt>Peak speed at {height(peak.height_m, units, ground)}</dt>
          <dd>
            <Num store={store} mission={mission} of="peak">
              {speed(peak.speed_mps, units, 0)}, Mach {number(peak.mach, 2)}
            </Num>
          </dd>
        </div>
      </dl>
    </section>
  );
}

export function StagesPart({ store, mission, prediction }: Shown): JSX.Element {
  const units = store.units.value;
  const of = { mission, world: store.world.value, units, since_s: sinceOf(store) };
  const told = (stage: StageResult, index: number, column: StageColumn, words: string): JSX.Element => (
    <Figure store={store} of={stageKey(index, column)} why={() => stageWhy(of, stage, index, column)}>
      {words}
    </Figure>
  );
  return (
    <section aria-label="Stages">
      <table>
        <thead>
          <tr>
            <th scope="col">
              <Num store={store} mission={mission} of="stages" text>
                <span class="small quiet">Stage</span>
              </Num>
            </th>
            <th scope="col">lasts</th>
            <th scope="col">ends after</th>
            <th scope="col">ends at {units.height}</th>
          </tr>
        </thead>
        <tbody>
          {prediction.stages.map((stage, i) => (
            <tr key={i}>
              <td>{stage.name}</td>
              <td>{told(stage, i, 'lasts', duration(stage.end_s - stage.start_s))}</td>
              <td>{told(stage, i, 'ends after', duration(sinceOf(store) + stage.end_s))}</td>
              <td>{told(stage, i, 'ends at', endHeight(stage.endHeight_m, units, mission.site.elevation_m))}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </section>
  );
}

/** The column's head says the reference. */
function endHeight(height_m: number, units: Units, ground_m: number): string {
  return height(height_m, units, ground_m).replace(/ (MSL|AGL)$/, '');
}
