// Which winds decide, in one line of the column's legend: what the bars at the chart's right mean, and where the most
// of them is.
import type { JSX } from 'preact';
import { useMemo } from 'preact/hooks';
import { Teller } from '../parts/Teller.tsx';
import { askWhyIn } from '../state/acting/actions.ts';
import { uncertainInputs } from '../state/explaining/decideWhy.ts';
import type { Store } from '../state/derived/store.ts';
import type { Provenance } from '../state/stored/tellers.ts';
import { decidesWords } from './decides.ts';

const HOW =
  'One pass back along the predicted descent gives how far 1 m/s of wind in each layer moves the landing: ' +
  'the bars. With the error of the wind at each height, as the reports leave it, that is each layer’s part ' +
  'of the spread.';

export function DecidingLine({ store }: { readonly store: Store }): JSX.Element | null {
  const mission = store.mission.value;
  const k = store.decision.advice.value?.sensitivity ?? null;
  const error = store.outlook.value?.error ?? null;
  const units = store.units.value;
  const ground_m = mission?.site.elevation_m ?? 0;
  const words = useMemo(
    () => (k === null || error === null ? null : decidesWords(k, error, units, ground_m)),
    [k, error, units, ground_m],
  );
  if (words === null || mission === null) return null;
  const why = (): Provenance => ({
    key: 'deciding',
    title: 'The winds that decide',
    sentence: HOW,
    inputs: uncertainInputs(mission, units),
  });
  const open = (): void => askWhyIn(store, 'Descent', why());
  return (
    <li>
      <svg width={18} height={10} aria-hidden="true">
        <path d="M6 0H18V4H6ZM11 5H18V9H11Z" fill="var(--spread)" fill-opacity={0.45} />
      </svg>
      <button
        type="button"
        class="num deciding"
        data-number="deciding"
        onClick={open}
        title="What the bars at the right of the chart say"
      >
        {words}
        {store.provenance.value?.key === 'deciding' ? <Teller store={store} why={why} /> : null}
      </button>
    </li>
  );
}
