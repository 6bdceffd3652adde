// The zones ranked by fit, each with its reason in words, its parts and their weights; under them the limits behind the
// word.
import { useSignal } from '@preact/signals';
import type { JSX } from 'preact';
import { useEffect } from 'preact/hooks';
import { DEFAULT_WEIGHTS, type FitScore, type ZoneFit } from '../../core/advice/zoneFit.ts';
import type { Mission } from '../../core/plan/schema.ts';
import { useStore } from '../context.ts';
import { number } from '../../core/words/numbers.ts';
import { NumberField } from '../parts/PlanField.tsx';
import { Heads } from '../parts/rows.tsx';
import { scaleOf } from '../parts/scales.ts';
import { fitWhy, partWhy } from '../state/explaining/decideWhy.ts';
import type { Store } from '../state/derived/store.ts';
import { EdgesSection } from './Edges.tsx';
import { ExitsSection } from './Exits.tsx';
import { LimitsSection } from './Limits.tsx';
import { Figure } from './Figure.tsx';
import { Why } from './Why.tsx';
import { Word } from '../parts/buttons.tsx';

export function ZonesPanel(): JSX.Element {
  const store = useStore();
  const mission = store.mission.value;
  if (mission === null) return <p class="quiet">Open a mission to see its zones and limits.</p>;
  return (
    <>
      <ZonesSection store={store} mission={mission} />
      <EdgesSection store={store} mission={mission} />
      <ExitsSection store={store} mission={mission} />
      {store.provenance.value === null ? null : <Why store={store} />}
      <LimitsSection store={store} mission={mission} />
    </>
  );
}

interface Part {
  readonly store: Store;
  readonly mission: Mission;
}

/** The fits of the last advice, weighed as the plan says now: a weight answers at once. */
export function rankedNow(fits: readonly ZoneFit[], weights: Mission['zoneWeights']): ZoneFit[] {
  const all: Readonly<Record<string, number>> = { ...DEFAULT_WEIGHTS, ...weights };
  const weighed = fits.map((fit): ZoneFit => {
    const parts = fit.parts.map((one): FitScore => ({ ...one, weight: all[one.part] ?? 0 }));
    const total = parts.reduce((sum, one) => sum + one.weight, 0);
    const score = total > 0 ? parts.reduce((sum, one) => sum + one.weight * one.score, 0) / total : 0;
    return { ...fit, parts, score };
  });
  return weighed.sort((a, b) => b.score - a.score);
}

function ZonesSection({ store, mission }: Part): JSX.Element {
  const open = useSignal<string | null>(null);
  const answer = store.decision.advice.value;
  const fits = rankedNow(answer?.advice.zones ?? [], mission.zoneWeights);
  // Whoever asks about a fit sees its parts, whose weights the sentence leads to.
  const asked = fits.find(({ zone }) => store.provenance.value?.key === `fit/${zone.name}`)?.zone.name;
  useEffect(() => {
    if (asked !== undefined) open.value = asked;
  }, [asked]);
  if ((mission.landingZones ?? []).length === 0) return <p class="quiet">The plan names no landing zone.</p>;
  return (
    <section aria-labelledby="zones">
      <h2 id="zones">Zones, the best fit first</h2>
      <p class="quiet small">
        {answer === null
          ? 'The fit is being worked out.'
          : 'Each as if the canopy were steered to it, from its best exit.'}
      </p>
      <ol class="zones">
        {fits.map((fit, i) => (
          <li key={fit.zone.name}>
            <ZoneRow
              store={store}
              fit={fit}
              rank={i + 1}
              count={fits.length}
              open={open.value === fit.zone.name}
              onOpen={() => {
                open.value = open.value === fit.zone.name ? null : fit.zone.name;
                // With the parts goes the sentence on them: it would lead nowhere.
                if (store.provenance.value?.key.startsWith('fit/') === true) store.provenance.value = null;
              }}
            />
          </li>
        ))}
      </ol>
    </section>
  );
}

interface RowProps {
  readonly store: Store;
  readonly fit: ZoneFit;
  readonly rank: number;
  readonly count: number;
  readonly open: boolean;
  readonly onOpen: () => void;
}

export function ZoneRow({ store, fit, rank, count, open, onOpen }: RowProps): JSX.Element {
  const { zone, score, sentence } = fit;
  const reason = sentence.startsWith(`${zone.name}: `) ? sentence.slice(zone.name.length + 2) : sentence;
  const id = `zone-parts-${rank}`;
  return (
    <>
      <header>
        <span class="quiet">{rank}</span>
        <strong>{zone.name}</strong>
        <Word small aria-expanded={open} aria-controls={id} onClick={onOpen}>
          {open ? 'Close' : 'Scores'}
          <span class="said"> of {zone.name}</span>
        </Word>
        <Word small onClick={() => (store.goal.value = { position: fit.middle })}>
          Show<span class="said"> {zone.name} on the map</span>
        </Word>
        <span class="value">
          <Figure of={`fit/${zone.name}`} why={() => fitWhy(fit, rank, count)}>
            {number(100 * score)}
            <span class="small quiet"> of 100</span>
            <span class="said"> fit of {zone.name}</span>
          </Figure>
        </span>
      </header>
      <p class="small">{reason.charAt(0).toUpperCase() + reason.slice(1)}</p>
      <div id={id}>{open ? <Parts fit={fit} /> : null}</div>
    </>
  );
}

/** The parts of one zone; the weights are the plan's and count for every zone. */
function Parts({ fit }: { readonly fit: ZoneFit }): JSX.Element {
  return (
    <table class="limits parts">
      <Heads names={['Part and reason', 'score', 'weight']} />
      <tbody>
        {fit.parts.map((part) => (
          <tr key={part.part}>
            <td>
              {part.part} <span class="small quiet">{part.reason}</span>
            </td>
            <td>
              <Figure of={`fit/${fit.zone.name}/${part.part}`} why={() => partWhy(fit, part)}>
                {number(part.score, 2)}
                <span class="said">
                  {' '}
                  score of {part.part}, {fit.zone.name}
                </span>
              </Figure>
            </td>
            <td>
              <NumberField
                field={`zones.weight.${part.part}`}
                label={`Weight of ${part.part}`}
                path={['zoneWeights', part.part]}
                scale={scaleOf('', 100, 0.5)}
                value={part.weight}
              />
            </td>
          </tr>
        ))}
      </tbody>
    </table>
  );
}
