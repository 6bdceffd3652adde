// The ensemble behind the picture, growing from 500 to 10 000 members: flown for each change that can move a landing or
// its count.
import { effect } from '@preact/signals';
import { EnsemblePool, type Progress, type WorkerLike } from '../../core/work/pool.ts';
import { contoursOf } from '../../core/descent/density.ts';
import { statisticsOf } from '../../core/descent/statistics.ts';
import type { Store } from '../state/derived/store.ts';
import type { SpreadAsked, SpreadPicture } from '../state/stored/decision.ts';
import { until } from '../state/stored/until.ts';
import { Latest } from './latest.ts';
import { pictureDrawn } from './marks.ts';

export const MEMBERS = 10_000;
const FIRST = 500;
const WORKERS_MAX = 4;
export const CONTOUR_SHARES = [0.5, 0.9] as const;

const workerCount = (): number => Math.max(1, Math.min(navigator.hardwareConcurrency, WORKERS_MAX));

export function pictureOf({ members, total }: Progress, { zones, hazards }: SpreadAsked): SpreadPicture {
  const dots = new Float32Array(2 * members.count);
  let n = 0;
  for (let i = 0; i < members.count; i++) {
    const lon = members.lon_deg[i] ?? NaN;
    if (lon !== lon) continue;
    dots[n++] = lon;
    dots[n++] = members.lat_deg[i] ?? NaN;
  }
  return {
    done: members.count,
    total,
    statistics: statisticsOf(members, zones, hazards),
    contours: contoursOf(members, CONTOUR_SHARES),
    dots: dots.subarray(0, n),
  };
}

/** Runs until its answer is called. */
export function watchSpread(store: Store, makeWorker: () => WorkerLike): () => void {
  const makePool = (): EnsemblePool => new EnsemblePool(Array.from({ length: workerCount() }, makeWorker));
  let pool = makePool();
  const { decision } = store;
  const latest = new Latest<SpreadAsked, Progress>(
    (asked, left) => pool.run(asked.setup, { members: MEMBERS, first: FIRST, stopped: left }),
    {
      answer: async (progress, asked) => {
        decision.spread.value = pictureOf(progress, asked);
        if (progress.done > FIRST) return;
        // More is flown when the first picture stands on the screen and what a person waits for has come: the word, and
        // the crews' board of this moment.
        const moment = store.momentAsked.peek();
        await pictureDrawn();
        const hasWord = (): boolean => store.verdict.value.kind !== 'checking';
        const hasBoard = (): boolean => store.recovery.working.value === null || store.momentAsked.value !== moment;
        await until(() => store.spreadAsked.value !== asked || (hasWord() && hasBoard()));
      },
      done: () => (decision.run.value = 'done'),
      fault: (why) => {
        pool.terminate();
        pool = makePool();
        decision.run.value = 'idle';
        decision.trouble.value = why;
      },
    },
  );
  let asked: SpreadAsked | null = null;
  const end = effect(() => {
    const now = store.spreadAsked.value;
    // Another question starts a run that was stopped.
    if (now !== asked) decision.wanted.value = 'running';
    asked = now;
    if (now === null) decision.spread.value = null;
    const wanted = decision.wanted.value === 'running';
    latest.want(wanted ? now : null);
    decision.run.value = now === null ? 'idle' : wanted ? 'running' : 'stopped';
  });
  return () => {
    end();
    latest.want(null);
    pool.terminate();
  };
}
