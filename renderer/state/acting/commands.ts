// Everything that can be done by a key, a button or a word, in one table: the keyboard, the entry line and the help
// read it.
import type { UnitChoice } from '../../../core/words/numbers.ts';
import { FIRST_ALERT } from './alertActions.ts';
import { choose, redo, save, say, undo } from './actions.ts';
import { ownClockOf } from '../stored/clock.ts';
import { fieldSelector, focusOn, focusWhenDrawn } from './focus.ts';
import { LIST_NEXT } from './listActions.ts';
import { togglePlaying } from './replay.ts';
import { acceptPlaces, openProposals } from './recoveryActions.ts';
import type { ReportPart } from '../stored/reportsView.ts';
import type { Store } from '../derived/store.ts';
import { curves, lookChoices, nextOf, ranges, turnUnit } from '../stored/view.ts';

export interface Command {
  readonly id: string;
  /** What it does, as the help says it. */
  readonly what: string;
  /** As `chordOf` writes it: modifiers in the order Ctrl, Alt, Shift, then the key's code or what it types. */
  readonly chords: readonly string[];
  /** What can be typed on the entry line for it. */
  readonly words: readonly string[];
  readonly run: (store: Store) => void;
}

const setUnits =
  (change: Partial<UnitChoice>) =>
  (store: Store): void => {
    store.view.units.value = { ...store.view.units.value, ...change };
  };
const turn =
  (name: keyof UnitChoice) =>
  (store: Store): void => {
    store.view.units.value = turnUnit(store.view.units.value, name);
  };

const general: readonly Command[] = [
  {
    id: 'help',
    what: 'Show all keys and what is on the window',
    chords: ['?', 'F1'],
    words: ['help', 'keys', '?'],
    run: (store) => {
      store.floating.value = store.floating.value === 'help' ? null : 'help';
    },
  },
  {
    id: 'entry',
    what: 'Go to the entry line (or just type)',
    chords: ['/'],
    words: [],
    run: () => focusOn('#entry-line'),
  },
  { id: 'undo', what: 'Undo', chords: ['Ctrl+Z'], words: ['undo'], run: undo },
  { id: 'redo', what: 'Redo', chords: ['Ctrl+Shift+Z', 'Ctrl+Y'], words: ['redo'], run: redo },
  { id: 'save', what: 'Save', chords: ['Ctrl+S'], words: ['save'], run: (store) => void save(store) },
  { id: 'open', what: 'Open a mission', chords: ['Ctrl+O'], words: ['open'], run: (store) => void choose(store) },
  {
    id: 'new',
    what: 'A new mission, or the open one for another day, place or carrier',
    chords: ['Alt+K'],
    words: ['new mission'],
    run: (store) => {
      store.floating.value = 'new';
    },
  },
  {
    id: 'demos',
    what: 'Demo missions, or a mission by its path',
    chords: ['Ctrl+Shift+O'],
    words: ['demos', 'demo'],
    run: (store) => {
      store.floating.value = 'open';
    },
  },
  {
    id: 'attach',
    what: 'Add a wind file',
    chords: ['Ctrl+I'],
    words: ['add wind file', 'wind file'],
    run: () => focusAndClick('#wind-file'),
  },
];

function focusAndClick(selector: string): void {
  document.querySelector<HTMLElement>(selector)?.click();
}

const places: readonly Command[] = [
  {
    id: 'go-winds',
    what: 'Go to the wind levels',
    chords: ['Alt+W'],
    words: ['winds'],
    run: () => focusOn('#wind-levels'),
  },
  {
    id: 'go-map',
    what: 'Go to the map',
    chords: ['Alt+M'],
    words: ['map'],
    run: () => focusOn('#map [tabindex="0"], #map .leaflet-container'),
  },
  {
    id: 'go-exit',
    what: 'Go to the exit position',
    chords: ['Alt+E'],
    words: ['exit'],
    run: (store) => goTo(store, 'exit.position'),
  },
  { id: 'go-time', what: 'Go to the time bar', chords: ['Alt+B'], words: ['time'], run: () => focusOn('#moment') },
  {
    id: 'play',
    what: 'Replay: play the log again from the moment looked at, or pause',
    chords: ['Alt+P'],
    words: ['play', 'replay', 'pause'],
    run: togglePlaying,
  },
  {
    id: 'now',
    what: 'Go back to now',
    chords: ['Alt+N'],
    words: ['now'],
    run: (store) => {
      store.moment_ms.value = null;
    },
  },
];

/** Crews and brief. */
const recovering: readonly Command[] = [
  {
    id: 'accept-places',
    what: 'Crews: accept every proposed place into the plan',
    chords: ['Alt+A'],
    words: ['accept places'],
    run: (store) => acceptPlaces(store, openProposals(store)),
  },
  {
    id: 'brief-pages',
    what: 'Brief: its pages as they are printed',
    chords: ['Ctrl+P'],
    words: ['pages', 'print'],
    run: (store) => {
      store.floating.value = 'pages';
    },
  },
];

/** The parts of the reports, and the clock that the mission runs on. */
const reporting: readonly Command[] = [
  openPart('list', 'Reports: all of them, and what has become of each', ['report list']),
  openPart('moved', 'Reports: what moved the landing', ['moved']),
  openPart('observe', 'Reports: what to observe next', ['observe', 'observe next']),
  openPart('feeds', 'Reports: the feeds that bring them', ['feeds']),
  openPart('table', 'Reports: the winds by height, to read aloud, copy and print', ['wind table', 'table'], 'Alt+V'),
  {
    id: 'go-hour',
    what: 'Go to the hours of the wind column',
    chords: ['Alt+J'],
    words: ['hours'],
    run: () => focusOn('#wind-hour'),
  },
  {
    id: 'own-clock',
    what: 'Run this mission on an exercise clock that starts at its newest event',
    chords: [],
    words: ['exercise clock'],
    run: (store) => {
      const mission = store.mission.peek();
      if (mission !== null) setClock(store, ownClockOf(mission, store.log.peek(), true, Date.now()));
    },
  },
  {
    id: 'computer-clock',
    what: 'Run this mission on the computer’s clock',
    chords: [],
    words: ['computer clock'],
    run: (store) => setClock(store, 0),
  },
];

function openPart(part: ReportPart, what: string, words: readonly string[], chord?: string): Command {
  return {
    id: `reports-${part}`,
    what,
    chords: chord === undefined ? [] : [chord],
    words,
    run: (store) => showReports(store, part),
  };
}

export function showReports(store: Store, part: ReportPart): void {
  store.view.panel.value = 'Reports';
  store.reports.part.value = part;
  focusWhenDrawn('#panel');
}

function setClock(store: Store, ownClock_ms: number): void {
  if (store.paced.peek() !== null) return say(store, 'The clock is the rehearsal’s: it is paced there.', true);
  store.ownClock_ms.value = ownClock_ms;
  store.now_ms.value = Date.now() + ownClock_ms;
  say(
    store,
    ownClock_ms === 0 ? 'This mission runs on the computer’s clock.' : 'This mission runs on an exercise clock.',
  );
}

function goTo(store: Store, field: string): void {
  store.view.panel.value = 'Descent';
  store.inputGroup.value = 'exit';
  focusWhenDrawn(fieldSelector(field));
}

const switches: readonly Command[] = [
  { id: 'length', what: 'Metres or feet', chords: ['Alt+U'], words: [], run: turn('length') },
  { id: 'speed', what: 'Knots, m/s or km/h', chords: ['Alt+S'], words: [], run: turn('speed') },
  { id: 'height', what: 'Heights MSL or AGL', chords: ['Alt+H'], words: [], run: turn('height') },
  { id: 'clock', what: 'Times UTC or local', chords: ['Alt+T'], words: [], run: turn('time') },
  {
    id: 'look',
    what: 'Day, night, or as the system',
    chords: ['Alt+L'],
    words: ['look'],
    run: (store) => {
      store.view.lookChoice.value = nextOf(lookChoices, store.view.lookChoice.value);
    },
  },
  {
    id: 'curve',
    what: 'Wind column: speed and direction, parts toward east and north, or temperature',
    chords: ['Alt+C'],
    words: [],
    run: (store) => {
      store.view.curve.value = nextOf(curves, store.view.curve.value);
    },
  },
  {
    id: 'range',
    what: 'Wind column: all heights, or those under the canopy',
    chords: ['Alt+R'],
    words: [],
    run: (store) => {
      store.view.range.value = nextOf(ranges, store.view.range.value);
    },
  },
];

/** Words only: each names a switch's position. */
const positions: readonly Command[] = [
  ...(['m', 'ft'] as const).map((length) => word(length, setUnits({ length }), length === 'm' ? ['metres'] : ['feet'])),
  ...(['kt', 'm/s', 'km/h'] as const).map((speed) => word(speed, setUnits({ speed }), speed === 'kt' ? ['knots'] : [])),
  ...(['MSL', 'AGL'] as const).map((height) => word(height, setUnits({ height }))),
  ...(['UTC', 'local'] as const).map((time) => word(time, setUnits({ time }))),
  ...lookChoices.map((look) =>
    word(look, (store) => {
      store.view.lookChoice.value = look;
    }),
  ),
];

function word(name: string, run: (store: Store) => void, also: readonly string[] = []): Command {
  return { id: `to-${name}`, what: `Show ${name}`, chords: [], words: [name.toLowerCase(), ...also], run };
}

/**
 * The keys of the panels by their places: Alt+1 to Alt+9, the tenth Alt+0, then letters that all keyboards have in one
 * place. Plain digits begin a wind, so they belong to the entry line.
 */
const PANEL_KEYS = '1234567890GIXO';
export const panelKeys = (i: number): readonly string[] => {
  const key = PANEL_KEYS[i];
  return key === undefined ? [] : [`Alt+${key}`];
};

/** Where the caret goes in a panel that is worked through by keys; in the others to the panel itself. */
const FIRST_IN: Readonly<Record<string, string>> = { Lists: LIST_NEXT, Alerts: FIRST_ALERT };

/** A command for each panel. */
export function panelCommands(names: readonly string[]): Command[] {
  return names.map((name, i) => ({
    id: `panel-${name}`,
    what: `Panel ${name}`,
    chords: panelKeys(i),
    words: [name.toLowerCase()],
    run: (store) => {
      store.view.panel.value = name;
      focusWhenDrawn('#panel');
      const first = FIRST_IN[name];
      if (first !== undefined) focusWhenDrawn(first);
    },
  }));
}

export const commands = (panels: readonly string[]): readonly Command[] => [
  ...general,
  ...panelCommands(panels),
  ...places,
  ...reporting,
  ...recovering,
  ...switches,
  ...positions,
];

interface KeyLike {
  readonly key: string;
  readonly code: string;
  readonly ctrlKey: boolean;
  readonly metaKey: boolean;
  readonly altKey: boolean;
  readonly shiftKey: boolean;
}

/**
 * The chord of a key press: letters and digits by their place on the keyboard when a modifier is held, so that Alt's
 * own signs do not matter.
 */
export function chordOf(event: KeyLike): string {
  const ctrl = event.ctrlKey || event.metaKey;
  const code = /^(?:Key|Digit)(.)$/.exec(event.code)?.[1];
  if (!ctrl && !event.altKey) return event.key;
  // Ctrl+Z is where Z is written: on other layouts the letter counts, not the place. With Alt the letter may be
  // changed: the place counts.
  const key = event.altKey ? (code ?? event.key) : event.key.toUpperCase();
  return `${ctrl ? 'Ctrl+' : ''}${event.altKey ? 'Alt+' : ''}${event.shiftKey ? 'Shift+' : ''}${key}`;
}
