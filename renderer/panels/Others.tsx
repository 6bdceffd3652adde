// What else comes down: gondola and envelope, and how near they come to the jumper in the air and on the ground.
import type { JSX } from 'preact';
import { AIR_SEPARATION_M, type Separation } from '../../core/advice/gondola.ts';
import type { BodyShown } from '../../core/recoveryWork.ts';
import { distance, height, MISSING } from '../format.ts';
import { timeWords } from '../state/recoveryScene.ts';
import type { Store } from '../state/store.ts';

export function Others({ store }: { readonly store: Store }): JSX.Element | null {
  const answer = store.recovery.answer.value;
  if (answer === null) return null;
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
      <table class="limits">
        <thead>
          <tr>
            <th scope="col">body</th>
            <th scope="col">released</th>
            <th scope="col">down</th>
            <th scope="col">90 % within</th>
          </tr>
        </thead>
        <tbody>
          {bodies.map((body) => (
            <Body key={body.name} store={store} body={body} />
          ))}
        </tbody>
      </table>
      {separations.map(({ name, separation }) => (
        <Apart key={name} store={store} name={name} separation={separation} />
      ))}
    </section>
  );
}

function Body({ store, body }: { readonly store: Store; readonly body: BodyShown }): JSX.Element {
  const units = store.view.units.value;
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
      <td title={height(release.height_m, units, store.mission.value?.site.elevation_m ?? 0)}>{timeWords(store, release.time_s)}</td>
      <td>{landing === null ? MISSING : timeWords(store, landing.time_s)}</td>
      <td>{ellipse90 === null ? MISSING : `${distance(ellipse90.semiMajor_m, units)} × ${distance(ellipse90.semiMinor_m, units)}`}</td>
    </tr>
  );
}

function Apart({
  store,
  name,
  separation,
}: {
  readonly store: Store;
  readonly name: string;
  readonly separation: Separation;
}): JSX.Element {
  const units = store.view.units.value;
  const { closest, closestUnderCanopy, landings, series } = separation;
  const parts = [
    closest === null
      ? 'never in the air together'
      : `nearest in the air ${distance(closest.distance_m, units)} at ${timeWords(store, closest.time_s)}`,
    ...(closestUnderCanopy === null ? [] : [`to the open canopy ${distance(closestUnderCanopy.distance_m, units)}`]),
    ...(landings === null ? [] : [`landings ${distance(landings.distance_m, units)} apart`]),
  ];
  return (
    <figure class="apart">
      <figcaption class="small">
        <strong>{name}</strong>: {parts.join('; ')}
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
  const line = series.map((one) => `${(((one.time_s - from_s) / span_s) * WIDE).toFixed(1)},${y(one.distance_m).toFixed(1)}`).join(' ');
  return (
    <svg class="apart-line" viewBox={`0 0 ${WIDE} ${HIGH}`} preserveAspectRatio="none" aria-hidden="true">
      <line x1={0} x2={WIDE} y1={y(AIR_SEPARATION_M)} y2={y(AIR_SEPARATION_M)} class="apart-limit" />
      <polyline points={line} />
    </svg>
  );
}
