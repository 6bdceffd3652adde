// What to observe next: the usual observations, ranked by how much each would shrink the 90 % area of the drift
// landing.
import { useEffect, useState } from 'preact/hooks';
import type { JSX } from 'preact';
import { rankingWords, type Ranked } from '../../core/winds/observe.ts';
import { useStore } from '../context.ts';
import { wantedObservations, type Wanted } from '../state/derived/observe.ts';
import { number, quantity, THIN } from '../../core/words/numbers.ts';
import { Heads } from '../parts/rows.tsx';

export function Observe(): JSX.Element {
  const store = useStore();
  const situation = store.situation.value;
  const world = store.world.value;
  const [wanted, setWanted] = useState<Wanted | null>(null);
  const at_s = situation?.at_s;
  useEffect(() => {
    // After the frame that shows what moved: this may wait, the landing may not.
    const waiting = window.setTimeout(() => {
      const now = store.situation.peek();
      setWanted(now === null || world === null ? null : wantedObservations(now, world));
    }, 30);
    return () => window.clearTimeout(waiting);
  }, [store, world, at_s]);
  if (wanted === null) return <p class="quiet">Working out what would help most…</p>;
  if (wanted.kind === 'unknown') return <p class="quiet">{wanted.why}</p>;
  const [first] = wanted.ranked;
  return (
    <section aria-label="What to observe next" class="observe">
      <p role="status">{rankingWords(wanted.ranked).replaceAll(' %', `${THIN}%`)}</p>
      <table>
        <Heads names={['Observed now', `shrinks the 90${THIN}% area by`]} />
        <tbody>
          {wanted.ranked.map((one) => (
            <Line key={one.candidate.name} ranked={one} />
          ))}
        </tbody>
      </table>
      {first === undefined ? null : (
        <p class="small quiet">
          The 90{THIN}% area of a drifting landing is {areaWords(first.before_m2)} now. The order follows from where the
          wind is still uncertain and how far each height moves the landing, not from what an observation will say.
        </p>
      )}
    </section>
  );
}

function Line({ ranked }: { readonly ranked: Ranked }): JSX.Element {
  const { name } = ranked.candidate;
  const share = Math.max(0, ranked.shrinks);
  return (
    <tr>
      <td class="wrap">{name.charAt(0).toUpperCase() + name.slice(1)}</td>
      <td>
        <svg width={84} height={10} aria-hidden="true">
          <path d="M0 9.5H84" stroke="var(--line)" />
          <rect x={0} y={1} width={Math.max(share > 0.005 ? 1 : 0, share * 84)} height={8} fill="var(--spread)" />
        </svg>{' '}
        <span class="shrinks">{share < 0.005 ? `under 1${THIN}%` : quantity(share * 100, '%')}</span>
      </td>
    </tr>
  );
}

const areaWords = (area_m2: number): string =>
  area_m2 < 100_000 ? quantity(area_m2 / 10_000, 'ha', 1) : `${number(area_m2 / 1e6, 1)}${THIN}km²`;
