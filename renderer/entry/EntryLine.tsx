// One line, always a key away: a wind, a note, a place, a command; beside it what was understood, or what just
// happened. A wind that can be understood in two ways is asked about: Enter, then one key a question.
import { useSignal, type Signal } from '@preact/signals';
import type { JSX } from 'preact';
import { questionWords } from '../../core/formats/messages/hear.ts';
import type { CalledContext } from '../../core/formats/messages/called.ts';
import type { Mission } from '../../core/plan/schema.ts';
import { RAD_PER_DEG, type LonLat } from '../../core/base/units.ts';
import { declination_deg } from '../../core/earth/declination.ts';
import { reportContext, type Answers, type NewReport } from '../../core/formats/messages/report.ts';
import { correctionText } from '../../core/formats/messages/report/correction.ts';
import { nextReportId } from '../../core/log/fold.ts';
import { isConfirmable } from '../../core/winds/meanings.ts';
import { answersTo } from '../../core/winds/answers.ts';
import type { HeldReport, WindQuestion } from '../../core/winds/now.ts';
import { useStore } from '../context.ts';
import { edit, endEdit, note, say } from '../state/acting/actions.ts';
import { commands } from '../state/acting/commands.ts';
import { moveExit, setExitHeight } from '../state/stored/edits.ts';
import { annul, answerAll, beginLine, confirm, logCalled, logReport, withdraw } from '../state/acting/reportActions.ts';
import { newestQuestion } from '../state/derived/reports.ts';
import type { Store } from '../state/derived/store.ts';
import { columnsOf, nearestInTime } from '../state/derived/winds.ts';
import { height } from '../../core/words/lengths.ts';
import { offset_s } from '../../core/words/times.ts';
import { namedSources } from '../model.ts';
import { panelNames } from '../panels/table.ts';
import { addByHand } from '../winds/LevelEditor.tsx';
import { formsFor } from './forms.ts';
import { WindArrow } from './WindArrow.tsx';
import { EXAMPLES, heightOf, readEntry, readingBack, type Entry, type EntryContext } from './read.ts';

function contextOf(store: Store): EntryContext {
  const mission = store.mission.value;
  // What is typed is of now, also while the past is looked at.
  const now_s = Math.floor(store.now_ms.value / 1000);
  const zone = mission?.site.timeZone;
  const turned = mission === null ? null : declination_deg(mission.site.position, mission.site.elevation_m, now_s);
  const { state, winds } = store.situation.value ?? {};
  const landing = store.prediction.value?.landing?.position;
  const reports = state?.reports ?? [];
  return {
    units: store.units.value,
    ground_m: mission?.site.elevation_m ?? 0,
    commands: commands(panelNames),
    reports: {
      find: (id) => state?.byId.get(id) ?? reports.findLast((one) => one.id.toLowerCase() === id.toLowerCase()) ?? null,
      held: winds?.held ?? [],
      newest: reports
        .slice(-4)
        .map((one) => one.id)
        .reverse(),
    },
    ...(mission === null ? {} : { called: calledContext(store, mission, now_s) }),
    report:
      mission === null
        ? null
        : reportContext(mission, state ?? null, {
            now_s,
            declination_deg: turned?.kind === 'known' ? turned.deg : null,
            nextId: nextReportId(reports),
            localOffset_s: offset_s(now_s, zone) ?? 0,
            groundAt: (place) => groundAt(store, mission, place),
            ...(landing === undefined ? {} : { landing }),
          }),
  };
}

function calledContext(store: Store, mission: Mission, now_s: number): CalledContext {
  return {
    now_s,
    site: mission.site.position,
    teams: (mission.teams ?? []).map(({ name }) => name),
    groundAt: (place) => groundAt(store, mission, place),
  };
}

/** Height of the ground at a place, m MSL; of no place and without terrain: the site's. */
function groundAt(store: Store, mission: Mission, place: LonLat | null): number {
  const ground = store.world.value?.ground;
  if (place === null || ground === undefined) return mission.site.elevation_m;
  return ground.heightAt(place[1] * RAD_PER_DEG, place[0] * RAD_PER_DEG);
}

type Doable = Exclude<Entry, { kind: 'nothing' | 'unknown' | 'asked' }>;

/** The answers to a line's questions hold for that line alone. */
interface Answered {
  readonly text: string;
  readonly answers: Answers;
}

interface Sent {
  readonly text: string;
  /** The notice says why; the line stands there to be sent again. */
  readonly refused: boolean;
}

interface Line {
  readonly store: Store;
  readonly text: Signal<string>;
  readonly answered: Signal<Answered>;
  /** The line whose question the next key answers; null: keys are text. */
  readonly asking: Signal<string | null>;
  /** The line that is on its way to the log, or did not get there. */
  readonly sent: Signal<Sent | null>;
}

const answersOf = ({ text, answered }: Line): Answers =>
  answered.value.text === text.value ? answered.value.answers : {};
const isAsking = ({ store, text, asking }: Line): boolean =>
  asking.value !== null && asking.value === text.value && (text.value !== '' || heldNow(store) !== null);

function clear({ text, answered, asking }: Line): void {
  text.value = '';
  answered.value = { text: '', answers: {} };
  asking.value = null;
}

/**
 * Does what a line means, and clears it. What goes to the log stays until it is on the disk: what could not be logged
 * is not lost, and its going shows with what it moved. What was typed behind it meanwhile, or was begun in its place,
 * stays.
 */
async function leave(line: Line, entry: Doable): Promise<void> {
  const { store, text, sent } = line;
  const mine = text.peek();
  const logging = perform(store, entry);
  if (logging !== null) {
    sent.value = { text: mine, refused: false };
    const done = await logging;
    sent.value = done ? null : { text: mine, refused: true };
    if (!done) return;
  }
  if (!text.peek().startsWith(mine)) return;
  const behind = text.peek().slice(mine.length);
  clear(line);
  text.value = behind;
}

export function EntryLine(): JSX.Element {
  const store = useStore();
  const line: Line = {
    store,
    text: store.entryText,
    answered: useSignal<Answered>({ text: '', answers: {} }),
    asking: useSignal<string | null>(null),
    sent: useSignal<Sent | null>(null),
  };
  const { text, asking, sent } = line;
  // Read only what is typed: an empty line follows neither the clock nor the plan.
  const context = text.value === '' ? null : contextOf(store);
  const entry: Entry = context === null ? { kind: 'nothing' } : readEntry(text.value, context, answersOf(line));
  const submit = (event: Event): void => {
    event.preventDefault();
    if (entry.kind === 'nothing') {
      if (text.value === '' && heldNow(store) !== null) asking.value = '';
      return;
    }
    if (entry.kind === 'unknown') return say(store, entry.why, true);
    if (entry.kind === 'asked') {
      asking.value = text.value;
      return;
    }
    // Enter pressed twice enters once.
    const before = sent.peek();
    if (before !== null && !before.refused && before.text === text.value) return;
    void leave(line, entry);
  };
  return (
    <section class="entry" aria-label="Entry">
      <form onSubmit={submit}>
        <kbd aria-hidden="true">/</kbd>
        <input
          id="entry-line"
          value={text.value}
          readOnly={isAsking(line)}
          onInput={(event) => (text.value = event.currentTarget.value)}
          onKeyDown={(event) => onKeyDown(event, line, entry)}
          placeholder="A wind, a call, a fix, a note, a command"
          aria-label="Entry line"
          aria-describedby="entry-words"
          autocomplete="off"
          spellcheck={false}
        />
      </form>
      <Words line={line} entry={entry} context={context} />
    </section>
  );
}

function onKeyDown(event: JSX.TargetedKeyboardEvent<HTMLInputElement>, line: Line, entry: Entry): void {
  const { text, answered, asking } = line;
  // While something is typed here, undo is the text's own.
  if (text.value !== '' && (event.ctrlKey || event.metaKey) && event.key.toLowerCase() === 'z') event.stopPropagation();
  // The key that goes to this line, pressed once more: it is not text.
  if (event.key === '/' && text.value === '') event.preventDefault();
  if (event.key === 'Escape') {
    event.stopPropagation();
    if (isAsking(line)) asking.value = null;
    else if (text.value !== '') clear(line);
    else event.currentTarget.blur();
    return;
  }
  const held = text.value === '' && isAsking(line) ? heldNow(line.store) : null;
  if (held !== null && event.key !== 'Tab' && !event.ctrlKey && !event.altKey && !event.metaKey) {
    event.preventDefault();
    return decideHeld(line, held, event.key);
  }
  if (!isAsking(line) || entry.kind !== 'asked' || event.ctrlKey || event.altKey || event.metaKey) return;
  const chosen = entry.question.keys.find(({ key }) => key.toLowerCase() === event.key.toLowerCase());
  if (event.key !== 'Tab') event.preventDefault();
  if (chosen === undefined) return;
  answered.value = { text: text.value, answers: { ...answersOf(line), ...chosen.resolves } };
  // Where another question is open it is asked at once; after the last one the line is entered: Enter was pressed.
  const next = readEntry(text.value, contextOf(line.store), answersOf(line));
  asking.value = next.kind === 'asked' ? text.value : null;
  if (next.kind === 'unknown') say(line.store, next.why, true);
  else if (next.kind !== 'nothing' && next.kind !== 'asked') void leave(line, next);
}

/** The newest report that is held back, where the empty line may decide about it; null where none is. */
const heldNow = (store: Store): HeldReport | null =>
  store.past.value ? null : (store.situation.value?.winds.held.at(-1) ?? null);

/** The question about a whole observer that it is part of; null where it is asked about alone. */
function wholeNow(store: Store): WindQuestion | null {
  const question = newestQuestion(store.situation.value?.winds);
  return question === null || question.ids.length === 1 ? null : question;
}

const heldKeys = ({ kind }: HeldReport): string =>
  `${isConfirmable(kind) ? 'C confirms it, ' : ''}E corrects it, W withdraws it`;

function heldWordsOf(line: Line): string {
  const held = line.text.value === '' ? heldNow(line.store) : null;
  if (held === null) return '';
  const whole = wholeNow(line.store);
  if (whole !== null)
    return isAsking(line) ? `${whole.sentence} Esc goes back.` : `Enter, then one key: ${whole.sentence}`;
  return isAsking(line)
    ? `${held.sentence} ${heldKeys(held)}. Esc goes back.`
    : `${held.report.id} is held back. Enter, then one key: ${heldKeys(held)}.`;
}

/** One key for the report that is held back, after Enter on the empty line. */
function decideHeld(line: Line, held: HeldReport, key: string): void {
  const { store, asking } = line;
  const { report } = held;
  const whole = wholeNow(store);
  if (whole !== null) {
    const all = answersTo(whole, store.situation.value?.winds.held ?? []);
    const chosen = all.find((one) => one.key === key.toUpperCase());
    if (chosen === undefined) return;
    asking.value = null;
    void answerAll(store, whole, chosen.key);
    return;
  }
  if (!/^[cew]$/i.test(key)) return;
  asking.value = null;
  if (key.toLowerCase() === 'c') {
    if (isConfirmable(held.kind)) void confirm(store, report.id);
    else say(store, held.sentence, true);
  } else if (key.toLowerCase() === 'e')
    beginLine(store, `correct ${report.id} ${correctionText(report.event, held.suggested)}`);
  else beginLine(store, `withdraw ${report.id} `);
}

function Words({
  line,
  entry,
  context,
}: {
  readonly line: Line;
  readonly entry: Entry;
  readonly context: EntryContext | null;
}): JSX.Element {
  const { store, text, sent } = line;
  const notice = store.notice.value;
  const refused = sent.value !== null && sent.value.refused && sent.value.text === text.value;
  const typing = text.value.trim() !== '' && !refused;
  const amiss = typing ? entry.kind === 'unknown' : (notice?.amiss ?? false);
  const asked =
    isAsking(line) && entry.kind === 'asked'
      ? `Which: ${questionWords(entry.question)}. Esc goes back to the text.`
      : null;
  const heldWords = heldWordsOf(line);
  // What can be typed stands where it is typed, and narrows as one types.
  const forms = typing && context !== null && entry.kind === 'unknown' ? formsFor(text.value, context.commands) : [];
  const words =
    asked ??
    (heldWords !== '' && isAsking(line)
      ? ''
      : typing && context !== null
        ? readingBack(entry, context)
        : (store.busy.value ?? notice?.text ?? ''));
  const from_deg = typing && 'from_deg' in entry ? entry.from_deg : null;
  return (
    <output id="entry-words" class={`${amiss ? 'amiss' : ''}${asked === null ? '' : ' asked'}`} aria-live="polite">
      {from_deg === null ? null : <WindArrow from_deg={from_deg} />}
      {words === '' && heldWords === '' ? <span class="quiet small">Type {EXAMPLES}.</span> : <span>{words}</span>}
      {heldWords === '' ? null : <span class="caution-words"> {heldWords}</span>}
      {forms.length === 0 ? null : <span class="quiet small"> Such as “{forms.join('”, “')}”.</span>}
    </output>
  );
}

async function noted(store: Store, text: string): Promise<boolean> {
  const done = await note(store, text);
  if (done) say(store, 'Noted in the log.');
  return done;
}

/**
 * Does what a line means. Where that is an event of the log, answers whether it is on the disk; null: it is not one,
 * and done.
 */
function perform(store: Store, entry: Doable): Promise<boolean> | null {
  store.notice.value = null;
  switch (entry.kind) {
    case 'note':
      return noted(store, entry.text);
    case 'wind':
      return logReport(store, entry.report);
    case 'correction':
      return logReport(store, entry.event);
    case 'withdrawal':
      return withdraw(store, entry.of, entry.reason);
    case 'confirmation':
      return confirm(store, entry.of);
    case 'annulment':
      return annul(store, entry.of, entry.reason);
    case 'called':
      return logCalled(store, entry.event, entry.words);
    case 'go':
      store.goal.value = { position: entry.position };
      break;
    case 'exit': {
      const done = edit(store, 'exit moved', (plan) => moveExit(plan, entry.position));
      endEdit(store);
      say(store, done.ok ? 'Exit moved.' : done.why, !done.ok);
      break;
    }
    case 'exit height': {
      const done = edit(store, 'exit height', (plan) => setExitHeight(plan, entry.altitude_m));
      endEdit(store);
      const ground = store.mission.value?.site.elevation_m ?? 0;
      say(store, done.ok ? `Exit height ${height(entry.altitude_m, store.units.value, ground)}.` : done.why, !done.ok);
      break;
    }
    case 'level':
      addLevel(store, entry.report);
      break;
    case 'what if':
      store.decision.whatIf.value = entry.asked === null ? null : { asked: entry.asked, answer: null };
      break;
    case 'operator':
      store.view.operator.value = entry.name;
      say(store, `From now on what is entered here is written as by ${entry.name}.`);
      break;
    case 'command':
      entry.command.run(store);
      break;
  }
  return null;
}

/** Into the column that is looked at, as the level editor does it. */
function addLevel(store: Store, report: NewReport): void {
  const plan = store.plan.value;
  const mission = store.mission.value;
  const beside = store.beside.value;
  if (plan === null || mission === null || beside === null)
    return say(store, 'Open a mission first; a wind belongs to one.', true);
  const columns = columnsOf(plan, mission, namedSources(mission, beside));
  const column =
    columns.find((one) => one.key === store.chosenColumn.value) ?? nearestInTime(columns, store.exit_ms.value);
  const { from_deg, speed_mps } = report;
  addByHand(store, column, { height_m: heightOf(report, mission.site.elevation_m), from_deg, speed_mps });
}
