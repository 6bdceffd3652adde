// The spread in figures: how far apart the drawn landings lie, how many come down in each zone and hazard, and how far
// the drawing is.
import { timer } from '../../core/words/times.ts';
import type { JSX } from 'preact';
import { sinceExit_s } from '../../core/mission/expected.ts';
import type { LandingStatistics, Share } from '../../core/descent/statistics.ts';
import type { Mission } from '../../core/plan/schema.ts';
import { zoneSteeredFor } from '../../core/descent/scenario.ts';
import {
  ellipseWhy,
  quantileKey,
  quantileWhy,
  shareWhy,
  type QuantileRow,
  type SampleOf,
} from '../state/explaining/decideWhy.ts';
import type { Store } from '../state/derived/store.ts';
import { direction, sink, speed } from '../../core/words/winds.ts';
import { halfAxes } from '../../core/words/lengths.ts';
import { MISSING, number, quantity, THIN } from '../../core/words/numbers.ts';
import { Figure } from './Figure.tsx';
import { Word } from '../parts/buttons.tsx';
import { Heads } from '../parts/rows.tsx';

interface Part {
  readonly store: Store;
  readonly mission: Mission;
}

interface Figures extends Part {
  readonly statistics: LandingStatistics;
}

/** Beside the landing: how far it may be off, the chance of the zone, progress, and what of it the map shows. */
export function SpreadSection({ store, mission }: Part): JSX.Element {
  const picture = store.decision.spread.value;
  const statistics = picture?.statistics ?? null;
  const running = picture !== null && picture.done < picture.total;
  return (
    <section aria-labelledby="spread" aria-busy={running}>
      <div class="run">
        <h2 id="spread">Spread</h2>
        {picture === null || running ? null : (
          <span class="small quiet nowrap">
            of {number(picture.done)}
            <span class="said"> descents drawn</span>
          </span>
        )}
        <MapSwitches store={store} />
      </div>
      <Run store={store} />
      {statistics === null ? (
        <p class="quiet small">
          {picture === null
            ? (store.decision.trouble.value ?? 'The first descents are being drawn.')
            : 'No drawn descent reaches the ground.'}
        </p>
      ) : (
        <>
          <Sizes store={store} mission={mission} statistics={statistics} />
          <MainChance store={store} mission={mission} statistics={statistics} />
        </>
      )}
    </section>
  );
}

/** While more are coming, or a person stopped them: how many have been drawn, as a bar with its stop. */
function Run({ store }: { readonly store: Store }): JSX.Element | null {
  const { run, spread, wanted } = store.decision;
  const picture = spread.value;
  const state = run.value;
  if (picture === null || (state !== 'running' && state !== 'stopped')) return null;
  const done = `${number(picture.done)} of ${number(picture.total)}`;
  return (
    <div class="run">
      <progress aria-label={`Descents drawn: ${done}`} value={picture.done} max={picture.total} />
      <span class="small quiet nowrap">{done}</span>
      <Word small onClick={() => (wanted.value = state === 'running' ? 'stopped' : 'running')}>
        {state === 'running' ? 'Stop' : 'Go on'}
      </Word>
    </div>
  );
}

function Sizes({ store, mission, statistics }: Figures): JSX.Element {
  const units = store.units.value;
  const { ellipses, members } = statistics;
  return (
    <p class="sizes">
      {(['50', '90'] as const).map((percent) => (
        <span
          key={percent}
          class="nowrap"
          title={`Half axes of the ellipse; the long one lies ${direction(ellipses[percent].bearing_deg)}`}
        >
          <span class="small quiet">{`${percent} of 100 within `}</span>
          <Figure of={`spread/${percent}`} why={() => ellipseWhy(percent, members, mission, units)} big>
            {halfAxes(ellipses[percent].semiMajor_m, ellipses[percent].semiMinor_m, units)}
          </Figure>
        </span>
      ))}
    </p>
  );
}

/** "93.1 % ± 0.3"; where none was counted, what the sample cannot rule out. */
export function shareWords({ p, error }: Share): string {
  if (!(p >= 0)) return MISSING;
  return `${number(100 * p, 1)}${THIN}% ± ${number(100 * error, 1)}`;
}

/** What the numbers of the sample are told from. */
const sampleOf = ({ store, mission, statistics }: Figures): SampleOf => ({
  ...statistics,
  mission,
  units: store.units.value,
  basis: store.expected.value?.basis ?? null,
});

function ShareBar({ p }: { readonly p: number }): JSX.Element {
  return (
    <svg class="share" width={72} height={8} aria-hidden="true">
      <rect width={Math.max(0, Math.min(1, p)) * 72} height={8} fill="var(--spread)" />
    </svg>
  );
}

/** The zone that is aimed at, and all hazards together; every one of them stands with the uncertainties. */
function MainChance(props: Figures): JSX.Element {
  const { inZone, inAnyHazard } = props.statistics;
  const of = sampleOf(props);
  const zone = zoneSteeredFor(props.mission);
  const share = zone === null ? undefined : inZone[zone.name];
  return (
    <p class="nowrap chance">
      {zone === null || share === undefined ? null : (
        <>
          <span class="quiet">{zone.name} </span>
          <Figure of={`share/${zone.name}`} why={() => shareWhy(of, zone.name, share)}>
            {shareWords(share)}
          </Figure>
          <span class="quiet"> · </span>
        </>
      )}
      <span class="quiet">a hazard </span>
      <Figure of="share/Any hazard" why={() => shareWhy(of, 'Any hazard', inAnyHazard)}>
        {shareWords(inAnyHazard)}
      </Figure>
    </p>
  );
}

/** Every zone; of the hazards those that were met, and their sum. */
export function Chances(props: Figures): JSX.Element {
  const { inZone, inHazard, inAnyHazard } = props.statistics;
  const of = sampleOf(props);
  const met = Object.entries(inHazard).filter(([, share]) => share.p > 0);
  const rows: (readonly [string, Share, string])[] = [
    ...Object.entries(inZone).map(([name, share]) => [name, share, 'zone'] as const),
    ...met.map(([name, share]) => [name, share, 'hazard'] as const),
    ...(met.length === 1 ? [] : [['Any hazard', inAnyHazard, ''] as const]),
  ];
  return (
    <table aria-label="Chances of landing in zones and hazards">
      <tbody>
        {rows.map(([name, share, kind]) => (
          <tr key={name}>
            <td>
              {name}
              {kind === 'hazard' ? <span class="small quiet"> hazard</span> : null}
            </td>
            <td>
              <ShareBar p={share.p} />
            </td>
            <td>
              <Figure of={`share/${name}`} why={() => shareWhy(of, name, share)}>
                {shareWords(share)}
              </Figure>
            </td>
          </tr>
        ))}
      </tbody>
    </table>
  );
}

const layers = [
  ['dots', 'landings'],
  ['contours', 'contours'],
  ['ellipses', 'ellipses'],
  ['reach', 'reach'],
] as const;

function MapSwitches({ store }: { readonly store: Store }): JSX.Element {
  return (
    <div class="layers small" role="group" aria-label="Shown on the map">
      {layers.map(([name, words]) => (
        <Word
          key={name}
          small
          title={`Show ${words} on the map`}
          aria-pressed={store.view[name].value}
          onClick={() => (store.view[name].value = !store.view[name].value)}
        >
          {words}
        </Word>
      ))}
    </div>
  );
}

function quantileRows({ store, statistics }: Figures): readonly QuantileRow[] {
  const units = store.units.value;
  const { time_s, groundSpeed_mps, sink_mps, shock_g } = statistics;
  // Drawn descents that begin at a fix are counted from there.
  const since_s = store.expected.value === null ? 0 : sinceExit_s(store.expected.value);
  const shock = 'The largest deceleration while the canopy fills, in g of 9.80665 m/s², of those whose canopy opens.';
  return [
    {
      name: 'Touchdown after exit, min:s',
      what: 'From the exit to the touchdown.',
      quantiles: time_s,
      words: (x) => timer(since_s + x),
    },
    {
      name: 'Speed over ground',
      what: 'How fast it moves over the ground at the touchdown.',
      quantiles: groundSpeed_mps,
      words: (x) => speed(x, units, units.speed === 'm/s' ? 1 : 0),
    },
    {
      name: 'Sink',
      what: 'How fast it goes down at the touchdown.',
      quantiles: sink_mps,
      words: (x) => sink(x, units),
    },
    ...(shock_g === null
      ? []
      : [{ name: 'Opening shock', what: shock, quantiles: shock_g, words: (x: number) => quantity(x, 'g', 1) }]),
  ];
}

/** Time, speed and shock of the drawn descents: below the first number 5 of 100, below the last 95. */
export function QuantileTable(props: Figures): JSX.Element {
  const of = sampleOf(props);
  return (
    <table aria-label="Quantiles of the drawn descents">
      <Heads names={['Of 100 descents, below', '5', '50', '95']} />
      <tbody>
        {quantileRows(props).map((row) => (
          <tr key={row.name}>
            <td>{row.name}</td>
            {(['p05', 'p50', 'p95'] as const).map((which) => (
              <td key={which}>
                <Figure of={quantileKey(row, which)} why={() => quantileWhy(of, row, which)}>
                  {row.words(row.quantiles[which])}
                </Figure>
              </td>
            ))}
          </tr>
        ))}
      </tbody>
    </table>
  );
}
