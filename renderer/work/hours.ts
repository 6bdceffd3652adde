// Which hour, worked out by a worker of its own that lives as long as the question: the verdict of the moment does not
// wait for it. The hours come one by one, and those that came stay when it is stopped.
import { computed, effect } from '@preact/signals';
import { answerOf, whenAsks } from '../../core/work/work.ts';
import type { WorkerLike } from '../../core/work/pool.ts';
import type { Store } from '../state/derived/store.ts';
import { until } from '../state/stored/until.ts';
import type { WhenQuestion } from '../state/stored/when.ts';

/** Answers its own end. */
export function watchHours(store: Store, makeWorker: () => WorkerLike): () => void {
  const { when } = store;
  const path = computed(() => store.file.value?.path ?? null);
  const endOther = effect(() => {
    // Another mission's hours must not stand under this one's name.
    void path.value;
    when.question.value = null;
    when.hours_s.value = [];
    when.hours.value = [];
    when.problems.value = [];
    when.day.value = null;
  });
  let worker: WorkerLike | null = null;
  const end = effect(() => {
    const question = when.question.value;
    worker?.terminate();
    worker = question === null ? null : makeWorker();
    if (question !== null && worker !== null) void work(store, question, worker);
  });
  return () => {
    end();
    endOther();
    worker?.terminate();
  };
}

async function work(store: Store, question: WhenQuestion, worker: WorkerLike): Promise<void> {
  const { when } = store;
  const isWanted = (): boolean => when.question.peek() === question;
  when.working.value = true;
  when.trouble.value = null;
  when.hours.value = [];
  try {
    for (const ask of whenAsks(question.asked)) {
      const answer = await worker.ask(ask);
      if (!isWanted()) return;
      if (ask.kind !== 'when') continue;
      const { hours_s, problems } = answerOf(answer, 'when');
      when.hours_s.value = hours_s;
      when.problems.value = problems;
    }
    for (const exit_s of when.hours_s.peek()) {
      await wordStands(store);
      if (!isWanted()) return;
      const answer = await worker.ask({ kind: 'when hours', hours_s: [exit_s] });
      if (!isWanted()) return;
      when.hours.value = [...when.hours.peek(), ...answerOf(answer, 'when hours').hours];
    }
    when.question.value = null;
  } catch (error) {
    if (!isWanted()) return;
    when.trouble.value = error instanceof Error ? error.message : String(error);
    when.question.value = null;
  } finally {
    if (when.question.peek() === null || isWanted()) when.working.value = false;
  }
}

/** The verdict of the moment goes first: while it is being checked no further hour is begun. */
const wordStands = ({ verdict }: Store): Promise<void> => until(() => verdict.value.kind !== 'checking');
