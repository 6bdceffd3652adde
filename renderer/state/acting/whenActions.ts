// Which hour: asking for the hours of the forecasts, stopping, and taking one into the plan.
import type { MovedParts, WhenHour } from '../../../core/advice/when.ts';
import { WHEN_MEMBERS } from '../../../core/advice/when.ts';
import { roadLines } from '../../../core/formats/areas/areas.ts';
import { clock } from '../../../core/words/times.ts';
import { SEED } from '../derived/asked.ts';
import type { Store } from '../derived/store.ts';
import { put, type Json } from '../stored/json.ts';
import { editOnce } from './actions.ts';

/** Asks for every hour of the forecasts, as known at the moment that is shown. */
export function askHours(store: Store): void {
  const [mission, beside, plan] = [store.mission.peek(), store.beside.peek(), store.plan.peek()];
  if (mission === null || beside === null || plan === null) return;
  const { windSources, terrain } = beside;
  const asked = {
    mission,
    log: store.log.peek(),
    windSources,
    terrain,
    unread: store.unread.peek(),
    roads: roadLines(beside.roads),
    at_s: store.shown_s.peek(),
    seed: SEED,
    members: WHEN_MEMBERS,
  };
  store.when.about.value = plan;
  store.when.question.value = { asked, plan };
}

export const stopHours = ({ when }: Store): void => void (when.question.value = null);

/** The plan with the exit of an hour, and what moves with it. */
export function putHour(plan: Json, { exit, carrier, gondola }: MovedParts): Json {
  const release = gondola?.release;
  const moved: readonly (readonly [path: readonly string[], value: Json | undefined])[] = [
    [['exit', 'time'], exit.time],
    [['exit', 'position'], [...exit.position]],
    [['exit', 'altitude_m'], exit.altitude_m],
    ...(carrier?.kind === 'balloon' ? [[['carrier', 'launch', 'time'], carrier.launch.time] as const] : []),
    ...(carrier?.kind === 'aircraft'
      ? [
          [['carrier', 'time'], carrier.time] as const,
          [['carrier', 'through'], carrier.through === undefined ? undefined : [...carrier.through]] as const,
        ]
      : []),
    ...(release !== undefined && 'time' in release ? [[['gondola', 'release', 'time'], release.time] as const] : []),
  ];
  return moved.reduce((next, [path, value]) => (value === undefined ? next : put(next, path, value)), plan);
}

/** The hours stay what they are: only the exit moved to one of them. */
export function takeHour(store: Store, hour: WhenHour): void {
  const current = store.plan.peek() === store.when.about.peek();
  const done = editOnce(store, `exit at ${clock(hour.exit_s, store.units.peek())}`, (plan) => putHour(plan, hour.plan));
  if (done.ok && current) store.when.about.value = store.plan.peek();
}
