// How long until the next thing that the advice names: the window opens, its best exit, it closes; in the air the
// touchdown. Beside the advice and not in it: what is read out when it changes may not change every second.
import type { JSX } from 'preact';
import type { Advice } from '../../core/advice/advise.ts';
import { roughDuration, timer } from '../../core/words/times.ts';
import type { Store } from '../state/derived/store.ts';

export function CountDown({ store }: { readonly store: Store }): JSX.Element | null {
  const verdict = store.verdict.value;
  if (verdict.kind !== 'current') return null;
  const at_s = (store.moment_ms.value ?? store.now_ms.value) / 1000;
  const words = countDownWords(verdict.answer.advice, at_s);
  return words === null ? null : (
    <span class="count-down" id="count-down">
      {words}
    </span>
  );
}

/** "opens in 16:44"; null when nothing that the advice names lies ahead of `at_s` (UTC, seconds since 1970). */
export function countDownWords(advice: Advice, at_s: number): string | null {
  const next = named(advice).find(({ time_s }) => time_s > at_s);
  if (next === undefined) return null;
  const left_s = next.time_s - at_s;
  return `${next.words} in ${left_s < FAR_S ? timer(left_s) : roughDuration(left_s)}`;
}

function named({ basis, word, touchdown_s, exits, planned }: Advice): readonly Named[] {
  if (word === 'DOWN') return [];
  if (basis !== null) return touchdown_s === null ? [] : [{ words: 'touchdown', time_s: touchdown_s }];
  if (exits.window === null || exits.best === null)
    return planned === null ? [] : [{ words: 'planned exit', time_s: planned.exit.time_s }];
  return [
    { words: 'opens', time_s: exits.window.opens_s },
    { words: 'best', time_s: exits.best.exit.time_s },
    { words: 'closes', time_s: exits.window.closes_s },
  ];
}

/** From here on nobody counts seconds: days are said. */
const FAR_S = 2 * 86_400;

interface Named {
  readonly words: string;
  readonly time_s: number;
}
