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
import { direction, octant, sink, speed } from '../../core/words/winds.ts';
import { distance, height } from '../../core/words/lengths.ts';
import { MISSING, number, quantity, type Units } from '../../core/words/numbers.ts';
import { Figure } from './Figure.tsx';
import { Inputs } from './Inputs.tsx';
import { SpreadSection } from './Spread.tsx';
import { Why } from './Why.tsx';
import { Heads, Missing, Pair } from '../parts/rows.tsx';

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
    <Figure of={of} why={why} big={text !== true}>
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
    <Figure of={of} why={told} big>
      {children}
    </Figure>
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
  const landing = prediction.landing;
  return (
    <section aria-labelledby="landing">
      <h2 id="landing">Landing</h2>
      {landing === null ? (
        <Missing big why={NO_LANDING} />
      ) : (
        <>
          <Num store={store} mission={mission} of="landing">
            <span id="landing-degrees">{formatDegrees(landing.position, 4)}</span>
          </Num>
          <p class="nowrap">
            <span title="degrees and minutes">{formatDegreesMinutes(landing.position, 2)}</span>
            <span class="quiet"> · </span>
            <span title="MGRS, to 10 m">{formatMgrs(landing.position, 4)}</span>
          </p>
          <LandingPairs store={store} mission={mission} landing={landing} />
        </>
      )}
    </section>
  );
}

interface LandedProps {
  readonly store: Store;
  readonly mission: Mission;
  readonly landing: Landing;
}

function LandingPairs({ store, mission, landing }: LandedProps): JSX.Element {
  const units = store.units.value;
  const from_s = store.outlook.value?.scenario.exit.time_s ?? NaN;
  const ground = speed(landing.groundSpeed_mps, units, units.speed === 'm/s' ? 1 : 0);
  return (
    <dl class="pairs">
      <Pair name="Touchdown">
        <Num store={store} mission={mission} of="touchdown">
          {clock(from_s + landing.time_s, units)}
        </Num>
      </Pair>
      <Pair name="After exit">
        <Derived store={store} mission={mission} landing={landing} of="after exit" why={afterExitWhy}>
          {duration(sinceOf(store) + landing.time_s)}
        </Derived>
      </Pair>
      <DriftPair store={store} mission={mission} landing={landing} />
      <Pair name="Ground there">
        <Derived store={store} mission={mission} landing={landing} of="ground" why={groundWhy}>
          {height(landing.elevation_m, { ...units, height: 'MSL' }, 0)}
        </Derived>
      </Pair>
      {isOver(store) ? null : (
        <Pair name="Ground speed, sink">
          <Num store={store} mission={mission} of="surface">
            {ground}, {sink(landing.sink_mps, units)}
          </Num>
        </Pair>
      )}
    </dl>
  );
}

function DriftPair({ store, mission, landing }: LandedProps): JSX.Element {
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
      <Pair name="Drift from exit">
        <Num store={store} mission={mission} of="drift">
          {distance(drift.distance_m, units)}
        </Num>
      </Pair>
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
        <Pair name="Opening at">
          {opening === null ? (
            <Missing big why={why} />
          ) : (
            <Num store={store} mission={mission} of="opening">
              {height(opening.height_m, units, ground)}
            </Num>
          )}
        </Pair>
        <Pair name="Opening shock">
          {opening === null ? (
            <Missing big why={why} />
          ) : (
            <Num store={store} mission={mission} of="shock">
              {quantity(opening.shock_g, 'g', 1)}
            </Num>
          )}
        </Pair>
        <Pair name="Under canopy">
          {opening === null || landing === null ? (
            <Missing big why={opening === null ? why : NO_LANDING} />
          ) : (
            <Num store={store} mission={mission} of="canopy">
              {duration(landing.time_s - opening.time_s)}
            </Num>
          )}
        </Pair>
        <Pair name={`Peak speed at ${height(peak.height_m, units, ground)}`}>
          <Num store={store} mission={mission} of="peak">
            {speed(peak.speed_mps, units, 0)}, Mach {number(peak.mach, 2)}
          </Num>
        </Pair>
      </dl>
    </section>
  );
}

export function StagesPart({ store, mission, prediction }: Shown): JSX.Element {
  const units = store.units.value;
  const of = { mission, world: store.world.value, units, since_s: sinceOf(store) };
  const told = (stage: StageResult, index: number, column: StageColumn, words: string): JSX.Element => (
    <Figure of={stageKey(index, column)} why={() => stageWhy(of, stage, index, column)}>
      {words}
    </Figure>
  );
  return (
    <section aria-label="Stages">
      <table>
        <Heads
          names={[
            <Num store={store} mission={mission} of="stages" text>
              {' '}
              <span class="small quiet">Stage</span>{' '}
            </Num>,
            'lasts',
            'ends after',
            `ends at ${units.height}`,
          ]}
        />
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
