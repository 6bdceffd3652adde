// The ensemble behind the picture: started anew with each change that can move a landing, stopped when the next one
// comes, growing from 500 to 10 000 members. A picture of more members replaces one of fewer, never the other way
// round.
import { effect, untracked } from '@preact/signals';
import { EnsemblePool, type WorkerLike } from '../../core/work/pool.ts';
import type { Expected } from '../../core/mission/expected.ts';
import type { World } from '../../core/descent/scenario.ts';
import type { Mission } from '../../core/plan/schema.ts';
import { afterFrame, mapGoesFirst, pictureCame, pictureComes } from '../frame.ts';
import type { Store } from '../state/derived/store.ts';
import { pictureOf } from '../state/stored/decision.ts';
import { pictureDrawn } from './marks.ts';

export const MEMBERS = 10_000;
const FIRST = 500;
/** One seed for the window, as on the command line: the same mission gives the same picture. */
export const SEED = 1;
const WORKERS_MAX = 4;
/** Longer than a held key waits before it comes again. */
const HAND_RESTS_MS = 60;

export const workerCount = (): number => Math.max(1, Math.min(navigator.hardwareConcurrency, WORKERS_MAX));

/** What moves a landing or is counted among them; a limit or a note is not in it. */
function keyOf(mission: Mission, { outlook, spread }: Expected): string {
  const { jumper, carrier, landingZones, hazards } = mission;
  return JSON.stringify([jumper, outlook.scenario.exit, carrier, spread, landingZones, hazards]);
}

interface Wanted {
  readonly expected: Expected;
  readonly mission: Mission;
  readonly world: World;
  readonly key: string;
}

/** Runs until its answer is called. `pictured` is told when the first picture of a run stands on the screen. */
export function watchSpread(store: Store, makeWorker: () => WorkerLike, pictured: () => void): () => void {
  const pool = new EnsemblePool(Array.from({ length: workerCount() }, makeWorker));
  const { decision } = store;
  let turn = 0;
  let wanted: Wanted | null = null;

  const begin = (first: number): void => {
    const asked = wanted;
    if (asked === null) return;
    turn += 1;
    void fly(asked, turn, first);
  };
  let framed = false;
  let again = false;
  let resting = 0;
  /**
   * At once, but no more than once a frame: of the changes of one frame the last is flown. `withMap`: see
   * `pictureComes`.
   */
  const beginAtOnce = (withMap: boolean): void => {
    if (framed) {
      again = true;
      return;
    }
    framed = true;
    pictureComes(withMap);
    untracked(() => begin(FIRST));
    afterFrame(() => {
      framed = false;
      if (again) beginAtOnce(false);
      again = false;
    });
  };
  /**
   * While something is held and moved the machine is the map's: the landing's spread is flown where the hand rests.
   * After a report the landing itself is waited for: it is on the map before anything is flown about it.
   */
  const beginSoon = (edited: boolean): void => {
    window.clearTimeout(resting);
    const history = store.history.peek();
    const mine = turn;
    if (history !== null && history.merge !== null)
      resting = window.setTimeout(() => beginAtOnce(false), HAND_RESTS_MS);
    else if (edited) return beginAtOnce(true);
    else afterFrame(() => (turn === mine ? beginAtOnce(false) : undefined));
    mapGoesFirst();
  };
  const fly = async (asked: Wanted, mine: number, first: number): Promise<void> => {
    const { expected, mission } = asked;
    const { outlook, spread } = expected;
    const stopped = (): boolean => turn !== mine;
    decision.run.value = 'running';
    let pictures = 0;
    try {
      const setup = { scenario: outlook.scenario, error: outlook.error, spread, seed: SEED };
      for await (const progress of pool.run(setup, { members: MEMBERS, first, stopped })) {
        if (stopped()) return;
        decision.spread.value = pictureOf(progress.members, progress.total, mission);
        decision.trouble.value = null;
        pictures += 1;
        if (pictures === 1) {
          // Asked for first: the picture is there before what waited for it is drawn.
          const drawn = pictureDrawn();
          pictureCame();
          await drawn;
          if (stopped()) return;
          pictured();
        }
      }
      if (!stopped()) decision.run.value = 'done';
    } catch (error) {
      if (stopped()) return;
      decision.run.value = 'idle';
      decision.trouble.value = error instanceof Error ? error.message : String(error);
    }
  };

  const endChanges = effect(() => {
    const expected = store.expected.value;
    const mission = store.mission.value;
    const world = store.world.value;
    if (expected === null || mission === null || world === null) {
      wanted = null;
      turn += 1;
      window.clearTimeout(resting);
      decision.spread.value = null;
      decision.run.value = 'idle';
      return;
    }
    const key = keyOf(mission, expected);
    if (wanted !== null && wanted.world === world && wanted.key === key) return;
    const edited = wanted?.mission !== mission;
    wanted = { expected, mission, world, key };
    // The run before is stopped at once, its picture stays until the new one's first is there.
    turn += 1;
    decision.wanted.value = 'running';
    decision.run.value = 'running';
    beginSoon(edited);
  });
  const endStops = effect(() => {
    const want = decision.wanted.value;
    const run = decision.run.peek();
    if (want === 'stopped' && run === 'running') {
      turn += 1;
      again = false;
      window.clearTimeout(resting);
      decision.run.value = 'stopped';
    } else if (want === 'running' && run === 'stopped') begin(Math.max(FIRST, decision.spread.peek()?.done ?? FIRST));
  });
  return () => {
    endChanges();
    endStops();
    window.clearTimeout(resting);
    turn += 1;
    pool.terminate();
  };
}
