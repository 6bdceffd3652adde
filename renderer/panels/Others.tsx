// What else comes down: gondola and envelope, and how near they come to the jumper in the air and on the ground.
import type { JSX } from 'preact';
import { AIR_SEPARATION_M, type Separation } from '../../core/recovery/gondola.ts';
import type { BodyShown } from '../../core/work/recoveryWork.ts';
import { timeWords } from '../state/derived/recoveryScene.ts';
import { distance, halfAxes, height } from '../../core/words/lengths.ts';
import { MISSING } from '../../core/words/numbers.ts';
import {
  apartKey,
  apartWhy,
  bodyKey,
  bodyWhy,
  type ApartColumn,
  type BodyColumn,
  type OthersOf,
} from '../state/explaining/othersWhy.ts';
import type { Store } from '../state/derived/store.ts';
import { Figure } from './Figure.tsx';
import { Heads } from '../parts/rows.tsx';

export function Others({ store }: { readonly store: Store }): JSX.Element | null {
  const answer = store.recovery.answer.value;
  const mission = store.mission.value;
  if (answer === null || mission === null) return null;
  const marks: OthersOf['marks'] = store.situation.value?.state.marks ?? new Map();
  const of: OthersOf = { mission, marks, world: store.world.value, units: store.units.value };
  const { bodies, separations } = answer;
  return (
    <section aria-labelledby="others">
      <h2 id="others">What else comes down</h2>
      {separations
        .flatMap(({ separation }) => separation.warnings)
        .map((words) => (
          <p key={words} class="wrong-words" role="alert">
            {words}
          </p>
        ))}
      <table class="limits others">
        <Heads names={['body', 'released', 'down', '90 % within']} />
        <tbody>
          {bodies.map((body) => (
            <Body key={body.name} store={store} of={of} body={body} />
          ))}
        </tbody>
      </table>
      {separations.map(({ name, separation }) => (
        <Apart key={name} store={store} of={of} name={name} separation={separation} />
      ))}
    </section>
  );
}

interface BodyProps {
  readonly store: Store;
  readonly of: OthersOf;
  readonly body: BodyShown;
}

function Body({ store, of, body }: BodyProps): JSX.Element {
  const units = store.units.value;
  if (body.kind === 'none') {
    return (
      <tr>
        <th scope="row">{body.name}</th>
        <td colSpan={3} class="small quiet">
          none: {body.why}
        </td>
      </tr>
    );
  }
  const { landing, ellipse90, release } = body;
  const told = (column: BodyColumn, words: string): JSX.Element => (
    <Figure of={bodyKey(body, column)} why={() => bodyWhy(of, body, column)}>
      {words}
      <span class="said"> of the {body.name}</span>
    </Figure>
  );
  return (
    <tr>
      <th scope="row">
        <button
          type="button"
          class="num text"
          disabled={landing === null}
          onClick={() => {
            if (landing !== null) store.goal.value = { position: landing.position };
          }}
        >
          {body.name}
          <span class="said">: show its landing on the map</span>
        </button>
      </th>
      <td title={height(release.height_m, units, of.mission.site.elevation_m)}>
        {told('released', timeWords(store, release.time_s))}
      </td>
      <td>{told('down', landing === null ? MISSING : timeWords(store, landing.time_s))}</td>
      <td>
        {told('size', ellipse90 === null ? MISSING : halfAxes(ellipse90.semiMajor_m, ellipse90.semiMinor_m, units))}
      </td>
    </tr>
  );
}

interface ApartProps {
  readonly store: Store;
  readonly of: OthersOf;
  readonly name: BodyShown['name'];
  readonly separation: Separation;
}

function Apart({ store, of, name, separation }: ApartProps): JSX.Element {
  const units = store.units.value;
  const { closest, closestUnderCanopy, landings, series } = separation;
  const told = (column: ApartColumn, words: string): JSX.Element => (
    <Figure key={column} of={apartKey(name, column)} why={() => apartWhy(of, name, separation, column)}>
      {words}
    </Figure>
  );
  const parts = [
    closest === null
      ? 'never in the air together'
      : told('air', `nearest in the air ${distance(closest.distance_m, units)} at ${timeWords(store, closest.time_s)}`),
    ...(closestUnderCanopy === null
      ? []
      : [told('canopy', `to the open canopy ${distance(closestUnderCanopy.distance_m, units)}`)]),
    ...(landings === null ? [] : [told('ground', `landings ${distance(landings.distance_m, units)} apart`)]),
  ];
  return (
    <figure class="apart">
      <figcaption class="small">
        <strong>{name}</strong>: {parts.flatMap((part, i) => (i === 0 ? [part] : ['; ', part]))}
      </figcaption>
      {series.length < 2 ? null : <Series series={series} />}
    </figure>
  );
}

const [WIDE, HIGH] = [340, 40];

/** Distance over the time that both are in the air; the dashed line is the distance that is warned of. */
function Series({ series }: { readonly series: Separation['series'] }): JSX.Element {
  const from_s = series[0]?.time_s ?? 0;
  const span_s = Math.max(1, (series.at(-1)?.time_s ?? 0) - from_s);
  const most_m = Math.max(...series.map((one) => one.distance_m), AIR_SEPARATION_M * 1.5);
  const y = (m: number): number => HIGH - 2 - ((HIGH - 4) * m) / most_m;
  const line = series
    .map((one) => `${(((one.time_s - from_s) / span_s) * WIDE).toFixed(1)},${y(one.distance_m).toFixed(1)}`)
    .join(' ');
  return (
    <svg class="apart-line" viewBox={`0 0 ${WIDE} ${HIGH}`} preserveAspectRatio="none" aria-hidden="true">
      <line x1={0} x2={WIDE} y1={y(AIR_SEPARATION_M)} y2={y(AIR_SEPARATION_M)} class="apart-limit" />
      <polyline points={line} />
    </svg>
  );
}
