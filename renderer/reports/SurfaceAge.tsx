// The notice that the winds near the ground are older than the mission's limit: where the reports are, and in the wind
// column.
import type { JSX } from 'preact';
import { limitsOf } from '../../core/advice/limits.ts';
import { useStore } from '../context.ts';
import type { Store } from '../state/derived/store.ts';
import { age } from '../../core/words/times.ts';

/** The sentence, or null while the newest surface wind is young enough. */
export function surfaceAgeSentence(store: Store): string | null {
  const situation = store.situation.value;
  if (situation === null) return null;
  const { mission, winds } = situation;
  const limit_s =
    limitsOf(mission.jumper, mission.limits).limits.find((limit) => limit.name === 'surfaceWindAge_s')?.number ?? NaN;
  const { newestSurface } = winds;
  if (newestSurface === null) return 'No surface wind has been reported: the wind near the ground is the forecast’s.';
  // By the minute, as ages are shown: the situation itself goes on with it.
  if (!(newestSurface.age_s > limit_s)) return null;
  const who = newestSurface.report.event.by ?? newestSurface.report.event.source.replace('-', ' ');
  return (
    `The newest surface wind (${who}, ${newestSurface.report.id}) is ${age(newestSurface.age_s)} old; the ` +
    `limit is ${age(limit_s)}.`
  );
}

export function SurfaceAge(): JSX.Element | null {
  const sentence = surfaceAgeSentence(useStore());
  return sentence === null ? null : (
    <p class="small caution-words" role="status">
      {sentence}
    </p>
  );
}
