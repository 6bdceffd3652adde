// What a person does, as functions of the store: open, save, edit, undo, attach, note. Each says what happened; nothing
// throws at what the desk refuses.
import { batch } from '@preact/signals';
import type { LogEvent, NewEvent } from '../../../core/log/events.ts';
import type { OpenedMission, Outcome } from '../../../main/contract.ts';
import { loadBeside, readPlan, withFile, type WindFileChosen } from '../../model.ts';
import { clockNow_ms, ownClockOf, stampOf } from '../stored/clock.ts';
import { draftOf, keepDraft, type Draft } from '../stored/drafts.ts';
import { addFile, removeFile } from '../stored/edits.ts';
import { fieldSelector, focusWhenDrawn } from './focus.ts';
import { withRecent } from '../stored/view.ts';
import { cancelled, closed, edited, opened, redone, undone } from '../stored/history.ts';
import { at, type Json } from '../stored/json.ts';
import { markWindChanged } from '../../work/marks.ts';
import type { Store } from '../derived/store.ts';
import type { Provenance } from '../stored/tellers.ts';

export function say(store: Store, text: string, amiss = false): void {
  store.notice.value = { text, amiss };
}

// Edits

export type Edited = { readonly ok: true } | { readonly ok: false; readonly why: string };

/**
 * Changes the plan, one step of undo; edits of one `merge` name in a row are one step. A change that would leave a plan
 * that cannot be read is refused, with the reason: the plan in the window can always be flown.
 */
export function edit(store: Store, label: string, change: (plan: Json) => Json, merge: string | null = null): Edited {
  const started = performance.now();
  const history = store.history.peek();
  if (history === null) return { ok: false, why: 'No mission is open.' };
  const next = change(history.present.plan);
  if (next === history.present.plan) return { ok: true };
  const { mission, problems } = store.reading(next);
  if (mission === null) return { ok: false, why: problems[0]?.text ?? 'The plan would not be readable.' };
  store.history.value = edited(history, next, label, merge);
  if (at(next, ['winds']) !== at(history.present.plan, ['winds'])) markWindChanged(started);
  return { ok: true };
}

export function endEdit(store: Store): void {
  const history = store.history.peek();
  if (history !== null) store.history.value = closed(history);
}

/** A change that is whole at once; a refusal is said. */
export function editOnce(store: Store, label: string, change: (plan: Json) => Json): Edited {
  const done = edit(store, label, change);
  endEdit(store);
  if (!done.ok) say(store, done.why, true);
  return done;
}

/** Takes back what was typed since the field got the caret. */
export function cancelEdit(store: Store): void {
  const history = store.history.peek();
  if (history !== null) store.history.value = cancelled(history);
}

export function undo(store: Store): void {
  const history = store.history.peek();
  if (history === null) return;
  if (history.past.length === 0) return say(store, nothingToUndo(store));
  store.history.value = undone(history);
  say(store, `Undone: ${history.present.label}.`);
}

/** The log is not undone: a report is withdrawn, a call or a fix annulled. */
function nothingToUndo(store: Store): string {
  const last = store.situation.peek()?.state.reports.at(-1)?.id;
  const how = last === undefined ? '' : ` A report in the log stays: “withdraw ${last}” and why takes it out.`;
  return `Nothing of the plan to undo.${how}`;
}

export function redo(store: Store): void {
  const history = store.history.peek();
  if (history === null) return;
  const [next] = history.future;
  if (next === undefined) return say(store, 'Nothing to redo.');
  store.history.value = redone(history);
  say(store, `Done again: ${next.label}.`);
}

// Opening

export async function openPath(store: Store, path: string): Promise<void> {
  await openOutcome(store, 'Opening the mission…', store.desk.call('mission/open', path));
}

/** The host's own dialog; where it has none, the window's list with a line for a path. */
export async function choose(store: Store): Promise<void> {
  if (store.about.peek()?.dialogs !== true) {
    store.floating.value = 'open';
    return;
  }
  await openOutcome(store, 'Opening a mission…', store.desk.call('mission/choose'));
}

/** A new mission from a plan, in a folder of its own, and opened. Answers whether it is there. */
export async function createMission(store: Store, name: string, plan: Json): Promise<boolean> {
  await openOutcome(store, 'Making the mission…', store.desk.call('mission/create', name, planText(plan)));
  return store.mission.peek()?.name === name;
}

/** Shows what the desk opened; answers whether it did. */
export async function openOutcome(
  store: Store,
  sentence: string,
  answer: Promise<Outcome<OpenedMission>>,
): Promise<boolean> {
  store.busy.value = sentence;
  try {
    const outcome = await answer;
    if (outcome.ok) {
      await show(store, outcome.value);
      return true;
    }
    if (store.file.peek() === null) store.trouble.value = outcome.why;
    else say(store, outcome.why, true);
  } catch (error) {
    fail(store, 'The mission could not be opened', error);
  } finally {
    store.busy.value = null;
  }
  return false;
}

async function show(store: Store, from: OpenedMission): Promise<void> {
  const reading = readPlan(from.planText);
  const beside = await loadBeside(from, reading.mission);
  const { plan } = reading;
  if (plan === null || reading.mission === null) {
    const first = reading.problems[0]?.text ?? 'nothing of it could be read';
    const text = `${from.path} is not a mission that can be shown: ${first}`;
    if (store.file.peek() === null) store.trouble.value = text;
    else say(store, text, true);
    return;
  }
  const draft = draftOf(store.kept, from.path);
  const demo = store.demos.peek().some((one) => one.path === from.path);
  const isExercise = demo || reading.mission.rehearsal === true;
  const ownClock_ms = ownClockOf(reading.mission, beside.log, isExercise, Date.now());
  store.arrivals.clear();
  batch(() => {
    store.ownClock_ms.value = ownClock_ms;
    store.now_ms.value = Date.now() + ownClock_ms;
    store.trouble.value = null;
    store.notice.value = null;
    store.floating.value = null;
    store.provenance.value = null;
    store.chosenLevel.value = null;
    store.chosenColumn.value = null;
    store.pointedHeight_m.value = null;
    store.slice_m.value = null;
    store.decision.whatIf.value = null;
    store.decision.unlogged.value = null;
    store.decision.logTroubles.value = [];
    store.moment_ms.value = null;
    store.beside.value = beside;
    store.log.value = beside.log;
    store.history.value = opened(plan);
    store.file.value = { path: from.path, demo, saved: plan, savedAt: null, digest: from.digest };
    store.view.lastPath.value = from.path;
    if (!demo)
      store.view.recent.value = withRecent(store.view.recent.peek(), {
        path: from.path,
        name: reading.mission?.name ?? '',
      });
    if (draft !== null) restore(store, plan, draft);
  });
}

/** Brings back what was not saved last time, as one step of undo, if the file is still the one that it was made on. */
function restore(store: Store, plan: Json, draft: Draft): void {
  if (draft.base !== planText(plan)) {
    say(
      store,
      'The mission was changed on the disk since; changes of last time that were not saved are left out.',
      true,
    );
    return;
  }
  const was = readPlan(draft.text).plan;
  if (was === null) return;
  const done = edit(store, 'changes of last time', () => was);
  if (done.ok) say(store, 'Changes that were not saved last time are back. Ctrl+Z takes them out, Ctrl+S saves them.');
}

/** Keeps what is not saved for the next start; called as the plan changes. */
export function keepUnsaved(store: Store): void {
  const file = store.file.peek();
  const plan = store.plan.peek();
  if (file === null || plan === null) return;
  keepDraft(
    store.kept,
    plan === file.saved ? null : { path: file.path, base: planText(file.saved), text: planText(plan) },
  );
}

function fail(store: Store, what: string, error: unknown): void {
  say(store, `${what}: ${error instanceof Error ? error.message : String(error)}`, true);
}

// Saving

export const planText = (plan: Json): string => `${JSON.stringify(plan, null, 2)}\n`;

export async function save(store: Store): Promise<void> {
  const file = store.file.peek();
  const plan = store.plan.peek();
  if (file === null || plan === null) return;
  store.busy.value = 'Saving…';
  try {
    const outcome = await store.desk.call(
      'mission/save',
      file.path,
      planText(plan),
      ...(file.digest === undefined ? [] : [file.digest]),
    );
    if (!outcome.ok) {
      say(store, `Not saved: ${outcome.why}`, true);
      return;
    }
    const { path, savedAt, digest, note } = outcome.value;
    batch(() => {
      store.file.value = { path, demo: file.demo && path === file.path, saved: plan, savedAt, digest };
      store.view.lastPath.value = path;
      endEdit(store);
      if (note !== undefined) say(store, note);
    });
  } catch (error) {
    fail(store, 'Not saved', error);
  } finally {
    store.busy.value = null;
  }
}

// Wind files

/**
 * Puts wind files beside the mission and names them in the plan, in one step of undo each; what is wrong with them is
 * shown.
 */
export async function attach(store: Store, files: readonly WindFileChosen[]): Promise<void> {
  for (const file of files) await attachOne(store, file);
}

async function attachOne(store: Store, file: WindFileChosen): Promise<void> {
  const { name } = file;
  const open = store.file.peek();
  const mission = store.mission.peek();
  const beside = store.beside.peek();
  if (open === null || mission === null || beside === null)
    return say(store, 'Open a mission first; a wind file belongs to one.', true);
  store.busy.value = `Reading ${name}…`;
  try {
    const read = await withFile(beside, mission, { name, bytes: await file.read() });
    const first = read.problems[0];
    if (!read.useful) {
      say(
        store,
        `${name} gives no wind that can be used; nothing was changed. ` +
          sentenceOf(first ?? 'no level was found in it'),
        true,
      );
      return;
    }
    const outcome = await store.desk.call('mission/attach', open.path, name, await file.read());
    if (!outcome.ok) {
      say(store, `${name} was not taken: ${outcome.why}`, true);
      return;
    }
    const stored = outcome.value.name;
    const placed = stored === name ? read : await withFile(beside, mission, { name: stored, bytes: await file.read() });
    batch(() => {
      store.beside.value = placed.beside;
      edit(store, `${stored} added`, (plan) => addFile(plan, stored));
      endEdit(store);
      const more = read.problems.length - 1;
      const wrong =
        first === undefined ? '' : ` ${sentenceOf(first)}${more > 0 ? ` ${more} more under Problems.` : ''}`;
      say(store, `${stored}: ${read.summary}.${wrong}`, first !== undefined);
    });
  } catch (error) {
    fail(store, `${name} was not taken`, error);
  } finally {
    store.busy.value = null;
  }
}

const sentenceOf = (text: string): string =>
  `${text.charAt(0).toUpperCase()}${text.slice(1)}${/[.!?…]$/.test(text) ? '' : '.'}`;

/** The plan no longer names a wind file; the file itself stays where it lies. */
export function detach(store: Store, name: string): void {
  const done = edit(store, `${name} taken out`, (plan) => removeFile(plan, name));
  endEdit(store);
  store.chosenColumn.value = null;
  store.chosenLevel.value = null;
  say(
    store,
    done.ok ? `${name} no longer counts; the file stays beside the mission, and Ctrl+Z brings it back.` : done.why,
    !done.ok,
  );
}

// The log

export const note = (store: Store, text: string): Promise<boolean> => append(store, { kind: 'note', text });

export const append = async (store: Store, event: NewEvent): Promise<boolean> =>
  (await appendAll(store, [event])) === 1;

/** Writes events into the log one after the other, until one is refused. Answers how many are on the disk. */
export async function appendAll(store: Store, events: readonly NewEvent[]): Promise<number> {
  let done = 0;
  for (const event of events) {
    const path = store.file.peek()?.path;
    if (path === undefined) return done;
    try {
      const ownClock_ms = store.ownClock_ms.peek();
      const at = stampOf(clockNow_ms(store.paced.peek(), ownClock_ms), ownClock_ms);
      const outcome = await store.desk.call('log/append', path, event, ...(at === undefined ? [] : [at]));
      if (!outcome.ok) {
        notLogged(store, outcome.why);
        return done;
      }
      store.decision.unlogged.value = null;
      logged(store, outcome.value);
      done += 1;
    } catch (error) {
      notLogged(store, error instanceof Error ? error.message : String(error));
      return done;
    }
  }
  return done;
}

/** The word knows nothing of an event that is not in the log: it is held until something is logged again. */
function notLogged(store: Store, why: string): void {
  say(store, `Not logged: ${why}`, true);
  store.decision.unlogged.value = `What was entered last is not in the log: ${why}`;
}

/** An event that is on the disk, from this window or another; each is taken once. */
export function logged(store: Store, event: LogEvent): void {
  // Of two windows on one exercise the one whose clock is behind follows the other.
  const ahead_ms = Date.parse(event.at) - (Date.now() + store.ownClock_ms.peek());
  const isOwn = store.ownClock_ms.peek() !== 0 && store.paced.peek() === null;
  if (isOwn && ahead_ms > 0) store.ownClock_ms.value += ahead_ms;
  store.arrivals.take(event);
}

// Where numbers come from

export function askWhy(store: Store, provenance: Provenance): void {
  store.provenance.value = store.provenance.peek()?.key === provenance.key ? null : provenance;
}

/** The same of a number that stands outside the desk: the panel comes forward that has its explanation. */
export function askWhyIn(store: Store, panel: string, provenance: Provenance): void {
  if (store.view.panel.peek() === panel) return askWhy(store, provenance);
  batch(() => {
    store.view.panel.value = panel;
    store.provenance.value = provenance;
  });
}

function panelOf(group: string | undefined): string {
  if (group === 'limits' || group === 'zones') return 'Zones';
  return group === 'cases' ? 'Cases' : group === 'crew' ? 'Crews' : 'Descent';
}

/** Opens the field's group on the desk and puts the caret into it. */
export function goToField(store: Store, field: string): void {
  batch(() => {
    store.provenance.value = null;
    const group = field.split('.')[0];
    store.view.panel.value = panelOf(group);
    // A crew's place stands among its details.
    const crew = /^crew\.(.+)\.standby$/.exec(field)?.[1];
    if (crew !== undefined) store.recovery.openCrews.value = new Set([...store.recovery.openCrews.peek(), crew]);
    if (group === 'exit' || group === 'body' || group === 'canopy' || group === 'uncertainty')
      store.inputGroup.value = group;
  });
  focusWhenDrawn(fieldSelector(field));
}
